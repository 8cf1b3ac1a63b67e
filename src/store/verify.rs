//! What is whole in the data folder and what is not: every session's file by itself, how files of one
//! session stand to each other, engines, own profiles, settings.
//!
//! It reads and never writes, takes no lock, and stops at nothing: what cannot be read is told.

mod gone;
mod kin;
mod words;

pub use gone::{Gone, gone, sessions_gone};
pub use kin::{Other as OtherFile, relate};
pub use words::{full_name, json, summary, told, word};

use super::StoreError;
use super::codec::{self, ParseProfile};
use super::engines::{self, files_in};
use super::folder::Folder;
use super::hash::code_as_typed;
use super::journal::scan::{scan, set_aside};
use super::journal::{JournalFile, Tail, Verdict, meaning, read_bytes};
use super::profile_error::ProfileError;
use super::profiles;
use super::seen::{self, Elsewhere, Empty, Missed, Seen};
use super::sessions::{self, Entries};
use super::settings::Settings;
use crate::domain::clock::{self, Doubt};
use crate::domain::entry::{Entry, Hours, Kept, Moment};
use std::path::{Path, PathBuf};

/// One session's file, checked to the last byte.
#[derive(Clone, Debug)]
pub struct Checked {
    /// Where it lies.
    pub path: PathBuf,
    /// The session's identity, where its first entry can be read.
    pub id: Option<String>,
    /// What it was called at its beginning, else its file's stem.
    pub name: String,
    /// The engine.
    pub engine: Option<String>,
    /// The engine's identity.
    pub engine_id: Option<String>,
    /// The engine's hours.
    pub hours: Option<Hours>,
    /// When its first and its last good entry were written.
    pub times: Option<(Moment, Moment)>,
    /// How whole it is.
    pub verdict: Verdict,
    /// The places of the good entries.
    pub good: Vec<u64>,
    /// The entries that set a broken end aside, and what was set aside.
    pub healed: Vec<(u64, Tail)>,
    /// How many entries of a newer program were passed over, as it allows.
    pub passed_over: usize,
    /// Its end, where it has ended.
    pub sealed: Option<Sealed>,
    /// What makes its clock doubtful.
    pub clock: Vec<Doubt>,
    /// What is not as it was when it was last seen here.
    pub missed: Option<Missed>,
    /// Where it was saved with more than this, when the folder took no more.
    pub elsewhere: Option<Elsewhere>,
    /// The other files of the same session, and how this one stands to each.
    pub kin: Vec<OtherFile>,
    /// The letter of its version, where several files of its session are shown.
    pub letter: Option<char>,
    /// Another file of the same session that is whole and has every entry that can be read here.
    pub whole_in: Option<PathBuf>,
    /// Where it is damaged, another file of the same session that is sound as far as it goes, and its
    /// entries.
    pub sound_in: Option<(PathBuf, usize)>,
    /// How many entries were here when it was last seen, where none of them can be read any more.
    pub held: Option<u64>,
    /// What it is where no whole entry is in it.
    pub empty: Option<Empty>,
    hashes: Entries,
}

/// The end of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sealed {
    /// Its place.
    pub seq: u64,
    /// The code worked out from the file.
    pub code: String,
    /// Whether it was signed.
    pub signed: bool,
    /// Who ended it.
    pub by: String,
    /// Why, where it was not signed.
    pub why: String,
    /// How many remarks were added since.
    pub remarks: usize,
    /// The entries behind it that must not be there, and their kinds.
    pub wrong: Vec<(u64, String)>,
}

/// A file beside the sessions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Other {
    /// Engine, profile or settings.
    pub kind: &'static str,
    /// What it is called.
    pub name: String,
    /// What is wrong with it, if anything.
    pub wrong: Option<String>,
    /// Whether that is only that a newer program wrote it.
    pub newer: bool,
    /// Whether that is only that it could not be read just now.
    pub unread: bool,
    /// What is said of it where it is a copy of an engine's file.
    pub copy: Option<String>,
}

