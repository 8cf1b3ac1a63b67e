//! Files of which nothing can be read any more: whether all of it is back in another file, and which copy of
//! it is known of elsewhere.

use super::{Apart, Glance, Listing, Unopened, list};
use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::folder::Folder;
use crate::store::journal::Verdict;
use crate::store::seen::{self, Elsewhere};
use crate::store::shown;
use std::path::{Path, PathBuf};

/// Finds among the sessions here the sound file that has all that was in an emptied one.
pub fn back_in(folder: &Folder, emptied: &Path, sessions: &[Glance]) -> Option<PathBuf> {
    let begins = seen::id_begins(emptied);
    let is_its = |one: &&Glance| !begins.is_empty() && one.id.starts_with(&begins);
    let sound = sessions.iter().filter(is_its).filter(|one| one.verdict == Verdict::Clean);
    let mut paths = sound.map(|one| &one.path);
    paths.find(|path| seen::is_back_in(folder, emptied, path)).cloned()
}

/// Says of an emptied file in which other one all of it is, and what may be done.
pub fn back_words(other: &Path) -> String {
    let other = shown(Path::new(other.file_name().unwrap_or_default()));
    format!("all of it is back in {other}: it may be moved out of the folder `sessions`")
}

/// Tells of emptied files what is known beside them: that all is back, or where a copy is.
pub(super) fn told(folder: &Folder, listing: &mut Listing, all: bool) -> Result<(), StoreError> {
    if !listing.apart.iter().any(|one| one.unopened.is_some()) {
        return Ok(());
    }
    // Which engine's session it is its name does not tell.
    let others = if all { None } else { Some(list(folder)?.sessions) };
    let sessions = others.as_ref().unwrap_or(&listing.sessions);
    for Apart { path, why, id, unopened } in &mut listing.apart {
        let Some(one) = unopened else { continue };
        let begins = seen::begins_of(path);
        let its = |one: &&Glance| begins.as_ref().is_some_and(|begins| one.id.starts_with(begins));
        *id = sessions
            .iter()
            .filter(|_| one.empty)
            .find(its)
            .map(|one| one.id.clone())
            .unwrap_or_default();
        if let Some(other) = back_in(folder, path, sessions).filter(|_| one.empty) {
            let file = shown(Path::new(path.file_name().unwrap_or_default()));
            *why = format!("{file} is empty, nothing need be done: {}", back_words(&other));
            *unopened = None;
        } else if let Some(elsewhere) = seen::elsewhere_of(folder, &seen::id_begins(path)) {
            one.goes_on(&elsewhere);
            *why = format!("{why}; it {elsewhere}");
        }
    }
    Ok(())
}

impl Unopened {
    /// Takes the copy that is known of for the one that is to be looked for.
    fn goes_on(&mut self, elsewhere: &Elsewhere) {
        self.to_do = plain(&format!("it {elsewhere}"));
        self.is_elsewhere = true;
    }
}
