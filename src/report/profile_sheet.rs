//! A profile in words: the whole of it, and what a check of its file says.

use super::cams_sheet;
use super::layout_drawing::drawing;
use super::profile_list::shape_word;
use crate::domain::place::side_in;
use crate::domain::profile::{
    Adjuster, CamRing, Covers, EngineProfile, Facts, Figures, Screw, Shape, Sign, TableStop,
    Timing, ValveSpec,
};
use crate::domain::unbroken;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Several, Valve};
use crate::guide::doubtful::{doubts, leaf_twice};
use crate::guide::turning::SEEN_FROM_REAR;
use crate::guide::unlikely::warnings;
use crate::guide::valve_place::OF_UPRIGHT;

/// Columns of the sheet.
const WIDTH: usize = 80;
/// Columns before the words of an entry.
const INDENT: usize = 16;

/// Says that a profile's file is sound, and what is worth a second look.
pub fn check_text(shown_path: &str, profile: &EngineProfile) -> String {
    let mut text = format!(
        "`{shown_path}` is sound: {}, {} cylinders, {} valves\n",
        profile.name,
        profile.cylinders(),
        profile.valves().len()
    );
    for warning in warnings(profile).into_iter().chain(doubts(profile)) {
        text.push_str(&wrapped("warning: ", 9, &warning));
    }
    for note in notes(profile) {
        text.push_str(&wrapped("note: ", 6, &note));
    }
    text
}

/// Says, behind the check of a file that lists so many leaves, that one of them stands there twice.
pub fn leaf_twice_text(listed: usize, profile: &Facts) -> String {
    leaf_twice(listed, profile).map_or_else(String::new, |doubt| wrapped("warning: ", 9, &doubt))
}

/// Returns what is allowed in a profile and yet worth a second look.
pub fn notes(profile: &Facts) -> Vec<String> {
    let mut notes = Vec::new();
    let layout = &profile.layout;
    if profile.stops.is_none() {
        if layout.shape == Shape::Radial && layout.cam_ring.is_none() {
            notes.push("a plan is only for a fixed cam ring: look in the manual, and say `layout.cam_ring`".into());
        }
        if profile.timing.is_none() {
            notes.push(
                "no valve timing: how exact the crank must stand is worked out with assumed timing"
                    .into(),
            );
        }
    }
    for (number, stop) in (1..).zip(profile.stops.iter().flatten()) {
        let own = |valve: &&Valve| valve.cylinder == stop.watch;
        let gauged = stop.gauge.iter().find(own);
        if let (Some(valve), true, 0) = (gauged, stop.sign.is_overlap(), stop.then_turn) {
            let valve = Several::of(profile.valves()).name(*valve);
            notes.push(format!(
                "stop {number} gauges {valve} with its own cylinder at overlap, where it is open: \
                 compare the table with the manual"
            ));
        }
    }
    if profile.source.document.is_empty() {
        notes.push("no source: name the manual in `source.document`".into());
    }
    notes
}

/// Tells everything that a profile says.
pub fn sheet(name: &str, profile: &EngineProfile) -> String {
    let mut sheet = Sheet::default();
    sheet.line(&format!("{} ({name})", profile.name));
    sheet.entry("figures from", &source_words(profile));
    if profile.source.document.to_lowercase().contains("example") {
        sheet.entry("", "Examples only: never set an engine by them.");
    }
    engine(&mut sheet, profile);
    turning(&mut sheet, profile);
    for kind in Kind::BOTH {
        valve(&mut sheet, profile, kind);
    }
    let timing = profile.timing.as_ref().map(timing_words);
    sheet.entry("valve timing", timing.as_deref().unwrap_or("not told"));
    gauging(&mut sheet, profile);
    adjuster(&mut sheet, profile);
    covers(&mut sheet, profile, &profile.covers);
    sheet.entry("service", &service_words(profile));
    for caution in &profile.cautions {
        sheet.entry("caution", caution);
    }
    stops(&mut sheet, profile.stops.as_deref().unwrap_or_default());
    for warning in warnings(profile).into_iter().chain(doubts(profile)) {
        sheet.entry("warning", &warning);
    }
    for note in notes(profile) {
        sheet.entry("note", &note);
    }
    cams_sheet::text(&mut sheet, profile);
    sheet.text
}

