//! A shop where no engine's file can be read is not told that it has no engine, and an engine beside
//! sessions' files that cannot be opened not that it has no service: they may be its.

use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::plain::plain;
use crate::store::StoreError;
use crate::store::engines::{self, Engine};
use crate::store::folder::Folder;
use crate::store::seen::{self, Empty};
use crate::store::sessions::{self, Glance, NAMED, Unopened};
use crate::store::verify::{Gone, sessions_gone};

/// What to do about an engine's file that is damaged.
pub(super) const DAMAGED: &str = "bring the file back with cowlside restore BACKUP, or add the engine anew \
                       under its name: its sessions are found again";

/// Says what to do about files of engines that cannot be read.
pub fn to_do(broken: &[StoreError]) -> String {
    let mut hints: Vec<String> = Vec::new();
    for one in broken {
        let hint = match one {
            StoreError::DamagedFile { .. } => DAMAGED.to_owned(),
            other => other.hint(),
        };
        if !hints.contains(&hint) {
            hints.push(hint);
        }
    }
    hints.join("; ")
}

/// What is said of a shop without an engine that can be read: which files cannot be, and what to do.
pub struct Unread {
    /// The files and what is the matter with them.
    pub files: String,
    /// What to do.
    pub to_do: String,
}

/// Looks why no engine can be listed; `None` where there is none.
pub fn engines_unread(workshop: &Workshop) -> Result<Option<Unread>, Fail> {
    let broken = engines::list(workshop.folder())?.broken;
    let files: Vec<String> = broken.iter().map(ToString::to_string).collect();
    let unread = Unread { files: files.join("; "), to_do: to_do(&broken) };
    Ok((!broken.is_empty()).then_some(unread))
}

impl Workshop {
    /// Lists the sessions' files that cannot be opened: each may be of this engine. What never held an
    /// entry, as far as the memo of what was here knows, is missed by nobody.
    pub fn unopened(&self, engine: &Engine) -> Vec<Unopened> {
        let listing = sessions::list_of(self.folder(), engine);
        let mut unopened = listing.map_or_else(|_| Vec::new(), |listing| listing.unopened());
        let nobodys = |one: &Unopened| seen::empty(self.folder(), &one.path) == Empty::FailedStart;
        unopened.retain(|one| !one.empty || !nobodys(one));
        for one in unopened.iter_mut().filter(|one| one.empty) {
            let lost = seen::lost_of(self.folder(), one.id_begins());
            lost.into_iter().for_each(|memo| one.held(memo.last.seq + 1));
        }
        unopened
    }

    /// Says of sessions that were here and are gone and may be of this engine that they are.
    pub fn gone(&self, engine: &Engine) -> Vec<String> {
        self.those_gone(engine).iter().map(said).collect()
    }

    /// Says the same in a line or two each, on a page that asks something else.
    pub fn gone_of(&self, engine: &Engine) -> Vec<String> {
        gone_in_short(&self.those_gone(engine))
    }

    /// Lists the sessions that were here and are gone and may be of this engine.
    pub(super) fn those_gone(&self, engine: &Engine) -> Vec<Gone> {
        let known = sessions::list(self.folder()).map_or_else(|_| Vec::new(), |all| all.sessions);
        let mut gone = sessions_gone(self.folder(), &known).unwrap_or_default();
        let all = || engines::list(self.folder()).map_or_else(|_| Vec::new(), |all| all.engines);
        let all = if gone.is_empty() { Vec::new() } else { all() };
        gone.retain(|one| one.may_be_of(engine, &all));
        gone
    }

    /// Says beside a failure to find something of an engine which sessions' files cannot be opened.
    pub fn beside_unopened(&self, engine: &Engine, fail: Fail) -> Fail {
        match (unopened_words(&self.unopened(engine)), fail) {
            (Some(Unread { files, to_do }), Fail::Work { error, hint }) => {
                let hint = format!("{to_do}: it may be of this engine. Else: {hint}");
                Fail::work(format!("{error}; {files}"), hint)
            }
            (_, fail) => fail,
        }
    }
}

/// Says of sessions that are gone that they are, with the way back.
pub fn gone_words(folder: &Folder, known: &[Glance]) -> Vec<String> {
    let gone = sessions_gone(folder, known).unwrap_or_default();
    gone.iter().map(said).collect()
}

/// Says the same in a line or two each, and where the rest is told.
pub(super) fn gone_in_short(gone: &[Gone]) -> Vec<String> {
    gone.iter().map(|gone| plain(&format!("{}: {}", gone.word(), gone.in_short()))).collect()
}

/// Says of a session that is asked for that it was here and is gone; `None` where none is called so.
pub fn is_gone(folder: &Folder, known: &[Glance], asked: &str) -> Option<Fail> {
    let gone = sessions_gone(folder, known).unwrap_or_default();
    let is_it = |one: &&Gone| match one {
        Gone::Session { name: Some(name), .. } => name.eq_ignore_ascii_case(asked),
        Gone::Session { .. } | Gone::Engine { .. } => false,
    };
    let hint = "nothing of it can be shown before it is back";
    gone.iter().find(is_it).map(|one| Fail::work(said(one), hint))
}

fn said(gone: &Gone) -> String {
    plain(&format!("{}: {gone}", gone.word()))
}

/// How many sessions are not here.
#[derive(Clone, Copy, Debug, Default)]
pub struct NotHere {
    /// They are gone.
    pub gone: usize,
    /// They are kept in other folders.
    pub elsewhere: usize,
}

/// Counts what these words say that it is not here.
pub fn many_not_here(notes: &[String]) -> NotHere {
    let many = |word: &str| notes.iter().filter(|note| note.starts_with(word)).count();
    NotHere { gone: many("GONE: "), elsewhere: many("ELSEWHERE: ") }
}

/// Says of sessions' files that they cannot be opened, and what to do; `None` where there are none.
pub fn unopened_words(unopened: &[Unopened]) -> Option<Unread> {
    let mut to_do: Vec<&str> = Vec::new();
    for one in unopened {
        if !to_do.contains(&one.to_do.as_str()) {
            to_do.push(&one.to_do);
        }
    }
    let mut files: Vec<String> = unopened.iter().take(NAMED).map(ToString::to_string).collect();
    files.extend(more(unopened));
    (!files.is_empty()).then(|| Unread { files: files.join("; "), to_do: to_do.join("; ") })
}

fn more(unopened: &[Unopened]) -> Option<String> {
    let more = unopened.len().saturating_sub(NAMED);
    (more > 0).then(|| format!("and {more} more: cowlside verify tells them all"))
}

/// Says on the page that begins a service which sessions' files cannot be opened: one may be open.
pub fn on_the_page(unopened: &[Unopened]) -> Vec<String> {
    let Some(Unread { files, to_do }) = unopened_words(unopened) else { return Vec::new() };
    vec![format!("NOT READ: {files}."), format!("It may be of this engine: {to_do}.")]
}
