//! A page of an engine's past: what is said, the chart over running hours, the services below.

use super::frame::{self, Around, below, row};
use super::past_charts::{self, Named};
use super::table::{READABLE, fold, narrowed, total, wrapped};
use crate::report::chart::{AXIS, ROWS, chart_in, legend};
use crate::report::history_sheet::Page;
use crate::tui::paging::Shown;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Rows beyond which a chart tells no more.
const HIGHEST: usize = 40;

/// Everything that such a screen says.
#[derive(Clone, Debug, PartialEq)]
pub struct PastView {
    /// Open items, status, note, keys.
    pub around: Around,
    /// The page.
    pub page: Page,
    /// The charts of all valves that it names, where it is the glance at all of them.
    pub charts: Vec<Named>,
    /// Which rows are shown, in which order.
    pub sifted: String,
    /// Whether something is searched: then the rows come first.
    pub searching: bool,
    /// The line that is shown first.
    pub scrolled: usize,
}

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
    let rows = text::wrap(&page.title, middle.width).len();
    let (title, role) = frame::said_for_a_title(&view.around, &page.title);
    let mut title = text::wrap(&title, middle.width);
    title.resize(rows, String::new());
    let at = text::put_lines(&title, theme.style(role), middle, buf);
    let rest = below(middle, at);
    let lines = lines(view, rest.width, rest.height);
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
    if shown == lines.len() {
        let under = u16::try_from(shown + 1).unwrap_or(u16::MAX);
        past_charts::paint(&view.charts, theme, below(rest, under.min(rest.height)), buf);
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
fn lines(view: &PastView, width: u16, height: u16) -> Vec<(String, Role)> {
    let page = &view.page;
    let mut said: Vec<String> = text::wrap_all(&page.lines, width);
    let mut table = table(view, width);
    if let Some(chart) = &page.chart {
        let legend = text::wrap(&legend(chart), width);
        // The chart is as high as all else leaves room for.
        let taken = said.len() + legend.len() + AXIS + table.len();
        let rows = usize::from(height).saturating_sub(taken).clamp(ROWS, HIGHEST);
        said.extend(chart_in(chart, page.unit, usize::from(width), rows));
        said.extend(legend);
    }
    let mut said: Vec<(String, Role)> = said.into_iter().map(|line| (line, Role::Text)).collect();
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
    let (rows, widths) = trimmed(&view.page);
    let fits = total(&widths) <= width;
    // Where the widest column gives way its words go on under themselves.
    let widths = if fits { Some(widths) } else { narrowed(&widths, width, READABLE) };
    let Some(widths) = widths else {
        let rows = view.page.rows.iter().flat_map(|row| fold(&view.page.head, row, width));
        lines.extend(rows.map(|line| (line, Role::Text)));
        return lines;
    };
    let roles = std::iter::once(Role::Title).chain(std::iter::repeat(Role::Text));
    for (row, role) in rows.iter().zip(roles) {
        lines.extend(wrapped(row, &widths).into_iter().map(|line| (line, role)));
    }
    lines
}

/// The head and the rows, without the blanks that a sheet needs, and how wide each column is.
fn trimmed(page: &Page) -> (Vec<Vec<String>>, Vec<u16>) {
    let rows: Vec<Vec<String>> = std::iter::once(&page.head)
        .chain(&page.rows)
        .map(|cells| cells.iter().map(|cell| cell.trim().to_owned()).collect())
        .collect();
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| text::columns(cell)).max().unwrap_or(0)
    };
    let widths = (0..page.head.len()).map(wide).collect();
    (rows, widths)
}
