//! The hold-down torque of a cylinder that was worked on: read off a wrench, or told to be owed.

use super::form::{pick, prompt, take, type_in};
use super::status::number_and_side;
use super::turning::place_words;
use super::{Field, Prompt, Step, Typed};
use crate::domain::entry::{Skip, Skipped};
use crate::domain::session::{Input, Session, State, hold_down_of};
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
    let gauged = state.gauged_at_no_torque(cylinder);
    let again = gauged.then(|| {
        format!("Both valves of {cylinder} are gauged again after it where a nut moves under the wrench.")
    });
    let ask = if may_wait {
        "What does the wrench show? 22 N·m; 0 = not measured"
    } else {
        "What does the wrench show? As in 22 N·m"
    };
    let held = prompt(place, &title, "Not measured: how do its nuts stand?")
        .also_large("NOT MEASURED")
        .line("Loose on its studs it lets the crankcase and the bearings move: nothing is turned.")
        .line("Not measured, it stays open and is asked again before a cover goes on.")
        .with(Field::choice(&[
            (1, "all on, tight by the spanner"),
            (2, "not so, or not looked at: nothing turns"),
        ]));
    let moved = prompt(place, &title, "Did a nut move under the wrench?")
        .also_large("NUT MOVED")
        .line(format!("What both valves of {cylinder} read hangs on these nuts."))
        .with(Field::choice(&[
            (1, "none: it clicked on each at once, marks as they were"),
            (2, "one moved, or not sure: gauge both again"),
        ]));
    let ask = prompt(place, title, ask)
        .big(number_and_side(state, cylinder), place_words(state.facts(), cylinder))
        .line("The manual gives the figure. Type what was found, with its unit.")
        .line("Nuts of two sizes: 22 N·m, 35 N·m.")
        .lines(again)
        .line(if may_wait {
            "Before it the crank is not turned."
        } else {
            "No wrench here? Leave the program: it stays open and is asked again."
        })
        .with(Field::typed(Typed::Text));
    type_in(ask, given, |typed, rest| {
        if typed == NOT_MEASURED && may_wait {
            return pick(held, rest, |digit, _| match digit {
                Some(1) => take(Input::HoldDownNotMeasured),
                _ => Step::Refused("do not turn the crank: tighten them, or call away".into()),
            });
        }
        let found = |none_moved| Input::HoldDown(typed.into(), none_moved);
        // What is no torque is told before anything else is asked of it.
        if !gauged || session.decide(&found(true)).is_err() {
            return take(found(false));
        }
        pick(moved, rest, |digit, _| take(found(digit == Some(1))))
    })
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
