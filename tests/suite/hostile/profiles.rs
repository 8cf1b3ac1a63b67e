//! Hostile texts in every free field of a profile, in the settings and in the names of files; typed
//! into the form of a profile, pasted, and as plain lines.

use super::screens::wrong;
use super::shop::Mould;
use super::{acts, strings, unsafe_line};
use crate::walk::rows_of;
use cowlside::domain::plain::MARK;
use cowlside::guide::profile_form::Form;
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profile_writer::judge;
use cowlside::tui::profile_desk::{Key, ProfileDesk};
use cowlside::tui::profile_view;
use cowlside::tui::theme::{Colours, ThemeName};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use serde_json::{Value, json};
use unicode_segmentation::UnicodeSegmentation;

/// The free texts of a profile, as JSON Pointers.
const FIELDS: [&str; 10] = [
    "/name",
    "/adjuster/lock_nut",
    "/adjuster/screw_drive",
    "/covers/hardware/0/item",
    "/covers/order",
    "/overlap_looks_like",
    "/cautions/0",
    "/valves/intake/position",
    "/valves/exhaust/position",
    "/layout/banks/0/labels/0",
];

/// Puts a text into each free field of a profile that takes it; returns how many do.
pub fn poisoned(profile: &str, text: &str) -> (String, usize) {
    let mut whole: Value = serde_json::from_str(profile).unwrap();
    whole["cautions"] = json!(["Mind the propeller"]);
    whole["overlap_looks_like"] = "both pressed a little".into();
    for bank in whole["layout"]["banks"].as_array_mut().unwrap() {
        let numbers = bank["cylinders"].as_array().unwrap();
        bank["labels"] = numbers.iter().map(|number| format!("{number}R")).collect();
    }
    let mut taken = 0;
    for pointer in FIELDS {
        let mut tried = whole.clone();
        let Some(field) = tried.pointer_mut(pointer) else { continue };
        *field = text.into();
        if parse_profile(&tried.to_string(), "tried").is_ok() {
            whole = tried;
            taken += 1;
        }
    }
    (whole.to_string(), taken)
}

#[test]
fn a_profile_takes_a_hostile_text_only_where_it_may_be_shown_as_it_is() {
    let flat_four = include_str!("../../../profiles/flat-four.json");
    assert_eq!(poisoned(flat_four, "some words").1, FIELDS.len());
    let mut everywhere = 0;
    for (name, text) in strings::all() {
        let taken = poisoned(flat_four, &text).1;
        let piled = text.graphemes(true).any(|letter| letter.chars().count() > 8);
        assert!(taken == 0 || !text.contains(acts) && !piled, "{name}: {taken}");
        everywhere += usize::from(taken == FIELDS.len());
    }
    println!("{everywhere} texts stand in every field of a profile");
    assert!(everywhere > 20);
}

fn screens(desk: &ProfileDesk) -> Vec<String> {
    let paint = |(width, height)| {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        profile_view::paint(desk, area, &mut buf);
        rows_of(&buf)
    };
    [(40, 12), (80, 24)].map(paint).to_vec()
}

#[test]
fn a_hostile_text_typed_or_pasted_into_any_field_of_the_form_is_shown_as_harmless() {
    let (mut looked, mut faults, mut silent) = (0, Vec::new(), Vec::new());
    for (number, (name, text)) in strings::in_turn(0, 8).into_iter().enumerate() {
        let theme = (ThemeName::Terminal, Colours::Off);
        let form = Form::new(judge, Vec::new());
        let mut desk = ProfileDesk::new(form, text.clone(), text.clone(), theme);
        let mut marked = false;
        for field in 0..40 {
            // Every letter is judged at once, which takes its time.
            let keys = match (field + number) % 8 {
                0 => text.chars().take(20).map(Key::Letter).collect(),
                _ => vec![Key::Paste(text.clone())],
            };
            for key in keys.iter().chain(&[Key::Enter, Key::Down]) {
                desk = desk.press(key).0;
            }
            let painted = screens(&desk);
            marked |= painted.iter().any(|painted| painted.contains(MARK));
            let found = painted.iter().find_map(|painted| wrong(painted));
            faults.extend(found.map(|line| format!("{name}, field {field}: {line}")));
            looked += 2;
        }
        // The painter itself leaves such a character out: then nobody sees that one stood there.
        silent.extend((text.contains(acts) && !marked).then_some(name));
    }
    assert!(silent.is_empty(), "left out without a mark: {silent:?}");
    println!("{looked} screens of the form, {} wrong", faults.len());
    faults.truncate(20);
    assert!(faults.is_empty() && looked > 600, "{}", faults.join("\n"));
}

#[test]
fn a_hostile_text_in_the_plain_form_is_asked_about_again_and_shown_as_harmless() {
    let shop = Mould::new().with("some words", false);
    for (name, text) in strings::in_turn(0, 4) {
        let line = text.replace(['\n', '\r'], " ");
        let typed = format!("{line}\n{line}\n?\n{line}\n<\n{line}\n:{line}\n\n{line}\n").repeat(4);
        for words in
            [&["profiles", "new", "--plain"][..], &["profiles", "copy", "flat-four", "--plain"]]
        {
            let ran = shop.run(words, &typed, false);
            for shown in [&ran.out, &ran.err] {
                assert_eq!(unsafe_line(shown), None, "{name}: {words:?}");
            }
            assert!(ran.code <= 1 && !ran.out.is_empty(), "{name}: {}", ran.err);
        }
    }
}
