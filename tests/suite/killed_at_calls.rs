//! The built program killed on entry to a chosen system call, one after the other, until a run lives to
//! its end: an import, a take, a session; in `small` settings, engines, a backup and restores.
//!
//! They need Linux and strace; elsewhere they say loudly that they were skipped. A few calls of each kind
//! are tried by default, each with `COWLSIDE_EVERY_CALL=1 cargo test --test suite killed_at_calls::
//! -- --nocapture`.

mod small;

use crate::plain_seat::Plain;
use crate::power_cuts::text;
use crate::real::{holds_all, invented, kept, words_of};
use crate::seat::PROGRAM;
use crate::system_calls::there_is_strace;
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

/// What changes a disk, and what opens a file.
const CALLS: [&str; 9] =
    ["openat", "mkdir", "write", "fsync", "fdatasync", "linkat", "unlink", "rename", "flock"];
const KILL: i32 = 9;

/// How many calls of a kind are passed over between two that are tried.
fn stride(usual: usize) -> usize {
    if std::env::var_os("COWLSIDE_EVERY_CALL").is_some() { 1 } else { usual }
}

/// The command line under which the `n`-th call of this kind of a thread kills.
fn under(call: &str, n: usize) -> [String; 7] {
    let inject = format!("inject={call}:signal=KILL:when={n}");
    ["strace", "-f", "-qqq", "-o", "/dev/null", "-e", &inject].map(str::to_owned)
}

fn run(folder: &Path, words: &[&str]) -> Output {
    let mut command = Command::new(words[0]);
    command.args(&words[1..]).env_clear().env("COWLSIDE_HOME", folder).stdin(Stdio::null());
    command.output().unwrap()
}

fn own(folder: &Path, words: &[&str]) -> Output {
    run(folder, &[&[PROGRAM], words].concat())
}

#[track_caller]
fn done(folder: &Path, words: &[&str]) -> (String, String) {
    let output = own(folder, words);
    assert!(output.status.success(), "{words:?}: {output:?}");
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

/// Engines, sessions and profiles by their names, and whatever lies in the folder itself.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for inside in ["engines", "sessions", "profiles", "."] {
        let Ok(listed) = fs::read_dir(folder.join(inside)) else { continue };
        for path in listed.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()) {
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
            all.insert(name, fs::read(&path).unwrap());
        }
    }
    all
}

fn copied(folder: &Path) -> TempDir {
    let copy = tempfile::tempdir().unwrap();
    let from = format!("{}/.", text(folder));
    assert!(crate::power_cuts::run("cp", &["-a", &from, text(copy.path())]));
    copy
}

/// What stands on the table of all readings, a line each, in order of lines.
fn readings(folder: &Path) -> Vec<String> {
    let mut lines: Vec<String> = done(folder, &["export"]).0.lines().map(str::to_owned).collect();
    lines.sort();
    lines
}

fn names(folder: &Path, ending: &str) -> usize {
    files(folder).keys().filter(|name| name.ends_with(ending)).count()
}

#[derive(Debug, Default)]
struct Count {
    kills: usize,
    told: usize,
    partly: usize,
}

/// Kills `words` at the calls of each kind, in a copy of a folder each time; then looks, and runs it
/// again.
fn killed_at_each(base: &Path, words: &[&str], one: &str) -> Count {
    let whole = copied(base);
    done(whole.path(), words);
    let (before, after) = (files(base), files(whole.path()));
    let (all, expected) = (readings(whole.path()), names(whole.path(), ".jsonl"));
    let mut count = Count::default();
    for call in CALLS {
        let mut n = 1;
        loop {
            let copy = copied(base);
            let folder = copy.path();
            let strace = under(call, n);
            let strace: Vec<&str> = strace.iter().map(String::as_str).collect();
            let ended = run(folder, &[&strace, &[PROGRAM][..], words].concat());
            if ended.status.signal() != Some(KILL) {
                assert!(ended.status.success(), "{call} {n}: {ended:?}");
                break;
            }
            count.kills += 1;
            let at = format!("killed at {call} {n}");
            // What was here is here to the byte, and what has a name is whole.
            let now = files(folder);
            // The hours of an engine that is here may have been brought up to date.
            let is_as_before = |(name, bytes): (&String, &Vec<u8>)| {
                now.get(name).is_some_and(|now| now == bytes || after.get(name) == Some(now))
            };
            assert!(before.iter().all(is_as_before), "{at}");
            let (said, next) = done(folder, &["verify", "--all"]);
            assert!(said.ends_with("Everything is whole.\n"), "{at}: {said}");
            let came = now.keys().filter(|name| !before.contains_key(*name));
            let came = came.filter(|name| name.ends_with(".json") || name.ends_with(".jsonl"));
            let came = came.count();
            let tells = next.contains(&format!("warning: {one} from {}", words[1]))
                && next.contains(&format!("to finish it: cowlside {} {}", words[0], words[1]));
            assert!(tells || came == 0 || readings(folder) == all, "{at}: {next}");
            count.told += usize::from(tells);
            count.partly += usize::from(came > 0 && names(folder, ".jsonl") < expected);
            // Once more, and it is as if nothing had happened.
            let (_, said) = done(folder, words);
            assert!(!said.contains("cut off"), "{at}: {said}");
            assert_eq!(readings(folder), all, "{at}");
            assert_eq!(names(folder, ".jsonl"), expected, "{at}: nothing is doubled");
            assert_eq!(names(folder, ".new") + names(folder, ".unfinished"), 0, "{at}");
            assert_eq!(done(folder, &["engines"]).1, "", "{at}");
            n += stride(if ["linkat", "unlink", "rename"].contains(&call) { 2 } else { 9 });
        }
    }
    println!("{}: {count:?}", words[0]);
    assert!(count.kills > 20 && count.told > 3 && count.partly > 1, "{count:?}");
    count
}