#[derive(Default)]
pub(super) struct Sheet {
    text: String,
}

impl Sheet {
    pub(super) fn line(&mut self, line: &str) {
        self.text.push_str(&wrapped("", 0, line));
    }

    pub(super) fn entry(&mut self, label: &str, words: &str) {
        let label = if label.is_empty() { String::new() } else { format!("{label}:") };
        self.text.push_str(&wrapped(&format!("{label:INDENT$}"), INDENT, words));
    }

    /// Writes an empty line.
    pub(super) fn blank(&mut self) {
        self.text.push('\n');
    }

    /// Writes a row of a table as it stands.
    pub(super) fn row(&mut self, row: &str) {
        self.text.push_str(row.trim_end());
        self.text.push('\n');
    }

    fn entry_where_told(&mut self, label: &str, words: Option<&String>) {
        if let Some(words) = words {
            self.entry(label, words);
        }
    }
}

/// Breaks words into lines of at most 80 columns; the later ones are indented.
fn wrapped(first: &str, indent: usize, words: &str) -> String {
    let mut text = first.to_string();
    let mut column = first.chars().count();
    let mut fresh = true;
    for word in unbroken::joined(words.split_whitespace()) {
        let length = word.chars().count();
        if !fresh && column + 1 + length > WIDTH {
            text.push('\n');
            text.push_str(&" ".repeat(indent));
            column = indent;
            fresh = true;
        }
        if !fresh {
            text.push(' ');
            column += 1;
        }
        text.push_str(&word);
        column += length;
        fresh = false;
    }
    let mut text = text.trim_end().to_string();
    text.push('\n');
    text
}

fn source_words(facts: &Facts) -> String {
    let source = &facts.source;
    if source.document.is_empty() {
        return "not told".to_string();
    }
    let mut words = source.document.clone();
    if !source.revision.is_empty() {
        words.push_str(&format!(", revision {}", source.revision));
    }
    if !source.page.is_empty() {
        words.push_str(&format!(", page {}", source.page));
    }
    words
}

fn engine(sheet: &mut Sheet, facts: &Facts) {
    let layout = &facts.layout;
    let shape = shape_word(layout.shape);
    let angle =
        layout.angle.map(|angle| format!(", {angle}° between the banks")).unwrap_or_default();
    let ring = match layout.cam_ring {
        Some(CamRing::Fixed) => ", fixed cam ring",
        Some(CamRing::Floating) => ", floating cam ring",
        None => "",
    };
    sheet.entry("engine", &format!("{} cylinders, {shape}{angle}{ring}", facts.cylinders()));
    sheet.entry("firing order", &numbers(&facts.firing_order, "-"));
    let first = facts.firing_intervals.first().copied().unwrap_or(720.0);
    if facts.fires_evenly() {
        sheet.entry("intervals", &format!("even, {}°", (first * 100.0).round() / 100.0));
    } else {
        let intervals: Vec<String> =
            facts.firing_intervals.iter().map(|d| format!("{d}°")).collect();
        sheet.entry("intervals", &format!("{} from each firing to the next", intervals.join(", ")));
    }
    for (at, bank) in layout.banks.iter().enumerate() {
        let from = match layout.shape {
            Shape::Radial => {
                let first_at = (bank.first_at * 100.0).round() / 100.0;
                format!("clockwise seen from the rear, the first at {first_at}° from the top")
            }
            Shape::Inline | Shape::Vee | Shape::Opposed => {
                format!("from the {}", layout.listed_from.words())
            }
        };
        let label = if at == 0 { "banks" } else { "" };
        sheet.entry(label, &format!("{}: {}, {from}", bank.name, numbers(&bank.cylinders, " ")));
        if !bank.labels.is_empty() {
            sheet.entry("", &format!("called {}", bank.labels.join(", ")));
        }
        if let Some(along) = &bank.valves_along {
            let kinds: Vec<&str> = along.iter().map(|kind| kind.word()).collect();
            sheet.entry("", &format!("valves along it: {}", kinds.join(", ")));
        }
    }
    sheet.blank();
    for line in drawing(facts) {
        sheet.row(&format!("  {line}"));
    }
    sheet.blank();
}

