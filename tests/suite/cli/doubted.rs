//! A day that the clock cannot be believed of is marked wherever it is told.

use super::services::SESSION;
use super::{Place, with_trainer};
use crate::plain::Mechanic;

/// 1969-06-15 09:00 at an offset of one hour.
const BEFORE_ALL: i64 = -17_251_200_000;
const MARKED: &str = "1969-06-15, clock doubtful";

/// A place with a service by a clock that stood in 1969, and one by a sound clock.
fn with_a_doubtful_day() -> Place {
    let place = with_trainer();
    place.set_clock(BEFORE_ALL);
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
