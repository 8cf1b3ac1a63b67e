//! How a valve stands, in a word, by a sign and in a role of the theme: no two share word or sign.

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
