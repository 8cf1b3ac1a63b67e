//! A stop without looking up, in the smallest window: what is typed is kept while Enter reads on, and
//! nothing is answered before all that it speaks of was shown.

use super::places;
use super::*;
use cowlside::domain::entry::Moment;
use cowlside::domain::session::Due;
use cowlside::tui::keymap::Action;

const SIZES: [(u16, u16); 4] = [(40, 12), (44, 12), (60, 20), (80, 24)];

/// Before a turn whose directions do not fit the window beside what could not be saved.
fn before_a_long_turn() -> Walk {
    let mut walk = places::before_a_turn();
    walk.not_saved();
    walk
}

fn said(walk: &Walk) -> String {
    walk.app().note.clone().map(|note| note.text).unwrap_or_default()
}

#[test]
fn a_stop_is_answered_without_looking_up_in_the_smallest_window() {
    for size in SIZES {
        for plain in [false, true] {
            let mut walk = places::before_a_turn();
            if plain {
                walk.in_plain_characters();
            }
            // Whoever works on is shown each screen, and looks at none.
            for keys in ["2 enter", "6 enter", "12 enter", "2 enter", "6 enter", "12 enter"] {
                let shown = walk.in_window(size);
                let kept = walk.session().kept.len();
                walk.press(keys);
                assert!(walk.session().kept.len() > kept, "{size:?}: {keys}\n{shown}");
            }
            assert!(matches!(walk.session().state.due(), Due::Turn { .. }));
        }
    }
}

#[test]
fn a_refused_key_too_many_costs_no_number_that_is_typed_behind_it() {
    for size in SIZES {
        for refused in ["enter", "enter enter", "x", "7 enter"] {
            let mut walk = places::before_a_turn();
            let (shown, kept) = (walk.in_window(size), walk.session().kept.len());
            assert!(!shown.contains("more line"), "read whole before it\n{shown}");
            walk.press(refused);
            let shown = walk.in_window(size);
            let rung = walk.app().rings && shown.contains("! ");
            assert!(rung || refused == "enter enter" && shown != walk.screen(), "{shown}");
            for keys in ["2 enter", "6 enter", "12 enter"] {
                let before = walk.session().kept.len();
                walk.press(keys);
                let shown = walk.in_window(size);
                assert!(walk.session().kept.len() > before, "{size:?}: {refused}, {keys}\n{shown}");
            }
            assert!(walk.session().kept.len() >= kept + 3);
        }
    }
}

#[test]
fn the_key_that_only_woke_rings() {
    let mut walk = places::before_a_turn();
    walk.press("2");
    walk.now += 16 * 60_000;
    walk.press("enter");
    assert!(walk.screen().contains("You were away") && walk.app().rings, "{}", walk.screen());
    walk.press("1");
    assert!(!walk.app().rings, "once");
    // Away with a word, it is no surprise that the key answers nothing.
    walk.press("1 1 1 a");
    assert!(walk.app().notice().is_some(), "{}", walk.screen());
    walk.press("enter");
    assert!(walk.app().notice().is_none() && !walk.app().rings, "{}", walk.screen());
}

#[test]
fn a_typed_answer_is_kept_while_enter_reads_on_and_counts_behind_the_last_page() {
    let mut walk = before_a_long_turn();
    let lines = walk.app().prompt().unwrap();
    let mut seen = walk.in_window((40, 12));
    assert!(seen.contains("more line"), "{seen}");
    let kept = walk.session().kept.len();
    walk.press("2");
    assert!(walk.in_window((40, 12)).contains("Enter read on"), "{}", walk.in_window((40, 12)));
    let mut pages = 1;
    while walk.session().kept.len() == kept {
        assert!(pages < 9, "{seen}");
        let all = said(&walk) == "not taken yet: Enter takes 2";
        walk.press("enter");
        let shown = walk.in_window((40, 12));
        if walk.session().kept.len() > kept {
            assert!(all, "it was said what Enter does\n{shown}");
            break;
        }
        assert!(!all);
        assert_eq!(walk.app().entry, "2", "what was typed is kept");
        // Whoever does not look up hears that nothing was taken, and hears it once.
        assert_eq!(walk.app().rings, pages == 1, "page {pages}");
        assert!(shown.contains("> 2") && shown.contains("Backspace erase"), "{shown}");
        assert!(shown.contains(&format!("! {}", said(&walk))), "{shown}");
        seen += &shown;
        pages += 1;
    }
    assert!(pages > 1);
    let seen: Vec<&str> = seen.split([' ', '|', '\n']).filter(|word| !word.is_empty()).collect();
    for line in lines.lines.iter().take(lines.field.whole.into()) {
        // A line may go on in the next window.
        let mut rest = seen.iter();
        assert!(line.split_whitespace().all(|word| rest.any(|seen| *seen == word)), "{line:?}");
    }
}

