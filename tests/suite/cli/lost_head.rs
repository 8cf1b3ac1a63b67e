//! A session's file of which the first entry cannot be read, beside a sound copy and alone; and damage that
//! is told as such, not as another way that the session went.

use super::services::{SESSION, with_services};
use super::{Place, Shown};
use std::fs;
use std::path::{Path, PathBuf};

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Changes a bit of one entry.
fn flip(path: &Path, entry: usize) {
    let mut all = lines(path);
    all[entry][30] ^= 1;
    fs::write(path, all.concat()).unwrap();
}

fn copy_of(path: &Path) -> PathBuf {
    path.with_file_name("20270309-235959z-copy.jsonl")
}

fn name(path: &Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

#[test]
fn a_file_whose_first_line_is_damaged_is_one_session_with_its_sound_copy() {
    // By its entries under another name, and where they are few, by its own name.
    for (lost, is_copy) in [("the file", false), ("the copy", true)] {
        let place = with_services();
        let path = place.journals()[2].clone();
        let copy = copy_of(&path);
        fs::copy(&path, &copy).unwrap();
        flip(if is_copy { &copy } else { &path }, 0);
        let listed = place.run(&["sessions", "Trainer"]);
        assert_eq!(listed.out.lines().count(), 3, "{lost}: {listed}");
        let told = "has several files: ";
        assert!(in_a_line(&listed).matches(told).count() == 1, "{lost}: {listed}");
        assert!(
            in_a_line(&listed).contains("is whole and has all that can be read here"),
            "{listed}"
        );
        let opened = place.run_typing(SESSION, "");
        assert!(!opened.err.contains("comes after this one"), "{lost}: {opened}");
        let checked = place.run_unsettled(&["verify", &name(&path)]);
        assert_eq!(checked.code, 1, "{lost}: {checked}");
        for file in [&path, &copy] {
            assert!(checked.out.contains(&*file.to_string_lossy()), "{lost}: {checked}");
        }
        let words = in_a_line(&checked);
        assert!(words.contains("it may be moved out of the folder"), "{lost}: {checked}");
        assert_eq!(place.run(&["tag", "Trainer"]).code, 0, "{lost}");
        // Nothing of it is taken for another session.
        let engines = place.run(&["engines"]);
        assert_eq!(engines.err.matches("warning: ").count(), 1, "{lost}: {engines}");
    }
}

#[test]
fn a_sound_copy_that_says_less_is_asked_for_beside_a_file_whose_first_line_is_damaged() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    fs::write(copy_of(&path), all[..all.len() - 3].concat()).unwrap();
    flip(&path, 0);
    let asked = in_a_line(&place.run_typing(SESSION, ""));
    assert!(asked.contains("1 version B: a copy, shorter, "), "{asked}");
    assert!(asked.contains("2 version A: a damaged copy, longer, "), "{asked}");
    assert!(!asked.contains("different ways") && !asked.contains("They part"), "{asked}");
}

#[test]
fn a_file_that_comes_with_its_first_line_damaged_is_taken_for_the_session_that_it_is() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("came.jsonl");
    fs::copy(&path, &file).unwrap();
    flip(&file, 0);
    let taken = place.run(&["take", file.to_str().unwrap()]);
    assert!(taken.code == 0 && taken.out.contains("here already, and further on"), "{taken}");
}

#[test]
fn a_tag_is_made_though_the_first_line_is_damaged_and_nothing_else_is_here() {
    let place = with_services();
    let path = place.journals()[2].clone();
    flip(&path, 0);
    let tag = place.run(&["tag", "Trainer"]);
    let words = in_a_line(&tag);
    assert_eq!(tag.code, 0, "{tag}");
    assert!(
        words.contains("DO NOT TURN Trainer: valve service under way What it left open"),
        "{tag}"
    );
    assert!(words.contains("look for slack nuts, parts out and loose pieces"), "{tag}");
    assert!(words.contains("The session's file is damaged: more than this may be open"), "{tag}");
    // One that was signed needs none.
    let place = with_services();
    place.run_typing(SESSION, "q\n");
    fs::remove_file(place.journals()[2].clone()).unwrap();
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    flip(&place.journals()[1], 0);
    assert!(place.run(&["tag", "Trainer"]).err.contains("no session of Trainer is open"));
}

/// A damaged copy that goes further than the sound file of the open session.
fn damaged_copy() -> (Place, PathBuf, usize) {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    let copy = copy_of(&path);
    fs::write(&copy, all.concat()).unwrap();
    flip(&copy, all.len() - 2);
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    (place, copy, all.len() - 4)
}

#[test]
fn a_damaged_copy_is_told_as_one_and_its_letter_is_the_same_everywhere() {
    let (place, copy, _) = damaged_copy();
    let listed = place.run(&["sessions", "Trainer"]).out;
    assert!(listed.contains("version A in SESSION-4.jsonl, a damaged copy, longer"), "{listed}");
    assert!(listed.contains("version B in SESSION-3.jsonl, a copy, shorter"), "{listed}");
    assert!(!listed.contains("parts at"), "{listed}");
    let asked = in_a_line(&place.run_typing(SESSION, ""));
    assert!(asked.contains("1 version B: a copy, shorter, "), "{asked}");
    assert!(asked.contains("2 version A: a damaged copy, longer, "), "{asked}");
    assert!(!asked.contains("different ways") && !asked.contains("They part"), "{asked}");
    for words in [&["verify", "--all"][..], &["verify", &name(&place.journals()[2])]] {
        let checked = in_a_line(&place.run(words));
        let told =
            "SESSION-4.jsonl (version A) is a damaged copy, and goes further; both are shown";
        assert!(checked.contains(told), "{words:?}: {checked}");
        assert!(checked.contains("SESSION-3@A") && checked.contains("SESSION-3@B"), "{checked}");
    }
    // One that comes from elsewhere is told so, too.
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("came.jsonl");
    fs::rename(&copy, &file).unwrap();
    for dry in [&["--dry-run"][..], &[]] {
        let shown = place.run(&[&["take", file.to_str().unwrap()][..], dry].concat());
        assert!(shown.out.contains("copied: it is damaged, and has entries that"), "{shown}");
    }
}

#[test]
fn a_damaged_copy_that_lacks_something_that_the_other_has_is_no_other_way_either() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    let copy = copy_of(&path);
    fs::write(&copy, all.concat()).unwrap();
    flip(&copy, 9);
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    let checked = place.run(&["verify", "--all"]);
    let told = "is a damaged copy; each has entries that the other lacks";
    assert!(in_a_line(&checked).contains(told), "{checked}");
    assert!(!in_a_line(&checked).contains("they part"), "{checked}");
    let asked = in_a_line(&place.run_typing(SESSION, ""));
    assert!(asked.contains("2 version A: a damaged copy, longer, "), "{asked}");
}

#[test]
fn a_version_that_went_another_way_is_told_so_though_the_entry_where_they_part_is_damaged() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    let copy = copy_of(&path);
    // Two ways from the same entry on.
    let aside = place.path().join("aside");
    place.run_typing(SESSION, "1\n");
    fs::rename(&path, &aside).unwrap();
    fs::write(&path, all.concat()).unwrap();
    place.later(5);
    place.run_typing(SESSION, "1\n");
    fs::rename(&aside, &copy).unwrap();
    assert!(lines(&copy).len() > all.len() + 1);
    flip(&copy, all.len());
    let checked = in_a_line(&place.run(&["verify", "--all"]));
    let told = format!("is another version: they part after {} entries in common", all.len());
    assert!(checked.contains(&told), "{checked}");
}
