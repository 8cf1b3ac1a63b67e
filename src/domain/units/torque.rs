//! Torques as manuals write them: one figure, a tolerance or a range, in one unit or in two.

use super::decimal::Decimal;
use super::{LengthUnit, Misread, Torque, TorqueUnit, slip_words, two_parts};

/// Above this a cover screw or a lock nut is not meant.
const MOST_NM: f64 = 1000.0;

/// Below this it would be printed as nothing.
const LEAST_NM: f64 = 0.01;

/// Units of torque that may be written, stripped of blanks and of the sign between the two words.
const UNITS: [(&[&str], TorqueUnit); 3] = [
    (&["Nm"], TorqueUnit::NewtonMetre),
    (&["lbfin", "inlbf", "inlb", "lbin", "inlbs", "lbsin"], TorqueUnit::PoundForceInch),
    (&["lbfft", "ftlbf", "ftlb", "lbft", "ftlbs", "lbsft"], TorqueUnit::PoundForceFoot),
];

impl Torque {
    /// Reads a torque: `"20 N·m"`, `"9 ± 1 N·m"`, `"50-70 in-lb"`, or in two units,
    /// `"20 N·m / 177 lbf·in"`: the first counts, the second must agree.
    ///
    /// # Errors
    /// Says what was found and what must stand there.
    pub fn parse(text: &str) -> Result<Torque, Misread> {
        let plain = plain(text);
        let (first, second) = two_parts(&plain);
        let written = Written::read(first).map_err(|must| Misread::new(text, must))?;
        if let Some(second) = second {
            let second = Written::read(second).map_err(|must| Misread::new(text, must))?;
            written.agrees_with(&second, text)?;
        }
        let (nm, plus_minus) = (written.middle, written.plus_minus);
        if !(nm >= LEAST_NM && plus_minus < nm && nm + plus_minus <= MOST_NM) {
            return Err(Misread::new(text, "lie between 0.01 and 1000 N·m"));
        }
        Ok(Torque { nm, plus_minus, typed: text.trim().to_string() })
    }

    /// Prints the torque for a profile in this unit of length, and in brackets in the other system:
    /// `"20 N·m (177 lbf·in)"`, `"175 lbf·in (19.8 N·m)"`. Three figures, or four from 100 on.
    pub fn both(&self, unit: LengthUnit) -> String {
        let inch = self.inch_unit();
        let (first, second) = match unit {
            LengthUnit::Mm => (TorqueUnit::NewtonMetre, inch),
            LengthUnit::Inch => (inch, TorqueUnit::NewtonMetre),
        };
        format!("{} ({})", self.text(first), self.text(second))
    }

    /// The inch unit that the torque was written in, or the one that suits its size.
    fn inch_unit(&self) -> TorqueUnit {
        let plain = plain(&self.typed);
        let (first, second) = two_parts(&plain);
        let written =
            [Some(first), second].into_iter().flatten().filter_map(|part| Written::read(part).ok());
        let inch = written.map(|part| part.unit).find(|unit| *unit != TorqueUnit::NewtonMetre);
        inch.unwrap_or(if self.nm < INCH_POUNDS_BELOW_NM {
            TorqueUnit::PoundForceInch
        } else {
            TorqueUnit::PoundForceFoot
        })
    }

    /// The unit that the torque was written in; of two the first.
    pub fn typed_unit(&self) -> TorqueUnit {
        let plain = plain(&self.typed);
        let first = Written::read(two_parts(&plain).0);
        first.map_or(TorqueUnit::NewtonMetre, |written| written.unit)
    }

    /// Returns a part of the torque, its tolerance with it.
    pub fn part(&self, of: f64) -> Torque {
        Torque { nm: self.nm / of, plus_minus: self.plus_minus / of, typed: String::new() }
    }

    /// Prints the torque in a unit.
    pub fn text(&self, unit: TorqueUnit) -> String {
        let (middle, tolerance) = (unit.from_nm(self.nm), unit.from_nm(self.plus_minus));
        let word = unit.word();
        if self.plus_minus > 0.0 {
            format!("{} ± {} {word}", figure(middle), tolerance_figure(tolerance, middle))
        } else {
            format!("{} {word}", figure(middle))
        }
    }
}

/// Small torques are told in inch pounds, larger ones in foot pounds (common practice, no source).
const INCH_POUNDS_BELOW_NM: f64 = 34.0;

/// Writes a tolerance with one sign: "+/-" would be taken for the stroke between two units.
pub(super) fn plain(text: &str) -> String {
    text.replace("+/-", "±").replace("+-", "±")
}

