//! `take`: engines and sessions of another data folder, or a single session's file.

use super::args;
use super::fail::Fail;
use super::other_versions::{Told, was_closed_over};
use super::remade::lost_words;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::plain::plain;
use crate::domain::session::gravest_first;
use crate::store::StoreError;
use crate::store::engines;
use crate::store::seen::saved_at;
use crate::store::sessions::{self, Glance};
use crate::store::shown;
use crate::store::take::{self, Found, What};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// `take`.
pub fn take(world: &mut World<'_>, workshop: &Workshop, args: &args::Take) -> Result<(), Fail> {
    super::backup::is_a_backup(&args.path)?;
    let found = take::look(workshop.folder(), &args.path)
        .map_err(|error| unread(workshop, &args.path, error))?;
    if found.things.is_empty() {
        return Err(Fail::work(
            format!("{} holds neither engines nor sessions", shown(&args.path)),
            "name another data folder, or a session's file",
        ));
    }
    let before = lost(workshop);
    let were = files(workshop);
    if !args.dry_run {
        found.copy(workshop.folder())?;
    }
    let told = tell(world, &found, args.dry_run);
    if args.dry_run {
        told?
    } else {
        told.map_err(Fail::after_the_work)?
    }
    // A session that came without its engine is not to be looked for in vain.
    for words in lost(workshop).iter().filter(|words| !before.contains(words)) {
        world.warn(words);
    }
    open_in_versions(workshop, &were).iter().for_each(|words| world.warn(words));
    match found.things.iter().filter(|(.., what)| matches!(what, What::LeftOut(_))).count() {
        0 => Ok(()),
        left => Err(Fail::work(
            format!("{left} of {} could not be read and left out", found.things.len()),
            "what could be read was taken; mend what was left out or move it away, then take it again",
        )),
    }
}

/// Says of a file that cannot be taken what was saved in it when a folder took no more, where that is known.
fn unread(workshop: &Workshop, path: &Path, error: StoreError) -> Fail {
    let nothing = matches!(&error, StoreError::ReadOnly { verdict, .. } if verdict.hides_all());
    let saved = saved_at(workshop.folder(), path).filter(|_| nothing);
    let Some((name, entries)) = saved else { return error.into() };
    let hint = format!(
        "{entries} entries of session {} were saved there when this folder took no more: look for another \
         copy of it; cowlside engines tells what is known of it",
        plain(&name)
    );
    Fail::work(error.to_string(), hint)
}

fn tell(world: &mut World<'_>, found: &Found, dry: bool) -> Result<(), Fail> {
    for (kind, name, what) in &found.things {
        writeln!(world.out, "{kind} {}: {}", plain(name), plain(&words_of(what, dry)))?;
    }
    found.damaged.iter().for_each(|words| world.warn(&plain(words)));
    let copied = found.things.iter().filter(|(.., what)| what.copies()).count();
    let said = if dry { "would be copied" } else { "copied" };
    writeln!(world.out, "{copied} of {} {said}; nothing here was changed", found.things.len())?;
    Ok(())
}

fn files(workshop: &Workshop) -> Vec<PathBuf> {
    let known = sessions::list(workshop.folder()).map_or_else(|_| Vec::new(), |all| all.sessions);
    known.into_iter().map(|one| one.path).collect()
}

/// Says of each session that has another version since it was taken what they left open, and of each that came
/// closed unsigned what it was closed over and nobody took over, the gravest first.
fn open_in_versions(workshop: &Workshop, were: &[PathBuf]) -> Vec<String> {
    let all = workshop.sessions().map_or_else(|_| Vec::new(), |found| found.things);
    let is_new = |one: &Glance| !were.contains(&one.path);
    let may_tell = |one: &&Glance| one.version.is_some() || was_closed_over(one);
    let came = all.iter().filter(may_tell).filter(|one| is_new(one));
    let came: BTreeSet<&str> = came.map(|one| one.id.as_str()).collect();
    let counting = all.iter().filter(|one| one.counts() && came.contains(one.id.as_str()));
    let words = counting.filter_map(|one| {
        let own = match one.sealed {
            false => workshop.items_in(one),
            true if is_new(one) => workshop.closed_over(&all, one),
            true => Vec::new(),
        };
        let others = workshop.open_in_others(&all, one);
        // That covers are off at a service under way is told by whatever lists it.
        let mut grave = own.iter().filter(|(_, gravity)| one.sealed || gravity.is_danger());
        if others.is_empty() && grave.next().is_none() {
            return None;
        }
        let mut open: Vec<Told> = own.into_iter().chain(others).collect();
        gravest_first(&mut open, |(_, gravity)| *gravity);
        let open: Vec<String> = open.into_iter().map(|(words, _)| words).collect();
        let of = one.engine.as_ref().map_or(String::new(), |engine| format!("{engine}: "));
        Some(plain(&format!("{of}session {} was left open: {}", one.name, open.join("; "))))
    });
    words.collect()
}

fn lost(workshop: &Workshop) -> Vec<String> {
    let sessions = sessions::list(workshop.folder());
    let known = sessions.and_then(|known| Ok((known, engines::list(workshop.folder())?)));
    // What cannot be listed is told by whatever lists it.
    known.map_or_else(|_| Vec::new(), |(known, engines)| lost_words(&known.sessions, &engines))
}

/// Says what becomes of a thing, or, where only a `dry` run is made, what would.
pub fn words_of(what: &What, dry: bool) -> String {
    let words = done_words(what);
    if !dry {
        return words;
    }
    let words = words.replacen("the one here is set aside", "the one here would be set aside", 1);
    match what {
        What::OtherProfile { .. } => words.replacen(" goes by ", " would go by ", 1),
        what if what.copies() => format!("would be {words}"),
        _ => words,
    }
}

/// Says what was done with a thing: where it is copied, the deed comes first.
fn done_words(what: &What) -> String {
    match what {
        What::New => "copied".to_string(),
        What::Renamed(name) => {
            format!("copied as {}: there is another one of that name", plain(name))
        }
        What::OtherProfile { name, engine } => format!(
            "another one of that name is here: {} goes by {name}; its manual's page is read anew",
            plain(engine)
        ),
        What::Here => "here already".to_string(),
        What::HereFurther => "here already, and further on".to_string(),
        What::Further => "copied: it goes further than the one here".to_string(),
        What::Sound => {
            "copied: it is sound, and the one here is damaged; that one is kept as it is, and \
                        where it says more, opening the engine asks which to go on with"
                .to_string()
        }
        What::Damaged => {
            "copied: it is damaged, and has entries that the one here lacks; both are shown"
                .to_string()
        }
        What::Version(common) => {
            format!("copied as another version: it differs after {common} entries; both are shown")
        }
        What::Differs(differ) if differ.is_empty() => "kept as it is here: it differs".to_string(),
        What::Differs(differ) => format!("kept as it is here: it differs: {differ}"),
        What::Sounder(why) => format!("kept as it is here: in the backup {why}"),
        What::Replaced { aside, differ } if differ.is_empty() => {
            format!("replaced; the one here is set aside as {aside}")
        }
        What::Replaced { aside, differ } => {
            format!("replaced; the one here is set aside as {aside}: {differ}")
        }
        What::LeftOut(why) => format!("left out: {why}"),
    }
}
