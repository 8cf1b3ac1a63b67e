//! Every way out of the built program, on every main screen: the terminal is as it was, with the
//! right exit code. `COWLSIDE_WAYS=20` tries each way on each screen twenty times.

#![cfg(unix)]

use crate::real::{gauging, invented};
use crate::seat::{BEGIN_FRAME, PROGRAM, Seat, emulate, text_of};
use portable_pty::{PtySize, native_pty_system};
use std::fs::{File, OpenOptions};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

/// Much longer than the second that is promised: the machine may be busy with everything else.
const SOON: Duration = Duration::from_secs(30);

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown {
    Engines,
    Help,
    Past,
    Question,
    HalfText,
    Notice,
    More,
    Reading,
    HalfReading,
}

pub const SCREENS: [Shown; 9] = [
    Shown::Engines,
    Shown::Help,
    Shown::Past,
    Shown::Question,
    Shown::HalfText,
    Shown::Notice,
    Shown::More,
    Shown::Reading,
    Shown::HalfReading,
];

/// Starts the program and goes to a screen.
pub fn at(screen: Shown, folder: &Path, words: &[&str]) -> Seat {
    let mut seat = Seat::of(folder, words, (24, 80));
    seat.await_text("Which engine?");
    go_to(&mut seat, screen);
    seat
}

