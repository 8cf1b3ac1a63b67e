//! Thicknesses as a mechanic types them: the unit of a bare number, units he may add, the etched
//! number of a leaf.
//!
//! What a reading means is `reading`'s business, a list of leaves is `leaves`'; figures that always
//! have their unit beside them are read by `units`.

use super::entry::ReadingUnit;
use super::units::{CLEARANCE, Decimal, Length, LengthUnit, NumberFault};

/// Why a thickness cannot be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThicknessFault {
    /// It does not begin with a plain decimal number.
    NotANumber,
    /// It has more digits than can be kept exactly.
    TooManyDigits,
    /// Thicker than 25 mm.
    TooThick,
}

/// Splits text into a number without a sign and the word that follows it, `""` where none does.
///
/// # Errors
/// `NotANumber` and `TooManyDigits`.
pub fn number_and_word(text: &str) -> Result<(Decimal, &str), ThicknessFault> {
    let text = text.trim();
    if !text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return Err(ThicknessFault::NotANumber);
    }
    match Decimal::read(text) {
        Ok((number, word)) => Ok((number, word.trim())),
        Err(NumberFault::NoNumber) => Err(ThicknessFault::NotANumber),
        Err(NumberFault::TooManyDigits) => Err(ThicknessFault::TooManyDigits),
    }
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

/// Returns the unit that a bare number is in (contract 4): in mm with a point or comma mm, without
/// one hundredths; in inches thousandths, but inches below 0.5.
pub fn bare_unit(number: Decimal, set: LengthUnit) -> ReadingUnit {
    let below_half = number.times(1_000_000) < 500_000;
    match set {
        LengthUnit::Mm if number.has_places() => ReadingUnit::Mm,
        LengthUnit::Mm => ReadingUnit::Hundredths,
        LengthUnit::Inch if number.has_places() && below_half => ReadingUnit::Inch,
        LengthUnit::Inch => ReadingUnit::Thou,
    }
}

/// Tells whether a number is nought, and not only very small.
pub fn is_nought(number: Decimal) -> bool {
    number.is_nought()
}

/// Returns the thickness that a number means in a unit, to the nearest nanometre.
///
/// # Errors
/// `TooThick` above 25 mm.
pub fn thickness(number: Decimal, unit: ReadingUnit) -> Result<Length, ThicknessFault> {
    let nm_each = match unit {
        ReadingUnit::Mm => 1_000_000,
        ReadingUnit::Hundredths => 10_000,
        ReadingUnit::Thou => 25_400,
        ReadingUnit::Inch => 25_400_000,
    };
    let length = i64::try_from(number.times(nm_each)).map(Length::from_nm);
    length.ok().filter(|length| CLEARANCE.contains(length)).ok_or(ThicknessFault::TooThick)
}

/// Shows the number that is etched on a leaf: thousandths (`6`, `1.5`) or mm (`0.15`).
pub fn label(leaf: Length, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Mm => leaf.digits(unit),
        LengthUnit::Inch => {
            let tenths = (leaf.nm() + 1270) / 2540;
            let (thou, tenth) = (tenths / 10, tenths % 10);
            if tenth == 0 { thou.to_string() } else { format!("{thou}.{tenth}") }
        }
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
