//! Lengths as they are typed and printed: millimetres and inches, one written beside the other.
//!
//! No floating point decides anything here; [`Length::in_unit`] is for drawing and for JSON.

use super::decimal::{Decimal, NumberFault, divide_half_even, write_scaled};
use super::{Length, LengthUnit, Misread, slip_words, two_parts};
use std::ops::RangeInclusive;

/// Where a clearance may lie: 0 to 25 mm.
pub const CLEARANCE: RangeInclusive<Length> = Length::ZERO..=Length::MAX_CLEARANCE;

/// Units of length that may be written: the words, the size in nanometres, the system.
const UNITS: [(&[&str], i64, LengthUnit); 4] = [
    (&["mm"], 1_000_000, LengthUnit::Mm),
    (&["in", "inch", "inches", "\"", "″"], 25_400_000, LengthUnit::Inch),
    (&["thou"], 25_400, LengthUnit::Inch),
    // Both signs for micro are in use: U+00B5 and the Greek U+03BC.
    (&["µm", "μm"], 1_000, LengthUnit::Mm),
];

impl LengthUnit {
    /// Returns the unit's short name, `mm` or `in`.
    pub fn word(self) -> &'static str {
        match self {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => "in",
        }
    }

    /// Returns the nanometres in one of it.
    pub fn nm(self) -> f64 {
        match self {
            LengthUnit::Mm => 1e6,
            LengthUnit::Inch => 25.4e6,
        }
    }

    /// Returns the other system's unit.
    pub fn other(self) -> LengthUnit {
        match self {
            LengthUnit::Mm => LengthUnit::Inch,
            LengthUnit::Inch => LengthUnit::Mm,
        }
    }

    /// Nanometres in the last printed digit, decimals printed at most, and at least.
    fn print(self) -> (i128, usize, usize) {
        match self {
            LengthUnit::Mm => (1_000, 3, 2),
            LengthUnit::Inch => (2_540, 4, 3),
        }
    }
}

impl Length {
    /// Reads a length with its unit, `"0.006 in"`, or in two units, `"0.006 in / 0.15 mm"`: the
    /// first counts, the second must agree. Rounds to the nearest nanometre, half to even.
    ///
    /// # Errors
    /// Says what was found and what must stand there; also where the length lies outside `allowed`.
    pub fn parse(text: &str, allowed: RangeInclusive<Length>) -> Result<Length, Misread> {
        Length::parse_with_unit(text, allowed).map(|(length, _)| length)
    }

    /// Reads a length as [`Length::parse`] does, and returns the unit system that was written first.
    ///
    /// # Errors
    /// As [`Length::parse`].
    pub fn parse_with_unit(
        text: &str,
        allowed: RangeInclusive<Length>,
    ) -> Result<(Length, LengthUnit), Misread> {
        let (first, second) = two_parts(text);
        let written = Written::read(first).map_err(|must| Misread::new(text, must))?;
        if let Some(second) = second {
            let second = Written::read(second).map_err(|must| Misread::new(text, must))?;
            written.agrees_with(&second, text)?;
        }
        let length = written.length().ok().filter(|length| allowed.contains(length));
        let length = length.ok_or_else(|| {
            let (least, most) = (allowed.start(), allowed.end());
            let unit = written.system;
            Misread::new(text, format!("lie between {} and {}", least.text(unit), most.text(unit)))
        })?;
        Ok((length, written.system))
    }

    /// Reads a thread pitch, above 0 and not above 25 mm, and returns millimetres: the double
    /// nearest to the exact decimal, not rounded to nanometres.
    ///
    /// # Errors
    /// As [`Length::parse`].
    pub fn parse_pitch_mm(text: &str) -> Result<f64, Misread> {
        let length = Length::parse(text, CLEARANCE)?;
        if length == Length::ZERO {
            return Err(Misread::new(text, "be more than nothing"));
        }
        let written = Written::read(two_parts(text).0).map_err(|must| Misread::new(text, must))?;
        Ok(written.number.to_f64_times(written.nm, 6))
    }

    /// Prints the length in a unit, to 0.001 mm or 0.0001 in: `"0.15 mm"`, `"0.006 in"`.
    pub fn text(self, unit: LengthUnit) -> String {
        format!("{} {}", self.digits(unit), unit.word())
    }

    /// Prints the bare figure, as in [`Length::text`].
    pub fn digits(self, unit: LengthUnit) -> String {
        let (step, places, least) = unit.print();
        write_scaled(divide_half_even(i128::from(self.nm()), step), places, least)
    }

