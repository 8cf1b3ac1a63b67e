//! The smallest number of stops that gauges every valve (contract, section 3, `--few-stops`).
//!
//! Where a valve has a given margin or more is one unbroken arc of the cycle, so a set of stops
//! serves every valve if and only if no such arc lies wholly between two neighbouring stops. From
//! each position there is therefore a farthest one that may come next, the *reach*, and the reach of
//! a later position is never nearer than that of an earlier one. From this follow, exactly:
//!
//! - the smallest number of stops: from each position leap as far as the reach allows, all the way
//!   round; whoever leaps less never gets ahead;
//! - the largest worst margin: a larger margin only shortens arcs, so it is found by halving the list
//!   of all margins that occur;
//! - the least turning: stops are visited in the running order, so what is turned is the way from the
//!   first to the last; the nearest possible last stop is worked out backwards for each first one.
//!
//! Positions are the overlaps of all cylinders, and one full turn after each.

use super::computed::{order_from, stop_at, watched};
use super::{PlanChoice, PlanRefusal, Rest, Stop};
use crate::domain::crank::{self, EQUAL_WITHIN};
use crate::domain::profile::Facts;
use crate::domain::valve::{Cylinder, Valve};

/// Makes the stops of the plan with the fewest stops, in the running order.
pub(super) fn fewest(
    facts: &Facts,
    choice: &PlanChoice,
    rest: Option<&Rest>,
    required: f64,
) -> Result<Vec<Stop>, PlanRefusal> {
    let first = order_from(facts, choice.from)?.first().copied().unwrap_or(1);
    let home = rest.map_or_else(|| home(facts, first, required), |rest| rest.crank);
    let field = Field::of(facts, home, rest);
    field.every_valve_somewhere(required)?;
    let chosen = field.chosen(required, choice.from, rest.is_some());
    Ok(field.stops(facts, &chosen))
}

/// Returns the angle at which the default plan gauges a cylinder: ties are settled from there on.
fn home(facts: &Facts, first: Cylinder, required: f64) -> f64 {
    let (watch, then_turn) = watched(facts, first, required);
    crank::normal(crank::overlap_angle(facts, watch) + f64::from(then_turn))
}

/// A place where the crank may be left standing.
struct Position {
    watch: Cylinder,
    then_turn: u16,
    /// Degrees from home, in the running direction.
    from_home: f64,
}

/// All positions in running order, and the margin of every valve at each.
struct Field {
    positions: Vec<Position>,
    valves: Vec<(Valve, Vec<f64>)>,
}

impl Field {
    fn of(facts: &Facts, home: f64, rest: Option<&Rest>) -> Field {
        let mut positions: Vec<Position> = Vec::new();
        for then_turn in [0, 360] {
            for &watch in &facts.firing_order {
                let angle = crank::overlap_angle(facts, watch) + f64::from(then_turn);
                let from_home = crank::forward(home, angle);
                // The same place told twice: the one without a further turn, first in firing order.
                if !positions.iter().any(|known| same_place(known.from_home, from_home)) {
                    positions.push(Position { watch, then_turn, from_home });
                }
            }
        }
        positions.sort_by(|one, other| one.from_home.total_cmp(&other.from_home));
        let margins = |valve: Valve| {
            let margin = |place: &Position| {
                crank::margin(facts, valve, crank::normal(home + place.from_home))
            };
            positions.iter().map(margin).collect()
        };
        let wanted = |valve: &Valve| rest.is_none_or(|rest| rest.valves.contains(valve));
        let valves = facts.valves().into_iter().filter(wanted);
        let valves = valves.map(|valve| (valve, margins(valve))).collect();
        Field { positions, valves }
    }

    /// Refuses a margin that a valve has nowhere.
    fn every_valve_somewhere(&self, required: f64) -> Result<(), PlanRefusal> {
        let best = |margins: &[f64]| margins.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let bests = self.valves.iter().map(|(valve, margins)| (*valve, best(margins)));
        match bests.min_by(|(_, one), (_, other)| one.total_cmp(other)) {
            Some((valve, margin)) if crank::compare(margin, required).is_lt() => {
                Err(PlanRefusal::BelowEverywhere { valve, margin, required })
            }
            Some(_) | None => Ok(()),
        }
    }

    /// Returns for each position how many places on the next stop may be at the most, so that every
    /// valve has the margin at some stop; the number of positions where one stop is enough.
    fn reach(&self, margin: f64) -> Vec<usize> {
        let count = self.positions.len();
        let mut reach = vec![count; count];
        for (_, margins) in &self.valves {
            let shut: Vec<bool> =
                margins.iter().map(|&there| crank::compare(there, margin).is_ge()).collect();
            // Backwards twice round: how far on the arc's last place is, seen from before it.
            let mut last: Option<usize> = None;
            for place in (0..2 * count).rev() {
                let here = place % count;
                if shut[here] {
                    let ends = !shut[(here + 1) % count];
                    last = if ends { Some(place) } else { last };
                } else if let (Some(last), true) = (last, place < count) {
                    reach[here] = reach[here].min(last - place);
                }
            }
        }
        reach
    }

    /// Returns the smallest number of stops, given the reach of each position.
    fn count(&self, reach: &[usize]) -> usize {
        let count = self.positions.len();
        let leaps_from = |start: usize| {
            let (mut at, mut stops) = (0, 1);
            while at + reach[(start + at) % count] < count {
                at += reach[(start + at) % count];
                stops += 1;
            }
            stops
        };
        (0..count).map(leaps_from).min().unwrap_or(0)
    }

