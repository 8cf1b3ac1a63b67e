//! Hydraulic lifters: a leaf under a lifter that is not dry and bottomed reads its spring, no clearance.
//! Each reading has the word that it was, given since the crank was last moved.

use super::checklist::{self, Line};
use super::decide::Decided;
use super::due::Due;
use super::input::{Input, Refusal};
use super::state::State;
use crate::domain::entry::{Entry, On};
use crate::domain::profile::Adjuster;
use crate::domain::valve::Valve;

/// Why a reading is not taken before that is said.
const BLEED_FIRST: &str = "its lifter first: dry or fully bled, its plunger felt to bottom";

impl State {
    /// Tells whether the engine has hydraulic lifters.
    pub fn has_lifters(&self) -> bool {
        matches!(self.facts().adjuster, Adjuster::Pushrod { .. })
    }

    /// Returns the question that comes before a reading: is its hydraulic lifter dry and bottomed?
    pub(super) fn due_of_lifter(&self, valve: Valve) -> Option<Due> {
        self.lifter_of(valve).map(|line| Due::Dry(valve, line))
    }

    /// Returns the question of the lifter of a valve, where it is not answered since the crank was moved.
    pub fn lifter_of(&self, valve: Valve) -> Option<Line> {
        let asked = self.has_lifters() && !self.dry.contains(&valve);
        asked.then(|| checklist::dry(valve, &self.name_of(valve)))
    }

    /// Refuses a reading before its lifter is answered for.
    pub(super) fn bled(&self, valve: Valve) -> Result<(), Refusal> {
        if self.lifter_of(valve).is_none() {
            Ok(())
        } else {
            Err(Refusal::Unreadable(BLEED_FIRST.into()))
        }
    }

    /// Keeps the word on lifters first, then the readings that it was given for.
    pub(super) fn decide_bled(&self, valves: &[Valve], then: &Input) -> Decided {
        if !self.has_lifters() {
            return Err(Refusal::NotNow);
        }
        let mut bled = self.clone();
        bled.dry.extend(valves);
        let readings = bled.decide_gauge(then)?;
        let word = |&valve: &Valve| {
            let line = checklist::dry(valve, &self.name_of(valve));
            let seen = line.states.iter().find(|seen| seen.good)?.clone();
            let (digit, seen, done) = (seen.digit, seen.words, true);
            Some(Entry::On(On::Check { id: line.id, asked: line.ask, digit, seen, done }))
        };
        Ok(valves.iter().filter_map(word).chain(readings).collect())
    }
}
