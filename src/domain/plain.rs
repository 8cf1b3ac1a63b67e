//! Makes text from a file or a keyboard safe to show: nothing in it can steer a terminal, hide, or
//! turn the line around.
//!
//! Everything that is printed or drawn and did not begin as the program's own words goes through
//! [`plain`] at the edge. What is kept on disk is the text as it was typed.

use unicode_segmentation::UnicodeSegmentation;

/// Stands where a character was that may not be shown.
pub const MARK: char = '\u{fffd}';

/// Most code points that one visible character may be made of; the rest of a pile is left out.
const CLUSTER_MAX: usize = 8;

/// Returns one line of text with every unsafe character replaced by [`MARK`], line ends and tabs too.
///
/// Text of several lines is split by the caller first.
pub fn plain(text: &str) -> String {
    if is_simple(text) {
        return text.to_owned();
    }
    let mut marked: String = text.chars().map(|c| if is_unsafe(c) { MARK } else { c }).collect();
    if text.chars().next().is_some_and(is_accent) {
        // It would sit on the program's own character before it.
        marked.insert(0, MARK);
    }
    let mut out = String::with_capacity(marked.len());
    for (start, cluster) in marked.grapheme_indices(true) {
        let after = marked[start + cluster.len()..].chars().next();
        let parts: Vec<char> = cluster.chars().take(CLUSTER_MAX).collect();
        let whole = cluster.chars().nth(CLUSTER_MAX).is_none();
        let joins = parts.first().is_some_and(|c| can_be_joined(*c));
        for (place, &part) in parts.iter().enumerate() {
            let next = parts.get(place + 1).copied().or(if whole { after } else { None });
            let fits = joins && next.is_some_and(can_be_joined);
            out.push(if is_joiner(part) && !fits { MARK } else { part });
        }
    }
    out
}

/// Tells whether a text is letters, digits, signs and blanks of ASCII alone, as most are: all of them
/// may be shown, each takes one column, and none joins another.
pub fn is_printable_ascii(text: &str) -> bool {
    text.bytes().all(|byte| (b' '..=b'~').contains(&byte))
}

/// Tells whether a text has nothing but signs that may be shown, take one column each and never join
/// another: those of ASCII and Latin-1, and those that boxes and blocks are drawn with.
pub fn is_simple(text: &str) -> bool {
    let simple = |letter| matches!(letter, ' '..='~' | '\u{a1}'..='\u{ac}' | '\u{ae}'..='\u{ff}' | '\u{2500}'..='\u{259f}');
    text.chars().all(simple)
}

/// Most characters of foreign text that a message repeats.
const QUOTED_MAX: usize = 60;

/// Returns the beginning of a text, safe to show, as a message repeats it.
pub fn quoted(text: &str) -> String {
    beginning(text, QUOTED_MAX)
}

/// Returns the first `most` characters of a text, safe to show, with `…` where more followed.
pub fn beginning(text: &str, most: usize) -> String {
    // A visible character has eight code points at most: what lies further on need not be looked at.
    let end = text.char_indices().nth((most + 1) * CLUSTER_MAX).map_or(text.len(), |(end, _)| end);
    let mut shown = plain(text.get(..end).unwrap_or(text));
    let cut = shown.grapheme_indices(true).nth(most).map(|(cut, _)| cut);
    if let Some(cut) = cut.or((end < text.len()).then_some(shown.len())) {
        shown.truncate(cut);
        shown.push('…');
    }
    shown
}

/// Writes what may not be shown as `\uXXXX`, as the texts of a JSON document may have it; line ends
/// stay, because a document never has one inside a text.
pub fn spelled(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    let clusters = json.graphemes(true).flat_map(|cluster| cluster.chars().enumerate());
    for (place, c) in clusters {
        let piled = place >= CLUSTER_MAX && !c.is_ascii();
        if c != '\n' && (is_unsafe(c) || is_joiner(c) || piled) {
            c.encode_utf16(&mut [0; 2])
                .iter()
                .for_each(|unit| out.push_str(&format!("\\u{unit:04x}")));
        } else {
            out.push(c);
        }
    }
    out
}

/// Tells whether a character may never reach a terminal, wherever it stands.
pub fn is_unsafe(c: char) -> bool {
    let control = c.is_control();
    let turns_or_breaks_the_line =
        matches!(c, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}');
    // 2060..206F holds the bidi isolates and the rest of the invisible format characters.
    let invisible = matches!(c,
        '\u{00ad}' | '\u{034f}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
        | '\u{180b}'..='\u{180f}' | '\u{200b}' | '\u{2060}'..='\u{206f}' | '\u{2800}'
        | '\u{3164}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}'
        | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}');
    let means_nothing = matches!(c,
        '\u{e000}'..='\u{f8ff}' | '\u{fdd0}'..='\u{fdef}' | '\u{f0000}'..='\u{10ffff}')
        || u32::from(c) & 0xfffe == 0xfffe;
    control || turns_or_breaks_the_line || invisible || means_nothing
}

/// Tells whether a character is a zero-width joiner or non-joiner: harmless between letters or
/// pictographs, invisible anywhere else.
pub fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200c}' | '\u{200d}')
}

/// Tells whether a character sits on the one before it.
fn is_accent(c: char) -> bool {
    !c.is_ascii() && !is_joiner(c) && !is_unsafe(c) && format!("a{c}").graphemes(true).count() == 1
}

fn can_be_joined(c: char) -> bool {
    let pictograph = matches!(c,
        '\u{203c}' | '\u{2049}' | '\u{2122}' | '\u{2139}' | '\u{2190}'..='\u{21ff}'
        | '\u{2300}'..='\u{23ff}' | '\u{25a0}'..='\u{27bf}' | '\u{2900}'..='\u{297f}'
        | '\u{2b00}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}');
    c.is_alphabetic() || pictograph
}

