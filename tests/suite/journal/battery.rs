//! Every damage worth trying on a session's bytes: none goes unseen. `COWLSIDE_FAULTS=200 cargo test
//! --release --test suite journal:: -- --nocapture` tries a session of 200 records, cut at every byte,
//! with every bit flipped, and with everything here.

use super::disk;
use super::samples;
use cowlside::domain::entry::Head;
use cowlside::store::hash::{hex_of_sha256, new_id};
use cowlside::store::journal::record::NO_HASH;
use cowlside::store::journal::storage::Memory;
use cowlside::store::journal::{Journal, Verdict, scan};
use std::collections::BTreeSet;
use std::path::Path;
use std::thread;

/// How many records the session has that is damaged: those asked for, else so many.
pub fn records(usual: usize) -> usize {
    std::env::var("COWLSIDE_FAULTS").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// Goes through places `0..count` on every processor and returns what each part came to.
pub fn in_parts<T: Send>(
    count: usize,
    part: impl Fn(&mut dyn Iterator<Item = usize>) -> T + Sync,
) -> Vec<T> {
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let part = &part;
    thread::scope(|scope| {
        let parts: Vec<_> = (0..threads)
            .map(|first| scope.spawn(move || part(&mut (first..count).step_by(threads))))
            .collect();
        parts.into_iter().map(|part| part.join().expect("a part found something wrong")).collect()
    })
}

/// One damage.
#[derive(Clone, Debug, PartialEq)]
enum Damage {
    ByteGone(usize),
    ByteTwice(usize),
    LineGone(usize),
    LineTwice(usize),
    LinesSwapped(usize),
    /// The line of another session, whole by itself, at the same place.
    LineOfAnother(usize),
    NulTail(usize),
    GarbageTail(usize),
    NulFrom(usize),
    SectorNul(usize),
    SectorGarbage(usize),
    Whole(&'static str),
}

const SECTOR: usize = 512;
const WHOLE: [&str; 12] = [
    "CRLF",
    "CR only",
    "BOM",
    "UTF-16",
    "blank line inside",
    "blank line at the end",
    "empty",
    "only NUL",
    "twice over",
    "printed prettily",
    "blanks at line ends",
    "marks of a merge",
];

fn garbage(count: usize) -> Vec<u8> {
    (0..count).map(|place| hex_of_sha256(&place.to_le_bytes(), 1).as_bytes()[0] ^ 0xa5).collect()
}

/// Everything that is done to a session.
fn damages(whole: &[u8]) -> Vec<Damage> {
    let (bytes, lines) = (whole.len(), lines(whole).len());
    let last = bytes - super::battery::lines(whole)[lines - 1].len();
    let tails = [1, 7, 100, 511, 512, 4096, 65_536];
    let each = |count: usize, make: fn(usize) -> Damage| (0..count).map(make);
    each(bytes, Damage::ByteGone)
        .chain(each(bytes, Damage::ByteTwice))
        .chain(each(lines, Damage::LineGone))
        .chain(each(lines, Damage::LineTwice))
        .chain(each(lines - 1, Damage::LinesSwapped))
        .chain(each(lines, Damage::LineOfAnother))
        .chain(tails.into_iter().map(Damage::NulTail))
        .chain(tails.into_iter().map(Damage::GarbageTail))
        .chain((last..bytes).map(Damage::NulFrom))
        .chain(each(bytes.div_ceil(SECTOR), Damage::SectorNul))
        .chain(each(bytes.div_ceil(SECTOR), Damage::SectorGarbage))
        .chain(WHOLE.into_iter().map(Damage::Whole))
        .collect()
}

fn lines(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|byte| *byte == b'\n').collect()
}

/// Puts other bytes in place of a sector.
fn sector(whole: &[u8], number: usize, with: &[u8]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    let end = (number * SECTOR + SECTOR).min(bytes.len());
    let size = end - number * SECTOR;
    bytes[number * SECTOR..end].copy_from_slice(&with[..size]);
    bytes
}

fn done_to(whole: &[u8], other: &[u8], damage: &Damage) -> Vec<u8> {
    let mut all = lines(whole);
    match *damage {
        Damage::ByteGone(at) => [&whole[..at], &whole[at + 1..]].concat(),
        Damage::ByteTwice(at) => [&whole[..=at], &whole[at..]].concat(),
        Damage::LineGone(at) => {
            all.remove(at);
            all.concat()
        }
        Damage::LineTwice(at) => {
            all.insert(at, all[at]);
            all.concat()
        }
        Damage::LinesSwapped(at) => {
            all.swap(at, at + 1);
            all.concat()
        }
        Damage::LineOfAnother(at) => {
            all[at] = lines(other)[at];
            all.concat()
        }
        Damage::NulTail(count) => [whole, &vec![0; count]].concat(),
        Damage::GarbageTail(count) => [whole, &garbage(count)].concat(),
        Damage::NulFrom(at) => [&whole[..at], &vec![0; whole.len() - at]].concat(),
        Damage::SectorNul(number) => sector(whole, number, &[0; SECTOR]),
        Damage::SectorGarbage(number) => sector(whole, number, &garbage(SECTOR)),
        Damage::Whole(what) => all_over(whole, what),
    }
}

fn all_over(whole: &[u8], what: &str) -> Vec<u8> {
    let text = std::str::from_utf8(whole).unwrap();
    let changed = match what {
        "CRLF" => text.replace('\n', "\r\n"),
        "CR only" => text.replace('\n', "\r"),
        "BOM" => format!("\u{feff}{text}"),
        "UTF-16" => return text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        "blank line inside" => text.replacen('\n', "\n\n", 1),
        "blank line at the end" => format!("{text}\n"),
        "empty" => String::new(),
        "only NUL" => "\0".repeat(4096),
        "twice over" => text.repeat(2),
        "printed prettily" => text.replace(",\"", ",\n  \""),
        "blanks at line ends" => text.replace('\n', " \n"),
        "marks of a merge" => format!("<<<<<<< a\n{text}=======\n{text}>>>>>>> b\n"),
        other => panic!("{other}"),
    };
    changed.into_bytes()
}

/// What a careless reader does not look at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ignores {
    Nothing,
    OwnHash,
    HashBefore,
}

