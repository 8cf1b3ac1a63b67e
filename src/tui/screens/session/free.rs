//! The engine beside a question that it does not help: only in room that the question leaves. Nothing is
//! cut for it but a note of what was kept, no answer moves, and large words stay large.

use super::fit::{Fit, fit_within, set_rows};
use super::order::{LEGIBLE, Room};
use super::strip::{quieter, with_strip};
use super::{Line, SessionView};
use crate::tui::screens::frame::Around;
use crate::tui::widgets::digits::Set;
use crate::tui::widgets::engine_strip::Strip;

/// Finds what is shown with the engine in room that is left; `None` where there is none, or it stands
/// there already.
pub(super) fn in_free_room(
    view: &SessionView,
    without: &Fit,
    room: Room,
) -> Option<(SessionView, Fit)> {
    let engine = view.where_free.as_ref().filter(|_| view.engine.is_none())?;
    // It comes and goes with the question, never with what is typed.
    let before = match before_it_was_typed(view) {
        None => None,
        Some(rest) => {
            let fit = with_strip(&rest, room);
            Some(in_free_room(&rest, &fit, room)?.1)
        }
    };
    let as_before = |fit: &Fit| {
        before.as_ref().is_none_or(|before| {
            before.detail == fit.detail && before.strip.is_some() == fit.strip.is_some()
        })
    };
    if room.is_quick() {
        let drawn = SessionView { engine: Some(engine.clone()), ..view.clone() };
        let with = fit_within(&drawn, room);
        if with.detail.is_some() && as_before(&with) && costs_nothing(without, &with, room) {
            return Some((drawn, with));
        }
    }
    let strips = || {
        [Strip::new(engine, room.width), Strip::unnamed(engine, room.width)].into_iter().flatten()
    };
    let with = |said: &SessionView, without: &Fit| {
        let of = |strip: Strip| {
            let fit = fit_within(said, room.above(strip.rows())?);
            let costs_nothing = costs_nothing(without, &fit, room);
            let fit = Fit { strip: Some(strip), ..fit };
            (costs_nothing && as_before(&fit)).then_some(fit)
        };
        strips().find_map(of).map(|fit| (said.clone(), fit))
    };
    with(view, without).or_else(|| {
        let mut ways = quieter(view, room).into_iter().flatten();
        ways.find_map(|said| with(&said, &said_so(without, view, &said, room.width)))
    })
}

/// What is shown with the note of another view in place of its own.
fn said_so(fit: &Fit, view: &SessionView, said: &SessionView, width: u16) -> Fit {
    let mut fit = fit.clone();
    let note = |view: &SessionView| view.around.note.clone().into_iter();
    for note in note(view) {
        let of_note = |line: &Line| matches!(line, Line::Words(_, role) if *role == note.role());
        fit.parts[3].retain(|line| !of_note(line));
    }
    for note in note(said) {
        let lines = note.lines(width).into_iter();
        fit.parts[3].extend(lines.map(|line| Line::Words(line, note.role())));
    }
    fit
}

/// The question as it was before the first character; `None` where nothing is typed.
fn before_it_was_typed(view: &SessionView) -> Option<SessionView> {
    if view.entry.is_empty() {
        return None;
    }
    let around = Around { note: view.was_said.clone(), ..view.around.clone() };
    let (entry, taken_for) = (String::new(), String::new());
    Some(SessionView { around, entry, taken_for, was_said: None, ..view.clone() })
}

/// Tells whether the same is said in both, as legibly.
fn costs_nothing(without: &Fit, with: &Fit, room: Room) -> bool {
    let legible = if room.is_low() { room.least() } else { LEGIBLE.max(room.least()) };
    let least = |set: &Set| set.size.rows().min(legible);
    let large = |without: &Option<Set>, with: &Option<Set>| match (without, with) {
        (None, None) => true,
        (Some(without), Some(with)) => {
            with.size.rows() >= least(without) && with.lines.join(" ") == without.lines.join(" ")
        }
        (Some(_), None) | (None, Some(_)) => false,
    };
    let answers = |fit: &Fit| {
        fit.parts[3].iter().filter(|line| matches!(line, Line::Choice { .. })).count() > 0
    };
    large(&without.big, &with.big)
        && large(&without.then, &with.then)
        && without.cap.is_some() == with.cap.is_some()
        && set_rows(&without.verdict) == set_rows(&with.verdict)
        && without.in_title == with.in_title
        && answers(without) == answers(with)
        && without.shown == with.shown
        && words(without) == words(with)
}

/// All that is said in small letters, however it is broken into lines.
fn words(fit: &Fit) -> Vec<String> {
    let said = |line: &Line| match line {
        Line::Words(words, _) | Line::Answers(words) | Line::Asked(words, _) => words.clone(),
        Line::Choice { digit, label } => format!("{digit} {label}"),
        Line::Entry => ">".into(),
    };
    let all = fit.parts.iter().flatten().map(said);
    all.flat_map(|line| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>()).collect()
}
