//! Where a session was saved when this folder took no more of it, and what lies there now.

use super::{
    GONE_ON_HERE, INSIDE, SAVED_IN, Seen, entry, is_in_a_file_of, memo, of_those, place, text_of,
};
use crate::store::folder::Folder;
use crate::store::journal::record::{self, Line};
use crate::store::journal::scan::scan;
use crate::store::journal::{JournalFile, Tail, read_bytes};
use crate::store::sessions::{glance, hashes_of};
use crate::store::shown;
use crate::store::words::as_typed;
use std::fmt;
use std::path::{Path, PathBuf};

/// Where a session was saved when this folder took no more of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// Its file.
    pub path: PathBuf,
    /// The last entry that was in it, when that was noted.
    pub last: Seen,
    /// The user was told of it and went on with the file here all the same.
    pub gone_on_here: bool,
    /// What lies there now.
    pub there: There,
    /// The memo that tells of it.
    pub memo: PathBuf,
}

/// What lies where a session was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum There {
    /// What was saved there, or more.
    All,
    /// Nothing: its disk may not be in.
    Absent,
    /// Something that cannot be read just now, so the words.
    Unread(String),
    /// So many of its entries, and what was saved there last is none of them.
    Less {
        /// How many.
        entries: usize,
        /// Whether all of them are here, too.
        here: bool,
    },
    /// Nothing that can be read of it.
    Nothing,
}

impl Elsewhere {
    /// Tells whether what was saved there may still be there.
    pub fn may_be_there(&self) -> bool {
        match self.there {
            There::All | There::Absent | There::Unread(_) => true,
            There::Less { here, .. } => !here,
            There::Nothing => false,
        }
    }

    /// Says where it is, and what lies there now.
    pub fn place(&self) -> String {
        let (file, typed, entries) = (shown(&self.path), as_typed(&self.path), self.last.seq + 1);
        const OTHER: &str = "look for another copy of it (cowlside take COPY)";
        let goes_on = |there: &str| {
            format!(
                "goes on in {file}, with {entries} entries or more; it was saved there when this folder \
                 took no more{there}: cowlside take {typed}"
            )
        };
        let was = |there: &str| {
            format!(
                "was saved in {file} with {entries} entries when this folder took no more; {there}"
            )
        };
        match &self.there {
            There::All => goes_on(""),
            There::Absent => goes_on("; it is not there now: bring its disk back first"),
            There::Unread(why) => goes_on(&format!("; it cannot be read there now: {why}")),
            There::Less { entries, here } => {
                let one =
                    if *entries == 1 { "1 entry is" } else { &format!("{entries} entries are") };
                let whose = if *here {
                    "which are here, too".to_owned()
                } else {
                    format!("which are not all here: cowlside take {typed}")
                };
                was(&format!("only its first {one} there now, {whose}; {OTHER}"))
            }
            There::Nothing => was(&format!("nothing of it can be read there now; {OTHER}")),
        }
    }
}

impl fmt::Display for Elsewhere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.place())?;
        if !self.gone_on_here {
            return Ok(());
        }
        let memo = shown(&self.memo);
        write!(
            f,
            "; you went on here: where what is there is gone for good, remove {memo}, and no more is said of it"
        )
    }
}

/// Returns where a session was saved with more than is here; nothing where none is noted, or a file here
/// holds the last entry that was saved there, and that of the file there, as far as it can be reached. What
/// is here may have gone on since in another way: how many entries it has tells nothing.
pub fn elsewhere(
    folder: &Folder,
    session: &str,
    is_here: impl Fn(&Seen) -> bool,
) -> Option<Elsewhere> {
    let memo = place(folder, session)?;
    let text = text_of(&memo)?;
    let (last, path) = saved_in(&text)?;
    let gone_on_here = text.lines().any(|line| line == GONE_ON_HERE);
    if is_here(&last) {
        let last = later_in(&path, &last).filter(|last| !is_here(last))?;
        return Some(Elsewhere { path, last, gone_on_here, there: There::All, memo });
    }
    let there = There::of(session, &path, &last, is_here);
    Some(Elsewhere { path, last, gone_on_here, there, memo })
}

