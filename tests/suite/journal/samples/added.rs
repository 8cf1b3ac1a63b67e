//! Sample entries with members that only newer versions write.

use super::{nm, text, valve};
use cowlside::domain::entry::{Entry, LeftItem, Part, PartKind, Seal};

/// What was felt at either of the turns by hand.
pub const FELT: [LeftItem; 2] =
    [LeftItem::StopFelt { or_hiss: false }, LeftItem::StopFelt { or_hiss: true }];

/// What was worked on, or lay under cams that were out, and was not gauged after it.
pub fn to_gauge() -> [LeftItem; 2] {
    [true, false].map(|worked| LeftItem::GaugeAfter { valve: valve(), worked })
}

pub fn added() -> Vec<Entry> {
    vec![
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
            undoes_less: false,
        }),
        Entry::Part(Part {
            valve: None,
            part: PartKind::Cam,
            out: true,
            marked: None,
            measured: None,
            typed: text(""),
            bank: Some(text("left")),
            seen: None,
            size_only: false,
            undoes_less: true,
        }),
        Entry::Seal(Seal {
            entries: 9,
            by: text("signer c"),
            chain: text("00000000000000000000000000000000"),
            signed: false,
            why: text("interrupted"),
            tells_not_put_back: Some(true),
            tells_not_gauged: false,
        }),
        Entry::Seal(Seal {
            entries: 9,
            by: text("signer c"),
            chain: text("00000000000000000000000000000000"),
            signed: false,
            why: text("interrupted"),
            tells_not_put_back: Some(true),
            tells_not_gauged: true,
        }),
    ]
}
