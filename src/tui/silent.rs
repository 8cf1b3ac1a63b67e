//! Keys that change nothing: each says in one short line why, or what to do instead.

use super::app::{App, List, Top};
use super::beside::has_way_out;
use super::job::Job;
use super::keymap::{Action, Motion, Place};
use super::screens::Note;

/// Says why a key changed nothing, where it did not and nothing else is said of it.
pub(super) fn told<J: Job>(app: &App<J>, mut next: App<J>, action: &Action) -> App<J> {
    // A notice names the one key that leaves it, and has no line for more.
    if next.note.is_none() && app.notice().is_none() {
        let why = why(app, action).filter(|_| stands_as(app, &next));
        next.note = why.map(Note::done);
    }
    next
}

/// Tells whether the same is shown, as far as keys of no use may change it.
fn stands_as<J: Job>(app: &App<J>, next: &App<J>) -> bool {
    let asked = |app: &App<J>| (app.entry.clone(), app.scrolled, app.forms.len());
    let top = match (&app.top, &next.top) {
        (Top::List(_), Top::List(_)) => true,
        (was, now) => was == now,
    };
    let list = match (app.list(), next.list()) {
        (Some(was), Some(now)) => {
            let of = |list: &List| (list.what, list.cursor, list.number.clone(), list.order);
            of(was) == of(now) && was.search == now.search
        }
        (was, now) => was.is_some() == now.is_some(),
    };
    top && list && asked(app) == asked(next)
}

fn why<J: Job>(app: &App<J>, action: &Action) -> Option<String> {
    let place = app.place();
    let help = if place.takes('?', app.begun()) { "" } else { HELP };
    Some(match action {
        Action::Nothing | Action::More => format!("{NOTHING}{help}"),
        Action::NoUse(' ') => format!("a blank is no key here{help}"),
        Action::NoUse(letter) => format!("\"{letter}\" is no key here{help}"),
        Action::Digit(digit) => {
            let rows = app.list().map_or(0, |list| list.table.rows.len());
            format!("there is no {digit} here: choose 1 to {rows}")
        }
        Action::Move(motion) => no_further(app, *motion).into(),
        Action::Turn(_) if app.picture().is_some() => NO_OTHER.into(),
        Action::Turn(_) if place == Place::Page => format!("{NOTHING}{help}"),
        Action::Turn(_) => "there is no further page".into(),
        Action::Order => "there is only one order".into(),
        Action::Enter => "Enter opens nothing here: Esc goes back".into(),
        Action::Leave => leaving(has_way_out(app)).into(),
        Action::Back if place == Place::Text => "nothing to go back from; Ctrl-C leaves".into(),
        Action::Back => "nothing to go back from; q leaves".into(),
        _ => return None,
    })
}

const NOTHING: &str = "that key does nothing here";
/// The answers to the question whether to leave, of which the last is offered where something is not saved.
pub(super) fn leaving(way_out: bool) -> &'static str {
    if way_out { "1 leaves, 2 stays, 4 saves elsewhere" } else { LEAVING }
}

const LEAVING: &str = "1 leaves, 2 stays, 3 goes to the engines";
const HELP: &str = ": ? lists the keys";
const NO_OTHER: &str = "there is no other picture now";

/// Says that what is moved over ends there.
fn no_further<J: Job>(app: &App<J>, motion: Motion) -> &'static str {
    let back = matches!(motion, Motion::Up | Motion::PageUp | Motion::First);
    match (back, app.list().is_some(), app.picture().is_some()) {
        (_, _, true) => NO_OTHER,
        (true, true, _) => "that is the first row",
        (false, true, _) => "that is the last row",
        (true, false, _) => "that is the beginning",
        (false, false, _) => "that is the end",
    }
}

/// Says which row the digits typed so far mean, in a list of more rows than digits.
pub(super) fn chosen_so_far(list: &List) -> Note {
    if list.is_no_number() {
        return Note::warning(no_such_row(list));
    }
    let number = list.number.as_str();
    let more = if list.goes_on() { ", a digit goes on" } else { "" };
    Note::done(format!("{number}: Enter opens it{more}"))
}

/// Says that no row has the number that was typed, and what is typed next.
pub(super) fn no_such_row(list: &List) -> String {
    format!("there is no {}: type a number from 1 to {}", list.number, list.table.rows.len())
}
