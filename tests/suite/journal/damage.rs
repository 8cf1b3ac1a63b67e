//! Files that are cut, changed or mixed up: what is whole is read, and nothing goes unseen.

use super::battery;
use super::disk::{self, Disk};
use super::samples;
use cowlside::domain::entry::{Away, Entry, Seal};
use cowlside::store::hash::hex_of_sha256;
use cowlside::store::journal::verdict::Damage;
use cowlside::store::journal::{Sign, Verdict, record, scan};
use std::collections::BTreeMap;

/// The places after each `\n`.
fn line_ends(bytes: &[u8]) -> Vec<usize> {
    (1..=bytes.len()).filter(|end| bytes[end - 1] == b'\n').collect()
}

fn lines(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|byte| *byte == b'\n').collect()
}

fn damage(bytes: &[u8]) -> (Vec<u64>, Vec<Sign>) {
    match disk::read(bytes).1 {
        Verdict::Damaged(damage) => (damage.missing, damage.signs),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_session_cut_at_any_byte_keeps_exactly_the_whole_records_before_the_cut() {
    let whole = disk::session(battery::records(60));
    let ends = line_ends(&whole);
    assert!(ends.len() >= 60);
    let (mut cut_off, mut careless) = (0, 0);
    for cut in 0..=whole.len() {
        let found = scan::scan(&whole[..cut]);
        // A record that lacks only its line end is whole.
        let expected = ends.iter().filter(|end| **end <= cut + 1).count();
        assert_eq!(found.records.len(), expected, "cut at {cut}");
        // Negative control: a reader that takes whatever stands between line ends for an entry.
        careless += usize::from(lines(&whole[..cut]).len() != expected);
        match &found.verdict {
            Verdict::Clean => assert!(ends.contains(&cut) || ends.contains(&(cut + 1))),
            Verdict::EmptyStart => assert_eq!(expected, 0),
            Verdict::CutOff(tail) => {
                cut_off += 1;
                assert_eq!(usize::try_from(tail.at).unwrap(), ends[expected - 1]);
                assert!(!tail.complete, "cut at {cut}");
            }
            other => panic!("cut at {cut}: {other:?}"),
        }
    }
    println!(
        "{} cuts of {} records, {cut_off} in the middle of one; a careless reader is wrong at {careless}",
        whole.len() + 1,
        ends.len()
    );
    assert!(cut_off > 10_000 && careless > 10_000);
}

#[test]
fn a_session_cut_at_any_byte_of_its_last_record_is_healed_by_appending_only() {
    let whole = disk::session(4);
    let ends = line_ends(&whole);
    let mut healed = 0;
    for cut in ends[2]..whole.len() {
        let disk = Disk::holding(&whole[..cut]);
        let (mut journal, opened) = disk::resume(&disk).unwrap();
        let more = journal.append(&[away()], samples::moment(), 0).unwrap();
        let bytes = disk.bytes();
        assert!(bytes.starts_with(&whole[..cut]), "cut at {cut}");
        let (entries, verdict) = disk::read(&bytes);
        assert_eq!(verdict, Verdict::Clean, "cut at {cut}");
        assert_eq!(entries[..opened.entries.len()], opened.entries, "cut at {cut}");
        assert_eq!(entries.last(), more.last());
        healed += usize::from(matches!(opened.verdict, Verdict::CutOff(_)));
        // The bytes set aside are under a hash from now on.
        for place in (ends[2]..cut).step_by(37) {
            let mut changed = bytes.clone();
            changed[place] ^= 1;
            assert_ne!(disk::read(&changed).1, Verdict::Clean, "byte {place}");
        }
    }
    println!("{healed} healed");
    assert!(healed > 100);
}

#[test]
fn no_flipped_bit_of_a_session_goes_unseen_and_the_right_record_is_blamed() {
    let records = battery::records(8);
    let whole = disk::session(records);
    let ends = line_ends(&whole);
    let read_by = |whole: &[u8], reader: Reader| {
        let ends = line_ends(whole);
        let parts = battery::in_parts(whole.len(), |places| flip(whole, &ends, reader, places));
        parts.into_iter().fold((0, BTreeMap::new()), |(all, mut faults), (flipped, found)| {
            for (fault, count) in found {
                *faults.entry(fault).or_insert(0) += count;
            }
            (all + flipped, faults)
        })
    };
    let (flipped, faults) = read_by(&whole, |bytes| scan::scan(bytes).verdict);
    assert_eq!(faults, BTreeMap::new());
    println!("{flipped} bits of {records} records flipped, 0 unseen");
    assert!(flipped > 10_000);
    // Negative controls, found by the same checks for what each was made for: a reader that believes
    // what stands in a line, one that blames the line after, one that gives up at the damage, and one
    // that takes all damage for a cut-off end.
    for (reader, fault) in [
        (believing as Reader, Fault::Unseen),
        (blaming_the_next, Fault::Line),
        (giving_up, Fault::Missing),
        (taking_it_for_the_end, Fault::End),
    ] {
        let (tried, faults) = read_by(&disk::session(8), reader);
        let found = faults.get(&fault).copied().unwrap_or(0);
        println!("  a reader that is wrong by {fault:?} is found at {found}: {faults:?}");
        assert!(found > tried / 4, "{fault:?}: {faults:?}");
        assert!(faults.keys().all(|other| *other == fault), "{fault:?}: {faults:?}");
    }
    // The hash, not luck, is what notices.
    let text = String::from_utf8(whole).unwrap();
    let forged = text.lines().last().unwrap().replacen("\"d\":{", "\"d\":{ ", 1);
    let body = forged.split_once(",\"h\":").unwrap().0;
    let hash = hex_of_sha256(body.as_bytes(), 16);
    let mut with_forged = text.as_bytes()[..ends[records - 2]].to_vec();
    with_forged.extend(format!("{body},\"h\":\"{hash}\"}}\n").as_bytes());
    assert!(with_forged != text.as_bytes());
    assert_eq!(disk::read(&with_forged).1, Verdict::Clean);
}

type Reader = fn(&[u8]) -> Verdict;

/// What a reader says wrongly of a flipped bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fault {
    Unseen,
    Line,
    Missing,
    End,
    Other,
}

/// Believes what stands in a line, as long as it can be read.
fn believing(bytes: &[u8]) -> Verdict {
    let whole = battery::careless(bytes, battery::Ignores::OwnHash);
    if whole { Verdict::Clean } else { scan::scan(bytes).verdict }
}

fn blaming_the_next(bytes: &[u8]) -> Verdict {
    match scan::scan(bytes).verdict {
        Verdict::Damaged(damage) => Verdict::Damaged(Damage { line: damage.line + 1, ..damage }),
        other => other,
    }
}

/// Reads nothing behind the damage.
fn giving_up(bytes: &[u8]) -> Verdict {
    match scan::scan(bytes).verdict {
        Verdict::Damaged(damage) => {
            let last = u64::try_from(lines(bytes).len()).unwrap();
            Verdict::Damaged(Damage { missing: (damage.line - 1..last).collect(), ..damage })
        }
        other => other,
    }
}

fn taking_it_for_the_end(bytes: &[u8]) -> Verdict {
    match scan::scan(bytes).verdict {
        Verdict::Damaged(damage) if damage.line > 1 => {
            let before = line_ends(bytes)[usize::try_from(damage.line).unwrap() - 2];
            scan::scan(&[&bytes[..before], b"x"].concat()).verdict
        }
        other => other,
    }
}

/// What is wrong with what is said of a bit flipped at this place.
fn fault(verdict: &Verdict, whole: &[u8], ends: &[usize], place: usize) -> Option<Fault> {
    let last = ends.len() - 1;
    let line = ends.iter().filter(|end| **end <= place).count();
    let seq = u64::try_from(line).unwrap();
    let line_end = whole[place] == b'\n';
    match verdict {
        Verdict::Clean => Some(Fault::Unseen),
        Verdict::Damaged(damage) if damage.line != seq + 1 => Some(Fault::Line),
        Verdict::Damaged(damage) => {
            // Where two lines were glued together, both are still found.
            let missing = if line_end { vec![] } else { vec![seq] };
            (damage.missing != missing).then_some(Fault::Missing)
        }
        Verdict::CutOff(tail) => {
            let at_the_end = line == last || line + 1 == last && line_end;
            let right = at_the_end && usize::try_from(tail.at).unwrap() == ends[line - 1];
            (!right).then_some(Fault::End)
        }
        _ => Some(Fault::Other),
    }
}

/// Flips every bit of some bytes; returns how many it were, and how often a reader was wrong by what.
fn flip(
    whole: &[u8],
    ends: &[usize],
    reader: Reader,
    places: &mut dyn Iterator<Item = usize>,
) -> (usize, BTreeMap<Fault, usize>) {
    let (mut flipped, mut faults) = (0, BTreeMap::new());
    for place in places {
        for bit in 0..8 {
            let mut changed = whole.to_vec();
            changed[place] ^= 1 << bit;
            if let Some(fault) = fault(&reader(&changed), whole, ends, place) {
                *faults.entry(fault).or_insert(0) += 1;
            }
            flipped += 1;
        }
    }
    (flipped, faults)
}

#[test]
fn a_line_that_is_removed_repeated_or_swapped_is_noticed_and_named() {
    let whole = disk::session(30);
    let lines = lines(&whole);
    let mut tried = 0;
    for place in 0..lines.len() {
        let seq = u64::try_from(place).unwrap();
        let mut removed = lines.clone();
        removed.remove(place);
        if place < 29 {
            let (missing, signs) = damage(&removed.concat());
            assert_eq!((missing, signs), (vec![seq], vec![]), "line {place} removed");
        } else {
            // The one thing that is not promised: whole entries cut off an unfinished session.
            assert_eq!(disk::read(&removed.concat()).1, Verdict::Clean);
        }
        let mut repeated = lines.clone();
        repeated.insert(place, lines[place]);
        let (missing, signs) = damage(&repeated.concat());
        assert_eq!((missing, signs), (vec![], vec![Sign::Repeated(seq)]), "line {place} repeated");
        if place > 0 {
            let mut swapped = lines.clone();
            swapped.swap(place - 1, place);
            let (missing, signs) = damage(&swapped.concat());
            let sign = Sign::OutOfOrder(seq - 1);
            assert_eq!((missing, signs), (vec![], vec![sign]), "line {place} swapped");
        }
        tried += 3;
    }
    println!("{tried} changes");
    assert_eq!(tried, 90);
}

#[test]
fn a_line_of_another_session_is_noticed() {
    let whole = disk::session(5);
    let (other, _) = record::build(
        3,
        record::Stamp { at: samples::moment(), run_ms: 0, run: 1 },
        "0123456789abcdef0123456789abcdef",
        "away",
        "{\"text\":\"\"}",
    );
    let mut lines = lines(&whole);
    let other = format!("{other}\n");
    lines[3] = other.as_bytes();
    assert_eq!(damage(&lines.concat()), (vec![3], vec![Sign::Foreign(3)]));
}

#[test]
fn nuls_and_garbage_after_the_last_record_are_a_cut_off_end_and_are_healed() {
    let whole = disk::session(5);
    let mut tried = 0;
    for size in 1..200 {
        for tail in [vec![0; size], vec![b'\n'; size], vec![0xff; size], b"{\"\n\0x".repeat(size)] {
            let bytes = [whole.as_slice(), &tail].concat();
            let disk = Disk::holding(&bytes);
            let (_, opened) = disk::resume(&disk).unwrap();
            assert!(matches!(opened.verdict, Verdict::CutOff(_)), "{size}");
            assert_eq!(disk::read(&disk.bytes()).1, Verdict::Clean, "{size} {:?}", tail[0]);
            assert_eq!(disk::resume(&disk).unwrap().1.entries.len(), 6);
            tried += 1;
        }
    }
    println!("{tried} tails");
    assert_eq!(tried, 796);
}

#[test]
fn changes_by_other_programs_are_told_in_their_own_words() {
    let whole = disk::session(6);
    let text = String::from_utf8(whole.clone()).unwrap();
    let crlf = text.replace('\n', "\r\n");
    let (entries, verdict) = disk::read(crlf.as_bytes());
    assert_eq!((entries.len(), verdict), (6, Verdict::LineEndingsChanged));

    let with = |place: usize, line: &str| {
        let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
        lines.insert(place, line);
        lines.concat().into_bytes()
    };
    let (none, one) = (Vec::<u64>::new(), |sign| vec![sign]);
    assert_eq!(damage(&with(3, "\n")), (none.clone(), one(Sign::BlankLine)));
    let conflict = damage(&with(3, "<<<<<<< mine\n"));
    assert_eq!(conflict, (none.clone(), one(Sign::ConflictMarks)));
    let bom = ["\u{feff}".as_bytes(), &whole].concat();
    assert_eq!(damage(&bom), (none.clone(), one(Sign::ByteOrderMark)));
    let third = text.lines().nth(2).unwrap();
    let indented = text.replace(third, &format!("  {third}"));
    assert_eq!(damage(indented.as_bytes()), (none, one(Sign::Indented)));
    let utf16: Vec<u8> =
        "\u{feff}".chars().chain(text.chars()).flat_map(|c| (c as u16).to_le_bytes()).collect();
    assert_eq!(disk::read(&utf16).1, Verdict::NotASession(Some(Sign::Utf16)));
    assert_eq!(disk::read(b"cylinder;valve;reading\n").1, Verdict::NotASession(None));
    assert_eq!(disk::read(b"").1, Verdict::EmptyStart);
    assert_eq!(disk::read(&[0; 40]).1, Verdict::EmptyStart);
}

#[test]
fn a_whole_last_line_with_a_wrong_hash_is_called_damaged_or_cut_off_and_shown() {
    let whole = disk::session(5);
    let text = String::from_utf8(whole).unwrap();
    let at = text.rfind("\"k\"").unwrap();
    let mut changed = text.into_bytes();
    changed[at + 1] ^= 1;
    let verdict = disk::read(&changed).1;
    let words = verdict.in_full();
    assert!(words.starts_with("the last entry is damaged or cut off: "), "{words}");
    assert!(words.contains("{\"seq\":4,"), "{words}");
    assert!(!verdict.to_string().contains("seq"), "its figures are for verify alone");
}

#[test]
fn good_entries_on_both_sides_of_the_damage_are_shown_and_nothing_can_be_added() {
    let whole = disk::session(10);
    let ends = line_ends(&whole);
    let mut changed = whole.clone();
    changed[ends[3]..ends[5]].fill(0);
    let (entries, verdict) = disk::read(&changed);
    let seqs: Vec<u64> = entries.iter().map(|kept| kept.seq).collect();
    assert_eq!(seqs, [0, 1, 2, 3, 6, 7, 8, 9]);
    assert!(!verdict.may_append());
    assert!(verdict.to_string().contains("entries 4-5 are missing"), "{verdict}");
    let disk = Disk::holding(&changed);
    assert!(disk::resume(&disk).is_err());
    assert_eq!(disk.bytes(), changed);
}

/// A session whose lines after the first are made by hand.
fn by_hand(payloads: &[(&str, &str)]) -> Vec<u8> {
    let mut bytes = disk::session(1);
    let mut previous =
        scan::scan(&bytes).records.last().map(|record| record.hash.to_owned()).unwrap();
    for (place, (kind, payload)) in payloads.iter().enumerate() {
        let stamp = record::Stamp { at: samples::moment(), run_ms: 0, run: 1 };
        let seq = u64::try_from(place + 1).unwrap();
        let (line, hash) = record::build(seq, stamp, &previous, kind, payload);
        bytes.extend(format!("{line}\n").as_bytes());
        previous = hash;
    }
    bytes
}

fn away() -> Entry {
    Entry::Away(Away { text: String::new() })
}

#[test]
fn an_unknown_kind_makes_the_session_read_only_unless_it_is_marked_optional() {
    let plain = by_hand(&[("hydraulics", "{}"), ("away", "{\"text\":\"\"}")]);
    let (entries, verdict) = disk::read(&plain);
    assert_eq!(entries.len(), 2);
    assert_eq!(verdict, Verdict::UnknownKind { seq: 1, kind: "hydraulics".to_owned() });
    assert!(disk::resume(&Disk::holding(&plain)).is_err());

    let optional = by_hand(&[("hydraulics", "{},\"opt\":true"), ("away", "{\"text\":\"\"}")]);
    let (entries, verdict) = disk::read(&optional);
    assert_eq!(entries.iter().map(|kept| kept.seq).collect::<Vec<_>>(), [0, 2]);
    assert_eq!(verdict, Verdict::Clean);
    assert!(disk::resume(&Disk::holding(&optional)).is_ok());
}

#[test]
fn an_entry_that_no_sound_program_writes_makes_the_session_read_only() {
    let chain = "\"chain\":\"00000000000000000000000000000000\"";
    let seal = format!("{{\"entries\":1,\"by\":\"\",{chain},\"signed\":true,\"why\":\"\"}}");
    for (kind, payload) in [
        ("away", "{}"),
        ("away", "{\"text\":7}"),
        ("leaves", "{\"name\":\"\",\"unit\":\"cm\",\"leaves_nm\":[]}"),
        ("leaves", "{\"name\":\"\",\"unit\":\"mm\",\"leaves_nm\":[10000000001]}"),
        ("seal", &seal),
    ] {
        let (entries, verdict) = disk::read(&by_hand(&[(kind, payload)]));
        assert_eq!(entries.len(), 1);
        assert!(matches!(verdict, Verdict::Faulty { seq: 1, .. }), "{kind}: {verdict}");
    }
}

#[test]
fn a_newer_version_or_need_is_refused_in_words() {
    let text = String::from_utf8(disk::session(1)).unwrap();
    let newer = |from: &str, to: &str| {
        let body = text.split_once(",\"h\":").unwrap().0.replace(from, to);
        let hash = hex_of_sha256(body.as_bytes(), 16);
        let (entries, verdict) = disk::read(format!("{body},\"h\":\"{hash}\"}}\n").as_bytes());
        assert!(entries.is_empty() && !verdict.may_append());
        verdict.to_string()
    };
    assert_eq!(newer("\"v\":1", "\"v\":2"), "written by a newer version; needs format 2");
    assert_eq!(
        newer("\"need\":[]", "\"need\":[\"keys\"]"),
        "written by a newer version; needs format 1, keys"
    );
    assert_eq!(newer("cowlside-session", "something-else"), "this is no session file");
}

#[test]
fn after_the_end_of_a_session_only_remarks_are_taken() {
    let disk = Disk::new(disk::Honesty::Honest);
    let (mut journal, _) = disk::create(&disk).unwrap();
    let seal = samples::of_kind("seal");
    let seal = &seal[..1];
    let before = journal.last_hash().to_owned();
    let kept = journal.append(seal, samples::moment(), 0).unwrap();
    let Entry::Seal(Seal { entries, chain, .. }) = &kept[0].entry else { panic!("no seal") };
    assert_eq!((*entries, chain), (1, &before));
    let refused = journal.append(&[away()], samples::moment(), 0).unwrap_err();
    assert!(refused.error.to_string().contains("only remarks"), "{}", refused.error);
    journal.append(&samples::of_kind("remark"), samples::moment(), 0).unwrap();
    let (mut journal, _) = disk::resume(&disk).unwrap();
    assert!(journal.append(&[away()], samples::moment(), 0).is_err());
    assert_eq!(disk::read(&disk.bytes()).1, Verdict::Clean);
}

#[test]
fn an_entry_behind_a_page_that_never_reached_the_disk_is_shown_and_the_hole_is_named() {
    let whole = disk::session(6);
    let ends = line_ends(&whole);
    for first in 1..5 {
        for last in first..5 {
            let mut holed = whole.clone();
            // The page takes the line ends with it.
            holed[ends[first - 1]..ends[last]].fill(0);
            let missing: Vec<u64> = (first..=last).map(|seq| seq as u64).collect();
            assert_eq!(damage(&holed).0, missing);
            assert_eq!(disk::read(&holed).0.len(), 6 - missing.len());
        }
    }
}
