//! The list of engines on the screen: what typing, digits and the few other keys do in it.

use cowlside::domain::entry::{Hours, Moment};
use cowlside::guide::counter::LastTold;
use cowlside::tui::app::{App, Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Request, Table};
use cowlside::tui::keymap::{self, Action, Place};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::update::update;
use cowlside::tui::view;
use cowlside::tui::widgets::digits::Ink;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

const SIZES: [(u16, u16); 3] = [(80, 24), (60, 20), (160, 50)];

fn shot(app: &App<Bench>, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

fn snapshot(name: &str, picture: &str) {
    insta::with_settings!({
        snapshot_path => "../../snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        insta::assert_snapshot!(name, picture);
    });
}

/// The list as the shell makes it, of engines that are invented.
fn table(engines: usize) -> Table {
    let kinds = ["flat-six", "flat-four", "inline-four", "radial-nine"];
    let attention = ["OPEN: go on", "DUE", "due soon"];
    let row = |n: usize| {
        let last = if n == 2 { "none yet".into() } else { format!("2025-0{}-14", n % 9 + 1) };
        let next = if n == 2 { String::new() } else { format!("{}.5 h or 2026-09-30", 500 + n) };
        let attention = attention.get(n).copied().unwrap_or_default().to_owned();
        vec![format!("Tug {:02}", n + 1), format!("{}.2 h", 412 + n), last, next, attention]
    };
    let serial = |n: usize| if n == 29 { "s-9203" } else { "s-none" };
    let words = |n: usize| format!("tug {:02} · {} · {}", n + 1, serial(n), kinds[n % 4]);
    let mut rows: Vec<Vec<String>> = (0..engines).map(row).collect();
    rows.push(vec![
        "a new engine".into(),
        String::new(),
        String::new(),
        String::new(),
        String::new(),
    ]);
    let mut words: Vec<String> = (0..engines).map(words).collect();
    words.push("a new engine".into());
    let lines = match engines {
        0 => vec!["No engine yet: choose its kind, give it a name and its hours.".into()],
        _ => Vec::new(),
    };
    let head = ["engine", "hours", "last service", "next", ""].map(String::from).to_vec();
    Table { title: "Which engine?".into(), lines, head, rows, words, ..Table::default() }
}

pub fn shop(engines: usize) -> App<Bench> {
    App::new(table(engines), None, ThemeName::Terminal, Colours::Off, Ink::Blocks)
}

/// Presses keys one after another, half a second apart, and returns what is to be done last.
fn press(app: &mut App<Bench>, keys: &[KeyCode]) -> Option<Effect> {
    let mut effect = None;
    for (key, n) in keys.iter().zip(1..) {
        let key = KeyEvent::new(*key, KeyModifiers::NONE);
        let Some(action) = keymap::action(key, app.place(), app.begun()) else { continue };
        let (next, done) = update(app, &action, Moment { unix_ms: n * 500, offset_min: 0 });
        (*app, effect) = (next, done);
    }
    effect
}

fn typed(app: &mut App<Bench>, text: &str) -> Option<Effect> {
    press(app, &text.chars().map(KeyCode::Char).collect::<Vec<_>>())
}

#[test]
fn the_shop_with_none_many_and_a_search_at_every_size() {
    for (name, engines, keys) in [
        ("none", 0, ""),
        ("many", 30, ""),
        ("search", 30, "flat 1"),
        ("nothing_found", 30, "helicopter"),
    ] {
        for (columns, rows) in SIZES {
            let mut app = shop(engines);
            typed(&mut app, keys);
            snapshot(&format!("shop_{name}_{columns}x{rows}"), &shot(&app, columns, rows));
        }
    }
}

#[test]
fn letters_search_at_once_and_every_word_must_stand_somewhere() {
    let mut app = shop(30);
    assert_eq!(typed(&mut app, "Flat"), None);
    assert_eq!(app.shop.shown().len(), 16, "flat sixes and flat fours");
    typed(&mut app, " 21");
    assert_eq!(app.shop.shown(), [20]);
    assert_eq!(press(&mut app, &[KeyCode::Enter]), Some(Effect::Open(20)));
    // Whoever comes back sees all of them, and stands on the one that was opened.
    assert_eq!((app.shop.search.as_deref(), app.shop.row()), (None, Some(20)));
    // q, c, h, t and ? are letters of a search as all others are.
    let mut app = shop(30);
    typed(&mut app, "thc?q*+");
    assert_eq!(app.shop.search.as_deref(), Some("thc?q*+"));
    assert_eq!(app.place(), Place::Shop);
}

#[test]
fn digits_choose_by_number_until_a_search_is_begun() {
    let mut app = shop(30);
    typed(&mut app, "12");
    assert_eq!((app.shop.row(), app.shop.search.as_deref()), (Some(11), None));
    assert_eq!(press(&mut app, &[KeyCode::Enter]), Some(Effect::Open(11)));
    // A serial number is searched after the stroke of the number pad.
    typed(&mut app, "/203");
    assert_eq!((app.shop.shown(), app.shop.search.as_deref()), (vec![29], Some("203")));
    assert_eq!(press(&mut app, &[KeyCode::Enter]), Some(Effect::Open(29)));
    typed(&mut app, "/");
    assert_eq!(app.shop.search.as_deref(), Some(""));
    typed(&mut app, "/");
    assert_eq!(app.shop.search, None, "left by the key of the number pad that began it");
}

#[test]
fn a_search_is_erased_letter_by_letter_and_left_with_the_cursor_where_it_was() {
    let mut app = shop(30);
    typed(&mut app, "tug 17");
    assert_eq!(app.shop.shown(), [16]);
    press(&mut app, &[KeyCode::Backspace]);
    assert_eq!(app.shop.shown().len(), 12, "with the ones of 01 and 21");
    press(&mut app, &[KeyCode::Down, KeyCode::Down, KeyCode::Esc]);
    assert_eq!((app.shop.row(), app.shop.search.as_deref()), (Some(10), None));
    assert_eq!(press(&mut app, &[KeyCode::Esc]), None);
    let mut app = shop(30);
    typed(&mut app, "a");
    press(&mut app, &[KeyCode::Backspace]);
    assert_eq!(app.shop.search.as_deref(), Some(""));
    press(&mut app, &[KeyCode::Backspace]);
    assert_eq!(app.shop.search, None);
    assert_eq!(typed(&mut app, "q"), Some(Effect::Quit));
}

#[test]
fn what_is_searched_in_vain_opens_nothing() {
    let mut app = shop(30);
    typed(&mut app, "xyz");
    assert_eq!(press(&mut app, &[KeyCode::Enter]), None);
    assert_eq!(press(&mut app, &[KeyCode::Down, KeyCode::Enter]), None);
    assert!(shot(&app, 80, 24).contains("nothing found"));
}

#[test]
fn hours_history_and_comparison_of_the_engine_under_the_cursor() {
    let mut app = shop(30);
    assert_eq!(press(&mut app, &[KeyCode::Down, KeyCode::Char('+')]), Some(Effect::HoursAt(1)));
    for (digit, effect) in
        [('1', Effect::HoursAt(1)), ('2', Effect::HistoryAt(1)), ('3', Effect::CompareAt(1))]
    {
        typed(&mut app, "*");
        assert!(shot(&app, 80, 24).contains("Tug 02"), "{}", shot(&app, 80, 24));
        assert_eq!(typed(&mut app, &digit.to_string()), Some(effect));
    }
    // In a search it is the engine found, not the row's number.
    let mut app = shop(30);
    typed(&mut app, "tug 17");
    press(&mut app, &[KeyCode::Esc]);
    assert_eq!(typed(&mut app, "+"), Some(Effect::HoursAt(16)));
}

#[test]
fn behind_a_row_that_was_refused_enter_opens_no_other_one() {
    let mut app = shop(30);
    typed(&mut app, "*");
    let at = |ms: i64| Moment { unix_ms: ms, offset_min: 60 };
    let (pressed, effect) = update(&app, &Action::Digit(3), at(1_000));
    assert_eq!(effect, Some(Effect::CompareAt(0)));
    let refused = app.failed(pressed, "nothing to compare yet".into());
    assert_eq!(refused.list().unwrap().cursor, 2, "on the row that was refused");
    let (soon, effect) = update(&refused, &Action::Enter, at(1_450));
    assert_eq!((effect, soon.list().unwrap().cursor), (None, 2), "the Enter of that digit");
    assert!(shot(&soon, 80, 24).contains("Enter not counted"), "{}", shot(&soon, 80, 24));
    let (_, effect) = update(&soon, &Action::Enter, at(3_000));
    assert_eq!(effect, Some(Effect::CompareAt(0)), "the same once more");
}

#[test]
fn of_a_new_engine_nothing_is_offered_but_to_make_it() {
    let mut app = shop(30);
    typed(&mut app, "31");
    assert_eq!(app.shop.row(), Some(30));
    let told = |app: &App<Bench>| shot(app, 80, 24);
    assert!(!told(&app).contains("* more") && !told(&app).contains("+ hours"), "{}", told(&app));
    for key in ["*", "+"] {
        assert_eq!(typed(&mut app, key), None);
        assert_eq!(app.place(), Place::Shop, "{key}: {}", told(&app));
        assert!(told(&app).contains("nothing is known yet: Enter makes it"), "{}", told(&app));
    }
    assert_eq!(press(&mut app, &[KeyCode::Enter]), Some(Effect::Open(30)));
    press(&mut app, &[KeyCode::Up]);
    assert!(told(&app).contains("* more"), "{}", told(&app));
}

#[test]
fn running_hours_are_one_number_and_a_lower_one_asks_why() {
    let (hours, day, most) = (Hours(41_320), "2026-03-14".into(), Hours(50_000));
    let last = LastTold { hours, day, most };
    let desk = Desk::Hours { id: "id".into(), engine: "Tug 02".into(), last };
    let bench = Bench::new(desk, Ink::Blocks);
    let asked = shop(30).with(Carried::Session(Box::new(bench)));
    let tell = |keys: &str| {
        let mut app = asked.clone();
        let keys: Vec<KeyCode> = keys
            .chars()
            .map(|key| if key == '\n' { KeyCode::Enter } else { KeyCode::Char(key) })
            .collect();
        let effect = press(&mut app, &keys);
        (effect, shot(&app, 80, 24))
    };
    let told = |hours, replaced| {
        Some(Effect::Do(Request::TellHours { id: "id".into(), hours: Hours(hours), replaced }))
    };
    assert!(tell("").1.contains("The counter stood at 413.2 h"));
    assert_eq!(tell("420,5\n").0, told(42_050, false));
    assert_eq!(tell("\n").0, told(41_320, false));
    let (effect, screen) = tell("12\n");
    assert!(effect.is_none() && screen.contains("12.0 h is less than 413.2 h"), "{screen}");
    assert_eq!(tell("12\n2").0, None);
    assert_eq!(tell("12\n2\n1").0, told(1_200, true));
    assert!(tell("12\n2\n2").1.contains("Running hours now"));
    assert!(tell("4205\n").1.contains("is that right?"));
    assert!(tell("12\n1\n").1.contains("Running hours now"));
    assert!(tell("4x\n").0.is_none());
    let mut app = asked.clone();
    assert_eq!(press(&mut app, &[KeyCode::Esc]), Some(Effect::Shop), "nothing is told");
}

#[test]
fn the_list_as_it_is_afterwards_keeps_the_cursor_on_its_engine() {
    let mut app = shop(30);
    typed(&mut app, "12");
    let mut changed = table(30);
    changed.rows.swap(0, 11);
    changed.words.swap(0, 11);
    let app = app.with(Carried::Shop(changed));
    assert_eq!(app.shop.row(), Some(0));
}
