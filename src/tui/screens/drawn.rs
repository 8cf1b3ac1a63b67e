//! An engine drawn beside a list: the one of the row under the cursor.
//!
//! The drawing has the same columns whichever row it is, so that the list stays where it is.

use super::frame::below;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::engine::{Arrangement, BankView, Detail, EngineView};
use crate::tui::widgets::engine_strip::Strip;
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// A drawing and what is said beneath it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// The engine; `None` where there is nothing to draw.
    pub engine: Option<EngineView>,
    /// What is said of it.
    pub lines: Vec<String>,
}

/// Columns between the list and the drawing.
const GAP: u16 = 1;
/// The same beside a list that leaves room for it.
const BETWEEN: u16 = 2;
/// Least columns of a drawing: a ring of nine numbers.
const LEAST: u16 = 17;
/// Most columns of a drawing.
const MOST: u16 = 64;

impl Drawn {
    /// Paints it at the right of an area, as large as it fits, and returns what is left for the list.
    pub fn paint_beside(&self, theme: Theme, area: Rect, buf: &mut Buffer) -> Rect {
        let side = (area.width / 5 * 2).clamp(LEAST, MOST).min(area.width / 2);
        let place = Rect { x: area.right() - side, width: side, ..area };
        let said = text::wrap_all(&self.lines, side);
        let said_rows = u16::try_from(said.len()).unwrap_or(u16::MAX);
        // With all that is said beneath, else with its beginning, else alone.
        let drawn = (0..=said_rows).rev().find_map(|kept| {
            let room = area.height.checked_sub(kept)?;
            let engine = self.engine.as_ref()?;
            let fits = |detail: &Detail| Some((*detail, engine.size(*detail, side, room)?));
            let (detail, (_, rows)) = Detail::ALL.iter().find_map(fits)?;
            Some((detail, rows, kept))
        });
        let at = match (&self.engine, drawn) {
            (Some(engine), Some((detail, rows, kept))) => {
                let room = Rect { height: area.height - kept, ..place };
                engine.paint_alone(detail, theme, room, buf);
                rows
            }
            (Some(engine), None) => {
                let lines = numbers(engine, (side, area.height));
                text::put_lines(&lines, theme.style(Role::Text), place, buf)
            }
            (None, _) => 0,
        };
        text::put_lines(&said, theme.style(Role::Text), below(place, at), buf);
        // Under all of it, where it is drawn as it lies.
        if let (Some(engine), true) = (&self.engine, drawn.is_some()) {
            engine.paint_end_in(theme, below(place, at + said_rows + GAP), buf);
        }
        Rect { width: area.width - side - GAP.min(area.width - side), ..area }
    }
}

/// Rows of a list that it keeps beside a strip at least.
const KEPT: u16 = 5;

/// Paints an engine in room that a list of so many columns and rows leaves: at its right, as much of it as it fits,
/// else as a strip at the foot. Returns what is left for the list.
pub fn in_free_room(
    engine: &EngineView,
    (columns, rows): (u16, usize),
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) -> Rect {
    let room = area.width.saturating_sub(columns.saturating_add(BETWEEN));
    let fits = |detail: &Detail| Some((*detail, engine.size(*detail, room, area.height)?));
    if let Some((detail, (wide, _))) = Detail::ALL.iter().find_map(fits) {
        let place = Rect { x: area.right() - wide, width: wide, ..area };
        engine.paint(detail, theme, place, buf);
        return Rect { width: area.width.saturating_sub(wide + BETWEEN), ..area };
    }
    let least = u16::try_from(rows).unwrap_or(u16::MAX).min(KEPT);
    let strips = [Strip::new(engine, area.width), Strip::unnamed(engine, area.width)];
    let left = |strip: Strip| Some((area.height.checked_sub(strip.rows() + least)? + least, strip));
    let Some((left, strip)) = strips.into_iter().flatten().find_map(left) else { return area };
    strip.paint(theme, below(area, left), buf);
    Rect { height: left, ..area }
}

/// The numbers alone, as the cylinders lie, for a window too small for a drawing; a line a bank where
/// that does not fit either.
fn numbers(engine: &EngineView, (width, height): (u16, u16)) -> Vec<String> {
    let lying = match &engine.arrangement {
        Arrangement::Columns | Arrangement::Lines => columns(&engine.banks),
        Arrangement::Rings(rows) => match (rows.as_slice(), engine.banks.as_slice()) {
            ([angles], [bank]) => ring(bank, angles),
            _ => Vec::new(),
        },
    };
    let fits =
        lying.len() <= usize::from(height) && lying.iter().all(|line| text::columns(line) <= width);
    if fits && !lying.is_empty() {
        return lying;
    }
    let line = |bank: &BankView| {
        let numbers: Vec<&str> = of_bank(bank).collect();
        text::wrap(&format!("{}: {}", bank.name, numbers.join(" ")), width)
    };
    engine.banks.iter().flat_map(line).collect()
}

/// Numbers without the manual's own labels.
fn of_bank(bank: &BankView) -> impl Iterator<Item = &str> {
    bank.cylinders.iter().map(|cylinder| cylinder.name.split('/').next().unwrap_or_default())
}

fn columns(banks: &[BankView]) -> Vec<String> {
    let rows = banks.iter().map(|bank| bank.cylinders.len()).max().unwrap_or(0);
    let line = |cell: &dyn Fn(&BankView) -> String| {
        let cells: Vec<String> = banks.iter().map(|bank| format!("{:^7}", cell(bank))).collect();
        cells.join(" ").trim_end().to_owned()
    };
    let names = line(&|bank| bank.name.clone());
    let number = |row: usize| line(&|bank| of_bank(bank).nth(row).unwrap_or_default().to_owned());
    std::iter::once(names).chain((0..rows).map(number)).collect()
}

/// A ring of five rows, as round as letters allow.
fn ring(bank: &BankView, angles: &[f64]) -> Vec<String> {
    const RADII: (f64, f64) = (2.0, 6.5);
    let mut rows = vec![vec![' '; 16]; 5];
    for (number, angle) in of_bank(bank).zip(angles) {
        let turn = angle.to_radians();
        // Both lie inside the grid by construction; the casts saturate.
        let down = (RADII.0 - RADII.0 * libm::cos(turn)).round() as usize;
        let across = (RADII.1 + RADII.1 * libm::sin(turn)).round() as usize;
        for (at, digit) in number.chars().enumerate() {
            if let Some(cell) = rows.get_mut(down).and_then(|row| row.get_mut(across + at)) {
                *cell = digit;
            }
        }
    }
    rows.into_iter().map(|row| row.into_iter().collect::<String>().trim_end().to_owned()).collect()
}
