//! A notice for everybody who walks past: what must not be done, readable across the hangar.

use super::frame::{self, below};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that a notice says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NoticeView {
    /// The warning, a few capital words: "DO NOT TURN".
    pub words: String,
    /// What is loose, what is out, who is away since when.
    pub lines: Vec<String>,
    /// How to leave it.
    pub hint: String,
    /// What the words are drawn with.
    pub ink: Ink,
}

/// Paints a notice; the words are broken into lines so that they come out as large as they can.
pub fn paint(view: &NoticeView, theme: Theme, area: Rect, buf: &mut Buffer) {
    frame::ground(theme, area, buf);
    let area = area.intersection(buf.area);
    let mut lines = text::wrap_all(&view.lines, area.width);
    lines.extend(text::wrap(&view.hint, area.width));
    let needed = u16::try_from(lines.len()).unwrap_or(u16::MAX);
    // With air under the words, else without, else with fewer lines: the words are large first.
    let rooms = [needed.saturating_add(1), needed, area.height / 3];
    let set = rooms.into_iter().find_map(|taken| {
        digits::set(&view.words, area.width, area.height.saturating_sub(taken), view.ink)
    });
    let at = match set {
        Some(set) => {
            set.paint(view.ink, theme.style(Role::Big), area, buf);
            set.rows() + u16::from(area.height > set.rows().saturating_add(needed))
        }
        None => {
            let words = text::wrap(&view.words, area.width);
            text::put_lines(&words, theme.style(Role::Open), area, buf)
        }
    };
    let room = usize::from(area.height.saturating_sub(at));
    if lines.len() > room && room > 0 {
        let hidden = lines.len() - room;
        lines.truncate(room);
        if let Some(last) = lines.last_mut() {
            *last = format!("and {} more: press a key", hidden + 1);
        }
    }
    text::put_lines(&lines, theme.style(Role::Title), below(area, at), buf);
}
