//! How a small file of the program's own comes to disk: replaced whole, what cannot be read set
//! aside under a name of its own first, and what a killed run left beside it cleared away.

use super::StoreError;
use super::folder::{Lock, make_folder, sync_folder};
use super::hash::{is_id, new_id};
use super::journal::storage::{for_one_user, open_ordinary};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The steps in which a file is replaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A new file is made beside it.
    Open,
    /// The bytes are written into that.
    Write,
    /// They are waited for.
    Sync,
    /// The new file takes the name of the old one.
    Rename,
    /// That is waited for.
    SyncFolder,
}

/// Replaces a small file whole: a reader finds the old one or the new one, never half of either.
///
/// # Errors
/// What the system says. Up to "write" the old file is still there; "make sure of" says that the new
/// one is in its place, and may not outlast a power cut.
pub fn replace_whole(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    replace(path, bytes, &mut |_, _| Ok(()))
}

/// The same; `before` is asked before each step, with the new file's path, so that tests can put a
/// refusal of the system in its place.
pub(super) fn replace(
    path: &Path,
    bytes: &[u8],
    before: &mut dyn FnMut(Step, &Path) -> io::Result<()>,
) -> Result<(), StoreError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    make_folder(folder)?;
    let beside = path.with_extension(format!("{}.new", new_id(0)));
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    for_one_user(&mut options);
    let mut written = || {
        before(Step::Open, &beside)?;
        let mut file = options.open(&beside)?;
        before(Step::Write, &beside)?;
        file.write_all(bytes)?;
        before(Step::Sync, &beside)?;
        file.sync_all()?;
        drop(file);
        before(Step::Rename, &beside)?;
        std::fs::rename(&beside, path)
    };
    written().map_err(|cause| {
        // The half-written file is of no use to anybody.
        let _ = std::fs::remove_file(&beside);
        StoreError::io("write", path)(cause)
    })?;
    before(Step::SyncFolder, &beside)
        .and_then(|()| sync_folder(folder))
        .map_err(StoreError::io("make sure of", path))
}

/// Most files of one name that are set aside.
const ASIDE_MAX: u32 = 9_999;

/// Renames a file that cannot be read as what it should be to the first free name beside it, such as
/// `settings.json.damaged-1`, and returns that. Its bytes stay as they are; nothing is overwritten.
///
/// # Errors
/// What the system says; the file is where it was, or ("make sure of") where the error says.
pub(super) fn set_aside(path: &Path) -> Result<PathBuf, StoreError> {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let asides = (1..=ASIDE_MAX).map(|n| path.with_file_name(format!("{name}.damaged-{n}")));
    for aside in asides {
        match rename_to_new(path, &aside) {
            Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists => {}
            Err(cause) => return Err(StoreError::io("set aside", path)(cause)),
            Ok(()) => {
                let folder = path.parent().unwrap_or(Path::new("."));
                sync_folder(folder).map_err(StoreError::io("make sure of", &aside))?;
                return Ok(aside);
            }
        }
    }
    Err(StoreError::io("set aside", path)(io::ErrorKind::AlreadyExists.into()))
}

/// Sets a file aside and puts a new one in its place; returns where the old one is.
///
/// # Errors
/// What the system says; the old one is back in its place then, or [`StoreError::Kept`] names where
/// it is.
pub(super) fn replace_aside(path: &Path, bytes: &[u8]) -> Result<PathBuf, StoreError> {
    replace_aside_by(path, bytes, &mut |_, _| Ok(()))
}

fn replace_aside_by(
    path: &Path,
    bytes: &[u8],
    before: &mut dyn FnMut(Step, &Path) -> io::Result<()>,
) -> Result<PathBuf, StoreError> {
    let aside = set_aside(path)?;
    let Err(error) = replace(path, bytes, before) else { return Ok(aside) };
    // Where the new file is in place all the same, the old one stays where it is.
    let folder = path.parent().unwrap_or(Path::new("."));
    match rename_to_new(&aside, path).and_then(|()| sync_folder(folder)) {
        Err(_) if aside.symlink_metadata().is_ok() => {
            Err(StoreError::Kept { error: Box::new(error), kept: vec![aside] })
        }
        // Back, though it may be unsure under which of its two names a power cut would leave it.
        Ok(()) | Err(_) => Err(error),
    }
}

/// Renames a file to a name that must be free.
fn rename_to_new(from: &Path, to: &Path) -> io::Result<()> {
    if to.symlink_metadata().is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    // Also where another program takes the name in this very moment.
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        match renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE) {
            // Some disks cannot be asked for that.
            Err(Errno::INVAL | Errno::NOSYS | Errno::NOTSUP) => {}
            done => return done.map_err(io::Error::from),
        }
    }
    std::fs::rename(from, to)
}

/// Tells whether a fault lies in what stands in a file, not in whether it could be read just now:
/// only then the file may be set aside.
pub(super) fn is_of_the_file(fault: &StoreError) -> bool {
    matches!(
        fault,
        StoreError::DamagedFile { .. } | StoreError::TooLarge { .. } | StoreError::NotAFile { .. }
    )
}

