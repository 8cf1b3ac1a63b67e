//! Back from a question before there is a session: what was typed stands there again, whatever kind is
//! chosen; an empty shop has nothing to search; and a page key goes by what is seen.

use crate::kinds::listed;
use cowlside::domain::entry::Moment;
use cowlside::tui::app::{App, Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Request, Table};
use cowlside::tui::keymap;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::update::update;
use cowlside::tui::view;
use cowlside::tui::widgets::digits::Ink;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// The screens with what the shell does for a new engine behind them.
struct Screens {
    app: App<Bench>,
    asked: Option<Request>,
    now: i64,
}

impl Screens {
    fn on(table: Table) -> Screens {
        let app = App::new(table, None, ThemeName::Terminal, Colours::Off, Ink::Blocks);
        Screens { app, asked: None, now: 1_773_475_200_000 }
    }

    /// Presses keys: words name keys, anything else is typed.
    fn press(&mut self, keys: &str) -> &mut Screens {
        for word in keys.split_whitespace() {
            let code = match word {
                "enter" => Some(KeyCode::Enter),
                "esc" => Some(KeyCode::Esc),
                "down" => Some(KeyCode::Down),
                "page-down" => Some(KeyCode::PageDown),
                "page-up" => Some(KeyCode::PageUp),
                _ => None,
            };
            match code {
                Some(code) => self.key(code),
                None => word.chars().for_each(|letter| self.key(KeyCode::Char(letter))),
            }
        }
        self
    }

    fn key(&mut self, code: KeyCode) {
        self.now += 1000;
        let at = Moment { unix_ms: self.now, offset_min: 0 };
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let Some(action) = keymap::action(key, self.app.place(), self.app.begun()) else { return };
        let (next, effect) = update(&self.app, &action, at);
        self.app = match effect {
            Some(Effect::Open(_) | Effect::Kinds) => next.with(Carried::Kinds(listed().1)),
            Some(Effect::Kind(row)) => {
                let desk = Desk::NewEngine(listed().0[row].clone());
                next.with(Carried::Session(Box::new(Bench::new(desk, Ink::Blocks))))
            }
            Some(Effect::Do(request)) => {
                self.asked = Some(request);
                next
            }
            _ => next,
        };
    }

    fn screen(&self, width: u16, height: u16) -> String {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        view::paint(&self.app, area, &mut buf);
        let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        (0..height).map(|y| row(y).trim_end().to_string() + "\n").collect()
    }

    fn says(&mut self, words: &str) -> &mut Screens {
        let screen = self.screen(80, 24);
        assert!(screen.contains(words), "{words}\n{screen}");
        self
    }
}

fn shop(engines: usize) -> Table {
    let head = ["engine", "hours", "last service", "next", ""].map(String::from).to_vec();
    let name = |n: usize| format!("Tug {:02} of the other hangar", n + 1);
    let row = |n: usize| {
        vec![
            name(n),
            "5412.2 h".into(),
            "2025-03-14".into(),
            "5501.5 h or 2026-09-30".into(),
            "DUE".into(),
        ]
    };
    let mut rows: Vec<Vec<String>> = (0..engines).map(row).collect();
    rows.push(vec![
        "a new engine".into(),
        String::new(),
        String::new(),
        String::new(),
        String::new(),
    ]);
    let mut words: Vec<String> = (0..engines).map(|n| name(n).to_lowercase()).collect();
    words.push("a new engine".into());
    Table { title: "Which engine?".into(), head, rows, words, ..Table::default() }
}

#[test]
fn the_name_of_a_new_engine_stays_on_every_way_back() {
    let mut screens = Screens::on(shop(0));
    screens.press("enter flat enter Alpha enter").says("Its serial number").press("S-1 enter");
    screens.press("100 enter").says("Aircraft total time");
    // Question by question: each answer stands there again.
    screens.press("esc").says("> 100").press("250 enter esc").says("> 250");
    screens.press("esc").says("emptied").press("esc").says("> S-1");
    screens.press("esc esc").says("> Alpha");
    // Back to the kinds: the search and the kind stay, and so does the name for another kind.
    screens.press("esc").says("which kind?").says("search: flat_").press("down enter");
    screens.says("> Alpha").press("enter S-2 enter 7 enter enter");
    let Some(Request::NewEngine(new)) = &screens.asked else { panic!("{:?}", screens.asked) };
    assert_eq!((new.name.as_str(), new.serial.as_str(), new.hours.0), ("Alpha", "S-2", 700));
    assert_eq!(new.profile, "flat-four", "the second of them");
}

#[test]
fn letters_in_an_empty_shop_leave_the_list_as_it_is() {
    let mut screens = Screens::on(shop(0));
    screens.press("xyz").says("no engine to search for yet; Enter makes one").says("a new engine");
    assert_eq!(screens.app.shop.search, None);
    screens.press("enter").says("which kind?");
}

#[test]
fn a_page_key_leads_to_the_rows_after_those_that_are_seen() {
    for (width, height) in [(80, 24), (60, 20), (160, 50), (40, 12)] {
        let mut screens = Screens::on(shop(50));
        screens.app.room = (width, height);
        let mut seen = [false; 50];
        let name = |n: usize| format!("Tug {:02}", n + 1);
        for _ in 0..60 {
            let screen = screens.screen(width, height);
            (0..50).filter(|n| screen.contains(&name(*n))).for_each(|n| seen[n] = true);
            let before = screens.app.shop.cursor;
            screens.press("page-down");
            let after = screens.app.shop.cursor;
            if before == after {
                break;
            }
            // None that was not seen is leapt over, and none that was seen is shown again first.
            let last = (0..50).rfind(|n| screen.contains(&name(*n))).unwrap();
            assert_eq!(after, last + 1, "{width}x{height}\n{screen}");
        }
        assert!(seen.iter().all(|seen| *seen), "{width}x{height}");
        screens.press("page-up");
        let screen = screens.screen(width, height);
        assert!(!screen.contains("a new engine"), "{width}x{height}\n{screen}");
        for _ in 0..60 {
            screens.press("page-up");
        }
        assert_eq!(screens.app.shop.cursor, 0, "{width}x{height}");
    }
}
