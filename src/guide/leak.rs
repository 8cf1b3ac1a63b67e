//! The leak test of a cylinder with a very tight valve: before its screw is touched, or, where it was
//! promised for later, before the engine is closed up and run.

use super::closing::{CLOSE, RUN};
use super::form::{pick, prompt, reason_of, take, type_in};
use super::named::valve_name;
use super::status::number_and_side;
use super::turning::place_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::LeakTest;
use crate::domain::plain::plain;
use crate::domain::session::{
    Input, LEAK_TEST_LATER, LEAK_TEST_NOW, Session, State, leak_figure, leaks_much,
};
use crate::domain::valve::{Cylinder, Valve};

/// Which reason is the last word.
const ENDS: &str = "Any other, own words too, ends it.";
/// The same where the crank stands at a stop: own words may tell of a test that was made.
const ENDS_UNPROVEN: &str = "Any other, own words too, ends it: then prove the place again.";
/// Its figure is asked for: the test turned the crank, whoever tells of it afterwards.
const EARLIER: &str = "done earlier in this service: type its figure";
const EARLIER_ASK: &str = "What did it hold, of how much? As in 74/80.";
const ASK: &str = "What did it hold? 74/80; 0 = not tested";

/// Asks for the leak test before the screw of a very tight valve is touched.
pub(super) fn before_setting(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
) -> Step {
    let tight = valve_name(&session.state, valve);
    let title = format!("{tight} is very tight: a leak test before anything is changed");
    let ask = with_place(prompt(place, title, ASK), session, valve.cylinder)
        .line(held(session, valve.cylinder) + " Then prove the place again.")
        .whole_for_any()
        .line("A valve off its seat loses air. The manual gives the limits.");
    let why = prompt(place, format!("No leak test of cylinder {}", valve.cylinder), "Why?")
        .also_large("NO LEAK TEST")
        .line("Only 2 promises it: asked again before the plugs go in.")
        .line(ENDS_UNPROVEN);
    let done = format!("Leak test of cylinder {}: done earlier", valve.cylinder);
    let earlier = prompt(place, done, EARLIER_ASK)
        .also_large("LEAK TEST")
        .line("The crank was turned for it: prove the place again after this.")
        .with(Field::typed(Typed::Number));
    let state = &session.state;
    asked(state, valve.cylinder, ask, why, (&[EARLIER, LEAK_TEST_LATER], Some(earlier)), given)
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
        let out_again = session.state.was_out_for_a_test(cylinder);
        let owed =
            if out_again { "its plug out once more" } else { "owed before its plug goes in" };
        let title = format!("Leak test of cylinder {cylinder}: {owed}");
        let ask = with_place(prompt(CLOSE, title, ASK), session, cylinder)
            .line(held(session, cylinder))
            .whole_for_any()
            .line(if out_again {
                "A valve was very tight here. All is asked anew that was undone for it."
            } else {
                "A valve was very tight here. Tested now, nothing has to be undone for it."
            });
        let untested = format!("Cylinder {cylinder}: plug in without a leak test");
        let why = prompt(CLOSE, untested, "Why?")
            .also_large("NO LEAK TEST")
            .line("With 2 it is asked before the run, and what it undoes anew.")
            .line(ENDS);
        return asked(
            &session.state,
            cylinder,
            ask,
            why,
            (&[by_another, LEAK_TEST_LATER], None),
            given,
        );
    }
    before_the_run(session, cylinder, &[by_another], given)
}

/// With the plugs in no figure is taken: for the test the crank is turned, with air on, and its
/// cautions come first.
fn before_the_run(session: &Session, cylinder: Cylinder, usual: &[&str], given: &[String]) -> Step {
    let title = format!("Leak test of cylinder {cylinder}: put off until now");
    let place = place_words(session.state.facts(), cylinder);
    let ask = prompt(RUN, title, "Is it tested now?")
        .big(number_and_side(&session.state, cylinder), place)
        .line("Its plug comes out once more. MAKE SAFE first: that is asked one by one.")
        .line("After it plugs, two turns by hand, leads and controls are asked anew.")
        .line("A valve was very tight here: no run before it is tested, or said why not.")
        .with(Field::choice(&[(1, "yes: make safe for it"), (0, "not tested: say why")]));
    let untested = format!("Run without a leak test of cylinder {cylinder}");
    let why =
        prompt(RUN, untested, "Why?").also_large("NO LEAK TEST").line("It is not asked again.");
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::LeakTest { typed: String::new(), why_not: LEAK_TEST_NOW.into() }),
        _ => reason_of(why, usual, rest, |why_not, _| {
            take(Input::LeakTest { typed: String::new(), why_not })
        }),
    })
}

/// Says what was kept of a leak test.
pub(super) fn words(test: &LeakTest) -> String {
    let cylinder = test.cylinder;
    match test.held {
        Some((held, of)) => format!("leak test {cylinder}: {held} of {of}"),
        None if is_promised(test) => format!("leak test of {cylinder} promised"),
        None if is_now(test) => format!("leak test of {cylinder} to be made now"),
        None => format!("no leak test of {cylinder}"),
    }
}