/// Reads where a memo says that a session was saved, and the last entry that was.
fn saved_in(memo: &str) -> Option<(Seen, PathBuf)> {
    let noted = memo.lines().find_map(|line| line.strip_prefix(SAVED_IN))?;
    let (seq, noted) = noted.split_once(' ')?;
    let (hash, path) = noted.split_once(' ')?;
    Some((entry(seq, hash)?, PathBuf::from(path)))
}

impl There {
    fn of(session: &str, path: &Path, last: &Seen, is_here: impl Fn(&Seen) -> bool) -> There {
        if !path.try_exists().unwrap_or(false) {
            return There::Absent;
        }
        let hashes = match hashes_of(path) {
            Ok(hashes) => hashes,
            Err(error) => return There::Unread(error.to_string()),
        };
        if hashes.get(&last.seq) == Some(&last.hash) {
            return There::All;
        }
        let entries = hashes.len();
        let is_its = glance(path).is_ok_and(|glance| glance.id == session);
        match hashes.into_iter().next_back().filter(|_| is_its) {
            Some((seq, hash)) => There::Less { entries, here: is_here(&Seen { seq, hash }) },
            None => There::Nothing,
        }
    }
}

/// Returns the last entry of a session's file, where it has more than up to this one: it may have grown
/// since that was noted. Nothing is known of one that cannot be reached.
fn later_in(path: &Path, noted: &Seen) -> Option<Seen> {
    let hashes = hashes_of(path).ok()?;
    let is_of_it = hashes.get(&noted.seq) == Some(&noted.hash);
    let (seq, hash) = hashes.into_iter().next_back()?;
    (is_of_it && seq > noted.seq).then_some(Seen { seq, hash })
}

/// Returns the file in which a session was saved when this folder took no more, where the entry of which this
/// file has only the beginning is whole there.
pub fn whole_elsewhere(
    folder: &Folder,
    session: &str,
    (path, tail): (&Path, &Tail),
) -> Option<PathBuf> {
    let there = elsewhere(folder, session, |_| false)?.path;
    let bytes = |path: &Path| read_bytes(&mut JournalFile::read_only(path).ok()?, path).ok();
    let (here, other) = (bytes(path)?, bytes(&there)?);
    let (before, rest) = here.split_at_checked(usize::try_from(tail.at).ok()?)?;
    // A power cut leaves zeros in the place of what did not get to the disk.
    let begun = rest.get(..usize::try_from(tail.len).ok()?)?;
    let zeros = begun.iter().rev().take_while(|byte| **byte == 0).count();
    let begun = &begun[..begun.len() - zeros];
    let before = scan(before);
    let last = before.records.last()?;
    let is_it = |line: &[u8]| match record::read(line) {
        Line::Good(one) => one.seq == last.seq + 1 && one.previous == last.hash,
        Line::Bad | Line::Strange(_) => false,
    };
    let mut lines = other.split(|byte| *byte == b'\n').filter(|line| line.starts_with(begun));
    (!begun.is_empty() && lines.any(is_it)).then_some(there)
}

/// Returns where the session whose identity begins so was saved with more than is here.
pub fn elsewhere_of(folder: &Folder, begins: &str) -> Option<Elsewhere> {
    let begins_so = |id: &str| !begins.is_empty() && id.starts_with(begins);
    let memos = of_those(folder, begins_so);
    let is_here = |last: &Seen| is_in_a_file_of(folder, last);
    memos.iter().find_map(|memo| elsewhere(folder, &memo.session, is_here))
}

/// Returns the name of the session that was saved in this file when its folder took no more, else its
/// identity, and how many entries were in it.
pub fn saved_at(folder: &Folder, path: &Path) -> Option<(String, u64)> {
    let path = std::path::absolute(path).ok()?;
    let memos = std::fs::read_dir(folder.cache().join(INSIDE)).ok()?;
    memos.flatten().find_map(|one| {
        let session = one.file_name().into_string().ok()?;
        let (last, _) = saved_in(&text_of(&one.path())?).filter(|(_, noted)| *noted == path)?;
        let named = memo(folder, &session).and_then(|memo| memo.named);
        Some((named.map_or(session, |named| named.name), last.seq + 1))
    })
}
