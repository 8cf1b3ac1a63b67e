//! A valve that stands open here, a call away from a command's own question, and what is said there of
//! keys that answer nothing.

use super::*;

/// Where a valve of the cylinder at overlap is to be gauged against the plan.
fn at_a_valve_that_stands_open() -> Walk {
    let mut walk = places::at_a_valve();
    let watched = walk.session().state.stops()[0].watch;
    walk.press(&format!("* 11 enter {watched} enter 1"));
    let title = walk.app().prompt().unwrap().title;
    assert!(title.contains("STANDS OPEN"), "{title}");
    walk
}

/// Rows of a screen that hold large letters, besides the strip and the drawing.
fn large_rows(screen: &str) -> usize {
    screen.lines().filter(|line| line.matches(['█', '▀', '▄']).count() > 6).count()
}

#[test]
fn that_a_valve_stands_open_is_large_in_every_window() {
    let mut walk = at_a_valve_that_stands_open();
    let words = walk.app().prompt().unwrap().big.unwrap();
    assert_eq!(words.text, "OPEN");
    assert_eq!(words.longer[0], "2 INT OPEN");
    for (window, rows) in [((40, 12), 3), ((60, 20), 3), ((80, 24), 3), ((160, 50), 7)] {
        let screen = walk.in_window(window);
        assert!(large_rows(&screen) >= rows, "{window:?}:\n{screen}");
    }
}

#[test]
fn one_is_called_away_from_any_question() {
    let mut walk = at_a_valve_that_stands_open();
    walk.key(KeyCode::Char('a'));
    assert!(walk.app().notice().is_some(), "{}", walk.screen());
    assert!(matches!(walk.session().kept.last().unwrap().entry, Entry::Away(_)));
    // Back, the valve that was due is due.
    walk.key(KeyCode::Enter);
    assert!(walk.app().forms.is_empty());
    // Where a number is asked too.
    let mut walk = places::at_a_valve();
    walk.press("s");
    assert!(!walk.app().forms.is_empty());
    walk.key(KeyCode::Char('a'));
    assert!(walk.app().notice().is_some(), "{}", walk.screen());
}

#[test]
fn the_help_on_such_a_question_tells_the_key_that_calls_away() {
    let mut walk = at_a_valve_that_stands_open();
    walk.key(KeyCode::Char('?'));
    let Some(View::Help(help)) = view::view(walk.app()) else { panic!("{}", walk.screen()) };
    assert!(help.lines.iter().any(|line| line.text == "a: away"), "{}", walk.screen());
}

#[test]
fn another_command_there_is_refused_with_the_question_and_its_keys() {
    let mut walk = at_a_valve_that_stands_open();
    walk.key(KeyCode::Char('n'));
    let said = walk.app().note.clone().unwrap().text;
    assert_eq!(said, "answer this first: What now? (1 or 2); or - goes back, * calls away");
}

#[test]
fn what_is_not_asked_now_is_refused_with_what_is_and_the_keys_that_answer_it() {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    walk.press("* 5 enter 3 enter 1 1");
    let before = walk.session().kept.len();
    // Passed over in this round already.
    walk.press("* 5 enter 3 enter 1 1");
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    assert_eq!(
        walk.app().note.clone().unwrap().text,
        "that is not what is asked now, but: Rockers of 1: how many of 2 are loose? (2 expected) \
         (a number, then Enter)"
    );
}

#[test]
fn nothing_is_offered_of_a_valve_where_there_is_none_that_it_is_for() {
    let offered = |walk: &Walk, words: &str| {
        let Some(View::List(list)) = view::view(walk.app()) else { panic!("{}", walk.screen()) };
        let row = list.rows.iter().map(|row| row[0].clone()).find(|row| row.contains(words));
        !row.unwrap().contains("not now: ")
    };
    // The only slack nut is named in it.
    let touched = "said slack";
    let lost = "adjusted before it was read: as-found lost";
    let set = "set a valve that is in limits, here where the crank stands";
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    walk.press("*");
    assert_eq!([touched, lost, set].map(|words| offered(&walk, words)), [false; 3]);
    let mut walk = places::at_a_valve();
    walk.press("*");
    assert_eq!([touched, lost, set].map(|words| offered(&walk, words)), [false, true, false]);
    walk.press("esc 6 enter *");
    assert_eq!([touched, lost, set].map(|words| offered(&walk, words)), [false, true, true]);
    walk.press("esc 9 enter 1 *");
    assert_eq!([touched, lost, set].map(|words| offered(&walk, words)), [true, false, false]);
}
