//! The few calls that may ever touch a journal: open for appending, write, sync, length, read.
//!
//! Nothing here truncates or renames, and nothing is removed but a copy that was begun in another folder
//! and could not be written whole. Tests put a failing storage in place of the file.

use super::keeper::Shelf;
use super::scan::FILE_MAX;
use crate::store::StoreError;
use crate::store::folder::{note_doubt, sync_folder};
use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// A file as the system sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct About {
    /// Length in bytes.
    pub length: u64,
    /// Names on the disk: 0 for one that was removed, 2 where another program could change it.
    pub names: u64,
    /// Whether it still lies where it was opened: its folder may have been moved away.
    pub there: bool,
}

/// Where a journal's bytes go.
pub trait Storage: Send {
    /// Looks at the file: how long it is, and how many names it has.
    ///
    /// # Errors
    /// What the system says.
    fn about(&mut self) -> io::Result<About>;

    /// Reads everything.
    ///
    /// # Errors
    /// What the system says, or [`io::ErrorKind::FileTooLarge`] for more than a journal may hold.
    fn read_all(&mut self) -> io::Result<Vec<u8>>;

    /// Appends some of `bytes` and returns how many.
    ///
    /// # Errors
    /// What the system says.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Waits until what was written is on the disk.
    ///
    /// # Errors
    /// What the system says; after that nothing is known of what was written.
    fn sync_data(&mut self) -> io::Result<()>;

    /// The same, with the file's times and rights.
    ///
    /// # Errors
    /// As `sync_data`.
    fn sync_all(&mut self) -> io::Result<()>;

    /// Waits until the file's name is on the disk.
    ///
    /// # Errors
    /// As `sync_data`.
    fn sync_folder(&mut self) -> io::Result<()>;

    /// Tells where a file lies that is not there any more, as far as the system knows.
    fn lies_now(&mut self) -> Option<PathBuf> {
        None
    }
}

/// A journal's file.
pub struct JournalFile {
    file: File,
    path: PathBuf,
}

impl JournalFile {
    /// Makes a new file, mode 0600; its name must not exist.
    ///
    /// # Errors
    /// The name exists, or what the system says.
    pub fn create(path: &Path) -> io::Result<JournalFile> {
        let mut options = OpenOptions::new();
        options.read(true).append(true).create_new(true);
        for_one_user(&mut options);
        Ok(JournalFile { file: options.open(path)?, path: path.to_owned() })
    }

    /// Opens an existing file for appending.
    ///
    /// # Errors
    /// No ordinary file, or what the system says.
    pub fn append(path: &Path) -> Result<JournalFile, StoreError> {
        let mut options = OpenOptions::new();
        options.read(true).append(true);
        let (file, _) = open_ordinary(&options, path).map_err(|error| match error {
            StoreError::Io { path, cause, .. } => StoreError::Io { doing: "write to", path, cause },
            other => other,
        })?;
        Ok(JournalFile { file, path: path.to_owned() })
    }

    /// Opens an existing file for reading only.
    ///
    /// # Errors
    /// No ordinary file, or what the system says.
    pub fn read_only(path: &Path) -> Result<JournalFile, StoreError> {
        let (file, _) = open_ordinary(OpenOptions::new().read(true), path)?;
        Ok(JournalFile { file, path: path.to_owned() })
    }
}

impl Storage for JournalFile {
    fn about(&mut self) -> io::Result<About> {
        let about = self.file.metadata()?;
        let there = leads_to(&self.path, &about);
        Ok(About { length: about.len(), names: names(&about), there })
    }

    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        let too_large = || io::Error::from(io::ErrorKind::FileTooLarge);
        let length = self.file.metadata()?.len();
        if length > FILE_MAX {
            return Err(too_large());
        }
        self.file.seek(SeekFrom::Start(0))?;
        let length = usize::try_from(length + 1).unwrap_or(0);
        let mut bytes = Vec::with_capacity(length);
        // It may grow meanwhile.
        (&self.file).take(FILE_MAX + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > FILE_MAX { Err(too_large()) } else { Ok(bytes) }
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn sync_all(&mut self) -> io::Result<()> {
        self.file.sync_all()
    }

    fn sync_folder(&mut self) -> io::Result<()> {
        sync_folder(self.path.parent().unwrap_or(Path::new(".")))
    }

    fn lies_now(&mut self) -> Option<PathBuf> {
        let about = self.file.metadata().ok()?;
        name_of(&self.file).filter(|path| leads_to(path, &about))
    }
}

/// The folder on disk that a session's files are made in.
#[derive(Debug)]
pub struct DiskShelf {
    /// The file of the session's lock, where doubts are noted.
    pub notes: Option<File>,
    /// The names of files that an earlier run could not tell anything of; `None` where nobody knows.
    pub doubted: Option<Vec<String>>,
}

impl Shelf for DiskShelf {
    fn create(&mut self, path: &Path) -> io::Result<Box<dyn Storage>> {
        Ok(Box::new(JournalFile::create(path)?))
    }

