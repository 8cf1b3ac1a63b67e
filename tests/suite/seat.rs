//! The built program in a terminal of its own, seen from outside: every byte that it wrote, what a
//! second emulator makes of them, and what is left behind when it has gone.

use crate::real::answer_to;
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::{Duration, Instant};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");
/// Generous: the machine may be busy with everything else.
const PATIENCE: Duration = Duration::from_secs(60);
/// Longer than a key may bounce.
const BETWEEN_KEYS: Duration = Duration::from_millis(170);
/// A digit sooner than this behind one that chose is taken into no number.
const BETWEEN_DIGITS: Duration = Duration::from_millis(450);
/// Whoever agrees by Enter behind a digit that chose has read what to.
const READ_BEFORE_ENTER: Duration = Duration::from_millis(1_600);
/// As fast as a finger taps the same key.
const BETWEEN_THE_SAME: Duration = Duration::from_millis(300);
/// A screen at which nothing more is written for so long stays as it is: longer than it is waited to see
/// whether a key is held down.
const QUIET: Duration = Duration::from_millis(150);
pub const BEGIN_FRAME: &[u8] = b"\x1b[?2026h";
const END_FRAME: &[u8] = b"\x1b[?2026l";
/// Said while keys answer nothing.
const WAITING: &str = ": waiting for the disk";

pub fn size(rows: u16, cols: u16) -> PtySize {
    PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }
}

fn cells(count: u16) -> NonZero<u16> {
    count.max(1).try_into().unwrap()
}

pub fn emulate((rows, cols): (u16, u16), bytes: &[u8]) -> vt100::Parser {
    let mut parser = vt100::Parser::new(cells(rows), cells(cols), 0);
    parser.process(bytes);
    parser
}

