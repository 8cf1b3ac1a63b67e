//! Large digits and capital words, legible across a hangar.
//!
//! Solid blocks only: half blocks and full cells exist in every font, and in a plain console too.
//! The shapes themselves are in `glyphs`.

use super::glyphs::{LOW, TALL};
use super::glyphs_thin::THIN;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// What a spot of ink is drawn with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ink {
    /// Full and half blocks.
    #[default]
    Blocks,
    /// `#` in whole cells, for terminals without blocks.
    Hash,
    /// The same in half cells too, where there is no room else; nobody chooses it.
    Halves,
}

impl Ink {
    /// Returns the other one.
    pub fn other(self) -> Ink {
        match self {
            Ink::Blocks => Ink::Hash,
            Ink::Hash | Ink::Halves => Ink::Blocks,
        }
    }

    /// Tells whether it is nothing but plain characters.
    pub fn is_plain(self) -> bool {
        self != Ink::Blocks
    }

    /// Says which one it is.
    pub fn words(self) -> &'static str {
        match self {
            Ink::Blocks => "drawn with blocks",
            Ink::Hash | Ink::Halves => "drawn with plain ASCII characters only",
        }
    }
}

/// A size of large text: which shapes, and how many cells a spot takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Height in spots: 7 or 5.
    spots: u16,
    /// Columns a spot.
    across: u16,
    /// Half rows a spot.
    halves: u16,
    /// Whether uprights are one spot wide.
    thin: bool,
}

impl Size {
    /// All sizes, the largest first; of equal heights the wider one first.
    pub const ALL: [Size; 9] = [
        Size { spots: 7, across: 4, halves: 6, thin: false },
        Size { spots: 7, across: 3, halves: 4, thin: false },
        Size { spots: 7, across: 2, halves: 4, thin: false },
        Size { spots: 5, across: 2, halves: 4, thin: false },
        Size { spots: 7, across: 2, halves: 2, thin: false },
        Size { spots: 7, across: 1, halves: 2, thin: false },
        Size { spots: 5, across: 1, halves: 2, thin: false },
        Size { spots: 7, across: 1, halves: 1, thin: false },
        Size { spots: 5, across: 1, halves: 1, thin: false },
    ];

    /// The smallest size with thin uprights: for words that have no room else, in windows whose cells are
    /// so large that one column is wide enough.
    pub const THIN: Size = Size { spots: 5, across: 1, halves: 1, thin: true };

    /// Returns the height in rows.
    pub fn rows(self) -> u16 {
        (self.spots * self.halves).div_ceil(2)
    }

    /// Returns the width of a text in columns.
    pub fn columns(self, text: &str) -> u16 {
        let spots: usize = text.chars().map(|letter| width(self.shape(letter)) + 1).sum();
        u16::try_from(spots.saturating_sub(1)).unwrap_or(u16::MAX).saturating_mul(self.across)
    }

    /// Finds the largest size in which a text fits.
    pub fn largest(text: &str, columns: u16, rows: u16, ink: Ink) -> Option<Size> {
        Size::ALL.into_iter().find(|size| {
            size.rows() <= rows && size.columns(text) <= columns && size.can_be_drawn_in(ink)
        })
    }

    /// Tells whether an ink can draw this size: half rows need half blocks.
    pub fn can_be_drawn_in(self, ink: Ink) -> bool {
        match ink {
            Ink::Blocks | Ink::Halves => true,
            Ink::Hash => self.halves.is_multiple_of(2),
        }
    }

    fn shape(self, letter: char) -> &'static [&'static str] {
        match (self.thin, self.spots) {
            (true, _) => look_up(&THIN, letter),
            (false, 7) => look_up(&TALL, letter),
            (false, _) => look_up(&LOW, letter),
        }
    }

    /// Tells whether there is ink at a column and a half row of a text's picture.
    fn inked(self, shape: &[&str], column: u16, half: u16) -> bool {
        let row = shape.get(usize::from(half / self.halves));
        row.and_then(|row| row.as_bytes().get(usize::from(column / self.across))) == Some(&b'#')
    }
}

