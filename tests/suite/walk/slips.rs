//! Keys that are refused: letters where figures are asked, a minus where there is nothing to take back.

use super::*;

#[test]
fn an_enter_behind_letters_that_were_refused_agrees_to_nothing() {
    for letters in ["none", "not run", "x", "no"] {
        let mut walk = Walk::new(known());
        walk.press("1");
        let asked = walk.app().prompt().unwrap();
        assert_eq!(asked.field.enter.as_deref(), Some("not run since, 412.6 h"));
        for letter in letters.chars() {
            walk.key(KeyCode::Char(letter));
            let told = walk.app().note.clone().map(|note| note.text);
            assert!(told.is_some(), "{letter:?} is told");
        }
        walk.press("enter");
        assert_eq!(walk.app().prompt().as_ref(), Some(&asked), "{letters}");
        let said = walk.app().note.clone().unwrap().text;
        assert_eq!(said, "nothing is typed; Enter once more means: not run since, 412.6 h");
        walk.press("enter");
        assert_ne!(walk.app().prompt().as_ref(), Some(&asked), "now it is meant");
    }
}

#[test]
fn what_is_typed_behind_a_refused_letter_counts_with_one_enter() {
    let mut walk = Walk::new(known());
    walk.press("1 x 460.5 enter");
    assert!(walk.screen().contains("Aircraft total time"), "{}", walk.screen());
    // Another question has refused nothing.
    walk.press("enter");
    assert!(!walk.screen().contains("Aircraft total time"), "{}", walk.screen());
}

#[test]
fn a_letter_that_is_no_part_of_an_answer_is_told_and_leaves_it() {
    let mut walk = places::at_a_valve();
    walk.press("12 z");
    assert_eq!(walk.app().entry, "12");
    let said = walk.app().note.clone().unwrap().text;
    assert_eq!(said, "\"z\" is no part of this answer: it was not taken");
    walk.press("backspace 1 enter");
    assert_eq!(walk.session().state.readings.last().unwrap().reading.typed, "11");
}

#[test]
fn a_minus_where_nothing_is_kept_yet_says_so() {
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 flat blank four enter - enter");
    let said = walk.app().note.clone().unwrap().text;
    assert_eq!(said, "nothing is kept yet that could be taken back; Esc goes back");
}

#[test]
fn a_minus_at_a_further_question_goes_back_to_the_one_before_and_takes_nothing_back() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 12 enter");
    let kept = walk.session().kept.len();
    walk.press("* 5 enter 3 enter");
    assert!(walk.screen().contains("Which valve?"), "{}", walk.screen());
    walk.press("-");
    assert!(walk.screen().contains("Which cylinder?"), "{}", walk.screen());
    walk.press("-");
    assert!(walk.screen().contains("loose?"), "{}", walk.screen());
    assert_eq!(walk.session().kept.len(), kept);
}

#[test]
fn only_some_cylinders_are_named_with_whatever_the_number_pad_has_between() {
    for typed in ["1/3", "1.3", "1+3", "1,3", "1 3", "3/1/3"] {
        let mut walk = Walk::new(known());
        walk.press(TO_THE_FIRST_STOP.strip_suffix(" 1 enter enter enter").unwrap());
        walk.press("3");
        assert!(walk.screen().contains("As in 1/3:"), "{}", walk.screen());
        walk.type_text(typed);
        walk.press("enter");
        let scope = walk.session().state.begin.scope.clone().unwrap_or_default();
        assert_eq!(
            scope.iter().collect::<std::collections::BTreeSet<_>>(),
            [1, 3].iter().collect()
        );
    }
}

#[test]
fn the_first_key_after_a_long_while_is_told_where_nothing_else_changes() {
    for keys in ["1", "1 460.5 enter enter"] {
        let mut walk = Walk::new(known());
        walk.press(keys);
        let asked = walk.app().prompt().unwrap();
        walk.now += 16 * 60_000;
        walk.key(KeyCode::Char('1'));
        assert_eq!(walk.app().prompt().unwrap().ask, asked.ask, "{}", walk.screen());
        assert!(walk.screen().contains("that key only woke"), "{keys}: {}", walk.screen());
    }
}

#[test]
fn a_look_back_before_a_service_is_begun_says_where_it_is_to_be_had() {
    for (key, wanted) in
        [('c', "Esc, then * and 3 in the list"), ('h', "Esc, then * and 2 in the list")]
    {
        let mut walk = Walk::new(known());
        walk.press("1");
        walk.key(KeyCode::Char(key));
        let said = walk.app().note.clone().unwrap().text;
        assert!(said.starts_with("no service is begun yet: ") && said.contains(wanted), "{said}");
        assert!(!walk.screen().contains("no session is open"), "{}", walk.screen());
    }
}
