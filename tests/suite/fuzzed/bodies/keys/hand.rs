//! The hand: bytes as presses. Most bytes answer what is asked as a mechanic would, so that whole
//! services are walked; the others are any key, a key held down, a paste, a pause.

use super::session;
use cowlside::domain::entry::Figure;
use cowlside::domain::session::{Due, State};
use cowlside::domain::typed::label;
use cowlside::domain::units::Length;
use cowlside::domain::valve::Valve;
use cowlside::guide::Typed;
use cowlside::tui::app::{App, Top};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::keymap::{Begun, Place};
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// What reaches the program at once, or the time that passes.
#[derive(Clone, Debug, PartialEq)]
pub enum Press {
    Key(KeyEvent),
    Paste(&'static str),
    Pause(i64),
}

/// How soon after the one before a key comes, where nobody hurries.
const USUAL_MS: i64 = 1_000;
/// Sooner than any finger.
pub const BOUNCED_MS: i64 = 60;
/// As soon as a held key begins to repeat.
pub const HELD_MS: i64 = 450;

impl Press {
    /// How long it takes; a key that follows a pause comes at its end.
    pub fn takes_ms(&self) -> i64 {
        match self {
            Press::Key(key) if key.kind == KeyEventKind::Repeat => 40,
            Press::Key(key) if key.state.contains(HELD) => HELD_MS,
            Press::Key(key) if key.state.contains(BOUNCED) => BOUNCED_MS,
            Press::Key(_) | Press::Paste(_) => USUAL_MS,
            Press::Pause(ms) => *ms,
        }
    }

    /// Whether it is the first of those that a terminal sends for a key held down.
    pub fn is_held(&self) -> bool {
        matches!(self, Press::Key(key) if key.state.contains(HELD))
    }
}

/// No terminal reports these two; here they mark a press that comes too soon.
const HELD: crossterm::event::KeyEventState = crossterm::event::KeyEventState::KEYPAD;
const BOUNCED: crossterm::event::KeyEventState = crossterm::event::KeyEventState::CAPS_LOCK;

fn key(code: KeyCode) -> Press {
    Press::Key(KeyEvent::new(code, KeyModifiers::NONE))
}

/// Whether a press is the same key as another, sooner than a finger can mean it twice.
pub fn too_soon(press: &Press, before: Option<&Press>) -> bool {
    match (press, before) {
        (Press::Key(now), Some(Press::Key(last))) => {
            let soon = now.state.contains(HELD) || now.state.contains(BOUNCED);
            soon && now.code == last.code && now.modifiers == last.modifiers
        }
        _ => false,
    }
}

/// Any key that does something somewhere.
const LETTERS: &str = "0123456789.,-+/*sapnkwlchftvibu?xqm ";
const CODES: [KeyCode; 10] = [
    KeyCode::Enter,
    KeyCode::Esc,
    KeyCode::Backspace,
    KeyCode::Up,
    KeyCode::Down,
    KeyCode::PageDown,
    KeyCode::Home,
    KeyCode::Delete,
    KeyCode::Tab,
    KeyCode::F(1),
];
const PASTES: [&str; 6] = ["1", "1\r1\r1\r", "0.15\r", "6", "\u{1b}[31m1", "1 1 1 1 1 1 1 1 1 1"];
const PAUSES: [i64; 6] = [200, 16 * 60_000, 61 * 60_000, 26 * 3_600_000, -3_600_000, 30_000];
/// Readings that a mechanic may type at any valve.
const TYPED: [&str; 10] = ["0", "/4", "12/", "6/7", ".006", "0,15 mm", "99", "5+6", "0.35", "6"];

/// Bytes, one after the other.
pub struct Hand<'a> {
    bytes: std::slice::Iter<'a, u8>,
    last: Option<KeyCode>,
}

