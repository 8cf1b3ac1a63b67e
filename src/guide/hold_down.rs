//! The hold-down torque of a cylinder that was worked on: read off a wrench, with its unit, or told to be
//! owed.

use super::form::{pick, prompt, take, type_in};
use super::status::number_and_side;
use super::turning::place_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::{Skip, Skipped};
use crate::domain::plain::plain;
use crate::domain::session::{Input, Session, hold_down_of};
use crate::domain::units::{LengthUnit, Torque, TorqueUnit};
use crate::domain::valve::Cylinder;

/// What is typed where no wrench was on it.
const NOT_MEASURED: &str = "0";

/// Asks for the torque, then for its unit where none was typed; in the rounds it may be said that it was not measured.
pub(super) fn asked(session: &Session, place: &str, cylinder: Cylinder, given: &[String]) -> Step {
    let state = &session.state;
    let may_wait = state.may_not_measure(cylinder);
    let title = if may_wait {
        format!("Work was done on cylinder {cylinder}: hold-down torque comes first")
    } else if state.begun_closing() {
        // An earlier version closed up over it: the covers are on.
        format!("Cylinder {cylinder}: not signed before its hold-down torque is known")
    } else {
        format!("Cylinder {cylinder}: no cover goes on before its hold-down torque is known")
    };
    let again = state.gauged_at_no_torque(cylinder).then(|| {
        format!("Both valves of {cylinder} are gauged again after it: what they read hangs on it.")
    });
    let ask = if may_wait {
        "What does the wrench show? As in 22; 0 = not measured"
    } else {
        "What does the wrench show? As in 22"
    };
    let ask = prompt(place, title, ask)
        .big(number_and_side(state, cylinder), place_words(state.facts(), cylinder))
        .line("The manual gives the figure. Type what was found; its unit is asked next.")
        .line("Nuts of two sizes: 22+35. Or with the unit: 22 N·m, 35 N·m.")
        .lines(again)
        .line(if may_wait {
            "Not measured, it stays open and is asked again before a cover goes on."
        } else {
            "No wrench here? Leave the program: it stays open and is asked again."
        })
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, rest| {
        if typed == NOT_MEASURED && may_wait {
            return take(Input::HoldDownNotMeasured);
        }
        if typed.chars().any(char::is_alphabetic) {
            return take(Input::HoldDown(typed.into()));
        }
        in_its_unit(session, place, (cylinder, typed), rest)
    })
}

/// Asks in which unit a bare figure was read: none is guessed, and each stands beside the figure in it.
fn in_its_unit(
    session: &Session,
    place: &str,
    (cylinder, typed): (Cylinder, &str),
    given: &[String],
) -> Step {
    let state = &session.state;
    let found: Vec<(u8, String)> = (1..)
        .zip(TorqueUnit::ALL)
        .filter_map(|(digit, unit)| Some((digit, with_unit(typed, unit)?)))
        .collect();
    if found.is_empty() {
        return Step::Refused(format!(
            "\"{}\" is no torque: type its figure, as in 22, or of two sizes 22+35",
            plain(typed)
        ));
    }
    let labels: Vec<(u8, String)> =
        found.iter().map(|(digit, found)| (*digit, in_both(found))).collect();
    let choices: Vec<(u8, &str)> =
        labels.iter().map(|(digit, words)| (*digit, words.as_str())).collect();
    let title = format!("Cylinder {cylinder}: the torque that was found");
    let ask = prompt(place, title, "Which unit has the wrench?")
        .big(number_and_side(state, cylinder), place_words(state.facts(), cylinder))
        .with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, _| {
        let chosen = found.into_iter().find(|(of, _)| Some(*of) == digit);
        chosen.map_or(Step::Again, |(_, found)| take(Input::HoldDown(found)))
    })
}

/// A torque as it will be kept, and in brackets in the other system: a unit that is not the wrench's shows.
fn in_both(found: &str) -> String {
    let Ok(torque) = Torque::parse(found) else { return found.into() };
    let metric = found.ends_with(TorqueUnit::NewtonMetre.word());
    let both = torque.both(if metric { LengthUnit::Mm } else { LengthUnit::Inch });
    let other = both.split_once(" (").map_or("", |(_, other)| other);
    format!("{found} ({other}")
}

/// Writes bare figures with their unit, several of them one after the other.
fn with_unit(typed: &str, unit: TorqueUnit) -> Option<String> {
    let each: Vec<String> =
        typed.split('+').map(|part| format!("{} {}", part.trim(), unit.word())).collect();
    let reads = |one: &String| Torque::parse(one).is_ok();
    each.iter().all(reads).then(|| each.join(", "))
}

/// Says of which cylinder the torque was not measured, where an entry says that.
pub(super) fn not_measured(skip: &Skip) -> Option<String> {
    let Skipped::Check(id) = &skip.what else { return None };
    Some(format!("hold-down torque of {} not measured", hold_down_of(id)?))
}

/// Asks what is so of work that was told just now.
pub(super) fn not_worked(
    place: &str,
    (of, cylinder, nuts): (u64, Cylinder, bool),
    given: &[String],
) -> Step {
    let title = format!("Work on cylinder {cylinder}: taken back?");
    let ask = prompt(place, &title, "What is so?")
        .also_large("WORK")
        .lines(nuts.then(|| "Nuts that counted as slack because of it do so no more.".into()))
        .with(Field::choice(&[(1, NO_WORK), (2, ANOTHER)]).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(2) => {
            let ask: Prompt = prompt(place, &title, "On which cylinder was it?")
                .also_large("CYLINDER")
                .with(Field::typed(Typed::Count));
            super::which_valve::cylinder(ask, rest, |cylinder, _| {
                take(Input::WorkOfAnother(of, cylinder, ANOTHER.into()))
            })
        }
        _ => take(Input::Void { of, why: NO_WORK.into() }),
    })
}

const NO_WORK: &str = "there was none: pressed by mistake";
const ANOTHER: &str = "it was on another cylinder";
