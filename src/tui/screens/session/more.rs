//! What there is room for: two large words, the note, and lines of how, of which those that there is
//! no room for are counted; the help has them.

use super::words::feedback;
use super::{Line, SessionView};
use crate::guide::Big;
use crate::tui::keeping::SAVED;
use crate::tui::screens::frame::{Note, Tone};
use crate::tui::theme::Role;
use crate::tui::widgets::digits::{self, Ink, Set};
use crate::tui::widgets::text::{self, more};

/// Tells how many lines there is no room for where not one of them is shown: behind the title, else behind
/// what was said, else behind the question, where these are short enough; never behind an answer. The title
/// alone is cut for it.
pub(super) fn mark([title, _, _, answer]: &mut [Vec<Line>; 4], hidden: usize, width: u16) {
    let more = format!(" {}", more(hidden));
    let room = width.saturating_sub(text::columns(&more));
    let fits = |line: &Line| match line {
        // What may be answered is text.
        Line::Words(words, role) => {
            !words.is_empty() && text::columns(words) <= room && *role != Role::Text
        }
        Line::Asked(words, _) => text::columns(words) + ENTRY <= room,
        Line::Choice { .. } | Line::Answers(_) | Line::Entry => false,
    };
    let said = |line: &Line| matches!(line, Line::Words(_, Role::Good | Role::Warning));
    let last = title.iter().rposition(fits);
    // Behind its end: in its midst it would break the sentence.
    let end = answer.iter().rposition(said);
    let note = end.filter(|at| answer.get(*at).is_some_and(fits));
    let asked = answer.iter().rposition(|line| fits(line) && !said(line));
    let at = match (last, note, asked) {
        (Some(at), ..) => title.get_mut(at),
        (None, Some(at), _) | (None, None, Some(at)) => answer.get_mut(at),
        (None, None, None) => title.last_mut(),
    };
    match at {
        Some(Line::Words(words, _)) => *words = at_a_word(words, room) + &more,
        // The entry stands behind it.
        Some(Line::Asked(words, _)) => words.push_str(&more),
        Some(Line::Choice { .. } | Line::Answers(_) | Line::Entry) | None => {}
    }
}

/// Columns of an entry behind its question.
pub(super) const ENTRY: u16 = 4;

/// Cuts words to a width, behind a comma or a colon where that leaves most of them, or before a point between them.
pub(super) fn phrase(words: &str, width: u16) -> String {
    if text::columns(words) <= width {
        return words.to_owned();
    }
    let ends = words.char_indices().filter(|(_, letter)| matches!(letter, ',' | ':' | '·'));
    let begins: Vec<&str> = ends.filter_map(|(at, _)| Some(words.get(..at)?.trim_end())).collect();
    let fits = |begin: &&&str| (width / 2..=width).contains(&text::columns(begin));
    begins
        .iter()
        .rev()
        .find(fits)
        .map_or_else(|| text::cut(words, width), |begin| (*begin).to_owned())
}

/// As many lines of how as there is room for; the last one tells how many more there are. Where a whole
/// line `ends` there another one tells it, so that it is not cut for that.
pub(super) fn how(
    parts: &mut [Vec<Line>; 4],
    how: Vec<Line>,
    room: usize,
    (width, ends): (u16, bool),
) -> Vec<Line> {
    let hidden = how.len().saturating_sub(room);
    let last = room.checked_sub(1).and_then(|last| how.get(last)).filter(|_| ends && hidden > 0);
    let has_room = |line: &Line| match line {
        Line::Words(words, _) => text::columns(words) + 1 + text::columns(&more(hidden)) <= width,
        Line::Choice { .. } | Line::Answers(_) | Line::Asked(..) | Line::Entry => false,
    };
    match last {
        Some(last) if !has_room(last) && marked(parts, hidden, width) => {
            how.into_iter().take(room).collect()
        }
        Some(_) | None => shortened(how, room, width),
    }
}

/// As [`mark`], but only where nothing is cut for it; tells whether it was.
fn marked(parts: &mut [Vec<Line>; 4], hidden: usize, width: u16) -> bool {
    let mut tried = parts.clone();
    mark(&mut tried, hidden, width);
    // What is cut is no longer whole at its beginning.
    let begins = |old: &Line, new: &Line| match (old, new) {
        (Line::Words(old, _) | Line::Asked(old, _), Line::Words(new, _) | Line::Asked(new, _)) => {
            new.starts_with(old.as_str())
        }
        (old, new) => old == new,
    };
    let pairs = parts.iter().flatten().zip(tried.iter().flatten());
    let whole = pairs.clone().all(|(old, new)| begins(old, new));
    let told = whole && pairs.into_iter().any(|(old, new)| old != new);
    if told {
        *parts = tried;
    }
    told
}

