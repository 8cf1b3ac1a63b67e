//! Whoever types on without looking up answers no choice: the next number of a reading, of a try, of a
//! temperature is no answer to a question that came between.

use super::*;
use cowlside::domain::entry::{Entry, NutSaid};
use cowlside::tui::keymap::{Action, Place};
use cowlside::tui::update::update;

/// Presses each key as it is, with no Enter of its own.
fn raw(walk: &mut Walk, keys: &str) {
    for word in keys.split_whitespace() {
        match word {
            "enter" => walk.key(KeyCode::Enter),
            digits => digits.chars().for_each(|digit| walk.key(KeyCode::Char(digit))),
        }
    }
}

fn at_the_first_valve() -> Walk {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1");
    walk
}

/// Types on, and nothing is kept; what was typed is refused in words and stands there.
fn nothing_kept(walk: &mut Walk, keys: &str) {
    let (before, due) = (walk.session().kept.len(), walk.session().state.due());
    raw(walk, keys);
    let screen = walk.screen();
    assert_eq!(walk.session().kept.len(), before, "{keys}: {screen}");
    assert_eq!(walk.session().state.due(), due, "{keys}");
    assert!(screen.contains("is no answer here: press 1, "), "{keys}: {screen}");
}

#[test]
fn the_next_try_locks_no_nut() {
    let mut walk = at_the_first_valve();
    walk.press("6 enter 9 enter 1 10 enter");
    for tries in ["11 enter", "10 enter", "015 enter"] {
        nothing_kept(&mut walk, tries);
    }
    raw(&mut walk, "2 enter 11 enter 1 enter");
    let said = walk.session().kept.iter().rev().find_map(|kept| match &kept.entry {
        Entry::Nut(nut) => Some(nut.said.clone()),
        _ => None,
    });
    assert!(matches!(said, Some(NutSaid::Locked { .. })), "{said:?}");
}

#[test]
fn a_reading_typed_again_neither_passes_a_valve_over_nor_keeps_a_slip() {
    let mut walk = at_the_first_valve();
    // "What now?": 31 is no 3 with its first reason.
    raw(&mut walk, "6 enter 20 enter");
    for again in ["31 enter", "20 enter", "12 enter"] {
        nothing_kept(&mut walk, again);
    }
    // A doubted leaf: 15 is no 1, keep it.
    let mut walk = at_the_first_valve();
    raw(&mut walk, "2 enter");
    let before = walk.session().kept.len();
    raw(&mut walk, "15 enter");
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    raw(&mut walk, "2 enter 6 enter");
    assert_eq!(walk.session().kept.len(), before + 1, "{}", walk.screen());
}

#[test]
fn a_whole_stop_typed_blind_answers_no_question_between() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    raw(&mut walk, "2 enter");
    nothing_kept(&mut walk, "12 enter");
    // A digit that is none of the answers is said to be none.
    nothing_kept(&mut walk, "6 enter");
    raw(&mut walk, "1 enter 6 enter");
    // Any other question is answered by one digit, as ever.
    walk.press("9 enter 1 12 enter 1");
    assert!(walk.session().state.current(Valve::new(1, Kind::Exhaust)).is_some());
}

#[test]
fn a_temperature_typed_again_takes_no_set_of_leaves() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1");
    raw(&mut walk, "18 enter");
    nothing_kept(&mut walk, "20 enter");
    raw(&mut walk, "1 enter");
    // The way of working was no number's neighbour: one digit.
    let before = walk.session().kept.len();
    raw(&mut walk, "1");
    assert!(walk.session().kept.len() > before, "{}", walk.screen());
}

#[test]
fn an_enter_close_behind_a_digit_agrees_to_nothing_and_the_next_one_does() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1 18 enter 1");
    // The scope; what comes next is a list that Enter alone agrees to.
    raw(&mut walk, "1");
    let before = walk.session().kept.len();
    let now = walk.now;
    for after in [300, 450, 1_450] {
        walk.now = now + after - 1000;
        let mut soon = walk.app().clone();
        let at = Moment { unix_ms: now + after, offset_min: 60 };
        soon = update(&soon, &Action::Enter, at).0;
        let note = soon.note.unwrap().text;
        assert!(note.contains("Enter not counted: too soon, or held down"), "{after}: {note}");
    }
    raw(&mut walk, "enter");
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    assert!(walk.screen().contains("Enter not counted"), "{}", walk.screen());
    raw(&mut walk, "enter");
    assert_eq!(walk.session().kept.len(), before + 1, "{}", walk.screen());
}

