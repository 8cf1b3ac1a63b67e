//! A hard stop, a tight place or a hiss that was felt while the engine was turned by hand: nothing turns
//! until somebody says what was found and put right, or its cams are out.

use super::checklist::{CAUSE, CAUSE_FOUND, FELT, TURNED_THROUGH, TWO_TURNS, what_was_found};
use super::decide::{Decided, one, text};
use super::due::Due;
use super::open::OpenItem;
use super::put_back::TakenOff;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, On};

/// Tells whether an entry says that a stop was felt.
pub(super) fn says_felt(entry: &Entry) -> bool {
    matches!(entry, Entry::On(On::Check { id, digit: FELT, done: false, .. }) if by_hand(id))
}

fn by_hand(check: &str) -> bool {
    [TURNED_THROUGH, TWO_TURNS].contains(&check)
}

impl State {
    /// Keeps what was felt at one of the turns by hand; its cause put right, or turned freely since, as
    /// earlier versions asked at once, it is gone.
    pub(super) fn felt_as_it_turned(&mut self, check: &str, digit: u8, done: bool) {
        if check == CAUSE && done {
            self.nothing_felt();
        }
        if !by_hand(check) || !done && digit != FELT {
            return;
        }
        self.nothing_felt();
        if !done {
            self.was_felt(check == TWO_TURNS);
        }
    }

    /// Opens the item, felt here or by the service before.
    pub(super) fn was_felt(&mut self, or_hiss: bool) {
        self.taken_off.insert(if or_hiss { TakenOff::Hiss } else { TakenOff::Stop });
    }

    pub(super) fn nothing_felt(&mut self) {
        self.taken_off.retain(|what| ![TakenOff::Stop, TakenOff::Hiss].contains(what));
    }

    /// Tells whether something was felt and is not answered for since: and of that, whether at closing up.
    pub(super) fn felt_by_hand(&self) -> Option<bool> {
        let told = |felt, or_hiss| self.taken_off.contains(&felt).then_some(or_hiss);
        told(TakenOff::Stop, false).or_else(|| told(TakenOff::Hiss, true))
    }

    pub(super) fn felt_open(&self) -> Option<OpenItem> {
        self.felt_by_hand().map(|or_hiss| OpenItem::StopFelt { or_hiss })
    }

    /// Before the crank turns again, by hand or by itself, it is asked what was found.
    pub(super) fn found_before_a_turn(&self, due: Due) -> Due {
        let Some(or_hiss) = self.felt_by_hand() else { return due };
        let turns = due.turns_the_crank()
            || matches!(&due, Due::Check(line) if line.id == TWO_TURNS)
            || matches!(
                &due,
                Due::PromisedTest { .. } | Due::RunCaution(_) | Due::RunCheck(_) | Due::Sign
            );
        if turns { Due::Felt(what_was_found(or_hiss), due.stage()) } else { due }
    }

    pub(super) fn decide_cause(&self, words: &str) -> Decided {
        let Due::Felt(line, _) = self.due() else { return Err(Refusal::NotNow) };
        let found = line.state(CAUSE_FOUND).ok_or(Refusal::NotNow)?;
        let seen = format!("{}: {}", found.words, text(words, "what was found")?);
        let (digit, done) = (CAUSE_FOUND, found.good);
        one(Entry::On(On::Check { id: line.id, asked: line.ask, digit, seen, done }))
    }
}
