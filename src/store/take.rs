//! Takes engines and sessions over from another data folder, or a single session's file.
//!
//! Everything is copied by its identity and nothing here is ever overwritten: a session that went
//! another way there becomes a version beside the one here. A session is copied byte by byte.

mod profile;

pub use profile::of_session;

use super::StoreError;
use super::backup::{Kind, differ};
use super::batch::Batch;
use super::engines;
use super::folder::Folder;
use super::hash::hex_of_sha256;
use super::journal::{JournalFile, read_bytes};
use super::seen::Came;
use super::sessions::{self, Kin, kin};
use super::unfinished::{Command, Note};
use std::path::{Path, PathBuf};

/// What becomes of one thing that was found there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// It is not here: it is copied.
    New,
    /// It is not here, but its name is: an engine is copied under this name.
    Renamed(String),
    /// A profile of its name is here and differs: the engine goes by this copy.
    OtherProfile {
        /// The name of the copy.
        name: String,
        /// The engine as it is called here.
        engine: String,
    },
    /// It is here.
    Here,
    /// It is here, and the one here goes further.
    HereFurther,
    /// It goes on where the one here ends: it is copied beside it.
    Further,
    /// It is sound, and the one here is damaged though it may say more: it is copied beside it.
    Sound,
    /// It is damaged, and has entries that the one here lacks: it is copied beside it.
    Damaged,
    /// It parts from the one here after so many entries: it is copied as another version.
    Version(usize),
    /// It is here and differs, so the words; the one here is kept.
    Differs(String),
    /// The one of the backup cannot be used, so the words, and the one here can: that is kept.
    Sounder(String),
    /// It is here and differs, so the words: it replaces the one here, which is set aside.
    Replaced {
        /// What differs; empty where there is nothing to tell.
        differ: String,
        /// The name of the one that was here.
        aside: String,
    },
    /// It cannot be read, and is left there.
    LeftOut(String),
}

impl What {
    /// Tells whether something is copied.
    pub fn copies(&self) -> bool {
        match self {
            What::New
            | What::Renamed(_)
            | What::OtherProfile { .. }
            | What::Further
            | What::Sound
            | What::Damaged
            | What::Version(_)
            | What::Replaced { .. } => true,
            What::Here
            | What::HereFurther
            | What::Differs(_)
            | What::Sounder(_)
            | What::LeftOut(_) => false,
        }
    }
}

/// What was found there, in the order in which it is told.
#[derive(Debug, Default)]
pub struct Found {
    /// Kind, name, and what becomes of it.
    pub things: Vec<(&'static str, String, What)>,
    /// What is taken as it is, though it is not whole: in words.
    pub damaged: Vec<String>,
    files: Vec<(PathBuf, Vec<u8>)>,
    came: Vec<Came>,
    from: PathBuf,
}

/// Looks at another data folder or a session's file, and works out what is to be copied.
///
/// # Errors
/// There is no such place, or what the system says.
pub fn look(folder: &Folder, from: &Path) -> Result<Found, StoreError> {
    let about = std::fs::metadata(from).map_err(StoreError::io("look at", from))?;
    let mut found = Found { from: from.to_owned(), ..Found::default() };
    let known = sessions::list(folder)?.sessions;
    if about.is_file() {
        // Named alone, a file that cannot be taken is no small thing beside others.
        sessions::glance(from)?;
        found.session(folder, &known, from)?;
        return Ok(found);
    }
    if !about.is_dir() {
        return Err(StoreError::NotAFile { path: from.to_owned() });
    }
    let other = Folder::at(from);
    found.engines(folder, &other)?;
    let inside = if other.sessions().is_dir() { other.sessions() } else { from.to_owned() };
    for path in engines::files_in(&inside, "jsonl")? {
        found.session(folder, &known, &path)?;
    }
    Ok(found)
}

impl Found {
    /// Copies what is to be copied: all of it, or nothing. A run that dies between leaves a note of it.
    ///
    /// # Errors
    /// What the system says; nothing was copied then.
    pub fn copy(&self, folder: &Folder) -> Result<(), StoreError> {
        folder.prepare()?;
        let into = [folder.engines(), folder.sessions(), folder.profiles()];
        let _lock = folder.lock_to_write(&into)?;
        let mut batch = Batch::default();
        for (path, bytes) in &self.files {
            batch.add(path, bytes)?;
        }
        let new = self.files.iter().map(|(path, _)| path.clone()).collect();
        let note = Note::begin(folder, (Command::Take, &self.from), new)?;
        let done = batch.finish();
        if done.is_ok() {
            self.came.iter().for_each(|one| one.note(folder));
        }
        let tidied = note.end(done.is_ok());
        done.and(tidied)
    }

