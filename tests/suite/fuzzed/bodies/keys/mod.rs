//! Keys into the screens with the session behind them: no terminal, disk or clock. Bytes are the hand
//! (`hand`), a shop in memory does what the shell does on disk (`hangar`), and after every key is asked
//! what must never be (`never`).

pub mod hand;
pub mod hangar;
mod never;

use super::{Checked, chosen, want};
use cowlside::domain::entry::{Entry, Moment};
use cowlside::domain::session::{Due, Session};
use cowlside::tui::app::{App, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::keymap::{Action, Begun, Place};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{keymap, step, view};
use hand::{Hand, Press};
use hangar::Hangar;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;
use std::sync::Arc;

/// 2026-03-14 09:00.
const MORNING: i64 = 1_773_475_200_000;

/// The parts that a negative control puts a faulty one in for.
#[derive(Clone, Copy)]
pub struct Ways {
    /// What a press means.
    pub means: fn(&Press, &App<Bench>) -> Option<Action>,
    /// How long after the one before the program hears it, milliseconds.
    pub takes_ms: fn(&Press) -> i64,
    /// Which entries the journal takes of those that it is given.
    pub keep: fn(&[Entry]) -> Vec<Entry>,
    /// The screen.
    pub paint: fn(&App<Bench>) -> String,
}

/// The program's own.
pub const OWN: Ways = Ways { means, takes_ms: Press::takes_ms, keep: <[Entry]>::to_vec, paint };

/// What was met on the way.
#[derive(Clone, Copy, Debug, Default)]
pub struct Counts {
    pub presses: u64,
    pub readings: u64,
    pub undos: u64,
    pub signed: u64,
    pub refused: u64,
    pub unseen: u64,
    pub pastes: u64,
    pub held: u64,
    pub woken: u64,
}

impl Counts {
    /// Adds what was met on another walk.
    pub fn add(&mut self, other: &Counts) {
        self.presses += other.presses;
        self.readings += other.readings;
        self.undos += other.undos;
        self.signed += other.signed;
        self.refused += other.refused;
        self.unseen += other.unseen;
        self.pastes += other.pastes;
        self.held += other.held;
        self.woken += other.woken;
    }
}

/// Presses the keys that the bytes are, with the program's own parts.
pub fn walk(bytes: &[u8], ways: &Ways) -> Result<Counts, String> {
    let (engine, hand) = chosen(bytes);
    let mut walk = Walk::new(engine, ways)?;
    let mut hand = Hand::new(hand);
    while let Some(presses) = hand.next(&walk.app) {
        for press in presses {
            if !walk.press(&press).map_err(|wrong| walk.told(&press, &wrong))? {
                return walk.end();
            }
        }
    }
    walk.end()
}

/// The same for the fuzzer.
pub fn check(bytes: &[u8], walk: fn(&[u8], &Ways) -> Result<Counts, String>) -> Checked {
    let counts = walk(bytes, &OWN)?;
    Ok(if counts.signed > 0 { "signed" } else { "walked" })
}

/// What a press means to the program.
pub fn means(press: &Press, app: &App<Bench>) -> Option<Action> {
    match press {
        Press::Key(key) => keymap::action(*key, app.place(), app.begun()),
        Press::Paste(text) => Some(Action::Paste((*text).to_owned())),
        Press::Pause(_) => None,
    }
}

/// The screen of the usual size.
pub fn paint(app: &App<Bench>) -> String {
    let area = Rect::new(0, 0, 80, 24);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let row = |y| (0..area.width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..area.height).map(|y| row(y) + "\n").collect()
}

/// The session on the bench, where there is one.
pub fn session(app: &App<Bench>) -> Option<&Session> {
    shared(app).map(|session| &**session)
}

/// The same as benches share it.
fn shared(app: &App<Bench>) -> Option<&Arc<Session>> {
    match app.job.as_ref()?.desk() {
        Desk::Session { session, .. } => Some(session),
        Desk::NewEngine(_)
        | Desk::Beginning { .. }
        | Desk::Versions { .. }
        | Desk::Hours { .. } => None,
    }
}

struct Walk<'a> {
    app: App<Bench>,
    hangar: Hangar,
    ways: &'a Ways,
    now: i64,
    before: Option<Press>,
    /// What was looked at last for a figure: the session, and the screen.
    looked_at: Option<(Arc<Session>, String)>,
    counts: Counts,
}

