//! What is felt at a stop to prove it: rockers, or cam lobes where there are none; all that are gauged there,
//! or the only one.

use super::crank::{cylinders_of, place_title};
use super::form::capital;
use super::named::valve_name;
use super::{Field, Typed};
use crate::domain::plan::Stop;
use crate::domain::profile::Adjuster;
use crate::domain::session::State;
use crate::domain::valve::Valve;

/// What is felt where a valve is shut, in words.
#[derive(Clone, Copy)]
pub(super) struct Feel {
    pub(super) parts: &'static str,
    pub(super) shut: &'static str,
    pub(super) stayed: &'static str,
    pub(super) one_moved: &'static str,
    /// What is done to find out whether they are shut.
    pub(super) look: &'static str,
    /// What hands and eyes do while the crank is rocked.
    pub(super) watched: &'static str,
    pub(super) none: &'static str,
    pub(super) ask: &'static str,
    /// Asked where fewer are shut than expected, with its two answers.
    pub(super) steady: [&'static str; 3],
    pub(super) moved: &'static str,
    /// Where only one is felt: what is asked of it around its name, and its two answers.
    alone: [&'static str; 4],
}

const ROCKERS: Feel = Feel {
    parts: "rockers",
    shut: "are loose",
    stayed: "all stayed loose",
    one_moved: "A rocker moved",
    look: "feel",
    watched: "a hand on the",
    none: "None loose",
    ask: "Did they stay loose?",
    steady: [
        "Did any rocker move, the tight ones too?",
        "none moved: a tight valve",
        "one moved: wrong place",
    ],
    moved: "one took up or moved",
    alone: ["Is the", "loose?", "loose, as expected", "not loose"],
};

const ROCKER: Feel = Feel {
    parts: "rocker",
    shut: "is loose",
    stayed: "it stayed loose",
    one_moved: "The rocker moved",
    none: "Not loose",
    ask: "Did it stay loose?",
    moved: "it took up or moved",
    ..ROCKERS
};

/// Push rods under hydraulic lifters: before they are bled there is no play, but a rod that no lobe lifts turns
/// between the fingers (common practice, no source).
const RODS: Feel = Feel {
    parts: "push rods",
    shut: "turn freely",
    stayed: "all stood still",
    one_moved: "A rod moved",
    none: "None turns",
    ask: "Did they stand still?",
    steady: [
        "Did any rod or rocker move along?",
        "none moved: full lifters, the place is right",
        "one moved: wrong place",
    ],
    moved: "one moved along",
    alone: ["Does the", "turn freely?", "it turns, as expected", "it does not"],
    ..ROCKERS
};

const ROD: Feel = Feel {
    parts: "push rod",
    shut: "turns freely",
    stayed: "it stood still",
    one_moved: "The rod moved",
    none: "It does not turn",
    ask: "Did it stand still?",
    moved: "it moved along",
    ..RODS
};

/// Said where push rods are spun.
const FULL_LIFTERS: &str =
    "A full lifter leaves no play: a rod that no lobe lifts turns between the fingers.";

const LOBES: Feel = Feel {
    parts: "cam lobes",
    shut: "point away",
    stayed: "all stayed clear",
    one_moved: "A lobe came up",
    // Fingers are kept from between lobe and follower.
    look: "look at",
    watched: "hands clear, eyes on the",
    none: "None points away",
    ask: "Did they stay clear?",
    // Where a lobe points is the crank's doing, however tight its valve is.
    steady: [
        "Looked at again: does each lobe point away, and no follower move?",
        "each points away: miscounted",
        "one does not, or one moved: wrong place",
    ],
    moved: "one came up to its follower",
    alone: ["Does the", "point away?", "it points away, as expected", "it does not"],
};

const LOBE: Feel = Feel {
    parts: "cam lobe",
    shut: "points away",
    stayed: "it stayed clear",
    one_moved: "The lobe came up",
    none: "It does not point away",
    ask: "Did it stay clear?",
    moved: "it came up to its follower",
    ..LOBES
};

/// Names what is felt on this engine.
pub(super) fn felt_part(state: &State) -> &'static str {
    match state.facts().adjuster {
        Adjuster::Screw(_) | Adjuster::None => ROCKER.parts,
        Adjuster::Pushrod { .. } => ROD.parts,
        // A lobe comes up to its follower and moves that.
        Adjuster::Shim { .. } => "follower",
    }
}

/// Returns the valve that alone is felt at a stop; `None` where it is not one.
pub(super) fn felt_alone(state: &State, index: usize) -> Option<Valve> {
    state.felt_at(index).next().filter(|_| state.to_gauge(index) == 1)
}

/// Tells whether nothing can be felt at a stop: every nut there is slack, and its sign alone proves it.
pub(super) fn none_felt(state: &State, index: usize) -> bool {
    state.to_gauge(index) == 0
}

/// Says why nothing is felt there.
const SLACK_SHOWS_NOTHING: &str =
    "With its nut slack a rocker is loose on either stroke: only the sign tells.";

/// Names the place of a stop by what shows it: where nothing is felt and the nuts of the cylinder that the
/// plan watches are slack, by the overlap of another one.
pub(super) fn place_shown(state: &State, index: usize, stop: &Stop) -> String {
    match state.shown_by(index) {
        None => place_title(stop),
        Some((cylinder, turn)) if turn < 0.5 => format!("{cylinder} at overlap"),
        Some((cylinder, turn)) => format!("{cylinder} at overlap, then {turn:.0}° on"),
    }
}

/// Says what the sign of a stop is worth where nothing is felt there.
pub(super) fn of_the_sign(state: &State, index: usize, stop: &Stop) -> String {
    let watch = stop.watch;
    match state.shown_by(index) {
        Some(_) => format!("The nuts of {watch} are slack: its own rockers show no overlap."),
        None if state.watched_is_slack(index) => format!(
            "The nuts of {watch} are slack too: go by its cam or push rods, or by a thumb on the plug hole."
        ),
        None => SLACK_SHOWS_NOTHING.into(),
    }
}

impl Feel {
    /// Returns the words for a stop of the plan.
    pub(super) fn at(state: &State, index: usize) -> Feel {
        let alone = felt_alone(state, index).is_some();
        match (&state.facts().adjuster, alone) {
            (Adjuster::Screw(_) | Adjuster::None, false) => ROCKERS,
            (Adjuster::Screw(_) | Adjuster::None, true) => ROCKER,
            (Adjuster::Pushrod { .. }, false) => RODS,
            (Adjuster::Pushrod { .. }, true) => ROD,
            (Adjuster::Shim { .. }, false) => LOBES,
            (Adjuster::Shim { .. }, true) => LOBE,
        }
    }

