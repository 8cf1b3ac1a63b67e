//! What was last seen of each session here: a memo beside the data, one small file a session.
//!
//! Whole entries cut off the end of a session that was not signed leave no trace in its file. Where
//! the last entry seen here is not there any more, that can at least be said. The memo is no truth:
//! it lies in the folder that may be deleted at any time, and nothing depends on it.
//!
//! A session that was saved in another folder, because this one took no more, is noted there, too: its
//! file here would else be taken for all of it. The memo is written over in its place, so that a full
//! disk takes it.

mod elsewhere;

pub use elsewhere::{Elsewhere, There, elsewhere, elsewhere_of, saved_at, whole_elsewhere};

use super::StoreError;
use super::engines::{Engine, files_in};
use super::folder::{Folder, make_folder, read_text};
use super::hash::is_id;
use super::journal::numbered;
use super::journal::record::{self, Line, NO_HASH, RECORDS_MAX, Record};
use super::journal::storage::for_one_user;
use super::sessions::{Glance, glance_at, hashes_of};
use std::fmt;
use std::fs::OpenOptions;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Most bytes of a memo: a path may stand in it.
const FILE_MAX: u64 = 8192;
/// Most bytes of what a session is called.
const NAMED_MAX: usize = 1024;
/// What stands before what a session is called, and a tab before its engine's name.
const OF: &str = "of ";
/// What stands before the identity of its engine.
const OF_ENGINE: &str = "engine ";
/// The line that tells that it had ended.
const ENDED: &str = "ended";
/// What stands before the place in which a session was saved.
const SAVED_IN: &str = "saved in ";
/// The line that tells that the user knew of that place and went on with the file here.
const GONE_ON_HERE: &str = "gone on here";

/// The last entry seen of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Its place.
    pub seq: u64,
    /// Its hash.
    pub hash: String,
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

/// Tells whether entries of a session whose identity begins so were seen here; `None` where no memo is kept
/// any more.
fn was_here(folder: &Folder, begins: &str) -> Option<bool> {
    let memos = std::fs::read_dir(folder.cache().join(INSIDE)).ok()?;
    let begins_so = |memo: &std::fs::DirEntry| {
        memo.file_name().to_str().is_some_and(|name| name.starts_with(begins))
    };
    Some(memos.flatten().any(|memo| begins_so(&memo)))
}

/// Tells whether a file has a name that this program gives.
fn is_own_name(path: &Path) -> bool {
    !id_begins(path).is_empty()
}

/// Returns what the identity begins with in a name that this program gives: its time, that, and of a copy a
/// part of its hash and perhaps a number; nothing in any other name.
pub fn begins_in(name: &str) -> &str {
    let parts: Vec<&str> = name.split('-').collect();
    let digits =
        |text: &str, count| text.len() == count && text.bytes().all(|b| b.is_ascii_digit());
    let is_hash =
        |text: &str| text.len() == HASH_IN_NAME && text.bytes().all(|b| b.is_ascii_hexdigit());
    let [day, time, begins, copy @ ..] = parts.as_slice() else { return "" };
    let time = time.strip_suffix('z').unwrap_or_default();
    let is_copy = match copy {
        [] => true,
        [hash] => is_hash(hash),
        [hash, number] => is_hash(hash) && number.bytes().all(|b| b.is_ascii_digit()),
        _ => false,
    };
    let is_own = digits(day, 8) && digits(time, 6) && begins.len() == NAMED_BY && is_copy;
    if is_own { begins } else { "" }
}

/// How much of a copy's hash stands in its file's name.
const HASH_IN_NAME: usize = 8;

/// How much of a session's identity stands in its file's name.
const NAMED_BY: usize = 6;

/// Returns what the identity of a session begins with, by its file's name.
pub fn id_begins(path: &Path) -> String {
    begins_in(&numbered(path).0).to_owned()
}

/// Returns the same, where the name is one that this program gives.
pub(super) fn begins_of(path: &Path) -> Option<String> {
    is_own_name(path).then(|| id_begins(path))
}

/// What a file without a whole entry is, as far as the memo of what was here tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Empty {
    /// What is left of a start that failed: nothing of it was ever seen here.
    FailedStart,
    /// Not a byte is in it, and no memo is kept any more: nobody can tell. It is no fault by itself, and it
    /// is asked about wherever it is met.
    NobodyKnows,
    /// It held something, or has the look of it: a name of its own, or what a power cut leaves.
    Lost,
}

