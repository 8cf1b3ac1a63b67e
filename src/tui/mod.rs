//! The screens: keys in, pictures out.
//!
//! Paint, wait for a key, give it its meaning, make the next state, carry out its effect, and only
//! then keep that state. Without a key nothing moves, but where the saving of an entry ends, and once
//! a minute while an engine cools, and while a session in another terminal is looked at. Files, the clock and the session's rules come in as arguments.

pub mod app;
pub mod ascii;
pub mod bench;
mod beside;
pub mod compared;
mod going_back;
pub mod help;
pub mod input;
pub mod job;
pub mod keeping;
pub mod keymap;
pub mod kinds;
pub mod list;
pub mod look;
mod looking;
pub mod painted;
pub mod past;
mod place;
pub mod profile_desk;
pub mod profile_keys;
pub mod profile_view;
pub mod screens;
pub mod signals;
pub mod terminal;
pub mod theme;
pub mod update;
pub mod view;
pub mod watching;
pub mod widgets;

use crate::domain::entry::Moment;
use app::{App, Carried, Effect};
use crossterm::event::{self, Event, KeyEvent};
use input::{Input, Keyboard};
use job::Job;
use keeping::Keeping;
use keymap::Action;
use profile_desk::{Done as Written, Key as FormKey, ProfileDesk, Wish};
use std::io;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::time::Duration;

/// How the screens ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The mechanic left.
    Left,
    /// The terminal is gone; the exit code is 128 + 1, and there is nobody to say anything to.
    TerminalGone,
    /// What was to be done first could not be done.
    NotBegun,
}

/// A program that nobody can call back would be lost with everything on its screen.
const NO_SHELL: &str = "Ctrl-Z stops nothing here: no shell is there to go on from";

