//! Everything of the data folder in one file, and back again.
//!
//! The file is JSON Lines, readable by any tool:
//!
//! - a head: `format`, `version`, `files` and `bytes` (how many follow), `at` and `program`;
//! - a line a file: `path` in the data folder, its length in `bytes`, its `sha256`, and what stands
//!   in it as `text`, or as `hex` where it is no UTF-8 or shorter so;
//! - at the end `sha256` of every byte before that line, so that a file that was cut off is known.
//!
//! Neither side holds more than one file in memory.

pub(super) mod differ;
mod note;
mod read;
mod restore;
mod sound;
mod write;

pub use note::{given_up, unfinished};
pub use read::Whole;
pub use restore::{Plan, Replace, Thing};
pub use write::{Made, write};

use super::engines;
use super::hash::is_id;
use super::journal::scan;
use super::profile_file::PROFILE_BYTES_MAX;
use super::profiles::is_name;
use super::settings;
use crate::domain::plain::plain;
use serde::{Deserialize, Serialize};

/// What the first line names the file.
const FORMAT: &str = "cowlside backup";

/// The version that this program writes, and the newest that it reads.
const VERSION: u32 = 1;

/// Most files of a backup.
const FILES_MAX: u64 = 200_000;

/// Most bytes of a line beside what stands in the file.
const LINE_BESIDE: u64 = 4096;

/// The first line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    format: String,
    version: u32,
    files: u64,
    bytes: u64,
    at: String,
    program: String,
}

/// A line of a file.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    path: String,
    bytes: u64,
    sha256: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    text: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hex: Option<String>,
}

/// Returns the last line.
fn last_line(hash: &str) -> String {
    format!("{{\"sha256\":\"{hash}\"}}\n")
}

/// What a file of the data folder is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An engine.
    Engine,
    /// A session, or another file that lies among them.
    Session,
    /// A profile of the user's own.
    Profile,
    /// The settings.
    Settings,
}

impl Kind {
    /// Tells what a path in the data folder is; `None` where it is no name of ours.
    fn of(path: &str) -> Option<Kind> {
        if path == "settings.json" {
            return Some(Kind::Settings);
        }
        let (folder, name) = path.split_once('/')?;
        let stem = |ending| name.strip_suffix(ending);
        match folder {
            "engines" => stem(".json").is_some_and(is_id).then_some(Kind::Engine),
            "sessions" => stem(".jsonl").is_some_and(is_plain_name).then_some(Kind::Session),
            "profiles" => stem(".json").is_some_and(is_name).then_some(Kind::Profile),
            _ => None,
        }
    }

    /// Returns the most bytes of such a file.
    fn most(self) -> u64 {
        match self {
            Kind::Engine => engines::FILE_MAX,
            Kind::Session => scan::FILE_MAX,
            Kind::Profile => PROFILE_BYTES_MAX as u64,
            Kind::Settings => settings::FILE_MAX,
        }
    }

    /// Returns its name.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Engine => "engine",
            Kind::Session => "session",
            Kind::Profile => "profile",
            Kind::Settings => "settings",
        }
    }
}

/// Names that mean a device on one platform or another.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// Tells whether any disk takes a text as a file's name and any terminal shows it.
fn is_plain_name(stem: &str) -> bool {
    let lower = stem.split('.').next().unwrap_or_default().to_lowercase();
    let port = |kind| lower.strip_prefix(kind).is_some_and(|rest: &str| rest.chars().count() == 1);
    (1..=160).contains(&stem.len())
        && plain(stem) == stem
        && !stem.contains(['/', '\\', ':', '*', '?', '"', '<', '>', '|'])
        && !stem.starts_with(['.', ' '])
        && !(DEVICES.contains(&lower.as_str()) || port("com") || port("lpt"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_ours_are_known() {
        for (path, kind) in [
            ("settings.json", Some(Kind::Settings)),
            ("engines/0123456789abcdefghjkmnpqrs.json", Some(Kind::Engine)),
            ("sessions/20260314-101530z-k3f9q2.jsonl", Some(Kind::Session)),
            ("sessions/copy of the tug (2).jsonl", Some(Kind::Session)),
            ("profiles/my-engine.json", Some(Kind::Profile)),
            ("engines/trainer.json", None),
            ("sessions/../x.jsonl", None),
            ("sessions/a/b.jsonl", None),
            ("sessions/a\\b.jsonl", None),
            ("sessions/c:x.jsonl", None),
            ("sessions/.jsonl", None),
            ("sessions/.x.jsonl", None),
            ("sessions/NUL.jsonl", None),
            ("sessions/com1.x.jsonl", None),
            ("sessions/a\u{202e}b.jsonl", None),
            ("sessions/a\nb.jsonl", None),
            ("sessions/x.json", None),
            ("profiles/../../x.json", None),
            ("profiles/X.json", None),
            ("locks/engines.lock", None),
            ("/etc/passwd", None),
            ("../settings.json", None),
            ("", None),
        ] {
            assert_eq!(Kind::of(path), kind, "{path:?}");
        }
    }
}