/// Tells what a file without a whole entry is.
pub fn empty(folder: &Folder, path: &Path) -> Empty {
    let mut first = Vec::new();
    let begins = std::fs::File::open(path).and_then(|file| file.take(1).read_to_end(&mut first));
    if begins.is_err() || first == [0] || !is_own_name(path) {
        return Empty::Lost;
    }
    match was_here(folder, &id_begins(path)) {
        Some(false) => Empty::FailedStart,
        None if first.is_empty() => Empty::NobodyKnows,
        Some(true) | None => Empty::Lost,
    }
}

/// Notes the last entry of a session. A memo that is half written is none.
///
/// # Errors
/// What the system says; nothing is lost by it.
pub fn note(folder: &Folder, session: &str, seq: u64, hash: &str) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    put(folder, &path, &format!("{seq} {hash}\n{}", behind_the_first(&path, |_| true)))
}

/// How the lines begin that stand behind the one of the last entry.
const KEPT: [&str; 5] = [SAVED_IN, GONE_ON_HERE, OF, OF_ENGINE, ENDED];

/// Returns the lines of a memo that stand behind the one of the last entry, as far as they are wanted.
fn behind_the_first(path: &Path, wanted: impl Fn(&str) -> bool) -> String {
    let before = text_of(path).unwrap_or_default();
    let is_kept = |line: &&str| KEPT.iter().any(|word| line.starts_with(word));
    let kept = before.lines().filter(|line| is_kept(line) && wanted(line));
    kept.map(|line| format!("{line}\n")).collect()
}

/// Notes that the user was told where a session goes on, and went on with its file here.
///
/// # Errors
/// What the system says; it is then asked again.
pub fn note_gone_on_here(folder: &Folder, session: &str) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    let text = text_of(&path).unwrap_or_default();
    if text.lines().any(|line| line == GONE_ON_HERE) {
        return Ok(());
    }
    put(folder, &path, &format!("{text}{GONE_ON_HERE}\n"))
}

/// What a session was called that was seen here, and whose it was.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Named {
    /// Its name.
    pub name: String,
    /// Its engine.
    pub engine: Option<String>,
    /// Its engine's identity.
    pub engine_id: Option<String>,
    /// Whether it had ended.
    pub ended: bool,
}

impl Named {
    /// Makes it of a session of an engine.
    pub fn of(name: String, Engine { name: engine, id, .. }: &Engine, ended: bool) -> Named {
        Named { name, engine: Some(engine.clone()), engine_id: Some(id.clone()), ended }
    }
}

/// Tells whether a session has fewer entries than were seen here of it.
pub fn fewer(folder: &Folder, session: &str, entries: usize) -> Option<Missed> {
    let were = of(folder, session)?.seq + 1;
    let are = u64::try_from(entries).unwrap_or(u64::MAX);
    (are < were).then_some(Missed::Fewer { were, are })
}

/// Notes once what a session is called and whose it is, so that it can be named when its file is gone; and
/// that it has ended.
///
/// # Errors
/// As [`note`].
pub fn note_name(folder: &Folder, session: &str, named: &Named) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    let text = text_of(&path).unwrap_or_default();
    let of = format!("{OF}{}\t{}", named.name, named.engine.as_deref().unwrap_or_default());
    let of_engine = named.engine_id.as_ref().map(|id| format!("{OF_ENGINE}{id}"));
    let ended = named.ended.then(|| ENDED.to_owned());
    let mut more = String::new();
    for (word, line) in [(OF, Some(of)), (OF_ENGINE, of_engine), (ENDED, ended)] {
        let Some(line) = line else { continue };
        let is_noted = text.lines().any(|line| line.starts_with(word));
        // What would be another line or too long is not named.
        if !is_noted && !line.contains(['\n', '\r']) && line.len() <= NAMED_MAX {
            more += &format!("{line}\n");
        }
    }
    if more.is_empty() { Ok(()) } else { put(folder, &path, &format!("{text}{more}")) }
}

/// What is noted of a session's file that comes from elsewhere.
#[derive(Clone, Debug)]
pub struct Came {
    session: String,
    last: Seen,
    named: Named,
}

impl Came {
    /// Makes it of a session that was looked at, and its bytes; `None` where its end is not whole.
    pub fn of(glance: &Glance, bytes: &[u8]) -> Option<Came> {
        let line = bytes.trim_ascii_end().rsplit(|byte| *byte == b'\n').next()?;
        let Line::Good(Record { seq, hash, .. }) = record::read(line) else { return None };
        let last = Seen { seq, hash: hash.to_owned() };
        let named = Named {
            name: glance.name.clone(),
            engine: glance.engine.clone(),
            engine_id: glance.engine_id.clone(),
            ended: glance.sealed,
        };
        Some(Came { session: glance.id.clone(), last, named })
    }

