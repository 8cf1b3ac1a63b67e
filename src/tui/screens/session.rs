//! The session's screen: one question, with everything of its stop in sight at once.
//!
//! Where room is short the drawing loses detail first, then the large digits lose size, then the
//! choices move side by side, then the drawing goes; the question and the entry never do.

use super::frame::{self, Around, below, row};
use crate::guide::Prompt;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::{self, Ink, Size};
use crate::tui::widgets::engine::{Detail, EngineView};
use crate::tui::widgets::{field, text};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

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
    /// The engine; `None` before one is chosen.
    pub engine: Option<EngineView>,
    /// What large digits are drawn with.
    pub ink: Ink,
}

/// How choices are set.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Spread {
    Lines,
    SideBySide,
}

/// Columns that the question keeps beside a drawing.
const QUESTION: u16 = 36;
const GAP: u16 = 2;

/// Paints the screen.
pub fn paint(view: &SessionView, theme: Theme, area: Rect, buf: &mut Buffer) {
    if !frame::has_room(area) {
        frame::paint_cramped(&essentials(view), theme, area, buf);
        return;
    }
    let middle = frame::paint(&view.around, theme, area, buf);
    let fit = fit(view, middle.width, middle.height);
    let left = Rect { width: fit.width, ..middle };
    paint_answer(
        view,
        &fit.answer,
        theme,
        below(left, left.height.saturating_sub(fit.answer_rows())),
        buf,
    );
    let work = Rect { height: left.height.saturating_sub(fit.answer_rows()), ..left };
    paint_work(view, &fit, theme, work, buf);
    if let (Some(engine), Some(detail)) = (&view.engine, fit.detail) {
        let x = middle.x + (fit.width + GAP).min(middle.width);
        let right = Rect { x, width: middle.right().saturating_sub(x), ..middle };
        engine.paint(detail, theme, right, buf);
    }
}

/// What is shown of a question where the window is too small, the most needed first.
fn essentials(view: &SessionView) -> Vec<(String, Role)> {
    let mut wanted = Vec::new();
    if view.prompt.field.typed.is_some() {
        wanted.push((format!("> {}", view.entry), Role::Big));
    }
    wanted.push((view.prompt.ask.clone(), Role::Text));
    for choice in &view.prompt.field.choices {
        wanted.push((format!("{} {}", choice.digit, choice.label), Role::Text));
    }
    if let Some(note) = &view.around.note {
        wanted.push((note.text.clone(), Role::Warning));
    }
    wanted.push((view.prompt.title.clone(), Role::Title));
    wanted
}

/// A line of the answer's block.
#[derive(Clone, Debug, PartialEq, Eq)]
enum AnswerLine {
    Ask(String),
    Choice { digit: String, label: String },
    Several(String),
    Entry,
    Quiet(String),
}

/// Sizes chosen for a window.
struct Fit {
    /// Columns of the question.
    width: u16,
    detail: Option<Detail>,
    big: Option<Size>,
    title: Vec<String>,
    caption: Vec<String>,
    lines: Vec<String>,
    answer: Vec<AnswerLine>,
    /// Rows left over, for air between the parts.
    spare: u16,
}

impl Fit {
    fn answer_rows(&self) -> u16 {
        rows(self.answer.len())
    }
}

fn rows(lines: usize) -> u16 {
    u16::try_from(lines).unwrap_or(u16::MAX)
}

/// Finds the sizes at which everything is seen at once.
fn fit(view: &SessionView, width: u16, height: u16) -> Fit {
    let details = Detail::ALL.map(Some).into_iter();
    for details in [details.collect::<Vec<_>>(), vec![None]] {
        for spread in [Spread::Lines, Spread::SideBySide] {
            for least in [5, 4, 3] {
                for detail in &details {
                    if let Some(fit) = try_fit(view, width, height, *detail, spread, least) {
                        return fit;
                    }
                }
            }
        }
    }
    without_all_lines(view, width, height)
}

fn try_fit(
    view: &SessionView,
    width: u16,
    height: u16,
    detail: Option<Detail>,
    spread: Spread,
    least: u16,
) -> Option<Fit> {
    let drawing = match (detail, &view.engine) {
        (None, _) => 0,
        (Some(detail), Some(engine)) => {
            let room = width.saturating_sub(QUESTION + GAP);
            engine.size(detail, room, height)?.0 + GAP
        }
        (Some(_), None) => return None,
    };
    let width = width.saturating_sub(drawing);
    let mut fit = parts(view, width, detail, spread);
    let taken = rows(fit.title.len() + fit.caption.len() + fit.lines.len() + fit.answer.len());
    let free = height.checked_sub(taken)?;
    let Some(big) = &view.prompt.big else {
        fit.spare = free;
        return Some(fit);
    };
    let size =
        Size::largest(&big.text, width, free, view.ink).filter(|size| size.rows() >= least)?;
    fit.spare = free - size.rows();
    fit.big = Some(size);
    Some(fit)
}

