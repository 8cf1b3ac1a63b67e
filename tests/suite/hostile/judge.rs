//! Says whether a text acts, hides or turns a line round: by a list of its own, so that a program that
//! forgets a character is not judged by the list that it forgot it from.

use super::strings;
use cowlside::domain::plain::{is_unsafe, plain};
use unicode_segmentation::UnicodeSegmentation;

/// Most code points of one visible character; more is a pile that runs over the lines around it.
const PILE: usize = 8;

/// What may never reach a terminal: the Unicode Character Database's general categories Cc, Zl, Zp, Co,
/// Cn of the noncharacters, and of Cf and the default ignorable code points all that cannot be seen
/// (UnicodeData.txt, DerivedCoreProperties.txt). First and last of each span.
const ACTING: [(u32, u32); 23] = [
    (0x00, 0x1f),
    (0x7f, 0x9f),
    (0xad, 0xad),
    (0x34f, 0x34f),
    (0x61c, 0x61c),
    (0x115f, 0x1160),
    (0x17b4, 0x17b5),
    (0x180b, 0x180f),
    (0x200b, 0x200b),
    (0x200e, 0x200f),
    (0x2028, 0x202e),
    (0x2060, 0x206f),
    (0x2800, 0x2800),
    (0x3164, 0x3164),
    (0xe000, 0xf8ff),
    (0xfdd0, 0xfdef),
    (0xfeff, 0xfeff),
    (0xffa0, 0xffa0),
    (0xfff0, 0xfffb),
    (0x1bca0, 0x1bca3),
    (0x1d173, 0x1d17a),
    (0xe0000, 0xe0fff),
    (0xf0000, 0x0010_ffff),
];

/// Tells whether a character steers a terminal, turns or breaks the line, or cannot be seen.
pub fn acts(c: char) -> bool {
    let code = u32::from(c);
    // The last two of each plane are no characters.
    code & 0xfffe == 0xfffe || ACTING.iter().any(|&(first, last)| (first..=last).contains(&code))
}

/// Tells whether a line holds anything that may not be shown.
fn hides(line: &str) -> bool {
    let piled = |cluster: &str| cluster.chars().count() > PILE;
    line.chars().any(acts) || line.graphemes(true).any(piled) || plain(line) != line
}

/// Returns the first line that is not safe to show as it stands.
pub fn unsafe_line(text: &str) -> Option<String> {
    let bad = text.split('\n').find(|line| hides(line))?;
    Some(format!("{:?}", bad.chars().take(300).collect::<String>()))
}

#[test]
fn the_judge_finds_what_acts_without_the_programs_own_list() {
    const SAFE: [&str; 3] = ["Hebrew", "Arabic", "wide"];
    let by_list = |text: &str| text.split('\n').any(|line| line.chars().any(acts));
    let found: Vec<&str> =
        strings::all().iter().filter(|(_, text)| by_list(text)).map(|(name, _)| *name).collect();
    for name in [
        "colour",
        "clear the screen",
        "alternate screen",
        "window title",
        "clipboard",
        "hyperlink",
        "device query",
        "full reset",
        "C1 controls",
        "bell, backspace, delete",
        "NUL",
        "shift out",
        "carriage return",
        "both",
        "line separators",
        "tab",
        "right to left override",
        "isolates",
        "marks of direction",
        "zero width",
        "byte-order mark first",
        "soft hyphen and fillers",
        "tags",
        "private and no characters",
        "variation selectors",
        "formula behind a tab",
        "formula behind a return",
    ] {
        assert!(found.contains(&name), "{name} acts, and the judge does not see it");
    }
    assert_eq!(found.len(), 27, "{found:?}");
    assert!(SAFE.iter().all(|name| !found.contains(name)));
    // The program's list is the same, each character of Unicode asked.
    let all = (0..=0x0010_ffff).filter_map(char::from_u32);
    let differ: Vec<char> = all.filter(|&c| acts(c) != is_unsafe(c)).take(20).collect();
    assert!(differ.is_empty(), "{differ:?}");
}
