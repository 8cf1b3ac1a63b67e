//! What is shown of a question in a window, and where: one pure function. The painters paint what it says.

use super::back::{in_fewest_words, in_most_words};
use super::fit::{Fit, fit_within, seen_at_once};
use super::free::in_free_room;
use super::order::Room;
use super::strip::with_strip;
use super::{Ink, SessionView};
use crate::guide::Prompt;
use std::borrow::Cow;

/// What is shown.
pub(super) struct Plan<'a> {
    /// What there is to say, without what gave way to the rest as a whole.
    pub view: Cow<'a, SessionView>,
    /// At which sizes it stands where.
    pub fit: Fit,
    /// Where.
    pub room: Room,
}

/// Lays a question out, in the order of `order`.
pub(super) fn plan(view: &SessionView, room: Room) -> Plan<'_> {
    let mut view = Cow::Borrowed(view);
    for change in [in_halves, in_most_words, without_spare_words] {
        if let Some(changed) = change(&view, room) {
            view = Cow::Owned(changed);
        }
    }
    let mut fit = with_strip(&view, room);
    if let Some((drawn, free)) = in_free_room(&view, &fit, room) {
        (view, fit) = (Cow::Owned(drawn), free);
    }
    Plan { view, fit, room }
}

/// Returns the view in plain letters of half cells, where a low window has no room for any of whole ones.
fn in_halves(view: &SessionView, room: Room) -> Option<SessionView> {
    if view.ink != Ink::Hash || !room.is_slim() {
        return None;
    }
    let halves = SessionView { ink: Ink::Halves, ..view.clone() };
    let least = in_fewest_words(view);
    let large = || with_strip(least.as_ref().unwrap_or(view), room).is_large();
    (room.is_low() || !large()).then_some(halves)
}

/// Returns the view without large words that give way, where there is no room for them beside everything
/// else: the drawing too, and answers each in a line of its own.
pub(super) fn without_spare_words(view: &SessionView, room: Room) -> Option<SessionView> {
    view.prompt.big.as_ref().filter(|big| big.gives_way)?;
    let prompt = Prompt { big: None, ..view.prompt.clone() };
    let without = SessionView { prompt, ..view.clone() };
    let Some(with) = seen_at_once(view, room) else {
        return (!large_at_no_cost(view, &without, room)).then_some(without);
    };
    let costs = |bare: Fit| {
        with.detail.is_none() && bare.detail.is_some() || with.parts[3].len() < bare.parts[3].len()
    };
    seen_at_once(&without, room).is_some_and(costs).then_some(without)
}

/// Tells whether words that give way are large in a low window and push out no line of how for that.
fn large_at_no_cost(view: &SessionView, without: &SessionView, room: Room) -> bool {
    if !room.is_low() {
        return false;
    }
    let [with, bare] = [view, without].map(|view| fit_within(view, room));
    with.big.is_some() && with.parts[2].len() >= bare.parts[2].len() && with.shown == bare.shown
}
