//! Every key on every kind of screen: it changes what is shown, or one line says why it does not.

#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::reviews::{self, comparison, past, press, shot};
use crate::walk::{TO_THE_FIRST_STOP, Walk, known, places};
use crate::{kinds, shop};
use cowlside::domain::entry::Moment;
use cowlside::tui::app::{App, Carried, Top};
use cowlside::tui::bench::Bench;
use cowlside::tui::update::update;
use cowlside::tui::{keymap, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// When the walks begin.
const MORNING: i64 = 1_773_475_200_000;
const SIZES: [(u16, u16); 3] = [(40, 12), (60, 20), (80, 24)];

fn keys() -> Vec<KeyCode> {
    use KeyCode::{
        BackTab, Backspace, Delete, Down, End, Enter, Esc, F, Home, Insert, Left, PageDown, PageUp,
        Right, Tab, Up,
    };
    let codes = [
        Up,
        Down,
        Left,
        Right,
        PageUp,
        PageDown,
        Home,
        End,
        Enter,
        Esc,
        Backspace,
        Tab,
        BackTab,
        Insert,
        Delete,
        F(1),
        F(2),
        F(5),
        F(10),
        F(12),
    ];
    let signs = ('0'..='9').chain('a'..='z').chain("#+-*/.,?!:;=@ Qé".chars());
    codes.into_iter().chain(signs.map(KeyCode::Char)).collect()
}

/// The screens that are met, each in words.
fn screens() -> Vec<(&'static str, App<Bench>)> {
    let kinds = reviews::shop().with(Carried::Kinds(kinds::listed().1));
    let at = |keys: &str| {
        let mut walk = places::at_a_valve();
        walk.press(keys);
        walk.app().clone()
    };
    let begun = |keys: &str| {
        let mut walk = Walk::new(known());
        walk.press(keys);
        walk.app().clone()
    };
    let to_scope = TO_THE_FIRST_STOP.strip_suffix(" 1 enter enter enter").unwrap();
    let mut save_to = at("");
    save_to.top = Top::SaveTo;
    vec![
        ("engines", reviews::shop()),
        ("no engine", shop::shop(0)),
        ("three engines", shop::shop(3)),
        ("thirty engines", shop::shop(30)),
        ("engines searched", press(&shop::shop(30), "flat")),
        ("of an engine", press(&shop::shop(3), "*")),
        ("kinds", kinds.clone()),
        ("kinds searched", press(&kinds, "flat")),
        ("comparison", comparison()),
        ("comparison searched", press(&comparison(), "exhaust")),
        ("past", past()),
        ("a valve's past", press(&past(), "Right")),
        ("hours", begun("1")),
        ("a choice", begun("1 460.5 enter")),
        ("scope", begun(to_scope)),
        ("which way", begun(&format!("{to_scope} 5"))),
        ("counts", places::before_the_counts().app().clone()),
        ("a turn", places::before_a_turn().app().clone()),
        ("a page that differs", places::where_the_page_differs().app().clone()),
        ("a leak test", places::before_a_leak_test().app().clone()),
        ("a valve", at("")),
        ("a valve, typed", at("6")),
        ("picture", at("p")),
        ("everything else", at("*")),
        ("readings", at("6 enter l")),
        ("a remark", at("n 1 enter")),
        ("help", at("?")),
        ("record", at("6 enter 12 enter r")),
        ("leaving", at("q")),
        ("another folder", save_to),
        ("the owner's sentence", places::before_the_owners_sentence().app().clone()),
    ]
}

#[test]
fn every_key_on_every_screen_changes_what_is_shown_or_says_why_not() {
    let mut silent = Vec::new();
    for (name, app) in screens() {
        for size in SIZES {
            let mut app = app.clone();
            app.note = None;
            app.room = size;
            let before = painted(&app, size);
            for code in keys() {
                let key = KeyEvent::new(code, KeyModifiers::NONE);
                let Some(action) = keymap::action(key, app.place(), app.begun()) else { continue };
                // Somebody was here all the while.
                let at = |ms| Moment { unix_ms: MORNING + ms, offset_min: 60 };
                let mut last = update(&app, &keymap::Action::Redraw, at(600_000)).0;
                last.note = None;
                let (next, effect) = update(&last, &action, at(605_000));
                if effect.is_none() && painted(&next, size) == before {
                    let shown = shot(&app, size);
                    silent.push(format!("{name}, {size:?}: {code:?} {action:?}\n{shown}"));
                }
            }
        }
    }
    assert!(silent.is_empty(), "{} are silent:\n{}", silent.len(), told(&silent));
}

/// The screen with how its words stand out.
fn painted(app: &App<Bench>, (width, height): (u16, u16)) -> Buffer {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    buf
}

/// The first of each screen, and all without their pictures.
fn told(silent: &[String]) -> String {
    let heads: Vec<&str> = silent.iter().filter_map(|one| one.lines().next()).collect();
    format!("{}\n{}", heads.join("\n"), silent.first().map_or("", String::as_str))
}

#[test]
fn digits_in_a_long_list_are_told_as_they_are_typed() {
    let kinds = reviews::shop().with(Carried::Kinds(kinds::listed().1));
    let rows = kinds.list().unwrap().table.rows.len();
    assert!((30..40).contains(&rows), "{rows}");
    for size in SIZES {
        let mut kinds = kinds.clone();
        kinds.room = size;
        for (keys, says) in [
            ("1", "1: Enter opens it, a digit goes on"),
            ("12", "12: Enter opens it"),
            ("9", "9: Enter opens it"),
            ("39", "there is no 39: type a number from 1"),
            ("391", "1: Enter opens it, a digit goes on"),
            // Behind a number that no digit makes longer the next one begins anew.
            ("303", "3: Enter opens it, a digit goes on"),
            ("3035", "35: Enter opens it"),
            ("125", "5: Enter opens it"),
            ("0", "there is no 0 here: choose 1 to"),
        ] {
            let shown = shot(&press(&kinds, keys), size);
            assert!(shown.contains(says), "{keys}: {shown}");
        }
    }
}

#[test]
fn arrows_of_either_kind_go_to_the_other_picture() {
    let mut walk = places::before_a_turn();
    walk.press("p");
    let crank = walk.app().clone();
    for key in ["Left", "Right", "Up", "Down"] {
        assert_ne!(press(&crank, key).top, crank.top, "{key}");
    }
}
