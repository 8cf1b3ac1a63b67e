//! What is left tight stands on every screen before the run, in every window.

use super::*;

/// Both rounds with the exhaust of the first stop left tight, up to the run.
fn before_the_run() -> Walk {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    walk.press("2 enter 1 6 enter 7 enter 3 1");
    walk.press("2 enter 6 enter 12 enter 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter");
    walk.press("19 enter 2 enter 6 enter 7 enter");
    walk.press("2 enter 6 enter 12 enter 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter");
    walk.press(COUNT_IN);
    walk.press(CHECKS);
    walk
}

#[test]
fn a_valve_that_is_left_tight_is_told_in_every_window_at_each_question_of_the_run() {
    let mut walk = before_the_run();
    let mut asked = 0;
    while matches!(walk.session().state.due(), Due::RunCaution(_) | Due::RunCheck(_)) {
        for size in SIZES {
            let screen = walk.in_window(size);
            if std::env::var("LOOK").is_ok() && size.0 < 100 {
                println!("{screen}");
            }
            let words = screen.replace(['|', '\n'], " ");
            let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains("1 exhaust LEFT TIGHT"), "{size:?}\n{screen}");
        }
        walk.press("1");
        asked += 1;
    }
    assert_eq!(asked, 9, "{}", walk.screen());
}
