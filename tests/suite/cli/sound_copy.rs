//! A damaged file of a session and a sound one beside it that says less: which counts, how the sound one
//! is gone on with, and that the damaged one stays; and a session that goes on in another folder.

use super::services::{SESSION, with_services};
use super::{Place, Shown};
use std::fs;
use std::path::{Path, PathBuf};

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

/// The open session with one entry changed, and a copy of its first entries from before that.
struct Spoiled {
    place: Place,
    damaged: PathBuf,
    copy: Vec<u8>,
    /// Entries of the copy.
    good: usize,
}

impl Spoiled {
    /// `behind` the end of the copy, or before it.
    fn make(behind: bool) -> Spoiled {
        let place = with_services();
        let damaged = place.journals()[2].clone();
        let mut all = lines(&damaged);
        let good = all.len() - 4;
        let copy = all[..good].concat();
        let at = if behind { good + 1 } else { good - 2 };
        all[at][30] ^= 1;
        fs::write(&damaged, all.concat()).unwrap();
        Spoiled { place, damaged, copy, good }
    }

    fn put_copy(&self) -> PathBuf {
        let path = self.damaged.with_file_name("20270309-235959z-copy.jsonl");
        fs::write(&path, &self.copy).unwrap();
        path
    }
}

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_sound_copy_is_offered_beside_the_damaged_file_and_counts_once_it_was_gone_on_with() {
    for behind in [false, true] {
        let spoiled = Spoiled::make(behind);
        let (place, good) = (&spoiled.place, spoiled.good);
        let copy = spoiled.put_copy();
        let before = fs::read(&spoiled.damaged).unwrap();
        let listed = in_a_line(&place.run(&["engines"]));
        let told =
            format!("a sound version with {good} entries lies in SESSION-4.jsonl: open the engine");
        assert!(listed.contains(&told), "{behind}: {listed}");
        let asked = in_a_line(&place.run_typing(SESSION, ""));
        assert!(
            asked.contains(&format!("1 version B: a copy, shorter, {good} entries")),
            "{behind}: {asked}"
        );
        assert!(asked.contains("DAMAGED: it cannot be gone on with"), "{behind}: {asked}");
        assert_eq!(
            fs::read(&copy).unwrap(),
            spoiled.copy,
            "nothing is written before it was chosen"
        );
        let gone_on = place.run_typing(SESSION, "1\n");
        assert_eq!(gone_on.code, 0, "{behind}: {gone_on}");
        assert!(!gone_on.err.contains("cannot be gone on with"), "{behind}: {gone_on}");
        assert!(lines(&copy).len() > good, "{behind}: {gone_on}");
        // From here on it counts, and nobody is asked again.
        let sessions = place.run(&["sessions", "Trainer"]).out;
        let counts = sessions.lines().find(|line| line.ends_with("the one that counts"));
        assert!(
            counts.is_some_and(|line| line.contains("in SESSION-4.jsonl")),
            "{behind}: {sessions}"
        );
        let again = place.run_typing(SESSION, "");
        assert!(!again.to_string().contains("version B: "), "{behind}: {again}");
        // Whichever counts, the letter of each is what it was.
        let kept =
            "its version A in SESSION-3.jsonl is damaged and is kept as it is: damaged at line ";
        assert!(again.err.contains(kept), "{behind}: {again}");
        assert!(place.run(&["engines"]).err.contains(kept), "{behind}");
        assert_eq!(again.code, 0, "{behind}: {again}");
        assert_eq!(fs::read(&spoiled.damaged).unwrap(), before, "{behind}: it is kept as it was");
        // What the damaged one has beyond it can be taken over.
        let history = place.run(&["history", "Trainer"]);
        assert!(history.err.contains("version A is left out"), "{behind}: {history}");
    }
}

