//! `import`: past services from the flat table, all of them or none.
//!
//! First everything is made in memory and read back; what cannot be made is told by its line. Only
//! then are engines and sessions put into the data folder.

mod hours;
mod plan;

use super::args;
use super::fail::Fail;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::report::dates;
use crate::store::batch::Batch;
use crate::store::engines;
use crate::store::folder::read_text;
use crate::store::shown;
use crate::store::table::{self, Problem};
use crate::store::unfinished::{Command, Note};
use plan::{Plan, Taken};
use std::path::Path;

/// Most bytes of a table.
const TABLE_MAX: u64 = 64 * 1024 * 1024;

/// `import`.
pub fn import(world: &mut World<'_>, workshop: &Workshop, args: &args::Import) -> Result<(), Fail> {
    let text = read_text(&args.file, TABLE_MAX)?;
    let sessions = match table::read(text.as_bytes()) {
        Ok(sessions) => sessions,
        Err(problems) => return refuse(world, &args.file, &problems),
    };
    let plan = Plan::make(workshop, &sessions, (world.now)())?;
    if !plan.problems.is_empty() {
        return refuse(world, &args.file, &plan.problems);
    }
    plan.notes.iter().for_each(|note| world.warn(&format!("{}, {note}", shown(&args.file))));
    // What is called taken is on the disk.
    if !args.dry_run {
        carry_out(world, workshop, &plan, &args.file)?;
    }
    let told = tell(world, &plan, args.dry_run);
    if args.dry_run { told } else { told.map_err(Fail::after_the_work) }
}

fn refuse(world: &mut World<'_>, from: &Path, problems: &[Problem]) -> Result<(), Fail> {
    let mut problems: Vec<&Problem> = problems.iter().collect();
    problems.sort_by_key(|problem| problem.line);
    let file = shown(from);
    for Problem { line, what } in &problems {
        writeln!(world.out, "{file}, line {line}: {}", plain(what))?;
    }
    let count = problems.len();
    let ending = if count == 1 { "" } else { "s" };
    Err(Fail::work(
        format!("{file} has {count} problem{ending}: nothing was taken"),
        "put the lines right, then import it again",
    ))
}

fn tell(world: &mut World<'_>, plan: &Plan, dry: bool) -> Result<(), Fail> {
    for engine in &plan.engines {
        writeln!(
            world.out,
            "new engine {}, profile {}",
            plain(&engine.name),
            plain(&engine.profile)
        )?;
    }
    for Taken { engine, name, began, hours, readings, passed_over, .. } in &plan.sessions {
        let (engine, name) = (plain(engine), plain(name));
        let what = match (readings, passed_over) {
            (0, n) => format!("{n} here already"),
            (n, 0) => counted(*n),
            (n, passed) => format!("{}, {passed} here already", counted(*n)),
        };
        writeln!(world.out, "{engine}: {name}, {}, {hours} h: {what}", dates::day(*began))?;
    }
    let new = plan.sessions.iter().filter(|taken| taken.made.is_some()).count();
    let said = if dry { "would be taken" } else { "taken" };
    writeln!(world.out, "{new} of {} sessions {said}", plan.sessions.len())?;
    Ok(())
}

/// Counts readings.
fn counted(readings: usize) -> String {
    format!("{readings} reading{}", if readings == 1 { "" } else { "s" })
}

/// Takes what was planned. A run that dies between leaves a note of it.
fn carry_out(
    world: &mut World<'_>,
    workshop: &Workshop,
    plan: &Plan,
    from: &Path,
) -> Result<(), Fail> {
    workshop.folder().prepare()?;
    // Nobody may add an engine of the same name meanwhile.
    let folder = workshop.folder();
    let lock = folder.lock_to_write(&[folder.engines(), folder.sessions()])?;
    let mut batch = Batch::default();
    let mut new = Vec::new();
    for engine in &plan.engines {
        let (path, bytes) = engines::file_of(workshop.folder(), engine)?;
        batch.add(&path, bytes)?;
        new.push(path);
    }
    for made in plan.sessions.iter().filter_map(|taken| taken.made.as_ref()) {
        let path = folder.sessions().join(&made.0);
        batch.add(&path, &made.1)?;
        new.push(path);
    }
    let note = Note::begin(folder, (Command::Import, from), new)?;
    if let Err(error) = batch.finish() {
        note.end(false)?;
        return Err(error.into());
    }
    drop(lock);
    for (id, day, hours) in &plan.hours {
        let told = engines::update(workshop.folder(), id, |engine| {
            engine.tell_hours(day, *hours, engines::Counter::Same)
        });
        if let Err(error) = told {
            world.warn(&format!("the engine's hours were not brought up to date: {error}"));
        }
    }
    note.end(true)?;
    Ok(())
}