/// Everything in a data folder.
#[derive(Clone, Debug, Default)]
pub struct Report {
    /// The sessions' files, by name.
    pub sessions: Vec<Checked>,
    /// Files among them that cannot be read at all, and why.
    pub unreadable: Vec<(PathBuf, String)>,
    /// Engines, own profiles, settings.
    pub others: Vec<Other>,
    /// Sessions and engines whose files were here and are gone.
    pub gone: Vec<Gone>,
}

impl Checked {
    /// Tells whether something was lost or changed.
    pub fn is_damaged(&self) -> bool {
        self.verdict.is_damage() && !self.never_held() && !self.is_back()
            || self.missed.is_some()
            || self.sealed.as_ref().is_some_and(|sealed| !sealed.wrong.is_empty())
    }

    /// Tells whether it is no fault by itself that no whole entry is in it.
    pub fn never_held(&self) -> bool {
        matches!(self.empty, Some(Empty::FailedStart | Empty::NobodyKnows))
    }

    /// Tells whether nothing can be read in it, and all that was in it is in another file.
    pub fn is_back(&self) -> bool {
        self.verdict == Verdict::EmptyStart && self.whole_in.is_some()
    }

    /// Tells whether nothing is in it, and nothing is known to be lost with it.
    pub fn is_empty(&self) -> bool {
        self.verdict == Verdict::EmptyStart && !self.is_damaged()
    }

    /// Tells whether only a newer program can say whether it is whole.
    pub fn is_unchecked(&self) -> bool {
        self.verdict.is_of_a_newer_program()
    }

    /// Tells whether a code that was kept elsewhere is the one of this file; `None` where it has not
    /// ended, or where its entries do not hang together up to its end.
    pub fn code_fits(&self, code: &str) -> Option<bool> {
        let sealed = self.sealed.as_ref().filter(|_| self.proves())?;
        Some(code_as_typed(code) == sealed.code)
    }

    /// Tells whether the entries hang together, so that the code of the last proves those before.
    fn proves(&self) -> bool {
        !matches!(self.verdict, Verdict::Damaged(_))
    }
}

impl Report {
    /// Tells whether something was lost or changed anywhere.
    pub fn is_damaged(&self) -> bool {
        !self.unreadable.is_empty()
            || self.gone.iter().any(|gone| gone.lies_elsewhere().is_none())
            || self.sessions.iter().any(Checked::is_damaged)
            || self
                .others
                .iter()
                .any(|other| other.wrong.is_some() && !other.newer && other.copy.is_none())
    }

    /// Tells whether a copy of an engine's file says something else than that.
    pub fn has_other_words(&self) -> bool {
        self.others.iter().any(|other| other.wrong.is_some() && other.copy.is_some())
    }

    /// Tells whether a file is empty of which nobody knows what was in it.
    pub fn has_unknown(&self) -> bool {
        self.sessions.iter().any(|one| one.empty == Some(Empty::NobodyKnows))
    }

    /// Tells whether all was checked and nothing is known to be lost or changed.
    pub fn is_whole(&self) -> bool {
        !self.is_damaged()
            && !self.has_other_words()
            && !self.sessions.iter().any(Checked::is_unchecked)
            && !self.others.iter().any(|other| other.newer)
    }
}

