//! The built program as a mechanic meets it: in a terminal of its own, killed in the middle and
//! started again, hung up on, made tiny; and the plain session killed after each thing it said was
//! saved.

#![cfg(unix)]

use crate::cli::fields;
use crate::plain::Mechanic;
use crate::seat::{PROGRAM, Seat};
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::{Entry, Kept};
use cowlside::domain::session::Session;
use cowlside::guide::status;
use cowlside::store::journal;
use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;
use std::thread::sleep;
use std::time::Duration;
use tempfile::TempDir;

/// What is pressed, by what is on the screen.
pub fn answer_to(text: &str) -> String {
    if let Some((before, _)) = text.split_once(" expected)") {
        return format!("{}\r", before.rsplit('(').next().unwrap());
    }
    let intake = gauging(text).is_some_and(|title| title.contains(" intake "));
    let answers = [
        ("Which leaf drags lightly?", if intake { "0.20\r" } else { "0.30\r" }),
        ("Which engine?", "1"),
        ("Has the engine run since?", "1"),
        ("make safe", "1"),
        ("Cylinder-head temperature", "18\r"),
        ("stay loose?", "1"),
        ("Running hours now", "\r"),
        ("Aircraft total time", "\r"),
    ];
    let found = answers.iter().find(|(words, _)| text.contains(words));
    let keys = found.unwrap_or_else(|| panic!("nobody answers:\n{text}")).1;
    // A choice that follows a number has an entry, and is kept by Enter.
    let waits = keys.len() == 1 && text.lines().any(|line| line.trim() == ">");
    if waits { format!("{keys}\r") } else { keys.into() }
}

/// The line of the screen that says which valve is gauged.
pub fn gauging(text: &str) -> Option<&str> {
    text.lines().map(str::trim).find(|line| line.starts_with("Gauge "))
}

pub fn newest_journal(folder: &Path) -> PathBuf {
    let mut files: Vec<PathBuf> =
        fs::read_dir(folder.join("sessions")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.pop().unwrap()
}

pub fn kept(path: &Path) -> Vec<Kept> {
    journal::open(path, &parse).unwrap().entries
}

pub fn readings(path: &Path) -> Vec<(String, String)> {
    kept(path)
        .into_iter()
        .filter_map(|kept| match kept.entry {
            Entry::Reading(reading) => Some((reading.valve.to_string(), reading.typed)),
            _ => None,
        })
        .collect()
}

/// The invented workshop, made once for all tests of a run: it takes longer than to copy it. What a run
/// before has left is removed once no run can need it.
fn workshop() -> &'static Path {
    static MADE: LazyLock<PathBuf> = LazyLock::new(|| {
        let all = Path::new(env!("CARGO_TARGET_TMPDIR")).join("invented");
        fs::create_dir_all(&all).unwrap();
        for old in fs::read_dir(&all).unwrap().flatten() {
            let made = old.metadata().and_then(|of| of.modified()).ok();
            let age = made.and_then(|made| made.elapsed().ok()).unwrap_or_default();
            if age > Duration::from_secs(24 * 3600) {
                let _ = fs::remove_dir_all(old.path());
            }
        }
        let folder = tempfile::tempdir_in(&all).unwrap().keep();
        engines_of(&folder);
        folder
    });
    &MADE
}

/// Lists the engines of the invented workshop, which makes it where it is not there.
fn engines_of(folder: &Path) {
    let made = Command::new(PROGRAM)
        .args(["demo", "--", "engines", "--json"])
        .env_clear()
        .env("COWLSIDE_HOME", folder)
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
    let engines: serde_json::Value = serde_json::from_slice(&made.stdout).unwrap();
    assert_eq!(fields(&engines), ["engines"]);
}

/// A folder with the invented workshop in it; its open session is that of the flat six.
pub fn invented() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let from = workshop().join(".");
    assert!(Command::new("cp").arg("-a").arg(from).arg(folder.path()).status().unwrap().success());
    // What was noted of the files is of those that were copied.
    engines_of(folder.path());
    folder
}

