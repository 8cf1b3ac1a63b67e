//! Which round is under way: found once for a state, and asked for by almost every question.
//!
//! To look for it takes every valve of every round; what was found is kept until the state changes.

use super::state::State;
use std::sync::OnceLock;

/// The round that was found, where the state was not changed since; `None` while it is being changed.
#[derive(Clone, Debug)]
pub(super) struct UnderWay(Option<OnceLock<Option<usize>>>);

impl UnderWay {
    /// Nothing found yet.
    pub(super) fn unknown() -> UnderWay {
        UnderWay(Some(OnceLock::new()))
    }

    /// What is found from here on is not kept.
    pub(super) fn changing() -> UnderWay {
        UnderWay(None)
    }

    /// What was found is not to be believed any more.
    pub(super) fn forget(&mut self) {
        if self.0.is_some() {
            *self = UnderWay::unknown();
        }
    }
}

/// It tells nothing that the rest of a state does not.
impl PartialEq for UnderWay {
    fn eq(&self, _: &UnderWay) -> bool {
        true
    }
}

impl State {
    /// Returns the round under way, from 0; `None` when all are done or none is chosen yet.
    ///
    /// A slack nut belongs to the round in which it was opened; a held-open valve keeps the last
    /// round open.
    pub fn round(&self) -> Option<usize> {
        match &self.under_way.0 {
            Some(found) => *found.get_or_init(|| self.look_for_round()),
            None => self.look_for_round(),
        }
    }

    /// Finds the round under way, whatever was found before: see [`State::round`].
    pub fn look_for_round(&self) -> Option<usize> {
        let rounds = if self.plan.is_ok() { self.rounds().len() } else { 0 };
        let valves = self.facts().valves();
        let wants = |round: usize| {
            let mut valves = valves.iter();
            valves.any(|&valve| self.nut_of_round(round, valve) || self.wants_work(round, valve))
        };
        let last = rounds.checked_sub(1).filter(|_| !self.unloaded.is_empty());
        (0..rounds).find(|&round| wants(round)).or(last)
    }
}
