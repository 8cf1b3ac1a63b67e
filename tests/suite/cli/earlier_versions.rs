//! What a version of an earlier service left open, which came to light after a later one was signed, is told
//! everywhere until a service has answered it; and what services of one day, or for practice, left.

use super::left_open::{slack, unsigned, write, write_to};
use super::other_versions::{in_a_line, mechanic, newest, signed_and_slack};
use super::services::{SESSION, begin};
use super::{Place, with_trainer};
use crate::plain::Mechanic;
use cowlside::domain::entry::{Entry, LeftItem, Nut, NutSaid, On, Remark};
use cowlside::domain::session::Session;
use cowlside::domain::valve::{Kind, Valve};
use std::fs;
use std::path::{Path, PathBuf};

const NUT: &str = "NUT SLACK: 3 intake";

fn intake(cylinder: u8) -> Valve {
    Valve { cylinder, kind: Kind::Intake, number: 1 }
}

fn locked(cylinder: u8) -> Entry {
    let never = NutSaid::NeverTouched { why: "locked".into() };
    Entry::Nut(Nut::said(intake(cylinder), never))
}

/// Its screw was turned and its nut locked on the word of another valve's reading: nobody gauged it after that.
fn turned(copy: &Path, cylinder: u8) -> [Entry; 2] {
    let kept = crate::real::kept(copy);
    let reading = kept.iter().find(|kept| matches!(kept.entry, Entry::Reading(_))).unwrap();
    let said = NutSaid::Locked { torque: String::new(), gauged: reading.seq };
    [slack(cylinder), Entry::Nut(Nut::said(intake(cylinder), said))]
}

/// Takes the version with the slack nut, and looks whether that is told first.
fn take(place: &Place, copy: &Path) {
    let take = place.run(&["take", copy.to_str().unwrap()]);
    assert!(take.code == 0 && take.err.contains(&format!("was left open: {NUT}")), "{take}");
}

/// Begins or goes on, whatever is warned of.
fn begin_told(place: &Place, until: &'static str) {
    let mut until = Mechanic { stops_at: Some(until), ..mechanic() };
    let shown = place.run_asked(SESSION, &mut until);
    assert_eq!(shown.code, 0, "{shown}");
}

pub(super) fn left_open(place: &Place) -> Vec<String> {
    let json = place.run_unsettled(&["engines", "--json"]).out;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let left = json["engines"][0]["left_open"].as_array().unwrap();
    left.iter().map(|one| one.as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_nut_slack_in_a_version_of_an_earlier_service_is_told_behind_a_later_one_until_it_is_answered()
{
    const GAUGE: &str = "GAUGE AFTER WORK: 4 intake";
    let by = format!("{NUT}, by the version in ");
    let (place, stick, copy) = signed_and_slack();
    write_to(&stick, &copy, &[locked(3)]);
    write_to(&stick, &copy, &turned(&copy, 4));
    place.later(600);
    place.run_asked(SESSION, &mut mechanic()).done();
    assert!(!in_a_line(&place.run(&["engines"])).contains("LEFT OPEN"), "negative control");
    assert_eq!(place.run(&["tag", "Trainer"]).code, 1, "negative control");
    // Its only open thing is a change that nobody gauged after.
    let taken = place.run(&["take", copy.to_str().unwrap()]);
    assert!(taken.err.contains(&format!("was left open: {GAUGE}, by the version in ")), "{taken}");
    assert!(left_open(&place)[0].starts_with(GAUGE), "{:?}", left_open(&place));
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.code == 0 && tag.out.contains(GAUGE), "{tag}");
    let is_it = |path: &PathBuf| fs::read(path).unwrap() == fs::read(&copy).unwrap();
    let version = place.journals().into_iter().find(is_it).unwrap();
    let (bank, item) = ("right".into(), "cover".into());
    write_to(&place, &version, &[slack(3), Entry::On(On::Count { bank, item, count: 0 })]);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains(&format!("LEFT OPEN: {by}")), "{engines}");
    assert!(left_open(&place)[0].starts_with(&by), "{:?}", left_open(&place));
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.code == 0 && tag.out.contains("DO NOT TURN"), "{tag}");
    let nut = tag.out.find(NUT).expect("on the tag");
    assert!(tag.out.find("pieces off").is_none_or(|pieces| nut < pieces), "{tag}");
    // The next service begins with it, and tells it once.
    place.later(600);
    begin_told(&place, "Set 3 intake");
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.out.contains(&format!("Left so: {NUT}")), "{tag}");
    let engines = place.run(&["engines"]);
    assert_eq!(engines.out.matches("NUT SLACK").count(), 1, "{engines}");
    assert_eq!(engines.out.matches(GAUGE).count(), 1, "{engines}");
    // There it is counted by whose it was, and is the same.
    assert_eq!(engines.out.matches("MISSING: ").count(), 1, "{engines}");
    // Answered there it is open nowhere, and no later service begins with it.
    write(&place, &[locked(3), locked(4), unsigned()]);
    assert!(!place.run(&["engines"]).out.contains("SLACK"));
    // It went on: of what more is open there nobody was told, and the next service takes that over alone.
    write_to(&place, &version, &[slack(2)]);
    assert!(left_open(&place)[0].starts_with("NUT SLACK: 2 intake, by the version in "));
    place.later(600);
    begin_told(&place, "Name or initials");
    let begun = Session::replay(&crate::real::kept(&newest(&place))).unwrap();
    let left = begun.state.begin.left_open.iter().filter(|left| left.from.contains("version in"));
    let left: Vec<&LeftItem> = left.map(|left| &left.item).collect();
    assert_eq!(left, [&LeftItem::NutSlack(intake(2))]);
}

