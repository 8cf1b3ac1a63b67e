//! What goes out to turn one picture into the next, in few bytes.
//!
//! A terminal may sit at the end of a slow line. Only what differs is sent; and where a word or two
//! of what stays lies between, it is sent again if that is shorter than telling where to go on.

use super::widgets::text;
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Style};
use std::io;

/// The terminal holds back what follows until the end of the frame.
const BEGIN_FRAME: &[u8] = b"\x1b[?2026h";
const END_FRAME: &[u8] = b"\x1b[?2026l";
const CLEAR: &[u8] = b"\x1b[0m\x1b[2J";

/// Returns one frame's bytes: nothing where nothing differs, and everything where it is not known
/// what stands on the screen.
///
/// # Errors
/// None of its own: it writes into memory.
pub fn frame(shown: Option<&Buffer>, next: &Buffer) -> io::Result<Vec<u8>> {
    let mut bytes = BEGIN_FRAME.to_vec();
    let differing: Vec<Change> = match shown {
        Some(shown) => shown.diff_iter(next).collect(),
        None => not_blank(next),
    };
    match shown {
        Some(_) if differing.is_empty() => return Ok(Vec::new()),
        Some(_) => {}
        None => bytes.extend_from_slice(CLEAR),
    }
    CrosstermBackend::new(&mut bytes).draw(joined(differing, next).into_iter())?;
    bytes.extend_from_slice(END_FRAME);
    Ok(bytes)
}

type Change<'a> = (u16, u16, &'a Cell);

/// Lists the cells that differ from a screen that was cleared, row by row.
fn not_blank(next: &Buffer) -> Vec<Change<'_>> {
    let mut covered = 0;
    let places = next.area.positions().zip(next.content());
    let cells = places.filter(|(_, cell)| {
        // What lies under the right half of a wide letter is not seen.
        if covered > 0 {
            covered -= 1;
            return false;
        }
        covered = text::columns(cell.symbol()).saturating_sub(1);
        let plain = cell.bg == Color::Reset && cell.modifier.is_empty();
        cell.symbol() != " " || !plain
    });
    cells.map(|(place, cell)| (place.x, place.y, cell)).collect()
}

/// Adds what lies between cells that are to be sent, where that is shorter than a jump.
fn joined<'a>(differing: Vec<Change<'a>>, next: &'a Buffer) -> Vec<Change<'a>> {
    let mut changes: Vec<Change> = Vec::with_capacity(differing.len());
    for change in differing {
        if let Some(&last) = changes.last() {
            changes.extend(between(last, change, next));
        }
        changes.push(change);
    }
    changes
}

/// Returns the cells between two that are sent, where sending them is shorter than a jump.
fn between<'a>(from: Change, to: Change, next: &'a Buffer) -> Vec<Change<'a>> {
    let ((left, row, _), (right, other, _)) = (from, to);
    if row != other || right <= left + 1 || right - left > JUMP {
        return Vec::new();
    }
    let cells: Vec<Change> =
        (left + 1..right).filter_map(|x| Some((x, row, next.cell((x, row))?))).collect();
    let bytes: usize = cells.iter().map(|(.., cell)| cell.symbol().len()).sum();
    let jump = 4 + digits(row + 1) + digits(right + 1);
    // Another style on the way would cost more than the jump; a wide letter has no cell beside it.
    let same = |one: Style, cell: &Cell| cell.style() == one;
    let turns = cells.iter().position(|(.., cell)| !same(from.2.style(), cell));
    let mut rest = cells.iter().skip(turns.unwrap_or(cells.len()));
    let plain = rest.all(|(.., cell)| same(to.2.style(), cell));
    let narrow = |cell: &Cell| text::columns(cell.symbol()) == 1;
    let narrow = narrow(from.2) && cells.iter().all(|(.., cell)| narrow(cell));
    if bytes < jump && plain && narrow { cells } else { Vec::new() }
}

/// Most bytes of a jump.
const JUMP: u16 = 10;

