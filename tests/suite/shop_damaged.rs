//! An engine whose service is damaged while it is open: it stands first in every list and says so; and
//! what the list says before all histories are worked out.

use crate::cli::Place;
use crate::cli::damage::{damage, half_done};
use crate::real::invented;
use crate::seat::Seat;
use cowlside::tui::app::App;
use cowlside::tui::bench::Bench;
use cowlside::tui::job::Table;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::view;
use cowlside::tui::widgets::digits::Ink;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use serde_json::{Value, json};
use std::fs;

/// A trainer with a nut slack in a session that is then damaged, beside an engine that is due.
fn damaged_beside_a_due_one() -> Place {
    let place = half_done("Set 3 exhaust");
    let add = ["engine", "add", "Alpha", "--profile", "flat-four", "--hours", "5000"];
    place.run(&add).done();
    damage(&place.journals()[0]);
    place
}

fn attention(place: &Place) -> Vec<(String, Value, Value)> {
    let shown = place.run(&["engines", "--json"]);
    let document: Value = serde_json::from_str(&shown.out).unwrap();
    let rows = document["engines"].as_array().unwrap().iter();
    let row = |row: &Value| {
        let name = row["name"].as_str().unwrap().to_owned();
        (name, row["attention"].clone(), row["open_session"].clone())
    };
    rows.map(row).collect()
}

#[test]
fn an_engine_whose_open_service_is_damaged_stands_first_and_says_so() {
    let place = damaged_beside_a_due_one();
    let text = place.run(&["engines"]).out;
    let first = text.lines().next().unwrap();
    assert!(first.starts_with("Trainer "), "{text}");
    assert!(first.contains("  DAMAGED SERVICE: "), "{text}");
    let rows = [
        ("Trainer".into(), json!("open"), json!(null)),
        ("Alpha".into(), json!("due"), json!(null)),
    ];
    assert_eq!(attention(&place), rows);
    let document: Value = serde_json::from_str(&place.run(&["engines", "--json"]).out).unwrap();
    let left = document["engines"][0]["left_open"][0].as_str().unwrap().to_owned();
    assert!(left.starts_with("session SESSION-1 is damaged: damaged at line"), "{left}");
    // A new service takes over what was open; the damage stays marked until that one has ended.
    place.later(1);
    let begun = place.run_typing(&["session", "Trainer", "--plain"], "\n\n");
    assert_eq!(begun.code, 0, "{begun}");
    let text = place.run(&["engines"]).out;
    assert!(text.lines().next().unwrap().contains("  DAMAGED SERVICE: "), "{text}");
    assert!(text.lines().next().unwrap().ends_with("OPEN: go on"), "{text}");
}

#[test]
fn opening_it_says_what_is_damaged_what_is_open_and_what_to_do() {
    let place = damaged_beside_a_due_one();
    let shown = place.run_typing(&["session", "Trainer", "--plain"], "");
    let said = [
        "DAMAGED: session SESSION-1 is open: damaged at line",
        "Left open: ",
        "cowlside take COPY",
    ];
    for words in said {
        assert!(shown.out.contains(words), "{words}: {shown}");
    }
}

#[test]
fn a_sound_copy_that_is_taken_is_gone_on_with() {
    let place = half_done("Set 3 exhaust");
    let path = place.journals()[0].clone();
    let copy = place.path().join("copy.jsonl");
    fs::copy(&path, &copy).unwrap();
    damage(&path);
    place.run(&["take", copy.to_str().unwrap()]).done();
    assert_eq!(attention(&place)[0].1, "open");
    assert_eq!(attention(&place)[0].2, "SESSION-1");
    let text = place.run(&["engines"]).out;
    assert!(!text.contains("DAMAGED"), "{text}");
}

#[test]
fn the_mark_is_seen_at_every_width() {
    let head = ["engine", "hours", "last service", "next", ""].map(String::from).to_vec();
    let marked = "DAMAGED SERVICE: NUT SLACK: 1 intake; 83 pieces off";
    let row = |name: &str, mark: &str| {
        [name, "5698.3 h", "2026-05-23", "5698.3 h or 2027-05-23", mark].map(String::from).to_vec()
    };
    let rows = vec![row("Yellow tug of the other hangar", marked), row("Alpha", "")];
    let lines =
        vec!["Yellow tug: session 20261126-095246z-m74yc0 cannot be gone on with".to_owned()];
    let words = vec!["yellow".into(), "alpha".into()];
    let table =
        Table { title: "Which engine?".into(), lines, head, rows, words, ..Table::default() };
    for (width, height) in (40..=200).flat_map(|width| [(width, 12), (width, 24)]) {
        let app: App<Bench> =
            App::new(table.clone(), None, ThemeName::Terminal, Colours::Off, Ink::Blocks);
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        view::paint(&app, area, &mut buf);
        let screen: String = buf.content.iter().map(|cell| cell.symbol()).collect();
        assert!(screen.contains("DAMAGED"), "{width}x{height}");
    }
}

