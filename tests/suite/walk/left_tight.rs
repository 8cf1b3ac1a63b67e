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

/// The second round before its first stop, with the exhaust of the second stop left so.
fn second_round(exhaust: &str) -> Walk {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    walk.press(&format!("2 enter 1 6 enter 12 enter 2 enter 6 enter {exhaust} enter 3 1"));
    walk.press("2 enter 6 enter 12 enter 2 enter 6 enter 12 enter 19 enter");
    assert_eq!(walk.session().state.round(), Some(1), "{}", walk.screen());
    walk
}

/// How the valves that were left so, or are due, stand on the drawing: each with its word.
fn drawn(walk: &Walk) -> Vec<String> {
    use cowlside::domain::valve::Standing::{DueNow, Loose, NotYet, Tight};
    let all = walk.session().state.standings().into_iter();
    let shown = all.filter(|(_, standing)| matches!(standing, Tight | Loose | DueNow));
    let shown = shown.map(|(valve, standing)| format!("{valve} {standing:?}")).collect();
    let yet = walk.session().state.standings();
    assert!(yet.iter().any(|(_, standing)| *standing == NotYet));
    shown
}

#[test]
fn a_valve_that_was_left_tight_stays_so_on_the_drawing_until_its_own_stop() {
    for (figure, word, sign) in [("7", "Tight", "ET"), ("20", "Loose", "EL")] {
        let mut walk = second_round(figure);
        let left = format!("3 exhaust {word}");
        // The first stop's turn, its readings: what was left so elsewhere is told there.
        assert!(matches!(walk.session().state.due(), Due::Turn { .. }));
        assert_eq!(drawn(&walk), [left.as_str()], "{}", walk.screen());
        assert!(walk.screen().contains(&word.to_uppercase()), "{}", walk.screen());
        walk.press("2 enter");
        assert_eq!(drawn(&walk), ["1 intake DueNow", left.as_str()], "{}", walk.screen());
        assert!(walk.in_window((40, 12)).contains(&format!("3 I.{sign}")), "at 40x12");
        walk.press("6 enter");
        assert_eq!(drawn(&walk), ["1 exhaust DueNow", left.as_str()], "{}", walk.screen());
        // From the turn to its own stop on nobody is to know what it read.
        walk.press("12 enter");
        assert!(matches!(walk.session().state.due(), Due::Turn { .. }), "{}", walk.screen());
        assert!(drawn(&walk).is_empty(), "{:?}", drawn(&walk));
        walk.press("2 enter");
        assert_eq!(drawn(&walk), ["3 intake DueNow"]);
        walk.press("6 enter");
        assert_eq!(drawn(&walk), ["3 exhaust DueNow"]);
        for size in SIZES {
            let screen = walk.in_window(size);
            let told = [word.to_uppercase(), sign.to_owned(), figure.to_owned() + " thou"];
            assert!(!told.iter().any(|told| screen.contains(told)), "{size:?}\n{screen}");
        }
        walk.press(&format!("{figure} enter"));
        assert!(drawn(&walk).contains(&left), "{}", walk.screen());
    }
}

#[test]
fn while_it_is_gauged_against_the_plan_no_window_tells_how_it_was_left() {
    let mut walk = second_round("7");
    walk.press("2 enter");
    assert_eq!(drawn(&walk), ["1 intake DueNow", "3 exhaust Tight"]);
    assert!(walk.screen().contains("TIGHT"), "{}", walk.screen());
    walk.press("* 11 enter 3 enter 2");
    if walk.app().prompt().unwrap().title.contains("STANDS OPEN") {
        walk.press("2");
    }
    let asked = walk.app().prompt().unwrap();
    assert_eq!((asked.title.as_str(), asked.ask.as_str()), ("3 exhaust", "What does it read?"));
    for size in [SIZES[0], SIZES[1], SIZES[2], (200, 60)] {
        let screen = walk.in_window(size);
        assert!(!["TIGHT", "I.ET", "7 thou"].iter().any(|told| screen.contains(told)), "{screen}");
    }
    // Nor is the engine looked at from here.
    walk.key(KeyCode::Char('p'));
    assert!(walk.app().picture().is_none(), "{}", walk.screen());
}
