//! Where a valve stands, in words, as every prompt and sheet tells it, and the same words for who stands in front.
//!
//! A cylinder of a radial carries its valves round the crank with it: the profile tells left and right of one that
//! stands upright, seen from the rear, and here they are turned to where they lie.

use super::turning::{SEEN_FROM_REAR, place_words};
use crate::domain::place::{side_of, toward, turned_by};
use crate::domain::profile::{Facts, Shape, Side};
use crate::domain::session::State;
use crate::domain::valve::Valve;

/// What a radial's left and right are told of, where they are not turned.
pub const OF_UPRIGHT: &str = "cylinder upright";
/// Before the word that the profile has for it; where room is short the word goes first, which would be misread alone.
const WHEN_UPRIGHT: &str = "; when upright: ";
const SEEN: &str = "seen from the ";
const SEEN_FROM_FRONT: &str = "seen from the front";
/// How the place of a radial's cylinder is told, behind its degrees.
const TOLD: &str = "° clockwise from the top, ";

/// Returns where a valve stands in its cylinder, in the profile's words or turned with its cylinder: "lower", "above left".
pub fn place_in_cylinder(facts: &Facts, valve: Valve) -> Option<String> {
    let told = facts.spec(valve.kind).position.get(usize::from(valve.number).checked_sub(1)?)?;
    let (Some(side), Some(eighths)) = (side_of(facts, valve), turned_by(facts, valve.cylinder))
    else {
        return Some(told.clone());
    };
    Some(match (is_a_side(told), eighths) {
        (true, _) => toward(side, eighths).word().into(),
        (false, 0) => told.clone(),
        (false, _) => format!("{told}, {OF_UPRIGHT}"),
    })
}

/// Tells whether the profile says nothing but a side: other words are its own, and stay as they are.
fn is_a_side(told: &str) -> bool {
    ["left", "right"].iter().any(|side| told.trim().eq_ignore_ascii_case(side))
}

/// Names a valve by its place where the profile tells it: "exhaust, lower".
pub fn valve_words(facts: &Facts, valve: Valve) -> String {
    let kind = match facts.spec(valve.kind).per_cylinder {
        0 | 1 => valve.kind.word().to_owned(),
        _ => format!("{} {}", valve.kind.word(), valve.number),
    };
    match place_in_cylinder(facts, valve) {
        Some(place) => format!("{kind}, {place}"),
        None => kind,
    }
}

/// The same, and from where left and right are told.
pub(super) fn seen_words(facts: &Facts, valve: Valve) -> String {
    from_the_rear(facts, valve_words(facts, valve))
}

pub(super) fn place_of(state: &State, valve: Valve) -> String {
    where_it_stands(state.facts(), valve)
}

/// Names a valve by its place, and where its cylinder stands; of one that is turned what the profile calls its side.
pub fn where_it_stands(facts: &Facts, valve: Valve) -> String {
    let words = format!("{} · {}", valve_words(facts, valve), place_words(facts, valve.cylinder));
    format!("{}{}", from_the_rear(facts, words), when_upright(facts, valve))
}

fn when_upright(facts: &Facts, valve: Valve) -> String {
    let position = &facts.spec(valve.kind).position;
    let told = position.get(usize::from(valve.number).saturating_sub(1));
    let turned = turned_by(facts, valve.cylinder).is_some_and(|eighths| eighths != 0);
    match side_of(facts, valve).filter(|_| turned && told.is_some_and(|told| is_a_side(told))) {
        Some(Side::Left) => format!("{WHEN_UPRIGHT}left"),
        Some(Side::Right) => format!("{WHEN_UPRIGHT}right"),
        None => String::new(),
    }
}

/// Says of a valve of a radial whose left or right its words mean, where they do not say so yet. Banks have
/// their own left and right; a radial is seen from either end.
fn from_the_rear(facts: &Facts, words: String) -> String {
    match facts.layout.shape {
        Shape::Radial => said_from_where(words),
        Shape::Inline | Shape::Vee | Shape::Opposed => words,
    }
}

/// Says from where left or right of a valve is told, where its words do not say so yet.
pub fn said_from_where(words: String) -> String {
    if side_of_a_valve(&words).is_some() && !words.contains(SEEN) {
        format!("{words}, {SEEN_FROM_REAR}")
    } else {
        words
    }
}

/// Turns words of a place in a radial, and of a valve there, to what is seen from the front: all is mirrored.
pub fn seen_from_front(text: &mut String) {
    let rear = format!("{TOLD}{SEEN_FROM_REAR}");
    while let Some((before, after)) = text.split_once(&rear) {
        let told = before.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let degrees = before.strip_prefix(told).and_then(|degrees| degrees.parse::<u16>().ok());
        let seen = degrees.and_then(|degrees| 360_u16.checked_sub(degrees)).unwrap_or_default();
        *text = format!("{told}{seen}{TOLD}{SEEN_FROM_FRONT}{after}");
    }
    if let Some(words) = text.strip_suffix(SEEN_FROM_REAR)
        && side_of_a_valve(text).is_some()
    {
        *text = format!("{words}{SEEN_FROM_FRONT}");
    }
    if !text.contains(SEEN_FROM_FRONT) {
        return;
    }
    for (side, other) in [("left", "right"), ("right", "left")] {
        if let Some(words) = text.strip_suffix(&format!("{WHEN_UPRIGHT}{side}")) {
            *text = format!("{words}{WHEN_UPRIGHT}{other}");
            break;
        }
    }
    if let Some((at, side)) = side_of_a_valve(text) {
        let other = if side == "left" { "right" } else { "left" };
        text.replace_range(at..at + side.len(), other);
    }
}

/// Finds the side at which it is told that a valve stands, and where that begins: "intake, left",
/// "exhaust 2, above right".
fn side_of_a_valve(text: &str) -> Option<(usize, &'static str)> {
    ["intake", "exhaust"].iter().find_map(|kind| {
        let (_, after) = text.split_once(kind)?;
        let number = |letter: char| letter == ' ' || letter.is_ascii_digit();
        let rest = after.trim_start_matches(number).strip_prefix(", ")?;
        let end = rest.find([',', ';', '·', ':', '(']).unwrap_or(rest.len());
        let place = rest.get(..end)?.trim_end();
        // "left slack" is no place.
        let last = place.rsplit(' ').next()?;
        let side = ["left", "right"].into_iter().find(|side| *side == last)?;
        Some((text.len() - rest.len() + place.len() - side.len(), side))
    })
}
