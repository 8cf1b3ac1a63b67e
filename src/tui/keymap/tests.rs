//! What the table of keys keeps to.

use super::*;

const QUESTIONS: [Place; 5] =
    [Place::Choice, Place::Enter, Place::Count, Place::Reading, Place::Number];

fn press(letter: char, place: Place, entry: Begun) -> Action {
    let key = KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE);
    action(key, place, entry).unwrap()
}

#[test]
fn a_reading_takes_what_readings_are_written_with_and_units_only_after_a_number() {
    for letter in "0123456789.,/".chars() {
        assert_eq!(press(letter, Place::Reading, Begun::No), Action::Type(letter));
    }
    for letter in ["0.15 mm", "6 thou", "25+6", "0,006 in"].concat().chars() {
        assert_eq!(press(letter, Place::Reading, Begun::Yes), Action::Type(letter));
    }
    assert_eq!(press('u', Place::Reading, Begun::No), Action::TakeBack);
    assert_eq!(press('n', Place::Reading, Begun::No), Action::Command(Shortcut::Remark));
}

#[test]
fn a_minus_takes_back_only_where_it_cannot_begin_an_entry() {
    for place in [Place::Choice, Place::Enter, Place::Count, Place::Reading] {
        assert_eq!(press('-', place, Begun::No), Action::TakeBack);
    }
    assert_eq!(press('-', Place::Reading, Begun::Yes), Action::AfterEntry('-'));
    assert_eq!(press('-', Place::Number, Begun::No), Action::Type('-'));
    assert_eq!(press('-', Place::Text, Begun::No), Action::Type('-'));
}

#[test]
fn every_letter_is_text_where_text_is_typed() {
    for letter in ('a'..='z').chain('A'..='Z').chain("0123456789-/ äß".chars()) {
        for entry in [Begun::No, Begun::Yes] {
            assert_eq!(press(letter, Place::Text, entry), Action::Type(letter));
        }
    }
    assert_eq!(press('*', Place::Text, Begun::Yes), Action::Type('*'));
}

#[test]
fn a_question_mark_asks_for_help_until_a_text_has_begun() {
    assert_eq!(press('?', Place::Text, Begun::No), Action::Help);
    assert_eq!(press('?', Place::Text, Begun::Yes), Action::Type('?'));
}

#[test]
fn digits_enter_and_the_number_pad_reach_every_command() {
    for place in QUESTIONS.into_iter().chain([Place::Text]) {
        assert_eq!(press('*', place, Begun::No), Action::More);
    }
    assert_eq!(press('7', Place::List, Begun::No), Action::Digit(7));
    assert_eq!(press('7', Place::Choice, Begun::No), Action::Digit(7));
}

#[test]
fn releases_are_no_presses_and_a_held_enter_is_no_second_enter() {
    let key = |code, kind| KeyEvent::new_with_kind(code, KeyModifiers::NONE, kind);
    for place in QUESTIONS {
        assert_eq!(action(key(KeyCode::Enter, KeyEventKind::Release), place, Begun::Yes), None);
        assert_eq!(action(key(KeyCode::Enter, KeyEventKind::Repeat), place, Begun::Yes), None);
    }
    let held = key(KeyCode::Down, KeyEventKind::Repeat);
    assert_eq!(action(held, Place::List, Begun::No), Some(Action::Move(Motion::Down)));
}

#[test]
fn keys_held_with_alt_are_never_text() {
    let key = KeyEvent::new(KeyCode::Char('1'), KeyModifiers::ALT);
    for place in QUESTIONS {
        assert_eq!(action(key, place, Begun::Yes), Some(Action::Nothing));
    }
}

#[test]
fn what_is_hinted_works() {
    for place in QUESTIONS.into_iter().chain([Place::Text, Place::List, Place::Page, Place::Review])
    {
        for entry in [Begun::No, Begun::Yes] {
            for hint in hints(place, entry, |_| true) {
                let mut letters = hint.key.chars();
                if let (Some(letter), None) = (letters.next(), letters.next()) {
                    let meaning = press(letter, place, entry);
                    assert_ne!(meaning, Action::Nothing, "{letter} at {place:?}");
                    assert!(!matches!(meaning, Action::Type(_)), "{letter} at {place:?} {entry:?}");
                }
            }
        }
    }
}

#[test]
fn commands_that_are_not_offered_are_not_hinted() {
    let hinted = |offered: Shortcut| {
        let comes_to = |action: &Action| *action == Action::Command(offered);
        hints(Place::Reading, Begun::No, comes_to).iter().any(|hint| hint.key == "s")
    };
    assert!(hinted(Shortcut::SeenOverlap));
    assert!(!hinted(Shortcut::Remark));
}

#[test]
fn a_notice_is_left_by_enter_alone_and_says_so() {
    // Told to be no key of this screen, and nothing else.
    assert_eq!(press('x', Place::Notice, Begun::No), Action::NoUse('x'));
    assert_eq!(press('-', Place::Notice, Begun::No), Action::NoUse('-'));
    let enter = KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE);
    assert_eq!(action(enter, Place::Notice, Begun::No), Some(Action::Enter));
    let hinted = hints(Place::Notice, Begun::No, |_| true);
    let hinted: Vec<_> = hinted.iter().map(|hint| (hint.key, &*hint.label)).collect();
    assert!(hinted.contains(&("Enter", "I am back")), "{hinted:?}");
}