#[test]
fn a_service_under_way_is_told_what_a_version_of_an_earlier_one_left_and_takes_it_over() {
    let (place, _stick, copy) = signed_and_slack();
    place.later(600);
    begin(&place, "", "Gauge 2 intake");
    take(&place, &copy);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains(&format!("a session is open: {NUT}")), "{engines}");
    assert!(place.run(&["tag", "Trainer"]).out.contains(NUT));
    let open = newest(&place);
    place.run_typing(SESSION, "");
    let session = Session::replay(&crate::real::kept(&open)).unwrap();
    assert!(session.state.nut_slack(intake(3)));
    let engines = place.run(&["engines"]);
    assert_eq!(engines.out.matches("NUT SLACK").count(), 1, "{engines}");
}

#[test]
fn what_another_service_left_slack_closes_no_nut_that_a_version_left_after_it() {
    let (place, _stick, copy) = signed_and_slack();
    place.later(600);
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1), unsigned()]);
    take(&place, &copy);
    // Taken over from both, each nut by its own.
    place.later(600);
    begin_told(&place, "Set 1 intake");
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.out.contains("NUT SLACK: 1 intake") && tag.out.contains(NUT), "{tag}");
    write(&place, &[locked(1), unsigned()]);
    assert!(left_open(&place)[0].starts_with(NUT), "{:?}", left_open(&place));
    place.later(600);
    begin_told(&place, "Set 3 intake");
    write(&place, &[locked(3), unsigned()]);
    assert!(!place.run(&["engines"]).out.contains("SLACK"));
}

/// Begins a service, closes it unsigned over these, and carries its file away to come to light late.
fn closed_and_away(place: &Place, over: &[Entry]) -> (Place, PathBuf) {
    begin(place, "", "Gauge 2 intake");
    let path = newest(place);
    write_to(place, &path, over);
    write_to(place, &path, &[unsigned()]);
    let stick = Place::new();
    let away = stick.path().join(path.file_name().unwrap());
    fs::copy(&path, &away).unwrap();
    fs::remove_file(&path).unwrap();
    (stick, away)
}

