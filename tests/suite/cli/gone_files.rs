//! Files that were here and are gone or emptied, and what `verify` says to do: once for each file.

use super::services::{SESSION, with_services};
use super::{Place, Shown, with_trainer};
use std::fs;
use std::path::Path;

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn all(place: &Place) -> Shown {
    place.run(&["verify", "--all"])
}

#[test]
fn a_session_whose_file_was_deleted_is_missed_by_name_until_that_is_said_to_be_right() {
    let place = with_services();
    assert_eq!(all(&place).code, 0);
    for n in [2, 0] {
        let path = place.journals()[n].clone();
        let (name, entries) =
            (path.file_stem().unwrap().to_string_lossy().into_owned(), lines(&path).len());
        fs::remove_file(&path).unwrap();
        let shown = all(&place);
        let words = in_a_line(&shown);
        let told =
            format!("GONE session {name} (Trainer): its file is gone; it had {entries} entries");
        assert!(shown.code == 1 && words.contains(&told), "{shown}");
        assert!(words.contains("cowlside restore BACKUP"), "{shown}");
        let json = place.run(&["verify", "--all", "--json"]);
        let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
        assert_eq!((&json["whole"], &json["gone"][0]["entries"]), (&false.into(), &entries.into()));
        let outside = tempfile::tempdir().unwrap();
        let file = outside.path().join("a.backup");
        let made = place.run(&["backup", file.to_str().unwrap()]);
        let told = format!("warning: not in the backup: session {name} (Trainer): ");
        assert!(made.code == 1 && made.err.contains(&told), "{made}");
        // The one quiet way to end it is the one that is told.
        let (_, memo) = words.split_once("on purpose, remove FOLDER/").unwrap();
        let memo = memo.split_once(',').unwrap().0;
        fs::remove_file(place.path().join(memo)).unwrap();
        assert_eq!(all(&place).code, 0);
        assert!(
            !place
                .run(&["backup", outside.path().join("b").to_str().unwrap()])
                .err
                .contains("gone")
        );
    }
}

#[test]
fn a_memo_of_an_earlier_version_tells_of_a_deleted_session_by_its_identity() {
    let place = with_services();
    fs::remove_file(&place.journals()[2]).unwrap();
    for memo in fs::read_dir(place.path().join("cache/seen")).unwrap() {
        let memo = memo.unwrap().path();
        let first = fs::read_to_string(&memo).unwrap().lines().next().unwrap().to_owned();
        fs::write(&memo, format!("{first}\n")).unwrap();
    }
    let words = in_a_line(&all(&place));
    assert!(words.contains("GONE a session with the id "), "{words}");
}

#[test]
fn an_engine_whose_file_was_deleted_is_missed_while_sessions_name_it() {
    let place = with_services();
    let engine =
        fs::read_dir(place.path().join("engines")).unwrap().next().unwrap().unwrap().path();
    fs::remove_file(engine).unwrap();
    let shown = all(&place);
    let words = in_a_line(&shown);
    let told = "GONE engine Trainer: its file is gone, and 3 sessions name it here";
    assert!(shown.code == 1 && words.contains(told), "{shown}");
    let file = tempfile::tempdir().unwrap();
    let made = place.run(&["backup", file.path().join("a").to_str().unwrap()]);
    assert!(made.err.contains("not in the backup: engine Trainer: "), "{made}");
    let name = place.journals()[2].file_stem().unwrap().to_string_lossy().into_owned();
    assert!(words.contains("engine add Trainer --of SESSION-3"), "{words}");
    assert_eq!(place.run(&["engine", "add", "Trainer", "--of", &name]).code, 0);
    assert_eq!(all(&place).code, 0);
}

#[test]
fn a_file_that_was_emptied_is_told_with_what_it_held_and_is_not_to_be_begun_anew() {
    type Way = fn(&Path, usize);
    let ways: [Way; 2] = [
        |path, _| fs::write(path, "").unwrap(),
        |path, length| fs::write(path, vec![0; length]).unwrap(),
    ];
    for empty in ways {
        for n in [0, 2] {
            let place = with_services();
            let path = place.journals()[n].clone();
            let (name, entries) =
                (path.file_stem().unwrap().to_string_lossy().into_owned(), lines(&path).len());
            empty(&path, fs::read(&path).unwrap().len());
            let told = format!("{entries} entries were in it when it was last seen here");
            let one = place.run(&["verify", &name]);
            let words = in_a_line(&one);
            assert!(one.code == 1 && words.contains(&told), "{one}");
            assert!(words.contains("cowlside restore BACKUP"), "{one}");
            assert!(!words.contains("start a new session"), "{one}");
            let every = all(&place);
            assert!(every.code == 1 && in_a_line(&every).contains(&told), "{every}");
            let page = in_a_line(&place.run_typing(SESSION, ""));
            // The newest is still open where the first was emptied.
            assert!(
                n == 0
                    || page
                        .contains(&format!("and {entries} were in it when it was last seen here")),
                "{page}"
            );
        }
    }
}

