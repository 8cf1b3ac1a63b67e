//! From a profile's fields to the facts of the domain, with the stated defaults filled in.
//!
//! Each section has its function; valves, adjuster and table of stops are in `profile_parts`.
//! Whether the facts fit together is checked by the domain.

use super::profile_fields::{Field, Fields, TEXT_MAX, Taken, WORDS_MAX, fault};
use super::profile_parts::{adjuster, stop, valve_spec};
use crate::domain::profile::{
    Adjuster, Bank, CYLINDERS_MAX, CamRing, Covers, End, Facts, GaugeWhen, Hardware, Layout,
    Rotation, Shape, Side, Source, Timing,
};
use crate::domain::units::{CLEARANCE, Decimal, Temperature};
use crate::domain::valve::{Cylinder, Kind};

pub(super) const PROFILE: [&str; 21] = [
    "$schema",
    "format",
    "name",
    "source",
    "cylinders",
    "firing_order",
    "firing_intervals",
    "layout",
    "rotation",
    "valves",
    "valve_timing",
    "adjuster",
    "gauge_when",
    "leaves",
    "covers",
    "interval_hours",
    "interval_months",
    "first_interval_hours",
    "cautions",
    "stops",
    "overlap_looks_like",
];

pub(super) const ENDS: [(&str, End); 6] = [
    ("front", End::Front),
    ("rear", End::Rear),
    ("propeller end", End::Propeller),
    ("accessory end", End::Accessory),
    ("flywheel end", End::Flywheel),
    ("timing end", End::Timing),
];

pub(super) const VALVES: [&str; 2] = ["intake", "exhaust"];
pub(super) const SOURCE: [&str; 3] = ["document", "revision", "page"];
pub(super) const LAYOUT: [&str; 5] = ["shape", "listed_from", "banks", "angle", "cam_ring"];
pub(super) const SHAPES: [(&str, Shape); 4] = [
    ("inline", Shape::Inline),
    ("vee", Shape::Vee),
    ("opposed", Shape::Opposed),
    ("radial", Shape::Radial),
];
pub(super) const RINGS: [(&str, CamRing); 2] =
    [("fixed", CamRing::Fixed), ("floating", CamRing::Floating)];
pub(super) const BANK: [&str; 6] =
    ["name", "cylinders", "side", "valves_along", "labels", "first_at"];
pub(super) const SIDES: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];
pub(super) const ROTATION: [&str; 6] =
    ["turn_by", "direction", "seen_from", "backwards_allowed", "propeller_at", "blades"];
/// Words for a direction, and whether it is clockwise.
pub(super) const DIRECTIONS: [(&str, bool); 5] = [
    ("clockwise", true),
    ("counter-clockwise", false),
    ("counterclockwise", false),
    ("anti-clockwise", false),
    ("anticlockwise", false),
];
pub(super) const PROPELLER_ENDS: [(&str, End); 2] = [("front", End::Front), ("rear", End::Rear)];
/// Most blades of a propeller.
pub(super) const BLADES_MAX: u8 = 12;
pub(super) const TIMING: [&str; 5] =
    ["intake_opens", "intake_closes", "exhaust_opens", "exhaust_closes", "ramp"];
pub(super) const GAUGE_WHEN: [&str; 3] = ["engine", "no_warmer_than", "no_cooler_than"];
/// Words for the engine's state, and whether it is hot.
pub(super) const ENGINE: [(&str, bool); 2] = [("cold", false), ("hot", true)];
pub(super) const COVERS: [&str; 4] = ["count", "hardware", "torque", "order"];
pub(super) const HARDWARE: [&str; 2] = ["item", "each"];

/// Most cylinders, as a number that a field may be.
pub(super) const CYLINDER_MAX: Cylinder = CYLINDERS_MAX as Cylinder;

