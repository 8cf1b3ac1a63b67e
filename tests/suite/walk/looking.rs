//! Pictures that are looked at on the way: the crank at a stop, the engine.

use super::{TO_THE_FIRST_STOP, Walk, known};

#[test]
fn the_picture_of_a_stop_is_a_page_that_answers_nothing() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.go("p @picture");
    assert!(walk.screen().contains("The crank at this stop"), "{}", walk.screen());
    walk.press("esc");
    let (asked, kept) = (walk.screen(), walk.session().kept.len());
    // Neither digits nor Enter answer from here; whatever closes a page closes it.
    for keys in ["p 2 enter", "p p", "p esc", "p -"] {
        walk.press(keys);
        assert_eq!((walk.screen() == asked, walk.session().kept.len()), (true, kept), "{keys}");
    }
    let offered = |walk: &Walk| {
        let rows = &walk.app().list().unwrap().table.rows;
        let at = rows.iter().position(|row| row[0].contains("at the engine")).unwrap();
        (at + 1, rows[at][0].contains("not now"))
    };
    walk.press("*");
    let (number, now) = offered(&walk);
    assert!(!now);
    walk.press(&format!("{number} enter"));
    assert!(walk.screen().contains("The crank at this stop"), "{}", walk.screen());
    walk.press("esc 2 enter 1 6 enter *");
    assert_eq!(offered(&walk), (number, false), "at a valve it is the engine");
}

#[test]
fn the_engine_is_a_page_too_with_no_more_of_the_due_valve_than_that_it_is_due() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    // From the crank's picture by an arrow, and back.
    walk.press("p down");
    assert!(walk.screen().contains("The engine, seen from the rear"), "{}", walk.screen());
    walk.press("down");
    assert!(walk.screen().contains("The crank at this stop"), "{}", walk.screen());
    walk.press("esc 2 enter 1 5 enter");
    walk.go("p @engine_page");
    let page = walk.screen();
    assert!(page.contains("IN in limits") && page.contains("EX DUE NOW"), "{page}");
    // At a valve there is no other picture: an arrow stays, and the side can be changed.
    walk.press("down");
    const NO_OTHER: &str = "  · there is no other picture now";
    let stays = walk.screen();
    assert!(stays.contains(NO_OTHER), "{stays}");
    assert_eq!(stays.replace(NO_OTHER, &" ".repeat(NO_OTHER.chars().count())), page);
    walk.press("v");
    assert!(walk.screen().contains("The engine, seen from the left"), "{}", walk.screen());
    walk.press("v v v p");
    assert!(walk.screen().contains("Gauge 1 exhaust as found"), "{}", walk.screen());
}
