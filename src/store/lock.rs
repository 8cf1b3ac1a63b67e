//! Locks: one terminal writes a session, an engine's files or a backup at a time.

use super::StoreError;
use super::folder::{Folder, make_folder};
use super::journal::storage::for_one_user;
use super::replace::sweep;
use super::words::cause_words;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

impl Folder {
    /// Locks a session, or another thing of this name, for this process.
    ///
    /// The lock is the system's and is freed when the process ends in whatever way; that the file
    /// is there means nothing. Where the system has no locks, the work goes on with a warning.
    ///
    /// # Errors
    /// Another process holds it, or the lock file cannot be opened.
    pub fn lock(&self, name: &str) -> Result<Lock, StoreError> {
        let locks = self.locks();
        make_folder(&locks)?;
        let path = locks.join(format!("{name}.lock"));
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        for_one_user(&mut options);
        let mut file = options.open(&path).map_err(StoreError::io("write to", &path))?;
        match try_lock(&file) {
            Ok(()) => {
                let doubted = doubted(&mut file);
                // Only a word for the other terminal: that it is missing does no harm.
                let _ = file.seek(SeekFrom::Start(0));
                let _ = file.write_all(format!("{:<PROCESS$}\n", std::process::id()).as_bytes());
                Ok(Lock { file, path, warning: None, doubted })
            }
            Err(TryLockError::WouldBlock) => Err(StoreError::InUse { process: process(&file) }),
            Err(TryLockError::Error(cause)) => {
                let warning = format!(
                    "this disk has no locks ({}): use one terminal only",
                    cause_words(&cause)
                );
                Ok(Lock { file, path, warning: Some(warning), doubted: Vec::new() })
            }
        }
    }

    /// Locks engines, own profiles and new sessions for writing, and clears away what killed runs
    /// left on its way `into` these folders.
    ///
    /// # Errors
    /// As [`Folder::lock`].
    pub fn lock_to_write(&self, into: &[PathBuf]) -> Result<Lock, StoreError> {
        let lock = self.lock("engines")?;
        for folder in into {
            sweep(folder, &lock);
        }
        Ok(lock)
    }
}

/// Tries to lock a file. Whoever looks at a lock holds it for an instant: it is tried again.
fn try_lock(file: &File) -> Result<(), TryLockError> {
    try_again(|| file.try_lock(), || std::thread::sleep(Duration::from_millis(5)))
}

/// Tries again, four times at most, while another holds the lock; waits between.
fn try_again(
    mut lock: impl FnMut() -> Result<(), TryLockError>,
    mut wait: impl FnMut(),
) -> Result<(), TryLockError> {
    for _ in 0..4 {
        match lock() {
            Err(TryLockError::WouldBlock) => wait(),
            done => return done,
        }
    }
    lock()
}

/// Who holds a lock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holder {
    /// Nobody, as far as can be told.
    Nobody,
    /// Another program; its process, where known.
    Process(Option<u32>),
}

impl Folder {
    /// Tells who holds the lock of this name. Makes nothing.
    pub fn holder(&self, name: &str) -> Holder {
        let Ok(file) = File::open(self.locks().join(format!("{name}.lock"))) else {
            return Holder::Nobody;
        };
        match file.try_lock_shared() {
            Err(TryLockError::WouldBlock) => Holder::Process(process(&file)),
            Ok(()) | Err(TryLockError::Error(_)) => Holder::Nobody,
        }
    }

    /// Tells whether another process holds the lock of this name. Makes nothing.
    pub(super) fn is_locked(&self, name: &str) -> bool {
        self.holder(name) != Holder::Nobody
    }
}

/// Reads which process holds a lock.
fn process(file: &File) -> Option<u32> {
    let mut text = String::new();
    let _ = file.take(PROCESS as u64).read_to_string(&mut text);
    text.trim().parse().ok()
}

/// Cells of a lock's file for the process that holds it; the names of doubted files follow.
const PROCESS: usize = 20;

