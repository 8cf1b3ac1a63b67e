//! The form of a profile: the fields of a page, the field in hand below, the engine beside.
//!
//! Usable from 40x12 on: the engine is drawn beside the fields, below them, or told in one row.

use super::frame::{self, Note, below, row};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::{field, text};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Lines that the keys take at most.
const KEY_LINES: usize = 2;

/// Columns that the fields keep beside the drawing: at ease, and at least.
const FIELDS: (u16, u16) = (46, 34);
/// Rows that the fields keep above the drawing, and above what tells it.
const ROWS: (usize, u16) = (6, 1);

/// How a field stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing is wrong.
    Good,
    /// It is needed and empty.
    Missing,
    /// What was typed cannot stand.
    Wrong,
    /// What was typed is asked about before it is written.
    Doubted,
}

impl Standing {
    /// Returns the sign before the field, so that nothing hangs on colour.
    fn sign(self) -> &'static str {
        match self {
            Standing::Good => " ",
            Standing::Missing => "*",
            Standing::Wrong => "!",
            Standing::Doubted => "?",
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
    /// What stands beside it where there is room: what it must be, the other unit, the opposites.
    pub beside: String,
    /// What stands in its place where it has no room and nothing else stands there.
    pub brief: String,
    /// How it stands.
    pub standing: Standing,
}

/// The engine as far as it is typed; empty until its shape and its cylinders are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Drawing {
    /// With what shape it has and how it looks from its end, the most first.
    pub larger: Vec<Vec<String>>,
    /// With its captions and the opposites.
    pub full: Vec<String>,
    /// The cylinders with the opposites.
    pub paired: Vec<String>,
    /// The cylinders alone.
    pub bare: Vec<String>,
    /// Told in one row, or in a row a bank: the most telling first.
    pub strips: Vec<Vec<String>>,
}

/// Where the drawing stands.
enum Place<'a> {
    Beside(&'a [String]),
    Below(&'a [String], u16),
    Nowhere,
}

/// Everything that the screen says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProfileFormView {
    /// Which page, what is left to do, and what is made, the longest first.
    pub titles: Vec<String>,
    /// The fields; the last line is the one that writes.
    pub lines: Vec<Line>,
    /// The line that the cursor is on.
    pub cursor: usize,
    /// What is asked: of the field in hand, or on top of all.
    pub ask: String,
    /// What the digits answer, where one does; none of them is broken over two lines.
    pub choices: Vec<String>,
    /// What stands in the entry; `None` where one digit answers.
    pub entry: Option<String>,
    /// Whether the next character takes its place: then it is marked as a whole.
    pub replaced: bool,
    /// What is wrong with the field in hand, or what it comes to, or what Enter takes.
    pub says: Vec<(String, Role)>,
    /// The engine as far as it is typed.
    pub drawing: Drawing,
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
    let fits = |title: &&String| text::columns(title) <= area.width;
    let title = view.titles.iter().find(fits).or(view.titles.last());
    let title = title.map_or("", String::as_str);
    text::put(&text::cut(title, area.width), theme.style(Role::Title), row(area, 0), buf);
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
    let style = theme.style(Role::Text);
    let list = match place(view, middle.width, middle.height) {
        Place::Nowhere => middle,
        Place::Beside(lines) => {
            let wide = widest(lines);
            let place = Rect { x: middle.right() - wide, width: wide, ..middle };
            text::put_lines(lines, style, place, buf);
            Rect { width: middle.width - wide - 2, ..middle }
        }
        Place::Below(lines, at) => {
            text::put_lines(lines, style, below(middle, at), buf);
            Rect { height: at, ..middle }
        }
    };
    paint_list(view, theme, list, buf);
}

fn widest(lines: &[String]) -> u16 {
    lines.iter().map(|line| text::columns(line)).max().unwrap_or(0)
}

/// Finds a place for the drawing: as large as leaves the fields legible.
fn place(view: &ProfileFormView, width: u16, height: u16) -> Place<'_> {
    let Drawing { larger, full, paired, bare, strips } = &view.drawing;
    let all = lines_of(&view.lines);
    let beside = |lines: &[String], least: u16| {
        lines_of(lines) <= height && width >= widest(lines).saturating_add(least)
    };
    if full.is_empty() {
        return Place::Nowhere;
    }
    let captioned = || larger.iter().chain([full]);
    if let Some(lines) = captioned().find(|lines| beside(lines, FIELDS.0)) {
        return Place::Beside(lines);
    }
    let below = |lines: &&Vec<String>| height > all + lines_of(lines) && widest(lines) <= width;
    if let Some(lines) = captioned().find(below) {
        return Place::Below(lines, all + 1);
    }
    let kept = lines_of(&view.lines[..view.lines.len().min(ROWS.0)]);
    for lines in [paired, bare] {
        if height >= kept + lines_of(lines) && widest(lines) <= width {
            return Place::Below(lines, all.min(height - lines_of(lines)));
        }
    }
    if beside(bare, FIELDS.1 + 2) {
        return Place::Beside(bare);
    }
    let fits = |strip: &&Vec<String>| {
        widest(strip) <= width && height >= lines_of(strip).saturating_add(ROWS.1)
    };
    let told = strips.iter().find(fits);
    told.map_or(Place::Nowhere, |strip| Place::Below(strip, all.min(height - lines_of(strip))))
}

