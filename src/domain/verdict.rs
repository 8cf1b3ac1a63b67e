//! Verdicts: what an interval means against a band of limits.
//!
//! Which band applies (found or set) is the caller's choice; what a reading's interval is, is
//! worked out in `reading`.

use super::entry::Reading;
use super::leaves;
use super::profile::Figures;
use super::units::Length;
use super::valve::{Kind, Valve};

/// What a reading says of the clearance, without the words it was typed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Interval {
    /// Lower end; `None` where open.
    pub low: Option<Length>,
    /// Upper end; `None` where open.
    pub high: Option<Length>,
    /// The leaf, the sum of a stack, or the middle of a pair; `None` where open-ended.
    pub nominal: Option<Length>,
    /// True for a single leaf or stack.
    pub single: bool,
}

impl From<&Reading> for Interval {
    fn from(reading: &Reading) -> Interval {
        let Reading { low, high, nominal, single, .. } = *reading;
        Interval { low, high, nominal, single }
    }
}

/// Limits, both of them still good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// Lower limit.
    pub least: Length,
    /// Upper limit.
    pub most: Length,
}

impl Band {
    /// Returns the band that a valve must be found in.
    pub fn found(figures: &Figures) -> Band {
        Band { least: figures.least, most: figures.most }
    }

    /// Returns the band that a touched valve must be left in.
    pub fn set(figures: &Figures) -> Band {
        Band { least: figures.set_least, most: figures.set_most }
    }

    /// Tells whether a length lies in the band, ends included.
    pub fn contains(&self, length: Length) -> bool {
        (self.least..=self.most).contains(&length)
    }
}

/// What is said of a valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Inside the band.
    InLimits,
    /// Below it.
    Tight,
    /// Above it.
    Loose,
    /// The leaves used cannot tell.
    Undecided {
        /// The leaf to try next.
        settle: Length,
    },
}

impl Verdict {
    /// Returns the word of contract 4.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::InLimits => "in limits",
            Verdict::Tight => "tight",
            Verdict::Loose => "loose",
            Verdict::Undecided { .. } => "undecided",
        }
    }

    /// Ranks it, the gravest first: a tight valve burns and one that nobody can tell may; a loose one is
    /// heard (common practice, no source).
    pub fn gravity(self) -> u8 {
        match self {
            Verdict::Tight => 0,
            Verdict::Undecided { .. } => 1,
            Verdict::Loose => 2,
            Verdict::InLimits => 3,
        }
    }
}

/// Orders what is out of its band, the gravest first: among those of a verdict the exhaust, which burns
/// (common practice, no source).
pub fn gravity(verdict: Verdict, valve: Valve) -> (u8, bool, Valve) {
    (verdict.gravity(), valve.kind != Kind::Exhaust, valve)
}

/// Judges a reading (contract 4): a single leaf by its nominal, everything else by its whole
/// interval; one that only touches a limit from outside is outside.
pub fn judge(reading: &Interval, band: Band, leaves: &[Length]) -> Verdict {
    if let (true, Some(nominal)) = (reading.single, reading.nominal) {
        return match nominal {
            _ if nominal < band.least => Verdict::Tight,
            _ if nominal > band.most => Verdict::Loose,
            _ => Verdict::InLimits,
        };
    }
    let above_least = reading.low.is_some_and(|low| low >= band.least);
    let below_most = reading.high.is_some_and(|high| high <= band.most);
    if above_least && below_most {
        Verdict::InLimits
    } else if reading.high.is_some_and(|high| high <= band.least) {
        Verdict::Tight
    } else if reading.low.is_some_and(|low| low >= band.most) {
        Verdict::Loose
    } else {
        let limit = if above_least { band.most } else { band.least };
        Verdict::Undecided { settle: settling_leaf(reading, band, limit, leaves) }
    }
}

/// Names the leaf to try where an interval lies across a limit.
///
/// A leaf of the limit's own size settles it either way: it goes, or it does not. Where the set
/// has none and no two leaves make it up, the leaf or stack nearest to the limit that lies inside
/// both band and interval may settle it; where there is none, the limit itself is named, for a
/// leaf must be fetched. Across both limits the lower one comes first: tight valves burn.
fn settling_leaf(reading: &Interval, band: Band, limit: Length, leaves: &[Length]) -> Length {
    if leaves::can_make(leaves, limit) {
        return limit;
    }
    let inside = |&size: &Length| {
        band.contains(size)
            && reading.low.is_none_or(|low| low < size)
            && reading.high.is_none_or(|high| size < high)
    };
    let nearest = leaves::sizes(leaves).into_iter().filter(inside);
    nearest.min_by_key(|size| (size.nm() - limit.nm()).abs()).unwrap_or(limit)
}
