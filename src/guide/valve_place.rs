//! Where a valve stands, in words, as every prompt and sheet tells it, and the same words for who stands in front.
//!
//! A cylinder of a radial carries its valves round the crank with it: the profile tells left and right of one that
//! stands upright, seen from the rear, and here they are turned to where they lie.

use super::named::valve_name;
use super::turning::{CLOCKWISE, place_unseen};
use crate::domain::place::{side_in, side_of, sides_turned, toward, turned_by};
use crate::domain::plain::plain;
use crate::domain::profile::{Facts, Shape, Side};
use crate::domain::session::State;
use crate::domain::valve::{Cylinder, Valve};
use std::ops::Range;

/// What a radial's left and right are told of, where they are not turned.
pub const OF_UPRIGHT: &str = "cylinder upright";
/// Before the word that the profile has for it; where room is short the word goes first, which would be misread alone.
const WHEN_UPRIGHT: &str = "; when upright: ";
/// Before words of a place of which left, right or degrees are as somebody behind the engine sees them, and in front
/// of it. It goes first: what is cut is cut behind it.
const REAR_VIEW: &str = "rear view: ";
const FRONT_VIEW: &str = "front view: ";

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

/// Says what is done to a valve, which is named by its place, and from where that is told.
pub(super) fn seen_words(facts: &Facts, done: &str, valve: Valve) -> String {
    let words = viewed(facts, valve_words(facts, valve));
    let between = if words.starts_with(REAR_VIEW) { ", " } else { ": " };
    format!("{done}{between}{words}")
}

/// Most letters of a place that have room beside a valve's name in an answer, in the smallest window.
const IN_AN_ANSWER: usize = 14;

/// Names a valve of a cylinder and its place, as an answer: "4 exhaust, above".
pub(super) fn named_by_place(state: &State, valve: Valve) -> String {
    let (facts, name) = (state.facts(), valve_name(state, valve));
    match place_in_cylinder(facts, valve).map(|place| plain(&place)) {
        Some(place) if place.chars().count() <= IN_AN_ANSWER => {
            viewed(facts, format!("{name}, {place}"))
        }
        Some(_) | None => name,
    }
}

pub(super) fn place_of(state: &State, valve: Valve) -> String {
    where_it_stands(state.facts(), valve)
}

/// Names a valve by its place, and where its cylinder stands; of one that is turned what the profile calls its side.
pub fn where_it_stands(facts: &Facts, valve: Valve) -> String {
    let (place, upright) = (place_unseen(facts, valve.cylinder), when_upright(facts, valve));
    viewed(facts, format!("{} · {place}{upright}", valve_words(facts, valve)))
}

/// Tells where a cylinder stands, and of a radial's from where that is seen.
pub(super) fn place_seen(facts: &Facts, cylinder: Cylinder) -> String {
    viewed(facts, place_unseen(facts, cylinder))
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

/// Says of a place in a radial from where it is seen, where that matters. Banks have their own left and right; a
/// radial is seen from either end.
fn viewed(facts: &Facts, words: String) -> String {
    let matters = words.contains(CLOCKWISE) || sided(&words).is_some();
    match facts.layout.shape {
        Shape::Radial if matters => format!("{REAR_VIEW}{words}"),
        Shape::Radial | Shape::Inline | Shape::Vee | Shape::Opposed => words,
    }
}

/// Says from where left or right of a valve is told, where its words do not say so yet.
pub fn said_from_where(mut words: String) -> String {
    let unsaid = !words.contains(REAR_VIEW) && !words.contains(FRONT_VIEW);
    if let Some(place) = sided(&words).filter(|_| unsaid) {
        // Before its number.
        let before = words.get(..place.named).unwrap_or_default();
        let number = before.trim_end().trim_end_matches(|letter: char| letter.is_ascii_digit());
        let numbered = number.len() < before.trim_end().len();
        words.insert_str(if numbered { number.len() } else { place.named }, REAR_VIEW);
    }
    words
}

/// Turns words of a place in a radial, and of a valve there, to what is seen from the front: all is mirrored.
pub fn seen_from_front(text: &mut String) {
    let Some((before, words)) = text.split_once(REAR_VIEW) else { return };
    let mut words = words.to_owned();
    for (side, other) in [("left", "right"), ("right", "left")] {
        if let Some(begin) = words.strip_suffix(&format!("{WHEN_UPRIGHT}{side}")) {
            words = format!("{begin}{WHEN_UPRIGHT}{other}");
            break;
        }
    }
    if let Some((told, behind)) = words.split_once(CLOCKWISE) {
        let begin = told.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let degrees = told.strip_prefix(begin).and_then(|degrees| degrees.parse::<u16>().ok());
        let seen = degrees.and_then(|degrees| 360_u16.checked_sub(degrees)).unwrap_or_default();
        words = format!("{begin}{seen}{CLOCKWISE}{behind}");
    }
    if let Some(place) = sided(&words)
        && let Some(told) = words.get(place.told.clone()).map(sides_turned)
    {
        words.replace_range(place.told, &told);
    }
    *text = format!("{before}{FRONT_VIEW}{words}");
}

/// Where words of a text tell at which side a valve stands.
struct Sided {
    /// Where the valve's kind begins.
    named: usize,
    /// The words of its place.
    told: Range<usize>,
}

/// Words of a place besides its side.
const PLACES: [&str; 8] = ["above", "below", "upper", "lower", "front", "rear", "inner", "outer"];

/// Finds that: "intake, left", "exhaust 2, above right · ...", "intake, left front, cylinder upright". What goes on
/// in another way is no place: "left slack before: ...".
fn sided(text: &str) -> Option<Sided> {
    ["intake", "exhaust"].iter().find_map(|kind| {
        let named = text.find(kind)?;
        let number = |letter: char| letter == ' ' || letter.is_ascii_digit();
        let after = text.get(named + kind.len()..)?.trim_start_matches(number);
        let rest = after.strip_prefix(", ")?;
        let end = rest.find([',', ';', '·', ':', '(']).unwrap_or(rest.len());
        let (place, behind) = (rest.get(..end)?.trim_end(), rest.get(end..)?);
        let upright = behind.strip_prefix(", ").is_some_and(|words| words.starts_with(OF_UPRIGHT));
        let of_place = |word: &str| side_in(word).is_some() || PLACES.contains(&word);
        let ends = upright
            || (behind.is_empty() || behind.starts_with('·')) && place.split(' ').all(of_place);
        let from = text.len() - rest.len();
        let found = Sided { named, told: from..from + place.len() };
        side_in(place).filter(|_| ends).map(|_| found)
    })
}
