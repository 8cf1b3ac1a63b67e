//! A dated remark to a service that has ended, and how long anything that is typed may be.

use super::services::{SESSION, begin};
use super::{Place, Shown, with_trainer};
use crate::plain::Mechanic;
use std::fs;

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn name(place: &Place) -> String {
    place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned()
}

#[test]
fn a_signed_service_takes_a_dated_remark_and_its_seal_code_stays() {
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let name = name(&place);
    let seal = |place: &Place| {
        let json = place.run_unsettled(&["verify", &name, "--json"]).out;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["whole"], true, "{json}");
        json["sessions"][0]["sealed"]["seal_code"].clone()
    };
    let before = (seal(&place), fs::read(&place.journals()[0]).unwrap());
    place.later(60 * 24 * 3);
    let added =
        place.run(&["note", &name, "rocker cover wept,", "new seal fitted", "--by", "A. Smith"]);
    assert!(
        added.done().starts_with("added to session SESSION-1 (Trainer), by A. Smith, 2026-03-17"),
        "{added}"
    );
    assert_eq!(seal(&place), before.0);
    assert!(!before.0.is_null());
    let after = fs::read(&place.journals()[0]).unwrap();
    assert!(after.starts_with(&before.1) && after.len() > before.1.len());
    let report = in_a_line(&place.run(&["report", &name]));
    assert!(report.contains("rocker cover wept, new seal fitted"), "{report}");
    assert!(report.contains("2026-03-17"), "with its day: {report}");
    assert!(report.contains("(added by A. Smith after the session was closed)"), "{report}");
    // A second one comes behind it; that one of them is cut off again is noticed.
    place.run(&["note", &name, "still dry", "--by", "A. Smith"]).done();
    fs::write(&place.journals()[0], after).unwrap();
    assert!(in_a_line(&place.run(&["verify", &name])).contains("entries here last time"));
}

#[test]
fn nothing_is_added_to_an_open_session_to_another_file_or_without_words() {
    let place = with_trainer();
    begin(&place, "", "Name or initials");
    let name = name(&place);
    let open = place.run(&["note", &name, "a remark"]);
    assert!(open.code == 1 && open.err.contains("is still open"), "{open}");
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let bytes = fs::read(&place.journals()[0]).unwrap();
    let outside = tempfile::tempdir().unwrap();
    let copy = outside.path().join("copy.jsonl");
    fs::write(&copy, &bytes).unwrap();
    let long = "x".repeat(2_001);
    for (of, text) in [(copy.to_str().unwrap(), "a remark"), (&name, " "), (&name, &long)] {
        let refused = place.run(&["note", of, text, "--by", "A. Smith"]);
        assert!(refused.code != 0, "{refused}");
    }
    assert_eq!(fs::read(&copy).unwrap(), bytes);
    assert_eq!(fs::read(&place.journals()[0]).unwrap(), bytes);
}

