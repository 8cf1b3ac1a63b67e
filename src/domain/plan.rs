//! Which crank positions gauge every valve, and in what order.

use super::profile::Sign;
use super::valve::{Cylinder, Valve};

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

/// A way round the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Where the timing comes from.
    pub timing: TimingFrom,
    /// The stops in order.
    pub stops: Vec<Stop>,
    /// Degrees turned in all.
    pub turned: f64,
    /// How often the mechanic changes side.
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
    /// Degrees (modulo 720) from the stop before; 0 for the first.
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
