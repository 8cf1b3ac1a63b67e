//! The sessions in the data folder at a glance: what they are called, of which engine, how far.
//!
//! A glance checks every line of a file but reads only the few kinds that a list needs, so that
//! hundreds of sessions are listed at once. Reading one in full is the journal's business.

mod copies;
mod emptied;
mod index;
mod letters;
mod looking;
mod lost_head;
mod unopened;

pub(in crate::store) use copies::moved_away;
pub(in crate::store) use copies::{Entries, kin_of};
pub use copies::{Kin, hashes_of, is_harmless, kin};
pub use emptied::{back_in, back_words};
pub use looking::{are_many, list, list_of};
pub(in crate::store) use lost_head::session_of;
pub use unopened::{NAMED, NOBODY_KNOWS, Unopened, find_beside};

use super::StoreError;
use super::codec::{self, DecodeFault};
use super::engines::Engine;
use super::hash::is_id;
use super::journal::record::Record;
use super::journal::scan::scan;
use super::journal::{JournalFile, Verdict, meaning, read_bytes};
use super::pick::{Called, pick};
use super::table::rfc3339;
use crate::domain::clock;
use crate::domain::entry::{
    Begin, Change, Correct, Entry, Hours, Moment, Skip, Skipped, SourceRead,
};
use crate::domain::service::{IMPORTED, is_practice, on_day};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Fewest characters of a beginning that may stand for a session.
const SHORTEST: usize = 4;

/// One session at a glance.
#[derive(Clone, Debug, PartialEq)]
pub struct Glance {
    /// Where it lies.
    pub path: PathBuf,
    /// Its identity.
    pub id: String,
    /// Its name: what it was given, else its file's stem.
    pub name: String,
    /// The engine's id.
    pub engine_id: Option<String>,
    /// The engine's name.
    pub engine: Option<String>,
    /// What the engine's counter showed.
    pub hours: Option<Hours>,
    /// When that was told, by the clock: where it was told or put right after the beginning, it was then.
    pub hours_at: Moment,
    /// When it was begun, by the clock.
    pub started: Moment,
    /// The day that was put right afterwards, as YYYY-MM-DD.
    pub day: Option<String>,
    /// When the last entry was written.
    pub last: Moment,
    /// How many entries it has.
    pub entries: usize,
    /// Whether it was signed.
    pub signed: bool,
    /// Whether it has ended; only remarks can follow.
    pub sealed: bool,
    /// Whether it was made from the flat table.
    pub imported: bool,
    /// Whether it may leave valves without a figure: only named cylinders, something skipped or
    /// taken back, or made from a table.
    pub partial: bool,
    /// Whether it may leave a valve out of its band: one was passed over at setting.
    pub passed_over: bool,
    /// True where its figures are examples: it was for practice.
    pub practice: bool,
    /// The signer's own choice of the next check, by the counter.
    pub next_check: Option<Hours>,
    /// How whole the file is, as far as a glance can tell.
    pub verdict: Verdict,
    /// The hash of its last good entry: a whole file has no other entries than these.
    pub last_hash: String,
    /// The code of its end, where it has ended.
    pub seal_code: Option<String>,
    /// Whether the clock that it was written by is doubtful.
    pub clock_doubtful: bool,
    /// Which version it is, where two files of this session went different ways.
    pub version: Option<Version>,
}

/// One of several files that begin as the same session and then differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Version {
    /// A, B, and so on: it stays, whichever grows or counts, while the folder holds the same ones.
    pub letter: char,
    /// Whether it is the one that counts in history: the signed one, else the one that was ended,
    /// else the one with most entries; of a damaged one and a sound one that was gone on with since,
    /// the sound one.
    pub counts: bool,
    /// How it stands to the one that counts; that one, to the next.
    pub stands: Stands,
}

/// How a version of a session stands to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// They went different ways after so many entries in common.
    Parted(usize),
    /// What both have is the same, and this one goes further: one of them is damaged.
    Longer,
    /// What both have is the same, and the other one goes further.
    Shorter,
    /// What both have is the same, they go as far, and each lacks something.
    Alike,
}

