//! Everything on disk: sessions, engines, settings, and the folder that they lie in.
//!
//! What the kept things mean is the domain's business. Every error says what, where and why in one
//! line, and [`StoreError::hint`] says what to do.

pub mod backup;
pub mod batch;
pub mod codec;
pub mod engines;
pub mod folder;
pub mod hash;
mod index;
pub mod journal;
pub mod last_list;
mod lock;
pub mod nexts;
mod pick;
pub mod profile_error;
mod profile_facts;
mod profile_fields;
pub mod profile_file;
mod profile_json;
mod profile_parts;
pub mod profile_schema;
mod profile_text;
pub mod profile_writer;
pub mod profiles;
pub mod progress;
mod replace;
pub mod seen;
pub mod sessions;
pub mod settings;
pub mod still_open;
pub mod table;
pub mod take;
pub mod unfinished;
pub mod verify;
pub mod words;

use crate::domain::entry::Hours;
use crate::domain::plain::{plain, quoted};
use journal::Verdict;
use std::io;
use std::path::{Path, PathBuf};

/// Why something could not be read or kept.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The system refused.
    #[error("cannot {doing} {}: {}", shown(path), words::cause_words(cause))]
    Io {
        /// What was tried.
        doing: &'static str,
        /// On what.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// Nothing tells where the data folder lies.
    #[error("no folder for the program's data is known")]
    NoDataFolder,
    /// The data folder that the environment names is not there.
    #[error("there is no folder {}, which COWLSIDE_HOME names", shown(path))]
    Absent {
        /// Where.
        path: PathBuf,
    },
    /// A link, folder, pipe or device.
    #[error("{} is no ordinary file (links are not followed)", shown(path))]
    NotAFile {
        /// Where.
        path: PathBuf,
    },
    /// Over the limit.
    #[error("{} is over {}, the most that is read of such a file", shown(path), size(*most))]
    TooLarge {
        /// Where.
        path: PathBuf,
        /// The limit in bytes.
        most: u64,
    },
    /// A small file that cannot be understood; it is left as it is.
    #[error("{} is damaged: {}", shown(path), plain(why))]
    DamagedFile {
        /// Where.
        path: PathBuf,
        /// Why.
        why: String,
    },
    /// The file of an engine under another name, beside that engine's own.
    #[error(
        "{} is a copy of the file of {}, as a program leaves it that copies folders; {}",
        shown(path),
        plain(engine),
        if *more { COPY_SAYS_MORE } else { COPY_IS_SPARE }
    )]
    EngineCopy {
        /// Where.
        path: PathBuf,
        /// What the engine is called in it.
        engine: String,
        /// It says something that the engine's own file does not.
        more: bool,
    },
    /// A small file of a format that only a newer program knows; it is left as it is.
    #[error("{} was written by a newer version of the program (format {format})", shown(path))]
    Newer {
        /// Where.
        path: PathBuf,
        /// Its format.
        format: u64,
    },
    /// A backup in which something is not as it must be; nothing was taken from it.
    #[error("{}: {}", shown(path), plain(why))]
    BadBackup {
        /// Where.
        path: PathBuf,
        /// The line, what was found, what must stand there.
        why: String,
        /// Whether a newer program wrote it.
        newer: bool,
    },
    /// A backup is to lie in the folder that it keeps.
    #[error("{} lies in the data folder that is to be kept", shown(path))]
    InsideData {
        /// Where.
        path: PathBuf,
    },
    /// An empty data folder.
    #[error("{} holds nothing to keep", shown(path))]
    NothingToKeep {
        /// The data folder.
        path: PathBuf,
    },
    /// A file that was written to while it was copied.
    #[error("{} was changed while it was copied", shown(path))]
    ChangedMeanwhile {
        /// Where.
        path: PathBuf,
    },
    /// Something failed half-way; what was here is in other files.
    #[error("{error}; what was here is kept as {}", words::paths(kept))]
    Kept {
        /// What failed.
        error: Box<StoreError>,
        /// The files.
        kept: Vec<PathBuf>,
    },
    /// Another process holds the lock.
    #[error("open in another terminal{}", process.map_or(String::new(), |id| format!(" (process {id})")))]
    InUse {
        /// The other process, where known.
        process: Option<u32>,
    },
    /// A session that can be read but not added to.
    #[error("{} {}: {verdict}", shown(path), if verdict.hides_all() { "cannot be read" } else { "can only be read" })]
    ReadOnly {
        /// Where.
        path: PathBuf,
        /// Why.
        verdict: Verdict,
    },
    /// A session that has ended.
    #[error("{} has ended; only remarks can be added", shown(path))]
    Sealed {
        /// Where.
        path: PathBuf,
    },
    /// Entries or bytes at the limit.
    #[error("{} is full", shown(path))]
    Full {
        /// Where.
        path: PathBuf,
    },
    /// An entry that would not read back.
    #[error("this {kind} cannot be kept: {}", plain(why))]
    Unkeepable {
        /// Its kind.
        kind: &'static str,
        /// Why.
        why: String,
    },
    /// A text that is no identity where one must be.
    #[error("\"{}\" is no identity", quoted(text))]
    NoIdentity {
        /// What stood there.
        text: String,
    },
    /// Nothing is called that.
    #[error("no {what} is called \"{}\"", quoted(text))]
    NoSuch {
        /// Engine or session.
        what: &'static str,
        /// What was asked for.
        text: String,
        /// What there is, up to a handful.
        known: Vec<String>,
    },
    /// A session's file of that name cannot be opened.
    #[error("{0}")]
    Unopened(Box<sessions::Unopened>),
    /// Several are called that, or begin so.
    #[error("\"{}\" may be any of these {what}s: {}", quoted(text), plain(&candidates.join(", ")))]
    Ambiguous {
        /// Engine or session.
        what: &'static str,
        /// What was asked for.
        text: String,
        /// What it may be.
        candidates: Vec<String>,
    },
    /// An engine of this name is in a file of a newer program.
    #[error(
        "an engine is called \"{}\" already, in a file that a newer version of the program wrote: {}",
        quoted(name),
        shown(path)
    )]
    TakenByNewer {
        /// The name.
        name: String,
        /// Its file.
        path: PathBuf,
    },
    /// Names differ in more than capital letters.
    #[error("there is an engine called \"{}\" already", quoted(name))]
    NameTaken {
        /// The name as it is there.
        name: String,
    },
    /// A name that cannot be one.
    #[error("the name \"{}\" must {must}", quoted(name))]
    BadName {
        /// What stood there.
        name: String,
        /// What must stand there.
        must: &'static str,
    },
    /// A serial number that cannot be one.
    #[error("the serial number \"{}\" must {must}", quoted(serial))]
    BadSerial {
        /// What stood there.
        serial: String,
        /// What must stand there.
        must: &'static str,
    },
    /// A counter does not run backwards.
    #[error("{told} h are fewer than the {last} h told before")]
    FewerHours {
        /// What was told.
        told: Hours,
        /// The last figure.
        last: Hours,
    },
    /// Entries are not known to be on the disk.
    #[error("NOT SAVED: {}", plain(why))]
    NotSaved {
        /// What is the matter, and where.
        why: String,
    },
}