fn parts(view: &SessionView, width: u16, detail: Option<Detail>, spread: Spread) -> Fit {
    let caption =
        view.prompt.big.as_ref().map(|big| big.caption.as_str()).filter(|words| !words.is_empty());
    Fit {
        width,
        detail,
        big: None,
        title: text::wrap(&view.prompt.title, width),
        caption: caption.map(|words| text::wrap(words, width)).unwrap_or_default(),
        lines: text::wrap_all(&view.prompt.lines, width),
        answer: answer_lines(view, width, spread),
        spare: 0,
    }
}

/// Nothing fits as a whole: instruction lines give way, and the last one tells where they are.
fn without_all_lines(view: &SessionView, width: u16, height: u16) -> Fit {
    let mut fit = parts(view, width, None, Spread::SideBySide);
    let big = view.prompt.big.as_ref();
    fit.big = big.and_then(|big| Size::largest(&big.text, width, 3, view.ink));
    let taken = rows(fit.title.len() + fit.caption.len() + fit.answer.len())
        + fit.big.map_or(0, Size::rows);
    let room = usize::from(height.saturating_sub(taken));
    if fit.lines.len() > room {
        let hidden = fit.lines.len() - room.saturating_sub(1);
        fit.lines.truncate(room.saturating_sub(1));
        fit.lines.push(format!("({hidden} lines more: ? shows all)"));
    }
    fit
}

fn answer_lines(view: &SessionView, width: u16, spread: Spread) -> Vec<AnswerLine> {
    let prompt = &view.prompt;
    let mut lines: Vec<AnswerLine> =
        text::wrap(&prompt.ask, width).into_iter().map(AnswerLine::Ask).collect();
    match spread {
        Spread::Lines => {
            for choice in &prompt.field.choices {
                let labels = text::wrap(&choice.label, width.saturating_sub(5)).into_iter();
                lines.extend(labels.enumerate().map(|(at, label)| {
                    let digit = if at == 0 { choice.digit.to_string() } else { String::new() };
                    AnswerLine::Choice { digit, label }
                }));
            }
        }
        Spread::SideBySide => {
            let labels = prompt
                .field
                .choices
                .iter()
                .map(|choice| format!("{} {}", choice.digit, choice.label));
            let labels: Vec<String> = labels.collect();
            let set = text::wrap_items(&labels, width);
            lines.extend(text::wrap_all(&set, width).into_iter().map(AnswerLine::Several));
        }
    }
    if prompt.field.typed.is_some() {
        lines.push(AnswerLine::Entry);
    }
    if !view.entry.is_empty() {
        lines.extend(text::wrap(&view.taken_for, width).into_iter().map(AnswerLine::Quiet));
    } else if let Some(enter) = &prompt.field.enter {
        lines.extend(
            text::wrap(&format!("Enter: {enter}"), width).into_iter().map(AnswerLine::Quiet),
        );
    }
    lines
}

fn paint_answer(
    view: &SessionView,
    lines: &[AnswerLine],
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) {
    for (line, row) in lines.iter().zip(area.rows()) {
        match line {
            AnswerLine::Ask(words) => {
                text::put(words, theme.style(Role::Title), row, buf);
            }
            AnswerLine::Choice { digit, label } => {
                let [mark, words] = [indent(row, 2), indent(row, 5)];
                text::put(digit, theme.style(Role::Key), mark, buf);
                text::put(label, theme.style(Role::Text), words, buf);
            }
            AnswerLine::Several(words) | AnswerLine::Quiet(words) => {
                text::put(words, theme.style(Role::Text), row, buf);
            }
            AnswerLine::Entry => field::paint(&view.entry, theme, row, buf),
        }
    }
}

fn indent(row: Rect, by: u16) -> Rect {
    let by = by.min(row.width);
    Rect { x: row.x + by, width: row.width - by, ..row }
}

/// Title, large text with its caption, instructions; air between them as far as there is any.
fn paint_work(view: &SessionView, fit: &Fit, theme: Theme, area: Rect, buf: &mut Buffer) {
    let mut at = text::put_lines(&fit.title, theme.style(Role::Title), area, buf);
    let parts = u16::from(fit.big.is_some()) + u16::from(!fit.lines.is_empty()) + 1;
    let air = u16::from(fit.spare >= parts);
    if let (Some(size), Some(big)) = (fit.big, &view.prompt.big) {
        at += air;
        digits::paint(&big.text, size, view.ink, theme.style(Role::Big), below(area, at), buf);
        at += size.rows();
    } else if let Some(big) = &view.prompt.big {
        text::put(&big.text, theme.style(Role::Big), row(area, at), buf);
        at += 1;
    }
    at += text::put_lines(&fit.caption, theme.style(Role::Title), below(area, at), buf);
    if !fit.lines.is_empty() {
        at += air;
        text::put_lines(&fit.lines, theme.style(Role::Text), below(area, at), buf);
    }
}
