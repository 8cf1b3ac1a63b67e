//! `take`: another laptop's folder, a single file, and sessions that went different ways.

use super::{Place, with_trainer};
use crate::cli::damage::damage;
use crate::cli::services::with_services;
use cowlside::store::profiles::BUILT_IN;
use std::path::Path;

fn everything(folder: &Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for name in ["engines", "sessions", "profiles"] {
        let Ok(entries) = std::fs::read_dir(folder.join(name)) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            all.push((path.clone(), std::fs::read(path).unwrap()));
        }
    }
    all.sort();
    all
}

fn take(place: &Place, from: &Path, more: &[&str]) -> super::Shown {
    place.run(&[&["take", from.to_str().unwrap()], more].concat())
}

#[test]
fn a_whole_folder_is_copied_byte_by_byte_and_taken_again_changes_nothing() {
    let there = with_services();
    let here = Place::new();
    let dry = take(&here, there.path(), &["--dry-run"]);
    assert!(dry.done().contains("4 of 4 would be copied"), "{dry}");
    assert_eq!(everything(here.path()), []);
    take(&here, there.path(), &[]).done();
    let bytes = |place: &Place| {
        let all = everything(place.path()).into_iter();
        all.map(|(path, bytes)| (path.file_name().unwrap().to_owned(), bytes)).collect::<Vec<_>>()
    };
    assert_eq!(bytes(&here), bytes(&there));
    let table = |place: &Place| place.run_unsettled(&["export"]).out;
    assert_eq!(table(&here), table(&there));
    let before = everything(here.path());
    let again = take(&here, there.path(), &[]);
    assert!(again.done().contains("0 of 4 copied; nothing here was changed"), "{again}");
    assert_eq!(everything(here.path()), before);
}

#[test]
fn an_engine_of_a_name_that_is_taken_comes_under_another_and_single_files_come_alone() {
    let there = with_services();
    let here = Place::new();
    here.run(&["engine", "add", "trainer", "--profile", "flat-six", "--hours", "3"]).done();
    let one = take(&here, &there.journals()[0], &[]);
    assert!(one.out.contains("1 of 1 copied"), "{one}");
    // Of an engine that is not here: how it is found is told at once.
    assert!(one.err.contains("cowlside engine add \"Trainer 2\" --of SESSION-1"), "{one}");
    assert_eq!((one.code, one.err.lines().count()), (0, 1), "{one}");
    assert_eq!(here.run(&["sessions", "trainer"]).done().lines().count(), 1);
    let all = take(&here, there.path(), &[]);
    assert!(all.done().contains("copied as Trainer 2"), "{all}");
    assert!(all.out.contains("here already"), "{all}");
    assert_eq!(here.run(&["sessions", "Trainer 2"]).done().lines().count(), 3);
}

#[test]
fn a_longer_copy_goes_before_the_shorter_and_a_fork_is_kept_as_a_version() {
    let there = with_services();
    let here = Place::new();
    take(&here, there.path(), &[]).done();
    let path = there.journals()[2].clone();
    let full = std::fs::read(&path).unwrap();
    let lines: Vec<&[u8]> = full.split_inclusive(|byte| *byte == b'\n').collect();
    // The other laptop is behind.
    std::fs::write(&path, lines[..lines.len() - 3].concat()).unwrap();
    let behind = take(&here, there.path(), &[]);
    assert!(behind.done().contains("here already, and further on"), "{behind}");
    // There it goes another way from there on.
    let shown = there.run_typing(&["session", "Trainer", "--plain"], "\n");
    assert!(shown.code == 0 && shown.err.contains("entries here last time"), "{shown}");
    let before = everything(here.path());
    let forked = take(&here, there.path(), &[]);
    let common = format!("it differs after {} entries", lines.len() - 3);
    assert!(forked.done().contains(&common), "{forked}");
    let after = everything(here.path());
    assert!(before.iter().all(|file| after.contains(file)), "nothing was overwritten");
    assert_eq!(after.len(), before.len() + 1);
    let sessions = here.run(&["sessions", "Trainer"]);
    assert!(
        sessions.done().contains("version A in") && sessions.out.contains("version B in"),
        "{sessions}"
    );
    assert_eq!(sessions.out.matches("the one that counts").count(), 1);
    // It counts once, and the other is told.
    let history = here.run(&["history", "Trainer", "--json"]);
    assert_eq!(
        (history.code, history.err.contains("version B is left out")),
        (0, true),
        "{history}"
    );
    let document: serde_json::Value = serde_json::from_str(&history.out).unwrap();
    let points = document["valves"][1]["points"].as_array().unwrap();
    let names: Vec<&str> = points.iter().map(|point| point["session"].as_str().unwrap()).collect();
    assert_eq!(names.len(), 3, "{names:?}");
    // The other way round: here is behind, what comes goes further.
    let third = Place::new();
    let short = third.path().join("short.jsonl");
    std::fs::write(&short, lines[..lines.len() - 3].concat()).unwrap();
    assert_eq!(take(&third, &short, &[]).code, 0);
    std::fs::write(&short, &full).unwrap();
    let further = take(&third, &short, &[]);
    assert!(further.done().contains("it goes further than the one here"), "{further}");
}

#[test]
fn what_cannot_be_read_is_told_and_a_place_that_is_none_refused() {
    let place = Place::new();
    let folder = place.path().join("other");
    std::fs::create_dir_all(folder.join("sessions")).unwrap();
    std::fs::write(folder.join("sessions/x.jsonl"), "{}\n").unwrap();
    let shown = take(&place, &folder, &[]);
    assert!(shown.code == 1 && shown.out.contains("session x.jsonl: left out"), "{shown}");
    for path in ["nowhere", "empty"] {
        std::fs::create_dir_all(place.path().join("empty")).unwrap();
        assert_eq!(take(&place, &place.path().join(path), &[]).code, 1);
    }
}

