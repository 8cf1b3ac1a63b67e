//! The engines' names as they were last read, so that one of a large shop is found at once. What an
//! engine's file says besides is always read from the file.

use super::{Engine, Listing, files_in, read};
use crate::store::StoreError;
use crate::store::folder::Folder;
use crate::store::index::{Index, Making, Stamp, is_part};
use crate::store::pick::{Called, pick};
use std::collections::BTreeMap;

/// The index's name in `cache/`.
const INDEX: &str = "engines-index";

/// Finds an engine by its name, its id, or the beginning of either.
///
/// # Errors
/// None or several are called that, with what is wrong with files that cannot be read: it may be
/// the one that is asked for.
pub fn find_in(folder: &Folder, text: &str) -> Result<Engine, (StoreError, Vec<StoreError>)> {
    if let Some(engine) = believed(folder, text) {
        return Ok(engine);
    }
    let listing = read_again(folder).map_err(|error| (error, Vec::new()))?;
    super::find(&listing.engines, text).cloned().map_err(|error| (error, listing.broken))
}

/// Reads the engine of this id.
///
/// # Errors
/// No such engine, or a file that cannot be read.
pub fn of_id(folder: &Folder, id: &str) -> Result<Engine, StoreError> {
    super::read(&super::path_of(folder, id)?)
}

/// Finds it by the index; `None` where anything has changed, or nothing fits.
fn believed(folder: &Folder, text: &str) -> Option<Engine> {
    let engines = folder.engines();
    let mut index = Index::open(folder, INDEX).filter(|index| index.is_of(&engines))?;
    let lines = index.lines(|_| true)?;
    let mut names: Vec<(&str, &str)> = Vec::new();
    for line in lines.lines() {
        let parts: Vec<&str> = line.splitn(5, '\t').collect();
        let [file, stamp @ .., name] = parts.as_slice() else { return None };
        if !index.believes(&Stamp::read(stamp)?, &Stamp::of(&engines.join(file))?) {
            return None;
        }
        names.push((file, name));
    }
    // A file that could not be read has no name here.
    let sound = names.iter().filter(|(_, name)| !name.is_empty());
    let called: Vec<_> = sound
        .map(|one| {
            let id = one.0.strip_suffix(".json").unwrap_or(one.0);
            Called { thing: one, name: one.1, id, shown: String::new(), day: String::new() }
        })
        .collect();
    let (file, name) = pick("engine", text, 1, &called).ok()?;
    read(&engines.join(file)).ok().filter(|engine| engine.name == *name)
}

/// Lists the engines and notes their names.
fn read_again(folder: &Folder) -> Result<Listing, StoreError> {
    let engines = folder.engines();
    let some = !files_in(&engines, "json")?.is_empty();
    let making = if some { Making::begin(folder, INDEX, &engines) } else { None };
    let mut listing = Listing::default();
    let (mut lines, mut stamps) = (Some(String::new()), Vec::new());
    for path in files_in(&engines, "json")? {
        // Taken before the file is read: what is written meanwhile makes another one.
        let stamp = Stamp::of(&path);
        let found = read(&path);
        let name = found.as_ref().map_or("", |engine| &engine.name);
        let file = path.file_name().and_then(|name| name.to_str()).filter(|file| is_part(file));
        lines = lines.zip(file).zip(stamp).map(|((lines, file), stamp)| {
            stamps.push(stamp);
            lines + &format!("{file}\t{}\t{name}\n", stamp.words())
        });
        listing.take(found);
    }
    listing.sort();
    if let Some((making, lines)) = making.zip(lines) {
        making.finish(&BTreeMap::from([(String::new(), lines)]), &stamps);
    }
    Ok(listing)
}
