//! A look at an engine outside the temperature that its limits are for.

use super::state::State;
use crate::domain::entry::Reading;
use crate::domain::units::Temperature;

/// The reason to gauge outside of the temperature after which nothing is set.
pub const ROUGH_LOOK: &str = "only a rough look, nothing will be set";

impl State {
    /// Returns the head's temperature where it is outside of what the limits are for and was gone on
    /// with all the same.
    pub fn gone_on_outside(&self) -> Option<Temperature> {
        let condition = self.condition.as_ref().filter(|one| one.against_limit.is_some())?;
        condition.head.filter(|head| self.facts().gauge_when.is_outside(*head))
    }

    /// Tells whether it was said that nothing will be set.
    pub fn is_rough_look(&self) -> bool {
        let why = self.condition.as_ref().and_then(|one| one.against_limit.as_deref());
        why == Some(ROUGH_LOOK)
    }

    /// What a valve was left for on a rough look excuses no reading made on an engine at its
    /// temperature. Before that reading its round stays done.
    pub(super) fn looked_closer(&mut self, reading: &Reading) {
        let look = self.left_as_is.get(&reading.valve).is_some_and(|(.., look)| *look);
        if look && reading.paper.is_none() && !self.is_rough_look() {
            self.left_as_is.remove(&reading.valve);
        }
    }
}