fn turning(sheet: &mut Sheet, facts: &Facts) {
    let Some(rotation) = &facts.rotation else {
        return sheet.entry("turning", "not told");
    };
    let direction = match rotation.clockwise {
        Some(true) => format!("clockwise seen from the {}", rotation.seen_from.words()),
        Some(false) => format!("counter-clockwise seen from the {}", rotation.seen_from.words()),
        None => "direction not told".to_string(),
    };
    let back = if rotation.backwards_allowed { "may be turned back" } else { "never turned back" };
    let blades = rotation.blades.map(|blades| format!(" of {blades} blades")).unwrap_or_default();
    sheet.entry("turning", &format!("by the {}{blades}, {direction}; {back}", rotation.turn_by));
    if rotation.by_propeller() {
        sheet.entry("", &format!("the propeller is at the {}", rotation.propeller_at.words()));
    }
    sheet.entry_where_told("overlap", facts.overlap_looks_like.as_ref());
}

fn valve(sheet: &mut Sheet, facts: &Facts, kind: Kind) {
    let spec: &ValveSpec = facts.spec(kind);
    let mut label = kind.word();
    for (engine, figures) in [("cold", spec.cold), ("hot", spec.hot)] {
        let Some(figures) = figures else { continue };
        let Figures { target, least, most, set_least, set_most } = figures;
        let unit = facts.unit;
        sheet.entry(label, &format!("{engine}: {}", target.both(unit)));
        sheet.entry("", &format!("found in {} to {}", least.both(unit), most.both(unit)));
        if (set_least, set_most) != (least, most) {
            sheet
                .entry("", &format!("left in {} to {}", set_least.both(unit), set_most.both(unit)));
        }
        label = "";
    }
    if spec.per_cylinder > 1 {
        sheet.entry("", &format!("{} valves a cylinder", spec.per_cylinder));
    }
    if !spec.position.is_empty() {
        let sided = spec.position.iter().any(|place| side_in(place).is_some());
        let of = if sided && facts.layout.shape == Shape::Radial {
            format!(" ({OF_UPRIGHT}, {SEEN_FROM_REAR})")
        } else {
            String::new()
        };
        sheet.entry("", &format!("position: {}{of}", spec.position.join(", ")));
    }
    if spec.leaves_at_once > 1 {
        sheet.entry("", &format!("{} leaves put in at once", spec.leaves_at_once));
    }
}

fn timing_words(timing: &Timing) -> String {
    let Timing {
        intake_opens_btdc,
        intake_closes_abdc,
        exhaust_opens_bbdc,
        exhaust_closes_atdc,
        ramp,
    } = *timing;
    let event = |degrees: f64, usual: &str, other: &str| match degrees < 0.0 {
        true => format!("{}° {other}", -degrees),
        false => format!("{degrees}° {usual}"),
    };
    format!(
        "intake opens {}, closes {}; exhaust opens {}, closes {}; ramps {ramp}°",
        event(intake_opens_btdc, "BTDC", "ATDC"),
        event(intake_closes_abdc, "ABDC", "BBDC"),
        event(exhaust_opens_bbdc, "BBDC", "ABDC"),
        event(exhaust_closes_atdc, "ATDC", "BTDC"),
    )
}

fn gauging(sheet: &mut Sheet, facts: &Facts) {
    let when = &facts.gauge_when;
    let mut words = if when.hot { "hot".to_string() } else { "cold".to_string() };
    if let Some(most) = when.no_warmer_than {
        words.push_str(&format!(", no warmer than {}", most.both()));
    }
    if let Some(least) = when.no_cooler_than {
        words.push_str(&format!(", no cooler than {}", least.both()));
    }
    sheet.entry("gauged", &words);
    if !facts.leaves.is_empty() {
        let leaves: Vec<String> = facts.leaves.iter().map(|leaf| leaf.digits(facts.unit)).collect();
        sheet.entry("leaves", &format!("{} {}", leaves.join(", "), facts.unit.word()));
    }
}