/// Cuts a line that would fill what it only stands beside, and says where all of it is.
pub fn cut_short(line: &str, all_of_it: &str) -> String {
    const MOST: usize = 240;
    let Some((most, _)) = line.char_indices().nth(MOST) else { return line.to_owned() };
    let begins = line.get(..most).unwrap_or(line);
    let begins = begins.rsplit_once(' ').map_or(begins, |(begins, _)| begins);
    format!("{begins}... (cut here; all of it: {all_of_it})")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ordinary_text_in_any_script_is_left_as_it_is() {
        for text in [
            "",
            "1 exhaust: 0.15 mm ± 0.01, 20 N·m, 45°, µm",
            "Ölstand geprüft – niño – Кириллица – 点火順序 – עברית – العربية",
            "क्‍ष",
            "می‌خواهم",
            "👩‍🔧 ❤️‍🔥 🇩🇪 👍🏽",
            "e\u{301}",
        ] {
            assert_eq!(plain(text), text);
        }
    }

    #[test]
    fn every_character_that_can_steer_hide_or_turn_is_replaced() {
        let spans: [(u32, u32); 29] = [
            (0x00, 0x1f),
            (0x7f, 0x7f),
            (0x80, 0x9f),
            (0xad, 0xad),
            (0x34f, 0x34f),
            (0x61c, 0x61c),
            (0x115f, 0x1160),
            (0x180e, 0x180e),
            (0x200b, 0x200b),
            (0x200e, 0x200f),
            (0x2028, 0x2029),
            (0x202a, 0x202e),
            (0x2060, 0x2060),
            (0x2066, 0x2069),
            (0x206a, 0x206f),
            (0x3164, 0x3164),
            (0xe000, 0xe000),
            (0xf8ff, 0xf8ff),
            (0xfdd0, 0xfdef),
            (0xfeff, 0xfeff),
            (0xffa0, 0xffa0),
            (0xfffe, 0xffff),
            (0x1fffe, 0x1ffff),
            (0xe0001, 0xe0001),
            (0xe0020, 0xe007f),
            (0xe0100, 0xe01ef),
            (0xf0000, 0xf0000),
            (0x10fffd, 0x10ffff),
            (0xffffe, 0xfffff),
        ];
        let mut tried = 0;
        for (first, last) in spans {
            for code in first..=last {
                let c = char::from_u32(code).unwrap();
                assert_eq!(plain(&format!("a{c}b")), "a\u{fffd}b", "U+{code:04X}");
                tried += 1;
            }
        }
        assert!(tried > 400);
    }

    #[test]
    fn joiners_stay_only_between_letters_or_pictographs() {
        for (text, shown) in [
            ("a\u{200d}", "a\u{fffd}"),
            ("\u{200d}a", "\u{fffd}a"),
            ("1\u{200d}2", "1\u{fffd}2"),
            ("a\u{200c} b", "a\u{fffd} b"),
            ("a\u{200d}\u{200d}b", "a\u{fffd}\u{200d}b"),
            ("a\u{200c}b", "a\u{200c}b"),
        ] {
            assert_eq!(plain(text), shown, "{text:?}");
        }
    }

    #[test]
    fn a_pile_of_combining_marks_is_cut_at_eight_code_points() {
        let pile = format!("a{}b", "\u{301}".repeat(200));
        assert_eq!(plain(&pile), format!("a{}b", "\u{301}".repeat(7)));
    }

    #[test]
    fn an_accent_that_comes_first_sits_on_a_mark_of_its_own() {
        assert_eq!(plain("\u{301}a"), "\u{fffd}\u{301}a");
        assert_eq!(plain(&plain("\u{301}")), plain("\u{301}"));
    }

    #[test]
    fn an_escape_sequence_becomes_visible_litter() {
        assert_eq!(
            plain("\x1b[31mX\x07\u{202e}abc\r\n"),
            "\u{fffd}[31mX\u{fffd}\u{fffd}abc\u{fffd}\u{fffd}"
        );
    }

    #[test]
    fn what_is_repeated_of_a_long_text_is_its_beginning_and_the_cut_is_seen() {
        let most = "ä".repeat(60);
        assert_eq!(quoted(&most), most);
        for long in ["ä".repeat(61), "ä".repeat(1_000_000)] {
            assert_eq!(quoted(&long), format!("{most}…"));
        }
        assert_eq!(quoted("a\u{1b}"), "a\u{fffd}");
        let pile = format!("e{}", "\u{301}".repeat(5_000));
        assert_eq!(quoted(&pile), format!("e{}…", "\u{301}".repeat(7)));
    }

    #[test]
    fn a_document_is_spelled_without_what_steers_and_means_the_same() {
        let text = "{\n \"a\": \"x\u{7f}\u{85}\u{202e}\u{200d}\u{e0041}\"\n}";
        let safe = "{\n \"a\": \"x\\u007f\\u0085\\u202e\\u200d\\udb40\\udc41\"\n}";
        assert_eq!(spelled(text), safe);
        let pile = format!("\"a{}\"", "\u{301}".repeat(9));
        assert_eq!(spelled(&pile), format!("\"a{}\\u0301\\u0301\"", "\u{301}".repeat(7)));
    }

    proptest! {
        #[test]
        fn nothing_unsafe_and_no_long_pile_is_left_in_any_text(
            text in "(\\PC|\\p{M}|\\p{Cc}|\\p{Cf}|\u{200d}|\u{200c}|\u{1f469}|a){0,60}"
        ) {
            let shown = plain(&text);
            prop_assert!(!shown.chars().any(is_unsafe));
            prop_assert!(shown.graphemes(true).all(|cluster| cluster.chars().count() <= 8));
        }
    }
}
