//! The folder of a session that is under way is moved away or removed, and other reasons for going on in
//! another file: all of it is told, and nothing is lost.

#![cfg(unix)]

use crate::plain_seat::Plain;
use crate::real::{invented, kept, newest_journal};
use crate::seat::Seat;
use cowlside::cli::workshop::parse;
use cowlside::store::journal::{self, Verdict};
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Ends a session's input; returns its exit code and what it said on standard error.
fn ended(mut plain: Plain) -> (Option<i32>, String) {
    drop(plain.input.take());
    let mut err = String::new();
    plain.child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    (plain.child.wait().unwrap().code(), err)
}

/// A plain session in a folder that can be moved.
fn begun(inside: &Path) -> (PathBuf, PathBuf, Plain) {
    let (home, away) = (inside.join("home"), inside.join("away"));
    fs::create_dir(&home).unwrap();
    let plain = Plain::begin(&home, &[]);
    (home, away, plain)
}

/// Answers until an entry was made, and returns what was said of it.
fn answered(plain: &mut Plain) -> String {
    for _ in 0..8 {
        let said = plain.answer();
        if said.contains("saved: ") || said.contains("NOT SAVED") {
            return said;
        }
    }
    panic!("nothing was kept:\n{}", plain.seen);
}

#[test]
fn a_folder_that_was_moved_away_is_told_at_the_end_though_all_was_saved_in_it() {
    let inside = tempfile::tempdir().unwrap();
    let (_, _, plain) = begun(inside.path());
    let (code, err) = ended(plain);
    assert_eq!((code, err.contains("NOT IN ITS PLACE")), (Some(0), false), "the control: {err}");
    let inside = tempfile::tempdir().unwrap();
    let (home, away, plain) = begun(inside.path());
    fs::rename(&home, &away).unwrap();
    let (code, err) = ended(plain);
    let gone = format!("NOT IN ITS PLACE: the folder is gone: {}/sessions", home.display());
    assert!(err.contains(&gone), "{err}");
    if cfg!(target_os = "linux") {
        let now = format!("; this session lies in {}/sessions now", away.display());
        assert!(err.contains(&now), "{err}");
    }
    assert_eq!(code, Some(1));
    let path = newest_journal(&away);
    assert_eq!(journal::open(&path, &parse).unwrap().verdict, Verdict::Clean);
    assert!(!home.exists(), "nothing is made where it was");
}

#[test]
fn what_is_kept_after_the_folder_was_moved_is_not_called_saved_until_it_is_back() {
    let inside = tempfile::tempdir().unwrap();
    let (home, away, mut plain) = begun(inside.path());
    let path = newest_journal(&home);
    let before = kept(&path).len();
    fs::rename(&home, &away).unwrap();
    let said = answered(&mut plain);
    let why = format!("the folder is gone: {}/sessions", home.display());
    assert!(said.contains(&format!("NOT SAVED: 1 entry - {why}")), "{said}");
    assert_eq!(kept(&away.join("sessions").join(path.file_name().unwrap())).len(), before);
    fs::rename(&away, &home).unwrap();
    answered(&mut plain);
    let second = path.with_extension("c2.jsonl");
    assert!(kept(&second).len() >= before + 2, "all of it is in a file of its own");
    assert_eq!(kept(&path).len(), before, "and what was given up is left alone");
    let (code, err) = ended(plain);
    let told = format!("): from here on it is kept in {}; cowlside verify ", second.display());
    assert!(err.contains("this session has another file now (its file was moved"), "{err}");
    assert!(err.contains(&told), "{err}");
    assert_eq!(code, Some(0), "{err}");
}

