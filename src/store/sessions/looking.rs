//! Lists the sessions with the help of the index, or by reading every file.

use super::index::{NO_ENGINE, Row, TWICE, line_of, section};
use super::{Apart, Glance, Listing, Unopened, Verdict, copies, emptied, glance, lost_head};
use crate::domain::service::on_day;
use crate::store::StoreError;
use crate::store::engines::{Engine, files_in};
use crate::store::folder::Folder;
use crate::store::index::{Index, Making, Stamp, is_part};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// The index's name in `cache/`.
const INDEX: &str = "sessions-index";
/// Files from which on two threads read.
const TWO_FROM: usize = 64;

/// Tells whether there are so many sessions that listing them takes a moment.
pub fn are_many(folder: &Folder) -> bool {
    let names = std::fs::read_dir(folder.sessions());
    names.is_ok_and(|names| names.take(TWO_FROM).count() == TWO_FROM)
}

/// Lists the sessions in the data folder.
///
/// # Errors
/// The folder cannot be read.
pub fn list(folder: &Folder) -> Result<Listing, StoreError> {
    let mut listing = looked_at(folder, &|_| true)?;
    emptied::told(folder, &mut listing, true)?;
    Ok(listing)
}

/// Lists the sessions of an engine, and what else lies there that is no session: it may be of any
/// engine.
///
/// # Errors
/// The folder cannot be read.
pub fn list_of(folder: &Folder, engine: &Engine) -> Result<Listing, StoreError> {
    let (by_id, by_name) = (format!("i {}", engine.id), format!("n {}", engine.name));
    let mut listing = looked_at(folder, &|key| key == NO_ENGINE || key == by_id || key == by_name)?;
    emptied::told(folder, &mut listing, false)?;
    listing.sessions.retain(|session| session.is_of(engine));
    Ok(listing)
}

fn looked_at(folder: &Folder, wanted: &dyn Fn(&str) -> bool) -> Result<Listing, StoreError> {
    let mut index = Index::open(folder, INDEX);
    let believed = index.as_mut().and_then(|index| believed(folder, index, wanted));
    let mut listing = match believed {
        Some(listing) => listing,
        None => read_again(folder, index)?,
    };
    let begun = |session: &Glance| on_day(session.started, session.day.as_deref()).unix_ms;
    listing.sessions.sort_by_cached_key(|session| (begun(session), session.path.clone()));
    lost_head::join(folder, &mut listing.sessions);
    copies::group(&mut listing)?;
    Ok(listing)
}

/// Lists what stands in the wanted sections; `None` where anything has changed.
fn believed(folder: &Folder, index: &mut Index, wanted: &dyn Fn(&str) -> bool) -> Option<Listing> {
    let sessions = folder.sessions();
    if !index.is_of(&sessions) {
        return None;
    }
    let lines = index.lines(wanted)?;
    let mut listing = Listing::default();
    for row in lines.lines().map(Row::read) {
        let path = sessions.join(row.file());
        let Some(then) = row.stamp() else {
            let seen = glance(&path);
            if row.is_faulty() && seen.as_ref().is_ok_and(|seen| seen.verdict == Verdict::Clean) {
                return None;
            }
            listing.take_in(path, seen);
            continue;
        };
        if !index.believes(&then, &Stamp::of(&path)?) {
            return None;
        }
        listing.sessions.push(row.glance(path)?);
    }
    Some(listing)
}

