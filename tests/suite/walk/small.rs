//! What a window of 40x12 has room for: two valves of a comparison at once, the keys, something large.

use super::*;
use crate::reviews::{comparison, press, shot};

const SMALL: (u16, u16) = (40, 12);

#[test]
fn a_comparison_shows_two_valves_at_once_in_the_smallest_window() {
    let mut app = comparison();
    app.room = SMALL;
    let last = press(&app, "PageDown PageDown PageDown PageDown PageDown PageDown");
    for (keys, valves) in
        [("Down", ["1 intake", "1 exhaust"]), ("Down PageDown", ["2 intake", "2 exhaust"])]
    {
        let screen = shot(&press(&app, keys), SMALL);
        assert!(valves.iter().all(|valve| screen.contains(valve)), "{screen}");
        assert!(screen.contains("found 0.0") && screen.contains("left 0.0"), "{screen}");
    }
    assert!(shot(&last, SMALL).contains("7 to 8 of 8"), "{}", shot(&last, SMALL));
}

#[test]
fn what_a_key_takes_back_has_the_room_of_words_that_say_what_is_seen() {
    // The answers stand there behind their digits: the word for that gives way first.
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP.strip_suffix(" 1 enter enter enter").unwrap());
    let foot = walk.in_window(SMALL).lines().last().unwrap().to_owned();
    assert!(foot.contains("undo leaves: the p"), "{foot}");
    assert!(foot.contains("digit") && foot.contains("? keys"), "{foot}");
}

#[test]
fn which_cylinder_and_which_valve_of_the_list_of_everything_have_something_large() {
    let mut walk = places::at_a_valve();
    walk.press("*");
    let rows = walk.app().list().unwrap().table.rows.clone();
    let row = rows.iter().position(|row| row[0].starts_with("gauge another valve")).unwrap();
    walk.press(&format!("{} enter", row + 1));
    let large = |walk: &Walk| walk.app().prompt().unwrap().big.map(|big| big.text);
    assert_eq!(walk.app().prompt().unwrap().ask, "Which cylinder?", "{rows:?}");
    assert_eq!(large(&walk).as_deref(), Some("CYLINDER"));
    walk.press("3 enter");
    assert_eq!(walk.app().prompt().unwrap().ask, "Which valve?");
    assert_eq!(large(&walk).as_deref(), Some("CYL 3"));
    // Each by its place, whole in the smallest window.
    let screen = walk.in_window(SMALL);
    for answer in ["  1  3 intake, upper ", "  2  3 exhaust, lower "] {
        assert!(screen.contains(answer), "{screen}");
    }
}
