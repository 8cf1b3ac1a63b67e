//! A hard stop, a tight place or a hiss that was felt while the engine was turned by hand: it stays open
//! until it turned freely, or its cams are out.

use super::checklist::{FELT, TURNED_THROUGH, TWO_TURNS};
use super::open::OpenItem;
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
        if by_hand(check) && (done || digit == FELT) {
            self.stop_felt = (!done).then(|| check.to_string());
        }
    }

    /// Returns what was felt and not answered for since. Versions before this one never let it be signed for.
    pub(super) fn felt_open(&self) -> Option<OpenItem> {
        let check = self.stop_felt.as_ref()?;
        Some(OpenItem::StopFelt { or_hiss: check == TWO_TURNS })
    }
}
