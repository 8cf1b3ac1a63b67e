//! What there is room for: two large words, the note, and lines of how, of which those that there is
//! no room for are counted; the help has them.

use super::fit::feedback;
use super::{Line, SessionView};
use crate::guide::Big;
use crate::tui::screens::frame::{Note, Tone};
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, Ink, Set};
use crate::tui::widgets::text;

/// Tells how many lines there is no room for where not one of them is shown: behind the first line
/// that is short enough, else on the title.
pub(super) fn mark([title, _, _, answer]: &mut [Vec<Line>; 4], hidden: usize, width: u16) {
    let more = format!(" +{hidden} ?");
    let room = width.saturating_sub(text::columns(&more));
    let fits = |line: &&mut Line| match line {
        Line::Words(words, _) => !words.is_empty() && text::columns(words) <= room,
        Line::Choice { .. } | Line::Entry => false,
    };
    let at = match title.iter_mut().chain(answer).find(fits) {
        Some(line) => Some(line),
        None => title.last_mut(),
    };
    if let Some(Line::Words(words, _)) = at {
        *words = text::cut(words, room) + &more;
    }
}

/// As many lines as there is room for; the last one tells how many more there are.
pub(super) fn shortened(mut lines: Vec<Line>, room: usize, width: u16) -> Vec<Line> {
    if lines.len() <= room {
        return lines;
    }
    let hidden = lines.len() - room;
    lines.truncate(room);
    if let Some(Line::Words(words, _)) = lines.last_mut() {
        let more = format!(" +{hidden} ?");
        *words = text::cut(words, width.saturating_sub(text::columns(&more))) + &more;
    }
    lines
}

/// The large words, with their figure where there is room, and what is to be done next.
pub(super) fn words_and_next(
    big: &Big,
    room: (u16, u16),
    ink: Ink,
    least: u16,
) -> Option<(Set, Set)> {
    let enough = |two: &(Set, Set)| two.0.size.rows().min(two.1.size.rows()) >= least;
    let mut words = big.longer.iter().chain(std::iter::once(&big.text));
    words.find_map(|words| digits::set_two(words, &big.then, room, ink).filter(enough))
}

/// What Enter means or the entry is taken for, and the note, with no row kept free.
pub(super) fn said(view: &SessionView, width: u16, note: bool) -> Vec<Line> {
    let mut lines = feedback(view, width);
    if !note && let Some(note) = &view.around.note {
        let of_note = |line: &Line| matches!(line, Line::Words(_, role) if *role == note.role());
        lines.retain(|line| !of_note(line));
    }
    lines.retain(|line| !matches!(line, Line::Words(words, _) if words.is_empty()));
    lines
}

/// Cuts the note that something was kept to one line, where not one line of how has room: which way
/// to turn is graver. One with a verdict stays whole. Returns the rows that this wins.
pub(super) fn won_from_note(view: &SessionView, answer: &mut Vec<Line>, width: u16) -> usize {
    let routine = |note: &&Note| note.tone == Tone::Done && !note.text.contains(" · ");
    let Some(note) = view.around.note.as_ref().filter(routine) else { return 0 };
    let lines = note.lines(width);
    let shown: Vec<Line> =
        lines.iter().map(|line| Line::Words(line.clone(), note.role())).collect();
    let Some(won) = lines.len().checked_sub(1).filter(|_| answer.ends_with(&shown)) else {
        return 0;
    };
    answer.truncate(answer.len() - won);
    if let Some(Line::Words(words, _)) = answer.last_mut() {
        *words = text::cut(&format!("· {}", note.text), width);
    }
    won
}

/// The lines of some words.
pub(super) fn lines_of(words: &str, wide: u16, role: Role) -> Vec<Line> {
    if words.is_empty() {
        return Vec::new();
    }
    text::wrap(words, wide).into_iter().map(|line| Line::Words(line, role)).collect()
}
