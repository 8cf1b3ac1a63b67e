//! What is only read: a notice, the help, an engine's past; and what is said of a key that does not count.

use super::app::{App, Top};
use super::beside::looks;
use super::help::Help;
use super::job::Job;
use super::keymap::{Action, Motion};
use super::past::Past;
use super::screens::Note;
use super::update::{Next, searched};
use super::{help, paging, view};

/// Said of a key that was passed over.
pub(in crate::tui) const NOT_COUNTED: &str = "not counted: too soon, or held down";

/// Says that a key was passed over, beside what was said of the one before it.
pub(super) fn not_counted(said: Option<&Note>, action: &Action) -> Note {
    let key = match action {
        Action::Digit(digit) => format!("{digit} "),
        Action::Type(letter) => format!("{letter} "),
        Action::Enter => "Enter ".into(),
        Action::TakeBack => "- ".into(),
        _ => String::new(),
    };
    match said {
        Some(said) if said.text.ends_with(NOT_COUNTED) => said.clone(),
        Some(said) => Note { text: format!("{}; {key}{NOT_COUNTED}", said.text), ..said.clone() },
        None => Note::done(format!("{key}{NOT_COUNTED}")),
    }
}

/// Under the notice lines are looked at, help is read, and the program can be left; a theme for another light
/// wakes nobody.
pub(super) fn under_the_notice<J: Job>(mut next: App<J>, action: &Action) -> Next<J> {
    match action {
        Action::Move(motion) => {
            next.scrolled = match motion {
                Motion::Up | Motion::PageUp => next.scrolled.saturating_sub(1),
                Motion::Down | Motion::PageDown => next.scrolled.saturating_add(1),
                Motion::First => 0,
                Motion::Last => usize::MAX,
            };
            let lines = next.notice().map_or(0, |notice| notice.lines.len() * LINES_OF_ONE);
            next.scrolled = next.scrolled.min(lines);
            (next, None)
        }
        Action::Interrupt => {
            next.top = Top::Leave;
            (next, None)
        }
        Action::Theme => looks(next, action),
        Action::Help => {
            next.top = Top::Help(Box::new(help::help(&next)));
            (next, None)
        }
        _ => (next, None),
    }
}

/// Lines that one line of the notice is broken into at most, in a window that has room for it.
const LINES_OF_ONE: usize = 4;

/// An engine's past is leafed through and searched; whatever closes a page closes it.
pub(super) fn turning_pages<J: Job>(mut next: App<J>, past: &Past, action: &Action) -> App<J> {
    let past = past.clone();
    if let Some(search) = searched(past.search(), action) {
        next.scrolled = 0;
        next.top = Top::Past(past.searching(search));
        return next;
    }
    match action {
        Action::Move(motion) => return paging::in_past(next, *motion),
        Action::Turn(turn) => {
            next.scrolled = 0;
            next.top = Top::Past(past.turned(*turn));
        }
        Action::Order => {
            let before = next.clone();
            let reordered = past.reordered();
            let order = reordered.page().map(|(_, order)| Note::done(order));
            next.top = Top::Past(reordered);
            // In a low window the rows stand further down.
            next.note = order.filter(|_| paging::same_screen(&before, &next));
        }
        Action::Back => next.top = Top::Nothing,
        _ => {}
    }
    next
}

/// The help is leafed through; what closes it gives back what lay beneath.
pub(super) fn reading<J: Job>(mut next: App<J>, help: &Help, action: &Action) -> App<J> {
    match action {
        Action::Move(motion) => {
            let paint = |help: &Help, area, buf: &mut _| {
                let top = Top::Help(Box::new(help.clone()));
                view::view(&App { top, ..next.clone() })?.paint(next.paints(), area, buf)
            };
            let moved = paging::in_help(help, *motion, next.room, paint);
            next.top = Top::Help(Box::new(moved));
        }
        Action::Back => next.top = help.beneath.clone(),
        _ => {}
    }
    next
}
