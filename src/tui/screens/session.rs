//! The session's screen: one question, with everything of its stop in sight at once.
//!
//! What belongs together stands together from the top down: what to do, the large words, how, the
//! question, what may be answered, what was said, and the verdict on what was read just now. A number
//! that is typed stands beside the large words, where nothing else changes for a further digit; where
//! there is no room for that it takes their place. What gives way where room is short is stated in `order`,
//! found out in `plan`, and painted here.

mod answers;
mod back;
mod beside;
mod compact;
mod fit;
mod free;
mod more;
mod order;
mod plan;
mod strip;
mod typed;
mod whole;
mod words;

use super::frame::{self, Around, Note, below};
use crate::domain::ascii::ascii;
use crate::guide::{Prompt, Typed};
use crate::tui::paging::Shown;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, BETWEEN, Ink};
use crate::tui::widgets::drawing::Drawing;
use crate::tui::widgets::picture::PictureView;
use crate::tui::widgets::{field, text};
use answers::Answers;
use fit::{Place, rows};
use order::Room;
use plan::{Plan, plan};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use typed::in_place;

/// Everything that the session's screen says.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionView {
    /// Open items, status, note, keys; `place` is the prompt's.
    pub around: Around,
    /// The question.
    pub prompt: Prompt,
    /// What stands in the entry.
    pub entry: String,
    /// What the entry is taken for; empty where nothing is typed.
    pub taken_for: String,
    /// What was said before the first character: its room stays free while more is typed, so that
    /// nothing moves.
    pub was_said: Option<Note>,
    /// The engine; `None` where it says nothing to the question.
    pub engine: Option<Drawing>,
    /// The same where that is so: it is drawn only in room that the question leaves.
    pub where_free: Option<Drawing>,
    /// The picture of the stop; `None` where the crank is not being turned.
    pub picture: Option<PictureView>,
    /// What large digits are drawn with.
    pub ink: Ink,
    /// The line of how that is shown first, where all of them have to be read and do not fit.
    pub first: usize,
}

const GAP: u16 = 2;

/// Said in a window that has no room for a question with its open items and all its answers.
pub(in crate::tui) const NO_ANSWERS: &str = "no key answers here: make it larger";

