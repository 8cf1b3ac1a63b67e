//! What is half typed is lost by no errand, looking something up or a remark in between; whoever was called
//! away types it anew.

use super::*;
use cowlside::tui::app::Top;
use cowlside::tui::keeping::Saving;

/// A reading of which the first digit is typed.
fn half_a_reading() -> Walk {
    let mut walk = places::at_a_valve();
    walk.press("6 enter");
    walk.key(KeyCode::Char('1'));
    assert_eq!(walk.app().entry, "1", "{}", walk.screen());
    walk
}

#[test]
fn called_away_with_a_number_half_typed_is_one_key_and_it_is_typed_anew() {
    let mut walk = half_a_reading();
    let asked = walk.app().prompt().unwrap().ask;
    walk.key(KeyCode::Char('a'));
    assert_eq!(walk.session().state.due(), Due::Away, "{}", walk.screen());
    assert!(walk.screen().contains("I am back"), "{}", walk.screen());
    walk.key(KeyCode::Enter);
    // What is asked on the way back is answered by nothing that was typed before.
    let mut asked_between = 0;
    while walk.app().prompt().unwrap().ask != asked {
        assert_eq!(walk.app().entry, "", "{}", walk.screen());
        walk.press(if walk.app().prompt().unwrap().field.is_number() { "2 enter" } else { "1" });
        asked_between += 1;
        assert!(asked_between < 12, "{}", walk.screen());
    }
    assert!(asked_between > 0);
    // Behind what nobody remembers, new digits would be another number.
    assert_eq!(walk.app().entry, "", "{}", walk.screen());
    let kept = walk.session().kept.len();
    walk.press("12 enter");
    assert_eq!(walk.session().kept.len(), kept + 1, "{}", walk.screen());
    assert!(walk.screen().contains("1 exhaust 12"), "{}", walk.screen());
}

#[test]
fn a_number_that_may_have_a_unit_has_no_unit_with_the_letter_of_being_away() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1 1");
    assert_eq!(walk.app().prompt().unwrap().field.typed, Some(Typed::Number));
    walk.press("18");
    walk.key(KeyCode::Char('a'));
    assert_eq!(walk.session().state.due(), Due::Away, "{}", walk.screen());
}

#[test]
fn looking_something_up_or_a_remark_in_between_leaves_what_is_typed() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.key(KeyCode::Char('2'));
    for key in ['p', 'l', '*'] {
        walk.key(KeyCode::Char(key));
        assert!(walk.app().top != Top::Nothing, "{key}: {}", walk.screen());
        walk.key(KeyCode::Esc);
        assert_eq!((walk.app().entry.as_str(), &walk.app().top), ("2", &Top::Nothing), "{key}");
    }
    for keys in ["n esc", "n 1 enter 1", "n 1 enter 3 abc enter"] {
        let kept = walk.session().kept.len();
        walk.press(keys);
        let mut back = 0;
        while !walk.app().forms.is_empty() {
            walk.key(KeyCode::Esc);
            back += 1;
            assert!(back < 9, "{keys}: {}", walk.screen());
        }
        assert_eq!(walk.app().entry, "2", "{keys}: {}", walk.screen());
        assert!(walk.session().kept.len() <= kept + 1);
    }
    let kept = walk.session().kept.len();
    walk.press("enter");
    assert!(walk.session().kept.len() > kept, "{}", walk.screen());
}

#[test]
fn in_a_text_every_letter_is_text_and_an_answer_by_digit_comes_back_to_nobody() {
    let mut walk = places::at_a_valve();
    walk.press("n 1 enter 3");
    walk.type_text("a span");
    assert_eq!(walk.app().entry, "a span");
    // A choice that waits for its Enter is no number: it is chosen anew.
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter");
    walk.key(KeyCode::Char('1'));
    walk.key(KeyCode::Char('a'));
    walk.key(KeyCode::Enter);
    while walk.app().prompt().unwrap().title != "1 exhaust reads 9" {
        assert_eq!(walk.app().entry, "", "{}", walk.screen());
        walk.press(if walk.app().prompt().unwrap().field.is_number() { "2 enter" } else { "1" });
    }
    assert_eq!(walk.app().entry, "", "{}", walk.screen());
}

