//! `demo`: an invented workshop that is made once, made anew on request, and never mixed with a
//! user's own files.

use super::Place;
use super::services::with_services;
use std::fs;
use std::path::PathBuf;

fn files(place: &Place) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(place.path().join("demo/sessions"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

#[test]
fn the_demo_is_made_once_kept_and_made_anew_on_request() {
    let place = Place::new();
    let first = place.run(&["demo", "--", "engines"]);
    assert_eq!(first.done().lines().count(), 2, "{first}");
    let made = files(&place);
    assert_eq!(made.len(), 12);
    place.run(&["demo", "--", "engine", "hours", "Blue", "650"]).done();
    assert_eq!(files(&place), made);
    assert!(place.run(&["demo", "--", "engines"]).done().contains("650.0 h"));
    place.run(&["demo", "--fresh", "--", "engines"]).done();
    let fresh = files(&place);
    assert!(fresh.len() == made.len() && fresh != made);
    assert!(place.run(&["demo", "--", "engines"]).done().contains("613.1 h"));
    assert!(place.run(&["engines"]).done().starts_with("No engine yet"));
}

#[test]
fn every_command_works_in_the_demo() {
    let place = Place::new();
    for words in [
        vec!["profiles"],
        vec!["sessions", "Blue"],
        vec!["compare", "Blue"],
        vec!["compare", "Yellow", "--json"],
        vec!["tag", "Yellow"],
        vec!["--help"],
    ] {
        let all: Vec<&str> = ["demo", "--"].into_iter().chain(words).collect();
        place.run(&all).done();
    }
    let path = files(&place)[0].to_string_lossy().into_owned();
    assert!(place.run(&["demo", "--", "report", &path]).done().contains("Signed by"));
    assert_eq!(place.run(&["demo", "--", "demo"]).code, 2);
    assert_eq!(place.run(&["demo", "--", "nonsense"]).code, 2);
}

#[test]
fn a_folder_that_holds_anything_else_is_left_alone() {
    for (file, words) in [
        ("demo/engines/mine.json", vec!["demo", "--", "engines"]),
        ("demo/notes.txt", vec!["demo", "--fresh", "--", "engines"]),
    ] {
        let place = Place::new();
        let path = place.path().join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, "mine").unwrap();
        let shown = place.run(&words);
        assert!(shown.failed().0.contains("FOLDER/demo"), "{shown}");
        assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
    }
}

#[test]
fn what_may_be_a_real_service_is_left_alone_though_no_mark_says_so() {
    let mine = with_services();
    let session = fs::read(&mine.journals()[0]).unwrap();
    let real = |place: &Place, file: &str, bytes: &[u8]| {
        let path = place.path().join("demo").join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    };
    let unreadable = b"not to be read";
    for (made, file, bytes) in [
        (false, "sessions/mine.jsonl", &session[..]),
        (true, "sessions/mine.jsonl", &session),
        (true, "sessions/mine.jsonl", unreadable),
        (true, "sessions/mine.txt", unreadable),
        (true, "engines/mine.txt", unreadable),
        (true, "demo/sessions/mine.jsonl", &session),
    ] {
        let place = Place::new();
        if made {
            place.run(&["demo", "engines"]).done();
            fs::remove_file(place.path().join("demo/invented.txt")).unwrap();
        }
        real(&place, file, bytes);
        for words in [&["demo", "engines"][..], &["demo", "--fresh", "engines"]] {
            let refused = place.run(words);
            assert!(refused.failed().0.contains("holds something else"), "{file}: {refused}");
            assert_eq!(fs::read(place.path().join("demo").join(file)).unwrap(), bytes);
        }
    }
}

#[cfg(unix)]
#[test]
fn a_link_in_its_place_is_gone_through_but_never_replaced() {
    let (place, other) = (Place::new(), Place::new());
    let link = place.path().join("demo");
    other.run(&["demo", "engines"]).done();
    std::os::unix::fs::symlink(other.path().join("demo"), &link).unwrap();
    assert_eq!(place.run(&["demo", "engines"]).done().lines().count(), 2);
    let made = files(&other);
    let refused = place.run(&["demo", "--fresh", "engines"]);
    assert!(refused.failed().0.contains("is a link"), "{refused}");
    assert!(link.is_symlink() && files(&other) == made);
    // One that leads nowhere, too.
    fs::rename(other.path().join("demo"), other.path().join("away")).unwrap();
    assert!(place.run(&["demo", "engines"]).failed().0.contains("is a link"));
    assert!(link.is_symlink());
}

#[test]
fn a_demo_that_was_half_made_is_made_again() {
    let place = Place::new();
    place.run(&["demo", "--", "engines"]).done();
    fs::write(place.path().join("demo/invented.txt"), "Being made.\n").unwrap();
    fs::remove_file(&files(&place)[0]).unwrap();
    place.run(&["demo", "--", "engines"]).done();
    assert_eq!(files(&place).len(), 12);
}

#[test]
fn begun_in_two_terminals_at_once_it_is_made_once_and_is_whole() {
    for _ in 0..3 {
        let outside = tempfile::tempdir().unwrap();
        let begin = || {
            std::process::Command::new(env!("CARGO_BIN_EXE_cowlside"))
                .args(["demo", "engines"])
                .env_clear()
                .env("COWLSIDE_HOME", outside.path())
                .stdout(std::process::Stdio::piped())
                .stderr(std::process::Stdio::piped())
                .spawn()
                .unwrap()
        };
        let both: Vec<_> = (0..4).map(|_| begin()).collect();
        for one in both {
            let ended = one.wait_with_output().unwrap();
            let said = String::from_utf8_lossy(&ended.stderr).into_owned();
            assert!(ended.status.success() && said.is_empty(), "{said}");
            assert_eq!(ended.stdout.iter().filter(|byte| **byte == b'\n').count(), 2);
        }
        let sessions = outside.path().join("demo/sessions");
        assert_eq!(fs::read_dir(sessions).unwrap().count(), 12);
        let beside = fs::read_dir(outside.path()).unwrap().flatten();
        let names: Vec<_> =
            beside.map(|one| one.file_name().to_string_lossy().into_owned()).collect();
        assert!(!names.iter().any(|name| name.starts_with("demo-being-made-")), "{names:?}");
    }
}

#[test]
fn what_a_killed_making_left_is_cleared_away_and_one_without_its_mark_goes_where_that_is_wanted() {
    let place = Place::new();
    let left = place.path().join("demo-being-made-0123456789abcdefghjkmnpqrs");
    fs::create_dir_all(left.join("sessions")).unwrap();
    let mine = place.path().join("demo-being-made-by-me");
    fs::create_dir_all(&mine).unwrap();
    place.run(&["demo", "engines"]).done();
    assert!(!left.exists() && mine.exists());
    fs::remove_file(place.path().join("demo/invented.txt")).unwrap();
    let refused = place.run(&["demo", "engines"]);
    assert!(refused.failed().1.starts_with("cowlside demo --fresh makes it anew"), "{refused}");
    // Whoever has put an engine of their own there keeps it.
    let own = ["demo", "--", "engine", "add", "Mine", "--profile", "flat-four", "--hours", "1"];
    fs::write(place.path().join("demo/invented.txt"), WHOLE).unwrap();
    place.run(&own).done();
    fs::remove_file(place.path().join("demo/invented.txt")).unwrap();
    let refused = place.run(&["demo", "--fresh", "engines"]);
    assert!(refused.failed().0.contains("holds something else"), "{refused}");
    let engines = place.path().join("demo/engines");
    for path in fs::read_dir(engines).unwrap().map(|one| one.unwrap().path()) {
        if fs::read_to_string(&path).unwrap().contains("Mine") {
            fs::remove_file(path).unwrap();
        }
    }
    place.run(&["demo", "--fresh", "engines"]).done();
    assert_eq!(files(&place).len(), 12);
}

/// What stands in the mark of a whole one.
const WHOLE: &str =
    "Everything in this folder is invented. `cowlside demo --fresh` makes it anew.\n";

#[test]
fn the_list_the_history_and_the_record_tell_one_next_check() {
    let place = Place::new();
    let of = |words: &[&str]| place.run(&[&["demo", "--"], words].concat()).json();
    // Twice: worked out, and noted.
    for _ in 0..2 {
        let engines = of(&["engines", "--json"]);
        for engine in engines["engines"].as_array().unwrap() {
            let name = engine["name"].as_str().unwrap();
            let history = of(&["history", name, "--json"]);
            let hours = history["next_check"]["hours"].as_f64().unwrap();
            let listed = engine["next_due"]["hours"].as_f64().unwrap();
            assert!((0.0..0.1001).contains(&(hours - listed)), "{name}: {hours}, listed {listed}");
        }
    }
}

/// The built program under each umask: what it makes is for its owner alone.
#[cfg(unix)]
#[test]
fn files_and_folders_are_for_their_owner_alone_whatever_the_umask() {
    use std::os::unix::fs::PermissionsExt;
    for umask in ["000", "022", "077"] {
        let outside = tempfile::tempdir().unwrap();
        let home = outside.path().join("home");
        let script = format!(
            "umask {umask} && touch control && \"$0\" demo -- engines && \
             \"$0\" engine add A --profile flat-four --hours 10 && \"$0\" settings bell off && \
             \"$0\" backup kept.backup"
        );
        let done = std::process::Command::new("sh")
            .args(["-c", &script, env!("CARGO_BIN_EXE_cowlside")])
            .current_dir(outside.path())
            .env("COWLSIDE_HOME", &home)
            .output()
            .unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        let mode =
            |path: &std::path::Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        // The control: without a mode given at creation the umask decides.
        let bare = 0o666 & !u32::from_str_radix(umask, 8).unwrap();
        assert_eq!(mode(&outside.path().join("control")), bare);
        assert_eq!(mode(&outside.path().join("kept.backup")), 0o600, "umask {umask}");
        let (mut waiting, mut seen) = (vec![home], 0);
        while let Some(path) = waiting.pop() {
            let wanted = if path.is_dir() { 0o700 } else { 0o600 };
            assert_eq!(mode(&path), wanted, "{} under umask {umask}", path.display());
            seen += 1;
            if path.is_dir() {
                waiting.extend(fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
            }
        }
        assert!(seen > 40, "only {seen} files and folders under umask {umask}");
    }
}

#[test]
fn what_was_seen_of_an_invented_session_is_all_of_it() {
    let place = Place::new();
    place.run(&["demo", "--", "engines"]).done();
    let mut ends = std::collections::BTreeMap::new();
    for path in files(&place) {
        let text = fs::read_to_string(path).unwrap();
        let (head, last) = (text.lines().next().unwrap(), text.lines().last().unwrap());
        let id = head.split_once("\"sid\":\"").unwrap().1.split_once('"').unwrap().0.to_owned();
        ends.insert(id, last[last.len() - 34..last.len() - 2].to_owned());
    }
    assert_eq!(ends.len(), 12);
    for (id, end) in ends {
        let memo = fs::read_to_string(place.path().join("demo/cache/seen").join(&id)).unwrap();
        assert!(memo.lines().next().unwrap().ends_with(&end), "{id}: {memo}");
    }
}
