//! Readings made on paper, typed in later: a cylinder at a time, in the order of the plan.

use super::form::{count, pick, prompt, take, type_in};
use super::lifters::of_paper;
use super::named::{valve_name, valve_short};
use super::rounds::{place_of, sure_of};
use super::valve_place::place_seen;
use super::{Field, Step, Typed};
use crate::domain::cooling::clock;
use crate::domain::entry::Moment;
use crate::domain::session::{Input, Session, State};
use crate::domain::valve::{Cylinder, Valve};

const TITLE: &str = "Readings made on paper";

/// Asks for the cylinder, the time on the paper and a reading for each of its valves.
pub(super) fn cylinder_of_paper(
    session: &Session,
    place: &str,
    now: Option<Moment>,
    given: &[String],
) -> Step {
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
            .line(format!("Cylinder {cylinder}, {}.", place_seen(state.facts(), cylinder)))
            .line("Hours and minutes: 09:40, 9.40 or 0940.")
            .with(Field::typed(Typed::Number));
        type_in(ask, rest, |time, rest| {
            at_time(place, time, now, rest, |time, rest| {
                let paper = Paper { session, place, time };
                paper.valves(&valves, SoFar::default(), rest)
            })
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

/// Takes a time of the day as it is on the paper; one that is later than now is asked about.
fn at_time(
    place: &str,
    typed: &str,
    now: Option<Moment>,
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step,
) -> Step {
    let Some(minutes) = minutes_of_day(typed) else {
        return Step::Refused("type hours and minutes, as in 09:40, 9.40 or 0940".into());
    };
    let time = format!("{:02}:{:02}", minutes / 60, minutes % 60);
    let now = now.map(clock).filter(|now| minutes_of_day(now).is_some_and(|now| now < minutes));
    let Some(now) = now else { return then(time, given) };
    let ask = prompt(place, format!("{time} is later than now, {now}"), "When was it gauged?")
        .with(Field::choice(&[(1, EARLIER_DAY), (2, "mistyped: type it again")]).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(1) => then(format!("{time}, {EARLIER_DAY}"), rest),
        _ => Step::Retype(2),
    })
}

const EARLIER_DAY: &str = "on an earlier day";

/// Reads hours and minutes: "09:40", "9.40", "940".
fn minutes_of_day(typed: &str) -> Option<u32> {
    let typed = typed.trim();
    let (hours, minutes) = match typed.split_once([':', '.', ',', ' ']) {
        Some(parts) => parts,
        None => typed.split_at_checked(typed.len().checked_sub(2)?)?,
    };
    let two = |digits: &str| !digits.is_empty() && digits.len() <= 2;
    let digits = [hours, minutes].iter().all(|part| part.bytes().all(|one| one.is_ascii_digit()));
    if !digits || !two(hours) || minutes.len() != 2 {
        return None;
    }
    let (hours, minutes) = (hours.parse::<u32>().ok()?, minutes.parse::<u32>().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
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

/// What was typed so far.
#[derive(Default)]
struct SoFar {
    readings: Vec<(Valve, String)>,
    /// Whether one of them is odd and stands.
    sure: bool,
    /// Valves of which the lifter was dry then.
    dry: Vec<Valve>,
}

impl Paper<'_> {
    fn valves(&self, valves: &[Valve], so_far: SoFar, given: &[String]) -> Step {
        let Some((&valve, others)) = valves.split_first() else { return self.kept(so_far) };
        let state = &self.session.state;
        let name = valve_name(state, valve);
        let ask = prompt(self.place, format!("{name}, from paper"), "What does the paper say?")
            .big(valve_short(state, valve), place_of(state, valve))
            .with(Field::typed(Typed::Reading).or_enter("not on the paper"));
        type_in(ask, given, |typed, rest| {
            if typed.is_empty() {
                return self.valves(others, so_far, rest);
            }
            sure_of(self.session, self.place, (valve, typed), rest, |confirmed, rest| {
                let mut with = SoFar { sure: so_far.sure || confirmed, ..so_far };
                with.readings.push((valve, typed.to_string()));
                self.lifter(valve, (others, with), rest)
            })
        })
    }

    /// Over a lifter that was not on its bottom a figure says nothing: it is left out.
    fn lifter(
        &self,
        valve: Valve,
        (others, mut so_far): (&[Valve], SoFar),
        given: &[String],
    ) -> Step {
        let Some(ask) = of_paper(self.session, self.place, valve) else {
            return self.valves(others, so_far, given);
        };
        pick(ask, given, |digit, rest| {
            if digit == Some(1) {
                so_far.dry.push(valve);
            } else {
                so_far.readings.pop();
            }
            self.valves(others, so_far, rest)
        })
    }

    fn kept(&self, SoFar { readings, sure, dry }: SoFar) -> Step {
        if readings.is_empty() {
            return Step::Refused("nothing of this cylinder was typed".into());
        }
        let time = self.time.clone();
        let gauged = Input::GaugeFromPaper { readings, time, sure };
        if dry.is_empty() {
            return take(gauged);
        }
        take(Input::OnDry { valves: dry, gauged: Box::new(gauged) })
    }
}

#[cfg(test)]
mod tests {
    use super::minutes_of_day;

    #[test]
    fn a_time_of_the_day_is_read_as_it_is_written_and_as_the_number_pad_types_it() {
        for typed in ["09:40", "9:40", "0940", "940", "9.40", "09,40", " 9 40 "] {
            assert_eq!(minutes_of_day(typed), Some(580), "{typed}");
        }
        assert_eq!(minutes_of_day("00:00"), Some(0));
        assert_eq!(minutes_of_day("23:59"), Some(1439));
        for wrong in
            ["", "50", "9", "9:4", "24:00", "09:60", "12345", "9:401", "-9:40", "half", "9:4é"]
        {
            assert_eq!(minutes_of_day(wrong), None, "{wrong}");
        }
    }
}
