//! A session that was saved in another folder: how it is asked where to, and that its file here is not
//! taken for all of it, however often that is opened.

#![cfg(unix)]

use crate::clocks::Clock;
use crate::full_disk::{limit, newest_in, run_in};
use crate::plain_seat::Plain;
use crate::real::kept;
use cowlside::domain::entry::Entry;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Answers until something is not saved, and asks for another folder; returns what was said then.
fn asked(plain: &mut Plain, path: &Path) -> String {
    limit(plain.child.id(), Some(std::fs::metadata(path).unwrap().len()));
    for _ in 0..8 {
        if !plain.seen.contains("NOT SAVED: 2 entries - ") {
            plain.answer();
        }
    }
    let asked = plain.type_in(":save");
    assert!(asked.contains("Which folder? "), "{asked}");
    asked
}

#[test]
fn a_folder_that_is_typed_after_a_long_pause_only_wakes() {
    let Some(clock) = Clock::make() else { return };
    let (folder, stick) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    clock.goes_on(0);
    let mut plain = clock.plain(folder.path(), None);
    while !plain.seen.contains("OPEN: ") {
        plain.answer();
    }
    let path = plain.journal().unwrap();
    let asked = asked(&mut plain, &path);
    assert!(asked.contains("\nOPEN: "), "{asked}");
    limit(plain.child.id(), None);
    clock.goes_on(40 * 60);
    let woken = plain.type_in(stick.path().to_str().unwrap());
    assert!(woken.contains("A long pause: that line was not taken as an answer."), "{woken}");
    assert!(woken.contains("To be proven next") || woken.contains("Open: "), "{woken}");
    assert_eq!(std::fs::read_dir(stick.path()).unwrap().count(), 0, "{woken}");
    let entries = kept(&path);
    let back = entries.iter().rev().find_map(|kept| match &kept.entry {
        Entry::Back(back) => back.after_min,
        _ => None,
    });
    assert_eq!(back, Some(40), "{woken}");
}

/// A session that goes on in a copy on a stick, ended there by a request or cut off by a kill.
fn saved_on(folder: &Path, stick: &Path) -> (Plain, PathBuf) {
    let mut plain = Plain::begin(folder, &[]);
    let path = plain.journal().unwrap();
    asked(&mut plain, &path);
    limit(plain.child.id(), None);
    let saved = plain.type_in(stick.to_str().unwrap());
    assert!(saved.contains("all is saved in "), "{saved}");
    // The file here may have got all of that meanwhile: something more, which it never has.
    let copy = newest_in(stick);
    let there = kept(&copy).len();
    while kept(&copy).len() < there + 1 {
        plain.answer();
    }
    (plain, copy)
}

