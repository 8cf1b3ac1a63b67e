//! A hard stop, a tight place or a hiss that was felt while the engine was turned by hand: it stays open
//! until it turned freely, or its cams are out.

use super::checklist::{FELT, TURNED_THROUGH, TWO_TURNS};
use super::open::OpenItem;
use super::put_back::TakenOff;
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
    /// Keeps what was felt at one of the turns by hand; turned freely since, it is gone.
    pub(super) fn felt_as_it_turned(&mut self, check: &str, digit: u8, done: bool) {
        if !by_hand(check) || !done && digit != FELT {
            return;
        }
        self.nothing_felt();
        let felt = if check == TWO_TURNS { TakenOff::Hiss } else { TakenOff::Stop };
        self.taken_off.extend((!done).then_some(felt));
    }

    pub(super) fn nothing_felt(&mut self) {
        self.taken_off.retain(|what| ![TakenOff::Stop, TakenOff::Hiss].contains(what));
    }

    /// Returns what was felt and not answered for since.
    pub(super) fn felt_open(&self) -> Option<OpenItem> {
        let told = |felt, or_hiss| {
            self.taken_off.contains(&felt).then_some(OpenItem::StopFelt { or_hiss })
        };
        told(TakenOff::Stop, false).or_else(|| told(TakenOff::Hiss, true))
    }
}
