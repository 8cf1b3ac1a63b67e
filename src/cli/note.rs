//! `note`: a dated remark to a service that has ended. Nothing else can follow its end.

use super::args_own as own;
use super::fail::Fail;
use super::keeping::moved_to;
use super::workshop::{Workshop, parse};
use super::world::World;
use crate::domain::entry::{Kept, Remark};
use crate::domain::plain::plain;
use crate::domain::session::{Input, Session};
use crate::guide::limits::{name_too_long, note_too_long};
use crate::guide::refused_words;
use crate::report::dates;
use crate::store::journal::{self, Journal};
use crate::store::seen;
use crate::store::sessions::{self, Glance};
use crate::store::settings::Settings;
use crate::store::words::last_word;
use crate::store::{StoreError, shown};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// `note`.
pub fn note(world: &mut World<'_>, workshop: &Workshop, args: &own::Note) -> Result<(), Fail> {
    if let Some(absent) = workshop.folder().absent() {
        return Err(absent.into());
    }
    let known = sessions::list(workshop.folder())?;
    let of = sessions::find_beside(&known.sessions, &known.unopened(), &args.session)?;
    if !known.sessions.iter().any(|one| one.path == of.path) {
        let hint = "take it over first: cowlside take FILE";
        return Err(Fail::work("that file does not lie in the data folder", hint));
    }
    if !of.sealed {
        let engine = of.engine.as_deref().map_or("ENGINE".to_owned(), last_word);
        let error = format!("session {} is still open", plain(&of.name));
        let hint = format!("say it there: cowlside session {engine}, then * and remark");
        return Err(Fail::work(error, hint));
    }
    let text = args.text.join(" ").trim().to_owned();
    if text.is_empty() {
        return Err(Fail::usage("the remark is empty", "write it behind the session's name"));
    }
    if let Some(words) = note_too_long(&text) {
        return Err(Fail::usage(words, "write it shorter, or as two"));
    }
    let by = who(world, workshop, args.by.as_deref())?;
    let remark = Remark { text, by: Some(by.clone()), ..Remark::default() };
    let kept = add(world, workshop, &of, remark)?;
    let engine = of.engine.as_ref().map_or(String::new(), |engine| format!(" ({engine})"));
    let when = dates::day_and_time(kept.at);
    let words = format!("added to session {}{engine}, by {by}, {when}", of.name);
    writeln!(world.out, "{}", plain(&words)).map_err(Fail::words_lost)
}

/// Finds out who writes it: it stands in a record for good. It is who was named, else whom the settings
/// know, where that is one; else it is asked, where somebody sits there.
fn who(world: &mut World<'_>, workshop: &Workshop, named: Option<&str>) -> Result<String, Fail> {
    let hint = "say who writes it: --by NAME";
    let by = match named {
        Some(named) => named.to_owned(),
        None => match known(&Settings::load(workshop.folder()).0) {
            Some(known) => known,
            None if world.terminals.out => {
                world.before_asking()?;
                write!(world.out, "Who writes it? ")?;
                world.out.flush()?;
                world.line()?.unwrap_or_default()
            }
            None => return Err(Fail::usage("nobody is named who writes it", hint)),
        },
    };
    let by = by.trim();
    if by.is_empty() {
        return Err(Fail::usage("nobody is named who writes it", hint));
    }
    // A letter with many marks on it is told by its reason, and not as one that cannot be seen.
    if let Some(words) = name_too_long(by) {
        return Err(Fail::usage(words, hint));
    }
    if plain(by) != by {
        return Err(Fail::usage("the name holds a sign that cannot be seen", hint));
    }
    Ok(by.to_owned())
}

/// Returns the mechanic whom the settings know, where it is one alone.
fn known(settings: &Settings) -> Option<String> {
    let owners = settings.owned.iter().map(|one| &one.worker);
    let names: BTreeSet<&String> = owners.chain(&settings.worker).collect();
    match (&settings.worker, names.len()) {
        (Some(worker), _) => Some(worker.clone()),
        (None, 1) => names.into_iter().next().cloned(),
        (None, _) => None,
    }
}

/// Says why nothing was added, and where it may stand all the same: a line that was written is not taken out
/// again, and nobody knows whether it is on the disk.
fn not_added(error: &StoreError, path: &Path, before: usize, stay: &[PathBuf]) -> Fail {
    let StoreError::NotSaved { .. } = error else {
        return Fail::work(error.to_string(), error.hint());
    };
    let written = journal::open(path, &parse).is_ok_and(|now| now.entries.len() > before);
    let stay: Vec<String> = stay.iter().map(|path| shown(path)).collect();
    let again = "make room on that disk or mend it, then say it again";
    let hint = match (written, stay.is_empty()) {
        (false, true) => again.to_owned(),
        (true, _) => format!(
            "{again}; its line was written, and may be there when the disk is sound: look at the record before"
        ),
        (false, false) => format!("{again}; move away what was begun in vain: {}", stay.join(", ")),
    };
    Fail::work(error.to_string(), hint)
}

/// Adds the remark to the session's file, and notes how far that was seen.
fn add(
    world: &mut World<'_>,
    workshop: &Workshop,
    of: &Glance,
    said: Remark,
) -> Result<Kept, Fail> {
    let (at, run_ms) = ((world.now)(), (world.run_ms)());
    let (mut journal, opened) = Journal::resume(workshop.folder(), &of.path, &parse, at, run_ms)?;
    let session = Session::replay(&opened.entries)
        .ok_or_else(|| Fail::work("the session has no beginning", opened.verdict.hint()))?;
    let remark = Input::Remark(said);
    let entries = session
        .decide(&remark)
        .map_err(|refusal| Fail::work(refused_words(&session, &refusal), "nothing was added"))?;
    let kept = match journal.append(&entries, at, run_ms) {
        Ok(kept) => kept,
        Err(not) => {
            let stay = journal.take_back();
            return Err(not_added(&not.error, &of.path, opened.entries.len(), &stay));
        }
    };
    if let Some(moved) = journal.take_moved() {
        let home = of.path.parent().unwrap_or(&of.path);
        world.warn(&moved_to(&moved, home));
    }
    let last = kept.into_iter().next_back();
    let last = last.ok_or_else(|| Fail::work("nothing was added", "try again"))?;
    // The memo is no truth: without it all goes on.
    let _ = seen::note(workshop.folder(), &of.id, last.seq, journal.last_hash());
    Ok(last)
}