/// What is said of a copy of an engine's file.
const COPY_SAYS_MORE: &str = "it says something that the engine's own file does not";
const COPY_IS_SPARE: &str =
    "it says no more than the engine's own file: nothing need be done, it may be moved away";
/// What to do about a copy of an engine's file that says something else.
const COPY_HINT: &str =
    "look whether it has anything that the engine's own file lacks, then move it out of the folder";

/// Says what to do about a file that is too large.
fn too_large(path: &Path) -> &'static str {
    if path.extension().is_some_and(|found| found == "json") {
        "look whether it is the file that is meant; it is left as it is"
    } else {
        "look whether it is the file that is meant; split a longer table"
    }
}

impl StoreError {
    /// Makes the error of something tried on a path.
    pub fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> StoreError {
        move |cause| StoreError::Io { doing, path: path.to_owned(), cause }
    }

    /// Returns the file that it is about, where it is about one.
    pub fn path(&self) -> Option<&Path> {
        match self {
            StoreError::Io { path, .. }
            | StoreError::NotAFile { path }
            | StoreError::TooLarge { path, .. }
            | StoreError::DamagedFile { path, .. }
            | StoreError::EngineCopy { path, .. }
            | StoreError::Newer { path, .. }
            | StoreError::TakenByNewer { path, .. }
            | StoreError::BadBackup { path, .. }
            | StoreError::InsideData { path }
            | StoreError::Absent { path }
            | StoreError::NothingToKeep { path }
            | StoreError::ChangedMeanwhile { path }
            | StoreError::ReadOnly { path, .. }
            | StoreError::Sealed { path }
            | StoreError::Full { path } => Some(path),
            StoreError::Kept { error, .. } => error.path(),
            StoreError::Unopened(one) => Some(&one.path),
            StoreError::NoDataFolder
            | StoreError::NotSaved { .. }
            | StoreError::InUse { .. }
            | StoreError::Unkeepable { .. }
            | StoreError::NoIdentity { .. }
            | StoreError::NoSuch { .. }
            | StoreError::Ambiguous { .. }
            | StoreError::NameTaken { .. }
            | StoreError::BadName { .. }
            | StoreError::BadSerial { .. }
            | StoreError::FewerHours { .. } => None,
        }
    }

