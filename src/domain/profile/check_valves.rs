//! What makes valves and what sets them sound: counts, bands, timing, adjuster, leaves.

use super::check::{VALVES_MAX, VALVES_PER_CYLINDER_MAX, ensure};
use super::{Adjuster, Facts, Figures, Kind, ProfileFault, Screw, Timing, ValveSpec};
use crate::domain::units::{CLEARANCE, Length, LengthUnit};

/// Checks how many valves there are.
pub(super) fn counts(facts: &Facts) -> Result<(), ProfileFault> {
    for kind in Kind::BOTH {
        let count = facts.spec(kind).per_cylinder;
        ensure(
            (1..=VALVES_PER_CYLINDER_MAX).contains(&count),
            format!("valves.{}.per_cylinder", kind.word()),
            count.to_string(),
            format!("be a whole number from 1 to {VALVES_PER_CYLINDER_MAX}"),
        )?;
    }
    let each = usize::from(facts.intake.per_cylinder) + usize::from(facts.exhaust.per_cylinder);
    let all = facts.cylinders() * each;
    ensure(
        all <= VALVES_MAX,
        "cylinders",
        format!("{} with {all} valves in all", facts.cylinders()),
        format!("have at most {VALVES_MAX} valves in all"),
    )
}

/// Checks figures, timing, adjuster and leaves.
pub(super) fn all(facts: &Facts) -> Result<(), ProfileFault> {
    for kind in Kind::BOTH {
        valve(facts, kind)?;
    }
    facts.timing.as_ref().map_or(Ok(()), timing)?;
    adjuster(facts)?;
    for (at, leaf) in facts.leaves.iter().enumerate() {
        thickness(*leaf, &format!("leaves[{at}]"), facts.unit)?;
    }
    Ok(())
}

fn valve(facts: &Facts, kind: Kind) -> Result<(), ProfileFault> {
    let spec = facts.spec(kind);
    let field = format!("valves.{}", kind.word());
    for (figures, place) in [(spec.cold, field.clone()), (spec.hot, format!("{field}.hot"))] {
        figures.map_or(Ok(()), |figures| bands(figures, &place, facts.unit))?;
    }
    let (figures, engine, place) = match facts.gauge_when.hot {
        true => (spec.hot, "hot", format!("{field}.hot")),
        false => (spec.cold, "cold", field.clone()),
    };
    ensure(
        figures.is_some(),
        format!("{place}.target"),
        "missing",
        format!("be given, since this engine is gauged {engine}"),
    )?;
    position(spec, &field)?;
    let leaves = spec.leaves_at_once;
    ensure(
        (1..=4).contains(&leaves),
        format!("{field}.leaves_at_once"),
        leaves.to_string(),
        "be a whole number from 1 to 4",
    )
}

fn position(spec: &ValveSpec, field: &str) -> Result<(), ProfileFault> {
    let count = spec.position.len();
    ensure(
        count == 0 || count == usize::from(spec.per_cylinder),
        format!("{field}.position"),
        format!("a list of {count}"),
        format!("give one place for each of the {} valves", spec.per_cylinder),
    )
}

/// Checks `least ≤ set_least ≤ target ≤ set_most ≤ most`, all in 0..25 mm.
fn bands(figures: Figures, field: &str, unit: LengthUnit) -> Result<(), ProfileFault> {
    let Figures { target, least, most, set_least, set_most } = figures;
    let named = [
        ("target", target),
        ("least", least),
        ("most", most),
        ("set_least", set_least),
        ("set_most", set_most),
    ];
    for (name, length) in named {
        ensure(
            CLEARANCE.contains(&length),
            format!("{field}.{name}"),
            length.text(unit),
            format!("lie between 0 and {}", Length::MAX_CLEARANCE.text(unit)),
        )?;
    }
    ensure(
        least <= most,
        format!("{field}.least"),
        least.text(unit),
        format!("not be above `most`, {}", most.text(unit)),
    )?;
    let band = |least: Length, most: Length| format!("{} to {}", least.text(unit), most.text(unit));
    for (name, length) in [("set_least", set_least), ("set_most", set_most)] {
        ensure(
            (least..=most).contains(&length),
            format!("{field}.{name}"),
            length.text(unit),
            format!("lie inside the band that a valve is found in, {}", band(least, most)),
        )?;
    }
    ensure(
        set_least <= set_most,
        format!("{field}.set_least"),
        set_least.text(unit),
        format!("not be above `set_most`, {}", set_most.text(unit)),
    )?;
    ensure(
        (set_least..=set_most).contains(&target),
        format!("{field}.target"),
        target.text(unit),
        format!("lie inside the band that a valve is left in, {}", band(set_least, set_most)),
    )
}

