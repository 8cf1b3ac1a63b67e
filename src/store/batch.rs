//! Puts several new files into the data folder: all of them, or none.
//!
//! Each is written whole under another name beside its place, and waited for; only when all of them
//! are on the disk do they get their own names, and then the folders are waited for. So a power cut
//! leaves none, or some of them whole. Nothing that is there is replaced unless that is asked for by
//! name; then it is copied beside first.
//!
//! Several files are written and waited for at once: a disk takes them in together, while one after
//! another each would wait for its own turn.

use super::StoreError;
use super::folder::{make_folder, read_whole, replace_whole, sync_folder};
use super::hash::new_id;
use super::journal::storage::for_one_user;
use std::borrow::Cow;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Threads that wait for the disk at once.
const AT_ONCE: usize = 16;
/// Most bytes of a file that is replaced: the longest is a profile.
const REPLACED_MAX: u64 = 1024 * 1024;

/// Files on their way into the data folder; those not yet in place are removed when it is dropped.
#[derive(Debug, Default)]
pub struct Batch<'a> {
    new: Vec<(PathBuf, PathBuf, Cow<'a, [u8]>)>,
    waiting: Vec<(PathBuf, PathBuf)>,
    replacing: Vec<(PathBuf, Vec<u8>, Vec<u8>)>,
    placed: Vec<PathBuf>,
    done: bool,
}

impl<'a> Batch<'a> {
    /// Takes a new file for its place.
    ///
    /// # Errors
    /// Something is there already, or what the system says.
    pub fn add(&mut self, path: &Path, bytes: impl Into<Cow<'a, [u8]>>) -> Result<(), StoreError> {
        let beside = self.beside(path)?;
        self.new.push((beside, path.to_owned(), bytes.into()));
        Ok(())
    }

    /// Returns where a new file is written until all are.
    fn beside(&self, path: &Path) -> Result<PathBuf, StoreError> {
        make_folder(path.parent().unwrap_or(Path::new(".")))?;
        if path.symlink_metadata().is_ok() {
            return Err(StoreError::io("make", path)(io::ErrorKind::AlreadyExists.into()));
        }
        Ok(path.with_extension(format!("{}.new", new_id(0))))
    }

    /// Takes a new file and writes it at once, so that its bytes need not be held.
    ///
    /// # Errors
    /// Something is there already, or what the system says.
    pub fn write_now(&mut self, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
        let beside = self.beside(path)?;
        self.waiting.push((beside.clone(), path.to_owned()));
        write(&(beside, path.to_owned(), bytes.into()))
    }

    /// Puts a small file in the place of one that is there, which is copied to `aside` first. It is
    /// done last of all.
    ///
    /// # Errors
    /// Something else is at `aside` already, or what the system says.
    pub fn replace(&mut self, path: &Path, bytes: Vec<u8>, aside: &Path) -> Result<(), StoreError> {
        let old = read_whole(path, REPLACED_MAX)?;
        if !read_whole(aside, REPLACED_MAX).is_ok_and(|kept| kept == old) {
            self.write_now(aside, &old)?;
        }
        self.replacing.push((path.to_owned(), bytes, old));
        Ok(())
    }

    /// Writes all files, and gives them their names.
    ///
    /// # Errors
    /// What the system says; then none of them is in place.
    pub fn finish(mut self) -> Result<(), StoreError> {
        let new = std::mem::take(&mut self.new);
        self.waiting.extend(new.iter().map(|(beside, path, _)| (beside.clone(), path.clone())));
        write_all(&new)?;
        let waiting = std::mem::take(&mut self.waiting);
        let mut folders: Vec<PathBuf> = Vec::new();
        for (place, (beside, path)) in waiting.iter().enumerate() {
            // A second name, then the first one away: unlike a renaming it replaces nothing.
            let named = std::fs::hard_link(beside, path).or_else(|error| match error.kind() {
                // Some disks have no second names; nothing was there a moment ago.
                io::ErrorKind::AlreadyExists => Err(error),
                _ if path.symlink_metadata().is_ok() => Err(error),
                _ => std::fs::rename(beside, path),
            });
            if let Err(cause) = named {
                self.waiting = waiting.get(place..).unwrap_or_default().to_vec();
                return Err(StoreError::io("name", path)(cause));
            }
            self.placed.push(path.clone());
            // It may have been renamed away already.
            let _ = std::fs::remove_file(beside);
            folders.extend(path.parent().map(Path::to_owned));
        }
        folders.sort();
        folders.dedup();
        for folder in &folders {
            sync_folder(folder).map_err(StoreError::io("sync the folder", folder))?;
        }
        self.replace_all()?;
        self.done = true;
        Ok(())
    }

