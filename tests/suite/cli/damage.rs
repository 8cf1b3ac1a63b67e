//! What lies on the disk is damaged, newer, elsewhere in use, or there twice.

use super::{Place, Shown, with_trainer};
use crate::plain::Mechanic;
use std::fs::{self, File};
use std::path::Path;

const SESSION: &[&str] = &["session", "Trainer", "--plain"];

pub fn half_done(until: &'static str) -> Place {
    let place = with_trainer();
    go_on(&place, until);
    place
}

fn go_on(place: &Place, until: &'static str) -> Shown {
    let mut mechanic = Mechanic {
        reads: [("3 exhaust".to_string(), vec!["8", "12"])].into(),
        tries: [("3 exhaust".to_string(), "12")].into(),
        stops_at: Some(until),
        ..Mechanic::default()
    };
    place.run_asked(SESSION, &mut mechanic)
}

/// Changes one letter in the middle of a file.
pub fn damage(path: &Path) {
    let mut bytes = fs::read(path).unwrap();
    let lines: Vec<usize> =
        bytes.iter().enumerate().filter(|(_, byte)| **byte == b'\n').map(|(at, _)| at).collect();
    let in_the_middle = lines[lines.len() / 2] + 30;
    bytes[in_the_middle] ^= 1;
    fs::write(path, bytes).unwrap();
}

#[test]
fn a_damaged_session_is_told_everywhere_and_does_not_bar_the_engine_from_service() {
    let place = half_done("Set 3 exhaust");
    damage(&place.journals()[0]);
    let before = fs::read(&place.journals()[0]).unwrap();
    for words in [["tag", "Trainer"], ["report", &place.journals()[0].to_string_lossy()]] {
        let shown = place.run(&words);
        assert_eq!(shown.code, 0, "{shown}");
        assert!(shown.err.starts_with("warning: damaged at line"), "{shown}");
    }
    assert!(place.run(&["tag", "Trainer"]).out.contains("more than this may be open"));
    assert!(place.run(&["sessions", "Trainer"]).done().ends_with("open, damaged\n"));
    // More may be open than can be read.
    let harmless = half_done("Gauge 2 intake");
    damage(&harmless.journals()[0]);
    for place in [&harmless, &place] {
        let told = place.run(&["engine", "hours", "Trainer", "413"]).err;
        for words in [
            "an engine that runs like that is damaged",
            "do not run it before",
            "more than can be read: session SESSION-1 is damaged",
        ] {
            assert!(told.contains(words), "{told}");
        }
    }
    place.later(1);
    let anew = go_on(&place, "Gauge 2 intake");
    assert_eq!(anew.code, 0);
    assert!(anew.err.contains("session SESSION-1 cannot be gone on with: damaged"), "{}", anew.err);
    assert_eq!(place.journals().len(), 2);
    assert_eq!(fs::read(&place.journals()[0]).unwrap(), before);
    let compared = place.run(&["compare", "Trainer"]);
    assert!(compared.err.contains("warning: SESSION-1: damaged"), "{compared}");
}

#[test]
fn an_end_that_was_cut_off_is_set_aside_and_the_session_goes_on() {
    let place = half_done("Gauge 2 intake");
    let path = &place.journals()[0];
    let whole = fs::read(path).unwrap();
    fs::write(path, &whole[..whole.len() - 20]).unwrap();
    let shown = go_on(&place, "Gauge 2 exhaust");
    assert_eq!(shown.code, 0, "{shown}");
    // The entry that was cut had been kept: that it is missing is said.
    assert!(shown.err.contains("entries here last time, now it has"), "{shown}");
    assert!(shown.out.starts_with("Open: "), "{shown}");
    assert_eq!(place.journals().len(), 1);
    assert!(fs::read(path).unwrap().starts_with(&whole[..whole.len() - 20]));
    assert!(place.run(&["compare", "Trainer"]).failed().0.contains("nothing to compare"));
}

#[test]
fn a_file_that_is_no_session_is_left_out_and_told() {
    let place = half_done("Gauge 2 intake");
    fs::write(place.path().join("sessions/stray.jsonl"), "hello\n").unwrap();
    for words in [["sessions", "Trainer"], ["tag", "Trainer"]] {
        let shown = place.run(&words);
        assert_eq!(shown.code, 0);
        assert!(
            shown.err.contains("warning: left out: ") && shown.err.contains("SESSION-2.jsonl"),
            "{shown}"
        );
    }
    assert!(place.run(&["engines"]).err.contains("SESSION-2.jsonl"));
}

