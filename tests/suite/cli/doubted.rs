//! A day that the clock cannot be believed of is marked wherever it is told.

use super::services::SESSION;
use super::{Place, with_trainer};
use crate::plain::Mechanic;

/// 1969-06-15 09:00 at an offset of one hour.
const BEFORE_ALL: i64 = -17_251_200_000;
/// 9999-12-31 23:58 UTC, of the next year at an offset of one hour.
const AFTER_ALL: i64 = 253_402_300_700_000;
const MARKED: &str = "1969-06-15, clock doubtful";

/// A place with a service by a clock that stood in 1969.
fn with_a_doubtful_day() -> Place {
    with_a_service_at(BEFORE_ALL)
}

fn with_a_service_at(clock: i64) -> Place {
    let place = with_trainer();
    place.set_clock(clock);
    place.run_asked(SESSION, &mut Mechanic::default());
    place
}

fn a_sound_one(place: &Place) {
    place.set_clock(super::MORNING + 180 * 86_400_000);
    let mut mechanic =
        Mechanic { instead: vec![("Running hours now", "510.2")], ..Mechanic::default() };
    let shown = place.run_asked(SESSION, &mut mechanic);
    assert_eq!(shown.code, 0, "{shown}");
}

#[test]
fn a_doubtful_day_is_marked_in_the_list_of_engines_the_comparison_and_the_past() {
    let place = with_a_doubtful_day();
    let listed = place.run(&["engines"]).out;
    assert!(listed.contains(&format!("last {MARKED}")), "{listed}");
    // What other programs read stays a day.
    let json: serde_json::Value =
        serde_json::from_str(&place.run(&["engines", "--json"]).out).unwrap();
    assert_eq!(json["engines"][0]["last_service"], "1969-06-15");
    a_sound_one(&place);
    let compared = place.run(&["compare", "Trainer"]).out;
    let sides: Vec<&str> = compared.lines().skip(1).take(2).collect();
    assert!(sides[0].contains(&format!("\"SESSION-1\", {MARKED}, 412.6 h")), "{compared}");
    assert!(sides[1].contains("2026-09-10, 510.2 h"), "{compared}");
    let past = place.run(&["history", "Trainer"]).out;
    assert!(past.lines().any(|line| line.trim() == MARKED), "{past}");
    assert!(!past.contains("2026-09-10, clock doubtful"), "{past}");
    let listed = place.run(&["engines"]).out;
    assert!(listed.contains("last 2026-09-10  "), "{listed}");
}

#[test]
fn a_document_has_no_mark_for_a_doubtful_day_so_that_standard_error_says_it() {
    let place = with_a_doubtful_day();
    a_sound_one(&place);
    for words in [["history", "Trainer", "--json"], ["compare", "Trainer", "--json"]] {
        let shown = place.run(&words);
        let told = "warning: SESSION-1: the day 1969-06-15 is not to be believed: clock doubtful\n";
        assert_eq!((shown.code, shown.err.as_str()), (0, told), "{shown}");
        let document: serde_json::Value = serde_json::from_str(&shown.out).unwrap();
        assert!(document["valves"].is_array());
    }
    // The text has its mark, and says it there.
    assert_eq!(place.run(&["history", "Trainer"]).err, "");
}

#[test]
fn a_clock_that_is_wrong_now_is_told_before_anything_is_kept_by_it() {
    let place = super::services::with_services();
    place.run(&["engines"]).done();
    let today = super::MORNING + 365 * 86_400_000;
    let last = "before the last entry here, of 2027-03-09 ";
    for (clock, why) in [
        (BEFORE_ALL, "it shows 1969-06-15 09:00 +01:00, before this program was made"),
        (super::MORNING, last),
        (AFTER_ALL, "longer after this program was made than it can be in use"),
    ] {
        place.set_clock(clock - 1_000);
        for words in [["engines"].as_slice(), &["engines", "--json"]] {
            let shown = place.run(words);
            assert_eq!((shown.code, shown.err.lines().count()), (0, 1), "{shown}");
            assert!(shown.err.starts_with("warning: clock doubtful: it shows "), "{shown}");
            assert!(shown.err.contains(why), "{why}: {shown}");
        }
    }
    place.set_clock(today);
    place.run(&["engines"]).done();
    // What a wrong clock kept is no measure of it.
    for wrong in [BEFORE_ALL, AFTER_ALL] {
        let place = with_a_service_at(wrong);
        place.set_clock(super::MORNING);
        place.run(&["engines"]).done();
    }
}
