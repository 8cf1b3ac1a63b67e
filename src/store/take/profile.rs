//! Which profile an engine that is taken over goes by here: the very one that it had there, or that its
//! sessions carry.

use super::{Found, What};
use crate::domain::entry::ProfileText;
use crate::store::StoreError;
use crate::store::engines::Engine;
use crate::store::folder::{Folder, read_text, replace_whole};
use crate::store::profile_file::PROFILE_BYTES_MAX;
use crate::store::profiles::{BUILT_IN, is_name};
use std::path::Path;

/// Most letters of a name before a number is put behind it.
const STEM_MAX: usize = 36;

impl Found {
    /// An engine's profile comes along where there is none of that name here. Where the one here is
    /// another, it comes under a free name and the engine goes by that. Where its figures may not be
    /// those that were read from the manual's page, the page is read anew.
    pub(super) fn profile(
        &mut self,
        folder: &Folder,
        other: &Folder,
        engine: &mut Engine,
    ) -> Result<(), StoreError> {
        let name = engine.profile.clone();
        let Some(there) = text_in(other, &name)? else {
            engine.source = None;
            return Ok(());
        };
        match self.text_here(folder, &name)? {
            Some(here) if here == there => return Ok(()),
            None => {
                self.add_profile(folder, &name, there);
                self.things.push(("profile", name, What::New));
                return Ok(());
            }
            Some(_) => {}
        }
        let stem: String = name.chars().take(STEM_MAX).collect();
        for free in (2..=999).map(|number| format!("{stem}-{number}")) {
            let here = self.text_here(folder, &free)?;
            if here.as_ref().is_some_and(|here| *here != there) {
                continue;
            }
            if here.is_none() {
                self.add_profile(folder, &free, there);
            }
            engine.source = None;
            engine.profile.clone_from(&free);
            let what = What::OtherProfile { name: free, engine: engine.name.clone() };
            self.things.push(("profile", name, what));
            return Ok(());
        }
        Err(no_name(&name))
    }

    fn add_profile(&mut self, folder: &Folder, name: &str, text: Vec<u8>) {
        self.files.push((folder.profiles().join(format!("{name}.json")), text));
    }

    /// Returns the text of a profile as it will stand here.
    fn text_here(&self, folder: &Folder, name: &str) -> Result<Option<Vec<u8>>, StoreError> {
        let path = folder.profiles().join(format!("{name}.json"));
        let waiting = self.files.iter().find(|(waiting, _)| *waiting == path);
        match waiting {
            Some((_, text)) => Ok(Some(text.clone())),
            None if path.exists() && !is_plain(&path) => Ok(Some(Vec::new())),
            None => text_in(folder, name),
        }
    }
}

/// Returns the name by which the very profile that a session carries is found here. Where there is none
/// of its name it is written under that, else under a free one like it.
///
/// # Errors
/// A profile here cannot be read, none can be written, or no name is free.
pub fn of_session(folder: &Folder, profile: &ProfileText) -> Result<String, StoreError> {
    let own = if is_name(&profile.name) { profile.name.as_str() } else { "of-a-session" };
    let stem: String = own.chars().take(STEM_MAX).collect();
    let numbered = (2..=999).map(|number| format!("{stem}-{number}"));
    let _lock = folder.lock_to_write(&[folder.profiles()])?;
    for name in std::iter::once(own.to_owned()).chain(numbered) {
        let path = folder.profiles().join(format!("{name}.json"));
        match text_in(folder, &name)? {
            Some(here) if here == profile.text.as_bytes() => return Ok(name),
            None if path.symlink_metadata().is_err() => {
                replace_whole(&path, profile.text.as_bytes())?;
                return Ok(name);
            }
            Some(_) | None => {}
        }
    }
    Err(no_name(own))
}

fn no_name(name: &str) -> StoreError {
    let why = format!("no name like {name} is free for its profile");
    StoreError::Unkeepable { kind: "profile", why }
}

fn is_plain(path: &Path) -> bool {
    path.symlink_metadata().is_ok_and(|about| about.is_file())
}

/// Returns the text of a profile by its name in a folder: the user's own, else the built-in one.
fn text_in(folder: &Folder, name: &str) -> Result<Option<Vec<u8>>, StoreError> {
    if !is_name(name) {
        return Ok(None);
    }
    let path = folder.profiles().join(format!("{name}.json"));
    if is_plain(&path) {
        return Ok(Some(read_text(&path, PROFILE_BYTES_MAX as u64)?.into_bytes()));
    }
    if path.symlink_metadata().is_ok() {
        return Ok(None);
    }
    let built_in = BUILT_IN.iter().find(|(built_in, _)| *built_in == name);
    Ok(built_in.map(|(_, text)| text.as_bytes().to_vec()))
}
