//! What is told to be typed: whatever stands in a name, a shell reads the same words back and does no
//! more.

#![cfg(unix)]

use super::Place;
use crate::plain::Mechanic;
use cowlside::store::words::word;
use std::fs;
use std::path::Path;
use std::process::Command;

const NAMES: [&str; 10] = [
    "two words",
    "the owner's",
    "a\"; touch PWNED; \"b",
    "$(touch PWNED)",
    "`touch PWNED`",
    "x; touch PWNED",
    "back\\slash \\",
    "$HOME & ~ #1 *",
    "what!! {a,b} <c>",
    "plain",
];

/// Lets a shell take a command apart, in a folder where nothing may come of it.
fn words_of(command: &str) -> Vec<String> {
    let inside = tempfile::tempdir().unwrap();
    let script = format!("cowlside() {{ printf '%s\\n' \"$@\"; }}\n{command}\n");
    let ran = Command::new("sh").arg("-c").arg(script).current_dir(inside.path()).output().unwrap();
    assert!(ran.status.success() && ran.stderr.is_empty(), "{command}: {ran:?}");
    assert_eq!(fs::read_dir(inside.path()).unwrap().count(), 0, "{command}");
    String::from_utf8(ran.stdout).unwrap().lines().map(str::to_owned).collect()
}

/// Finds the command that is told with a name, and lets a shell read it.
#[track_caller]
fn assert_told(told: &str, verb: &str, name: &str) {
    let told = told.replace('\n', " ");
    let begins = format!("cowlside {verb} ");
    let at = told.find(&begins).unwrap_or_else(|| panic!("no {begins}: {told}"));
    let rest = &told[at..];
    let typed = word(name);
    let end = rest.find(&typed).unwrap_or_else(|| panic!("no {typed}: {told}")) + typed.len();
    let words: Vec<&str> = verb.split(' ').chain([name]).collect();
    assert_eq!(words_of(&rest[..end]), words, "{told}");
}

#[test]
fn a_shell_reads_each_word_back() {
    for name in NAMES {
        assert_eq!(words_of(&format!("cowlside session {}", word(name))), ["session", name]);
    }
    // Marks of quotation alone are none: the check can fail.
    assert_ne!(words_of("cowlside session \"$HOME & ~\""), ["session", "$HOME & ~"]);
}

#[test]
fn an_engine_is_told_by_a_word_that_runs_nothing() {
    for name in NAMES {
        let place = Place::new();
        place.run(&["engine", "add", name, "--profile", "flat-four", "--hours", "600"]).done();
        assert_told(&place.run_unsettled(&["report", name]).err, "session", name);
        let table = place.path().join("table.csv");
        let head = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit";
        let quoted = name.replace('"', "\"\"");
        let row = format!(
            "\"{quoted}\",flat-four,S1,2027-05-01T10:00:00+02:00,100,1,intake,found,6,thou"
        );
        fs::write(&table, format!("{head}\n{row}\n")).unwrap();
        let refused = place.run_unsettled(&["import", table.to_str().unwrap()]);
        assert_told(&refused.out, "engine hours", name);
    }
}

#[test]
fn a_session_is_told_by_a_word_that_runs_nothing() {
    for name in NAMES {
        let place = super::with_trainer();
        let table = place.path().join("table.csv");
        let head = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit";
        let quoted = name.replace('"', "\"\"");
        let row = |step: &str| {
            format!(
                "Trainer,flat-four,\"{quoted}\",2025-05-01T10:00:00+02:00,100.5,1,intake,{step},6,thou"
            )
        };
        fs::write(&table, format!("{head}\n{}\n{}\n", row("found"), row("left"))).unwrap();
        place.run(&["import", table.to_str().unwrap()]).done();
        let path = place.journals().remove(0);
        let text = fs::read_to_string(&path).unwrap();
        // A reading in the middle is changed.
        fs::write(&path, text.replacen("\"typed\":\"6\"", "\"typed\":\"7\"", 1)).unwrap();
        assert_told(&place.run_unsettled(&["engines"]).err, "verify", name);
    }
}

#[test]
fn a_backup_is_told_by_a_word_that_runs_nothing() {
    for name in NAMES {
        let place = super::with_trainer();
        let backup = format!("/media/{name}");
        let note = serde_json::json!({
            "format": 1, "backup": backup, "engines": false, "profiles": false, "settings": false,
            "replaced": [], "new": ["sessions/none.jsonl"],
        });
        fs::write(place.path().join("restore.unfinished"), note.to_string()).unwrap();
        assert_told(&place.run_unsettled(&["engines"]).err, "restore", &backup);
    }
}

/// Everything else that is told with a name goes the same way: no source puts one in quotation marks of
/// its own, or none.
#[test]
fn no_source_tells_a_command_with_marks_of_its_own() {
    fn look(folder: &Path, seen: &mut usize) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                look(&path, seen);
            } else if path.extension().is_some_and(|end| end == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                for told in text.split("cowlside ").skip(1) {
                    let told: String = told.chars().take_while(|c| !";\n)".contains(*c)).collect();
                    let marked = told.contains("\\\"{");
                    assert!(!marked, "{}: cowlside {told}", path.display());
                    *seen += 1;
                }
            }
        }
    }
    let mut seen = 0;
    look(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut seen);
    assert!(seen > 100, "{seen}");
}

#[test]
fn a_name_that_looks_like_an_option_is_told_so_that_it_is_none_wherever_it_stands() {
    let place = Place::new();
    let run = |words: &[&str]| place.run_unsettled(words);
    let add = ["engine", "add", "--profile", "flat-four", "--hours", "600", "--", "-odd one"];
    run(&add).done();
    let mut mechanic = Mechanic { stops_at: Some("Gauge 2 intake"), ..Mechanic::default() };
    place.run_asked(&["session", "--plain", "--", "-odd one"], &mut mechanic).done();
    let session = place.journals()[0].file_stem().unwrap().to_string_lossy().into_owned();
    // The engine's file is gone, and the command that brings it back works as it is told.
    let engine = fs::read_dir(place.path().join("engines")).unwrap();
    let engine = engine.map(|one| one.unwrap().path()).find(|one| one.extension().is_some());
    fs::remove_file(engine.unwrap()).unwrap();
    for words in [&["engines"][..], &["verify", "--all"]] {
        let shown = run(words).to_string();
        let line = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        let mut told = line.split("cowlside engine add ");
        let told = told.find(|told| told.starts_with("--of")).unwrap();
        let end = told.find("\"-odd one\"").unwrap() + "\"-odd one\"".len();
        let told = told[..end].replace("SESSION-1", &session);
        let typed = words_of(&format!("cowlside engine add {told}"));
        assert_eq!(typed[typed.len() - 2..], ["--", "-odd one"], "{line}");
        let typed: Vec<&str> = typed.iter().map(String::as_str).collect();
        assert_eq!(run(&typed).code, 0, "{line}");
        let engine = fs::read_dir(place.path().join("engines")).unwrap();
        let engine = engine.map(|one| one.unwrap().path()).find(|one| one.extension().is_some());
        fs::remove_file(engine.unwrap()).unwrap();
    }
}
