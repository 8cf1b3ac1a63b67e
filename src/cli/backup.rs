//! `backup` and `restore`: everything of the data folder in one file, and back again.

use super::args_own::{Backup, ReplaceKind, Restore};
use super::fail::Fail;
use super::take::words_of;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::report::dates;
use crate::store::backup::{self, Kind, Plan, Replace, Thing, Whole, given_up};
use crate::store::hash::code_of;
use crate::store::seen;
use crate::store::shown;
use crate::store::take::What;
use crate::store::verify::{self, Gone};
use crate::store::words::as_typed;
use std::path::Path;

/// `backup`. Where a file had to be left out, what is in the backup is whole, and yet the work is not
/// done.
pub fn backup(world: &mut World<'_>, workshop: &Workshop, args: &Backup) -> Result<(), Fail> {
    let now = (world.now)();
    let at = dates::rfc3339(now).unwrap_or_default();
    let program = concat!("cowlside ", env!("CARGO_PKG_VERSION"));
    let made = backup::write(workshop.folder(), &args.file, &at, program)?;
    for note in &made.notes {
        world.warn(note);
    }
    // The backup is written: that its sessions cannot be listed any more takes nothing from it.
    let sessions = workshop.sessions().map_or_else(
        |fail| {
            let words =
                format!("which sessions in it are damaged cannot be told: {}", fail.words());
            world.warn(&words);
            Vec::new()
        },
        |found| found.things,
    );
    for damaged in sessions.iter().filter(|one| one.verdict.is_damage()) {
        let (name, verdict) = (&damaged.name, &damaged.verdict);
        world.warn(&plain(&format!("in the backup as it is, damaged: session {name}: {verdict}")));
    }
    wrong_in_it(world, workshop, &made.notes);
    for one in sessions.iter().filter(|one| !one.verdict.is_damage() && one.counts()) {
        if let Some(missed) = seen::fewer(workshop.folder(), &one.id, one.entries) {
            let words = format!("in the backup as it is: session {}: {missed}", one.name);
            world.warn(&plain(&words));
        }
    }
    let gone = verify::gone(workshop.folder()).unwrap_or_default();
    for gone in &gone {
        world.warn(&plain(&format!("not in the backup: {gone}")));
    }
    let counted = |kind: Kind| made.files.iter().filter(|(one, _)| *one == kind).count();
    let bytes: u64 = made.files.iter().map(|(_, bytes)| bytes).sum();
    let settings = if counted(Kind::Settings) > 0 { "settings" } else { "no settings" };
    let aside = match counted(Kind::SetAside) {
        0 => String::new(),
        n => format!(", {} set aside here", many(n, "file")),
    };
    writeln!(
        world.out,
        "{}: {}, {}, {}, {settings}{aside}; {bytes} bytes, read back and whole",
        shown(&args.file),
        many(counted(Kind::Engine), "engine"),
        many(counted(Kind::Session), "session"),
        many(counted(Kind::Profile), "own profile"),
    )
    .map_err(Fail::words_lost)?;
    let code = code_of(&made.hash).unwrap_or_default();
    writeln!(world.out, "its code: {code}").map_err(Fail::words_lost)?;
    if made.left_out == 0 {
        return is_all_here(&gone);
    }
    let files = many(made.left_out, "file");
    writeln!(world.out, "{files} LEFT OUT: see above")?;
    let were = if made.left_out == 1 { "was" } else { "were" };
    Err(Fail::work(
        format!("{files} of the data folder {were} left out of the backup"),
        "what is in it is whole; the warnings name what is not: mend it, copy it by hand, or move it \
         away, and back up again under another name",
    ))
}

/// Ends in a failure where a backup lacks what was here and is gone, or is kept elsewhere.
fn is_all_here(gone: &[Gone]) -> Result<(), Fail> {
    if gone.is_empty() {
        return Ok(());
    }
    let elsewhere = gone.iter().filter(|one| one.lies_elsewhere().is_some()).count();
    if elsewhere == gone.len() {
        let sessions = match elsewhere {
            1 => "1 session is".to_owned(),
            n => format!("{n} sessions are"),
        };
        return Err(Fail::work(
            format!("{sessions} kept elsewhere, and not in the backup"),
            "what is in it is whole; the warnings say how to take home what is not; then back up again \
             under another name",
        ));
    }
    let (files, were) = match gone.len() {
        1 => ("1 file that was".to_owned(), "is"),
        n => (format!("{n} files that were"), "are"),
    };
    Err(Fail::work(
        format!("{files} in the data folder {were} gone, and not in the backup"),
        "what is in it is whole; the warnings say how to bring back what is not, or how to say that it was \
         taken away on purpose; then back up again under another name",
    ))
}

