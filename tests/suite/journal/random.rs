//! Random entries: what is written reads back the same, whatever the text and the numbers.

use super::disk;
use super::samples;
use cowlside::domain::entry::*;
use cowlside::domain::units::Length;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::store::codec;
use cowlside::store::journal::Verdict;
use proptest::option::of;
use proptest::prelude::*;

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~]{0,20}",
        any::<String>(),
        "[\u{0}-\u{1f}\u{7f}-\u{9f}\u{200b}-\u{206f}\"\\\\]{0,9}"
    ]
}

fn length() -> impl Strategy<Value = Length> {
    (-10_000_000_000_i64..=10_000_000_000).prop_map(Length::from_nm)
}

fn valve() -> impl Strategy<Value = Valve> {
    let kind = prop_oneof![Just(Kind::Intake), Just(Kind::Exhaust)];
    (any::<u8>(), kind, any::<u8>()).prop_map(|(cylinder, kind, number)| Valve {
        cylinder,
        kind,
        number,
    })
}

fn reading() -> impl Strategy<Value = Entry> {
    let numbers = (of(length()), of(length()), of(length()), of(length()), 0_u32..=99);
    let words = (text(), text(), of(text()), of(text()), of(text()));
    (valve(), any::<u8>(), any::<bool>(), numbers, words).prop_map(
        |(valve, round, single, (low, high, nominal, aimed, tries), words)| {
            let (typed, by, paper, odd, against_plan) = words;
            let (step, unit) = (Step::Try, ReadingUnit::Thou);
            Entry::Reading(Reading {
                valve,
                step,
                round,
                typed,
                unit,
                low,
                high,
                nominal,
                single,
                by,
                paper,
                aimed,
                tries,
                odd,
                against_plan,
                turned: u16::try_from(tries).ok(),
            })
        },
    )
}

fn begin() -> impl Strategy<Value = Entry> {
    let words = (of(text()), of(text()), of(text()), of(text()));
    let hundredths = || of(0_i64..=100_000_000);
    let numbers = (hundredths(), hundredths(), of(any::<u8>()));
    (words, numbers, of(prop::collection::vec(any::<u8>(), 0..9))).prop_map(
        |((name, engine, serial, corrects), (hours, total, from), scope)| {
            Entry::Begin(Begin {
                name,
                engine,
                serial,
                corrects,
                hours: hours.map(Hours),
                total_time: total.map(Hours),
                from,
                scope,
                ..Begin::default()
            })
        },
    )
}

fn entry() -> impl Strategy<Value = Entry> {
    let remark = (of(any::<u8>()), text(), any::<bool>(), of(any::<u64>()), of(text())).prop_map(
        |(cylinder, text, before_running, settles, by)| {
            let (good, bad) = (vec![Tick::Oil], Vec::new());
            Entry::Remark(Remark { cylinder, good, bad, text, before_running, settles, by })
        },
    );
    let off = (text(), prop::collection::vec((text(), 0_u32..=9_999), 0..5))
        .prop_map(|(bank, items)| Entry::Off(Off { bank, items }));
    let swap = (any::<u64>(), any::<u64>(), text()).prop_map(|(of, with, why)| {
        Entry::Correct(Correct { of, change: Change::SwapWith(with), why, as_asked: false })
    });
    let told = prop::option::of(
        (length(), text()).prop_map(|(plus_minus, source)| Tolerance { plus_minus, source }),
    );
    let leaves = (text(), prop::collection::vec(length(), 0..20), told).prop_map(
        |(name, leaves, tolerance)| {
            let unit = cowlside::domain::units::LengthUnit::Inch;
            Entry::Leaves(LeafSet { name, unit, leaves, tolerance })
        },
    );
    let sample = prop::sample::select(disk::middle());
    prop_oneof![reading(), begin(), remark, off, swap, leaves, sample]
}

proptest! {
    #![proptest_config(crate::seeded::config(400))]
    #[test]
    fn any_entry_reads_back_as_it_was_written(entry in entry()) {
        let payload = codec::encode(&entry).unwrap();
        prop_assert!(!payload.chars().any(cowlside::domain::plain::is_unsafe));
        let read = codec::decode(codec::kind(&entry), &payload, &samples::parse);
        prop_assert_eq!(read, Ok(entry));
    }
}

proptest! {
    #![proptest_config(crate::seeded::config(60))]
    #[test]
    fn any_session_reads_back_as_it_was_kept_over_several_runs(
        runs in prop::collection::vec(prop::collection::vec(entry(), 0..5), 1..5)
    ) {
        let disk = disk::Disk::new(disk::Honesty::Honest);
        let (mut journal, head) = disk::create(&disk).unwrap();
        let mut kept = vec![head];
        for entries in runs {
            kept.extend(journal.append(&entries, samples::moment(), 1).unwrap());
            let (next, opened) = disk::resume(&disk).unwrap();
            prop_assert_eq!(&opened.entries, &kept);
            journal = next;
        }
        prop_assert_eq!(disk::read(&disk.bytes()), (kept, Verdict::Clean));
    }
}
