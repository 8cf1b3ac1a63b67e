//! Which valves of an engine the services before left out of their band, for the list of engines.

use super::workshop::Workshop;
use crate::domain::left_before::{LeftBefore, left_before};
use crate::domain::service::{Ending, Service};
use crate::domain::valve::Several;
use crate::store::sessions::Glance;

impl Workshop {
    /// Lists the valves that are left out of their band by services, given the newest first: "1 exhaust LEFT
    /// TIGHT", the gravest first. Which they are is `domain::left_before`'s business.
    pub(super) fn left_out_in(&self, ended: &[&Glance]) -> Vec<String> {
        // What has a figure of each valve and is signed says of each how it is: older ones say nothing more.
        let whole = ended.iter().position(|one| one.signed && !one.partial);
        let asked = ended.get(..whole.map_or(ended.len(), |at| at + 1)).unwrap_or_default();
        // Nothing is read of an engine where nobody passed a valve over or broke off.
        let told = |one: &&Glance| one.passed_over || !one.signed;
        let Some(last) = asked.iter().rposition(told) else { return Vec::new() };
        let read = asked.iter().take(last + 1).filter_map(|one| self.session_in(one));
        let services: Vec<Service> = read.map(|session| Service::of(&session)).collect();
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
        left_before(&services).into_iter().map(words).collect()
    }
}
