//! Sample entries with members that only newer versions write.

use super::{nm, text, valve};
use cowlside::domain::entry::{Asked, Caution, Entry, LeftItem, Part, PartKind, Seal};

/// What was felt at either of the turns by hand.
pub const FELT: [LeftItem; 2] =
    [LeftItem::StopFelt { or_hiss: false }, LeftItem::StopFelt { or_hiss: true }];

/// A part that is out with its sizes told, and nuts that are not tight.
pub fn sized() -> [LeftItem; 2] {
    let out = LeftItem::PartOut {
        valve: Some(valve()),
        part: PartKind::Shim,
        bank: None,
        marked: Some(nm(2_650_000)),
        measured: Some(nm(2_648_000)),
    };
    [out, LeftItem::NutsNotTight(2)]
}

pub fn added() -> Vec<Entry> {
    vec![
        Entry::Caution(Caution {
            id: text("plugs"),
            asked: text("plugs out?"),
            digit: 1,
            seen: text("one out of each cylinder"),
            safe: true,
            when: Asked::Back,
            out_again: true,
        }),
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
