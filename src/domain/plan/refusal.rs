//! Why a plan cannot be made, in words, and what can be done about it.

use crate::domain::valve::{Cylinder, Valve};
use std::fmt;

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanRefusal {
    /// The plan was to begin with a cylinder that the engine has not.
    NoSuchCylinder {
        /// What was asked for.
        cylinder: Cylinder,
        /// How many cylinders there are.
        cylinders: usize,
    },
    /// The least margin asked for is no angle that a shut valve can have.
    MarginOutOfRange {
        /// What was asked for, degrees.
        margin: f64,
    },
    /// A valve comes nearer to its opening than is accepted; the worst one of the plan is named.
    BelowMargin {
        /// The valve.
        valve: Valve,
        /// Its stop, counted from 1.
        stop: usize,
        /// The cylinder watched there.
        watch: Cylinder,
        /// Its margin there, degrees; negative where it stands open.
        margin: f64,
        /// The least margin accepted, degrees.
        required: f64,
    },
    /// A valve has the accepted margin at no overlap, nor one full turn after any.
    BelowEverywhere {
        /// The valve.
        valve: Valve,
        /// Its largest margin, degrees; negative where it stands open at all of them.
        margin: f64,
        /// The least margin accepted, degrees.
        required: f64,
    },
    /// The manual's table gauges a valve where the profile's own timing has it open.
    OpenInTable {
        /// The valve.
        valve: Valve,
        /// Its stop, counted from 1.
        stop: usize,
        /// How far it is from being shut, degrees.
        open_by: f64,
    },
    /// The manual's table is used as written: neither its beginning nor a margin can be chosen.
    TableIsFixed,
    /// Less walking over more sides than can be gone through in reasonable time.
    TooManySides {
        /// Banks or rows that the stops lie on.
        sides: usize,
        /// The most that are gone through.
        most: usize,
    },
    /// A floating cam ring needs the manual's table, and the profile has none.
    TableMissing,
}

impl fmt::Display for PlanRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            PlanRefusal::NoSuchCylinder { cylinder, cylinders } => {
                write!(
                    f,
                    "the plan cannot begin with cylinder {cylinder}: this engine has {cylinders}"
                )
            }
            PlanRefusal::MarginOutOfRange { margin } if margin.abs() >= 1e6 => {
                write!(f, "a least margin of {margin:e}° cannot be asked for: it must be 0 to 360")
            }
            PlanRefusal::MarginOutOfRange { margin } => {
                write!(f, "a least margin of {margin}° cannot be asked for: it must be 0 to 360")
            }
            PlanRefusal::BelowMargin { valve, stop, watch, margin, required } => {
                let (margin, required) = (tenths(margin), tenths(required));
                let standing = if margin < 0.0 {
                    format!("stands open, {}° from shut", -margin)
                } else {
                    format!("has a margin of {margin}°")
                };
                write!(
                    f,
                    "{valve} {standing} at stop {stop} (watching cylinder {watch}), \
                     but {required}° is required"
                )
            }
            PlanRefusal::BelowEverywhere { valve, margin, required } => {
                let (margin, required) = (tenths(margin), tenths(required));
                write!(
                    f,
                    "{valve} has a margin of {margin}° at most, whichever cylinder is watched, \
                     but {required}° is required"
                )
            }
            PlanRefusal::OpenInTable { valve, stop, open_by } => write!(
                f,
                "stop {stop} of the profile's table gauges {valve}, but by the profile's own timing \
                 it stands open there, {}° from shut",
                tenths(open_by)
            ),
            PlanRefusal::TableIsFixed => f.write_str(
                "this profile carries its manual's table of stops, which is used as written",
            ),
            PlanRefusal::TooManySides { sides, most } => write!(
                f,
                "less walking is worked out for engines of up to {most} banks or rows, \
                 and the stops here lie on {sides}"
            ),
            PlanRefusal::TableMissing => f.write_str(
                "a floating cam ring needs the manual's table of stops; the profile has none",
            ),
        }
    }
}

impl PlanRefusal {
    /// What to do about it: one sentence, starting with a verb.
    pub fn hint(&self) -> String {
        match *self {
            PlanRefusal::NoSuchCylinder { cylinders, .. } => {
                format!("Begin with a cylinder from 1 to {cylinders}.")
            }
            PlanRefusal::MarginOutOfRange { .. } => {
                "Leave the margin out: it is then 30° with the profile's timing, else 60°.".into()
            }
            PlanRefusal::BelowMargin { margin, .. }
            | PlanRefusal::BelowEverywhere { margin, .. }
                if margin > 0.0 =>
            {
                format!(
                    "Compare the valve timing with the manual; if the manual allows it, \
                 accept less with `--margin {}`.",
                    tenths(margin)
                )
            }
            PlanRefusal::BelowMargin { .. }
            | PlanRefusal::BelowEverywhere { .. }
            | PlanRefusal::OpenInTable { .. } => {
                "Compare firing order, intervals, valve timing and stops with the manual.".into()
            }
            PlanRefusal::TableIsFixed => "Ask for the plan without any choice.".into(),
            PlanRefusal::TooManySides { .. } => {
                "Ask for the plan without less walking; it goes round in the running order.".into()
            }
            PlanRefusal::TableMissing => {
                "Add the manual's table to the profile as `stops`; no plan can be computed.".into()
            }
        }
    }
}

/// Rounds down to a tenth of a degree: a margin is never told larger than it is. What rounding of
/// the arithmetic took off is given back first.
fn tenths(angle: f64) -> f64 {
    (angle * 10.0 + 1e-6).floor() / 10.0
}
