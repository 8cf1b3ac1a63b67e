//! The hold-down torque of a cylinder that was worked on: read off a wrench, or told to be owed.

use super::form::{pick, prompt, take, type_in};
use super::status::number_and_side;
use super::turning::place_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::{Skip, Skipped};
use crate::domain::session::{Input, Session, hold_down_of};
use crate::domain::valve::Cylinder;

/// What is typed where no wrench was on it.
const NOT_MEASURED: &str = "0";

/// Asks for the torque with its unit; in the rounds it may be said that it was not measured.
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
        "What does the wrench show? 22 N·m; 0 = not measured"
    } else {
        "What does the wrench show? As in 22 N·m"
    };
    let ask = prompt(place, title, ask)
        .big(number_and_side(state, cylinder), place_words(state.facts(), cylinder))
        .line("The manual gives the figure. Type what was found, with its unit.")
        .line("Nuts of two sizes: 22 N·m, 35 N·m.")
        .lines(again)
        .line(if may_wait {
            "Not measured, it stays open and is asked again before a cover goes on."
        } else {
            "No wrench here? Leave the program: it stays open and is asked again."
        })
        .with(Field::typed(Typed::Text));
    type_in(ask, given, |typed, _| {
        if typed == NOT_MEASURED && may_wait {
            return take(Input::HoldDownNotMeasured);
        }
        take(Input::HoldDown(typed.into()))
    })
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
