//! A look at an engine outside the temperature that its limits are for.

use super::state::{State, Taken};
use crate::domain::entry::Reading;
use crate::domain::units::Temperature;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;

/// The reason to gauge outside of the temperature after which nothing is set.
pub const ROUGH_LOOK: &str = "only a rough look, nothing will be set";

/// The reason to gauge outside of the temperature by which the manual rules.
pub const MANUAL_ALLOWS: &str = "the manual allows it for this check";

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

    /// Tells whether no part and no turn of a screw follows from a reading: it was made on a rough
    /// look, or outside of the temperature that the engine is at now. Where the manual allowed it, it
    /// says what it says.
    pub fn is_only_a_look(&self, taken: &Taken) -> bool {
        match taken.warm.as_deref() {
            None | Some(MANUAL_ALLOWS) => false,
            Some(ROUGH_LOOK) => true,
            Some(_) => self.warm().is_none(),
        }
    }

    /// Tells whether a valve was out of its band on a look that nothing follows from, and can be
    /// gauged now: it is, before anything is chosen or set.
    pub fn wants_closer_look(&self, valve: Valve) -> bool {
        !self.is_rough_look()
            && self.current(valve).is_some_and(|taken| {
                self.is_only_a_look(taken)
                    && self.judge(taken, self.band(valve)) != Verdict::InLimits
            })
            && self.reason_to_leave(valve).is_none()
    }
}
