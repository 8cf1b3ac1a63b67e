//! A disk that takes its time, under the built program: a sync that hangs until the test lets it go on.
//!
//! Nothing is called saved before the disk has confirmed it, keys go on working meanwhile, and every
//! way out has an end and says what is not known to be saved. The syncs hang in a library that is put
//! before the system's own (Linux and a C compiler), and on an ext4 that is frozen (root, a loop device
//! and fsfreeze); what cannot run says so loudly. Each way out and the frozen disk run with
//! `COWLSIDE_HANGS=1 cargo test --test suite slow_disk:: -- --nocapture`: they are mostly waiting.

use crate::plain_seat::Plain;
use crate::power_cuts::{Disk, run, text};
use crate::real::{gauging, holds_all, invented, kept, newest_journal, words_of};
use crate::seat::{PROGRAM, Seat};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// Both syncs wait for as long as the file `HANG` is there, and tell by another file that one does.
const HANGS: &str = r#"
#define _GNU_SOURCE
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>
static void hang(void) {
    const char *file = getenv("HANG");
    char told[4096];
    if (!file || access(file, F_OK) != 0) return;
    snprintf(told, sizeof told, "%s.hangs", file);
    close(open(told, O_CREAT | O_WRONLY, 0600));
    while (access(file, F_OK) == 0) usleep(3000);
}
int fsync(int f) { hang(); return syscall(SYS_fsync, f); }
int fdatasync(int f) { hang(); return syscall(SYS_fdatasync, f); }
"#;

/// Makes a library that is put before the system's own; where this machine has no way to, it says loudly
/// what was not done.
pub fn compiled(source: &str, library: &Path, skipped: &str) -> bool {
    let written = library.with_extension("c");
    std::fs::write(&written, source).unwrap();
    let made = cfg!(target_os = "linux")
        && run("cc", &["-shared", "-fPIC", "-o", text(library), text(&written)]);
    if !made {
        println!("SKIPPED: {skipped}. This needs Linux and a C compiler.");
    }
    made
}

/// Syncs that hang on demand.
pub struct Slow {
    inside: TempDir,
}

impl Slow {
    /// Nothing where this machine has no way to make them.
    pub fn make() -> Option<Slow> {
        let slow = Slow { inside: tempfile::tempdir().unwrap() };
        compiled(HANGS, &slow.library(), "no sync was made to hang").then_some(slow)
    }

    fn library(&self) -> PathBuf {
        self.inside.path().join("hangs.so")
    }

    fn file(&self) -> PathBuf {
        self.inside.path().join("hang")
    }

    fn told(&self) -> PathBuf {
        self.inside.path().join("hang.hangs")
    }

    pub fn hang(&self) {
        std::fs::write(self.file(), "").unwrap();
    }

    pub fn go_on(&self) {
        std::fs::remove_file(self.file()).unwrap();
        let _ = std::fs::remove_file(self.told());
    }

