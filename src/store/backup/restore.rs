//! Puts the files of a backup into a data folder: all of them or none, and nothing is lost.
//!
//! The whole backup is read and checked before anything is written, and read again while it is
//! written. A file that differs is kept as it is here unless it was said that it is to be replaced, or
//! the one here is damaged; then it is set aside under a name that says so. What cannot be used never
//! takes the place of what can.

use super::note::{self, Hashes, Note, Swap};
use super::read::{Item, Whole, read};
use super::{Kind, differ, set_aside, sound};
use crate::store::StoreError;
use crate::store::batch::Batch;
use crate::store::engines::{self, Engine};
use crate::store::folder::{Folder, Lock, read_whole};
use crate::store::hash::hex_of_sha256;
use crate::store::replace::sweep;
use crate::store::seen::Came;
use crate::store::sessions::{self, Glance};
use crate::store::take::{What, free_name, what_of, with_hash};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The kinds of files that are replaced where they differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Replace {
    /// Engines.
    pub engines: bool,
    /// The user's own profiles.
    pub profiles: bool,
    /// The settings.
    pub settings: bool,
}

/// A file of the backup, and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thing {
    /// Its kind.
    pub kind: Kind,
    /// What it is called.
    pub name: String,
    /// What becomes of it.
    pub what: What,
    /// What must be told of it though it is copied: it cannot be used, or takes another's place.
    pub told: Vec<String>,
}

/// What is to be done for a file of the backup.
enum Act {
    /// Nothing.
    Nothing,
    /// A new file.
    Add(PathBuf),
    /// An engine under another name.
    Rename(Box<Engine>),
    /// The file here is set aside, and this one put in its place.
    Replace(PathBuf, PathBuf),
}

/// What is to be done with a backup that was read and found whole.
pub struct Plan {
    /// What the backup says of itself.
    pub whole: Whole,
    /// What is in it, in its order.
    pub things: Vec<Thing>,
    acts: Vec<Act>,
    there: Hashes,
    came: Vec<Came>,
    from: PathBuf,
    folder: Folder,
    replace: Replace,
    _locks: Vec<Lock>,
}

impl Plan {
    /// Reads the whole backup and works out what is to be done. Where it `is_dry`, nothing is
    /// written, and the engines are not kept from changing meanwhile.
    ///
    /// # Errors
    /// The backup is not whole, or the data folder cannot be read.
    pub fn make(
        folder: &Folder,
        from: &Path,
        replace: Replace,
        is_dry: bool,
    ) -> Result<Plan, StoreError> {
        // What is not whole is told before anything is made.
        let checked = read(from, (folder.progress(), "checking files"), &mut |_| Ok(()))?;
        let mut locks = Vec::new();
        if !is_dry {
            folder.prepare()?;
            let into = [folder.engines(), folder.profiles(), folder.sessions()];
            locks.push(folder.lock_to_write(&into)?);
            let settings = folder.lock("settings")?;
            // The settings and the note of a restore lie in the folder itself.
            sweep(folder.root(), &settings);
            locks.push(settings);
        }
        let mut look = Look::at(folder, replace)?;
        let whole =
            read(from, (folder.progress(), "comparing files"), &mut |item| look.take_in(item))?;
        if whole != checked {
            return Err(StoreError::ChangedMeanwhile { path: from.to_owned() });
        }
        let Look { things, acts, there, came, .. } = look;
        let (from, folder) = (from.to_owned(), folder.clone());
        Ok(Plan { whole, things, acts, there, came, from, folder, replace, _locks: locks })
    }

    /// Says of a restore that was cut off that this one does not finish it, though it is from the same
    /// place: another backup is there now. Nothing else is known before the backup is read.
    pub fn given_up(&self) -> Option<String> {
        let this = Note::of(&self.from, self.replace, Vec::new(), Vec::new());
        let noted = this.other(&self.folder, Some(&self.there))?;
        let now = "another backup lies at its place now: once this one is restored";
        Some(noted.gone_over(&self.folder, now))
    }