#[test]
fn that_it_goes_on_elsewhere_is_told_however_often_its_file_here_is_opened() {
    let (folder, stick) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (mut plain, copy) = saved_on(folder.path(), stick.path());
    plain.kill();
    let goes_on = format!("goes on in {}, with ", copy.display());
    for time in 1..=6 {
        let looked = run_in(folder.path(), &["session", "Trainer 0", "--plain"]);
        assert!(looked.1.contains("ONLY LOOKING"), "opened {time} times: {looked:?}");
        let (_, _, err) = run_in(folder.path(), &["engines"]);
        assert!(err.contains(&goes_on), "opened {time} times: {err}");
    }
    // An entry that is cut off here and whole there counts, and nobody says that it does not.
    let path = plain.journal().unwrap();
    let (here, there) = (std::fs::read(&path).unwrap(), std::fs::read(&copy).unwrap());
    let next = there.split_inclusive(|byte| *byte == b'\n').nth(kept(&path).len()).unwrap();
    std::fs::write(&path, [&here, &next[..next.len() / 2]].concat()).unwrap();
    let counts = format!("is whole in {}, and counts there", copy.display());
    let looks: [(&[&str], bool); 6] = [
        (&["engines"], true),
        (&["session", "Trainer 0", "--plain"], true),
        (&["tag", "Trainer 0"], true),
        (&["report", "Trainer 0"], true),
        (&["verify", "--all"], true),
        (&["sessions", "Trainer 0"], false),
    ];
    for (words, told) in looks {
        let (_, out, err) = run_in(folder.path(), words);
        let all: String = format!("{out}\n{err}").split_whitespace().collect();
        let counts: String = counts.split_whitespace().collect();
        assert_eq!(all.contains(&counts), told, "{words:?}: {out}{err}");
        assert!(!all.contains("doesnotcount"), "{words:?}: {out}{err}");
    }
    // What stands there is another entry's beginning: of that one nobody knows.
    std::fs::write(&path, [&here[..], b"{\"seq\":7,\"t\":\"20"].concat()).unwrap();
    let (_, _, err) = run_in(folder.path(), &["engines"]);
    assert!(err.contains("what it said does not count"), "{err}");
    std::fs::write(&path, &here).unwrap();
    // What is whole here is not everything, and no word says so.
    let (code, out, _) = run_in(folder.path(), &["verify", "--all"]);
    assert_eq!(code, Some(0), "{out}");
    assert!(out.contains("1 session goes on elsewhere."), "{out}");
    assert!(!out.contains("Everything is whole."), "{out}");
    let (_, out, _) = run_in(folder.path(), &["verify", "--all", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["sessions"][0]["goes_on_in"], copy.to_str().unwrap());
    // What is harmless comes behind it.
    let equal = path.with_file_name("equal.jsonl");
    std::fs::copy(&path, &equal).unwrap();
    let (_, _, err) = run_in(folder.path(), &["engines"]);
    let several = err.find(" has several files: ");
    assert!(several.is_some() && err.find(&goes_on) < several, "{err}");
    std::fs::remove_file(equal).unwrap();
    // Once a file here has it, nothing more is said: not even where the one here went another way.
    let (code, _, err) = run_in(folder.path(), &["take", copy.to_str().unwrap()]);
    assert_eq!(code, Some(0), "{err}");
    assert!(!run_in(folder.path(), &["engines"]).2.contains("goes on in"));
    let (_, out, _) = run_in(folder.path(), &["verify", "--all"]);
    assert!(out.contains("Everything is whole."), "{out}");
}

#[test]
fn that_it_goes_on_elsewhere_is_told_after_a_kill_though_all_of_it_was_here_when_it_was_saved_there()
 {
    let (folder, stick) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    let before = kept(&path).len();
    asked(&mut plain, &path);
    limit(plain.child.id(), None);
    // It is tried again while nobody types.
    let since = Instant::now();
    while kept(&path).len() < before + 2 {
        assert!(since.elapsed() < Duration::from_secs(60), "not tried again");
        std::thread::sleep(Duration::from_millis(50));
    }
    let saved = plain.type_in(stick.path().to_str().unwrap());
    assert!(saved.contains("all is saved in "), "{saved}");
    let copy = newest_in(stick.path());
    let (here, there) = (kept(&path).len(), kept(&copy).len());
    assert_eq!(here, there, "the control");
    while kept(&copy).len() < there + 2 {
        plain.answer();
    }
    plain.kill();
    let (_, _, err) = run_in(folder.path(), &["engines"]);
    assert!(err.contains(&format!("goes on in {}, with ", copy.display())), "{err}");
}

#[test]
fn a_garbled_memo_ends_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    plain.end_of_input();
    let memo = newest_in(&folder.path().join("cache/seen"));
    let (most, hash) = (u64::MAX, "0".repeat(32));
    for text in [
        format!("{most} {hash}\n"),
        format!("0 {hash}\nsaved in {most} /x\n"),
        format!("0 {hash}\nsaved in {most} {hash} /x\n"),
        format!("saved in 1\n\n{most}\nsaved in "),
    ] {
        std::fs::write(&memo, &text).unwrap();
        for words in [&["engines"][..], &["verify", "--all"]] {
            let (code, out, err) = run_in(folder.path(), words);
            assert!(matches!(code, Some(0 | 1)) && !err.contains("panicked"), "{text}: {out}{err}");
        }
    }
}
