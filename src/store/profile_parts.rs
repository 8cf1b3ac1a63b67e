//! The valves' figures, the adjuster and the table of stops, from a profile's fields.

use super::profile_fields::{Field, Fields, TEXT_MAX, Taken, WORDS_MAX, fault};
use crate::domain::profile::{
    Adjuster, CYLINDERS_MAX, Figures, Screw, Sign, TableStop, VALVES_PER_CYLINDER_MAX, ValveSpec,
};
use crate::domain::units::{CLEARANCE, Length, LengthUnit};
use crate::domain::valve::{Cylinder, Kind, Valve};
use std::ops::RangeInclusive;

/// Most sizes that a range of shims may spell out.
const SIZES_MAX: i64 = 1000;

/// Rods may be shorter than standard as well as longer.
const ROD_DIFFERENCE: RangeInclusive<Length> = Length::SHORTEST_ROD..=Length::MAX_CLEARANCE;

pub(super) const VALVE: [&str; 9] = [
    "per_cylinder",
    "target",
    "least",
    "most",
    "set_least",
    "set_most",
    "hot",
    "position",
    "leaves_at_once",
];
pub(super) const HOT: [&str; 3] = ["target", "least", "most"];
/// Where a screw sits, and whether that is the valve's end.
pub(super) const SCREW_ENDS: [(&str, bool); 2] = [("valve end", true), ("pushrod end", false)];
pub(super) const TIE: [(&str, ()); 1] = [("thinner", ())];
pub(super) const STOP: [&str; 6] = ["watch", "sign", "then_turn", "unload", "gauge", "say"];
pub(super) const SIGNS: [(&str, Sign); 7] = [
    ("overlap", Sign::Overlap),
    ("changeover", Sign::Changeover),
    ("intake opens", Sign::IntakeOpens),
    ("intake closes", Sign::IntakeCloses),
    ("exhaust opens", Sign::ExhaustOpens),
    ("exhaust closes", Sign::ExhaustCloses),
    ("mark", Sign::Mark),
];

/// Reads the figures of a kind of valve, and the unit of its target.
pub(super) fn valve_spec(valves: &Fields<'_>, kind: Kind) -> Taken<(ValveSpec, LengthUnit)> {
    let field = valves.required(kind.word(), "give `target`, `least` and `most`")?;
    let spec = field.object(&VALVE)?;
    let most = VALVES_PER_CYLINDER_MAX;
    let per_cylinder = spec.maybe("per_cylinder", |field| field.small(1..=most))?.unwrap_or(1);
    let hot = spec.maybe("hot", |field| figures(&field.object(&HOT)?))?;
    let any_cold = ["target", "least", "most", "set_least", "set_most"]
        .iter()
        .any(|name| spec.get(name).is_some());
    let cold = if hot.is_none() || any_cold { Some(figures(&spec)?) } else { None };
    let unit = cold.or(hot).map_or(LengthUnit::Mm, |(_, unit)| unit);
    let position = spec.maybe("position", |field| {
        if field.is_text() {
            return Ok(vec![field.text(WORDS_MAX)?; usize::from(per_cylinder)]);
        }
        field.each(|word| word.text(WORDS_MAX))
    })?;
    let spec = ValveSpec {
        per_cylinder,
        cold: cold.map(|(figures, _)| figures),
        hot: hot.map(|(figures, _)| figures),
        position: position.unwrap_or_default(),
        leaves_at_once: spec.maybe("leaves_at_once", |field| field.small(1..=4))?.unwrap_or(1),
    };
    Ok((spec, unit))
}

fn figures(spec: &Fields<'_>) -> Taken<(Figures, LengthUnit)> {
    let must = "be a length with its unit, such as \"0.15 mm\" or \"0.006 in\"";
    let (target, unit) = spec.required("target", must)?.length_and_unit(CLEARANCE)?;
    let least = spec.required("least", must)?.length(CLEARANCE)?;
    let most = spec.required("most", must)?.length(CLEARANCE)?;
    let limit = |name| spec.maybe(name, |field| field.length(CLEARANCE));
    let set_least = limit("set_least")?.unwrap_or(least);
    let set_most = limit("set_most")?.unwrap_or(most);
    Ok((Figures { target, least, most, set_least, set_most }, unit))
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum AdjusterKind {
    Screw,
    Shim,
    Pushrod,
    None,
}

pub(super) const KINDS: [(&str, AdjusterKind); 4] = [
    ("screw", AdjusterKind::Screw),
    ("shim", AdjusterKind::Shim),
    ("pushrod", AdjusterKind::Pushrod),
    ("none", AdjusterKind::None),
];

impl AdjusterKind {
    pub(super) fn fields(self) -> &'static [&'static str] {
        match self {
            AdjusterKind::Screw => &[
                "kind",
                "pitch",
                "fitted_at",
                "rocker_ratio",
                "lock_nut",
                "lock_nut_torque",
                "screw_drive",
                "threads_showing",
            ],
            AdjusterKind::Shim => &["kind", "sizes", "from", "to", "step", "kept_under_tie"],
            AdjusterKind::Pushrod => &["kind", "lengths", "rocker_ratio"],
            AdjusterKind::None => &["kind"],
        }
    }
}

