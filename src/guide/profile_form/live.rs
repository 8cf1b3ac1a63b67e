//! A field while it is typed: what may still become right by typing on is not called wrong.
//!
//! "0." is no figure and yet the beginning of one; "1-2-2" is no beginning of any firing order.

use super::stand_ins::{MOST, cylinder, named};
use super::texts::{self, Kind};
use super::{Field, Form, are_cylinders, is_bank_name, words_of};
use crate::domain::units::Length;
use crate::domain::valve::Cylinder;

/// Most characters of a few words.
const WORDS_MAX: usize = 80;
/// What may follow the beginning of a length to make it whole.
const LENGTH_ENDS: [&str; 10] = ["0 mm", " mm", "m", "n", "hou", "ou", "u", "nch", "ch", "h"];
/// The words for the events of valve timing.
const EVENTS: [&str; 4] = ["BTDC", "ATDC", "BBDC", "ABDC"];

impl Form {
    /// Tells whether what stands in a field may become right by typing on.
    pub fn may_become(&self, field: &Field) -> bool {
        let text = self.text(&field.path).trim();
        match field.kind {
            Kind::Choice(_) | Kind::YesNo => {
                let begun = text.to_lowercase();
                words_of(field.kind).iter().any(|word| word.starts_with(&begun) && *word != begun)
            }
            // More digits only make it larger.
            Kind::Whole => text.chars().all(|letter| letter == '0'),
            Kind::Number => begins_number(text),
            Kind::Order => self.begins_order(field, text),
            Kind::Numbers | Kind::Threads => text.chars().all(|letter| {
                letter.is_ascii_digit() || matches!(letter, '-' | '.' | ',' | ';' | ' ')
            }),
            Kind::Length => begins_length(text),
            Kind::Lengths => {
                let parts = texts::split(text);
                let last = parts.len().saturating_sub(1);
                // A comma at the end has nothing behind it yet.
                let ended = text.ends_with(',');
                parts.iter().enumerate().all(|(at, part)| {
                    let whole = |part: &str| Length::parse(part, full()).is_ok();
                    whole(part) || (at == last && !ended && begins_length(part))
                })
            }
            Kind::Angle(_) => {
                let letters = text.find(|letter: char| letter.is_alphabetic());
                let (degrees, word) = text.split_at(letters.unwrap_or(text.len()));
                let word = word.to_uppercase();
                let begun = |known: &str| known.starts_with(&word) && known != word;
                begins_number(degrees.trim()) && EVENTS.iter().any(|known| begun(known))
            }
            Kind::Words if is_bank_name(&field.path) && are_cylinders(text) => false,
            Kind::Words => text.chars().count() <= WORDS_MAX,
            Kind::Caution | Kind::WordList | Kind::Labels | Kind::Hardware | Kind::Stop => true,
        }
    }

    /// Tells whether a list of cylinders may go on to name each once.
    fn begins_order(&self, field: &Field, text: &str) -> bool {
        let typed = self.document();
        let count = cylinder(typed.at("cylinders")).unwrap_or(MOST);
        if !text.chars().all(|letter| letter.is_ascii_digit() || matches!(letter, '-' | ',' | ' '))
        {
            return false;
        }
        let mut taken: Vec<Cylinder> = Vec::new();
        if field.path != "firing_order" {
            let others = self
                .all_fields()
                .into_iter()
                .filter(|other| other.path.ends_with("].cylinders") && other.path != field.path);
            taken = others.flat_map(|other| named(typed.at(&other.path))).collect();
        }
        let mut parts: Vec<&str> = text.split(['-', ',', ' ']).collect();
        let last = parts.pop().unwrap_or_default();
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            match part.parse::<Cylinder>() {
                Ok(cylinder) if (1..=count).contains(&cylinder) && !taken.contains(&cylinder) => {
                    taken.push(cylinder);
                }
                Ok(_) | Err(_) => return false,
            }
        }
        let mut left = (1..=count).filter(|known| !taken.contains(known));
        last.is_empty() || left.any(|known| known.to_string().starts_with(last))
    }
}

fn full() -> std::ops::RangeInclusive<Length> {
    Length::from_nm(i64::MIN / 2)..=Length::from_nm(i64::MAX / 2)
}

/// Digits with one point or comma at most.
fn begins_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let points = digits.chars().filter(|letter| matches!(letter, '.' | ',')).count();
    points <= 1
        && digits.chars().all(|letter| letter.is_ascii_digit() || matches!(letter, '.' | ','))
}

/// A figure whose unit is still to come, or half of it, or a second figure behind a stroke.
fn begins_length(text: &str) -> bool {
    let begins = |text: &str| {
        begins_number(text.trim())
            || LENGTH_ENDS.iter().any(|end| Length::parse(&format!("{text}{end}"), full()).is_ok())
    };
    match text.split_once('/') {
        None => begins(text) && Length::parse(text, full()).is_err(),
        Some((first, second)) => {
            Length::parse(first.trim(), full()).is_ok()
                && (second.trim().is_empty() || begins(second.trim()))
                && Length::parse(text, full()).is_err()
        }
    }
}
