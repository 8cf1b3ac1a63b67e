//! What is damaged, gone or elsewhere is told by every command that meets it, each time with a way back
//! that works.

use super::left_open::write;
use super::services::{SESSION, with_services};
use super::sound_copy::goes_on_elsewhere;
use super::{Place, Shown};
use cowlside::domain::entry::{Entry, Remark};
use std::fs;
use std::path::{Path, PathBuf};

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Changes a bit of an entry in the middle.
fn flip(path: &Path) {
    let mut all = lines(path);
    let middle = all.len() / 2;
    all[middle][30] ^= 1;
    fs::write(path, all.concat()).unwrap();
}

/// Flips every file of the session that holds all these bytes.
fn flip_copies(place: &Place, whole: &[u8]) -> usize {
    let copies: Vec<PathBuf> =
        place.journals().into_iter().filter(|path| fs::read(path).unwrap() == whole).collect();
    copies.iter().for_each(|path| flip(path));
    copies.len()
}

#[test]
fn a_sound_copy_is_taken_and_restored_again_where_the_one_before_was_damaged_too() {
    let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
    let path = place.journals()[2].clone();
    let whole = fs::read(&path).unwrap();
    let (copy, backup) = (outside.path().join("copy.jsonl"), outside.path().join("a.backup"));
    // Its own name, so that the one it gets here is made of that.
    let copy = copy.with_file_name(path.file_name().unwrap());
    fs::write(&copy, &whole).unwrap();
    place.run(&["backup", backup.to_str().unwrap()]).done();
    let (copy, backup) = (copy.to_str().unwrap(), backup.to_str().unwrap());
    for command in [["take", copy], ["take", copy], ["restore", backup], ["restore", backup]] {
        assert_eq!(flip_copies(&place, &whole), 1);
        let dry = place.run(&[&command[..], &["--dry-run"]].concat());
        assert!(dry.code == 0 && dry.out.contains("copied"), "{command:?}: {dry}");
        let before = place.journals().len();
        let done = place.run(&command);
        assert!(done.code == 0 && done.out.contains("copied"), "{command:?}: {done}");
        assert_eq!(place.journals().len(), before + 1, "{command:?}");
        let again = place.run(&command);
        assert!(again.code == 0 && place.journals().len() == before + 1, "{again}");
    }
}

#[test]
fn a_session_that_is_gone_is_told_by_all_that_list_open_tag_or_export() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    fs::remove_file(&path).unwrap();
    let gone = format!("GONE: session {name} (Trainer): its file is gone; it had ");
    let runs: [(&[&str], i32); 2] = [(&["tag", "Trainer"], 1), (&["export"], 1)];
    for (words, code) in runs {
        let shown = place.run(words);
        let told = in_a_line(&shown);
        assert!(shown.code == code && told.contains(&gone), "{shown}");
        assert!(told.contains("cowlside restore BACKUP, or cowlside take COPY"), "{shown}");
        assert!(!told.contains("no session of Trainer is open"), "{shown}");
    }
    // On the page that begins a service, where more is asked, it is told in a line.
    let page = place.run(SESSION);
    let told = format!(
        "GONE: session {name} (Trainer): its file is gone; cowlside verify --all says what to do"
    );
    assert!(page.code == 0 && in_a_line(&page).contains(&told), "{page}");
    assert!(!in_a_line(&page).contains("cache"), "{page}");
    let ends = "error: 1 session is gone, and not in the table";
    assert!(place.run(&["export"]).err.contains(ends));
    // Of another engine's nothing is said beside this one.
    place.run(&["engine", "add", "Other", "--profile", "flat-four", "--hours", "1"]).done();
    let other = place.run(&["session", "Other", "--plain"]);
    assert!(!in_a_line(&other).contains("GONE"), "{other}");
    assert!(place.run(&["engines"]).err.contains("GONE"));
}

