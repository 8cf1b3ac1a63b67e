//! The engine as a strip at the foot, where no larger drawing fits: only as far as it pushes out nothing
//! but lines of how, and of these never the first.

use super::fit::{Fit, fit_within, set_rows};
use super::{Line, SessionView};
use crate::tui::widgets::engine_strip::Strip;

/// Rows from which on more lines of how are left by it.
const LOW: u16 = 18;
/// Lines of how that it leaves in a low window, and in others. What is typed, or a large verdict, is told
/// of the valve that the strip shows: in a low window no line of how stays beside them.
const KEPT: [usize; 2] = [1, 3];

/// Finds what is shown, with a strip where there is room for one.
pub(super) fn with_strip(view: &SessionView, (width, height): (u16, u16), window: u16) -> Fit {
    let fit = fit_within(view, (width, height), window);
    let Some(engine) = view.engine.as_ref().filter(|_| fit.detail.is_none()) else { return fit };
    let says = |fit: &Fit| says_the_note(view, fit, width);
    let named = Strip::new(engine, width);
    let fewer = |strip: &Strip| named.as_ref().is_none_or(|named| strip.rows() < named.rows());
    let unnamed = Strip::unnamed(engine, width).filter(fewer);
    for strip in [named.clone(), unnamed].into_iter().flatten() {
        let Some(room) = height.checked_sub(strip.rows()) else { continue };
        let with = fit_within(view, (width, room), window);
        let low = window < LOW;
        let busy = !view.entry.is_empty() || fit.verdict.is_some();
        let kept =
            if low && busy && view.prompt.field.whole == 0 { 0 } else { KEPT[usize::from(!low)] };
        if costs_nothing_else(&fit, &with, kept) && (says(&with) || !says(&fit)) {
            return Fit { strip: Some(strip), ..with };
        }
    }
    fit
}

/// Tells whether what was said last is there, from its first line on.
fn says_the_note(view: &SessionView, fit: &Fit, width: u16) -> bool {
    let Some(note) = &view.around.note else { return true };
    let first = note.lines(width).into_iter().next().unwrap_or_default();
    // How many lines have no room may be told behind it.
    let says = |line: &Line| match line {
        Line::Words(words, role) => *role == note.role() && words.starts_with(&first),
        Line::Choice { .. } | Line::Asked(..) | Line::Entry => false,
    };
    fit.parts[3].iter().any(says)
}

fn costs_nothing_else(without: &Fit, with: &Fit, kept: usize) -> bool {
    let [title, caption, how, answer] = without.parts.each_ref().map(Vec::len);
    let [its_title, its_caption, its_how, its_answer] = with.parts.each_ref().map(Vec::len);
    let kept = how.min(kept);
    let large = |fit: &Fit| [&fit.big, &fit.then].map(|set| set.is_some());
    large(without) == large(with)
        && set_rows(&without.verdict) == set_rows(&with.verdict)
        // A large valve beside a large verdict says what the title says.
        && (its_title == title || its_title == 0 && with.verdict.is_some() && with.big.is_some())
        // Answers may stand side by side.
        && its_answer <= answer
        && its_how + its_caption >= (kept + caption).min(how + caption)
        && with.detail.is_none()
        && (with.shown == without.shown || [with, without].into_iter().all(is_whole))
}

/// Tells whether all lines that have to be read are shown at once, if there are such.
fn is_whole(fit: &Fit) -> bool {
    fit.shown.is_none_or(|shown| shown.first == 0 && shown.end >= shown.all)
}
