//! What the cams of a profile come to: how long valves are open and shut, which cylinders are
//! opposites, what can be gauged with a cylinder at overlap, and which valves go in pairs.
//!
//! Facts to look up, not a plan: which positions are gone to is the plan's business.

use super::crank::{self, CYCLE, Opening};
use super::plan::{CAM_RING_CAVEAT, MARGIN_OF_ASSUMED, MARGIN_OF_PROFILE};
use super::profile::{Bank, CamRing, Facts, Shape, Timing};
use super::valve::{Cylinder, Kind, Valve};
use std::cmp::Ordering;

/// How long valves are open and shut, crank degrees of a whole cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spans {
    /// The intake is open.
    pub intake: f64,
    /// The exhaust is open.
    pub exhaust: f64,
    /// Both are open between exhaust and intake; 0 or less where they never are: then the exhaust is
    /// shut so long before the intake opens.
    pub overlap: f64,
    /// Both are shut: what the two openings together leave of the cycle.
    pub both_shut: f64,
}

impl Spans {
    /// Returns for how much of the cycle both are shut, per cent.
    pub fn both_shut_percent(&self) -> f64 {
        self.both_shut / CYCLE * 100.0
    }
}

/// Works out the spans of a timing, its ramps included.
pub fn spans(timing: &Timing) -> Spans {
    let intake = Opening::of(timing, Kind::Intake);
    let exhaust = Opening::of(timing, Kind::Exhaust);
    let overlap = crank::overlap_degrees(timing);
    // Cams of extreme length meet once more, around the firing top dead centre.
    let met_again = (intake.closes - (CYCLE + exhaust.opens)).max(0.0);
    let open = intake.duration() + exhaust.duration() - overlap.max(0.0) - met_again;
    Spans {
        intake: intake.duration(),
        exhaust: exhaust.duration(),
        overlap,
        both_shut: (CYCLE - open).max(0.0),
    }
}

/// Returns a timing as its events alone have it, without ramps.
pub fn without_ramps(timing: &Timing) -> Timing {
    Timing { ramp: 0.0, ..*timing }
}

/// Returns the least margin that a plan accepts unless it is asked otherwise, degrees.
pub fn least_margin(facts: &Facts) -> f64 {
    if facts.timing.is_some() { MARGIN_OF_PROFILE } else { MARGIN_OF_ASSUMED }
}

/// Lists the pairs of opposites, each once, in firing order.
pub fn opposites(facts: &Facts) -> Vec<(Cylinder, Cylinder)> {
    let mut pairs: Vec<(Cylinder, Cylinder)> = Vec::new();
    for &cylinder in &facts.firing_order {
        let paired = |pair: &(Cylinder, Cylinder)| pair.0 == cylinder || pair.1 == cylinder;
        if let Some(other) = crank::opposite(facts, cylinder)
            && !pairs.iter().any(paired)
        {
            pairs.push((cylinder, other));
        }
    }
    pairs
}

/// A crank position and the valves that can be gauged there.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// The cylinder that is brought to its centre of overlap.
    pub watch: Cylinder,
    /// Turned on after that: 0 or 360 degrees.
    pub then_turn: u16,
    /// Crank angle, 0..720.
    pub crank: f64,
    /// Valves whose margin is at least the one asked for, with it, cylinders in numerical order.
    pub gauge: Vec<(Valve, f64)>,
}

/// Lists for every cylinder, in numerical order, what can be gauged with it at overlap and one full
/// turn on; `None` where only the manual's own table tells (a floating cam ring, or a table given).
pub fn positions(facts: &Facts, least: f64) -> Option<Vec<Position>> {
    if !may_be_computed(facts) {
        return None;
    }
    let mut cylinders = facts.firing_order.clone();
    cylinders.sort_unstable();
    let both = cylinders.into_iter().flat_map(|watch| [(watch, 0), (watch, 360)]);
    Some(both.map(|(watch, then_turn)| position(facts, watch, then_turn, least)).collect())
}

/// Tells whether positions may be worked out at all: not on a floating cam ring, and not in place of
/// a manual's table.
fn may_be_computed(facts: &Facts) -> bool {
    facts.stops.is_none() && facts.layout.cam_ring != Some(CamRing::Floating)
}