impl<'a> Hand<'a> {
    pub fn new(bytes: &'a [u8]) -> Hand<'a> {
        // A walk longer than any service finds nothing more.
        Hand { bytes: bytes.get(..1200).unwrap_or(bytes).iter(), last: None }
    }

    /// The presses of the next byte; `None` at the end.
    pub fn next(&mut self, app: &App<Bench>) -> Option<Vec<Press>> {
        let byte = *self.bytes.next()?;
        let at = usize::from(byte);
        let presses = match byte {
            0..=187 => answer(app, byte),
            188..=211 => vec![key(KeyCode::Char(LETTERS.chars().nth((at * 7) % LETTERS.len())?))],
            212..=221 => vec![key(CODES[at - 212])],
            222..=227 => self.again(byte),
            228..=233 => vec![Press::Paste(PASTES[at - 228])],
            234..=239 => vec![Press::Pause(PAUSES[at - 234])],
            240..=249 => typed(TYPED[at - 240]),
            _ => vec![key(KeyCode::Char('-'))],
        };
        if let Some(Press::Key(key)) = presses.last() {
            self.last = Some(key.code);
        }
        Some(presses)
    }

    /// The last key bounced, held, or repeated by a terminal that tells so.
    fn again(&self, byte: u8) -> Vec<Press> {
        let Some(code) = self.last else { return Vec::new() };
        let mut event = KeyEvent::new(code, KeyModifiers::NONE);
        match byte % 3 {
            0 => event.state = BOUNCED,
            1 => event.state = HELD,
            _ => event.kind = KeyEventKind::Repeat,
        }
        vec![Press::Key(event)]
    }
}

/// Types a text and Enter.
fn typed(text: &str) -> Vec<Press> {
    text.chars().map(KeyCode::Char).chain([KeyCode::Enter]).map(key).collect()
}

/// What a mechanic would press here.
fn answer(app: &App<Bench>, pick: u8) -> Vec<Press> {
    if app.top == Top::Leave {
        return vec![key(KeyCode::Char('2'))];
    }
    match app.place() {
        Place::Notice => vec![key(KeyCode::Enter)],
        Place::Shop if app.begun() == Begun::Yes => vec![key(KeyCode::Esc)],
        Place::Shop => vec![key(KeyCode::Char('1'))],
        Place::List | Place::Kinds | Place::Review | Place::Page | Place::Watching => {
            vec![key(KeyCode::Esc)]
        }
        Place::Enter => vec![key(KeyCode::Enter)],
        Place::Choice => choice(app, pick),
        Place::Count if waits(app) => {
            choice(app, pick).into_iter().chain([key(KeyCode::Enter)]).collect()
        }
        Place::Count | Place::Reading | Place::Number | Place::Text => typed(&words(app, pick)),
    }
}

/// Tells whether one of several answers waits for Enter.
fn waits(app: &App<Bench>) -> bool {
    app.prompt().is_some_and(|prompt| prompt.field.typed == Some(Typed::Digit))
}

fn choice(app: &App<Bench>, pick: u8) -> Vec<Press> {
    let choices = app.prompt().map(|prompt| prompt.field.choices).unwrap_or_default();
    let any = usize::from(pick / 16) % choices.len().max(1);
    // The hand types the right figure: where two of a page cross, it was the other.
    let crossed =
        session(app).is_some_and(|session| matches!(session.state.due(), Due::PageFigure(..)));
    let at = if pick % 16 == 15 { any } else { usize::from(crossed && app.forms.is_empty()) };
    let digit = choices.get(at).map_or(1, |choice| choice.digit);
    vec![key(KeyCode::Char(char::from(b'0' + digit % 10)))]
}

fn words(app: &App<Bench>, pick: u8) -> String {
    let prompt = app.prompt().unwrap_or_default();
    let by_enter = prompt.field.enter.is_some();
    let Some(state) = session(app).map(|session| &session.state) else {
        let hours = matches!(app.job.as_ref().map(Bench::desk), Some(Desk::Beginning { .. }));
        return if hours && !by_enter { "460.5" } else { "" }.into();
    };
    if !app.forms.is_empty() {
        return in_form(app.place(), by_enter, pick);
    }
    match state.due() {
        Due::Turn { stop, .. } => state.to_gauge(stop).max(1).to_string(),
        Due::CountIn { out, .. } | Due::Shortage { out, .. } => out.to_string(),
        Due::Gauge(valve, _) | Due::Again(valve, _) | Due::Trying(valve) => {
            figure(state, valve, if matches!(state.due(), Due::Gauge(..)) { pick } else { 0 })
        }
        Due::PageFigure(kind, figure) => {
            let figures = state.facts().figures(kind);
            let length = match figure {
                Figure::Target => figures.target,
                Figure::Least => figures.least,
                Figure::Most => figures.most,
            };
            length.text(state.facts().unit)
        }
        Due::Temperature | Due::OutsideTemperature => "18".into(),
        Due::LeakTest(..) => "74/80".into(),
        Due::HoldDown(_) => "30 Nm".into(),
        Due::Threads(_, (least, _)) | Due::ThreadsOutside(_, _, (least, _)) => least.to_string(),
        Due::TakeOut(_) => "2.70 mm".into(),
        Due::PartOut(..) => "2.50 mm".into(),
        _ if by_enter => String::new(),
        _ => "AF".into(),
    }
}

fn in_form(place: Place, by_enter: bool, pick: u8) -> String {
    match place {
        _ if by_enter && !pick.is_multiple_of(4) => String::new(),
        Place::Count => (pick % 5 + 1).to_string(),
        Place::Reading => TYPED[usize::from(pick) % TYPED.len()].into(),
        Place::Number => "18".into(),
        _ => "because".into(),
    }
}

/// A leaf as it is etched: mostly at the target, sometimes out of the band.
fn figure(state: &State, valve: Valve, pick: u8) -> String {
    let figures = state.figures(valve.kind);
    let step = Length::from_um(50);
    let length = match pick % 16 {
        13 => Length::from_nm((figures.least - step).nm().max(38_100)),
        14 => figures.most + step,
        15 => figures.least,
        _ => figures.target,
    };
    label(length, state.facts().unit)
}
