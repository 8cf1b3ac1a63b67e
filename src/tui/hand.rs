//! The hand that carries effects out: a thread of its own, so that keys are answered and the screen
//! says what is waited for while a disk takes its time.
//!
//! What is done is done one after the other. Where it takes longer than is felt, the question stays
//! on the screen with what is waited for; then only leaving, help and painting anew are keys. A key
//! that is pressed meanwhile never answers what comes up afterwards.

use super::app::{App, Carried, Effect, Top};
use super::doing::Doing;
use super::input::{Input, Keyboard, hear_wakes};
use super::job::Job;
use super::keeping::Keeping;
use super::keymap::Action;
use super::profile_desk::ProfileDesk;
use super::screens::Note;
use super::{Met, meaning, profile_view, signals, terminal, update, view};
use crate::domain::entry::Moment;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::{Builder, Scope};
use std::time::{Duration, Instant};

/// What carrying out an effect came to: what it brought back, or in words why not.
pub(super) type Answer<J> = Result<Carried<J>, String>;
type Order = (Effect, Moment);
type Start<'s, J> = Box<dyn FnOnce(Receiver<Order>, Sender<Answer<J>>) -> io::Result<()> + 's>;

/// Shorter than this nobody is told that something is waited for.
const UNFELT: Duration = Duration::from_millis(100);
/// How often it is told how long already.
const TOLD_EVERY: Duration = Duration::from_secs(1);

const WAIT: &str = "first the disk must answer; 1 leaves, 2 stays";

/// A thread that carries effects out, started with the first.
pub(super) struct Hand<'s, J: Job> {
    start: Option<Start<'s, J>>,
    ends: Option<(Sender<Order>, Receiver<Answer<J>>)>,
    /// Somebody sleeps in the read of keys until the answer comes.
    awaited: Arc<AtomicBool>,
    doing: Doing,
    busy: bool,
    /// A look at a session in another terminal is under way; nobody waits for it.
    looking: bool,
}

impl<'s, J: Job + Send + 's> Hand<'s, J> {
    pub(super) fn new<'env>(
        scope: &'s Scope<'s, 'env>,
        mut carry_out: impl FnMut(&Effect, Moment) -> Answer<J> + Send + 's,
    ) -> Hand<'s, J> {
        let awaited = Arc::new(AtomicBool::new(false));
        let sleeps = Arc::clone(&awaited);
        let start = move |orders: Receiver<Order>, answers: Sender<Answer<J>>| {
            let work = move || {
                for (effect, at) in orders {
                    let answer = signals::while_working(|| carry_out(&effect, at));
                    if answers.send(answer).is_err() {
                        break;
                    }
                    if sleeps.load(Ordering::SeqCst) {
                        signals::wake();
                    }
                }
            };
            Builder::new().name("hand".into()).spawn_scoped(scope, work).map(drop)
        };
        Hand {
            start: Some(Box::new(start)),
            ends: None,
            awaited,
            doing: Doing::Reading,
            busy: false,
            looking: false,
        }
    }
}