    /// Waits until a sync does hang.
    pub fn await_hanging(&self) {
        let since = Instant::now();
        while !self.told().exists() {
            assert!(since.elapsed() < Duration::from_secs(60), "nothing was synced");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// The program in a terminal.
    pub fn screens(&self, folder: &Path, words: &[&str]) -> Seat {
        let preload = format!("LD_PRELOAD={}", text(&self.library()));
        let hang = format!("HANG={}", text(&self.file()));
        let command = ["env", &preload, &hang, PROGRAM];
        Seat::of(folder, &[&command[..], words].concat(), (24, 80))
    }

    /// The command line of it, for a shell.
    pub fn command(&self, words: &str) -> String {
        let (library, file) = (self.library(), self.file());
        format!("env LD_PRELOAD={} HANG={} {PROGRAM} {words}", text(&library), text(&file))
    }

    /// The invented workshop's screens, where the first valve is to be gauged.
    pub fn seat(&self, folder: &Path) -> Seat {
        to_a_valve(self.screens(folder, &["demo"]))
    }
}

/// Answers until a valve is to be gauged and all before it is saved.
pub fn to_a_valve(mut seat: Seat) -> Seat {
    seat.await_text("Which engine?");
    let mut shown = seat.text();
    while gauging(&shown).is_none() {
        shown = seat.answer();
    }
    seat.await_that("saved", says_saved);
    seat
}

pub fn says_saving(shown: &str) -> bool {
    shown.contains("saving... ") && !shown.contains("saved: ")
}

/// Tells whether something of the session is asked, and not whether to leave.
pub fn asks(shown: &str) -> bool {
    shown.contains("\n>") && shown.contains("q leave") && !shown.contains("Leave the program?")
}

pub fn says_saved(shown: &str) -> bool {
    shown.contains("saved: ") && !shown.contains("saving...")
}

/// The screens while a disk hangs: three answers, help, the question whether to leave.
fn goes_on_while_it_hangs(seat: &mut Seat, journal: &Path) {
    let before = kept(journal).len();
    for _ in 0..3 {
        let shown = seat.answer();
        assert!(says_saving(&shown), "{shown}");
    }
    let question = seat.settled();
    seat.press("?");
    seat.await_that("help", |shown| *shown != question);
    seat.press("\u{1b}");
    // What was said last is gone; that something is on its way still stands there.
    seat.await_that("the question again", |shown| asks(shown) && says_saving(shown));
    seat.press("\u{3}");
    let asked = seat.await_text("Leave the program?");
    assert!(asked.contains("saving... ") && asked.contains("does not confirm is told"), "{asked}");
    assert!(!asked.contains("is on disk"), "{asked}");
    seat.press("2");
    seat.await_that("the question again", |shown| asks(shown) && says_saving(shown));
    // One line is written and waited for at a time.
    assert!(kept(journal).len() <= before + 1);
}

#[test]
fn while_a_sync_hangs_the_screens_say_saving_go_on_and_say_saved_only_afterwards() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    let journal = newest_journal(&folder.path().join("demo"));
    let before = kept(&journal).len();
    slow.hang();
    goes_on_while_it_hangs(&mut seat, &journal);
    slow.await_hanging();
    slow.go_on();
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    assert!(kept(&journal).len() >= before + 3);
    // The control: the same answer on a disk that does not hang is soon called saved.
    let shown = seat.answer();
    assert!(says_saved(&shown), "{shown}");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    assert_eq!(seat.left_behind(), [""; 0]);
}

/// Leaves by the question whether to, or by a signal.
pub fn left_with(seat: &mut Seat, way: &str) {
    match way {
        "q" => {
            seat.press("\u{3}");
            seat.await_text("Leave the program?");
            seat.press("1");
        }
        signal => seat.signal(signal),
    }
}

/// Leaves by this way while a sync hangs; `lets_go` lets it go on once the terminal was given back.
fn left(way: &str, lets_go: bool) {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    let journal = newest_journal(&folder.path().join("demo"));
    let before = kept(&journal).len();
    slow.hang();
    assert!(says_saving(&seat.answer()));
    assert!(says_saving(&seat.answer()));
    slow.await_hanging();
    left_with(&mut seat, way);
    seat.await_text("waiting for the disk, 10 s at most");
    assert_eq!(seat.left_behind(), [""; 0], "{way}: the terminal is given back before the wait");
    assert_eq!(seat.ended(), None, "{way}: it waits");
    if lets_go {
        slow.go_on();
    }
    let code = seat.exit_code();
    let said = seat.settled();
    let wanted = match way {
        "q" => u32::from(!lets_go),
        "HUP" => 129,
        _ => 143,
    };
    assert_eq!(code, wanted, "{way}: {said}");
    assert_eq!(seat.left_behind(), [""; 0]);
    let told = said.find("NOT KNOWN TO BE SAVED: ").map(|at| said[at..].lines());
    assert_eq!(told.is_some(), !lets_go, "{way}: {said}");
    if let Some(mut told) = told {
        // Each answer came to one entry at least, and each is told word for word.
        let head = told.next().unwrap();
        let entries: usize = head.split(' ').nth(5).unwrap().parse().unwrap();
        assert!(entries >= 2 && head.ends_with(" entries - the disk does not answer"), "{head}");
        assert_eq!(told.next(), Some("Write these down:"));
        assert_eq!(told.filter(|line| line.starts_with("  ")).count(), entries, "{said}");
    }
    // What was called saved is there; what the disk was waited for, too.
    assert!(kept(&journal).len() >= before + if lets_go { 2 } else { 0 }, "{way}");
}

/// Whether everything is tried that mostly waits.
fn all() -> bool {
    std::env::var_os("COWLSIDE_HANGS").is_some()
}

#[test]
fn leaving_while_a_sync_hangs_has_an_end_and_says_what_is_not_known_to_be_saved() {
    let ways = if all() { &["q", "TERM", "HUP"][..] } else { &["TERM"] };
    std::thread::scope(|scope| {
        for way in ways {
            scope.spawn(move || left(way, false));
        }
    });
}

#[test]
fn leaving_while_a_sync_hangs_waits_for_a_disk_that_comes_back_and_then_says_nothing() {
    let ways = if all() { &["q", "TERM"][..] } else { &["q"] };
    std::thread::scope(|scope| {
        for way in ways {
            scope.spawn(move || left(way, true));
        }
    });
}

#[test]
fn plain_questions_call_nothing_saved_while_a_sync_hangs() {
    let Some(slow) = Slow::make() else { return };
    let folder = tempfile::tempdir().unwrap();
    let (library, file) = (slow.library(), slow.file());
    let environment = [("LD_PRELOAD", library.as_path()), ("HANG", file.as_path())];
    let mut plain = Plain::begin(folder.path(), &environment);
    while plain.saved().len() < 8 {
        plain.answer();
    }
    let saved = plain.saved();
    slow.hang();
    let mut said = String::new();
    // Some answers make no entry.
    while !said.contains("saving... ") {
        said = plain.answer();
        assert!(!said.contains("\nsaved: "), "{said}");
    }
    slow.await_hanging();
    // Nothing failed yet, but nothing is known to be saved either.
    let no_way_out = plain.type_in(":save");
    assert!(
        no_way_out.contains("! not now: it is still being saved, and the disk"),
        "{no_way_out}"
    );
    let (code, last) = plain.end_by("TERM");
    assert_eq!(code, Some(143), "{last}");
    assert!(last.contains("NOT KNOWN TO BE SAVED: "), "{last}");
    assert!(last.contains(" - the disk does not answer\nWrite these down:\n  "), "{last}");
    assert!(!last.contains("Everything that was said to be saved"), "{last}");
    assert!(holds_all(&saved, &words_of(&kept(&plain.journal().unwrap()))));
}

#[test]
fn plain_prompts_say_what_is_waited_for_where_a_session_begins_or_is_gone_on_with() {
    let Some(slow) = Slow::make() else { return };
    let folder = tempfile::tempdir().unwrap();
    let (library, file) = (slow.library(), slow.file());
    let environment = [("LD_PRELOAD", library.as_path()), ("HANG", file.as_path())];
    let mut plain = Plain::begin(folder.path(), &environment);
    plain.end_of_input();
    slow.hang();
    let going_on = ["session", "Trainer 0", "--plain"];
    let mut child = std::process::Command::new(PROGRAM)
        .args(going_on)
        .env_clear()
        .envs(environment)
        .env("COWLSIDE_HOME", folder.path())
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    slow.await_hanging();
    // A program that says nothing is one that fails, and not one that is waited for.
    let (tell, told) = std::sync::mpsc::channel();
    let told_by = std::io::BufReader::new(child.stderr.take().unwrap());
    std::thread::spawn(move || {
        std::io::BufRead::lines(told_by).map_while(Result::ok).all(|line| tell.send(line).is_ok())
    });
    let line = || told.recv_timeout(Duration::from_secs(30));
    let first = line();
    slow.go_on();
    let first = first.expect("nothing is said while it is waited");
    assert!(first.starts_with("opening the session: waiting for the disk"), "{first}");
    assert_eq!(line().as_deref(), Ok("waited no longer"));
    assert!(child.wait_with_output().unwrap().status.success());
}

/// A disk that takes nothing until it is let go.
struct Frozen<'a>(&'a Path);

