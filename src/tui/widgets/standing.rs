//! How a valve stands, in a word, by a sign and in a role of the theme: no two share word or sign.

use super::engine::{CylinderView, EngineView, Part};
use super::engine_lie::OVER;
use crate::domain::valve::Standing;
use crate::tui::theme::Role;

/// Returns the word for a standing.
pub fn word(standing: Standing) -> &'static str {
    match standing {
        Standing::OutOfScope => "left out",
        Standing::NotYet => "not yet",
        Standing::DueNow => "DUE NOW",
        Standing::Tight => "TIGHT",
        Standing::Loose => "LOOSE",
        Standing::Undecided => "undecided",
        Standing::InLimits => "in limits",
        Standing::Setting => "BEING SET",
        Standing::PartOut => "PART OUT",
        Standing::Set => "set",
        Standing::Rechecked => "rechecked",
        Standing::Skipped => "skipped",
    }
}

/// Returns the sign for a standing; no two share one.
pub fn sign(standing: Standing) -> &'static str {
    match standing {
        Standing::OutOfScope => "-",
        Standing::NotYet => ".",
        Standing::DueNow => "?",
        Standing::Tight => "T",
        Standing::Loose => "L",
        Standing::Undecided => "U",
        Standing::InLimits => "=",
        Standing::Setting => "%",
        // An empty place.
        Standing::PartOut => "o",
        Standing::Set => "s",
        Standing::Rechecked => "+",
        Standing::Skipped => "x",
    }
}

/// Returns what a standing is painted as.
pub(super) fn role(standing: Standing) -> Role {
    match standing {
        Standing::DueNow => Role::Due,
        Standing::Tight | Standing::Loose | Standing::Setting | Standing::PartOut => Role::Warning,
        Standing::InLimits | Standing::Set | Standing::Rechecked => Role::Good,
        Standing::OutOfScope | Standing::NotYet | Standing::Undecided | Standing::Skipped => {
            Role::Text
        }
    }
}

impl EngineView {
    /// Lists the standings that occur, in the order of the enum.
    pub(super) fn standings(&self) -> Vec<Standing> {
        const ORDER: [Standing; 12] = [
            Standing::DueNow,
            Standing::Setting,
            Standing::PartOut,
            Standing::Tight,
            Standing::Loose,
            Standing::Undecided,
            Standing::NotYet,
            Standing::InLimits,
            Standing::Set,
            Standing::Rechecked,
            Standing::Skipped,
            Standing::OutOfScope,
        ];
        let occurs = |wanted: &Standing| self.valves().any(|(_, standing)| standing == *wanted);
        ORDER.into_iter().filter(occurs).collect()
    }

    /// Returns the words for the signs that occur.
    pub fn legend(&self) -> Vec<String> {
        let mut legend: Vec<String> = self
            .standings()
            .iter()
            .map(|&standing| format!("{} {}", sign(standing), word(standing)))
            .collect();
        let parts: Vec<Part> = self
            .banks
            .iter()
            .flat_map(|bank| &bank.cylinders)
            .map(|cylinder| cylinder.part)
            .collect();
        if parts.iter().any(|part| matches!(part, Part::Watched | Part::Both)) {
            legend.push("( ) watch".into());
        }
        if parts.iter().any(|part| matches!(part, Part::Gauged | Part::Both)) {
            legend.push("[ ] gauge".into());
        }
        let mut cylinders = self.banks.iter().flat_map(|bank| &bank.cylinders);
        if cylinders.any(CylinderView::is_stacked) {
            legend.push(format!("{OVER} above"));
        }
        legend
    }
}