/// Says of engines, profiles and settings what is wrong with them in the backup; what was left out is not in
/// it.
fn wrong_in_it(world: &mut World<'_>, workshop: &Workshop, notes: &[String]) {
    let is_left_out = |file: &str| {
        let names = |note: &String| note.starts_with("left out") && note.contains(file);
        !file.is_empty() && notes.iter().any(names)
    };
    let others = verify::others(workshop.folder()).unwrap_or_default();
    for other in others.into_iter().filter(|other| !is_left_out(&other.name)) {
        if let Some(wrong) = &other.wrong {
            let named =
                if other.name.is_empty() { String::new() } else { format!(" {}", other.name) };
            let words = format!("in the backup as it is: {}{named}: {wrong}", other.kind);
            world.warn(&plain(&words));
        }
    }
}

/// `restore`.
pub fn restore(world: &mut World<'_>, workshop: &Workshop, args: &Restore) -> Result<(), Fail> {
    let replaces = |kind| args.replace.contains(&kind);
    let replace = Replace {
        engines: replaces(ReplaceKind::Engines),
        profiles: replaces(ReplaceKind::Profiles),
        settings: replaces(ReplaceKind::Settings),
    };
    // Before it is begun: this one's note takes the place of the other's.
    let told = given_up(workshop.folder(), &args.file, replace);
    if let Some(words) = &told {
        world.warn(words);
    }
    let plan = Plan::make(workshop.folder(), &args.file, replace, args.dry_run)?;
    if let Some(words) = plan.given_up().filter(|_| told.is_none()) {
        world.warn(&words);
    }
    let (things, whole) = (plan.things.clone(), plan.whole.clone());
    let untidy = if args.dry_run { None } else { plan.carry_out()? };
    let told = tell(world, &things, &whole, args.dry_run);
    if args.dry_run {
        told?
    } else {
        told.map_err(Fail::after_the_work)?
    }
    if let Some(error) = untidy {
        world.warn(&format!(
            "all of it is done, but not its note removed: {error}; where the next start says that \
             this restore was cut off, run it once more"
        ));
    }
    Ok(())
}

/// Returns the option that takes what differs from the backup, with the kinds of it.
fn replace_option(things: &[Thing]) -> String {
    let kinds =
        [(Kind::Engine, "engines"), (Kind::Profile, "profiles"), (Kind::Settings, "settings")];
    let differs = |kind: Kind| {
        things.iter().any(|one| one.kind == kind && matches!(one.what, What::Differs(_)))
    };
    let named = kinds.iter().filter(|(kind, _)| differs(*kind)).map(|(_, word)| *word);
    format!("--replace {}", named.collect::<Vec<_>>().join(","))
}

/// Says of a backup that was given where a session is asked for what it is.
pub(super) fn is_a_backup(path: &Path) -> Result<(), Fail> {
    if !backup::is_backup(path) {
        return Ok(());
    }
    let typed = as_typed(path);
    Err(Fail::work(
        format!("{} is a backup, no session", shown(path)),
        format!(
            "cowlside restore {typed} --dry-run checks all of it and writes nothing; without --dry-run \
             it is restored"
        ),
    ))
}

/// Says what became of each file of a backup.
fn tell(world: &mut World<'_>, things: &[Thing], whole: &Whole, dry: bool) -> Result<(), Fail> {
    let code = code_of(&whole.hash).unwrap_or_default();
    let (at, program) = (plain(&whole.at), plain(&whole.program));
    writeln!(world.out, "whole: made {at} by {program}, its code: {code}")?;
    for thing in things {
        let name = if thing.name.is_empty() { String::new() } else { format!(" {}", thing.name) };
        let words = words_of(&thing.what, dry);
        writeln!(world.out, "{}{}: {}", thing.kind.word(), plain(&name), plain(&words))?;
    }
    let told = things.iter().flat_map(|thing| &thing.told);
    told.for_each(|words| world.warn(&plain(words)));
    let count = |of: fn(&What) -> bool| things.iter().filter(|thing| of(&thing.what)).count();
    let (copied, all) = (count(What::copies), things.len());
    let said = if dry { "would be copied" } else { "copied" };
    let option = replace_option(things);
    let differ = match count(|what| matches!(what, What::Differs(_))) {
        0 => String::new(),
        1 => format!("; 1 differs and is kept as it is here: {option} takes the one of the backup"),
        n => format!("; {n} differ and are kept as they are here: {option} takes the backup's"),
    };
    writeln!(world.out, "{copied} of {all} {said}{differ}")?;
    Ok(())
}

fn many(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}