#[test]
fn what_was_removed_is_said_to_be_gone_and_told_word_for_word() {
    let inside = tempfile::tempdir().unwrap();
    let (home, _, mut plain) = begun(inside.path());
    answered(&mut plain);
    fs::remove_dir_all(home.join("sessions")).unwrap();
    let (code, err) = ended(plain);
    let why = format!("the folder is gone: {}/sessions", home.display());
    let head = err.lines().position(|line| line.starts_with("NOT SAVED: ")).unwrap();
    let lines: Vec<&str> = err.lines().skip(head).collect();
    assert!(lines[0].contains(&why), "{err}");
    assert!(lines[1] == "Write these down:" && lines.len() > 2, "{err}");
    assert_eq!(code, Some(1));
    // The file alone: the whole session is in another one before anybody leaves.
    let inside = tempfile::tempdir().unwrap();
    let (home, _, mut plain) = begun(inside.path());
    answered(&mut plain);
    let path = newest_journal(&home);
    let all = kept(&path).len();
    fs::remove_file(&path).unwrap();
    let (code, err) = ended(plain);
    let second = path.with_extension("c2.jsonl");
    assert_eq!(kept(&second).len(), all);
    assert!(err.contains("this session has another file now (its file was removed)"), "{err}");
    assert_eq!(code, Some(0), "{err}");
}

#[test]
fn the_screen_does_not_say_that_all_is_on_disk_where_the_folder_is_gone() {
    let folder = invented();
    let (demo, away) = (folder.path().join("demo"), folder.path().join("away"));
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    seat.answer();
    seat.press("\u{3}");
    seat.await_text("Everything kept is on disk");
    seat.press("2");
    seat.settled();
    fs::rename(&demo, &away).unwrap();
    seat.press("\u{3}");
    let asked = seat.await_text("NOT IN ITS PLACE");
    assert!(!asked.contains("Everything kept is on disk"), "{asked}");
    // Moved back it is in its place again.
    fs::rename(&away, &demo).unwrap();
    seat.press("2");
    seat.await_that("all in its place", |text| !text.contains("NOT IN ITS PLACE"));
    seat.press("\u{3}");
    seat.await_text("Everything kept is on disk");
    seat.press("1");
    assert_eq!(seat.exit_code(), 0);
}

#[test]
fn why_a_session_goes_on_in_another_file_is_told_whatever_the_reason() {
    type Way = (fn(&Path), &'static str);
    let ways: [Way; 3] = [
        (
            |path| fs::hard_link(path, path.with_extension("bak")).unwrap(),
            "the file has a second name",
        ),
        (
            |path| {
                let file = fs::File::options().write(true).open(path).unwrap();
                file.set_len(path.metadata().unwrap().len() - 5).unwrap();
            },
            "the end of the file is gone",
        ),
        (|path| fs::rename(path, path.with_extension("bak")).unwrap(), "its file was moved to "),
    ];
    for (way, why) in ways {
        let inside = tempfile::tempdir().unwrap();
        let (home, _, mut plain) = begun(inside.path());
        let path = newest_journal(&home);
        let before = kept(&path).len();
        way(&path);
        let said = answered(&mut plain);
        assert!(said.contains("saved: ") && !said.contains("NOT SAVED"), "{why}: {said}");
        let second = path.with_extension("c2.jsonl");
        assert_eq!(kept(&second).len(), before + 1, "{why}");
        let (code, err) = ended(plain);
        let told = format!("warning: this session has another file now ({why}");
        assert!(err.contains(&told), "{err}");
        assert!(err.contains(&format!("it is kept in {}; ", second.display())), "{err}");
        assert_eq!(code, Some(0), "{why}: {err}");
        // An earlier run gave it up: what goes on from there says so, too.
        let engine = "Trainer 0";
        fs::remove_file(&second).unwrap();
        fs::write(path.with_extension("c3.jsonl"), "").unwrap();
        if path.exists() && why.contains("second name") {
            fs::remove_file(path.with_extension("bak")).unwrap();
            let mut again = Plain::open_under(&home, engine, &[], &[]);
            answered(&mut again);
            let (_, err) = ended(again);
            let why = "(an earlier run could not tell whether its file is on the disk)";
            assert!(err.contains(why), "{err}");
        }
    }
}
