//! Where the program's files lie, who may read them, and how a small file is replaced whole.
//!
//! The environment comes in as an argument; nothing here reads it.

use super::StoreError;
use super::journal::storage::open_ordinary;
pub(super) use super::lock::note_doubt;
pub use super::lock::{Holder, Lock};
use super::progress::Progress;
pub use super::replace::replace_whole;
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{DirBuilder, File, OpenOptions};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// The data folder.
#[derive(Clone, Debug)]
pub struct Folder {
    root: PathBuf,
    /// `COWLSIDE_HOME` names it.
    is_named: bool,
    progress: Progress,
}

/// The kinds of platform that keep a user's data in different places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Platform {
    /// Linux and its relatives.
    Unix,
    /// macOS.
    Mac,
    /// Windows.
    Windows,
}

impl Platform {
    /// Returns the platform that the program was built for.
    pub fn here() -> Platform {
        if cfg!(target_os = "macos") {
            Platform::Mac
        } else if cfg!(windows) {
            Platform::Windows
        } else {
            Platform::Unix
        }
    }
}

impl Folder {
    /// Takes a path as the data folder.
    pub fn at(root: impl Into<PathBuf>) -> Folder {
        Folder { root: root.into(), is_named: false, progress: Progress::default() }
    }

    /// Returns it with somebody who is told how far long work in it is.
    pub fn watched(self, progress: Progress) -> Folder {
        Folder { progress, ..self }
    }

    /// Returns who is told how far long work in it is.
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Finds the data folder: the one named, else `COWLSIDE_HOME`, else the platform's own place.
    /// `variable` looks up an environment variable.
    ///
    /// # Errors
    /// Nothing tells where a user's data lies.
    pub fn find(
        named: Option<&Path>,
        platform: Platform,
        variable: &dyn Fn(&str) -> Option<OsString>,
    ) -> Result<Folder, StoreError> {
        let value = |name| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
        let own = || match platform {
            Platform::Unix => value("XDG_DATA_HOME")
                .filter(|path| path.is_absolute())
                .or_else(|| Some(value("HOME")?.join(".local/share"))),
            Platform::Mac => Some(value("HOME")?.join("Library/Application Support")),
            Platform::Windows => value("APPDATA"),
        };
        let by_variable = || Some(Folder { is_named: true, ..Folder::at(value("COWLSIDE_HOME")?) });
        named
            .map(Folder::at)
            .or_else(by_variable)
            .or_else(|| Some(Folder::at(own()?.join("cowlside"))))
            .ok_or(StoreError::NoDataFolder)
    }

    /// Says that the folder that `COWLSIDE_HOME` names is not there: that it is made at a first start, or
    /// that its disk is missing, nobody else knows.
    pub fn absent(&self) -> Option<StoreError> {
        let is_absent = self.is_named && !self.root.exists();
        is_absent.then(|| StoreError::Absent { path: self.root.clone() })
    }

    /// Makes the folder and those inside it, each for its owner alone.
    ///
    /// # Errors
    /// What the system says.
    pub fn prepare(&self) -> Result<(), StoreError> {
        let inside = [
            self.engines(),
            self.sessions(),
            self.profiles(),
            self.locks(),
            self.cache(),
            self.demo(),
        ];
        make_folders(&inside)
    }

    /// Returns the data folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Returns the folder of engines.
    pub fn engines(&self) -> PathBuf {
        self.root.join("engines")
    }

    /// Returns the folder of sessions.
    pub fn sessions(&self) -> PathBuf {
        self.root.join("sessions")
    }

    /// Returns the folder of the user's own profiles.
    pub fn profiles(&self) -> PathBuf {
        self.root.join("profiles")
    }

    /// Returns the folder of locks.
    pub fn locks(&self) -> PathBuf {
        self.root.join("locks")
    }

    /// Returns the folder of what can be worked out again at any time.
    pub fn cache(&self) -> PathBuf {
        self.root.join("cache")
    }

    /// Returns the folder of the demonstration.
    pub fn demo(&self) -> PathBuf {
        self.root.join("demo")
    }

    /// Returns the path of the settings.
    pub fn settings(&self) -> PathBuf {
        self.root.join("settings.json")
    }

    /// Looks whether new files may be made in a folder, as far as the system tells it beforehand.
    ///
    /// # Errors
    /// They may not.
    pub fn may_write(&self, inside: &Path) -> Result<(), StoreError> {
        #[cfg(unix)]
        {
            use rustix::fs::{Access, access};
            let may = access(inside, Access::WRITE_OK | Access::EXEC_OK).map_err(io::Error::from);
            may.map_err(StoreError::io("write to", inside))
        }
        #[cfg(not(unix))]
        {
            let _ = inside;
            Ok(())
        }
    }
}

