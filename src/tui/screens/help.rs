//! The help: short lines in as many columns as the window has room for, like a newspaper.
//!
//! A line is never broken anew, so that a drawing and the words beside it stay as they are in every
//! window; a heading stays with what follows it, a drawing is kept in one piece.

use super::frame::{self, Around, below, row};
use crate::guide::help::WIDTH;
use crate::tui::paging::Shown;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink, Set};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// What a line of the help is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The heading of what follows.
    Head,
    /// Text, or a line of a drawing.
    Text,
}

/// A line of the help, no wider than a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub kind: Kind,
    /// What it says.
    pub text: String,
    /// Whether the next line has to stand in the same column.
    pub keeps_next: bool,
}

/// Everything that the screen says.
#[derive(Clone, Debug, PartialEq)]
pub struct HelpView {
    /// Open items, status, note, keys.
    pub around: Around,
    /// What it is about.
    pub title: String,
    /// The lines.
    pub lines: Vec<Line>,
    /// The line that is shown first.
    pub first: usize,
    /// What large letters are drawn with.
    pub ink: Ink,
}

impl Line {
    /// Tells whether it is a heading.
    pub fn is_head(&self) -> bool {
        self.kind == Kind::Head
    }
}

/// Rows between top line and keys from which on the title is large where there is room, and its largest.
const ROOMY: u16 = 36;
const LARGEST: u16 = 7;
/// Blanks between columns.
const GAP: u16 = 3;
/// Columns of a column.
const WIDE: u16 = WIDTH as u16;

/// Paints the lines from the first one on, and how many there are before and after.
pub fn paint(view: &HelpView, theme: Theme, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    if area.width < WIDE || area.height < 8 {
        let shown = view.lines.get(view.first).map(|line| line.text.clone()).unwrap_or_default();
        let wanted = [(view.title.clone(), Role::Title), (shown, Role::Text)];
        frame::paint_cramped(&wanted, theme, area, buf);
        return None;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let columns = usize::from((middle.width + GAP) / (WIDE + GAP)).max(1);
    let height = balanced(view, usize::from(middle.height.saturating_sub(1)), columns);
    let large = large_title(view, middle, height);
    let list = below(middle, large.as_ref().map_or(1, |set| set.rows() + 1));
    let ends = flow(&view.lines, view.first, height, columns);
    let mut from = view.first;
    for (column, &to) in (0_u16..).zip(&ends) {
        let left = list.x.saturating_add(column.saturating_mul(WIDE + GAP));
        let shown = view.lines.get(from..to).unwrap_or_default();
        for (at, line) in (0_u16..).zip(shown) {
            let place = row(list, at);
            let place = Rect { x: left, width: WIDE, ..place }.intersection(place);
            let role = if line.is_head() { Role::Title } else { Role::Text };
            text::put(&line.text, theme.style(role), place, buf);
        }
        from = to;
    }
    match &large {
        Some(set) => set.paint(view.ink, theme.style(Role::Big), middle, buf),
        None => paint_title(view, from, theme, row(middle, 0), buf),
    }
    Some(Shown { first: view.first, end: from, all: view.lines.len() })
}

/// The rows in which all columns are used alike where everything fits; else all that there are.
fn balanced(view: &HelpView, height: usize, columns: usize) -> usize {
    let fits = |rows: &usize| {
        flow(&view.lines, view.first, *rows, columns).last() == Some(&view.lines.len())
            && view.first == 0
    };
    (1..=height).find(fits).unwrap_or(height)
}

/// The title in large letters, in a roomy window with nothing else to say in its place.
fn large_title(view: &HelpView, middle: Rect, height: usize) -> Option<Set> {
    let rows = middle.height.checked_sub(u16::try_from(height).ok()?.checked_add(2)?)?;
    let said = frame::said_for_a_title(&view.around, &view.title).1 != Role::Title;
    let title = view.title.to_uppercase();
    let roomy = middle.height >= ROOMY && !said && digits::can_write(&title);
    let set = digits::set(&title, middle.width, rows.min(LARGEST), view.ink).filter(|_| roomy)?;
    (set.lines.len() <= 2).then_some(set)
}

/// Paints the title, and at the right which lines are shown where there are more.
fn paint_title(view: &HelpView, end: usize, theme: Theme, row: Rect, buf: &mut Buffer) {
    let all = view.lines.len();
    let part = match (view.first, end) {
        (0, end) if end == all => String::new(),
        (first, end) => format!("{} to {end} of {all}", first + 1),
    };
    let wide = text::columns(&part).min(row.width);
    let right = Rect { x: row.right() - wide, width: wide, ..row };
    text::put(&part, theme.style(Role::Text), right, buf);
    let left = Rect { width: (row.width - wide).saturating_sub(1), ..row };
    let (words, role) = frame::said_for_a_title(&view.around, &view.title);
    text::put(&text::cut(&words, left.width), theme.style(role), left, buf);
}

/// Lays lines out in columns from one of them on; returns where each column ends.
fn flow(lines: &[Line], first: usize, height: usize, columns: usize) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut from = first;
    while from < lines.len() && ends.len() < columns {
        let full = (from + height.max(1)).min(lines.len());
        // Back to where a column may end; what no column can hold is cut. The last column is filled:
        // an arrow brings up the rest.
        let may_end = |at: &usize| lines.get(at - 1).is_none_or(|line| !line.keeps_next);
        let last = ends.len() + 1 == columns;
        let end = (from + 1..=full).rev().find(|at| last || may_end(at));
        from = end.unwrap_or(full);
        ends.push(from);
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(keeps_next: bool) -> Line {
        Line { kind: Kind::Text, text: "x".into(), keeps_next }
    }

    #[test]
    fn a_drawing_is_kept_in_one_piece_where_a_column_can_hold_it() {
        let mut lines = vec![line(false); 5];
        lines.extend([true, true, true, false].map(line));
        assert_eq!(flow(&lines, 0, 8, 2), [5, 9]);
        assert_eq!(flow(&lines, 0, 9, 1), [9]);
        // The last column has nowhere to go on.
        assert_eq!(flow(&lines, 0, 8, 1), [8]);
        // Lower than the drawing: it is cut, and nothing is lost.
        assert_eq!(flow(&lines, 5, 3, 2), [8, 9]);
    }

    #[test]
    fn columns_go_on_where_the_one_before_ended_and_reach_the_end() {
        let lines: Vec<Line> = (0..57).map(|at| line(at % 7 != 0)).collect();
        for height in 0..20 {
            for first in 0..57 {
                let ends = flow(&lines, first, height, 100);
                assert!(ends.iter().zip(ends.iter().skip(1)).all(|(one, next)| one < next));
                assert_eq!(ends.last(), Some(&57), "{height} {first}");
            }
        }
    }
}
