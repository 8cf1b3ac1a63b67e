//! A note that lies in the data folder from before the first file of a restore gets its name until
//! the last one has it: where a run died between, the next one says what was done and what was not.

use super::{Kind, Replace};
use crate::domain::plain::plain;
use crate::store::folder::{Folder, Holder, read_text, read_whole, replace_whole, sync_folder};
use crate::store::hash::hex_of_sha256;
use crate::store::words::word;
use crate::store::{StoreError, engines, shown};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The hashes of a backup's small files, by their paths in the data folder.
pub(super) type Hashes = BTreeMap<String, String>;

/// The note's name in the data folder.
const FILE: &str = "restore.unfinished";
/// Most bytes of it: a path of a hundred bytes for each file of a backup, and as much again.
const FILE_MAX: u64 = 64 * 1024 * 1024;
const FORMAT: u32 = 1;
/// Most files that are told by name.
const NAMED_MAX: usize = 6;

/// A file that is to be replaced.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Swap {
    /// Its path in the data folder.
    pub path: String,
    /// The name under which the one here is kept.
    pub aside: String,
    /// The hash of the one in the backup.
    pub new: String,
}

/// What is to be done, as it is noted before it is begun.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Note {
    format: u32,
    backup: String,
    engines: bool,
    profiles: bool,
    settings: bool,
    replaced: Vec<Swap>,
    /// Paths of the files that are new.
    new: Vec<String>,
}

fn path_in(folder: &Folder) -> PathBuf {
    folder.root().join(FILE)
}

impl Note {
    /// Makes the note of a restore from a backup.
    pub fn of(from: &Path, replace: Replace, replaced: Vec<Swap>, new: Vec<String>) -> Note {
        let from = std::path::absolute(from).unwrap_or_else(|_| from.to_owned());
        let backup = from.to_string_lossy().into_owned();
        let Replace { engines, profiles, settings } = replace;
        Note { format: FORMAT, backup, engines, profiles, settings, replaced, new }
    }

    /// Tells whether there is nothing to be done.
    pub fn is_of_nothing(&self) -> bool {
        self.replaced.is_empty() && self.new.is_empty()
    }

    /// Writes the note, in the place of an older one, and waits for the disk.
    pub fn write(&self, folder: &Folder) -> Result<(), StoreError> {
        let text = serde_json::to_string(self)
            .map_err(|error| StoreError::Unkeepable { kind: "note", why: error.to_string() })?;
        replace_whole(&path_in(folder), format!("{text}\n").as_bytes())
    }

    /// Tells whether this restore does all that the noted one was to do: from the same place, no
    /// fewer kinds, and, where it is known what is `there` in the backup, the very same files.
    fn finishes(&self, noted: &Note, there: Option<&Hashes>) -> bool {
        let same = |swap: &Swap| there.is_none_or(|all| all.get(&swap.path) == Some(&swap.new));
        self.backup == noted.backup
            && self.engines >= noted.engines
            && self.profiles >= noted.profiles
            && self.settings >= noted.settings
            && noted.replaced.iter().all(same)
    }

    /// Returns the note of a restore that was cut off and that this one does not finish; nothing where
    /// it cannot be read.
    pub fn other(&self, folder: &Folder, there: Option<&Hashes>) -> Option<Note> {
        bytes(folder).and_then(|bytes| parse(&bytes)).filter(|noted| !self.finishes(noted, there))
    }

    /// Says of it what [`unfinished`] says, and from when on it will no longer be told.
    pub fn gone_over(&self, folder: &Folder, from: &str) -> String {
        let words = plain(&self.words(folder));
        format!("{words}; {from}, that is told no more")
    }

    /// Tells whether nothing of it was done.
    pub fn is_undone(&self, folder: &Folder) -> bool {
        let is_new = |path: &String| folder.root().join(path).symlink_metadata().is_ok();
        !self.replaced.iter().any(|swap| swap.is_done(folder)) && !self.new.iter().any(is_new)
    }

    fn words(&self, folder: &Folder) -> String {
        let (done, not): (Vec<&Swap>, Vec<&Swap>) =
            self.replaced.iter().partition(|swap| swap.is_done(folder));
        let is_missing = |path: &&String| folder.root().join(path).symlink_metadata().is_err();
        let missing = self.new.iter().filter(is_missing).count();
        let to_do = if not.is_empty() && missing == 0 {
            "all of it is in its place; run it once more to clear this"
        } else {
            "to finish it"
        };
        // The command first: what is cut at the end of a short line is told in the list too.
        let mut words = format!("a restore was cut off; {to_do}: {}", self.command());
        for (what, swaps) in [("replaced", &done), ("NOT replaced yet", &not)] {
            if !swaps.is_empty() {
                words += &format!("; {what}: {}", names(folder, swaps));
            }
        }
        match (missing, self.new.len()) {
            (0, _) => {}
            (1, 1) => words += "; 1 new file is missing",
            (missing, all) => words += &format!("; {missing} of {all} new files are missing"),
        }
        if let Some(swap) = done.first() {
            let aside = &swap.aside;
            words += &format!("; what was here is kept beside it, as in {aside}");
        }
        words
    }

