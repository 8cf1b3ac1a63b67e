//! The way back after a break: whole wherever that costs nothing else, else in rows.

use super::fit::{Fit, set_rows};
use super::free::in_free_room;
use super::order::Room;
use super::plan::without_spare_words;
use super::strip::with_strip;
use super::{Line, SessionView};
use crate::tui::widgets::digits::Set;

/// Rows that large words keep, in windows that are not low.
const LARGE: u16 = 5;

/// The question with the way back in the most words that there is room for; `None` where it has none.
pub(super) fn in_most_words(view: &SessionView, room: Room) -> Option<SessionView> {
    let mut ways = all_ways(view);
    let least = ways.pop()?;
    let fits = |view: &SessionView| {
        let bare = without_spare_words(view, room);
        let view = bare.as_ref().unwrap_or(view);
        let fit = with_strip(view, room);
        in_free_room(view, &fit, room).map_or(fit, |(_, fit)| fit)
    };
    let fewest = fits(&least);
    let others = others(&least, &fewest);
    let has_room = |way: &SessionView| {
        let fit = fits(way);
        is_whole(way, &fit)
            && self::others(way, &fit) >= others
            && costs_nothing(&fewest, &fit, room)
    };
    Some(ways.into_iter().find(has_room).unwrap_or(least))
}

/// The question with the way back in the fewest words; `None` where it has none.
pub(super) fn in_fewest_words(view: &SessionView) -> Option<SessionView> {
    all_ways(view).pop()
}

/// Whole, then in fewer and fewer words; none where there is no way back.
fn all_ways(view: &SessionView) -> Vec<SessionView> {
    if view.prompt.shorter.is_none() {
        return Vec::new();
    }
    let fewer = view.prompt.in_fewer_words();
    let fewer = fewer.map(|prompt| SessionView { prompt, ..view.clone() });
    std::iter::once(view.clone()).chain(fewer).collect()
}

/// Tells whether the way back stands there to its last word.
fn is_whole(view: &SessionView, fit: &Fit) -> bool {
    words(&fit.parts[2]).contains(&way_back(view))
}

/// The way back of a question.
fn way_back(view: &SessionView) -> String {
    let lines = view.prompt.shorter.as_ref().and_then(|told| {
        let lines = view.prompt.lines.get(told.from..)?;
        lines.get(..told.whole)
    });
    let words = lines.unwrap_or_default().iter().flat_map(|line| line.split_whitespace());
    words.collect::<Vec<_>>().join(" ")
}

/// How many other words of how there are.
fn others(view: &SessionView, fit: &Fit) -> usize {
    let count = |words: &str| words.split_whitespace().count();
    count(&words(&fit.parts[2])).saturating_sub(count(&way_back(view)))
}

/// All that is said in some lines, however it is broken.
fn words(lines: &[Line]) -> String {
    let said = lines.iter().flat_map(|line| match line {
        Line::Words(words, _) | Line::Answers(words) | Line::Asked(words, _) => {
            vec![words.as_str()]
        }
        Line::Choice { digit, label } => vec![digit.as_str(), label.as_str()],
        Line::Entry => vec![">"],
    });
    let words = said.flat_map(str::split_whitespace);
    words.collect::<Vec<_>>().join(" ")
}

/// Tells whether all the rest is there as it is beside fewer words, as legibly.
fn costs_nothing(fewest: &Fit, fit: &Fit, room: Room) -> bool {
    let large = |fewest: &Option<Set>, set: &Option<Set>| match (fewest, set) {
        (Some(fewest), Some(set)) => {
            set.size.rows() >= fewest.size.rows().min(LARGE.max(room.least()))
                && set.lines.join(" ") == fewest.lines.join(" ")
        }
        (None, None) => true,
        (Some(_), None) | (None, Some(_)) => false,
    };
    let apart = |fit: &Fit| fit.parts[3].iter().any(|line| matches!(line, Line::Choice { .. }));
    let around = |fit: &Fit| [&fit.parts[0], &fit.parts[1], &fit.parts[3]].map(|part| words(part));
    large(&fewest.big, &fit.big)
        && large(&fewest.then, &fit.then)
        && fewest.cap.is_some() == fit.cap.is_some()
        && set_rows(&fewest.verdict) == set_rows(&fit.verdict)
        && fewest.in_title == fit.in_title
        && fewest.detail.is_some() == fit.detail.is_some()
        && fewest.strip.is_some() == fit.strip.is_some()
        && fewest.picture.is_some() == fit.picture.is_some()
        && apart(fewest) == apart(fit)
        && around(fewest) == around(fit)
}
