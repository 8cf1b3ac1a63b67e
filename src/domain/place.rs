//! Where a cylinder stands on the engine: its bank, and its place in it; and where its valves lie.

use super::profile::{Facts, Shape, Side};
use super::valve::{Cylinder, Valve};

/// A cylinder's place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place<'a> {
    /// The name of its bank, or of its row in a radial.
    pub bank: &'a str,
    /// The side of its bank, as seen from the rear.
    pub side: Option<Side>,
    /// Its place in the bank, from 0, counted from the listed end (radial: clockwise from the rear).
    pub index: usize,
    /// How the manual calls it, where that is not just its number.
    pub label: Option<&'a str>,
    /// Radial: degrees from the top, clockwise as seen from the rear.
    pub from_top: Option<f64>,
}

/// Returns the place of a cylinder; `None` where no bank lists it.
pub fn place_of(facts: &Facts, cylinder: Cylinder) -> Option<Place<'_>> {
    let bank = facts.bank_of(cylinder)?;
    let index = bank.cylinders.iter().position(|&c| c == cylinder)?;
    let from_top = || {
        let step = 360.0 / f64::from(u8::try_from(bank.cylinders.len()).ok()?);
        Some((bank.first_at + f64::from(u8::try_from(index).ok()?) * step).rem_euclid(360.0))
    };
    Some(Place {
        bank: &bank.name,
        side: bank.side,
        index,
        label: bank.labels.get(index).map(String::as_str),
        from_top: match facts.layout.shape {
            Shape::Radial => from_top(),
            Shape::Inline | Shape::Vee | Shape::Opposed => None,
        },
    })
}

/// In which direction from the middle of a cylinder something lies, in the picture of a radial as it is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Toward {
    /// At the top.
    Above,
    /// At the top right.
    AboveRight,
    /// At the right.
    Right,
    /// At the bottom right.
    BelowRight,
    /// At the bottom.
    Below,
    /// At the bottom left.
    BelowLeft,
    /// At the left.
    Left,
    /// At the top left.
    AboveLeft,
}

impl Toward {
    /// All directions, clockwise from the top.
    pub const ALL: [Toward; 8] = [
        Toward::Above,
        Toward::AboveRight,
        Toward::Right,
        Toward::BelowRight,
        Toward::Below,
        Toward::BelowLeft,
        Toward::Left,
        Toward::AboveLeft,
    ];

    /// Returns the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Toward::Above => "above",
            Toward::AboveRight => "above right",
            Toward::Right => "right",
            Toward::BelowRight => "below right",
            Toward::Below => "below",
            Toward::BelowLeft => "below left",
            Toward::Left => "left",
            Toward::AboveLeft => "above left",
        }
    }

    /// The same once all is turned clockwise by so many eighths of a turn.
    #[must_use]
    pub fn turned(self, eighths: usize) -> Toward {
        let mut from_here = Toward::ALL.into_iter().cycle().skip_while(|one| *one != self);
        from_here.nth(eighths % 8).unwrap_or(self)
    }
}

/// Tells at which side of its cylinder a valve stands by the words of the profile. On a radial that is the side of a
/// cylinder that stands upright, seen from the rear: a cylinder that is turned round the crank carries its valves with it.
pub fn side_of(facts: &Facts, valve: Valve) -> Option<Side> {
    let words = &facts.spec(valve.kind).position;
    side_in(words.get(usize::from(valve.number).checked_sub(1)?)?)
}

/// Finds the side that words of a profile tell first.
pub fn side_in(words: &str) -> Option<Side> {
    sides_in(words).next()
}

fn sides_in(words: &str) -> impl Iterator<Item = Side> + '_ {
    words.split(|letter: char| !letter.is_alphabetic()).filter_map(side_of_word)
}

impl Side {
    /// Returns the side that a bank's name tells, where it tells one and not the other too.
    pub fn named(name: &str) -> Option<Side> {
        let side = side_in(name)?;
        sides_in(name).all(|one| one == side).then_some(side)
    }
}

fn side_of_word(word: &str) -> Option<Side> {
    match word.to_ascii_lowercase().as_str() {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    }
}

/// Turns each side that words tell to the other one, as all is told by who looks from the other end.
pub fn sides_turned(words: &str) -> String {
    let pieces = words.split_inclusive(|letter: char| !letter.is_alphabetic());
    let turned = pieces.map(|piece| {
        let word = piece.trim_end_matches(|letter: char| !letter.is_alphabetic());
        let behind = piece.strip_prefix(word).unwrap_or_default();
        match (side_of_word(word), word.starts_with(char::is_uppercase)) {
            (None, _) => piece.to_owned(),
            (Some(Side::Left), false) => format!("right{behind}"),
            (Some(Side::Left), true) => format!("Right{behind}"),
            (Some(Side::Right), false) => format!("left{behind}"),
            (Some(Side::Right), true) => format!("Left{behind}"),
        }
    });
    turned.collect()
}

/// Returns by how many eighths of a turn a cylinder of a radial is turned, clockwise from the top as seen from the
/// rear; `None` on other engines.
pub fn turned_by(facts: &Facts, cylinder: Cylinder) -> Option<usize> {
    let degrees = place_of(facts, cylinder)?.from_top?;
    // Under 360 by construction; the cast saturates.
    Some((degrees / 45.0).round() as usize % 8)
}

/// Returns where a side of a cylinder that stands upright lies once the cylinder is turned by so many eighths, as seen
/// from the rear. Both sides are turned alike, so that they stay opposite each other.
pub fn toward(side: Side, eighths: usize) -> Toward {
    match side {
        Side::Left => Toward::Left.turned(eighths),
        Side::Right => Toward::Right.turned(eighths),
    }
}
