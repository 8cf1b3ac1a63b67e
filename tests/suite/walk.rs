//! Walks through whole services at the keys, with the real session behind the screens and no
//! terminal, disk or clock: what a mechanic meets, from the first key to the signature.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use cowlside::domain::compare;
use cowlside::domain::entry::{Begin, Entry, Head, Hours, Kept, Moment};
use cowlside::domain::profile::Source;
use cowlside::domain::service::Service;
use cowlside::domain::session::Session;
use cowlside::report::compare_sheet;
use cowlside::store::profiles;
use cowlside::tui::app::{App, Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Request, Table};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{keymap, step, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;
use std::path::Path;

/// 2026-03-14 09:00 at an offset of one hour.
const MORNING: i64 = 1_773_475_200_000;
const SIZES: [(u16, u16); 3] = [(80, 24), (60, 20), (160, 50)];

/// The workshop in memory: what the shell does on disk.
#[derive(Default)]
struct Workshop {
    session: Option<Session>,
    previous: Option<Service>,
    worker: Option<String>,
    source: Option<Source>,
}

impl Workshop {
    fn carry_out(&mut self, effect: &Effect, at: Moment) -> Result<Carried<Bench>, String> {
        match effect {
            Effect::Keep(entries) => self.keep(entries, at),
            Effect::Open(0) => {
                let (id, engine) = ("a".into(), "Test four".into());
                let last = Some(Hours(41_260));
                Ok(session(Desk::Beginning { id, engine, last }))
            }
            Effect::Open(_) => Ok(session(Desk::NewEngine(vec![(
                "flat-four".into(),
                "Flat four, screw adjusters".into(),
            )]))),
            Effect::Do(Request::NewEngine(_)) => self.carry_out(&Effect::Open(0), at),
            Effect::Do(Request::Begin { begin, .. }) => Ok(self.begin(begin, at)),
            Effect::Compare => self.compare().map(Carried::Table),
            Effect::Shop => Ok(Carried::Shop(shop())),
            Effect::Theme(_) => Ok(Carried::Done),
            other => Err(format!("not in this workshop: {other:?}")),
        }
    }

    fn begin(&mut self, begin: &Begin, at: Moment) -> Carried<Bench> {
        let profile = profiles::find("flat-four", Path::new("no such folder")).unwrap();
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
        let one = Box::new(self.session.clone().unwrap());
        session(Desk::Session { session: one, previous: self.previous.clone().map(Box::new) })
    }

    fn keep(&mut self, entries: &[Entry], at: Moment) -> Result<Carried<Bench>, String> {
        let mut session = self.session.take().unwrap();
        for entry in entries {
            let seq = session.kept.last().map_or(0, |kept| kept.seq + 1);
            session = session.keep(Kept { seq, at, entry: entry.clone() });
        }
        self.session = Some(session);
        match entries.iter().any(|entry| matches!(entry, Entry::Seal(_))) {
            true => self.compare().map(Carried::Table),
            false => Ok(Carried::Done),
        }
    }

    fn compare(&self) -> Result<Table, String> {
        let previous = self.previous.as_ref().ok_or("this is the first service")?;
        let now = Service::of(self.session.as_ref().unwrap());
        let mut rows = compare_sheet::compare_rows(&compare::compare(previous, &now));
        let head = rows.remove(0);
        Ok(Table { title: "Test four: what moved".into(), lines: vec![], head, rows })
    }
}

fn session(desk: Desk) -> Carried<Bench> {
    Carried::Session(Box::new(Bench { desk, ink: Ink::Blocks }))
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
    }
}

struct Walk {
    app: Option<App<Bench>>,
    workshop: Workshop,
    now: i64,
    /// Every screen met, once each, as text at 80x24 with the state that paints it.
    met: Vec<(String, App<Bench>)>,
}

impl Walk {
    fn new(workshop: Workshop) -> Walk {
        let app = App::new(shop(), None, ThemeName::Terminal, Colours::Off, Ink::Blocks);
        let mut walk = Walk { app: Some(app), workshop, now: MORNING, met: vec![] };
        walk.meet();
        walk
    }

    fn app(&self) -> &App<Bench> {
        self.app.as_ref().unwrap()
    }

    fn meet(&mut self) {
        let Some(app) = &self.app else { return };
        let picture = shown(app, 80, 24);
        if !self.met.iter().any(|(met, _)| *met == picture) {
            if std::env::var("WALK_DUMP").is_ok() && app.entry.is_empty() {
                let (w, h) = std::env::var("WALK_DUMP")
                    .unwrap()
                    .split_once('x')
                    .map(|(w, h)| (w.parse().unwrap(), h.parse().unwrap()))
                    .unwrap();
                println!("{}", shown(app, w, h));
            }
            self.met.push((picture, app.clone()));
        }
    }

    /// Presses keys: words name keys, anything else is typed letter by letter.
    fn press(&mut self, keys: &str) {
        for word in keys.split_whitespace() {
            let code = match word {
                "enter" => Some(KeyCode::Enter),
                "esc" => Some(KeyCode::Esc),
                "backspace" => Some(KeyCode::Backspace),
                "down" => Some(KeyCode::Down),
                _ => None,
            };
            match code {
                Some(code) => self.key(code),
                None => word.chars().for_each(|letter| self.key(KeyCode::Char(letter))),
            }
        }
    }

    fn key(&mut self, code: KeyCode) {
        self.now += 1000;
        if std::env::var("WALK_DUMP").is_ok() {
            println!("--- {code:?}");
        }
        let Some(app) = self.app.take() else { panic!("{code:?}: the program has ended") };
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let action = keymap::action(key, app.place(), app.begun()).unwrap();
        let at = Moment { unix_ms: self.now, offset_min: 60 };
        let workshop = &mut self.workshop;
        let mut carry_out = |effect: &Effect, at| workshop.carry_out(effect, at);
        self.app = match step(app, &action, at, &mut carry_out) {
            ControlFlow::Continue(app) => Some(app),
            ControlFlow::Break(()) => None,
        };
        self.meet();
    }
}

fn shown(app: &App<Bench>, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

#[test]
fn a_first_service() {
    let _ = SIZES;
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 1 enter Test enter enter 412.6 enter enter enter");
    walk.press("AF enter 0 enter");
    walk.press("1 1 1 1 1 1 1 1"); // cautions
    walk.press("18C enter 1 1 enter enter enter");
    walk.press("2 enter 1 6 enter 9 enter 1 12 enter 1 3 enter");
    walk.press("2 enter");
}