#[test]
fn how_it_looks_and_sounds_and_what_is_looked_up_during_an_errand_lose_nothing_that_is_half_typed()
{
    let asked = half_a_reading().app().prompt().unwrap().ask;
    let again = |walk: &mut Walk, keys: &str| {
        let mut back = 0;
        while !walk.app().forms.is_empty() || walk.app().top != Top::Nothing {
            walk.key(KeyCode::Esc);
            back += 1;
            assert!(back < 9, "{keys}: {}", walk.screen());
        }
        // Who takes over looks at everything first.
        while walk.app().prompt().unwrap().ask != asked {
            assert_eq!(walk.app().entry, "", "{keys}: {}", walk.screen());
            walk.press(if walk.app().prompt().unwrap().field.is_number() {
                "2 enter"
            } else {
                "1"
            });
            back += 1;
            assert!(back < 20, "{keys}: {}", walk.screen());
        }
        assert_eq!(walk.app().entry, "1", "{keys}: {}", walk.screen());
    };
    for name in ["", "second hand"] {
        let mut walk = half_a_reading();
        walk.key(KeyCode::Char('w'));
        assert!(!walk.app().forms.is_empty(), "{}", walk.screen());
        walk.event(KeyEvent::new(KeyCode::Char('t'), KeyModifiers::CONTROL));
        if !name.is_empty() {
            walk.type_text(name);
            walk.key(KeyCode::Enter);
        }
        again(&mut walk, "Ctrl-T");
    }
    for key in ['b', 't', 'v', 'i', 'c'] {
        let mut walk = half_a_reading();
        walk.workshop.previous = Some(Service::of(walk.session()));
        walk.key(KeyCode::Char('k'));
        assert!(!walk.app().forms.is_empty(), "{}", walk.screen());
        walk.key(KeyCode::Char(key));
        again(&mut walk, &key.to_string());
    }
}

#[test]
fn what_is_half_typed_stands_there_again_when_the_session_goes_on_in_another_folder() {
    let mut walk = half_a_reading();
    let why = String::from("disk full");
    walk.app.as_mut().unwrap().saving = Saving::Not { entries: 1, why };
    walk.press("*");
    let rows = walk.app().list().unwrap().table.rows.clone();
    let row = rows.iter().position(|row| row[0].contains("to another folder")).unwrap();
    walk.press(&format!("{} enter", row + 1));
    assert_eq!(walk.app().top, Top::SaveTo, "{}", walk.screen());
    walk.type_text("/media/stick");
    walk.key(KeyCode::Enter);
    assert_eq!((&walk.app().top, walk.app().entry.as_str()), (&Top::Nothing, "1"));
    // By the question whether to leave it is the same, and going back leads to where it was asked for.
    walk.event(KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL));
    walk.press("4");
    walk.key(KeyCode::Esc);
    assert_eq!(walk.app().top, Top::Leave, "{}", walk.screen());
    walk.press("4");
    assert_eq!(walk.app().top, Top::SaveTo, "{}", walk.screen());
    walk.type_text("/media/stick");
    walk.key(KeyCode::Enter);
    assert_eq!((&walk.app().top, walk.app().entry.as_str()), (&Top::Nothing, "1"));
}

#[test]
fn the_keys_that_are_named_beside_what_is_not_saved_lead_to_another_folder_from_every_screen() {
    let control_c = KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL);
    for (screen, named) in [
        ("", "*"),
        ("*", "Ctrl-C 4"),
        ("?", "Ctrl-C 4"),
        ("p", "Ctrl-C 4"),
        ("l", "Ctrl-C 4"),
        ("k", "Ctrl-C 4"),
        ("n", "Ctrl-C 4"),
        ("leaving", "4"),
    ] {
        let mut walk = places::at_a_valve();
        walk.not_saved();
        match screen {
            "leaving" => walk.event(control_c),
            keys => walk.press(keys),
        }
        let shown = walk.in_window((120, 40));
        assert!(
            shown.contains(&format!("; {named} saves all to another folder")),
            "{screen}:\n{shown}"
        );
        match named {
            "*" => walk.press("* enter"),
            "4" => walk.press("4"),
            _ => {
                walk.event(control_c);
                walk.press("4");
            }
        }
        assert_eq!(walk.app().top, Top::SaveTo, "{screen}:\n{}", walk.screen());
        // There it stands on the page itself.
        assert!(!walk.in_window((120, 40)).contains("saves all to"), "{screen}");
        walk.key(KeyCode::Esc);
        // One step back.
        if named == "*" {
            assert!(matches!(walk.app().top, Top::List(_)), "{screen}");
        } else {
            assert_eq!(walk.app().top, Top::Leave, "{screen}");
        }
        walk.key(KeyCode::Esc);
        // Where all is saved it is not offered.
        walk.app.as_mut().unwrap().saving = Saving::All;
        walk.event(control_c);
        assert!(!walk.screen().contains("another folder"), "{screen}");
        walk.press("4");
        assert_eq!(walk.app().top, Top::Leave, "{screen}");
    }
}