/// Reads as the design says, except for what it ignores; tells whether it finds everything in order.
pub fn careless(bytes: &[u8], ignores: Ignores) -> bool {
    let mut before = NO_HASH.to_owned();
    for (place, line) in lines(bytes).into_iter().enumerate() {
        let line = line.strip_suffix(b"\n").unwrap_or(line);
        let Ok(value) = serde_json::from_slice::<serde_json::Value>(line) else { return false };
        let own = value["h"].as_str().unwrap_or_default().to_owned();
        let body = line.len().checked_sub(40).map_or(line, |end| &line[..end]);
        let chained = value["p"].as_str() == Some(&before) || ignores == Ignores::HashBefore;
        let hashed = hex_of_sha256(body, 16) == own || ignores == Ignores::OwnHash;
        if value["seq"].as_u64() != u64::try_from(place).ok() || !chained || !hashed {
            return false;
        }
        before = own;
    }
    !bytes.is_empty()
}

/// The same entries under another identity.
fn another(records: usize) -> Vec<u8> {
    let memory = Memory::default();
    let head = Head { session: new_id(0), ..samples::head() };
    let (path, at) = (Path::new("other.jsonl"), samples::moment());
    let made =
        Journal::create_on((Box::new(memory.clone()), Box::new(memory.clone())), path, head, at, 0);
    let (mut journal, _) = made.unwrap();
    let entries: Vec<_> =
        disk::read(&disk::session(records)).0.into_iter().skip(1).map(|kept| kept.entry).collect();
    journal.append(&entries, at, 0).unwrap();
    memory.bytes()
}

#[test]
fn no_damage_goes_unseen_and_nothing_is_read_that_was_not_written() {
    let (whole, other) = (disk::session(records(10)), another(records(10)));
    let damages = damages(&whole);
    let written: BTreeSet<String> = hashes(&whole);
    let mine = || written.iter().cloned();
    let known: BTreeSet<String> = mine().chain(hashes(&other)).collect();
    let found = in_parts(damages.len(), |places| {
        let (mut tried, mut clean, mut careless_p, mut careless_h) = (0, Vec::new(), 0, 0);
        for place in places {
            let damage = &damages[place];
            let bytes = done_to(&whole, &other, damage);
            if bytes == whole {
                continue;
            }
            tried += 1;
            let scan = scan::scan(&bytes);
            if scan.verdict == Verdict::Clean {
                clean.push(damage.clone());
            }
            let strange = scan.records.iter().find(|record| !known.contains(record.hash));
            assert!(strange.is_none(), "{damage:?} reads {strange:?}");
            careless_p += usize::from(careless(&bytes, Ignores::HashBefore));
            careless_h += usize::from(careless(&bytes, Ignores::OwnHash));
        }
        (tried, clean, careless_p, careless_h)
    });
    let tried: usize = found.iter().map(|part| part.0).sum();
    let clean: Vec<&Damage> = found.iter().flat_map(|part| &part.1).collect();
    // Only what is whole all the same: the last line end is missing, or the whole last entry, which
    // is the one thing that is not promised.
    let lines = lines(&whole).len();
    let allowed = [Damage::ByteGone(whole.len() - 1), Damage::LineGone(lines - 1)];
    assert!(clean.iter().all(|damage| allowed.contains(damage)), "unseen: {clean:?}");
    let [careless_p, careless_h] = [
        found.iter().map(|part| part.2).sum::<usize>(),
        found.iter().map(|part| part.3).sum::<usize>(),
    ];
    println!(
        "{tried} damages to {lines} records: 0 unseen; a reader that ignores p misses \
         {careless_p}, one that ignores h {careless_h}"
    );
    assert!(tried > 2 * whole.len() - 200);
    // Negative controls: what the hashes are for.
    assert!(careless(&whole, Ignores::Nothing));
    assert!(careless_p > clean.len() + lines / 2, "nothing depends on p");
    assert!(careless_h > clean.len() + 100, "nothing depends on h");
}

fn hashes(bytes: &[u8]) -> BTreeSet<String> {
    scan::scan(bytes).records.iter().map(|record| record.hash.to_owned()).collect()
}

#[test]
fn damage_all_over_a_file_is_told_in_its_own_words() {
    let (whole, other) = (disk::session(6), another(6));
    for (what, words) in [
        ("CRLF", "the line endings were changed by another program"),
        ("BOM", "a byte-order mark was put in front by another program"),
        ("UTF-16", "this is no session file"),
        ("blank line inside", "a blank line was put in"),
        ("empty", "empty start: the session has no whole entry"),
        ("only NUL", "empty start: the session has no whole entry"),
        ("CR only", "no entry is missing"),
        ("printed prettily", "this is no session file"),
        ("twice over", "entries 0-5 stand there again"),
        ("blanks at line ends", "a line was indented by another program"),
        ("marks of a merge", "marks of a merge were put in by another program"),
    ] {
        let bytes = done_to(&whole, &other, &Damage::Whole(what));
        let said = scan::scan(&bytes).verdict.to_string();
        assert!(said.contains(words), "{what}: {said}");
    }
}