/// A file among the sessions that is none, or that cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// Where it lies.
    pub path: PathBuf,
    /// What is the matter with it.
    pub why: String,
    /// The identity of its session, where that is known.
    pub id: String,
    /// The same by its name, where it cannot be opened.
    pub unopened: Option<Unopened>,
}

/// The sessions of a data folder.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Listing {
    /// The sessions, oldest first.
    pub sessions: Vec<Glance>,
    /// What else lies there.
    pub apart: Vec<Apart>,
}

/// Looks at one session.
///
/// # Errors
/// The file cannot be read, is no session, or a newer program wrote it.
pub fn glance(path: &Path) -> Result<Glance, StoreError> {
    glance_at(path, &read_bytes(&mut JournalFile::read_only(path)?, path)?)
}

/// Looks at the bytes of one session that lies, or is to lie, at a path.
///
/// # Errors
/// They are no session, or a newer program wrote it.
pub(in crate::store) fn glance_at(path: &Path, bytes: &[u8]) -> Result<Glance, StoreError> {
    let scan = scan(bytes);
    let refused = |verdict| StoreError::ReadOnly { path: path.to_owned(), verdict };
    let Some(first) = scan.records.first() else { return Err(refused(scan.verdict)) };
    if let Some(verdict) = meaning::head_fault(first) {
        return Err(refused(verdict));
    }
    let identity: Option<Identity> = serde_json::from_str(first.payload).ok();
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let mut glance = Glance {
        path: path.to_owned(),
        id: identity.as_ref().map(|identity| identity.sid.clone()).unwrap_or_default(),
        name: stem.unwrap_or_default(),
        engine_id: None,
        engine: None,
        hours: None,
        hours_at: first.stamp.at,
        started: first.stamp.at,
        day: None,
        last: scan.records.last().map_or(first.stamp.at, |last| last.stamp.at),
        entries: scan.records.len(),
        signed: false,
        sealed: false,
        imported: false,
        partial: false,
        passed_over: false,
        practice: false,
        next_check: None,
        verdict: scan.verdict.clone(),
        last_hash: scan.records.last().map_or_else(String::new, |last| last.hash.to_owned()),
        seal_code: None,
        clock_doubtful: false,
        version: None,
    };
    if let Some(identity) = &identity {
        glance.doubt(meaning::not_an_id(first.seq, "sid", &identity.sid));
    }
    let void = taken_back(&scan.records);
    let mut known_is_example = false;
    for record in &scan.records {
        glance.doubt(meaning::unknown_kind(record));
        // What was taken back must be sound as well: it can be read, and is checked like all else.
        let entry = glance.sound(record);
        if let Some(entry) = entry.filter(|_| !void.contains(&record.seq)) {
            glance.take_in(record, entry, &mut known_is_example);
        }
    }
    // Where the end is not of these entries, its code is of nothing.
    glance.seal_code = meaning::seal_code(&scan).filter(|_| glance.sealed);
    let may_lack = |record: &Record| matches!(record.kind.as_ref(), "skip" | "correct" | "amend");
    glance.partial |= glance.imported || scan.records.iter().any(may_lack);
    let invented = identity.is_some_and(|one| one.program.ends_with(clock::INVENTED));
    let times = scan.records.iter().map(|record| (record.seq, record.stamp.at));
    glance.clock_doubtful = !glance.imported && !invented && !clock::doubts(times).is_empty();
    Ok(glance)
}

/// Keeps the sessions of one engine.
pub fn of_engine<'a>(sessions: &'a [Glance], engine: &Engine) -> impl Iterator<Item = &'a Glance> {
    sessions.iter().filter(move |session| session.is_of(engine))
}