fn timing(timing: &Timing) -> Result<(), ProfileFault> {
    let Timing {
        intake_opens_btdc,
        intake_closes_abdc,
        exhaust_opens_bbdc,
        exhaust_closes_atdc,
        ramp,
    } = *timing;
    let events = [
        ("intake_opens", intake_opens_btdc),
        ("intake_closes", intake_closes_abdc),
        ("exhaust_opens", exhaust_opens_bbdc),
        ("exhaust_closes", exhaust_closes_atdc),
    ];
    for (name, degrees) in events {
        ensure(
            (-180.0..=180.0).contains(&degrees),
            format!("valve_timing.{name}"),
            degrees.abs().to_string(),
            "lie between 0 and 180 degrees from its dead centre",
        )?;
    }
    let sound = (0.0..=90.0).contains(&ramp);
    ensure(sound, "valve_timing.ramp", ramp.to_string(), "lie between 0 and 90 degrees")?;
    let openings = [
        ("intake_closes", intake_opens_btdc + 180.0 + intake_closes_abdc),
        ("exhaust_closes", exhaust_opens_bbdc + 180.0 + exhaust_closes_atdc),
    ];
    for (name, open) in openings {
        ensure(
            open > 0.0,
            format!("valve_timing.{name}"),
            "before the valve has opened",
            "come after its opening",
        )?;
    }
    Ok(())
}

fn adjuster(facts: &Facts) -> Result<(), ProfileFault> {
    match &facts.adjuster {
        Adjuster::Screw(screw) => self::screw(screw),
        Adjuster::Shim { sizes } => {
            for (at, size) in sizes.iter().enumerate() {
                thickness(*size, &format!("adjuster.sizes[{at}]"), facts.unit)?;
            }
            Ok(())
        }
        Adjuster::Pushrod { lengths, rocker_ratio } => {
            ratio(*rocker_ratio)?;
            for (at, length) in lengths.iter().enumerate() {
                let most = Length::MAX_CLEARANCE;
                ensure(
                    (Length::SHORTEST_ROD..=most).contains(length),
                    format!("adjuster.lengths[{at}]"),
                    length.text(facts.unit),
                    format!("differ from standard by at most {}", most.text(facts.unit)),
                )?;
            }
            Ok(())
        }
        Adjuster::None => Ok(()),
    }
}

fn screw(screw: &Screw) -> Result<(), ProfileFault> {
    ratio(screw.rocker_ratio)?;
    if let Some(pitch) = screw.pitch_mm {
        let sound = pitch > 0.0 && pitch <= 25.0;
        ensure(sound, "adjuster.pitch", format!("{pitch} mm"), "be more than 0 and at most 25 mm")?;
    }
    let Some((least, most)) = screw.threads_showing else { return Ok(()) };
    ensure(
        least <= most,
        "adjuster.threads_showing",
        format!("[{least}, {most}]"),
        "give the smaller number first",
    )
}

fn ratio(ratio: f64) -> Result<(), ProfileFault> {
    let sound = (0.1..=10.0).contains(&ratio);
    ensure(sound, "adjuster.rocker_ratio", ratio.to_string(), "lie between 0.1 and 10")
}

fn thickness(length: Length, field: &str, unit: LengthUnit) -> Result<(), ProfileFault> {
    ensure(
        length > Length::ZERO && length <= Length::MAX_CLEARANCE,
        field,
        length.text(unit),
        format!("be more than 0 and at most {}", Length::MAX_CLEARANCE.text(unit)),
    )
}
