//! Sessions and engines whose files were here and are gone, by the memo of what was seen and by what
//! sessions say of their engines.

use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::engines::{Engine, files_in};
use crate::store::folder::Folder;
use crate::store::hash::is_id;
use crate::store::seen::{self, Elsewhere, Memo, Named, There, id_begins};
use crate::store::sessions::{self, Glance};
use crate::store::shown;
use crate::store::words::{command, option};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::{Path, PathBuf};

/// What was here and is gone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Gone {
    /// The file of a session, of which no other file is here.
    Session {
        /// Its identity.
        id: String,
        /// What it was called, where that was noted.
        name: Option<String>,
        /// Its engine, where that was noted.
        engine: Option<String>,
        /// Its engine's identity, where that was noted.
        engine_id: Option<String>,
        /// Whether it is known that it had ended.
        ended: bool,
        /// How many entries were seen last.
        entries: u64,
        /// Where it was saved with more than that.
        elsewhere: Option<Elsewhere>,
        /// The memo that tells of it.
        memo: PathBuf,
    },
    /// The file of an engine that sessions name.
    Engine {
        /// Its identity.
        id: String,
        /// What its newest session calls it.
        name: String,
        /// The name of that session.
        session: String,
        /// How many sessions name it.
        sessions: usize,
    },
}

impl Gone {
    /// Returns what it is.
    pub fn kind(&self) -> &'static str {
        match self {
            Gone::Session { .. } => "session",
            Gone::Engine { .. } => "engine",
        }
    }

    /// Tells whether a word may mean it: a session's name, its identity, or how either begins.
    pub fn is_meant_by(&self, word: &str) -> bool {
        const SHORTEST: usize = 4;
        let word = word.to_lowercase();
        let Gone::Session { id, name, .. } = self else { return false };
        let begins = |text: &str| text.to_lowercase().starts_with(&word);
        word.chars().count() >= SHORTEST && (begins(id) || name.as_deref().is_some_and(begins))
    }

    /// Says in a line that it is gone, and what tells the rest: for a list, where it is one of many; of one
    /// that lies elsewhere how it is taken home.
    pub fn in_short(&self) -> String {
        let named = self.of_its_engine();
        match self.lies_elsewhere() {
            Some(elsewhere) => format!("{named} {}", elsewhere.place()),
            None => format!("{named}: its file is gone; cowlside verify --all says what to do"),
        }
    }

    /// Returns where a session lies that is not here only because it was saved elsewhere: nothing says that
    /// any of it is lost.
    pub fn lies_elsewhere(&self) -> Option<&Elsewhere> {
        let Gone::Session { elsewhere: Some(elsewhere), .. } = self else { return None };
        match elsewhere.there {
            There::All | There::Absent | There::Unread(_) => Some(elsewhere),
            There::Less { .. } | There::Nothing => None,
        }
    }

    /// Returns the word that stands before what is said of it.
    pub fn word(&self) -> &'static str {
        if self.lies_elsewhere().is_some() { "ELSEWHERE" } else { "GONE" }
    }

    /// Names it with its engine: "session 20260314-101530z-k3f9q2 (Trainer)".
    fn of_its_engine(&self) -> String {
        match self {
            Gone::Session { engine: Some(engine), .. } => {
                format!("{} ({})", self.named(), plain(engine))
            }
            Gone::Session { .. } | Gone::Engine { .. } => self.named(),
        }
    }

    /// Names it: "session 20260314-101530z-k3f9q2".
    pub fn named(&self) -> String {
        match self {
            Gone::Session { name: Some(name), .. } => format!("session {}", plain(name)),
            Gone::Session { id, .. } => format!("a session with the id {id}"),
            Gone::Engine { name, .. } => format!("engine {}", plain(name)),
        }
    }

    /// Tells whether it may be a session of this engine, beside all that are here: of which it was may not
    /// have been noted, or only by a name that the engine has no longer.
    pub fn may_be_of(&self, its: &Engine, all: &[Engine]) -> bool {
        let is_called =
            |engine: &Engine, name: &str| engine.name.to_lowercase() == name.to_lowercase();
        match self {
            Gone::Session { engine_id: Some(id), .. } if all.iter().any(|one| one.id == *id) => {
                *id == its.id
            }
            Gone::Session { engine: Some(name), .. } => {
                is_called(its, name) || !all.iter().any(|one| is_called(one, name))
            }
            Gone::Session { engine: None, .. } => true,
            Gone::Engine { .. } => false,
        }
    }

    /// Deals what is gone to the engines that it may be of, as [`Gone::may_be_of`] tells of one.
    pub fn by_engine<'a>(gone: &'a [Gone], engines: &[Engine]) -> Vec<Vec<&'a Gone>> {
        let mut dealt: Vec<Vec<&Gone>> = vec![Vec::new(); engines.len()];
        if gone.is_empty() {
            return dealt;
        }
        let places = || 0..engines.len();
        let ids: BTreeMap<&str, usize> =
            engines.iter().map(|one| one.id.as_str()).zip(places()).collect();
        let mut names: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (engine, place) in engines.iter().zip(places()) {
            names.entry(engine.name.to_lowercase()).or_default().push(place);
        }
        for one in gone {
            let Gone::Session { engine_id, engine, .. } = one else { continue };
            let by_id = engine_id.as_ref().and_then(|id| ids.get(id.as_str())).map(|at| vec![*at]);
            let called = || names.get(&engine.as_ref()?.to_lowercase()).cloned();
            for place in by_id.or_else(called).unwrap_or_else(|| places().collect()) {
                dealt.get_mut(place).into_iter().for_each(|its| its.push(one));
            }
        }
        dealt
    }

    /// Returns what a session is called that may not have ended when it was last seen here; `None` of any
    /// other.
    pub fn may_be_open(&self) -> Option<&str> {
        match self {
            Gone::Session { ended: true, .. } | Gone::Engine { .. } => None,
            Gone::Session { name, id, .. } => Some(name.as_ref().unwrap_or(id)),
        }
    }
}

