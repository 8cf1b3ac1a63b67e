//! The journal of a session: one file of JSON lines that only ever grows.
//!
//! An entry is *saved* when its whole line is in the file and the system has confirmed that it is on
//! the disk; until then it is never shown as saved. `ledger` makes the lines, `keeper` brings them to
//! the disk and knows every way on when that fails, `writer` does so in a thread of its own. A broken
//! end is set aside by appending at the next opening. Nothing here truncates, renames or removes.
//!
//! What an entry means is left to `domain`; where files lie, to `folder`.

pub mod following;
pub mod keeper;
pub mod ledger;
pub mod meaning;
mod newer;
pub mod record;
pub mod scan;
pub mod storage;
mod trouble;
pub mod verdict;
pub mod writer;

pub use following::Follower;
pub use keeper::{Keeper, Shelf, Standing, numbered};
pub use storage::{About, DiskShelf, JournalFile, Storage};
pub use trouble::{Moved, Trouble};
pub use verdict::{Damage, Sign, Tail, Verdict};
pub use writer::{Progress, Watch, Writer};

use super::StoreError;
use super::codec::ParseProfile;
use super::folder::{Folder, Lock, make_folder};
use super::hash::{hex_of_sha256, is_id};
use crate::domain::entry::{Entry, Head, Kept, Moment, Recover};
use ledger::Ledger;
use scan::{FILE_MAX, Scan};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A journal as it was read.
#[derive(Clone, Debug)]
pub struct Opened {
    /// Where it lies.
    pub path: PathBuf,
    /// The good entries; all of them where the verdict is `Clean`.
    pub entries: Vec<Kept>,
    /// How whole the file is.
    pub verdict: Verdict,
    /// How many good records there are, with those that this program may pass over.
    pub records: usize,
    /// The hash of the last good record.
    pub last_hash: Option<String>,
    /// The code of its end, where it has ended: worked out from the bytes that were read.
    pub seal_code: Option<String>,
}

impl Opened {
    /// Returns the session's first entry, where it is there.
    pub fn head(&self) -> Option<&Head> {
        match &self.entries.first()?.entry {
            Entry::Head(head) => Some(head),
            _ => None,
        }
    }
}

/// Reads a journal and touches nothing; `parse` makes a profile of the text that it carries.
///
/// # Errors
/// The file cannot be read, is no ordinary file, or is over 64 MiB.
pub fn open(path: &Path, parse: ParseProfile) -> Result<Opened, StoreError> {
    let bytes = read_bytes(&mut JournalFile::read_only(path)?, path)?;
    Ok(opened(path, &scan::scan(&bytes), parse))
}

/// Reads a journal's bytes within the limit.
pub(in crate::store) fn read_bytes(
    storage: &mut dyn Storage,
    path: &Path,
) -> Result<Vec<u8>, StoreError> {
    storage.read_all().map_err(|cause| match cause.kind() {
        ErrorKind::FileTooLarge => StoreError::TooLarge { path: path.to_owned(), most: FILE_MAX },
        _ => StoreError::io("read", path)(cause),
    })
}

fn opened(path: &Path, scan: &Scan, parse: ParseProfile) -> Opened {
    let (entries, verdict) = meaning::entries(scan, parse);
    Opened {
        path: path.to_owned(),
        entries,
        verdict,
        records: scan.records.len(),
        last_hash: scan.records.last().map(|record| record.hash.to_owned()),
        seal_code: meaning::seal_code(scan),
    }
}

/// Entries that could not all be kept.
#[derive(Debug)]
pub struct NotKept {
    /// Those before the failure; they are on disk.
    pub kept: Vec<Kept>,
    /// What went wrong with the next one; it and those after it are not kept.
    pub error: StoreError,
}

impl From<NotKept> for StoreError {
    fn from(not_kept: NotKept) -> StoreError {
        not_kept.error
    }
}

/// A journal that entries can be added to, by this process alone.
pub struct Journal {
    ledger: Ledger,
    keeper: Keeper,
    lock: Option<Lock>,
}

impl Journal {
    /// Starts a session: a new file in the folder's `sessions`, with its head on disk.
    ///
    /// `run_ms` is the time since this run of the program began.
    ///
    /// # Errors
    /// The file cannot be made, written or synced; what was made is left alone.
    pub fn create(
        folder: &Folder,
        head: Head,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Kept), StoreError> {
        has_identity(&head)?;
        make_folder(&folder.sessions())?;
        let path = folder.sessions().join(file_name(at, &head.session));
        let lock = folder.lock(&head.session)?;
        let file = JournalFile::create(&path).map_err(StoreError::io("create", &path))?;
        let on = on_disk(file, &lock);
        let (mut journal, kept) = Journal::create_on(on, &path, head, at, run_ms)?;
        journal.lock = Some(lock);
        Ok((journal, kept))
    }

