//! What another version of a session left open, what was cut off an open session, and what a session had
//! open whose file is gone: each is told by every list, tag and record, and asked about before running.

use super::left_open::{forked, slack, unsigned, write, write_to};
use super::services::{SESSION, begin};
use super::{Place, Shown, with_trainer};
use crate::plain::Mechanic;
use cowlside::domain::entry::{Entry, Nut, NutSaid, Remark};
use cowlside::domain::valve::{Kind, Valve};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

pub(super) fn in_a_line(shown: &Shown) -> String {
    shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

pub(super) fn newest(place: &Place) -> PathBuf {
    place.journals().pop().unwrap()
}

pub(super) fn mechanic() -> Mechanic {
    let reads = BTreeMap::from([("3 exhaust".to_string(), vec!["10"])]);
    Mechanic { reads, ..Mechanic::default() }
}

/// Begins or goes on, whatever is warned of.
fn begin_told(place: &Place) {
    let mut until = Mechanic { stops_at: Some("Gauge 2 intake"), ..mechanic() };
    let shown = place.run_asked(SESSION, &mut until);
    assert_eq!(shown.code, 0, "{shown}");
}

/// Changes a bit of an entry.
fn flip(path: &Path, at: usize) {
    let mut all = lines(path);
    all[at][30] ^= 1;
    fs::write(path, all.concat()).unwrap();
}

/// A session that was signed, and a copy of its beginning outside in which 3 intake is slack.
pub(super) fn signed_and_slack() -> (Place, Place, PathBuf) {
    let (place, stick) = (with_trainer(), Place::new());
    let mut worker = Mechanic { stops_at: Some("Gauge 2 intake"), ..mechanic() };
    place.run_asked(SESSION, &mut worker).done();
    let path = newest(&place);
    fs::create_dir_all(stick.path().join("sessions")).unwrap();
    let copy = stick.path().join("sessions").join(path.file_name().unwrap());
    fs::copy(&path, &copy).unwrap();
    write_to(&stick, &copy, &[slack(3)]);
    worker.stops_at = None;
    place.run_asked(SESSION, &mut worker).done();
    (place, stick, copy)
}

#[test]
fn a_nut_slack_in_a_version_that_does_not_count_is_told_by_every_list_tag_and_record() {
    const NUT: &str = "NUT SLACK: 3 intake, by the version in ";
    let (place, _stick, copy) = signed_and_slack();
    assert!(!in_a_line(&place.run(&["engines"])).contains("SLACK"), "negative control");
    assert!(!in_a_line(&place.run(&["report", "Trainer"])).contains("LEFT OPEN BY ANOTHER"));
    let take = place.run(&["take", copy.to_str().unwrap()]);
    assert!(take.code == 0 && take.err.contains("was left open: NUT SLACK: 3 intake"), "{take}");
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains(&format!("LEFT OPEN: {NUT}")), "{engines}");
    let json = place.run_unsettled(&["engines", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let first = json["engines"][0]["left_open"][0].as_str().unwrap();
    assert!(first.starts_with(NUT) && json["engines"][0]["attention"] == "due", "{json}");
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.code == 0 && tag.out.contains("DO NOT TURN"), "{tag}");
    let nut = tag.out.find("NUT SLACK: 3 intake").expect("on the tag");
    assert!(tag.out.find("pieces off").is_none_or(|pieces| nut < pieces), "{tag}");
    for form in ["text", "md", "html", "json"] {
        let report = place.run(&["report", "Trainer", "--format", form]);
        let words = in_a_line(&report);
        let told = "LEFT OPEN BY ANOTHER VERSION OF THIS SERVICE: NUT SLACK: 3 intake";
        assert!(report.code == 0 && words.contains(told), "{form}: {report}");
    }
    // Once a new service has taken it over and closed it, nothing of it is left.
    place.later(60);
    let mut until = Mechanic { stops_at: Some("Set 3 intake"), ..Mechanic::default() };
    assert_eq!(place.run_asked(SESSION, &mut until).code, 0);

    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.out.contains("Left so: NUT SLACK: 3 intake"), "{tag}");
    let never = NutSaid::NeverTouched { why: "locked".into() };
    let nut = Nut::said(Valve { cylinder: 3, kind: Kind::Intake, number: 1 }, never);
    write(&place, &[Entry::Nut(nut), unsigned()]);
    assert!(!place.run(&["engines"]).out.contains("SLACK"));
}

