//! What makes a manual's table of crank positions sound: every valve gauged exactly once.
//!
//! A published table was once damaged in print so that one valve was missing and another stood
//! twice (TM 5-3895-385-23-2): a table is not trusted before it has been counted through.

use super::check::ensure;
use super::{Facts, ProfileFault, Sign, TableStop};
use crate::domain::valve::Valve;

/// Valves named in one message; the rest is counted.
const NAMED_MAX: usize = 6;

/// Checks the whole table.
pub(super) fn all(facts: &Facts, stops: &[TableStop]) -> Result<(), ProfileFault> {
    ensure(
        !stops.is_empty(),
        "stops",
        "empty",
        "list at least one crank position, or be left out",
    )?;
    for (at, stop) in stops.iter().enumerate() {
        one(facts, stop, &format!("stops[{at}]"))?;
    }
    every_valve_once(facts, stops)
}

fn one(facts: &Facts, stop: &TableStop, field: &str) -> Result<(), ProfileFault> {
    ensure(
        facts.firing_order.contains(&stop.watch),
        format!("{field}.watch"),
        format!("{}, which is no cylinder of this engine", stop.watch),
        format!("be a cylinder from 1 to {}", facts.cylinders()),
    )?;
    ensure(
        stop.then_turn == 0 || stop.then_turn == 360,
        format!("{field}.then_turn"),
        stop.then_turn.to_string(),
        "be 0 or 360",
    )?;
    ensure(
        stop.sign != Sign::Mark || stop.say.as_ref().is_some_and(|say| !say.trim().is_empty()),
        format!("{field}.say"),
        "missing",
        "tell the mark, since `sign` is \"mark\"",
    )?;
    ensure(
        !stop.gauge.is_empty(),
        format!("{field}.gauge"),
        "empty",
        "name the valves that are gauged here",
    )?;
    for (name, valves) in [("gauge", &stop.gauge), ("unload", &stop.unload)] {
        for (at, valve) in valves.iter().enumerate() {
            ensure(
                facts.firing_order.contains(&valve.cylinder)
                    && (1..=facts.spec(valve.kind).per_cylinder).contains(&valve.number),
                format!("{field}.{name}[{at}]"),
                format!("\"{valve}\", a valve that this engine has not"),
                "be a valve of this engine, such as \"1 intake\"",
            )?;
        }
    }
    for (at, valve) in stop.unload.iter().enumerate() {
        let field = format!("{field}.unload[{at}]");
        let twice = stop.unload[..at].contains(valve);
        ensure(!twice, &field, format!("\"{valve}\" a second time"), "be named once")?;
        ensure(
            !stop.gauge.contains(valve),
            field,
            format!("\"{valve}\", which is gauged at this stop"),
            "be a valve that is not gauged while it is pressed open",
        )?;
    }
    Ok(())
}

fn every_valve_once(facts: &Facts, stops: &[TableStop]) -> Result<(), ProfileFault> {
    let times = |valve: &Valve| {
        stops.iter().flat_map(|stop| &stop.gauge).filter(|other| *other == valve).count()
    };
    let valves = facts.valves();
    let missing: Vec<Valve> = valves.iter().copied().filter(|valve| times(valve) == 0).collect();
    let twice: Vec<Valve> = valves.into_iter().filter(|valve| times(valve) > 1).collect();
    let found = match (missing.is_empty(), twice.is_empty()) {
        (true, true) => return Ok(()),
        (false, true) => format!("a table without {}", named(&missing)),
        (true, false) => format!("a table with {} more than once", named(&twice)),
        (false, false) => {
            format!(
                "a table without {}, and with {} more than once",
                named(&missing),
                named(&twice)
            )
        }
    };
    ensure(false, "stops", found, "gauge every valve exactly once")
}

fn named(valves: &[Valve]) -> String {
    let mut words: Vec<String> = valves.iter().take(NAMED_MAX).map(Valve::to_string).collect();
    if valves.len() > NAMED_MAX {
        words.push(format!("{} more", valves.len() - NAMED_MAX));
    }
    words.join(", ")
}