/// Reads all facts.
pub(super) fn facts(root: &Field<'_>) -> Taken<Facts> {
    let profile = root.object(&PROFILE)?;
    let name = profile.required("name", "say what kind of engine this is")?.text(WORDS_MAX)?;
    let firing_order = firing_order(&profile)?;
    let even = vec![720.0 / firing_order.len().max(1) as f64; firing_order.len()];
    let valves = profile.required("valves", "hold `intake` and `exhaust`")?.object(&VALVES)?;
    let (intake, unit) = valve_spec(&valves, Kind::Intake)?;
    let (exhaust, _) = valve_spec(&valves, Kind::Exhaust)?;
    let only_hot = intake.cold.is_none() && exhaust.cold.is_none();
    let hours = |field: &Field<'_>| field.number();
    Ok(Facts {
        name,
        source: profile.maybe("source", source)?.unwrap_or_default(),
        firing_intervals: profile
            .maybe("firing_intervals", |field| field.each(Field::number))?
            .unwrap_or(even),
        firing_order,
        layout: layout(&profile.required("layout", "hold `shape` and `banks`")?)?,
        rotation: profile.maybe("rotation", rotation)?,
        intake,
        exhaust,
        timing: profile.maybe("valve_timing", timing)?,
        adjuster: profile.maybe("adjuster", adjuster)?.unwrap_or(Adjuster::None),
        gauge_when: gauge_when(profile.get("gauge_when"), only_hot)?,
        leaves: profile
            .maybe("leaves", |field| field.each(|leaf| leaf.length(CLEARANCE)))?
            .unwrap_or_default(),
        covers: profile.maybe("covers", covers)?.unwrap_or_default(),
        interval_hours: profile.maybe("interval_hours", hours)?,
        interval_months: profile.maybe("interval_months", |field| field.whole(1..=1200))?,
        first_interval_hours: profile.maybe("first_interval_hours", hours)?,
        cautions: profile
            .maybe("cautions", |field| field.each(|caution| caution.text(TEXT_MAX)))?
            .unwrap_or_default(),
        stops: profile.maybe("stops", |field| field.each(stop))?,
        overlap_looks_like: profile.maybe("overlap_looks_like", |field| field.text(TEXT_MAX))?,
        unit,
    })
}

fn firing_order(profile: &Fields<'_>) -> Taken<Vec<Cylinder>> {
    let must = format!("be a whole number from 1 to {CYLINDERS_MAX}");
    let count = profile.required("cylinders", &must)?.small(1..=CYLINDER_MAX)?;
    let must = format!("name each cylinder from 1 to {count} once");
    let field = profile.required("firing_order", &must)?;
    let order = field.each(cylinder)?;
    if order.len() == usize::from(count) {
        return Ok(order);
    }
    let words: Vec<String> = order.iter().map(Cylinder::to_string).collect();
    let found = if words.is_empty() { "empty".to_string() } else { words.join("-") };
    Err(fault(field.path, found, must))
}

fn cylinder(field: &Field<'_>) -> Taken<Cylinder> {
    field.small(1..=CYLINDER_MAX)
}

fn source(field: &Field<'_>) -> Taken<Source> {
    let source = field.object(&SOURCE)?;
    let words = |name| source.words(name).map(Option::unwrap_or_default);
    Ok(Source { document: words("document")?, revision: words("revision")?, page: words("page")? })
}

fn layout(field: &Field<'_>) -> Taken<Layout> {
    let layout = field.object(&LAYOUT)?;
    let shape = layout
        .required("shape", "be \"inline\", \"vee\", \"opposed\" or \"radial\"")?
        .word(&SHAPES)?;
    let banks = layout.required("banks", "list the banks and their cylinders")?.list()?;
    let banks = banks.iter().enumerate().map(|(at, field)| bank(field, at, shape));
    Ok(Layout {
        shape,
        listed_from: layout.maybe("listed_from", |field| field.word(&ENDS))?.unwrap_or(End::Front),
        banks: banks.collect::<Taken<_>>()?,
        angle: layout.maybe("angle", Field::number)?,
        cam_ring: layout.maybe("cam_ring", |field| field.word(&RINGS))?,
    })
}

fn bank(field: &Field<'_>, at: usize, shape: Shape) -> Taken<Bank> {
    let bank = field.object(&BANK)?;
    let given = bank.words("name")?;
    let side = bank.maybe("side", |field| field.word(&SIDES))?;
    let first_at = match (bank.get("first_at"), shape, at) {
        (Some(field), Shape::Radial, _) => field.number()?,
        (Some(field), Shape::Inline | Shape::Vee | Shape::Opposed, _) => {
            return field.wrong("be left out: it is for the rows of a radial");
        }
        (None, Shape::Radial, 1..) => {
            let must = "tell how many degrees from the top the first cylinder of this row stands";
            return Err(fault(format!("{}.first_at", field.path), "missing", must));
        }
        (None, Shape::Inline | Shape::Vee | Shape::Opposed | Shape::Radial, _) => 0.0,
    };
    let name = given.unwrap_or_else(|| match shape {
        Shape::Radial => format!("row {}", at + 1),
        Shape::Inline | Shape::Vee | Shape::Opposed => format!("bank {}", at + 1),
    });
    Ok(Bank {
        side: side.or_else(|| Side::named(&name)),
        name,
        cylinders: bank.required("cylinders", "list the cylinders of this bank")?.each(cylinder)?,
        valves_along: bank.maybe("valves_along", valves_along)?,
        labels: bank
            .maybe("labels", |field| field.each(|label| label.text(WORDS_MAX)))?
            .unwrap_or_default(),
        first_at,
    })
}