#[test]
fn the_list_of_engines_marks_the_one_of_which_a_session_is_gone_and_says_so_in_a_line() {
    let place = with_services();
    place.run(&["engine", "add", "Other", "--profile", "flat-four", "--hours", "1"]).done();
    let path = place.journals()[2].clone();
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    fs::remove_file(&path).unwrap();
    let shown = place.run(&["engines"]);
    let warned: Vec<&str> = shown.err.lines().filter(|line| line.contains("GONE")).collect();
    let told = format!(
        "warning: GONE: session {name} (Trainer): its file is gone; cowlside verify --all says what to do"
    );
    assert_eq!(warned, [told]);
    assert!(!shown.err.contains("cache"), "{shown}");
    assert!(shown.code == 1 && !shown.err.contains("left out"), "{shown}");
    assert!(shown.err.contains("error: 1 session is gone, and not in the list"), "{shown}");
    let row = |engine: &str| shown.out.lines().find(|line| line.starts_with(engine)).unwrap();
    assert!(row("Trainer").contains("GONE SERVICE"), "{shown}");
    assert!(!row("Other").contains("GONE"), "{shown}");
    assert!(shown.out.starts_with("Trainer"), "it stands first: {shown}");
    let json = place.run(&["engines", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let trainer = &json["engines"][0];
    assert_eq!(trainer["attention"], "open");
    assert_eq!(trainer["left_open"][0], format!("GONE: session {name}"));
    // One that had ended opens nothing.
    let place = with_services();
    fs::remove_file(&place.journals()[0]).unwrap();
    let shown = place.run(&["engines"]);
    assert!(shown.out.contains("GONE SERVICE"), "{shown}");
    let json = place.run(&["engines", "--json"]);
    assert!(!json.out.contains("GONE"), "{json}");
}

#[test]
fn all_of_a_session_is_said_to_be_in_no_damaged_file_and_damage_is_nothing_to_pass_over() {
    // Both damaged.
    let place = with_services();
    let path = place.journals()[2].clone();
    let whole = fs::read(&path).unwrap();
    let copy = path.with_file_name("zz.jsonl");
    flip(&path);
    fs::copy(&path, &copy).unwrap();
    let told = in_a_line(&place.run(&["engines"]));
    assert!(
        told.contains("most of it is in SESSION-3.jsonl, which is not whole: damaged"),
        "{told}"
    );
    assert!(!told.contains("all of it is in") && !told.contains("nothing need be"), "{told}");
    assert!(!told.contains("moved away"), "{told}");
    // One of them whole.
    fs::write(&copy, &whole).unwrap();
    for words in [&["engines"][..], SESSION] {
        let told = in_a_line(&place.run(words));
        assert!(told.contains("is damaged: damaged at line "), "{told}");
        assert!(told.contains("it may be moved out of the folder `sessions`"), "{told}");
        assert!(!told.contains("nothing need be done"), "{told}");
    }
    let checked = place.run(&["verify", "--all"]);
    assert!(checked.code == 1, "{checked}");
    assert!(in_a_line(&checked).contains("it may be moved out of the folder `sessions`"));
}

#[test]
fn an_emptied_file_is_no_fault_once_all_of_its_session_is_back_beside_it() {
    for nuls in [0, 9000] {
        let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
        let backup = outside.path().join("a.backup");
        place.run(&["backup", backup.to_str().unwrap()]).done();
        let path = place.journals()[2].clone();
        fs::write(&path, vec![0; nuls]).unwrap();
        assert_eq!(place.run(&["engines"]).code, 1);
        assert_eq!(place.run(&["restore", backup.to_str().unwrap()]).code, 0);
        for words in [&["engines"][..], &["verify", "--all"], &["sessions", "Trainer"]] {
            let shown = place.run(words);
            assert_eq!(shown.code, 0, "{nuls}: {shown}");
            let told = in_a_line(&shown);
            assert!(told.contains("it may be moved out of the folder `sessions`"), "{shown}");
            assert!(!told.contains("left out") && !told.contains("EMPTY"), "{shown}");
        }
        assert_eq!(place.run(&["export"]).code, 0);
    }
}

#[test]
fn an_empty_file_alone_is_no_fault_where_the_memos_are_gone_and_a_torn_head_is_no_empty_one() {
    let place = with_services();
    let at = |name: &str| place.path().join(format!("sessions/{name}.jsonl"));
    fs::write(at("20260315-101530z-yyyyyy"), "{\"seq\":0,\"t\"").unwrap();
    let shown = in_a_line(&place.run(&["verify", "--all"]));
    assert!(shown.contains("no whole entry was ever in it"), "{shown}");
    assert!(!shown.contains("nothing was ever in it"), "{shown}");
    fs::remove_file(at("20260315-101530z-yyyyyy")).unwrap();
    fs::write(at("20260314-101530z-zzzzzz"), "").unwrap();
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    for words in [&["engines"][..], &["verify", "--all"], &["export"]] {
        let shown = place.run(words);
        // It is told, and nothing is said to be left out.
        assert!(shown.code == 0 && !shown.err.contains("left out"), "{shown}");
        assert!(in_a_line(&shown).contains("is not known any more"), "{words:?}: {shown}");
        fs::remove_dir_all(place.path().join("cache")).unwrap_or_default();
    }
}

#[test]
fn the_copy_that_is_known_of_is_named_where_the_file_here_is_damaged_or_emptied() {
    let told = |place: &Place, words: &[&str]| {
        let shown = place.run(words);
        let text = in_a_line(&shown);
        assert!(text.contains("cowlside take /stick/later.jsonl"), "{words:?}: {shown}");
        assert!(!text.contains("take COPY"), "{words:?}: {shown}");
    };
    let place = with_services();
    flip(&goes_on_elsewhere(&place));
    told(&place, &["engines"]);
    told(&place, SESSION);
    let place = with_services();
    let path = goes_on_elsewhere(&place);
    fs::write(&path, vec![0; 9000]).unwrap();
    for words in [&["engines"][..], &["verify", "--all"], SESSION, &["tag", "Trainer"]] {
        told(&place, words);
    }
}

#[test]
fn a_backup_without_a_session_that_was_here_ends_with_1_and_a_missing_folder_is_told() {
    let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
    fs::remove_file(&place.journals()[2]).unwrap();
    let made = place.run(&["backup", outside.path().join("a").to_str().unwrap()]);
    assert_eq!(made.code, 1, "{made}");
    assert!(made.err.contains("not in the backup: session "), "{made}");
    assert!(made.err.contains("error: 1 file that was in the data folder is gone"), "{made}");
    let place = with_services();
    fs::rename(place.path(), outside.path().join("away")).unwrap();
    for words in [
        SESSION,
        &["sessions", "Trainer"],
        &["tag", "Trainer"],
        &["report", "Trainer"],
        &["history", "Trainer"],
        &["compare", "Trainer"],
        &["parts", "Trainer"],
        &["engine", "hours", "Trainer", "700"],
    ] {
        let shown = place.run(words);
        let absent = shown.err.contains("FOLDER") && !shown.err.contains("no engine is called");
        assert!(shown.code == 1 && absent, "{words:?}: {shown}");
        assert!(!place.path().exists(), "{words:?}");
    }
    fs::create_dir(place.path()).unwrap();
}

/// Returns the hash of an entry.
fn hash(line: &[u8]) -> String {
    let text = String::from_utf8(line.to_vec()).unwrap();
    let (_, hash) = text.trim_end().rsplit_once(",\"h\":\"").unwrap();
    hash.trim_end_matches("\"}").to_owned()
}

#[test]
fn what_was_saved_elsewhere_after_it_was_taken_is_still_told_while_it_can_be_reached() {
    let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
    let path = goes_on_elsewhere(&place);
    let all = lines(&path);
    let noted = all.len() - 5;
    let there = outside.path().join("later.jsonl");
    fs::write(&there, all.concat()).unwrap();
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    let last = format!("{noted} {}", hash(&all[noted]));
    let begins = path.file_stem().unwrap().to_string_lossy().rsplit('-').next().unwrap().to_owned();
    let memos = fs::read_dir(place.path().join("cache/seen")).unwrap();
    let mut memos = memos.map(|memo| memo.unwrap().path());
    let memo = memos.find(|memo| memo.file_name().unwrap().to_string_lossy().starts_with(&begins));
    fs::write(memo.unwrap(), format!("{last}\nsaved in {last} {}\n", there.display())).unwrap();
    let told = format!("goes on in {}, with {} entries", there.display(), all.len());
    let shown = place.run(&["engines"]);
    assert!(in_a_line(&shown).contains(&told), "{shown}");
    // Once all of it is here, or it can be reached no longer, nothing is known to be missing.
    fs::write(&path, all.concat()).unwrap();
    assert!(!place.run(&["engines"]).err.contains("goes on in"));
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    fs::remove_file(&there).unwrap();
    assert!(!place.run(&["engines"]).err.contains("goes on in"));
}

#[test]
fn tag_report_and_export_tell_that_a_session_goes_on_elsewhere_or_has_another_version() {
    let place = with_services();
    let path = goes_on_elsewhere(&place);
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    for words in [&["tag", "Trainer"][..], &["report", &name], &["export"]] {
        let shown = place.run(words);
        assert!(shown.err.contains("goes on in /stick/later.jsonl"), "{words:?}: {shown}");
    }
    let tag = in_a_line(&Shown { err: String::new(), ..place.run(&["tag", "Trainer"]) });
    assert!(tag.contains("goes on in another folder: more may be open"), "{tag}");
    // Two versions.
    let place = with_services();
    let path = place.journals()[2].clone();
    let before = fs::read(&path).unwrap();
    place.run_typing(SESSION, "");
    fs::rename(&path, path.with_file_name("20270309-235959z-copy.jsonl")).unwrap();
    fs::write(&path, before).unwrap();
    let one = place.journals().into_iter().rev().find(|one| *one != path).unwrap();
    let aside = one.with_extension("aside");
    fs::rename(&one, &aside).unwrap();
    place.later(5);
    place.run_typing(SESSION, "");
    fs::rename(&aside, &one).unwrap();
    for words in [&["tag", "Trainer"][..], &["report", "Trainer"], &["export"]] {
        let shown = place.run(words);
        assert!(shown.err.contains("has another version, "), "{words:?}: {shown}");
    }
    let tag = in_a_line(&Shown { err: String::new(), ..place.run(&["tag", "Trainer"]) });
    assert!(tag.contains("There is another version of this session"), "{tag}");
}

#[test]
fn a_name_that_begins_with_a_hyphen_is_told_so_that_it_is_no_option() {
    let place = Place::new();
    let add = ["engine", "add", "--profile", "flat-four", "--hours", "1", "--", "-odd"];
    place.run(&add).done();
    let none = place.run(&["report", "--", "-odd"]);
    assert_eq!(none.failed().1, "begin one: cowlside session -- -odd");
    assert!(place.run(&["session", "--plain", "--", "-odd"]).out.contains("-odd: a new service"));
}

#[test]
fn who_looks_on_in_plain_lines_is_told_once_where_the_session_goes_on() {
    let place = with_services();
    goes_on_elsewhere(&place);
    let shown = place.run_typing(SESSION, "q\n");
    assert!(shown.out.contains("ONLY LOOKING"), "{shown}");
    assert_eq!(in_a_line(&shown).matches("goes on in /stick/later.jsonl").count(), 1, "{shown}");
}

#[test]
fn a_long_remark_is_cut_where_it_stands_beside_other_things() {
    let place = with_services();
    let long = "oil on the rocker cover ".repeat(70);
    let text = long.trim().to_owned();
    let remark = Remark { text, before_running: true, ..Remark::default() };
    write(&place, &[Entry::Remark(remark)]);
    let report = place.run(&["report", "Trainer"]);
    assert!(in_a_line(&report).matches("rocker").count() >= 70, "{report}");
    let tag = place.run(&["tag", "Trainer"]);
    // Who comes back reads all of it once; above each question it is cut.
    let back = place.run_typing(SESSION, "").out;
    let prompt: String = back.lines().filter(|line| line.starts_with("OPEN: ")).collect();
    for text in [&tag.out, &prompt] {
        let (many, cut) = (text.matches("rocker").count(), text.matches("(cut here").count());
        assert!(many > 3 * cut && many < 11 * cut, "{many}, {cut}: {text}");
    }
}

#[test]
fn an_engine_whose_file_is_damaged_is_named_once_with_what_to_do() {
    let place = with_services();
    let engines = fs::read_dir(place.path().join("engines")).unwrap();
    let path =
        engines.map(|one| one.unwrap().path()).find(|one| one.extension().is_some()).unwrap();
    fs::write(&path, "{").unwrap();
    let shown = place.run(&["verify", "--all"]);
    let line = in_a_line(&shown);
    assert_eq!((shown.code, line.matches("ENGINE-1.json").count()), (1, 1), "{shown}");
    assert!(line.contains("is damaged: ") && line.contains("cowlside restore BACKUP"), "{shown}");
}

/// Notes that the open session was saved in a file with all its entries, and lets its file here lack some of
/// them.
fn saved_in(place: &Place, file: &Path) -> PathBuf {
    let path = place.journals()[2].clone();
    let all = lines(&path);
    fs::write(file, all.concat()).unwrap();
    fs::write(&path, all[..all.len() - 3].concat()).unwrap();
    let last = String::from_utf8(all[all.len() - 1].clone()).unwrap();
    let hash =
        last.trim_end().rsplit_once("\"h\":\"").unwrap().1.trim_end_matches("\"}").to_owned();
    let begins = path.file_stem().unwrap().to_string_lossy().rsplit('-').next().unwrap().to_owned();
    let memos = fs::read_dir(place.path().join("cache/seen")).unwrap();
    let mut memos = memos.map(|memo| memo.unwrap().path());
    let memo = memos.find(|memo| memo.file_name().unwrap().to_string_lossy().starts_with(&begins));
    let (memo, seq) = (memo.unwrap(), all.len() - 1);
    fs::write(&memo, format!("\nsaved in {seq} {hash} {}\n", file.display())).unwrap();
    memo
}

#[test]
fn what_lies_now_where_a_session_was_saved_is_told_and_the_note_of_it_can_be_ended() {
    type Spoil = fn(&Path);
    let ways: [(Spoil, &str, bool); 4] = [
        (|file| fs::remove_file(file).unwrap(), "it is not there now: bring its disk back", true),
        (|file| fs::write(file, "").unwrap(), "nothing of it can be read there now", false),
        (
            |file| fs::write(file, lines(file)[..20].concat()).unwrap(),
            "only its first 20 entries are there now, which are here, too",
            false,
        ),
        (
            |file| {
                let all = lines(file);
                fs::write(file, all[..all.len() - 1].concat()).unwrap();
            },
            "which are not all here: cowlside take",
            true,
        ),
    ];
    for (spoil, told, may_be_there) in ways {
        let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
        let file = outside.path().join("later.jsonl");
        let memo = saved_in(&place, &file);
        spoil(&file);
        let typed = format!("cowlside take {}", file.display());
        for words in [&["engines"][..], &["verify", "--all"]] {
            let shown = in_a_line(&place.run(words));
            assert!(shown.contains(told), "{words:?}: {shown}");
            assert_eq!(shown.contains(&typed), may_be_there, "{words:?}: {shown}");
            assert!(!shown.contains("no more is said of it"), "{words:?}: {shown}");
        }
        let looked = in_a_line(&place.run_typing(SESSION, "q\n"));
        assert!(looked.contains("ONLY LOOKING: "), "{looked}");
        assert_eq!(looked.contains("a later version of it lies in"), may_be_there, "{looked}");
        // Who goes on here all the same can end it; until then it is told.
        assert_eq!(place.run_typing(SESSION, "go on\n").code, 0);
        let engines = in_a_line(&place.run(&["engines"]));
        let memo_told = memo.strip_prefix(place.path()).unwrap().display();
        let end = format!("gone for good, remove FOLDER/{memo_told}, and no more is said of it");
        assert!(engines.contains(told) && engines.contains(&end), "{engines}");
        fs::remove_file(&memo).unwrap();
        assert_eq!(place.run(&["engines"]).err, "");
    }
}

#[test]
fn who_takes_the_emptied_file_in_which_a_session_was_saved_is_not_told_that_nothing_is_lost() {
    let (place, outside) = (with_services(), tempfile::tempdir().unwrap());
    let file = outside.path().join("later.jsonl");
    saved_in(&place, &file);
    let entries = lines(&file).len();
    fs::write(&file, "").unwrap();
    let shown = place.run(&["take", file.to_str().unwrap()]);
    let hint = shown.failed().1;
    assert!(hint.contains(&format!("{entries} entries of session ")), "{shown}");
    assert!(!hint.contains("nothing is lost"), "{shown}");
}
