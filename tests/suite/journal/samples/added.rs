//! Sample entries with members that only newer versions write.

use super::{nm, some, text, valve};
use cowlside::domain::entry::{
    Asked, Back, Begin, Caution, CounterTold, Entry, Hours, LeftItem, LeftOpen, Part, PartKind,
    Proof, Seal,
};

/// What was felt at either of the turns by hand.
pub const FELT: [LeftItem; 2] =
    [LeftItem::StopFelt { or_hiss: false }, LeftItem::StopFelt { or_hiss: true }];

/// What a session of this name left open.
pub fn left(items: &[LeftItem]) -> Vec<LeftOpen> {
    items.iter().map(|item| LeftOpen { from: text("spring"), item: item.clone() }).collect()
}

/// All that can be, as the first version to write it did.
pub fn left_open() -> Vec<LeftOpen> {
    let pieces = |counted_in, whole| LeftItem::Pieces {
        bank: text("row"),
        item: text("cover screw"),
        out: 12,
        counted_in,
        whole,
    };
    let part = |valve, part, bank| {
        let (marked, measured) = (None, None);
        LeftItem::PartOut { valve, part, bank, marked, measured }
    };
    let items = [
        LeftItem::NutSlack(valve()),
        LeftItem::Unloaded(valve()),
        part(Some(valve()), PartKind::Pushrod, None),
        part(None, PartKind::Cam, some("row")),
        LeftItem::TurnsOwed,
        pieces(None, true),
        pieces(Some(11), false),
    ];
    left(&items)
}

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

/// What was worked on, or lay under cams that were out, and was not gauged after it.
pub fn to_gauge() -> [LeftItem; 2] {
    [true, false].map(|worked| LeftItem::GaugeAfter { valve: valve(), worked })
}

/// What begins a session with something left open before it.
pub fn begun() -> Vec<Entry> {
    let left = [
        left_open(),
        left(&[LeftItem::HoldDown(2)]),
        left(&FELT),
        left(&sized()),
        left(&to_gauge()),
        left(&[LeftItem::HeldOpen(valve())]),
    ];
    let begun = left.into_iter().map(|left_open| Begin { left_open, ..Begin::default() });
    begun.map(Entry::Begin).collect()
}

pub fn added() -> Vec<Entry> {
    let counter = |told| Entry::Back(Back { counter: Some(told), ..Back::default() });
    vec![
        counter(CounterTold::WentUp(Hours(123_456))),
        counter(CounterTold::PutRight { from: Hours(123_456), to: Hours(123_420) }),
        Entry::Proof(Proof { loose: 0, of: 2, rocked: None, no_play: true }),
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
        counter(CounterTold::Replaced(Hours(654_300))),
    ]
}
