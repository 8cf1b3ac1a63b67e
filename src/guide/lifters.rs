//! Whether a lifter is dry and bottomed, asked before a reading that is made beside the question that is
//! due; or of one on paper, whether it was.

use super::form::{pick, prompt};
use super::named::valve_name;
use super::prepare::line_prompt;
use super::{Field, Step};
use crate::domain::session::{Input, Session};
use crate::domain::valve::Valve;

/// Asks of the lifter of a valve, where that is not answered since the crank was last moved; then goes on,
/// and keeps the answer with what comes of it.
pub(super) fn bled_first(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(&[String]) -> Step,
) -> Step {
    let Some(line) = session.state.lifter_of(valve) else { return then(given) };
    let ask = line_prompt(place, &format!("Gauge {}", valve_name(&session.state, valve)), &line);
    pick(ask, given, |digit, rest| {
        if digit.is_some_and(|digit| line.is_good(digit)) {
            with_word(vec![valve], then(rest))
        } else {
            Step::Refused("bleed it first: a leaf would read the lifter's spring".into())
        }
    })
}

/// Keeps the word on lifters with what is taken.
pub(super) fn with_word(valves: Vec<Valve>, step: Step) -> Step {
    match step {
        Step::Do(input) if !valves.is_empty() => Step::Do(Box::new(Input::Bled(valves, input))),
        other => other,
    }
}

/// Asks of a reading on paper whether its lifter was dry; then goes on with whether it was.
pub(super) fn on_paper(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(bool, &[String]) -> Step,
) -> Step {
    let name = valve_name(&session.state, valve);
    let ask = prompt(place, format!("{name}, from paper"), "How was its lifter then?")
        .also_large("LIFTER")
        .line("A leaf under a lifter that was not bled read its spring, no clearance.")
        .with(Field::choice(&[
            (1, "dry or fully bled, plunger felt to bottom"),
            (0, "not bled, or not known: not taken, gauge it here"),
        ]));
    pick(ask, given, |digit, rest| then(digit == Some(1), rest))
}
