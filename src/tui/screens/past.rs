//! A page of an engine's past: what is said, the chart over running hours, the services below.

use super::frame::{self, Around, below, row};
use crate::report::chart::chart_text;
use crate::report::history_sheet::Page;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that such a screen says.
#[derive(Clone, Debug, PartialEq)]
pub struct PastView {
    /// Open items, status, note, keys.
    pub around: Around,
    /// The page.
    pub page: Page,
    /// How far it is scrolled, in screenfuls.
    pub scrolled: usize,
}

/// Blanks between columns.
const GAP: u16 = 2;

/// Paints the page: all of it where it fits, else a screenful of it.
pub fn paint(view: &PastView, theme: Theme, area: Rect, buf: &mut Buffer) {
    let page = &view.page;
    if !frame::has_room(area) {
        let first = page.lines.first().cloned().unwrap_or_default();
        let wanted = [(page.title.clone(), Role::Title), (first, Role::Text)];
        frame::paint_cramped(&wanted, theme, area, buf);
        return;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let title = text::wrap(&page.title, middle.width);
    let at = text::put_lines(&title, theme.style(Role::Title), middle, buf);
    let lines = lines(page, middle.width);
    let rest = below(middle, at);
    let fits = usize::from(rest.height);
    let (first, shown) = if lines.len() <= fits {
        (0, lines.len())
    } else {
        let room = fits.saturating_sub(1).max(1);
        let first = (view.scrolled * room).min(lines.len().saturating_sub(1) / room * room);
        (first, room.min(lines.len() - first))
    };
    for ((line, role), place) in lines.iter().skip(first).take(shown).zip(rest.rows()) {
        text::put(line, theme.style(*role), place, buf);
    }
    if shown < lines.len() {
        let foot = row(rest, rest.height.saturating_sub(1));
        let words =
            format!("Page down: lines {} to {} of {}", first + 1, first + shown, lines.len());
        text::put(&words, theme.style(Role::Text), foot, buf);
    }
}

/// Everything under the title: what is said, the chart, the services in columns, or folded where
/// they are too wide.
fn lines(page: &Page, width: u16) -> Vec<(String, Role)> {
    let mut lines: Vec<String> = text::wrap_all(&page.lines, width);
    if let Some(chart) = &page.chart {
        lines.extend(chart_text(chart, page.unit, usize::from(width)));
    }
    let mut lines: Vec<(String, Role)> = lines.into_iter().map(|line| (line, Role::Text)).collect();
    for (at, cells) in in_columns(&page.rows).iter().enumerate() {
        let role = if at == 0 { Role::Title } else { Role::Text };
        let folded = text::wrap(cells, width);
        if text::columns(cells) <= width {
            lines.push((cells.clone(), role));
        } else {
            lines.extend(folded.into_iter().map(|line| (line, role)));
        }
    }
    lines
}

/// Rows with their cells one under the other.
fn in_columns(rows: &[Vec<String>]) -> Vec<String> {
    let count = rows.first().map_or(0, Vec::len);
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| text::columns(cell.trim())).max().unwrap_or(0)
    };
    let widths: Vec<u16> = (0..count).map(wide).collect();
    let line = |cells: &Vec<String>| {
        let padded = cells.iter().zip(&widths).map(|(cell, width)| {
            let cell = cell.trim();
            let blanks = usize::from((width + GAP).saturating_sub(text::columns(cell)));
            format!("{cell}{}", " ".repeat(blanks))
        });
        padded.collect::<String>().trim_end().to_owned()
    };
    rows.iter().map(line).collect()
}
