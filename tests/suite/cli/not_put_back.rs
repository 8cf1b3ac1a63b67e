//! What a service that is closed unsigned behind its covers has not put back: told on the tag, in the list
//! and to whoever comes next.

use super::left_open::{unsigned, write};
use super::services::begin;
use super::with_trainer;
use crate::plain::Mechanic;

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
        let told = format!("before running: left open by SESSION-1: {item}");
        assert!(words.contains(&told), "{tag}");
    }
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
    assert!(row.contains("a session is open: PLUGS NOT AT TORQUE YET +"), "{row}");
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
    assert!(told.contains("before running: left open by SESSION-1: COVERS OFF"), "{tag}");
}
