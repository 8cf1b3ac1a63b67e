//! How the valves of a cylinder lie, in the order of its letters: side by side from the left, with a stroke between
//! what lies one above the other; in a box, which has a row for each, from the top.

use super::engine::{Axis, CylinderView, Detail, EngineView, Lie};
use crate::domain::valve::{Standing, Valve};
use crate::tui::theme::Role;

/// Stands between a valve and the one that lies right below it.
pub(super) const OVER: &str = "/";

impl CylinderView {
    /// Its valves in the order of the letters, or of the rows of a box.
    pub(super) fn listed(&self, detail: Detail) -> Vec<(Valve, Standing)> {
        let mut valves = self.valves.clone();
        if detail == Detail::Boxes && self.lie == Lie::Rising {
            valves.reverse();
        }
        valves
    }

    /// Tells whether the next valve lies right below this one.
    pub(super) fn lies_right_above(&self, valve: Valve) -> bool {
        matches!(&self.lie, Lie::Stacked(above) if above.contains(&valve))
    }

    /// Tells whether there is such a valve.
    pub(super) fn is_stacked(&self) -> bool {
        self.valves.iter().any(|(valve, _)| self.lies_right_above(*valve))
    }

    /// Tells whether the kinds lie one above the other.
    pub(super) fn kinds_are_stacked(&self) -> bool {
        self.valves.windows(2).any(|pair| match pair {
            [(one, _), (next, _)] => one.kind != next.kind && self.lies_right_above(*one),
            _ => false,
        })
    }

    /// Columns before the shortest letters: the stroke takes the place of the blank.
    pub(super) fn marks_indent(&self) -> u16 {
        u16::from(!self.kinds_are_stacked())
    }
}

/// Tells whether a blank stands behind a piece of a cylinder's text.
pub(super) fn has_gap(pieces: &[(String, Role)], place: usize) -> bool {
    let is_over = |at: usize| pieces.get(at).is_none_or(|(text, _)| text == OVER);
    !is_over(place) && !is_over(place + 1)
}

impl EngineView {
    /// Says what the order of rows tells where a cylinder has a row for each valve.
    pub(super) fn in_rows_words(&self) -> Option<String> {
        let told = |one: &CylinderView| one.valves.len() > 1;
        let of_a_bank = self
            .banks
            .iter()
            .any(|bank| bank.order.axis == Some(Axis::Across) && bank.cylinders.iter().any(told));
        of_a_bank.then(|| format!("{}; the higher valve first, else the left", self.seen))
    }
}
