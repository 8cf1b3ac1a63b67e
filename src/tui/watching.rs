//! A session that is only looked at: another terminal has it in hand, or it cannot be written. No key
//! answers anything; what is new is read from time to time.

use super::app::{App, Carried, List, Listed, Top};
use super::job::{Job, Table};
use std::time::Duration;

/// How often it is looked whether there is something new.
pub const LOOK: Duration = Duration::from_millis(500);

/// The session as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Watched {
    /// That it is only looked at, and why.
    pub alert: String,
    /// The engine.
    pub engine: String,
    /// Where in the job the session is.
    pub place: String,
    /// Open items.
    pub open: Vec<String>,
    /// What is asked now, and what was kept, the newest first.
    pub list: List,
    /// Whether it can be gone on with here.
    pub free: bool,
}

impl Watched {
    /// Shows a session from its newest entry on.
    pub fn new(
        alert: String,
        (engine, place): (String, String),
        open: Vec<String>,
        table: Table,
    ) -> Watched {
        Watched { alert, engine, place, open, list: List::new(Listed::Watched, table), free: false }
    }

    /// Offers to go on with it here, where that would be done.
    #[must_use]
    pub fn offered(self, free: bool) -> Watched {
        Watched { free, ..self }
    }
}

impl<J: Job> App<J> {
    /// Looks at a session, or at what has become of it since.
    pub(super) fn watch(&mut self, mut watched: Watched) {
        match &self.watched {
            Some(before) => {
                let last = watched.list.table.rows.len().saturating_sub(1);
                watched.list.cursor = before.list.cursor.min(last);
            }
            None => {
                self.job = None;
                self.forms.clear();
                self.top = Top::Nothing;
                self.entry.clear();
            }
        }
        self.watched = Some(Box::new(watched));
    }

    /// Takes in whether there was something new; tells whether anything on the screen has changed.
    pub(super) fn looked_on(self, answer: Result<Carried<J>, String>) -> (App<J>, bool) {
        let before = self.watched.clone();
        match answer {
            Ok(carried) => {
                let app = self.with(carried);
                let changed = app.watched != before;
                (app, changed)
            }
            Err(why) => (self.refused(why), true),
        }
    }
}
