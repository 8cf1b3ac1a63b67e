//! What a service that is closed unsigned behind its covers has not put back: told on the tag, in the list
//! and to whoever comes next.

use super::earlier_versions::left_open;
use super::left_open::{unsigned, write};
use super::services::begin;
use super::{Place, with_trainer};
use crate::plain::Mechanic;
use cowlside::domain::entry::{Entry, On};

#[test]
fn what_is_not_put_back_behind_the_covers_is_told_and_answered_before_the_next_run() {
    let place = with_trainer();
    let mut mechanic = Mechanic { stops_at: Some("How do they sit?"), ..Mechanic::default() };
    place.run_asked(&["session", "trainer", "--plain"], &mut mechanic).done();
    let tag = place.run(&["tag", "Trainer"]);
    assert!(tag.done().contains("LEADS OFF"), "{tag}");
    write(&place, &[unsigned()]);
    let json = place.run(&["engines", "--json"]).json();
    let told = json["engines"][0]["left_open"].to_string();
    for item in ["PLUGS NOT AT TORQUE YET", "TWO TURNS BY HAND NOT MADE YET", "LEADS OFF"] {
        assert!(told.contains(item), "{told}");
    }
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    let tag = place.run(&["tag", "Trainer"]);
    let words = tag.done().split_whitespace().collect::<Vec<_>>().join(" ");
    for item in ["PLUGS NOT AT TORQUE YET", "LEADS OFF", "CONTROLS NOT PUT BACK YET"] {
        let told = format!("before running: {item}, left open ");
        assert!(words.contains(&told), "{tag}");
    }
}

#[test]
fn what_two_services_left_of_the_same_is_told_once_and_by_the_day_of_the_first() {
    let place = with_trainer();
    let leads_off = |place: &Place| {
        let left = left_open(place).into_iter();
        left.filter(|one| one.contains("LEADS OFF")).collect::<Vec<String>>()
    };
    for _ in 0..2 {
        let mut mechanic = Mechanic { stops_at: Some("How do they sit?"), ..Mechanic::default() };
        place.run_asked(&["session", "trainer", "--plain"], &mut mechanic).done();
        write(&place, &[unsigned()]);
        place.later(24 * 60);
    }
    // The second has its own leads off, and was handed those of the first.
    let told = leads_off(&place);
    assert_eq!(told, ["before running: LEADS OFF, left open 2026-03-14"]);
    begin(&place, "", "Gauge 2 intake");
    assert_eq!(leads_off(&place), told);
    let journal = std::fs::read_to_string(place.journals().pop().unwrap()).unwrap();
    assert_eq!(journal.matches(": LEADS OFF").count(), 1, "{journal}");
    let tag = place.run(&["tag", "Trainer"]);
    let words = tag.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words.matches("before running: LEADS OFF, left open ").count(), 1, "{tag}");
    // The third hands it on once more, and the second's is not taken over anew.
    write(&place, &[unsigned()]);
    place.later(24 * 60);
    begin(&place, "", "Gauge 2 intake");
    let journal = std::fs::read_to_string(place.journals().pop().unwrap()).unwrap();
    assert_eq!(journal.matches(": LEADS OFF").count(), 1, "{journal}");
}

#[test]
fn the_list_of_engines_tells_what_an_open_session_has_still_to_close_up() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    let row = place.run(&["engines"]).done().to_owned();
    assert!(row.contains("a session is open: ") && row.contains(" pieces off"), "{row}");
    // Behind the count the covers, the torque, the leads.
    let place = with_trainer();
    let mut mechanic = Mechanic { stops_at: Some("How do they sit?"), ..Mechanic::default() };
    place.run_asked(&["session", "trainer", "--plain"], &mut mechanic).done();
    let row = place.run(&["engines"]).done().to_owned();
    let all = "a session is open: PLUGS NOT AT TORQUE YET; TWO TURNS BY HAND NOT MADE YET; LEADS OFF; \
               CONTROLS NOT PUT BACK YET";
    assert!(row.contains(all), "{row}");
}

#[test]
fn a_stop_that_was_felt_is_asked_after_before_the_first_turn_of_the_next_service() {
    let place = with_trainer();
    begin(&place, "", "Two full turns by hand");
    let (id, asked) = ("two-turns".into(), "Two turns".into());
    let seen = "a tight place or a hiss".into();
    let felt = Entry::On(On::Check { id, asked, digit: 2, seen, done: false });
    write(&place, &[felt, unsigned()]);
    place.later(60);
    let first = "What was found?";
    let mut mechanic = Mechanic { stops_at: Some(first), ..Mechanic::default() };
    place.run_asked(&["session", "trainer", "--plain"], &mut mechanic).done();
    let said = |words: &str| mechanic.said.iter().any(|(asked, _)| asked.contains(words));
    let (safe, turned) = (said("ake safe"), said("expected)"));
    assert!(safe && !turned, "{:?}", mechanic.said);
    let tag = place.run(&["tag", "Trainer"]);
    let told = tag.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("A TIGHT PLACE OR A HISS WAS FELT: DO NOT TURN"), "{tag}");
    assert!(!told.contains("SESSION-1: A TIGHT PLACE"), "no remark besides: {tag}");
    mechanic.stops_at = Some("Last look inside");
    place.run_asked(&["session", "trainer", "--plain"], &mut mechanic).done();
    let asked = mechanic.said.iter().filter(|(asked, _)| asked.contains(first)).count();
    assert_eq!(asked, 1);
}

#[test]
fn covers_that_a_service_closed_unsigned_left_off_are_asked_after_before_the_next_run() {
    let place = with_trainer();
    begin(&place, "", "Last look inside");
    write(&place, &[unsigned()]);
    place.later(60);
    begin(&place, "", "Gauge 2 intake");
    let tag = place.run(&["tag", "Trainer"]);
    let told = tag.done().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("before running: COVERS OFF, left open "), "{tag}");
    // Not counted in they are told by themselves all the same, in every place before what is less grave.
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[unsigned()]);
    let in_short = |left: Vec<String>| -> Vec<String> {
        let short = |one: String| one.trim_start_matches("before running: ").to_owned();
        let left = left.into_iter().map(short);
        left.map(|one| one.split(", left open").next().unwrap().to_owned()).collect()
    };
    let closed = in_short(left_open(&place));
    assert_eq!(closed[..3], ["COVERS OFF", "80 pieces off", "PLUGS NOT AT TORQUE YET"]);
    place.later(60);
    begin(&place, "", "Name or initials");
    assert_eq!(in_short(left_open(&place)), closed);
    let tag = place.run(&["tag", "Trainer"]);
    let at = |words: &str| tag.out.find(words).unwrap_or_else(|| panic!("{words}: {tag}"));
    assert!(at("COVERS OFF") < at("80 pieces off") && at("pieces off") < at("PLUGS NOT"), "{tag}");
    // What was handed on was done by nobody here, and nobody is called a question mark.
    assert!(tag.out.contains("Done: nothing yet"), "{tag}");
    assert!(tag.out.contains("left before anybody gave a name"), "{tag}");
}