#[test]
fn a_session_open_in_another_terminal_is_not_gone_on_with() {
    let place = half_done("Gauge 2 intake");
    let before = fs::read(&place.journals()[0]).unwrap();
    let locks: Vec<_> = fs::read_dir(place.path().join("locks"))
        .unwrap()
        .map(|lock| lock.unwrap().path())
        .collect();
    let session = locks.iter().find(|path| !path.ends_with("engines.lock")).unwrap();
    let held = File::options().read(true).write(true).open(session).unwrap();
    held.lock().unwrap();
    let shown = place.run(SESSION);
    assert!(shown.done().starts_with("ONLY LOOKING: open in another terminal"), "{shown}");
    assert_eq!(place.journals().len(), 1);
    assert_eq!(fs::read(&place.journals()[0]).unwrap(), before);
    assert!(place.run(&["tag", "Trainer"]).done().contains("DO NOT TURN"));
    // Closed only, it may be held on in a child that another test is just starting.
    held.unlock().unwrap();
    go_on(&place, "Gauge 2 intake").done();
}

#[test]
fn the_newest_of_two_open_sessions_is_gone_on_with_and_the_other_told() {
    let place = half_done("Gauge 2 intake");
    // One was on another computer while the other was begun.
    let first = place.journals()[0].clone();
    let elsewhere = place.path().join("elsewhere");
    fs::rename(&first, &elsewhere).unwrap();
    place.later(60);
    go_on(&place, "Gauge 4 intake").done();
    fs::rename(&elsewhere, &first).unwrap();
    assert_eq!(place.journals().len(), 2);
    let before = fs::read(&first).unwrap();
    let shown = go_on(&place, "Gauge 4 intake");
    assert_eq!(shown.code, 0);
    assert!(shown.err.contains("session SESSION-1 is open, too"), "{}", shown.err);
    assert!(shown.out.contains("[round 1 of 2, gauge and set · stop 4 of 4]"), "{shown}");
    assert_eq!(fs::read(&first).unwrap(), before);
}

#[test]
fn a_session_whose_engine_cannot_be_kept_up_goes_on_all_the_same() {
    let place = with_trainer();
    place.run_typing(SESSION, "\n\n").done();
    let engines = File::options()
        .read(true)
        .write(true)
        .open(place.path().join("locks/engines.lock"))
        .unwrap();
    engines.lock().unwrap();
    let shown = place.run_typing(SESSION, "J. Doe\n");
    assert_eq!(shown.code, 0);
    assert!(shown.out.contains("saved: J. Doe at work"), "{shown}");
    assert!(shown.err.contains("warning: not remembered for the next service"), "{shown}");
}

#[test]
fn the_record_of_a_signed_session_that_is_damaged_certifies_nothing_in_any_form() {
    let place = half_done("nowhere");
    let path = place.journals()[0].to_string_lossy().into_owned();
    let record = |format: &str| place.run(&["report", &path, "--format", format]).out;
    let whole: serde_json::Value = serde_json::from_str(&record("json")).unwrap();
    let (owner, code) = (&whole["owner_sentence"], &whole["seal_code"]);
    assert_eq!((&whole["ending"], &whole["damage"]), (&"signed".into(), &serde_json::Value::Null));
    let (owner, code) = (owner.as_str().unwrap(), code.as_str().unwrap());
    let beginning = &owner[..owner.len().min(20)];
    for format in ["text", "md", "html"] {
        let record = record(format);
        assert!(record.contains(beginning) && record.contains(code), "the control: {record}");
        assert!(!record.contains("NOT WHOLE"), "{record}");
    }
    damage(Path::new(&path));
    for format in ["text", "md", "html"] {
        let record = record(format);
        assert!(!record.contains(beginning) && !record.contains(code), "{format}: {record}");
        let told = record.find("NOT WHOLE").unwrap();
        assert!(told < record.find("For the owner").unwrap(), "{format}: {record}");
    }
    let damaged: serde_json::Value = serde_json::from_str(&record("json")).unwrap();
    assert!(damaged["damage"].as_str().unwrap().starts_with("damaged at line"), "{damaged}");
    assert_eq!(damaged["seal_code"], serde_json::Value::Null);
    assert_ne!(damaged["owner_sentence"], whole["owner_sentence"]);
}