#[test]
fn two_services_of_one_day_are_told_apart_by_their_time_in_what_they_left() {
    const LATE: &str = "NUT SLACK: 1 intake";
    let place = with_trainer();
    let (_stick, late) = closed_and_away(&place, &[slack(1)]);
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[unsigned()]);
    assert!(!place.run(&["engines"]).out.contains("SLACK"), "negative control");
    // It comes to light late, and is told at once.
    let take = place.run(&["take", late.to_str().unwrap()]);
    assert!(take.err.contains("was left open: NUT SLACK: 1 intake; "), "{take}");
    let told = |place: &Place| {
        let left = left_open(place);
        left.iter().filter(|one| one.contains(LATE)).cloned().collect::<Vec<_>>()
    };
    assert!(told(&place)[0].starts_with("NUT SLACK: 1 intake, by "), "{:?}", told(&place));
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains("LEFT OPEN: NUT SLACK: 1 intake, by SESSION-"), "{engines}");
    assert!(place.run(&["tag", "Trainer"]).out.contains(LATE));
    place.later(60);
    begin_told(&place, "Set 1 intake");
    let begun = fs::read_to_string(newest(&place)).unwrap();
    let of = |of: &str| begun.matches(&format!(", {of}: ")).count();
    assert!(begun.contains(", 2026-03-14 09:0"), "{begun}");
    assert_eq!(of("2026-03-14"), 0, "{begun}");
    assert_eq!(told(&place), [LATE], "taken over, it is told once");
    write(&place, &[locked(1), unsigned()]);
    assert_eq!(told(&place), [""; 0]);
    // Alone on its day one is told by that; gone on with, a service takes it over, too.
    let place = with_trainer();
    let (_stick, late) = closed_and_away(&place, &[slack(1)]);
    place.later(60 * 24);
    begin(&place, "", "Gauge 2 intake");
    place.run(&["take", late.to_str().unwrap()]);
    assert!(told(&place)[0].starts_with("NUT SLACK: 1 intake, by "), "{:?}", told(&place));
    assert!(place.run(&["tag", "Trainer"]).out.contains(LATE));
    place.run_typing(SESSION, "");
    let begun = fs::read_to_string(newest(&place)).unwrap();
    assert!(begun.contains(", 2026-03-14: "), "{begun}");
    assert_eq!(told(&place), [LATE], "taken over, it is told once");
}

#[test]
fn a_service_for_practice_is_marked_and_what_it_left_to_run_is_in_the_list() {
    let place = with_trainer();
    let until = Some("Gauge 2 intake");
    let mut worker =
        Mechanic { instead: vec![("Which document", "0")], stops_at: until, ..mechanic() };
    place.run_asked(SESSION, &mut worker).done();
    let engines = place.run(&["engines"]);
    assert!(engines.done().contains("a session is open, PRACTICE: 80 pieces off"), "{engines}");
    let sessions = place.run(&["sessions", "Trainer"]);
    assert!(sessions.done().trim_end().ends_with("open, PRACTICE"), "{sessions}");
    worker.instead = vec![("Before the run: answer what you see", "9"), ("Not run", "1")];
    worker.stops_at = None;
    let shown = place.run_asked(SESSION, &mut worker);
    assert_eq!(shown.code, 0, "{shown}");
    let engines = place.run(&["engines"]);
    // It is no service of the engine, and the engine was not run all the same.
    let told =
        "no service yet  LEFT OPEN: NOT RUN AND LEAK-CHECKED YET: do not release, for practice";
    assert!(engines.done().contains(told), "{engines}");
    let sessions = place.run(&["sessions", "Trainer"]);
    assert!(sessions.done().contains("signed, PRACTICE, seal"), "{sessions}");
}

/// A session with 3 intake slack, which one of its files closes and ends; its other file goes on with these.
fn parted(after: &[Entry]) -> Place {
    parted_by(&[], after)
}

/// The covers of the right bank are counted in.
fn counted() -> Entry {
    let (bank, item) = ("right".into(), "cover".into());
    Entry::On(On::Count { bank, item, count: 2 })
}

/// The same where the file that ends goes on with `own` before that.
fn parted_by(own_entries: &[Entry], after: &[Entry]) -> Place {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(3)]);
    let (own, copy) = (newest(&place), newest(&place).with_file_name("0copy.jsonl"));
    fs::copy(&own, &copy).unwrap();
    let ends = [&[locked(3)], own_entries, &[unsigned()]].concat();
    write_to(&place, &own, &ends);
    write_to(&place, &copy, after);
    place
}

