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
use super::progress::Progress;
use std::borrow::Cow;
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Threads that wait for the disk at once.
const AT_ONCE: usize = 16;
/// Most bytes of a file that is replaced: the longest is a profile.
const REPLACED_MAX: u64 = 1024 * 1024;

/// Files on their way into the data folder; those not yet in place are removed when it is dropped.
#[derive(Debug, Default)]
pub struct Batch<'a> {
    new: Vec<(PathBuf, PathBuf, Cow<'a, [u8]>)>,
    waiting: Vec<(PathBuf, PathBuf)>,
    replacing: Vec<Swap>,
    placed: Vec<PathBuf>,
    progress: Progress,
    done: bool,
}

/// A file that is to be replaced.
#[derive(Debug)]
struct Swap {
    path: PathBuf,
    new: Vec<u8>,
    old: Vec<u8>,
    /// Where what was here is kept.
    aside: PathBuf,
    /// Whether nobody knows which of the two a power cut would leave in the place.
    is_unsure: bool,
}

impl Swap {
    fn holds(&self, bytes: &[u8]) -> bool {
        read_whole(&self.path, REPLACED_MAX).is_ok_and(|found| found == bytes)
    }

    /// Tells whether the copy of what was here is the only one that is sure.
    fn needs_aside(&self) -> bool {
        self.is_unsure || !self.holds(&self.old)
    }
}

/// How one small file is replaced: [`replace_whole`], but in tests.
type Put<'p> = dyn FnMut(&Path, &[u8]) -> Result<(), StoreError> + 'p;

impl<'a> Batch<'a> {
    /// A batch that tells how far its new files are.
    pub fn watched(progress: Progress) -> Batch<'a> {
        let mut batch = Batch::default();
        batch.progress = progress;
        batch
    }

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
        let (path, aside) = (path.to_owned(), aside.to_owned());
        self.replacing.push(Swap { path, new: bytes, old, aside, is_unsure: false });
        Ok(())
    }

    /// Writes all files, and gives them their names.
    ///
    /// # Errors
    /// What the system says; then none of them is in place. Where what was replaced could not be put
    /// back, its copy stays, and [`StoreError::Kept`] names it.
    pub fn finish(self) -> Result<(), StoreError> {
        self.finish_by(&mut replace_whole)
    }

    fn finish_by(mut self, put: &mut Put<'_>) -> Result<(), StoreError> {
        let new = std::mem::take(&mut self.new);
        self.waiting.extend(new.iter().map(|(beside, path, _)| (beside.clone(), path.clone())));
        write_all(&new, &self.progress)?;
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
        self.replace_all(put)?;
        self.done = true;
        Ok(())
    }

    /// Replaces what is to be replaced; where one cannot be, it and those before it are put back.
    fn replace_all(&mut self, put: &mut Put<'_>) -> Result<(), StoreError> {
        for place in 0..self.replacing.len() {
            let (begun, _) = self.replacing.split_at_mut(place + 1);
            let Some(swap) = begun.last() else { break };
            let replaced = if swap.holds(&swap.old) {
                put(&swap.path, &swap.new)
            } else {
                Err(StoreError::ChangedMeanwhile { path: swap.path.clone() })
            };
            if let Err(error) = replaced {
                // Also this one: its new file may be in place, and only be unsure to stay there. What
                // somebody else wrote meanwhile is not touched.
                for swap in begun.iter_mut().rev().filter(|swap| swap.holds(&swap.new)) {
                    swap.is_unsure = put(&swap.path, &swap.old).is_err();
                }
                return Err(self.with_kept(error));
            }
        }
        Ok(())
    }

    /// Adds to an error where what was here is kept, where that is not in its place again.
    fn with_kept(&self, error: StoreError) -> StoreError {
        let kept = self.replacing.iter().filter(|swap| swap.needs_aside());
        let kept: Vec<PathBuf> = kept.map(|swap| swap.aside.clone()).collect();
        if kept.is_empty() { error } else { StoreError::Kept { error: Box::new(error), kept } }
    }
}