#[test]
fn a_session_that_was_killed_goes_on_exactly_there_after_cautions_and_a_fresh_proof() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    let path = newest_journal(&folder.path().join("demo"));
    let before = readings(&path).len();
    // Three readings at the engine, then at the fourth question.
    let mut text = seat.text();
    let mut gauged = Vec::new();
    while gauged.len() < 3 || gauging(&text).is_none() {
        if let Some(title) = gauging(&text) {
            gauged.push(title.to_owned());
        }
        text = seat.answer();
    }
    let due = gauging(&text).unwrap().to_owned();
    seat.signal("KILL");
    seat.exit_code();
    let saved = readings(&path);
    assert_eq!(saved.len(), before + 3, "{saved:?}");
    for (title, (valve, _)) in gauged.iter().zip(&saved[before..]) {
        assert!(title.starts_with(&format!("Gauge {valve} ")), "{title}: {valve}");
    }

    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    let mut text = seat.settled();
    assert!(text.contains("OPEN: go on"), "{text}");
    let (mut cautions, mut proofs) = (0, 0);
    while gauging(&text).is_none() {
        cautions += usize::from(text.contains("make safe"));
        proofs += usize::from(text.contains(" expected)"));
        text = seat.answer();
    }
    assert_eq!(gauging(&text), Some(due.as_str()));
    assert!(cautions >= 4 && proofs == 1, "{cautions} cautions, {proofs} proofs");
    assert_eq!(readings(&path), saved);
    println!("{} readings acknowledged before the kill, all there", gauged.len());
}

/// The past and the comparison leave out a valve of this cylinder, or this valve, and say so.
fn left_out(seat: &mut Seat, of: &str) {
    const SAID: &str = "Left out until it is gauged at this stop: ";
    for key in ["h", "c"] {
        seat.press(key);
        seat.await_text(SAID);
        let shown = seat.settled();
        let valves = shown.lines().find_map(|line| line.trim().strip_prefix(SAID)).unwrap();
        assert!(valves.contains(of), "{shown}");
        for valve in valves.split(", ") {
            let valve: Vec<&str> = valve.split_whitespace().collect();
            let row = |line: &str| line.split_whitespace().take(2).eq(valve.iter().copied());
            assert!(!shown.lines().any(row), "{valve:?} is told: {shown}");
        }
        assert!(shown.lines().any(|line| line.starts_with("1 intake")), "nothing is told: {shown}");
        seat.press("\u{1b}");
        seat.await_that("the question again", |text| !text.contains(SAID));
        seat.settled();
    }
}

#[test]
fn no_earlier_figure_is_shown_while_a_reading_is_due() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    let mut text = seat.answer();
    while !text.contains(" expected)") {
        text = seat.answer();
    }
    // Its valves have figures of this session, too.
    assert!(text.contains("round 2 of 2, recheck"), "{text}");
    // On the way to the stop its valves are left out already.
    let line = text.lines().find(|line| line.contains("Then gauge ")).unwrap();
    let cylinder = line.split("Then gauge ").nth(1).unwrap().split(',').next().unwrap();
    left_out(&mut seat, &format!("{cylinder} "));
    text = seat.settled();
    while gauging(&text).is_none() {
        text = seat.answer();
    }
    let title = gauging(&text).unwrap().to_owned();
    let valve = title.split_whitespace().skip(1).take(2).collect::<Vec<_>>().join(" ");
    left_out(&mut seat, &valve);
    seat.press("r");
    seat.await_text("is to be gauged first: the record would tell");
    // Gone to the list of engines the same is left out, and no record is opened.
    for (digit, seen) in [("2", true), ("3", true), ("5", false)] {
        seat.press("\u{3}");
        seat.await_text("go to the list of engines");
        seat.press("3");
        seat.await_text("Which engine?");
        seat.press("*");
        seat.await_text("read the record of a service");
        seat.press(digit);
        if seen {
            seat.await_text("Left out until it is gauged at this stop:");
            seat.press("\u{1b}");
        } else {
            seat.await_text("the record of which service?");
            seat.press("\r");
            seat.await_text("is to be gauged first: the record would tell");
            seat.press("\u{1b}");
        }
        seat.await_text("Which engine?");
        seat.press("\r");
        seat.await_that("the session again", |text| !text.contains("Which engine?"));
        text = seat.settled();
        while gauging(&text).is_none() {
            text = seat.answer();
        }
    }
}

#[test]
fn a_terminal_that_goes_away_ends_the_program() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    seat.answer();
    let path = newest_journal(&folder.path().join("demo"));
    let before = fs::read(&path).unwrap();
    seat.close();
    assert_eq!(seat.exit_code(), 129);
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_request_to_end_gives_the_terminal_back_and_loses_nothing() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    seat.answer();
    seat.answer();
    let path = newest_journal(&folder.path().join("demo"));
    let before = kept(&path).len();
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    assert_eq!(seat.left_behind(), [""; 0]);
    assert_eq!(kept(&path).len(), before);
}

#[test]
fn ctrl_c_asks_before_it_leaves() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    let question = seat.answer();
    seat.press("\u{3}");
    seat.await_that("question", |text| *text != question);
    let asked = seat.settled();
    assert!(asked.to_lowercase().contains("leave"), "{asked}");
    seat.press("2");
    seat.await_that("same question again", |text| {
        text.contains(question.lines().rev().nth(1).unwrap_or(""))
    });
    seat.press("\u{3}");
    seat.await_text(asked.lines().find(|line| !line.trim().is_empty()).unwrap());
    seat.press("1");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(seat.left_behind(), [""; 0]);
}

