//! Numbers as a mechanic types them, the units he may add, and lengths as they are shown to him.
//!
//! A number is a whole count of digits and a place for the point, so a thickness becomes whole
//! nanometres without passing through a fraction that is only nearly right. What a reading means
//! is `reading`'s business, a list of leaves is `leaves`'; lengths in profiles are read by `units`.

use super::entry::ReadingUnit;
use super::units::{Length, LengthUnit};

/// Most digits that a number may have, leading noughts not counted.
const DIGITS_MAX: usize = 12;
/// Thickest clearance there is (contract 1): 25 mm, in nanometres.
const THICKEST_NM: i64 = 25_000_000;
const NM_PER_INCH: i64 = 25_400_000;
const NM_PER_MM: i64 = 1_000_000;

/// A decimal number without a sign, exactly as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number {
    digits: i64,
    decimals: u32,
    point: bool,
}

/// Why a number cannot be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberFault {
    /// It is no plain decimal number.
    NotANumber,
    /// More than 12 digits, or finer than a nanometre in its unit.
    TooFine,
    /// Thicker than 25 mm in its unit.
    TooThick,
}

impl Number {
    /// Reads digits with at most one point or comma, which must have a digit after it.
    ///
    /// # Errors
    /// `NotANumber` for anything else, `TooFine` for more than 12 digits.
    pub fn parse(text: &str) -> Result<Number, NumberFault> {
        let (whole, part, point) = match text.split_once(['.', ',']) {
            Some((whole, part)) => (whole, part, true),
            None => (text, "", false),
        };
        let plain = |digits: &str| digits.bytes().all(|byte| byte.is_ascii_digit());
        if !plain(whole) || !plain(part) || (part.is_empty() && (point || whole.is_empty())) {
            return Err(NumberFault::NotANumber);
        }
        let whole = whole.trim_start_matches('0');
        if whole.len() + part.len() > DIGITS_MAX {
            return Err(NumberFault::TooFine);
        }
        let digits = whole.bytes().chain(part.bytes());
        let digits = digits.fold(0, |sum, digit| sum * 10 + i64::from(digit - b'0'));
        let decimals = u32::try_from(part.len()).map_err(|_| NumberFault::TooFine)?;
        Ok(Number { digits, decimals, point })
    }

    /// Tells whether it is nought.
    pub fn is_zero(self) -> bool {
        self.digits == 0
    }

    /// Returns the unit that a bare number is in (contract 4): in mm with a point or comma mm,
    /// without one hundredths; in inches thousandths, but inches below 0.5.
    pub fn bare_unit(self, set: LengthUnit) -> ReadingUnit {
        match set {
            LengthUnit::Mm if self.point => ReadingUnit::Mm,
            LengthUnit::Mm => ReadingUnit::Hundredths,
            LengthUnit::Inch if self.point && self.digits * 2 < 10_i64.pow(self.decimals) => {
                ReadingUnit::Inch
            }
            LengthUnit::Inch => ReadingUnit::Thou,
        }
    }

    /// Returns the length that it means in a unit, exactly.
    ///
    /// # Errors
    /// `TooFine` where that is no whole number of nanometres, `TooThick` above 25 mm.
    pub fn length(self, unit: ReadingUnit) -> Result<Length, NumberFault> {
        let nm_each = match unit {
            ReadingUnit::Mm => NM_PER_MM,
            ReadingUnit::Hundredths => NM_PER_MM / 100,
            ReadingUnit::Thou => NM_PER_INCH / 1000,
            ReadingUnit::Inch => NM_PER_INCH,
        };
        let scaled = i128::from(self.digits) * i128::from(nm_each);
        let parts = 10_i128.pow(self.decimals);
        if scaled > i128::from(THICKEST_NM) * parts {
            return Err(NumberFault::TooThick);
        }
        if scaled % parts != 0 {
            return Err(NumberFault::TooFine);
        }
        let nm = i64::try_from(scaled / parts).map_err(|_| NumberFault::TooThick)?;
        Ok(Length::from_nm(nm))
    }
}

/// Splits what follows the number off, both trimmed: `"6 thou"` is `("6", "thou")`.
pub fn split_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let (number, unit) = text.split_at(end.unwrap_or(text.len()));
    (number, unit.trim())
}

/// Returns the unit that a word of the trade names.
pub fn unit_word(word: &str) -> Option<ReadingUnit> {
    let is = |names: &[&str]| names.iter().any(|name| word.eq_ignore_ascii_case(name));
    if is(&["mm"]) {
        Some(ReadingUnit::Mm)
    } else if is(&["thou", "mil", "mils"]) {
        Some(ReadingUnit::Thou)
    } else if is(&["in", "in.", "inch", "inches", "\"", "″"]) {
        Some(ReadingUnit::Inch)
    } else {
        None
    }
}

/// Cuts a piece of what was typed to a length that fits into a message, control characters shown.
pub fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(20).flat_map(char::escape_debug).collect();
    if text.chars().nth(20).is_some() {
        shown.push('…');
    }
    shown
}

/// Shows a length without its unit: `0.006` (inches, 3 or 4 places), `0.15` (mm, 2 or 3 places).
pub fn digits(length: Length, unit: LengthUnit) -> String {
    let (nm_each, places) = match unit {
        LengthUnit::Mm => (NM_PER_MM, 3),
        LengthUnit::Inch => (NM_PER_INCH, 4),
    };
    decimal(length, nm_each, places, places - 1)
}

/// Shows a length with its unit: `0.006 in`, `0.15 mm`.
pub fn shown(length: Length, unit: LengthUnit) -> String {
    let name = match unit {
        LengthUnit::Mm => "mm",
        LengthUnit::Inch => "in",
    };
    format!("{} {name}", digits(length, unit))
}

/// Returns the unit that is not this one.
pub fn other(unit: LengthUnit) -> LengthUnit {
    match unit {
        LengthUnit::Mm => LengthUnit::Inch,
        LengthUnit::Inch => LengthUnit::Mm,
    }
}

/// Shows a length in one unit and in brackets in the other: `0.006 in (0.152 mm)`.
pub fn shown_both(length: Length, first: LengthUnit) -> String {
    format!("{} ({})", shown(length, first), shown(length, other(first)))
}

/// Shows the number that is etched on a leaf: thousandths (`6`, `1.5`) or mm (`0.15`).
pub fn label(leaf: Length, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => digits(leaf, unit),
        LengthUnit::Inch => decimal(leaf, NM_PER_INCH / 1000, 1, 0),
    }
}

/// Rounds half away from nought to `places`, then drops closing noughts down to `least` places.
fn decimal(length: Length, nm_each: i64, places: u32, least: u32) -> String {
    let scale = 10_i64.pow(places);
    let scaled = i128::from(length.nm().unsigned_abs()) * i128::from(scale);
    let rounded = (scaled * 2 + i128::from(nm_each)) / (i128::from(nm_each) * 2);
    let sign = if length.nm() < 0 && rounded > 0 { "-" } else { "" };
    let (whole, part) = (rounded / i128::from(scale), rounded % i128::from(scale));
    let mut part = format!("{part:0width$}", width = places as usize);
    while part.len() > least as usize && part.ends_with('0') {
        part.pop();
    }
    if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
}
