//! Choosing a new engine's kind from everything that comes with the program: by numbers in short
//! steps, by words, and in windows of any size.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::guide::start::{Start, kinds, new_engine};
use cowlside::guide::{Prompt, Step};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::app::App;
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::Table;
use cowlside::tui::theme::{Colours, Theme, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{keymap, step, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;

fn all() -> Vec<(String, String)> {
    let known: Vec<_> =
        BUILT_IN.iter().map(|(name, text)| (*name, parse_profile(text, name).unwrap())).collect();
    kinds(known.iter().map(|(name, profile)| (*name, &**profile)))
}

fn given(typed: &[&str]) -> Vec<String> {
    typed.iter().map(|typed| (*typed).to_owned()).collect()
}

fn asked(profiles: &[(String, String)], typed: &[&str]) -> Prompt {
    match new_engine(profiles, &given(typed)) {
        Step::Ask(prompt) => prompt,
        other => panic!("{typed:?}: {other:?}"),
    }
}

fn refused(profiles: &[(String, String)], typed: &[&str]) -> String {
    match new_engine(profiles, &given(typed)) {
        Step::Refused(words) => words,
        other => panic!("{typed:?}: {other:?}"),
    }
}

/// The profile's name that these answers choose.
fn chosen(profiles: &[(String, String)], typed: &[&str]) -> String {
    let rest = ["Name", "", "412.6", ""];
    match new_engine(profiles, &given(&[typed, &rest].concat())) {
        Step::Do(Start::Engine(new)) => new.profile,
        other => panic!("{typed:?}: {other:?}"),
    }
}

fn labels(prompt: &Prompt) -> Vec<String> {
    prompt.field.choices.iter().map(|c| format!("{} {}", c.digit, c.label)).collect()
}

#[test]
fn a_long_list_is_gone_through_in_short_steps_by_numbers_alone() {
    let all = all();
    assert_eq!(
        labels(&asked(&all, &[])),
        [
            "1 Flat: twin, four, six",
            "2 Parallel: 4 kinds",
            "3 Inline: three, four, five, six",
            "4 Vee: twin, six, eight, twelve",
            "5 Radial: five, seven, nine, fourteen, eighteen",
            "6 a kind of my own: describe it",
        ]
    );
    assert_eq!(
        labels(&asked(&all, &["4", "3"])),
        [
            "1 screw adjusters, order 1-3-7-2-6-5-4-8",
            "2 screw adjusters, order 1-5-4-2-6-3-7-8",
            "3 screw adjusters, order 1-8-4-3-6-5-7-2",
            "4 screw adjusters, order 1-8-7-2-6-5-4-3",
        ]
    );
    assert_eq!(asked(&all, &["4", "3"]).title, "A new engine: Vee eight");
    let named = asked(&all, &["4", "3", "3"]);
    assert_eq!(named.title, "A new engine: Vee eight, screw adjusters, order 1-8-4-3-6-5-7-2");
    assert_eq!(chosen(&all, &["4", "3", "3"]), "vee-eight-18436572");
}

/// Goes down every branch by its numbers; returns the names at its ends.
fn ends(profiles: &[(String, String)], typed: &[&str], found: &mut Vec<String>) {
    let prompt = asked(profiles, typed);
    assert!(prompt.field.choices.len() <= 6 && typed.len() < 5, "{typed:?}: {prompt:?}");
    if prompt.field.choices.is_empty() {
        return found.push(chosen(profiles, typed));
    }
    for choice in &prompt.field.choices {
        if choice.label.ends_with("describe it") {
            continue;
        }
        let digit = choice.digit.to_string();
        ends(profiles, &[typed, &[digit.as_str()]].concat(), found);
    }
}

#[test]
fn every_kind_is_reached_by_numbers_and_no_step_is_longer_than_six_lines() {
    let all = all();
    let mut found = Vec::new();
    ends(&all, &[], &mut found);
    found.sort();
    let mut names: Vec<&str> = BUILT_IN.iter().map(|(name, _)| *name).collect();
    names.sort_unstable();
    assert_eq!(found, names);
}

#[test]
fn a_word_searches_the_whole_list_from_wherever_one_is() {
    let all = all();
    for (typed, count) in [("vee 8", 4), ("1-3-4-2", 2), ("radial nine", 2), ("hydraulic", 1)] {
        for before in [&[][..], &["2"], &["twin"]] {
            let prompt = asked(&all, &[before, &[typed]].concat());
            assert_eq!(prompt.field.choices.len(), count, "{before:?} {typed}");
        }
    }
    // A number that no line has is looked for too.
    assert_eq!(labels(&asked(&all, &["8"])).len(), 4);
    assert_eq!(asked(&all, &["8"]).title, "A new engine: Vee eight");
    assert_eq!(chosen(&all, &["45", ""]), "vee-twin-45");
    // Enter takes the only one that is left; a search that leaves many is gathered again.
    let one = asked(&all, &["hydraulic"]);
    assert_eq!(one.field.enter.as_deref(), Some("this one"));
    assert_eq!(chosen(&all, &["hydraulic", ""]), "flat-six-hydraulic");
    assert_eq!(chosen(&all, &["hydraulic", "1"]), "flat-six-hydraulic");
    assert_eq!(labels(&asked(&all, &["screw"]))[0], "1 Flat: twin, four, six");
}

#[test]
fn what_cannot_be_taken_says_why_and_what_is_near() {
    let all = all();
    assert_eq!(refused(&all, &["0"]), "there is no 0 in the list");
    assert_eq!(refused(&all, &["7777"]), "there is no 7777 in the list");
    assert_eq!(
        refused(&all, &["99999999999999999999999"]).split(';').next().unwrap(),
        "nothing in the list has \"99999999999999999999999\""
    );
    assert_eq!(refused(&all, &[""]), "type its number, or a word to search");
    let words = refused(&all, &["vee-eigth-18436572"]);
    assert!(words.contains("vee-eight-18436572"), "{words}");
    let hostile = refused(&all, &["\u{202e}\u{1b}[31m"]);
    assert!(!hostile.contains(['\u{202e}', '\u{1b}']), "{hostile}");
    // No profile at all: one can still be described, and nothing breaks.
    assert_eq!(labels(&asked(&[], &[])), ["1 a kind of my own: describe it"]);
    assert_eq!(refused(&[], &["2"]), "there is no 2 in the list");
}

#[test]
fn many_kinds_that_cannot_be_gathered_come_a_few_at_a_time() {
    let own: Vec<(String, String)> =
        (1..=14).map(|n| (format!("own-{n}"), "Same engine".to_owned())).collect();
    let first = asked(&own, &[]);
    // Titles that do not tell them apart have their names beside them.
    assert_eq!(labels(&first)[0], "1 Same engine (own-1)");
    assert_eq!((labels(&first).len(), first.field.enter.as_deref()), (6, Some("the next ones")));
    let last = asked(&own, &["", ""]);
    assert_eq!(
        labels(&last),
        ["13 Same engine (own-13)", "14 Same engine (own-14)", "15 a kind of my own: describe it"]
    );
    assert_eq!(last.field.enter, None);
    assert_eq!(chosen(&own, &["", "9"]), "own-9");
    assert_eq!(chosen(&own, &["14"]), "own-14");
    assert_eq!(refused(&own, &["", "", ""]), "type its number, or a word to search");
    // However many there are, nothing breaks.
    let many: Vec<(String, String)> =
        (1..=300).map(|n| (format!("own-{n}"), "Same engine".to_owned())).collect();
    let pages = vec![""; 50];
    assert!(asked(&many, &pages).field.choices.is_empty());
    assert_eq!(chosen(&many, &["300"]), "own-300");
}

/// The screens, with the list of a workshop behind them.
fn app() -> App<Bench> {
    let desk = Desk::NewEngine(all());
    let bench = Bench { desk, ink: Ink::Blocks };
    App::new(Table::default(), Some(bench), ThemeName::Terminal, Colours::Off, Ink::Blocks)
}

fn picture(app: &App<Bench>, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::view(app).unwrap().paint(Theme::plain(), area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

fn press(app: App<Bench>, keys: &str) -> App<Bench> {
    let mut now = 1_773_475_200_000;
    keys.split_whitespace().fold(app, |app, word| {
        let code = |letter| KeyEvent::new(letter, KeyModifiers::NONE);
        let keys: Vec<KeyEvent> = match word {
            "enter" => vec![code(KeyCode::Enter)],
            "esc" => vec![code(KeyCode::Esc)],
            _ => word.chars().map(|letter| code(KeyCode::Char(letter))).collect(),
        };
        keys.into_iter().fold(app, |app, key| {
            now += 1000;
            let at = cowlside::domain::entry::Moment { unix_ms: now, offset_min: 0 };
            let action = keymap::action(key, app.place(), app.begun()).unwrap();
            match step(app, &action, at, &mut |effect, _| Err(format!("{effect:?}"))) {
                ControlFlow::Continue(app) => app,
                ControlFlow::Break(()) => panic!("the program has ended"),
            }
        })
    })
}

#[test]
fn a_kind_of_ones_own_is_the_last_line_and_leads_to_the_form() {
    let all = all();
    assert!(matches!(new_engine(&all, &given(&["6"])), Step::Do(Start::OwnKind)));
    // With one kind, as after the form, Enter takes it and the next line describes another.
    let one = all[..1].to_vec();
    assert_eq!(asked(&one, &[]).field.enter.as_deref(), Some("this one"));
    assert_eq!(chosen(&one, &[""]), one[0].0);
    assert!(matches!(new_engine(&one, &given(&["2"])), Step::Do(Start::OwnKind)));
    // Only where the whole list is shown: inside a group its numbers are kinds.
    assert!(!labels(&asked(&all, &["4"])).iter().any(|label| label.contains("describe")));
    let asked_for = press(app(), "6 enter").note.unwrap();
    assert!(asked_for.text.contains("Describe"), "{asked_for:?}");
}

#[test]
fn every_line_is_in_sight_at_80x24_and_at_40x12() {
    for (name, keys) in [("list", ""), ("vee_twins", "4 enter 1 enter"), ("search", "vee enter")] {
        let app = press(app(), keys);
        for (width, height) in [(80, 24), (40, 12)] {
            let shown = picture(&app, width, height);
            let words = shown.replace(['|', '\n'], " ");
            let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
            for choice in &app.prompt().unwrap().field.choices {
                let label = format!("{} {}", choice.digit, choice.label);
                assert!(words.contains(&label), "{name} {width}x{height}: {label}\n{shown}");
            }
            insta::with_settings!({
                snapshot_path => "../../snapshots", prepend_module_to_snapshot => false,
                omit_expression => true,
            }, {
                insta::assert_snapshot!(format!("kinds_{name}_{width}x{height}"), shown);
            });
        }
    }
}

#[test]
fn esc_goes_a_step_back_and_a_refused_word_can_be_mended() {
    let at_twins = press(app(), "4 enter 1 enter esc");
    assert!(labels(&at_twins.prompt().unwrap())[0].starts_with("1 Vee twin: 5 kinds"));
    let refused = press(app(), "veex enter");
    assert!(picture(&refused, 80, 24).contains("nothing in the list has \"veex\""));
    assert_eq!(refused.entry, "veex");
}