    /// The command that was cut off.
    fn command(&self) -> String {
        let kinds =
            [(self.engines, "engines"), (self.profiles, "profiles"), (self.settings, "settings")];
        let kinds: Vec<&str> = kinds.iter().filter(|kind| kind.0).map(|kind| kind.1).collect();
        let replace = match kinds.as_slice() {
            [] => String::new(),
            kinds => format!(" --replace {}", kinds.join(",")),
        };
        format!("cowlside restore {}{replace}", word(&self.backup))
    }
}

impl Swap {
    fn is_done(&self, folder: &Folder) -> bool {
        let most = Kind::of(&self.path).map_or(0, Kind::most);
        read_whole(&folder.root().join(&self.path), most)
            .is_ok_and(|bytes| hex_of_sha256(&bytes, 32) == self.new)
    }

    fn name(&self, folder: &Folder) -> String {
        let path = folder.root().join(&self.path);
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        match Kind::of(&self.path) {
            Some(Kind::Settings) => "the settings".into(),
            Some(Kind::Engine) => {
                let text = read_text(&path, engines::FILE_MAX);
                let engine = text.and_then(|text| engines::parse(&text, &path));
                format!("engine {}", engine.map_or(stem, |engine| engine.name))
            }
            Some(kind @ (Kind::Profile | Kind::Session | Kind::SetAside)) => {
                format!("{} {stem}", kind.word())
            }
            None => self.path.clone(),
        }
    }
}

fn names(folder: &Folder, swaps: &[&Swap]) -> String {
    let mut names: Vec<String> =
        swaps.iter().take(NAMED_MAX).map(|swap| swap.name(folder)).collect();
    if swaps.len() > NAMED_MAX {
        names.push(format!("{} more", swaps.len() - NAMED_MAX));
    }
    names.join(", ")
}

fn parse(bytes: &[u8]) -> Option<Note> {
    serde_json::from_slice::<Note>(bytes).ok().filter(|note| note.format == FORMAT)
}

/// Returns what stands in the note that is there.
pub(super) fn bytes(folder: &Folder) -> Option<Vec<u8>> {
    read_whole(&path_in(folder), FILE_MAX).ok()
}

/// Puts a note back as it was.
pub(super) fn put_back(folder: &Folder, bytes: &[u8]) -> Result<(), StoreError> {
    replace_whole(&path_in(folder), bytes)
}

/// Removes the note, where there is one: everything is done, or nothing.
pub(super) fn remove(folder: &Folder) -> Result<(), StoreError> {
    let path = path_in(folder);
    match std::fs::remove_file(&path) {
        Err(cause) if cause.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        removed => removed.map_err(StoreError::io("remove", &path))?,
    }
    sync_folder(folder.root()).map_err(StoreError::io("sync the folder", folder.root()))
}

/// Says of another restore that was cut off what [`unfinished`] says of it, and that it will no longer
/// be told; nothing where this one finishes it.
pub fn given_up(folder: &Folder, from: &Path, replace: Replace) -> Option<String> {
    let words = unfinished(folder)?;
    let this = Note::of(from, replace, Vec::new(), Vec::new());
    if let Some(noted) = this.other(folder, None) {
        return Some(noted.gone_over(folder, "once this other restore is done"));
    }
    // Of a note that cannot be read nobody knows which restore it was.
    let is_read = bytes(folder).is_some_and(|bytes| parse(&bytes).is_some());
    (!is_read).then_some(words)
}

/// Says of a restore that was cut off what was done, what was not, and how to finish it; nothing
/// where none was, or where it is under way in another terminal.
pub fn unfinished(folder: &Folder) -> Option<String> {
    let path = path_in(folder);
    path.symlink_metadata().ok()?;
    if folder.holder("engines") != Holder::Nobody {
        return None;
    }
    Some(match bytes(folder).and_then(|bytes| parse(&bytes)) {
        Some(note) => plain(&note.words(folder)),
        None => format!(
            "a restore was cut off, and its note {} cannot be read: run the same restore again",
            shown(&path)
        ),
    })
}
