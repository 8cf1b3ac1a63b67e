//! What a question says in small letters: its parts from the top down, in lines.

use super::answers::CHOSEN;
use super::more::lines_of;
use super::order::Spread;
use super::{Line, SessionView};
use crate::guide::{Choice, Typed};
use crate::tui::theme::Role;
use crate::tui::widgets::text;

/// Columns beyond which lines of text are hard to read.
pub(super) const READABLE: u16 = 80;

/// The same of lines that stand in a row each.
const ROW: u16 = 120;

pub(super) fn parts(view: &SessionView, head: u16, body: u16, spread: Spread) -> [Vec<Line>; 4] {
    let prompt = &view.prompt;
    let (head, wide) = (head.min(READABLE), body.min(READABLE));
    let caption = prompt.big.as_ref().map_or("", |big| big.caption.as_str());
    let told = prompt.lines.iter().enumerate().map(|(at, line)| {
        // The way back is no running text: a row each is read sooner than two.
        let wide = if prompt.is_told_back(at) { body.min(ROW) } else { wide };
        lines_of(line, wide, Role::Text)
    });
    let lines = told.flatten().collect();
    let mut answer = asked(view, wide, spread);
    answer.extend(feedback(view, wide));
    [
        lines_of(&prompt.title, head, Role::Title),
        lines_of(caption, head, Role::Title),
        lines,
        answer,
    ]
}

/// The question, what may be answered, and the entry.
pub(super) fn asked(view: &SessionView, wide: u16, spread: Spread) -> Vec<Line> {
    // Where nothing is large the question itself stands out.
    let role = if view.words().is_some() { Role::Title } else { Role::Due };
    let marked = spread == Spread::SideBySide && view.prompt.field.typed == Some(Typed::Digit);
    let none =
        marked && !view.entry.is_empty() && !choices_of(view).any(|digit| digit == view.entry);
    let ask = if none {
        format!("{} > {}", view.prompt.ask, end_of(&view.entry, wide))
    } else {
        view.prompt.ask.clone()
    };
    let mut asked = lines_of(&ask, wide, role);
    asked.extend(choices(view, wide, spread));
    // Where room is short what is chosen is marked among the choices.
    if view.prompt.field.typed.is_some() && !marked {
        asked.push(Line::Entry);
    }
    asked
}

/// The end of an entry that is no answer and is longer than any: it takes no rows from what is asked.
fn end_of(entry: &str, wide: u16) -> String {
    let most = usize::from(wide / 4).max(4);
    let begins = entry.char_indices().rev().nth(most - 1).map_or(0, |(at, _)| at);
    let end = entry.get(begins..).unwrap_or(entry);
    if begins == 0 { end.to_owned() } else { format!("{}{end}", text::CUT) }
}

fn choices_of(view: &SessionView) -> impl Iterator<Item = String> + '_ {
    view.prompt.field.choices.iter().map(|choice| choice.digit.to_string())
}

fn choices(view: &SessionView, width: u16, spread: Spread) -> Vec<Line> {
    let choices = &view.prompt.field.choices;
    match spread {
        Spread::Lines => {
            let mut lines = Vec::new();
            for choice in choices {
                let labels = text::wrap(&choice.label, width.saturating_sub(5)).into_iter();
                lines.extend(labels.enumerate().map(|(at, label)| {
                    let digit = if at == 0 { choice.digit.to_string() } else { String::new() };
                    Line::Choice { digit, label }
                }));
            }
            lines
        }
        Spread::SideBySide => {
            let label = |choice: &Choice| {
                let chosen = view.has_chosen(&choice.digit.to_string());
                format!("{}{} {}", if chosen { CHOSEN } else { "" }, choice.digit, choice.label)
            };
            let labels: Vec<String> = choices.iter().map(label).collect();
            let fitting = |line: String| match text::columns(&line) <= width {
                true => vec![line],
                false => text::wrap(&line, width),
            };
            let lines = text::wrap_items(&labels, width).into_iter().flat_map(fitting);
            lines.map(Line::Answers).collect()
        }
    }
}

/// What Enter means or the entry is taken for, then the note; a row is kept free for what is not
/// said yet, and all for what was said before the entry was begun, so that nothing above moves.
pub(super) fn feedback(view: &SessionView, width: u16) -> Vec<Line> {
    let enter = view.prompt.field.enter.as_ref().map(|enter| format!("Enter: {enter}"));
    let enter = enter.map(|words| text::wrap(&words, width)).unwrap_or_default();
    let before = view.was_said.as_ref().map_or(1, |note| note.lines(width).len());
    let kept_free = enter.len() + before;
    let words = match (view.entry.is_empty(), view.taken_for.is_empty()) {
        (true, _) => enter,
        (false, true) => Vec::new(),
        (false, false) => text::wrap(&view.taken_for, width),
    };
    let mut lines: Vec<Line> =
        words.into_iter().map(|line| Line::Words(line, Role::Text)).collect();
    if let Some(note) = &view.around.note {
        let role = note.role();
        lines.extend(note.lines(width).into_iter().map(|line| Line::Words(line, role)));
    }
    while lines.len() < kept_free {
        lines.push(Line::Words(String::new(), Role::Text));
    }
    lines
}
