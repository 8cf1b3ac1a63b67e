//! The form of a profile: the fields of a page, the field in hand below, the engine beside.
//!
//! Usable from 40x12 on: the drawing goes first, then the lines around the field in hand.

use super::frame::{self, Note, below, row};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::{field, text};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Lines that the keys take at most.
const KEY_LINES: usize = 2;

/// How a field stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing is wrong.
    Good,
    /// It is needed and empty.
    Missing,
    /// What was typed cannot stand.
    Wrong,
}

impl Standing {
    /// Returns the sign before the field, so that nothing hangs on colour.
    fn sign(self) -> &'static str {
        match self {
            Standing::Good => " ",
            Standing::Missing => "*",
            Standing::Wrong => "!",
        }
    }
}

/// A field of the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is called.
    pub label: String,
    /// What stands in it.
    pub text: String,
    /// What that comes to: both units, the opposites.
    pub comes_to: String,
    /// How it stands.
    pub standing: Standing,
}

/// Everything that the screen says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProfileFormView {
    /// What is made, and which page.
    pub title: String,
    /// The fields; the last line is the one that writes.
    pub lines: Vec<Line>,
    /// The line that the cursor is on.
    pub cursor: usize,
    /// What is asked: of the field in hand, or on top of all.
    pub ask: String,
    /// What stands in the entry; `None` where one digit answers.
    pub entry: Option<String>,
    /// What is wrong with the field in hand, or what it comes to, or what Enter takes.
    pub says: Vec<(String, Role)>,
    /// The engine as far as it is typed.
    pub drawing: Vec<String>,
    /// The note.
    pub note: Option<Note>,
    /// The keys, the most needed first.
    pub keys: Vec<String>,
}

/// Paints the form.
pub fn paint(view: &ProfileFormView, theme: Theme, area: Rect, buf: &mut Buffer) {
    frame::ground(theme, area, buf);
    let area = area.intersection(buf.area);
    if area.width == 0 || area.height == 0 {
        return;
    }
    text::put(&text::cut(&view.title, area.width), theme.style(Role::Title), row(area, 0), buf);
    let mut keys = text::wrap_items(&view.keys, area.width);
    keys.truncate(KEY_LINES);
    let keys_at = area.height.saturating_sub(lines_of(&keys));
    text::put_lines(&keys, theme.style(Role::Text), below(area, keys_at), buf);
    let hand = hand(view, area.width, area.height);
    let hand_at = keys_at.saturating_sub(lines_of(&hand));
    paint_hand(
        view,
        &hand,
        theme,
        Rect { height: keys_at.saturating_sub(hand_at), ..below(area, hand_at) },
        buf,
    );
    let middle = Rect { height: hand_at.saturating_sub(1), ..below(area, 1) };
    let wide = view.drawing.iter().map(|line| text::columns(line)).max().unwrap_or(0);
    let beside = wide > 0 && area.width >= wide.saturating_add(46);
    let list = if beside { Rect { width: area.width - wide - 2, ..middle } } else { middle };
    if beside {
        let place = Rect { x: middle.right() - wide, width: wide, ..middle };
        text::put_lines(&view.drawing, theme.style(Role::Text), place, buf);
    }
    paint_list(view, theme, list, buf);
    if !beside {
        let at = lines_of(&view.lines) + 1;
        if middle.height >= at + lines_of(&view.drawing) {
            text::put_lines(&view.drawing, theme.style(Role::Text), below(middle, at), buf);
        }
    }
}

fn lines_of<T>(lines: &[T]) -> u16 {
    u16::try_from(lines.len()).unwrap_or(u16::MAX)
}

/// The lines of the field in hand: what is asked, a place for the entry, what is to be said.
fn hand(view: &ProfileFormView, width: u16, height: u16) -> Vec<(String, Option<Role>)> {
    let mut lines: Vec<(String, Option<Role>)> =
        text::wrap(&view.ask, width).into_iter().map(|line| (line, Some(Role::Title))).collect();
    if view.entry.is_some() {
        lines.push((String::new(), None));
    }
    let says = view.note.iter().map(|note| (note.lines(width), note.role()));
    let said = view.says.iter().map(|(words, role)| (text::wrap(words, width), *role));
    for (words, role) in says.chain(said) {
        lines.extend(words.into_iter().map(|line| (line, Some(role))));
    }
    // The list keeps three lines at least.
    let most = usize::from(height.saturating_sub(5).max(2));
    lines.truncate(most);
    lines
}

fn paint_hand(
    view: &ProfileFormView,
    lines: &[(String, Option<Role>)],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) {
    for ((line, role), at) in lines.iter().zip(0..area.height) {
        match role {
            Some(role) => {
                text::put(line, theme.style(*role), row(area, at), buf);
            }
            None => field::paint(view.entry.as_deref().unwrap_or(""), theme, row(area, at), buf),
        }
    }
}

fn paint_list(view: &ProfileFormView, theme: Theme, area: Rect, buf: &mut Buffer) {
    let fits = usize::from(area.height).max(1);
    let first = if view.lines.len() <= fits {
        0
    } else {
        view.cursor.saturating_sub(fits / 2).min(view.lines.len() - fits)
    };
    let labels = view.lines.iter().map(|line| text::columns(&line.label)).max().unwrap_or(0);
    let labels = labels.min((area.width / 5 * 2).max(8));
    for ((at, line), place) in view.lines.iter().enumerate().skip(first).zip(0..area.height) {
        let place = row(area, place);
        let role = match (at == view.cursor, line.standing) {
            (true, _) => Role::Cursor,
            (false, Standing::Wrong) => Role::Warning,
            (false, Standing::Good | Standing::Missing) => Role::Text,
        };
        let style = theme.style(role);
        buf.set_style(place, style);
        let cursor = if at == view.cursor { ">" } else { " " };
        let label = text::cut(&line.label, labels);
        let pad = usize::from(labels.saturating_sub(text::columns(&label)));
        let blanks = " ".repeat(pad);
        let whole = format!(
            "{cursor}{}{label}{blanks} {} {}",
            line.standing.sign(),
            line.text,
            line.comes_to
        );
        text::put(&text::cut(&whole, place.width), style, place, buf);
    }
}
