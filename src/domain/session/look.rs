//! The look at an engine of which nobody can read what an earlier service, or an entry that was cut off, left
//! open: before anything turns, with what was found at it.

use super::carried::is_handed_on;
use super::checklist::{OIL_LOCK, TWO_TURNS};
use super::decide::{Decided, text};
use super::due::Due;
use super::open::OpenItem;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, Remark};
use crate::domain::valve::Valve;

/// What is to be looked for where nobody can read what is open.
pub const LOOK_FOR: &str = "look for slack nuts, parts out and loose pieces";

/// How the remark begins where the end of this very session was cut off, and with it what it may have opened.
const CUT_OFF: &str = "the last entry was cut off: ";

/// How the remark begins that the engine ran while a nut was slack; of which valves, follows.
const RAN_SLACK: &str = "RAN WITH A NUT SLACK: ";

/// Words the remark that keeps open what an entry that was cut off may have opened: a nut that nobody answered
/// for is loose.
pub fn cut_off_here() -> String {
    format!("{CUT_OFF}{LOOK_FOR}")
}

/// Tells whether a remark says that nobody can read what was left open.
pub fn is_to_look_for(remark: &str) -> bool {
    let own = || [CUT_OFF, RAN_SLACK].iter().any(|begins| remark.starts_with(begins));
    remark.ends_with(LOOK_FOR) && (is_handed_on(remark) || own())
}

impl State {
    /// Words what stays open of an engine that ran while a nut was slack: its valve train is looked at before
    /// anything turns, whoever comes next.
    pub fn ran_with_slack(&self) -> Option<String> {
        let slack = self.open_items().into_iter().filter_map(|item| {
            let OpenItem::NutSlack(valve) = item else { return None };
            Some(self.name_of(valve))
        });
        let slack: Vec<String> = slack.collect();
        let names = slack.join(", ");
        (!slack.is_empty()).then(|| format!("{RAN_SLACK}{names}, there first: {LOOK_FOR}"))
    }

    /// Where nobody can read what was left open, the engine is looked at with its covers off, before the crank
    /// turns.
    pub(super) fn looked_before_a_turn(&self, due: Due) -> Due {
        let turns = due.turns_the_crank()
            || matches!(&due, Due::Check(line) if line.id == TWO_TURNS)
            || matches!(&due, Due::Caution(line, _) if line.id == OIL_LOCK)
            || matches!(due, Due::PromisedTest { .. });
        if !turns {
            return due;
        }
        let open = self.open_items().into_iter().find_map(|item| {
            let OpenItem::BeforeRunning { seq, text } = item else { return None };
            is_to_look_for(&text).then_some((seq, text))
        });
        open.map_or(due, |(seq, text)| Due::Look(seq, text))
    }

    /// Keeps what was seen at the look, and each nut that was found slack at it. The nuts first: what is cut
    /// off behind them is looked at again.
    pub(super) fn looked(&self, words: &str, slack: &[Valve]) -> Decided {
        let due = self.due();
        let seq = if let Due::Look(seq, _) = &due {
            *seq
        } else if let Due::BeforeRunning(seq, text) = &due
            && is_to_look_for(text)
        {
            // It came up only once nothing is turned any more.
            *seq
        } else {
            return Err(Refusal::NotNow);
        };
        let mut entries: Vec<Entry> = Vec::new();
        for (place, &valve) in slack.iter().enumerate() {
            if slack.iter().take(place).any(|other| *other == valve) {
                return Err(Refusal::NutSlack(valve));
            }
            // A leak test of their cylinder is promised once.
            let found = self.found_slack(valve, &due)?;
            entries.extend(
                found.into_iter().filter(|entry| !entries.contains(entry)).collect::<Vec<_>>(),
            );
        }
        let text = text(words, "what was seen")?;
        entries.push(Entry::Remark(Remark { text, settles: Some(seq), ..Remark::default() }));
        Ok(entries)
    }
}