#[test]
fn a_signed_session_that_is_damaged_is_told_where_engines_and_sessions_are_listed_and_backed_up() {
    // In the line that says of which engine it is, and further on.
    for line in [1, 30] {
        let place = crate::cli::services::with_services();
        let elsewhere = tempfile::tempdir().unwrap();
        let whole = [
            place.run(&["engines"]),
            place.run(&["sessions", "Trainer"]),
            place.run(&["backup", &elsewhere.path().join("whole").to_string_lossy()]),
        ];
        for shown in &whole {
            assert!(!shown.err.contains("damaged"), "{shown}");
        }
        let path = place.journals()[1].clone();
        let mut bytes = fs::read(&path).unwrap();
        let ends = bytes.iter().enumerate().filter(|(_, byte)| **byte == b'\n');
        let at = ends.map(|(at, _)| at).nth(line - 1).unwrap() + 150;
        bytes[at] ^= 1;
        fs::write(&path, bytes).unwrap();
        for words in [
            vec!["engines".to_string()],
            vec!["sessions".into(), "Trainer".into()],
            vec!["backup".into(), elsewhere.path().join("damaged").to_string_lossy().into_owned()],
        ] {
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let shown = place.run(&words);
            let told = format!("{}{}", shown.out, shown.err);
            assert_eq!(shown.code, 0, "{shown}");
            assert!(told.contains("damaged"), "line {line}, {words:?}: {shown}");
        }
    }
}

#[test]
fn what_was_cut_off_a_session_is_told_before_and_after_it_is_set_aside() {
    let place = half_done("Gauge 2 intake");
    let path = place.journals()[0].clone();
    let whole = fs::read_to_string(&path).unwrap();
    let last = whole.rfind("{\"seq\":").unwrap();
    let reading = whole.rfind("\"k\":\"reading\"").unwrap();
    let reading = whole[..reading].rfind("{\"seq\":").unwrap();
    assert!(reading <= last);
    // Cut within the last reading: what came after it never was.
    let line = whole[reading..].lines().next().unwrap();
    let cut = reading + line.len() - 50;
    fs::write(&path, &whole[..cut]).unwrap();
    // What was seen here is noted nowhere: nothing else would tell it.
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    let valve = if line.contains("intake") { "intake" } else { "exhaust" };
    let told = format!("; it was a reading of 3 {valve}: what it said does not count");
    let listed = place.run(&["engines"]);
    assert!(listed.code == 0 && listed.err.contains(&told), "{told}: {listed}");
    assert!(listed.err.contains("SESSION-1: its last entry is cut off"), "{listed}");
    let shown = place.run_typing(SESSION, "\n");
    assert!(
        shown.err.contains(&told) && shown.err.contains("cowlside verify SESSION-1"),
        "{shown}"
    );
    // No figure: it may be of the valve that is gauged next.
    assert!(!shown.err.contains("typed"), "{shown}");
    let checked = place.run(&["verify", path.to_str().unwrap()]);
    assert!(checked.done().contains("set aside"), "{checked}");
    let words = checked.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("\"typed\":\"") && words.contains(&told[2..]), "{checked}");
    let all = place.run(&["verify"]);
    let words = all.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("an end cut off earlier lies set aside (entry "), "{all}");
    assert!(words.ends_with("Of 1 session an end that was cut off lies set aside."), "{all}");
}

#[test]
fn entries_that_are_missing_are_told_at_each_opening_until_something_is_answered() {
    let place = half_done("Gauge 2 intake");
    let path = &place.journals()[0];
    let whole = fs::read_to_string(path).unwrap();
    let lines: Vec<&str> = whole.split_inclusive('\n').collect();
    fs::write(path, lines[..lines.len() - 3].concat()).unwrap();
    let session = ["session", "Trainer", "--plain"];
    // Each opening adds an entry of its own: after some there is another in the place of what was seen.
    let missed = |shown: &str| {
        let words = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        words.contains("entries here last time, now it has")
            || words.contains("is not the one that was here last time")
    };
    for opened in 0..4 {
        let shown = place.run_typing(&session, "");
        assert!(shown.code == 0 && missed(&shown.err), "{opened}: {shown}");
        let checked = place.run(&["verify"]);
        assert!(checked.code == 1 && missed(&checked.out), "{opened}: {checked}");
    }
    // Whoever answers has read it.
    assert_eq!(place.run_typing(&session, "1\n").code, 0);
    assert!(!missed(&place.run_typing(&session, "").err));
    assert!(place.run(&["verify"]).done().ends_with("Everything is whole.\n"));
}