/// Checks one session's file.
///
/// # Errors
/// It cannot be read, or is no ordinary file.
pub fn file(folder: &Folder, path: &Path, parse: ParseProfile) -> Result<Checked, StoreError> {
    let bytes = read_bytes(&mut JournalFile::read_only(path)?, path)?;
    let scan = scan(&bytes);
    let (entries, verdict) = meaning::entries(&scan, parse);
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let first = scan.records.first().zip(scan.records.last());
    let aside =
        scan.records.iter().filter_map(|one| Some((one.seq, set_aside(one, &bytes)?))).collect();
    // Where a newer program wrote it, its entries are not this one's to read.
    let read = !entries.is_empty();
    let allowed = scan.records.iter().filter(|one| one.optional && !codec::is_kind(&one.kind));
    let mut checked = Checked {
        path: path.to_owned(),
        id: None,
        name: stem.unwrap_or_default(),
        engine: None,
        engine_id: None,
        hours: None,
        times: first.map(|(first, last)| (first.stamp.at, last.stamp.at)),
        good: scan.records.iter().map(|record| record.seq).collect(),
        healed: aside,
        passed_over: if read { allowed.count() } else { 0 },
        sealed: None,
        clock: clock::doubts_of(&entries),
        missed: None,
        elsewhere: None,
        kin: Vec::new(),
        letter: None,
        whole_in: None,
        sound_in: None,
        held: None,
        empty: None,
        hashes: Entries::of(&scan.records),
        verdict,
    };
    checked.take_in(&entries);
    if let (Some(sealed), Some(code)) = (&mut checked.sealed, meaning::seal_code(&scan)) {
        sealed.code = code;
    }
    let is_here = |last: &Seen| {
        checked.hashes.own.get(&last.seq) == Some(&last.hash) || seen::is_in_a_file_of(folder, last)
    };
    let elsewhere = checked.id.as_deref().and_then(|id| seen::elsewhere(folder, id, is_here));
    checked.elsewhere = elsewhere;
    if let Some(id) = checked.id.clone() {
        let cut_off = match &mut checked.verdict {
            Verdict::CutOff(tail) => Some(tail),
            _ => None,
        };
        for tail in cut_off.into_iter().chain(checked.healed.iter_mut().map(|(_, tail)| tail)) {
            tail.whole_in = seen::whole_elsewhere(folder, &id, (path, tail));
        }
    }
    let seen = checked.id.as_deref().and_then(|id| seen::of(folder, id));
    checked.missed = seen.and_then(|seen| {
        let missed = seen.missed(&scan.records)?;
        is_missed(folder, path, &seen).then_some(missed)
    });
    if checked.id.is_none() && !checked.is_unchecked() && lies_here(folder, path) {
        let begins = seen::id_begins(path);
        checked.elsewhere = seen::elsewhere_of(folder, &begins);
        if scan.records.is_empty() {
            checked.held = seen::lost_of(folder, &begins).map(|memo| memo.last.seq + 1);
        }
        if checked.verdict == Verdict::EmptyStart {
            let listed = sessions::list(folder)?.sessions;
            checked.whole_in = sessions::back_in(folder, path, &listed);
            checked.empty = Some(seen::empty(folder, path)).filter(|_| checked.whole_in.is_none());
        }
    }
    Ok(checked)
}

/// Tells whether an entry that a file of the data folder lacks is in no other file there, either.
/// Of a file elsewhere nothing is missed: it may be a copy of an earlier day.
fn is_missed(folder: &Folder, path: &Path, seen: &Seen) -> bool {
    lies_here(folder, path) && !seen::is_in_a_file_of(folder, seen)
}

fn lies_here(folder: &Folder, path: &Path) -> bool {
    let sessions = folder.sessions().canonicalize().ok();
    path.canonicalize().ok().is_some_and(|path| path.parent() == sessions.as_deref())
}

/// Checks everything in a data folder.
///
/// # Errors
/// The folder cannot be listed.
pub fn everything(folder: &Folder, parse: ParseProfile) -> Result<Report, StoreError> {
    let mut report = Report::default();
    let paths = files_in(&folder.sessions(), "jsonl")?;
    let all = paths.len();
    for (done, path) in paths.into_iter().enumerate() {
        folder.progress().so_far("checking sessions", done, all);
        match file(folder, &path, parse) {
            Ok(checked) => report.sessions.push(checked),
            Err(error) => report.unreadable.push((path, error.to_string())),
        }
    }
    relate(folder, &mut report.sessions)?;
    report.others = others(folder)?;
    let here = report.sessions.iter().map(|one| gone::Here {
        id: one.id.as_deref(),
        path: &one.path,
        name: &one.name,
        engine_id: one.engine_id.as_deref(),
        engine: one.engine.as_deref(),
    });
    let unreadable = report.unreadable.iter().map(|(path, _)| gone::Here::unknown(path));
    report.gone = gone::of(folder, &here.chain(unreadable).collect::<Vec<_>>())?;
    Ok(report)
}

