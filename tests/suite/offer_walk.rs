//! A service whose profile turned out to be the wrong one, in a terminal: on the screen of the closed
//! session the engine is offered the profile that the service went on with.

#![cfg(unix)]

use crate::cli::Place;
use crate::seat::{Seat, said};
use std::time::{SystemTime, UNIX_EPOCH};

/// Begins a service of a flat four that fires in another order than its profile says, replaces the
/// profile by that order, and closes the session unsigned.
fn closed_with_another_profile(place: &Place) -> Seat {
    place.run(&["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"]).done();
    let mut seat = Seat::take(place.path(), &["session", "Trainer"], (40, 100));
    let answer = |seat: &mut Seat, asked: &str, keys: &str| {
        seat.await_text(asked);
        seat.press(keys);
    };
    answer(&mut seat, "Running hours now", "\r");
    answer(&mut seat, "Aircraft total time", "\r");
    for (asked, typed) in
        [("Name or initials", "Jo"), ("Which document", "Manual"), ("Its revision", "3")]
    {
        answer(&mut seat, asked, typed);
        seat.await_text(&format!("> {typed}"));
        seat.press("\r");
    }
    answer(&mut seat, "page", "12");
    seat.await_text("> 12");
    seat.press("\r");
    let from_the_list = |seat: &mut Seat, words: &str| {
        seat.await_text("Intake target, as printed");
        seat.settled();
        seat.press("*");
        let list = seat.await_text(words);
        let row = list.lines().find(|line| line.contains(words)).unwrap();
        let number = row.split_whitespace().next().unwrap().to_owned();
        for digit in number.split("").filter(|digit| !digit.is_empty()) {
            seat.press(digit);
        }
        seat.press("\r");
    };
    from_the_list(&mut seat, "the profile is the wrong one: replace it");
    answer(&mut seat, "1  flat-four-1423", "1");
    answer(&mut seat, "Source: document", "plate");
    seat.await_text("> plate");
    seat.press("\r");
    answer(&mut seat, "wrong profile was chosen", "1");
    seat.await_that("the reason is kept", |screen| !screen.contains("1  wrong profile"));
    from_the_list(&mut seat, "close this session unsigned");
    answer(&mut seat, "only practised", "2");
    seat.await_text("Seal code");
    seat.settled();
    // There is nothing to compare it with, so that no page lies on the offer.
    let screen = seat.await_text("give the engine the profile flat-four-1423 from now on");
    // Once, large: not in a message too.
    assert_eq!(screen.matches("eal code").count(), 1, "{screen}");
    assert!(said(&screen).contains("it had begun with flat-four."), "{screen}");
    seat.settled();
    seat
}

/// Answers the offer, and leaves from the list of engines; returns that list and the engine's profile.
fn answered(keys: &str) -> (String, String) {
    let place = Place::new();
    let mut seat = closed_with_another_profile(&place);
    seat.press(keys);
    let screen = seat.await_text("Which engine?");
    seat.settled();
    seat.press("q");
    assert_eq!(seat.exit_code(), 0);
    assert!(seat.left_behind().is_empty());
    // The program in the terminal goes by the machine's clock: what follows comes after it.
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    place.not_before(now.as_millis().try_into().unwrap());
    let engines = place.run(&["engines", "--json"]).json();
    (screen, engines["engines"][0]["profile"].as_str().unwrap().to_owned())
}

#[test]
fn the_profile_that_a_service_went_on_with_is_given_to_the_engine_by_one_digit() {
    let (screen, profile) = answered("1");
    assert_eq!(profile, "flat-four-1423");
    assert!(screen.contains("profile flat-four-1423 from its next service on"), "{screen}");
}

#[test]
fn the_engine_keeps_its_profile_where_the_offer_is_left() {
    let (screen, profile) = answered("\x1b");
    assert_eq!(profile, "flat-four", "{screen}");
    assert!(!screen.contains("from its next service on"), "{screen}");
}
