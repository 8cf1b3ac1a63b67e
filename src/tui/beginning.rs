//! The first screen: what is done before it, and the keys that were pressed before anybody could read it.

use super::app::{App, Effect};
use super::hand::{Around, Hand, Waited};
use super::job::Job;
use super::keymap::Action;
use super::{Ended, show, terminal, view};
use crate::domain::entry::Moment;
use std::io;

/// Does what is to be done first, then shows the screens until the mechanic leaves.
pub(super) fn begun_and_shown<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &mut Around<'_, impl Fn() -> Moment>,
    app: App<J>,
    first: Option<Effect>,
) -> io::Result<Ended> {
    let begun = match first {
        Some(Effect::Shop) => begin(hand, around, app)?,
        Some(first) => match hand.carry(around, &app, first)? {
            Waited::Answered(answer, told) => match answer.ok().map(|carried| app.with(carried)) {
                Some(begun) if told => Some(unread_yet(around, begun)?),
                begun => begun,
            },
            Waited::Left => return Ok(Ended::Left),
        },
        None => Some(app),
    };
    let Some(app) = begun else { return Ok(Ended::NotBegun) };
    show(hand, around, app).map(|()| Ended::Left)
}

/// What comes up after a wait was read by nobody yet: the keys that were pressed before it answer nothing.
pub(super) fn unread_yet<J: Job>(
    around: &mut Around<'_, impl Fn() -> Moment>,
    app: App<J>,
) -> io::Result<App<J>> {
    let dropped = around.input.forget()?;
    around.screen.note_dropped(dropped);
    around.screen.forget_typed();
    Ok(app.came_up(Action::Nothing, (around.clock)()))
}

/// Shows the list as it was last, or says that there is nothing to choose from yet, and reads the
/// engines. Keys that are pressed meanwhile wait for it; where the list was another one, they were
/// meant for that, and are none.
fn begin<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &mut Around<'_, impl Fn() -> Moment>,
    app: App<J>,
) -> io::Result<Option<App<J>>> {
    around.screen.forget_early();
    around.screen.draw(false, |area, buf| match app.shop.table.rows.as_slice() {
        [] => view::paint_beginning(&app, area, buf),
        [..] => view::paint(&app, area, buf),
    })?;
    // Until keys are read, Ctrl-C ends the program as it does any other.
    terminal::keys_are_signals(true);
    hand.order(Effect::Shop, (around.clock)())?;
    let carried = hand.answer()?;
    terminal::keys_are_signals(false);
    let shown = app.shop.table.clone();
    let begun = carried.ok().map(|carried| app.with(carried));
    if begun.as_ref().is_some_and(|begun| begun.shop.table.rows != shown.rows) {
        around.screen.forget_typed();
    }
    Ok(begun)
}

/// What was typed before anything could be read answers nothing, and that is said.
pub(super) fn without_early<J: Job>(screen: &mut terminal::Screen, app: App<J>) -> App<J> {
    screen.forget_early();
    if screen.has_dropped() { app.told_dropped() } else { app }
}