fn said(text: &str, before_running: bool) -> Entry {
    Entry::Remark(Remark { text: text.into(), before_running, ..Remark::default() })
}

/// What the next service begins with.
fn begun_with(place: &Place) -> String {
    place.later(600);
    begin_told(place, "Name or initials");
    fs::read_to_string(newest(place)).unwrap()
}

#[test]
fn what_the_version_that_counts_closed_is_open_again_only_where_the_other_one_touched_it() {
    // Not touched there, it is closed by the one that counts.
    let place = parted(&[said("looked at", false)]);
    let engines = place.run(&["engines"]);
    assert!(!engines.out.contains("SLACK"));
    // That it is open still is told by the list, too.
    let still = " IS STILL OPEN";
    assert!(engines.out.contains(still), "{engines}");
    let left = left_open(&place);
    assert!(left.last().is_some_and(|one| one.ends_with(still)), "{left:?}");
    assert!(!begun_with(&place).contains("nut_slack"));
    // Of what it took over from the one that counts it was told, though that has no letter any more.
    write(&place, &[unsigned()]);
    fs::remove_file(place.path().join("sessions/0copy.jsonl")).unwrap();
    let left = left_open(&place);
    assert!(!left.is_empty() && left.iter().all(|one| !one.contains(", by ")), "{left:?}");
    // Locked and slackened once more after they parted: that nobody closed.
    let place = parted(&[said("looked at", false), locked(3), slack(3)]);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains(&format!("{NUT}, by the version in ")), "{engines}");
    assert!(begun_with(&place).contains("nut_slack"), "the next one takes it over");
    // Nor are its pieces off that the one that counts has counted in: all tell the same number.
    let place = parted_by(&[counted()], &[said("looked at", false)]);
    let off = |place: &Place| {
        let left = left_open(place).into_iter();
        left.filter(|one| one.ends_with("pieces off")).collect::<Vec<String>>()
    };
    assert_eq!(off(&place), ["78 pieces off"]);
    begun_with(&place);
    assert_eq!(off(&place), ["78 pieces off"]);
    // What was opened in it alone nobody closed, either.
    let place = parted(&[said("cracked baffle", true)]);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains("cracked baffle, by the version in "), "{engines}");
    assert!(begun_with(&place).contains(": cracked baffle"), "the next one takes it over");
}

#[test]
fn a_nut_that_a_later_service_was_handed_by_another_and_answered_is_not_told_once_more() {
    let (place, _stick, copy) = signed_and_slack();
    place.later(600);
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(3), unsigned()]);
    place.later(600);
    begin_told(&place, "Set 3 intake");
    write(&place, &[locked(3), unsigned()]);
    place.run(&["take", copy.to_str().unwrap()]);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains("Trainer") && !engines.out.contains("SLACK"), "{engines}");
}

#[test]
fn what_a_version_was_handed_itself_is_not_told_by_that_to_anybody() {
    let (place, stick, copy) = signed_and_slack();
    write_to(&stick, &copy, &[said("left open by spring: cracked baffle", true)]);
    place.later(600);
    place.run_asked(SESSION, &mut mechanic()).done();
    place.run(&["take", copy.to_str().unwrap()]);
    let engines = place.run(&["engines"]);
    assert!(engines.out.contains("cracked baffle"), "{engines}");
    assert!(begun_with(&place).contains("left open by spring: cracked baffle"));
    // Nor is a remark of its own by all else that it left, as where its file with the remark came later.
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let (own, stick) = (newest(&place), Place::new());
    let copy = stick.path().join(own.file_name().unwrap());
    fs::copy(&own, &copy).unwrap();
    write_to(&stick, &copy, &[said("cracked baffle", true), unsigned()]);
    write(&place, &[unsigned()]);
    assert!(begun_with(&place).contains("left open by "), "negative control");
    write(&place, &[unsigned()]);
    let tells = |place: &Place| left_open(place).iter().any(|one| one.contains("cracked baffle"));
    assert!(!tells(&place), "negative control");
    fs::copy(&copy, &own).unwrap();
    assert!(tells(&place), "{:?}", left_open(&place));
}
