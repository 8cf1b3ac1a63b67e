//! Files among the sessions that cannot be opened: what they are called, why, and what to do. Of
//! which engine they are nobody can tell.

use super::{Apart, Glance, Listing, SHORTEST, find};
use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::journal::Verdict;
use crate::store::pick::{Called, pick};
use crate::store::words::cause_words;
use std::fmt;
use std::path::{Path, PathBuf};

/// Most of them that are named where a name was not found, or where any engine's may be among them.
pub const NAMED: usize = 3;

/// A session's file that cannot be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unopened {
    /// Where it lies.
    pub path: PathBuf,
    /// What it is called: its file's stem, the name that its session was given.
    pub name: String,
    /// What is the matter with it.
    pub why: String,
    /// What to do.
    pub to_do: String,
}

impl fmt::Display for Unopened {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "session {} cannot be opened: {}", plain(&self.name), plain(&self.why))
    }
}

impl Unopened {
    /// Makes it of why a file could not be looked at.
    pub(super) fn of(path: &Path, error: &StoreError) -> Unopened {
        let why = match error {
            StoreError::ReadOnly { verdict, .. } => verdict.to_string(),
            StoreError::Io { cause, .. } => cause_words(cause),
            StoreError::NotAFile { .. } => {
                "it is no ordinary file (links are not followed)".to_owned()
            }
            other => other.to_string(),
        };
        let to_do = match error {
            StoreError::ReadOnly {
                verdict: verdict @ (Verdict::Newer { .. } | Verdict::UnknownKind { .. }),
                ..
            } => verdict.hint().to_owned(),
            StoreError::Io { .. } => error.hint(),
            _ => "look for a sound copy of it (cowlside take COPY); this file is kept as it is"
                .to_owned(),
        };
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        Unopened { path: path.to_owned(), name, why, to_do }
    }

    fn called(&self) -> Called<'_, Unopened> {
        let shown = format!("{} (cannot be opened)", self.name);
        Called { thing: self, name: &self.name, id: &self.name, shown }
    }
}

impl Listing {
    /// Lists the files that cannot be opened; copies that say no more are none of them.
    pub fn unopened(&self) -> Vec<Unopened> {
        unopened(&self.apart)
    }
}

fn unopened(apart: &[Apart]) -> Vec<Unopened> {
    apart.iter().filter_map(|one| one.unopened.clone()).collect()
}

/// Finds a session among those given as [`find`] does; a name that belongs to a file that cannot be
/// opened is refused by that name.
///
/// # Errors
/// As [`find`], or the file of that name cannot be opened.
pub fn find_beside(
    sessions: &[Glance],
    unopened: &[Unopened],
    text: &str,
) -> Result<Glance, StoreError> {
    let all: Vec<Called<Unopened>> = unopened.iter().map(Unopened::called).collect();
    let is = |name: &str| name.to_lowercase() == text.to_lowercase();
    match (find(sessions, text), pick("session", text, SHORTEST, &all)) {
        (Err(StoreError::NoSuch { .. }), Ok(one)) => Err(StoreError::Unopened(one.clone())),
        // Whose whole name it is goes before one that begins so.
        (Ok(found), Ok(one)) if is(&one.name) && !is(&found.name) && !is(&found.id) => {
            Err(StoreError::Unopened(one.clone()))
        }
        (Err(StoreError::NoSuch { .. }), Err(several @ StoreError::Ambiguous { .. })) => {
            Err(several)
        }
        (Err(StoreError::NoSuch { what, text, mut known }), Err(_)) => {
            known.extend(all.into_iter().take(NAMED).map(|one| one.shown));
            Err(StoreError::NoSuch { what, text, known })
        }
        (found, _) => found,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::ErrorKind;

    #[test]
    fn a_file_whose_rights_do_not_allow_it_is_told_by_its_name_and_its_owner_asked() {
        let path = Path::new("sessions/20260314-a.jsonl");
        let refused = StoreError::io("open", path)(ErrorKind::PermissionDenied.into());
        let one = Unopened::of(path, &refused);
        let words = "session 20260314-a cannot be opened: its rights do not allow it";
        assert_eq!(one.to_string(), words);
        assert!(one.to_do.starts_with("have its owner give you the right to read it"));
        let error = find_beside(&[], &[one], "20260314-A").unwrap_err();
        assert_eq!((error.to_string(), error.path()), (words.to_owned(), Some(path)));
    }

    #[test]
    fn a_name_that_may_be_several_is_not_guessed_and_one_that_is_none_is_told_with_what_there_is() {
        let of = |name: &str| {
            let path = PathBuf::from(format!("{name}.jsonl"));
            Unopened::of(&path, &StoreError::NotAFile { path: path.clone() })
        };
        let two = [of("spring-1"), of("spring-2")];
        let told = |text: &str| {
            let error = find_beside(&[], &two, text).unwrap_err();
            format!("{error}; {}", error.hint())
        };
        let both = "spring-1 (cannot be opened), spring-2 (cannot be opened)";
        assert!(
            told("spring").starts_with(&format!("\"spring\" may be any of these sessions: {both}"))
        );
        assert_eq!(told("autumn"), format!("no session is called \"autumn\"; there are: {both}"));
        assert!(told("spring-2").starts_with("session spring-2 cannot be opened: "));
    }
}