#[test]
fn whoever_does_not_want_the_sound_copy_begins_a_new_service() {
    let spoiled = Spoiled::make(true);
    let copy = spoiled.put_copy();
    let shown = spoiled.place.run_typing(SESSION, "2\n");
    let words = in_a_line(&shown);
    assert!(words.contains("2 version A: "), "{shown}");
    assert!(words.contains("DAMAGED: session SESSION-3 is open"), "{shown}");
    assert!(words.contains("Running hours now"), "{shown}");
    assert_eq!(fs::read(&copy).unwrap(), spoiled.copy);
}

#[test]
fn a_damaged_copy_alone_is_offered_to_nobody() {
    let spoiled = Spoiled::make(true);
    let shown = spoiled.place.run_typing(SESSION, "");
    assert!(!shown.to_string().contains("version"), "{shown}");
    assert!(in_a_line(&shown).contains("DAMAGED: session SESSION-3 is open"), "{shown}");
}

#[test]
fn a_sound_copy_is_taken_and_restored_though_the_damaged_one_here_goes_further() {
    for behind in [false, true] {
        let spoiled = Spoiled::make(behind);
        let place = &spoiled.place;
        let outside = tempfile::tempdir().unwrap();
        let file = outside.path().join("copy.jsonl");
        fs::write(&file, &spoiled.copy).unwrap();
        let before = fs::read(&spoiled.damaged).unwrap();
        let taken = place.run(&["take", file.to_str().unwrap()]);
        assert!(taken.done().contains("copied"), "{behind}: {taken}");
        assert_eq!(place.journals().len(), 4, "{behind}");
        assert!(in_a_line(&place.run_typing(SESSION, "")).contains("1 version B: "), "{behind}");
        let again = place.run(&["take", file.to_str().unwrap()]);
        assert!(again.done().contains("here already"), "{behind}: {again}");
        assert_eq!(place.journals().len(), 4, "{behind}");
        assert_eq!(fs::read(&spoiled.damaged).unwrap(), before, "{behind}");
    }
    // The backup of an earlier day.
    let spoiled = Spoiled::make(true);
    let (place, outside) = (&spoiled.place, tempfile::tempdir().unwrap());
    let backup = outside.path().join("a.backup");
    let damaged = fs::read(&spoiled.damaged).unwrap();
    fs::write(&spoiled.damaged, &spoiled.copy).unwrap();
    let made = place.run(&["backup", backup.to_str().unwrap()]);
    assert_eq!(made.code, 0, "{made}");
    fs::write(&spoiled.damaged, &damaged).unwrap();
    let restored = place.run(&["restore", backup.to_str().unwrap()]);
    let words = "copied: it is sound, and the one here is damaged";
    assert!(in_a_line(&restored).contains(words), "{restored}");
    assert_eq!(fs::read(&spoiled.damaged).unwrap(), damaged);
    assert!(in_a_line(&place.run_typing(SESSION, "")).contains("1 version B: "));
    let again = place.run(&["restore", backup.to_str().unwrap()]);
    assert!(again.done().contains("0 of "), "{again}");
}

#[test]
fn the_same_entries_without_the_damage_are_taken_too() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let (whole, outside) = (fs::read(&path).unwrap(), tempfile::tempdir().unwrap());
    let file = outside.path().join("copy.jsonl");
    fs::write(&file, &whole).unwrap();
    let text = String::from_utf8(whole).unwrap();
    fs::write(&path, text.replace('\n', "\r\n")).unwrap();
    assert!(place.run_typing(SESSION, "").to_string().contains("cannot be gone on with"));
    place.run(&["take", file.to_str().unwrap()]).done();
    let gone_on = place.run_typing(SESSION, "");
    assert!(!gone_on.to_string().contains("cannot be gone on with"), "{gone_on}");
}

const REMARK: &str = "{\"cylinder\":1,\"good\":[\"pad\",\"bush\",\"spring\"],\"bad\":[\"oil\"],\"text\":\"later\",\"before_running\":false}";

