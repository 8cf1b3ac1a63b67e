//! Sessions of a newer version with a damaged beginning, files beside others of the same session, names
//! that may be several, identities written by hand: nothing is guessed, and all commands say the same.

use super::Place;
use super::services::{SESSION, with_services};
use super::unopened::{make_newer, make_utf16};
use cowlside::store::hash::hex_of_sha256;
use std::fs;
use std::path::{Path, PathBuf};

const NEWER: &str = "written by a newer version; needs format 2";

fn stem(place: &Place, n: usize) -> String {
    place.journals()[n].file_stem().unwrap().to_string_lossy().into_owned()
}

fn in_a_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Changes the first line of a file.
fn in_the_head(path: &Path, change: impl Fn(&str) -> String) {
    let text = fs::read_to_string(path).unwrap();
    let (first, rest) = text.split_once('\n').unwrap();
    fs::write(path, format!("{}\n{rest}", change(first))).unwrap();
}

/// How the head of a file is spoiled behind what it says of its format.
const SPOILED: [fn(&str) -> String; 4] = [
    |line| line.replacen("\"sid\"", "\"Sid\"", 1),
    |line| line[..line.len() - 10].to_owned(),
    |line| line[..line.len() - 60].to_owned(),
    |line| line.replace("\"}", "0123456789abcdef\"}"),
];

#[test]
fn a_newer_session_is_refused_by_its_format_though_its_head_is_damaged_too() {
    for (n, spoil) in SPOILED.into_iter().enumerate() {
        let place = with_services();
        let path = place.journals()[0].clone();
        make_newer(&path);
        in_the_head(&path, spoil);
        let name = stem(&place, 0);
        let checked = place.run(&["verify", &name]);
        let told = in_a_line(&checked.out);
        assert!(told.contains(NEWER) && told.contains("damaged or cut off"), "{n}: {checked}");
        assert!(told.contains("NOT CHECKED") && checked.code == 1, "{n}: {checked}");
        let all = place.run(&["verify", "--all"]);
        assert!(in_a_line(&all.out).contains(NEWER) && all.code == 1, "{n}: {all}");
        assert!(!all.out.contains("Everything is whole"), "{n}: {all}");
        let report = place.run(&["report", &name]);
        assert!(report.failed().0.contains(NEWER), "{n}: {report}");
        let listed = place.run(&["sessions", "Trainer"]);
        assert!(listed.err.contains(NEWER), "{n}: {listed}");
        let by_path = place.run(&["report", path.to_str().unwrap()]);
        assert!(by_path.failed().0.contains("cannot be read: written by a newer"), "{by_path}");
    }
    // The control: one of this version with the same damage is called damaged, and nothing else.
    for spoil in SPOILED {
        let place = with_services();
        in_the_head(&place.journals()[0], spoil);
        let checked = place.run(&["verify", place.journals()[0].to_str().unwrap()]);
        assert!(!checked.out.contains("newer version") && checked.code == 1, "{checked}");
        assert!(checked.out.contains("damaged at line 1"), "{checked}");
    }
    // Of one that only says so, by a digit that was changed, the hash tells better, and it is said.
    let place = with_services();
    in_the_head(&place.journals()[0], |line| line.replacen("\"v\":1", "\"v\":2", 1));
    let told = in_a_line(&place.run(&["verify"]).out);
    assert!(told.contains("what its first line says of its format was changed"), "{told}");
}

