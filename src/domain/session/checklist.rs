//! What is asked before the crank is moved, when the engine is closed up, and at the run.
//!
//! Each line is answered by the state that is seen, never by "done". The words are our own; the
//! facts behind them are listed with their sources in the design's check values, section 11. The
//! engine's manual adds its own lines and always comes first.

mod run;

pub(super) use run::ran_meanwhile;
pub use run::{NOT_YET, RAN_MEANWHILE, STOPPED, run_cautions, run_check};

use super::open::the_bank;
use crate::domain::entry::{Entry, On};
use crate::domain::fasteners::of_covers;
use crate::domain::profile::{EngineProfile, Shape};
use crate::domain::valve::Valve;

/// One line of a checklist.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Its name in the journal.
    pub id: String,
    /// What is asked.
    pub ask: String,
    /// What may be seen, each with its digit.
    pub states: Vec<Seen>,
    /// Asked again after each break.
    pub after_break: bool,
}

/// One state that may be seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// The digit that answers so.
    pub digit: u8,
    /// The state in words.
    pub words: String,
    /// Whether work may go on with it.
    pub good: bool,
}

impl Line {
    /// Returns the state that a digit stands for.
    pub fn state(&self, digit: u8) -> Option<&Seen> {
        self.states.iter().find(|state| state.digit == digit)
    }

    /// Makes the entry that keeps an answer; `None` where the digit stands for nothing.
    pub(super) fn answered(self, digit: u8) -> Option<Entry> {
        let state = self.state(digit)?.clone();
        let (id, asked) = (self.id, self.ask);
        Some(Entry::On(On::Check { id, asked, digit, seen: state.words, done: state.good }))
    }

    /// Tells whether work may go on with the state that a digit stands for.
    pub fn is_good(&self, digit: u8) -> bool {
        self.state(digit).is_some_and(|state| state.good)
    }
}

fn line(id: &str, ask: &str, after_break: bool, states: &[(u8, &str, bool)]) -> Line {
    Line {
        id: id.into(),
        ask: ask.into(),
        states: states
            .iter()
            .map(|&(digit, words, good)| Seen { digit, words: words.into(), good })
            .collect(),
        after_break,
    }
}

fn by_propeller(profile: &EngineProfile) -> bool {
    profile.rotation.as_ref().is_some_and(|rotation| rotation.by_propeller())
}

/// Returns the cautions of an engine, in the order in which they are asked.
pub fn cautions(profile: &EngineProfile) -> Vec<Line> {
    let mut lines = if by_propeller(profile) { propeller_cautions() } else { bench_cautions() };
    if profile.layout.shape == Shape::Radial {
        // Before anything turns: oil that ran into a low cylinder bends its rod.
        lines.iter_mut().filter(|line| line.id == "plugs").for_each(|line| *line = radial_plugs());
    }
    lines.extend(profile.cautions.iter().enumerate().map(|(n, text)| {
        line(
            &format!("{MANUAL}{}", n + 1),
            text,
            false,
            &[
                (1, "seen, and it is as the manual asks", true),
                (0, "not so, or not looked at", false),
            ],
        )
    }));
    if profile.layout.shape == Shape::Radial {
        // The one answer that turns the crank: after all that the manual wants before the first turn.
        lines.push(line(
            OIL_LOCK,
            "Low cylinders: pulled through by hand, plugs still out, for oil that locks them?",
            false,
            &[(1, "pulled through, turned freely, nothing forced", true), (0, "not done", false)],
        ));
    }
    lines
}

fn radial_plugs() -> Line {
    line(
        "plugs",
        "Plugs: out of the low cylinders, before anything is turned?",
        false,
        &[
            (1, "out of them, and one out of each other, holes covered", true),
            (2, "out of them; the others in, turned against compression", true),
            (0, "not out: oil may lock them", false),
        ],
    )
}

fn propeller_cautions() -> Vec<Line> {
    vec![
        line(
            "ignition",
            "Ignition: what makes it safe? A switch at OFF is no proof.",
            true,
            &[
                (1, "leads off the plugs", true),
                (2, "switch off and its ground wire proven", true),
                (3, "switch only", false),
                (0, "not done", false),
            ],
        ),
        line(
            "fuel",
            "Fuel: where do selector and mixture stand?",
            true,
            &[
                (1, "selector off, mixture at idle cut-off", true),
                (2, "selector off, no mixture control", true),
                (0, "not off", false),
            ],
        ),
        line(
            "throttle",
            "Throttle: where does it stand?",
            false,
            &[(1, "closed", true), (0, "not closed", false)],
        ),
        line(
            "plugs",
            "Plugs: one out of each cylinder?",
            false,
            &[
                (1, "one out of each cylinder, holes covered", true),
                (2, "plugs in: it will be turned against compression", true),
                (0, "not looked at", false),
            ],
        ),
        line(
            "wheels",
            "Wheels: what keeps the aircraft from moving?",
            false,
            &[
                (1, "chocked and tied down", true),
                (2, "chocked, brakes set", true),
                (0, "nothing yet", false),
            ],
        ),
        line(
            "arc",
            "Propeller arc: who or what is in it? Footing firm and dry?",
            true,
            &[(1, "arc clear, footing firm", true), (0, "not clear", false)],
        ),
        line(
            "hands",
            "Other hands: is anybody else at this engine or in the seat?",
            true,
            &[(1, "nobody", true), (2, "told, and standing back", true), (0, "not asked", false)],
        ),
    ]
}

