//! Engines whose file is damaged or gone: how to go on is said, and one that is made anew under its
//! name keeps its identity, so that its sessions are found again.

use super::fail::Fail;
use super::workshop::{Workshop, day_of};
use crate::domain::entry::{Hours, Moment};
use crate::domain::plain::{plain, quoted};
use crate::domain::session::Session;
use crate::report::dates;
use crate::store::engines::{self, Counter, Engine, HoursTold, Listing};
use crate::store::hash::is_id;
use crate::store::profiles;
use crate::store::sessions::{self, Glance};
use crate::store::take::{self, free_name};
use crate::store::words::{as_typed, command, last_word, option};
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
    let mut lost: BTreeMap<&str, (&Glance, &str, usize)> = BTreeMap::new();
    for one in of_none.into_iter().filter(|one| one.counts()) {
        if let (Some(id), Some(name)) = (&one.engine_id, &one.engine) {
            let (newest, called, count) = lost.entry(id).or_insert((one, name.as_str(), 0));
            (*newest, *called, *count) = (one, name, *count + 1);
        }
    }
    let left = lost.len().saturating_sub(LOST_MAX);
    let newer = listing.names_in_newer().into_iter().map(|(name, _)| name.to_lowercase());
    let here = listing.engines.iter().map(|engine| engine.name.to_lowercase());
    let names: Vec<String> = here.chain(newer).collect();
    let words = |(id, (newest, name, count)): (&str, (&Glance, &str, usize))| {
        let (many, they) = (many(count), if count == 1 { "it is" } else { "they are" });
        if listing.newer(id).is_some() {
            return plain(&format!(
                "\"{name}\": {many} here, but a newer version of the program wrote the file of \
                 that engine: use that version"
            ));
        }
        let free = free_name(name, &names);
        let of = asked_by(sessions, newest);
        let add = command("engine add", (&free, ""), &option("--of", &of));
        if free == name {
            plain(&format!(
                "\"{name}\": {many} here, but no file of that engine that can be read: {add} and \
                 {they} found again, or cowlside restore BACKUP"
            ))
        } else {
            plain(&format!(
                "\"{name}\": {many} here of another engine than the one of that name, without its \
                 file: {add} and {they} found again under that name"
            ))
        }
    };
    let mut told: Vec<String> = lost.into_iter().take(LOST_MAX).map(words).collect();
    if left > 0 {
        told.push(format!("the same of {left} more engines"));
    }
    told
}

/// Returns what a session can be asked for by and no other: its name, its identity, or its path.
fn asked_by(sessions: &[Glance], one: &Glance) -> String {
    let is_its = |text: &String| sessions::find(sessions, text).is_ok_and(|it| it.path == one.path);
    let names = [one.full_name(), one.id.clone()];
    let found = names.into_iter().find(is_its);
    found.unwrap_or_else(|| one.path.to_string_lossy().into_owned())
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
    tell_given(&mut again, &engine.hours)?;
    keep_again(workshop, again, its.len())
}

/// What is given for an engine that is added by a session of it: its name and serial number, and its
/// profile and hours, where the session is not to tell them.
pub type GivenOf<'a> = ((&'a str, &'a str), Option<&'a str>, Option<Hours>);

/// Keeps the engine of a session that is here without it, under whatever name: it takes over its
/// identity, the hours that its sessions tell, and the profile that the session carries.
///
/// # Errors
/// No such session, its engine is here, its name is taken, or what [`add`] refuses.
pub fn add_of(
    workshop: &Workshop,
    ((name, serial), profile, hours): GivenOf<'_>,
    of: &str,
    at: Moment,
) -> Result<Added, Fail> {
    let folder = workshop.folder();
    folder.prepare()?;
    let listed = sessions::list(folder)?;
    let session = sessions::find_beside(&listed.sessions, &listed.unopened(), of)?;
    // By its sessions the engine is made: a file outside would be none of them.
    if listed.sessions.iter().all(|one| one.id != session.id) {
        let (file, typed) = (shown(&session.path), as_typed(&session.path));
        let hint = format!(
            "cowlside take {typed} first; then {}",
            command("engine add", (name, ""), &option("--of", &session.name))
        );
        return Err(Fail::work(format!("{file} lies outside of this data folder"), hint));
    }
    let Some(id) = session.engine_id.clone() else {
        let hint = "add the engine under the name that stands in it: it is found by that";
        return Err(Fail::work(format!("session {} names no engine", session.name), hint));
    };
    let listing = engines::list(folder)?;
    if let Some(newer) = listing.newer(&id) {
        return Err(Fail::work(newer.to_string(), newer.hint()));
    }
    if let Some(here) = listing.engines.iter().find(|engine| engine.id == id) {
        let error = format!("the engine of session {} is here: {}", session.name, here.name);
        return Err(Fail::work(
            error,
            format!("cowlside sessions {} lists it", last_word(&here.name)),
        ));
    }
    let is_its = |one: &&Glance| one.engine_id.as_ref() == Some(&id) && one.counts();
    let its: Vec<&Glance> = listed.sessions.iter().filter(is_its).collect();
    let day = dates::day(at);
    // Refused before a profile is written: by its name.
    let first = (day.as_str(), hours.unwrap_or_default());
    let mut engine = Engine::new(name, serial, "", first, at.unix_ms)?;
    if let Some(taken) = listing.taken_by_newer(name) {
        return Err(taken.into());
    }
    if listing.engines.iter().any(|engine| engine.name.to_lowercase() == name.to_lowercase()) {
        return Err(StoreError::NameTaken { name: name.to_owned() }.into());
    }
    let given = std::mem::take(&mut engine.hours);
    engine.id = id;
    if !tell_what_sessions_tell(workshop, &mut engine, &its) {
        let error =
            format!("its sessions are of an engine with another serial number than {serial}");
        return Err(Fail::work(error, "leave --serial out: they tell it"));
    }
    if engine.hours.is_empty() && hours.is_none() {
        let hint = "add --hours with what its counter shows";
        return Err(Fail::work("no session of this engine tells its hours", hint));
    }
    if hours.is_some() {
        tell_given(&mut engine, &given)?;
    }
    // Last: whatever is refused leaves no profile behind.
    engine.profile = match profile {
        Some(named) => profiles::remembered(named, workshop.root())?,
        None => {
            let opened = workshop.read(&session.path)?;
            let head = opened.head().ok_or_else(|| {
                let error = format!("session {} has lost its profile", session.name);
                Fail::work(error, "name one: --profile P")
            })?;
            take::of_session(folder, &head.profile)?
        }
    };
    keep_again(workshop, engine, its.len())
}

/// Tells an engine that was here before the hours that are given besides.
fn tell_given(engine: &mut Engine, given: &[HoursTold]) -> Result<(), Fail> {
    for HoursTold { date, hours, .. } in given {
        tell(engine, date, *hours, Counter::Same).map_err(|error| {
            let hint = "give the hours that the counter shows now; where it was replaced, add the \
                        engine with the last figure of the old one, then `engine hours NAME H \
                        --counter-replaced`";
            Fail::work(format!("{error} at its last session here"), hint)
        })?;
    }
    Ok(())
}

/// Keeps an engine that was here before.
fn keep_again(workshop: &Workshop, engine: Engine, sessions: usize) -> Result<Added, Fail> {
    let aside = engines::add(workshop.folder(), &engine)?;
    let mut told = vec![plain(&format!(
        "{} is here again with {}; its hours are what they tell, and the source of its figures is \
         asked for again",
        quoted(&engine.name),
        many(sessions),
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
