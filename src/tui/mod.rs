//! The screens: keys in, pictures out.
//!
//! Paint, wait for a key, give it its meaning, make the next state, have its effect carried out
//! (`hand`), and only then keep that state. Without a key nothing moves, but where the saving of an entry ends, and once
//! a minute while an engine cools, and while a session in another terminal is looked at. Files, the clock and the session's rules come in as arguments.

pub mod app;
pub mod ascii;
mod beginning;
pub mod bench;
mod beside;
mod broken_off;
pub mod compared;
pub mod doing;
pub mod effect;
mod entering;
mod going_back;
mod half;
mod hand;
pub mod help;
pub mod input;
pub mod job;
pub mod keeping;
pub mod keymap;
pub mod kinds;
mod leaving;
pub mod list;
pub mod look;
mod looking;
mod meanwhile;
pub mod paging;
pub mod painted;
pub mod past;
mod place;
mod profile_answers;
pub mod profile_desk;
pub mod profile_keys;
mod profile_moves;
pub mod profile_view;
mod reading;
pub mod screens;
pub mod signals;
mod silent;
mod slips;
pub mod terminal;
pub mod theme;
mod too_soon;
pub mod update;
pub mod view;
pub mod watching;
pub mod widgets;

use crate::domain::entry::Moment;
use app::{App, Carried, Effect};
use beginning::{begun_and_shown, unread_yet, without_early};
use crossterm::event::{self, Event, KeyEvent};
use hand::{Around, Hand, Waited};
use input::{Input, Keyboard};
use job::Job;
use keeping::Keeping;
use keymap::Action;
use profile_desk::{Done as Written, Key as FormKey, ProfileDesk, Wish};
use std::io;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::thread;
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

/// Shows the screens until the mechanic leaves. `carry_out` does what an effect says, in a thread of
/// its own, and says in words why it could not. Where `first` is an effect, it is done before anything
/// else: the screen says so until it is done, and where it cannot be done nothing is shown.
///
/// # Errors
/// The terminal cannot be taken over, read or painted on.
pub fn run<J: Job + Send>(
    (app, first): (App<J>, Option<Effect>),
    keeping: Arc<dyn Keeping>,
    clock: impl Fn() -> Moment,
    carry_out: impl FnMut(&Effect, Moment) -> Result<Carried<J>, String> + Send,
) -> io::Result<Ended> {
    signals::say_last(Arc::clone(&keeping));
    let mut screen = terminal::Screen::take()?;
    let ended = thread::scope(|scope| {
        let mut hand = Hand::new(scope, carry_out);
        let mut input = Input::new(Keyboard);
        let (keeping, clock) = (&*keeping, &clock);
        let mut around = Around { screen: &mut screen, input: &mut input, keeping, clock };
        let ended = begun_and_shown(&mut hand, &mut around, app, first);
        // Nobody can wait for a thread that waits for a disk, but in the last words.
        match &ended {
            Ok(_) => {
                signals::leaving();
                terminal::tidy();
                if hand.is_busy() {
                    signals::leave_now();
                }
            }
            Err(why) if hand.is_busy() => {
                signals::leave_failed(&|| keeping.terminal_failed(why));
            }
            Err(_) => {}
        }
        ended
    });
    drop(screen);
    match ended {
        Ok(ended) => Ok(ended),
        Err(_) if signals::hung_up() => Ok(Ended::TerminalGone),
        Err(error) => Err(error),
    }
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

/// Shows what a key will have changed on the screen, before it counts, and tells whether it will; `None`
/// where something has to be done for it first.
fn shown_at_once<J: Job>(
    screen: &mut terminal::Screen,
    app: &App<J>,
    key: KeyEvent,
    at: Moment,
) -> io::Result<Option<(App<J>, bool)>> {
    let Some(action) = keymap::action(key, app.place(), app.begun()) else { return Ok(None) };
    let of_the_terminal = matches!(action, Action::Redraw | Action::Suspend);
    if of_the_terminal || app.may_be_held(&action, at) {
        return Ok(None);
    }
    let (mut next, None) = update::update(app, &action, at) else { return Ok(None) };
    screen.draw(next.rings, |area, buf| view::paint(&next, area, buf))?;
    next.rings = false;
    Ok(Some((next, app.counts(&action, at))))
}

fn show<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &mut Around<'_, impl Fn() -> Moment>,
    mut app: App<J>,
) -> io::Result<()> {
    let (keeping, clock) = (around.keeping, around.clock);
    app = app.told_time(clock());
    // While more is typed already, what was typed so far is not painted: a slow line would fall
    // behind the fingers. A question, an answer and a refusal always are.
    let (mut owed, mut hurried, mut listens) = (true, false, false);
    loop {
        if !listens {
            app = without_early(around.screen, app);
        }
        if owed && !(hurried && around.input.is_waiting()?) {
            app.saving = keeping.saving();
            app = app.told(keeping.told());
            app.alert = keeping.alert();
            (app.room, owed) = (painted(around.screen, &app)?, false);
        }
        if !listens {
            // The first frame does not wait for it. From here on a call of `wake` is heard.
            event::poll(Duration::ZERO)?;
            listens = true;
            // Nor was, before it, going on after a stop.
            if app.saving != keeping.saving() || terminal::repaint_is_due() {
                owed = true;
                continue;
            }
        }
        // What was made of a key that was shown before it counts, to be kept as it is once it does.
        let (wait, mut shown) = (app.changes_in_ms().map(Duration::from_millis), None);
        let Around { screen, input, .. } = around;
        let next = input.next_seen(app.place().types(), wait, &mut |key| {
            let seen = shown_at_once(screen, &app, key, clock())?;
            shown = seen.map(|(next, counts)| (key, next, counts));
            Ok(shown.is_some())
        })?;
        let Some(event) = next else {
            ((app, owed), hurried) = (idled(hand, around, app)?, false);
            // What was shown and does not count is to be seen no longer.
            owed |= shown.is_some();
            continue;
        };
        if let Some((key, next, counts)) = shown
            && event == Event::Key(key)
        {
            // It stands on the screen already, and the bell has rung.
            (owed, hurried) = (false, false);
            keeping.try_again(counts);
            app = next;
            continue;
        }
        let at = clock();
        let met = meet(&app, input, &event, at)?;
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
                keeping.try_again(app.counts(&action, at));
                let Some(next) = acted(hand, around, app, &action)? else { return Ok(()) };
                app = next;
                hurried &= app.note.is_none();
            }
        }
    }
}

