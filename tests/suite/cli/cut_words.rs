//! What is told of a session whose last entry is cut off: that it is, what it was about, and no figure
//! of it but by `verify`; and of one that was saved elsewhere to whoever looks on.

use super::damage::half_done;
use super::left_open::{slack, write};
use super::services::SESSION;
use super::{Place, Shown};
use crate::real::kept;
use cowlside::domain::entry::Entry;
use cowlside::store::folder::Folder;
use cowlside::store::seen::{Seen, note_elsewhere};
use std::fs;
use std::path::{Path, PathBuf};

/// Cuts the last entry of this kind that is there, and all behind it.
fn cut(place: &Place, kind: &str, bytes: usize) -> PathBuf {
    let path = place.journals().pop().unwrap();
    let whole = fs::read_to_string(&path).unwrap();
    let at = whole.rfind(&format!("\"k\":\"{kind}\"")).unwrap();
    let line = whole[..at].rfind("{\"seq\":").unwrap();
    let end = line + whole[line..].find('\n').unwrap();
    fs::write(&path, &whole[..end - bytes]).unwrap();
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    path
}

fn id(path: &Path) -> String {
    let first = kept(path).remove(0);
    let Entry::Head(head) = first.entry else { panic!("no head: {first:?}") };
    head.session
}

/// Looks on while another has the session in hand.
fn looked_on(place: &Place, path: &Path) -> Shown {
    let _held = Folder::at(place.path()).lock(&id(path)).unwrap();
    let shown = place.run_typing(SESSION, "q\n");
    assert!(shown.out.contains("ONLY LOOKING: open in another terminal"), "{shown}");
    shown
}

#[test]
fn no_figure_of_a_broken_end_is_shown_but_by_verify() {
    let place = half_done("Gauge 2 intake");
    let path = cut(&place, "reading", 50);
    let text = fs::read_to_string(&path).unwrap();
    let line = text.lines().last().unwrap();
    assert!(line.contains("\"typed\":\""), "its figure can be read: {line}");
    for words in [
        &["tag", "Trainer"][..],
        &["report", "Trainer"],
        &["report", "Trainer", "--format", "json"],
        &["report", "Trainer", "--format", "html"],
        &["report", "--blank", "Trainer"],
        &["history", "Trainer"],
        &["compare", "Trainer"],
        &["parts", "Trainer"],
        &["export"],
        &["engines"],
        &["sessions", "Trainer"],
    ] {
        let shown = place.run(words);
        let all = format!("{}{}", shown.out, shown.err).replace('\\', "").replace("&quot;", "\"");
        assert!(!all.contains("\"k\":\"reading\""), "{words:?}: {shown}");
    }
    let told = "last entry is cut off";
    assert!(place.run(&["export"]).err.contains(told));
    let seen = looked_on(&place, &path);
    assert!(seen.out.contains(told) && seen.out.contains("it was a reading of 3 "), "{seen}");
    assert!(!seen.out.contains("typed") && !seen.out.contains("{\"seq"), "{seen}");
    let shown = place.run(&["verify"]);
    assert!(shown.out.contains("typed"), "{shown}");
}

#[test]
fn the_tag_says_that_the_last_entry_is_cut_off_and_what_it_was() {
    let place = half_done("Gauge 2 intake");
    write(&place, &[slack(3)]);
    let whole = place.run(&["tag", "Trainer"]);
    assert!(whole.done().contains("NUT SLACK: 3 intake"), "{whole}");
    cut(&place, "nut", 20);
    for words in [&["tag", "Trainer"][..], &["tag", "Trainer", "--format", "html"]] {
        let tag = place.run(words);
        let page = tag.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(page.contains("its last entry is cut off ("), "{tag}");
        assert!(
            page.contains("; it was about the nut of 3 intake: what it said does not count"),
            "{tag}"
        );
        assert!(page.contains("More than this may be open."), "{tag}");
    }
}

#[test]
fn who_looks_on_is_told_where_the_session_goes_on() {
    let place = half_done("Gauge 2 intake");
    let path = place.journals().pop().unwrap();
    assert!(!looked_on(&place, &path).out.contains("goes on in"));
    let there = place.path().join("stick.jsonl");
    let last = Seen { seq: 900, hash: "0".repeat(32) };
    note_elsewhere(&Folder::at(place.path()), &id(&path), (&there, &last)).unwrap();
    let words = "! this session goes on in FOLDER/stick.jsonl, with 901 entries or more; it was saved \
                 there when this folder took no more";
    let take = ": cowlside take FOLDER/stick.jsonl";
    let away = format!("{words}; it is not there now: bring its disk back first{take}");
    let seen = looked_on(&place, &path);
    assert!(seen.out.contains(&away), "{seen}");
    fs::copy(&path, &there).unwrap();
    let seen = looked_on(&place, &path);
    let was = "! this session was saved in FOLDER/stick.jsonl with 901 entries when this folder took no \
               more; only its first ";
    assert!(seen.out.contains(was) && seen.out.contains("which are here, too"), "{seen}");
}