fn valves_along(field: &Field<'_>) -> Taken<Vec<Kind>> {
    let kinds = field.text(TEXT_MAX)?;
    let kinds = kinds.chars().filter(|letter| !letter.is_whitespace()).map(|letter| match letter {
        'E' => Ok(Kind::Exhaust),
        'I' => Ok(Kind::Intake),
        _ => field.wrong("have only E and I, as in \"E I I E\""),
    });
    kinds.collect()
}

fn rotation(field: &Field<'_>) -> Taken<Rotation> {
    let rotation = field.object(&ROTATION)?;
    Ok(Rotation {
        turn_by: rotation.words("turn_by")?.unwrap_or_else(|| "crank".to_string()),
        clockwise: rotation.maybe("direction", |field| field.word(&DIRECTIONS))?,
        seen_from: rotation.maybe("seen_from", |field| field.word(&ENDS))?.unwrap_or(End::Rear),
        // Not told is not allowed: turning back can lose a nut or unwind a part.
        backwards_allowed: rotation.maybe("backwards_allowed", Field::yes_or_no)?.unwrap_or(false),
        propeller_at: rotation
            .maybe("propeller_at", |field| field.word(&PROPELLER_ENDS))?
            .unwrap_or(End::Front),
        blades: rotation.maybe("blades", |field| field.small(1..=BLADES_MAX))?,
    })
}

fn timing(field: &Field<'_>) -> Taken<Timing> {
    let timing = field.object(&TIMING)?;
    let event = |name, before: &str, after: &str| {
        let must = format!("be degrees with {before} or {after}, such as \"18 {before}\"");
        event(&timing.required(name, &must)?, before, after, &must)
    };
    Ok(Timing {
        intake_opens_btdc: event("intake_opens", "BTDC", "ATDC")?,
        intake_closes_abdc: event("intake_closes", "ABDC", "BBDC")?,
        exhaust_opens_bbdc: event("exhaust_opens", "BBDC", "ABDC")?,
        exhaust_closes_atdc: event("exhaust_closes", "ATDC", "BTDC")?,
        ramp: timing.maybe("ramp", Field::number)?.unwrap_or(0.0),
    })
}

/// Reads `"18 BTDC"`: above zero with the usual word, below zero with the other one.
fn event(field: &Field<'_>, usual: &str, other: &str, must: &str) -> Taken<f64> {
    if !field.is_text() {
        return field.wrong(must);
    }
    let text = field.text(WORDS_MAX)?;
    let Ok((degrees, rest)) = Decimal::read(text.trim()) else { return field.wrong(must) };
    let rest = rest.trim();
    let word = rest.strip_prefix('°').or(rest.strip_prefix("deg")).unwrap_or(rest).trim();
    if degrees.is_negative() {
        return field.wrong(must);
    }
    match word {
        word if word == usual => Ok(degrees.to_f64()),
        word if word == other => Ok(-degrees.to_f64()),
        _ => field.wrong(must),
    }
}

fn gauge_when(field: Option<Field<'_>>, only_hot: bool) -> Taken<GaugeWhen> {
    let Some(field) = field else {
        return Ok(GaugeWhen { hot: only_hot, no_warmer_than: None, no_cooler_than: None });
    };
    let when = field.object(&GAUGE_WHEN)?;
    let limit = |name| -> Taken<Option<Temperature>> { when.maybe(name, Field::temperature) };
    let hot = when.maybe("engine", |field| field.word(&ENGINE))?;
    Ok(GaugeWhen {
        hot: hot.unwrap_or(only_hot),
        no_warmer_than: limit("no_warmer_than")?,
        no_cooler_than: limit("no_cooler_than")?,
    })
}

fn covers(field: &Field<'_>) -> Taken<Covers> {
    let covers = field.object(&COVERS)?;
    let hardware = |field: &Field<'_>| {
        let hardware = field.object(&HARDWARE)?;
        Ok(Hardware {
            item: hardware.required("item", "name what is counted")?.text(WORDS_MAX)?,
            each: hardware.required("each", "be a whole number from 1 to 200")?.whole(1..=200)?,
        })
    };
    Ok(Covers {
        count: covers.maybe("count", |field| field.whole(0..=96))?.unwrap_or(0),
        hardware: covers.maybe("hardware", |field| field.each(hardware))?.unwrap_or_default(),
        torque: covers.maybe("torque", Field::torque)?,
        order: covers.maybe("order", |field| field.text(TEXT_MAX))?,
    })
}