fn bench_cautions() -> Vec<Line> {
    vec![
        line(
            "ignition",
            "Ignition or starter: what makes it safe?",
            true,
            &[
                (1, "battery off and key in my pocket", true),
                (2, "leads off the plugs, starter cannot turn", true),
                (3, "switch only", false),
                (0, "not done", false),
            ],
        ),
        line(
            "fuel",
            "Fuel: how does it stand?",
            true,
            &[
                (1, "shut off", true),
                (2, "no fuel reaches the engine", true),
                (0, "not off", false),
            ],
        ),
        line(
            "plugs",
            "Plugs or injectors: does compression hold the crank?",
            false,
            &[
                (1, "one out of each cylinder, holes covered", true),
                (2, "all in: it will be turned against compression", true),
                (0, "not looked at", false),
            ],
        ),
        line(
            "wheels",
            "Machine: what keeps it from rolling or falling?",
            false,
            &[(1, "chocked or on its stand, out of gear", true), (0, "nothing yet", false)],
        ),
        line(
            "arc",
            "Belts, fan, flywheel: what is near them? Footing firm and dry?",
            true,
            &[(1, "all clear, footing firm", true), (0, "not clear", false)],
        ),
        line(
            "hands",
            "Other hands: is anybody else at this engine or its controls?",
            true,
            &[(1, "nobody", true), (2, "told, and standing back", true), (0, "not asked", false)],
        ),
    ]
}

/// The caution that is answered by turning the crank.
pub const OIL_LOCK: &str = "oil-lock";
/// How the controls are said to be left before a run.
pub(super) const FOR_THE_RUN: &str = "ready for the run check";
/// The answer that no plugs were out, or no leads off.
pub(super) const NONE_WERE_OUT: u8 = 2;
/// What is seen where only some plugs were out, for a leak test or oil, and it was turned against
/// compression with the others.
pub(super) const OTHERS_STAYED_IN: &str =
    "those that were out: in, at torque; the others stayed in";
/// Id of the check that the plugs are in again.
pub(super) const PLUGS_IN: &str = "plugs-in";
/// The check that covers are on, their screws started by hand.
pub(super) const STARTED: &str = "started";
/// The check that they are at torque.
pub(super) const TORQUE: &str = "torque";
/// How an ignition that is made safe by its leads is said to be.
pub(super) const LEADS_OFF: &str = "leads off";
/// The answer that something was felt as it was turned by hand, which is no answer that it was not turned.
pub const FELT: u8 = 2;
/// The check of the two turns by hand once the covers are on.
pub const TWO_TURNS: &str = "two-turns";
/// The question of what was found where something was felt at either of them.
pub const CAUSE: &str = "felt-cause";
/// The answer that it was found.
pub const CAUSE_FOUND: u8 = 1;
/// How the ids of the manual's own cautions begin; their places follow.
pub(super) const MANUAL: &str = "manual-";
/// Id of the check that the engine was turned through by hand after cams or shims went in.
pub const TURNED_THROUGH: &str = "turned-through";
/// How the id of a lifter's check begins; the valve follows.
pub const DRY: &str = "dry ";
/// The answer that a lifter is as it is to be.
pub(super) const DRY_AND_BOTTOMED: u8 = 1;
/// How the id of threads outside their bounds begins; the valve follows.
pub const THREADS: &str = "threads ";

/// Returns the question of a hydraulic lifter before the reading of its valve, which is called `name`.
pub fn dry(valve: Valve, name: &str) -> Line {
    line(
        &format!("{DRY}{valve}"),
        &format!("Lifter of {name}: what is it like?"),
        false,
        &[
            (DRY_AND_BOTTOMED, "dry or fully bled, plunger felt to bottom, pushed firmly", true),
            (0, "not bled yet, or not sure", false),
        ],
    )
}

/// Returns the question that closes the item of cams out.
pub fn timing_marks(bank: Option<&str>) -> Line {
    let of = bank.map_or_else(String::new, |bank| format!(" of {}", the_bank(bank)));
    line(
        "timing-marks",
        &format!("Cams{of} in, caps torqued as the manual says. Timing marks: what is seen?"),
        false,
        &[
            (1, "as the manual shows, each mark looked at, chain or belt tight", true),
            (0, "not so, or not looked at", false),
        ],
    )
}