    /// Starts a session in another folder, where the data folder can only be read: it has no lock, and nobody
    /// else knows of it.
    ///
    /// # Errors
    /// As `create`; what was made is taken away.
    pub fn create_elsewhere(
        inside: &Path,
        head: Head,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Kept), StoreError> {
        has_identity(&head)?;
        let path = inside.join(file_name(at, &head.session));
        let file = JournalFile::create(&path).map_err(StoreError::io("create", &path))?;
        let shelf = DiskShelf { notes: None, doubted: None };
        Journal::create_on((Box::new(file), Box::new(shelf)), &path, head, at, run_ms).inspect_err(
            |_| {
                // Left there it would be taken for a session; where it stays it says itself that it is none.
                let _ = std::fs::remove_file(&path);
            },
        )
    }

    /// Starts a session on a storage that is empty; more files are made on the shelf.
    ///
    /// # Errors
    /// As `create`.
    pub fn create_on(
        (storage, shelf): (Box<dyn Storage>, Box<dyn Shelf>),
        path: &Path,
        head: Head,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Kept), StoreError> {
        let keeper = Keeper::begin(storage, shelf, path);
        let mut journal = Journal { ledger: Ledger::new(path), keeper, lock: None };
        let (kept, made) = journal.ledger.one(Entry::Head(head), at, run_ms)?;
        journal.keeper.push(&made);
        journal.save()?;
        Ok((journal, kept))
    }

    /// Opens a session to go on with it: locks it, reads it, syncs it once and sets a cut-off end
    /// aside.
    ///
    /// Where a file of this session with a higher number lies beside it, an earlier run had given
    /// this one up: nothing is appended to it. Nor is it where it has a second name on the disk.
    ///
    /// # Errors
    /// Open in another terminal; damaged, newer or faulty (then [`open`] still reads it); or the
    /// file cannot be read, written or synced.
    pub fn resume(
        folder: &Folder,
        path: &Path,
        parse: ParseProfile,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Opened), StoreError> {
        let mut file = JournalFile::append(path)?;
        let first = read_bytes(&mut file, path)?;
        let first = opened(path, &scan::scan(&first), parse);
        let Some(head) = first.head().filter(|_| first.verdict.may_append()) else {
            return Err(StoreError::ReadOnly { path: path.to_owned(), verdict: first.verdict });
        };
        has_identity(head)?;
        // What was read before the lock was taken may be out of date: it is read again under it.
        let lock = folder.lock(&head.session)?;
        let on = on_disk(file, &lock);
        let standing = match (lock.doubts(path), given_up(path)) {
            (true, _) => Standing::Doubted,
            (false, true) => Standing::GivenUp,
            (false, false) => Standing::Sound,
        };
        let (mut journal, opened) = Journal::resume_on(on, path, standing, parse, (at, run_ms))?;
        journal.lock = Some(lock);
        Ok((journal, opened))
    }

    /// Goes on with the session on a storage, as far as it stands.
    ///
    /// # Errors
    /// As `resume`.
    pub fn resume_on(
        (mut storage, shelf): (Box<dyn Storage>, Box<dyn Shelf>),
        path: &Path,
        standing: Standing,
        parse: ParseProfile,
        (at, run_ms): (Moment, u64),
    ) -> Result<(Journal, Opened), StoreError> {
        let bytes = read_bytes(storage.as_mut(), path)?;
        let scan = scan::scan(&bytes);
        let mut opened = opened(path, &scan, parse);
        let ledger = Ledger::after(path, &bytes, &scan, &opened.entries);
        let Some(ledger) = ledger.filter(|_| opened.verdict.may_append()) else {
            return Err(StoreError::ReadOnly { path: path.to_owned(), verdict: opened.verdict });
        };
        let keeper = Keeper::go_on(storage, shelf, path, bytes.clone(), standing);
        let mut journal = Journal { ledger, keeper, lock: None };
        if let Verdict::CutOff(tail) = &opened.verdict {
            let from = usize::try_from(tail.at).unwrap_or(usize::MAX);
            let sha = hex_of_sha256(bytes.get(from..).unwrap_or_default(), 16);
            let recover = Recover { at: tail.at, len: tail.len, sha };
            let (kept, made) = journal.ledger.one(Entry::Recover(recover), at, run_ms)?;
            journal.keeper.push(&made);
            // Where it cannot be written now it waits, as any entry of a session that is in hand does:
            // whoever asks is told that it is not saved.
            let _ = journal.save();
            opened.entries.push(kept);
            opened.records += 1;
            opened.last_hash = Some(journal.last_hash().to_owned());
        }
        Ok((journal, opened))
    }

