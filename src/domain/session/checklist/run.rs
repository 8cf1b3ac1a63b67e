//! The run that a service ends with: what comes before it, and what is seen and heard of it.

use super::{Line, by_propeller, line};
use crate::domain::profile::EngineProfile;

/// Returns the cautions that are asked before the engine is run.
pub fn run_cautions(profile: &EngineProfile) -> Vec<Line> {
    let mut lines = vec![
        line(
            "run-air",
            "Air and bystanders: where will it run?",
            true,
            &[(1, "in the open, people behind a line", true), (0, "not yet", false)],
        ),
        line(
            "run-fire",
            "Fire bottle: where is it?",
            true,
            &[(1, "within reach of a person outside", true), (0, "not there", false)],
        ),
        line(
            "run-second",
            "Second person: who stands by? Never alone.",
            true,
            &[(1, "somebody who knows how to stop it", true), (0, "nobody", false)],
        ),
    ];
    if by_propeller(profile) {
        lines.push(line(
            "run-seat",
            "Seat: who is at the controls?",
            true,
            &[(1, "a competent person, brakes held", true), (0, "nobody", false)],
        ));
    }
    lines
}

/// The id of the question whether a run that was made ready took place while nobody was at the keys.
pub const RAN_MEANWHILE: &str = "meanwhile";

/// Its digit where the engine was not run, or is to be started once more.
pub const NOT_YET: u8 = 2;

/// The id of the check that says the engine was stopped and made safe after its run.
pub const STOPPED: &str = "leaks";

/// Returns the question that comes first after a break in which the engine may have been run.
pub(in crate::domain::session) fn ran_meanwhile() -> Line {
    line(
        RAN_MEANWHILE,
        "Run: has it been run for this check?",
        false,
        &[
            (1, "it was run, and is stopped", true),
            (NOT_YET, "it is to be started: not run yet, or once more", true),
        ],
    )
}

/// Returns the questions of the running check.
pub fn run_check(profile: &EngineProfile) -> Vec<Line> {
    let mut lines = vec![
        line(
            "warm",
            "Run: how warm did it get?",
            false,
            &[(1, "to normal temperatures", true), (2, "stopped before", false)],
        ),
        line(
            "noise",
            "Listen: what is heard from the valve gear?",
            false,
            &[(1, "even, nothing new", true), (2, "a new noise", false)],
        ),
    ];
    if by_propeller(profile) {
        lines.push(line(
            "power",
            "Static and idle power, ignition drop, pressures, temperatures?",
            false,
            &[(1, "all within the manual's figures", true), (2, "something outside", false)],
        ));
    }
    lines.push(line(
        "leaks",
        "Stopped and made safe again: what is seen at the covers?",
        false,
        &[(1, "all dry", true), (2, "a leak", false)],
    ));
    lines.push(line(
        "cooled",
        "Cooled down, looked at again: what is seen?",
        false,
        &[(1, "all dry, nothing loose", true), (2, "a leak or something loose", false)],
    ));
    lines
}
