//! The terminal in real life: taken over, and given back on every way out.
//!
//! The program under test is this very test binary, started again in a terminal of its own with
//! `COWLSIDE_TEST_SCREENS` set; then `screens_for_the_other_tests` shows the stand-in session.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "helpers of tests")]

use crate::stand_in::{StandIn, app, at};
use cowlside::tui::{self, Ended, app::Carried, app::Effect, terminal};
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const CHILD: &str = "COWLSIDE_TEST_SCREENS";
const PATIENCE: Duration = Duration::from_secs(60);

/// Shows the screens where another test asked for it; alone it has nothing to do.
#[test]
fn screens_for_the_other_tests() {
    if std::env::var_os(CHILD).is_none() {
        return;
    }
    if let Err(refusal) = terminal::usable() {
        println!("error: {refusal}\nhint: {}", refusal.hint());
        std::process::exit(2);
    }
    std::process::exit(terminal::answering_for_faults(stand_in).into());
}

fn stand_in() -> u8 {
    let job = StandIn { open: vec!["nut slack: 3 exhaust".into()], ..StandIn::default() };
    let ended = tui::run(
        (app(Some(job)), None),
        std::sync::Arc::new(tui::keeping::NothingToKeep),
        || at(1_000_000),
        |effect: &Effect, _| match effect {
            // A write that takes its time: a signal must not cut it in two.
            Effect::Keep(_) => {
                std::thread::sleep(Duration::from_millis(150));
                println!("\x1b]kept\x07");
                Ok(Carried::Done)
            }
            _ => Ok(Carried::Done),
        },
    );
    match ended {
        Ok(Ended::Left) => 0,
        Ok(Ended::TerminalGone) => 129,
        Ok(Ended::NotBegun) | Err(_) => 1,
    }
}

/// The child in its terminal, and everything it wrote.
struct Seat {
    master: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    child: Box<dyn Child + Send + Sync>,
    written: Arc<Mutex<Vec<u8>>>,
    /// Lets go of this test's last hold on the terminal at the next thing written.
    closing: Arc<AtomicBool>,
    before: String,
}

impl Seat {
    fn take(environment: &[(&str, &str)]) -> Seat {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
        command.args([
            "--exact",
            "terminal::screens_for_the_other_tests",
            "--nocapture",
            "--test-threads=1",
        ]);
        command.env("TERM", "xterm-256color");
        command.env(CHILD, "1");
        command.env_remove("NO_COLOR");
        for (name, value) in environment {
            command.env(name, value);
        }
        let before = termios(&*pair.master);
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let written = Arc::new(Mutex::new(Vec::new()));
        let mut output = pair.master.try_clone_reader().unwrap();
        let keep = Arc::clone(&written);
        let closing = Arc::new(AtomicBool::new(false));
        let close = Arc::clone(&closing);
        std::thread::spawn(move || {
            let mut piece = [0; 4096];
            while let Ok(count @ 1..) = output.read(&mut piece) {
                keep.lock().unwrap().extend_from_slice(&piece[..count]);
                if close.load(Ordering::SeqCst) {
                    break;
                }
            }
        });
        let keys = pair.master.take_writer().unwrap();
        Seat { master: Some(pair.master), keys: Some(keys), child, written, closing, before }
    }

    fn seated() -> Seat {
        let mut seat = Seat::take(&[]);
        seat.await_text("How many are loose?");
        seat
    }

    fn screen(&self) -> vt100::Parser {
        let mut parser = vt100::Parser::new(24.try_into().unwrap(), 80.try_into().unwrap(), 0);
        parser.process(&self.written.lock().unwrap());
        parser
    }

    fn await_text(&mut self, wanted: &str) {
        self.await_that(wanted, |seat| seat.screen().screen().contents().contains(wanted));
    }