/// Writes files beside their places and waits for each to be on the disk.
fn write_all(
    new: &[(PathBuf, PathBuf, Cow<'_, [u8]>)],
    progress: &Progress,
) -> Result<(), StoreError> {
    let share = new.len().div_ceil(AT_ONCE).max(1);
    let done = AtomicUsize::new(0);
    let write_one = |one: &_| {
        progress.so_far("writing files", done.fetch_add(1, Ordering::Relaxed), new.len());
        write(one)
    };
    std::thread::scope(|scope| {
        let shares =
            new.chunks(share).map(|share| scope.spawn(|| share.iter().try_for_each(write_one)));
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
        let is_needed = |path: &Path| {
            self.replacing.iter().any(|swap| swap.aside == path && swap.needs_aside())
        };
        let placed = self.placed.iter().filter(|path| !self.done && !is_needed(path));
        for path in beside.chain(placed) {
            // What cannot be removed is no session and no engine by its name, or is told as whole.
            let _ = std::fs::remove_file(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::replace::{Step, replace};

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Replaces two files while the steps that are called so fail; returns the error's words, or
    /// nothing, and how many steps there were.
    fn replaced(folder: &Path, fails: &dyn Fn(usize) -> bool) -> (Option<String>, usize) {
        let mut batch = Batch::default();
        for (name, new) in [("a.json", "new a"), ("b.json", "new b")] {
            let path = folder.join(name);
            let aside = folder.join(format!("{name}.before-restore-1"));
            batch.replace(&path, new.into(), &aside).unwrap();
        }
        let mut steps = 0;
        let mut before = |_: Step, _: &Path| {
            steps += 1;
            // EIO of Linux.
            if fails(steps) { Err(io::Error::from_raw_os_error(5)) } else { Ok(()) }
        };
        let done = batch.finish_by(&mut |path, bytes| replace(path, bytes, &mut before));
        (done.err().map(|error| error.to_string()), steps)
    }

    #[test]
    fn whatever_step_of_a_replacement_fails_what_was_here_is_in_place_or_in_a_file_that_is_named() {
        let (mut put_back, mut kept) = (0, 0);
        // One step fails, and all from a second one on: at once, later, or (of at most 20) never.
        for (first, then) in (1..=10).flat_map(|first| (first + 1..=21).map(move |n| (first, n))) {
            let folder = tempfile::tempdir().unwrap();
            for name in ["a", "b"] {
                std::fs::write(folder.path().join(format!("{name}.json")), format!("old {name}"))
                    .unwrap();
            }
            let fails = |step| step == first || step >= then;
            let (said, steps) = replaced(folder.path(), &fails);
            assert!(steps >= first);
            let said = said.unwrap();
            let mut expected = vec!["a.json".to_owned(), "b.json".to_owned()];
            for name in ["a", "b"] {
                let path = folder.path().join(format!("{name}.json"));
                let aside = folder.path().join(format!("{name}.json.before-restore-1"));
                let holds_old = |path: &Path| {
                    std::fs::read(path).is_ok_and(|bytes| bytes == format!("old {name}").as_bytes())
                };
                let is_named = said.contains(&aside.display().to_string());
                assert_eq!(is_named, aside.exists(), "{first} {then}: {said}");
                assert!(if is_named { holds_old(&aside) } else { holds_old(&path) }, "{first}");
                put_back += usize::from(!is_named);
                kept += usize::from(is_named);
                expected.extend(is_named.then(|| format!("{name}.json.before-restore-1")));
            }
            expected.sort();
            assert_eq!(names(folder.path()), expected, "{first} {then}");
        }
        // Kept beside are those whose putting back failed too: 33 times at its first four steps, so
        // that the new file is in place, and 7 times at its last, so that it is not sure which one is.
        assert_eq!((put_back, kept), (270, 40));
        // A batch whose steps all go well needs all ten, and keeps both.
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.json", "b.json"] {
            std::fs::write(folder.path().join(name), "old").unwrap();
        }
        assert_eq!(replaced(folder.path(), &|_| false), (None, 10));
        assert_eq!(names(folder.path()).len(), 4);
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