#[test]
fn where_both_versions_are_open_the_nut_of_the_other_stands_first_and_both_are_named() {
    let place = with_trainer();
    forked(&place, &[]);
    let engines = place.run(&["engines"]);
    assert!(
        engines.out.contains("a session is open: NUT SLACK: 3 intake, by the version"),
        "{engines}"
    );
    assert!(engines.err.contains("has another version, "), "{engines}");
    let tag = place.run(&["tag", "Trainer"]);
    let (nut, pieces) = (tag.out.find("NUT SLACK: 3 intake"), tag.out.find("80 pieces off"));
    assert!(nut.is_some() && nut < pieces, "{tag}");
    // Taken over, it is told once, by the session itself.
    place.run_typing(SESSION, "1\n").done();
    let engines = place.run(&["engines"]);
    assert_eq!(engines.out.matches("NUT SLACK").count(), 1, "{engines}");
}

#[test]
fn of_a_version_in_which_nothing_more_was_opened_nothing_is_said_once_the_other_was_signed() {
    let looked = Remark { text: "looked at".into(), ..Remark::default() };
    let back = Entry::Back(cowlside::domain::entry::Back::default());
    for idle in [back, Entry::Remark(looked)] {
        let (place, stick) = (with_trainer(), Place::new());
        let mut worker = Mechanic { stops_at: Some("Gauge 2 intake"), ..mechanic() };
        place.run_asked(SESSION, &mut worker).done();
        let path = newest(&place);
        let copy = stick.path().join(path.file_name().unwrap());
        fs::copy(&path, &copy).unwrap();
        fs::create_dir_all(stick.path().join("sessions")).unwrap();
        write_to(&stick, &copy, &[idle]);
        worker.stops_at = None;
        place.run_asked(SESSION, &mut worker).done();
        place.run(&["take", copy.to_str().unwrap()]);
        let engines = place.run(&["engines"]);
        assert!(!engines.out.contains("LEFT OPEN"), "{engines}");
        assert_eq!(place.run(&["tag", "Trainer"]).code, 1);
        // Nor does the next service begin with the pieces that are on again.
        place.later(60);
        begin_told(&place);
        let begun = fs::read_to_string(newest(&place)).unwrap();
        assert!(!begun.contains("left_open"), "{begun}");
    }
}

#[test]
fn whole_entries_that_were_cut_off_an_open_session_are_told_by_list_tag_record_and_table() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let all = lines(&path);
    // The memo knows all of it; what was slackened last is what is cut off.
    fs::write(&path, all[..all.len() - 2].concat()).unwrap();
    let told = format!("had {} entries here last time, now it has {}", all.len(), all.len() - 2);
    let commands: [(&[&str], i32); 5] = [
        (&["engines"], 0),
        (&["tag", "Trainer"], 0),
        (&["report", "Trainer"], 0),
        (&["sessions", "Trainer"], 0),
        (&["export"], 1),
    ];
    for (words, code) in commands {
        let shown = place.run(words);
        let text = in_a_line(&shown);
        assert!(shown.code == code && text.contains(&told), "{words:?}: {shown}");
    }
    let engines = place.run(&["engines"]);
    assert!(
        engines.out.contains("more may be open")
            && engines.err.contains("more than this may be open"),
        "{engines}"
    );
    let tag = place.run(&["tag", "Trainer"]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(tag.contains("More than this may be open."), "{tag}");
    let record = in_a_line(&place.run(&["report", "Trainer"]));
    assert!(record.contains("THE FILE OF THIS SESSION IS NOT WHOLE"), "{record}");
    // Negative control: whole again, nothing is said.
    fs::write(&path, all.concat()).unwrap();
    for words in [&["engines"][..], &["tag", "Trainer"], &["export"]] {
        assert!(!in_a_line(&place.run(words)).contains("may be open"), "{words:?}");
    }
}

#[test]
fn what_a_session_may_have_had_open_whose_file_is_gone_is_asked_before_the_engine_runs() {
    const LOOK: &str = "its file is gone: look for slack nuts, parts out and loose pieces";
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let (name, bytes) =
        (path.file_stem().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap());
    fs::remove_file(&path).unwrap();
    place.later(60);
    // Asked before the crank turns.
    let mut until = Mechanic { stops_at: Some("Left by another service"), ..mechanic() };
    place.run_asked(SESSION, &mut until).done();
    let turned = |said: &(String, String)| said.0.contains(" expected)");
    assert!(!until.said.iter().any(turned), "{:?}", until.said);
    let tag = place.run_unsettled(&["tag", "Trainer"]);
    let words = tag.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("{LOOK}, left open by {name}")), "{words}");
    assert!(
        words.contains(&format!("The file of session {name} is gone: more may be open.")),
        "{words}"
    );
    // Gone on with, it is told again, and asked about once.
    let again = place.run_typing(SESSION, "");
    assert!(in_a_line(&again).contains("GONE: session "), "{again}");
    let text = fs::read_to_string(newest(&place)).unwrap();
    assert_eq!(text.matches(LOOK).count(), 1);
    // One that was open when the other went is told of it as it is gone on with.
    let second = newest(&place);
    fs::write(&path, &bytes).unwrap();
    place.later(60);
    let kept = fs::read(&second).unwrap();
    fs::remove_file(&second).unwrap();
    assert_eq!(place.run_typing(SESSION, "").code, 0);
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(LOOK), "the second is gone now");
    fs::write(&second, kept).unwrap();
}