pub fn text_of(parser: &vt100::Parser) -> String {
    let text = parser.screen().contents();
    text.trim_end().lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// What is said at the left, in one line: beside the drawing of the engine it is broken over more lines.
pub fn said(screen: &str) -> String {
    let left = |row: &str| row.trim_matches('|').split("  ").next().unwrap_or("").to_owned();
    let rows = screen.lines().map(left).collect::<Vec<_>>().join(" ");
    rows.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What is asked on a screen: neither blank rows nor what is told of the answer before.
fn asked(screen: &str) -> String {
    let mut told = false;
    let rows = screen.lines().filter(|row| {
        let begins = row.contains("saved: ") || row.contains("saving... ");
        // A row of keys or beside the drawing has wide gaps, the rest of a broken message has none.
        told = begins || told && !row.is_empty() && !row.contains("  ");
        !told && !row.is_empty()
    });
    rows.collect::<Vec<_>>().join("\n")
}

fn waits(screen: &str) -> bool {
    said(screen).contains(WAITING)
}

/// What was written into a terminal, and when the last of it came.
struct Heard {
    bytes: Vec<u8>,
    last: Instant,
}

pub struct Seat {
    pub master: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    pub child: Box<dyn Child + Send + Sync>,
    heard: Arc<Mutex<Heard>>,
    /// The reader of the terminal takes nothing while this is set.
    pub deaf: Arc<AtomicBool>,
    closing: Arc<AtomicBool>,
    before: String,
    /// What the emulator has made of so many of the bytes.
    emulated: Mutex<(usize, vt100::Parser)>,
    last: Vec<u8>,
    last_sent: Instant,
}

impl Seat {
    /// Starts the program itself.
    pub fn take(folder: &Path, words: &[&str], cells: (u16, u16)) -> Seat {
        let words: Vec<&str> = [PROGRAM].iter().chain(words).copied().collect();
        Seat::of(folder, &words, cells)
    }

    /// Starts any command line.
    pub fn of(folder: &Path, words: &[&str], cells: (u16, u16)) -> Seat {
        let pair = native_pty_system().openpty(size(cells.0, cells.1)).unwrap();
        let mut command = CommandBuilder::new(words[0]);
        command.args(&words[1..]);
        command.env_clear();
        command.env("TERM", "xterm-256color");
        command.env("PATH", "/usr/bin:/bin");
        command.env("COWLSIDE_HOME", folder);
        let before = termios(&*pair.master);
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let heard = Arc::new(Mutex::new(Heard { bytes: Vec::new(), last: Instant::now() }));
        let deaf = Arc::new(AtomicBool::new(false));
        let closing = Arc::new(AtomicBool::new(false));
        let mut output = pair.master.try_clone_reader().unwrap();
        let (keep, plugged, close) = (Arc::clone(&heard), Arc::clone(&deaf), Arc::clone(&closing));
        std::thread::spawn(move || {
            let mut piece = [0; 4096];
            while let Ok(count @ 1..) = output.read(&mut piece) {
                {
                    let mut heard = keep.lock().unwrap();
                    heard.bytes.extend_from_slice(&piece[..count]);
                    heard.last = Instant::now();
                }
                while plugged.load(Ordering::SeqCst) {
                    sleep(Duration::from_millis(5));
                }
                if close.load(Ordering::SeqCst) {
                    break;
                }
            }
        });
        let keys = pair.master.take_writer().unwrap();
        let master = Some(pair.master);
        let emulated = Mutex::new((0, emulate(cells, b"")));
        Seat {
            master,
            keys: Some(keys),
            child,
            heard,
            deaf,
            closing,
            before,
            emulated,
            last: Vec::new(),
            last_sent: Instant::now(),
        }
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.heard.lock().unwrap().bytes.clone()
    }

    pub fn text(&self) -> String {
        let mut emulated = self.emulated.lock().unwrap();
        let (done, parser) = &mut *emulated;
        let written = &self.heard.lock().unwrap().bytes;
        let whole = whole_frames(written).max(*done);
        parser.process(&written[*done..whole]);
        *done = whole;
        text_of(parser)
    }

    pub fn await_text(&self, wanted: &str) -> String {
        self.await_that(wanted, |text| text.contains(wanted) || said(text).contains(wanted))
    }

    pub fn await_that(&self, what: &str, holds: impl Fn(&str) -> bool) -> String {
        let since = Instant::now();
        loop {
            let text = self.text();
            if holds(&text) {
                return text;
            }
            assert!(since.elapsed() < PATIENCE, "no {what}; the screen is:\n{text}");
            sleep(Duration::from_millis(10));
        }
    }

    /// Waits until nothing more is written for a while.
    pub fn settled(&self) -> String {
        self.settled_since(Instant::now())
    }

    /// As [`Seat::settled`], where it has been quiet since then, or since what was written last.
    fn settled_since(&self, then: Instant) -> String {
        let since = Instant::now();
        loop {
            let (nothing, last) = {
                let heard = self.heard.lock().unwrap();
                (heard.bytes.is_empty(), heard.last)
            };
            let quiet = last.max(then).elapsed();
            if quiet >= QUIET && !nothing && !self.works() {
                return self.text();
            }
            assert!(
                since.elapsed() < PATIENCE,
                "it never settles; the screen is:\n{}",
                self.text()
            );
            sleep(QUIET.saturating_sub(quiet).max(Duration::from_millis(5)));
        }
    }

    pub fn press(&mut self, keys: impl AsRef<[u8]>) {
        let keys = keys.as_ref();
        let begins_with_a_digit = |keys: &[u8]| keys.first().is_some_and(u8::is_ascii_digit);
        self.press_after(
            keys,
            match () {
                () if keys == b"\r" && self.last.len() == 1 && begins_with_a_digit(&self.last) => {
                    READ_BEFORE_ENTER
                }
                () if begins_with_a_digit(&self.last) && begins_with_a_digit(keys) => {
                    BETWEEN_DIGITS
                }
                () if keys == self.last => BETWEEN_THE_SAME,
                () => BETWEEN_KEYS,
            },
        );
    }

    /// Presses so long after the key before, and after what was shown last: the program has read that
    /// key before it shows what comes of it.
    fn press_after(&mut self, keys: &[u8], pause: Duration) {
        let last = self.heard.lock().unwrap().last.max(self.last_sent);
        sleep(pause.saturating_sub(last.elapsed()));
        self.last = keys.to_owned();
        self.send(keys);
    }

    /// Answers what is on the screen as a careful mechanic would, and waits for what comes next.
    pub fn answer(&mut self) -> String {
        let before = self.await_that("question", |text| !waits(text));
        let answer = answer_to(&before);
        if answer.len() == 1 && self.last.len() == 1 {
            // Neither begins a number.
            self.press_after(answer.as_bytes(), BETWEEN_KEYS);
        } else {
            self.press(answer);
        }
        // What is told of the answer before may come while a busy machine has not read this one; it may
        // say that it waits, too: what is pressed then is no answer.
        let is_next = |text: &str| asked(text) != asked(&before) && !waits(text);
        loop {
            self.await_that("next question", is_next);
            // On a busy machine the same question may only now say that its answer is waited for.
            let settled = self.settled_since(self.last_sent);
            if is_next(&settled) {
                return settled;
            }
        }
    }

    pub fn send(&mut self, keys: &[u8]) {
        self.keys.as_mut().unwrap().write_all(keys).unwrap();
        self.last_sent = Instant::now();
    }

    pub fn resize(&mut self, rows: u16, cols: u16) {
        self.emulated = Mutex::new((0, emulate((rows, cols), b"")));
        self.master.as_ref().unwrap().resize(size(rows, cols)).unwrap();
    }

    pub fn signal(&self, name: &str) {
        self.signals(&[name]);
    }

    /// Sends them in one breath.
    pub fn signals(&self, names: &[&str]) {
        let process = self.child.process_id().unwrap();
        let kills: Vec<String> =
            names.iter().map(|name| format!("kill -s {name} {process}")).collect();
        assert!(Command::new("sh").args(["-c", &kills.join(" && ")]).status().unwrap().success());
    }

    /// The state letter of the program's process.
    pub fn state(&self) -> char {
        let process = self.child.process_id().unwrap();
        let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap();
        stat.rsplit(") ").next().unwrap().chars().next().unwrap()
    }

    /// Tells whether a thread of the program wants a processor: on a busy machine it may not have shown yet
    /// what was pressed.
    fn works(&self) -> bool {
        let process = self.child.process_id().unwrap_or_default();
        let threads = std::fs::read_dir(format!("/proc/{process}/task"));
        let stats =
            threads.into_iter().flatten().flatten().map(|thread| {
                std::fs::read_to_string(thread.path().join("stat")).unwrap_or_default()
            });
        stats.into_iter().any(|stat| stat.rsplit(") ").next().is_some_and(|of| of.starts_with('R')))
    }

    pub fn await_state(&self, wanted: char) {
        self.await_that(&format!("state {wanted}"), |_| self.state() == wanted);
    }

    /// Takes the terminal away: this test's last hold on it goes at the next thing written.
    pub fn close(&mut self) {
        self.closing.store(true, Ordering::SeqCst);
        self.send(b"\x0c");
        drop(self.keys.take());
        drop(self.master.take());
    }

    pub fn ended(&mut self) -> Option<u32> {
        self.child.try_wait().unwrap().map(|status| status.exit_code())
    }

    pub fn exit_code(&mut self) -> u32 {
        let since = Instant::now();
        loop {
            if let Some(code) = self.ended() {
                return code;
            }
            if since.elapsed() > PATIENCE {
                self.child.kill().unwrap();
                panic!("it never ended; the screen is:\n{}", self.text());
            }
            sleep(Duration::from_millis(5));
        }
    }

    /// What is not as it was, once all that was written has arrived.
    pub fn left_behind(&self) -> Vec<&'static str> {
        self.settled();
        let after = termios(&**self.master.as_ref().unwrap());
        left_behind(&self.bytes(), &self.before, &after)
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        // Whatever a failed test left running.
        self.deaf.store(false, Ordering::SeqCst);
        let _ = self.child.kill();
    }
}

/// Tells how many of these bytes are whole frames: as a terminal does, nothing is seen of one that is still on
/// its way. A kernel hands a frame over in pieces.
fn whole_frames(bytes: &[u8]) -> usize {
    let last = |mark: &[u8]| bytes.windows(mark.len()).rposition(|found| found == mark);
    last(BEGIN_FRAME).filter(|begun| last(END_FRAME) < Some(*begun)).unwrap_or(bytes.len())
}

pub fn termios(master: &dyn MasterPty) -> String {
    format!("{:?}", master.get_termios().unwrap())
}

/// Compares a terminal with how it was before.
fn left_behind(bytes: &[u8], before: &str, after: &str) -> Vec<&'static str> {
    let parser = emulate((24, 80), bytes);
    let screen = parser.screen();
    let cell = screen.attributes_formatted();
    let mouse = screen.mouse_protocol_mode() != vt100::MouseProtocolMode::None;
    let found = [
        (screen.alternate_screen(), "the alternate screen"),
        (screen.hide_cursor(), "a hidden cursor"),
        (screen.bracketed_paste(), "marked pastes"),
        (screen.application_keypad(), "an application keypad"),
        (screen.application_cursor(), "application arrows"),
        (mouse, "the mouse"),
        (cell != emulate((24, 80), b"").screen().attributes_formatted(), "attributes"),
        (before != after, "modes of the line"),
    ];
    found.into_iter().filter(|(left, _)| *left).map(|(_, what)| what).collect()
}

