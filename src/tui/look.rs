//! How the screens look, as chosen by the mechanic and remembered: theme, ink, and from where the
//! engine is seen.

use super::theme::ThemeName;
use super::widgets::digits::Ink;

/// From where the engine is seen: where the mechanic stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Seen {
    /// Behind the engine, looking forward: right and left are the engine's own.
    #[default]
    Rear,
    /// At the engine's left side.
    Left,
    /// In front of it, looking back.
    Front,
    /// At its right side.
    Right,
}

impl Seen {
    /// All places, in the order in which a key walks round the engine.
    pub const ALL: [Seen; 4] = [Seen::Rear, Seen::Left, Seen::Front, Seen::Right];

    /// Returns the word for it, as on screens and in the settings.
    pub fn word(self) -> &'static str {
        match self {
            Seen::Rear => "rear",
            Seen::Left => "left",
            Seen::Front => "front",
            Seen::Right => "right",
        }
    }

    /// Finds a place by its word.
    pub fn from_word(word: &str) -> Option<Seen> {
        Seen::ALL.into_iter().find(|seen| seen.word() == word)
    }

    /// Returns the next place on the way round.
    pub fn next(self) -> Seen {
        match self {
            Seen::Rear => Seen::Left,
            Seen::Left => Seen::Front,
            Seen::Front => Seen::Right,
            Seen::Right => Seen::Rear,
        }
    }
}

/// Everything of the looks that is remembered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// The theme.
    pub theme: ThemeName,
    /// What is drawn with; `Ink::Hash` writes nothing but ASCII.
    pub ink: Ink,
    /// From where the engine is seen.
    pub seen: Seen,
}