    /// Asks how many are shut; of one alone, whether it is. The digit is the same, and so is its Enter.
    pub(super) fn question(self, state: &State, index: usize, stop: &Stop) -> (String, Field) {
        if none_felt(state, index) {
            let seen = format!("seen: {}", place_shown(state, index, stop));
            let field = Field::choice(&[(1, &seen), (0, "not seen, or not sure")]);
            return ("Is that seen?".into(), field);
        }
        let parts = self.parts_words(state, index, stop);
        let (all, expected) = (state.to_gauge(index), state.loose_expected(index));
        if felt_alone(state, index).is_some() {
            let [is, shut, yes, no] = self.alone;
            let choices = if expected == 0 {
                [(0, "not loose, as it was gauged"), (1, "loose")]
            } else {
                [(1, yes), (0, no)]
            };
            return (format!("{is} {parts} {shut}"), Field::choice(&choices).kept_by_enter());
        }
        let (parts, shut) = (capital(&parts), self.shut);
        let tight = match all.saturating_sub(expected) {
            0 => String::new(),
            tight => format!(", {tight} tight"),
        };
        let ask = format!("{parts}: how many of {all} {shut}? ({expected} expected{tight})");
        (ask, Field::typed(Typed::Count))
    }

    /// Says why it is not play that is felt there.
    pub(super) fn no_play(state: &State, index: usize) -> Option<String> {
        (state.has_lifters() && !none_felt(state, index)).then(|| FULL_LIFTERS.into())
    }

    /// Says whose rockers are felt: "rockers of 1", "rocker of 1 exhaust", or of all that is gauged here.
    pub(super) fn parts_words(self, state: &State, index: usize, stop: &Stop) -> String {
        if let Some(valve) = felt_alone(state, index) {
            return format!("{} of {}", self.parts, valve_name(state, valve));
        }
        match cylinders_of(stop).as_slice() {
            [cylinder] => format!("{} of {cylinder}", self.parts),
            _ => format!("{} to be gauged here", self.parts),
        }
    }
}
