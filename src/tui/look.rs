//! How the screens look, as chosen by the mechanic and remembered: theme, ink, and from where the
//! engine is seen.

use super::theme::ThemeName;
use super::widgets::digits::Ink;
use crate::guide::Prompt;
use crate::guide::valve_place::{said_from_where, seen_from_front};

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

impl Seen {
    /// Returns the next place from which a radial is drawn: from its side its cylinders hide each other.
    pub(super) fn next_of_radial(self) -> Seen {
        match self {
            Seen::Rear | Seen::Left | Seen::Right => Seen::Front,
            Seen::Front => Seen::Rear,
        }
    }

    /// Tells of a cylinder of a radial, and of its valves, where they stand in the drawing: seen from the front all
    /// is mirrored. Where left and right are the engine's own they say so from every other place.
    pub(super) fn in_words(self, mut prompt: Prompt) -> Prompt {
        if self == Seen::Rear {
            return prompt;
        }
        let big = prompt.big.iter_mut().map(|big| &mut big.caption);
        let shorter = prompt.shorter.iter_mut().flat_map(|shorter| shorter.texts());
        let lines = prompt.lines.iter_mut().chain(&mut prompt.more).chain(&mut prompt.told);
        let lines = lines.chain(shorter);
        let answers = prompt.field.choices.iter_mut().map(|choice| &mut choice.label);
        let all = big.chain(lines).chain(answers).chain([&mut prompt.title]);
        all.for_each(|text| {
            if self == Seen::Front {
                seen_from_front(text);
            }
            *text = said_from_where(std::mem::take(text));
        });
        prompt
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