impl<J: Job> Hand<'_, J> {
    /// Gives an effect to carry out.
    ///
    /// # Errors
    /// The system has no thread.
    pub(super) fn order(&mut self, effect: Effect, at: Moment) -> io::Result<()> {
        if let Some(start) = self.start.take() {
            let ((orders, ordered), (answers, answered)) = (channel(), channel());
            start(ordered, answers)?;
            self.ends = Some((orders, answered));
        }
        self.doing = effect.doing();
        let (orders, _) = self.ends.as_ref().ok_or_else(gone)?;
        orders.send((effect, at)).map_err(|_| gone())?;
        self.busy = true;
        Ok(())
    }

    /// Waits for the answer, however long that takes.
    ///
    /// # Errors
    /// The thread is gone.
    pub(super) fn answer(&mut self) -> io::Result<Answer<J>> {
        let (_, answers) = self.ends.as_ref().ok_or_else(gone)?;
        let answer = answers.recv().map_err(|_| gone())?;
        self.busy = false;
        Ok(answer)
    }

    /// Tells whether something is still being carried out.
    pub(super) fn is_busy(&self) -> bool {
        self.busy
    }

    /// Carries an effect out, the keys being answered meanwhile.
    ///
    /// # Errors
    /// The system has no thread, or the terminal cannot be read or painted on.
    pub(super) fn carry(
        &mut self,
        around: &mut Around<'_, impl Fn() -> Moment>,
        app: &App<J>,
        effect: Effect,
    ) -> io::Result<Waited<J>> {
        self.order(effect, (around.clock)())?;
        self.wait(around, app, &|app, area, buf| view::paint(app, area, buf))
    }

    /// As `carry`, with a form on the screen.
    pub(super) fn carry_under(
        &mut self,
        around: &mut Around<'_, impl Fn() -> Moment>,
        app: &App<J>,
        effect: Effect,
        desk: &ProfileDesk,
    ) -> io::Result<Waited<J>> {
        self.order(effect, (around.clock)())?;
        self.wait(around, app, &|shown, area, buf| match (is_over(shown), &shown.busy) {
            (false, Some((doing, seconds))) => {
                profile_view::paint(&desk.saying(doing.waited_for(*seconds)), area, buf);
            }
            _ => view::paint(shown, area, buf),
        })
    }

    /// Waits for what the hand was given, the keys being answered meanwhile. `paint` paints the screen on
    /// which it was asked for.
    fn wait(
        &mut self,
        around: &mut Around<'_, impl Fn() -> Moment>,
        app: &App<J>,
        paint: &dyn Fn(&App<J>, Rect, &mut Buffer),
    ) -> io::Result<Waited<J>> {
        if let Some(answer) = self.answer_within(UNFELT)? {
            return Ok(Waited::Answered(answer, false));
        }
        let beneath = match &app.top {
            Top::Leave => Top::Nothing,
            Top::Help(help) => help.beneath.clone(),
            other => other.clone(),
        };
        around.screen.forget_early();
        let (since, mut shown) = (Instant::now(), app.clone());
        (shown.note, shown.rings, shown.top) = (None, false, beneath.clone());
        self.awaited.store(true, Ordering::SeqCst);
        loop {
            // From here on being woken is heard.
            hear_wakes()?;
            // A page that is being read, or the question whether to leave, is not taken away.
            if !is_over(&shown)
                && let Some(answer) = self.answer_within(Duration::ZERO)?
            {
                self.awaited.store(false, Ordering::SeqCst);
                return Ok(Waited::Answered(answer, true));
            }
            shown.busy = Some((self.doing, since.elapsed().as_secs()));
            shown.saving = around.keeping.saving();
            around.screen.draw(false, |area, buf| paint(&shown, area, buf))?;
            let Some(event) = around.input.next(false, Some(TOLD_EVERY))? else { continue };
            match meaning(&shown, &event) {
                Met::Nothing | Met::Woken => {}
                Met::Repaint | Met::Action(Action::Redraw) => terminal::repaint_next(),
                Met::Action(Action::Suspend) if signals::can_come_back() => signals::stop_this(),
                Met::Action(action) => match pressed(&shown, &beneath, &action, (around.clock)()) {
                    Some(next) => shown = next,
                    None => return Ok(Waited::Left),
                },
            }
        }
    }

    /// Looks whether there is something new in a session in another terminal; a key never waits for
    /// that. `None` where that is not known yet.
    ///
    /// # Errors
    /// The system has no thread, or it is gone.
    pub(super) fn look(&mut self, at: Moment) -> io::Result<Option<Answer<J>>> {
        let waits = if self.looking {
            Duration::ZERO
        } else {
            self.order(Effect::LookOn, at)?;
            UNFELT
        };
        let (_, answers) = self.ends.as_ref().ok_or_else(gone)?;
        let answer = answers.recv_timeout(waits).ok();
        self.looking = answer.is_none();
        self.busy = self.looking;
        Ok(answer)
    }

    fn answer_within(&mut self, wait: Duration) -> io::Result<Option<Answer<J>>> {
        let (_, answers) = self.ends.as_ref().ok_or_else(gone)?;
        match answers.recv_timeout(wait) {
            // The next look finds what this one has found.
            Ok(_) if std::mem::take(&mut self.looking) => self.answer_within(wait),
            Ok(answer) => {
                self.busy = false;
                Ok(Some(answer))
            }
            Err(RecvTimeoutError::Timeout) => Ok(None),
            Err(RecvTimeoutError::Disconnected) => Err(gone()),
        }
    }
}

fn gone() -> io::Error {
    io::Error::other("what carries out the work is gone")
}

/// What waiting came to.
pub(super) enum Waited<J: Job> {
    /// The answer, and whether anybody was told of the wait.
    Answered(Answer<J>, bool),
    /// The mechanic left; the hand is still busy.
    Left,
}

/// What is waited with.
pub(super) struct Around<'a, C> {
    pub(super) screen: &'a mut terminal::Screen,
    pub(super) input: &'a mut Input<Keyboard>,
    pub(super) keeping: &'a dyn Keeping,
    pub(super) clock: &'a C,
}

fn is_over<J: Job>(shown: &App<J>) -> bool {
    matches!(shown.top, Top::Leave | Top::Help(_))
}

/// What a key makes of the screen meanwhile; `None` where the mechanic leaves.
fn pressed<J: Job>(shown: &App<J>, beneath: &Top, action: &Action, at: Moment) -> Option<App<J>> {
    let mut before = shown.clone();
    // The key that wakes after a long pause is no other than these here.
    before.last_key = Some(at);
    if !is_over(shown) && !matches!(action, Action::Interrupt | Action::Leave | Action::Help) {
        return Some(before);
    }
    let (mut next, effect) = update::update(&before, action, at);
    match effect {
        Some(Effect::Quit) => return None,
        Some(_) => {
            before.note = Some(Note::warning(WAIT));
            return Some(before);
        }
        None => {}
    }
    if next.top == Top::Nothing {
        next.top = beneath.clone();
    }
    Some(next)
}
