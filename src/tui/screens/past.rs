//! A page of an engine's past: what is said, the chart over running hours, the services below.

use super::frame::{self, Around, below, row};
use super::table::fold;
use crate::report::chart::{chart_text, legend};
use crate::report::history_sheet::Page;
use crate::tui::paging::Shown;
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
    /// Which rows are shown, in which order.
    pub sifted: String,
    /// Whether something is searched: then the rows come first.
    pub searching: bool,
    /// The line that is shown first.
    pub scrolled: usize,
}

/// Blanks between columns.
const GAP: u16 = 2;

/// Paints the page: all of it where it fits, else a screenful of it.
pub fn paint(view: &PastView, theme: Theme, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    let page = &view.page;
    if !frame::has_room(area) {
        let first = page.lines.first().cloned().unwrap_or_default();
        let wanted = [(page.title.clone(), Role::Title), (first, Role::Text)];
        frame::paint_cramped(&wanted, theme, area, buf);
        return None;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let title = text::wrap(&page.title, middle.width);
    let at = text::put_lines(&title, theme.style(Role::Title), middle, buf);
    let lines = lines(view, middle.width);
    let rest = below(middle, at);
    let fits = usize::from(rest.height);
    let (first, shown) = if lines.len() <= fits {
        (0, lines.len())
    } else {
        let room = fits.saturating_sub(1).max(1);
        let first = view.scrolled.min(lines.len().saturating_sub(room));
        (first, room.min(lines.len() - first))
    };
    for ((line, role), place) in lines.iter().skip(first).take(shown).zip(rest.rows()) {
        text::put(line, theme.style(*role), place, buf);
    }
    if shown < lines.len() {
        let foot = row(rest, rest.height.saturating_sub(1));
        let key = if first + shown < lines.len() { "Page down" } else { "Page up" };
        let words = format!("{key}: lines {} to {} of {}", first + 1, first + shown, lines.len());
        text::put(&words, theme.style(Role::Text), foot, buf);
    }
    Some(Shown { first, end: first + shown, all: lines.len() })
}

/// Everything under the title: what is said, the chart, the table; the table first where one searches
/// in it, so that what is found is seen in a small window too.
fn lines(view: &PastView, width: u16) -> Vec<(String, Role)> {
    let page = &view.page;
    let mut said: Vec<String> = text::wrap_all(&page.lines, width);
    if let Some(chart) = &page.chart {
        said.extend(chart_text(chart, page.unit, usize::from(width)));
        said.extend(text::wrap(&legend(chart), width));
    }
    let mut said: Vec<(String, Role)> = said.into_iter().map(|line| (line, Role::Text)).collect();
    let mut table = table(view, width);
    if view.searching {
        table.append(&mut said);
        return table;
    }
    said.append(&mut table);
    said
}

/// What is shown and in which order, and the rows in columns, or folded where they are too wide.
fn table(view: &PastView, width: u16) -> Vec<(String, Role)> {
    let sifted = text::wrap(&view.sifted, width).into_iter();
    let mut lines: Vec<(String, Role)> = sifted.map(|line| (line, Role::Text)).collect();
    if view.page.rows.is_empty() {
        return lines;
    }
    let columns = in_columns(&view.page);
    if columns.iter().any(|line| text::columns(line) > width) {
        let rows = view.page.rows.iter().flat_map(|row| fold(&view.page.head, row, width));
        lines.extend(rows.map(|line| (line, Role::Text)));
        return lines;
    }
    let roles = std::iter::once(Role::Title).chain(std::iter::repeat(Role::Text));
    lines.extend(columns.into_iter().zip(roles));
    lines
}

/// The head and the rows with their cells one under the other.
fn in_columns(page: &Page) -> Vec<String> {
    let rows: Vec<&Vec<String>> = std::iter::once(&page.head).chain(&page.rows).collect();
    let count = page.head.len();
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| text::columns(cell.trim())).max().unwrap_or(0)
    };
    let widths: Vec<u16> = (0..count).map(wide).collect();
    let line = |cells: &&Vec<String>| {
        let padded = cells.iter().zip(&widths).map(|(cell, width)| {
            let cell = cell.trim();
            let blanks = usize::from((width + GAP).saturating_sub(text::columns(cell)));
            format!("{cell}{}", " ".repeat(blanks))
        });
        padded.collect::<String>().trim_end().to_owned()
    };
    rows.iter().map(line).collect()
}
