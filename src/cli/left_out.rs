//! Which valves of an engine the services before left out of their band, for the list of engines.

use super::workshop::{Workshop, day_is_doubtful, service_of};
use crate::domain::left_before::{LeftBefore, left_before};
use crate::domain::service::{Ending, Service};
use crate::domain::valve::Several;
use crate::store::engines::Engine;
use crate::store::sessions::Glance;

impl Workshop {
    /// Lists the valves of an engine that are left out of their band by services, given the newest first.
    /// Only what may say so is read.
    pub(super) fn left_out_in(&self, engine: &Engine, ended: &[&Glance]) -> Vec<String> {
        // What has a figure of each valve and is signed says of each how it is: older ones say nothing more.
        // Which are older nobody knows where a day is doubted.
        let doubted = ended.iter().any(|one| day_is_doubtful(one));
        let whole = ended.iter().position(|one| one.signed && !one.partial && !doubted);
        let asked = ended.get(..whole.map_or(ended.len(), |at| at + 1)).unwrap_or_default();
        // Nothing is read of an engine where nobody passed a valve over or broke off.
        let told = |one: &&Glance| one.passed_over || !one.signed;
        let Some(last) = asked.iter().rposition(told) else { return Vec::new() };
        let read = asked.iter().take(if doubted { asked.len() } else { last + 1 });
        let read = read.filter_map(|one| self.session_in(one));
        left_out(&read.map(|session| service_of(engine, &session)).collect::<Vec<_>>())
    }
}

/// Names the valves that services left out of their band: "1 exhaust LEFT TIGHT", the gravest first. Which
/// they are is `domain::left_before`'s business.
pub(super) fn left_out(services: &[Service]) -> Vec<String> {
    let words = |LeftBefore { verdict, outcome, by, since }: LeftBefore<'_>| {
        let several = Several::of(by.valves.iter().map(|outcome| outcome.valve));
        let beside = match (since, &by.ending) {
            (Some(since), _) => format!(" ({})", since.words()),
            (None, Ending::Signed) => String::new(),
            (None, Ending::Imported) => " (by a table)".into(),
            (None, Ending::Open | Ending::Unsigned(_)) => " (not signed)".into(),
        };
        let word = verdict.word().to_uppercase();
        format!("{} LEFT {word}{beside}", several.name(outcome.valve))
    };
    left_before(services).into_iter().map(words).collect()
}
