//! How a service leaves the engine: valves outside their band, threads that show otherwise than the
//! profile has them. Words are the callers'.

use super::state::State;
use crate::domain::profile::Adjuster;
use crate::domain::valve::Valve;
use crate::domain::verdict::{Verdict, gravity};

/// Threads that show otherwise than the profile has them, and are left so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ThreadsLeft<'a> {
    /// The valve.
    pub valve: Valve,
    /// How many show.
    pub shown: u8,
    /// The least and the most that the profile allows.
    pub allowed: (u8, u8),
    /// Why it is left so.
    pub why: &'a str,
}

impl State {
    /// Lists the valves of this service that are left outside their band, the gravest first, whether
    /// with a reason or without.
    pub fn left_outside(&self) -> Vec<(Verdict, Valve)> {
        let left = |valve: Valve| Some((self.verdict_left(valve)?, valve));
        let mut left: Vec<(Verdict, Valve)> = self.valves().into_iter().filter_map(left).collect();
        left.retain(|(verdict, _)| *verdict != Verdict::InLimits);
        left.sort_by_key(|&(verdict, valve)| gravity(verdict, valve));
        left
    }

    /// Lists the valves of which threads show otherwise than the profile has them.
    pub fn threads_left_so(&self) -> Vec<ThreadsLeft<'_>> {
        let Adjuster::Screw(screw) = &self.facts().adjuster else { return Vec::new() };
        let Some(allowed) = screw.threads_showing else { return Vec::new() };
        let left = self.threads_left.iter().filter_map(|(&valve, why)| {
            let shown = self.nuts.get(&valve)?.threads?;
            let wrong = !(allowed.0..=allowed.1).contains(&shown);
            wrong.then_some(ThreadsLeft { valve, shown, allowed, why })
        });
        left.collect()
    }
}
