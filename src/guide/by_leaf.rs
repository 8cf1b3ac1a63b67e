//! Gauging leaf by leaf, on request: one key an answer, and the program names the next leaf.
//!
//! What it ends in is an ordinary reading, kept as if it had been typed.

use super::form::{pick, prompt, take};
use super::named::{valve_name, valve_short};
use super::rounds::place_of;
use super::{Field, Step};
use crate::domain::entry::Step as ReadingStep;
use crate::domain::leaf_search::{Feel, LeafSearch, Next};
use crate::domain::session::{Due, Input, Session};
use crate::domain::valve::Valve;

/// Returns the valve that could be gauged leaf by leaf now, and whether as a try.
pub(super) fn at_a_valve(session: &Session) -> Option<(Valve, bool)> {
    let known = session.state.leaves.as_ref().is_some_and(|set| !set.leaves.is_empty());
    match session.state.due() {
        _ if !known => None,
        Due::Gauge(valve, _) | Due::Set(valve, _) => Some((valve, false)),
        Due::Again(valve, step) => Some((valve, step == ReadingStep::Try)),
        Due::Trying(valve) => Some((valve, true)),
        _ => None,
    }
}

/// Asks leaf after leaf; "back" takes the last answer away.
pub(super) fn step(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let (Some((valve, trying)), Some(set)) = (at_a_valve(session), &state.leaves) else {
        return Step::Refused("no valve is to be gauged now".into());
    };
    let mut search = LeafSearch::new(set, state.figures(valve.kind).target);
    let mut before: Vec<LeafSearch> = Vec::new();
    let mut answers = given;
    loop {
        let size = match search.next() {
            Next::Try(size) => size,
            Next::Found(reading) => return done(trying, reading),
            Next::NoLeaf => return Step::Refused("no leaf of this set is known".into()),
        };
        let so_far = search.so_far();
        let mut choices = vec![(1, "goes freely"), (2, "drags lightly"), (3, "will not go")];
        if so_far.is_some() {
            choices.push((4, "the last answer was wrong: back"));
            choices.push((5, "enough: keep what is known"));
        }
        let known = so_far.as_ref().map(|reading| format!("So far: {reading}"));
        let title = format!("Gauge {}, leaf by leaf", valve_name(state, valve));
        let ask = prompt(place, title, "What does it do?")
            .big(
                search.named(size),
                format!("{} · {}", valve_short(state, valve), place_of(state, valve)),
            )
            .lines(known)
            .line("Wiped, flat and straight; without force.")
            .with(Field::choice(&choices));
        let Some((answer, rest)) = answers.split_first() else { return Step::Ask(ask) };
        let digit = match pick(ask, std::slice::from_ref(answer), |digit, _| {
            Step::Do(digit.unwrap_or(0))
        }) {
            Step::Do(digit) => digit,
            other => return refused(other),
        };
        answers = rest;
        match (digit, so_far) {
            (4, _) => search = before.pop().unwrap_or(search),
            (5, Some(reading)) => return done(trying, reading),
            (digit, _) => {
                let feel = match digit {
                    1 => Feel::Goes,
                    2 => Feel::Drags,
                    _ => Feel::WillNot,
                };
                before.push(search.clone());
                search = search.felt(feel);
            }
        }
    }
}

fn done(trying: bool, typed: String) -> Step {
    // A leaf that was named by the program is one of the set.
    take(if trying {
        Input::Tried { typed: typed.replace(' ', ""), sure: true }
    } else {
        Input::Gauge { typed, sure: true }
    })
}

/// Carries a refusal over to the step of the session.
fn refused(step: Step<u8>) -> Step {
    match step {
        Step::Refused(words) => Step::Refused(words),
        Step::Ask(ask) => Step::Ask(ask),
        Step::Again
        | Step::Retype(_)
        | Step::Back
        | Step::Read(_)
        | Step::Do(_)
        | Step::Switch(_)
        | Step::GiveProfile(_)
        | Step::ReplaceProfile { .. } => Step::Again,
    }
}