    /// Does it: all of it, or nothing. A run that dies between leaves a note of it. Returns what failed
    /// when all was done and only the note was to be removed.
    ///
    /// # Errors
    /// What the system says, or the backup was changed since; everything is as it was then, or
    /// [`StoreError::Kept`] names what was not put back.
    pub fn carry_out(self) -> Result<Option<StoreError>, StoreError> {
        let mut batch = Batch::default();
        let mut acts = self.acts.into_iter();
        let (mut swaps, mut new) = (Vec::new(), Vec::new());
        let name =
            |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let told = (self.folder.progress(), "copying files");
        let again = read(&self.from, told, &mut |item| match acts.next() {
            None | Some(Act::Nothing) => Ok(()),
            Some(Act::Add(path)) => {
                let within = path.strip_prefix(self.folder.root()).unwrap_or(&path);
                new.push(within.to_string_lossy().into_owned());
                batch.write_now(&path, &item.bytes)
            }
            Some(Act::Rename(engine)) => {
                let (path, bytes) = engines::file_of(&self.folder, &engine)?;
                new.push(item.path);
                batch.write_now(&path, &bytes)
            }
            Some(Act::Replace(path, aside)) => {
                swaps.push(Swap { path: item.path, aside: name(&aside), new: item.sha256 });
                batch.replace(&path, item.bytes, &aside)
            }
        })?;
        if again != self.whole {
            return Err(StoreError::ChangedMeanwhile { path: self.from });
        }
        let note = Note::of(&self.from, self.replace, swaps, new);
        let is_other = note.other(&self.folder, None).is_some();
        let earlier = note::bytes(&self.folder);
        // What did nothing leaves the note of an earlier restore as it was.
        let as_before = || match &earlier {
            Some(bytes) => note::put_back(&self.folder, bytes),
            None => note::remove(&self.folder),
        };
        if note.is_of_nothing() {
            return Ok(if is_other { None } else { note::remove(&self.folder).err() });
        }
        if let Err(error) = note.write(&self.folder) {
            // It may be in place, and only be unsure to stay there.
            let _ = as_before();
            return Err(error);
        }
        match batch.finish() {
            Ok(()) => {
                self.came.iter().for_each(|one| one.note(&self.folder));
                Ok(note::remove(&self.folder).err())
            }
            Err(error) => {
                if note.is_undone(&self.folder) {
                    // Where even this fails, the error that is told is the first one.
                    let _ = as_before();
                }
                Err(error)
            }
        }
    }
}

/// What is here, and what was decided so far.
struct Look<'a> {
    folder: &'a Folder,
    replace: Replace,
    sessions: Vec<Glance>,
    names: Vec<String>,
    /// Names that new files get, and those under which what is replaced is set aside.
    taken: BTreeSet<PathBuf>,
    things: Vec<Thing>,
    acts: Vec<Act>,
    there: Hashes,
    came: Vec<Came>,
}

