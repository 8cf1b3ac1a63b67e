//! Readings made on paper, typed in later: a cylinder at a time, in the order of the plan.

use super::form::{count, prompt, take, type_in};
use super::lifters::{on_paper, with_word};
use super::named::{valve_name, valve_short};
use super::rounds::{place_of, sure_of};
use super::turning::place_words;
use super::{Field, Step, Typed};
use crate::domain::session::{Input, Session, State};
use crate::domain::valve::{Cylinder, Valve};

const TITLE: &str = "Readings made on paper";

/// Asks for the cylinder, the time on the paper and a reading for each of its valves.
pub(super) fn cylinder_of_paper(session: &Session, place: &str, given: &[String]) -> Step {
    let state = &session.state;
    let next = next_cylinder(state);
    let field = match next {
        Some(next) => Field::typed(Typed::Count).or_enter(format!("{next}, next in the plan")),
        None => Field::typed(Typed::Count),
    };
    let ask = prompt(place, TITLE, "Which cylinder?")
        .line("Marked on the record as from paper, with their time.")
        .with(field);
    let chosen = |cylinder: Cylinder, rest: &[String]| {
        if !state.services(cylinder) {
            return Step::Refused(format!("there is no cylinder {cylinder} in this service"));
        }
        // What would be refused is not asked for.
        let mut valves = state.facts().valves_of(cylinder);
        valves.retain(|valve| state.takes_paper(*valve));
        if valves.is_empty() {
            return Step::Refused(format!(
                "what this service looks at of cylinder {cylinder} was opened since: gauge it, a \
                 figure from paper does not show how it is now"
            ));
        }
        let ask = prompt(place, TITLE, "At what time, by the paper? As in 09:40:")
            .line(format!("Cylinder {cylinder}, {}.", place_words(state.facts(), cylinder)))
            .with(Field::typed(Typed::Text));
        type_in(ask, rest, |time, rest| {
            let paper = Paper { session, place, time: time.into() };
            paper.valves(&valves, (Vec::new(), false), rest)
        })
    };
    match (given.split_first(), next) {
        (Some((first, rest)), Some(next)) if first.trim().is_empty() => chosen(next, rest),
        _ => count(ask, given, |number, rest| match u8::try_from(number) {
            Ok(cylinder) => chosen(cylinder, rest),
            Err(_) => Step::Refused(format!("there is no cylinder {number}")),
        }),
    }
}

/// Returns the cylinder of the first valve that is still to be gauged, in the order of the plan.
fn next_cylinder(state: &State) -> Option<Cylinder> {
    let round = state.round()?;
    let stops = state.stops();
    let from = state.next_stop(round)?;
    let onwards = stops.iter().skip(from).chain(stops.iter().take(from));
    let mut gauged = onwards.flat_map(|stop| &stop.gauge).map(|gauge| gauge.valve);
    let wanted = |&valve: &Valve| state.needs_reading(round, valve) && state.takes_paper(valve);
    gauged.find(wanted).map(|valve| valve.cylinder)
}

struct Paper<'a> {
    session: &'a Session,
    place: &'a str,
    time: String,
}

impl Paper<'_> {
    fn valves(
        &self,
        valves: &[Valve],
        (mut readings, sure): (Vec<(Valve, String)>, bool),
        given: &[String],
    ) -> Step {
        let Some((&valve, others)) = valves.split_first() else {
            if readings.is_empty() {
                return Step::Refused("nothing of this cylinder was typed".into());
            }
            let time = self.time.clone();
            let bled = readings.iter().map(|(valve, _)| *valve);
            let bled = bled.filter(|_| self.session.state.has_lifters()).collect();
            return with_word(bled, take(Input::GaugeFromPaper { readings, time, sure }));
        };
        let state = &self.session.state;
        let name = valve_name(state, valve);
        let ask = prompt(self.place, format!("{name}, from paper"), "What does the paper say?")
            .big(valve_short(state, valve), place_of(state, valve))
            .with(Field::typed(Typed::Reading).or_enter("not on the paper"));
        type_in(ask, given, |typed, rest| {
            if typed.is_empty() {
                return self.valves(others, (readings, sure), rest);
            }
            sure_of(self.session, self.place, (valve, typed), rest, |confirmed, rest| {
                let read = (valve, typed.to_string());
                if !state.has_lifters() {
                    readings.push(read);
                    return self.valves(others, (readings, sure || confirmed), rest);
                }
                on_paper(self.session, self.place, valve, rest, |bled, rest| {
                    readings.extend(bled.then_some(read));
                    self.valves(others, (readings, sure || confirmed), rest)
                })
            })
        })
    }
}
