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
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

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
    // Where it lies is told for each entry, not for the first alone.
    let more = answered(&mut plain);
    let now = format!("; this session lies in {}/sessions now", away.display());
    assert!(
        !cfg!(target_os = "linux") || said.contains(&now) && more.contains(&now),
        "{said}{more}"
    );
    assert_eq!(kept(&away.join("sessions").join(path.file_name().unwrap())).len(), before);
    fs::rename(&away, &home).unwrap();
    answered(&mut plain);
    // It is the same file, and nothing is wrong with it: no other is begun.
    assert!(kept(&path).len() >= before + 3, "all of it is where it was");
    assert_eq!(fs::read_dir(home.join("sessions")).unwrap().count(), 1);
    let (code, err) = ended(plain);
    assert!(!err.contains("moved to") && !err.contains("another file now"), "{err}");
    assert_eq!(code, Some(0), "{err}");
}

#[test]
fn where_another_folder_stands_in_the_place_of_one_that_was_moved_away_it_goes_on_in_a_new_file() {
    let inside = tempfile::tempdir().unwrap();
    let (home, away, mut plain) = begun(inside.path());
    let path = newest_journal(&home);
    let before = kept(&path).len();
    fs::rename(&home, &away).unwrap();
    assert!(answered(&mut plain).contains("NOT SAVED: 1 entry"));
    fs::create_dir_all(home.join("sessions")).unwrap();
    answered(&mut plain);
    let second = path.with_extension("c2.jsonl");
    assert!(kept(&second).len() >= before + 2, "all of it is in a file of its own");
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
    let name = path.file_stem().unwrap().to_str().unwrap();
    assert!(err.trim_end().ends_with(&format!("cowlside verify {name} shows it")), "{err}");
    assert_eq!(code, Some(0), "{err}");
    let mut verify = Command::new(env!("CARGO_BIN_EXE_cowlside"));
    let shown = verify.args(["verify", name]).env("COWLSIDE_HOME", &home).output().unwrap();
    assert!(shown.status.success() && !shown.stdout.is_empty(), "{shown:?}");
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
    // Moved back it is in its place again, and nobody has to touch a key for that.
    fs::rename(&away, &demo).unwrap();
    seat.await_that("all in its place", |text| !text.contains("NOT IN ITS PLACE"));
    seat.press("2");
    seat.settled();
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

/// A session of an earlier run, of some entries.
fn left_open(inside: &Path) -> (PathBuf, usize) {
    let (home, _, mut plain) = begun(inside);
    for _ in 0..12 {
        plain.answer();
    }
    plain.end_of_input();
    let count = kept(&newest_journal(&home)).len();
    assert!(count > 5, "{count}");
    (home, count)
}

/// All that was written before it went, as it is to be said of a folder that was removed.
fn all_gone(home: &Path) -> String {
    let folder = home.join("sessions");
    format!("the folder is gone: {}, and with it all that was kept there", folder.display())
}

/// What is told to be written down, and how many are said to be not saved.
fn written_down(said: &str) -> (usize, Vec<&str>) {
    let (_, told) = said.rsplit_once("NOT SAVED: ").unwrap_or_else(|| panic!("{said}"));
    let count = told.split(' ').next().unwrap().parse().unwrap();
    let lines = told.split_once("Write these down:").unwrap_or_else(|| panic!("{said}")).1.lines();
    let lines = lines.map(str::trim_end).skip_while(|line| line.is_empty());
    (count, lines.take_while(|line| line.starts_with("  ")).collect())
}

#[test]
fn readings_of_an_earlier_run_are_told_as_not_saved_when_their_folder_is_removed() {
    let inside = tempfile::tempdir().unwrap();
    let (home, before) = left_open(inside.path());
    let mut plain = Plain::open_under(&home, "Trainer 0", &[], &[]);
    fs::remove_dir_all(&home).unwrap();
    // It is looked for beside the keys, behind what a slow disk still syncs.
    let since = Instant::now();
    while !plain.type_in(":?").contains("NOT SAVED: ") {
        assert!(since.elapsed() < Duration::from_secs(60), "{}", plain.seen);
        sleep(Duration::from_millis(50));
    }
    // No later try says less.
    for _ in 0..3 {
        let said = plain.type_in(":?");
        assert!(said.contains(&all_gone(&home)), "{said}");
    }
    let (code, err) = ended(plain);
    let (count, lines) = written_down(&err);
    assert!(err.contains(&all_gone(&home)), "{err}");
    assert!(count >= before && lines.len() == count, "{before}, {count}: {err}");
    let first = "  the service begun, with the engine's profile flat-four, which comes with this \
                 program";
    assert_eq!(lines[0], first, "{err}");
    let begun = "  session 20";
    assert!(lines[1].starts_with(begun) && lines[1].contains("; engine Trainer 0; hours 412.6"));
    assert!(!lines.iter().any(|line| line.contains("an answer")), "{err}");
    let asked = lines.iter().filter(|line| line.contains("asked: ") && line.contains("answered: "));
    assert!(asked.count() >= 3, "{err}");
    assert!(lines.iter().any(|line| line.contains("leads off the plugs")), "{err}");
    assert_eq!(code, Some(1));
}

#[test]
fn the_screen_tells_the_readings_of_an_earlier_run_whose_folder_is_removed_and_the_way_out() {
    let inside = tempfile::tempdir().unwrap();
    let (home, before) = left_open(inside.path());
    let mut seat = Seat::take(&home, &["session", "Trainer 0"], (40, 80));
    seat.settled();
    fs::remove_dir_all(&home).unwrap();
    for keys in ["Ctrl-C 4", "*"] {
        seat.press("?");
        seat.await_text("NOT SAVED: ");
        let screen = seat.settled();
        let alert = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        let told = format!("{}; {keys} saves all to another folder", all_gone(&home));
        assert!(alert.contains(&told), "{screen}");
    }
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    seat.settled();
    let said = String::from_utf8_lossy(&seat.bytes()).into_owned();
    let (count, lines) = written_down(&said);
    assert!(count >= before && lines.len() == count, "{before}, {count}: {said}");
}

#[test]
fn a_file_that_was_removed_is_told_where_no_other_can_be_made_though_its_folder_is_there() {
    let inside = tempfile::tempdir().unwrap();
    let (home, before) = left_open(inside.path());
    // The last name that a file of a session can have.
    let first = newest_journal(&home);
    let path = first.with_extension("c99999.jsonl");
    fs::rename(first, &path).unwrap();
    let plain = Plain::open_under(&home, "Trainer 0", &[], &[]);
    fs::remove_file(&path).unwrap();
    let (code, err) = ended(plain);
    let folder = home.join("sessions");
    let why = format!("no name is free in {}; the session's file was removed", folder.display());
    let (count, lines) = written_down(&err);
    assert!(err.contains(&why) && !err.contains("the folder is gone"), "{err}");
    assert!(count >= before && lines.len() == count, "{before}, {count}: {err}");
    assert_eq!(code, Some(1));
}

#[test]
fn a_plain_session_is_saved_elsewhere_where_its_folder_is_gone_and_says_that_nothing_else_tells_it()
{
    let inside = tempfile::tempdir().unwrap();
    let (home, away, mut plain) = begun(inside.path());
    let stick = inside.path().join("stick");
    fs::create_dir(&stick).unwrap();
    fs::rename(&home, &away).unwrap();
    let said = answered(&mut plain);
    assert!(
        said.contains("NOT SAVED: 1 entry") && said.contains("save  save the session"),
        "{said}"
    );
    let asked = plain.type_in(":save");
    assert!(asked.contains("Which folder?"), "{asked}");
    let saved = plain.type_in(stick.to_str().unwrap());
    let path = newest_in(&stick);
    let words = format!("all is saved in {0}; later: cowlside take {0}\n", path.display());
    assert!(saved.contains(&words) && !saved.contains("NOT SAVED"), "{saved}");
    assert!(answered(&mut plain).contains("saved: "));
    let asked = plain.type_in(":save");
    assert!(asked.contains("! not now: everything is saved where it is"), "{asked}");
    let asked = plain.type_in(&format!(":save {}", stick.display()));
    assert!(asked.contains("! not now: everything is saved where it is"), "{asked}");
    let (code, err) = ended(plain);
    assert!(err.contains(&words), "{err}");
    assert!(err.contains("write that path down, nothing else tells it: "), "{err}");
    assert_eq!(code, Some(0), "{err}");
    assert!(!home.exists(), "nothing is made where it was");
}

#[test]
fn the_folder_to_save_to_may_stand_in_the_same_line() {
    let inside = tempfile::tempdir().unwrap();
    let (home, away, mut plain) = begun(inside.path());
    let stick = inside.path().join("my stick");
    fs::create_dir(&stick).unwrap();
    fs::rename(&home, &away).unwrap();
    assert!(answered(&mut plain).contains("NOT SAVED: 1 entry"));
    let refused = plain.type_in(&format!(":save {}/none", stick.display()));
    assert!(refused.contains("! not saved there: there is no folder "), "{refused}");
    assert!(refused.contains("Which folder?"), "{refused}");
    plain.type_in("");
    let saved = plain.type_in(&format!(":save {}", stick.display()));
    assert!(saved.contains("all is saved in ") && !saved.contains("NOT SAVED"), "{saved}");
    assert!(newest_in(&stick).exists());
    assert_eq!(ended(plain).0, Some(0));
}

fn newest_in(folder: &Path) -> PathBuf {
    let mut found = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    found.next().unwrap()
}
