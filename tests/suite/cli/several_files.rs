//! Several files of one session are told in few words and by the right name; a lock that is a link; a session
//! whose profile only earlier versions took.

use super::other_versions::{in_a_line, newest};
use super::services::begin;
use super::with_trainer;
use cowlside::domain::entry::{Begin, Entry, Head, Moment, ProfileText};
use cowlside::store::folder::Folder;
use cowlside::store::hash::new_id;
use cowlside::store::journal::Journal;
use cowlside::store::profile_file::parse_kept;
use std::fs;

#[test]
fn eight_files_that_were_given_up_are_checked_in_few_lines_and_each_is_named_once() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let bytes = fs::read(&path).unwrap();
    let ends: Vec<usize> =
        bytes.iter().zip(1..).filter(|(byte, _)| **byte == b'\n').map(|(_, at)| at).collect();
    let last = path.with_extension("c9.jsonl");
    fs::write(&last, &bytes).unwrap();
    for n in 2..=8 {
        let cut = ends[ends.len() - 10 + n];
        fs::write(path.with_extension(format!("c{n}.jsonl")), &bytes[..cut]).unwrap();
    }
    fs::write(&path, &bytes[..ends[2]]).unwrap();
    let all = place.run_unsettled(&["verify"]);
    assert_eq!(all.code, 0, "{all}");
    assert!(all.out.lines().count() <= 40, "{}: {all}", all.out.lines().count());
    let words = in_a_line(&all);
    let longest = last.file_name().unwrap().to_str().unwrap();
    let told = format!("{longest} goes further; that one is shown; 7 more files of it are here");
    assert_eq!(words.matches(&told).count(), 8, "{all}");
    // Of two or three files each is still told.
    for n in 3..=8 {
        fs::remove_file(path.with_extension(format!("c{n}.jsonl"))).unwrap();
    }
    let words = in_a_line(&place.run(&["verify"]));
    assert!(!words.contains("more files of it"), "{words}");
    assert_eq!(words.matches("has only a part of this").count(), 3, "{words}");
}

#[test]
fn of_equal_files_the_one_that_the_program_named_is_the_session_and_the_other_its_copy() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let own = path.file_name().unwrap().to_str().unwrap().to_owned();
    for copy in ["0 copy of it.jsonl", "zz (1).jsonl"] {
        fs::copy(&path, path.with_file_name(copy)).unwrap();
    }
    // Of the names in order it is the second.
    let words = in_a_line(&place.run(&["sessions", "Trainer"]));
    let told = "all of it is in SESSION-2.jsonl; SESSION-1.jsonl, SESSION-3.jsonl say no more";
    assert!(words.contains(told), "{words}");
    let verify = in_a_line(&place.run(&["verify", path.to_str().unwrap()]));
    assert!(verify.contains("SESSION-2.jsonl"), "{own}: {verify}");
}

#[cfg(unix)]
#[test]
fn a_lock_that_is_a_link_is_called_one_and_is_to_be_moved_away() {
    let place = with_trainer();
    let lock = place.path().join("locks/engines.lock");
    fs::remove_file(&lock).unwrap();
    std::os::unix::fs::symlink("elsewhere", &lock).unwrap();
    let refused = place.run(&["engine", "hours", "Trainer", "420"]);
    let (error, hint) = refused.failed();
    assert!(error.ends_with("engines.lock: it is a link, and links are not followed"), "{error}");
    assert!(hint.starts_with("move it away: "), "{hint}");
    fs::remove_file(&lock).unwrap();
    place.run(&["engine", "hours", "Trainer", "420"]).done();
}

#[test]
fn a_session_whose_profile_has_a_pile_of_marks_on_a_letter_is_read_and_gone_on_with() {
    let place = with_trainer();
    let text = include_str!("../../../profiles/flat-four.json");
    let name = format!("Flat e{}", "\u{301}".repeat(9));
    let text = text.replacen("\"name\": \"", &format!("\"name\": \"{name} "), 1);
    assert!(text.contains(&name));
    let profile = parse_kept(&text, "kept").unwrap();
    let folder = Folder::at(place.path());
    let at = Moment { unix_ms: super::MORNING, offset_min: 60 };
    let profile = ProfileText { name: "flat-four".into(), text, profile };
    let head = Head { session: new_id(at.unix_ms), program: "0.0.1".into(), profile };
    let (mut journal, _) = Journal::create(&folder, head, at, 0).unwrap();
    let begun = Begin { engine: Some("Trainer".into()), ..Begin::default() };
    journal.append(&[Entry::Begin(begun)], at, 0).unwrap();
    let path = journal.path().to_owned();
    drop(journal);
    assert!(place.run(&["verify"]).done().contains("Everything is whole."));
    let report = place.run(&["report", path.to_str().unwrap()]);
    assert_eq!(report.code, 0, "{report}");
    assert!(place.run(&["engines"]).done().contains("a session is open"));
}
