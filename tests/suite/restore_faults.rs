//! A restore that replaces, while each wait for the disk fails once and from then on: what was here
//! is in its place or in a file that the user is told of, and no more is said than is true.
//!
//! It needs Linux and strace; elsewhere it says loudly that it was skipped.

use crate::power_cuts::text;
use crate::system_calls::there_is_strace;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");
const NOTE: &str = "restore.unfinished";
const REPLACE: [&str; 2] = ["--replace", "engines"];

fn run(folder: &Path, under: &[&str], words: &[&str]) -> Output {
    let all = [under, &[PROGRAM], words].concat();
    Command::new(all[0]).args(&all[1..]).env("COWLSIDE_HOME", folder).output().unwrap()
}

fn done(folder: &Path, words: &[&str]) {
    let output = run(folder, &[], words);
    assert!(output.status.success(), "{words:?}: {output:?}");
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Two engines that ran on since their backup, and the backup.
fn changed() -> (TempDir, TempDir, PathBuf) {
    let (here, outside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for name in ["Trainer", "Tug"] {
        done(here.path(), &["engine", "add", name, "--profile", "flat-four", "--hours", "412.6"]);
    }
    let backup = backed_up(here.path(), outside.path(), "workshop.backup", "500");
    (here, outside, backup)
}

/// Makes a backup; then both engines run on to these hours.
fn backed_up(here: &Path, outside: &Path, name: &str, hours: &str) -> PathBuf {
    let backup = outside.join(name);
    done(here, &["backup", text(&backup)]);
    for name in ["Trainer", "Tug"] {
        done(here, &["engine", "hours", name, hours, "--so-it-is"]);
    }
    backup
}

/// Runs the program while one wait for the disk fails, or all from one on; tells whether one did.
fn run_failing(folder: &Path, when: &str, words: &[&str]) -> (Output, bool) {
    let logs = tempfile::tempdir().unwrap();
    let log = logs.path().join("log");
    let inject = format!("inject=fsync,fdatasync:error=EIO:when={when}");
    let under = ["strace", "-f", "-qq", "-e", "trace=fsync,fdatasync", "-e", &inject];
    let said = run(folder, &[&under[..], &["-o", text(&log)]].concat(), words);
    (said, fs::read_to_string(&log).unwrap().contains("(INJECTED)"))
}

/// A restore that was cut off, and the backup of another one.
fn cut_off() -> (TempDir, TempDir, PathBuf) {
    for when in (1..=16).map(|n| format!("{n}+")) {
        let (here, outside, backup) = changed();
        let other = backed_up(here.path(), outside.path(), "other.backup", "600");
        let restore = [&["restore", text(&backup)], &REPLACE[..]].concat();
        run_failing(here.path(), &when, &restore);
        if here.path().join(NOTE).exists() {
            return (here, outside, other);
        }
    }
    panic!("no restore was cut off");
}

#[test]
fn a_restore_that_did_nothing_leaves_the_note_of_an_earlier_one_as_it_was() {
    if !there_is_strace() {
        return;
    }
    let (mut put_back, mut done) = (0, 0);
    for when in (1..=16).flat_map(|n| [format!("{n}"), format!("{n}+")]) {
        let (here, _outside, other) = cut_off();
        let note = here.path().join(NOTE);
        let told = |here: &Path| words(&run(here, &[], &["engines"]).stderr);
        let (before, said_before) = (fs::read(&note).unwrap(), told(here.path()));
        assert!(said_before.contains("a restore was cut off"), "{said_before}");
        let engines_before = engines(here.path());
        let restore = [&["restore", text(&other)], &REPLACE[..]].concat();
        let (said, failed) = run_failing(here.path(), &when, &restore);
        if !failed {
            continue;
        }
        let after = fs::read(&note).ok();
        match (said.status.success(), are_as(&engines_before, &engines(here.path()))) {
            (false, true) => {
                // A disk that takes nothing any more may keep the other note, which is told as well.
                assert!(after.is_some(), "sync {when}: the earlier note is gone: {said:?}");
                if !when.ends_with('+') {
                    assert_eq!(after.as_ref(), Some(&before), "sync {when}: {said:?}");
                    assert_eq!(told(here.path()), said_before, "sync {when}");
                }
                put_back += usize::from(after.as_ref() == Some(&before));
            }
            (true, _) => done += 1,
            (false, false) => assert!(after.is_some(), "sync {when}: half done and untold"),
        }
    }
    println!("{put_back} times nothing was done and the earlier note is there, {done} times done");
    assert!(put_back > 8 && done > 0);
}

fn engines(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let paths = fs::read_dir(folder.join("engines")).unwrap().map(|entry| entry.unwrap().path());
    paths.map(|path| (path.clone(), fs::read(path).unwrap())).collect()
}

/// Tells whether all that was here is in its place.
fn are_as(before: &BTreeMap<PathBuf, Vec<u8>>, after: &BTreeMap<PathBuf, Vec<u8>>) -> bool {
    before.iter().all(|(path, old)| after.get(path) == Some(old))
}

/// What is not so after a run that said this: what was here, and what the next start says.
fn wrong(before: &BTreeMap<PathBuf, Vec<u8>>, folder: &Path, said: &Output) -> Vec<String> {
    let after = engines(folder);
    let note = folder.join(NOTE).exists();
    let next = words(&run(folder, &[], &["engines"]).stderr);
    let told = words(&said.stdout) + &words(&said.stderr) + &next;
    let mut wrong = Vec::new();
    for (path, old) in before {
        let named = after.iter().filter(|(aside, bytes)| {
            *bytes == old && told.contains(&*aside.file_name().unwrap().to_string_lossy())
        });
        if after.get(path) != Some(old) && named.count() == 0 {
            wrong.push(format!("{} is lost, or nobody is told where it is", text(path)));
        }
    }
    let is_as_before = are_as(before, &after);
    if is_as_before && (note || next.contains("cut off")) {
        wrong.push("nothing was done, and it is called cut off".into());
    }
    if said.status.success() && is_as_before {
        wrong.push("done and not done".into());
    }
    if said.status.success() && !words(&said.stdout).contains("2 of 2 copied") {
        wrong.push("it is not said what was done".into());
    }
    if !said.status.success() && !is_as_before && !note {
        wrong.push("it was half done, and the next start will not say so".into());
    }
    wrong
}

#[test]
fn whichever_sync_fails_nothing_is_lost_and_what_is_told_is_true() {
    if !there_is_strace() {
        return;
    }
    let (mut all_done, mut none_done, mut half_done) = (0, 0, 0);
    for when in (1..=16).flat_map(|n| [format!("{n}"), format!("{n}+")]) {
        let (here, _outside, backup) = changed();
        let before = engines(here.path());
        let restore = [&["restore", text(&backup)], &REPLACE[..]].concat();
        let (said, failed) = run_failing(here.path(), &when, &restore);
        if !failed {
            continue;
        }
        assert_eq!(wrong(&before, here.path(), &said), [""; 0], "sync {when}: {said:?}");
        match (said.status.success(), are_as(&before, &engines(here.path()))) {
            (true, _) => all_done += 1,
            (false, true) => none_done += 1,
            (false, false) => half_done += 1,
        }
        // The same command does it, and the next start is silent.
        done(here.path(), &restore);
        assert_eq!(words(&run(here.path(), &[], &["engines"]).stderr), "", "sync {when}");
        // The check can fail: with the copies away the old files are missed.
        fs::remove_dir_all(here.path().join("engines")).unwrap();
        fs::create_dir(here.path().join("engines")).unwrap();
        assert!(!wrong(&before, here.path(), &said).is_empty());
    }
    println!("{all_done} done, {none_done} not done, {half_done} half done, and 0 lost or untold");
    assert!(all_done > 0 && none_done > 8 && half_done > 0);
}