/// Paints the screen; returns which lines of how it shows, where all of them have to be read.
pub fn paint(view: &SessionView, theme: Theme, area: Rect, buf: &mut Buffer) -> Option<Shown> {
    if !frame::has_room(area) {
        frame::paint_cramped(&essentials(view), theme, area, buf);
        let all = usize::from(view.prompt.field.whole);
        return (all > 0).then_some(Shown { first: 0, end: 0, all });
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let room = Room { width: middle.width, height: middle.height, window: area.height };
    let plan = plan(view, room);
    let Plan { view, fit, .. } = &plan;
    let strip = fit.strip.as_ref().map_or(0, |strip| strip.rows());
    if let Some(strip) = &fit.strip {
        strip.paint(theme, below(middle, middle.height - strip.rows()), buf);
    }
    let middle = Rect { height: middle.height - strip, ..middle };
    paint_question(&plan, theme, middle, buf);
    if let (Some(engine), Some(detail)) = (&view.engine, fit.detail) {
        let x = middle.right().saturating_sub(fit.side.saturating_sub(GAP));
        let right = Rect { x, width: middle.right().saturating_sub(x), ..middle };
        if let (Some(picture), Some((extent, at))) = (&view.picture, fit.picture) {
            picture.paint(extent, theme, below(right, at), buf);
        }
        // A ring takes all the height it is offered; and it stays at the right, however wide its picture is.
        let (columns, rows) = fit.drawn;
        let drawing = Rect {
            x: middle.right().saturating_sub(columns),
            width: columns.min(middle.width),
            height: rows.min(middle.height),
            ..middle
        };
        engine.paint(detail, theme, drawing, buf);
    }
    fit.shown
}

impl SessionView {
    /// The large words: the prompt's, or room for the number that is to be typed.
    fn words(&self) -> Option<&str> {
        match &self.prompt.big {
            Some(big) => Some(&big.text),
            None if self.prompt.field.is_number() => Some("0"),
            None => None,
        }
    }

    /// The same and what they are in more words, the longest first.
    fn all_words(&self) -> impl Iterator<Item = &str> {
        let longer = self.prompt.big.iter().flat_map(|big| &big.longer);
        longer.map(String::as_str).chain(self.words())
    }

    /// Tells whether this digit is typed among choices that wait for Enter.
    fn has_chosen(&self, digit: &str) -> bool {
        self.prompt.field.typed == Some(Typed::Digit) && self.entry == digit
    }

    /// The number that is being typed, or the text that can be written in large letters.
    fn typed(&self) -> Option<&str> {
        let typed = self.entry.as_str();
        let large = self.prompt.field.is_number() || self.is_text() && digits::can_write(typed);
        (large && !typed.is_empty()).then_some(typed)
    }

    fn is_text(&self) -> bool {
        self.prompt.field.typed == Some(Typed::Text)
    }
}

/// What is shown of a question where the window is too small, the most needed first.
fn essentials(view: &SessionView) -> Vec<(String, Role)> {
    let mut wanted = Vec::new();
    wanted.push((NO_ANSWERS.into(), Role::Warning));
    if !view.entry.is_empty() {
        wanted.push((format!("> {}", view.entry), Role::Big));
    }
    wanted.extend(view.around.alert.iter().map(|alert| (alert.clone(), Role::Open)));
    wanted.extend(view.around.open.iter().map(|item| (format!("OPEN: {item}"), Role::Open)));
    // What may be answered is not shown: it does not count here.
    if let Some(note) = view.around.note.as_ref().filter(|note| note.text != NO_ANSWERS) {
        wanted.push((note.text.clone(), Role::Warning));
    }
    wanted.push((view.prompt.ask.clone(), Role::Text));
    if let Some(big) = &view.prompt.big {
        let words = if view.ink.is_plain() { ascii(&big.text) } else { big.text.clone() };
        wanted.push((words, Role::Big));
    }
    wanted.push((view.prompt.title.clone(), Role::Title));
    wanted
}

/// A line of the question.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Line {
    Words(String, Role),
    Choice {
        digit: String,
        label: String,
    },
    /// Answers side by side, each behind its digit.
    Answers(String),
    Entry,
    /// The question with an empty entry behind it.
    Asked(String, Role),
}

/// Paints the parts from the top, with air between them as far as there is any.
fn paint_question(plan: &Plan<'_>, theme: Theme, area: Rect, buf: &mut Buffer) {
    let Plan { view, fit, .. } = plan;
    let [title, caption, lines, answer] = &fit.parts;
    let gaps = u16::from(fit.big.is_some()) + u16::from(!lines.is_empty()) + 1;
    let air = if fit.spare >= 8 * gaps { 2 } else { (fit.spare / gaps).min(1) };
    let beside = fit.cap_columns();
    let head = indent(Rect { width: area.width.saturating_sub(fit.side), ..area }, beside);
    if let Some((cap, _)) = &fit.cap {
        cap.paint(view.ink, theme.style(Role::Big), area, buf);
    }
    let body = match fit.place {
        Place::Whole => Rect { width: area.width.saturating_sub(fit.side), ..area },
        Place::Head { .. } => area,
    };
    let told = indent(body, beside);
    let mut at = paint_lines(view, title, theme, head, buf);
    if view.words().is_some() && !fit.in_title {
        at += air;
        at += paint_large(plan, theme, below(head, at), buf);
        at += paint_lines(view, caption, theme, below(head, at), buf);
    }
    if let Place::Head { rows } = fit.place {
        at = at.max(rows);
    }
    if !lines.is_empty() {
        at += air;
        let (beside, round) =
            lines.split_at(fit.beside.map_or(lines.len(), |n| n.min(lines.len())));
        at += paint_lines(view, beside, theme, below(told, at), buf);
        at += paint_lines(view, round, theme, below(body, at), buf);
    }
    at = at.max(fit.cap.as_ref().map_or(0, |(cap, _)| cap.rows())) + air;
    // The answer and the verdict are never pushed out at the foot.
    let verdict = fit.verdict.as_ref().map_or(0, |set| set.rows());
    let at = at.min(area.height.saturating_sub(rows(answer.len()) + verdict));
    let at = at + paint_lines(view, answer, theme, below(body, at), buf);
    let said = view.around.note.as_ref().is_some_and(|note| !note.large.is_empty());
    if let Some(set) = fit.verdict.as_ref().filter(|_| said) {
        let under = u16::from(area.height > at + verdict).min(air);
        set.paint(view.ink, theme.style(Role::Good), below(body, at + under), buf);
    }
}

