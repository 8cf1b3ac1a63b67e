//! When each engine is to be looked at again, as its history said last: a file in `cache/`, which
//! may go at any time. A line is believed only while the sessions that it was worked out from are
//! the same; that the file cannot be read or written harms nothing.

use super::folder::{Folder, read_text, replace_whole};
use crate::domain::entry::Hours;
use crate::domain::plain::plain;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const FILE: &str = "next.json";
const FILE_MAX: u64 = 16 * 1024 * 1024;

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Noted {
    /// What it was worked out from.
    from: String,
    /// Running hours over all counters, in hundredths.
    hundredths: Option<i64>,
    /// The day, where the profile counts months.
    #[serde(default)]
    day: Option<String>,
    /// The valves left out of their band.
    #[serde(default)]
    left_out: Vec<String>,
}

/// When an engine is to be looked at, and what was left out of its band there.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Next {
    /// Running hours over all counters.
    pub hours: Option<Hours>,
    /// At the latest on this day, as YYYY-MM-DD.
    pub day: Option<String>,
    /// The valves that signed services left out of their band, in words.
    pub left_out: Vec<String>,
}

impl Next {
    /// Tells whether anything is said of when.
    pub fn is_told(&self) -> bool {
        self.hours.is_some() || self.day.is_some()
    }
}

/// What is noted of all engines, by their ids.
#[derive(Clone, Debug, Default)]
pub struct Nexts {
    noted: BTreeMap<String, Noted>,
    changed: bool,
}

impl Nexts {
    /// Reads what is noted; nothing where it cannot be read.
    pub fn load(folder: &Folder) -> Nexts {
        let text = read_text(&folder.cache().join(FILE), FILE_MAX).unwrap_or_default();
        Nexts { noted: serde_json::from_str(&text).unwrap_or_default(), changed: false }
    }

    /// Returns what is noted of an engine, worked out from just this.
    pub fn get(&self, engine: &str, from: &str) -> Option<Next> {
        let noted = self.noted.get(engine).filter(|noted| noted.from == from)?;
        // Whoever wrote the file, nothing of it acts on a terminal.
        let left_out = noted.left_out.iter().map(|words| plain(words)).collect();
        let day = noted.day.as_ref().map(|day| plain(day));
        Some(Next { hours: noted.hundredths.map(Hours), day, left_out })
    }

    /// Notes when an engine is to be looked at.
    pub fn set(&mut self, engine: &str, from: String, next: &Next) {
        let hundredths = next.hours.map(|hours| hours.0);
        let Next { day, left_out, .. } = next.clone();
        let noted = Noted { from, hundredths, day, left_out };
        self.noted.insert(engine.to_owned(), noted);
        self.changed = true;
    }

    /// Writes what is noted, where it has changed.
    pub fn save(&self, folder: &Folder) {
        if !self.changed {
            return;
        }
        if let Ok(text) = serde_json::to_string(&self.noted) {
            // It is worked out again next time.
            let _ = replace_whole(&folder.cache().join(FILE), text.as_bytes());
        }
    }
}