    /// Chooses the positions, in the order in which they are visited; the way to the first one counts
    /// too where the crank stands at `home` already.
    fn chosen(&self, required: f64, from: Option<Cylinder>, from_home: bool) -> Vec<usize> {
        let stops = self.count(&self.reach(required));
        let reach = self.reach(self.largest_margin(required, stops));
        let count = self.positions.len();
        let mut best: Option<(f64, Vec<usize>)> = None;
        for start in 0..count {
            for allowed in self.allowed(start, from) {
                let Some(way) = nearest_last(&reach, start, stops, &allowed) else { continue };
                let to_first = if from_home { self.positions[start].from_home } else { 0.0 };
                let turned = to_first + self.turned(&way);
                let better =
                    |(least, _): &(f64, Vec<usize>)| crank::compare(turned, *least).is_lt();
                if best.as_ref().is_none_or(better) {
                    best = Some((turned, way));
                }
            }
        }
        best.map(|(_, way)| way).unwrap_or_default()
    }

    fn turned(&self, way: &[usize]) -> f64 {
        let at =
            |place: Option<&usize>| place.map_or(0.0, |&place| self.positions[place].from_home);
        crank::forward(at(way.first()), at(way.last()))
    }

    /// Returns the largest worst margin that this number of stops can have.
    fn largest_margin(&self, required: f64, stops: usize) -> f64 {
        let all = self.valves.iter().flat_map(|(_, margins)| margins);
        let mut margins: Vec<f64> = all.copied().filter(|&margin| margin > required).collect();
        margins.sort_by(f64::total_cmp);
        let enough = margins.partition_point(|&margin| self.count_with(margin) == Some(stops));
        enough.checked_sub(1).map_or(required, |last| margins[last])
    }

    fn count_with(&self, margin: f64) -> Option<usize> {
        let everywhere = |(_, margins): &(Valve, Vec<f64>)| {
            margins.iter().any(|&there| crank::compare(there, margin).is_ge())
        };
        self.valves.iter().all(everywhere).then(|| self.count(&self.reach(margin)))
    }

    /// Returns which positions may stand beside a first stop: all, or, where the plan has to begin
    /// with the stop that gauges a cylinder, those that leave one of its valves to that first stop.
    fn allowed(&self, start: usize, from: Option<Cylinder>) -> Vec<Vec<bool>> {
        let Some(cylinder) = from else { return vec![vec![true; self.positions.len()]] };
        let of_it = self.valves.iter().filter(|(valve, _)| valve.cylinder == cylinder);
        let mut ways: Vec<Vec<bool>> = Vec::new();
        for (_, margins) in of_it {
            let left_to_start =
                margins.iter().map(|&there| crank::compare(there, margins[start]).is_le());
            let way: Vec<bool> = left_to_start.collect();
            if !ways.contains(&way) {
                ways.push(way);
            }
        }
        ways
    }

    /// Makes stops of positions: each valve is gauged where its margin is largest, on a tie at the
    /// earlier stop.
    fn stops(&self, facts: &Facts, chosen: &[usize]) -> Vec<Stop> {
        let mut gauged: Vec<Vec<Valve>> = vec![Vec::new(); chosen.len()];
        for (valve, margins) in &self.valves {
            let at = |stop: usize| chosen.get(stop).map_or(f64::NEG_INFINITY, |&at| margins[at]);
            let better = |best: usize, stop: usize| {
                if crank::compare(at(stop), at(best)).is_gt() { stop } else { best }
            };
            if let Some(valves) = gauged.get_mut((1..chosen.len()).fold(0, better)) {
                valves.push(*valve);
            }
        }
        let made = chosen.iter().zip(gauged).map(|(&place, valves)| {
            let Position { watch, then_turn, .. } = self.positions[place];
            stop_at(facts, watch, then_turn, valves)
        });
        made.collect()
    }
}

fn same_place(one: f64, other: f64) -> bool {
    crank::forward(one, other).min(crank::forward(other, one)) <= EQUAL_WITHIN
}

/// Returns the way from a first position that ends with the nearest last one; of several, the one
/// whose stops come earliest. `None` where the stops do not suffice from there.
fn nearest_last(
    reach: &[usize],
    start: usize,
    stops: usize,
    allowed: &[bool],
) -> Option<Vec<usize>> {
    let count = reach.len();
    let reach_at = |on: usize| reach[(start + on) % count];
    // last[more][on]: the nearest last stop with `more` stops to come after the one `on` places on.
    let closes = |on: usize| (on + reach_at(on) >= count).then_some(on);
    let mut last: Vec<Vec<Option<usize>>> = vec![(0..count).map(closes).collect()];
    for more in 1..stops {
        let next_best = |on: usize| {
            let nexts = on + 1..=(on + reach_at(on)).min(count - 1);
            let may = |&next: &usize| allowed[(start + next) % count];
            nexts.filter(may).filter_map(|next| last[more - 1][next]).min()
        };
        let row = (0..count).map(next_best).collect();
        last.push(row);
    }
    let end = last[stops - 1][0]?;
    let (mut way, mut on) = (vec![start], 0);
    for more in (0..stops - 1).rev() {
        let next = (on + 1..count).find(|&next| {
            next - on <= reach_at(on)
                && allowed[(start + next) % count]
                && last[more][next] == Some(end)
        })?;
        way.push((start + next) % count);
        on = next;
    }
    Some(way)
}
