//! The hold-down torque of a cylinder that was worked on: read off a wrench, with its unit, or told to be
//! owed.

use super::form::{pick, prompt, take, type_in};
use super::status::number_and_side;
use super::valve_place::place_seen;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::{Skip, Skipped};
use crate::domain::plain::plain;
use crate::domain::session::{
    Input, Session, State, hold_down_of, is_likely_hold_down, nuts_not_tight_of,
};
use crate::domain::units::{LengthUnit, Torque, TorqueUnit};
use crate::domain::valve::Cylinder;

/// What is done where no wrench is at hand, and nothing else may be answered.
const NO_WRENCH: &str = "No wrench here? Leave the program: it stays open and is asked again.";
/// What is typed where no wrench was on it.
const NOT_MEASURED: &str = "0";

/// Asks for the torque, then for its unit where none was typed; in the rounds it may be said that it was not measured.
pub(super) fn asked(session: &Session, place: &str, cylinder: Cylinder, given: &[String]) -> Step {
    let state = &session.state;
    let may_wait = state.may_not_measure(cylinder);
    let title = if state.nuts_not_tight(cylinder) {
        format!("Cylinder {cylinder}: HOLD-DOWN NUTS NOT TIGHT, do not turn")
    } else if may_wait {
        format!("Work was done on cylinder {cylinder}: hold-down torque comes first")
    } else if state.begun_closing() {
        // An earlier version closed up over it: the covers are on.
        format!("Cylinder {cylinder}: not signed before its hold-down torque is known")
    } else {
        format!("Cylinder {cylinder}: no cover goes on before its hold-down torque is known")
    };
    let gauged = state.gauged_at_no_torque(cylinder);
    let still = may_wait || state.nuts_not_tight(cylinder);
    let again = gauged.then(|| {
        format!("Both valves of {cylinder} are gauged again after it where a nut moves under the wrench.")
    });
    let ask = if may_wait {
        "What does the wrench show? As in 22; 0 = not measured"
    } else {
        "What does the wrench show? As in 22"
    };
    let held = prompt(place, &title, "Not measured: how do its nuts stand?")
        .also_large("NOT MEASURED")
        .line("Loose on its studs it lets the crankcase and the bearings move: nothing is turned.")
        .line("Not measured, it stays open and is asked again before a cover goes on.")
        .with(Field::choice(&[
            (1, "all on, tight by the spanner"),
            (2, "not tight, or one is missing: nothing turns"),
            (0, "not looked at yet"),
        ]));
    let ask = prompt(place, &title, ask)
        .big(number_and_side(state, cylinder), place_seen(state.facts(), cylinder))
        // Nobody may pass on from here without one: it comes first, where a window shows little else.
        .lines((!may_wait).then(|| NO_WRENCH.into()))
        .line("The manual gives the figure. Type what was found; its unit is asked next.")
        .line("Nuts of two sizes: 22+35. Or with the unit: 22 N·m, 35 N·m.")
        .lines(again)
        .lines(still.then(|| "Before it the crank is not turned.".into()))
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, rest| {
        if typed == NOT_MEASURED && may_wait {
            return pick(held, rest, |digit, _| match digit {
                Some(1) => take(Input::HoldDownNotMeasured),
                Some(2) => take(Input::NutsNotTight),
                _ => Step::Refused("do not turn the crank: look at each nut first".into()),
            });
        }
        if typed.chars().any(char::is_alphabetic) {
            return found(session, (place, &title, cylinder), typed, rest);
        }
        in_its_unit(session, (place, &title, cylinder), typed, rest)
    })
}

/// Takes the torque that was found. Where readings hang on these nuts it is asked first whether one of
/// them moved under the wrench.
fn found(
    session: &Session,
    (place, title, cylinder): (&str, &str, Cylinder),
    torque: &str,
    given: &[String],
) -> Step {
    let found = |none_moved| Input::HoldDown(torque.into(), none_moved);
    // What is no torque is told before anything else is asked of it.
    let is_taken = session.decide(&found(false)).is_ok();
    let mut given = given;
    if is_taken && !is_likely_hold_down(torque) {
        let once_more = prompt(place, title, "Look at the wrench once more: what does it show?")
            .also_large("ONCE MORE")
            .line(format!("Typed was {}: no usual torque of hold-down nuts.", in_both(torque)))
            .with(Field::choice(&[(1, "just that"), (2, "something else: it is typed again")]));
        match given.split_first() {
            Some((answer, rest)) if answer.trim() == "1" => given = rest,
            _ => return pick(once_more, given, |_, _| Step::Again),
        }
    }
    if !session.state.gauged_at_no_torque(cylinder) || !is_taken {
        return take(found(false));
    }
    let moved = prompt(place, title, "Did a nut move under the wrench?")
        .also_large("NUT MOVED")
        .line(format!("What both valves of {cylinder} read hangs on these nuts."))
        .with(Field::choice(&[
            (1, "none: it clicked on each at once, marks as they were"),
            (2, "one moved, or not sure: gauge both again"),
        ]));
    pick(moved, given, |digit, _| take(found(digit == Some(1))))
}

/// Says under which cylinders the crank is turned though no wrench was on their nuts.
pub(super) fn turned_under(state: &State) -> Option<String> {
    let cylinders: Vec<String> = state.not_measured().iter().map(Cylinder::to_string).collect();
    (!cylinders.is_empty()).then(|| {
        format!(
            "Hold-down torque of {} NOT KNOWN: turn only with its nuts on and tight.",
            cylinders.join(", ")
        )
    })
}

/// Asks in which unit a bare figure was read: none is guessed, and each stands beside the figure in it.
fn in_its_unit(
    session: &Session,
    (place, title, cylinder): (&str, &str, Cylinder),
    typed: &str,
    given: &[String],
) -> Step {
    let read: Vec<(u8, String)> = (1..)
        .zip(TorqueUnit::ALL)
        .filter_map(|(digit, unit)| Some((digit, with_unit(typed, unit)?)))
        .collect();
    if read.is_empty() {
        return Step::Refused(format!(
            "\"{}\" is no torque: type its figure, as in 22, or of two sizes 22+35",
            plain(typed)
        ));
    }
    let labels: Vec<(u8, String)> =
        read.iter().map(|(digit, torque)| (*digit, in_both(torque))).collect();
    let choices: Vec<(u8, &str)> =
        labels.iter().map(|(digit, words)| (*digit, words.as_str())).collect();
    let of = format!("Cylinder {cylinder}: the torque that was found");
    let ask = prompt(place, of, "Which unit has the wrench?")
        .big(number_and_side(&session.state, cylinder), place_seen(session.state.facts(), cylinder))
        .with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, rest| {
        let chosen = read.iter().find(|(of, _)| Some(*of) == digit);
        let taken =
            |(_, torque): &(u8, String)| found(session, (place, title, cylinder), torque, rest);
        chosen.map_or(Step::Again, taken)
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
    if let Some(cylinder) = nuts_not_tight_of(id) {
        return Some(format!("hold-down nuts of {cylinder} not tight"));
    }
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