/// Removes the files that killed runs left on their way into a folder, and returns how many. They
/// were never said to be saved. `lock` is the one under which this folder is written to, so that
/// nobody is at work on them; where the disk has no locks, that is not known and they stay.
pub fn sweep(folder: &Path, lock: &Lock) -> usize {
    if lock.warning.is_some() {
        return 0;
    }
    let Ok(entries) = std::fs::read_dir(folder) else { return 0 };
    let left = entries.flatten().map(|entry| entry.path()).filter(|path| is_on_its_way(path));
    // One that cannot be removed does no harm: by its name it is nothing that is ever read.
    left.filter(|path| std::fs::remove_file(path).is_ok()).count()
}

/// What became of files that may have been left by killed runs.
#[derive(Debug, Default)]
pub(super) struct Swept {
    /// Nobody was at work on these: they are gone.
    pub removed: Vec<PathBuf>,
    /// Of these it is not known; they are still there.
    pub unsure: Vec<PathBuf>,
}

/// Removes those of a folder's files that are left over, where their writers hold a lock on the file
/// itself ([`hold`]) and nobody does any more.
pub(super) fn sweep_unheld(folder: &Path, is_left_over: impl Fn(&Path) -> bool) -> Swept {
    let mut swept = Swept::default();
    let Ok(entries) = std::fs::read_dir(folder) else { return swept };
    for path in entries.flatten().map(|entry| entry.path()).filter(|path| is_left_over(path)) {
        let Ok((file, _)) = open_ordinary(OpenOptions::new().read(true), &path) else { continue };
        match file.try_lock() {
            Ok(()) if std::fs::remove_file(&path).is_ok() => swept.removed.push(path),
            Ok(()) | Err(TryLockError::Error(_)) => swept.unsure.push(path),
            Err(TryLockError::WouldBlock) => {}
        }
    }
    swept
}

/// Shows others that somebody is at work on a file, for as long as it is open.
pub(super) fn hold(file: &File) {
    // Where the disk has no locks nobody removes it either.
    let _ = file.try_lock();
}

/// Tells by its name whether a file is one of this program's on its way to its place:
/// `NAME.IDENTITY.new`.
pub fn is_on_its_way(path: &Path) -> bool {
    carries_id(path, "new") && path.symlink_metadata().is_ok_and(|about| about.is_file())
}

