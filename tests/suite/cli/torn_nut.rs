//! A nut's entry that was cut off, or damaged in a service that was closed: what nobody can read stays open
//! until it is answered for by hand.

use super::left_open::{slack, unsigned, write};
use super::services::begin;
use super::{Place, with_trainer};
use std::fs;

const SESSION: &[&str] = &["session", "Trainer", "--plain"];
const LOOK: &str = "the last entry was cut off: look for slack nuts, parts out and loose pieces";

/// At a figure, with the entry of a slack nut torn so that so many bytes of it are left.
fn torn(left: usize) -> Place {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1)]);
    let path = place.journals()[0].clone();
    let whole = fs::read_to_string(&path).unwrap();
    let last = whole.rfind("{\"seq\":").unwrap();
    fs::write(&path, &whole[..last + left]).unwrap();
    // What was seen here is noted nowhere: nothing else would tell it.
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    place
}

fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_nut_that_may_have_been_said_slack_is_open_until_somebody_has_looked() {
    // Its kind can be read, or nothing of it.
    for left in [150, 12] {
        let place = torn(left);
        let listed = place.run(&["engines"]);
        assert!(listed.out.contains("more may be open: entries are missing"), "{listed}");
        let shown = place.run_typing(SESSION, "\n");
        assert!(in_one_line(&shown.out).contains(LOOK), "{shown}");
        // Told at each opening, on the tag and in the list.
        place.later(60);
        assert!(in_one_line(&place.run_typing(SESSION, "\n").out).contains(LOOK));
        let tag = place.run(&["tag", "Trainer"]);
        assert!(in_one_line(&tag.out).contains(LOOK), "{tag}");
        let listed = place.run(&["engines"]);
        assert!(in_one_line(&listed.out).contains(LOOK), "{listed}");
        let once = fs::read_to_string(&place.journals()[0]).unwrap();
        assert_eq!(once.matches(LOOK).count(), 1, "{once}");
    }
}

#[test]
fn damage_in_a_nuts_entry_of_a_service_closed_unsigned_is_told_in_its_row() {
    let place = with_trainer();
    begin(&place, "", "Gauge 2 intake");
    write(&place, &[slack(1), unsigned()]);
    let row = |place: &Place| place.run(&["engines"]).out.lines().next().unwrap().to_owned();
    assert!(!row(&place).contains("DAMAGED"), "negative control: {}", row(&place));
    let path = place.journals()[0].clone();
    let whole = fs::read_to_string(&path).unwrap();
    fs::write(&path, whole.replace("\"said\":\"slack\"", "\"said\":\"slacj\"")).unwrap();
    assert_ne!(whole, fs::read_to_string(&path).unwrap());
    assert!(row(&place).contains("  DAMAGED SERVICE"), "{}", row(&place));
    let listed = place.run(&["engines", "--json"]).out;
    let json: serde_json::Value = serde_json::from_str(&listed).unwrap();
    let left = json["engines"][0]["left_open"][0].as_str().unwrap();
    assert!(left.contains("is damaged"), "{json}");
}
