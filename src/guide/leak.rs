//! The leak test of a cylinder with a very tight valve: before its screw is touched, or, where it was
//! promised for later, before the engine is closed up and run.

use super::closing::{CLOSE, RUN};
use super::form::{pick, prompt, reason_of, take, type_in};
use super::named::valve_name;
use super::part_sizes::before_a_turn;
use super::status::number_and_side;
use super::valve_place::place_seen;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::LeakTest;
use crate::domain::plain::plain;
use crate::domain::session::{
    Input, LEAK_TEST_LATER, LEAK_TEST_NOW, Session, State, leak_figure, leaks_much,
};
use crate::domain::valve::{Cylinder, Valve};
use crate::domain::verdict::Verdict;

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
    let ask = before_a_turn(ask, &session.state);
    let why = prompt(place, format!("No leak test of cylinder {}", valve.cylinder), "Why?")
        .also_large("NO LEAK TEST")
        .line("Only 2 promises it: asked again before the plugs go in.")
        .line(ENDS_UNPROVEN);
    let done = format!("Leak test of cylinder {}: done earlier", valve.cylinder);
    let earlier = prompt(place, done, EARLIER_ASK)
        .also_large("LEAK TEST")
        .line("The crank was turned for it: prove the place again after this.")
        .with(Field::typed(Typed::Number));
    let usual = &[EARLIER, LEAK_TEST_LATER];
    asked((SETTING, valve.cylinder), ask, why, (usual, Some(earlier)), given)
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
        // Where only some stayed in, a valve so tight may be of one that is out.
        let stayed_in = session.state.plugs_stayed_in() && !session.state.some_plugs_out();
        let owed = match (out_again, stayed_in) {
            (true, _) => "its plug out once more",
            (false, true) => "owed, its plug comes out for it",
            (false, false) => "owed before its plug goes in",
        };
        let title = format!("Leak test of cylinder {cylinder}: {owed}");
        let ask = with_place(prompt(CLOSE, title, ASK), session, cylinder)
            .line(held(session, cylinder))
            .whole_for_any()
            .line(if out_again {
                "A valve was very tight here. All is asked anew that was undone for it."
            } else if stayed_in {
                "A valve was very tight here. Now, before the leads and the two turns, it costs least."
            } else {
                "A valve was very tight here. Tested now, nothing has to be undone for it."
            });
        let untested = format!("Cylinder {cylinder}: plug in without a leak test");
        let why = prompt(CLOSE, untested, "Why?")
            .also_large("NO LEAK TEST")
            .line("With 2 it is asked before the run, and what it undoes anew.")
            .line(ENDS);
        let usual = &[by_another, LEAK_TEST_LATER];
        return asked((RUNNING, cylinder), ask, why, (usual, None), given);
    }
    before_the_run(session, cylinder, &[by_another], given)
}

/// With the plugs in no figure is taken: for the test the crank is turned, with air on, and its
/// cautions come first.
fn before_the_run(session: &Session, cylinder: Cylinder, usual: &[&str], given: &[String]) -> Step {
    let title = format!("Leak test of cylinder {cylinder}: put off until now");
    let place = place_seen(session.state.facts(), cylinder);
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
pub(super) fn asked_again(state: &State, test: &LeakTest) -> Option<String> {
    let words = match test.held {
        Some((held, of)) if leaks_much(held, of) => {
            let before = before_what(state, test.cylinder);
            return Some(format!("find the cause before {before}; the manual rules"));
        }
        Some(_) => return None,
        None if is_promised(test) => "asked again before the plugs go in, or the run",
        None if is_now(test) => "make safe first, then its figure is asked",
        None => "not asked again",
    };
    Some(words.into())
}

const SETTING: &str = "the valve is set";
const RUNNING: &str = "the engine runs";

/// Says what a low figure stands before: while a valve of the cylinder is still to be set, that.
fn before_what(state: &State, cylinder: Cylinder) -> &'static str {
    let to_set = |&valve: &Valve| {
        !state.touched.contains(&valve)
            && state.verdict_now(valve).is_some_and(|verdict| verdict != Verdict::InLimits)
            && state.reason_to_leave(valve).is_none()
    };
    let still = state.round().is_some() && state.facts().valves_of(cylinder).iter().any(to_set);
    if still { SETTING } else { RUNNING }
}

fn is_promised(test: &LeakTest) -> bool {
    test.why_not.as_deref() == Some(LEAK_TEST_LATER)
}

fn is_now(test: &LeakTest) -> bool {
    test.why_not.as_deref() == Some(LEAK_TEST_NOW)
}

fn with_place(ask: Prompt, session: &Session, cylinder: Cylinder) -> Prompt {
    let place = place_seen(session.state.facts(), cylinder);
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
    (before, cylinder): (&str, Cylinder),
    ask: Prompt,
    why: Prompt,
    (usual, earlier): (&[&str], Option<Prompt>),
    given: &[String],
) -> Step {
    let place = ask.place.clone();
    type_in(ask, given, |typed, rest| {
        if typed != "0" {
            return figure((&place, before), cylinder, typed, rest);
        }
        reason_of(why, usual, rest, |why_not, rest| match earlier {
            Some(earlier) if why_not == EARLIER => type_in(earlier, rest, |typed, rest| {
                figure((&place, before), cylinder, typed, rest)
            }),
            Some(_) | None => take(Input::LeakTest { typed: String::new(), why_not }),
        })
    })
}

/// Takes a figure; one that is low is asked about once before it is kept.
fn figure(
    (place, before): (&str, &str),
    cylinder: Cylinder,
    typed: &str,
    given: &[String],
) -> Step {
    let test = || take(Input::LeakTest { typed: typed.into(), why_not: String::new() });
    let Some((held, of)) = leak_figure(typed).filter(|&(held, of)| leaks_much(held, of)) else {
        return test();
    };
    let title = format!("Leak test of cylinder {cylinder}: {held} of {of} is low");
    let ask = prompt(place, title, "Was it read so?")
        .big(format!("{held} OF {of}"), SUSPECT)
        .line(format!("{LISTEN}, and find the cause before {before}."))
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
const LISTEN: &str = "Listen where it goes, exhaust, intake or breather";

/// Says how a cause is found, and what becomes of what is said of it.
pub(super) fn cause_words() -> String {
    format!("{LISTEN}; the manual rules. The signature tells what you say here.")
}

/// Said where nobody told the cause of a low figure.
pub(super) const CAUSE_NOT_TOLD: &str = "cause not told";

/// Says of each low leak test what was said of its cause.
pub fn low_found(state: &State) -> Vec<String> {
    let low = state.low_leak_tests().into_iter().map(|(cylinder, held, of, found)| {
        let found =
            found.map_or_else(|| CAUSE_NOT_TOLD.into(), |found| format!("found: {}", plain(found)));
        format!("{}, {found}", low_words_of(cylinder, held, of))
    });
    low.collect()
}

/// Says of which cylinder a leak test is low.
pub(super) fn low_words_of(cylinder: Cylinder, held: u16, of: u16) -> String {
    format!("leak test of cylinder {cylinder}: {held} of {of} is low")
}

/// Says before a valve is set what a low leak test of its cylinder asks for.
pub(super) fn low_words(state: &State, cylinder: Cylinder) -> Option<String> {
    let (held, of) =
        state.leak_tested.get(&cylinder)?.0.filter(|&(held, of)| leaks_much(held, of))?;
    Some(format!(
        "Leak test of {cylinder}: {held} of {of}, {SUSPECT}. Find the cause first; the manual rules."
    ))
}
