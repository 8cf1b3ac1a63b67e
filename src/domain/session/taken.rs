//! Readings as they count, and where the crank stood for them.

use crate::domain::doubt::Doubt;
use crate::domain::entry::Reading;
use crate::domain::plan;
use crate::domain::profile::{Facts, Sign};
use crate::domain::valve::Cylinder;

/// A reading as it counts now.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The entry it comes from.
    pub seq: u64,
    /// The reading, with corrections applied.
    pub reading: Reading,
    /// What was seen where the crank stood; `None` where that is not known.
    pub stood: Option<Stood>,
    /// The angle of that, degrees, by the profile as used now; `None` where it has none.
    pub crank: Option<f64>,
    /// What was typed first, and why it was corrected.
    pub corrected: Option<(String, String)>,
    /// False where an amended profile does not show the valve shut there, or work came after.
    pub counts: bool,
    /// False where an amended profile does not show the valve shut there: no as-found either.
    pub shut: bool,
    /// For a try: the nut was locked and this was gauged after.
    pub locked: bool,
    /// Why it was gauged with the head outside the temperature limit; `None` inside it.
    pub warm: Option<String>,
    /// Seq of the word that the crank was brought where it stood then.
    pub arrived: u64,
    /// Why a correction left it not believed.
    pub raised: Option<Doubt>,
}

/// What was seen on the engine where the crank stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stood {
    /// The watched cylinder.
    pub watch: Cylinder,
    /// The sign seen on it.
    pub sign: Sign,
    /// Turned on after that, degrees.
    pub then_turn: u16,
}

impl Stood {
    /// Returns the crank angle by a profile, degrees.
    pub fn angle(&self, facts: &Facts) -> Option<f64> {
        plan::stood_at(facts, self.watch, self.sign, self.then_turn)
    }
}

impl Taken {
    /// Returns why it is not believed at once, by its entry or by a correction.
    pub fn doubt(&self) -> Option<Doubt> {
        self.raised.or_else(|| Doubt::of(self.reading.odd.as_deref()))
    }
}
