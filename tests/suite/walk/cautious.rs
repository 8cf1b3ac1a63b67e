//! What keeps hands and valves whole is on the screen of its question in the smallest window: other lines go first.

use super::*;

fn flat(walk: &mut Walk, size: (u16, u16)) -> String {
    let screen = walk.in_window(size);
    walk.in_window((80, 24));
    screen.split(['|', ' ', '\n']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Walks an engine with shims of which one is changed on to a question.
fn shims_until(wanted: impl Fn(&Due) -> bool) -> Walk {
    let mut walk = places::at_the_parts_list();
    for _ in 0..40 {
        let due = walk.session().state.due();
        if wanted(&due) {
            return walk;
        }
        let keys = crate::walk_parts::keys(&walk, &due, &|_| "18");
        walk.press(&keys);
    }
    panic!("never asked:\n{}", walk.screen());
}

#[test]
fn the_cautions_of_turning_by_hand_stand_whole_in_every_window() {
    let sizes = [(40, 12), (60, 20), (80, 24)];
    let mut walk = shims_until(|due| matches!(due, Due::CamsOut(..)));
    for size in sizes {
        let screen = flat(&mut walk, size);
        assert!(screen.contains("One tooth off, and a valve meets its piston."), "{screen}");
        let turns = screen.contains("Nothing turns until this is answered.");
        assert!(turns || size == (40, 12) && screen.contains("OPEN: CAM OUT"), "{screen}");
    }
    let mut walk = shims_until(|due| matches!(due, Due::TurnThrough(_)));
    for size in sizes {
        let screen = flat(&mut walk, size);
        let way = screen.contains("Never back. Clockwise from the front");
        assert!(way || size != (80, 24), "{size:?} {screen}");
        assert!(
            screen.contains("Never back; after a hard stop: cams out, look at the timing."),
            "{screen}"
        );
        assert!(screen.contains("stop, turn nothing more"), "{screen}");
    }
    walk.press("2");
    assert!(matches!(walk.session().state.due(), Due::Felt(..)), "{}", walk.screen());
    for size in sizes {
        let screen = flat(&mut walk, size);
        let caution = "A valve may meet its piston: look at the timing, and at what went in last.";
        assert!(screen.contains(caution), "{size:?} {screen}");
    }
}

#[test]
fn a_valve_said_pressed_open_by_mistake_is_let_go_by_the_key_that_takes_back() {
    let mut walk = Walk::new(Workshop { profile: Some("radial-nine-table"), ..known() });
    walk.press("1 460.5 enter enter");
    while !matches!(walk.session().state.due(), Due::Unload(_)) {
        let due = walk.session().state.due();
        let keys = crate::walk_parts::keys(&walk, &due, &|_| "10");
        walk.press(&keys);
    }
    let Due::Unload(first) = walk.session().state.due() else { panic!() };
    walk.press("1");
    assert!(walk.session().state.unloaded.contains(&first), "{}", walk.screen());
    assert!(walk.screen().contains("takes back: 5 intake unloaded"), "{}", walk.screen());
    let s = walk.screen();
    assert!(!s.contains("I see overlap"), "what would be refused is not offered: {s}");
    walk.press("-");
    assert!(walk.screen().contains("rod seated at both ends?"), "{}", walk.screen());
    walk.press("2");
    assert!(walk.screen().contains("do not turn: press the valve open"), "{}", walk.screen());
    assert!(walk.session().state.unloaded.contains(&first), "it counts as held open");
    walk.press("1");
    assert_eq!(walk.session().state.due(), Due::Unload(first), "{}", walk.screen());
    assert!(walk.session().state.unloaded.is_empty());
    // Of two it is the one that was said last.
    walk.press("1");
    let Due::Unload(second) = walk.session().state.due() else { panic!("{}", walk.screen()) };
    assert!(second > first, "the other one would be let go first");
    walk.press("1 -");
    assert!(walk.screen().contains(&format!("Let {second} go")), "{}", walk.screen());
    walk.press("1");
    assert_eq!(walk.session().state.due(), Due::Unload(second), "{}", walk.screen());
    let held: Vec<Valve> = walk.session().state.unloaded.iter().copied().collect();
    assert_eq!(held, [first], "{}", walk.screen());
}

#[test]
fn the_list_names_what_is_seen_on_this_engine_and_counts_its_pages() {
    for (profile, words) in [
        ("flat-six-hydraulic", "both push rods of a cylinder turn freely"),
        ("flat-four", "both rockers of a cylinder are loose"),
        ("vee-twin-shims", "all cam lobes of a cylinder point away"),
    ] {
        let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
        walk.press("1 460.5 enter enter");
        while !matches!(walk.session().state.due(), Due::Turn { .. }) {
            let due = walk.session().state.due();
            let keys = crate::walk_parts::keys(&walk, &due, &|_| "10");
            walk.press(&keys);
        }
        walk.press("*");
        let screen = flat(&mut walk, (80, 24));
        assert!(screen.contains(&format!("2 {words}")), "{profile}: {screen}");
        for size in [(40, 12), (80, 24), (160, 24)] {
            let screen = walk.in_window(size);
            assert!(screen.contains("page 1 of ") && !screen.contains("1 to "), "{screen}");
        }
        walk.in_window((80, 24));
        press_pages(&mut walk);
    }
}

/// The last page is the one that the foot names so.
fn press_pages(walk: &mut Walk) {
    let pages = |walk: &Walk| {
        let screen = walk.screen();
        let at = screen.find("page ").unwrap();
        let mut words = screen[at..].split_whitespace().skip(1);
        let page: usize = words.next().unwrap().parse().unwrap();
        let of: usize = words.nth(1).unwrap().trim_matches('|').parse().unwrap();
        (page, of)
    };
    let (first, all) = pages(walk);
    assert_eq!(first, 1);
    for page in 2..=all {
        walk.press("+");
        assert_eq!(pages(walk), (page, all), "{}", walk.screen());
    }
}
