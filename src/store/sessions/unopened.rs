//! Files among the sessions that cannot be opened: what they are called, why, and what to do. Of
//! which engine they are nobody can tell.

use super::{Apart, Glance, Listing, SHORTEST, find, version_of};
use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::journal::{Verdict, numbered};
use crate::store::pick::{Called, pick};
use crate::store::seen::begins_in;
use crate::store::words::cause_words;
use std::fmt;
use std::path::{Path, PathBuf};

/// Most of them that are named where a name was not found, or where any engine's may be among them.
pub const NAMED: usize = 3;

/// What is said of a file without a byte where no memo is kept of what was here.
pub const NOBODY_KNOWS: &str = "whether a session was ever in it is not known any more";

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
    /// No whole entry is in it: it was emptied, or a start failed and it is nobody's session.
    pub empty: bool,
    /// What to do names the copy of it that is known of.
    pub is_elsewhere: bool,
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
            StoreError::ReadOnly { verdict: verdict @ Verdict::EmptyStart, .. } => {
                verdict.hint().to_owned()
            }
            _ => "look for a sound copy of it (cowlside take COPY); this file is kept as it is"
                .to_owned(),
        };
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let empty = matches!(error, StoreError::ReadOnly { verdict: Verdict::EmptyStart, .. });
        Unopened { path: path.to_owned(), name, why, to_do, empty, is_elsewhere: false }
    }

    fn called(&self) -> Called<'_, Unopened> {
        Called {
            thing: self,
            name: &self.name,
            id: &self.name,
            shown: self.shown(),
            day: String::new(),
        }
    }

    fn shown(&self) -> String {
        format!("{} (cannot be opened)", self.name)
    }

    /// Returns what the session's identity begins with, by the file's name.
    pub fn id_begins(&self) -> &str {
        begins_in(&self.name)
    }

    /// Returns what the session's identity may be, where a text asks for it: only its beginning is
    /// known, by the file's name.
    fn id_for(&self, text: &str) -> String {
        let begins = self.id_begins();
        let asked = text.to_lowercase();
        let may_be = !begins.is_empty() && asked.len() >= begins.len() && asked.starts_with(begins);
        // It goes on behind what was asked for: a whole identity is known of no such file.
        if may_be { asked + "-" } else { begins.to_owned() }
    }

    /// Tells of one without a whole entry how many were in it when it was last seen here.
    pub fn held(&mut self, entries: u64) {
        self.why = format!("{}, and {entries} were in it when it was last seen here", self.why);
        if self.is_elsewhere {
            return;
        }
        self.to_do =
            "look for a sound copy of it (cowlside take COPY), or cowlside restore BACKUP; this file \
                      is kept as it is"
                .to_owned();
    }

    /// Says of one without a byte that nobody can tell what it was.
    pub fn nobody_knows(&self) -> &'static str {
        NOBODY_KNOWS
    }

    /// Tells whether it is a file of one of these sessions, which another file has whole.
    fn is_beside(&self, sessions: &[Glance]) -> bool {
        let base = numbered(&self.path).0;
        sessions.iter().any(|session| numbered(&session.path).0 == base)
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

/// A session, or a file that may be one.
enum One<'a> {
    Session(&'a Glance),
    File(&'a Unopened),
}

/// Finds a session among those given as [`find`] does, and among the files that cannot be opened: what
/// may be either is not guessed, and a name that belongs to such a file is refused by that name. One
/// that lies beside another file of the same session gives way to that.
///
/// # Errors
/// As [`find`], or the file of that name cannot be opened.
pub fn find_beside(
    sessions: &[Glance],
    unopened: &[Unopened],
    text: &str,
) -> Result<Glance, StoreError> {
    let alone = unopened.iter().filter(|one| !one.is_beside(sessions));
    match find_in_both(sessions, &alone.collect::<Vec<_>>(), text) {
        Err(StoreError::NoSuch { what, text, mut known }) => {
            let all: Vec<Called<Unopened>> = unopened.iter().map(Unopened::called).collect();
            match pick("session", &text, SHORTEST, &all) {
                Ok(one) => Err(StoreError::Unopened(Box::new(one.clone()))),
                Err(several @ StoreError::Ambiguous { .. }) => Err(several),
                Err(_) => {
                    known.extend(all.into_iter().take(NAMED).map(|one| one.shown));
                    Err(StoreError::NoSuch { what, text, known })
                }
            }
        }
        found => found,
    }
}

fn find_in_both(
    sessions: &[Glance],
    alone: &[&Unopened],
    text: &str,
) -> Result<Glance, StoreError> {
    let ids: Vec<String> = alone.iter().map(|one| one.id_for(text)).collect();
    let files = alone.iter().map(|one| One::File(one));
    let both: Vec<One> = sessions.iter().map(One::Session).chain(files).collect();
    let (of_sessions, of_files) = both.split_at(sessions.len());
    let called = of_sessions.iter().zip(sessions).map(|(thing, session)| {
        let Called { name, id, shown, day, .. } = session.called();
        Called { thing, name, id, shown, day }
    });
    let beside = of_files.iter().zip(alone).zip(&ids).map(|((thing, one), id)| Called {
        thing,
        name: &one.name,
        id,
        shown: one.shown(),
        day: String::new(),
    });
    match pick("session", text, SHORTEST, &called.chain(beside).collect::<Vec<_>>()) {
        Ok(One::Session(session)) => Ok((*session).clone()),
        Ok(One::File(one)) => Err(StoreError::Unopened(Box::new((*one).clone()))),
        Err(StoreError::NoSuch { .. }) => find(sessions, text),
        Err(several) => version_of(sessions, text).ok_or(several),
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