/// Reads the adjuster.
pub(super) fn adjuster(field: &Field<'_>) -> Taken<Adjuster> {
    let any = field.any_object()?;
    let must = "be \"screw\", \"shim\", \"pushrod\" or \"none\"";
    let kind = any.required("kind", must)?.word(&KINDS)?;
    let word = KINDS.iter().find(|(_, other)| *other == kind).map_or("", |(word, _)| word);
    for name in any.names().filter(|name| !kind.fields().contains(name)) {
        let owner = KINDS.iter().find(|(_, other)| other.fields().contains(&name));
        if let Some((owner, _)) = owner {
            let must = format!("be left out: it belongs to the kind \"{owner}\"");
            return Err(fault(
                format!("{}.{name}", field.path),
                format!("given with the kind \"{word}\""),
                must,
            ));
        }
    }
    let adjuster = field.object(kind.fields())?;
    let ratio = |name| adjuster.maybe(name, Field::number).map(|ratio| ratio.unwrap_or(1.0));
    Ok(match kind {
        AdjusterKind::Screw => Adjuster::Screw(screw(&adjuster, ratio("rocker_ratio")?)?),
        AdjusterKind::Shim => Adjuster::Shim { sizes: shims(&adjuster, &field.path)? },
        AdjusterKind::Pushrod => Adjuster::Pushrod {
            lengths: adjuster
                .maybe("lengths", |field| field.each(|length| length.length(ROD_DIFFERENCE)))?
                .unwrap_or_default(),
            rocker_ratio: ratio("rocker_ratio")?,
        },
        AdjusterKind::None => Adjuster::None,
    })
}

fn screw(screw: &Fields<'_>, rocker_ratio: f64) -> Taken<Screw> {
    let threads = |field: &Field<'_>| {
        let must = "be a list of two whole numbers, as in [2, 5]";
        match field.list().or(field.wrong(must))?.as_slice() {
            [least, most] => Ok((least.small(0..=50)?, most.small(0..=50)?)),
            _ => field.wrong(must),
        }
    };
    Ok(Screw {
        pitch_mm: screw.maybe("pitch", Field::pitch_mm)?,
        at_valve_end: screw.maybe("fitted_at", |field| field.word(&SCREW_ENDS))?.unwrap_or(true),
        rocker_ratio,
        lock_nut: screw.words("lock_nut")?,
        lock_nut_torque: screw.maybe("lock_nut_torque", Field::torque)?,
        screw_drive: screw.words("screw_drive")?,
        threads_showing: screw.maybe("threads_showing", threads)?,
    })
}

fn shims(shim: &Fields<'_>, path: &str) -> Taken<Vec<Length>> {
    // A tie between two sizes goes to the thinner one, always: the field only says so.
    shim.maybe("kept_under_tie", |field| field.word(&TIE))?;
    let size = |field: &Field<'_>| field.length(CLEARANCE);
    let listed = shim.maybe("sizes", |field| field.each(size))?;
    let any_range = ["from", "to", "step"].iter().find(|name| shim.get(name).is_some());
    match (listed, any_range) {
        (Some(sizes), None) => return Ok(sizes),
        (None, None) => return Ok(Vec::new()),
        (Some(_), Some(name)) => {
            let must = "be left out: `sizes` lists the shims already";
            return Err(fault(format!("{path}.{name}"), "given beside `sizes`", must));
        }
        (None, Some(_)) => {}
    }
    let must = "be a length: a range of shims has `from`, `to` and `step`";
    let from = size(&shim.required("from", must)?)?;
    let last = shim.required("to", must)?;
    let to = size(&last)?;
    let step_field = shim.required("step", must)?;
    let step = size(&step_field)?;
    if step == Length::ZERO {
        return step_field.wrong("be more than nothing");
    }
    let span = (to - from).nm();
    if span < 0 || span % step.nm() != 0 {
        return last.wrong("be a whole number of steps above `from`");
    }
    let steps = span / step.nm();
    if steps >= SIZES_MAX {
        return step_field.wrong(format!("be larger: it makes more than {SIZES_MAX} sizes"));
    }
    Ok((0..=steps).map(|count| Length::from_nm(from.nm() + count * step.nm())).collect())
}

/// Reads one crank position of a table.
pub(super) fn stop(field: &Field<'_>) -> Taken<TableStop> {
    let stop = field.object(&STOP)?;
    let then_turn = stop.maybe("then_turn", |field| match field.number()? {
        0.0 => Ok(0),
        360.0 => Ok(360),
        _ => field.wrong("be 0 or 360"),
    })?;
    Ok(TableStop {
        watch: stop
            .required("watch", "name the cylinder that is watched")?
            .small(1..=CYLINDERS_MAX as Cylinder)?,
        sign: stop.maybe("sign", |field| field.word(&SIGNS))?.unwrap_or(Sign::Overlap),
        then_turn: then_turn.unwrap_or(0),
        unload: stop.maybe("unload", |field| field.each(valve))?.unwrap_or_default(),
        gauge: stop.required("gauge", "name the valves that are gauged here")?.each(valve)?,
        say: stop.maybe("say", |field| field.text(TEXT_MAX))?,
    })
}

/// Reads `"8 intake"` or `"1 exhaust 2"`.
fn valve(field: &Field<'_>) -> Taken<Valve> {
    let must = "be a valve, such as \"1 intake\" or \"1 exhaust 2\"";
    if !field.is_text() {
        return field.wrong(must);
    }
    let text = field.text(WORDS_MAX)?;
    let words: Vec<&str> = text.split_whitespace().collect();
    let found = match words.as_slice() {
        [cylinder, kind] => named(cylinder, kind, "1"),
        [cylinder, kind, number] => named(cylinder, kind, number),
        _ => None,
    };
    found.map_or_else(|| field.wrong(must), Ok)
}

fn named(cylinder: &str, kind: &str, number: &str) -> Option<Valve> {
    let kind = Kind::BOTH.into_iter().find(|other| other.word() == kind)?;
    Some(Valve { cylinder: cylinder.parse().ok()?, kind, number: number.parse().ok()? })
}
