//! Which valves of an engine the services before left out of their band, for the list of engines.

use super::workshop::Workshop;
use crate::domain::service::Service;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;
use crate::guide::gravity;
use crate::store::sessions::Glance;
use std::collections::BTreeMap;

/// How a service left a valve.
struct Left {
    /// The valve's whole name.
    name: String,
    verdict: Verdict,
    touched: bool,
    signed: bool,
}

impl Left {
    fn is_out(&self) -> bool {
        self.verdict != Verdict::InLimits
    }
}

impl Workshop {
    /// Lists the valves that are left out of their band by services, given the newest first: "1 exhaust LEFT
    /// TIGHT", the gravest first. A valve is as the newest has it that has a figure of it; what a signed
    /// one left so stays told where one that was not signed found it well.
    pub(super) fn left_out_in(&self, ended: &[&Glance]) -> Vec<String> {
        // Nothing is read of an engine where nobody passed a valve over or broke off.
        let told = |one: &&Glance| one.passed_over || !one.signed;
        let Some(last) = ended.iter().rposition(told) else { return Vec::new() };
        let (mut newest, mut signed) = (BTreeMap::new(), BTreeMap::new());
        for &one in ended.iter().take(last + 1) {
            let Some(session) = self.session_in(one) else { continue };
            for outcome in Service::of(&session).valves {
                let Some(verdict) = outcome.verdict_left else { continue };
                let left = || Left {
                    name: session.state.name_of(outcome.valve),
                    verdict,
                    touched: outcome.touched,
                    signed: one.signed,
                };
                newest.entry(outcome.valve).or_insert_with(left);
                if one.signed {
                    signed.entry(outcome.valve).or_insert_with(left);
                }
            }
            // What it has a figure of each valve of, it says of each.
            if one.signed && !one.partial {
                break;
            }
        }
        let mut out: Vec<(Verdict, Valve, String)> = newest
            .iter()
            .filter_map(|(valve, now)| told_of(*valve, now, signed.get(valve)))
            .collect();
        out.sort_by_key(|(verdict, valve, _)| gravity(*verdict, *valve));
        out.into_iter().map(|(.., words)| words).collect()
    }
}

fn told_of(valve: Valve, now: &Left, signed: Option<&Left>) -> Option<(Verdict, Valve, String)> {
    let (left, beside) = match (now.is_out(), signed) {
        (true, _) if now.signed => (now, ""),
        (true, _) => (now, " (not signed)"),
        (false, Some(signed)) if signed.is_out() && now.touched => {
            (signed, " (set since, not signed)")
        }
        (false, Some(signed)) if signed.is_out() => (signed, " (in limits since, not signed)"),
        (false, _) => return None,
    };
    let word = left.verdict.word().to_uppercase();
    Some((left.verdict, valve, format!("{} LEFT {word}{beside}", left.name)))
}