/// Returns the question of turning through by hand before anything is gauged.
pub fn turned_through(overhead_cams: bool) -> Line {
    let (ask, good, felt) = if overhead_cams {
        (
            "Two full turns by hand, slowly, then the timing marks once more: what was felt and seen?",
            "turned freely, marks as before",
            "a stop or a tight place, or marks not so",
        )
    } else {
        (
            "Two full turns by hand, slowly: what was felt?",
            "turned freely, nothing touched",
            "a stop or a tight place",
        )
    };
    line(
        TURNED_THROUGH,
        ask,
        false,
        &[(1, good, true), (FELT, felt, false), (0, "not done yet", false)],
    )
}

/// Returns the question that comes before anything turns once something was felt.
pub(super) fn what_was_found(or_hiss: bool) -> Line {
    let felt = if or_hiss { "a tight place or a hiss" } else { "a stop" };
    line(
        CAUSE,
        &format!("After {felt} was felt: what was found?"),
        false,
        &[(CAUSE_FOUND, "cause found and put right", true), (0, "not yet: nothing turns", false)],
    )
}

/// Returns the checks of closing up, after the hardware is counted in.
pub fn close_up(profile: &EngineProfile) -> Vec<Line> {
    let torque = profile.covers.torque.as_ref().map_or_else(
        || "torqued as the manual says".to_string(),
        |torque| format!("all at {}", torque.both(profile.unit)),
    );
    let order = profile.covers.order.clone().unwrap_or_else(|| "snug all in turn".into());
    let mut lines = vec![line(
        "look",
        "Last look inside before the covers: rag, leaf, washer, oil?",
        false,
        &[
            (1, "looked into each: nothing left inside, oil on the tips", true),
            (0, "not yet", false),
        ],
    )];
    lines.push(line(
        "seals",
        "Cover seals: what was fitted?",
        false,
        &[
            (1, "new, seated all round", true),
            (2, "old, looked over and good, seated", true),
            (0, "not yet", false),
        ],
    ));
    if profile.covers.hardware.iter().any(|hardware| hardware.item.contains("wedge-lock")) {
        lines.push(line(
            "wedge-lock",
            "Wedge-lock washers: both halves under each screw, cams together?",
            false,
            &[(1, "both halves under each, cams facing", true), (0, "not yet", false)],
        ));
    }
    let held_by = format!("Cover {}", of_covers(&profile.covers));
    lines.push(line(
        STARTED,
        &format!("{held_by}: how did they start?"),
        false,
        &[(1, "all by hand, none crossed", true), (0, "not yet", false)],
    ));
    lines.push(Line {
        id: TORQUE.into(),
        ask: format!("{held_by}: {order}. What does the wrench say?"),
        states: vec![
            Seen { digit: 1, words: torque, good: true },
            Seen { digit: 0, words: "not yet".into(), good: false },
        ],
        after_break: false,
    });
    lines.extend(put_back(profile));
    lines
}

/// What was made safe, put back. The two turns by hand come before the leads go on: a crank is not
/// turned by hand with the ignition joined up.
fn put_back(profile: &EngineProfile) -> Vec<Line> {
    let mut lines = vec![
        line(
            PLUGS_IN,
            "Plugs: how do they sit?",
            false,
            &[
                (1, "in, new or good washers, at torque", true),
                (NONE_WERE_OUT, "none were out", true),
                (0, "not yet", false),
            ],
        ),
        line(
            TWO_TURNS,
            "Two full turns by hand, leads still off: what was felt?",
            false,
            &[
                (1, "even, no tight place, no hiss", true),
                (FELT, "a tight place or a hiss", false),
                (0, "not yet", false),
            ],
        ),
        line(
            "leads",
            "Leads: on their own plugs?",
            false,
            &[
                (1, "each traced to its own plug, tight", true),
                (NONE_WERE_OUT, "none were off", true),
                (0, "not yet", false),
            ],
        ),
    ];
    lines.push(if by_propeller(profile) {
        line(
            "controls",
            "Controls: how are they left?",
            false,
            &[
                (1, "ignition off, throttle closed, ready for the run check", true),
                (0, "not yet", false),
            ],
        )
    } else {
        line(
            "controls",
            "Battery, fuel, starter: how are they left?",
            false,
            &[(1, "joined up again, switched off", true), (0, "not yet", false)],
        )
    });
    lines.push(line(
        "second-look",
        "A second look at all that was disturbed: by whom?",
        false,
        &[
            (1, "by a second person", true),
            (2, "by me, after a pause", true),
            (0, "not yet", false),
        ],
    ));
    lines
}
