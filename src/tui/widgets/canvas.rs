//! Spots to draw lines and discs with: two a cell, one above the other, so that they are square.
//!
//! As half blocks they are seen as they are; in plain characters a cell shows the letter of the
//! spot that covers the others.

use super::digits::Ink;
use super::text;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// What a spot is part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Of two on the same spot or in the same cell the higher one is seen.
    pub rank: u8,
    /// The plain character it is drawn with.
    pub letter: &'static str,
    /// How it is painted.
    pub role: Role,
}

/// Spots over some cells.
pub struct Canvas {
    columns: u16,
    rows: u16,
    spots: Vec<Option<Part>>,
}

impl Canvas {
    /// Makes an empty canvas of so many cells.
    pub fn new(columns: u16, rows: u16) -> Canvas {
        let spots = vec![None; usize::from(columns) * usize::from(rows) * 2];
        Canvas { columns, rows, spots }
    }

    /// Returns the columns, in spots.
    pub fn across(&self) -> u16 {
        self.columns
    }

    /// Returns the height in spots: two a row.
    pub fn down(&self) -> u16 {
        self.rows.saturating_mul(2)
    }

    fn index(&self, x: u16, y: u16) -> Option<usize> {
        let inside = x < self.columns && y < self.down();
        inside.then(|| usize::from(y) * usize::from(self.columns) + usize::from(x))
    }

    fn at(&self, x: u16, y: u16) -> Option<Part> {
        self.index(x, y).and_then(|index| self.spots.get(index).copied().flatten())
    }

    /// Puts a part on a spot, unless a higher one is there; outside the canvas nothing happens.
    pub fn put(&mut self, x: u16, y: u16, part: Part) {
        let higher = self.at(x, y).is_some_and(|there| there.rank > part.rank);
        if let Some(spot) = self.index(x, y).and_then(|index| self.spots.get_mut(index))
            && !higher
        {
            *spot = Some(part);
        }
    }

    /// Puts a part on every spot whose middle, in spots from the top left, is in a shape.
    pub fn fill(&mut self, part: Part, inside: impl Fn(f64, f64) -> bool) {
        for y in 0..self.down() {
            for x in 0..self.across() {
                if inside(f64::from(x) + 0.5, f64::from(y) + 0.5) {
                    self.put(x, y, part);
                }
            }
        }
    }

    /// Tells whether a cell is empty.
    pub fn is_empty(&self, x: u16, row: u16) -> bool {
        self.at(x, row * 2).or(self.at(x, row * 2 + 1)).is_none()
    }

    /// Paints the canvas at the top left of an area.
    pub fn paint(&self, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        for row in 0..self.rows {
            for x in 0..self.columns {
                let (upper, lower) = (self.at(x, row * 2), self.at(x, row * 2 + 1));
                let Some(seen) = [upper, lower].into_iter().flatten().max_by_key(|part| part.rank)
                else {
                    continue;
                };
                let symbol = match (ink, upper.is_some(), lower.is_some()) {
                    (Ink::Hash | Ink::Halves, _, _) => seen.letter,
                    (Ink::Blocks, true, true) => "█",
                    (Ink::Blocks, true, false) => "▀",
                    (Ink::Blocks, false, _) => "▄",
                };
                text::put(symbol, theme.style(seen.role), cell(area, x, row), buf);
            }
        }
    }
}

/// One cell of an area; empty where the area does not reach so far.
pub fn cell(area: Rect, x: u16, row: u16) -> Rect {
    let (x, y) = (area.x.saturating_add(x), area.y.saturating_add(row));
    Rect { x, y, width: 1, height: 1 }.intersection(area)
}