/// Paints the large words, or what is being typed in their place; returns the rows they took.
fn paint_large(plan: &Plan<'_>, theme: Theme, area: Rect, buf: &mut Buffer) -> u16 {
    let Plan { view, fit, room } = plan;
    let Some(set) = &fit.big else {
        let Some(big) = &view.prompt.big else { return 0 };
        let plain = if view.ink.is_plain() { ascii(&big.text) } else { big.text.clone() };
        text::put(&plain, theme.style(Role::Big), frame::row(area, 0), buf);
        return 1;
    };
    let style = theme.style(Role::Big);
    let named = view.prompt.big.as_ref().is_some_and(|big| !big.gives_way);
    // Where nothing else is large its room is the number's; a text is as long as it can be.
    let cheap = named && !room.is_quick() || view.is_text();
    let least = if cheap { room.least() } else { set.rows() };
    let room = (area.width, set.rows());
    let typed = view.typed();
    let beside = typed.and_then(|typed| Some((typed, fit.typed_beside(typed, area)?)));
    let instead = || typed.and_then(|typed| in_place(typed, room, view.ink, least));
    if let Some((typed, beside)) = beside {
        set.paint(view.ink, style, area, buf);
        text::put("=", style, beside.equals, buf);
        digits::paint(typed, beside.size, view.ink, style, beside.area, buf);
        let end = (beside.size.columns(typed), beside.size.rows());
        paint_meant(view, end, theme, beside.area, buf);
    } else if let Some(typed) = instead() {
        let foot = set.rows().saturating_sub(typed.rows());
        typed.paint(view.ink, style, below(area, foot), buf);
        let last = typed.lines.last().map_or(0, |line| typed.size.columns(line));
        paint_meant(view, (last, typed.rows()), theme, below(area, foot), buf);
    } else if view.prompt.big.is_some() {
        set.paint(view.ink, style, area, buf);
    }
    let Some(then) = &fit.then else { return set.rows() };
    let at = set.rows() + BETWEEN;
    then.paint(view.ink, style, below(area, at), buf);
    at + then.rows()
}

/// Says behind a large figure, on its foot, what it is taken for: with its unit, where there is room.
fn paint_meant(view: &SessionView, end: (u16, u16), theme: Theme, area: Rect, buf: &mut Buffer) {
    let words = view.taken_for.split_once(" (").map_or("", |(words, _)| words);
    let place = indent(frame::row(area, end.1.saturating_sub(1)), end.0 + GAP);
    if text::columns(words) <= place.width {
        text::put(words, theme.style(Role::Title), place, buf);
    }
}

fn paint_lines(
    view: &SessionView,
    lines: &[Line],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) -> u16 {
    let mut answers = Answers::of(view);
    for (line, row) in lines.iter().zip(area.rows()) {
        match line {
            Line::Answers(words) => answers.paint(words, theme, row, buf),
            Line::Words(words, role) => {
                text::put(words, theme.style(*role), row, buf);
            }
            Line::Choice { digit, label } => {
                let chosen = !digit.is_empty() && view.has_chosen(digit);
                let role = if chosen { Role::Cursor } else { Role::Key };
                text::put(digit, theme.style(role), indent(row, 2), buf);
                text::put(label, theme.style(Role::Text), indent(row, 5), buf);
            }
            Line::Entry => field::paint(&view.entry, theme, row, buf),
            Line::Asked(words, role) => {
                let after = text::put(words, theme.style(*role), row, buf);
                field::paint(&view.entry, theme, indent(row, after + 1 - row.x), buf);
            }
        }
    }
    rows(lines.len()).min(area.height)
}

fn indent(row: Rect, by: u16) -> Rect {
    let by = by.min(row.width);
    Rect { x: row.x + by, width: row.width - by, ..row }
}
