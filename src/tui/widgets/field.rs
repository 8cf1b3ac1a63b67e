//! The entry: one line, typed and erased at its end. What is pasted goes in, and nothing more.

use super::text;
use crate::guide::Field;
use crate::guide::limits::no_room;
use crate::tui::keymap::{Begun, Place};
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Adds a character, where the entry takes it.
///
/// # Errors
/// Why there is no room for it; what stands there already stays.
pub fn with(entry: &str, letter: char, place: Place, field: &Field) -> Result<String, String> {
    let mut longer = entry.to_owned();
    if !place.takes(letter, Begun::of(entry)) {
        return Ok(longer);
    }
    longer.push(letter);
    match no_room(&longer, field) {
        None => Ok(longer),
        Some(most) => Err(format!("{most}: what is typed past that is not taken")),
    }
}

/// Adds pasted text, whole or not at all: what is left of a figure without some of its signs is another
/// figure, and a text that lost its end may say something else. It loses only what cannot be shown; line
/// ends become blanks and never an Enter.
///
/// # Errors
/// Why nothing of it is taken.
pub fn pasted(entry: &str, pasted: &str, place: Place, field: &Field) -> Result<String, String> {
    let mut longer = entry.to_owned();
    for letter in pasted.trim().chars() {
        let letter = if letter.is_whitespace() { ' ' } else { letter };
        if place.takes(letter, Begun::of(&longer)) {
            longer.push(letter);
        }
    }
    let has = longer.chars().count();
    let whole = entry.chars().count() + pasted.trim().chars().count();
    if place != Place::Text && has != whole {
        return Err(NO_ANSWER.to_owned());
    }
    match no_room(&longer, field) {
        None => Ok(longer),
        Some(most) => Err(format!("{most}{NOTHING_OF_IT}")),
    }
}

/// Said of pasted text that is no answer.
pub const NO_ANSWER: &str = "what was pasted is no answer here: nothing of it was taken";
/// Said of pasted text for which there is no room, behind the limit.
const NOTHING_OF_IT: &str = ": what was pasted is too long, and nothing of it was taken";
/// Said of what follows such a text at once.
pub const STILL_THE_PASTE: &str = "what was pasted is too long, and nothing of it was taken";

/// Paints the entry with its cursor; of a long one the end is shown.
pub fn paint(entry: &str, theme: Theme, area: Rect, buf: &mut Buffer) {
    paint_as(entry, Role::Big, theme, area, buf);
}

/// Paints the entry in a role: as the cursor, where the next character takes the place of all of it.
pub fn paint_as(entry: &str, role: Role, theme: Theme, area: Rect, buf: &mut Buffer) {
    let area = area.intersection(buf.area);
    if area.is_empty() {
        return;
    }
    let mark = text::put("> ", theme.style(Role::Key), area, buf);
    let room = area.right().saturating_sub(mark).saturating_sub(1);
    // A character that is seen has eight code points at most: what lies further off cannot be among the last.
    let few = usize::from(room).saturating_add(1) * 8;
    let begins = entry.char_indices().rev().nth(few).map_or(0, |(begins, _)| begins);
    let mut shown = entry.get(begins..).unwrap_or(entry);
    while text::columns(shown) > room {
        let mut letters = shown.chars();
        letters.next();
        shown = letters.as_str();
    }
    let rest = Rect { x: mark.min(area.right()), width: area.right().saturating_sub(mark), ..area };
    let after = text::put(shown, theme.style(role), rest, buf);
    if after < area.right() {
        buf.set_stringn(after, area.y, " ", 1, theme.style(Role::Cursor));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Typed;

    fn field(place: Place) -> Field {
        Field::typed(if place == Place::Text { Typed::Text } else { Typed::Number })
    }

    fn put(entry: &str, pasted_text: &str, place: Place) -> Option<String> {
        pasted(entry, pasted_text, place, &field(place)).ok()
    }

    #[test]
    fn what_is_pasted_fills_the_entry_and_never_confirms_it() {
        assert_eq!(put("", " 12 ", Place::Count), Some("12".into()));
        assert_eq!(
            put("seen: ", "line one\r\nline two\u{7}", Place::Text),
            Some("seen: line one  line two".into())
        );
    }

    #[test]
    fn a_figure_is_pasted_whole_or_not_at_all() {
        assert_eq!(put("", "0.15\nq\x1b[31m", Place::Reading), None);
        assert_eq!(put("", "1", Place::Choice), None);
        assert_eq!(put("", "4l2.6", Place::Count), None);
        assert_eq!(put("", " 412.6\n", Place::Number), Some("412.6".into()));
        assert_eq!(put("0.1", "5q", Place::Reading), None);
        assert_eq!(put("", "not\u{7} run", Place::Text), Some("not run".into()));
    }

    #[test]
    fn an_entry_takes_what_may_be_kept_and_refuses_the_rest_in_words() {
        let (note, name) = (field(Place::Text), field(Place::Text).a_name());
        for (field, most, said) in [
            (&note, 2_000, "a note has at most 2000 characters"),
            (&name, 80, "a name has at most 80 letters"),
        ] {
            let full = "x".repeat(most);
            let text = |pasted_text: &str| pasted("", pasted_text, Place::Text, field);
            assert_eq!(text(&full), Ok(full.clone()));
            assert!(text(&format!("{full}y")).unwrap_err().starts_with(said));
            let next = with(&full, 'y', Place::Text, field).unwrap_err();
            assert!(next.starts_with(said), "{next}");
            let begun = with(&full[1..], 'y', Place::Text, field);
            assert_eq!(begun, Ok(format!("{}y", &full[1..])));
        }
        let piled = format!("a{}", "\u{301}".repeat(7));
        assert!(with(&piled, '\u{301}', Place::Text, &note).is_err());
        assert!(with(&"1".repeat(80), '1', Place::Number, &field(Place::Number)).is_err());
    }

    #[test]
    fn the_end_of_a_long_entry_is_shown_with_its_cursor() {
        let area = Rect::new(0, 0, 8, 1);
        let mut buf = Buffer::empty(area);
        paint("0123456789", Theme::plain(), area, &mut buf);
        let shown: String = (0..8).map(|x| buf[(x, 0)].symbol()).collect();
        assert_eq!(shown, "> 56789 ");
        // However long it is, and whatever its letters are made of.
        for long in ["e\u{301}\u{302}".repeat(600), "漢".repeat(1_999)] {
            let mut buf = Buffer::empty(area);
            paint(&format!("{long}56789"), Theme::plain(), area, &mut buf);
            let shown: String = (0..8).map(|x| buf[(x, 0)].symbol()).collect();
            assert_eq!(shown, "> 56789 ");
        }
    }
}