/// Capitals stand for small letters, but for the `m` and `µ` of units; the unknown is a question mark.
fn look_up<const N: usize>(
    table: &'static [(char, [&'static str; N])],
    letter: char,
) -> &'static [&'static str] {
    let find = |wanted: char| table.iter().find(|(drawn, _)| *drawn == wanted);
    let plain = match letter {
        'μ' => 'µ',
        '−' | '–' => '-',
        other => other,
    };
    find(plain)
        .or_else(|| find(plain.to_ascii_uppercase()))
        .or_else(|| find('?'))
        .map_or(&[], |(_, shape)| shape.as_slice())
}

/// Tells whether every letter of a text has a shape of its own.
pub fn can_write(text: &str) -> bool {
    let drawn = |letter: char| TALL.iter().any(|(drawn, _)| *drawn == letter.to_ascii_uppercase());
    text.chars().all(drawn)
}

fn width(shape: &[&str]) -> usize {
    shape.first().map_or(0, |row| row.len())
}

/// Paints a text at the top left of an area; what does not fit is left out.
pub fn paint(text: &str, size: Size, ink: Ink, style: Style, area: Rect, buf: &mut Buffer) {
    let area = area.intersection(buf.area);
    let mut left = area.x;
    for letter in text.chars() {
        let shape = size.shape(letter);
        let columns = u16::try_from(width(shape)).unwrap_or(0).saturating_mul(size.across);
        for row in 0..size.rows().min(area.height) {
            for column in 0..columns.min(area.right().saturating_sub(left)) {
                let upper = size.inked(shape, column, row * 2);
                let lower = size.inked(shape, column, row * 2 + 1);
                let cell = buf.cell_mut((left + column, area.y + row));
                if let (Some(symbol), Some(cell)) = (symbol(upper, lower, ink), cell) {
                    cell.set_symbol(symbol).set_style(style);
                }
            }
        }
        left = left.saturating_add(columns).saturating_add(size.across).min(area.right());
    }
}

fn symbol(upper: bool, lower: bool, ink: Ink) -> Option<&'static str> {
    match (upper, lower, ink) {
        (false, false, _) => None,
        (true, true, Ink::Blocks) => Some("█"),
        (true, false, Ink::Blocks) => Some("▀"),
        (false, true, Ink::Blocks) => Some("▄"),
        (true, true, Ink::Hash | Ink::Halves) => Some("#"),
        (true, false, Ink::Hash | Ink::Halves) => Some("\""),
        (false, true, Ink::Hash | Ink::Halves) => Some("o"),
    }
}

/// Large words set into lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Set {
    /// The size of all lines.
    pub size: Size,
    /// The lines.
    pub lines: Vec<String>,
}

/// Sets words into lines so that they come out as large as they can, with a row between the lines;
/// of equal sizes into the fewest lines.
pub fn set(words: &str, columns: u16, rows: u16, ink: Ink) -> Option<Set> {
    let words: Vec<&str> = words.split_whitespace().collect();
    (1..=words.len())
        .filter_map(|lines| {
            let each = (rows + 1).checked_div(u16::try_from(lines).ok()?)?.saturating_sub(1);
            Size::ALL.into_iter().filter(|size| size.rows() <= each).find_map(|size| {
                let broken = break_words(&words, size, columns)?;
                let fits = broken.len() <= lines && size.can_be_drawn_in(ink);
                fits.then_some(Set { size, lines: broken })
            })
        })
        .max_by_key(|set| (set.size.rows(), set.size.columns("0"), usize::MAX - set.lines.len()))
}

/// Rows between two large words.
pub const BETWEEN: u16 = 1;

/// Two large words one above the other: the smaller of both as large as it can be, then the upper one.
pub fn set_two(
    upper: &str,
    lower: &str,
    (columns, rows): (u16, u16),
    ink: Ink,
) -> Option<(Set, Set)> {
    let pairs = (1..rows).filter_map(|room| {
        let upper = set(upper, columns, room, ink)?;
        let rest = rows.checked_sub(upper.rows() + BETWEEN)?;
        Some((upper, set(lower, columns, rest, ink)?))
    });
    let size = |set: &Set| (set.size.rows(), set.size.columns("0"));
    pairs.max_by_key(|(upper, lower)| (size(upper).min(size(lower)), size(upper)))
}

