//! A folder, an engine or a session that is not there or cannot be read is never taken for nothing.

use super::Place;
use super::services::with_services;
use std::fs;
use std::path::Path;
use std::process::Command;

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");

fn run_in(home: &Path, words: &[&str]) -> (Option<i32>, String, String) {
    let mut program = Command::new(PROGRAM);
    let ran = program.args(words).env_clear().env("COWLSIDE_HOME", home).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (ran.status.code(), text(ran.stdout), text(ran.stderr))
}

#[test]
fn a_data_folder_that_is_not_there_is_not_whole_and_yet_a_first_start_makes_it() {
    let inside = tempfile::tempdir().unwrap();
    let home = inside.path().join("nostick/x");
    let error =
        format!("error: there is no folder {}, which COWLSIDE_HOME names\n", home.display());
    for words in [
        &["verify"][..],
        &["verify", "--all"],
        &["verify", "abcd"],
        &["export"],
        &["export", "--jsonl"],
        &["settings", "bell", "off"],
        &["settings", "theme", "dark"],
    ] {
        let (code, out, err) = run_in(&home, words);
        assert_eq!((code, out.as_str()), (Some(1), ""), "{words:?}: {err}");
        assert!(
            err.starts_with(&error) && err.contains("hint: look whether its disk is there"),
            "{err}"
        );
        assert!(!home.exists());
    }
    let (code, out, err) = run_in(&home, &["settings"]);
    assert!(code == Some(0) && out.starts_with("bell   on") && !home.exists(), "{out}{err}");
    assert!(err.contains(&format!("there is no folder {}", home.display())), "{err}");
    let (code, out, err) = run_in(&home, &["engines"]);
    assert!(code == Some(0) && out.starts_with("No engine yet."), "{out}{err}");
    assert!(err.contains(&format!("there is no folder {}", home.display())), "{err}");
    let (code, _, err) =
        run_in(&home, &["engine", "add", "A", "--profile", "flat-four", "--hours", "1"]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    for words in [&["verify"][..], &["export"], &["engines"]] {
        let (code, _, err) = run_in(&home, words);
        assert_eq!((code, err.as_str()), (Some(0), ""), "{words:?}");
    }
    // The platform's own place is just not used yet.
    let none = Command::new(PROGRAM).arg("verify").env_clear().env("HOME", inside.path()).output();
    assert!(none.unwrap().status.success());
}

#[test]
fn a_table_or_list_that_is_not_all_of_it_ends_with_1() {
    let place = with_services();
    place.run(&["engine", "add", "Tug", "--profile", "flat-six", "--hours", "10"]).done();
    for words in [&["export"][..], &["export", "--jsonl"], &["engines"], &["engines", "--json"]] {
        place.run(words).done();
    }
    let engine = super::listed(&place.path().join("engines"));
    let tug = engine.iter().find(|path| fs::read_to_string(path).unwrap().contains("Tug")).unwrap();
    let (session, sound) = (place.journals().remove(0), fs::read(tug).unwrap());
    let journal = fs::read(&session).unwrap();
    for (path, bytes) in [(tug, &sound), (&session, &journal)] {
        fs::write(path, "garbage").unwrap();
        for (words, of) in [
            (&["export"][..], "table"),
            (&["export", "--jsonl"], "table"),
            (&["engines"], "list"),
            (&["engines", "--json"], "list"),
        ] {
            let shown = place.run(words);
            let error = format!("error: 1 file was left out of the {of}\n");
            assert!(shown.code == 1 && shown.err.contains(&error), "{words:?}: {shown}");
            assert!(shown.err.contains("warning: left out: "), "{words:?}: {shown}");
            assert!(shown.out.contains("Trainer"), "all else is there: {shown}");
        }
        fs::write(path, bytes).unwrap();
    }
    place.run(&["export"]).done();
    fs::remove_file(tug).unwrap();
    place.run(&["export"]).done();
}

/// Root reads everything: another user looks where that can be done.
#[cfg(unix)]
#[test]
fn what_could_not_be_read_just_now_is_not_called_damaged() {
    use std::os::unix::fs::PermissionsExt;
    let other = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"];
    let is_root = rustix::process::geteuid().is_root();
    let through: &[&str] = if is_root { &other } else { &[] };
    let place = Place::new();
    place.run(&["engine", "add", "Tug", "--profile", "flat-six", "--hours", "10"]).done();
    place.run(&["settings", "bell", "off"]).done();
    let mine = place.path().join("profiles/mine.json");
    fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json"), &mine).unwrap();
    let mode = |path: &Path, mode| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    };
    for folder in ["", "engines", "profiles", "sessions", "cache", "locks", "demo"] {
        mode(&place.path().join(folder), 0o755);
    }
    let engine = super::listed(&place.path().join("engines")).remove(0);
    let settings = place.path().join("settings.json");
    let verify = || {
        let words = [through, &[PROGRAM, "verify"]].concat();
        let mut program = Command::new(words[0]);
        let ran = program.args(&words[1..]).env_clear().env("COWLSIDE_HOME", place.path()).output();
        let ran = ran.unwrap();
        (ran.status.code(), String::from_utf8(ran.stdout).unwrap())
    };
    let all = [&engine, &mine, &settings];
    all.iter().for_each(|path| mode(path, 0o644));
    let (code, out) = verify();
    if code != Some(0) {
        println!("SKIPPED, NOT TESTED: nobody else can run this program here: {out}");
        return;
    }
    for path in all {
        mode(path, 0o000);
        let (code, out) = verify();
        assert_eq!(code, Some(1), "{out}");
        assert!(out.contains("UNREADABLE ") && !out.contains("DAMAGED"), "{out}");
        assert!(!out.contains("1 damaged"), "{out}");
        mode(path, 0o644);
    }
}
