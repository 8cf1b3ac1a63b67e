//! Why a profile cannot be used, in words that say what to do about it.

use super::profile_text::{path as quoted_path, quoted};
use crate::domain::profile::ProfileFault;
use std::fmt;

/// A line and a column of a file, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line.
    pub line: usize,
    /// The column, in characters.
    pub column: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}", self.line, self.column)
    }
}

/// Why a profile cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProfileError {
    /// No profile has this name.
    Unknown {
        /// The name asked for.
        name: String,
        /// Names like it, the nearest first.
        near: Vec<String>,
    },
    /// The file cannot be opened or read.
    Unreadable {
        /// The file.
        path: String,
        /// Why, in words.
        why: String,
    },
    /// What lies there is no plain file.
    NoFile {
        /// The path.
        path: String,
    },
    /// A file among the user's profiles has a name that cannot be asked for.
    BadName {
        /// The file.
        path: String,
    },
    /// The file is longer than a profile may be.
    TooLong {
        /// The file.
        path: String,
    },
    /// The file holds bytes that are no UTF-8 text.
    NotText {
        /// The file.
        path: String,
        /// The line of the first such byte.
        line: usize,
    },
    /// The text is not JSON.
    NotJson {
        /// The file.
        path: String,
        /// Where it ceases to be JSON.
        place: Place,
        /// What stands there.
        found: String,
        /// What to do.
        hint: String,
    },
    /// The file is written for a later version of the program.
    Newer {
        /// The file.
        path: String,
        /// Its format.
        format: String,
    },
    /// A field cannot stand.
    Wrong {
        /// The file.
        path: String,
        /// Where the field stands, or where it should.
        place: Option<Place>,
        /// The field, what was found, and what must stand there.
        fault: ProfileFault,
    },
}

impl fmt::Display for ProfileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ProfileError::Unknown { name, .. } => {
                write!(f, "there is no profile `{}`", quoted(name))
            }
            ProfileError::Unreadable { path, why } => {
                write!(f, "cannot read the profile `{}`: {why}", quoted_path(path))
            }
            ProfileError::NoFile { path } => {
                write!(f, "`{}` is not a plain file", quoted_path(path))
            }
            ProfileError::BadName { path } => {
                write!(
                    f,
                    "`{}` has a name that cannot be asked for: it must be of small letters, digits and \
                     hyphens only, 40 at most, before `.json`",
                    quoted_path(path)
                )
            }
            ProfileError::TooLong { path } => {
                write!(
                    f,
                    "`{}` is longer than 64 KiB, the most that a profile may be",
                    quoted_path(path)
                )
            }
            ProfileError::NotText { path, line } => {
                write!(f, "`{}`, line {line}: bytes that are not UTF-8 text", quoted_path(path))
            }
            ProfileError::NotJson { path, place, found, .. } => {
                write!(f, "`{}`, {place}: not JSON: {found}", quoted_path(path))
            }
            ProfileError::Newer { path, format } => {
                let path = quoted_path(path);
                write!(
                    f,
                    "`{path}` is written for a newer version: its `format` is {format}, this program knows 1"
                )
            }
            ProfileError::Wrong { path, place: Some(place), fault } => {
                write!(f, "`{}`, {place}: {fault}", quoted_path(path))
            }
            ProfileError::Wrong { path, place: None, fault } => {
                write!(f, "`{}`: {fault}", quoted_path(path))
            }
        }
    }
}

impl std::error::Error for ProfileError {}

impl ProfileError {
    /// Returns what to do about it: a sentence that starts with a verb.
    pub fn hint(&self) -> String {
        match self {
            ProfileError::Unknown { near, .. } if near.is_empty() => {
                "List the known ones with `cowlside profiles`, or give a file's path.".to_string()
            }
            ProfileError::Unknown { near, .. } => {
                format!("Try {}; `cowlside profiles` lists all of them.", near.join(" or "))
            }
            ProfileError::Unreadable { .. } => {
                "Check the path and the file's rights; `cowlside profiles` lists the known profiles.".to_string()
            }
            ProfileError::NoFile { .. } => "Give the path of a profile's JSON file.".to_string(),
            ProfileError::BadName { .. } => {
                "Give that file such a name, as in my-four.json, then ask for my-four; or give its whole path."
                    .to_string()
            }
            ProfileError::TooLong { .. } => {
                "Check that this is a profile; shorten its texts if it is.".to_string()
            }
            ProfileError::NotText { .. } => "Save the file as UTF-8 text.".to_string(),
            ProfileError::NotJson { hint, .. } => hint.clone(),
            ProfileError::Newer { .. } => "Use a newer version of the program, or a profile of format 1.".to_string(),
            ProfileError::Wrong { .. } => {
                "Correct that field, then try `cowlside profiles check FILE`.".to_string()
            }
        }
    }
}
