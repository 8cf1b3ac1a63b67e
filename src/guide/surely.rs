//! The readings judged with their uncertainty, on request: four answers, each with its reason.
//!
//! For looking back, not for the work at a valve: the valve that is due shows nothing.

use super::form::{pick, prompt};
use super::named::valve_name;
use super::{Field, Step};
use crate::domain::certainty;
use crate::domain::plain::plain;
use crate::domain::session::{Due, Session};
use crate::domain::valve::Valve;
use crate::domain::verdict::Interval;

/// Says of each valve how sure its last reading is. A valve that is still to be gauged in this round
/// shows no figure.
pub fn lines(session: &Session) -> Vec<String> {
    let state = &session.state;
    let round = state.round();
    let due = match state.due() {
        Due::Gauge(valve, _) | Due::Again(valve, _) | Due::Trying(valve) => Some(valve),
        _ => None,
    };
    let hidden = |valve: Valve| {
        due == Some(valve) || round.is_some_and(|round| state.needs_reading(round, valve))
    };
    let Some(set) = &state.leaves else { return Vec::new() };
    let line = |valve: Valve| {
        let taken = state.current(valve)?;
        let name = valve_name(state, valve);
        if hidden(valve) {
            return Some(format!("{name}: due"));
        }
        let reading = &taken.reading;
        let tolerance = certainty::of_reading(&reading.typed, set);
        let sure = certainty::judge(&Interval::from(reading), state.band(valve), tolerance);
        let typed = plain(&reading.typed);
        Some(match sure {
            Some(sure) => {
                format!("{name} {typed}: {}. {}", sure.surely.word(), sure.why(set.unit))
            }
            None => format!("{name} {typed}: an open reading has no answer"),
        })
    };
    let mut lines: Vec<String> = state.valves().into_iter().filter_map(line).collect();
    lines.push(match &set.tolerance {
        Some(tolerance) => {
            let each_way = certainty::tolerance_words(tolerance.plus_minus, set.unit);
            format!("Leaves {each_way} by {}; k = 2, about 95 %.", plain(&tolerance.source))
        }
        None => "The tolerance of these leaves is not known and left out; k = 2.".into(),
    });
    lines
}

pub(super) fn step(session: &Session, place: &str, given: &[String]) -> Step {
    if session.state.readings.is_empty() {
        return Step::Refused("no reading is kept yet".into());
    }
    let ask = prompt(place, "How sure are the readings?", "Seen?")
        .lines(lines(session))
        .with(Field::choice(&[(1, "back to the work")]));
    pick(ask, given, |_, _| Step::Back)
}
