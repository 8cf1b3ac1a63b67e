//! In the middle of a command's own questions: the number pad calls away from there, and what was answered
//! stands there again after the way back, but for what speaks of the crank, a nut or a valve.

use super::*;
use cowlside::tui::app::Top;
use cowlside::tui::list::Listed;

/// The pad's keys that call away from a question in the middle of something, and come back.
fn called_away_and_back(walk: &mut Walk) {
    walk.key(KeyCode::Char('*'));
    assert_eq!(
        walk.app().list().map(|list| list.what),
        Some(Listed::Meanwhile),
        "{}",
        walk.screen()
    );
    walk.press("1");
    assert_eq!(walk.session().state.due(), Due::Away, "{}", walk.screen());
    walk.key(KeyCode::Enter);
}

/// Answers what is asked on the way back, until the answers stand there again or `asked` is asked.
fn way_back(walk: &mut Walk, asked: &str) -> usize {
    let mut between = 0;
    while walk.app().forms.is_empty() && walk.app().prompt().unwrap().ask != asked {
        assert_eq!(walk.app().entry, "", "{}", walk.screen());
        walk.press(if walk.app().prompt().unwrap().field.is_number() { "2 enter" } else { "1" });
        between += 1;
        assert!(between < 12, "{}", walk.screen());
    }
    between
}

#[test]
fn what_a_command_was_told_stands_there_again_after_being_called_away_by_the_number_pad() {
    let mut walk = places::at_a_valve();
    let due = walk.app().prompt().unwrap().ask;
    // Work on a cylinder: which one is told, what was done is asked.
    walk.press("* 14 enter 3 enter");
    let (forms, asked) = (walk.app().forms.len(), walk.app().prompt().unwrap().ask);
    let kept = walk.session().kept.len();
    called_away_and_back(&mut walk);
    assert!(walk.app().forms.is_empty(), "the way back comes first: {}", walk.screen());
    assert!(way_back(&mut walk, &due) > 0);
    assert_eq!((walk.app().forms.len(), walk.app().prompt().unwrap().ask), (forms, asked));
    let note = walk.app().note.clone().unwrap().text;
    assert!(note.contains("begun before you were called away"), "{note}");
    // Nothing of it is kept, and the pad's key goes back.
    let new = walk.session().kept.iter().skip(kept);
    assert!(new.into_iter().all(|kept| !matches!(kept.entry, Entry::Work(_))));
    while !walk.app().forms.is_empty() {
        walk.key(KeyCode::Char('-'));
    }
    assert_eq!(walk.app().prompt().unwrap().ask, due);
}

#[test]
fn in_the_middle_of_the_manuals_name_the_pad_calls_away_and_what_was_typed_stays() {
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 flat blank four enter Test enter enter 412.6 enter enter AF enter Manual enter");
    let prompt = walk.app().prompt().unwrap();
    assert_eq!(prompt.field.typed, Some(Typed::Text), "{}", walk.screen());
    assert!(walk.screen().contains("* more"), "{}", walk.screen());
    called_away_and_back(&mut walk);
    way_back(&mut walk, "");
    assert_eq!(walk.app().prompt().unwrap(), prompt);
    // What is typed there goes on with it.
    walk.press("3 enter 12 enter");
    assert!(walk.app().forms.is_empty(), "{}", walk.screen());
}

#[test]
fn what_speaks_of_the_crank_or_of_a_caution_is_asked_anew() {
    let mut walk = places::at_a_valve();
    let due = walk.app().prompt().unwrap().ask;
    walk.press("* 11 enter 2 enter");
    assert!(!walk.app().forms.is_empty(), "{}", walk.screen());
    walk.key(KeyCode::Char('*'));
    assert!(walk.screen().contains("called away: this is asked anew"), "{}", walk.screen());
    walk.key(KeyCode::Esc);
    called_away_and_back(&mut walk);
    assert!(way_back(&mut walk, &due) > 0);
    assert!(walk.app().forms.is_empty(), "{}", walk.screen());
}

#[test]
fn the_list_there_goes_back_a_question_and_leads_back_with_what_is_typed() {
    let mut walk = places::at_a_valve();
    walk.press("* 14 enter");
    walk.key(KeyCode::Char('3'));
    walk.key(KeyCode::Char('*'));
    walk.key(KeyCode::Esc);
    assert_eq!((&walk.app().top, walk.app().entry.as_str()), (&Top::Nothing, "3"));
    walk.key(KeyCode::Enter);
    let forms = walk.app().forms.len();
    walk.press("* 2");
    assert_eq!(walk.app().forms.len(), forms - 1, "{}", walk.screen());
    walk.press("3 enter * 3");
    assert!(matches!(walk.app().top, Top::Help(_)), "{}", walk.screen());
    walk.key(KeyCode::Esc);
    walk.press("* 6");
    assert_eq!(walk.app().top, Top::Leave, "{}", walk.screen());
}

#[test]
fn it_is_dropped_where_something_else_is_kept_on_the_way() {
    let mut walk = Walk::new(Workshop::default());
    walk.press("2 flat blank four enter Test enter enter 412.6 enter enter AF enter Manual enter");
    walk.press("* 1");
    assert_eq!(walk.session().state.due(), Due::Away);
    walk.key(KeyCode::Enter);
    assert!(!walk.app().forms.is_empty());
    // Gone back from, answered otherwise: nothing of it comes up again.
    walk.press("esc Other enter 4 enter 12 enter 6 enter * 8 enter enter");
    assert!(walk.app().forms.is_empty(), "{}", walk.screen());
}

#[test]
fn what_was_given_before_a_long_while_answers_no_caution_after_it() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter");
    let choices = walk.app().prompt().unwrap().field.choices;
    let why = choices.iter().find(|choice| choice.label.contains("say why")).unwrap().digit;
    walk.press(&why.to_string());
    while walk.app().prompt().unwrap().field.typed != Some(Typed::Text) {
        let own = walk.app().prompt().unwrap().field.choices.pop().unwrap().digit;
        walk.press(&own.to_string());
    }
    assert!(!walk.app().forms.is_empty(), "{}", walk.screen());
    walk.type_text("seat");
    walk.now += 16 * 60_000;
    walk.press("enter");
    let due = walk.session().state.due();
    assert!(matches!(due, Due::Caution(..)), "{}", walk.screen());
    assert!(walk.app().forms.is_empty() && walk.app().entry.is_empty(), "{}", walk.screen());
    // "Not done" is what is kept, and it is asked again.
    walk.press("0");
    assert_eq!(walk.session().state.due(), due, "{}", walk.screen());
    walk.press("enter 1");
    assert_ne!(walk.session().state.due(), due, "{}", walk.screen());
}
