//! What is typed: readings, lists of leaves, figures, arguments.

use super::bodies::{arguments, reading};
use super::campaign::{Campaign, seeds};
use cowlside::domain::units::Length;

fn readings() -> Campaign {
    Campaign { target: "reading", seeds: seeds("reading"), usual: 20_000, of_a_million: 1_000_000 }
}

#[test]
fn a_reading_is_taken_within_its_limits_and_the_same_again_or_refused_in_words() {
    let tally = readings().run(|bytes| reading::check(bytes, reading::take));
    for outcome in ["reading taken", "refused", "figure taken", "figure refused"] {
        tally.floor(outcome, 20);
    }
    tally.floor("list taken", 5);
    tally.floor("list refused", 5);
}

#[test]
fn a_reading_taken_by_a_careless_reader_is_found() {
    // A comma is left out, as a thousands separator would be.
    readings().catches("means", |bytes| {
        reading::check(bytes, |typed, set, unit| {
            let read = reading::take(&typed.replace(',', ""), set, unit);
            read.map(|meaning| cowlside::domain::reading::Meaning {
                typed: typed.trim().into(),
                ..meaning
            })
        })
    });
    // An end of the interval lies below nought.
    readings().catches("no clearances", |bytes| {
        reading::check(bytes, |typed, set, unit| {
            let mut meaning = reading::take(typed, set, unit)?;
            meaning.low = meaning.low.map(|low| low - Length::from_mm(1));
            Ok(meaning)
        })
    });
    // What was typed is said back raw.
    readings().catches("the error holds", |bytes| {
        reading::check(bytes, |typed, set, unit| {
            reading::take(typed, set, unit).map_err(|(_, hint)| (format!("`{typed}`"), hint))
        })
    });
}

fn lines() -> Campaign {
    Campaign { target: "arguments", seeds: seeds("arguments"), usual: 1_000, of_a_million: 20_000 }
}

#[test]
fn arguments_are_understood_or_refused_in_words() {
    let tally = lines().run(|bytes| arguments::check(bytes, arguments::run));
    tally.floor("misuse", 100);
    tally.floor("understood", 20);
    tally.floor("carried out", 20);
    tally.floor("could not be done", 20);
}

#[test]
fn a_raw_escape_in_what_is_said_of_arguments_is_found() {
    lines().catches("is printed holds", |bytes| {
        arguments::check(bytes, |place, words| {
            let mut ran = arguments::run(place, words);
            ran.err = ran.err.replace("error: ", "error: \u{1b}[31m");
            ran
        })
    });
}
