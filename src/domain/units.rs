//! Lengths, torques and temperatures with their units; the one file that names uom.
//!
//! A length is a whole number of nanometres: 0.001 mm and 0.0001 in are both exact, so limits are
//! compared without rounding.

mod nano {
    //! Quantities whose base unit of length is the nanometre, in whole numbers.
    ISQ!(uom::si, i64, (nanometer, gram, second, ampere, kelvin, mole, candela));
}

use std::fmt;
use uom::si::length::{micrometer, millimeter, nanometer};

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
    pub const ZERO: Length =
        Length(nano::Length {
            dimension: std::marker::PhantomData,
            units: std::marker::PhantomData,
            value: 0,
        });

    /// Makes a length of whole nanometres.
    pub fn from_nm(nm: i64) -> Length {
        Length(nano::Length::new::<nanometer>(nm))
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
        self.0.get::<nanometer>()
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
