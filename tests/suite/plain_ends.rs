//! The plain session of the built program ended from outside: by a request, with last words, or
//! killed while it writes.
//!
//! `COWLSIDE_KILLS=500 cargo test --test suite plain_ends:: -- --nocapture` kills that often.

#![cfg(unix)]

use crate::cut_off::{Dice, kills};
use crate::full_disk::limit;
use crate::plain_seat::Plain;
use crate::real::{holds_all, kept, words_of};
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::Entry;
use cowlside::store::journal::{self, Verdict};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Every way in which somebody asks it to end, and the exit code of each.
const REQUESTS: [(&str, i32); 4] = [("HUP", 129), ("INT", 130), ("QUIT", 131), ("TERM", 143)];

/// Long enough for any machine; what it takes is printed.
const SOON: Duration = Duration::from_secs(30);

#[test]
fn a_request_to_end_says_what_is_saved_and_how_to_go_on() {
    let mut slowest = Duration::ZERO;
    for (signal, code) in REQUESTS {
        let folder = tempfile::tempdir().unwrap();
        let mut plain = Plain::begin(folder.path(), &[]);
        for _ in 0..9 {
            plain.answer();
        }
        let path = plain.journal().unwrap();
        let (before, saved) = (kept(&path).len(), plain.saved());
        let since = Instant::now();
        let (ended, said) = plain.end_by(signal);
        slowest = slowest.max(since.elapsed());
        assert!(slowest < SOON, "{signal}: {slowest:?}");
        assert_eq!(ended, Some(code), "{said}");
        assert_eq!(
            said,
            "\nEnded from outside. Everything that was said to be saved is on the disk.\n\
             The session stays open; go on with it: cowlside session \"Trainer 0\" --plain\n"
        );
        assert_eq!(kept(&path).len(), before);
        assert!(holds_all(&saved, &words_of(&kept(&path))));
    }
    println!("{} requests to end, the slowest took {slowest:?}", REQUESTS.len());
}

/// As `nohup`, or a shell with what it starts in the background, begins a program.
#[cfg(target_os = "linux")]
#[test]
fn what_was_ignored_at_the_start_ends_nothing_and_the_rest_still_does() {
    let folder = tempfile::tempdir().unwrap();
    let under = ["/bin/sh", "-c", "trap '' HUP INT; exec \"$@\"", "sh"];
    let mut plain = Plain::begin_under(folder.path(), &[], &under);
    for signal in ["HUP", "INT"] {
        plain.signal(signal);
        plain.answer();
    }
    let (ended, said) = plain.end_by("TERM");
    assert_eq!(ended, Some(143), "{said}");
    assert!(said.contains("Ended from outside. Everything that was said"), "{said}");
    assert!(holds_all(&plain.saved(), &words_of(&kept(&plain.journal().unwrap()))));
}

#[test]
fn a_request_to_end_says_word_for_word_what_is_not_saved() {
    for (signal, code) in REQUESTS {
        let folder = tempfile::tempdir().unwrap();
        let mut plain = Plain::begin(folder.path(), &[]);
        let path = plain.journal().unwrap();
        limit(plain.child.id(), Some(std::fs::metadata(&path).unwrap().len()));
        // Some answers make no entry.
        for _ in 0..8 {
            if !plain.seen.contains("NOT SAVED: 2 entries - ") {
                plain.answer();
            }
        }
        let (ended, said) = plain.end_by(signal);
        assert_eq!(ended, Some(code), "{said}");
        let lines: Vec<&str> = said.lines().collect();
        let head = lines.iter().position(|line| line.starts_with("NOT SAVED: 2 entries - "));
        let head = head.unwrap_or_else(|| panic!("{said}"));
        assert_eq!(lines[head + 1], "Write these down:", "{said}");
        assert!(lines[head + 2].starts_with("  ") && lines[head + 3].starts_with("  "), "{said}");
        assert!(lines[head + 4].starts_with("Asked next: "), "{said}");
        assert!(lines[head + 5].starts_with("The session stays open; go on with it: "), "{said}");
        assert_eq!(lines.len(), head + 6, "{said}");
        assert!(!said.contains("Everything that was said to be saved"), "{said}");
    }
}

#[test]
fn the_end_of_the_input_is_no_fault_and_needs_no_last_words() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    drop(plain.input.take());
    assert_eq!(plain.child.wait().unwrap().code(), Some(0));
}

