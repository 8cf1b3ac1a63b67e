//! Following a session that another program writes: read anew only where its files have changed.
//!
//! The writer may go on in a file with a higher number beside the first; the one with most good
//! entries is what the session has come to. Nothing is opened for writing, and no lock is taken.

use super::{Opened, numbered, open};
use crate::store::StoreError;
use crate::store::codec::ParseProfile;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A file as it was when it was read last: name, length, time of its last change.
type Seen = (PathBuf, u64, Option<SystemTime>);

/// Follows one session.
#[derive(Debug)]
pub struct Follower {
    path: PathBuf,
    seen: Vec<Seen>,
}

impl Follower {
    /// Follows the session of this file, and of those numbered after it.
    pub fn new(path: &Path) -> Follower {
        Follower { path: path.to_owned(), seen: Vec::new() }
    }

    /// Returns the file that had most entries when it was looked at last.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Reads the session where anything about its files has changed since the last look; `None`
    /// where nothing has.
    ///
    /// # Errors
    /// No file of it can be read; the next look tries again.
    pub fn look(&mut self, parse: ParseProfile) -> Result<Option<Opened>, StoreError> {
        let files = files_of(&self.path);
        let seen: Vec<Seen> = files.iter().map(|path| seen(path)).collect();
        if seen == self.seen && !seen.is_empty() {
            return Ok(None);
        }
        let mut read: Vec<Result<Opened, StoreError>> =
            files.iter().map(|path| open(path, parse)).collect();
        let entries = |opened: &Result<Opened, StoreError>| {
            opened.as_ref().map_or(0, |opened| opened.entries.len())
        };
        // Of two as long the newer one: the other was given up.
        let most = (0..read.len()).max_by_key(|at| read.get(*at).map_or(0, entries)).unwrap_or(0);
        let opened = read.swap_remove(most)?;
        self.seen = seen;
        self.path.clone_from(&opened.path);
        Ok(Some(opened))
    }
}

/// The file and those of the same session with higher numbers; there may be gaps between these.
fn files_of(path: &Path) -> Vec<PathBuf> {
    /// Numbers that are looked for after the last one found.
    const AHEAD: u32 = 8;
    let (base, mut last) = numbered(path);
    let mut files = vec![path.to_owned()];
    let mut number = last;
    while number < last + AHEAD {
        number += 1;
        let next = path.with_file_name(format!("{base}.c{number}.jsonl"));
        if next.is_file() {
            last = number;
            files.push(next);
        }
    }
    files
}

fn seen(path: &Path) -> Seen {
    let about = std::fs::metadata(path);
    let length = about.as_ref().map_or(0, std::fs::Metadata::len);
    (path.to_owned(), length, about.and_then(|about| about.modified()).ok())
}