/// Deals sessions out to their engines, in the engines' order, and returns those of none beside.
pub fn by_engine<'a>(
    sessions: &'a [Glance],
    engines: &[Engine],
) -> (Vec<Vec<&'a Glance>>, Vec<&'a Glance>) {
    let mut dealt = vec![Vec::new(); engines.len()];
    let mut of_none = Vec::new();
    let place = |word: fn(&Engine) -> &str| {
        let places = engines.iter().map(word).zip(0..);
        places.collect::<BTreeMap<&str, usize>>()
    };
    let (by_id, by_name) = (place(|engine| &engine.id), place(|engine| &engine.name));
    for session in sessions {
        let found = match (&session.engine_id, &session.engine) {
            (Some(id), _) => by_id.get(id.as_str()),
            (None, Some(name)) => by_name.get(name.as_str()),
            (None, None) => None,
        };
        match found.and_then(|place| dealt.get_mut(*place)) {
            Some(its) => its.push(session),
            None => of_none.push(session),
        }
    }
    (dealt, of_none)
}

/// Finds a session among those given by its name, its id, the beginning of either, or by a path. Of
/// a session with several versions one is named by its letter: `spring@B`.
///
/// # Errors
/// None or several are called that; or the path is none of a session.
pub fn find(sessions: &[Glance], text: &str) -> Result<Glance, StoreError> {
    let all: Vec<Called<Glance>> = sessions.iter().map(Glance::called).collect();
    let path = Path::new(text);
    match pick("session", text, SHORTEST, &all) {
        Ok(session) => Ok(session.clone()),
        Err(StoreError::NoSuch { .. }) if looks_like_a_path(path) => glance(path),
        Err(error) => version_of(sessions, text).or_else(|| by_file(sessions, text)).ok_or(error),
    }
}

/// Finds the session whose file is named so, without its ending: lists and warnings name files.
fn by_file(sessions: &[Glance], text: &str) -> Option<Glance> {
    let is_it = |one: &&Glance| one.path.file_stem().is_some_and(|stem| stem == text);
    sessions.iter().find(is_it).cloned()
}

/// Finds the version that a text like `spring@B` names.
fn version_of(sessions: &[Glance], text: &str) -> Option<Glance> {
    let (name, letter) = text.rsplit_once('@')?;
    let fits = |one: &&Glance| one.letter().is_some_and(|own| letter == own.to_string());
    let versions: Vec<Called<Glance>> = sessions.iter().filter(fits).map(Glance::called).collect();
    pick("session", name, SHORTEST, &versions).ok().cloned()
}

fn looks_like_a_path(path: &Path) -> bool {
    path.components().count() > 1 || path.extension().is_some_and(|found| found == "jsonl")
}

impl Glance {
    /// Tells whether it counts in history: of several versions only one does.
    pub fn counts(&self) -> bool {
        self.version.is_none_or(|version| version.counts)
    }

    /// Tells whether its file is damaged so that it cannot be gone on with; one of a newer program is
    /// not damaged.
    pub fn is_broken(&self) -> bool {
        !self.verdict.may_append() && !self.verdict.is_of_a_newer_program()
    }

    /// Returns the letter of its version, where there are several.
    pub fn letter(&self) -> Option<char> {
        self.version.map(|version| version.letter)
    }

    /// Returns what it can be asked for by: its name, with its version where there are several.
    pub fn full_name(&self) -> String {
        self.letter().map_or(self.name.clone(), |letter| format!("{}@{letter}", self.name))
    }

    /// Tells whether it is a session of this engine: by the engine's id, else by its name.
    pub fn is_of(&self, engine: &Engine) -> bool {
        match &self.engine_id {
            Some(id) => *id == engine.id,
            None => self.engine.as_ref() == Some(&engine.name),
        }
    }

