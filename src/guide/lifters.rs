//! The hydraulic lifter under a valve: a figure means something only with its plunger on the bottom.

use super::Step;
use super::form::{pick, take};
use super::named::{valve_name, valve_short};
use super::prepare::line_prompt;
use super::rounds::place_of;
use crate::domain::session::checklist::{self, Line};
use crate::domain::session::{Due, Input, Session};
use crate::domain::valve::Valve;

/// Asks what is due of a lifter before the reading of its valve.
pub(super) fn dry(
    session: &Session,
    place: &str,
    valve: Valve,
    line: &Line,
    given: &[String],
) -> Step {
    pick(ask(session, place, valve, line), given, |digit, _| {
        take(Input::Answer(digit.unwrap_or_default()))
    })
}

fn ask(session: &Session, place: &str, valve: Valve, line: &Line) -> super::Prompt {
    let state = &session.state;
    let name = valve_name(state, valve);
    line_prompt(place, &format!("The lifter of {name} comes first"), line)
        .big(valve_short(state, valve), place_of(state, valve))
        .large_for_title()
        .line("A figure means something only with the plunger on its bottom.")
        .line("Turning the crank may fill it again: bleed it here, gauge it here.")
}

/// Asks for the lifter of a valve that is gauged though it is not due, where nobody answered for it since the
/// crank was moved; that answer is kept with the figure.
pub(super) fn over_lifter(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(&[String]) -> Step,
) -> Step {
    let Some(Due::Dry(_, line)) = session.state.due_of_lifter(valve) else { return then(given) };
    pick(ask(session, place, valve, &line), given, |digit, rest| {
        if digit.is_none_or(|digit| !line.is_good(digit)) {
            return Step::Refused("bleed it first, then answer again".into());
        }
        match then(rest) {
            Step::Do(gauged) => take(Input::OnDry { valves: vec![valve], gauged }),
            other => other,
        }
    })
}

/// Asks what the lifter of a valve was like when its figure on paper was made; `None` where it has none.
pub(super) fn of_paper(session: &Session, place: &str, valve: Valve) -> Option<super::Prompt> {
    let name = valve_name(&session.state, valve);
    session.state.has_lifters().then(|| {
        let line = checklist::dry(valve, &name);
        line_prompt(place, &format!("{name}, from paper"), &line)
            .big(valve_short(&session.state, valve), place_of(&session.state, valve))
            .line("As it was when this was gauged. Not so, or not known: the figure is left out.")
    })
}
