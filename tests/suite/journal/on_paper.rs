//! What no disk takes is told word for word: of every kind of entry all that was asked and answered.

use super::samples;
use crate::services::{Service, flat_four};
use cowlside::domain::entry::{Entry, Moment, On, SourceRead};
use cowlside::domain::plain::plain;
use cowlside::domain::profile::Source;
use cowlside::guide::on_paper;
use cowlside::store::codec;
use serde_json::Value;

/// What somebody typed, read or saw.
const TOLD: [&str; 17] = [
    "asked",
    "seen",
    "text",
    "why",
    "document",
    "revision",
    "page",
    "signer",
    "statement",
    "item",
    "place",
    "engine",
    "serial",
    "source",
    "day",
    "by",
    "certificate_number",
];

/// The texts of these members, wherever they stand.
fn texts(value: &Value, told: &mut Vec<(String, String)>) {
    match value {
        Value::Object(members) => {
            for (name, value) in members {
                match value.as_str() {
                    Some(text) if TOLD.contains(&name.as_str()) && !text.is_empty() => {
                        told.push((name.clone(), text.to_owned()));
                    }
                    _ => texts(value, told),
                }
            }
        }
        Value::Array(all) => all.iter().for_each(|value| texts(value, told)),
        _ => {}
    }
}

fn session() -> Service {
    let now = Moment { unix_ms: 1_773_475_200_000, offset_min: 60 };
    Service::begun(flat_four(), "spring", now, 41_260)
}

#[test]
fn every_kind_of_entry_is_told_with_all_that_was_asked_and_answered() {
    let service = session();
    let mut checked = 0;
    for kind in samples::kinds() {
        for entry in samples::of_kind(kind) {
            let words = on_paper::words(&service.session, &entry, &|profile| profile.name.clone());
            assert!(words.len() > 5 && !words.contains("an answer"), "{kind}: {words:?}");
            // A reading says who gauged it only on its record; what it carries of another file is its own.
            if matches!(
                entry,
                Entry::Reading(_) | Entry::Adopt(_) | Entry::Head(_) | Entry::Begin(_)
            ) {
                continue;
            }
            let payload = codec::encode(&entry).unwrap();
            let mut told = Vec::new();
            texts(&serde_json::from_str(&payload).unwrap(), &mut told);
            for (name, text) in told {
                // A profile is told by its name, and where it lies.
                if kind == "amend" && name == "text" {
                    continue;
                }
                assert!(words.contains(plain(&text).trim()), "{kind}, {name}, {text:?}: {words}");
                checked += 1;
            }
        }
    }
    println!("{checked} texts");
    assert!(checked > 40, "{checked}");
}

#[test]
fn a_count_is_told_with_what_was_counted_and_a_beginning_with_all_that_it_says() {
    let mut service = session();
    service.finish();
    let told: Vec<String> = service
        .session
        .kept
        .iter()
        .map(|kept| on_paper::words(&service.session, &kept.entry, &|profile| profile.name.clone()))
        .collect();
    let begun = "session spring; engine Trainer two; serial number F4-0117; hours 412.6; total time \
                 1034.2";
    assert!(told[1].starts_with(begun), "{}", told[1]);
    let off =
        service.session.kept.iter().zip(&told).filter_map(|(kept, words)| match &kept.entry {
            Entry::Off(off) => Some((off, words)),
            _ => None,
        });
    let mut counted = 0;
    for (off, words) in off {
        for (item, count) in &off.items {
            assert!(words.contains(&format!("{count} \u{d7} {item}")), "{item}: {words}");
            counted += 1;
        }
    }
    assert!(counted > 3, "{counted}");
    let counts = service
        .session
        .kept
        .iter()
        .filter(|kept| matches!(kept.entry, Entry::On(On::Count { .. })));
    assert!(counts.count() > 0);
}

#[test]
fn example_figures_are_no_manual() {
    let told = |practice| {
        let source = Source { document: "Example figures".into(), ..Source::default() };
        let entry = Entry::Source(SourceRead::Named { source, practice });
        on_paper::words(&session().session, &entry, &|profile| profile.name.clone())
    };
    assert_eq!(told(true), "no manual: practice, by example figures: Example figures");
    assert_eq!(told(false), "manual Example figures");
}