fn digits(number: u16) -> usize {
    1 + usize::from(number > 9) + usize::from(number > 99) + usize::from(number > 999)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ratatui::layout::Rect;
    use ratatui::style::Modifier;

    /// Paints words, each in a style of three, from columns of a row.
    fn picture(words: &[(u16, u16, &str, usize)]) -> Buffer {
        let bold = Style::new().add_modifier(Modifier::BOLD);
        let styles = [Style::new(), bold, Style::new().fg(Color::Red).bg(Color::White)];
        let mut buffer = Buffer::empty(Rect::new(0, 0, 30, 4));
        for (x, y, word, style) in words {
            buffer.set_string(*x, *y, word, styles[*style]);
        }
        buffer
    }

    /// What a terminal shows after these frames, cell by cell.
    fn shown(frames: &[Vec<u8>]) -> Vec<(String, bool, vt100::Color, vt100::Color)> {
        let size = |n| std::num::NonZero::new(n).unwrap();
        let mut terminal = vt100::Parser::new(size(4), size(30), 0);
        frames.iter().for_each(|frame| terminal.process(frame));
        let places = (0..4).flat_map(|row| (0..30).map(move |column| (row, column)));
        let cells = places.map(|(row, column)| terminal.screen().cell(row, column).unwrap());
        cells
            .map(|cell| match cell.contents().trim() {
                "" => (String::new(), false, vt100::Color::Default, cell.bgcolor()),
                letter => (letter.to_owned(), cell.bold(), cell.fgcolor(), cell.bgcolor()),
            })
            .collect()
    }

    #[test]
    fn every_picture_arrives_whole_whatever_was_there_before() {
        let pictures = [
            picture(&[]),
            picture(&[(0, 0, "two words and more", 0), (3, 2, "1 intake", 1)]),
            picture(&[(0, 0, "two birds and more", 0), (3, 2, "1 intake", 2)]),
            picture(&[
                (0, 0, "a", 1),
                (2, 0, "b", 0),
                (4, 0, "c", 1),
                (6, 0, "\u{4e2d}x\u{4e2d}", 0),
            ]),
            picture(&[
                (0, 0, "b", 1),
                (2, 0, "\u{4e2d}", 0),
                (4, 0, "d", 1),
                (6, 0, "yy\u{4e2d}", 0),
            ]),
            picture(&[(0, 3, "Enter", 1), (6, 3, "keep", 0), (12, 3, "?", 1), (14, 3, "help", 0)]),
        ];
        let mut tried = 0;
        for before in &pictures {
            for after in &pictures {
                let first = frame(None, before).unwrap();
                let ours = shown(&[first, frame(Some(before), after).unwrap()]);
                assert_eq!(ours, shown(&[frame(None, after).unwrap()]));
                assert!(ours.iter().any(|cell| !cell.0.is_empty()) || after == &pictures[0]);
                tried += 1;
            }
        }
        assert_eq!(tried, 36);
    }

    #[test]
    fn a_blank_between_words_is_sent_and_a_far_place_is_jumped_to() {
        let blank = picture(&[]);
        let words = frame(Some(&blank), &picture(&[(0, 0, "to be felt", 0)])).unwrap();
        assert!(String::from_utf8(words).unwrap().contains("to be felt"));
        let far = frame(Some(&blank), &picture(&[(0, 0, "to", 0), (20, 0, "felt", 0)])).unwrap();
        assert!(String::from_utf8(far).unwrap().contains("to\u{1b}[1;21Hfelt"));
        let styled = picture(&[(0, 0, "Enter", 1), (6, 0, "keep", 0)]);
        let styled = String::from_utf8(frame(Some(&blank), &styled).unwrap()).unwrap();
        assert!(styled.contains("\u{1b}[1mEnter\u{1b}[22m keep"), "{styled:?}");
    }

    #[test]
    fn the_same_picture_costs_nothing() {
        let same = picture(&[(0, 0, "two words", 0)]);
        assert_eq!(frame(Some(&same), &same).unwrap(), b"");
    }
}
