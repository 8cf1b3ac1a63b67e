//! How long a typed text may be: what is kept is shown, printed, exported and read in again for ever. The
//! same holds for what is typed, said in a command line, and read from a table.

use unicode_segmentation::UnicodeSegmentation;

/// Most letters of a name, and bytes that they are kept in.
const NAME_MAX: (usize, usize) = (80, 512);
/// Most characters of a note.
pub const NOTE_MAX: usize = 2_000;
/// Most signs that one letter may be made of.
const PILE_MAX: usize = 8;

/// In what a text goes past its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Past {
    /// It has so many letters, and a name has fewer.
    Name(usize),
    /// It has so many characters, and a note has fewer.
    Note(usize),
    /// One of its letters carries too many marks.
    Marks,
}

impl Past {
    /// Says what the limit is.
    pub fn limit(self) -> String {
        match self {
            Past::Name(_) => format!("a name has at most {} letters", NAME_MAX.0),
            Past::Note(_) => format!("a note has at most {NOTE_MAX} characters"),
            Past::Marks => format!("a letter carries at most {} marks", PILE_MAX - 1),
        }
    }

    /// Says the same of a whole text, and what to do.
    pub fn words(self) -> String {
        let limit = self.limit();
        match self {
            Past::Name(has) => format!("{limit}, this one has {has}: shorten it"),
            Past::Note(has) => {
                format!("{limit}, this one has {has}: shorten it, or make two of it")
            }
            Past::Marks => {
                let most = PILE_MAX - 1;
                format!("a letter of it carries more than {most} marks: type it without them")
            }
        }
    }
}

/// Tells in what a text goes past the limits of a name; `None` where it does not.
pub fn past_a_name(text: &str) -> Option<Past> {
    let (letters, bytes) = NAME_MAX;
    if text.len() > letters {
        let has = text.graphemes(true).count();
        if has > letters || text.len() > bytes {
            return Some(Past::Name(has));
        }
    }
    past_a_note(text)
}

/// The same of a note.
pub fn past_a_note(text: &str) -> Option<Past> {
    // Most answers are a few letters.
    if text.len() <= PILE_MAX {
        return None;
    }
    let has = text.chars().count();
    if has > NOTE_MAX {
        return Some(Past::Note(has));
    }
    has_piles(text).then_some(Past::Marks)
}

/// Tells whether a letter of a text carries more marks than a letter has.
pub fn has_piles(text: &str) -> bool {
    let piled = |letter: &str| letter.chars().nth(PILE_MAX).is_some();
    !text.is_ascii() && text.graphemes(true).any(piled)
}

/// Says why a text is too long to be a name; `None` where it is not.
pub fn name_too_long(text: &str) -> Option<String> {
    past_a_name(text).map(Past::words)
}

/// The same of a note.
pub fn note_too_long(text: &str) -> Option<String> {
    past_a_note(text).map(Past::words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_ends_at_80_letters_a_note_at_2000_and_a_letter_at_8_signs() {
        for (text, as_note, as_name) in [
            ("ä".repeat(80), None, None),
            ("ä".repeat(81), None, Some(Past::Name(81))),
            ("漢".repeat(171), None, Some(Past::Name(171))),
            ("x".repeat(2_000), None, Some(Past::Name(2_000))),
            ("x".repeat(2_001), Some(Past::Note(2_001)), Some(Past::Name(2_001))),
            (format!("a{}", "\u{301}".repeat(7)), None, None),
            (format!("a{}", "\u{301}".repeat(8)), Some(Past::Marks), Some(Past::Marks)),
        ] {
            assert_eq!((past_a_note(&text), past_a_name(&text)), (as_note, as_name), "{text}");
        }
    }
}