#[test]
fn what_a_failed_start_left_is_no_fault_and_is_warned_of_by_no_list() {
    let place = with_services();
    for (name, text) in
        [("20260314-101530z-zzzzzz", ""), ("20260315-101530z-yyyyyy", "{\"seq\":0,\"t\"")]
    {
        fs::write(place.path().join(format!("sessions/{name}.jsonl")), text).unwrap();
    }
    let shown = all(&place);
    assert_eq!(shown.code, 0, "{shown}");
    assert_eq!(in_a_line(&shown).matches("empty session SESSION-").count(), 2, "{shown}");
    let words = in_a_line(&shown);
    assert!(words.contains("5 session files: 3 whole, 2 empty; "), "{shown}");
    assert!(words.contains("What is not empty is whole."), "{shown}");
    for words in [["engines"].as_slice(), &["sessions", "Trainer"], &["history", "Trainer"]] {
        let listed = place.run(words);
        assert!(!listed.err.contains("empty start"), "{listed}");
    }
    let one = place.run(&["verify", "20260314-101530z-zzzzzz"]);
    assert!(one.code == 0 && in_a_line(&one).contains("nothing: it may be removed"), "{one}");
    assert_eq!(place.journals().len(), 5, "nothing is removed");
    // One of NULs alone held something once, as far as anybody can tell.
    let nuls = place.path().join("sessions/20260316-101530z-xxxxxx.jsonl");
    fs::write(&nuls, [0; 9000]).unwrap();
    for shown in [all(&place), place.run(&["verify", "20260316-101530z-xxxxxx"])] {
        let words = in_a_line(&shown);
        let to_do = "where entries were in it, look for a sound copy of it (cowlside take COPY)";
        assert!(shown.code == 1 && words.contains(to_do), "{shown}");
    }
    fs::remove_file(nuls).unwrap();
    // Without the memo nobody knows what was in an empty file, and nobody says that all is whole.
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    fs::remove_file(place.path().join("sessions/20260315-101530z-yyyyyy.jsonl")).unwrap();
    fs::write(&place.journals()[0], "").unwrap();
    let shown = all(&place);
    let words = in_a_line(&shown);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(words.contains("4 session files: 2 whole, 2 empty; "), "{shown}");
    let end = "What can be read is whole; of an empty file nobody knows what was in it.";
    assert!(words.contains(end), "{shown}");
    let json = place.run(&["verify", "--json"]).json();
    let empty: Vec<&serde_json::Value> =
        json["sessions"].as_array().unwrap().iter().filter(|one| one["state"] == "empty").collect();
    assert_eq!(empty.len(), 2, "{json}");
    assert!(empty.iter().all(|one| one["whole"] == false) && json["whole"] == false, "{json}");
}

/// Says for each file how often it is told what to do.
fn advices(place: &Place, named: &str) -> Vec<usize> {
    let shown = place.run(&["verify", named]);
    let files = shown.out.split("  file  ").skip(1);
    files.map(|file| file.matches("  what to do  ").count()).collect()
}

#[test]
fn one_file_has_one_advice() {
    let spoilt = |spoil: &dyn Fn(&Path, Vec<Vec<u8>>)| {
        let place = with_services();
        let path = place.journals()[2].clone();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        spoil(&path, lines(&path));
        (place, name)
    };
    let copy = |path: &Path| path.with_file_name("20270309-235959z-copy.jsonl");
    let damaged = |mut all: Vec<Vec<u8>>, at: usize| {
        all[at][30] ^= 1;
        all.concat()
    };
    let told =
        |shown: &Shown, words: &str| assert!(in_a_line(shown).contains(words), "{words}: {shown}");
    // Damaged, and a sound copy that has all of it.
    let (place, name) = spoilt(&|path, all| {
        fs::write(copy(path), all.concat()).unwrap();
        fs::write(path, damaged(all, 9)).unwrap();
    });
    assert_eq!(advices(&place, &name), [0, 1]);
    told(&place.run(&["verify", &name]), "it may be moved out");
    // Damaged, and a sound one that has less.
    let (place, name) = spoilt(&|path, all| {
        fs::write(copy(path), all[..all.len() - 3].concat()).unwrap();
        fs::write(path, damaged(all, 9)).unwrap();
    });
    assert_eq!(
        advices(&place, &name).iter().sum::<usize>(),
        1,
        "{}",
        place.run(&["verify", &name])
    );
    told(&place.run(&["verify", &name]), "open the engine to go on with that one");
    // Cut off, with entries missing that were here: those first.
    let (place, name) = spoilt(&|path, all| {
        let bytes = all[..all.len() - 2].concat();
        fs::write(path, &bytes[..bytes.len() - 20]).unwrap();
    });
    assert_eq!(advices(&place, &name), [1]);
    told(
        &place.run(&["verify", &name]),
        "what to do look for a sound copy of it (cowlside take COPY), or cowlside restore BACKUP",
    );
    // Cut off, and a copy that is whole.
    let (place, name) = spoilt(&|path, all| {
        let bytes = all.concat();
        fs::write(copy(path), &bytes).unwrap();
        fs::write(path, &bytes[..bytes.len() - 20]).unwrap();
    });
    assert_eq!(advices(&place, &name), [0, 1]);
    // Whole entries gone, and nothing else is the matter: that is told what to do about, too.
    let (place, name) = spoilt(&|path, all| {
        fs::write(path, all[..all.len() - 2].concat()).unwrap();
    });
    assert_eq!(advices(&place, &name), [1]);
    // A broken end that was set aside, and another one behind it.
    let (place, name) = spoilt(&|path, all| {
        let bytes = all.concat();
        fs::write(path, &bytes[..bytes.len() - 20]).unwrap();
    });
    place.run_typing(SESSION, "1\n");
    let path = place.journals()[2].clone();
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() - 20]).unwrap();
    assert_eq!(advices(&place, &name), [1], "{}", place.run(&["verify", &name]));
}

