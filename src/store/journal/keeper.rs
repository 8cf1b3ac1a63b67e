//! Brings a session's lines to the disk, and knows what is there and what is not.
//!
//! The session's whole text stands in memory. A file holds its beginning, and only ever gets what
//! comes next. So every way on after a fault is one of two:
//!
//! - The disk is full: the file stays open, and the next try goes on at the very byte where the last
//!   one stopped. A torn line is completed, not repeated. (A program that dies before leaves a
//!   cut-off end, which the next start sets aside.)
//! - Anything else, above all a failed sync: nothing is known of the file any more. It is never
//!   written to again in this run, and a sync is never tried a second time. The whole session goes
//!   into a new file beside it, `<name>.c2.jsonl`, from memory and never from what can still be read
//!   of the old one. It is a session file like any other, so nothing needs joining: readers show
//!   the longest of the files of one session, and the old one is told as a copy that says less.
//!
//! Why it goes on in a new file is told besides, once the session is whole there. Where the folder of
//! the file is gone, moved away or removed, that is told as soon as somebody looks.
//!
//! One line at a time is written and waited for: a power cut can leave a hole only at the very end.

use super::ledger::Made;
use super::record;
use super::storage::{About, Storage};
use super::trouble::{Lost, Moved, Put, Trouble, parent};
use crate::store::shown;
use std::collections::VecDeque;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Files made anew in one run before no more are tried: a disk whose every sync fails would be
/// littered with them.
const ANEW_MAX: u32 = 8;
const GIVEN_UP: &str = "an earlier run had given its file up";
const DOUBTED: &str = "an earlier run could not tell whether its file is on the disk";
/// So many that a disk which fails for years bars nobody; a name beyond is none of ours.
const NUMBERS: std::ops::RangeInclusive<u32> = 2..=99_999;

/// Where a session's files are made.
pub trait Shelf: Send {
    /// Makes a new file; its name must not exist.
    ///
    /// # Errors
    /// The name exists, or what the system says.
    fn create(&mut self, path: &Path) -> io::Result<Box<dyn Storage>>;

    /// Opens a file that an earlier run had begun under this name, where it is not in doubt.
    fn begun(&mut self, _path: &Path) -> Option<Box<dyn Storage>> {
        None
    }

    /// Notes for a later run that nothing is known of a file any more: the system may show bytes
    /// that are not on the disk, and confirm them when it is asked again.
    fn doubt(&mut self, path: &Path);

    /// Takes away a file that was made here and never held a whole session.
    ///
    /// # Errors
    /// What the system says; then it stays.
    fn remove(&mut self, path: &Path) -> io::Result<()>;
}

/// How far a file that was read can be gone on with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It is ours alone.
    Sound,
    /// An earlier run went on in another file, or it has a second name: it is left as it is.
    GivenUp,
    /// An earlier run was not told that its bytes are on the disk, and could not go on elsewhere.
    Doubted,
}

struct Open {
    storage: Box<dyn Storage>,
    path: PathBuf,
    /// Bytes of the session's text in the file.
    written: usize,
    /// Its beginning and its name are on the disk.
    established: bool,
}

/// Keeps one session's text on the disk.
pub struct Keeper {
    shelf: Box<dyn Shelf>,
    file: Option<Open>,
    /// The name that the files have in common.
    path: PathBuf,
    text: Vec<u8>,
    /// Ends of the lines that are not on the disk yet, and whether all is to be waited for there.
    waiting: VecDeque<(usize, bool)>,
    anew: u32,
    trouble: Option<Trouble>,
    /// The trouble is only that the folder of the file is not where it was.
    away: bool,
    /// The file was removed, and no other is made yet: nothing of the session is on the disk.
    removed: bool,
    /// Why a file was given up, and whether another program wrote to it, until the session is whole in
    /// a new one.
    given_up: Option<(String, bool)>,
    /// Files made anew that are not known to be on the disk.
    in_vain: Vec<PathBuf>,
    /// Where the file that was given up lies since it was moved.
    lies: Option<PathBuf>,
    /// The file in which it then was, until it was told.
    moved: Option<Moved>,
}