/// Starts the session again and lets it end at once.
fn go_on(folder: &Path) {
    let gone_on = Command::new(env!("CARGO_BIN_EXE_cowlside"))
        .args(["session", "Trainer 0", "--plain"])
        .env_clear()
        .env("COWLSIDE_HOME", folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(gone_on.status.success() && gone_on.stdout.starts_with(b"Open: "), "{gone_on:?}");
}

#[test]
fn a_session_killed_between_an_answer_and_its_saved_has_all_that_was_said_and_goes_on() {
    let tries = kills(30);
    let seed = 11_29;
    let mut dice = Dice(seed);
    let (mut acknowledged, mut unsaid, mut cut) = (0, 0, 0);
    for _ in 0..tries {
        let folder = tempfile::tempdir().unwrap();
        let mut plain = Plain::begin(folder.path(), &[]);
        for _ in 0..dice.up_to(30) {
            plain.answer();
        }
        plain.answer_into_the_dark();
        // The answer is read, decided on, written, waited for and acknowledged within this.
        std::thread::sleep(Duration::from_micros(dice.up_to(4_000)));
        let said = plain.kill_and_hear();
        let path = plain.journal().unwrap();
        cut += usize::from(!std::fs::read(&path).unwrap().ends_with(b"\n"));
        let words = words_of(&kept(&path));
        assert!(holds_all(&said, &words), "{said:#?}\n{words:#?}");
        let last = said.last().unwrap();
        let without: Vec<String> = words.iter().filter(|word| *word != last).cloned().collect();
        assert!(!holds_all(&said, &without), "a lost entry would not be noticed");
        acknowledged += said.len();
        unsaid += words.iter().filter(|word| word.contains("saved: ")).count() - said.len();
        go_on(folder.path());
        let again = kept(&path);
        assert!(matches!(again.last().unwrap().entry, Entry::Back(_)));
        assert_eq!(words_of(&again)[..words.len()], words);
    }
    println!(
        "{tries} kills (seed {seed}), {acknowledged} saved lines seen, {unsaid} entries on the disk \
         before they were said to be, {cut} cut off, none lost"
    );
    assert!(tries > 0 && acknowledged >= tries);
}

#[test]
fn a_session_killed_in_the_middle_of_a_line_is_cut_off_not_damaged_and_goes_on() {
    let tries = kills(30);
    let (mut torn, mut acknowledged) = (0, 0);
    for round in 0..tries {
        let folder = tempfile::tempdir().unwrap();
        let mut plain = Plain::begin(folder.path(), &[]);
        for _ in 0..round % 25 {
            plain.answer();
        }
        let path = plain.journal().unwrap();
        let length = std::fs::metadata(&path).unwrap().len();
        // The system takes so many bytes of what is written next, and no more before the kill.
        limit(plain.child.id(), Some(length + 1 + u64::try_from(round).unwrap() * 7 % 160));
        // Some answers make no entry.
        while std::fs::metadata(&path).unwrap().len() == length {
            plain.answer();
        }
        let said = plain.kill_and_hear();
        let bytes = std::fs::read(&path).unwrap();
        let opened = journal::open(&path, &parse).unwrap();
        let words = words_of(&opened.entries);
        assert!(holds_all(&said, &words), "{said:#?}\n{words:#?}");
        acknowledged += said.len();
        if !bytes.ends_with(b"\n") {
            torn += 1;
            let verdict = opened.verdict;
            assert!(verdict != Verdict::Clean && verdict.may_append(), "{verdict:?}");
            // The check can fail: the same with whole lines behind it is damage.
            let line = bytes.iter().position(|byte| *byte == b'\n').unwrap();
            let broken = folder.path().join("broken.jsonl");
            std::fs::write(&broken, [&bytes[..line - 9], &bytes[line..]].concat()).unwrap();
            assert!(!journal::open(&broken, &parse).unwrap().verdict.may_append());
        }
        go_on(folder.path());
        let again = journal::open(&path, &parse).unwrap();
        assert_eq!(words_of(&again.entries)[..words.len()], words);
        assert!(std::fs::read(&path).unwrap().starts_with(&bytes), "healed by appending only");
    }
    println!(
        "{tries} kills, {torn} in the middle of a line, {acknowledged} saved lines seen, none lost"
    );
    assert!(torn * 2 > tries, "{torn}");
}