#[test]
fn what_is_typed_on_blindly_behind_an_answer_that_waits_answers_nothing() {
    for keys in
        ["2 enter 1 enter", "2 enter 6 enter 12 enter", "2 enter backspace enter", "1 enter 1"]
    {
        let mut walk = before_a_long_turn();
        walk.in_window((40, 12));
        let kept = walk.session().kept.len();
        walk.press(keys.split_once("2 enter ").map_or(keys, |_| "2 enter"));
        for key in keys.split_once("2 enter ").map_or("", |(_, behind)| behind).split(' ') {
            walk.press(key);
            let shown = walk.in_window((40, 12));
            let counts = key != "enter";
            assert!(counts || walk.app().rings && shown.contains("! "), "{keys}\n{shown}");
        }
        assert_eq!(walk.session().kept.len(), kept, "{keys}: {}", said(&walk));
    }
    // The other number is told, and then taken.
    let mut walk = before_a_long_turn();
    walk.in_window((40, 12));
    walk.press("1 enter 2 enter");
    let kept = walk.session().kept.len();
    assert!(said(&walk).ends_with("Enter takes 2"), "{}", said(&walk));
    walk.press("enter");
    assert!(walk.session().kept.len() > kept);
}

#[test]
fn the_help_between_a_number_and_its_enter_makes_nothing_read() {
    let mut walk = before_a_long_turn();
    walk.in_window((40, 12));
    let kept = walk.session().kept.len();
    walk.press("2 ? esc enter");
    assert_eq!(walk.session().kept.len(), kept, "{}", walk.in_window((40, 12)));
}

#[test]
fn an_enter_held_down_reads_one_page_on() {
    let mut walk = before_a_long_turn();
    walk.in_window((40, 12));
    walk.press("2 enter");
    let at = |ms| Moment { unix_ms: walk.now + ms, offset_min: 60 };
    assert!(walk.app().may_be_held(&Action::Enter, at(500)));
    assert!(!walk.app().may_be_held(&Action::Enter, at(2_500)));
    let kept = walk.session().kept.len();
    // Bounced.
    walk.now += 100 - 1000;
    walk.press("enter");
    assert_eq!(walk.session().kept.len(), kept);
}

#[test]
fn nothing_is_agreed_to_in_a_window_too_small_to_read_it() {
    let mut walk = places::before_the_counts();
    walk.in_window((30, 8));
    let kept = walk.session().kept.len();
    walk.press("enter");
    assert_eq!(walk.session().kept.len(), kept);
    let note = walk.app().note.clone().unwrap().text;
    assert!(note.contains("no key answers here"), "{note}");
    // Where something is slack, whatever is asked: neither it nor every answer would be in sight.
    let slack = "OPEN: NUT SLACK: 1 exhaust";
    for size in [(39, 12), (40, 11), (20, 6)] {
        let mut walk = places::at_a_valve();
        walk.in_window(size);
        let kept = walk.session().kept.len();
        for key in ["1", "0", "2", "9", "enter", "-", "*", "o", "+"] {
            walk.press(key);
            let shown = walk.in_window(size);
            assert_eq!(walk.session().kept.len(), kept, "{size:?} {key}: {shown}");
            assert_eq!(walk.app().entry, "", "{size:?} {key}: {shown}");
            assert!(shown.contains("no key answers"), "{size:?} {key}: {shown}");
        }
        walk.in_window((40, 12));
        walk.press("6 enter");
        assert!(walk.session().kept.len() > kept, "{size:?}: {}", walk.screen());
    }
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter 1");
    let shown = walk.in_window((39, 12));
    assert!(shown.contains(slack) && !shown.contains("1 locked"), "{shown}");
}
