//! A list or table to look through: engines, comparisons, what was kept, commands, help.

use super::frame::{self, Around, below, row};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that such a screen says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableView {
    /// Open items, status, note, keys.
    pub around: Around,
    /// What it is a list of.
    pub title: String,
    /// Lines under the title.
    pub lines: Vec<String>,
    /// Names of the columns; empty where they need none.
    pub head: Vec<String>,
    /// Rows, a text a column.
    pub rows: Vec<Vec<String>>,
    /// Whether rows are chosen, and so are numbered.
    pub choosing: Choosing,
    /// The row that the cursor is on.
    pub cursor: usize,
}

/// Whether rows are chosen or only read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Choosing {
    /// Enter or its number chooses a row.
    Numbered,
    /// The rows are only read.
    #[default]
    ReadOnly,
}

const GAP: u16 = 2;

/// Paints the table; it scrolls by whole pages, so that a row stays where it is.
pub fn paint(view: &TableView, theme: Theme, area: Rect, buf: &mut Buffer) {
    if !frame::has_room(area) {
        let shown = view.rows.get(view.cursor).map(|row| row.join("  ")).unwrap_or_default();
        let wanted = [(shown, Role::Cursor), (view.title.clone(), Role::Title)];
        frame::paint_cramped(&wanted, theme, area, buf);
        return;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let middle = paint_note(view, theme, middle, buf);
    let mut at = text::put_lines(
        &text::wrap(&view.title, middle.width),
        theme.style(Role::Title),
        middle,
        buf,
    );
    let lines = text::wrap_all(&view.lines, middle.width);
    at += text::put_lines(&lines, theme.style(Role::Text), below(middle, at), buf);
    let list = below(middle, at);
    let numbered = numbered(view);
    let head = heading(view);
    let widths = widths(&head, &numbered, list.width);
    at = 0;
    if !view.head.is_empty() {
        paint_row(&head, &widths, theme, Role::Title, row(list, 0), buf);
        at = 1;
    }
    paint_rows(view, &numbered, &widths, theme, below(list, at), buf);
}

/// Paints the note at the foot and returns what is left above it.
fn paint_note(view: &TableView, theme: Theme, area: Rect, buf: &mut Buffer) -> Rect {
    let Some(note) = &view.around.note else { return area };
    let mut lines = note.lines(area.width);
    lines.truncate(usize::from(area.height / 3));
    let left = area.height.saturating_sub(u16::try_from(lines.len()).unwrap_or(u16::MAX));
    text::put_lines(&lines, theme.style(note.role()), below(area, left), buf);
    Rect { height: left, ..area }
}

/// Rows with their numbers before them, where they are chosen.
fn numbered(view: &TableView) -> Vec<Vec<String>> {
    match view.choosing {
        Choosing::ReadOnly => view.rows.clone(),
        Choosing::Numbered => {
            let number = |(at, row): (usize, &Vec<String>)| {
                std::iter::once((at + 1).to_string()).chain(row.iter().cloned()).collect()
            };
            view.rows.iter().enumerate().map(number).collect()
        }
    }
}

fn heading(view: &TableView) -> Vec<String> {
    match view.choosing {
        Choosing::ReadOnly => view.head.clone(),
        Choosing::Numbered => {
            std::iter::once(String::new()).chain(view.head.iter().cloned()).collect()
        }
    }
}

/// Column widths; where the table is too wide the widest column gives way.
fn widths(head: &[String], rows: &[Vec<String>], width: u16) -> Vec<u16> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(head.len());
    let mut widths: Vec<u16> = (0..count)
        .map(|column| {
            let cells =
                rows.iter().filter_map(|row| row.get(column)).map(|cell| text::columns(cell));
            let name = head.get(column);
            cells.max().unwrap_or(0).max(name.map_or(0, |name| text::columns(name)))
        })
        .collect();
    let gaps = GAP.saturating_mul(u16::try_from(count.saturating_sub(1)).unwrap_or(u16::MAX));
    let total = |widths: &[u16]| widths.iter().fold(gaps, |sum, wide| sum.saturating_add(*wide));
    while total(&widths) > width {
        let too_much = total(&widths) - width;
        let Some(widest) = widths.iter_mut().max().filter(|widest| **widest > 4) else { break };
        *widest = widest.saturating_sub(too_much).max(4);
    }
    widths
}

fn paint_rows(
    view: &TableView,
    numbered: &[Vec<String>],
    widths: &[u16],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) {
    let fits = usize::from(area.height);
    let all = numbered.len();
    // A row that was cut is written out in full beneath; pages need a line that counts them.
    let cut = numbered.get(view.cursor).filter(|row| is_cut(row, widths));
    let in_full = cut.map(|row| text::wrap(&row.join("  "), area.width)).unwrap_or_default();
    let foot = in_full.len() + usize::from(all > fits.saturating_sub(in_full.len()));
    let page = fits.saturating_sub(foot).max(1);
    let first = view.cursor.min(all.saturating_sub(1)) / page * page;
    for (at, row) in numbered.iter().enumerate().skip(first).take(page) {
        let place = frame::row(area, u16::try_from(at - first).unwrap_or(u16::MAX));
        let role = if at == view.cursor { Role::Cursor } else { Role::Text };
        if role == Role::Cursor {
            buf.set_style(place, theme.style(role));
        }
        paint_row(row, widths, theme, role, place, buf);
    }
    let mut at = area.height.saturating_sub(u16::try_from(foot).unwrap_or(u16::MAX));
    at += text::put_lines(&in_full, theme.style(Role::Title), below(area, at), buf);
    if all > page {
        let last = (first + page).min(all);
        let place = format!("{} to {last} of {all}", first + 1);
        text::put(&place, theme.style(Role::Text), row(area, at), buf);
    }
}

fn is_cut(row: &[String], widths: &[u16]) -> bool {
    row.iter().zip(widths).any(|(cell, wide)| text::columns(cell) > *wide)
}

fn paint_row(
    cells: &[String],
    widths: &[u16],
    theme: Theme,
    role: Role,
    area: Rect,
    buf: &mut Buffer,
) {
    let mut x = area.x;
    for (cell, wide) in cells.iter().zip(widths) {
        let place = Rect { x, width: *wide, ..area }.intersection(area);
        text::put(cell, theme.style(role), place, buf);
        x = x.saturating_add(*wide).saturating_add(GAP);
    }
}
