//! Which valve is meant: typed in words, or its cylinder by number and then itself by digit.

use super::form::{count, pick, prompt, take, type_in};
use super::named::{valve_name, valve_names};
use super::rounds::sure_of;
use super::talk::refused_words;
use super::valve_place::named_by_place;
use super::{Field, Prompt, Step, Typed};
use crate::domain::plain::plain;
use crate::domain::session::{Due, Input, Refusal, Session};
use crate::domain::valve::{Cylinder, Kind, Valve};

/// Most valves with a digit of their own.
const DIGITS: usize = 9;

pub(super) fn cylinder(
    ask: Prompt,
    given: &[String],
    then: impl FnOnce(Cylinder, &[String]) -> Step,
) -> Step {
    count(ask, given, |number, rest| match u8::try_from(number) {
        Ok(cylinder) => then(cylinder, rest),
        Err(_) => Step::Refused(format!("there is no cylinder {number}")),
    })
}

/// Reads a valve from words such as "1 exhaust", "1e", "3 i 2".
pub fn valve(typed: &str) -> Result<Valve, String> {
    let say =
        || format!("\"{}\" names no valve: type as in 1 intake, 3 e, 1 exhaust 2", plain(typed));
    let lower = typed.trim().to_lowercase();
    let digits = lower.chars().take_while(char::is_ascii_digit).count();
    let (cylinder, rest) = lower.split_at(digits);
    let cylinder: Cylinder = cylinder.parse().map_err(|_| say())?;
    let mut words = rest.split_whitespace();
    let kind = match words.next() {
        Some("i" | "in" | "int" | "intake") => Kind::Intake,
        Some("e" | "ex" | "exh" | "exhaust") => Kind::Exhaust,
        _ => return Err(say()),
    };
    let number = match words.next() {
        None => 1,
        Some(word) => word.parse().map_err(|_| say())?,
    };
    if words.next().is_some() || number == 0 {
        Err(say())
    } else {
        Ok(Valve { cylinder, kind, number })
    }
}

/// Asks for a valve: its cylinder by number, its kind by digit.
pub(super) fn ask_valve(
    session: &Session,
    place: &str,
    title: &str,
    given: &[String],
    then: impl FnOnce(Valve, &[String]) -> Step,
) -> Step {
    let ask = prompt(place, title, "Which cylinder?").also_large("CYLINDER");
    cylinder(ask.with(Field::typed(Typed::Count)), given, |cylinder, rest| {
        let valves = session.state.facts().valves_of(cylinder);
        let known = session.state.facts().firing_order.contains(&cylinder);
        if !known {
            return Step::Refused(format!("there is no cylinder {cylinder}"));
        }
        let words: Vec<String> =
            valves.iter().map(|valve| named_by_place(&session.state, *valve)).collect();
        let choices: Vec<(u8, &str)> = (1..).zip(words.iter().map(String::as_str)).collect();
        let ask = prompt(place, title, "Which valve?").also_large(format!("CYL {cylinder}"));
        pick(ask.with(Field::choice(&choices)), rest, |digit, rest| {
            let valve = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| valves.get(n));
            valve.map_or(Step::Again, |&valve| then(valve, rest))
        })
    })
}

/// Asks which of these valves is meant, and of no other: by digit, or where they are too many for that
/// by cylinder first. Its name is taken too, where one is typed.
pub(super) fn one_of(
    session: &Session,
    ask: Prompt,
    valves: &[Valve],
    given: &[String],
    then: impl FnOnce(Valve, &[String]) -> Step,
) -> Step {
    let state = &session.state;
    if let Some((first, rest)) = given.split_first()
        && let Ok(named) = valve(first)
    {
        let words = || format!("{} is none of these", valve_name(state, named));
        return match valves.contains(&named) {
            true => then(named, rest),
            false => Step::Refused(words()),
        };
    }
    let by_digit = |ask: Prompt, valves: &[Valve], given: &[String]| {
        let names: Vec<String> = valves.iter().map(|valve| valve_name(state, *valve)).collect();
        let choices: Vec<(u8, &str)> = (1..).zip(names.iter().map(String::as_str)).collect();
        pick(ask.with(Field::choice(&choices)), given, |digit, rest| {
            let one = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| valves.get(n));
            one.map_or(Step::Again, |&valve| then(valve, rest))
        })
    };
    if valves.len() <= DIGITS {
        return by_digit(ask, valves, given);
    }
    let which = Prompt { ask: "Which cylinder?".into(), ..ask.clone() };
    let which = which.line(format!("Of: {}.", valve_names(state, valves)));
    cylinder(which.with(Field::typed(Typed::Count)), given, |cylinder, rest| {
        let its: Vec<Valve> =
            valves.iter().copied().filter(|valve| valve.cylinder == cylinder).collect();
        if its.is_empty() {
            let words = format!("none of these is of cylinder {cylinder}");
            return Step::Refused(words);
        }
        by_digit(ask, &its, rest)
    })
}

/// Lists the valves that can be set where the crank stands.
pub(super) fn set_here(session: &Session) -> Vec<Valve> {
    let valves = session.state.facts().valves().into_iter();
    valves.filter(|&valve| session.decide(&Input::OpenSet(valve)).is_ok()).collect()
}

/// Asks which of the valves that can be set where the crank stands is set: no other is offered.
pub(super) fn set_one_here(session: &Session, place: &str, given: &[String]) -> Step {
    let (state, valves) = (&session.state, set_here(session));
    if valves.is_empty() {
        return Step::Refused(refused_words(session, &Refusal::NotNow));
    }
    let turns = matches!(state.due(), Due::Turn { .. });
    let ask =
        prompt(place, "Set a valve where the crank stands", "Which valve is set?")
            .also_large("SET")
            .lines(turns.then(|| {
                "Before the crank is turned: it still stands where these are shut.".into()
            }))
            .line("Its nut counts as slack from here: set, locked and gauged after.");
    one_of(session, ask, &valves, given, |valve, _| take(Input::OpenSet(valve)))
}

pub(super) fn typed_reading(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(String, bool, &[String]) -> Step,
) -> Step {
    let name = valve_name(&session.state, valve);
    let ask = prompt(place, name, "What does it read?").with(Field::typed(Typed::Reading));
    type_in(ask, given, |typed, rest| {
        sure_of(session, place, (valve, typed), rest, |sure, rest| {
            then(typed.to_string(), sure, rest)
        })
    })
}