impl fmt::Display for Gone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Gone::Session { entries, elsewhere, memo, .. } => {
                f.write_str(&self.of_its_engine())?;
                if let Some(elsewhere) = self.lies_elsewhere() {
                    return write!(
                        f,
                        " {}; where what is there is gone for good, remove {}, and no more is said of it",
                        elsewhere.place(),
                        shown(memo)
                    );
                }
                let many = if *entries == 1 { "1 entry" } else { &format!("{entries} entries") };
                write!(f, ": its file is gone; it had {many} when it was last seen here; ")?;
                match elsewhere {
                    Some(elsewhere) => write!(f, "it {}; ", elsewhere.place())?,
                    None => f.write_str(
                        "to bring it back: cowlside restore BACKUP, or cowlside take COPY; ",
                    )?,
                }
                write!(
                    f,
                    "where it was taken away on purpose, remove {}, and no more is said of it",
                    shown(memo)
                )
            }
            Gone::Engine { name, session, sessions, .. } => {
                let (many, they) = match sessions {
                    1 => ("1 session names".to_owned(), "it is"),
                    n => (format!("{n} sessions name"), "they are"),
                };
                write!(
                    f,
                    "{}: its file is gone, and {many} it here; to bring it back: cowlside restore \
                     BACKUP; else {}, and {they} found again",
                    self.named(),
                    command("engine add", (name, ""), &option("--of", session))
                )
            }
        }
    }
}

/// A file among the sessions, as far as it tells whose it is.
pub(super) struct Here<'a> {
    pub id: Option<&'a str>,
    pub path: &'a Path,
    pub name: &'a str,
    pub engine_id: Option<&'a str>,
    pub engine: Option<&'a str>,
}

