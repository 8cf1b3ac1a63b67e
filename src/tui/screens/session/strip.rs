//! The engine as a strip at the foot, where no larger drawing fits: only as far as it pushes out nothing
//! but lines of how, and of these never the first.

use super::compact::LOW;
use super::fit::{Fit, fit_within, set_rows};
use super::more::is_routine;
use super::whole::{ends, page_width};
use super::{Line, SessionView};
use crate::guide::Typed;
use crate::tui::keeping::SAVED;
use crate::tui::paging::Shown;
use crate::tui::screens::frame::{Around, Note, Tone};
use crate::tui::widgets::engine_strip::Strip;

/// Lines of how that it leaves in a low window, and in others. What is typed, or a large verdict, is told
/// of the valve that the strip shows: in a low window no line of how stays beside them.
const KEPT: [usize; 2] = [1, 3];

/// Lines that a page of what has to be read keeps at least.
const ON_A_PAGE: usize = 2;

/// Finds what is shown, with a strip where there is room for one.
pub(super) fn with_strip(view: &SessionView, (width, height): (u16, u16), window: u16) -> Fit {
    let fit = fit_within(view, (width, height), window);
    let Some(engine) = view.engine.as_ref().filter(|_| fit.detail.is_none()) else { return fit };
    let named = Strip::new(engine, width);
    let fewer = |strip: &Strip| named.as_ref().is_none_or(|named| strip.rows() < named.rows());
    let unnamed = Strip::unnamed(engine, width).filter(fewer);
    // From there on more lines of how are left by it.
    let low = window < LOW;
    let busy = !view.entry.is_empty() || fit.verdict.is_some();
    let kept =
        if low && busy && view.prompt.field.whole == 0 { 0 } else { KEPT[usize::from(!low)] };
    let silent = || {
        let around = Around { note: None, ..view.around.clone() };
        SessionView { around, ..view.clone() }
    };
    let silent = (low && says_again(view, width)).then(silent);
    for view in [Some(view), silent.as_ref()].into_iter().flatten() {
        let says = |fit: &Fit| says_the_note(view, fit, width);
        // What is more than that something was kept loses none of its lines.
        let told = |fit: &Fit| if is_routine(view) { 0 } else { note_lines(view, fit) };
        // A page has few lines as it is.
        let fewest = if fit.shown.is_some() { [&unnamed, &named] } else { [&named, &unnamed] };
        for strip in fewest.into_iter().flatten() {
            let Some(room) = height.checked_sub(strip.rows()) else { continue };
            let with = fit_within(view, (width, room), window);
            let splits = |fit: &Fit| splits(view, fit, page_width(view, width, window));
            if costs_nothing_else(&fit, &with, kept)
                && (says(&with) || !says(&fit))
                && told(&with) >= told(&fit)
                && (!splits(&with) || splits(&fit))
            {
                return Fit { strip: Some(strip.clone()), ..with };
            }
        }
    }
    fit
}

/// Tells whether a page ends in the midst of a line of how.
fn splits(view: &SessionView, fit: &Fit, width: u16) -> bool {
    let ends = |shown: Shown| shown.end < shown.all && !ends(view, width).contains(&shown.end);
    fit.shown.is_some_and(ends)
}

/// Tells whether what was said last is said elsewhere too: that something was kept; or the question is of
/// the valve that was read just now, and names its verdict.
fn says_again(view: &SessionView, width: u16) -> bool {
    // A verdict that is not asked about stays.
    let routine = |note: &&Note| note.tone == Tone::Done && note.large.is_empty();
    let Some(note) = view.around.note.as_ref().filter(routine) else { return false };
    // That something was kept, in a few words, is told by the key that takes it back too; before a reading its
    // valve is wanted more than all of the words.
    let gauging = view.prompt.field.typed == Some(Typed::Reading);
    let kept = note.text.starts_with(SAVED) && (gauging || note.lines(width).len() == 1);
    if kept && !note.text.contains(" · ") {
        return true;
    }
    let prompt = &view.prompt;
    let large = prompt.big.iter().flat_map(|big| big.longer.iter().chain([&big.text]));
    let asked = large.fold(prompt.title.clone(), |asked, words| asked + " " + words).to_lowercase();
    let words = note.text.strip_prefix(SAVED).and_then(|words| words.split_once(" · "));
    words.is_some_and(|(reading, verdict)| {
        // A cylinder and a kind name it, whatever was read.
        let valve: Vec<&str> = reading.split_whitespace().take(2).collect();
        asked.contains(&verdict.to_lowercase()) && asked.contains(&valve.join(" "))
    })
}

/// Tells whether what was said last is there, from its first line on.
fn says_the_note(view: &SessionView, fit: &Fit, width: u16) -> bool {
    let Some(note) = &view.around.note else { return true };
    let first = note.lines(width).into_iter().next().unwrap_or_default();
    // How many lines have no room may be told behind it.
    let says = |line: &Line| match line {
        Line::Words(words, role) => *role == note.role() && words.starts_with(&first),
        Line::Choice { .. } | Line::Answers(_) | Line::Asked(..) | Line::Entry => false,
    };
    fit.parts[3].iter().any(says)
}

/// Counts the lines of what was said last.
fn note_lines(view: &SessionView, fit: &Fit) -> usize {
    let Some(note) = &view.around.note else { return 0 };
    let of_note = |line: &&Line| matches!(line, Line::Words(_, role) if *role == note.role());
    fit.parts[3].iter().filter(of_note).count()
}

fn costs_nothing_else(without: &Fit, with: &Fit, kept: usize) -> bool {
    let [title, caption, how, answer] = without.parts.each_ref().map(Vec::len);
    let [its_title, its_caption, its_how, its_answer] = with.parts.each_ref().map(Vec::len);
    let kept = how.min(kept);
    let large = |fit: &Fit| [&fit.big, &fit.then].map(|set| set.is_some());
    large(without) == large(with)
        && without.cap.is_some() == with.cap.is_some()
        && set_rows(&without.verdict) == set_rows(&with.verdict)
        // A large valve beside a large verdict says what the title says.
        && (its_title == title || its_title == 0 && with.verdict.is_some() && with.big.is_some())
        // Answers may stand side by side.
        && its_answer <= answer
        && its_how + its_caption >= (kept + caption).min(how + caption)
        && with.detail.is_none()
        && (with.shown == without.shown
            || [with, without].into_iter().all(is_whole)
            || [with, without].into_iter().all(is_page))
}

/// Tells whether a page of lines that have to be read is shown, and not too little of them.
fn is_page(fit: &Fit) -> bool {
    fit.shown.is_some_and(|shown| {
        let lines = shown.end - shown.first;
        !is_whole(fit) && (lines >= ON_A_PAGE || lines > 0 && shown.end >= shown.all)
    })
}

/// Tells whether all lines that have to be read are shown at once, if there are such.
fn is_whole(fit: &Fit) -> bool {
    fit.shown.is_none_or(|shown| shown.first == 0 && shown.end >= shown.all)
}