    fn begun(&mut self, path: &Path) -> Option<Box<dyn Storage>> {
        let name = path.file_name()?.to_str()?;
        let is_sound = self.doubted.as_ref()?.iter().all(|doubted| doubted != name);
        let file = JournalFile::append(path).ok().filter(|_| is_sound)?;
        Some(Box::new(file))
    }

    fn doubt(&mut self, path: &Path) {
        if let Some(notes) = &mut self.notes {
            note_doubt(notes, path);
        }
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }
}

/// A journal that is made whole before it is written to the disk at once.
#[derive(Clone, Debug, Default)]
pub struct Memory(Arc<Mutex<Vec<u8>>>);

impl Memory {
    /// Returns what was written.
    pub fn bytes(&self) -> Vec<u8> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Shelf for Memory {
    fn create(&mut self, _: &Path) -> io::Result<Box<dyn Storage>> {
        Err(io::ErrorKind::Unsupported.into())
    }

    fn doubt(&mut self, _: &Path) {}

    fn remove(&mut self, _: &Path) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }
}

impl Storage for Memory {
    fn about(&mut self) -> io::Result<About> {
        let length = self.0.lock().unwrap_or_else(PoisonError::into_inner).len();
        Ok(About { length: u64::try_from(length).unwrap_or(u64::MAX), names: 1, there: true })
    }

    fn read_all(&mut self) -> io::Result<Vec<u8>> {
        Ok(self.bytes())
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn sync_data(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn sync_all(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn sync_folder(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Opens a file that must be an ordinary one: no link, no pipe that would wait for ever, no device.
///
/// # Errors
/// Anything but an ordinary file, or what the system says.
pub(in crate::store) fn open_ordinary(
    options: &OpenOptions,
    path: &Path,
) -> Result<(File, Metadata), StoreError> {
    let mut options = options.clone();
    without_following_or_waiting(&mut options);
    let file = options.open(path).map_err(|cause| {
        if path.is_symlink() {
            StoreError::NotAFile { path: path.to_owned() }
        } else {
            StoreError::io("open", path)(cause)
        }
    })?;
    let about = file.metadata().map_err(StoreError::io("open", path))?;
    if !about.is_file() {
        return Err(StoreError::NotAFile { path: path.to_owned() });
    }
    Ok((file, about))
}

/// Makes a new file readable and writable by its owner alone, and never one behind a link.
#[cfg(unix)]
pub(in crate::store) fn for_one_user(options: &mut OpenOptions) {
    use std::os::unix::fs::OpenOptionsExt;
    options.mode(0o600);
    without_following_or_waiting(options);
}

#[cfg(unix)]
fn without_following_or_waiting(options: &mut OpenOptions) {
    use rustix::fs::OFlags;
    use std::os::unix::fs::OpenOptionsExt;
    // The standard library adds close-on-exec itself.
    let flags = (OFlags::NOFOLLOW | OFlags::NONBLOCK).bits();
    options.custom_flags(flags.cast_signed());
}

#[cfg(not(unix))]
pub(in crate::store) fn for_one_user(_options: &mut OpenOptions) {}

#[cfg(not(unix))]
fn without_following_or_waiting(_options: &mut OpenOptions) {}

#[cfg(unix)]
fn names(about: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(about)
}

#[cfg(not(unix))]
fn names(_about: &Metadata) -> u64 {
    1
}

/// Tells whether a path leads to a file; where the system does not say, the next write will.
fn leads_to(path: &Path, file: &Metadata) -> bool {
    match std::fs::symlink_metadata(path) {
        Ok(named) => is_same(&named, file),
        Err(cause) => {
            !matches!(cause.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory)
        }
    }
}

#[cfg(unix)]
fn is_same(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (one.dev(), one.ino()) == (other.dev(), other.ino())
}

#[cfg(not(unix))]
fn is_same(_one: &Metadata, _other: &Metadata) -> bool {
    true
}

/// Asks the system what an open file is called now.
#[cfg(target_os = "linux")]
fn name_of(file: &File) -> Option<PathBuf> {
    use std::os::fd::AsRawFd;
    std::fs::read_link(format!("/proc/self/fd/{}", file.as_raw_fd())).ok()
}

#[cfg(not(target_os = "linux"))]
fn name_of(_file: &File) -> Option<PathBuf> {
    None
}