#[test]
fn what_only_a_newer_version_can_check_is_not_called_whole() {
    let place = with_services();
    make_newer(&place.journals()[0]);
    let all = place.run(&["verify"]);
    let told = in_a_line(&all.out);
    for words in [
        "3 session files: 2 whole, 1 of a newer version, not checked; 1 engine",
        "What is of a newer version could not be checked; all else is whole.",
        "it could not be checked here",
    ] {
        assert!(told.contains(words), "{words}: {all}");
    }
    assert!(!told.contains("Everything is whole") && all.code == 1, "{all}");
    let json = place.run(&["verify", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!((&json["whole"], &json["sessions"][0]["whole"]), (&false.into(), &false.into()));
    assert_eq!(json["sessions"][0]["state"], "newer");
    // Small files are told so, too, and are no damage.
    let place = with_services();
    fs::write(place.path().join("settings.json"), "{\"format\":9}\n").unwrap();
    let all = place.run(&["verify"]);
    assert!(all.out.contains("newer      settings: "), "{all}");
    assert!(in_a_line(&all.out).ends_with("all else is whole."), "{all}");
    assert_eq!(all.code, 1);
    // Where something is damaged besides, that weighs more.
    fs::write(place.journals()[0].with_file_name("stray.jsonl"), "x\n").unwrap();
    let all = place.run(&["verify"]);
    assert!(in_a_line(&all.out).ends_with("Not everything is whole."), "{all}");
}

fn follow(path: &Path) -> PathBuf {
    let next = path.with_extension("c2.jsonl");
    fs::copy(path, &next).unwrap();
    next
}

fn flip_the_head(path: &Path) {
    in_the_head(path, |line| line.replacen("\"sid\"", "\"Sid\"", 1));
}

#[test]
fn a_session_is_checked_with_the_file_that_was_given_up_though_that_cannot_be_read() {
    for spoil in [make_utf16 as fn(&Path), flip_the_head] {
        for spoiled in [0, 1] {
            let place = with_services();
            let first = place.journals()[2].clone();
            let both = [first.clone(), follow(&first)];
            let name = first.file_stem().unwrap().to_str().unwrap().to_owned();
            assert_eq!(place.run(&["verify", &name]).code, 0, "the control");
            spoil(&both[spoiled]);
            let checked = place.run_unsettled(&["verify", &name]);
            let told: String = checked.out.split_whitespace().collect();
            for path in &both {
                assert!(told.contains(path.to_str().unwrap()), "{spoiled} {path:?}: {checked}");
            }
            assert_eq!(checked.code, 1, "{checked}");
        }
    }
    // One that cannot be read gives way to the one that can.
    let place = with_services();
    let first = place.journals()[2].clone();
    follow(&first);
    make_utf16(&first);
    let name = first.file_stem().unwrap().to_str().unwrap();
    assert_eq!(place.run(&["report", name]).code, 0);
}

#[test]
fn what_may_be_a_session_or_a_file_that_cannot_be_opened_is_not_guessed() {
    let place = with_services();
    make_utf16(&place.journals()[0]);
    let several = place.run(&["report", "2026"]);
    let (error, hint) = several.failed();
    let both = "SESSION-2 (Trainer), SESSION-1 (cannot be opened)";
    assert!(error.ends_with(&format!("may be any of these sessions: {both}")), "{several}");
    assert!(hint.contains("give more of the name"), "{several}");
    // By identities: that of the file is known by its name, as far as it goes.
    let text = fs::read_to_string(&place.journals()[1]).unwrap();
    let id = text.split_once("\"sid\":\"").unwrap().1[..26].to_owned();
    let stray = place.path().join(format!("sessions/20250101-000000z-{}.jsonl", &id[..6]));
    fs::write(stray, "cylinder;valve\n").unwrap();
    for length in [6, 8, 25] {
        let several = place.run_unsettled(&["report", &id[..length]]);
        assert!(several.err.contains("may be any of these sessions: "), "{length}: {several}");
        assert!(several.err.contains("(cannot be opened)") && several.code == 1, "{several}");
    }
    assert_eq!(place.run(&["report", &id]).code, 0, "a whole identity is one session's");
    let whole = place.run(&["verify", &stem(&place, 2)]);
    assert_eq!(whole.code, 0, "a whole name, too: {whole}");
}

/// Writes a session anew with right hashes after a change of one of its lines.
fn by_hand(path: &Path, seq: usize, change: impl Fn(&str) -> String) {
    let text = fs::read_to_string(path).unwrap();
    let (mut made, mut previous) = (String::new(), "0".repeat(32));
    for (n, line) in text.lines().enumerate() {
        let body = line.rsplit_once(",\"h\":").unwrap().0;
        let (before, rest) = body.split_once("\"p\":\"").unwrap();
        let body = format!("{before}\"p\":\"{previous}{}", &rest[32..]);
        let body = if n == seq { change(&body) } else { body };
        previous = hex_of_sha256(body.as_bytes(), 16);
        made += &format!("{body},\"h\":\"{previous}\"}}\n");
    }
    fs::write(path, made).unwrap();
}

#[test]
fn an_identity_written_by_hand_is_told_alike_by_all_that_read_it() {
    for (seq, member) in [(0, "sid"), (1, "engine_id")] {
        let place = with_services();
        let path = place.journals()[2].clone();
        by_hand(&path, seq, str::to_owned);
        assert_eq!(place.run(&["verify"]).code, 0, "the control");
        by_hand(&path, seq, |body| {
            let (before, rest) = body.split_once(&format!("\"{member}\":\"")).unwrap();
            format!("{before}\"{member}\":\"by-hand{}", &rest[26..])
        });
        let told = format!("`{member}` is \"by-hand\", which is no identity");
        let checked = place.run(&["verify", path.to_str().unwrap()]);
        assert!(in_a_line(&checked.out).contains(&told) && checked.code == 1, "{checked}");
        let before = fs::read(&path).unwrap();
        let gone_on = place.run_typing(SESSION, "");
        let all = in_a_line(&gone_on.to_string());
        assert!(all.contains(&told), "{gone_on}");
        assert_eq!(fs::read(&path).unwrap(), before);
        let engines = place.run(&["engines"]);
        assert!(engines.to_string().contains(&told), "{engines}");
        assert!(!engines.err.contains("engine add"), "a hint that cannot be followed: {engines}");
        assert!(place.run(&["sessions", "Trainer"]).out.contains(", faulty"), "{member}");
    }
}
