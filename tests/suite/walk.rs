//! Walks through whole services at the keys, with the real session behind the screens and no
//! terminal, disk or clock: what a mechanic meets, from the first key to the signature.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

mod afar;
mod always_drawn;
mod blind;
mod broken_off;
mod cautious;
mod counted;
mod drawn_small;
mod half;
mod large_text;
mod left_tight;
mod letters;
mod looking;
mod one_hand;
mod owed;
mod pad;
pub mod places;
mod seen_round;
mod sizes;
mod slips;
mod small;
mod stands_open;
mod steady;
mod strips;
mod told;
mod typed_on;
mod unbroken;

use super::kinds;
use crate::styled;
use cowlside::domain::compare;
use cowlside::domain::entry::{Begin, Entry, Head, Hours, Kept, Moment, Step};
use cowlside::domain::profile::Source;
use cowlside::domain::service::Service;
use cowlside::domain::session::{Due, Session};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::Typed;
use cowlside::guide::counter::LastTold;
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles;
use cowlside::tui::app::{App, Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Request, Table};
use cowlside::tui::theme::{Colours, Theme, ThemeName};
use cowlside::tui::view::View;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{compared, keymap, step, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
pub use pad::{every_screen, every_screen_due, every_typed_digit, while_a_reading_is_typed};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;

/// 2026-03-14 09:00 at an offset of one hour.
const MORNING: i64 = 1_773_475_200_000;
const SIZES: [(u16, u16); 3] = [(80, 24), (40, 12), (160, 50)];

/// The workshop in memory: what the shell does on disk.
#[derive(Default)]
pub struct Workshop {
    /// The engine's profile; `None` = the flat four without bounds for its threads.
    pub profile: Option<&'static str>,
    pub session: Option<Session>,
    pub previous: Option<Service>,
    pub worker: Option<String>,
    pub source: Option<Source>,
}

impl Workshop {
    fn carry_out(&mut self, effect: &Effect, at: Moment) -> Result<Carried<Bench>, String> {
        match effect {
            Effect::Keep(entries) => self.keep(entries, at),
            Effect::Open(0) => {
                let profile = self.profile.unwrap_or("flat-four");
                let profile = profiles::find(profile, Path::new("no such folder")).ok();
                let (hours, most) = (Hours(41_260), Hours(4_000_000));
                let last = Some(LastTold { hours, day: "2026-03-14".into(), most });
                Ok(session(Desk::Beginning {
                    id: "a".into(),
                    engine: "Test four".into(),
                    damaged: Vec::new(),
                    last,
                    asks_folder: false,
                    profile: profile.map(|found| found.profile),
                }))
            }
            Effect::Open(_) | Effect::Kinds => Ok(Carried::Kinds(kinds::listed().1)),
            Effect::Kind(row) => Ok(session(Desk::NewEngine(kinds::listed().0[*row].clone()))),
            Effect::Do(Request::NewEngine(new)) => Ok(self.begin(&new.begin, at)),
            Effect::Do(Request::Begin { begin, .. }) => Ok(self.begin(begin, at)),
            Effect::Compare => self.compare().map(Carried::Table),
            Effect::Shop => Ok(Carried::Shop(shop())),
            Effect::Look(_) | Effect::Bell(_) => Ok(Carried::Done),
            Effect::SaveTo(_) => Ok(self.on_bench()),
            other => Err(format!("not in this workshop: {other:?}")),
        }
    }

    fn begin(&mut self, begin: &Begin, at: Moment) -> Carried<Bench> {
        let named = self.profile.unwrap_or("flat-four");
        let mut profile = profiles::find(named, Path::new("no such folder")).unwrap();
        // Without bounds for the threads showing: a question less at each nut.
        profile.text = profile.text.replace(",\n    \"threads_showing\": [2, 5]", "");
        profile.profile = parse_profile(&profile.text, named).unwrap();
        let head = Head { session: "a".repeat(26), program: "0.1.0".into(), profile };
        let begin = Begin {
            engine_id: Some("a".into()),
            engine: Some("Test four".into()),
            known_worker: self.worker.clone(),
            known_source: self.source.clone(),
            ..begin.clone()
        };
        let mut kept = Vec::new();
        for entry in [Entry::Head(head), Entry::Begin(begin)] {
            kept.push(Kept { seq: kept.len() as u64, at, entry });
        }
        self.session = Session::replay(&kept);
        self.on_bench()
    }

    fn on_bench(&self) -> Carried<Bench> {
        let one = Arc::new(self.session.clone().unwrap());
        session(Desk::Session {
            session: one,
            previous: self.previous.clone().map(Arc::new),
            beside: Arc::default(),
        })
    }

    fn keep(&mut self, entries: &[Entry], at: Moment) -> Result<Carried<Bench>, String> {
        let mut session = self.session.take().unwrap();
        for entry in entries {
            let seq = session.kept.last().map_or(0, |kept| kept.seq + 1);
            session = session.keep(Kept { seq, at, entry: entry.clone() });
        }
        self.session = Some(session);
        let closed = entries.iter().any(|entry| matches!(entry, Entry::Seal(_)));
        let comparison = self.compare().ok().filter(|_| closed);
        Ok(comparison.map_or(Carried::Done, Carried::Table))
    }

    fn compare(&self) -> Result<Table, String> {
        let previous = self.previous.as_ref().ok_or("this is the first service")?;
        let now = Service::of(self.session.as_ref().unwrap());
        Ok(compared::table(&compare::compare(previous, &now)))
    }
}

fn session(desk: Desk) -> Carried<Bench> {
    Carried::Session(Box::new(Bench::new(desk, Ink::Blocks)))
}

fn shop() -> Table {
    let row = |cells: [&str; 5]| cells.map(str::to_owned).to_vec();
    Table {
        title: "Which engine?".into(),
        lines: vec![],
        head: row(["engine", "hours", "last service", "profile", ""]),
        rows: vec![
            row(["Test four", "412.6 h", "2025-08-02", "flat-four", ""]),
            row(["a new engine", "", "", "", ""]),
        ],
        ..Table::default()
    }
}

/// A screen met on the way.
struct Met {
    view: View,
    due: Option<Due>,
    entry: String,
    app: App<Bench>,
    now: i64,
}

pub struct Walk {
    app: Option<App<Bench>>,
    workshop: Workshop,
    now: i64,
    /// Every screen met, in order.
    met: Vec<Met>,
    chose: bool,
}

impl Walk {
    pub fn new(workshop: Workshop) -> Walk {
        let app = App::new(shop(), None, ThemeName::Terminal, Colours::Off, Ink::Blocks);
        let mut walk = Walk { app: Some(app), workshop, now: MORNING, met: vec![], chose: false };
        walk.meet();
        walk
    }

    pub fn app(&self) -> &App<Bench> {
        self.app.as_ref().unwrap()
    }

    pub fn session(&self) -> &Session {
        match &self.app().job.as_ref().unwrap().desk() {
            Desk::Session { session, .. } => session,
            other => panic!("no session yet: {other:?}"),
        }
    }

    /// Takes down the screen, once each, and that it is what the workshop has.
    fn meet(&mut self) {
        let Some(app) = &self.app else { return };
        let view = view::view(app).unwrap();
        let picture = || paint_view(&view, 80, 24);
        if let Some(Desk::Session { session, .. }) = app.job.as_ref().map(Bench::desk) {
            let on_disk = self.workshop.session.as_ref();
            let same = on_disk == Some(session);
            assert!(same, "the screen is not what the journal has\n{}", picture());
        }
        let due = self.workshop.session.as_ref().map(|session| session.state.due());
        let entry = app.entry.clone();
        if entry.is_empty() {
            // Whatever is met can be painted; what is typed into it is looked at by `every_typed_digit`.
            picture();
        }
        self.met.push(Met { view, due, entry, app: app.clone(), now: self.now });
    }

    /// Keeps the screen as a snapshot in every size, plain and how it looks.
    pub fn look(&self, name: &str) {
        styled::look(name, self.app());
        for (width, height) in SIZES {
            insta::with_settings!({
                snapshot_path => "../../snapshots",
                prepend_module_to_snapshot => false,
                omit_expression => true,
            }, {
                let picture = shown(self.app(), width, height);
                insta::assert_snapshot!(format!("walk_{name}_{width}x{height}"), picture);
            });
        }
    }

    /// Presses keys, and keeps a snapshot where a word begins with `@`.
    fn go(&mut self, script: &str) {
        for word in script.split_whitespace() {
            match word.strip_prefix('@') {
                Some(name) => self.look(name),
                None => self.press(word),
            }
        }
    }

    pub fn screen(&self) -> String {
        shown(self.app(), 80, 24)
    }

    /// Presses keys: words name keys, anything else is typed letter by letter.
    pub fn press(&mut self, keys: &str) {
        for word in keys.split_whitespace() {
            let code = match word {
                "enter" => Some(KeyCode::Enter),
                "esc" => Some(KeyCode::Esc),
                "backspace" => Some(KeyCode::Backspace),
                "down" => Some(KeyCode::Down),
                "blank" => Some(KeyCode::Char(' ')),
                _ => None,
            };
            // Whoever agrees behind a digit that chose has read what to.
            let read = if self.chose && word == "enter" { 600 } else { 0 };
            self.now += read;
            self.chose = self.app.as_ref().is_some_and(|app| app.place() == keymap::Place::Choice)
                && word.bytes().all(|letter| letter.is_ascii_digit());
            match code {
                Some(code) => self.key(code),
                None => word.chars().for_each(|letter| self.letter(letter)),
            }
            self.now -= read;
        }
    }

    /// Presses a letter; a digit among choices that wait for Enter has its Enter.
    fn letter(&mut self, letter: char) {
        let typed = self.app().prompt().and_then(|prompt| prompt.field.typed);
        self.key(KeyCode::Char(letter));
        if typed == Some(Typed::Digit) && letter.is_ascii_digit() {
            self.key(KeyCode::Enter);
        }
    }

    fn key(&mut self, code: KeyCode) {
        self.event(KeyEvent::new(code, KeyModifiers::NONE));
    }
}

fn shown(app: &App<Bench>, width: u16, height: u16) -> String {
    paint_view(&view::view(app).unwrap(), width, height)
}

pub fn paint_view(view: &View, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view.paint(Theme::plain(), area, &mut buf);
    rows_of(&buf)
}

/// What was painted, a row a line.
pub fn rows_of(buf: &Buffer) -> String {
    let Rect { width, height, .. } = buf.area;
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

/// Known from the service before: who works, and by which manual.
pub fn known() -> Workshop {
    let source = Source { document: "Manual".into(), revision: "3".into(), page: "12".into() };
    Workshop { worker: Some("AF".into()), source: Some(source), ..Workshop::default() }
}

/// A service of an engine that is known, up to the first stop: hours, who, manual, eight cautions,
/// temperature, leaves, scope, hardware.
pub const TO_THE_FIRST_STOP: &str =
    "1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1 18 enter 1 1 enter enter enter";
const FIRST_ROUND: &str = "2 enter 1 6 enter 12 enter 2 enter 6 enter 12 enter \
    2 enter 6 enter 12 enter 2 enter 6 enter 12 enter";
const RECHECK: &str = "19 enter 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter \
    2 enter 6 enter 12 enter 2 enter 6 enter 12 enter";
const COUNT_IN: &str = "2 enter 12 enter 12 enter 2 enter 2 enter 12 enter 12 enter 2 enter \
    4 enter 4 enter 1 enter 3 enter 12 enter";
const CHECKS: &str = "1 1 1 1 1 1 1 1 1 1";
const RUN: &str = "1 1 1 1 1 1 1 1 1";
const SIGN: &str = "enter enter enter 1 enter enter 1";

/// A service of the number pad's keys, closed and signed; every exhaust valve reads `exhaust`.
fn whole_service(exhaust: &str) -> Walk {
    walked(exhaust, &[TO_THE_FIRST_STOP, FIRST_ROUND, RECHECK, COUNT_IN, CHECKS, RUN, SIGN])
}

fn walked(exhaust: &str, parts: &[&str]) -> Walk {
    let mut walk = Walk::new(known());
    for part in parts {
        let pad = |key: char| "0123456789.+-*/".contains(key);
        let on_pad = |word: &str| word == "enter" || word.chars().all(pad);
        assert!(part.split_whitespace().all(on_pad), "{part}");
        let read = part.contains("6 enter 12 enter");
        walk.press(&if read { reading(part, exhaust) } else { (*part).to_owned() });
    }
    walk
}

/// The keys of a round with another figure for every exhaust valve.
fn reading(round: &str, exhaust: &str) -> String {
    round.replace("6 enter 12 enter", &format!("6 enter {exhaust} enter"))
}

#[test]
fn a_number_pad_alone_carries_a_whole_service() {
    let walk = whole_service("12");
    assert_eq!(walk.session().state.due(), Due::Closed);
    assert_eq!(walk.session().state.sealed, Some(true));
    assert_eq!(walk.session().state.verdict_left(exhaust(1)), Some(Verdict::InLimits));
}

fn exhaust(cylinder: u8) -> Valve {
    Valve::new(cylinder, Kind::Exhaust)
}

/// A first service by the manual, with a tight and a loose valve, the telephone while a nut is
/// loose, mistakes mended, a short count and a leak at the run.
fn eventful() -> Walk {
    let mut walk = Walk::new(Workshop::default());
    walk.go(
        "@shop 2 flat blank four enter @new_engine Test enter enter 412.6 enter enter AF enter",
    );
    walk.go(
        "Manual enter 3 enter 12 enter @manual 6 enter 5 enter 7 enter 12 enter 10 enter 15 enter",
    );
    walk.go("@differs 1 6 enter 5 enter 7 enter 12 enter 10 enter 14 enter @caution");
    walk.go("1 1 1 1 1 1 1 1 @warm 18 enter @leaves 1 @scope 1 @count_out enter enter enter @turn");
    // Stop 1: a rocker feels tight, the place is right; the exhaust is tight, and the telephone
    // rings while its nut is slack.
    walk.go(
        "1 enter @rock_tight 1 6 enter @gauge 2 enter @no_leaf 2 9 enter @tight 1 @trying 15 enter @nut a @notice",
    );
    walk.go("x enter @way_back 1 1 1 1 @there 1 @rock 1 2 @trying_again 12 enter 1");
    // Stop 2: another cylinder is seen at overlap, which is the wrong one for this stop.
    walk.go("s 3 enter @turn_from_there 2 enter 1 6 enter 12 enter @before_retaking - @taken_back 12 enter");
    walk.go("0 enter @wrong_stroke 2 enter 1 6 enter 0 enter @leak_test");
    walk.go("74/80 enter 2 enter 1 1 12 enter 1");
    // Stop 4: a remark, and the last reading voided in the list, so that it is due again.
    walk.go("2 enter 6 enter 12 enter @warm_again 19 enter n @remark 3 enter 1 l @kept 1 enter @correct 2 3");
    // The recheck; one valve has moved, and that is not believed at once.
    walk.go("@due_again 12 enter @recheck_turn 2 enter @recheck 6 enter 12 enter");
    walk.go("2 enter 6 enter 16 enter @once_more 16 enter @doubted 4 @loose 1 12 enter 1");
    walk.go("2 enter 6 enter 12 enter 2 enter 6 enter 12 enter");
    // What was set in it is looked at once more, once the engine was turned.
    walk.go("2 enter 12 enter");
    // Closing: a cover screw is missing at first, and a cover leaks at the run.
    walk.go("@count_in 2 enter 11 enter @short 12 enter 12 enter 2 enter 2 enter 12 enter 12 enter 2 enter");
    walk.go(
        "4 enter 4 enter 1 enter 3 enter 12 enter @check 1 1 1 1 1 1 1 1 1 1 @run 1 1 1 1 1 1 1",
    );
    walk.go(
        "2 9 weeps enter @leak 2 @run_again 1 1 1 1 1 1 1 1 @nothing_off 0 enter 1 enter enter",
    );
    walk.go("2 enter 12 enter 13 enter @too_many enter 2 left enter 9 AF enter 2 enter");
    walk.go("4 enter 4 enter 1 enter 3 enter 12 enter 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1");
    walk.go("@sign enter enter enter @statement 1 @owner enter enter @sign_and_close 2 @record_before down down esc 1 @closed");
    walk
}

#[test]
fn an_eventful_service_ends_signed_with_nothing_forgotten() {
    let walk = eventful();
    let state = &walk.session().state;
    assert_eq!(state.sealed, Some(true));
    assert_eq!(state.open_items(), vec![]);
    let typed = |step: Step| {
        let of_1 = state.readings.iter().filter(|taken| taken.reading.valve == exhaust(1));
        let of_step = of_1.filter(|taken| taken.reading.step == step);
        of_step.map(|taken| taken.reading.typed.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(typed(Step::Found), ["9"]);
    assert_eq!(typed(Step::Try), ["15", "12", "12"]);
    assert_eq!(state.leak_tested.get(&3), Some(&(Some((74, 80)), None)));
}

#[test]
fn a_second_service_is_compared_with_the_first_at_its_end() {
    let previous = Service::of(whole_service("12").session());
    let mut walk = Walk::new(Workshop { previous: Some(previous), ..known() });
    walk.press(TO_THE_FIRST_STOP);
    walk.press(&reading(FIRST_ROUND, "11"));
    walk.press(&reading(RECHECK, "11"));
    for part in [COUNT_IN, CHECKS, RUN, SIGN] {
        walk.press(part);
    }
    walk.go("@compared esc esc");
    assert!(walk.app().job.is_none(), "the list of engines again");
}

/// The pictures of every screen that asks for a recheck, before Enter, while it is typed too.
fn rechecked(found: &str, left: &str) -> Vec<String> {
    let previous = Service::of(whole_service(left).session());
    let mut walk = Walk::new(Workshop { previous: Some(previous), ..known() });
    walk.press(TO_THE_FIRST_STOP);
    walk.press(&reading(FIRST_ROUND, found));
    walk.press(RECHECK);
    let asked = |met: &&Met| match (&met.due, &met.view) {
        (Some(Due::Gauge(_, Step::Recheck)), View::Question(_)) => true,
        (Some(_) | None, _) => false,
    };
    let met = walk.met.iter().filter(asked);
    met.flat_map(|met| SIZES.map(|size| paint_view(&met.view, size.0, size.1))).collect()
}

#[test]
fn nothing_of_a_valve_is_on_the_screen_before_its_recheck_is_entered() {
    // Whatever was found in the first round and left the year before: the screens are the same.
    let one = rechecked("12", "12");
    // A picture before the first digit and one after each, for eight valves.
    assert_eq!(one.len(), 4 * (2 + 3) * SIZES.len());
    for (found, left) in [("11", "13"), ("11/13", "10"), ("13", "14")] {
        let other = rechecked(found, left);
        assert_eq!(one.len(), other.len());
        for (one, other) in one.iter().zip(&other) {
            assert!(one == other, "found {found}, left {left}:\n{one}\n{other}");
        }
    }
}

#[test]
fn after_a_long_pause_the_next_key_is_no_answer() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter 12");
    walk.now += 16 * 60_000;
    walk.press("enter");
    assert!(walk.session().state.found(exhaust(1)).is_none(), "{}", walk.screen());
    assert!(walk.screen().contains("You were away"), "{}", walk.screen());
    // The way back: four cautions, the crank's proof, then the same valve.
    walk.press("1 1 1 1 2 enter 1 12 enter");
    assert_eq!(walk.session().state.found(exhaust(1)).unwrap().reading.typed, "12");
}

#[test]
fn every_screen_met_is_painted_at_every_size() {
    let mut walk = whole_service("12");
    walk.met.extend(eventful().met);
    let sizes = (0..=30).flat_map(|width| (0..=12).map(move |height| (width, height)));
    let sizes: Vec<(u16, u16)> =
        sizes.chain([(59, 20), (60, 19), (61, 21), (80, 23), (132, 43), (300, 100)]).collect();
    for Met { view, .. } in walk.met.iter().filter(|met| met.entry.is_empty()) {
        for &(width, height) in &sizes {
            let area = Rect::new(0, 0, width, height);
            view.paint(Theme::plain(), area, &mut Buffer::empty(area));
        }
    }
}