#[test]
fn an_enter_by_whoever_reads_first_counts_at_once() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1 18 enter 1");
    raw(&mut walk, "1");
    let before = walk.session().kept.len();
    walk.now += 600;
    raw(&mut walk, "enter");
    assert_eq!(walk.session().kept.len(), before + 1, "{}", walk.screen());
}

/// Presses Enter so soon behind the key before that it belongs to it by habit.
fn enter_by_habit(walk: &mut Walk) {
    walk.now -= 750;
    walk.key(KeyCode::Enter);
}

#[test]
fn an_enter_close_behind_a_digit_that_stays_counts_nothing_out() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP.trim_end_matches(" enter enter"));
    assert!(matches!(walk.session().state.due(), Due::CountOut(..)), "{}", walk.screen());
    let before = walk.session().kept.len();
    walk.press("q");
    raw(&mut walk, "2");
    enter_by_habit(&mut walk);
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    walk.key(KeyCode::Enter);
    assert_eq!(walk.session().kept.len(), before + 1, "{}", walk.screen());
}

#[test]
fn an_enter_close_behind_the_digit_of_an_engine_answers_no_hours() {
    let mut walk = Walk::new(known());
    raw(&mut walk, "1");
    let asked = walk.app().prompt().map(|prompt| prompt.ask);
    assert!(asked.is_some(), "{}", walk.screen());
    enter_by_habit(&mut walk);
    assert_eq!(walk.app().prompt().map(|prompt| prompt.ask), asked, "{}", walk.screen());
}

#[test]
fn what_is_pasted_is_taken_whole_or_told_and_then_an_enter_agrees_to_nothing() {
    let mut walk = Walk::new(known());
    raw(&mut walk, "1");
    let asked = walk.app().prompt().map(|prompt| prompt.ask);
    for text in ["xyz", "xyxyxyzzz not run"] {
        let Some(app) = walk.app.take() else { panic!("the program has ended") };
        walk.now += 1000;
        let at = Moment { unix_ms: walk.now, offset_min: 60 };
        let action = keymap::Action::Paste(text.into());
        walk.app = match step(app, &action, at, &mut |_: &Effect, _| Ok(Carried::Done)) {
            ControlFlow::Continue(app) => Some(app),
            ControlFlow::Break(()) => None,
        };
        assert_eq!(walk.app().entry, "", "{text}");
        assert!(walk.screen().contains("nothing of it was taken"), "{}", walk.screen());
        walk.key(KeyCode::Enter);
        assert_eq!(walk.app().prompt().map(|prompt| prompt.ask), asked, "{text}");
    }
}

#[test]
fn an_enter_close_behind_the_digit_that_opened_a_page_does_not_close_it() {
    let mut walk = Walk::new(known());
    let open = |walk: &mut Walk| {
        carried(walk, &keymap::Action::More, Ok(Carried::Done));
        let past = Carried::Past(crate::reviews::past_pages());
        assert_eq!(carried(walk, &keymap::Action::Digit(2), Ok(past)), [Effect::HistoryAt(0)]);
        assert_eq!(walk.app().place(), Place::Review, "{}", walk.screen());
    };
    open(&mut walk);
    walk.now -= 650;
    walk.key(KeyCode::Enter);
    assert_eq!(walk.app().place(), Place::Review, "{}", walk.screen());
    assert!(walk.screen().contains("Enter not counted"), "{}", walk.screen());
    walk.key(KeyCode::Enter);
    assert_ne!(walk.app().place(), Place::Review, "{}", walk.screen());
    // By whoever looks at it first it counts at once.
    open(&mut walk);
    walk.now += 600;
    walk.key(KeyCode::Enter);
    assert_ne!(walk.app().place(), Place::Review, "{}", walk.screen());
}

/// Does one thing, which is carried out so; returns what was to be carried out.
fn carried(
    walk: &mut Walk,
    action: &keymap::Action,
    answer: Result<Carried<Bench>, String>,
) -> Vec<Effect> {
    let Some(app) = walk.app.take() else { panic!("the program has ended") };
    walk.now += 1000;
    let at = Moment { unix_ms: walk.now, offset_min: 60 };
    let mut effects = Vec::new();
    let mut answer = Some(answer);
    let stepped = step(app, action, at, &mut |effect: &Effect, _| {
        effects.push(effect.clone());
        answer.take().unwrap()
    });
    walk.app = match stepped {
        ControlFlow::Continue(app) => Some(app),
        ControlFlow::Break(()) => None,
    };
    effects
}

