//! Running hours as they are read off a counter: at most two decimals.

use super::Misread;
use super::decimal::{Decimal, write_scaled};
use crate::domain::entry::Hours;
use std::fmt;

/// More hours than any engine runs, in hundredths; catches a slip of the finger.
pub const MOST_HUNDREDTHS: i64 = 100_000_000;

impl Hours {
    /// Reads hours from a counter, `"412.6"` or `"412,6 h"`.
    ///
    /// # Errors
    /// Says what was found and what must stand there: more than two decimals, below 0, above 1,000,000.
    pub fn parse(text: &str) -> Result<Hours, Misread> {
        let text = text.trim();
        let digits = ["hours", "h"].iter().find_map(|word| text.strip_suffix(word)).unwrap_or(text);
        let number = Decimal::parse(digits)
            .map_err(|_| Misread::new(text, "be hours, such as \"412.6\""))?;
        if number.places() > 2 {
            return Err(Misread::new(text, "have at most two decimals"));
        }
        let hundredths = number.times(100);
        if !(0..=i128::from(MOST_HUNDREDTHS)).contains(&hundredths) {
            return Err(Misread::new(text, "lie between 0 and 1000000 hours"));
        }
        i64::try_from(hundredths).map(Hours).map_err(|_| Misread::new(text, "be hours"))
    }

    /// Takes worked-out hours down to the tenth that a counter shows: never later than worked out.
    pub fn down_to_tenth(hours: f64) -> Hours {
        // A cast holds on to the ends of its type; the product must, too.
        Hours(((hours * 10.0).floor() as i64).saturating_mul(10))
    }

    /// Adds hours; what no counter shows stays at the ends of the type.
    pub fn plus(self, more: Hours) -> Hours {
        Hours(self.0.saturating_add(more.0))
    }

    /// Takes hours off, as [`Hours::plus`].
    pub fn less(self, fewer: Hours) -> Hours {
        Hours(self.0.saturating_sub(fewer.0))
    }

    /// Returns hours as a number, for statistics and for JSON.
    pub fn hours(self) -> f64 {
        self.0 as f64 / 100.0
    }
}

/// `412.6`, without a unit.
impl fmt::Display for Hours {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&write_scaled(i128::from(self.0), 2, 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_read_and_printed_in_hundredths() {
        for (text, hundredths, printed) in [
            ("412.6", 41_260, "412.6"),
            ("412,65 h", 41_265, "412.65"),
            ("400", 40_000, "400.0"),
            ("0.05 hours", 5, "0.05"),
        ] {
            let hours = Hours::parse(text).unwrap();
            assert_eq!((hours.0, hours.to_string().as_str()), (hundredths, printed), "{text}");
        }
    }

    #[test]
    fn hours_that_no_counter_shows_are_refused() {
        for (text, message) in [
            ("", "\"\" must be hours, such as \"412.6\""),
            ("-3", "\"-3\" must lie between 0 and 1000000 hours"),
            ("1.234", "\"1.234\" must have at most two decimals"),
            ("9999999", "\"9999999\" must lie between 0 and 1000000 hours"),
        ] {
            assert_eq!(Hours::parse(text).unwrap_err().to_string(), message);
        }
    }
}
