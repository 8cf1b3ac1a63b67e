//! Nuts that were found slack, each with when: what was locked and came loose says more than what was
//! slackened to be set.

use super::Page;
use crate::domain::entry::{Entry, Kept, NutSaid, Skip, Skipped};
use crate::domain::plain::plain;
use crate::domain::session::state::RUN_AGAIN;
use crate::domain::session::{Due, FOUND_SLACK, Session, Stage};
use crate::domain::valve::Valve;
use crate::guide::place::in_the_job;
use std::collections::BTreeSet;

impl Page<'_> {
    /// Tells of each nut that was found slack in which part of the service that was, and at what time.
    pub(super) fn found_slack(&self) -> Vec<(String, String)> {
        // Each time that a nut went slack, found so or not: a slip withdraws the last, whichever it is.
        let mut slack: Vec<(&Kept, Valve, bool)> = Vec::new();
        let mut open: BTreeSet<Valve> = BTreeSet::new();
        for kept in self.entries() {
            match &kept.entry {
                Entry::Nut(nut) => match nut.said {
                    NutSaid::Slack if open.insert(nut.valve) => {
                        slack.push((kept, nut.valve, nut.found));
                    }
                    NutSaid::Locked { .. } => drop(open.remove(&nut.valve)),
                    // A slip: it is listed as that.
                    NutSaid::NeverTouched { .. } => {
                        open.remove(&nut.valve);
                        let last = slack.iter().rposition(|(_, valve, _)| *valve == nut.valve);
                        if let Some(last) = last {
                            slack.remove(last);
                        }
                    }
                    NutSaid::Slack | NutSaid::Threads(_) => {}
                },
                Entry::Skip(Skip { what: Skipped::AsFound(valve), why, .. })
                    if open.insert(*valve) =>
                {
                    slack.push((kept, *valve, why == FOUND_SLACK));
                }
                Entry::Work(work) if self.state.opens_nuts(work) => {
                    let mut valves = self.state.facts().valves_of(work.cylinder);
                    valves.retain(|valve| open.insert(*valve));
                    slack.extend(valves.into_iter().map(|valve| (kept, valve, false)));
                }
                _ => {}
            }
        }
        let found = slack.into_iter().filter(|(_, _, found)| *found);
        let line = |(kept, valve, _): (&Kept, Valve, bool)| {
            let when = self.when(kept.seq).map_or_else(String::new, |when| format!(", {when}"));
            let words = format!("{}{when} ({})", self.state.name_of(valve), self.stamp(kept.at));
            ("found slack".to_owned(), words)
        };
        found.map(line).collect()
    }

    /// Says which part of the service it was just before an entry. Where it was being made safe by then,
    /// for a nut of another valve that was named by mistake, it is the part before that.
    fn when(&self, seq: u64) -> Option<String> {
        let kept = &self.session.kept;
        let place = kept.iter().position(|kept| kept.seq == seq)?;
        let before = (1..=place).rev().filter_map(|end| Session::replay(kept.get(..end)?));
        before.map(|before| part(&before)).find(Option::is_some).flatten()
    }
}

/// Says which part of the service it is: "at closing up"; nothing while nobody is at a nut.
fn part(before: &Session) -> Option<String> {
    let state = &before.state;
    let due = state.due();
    let ran = before
        .kept
        .iter()
        .any(|kept| matches!(&kept.entry, Entry::Run(run) if run.id == RUN_AGAIN));
    Some(match (&due, due.stage()) {
        (Due::Look(..), _) => "at the look, before the crank turned".into(),
        (_, Stage::AtAStop) => {
            let place = in_the_job(before);
            let round = place.split(" · ").next().unwrap_or_default();
            let round = if state.after_rounds() { round.into() } else { format!("in {round}") };
            if ran { format!("{round}, after the run") } else { round }
        }
        (_, Stage::BeforeClosing | Stage::CloseUp) if !state.begun_closing() => {
            "after the rounds, before a cover went on".into()
        }
        (_, Stage::BeforeClosing | Stage::CloseUp) => "at closing up".into(),
        (Due::RunFault(_, text), _) => format!("at the run: {}", plain(text)),
        (_, Stage::Run) if state.has_run() => "at the run".into(),
        (_, Stage::Run) => "closed up, before the run".into(),
        (_, Stage::Sign) if state.has_run() => "after the run".into(),
        (_, Stage::Sign) => "closed up, not run".into(),
        _ => return None,
    })
}
