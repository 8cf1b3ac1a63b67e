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
}

/// Blanks between columns.
const GAP: u16 = 2;

/// Paints the page: the chart goes before the table where there is not room for both.
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
    let mut at = text::put_lines(&title, theme.style(Role::Title), middle, buf);
    let lines = text::wrap_all(&page.lines, middle.width);
    at += text::put_lines(&lines, theme.style(Role::Text), below(middle, at), buf);
    if let Some(chart) = &page.chart {
        let drawn = chart_text(chart, page.unit, usize::from(middle.width));
        at += text::put_lines(&drawn, theme.style(Role::Text), below(middle, at), buf);
    }
    table(&page.rows, theme, below(middle, at), buf);
}

/// Paints the rows as far as there is room, and how many there is none for; the first one is the head.
fn table(rows: &[Vec<String>], theme: Theme, area: Rect, buf: &mut Buffer) {
    let count = rows.first().map_or(0, Vec::len);
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| text::columns(cell.trim())).max().unwrap_or(0)
    };
    let widths: Vec<u16> = (0..count).map(wide).collect();
    let height = usize::from(area.height);
    let hidden = if rows.len() > height { rows.len() + 1 - height } else { 0 };
    let shown = rows.len() - hidden;
    if hidden > 0 && height > 0 {
        let foot = row(area, area.height - 1);
        text::put(&format!("... +{hidden}"), theme.style(Role::Text), foot, buf);
    }
    for (at, cells) in (0..area.height).zip(rows.iter().take(shown)) {
        let role = if at == 0 { Role::Title } else { Role::Text };
        let mut x = 0;
        for (cell, width) in cells.iter().zip(&widths) {
            let line = row(area, at);
            let left = line.width.saturating_sub(x);
            let place = Rect { x: line.x + x.min(line.width), width: left.min(*width), ..line };
            text::put(&text::cut(cell.trim(), place.width), theme.style(role), place, buf);
            x += width + GAP;
        }
    }
}