/// What a press found, and what was to be done for it.
struct Pressed {
    was: App<Bench>,
    kept_before: usize,
    effect: Option<Effect>,
}

impl<'a> Walk<'a> {
    fn new(engine: u8, ways: &'a Ways) -> Result<Walk<'a>, String> {
        let hangar = Hangar::new(engine)?;
        let shop = hangar.shop();
        let app = App::new(shop, None, ThemeName::Terminal, Colours::Off, Ink::Blocks);
        let counts = Counts::default();
        Ok(Walk { app, hangar, ways, now: MORNING, before: None, looked_at: None, counts })
    }

    /// Presses, and asks what must never be; false where the program was left.
    fn press(&mut self, press: &Press) -> Result<bool, String> {
        self.now += (self.ways.takes_ms)(press);
        self.counts.presses += 1;
        let before = self.before.replace(press.clone());
        let Some(action) = (self.ways.means)(press, &self.app) else { return Ok(true) };
        let at = Moment { unix_ms: self.now, offset_min: 60 };
        // What follows the first press of a held key tells it from a tap.
        let held = press.is_held() && self.app.may_be_held(&action, at);
        let action = if held { Action::HeldDown } else { action };
        let was = self.app.clone();
        let kept_before = self.hangar.kept.len();
        let mut done = None;
        let (hangar, keep) = (&mut self.hangar, self.ways.keep);
        let mut carry_out = |effect: &Effect, at| {
            done = Some(effect.clone());
            hangar.carry_out(effect, at, keep)
        };
        match step(self.app.clone(), &action, at, &mut carry_out) {
            ControlFlow::Continue(app) => self.app = app,
            ControlFlow::Break(()) => return Ok(false),
        }
        let pressed = Pressed { was, kept_before, effect: done };
        self.never(press, before.as_ref(), &action, &pressed)?;
        Ok(true)
    }

    fn told(&self, press: &Press, wrong: &str) -> String {
        let kept = self.hangar.kept.iter().rev().take(6).rev();
        let kept: Vec<String> = kept.map(|kept| format!("{} {:?}", kept.seq, kept.entry)).collect();
        let due = session(&self.app).map(|session| session.state.due());
        let screen = paint(&self.app);
        format!("{wrong}\nafter {press:?}, due {due:?}, last kept:\n{}\n{screen}", kept.join("\n"))
    }

    /// The journal's own bytes give the session that is on the screen.
    fn end(mut self) -> Result<Counts, String> {
        if let (Some(live), Some(kept)) = (session(&self.app), self.hangar.session.as_ref()) {
            want(live == kept, || "the screen is not what was kept".into())?;
            let again = Session::replay(&self.hangar.kept);
            want(again.as_ref() == Some(live), || "the kept entries give another session".into())?;
            want(self.hangar.written()? == *live, || "the lines give another session".into())?;
            let typed = self.hangar.kept.iter();
            let typed = typed.filter(|kept| matches!(kept.entry, Entry::Reading(_))).count();
            let confirmed = usize::try_from(self.counts.readings).unwrap_or(0);
            want(typed == confirmed, || format!("{confirmed} confirmed, {typed} kept"))?;
        }
        let sealed = self.hangar.session.as_ref().and_then(|kept| kept.state.sealed);
        self.counts.signed = u64::from(sealed == Some(true));
        Ok(self.counts)
    }
}

/// Tells whether a reading is asked by the session itself and nothing lies on top.
fn asks_reading(app: &App<Bench>) -> Option<Due> {
    let due = session(app)?.state.due();
    let open = app.forms.is_empty() && app.place() == Place::Reading;
    open.then_some(due)
}

/// Tells whether nothing is typed.
fn is_empty(app: &App<Bench>) -> bool {
    app.begun() == Begun::No
}
