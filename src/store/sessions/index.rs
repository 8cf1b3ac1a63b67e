//! A session at a glance as a line of the index, and back.
//!
//! Only whole sessions are noted. A file with anything the matter stands there by its name alone and
//! is read each time.

use super::Glance;
use crate::domain::entry::{Hours, Moment};
use crate::store::index::{Stamp, is_part};
use crate::store::journal::Verdict;
use std::path::PathBuf;

/// Parts of a session's line.
const PARTS: usize = 21;

/// A line of the index.
#[derive(Clone, Debug)]
pub struct Row<'a> {
    parts: Vec<&'a str>,
}

impl<'a> Row<'a> {
    /// Takes a line apart.
    pub fn read(line: &'a str) -> Row<'a> {
        Row { parts: line.split('\t').collect() }
    }

    fn part(&self, at: usize) -> &'a str {
        self.parts.get(at).copied().unwrap_or_default()
    }

    /// Returns the file's name.
    pub fn file(&self) -> &'a str {
        self.part(0)
    }

    /// Returns what the file looked like; `None` for one that is read each time.
    pub fn stamp(&self) -> Option<Stamp> {
        Stamp::read(self.parts.get(1..4)?)
    }

    /// Tells whether something was the matter with the file.
    pub fn is_faulty(&self) -> bool {
        self.parts.len() == 1
    }

    /// Returns what was seen of the session.
    pub fn glance(&self, path: PathBuf) -> Option<Glance> {
        let some = |at: usize| Some(self.part(at).to_owned()).filter(|text| !text.is_empty());
        let hours = |at: usize| match self.part(at) {
            "" => Some(None),
            digits => digits.parse().ok().map(|hundredths| Some(Hours(hundredths))),
        };
        let moment = |at: usize| {
            let (unix_ms, offset) = (self.part(at).parse().ok()?, self.part(at + 1).parse().ok()?);
            Some(Moment { unix_ms, offset_min: offset })
        };
        let flags: u8 = self.part(16).parse().ok().filter(|_| self.parts.len() == PARTS)?;
        Some(Glance {
            path,
            id: self.part(4).to_owned(),
            name: self.part(5).to_owned(),
            engine_id: some(6),
            engine: some(7),
            hours: hours(8)?,
            hours_at: moment(19)?,
            started: moment(9)?,
            last: moment(11)?,
            day: some(13),
            entries: self.part(14).parse().ok()?,
            next_check: hours(15)?,
            signed: flags & 1 > 0,
            sealed: flags & 2 > 0,
            imported: flags & 4 > 0,
            clock_doubtful: flags & 8 > 0,
            partial: flags & 16 > 0,
            passed_over: flags & 32 > 0,
            practice: flags & 64 > 0,
            seal_code: some(17),
            last_hash: self.part(18).to_owned(),
            verdict: Verdict::Clean,
            version: None,
        })
    }
}

/// Spells what was seen of a session; `None` where it is to be read each time.
pub fn line_of(file: &str, glance: &Glance, stamp: Stamp) -> Option<String> {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let hours = |hours: Option<Hours>| hours.map_or(String::new(), |hours| hours.0.to_string());
    let moment = |at: Moment| format!("{}\t{}", at.unix_ms, at.offset_min);
    let flags = u8::from(glance.signed)
        + 2 * u8::from(glance.sealed)
        + 4 * u8::from(glance.imported)
        + 8 * u8::from(glance.clock_doubtful)
        + 16 * u8::from(glance.partial)
        + 32 * u8::from(glance.passed_over)
        + 64 * u8::from(glance.practice);
    let line = [
        file.to_owned(),
        stamp.words(),
        glance.id.clone(),
        glance.name.clone(),
        text(&glance.engine_id),
        text(&glance.engine),
        hours(glance.hours),
        moment(glance.started),
        moment(glance.last),
        text(&glance.day),
        glance.entries.to_string(),
        hours(glance.next_check),
        flags.to_string(),
        text(&glance.seal_code),
        glance.last_hash.clone(),
        moment(glance.hours_at),
    ];
    let sound = glance.verdict == Verdict::Clean && !glance.id.is_empty();
    let line = line.join("\t");
    let whole = line.matches('\t').count() + 1 == PARTS && is_part(&line.replace('\t', " "));
    // An empty text would come back as none.
    let texts = [&glance.engine_id, &glance.engine, &glance.day];
    let told = texts.into_iter().flatten().all(|text| !text.is_empty());
    (sound && whole && told).then_some(line)
}

/// The section of the sessions of an engine: its id, and its name where no id is known.
pub fn section(glance: &Glance) -> String {
    match (&glance.engine_id, &glance.engine) {
        (Some(id), _) => format!("i {id}"),
        (None, Some(name)) => format!("n {name}"),
        (None, None) => NO_ENGINE.to_owned(),
    }
}

/// What stands after the name of a file that is whole, but read each time all the same: it is one
/// of several of its session, or has a text that cannot be noted.
pub const TWICE: &str = "\tread";

/// The section of what belongs to no engine that is known.
pub const NO_ENGINE: &str = "";
