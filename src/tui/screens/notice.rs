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
    let room = area.height.saturating_sub(needed.saturating_add(1));
    let at = match digits::set(&view.words, area.width, room, view.ink) {
        Some(set) => {
            set.paint(view.ink, theme.style(Role::Big), area, buf);
            set.rows() + 1
        }
        None => {
            let words = text::wrap(&view.words, area.width);
            text::put_lines(&words, theme.style(Role::Open), area, buf)
        }
    };
    text::put_lines(&lines, theme.style(Role::Title), below(area, at), buf);
}
