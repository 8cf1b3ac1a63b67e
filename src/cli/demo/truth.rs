//! The invented engines of the demonstration: what their clearances really are, and what a careful
//! mechanic would read. Invented data, the same each time it is made.

use crate::domain::entry::LeafSet;
use crate::domain::leaves;
use crate::domain::session::State;
use crate::domain::units::Length;
use crate::domain::valve::{Kind, Valve};
use std::collections::BTreeMap;

/// The clearances as they really are, nanometres.
pub struct Truth {
    clearances: BTreeMap<Valve, i64>,
    seed: u64,
    step: u64,
}

impl Truth {
    /// Starts with every valve near its target.
    pub fn new(valves: &[(Valve, Length)], seed: u64) -> Truth {
        let mut truth = Truth { clearances: BTreeMap::new(), seed, step: 0 };
        for &(valve, target) in valves {
            let off = truth.spread(4_000);
            truth.clearances.insert(valve, target.nm() + off);
        }
        truth
    }

    /// Returns a number between minus and plus `most`, the same at the same step of the same seed.
    fn spread(&mut self, most: i64) -> i64 {
        self.step += 1;
        // SplitMix64: a published mixing function, good enough for invented wear.
        let mut z = self.seed.wrapping_add(self.step.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        let span = u64::try_from(2 * most + 1).unwrap_or(1);
        i64::try_from(z % span).unwrap_or(0) - most
    }

    /// Lets the engine run: exhaust valves bed in and close a little, one of them faster.
    pub fn run(&mut self, hours: i64) {
        let valves: Vec<Valve> = self.clearances.keys().copied().collect();
        for valve in valves {
            let per_100_h = match (valve.kind, valve.cylinder) {
                (Kind::Exhaust, 3) => -42_000,
                (Kind::Exhaust, _) => -5_000,
                (Kind::Intake, _) => 1_500,
            };
            let wear = per_100_h * hours / 100 + self.spread(2_500);
            if let Some(clearance) = self.clearances.get_mut(&valve) {
                *clearance = (*clearance + wear).max(20_000);
            }
        }
    }

    /// Sets a valve, as well as hands can: `near` nanometres from the target at most.
    pub fn set(&mut self, valve: Valve, target: Length, near: i64) {
        let off = self.spread(near);
        self.clearances.insert(valve, target.nm() + off);
    }

    /// Reads a valve: the leaf that drags, or the pair between which it lies.
    pub fn read(&mut self, state: &State, valve: Valve) -> String {
        let clearance = self.clearances.get(&valve).copied().unwrap_or(0) + self.spread(800);
        let Some(set) = &state.leaves else { return "0".into() };
        read_with(set, clearance)
    }
}

fn read_with(set: &LeafSet, clearance: i64) -> String {
    let thinner = set.leaves.iter().copied().filter(|leaf| leaf.nm() <= clearance).max();
    let thicker = set.leaves.iter().copied().filter(|leaf| leaf.nm() > clearance).min();
    let label = |leaf: Length| leaves::labels(set, &[leaf]);
    match (thinner, thicker) {
        (None, _) => "0".into(),
        (Some(goes), None) => format!("{}/", label(goes)),
        (Some(goes), Some(stops)) => {
            let step = stops.nm() - goes.nm();
            let into = clearance - goes.nm();
            if into * 4 <= step {
                label(goes)
            } else if into * 4 >= step * 3 {
                label(stops)
            } else {
                format!("{}/{}", label(goes), label(stops))
            }
        }
    }
}
