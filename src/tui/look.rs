//! How the screens look, as chosen by the mechanic and remembered: theme, ink, and from where the
//! engine is seen.

use super::theme::ThemeName;
use super::widgets::digits::Ink;
use crate::guide::Prompt;

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

    /// Tells of a cylinder of a radial where it stands in the drawing: seen from the front all is mirrored.
    pub(super) fn in_words(self, mut prompt: Prompt) -> Prompt {
        if self != Seen::Front {
            return prompt;
        }
        let big = prompt.big.iter_mut().map(|big| &mut big.caption);
        let lines = prompt.lines.iter_mut().chain(&mut prompt.more);
        big.chain(lines).chain([&mut prompt.title]).for_each(mirrored);
        prompt
    }
}

/// How a guide tells the place of a radial's cylinder, behind its degrees.
const FROM_REAR: &str = "° clockwise from the top, seen from the rear";
const FROM_FRONT: &str = "° clockwise from the top, seen from the front";

fn mirrored(text: &mut String) {
    while let Some((before, after)) = text.split_once(FROM_REAR) {
        let told = before.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let degrees = before.strip_prefix(told).and_then(|degrees| degrees.parse::<u16>().ok());
        let seen = degrees.and_then(|degrees| 360_u16.checked_sub(degrees)).unwrap_or_default();
        *text = format!("{told}{seen}{FROM_FRONT}{after}");
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