/// Makes the system's limit on the size of files an error that can be told; else it ends the program.
pub fn survive_file_limit() {
    #[cfg(unix)]
    {
        static ONCE: std::sync::Once = std::sync::Once::new();
        // Any handler will do: with one in place the write fails instead.
        ONCE.call_once(|| {
            let limit = signal_hook::consts::SIGXFSZ;
            let _ = signal_hook::flag::register(limit, std::sync::Arc::default());
        });
    }
}

/// Makes a folder and those above it that are missing, each for its owner alone and its name on the
/// disk.
///
/// # Errors
/// What the system says.
pub fn make_folder(path: &Path) -> Result<(), StoreError> {
    make_folders(&[path])
}

/// Makes several, with one wait for the disk for all that lie in the same folder.
fn make_folders(paths: &[impl AsRef<Path>]) -> Result<(), StoreError> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    let mut grown = BTreeSet::new();
    for path in paths.iter().map(AsRef::as_ref) {
        let missing: Vec<&Path> = path.ancestors().take_while(|above| !above.is_dir()).collect();
        if !missing.is_empty() {
            builder.create(path).map_err(StoreError::io("make the folder", path))?;
            grown.extend(missing.into_iter().filter_map(Path::parent));
        }
    }
    for folder in grown {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        sync_folder(folder).map_err(StoreError::io("sync the folder", folder))?;
    }
    Ok(())
}

/// Waits until the names in a folder are on the disk (a folder cannot be synced on Windows).
///
/// # Errors
/// What the system says.
pub fn sync_folder(path: &Path) -> io::Result<()> {
    if cfg!(windows) { Ok(()) } else { File::open(path)?.sync_all() }
}

/// Reads a file whole, within a limit: its length is looked at first, and what still comes from one
/// that grows meanwhile is taken up to the limit only.
///
/// # Errors
/// No ordinary file, over `most` bytes, or what the system says.
pub fn read_whole(path: &Path, most: u64) -> Result<Vec<u8>, StoreError> {
    let (file, about) = open_ordinary(OpenOptions::new().read(true), path)?;
    let too_large = || StoreError::TooLarge { path: path.to_owned(), most };
    if about.len() > most {
        return Err(too_large());
    }
    // Read at one go: without room for it a small file takes a dozen reads.
    let mut bytes = Vec::with_capacity(usize::try_from(about.len() + 1).unwrap_or(0));
    file.take(most + 1).read_to_end(&mut bytes).map_err(StoreError::io("read", path))?;
    if bytes.len() as u64 > most { Err(too_large()) } else { Ok(bytes) }
}

/// Reads a small file of text.
///
/// # Errors
/// As [`read_whole`], or it is not UTF-8.
pub fn read_text(path: &Path, most: u64) -> Result<String, StoreError> {
    String::from_utf8(read_whole(path, most)?).map_err(|error| {
        let before = error.as_bytes().get(..error.utf8_error().valid_up_to()).unwrap_or_default();
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        let why = format!("line {line} holds bytes that are no UTF-8 text");
        StoreError::DamagedFile { path: path.to_owned(), why }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(
        named: Option<&str>,
        platform: Platform,
        variables: &[(&str, &str)],
    ) -> Option<PathBuf> {
        let look_up = |name: &str| {
            let found = variables.iter().find(|(known, _)| *known == name);
            found.map(|(_, value)| OsString::from(value))
        };
        let folder = Folder::find(named.map(Path::new), platform, &look_up).ok()?;
        Some(folder.root)
    }

    #[test]
    fn the_data_folder_is_the_named_one_then_the_variable_then_the_platforms_own() {
        use Platform::{Mac, Unix, Windows};
        let home = ("HOME", "/h");
        for (named, platform, variables, expected) in [
            (Some("/n"), Unix, vec![("COWLSIDE_HOME", "/c"), home], Some("/n")),
            (None, Unix, vec![("COWLSIDE_HOME", "/c"), home], Some("/c")),
            (None, Unix, vec![("COWLSIDE_HOME", ""), home], Some("/h/.local/share/cowlside")),
            (None, Unix, vec![("XDG_DATA_HOME", "/x"), home], Some("/x/cowlside")),
            (None, Unix, vec![("XDG_DATA_HOME", "x"), home], Some("/h/.local/share/cowlside")),
            (None, Unix, vec![], None),
            (None, Mac, vec![home], Some("/h/Library/Application Support/cowlside")),
            (None, Windows, vec![("APPDATA", "/a")], Some("/a/cowlside")),
            (None, Windows, vec![home], None),
        ] {
            assert_eq!(found(named, platform, &variables), expected.map(PathBuf::from));
        }
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("inside/settings.json");
        replace_whole(&path, b"one").unwrap();
        replace_whole(&path, b"two").unwrap();
        assert_eq!(read_text(&path, 3).unwrap(), "two");
        assert!(matches!(read_text(&path, 2), Err(StoreError::TooLarge { .. })));
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }
}
