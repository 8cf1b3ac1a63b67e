//! Two terminals on one session: the second only looks on, follows, and takes over once it is free.

use crate::real::{Seat, invented, newest_journal};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");

fn bytes(folder: &Path) -> Vec<u8> {
    std::fs::read(newest_journal(&folder.join("demo"))).unwrap()
}

#[test]
fn the_second_terminal_follows_writes_nothing_and_takes_over_when_the_first_was_killed() {
    let folder = invented();
    let mut first = Seat::take(folder.path(), &["demo"], (24, 80));
    first.await_text("Which engine?");
    first.answer();
    let mut second = Seat::take(folder.path(), &["demo"], (24, 80));
    second.await_text("Which engine?");
    second.press("1");
    second.await_text("ONLY LOOKING: open in another terminal (process ");
    // No key of the second is an answer.
    let before = bytes(folder.path());
    for key in ["2", "6", "\r", "-", "u", "g"] {
        second.press(key);
    }
    second.await_text("not yet: open in another terminal");
    assert_eq!(bytes(folder.path()), before);
    // What the first keeps is seen in the second.
    let count = |text: &str| text.matches("Ignition").count();
    let had = count(&second.text());
    first.answer();
    first.answer();
    second.await_that("what the first kept", |text| count(text) > had);
    first.signal("KILL");
    second.await_text("ONLY LOOKING: it has ended in the other terminal");
    second.press("g");
    // Goes on there, cautions first.
    second.await_text("make safe");
    assert!(bytes(folder.path()).len() > before.len());
    second.answer();
}

#[test]
fn a_second_plain_session_follows_and_takes_over_when_it_is_free() {
    let folder = invented();
    let mut first = Seat::take(folder.path(), &["demo"], (24, 80));
    first.await_text("Which engine?");
    first.answer();
    let before = bytes(folder.path());
    let mut child = Command::new(PROGRAM)
        .args(["demo", "--", "session", "Yellow tug", "--plain"])
        .env_clear()
        .env("COWLSIDE_HOME", folder.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(b"2\ngo on\nq\n").unwrap();
    let said = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    assert!(said.starts_with("ONLY LOOKING: open in another terminal (process "), "{said}");
    assert!(said.contains("! nothing is taken here: go on, or q"), "{said}");
    assert!(said.contains("! not yet: open in another terminal"), "{said}");
    assert_eq!(bytes(folder.path()), before);
}
