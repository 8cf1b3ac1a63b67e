//! Where a cylinder stands on the engine: its bank, and its place in it.

use super::profile::{Facts, Shape, Side};
use super::valve::Cylinder;

/// A cylinder's place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place<'a> {
    /// The name of its bank, or of its row in a radial.
    pub bank: &'a str,
    /// The side of its bank, as seen from the rear.
    pub side: Option<Side>,
    /// Its place in the bank, from 0, counted from the listed end (radial: clockwise from the rear).
    pub index: usize,
    /// How the manual calls it, where that is not just its number.
    pub label: Option<&'a str>,
    /// Radial: degrees from the top, clockwise as seen from the rear.
    pub from_top: Option<f64>,
}

/// Returns the place of a cylinder; `None` where no bank lists it.
pub fn place_of(facts: &Facts, cylinder: Cylinder) -> Option<Place<'_>> {
    let bank = facts.bank_of(cylinder)?;
    let index = bank.cylinders.iter().position(|&c| c == cylinder)?;
    let from_top = || {
        let step = 360.0 / f64::from(u8::try_from(bank.cylinders.len()).ok()?);
        Some((bank.first_at + f64::from(u8::try_from(index).ok()?) * step).rem_euclid(360.0))
    };
    Some(Place {
        bank: &bank.name,
        side: bank.side,
        index,
        label: bank.labels.get(index).map(String::as_str),
        from_top: match facts.layout.shape {
            Shape::Radial => from_top(),
            Shape::Inline | Shape::Vee | Shape::Opposed => None,
        },
    })
}