impl Keeper {
    /// Begins with an empty file.
    pub(super) fn begin(storage: Box<dyn Storage>, shelf: Box<dyn Shelf>, path: &Path) -> Keeper {
        let file = Open { storage, path: path.to_owned(), written: 0, established: false };
        Keeper::with(Some(file), shelf, path, Vec::new())
    }

    /// Goes on with a file that was read: waits once until all of it is on the disk.
    ///
    /// A record can have survived a killed process without being on the disk; a power cut after the
    /// next append would then leave a hole in front of it. A file that is not `Sound` is left as it
    /// is, and the session goes on in a new one, at once where its bytes are in doubt. Where that cannot
    /// be written now all of it waits, as what is kept from then on does: nobody is barred from his work.
    pub(super) fn go_on(
        mut storage: Box<dyn Storage>,
        shelf: Box<dyn Shelf>,
        path: &Path,
        text: Vec<u8>,
        standing: Standing,
    ) -> Keeper {
        // Its name, too: the run that made it may have died before that was waited for.
        let synced = storage.sync_all().and_then(|()| storage.sync_folder());
        let file = Open { storage, path: path.to_owned(), written: text.len(), established: true };
        let (file, sound) = match (&synced, standing) {
            (Ok(()), Standing::Sound) => (Some(file), true),
            (Ok(()), Standing::GivenUp) => (None, true),
            (Err(_), _) | (_, Standing::Doubted) => (None, false),
        };
        let mut keeper = Keeper::with(file, shelf, path, text);
        keeper.given_up = match (&synced, standing) {
            (Err(cause), _) => Some((Trouble::new(cause, path).words, false)),
            (Ok(()), Standing::GivenUp) => Some((GIVEN_UP.to_owned(), false)),
            (Ok(()), Standing::Doubted) => Some((DOUBTED.to_owned(), false)),
            (Ok(()), Standing::Sound) => None,
        };
        if synced.is_err() {
            keeper.shelf.doubt(path);
        }
        if !sound {
            keeper.waiting = record_ends(&keeper.text).map(|end| (end, true)).collect();
            let _ = keeper.save();
        }
        keeper
    }

    fn with(file: Option<Open>, shelf: Box<dyn Shelf>, path: &Path, text: Vec<u8>) -> Keeper {
        Keeper {
            shelf,
            file,
            path: path.to_owned(),
            text,
            waiting: VecDeque::new(),
            anew: 0,
            trouble: None,
            away: false,
            removed: false,
            given_up: None,
            in_vain: Vec::new(),
            lies: None,
            moved: None,
        }
    }

    /// Takes a line; it is not on the disk yet.
    pub fn push(&mut self, made: &Made) {
        self.text.extend_from_slice(made.text.as_bytes());
        self.waiting.push_back((self.text.len(), made.whole));
    }

    /// Counts the lines that are not on the disk.
    pub fn unsaved(&self) -> usize {
        self.waiting.len()
    }

    /// Says why lines are not on the disk, where the last try failed.
    pub fn trouble(&self) -> Option<&Trouble> {
        self.trouble.as_ref()
    }

    /// Tells whether the file is only not in its place: that may be over before anything is kept.
    pub fn is_away(&self) -> bool {
        self.away
    }

    /// Returns where the session lies now.
    pub fn path(&self) -> &Path {
        self.file.as_ref().map_or(&self.path, |file| &file.path)
    }

    /// Takes the file in which the session goes on since the one before was given up.
    pub fn take_moved(&mut self) -> Option<Moved> {
        self.moved.take()
    }

