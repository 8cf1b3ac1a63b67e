//! Which crank positions gauge every valve, and in what order (contract, section 3).
//!
//! Engines whose profile carries the manual's own table keep that table (`table`); for all others
//! the plan is worked out (`computed`). How it is told to the mechanic is the guide's business.

mod computed;
mod few_stops;
mod refusal;
mod table;
mod trail;
mod walking;

pub use refusal::PlanRefusal;
pub use table::stood_at;

use crate::domain::crank::{self, CYCLE, TURN};
use crate::domain::profile::{CamRing, EngineProfile, Facts, Shape, Sign};
use crate::domain::valve::{Cylinder, Valve};
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// What a computed plan for a radial is headed with where the profile does not tell the cam ring.
pub const CAM_RING_CAVEAT: &str = "only for a fixed cam ring: look in the manual";

/// Least margin accepted with the profile's own timing, degrees.
pub const MARGIN_OF_PROFILE: f64 = 30.0;

/// Least margin accepted with the assumed timing, degrees.
pub const MARGIN_OF_ASSUMED: f64 = 60.0;

/// What is taken off a tolerance so that the mechanic never works near a moving valve, degrees.
pub const KEPT_CLEAR: f64 = 15.0;

/// Where the timing behind the margins comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimingFrom {
    /// The profile's own timing.
    Profile,
    /// The contract's assumed timing.
    Assumed,
    /// The manual's table of stops.
    Table,
}

/// How a plan is wanted; the default is the contract's default plan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlanChoice {
    /// The plan begins with the stop that gauges this cylinder.
    pub from: Option<Cylinder>,
    /// Least margin accepted, degrees.
    pub margin: Option<f64>,
    /// The smallest number of stops, instead of one cylinder a stop.
    pub few_stops: bool,
    /// The order with the fewest changes of side, instead of the running order.
    pub less_walking: bool,
}

/// What is left to be gauged, and where the mechanic stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// The valves still to be gauged.
    pub valves: BTreeSet<Valve>,
    /// The crank angle, degrees.
    pub crank: f64,
    /// The cylinder that he works at.
    pub at: Cylinder,
}

/// A way round the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Where the timing comes from.
    pub timing: TimingFrom,
    /// The stops in order.
    pub stops: Vec<Stop>,
    /// Degrees turned in all; `None` where a table has a stop without an angle.
    pub turned: Option<f64>,
    /// How often the mechanic changes side; in a plan for a rest also from where he stands.
    pub side_changes: u32,
    /// Words that every screen and record showing this plan must carry (radials of unknown cam ring).
    pub caveat: Option<&'static str>,
}

/// One place where the crank is left standing.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// The cylinder that is watched.
    pub watch: Cylinder,
    /// What is seen on it.
    pub sign: Sign,
    /// Turned on after that, 0 or 360 degrees.
    pub then_turn: u16,
    /// Crank angle 0..720 where it stands at last; `None` for a mark without an angle.
    pub crank: Option<f64>,
    /// Degrees (modulo 720) from the stop before; 0 for the first, unless the plan is for a rest:
    /// then from where the crank stands.
    pub turn: Option<f64>,
    /// What is gauged here, in the order of the contract.
    pub gauge: Vec<Gauge>,
    /// Worst margin, degrees; `None` where no timing is given.
    pub margin: Option<f64>,
    /// Valves to be pressed open by hand first.
    pub unload: Vec<Valve>,
    /// The manual's own words.
    pub say: Option<String>,
    /// How far short of the place will do, degrees; `None` where no tolerance is offered.
    pub short_by: Option<f64>,
    /// How far past the place will do, degrees.
    pub past_by: Option<f64>,
}

/// A valve gauged at a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// The valve.
    pub valve: Valve,
    /// Degrees to the nearest end of its opening.
    pub margin: Option<f64>,
}

/// How the crank is brought to a stop from where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Approach {
    /// The sign comes up on the way: turn until it is seen, then on by the stop's `then_turn`.
    SeeSign {
        /// Degrees (0..720) to the sign; `None` where that is not known: look for the sign.
        turn: Option<f64>,
    },
    /// The sign lies behind already: turn on by `turn`; then both rockers of the watched cylinder
    /// are loose. Or go the long way, with the sign to see.
    TurnOn {
        /// Degrees (under 360) to the stop.
        turn: f64,
        /// Degrees to the sign on the long way; the stop's `then_turn` comes after it.
        long_way_to_sign: f64,
    },
}

impl Stop {
    /// Returns the degrees (0..720) from where the crank stands on to this stop, where both are known.
    pub fn turn_from(&self, crank_now: Option<f64>) -> Option<f64> {
        Some(crank::forward(crank_now?, self.crank?))
    }

