//! `history`: what each valve did over an engine's hours.

use super::args;
use super::clock_now::warn_of_days;
use super::fail::Fail;
use super::profiles::print_json;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::service::{NoPair, Service};
use crate::domain::trend::History;
use crate::domain::valve::Valve;
use crate::guide::untold;
use crate::report::{self, history_json, history_sheet};
use crate::store::engines::Engine;
use std::collections::BTreeSet;

/// `history`.
pub fn history(
    world: &mut World<'_>,
    workshop: &Workshop,
    args: &args::History,
) -> Result<(), Fail> {
    let engine = workshop.engine(&args.engine)?;
    workshop.gone(&engine).iter().for_each(|words| world.warn(words));
    let (history, notes) = of(workshop, &engine, &BTreeSet::new())?;
    notes.iter().for_each(|note| world.warn(note));
    if args.json {
        let points = history.valves.iter().flat_map(|valve| &valve.points);
        let days = points.map(|point| (point.session.as_str(), point.began, point.day_doubtful));
        warn_of_days(world, days);
        return print_json(world, &history_json::history_json(&history));
    }
    write!(world.out, "{}", history_sheet::history_text(&history, report::WIDTH))?;
    Ok(())
}

/// Works out an engine's past without these valves, with what the user must be told beside it.
pub fn of(
    workshop: &Workshop,
    engine: &Engine,
    left_out: &BTreeSet<Valve>,
) -> Result<(History, Vec<String>), Fail> {
    let services = workshop.services(engine, workshop.sessions_of(engine)?);
    let told: Vec<Service> =
        services.things.into_iter().map(|service| untold::without(service, left_out)).collect();
    let history = History::of(&told, engine.hours_run()).ok_or_else(|| {
        let none = NoPair::NothingGauged;
        workshop.beside_unopened(engine, Fail::work(none.to_string(), none.hint()))
    })?;
    // An engine may have been given another name since.
    Ok((History { engine: engine.name.clone(), ..history }, services.notes))
}