impl<'a> Frozen<'a> {
    fn freeze(disk: &'a Path) -> Option<Frozen<'a>> {
        run("fsfreeze", &["-f", text(disk)]).then_some(Frozen(disk))
    }
}

impl Drop for Frozen<'_> {
    fn drop(&mut self) {
        run("fsfreeze", &["-u", text(self.0)]);
    }
}

#[test]
fn a_real_disk_that_takes_nothing_for_a_while_is_waited_for_without_a_lie() {
    if !all() {
        println!("SKIPPED: no disk was frozen. COWLSIDE_HANGS=1 does it.");
        return;
    }
    let inside = tempfile::tempdir().unwrap();
    let Some(disk) = Disk::make(inside.path(), 64) else { return };
    let made = run(
        "env",
        &[&format!("COWLSIDE_HOME={}", text(disk.path())), PROGRAM, "demo", "--", "engines"],
    );
    assert!(made);
    let mut seat = to_a_valve(Seat::take(disk.path(), &["demo"], (24, 80)));
    let journal = newest_journal(&disk.path().join("demo"));
    let before = kept(&journal).len();
    let Some(frozen) = Frozen::freeze(disk.path()) else {
        println!("SKIPPED: no disk was frozen. This needs fsfreeze.");
        return;
    };
    goes_on_while_it_hangs(&mut seat, &journal);
    drop(frozen);
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    assert!(kept(&journal).len() >= before + 3);
    let frozen = Frozen::freeze(disk.path()).unwrap();
    assert!(says_saving(&seat.answer()));
    seat.signal("TERM");
    // The system lets the process go only once the disk is back; it has said all before.
    seat.await_text("NOT KNOWN TO BE SAVED: ");
    seat.await_text("Write these down:");
    assert_eq!(seat.left_behind(), [""; 0]);
    drop(frozen);
    assert_eq!(seat.exit_code(), 143);
}