    /// Says what to do.
    pub fn hint(&self) -> String {
        match self {
            // What the data folder is said to be is a file or a device.
            StoreError::Io { doing: "list", path, cause }
                if cause.kind() == io::ErrorKind::NotADirectory
                    && path.parent().is_some_and(|root| root.exists() && !root.is_dir()) =>
            {
                "set COWLSIDE_HOME to a folder"
            }
            StoreError::Io { doing, cause, .. } => words::hint(doing, cause),
            StoreError::NoDataFolder => "set COWLSIDE_HOME to a folder",
            StoreError::Absent { .. } => {
                "look whether its disk is there and the name is right; nothing was looked at"
            }
            StoreError::NotAFile { .. } => "name the file itself",
            StoreError::TooLarge { path, .. } => too_large(path),
            StoreError::EngineCopy { .. } => COPY_HINT,
            StoreError::DamagedFile { .. } => "mend the file or move it away; it is left as it is",
            StoreError::Newer { .. } => {
                "use that newer version, or move the file away; it is left as it is"
            }
            StoreError::BadBackup { newer: true, .. } => "take the newer program for it",
            StoreError::BadBackup { .. } => {
                "nothing was changed here; take another copy of the file"
            }
            StoreError::InsideData { .. } => "name a place outside of it, best on another disk",
            StoreError::NothingToKeep { .. } => "set COWLSIDE_HOME to the folder that is meant",
            StoreError::ChangedMeanwhile { .. } => "do it again; nothing was written",
            StoreError::Kept { error, .. } => {
                let first = match error.as_ref() {
                    StoreError::Io { .. } => error.hint(),
                    _ => "do it again".to_owned(),
                };
                return format!("{first}; what is kept can be copied back");
            }
            StoreError::InUse { .. } => "go on in that terminal, or end the program there",
            StoreError::Unopened(one) => return one.to_do.clone(),
            StoreError::ReadOnly { verdict, .. } => verdict.hint(),
            StoreError::Sealed { .. } => "start a new session that names this one",
            StoreError::Full { .. } => "start a new session",
            StoreError::Unkeepable { .. } => "make the text shorter",
            StoreError::NoIdentity { .. } => "start a new session",
            StoreError::NoSuch { known, what: "engine", .. } if known.is_empty() => {
                "there is none yet: cowlside engine add NAME --profile P --hours H"
            }
            StoreError::NoSuch { known, what: "session", .. } if known.is_empty() => {
                "there is none yet: cowlside session ENGINE begins one"
            }
            StoreError::NoSuch { known, .. } if known.is_empty() => "there is none yet",
            StoreError::NoSuch { known, .. } => {
                return plain(&format!("there are: {}", known.join(", ")));
            }
            StoreError::Ambiguous { candidates, .. }
                if candidates.iter().all(|one| one.contains('@')) =>
            {
                "say which version, as in NAME@A"
            }
            StoreError::Ambiguous { .. } => "give more of the name, or the id",
            StoreError::TakenByNewer { .. } => {
                "use that newer version for it, or choose another name; nothing was changed"
            }
            StoreError::NameTaken { .. } | StoreError::BadName { .. } => "choose another name",
            StoreError::BadSerial { .. } => "type it as it stands on the plate",
            StoreError::FewerHours { .. } => {
                "read the counter again; where it was replaced, say so"
            }
            StoreError::NotSaved { .. } => {
                "make room or mend the disk, or set COWLSIDE_HOME to another folder"
            }
        }
        .to_owned()
    }
}

/// Writes a limit as a person reads it.
fn size(bytes: u64) -> String {
    const KIB: u64 = 1024;
    const MIB: u64 = 1024 * KIB;
    match bytes {
        _ if bytes >= MIB && bytes.is_multiple_of(MIB) => format!("{} MiB", bytes / MIB),
        _ if bytes >= KIB && bytes.is_multiple_of(KIB) => format!("{} KiB", bytes / KIB),
        _ => format!("{bytes} bytes"),
    }
}

/// Returns a path as text that is safe to show.
pub fn shown(path: &Path) -> String {
    plain(&path.to_string_lossy())
}
