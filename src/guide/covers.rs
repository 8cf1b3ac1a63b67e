//! Which covers come off where only some cylinders are gauged.

use crate::domain::session::State;
use crate::domain::valve::Cylinder;

/// Names the cylinders of a bank whose covers come off, and those among them that are not gauged;
/// `None` where every cylinder is gauged.
pub(super) fn of_which(state: &State, bank: &str) -> Option<String> {
    if state.facts().firing_order.iter().all(|cylinder| state.services(*cylinder)) {
        return None;
    }
    let open = state.opened_in(bank);
    let watched: Vec<Cylinder> =
        open.iter().copied().filter(|cylinder| !state.services(*cylinder)).collect();
    let named = |cylinders: &[Cylinder]| {
        let word = if cylinders.len() == 1 { "cylinder" } else { "cylinders" };
        let all = cylinders.iter().map(Cylinder::to_string).collect::<Vec<_>>();
        format!("{word} {}", all.join(" "))
    };
    let also = if watched.is_empty() {
        String::new()
    } else {
        format!(" {} only to be watched.", super::form::capital(&named(&watched)))
    };
    Some(format!("Covers of {}.{also}", named(&open)))
}