/// As many lines as there is room for; the last one tells how many more there are.
pub(super) fn shortened(mut lines: Vec<Line>, room: usize, width: u16) -> Vec<Line> {
    if lines.len() <= room {
        return lines;
    }
    let hidden = lines.len() - room;
    lines.truncate(room);
    if let Some(Line::Words(words, _)) = lines.last_mut() {
        let more = format!(" {}", more(hidden));
        *words = at_a_word(words, width.saturating_sub(text::columns(&more))) + &more;
    }
    lines
}

/// Cuts words to a width behind a phrase, else behind a word, where that leaves most of them: half a word
/// says something else.
fn at_a_word(words: &str, width: u16) -> String {
    let begin = phrase(words, width);
    let Some(cut) = begin.strip_suffix(text::CUT).filter(|_| begin != words) else { return begin };
    let inside = words.get(cut.len()..).is_some_and(|rest| !rest.starts_with(' '));
    let whole = if inside { cut.rsplit_once(' ').map_or("", |(whole, _)| whole) } else { cut };
    let whole = whole.trim_end();
    if text::columns(whole) < width / 2 { begin } else { format!("{whole}{}", text::CUT) }
}

/// The large words, with their figure where there is room, and what is to be done next.
pub(super) fn words_and_next(
    big: &Big,
    room: (u16, u16),
    ink: Ink,
    least: u16,
) -> Option<(Set, Set)> {
    let enough = |two: &(Set, Set)| two.0.size.rows().min(two.1.size.rows()) >= least;
    let nexts = [&big.then, &big.then_short].into_iter().filter(|next| !next.is_empty());
    let words = || big.longer.iter().chain(std::iter::once(&big.text));
    let mut ways = nexts.flat_map(|next| words().map(move |words| (words, next)));
    ways.find_map(|(words, next)| digits::set_two(words, next, room, ink).filter(enough))
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

/// The beginning of a note of several lines, where the rest gives way to what is large.
pub(super) fn begun(view: &SessionView, width: u16) -> Option<Line> {
    let note = view.around.note.as_ref().filter(|note| note.lines(width).len() > 1)?;
    Some(Line::Words(text::cut(&format!("· {}", note.text), width), note.role()))
}

/// Cuts the note that something was kept to one line, where not one line of how has room: which way
/// to turn is graver. One with a verdict stays whole, and what a key is answered with. Returns the rows
/// that this wins.
pub(super) fn won_from_note(view: &SessionView, answer: &mut Vec<Line>, width: u16) -> usize {
    let routine = |note: &&Note| {
        note.tone == Tone::Done && note.text.starts_with(SAVED) && !note.text.contains(" · ")
    };
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

/// Returns the note so that one row has it, where it takes more: what to press instead of a key that is no
/// answer, what was kept, and its verdict whole. Anything else is not cut.
pub(super) fn in_one_row(note: &Note, width: u16) -> Option<Note> {
    if note.lines(width).len() < 2 {
        return None;
    }
    let room = width.saturating_sub(SIGN);
    let text = match (note.tone, note.text.split_once(NO_ANSWER)) {
        (Tone::Warning, Some((_, press))) => press.to_owned(),
        (Tone::Done, _) if note.text.starts_with(SAVED) => match note.text.rsplit_once(" · ") {
            Some((kept, verdict)) => {
                let verdict = format!(" · {verdict}");
                at_a_word(kept, room.checked_sub(text::columns(&verdict))?) + &verdict
            }
            None => at_a_word(&note.text, room),
        },
        (Tone::Warning | Tone::Done, _) => return None,
    };
    let brief = Note { text, ..note.clone() };
    (brief.lines(width).len() == 1).then_some(brief)
}

/// Columns of the sign before a note.
pub(super) const SIGN: u16 = 2;
/// What stands before which keys are an answer.
const NO_ANSWER: &str = "is no answer here: ";

/// Tells whether what was said is no more than that something was kept, which the key that takes it back
/// tells too: then it may give way to what is read from afar.
pub(super) fn is_routine(view: &SessionView) -> bool {
    let kept = |note: &Note| note.text.starts_with(SAVED) && !note.text.contains(" · ");
    let plain = |note: &Note| note.tone == Tone::Done && note.large.is_empty();
    view.around.note.as_ref().is_none_or(|note| kept(note) && plain(note))
}

/// The lines of some words.
pub(super) fn lines_of(words: &str, wide: u16, role: Role) -> Vec<Line> {
    if words.is_empty() {
        return Vec::new();
    }
    text::wrap(words, wide).into_iter().map(|line| Line::Words(line, role)).collect()
}