#[test]
fn an_enter_close_behind_a_digit_whose_work_failed_agrees_to_nothing() {
    let mut walk = Walk::new(known());
    let failed = carried(&mut walk, &keymap::Action::Digit(1), Err("cannot be read".into()));
    assert_eq!(failed, [Effect::Open(0)]);
    assert!(walk.screen().contains("cannot be read"), "{}", walk.screen());
    // A quarter of a second behind it: by habit. A second later it is meant.
    walk.now -= 750;
    assert_eq!(carried(&mut walk, &keymap::Action::Enter, Ok(Carried::Done)), []);
    assert!(walk.screen().contains("Enter not counted"), "{}", walk.screen());
    let meant = carried(&mut walk, &keymap::Action::Enter, Ok(Carried::Done));
    assert_eq!(meant, [Effect::Open(0)]);
}

#[test]
fn what_is_pasted_behind_a_refused_number_is_a_whole_new_one_or_nothing() {
    let refused = || {
        let mut walk = Walk::new(known());
        walk.press(TO_THE_FIRST_STOP);
        raw(&mut walk, "7 enter");
        assert!(walk.screen().contains("only 2 are to be felt here"), "{}", walk.screen());
        assert_eq!(walk.app().entry, "7");
        walk
    };
    let paste = |walk: &mut Walk, text: &str| {
        carried(walk, &keymap::Action::Paste(text.into()), Ok(Carried::Done))
    };
    let mut walk = refused();
    assert_eq!(paste(&mut walk, "2"), []);
    assert_eq!(walk.app().entry, "2");
    // It goes on from there as what is typed does.
    assert_eq!(paste(&mut walk, "1"), []);
    assert_eq!(walk.app().entry, "21");
    // Nothing is taken: the refused number still stands there, and the next digit begins anew.
    let mut walk = refused();
    paste(&mut walk, "2 or 3, not sure");
    assert_eq!(walk.app().entry, "7");
    raw(&mut walk, "2");
    assert_eq!(walk.app().entry, "2");
    // Nor does a look at the help make a beginning of it; what is mended is one.
    let mut walk = refused();
    walk.key(KeyCode::Char('?'));
    walk.press("esc");
    raw(&mut walk, "2");
    assert_eq!(walk.app().entry, "2");
    let mut walk = refused();
    raw(&mut walk, "12 enter");
    assert_eq!(walk.app().entry, "12");
    walk.press("backspace");
    raw(&mut walk, "3");
    assert_eq!(walk.app().entry, "13");
}

#[test]
fn what_waited_behind_a_number_waits_no_longer_once_its_question_is_left() {
    let mut walk = at_the_first_valve();
    raw(&mut walk, "6 enter 20 enter");
    let digit_waits = |walk: &Walk| {
        let field = walk.app().prompt().unwrap().field;
        field.typed == Some(Typed::Digit)
    };
    assert!(digit_waits(&walk), "{}", walk.screen());
    // A page lies on it for a while: it is the same question still.
    raw(&mut walk, "?");
    walk.key(KeyCode::Esc);
    assert!(digit_waits(&walk), "{}", walk.screen());
    // Taken back, and another errand begun: its reason is told by one digit.
    walk.key(KeyCode::Char('-'));
    walk.key(KeyCode::Char('*'));
    raw(&mut walk, "6 enter");
    assert!(!walk.app().prompt().unwrap().field.choices.is_empty(), "{}", walk.screen());
    assert!(!digit_waits(&walk), "{}", walk.screen());
    let before = walk.session().kept.len();
    walk.key(KeyCode::Char('1'));
    assert!(walk.session().kept.len() > before, "{}", walk.screen());
}

/// Presses a key so many milliseconds behind the one before it.
fn key_after(walk: &mut Walk, ms: i64, code: KeyCode) {
    walk.now -= 1000 - ms;
    walk.key(code);
}

/// Where the last caution was answered by a 1, and the temperature is asked.
fn at_the_temperature() -> Walk {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1");
    let field = walk.app().prompt().unwrap().field;
    assert_eq!(field.typed, Some(Typed::Number), "{}", walk.screen());
    walk
}

fn said(walk: &Walk) -> String {
    walk.app().note.clone().map(|note| note.text).unwrap_or_default()
}

