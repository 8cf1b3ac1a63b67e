//! The leak test of a cylinder with a very tight valve: before its screw is touched, or, where it was
//! promised for later, before the engine is closed up and run.

use super::closing::{CLOSE, RUN};
use super::form::{prompt, reason_of, take, type_in};
use super::status::number_and_side;
use super::turning::place_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::LeakTest;
use crate::domain::session::{Input, LEAK_TEST_LATER, Session};
use crate::domain::valve::{Cylinder, Valve};

const ASK: &str = "What did it hold, of how much? As in 74/80; 0 = not tested.";

/// Asks for the leak test before the screw of a very tight valve is touched.
pub(super) fn before_setting(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
) -> Step {
    let title = format!("{valve} is very tight: a leak test before anything is changed");
    let ask = with_place(prompt(place, title, ASK), session, valve.cylinder)
        .line("A valve held off its seat loses air. The manual gives the limits.");
    let why = prompt(place, "No leak test", "Why?")
        .line("Only 2 promises it: it is asked for again before the plugs go in.")
        .line("Any other reason, your own words too, promises nothing: it is not asked again.");
    let usual = ["done earlier in this service", LEAK_TEST_LATER];
    asked(ask.line(held(session)), why, &usual, given)
}

/// Asks for a leak test that was promised for later.
pub(super) fn promised(
    session: &Session,
    cylinder: Cylinder,
    plugs_out: bool,
    given: &[String],
) -> Step {
    let by_another = "done by somebody else: figure in their record";
    if plugs_out {
        let title =
            format!("The leak test of cylinder {cylinder} is owed, before its plug goes in");
        let ask = with_place(prompt(CLOSE, title, ASK), session, cylinder)
            .line("A valve was very tight here. Tested now, nothing has to be undone for it.");
        let why = prompt(CLOSE, "Its plug goes in without a leak test", "Why?")
            .line("With 2 it is asked once more before the run, and what it undoes is asked anew.")
            .line("Any other reason, your own words too, ends it: it is not asked again.");
        return asked(ask.line(held(session)), why, &[by_another, LEAK_TEST_LATER], given);
    }
    let title = format!("The leak test of cylinder {cylinder} was put off until now");
    let ask = with_place(prompt(RUN, title, ASK), session, cylinder)
        .line("No run before it is tested, or said why not. MAKE SAFE first: all leads off, fuel off.")
        .line(held(session))
        .line("After it: plugs, two turns by hand, leads and controls are asked anew.");
    let why = prompt(RUN, "Run without its leak test", "Why?").line("It is not asked again.");
    asked(ask, why, &[by_another], given)
}

/// Says what was kept of a leak test, and whether it is asked again.
pub(super) fn words(test: &LeakTest) -> String {
    let cylinder = test.cylinder;
    match test.held {
        Some((held, of)) => format!("leak test {cylinder}: {held} of {of}"),
        None if test.why_not.as_deref() == Some(LEAK_TEST_LATER) => {
            format!("leak test of {cylinder} promised: it is asked for again")
        }
        None => format!("no leak test of {cylinder}: it is not asked again"),
    }
}

fn with_place(ask: Prompt, session: &Session, cylinder: Cylinder) -> Prompt {
    let place = place_words(session.state.facts(), cylinder);
    ask.big(number_and_side(&session.state, cylinder), place).with(Field::typed(Typed::Number))
}

fn held(session: &Session) -> String {
    let rotation = session.state.facts().rotation.as_ref();
    let by_propeller = rotation.is_some_and(|rotation| rotation.by_propeller());
    let held = if by_propeller { "propeller" } else { "crank" };
    format!("Before air goes on: a second person holds the {held}, and is in charge.")
}

fn asked(ask: Prompt, why: Prompt, usual: &[&str], given: &[String]) -> Step {
    type_in(ask, given, |typed, rest| {
        if typed != "0" {
            return take(Input::LeakTest { typed: typed.into(), why_not: String::new() });
        }
        reason_of(why, usual, rest, |why_not, _| {
            take(Input::LeakTest { typed: String::new(), why_not })
        })
    })
}
