//! Temperatures, in whole thousandths of a degree Celsius.

use super::decimal::{Decimal, divide_half_even, write_scaled};
use super::{Misread, Temperature};

/// The two units of temperature of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TemperatureUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

const CELSIUS: [&str; 6] = ["°C", "degC", "deg C", "C", "℃", "celsius"];
const FAHRENHEIT: [&str; 6] = ["°F", "degF", "deg F", "F", "℉", "fahrenheit"];

/// Colder or hotter than anything that is gauged: a slip of the finger.
const LEAST: Temperature = Temperature(-100_000);
const MOST: Temperature = Temperature(500_000);

fn unit_named(word: &str) -> Option<TemperatureUnit> {
    if CELSIUS.contains(&word) {
        return Some(TemperatureUnit::Celsius);
    }
    FAHRENHEIT.contains(&word).then_some(TemperatureUnit::Fahrenheit)
}

/// Returns the sign that a unit of temperature goes by in a clean file.
pub(super) fn unit_sign(word: &str) -> Option<&'static str> {
    Some(match unit_named(word)? {
        TemperatureUnit::Celsius => "°C",
        TemperatureUnit::Fahrenheit => "°F",
    })
}

impl Temperature {
    /// Reads a temperature with its unit, `"35 °C"` or `"95 °F"`, rounded to a thousandth of a degree Celsius.
    ///
    /// # Errors
    /// Says what was found and what must stand there; also outside -100 °C to 500 °C.
    pub fn parse(text: &str) -> Result<Temperature, Misread> {
        Temperature::read(text, None)
    }

    /// Reads a temperature; a bare number is in `unit`.
    ///
    /// # Errors
    /// As [`Temperature::parse`].
    pub fn parse_or(text: &str, unit: TemperatureUnit) -> Result<Temperature, Misread> {
        Temperature::read(text, Some(unit))
    }

    fn read(text: &str, bare: Option<TemperatureUnit>) -> Result<Temperature, Misread> {
        let must = "be a temperature with its unit, such as \"35 °C\" or \"95 °F\"";
        let misread = || Misread::new(text, must);
        let (number, unit) = Decimal::read(text.trim()).map_err(|_| misread())?;
        let unit = match unit.trim() {
            "" => bare.ok_or_else(misread)?,
            word => unit_named(word).ok_or_else(misread)?,
        };
        let thousandths = match unit {
            TemperatureUnit::Celsius => number.times(1000),
            // The ice point is 32 °F; a degree Fahrenheit is 5/9 of a degree Celsius (definition).
            TemperatureUnit::Fahrenheit => {
                divide_half_even((number.times(1_000_000) - 32_000_000) * 5, 9_000)
            }
        };
        let found = i32::try_from(thousandths).ok().map(Temperature);
        found
            .filter(|found| (LEAST..=MOST).contains(found))
            .ok_or_else(|| Misread::new(text, "lie between -100 °C and 500 °C"))
    }

    /// Prints the temperature in a unit, to a tenth of a degree: `"35 °C"`.
    pub fn text(self, unit: TemperatureUnit) -> String {
        let thousandths = i128::from(self.0);
        let (tenths, sign) = match unit {
            TemperatureUnit::Celsius => (divide_half_even(thousandths, 100), "°C"),
            TemperatureUnit::Fahrenheit => (divide_half_even(thousandths * 9 + 160_000, 500), "°F"),
        };
        format!("{} {sign}", write_scaled(tenths, 1, 0))
    }

    /// Prints the temperature in both units: `"35 °C (95 °F)"`.
    pub fn both(self) -> String {
        format!(
            "{} ({})",
            self.text(TemperatureUnit::Celsius),
            self.text(TemperatureUnit::Fahrenheit)
        )
    }

    /// Returns degrees Celsius.
    pub fn celsius(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_are_read_in_both_units_and_printed_in_both() {
        // "Under 35 °C / 95 °F": check-values [S33]. "140 °F (60 °C)": TM 9-6115-604-12, para 4-81.
        for (text, thousandths, both) in [
            ("35 °C", 35_000, "35 °C (95 °F)"),
            ("95 °F", 35_000, "35 °C (95 °F)"),
            ("140degF", 60_000, "60 °C (140 °F)"),
            ("-12,5 C", -12_500, "-12.5 °C (9.5 °F)"),
            ("0 F", -17_778, "-17.8 °C (0 °F)"),
        ] {
            let found = Temperature::parse(text).unwrap();
            assert_eq!((found.0, found.both().as_str()), (thousandths, both), "{text}");
        }
        assert_eq!(Temperature::parse_or("95", TemperatureUnit::Fahrenheit).unwrap().0, 35_000);
    }

    #[test]
    fn a_temperature_without_unit_or_out_of_reason_is_refused() {
        for (text, message) in [
            ("35", "\"35\" must be a temperature with its unit, such as \"35 °C\" or \"95 °F\""),
            (
                "35 K",
                "\"35 K\" must be a temperature with its unit, such as \"35 °C\" or \"95 °F\"",
            ),
            ("-300 °C", "\"-300 °C\" must lie between -100 °C and 500 °C"),
            (
                "1e9 C",
                "\"1e9 C\" must be a temperature with its unit, such as \"35 °C\" or \"95 °F\"",
            ),
        ] {
            assert_eq!(Temperature::parse(text).unwrap_err().to_string(), message);
        }
    }
}
