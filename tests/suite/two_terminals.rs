//! Two terminals on one session: the second only looks on, follows, and takes over once it is free;
//! and sessions that can only be looked at, because nothing can be written where they lie.

#![cfg(unix)]

use crate::plain_seat::Plain;
use crate::real::{invented, kept, newest_journal};
use crate::seat::{PROGRAM, Seat};
use std::io::Write;
use std::path::Path;

fn bytes(folder: &Path) -> Vec<u8> {
    std::fs::read(newest_journal(folder)).unwrap()
}

/// Waits until something was added to the session's file; what was there stands unchanged.
#[track_caller]
fn assert_gone_on(seat: &Seat, folder: &Path, before: &[u8]) {
    seat.await_that("longer file", |_| bytes(folder).len() > before.len());
    assert!(bytes(folder).starts_with(before), "what was there is changed");
}

#[test]
fn the_second_terminal_follows_writes_nothing_and_takes_over_when_the_first_was_killed() {
    let folder = invented();
    let demo = folder.path().join("demo");
    let mut first = Seat::take(folder.path(), &["demo"], (24, 80));
    first.await_text("Which engine?");
    first.answer();
    let mut second = Seat::take(folder.path(), &["demo"], (24, 80));
    second.await_text("Which engine?");
    second.press("1");
    second.await_text("ONLY LOOKING: open in another terminal (process ");
    // No key of the second is an answer.
    let before = bytes(&demo);
    for key in ["2", "6", "\r", "-", "u", "g"] {
        second.press(key);
    }
    second.await_text("not yet: open in another terminal");
    assert_eq!(bytes(&demo), before);
    // Only what works is named.
    assert!(!second.text().contains("g go on here"), "{}", second.text());
    // What the first keeps is seen in the second.
    let count = |text: &str| text.matches("Ignition").count();
    let had = count(&second.text());
    first.answer();
    first.answer();
    second.await_that("what the first kept", |text| count(text) > had);
    first.signal("KILL");
    first.exit_code();
    second.await_text("ONLY LOOKING: it has ended in the other terminal");
    second.await_text("g go on here");
    let killed = bytes(&demo);
    assert!(killed.len() > before.len() && killed.starts_with(&before));
    // To go on is the mechanic's own deed: until then the second writes nothing.
    second.settled();
    assert_eq!(bytes(&demo), killed);
    second.press("g");
    second.await_that("session taken over", |text| !text.contains("ONLY LOOKING"));
    // Goes on there, cautions first, in the same file.
    second.await_text("make safe");
    second.answer();
    assert_gone_on(&second, &demo, &killed);
}

#[test]
fn a_second_plain_session_follows_and_takes_over_when_it_is_free() {
    let folder = tempfile::tempdir().unwrap();
    let mut first = Plain::begin(folder.path(), &[]);
    let before = bytes(folder.path());
    let mut second = Seat::take(folder.path(), &["session", "Trainer 0", "--plain"], (200, 120));
    second.await_text("ONLY LOOKING: open in another terminal (process ");
    // Nobody has read what the second line of a paste would answer.
    second.send(b"2\ngo on\n");
    second.await_text("! of what came at once, one line is taken");
    let shown = second.await_text("! nothing is taken here: go on, or q");
    assert!(!shown.contains("! not yet"), "{shown}");
    second.send(b"go on\n");
    second.await_text("! not yet: open in another terminal");
    assert_eq!(bytes(folder.path()), before);
    // Each line that the first calls saved is told in the second, until a valve is read.
    let mut followed = 0;
    while !first.seen.contains("saved: 1 intake 6") {
        let told = first.saved().len();
        first.answer();
        for saved in &first.saved()[told..] {
            let words = saved.strip_prefix("saved: ").unwrap();
            let reading = words.starts_with("1 intake 6");
            second.await_text(if reading { "1 intake, found: 6" } else { words });
            followed += 1;
        }
    }
    println!("{followed} lines of the first told in the second");
    assert!(followed > 10, "{followed}");
    drop(first.input.take());
    assert!(first.child.wait().unwrap().success());
    second.await_text("ONLY LOOKING: it has ended in the other terminal; go on goes on here");
    let ended = bytes(folder.path());
    assert!(ended.len() > before.len() && ended.starts_with(&before));
    second.send(b"go on\n");
    second.await_text("You were away: make safe again");
    second.send(b"1\n");
    second.await_text("saved: Ignition: leads off the plugs");
    assert_gone_on(&second, folder.path(), &ended);
}

const STRANGER: &str =
    "another program has written to this session's file: from here on it is kept in ";
const ALERT: &str = "ANOTHER PROGRAM WRITES TO THIS SESSION: use one terminal only";