/// Tells whether a name ends in an identity and this.
pub(super) fn carries_id(path: &Path, ending: &str) -> bool {
    let ends = path.extension().is_some_and(|found| found == ending);
    let id = path.file_stem().and_then(|stem| Path::new(stem).extension());
    ends && id.and_then(|id| id.to_str()).is_some_and(is_id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::folder::Folder;
    use std::panic::{AssertUnwindSafe, catch_unwind};

    const STEPS: [Step; 5] = [Step::Open, Step::Write, Step::Sync, Step::Rename, Step::SyncFolder];
    const OLD: &[u8] = b"{\"old\":1}\n";
    const NEW: &[u8] = b"{\"new\":\"longer than the old one\"}\n";

    fn names(folder: &Path) -> Vec<String> {
        let entries = std::fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    fn folder() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.json");
        std::fs::write(&path, OLD).unwrap();
        (folder, path)
    }

    /// Which of the two files is there; `None` for half of one, or none.
    fn there(path: &Path) -> Option<&'static [u8]> {
        let bytes = std::fs::read(path).ok()?;
        [OLD, NEW].into_iter().find(|whole| **whole == bytes)
    }

    /// The refusals that a disk gives.
    fn refusals() -> impl Iterator<Item = io::Error> {
        // EIO, ENOSPC, EROFS, EDQUOT, EFBIG of Linux.
        [5, 28, 30, 122, 27].into_iter().map(io::Error::from_raw_os_error)
    }

    #[test]
    fn whatever_step_fails_the_old_bytes_or_the_new_ones_are_there_and_the_words_are_true() {
        let mut tried = 0;
        for step in STEPS {
            for cause in refusals() {
                let (folder, path) = folder();
                let words = crate::store::words::cause_words(&cause);
                let mut cause = Some(cause);
                let refused = replace(&path, NEW, &mut |at, beside| {
                    if at != step {
                        return Ok(());
                    }
                    if step == Step::Write {
                        // As a disk that is full half-way through.
                        std::fs::write(beside, &NEW[..NEW.len() / 2]).unwrap();
                    }
                    Err(cause.take().unwrap())
                });
                let error = refused.unwrap_err();
                let is_new = step == Step::SyncFolder;
                let doing = if is_new { "make sure of" } else { "write" };
                let shown = path.display();
                assert_eq!(error.to_string(), format!("cannot {doing} {shown}: {words}"));
                assert_eq!(there(&path), Some(if is_new { NEW } else { OLD }), "{step:?}");
                assert_eq!(names(folder.path()), ["settings.json"], "{step:?}");
                tried += 1;
            }
        }
        assert_eq!(tried, 25);
        // A writer that writes in place would be found.
        let (_folder, path) = folder();
        std::fs::write(&path, &NEW[..NEW.len() / 2]).unwrap();
        assert_eq!(there(&path), None);
    }

    #[test]
    fn a_run_that_dies_at_any_step_leaves_the_old_file_or_the_new_one_and_its_litter_goes() {
        let mut littered = 0;
        for step in STEPS {
            let (folder, path) = folder();
            let died = catch_unwind(AssertUnwindSafe(|| {
                replace(&path, NEW, &mut |at, _| {
                    if at == step {
                        std::panic::resume_unwind(Box::new("killed"));
                    }
                    Ok(())
                })
            }));
            assert!(died.is_err());
            let is_new = step == Step::SyncFolder;
            assert_eq!(there(&path), Some(if is_new { NEW } else { OLD }), "{step:?}");
            let left = names(folder.path()).len() - 1;
            let lock = Folder::at(folder.path()).lock("settings").unwrap();
            assert_eq!(sweep(folder.path(), &lock), left, "{step:?}");
            assert_eq!(names(folder.path()), ["locks", "settings.json"], "{step:?}");
            littered += left;
        }
        // Between the making of the file and its new name.
        assert_eq!(littered, 3);
    }

    #[test]
    fn only_what_is_surely_the_programs_own_and_nobodys_work_is_swept() {
        let (folder, _) = folder();
        let id = new_id(0);
        let path = |name: &str| folder.path().join(name);
        let stay = ["a.new".to_owned(), format!("a.{}.new", &id[1..]), format!("a.{id}.json")];
        for name in &stay {
            std::fs::write(path(name), "x").unwrap();
        }
        std::fs::create_dir(path(&format!("b.{id}.new"))).unwrap();
        let litter = path(&format!("a.{id}.new"));
        std::fs::write(&litter, "x").unwrap();
        let mut lock = Folder::at(folder.path()).lock("engines").unwrap();
        lock.warning = Some("this disk has no locks".into());
        assert_eq!(sweep(folder.path(), &lock), 0);
        assert!(litter.exists());
        lock.warning = None;
        assert_eq!(sweep(folder.path(), &lock), 1);
        assert!(!litter.exists() && path(&format!("b.{id}.new")).exists());
        assert!(stay.iter().all(|name| path(name).exists()));
    }

    #[test]
    fn a_file_is_set_aside_under_the_first_free_name_with_its_bytes() {
        let (folder, path) = folder();
        std::fs::write(folder.path().join("settings.json.damaged-2"), "mine").unwrap();
        for (n, bytes) in [(1, "one"), (3, "two"), (4, "three")] {
            std::fs::write(&path, bytes).unwrap();
            let aside = set_aside(&path).unwrap();
            assert_eq!(aside, folder.path().join(format!("settings.json.damaged-{n}")));
            assert_eq!(std::fs::read_to_string(&aside).unwrap(), bytes);
            assert!(!path.exists());
        }
        let kept = std::fs::read_to_string(folder.path().join("settings.json.damaged-2"));
        assert_eq!(kept.unwrap(), "mine");
        let error = set_aside(&path).unwrap_err();
        assert!(error.to_string().starts_with("cannot set aside "), "{error}");
    }

    #[test]
    fn a_damaged_file_whose_place_cannot_be_filled_is_back_there_or_it_is_said_where_it_is() {
        for step in STEPS {
            let (folder, path) = folder();
            let refused = replace_aside_by(&path, NEW, &mut |at, _| {
                if at == step { Err(io::Error::from_raw_os_error(28)) } else { Ok(()) }
            });
            let said = refused.unwrap_err().to_string();
            let aside = folder.path().join("settings.json.damaged-1");
            if step == Step::SyncFolder {
                let kept = format!("; what was here is kept as {}", aside.display());
                assert!(said.ends_with(&kept), "{said}");
                assert_eq!((there(&path), there(&aside)), (Some(NEW), Some(OLD)));
            } else {
                assert_eq!(said, format!("cannot write {}: the disk is full", path.display()));
                assert_eq!((there(&path), aside.exists()), (Some(OLD), false), "{step:?}");
            }
        }
        let (folder, path) = folder();
        let aside = folder.path().join("settings.json.damaged-1");
        assert_eq!(replace_aside(&path, NEW).unwrap(), aside);
        assert_eq!((there(&path), there(&aside)), (Some(NEW), Some(OLD)));
    }

    #[test]
    fn a_name_that_is_taken_in_that_moment_is_not_overwritten() {
        let (folder, path) = folder();
        let taken = folder.path().join("taken");
        std::fs::write(&taken, "mine").unwrap();
        let refused = rename_to_new(&path, &taken).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read(&path).unwrap(), OLD);
        // Also where it is a folder, a link or a link to nothing.
        #[cfg(unix)]
        {
            let link = folder.path().join("link");
            std::os::unix::fs::symlink("nowhere", &link).unwrap();
            assert!(rename_to_new(&path, &link).is_err());
            assert_eq!(std::fs::read(&path).unwrap(), OLD);
        }
    }
}
