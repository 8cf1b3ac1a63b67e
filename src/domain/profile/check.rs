//! What makes a profile sound: cylinders, firing order, layout, rotation and the smaller sections.
//!
//! Valves and what sets them are looked at in `check_valves`, a table of stops in `check_stops`.

use super::{Bank, CamRing, Covers, End, Facts, Kind, Layout, ProfileFault, Rotation, Shape};
use super::{check_stops, check_valves};
use crate::domain::units::TemperatureUnit;
use crate::domain::valve::Cylinder;

/// Most cylinders that an engine may have.
pub const CYLINDERS_MAX: usize = 48;
/// Most valves of one kind that a cylinder may have.
pub const VALVES_PER_CYLINDER_MAX: u8 = 8;
/// Most valves that an engine may have.
pub const VALVES_MAX: usize = 256;

/// How far the firing intervals may be from 720 degrees in all.
const INTERVALS_APART: f64 = 0.01;

/// Goes through everything and stops at the first field that cannot stand.
pub(super) fn all(facts: &Facts) -> Result<(), ProfileFault> {
    ensure(!facts.name.trim().is_empty(), "name", "empty", "say what kind of engine this is")?;
    firing_order(&facts.firing_order)?;
    firing_intervals(&facts.firing_intervals, facts.cylinders())?;
    // The counts come before whatever loops over valves.
    check_valves::counts(facts)?;
    layout(facts)?;
    facts.rotation.as_ref().map_or(Ok(()), rotation)?;
    check_valves::all(facts)?;
    temperatures(facts)?;
    covers(&facts.covers)?;
    intervals(facts)?;
    facts.stops.as_ref().map_or(Ok(()), |stops| check_stops::all(facts, stops))
}

/// Makes a fault where a condition does not hold.
pub(super) fn ensure(
    holds: bool,
    field: impl Into<String>,
    found: impl Into<String>,
    must: impl Into<String>,
) -> Result<(), ProfileFault> {
    if holds {
        return Ok(());
    }
    Err(ProfileFault { field: field.into(), found: found.into(), must: must.into() })
}

fn firing_order(order: &[Cylinder]) -> Result<(), ProfileFault> {
    let count = order.len();
    ensure(
        (1..=CYLINDERS_MAX).contains(&count),
        "cylinders",
        count.to_string(),
        format!("be a whole number from 1 to {CYLINDERS_MAX}"),
    )?;
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    ensure(
        sorted.iter().map(|cylinder| usize::from(*cylinder)).eq(1..=count),
        "firing_order",
        joined(order, "-"),
        format!("name each cylinder from 1 to {count} once"),
    )
}

fn firing_intervals(intervals: &[f64], count: usize) -> Result<(), ProfileFault> {
    let field = "firing_intervals";
    ensure(
        intervals.len() == count,
        field,
        format!("a list of {}", intervals.len()),
        format!("list {count} intervals, from each firing to the next"),
    )?;
    for (at, degrees) in intervals.iter().enumerate() {
        ensure(
            (0.0..=720.0).contains(degrees),
            format!("{field}[{at}]"),
            degrees.to_string(),
            "lie between 0 and 720 degrees",
        )?;
    }
    let sum: f64 = intervals.iter().sum();
    ensure(
        (sum - 720.0).abs() <= INTERVALS_APART,
        field,
        format!("{}, together {}", joined(intervals, " + "), (sum * 1000.0).round() / 1000.0),
        "add up to 720 degrees",
    )
}

fn layout(facts: &Facts) -> Result<(), ProfileFault> {
    let layout = &facts.layout;
    every_cylinder_in_a_bank(layout, facts.cylinders())?;
    for (at, bank) in layout.banks.iter().enumerate() {
        let field = format!("layout.banks[{at}]");
        ensure(!bank.name.trim().is_empty(), format!("{field}.name"), "empty", "name the bank")?;
        ensure(
            !layout.banks[..at].iter().any(|other| other.name == bank.name),
            format!("{field}.name"),
            format!("\"{}\" a second time", bank.name),
            "be another name than the other banks have",
        )?;
        ensure(
            (0.0..360.0).contains(&bank.first_at),
            format!("{field}.first_at"),
            bank.first_at.to_string(),
            "lie from 0 up to 360 degrees from the top",
        )?;
        labels(layout, bank, &field)?;
        valves_along(facts, bank, &field)?;
    }
    if let Some(angle) = layout.angle {
        ensure(
            layout.shape == Shape::Vee,
            "layout.angle",
            format!("{angle} on an engine that is no vee"),
            "be left out, or `layout.shape` be \"vee\"",
        )?;
        let sound = angle > 0.0 && angle <= 180.0;
        ensure(sound, "layout.angle", angle.to_string(), "lie between 0 and 180 degrees")?;
    }
    cam_ring(facts)
}

fn every_cylinder_in_a_bank(layout: &Layout, count: usize) -> Result<(), ProfileFault> {
    let must = format!("name each cylinder from 1 to {count} once");
    for (at, bank) in layout.banks.iter().enumerate() {
        let field = format!("layout.banks[{at}].cylinders");
        ensure(!bank.cylinders.is_empty(), &field, "empty", "list at least one cylinder")?;
        for (place, cylinder) in bank.cylinders.iter().enumerate() {
            let here = format!("{field}[{place}]");
            let known = (1..=count).contains(&usize::from(*cylinder));
            let found = format!("{cylinder}, which is no cylinder of this engine");
            ensure(known, &here, found, format!("be a cylinder from 1 to {count}"))?;
            let before = layout.banks[..at].iter().flat_map(|earlier| &earlier.cylinders);
            let twice = before.chain(&bank.cylinders[..place]).any(|other| other == cylinder);
            ensure(!twice, here, format!("{cylinder} a second time"), &must)?;
        }
    }
    let banked = |cylinder: &usize| {
        layout.banks.iter().flat_map(|bank| &bank.cylinders).any(|c| usize::from(*c) == *cylinder)
    };
    match (1..=count).find(|cylinder| !banked(cylinder)) {
        Some(missing) => {
            ensure(false, "layout.banks", format!("a list without cylinder {missing}"), must)
        }
        None => Ok(()),
    }
}