    /// Prints two lengths that differ, where the usual figures would be the same, with as many digits
    /// more as tell them apart; `None` where the usual ones do, or where they are equal.
    pub fn told_apart(self, other: Length, unit: LengthUnit) -> Option<(String, String)> {
        if self == other || self.digits(unit) != other.digits(unit) {
            return None;
        }
        let (step, places, _) = unit.print();
        let print = |length: Length, more: usize, factor: i128| {
            let scaled = divide_half_even(i128::from(length.nm()) * factor, step);
            write_scaled(scaled, places + more, places + more)
        };
        let mut both = None;
        let mut factor = 1;
        // A nanometre shows in the eighth place of an inch at the latest.
        for more in 1..=4 {
            factor *= 10;
            let (one, two) = (print(self, more, factor), print(other, more, factor));
            if one != two {
                both = Some((one, two));
                break;
            }
        }
        both
    }

    /// Prints the length in a unit and, in brackets, in the other one: `"0.006 in (0.152 mm)"`.
    pub fn both(self, unit: LengthUnit) -> String {
        format!("{} ({})", self.text(unit), self.text(unit.other()))
    }

    /// Returns the figure in a unit, for drawing and for JSON.
    pub fn in_unit(self, unit: LengthUnit) -> f64 {
        self.nm() as f64 / unit.nm()
    }
}

fn known(word: &str) -> Option<&'static (&'static [&'static str], i64, LengthUnit)> {
    UNITS.iter().find(|(words, ..)| words.contains(&word))
}

/// Returns the word that a unit of length goes by in a clean file.
pub(super) fn unit_word(word: &str) -> Option<&'static str> {
    known(word)?.0.first().copied()
}

/// A number and the unit that was written after it.
struct Written {
    number: Decimal,
    /// Nanometres in one unit.
    nm: i64,
    system: LengthUnit,
    /// As written, without blanks around it.
    text: String,
}

impl Written {
    fn read(text: &str) -> Result<Written, String> {
        const EXAMPLE: &str = "be a length with its unit, such as \"0.15 mm\" or \"0.006 in\"";
        let (number, unit) = Decimal::read(text).map_err(|fault| match fault {
            NumberFault::NoNumber => EXAMPLE.to_string(),
            NumberFault::TooManyDigits => "have at most 24 digits".to_string(),
        })?;
        let unit = unit.trim();
        if unit.is_empty() {
            return Err(EXAMPLE.to_string());
        }
        if unit == "mil" || unit == "mils" {
            // The word means a thousandth of an inch to some and a millimetre to others.
            return Err("name its unit plainly: \"thou\" or \"mm\", not \"mil\"".to_string());
        }
        let (_, nm, system) = known(unit)
            .ok_or("have one of the units \"mm\", \"µm\", \"in\", \"thou\"".to_string())?;
        Ok(Written { number, nm: *nm, system: *system, text: text.trim().to_string() })
    }

    fn nm(&self) -> i128 {
        self.number.times(self.nm)
    }

    fn length(&self) -> Result<Length, std::num::TryFromIntError> {
        i64::try_from(self.nm()).map(Length::from_nm)
    }

