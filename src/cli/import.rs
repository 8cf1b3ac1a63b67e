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
use crate::store::folder::read_whole;
use crate::store::seen::Came;
use crate::store::shown;
use crate::store::table::{self, Problem};
use crate::store::unfinished::{Command, Note};
use plan::{Plan, Raised, Taken};
use std::path::Path;

/// Most bytes of a table.
const TABLE_MAX: u64 = 64 * 1024 * 1024;

/// `import`.
pub fn import(world: &mut World<'_>, workshop: &Workshop, args: &args::Import) -> Result<(), Fail> {
    let text = text_of(&args.file)?;
    let sessions = match table::read(text.as_bytes()) {
        Ok(sessions) => sessions,
        Err(problems) => return refuse(world, &args.file, &problems),
    };
    let mut plan = Plan::make(workshop, &sessions, (world.now)(), args.so_it_is)?;
    if !plan.problems.is_empty() {
        return refuse(world, &args.file, &plan.problems);
    }
    plan.notes.iter().for_each(|note| world.warn(&format!("{}, {note}", shown(&args.file))));
    // What is called taken is on the disk.
    if !args.dry_run {
        carry_out(world, workshop, &mut plan, &args.file)?;
    }
    let told = tell(world, &plan, args.dry_run);
    if args.dry_run { told } else { told.map_err(Fail::after_the_work) }
}

/// Reads a table's text; what spreadsheets write that is none of it is told by its name.
fn text_of(path: &Path) -> Result<String, Fail> {
    const SAVE: &str = "in the spreadsheet save it as \"CSV UTF-8\", the columns set apart by commas; \
                        then import that";
    let bytes = read_whole(path, TABLE_MAX)?;
    let file = shown(path);
    if bytes.starts_with(b"PK\x03\x04") {
        let error = format!("{file} is a workbook of a spreadsheet, and no table in text");
        return Err(Fail::work(error, SAVE));
    }
    let few = bytes.get(..1_000).unwrap_or(&bytes);
    let nuls = few.iter().filter(|byte| **byte == 0).count();
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") || nuls > few.len() / 3 {
        return Err(Fail::work(format!("{file} is written in UTF-16, and must be UTF-8"), SAVE));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let before = error.as_bytes().get(..error.utf8_error().valid_up_to()).unwrap_or_default();
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        // What is missing stands behind the end of the file.
        if error.utf8_error().error_len().is_none() {
            let error = format!("{file}, line {line}: the file was cut off within a letter");
            return Fail::work(error, "copy it once more, or save it again; then import that");
        }
        let what = "its letters are not written in UTF-8, but in Latin-1 or another old way";
        Fail::work(format!("{file}, line {line}: {what}"), SAVE)
    })?;
    let head = text.lines().next().unwrap_or_default();
    let between = [(';', "semicolons"), ('\t', "tabs")].into_iter().find(|(sign, _)| {
        head.split(*sign).filter(|name| table::COLUMNS.contains(&name.trim_matches('"'))).count()
            > 1
    });
    match between.filter(|_| !head.contains(',')) {
        Some((_, what)) => {
            let hint = format!("{SAVE}; a figure with a comma in it then stands in double quotes");
            let error =
                format!("{file}: its columns are set apart by {what}, and must be by commas");
            Err(Fail::work(error, hint))
        }
        None => Ok(text),
    }
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
            "new engine {}, profile {}, at {} h",
            plain(&engine.name),
            plain(&engine.profile),
            engine.counter()
        )?;
    }
    let stands = if dry { "would stand" } else { "now stands" };
    for Raised { engine, from, to, day, session, line, .. } in &plan.hours {
        let (engine, session) = (plain(engine), plain(session));
        writeln!(
            world.out,
            "{engine}: the counter stood at {from} h and {stands} at {to} h, by {session} of {day} (line {line})"
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
    tell_lacks(world, plan)?;
    let new = plan.sessions.iter().filter(|taken| taken.made.is_some()).count();
    let said = if dry { "would be taken" } else { "taken" };
    writeln!(world.out, "{new} of {} sessions {said}", plan.sessions.len())?;
    Ok(())
}

/// Says which sessions have no reading of some valves.
fn tell_lacks(world: &mut World<'_>, plan: &Plan) -> Result<(), Fail> {
    let lack = plan.sessions.iter().filter(|taken| taken.made.is_some() && taken.lacks_valves);
    let lack: Vec<String> = lack.map(|taken| plain(&taken.name)).collect();
    if let Some(first) = lack.first() {
        let which = match lack.len() {
            1 => format!("{first} has"),
            many => format!("{many} sessions ({first}, ...) have"),
        };
        writeln!(
            world.out,
            "{which} no reading of some valves: a table does not tell whether a service was ended, and \
             it counts as one that was"
        )?;
    }
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
    plan: &mut Plan,
    from: &Path,
) -> Result<(), Fail> {
    workshop.folder().prepare()?;
    // Nobody may add an engine of the same name meanwhile.
    let folder = workshop.folder();
    let lock = folder.lock_to_write(&[folder.engines(), folder.sessions()])?;
    let mut batch = Batch::watched(folder.progress().clone());
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
    let made = plan.sessions.iter().filter_map(|taken| taken.made.as_ref());
    let came = made.filter_map(|made| Came::of_bytes(Path::new(&made.0), &made.1));
    came.for_each(|one| one.note(folder));
    drop(lock);
    // What could not be told is not said to be.
    plan.hours.retain(|Raised { id, engine, day, to, .. }| {
        let told = engines::update(workshop.folder(), id, |engine| {
            engine.tell_hours(day, *to, engines::Counter::Same)
        });
        if let Err(error) = &told {
            world.warn(&format!("the hours of {engine} were not brought up to date: {error}"));
        }
        told.is_ok()
    });
    note.end(true)?;
    Ok(())
}