/// Words set into lines of large text; `None` where a single word is too wide.
pub fn break_words(words: &[&str], size: Size, columns: u16) -> Option<Vec<String>> {
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        if size.columns(word) > columns {
            return None;
        }
        match lines.last_mut() {
            Some(line) if size.columns(&format!("{line} {word}")) <= columns => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) | None => lines.push((*word).to_owned()),
        }
    }
    Some(lines)
}

impl Set {
    /// Returns the rows that all lines take.
    pub fn rows(&self) -> u16 {
        let lines = u16::try_from(self.lines.len()).unwrap_or(u16::MAX);
        lines.saturating_mul(self.size.rows() + 1).saturating_sub(1)
    }

    /// Paints the lines from the top of an area.
    pub fn paint(&self, ink: Ink, style: Style, area: Rect, buf: &mut Buffer) {
        let mut rest = area;
        for line in &self.lines {
            paint(line, self.size, ink, style, rest, buf);
            let down = (self.size.rows() + 1).min(rest.height);
            rest = Rect { y: rest.y + down, height: rest.height - down, ..rest };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn no_two_characters_share_a_shape() {
        for size in [Size::ALL[5], Size::ALL[6], Size::THIN] {
            let shapes: BTreeSet<_> = TALL.iter().map(|(letter, _)| size.shape(*letter)).collect();
            assert_eq!(shapes.len(), TALL.len());
        }
    }

    /// Spots by which two shapes of seven rows differ.
    fn apart(one: char, other: char) -> usize {
        let [one, other] = [one, other].map(|letter| Size::ALL[5].shape(letter).concat());
        one.bytes().zip(other.bytes()).filter(|(one, other)| one != other).count()
    }

    #[test]
    fn a_v_tapers_where_a_u_and_a_y_do_not() {
        assert!(apart('V', 'U') >= 10 && apart('V', 'Y') >= 8);
    }

    #[test]
    fn both_tables_draw_every_character_with_rows_of_one_width() {
        for ((tall, tall_rows), (low, low_rows)) in TALL.iter().zip(LOW.iter()) {
            assert_eq!(tall, low);
            assert!(tall_rows.iter().all(|row| row.len() == tall_rows[0].len()), "{tall}");
            assert!(low_rows.iter().all(|row| row.len() == low_rows[0].len()), "{low}");
        }
        for ((tall, _), (thin, rows)) in TALL.iter().zip(THIN.iter()) {
            assert_eq!(tall, thin);
            assert!(rows.iter().all(|row| row.len() == rows[0].len()), "{thin}");
        }
        for needed in ('A'..='Z').chain('0'..='9').chain(".,-+/<>=°m µ".chars()) {
            assert!(TALL.iter().any(|(letter, _)| *letter == needed), "{needed} is not drawn");
        }
    }

    #[test]
    fn the_largest_size_that_fits_is_found() {
        let rows = |columns, rows, ink| Size::largest("4", columns, rows, ink).map(Size::rows);
        assert_eq!(rows(80, 50, Ink::Blocks), Some(21));
        assert_eq!(rows(80, 20, Ink::Blocks), Some(14));
        assert_eq!(rows(80, 13, Ink::Blocks), Some(10));
        assert_eq!(rows(80, 5, Ink::Blocks), Some(5));
        assert_eq!(rows(80, 4, Ink::Blocks), Some(4));
        assert_eq!(rows(80, 3, Ink::Blocks), Some(3));
        assert_eq!(rows(80, 2, Ink::Blocks), None);
        assert_eq!(rows(5, 50, Ink::Blocks), None);
        assert_eq!(rows(80, 4, Ink::Hash), None);
    }

    #[test]
    fn sizes_run_from_the_largest_down() {
        assert!(Size::ALL.is_sorted_by(|one, next| one.rows() >= next.rows()));
    }

    #[test]
    fn painting_outside_the_buffer_paints_nothing() {
        let mut buf = Buffer::empty(Rect::new(0, 0, 3, 2));
        for area in [Rect::new(2, 1, 40, 40), Rect::new(9, 9, 4, 4), Rect::new(0, 0, 0, 0)] {
            paint("88", Size::ALL[0], Ink::Blocks, Style::new(), area, &mut buf);
        }
        assert_eq!(buf.area, Rect::new(0, 0, 3, 2));
    }
}