fn adjuster(sheet: &mut Sheet, facts: &Facts) {
    let unit = facts.unit;
    let sizes = |sizes: &[Length]| -> String {
        let sizes: Vec<String> = sizes.iter().map(|size| size.digits(unit)).collect();
        format!("{} {}", sizes.join(", "), unit.word())
    };
    match &facts.adjuster {
        Adjuster::Screw(screw) => self::screw(sheet, facts, screw),
        Adjuster::Shim { sizes: stocked } if stocked.is_empty() => {
            sheet.entry("adjuster", "shims, sizes not told")
        }
        Adjuster::Shim { sizes: stocked } => {
            sheet.entry(
                "adjuster",
                &format!("shims of {}; on a tie the thinner one", sizes(stocked)),
            );
        }
        Adjuster::Pushrod { lengths, rocker_ratio } => {
            let stocked = if lengths.is_empty() { "not told".to_string() } else { sizes(lengths) };
            sheet.entry(
                "adjuster",
                &format!("push rods of other lengths, from standard: {stocked}; rocker ratio {rocker_ratio}"),
            );
        }
        Adjuster::None => sheet.entry("adjuster", "none: what is out of limits is reported"),
    }
}

fn screw(sheet: &mut Sheet, facts: &Facts, screw: &Screw) {
    let end = if screw.at_valve_end { "valve's" } else { "push rod's" };
    let pitch = screw.pitch_mm.map(|pitch| {
        let inch = (pitch / 25.4 * 100_000.0).round() / 100_000.0;
        format!(", pitch {} mm ({inch} in)", (pitch * 100_000.0).round() / 100_000.0)
    });
    let pitch = pitch.unwrap_or_default();
    let ratio = screw.rocker_ratio;
    sheet.entry(
        "adjuster",
        &format!("screw at the {end} end of the rocker{pitch}, rocker ratio {ratio}"),
    );
    sheet.entry_where_told("screw drive", screw.screw_drive.as_ref());
    sheet.entry_where_told("lock nut", screw.lock_nut.as_ref());
    if let Some(torque) = &screw.lock_nut_torque {
        sheet.entry("nut torque", &torque.both(facts.unit));
    }
    if let Some((least, most)) = screw.threads_showing {
        sheet.entry("threads", &format!("{least} to {most} show after locking"));
    }
}

fn covers(sheet: &mut Sheet, facts: &Facts, covers: &Covers) {
    if covers.count > 0 {
        sheet.entry("covers", &covers.count.to_string());
    }
    if !covers.hardware.is_empty() {
        let items: Vec<String> =
            covers.hardware.iter().map(|item| format!("{} × {}", item.each, item.item)).collect();
        sheet.entry("on each cover", &items.join(", "));
    }
    if let Some(torque) = &covers.torque {
        sheet.entry("cover torque", &torque.both(facts.unit));
    }
    sheet.entry_where_told("tightening", covers.order.as_ref());
}

fn service_words(facts: &Facts) -> String {
    let mut words = Vec::new();
    if let Some(hours) = facts.interval_hours {
        words.push(format!("every {hours} hours"));
    }
    if let Some(months) = facts.interval_months {
        words.push(format!("every {months} months"));
    }
    if let Some(hours) = facts.first_interval_hours {
        words.push(format!("the first one after {hours} hours"));
    }
    if words.is_empty() { "interval not told".to_string() } else { words.join(", ") }
}

fn stops(sheet: &mut Sheet, stops: &[TableStop]) {
    for (at, stop) in stops.iter().enumerate() {
        let sign = match stop.sign {
            Sign::Overlap => "at overlap",
            Sign::Changeover => "exhaust just shut, intake about to open",
            Sign::IntakeOpens => "intake opens",
            Sign::IntakeCloses => "intake closes",
            Sign::ExhaustOpens => "exhaust opens",
            Sign::ExhaustCloses => "exhaust closes",
            Sign::Mark => "at the mark",
        };
        let turn = if stop.then_turn == 0 { "" } else { ", then one full turn on" };
        sheet.entry(
            &format!("stop {}", at + 1),
            &format!("watch cylinder {}: {sign}{turn}", stop.watch),
        );
        sheet.entry_where_told("", stop.say.as_ref());
        if !stop.unload.is_empty() {
            sheet.entry("", &format!("press open: {}", valves(&stop.unload)));
        }
        sheet.entry("", &format!("gauge: {}", valves(&stop.gauge)));
    }
}

fn valves(valves: &[Valve]) -> String {
    valves.iter().map(Valve::to_string).collect::<Vec<_>>().join(", ")
}

/// Lists cylinders.
pub(super) fn numbers(cylinders: &[Cylinder], between: &str) -> String {
    cylinders.iter().map(Cylinder::to_string).collect::<Vec<_>>().join(between)
}