/// Reads every file whose line in the index is not to be believed, and notes what was seen.
fn read_again(folder: &Folder, mut index: Option<Index>) -> Result<Listing, StoreError> {
    let sessions = folder.sessions();
    if files_in(&sessions, "jsonl")?.is_empty() {
        return Ok(Listing::default());
    }
    let making = Making::begin(folder, INDEX, &sessions);
    // Listed now that the time is taken: what comes after it changes the folder's times.
    let paths = files_in(&sessions, "jsonl")?;
    let lines = index.as_mut().and_then(|index| index.lines(|_| true)).unwrap_or_default();
    let known: HashMap<&str, Row> =
        lines.lines().map(Row::read).map(|row| (row.file(), row)).collect();
    let known = Known { index: index.as_ref(), rows: known };
    let (one, other) = paths.split_at(if paths.len() < TWO_FROM { 0 } else { paths.len() / 2 });
    let done = AtomicUsize::new(0);
    let look_at = |path: &PathBuf| {
        let done = done.fetch_add(1, Ordering::Relaxed);
        folder.progress().so_far("reading sessions", done, paths.len());
        known.look(path)
    };
    let look = |paths: &[PathBuf]| paths.iter().map(look_at).collect::<Vec<_>>();
    let seen: Vec<Seen> = std::thread::scope(|scope| {
        if one.is_empty() {
            return look(other);
        }
        let first = scope.spawn(|| look(one));
        let second = look(other);
        // A thread that died would leave sessions out: then its files are read here.
        let first = first.join().unwrap_or_else(|_| look(one));
        first.into_iter().chain(second).collect()
    });
    if let Some(making) = making {
        note(making, &paths, &seen);
    }
    let mut listing = Listing::default();
    for (path, (_, seen)) in paths.into_iter().zip(seen) {
        listing.take_in(path, seen);
    }
    Ok(listing)
}

type Seen = (Option<Stamp>, Result<Glance, StoreError>);

/// What an index says of files.
struct Known<'a> {
    index: Option<&'a Index>,
    rows: HashMap<&'a str, Row<'a>>,
}

impl Known<'_> {
    fn look(&self, path: &Path) -> Seen {
        // Taken before the file is read: what is written meanwhile makes another one.
        let now = Stamp::of(path);
        let noted = || {
            let row = self.rows.get(path.file_name()?.to_str()?)?;
            let same = self.index?.believes(&row.stamp()?, &now?);
            row.glance(path.to_owned()).filter(|_| same)
        };
        (now, noted().map_or_else(|| glance(path), Ok))
    }
}

/// Puts what was seen into the index. Files of one session are read each time: whichever engine is
/// asked for, they are set against each other.
fn note(making: Making, paths: &[PathBuf], seen: &[Seen]) {
    let ids = seen.iter().filter_map(|(_, seen)| seen.as_ref().ok().map(|seen| seen.id.as_str()));
    let (mut once, mut again) = (BTreeSet::new(), BTreeSet::new());
    for id in ids {
        if !once.insert(id) {
            again.insert(id);
        }
    }
    let mut sections: BTreeMap<String, String> = BTreeMap::new();
    let mut stamps = Vec::new();
    for (path, (stamp, seen)) in paths.iter().zip(seen) {
        let Some(file) = path.file_name().and_then(|name| name.to_str()) else { return };
        if !is_part(file) {
            return;
        }
        let single =
            seen.as_ref().ok().zip(*stamp).filter(|(seen, _)| !again.contains(seen.id.as_str()));
        let line = single.and_then(|(seen, stamp)| {
            let line = line_of(file, seen, stamp)?;
            stamps.push(stamp);
            Some((section(seen), line))
        });
        let twice = seen.as_ref().is_ok_and(|seen| seen.verdict == Verdict::Clean);
        let by_name = || if twice { format!("{file}{TWICE}") } else { file.to_owned() };
        let (key, line) = line.unwrap_or_else(|| (NO_ENGINE.to_owned(), by_name()));
        let section = sections.entry(key).or_default();
        *section += &line;
        section.push('\n');
    }
    making.finish(&sections, &stamps);
}

impl Listing {
    fn take_in(&mut self, path: PathBuf, seen: Result<Glance, StoreError>) {
        match seen {
            Ok(session) => self.sessions.push(session),
            Err(error) => {
                let unopened = Some(Unopened::of(&path, &error));
                self.apart.push(Apart {
                    path,
                    why: error.to_string(),
                    id: String::new(),
                    unopened,
                });
            }
        }
    }
}
