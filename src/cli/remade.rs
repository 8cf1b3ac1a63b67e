//! Engines whose file is damaged or gone: how to go on is said, and one that is made anew under its
//! name keeps its identity, so that its sessions are found again.

use super::fail::Fail;
use super::workshop::{Workshop, day_of};
use crate::domain::entry::Hours;
use crate::domain::plain::{plain, quoted};
use crate::domain::session::Session;
use crate::store::engines::{self, Counter, Engine, HoursTold, Listing};
use crate::store::hash::is_id;
use crate::store::sessions::{self, Glance};
use crate::store::{StoreError, shown};
use std::collections::BTreeMap;

/// Most engines that are told by name.
const LOST_MAX: usize = 4;

/// An engine that was added.
pub struct Added {
    /// It.
    pub engine: Engine,
    /// Whether it was here before, by its sessions.
    pub again: bool,
    /// What the user must be told, a line each.
    pub told: Vec<String>,
}

/// Says of each engine that has sessions here but no file that can be read how to go on.
pub fn lost_words(sessions: &[Glance], listing: &Listing) -> Vec<String> {
    let (_, of_none) = sessions::by_engine(sessions, &listing.engines);
    let mut lost: BTreeMap<&str, (&str, usize)> = BTreeMap::new();
    for one in of_none.into_iter().filter(|one| one.counts()) {
        if let (Some(id), Some(name)) = (&one.engine_id, &one.engine) {
            let (newest, count) = lost.entry(id).or_default();
            (*newest, *count) = (name, *count + 1);
        }
    }
    let left = lost.len().saturating_sub(LOST_MAX);
    let words = |(id, (name, count)): (&str, (&str, usize))| {
        let (sessions, they) = (many(count), if count == 1 { "it is" } else { "they are" });
        if listing.newer(id).is_some() {
            return plain(&format!(
                "\"{name}\": {sessions} here, but a newer version of the program wrote the file of \
                 that engine: use that version"
            ));
        }
        plain(&format!(
            "\"{name}\": {sessions} here, but no file of that engine that can be read: add it anew \
             under this name and {they} found again, or cowlside restore FILE --replace engines"
        ))
    };
    let mut told: Vec<String> = lost.into_iter().take(LOST_MAX).map(words).collect();
    if left > 0 {
        told.push(format!("the same of {left} more engines"));
    }
    told
}

fn many(sessions: usize) -> String {
    if sessions == 1 { "1 session".into() } else { format!("{sessions} sessions") }
}

/// Keeps a new engine. Where one of its name has sessions here but no file that can be read, it is
/// that one: it takes over its identity and the hours that its sessions tell.
///
/// # Errors
/// Its name is taken, its counter showed more before, or the file cannot be written.
pub fn add(workshop: &Workshop, engine: Engine) -> Result<Added, Fail> {
    let folder = workshop.folder();
    let mut listing = engines::list(folder)?;
    let known = std::mem::take(&mut listing.engines);
    let sessions = workshop.sessions()?.things;
    let name = engine.name.to_lowercase();
    let is_lost = |one: &&Glance| {
        let named = one.engine.as_ref().is_some_and(|called| called.to_lowercase() == name);
        let id = one.engine_id.as_deref().filter(|id| is_id(id));
        named && id.is_some_and(|id| known.iter().all(|engine| engine.id != id))
    };
    let newest = sessions.iter().rev().find(is_lost);
    let Some(id) = newest.and_then(|one| one.engine_id.clone()) else {
        engines::add(folder, &engine)?;
        return Ok(Added { engine, again: false, told: Vec::new() });
    };
    if let Some(newer) = listing.newer(&id) {
        return Err(Fail::work(newer.to_string(), newer.hint()));
    }
    let its = sessions.iter().filter(|one| one.engine_id.as_ref() == Some(&id) && one.counts());
    let its: Vec<&Glance> = its.collect();
    let mut again = engine.clone();
    (again.id, again.hours) = (id, Vec::new());
    if !tell_what_sessions_tell(workshop, &mut again, &its) {
        // Another one of the same name: by its serial number it has nothing to do with them.
        engines::add(folder, &engine)?;
        return Ok(Added { engine, again: false, told: Vec::new() });
    }
    let (given, mut engine) = (engine.hours, again);
    for HoursTold { date, hours, .. } in given {
        tell(&mut engine, &date, hours, Counter::Same).map_err(|error| {
            let hint = "give the hours that the counter shows now; where it was replaced, add the \
                        engine with the last figure of the old one, then `engine hours NAME H \
                        --counter-replaced`";
            Fail::work(format!("{error} at its last session here"), hint)
        })?;
    }
    let aside = engines::add(folder, &engine)?;
    let mut told = vec![plain(&format!(
        "{} is here again with {}; its hours are what they tell, and the source of its figures is \
         asked for again",
        quoted(&engine.name),
        many(its.len()),
    ))];
    told.extend(aside.map(|aside| format!("its damaged file is kept as {}", shown(&aside))));
    Ok(Added { engine, again: true, told })
}

/// Takes in what the sessions of a lost engine tell of it; false where they are of an engine with
/// another serial number.
fn tell_what_sessions_tell(workshop: &Workshop, engine: &mut Engine, its: &[&Glance]) -> bool {
    for one in its {
        // What cannot be read is told where it is opened.
        let opened = workshop.read(&one.path).ok();
        let Some(session) = opened.and_then(|opened| Session::replay(&opened.entries)) else {
            continue;
        };
        let begin = &session.state.begin;
        match &begin.serial {
            Some(serial) if engine.serial.is_empty() => engine.serial.clone_from(serial),
            Some(serial) if *serial != engine.serial => return false,
            Some(_) | None => {}
        }
        let replaced = begin.hours_why.is_some();
        let counter = if replaced { Counter::Replaced } else { Counter::Same };
        if let Some(hours) = begin.hours {
            // A figure that was lower by mistake tells nothing.
            let _ = tell(engine, &day_of(one), hours, counter);
        }
        engine.worker = session.state.worker.clone().or(engine.worker.take());
    }
    true
}

fn tell(engine: &mut Engine, day: &str, hours: Hours, counter: Counter) -> Result<(), StoreError> {
    let known = counter == Counter::Same && !engine.hours.is_empty() && engine.counter() == hours;
    if known { Ok(()) } else { engine.tell_hours(day, hours, counter) }
}
