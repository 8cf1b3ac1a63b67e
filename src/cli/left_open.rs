//! What was left open at an engine by a service that has ended, or by another version of this one:
//! a slack nut does not tighten because a session was closed.
//!
//! It goes into the session that is begun or gone on with, as remarks that have to be answered before
//! the engine runs: they stand in the top line, on the tag and on the record until then.

use super::workshop::Workshop;
use crate::domain::entry::{Entry, Remark};
use crate::domain::session::{OpenItem, Session};
use crate::store::engines::Engine;

impl Workshop {
    /// Returns what the last service of an engine left open where it was ended, as remarks to be
    /// answered before the engine runs.
    pub(super) fn left_open(&self, engine: &Engine) -> Vec<Entry> {
        // What cannot be read is told where it is opened.
        let listed = self.sessions_of(engine).map_or_else(|_| Vec::new(), |found| found.things);
        let last = listed.iter().rfind(|one| one.sealed && one.counts());
        let session = last.and_then(|last| {
            Some((last.name.clone(), Session::replay(&self.read(&last.path).ok()?.entries)?))
        });
        session.map_or_else(Vec::new, |(name, session)| {
            remarks_of(&session, &format!("left open by {name}"))
        })
    }

    /// Returns what other versions of a session have open and this one does not know of, as remarks
    /// to be answered before the engine runs.
    pub(super) fn open_elsewhere(&self, engine: &Engine, session: &Session) -> Vec<Entry> {
        let listed = self.sessions_of(engine).map_or_else(|_| Vec::new(), |found| found.things);
        let known: Vec<&str> =
            session.state.remarks.iter().map(|(_, remark)| remark.text.as_str()).collect();
        let here: Vec<String> =
            session.state.open_items().iter().map(ToString::to_string).collect();
        let versions = listed.iter().filter(|one| one.id == session.head.session);
        let mut found = Vec::new();
        for (letter, one) in versions.filter_map(|one| Some((one.letter()?, one))) {
            let Some(other) =
                self.read(&one.path).ok().and_then(|read| Session::replay(&read.entries))
            else {
                continue;
            };
            for entry in remarks_of(&other, &format!("open in version {letter}")) {
                let Entry::Remark(remark) = &entry else { continue };
                let item = remark.text.split_once(": ").map_or("", |(_, item)| item);
                let told = known.contains(&remark.text.as_str());
                if !told && !here.iter().any(|here| here == item) {
                    found.push(entry);
                }
            }
        }
        found
    }
}

/// Makes a remark, to be answered before the engine runs, of each thing that a session has open.
fn remarks_of(session: &Session, whose: &str) -> Vec<Entry> {
    let remark = |item: &OpenItem| {
        let text = match item {
            // Handed on as it was said first.
            OpenItem::BeforeRunning { text, .. } if text.starts_with("left open by ") => {
                text.clone()
            }
            OpenItem::BeforeRunning { text, .. } => format!("{whose}: {text}"),
            OpenItem::NutSlack(_)
            | OpenItem::Unloaded(_)
            | OpenItem::PartOut(_)
            | OpenItem::TurnsOwed
            | OpenItem::Missing { .. }
            | OpenItem::NotCountedIn { .. } => format!("{whose}: {item}"),
        };
        Entry::Remark(Remark { text, before_running: true, ..Remark::default() })
    };
    session.state.open_items().iter().map(remark).collect()
}
