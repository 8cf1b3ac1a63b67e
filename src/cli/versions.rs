//! Which session of an engine is gone on with, where several files of it are here.

use super::fail::Fail;
use super::other_versions::others;
use super::shop_open::Own;
use super::workshop::{Found, Workshop};
use crate::domain::plain::plain;
use crate::report::dates;
use crate::store::engines::Engine;
use crate::store::seen::{self, Elsewhere, Seen};
use crate::store::sessions::{Glance, Stands};
use crate::store::words::last_word;
use std::path::Path;

impl Workshop {
    /// Lists the sessions of an engine that are still open, the newest first. Of a session with
    /// several versions it is the one that counts; of the newest, `version` where one was chosen.
    pub fn open_sessions(
        &self,
        engine: &Engine,
        version: Option<char>,
    ) -> Result<Found<Glance>, Fail> {
        let forks = if version.is_some() { self.forks(engine)? } else { Vec::new() };
        let chosen = forks.into_iter().find(|fork| fork.letter() == version);
        let mut found = self.sessions_of(engine)?;
        let ended = found.things.iter().filter(|one| one.sealed && one.version.is_some());
        let ended: Vec<String> = ended.map(|one| one.id.clone()).collect();
        for open in found.things.iter().filter(|one| !one.sealed && ended.contains(&one.id)) {
            found.notes.push(format!(
                "{} is still open in a file of its own and is left alone: another version of this \
                 session has ended and counts",
                open.full_name()
            ));
        }
        found.things.retain(|listed| {
            let other = chosen.as_ref().is_some_and(|chosen| chosen.id == listed.id);
            !listed.sealed && listed.counts() && !other
        });
        found.things.extend(chosen);
        found.things.reverse();
        Ok(found)
    }

    /// Lists the versions of an engine's newest open session that can be gone on with, the one that
    /// counts first; none where there are not several. Where the one that counts is damaged, it stands
    /// behind those that are sound: whoever chooses it begins a new service.
    pub fn forks(&self, engine: &Engine) -> Result<Vec<Glance>, Fail> {
        let mut found = self.sessions_of(engine)?.things;
        let open = |one: &Glance| !one.sealed && one.verdict.may_append();
        let goes_on = |one: &Glance| found.iter().any(|other| other.id == one.id && open(other));
        let newest = found.iter().rfind(|one| !one.sealed && one.counts() && goes_on(one));
        let Some(newest) = newest else { return Ok(Vec::new()) };
        let (id, damaged) = (newest.id.clone(), newest.is_broken());
        let offered = |one: &Glance| open(one) || damaged && !one.sealed && one.counts();
        found.retain(|one| one.id == id && one.version.is_some() && offered(one));
        found.sort_by_key(|one| (one.is_broken(), !one.counts(), one.letter()));
        Ok(if found.len() > 1 { found } else { Vec::new() })
    }

    /// Says of the session in this file, which is gone on with, that another version of it is damaged.
    pub(super) fn damaged_beside(&self, engine: &Engine, path: &Path) -> Option<String> {
        let all = self.sessions_of(engine).ok()?.things;
        let open = all.iter().find(|one| one.path == path)?;
        damaged_version(&all, open)
    }

    /// Says of a version of a session what tells it from the others: "B" and "47 entries, ...", whether it
    /// counts, and what it has open.
    pub(super) fn version_words(&self, version: &Glance) -> Option<(char, String)> {
        let file = version.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let (entries, last) = (version.entries, dates::day_and_time(version.last));
        let open = match self.open_in(version) {
            open if open.is_empty() => "nothing open".to_string(),
            open => format!("open: {}", open.join("; ")),
        };
        let damaged = if version.is_broken() {
            ", DAMAGED: it cannot be gone on with; who chooses it begins a new service"
        } else {
            ""
        };
        let copy = match version.version?.stands {
            Stands::Parted(_) => String::new(),
            _ => format!("{}, ", version.stands_words()?),
        };
        let counts =
            if version.counts() && !version.is_broken() { "the one that counts, " } else { "" };
        let words =
            format!("{counts}{copy}{entries} entries, last {last}, in {file}{damaged}; {open}");
        Some((version.letter()?, words))
    }
}

/// Returns after how many entries the first of some versions parts from the others, where it does.
pub(super) fn parted(versions: &[Glance]) -> Option<usize> {
    versions.iter().find_map(|one| match one.version?.stands {
        Stands::Parted(common) => Some(common),
        Stands::Longer | Stands::Shorter | Stands::Alike => None,
    })
}

/// Says of a damaged session that counts in which of its files a sound version of it is.
fn sound_version(all: &[Glance], damaged: &Glance) -> Option<String> {
    let sound = |one: &&Glance| {
        one.id == damaged.id && one.version.is_some() && !one.sealed && one.verdict.may_append()
    };
    let sound = all.iter().find(sound).filter(|_| damaged.counts() && !damaged.sealed)?;
    let file = sound.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Some(format!(
        "a sound version with {} entries lies in {file}: open the engine, and it asks which to go on with",
        sound.entries
    ))
}

