//! What the services before left outside its band: one answer for the list of engines, the questions of
//! the next service, its notice, its signature and its record.

use super::sequence::in_order;
use super::service::{Ending, Outcome, Service};
use super::session::State;
use super::valve::Valve;
use super::verdict::{Verdict, gravity};

/// A valve that a service before left outside its band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeftBefore<'a> {
    /// How it was left.
    pub verdict: Verdict,
    /// What that service says of it.
    pub outcome: &'a Outcome,
    /// The service that left it so.
    pub by: &'a Service,
    /// What a later one that nobody signed made of it.
    pub since: Option<Since>,
}

/// What a service that was not signed made of a valve that a signed one left outside its band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since {
    /// It set it.
    Set,
    /// It found it in limits.
    Well,
}

impl Since {
    /// Says it beside how the valve was left.
    pub fn words(self) -> &'static str {
        match self {
            Since::Set => "set since, not signed",
            Since::Well => "in limits since, not signed",
        }
    }
}

impl LeftBefore<'_> {
    /// Returns which valve it is.
    pub fn valve(&self) -> Valve {
        self.outcome.valve
    }
}

/// Lists what services, in whatever order, left outside its band, the gravest first: each valve as the newest
/// has it that has a figure of it. What a signed one left so stays signed for where one that was not
/// signed found it well; a table says only of what nobody gauged here how it was left. One that is still
/// open has left nothing yet, and what was for practice says nothing of the engine.
pub fn left_before(services: &[Service]) -> Vec<LeftBefore<'_>> {
    let ended = |one: &&Service| one.ending != Ending::Open && !one.conditions.practice;
    let ended = in_order(services.iter().filter(ended).collect());
    let mut valves: Vec<Valve> =
        ended.iter().flat_map(|one| &one.valves).map(|outcome| outcome.valve).collect();
    valves.sort_unstable();
    valves.dedup();
    let mut left: Vec<LeftBefore<'_>> =
        valves.into_iter().filter_map(|valve| left_of(valve, &ended)).collect();
    left.sort_by_key(|one| gravity(one.verdict, one.valve()));
    left
}

/// Lists those of them that a service in this state has not looked at: they are still as they were left.
pub fn still_left<'a>(state: &State, services: &'a [Service]) -> Vec<LeftBefore<'a>> {
    let known = state.facts().valves();
    let mut left = left_before(services);
    left.retain(|one| known.contains(&one.valve()) && !state.serviced(one.valve()));
    left
}

fn left_of<'a>(valve: Valve, ended: &[&'a Service]) -> Option<LeftBefore<'a>> {
    let newest = |counts: fn(&Service) -> bool| {
        let gauged = |by: &&'a Service| {
            let outcome = by.outcome(valve).filter(|one| one.left.is_some())?;
            Some((*by, outcome))
        };
        ended.iter().rev().filter(|one| counts(one)).find_map(gauged)
    };
    let made = newest(|one| one.ending != Ending::Imported);
    let (by, outcome) = made.or_else(|| newest(|_| true))?;
    if let Some(verdict) = out(outcome) {
        return Some(LeftBefore { verdict, outcome, by, since: None });
    }
    let since = Some(if outcome.touched && outcome.work_alone.is_none() {
        Since::Set
    } else {
        Since::Well
    });
    let (by, outcome) = newest(|one| one.ending == Ending::Signed)?;
    Some(LeftBefore { verdict: out(outcome)?, outcome, by, since })
}

fn out(outcome: &Outcome) -> Option<Verdict> {
    outcome.verdict_left.filter(|one| *one != Verdict::InLimits)
}
