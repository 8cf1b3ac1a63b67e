//! What the services of each engine left open, as it was read last, so that the list of a large shop reads no
//! session for it again: an index in `cache/`, which may go at any time.
//!
//! A line is believed only while it fits its hash and all sessions of its engine are, entry for entry, those
//! that it was worked out from; what those look like is the index of the sessions' business.

use super::folder::Folder;
use super::index::{Index, Making, is_part};
use crate::domain::plain::plain;
use crate::domain::session::Gravity;
use std::collections::BTreeMap;

/// The index's name in `cache/`.
const INDEX: &str = "open-index";
/// Something open, in words, and how grave it is.
type Told = (String, Gravity);

/// What is noted of all engines, by what it was worked out from.
#[derive(Clone, Debug, Default)]
pub struct StillOpen {
    noted: BTreeMap<String, Vec<Told>>,
    /// What was asked for or worked out since: the rest is of sessions that are not so any more.
    now: BTreeMap<String, Vec<Told>>,
    changed: bool,
}

impl StillOpen {
    /// Reads what is noted; nothing where it cannot be believed.
    pub fn load(folder: &Folder) -> StillOpen {
        let index = Index::open(folder, INDEX);
        let lines = index.and_then(|mut index| index.lines(|_| true)).unwrap_or_default();
        let noted = lines.lines().filter_map(read).collect();
        StillOpen { noted, ..StillOpen::default() }
    }

    /// Returns what is noted as worked out from just this.
    pub fn get(&mut self, from: &str) -> Option<Vec<Told>> {
        let told = self.noted.get(from)?;
        self.now.insert(from.to_owned(), told.clone());
        Some(told.clone())
    }

    /// Notes what is open, worked out from this; what would come back otherwise is worked out each time.
    pub fn set(&mut self, from: String, told: &[Told]) {
        if told.iter().all(|(words, _)| is_part(words) && plain(words) == *words) {
            self.now.insert(from, told.to_vec());
            self.changed = true;
        }
    }

    /// Writes what is noted, where it has changed. That it cannot be written harms nothing.
    pub fn save(&self, folder: &Folder) {
        if !self.changed {
            return;
        }
        let lines: String = self.now.iter().map(|(from, told)| line_of(from, told)).collect();
        if let Some(making) = Making::begin(folder, INDEX, &folder.sessions()) {
            making.finish(&BTreeMap::from([(String::new(), lines)]), &[]);
        }
    }
}

/// How grave each thing is, is marked by a letter.
fn marks() -> impl Iterator<Item = (char, Gravity)> {
    ('a'..).zip(Gravity::ALL)
}

fn line_of(from: &str, told: &[Told]) -> String {
    let mark = |of: Gravity| marks().find(|(_, gravity)| *gravity == of).map(|(mark, _)| mark);
    let words = told.iter().map(|(words, gravity)| {
        ['\t'].into_iter().chain(mark(*gravity)).chain(words.chars()).collect::<String>()
    });
    format!("{from}{}\n", words.collect::<String>())
}

fn read(line: &str) -> Option<(String, Vec<Told>)> {
    let (from, told) =
        line.split_once('\t').map_or((line, None), |(from, told)| (from, Some(told)));
    let one = |part: &str| {
        let (_, gravity) = marks().find(|(mark, _)| part.starts_with(*mark))?;
        // Whoever wrote the file, nothing of it acts on a terminal.
        Some((plain(part.get(1..)?), gravity))
    };
    let told: Option<Vec<Told>> =
        told.into_iter().flat_map(|told| told.split('\t')).map(one).collect();
    Some((from.to_owned(), told?))
}
