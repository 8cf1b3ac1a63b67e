//! Computed plans: which stops there are, and in what order; the default is one cylinder a stop.

use super::{
    Gauge, MARGIN_OF_ASSUMED, MARGIN_OF_PROFILE, Plan, PlanChoice, PlanRefusal, Rest, Stop,
    TimingFrom, bank_index, tolerance,
};
use super::{few_stops, walking};
use crate::domain::crank::{self, CYCLE, EQUAL_WITHIN, TURN};
use crate::domain::profile::{CamRing, Facts};
use crate::domain::valve::{Cylinder, Valve};
use std::cmp::Ordering;

/// Makes the plan that is wanted: one cylinder a stop, or the fewest stops; in the running order,
/// or with the fewest changes of side; for all valves, or for the rest from where the crank stands.
pub(super) fn way_round(
    facts: &Facts,
    choice: &PlanChoice,
    rest: Option<&Rest>,
) -> Result<Plan, PlanRefusal> {
    if facts.layout.cam_ring == Some(CamRing::Floating) {
        return Err(PlanRefusal::TableMissing);
    }
    let timing = if facts.timing.is_some() { TimingFrom::Profile } else { TimingFrom::Assumed };
    let required = required(timing, choice)?;
    let mut stops = match choice.few_stops {
        true => few_stops::fewest(facts, choice, rest, required)?,
        false => one_cylinder_a_stop(facts, choice, rest, required)?,
    };
    if choice.less_walking {
        let first = choice.from.map(|cylinder| stops_gauging(&stops, cylinder));
        stops = match rest {
            Some(rest) => least_of_rest(facts, stops, rest)?,
            None => walking::least(facts, stops, first.as_deref())?,
        };
    }
    let plan = Plan::of(facts, timing, stops, rest);
    check(&plan, required)?;
    Ok(plan)
}

/// Puts what is left into the order with the least walking. What can be gauged where the crank stands
/// comes first: nobody turns away from it.
fn least_of_rest(
    facts: &Facts,
    mut stops: Vec<Stop>,
    rest: &Rest,
) -> Result<Vec<Stop>, PlanRefusal> {
    let here = |stop: &Stop| stop.turn_from(Some(rest.crank)).is_some_and(|t| t <= EQUAL_WITHIN);
    let Some(place) = stops.iter().position(here) else {
        return walking::least_from(facts, stops, rest);
    };
    let first = stops.remove(place);
    let at = first.gauge.last().map_or(first.watch, |gauge| gauge.valve.cylinder);
    let from_here = Rest { at, ..rest.clone() };
    let others = walking::least_from(facts, stops, &from_here)?;
    Ok(std::iter::once(first).chain(others).collect())
}

fn stops_gauging(stops: &[Stop], cylinder: Cylinder) -> Vec<usize> {
    let gauges = |stop: &Stop| stop.gauge.iter().any(|gauge| gauge.valve.cylinder == cylinder);
    (0..).zip(stops).filter(|(_, stop)| gauges(stop)).map(|(place, _)| place).collect()
}

/// Makes the stops of the default plan: one cylinder a stop, in firing order, each behind the best
/// cylinder to watch.
fn one_cylinder_a_stop(
    facts: &Facts,
    choice: &PlanChoice,
    rest: Option<&Rest>,
    required: f64,
) -> Result<Vec<Stop>, PlanRefusal> {
    let wanted = |valve: &Valve| rest.is_none_or(|rest| rest.valves.contains(valve));
    let stop = |cylinder| {
        let valves: Vec<Valve> = facts.valves_of(cylinder).into_iter().filter(wanted).collect();
        let (watch, then_turn) = watched(facts, cylinder, required);
        (!valves.is_empty()).then(|| stop_at(facts, watch, then_turn, valves))
    };
    let mut stops: Vec<Stop> =
        order_from(facts, choice.from)?.into_iter().filter_map(stop).collect();
    if let Some(rest) = rest {
        // Onwards from where the crank stands.
        let turn = |stop: &Stop| stop.turn_from(Some(rest.crank)).unwrap_or(0.0);
        stops.sort_by(|one, other| turn(one).total_cmp(&turn(other)));
    }
    Ok(stops)
}

/// Returns the least margin accepted, degrees.
fn required(timing: TimingFrom, choice: &PlanChoice) -> Result<f64, PlanRefusal> {
    match (choice.margin, timing) {
        (Some(margin), _) if !(0.0..=TURN).contains(&margin) => {
            Err(PlanRefusal::MarginOutOfRange { margin })
        }
        (Some(margin), _) => Ok(margin),
        (None, TimingFrom::Profile | TimingFrom::Table) => Ok(MARGIN_OF_PROFILE),
        (None, TimingFrom::Assumed) => Ok(MARGIN_OF_ASSUMED),
    }
}

