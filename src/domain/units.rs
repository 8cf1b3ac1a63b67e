//! Lengths, torques and temperatures with their units; the one file that names uom.
//!
//! A length is a whole number of nanometres: 0.001 mm and 0.0001 in are both exact, so limits are
//! compared without rounding.

mod nano {
    //! Quantities whose base unit of length is the nanometre, in whole numbers.
    ISQ!(uom::si, i64, (nanometer, gram, second, ampere, kelvin, mole, candela));
}

mod decimal;
mod hours;
mod length;
mod temperature;
mod torque;
mod written;

pub use decimal::{Decimal, NumberFault, plain_number};
pub use hours::MOST_HUNDREDTHS;
pub use length::CLEARANCE;
pub use temperature::TemperatureUnit;
pub use written::{clean_length, clean_temperature, clean_torque};

use std::fmt;
use std::marker::PhantomData;
use uom::si::length::{micrometer, millimeter};

/// A length in whole nanometres.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(nano::Length);

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} nm", self.nm())
    }
}

/// The two units of length of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetres.
    Mm,
    /// Inches.
    Inch,
}

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length::from_nm(0);

    /// The largest clearance that a profile may name: 25 mm.
    pub const MAX_CLEARANCE: Length = Length::from_nm(25_000_000);

    /// The shortest push rod that a profile may name, as a difference from standard: -25 mm.
    pub const SHORTEST_ROD: Length = Length::from_nm(-25_000_000);

    /// Makes a length of whole nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        // Written out because uom's own constructor is not const.
        Length(nano::Length { dimension: PhantomData, units: PhantomData, value: nm })
    }

    /// Makes a length of whole micrometres.
    pub fn from_um(um: i64) -> Length {
        Length(nano::Length::new::<micrometer>(um))
    }

    /// Makes a length of whole millimetres.
    pub fn from_mm(mm: i64) -> Length {
        Length(nano::Length::new::<millimeter>(mm))
    }

    /// Makes a length of ten-thousandths of an inch (2540 nm each, exact).
    pub fn from_tenths_thou(tenths: i64) -> Length {
        Length::from_nm(tenths * 2540)
    }

    /// Returns whole nanometres.
    pub fn nm(self) -> i64 {
        // The base unit is the nanometre; uom's own `get` goes through fractions.
        self.0.value
    }
}

impl std::ops::Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl std::ops::Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

/// A torque, possibly with a tolerance, in newton metres, and the words it was written in.
#[derive(Clone, Debug, PartialEq)]
pub struct Torque {
    /// Middle of the range, N·m.
    pub nm: f64,
    /// Tolerance on each side, N·m (0 where none is given).
    pub plus_minus: f64,
    /// As written in the profile.
    pub typed: String,
}

/// A temperature in whole thousandths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Temperature(
    /// Thousandths of a degree Celsius.
    pub i32,
);

/// The units of torque of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TorqueUnit {
    /// Newton metres.
    NewtonMetre,
    /// Pound-force inches, 0.1129848290276167 N·m each (NIST SP 811).
    PoundForceInch,
    /// Pound-force feet, 1.3558179483314004 N·m each (NIST SP 811).
    PoundForceFoot,
}

impl TorqueUnit {
    /// All of them.
    pub const ALL: [TorqueUnit; 3] =
        [TorqueUnit::NewtonMetre, TorqueUnit::PoundForceInch, TorqueUnit::PoundForceFoot];

    /// Returns the unit's sign.
    pub fn word(self) -> &'static str {
        match self {
            TorqueUnit::NewtonMetre => "N·m",
            TorqueUnit::PoundForceInch => "lbf·in",
            TorqueUnit::PoundForceFoot => "lbf·ft",
        }
    }

    /// Newton metres in one unit: exact factors (NIST SP 811); uom's are cut to seven figures.
    fn factor(self) -> f64 {
        match self {
            TorqueUnit::NewtonMetre => 1.0,
            TorqueUnit::PoundForceInch => 0.112_984_829_027_616_7,
            TorqueUnit::PoundForceFoot => 1.355_817_948_331_400_4,
        }
    }

    /// Returns newton metres.
    pub fn to_nm(self, value: f64) -> f64 {
        value * self.factor()
    }

    /// Returns newton metres in this unit.
    pub fn from_nm(self, nm: f64) -> f64 {
        nm / self.factor()
    }
}

/// A figure that cannot be taken: what was found, and what must stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misread {
    /// As typed.
    pub found: String,
    /// What it must do, after "must".
    pub must: String,
}

impl Misread {
    fn new(found: &str, must: impl Into<String>) -> Misread {
        Misread { found: found.to_string(), must: must.into() }
    }
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{}\" must {}", self.found, self.must)
    }
}

impl std::error::Error for Misread {}

/// Takes a figure apart that is written in two units: `A / B` or `A (B)`.
fn two_parts(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    if let Some((first, second)) = text.split_once('/') {
        return (first.trim(), Some(second.trim()));
    }
    match text.strip_suffix(')').and_then(|inner| inner.split_once('(')) {
        Some((first, second)) => (first.trim(), Some(second.trim())),
        None => (text, None),
    }
}

/// Says which slip makes a second figure `ratio` times the first; `units` are the ratios of units
/// that are taken for each other.
fn slip_words(ratio: f64, units: &[f64]) -> String {
    let times = if ratio < 1.0 { 1.0 / ratio } else { ratio };
    // 6 %: the agreement asked for, and as much again for a rounded second figure.
    let near = |factor: &f64| (times / factor - 1.0).abs() < 0.06;
    if near(&10.0) || near(&100.0) {
        let way = if ratio < 1.0 { "less" } else { "more" };
        let factor = if near(&10.0) { "ten times" } else { "a hundred times" };
        return format!("it is {factor} {way}, so the decimal point seems to have slipped");
    }
    if units.iter().any(near) {
        return "so one of the units seems to be wrong".to_string();
    }
    "so one of the figures is wrong".to_string()
}
