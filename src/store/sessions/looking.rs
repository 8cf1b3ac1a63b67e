//! Lists the sessions with the help of the index, or by reading every file.

use super::index::{Index, Making, Row, Stamp};
use super::{Apart, Glance, Listing, copies, glance};
use crate::store::StoreError;
use crate::store::engines::{Engine, files_in};
use crate::store::folder::Folder;
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

/// Files from which on two threads read.
const TWO_FROM: usize = 64;

/// Lists the sessions in the data folder.
///
/// # Errors
/// The folder cannot be read.
pub fn list(folder: &Folder) -> Result<Listing, StoreError> {
    looked_at(folder, &|_| true)
}

/// Lists the sessions of an engine, and what else lies there that is no session: it may be of any
/// engine.
///
/// # Errors
/// The folder cannot be read.
pub fn list_of(folder: &Folder, engine: &Engine) -> Result<Listing, StoreError> {
    let mut listing = looked_at(folder, &|row| match row.engine_id {
        "" => row.engine == engine.name,
        id => id == engine.id,
    })?;
    listing.sessions.retain(|session| session.is_of(engine));
    Ok(listing)
}

fn looked_at(folder: &Folder, wanted: &dyn Fn(&Row) -> bool) -> Result<Listing, StoreError> {
    let index = Index::read(folder);
    let believed = index.as_ref().and_then(|index| believed(folder, index, wanted));
    let mut listing = match believed {
        Some(listing) => listing,
        None => read_again(folder, index.as_ref())?,
    };
    listing.sessions.sort_by_cached_key(|session| (session.started.unix_ms, session.path.clone()));
    copies::group(&mut listing)?;
    Ok(listing)
}

/// Lists the wanted sessions by the index, with all files of one session; `None` where anything
/// that it would be believed in has changed.
fn believed(folder: &Folder, index: &Index, wanted: &dyn Fn(&Row) -> bool) -> Option<Listing> {
    let sessions = folder.sessions();
    if !index.has_names_of(&sessions) {
        return None;
    }
    let mut files_of: HashMap<&str, usize> = HashMap::new();
    for row in index.rows() {
        *files_of.entry(row.id).or_default() += 1;
    }
    let mut listing = Listing::default();
    for row in index.rows() {
        let path = sessions.join(row.file);
        if row.id.is_empty() {
            let seen = glance(&path);
            if seen.as_ref().is_ok_and(|seen| seen.verdict == super::Verdict::Clean) {
                return None;
            }
            listing.take_in(path, seen);
        } else if wanted(&row) || files_of.get(row.id).is_some_and(|files| *files > 1) {
            let now = Stamp::of(&path)?;
            listing.sessions.push(index.glance(&row, path, now)?);
        } else if !index.may_be_believed(&row) {
            return None;
        }
    }
    Some(listing)
}

/// Reads every file whose line in the index is not to be believed, and notes what was seen.
fn read_again(folder: &Folder, index: Option<&Index>) -> Result<Listing, StoreError> {
    let paths = files_in(&folder.sessions(), "jsonl")?;
    let making = if paths.is_empty() { None } else { Making::begin(folder) };
    // Listed again now that the time is taken: what came between would be missed.
    let paths = if making.is_some() { files_in(&folder.sessions(), "jsonl")? } else { paths };
    let known: HashMap<&str, Row> = index.map_or_else(HashMap::new, |index| {
        index.rows().filter(|row| !row.id.is_empty()).map(|row| (row.file, row)).collect()
    });
    let look = |path: &PathBuf| look(path, index, &known);
    let (one, other) = paths.split_at(if paths.len() < TWO_FROM { 0 } else { paths.len() / 2 });
    let seen: Vec<Seen> = std::thread::scope(|scope| {
        let first = scope.spawn(|| one.iter().map(look).collect::<Vec<_>>());
        let second: Vec<_> = other.iter().map(look).collect();
        // A thread that died would leave sessions out: then its files are read here.
        let first = first.join().unwrap_or_else(|_| one.iter().map(look).collect());
        first.into_iter().chain(second).collect()
    });
    let mut listing = Listing::default();
    let mut noted = BTreeMap::new();
    for (path, (stamp, found)) in paths.into_iter().zip(seen) {
        noted.insert(path.clone(), found.as_ref().ok().cloned().zip(stamp));
        listing.take_in(path, found);
    }
    if let Some(making) = making {
        making.finish(&noted);
    }
    Ok(listing)
}

type Seen = (Option<Stamp>, Result<Glance, StoreError>);

fn look(path: &Path, index: Option<&Index>, known: &HashMap<&str, Row>) -> Seen {
    // Taken before the file is read: what is written meanwhile makes another one.
    let stamp = Stamp::of(path);
    let row = path.file_name().and_then(|name| known.get(name.to_str()?));
    let noted = stamp.zip(row).and_then(|(now, row)| index?.glance(row, path.to_owned(), now));
    (stamp, noted.map_or_else(|| glance(path), Ok))
}

impl Listing {
    fn take_in(&mut self, path: PathBuf, seen: Result<Glance, StoreError>) {
        match seen {
            Ok(session) => self.sessions.push(session),
            Err(error) => self.apart.push(Apart { path, why: error.to_string() }),
        }
    }
}