/// Engines, each with one valve gauged long ago and all of them since, by a table of paper notes.
fn many(engines: usize) -> Place {
    let place = Place::new();
    let mut table = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit\n".to_owned();
    for n in 0..engines {
        let mut gauged = |session: &str, date: &str, hours: u32, cylinder: u8, valve: &str| {
            // In limits: what a table says was left outside them needs attention by itself.
            let reads = if valve == "exhaust" { 12 } else { 6 };
            table += &format!(
                "E{n:03},flat-four,{session},{date}T10:00:00Z,{hours},{cylinder},{valve},found,{reads},thou\n"
            );
        };
        gauged("one valve", "2025-12-05", 100, 1, "intake");
        for cylinder in 1..=4 {
            gauged("all", "2026-02-05", 500, cylinder, "intake");
            gauged("all", "2026-02-05", 500, cylinder, "exhaust");
        }
    }
    let path = place.path().join("paper.csv");
    fs::write(&path, table).unwrap();
    place.run(&["import", path.to_str().unwrap()]).done();
    place
}

/// The interval counts from the last service with a figure of each valve, 100 h by the profile: 600 h.
/// By the oldest, of one valve, it would have passed at 200 h.
#[test]
fn what_is_not_worked_out_yet_is_not_called_due_and_both_listings_agree() {
    let place = many(203);
    let list = || {
        let shown = place.run(&["engines", "--json"]);
        let document: Value = serde_json::from_str(&shown.out).unwrap();
        let rows = document["engines"].as_array().unwrap().clone();
        (rows, shown.err)
    };
    let (first, told) = list();
    assert!(
        told.contains("3 engines: the next service by interval only, or not worked out yet"),
        "{told}"
    );
    let not_yet: Vec<&Value> =
        first.iter().filter(|row| row["next_due"]["hours"].is_null()).collect();
    assert_eq!(not_yet.len(), 3);
    assert!(first.iter().all(|row| row["attention"].is_null()), "{first:?}");
    let (second, told) = list();
    assert_eq!(told, "");
    for row in &second {
        assert_eq!((&row["next_due"]["hours"], &row["attention"]), (&json!(600.0), &json!(null)));
    }
    let known = |row: &&Value| !not_yet.iter().any(|other| other["id"] == row["id"]);
    assert!(first.iter().filter(known).all(|row| second.contains(row)));
    // Past what even the last service allows it is due, whatever the history will say.
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    for name in ["E000", "E202"] {
        place.run(&["engine", "hours", name, "600", "--so-it-is"]).done();
    }
    let text = place.run(&["engines"]).out;
    let due: Vec<&str> = text.lines().filter(|line| line.contains("  DUE")).collect();
    assert_eq!(due.len(), 2, "{due:?}");
    assert_eq!(text.matches("next not worked out yet").count(), 3);
}

#[test]
fn the_past_of_an_engine_says_of_each_service_that_it_leaves_out_why() {
    let folder = invented();
    let known = fs::read_dir(folder.path().join("demo/sessions")).unwrap();
    let mut tugs: Vec<_> = known.map(|file| file.unwrap().path()).collect();
    tugs.retain(|path| fs::read_to_string(path).unwrap().contains("Yellow tug"));
    tugs.sort();
    let names: Vec<String> = tugs[..2]
        .iter()
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    tugs[..2].iter().for_each(|path| damage(path));
    let mut seat = Seat::take(folder.path(), &["demo"], (40, 80));
    seat.await_text("Which engine?");
    seat.press("*");
    seat.await_text("history of each valve");
    seat.press("2");
    let text = seat.await_text("page 1 of");
    assert!(text.contains("Yellow tug: "), "{text}");
    for name in names {
        assert!(text.contains(&format!("{name}: damaged at line")), "{name}: {text}");
    }
}
