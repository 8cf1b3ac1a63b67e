//! The journal of a session: one file of JSON lines that only ever grows.
//!
//! An entry is *kept* when its whole line is in the file and the system has confirmed that it is on
//! the disk; until then it is never shown as kept. After a failed write or a failed sync the journal
//! closes itself to writing for this run of the program: the next opening sets a broken end aside by
//! appending. Nothing here truncates, renames or removes.
//!
//! Continuation in a second file, versions of a copied session and a thread for slow disks are
//! further work. What an entry means is left to `domain`; where files lie, to `folder`.

pub mod meaning;
pub mod record;
pub mod scan;
pub mod storage;
pub mod verdict;

pub use storage::{JournalFile, Storage};
pub use verdict::{Damage, Sign, Tail, Verdict};

use super::StoreError;
use super::codec::{self, ParseProfile};
use super::folder::{Folder, Lock, make_folder};
use super::hash::{hex_of_sha256, is_id};
use crate::domain::entry::{Entry, Head, Kept, Moment, Recover, Seal};
use record::{HEAD_LINE_MAX, LINE_MAX, Line, NO_HASH, RECORDS_MAX, Stamp};
use scan::{FILE_MAX, Scan};
use std::io;
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
    let bytes = storage.read_all().map_err(StoreError::io("read", path))?;
    if size(&bytes) > FILE_MAX {
        return Err(StoreError::TooLarge { path: path.to_owned(), most: FILE_MAX });
    }
    Ok(bytes)
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
    storage: Box<dyn Storage>,
    path: PathBuf,
    lock: Option<Lock>,
    next_seq: u64,
    last_hash: String,
    run: u32,
    length: u64,
    bare_end: bool,
    sealed: bool,
    closed: Option<String>,
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
        if !is_id(&head.session) {
            return Err(StoreError::NoIdentity { text: head.session });
        }
        make_folder(&folder.sessions())?;
        let path = folder.sessions().join(file_name(at, &head.session));
        let lock = folder.lock(&head.session)?;
        let file = JournalFile::create(&path)?;
        let (mut journal, kept) = Journal::create_on(Box::new(file), &path, head, at, run_ms)?;
        journal.lock = Some(lock);
        Ok((journal, kept))
    }

    /// Starts a session on a storage that is empty.
    ///
    /// # Errors
    /// As `create`.
    pub fn create_on(
        storage: Box<dyn Storage>,
        path: &Path,
        head: Head,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Kept), StoreError> {
        let mut journal = Journal {
            storage,
            path: path.to_owned(),
            lock: None,
            next_seq: 0,
            last_hash: NO_HASH.to_owned(),
            run: 1,
            length: 0,
            bare_end: false,
            sealed: false,
            closed: None,
        };
        let kept = journal.keep(Entry::Head(head), at, run_ms)?;
        journal.attempt("sync the folder of", |storage| storage.sync_folder())?;
        Ok((journal, kept))
    }

    /// Opens a session to go on with it: locks it, reads it, syncs it once and sets a cut-off end
    /// aside.
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
        if !is_id(&head.session) {
            return Err(StoreError::NoIdentity { text: head.session.clone() });
        }
        // What was read before the lock was taken may be out of date: it is read again under it.
        let lock = folder.lock(&head.session)?;
        let (mut journal, opened) = Journal::resume_on(Box::new(file), path, parse, at, run_ms)?;
        journal.lock = Some(lock);
        Ok((journal, opened))
    }

    /// Goes on with the session on a storage.
    ///
    /// # Errors
    /// As `resume`.
    pub fn resume_on(
        mut storage: Box<dyn Storage>,
        path: &Path,
        parse: ParseProfile,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Journal, Opened), StoreError> {
        let bytes = read_bytes(storage.as_mut(), path)?;
        let scan = scan::scan(&bytes);
        let mut opened = opened(path, &scan, parse);
        let Some(last) = scan.records.last().filter(|_| opened.verdict.may_append()) else {
            return Err(StoreError::ReadOnly { path: path.to_owned(), verdict: opened.verdict });
        };
        let mut journal = Journal {
            storage,
            path: path.to_owned(),
            lock: None,
            next_seq: last.seq + 1,
            last_hash: last.hash.to_owned(),
            run: scan.records.iter().map(|record| record.stamp.run).max().unwrap_or(0) + 1,
            length: size(&bytes),
            bare_end: scan.bare_end,
            sealed: opened.entries.iter().any(|kept| matches!(kept.entry, Entry::Seal(_))),
            closed: None,
        };
        // A record can have survived a killed process without being on the disk; a power cut after
        // the next append would then leave a hole in front of it.
        journal.attempt("sync", |storage| storage.sync_all())?;
        if let Verdict::CutOff(tail) = &opened.verdict {
            let from = usize::try_from(tail.at).unwrap_or(usize::MAX);
            let sha = hex_of_sha256(bytes.get(from..).unwrap_or_default(), 16);
            let recover = Recover { at: tail.at, len: tail.len, sha };
            opened.entries.push(journal.keep(Entry::Recover(recover), at, run_ms)?);
            opened.records += 1;
            opened.last_hash = Some(journal.last_hash.clone());
        }
        Ok((journal, opened))
    }

    /// Adds entries, each on disk before the next is written, and returns them as kept.
    ///
    /// The `entries` and `chain` of a `seal` are filled in here.
    ///
    /// # Errors
    /// Names the entries that were kept and why the next was not. Where a write or a sync failed,
    /// or another program has written to the file, the journal takes nothing more in this run.
    pub fn append(
        &mut self,
        entries: &[Entry],
        at: Moment,
        run_ms: u64,
    ) -> Result<Vec<Kept>, NotKept> {
        let mut kept = Vec::with_capacity(entries.len());
        for entry in entries {
            match self.keep(entry.clone(), at, run_ms) {
                Ok(one) => kept.push(one),
                Err(error) => return Err(NotKept { kept, error }),
            }
        }
        Ok(kept)
    }

    /// Returns where the journal lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns the hash of the last record.
    pub fn last_hash(&self) -> &str {
        &self.last_hash
    }

    /// Says why nothing more can be kept in this run, if so.
    pub fn closed(&self) -> Option<&str> {
        self.closed.as_deref()
    }

    /// Says once what the mechanic should know though the work goes on: there is no lock here.
    pub fn warning(&self) -> Option<&str> {
        self.lock.as_ref()?.warning.as_deref()
    }

    fn keep(&mut self, entry: Entry, at: Moment, run_ms: u64) -> Result<Kept, StoreError> {
        if let Some(why) = &self.closed {
            return Err(StoreError::Closed { path: self.path.clone(), why: why.clone() });
        }
        if self.sealed && !meaning::may_follow_seal(&entry) {
            return Err(StoreError::Sealed { path: self.path.clone() });
        }
        let entry = match entry {
            Entry::Seal(seal) => {
                Entry::Seal(Seal { entries: self.next_seq, chain: self.last_hash.clone(), ..seal })
            }
            other => other,
        };
        let stamp = Stamp { at, run_ms, run: self.run };
        let (line, hash) = self.line(&entry, stamp)?;
        self.no_other_writer()?;
        self.attempt("write", |storage| write_whole(storage, line.as_bytes()))?;
        let whole = matches!(entry, Entry::Head(_) | Entry::Seal(_));
        self.attempt(
            "sync",
            |storage| {
                if whole { storage.sync_all() } else { storage.sync_data() }
            },
        )?;
        let kept = Kept { seq: self.next_seq, at, entry };
        self.next_seq += 1;
        self.last_hash = hash;
        self.length += size(line.as_bytes());
        self.bare_end = false;
        self.sealed |= matches!(kept.entry, Entry::Seal(_));
        Ok(kept)
    }

    /// Builds an entry's line, with the line ends around it, and checks it with the reader's eyes.
    fn line(&self, entry: &Entry, stamp: Stamp) -> Result<(String, String), StoreError> {
        let refused = |why: String| StoreError::Unkeepable { kind: codec::kind(entry), why };
        let payload = codec::encode(entry).map_err(|error| refused(error.to_string()))?;
        let (line, hash) =
            record::build(self.next_seq, stamp, &self.last_hash, codec::kind(entry), &payload);
        let most = if self.next_seq == 0 { HEAD_LINE_MAX } else { LINE_MAX };
        if line.len() > most {
            return Err(refused(format!("it is {} bytes long; {most} are the most", line.len())));
        }
        if self.next_seq >= RECORDS_MAX || self.length + size(line.as_bytes()) + 2 > FILE_MAX {
            return Err(StoreError::Full { path: self.path.clone() });
        }
        match record::read(line.as_bytes()) {
            Line::Good(read) if read.payload == payload => {}
            Line::Good(_) | Line::Bad | Line::Strange(_) => {
                return Err(refused("its line does not read back".to_owned()));
            }
        }
        let before = if self.bare_end { "\n" } else { "" };
        Ok((format!("{before}{line}\n"), hash))
    }

    fn no_other_writer(&mut self) -> Result<(), StoreError> {
        let found = self.attempt("look at", |storage| storage.length())?;
        if found == self.length {
            return Ok(());
        }
        self.closed = Some("another program has written to it".to_owned());
        Err(StoreError::OtherWriter { path: self.path.clone(), expected: self.length, found })
    }

    /// Does one thing to the storage; a failure closes the journal for this run.
    fn attempt<T>(
        &mut self,
        doing: &'static str,
        act: impl FnOnce(&mut dyn Storage) -> io::Result<T>,
    ) -> Result<T, StoreError> {
        act(self.storage.as_mut()).map_err(|cause| {
            self.closed = Some(format!("cannot {doing} it: {cause}"));
            StoreError::NotSaved { doing, path: self.path.clone(), cause }
        })
    }
}

/// Writes all bytes; an interrupted call is made again.
fn write_whole(storage: &mut dyn Storage, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match storage.write(bytes) {
            Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
            Ok(written) => bytes = bytes.get(written..).unwrap_or_default(),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
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
    let (mut journal, first) =
        Journal::create_on(Box::new(memory.clone()), Path::new(&name), head, at, 0)?;
    let mut kept = vec![first];
    kept.extend(journal.append(entries, at, 0)?);
    Ok((name, memory.bytes(), kept))
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
