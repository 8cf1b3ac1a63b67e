//! Answers side by side: each digit stands out from the words around it, the chosen one most.

use super::SessionView;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// What stands before the digit that is chosen.
pub(super) const CHOSEN: &str = "> ";
/// What stands between two answers.
const BETWEEN: &str = "  ";

/// The digits that are still to be found in the lines, in their order: a figure within an answer's words
/// is none.
pub(super) struct Answers<'a> {
    view: &'a SessionView,
    next: usize,
}

impl<'a> Answers<'a> {
    pub(super) fn of(view: &'a SessionView) -> Answers<'a> {
        Answers { view, next: 0 }
    }

    /// Paints a line of answers.
    pub(super) fn paint(&mut self, words: &str, theme: Theme, row: Rect, buf: &mut Buffer) {
        let put = |words: &str, role: Role, at: u16, buf: &mut Buffer| {
            let rest = Rect { x: at, width: row.right().saturating_sub(at), ..row };
            text::put(words, theme.style(role), rest, buf)
        };
        let (mut rest, mut at) = (words, row.x);
        while let Some((before, digit, after)) = self.split(rest) {
            at = put(before, Role::Text, at, buf);
            let chosen = self.view.has_chosen(digit);
            at = put(digit, if chosen { Role::Cursor } else { Role::Key }, at, buf);
            rest = after;
            self.next += 1;
        }
        put(rest, Role::Text, at, buf);
    }

    /// What stands before the next digit, the digit, and what stands behind it.
    fn split<'w>(&self, words: &'w str) -> Option<(&'w str, &'w str, &'w str)> {
        let digit = self.view.prompt.field.choices.get(self.next)?.digit.to_string();
        let begins = |at: usize| {
            let (before, from) = words.split_at(at);
            let before = before.strip_suffix(CHOSEN).unwrap_or(before);
            let after = from.strip_prefix(digit.as_str())?;
            let apart = before.is_empty() || before.ends_with(BETWEEN);
            (apart && after.starts_with(' ')).then_some(after)
        };
        let ends = words.match_indices(digit.as_str()).map(|(at, _)| at);
        ends.filter_map(|at| Some((at, begins(at)?))).next().map(|(at, after)| {
            let (before, from) = words.split_at(at);
            (before, from.get(..digit.len()).unwrap_or_default(), after)
        })
    }
}
