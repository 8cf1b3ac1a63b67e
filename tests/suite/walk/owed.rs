//! A leak test that is put off, and put off once more, until the plugs are in: its screens.

use super::*;

/// A first service in which the leak test of cylinder 1 is promised, asked while the plugs are out, put
/// off again, and made before the run.
pub(super) fn owed() -> Walk {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.go("2 enter 1 0 enter 12 enter 0 enter @no_leak_test 2 @promised 1 6 enter 1");
    walk.press("2 enter 6 enter 12 enter 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter");
    walk.press(RECHECK);
    walk.press(COUNT_IN);
    walk.go("1 1 1 1 1 @test_owed 0 enter @test_owed_why 9 @test_own_words esc 0 enter 2");
    walk.go("1 1 1 1 1 @test_put_off 1 @safe_again 1 1 1 1 @test_out enter @test_safe 74/80 enter");
    walk.go("@test_in 1 enter 1 enter 2 enter @plugs_again 1 1 1 1 1");
    walk.press(RUN);
    walk.press(SIGN);
    walk
}

#[test]
fn a_leak_test_put_off_twice_is_made_before_the_run_and_undoes_what_it_undid() {
    let walk = owed();
    let state = &walk.session().state;
    assert_eq!(state.sealed, Some(true), "{}", walk.screen());
    assert_eq!(state.leak_tested.get(&1), Some(&(Some((74, 80)), None)));
    assert_eq!(state.open_items(), vec![]);
}

#[test]
fn no_leak_test_is_waived_on_a_screen_that_does_not_name_its_cylinder() {
    let named = |walk: &mut Walk| {
        for size in [(40, 12), (60, 20), (80, 24), (160, 50)] {
            let shown = walk.in_window(size);
            let words: Vec<&str> =
                shown.split([' ', '|', '\n']).filter(|one| !one.is_empty()).collect();
            let told = words.join(" ").to_lowercase();
            assert!(told.contains("cylinder 1"), "{size:?}\n{shown}");
        }
        // The whole window again: in a small one Enter would turn the page.
        walk.in_window((160, 50));
    };
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 0 enter 12 enter");
    for keys in ["0 enter", "9", "esc", "1", "esc 2"] {
        walk.press(keys);
        if keys != "esc 2" {
            named(&mut walk);
        }
    }
    walk.press(
        "1 6 enter 1 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter 2 enter 6 enter 12 enter",
    );
    for keys in [RECHECK, COUNT_IN, "1 1 1 1 1"] {
        walk.press(keys);
    }
    for keys in ["0 enter", "9", "esc 0 enter 2 1 1 1 1 1 0", "9"] {
        walk.press(keys);
        named(&mut walk);
        // The top line names it too, as far as it is shown.
        let top = walk.in_window((40, 12));
        assert!(top.lines().next().unwrap().contains("leak test 1"), "{top}");
    }
}
