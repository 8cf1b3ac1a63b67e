//! A notice for everybody who walks past: what must not be done, readable across the hangar.

use super::frame::{self, below};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink, Size};
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
    let mut at = 0;
    match largest(&view.words, area.width, room, view.ink) {
        Some((size, words)) => {
            for line in words {
                digits::paint(&line, size, view.ink, theme.style(Role::Big), below(area, at), buf);
                at += size.rows() + 1;
            }
        }
        None => {
            let words = text::wrap(&view.words, area.width);
            at = text::put_lines(&words, theme.style(Role::Open), area, buf);
        }
    }
    text::put_lines(&lines, theme.style(Role::Title), below(area, at), buf);
}

/// The largest size, and the lines, at which all words fit with a row between the lines.
fn largest(words: &str, columns: u16, rows: u16, ink: Ink) -> Option<(Size, Vec<String>)> {
    let words: Vec<&str> = words.split_whitespace().collect();
    (1..=words.len())
        .filter_map(|lines| {
            let each = (rows + 1).checked_div(u16::try_from(lines).ok()?)?.saturating_sub(1);
            Size::ALL.into_iter().filter(|size| size.rows() <= each).find_map(|size| {
                let broken = break_words(&words, size, columns)?;
                let fits = broken.len() <= lines && size.can_be_drawn_in(ink);
                fits.then_some((size, broken))
            })
        })
        .max_by_key(|(size, lines)| (size.rows(), size.columns("0"), usize::MAX - lines.len()))
}

/// Words set into lines of large text; `None` where a single word is too wide.
fn break_words(words: &[&str], size: Size, columns: u16) -> Option<Vec<String>> {
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        if size.columns(word) > columns {
            return None;
        }
        match lines.last_mut() {
            Some(line) if size.columns(&format!("{line} {word}")) <= columns => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) | None => lines.push((*word).to_owned()),
        }
    }
    Some(lines)
}
