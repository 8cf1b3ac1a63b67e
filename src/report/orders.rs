//! The orders in which a comparison or a past can be read, what each is called, and by which words
//! its rows are found.

use super::compare_sheet::movement_words;
use super::dates;
use super::history_sheet::standing_rank;
use super::left_sheet::left_word;
use crate::domain::compare::{Comparison, Movement};
use crate::domain::trend::{History, Point, ValvePast};
use crate::domain::valve::Several;
use crate::domain::verdict::Verdict;
use std::cmp::Reverse;

/// An order of rows, all of them, each once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// What it is called: "by valve".
    pub words: &'static str,
    /// The rows by their place in the table, the first to be shown first.
    pub rows: Vec<usize>,
}

impl Order {
    /// Sorts rows by what each comes to; rows of the same keep the order of the table.
    pub fn by<T, K: Ord>(words: &'static str, rows: &[T], key: impl Fn(&T) -> K) -> Order {
        let mut keyed: Vec<(K, usize)> = rows.iter().map(key).zip(0..).collect();
        keyed.sort_by(|(one, _), (other, _)| one.cmp(other));
        Order { words, rows: keyed.into_iter().map(|(_, row)| row).collect() }
    }
}

/// Tells whether each word searched begins a word of a row; a number must be the whole number, so that
/// 1 does not find cylinder 12.
pub fn found(searched: &str, words: &str) -> bool {
    let is_number = |word: &str| word.chars().all(|letter| letter.is_ascii_digit());
    let fits = |wanted: &str, word: &str| match is_number(wanted) && is_number(word) {
        true => wanted == word,
        false => word.starts_with(wanted),
    };
    let searched = searched.to_lowercase();
    searched
        .split_whitespace()
        .all(|wanted| words.split_whitespace().any(|word| fits(wanted, word)))
}

/// Lists the orders of a comparison, the first one as its rows stand.
pub fn of_comparison(comparison: &Comparison) -> Vec<Order> {
    let valves = &comparison.valves;
    vec![
        Order { words: "by valve", rows: (0..valves.len()).collect() },
        Order::by("what moved most first", valves, |movement| Reverse(movement.size())),
        Order::by("gravest verdict first", valves, |movement| {
            (grave(movement.verdict_left.or(movement.verdict_found)), grave(movement.verdict_found))
        }),
    ]
}

/// Returns the words that each row of a comparison is found by.
pub fn comparison_words(comparison: &Comparison) -> Vec<String> {
    let several = Several::of(comparison.valves.iter().map(|movement| movement.valve));
    let words = |movement: &Movement| {
        let verdicts = [movement.verdict_found, movement.verdict_left];
        let verdicts: Vec<&str> = verdicts.into_iter().flatten().map(Verdict::word).collect();
        let moved = movement_words(movement, comparison.unit);
        let way: Vec<&str> = moved.split(' ').filter(|word| is_letters(word)).collect();
        format!("{} {} {}", several.name(movement.valve), way.join(" "), verdicts.join(" "))
            .to_lowercase()
    };
    comparison.valves.iter().map(words).collect()
}

fn is_letters(word: &str) -> bool {
    word.chars().all(char::is_alphabetic)
}

/// The gravest first; what has no verdict last.
fn grave(verdict: Option<Verdict>) -> u8 {
    verdict.map_or(u8::MAX, Verdict::gravity)
}

/// Lists the orders of the valves in an engine's past, the first one as they stand.
pub fn of_valves(history: &History) -> Vec<Order> {
    let valves = &history.valves;
    let sign = |past: &ValvePast| standing_rank(history, past);
    let speed = |past: &ValvePast| {
        let drift = past.drift.filter(|drift| !drift.widened().spans_nought());
        Reverse(drift.map_or(0, |drift| whole(drift.per_100_h.abs())))
    };
    let limit = |past: &ValvePast| {
        past.cautious.map_or(i64::MAX, |forecast| whole(forecast.soonest * 1000.0))
    };
    vec![
        Order { words: "by valve", rows: (0..valves.len()).collect() },
        Order::by("what stands out first", valves, sign),
        Order::by("what drifts most first", valves, speed),
        Order::by("nearest its limit first", valves, limit),
    ]
}

/// Rounds, for an order only.
fn whole(number: f64) -> i64 {
    number.round() as i64
}

/// Lists the orders of a valve's services; `newest` are its points as the rows stand, newest first.
pub fn of_services(newest: &[&Point]) -> Vec<Order> {
    let found = |point: &&Point| {
        let gauged = point.found.as_ref();
        gauged.and_then(|gauged| gauged.interval.nominal).map_or(i64::MAX, |length| length.nm())
    };
    vec![
        Order { words: "newest first", rows: (0..newest.len()).collect() },
        Order { words: "oldest first", rows: (0..newest.len()).rev().collect() },
        Order::by("tightest found first", newest, found),
        Order::by("gravest verdict first", newest, |point| grave(point.verdict_found)),
    ]
}

/// Returns the words that a service is found by: its day, its session, what was found.
pub fn service_words(point: &Point) -> String {
    let day = point.began.map(|began| dates::marked_day(began, point.day_doubtful));
    let day = day.unwrap_or_default();
    let verdict = point.verdict_found.map_or("", Verdict::word);
    let left = left_word(point).unwrap_or_default();
    format!("{day} {} {verdict} {left}", point.session).trim_end().to_lowercase()
}