/// Returns the unit of torque that is written so.
pub(super) fn unit_named(text: &str) -> Option<TorqueUnit> {
    let bare: String =
        text.chars().filter(|sign| !sign.is_whitespace() && !"·⋅*.-".contains(*sign)).collect();
    UNITS.iter().find(|(words, _)| words.contains(&bare.as_str())).map(|(_, unit)| *unit)
}

/// Three figures, or four from 100 on.
fn figure(value: f64) -> String {
    figure_to(value, decimals(value))
}

/// A tolerance as it was written; one that was converted is no finer than what it belongs to.
fn tolerance_figure(value: f64, middle: f64) -> String {
    let places = decimals(middle);
    let own = figure(value);
    let is_exact = own.parse::<f64>().is_ok_and(|told| (told - value).abs() < 1e-6 * value);
    let coarse = figure_to(value, places);
    if is_exact || coarse == "0" { own } else { coarse }
}

fn decimals(value: f64) -> usize {
    if value >= 100.0 {
        0
    } else if value >= 10.0 {
        1
    } else {
        2
    }
}

fn figure_to(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

/// One of the two ways in which a torque may be written beside the other.
struct Written {
    /// N·m.
    middle: f64,
    /// N·m.
    plus_minus: f64,
    /// Half of the last written digit, N·m.
    half_digit: f64,
    unit: TorqueUnit,
    text: String,
}

impl Written {
    fn read(text: &str) -> Result<Written, String> {
        let must = || "be a torque with its unit, such as \"20 N·m\" or \"175 lbf·in\"".to_string();
        let text = text.trim();
        let (first, rest) = Decimal::read(text).map_err(|_| must())?;
        let (second, unit) = match rest.trim_start().chars().next() {
            Some(sign @ ('±' | '-' | '–')) => {
                let (number, unit) =
                    Decimal::read(rest.trim_start()[sign.len_utf8()..].trim_start())
                        .map_err(|_| must())?;
                (Some((sign, number)), unit)
            }
            Some(_) | None => (None, rest),
        };
        let unit = unit_named(unit)
            .ok_or("have one of the units \"N·m\", \"lbf·in\", \"lbf·ft\"".to_string())?;
        let places =
            second.map_or(first.places(), |(_, number)| first.places().min(number.places()));
        let half_digit = unit.to_nm(0.5 / 10_f64.powi(i32::try_from(places).unwrap_or(0)));
        let low = unit.to_nm(first.to_f64());
        let (middle, plus_minus) = match second {
            None => (low, 0.0),
            Some(('±', number)) => (low, unit.to_nm(number.to_f64())),
            Some((_, number)) => {
                let high = unit.to_nm(number.to_f64());
                ((low + high) / 2.0, (high - low) / 2.0)
            }
        };
        if plus_minus < 0.0 {
            return Err("run from the smaller to the larger figure".to_string());
        }
        Ok(Written { middle, plus_minus, half_digit, unit, text: text.to_string() })
    }

    /// Checks that a second figure says the same, within 3 % or half of its last digit.
    fn agrees_with(&self, second: &Written, text: &str) -> Result<(), Misread> {
        let same = |first: f64, other: f64| {
            let apart = (first - other).abs();
            apart <= first * 0.03 || apart <= second.half_digit
        };
        if same(self.middle, second.middle) && same(self.plus_minus, second.plus_minus) {
            return Ok(());
        }
        let ratio = second.middle / self.middle;
        // Inch pounds for foot pounds, and either of them for newton metres.
        let slip = slip_words(ratio, &[12.0, 8.8507, 1.3558]);
        let meant = Torque { nm: self.middle, plus_minus: self.plus_minus, typed: String::new() };
        let must = format!(
            "say the same in both units: {} is {}, not {}; {slip}",
            self.text,
            meant.text(second.unit),
            second.text
        );
        Err(Misread::new(text, must))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torques_are_converted_by_the_exact_factors() {
        // NIST SP 811: 1 lbf·in = 0.1129848290276167 N·m, 1 lbf·ft = 1.3558179483314004 N·m.
        assert_eq!(Torque::parse("1 lbf·in").unwrap().nm, 0.112_984_829_027_616_7);
        assert_eq!(Torque::parse("1 lbf·ft").unwrap().nm, 1.355_817_948_331_400_4);
        let near =
            |found: f64, published: f64| assert!((found - published).abs() < 0.005, "{found}");
        // AC 43.13-1B, table 7-1: 1/4-28, 50 to 70 in-lb; in N·m 5.65 to 7.91 (derived).
        let bolt = Torque::parse("50-70 in-lb").unwrap();
        near(bolt.nm - bolt.plus_minus, 5.649);
        near(bolt.nm + bolt.plus_minus, 7.909);
        // TM 9-2815-200-35: 175 lb-in is 19.8 N·m.
        near(Torque::parse("175 lb-in / 19.8 N·m").unwrap().nm, 19.772);
    }

    #[test]
    fn every_spelling_of_a_unit_is_read() {
        for text in ["20 N·m", "20 N m", "20Nm", "20 N.m", "20 N*m", "20 N⋅m"] {
            assert_eq!(Torque::parse(text).unwrap().nm, 20.0, "{text}");
        }
        let inch = Torque::parse("10 lbf·in").unwrap().nm;
        for text in ["10 in·lb", "10 in-lb", "10 lb-in", "10 in-lbf", "10 lbf in", "10 in lbs"] {
            assert_eq!(Torque::parse(text).unwrap().nm, inch, "{text}");
        }
        let foot = Torque::parse("10 lbf·ft").unwrap().nm;
        for text in ["10 ft·lb", "10 lb-ft", "10 ft-lbf"] {
            assert_eq!(Torque::parse(text).unwrap().nm, foot, "{text}");
        }
        for text in ["9 ± 1 N·m", "9 +/- 1 N·m", "9±1Nm", "8-10 N·m", "8 – 10 N·m"] {
            let torque = Torque::parse(text).unwrap();
            assert_eq!((torque.nm, torque.plus_minus), (9.0, 1.0), "{text}");
        }
    }

    #[test]
    fn torques_are_printed_in_both_units() {
        for (text, unit, printed) in [
            ("20 N·m", LengthUnit::Mm, "20 N·m (177 lbf·in)"),
            ("175 lbf·in", LengthUnit::Inch, "175 lbf·in (19.8 N·m)"),
            ("9 ± 1 N·m", LengthUnit::Mm, "9 ± 1 N·m (79.7 ± 8.9 lbf·in)"),
            ("90 ± 10 lbf·in", LengthUnit::Inch, "90 ± 10 lbf·in (10.2 ± 1.1 N·m)"),
            ("100 ± 2.5 N·m", LengthUnit::Mm, "100 ± 2.5 N·m (73.8 ± 1.8 lbf·ft)"),
            ("20 ± 0.01 N·m", LengthUnit::Mm, "20 ± 0.01 N·m (177 ± 0.09 lbf·in)"),
            ("45 lbf·ft", LengthUnit::Inch, "45 lbf·ft (61 N·m)"),
            ("60 N·m", LengthUnit::Mm, "60 N·m (44.3 lbf·ft)"),
            // Kept in the unit that it was written in.
            ("20 N·m / 14.8 lbf·ft", LengthUnit::Mm, "20 N·m (14.8 lbf·ft)"),
        ] {
            assert_eq!(Torque::parse(text).unwrap().both(unit), printed);
        }
    }

    #[test]
    fn what_is_no_torque_is_refused_with_what_must_stand_there() {
        let example = "be a torque with its unit, such as \"20 N·m\" or \"175 lbf·in\"";
        let units = "have one of the units \"N·m\", \"lbf·in\", \"lbf·ft\"";
        for (text, must) in [
            ("tight", example),
            ("20", units),
            ("20 nm", units),
            ("20 kgf·m", units),
            ("9 ± N·m", example),
            ("10-8 N·m", "run from the smaller to the larger figure"),
            ("0 N·m", "lie between 0.01 and 1000 N·m"),
            (".006 in-lb", "lie between 0.01 and 1000 N·m"),
            ("5 ± 6 N·m", "lie between 0.01 and 1000 N·m"),
            // TM 5-3805-258-24-1 prints this pair; 22 lb ft is 29.8 N·m (derived).
            (
                "28 ± 4 N·m (22 ± 3 lb ft)",
                "say the same in both units: 28 ± 4 N·m is 20.7 ± 3 lbf·ft, not 22 ± 3 lb ft; \
                 so one of the figures is wrong",
            ),
            (
                "20 N·m / 17.7 lbf·in",
                "say the same in both units: 20 N·m is 177 lbf·in, not 17.7 lbf·in; it is ten times less, \
                 so the decimal point seems to have slipped",
            ),
            (
                "20 N·m / 177 lbf·ft",
                "say the same in both units: 20 N·m is 14.8 lbf·ft, not 177 lbf·ft; \
                 so one of the units seems to be wrong",
            ),
        ] {
            assert_eq!(Torque::parse(text).unwrap_err().must, must, "{text}");
        }
        // TM pages print 22 ± 5 lb-ft as 30 ± 7 N·m: within 3 % or half a digit.
        assert!(Torque::parse("30 ± 7 N·m (22 ± 5 lb-ft)").is_ok());
    }
}