    /// Looks whether the file is still there, though nothing waits to be written. What was in one that
    /// was removed waits from then on to be brought to the disk anew.
    pub fn look(&mut self) {
        let Some(file) = self.file.as_mut().filter(|_| self.waiting.is_empty()) else { return };
        let lost = file.lost();
        let path = file.path.clone();
        match lost {
            Some(lost) if lost.removed => self.give_up(&Put::Lost(lost)),
            Some(lost) if !parent(&path).is_dir() => {
                self.trouble = Some(lost.trouble(&path));
                self.away = true;
            }
            // What was renamed within its folder is there; the next line comes into a new file.
            Some(_) | None => {
                if std::mem::take(&mut self.away) {
                    self.trouble = None;
                }
            }
        }
    }

    /// Leaves the file in hand for good.
    fn give_up(&mut self, put: &Put) {
        let Some(file) = self.file.take() else { return };
        let foreign = matches!(put, Put::Foreign);
        if foreign || self.given_up.is_none() {
            self.given_up = Some((put.why(&file.path), foreign));
        }
        if let Put::Lost(Lost { now, .. }) = put {
            self.lies.clone_from(now);
        }
        if let Put::Lost(Lost { removed: true, .. }) = put {
            self.waiting = record_ends(&self.text).map(|end| (end, true)).collect();
            self.removed = true;
        }
        self.shelf.doubt(&file.path);
    }

    /// Brings everything that waits to the disk.
    ///
    /// # Errors
    /// Why it stopped; what is not on the disk keeps waiting.
    pub fn save(&mut self) -> Result<(), Trouble> {
        while !self.waiting.is_empty() {
            self.save_next()?;
        }
        Ok(())
    }

    /// Brings the next line to the disk; in a new file all of them.
    ///
    /// # Errors
    /// As `save`.
    pub fn save_next(&mut self) -> Result<(), Trouble> {
        let tried = self.try_next();
        self.trouble = tried.as_ref().err().cloned();
        self.away = false;
        tried
    }

    fn try_next(&mut self) -> Result<(), Trouble> {
        let mut first = None;
        // A file that breaks is followed by one new file, at most, in one try.
        for _ in 0..2 {
            if self.file.is_none() {
                match self.next_file() {
                    Ok(file) => self.file = Some(file),
                    Err(trouble) if self.removed => return Err(self.nowhere(trouble)),
                    Err(trouble) => return Err(first.unwrap_or_else(|| self.moved_away(trouble))),
                }
            }
            let Some(file) = &mut self.file else { break };
            let Some(&(next, whole)) = self.waiting.front() else { return Ok(()) };
            let end = if file.established { next } else { self.text.len() };
            match file.put(&self.text, end, whole) {
                Ok(()) => {
                    self.in_vain.retain(|path| *path != file.path);
                    // In the order of their ends: a session of the most entries has 100,000.
                    while self.waiting.front().is_some_and(|(line_end, _)| *line_end <= end) {
                        self.waiting.pop_front();
                    }
                    if let Some((why, foreign)) = self.given_up.take() {
                        self.moved = Some(Moved { path: file.path.clone(), why, foreign });
                    }
                    return Ok(());
                }
                Err(Put::Full(cause)) => return Err(Trouble::new(&cause, &file.path)),
                // Nothing was written, and all of it is sound: once its folder is back it goes on in it.
                Err(Put::Lost(lost)) if !lost.removed && !parent(&file.path).is_dir() => {
                    return Err(first.unwrap_or_else(|| lost.trouble(&file.path)));
                }
                Err(broken) => {
                    first.get_or_insert(broken.trouble(&file.path));
                    self.give_up(&broken);
                }
            }
        }
        Err(first.unwrap_or(Trouble { words: "no file takes it".to_owned() }))
    }

    /// Says that nothing of the session is on the disk any more, and why it cannot be put there.
    fn nowhere(&self, trouble: Trouble) -> Trouble {
        if parent(&self.path).is_dir() {
            Trouble { words: format!("{}; the session's file was removed", trouble.words) }
        } else {
            Lost { removed: true, now: None }.trouble(&self.path)
        }
    }