/// A lock, held until it is dropped.
#[derive(Debug)]
pub struct Lock {
    file: File,
    path: PathBuf,
    /// Why it locks nothing, where the system has no locks.
    pub warning: Option<String>,
    doubted: Vec<String>,
}

/// A program that is started at this moment holds the same file for an instant: unlocked, it keeps no lock.
impl Drop for Lock {
    fn drop(&mut self) {
        let _ = self.file.unlock();
    }
}

impl Lock {
    /// Tells whether an earlier holder could not tell whether this file's bytes are on the disk.
    pub(super) fn doubts(&self, path: &Path) -> bool {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        self.doubted.iter().any(|doubted| *doubted == name)
    }

    /// Returns the names of such files; `None` where the system has no locks, and nobody else was kept
    /// from writing.
    pub(super) fn doubted(&self) -> Option<Vec<String>> {
        self.warning.is_none().then(|| self.doubted.clone())
    }

    /// Opens the file where such a doubt is noted: anew, so that it does not keep the lock.
    pub(super) fn notes(&self) -> Option<File> {
        OpenOptions::new().write(true).open(&self.path).ok()
    }
}

/// Notes in a lock's file that nothing is known of a session's file any more.
///
/// It is not waited for: the note lives just as long as the system's own memory of the bytes that
/// may be missing from the disk.
pub(super) fn note_doubt(notes: &mut File, path: &Path) {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let _ =
        notes.seek(SeekFrom::End(0)).and_then(|_| notes.write_all(format!("{name}\n").as_bytes()));
}

fn doubted(file: &mut File) -> Vec<String> {
    let mut bytes = Vec::new();
    let _ = file.take(64 * 1024).read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(bytes.get(PROCESS..).unwrap_or_default()).into_owned();
    text.lines().filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io;

    #[test]
    fn a_lock_that_is_only_looked_at_is_had_and_one_that_is_held_is_not() {
        let mut had = Vec::new();
        for looked_at in 0..8 {
            let (mut tries, mut waits) = (0, 0);
            let lock = || {
                tries += 1;
                if tries > looked_at { Ok(()) } else { Err(TryLockError::WouldBlock) }
            };
            let done = try_again(lock, || waits += 1);
            had.push(done.is_ok());
            assert_eq!((tries, waits), ((looked_at + 1).min(5), looked_at.min(4)));
        }
        assert_eq!(had, [true, true, true, true, true, false, false, false]);
        // A disk without locks is asked once.
        let mut tries = 0;
        let refused = try_again(
            || {
                tries += 1;
                Err(TryLockError::Error(io::ErrorKind::Unsupported.into()))
            },
            || {},
        );
        assert!(matches!(refused, Err(TryLockError::Error(_))) && tries == 1);
    }

    #[test]
    fn a_lock_is_given_back_though_a_program_that_was_just_started_holds_its_file() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        let held = folder.lock("engines").unwrap();
        let _inherited = held.file.try_clone().unwrap();
        assert!(folder.lock("engines").is_err(), "negative control");
        drop(held);
        assert!(folder.lock("engines").is_ok());
    }

    #[test]
    fn a_lock_held_for_an_instant_is_waited_for_on_the_disk() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        drop(folder.lock("engines").unwrap());
        let path = folder.locks().join("engines.lock");
        let looking = File::open(&path).unwrap();
        looking.lock_shared().unwrap();
        let file = OpenOptions::new().read(true).write(true).open(&path).unwrap();
        assert!(matches!(file.try_lock(), Err(TryLockError::WouldBlock)));
        let mut looking = Some(looking);
        // Whoever looks is gone when it is tried again.
        let done = try_again(|| file.try_lock(), || drop(looking.take()));
        assert!(done.is_ok());
        let refused = folder.lock("engines").unwrap_err();
        assert!(matches!(refused, StoreError::InUse { .. }));
    }
}
