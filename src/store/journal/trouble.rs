//! Why a session's lines are not on the disk, or not in the file where they were, in words.

use crate::store::shown;
use crate::store::words::cause_words;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why something is not on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// What is the matter, and where: "disk full on /media/x".
    pub words: String,
}

impl Trouble {
    pub(super) fn new(cause: &io::Error, path: &Path) -> Trouble {
        let folder = path.parent().unwrap_or(path);
        let on = shown(folder);
        let words = match cause.kind() {
            ErrorKind::StorageFull | ErrorKind::WriteZero => format!("disk full on {on}"),
            ErrorKind::QuotaExceeded => format!("your share of the disk is used up on {on}"),
            ErrorKind::FileTooLarge => format!("files may not grow further on {on}"),
            ErrorKind::ReadOnlyFilesystem | ErrorKind::PermissionDenied => {
                format!("nothing may be written on {on}")
            }
            ErrorKind::NotFound => format!("the folder is gone: {on}"),
            _ => format!("disk fault on {on}: {}", cause_words(cause)),
        };
        Trouble { words }
    }
}

impl Trouble {
    /// Says why no file can be made in a folder that somebody named.
    pub(super) fn of_named(cause: &io::Error, path: &Path) -> Trouble {
        match cause.kind() {
            ErrorKind::NotFound if parent(path).is_dir() => {
                Trouble { words: format!("no file can be made in {}", shown(parent(path))) }
            }
            ErrorKind::NotFound | ErrorKind::NotADirectory => {
                let folder = shown(parent(path));
                let words = format!("there is no folder {folder}; name one that is there");
                Trouble { words }
            }
            _ => Trouble::new(cause, path),
        }
    }
}

/// What a try came to that did not succeed.
pub(super) enum Put {
    /// No room: the same file can be gone on with.
    Full(io::Error),
    /// Nothing is known of the file any more, or it is not ours alone.
    Broken(io::Error),
    /// Another program has written to it.
    Foreign,
    /// It is not there any more.
    Lost(Lost),
}

/// A file that does not lie where it did.
pub(super) struct Lost {
    /// It has no name any more: what was in it is gone.
    pub removed: bool,
    /// Where it lies instead, where that is known.
    pub now: Option<PathBuf>,
}

impl Put {
    pub fn trouble(&self, path: &Path) -> Trouble {
        match self {
            Put::Full(cause) | Put::Broken(cause) => Trouble::new(cause, path),
            Put::Foreign => Trouble::new(&io::Error::other(WROTE), path),
            Put::Lost(lost) => lost.trouble(path),
        }
    }

    /// Says why the session does not go on in this file.
    pub fn why(&self, path: &Path) -> String {
        match self {
            Put::Foreign => WROTE.to_owned(),
            Put::Broken(cause) if cause.kind() == ErrorKind::Other => cause_words(cause),
            Put::Full(_) | Put::Broken(_) => self.trouble(path).words,
            Put::Lost(Lost { removed: true, .. }) => "its file was removed".to_owned(),
            Put::Lost(Lost { now: Some(now), .. }) => {
                format!("its file was moved to {}", shown(now))
            }
            Put::Lost(_) => "its file was moved away".to_owned(),
        }
    }
}

const WROTE: &str = "another program has written to the file";

impl Lost {
    pub fn trouble(&self, path: &Path) -> Trouble {
        let gone = format!("the folder is gone: {}", shown(parent(path)));
        let words = match &self.now {
            Some(now) => format!("{gone}; this session lies in {} now", shown(parent(now))),
            None if self.removed => format!("{gone}, and with it all that was kept there"),
            None => gone,
        };
        Trouble { words }
    }
}

/// A new file in which a session goes on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// Where it is.
    pub path: PathBuf,
    /// Why it does not go on in the one before.
    pub why: String,
    /// Whether that is that another program has written to that one.
    pub foreign: bool,
}

/// Returns the folder of a file.
pub(super) fn parent(path: &Path) -> &Path {
    path.parent().unwrap_or(Path::new("."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_is_there_and_takes_no_file_is_not_said_to_be_missing() {
        let here = tempfile::tempdir().unwrap();
        let refused = io::Error::from(ErrorKind::NotFound);
        let told = |path: &Path| Trouble::of_named(&refused, path).words;
        let folder = shown(here.path());
        assert_eq!(told(&here.path().join("a")), format!("no file can be made in {folder}"));
        let missing = told(&here.path().join("none/a"));
        assert_eq!(missing, format!("there is no folder {folder}/none; name one that is there"));
    }
}