/// Returns the firing order, begun at a cylinder.
pub(super) fn order_from(
    facts: &Facts,
    from: Option<Cylinder>,
) -> Result<Vec<Cylinder>, PlanRefusal> {
    let mut order = facts.firing_order.clone();
    if let Some(cylinder) = from {
        let at = order
            .iter()
            .position(|&c| c == cylinder)
            .ok_or(PlanRefusal::NoSuchCylinder { cylinder, cylinders: facts.cylinders() })?;
        order.rotate_left(at);
    }
    Ok(order)
}

/// Chooses the cylinder to watch while another is gauged, and what is turned on after its overlap.
pub(super) fn watched(facts: &Facts, gauged: Cylinder, required: f64) -> (Cylinder, u16) {
    if let Some(opposite) = crank::opposite(facts, gauged) {
        return (opposite, 0);
    }
    match best_overlap(facts, gauged) {
        Some((watch, margin)) if crank::compare(margin, required) != Ordering::Less => (watch, 0),
        Some(_) | None => (gauged, 360),
    }
}

/// Finds the other cylinder whose overlap leaves the gauged one the best margin.
fn best_overlap(facts: &Facts, gauged: Cylinder) -> Option<(Cylinder, f64)> {
    let margin_at = |watch: Cylinder| {
        let crank = crank::overlap_angle(facts, watch);
        let valves = facts.valves_of(gauged).into_iter();
        valves.map(|valve| crank::margin(facts, valve, crank)).fold(TURN, f64::min)
    };
    let others = facts.firing_order.iter().copied().filter(|&watch| watch != gauged);
    let seen: Vec<(Cylinder, f64)> = others.map(|watch| (watch, margin_at(watch))).collect();
    let best = seen.iter().map(|&(_, margin)| margin).max_by(f64::total_cmp)?;
    let equals = seen.into_iter().filter(|&(_, margin)| crank::compare(margin, best).is_eq());
    // Among equals `min_by_key` keeps the first in firing order.
    equals.min_by_key(|&(watch, _)| {
        let phase = crank::phase(facts, gauged, crank::overlap_angle(facts, watch));
        // False, the lesser, where the gauged cylinder is left before its top dead centre.
        !(TURN..CYCLE - EQUAL_WITHIN).contains(&phase)
    })
}

/// Makes a stop at a cylinder's overlap, or one full turn after it.
pub(super) fn stop_at(facts: &Facts, watch: Cylinder, then_turn: u16, valves: Vec<Valve>) -> Stop {
    let crank = crank::normal(crank::overlap_angle(facts, watch) + f64::from(then_turn));
    let mut gauge: Vec<Gauge> = valves
        .into_iter()
        .map(|valve| Gauge { valve, margin: Some(crank::margin(facts, valve, crank)) })
        .collect();
    gauge.sort_by_key(|gauge| in_order(facts, watch, gauge.valve));
    let (short_by, past_by) = tolerance(facts, crank, &gauge).unzip();
    Stop {
        watch,
        sign: crank::overlap_sign(facts),
        then_turn,
        crank: Some(crank),
        turn: None,
        margin: gauge.iter().filter_map(|gauge| gauge.margin).min_by(f64::total_cmp),
        gauge,
        unload: Vec::new(),
        say: None,
        short_by,
        past_by,
    }
}

/// Orders valves within a stop: the watched cylinder's bank first, then firing order, then intake
/// before exhaust.
fn in_order(facts: &Facts, watch: Cylinder, valve: Valve) -> (bool, usize, Valve) {
    let other_bank = bank_index(facts, valve.cylinder) != bank_index(facts, watch);
    let fires = facts.firing_order.iter().take_while(|&&c| c != valve.cylinder).count();
    (other_bank, fires, valve)
}

/// Refuses a plan of which a valve comes nearer to its opening than is accepted.
fn check(plan: &Plan, required: f64) -> Result<(), PlanRefusal> {
    let mut worst: Option<PlanRefusal> = None;
    let mut least = required;
    for (number, stop) in (1..).zip(&plan.stops) {
        for &Gauge { valve, margin } in &stop.gauge {
            let margin = margin.unwrap_or(f64::NEG_INFINITY);
            if crank::compare(margin, least).is_lt() {
                least = margin;
                let watch = stop.watch;
                worst =
                    Some(PlanRefusal::BelowMargin { valve, stop: number, watch, margin, required });
            }
        }
    }
    worst.map_or(Ok(()), Err)
}