    fn await_that(&mut self, what: &str, holds: impl Fn(&mut Seat) -> bool) {
        let since = Instant::now();
        while !holds(self) {
            let seen = self.screen().screen().contents();
            assert!(since.elapsed() < PATIENCE, "no {what}; the screen is:\n{seen}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn press(&mut self, keys: &[u8]) {
        self.keys.as_mut().unwrap().write_all(keys).unwrap();
    }

    fn signal(&self, name: &str) {
        let process = self.child.process_id().unwrap().to_string();
        assert!(Command::new("kill").args(["-s", name, &process]).status().unwrap().success());
    }

    fn state(&self) -> char {
        let process = self.child.process_id().unwrap();
        let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap();
        stat.rsplit(") ").next().unwrap().chars().next().unwrap()
    }

    fn exit_code(&mut self) -> u32 {
        let since = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            if since.elapsed() > PATIENCE {
                self.child.kill().unwrap();
                panic!("it never ended");
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn assert_given_back(&mut self) {
        // What was written last may still be on its way.
        self.await_that("screen given back", |seat| !seat.screen().screen().alternate_screen());
        let parser = self.screen();
        assert!(!parser.screen().hide_cursor(), "the cursor stays hidden");
        assert!(!parser.screen().bracketed_paste(), "pastes stay marked");
        assert_eq!(termios(&**self.master.as_ref().unwrap()), self.before);
    }

    fn assert_taken(&self) {
        let parser = self.screen();
        let screen = parser.screen();
        assert!(screen.alternate_screen() && screen.hide_cursor() && screen.bracketed_paste());
        assert_ne!(termios(&**self.master.as_ref().unwrap()), self.before);
    }
}

fn termios(master: &dyn MasterPty) -> String {
    format!("{:?}", master.get_termios().unwrap())
}

#[test]
fn leaving_gives_the_terminal_back() {
    let mut seat = Seat::seated();
    seat.assert_taken();
    seat.press(b"q");
    seat.await_text("Leave the program?");
    seat.press(b"1");
    assert_eq!(seat.exit_code(), 0);
    seat.assert_given_back();
}

#[test]
fn a_signal_gives_the_terminal_back_and_tells_its_number() {
    for (name, code) in [("TERM", 143), ("HUP", 129), ("INT", 130), ("QUIT", 131)] {
        let mut seat = Seat::seated();
        seat.signal(name);
        assert_eq!(seat.exit_code(), code, "{name}");
        seat.assert_given_back();
    }
}

#[test]
fn a_signal_lets_a_write_in_progress_finish() {
    let mut seat = Seat::seated();
    seat.press(b"2");
    std::thread::sleep(Duration::from_millis(50));
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    seat.assert_given_back();
    let written = seat.written.lock().unwrap().clone();
    assert!(
        String::from_utf8_lossy(&written).contains("\x1b]kept\x07"),
        "the write was cut in two"
    );
}

#[test]
fn a_panic_gives_the_terminal_back_and_says_what_to_do() {
    let mut seat = Seat::seated();
    seat.press(b"*");
    seat.await_text("called away");
    seat.press(b"3");
    std::thread::sleep(Duration::from_millis(200));
    seat.press(b"\r");
    assert_eq!(seat.exit_code(), 1);
    seat.assert_given_back();
    let said = seat.screen().screen().contents();
    assert!(said.contains("on purpose") && said.contains("hint:"), "{said}");
}

#[test]
fn a_stop_gives_the_terminal_back_and_going_on_paints_everything_again() {
    let mut seat = Seat::seated();
    for _ in 0..2 {
        seat.signal("TSTP");
        seat.await_that("stop", |seat| seat.state() == 'T');
        seat.assert_given_back();
        seat.written.lock().unwrap().extend_from_slice(b"\x1b[2Jthe shell was here");
        seat.signal("CONT");
        seat.await_text("How many are loose?");
        seat.assert_taken();
    }
    seat.press(b"2");
    seat.await_text("Which leaf drags?");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    seat.assert_given_back();
}

#[test]
fn going_on_after_a_stop_that_could_not_be_caught_takes_the_terminal_again() {
    let mut seat = Seat::seated();
    seat.signal("STOP");
    seat.await_that("stop", |seat| seat.state() == 'T');
    seat.written.lock().unwrap().extend_from_slice(b"\x1b[?1049l\x1b[?25hthe shell was here");
    seat.signal("CONT");
    seat.await_text("How many are loose?");
    seat.assert_taken();
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    seat.assert_given_back();
}

#[test]
fn a_terminal_that_goes_away_ends_the_program() {
    let mut seat = Seat::seated();
    seat.master = None;
    seat.closing.store(true, Ordering::SeqCst);
    seat.press(b"?");
    let since = Instant::now();
    seat.keys = None;
    assert_eq!(seat.exit_code(), 129);
    assert!(since.elapsed() < Duration::from_secs(2));
}

#[test]
fn a_dumb_terminal_is_refused_without_a_single_control_sequence() {
    for term in ["dumb", ""] {
        let mut seat = Seat::take(&[("TERM", term)]);
        assert_eq!(seat.exit_code(), 2);
        seat.await_text("--plain");
        assert!(!seat.written.lock().unwrap().contains(&0x1b));
    }
}

#[test]
fn keys_cut_in_pieces_and_answers_to_others_change_no_reading() {
    let mut seat = Seat::seated();
    seat.press(b"2");
    seat.await_text("Which leaf drags?");
    seat.press(b"\x1b]11;rgb:1111/2222/3333\x1b\\");
    std::thread::sleep(Duration::from_millis(300));
    seat.press(b"\x1b");
    std::thread::sleep(Duration::from_millis(50));
    seat.press(b"[A");
    // A figure is pasted whole or not at all, and its line end is no Enter.
    seat.press(b"\x1b[200~0.15\nq\x1b[201~");
    seat.await_text("nothing of it was taken");
    seat.press(b"\x1b[200~0.15\n\x1b[201~");
    seat.await_text("> 0.15");
    seat.press(b"\x7f\x7f\x7f\x7f6\r");
    seat.await_text("kept: 6");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn colours_are_gone_with_no_color_and_reverse_is_not() {
    let mut seat = Seat::take(&[("NO_COLOR", "1")]);
    seat.await_text("How many are loose?");
    let parser = seat.screen();
    let cell = parser.screen().cell(0, 0).unwrap();
    assert!(cell.inverse() && cell.bold(), "the line of open items");
    assert_eq!((cell.fgcolor(), cell.bgcolor()), (vt100::Color::Default, vt100::Color::Default));
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn a_refusal_rings_the_bell_once_and_not_when_it_is_turned_off() {
    const BELL: u8 = 7;
    let mut seat = Seat::seated();
    let rung =
        |seat: &Seat| seat.written.lock().unwrap().iter().filter(|byte| **byte == BELL).count();
    assert_eq!(rung(&seat), 0);
    seat.press(b"7");
    seat.await_that("bell", |seat| rung(seat) == 1);
    seat.press(b"b");
    seat.await_text("bell off");
    seat.press(b"7");
    seat.await_text("7 is none of the answers");
    assert_eq!(rung(&seat), 1);
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn every_frame_is_one_synchronised_update() {
    let mut seat = Seat::seated();
    seat.press(b"2");
    seat.await_text("Which leaf drags?");
    seat.signal("TERM");
    seat.exit_code();
    let written = seat.written.lock().unwrap().clone();
    let count =
        |wanted: &[u8]| written.windows(wanted.len()).filter(|seen| seen == &wanted).count();
    // Between the two questions it may be told that the write takes its time.
    assert!((2..=3).contains(&count(b"\x1b[?2026h")));
    assert!(count(b"\x1b[?2026l") >= 2);
    for query in [&b"\x1b[6n"[..], b"\x1b[c", b"\x1b]11;?", b"\x1b[?u"] {
        assert_eq!(count(query), 0, "the terminal is asked {query:?}");
    }
}

const FAULT_BESIDE: &str = "COWLSIDE_TEST_FAULT_BESIDE";

/// A fault in a thread beside the screens where another test asked for it; alone it has nothing to do.
#[test]
fn a_fault_beside_for_the_other_test() {
    let Some(how) = std::env::var_os(FAULT_BESIDE) else { return };
    let work = move || {
        let fault = || -> u8 { panic!("on purpose") };
        if how == "caught" {
            terminal::caught(fault).map_err(|said| said.len())
        } else {
            Ok(fault())
        }
    };
    let program = || match std::thread::spawn(work).join() {
        Ok(Err(10)) => 7,
        _ => 8,
    };
    std::process::exit(terminal::answering_for_faults(program).into());
}

#[test]
fn a_fault_of_something_beside_the_screens_that_is_told_elsewhere_ends_nothing() {
    let fault = |how: &str| {
        let this = ["--exact", "terminal::a_fault_beside_for_the_other_test", "--nocapture"];
        let mut child = Command::new(std::env::current_exe().unwrap());
        let output = child.args(this).env(FAULT_BESIDE, how).output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        (output.status.code(), said.contains("a fault of the program itself"))
    };
    assert_eq!(fault("caught"), (Some(7), false));
    // The control: the screens would go on without that thread.
    assert_eq!(fault("not caught"), (Some(1), true));
}
