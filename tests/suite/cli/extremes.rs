//! Sessions whose lines fit their hashes while a number in them is out of all bounds.

use super::services::with_services;
use super::{Place, Shown};
use crate::journal::samples;
use cowlside::store::codec;
use cowlside::store::journal::record::{self, Line, Record};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

/// Ends of the types that numbers are kept in, the largest first.
const HIGH: [u64; 6] =
    [u64::MAX, i64::MAX as u64, u32::MAX as u64, i32::MAX as u64, u16::MAX as u64, u8::MAX as u64];
/// The limits that the codec knows, largest first.
const LIMITS: [u64; 4] = [10_000_000_000, 100_000_000, 9_999, 99];
const LOW: [i64; 4] = [i64::MIN, -10_000_000_000, i32::MIN as i64, 0];

/// A line of a journal: its kind and its payload.
pub type Made = (String, String);

pub fn lines_of(text: &str) -> Vec<(Record<'_>, &str)> {
    let good = |line| match record::read(str::as_bytes(line)) {
        Line::Good(record) => (record, line),
        other => panic!("{other:?}: {line}"),
    };
    text.lines().map(good).collect()
}

/// Where whole numbers stand in a payload, as pointers.
fn numbers(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Number(_) => found.push(at.to_owned()),
        Value::Array(items) => {
            for (place, item) in items.iter().enumerate() {
                numbers(item, &format!("{at}/{place}"), found);
            }
        }
        Value::Object(members) => {
            for (name, member) in members {
                numbers(member, &format!("{at}/{name}"), found);
            }
        }
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

/// Where numbers stand in a payload: one line of each kind with the same is enough.
fn places(payload: &str) -> Vec<String> {
    let mut places = Vec::new();
    numbers(&serde_json::from_str(payload).unwrap(), "", &mut places);
    places
}

/// Every payload made of one by putting the largest and the smallest number that is taken in the
/// place of each number.
fn stretched(kind: &str, payload: &str) -> Vec<Made> {
    let whole: Value = serde_json::from_str(payload).unwrap();
    let mut made = Vec::new();
    let mut high: Vec<Value> = HIGH.into_iter().chain(LIMITS).map(Value::from).collect();
    high.sort_by_key(|value| std::cmp::Reverse(value.as_u64()));
    for place in places(payload) {
        for ends in [&high, &LOW.map(Value::from).to_vec()] {
            for end in ends {
                let mut other = whole.clone();
                *other.pointer_mut(&place).unwrap() = end.clone();
                let text = serde_json::to_string(&other).unwrap();
                if codec::decode(kind, &text, &samples::parse).is_ok() {
                    made.push((kind.to_owned(), text));
                    break;
                }
            }
        }
    }
    made
}

/// Writes a journal anew: the payloads given, with the hashes that fit them.
pub fn chained(records: &[(Record<'_>, &str)], payloads: &[Made]) -> String {
    let mut previous = record::NO_HASH.to_owned();
    let mut text = String::new();
    for (seq, (kind, payload)) in (0_u64..).zip(payloads) {
        let place = usize::try_from(seq).unwrap().min(records.len() - 1);
        let (line, hash) = record::build(seq, records[place].0.stamp, &previous, kind, payload);
        text += &line;
        text.push('\n');
        previous = hash;
    }
    text
}

fn commands(path: &str) -> Vec<Vec<&str>> {
    vec![
        vec!["report", path],
        vec!["history", "Trainer"],
        vec!["compare", "Trainer"],
        vec!["tag", "Trainer"],
        vec!["export"],
        vec!["verify", path],
        // It goes on with the file: last.
        vec!["session", "Trainer", "--plain"],
    ]
}

/// Runs every command that reads a session on a file of the folder; none may panic.
fn all(place: &Place, path: &PathBuf, text: &str) {
    fs::write(path, text).unwrap();
    let name = path.to_string_lossy().into_owned();
    for words in commands(&name) {
        let shown: Shown = place.run(&words);
        assert!(shown.code <= 1, "{words:?}: {shown}");
    }
}

/// A place with one service signed and one begun, the file of one of the two, and its text.
fn with_one_of(n: usize) -> (Place, PathBuf, String) {
    let place = with_services();
    let path = place.journals()[n].clone();
    fs::remove_file(&place.journals()[0]).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    (place, path, text)
}

pub fn payloads_of(records: &[(Record<'_>, &str)]) -> Vec<Made> {
    records.iter().map(|(one, _)| (one.kind.to_string(), one.payload.to_owned())).collect()
}

#[test]
fn no_number_of_a_real_session_that_is_taken_makes_any_command_panic() {
    let mut tried = 0;
    for n in [1, 2] {
        let (place, path, text) = with_one_of(n);
        let records = lines_of(&text);
        let payloads = payloads_of(&records);
        let mut seen = BTreeSet::new();
        for (at, (kind, payload)) in payloads.iter().enumerate().skip(1) {
            if !seen.insert((kind.clone(), places(payload))) {
                continue;
            }
            for other in stretched(kind, payload) {
                let mut changed = payloads.clone();
                changed[at] = other;
                all(&place, &path, &chained(&records, &changed));
                tried += 1;
            }
        }
    }
    println!("{tried} sessions");
    assert!(tried > 50, "{tried}");
}

#[test]
fn no_number_of_the_golden_lines_that_is_taken_makes_any_command_panic() {
    let (place, path, text) = with_one_of(2);
    let records = lines_of(&text);
    let (mut tried, mut seen) = (0, BTreeSet::new());
    for kind in samples::kinds().into_iter().filter(|kind| *kind != "head") {
        for entry in samples::of_kind(kind) {
            let payload = codec::encode(&entry).unwrap();
            if !seen.insert((kind, places(&payload))) {
                continue;
            }
            for other in stretched(kind, &payload) {
                let mut changed = payloads_of(&records);
                // Twice, so that they add up.
                changed.extend([other.clone(), other]);
                all(&place, &path, &chained(&records, &changed));
                tried += 1;
            }
        }
    }
    println!("{tried} sessions");
    assert!(tried > 200, "{tried}");
}

#[test]
fn a_number_out_of_bounds_is_told_as_a_fault_and_the_other_sessions_are_exported() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let name = path.to_string_lossy().into_owned();
    let text = fs::read_to_string(&path).unwrap();
    let records = lines_of(&text);
    let payloads = payloads_of(&records);
    let off = r#"{"bank":"left","items":[["cover screw",4294967295],["washer",4294967295]]}"#;
    let on = r#"{"said":{"count":{"bank":"left","item":"cover screw","count":10000}}}"#;
    let reading = payloads.iter().find(|(kind, _)| kind == "reading").unwrap().1.as_str();
    let tries = reading.replace("\"tries\":0", "\"tries\":4294967295");
    let stop = r#"{"said":{"stop":{"stop":18446744073709551615,"watch":1,"then_turn":0}}}"#;
    let hours = r#"{"hours_hundredths":9223372036854775807}"#;
    let below = r#"{"hours_hundredths":-1}"#;
    assert_ne!(tries, reading);
    let bad = [
        ("off", off),
        ("on", on),
        ("reading", &tries),
        ("at", stop),
        ("begin", hours),
        ("begin", below),
    ];
    for (kind, payload) in bad {
        let mut changed = payloads.clone();
        changed.push((kind.into(), payload.into()));
        fs::write(&path, chained(&records, &changed)).unwrap();
        let verified = place.run(&["verify", &name]);
        assert_eq!(verified.code, 1, "{kind}: {verified}");
        assert!(verified.out.contains("FAULTY"), "{kind}: {verified}");
        let exported = place.run(&["export"]);
        let rows = exported.out.lines().filter(|line| line.contains("exhaust")).count();
        assert!(rows > 10, "{kind}: {exported}");
    }
}
