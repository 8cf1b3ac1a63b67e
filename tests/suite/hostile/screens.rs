//! Every hostile text in every free field, on the screens that a session meets with them.

use super::shop::Mould;
use super::{acts, strings, unsafe_line};
use crate::walk::paint_view;
use cowlside::domain::entry::Moment;
use cowlside::domain::plain::MARK;
use cowlside::domain::session::Session;
use cowlside::store::journal;
use cowlside::store::profile_file::parse_profile;
use cowlside::tui::app::App;
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::Table;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{keymap, step, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use std::ops::ControlFlow;
use std::sync::Arc;

const SIZES: [(u16, u16); 2] = [(40, 12), (80, 24)];
/// The keys whose screens are looked at: what else, the past, help, a notice, a refusal.
const KEYS: [&str; 6] = ["", "*", "p", "?", "a", "0\n"];

/// Says what is wrong with a painted screen.
pub fn wrong(painted: &str) -> Option<String> {
    unsafe_line(painted)
}

fn app(session: &Session, text: &str) -> App<Bench> {
    let row = vec![text.to_owned(); 5];
    let shop = Table {
        title: text.into(),
        lines: vec![text.into()],
        head: row.clone(),
        rows: vec![row.clone(), row],
        ..Table::default()
    };
    let desk = Desk::Session {
        session: Arc::new(session.clone()),
        previous: None,
        beside: Arc::default(),
    };
    let bench = Bench::new(desk, Ink::Blocks);
    App::new(shop, Some(bench), ThemeName::Terminal, Colours::Off, Ink::Blocks)
}

fn press(app: App<Bench>, keys: &str, text: &str) -> Option<App<Bench>> {
    let mut app = app;
    for letter in keys.chars() {
        let code = if letter == '\n' { KeyCode::Enter } else { KeyCode::Char(letter) };
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let Some(action) = keymap::action(key, app.place(), app.begun()) else { return Some(app) };
        let at = Moment { unix_ms: crate::cli::MORNING, offset_min: 60 };
        app = match step(app, &action, at, &mut |_, _| Err(text.to_owned())) {
            ControlFlow::Continue(app) => app,
            ControlFlow::Break(()) => return None,
        };
    }
    Some(app)
}

#[test]
fn no_screen_shows_a_hostile_text_as_it_is() {
    let parse = |text: &str| parse_profile(text, "sample").map_err(|error| error.to_string());
    let mould = Mould::new();
    let (mut looked, mut faults) = (0, Vec::new());
    let mut silent = Vec::new();
    for (number, (name, text)) in strings::in_turn(0, 3).into_iter().enumerate() {
        let shop = mould.with(&text, number % 2 == 1);
        let opened = journal::open(&shop.sessions[2], &parse).unwrap();
        let whole = opened.entries.len();
        // Every prefix is met by some of the texts, the whole session by all of them.
        let prefixes = (2..whole).filter(|n| n % 24 == number % 24).chain([whole]);
        for entries in prefixes {
            let session = Session::replay(&opened.entries[..entries]).unwrap();
            for keys in KEYS {
                let Some(app) = press(app(&session, &text), keys, &text) else { continue };
                let Some(view) = view::view(&app) else { continue };
                for (width, height) in SIZES {
                    let painted = paint_view(&view, width, height);
                    assert_eq!(painted.lines().count(), usize::from(height));
                    let found = wrong(&painted);
                    faults.extend(found.map(|line| format!("{name}, {entries}, {keys:?}: {line}")));
                    looked += 1;
                }
            }
        }
        let mut marked = false;
        let mut bare = app(&Session::replay(&opened.entries).unwrap(), &text);
        bare.job = None;
        for (width, height) in SIZES {
            let painted = paint_view(&view::view(&bare).unwrap(), width, height);
            faults.extend(wrong(&painted).map(|line| format!("{name}, engines: {line}")));
            marked |= painted.contains(MARK);
            looked += 1;
        }
        // The painter itself leaves such a character out: then nobody sees that one stood there.
        silent.extend((text.contains(acts) && !marked).then_some(name));
    }
    assert!(silent.is_empty(), "left out without a mark: {silent:?}");
    println!("{looked} screens, {} wrong", faults.len());
    faults.truncate(30);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(looked > 1_000);
}

#[test]
fn a_screen_that_shows_a_text_as_it_is_would_be_seen() {
    let hide = |(_, text): &(&str, String)| text.contains(acts) && !text.contains(['\n', '\r']);
    let hostile: Vec<_> = strings::all().into_iter().filter(hide).collect();
    assert!(hostile.len() > 20);
    assert!(hostile.iter().all(|(_, text)| wrong(&format!("|{text}|\n")).is_some()));
    assert_eq!(wrong("|some words|\n"), None);
}
