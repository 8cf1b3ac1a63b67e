//! How far long work is, on standard error: seen from outside on the built program, in a terminal.

#![cfg(unix)]

use crate::index::made::{self, Size};
use crate::seat::{PROGRAM, Seat, emulate, text_of};
use cowlside::store::shown;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// What each long work says it is at, and its words; `{}` is a file that is made.
const WORKS: [(&[&str], &str); 7] = [
    (&["checking sessions: "], "verify --all --json > {}"),
    (&["ing files: "], "backup {}"),
    (&["ing files: "], "restore {}.backup"),
    (&["writing engines: "], "export > {}"),
    (&["making sessions: ", "writing files: "], "import {}.csv"),
    (
        &["reading sessions: ", "working out next checks: ", "reading what is open: "],
        "engines --json > {}",
    ),
    (&["making the invented workshop: "], "demo profiles > {}"),
];
/// Work that takes this long had to have a line, were it not for the time in which nothing is done yet.
const LONG: Duration = Duration::from_millis(1_200);

/// A shop whose works all take a while in a build with every check.
fn shop() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    made::make(folder.path(), Size { engines: 20, sessions: 20, entries: 100, seed: 4 });
    folder
}

/// What a command line writes to a terminal of this size, and how long it took.
fn written(home: &Path, line: &str, cells: (u16, u16)) -> (String, Duration) {
    let begun = Instant::now();
    let mut seat = Seat::of(home, &["sh", "-c", line], cells);
    assert_eq!(seat.exit_code(), 0, "{line}: {}", seat.text());
    let taken = begun.elapsed();
    seat.settled();
    (String::from_utf8(seat.bytes()).unwrap(), taken)
}

/// Carries out a work without a terminal, and returns what it wrote.
fn alone(home: &Path, words: &str) -> Vec<u8> {
    let _ = fs::remove_dir_all(home.join("cache"));
    let words = words.split(" > ").next().unwrap().split(' ');
    let done = Command::new(PROGRAM).args(words).env("COWLSIDE_HOME", home).output().unwrap();
    assert!(done.status.success() && done.stderr.is_empty(), "no terminal, no line: {done:?}");
    done.stdout
}

#[test]
fn long_work_says_how_far_it_is_and_takes_it_away_again() {
    let home = shop();
    let out = tempfile::tempdir().unwrap();
    let place = |words: &str, name: &str| words.replace("{}", &shown(&out.path().join(name)));
    alone(home.path(), &place("backup {}", "made.backup"));
    let table = alone(home.path(), "export");
    for name in ["alone.csv", "made.csv"] {
        fs::write(out.path().join(name), &table).unwrap();
    }
    for (said, words) in WORKS {
        let verb = words.split(' ').next().unwrap();
        let fills = ["restore", "import", "demo"].contains(&verb);
        let into = |name: &str| match fills {
            true => out.path().join(format!("{verb}-{name}")),
            false => home.path().to_owned(),
        };
        let name = if verb == "restore" { "made" } else { "alone" };
        let with = alone(&into("one"), &place(words, name));
        let _ = fs::remove_dir_all(home.path().join("cache"));
        let words = place(words, "made");
        let line = format!("echo begun; {PROGRAM} {words}; echo done");
        let (bytes, taken) = written(&into("other"), &line, (24, 80));
        // Of a busy machine: what a start alone takes there, several times over.
        let start = written(home.path(), &format!("{PROGRAM} --version"), (24, 80)).1;
        if taken >= LONG + 5 * start {
            let told = said.iter().find_map(|said| bytes.split_once(said));
            let (_, told) = told.unwrap_or_else(|| panic!("{words}: {bytes:?}"));
            let told = told.split('\r').next().unwrap();
            let (done, of) = told.split_once(" of ").unwrap();
            assert!(done.parse::<usize>().unwrap() < of.parse().unwrap(), "{words}: {told}");
        } else {
            println!("SKIPPED, NOT TESTED: done too soon for a line: {words}");
        }
        // Each line is written over, the last one is taken away, and no other ever began.
        let shown = text_of(&emulate((900, 80), bytes.as_bytes()));
        assert!(!said.iter().any(|said| shown.contains(said)), "{words}:\n{shown}");
        assert!(shown.starts_with("begun\n") && shown.ends_with("done\n"), "{words}:\n{shown}");
        if words.contains(" > ") {
            assert_eq!(shown, "begun\ndone\n", "{words}");
            assert_eq!(fs::read(out.path().join("made")).unwrap(), with, "{words}");
            fs::remove_file(out.path().join("made")).unwrap();
        }
    }
}

#[test]
fn nothing_is_said_where_a_line_cannot_be_taken_away() {
    let home = shop();
    for (line, cells) in [
        (format!("TERM=dumb {PROGRAM} verify --all > /dev/null"), (24, 80)),
        (format!("TERM= {PROGRAM} verify --all > /dev/null"), (24, 80)),
        (format!("{PROGRAM} verify --all > /dev/null"), (24, 20)),
        (format!("{PROGRAM} verify --all 2> /dev/null > /dev/null"), (24, 80)),
    ] {
        assert_eq!(
            written(home.path(), &format!("{line}; echo done"), cells).0,
            "done\r\n",
            "{line}"
        );
    }
}