fn labels(layout: &Layout, bank: &Bank, field: &str) -> Result<(), ProfileFault> {
    let field = format!("{field}.labels");
    ensure(
        bank.labels.is_empty() || bank.labels.len() == bank.cylinders.len(),
        &field,
        format!("a list of {}", bank.labels.len()),
        format!("list one label for each of the {} cylinders", bank.cylinders.len()),
    )?;
    for (at, label) in bank.labels.iter().enumerate() {
        let field = format!("{field}[{at}]");
        ensure(
            !label.trim().is_empty(),
            &field,
            "empty",
            "say what the manual calls the cylinder",
        )?;
        let uses =
            layout.banks.iter().flat_map(|bank| &bank.labels).filter(|other| *other == label);
        ensure(
            uses.count() == 1,
            field,
            format!("\"{label}\", which stands for another cylinder too"),
            "be this cylinder's alone",
        )?;
    }
    Ok(())
}

fn valves_along(facts: &Facts, bank: &Bank, field: &str) -> Result<(), ProfileFault> {
    let Some(along) = &bank.valves_along else { return Ok(()) };
    let count = |kind| along.iter().filter(|other| **other == kind).count();
    let wanted = |kind| bank.cylinders.len() * usize::from(facts.spec(kind).per_cylinder);
    ensure(
        Kind::BOTH.into_iter().all(|kind| count(kind) == wanted(kind)),
        format!("{field}.valves_along"),
        format!("{} times I and {} times E", count(Kind::Intake), count(Kind::Exhaust)),
        format!(
            "show the bank's {} intake and {} exhaust valves",
            wanted(Kind::Intake),
            wanted(Kind::Exhaust)
        ),
    )
}

fn cam_ring(facts: &Facts) -> Result<(), ProfileFault> {
    let Some(ring) = facts.layout.cam_ring else { return Ok(()) };
    ensure(
        facts.layout.shape == Shape::Radial,
        "layout.cam_ring",
        "set on an engine that is no radial",
        "be left out, or `layout.shape` be \"radial\"",
    )?;
    ensure(
        ring == CamRing::Fixed || facts.stops.is_some(),
        "layout.cam_ring",
        "\"floating\" without a table of `stops`",
        "come with the manual's table of crank positions: none can be worked out for a floating cam ring",
    )
}

fn rotation(rotation: &Rotation) -> Result<(), ProfileFault> {
    let named = !rotation.turn_by.trim().is_empty();
    ensure(named, "rotation.turn_by", "empty", "say what the crank is turned by")?;
    ensure(
        matches!(rotation.propeller_at, End::Front | End::Rear),
        "rotation.propeller_at",
        format!("\"{}\"", rotation.propeller_at.words()),
        "be \"front\" or \"rear\"",
    )?;
    let blades = rotation.blades.unwrap_or(1);
    let sound = (1..=12).contains(&blades);
    ensure(sound, "rotation.blades", blades.to_string(), "be a whole number from 1 to 12")
}

fn temperatures(facts: &Facts) -> Result<(), ProfileFault> {
    let when = facts.gauge_when;
    let (Some(least), Some(most)) = (when.no_cooler_than, when.no_warmer_than) else {
        return Ok(());
    };
    ensure(
        least <= most,
        "gauge_when.no_cooler_than",
        least.text(TemperatureUnit::Celsius),
        format!("not be above `no_warmer_than`, {}", most.text(TemperatureUnit::Celsius)),
    )
}

fn covers(covers: &Covers) -> Result<(), ProfileFault> {
    let count = covers.count;
    ensure(count <= 96, "covers.count", count.to_string(), "be a whole number from 0 to 96")?;
    for (at, hardware) in covers.hardware.iter().enumerate() {
        let field = format!("covers.hardware[{at}]");
        let named = !hardware.item.trim().is_empty();
        ensure(named, format!("{field}.item"), "empty", "name what is counted")?;
        ensure(
            !covers.hardware[..at].iter().any(|other| other.item == hardware.item),
            format!("{field}.item"),
            format!("\"{}\" a second time", hardware.item),
            "be named once, with all its pieces in `each`",
        )?;
        let sound = (1..=200).contains(&hardware.each);
        let found = hardware.each.to_string();
        ensure(sound, format!("{field}.each"), found, "be a whole number from 1 to 200")?;
    }
    Ok(())
}

fn intervals(facts: &Facts) -> Result<(), ProfileFault> {
    let hours = [
        ("interval_hours", facts.interval_hours),
        ("first_interval_hours", facts.first_interval_hours),
    ];
    for (field, hours) in hours {
        let hours = hours.unwrap_or(1.0);
        let sound = hours > 0.0 && hours <= 100_000.0;
        ensure(sound, field, hours.to_string(), "be more than 0 and at most 100000 hours")?;
    }
    let months = facts.interval_months.unwrap_or(1);
    let sound = (1..=1200).contains(&months);
    ensure(sound, "interval_months", months.to_string(), "be a whole number from 1 to 1200")
}

fn joined<T: ToString>(values: &[T], between: &str) -> String {
    values.iter().map(T::to_string).collect::<Vec<_>>().join(between)
}