/// Shows the screens until the mechanic leaves. `carry_out` does what an effect says, and says in
/// words why it could not. Where `first` is an effect, there is nothing to choose from before it: the
/// screen says so until it is done, and where it cannot be done nothing is shown.
///
/// # Errors
/// The terminal cannot be taken over, read or painted on.
pub fn run<J: Job>(
    (app, first): (App<J>, Option<Effect>),
    keeping: Arc<dyn Keeping>,
    clock: impl Fn() -> Moment,
    mut carry_out: impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<Ended> {
    signals::say_last(Arc::clone(&keeping));
    let mut screen = terminal::Screen::take()?;
    let begun = match first {
        Some(first) => begin(&mut screen, app, &first, &clock, &mut carry_out),
        None => Ok(Some(app)),
    };
    let ended = begun.and_then(|begun| match begun {
        Some(app) => {
            let shown = show(&mut screen, app, &*keeping, &clock, &mut carry_out);
            shown.map(|()| Ended::Left)
        }
        None => Ok(Ended::NotBegun),
    });
    drop(screen);
    match ended {
        Ok(ended) => Ok(ended),
        Err(_) if signals::hung_up() => Ok(Ended::TerminalGone),
        Err(error) => Err(error),
    }
}

/// Shows the list as it was last, or says that there is nothing to choose from yet, and does what is
/// to be done before. Keys that are pressed meanwhile wait for it; where the list was another one,
/// they were meant for that, and are none.
fn begin<J: Job>(
    screen: &mut terminal::Screen,
    app: App<J>,
    first: &Effect,
    clock: &impl Fn() -> Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<Option<App<J>>> {
    screen.draw(false, |area, buf| match app.shop.table.rows.as_slice() {
        [] => view::paint_beginning(&app, area, buf),
        [..] => view::paint(&app, area, buf),
    })?;
    // Until keys are read, Ctrl-C ends the program as it does any other.
    terminal::keys_are_signals(true);
    let carried = signals::while_working(|| carry_out(first, clock()));
    terminal::keys_are_signals(false);
    let shown = app.shop.table.clone();
    let begun = carried.ok().map(|carried| app.with(carried));
    if begun
        .as_ref()
        .is_some_and(|begun| !shown.rows.is_empty() && begun.shop.table.rows != shown.rows)
    {
        while event::poll(Duration::ZERO)? {
            event::read()?;
        }
    }
    Ok(begun)
}

/// Paints everything; returns the columns and rows of the window.
fn painted<J: Job>(screen: &mut terminal::Screen, app: &App<J>) -> io::Result<(u16, u16)> {
    let mut room = app.room;
    screen.draw(app.rings, |area, buf| {
        room = (area.width, area.height);
        view::paint(app, area, buf);
    })?;
    Ok(room)
}

/// Shows what a key will have typed, before it counts; `None` where it types nothing.
fn shown_at_once<J: Job>(
    screen: &mut terminal::Screen,
    app: &App<J>,
    key: KeyEvent,
    at: Moment,
) -> io::Result<Option<App<J>>> {
    let typed = keymap::action(key, app.place(), app.begun());
    let Some(typed @ Action::Type(_)) = typed else { return Ok(None) };
    let (next, None) = update::update(app, &typed, at) else { return Ok(None) };
    screen.draw(false, |area, buf| view::paint(&next, area, buf))?;
    Ok(Some(next))
}

/// Nothing was typed for a while: the time goes on, and a session that is looked at. Tells whether
/// something is to be painted: without anything new not a byte is written.
fn idled<J: Job>(
    app: App<J>,
    at: Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> (App<J>, bool) {
    let app = app.told_time(at);
    if app.watched.is_some() { watching::look_on(app, at, carry_out) } else { (app, true) }
}

fn show<J: Job>(
    screen: &mut terminal::Screen,
    mut app: App<J>,
    keeping: &dyn Keeping,
    clock: &impl Fn() -> Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<()> {
    app = app.told_time(clock());
    let mut input = Input::new(Keyboard);
    // While more is typed already, what was typed so far is not painted: a slow line would fall
    // behind the fingers. A question, an answer and a refusal always are.
    let (mut owed, mut hurried, mut listens) = (true, false, false);
    loop {
        if owed && !(hurried && input.is_waiting()?) {
            app.saving = keeping.saving();
            (app.room, owed) = (painted(screen, &app)?, false);
        }
        if !listens {
            // The first frame does not wait for it. From here on a call of `wake` is heard.
            event::poll(Duration::ZERO)?;
            listens = true;
            if app.saving != keeping.saving() {
                owed = true;
                continue;
            }
        }
        let wait = app.changes_in_ms().map(Duration::from_millis);
        // What was made of a key that was shown before it counts, to be kept as it is once it does.
        let mut shown = None;
        let next = input.next_seen(app.place().types(), wait, &mut |key| {
            if let Some(next) = shown_at_once(screen, &app, key, clock())? {
                shown = Some((key, next));
            }
            Ok(())
        })?;
        let Some(event) = next else {
            (app, owed) = idled(app, clock(), carry_out);
            hurried = false;
            continue;
        };
        if let Some((key, next)) = shown
            && event == Event::Key(key)
        {
            // It stands on the screen already; only the bell may be left to ring.
            (owed, hurried) = (next.rings, false);
            keeping.try_again();
            app = next;
            continue;
        }
        let met = meet(&app, event);
        if matches!(met, Met::Nothing) {
            continue;
        }
        (owed, hurried) = (true, matches!(met, Met::Action(Action::Type(_) | Action::Erase)));
        match met {
            Met::Nothing => {}
            Met::Woken => app.rings = false,
            Met::Repaint => {
                app.rings = false;
                terminal::repaint_next();
            }
            Met::Action(Action::Suspend) if signals::can_come_back() => {
                owed = false;
                signals::stop_this();
            }
            Met::Action(Action::Suspend) => app = app.refused(NO_SHELL.into()),
            Met::Action(action) => {
                if action == Action::Redraw {
                    terminal::repaint_next();
                }
                keeping.try_again();
                match step(app, &action, clock(), carry_out) {
                    ControlFlow::Continue(next) => app = next,
                    ControlFlow::Break(()) => return Ok(()),
                }
                if let Some(desk) = app.describing.take() {
                    app = describe(screen, &mut input, app, *desk, clock, carry_out)?;
                }
                hurried &= app.note.is_none();
            }
        }
    }
}

/// Shows the form of a profile until it is written or left. `carry_out` writes it, and says what
/// became of it.
///
/// # Errors
/// The terminal cannot be taken over, read or painted on.
pub fn run_form(
    desk: ProfileDesk,
    mut carry_out: impl FnMut(&ProfileDesk, &Wish) -> Written,
) -> io::Result<Option<String>> {
    let mut screen = terminal::Screen::take()?;
    fill_in(&mut screen, &mut Input::new(Keyboard), desk, &mut carry_out)
}

fn fill_in(
    screen: &mut terminal::Screen,
    input: &mut Input<Keyboard>,
    mut desk: ProfileDesk,
    carry_out: &mut impl FnMut(&ProfileDesk, &Wish) -> Written,
) -> io::Result<Option<String>> {
    loop {
        screen.draw(false, |area, buf| profile_view::paint(&desk, area, buf))?;
        let Some(event) = input.next(true, None)? else { continue };
        let key = match event {
            Event::Key(key) => profile_keys::key(key, &desk),
            Event::Paste(text) => Some(FormKey::Paste(text)),
            Event::Resize(_, _) => Some(FormKey::Redraw),
            Event::FocusGained | Event::FocusLost | Event::Mouse(_) => None,
        };
        let Some(key) = key else { continue };
        if key == FormKey::Redraw {
            terminal::repaint_next();
        }
        let (next, wish) = desk.press(&key);
        desk = next;
        match wish {
            None => {}
            Some(Wish::Leave) => return Ok(None),
            Some(wish) => {
                let done = carry_out(&desk, &wish);
                let place = match &done {
                    Written::Written(place) => Some(place.clone()),
                    Written::Exists | Written::Refused(_) => None,
                };
                if desk.with(done) {
                    return Ok(place);
                }
            }
        }
    }
}

/// Fills in a form in the midst of the screens, then goes on with what comes of it.
fn describe<J: Job>(
    screen: &mut terminal::Screen,
    input: &mut Input<Keyboard>,
    mut app: App<J>,
    mut desk: ProfileDesk,
    clock: &impl Fn() -> Moment,
    carry_out: &mut impl FnMut(&Effect, Moment) -> Result<Carried<J>, String>,
) -> io::Result<App<J>> {
    (desk.theme, desk.colours, desk.ink) = (app.theme, app.colours, app.ink);
    let written = fill_in(screen, input, desk, &mut |desk, wish| {
        let Wish::Write { name, replace } = wish else { return Written::Refused(String::new()) };
        let (document, name) = (desk.form.document(), name.clone());
        let effect = Effect::WriteProfile { document, name, replace: *replace };
        match signals::while_working(|| carry_out(&effect, clock())) {
            Ok(Carried::Written(done)) => done,
            Ok(_) => Written::Refused("it was not written".into()),
            Err(why) => Written::Refused(why),
        }
    })?;
    terminal::repaint_next();
    let effect = Effect::Described(written);
    app = match signals::while_working(|| carry_out(&effect, clock())) {
        Ok(carried) => app.with(carried),
        Err(why) => app.refused(why),
    };
    Ok(app.told_time(clock()))
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

/// Wakes the loop from another thread, to paint what has changed; without a screen nothing happens.
pub fn wake() {
    signals::wake();
}

/// What an event comes to.
enum Met {
    Action(Action),
    /// Paint what has changed beside the keys.
    Woken,
    /// Paint everything; nobody touched a key.
    Repaint,
    Nothing,
}

fn meet<J: Job>(app: &App<J>, event: Event) -> Met {
    match event {
        Event::Key(key) => {
            keymap::action(key, app.place(), app.begun()).map_or(Met::Nothing, Met::Action)
        }
        Event::Paste(text) => Met::Action(Action::Paste(text)),
        Event::Resize(_, _) if signals::was_woken() => Met::Woken,
        // Also how a stopped program hears that it goes on: its screen is whatever the shell left.
        Event::Resize(_, _) => Met::Repaint,
        Event::FocusGained | Event::FocusLost | Event::Mouse(_) => Met::Nothing,
    }
}
