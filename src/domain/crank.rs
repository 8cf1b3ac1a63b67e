//! Crank angles: where each cylinder stands in its cycle, and how far its valves are from moving.
//!
//! The crank angle runs 0..720 and is 0 when the first cylinder of the firing order fires. A
//! cylinder's *phase* is 0 at its firing top dead centre and 360 at its overlap top dead centre.
//! *Margin*: degrees from the phase to the nearest end of a shut valve's opening. Which positions
//! are chosen is the plan's business. Cylinders and valves handed in here are the profile's own.

use super::profile::{Facts, Sign, Timing};
use super::valve::{Cylinder, Kind, Valve};
use std::cmp::Ordering;

/// Crank degrees of one whole cycle.
pub const CYCLE: f64 = 720.0;

/// Crank degrees of one turn.
pub const TURN: f64 = 360.0;

/// Margins and turns closer than this many degrees are equal (contract, section 3).
pub const EQUAL_WITHIN: f64 = 0.001;

/// An opposite may be this many degrees away from exactly 360 (contract, section 3).
pub const OPPOSITE_WITHIN: f64 = 0.1;

/// What margins are worked out with where the profile gives no timing (contract, section 2).
pub const ASSUMED: Timing = Timing {
    intake_opens_btdc: 20.0,
    intake_closes_abdc: 60.0,
    exhaust_opens_bbdc: 60.0,
    exhaust_closes_atdc: 20.0,
    ramp: 0.0,
};

/// Compares two angles or margins; within [`EQUAL_WITHIN`] they are equal.
pub fn compare(one: f64, other: f64) -> Ordering {
    if (one - other).abs() <= EQUAL_WITHIN { Ordering::Equal } else { one.total_cmp(&other) }
}

/// Brings an angle into 0..720; a hair below 720 is 0, so that rounding never costs two turns.
pub fn normal(angle: f64) -> f64 {
    let within = angle.rem_euclid(CYCLE);
    if within > CYCLE - 1e-6 { 0.0 } else { within }
}

/// Returns the degrees (0..720) from one crank angle on to another, in the running direction.
pub fn forward(from: f64, to: f64) -> f64 {
    normal(to - from)
}

/// Returns the crank angle at which a cylinder fires.
pub fn firing_angle(facts: &Facts, cylinder: Cylinder) -> f64 {
    let order = facts.firing_order.iter();
    order.zip(&facts.firing_intervals).take_while(|(c, _)| **c != cylinder).map(|(_, i)| i).sum()
}

/// Returns a cylinder's phase at a crank angle, degrees 0..720.
pub fn phase(facts: &Facts, cylinder: Cylinder, crank: f64) -> f64 {
    forward(firing_angle(facts, cylinder), crank)
}

/// The span of phase over which a valve is off its seat, ramps included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Phase at which it leaves its seat, degrees.
    pub opens: f64,
    /// Phase at which it is back on its seat, degrees.
    pub closes: f64,
}

impl Opening {
    /// Returns the opening of a kind of valve (contract, section 2).
    pub fn of(timing: &Timing, kind: Kind) -> Opening {
        let ramp = timing.ramp;
        match kind {
            Kind::Intake => Opening {
                opens: 360.0 - timing.intake_opens_btdc - ramp,
                closes: 540.0 + timing.intake_closes_abdc + ramp,
            },
            Kind::Exhaust => Opening {
                opens: 180.0 - timing.exhaust_opens_bbdc - ramp,
                closes: 360.0 + timing.exhaust_closes_atdc + ramp,
            },
        }
    }

    /// Returns how long the valve is open, degrees of crank.
    pub fn duration(&self) -> f64 {
        self.closes - self.opens
    }

    /// Returns the degrees back to its closing; negative while it is open.
    pub fn since_closing(&self, phase: f64) -> f64 {
        forward(self.opens, phase) - self.duration()
    }

    /// Returns the degrees on to its next opening.
    pub fn until_opening(&self, phase: f64) -> f64 {
        CYCLE - forward(self.opens, phase)
    }

    /// Returns the degrees to the nearest end of the opening: negative while the valve is open.
    pub fn margin(&self, phase: f64) -> f64 {
        let since_closing = self.since_closing(phase);
        if since_closing < 0.0 {
            // Adding zero turns -0.0, at the very end of the opening, into plain 0.
            since_closing.max(-forward(self.opens, phase)) + 0.0
        } else {
            since_closing.min(self.until_opening(phase))
        }
    }
}

/// Returns the timing that margins are worked out with: the profile's own, else [`ASSUMED`].
pub fn timing(facts: &Facts) -> Timing {
    facts.timing.unwrap_or(ASSUMED)
}

/// Returns a valve's margin at a crank angle, degrees: negative while it is open.
pub fn margin(facts: &Facts, valve: Valve, crank: f64) -> f64 {
    Opening::of(&timing(facts), valve.kind).margin(phase(facts, valve.cylinder, crank))
}

/// Returns how long both valves are open together, degrees; 0 or less where they never are.
pub fn overlap_degrees(timing: &Timing) -> f64 {
    Opening::of(timing, Kind::Exhaust).closes - Opening::of(timing, Kind::Intake).opens
}

/// Returns what is seen between exhaust and intake: an overlap, or a changeover without one.
pub fn overlap_sign(facts: &Facts) -> Sign {
    match compare(overlap_degrees(&timing(facts)), 0.0) {
        Ordering::Greater => Sign::Overlap,
        Ordering::Equal | Ordering::Less => Sign::Changeover,
    }
}

/// Returns the phase mid-way between intake opening and exhaust closing; 360 without timing.
pub fn centre_of_overlap(facts: &Facts) -> f64 {
    facts.timing.map_or(TURN, |timing| {
        let intake = Opening::of(&timing, Kind::Intake);
        let exhaust = Opening::of(&timing, Kind::Exhaust);
        f64::midpoint(intake.opens, exhaust.closes)
    })
}

/// Returns the crank angle at which a cylinder stands at its centre of overlap.
pub fn overlap_angle(facts: &Facts, cylinder: Cylinder) -> f64 {
    normal(firing_angle(facts, cylinder) + centre_of_overlap(facts))
}

/// Returns the cylinder that fires exactly one turn away, within [`OPPOSITE_WITHIN`].
pub fn opposite(facts: &Facts, cylinder: Cylinder) -> Option<Cylinder> {
    let off = |other: Cylinder| {
        let apart = forward(firing_angle(facts, cylinder), firing_angle(facts, other));
        (apart - TURN).abs()
    };
    let near = facts.firing_order.iter().copied().filter(|&other| off(other) <= OPPOSITE_WITHIN);
    // Of cylinders that fire together, `min_by` keeps the first in firing order.
    near.min_by(|&one, &other| compare(off(one), off(other)))
}