    /// Adds entries, each on disk before the next is written, and returns them as kept.
    ///
    /// The `entries` and `chain` of a `seal` are filled in here.
    ///
    /// # Errors
    /// Names the entries that were kept and why the next was not. Where they could not be saved,
    /// they wait: [`Journal::save`] or the next append tries again.
    pub fn append(
        &mut self,
        entries: &[Entry],
        at: Moment,
        run_ms: u64,
    ) -> Result<Vec<Kept>, NotKept> {
        let none = |error| NotKept { kept: Vec::new(), error };
        let taken = self.ledger.take(entries, at, run_ms).map_err(none)?;
        let (mut kept, made): (Vec<Kept>, Vec<ledger::Made>) = taken.into_iter().unzip();
        made.iter().for_each(|made| self.keeper.push(made));
        match self.save() {
            Ok(()) => Ok(kept),
            Err(error) => {
                kept.truncate(kept.len().saturating_sub(self.unsaved()));
                Err(NotKept { kept, error })
            }
        }
    }

    /// Tries to bring to the disk what could not be saved before.
    ///
    /// # Errors
    /// Why it is still not there.
    pub fn save(&mut self) -> Result<(), StoreError> {
        self.keeper.save().map_err(|trouble| StoreError::NotSaved { why: trouble.words })
    }

    /// Takes the file in which the session goes on since the one before was given up, until it was told.
    pub fn take_moved(&mut self) -> Option<Moved> {
        self.keeper.take_moved()
    }

    /// Takes away the files that were begun in vain since it was opened, where what waits is given up. Returns those
    /// that stay.
    pub fn take_back(&mut self) -> Vec<PathBuf> {
        self.keeper.take_back()
    }

    /// Counts the entries that were taken and are not on the disk.
    pub fn unsaved(&self) -> usize {
        self.keeper.unsaved()
    }

    /// Returns where the journal lies.
    pub fn path(&self) -> &Path {
        self.keeper.path()
    }

    /// Returns the hash of the last record.
    pub fn last_hash(&self) -> &str {
        self.ledger.last_hash()
    }

    /// Says once what the mechanic should know though the work goes on: there is no lock here.
    pub fn warning(&self) -> Option<&str> {
        self.lock.as_ref()?.warning.as_deref()
    }
}

fn on_disk(file: JournalFile, lock: &Lock) -> (Box<dyn Storage>, Box<dyn Shelf>) {
    (Box::new(file), Box::new(DiskShelf { notes: lock.notes(), doubted: lock.doubted() }))
}

/// Tells whether a file of the same session with a higher number lies beside this one, whole or not.
fn given_up(path: &Path) -> bool {
    let (base, number) = numbered(path);
    let Some(Ok(beside)) = path.parent().map(std::fs::read_dir) else { return false };
    beside.flatten().any(|entry| {
        let other = numbered(Path::new(&entry.file_name()));
        other.0 == base && other.1 > number
    })
}

/// Makes a whole session in memory: its file's name, its bytes, and its entries as kept.
///
/// # Errors
/// An entry that cannot be kept.
pub fn in_memory(
    head: Head,
    entries: &[Entry],
    at: Moment,
) -> Result<(String, Vec<u8>, Vec<Kept>), StoreError> {
    let name = file_name(at, &head.session);
    let memory = storage::Memory::default();
    let on: (Box<dyn Storage>, Box<dyn Shelf>) =
        (Box::new(memory.clone()), Box::new(memory.clone()));
    let (mut journal, first) = Journal::create_on(on, Path::new(&name), head, at, 0)?;
    let mut kept = vec![first];
    kept.extend(journal.append(entries, at, 0)?);
    Ok((name, memory.bytes(), kept))
}

/// What has no identity of its own is neither begun nor gone on with: it names the file and the lock.
fn has_identity(head: &Head) -> Result<(), StoreError> {
    if is_id(&head.session) {
        return Ok(());
    }
    Err(StoreError::NoIdentity { text: head.session.clone() })
}

/// Returns the name of a session's file, as in `20260314-101530z-k3f9q2.jsonl`.
fn file_name(at: Moment, session: &str) -> String {
    let utc = record::utc(at.unix_ms);
    let digits: String = utc.chars().filter(char::is_ascii_digit).collect();
    let (day, time) = (digits.get(..8).unwrap_or("0"), digits.get(8..14).unwrap_or("0"));
    format!("{day}-{time}z-{}.jsonl", session.get(..6).unwrap_or(session))
}

fn size(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_named_by_its_start_and_identity_and_by_nothing_that_was_typed() {
        let at = Moment { unix_ms: 1_773_483_330_123, offset_min: 60 };
        let name = file_name(at, "k3f9q2aaaaaaaaaaaaaaaaaaaa");
        assert_eq!(name, "20260314-101530z-k3f9q2.jsonl");
    }
}
