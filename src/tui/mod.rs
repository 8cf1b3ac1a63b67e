//! The screens: keys in, pictures out.
//!
//! Paint, wait for a key, give it its meaning, make the next state, carry out its effect, and only
//! then keep that state. Nothing moves unless a key is pressed, so nothing is read or written while
//! the mechanic works. Files, the clock and the session's rules come in as arguments.

pub mod app;
pub mod ascii;
pub mod bench;
pub mod job;
pub mod keymap;
pub mod look;
pub mod screens;
mod signals;
pub mod terminal;
pub mod theme;
pub mod update;
pub mod view;
pub mod widgets;

use crate::domain::entry::Moment;
use app::{App, Carried, Effect};
use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyModifiers};
use job::Job;
use keymap::Action;
use std::io;
use std::ops::ControlFlow;
use std::time::Duration;

/// How the screens ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The mechanic left.
    Left,
    /// The terminal is gone; the exit code is 128 + 1, and there is nobody to say anything to.
    TerminalGone,
}

/// Shows the screens until the mechanic leaves. `carry_out` does what an effect says, and says in
/// words why it could not.
///
/// # Errors
/// The terminal cannot be taken over, read or painted on.
pub fn run<J: Job>(
    app: App<J>,
    clock: impl Fn() -> Moment,
    mut carry_out: impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<Ended> {
    let mut screen = terminal::Screen::take()?;
    let ended = show(&mut screen, app, &clock, &mut carry_out);
    drop(screen);
    match ended {
        Ok(()) => Ok(Ended::Left),
        Err(_) if signals::hung_up() => Ok(Ended::TerminalGone),
        Err(error) => Err(error),
    }
}

fn show<J: Job>(
    screen: &mut terminal::Screen,
    mut app: App<J>,
    clock: &impl Fn() -> Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<()> {
    screen.draw(|area, buf| view::paint(&app, area, buf))?;
    loop {
        match meet(&app, event::read()?)? {
            Met::Nothing => continue,
            Met::Repaint => terminal::repaint_next(),
            Met::Action(Action::Suspend) => {
                signals::stop_this();
                continue;
            }
            Met::Action(action) => {
                if action == Action::Redraw {
                    terminal::repaint_next();
                }
                match step(app, &action, clock(), carry_out) {
                    ControlFlow::Continue(next) => app = next,
                    ControlFlow::Break(()) => return Ok(()),
                }
            }
        }
        screen.draw(|area, buf| view::paint(&app, area, buf))?;
    }
}

/// One action from beginning to end; breaks off where the mechanic leaves.
pub fn step<J: Job>(
    app: App<J>,
    action: &Action,
    at: Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> ControlFlow<(), App<J>> {
    let (next, effect) = update::update(&app, action, at);
    match effect {
        None => ControlFlow::Continue(next),
        Some(Effect::Quit) => ControlFlow::Break(()),
        Some(effect) => {
            ControlFlow::Continue(match signals::while_working(|| carry_out(&effect, at)) {
                Ok(carried) => next.with(carried),
                Err(why) => app.refused(why),
            })
        }
    }
}

/// What an event comes to.
enum Met {
    Action(Action),
    /// Paint everything; nobody touched a key.
    Repaint,
    Nothing,
}

fn meet<J: Job>(app: &App<J>, event: Event) -> io::Result<Met> {
    Ok(match event {
        Event::Key(key) if opens_an_answer(key) => {
            swallow()?;
            Met::Nothing
        }
        Event::Key(key) => {
            keymap::action(key, app.place(), app.begun()).map_or(Met::Nothing, Met::Action)
        }
        Event::Paste(text) => Met::Action(Action::Paste(text)),
        // Also how a stopped program hears that it goes on: its screen is whatever the shell left.
        Event::Resize(_, _) => Met::Repaint,
        Event::FocusGained | Event::FocusLost | Event::Mouse(_) => Met::Nothing,
    })
}

/// Nothing is asked of the terminal here, but an answer to another program may still arrive; it
/// looks like Alt and one of these, followed by what looks like typing.
fn opens_an_answer(key: KeyEvent) -> bool {
    key.modifiers.contains(KeyModifiers::ALT)
        && matches!(key.code, KeyCode::Char(']' | 'P' | '_' | '^'))
}

/// Drops keys until the answer's end, or until it is quiet.
fn swallow() -> io::Result<()> {
    while event::poll(Duration::from_millis(100))? {
        if let Event::Key(key) = event::read()? {
            let ends = key.code == KeyCode::Char('\\') && key.modifiers.contains(KeyModifiers::ALT)
                || key.code == KeyCode::Char('g') && key.modifiers.contains(KeyModifiers::CONTROL);
            if ends {
                break;
            }
        }
    }
    Ok(())
}
