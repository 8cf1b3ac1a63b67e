//! Decimal numbers as people type them, kept exactly: digits and places, no floating point.
//!
//! Leaves units and ranges to its siblings.

/// More digits than any figure of the trade has; keeps every product inside an `i128`.
const DIGITS_MAX: usize = 24;

/// A decimal number: `digits` divided by ten to the power of `places`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    digits: i128,
    places: u32,
}

/// Why there is no number at the beginning of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberFault {
    /// It begins with something else.
    NoNumber,
    /// It has more digits than can be kept exactly.
    TooManyDigits,
}

impl Decimal {
    /// Reads a number from the beginning of `text`, with a point or a comma, and returns what follows it.
    ///
    /// # Errors
    /// [`NumberFault`] where no number stands there or it is too long.
    pub fn read(text: &str) -> Result<(Decimal, &str), NumberFault> {
        let (negative, body) = match text.strip_prefix(['-', '−']) {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let mut digits: i128 = 0;
        let mut count = 0;
        let mut places = 0;
        let mut after_point = false;
        let mut end = body.len();
        for (at, character) in body.char_indices() {
            if let Some(digit) = character.to_digit(10) {
                count += 1;
                if count > DIGITS_MAX {
                    return Err(NumberFault::TooManyDigits);
                }
                digits = digits * 10 + i128::from(digit);
                places += u32::from(after_point);
            } else if (character == '.' || character == ',') && !after_point {
                after_point = true;
            } else {
                end = at;
                break;
            }
        }
        if count == 0 {
            return Err(NumberFault::NoNumber);
        }
        let digits = if negative { -digits } else { digits };
        Ok((Decimal { digits, places }, &body[end..]))
    }

    /// Reads a text that is a number and nothing else.
    ///
    /// # Errors
    /// [`NumberFault`], also where something follows the number.
    pub fn parse(text: &str) -> Result<Decimal, NumberFault> {
        match Decimal::read(text.trim())? {
            (number, "") => Ok(number),
            _ => Err(NumberFault::NoNumber),
        }
    }

    /// Tells whether the number is below zero.
    pub fn is_negative(self) -> bool {
        self.digits < 0
    }

    /// Tells whether every digit is 0.
    pub fn is_nought(self) -> bool {
        self.digits == 0
    }

    /// Returns how many digits stand after the point.
    pub fn places(self) -> u32 {
        self.places
    }

    /// Tells whether the number was written with a point or a comma and digits after it.
    pub fn has_places(self) -> bool {
        self.places > 0
    }

    /// Returns the number times `per_unit`, rounded to a whole number, half to even.
    pub fn times(self, per_unit: i64) -> i128 {
        divide_half_even(self.digits * i128::from(per_unit), 10_i128.pow(self.places))
    }

    /// Returns half of the last written digit, times `per_unit`, rounded up.
    pub fn half_last_digit(self, per_unit: i64) -> i128 {
        let unit = 10_i128.pow(self.places) * 2;
        (i128::from(per_unit) + unit - 1) / unit
    }

    /// Returns the double nearest to the number times `per_unit` divided by ten to the power of `shift`.
    pub fn to_f64_times(self, per_unit: i64, shift: u32) -> f64 {
        let exact = format!("{}e-{}", self.digits * i128::from(per_unit), self.places + shift);
        // Rust reads decimals correctly rounded; the text above is always a number.
        exact.parse().unwrap_or(0.0)
    }

    /// Returns the double nearest to the number.
    pub fn to_f64(self) -> f64 {
        self.to_f64_times(1, 0)
    }
}

/// Divides and rounds to the nearest whole number, half to even; `divisor` is above zero.
pub(super) fn divide_half_even(dividend: i128, divisor: i128) -> i128 {
    let floor = dividend.div_euclid(divisor);
    let twice = 2 * dividend.rem_euclid(divisor);
    let up = twice > divisor || (twice == divisor && floor % 2 != 0);
    floor + i128::from(up)
}

/// Writes `value` divided by ten to the power of `places`, keeping at least `least` decimals and
/// dropping zeros after those.
pub(super) fn write_scaled(value: i128, places: usize, least: usize) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let digits = format!("{:0width$}", value.unsigned_abs(), width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let mut fraction = fraction.to_string();
    while fraction.len() > least && fraction.ends_with('0') {
        fraction.pop();
    }
    if fraction.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") }
}

/// Writes a number for people; a very large or very small one as a power of ten, not as hundreds of digits.
pub fn plain_number(value: f64) -> String {
    let size = value.abs();
    if size >= 1e15 || (size > 0.0 && size < 1e-6) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_without_hundreds_of_digits() {
        for (value, written) in [
            (6.0, "6"),
            (-0.5, "-0.5"),
            (0.0, "0"),
            (1e300, "1e300"),
            (-1e-300, "-1e-300"),
            (120.25, "120.25"),
        ] {
            assert_eq!(plain_number(value), written);
        }
    }

    #[test]
    fn a_number_is_read_with_point_or_comma_and_the_rest_is_left() {
        for (text, value, rest) in [
            ("0,15 mm", 0.15, " mm"),
            (".006in", 0.006, "in"),
            ("-1.5", -1.5, ""),
            ("+2 x", 2.0, " x"),
        ] {
            let (number, left) = Decimal::read(text).unwrap();
            assert_eq!((number.to_f64(), left), (value, rest), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in ["", "mm", ".", "-", "٣ mm"] {
            assert_eq!(Decimal::read(text).unwrap_err(), NumberFault::NoNumber, "{text}");
        }
        assert_eq!(Decimal::read(&"9".repeat(25)).unwrap_err(), NumberFault::TooManyDigits);
        assert_eq!(Decimal::parse("1 2").unwrap_err(), NumberFault::NoNumber);
    }

    #[test]
    fn halves_are_rounded_to_even() {
        for (dividend, rounded) in
            [(5, 0), (15, 2), (25, 2), (-5, 0), (-15, -2), (26, 3), (-26, -3)]
        {
            assert_eq!(divide_half_even(dividend, 10), rounded, "{dividend}");
        }
    }
}