    fn called(&self) -> Called<'_, Glance> {
        let Glance { name, id, engine, .. } = self;
        let full = self.full_name();
        let mut shown = engine.as_ref().map_or(full.clone(), |engine| format!("{full} ({engine})"));
        if id.is_empty() {
            // What is called the same may be another file of it.
            let file = self.path.file_name().unwrap_or_default().to_string_lossy();
            shown += &format!(" in {file}, damaged");
        }
        let began = on_day(self.started, self.day.as_deref());
        let day = rfc3339(began).and_then(|text| Some(text.split_once('T')?.0.to_owned()));
        Called { thing: self, name, id, shown, day: day.unwrap_or_default() }
    }

    /// Takes in what is wrong with an entry, where nothing graver is.
    fn doubt(&mut self, fault: Option<Verdict>) {
        if let (Verdict::Clean | Verdict::CutOff(_), Some(fault)) = (&self.verdict, fault) {
            self.verdict = fault;
        }
    }

    /// Reads an entry, and takes in what is wrong with it; `None` where it tells nothing here.
    fn sound(&mut self, record: &Record) -> Option<Entry> {
        let entry = match spelled(record)? {
            Ok(entry) => entry,
            Err(DecodeFault::Misspelled(why)) => {
                self.doubt(Some(meaning::faulty(record, &format!("{}: {why}", record.kind))));
                return None;
            }
            Err(DecodeFault::UnknownKind) => return None,
        };
        if let Entry::Seal(seal) = &entry
            && let Some(fault) = meaning::seal_fault(record, seal)
        {
            self.doubt(Some(fault));
            return None;
        }
        Some(entry)
    }

    fn tell_hours(&mut self, record: &Record, hours: Option<Hours>) {
        if hours != self.hours {
            (self.hours, self.hours_at) = (hours, record.stamp.at);
        }
    }

    fn take_in(&mut self, record: &Record, entry: Entry, known_is_example: &mut bool) {
        match entry {
            Entry::Begin(Begin { name, engine_id, engine, hours, scope, known_source, .. }) => {
                *known_is_example |= known_source.is_some_and(|source| is_practice(&source, false));
                self.partial |= scope.is_some_and(|scope| !scope.is_empty());
                self.name = name.unwrap_or(std::mem::take(&mut self.name));
                // One that was written by hand finds no engine: its name may.
                let fault = |id: &String| meaning::not_an_id(record.seq, "engine_id", id);
                self.doubt(engine_id.as_ref().and_then(fault));
                self.engine_id = engine_id.filter(|id| is_id(id)).or(self.engine_id.take());
                self.engine = engine.or(self.engine.take());
                self.tell_hours(record, hours.or(self.hours));
            }
            Entry::Back(back) => self.tell_hours(record, back.put_right(self.hours)),
            Entry::Source(SourceRead::Named { source, practice }) => {
                self.practice = is_practice(&source, practice);
            }
            Entry::Source(SourceRead::Confirmed) => self.practice = *known_is_example,
            Entry::Redate(redate) => self.day = Some(redate.day),
            Entry::Skip(Skip { what: Skipped::Setting(_), .. }) => self.passed_over = true,
            Entry::Sign(sign) => {
                self.signed = true;
                self.next_check = sign.next_check;
            }
            Entry::Seal(seal) => {
                self.sealed = true;
                self.signed = seal.signed;
                self.imported = !seal.signed && seal.why == IMPORTED;
            }
            _ => {}
        }
    }
}

/// Reads a record of any kind but those that carry a profile, which would have to be checked with it.
fn spelled(record: &Record) -> Option<Result<Entry, DecodeFault>> {
    let no_profile = |_: &str| Err(String::new());
    let has_profile = ["head", "amend"].contains(&record.kind.as_ref());
    (!has_profile).then(|| codec::decode(&record.kind, record.payload, &no_profile))
}

fn decoded(record: &Record) -> Option<Entry> {
    spelled(record)?.ok()
}

/// Lists the entries that a later one took back; what was taken back by one that was taken back itself stands.
fn taken_back(records: &[Record]) -> BTreeSet<u64> {
    let corrections = records.iter().rev().filter(|record| record.kind == "correct");
    corrections.fold(BTreeSet::new(), |mut gone, record| {
        if let Some(Entry::Correct(Correct { of, change: Change::Void, .. })) = decoded(record)
            && !gone.contains(&record.seq)
        {
            gone.insert(of);
        }
        gone
    })
}

#[derive(Deserialize)]
struct Identity {
    sid: String,
    #[serde(default)]
    program: String,
}
