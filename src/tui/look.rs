//! How the screens look, as chosen by the mechanic and remembered: theme, ink, and from where the
//! engine is seen.

use super::theme::ThemeName;
use super::widgets::digits::Ink;
use crate::guide::Prompt;
use crate::guide::turning::SEEN_FROM_REAR;

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
        let lines = prompt.lines.iter_mut().chain(&mut prompt.more);
        let all = big.chain(lines).chain([&mut prompt.title]);
        all.for_each(|text| {
            if self == Seen::Front {
                mirrored(text);
            }
            let unsaid = !text.contains(SEEN);
            if unsaid && side_of_a_valve(text).is_some() {
                *text = format!("{text}, {SEEN_FROM_REAR}");
            }
        });
        prompt
    }
}

const SEEN: &str = "seen from the ";
const SEEN_FROM_FRONT: &str = "seen from the front";
/// How a guide tells the place of a radial's cylinder, behind its degrees.
const TOLD: &str = "° clockwise from the top, ";

fn mirrored(text: &mut String) {
    let rear = format!("{TOLD}{SEEN_FROM_REAR}");
    while let Some((before, after)) = text.split_once(&rear) {
        let told = before.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let degrees = before.strip_prefix(told).and_then(|degrees| degrees.parse::<u16>().ok());
        let seen = degrees.and_then(|degrees| 360_u16.checked_sub(degrees)).unwrap_or_default();
        *text = format!("{told}{seen}{TOLD}{SEEN_FROM_FRONT}{after}");
    }
    let Some((at, side)) = side_of_a_valve(text) else { return };
    let whole = text.strip_suffix(SEEN_FROM_REAR).map(|words| format!("{words}{SEEN_FROM_FRONT}"));
    let Some(mut words) = whole.or_else(|| text.contains(SEEN_FROM_FRONT).then(|| text.clone()))
    else {
        return;
    };
    let other = if side == "left" { "right" } else { "left" };
    words.replace_range(at..at + side.len(), other);
    *text = words;
}

/// Finds the side at which a guide tells that a valve stands, and where that begins: "intake, left",
/// "exhaust 2, upper right".
fn side_of_a_valve(text: &str) -> Option<(usize, &'static str)> {
    ["intake", "exhaust"].iter().find_map(|kind| {
        let (_, after) = text.split_once(kind)?;
        let number = |letter: char| letter == ' ' || letter.is_ascii_digit();
        let rest = after.trim_start_matches(number).strip_prefix(", ")?;
        let end = rest.find([',', ';', '·', ':', '(']).unwrap_or(rest.len());
        let place = rest.get(..end)?.trim_end();
        // "left slack" is no place.
        let last = place.rsplit(' ').next()?;
        let side = ["left", "right"].into_iter().find(|side| *side == last)?;
        Some((text.len() - rest.len() + place.len() - side.len(), side))
    })
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
