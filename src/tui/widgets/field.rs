//! The entry: one line, typed and erased at its end. What is pasted goes in, and nothing more.

use super::text;
use crate::tui::keymap::{Begun, Place};
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Characters that an entry holds at most: a remark of several sentences.
pub const LONGEST: usize = 400;

/// Adds a character, where the entry takes it and has room.
pub fn with(entry: &str, letter: char, place: Place) -> String {
    let mut longer = entry.to_owned();
    if longer.chars().count() < LONGEST && place.takes(letter, Begun::of(entry)) {
        longer.push(letter);
    }
    longer
}

/// Adds pasted text, without what cannot stand there; line ends become blanks and never an Enter.
pub fn with_pasted(entry: &str, pasted: &str, place: Place) -> String {
    pasted.trim().chars().fold(entry.to_owned(), |entry, letter| {
        with(&entry, if letter.is_whitespace() { ' ' } else { letter }, place)
    })
}

/// Adds pasted text whole or not at all: what is left of a figure without some of its signs is another
/// figure. A text loses what cannot be shown; `None` where nothing is taken.
pub fn pasted(entry: &str, pasted: &str, place: Place) -> Option<String> {
    let longer = with_pasted(entry, pasted, place);
    let whole = entry.chars().count() + pasted.trim().chars().count();
    (place == Place::Text || longer.chars().count() == whole).then_some(longer)
}

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
    let mut shown = entry;
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

    #[test]
    fn what_is_pasted_fills_the_entry_and_never_confirms_it() {
        assert_eq!(with_pasted("", "0.15\nq\x1b[31m", Place::Reading), "0.15 31m");
        assert_eq!(with_pasted("", " 12 ", Place::Count), "12");
        assert_eq!(
            with_pasted("seen: ", "line one\r\nline two\u{7}", Place::Text),
            "seen: line one  line two"
        );
        assert_eq!(with_pasted("", "1", Place::Choice), "");
    }

    #[test]
    fn a_figure_is_pasted_whole_or_not_at_all() {
        assert_eq!(pasted("", "4l2.6", Place::Count), None);
        assert_eq!(pasted("", " 412.6\n", Place::Number), Some("412.6".into()));
        assert_eq!(pasted("0.1", "5q", Place::Reading), None);
        assert_eq!(pasted("", "not\u{7} run", Place::Text), Some("not run".into()));
    }

    #[test]
    fn an_entry_has_an_end() {
        let full = with_pasted("", &"x".repeat(5000), Place::Text);
        assert_eq!(full.chars().count(), LONGEST);
    }

    #[test]
    fn the_end_of_a_long_entry_is_shown_with_its_cursor() {
        let area = Rect::new(0, 0, 8, 1);
        let mut buf = Buffer::empty(area);
        paint("0123456789", Theme::plain(), area, &mut buf);
        let shown: String = (0..8).map(|x| buf[(x, 0)].symbol()).collect();
        assert_eq!(shown, "> 56789 ");
    }
}