fn lines_of<T>(lines: &[T]) -> u16 {
    u16::try_from(lines.len()).unwrap_or(u16::MAX)
}

/// The lines of the field in hand: what is asked, a place for the entry, what is to be said. Where that has
/// no room as a whole, what is wrong stays: how the field is filled in gives way, then what it comes to.
fn hand(view: &ProfileFormView, width: u16, height: u16) -> Vec<(String, Option<Role>)> {
    // The list keeps three lines at least.
    let most = usize::from(height.saturating_sub(5).max(2));
    let label = view.ask.split_once(": ").map_or(view.ask.as_str(), |(label, _)| label);
    let ways = [(view.ask.as_str(), true), (label, true), (label, false)];
    let set = |(ask, all): &(&str, bool)| hand_of(view, ask, *all, width);
    let mut lines = ways
        .iter()
        .map(set)
        .find(|lines| lines.len() <= most)
        .unwrap_or_else(|| hand_of(view, label, false, width));
    lines.truncate(most);
    lines
}

fn hand_of(
    view: &ProfileFormView,
    ask: &str,
    all: bool,
    width: u16,
) -> Vec<(String, Option<Role>)> {
    let mut lines: Vec<(String, Option<Role>)> =
        text::wrap(ask, width).into_iter().map(|line| (line, Some(Role::Title))).collect();
    let choices = text::wrap_items(&view.choices, width);
    lines.extend(choices.into_iter().map(|line| (line, Some(Role::Text))));
    if view.entry.is_some() {
        lines.push((String::new(), None));
    }
    let says = view.note.iter().map(|note| (note.lines(width), note.role()));
    let said = view.says.iter().filter(|(_, role)| all || *role == Role::Warning);
    let said = said.map(|(words, role)| (text::wrap(words, width), *role));
    for (words, role) in says.chain(said) {
        lines.extend(words.into_iter().map(|line| (line, Some(role))));
    }
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
            None => {
                let entry = view.entry.as_deref().unwrap_or("");
                let role = if view.replaced { Role::Cursor } else { Role::Big };
                field::paint_as(entry, role, theme, row(area, at), buf);
            }
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
    let labels = labels.min((area.width * 9 / 20).max(8));
    for ((at, line), place) in view.lines.iter().enumerate().skip(first).zip(0..area.height) {
        let place = row(area, place);
        let role = match (at == view.cursor, line.standing) {
            (true, _) => Role::Cursor,
            (false, Standing::Wrong | Standing::Doubted) => Role::Warning,
            (false, Standing::Good | Standing::Missing) => Role::Text,
        };
        let style = theme.style(role);
        buf.set_style(place, style);
        let cursor = if at == view.cursor { ">" } else { " " };
        let (label, pad) = label_beside(line, labels, place.width);
        let blanks = " ".repeat(usize::from(pad));
        let whole = format!("{cursor}{}{label}{blanks} {}", line.standing.sign(), line.text);
        let between =
            if line.text.is_empty() || line.standing == Standing::Good { " " } else { " · " };
        let more = format!("{}{between}{}", whole.trim_end_matches(' '), line.beside);
        let more = if line.text.is_empty() { format!("{whole}{}", line.beside) } else { more };
        // Half of a figure, or of what must be, is worse than none: the field in hand tells it whole.
        let fits = text::columns(&more) <= place.width;
        let whole = match (fits && !line.beside.is_empty(), line.text.is_empty()) {
            (true, _) => more,
            (false, true) => format!("{whole}{}", line.brief),
            (false, false) => whole,
        };
        text::put(&text::cut(&whole, place.width), style, place, buf);
    }
}

/// Columns before a row's label, and between it and what stands in the field.
const MARKS: u16 = 3;
/// Columns by which a label can still be told.
const TOLD: u16 = 10;

/// The label of a row, and the blanks behind it: whole, and what stands in the field whole beside it, before
/// either is cut; then so much of it as leaves that whole.
fn label_beside(line: &Line, labels: u16, width: u16) -> (String, u16) {
    let room = width.saturating_sub(MARKS + text::columns(&line.text));
    // What is too long even so is whole in the field in hand.
    let room = if room < TOLD { labels } else { room };
    let label = text::cut(&line.label, room);
    let pad = labels.min(room).saturating_sub(text::columns(&label));
    (label, pad)
}
