//! The engine as it is seen from where the mechanic stands, in the drawing and in the words beside it.

use super::*;
use cowlside::tui::look::Seen;

/// A radial at its first turn.
fn radial() -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some("radial-nine"), ..known() });
    walk.press("1 460.5 enter enter enter");
    while walk.app().prompt().unwrap().field.typed.is_none() {
        walk.press("1");
    }
    walk.press("18 enter 1 1");
    while matches!(walk.session().state.due(), Due::CountOut(..)) {
        walk.press("enter");
    }
    walk
}

/// The degrees that the question tells, and from where.
fn told(walk: &Walk) -> (u16, String) {
    let screen = walk.screen().replace(['|', '\n'], " ");
    let words: Vec<&str> = screen.split_whitespace().collect();
    let at = words.windows(4).position(|four| four[1..] == ["clockwise", "from", "the"]).unwrap();
    let degrees = words[at].trim_end_matches('°').parse().unwrap();
    // It goes before them: what is cut is cut behind it.
    let view = words[..at].iter().rposition(|word| *word == "view:").unwrap();
    (degrees, words[view - 1].to_owned())
}

#[test]
fn the_words_of_a_radial_follow_the_side_it_is_seen_from_and_no_side_is_told_that_is_not_drawn() {
    let mut walk = radial();
    let (degrees, from) = told(&walk);
    assert_eq!(from, "rear", "{}", walk.screen());
    assert_ne!(degrees % 180, 0, "a place that is mirrored");
    walk.press("v");
    assert_eq!(walk.app().seen, Seen::Front);
    assert_eq!(told(&walk), (360 - degrees, "front".into()), "{}", walk.screen());
    walk.press("v");
    assert_eq!((walk.app().seen, told(&walk)), (Seen::Rear, (degrees, "rear".into())));
    // So do the answers that name valves by their places.
    walk.press("*");
    let rows = walk.app().list().unwrap().table.rows.clone();
    let row = rows.iter().position(|row| row[0].starts_with("pass over")).unwrap();
    walk.press(&format!("{} enter 2 enter", row + 1));
    for (view, side) in [("rear", "left"), ("front", "right"), ("rear", "left")] {
        let screen = walk.in_window((40, 12));
        let answer = format!("1  {view} view: 2 intake, above {side}");
        assert!(screen.contains(&answer), "{answer}\n{screen}");
        walk.press("v");
    }
}

#[test]
fn a_screw_that_goes_in_or_out_is_told_in_letters_of_its_own_kind() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 20 enter i");
    let screen = walk.in_window((40, 12));
    assert!(screen.is_ascii(), "{screen}");
    assert!(screen.contains("SCREW IN ") && screen.contains(" deg: "), "{screen}");
    walk.press("i");
    let screen = walk.in_window((40, 12));
    assert!(screen.contains("SCREW IN ") && screen.contains("°: "), "{screen}");
}
