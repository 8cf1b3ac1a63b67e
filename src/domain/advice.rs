//! What to do about a reading (contract 6): turn the screw, fit a shim, fit a push rod, or nothing.
//!
//! Advice never replaces the gauge: whatever it says, the valve is gauged again. Nothing is ever
//! computed from a reading with an open end; `0` is one.

use super::leaves;
use super::profile::{Adjuster, EngineProfile, Facts, Figures, Screw};
use super::units::Length;
use super::valve::Valve;
use super::verdict::{Band, Interval, Verdict, judge};
use std::fmt;

/// A verdict and what to do about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// The valve.
    pub valve: Valve,
    /// The verdict as found.
    pub verdict: Verdict,
    /// What to do.
    pub action: Action,
}

/// What to do about a valve. Amounts are `None` where the reading is open-ended.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Turn the adjusting screw.
    Screw {
        /// Which way.
        direction: Direction,
        /// How far; `None` also where the profile has no pitch.
        turn: Option<Turn>,
    },
    /// Fit another shim.
    Shim {
        /// The shim to fit; `None` also where the profile lists no sizes.
        fit: Option<Fit>,
    },
    /// Fit another push rod.
    Pushrod {
        /// Every stocked rod, in the profile's order.
        choices: Vec<Choice>,
        /// The stocked length with most room, where one lies inside the limits.
        fit: Option<Length>,
    },
    /// Leave it.
    None {
        /// The leaf that would settle an undecided reading.
        settle: Option<Length>,
    },
}

/// Which way a screw is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Towards the valve or rod: closes the clearance.
    In,
    /// Opens the clearance.
    Out,
}

impl Direction {
    /// Returns "in" or "out".
    pub fn word(self) -> &'static str {
        match self {
            Direction::In => "in",
            Direction::Out => "out",
        }
    }
}

/// How far a screw is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Degrees.
    pub degrees: f64,
    /// The clearance that it leads to: the target.
    pub predicted: Length,
}

impl Turn {
    /// Returns whole turns and parts of one.
    pub fn turns(self) -> f64 {
        self.degrees / 360.0
    }
}

/// A shim and what it leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fit {
    /// Its size.
    pub size: Length,
    /// The clearance that it leads to.
    pub predicted: Length,
}

/// A stocked push rod and what it leads to; `None` where the reading is open-ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The stocked length, as difference from standard.
    pub length: Length,
    /// The clearance that it leads to.
    pub predicted: Option<Length>,
    /// Distance of that from the nearer limit; negative outside.
    pub room: Option<Length>,
}

/// Why no advice can be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdviceFault {
    /// The engine has no such valve.
    NoSuchValve(Valve),
    /// Shims, and the one fitted is not known.
    ShimNotKnown,
}

impl fmt::Display for AdviceFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AdviceFault::NoSuchValve(valve) => write!(f, "this engine has no valve {valve}"),
            AdviceFault::ShimNotKnown => {
                f.write_str("the clearance is set by shims, and the one fitted is not known")
            }
        }
    }
}

impl std::error::Error for AdviceFault {}

impl AdviceFault {
    /// Says what to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            AdviceFault::NoSuchValve(_) => {
                "Name the cylinder and `intake` or `exhaust`, as `1 exhaust`."
            }
            AdviceFault::ShimNotKnown => {
                "Measure the shim fitted and give its size with its unit, as `--shim \"2.95 mm\"`."
            }
        }
    }
}

/// Judges a reading as found and says what to do about it.
///
/// `fitted` is the shim fitted now; `rod` the push rod fitted now, as difference from standard
/// (none = standard).
///
/// # Errors
/// Where the engine has no such valve, or shims and `fitted` is not given.
pub fn advise(
    profile: &EngineProfile,
    valve: Valve,
    reading: &Interval,
    fitted: Option<Length>,
    rod: Option<Length>,
) -> Result<Advice, AdviceFault> {
    if !profile.valves().contains(&valve) {
        return Err(AdviceFault::NoSuchValve(valve));
    }
    let set = leaves::of_profile(profile);
    let verdict = judge(reading, Band::found(&profile.figures(valve.kind)), &set.leaves);
    if matches!(profile.adjuster, Adjuster::Shim { .. }) && fitted.is_none() {
        return Err(AdviceFault::ShimNotKnown);
    }
    let action = action(profile, valve, reading, verdict, (fitted, rod))?;
    Ok(Advice { valve, verdict, action })
}