#[test]
fn a_session_that_had_ended_and_is_gone_opens_nothing_and_leaves_its_engine_by_its_identity() {
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    let path = newest(&place);
    fs::remove_file(&path).unwrap();
    for words in [
        &["engines"][..],
        &["sessions", "Trainer"],
        &["report", "Trainer"],
        &["history", "Trainer"],
    ] {
        let shown = place.run(words);
        assert!(shown.code == 1 && in_a_line(&shown).contains("GONE: session "), "{shown}");
    }
    let name = path.file_stem().unwrap().to_str().unwrap();
    let asked = place.run(&["report", name]);
    assert!(asked.code == 1 && in_a_line(&asked).contains("GONE: session "), "{asked}");
    begin_told(&place);
    assert!(!fs::read_to_string(newest(&place)).unwrap().contains("its file is gone"));
    // Under another name it is the same engine.
    let engine =
        fs::read_dir(place.path().join("engines")).unwrap().next().unwrap().unwrap().path();
    let renamed = fs::read_to_string(&engine).unwrap().replace("\"Trainer\"", "\"Gold\"");
    fs::write(&engine, renamed).unwrap();
    let shown = place.run(&["sessions", "Gold"]);
    assert!(in_a_line(&shown).contains("GONE: session "), "{shown}");
}

#[test]
fn where_an_entry_is_missing_in_the_middle_a_look_is_asked_for_and_the_crank_is_proven_anew() {
    const LOOK: &str = "part of its file cannot be read: look for slack nuts";
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let said = Remark { text: "said after it".into(), ..Remark::default() };
    write(&place, &[slack(1), Entry::Remark(said)]);
    let path = newest(&place);
    let short = lines(&path);
    flip(&path, short.len() - 2);
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.out.contains("To be proven next: the crank, anew"), "{tag}");
    assert!(!tag.out.contains("not needed now"), "{tag}");
    assert_eq!(place.run(&["export"]).code, 1, "a reading may be missing");
    place.later(60);
    begin_told(&place);
    let text = fs::read_to_string(newest(&place)).unwrap();
    assert!(text.contains(LOOK), "the damaged one left open what nobody can read");
    // Beside a sound copy that is gone on with it is the same.
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let copy = path.with_file_name("sound.jsonl");
    fs::copy(&path, &copy).unwrap();
    let said = Remark { text: "said after it".into(), ..Remark::default() };
    write_to(&place, &path, &[slack(1), Entry::Remark(said)]);
    let last = lines(&path).len() - 2;
    flip(&path, last);
    place.run_typing(SESSION, "1\n");
    let text = fs::read_to_string(&copy).unwrap();
    assert!(text.contains(LOOK), "{}", place.run(&["sessions", "Trainer"]));
    // Negative control: of a damaged one that was signed nothing is open.
    let place = with_trainer();
    place.run_asked(SESSION, &mut Mechanic::default()).done();
    flip(&newest(&place), 20);
    place.later(60);
    begin_told(&place);
    assert!(!fs::read_to_string(newest(&place)).unwrap().contains(LOOK));
    write(&place, &[unsigned()]);
}

#[test]
fn a_copy_with_a_hash_in_its_name_is_back_once_another_file_has_it_and_no_stray_file_hides_what_is_gone()
 {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let path = newest(&place);
    let bytes = fs::read(&path).unwrap();
    let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
    fs::remove_file(&path).unwrap();
    let copy = path.with_file_name(format!("{stem}-ffab6d3d.jsonl"));
    fs::write(&copy, "").unwrap();
    let engines = place.run(&["engines"]);
    assert!(engines.code == 1 && engines.err.contains("left out: "), "{engines}");
    fs::write(path.with_file_name(format!("{stem}-00ab6d3d-2.jsonl")), &bytes).unwrap();
    let engines = place.run(&["engines"]);
    assert!(engines.code == 0 && !engines.err.contains("left out: "), "{engines}");
    // A file of one letter is nobody's: the session is gone all the same.
    let begins = stem.rsplit('-').next().unwrap();
    place.journals().iter().for_each(|path| fs::remove_file(path).unwrap());
    fs::write(path.with_file_name(format!("{}.jsonl", &begins[..1])), "").unwrap();
    let engines = in_a_line(&place.run(&["engines"]));
    // The letter is written otherwise wherever it stands.
    assert!(engines.contains("GONE: ") && !engines.contains("were in it"), "{engines}");
}