    /// Makes it of the bytes of a session.
    pub fn of_bytes(path: &Path, bytes: &[u8]) -> Option<Came> {
        Came::of(&glance_at(path, bytes).ok()?, bytes)
    }

    /// Notes it, where nothing is noted yet: what was seen here before may be more. The memo is no truth;
    /// without it all goes on.
    pub fn note(&self, folder: &Folder) {
        if of(folder, &self.session).is_none() {
            let _ = note(folder, &self.session, self.last.seq, &self.last.hash);
            let _ = note_name(folder, &self.session, &self.named);
        }
    }
}

/// One session that was seen here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Memo {
    /// Its identity.
    pub session: String,
    /// The last entry.
    pub last: Seen,
    /// What it was called, where that was noted.
    pub named: Option<Named>,
    /// Where the memo lies: with it all of this is forgotten.
    pub path: PathBuf,
}

/// Lists what was seen here of the sessions whose identities are wanted. No other memo is read.
pub fn of_those(folder: &Folder, wanted: impl Fn(&str) -> bool) -> Vec<Memo> {
    let inside = std::fs::read_dir(folder.cache().join(INSIDE)).into_iter().flatten().flatten();
    let ids = inside.filter_map(|one| one.file_name().into_string().ok());
    let mut all: Vec<Memo> =
        ids.filter(|id| wanted(id)).filter_map(|id| memo(folder, &id)).collect();
    all.sort_by(|one, other| one.path.cmp(&other.path));
    all
}

/// Tells whether a file has all that was in one of which nothing can be read: what was seen of it here,
/// and no fewer bytes.
pub fn is_back_in(folder: &Folder, emptied: &Path, file: &Path) -> bool {
    let begins = id_begins(emptied);
    let mut memos = of_those(folder, |id| id.starts_with(&begins)).into_iter();
    let length = |path: &Path| path.metadata().map(|about| about.len()).ok();
    let reaches = length(file).zip(length(emptied)).is_some_and(|(file, was)| file >= was);
    is_own_name(emptied) && reaches && memos.all(|memo| is_in(file, &memo.last))
}

/// Returns what was seen here of the session whose identity begins so, unless all of that is in some file
/// here.
pub fn lost_of(folder: &Folder, begins: &str) -> Option<Memo> {
    let begins_so = |id: &str| !begins.is_empty() && id.starts_with(begins);
    let mut memos = of_those(folder, begins_so).into_iter();
    memos.find(|memo| !is_in_a_file_of(folder, &memo.last))
}

fn memo(folder: &Folder, session: &str) -> Option<Memo> {
    let path = place(folder, session)?;
    let text = text_of(&path)?;
    let named = text.lines().find_map(|line| line.strip_prefix(OF)).map(|of| {
        let (name, engine) = of.split_once('\t').unwrap_or((of, ""));
        let engine = Some(engine.to_owned()).filter(|engine| !engine.is_empty());
        let engine_id = text.lines().find_map(|line| line.strip_prefix(OF_ENGINE));
        let engine_id = engine_id.filter(|id| is_id(id)).map(str::to_owned);
        let ended = text.lines().any(|line| line == ENDED);
        Named { name: name.to_owned(), engine, engine_id, ended }
    });
    Some(Memo { session: session.to_owned(), last: of(folder, session)?, named, path })
}

/// Notes where a session was saved, with which last entry, when this folder took no more of it.
///
/// # Errors
/// What the system says, or the path cannot be written in a line.
pub fn note_elsewhere(
    folder: &Folder,
    session: &str,
    (to, last): (&Path, &Seen),
) -> Result<(), StoreError> {
    let Some(path) = place(folder, session) else { return Ok(()) };
    let refused = |kind: io::ErrorKind| StoreError::io("write", &path)(kind.into());
    let Some(to) = to.to_str().filter(|to| !to.contains(['\n', '\r'])) else {
        return Err(refused(io::ErrorKind::InvalidFilename));
    };
    if !folder.root().is_dir() {
        return Err(refused(io::ErrorKind::NotFound));
    }
    let seen = of(folder, session);
    let seen = seen.map_or(String::new(), |seen| format!("{} {}", seen.seq, seen.hash));
    let kept =
        behind_the_first(&path, |line| [OF, OF_ENGINE].iter().any(|of| line.starts_with(of)));
    put(folder, &path, &format!("{seen}\n{SAVED_IN}{} {} {to}\n{kept}", last.seq, last.hash))
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