/// A data folder with an engine whose profile "own" is the flat four, changed by a word.
fn with_own(profile: &str, word: &str) -> Place {
    let place = Place::new();
    let (_, text) = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap();
    let mut file: serde_json::Value = serde_json::from_str(text).unwrap();
    file["name"] = word.into();
    std::fs::create_dir_all(place.path().join("profiles")).unwrap();
    let path = place.path().join(format!("profiles/{profile}.json"));
    std::fs::write(path, file.to_string()).unwrap();
    let add = ["engine", "add", word, "--profile", profile, "--hours", "3"];
    place.run(&add).done();
    place
}

fn profile_of(place: &Place, engine: &str) -> (String, String) {
    let engines = place.run(&["engines", "--json"]).json();
    let engines = engines["engines"].as_array().unwrap();
    let named = engines.iter().find(|one| one["name"] == engine).unwrap();
    let profile = named["profile"].as_str().unwrap().to_owned();
    let file = std::fs::read(place.path().join(format!("profiles/{profile}.json")));
    let file: Option<serde_json::Value> =
        file.ok().map(|text| serde_json::from_slice(&text).unwrap());
    let title = file.map_or(String::new(), |file| file["name"].as_str().unwrap().to_owned());
    (profile, title)
}

#[test]
fn an_engine_never_goes_by_another_profile_of_the_same_name() {
    let (here, there) = (with_own("own", "here"), with_own("own", "there"));
    let taken = take(&here, there.path(), &[]);
    let said = "profile own: another one of that name is here: there goes by own-2";
    assert!(taken.done().contains(said), "{taken}");
    assert_eq!(profile_of(&here, "there"), ("own-2".into(), "there".into()));
    assert_eq!(profile_of(&here, "here"), ("own".into(), "here".into()));
    // The same one from a third folder is not copied again.
    let third = with_own("own", "there");
    let taken = take(&here, third.path(), &[]);
    assert!(taken.done().contains("there 2 goes by own-2"), "{taken}");
    assert!(!here.path().join("profiles/own-3.json").exists());
    // Negative control: where they are the same nothing is said.
    let same = Place::new();
    take(&same, there.path(), &[]).done();
    let again = take(&same, third.path(), &[]);
    assert!(!again.done().contains("profile own"), "{again}");
    assert_eq!(profile_of(&same, "there 2"), ("own".into(), "there".into()));
}

#[test]
fn a_profile_that_stands_for_a_built_in_one_changes_none_of_the_engines_here() {
    let here = with_trainer();
    let there = with_own("flat-four", "there");
    let taken = take(&here, there.path(), &[]);
    assert!(taken.done().contains("there goes by flat-four-2"), "{taken}");
    assert!(!here.path().join("profiles/flat-four.json").exists());
    assert_eq!(profile_of(&here, "Trainer").0, "flat-four");
    // The other way round: there it is the built-in one, here the user's own.
    let taken = take(&there, here.path(), &[]);
    assert!(taken.done().contains("Trainer goes by flat-four-2"), "{taken}");
    assert_eq!(profile_of(&there, "there").1, "there");
}

#[test]
fn a_source_that_was_confirmed_for_another_profile_is_asked_anew() {
    let there = with_services();
    let source = |place: &Place| {
        let all = everything(place.path()).into_iter();
        let mut engines = all.filter(|(path, _)| path.parent().unwrap().ends_with("engines"));
        engines.any(|(_, bytes)| String::from_utf8(bytes).unwrap().contains("\"source\""))
    };
    assert!(source(&there));
    let alike = Place::new();
    take(&alike, there.path(), &[]).done();
    assert!(source(&alike));
    let here = with_own("flat-four", "here");
    take(&here, there.path(), &[]).done();
    assert!(!source(&here));
}

#[test]
fn what_is_not_whole_is_taken_as_it_is_and_that_is_said_before_it_is_done() {
    let there = with_services();
    damage(&there.journals()[0]);
    let here = Place::new();
    for more in [&["--dry-run"][..], &[]] {
        let taken = take(&here, &there.journals()[0], more);
        assert!(taken.err.contains("warning: taken as it is, damaged: session "), "{taken}");
        assert!(taken.err.contains("look for a sound copy"), "{taken}");
        assert_eq!(taken.err.matches("taken as it is").count(), 1, "{taken}");
    }
    let whole = take(&Place::new(), &there.journals()[1], &[]);
    assert!(!whole.err.contains("taken as it is"), "{whole}");
}

#[test]
fn an_engine_of_which_other_hours_are_told_there_is_not_called_the_same() {
    let there = with_services();
    let here = Place::new();
    take(&here, there.path(), &[]).done();
    there.later(90 * 24 * 60);
    there.run(&["engine", "hours", "Trainer", "620"]).told_over_a_session();
    let again = take(&here, there.path(), &[]);
    let words =
        "engine Trainer: kept as it is here: it differs: hours told only there: 620.0 h on ";
    assert!(again.done().starts_with(words), "{again}");
    assert!(
        here.run(&["engines"]).out.contains(" 612.6 h")
            || !here.run(&["engines"]).out.contains("620")
    );
}

#[test]
fn what_had_to_be_left_there_makes_the_take_fail() {
    let there = with_services();
    std::fs::write(there.path().join("sessions/x.jsonl"), "hello\n").unwrap();
    let here = Place::new();
    let shown = take(&here, there.path(), &[]);
    assert!(shown.code == 1 && shown.out.contains("4 of 5 copied"), "{shown}");
    assert!(
        shown.err.contains("error: 1 of 5 could not be read and left out\nhint: what could"),
        "{shown}"
    );
}
