//! What is typed in words is large too, where the window has room for it. It ends where a text at the prompts does:
//! what goes past that is refused aloud, and nothing that stands there is lost.

use super::*;
use cowlside::tui::keymap::Action;
use cowlside::tui::update::update;

/// Rows with large letters.
fn large_rows(screen: &str) -> Vec<&str> {
    screen.lines().filter(|line| line.matches(['█', '▀', '▄']).count() > 2).collect()
}

#[test]
fn a_name_a_remark_and_a_reason_are_large_as_they_are_typed() {
    let at_a_name = || {
        let mut walk = places::at_a_valve();
        walk.press("w");
        walk
    };
    let at_a_remark = || {
        let mut walk = places::at_a_valve();
        walk.press("n 1 enter 3");
        walk
    };
    for begin in [at_a_name as fn() -> Walk, at_a_remark] {
        for window in [(60, 20), (80, 24), (160, 50)] {
            let mut walk = begin();
            let words = large_rows(&walk.in_window(window)).join("\n");
            walk.type_text("Anna");
            let typed = walk.in_window(window);
            let large = large_rows(&typed);
            assert!(large.len() >= 3 && large.join("\n") != words, "{window:?}:\n{typed}");
            assert!(typed.contains("> Anna"), "{window:?}:\n{typed}");
            // A further letter is a further letter there.
            walk.type_text("b");
            assert_ne!(large_rows(&walk.in_window(window)), large, "{window:?}");
        }
    }
}

#[test]
fn what_has_no_large_letters_is_read_as_it_is_and_nothing_is_made_up() {
    let mut walk = places::at_a_valve();
    walk.press("w");
    let words = walk.screen();
    walk.type_text("ж");
    assert_eq!(large_rows(&walk.screen()), large_rows(&words), "{}", walk.screen());
    let mut walk = places::at_a_valve();
    walk.press("w");
    walk.type_text(&"Anna and ".repeat(12));
    assert_eq!(large_rows(&walk.screen()), large_rows(&words), "{}", walk.screen());
}

fn at_a_remark() -> Walk {
    let mut walk = places::at_a_valve();
    walk.press("n 1 enter 3");
    walk
}

/// Pastes a text so long after the last key.
fn paste(walk: &mut Walk, text: &str, after_ms: i64) {
    walk.now += after_ms;
    let at = Moment { unix_ms: walk.now, offset_min: 60 };
    let (next, effect) = update(walk.app(), &Action::Paste(text.to_owned()), at);
    assert!(effect.is_none());
    walk.app = Some(next);
}

/// Tells whether the last key or paste was refused in these words, with the bell.
fn refused(walk: &Walk, words: &str) -> bool {
    let said = walk.app().note.as_ref().is_some_and(|note| note.text.contains(words));
    said && walk.app().rings
}

fn remarks(walk: &Walk) -> Vec<String> {
    let kept = walk.session().kept.iter().filter_map(|kept| match &kept.entry {
        Entry::Remark(remark) => Some(remark.text.clone()),
        _ => None,
    });
    kept.collect()
}

const A_NOTE: &str = "a note has at most 2000 characters";

#[test]
fn what_goes_past_2000_characters_is_refused_and_enter_keeps_nothing_until_that_was_read() {
    let mut walk = at_a_remark();
    let words: String = (0..250).map(|n| format!("word{n:03} ")).collect();
    paste(&mut walk, &format!("{words}.")[2..], 3_000);
    assert_eq!(walk.app().entry.chars().count(), 1_999, "{}", walk.screen());
    assert!(!walk.app().rings);
    walk.type_text("!");
    let full = walk.app().entry.clone();
    assert_eq!(full.chars().count(), 2_000);
    for window in [(40, 12), (80, 24), (160, 50)] {
        assert!(walk.in_window(window).contains("word249 .!"), "{}", walk.in_window(window));
    }
    for letter in ["?", "e"] {
        walk.type_text(letter);
        assert!(refused(&walk, A_NOTE), "{letter}: {}", walk.screen());
        assert_eq!(walk.app().entry, full);
        let small = walk.in_window((40, 12));
        assert!(small.contains("word249 .!") && small.contains("a note has at most"), "{small}");
    }
    let before = remarks(&walk);
    walk.key(KeyCode::Enter);
    assert!(refused(&walk, "not all of it was taken: Enter once more keeps"), "{}", walk.screen());
    assert_eq!((remarks(&walk), &walk.app().entry), (before, &full));
    walk.now += 3_000;
    walk.key(KeyCode::Enter);
    assert_eq!(remarks(&walk).last(), Some(&full), "{}", walk.screen());
    // What was erased was read: Enter means what stands there.
    let mut walk = at_a_remark();
    paste(&mut walk, &full, 3_000);
    walk.type_text("e");
    walk.key(KeyCode::Backspace);
    walk.key(KeyCode::Enter);
    assert_eq!(remarks(&walk).last().map(String::len), Some(1_999), "{}", walk.screen());
}

#[test]
fn a_paste_that_does_not_fit_is_refused_whole_however_many_pieces_it_comes_in() {
    let mut walk = at_a_remark();
    let words: String = (0..100).map(|n| format!("word{n:03} ")).collect();
    paste(&mut walk, &words, 3_000);
    assert_eq!(walk.app().entry, words.trim());
    paste(&mut walk, &words.repeat(2), 3_000);
    assert!(refused(&walk, A_NOTE), "{}", walk.screen());
    assert!(refused(&walk, "nothing of it was taken"), "{}", walk.screen());
    paste(&mut walk, "its last piece", 20);
    assert!(refused(&walk, "nothing of it was taken"), "{}", walk.screen());
    assert_eq!(walk.app().entry, words.trim());
    paste(&mut walk, " and more", 3_000);
    assert_eq!(walk.app().entry, format!("{} and more", words.trim()).replace("9 and", "9and"));
}

#[test]
fn a_name_ends_at_80_letters_on_the_screens_too() {
    let mut walk = places::at_a_valve();
    walk.press("w");
    paste(&mut walk, &"a".repeat(81), 3_000);
    assert!(refused(&walk, "a name has at most 80 letters"), "{}", walk.screen());
    assert_eq!(walk.app().entry, "");
    paste(&mut walk, &"a".repeat(79), 3_000);
    walk.type_text("bc");
    assert!(refused(&walk, "a name has at most 80 letters"), "{}", walk.screen());
    assert_eq!(walk.app().entry, format!("{}b", "a".repeat(79)));
    // The Enter that came with what is typed too fast, or pasted, is told not to count.
    let mut walk = places::at_a_valve();
    walk.press("w");
    paste(&mut walk, &format!("{}\n", "x".repeat(30)), 3_000);
    assert_eq!(walk.app().entry, "x".repeat(30));
    assert!(walk.screen().contains("Enter not counted"), "{}", walk.screen());
    // A figure has an end as well.
    let mut walk = Walk::new(known());
    walk.press("1");
    paste(&mut walk, &"1".repeat(81), 3_000);
    assert!(refused(&walk, "a figure has at most 80 characters"), "{}", walk.screen());
}
