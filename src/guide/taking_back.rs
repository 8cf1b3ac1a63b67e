//! Taking back: whether the key comes to something, and what is answered for instead: a nut, or what
//! was said to have come out.

use super::Step;
use super::form::{capital, reason, take};
use super::part_words::part_words;
use crate::domain::entry::{Entry, NutSaid, Part};
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
    slack_just_now(session).is_some()
        || session.came_out_last().is_some()
        || session.decide(&Input::TakeBack).is_ok()
}

/// A nut said slack, or a part said out, by mistake is not taken back without a word but answered for,
/// so the key asks that at once.
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
        None => match session.came_out_last().map(|kept| (kept.seq, &kept.entry)) {
            Some((of, Entry::Part(part))) => not_out(session, place, (of, part), given),
            _ => take(Input::TakeBack),
        },
    }
}

/// Asks why what was said to be out is not, or why it was another size.
fn not_out(session: &Session, place: &str, (of, part): (u64, &Part), given: &[String]) -> Step {
    let title = capital(&format!("{}: taken back?", part_words(session, part)));
    let usual = if part.valve.is_some() { OF_PARTS } else { OF_CAMS };
    reason(place, &title, usual, given, |why, _| take(Input::Void { of, why }))
}

/// Why a nut that counts as slack is not: one left slack by an earlier session may be locked since.
pub(super) fn untouched(state: &State, valve: Valve) -> &'static [&'static str] {
    if state.left_slack(valve) { SEEN_LOCKED } else { NEVER_TOUCHED }
}

const SEEN_LOCKED: &[&str] = &["seen and tried with the spanner: it is locked"];
const NEVER_TOUCHED: &[&str] = &["pressed by mistake", "the wrong valve was named"];
const OF_PARTS: &[&str] =
    &["the size was typed wrong", "pressed by mistake: it is in", "the wrong valve was named"];
const OF_CAMS: &[&str] = &["pressed by mistake: they are in", "the wrong bank was named"];
