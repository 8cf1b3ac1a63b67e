//! Characters that may not stand in a profile, and the cutting of what is quoted in messages.

use unicode_segmentation::UnicodeSegmentation;

/// Most characters of a file, or of what was typed, that are repeated in a message.
const QUOTED_MAX: usize = 60;

/// Most characters of a path that are: so much of its beginning, the rest of its end.
const PATH_MAX: usize = 240;

/// Tells whether a character is a control, bidirectional, invisible or unassigned-for-ever one.
///
/// The blocks are those that Unicode calls default ignorable, with line separators, the blank
/// Braille pattern, private use and noncharacters.
pub(super) fn is_hidden(character: char) -> bool {
    let code = u32::from(character);
    character.is_control()
        || code & 0xfffe == 0xfffe
        || matches!(code,
            0x00ad | 0x034f | 0x061c | 0x115f | 0x1160 | 0x17b4 | 0x17b5 | 0x180b..=0x180f
            | 0x200b..=0x200f | 0x2028..=0x202e | 0x2060..=0x206f | 0x2800 | 0x3164
            | 0xe000..=0xf8ff | 0xfdd0..=0xfdef | 0xfe00..=0xfe0f | 0xfeff | 0xffa0
            | 0xfff0..=0xfffb | 0x1bca0..=0x1bca3 | 0x1d173..=0x1d17a | 0xe0000..=0xe0fff
            | 0xf0000..=0x10ffff)
}

/// Returns the first hidden character of a text, as `U+202E`.
pub(super) fn hidden_in(text: &str) -> Option<String> {
    text.chars().find(|character| is_hidden(*character)).map(code_point)
}

/// Most code points of one letter.
const PILE_MAX: usize = 8;

/// Returns the code points of the first letter that has more than are shown.
pub(super) fn piled_in(text: &str) -> Option<usize> {
    if text.is_ascii() {
        return None;
    }
    text.graphemes(true).map(|letter| letter.chars().count()).find(|&count| count > PILE_MAX)
}

/// Writes a character as its code point.
pub(super) fn code_point(character: char) -> String {
    format!("U+{:04X}", u32::from(character))
}

/// Returns the beginning of a text as it may be quoted in a message.
pub(super) fn quoted(text: &str) -> String {
    let shown = shown(text);
    match shown.char_indices().nth(QUOTED_MAX) {
        Some((end, _)) => format!("{}…", &shown[..end]),
        None => shown,
    }
}

/// Returns a path as it may be quoted in a message: of a very long one its beginning and its end.
pub(super) fn path(text: &str) -> String {
    let shown = shown(text);
    let length = shown.chars().count();
    if length <= PATH_MAX {
        return shown;
    }
    let end: String = shown.chars().skip(length + QUOTED_MAX - PATH_MAX).collect();
    let beginning: String = shown.chars().take(QUOTED_MAX).collect();
    format!("{beginning}…{end}")
}

/// Returns a text as it may be shown: hidden characters as code points.
pub(super) fn shown(text: &str) -> String {
    let mut shown = String::new();
    for character in text.chars() {
        if is_hidden(character) {
            shown.push_str(&format!("<{}>", code_point(character)));
        } else {
            shown.push(character);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_found_and_shown_as_code_points() {
        for (text, code) in [
            ("a\u{1b}[31m", "U+001B"),
            ("a\u{9b}", "U+009B"),
            ("a\u{202e}b", "U+202E"),
            ("\u{200b}", "U+200B"),
            ("\u{feff}", "U+FEFF"),
            ("\u{e0041}", "U+E0041"),
            ("\u{2028}", "U+2028"),
            ("\u{ffff}", "U+FFFF"),
        ] {
            assert_eq!(hidden_in(text).as_deref(), Some(code));
            assert!(!shown(text).chars().any(is_hidden));
        }
        for text in ["N·m ± µm °C ″", "Öl, Ölfilter", "排気", "a\u{301}"] {
            assert_eq!(hidden_in(text), None, "{text}");
        }
    }

    #[test]
    fn a_letter_of_more_than_eight_signs_is_found() {
        let letter = |marks: usize| format!("Flat a{} four", "\u{301}".repeat(marks));
        assert_eq!((piled_in(&letter(7)), piled_in(&letter(8))), (None, Some(9)));
        assert_eq!(piled_in("👩\u{200d}🔧"), None);
    }

    #[test]
    fn a_long_text_is_quoted_by_its_beginning() {
        assert_eq!(quoted(&"ä".repeat(61)), format!("{}…", "ä".repeat(60)));
        assert_eq!(quoted(&"ä".repeat(60)), "ä".repeat(60));
        // What is shown counts: a control character is eight.
        assert_eq!(quoted(&"\u{14}".repeat(9)), format!("{}<U+0…", "<U+0014>".repeat(7)));
    }

    #[test]
    fn a_very_long_path_is_quoted_by_its_beginning_and_its_end() {
        let long = format!("/there/{}/mine.json", "ä".repeat(220));
        assert_eq!(long.chars().count(), 237);
        assert_eq!(path(&long), long);
        let longer = format!("/there/{}/mine.json", "\u{1b}".repeat(500));
        let quoted = path(&longer);
        assert!(
            quoted.starts_with("/there/<U+001B>") && quoted.ends_with("/mine.json"),
            "{quoted}"
        );
        assert_eq!(quoted.chars().count(), 241);
    }
}
