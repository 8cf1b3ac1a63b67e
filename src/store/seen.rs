//! What was last seen of each session here: a memo beside the data, one small file a session.
//!
//! Whole entries cut off the end of a session that was not signed leave no trace in its file. Where
//! the last entry seen here is not there any more, that can at least be said. The memo is no truth:
//! it lies in the folder that may be deleted at any time, and nothing depends on it.
//!
//! A session that was saved in another folder, because this one took no more, is noted there, too: its
//! file here would else be taken for all of it. The memo is written over in its place, so that a full
//! disk takes it.

use super::StoreError;
use super::engines::files_in;
use super::folder::{Folder, make_folder, read_text};
use super::hash::is_id;
use super::journal::record::{NO_HASH, RECORDS_MAX, Record};
use super::journal::storage::for_one_user;
use super::sessions::hashes_of;
use super::shown;
use super::words::as_typed;
use std::fmt;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Most bytes of a memo: a path may stand in it.
const FILE_MAX: u64 = 8192;
/// What stands before the place in which a session was saved.
const SAVED_IN: &str = "saved in ";

/// The last entry seen of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Its place.
    pub seq: u64,
    /// Its hash.
    pub hash: String,
}

/// Where a session was saved when this folder took no more of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// Its file.
    pub path: PathBuf,
    /// The last entry that was in it, when that was noted.
    pub last: Seen,
}

impl fmt::Display for Elsewhere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (file, typed, entries) = (shown(&self.path), as_typed(&self.path), self.last.seq + 1);
        let there = match self.path.try_exists() {
            Ok(true) => "",
            Ok(false) | Err(_) => "; it is not there now: bring its disk back first",
        };
        write!(
            f,
            "goes on in {file}, with {entries} entries or more; it was saved there when this folder \
             took no more{there}: cowlside take {typed}"
        )
    }
}

/// What is not as it was last time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missed {
    /// There are fewer entries.
    Fewer {
        /// How many there were.
        were: u64,
        /// How many there are.
        are: u64,
    },
    /// The last entry seen is another one now.
    Another {
        /// Its place.
        seq: u64,
    },
}

impl fmt::Display for Missed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Missed::Fewer { were, are } => write!(
                f,
                "this session had {were} entries here last time, now it has {are}: its end was cut \
                 off, or an older copy was put in its place"
            ),
            Missed::Another { seq } => write!(
                f,
                "entry {seq} is not the one that was here last time: another version of this session \
                 was put in its place"
            ),
        }
    }
}

impl Seen {
    /// Tells what is not as it was, among the good records of a session's file.
    pub fn missed(&self, records: &[Record]) -> Option<Missed> {
        match records.iter().find(|record| record.seq == self.seq) {
            Some(record) if record.hash == self.hash => None,
            Some(_) => Some(Missed::Another { seq: self.seq }),
            None => {
                let last = records.last()?.seq;
                // A hole further up is the journal's own to tell.
                (last < self.seq).then_some(Missed::Fewer { were: self.seq + 1, are: last + 1 })
            }
        }
    }
}

/// Returns what was last seen of a session here; nothing where no memo can be read.
pub fn of(folder: &Folder, session: &str) -> Option<Seen> {
    let text = text_of(&place(folder, session)?)?;
    let (seq, hash) = text.lines().next()?.trim_end().split_once(' ')?;
    entry(seq, hash)
}

/// Returns where a session was saved with more than is here; nothing where none is noted, or a file here
/// holds the last entry that was saved there. What is here may have gone on since in another way: how
/// many entries it has tells nothing.
pub fn elsewhere(
    folder: &Folder,
    session: &str,
    is_here: impl FnOnce(&Seen) -> bool,
) -> Option<Elsewhere> {
    let text = text_of(&place(folder, session)?)?;
    let noted = text.lines().find_map(|line| line.strip_prefix(SAVED_IN))?;
    let (seq, noted) = noted.split_once(' ')?;
    let (hash, path) = noted.split_once(' ')?;
    let last = entry(seq, hash)?;
    (!is_here(&last)).then(|| Elsewhere { path: path.into(), last })
}