    fn engines(&mut self, folder: &Folder, other: &Folder) -> Result<(), StoreError> {
        let listing = engines::list(folder)?;
        let there = engines::list(other)?;
        let newer = listing.names_in_newer().into_iter().map(|(name, _)| name.to_lowercase());
        let here = &listing.engines;
        let names = here.iter().map(|engine| engine.name.to_lowercase());
        let mut names: Vec<String> = names.chain(newer).collect();
        for broken in there.broken {
            self.things.push(("engine", String::new(), What::LeftOut(broken.to_string())));
        }
        for engine in there.engines {
            let name = engine.name.clone();
            if let Some(known) = here.iter().find(|known| known.id == engine.id) {
                let (own, its) =
                    (engines::file_of(folder, known)?.1, engines::file_of(folder, &engine)?.1);
                let what = match own == its {
                    true => What::Here,
                    false => What::Differs(differ::words(Kind::Engine, &own, (&its, "there"))),
                };
                self.things.push(("engine", name, what));
                continue;
            }
            let free = free_name(&name, &names);
            names.push(free.to_lowercase());
            let what = if free == name { What::New } else { What::Renamed(free.clone()) };
            let mut engine = engine;
            engine.name = free;
            self.profile(folder, other, &mut engine)?;
            self.files.push(engines::file_of(folder, &engine)?);
            self.things.push(("engine", name, what));
        }
        Ok(())
    }

    fn session(
        &mut self,
        folder: &Folder,
        known: &[sessions::Glance],
        path: &Path,
    ) -> Result<(), StoreError> {
        let glance = match sessions::glance(path) {
            Ok(glance) => glance,
            Err(error) => {
                let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                self.things.push(("session", name, What::LeftOut(error.to_string())));
                return Ok(());
            }
        };
        let bytes = read_bytes(&mut JournalFile::read_only(path)?, path)?;
        let what = what_of(known, &glance, &bytes)?;
        if what.copies() && glance.verdict.is_damage() {
            let file = path.file_name().unwrap_or_default().to_string_lossy();
            self.damaged.push(format!(
                "taken as it is, damaged: session {} ({file}): {}; look for a sound copy",
                glance.name, glance.verdict
            ));
        }
        if what.copies() {
            self.came.extend(Came::of(&glance, &bytes));
            self.files.push((self.free_path(folder, path, &bytes), bytes));
        }
        self.things.push(("session", glance.name, what));
        Ok(())
    }

    /// Returns the file's own name where it is free, else one with its content's hash, and a number behind
    /// it where that is taken, too.
    fn free_path(&self, folder: &Folder, path: &Path, bytes: &[u8]) -> PathBuf {
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        let plain = stem.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        let is_kept = plain && !stem.is_empty() && stem.len() <= 64;
        let own = is_kept.then(|| folder.sessions().join(format!("{stem}.jsonl")));
        let stem = if is_kept { &*stem } else { "taken" };
        let inside = folder.sessions();
        let hashed = with_hash(&inside, stem, bytes);
        let is_taken = |path: &PathBuf| {
            path.symlink_metadata().is_ok() || self.files.iter().any(|(other, _)| other == path)
        };
        let mut names = own.into_iter().chain(hashed);
        names.find(|path| !is_taken(path)).unwrap_or_else(|| path.to_owned())
    }
}

/// Most files of one name and hash: one that was damaged since it came stays, and another comes beside it.
const SAME_MOST: u32 = 999;

/// Lists the names that a session's file may get where its own is taken.
pub(super) fn with_hash<'a>(
    inside: &'a Path,
    stem: &'a str,
    bytes: &[u8],
) -> impl Iterator<Item = PathBuf> + use<'a> {
    let hash = hex_of_sha256(bytes, 4);
    (1..=SAME_MOST).map(move |n| match n {
        1 => inside.join(format!("{stem}-{hash}.jsonl")),
        n => inside.join(format!("{stem}-{hash}-{n}.jsonl")),
    })
}

/// Tells what becomes of a session that was looked at, by its bytes and the files of it here. A sound one
/// is not left there for a damaged one here.
///
/// # Errors
/// One of those here cannot be read.
pub(super) fn what_of(
    known: &[sessions::Glance],
    there: &sessions::Glance,
    bytes: &[u8],
) -> Result<What, StoreError> {
    let mut what = What::New;
    let lost = || sessions::session_of(known, there, bytes);
    let id = if there.id.is_empty() { lost() } else { Some(there.id.clone()) };
    for here in known.iter().filter(|here| Some(&here.id) == id.as_ref()) {
        let own = read_bytes(&mut JournalFile::read_only(&here.path)?, &here.path)?;
        let mends = here.is_broken() && there.verdict.may_append();
        what = match (kin(bytes, &own), what) {
            (_, What::Here) => What::Here,
            (Kin::Same, _) if !mends => What::Here,
            (_, What::HereFurther) => What::HereFurther,
            (Kin::Shorter, _) if !mends => What::HereFurther,
            (Kin::Same | Kin::Shorter, _) | (_, What::Sound) => What::Sound,
            (Kin::Gapped, _) if mends => What::Sound,
            (Kin::Longer | Kin::Gapped, _) if there.is_broken() => What::Damaged,
            (Kin::Longer | Kin::Gapped, _) | (_, What::Further) => What::Further,
            (_, What::Damaged) => What::Damaged,
            (Kin::Forked(common), What::Version(more)) => What::Version(common.max(more)),
            (Kin::Forked(common), _) => What::Version(common),
        };
    }
    Ok(what)
}

/// Returns a name that no engine here has: its own, else with a number behind it.
pub fn free_name(name: &str, taken: &[String]) -> String {
    let numbered = (2..=999).map(|n| format!("{name} {n}"));
    let mut names = std::iter::once(name.to_string()).chain(numbered);
    names.find(|name| !taken.contains(&name.to_lowercase())).unwrap_or_else(|| name.to_string())
}
