//! A note that lies beside the engines from before the first file of an import or a take gets its name
//! until all is done: where a run died between, the next one says so, and which command finishes it.
//!
//! Each has a note of its own, named by what it does and a hash of where it takes from, so that another
//! one under way meanwhile touches none but its own. It lies among what the engines' lock guards, so that
//! the beginning of a note is cleared away as all else that a killed run leaves on its way. Whether it is
//! there is all that counts: what was taken already is found by its identity, and is passed over when the
//! command is run again.

use super::StoreError;
use super::folder::{Folder, Holder, read_whole, replace_whole, sync_folder};
use super::hash::hex_of_sha256;
use super::shown;
use super::words::word;
use crate::domain::plain::plain;
use serde::{Deserialize, Serialize};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

const ENDING: &str = "unfinished";
const FORMAT: u32 = 1;
/// Most bytes of a note: two hundred bytes for each file of a large shop.
const FILE_MAX: u64 = 64 * 1024 * 1024;

/// What takes files in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Command {
    /// Past services from a table.
    Import,
    /// Engines and sessions from another data folder.
    Take,
}

impl Command {
    const ALL: [Command; 2] = [Command::Import, Command::Take];

    fn word(self) -> &'static str {
        match self {
            Command::Import => "import",
            Command::Take => "take",
        }
    }

    fn one(self) -> &'static str {
        match self {
            Command::Import => "an import",
            Command::Take => "a take",
        }
    }
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    format: u32,
    command: Command,
    from: String,
    /// Paths of the new files in the data folder.
    new: Vec<String>,
}

/// The note of one that is under way.
#[derive(Debug)]
pub struct Note {
    path: PathBuf,
    new: Vec<PathBuf>,
    /// One of the same was cut off before.
    again: bool,
}

impl Note {
    /// Writes the note and waits for the disk. Where nothing is new none is needed.
    ///
    /// # Errors
    /// What the system says; nothing is begun then.
    pub fn begin(
        folder: &Folder,
        (command, from): (Command, &Path),
        new: Vec<PathBuf>,
    ) -> Result<Note, StoreError> {
        let from = absolute(from);
        let path = place(folder, command, &from);
        let again = path.symlink_metadata().is_ok();
        if !new.is_empty() {
            let within = |path: &PathBuf| {
                let path = path.strip_prefix(folder.root()).unwrap_or(path);
                path.to_string_lossy().into_owned()
            };
            let new = new.iter().map(within).collect();
            let written = Written { format: FORMAT, command, from, new };
            let text = serde_json::to_string(&written)
                .map_err(|error| StoreError::Unkeepable { kind: "note", why: error.to_string() })?;
            replace_whole(&path, format!("{text}\n").as_bytes())?;
        }
        Ok(Note { path, new, again })
    }

    /// Removes the note where all is done, or where nothing was.
    ///
    /// # Errors
    /// What the system says.
    pub fn end(self, done: bool) -> Result<(), StoreError> {
        let is_there = |path: &PathBuf| path.symlink_metadata().is_ok();
        if !done && (self.again || self.new.iter().any(is_there)) {
            return Ok(());
        }
        match std::fs::remove_file(&self.path) {
            Err(cause) if cause.kind() == ErrorKind::NotFound => return Ok(()),
            removed => removed.map_err(StoreError::io("remove", &self.path))?,
        }
        let folder = self.path.parent().unwrap_or(Path::new("."));
        sync_folder(folder).map_err(StoreError::io("sync the folder", folder))
    }
}

fn absolute(from: &Path) -> String {
    let from = std::path::absolute(from).unwrap_or_else(|_| from.to_owned());
    from.to_string_lossy().into_owned()
}

fn place(folder: &Folder, command: Command, from: &str) -> PathBuf {
    let hash = hex_of_sha256(from.as_bytes(), 8);
    folder.engines().join(format!("{}-{hash}.{ENDING}", command.word()))
}

/// Says of each import and take that was cut off how to finish it, but for the one that is about to be;
/// nothing while somebody is at work on the folder.
pub fn cut_off(folder: &Folder, finishing: Option<(Command, &Path)>) -> Vec<String> {
    let finished = finishing.map(|(command, from)| place(folder, command, &absolute(from)));
    let Ok(inside) = std::fs::read_dir(folder.engines()) else { return Vec::new() };
    let mut notes: Vec<(Command, PathBuf)> = inside
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let stem = name.strip_suffix(ENDING)?.strip_suffix('.')?;
            let is_its = |command: &Command| {
                stem.strip_prefix(command.word()).is_some_and(|rest| rest.starts_with('-'))
            };
            Some((Command::ALL.into_iter().find(is_its)?, entry.path()))
        })
        .filter(|(_, path)| Some(path) != finished.as_ref())
        .collect();
    if notes.is_empty() || folder.holder("engines") != Holder::Nobody {
        return Vec::new();
    }
    notes.sort_by(|one, other| one.1.cmp(&other.1));
    notes.iter().map(|(command, path)| plain(&words(folder, *command, path))).collect()
}

fn words(folder: &Folder, command: Command, path: &Path) -> String {
    let (one, doing) = (command.one(), command.word());
    let no_more = format!("to hear no more of it, remove {}", shown(path));
    let read = read_whole(path, FILE_MAX).ok();
    let written = read.and_then(|bytes| serde_json::from_slice::<Written>(&bytes).ok());
    let Some(written) = written.filter(|note| note.format == FORMAT && note.command == command)
    else {
        return format!("{one} was cut off, and its note cannot be read: run it again; {no_more}");
    };
    let Written { from, new, .. } = written;
    let is_missing = |path: &&String| folder.root().join(path).symlink_metadata().is_err();
    let missing = new.iter().filter(is_missing).count();
    let state = match (missing, new.len()) {
        (0, _) => "its files are all in their places".to_owned(),
        (1, 1) => "its one new file is missing".to_owned(),
        (missing, all) if missing == all => format!("none of its {all} new files is here"),
        (missing, all) => format!("{missing} of its {all} new files are missing"),
    };
    format!(
        "{one} from {from} was cut off: {state}; to finish it: cowlside {doing} {}; {no_more}",
        word(&from)
    )
}
