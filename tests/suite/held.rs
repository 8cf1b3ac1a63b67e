//! The same key tapped counts as often as it is tapped, held down it counts once: on the built program,
//! by the times at which a terminal sends it.
#![cfg(unix)]

use crate::real::invented;
use crate::seat::{PROGRAM, Seat, said};
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// At the first of eight cautions, each of which `1` answers.
fn cautions() -> (tempfile::TempDir, Seat) {
    let folder = invented();
    let mut seat = Seat::of(folder.path(), &[PROGRAM, "demo"], (24, 80));
    seat.await_text("Which engine?");
    for sign in ["Has the engine run", "make safe · 8 to answer"] {
        seat.press("1");
        seat.await_text(sign);
        seat.settled();
    }
    (folder, seat)
}

/// Sends `1` after each of these times; returns the longest that it really took longer.
fn send(seat: &mut Seat, after_ms: &[u64]) -> Duration {
    let mut late = Duration::ZERO;
    let mut last = Instant::now();
    for ms in after_ms {
        sleep(Duration::from_millis(*ms));
        seat.send(b"1");
        late = late.max(last.elapsed().saturating_sub(Duration::from_millis(*ms)));
        last = Instant::now();
    }
    late
}

#[test]
fn what_is_typed_before_the_first_frame_answers_nothing() {
    let folder = invented();
    let go = folder.path().join("go");
    let wait = "while [ ! -e \"$COWLSIDE_HOME/go\" ]; do sleep 0.05; done";
    let late = format!("{wait}; exec \"$0\" demo session \"Yellow tug\"");
    let mut seat = Seat::of(folder.path(), &["sh", "-c", &late, PROGRAM], (24, 80));
    // Neither an answer, nor the key that leaves and what would confirm it.
    seat.send(b"1q11");
    sleep(Duration::from_millis(300));
    std::fs::write(go, "").unwrap();
    let asked = "Has the engine run since?";
    seat.await_text(asked);
    sleep(Duration::from_secs(1));
    let text = seat.settled();
    assert!(text.contains(asked), "{text}");
    assert!(text.contains("keys typed before this was shown were not taken"), "{text}");
    // The control: the same key answers once it was asked.
    seat.press("1");
    seat.await_that("answer", |text| !text.contains(asked));
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn a_digit_tapped_again_and_again_answers_as_often() {
    let (_folder, mut seat) = cautions();
    send(&mut seat, &[900, 600, 300, 690, 450]);
    let text = seat.await_text("make safe · 3 to answer");
    assert!(!said(&text).contains("not counted"), "{text}");
}

#[test]
fn a_digit_held_down_answers_once_and_that_is_said() {
    // The first delay and the pace of: a window system, a slow one, a console, Windows, at their usual.
    for (first, pace) in [(660, 40), (250, 33), (500, 92), (250, 92), (1_000, 33)] {
        let repeats = std::iter::repeat_n(pace, 12);
        let times: Vec<u64> = [900, first].into_iter().chain(repeats).collect();
        for tried in 0.. {
            let (_folder, mut seat) = cautions();
            // A machine that is busy with other tests presses like no key that repeats, or lets the
            // program hear it late: then it is pressed anew.
            let late = send(&mut seat, &times) >= Duration::from_millis(20);
            let text = seat.settled();
            let once = text.contains("make safe · 7 to answer");
            if once && said(&text).contains("1 not counted: too soon, or held down") {
                send(&mut seat, &[500]);
                seat.await_text("make safe · 6 to answer");
                break;
            }
            assert!(late && tried < 8 || tried < 2, "{first} ms, then {pace}: {text}");
        }
    }
}

/// A plain session at its first question, which a shell goes on from: it tells what it reads then.
fn plain() -> (tempfile::TempDir, Seat) {
    let home = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "T", "--profile", "flat-four", "--hours", "500"];
    let added = Command::new(PROGRAM).args(add).env("COWLSIDE_HOME", home.path()).status();
    assert!(added.unwrap().success());
    let then = "\"$0\" session T --plain; read got; echo \"the shell got <$got>\"";
    let seat = Seat::of(home.path(), &["sh", "-c", then, PROGRAM], (50, 100));
    seat.await_text("Running hours now");
    (home, seat)
}

#[test]
fn enter_held_down_answers_one_plain_question() {
    let (_home, mut seat) = plain();
    seat.press("\n");
    seat.await_text("total time");
    // As where no window system is: the slowest that terminals repeat.
    sleep(Duration::from_millis(400));
    for _ in 0..12 {
        seat.send(b"\n");
        sleep(Duration::from_millis(90));
    }
    sleep(Duration::from_millis(300));
    let text = seat.settled();
    assert!(text.contains("! an Enter held down, or so soon, is not taken"), "{text}");
    assert!(!text.contains("Name or initials"), "{text}");
    // The control: let go and pressed once it answers.
    seat.press("\n");
    seat.await_text("Name or initials");
}

#[test]
fn what_is_left_of_a_paste_reaches_neither_the_next_question_nor_the_shell() {
    let (_home, mut seat) = plain();
    seat.send(b"500\n7");
    seat.await_text("total time");
    seat.await_text("! what was typed before this question was asked is not taken");
    seat.press("1200\n");
    let text = seat.await_text("Name or initials");
    assert!(!text.contains("71200"), "{text}");
    seat.settled();
    seat.send(b":q\nrest of it");
    seat.settled();
    sleep(Duration::from_millis(200));
    seat.send(b"typed\n");
    seat.await_text("the shell got <typed>");
}