#[test]
fn tiny_windows_are_survived_and_everything_is_back_when_it_grows() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    let list = seat.settled();
    for (rows, cols) in [(1, 1), (5, 20), (1, 200), (200, 1), (2, 3), (24, 80)] {
        seat.resize(rows, cols);
        sleep(Duration::from_millis(100));
        seat.press("\u{1b}[B");
        seat.press("\u{1b}[A");
        assert!(seat.child.try_wait().unwrap().is_none(), "{rows}x{cols}");
    }
    seat.await_that("list again", |text| text == list);
    seat.press("q");
    assert_eq!(seat.exit_code(), 0);
    for (rows, cols) in [(1, 1), (5, 20)] {
        let mut seat = Seat::take(folder.path(), &["demo"], (rows, cols));
        sleep(Duration::from_millis(500));
        seat.press("?");
        assert!(seat.child.try_wait().unwrap().is_none(), "{rows}x{cols}");
        seat.signal("TERM");
        assert_eq!(seat.exit_code(), 143);
    }
}

/// What a plain session says once an entry is kept, for each entry of a journal.
pub fn words_of(kept: &[Kept]) -> Vec<String> {
    let prefix = |n: usize| Session::replay(&kept[..n]).unwrap();
    (1..=kept.len())
        .map(|n| status::kept_words(&prefix(n), &[kept[n - 1].entry.clone()], &|_| None))
        .collect()
}

/// Tells whether everything that was said stands in the journal, in this order.
pub fn holds_all(said: &[String], words: &[String]) -> bool {
    let mut words = words.iter();
    said.iter().all(|line| words.any(|word| word == line))
}

/// Runs a plain session until so many things were saved, then kills it; returns what it said.
fn killed_after(folder: &Path, saved: usize) -> Vec<String> {
    let mut child = Command::new(PROGRAM)
        .args(["session", "Trainer", "--plain"])
        .env_clear()
        .env("COWLSIDE_HOME", folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let mut output = child.stdout.take().unwrap();
    let mut mechanic = Mechanic::default();
    let (mut seen, mut answered) = (String::new(), 0);
    let said = |seen: &str| -> Vec<String> {
        let whole = seen.rfind('\n').map_or("", |end| &seen[..end]);
        let lines = whole.lines().filter_map(|line| Some(&line[line.find("saved: ")?..]));
        lines.map(str::to_owned).collect()
    };
    let mut piece = [0; 4096];
    while said(&seen).len() < saved {
        let count = output.read(&mut piece).unwrap();
        assert!(count > 0, "ended early:\n{seen}");
        seen += &String::from_utf8_lossy(&piece[..count]);
        // A question is the one thing that is printed without the end of its line.
        if seen.ends_with(' ') && said(&seen).len() < saved {
            let answer = mechanic.answer(&seen[answered..]).unwrap();
            answered = seen.len();
            input.write_all(format!("{answer}\n").as_bytes()).unwrap();
        }
    }
    child.kill().unwrap();
    child.wait().unwrap();
    said(&seen)
}

#[test]
fn a_plain_session_killed_after_any_saved_line_has_lost_none_of_them() {
    const KILLS: usize = 40;
    let mut acknowledged = 0;
    for saved in 1..=KILLS {
        let folder = tempfile::tempdir().unwrap();
        let run = |words: &[&str]| {
            let mut command = Command::new(PROGRAM);
            command.args(words).env_clear().env("COWLSIDE_HOME", folder.path());
            command.stdin(Stdio::null()).output().unwrap()
        };
        let add = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"];
        assert!(run(&add).status.success());
        let said = killed_after(folder.path(), saved);
        assert_eq!(said.len(), saved);
        acknowledged += said.len();
        let path = newest_journal(folder.path());
        let words = words_of(&kept(&path));
        assert!(holds_all(&said, &words), "{said:#?}\n{words:#?}");
        let without: Vec<String> =
            words.iter().filter(|word| **word != said[saved - 1]).cloned().collect();
        assert!(!holds_all(&said, &without), "a lost entry would not be noticed");
        let gone_on = run(&["session", "Trainer", "--plain"]);
        assert!(gone_on.status.success(), "{gone_on:?}");
        assert!(gone_on.stdout.starts_with(b"Open: "), "{gone_on:?}");
        let again = kept(&path);
        assert!(matches!(again.last().unwrap().entry, Entry::Back(_)));
        assert_eq!(words_of(&again)[..words.len()], words);
    }
    println!("{KILLS} kills, {acknowledged} saved lines seen, none lost");
    assert!(acknowledged >= KILLS);
}