/// Checks engines, own profiles and settings.
///
/// # Errors
/// The folder cannot be listed.
pub fn others(folder: &Folder) -> Result<Vec<Other>, StoreError> {
    let mut others = Vec::new();
    let other =
        |kind, name, wrong| Other { kind, name, wrong, newer: false, unread: false, copy: None };
    let engines = engines::list(folder)?;
    let names = engines.engines.into_iter().map(|engine| {
        let flaw = engine.flaw();
        other("engine", engine.name, flaw)
    });
    others.extend(names);
    let named = |error: &StoreError| {
        let name = error.path().and_then(Path::file_name).unwrap_or_default();
        name.to_string_lossy().into_owned()
    };
    let broken = engines.broken.iter().map(|error| {
        let (newer, unread) = (is_newer(error), is_unread(error));
        let wrong = error.to_string();
        let copy = matches!(error, StoreError::EngineCopy { .. }).then(|| wrong.clone());
        Other { newer, unread, copy, ..other("engine", named(error), Some(wrong)) }
    });
    others.extend(broken);
    let copies = engines.copies.iter();
    others.extend(copies.map(|error| Other {
        copy: Some(error.to_string()),
        ..other("engine", named(error), None)
    }));
    let known = profiles::list(folder.root());
    let own = known.known.into_iter().filter(|known| known.origin == profiles::Origin::Own);
    others.extend(own.map(|known| other("profile", known.profile.name, None)));
    others.extend(known.broken.iter().map(|error| {
        let newer = matches!(error, ProfileError::Newer { .. });
        let unread = matches!(error, ProfileError::Unreadable { .. });
        Other { newer, unread, ..other("profile", String::new(), Some(error.to_string())) }
    }));
    if folder.settings().symlink_metadata().is_ok() {
        let fault = Settings::load(folder).1;
        let newer = fault.as_ref().is_some_and(is_newer);
        let unread = fault.as_ref().is_some_and(is_unread);
        let wrong = fault.map(|error| error.to_string());
        others.push(Other { newer, unread, ..other("settings", String::new(), wrong) });
    }
    Ok(others)
}

/// Tells whether a file only could not be read just now: nobody knows whether it is whole.
fn is_unread(error: &StoreError) -> bool {
    matches!(error, StoreError::Io { .. })
}

fn is_newer(error: &StoreError) -> bool {
    matches!(error, StoreError::Newer { .. })
}

impl Checked {
    fn take_in(&mut self, entries: &[Kept]) {
        for kept in entries {
            match &kept.entry {
                Entry::Head(head) => self.id = Some(head.session.clone()),
                Entry::Begin(begin) => {
                    self.name = begin.name.clone().unwrap_or(std::mem::take(&mut self.name));
                    self.engine = begin.engine.clone().or(self.engine.take());
                    self.engine_id = begin.engine_id.clone().or(self.engine_id.take());
                    self.hours = begin.hours.or(self.hours);
                }
                Entry::Back(back) => self.hours = back.put_right(self.hours),
                Entry::Seal(seal) if self.sealed.is_none() => {
                    self.sealed = Some(Sealed {
                        seq: kept.seq,
                        code: String::new(),
                        signed: seal.signed,
                        by: seal.by.clone(),
                        why: seal.why.clone(),
                        remarks: 0,
                        wrong: Vec::new(),
                    });
                }
                other => {
                    let Some(sealed) = &mut self.sealed else { continue };
                    if !meaning::may_follow_seal(other) {
                        let kind = super::codec::kind(other).to_owned();
                        sealed.wrong.push((kept.seq, kind));
                    } else if matches!(other, Entry::Remark(_)) {
                        sealed.remarks += 1;
                    }
                }
            }
        }
    }
}
