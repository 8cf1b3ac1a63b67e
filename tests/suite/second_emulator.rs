//! The same walk in two terminal emulators, the one that the other tests look through and tmux: what
//! both show is the same, at two sizes and when the window changes while the program runs.

#![cfg(unix)]

use crate::real::invented;
use crate::seat::{PROGRAM, Seat};
use std::path::Path;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

const PATIENCE: Duration = Duration::from_secs(60);

/// A program in tmux, which has its own server.
struct Pane<'a> {
    socket: &'a Path,
}

impl Pane<'_> {
    fn take<'a>(folder: &Path, socket: &'a Path, (rows, cols): (u16, u16)) -> Pane<'a> {
        let (pane, home) = (Pane { socket }, format!("COWLSIDE_HOME={}", folder.display()));
        // A line of its own at the foot would cost the program a row.
        let program = ["env", &home, PROGRAM, "demo"];
        let (wide, high) = (cols.to_string(), rows.to_string());
        let words = ["-f/dev/null", "new-session", "-d", "-x", &wide, "-y", &high];
        let rest = [";", "set", "status", "off", ";", "resize-window", "-x", &wide, "-y", &high];
        pane.tmux(&[&words, &program[..], &rest].concat());
        pane
    }

    fn tmux(&self, words: &[&str]) -> String {
        let done = Command::new("tmux").arg("-S").arg(self.socket).args(words).output().unwrap();
        assert!(done.status.success(), "{words:?}: {}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    }

    fn press(&self, key: &[u8]) {
        let hex: Vec<String> = key.iter().map(|byte| format!("{byte:02x}")).collect();
        let words: Vec<&str> =
            ["send-keys", "-H"].into_iter().chain(hex.iter().map(String::as_str)).collect();
        self.tmux(&words);
    }

    fn resize(&self, rows: u16, cols: u16) {
        self.tmux(&["resize-window", "-x", &cols.to_string(), "-y", &rows.to_string()]);
    }

    fn text(&self) -> String {
        let text = self.tmux(&["capture-pane", "-p"]);
        text.trim_end().lines().map(|line| format!("{}\n", line.trim_end())).collect()
    }
}

impl Drop for Pane<'_> {
    fn drop(&mut self) {
        // Its own server alone, and the program in it.
        let _ = Command::new("tmux").arg("-S").arg(self.socket).arg("kill-server").output();
    }
}

/// Waits until both show the same after a key, and something else than before it; the cursor in a
/// list moves by its colours alone.
fn same(seat: &Seat, pane: &Pane, before: &str, what: &str) -> String {
    let since = Instant::now();
    loop {
        let (ours, theirs) = (seat.settled(), pane.text());
        if ours == theirs && ours != before && !ours.trim().is_empty() {
            return ours;
        }
        let waited = since.elapsed() > PATIENCE;
        assert!(!waited, "after {what} one shows:\n{ours}\nthe other:\n{theirs}");
        sleep(Duration::from_millis(50));
    }
}

fn walk(cells: (u16, u16), other: (u16, u16)) -> usize {
    // Each has the same data folder for itself: what is open in one cannot be opened in the other.
    let folder = invented();
    let twin = tempfile::tempdir().unwrap();
    let from = format!("{}/.", folder.path().display());
    assert!(Command::new("cp").args(["-a", &from]).arg(twin.path()).status().unwrap().success());
    let socket = twin.path().join("socket");
    let mut seat = Seat::take(folder.path(), &["demo"], cells);
    let pane = Pane::take(twin.path(), &socket, cells);
    let mut shown = same(&seat, &pane, "", "the start");
    let mut seen = 1;
    for key in ["\x1b[B", "?", "\x1b", "\x1b[A", "\r", "?", "\x1b", "*", "\x1b"] {
        seat.press(key.as_bytes());
        pane.press(key.as_bytes());
        let before = if key.starts_with("\x1b[") { "" } else { &shown };
        shown = same(&seat, &pane, before, &format!("{key:?}"));
        seen += 1;
    }
    for (rows, cols) in [other, (1, 1), (60, 200), cells] {
        seat.resize(rows, cols);
        pane.resize(rows, cols);
        if (rows, cols) != (1, 1) {
            shown = same(&seat, &pane, &shown, &format!("{rows} rows of {cols}"));
            seen += 1;
        }
    }
    seen
}

#[test]
fn another_terminal_shows_the_same() {
    if Command::new("tmux").arg("-V").output().is_err() {
        println!("SKIPPED, NOT TESTED: a second terminal emulator needs tmux");
        return;
    }
    let seen = walk((24, 80), (12, 40)) + walk((12, 40), (24, 80));
    println!("{seen} screens are the same in both");
    assert_eq!(seen, 26);
}