/// Says whether a leak test that was not made is asked again, and what follows from one that is low;
/// nothing of any other that was made.
pub(super) fn asked_again(state: &State, test: &LeakTest) -> Option<&'static str> {
    match test.held {
        Some((held, of)) if leaks_much(held, of) => Some(match may_be_set(state, test.cylinder) {
            true => "find the cause before the valve is set; the manual rules",
            false => "find the cause before the engine runs; the manual rules",
        }),
        Some(_) => None,
        None if is_promised(test) => Some("asked again before the plugs go in, or the run"),
        None if is_now(test) => Some("make safe first, then its figure is asked"),
        None => Some("not asked again"),
    }
}

/// Tells whether the valves of a cylinder may still be set, so that a cause is found before that.
fn may_be_set(state: &State, cylinder: Cylinder) -> bool {
    let set = state.touched.iter().any(|valve| valve.cylinder == cylinder);
    !set && state.round().is_some()
}

/// Says at the signature which leak tests lost much, and what was found.
pub fn low_tests(state: &State) -> Vec<String> {
    let low = state.low_leak_tests().into_iter();
    low.map(|(test, found)| match found {
        Some(found) => format!("{test}, low; found: {}", plain(found)),
        None => format!("{test}, low; no cause told"),
    })
    .collect()
}

fn is_promised(test: &LeakTest) -> bool {
    test.why_not.as_deref() == Some(LEAK_TEST_LATER)
}

fn is_now(test: &LeakTest) -> bool {
    test.why_not.as_deref() == Some(LEAK_TEST_NOW)
}

fn with_place(ask: Prompt, session: &Session, cylinder: Cylinder) -> Prompt {
    let place = place_words(session.state.facts(), cylinder);
    ask.big(number_and_side(&session.state, cylinder), place).with(Field::typed(Typed::Number))
}

fn held(session: &Session, cylinder: Cylinder) -> String {
    let rotation = session.state.facts().rotation.as_ref();
    let by_propeller = rotation.is_some_and(|rotation| rotation.by_propeller());
    let held = if by_propeller { "propeller" } else { "crank" };
    format!(
        "Before air goes on: piston {cylinder} at top dead centre of compression, a second person in \
         charge holds the {held}."
    )
}

fn asked(
    state: &State,
    cylinder: Cylinder,
    ask: Prompt,
    why: Prompt,
    (usual, earlier): (&[&str], Option<Prompt>),
    given: &[String],
) -> Step {
    let place = ask.place.clone();
    type_in(ask, given, |typed, rest| {
        if typed != "0" {
            return figure(state, &place, (cylinder, typed), rest);
        }
        reason_of(why, usual, rest, |why_not, rest| match earlier {
            Some(earlier) if why_not == EARLIER => {
                type_in(earlier, rest, |typed, rest| figure(state, &place, (cylinder, typed), rest))
            }
            Some(_) | None => take(Input::LeakTest { typed: String::new(), why_not }),
        })
    })
}

/// Takes a figure; one that is low is asked about once before it is kept.
fn figure(
    state: &State,
    place: &str,
    (cylinder, typed): (Cylinder, &str),
    given: &[String],
) -> Step {
    let test = || take(Input::LeakTest { typed: typed.into(), why_not: String::new() });
    let Some((held, of)) = leak_figure(typed).filter(|&(held, of)| leaks_much(held, of)) else {
        return test();
    };
    let title = format!("Leak test of cylinder {cylinder}: {held} of {of} is low");
    let ask = prompt(place, title, "Was it read so?")
        .big(format!("{held} OF {of}"), SUSPECT)
        .line(match may_be_set(state, cylinder) {
            true => format!("{FIND_THE_CAUSE} before the valve is set."),
            false => format!("{FIND_THE_CAUSE} before the engine runs."),
        })
        .line("The manual rules. Where it gives no limit, AC 43.13-1B, 8-14, for a hot engine:")
        .line("a loss above a quarter is cause to suspect the cylinder; recheck after running it.")
        .line("Still less than 60 of 80: the cylinder comes off to be inspected.")
        .with(
            Field::choice(&[(1, "yes, read so: keep it"), (2, "no: type it again")])
                .kept_by_enter(),
        );
    pick(ask, given, |digit, _| if digit == Some(1) { test() } else { Step::Retype(2) })
}

const SUSPECT: &str = "more than a quarter of the air is lost";
const FIND_THE_CAUSE: &str =
    "Listen where it goes, exhaust, intake or breather, and find the cause";

/// Says before a valve is set what a low leak test of its cylinder asks for.
pub(super) fn low_words(state: &State, cylinder: Cylinder) -> Option<String> {
    let (held, of) =
        state.leak_tested.get(&cylinder)?.0.filter(|&(held, of)| leaks_much(held, of))?;
    Some(format!(
        "Leak test of {cylinder}: {held} of {of}, {SUSPECT}. Find the cause first; the manual rules."
    ))
}
