//! Files among the sessions that cannot be opened: each is told by its name, with why and what to do,
//! by whatever would else say that there is nothing.

use super::left_open::{unsigned, write};
use super::services::{begin, with_services};
use super::{Place, Shown, with_trainer};
use std::fs;
use std::path::Path;

const SESSION: &[&str] = &["session", "Trainer", "--plain"];
const NEWER: &str = "written by a newer version; needs format 2";
const COPY: &str = "look for a sound copy of it (cowlside take COPY)";

/// Makes a session's file one of the format behind this one's, whole in its own way.
pub fn make_newer(path: &Path) {
    let text = fs::read_to_string(path).unwrap();
    let (first, rest) = text.split_once('\n').unwrap();
    let body = first.split_once(",\"h\":").unwrap().0;
    let newer = body.replacen("\"v\":1", "\"v\":2", 1);
    assert_ne!(newer, body);
    let hash = cowlside::store::hash::hex_of_sha256(newer.as_bytes(), 16);
    fs::write(path, format!("{newer},\"h\":\"{hash}\"}}\n{rest}")).unwrap();
}

pub fn make_utf16(path: &Path) {
    let text = fs::read_to_string(path).unwrap();
    let units = std::iter::once(0xfeff).chain(text.encode_utf16());
    fs::write(path, units.flat_map(u16::to_le_bytes).collect::<Vec<u8>>()).unwrap();
}

fn make_empty(path: &Path) {
    fs::write(path, "").unwrap();
}

fn make_folder(path: &Path) {
    fs::remove_file(path).unwrap();
    fs::create_dir(path).unwrap();
}

type Way = (fn(&Path), &'static str, &'static str);

/// How a file comes not to be opened, what is said of it, and what to do.
const WAYS: [Way; 4] = [
    (make_newer, NEWER, "use the newer version of the program"),
    (make_utf16, "it was turned into UTF-16 by another program", COPY),
    (make_empty, "empty start: the session has no whole entry", COPY),
    (make_folder, "is no ordinary file", COPY),
];

fn stem(place: &Place, n: usize) -> String {
    place.journals()[n].file_stem().unwrap().to_string_lossy().into_owned()
}

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_session_that_cannot_be_opened_is_refused_by_its_own_name() {
    for (spoil, why, to_do) in WAYS {
        let place = with_services();
        let name = stem(&place, 0);
        spoil(&place.journals()[0]);
        for words in [
            vec!["report", name.as_str()],
            vec!["report", &name[..name.len() - 1]],
            vec!["compare", "Trainer", &name, "SESSION-2"],
        ] {
            let shown = place.run(&words);
            let (error, hint) = (shown.err.lines().next().unwrap(), shown.err.lines().nth(1));
            let told = "error: session SESSION-1 cannot be opened: ";
            assert!(error.starts_with(told) && error.contains(why), "{words:?}: {shown}");
            assert!(hint.is_some_and(|hint| hint.contains(to_do)), "{words:?}: {shown}");
            assert_eq!((shown.code, shown.out.as_str()), (1, ""), "{words:?}: {shown}");
        }
        // What is called by another name is found as before, and what nothing is called is not.
        place.run_unsettled(&["report", &stem(&place, 1)]);
        let nothing = place.run(&["report", "spring"]);
        assert!(nothing.failed().0.contains("no session is called \"spring\""), "{nothing}");
        let checked = place.run(&["verify", &name]);
        assert!(in_a_line(&checked).contains(why), "{checked}");
        assert!(!checked.err.contains("no session is called"), "{checked}");
        assert_eq!(checked.code, 1, "{checked}");
        assert_eq!(checked.out.contains("NOT CHECKED"), why == NEWER, "{checked}");
    }
}

#[test]
fn where_nothing_is_found_of_an_engine_the_files_that_cannot_be_opened_are_named() {
    for (spoil, why, to_do) in WAYS {
        let place = with_trainer();
        begin(&place, "", "Gauge 2 intake");
        spoil(&place.journals()[0]);
        let told = "session SESSION-1 cannot be opened: ";
        for words in [
            ["report", "Trainer"],
            ["history", "Trainer"],
            ["tag", "Trainer"],
            ["compare", "Trainer"],
            ["parts", "Trainer"],
        ] {
            let shown = place.run(&words);
            let errors: Vec<&str> =
                shown.err.lines().filter(|line| !line.starts_with("warning: ")).collect();
            let [error, hint] = errors[..] else { panic!("{words:?}: {shown}") };
            assert!(error.contains(told) && error.contains(why), "{words:?}: {shown}");
            assert!(hint.contains(to_do), "{words:?}: {shown}");
            assert!(!shown.err.contains("there is none yet"), "{words:?}: {shown}");
        }
        let listed = place.run(&["sessions", "Trainer"]);
        let page = listed.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains(told) && page.contains(why), "{listed}");
        assert!(page.contains(to_do), "{listed}");
    }
    let none = with_trainer().run(&["report", "Trainer"]);
    assert_eq!(none.failed().0, "Trainer has no service yet");
}

#[test]
fn a_new_service_is_not_begun_without_a_word_on_the_page_of_a_file_that_cannot_be_opened() {
    for (spoil, why, to_do) in WAYS {
        let place = with_services();
        let whole = place.run_typing(SESSION, "");
        assert!(!whole.out.contains("NOT READ"), "{whole}");
        spoil(&place.journals()[2]);
        let shown = place.run_typing(SESSION, "");
        let page = shown.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains("NOT READ: session SESSION-3 cannot be opened: "), "{shown}");
        assert!(page.contains(why) && page.contains(to_do), "{shown}");
        assert_eq!(place.journals().len(), 3);
    }
}

#[test]
fn a_start_that_failed_is_nobodys_session() {
    let place = with_trainer();
    begin(&place, "", "anybody else");
    write(&place, &[unsigned()]);
    place.later(60);
    fs::write(place.path().join("sessions/20260314-101530z-zzzzzz.jsonl"), "").unwrap();
    let shown = place.run_typing(SESSION, "");
    assert!(!shown.to_string().contains("NOT READ"), "{shown}");
    let checked = place.run(&["verify", "--all"]);
    assert!(checked.out.contains("empty      session SESSION-"), "{checked}");
    // Where nobody knows any more whether anything was in it, it is told.
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    let shown = place.run_typing(SESSION, "");
    assert!(shown.out.contains("NOT READ: session SESSION-"), "{shown}");
}

#[test]
fn an_engine_whose_newest_file_cannot_be_opened_is_not_reported_by_an_older_one_in_silence() {
    let place = with_services();
    make_newer(&place.journals()[2]);
    let shown = place.run(&["report", "Trainer"]);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(shown.err.contains("warning: session SESSION-3 cannot be opened: "), "{shown}");
}

#[test]
fn of_many_files_that_cannot_be_opened_some_are_named_and_the_others_counted() {
    let place = with_services();
    for n in 0..9 {
        let path = place.path().join(format!("sessions/stray-{n}.jsonl"));
        fs::write(path, "cylinder;valve\n").unwrap();
    }
    fs::remove_file(&place.journals()[2]).unwrap();
    let shown = place.run_typing(SESSION, "");
    let page = shown.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("and 6 more: cowlside verify tells them all"), "{shown}");
}