#[test]
fn of_two_that_have_ended_the_sound_one_counts() {
    let place = with_services();
    let path = place.journals()[0].clone();
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    let whole = lines(&path);
    fs::write(path.with_file_name("00000000-copy.jsonl"), whole.concat()).unwrap();
    let mut damaged = whole;
    // It has a remark more, too.
    let end = String::from_utf8(damaged.last().unwrap().clone()).unwrap();
    let (body, hash) = end.trim_end().split_once(",\"h\":\"").unwrap();
    let (before, at) = body.split_once(",\"t\":").unwrap();
    let (at, _) = at.split_once(",\"p\":").unwrap();
    let seq: usize = before.trim_start_matches("{\"seq\":").parse().unwrap();
    let remark = format!(
        "{{\"seq\":{},\"t\":{at},\"p\":\"{}\",\"k\":\"remark\",\"d\":{REMARK}",
        seq + 1,
        hash.trim_end_matches("\"}")
    );
    let own = cowlside::store::hash::hex_of_sha256(remark.as_bytes(), 16);
    damaged.push(format!("{remark},\"h\":\"{own}\"}}\n").into_bytes());
    damaged[9][30] ^= 1;
    fs::write(&path, damaged.concat()).unwrap();
    // The damaged one goes further, which makes it A, and the sound one counts.
    let [counts, other] =
        ["B", "A"].map(|letter| place.run(&["report", &format!("{name}@{letter}")]));
    assert!(counts.done().contains("SEAL-CODE-"), "{counts}");
    assert!(other.out.contains("NOT WHOLE"), "{other}");
}

/// The memo of the open session, which says that it goes on elsewhere with more.
pub fn goes_on_elsewhere(place: &Place) -> PathBuf {
    let path = place.journals()[2].clone();
    let begins = path.file_stem().unwrap().to_string_lossy().rsplit('-').next().unwrap().to_owned();
    let memos = fs::read_dir(place.path().join("cache/seen")).unwrap();
    let memo = memos
        .map(|memo| memo.unwrap().path())
        .find(|memo| memo.file_name().unwrap().to_string_lossy().starts_with(&begins));
    let memo = memo.unwrap();
    let first = fs::read_to_string(&memo).unwrap().lines().next().unwrap().to_owned();
    let (more, hash) = (lines(&path).len() + 3, "0".repeat(32));
    fs::write(&memo, format!("{first}\nsaved in {more} {hash} /stick/later.jsonl\n")).unwrap();
    path
}

#[test]
fn nothing_is_added_here_to_a_session_that_goes_on_elsewhere_before_that_was_told_and_chosen() {
    let place = with_services();
    let path = goes_on_elsewhere(&place);
    let before = fs::read(&path).unwrap();
    for typed in ["", "q\n", "6\n"] {
        let shown = place.run_typing(SESSION, typed);
        assert_eq!(fs::read(&path).unwrap(), before, "{typed:?}: {shown}");
        let words = in_a_line(&shown);
        assert!(
            words.contains("ONLY LOOKING: a later version of it lies in another folder"),
            "{shown}"
        );
        assert!(words.contains("cowlside take /stick/later.jsonl"), "{shown}");
    }
    let chosen = place.run_typing(SESSION, "go on\n");
    assert_eq!(chosen.code, 0, "{chosen}");
    assert!(fs::read(&path).unwrap().len() > before.len(), "{chosen}");
    // It was chosen; it is told, but not asked again.
    let grown = fs::read(&path).unwrap().len();
    let again = place.run_typing(SESSION, "");
    assert!(again.err.contains("goes on in /stick/later.jsonl"), "{again}");
    assert!(!again.out.contains("ONLY LOOKING"), "{again}");
    assert!(fs::read(&path).unwrap().len() > grown, "{again}");
    assert!(place.run(&["engines"]).err.contains("goes on in /stick/later.jsonl"));
}

#[test]
fn a_broken_end_is_not_set_aside_either_before_that_was_told() {
    let place = with_services();
    let path = goes_on_elsewhere(&place);
    let whole = fs::read(&path).unwrap();
    fs::write(&path, &whole[..whole.len() - 20]).unwrap();
    let shown = place.run_typing(SESSION, "q\n");
    assert!(shown.out.contains("ONLY LOOKING"), "{shown}");
    assert_eq!(fs::read(&path).unwrap(), &whole[..whole.len() - 20]);
}
