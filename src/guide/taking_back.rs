//! Taking back: whether the key comes to something, and the nut that is answered for instead.

use super::Step;
use super::form::{reason, take};
use crate::domain::entry::{Entry, NutSaid};
use crate::domain::session::{Due, Input, Session, State};
use crate::domain::valve::Valve;

/// Returns the valve whose nut was said slack just now.
fn slack_just_now(session: &Session) -> Option<Valve> {
    match (session.last_entry().map(|kept| &kept.entry), session.state.due()) {
        (Some(Entry::Nut(nut)), Due::Trying(valve))
            if nut.valve == valve && nut.said == NutSaid::Slack =>
        {
            Some(valve)
        }
        _ => None,
    }
}

/// Tells whether the key that takes back comes to something.
pub fn may_take_back(session: &Session) -> bool {
    slack_just_now(session).is_some() || session.decide(&Input::TakeBack).is_ok()
}

/// A nut said slack by mistake is not taken back but answered for, so the key asks that at once.
pub(super) fn step(session: &Session, place: &str, given: &[String]) -> Step {
    match slack_just_now(session) {
        Some(valve) => {
            let title = if session.state.left_slack(valve) {
                format!("The nut of {valve}: seen, and it is locked?")
            } else {
                format!("The nut of {valve} was never slackened?")
            };
            reason(place, &title, untouched(&session.state, valve), given, |why, _| {
                take(Input::NutNeverTouched { valve, why })
            })
        }
        None => take(Input::TakeBack),
    }
}

/// Why a nut that counts as slack is not: one left slack by an earlier session may be locked since.
pub(super) fn untouched(state: &State, valve: Valve) -> &'static [&'static str] {
    if state.left_slack(valve) { SEEN_LOCKED } else { NEVER_TOUCHED }
}

const SEEN_LOCKED: &[&str] = &["seen and tried with the spanner: it is locked"];
const NEVER_TOUCHED: &[&str] = &["pressed by mistake", "the wrong valve was named"];
