//! `export`: every reading of every engine as one flat table.

use super::args;
use super::fail::Fail;
use super::workshop::{Workshop, service_of};
use super::world::World;
use crate::domain::entry::Hours;
use crate::domain::flat::{self, Row};
use crate::domain::session::Session;
use crate::store::engines;
use crate::store::journal::Verdict;
use crate::store::sessions::{self, Glance};
use crate::store::table;

/// `export`.
pub fn export(world: &mut World<'_>, workshop: &Workshop, args: &args::Export) -> Result<(), Fail> {
    let listing = engines::list(workshop.folder())?;
    for broken in &listing.broken {
        world.warn(&format!("left out: {broken}"));
    }
    let known = workshop.sessions()?;
    known.notes.iter().for_each(|note| world.warn(note));
    if !args.jsonl {
        write!(world.out, "{}", table::csv_head())?;
    }
    let spell = if args.jsonl { table::json_line } else { table::csv_line };
    // One engine at a time, so that memory grows with one engine and not with the shop.
    for engine in &listing.engines {
        let its: Vec<&Glance> = sessions::of_engine(&known.things, engine).collect();
        let (rows, notes) = rows_of(workshop, engine, &its)?;
        notes.iter().for_each(|note| world.warn(note));
        for row in &rows {
            world.out.write_all(spell(row).as_bytes())?;
        }
    }
    let none = |one: &&Glance| {
        listing
            .engines
            .iter()
            .all(|engine| sessions::of_engine(std::slice::from_ref(*one), engine).next().is_none())
    };
    for lost in known.things.iter().filter(none) {
        world.warn(&format!("left out: session {} is of an engine that is not here", lost.name));
    }
    Ok(())
}

/// Writes the sessions of an engine as rows: by hours, date and name, readings in journal order.
pub fn rows_of(
    workshop: &Workshop,
    engine: &engines::Engine,
    its: &[&Glance],
) -> Result<(Vec<Row>, Vec<String>), Fail> {
    let mut notes = Vec::new();
    let mut sessions: Vec<((Hours, i64, String), Vec<Row>)> = Vec::new();
    for listed in its.iter().filter(|one| one.version.is_none_or(|version| version.counts)) {
        let opened = match workshop.read(&listed.path) {
            Ok(opened) => opened,
            Err(fail) => {
                notes.push(format!("left out: {}", fail.words()));
                continue;
            }
        };
        if opened.verdict != Verdict::Clean {
            notes.push(format!("{}: {}", listed.name, opened.verdict));
        }
        let Some(session) = Session::replay(&opened.entries) else { continue };
        let service = service_of(engine, &session);
        let hours = service.hours.unwrap_or(Hours(i64::MAX));
        let began = service.began.map_or(i64::MAX, |began| began.unix_ms);
        let place = (hours, began, service.called().to_string());
        sessions.push((place, flat::rows(&session, &service, &engine.name)));
    }
    sessions.sort_by(|one, other| one.0.cmp(&other.0));
    Ok((sessions.into_iter().flat_map(|(_, rows)| rows).collect(), notes))
}