/// Tells whether a file among the sessions here holds this entry.
pub fn is_in_a_file_of(folder: &Folder, seen: &Seen) -> bool {
    let files = files_in(&folder.sessions(), "jsonl").unwrap_or_default();
    files.iter().any(|path| is_in(path, seen))
}

/// Tells whether a session's file holds this entry.
pub fn is_in(path: &Path, seen: &Seen) -> bool {
    let hashes = hashes_of(path).unwrap_or_default();
    hashes.get(&seen.seq) == Some(&seen.hash)
}

/// Reads an entry's place and its hash. The memo may be garbled: no journal is so long.
fn entry(seq: &str, hash: &str) -> Option<Seen> {
    let seq = seq.parse().ok().filter(|seq| *seq < RECORDS_MAX)?;
    (hash.len() == NO_HASH.len()).then(|| Seen { seq, hash: hash.to_owned() })
}

fn text_of(path: &Path) -> Option<String> {
    read_text(path, FILE_MAX).ok()
}

/// Tells whether entries of a session whose identity begins so were seen here; where that cannot be known,
/// they may have been.
pub fn was_here(folder: &Folder, begins: &str) -> bool {
    let Ok(memos) = std::fs::read_dir(folder.cache().join(INSIDE)) else { return true };
    let begins_so = |memo: &std::fs::DirEntry| {
        memo.file_name().to_str().is_some_and(|name| name.starts_with(begins))
    };
    memos.flatten().any(|memo| begins_so(&memo))
}

/// Notes the last entry of a session. A memo that is half written is none.
///
/// # Errors
/// What the system says; nothing is lost by it.
pub fn note(folder: &Folder, session: &str, seq: u64, hash: &str) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    let before = text_of(&path).unwrap_or_default();
    let kept = before.lines().find(|line| line.starts_with(SAVED_IN));
    let kept = kept.map_or(String::new(), |line| format!("{line}\n"));
    put(folder, &path, &format!("{seq} {hash}\n{kept}"))
}

/// Notes where a session was saved, with which last entry, when this folder took no more of it.
///
/// # Errors
/// What the system says, or the path cannot be written in a line.
pub fn note_elsewhere(
    folder: &Folder,
    session: &str,
    Elsewhere { path: to, last }: &Elsewhere,
) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    let refused = |kind: io::ErrorKind| StoreError::io("write", &path)(kind.into());
    let Some(to) = to.to_str().filter(|to| !to.contains(['\n', '\r'])) else {
        return Err(refused(io::ErrorKind::InvalidFilename));
    };
    if !folder.root().is_dir() {
        return Err(refused(io::ErrorKind::NotFound));
    }
    let seen = text_of(&path).unwrap_or_default();
    let seen = seen.lines().find(|line| !line.starts_with(SAVED_IN)).unwrap_or_default();
    put(folder, &path, &format!("{seen}\n{SAVED_IN}{} {} {to}\n", last.seq, last.hash))
}

fn put(folder: &Folder, path: &Path, text: &str) -> Result<(), StoreError> {
    let written = write(path, text).or_else(|error| {
        if error.kind() != io::ErrorKind::NotFound {
            return Err(error);
        }
        // A data folder that was taken away is not made anew for a memo.
        if !folder.root().is_dir() {
            return Ok(());
        }
        make_folder(&folder.cache().join(INSIDE)).map_err(io::Error::other)?;
        write(path, text)
    });
    written.map_err(StoreError::io("write", path))
}

fn write(path: &Path, text: &str) -> io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(false);
    for_one_user(&mut options);
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.set_len(text.len() as u64)
}

const INSIDE: &str = "seen";

fn place(folder: &Folder, session: &str) -> Option<PathBuf> {
    is_id(session).then(|| folder.cache().join(INSIDE).join(session))
}
