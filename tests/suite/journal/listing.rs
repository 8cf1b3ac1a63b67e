//! Sessions listed and found.

use super::samples;
use cowlside::domain::entry::*;
use cowlside::store::StoreError;
use cowlside::store::engines::Engine;
use cowlside::store::folder::Folder;
use cowlside::store::hash::new_id;
use cowlside::store::journal::{self, Journal, Verdict};
use cowlside::store::sessions::{self, Glance};
use std::time::Instant;

const DAY_MS: i64 = 24 * 3600 * 1000;

fn folder() -> (tempfile::TempDir, Folder) {
    let inside = tempfile::tempdir().unwrap();
    let folder = Folder::at(inside.path());
    folder.prepare().unwrap();
    (inside, folder)
}

/// Writes a session on a day and returns its id.
fn write(folder: &Folder, day: i64, entries: &[Entry]) -> String {
    let at = Moment { unix_ms: samples::moment().unix_ms + day * DAY_MS, offset_min: 60 };
    let head = Head { session: new_id(day), ..samples::head() };
    let (mut journal, kept) = Journal::create(folder, head, at, 0).unwrap();
    journal.append(entries, at, 0).unwrap();
    match kept.entry {
        Entry::Head(head) => head.session,
        other => panic!("{other:?}"),
    }
}

fn begin(engine: &str, name: Option<&str>) -> Entry {
    let name = name.map(str::to_owned);
    Entry::Begin(Begin { engine: Some(engine.to_owned()), name, ..Begin::default() })
}

fn names(sessions: &[Glance]) -> Vec<&str> {
    sessions.iter().map(|session| session.name.as_str()).collect()
}

#[test]
fn sessions_are_listed_oldest_first_with_name_engine_and_end() {
    let (_inside, folder) = folder();
    let sign = samples::of_kind("sign").remove(0);
    let seal = samples::of_kind("seal").remove(0);
    write(&folder, 2, &[begin("tug", Some("autumn")), sign.clone(), seal]);
    let id = write(&folder, 1, &[begin("tug", None)]);
    let undo =
        Correct { of: 2, change: Change::Void, why: "too early".to_owned(), as_asked: false };
    write(&folder, 3, &[begin("tug", Some("winter")), sign, Entry::Correct(undo)]);
    let sessions = sessions::list(&folder).unwrap().sessions;
    let stem = format!("20260315-101530z-{}", &id[..6]);
    assert_eq!(names(&sessions), [stem.as_str(), "autumn", "winter"]);
    let ends: Vec<(bool, bool)> = sessions.iter().map(|one| (one.signed, one.sealed)).collect();
    assert_eq!(ends, [(false, false), (true, true), (false, false)]);
    assert_eq!((sessions[0].id.as_str(), sessions[0].entries), (id.as_str(), 2));
    assert!(sessions.iter().all(|one| one.verdict == Verdict::Clean));
}

#[test]
fn a_session_is_found_by_name_id_beginning_or_path_and_several_are_named() {
    let (_inside, folder) = folder();
    let id = write(&folder, 1, &[begin("tug", Some("spring"))]);
    write(&folder, 2, &[begin("trainer", Some("spring"))]);
    write(&folder, 3, &[begin("trainer", Some("summer 26"))]);
    let sessions = sessions::list(&folder).unwrap().sessions;
    let path = sessions[0].path.to_string_lossy().into_owned();
    for text in [&id, &id[..5], &id.to_uppercase(), &path] {
        assert_eq!(sessions::find(&sessions, text).unwrap(), sessions[0], "{text}");
    }
    assert_eq!(sessions::find(&sessions, "SUMM").unwrap(), sessions[2]);
    let several = sessions::find(&sessions, "spri").unwrap_err();
    let [tug, trainer] = [0, 1].map(|n| &sessions[n].id[..6]);
    assert_eq!(
        several.to_string(),
        format!(
            "\"spri\" may be any of these sessions: spring (tug), 2026-03-15, id {tug}, \
             spring (trainer), 2026-03-16, id {trainer}"
        )
    );
    for text in ["sum", "winter", ""] {
        let none = sessions::find(&sessions, text).unwrap_err();
        assert!(matches!(none, StoreError::NoSuch { .. }), "{text}");
    }
    assert!(sessions::find(&sessions, "/no/such/file.jsonl").is_err());
}

#[test]
fn sessions_of_an_engine_are_told_by_its_id_or_else_by_its_name() {
    let (_inside, folder) = folder();
    let engine = Engine::new("tug", "", "flat-four", ("2026-03-14", Hours(0)), 0).unwrap();
    let with_id = |id: &str| {
        let (engine_id, engine) = (Some(id.to_owned()), Some("old name".to_owned()));
        Entry::Begin(Begin { engine_id, engine, ..Begin::default() })
    };
    write(&folder, 1, &[with_id(&engine.id)]);
    write(&folder, 2, &[with_id(&new_id(0)), begin("tug", None)]);
    write(&folder, 3, &[begin("tug", None)]);
    let sessions = sessions::list(&folder).unwrap().sessions;
    let found: Vec<&Glance> = sessions::of_engine(&sessions, &engine).collect();
    assert_eq!(found, [&sessions[0], &sessions[2]]);
}

#[test]
fn files_that_are_no_sessions_are_listed_apart_and_left_alone() {
    let (_inside, folder) = folder();
    write(&folder, 1, &[begin("tug", Some("spring"))]);
    let empty = folder.sessions().join("a.jsonl");
    let other = folder.sessions().join("b.jsonl");
    std::fs::write(&empty, "").unwrap();
    std::fs::write(&other, "cylinder;valve\n").unwrap();
    let listing = sessions::list(&folder).unwrap();
    assert_eq!(names(&listing.sessions), ["spring"]);
    let why: Vec<&str> = listing.apart.iter().map(|one| one.why.as_str()).collect();
    assert!(why[0].ends_with("empty start: the session has no whole entry"), "{why:?}");
    assert!(why[1].ends_with("this is no session file"), "{why:?}");
    assert_eq!(std::fs::read_to_string(&other).unwrap(), "cylinder;valve\n");
}

#[test]
fn a_damaged_session_is_listed_with_its_verdict() {
    let (_inside, folder) = folder();
    write(&folder, 1, &[begin("tug", Some("spring")), begin("tug", None)]);
    let path = sessions::list(&folder).unwrap().sessions[0].path.clone();
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replace("spring", "spring 2")).unwrap();
    let session = sessions::glance(&path).unwrap();
    assert!(matches!(session.verdict, Verdict::Damaged(_)), "{}", session.verdict);
}

#[test]
fn three_hundred_sessions_are_listed_in_a_moment() {
    let (_inside, folder) = folder();
    let one = folder.root().join("one.jsonl");
    std::fs::write(&one, super::disk::session(100)).unwrap();
    let opened = journal::open(&one, &samples::parse).unwrap();
    let entries: Vec<Entry> = opened.entries.iter().map(|kept| kept.entry.clone()).collect();
    let Some((Entry::Head(head), rest)) = entries.split_first() else { panic!("no head") };
    for n in 0..300 {
        let head = Head { session: new_id(n), ..head.clone() };
        let (_, bytes, _) = journal::in_memory(head, rest, opened.entries[0].at).unwrap();
        std::fs::write(folder.sessions().join(format!("{n}.jsonl")), &bytes).unwrap();
    }
    let before = Instant::now();
    let sessions = sessions::list(&folder).unwrap().sessions;
    println!("{} sessions in {:?}", sessions.len(), before.elapsed());
    assert_eq!(sessions.len(), 300);
}
