//! The list of engines as it was last, which is shown while the files are looked at: a picture only,
//! whatever has become of it.

#![cfg(unix)]

use crate::index::made::{self, Size};
use crate::seat::{BEGIN_FRAME, Seat};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn shop() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    made::make(folder.path(), Size { engines: 3, sessions: 2, entries: 70, seed: 2 });
    let list = folder.path().join("cache/last-list.json");
    (folder, list)
}

/// Starts, and returns every byte and what is shown once all is quiet.
fn started(home: &Path) -> (String, String) {
    started_at(home, "Engine 0001")
}

fn started_at(home: &Path, first: &str) -> (String, String) {
    let seat = Seat::take(home, &[], (24, 80));
    seat.await_text(first);
    let shown = seat.settled();
    (String::from_utf8(seat.bytes()).unwrap(), shown)
}

fn frames(bytes: &str) -> usize {
    bytes.matches(std::str::from_utf8(BEGIN_FRAME).unwrap()).count()
}

#[test]
fn the_list_as_it_was_is_one_frame_and_what_is_wrong_with_it_is_put_right() {
    let (home, list) = shop();
    let (_, without) = started(home.path());
    let whole = fs::read_to_string(&list).unwrap();
    let (bytes, with) = started(home.path());
    assert_eq!((with, frames(&bytes)), (without.clone(), 1), "nothing was to be put right");
    for wrong in [
        whole.replace("Engine 0001", "Another one"),
        whole.replace("Engine 0001", "\\u001b[2JAnother one"),
        whole.replacen("\"Engine 0001\",", "\"Another one\",\"\",\"\",\"\",", 1),
    ] {
        assert_ne!(wrong, whole);
        fs::write(&list, wrong).unwrap();
        let (bytes, with) = started(home.path());
        assert!(bytes.contains("Another one"), "it is shown first: {bytes:?}");
        assert_eq!((with, frames(&bytes)), (without.clone(), 2));
        assert_eq!(fs::read_to_string(&list).unwrap(), whole, "and noted anew");
    }
}

#[test]
fn a_list_without_an_engine_is_shown_as_it_was_too() {
    let home = tempfile::tempdir().unwrap();
    let none = "No engine yet";
    let (_, without) = started_at(home.path(), none);
    let list = home.path().join("cache/last-list.json");
    let whole = fs::read_to_string(&list).unwrap();
    let (bytes, with) = started_at(home.path(), none);
    assert_eq!((with, frames(&bytes)), (without.clone(), 1), "nothing was to be put right");
    fs::write(&list, whole.replace(none, "None so far")).unwrap();
    let (bytes, with) = started_at(home.path(), none);
    assert!(bytes.contains("None so far"), "it is shown first: {bytes:?}");
    assert_eq!((with, frames(&bytes)), (without, 2));
}

#[test]
fn a_list_of_another_day_or_of_other_folders_is_not_shown() {
    let (home, list) = shop();
    let (_, without) = started(home.path());
    let whole = fs::read_to_string(&list).unwrap().replace("Engine 0001", "Another one");
    let made = whole.split('"').nth(3).unwrap();
    let (program, rest) = made.split_once(' ').unwrap();
    let (day, folders) = rest.split_once("\\t").unwrap();
    for other in [
        whole.replacen(day, "2020-01-01", 1),
        whole.replacen(program, "0.0.0", 1),
        whole.replacen(folders, &folders.replace(|digit: char| digit.is_ascii_digit(), "1"), 1),
        whole[..whole.len() / 2].to_owned(),
        "[]".to_owned(),
        String::new(),
    ] {
        assert_ne!(other, whole);
        fs::write(&list, other).unwrap();
        let (bytes, with) = started(home.path());
        assert!(!bytes.contains("Another one"), "{bytes:?}");
        assert_eq!(with, without);
    }
}

#[test]
fn a_key_that_is_pressed_at_once_counts_for_the_list_that_it_was_pressed_at() {
    let (home, list) = shop();
    let (_, shown) = started(home.path());
    let first = shown.lines().find_map(|line| line.trim().strip_prefix("1  ")).unwrap();
    let name: String = first.split("  ").next().unwrap().to_owned();
    let mut seat = Seat::take(home.path(), &[], (24, 80));
    // What is typed before there is a list counts for none; what is typed at the list of last time, while
    // the files are still being looked at, counts.
    seat.await_text(&name);
    seat.send(b"1");
    seat.await_that("the engine", |text| text.contains(&name) && !text.contains("Which engine?"));
    drop(seat);
    let whole = fs::read_to_string(&list).unwrap();
    // Of a key that arrives before the right list stands nothing comes.
    let stopped = || {
        fs::write(&list, whole.replace(&name, "Another one")).unwrap();
        let seat = Seat::take(home.path(), &[], (24, 80));
        seat.signal("STOP");
        seat.await_state('T');
        (!seat.text().contains(&name)).then_some(seat)
    };
    // It may have been there sooner than the signal.
    let mut seat = (0..50).find_map(|_| stopped()).unwrap();
    seat.send(b"1");
    seat.signal("CONT");
    seat.await_text(&name);
    let text = seat.settled();
    assert!(text.contains("Which engine?") && !text.contains("Another one"), "{text}");
}
