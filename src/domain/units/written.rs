//! Figures as people type them, written cleanly: a point, one blank, the unit's own sign.
//!
//! The digits stay as they were typed, because how many there are says how exact a figure is.

use super::decimal::Decimal;
use super::length::unit_word;
use super::temperature::unit_sign;
use super::torque::{plain, unit_named};
use super::two_parts;

/// Writes a length cleanly, `"0,35mm"` as `"0.35 mm"`; `None` where it is no length with a unit.
pub fn clean_length(text: &str) -> Option<String> {
    in_both(text, |part| {
        let (digits, unit) = number(part)?;
        Some(format!("{digits} {}", unit_word(unit.trim())?))
    })
}

/// Writes a torque cleanly, `"20Nm"` as `"20 N·m"`; `None` where it is no torque with a unit.
pub fn clean_torque(text: &str) -> Option<String> {
    in_both(&plain(text), |part| {
        let (first, rest) = number(part)?;
        let rest = rest.trim_start();
        let (figure, unit) = match rest.chars().next()? {
            sign @ ('±' | '-' | '–') => {
                let (second, unit) = number(rest.get(sign.len_utf8()..)?)?;
                let between = if sign == '±' { " ± " } else { "-" };
                (format!("{first}{between}{second}"), unit)
            }
            _ => (first, rest),
        };
        Some(format!("{figure} {}", unit_named(unit)?.word()))
    })
}

/// Writes a temperature cleanly, `"35C"` as `"35 °C"`; `None` where it is none with a unit.
pub fn clean_temperature(text: &str) -> Option<String> {
    let (digits, unit) = number(text)?;
    Some(format!("{digits} {}", unit_sign(unit.trim())?))
}

/// Writes each part of a figure in two units: `"A / B"`.
fn in_both(text: &str, clean: impl Fn(&str) -> Option<String>) -> Option<String> {
    let (first, second) = two_parts(text);
    let first = clean(first)?;
    second.map_or(Some(first.clone()), |second| Some(format!("{first} / {}", clean(second)?)))
}

/// Returns the digits of the number that a text begins with, and what follows it.
fn number(text: &str) -> Option<(String, &str)> {
    let text = text.trim();
    let (_, rest) = Decimal::read(text).ok()?;
    let typed = text.get(..text.len() - rest.len())?.replace(',', ".");
    let (sign, digits) = match typed.strip_prefix(['-', '−']) {
        Some(digits) => ("-", digits),
        None => ("", typed.strip_prefix('+').unwrap_or(&typed)),
    };
    let (whole, places) = digits.split_once('.').unwrap_or((digits, ""));
    let whole = Some(whole.trim_start_matches('0')).filter(|whole| !whole.is_empty());
    let point = if places.is_empty() { "" } else { "." };
    Some((format!("{sign}{}{point}{places}", whole.unwrap_or("0")), rest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units::{CLEARANCE, Length, Temperature, Torque};
    use proptest::prelude::*;

    #[test]
    fn figures_are_written_with_a_point_a_blank_and_the_sign_of_the_unit() {
        for (typed, clean) in [
            ("0,35 mm", "0.35 mm"),
            ("0.25mm", "0.25 mm"),
            (" .006\"", "0.006 in"),
            ("06  thou", "6 thou"),
            ("0.10 mm", "0.10 mm"),
            ("-0,030 in", "-0.030 in"),
            ("0.006in/0,15mm", "0.006 in / 0.15 mm"),
            ("0.15 mm (0.006 inch)", "0.15 mm / 0.006 in"),
        ] {
            assert_eq!(clean_length(typed).as_deref(), Some(clean), "{typed}");
        }
        for (typed, clean) in [
            ("20Nm", "20 N·m"),
            ("9+/-1 N m", "9 ± 1 N·m"),
            ("50 - 70 in-lb", "50-70 lbf·in"),
            ("20 N·m (177 in lb)", "20 N·m / 177 lbf·in"),
        ] {
            assert_eq!(clean_torque(typed).as_deref(), Some(clean), "{typed}");
        }
        assert_eq!(clean_temperature("35C").as_deref(), Some("35 °C"));
        assert_eq!(clean_temperature("95,5 deg F").as_deref(), Some("95.5 °F"));
        for typed in ["", "mm", "0.15", "0.15 cm", "6 mil", "0.15 mm / "] {
            assert_eq!(clean_length(typed), None, "{typed}");
        }
    }

    proptest! {
        #[test]
        fn what_is_written_cleanly_says_the_same_and_stays(
            text in "[-+]?[0-9]{0,3}[.,]?[0-9]{0,4} ?(mm|in|\"|thou|Nm|in-lb|C|deg F)?( ?[/(±-] ?[0-9.]{1,4} ?(mm|in|Nm)?\\)?)?"
        ) {
            if let Ok(length) = Length::parse_with_unit(&text, CLEARANCE) {
                let clean = clean_length(&text).unwrap();
                prop_assert_eq!(Length::parse_with_unit(&clean, CLEARANCE), Ok(length));
                prop_assert_eq!(clean_length(&clean), Some(clean));
            }
            if let Ok(torque) = Torque::parse(&text) {
                let clean = clean_torque(&text).unwrap();
                let again = Torque::parse(&clean).unwrap();
                prop_assert_eq!((again.nm, again.plus_minus), (torque.nm, torque.plus_minus));
                prop_assert_eq!(clean_torque(&clean), Some(clean));
            }
            if let Ok(temperature) = Temperature::parse(&text) {
                let clean = clean_temperature(&text).unwrap();
                prop_assert_eq!(Temperature::parse(&clean), Ok(temperature));
            }
        }
    }
}