impl<'a> Look<'a> {
    fn at(folder: &'a Folder, replace: Replace) -> Result<Look<'a>, StoreError> {
        let engines = engines::list(folder)?.engines;
        Ok(Look {
            folder,
            replace,
            sessions: sessions::list(folder)?.sessions,
            names: engines.iter().map(|engine| engine.name.to_lowercase()).collect(),
            taken: BTreeSet::new(),
            things: Vec::new(),
            acts: Vec::new(),
            there: Hashes::new(),
            came: Vec::new(),
        })
    }

    fn take_in(&mut self, item: Item) -> Result<(), StoreError> {
        let path = self.folder.root().join(&item.path);
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let (name, what, act) = match item.kind {
            Kind::Engine => self.engine(&item, &path, stem)?,
            Kind::Session => self.session(&item, &path, stem)?,
            Kind::Profile => {
                let (what, act) = self.kept_or(&item, &path, self.replace.profiles)?;
                (stem, what, act)
            }
            Kind::Settings => {
                let (what, act) = self.kept_or(&item, &path, self.replace.settings)?;
                (String::new(), what, act)
            }
            Kind::SetAside => {
                let (what, act) = self.set_aside(&item, &path)?;
                (item.path.clone(), what, act)
            }
        };
        let kind = item.kind;
        let mut told = Vec::new();
        if what.copies() {
            let as_it_is =
                |why: String| format!("copied as it is: {}{}: {why}", kind.word(), space(&name));
            told.extend(sound::fault(kind, &item.bytes, &path).map(as_it_is));
            told.extend(sound::hides_built_in(&item, &name));
        }
        if kind != Kind::Session {
            self.there.insert(item.path, item.sha256);
        }
        if let Act::Add(path) | Act::Replace(_, path) = &act {
            self.taken.insert(path.clone());
        }
        self.things.push(Thing { kind, name, what, told });
        self.acts.push(act);
        Ok(())
    }

    fn engine(
        &mut self,
        item: &Item,
        path: &Path,
        stem: String,
    ) -> Result<(String, What, Act), StoreError> {
        let read = |bytes: &[u8]| engines::parse(&String::from_utf8_lossy(bytes), path).ok();
        let there = read(&item.bytes);
        let name = there.as_ref().map_or(stem, |engine| engine.name.clone());
        let (mut what, mut act) = self.kept_or(item, path, self.replace.engines)?;
        if matches!(what, What::Replaced { .. }) && !self.names.contains(&name.to_lowercase()) {
            self.names.push(name.to_lowercase());
        } else if matches!(what, What::Replaced { .. }) && !self.replace.engines {
            // The damaged one was made anew under its name since: there would be two of it.
            let differ =
                format!("the one here cannot be read, and another engine is called {name}");
            (what, act) = (What::Differs(differ), Act::Nothing);
        }
        if what == What::New {
            let free = free_name(&name, &self.names);
            self.names.push(free.to_lowercase());
            if let Some(mut engine) = there.filter(|_| free != name) {
                what = What::Renamed(free.clone());
                engine.name = free;
                act = Act::Rename(Box::new(engine));
            }
        }
        Ok((name, what, act))
    }

    /// One that was set aside there is kept here, too: under the next number where its own is taken.
    fn set_aside(&self, item: &Item, path: &Path) -> Result<(What, Act), StoreError> {
        let to_number = set_aside(&item.path).map_or(item.path.as_str(), |(_, to)| to);
        let next = (1..=999).map(|n| self.folder.root().join(format!("{to_number}{n}")));
        for free in std::iter::once(path.to_owned()).chain(next) {
            if free.symlink_metadata().is_err() && !self.taken.contains(&free) {
                let name = free.file_name().unwrap_or_default().to_string_lossy().into_owned();
                let what = if free == path { What::New } else { What::Renamed(name) };
                return Ok((what, Act::Add(free)));
            }
            if is_same(item, &free) {
                return Ok((What::Here, Act::Nothing));
            }
        }
        Err(StoreError::io("make", path)(std::io::ErrorKind::AlreadyExists.into()))
    }

    fn session(
        &mut self,
        item: &Item,
        path: &Path,
        stem: String,
    ) -> Result<(String, What, Act), StoreError> {
        let glance = sessions::glance_at(path, &item.bytes).ok();
        let name = glance.as_ref().map_or(&stem, |one| &one.name).clone();
        let what = match &glance {
            Some(glance) => what_of(&self.sessions, glance, &item.bytes)?,
            // What is no session is known by what stands in it only.
            None => What::New,
        };
        if !what.copies() {
            return Ok((name, what, Act::Nothing));
        }
        self.came.extend(glance.as_ref().and_then(|glance| Came::of(glance, &item.bytes)));
        let inside = self.folder.sessions();
        let others = with_hash(&inside, &stem, &item.bytes);
        for free in std::iter::once(path.to_owned()).chain(others) {
            let is_there = free.symlink_metadata().is_ok() || self.taken.contains(&free);
            if !is_there {
                let file = free.file_stem().unwrap_or_default().to_string_lossy().into_owned();
                let renamed = what == What::New && free != path;
                let what = if renamed { What::Renamed(file) } else { what };
                return Ok((name, what, Act::Add(free)));
            }
            if is_same(item, &free) {
                return Ok((name, What::Here, Act::Nothing));
            }
        }
        Err(StoreError::io("make", path)(std::io::ErrorKind::AlreadyExists.into()))
    }

    /// Decides on a file that stands under one name only.
    fn kept_or(&self, item: &Item, path: &Path, replaces: bool) -> Result<(What, Act), StoreError> {
        let Ok(about) = path.symlink_metadata() else {
            return Ok((What::New, Act::Add(path.to_owned())));
        };
        if !about.is_file() {
            return Err(StoreError::NotAFile { path: path.to_owned() });
        }
        if is_same(item, path) {
            return Ok((What::Here, Act::Nothing));
        }
        let kind = item.kind;
        let here = read_whole(path, kind.most());
        let differ = match &here {
            Ok(here) => differ::words(kind, here, (&item.bytes, differ::BACKUP)),
            Err(error) => error.to_string(),
        };
        let here = here.ok();
        let is_damaged = here.as_ref().is_some_and(|here| sound::is_damaged(kind, here, path));
        let is_used = |here: &Vec<u8>| sound::fault(kind, here, path).is_none();
        // Told with its path in the backup.
        let fault = sound::fault(kind, &item.bytes, Path::new(&item.path));
        if let Some(why) = &fault
            && !is_damaged
            && here.as_ref().is_some_and(is_used)
        {
            return Ok((What::Sounder(why.clone()), Act::Nothing));
        }
        if !(replaces || is_damaged && fault.is_none()) {
            return Ok((What::Differs(differ), Act::Nothing));
        }
        let file = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let names = (1..=999).map(|n| path.with_file_name(format!("{file}.before-restore-{n}")));
        // A restore that was cut off may have kept this very file already.
        let is_kept = |name: &Path| is_copy(path, name, kind);
        // Another file of the backup may get a name that is free here.
        let is_free = |name: &Path| name.symlink_metadata().is_err() && !self.taken.contains(name);
        let mut free = names.filter(|name| is_free(name) || is_kept(name));
        let Some(aside) = free.next() else {
            return Err(StoreError::io("set aside", path)(
                std::io::ErrorKind::AlreadyExists.into(),
            ));
        };
        let called = aside.file_name().unwrap_or_default().to_string_lossy().into_owned();
        Ok((What::Replaced { differ, aside: called }, Act::Replace(path.to_owned(), aside)))
    }
}

/// Puts a blank before a name, where there is one.
fn space(name: &str) -> String {
    if name.is_empty() { String::new() } else { format!(" {name}") }
}

/// Tells whether a file has the very bytes of the one in the backup.
fn is_same(item: &Item, path: &Path) -> bool {
    path.metadata().is_ok_and(|about| about.len() == item.bytes.len() as u64)
        && read_whole(path, item.kind.most())
            .is_ok_and(|bytes| hex_of_sha256(&bytes, 32) == item.sha256)
}

/// Tells whether two files of a kind have the same bytes.
fn is_copy(path: &Path, other: &Path, kind: Kind) -> bool {
    let read = |path| read_whole(path, kind.most()).ok();
    read(other).is_some_and(|there| read(path) == Some(there))
}
