//! Nuts that were found slack, each with when: what was locked and came loose says more than what was
//! slackened to be set.

use super::Page;
use crate::domain::entry::{Entry, Kept, NutSaid, Skip, Skipped};
use crate::domain::plain::plain;
use crate::domain::session::state::RUN_AGAIN;
use crate::domain::session::{Due, FOUND_SLACK, Session, Stage};
use crate::domain::valve::Valve;
use crate::guide::place::in_the_job;

impl Page<'_> {
    /// Tells of each nut that was found slack in which part of the service that was, and at what time.
    pub(super) fn found_slack(&self) -> Vec<(String, String)> {
        let mut found: Vec<(&Kept, Valve)> = Vec::new();
        for kept in self.entries() {
            match &kept.entry {
                Entry::Nut(nut) => match nut.said {
                    NutSaid::Slack if nut.found => found.push((kept, nut.valve)),
                    // A slip: it is listed as that.
                    NutSaid::NeverTouched { .. } => {
                        let last = found.iter().rposition(|(_, valve)| *valve == nut.valve);
                        if let Some(last) = last {
                            found.remove(last);
                        }
                    }
                    NutSaid::Slack | NutSaid::Locked { .. } | NutSaid::Threads(_) => {}
                },
                Entry::Skip(Skip { what: Skipped::AsFound(valve), why }) if why == FOUND_SLACK => {
                    found.push((kept, *valve));
                }
                _ => {}
            }
        }
        let line = |(kept, valve): (&Kept, Valve)| {
            let when = self.when(kept.seq).map_or_else(String::new, |when| format!(", {when}"));
            let words = format!("{}{when} ({})", self.state.name_of(valve), self.stamp(kept.at));
            ("found slack".to_owned(), words)
        };
        found.into_iter().map(line).collect()
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
