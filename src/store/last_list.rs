//! The list of engines as it was shown last: a file in `cache/`, which may go at any time.
//!
//! It is a picture, shown while the files themselves are looked at; no key counts before they have
//! been, and then the list is what they say. It is shown on the day that it was made on, and while
//! engines and sessions have neither come nor gone, so that it is hardly ever put right before eyes.

use super::folder::{Folder, read_text};
use super::index::Stamp;
use super::journal::storage::for_one_user;
use serde::{Deserialize, Serialize};
use std::fs::OpenOptions;
use std::io::Write;
use std::path::PathBuf;

const FILE: &str = "last-list.json";
const FILE_MAX: u64 = 4 * 1024 * 1024;

/// The list, in words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LastList {
    /// What it was made of, as [`LastList::made`] says it.
    pub made: String,
    /// Lines over it.
    pub lines: Vec<String>,
    /// Its rows, a text a column.
    pub rows: Vec<Vec<String>>,
    /// What each row is searched by.
    pub words: Vec<String>,
}

impl LastList {
    /// Says what a list of a day, as YYYY-MM-DD, is made of: the program, the day, and the folders as
    /// they are before anything is read.
    pub fn made(folder: &Folder, day: &str) -> String {
        let words = |path: PathBuf| Stamp::of(&path).map(|stamp| stamp.words()).unwrap_or_default();
        let (engines, sessions) = (words(folder.engines()), words(folder.sessions()));
        format!("{} {day}\t{engines}\t{sessions}", env!("CARGO_PKG_VERSION"))
    }

    /// Reads the list of this day; `None` where there is none to be shown.
    pub fn load(folder: &Folder, day: &str) -> Option<LastList> {
        let text = read_text(&folder.cache().join(FILE), FILE_MAX).ok()?;
        let list: LastList = serde_json::from_str(&text).ok()?;
        let whole = !list.rows.is_empty() && list.rows.len() == list.words.len();
        (whole && list.made == LastList::made(folder, day)).then_some(list)
    }

    /// Keeps it for the next start. Nothing waits for the disk: what was cut off is no list.
    pub fn keep(&self, folder: &Folder) {
        let path = folder.cache().join(FILE);
        let Ok(text) = serde_json::to_string(self) else { return };
        if read_text(&path, FILE_MAX).is_ok_and(|last| last == text) {
            return;
        }
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(true);
        for_one_user(&mut options);
        if let Ok(mut file) = options.open(&path) {
            // That it cannot be written harms nothing.
            let _ = file.write_all(text.as_bytes());
        }
    }
}