    /// Replaces what is to be replaced; where one cannot be, those before it are put back.
    fn replace_all(&self) -> Result<(), StoreError> {
        for (place, (path, bytes, old)) in self.replacing.iter().enumerate() {
            let is_as_it_was = read_whole(path, REPLACED_MAX).is_ok_and(|found| found == *old);
            let replaced = if is_as_it_was {
                replace_whole(path, bytes)
            } else {
                Err(StoreError::ChangedMeanwhile { path: path.clone() })
            };
            if let Err(error) = replaced {
                for (path, _, old) in self.replacing.iter().take(place).rev() {
                    // Where even this fails, the error that is told is the first one.
                    let _ = replace_whole(path, old);
                }
                return Err(error);
            }
        }
        Ok(())
    }
}

/// Writes files beside their places and waits for each to be on the disk.
fn write_all(new: &[(PathBuf, PathBuf, Cow<'_, [u8]>)]) -> Result<(), StoreError> {
    let share = new.len().div_ceil(AT_ONCE).max(1);
    std::thread::scope(|scope| {
        let shares =
            new.chunks(share).map(|share| scope.spawn(|| share.iter().try_for_each(write)));
        let shares: Vec<_> = shares.collect();
        shares.into_iter().try_for_each(|share| {
            // A thread that died has not said that its files are on the disk.
            let died = |_| {
                Err(StoreError::io("write", Path::new("the new files"))(
                    io::ErrorKind::Other.into(),
                ))
            };
            share.join().unwrap_or_else(died)
        })
    })
}

fn write((beside, path, bytes): &(PathBuf, PathBuf, Cow<'_, [u8]>)) -> Result<(), StoreError> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    for_one_user(&mut options);
    let written = options.open(beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.map_err(StoreError::io("write", path))
}

impl Drop for Batch<'_> {
    fn drop(&mut self) {
        let beside = self.waiting.iter().map(|(beside, _)| beside);
        let placed = self.placed.iter().filter(|_| !self.done);
        for path in beside.chain(placed) {
            // What cannot be removed is no session and no engine by its name, or is told as whole.
            let _ = std::fs::remove_file(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn all_files_come_into_place_or_none() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        let mut batch = Batch::default();
        batch.add(&path("a.json"), b"a".as_slice()).unwrap();
        batch.add(&path("b.json"), b"b".as_slice()).unwrap();
        batch.finish().unwrap();
        assert_eq!(names(folder.path()), ["a.json", "b.json"]);

        let mut batch = Batch::default();
        batch.add(&path("c.json"), b"c".as_slice()).unwrap();
        assert!(batch.add(&path("a.json"), b"x".as_slice()).is_err());
        drop(batch);
        let mut batch = Batch::default();
        batch.add(&path("c.json"), b"c".as_slice()).unwrap();
        batch.add(&path("d.json"), b"d".as_slice()).unwrap();
        // Another program was quicker.
        std::fs::write(path("d.json"), "other").unwrap();
        assert!(batch.finish().is_err());
        assert_eq!(names(folder.path()), ["a.json", "b.json", "d.json"]);
        assert_eq!(std::fs::read_to_string(path("d.json")).unwrap(), "other");
        assert_eq!(std::fs::read_to_string(path("a.json")).unwrap(), "a");
    }
}
