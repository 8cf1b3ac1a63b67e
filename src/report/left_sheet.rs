//! How the past of an engine says that a valve was left outside its band.

use super::dates;
use crate::domain::plain::plain;
use crate::domain::trend::{LeftSo, Point};
use crate::domain::valve::Several;
use crate::domain::verdict::Verdict;

/// Says how a valve is left, since when and why: "1 exhaust: LEFT TIGHT, 2026-03-14: part on order".
pub(super) fn left_so_words(left: &LeftSo, several: Several) -> String {
    let word = left.verdict.word().to_uppercase();
    let day = left.began.map(|began| dates::marked_day(began, left.day_doubtful));
    let beside = day.into_iter().chain(left.since.map(|since| since.words().to_string()));
    let beside: String = beside.map(|words| format!(", {words}")).collect();
    let why = left.why.as_ref().map_or(String::new(), |why| format!(": {}", plain(why)));
    format!("{}: LEFT {word}{beside}{why}", several.name(left.valve))
}

/// Says that a service left a valve outside its band, and why.
pub(super) fn point_left(point: &Point) -> Option<String> {
    let word = left_word(point)?;
    let why = point.left_as_is.as_ref().map_or(String::new(), |why| format!(": {}", plain(why)));
    Some(format!("left {word}{why}"))
}

/// Says in one word that a service left a valve outside its band.
pub(super) fn left_word(point: &Point) -> Option<String> {
    let verdict = point.verdict_left.filter(|one| *one != Verdict::InLimits)?;
    Some(verdict.word().to_uppercase())
}