/// An invented workshop with few engines, and one that has an engine of its own.
fn two_folders() -> (TempDir, TempDir) {
    let (other, base) = (invented(), tempfile::tempdir().unwrap());
    let add = ["engine", "add", "Own", "--profile", "flat-four", "--hours", "12"];
    done(base.path(), &add);
    (other, base)
}

#[test]
fn an_import_killed_at_any_call_is_told_and_running_it_again_finishes_it() {
    if !there_is_strace() {
        return;
    }
    let (other, base) = two_folders();
    let table = other.path().join("table.csv");
    fs::write(&table, done(&other.path().join("demo"), &["export"]).0).unwrap();
    killed_at_each(base.path(), &["import", text(&table)], "an import");
}

#[test]
fn a_take_killed_at_any_call_is_told_and_running_it_again_finishes_it() {
    if !there_is_strace() {
        return;
    }
    let (other, base) = two_folders();
    killed_at_each(base.path(), &["take", text(&other.path().join("demo"))], "a take");
}

#[test]
fn what_was_cut_off_is_told_until_the_same_command_finishes_it() {
    let (other, base) = two_folders();
    let (folder, from) = (base.path(), other.path().join("demo"));
    let take = ["take", text(&from)];
    done(folder, &[&take[..], &["--dry-run"]].concat());
    assert_eq!(names(folder, ".unfinished"), 0);
    // The note of a run that died when one of two files had its name.
    let note = |command: &str, path: &str| {
        format!(
            r#"{{"format":1,"command":"{command}","from":"{path}","new":["{}","engines/b.json"]}}"#,
            files(folder).keys().find(|name| name.starts_with("engines/")).unwrap()
        )
    };
    let written = |name: &str, text: &str| fs::write(folder.join(name), text).unwrap();
    written("engines/import-0123456789abcdef.unfinished", &note("import", "/there/t.csv"));
    written("engines/take-0123456789abcdef.unfinished", "{");
    written("engines/mine.unfinished", "my own words");
    let said = done(folder, &["engines"]).1;
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), 2, "{said}");
    let tells = "warning: an import from /there/t.csv was cut off: 1 of its 2 new files are missing; \
        to finish it: cowlside import /there/t.csv; to hear no more of it, remove ";
    assert!(lines[0].starts_with(tells), "{said}");
    let tells = "warning: a take was cut off, and its note cannot be read: run it again; ";
    assert!(lines[1].starts_with(tells), "{said}");
    // Another take, done to its end, leaves the notes of others alone.
    let (_, again) = done(folder, &take);
    assert_eq!(again, said);
    assert_eq!(names(folder, ".unfinished"), 3);
    // While somebody is at work nothing is called cut off.
    let lock = folder.join("locks/engines.lock");
    let lock = fs::File::options().write(true).open(lock).unwrap();
    lock.lock().unwrap();
    assert_eq!(done(folder, &["engines"]).1, "");
}

/// A plain session that is killed at a call; what it said was saved is looked for.
#[test]
fn a_session_killed_at_any_call_has_all_that_was_said_to_be_saved() {
    if !there_is_strace() {
        return;
    }
    let (mut kills, mut told, mut cut) = (BTreeMap::new(), 0, 0);
    for (call, most) in [
        ("write", 60),
        ("fdatasync", 40),
        ("fsync", 8),
        ("openat", 60),
        ("rename", 6),
        ("mkdir", 4),
        ("unlink", 2),
        ("flock", 9),
    ] {
        let mut n = 1;
        while n <= most {
            let folder = tempfile::tempdir().unwrap();
            let strace = under(call, n);
            let strace: Vec<&str> = strace.iter().map(String::as_str).collect();
            let Some(mut plain) = Plain::until_it_dies(folder.path(), &strace, 45) else {
                n += stride(7);
                continue;
            };
            *kills.entry(call).or_insert(0) += 1;
            let said = plain.saved();
            told += said.len();
            if let Some(path) = plain.journal() {
                cut += usize::from(!fs::read(&path).unwrap().ends_with(b"\n"));
                let words = words_of(&kept(&path));
                assert!(holds_all(&said, &words), "{call} {n}: {said:#?}\n{words:#?}");
                if let Some(last) = said.last() {
                    let mut without = words.clone();
                    without.retain(|word| word != last);
                    assert!(!holds_all(&said, &without), "a lost entry would not be noticed");
                }
            } else {
                assert_eq!(said, [""; 0], "{call} {n}");
            }
            plain.child.wait().unwrap();
            let (gone_on, _) = done(folder.path(), &["session", "Trainer 0", "--plain"]);
            assert!(!gone_on.contains("DAMAGED"), "{call} {n}: {gone_on}");
            n += stride(7);
        }
    }
    let all: usize = kills.values().sum();
    println!("{all} kills {kills:?}, {told} lines told as saved, {cut} cut off, 0 lost");
    assert!(kills.len() == 8 && told > 100, "{kills:?} {told}");
}
