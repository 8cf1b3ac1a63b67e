//! Leafing through what is longer than its window: a page key goes as far as what is shown, found out
//! by painting it where nobody looks.

use super::app::{App, List, Top};
use super::help::Help;
use super::job::Job;
use super::keymap::{Action, Motion, Turn};
use super::screens::{Note, frame};
use super::update::{self, put};
use super::view;
use crate::domain::entry::Moment;
use crate::guide::Prompt;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Which lines or rows of a page stand on the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The first of them, from 0.
    pub first: usize,
    /// The first one after them.
    pub end: usize,
    /// All that there are.
    pub all: usize,
}

/// Lines of the help that an arrow goes: fewer than any window shows, so that none is leapt over.
const LEAP: usize = 6;

/// Tells what a window of the size that was painted last shows of the page; `None` where it is too small.
fn shown<J: Job>(app: &App<J>) -> Option<Shown> {
    let area = Rect::new(0, 0, app.room.0, app.room.1);
    view::paint_shown(app, area, &mut Buffer::empty(area))
}

/// Tells whether both are painted the same.
pub(super) fn same_screen<J: Job>(one: &App<J>, other: &App<J>) -> bool {
    let painted = |app: &App<J>| {
        let area = Rect::new(0, 0, app.room.0, app.room.1);
        let mut buf = Buffer::empty(area);
        view::paint(app, area, &mut buf);
        buf
    };
    painted(one) == painted(other)
}

/// Moves over lines: a page key a window less one line, never past the end. `from` tells what is shown
/// from a line on.
fn over_lines(here: Shown, motion: Motion, from: impl Fn(usize) -> Option<Shown>) -> usize {
    let Shown { first, end, all } = here;
    let ends = |line: usize| from(line).map_or(all, |shown| shown.end);
    // Where the end is on the screen already, the window is filled up to it.
    let filled = |mut line: usize| {
        while line > 0 && ends(line - 1) >= all {
            line -= 1;
        }
        line
    };
    match motion {
        Motion::First => 0,
        Motion::Up => first.saturating_sub(LEAP),
        Motion::PageUp => {
            let least = first.saturating_sub(end.saturating_sub(first));
            (least..first).find(|line| ends(*line) > first).unwrap_or(least)
        }
        Motion::Down | Motion::PageDown | Motion::Last if end >= all => first,
        Motion::Down => filled(first + LEAP),
        Motion::PageDown => filled(end.saturating_sub(1).max(first + 1)),
        Motion::Last => filled(all.saturating_sub(1)),
    }
}

/// Moves over the lines of a help; `paint` paints it from a line on.
pub(super) fn in_help(
    help: &Help,
    motion: Motion,
    (width, height): (u16, u16),
    paint: impl Fn(&Help, Rect, &mut Buffer) -> Option<Shown>,
) -> Help {
    let area = Rect::new(0, 0, width, height);
    let from = |first| paint(&Help { first, ..help.clone() }, area, &mut Buffer::empty(area));
    match from(help.first) {
        Some(here) => Help { first: over_lines(here, motion, from), ..help.clone() },
        // The window shows no more than one line of it.
        None => Help { first: help.first, ..help.clone() },
    }
}

/// Moves over the lines of a page of an engine's past.
pub(super) fn in_past<J: Job>(mut app: App<J>, motion: Motion) -> App<J> {
    let from = |scrolled| shown(&App { scrolled, ..app.clone() });
    if let Some(here) = shown(&app) {
        app.scrolled = over_lines(here, motion, from);
    }
    app
}