/// Returns what has to stand beside positions of a radial whose cam ring is not told.
pub fn caveat(facts: &Facts) -> Option<&'static str> {
    let untold = facts.layout.shape == Shape::Radial && facts.layout.cam_ring.is_none();
    (untold && may_be_computed(facts)).then_some(CAM_RING_CAVEAT)
}

fn position(facts: &Facts, watch: Cylinder, then_turn: u16, least: f64) -> Position {
    let crank = crank::normal(crank::overlap_angle(facts, watch) + f64::from(then_turn));
    let margins = facts.valves().into_iter().map(|v| (v, crank::margin(facts, v, crank)));
    let gauge = margins.filter(|(_, margin)| crank::compare(*margin, least) != Ordering::Less);
    Position { watch, then_turn, crank, gauge: gauge.collect() }
}

/// Valves that go in pairs by their numbers along a bank: with one fully open its partner, the same
/// kind of valve on the opposite cylinder, is farthest from opening.
#[derive(Clone, Debug, PartialEq)]
pub struct PairRule<'a> {
    /// The bank in which the one valve is counted from the listed end.
    pub bank: &'a str,
    /// The bank in which the other is counted; the same one where the pairs stand in one bank.
    pub other: &'a str,
    /// The valves of either bank.
    pub valves: usize,
    /// What the two numbers add up to.
    pub sum: usize,
    /// The smaller margin of a partner while the valve is fully open, degrees.
    pub margin: f64,
}

/// Finds the banks whose valves go in pairs of a constant sum ("rule of nine"): only where it is
/// true of every valve, by the valves along the banks and the opposites of the firing order.
pub fn pair_rules(facts: &Facts) -> Vec<PairRule<'_>> {
    let banks = if may_be_computed(facts) { facts.layout.banks.as_slice() } else { &[] };
    let pairs = banks.iter().enumerate().flat_map(|(at, one)| {
        // Each pair of banks once.
        banks.iter().skip(at).map(move |other| (one, other))
    });
    pairs.filter_map(|(one, other)| pair_rule(facts, one, other)).collect()
}

fn pair_rule<'a>(facts: &Facts, one: &'a Bank, other: &'a Bank) -> Option<PairRule<'a>> {
    let (along, across) = (valves_along(facts, one)?, valves_along(facts, other)?);
    // The partners of valves 1 to n are n to 1: no other sum pairs every valve.
    let partners = along.iter().zip(across.iter().rev());
    let paired = along.len() == across.len()
        && partners.into_iter().all(|(&(cylinder, kind), &(partner, of_kind))| {
            kind == of_kind && crank::opposite(facts, cylinder) == Some(partner)
        });
    let timing = crank::timing(facts);
    let shut = |kind| (CYCLE - Opening::of(&timing, kind).duration()) / 2.0;
    let margin = f64::min(shut(Kind::Intake), shut(Kind::Exhaust));
    let safe = crank::compare(margin, least_margin(facts)) != Ordering::Less;
    (paired && safe).then_some(PairRule {
        bank: &one.name,
        other: &other.name,
        valves: along.len(),
        sum: along.len() + 1,
        margin,
    })
}

/// Lists the valves of a bank as they stand from the listed end, where the profile tells it so that
/// each valve's cylinder is known.
fn valves_along(facts: &Facts, bank: &Bank) -> Option<Vec<(Cylinder, Kind)>> {
    let along = bank.valves_along.as_ref()?;
    let per = |kind| usize::from(facts.spec(kind).per_cylinder);
    let each = per(Kind::Intake) + per(Kind::Exhaust);
    let own = along.chunks(each);
    let whole = |chunk: &[Kind]| {
        let of = |kind| chunk.iter().filter(|other| **other == kind).count();
        Kind::BOTH.into_iter().all(|kind| of(kind) == per(kind))
    };
    if own.len() != bank.cylinders.len() || !own.clone().all(whole) {
        return None;
    }
    let valves = bank.cylinders.iter().zip(own);
    Some(valves.flat_map(|(&cylinder, kinds)| kinds.iter().map(move |&k| (cylinder, k))).collect())
}
