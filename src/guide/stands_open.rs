//! A valve that is gauged against the plan may stand open where the crank is: that is said, with
//! why and what to do, before its reading is typed.

use super::form::{pick, prompt, reason, take};
use super::lifters::over_lifter;
use super::named::{named_words, valve_name};
use super::rounds::place_of;
use super::talk::refused_words;
use super::which_valve::typed_reading;
use super::{Field, Prompt, Step};
use crate::domain::crank::{self, Opening};
use crate::domain::session::{Input, Session};
use crate::domain::valve::Valve;

/// Asks what a valve reads that the plan does not gauge here, and why it is gauged here.
pub(super) fn against_plan(
    session: &Session,
    place: &str,
    title: &str,
    valve: Valve,
    given: &[String],
) -> Step {
    // Nobody types a figure for nothing.
    if let Err(refusal) = session.state.gauged_elsewhere(valve) {
        return Step::Refused(refused_words(session, &refusal));
    }
    let Some(ask) = warning(session, place, valve) else {
        return read(session, place, (title, valve), given);
    };
    pick(ask, given, |digit, rest| match digit {
        Some(2) => read(session, place, (title, valve), rest),
        _ => Step::Back,
    })
}

fn read(session: &Session, place: &str, (title, valve): (&str, Valve), given: &[String]) -> Step {
    over_lifter(session, place, valve, given, |given| {
        typed_reading(session, place, valve, given, |typed, sure, rest| {
            let usual =
                &["the cam is seen to be on its base circle", "the manual gives this position"];
            reason(place, title, usual, rest, |why, _| {
                take(Input::GaugeAgainstPlan { valve, typed, why, sure })
            })
        })
    })
}

/// Says that a valve stands open, why, and what to do; nothing where it is shut by the timing, or
/// where nobody can tell.
fn warning(session: &Session, place: &str, valve: Valve) -> Option<Prompt> {
    let facts = session.state.facts();
    let phase = crank::phase(facts, valve.cylinder, session.state.crank_angle()?);
    let opening = Opening::of(&crank::timing(facts), valve.kind);
    if opening.margin(phase) >= 0.0 {
        return None;
    }
    let named = valve_name(&session.state, valve);
    let whose = if facts.timing.is_some() { "the profile's" } else { "the usual, assumed" };
    let since = crank::forward(opening.opens, phase);
    let on = opening.duration() - since;
    let ask = prompt(place, format!("{named} STANDS OPEN here, by the timing"), "What now?")
        .big("OPEN", place_of(&session.state, valve))
        .in_words_of(named_words(&session.state, valve, "OPEN"))
        .line("A leaf would read the lift of the cam, which is no clearance.")
        .line(format!(
            "It opened {since:.0}° before this place and shuts {on:.0}° on ({whose} timing)."
        ))
        .line("Leave it: it is asked for at its own stop, where it is shut.")
        .line("Gauge it here only where you see its cam lobe point away, or the manual says so.");
    let choices =
        [(1, "leave it for its own stop"), (2, "its cam is seen to point away: gauge it")];
    Some(ask.with(Field::choice(&choices)))
}