/// Says what to do about a reading that was judged against whichever band applies; the parts are
/// the shim and the push rod fitted now.
///
/// # Errors
/// Where a shim is to be chosen and the one fitted is not given.
pub fn action(
    facts: &Facts,
    valve: Valve,
    reading: &Interval,
    verdict: Verdict,
    (fitted, rod): (Option<Length>, Option<Length>),
) -> Result<Action, AdviceFault> {
    let direction = match verdict {
        Verdict::InLimits => return Ok(Action::None { settle: None }),
        Verdict::Undecided { settle } => return Ok(Action::None { settle: Some(settle) }),
        Verdict::Tight => Direction::Out,
        Verdict::Loose => Direction::In,
    };
    let figures = facts.figures(valve.kind);
    match &facts.adjuster {
        Adjuster::Screw(screw) => {
            let turn = reading.nominal.and_then(|nominal| turn(screw, nominal, figures.target));
            Ok(Action::Screw { direction, turn })
        }
        Adjuster::Shim { sizes } => {
            let fitted = fitted.ok_or(AdviceFault::ShimNotKnown)?;
            let fit = reading
                .nominal
                .and_then(|nominal| nearest_shim(sizes, fitted, nominal, figures.target));
            Ok(Action::Shim { fit })
        }
        Adjuster::Pushrod { lengths, rocker_ratio } => {
            let now = rod.unwrap_or(Length::ZERO);
            let (choices, fit) = rods(lengths, *rocker_ratio, now, reading.nominal, &figures);
            Ok(Action::Pushrod { choices, fit })
        }
        Adjuster::None => Ok(Action::None { settle: None }),
    }
}

/// Works out what each stocked push rod leads to, and which has most room inside the limits; the
/// lengths and `now`, the rod fitted, are differences from standard.
pub fn rods(
    lengths: &[Length],
    rocker_ratio: f64,
    now: Length,
    nominal: Option<Length>,
    figures: &Figures,
) -> (Vec<Choice>, Option<Length>) {
    let result = |&length: &Length| choice(length, now, rocker_ratio, nominal, figures);
    let choices: Vec<Choice> = lengths.iter().map(result).collect();
    let fit = roomiest(&choices);
    (choices, fit)
}

/// Works out how far a screw is turned from one clearance to another; `None` without a pitch.
///
/// At the valve's end the gap follows the screw; at the push rod's end the rocker enlarges it.
pub fn turn(screw: &Screw, from: Length, to: Length) -> Option<Turn> {
    let per_turn = if screw.at_valve_end { 1.0 } else { screw.rocker_ratio };
    let apart_mm = (from - to).nm().unsigned_abs() as f64 / 1e6;
    let pitch = screw.pitch_mm?;
    Some(Turn { degrees: apart_mm / (pitch * per_turn) * 360.0, predicted: to })
}

/// Works out by how much so many degrees move the clearance; `None` without a pitch.
pub fn moved_by(screw: &Screw, degrees: u16) -> Option<Length> {
    let per_turn = if screw.at_valve_end { 1.0 } else { screw.rocker_ratio };
    let mm = screw.pitch_mm? * per_turn * f64::from(degrees) / 360.0;
    Some(Length::from_nm((mm * 1e6).round() as i64))
}

/// Finds the stocked size nearest to fitted + measured − target, on a tie the thinner.
fn nearest_shim(sizes: &[Length], fitted: Length, nominal: Length, target: Length) -> Option<Fit> {
    let wanted = fitted + nominal - target;
    let size = *sizes.iter().min_by_key(|size| ((size.nm() - wanted.nm()).abs(), size.nm()))?;
    Some(Fit { size, predicted: nominal + fitted - size })
}

fn choice(
    length: Length,
    now: Length,
    ratio: f64,
    nominal: Option<Length>,
    figures: &Figures,
) -> Choice {
    let longer_nm = (length - now).nm() as f64 * ratio;
    let predicted = nominal.map(|nominal| nominal - Length::from_nm(longer_nm.round() as i64));
    let room = predicted.map(|gap| (gap - figures.least).min(figures.most - gap));
    Choice { length, predicted, room }
}

/// Finds the rod with most room inside the limits, on a tie the shorter.
fn roomiest(choices: &[Choice]) -> Option<Length> {
    let inside = choices.iter().filter_map(|choice| Some((choice.room?, choice.length)));
    inside
        .filter(|&(room, _)| room >= Length::ZERO)
        .min_by_key(|&(room, length)| (-room.nm(), length.nm()))
        .map(|(_, length)| length)
}
