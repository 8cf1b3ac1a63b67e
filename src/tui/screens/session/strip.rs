//! The engine as a strip at the foot, where no larger drawing fits: only as far as it pushes out nothing
//! but lines of how, and of these never the first.

use super::SessionView;
use super::fit::{Fit, fit_within, set_rows};
use crate::tui::widgets::engine_strip::Strip;

/// Rows from which on a line of how may give way to it.
const LOW: u16 = 18;
/// Lines of how that it leaves.
const KEPT: usize = 3;

/// Finds what is shown, with a strip where there is room for one.
pub(super) fn with_strip(view: &SessionView, (width, height): (u16, u16), window: u16) -> Fit {
    let fit = fit_within(view, (width, height), window);
    let strip = view.engine.as_ref().filter(|_| fit.detail.is_none());
    let Some(strip) = strip.and_then(|engine| Strip::new(engine, width)) else { return fit };
    let Some(room) = height.checked_sub(strip.rows()) else { return fit };
    let with = fit_within(view, (width, room), window);
    if costs_nothing_else(&fit, &with, window) { Fit { strip: Some(strip), ..with } } else { fit }
}

fn costs_nothing_else(without: &Fit, with: &Fit, window: u16) -> bool {
    let [title, caption, how, answer] = without.parts.each_ref().map(Vec::len);
    let [its_title, its_caption, its_how, its_answer] = with.parts.each_ref().map(Vec::len);
    let kept = if window < LOW { how } else { how.min(KEPT) };
    let large = |fit: &Fit| [&fit.big, &fit.then].map(|set| set.is_some());
    large(without) == large(with)
        && set_rows(&without.verdict) == set_rows(&with.verdict)
        && its_title == title
        && its_answer == answer
        && its_how + its_caption >= (kept + caption).min(how + caption)
        && with.detail.is_none()
        && with.shown == without.shown
}