    /// Says where the session lies, where its folder was moved: for each entry that is not saved.
    fn moved_away(&self, trouble: Trouble) -> Trouble {
        let now = self.lies.clone().filter(|path| !parent(&self.path).is_dir() && path.exists());
        now.map_or(trouble, |now| Lost { removed: false, now: Some(now) }.trouble(&self.path))
    }

    /// Makes the next file beside the last one.
    fn next_file(&mut self) -> Result<Open, Trouble> {
        let (base, last) = numbered(&self.path);
        if self.anew >= ANEW_MAX {
            let words = format!("{ANEW_MAX} files failed in {}", shown(parent(&self.path)));
            return Err(Trouble { words });
        }
        for number in NUMBERS.filter(|number| *number > last) {
            let path = parent(&self.path).join(format!("{base}.c{number}.jsonl"));
            let found = match self.shelf.create(&path) {
                Ok(storage) => {
                    self.in_vain.push(path.clone());
                    Some((storage, 0))
                }
                Err(cause) if cause.kind() == ErrorKind::AlreadyExists => self.begun(&path),
                Err(cause) => return Err(Trouble::new(&cause, &path)),
            };
            let Some((storage, written)) = found else { continue };
            self.anew += 1;
            self.removed = false;
            self.path.clone_from(&path);
            return Ok(Open { storage, path, written, established: false });
        }
        Err(Trouble { words: format!("no name is free in {}", shown(parent(&self.path))) })
    }

    /// Takes a file that an earlier run could not finish, with how much of the session is in it: a try on
    /// a full disk uses up no name. What is no beginning of this session is left alone.
    fn begun(&mut self, path: &Path) -> Option<(Box<dyn Storage>, usize)> {
        let mut storage = self.shelf.begun(path)?;
        let bytes = storage.read_all().ok()?;
        self.text.starts_with(&bytes).then_some((storage, bytes.len()))
    }

    /// Takes away the files that were begun in vain, where what waits is given up: left there they would be taken
    /// for the session, with what was told as not saved. Returns those that stay.
    pub fn take_back(&mut self) -> Vec<PathBuf> {
        self.file = self.file.take().filter(|file| file.established);
        let mut stay = std::mem::take(&mut self.in_vain);
        stay.retain(|path| self.shelf.remove(path).is_err());
        stay
    }

    /// Takes away what was begun in another folder and is not the whole session: left there it would be
    /// taken for one. What is no longer ours by its name is let alone.
    fn take_away(&mut self, file: &mut Open) {
        let ours = file.storage.about().is_ok_and(|about| about.there && about.names == 1);
        if ours {
            // Where it cannot be removed it says itself that its end is missing.
            let _ = self.shelf.remove(&file.path);
        }
    }

    /// Writes the whole session into a new file in another folder, and goes on there.
    ///
    /// # Errors
    /// It cannot be written there; everything is as it was.
    pub fn elsewhere(&mut self, folder: &Path) -> Result<PathBuf, Trouble> {
        let (base, _) = numbered(&self.path);
        let first = folder.join(format!("{base}.jsonl"));
        let more = NUMBERS.map(|number| folder.join(format!("{base}.c{number}.jsonl")));
        for path in std::iter::once(first).chain(more) {
            let storage = match self.shelf.create(&path) {
                Ok(storage) => storage,
                Err(cause) if cause.kind() == ErrorKind::AlreadyExists => continue,
                Err(cause) => return Err(Trouble::of_named(&cause, &path)),
            };
            let mut file = Open { storage, path, written: 0, established: false };
            return match file.put(&self.text, self.text.len(), true) {
                Ok(()) => {
                    self.path.clone_from(&file.path);
                    self.file = Some(file);
                    self.waiting.clear();
                    self.removed = false;
                    // Whoever asked for this was told where it is, but of another writer only that the
                    // disk does not take it.
                    self.trouble = None;
                    if let Some((why, true)) = self.given_up.take() {
                        self.moved = Some(Moved { path: self.path.clone(), why, foreign: true });
                    }
                    Ok(self.path.clone())
                }
                Err(put) => {
                    self.take_away(&mut file);
                    Err(put.trouble(&file.path))
                }
            };
        }
        Err(Trouble { words: format!("no name is free in {}", shown(folder)) })
    }
}