#[test]
fn a_remark_carries_the_name_that_was_given_or_that_the_settings_know_else_it_is_refused() {
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let name = name(&place);
    let bytes = fs::read(&place.journals()[0]).unwrap();
    let nobody = place.run(&["note", &name, "still dry"]);
    assert!(nobody.code == 2 && nobody.err.contains("nobody is named who writes it"), "{nobody}");
    assert!(nobody.err.contains("--by NAME"), "{nobody}");
    let long = "x".repeat(81);
    for by in ["", " ", &long, "a\u{202e}b"] {
        let refused = place.run(&["note", &name, "still dry", "--by", by]);
        assert!(refused.code == 2, "{by}: {refused}");
    }
    assert_eq!(fs::read(&place.journals()[0]).unwrap(), bytes);
    fs::write(place.path().join("settings.json"), r#"{"format":1,"worker":"B. Jones"}"#).unwrap();
    let added = place.run(&["note", &name, "still dry"]);
    assert!(added.done().contains(", by B. Jones, "), "{added}");
    let report = in_a_line(&place.run(&["report", &name]));
    assert!(report.contains("(added by B. Jones after the session was closed)"), "{report}");
}

#[test]
fn a_name_of_more_than_80_letters_and_a_note_of_more_than_2000_are_refused_at_the_question() {
    let place = with_trainer();
    let name = "J".repeat(3_000);
    let shown = place.run_typing(SESSION, &format!("\n\n{name}\n"));
    let told = in_a_line(&shown);
    assert!(told.contains("a name has at most 80 letters, this one has 3000"), "{told}");
    assert!(!shown.out.contains(&name), "and not repeated");
    let mut worker = Mechanic { stops_at: Some("Gauge 2 intake"), ..Mechanic::default() };
    place.run_asked(SESSION, &mut worker).done();
    let (long, most) = ("y".repeat(2_001), "z".repeat(2_000));
    let shown = place.run_typing(SESSION, &format!("*\n4\n0\n3\n{long}\n"));
    let text = fs::read_to_string(&place.journals()[0]).unwrap();
    let refused = in_a_line(&shown).contains("a note has at most 2000 characters");
    assert!(refused && !text.contains("yyyy"), "{shown}");
    let shown = place.run_typing(SESSION, &format!("*\n4\n0\n3\n{most}\n"));
    let text = fs::read_to_string(&place.journals()[0]).unwrap();
    assert!(text.contains(&most), "{shown}");
    let undone = shown.out.split("takes back: ").skip(1).filter_map(|words| words.lines().next());
    assert!(undone.clone().any(|words| words.ends_with('…')), "it is named in short: {shown}");
    assert!(undone.clone().all(|words| words.chars().count() < 200), "{shown}");
    // What was typed goes out in a table and in again.
    worker.stops_at = None;
    place.run_asked(SESSION, &mut worker).done();
    let table = place.path().join("all.csv");
    fs::write(&table, place.run_unsettled(&["export"]).out).unwrap();
    let other = Place::new();
    other.run(&["import", table.to_str().unwrap()]).done();
}

#[test]
fn a_profile_with_a_pile_of_marks_on_a_letter_is_refused_and_no_list_shows_it() {
    let place = with_trainer();
    let own = place.path().join("profiles");
    fs::create_dir_all(&own).unwrap();
    let text = include_str!("../../../profiles/flat-four.json");
    let piled = |marks: usize| {
        let name = format!("\"name\": \"Fla{}t four", "\u{301}".repeat(marks));
        text.replacen("\"name\": \"F", &name, 1)
    };
    let file = own.join("z.json");
    fs::write(&file, piled(60)).unwrap();
    let pile = "\u{301}".repeat(9);
    let commands: [&[&str]; 4] = [
        &["profiles", "check", file.to_str().unwrap()],
        &["profiles"],
        &["profiles", "show", "z"],
        &["plan", "z"],
    ];
    for words in commands {
        let shown = place.run(words);
        let told = in_a_line(&shown);
        assert!(shown.code == 1 && told.contains("a letter made of 61 signs"), "{shown}");
        assert!(!told.contains(&pile), "{shown}");
    }
    // A session that keeps such a profile was begun before there was that limit, and is read as before.
    use cowlside::store::profile_file::{parse_kept, parse_profile};
    assert_eq!(parse_kept(&piled(9), "kept").err().map(|why| why.to_string()), None);
    assert!(parse_profile(&piled(9), "new").is_err());
    fs::write(&file, piled(7)).unwrap();
    commands.iter().for_each(|words| {
        place.run(words).done();
    });
}

#[test]
fn a_copy_of_an_engine_s_file_is_called_a_copy_and_in_no_backup() {
    let place = with_trainer();
    let engines = place.path().join("engines");
    let own = fs::read_dir(&engines).unwrap().next().unwrap().unwrap().path();
    let stem = own.file_stem().unwrap().to_string_lossy().into_owned();
    let copy = engines.join(format!("{stem} (conflicted copy).json"));
    fs::copy(&own, &copy).unwrap();
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("a.backup");
    const SPARE: &str =
        "it says no more than the engine's own file: nothing need be done, it may be moved away";
    let commands =
        [&["engines"][..], &["verify"], &["export"], &["backup", file.to_str().unwrap()]];
    for words in commands {
        let shown = place.run_unsettled(words);
        let told = in_a_line(&shown);
        assert!(shown.code == 0 && !told.to_lowercase().contains("damaged"), "{shown}");
        assert!(!told.contains("in the backup as it is") && !told.contains("left out"), "{shown}");
        assert!(told.contains("is a copy of the file of Trainer"), "{shown}");
        assert!(told.contains(SPARE), "{shown}");
    }
    let told = in_a_line(&place.run(&["verify"]));
    assert!(told.contains("1 engine; 1 copy of such a file;"), "{told}");
    assert!(told.contains("Everything is whole."), "{told}");
    // What has something that the engine's own file lacks is looked at before it is moved away.
    let older = fs::read_to_string(&copy).unwrap();
    fs::write(&copy, older.replace("41260", "41270")).unwrap();
    fs::remove_file(&file).unwrap();
    for words in [&["engines"][..], &["verify"]] {
        let shown = place.run(words);
        let told = in_a_line(&shown);
        assert!(shown.code == 1 && !told.to_lowercase().contains("damaged"), "{shown}");
        assert!(!told.contains("may be moved away"), "{shown}");
        assert!(told.contains("says something that the engine's own file does not"), "{shown}");
    }
    fs::remove_file(&copy).unwrap();
    for words in [&["engines"][..], &["verify"]] {
        assert_eq!(place.run(words).code, 0);
    }
}

#[test]
fn a_remark_that_goes_into_another_file_says_in_which_and_why() {
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let own = place.journals()[0].clone();
    let kept_by_a_backup = place.path().join("kept.jsonl");
    fs::hard_link(&own, &kept_by_a_backup).unwrap();
    let before = fs::read(&own).unwrap();
    let session = name(&place);
    let shown = place.run(&["note", &session, "--by", "J. Doe", "linked"]);
    assert_eq!(shown.code, 0, "{shown}");
    let told = in_a_line(&shown);
    assert!(
        told.contains("this session has another file now (the file has a second name)"),
        "{told}"
    );
    assert!(told.contains("from here on it is kept in FOLDER/sessions/"), "{told}");
    assert_eq!(place.journals().len(), 2);
    assert_eq!(fs::read(&own).unwrap(), before);
}

#[cfg(target_os = "linux")]
#[test]
fn a_remark_that_no_disk_takes_is_in_no_file_and_one_failed_wait_is_told() {
    use crate::seat::PROGRAM;
    const FAILS: &str = r#"
#define _GNU_SOURCE
#include <errno.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>
static int fails(int data) {
    static int waits = 0;
    const char *which = getenv("FAILS");
    return which && (which[0] == 'a' || (data && waits++ == 0));
}
int fsync(int f) { if (fails(0)) { errno = EIO; return -1; } return syscall(SYS_fsync, f); }
int fdatasync(int f) { if (fails(1)) { errno = EIO; return -1; } return syscall(SYS_fdatasync, f); }
"#;
    let outside = tempfile::tempdir().unwrap();
    let library = outside.path().join("fails.so");
    if !crate::slow_disk::compiled(FAILS, &library, "no wait of a note was made to fail") {
        return;
    }
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let session = name(&place);
    let note = |fails: &str, before: &str, text: &str| {
        let command = format!("{before} exec \"$0\" note {session} --by 'J. Doe' {text}");
        let mut shell = std::process::Command::new("sh");
        shell.args(["-c", &command, PROGRAM]).env_clear().env("COWLSIDE_HOME", place.path());
        if !fails.is_empty() {
            shell.env("LD_PRELOAD", &library).env("FAILS", fails);
        }
        let done = shell.output().unwrap();
        let told = [&done.stdout[..], &done.stderr].concat();
        let told = String::from_utf8(told).unwrap();
        (done.status.code(), told.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let before = (place.journals(), fs::read(&place.journals()[0]).unwrap());
    let (code, told) = note("all", "", "nowhere");
    assert!(code == Some(1) && told.contains("NOT SAVED: disk fault on"), "{told}");
    assert!(told.contains("hint: make room on that disk or mend it, then say it again"), "{told}");
    assert_eq!((place.journals(), fs::read(&place.journals()[0]).unwrap()), before);
    // A full disk is no other folder's business, either.
    let (code, told) = note("", "ulimit -f 1;", "too much");
    assert!(code == Some(1) && told.contains("NOT SAVED: files may not grow"), "{told}");
    assert!(told.contains("then say it again") && !told.contains("COWLSIDE_HOME"), "{told}");
    let (code, told) = note("first", "", "elsewhere");
    assert!(code == Some(0) && told.contains("added to session"), "{told}");
    assert!(told.contains("this session has another file now (disk fault on"), "{told}");
    assert!(told.contains("from here on it is kept in ") && told.contains(".jsonl;"), "{told}");
    let report = in_a_line(&place.run(&["report", &session]));
    assert!(report.contains("elsewhere") && !report.contains("nowhere"), "{report}");
}
