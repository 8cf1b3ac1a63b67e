//! How long a typed answer may be: what is kept is shown, printed, exported and read in again for ever.

use super::Field;
use unicode_segmentation::UnicodeSegmentation;

/// Most letters of a name, and bytes that they are kept in.
const NAME_MAX: (usize, usize) = (80, 512);
/// Most characters of a note; a table that is read in takes no more, either.
pub(super) const NOTE_MAX: usize = 2_000;
/// Most signs that one letter may be made of.
const PILE_MAX: usize = 8;

/// Says why a typed answer is too long to be kept; `None` where it is not.
pub(super) fn too_long(typed: &str, field: &Field) -> Option<String> {
    if field.names { name_too_long(typed) } else { note_too_long(typed) }
}

/// The same of what may be as long as a name.
pub fn name_too_long(typed: &str) -> Option<String> {
    let (letters, bytes) = NAME_MAX;
    if typed.len() > letters {
        let has = typed.graphemes(true).count();
        if has > letters || typed.len() > bytes {
            return Some(format!(
                "a name has at most {letters} letters, this one has {has}: shorten it"
            ));
        }
    }
    note_too_long(typed)
}

/// The same of what may be as long as a note.
pub fn note_too_long(typed: &str) -> Option<String> {
    // Most answers are a few letters.
    if typed.len() <= PILE_MAX {
        return None;
    }
    let has = typed.chars().count();
    if has > NOTE_MAX {
        return Some(format!(
            "a note has at most {NOTE_MAX} characters, this one has {has}: shorten it, or make two of it"
        ));
    }
    let piled = |letter: &str| letter.chars().nth(PILE_MAX).is_some();
    (!typed.is_ascii() && typed.graphemes(true).any(piled)).then(|| {
        format!("a letter of it carries more than {} marks: type it without them", PILE_MAX - 1)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Typed;

    #[test]
    fn a_name_ends_at_80_letters_a_note_at_2000_and_a_letter_at_8_signs() {
        let (note, name) = (Field::typed(Typed::Text), Field::typed(Typed::Text).a_name());
        let long = |text: &str, field| too_long(text, field).is_some();
        for (text, as_note, as_name) in [
            ("ä".repeat(80), false, false),
            ("ä".repeat(81), false, true),
            ("漢".repeat(171), false, true),
            ("x".repeat(2_000), false, true),
            ("x".repeat(2_001), true, true),
            (format!("a{}", "\u{301}".repeat(7)), false, false),
            (format!("a{}", "\u{301}".repeat(8)), true, true),
        ] {
            assert_eq!((long(&text, &note), long(&text, &name)), (as_note, as_name), "{text}");
        }
    }
}