#[test]
fn what_a_careless_program_leaves_behind_is_seen() {
    for (bytes, left) in [
        (&b"\x1b[?25l"[..], "a hidden cursor"),
        (b"\x1b[?1049h", "the alternate screen"),
        (b"\x1b[?2004h", "marked pastes"),
        (b"\x1b=", "an application keypad"),
        (b"\x1b[?1h", "application arrows"),
        (b"\x1b[?1000h", "the mouse"),
        (b"\x1b[1;31m", "attributes"),
    ] {
        assert_eq!(left_behind(bytes, "", ""), [left]);
    }
    let folder = tempfile::tempdir().unwrap();
    let mut seat =
        Seat::of(folder.path(), &["sh", "-c", "stty raw; printf '\\033[?25lgone'"], (24, 80));
    assert_eq!(seat.exit_code(), 0);
    seat.await_text("gone");
    assert_eq!(seat.left_behind(), ["a hidden cursor", "modes of the line"]);
}

#[test]
fn a_message_broken_beside_the_drawing_is_read_in_one_line_and_is_no_question() {
    let drawn =
        "Where does it stand?            left    right\n  1  closed                   2  I. E.\n";
    let keys = "digit answer  - undo  q leave\n";
    let told = "! saving... the fuel is shut off: waiting  seen from the rear\nfor the disk, 1 s\n";
    let screen = format!("{drawn}{told}{keys}");
    assert!(said(&screen).contains("shut off: waiting for the disk, 1 s digit answer"), "{screen}");
    assert!(waits(&screen) && !waits(&format!("{drawn}{keys}")));
    assert_eq!(asked(&screen), asked(&format!("{drawn}\n{keys}")));
    assert_ne!(asked(&screen), asked(&screen.replace("closed", "open")));
    assert_ne!(asked(&screen), asked(&screen.replace("undo", "go on")));
}

#[test]
fn a_question_that_is_waited_for_is_not_answered_twice() {
    let folder = tempfile::tempdir().unwrap();
    // A frame in two pieces that says that it is waited for, as one sees it on a busy machine.
    let script = r#"
stty raw -echo
printf '\033[?2026h\033[H1 a caution\r\nmake safe\033[?2026l'
head -c 1 >/dev/null
printf '\033[?2026h\033[H2'
sleep 0.4
printf '\r\n\nsaving... what was answered: waiting for the disk\033[?2026l'
sleep 1
printf '\033[?2026h\033[2J\033[HCylinder-head temperature\033[?2026l'
stty sane
head -c 1
sleep 0.5
"#;
    let mut seat = Seat::of(folder.path(), &["sh", "-c", script], (24, 80));
    seat.await_text("make safe");
    let shown = seat.answer();
    assert_eq!(shown.trim(), "Cylinder-head temperature");
}
