//! Turns entries into lines: the chain of hashes, ahead of the disk. Pure.
//!
//! A line is final once it is made: its place, its hash and what follows from it stand, whether the
//! disk has taken it yet or not. So the session can go on while a slow disk is still writing.

use super::record::{self, HEAD_LINE_MAX, LINE_MAX, Line, NO_HASH, RECORDS_MAX, Stamp};
use super::scan::{FILE_MAX, Scan};
use super::{meaning, size};
use crate::domain::entry::{Entry, Kept, Moment, Seal};
use crate::store::StoreError;
use crate::store::codec;
use std::path::{Path, PathBuf};

/// One line with the line ends around it, ready to be appended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Its bytes.
    pub text: String,
    /// Whether the file's times and rights are waited for, too: the first line and the last.
    pub whole: bool,
}

/// Where the chain stands.
#[derive(Clone, Debug)]
pub struct Ledger {
    path: PathBuf,
    next_seq: u64,
    last_hash: String,
    run: u32,
    length: u64,
    bare_end: bool,
    sealed: bool,
}

impl Ledger {
    /// Begins a session; `path` is for what is said.
    pub(super) fn new(path: &Path) -> Ledger {
        Ledger {
            path: path.to_owned(),
            next_seq: 0,
            last_hash: NO_HASH.to_owned(),
            run: 1,
            length: 0,
            bare_end: false,
            sealed: false,
        }
    }

    /// Goes on where a file ends; `None` where it has no record.
    pub(super) fn after(
        path: &Path,
        bytes: &[u8],
        scan: &Scan,
        entries: &[Kept],
    ) -> Option<Ledger> {
        let last = scan.records.last()?;
        Some(Ledger {
            path: path.to_owned(),
            next_seq: last.seq + 1,
            last_hash: last.hash.to_owned(),
            run: scan.records.iter().map(|record| record.stamp.run).max().unwrap_or(0) + 1,
            length: size(bytes),
            bare_end: scan.bare_end,
            sealed: entries.iter().any(|kept| matches!(kept.entry, Entry::Seal(_))),
        })
    }

    /// Returns the hash of the last line.
    pub fn last_hash(&self) -> &str {
        &self.last_hash
    }

    /// Makes the lines of entries, all or none. The `entries` and `chain` of a `seal` are filled in.
    ///
    /// # Errors
    /// The session has ended, is full, or an entry would not read back.
    pub fn take(
        &mut self,
        entries: &[Entry],
        at: Moment,
        run_ms: u64,
    ) -> Result<Vec<(Kept, Made)>, StoreError> {
        let mut next = self.clone();
        let made: Result<Vec<_>, _> =
            entries.iter().map(|entry| next.one(entry.clone(), at, run_ms)).collect();
        if made.is_ok() {
            *self = next;
        }
        made
    }

    pub(super) fn one(
        &mut self,
        entry: Entry,
        at: Moment,
        run_ms: u64,
    ) -> Result<(Kept, Made), StoreError> {
        if self.sealed && !meaning::may_follow_seal(&entry) {
            return Err(StoreError::Sealed { path: self.path.clone() });
        }
        let entry = match entry {
            Entry::Seal(seal) => {
                Entry::Seal(Seal { entries: self.next_seq, chain: self.last_hash.clone(), ..seal })
            }
            other => other,
        };
        let (text, hash) = self.line(&entry, Stamp { at, run_ms, run: self.run })?;
        let whole = matches!(entry, Entry::Head(_) | Entry::Seal(_));
        let kept = Kept { seq: self.next_seq, at, entry };
        self.next_seq += 1;
        self.last_hash = hash;
        self.length += size(text.as_bytes());
        self.bare_end = false;
        self.sealed |= matches!(kept.entry, Entry::Seal(_));
        Ok((kept, Made { text, whole }))
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
}