impl<J: Job> App<J> {
    /// Tells what the key for the page before comes to: where there is none it goes back. Behind the last
    /// lines of a page of the past comes the next one, so that the number pad reaches the charts.
    /// Enter closes what is only read, unless it belongs to the digit that opened it.
    pub(super) fn leafed(&self, action: &Action, at: Moment) -> Action {
        let first = || match &self.top {
            Top::Help(help) => help.first == 0,
            Top::Past(_) => self.scrolled == 0,
            _ if self.list().is_some() => shown(self).is_none_or(|shown| shown.first == 0),
            _ => true,
        };
        let page = match &self.top {
            Top::Past(past) => past.place(),
            _ => (0, 1),
        };
        let last = || shown(self).is_some_and(|shown| shown.end >= shown.all);
        match action {
            Action::Before if first() && page.0 > 0 => Action::Turn(Turn::Back),
            Action::Before if first() => Action::Back,
            Action::After if page.0 + 1 < page.1 && last() => Action::Turn(Turn::On),
            Action::After => Action::Move(Motion::PageDown),
            Action::Enter if self.is_read() && !self.belongs_to_a_digit(action, at) => Action::Back,
            Action::Before => Action::Move(Motion::PageUp),
            other => other.clone(),
        }
    }

    /// Tells what of the lines that are to be read was not on the screen when the entry was begun that
    /// this action goes on with: what comes up with its first character was not read by whoever typed it.
    pub(super) fn unread_before(&self, action: &Action) -> Option<Shown> {
        if !self.entry.is_empty() {
            return self.unread_before;
        }
        let types = matches!(action, Action::Type(_) | Action::Paste(_));
        let whole = |prompt: Prompt| prompt.field.whole > 0;
        let reads = types && self.top == Top::Nothing && self.prompt().is_some_and(whole);
        reads.then(|| shown(self)).flatten().filter(Shown::hides)
    }

    /// Returns the entry that was kept while Enter reads on, as long as one stands there for what is
    /// asked `next`.
    pub(super) fn still_waits(&self, next: &mut App<J>) -> Option<String> {
        next.waits.take().filter(|_| !next.entry.is_empty() && self.asks_the_same(next))
    }

    /// Tells whether the same entry waited already, and still does.
    pub(super) fn waits_on(&self, next: &App<J>) -> bool {
        self.waits.is_some() && self.waits == next.waits && self.scrolled < next.scrolled
    }

    /// Tells whether all of what is asked `next` too was on the screen before something was said of it.
    pub(super) fn was_whole(&self, next: &App<J>) -> bool {
        let asks = |prompt: Prompt| prompt.field.whole > 0;
        let same =
            self.top == Top::Nothing && self.prompt().is_some_and(asks) && self.asks_the_same(next);
        let whole = || shown(self).is_some_and(|shown| shown.first == 0 && !shown.hides());
        same && (self.was_whole || next.note.is_some() && self.entry.is_empty() && whole())
    }

    /// Tells whether Enter reads on before it takes what is typed.
    pub(super) fn reads_on(&self) -> bool {
        !self.entry.is_empty() && unread(self, &Action::Enter).is_some()
    }
}

impl Shown {
    /// Tells whether there is more behind what is shown.
    fn hides(&self) -> bool {
        self.end < self.all
    }
}

/// Tells what of the lines that an answer speaks of was not on the screen yet, where that answer agrees to
/// them: Enter alone, or 1, the first of several; of some questions any answer.
pub(super) fn unread<J: Job>(app: &App<J>, action: &Action) -> Option<Shown> {
    let answers = matches!(action, Action::Enter | Action::Digit(_));
    if !answers || app.top != Top::Nothing {
        return None;
    }
    let field = app.prompt().map(|prompt| prompt.field).filter(|field| field.whole > 0)?;
    let agrees = match action {
        Action::Enter if field.of_any => app.entry.trim() != "-",
        Action::Enter => {
            let typed = app.entry.trim();
            typed.is_empty() || typed.parse::<u8>() == Ok(1)
        }
        Action::Digit(digit) => *digit == 1 || field.of_any && field.offers(*digit),
        _ => false,
    };
    let read = app.was_whole && (*action != Action::Enter || !app.entry.is_empty());
    let left = || match app.entry.as_str() {
        // What was whole before a refusal took its room was read. Enter alone shows it again.
        _ if read => None,
        "" => shown(app).filter(Shown::hides),
        // Whoever types on blindly types the next number: it is told first that it would be taken here.
        typed if app.waits.as_ref().is_some_and(|waits| waits != typed) => {
            app.unread_before.or(Some(READ))
        }
        // What an entry takes the room of was read before it was begun, or it is known what was not.
        _ => app.unread_before,
    };
    agrees.then(left).flatten()
}

