//! Readings and valves by their whole names: a figure with its unit, a valve with its number where there
//! are several of its kind.

use super::status::step_word;
use crate::domain::entry::{Reading, ReadingUnit};
use crate::domain::plain::plain;
use crate::domain::session::{Due, OpenItem, Session, State};
use crate::domain::valve::{Kind, Valve};

/// Names a valve: "1 intake", and "1 intake 1" where a cylinder has several intakes.
pub fn valve_name(state: &State, valve: Valve) -> String {
    state.name_of(valve)
}

/// Names several valves in a list.
pub(super) fn valve_names(state: &State, valves: &[Valve]) -> String {
    let names: Vec<String> = valves.iter().map(|valve| valve_name(state, *valve)).collect();
    names.join(", ")
}

/// Says an open item with its valve by its whole name.
pub(super) fn open_words(state: &State, item: &OpenItem) -> String {
    plain(&item.words(&|valve| valve_name(state, valve)))
}

/// Names a valve for large letters: "3 EXH", "3 EXH 2" where there are several of a kind.
pub(super) fn valve_short(state: &State, valve: Valve) -> String {
    let kind = match valve.kind {
        Kind::Intake => "INT",
        Kind::Exhaust => "EXH",
    };
    if state.facts().spec(valve.kind).per_cylinder > 1 {
        format!("{} {kind} {}", valve.cylinder, valve.number)
    } else {
        format!("{} {kind}", valve.cylinder)
    }
}

/// Says of a valve in large letters how it stands, without a figure: "4 EXH OPEN", "4 E OPEN", "4E OPEN";
/// where nothing else is large the word may stand alone.
pub(super) fn named_words(state: &State, valve: Valve, word: &str) -> Vec<String> {
    let mut words = named_verdict(state, (valve, ""), &[word]);
    // There is no figure.
    words.remove(0);
    words.push(word.into());
    words
}

/// Says a verdict in large letters, never without its valve, the longest words first: "4 EXH 12 TIGHT",
/// "4 EXH TIGHT", "4 E TIGHT", and where no blank has room "4E TIGHT". An I close behind a digit looks like
/// a one: an intake keeps its blank.
pub(super) fn named_verdict(
    state: &State,
    (valve, typed): (Valve, &str),
    words: &[&str],
) -> Vec<String> {
    let short = valve_short(state, valve);
    let initial = short.replacen("INT", "I", 1).replacen("EXH", "E", 1);
    let figure = words.iter().map(|word| format!("{short} {typed} {word}"));
    let whole = words.iter().map(|word| format!("{short} {word}"));
    let close = (valve.kind == Kind::Exhaust).then(|| initial.replace(' ', ""));
    let names = [Some(initial), close].into_iter().flatten();
    let shortest = words.last().map(|word| names.map(move |valve| format!("{valve} {word}")));
    figure.chain(whole).chain(shortest.into_iter().flatten()).collect()
}

/// Writes what was typed with its unit, which may have been typed too.
pub fn typed_unit(typed: &str, unit: ReadingUnit) -> String {
    if typed.contains(char::is_alphabetic) || typed.contains(['"', '″']) {
        return typed.to_string();
    }
    let unit = match unit {
        ReadingUnit::Mm => "mm",
        // Behind a pair a stroke would be read as one more of the same.
        ReadingUnit::Hundredths if typed.contains(['/', '+', '>']) => "hundredths",
        ReadingUnit::Hundredths => "/100 mm",
        ReadingUnit::Thou => "thou",
        ReadingUnit::Inch => "in",
    };
    format!("{typed} {unit}")
}

/// Says a reading whole: "1 intake, found: 6 thou, in limits". The verdict is that of the last reading of
/// a valve, once it is believed.
pub(super) fn reading_words(session: &Session, reading: &Reading) -> String {
    let (state, valve) = (&session.state, reading.valve);
    let last = state.current(valve).is_some_and(|taken| taken.reading == *reading);
    let again = matches!(state.due(), Due::Again(..)) || state.wants_second(state.round(), valve);
    let verdict = state.verdict_now(valve).filter(|_| last && !again);
    let verdict = verdict.map_or_else(String::new, |verdict| format!(", {}", verdict.word()));
    let typed = typed_unit(&reading.typed, reading.unit);
    format!("{}, {}: {typed}{verdict}", valve_name(state, valve), step_word(reading.step))
}
