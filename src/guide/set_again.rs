//! A nut that is slack after all, and a valve that is set again once the rounds are done: which valve,
//! and what has to be undone for it.

use super::form::{pick, prompt, take};
use super::named::valve_name;
use super::talk::refused_words;
use super::which_valve::ask_valve;
use super::{Field, Step};
use crate::domain::entry::Entry;
use crate::domain::session::{Input, Session};
use crate::domain::valve::Valve;

/// A nut is slack after all, as it is listed.
pub(super) const FOUND_SLACK: &str = "a nut is slack after all";
/// Setting a valve again after the rounds, as it is listed.
pub(super) const SET_AGAIN: &str = "set a valve again: its nut is slackened";

/// Asks which nut is slack.
pub(super) fn found_slack(session: &Session, place: &str, given: &[String]) -> Step {
    ask_valve(session, place, "A nut is slack after all", given, |valve, rest| {
        surely(session, place, valve, "yes, it is slack", rest, Input::NutFoundSlack(valve))
    })
}

/// Asks which valve is set again.
pub(super) fn set_again(session: &Session, place: &str, given: &[String]) -> Step {
    ask_valve(session, place, "Set a valve again", given, |valve, rest| {
        surely(session, place, valve, "yes, set it again", rest, Input::OpenSet(valve))
    })
}

/// A wrong key here takes an engine apart again, so it is asked once.
fn surely(
    session: &Session,
    place: &str,
    valve: Valve,
    yes: &str,
    given: &[String],
    input: Input,
) -> Step {
    let state = &session.state;
    // What cannot be taken is not asked about first.
    let taken = match session.decide(&input) {
        Ok(taken) => taken,
        Err(refusal) => return Step::Refused(refused_words(session, &refusal)),
    };
    let mut ask = prompt(place, format!("The nut of {}", valve_name(state, valve)), "Is it so?")
        .also_large("NUT SLACK")
        .line("From here its nut counts as slack: it is locked and gauged after, at its own stop.");
    if taken.iter().any(|entry| matches!(entry, Entry::Remark(_))) {
        ask = ask.line("It was very tight: its leak test is owed before the plugs go in.");
    }
    if state.begun_closing() {
        ask = ask.line(
            "Covers go off again, by the usual way: made safe, counted out, the crank proven. What was \
             closed up is asked anew.",
        );
    } else if state.may_reopen(&state.due()) {
        ask = ask.line("No cover goes on before that. What was counted in is counted anew.");
    }
    let ask = ask.with(Field::choice(&[(1, yes), (0, "no")]));
    pick(ask, given, |digit, _| if digit == Some(1) { take(input) } else { Step::Back })
}