#[test]
fn a_backup_tells_of_entries_that_are_missing_at_the_end_of_a_session() {
    let place = with_trainer();
    super::services::begin(&place, "", "Gauge 2 intake");
    let path = place.journals()[0].clone();
    let all = lines(&path);
    fs::write(&path, all[..all.len() - 2].concat()).unwrap();
    let outside = tempfile::tempdir().unwrap();
    let made = place.run(&["backup", outside.path().join("a").to_str().unwrap()]);
    let told = format!(
        "this session had {} entries here last time, now it has {}",
        all.len(),
        all.len() - 2
    );
    assert!(in_a_line(&made).contains(&told), "{made}");
}

#[test]
fn what_came_from_a_backup_or_another_folder_is_missed_as_what_was_begun_here() {
    let (there, outside) = (with_services(), tempfile::tempdir().unwrap());
    let file = outside.path().join("a.backup");
    there.run(&["backup", file.to_str().unwrap()]).done();
    let (restored, taken) = (Place::new(), Place::new());
    restored.run(&["restore", file.to_str().unwrap()]).done();
    taken.run(&["take", there.path().to_str().unwrap()]).done();
    for place in [restored, taken] {
        let [first, second] = [0, 1].map(|n| place.journals()[n].clone());
        let entries = lines(&second).len();
        fs::write(&second, "").unwrap();
        let words = in_a_line(&all(&place));
        let told = format!("{entries} entries were in it when it was last seen here");
        assert!(words.contains("EMPTY session SESSION-2") && words.contains(&told), "{words}");
        fs::remove_file(&first).unwrap();
        assert!(in_a_line(&all(&place)).contains("(Trainer): its file is gone"), "{words}");
    }
}

#[test]
fn an_empty_file_of_which_no_memo_is_kept_is_told_the_same_wherever_it_is_met() {
    let place = with_services();
    // The open one: else no new service is begun.
    place.run_typing(SESSION, "q\n");
    let path = place.journals()[2].clone();
    fs::write(&path, "").unwrap();
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    let told = "whether a session was ever in it is not known any more";
    let to_do = "look for a sound copy of it (cowlside take COPY), or cowlside restore BACKUP; else a start \
                 failed here, nothing is lost, and the file may be removed";
    let lists = [&["engines"][..], &["sessions", "Trainer"], &["export"], &["verify", "--all"]];
    for words in lists.into_iter().chain([&["verify", "SESSION-3"][..]]) {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let words: Vec<&str> =
            words.iter().map(|word| if *word == "SESSION-3" { &name } else { *word }).collect();
        let shown = place.run(&words);
        let line = in_a_line(&shown);
        // By itself it is no fault.
        assert_eq!(shown.code, 0, "{words:?}: {shown}");
        assert!(line.contains(told) && line.contains(to_do), "{words:?}: {shown}");
        fs::remove_dir_all(place.path().join("cache")).unwrap_or_default();
    }
    let page = in_a_line(&place.run_typing(SESSION, ""));
    assert!(page.contains("NOT READ: session SESSION-3 ") && page.contains(to_do), "{page}");
    // The told way ends it.
    fs::remove_file(&path).unwrap();
    assert_eq!(place.run(&["engines"]).err, "");
}

#[test]
fn verify_tells_of_a_session_that_is_gone_what_is_known_of_it() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    let entries = lines(&path).len();
    fs::remove_file(&path).unwrap();
    let begins = name.rsplit('-').next().unwrap();
    for word in [&*name, begins] {
        let shown = place.run(&["verify", word]);
        let told = format!("{name} (Trainer): its file is gone; it had {entries} entries");
        let line = in_a_line(&shown);
        assert!(shown.code == 1 && line.contains("GONE") && line.contains(&told), "{shown}");
        assert!(line.contains("cowlside restore BACKUP"), "{shown}");
        let json = place.run(&["verify", word, "--json"]);
        let document: serde_json::Value = serde_json::from_str(&json.out).unwrap();
        assert_eq!((json.code, &document["gone"][0]["entries"]), (1, &entries.into()), "{json}");
    }
    assert!(place.run(&["verify", "nosuch"]).failed().0.contains("no session is called"));
}