/// Nothing was typed for a while: the time goes on, and a session that is looked at. Tells whether
/// something is to be painted: without anything new not a byte is written.
fn idled<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &Around<'_, impl Fn() -> Moment>,
    app: App<J>,
) -> io::Result<(App<J>, bool)> {
    let app = app.told_time((around.clock)());
    if app.watched.is_none() {
        return Ok((app, true));
    }
    Ok(match hand.look((around.clock)())? {
        Some(answer) => app.looked_on(answer),
        None => (app, false),
    })
}

/// One action from beginning to end, the keys being answered while it is carried out; `None` where the
/// mechanic leaves.
fn acted<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &mut Around<'_, impl Fn() -> Moment>,
    app: App<J>,
    action: &Action,
) -> io::Result<Option<App<J>>> {
    let (next, effect) = update::update(&app, action, (around.clock)());
    let effect = match effect {
        None => return Ok(Some(next)),
        Some(Effect::Quit) => return Ok(None),
        Some(effect) => effect,
    };
    Ok(match hand.carry(around, &app, effect)? {
        Waited::Answered(answer, told) => {
            let mut app = match answer {
                Ok(carried) => next.with(carried),
                Err(why) => app.failed(next, why),
            };
            if told {
                app = app.came_up(action.clone(), (around.clock)());
            }
            match app.describing.take() {
                Some(desk) => describe(hand, around, app, *desk)?,
                None => Some(app),
            }
        }
        Waited::Left => None,
    })
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
    let (mut screen, mut input) = (terminal::Screen::take()?, Input::new(Keyboard));
    let filled = fill_in((&mut screen, &mut input), desk, &mut |_, desk, wish| {
        Ok(Some(carry_out(desk, wish)))
    })?;
    Ok(filled.flatten())
}

/// A screen and its keys.
type Desktop<'a> = (&'a mut terminal::Screen, &'a mut Input<Keyboard>);

