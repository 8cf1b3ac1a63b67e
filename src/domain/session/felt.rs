//! A hard stop, a tight place or a hiss that was felt while the engine was turned by hand: nothing turns
//! until somebody says what was found and put right, or its cams are out.

use super::checklist::{
    CAUSE, CAUSE_FOUND, FELT, STARTED, TURNED_THROUGH, TWO_TURNS, what_was_found,
};
use super::decide::{Decided, one, text};
use super::due::{Due, Stage};
use super::open::OpenItem;
use super::put_back::TakenOff;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, On, Part};

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
        if done {
            self.undone.cams_in.clear();
        } else {
            self.was_felt(check == TWO_TURNS);
        }
    }

    /// Opens the item as it was felt before this service, with any cams in since it last turned freely.
    pub(super) fn felt_before(&mut self, or_hiss: bool) {
        if !or_hiss {
            self.undone.cams_in.extend(self.cylinders_under(None));
        }
        self.was_felt(or_hiss);
    }

    /// Cams went in, or came out: a stop is felt no more once all those are out that went in since it last turned
    /// freely. Versions before this one took it for gone with any of them.
    pub(super) fn felt_with_cams(&mut self, part: &Part) {
        let under = self.cylinders_under(part.bank.as_deref());
        if !part.out {
            return self.undone.cams_in.extend(under);
        }
        let went_in = !self.undone.cams_in.is_empty();
        self.undone.cams_in.retain(|cylinder| !under.contains(cylinder));
        if !part.undoes_less || went_in && self.undone.cams_in.is_empty() {
            self.nothing_felt();
        }
    }

    /// Opens the item.
    fn was_felt(&mut self, or_hiss: bool) {
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

    /// No cover goes on over what was felt before somebody says what it was; where they are on, it is asked before
    /// the next turn.
    pub(super) fn due_felt_before_closing(&self) -> Option<Due> {
        let or_hiss = self.felt_by_hand().filter(|_| !self.checks.contains_key(STARTED))?;
        Some(Due::Felt(what_was_found(or_hiss), Stage::BeforeClosing))
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