    /// Checks that a second figure says the same, within 3 % or half of its last digit.
    fn agrees_with(&self, second: &Written, text: &str) -> Result<(), Misread> {
        let apart = (self.nm() - second.nm()).abs();
        if apart * 100 <= self.nm().abs() * 3 || apart <= second.number.half_last_digit(second.nm) {
            return Ok(());
        }
        let ratio = second.nm() as f64 / self.nm() as f64;
        let slip = slip_words(ratio, &[25.4, 1000.0, 25_400.0]);
        let meant = self.length().map(|length| length.text(second.system));
        let meant = meant.unwrap_or_else(|_| "far more".to_string());
        let must = format!(
            "say the same in both units: {} is {meant}, not {}; {slip}",
            self.text, second.text
        );
        Err(Misread::new(text, must))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Result<(i64, LengthUnit), String> {
        Length::parse_with_unit(text, CLEARANCE)
            .map(|(length, unit)| (length.nm(), unit))
            .map_err(|misread| misread.must)
    }

    #[test]
    fn lengths_are_read_exactly_in_every_unit() {
        use LengthUnit::{Inch, Mm};
        for (text, nm, unit) in [
            ("0.006 in", 152_400, Inch),
            (".006\"", 152_400, Inch),
            ("6 thou", 152_400, Inch),
            ("6.5thou", 165_100, Inch),
            ("0.15 mm", 150_000, Mm),
            ("0,15 mm", 150_000, Mm),
            ("150 µm", 150_000, Mm),
            ("150 \u{3bc}m", 150_000, Mm),
            ("0\u{a0}mm", 0, Mm),
            // Half a nanometre goes to the even neighbour.
            ("0.0000005 mm", 0, Mm),
            ("0.0000015 mm", 2, Mm),
            ("0.006 in / 0.15 mm", 152_400, Inch),
            ("0.15 mm (0.006 in)", 150_000, Mm),
            ("0.20 mm / 0.008 in", 200_000, Mm),
        ] {
            assert_eq!(read(text), Ok((nm, unit)), "{text}");
        }
    }

    #[test]
    fn what_is_no_length_is_refused_with_what_must_stand_there() {
        let example = "be a length with its unit, such as \"0.15 mm\" or \"0.006 in\"";
        for (text, must) in [
            ("", example),
            ("0.15", example),
            ("mm", example),
            ("0.15 cm", "have one of the units \"mm\", \"µm\", \"in\", \"thou\""),
            ("1e-3 mm", "have one of the units \"mm\", \"µm\", \"in\", \"thou\""),
            ("6 mil", "name its unit plainly: \"thou\" or \"mm\", not \"mil\""),
            ("26 mm", "lie between 0.00 mm and 25.00 mm"),
            ("-0.1 mm", "lie between 0.00 mm and 25.00 mm"),
            ("0.999999999999999999999999 mm", "have at most 24 digits"),
            ("999999999999999999999999 in", "lie between 0.000 in and 0.9843 in"),
            ("0.15 mm / ", example),
        ] {
            assert_eq!(read(text), Err(must.to_string()), "{text}");
        }
    }

    #[test]
    fn published_slips_between_two_units_are_refused_and_named() {
        for (text, must) in [
            // TM 10-4320-307-24, p. 2-223, prints both of these: tenfold.
            (
                "0.011 in / 0.028 mm",
                "say the same in both units: 0.011 in is 0.279 mm, not 0.028 mm; it is ten times less, \
                 so the decimal point seems to have slipped",
            ),
            (
                "0.023 in (0.058 mm)",
                "say the same in both units: 0.023 in is 0.584 mm, not 0.058 mm; it is ten times less, \
                 so the decimal point seems to have slipped",
            ),
            // TM 9-4310-397-14: tenfold.
            (
                "0.006 in (0.015 mm)",
                "say the same in both units: 0.006 in is 0.152 mm, not 0.015 mm; it is ten times less, \
                 so the decimal point seems to have slipped",
            ),
            (
                "0.006 in / 0.006 mm",
                "say the same in both units: 0.006 in is 0.152 mm, not 0.006 mm; so one of the units seems to be wrong",
            ),
            (
                "0.010 in / 0.30 mm",
                "say the same in both units: 0.010 in is 0.254 mm, not 0.30 mm; so one of the figures is wrong",
            ),
        ] {
            assert_eq!(read(text), Err(must.to_string()), "{text}");
        }
    }

    #[test]
    fn two_units_may_differ_by_three_percent_or_half_of_the_last_digit() {
        // 0.100 mm: 3 % is 0.003 mm; the last digit of 0.1 mm is worth 0.05 mm.
        for (text, fits) in [
            ("100 µm / 103 µm", true),
            ("100 µm / 0.10301 mm", false),
            ("0.100 mm / 0.1 mm", true),
            ("0.006 in / 0.2 mm", true),
            ("0.006 in / 0.20 mm", false),
        ] {
            assert_eq!(read(text).is_ok(), fits, "{text}");
        }
    }

    #[test]
    fn lengths_are_printed_in_both_units() {
        for (nm, unit, printed) in [
            (152_400, LengthUnit::Inch, "0.006 in (0.152 mm)"),
            (150_000, LengthUnit::Mm, "0.15 mm (0.0059 in)"),
            (165_100, LengthUnit::Inch, "0.0065 in (0.165 mm)"),
            (-1_524_000, LengthUnit::Inch, "-0.060 in (-1.524 mm)"),
            (0, LengthUnit::Mm, "0.00 mm (0.000 in)"),
        ] {
            assert_eq!(Length::from_nm(nm).both(unit), printed);
        }
        assert_eq!(Length::from_nm(152_400).in_unit(LengthUnit::Inch), 0.006);
    }

    #[test]
    fn a_pitch_is_not_rounded_to_nanometres() {
        // 1/4-28 is 0.03571 in a turn: check-values 4.2.
        assert_eq!(Length::parse_pitch_mm("1.0 mm"), Ok(1.0));
        assert_eq!(Length::parse_pitch_mm("0.0357142857 in"), Ok(0.90714285678));
        assert_eq!(Length::parse_pitch_mm("0 mm").unwrap_err().must, "be more than nothing");
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back(um in 0_i64..=25_000, tenths in 0_i64..=9_842) {
            for (length, unit) in [
                (Length::from_um(um), LengthUnit::Mm),
                (Length::from_tenths_thou(tenths), LengthUnit::Inch),
            ] {
                prop_assert_eq!(Length::parse_with_unit(&length.text(unit), CLEARANCE), Ok((length, unit)));
                prop_assert_eq!(Length::parse(&length.both(unit), CLEARANCE), Ok(length));
            }
        }

        #[test]
        fn no_text_upsets_the_reader(text in "[-+0-9.,/() a-zµ\"°·±]{0,40}") {
            let _ = Length::parse(&text, CLEARANCE);
            let _ = Length::parse_pitch_mm(&text);
            let _ = crate::domain::units::Torque::parse(&text);
            let _ = crate::domain::units::Temperature::parse(&text);
            let _ = crate::domain::entry::Hours::parse(&text);
        }
    }
}