/// Fills in a form; returns where it was written, `Some(None)` where it was left, and `None` where the
/// program is left while `carry_out` waits.
fn fill_in(
    (screen, input): Desktop<'_>,
    mut desk: ProfileDesk,
    carry_out: &mut impl FnMut(Desktop<'_>, &ProfileDesk, &Wish) -> io::Result<Option<Written>>,
) -> io::Result<Option<Option<String>>> {
    loop {
        let mut room = desk.room;
        screen.draw(false, |area, buf| {
            room = (area.width, area.height);
            profile_view::paint(&desk, area, buf);
        })?;
        desk.room = room;
        // What comes alone is shown before it counts, here too.
        let next = input.next_seen(true, None, &mut |key| {
            let Some(key) = profile_keys::key(key, &desk) else { return Ok(false) };
            let (next, None) = desk.press(&key) else { return Ok(false) };
            if key == FormKey::Redraw {
                return Ok(false);
            }
            screen.draw(false, |area, buf| {
                profile_view::paint(&next, area, buf);
            })?;
            Ok(true)
        })?;
        let Some(event) = next else { continue };
        let key = match event {
            Event::Key(key) => profile_keys::key(key, &desk),
            Event::Paste(text) => Some(FormKey::Paste(text)),
            Event::Resize(_, _) if signals::was_woken() => None,
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
            Some(Wish::Leave) => return Ok(Some(None)),
            Some(wish) => {
                let Some(done) = carry_out((screen, input), &desk, &wish)? else { return Ok(None) };
                let place = match &done {
                    Written::Written(place) => Some(place.clone()),
                    Written::Exists | Written::Refused(_) => None,
                };
                if desk.with(done) {
                    return Ok(Some(place));
                }
            }
        }
    }
}

/// Fills in a form in the midst of the screens, then goes on with what comes of it; `None` where the
/// mechanic leaves.
fn describe<J: Job>(
    hand: &mut Hand<'_, J>,
    around: &mut Around<'_, impl Fn() -> Moment>,
    app: App<J>,
    mut desk: ProfileDesk,
) -> io::Result<Option<App<J>>> {
    let (keeping, clock) = (around.keeping, around.clock);
    (desk.theme, desk.colours, desk.ink) = (app.theme, app.colours, app.ink);
    let filled =
        fill_in((around.screen, around.input), desk, &mut |(screen, input), desk, wish| {
            let Wish::Write { name, replace } = wish else {
                return Ok(Some(Written::Refused(String::new())));
            };
            let (document, name) = (desk.form.document(), name.clone());
            let effect = Effect::WriteProfile { document, name, replace: *replace };
            let mut around = Around { screen, input, keeping, clock };
            Ok(match hand.carry_under(&mut around, &app, effect, desk)? {
                Waited::Answered(Ok(Carried::Written(done)), _) => Some(done),
                Waited::Answered(Ok(_), _) => Some(Written::Refused("it was not written".into())),
                Waited::Answered(Err(why), _) => Some(Written::Refused(why)),
                Waited::Left => None,
            })
        })?;
    let Some(written) = filled else { return Ok(None) };
    terminal::repaint_next();
    Ok(match hand.carry(around, &app, Effect::Described(written))? {
        Waited::Answered(answer, told) => {
            let app = match answer {
                Ok(carried) => app.with(carried),
                Err(why) => app.refused(why),
            };
            let app = app.told_time(clock());
            if told {
                let app = unread_yet(around, app)?;
                Some(without_early(around.screen, app))
            } else {
                Some(app)
            }
        }
        Waited::Left => None,
    })
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
                Err(why) => app.failed(next, why),
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

/// A key held down is no second press: where it may be one, what follows it is waited for.
fn meet<J: Job>(
    app: &App<J>,
    input: &mut Input<Keyboard>,
    event: &Event,
    at: Moment,
) -> io::Result<Met> {
    let met = meaning(app, event);
    Ok(match (&met, event) {
        (Met::Action(action), Event::Key(key))
            if app.may_be_held(action, at) && input.repeats(*key)? =>
        {
            Met::Action(Action::HeldDown)
        }
        _ => met,
    })
}

fn meaning<J: Job>(app: &App<J>, event: &Event) -> Met {
    match event {
        Event::Key(key) => {
            keymap::action(*key, app.place(), app.begun()).map_or(Met::Nothing, Met::Action)
        }
        Event::Paste(text) => Met::Action(Action::Paste(text.clone())),
        Event::Resize(_, _) if signals::was_woken() => Met::Woken,
        // Also how a stopped program hears that it goes on: its screen is whatever the shell left.
        Event::Resize(_, _) => Met::Repaint,
        Event::FocusGained | Event::FocusLost | Event::Mouse(_) => Met::Nothing,
    }
}