/// Says of an open session that counts that another version of it is damaged and what becomes of that.
fn damaged_version(all: &[Glance], open: &Glance) -> Option<String> {
    let other =
        all.iter().find(|one| one.id == open.id && one.version.is_some() && one.is_broken());
    let other = other.filter(|other| !open.is_broken() && other.path != open.path)?;
    let file = other.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Some(format!(
        "session {}: its version {} in {file} is damaged and is kept as it is: {}; what it has beyond the \
         one that counts is shown by cowlside report {}, and its readings can be taken over",
        open.name,
        other.letter().unwrap_or('B'),
        other.verdict,
        last_word(&other.full_name())
    ))
}

/// Says of an open session that it goes on in another folder, where that is noted.
fn goes_on(workshop: &Workshop, all: &[Glance], engine: &Engine, open: &Glance) -> Option<String> {
    let it = elsewhere(workshop, all, open)?;
    Some(plain(&format!("{}: session {} {it}", engine.name, open.name)))
}

/// Returns where a session goes on, where that is noted.
fn elsewhere(workshop: &Workshop, all: &[Glance], open: &Glance) -> Option<Elsewhere> {
    // Its other version may hold it; what every file holds is not looked for.
    let is_here = |last: &Seen| {
        let mut own = all.iter().filter(|one| one.id == open.id);
        own.any(|one| seen::is_in(&one.path, last))
    };
    seen::elsewhere(workshop.folder(), &open.id, is_here)
}

/// Says what else there is of a session beside the file that is shown: it goes on in another folder, or has
/// another version.
pub(super) fn beyond(workshop: &Workshop, all: &[Glance], shown: &Glance) -> Vec<String> {
    let words = beyond_all(workshop, all, shown);
    words.into_iter().chain(other_versions(all, shown)).map(|words| plain(&words)).collect()
}

/// Says which other versions a session has.
fn other_versions(all: &[Glance], shown: &Glance) -> Vec<String> {
    if shown.version.is_none() {
        return Vec::new();
    }
    let others = others(all, shown).map(|other| {
        let file = other.path.file_name().unwrap_or_default().to_string_lossy();
        let (name, other) = (&shown.name, other.full_name());
        let typed = last_word(&other);
        format!("session {name} has another version, {other} in {file}: cowlside report {typed} shows it")
    });
    others.collect()
}

/// Says that a session goes on where none of its files here does.
pub(super) fn beyond_all(workshop: &Workshop, all: &[Glance], shown: &Glance) -> Option<String> {
    let elsewhere = if shown.sealed { None } else { elsewhere(workshop, all, shown) };
    elsewhere.map(|it| plain(&format!("session {} {it}", shown.name)))
}

/// Says for a notice that what it tells is not all there is of the session.
pub(super) fn more_may_be_open(workshop: &Workshop, all: &[Glance], open: &Glance) -> Vec<String> {
    let elsewhere = elsewhere(workshop, all, open)
        .map(|_| "This session goes on in another folder: more may be open.");
    let another = others(all, open).next();
    let another = another.map(|_| "There is another version of this session: more may be open.");
    elsewhere.into_iter().chain(another).map(str::to_owned).collect()
}

/// Says of an engine's open sessions which cannot be gone on with, which have a damaged version, and which
/// go on in another folder.
pub(super) fn of_the_open(
    workshop: &Workshop,
    own: &Own<'_>,
    engine: &Engine,
    its: &[&Glance],
) -> Vec<String> {
    let mut notes = Vec::new();
    if its.iter().all(|one| one.sealed) {
        return notes;
    }
    let all = &own.things();
    let open = its.iter().filter(|one| !one.sealed);
    for damaged in open.clone().filter(|one| !one.verdict.may_append()) {
        let sound = sound_version(all, damaged);
        let sound = sound.map_or(String::new(), |words| format!("; {words}"));
        notes.push(plain(&format!(
            "{}: session {} cannot be gone on with: {}{sound}",
            engine.name, damaged.name, damaged.verdict
        )));
    }
    let versions = open.clone().filter_map(|one| damaged_version(all, one));
    notes.extend(versions.map(|words| plain(&format!("{}: {words}", engine.name))));
    let whole =
        open.clone().filter(|one| one.verdict.may_append() && damaged_version(all, one).is_none());
    let others = whole.flat_map(|one| other_versions(all, one));
    notes.extend(others.map(|words| plain(&format!("{}: {words}", engine.name))));
    notes.extend(open.filter_map(|one| goes_on(workshop, all, engine, one)));
    notes
}
