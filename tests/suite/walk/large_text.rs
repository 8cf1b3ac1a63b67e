//! What is typed in words is large too, where the window has room for it.

use super::*;

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