#[test]
fn a_digit_pressed_twice_at_a_choice_spills_into_no_number() {
    for ms in [100, 200, 300, 390] {
        let mut walk = at_the_temperature();
        key_after(&mut walk, ms, KeyCode::Char('1'));
        assert_eq!(walk.app().entry, "", "{ms} ms: {}", walk.screen());
        assert!(
            said(&walk).ends_with("; 1 not taken: too soon behind the digit before"),
            "{ms} ms"
        );
        // Seen; what is typed then is the number, and one Enter keeps it.
        let before = walk.session().kept.len();
        raw(&mut walk, "18 enter");
        assert_eq!(walk.session().kept.len(), before + 1, "{ms} ms: {}", walk.screen());
    }
    // Later it is the number's first digit.
    let mut walk = at_the_temperature();
    key_after(&mut walk, 450, KeyCode::Char('1'));
    assert_eq!(walk.app().entry, "1", "{}", walk.screen());
}

#[test]
fn what_is_no_answer_is_not_offered_to_be_kept_whatever_was_spilt_before_it() {
    // A parts list is answered by one digit; what comes next by 1 or 2 and Enter.
    let mut walk = places::at_the_parts_list();
    walk.press("a enter");
    while walk.session().state.due() != Due::PartsList {
        walk.press("1");
    }
    walk.key(KeyCode::Char('1'));
    assert!(matches!(walk.session().state.due(), Due::TakeOut(_)), "{}", walk.screen());
    key_after(&mut walk, 300, KeyCode::Char('1'));
    for digit in ['2', '1', '1'] {
        key_after(&mut walk, 450, KeyCode::Char(digit));
    }
    assert_eq!(walk.app().entry, "211");
    key_after(&mut walk, 450, KeyCode::Enter);
    assert!(!said(&walk).contains("once more keeps"), "{}", said(&walk));
    assert!(said(&walk).contains("\"211\" is no answer here: press 1, 2"), "{}", said(&walk));
}

#[test]
fn a_number_typed_close_behind_a_choice_is_taken_whole_or_not_at_all() {
    // All of it close behind: nothing is taken, and Enter keeps nothing.
    let mut walk = at_the_temperature();
    let before = walk.session().kept.len();
    for digit in ['1', '8'] {
        key_after(&mut walk, 300, KeyCode::Char(digit));
    }
    assert_eq!(walk.app().entry, "");
    assert!(said(&walk).ends_with("; 18 not taken: too soon behind the digit before"));
    key_after(&mut walk, 300, KeyCode::Enter);
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    // Its end after a pause: 8 is not kept for 18 unasked.
    let mut walk = at_the_temperature();
    key_after(&mut walk, 300, KeyCode::Char('1'));
    key_after(&mut walk, 500, KeyCode::Char('8'));
    assert_eq!(walk.app().entry, "8");
    raw(&mut walk, "enter");
    assert_eq!(walk.session().kept.len(), before, "{}", walk.screen());
    let screen = walk.screen();
    assert!(crate::seat::said(&screen).contains("Enter once more keeps 8"), "{screen}");
    raw(&mut walk, "enter");
    assert_eq!(walk.app().prompt().unwrap().title, "A head at 8 °C (46.4 °F)?");
    // Typed anew it is whole: nothing is asked.
    let mut walk = at_the_temperature();
    key_after(&mut walk, 300, KeyCode::Char('1'));
    key_after(&mut walk, 500, KeyCode::Char('8'));
    walk.press("backspace");
    raw(&mut walk, "18 enter");
    assert_eq!(walk.session().kept.len(), before + 1, "{}", walk.screen());
}

#[test]
fn a_digit_held_down_at_a_choice_may_be_held_into_the_number_behind_it() {
    let walk = at_the_temperature();
    let at = |ms: i64| Moment { unix_ms: walk.now + ms, offset_min: 60 };
    let held = |digit, ms| walk.app().may_be_held(&keymap::Action::Type(digit), at(ms));
    assert!(held('1', 660), "what follows has to tell");
    assert!(!held('8', 660), "another key is no repeat");
    assert!(!held('1', 2_500), "nor is a key so much later");
}

#[test]
fn a_refused_number_stands_to_be_read_and_the_next_digit_begins_anew() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("7 enter");
    assert!(walk.screen().contains("only 2 are to be felt here"), "{}", walk.screen());
    assert_eq!(walk.app().entry, "7");
    walk.press("2");
    assert_eq!(walk.app().entry, "2");
}
