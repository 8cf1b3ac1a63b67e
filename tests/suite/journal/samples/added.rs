//! Sample entries with members that only newer versions write.

use super::{nm, text, valve};
use cowlside::domain::entry::{Entry, LeftItem, Part, PartKind, Proof, Seal};

/// What was felt at either of the turns by hand.
pub const FELT: [LeftItem; 2] =
    [LeftItem::StopFelt { or_hiss: false }, LeftItem::StopFelt { or_hiss: true }];

pub fn added() -> Vec<Entry> {
    vec![
        Entry::Proof(Proof { loose: 0, of: 2, rocked: None, no_play: true }),
        Entry::Part(Part {
            valve: Some(valve()),
            part: PartKind::Shim,
            out: true,
            marked: None,
            measured: Some(nm(2_648_000)),
            typed: text("2.648"),
            bank: None,
            seen: None,
            size_only: true,
        }),
        Entry::Seal(Seal {
            entries: 9,
            by: text("signer c"),
            chain: text("00000000000000000000000000000000"),
            signed: false,
            why: text("interrupted"),
            tells_not_put_back: Some(true),
        }),
    ]
}