impl<'a> Here<'a> {
    /// One that tells nothing.
    pub fn unknown(path: &'a Path) -> Here<'a> {
        Here { id: None, path, name: "", engine_id: None, engine: None }
    }
}

/// Lists what was here and is gone.
///
/// # Errors
/// The folder cannot be listed.
pub fn gone(folder: &Folder) -> Result<Vec<Gone>, StoreError> {
    let listing = sessions::list(folder)?;
    let here = listing.sessions.iter().map(|one| Here {
        id: Some(one.id.as_str()).filter(|id| !id.is_empty()),
        path: &one.path,
        name: &one.name,
        engine_id: one.engine_id.as_deref(),
        engine: one.engine.as_deref(),
    });
    let apart = listing.apart.iter().filter(|one| one.unopened.is_some());
    let unopened = apart.map(|one| Here::unknown(&one.path));
    of(folder, &here.chain(unopened).collect::<Vec<_>>())
}

/// Lists the sessions that are gone, beside all that are here. Only their memos are read.
///
/// # Errors
/// The folder cannot be listed.
pub fn sessions_gone(folder: &Folder, known: &[Glance]) -> Result<Vec<Gone>, StoreError> {
    let ids: BTreeSet<&str> = known.iter().map(|one| one.id.as_str()).collect();
    let memos = seen::of_those(folder, |id| !ids.contains(id));
    if memos.is_empty() {
        return Ok(Vec::new());
    }
    let tell: BTreeSet<&Path> =
        known.iter().filter(|one| !one.id.is_empty()).map(|one| one.path.as_path()).collect();
    let mut files = files_in(&folder.sessions(), "jsonl")?;
    files.retain(|path| !tell.contains(path.as_path()));
    Ok(those_gone(folder, memos, files.iter().map(PathBuf::as_path)))
}

/// Lists what is gone beside these files.
pub(super) fn of(folder: &Folder, here: &[Here]) -> Result<Vec<Gone>, StoreError> {
    let ids: BTreeSet<&str> = here.iter().filter_map(|one| one.id).collect();
    let memos = seen::of_those(folder, |id| !ids.contains(id));
    let nameless = here.iter().filter(|one| one.id.is_none()).map(|one| one.path);
    let mut gone = those_gone(folder, memos, nameless);
    gone.extend(engines_gone(folder, here)?);
    Ok(gone)
}

/// Tells of sessions that were seen and have no file here any more. One whose beginning is lost is damaged,
/// and not gone.
fn those_gone<'a>(
    folder: &Folder,
    memos: Vec<Memo>,
    nameless: impl Iterator<Item = &'a Path>,
) -> Vec<Gone> {
    let begins: Vec<String> = nameless.map(id_begins).filter(|begins| !begins.is_empty()).collect();
    let is_gone = |memo: &Memo| !begins.iter().any(|begins| memo.session.starts_with(begins));
    let gone = memos.into_iter().filter(is_gone).map(|memo| {
        let elsewhere = seen::elsewhere(folder, &memo.session, |_| false);
        let Named { engine, engine_id, ended, .. } = memo.named.clone().unwrap_or_default();
        Gone::Session {
            id: memo.session,
            name: memo.named.map(|named| named.name),
            engine,
            engine_id,
            ended,
            entries: memo.last.seq + 1,
            elsewhere,
            memo: memo.path,
        }
    });
    gone.collect()
}

/// Lists the engines that sessions name and that have no file; one that cannot be read is none of them.
fn engines_gone(folder: &Folder, here: &[Here]) -> Result<Vec<Gone>, StoreError> {
    let known: BTreeSet<String> =
        files_in(&folder.engines(), "json")?.iter().filter_map(|path| stem(path)).collect();
    let mut named: BTreeMap<&str, (&str, &str, usize)> = BTreeMap::new();
    for one in here {
        let (Some(id), Some(engine)) = (one.engine_id, one.engine) else { continue };
        if is_id(id) && !known.contains(id) {
            let (name, session, count) = named.entry(id).or_insert((engine, one.name, 0));
            (*name, *session, *count) = (engine, one.name, *count + 1);
        }
    }
    let gone = named.into_iter().map(|(id, (name, session, sessions))| Gone::Engine {
        id: id.to_owned(),
        name: name.to_owned(),
        session: session.to_owned(),
        sessions,
    });
    Ok(gone.collect())
}

fn stem(path: &Path) -> Option<String> {
    Some(path.file_stem()?.to_string_lossy().into_owned())
}
