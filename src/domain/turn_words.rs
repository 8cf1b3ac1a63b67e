//! A turn of a screw in words: degrees to the nearest 5°, and as part of a turn, in the measure that
//! the eye has on what drives the screw.
//!
//! A hexagon has flats of 60°, a square of 90°; the slot of a blade is a hand on a clock's face, 6° a
//! minute. How far to turn is `advice`'s business.

use super::advice::Direction;
use super::profile::Screw;

/// What drives a screw, as far as it gives the eye a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// A hexagon, or nothing told: the flats of a nut beside it.
    Hex,
    /// A square.
    Square,
    /// A slot for a blade.
    Blade,
}

impl Drive {
    /// Tells the drive from the profile's words.
    pub fn of(screw: &Screw) -> Drive {
        let words = screw.screw_drive.as_deref().unwrap_or("").to_lowercase();
        let has = |any: &[&str]| any.iter().any(|word| words.contains(word));
        if has(&["blade", "slot", "screwdriver"]) {
            Drive::Blade
        } else if has(&["square"]) {
            Drive::Square
        } else {
            Drive::Hex
        }
    }
}

/// Says a turn for the screen, to the nearest 5°: "in about 20°, a third of a flat", "out about 25°,
/// about 4 marks of a clock's face".
pub fn turn_of_screw_words(direction: Direction, degrees: f64, drive: Drive) -> String {
    let fives = (degrees / 5.0).round();
    let word = direction.word();
    if !(1.0..=1e6).contains(&fives) {
        return if fives < 1.0 {
            format!("{word} by less than 5°, a touch")
        } else {
            format!("{word} by far more than a screw has")
        };
    }
    let fives = fives as u32;
    let turns = fives / 72;
    let mut parts = Vec::new();
    if turns > 0 {
        parts.push(format!("{turns} turn{}", if turns == 1 { "" } else { "s" }));
    }
    parts.extend(part_of_turn(fives % 72, drive));
    format!("{word} about {}°, {}", fives * 5, parts.join(" and "))
}

/// Says less than one turn, given in steps of 5°.
fn part_of_turn(fives: u32, drive: Drive) -> Vec<String> {
    let quarters = match fives {
        18 => "a quarter of a turn",
        36 => "half a turn",
        54 => "three quarters of a turn",
        _ => "",
    };
    match (quarters, drive) {
        ("", Drive::Hex) => flats_of_hexagon(fives),
        ("", Drive::Square) => flats_of_square(fives),
        ("", Drive::Blade) => minutes(fives),
        // One flat of a square is a quarter of a turn.
        (quarters, Drive::Hex | Drive::Square | Drive::Blade) => vec![quarters.to_owned()],
    }
}

/// A mark of a clock's face, one of sixty, is 6°, so a step of 5° lies within half of one of a whole one; where
/// it is not that one, it says so.
fn minutes(fives: u32) -> Vec<String> {
    let about = if (fives * 5).is_multiple_of(6) { "" } else { "about " };
    match (fives * 5 + 3) / 6 {
        0 => Vec::new(),
        1 => vec![format!("{about}1 mark of a clock's face")],
        marks => vec![format!("{about}{marks} marks of a clock's face")],
    }
}

fn flats_of_square(fives: u32) -> Vec<String> {
    let part = match fives % 18 {
        0 => "",
        1 | 2 => "a tenth of a flat",
        3 => "a sixth of a flat",
        4 | 5 => "a quarter of a flat",
        6 | 7 => "a third of a flat",
        8..=10 => "half a flat",
        11 | 12 => "two thirds of a flat",
        13 | 14 => "three quarters of a flat",
        15 => "five sixths of a flat",
        _ if fives < 18 => "nearly a flat",
        _ => "nearly another flat",
    };
    flats(fives / 18, part)
}

fn flats_of_hexagon(fives: u32) -> Vec<String> {
    let part = match fives % 12 {
        0 => "",
        1 => "a twelfth of a flat",
        2 => "a sixth of a flat",
        3 => "a quarter of a flat",
        4 => "a third of a flat",
        5 => "just under half a flat",
        6 => "half a flat",
        7 => "just over half a flat",
        8 => "two thirds of a flat",
        9 => "three quarters of a flat",
        10 => "five sixths of a flat",
        _ if fives < 12 => "nearly a flat",
        _ => "nearly another flat",
    };
    flats(fives / 12, part)
}

fn flats(whole: u32, part: &str) -> Vec<String> {
    let whole = (whole > 0).then(|| format!("{whole} flat{}", if whole == 1 { "" } else { "s" }));
    whole.into_iter().chain((!part.is_empty()).then(|| part.to_owned())).collect()
}