/// Tells whether this key would answer a question in a window that cannot show it with its open items and
/// all its answers: nothing is answered there, whatever may have been on the screen before.
pub(super) fn answers_unseen<J: Job>(app: &App<J>, action: &Action) -> bool {
    use Action::{Command, Digit, Enter, Kept, More, Paste, Record, TakeBack, TakeOver, Type};
    let answers = match action {
        Command(_) => *action != update::AWAY,
        Digit(_) | Enter | Kept | More | Paste(_) | Record | TakeBack | TakeOver | Type(_) => true,
        _ => false,
    };
    let asked = match app.top {
        Top::Nothing => app.prompt().is_some(),
        Top::List(_) => app.job.is_some(),
        Top::Leave | Top::SaveTo => true,
        Top::Past(_) | Top::Picture(_) | Top::Help(_) => false,
    };
    answers && asked && !frame::has_room(Rect::new(0, 0, app.room.0, app.room.1))
}

/// Enter shows the next of them, and keeps what is typed for the Enter behind the last page; a digit that
/// would answer by itself is told so.
pub(super) fn read_on<J: Job>(mut app: App<J>, unread: Shown, action: &Action) -> App<J> {
    if unread.end <= unread.first {
        return app.refused(NO_ROOM.into());
    }
    if *action != Action::Enter {
        return app.refused(REST_FIRST.into());
    }
    if unread.hides() {
        app.scrolled = unread.end;
    }
    if app.entry.is_empty() {
        return app;
    }
    let typed = app.entry.trim().to_owned();
    (app.waits, app.stale) = (Some(app.entry.clone()), true);
    // Whoever does not look up hears that it does not count yet. The longer of both, so that what is
    // said then takes no line from the page.
    app.note = Some(Note::warning(format!("not yet: Enter reads on, then takes {typed}")));
    app.unread_before = shown(&app).filter(Shown::hides);
    if app.unread_before.is_none() {
        app.note = Some(Note::warning(format!("not taken yet: Enter takes {typed}")));
        app.unread_before = shown(&app).filter(Shown::hides);
    }
    app
}

/// Nothing is left to be read.
const READ: Shown = Shown { first: 0, end: 1, all: 1 };
const NO_ROOM: &str = "not answered: there is no room to read what this is about";
const REST_FIRST: &str = "the rest is read first: Enter shows it";

/// Moves over rows: a page key to the first row of the next page or of the one before.
pub(super) fn in_rows<J: Job>(app: &App<J>, list: &List, motion: Motion) -> List {
    let last = list.shown().len().saturating_sub(1);
    let to = |cursor: usize| List { cursor, number: String::new(), ..list.clone() };
    let page = |cursor: usize| {
        let mut app = app.clone();
        put(&mut app, to(cursor));
        shown(&app).unwrap_or(Shown { first: cursor, end: cursor + 1, all: last + 1 })
    };
    let here = page(list.cursor);
    to(match motion {
        Motion::Up => list.cursor.saturating_sub(1),
        Motion::Down => (list.cursor + 1).min(last),
        Motion::First => 0,
        Motion::Last => last,
        Motion::PageDown if here.end >= here.all => last,
        Motion::PageDown => {
            (list.cursor..=last).find(|row| page(*row).first >= here.end).unwrap_or(last)
        }
        Motion::PageUp => {
            let before = (0..list.cursor).rev().find(|row| page(*row).first < here.first);
            let Some(before) = before else { return to(0) };
            let first = page(before).first;
            (0..before).rev().take_while(|row| page(*row).first == first).last().unwrap_or(before)
        }
    })
}
