//! A session in the words of somebody who only looks on while another terminal has it in hand.
//!
//! Whoever stands at the engine may see this screen, too: of a valve that is to be gauged now no
//! earlier figure is told, as in the session itself.

use super::untold::Untold;
use super::{Talk, place, status};
use crate::domain::entry::{Kept, Moment};
use crate::domain::plain::plain;
use crate::domain::session::{Due, Session};

/// What an onlooker is told.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Glimpse {
    /// The engine.
    pub engine: String,
    /// Where in the job the session is.
    pub place: String,
    /// What is asked now: a title, and the question.
    pub asked: [String; 2],
    /// Open items.
    pub open: Vec<String>,
    /// What was kept, the oldest first.
    pub kept: Vec<Said>,
    /// Whether the session has ended.
    pub closed: bool,
}

/// One entry in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// Its number.
    pub seq: u64,
    /// When it was kept.
    pub at: Moment,
    /// What it says.
    pub words: String,
}

/// Puts a session into an onlooker's words.
pub fn glimpse(session: &Session) -> Glimpse {
    let prompt = Talk::default().prompt(session);
    let due = session.state.due();
    let untold = Untold::of(session);
    let said = |kept: &Kept| {
        let words = untold.words(session, kept)?;
        let taken_back = if session.is_void(kept.seq) { " (taken back)" } else { "" };
        let words = format!("{words}{taken_back}");
        Some(Said { seq: kept.seq, at: kept.at, words })
    };
    Glimpse {
        engine: plain(session.state.begin.engine.as_deref().unwrap_or("engine")),
        place: place::place(session),
        asked: [plain(&prompt.title), plain(&prompt.ask)],
        open: status::open_lines(session),
        kept: session.kept.iter().filter_map(said).collect(),
        closed: due == Due::Closed,
    }
}