fn go_to(seat: &mut Seat, screen: Shown) {
    let mut press = |keys: &[&str], sign: &str| {
        let before = seat.text();
        for key in keys {
            seat.press(key.as_bytes());
        }
        seat.await_that(sign, |text| text != before && text.contains(sign));
        seat.settled();
    };
    // While a busy machine opens it the list is still there, and keys answer nothing.
    let session = "Has the engine run since?";
    match screen {
        Shown::Engines => {}
        Shown::Help => press(&["?"], "Keys here"),
        Shown::Past => {
            press(&["*"], "history of each valve");
            press(&["2"], " of ");
        }
        Shown::Question => press(&["1"], session),
        Shown::HalfText => {
            press(&["1"], session);
            press(&["n"], "which cylinder");
            press(&["0\r"], "What kind?");
            press(&["3\r"], "In words:");
            press(&["half a word"], "half a word");
        }
        Shown::Notice => {
            press(&["1"], session);
            press(&["a"], "I am back");
        }
        Shown::More => {
            press(&["1"], session);
            press(&["*"], "What else can be done");
        }
        Shown::Reading | Shown::HalfReading => {
            let mut text = seat.settled();
            while gauging(&text).is_none() {
                text = seat.answer();
            }
            if screen == Shown::HalfReading {
                seat.press(b"0.1");
                seat.await_text("> 0.1");
            }
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    CtrlC,
    Signal(&'static str, u32),
    StoppedOutside(&'static str),
    Closed,
    ClosedHangUpIgnored,
    /// Ended, and told to go on in the same breath, as a service manager or a shell's `kill` does.
    EndedAndToldToGoOn,
    Stuck,
    /// Stuck, and stopped or told to go on before it is ended.
    StuckAnd(&'static str),
}

const WAYS: [Way; 13] = [
    Way::CtrlC,
    Way::Signal("TERM", 143),
    Way::Signal("HUP", 129),
    Way::Signal("INT", 130),
    Way::Signal("QUIT", 131),
    Way::StoppedOutside("STOP"),
    Way::StoppedOutside("TSTP"),
    Way::Closed,
    Way::ClosedHangUpIgnored,
    Way::EndedAndToldToGoOn,
    Way::Stuck,
    Way::StuckAnd("CONT"),
    Way::StuckAnd("TSTP"),
];

/// Leaves a terminal that takes no more text, after it was sent another signal.
fn leave_stuck(seat: &mut Seat, signal: Option<&str>, told: &str) -> Duration {
    let written = seat.bytes().len();
    seat.deaf.store(true, Ordering::SeqCst);
    for _ in 0..40 {
        seat.send(b"\x0c");
        std::thread::sleep(Duration::from_millis(20));
    }
    if let Some(name) = signal {
        seat.signal(name);
        std::thread::sleep(Duration::from_millis(100));
    }
    let since = Instant::now();
    seat.signal("TERM");
    let code = seat.exit_code();
    let took = since.elapsed();
    seat.deaf.store(false, Ordering::SeqCst);
    assert_eq!(code, 143, "{told}");
    assert!(took < SOON, "{told} took {took:?}");
    seat.await_that("what was written last", |_| seat.bytes().len() > written);
    // What waited in the terminal is read piece by piece.
    seat.await_that(told, |_| seat.left_behind().is_empty());
    took
}

/// Leaves in this way and returns how long the end took.
fn leave(way: Way, screen: Shown, folder: &Path) -> Duration {
    let told = format!("{way:?} on {screen:?}");
    let deaf_to_hang_up = ["sh", "-c", "trap '' HUP; exec \"$0\" demo", PROGRAM];
    let plain = [PROGRAM, "demo"];
    let words = if way == Way::ClosedHangUpIgnored { &deaf_to_hang_up[..] } else { &plain };
    let mut seat = at(screen, folder, words);
    let since;
    let code = match way {
        Way::CtrlC => {
            if screen == Shown::Notice {
                // The key that it names leaves the notice.
                seat.press(b"\r");
                seat.await_that("question again", |text| !text.contains("I am back"));
            }
            seat.press(b"\x03");
            seat.await_text("Leave the program?");
            since = Instant::now();
            seat.send(b"\x03");
            0
        }
        Way::Signal(name, code) => {
            since = Instant::now();
            seat.signal(name);
            code
        }
        Way::StoppedOutside(name) => {
            let before = seat.settled();
            seat.signal(name);
            seat.await_state('T');
            let written = seat.bytes().len();
            seat.signal("CONT");
            seat.await_that("whole frame", |_| {
                let after = &seat.bytes()[written..];
                let again = text_of(&emulate((24, 80), after));
                after.windows(BEGIN_FRAME.len()).any(|seen| seen == BEGIN_FRAME) && again == before
            });
            since = Instant::now();
            seat.signal("TERM");
            143
        }
        Way::Closed | Way::ClosedHangUpIgnored => {
            since = Instant::now();
            seat.close();
            129
        }
        Way::EndedAndToldToGoOn => {
            since = Instant::now();
            seat.signals(&["TERM", "CONT"]);
            143
        }
        Way::Stuck => return leave_stuck(&mut seat, None, &told),
        Way::StuckAnd(signal) => return leave_stuck(&mut seat, Some(signal), &told),
    };
    assert_eq!(seat.exit_code(), code, "{told}");
    let took = since.elapsed();
    assert!(took < SOON, "{told} took {took:?}");
    if seat.master.is_some() {
        assert_eq!(seat.left_behind(), [""; 0], "{told}");
    }
    took
}

/// How often the campaigns are run; 0 where only some cases are tried.
pub fn rounds() -> usize {
    std::env::var("COWLSIDE_WAYS").map_or(0, |count| count.parse().unwrap())
}

fn next_of<'a, T>(left: &Mutex<std::slice::Iter<'a, T>>) -> Option<&'a T> {
    left.lock().unwrap().next()
}

#[test]
fn every_way_out_leaves_the_terminal_as_it_was() {
    let all = WAYS.iter().flat_map(|way| SCREENS.iter().map(move |screen| (*way, *screen)));
    let cases: Vec<(Way, Shown)> = match rounds() {
        // Each way and each screen once; and a terminal that is stuck in the middle of a frame.
        0 => WAYS
            .iter()
            .copied()
            .zip(SCREENS.iter().copied().cycle())
            .chain([(Way::Stuck, Shown::Notice)])
            .collect(),
        rounds => std::iter::repeat_n(all, rounds).flatten().collect(),
    };
    assert!(!cases.is_empty());
    // They mostly wait: several at a time.
    let (slowest, left) = (Mutex::new(Duration::ZERO), Mutex::new(cases.iter()));
    std::thread::scope(|scope| {
        for _ in 0..if rounds() > 0 { 12 } else { 3 } {
            scope.spawn(|| {
                while let Some((way, screen)) = next_of(&left) {
                    let took = leave(*way, *screen, invented().path());
                    let mut slowest = slowest.lock().unwrap();
                    *slowest = took.max(*slowest);
                }
            });
        }
    });
    let slowest = slowest.into_inner().unwrap();
    println!("{} ways out, the slowest end took {slowest:?}", cases.len());
}

#[test]
fn the_quit_key_leaves_at_once_or_asks_first() {
    let folder = invented();
    let mut seat = at(Shown::Engines, folder.path(), &[PROGRAM, "demo"]);
    seat.press(b"q");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(seat.left_behind(), [""; 0]);
    let mut seat = at(Shown::HalfReading, folder.path(), &[PROGRAM, "demo"]);
    seat.press(b"q");
    seat.await_text("Leave the program?");
    seat.press(b"1");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(seat.left_behind(), [""; 0]);
}

/// A shell with jobs, and the program started from it; `None` where there is no such shell.
pub fn under_a_shell(folder: &Path) -> Option<(Seat, String)> {
    if !Path::new("/bin/bash").exists() {
        println!("SKIPPED, NOT TESTED: Ctrl-Z, fg and kill need /bin/bash");
        return None;
    }
    let shell = ["/bin/bash", "--norc", "--noprofile", "--noediting", "-i"];
    let mut seat = Seat::of(folder, &shell, (24, 80));
    seat.settled();
    seat.send(format!("{PROGRAM} demo\n").as_bytes());
    seat.await_text("Which engine?");
    let before = seat.settled();
    Some((seat, before))
}

#[test]
fn a_shell_ends_what_it_has_stopped_and_a_session_is_not_held_by_it() {
    for stopped_by in ["the key", "a signal", "the key, and let run behind the shell"] {
        let folder = invented();
        let Some((mut seat, _)) = under_a_shell(folder.path()) else { return };
        if stopped_by == "a signal" {
            let name = Path::new(PROGRAM).file_name().unwrap().to_str().unwrap();
            let shell = seat.child.process_id().unwrap().to_string();
            let kill = ["-STOP", "-P", &shell, "-x", name];
            assert!(Command::new("pkill").args(kill).status().unwrap().success());
        } else {
            seat.press(b"\x1a");
        }
        seat.await_that(stopped_by, |text| text.contains("Stopped"));
        // From here on the shell says at once what becomes of its jobs.
        seat.send(b"set -b\n");
        if stopped_by.ends_with("shell") {
            seat.send(b"bg\n");
            seat.await_that(stopped_by, |text| text.matches("Stopped").count() > 1);
        }
        seat.send(b"kill %1\n");
        seat.await_that(stopped_by, |text| text.contains("Exit 143"));
        seat.send(b"stty -a | grep -c -e '-icanon' | sed 's/^/raw: /'\n");
        seat.await_text("raw: 0");
        seat.await_that("whole terminal", |_| seat.left_behind().is_empty());
        seat.send(b"exit\n");
        assert_eq!(seat.exit_code(), 0, "{stopped_by}");
    }
}

#[test]
fn ctrl_z_goes_to_the_shell_and_fg_comes_back() {
    let folder = invented();
    let Some((mut seat, before)) = under_a_shell(folder.path()) else { return };
    for _ in 0..2 {
        seat.press(b"\x1a");
        seat.await_that("shell", |text| text.contains("Stopped"));
        seat.await_that("whole terminal", |_| seat.left_behind().is_empty());
        seat.send(b"stty -a | grep -c -e '-icanon' | sed 's/^/raw: /'\n");
        seat.await_text("raw: 0");
        seat.send(b"fg\n");
        seat.await_that("same screen again", |text| text == before);
    }
    seat.press(b"q");
    seat.await_that("shell", |text| !text.contains("Which engine?"));
    seat.send(b"echo code $?; exit\n");
    seat.await_text("code 0");
    seat.exit_code();
}

#[test]
fn ctrl_z_is_refused_where_nobody_could_come_back() {
    let folder = invented();
    let mut seat = at(Shown::Engines, folder.path(), &[PROGRAM, "demo"]);
    seat.press(b"\x1a");
    seat.await_text("no shell is there");
    assert_ne!(seat.state(), 'T');
    seat.press(b"q");
    assert_eq!(seat.exit_code(), 0);
}

/// A terminal pair with its near end opened again by name, with these flags.
fn line(flags: rustix::fs::OFlags) -> (Box<dyn portable_pty::MasterPty + Send>, File) {
    let pair =
        native_pty_system().openpty(PtySize { rows: 24, cols: 80, ..PtySize::default() }).unwrap();
    let name = pair.master.tty_name().unwrap();
    let flags = (flags | rustix::fs::OFlags::NOCTTY).bits();
    let mut options = OpenOptions::new();
    options.read(true).write(true).custom_flags(flags.cast_signed());
    let near = options.open(name).unwrap();
    (pair.master, near)
}

fn demo(folder: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    command.arg("demo").env_clear();
    command.env("COWLSIDE_HOME", folder).env("TERM", "xterm-256color");
    command
}

#[test]
fn without_a_terminal_to_read_and_to_show_on_the_screens_are_refused() {
    let folder = invented();
    let (far, near) = line(rustix::fs::OFlags::empty());
    let tty = || Stdio::from(near.try_clone().unwrap());
    let empty = || Stdio::from(File::open("/dev/null").unwrap());
    let path = folder.path().join("shown");
    let file = || Stdio::from(File::create(&path).unwrap());
    let cases: [(&str, Stdio, Stdio, Option<&str>); 8] = [
        ("input at its end", empty(), tty(), Some("xterm")),
        ("input from a pipe", Stdio::piped(), tty(), Some("xterm")),
        ("output to a file", tty(), file(), Some("xterm")),
        ("output to a pipe", tty(), Stdio::piped(), Some("xterm")),
        ("neither", empty(), file(), Some("xterm")),
        ("a dumb terminal", tty(), tty(), Some("dumb")),
        ("an empty TERM", tty(), tty(), Some("")),
        ("no TERM", tty(), tty(), None),
    ];
    let count = cases.len();
    for (what, input, output, term) in cases {
        let mut command = demo(folder.path());
        command.stdin(input).stdout(output).stderr(Stdio::piped());
        match term {
            Some(term) => command.env("TERM", term),
            None => command.env_remove("TERM"),
        };
        let ended = command.spawn().unwrap().wait_with_output().unwrap();
        assert_eq!(ended.status.code(), Some(2), "{what}");
        let said = String::from_utf8(ended.stderr).unwrap();
        let lines: Vec<&str> = said.lines().collect();
        assert_eq!(lines.len(), 2, "{what}: {said}");
        assert!(lines[0].starts_with("error: ") && lines[1].starts_with("hint: "), "{said}");
        assert!(ended.stdout.is_empty() && !said.contains('\u{1b}'), "{what}");
        assert!(std::fs::read(&path).unwrap_or_default().is_empty(), "{what}");
    }
    // Nothing was said on the terminal either: only what is written now comes out.
    use std::io::{Read, Write};
    let mut reader = far.try_clone_reader().unwrap();
    (&near).write_all(b"end").unwrap();
    let mut piece = [0; 64];
    let read = reader.read(&mut piece).unwrap();
    assert_eq!(&piece[..read], b"end");
    println!("{count} kinds of no terminal refused");
}

#[test]
fn a_terminal_that_cannot_be_written_to_ends_the_program_without_a_panic() {
    let folder = invented();
    let (keys, near_keys) = line(rustix::fs::OFlags::empty());
    let (shown, near_shown) = line(rustix::fs::OFlags::empty());
    let before = crate::seat::termios(&*keys);
    let mut command = demo(folder.path());
    command.stdin(near_keys.try_clone().unwrap()).stdout(near_shown).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    drop(command);
    let since = Instant::now();
    while crate::seat::termios(&*keys) == before {
        assert!(since.elapsed() < SOON && child.try_wait().unwrap().is_none(), "never began");
        std::thread::sleep(Duration::from_millis(10));
    }
    drop(shown);
    std::io::Write::write_all(&mut keys.take_writer().unwrap(), b"?").unwrap();
    let since = Instant::now();
    while child.try_wait().unwrap().is_none() {
        assert!(since.elapsed() < SOON, "it never ended");
        std::thread::sleep(Duration::from_millis(10));
    }
    let ended = child.wait_with_output().unwrap();
    let said = String::from_utf8(ended.stderr).unwrap();
    assert_eq!(ended.status.code(), Some(1), "{said}");
    assert!(said.starts_with("error: the terminal") && !said.contains("panick"), "{said}");
    assert_eq!(crate::seat::termios(&*keys), before);
    drop(near_keys);
}

#[test]
fn a_terminal_that_takes_nothing_for_a_while_is_waited_for() {
    let folder = invented();
    let (far, near) = line(rustix::fs::OFlags::NONBLOCK);
    let mut command = demo(folder.path());
    // Reads and writes that would block say so instead: EAGAIN.
    command.stdin(near.try_clone().unwrap()).stdout(near).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    drop(command);
    let mut keys = far.take_writer().unwrap();
    for _ in 0..60 {
        std::io::Write::write_all(&mut keys, b"\x0c").unwrap();
        std::thread::sleep(Duration::from_millis(20));
    }
    let mut reader = far.try_clone_reader().unwrap();
    let (send, seen) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let (mut all, mut piece) = (Vec::new(), [0; 4096]);
        while let Ok(count @ 1..) = std::io::Read::read(&mut reader, &mut piece) {
            all.extend_from_slice(&piece[..count]);
            if send.send(all.clone()).is_err() {
                break;
            }
        }
    });
    let mut frames = 0;
    while frames < 10 {
        let bytes = seen.recv_timeout(SOON).expect("nothing more is shown");
        frames = bytes.windows(BEGIN_FRAME.len()).filter(|seen| *seen == BEGIN_FRAME).count();
        if frames >= 10 {
            let text = text_of(&emulate((24, 80), &bytes));
            assert!(text.contains("Which engine?"), "{text}");
        }
    }
    assert!(child.try_wait().unwrap().is_none(), "it ended");
    child.kill().unwrap();
    child.wait().unwrap();
}

/// As `nohup`, or a shell with what it starts in the background, begins a program.
#[cfg(target_os = "linux")]
#[test]
fn what_was_ignored_at_the_start_ends_no_screen_and_the_rest_still_does() {
    let folder = invented();
    let words = ["sh", "-c", "trap '' HUP INT; exec \"$0\" demo", PROGRAM];
    let mut seat = at(Shown::Question, folder.path(), &words);
    for signal in ["HUP", "INT"] {
        seat.signal(signal);
        // It is there and takes answers.
        seat.answer();
        assert_eq!(seat.ended(), None, "{signal}");
    }
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    assert_eq!(seat.left_behind(), [""; 0]);
}