/// What is on the screen, its lines joined.
fn joined(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn append_a_foreign_line(path: &Path) {
    let mut file = std::fs::File::options().append(true).open(path).unwrap();
    file.write_all(b"{\"x\":1}\n").unwrap();
}

/// Waits until a file has more entries than before and nothing that was answered is on its way to the disk:
/// the screen says so of what took longer than is felt. Returns how many it has.
#[track_caller]
fn await_saved(seat: &Seat, path: &Path, before: usize) -> usize {
    seat.await_that("all saved", |text| {
        path.exists() && kept(path).len() > before && !text.contains("saving... ")
    });
    kept(path).len()
}

#[test]
fn what_another_program_writes_to_the_open_session_is_told_once_and_loses_nothing() {
    for cells in [(24, 80), (12, 40)] {
        let folder = invented();
        let demo = folder.path().join("demo");
        let mut seat = Seat::take(folder.path(), &["demo"], cells);
        seat.await_text("Which engine?");
        let first = newest_journal(&demo);
        let before = kept(&first).len();
        seat.answer();
        let begun = await_saved(&seat, &first, before);
        seat.answer();
        // The next that is written to the file is what is written here.
        let ours = await_saved(&seat, &first, begun);
        assert!(!joined(&seat.text()).contains("another program"), "nobody else wrote");
        append_a_foreign_line(&first);
        let foreign = std::fs::read(&first).unwrap();
        seat.answer();
        let second = first.with_extension("c2.jsonl");
        let name = second.file_name().unwrap().to_str().unwrap();
        seat.await_that("alert", |text| joined(text).contains(ALERT));
        if cells == (24, 80) {
            let path = second.to_str().unwrap();
            let told = format!("{STRANGER}{path};").split_whitespace().collect::<String>();
            seat.await_that("new file's path", |text| {
                text.split_whitespace().collect::<String>().contains(&told)
            });
            assert!(path.ends_with(name));
        }
        assert_eq!(await_saved(&seat, &second, ours), ours + 1);
        // A key that answers nothing does not take it away.
        seat.press(b"\x1b[20~");
        assert!(joined(&seat.settled()).contains(ALERT), "{cells:?}: gone:\n{}", seat.text());
        assert_eq!(std::fs::read(&first).unwrap(), foreign, "what is not ours is left alone");
        assert_eq!((kept(&first).len(), kept(&second).len()), (ours, ours + 1));
        // It was read by whoever takes a second over it.
        std::thread::sleep(std::time::Duration::from_secs(1));
        seat.answer();
        assert_eq!(await_saved(&seat, &second, ours + 1), ours + 2);
        let next = joined(&seat.text());
        assert!(!next.contains("another program") && !next.contains(ALERT), "told at each entry");
    }
}

#[test]
fn two_terminals_that_both_write_because_the_lock_was_removed_are_told() {
    let folder = invented();
    let demo = folder.path().join("demo");
    let mut first = Seat::take(folder.path(), &["demo"], (24, 80));
    first.await_text("Which engine?");
    first.answer();
    first.answer();
    std::fs::remove_dir_all(demo.join("locks")).unwrap();
    let file = newest_journal(&demo);
    let before = std::fs::read(&file).unwrap().len();
    let mut second = Seat::take(folder.path(), &["demo"], (24, 80));
    second.await_text("Which engine?");
    second.press("1");
    second.await_that("second writer", |_| std::fs::read(&file).unwrap().len() > before);
    let told = joined(&first.answer());
    assert!(told.contains(STRANGER), "{}", first.text());
    assert!(told.contains("use one terminal only"), "{}", first.text());
}

#[test]
fn a_plain_session_tells_once_that_another_program_has_written_to_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    append_a_foreign_line(&path);
    for _ in 0..3 {
        plain.answer();
    }
    let saved = plain.saved().len();
    let (_, said) = plain.end_by("TERM");
    let second = path.with_extension("c2.jsonl");
    let second = second.to_str().unwrap();
    assert_eq!(said.matches(&format!("{STRANGER}{second};")).count(), 1, "{said}");
    assert!(saved > 1, "{}", plain.seen);
}

#[test]
fn who_begins_a_service_while_another_terminal_began_one_of_the_same_engine_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "Trainer 0", "--profile", "flat-four", "--hours", "412.6"];
    let mut command = std::process::Command::new(PROGRAM);
    let added = command.args(add).env_clear().env("COWLSIDE_HOME", folder.path()).output();
    assert!(added.unwrap().status.success());
    // All three are asked before any of them has begun.
    let open = || Plain::open_under(folder.path(), "Trainer 0", &[], &[]);
    let (mut first, mut second) = (open(), open());
    let mut third = Seat::take(folder.path(), &["session", "Trainer 0"], (24, 80));
    third.await_text("Running hours now");
    for plain in [&mut first, &mut second] {
        while !plain.seen.contains("saved: ") {
            plain.answer();
        }
    }
    let told = |text: &str| joined(text).contains("another session of this engine, begun ");
    third.press("\r");
    third.await_text("Aircraft total time");
    third.press("\r");
    third.await_text("Name or initials:");
    assert!(told(&third.text()), "{}", third.text());
    assert!(told(&second.end_by("TERM").1), "{}", second.seen);
    let first = first.end_by("TERM").1;
    assert!(!told(&first), "{first}");
}
