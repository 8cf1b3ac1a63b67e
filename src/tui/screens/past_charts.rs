//! The charts of all valves side by side under the glance at an engine's past, in a window with room for
//! them: what moves is seen before a page is turned.

use super::frame::{below, row};
use crate::domain::units::LengthUnit;
use crate::report::chart::{AXIS, Chart, chart_in, legend_of};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns of a chart at least, and blanks between two.
const WIDE: u16 = 50;
const GAP: u16 = 4;
/// Rows of a chart with its name and its axis, at least and at most.
const HIGH: (u16, u16) = (8, 16);

/// A chart with the name of its valve.
pub type Named = (String, Chart, LengthUnit);

/// Paints as many charts as there is room for, in the order of the rows above them.
pub fn paint(charts: &[Named], theme: Theme, area: Rect, buf: &mut Buffer) {
    let across = (area.width + GAP) / (WIDE + GAP);
    let wide = ((area.width + GAP) / across.max(1)).saturating_sub(GAP);
    // Below them what their signs mean, and how many there was no room for.
    let (foot, area) = (
        row(area, area.height.saturating_sub(1)),
        Rect { height: area.height.saturating_sub(1), ..area },
    );
    let fit = area.height / HIGH.0;
    // A page of one valve has none here, nor has a past in which nothing is found.
    if charts.is_empty() || fit == 0 || across < 2 {
        return;
    }
    let needed = u16::try_from(charts.len()).unwrap_or(u16::MAX).div_ceil(across);
    let high = (area.height / needed.min(fit)).min(HIGH.1);
    let places = (0..fit).flat_map(|down| (0..across).map(move |along| (down, along)));
    for ((name, chart, unit), (down, along)) in charts.iter().zip(places) {
        let top = below(area, down * high);
        let place = Rect { x: area.x + along * (wide + GAP), width: wide, ..top };
        text::put(name, theme.style(Role::Title), row(place, 0), buf);
        // A row of air below each.
        let rows = usize::from(high).saturating_sub(AXIS + 2);
        let lines = chart_in(chart, *unit, usize::from(wide), rows);
        text::put_lines(&lines, theme.style(Role::Text), below(place, 1), buf);
    }
    let shown = charts.len().min(usize::from(fit) * usize::from(across));
    let drawn: Vec<&Chart> = charts.iter().take(shown).map(|(_, chart, _)| chart).collect();
    let more = match charts.len() - shown {
        0 => String::new(),
        more => format!("and {more} more: right turns to each; "),
    };
    text::put(&format!("{more}{}", legend_of(&drawn)), theme.style(Role::Text), foot, buf);
}