    /// Returns how this stop is reached: never a mixture of the two ways, which would end on the
    /// wrong stroke (contract, section 3).
    pub fn approach(&self, crank_now: Option<f64>) -> Approach {
        let after_sign = f64::from(self.then_turn);
        match self.turn_from(crank_now) {
            None => Approach::SeeSign { turn: None },
            Some(turn) => match crank::compare(turn, after_sign) {
                Ordering::Less => {
                    Approach::TurnOn { turn, long_way_to_sign: turn + CYCLE - after_sign }
                }
                Ordering::Equal => Approach::SeeSign { turn: Some(0.0) },
                Ordering::Greater => Approach::SeeSign { turn: Some(turn - after_sign) },
            },
        }
    }
}

/// Makes the plan of a profile: the manual's table as written, else a computed one.
///
/// # Errors
/// A plan that cannot be made, or would gauge a valve too near to its opening, says why.
pub fn plan(profile: &EngineProfile, choice: &PlanChoice) -> Result<Plan, PlanRefusal> {
    match &profile.stops {
        Some(stops) => table::as_written(profile, stops, choice),
        None => computed::way_round(profile, choice, None),
    }
}

/// Plans anew what is left, from where the crank stands; `choice.from` is not looked at.
///
/// # Errors
/// As [`plan`]; a manual's table is not planned anew.
pub fn plan_rest(
    profile: &EngineProfile,
    choice: &PlanChoice,
    rest: &Rest,
) -> Result<Plan, PlanRefusal> {
    match &profile.stops {
        Some(_) => Err(PlanRefusal::TableIsFixed),
        None => computed::way_round(profile, &PlanChoice { from: None, ..*choice }, Some(rest)),
    }
}

impl Plan {
    /// Puts stops into a plan: fills in the turns from stop to stop (to the first one from where the
    /// crank stands, where a rest is planned) and counts the changes of side.
    fn of(facts: &Facts, timing: TimingFrom, mut stops: Vec<Stop>, rest: Option<&Rest>) -> Plan {
        let mut before: Option<Option<f64>> = rest.map(|rest| Some(rest.crank));
        for stop in &mut stops {
            stop.turn = before.map_or(Some(0.0), |crank_now| stop.turn_from(crank_now));
            before = Some(stop.crank);
        }
        let turned = stops.iter().map(|stop| stop.turn).sum();
        let goes_over = |rest: &Rest, first: &Stop| {
            bank_index(facts, rest.at) != bank_index(facts, first.watch)
        };
        let to_first = rest.zip(stops.first()).is_some_and(|(rest, first)| goes_over(rest, first));
        let side_changes = side_changes(facts, &stops) + u32::from(to_first);
        Plan { timing, stops, turned, side_changes, caveat: caveat(facts) }
    }
}

/// Counts how often the mechanic changes side (contract, section 3).
fn side_changes(facts: &Facts, stops: &[Stop]) -> u32 {
    let visits: Vec<usize> = stops.iter().flat_map(|stop| banks_at(facts, stop)).collect();
    visits.windows(2).map(|pair| u32::from(pair.first() != pair.last())).sum()
}

/// Lists the banks worked on at a stop, each once: the watched cylinder's, then those gauged.
fn banks_at(facts: &Facts, stop: &Stop) -> Vec<usize> {
    let gauged = stop.gauge.iter().map(|gauge| gauge.valve.cylinder);
    let mut banks = Vec::new();
    for cylinder in std::iter::once(stop.watch).chain(gauged) {
        let bank = bank_index(facts, cylinder);
        if !banks.contains(&bank) {
            banks.push(bank);
        }
    }
    banks
}

/// Returns the place of a cylinder's bank among the banks.
fn bank_index(facts: &Facts, cylinder: Cylinder) -> usize {
    facts.layout.banks.iter().take_while(|bank| !bank.cylinders.contains(&cylinder)).count()
}

fn caveat(facts: &Facts) -> Option<&'static str> {
    let untold = match (facts.layout.shape, facts.layout.cam_ring) {
        (Shape::Radial, None) => facts.stops.is_none(),
        (Shape::Radial, Some(CamRing::Fixed | CamRing::Floating)) => false,
        (Shape::Inline | Shape::Vee | Shape::Opposed, _) => false,
    };
    untold.then_some(CAM_RING_CAVEAT)
}

/// Returns how far short of and past a crank angle will do for all of these valves, degrees.
///
/// None is offered without the profile's own timing, nor on a floating cam ring, where the place
/// itself settles the ring.
fn tolerance(facts: &Facts, crank: f64, gauge: &[Gauge]) -> Option<(f64, f64)> {
    if facts.layout.cam_ring == Some(CamRing::Floating) {
        return None;
    }
    let timing = facts.timing?;
    let mut room = (TURN, TURN);
    for Gauge { valve, .. } in gauge {
        let opening = crank::Opening::of(&timing, valve.kind);
        let phase = crank::phase(facts, valve.cylinder, crank);
        let since_closing = opening.since_closing(phase);
        // At the very beginning of its opening a valve has no room on either side.
        let until_opening = if since_closing < 0.0 { 0.0 } else { opening.until_opening(phase) };
        room = (room.0.min(since_closing), room.1.min(until_opening));
    }
    Some(((room.0 - KEPT_CLEAR).max(0.0), (room.1 - KEPT_CLEAR).max(0.0)))
}