impl Open {
    fn lost(&mut self) -> Option<Lost> {
        let about = self.storage.about().ok()?;
        self.lost_by(about)
    }

    fn lost_by(&mut self, about: About) -> Option<Lost> {
        let removed = about.names == 0;
        (removed || !about.there).then(|| Lost { removed, now: self.storage.lies_now() })
    }

    /// Writes the text up to `end` and waits for it.
    fn put(&mut self, text: &[u8], end: usize, whole: bool) -> Result<(), Put> {
        let about = self.storage.about().map_err(Put::Broken)?;
        let expected = u64::try_from(self.written).unwrap_or(u64::MAX);
        if let Some(lost) = self.lost_by(about) {
            return Err(Put::Lost(lost));
        }
        if about.names > 1 {
            return Err(Put::Broken(io::Error::other("the file has a second name")));
        }
        if about.length > expected {
            return Err(Put::Foreign);
        }
        if about.length < expected {
            return Err(Put::Broken(io::Error::other("the end of the file is gone")));
        }
        while let Some(rest) = text.get(self.written..end).filter(|rest| !rest.is_empty()) {
            match self.storage.write(rest) {
                Ok(0) => return Err(Put::Full(ErrorKind::WriteZero.into())),
                Ok(count) => self.written += count,
                Err(cause) if cause.kind() == ErrorKind::Interrupted => {}
                Err(cause) if is_full(&cause) => return Err(Put::Full(cause)),
                Err(cause) => return Err(Put::Broken(cause)),
            }
        }
        let all = whole || !self.established;
        let synced = if all { self.storage.sync_all() } else { self.storage.sync_data() };
        synced.map_err(Put::Broken)?;
        if !self.established {
            self.storage.sync_folder().map_err(Put::Broken)?;
            self.established = true;
        }
        Ok(())
    }
}

/// Returns where the records of a text end.
fn record_ends(text: &[u8]) -> impl Iterator<Item = usize> {
    let mut end = 0;
    text.split_inclusive(|byte| *byte == b'\n').filter_map(move |line| {
        end += line.len();
        // A broken end that was set aside is no entry.
        matches!(record::read(line.trim_ascii_end()), record::Line::Good(_)).then_some(end)
    })
}

fn is_full(cause: &io::Error) -> bool {
    matches!(
        cause.kind(),
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge
    )
}

/// Takes a session's file name apart: what its files have in common, and this one's number.
pub fn numbered(path: &Path) -> (String, u32) {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let number = stem.rsplit_once(".c").and_then(|(base, number)| {
        let number = number.parse().ok().filter(|number| NUMBERS.contains(number))?;
        Some((base.to_owned(), number))
    });
    number.unwrap_or((stem, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_one_session_are_numbered_from_the_second_on() {
        for (name, base, number) in [
            ("/a/20260314-101530z-k3f9q2.jsonl", "20260314-101530z-k3f9q2", 1),
            ("a.c2.jsonl", "a", 2),
            ("a.c99.jsonl", "a", 99),
            ("a.c100.jsonl", "a", 100),
            ("a.c100000.jsonl", "a.c100000", 1),
            ("a.c1.jsonl", "a.c1", 1),
            ("a.cx.jsonl", "a.cx", 1),
        ] {
            assert_eq!(numbered(Path::new(name)), (base.to_owned(), number), "{name}");
        }
    }
}
