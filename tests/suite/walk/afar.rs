//! What is read from two metres stands in large letters in the smallest window too: the cylinder that the
//! crank is turned by, what a caution or a check is about, what is counted; and all else stays whole.

use super::*;
use cowlside::tui::screens::session::SessionView;

const SMALL: (u16, u16) = (40, 12);

/// Rows of the largest letters on a screen.
fn largest(screen: &str) -> usize {
    let inked = |line: &str| line.matches(['█', '▀', '▄']).count() >= 2;
    let (mut most, mut run) = (0, 0);
    for line in screen.lines() {
        run = if inked(line) { run + 1 } else { 0 };
        most = most.max(run);
    }
    most
}

/// Every question met on the way with what is due, as it is seen in a window.
fn met(wanted: impl Fn(&SessionView, &Due) -> bool) -> Vec<SessionView> {
    let screens = every_screen_due().into_iter();
    let mut found: Vec<SessionView> = Vec::new();
    for (view, due) in screens {
        let (View::Question(view), Some(due)) = (view, due) else { continue };
        if wanted(&view, &due) && !found.contains(&view) {
            found.push(*view);
        }
    }
    found
}

fn seen(view: &SessionView, (width, height): (u16, u16)) -> String {
    paint_view(&View::Question(Box::new(view.clone())), width, height)
}

fn asks_to_turn(view: &SessionView, due: &Due) -> bool {
    matches!(due, Due::Turn { .. }) && view.prompt.ask.contains("how many of")
}

#[test]
fn the_cylinder_that_the_crank_is_turned_by_is_large_in_the_smallest_window() {
    let turns = met(asks_to_turn);
    assert!(turns.len() >= 8, "{}", turns.len());
    for view in &turns {
        let screen = seen(view, SMALL);
        assert!(largest(&screen) >= 3, "{screen}");
        // All that is to be read before an answer counts is there, or read on to.
        let words = |text: &str| {
            let words = text.split(['|', '\n', ' ']).filter(|word| !word.is_empty());
            words.map(str::to_owned).collect::<Vec<_>>()
        };
        let (shown, whole) = (words(&screen), usize::from(view.prompt.field.whole));
        let all = view.prompt.lines.iter().take(whole).flat_map(|line| words(line));
        let missing: Vec<String> = all.filter(|word| !shown.contains(word)).collect();
        assert!(missing.is_empty() || screen.contains("to read"), "{missing:?}\n{screen}");
    }
}

#[test]
fn the_engine_stands_as_a_strip_at_a_turn_in_the_smallest_window_where_it_fits() {
    let turns = met(asks_to_turn);
    let with: Vec<bool> = turns
        .iter()
        .map(|view| {
            let screen = seen(view, SMALL);
            // A verdict that nothing else tells stays, and the directions do.
            let told = view.around.note.as_ref().is_some_and(|note| note.text.contains(" · "));
            // Where only the exhaust is looked at once more, it is the one that is due.
            let strip = ["I.", "I=", "E.", "E="].iter().any(|due| screen.contains(due));
            assert!(strip || told || screen.contains("to read"), "{screen}");
            strip
        })
        .collect();
    assert!(with.iter().filter(|strip| **strip).count() * 2 >= with.len(), "{with:?}");
}

#[test]
fn what_a_caution_or_a_check_is_about_is_large_in_the_smallest_window() {
    let asked = met(|view, due| {
        let is = matches!(due, Due::Caution(..) | Due::Check(_) | Due::RunCaution(_));
        is && view.prompt.field.choices.iter().any(|choice| choice.digit == 0)
            // A caution of the manual is its own words, told apart by its number only.
            && view.prompt.big.as_ref().is_some_and(|big| !big.text.starts_with("MANUAL"))
    });
    assert!(asked.len() >= 15, "{}", asked.len());
    let small: Vec<String> = asked
        .iter()
        .map(|view| (view, seen(view, SMALL)))
        .filter(|(_, screen)| largest(screen) < 3)
        .map(|(view, screen)| format!("{}\n{screen}", view.prompt.big.clone().unwrap().text))
        .collect();
    assert!(small.is_empty(), "{} of {}\n{}", small.len(), asked.len(), small.join("\n"));
}

#[test]
fn what_is_counted_is_large_in_every_window() {
    let counts = met(|view, due| {
        matches!(due, Due::CountOut(..) | Due::CountIn { .. }) && view.prompt.field.is_number()
    });
    assert!(counts.len() >= 8, "{}", counts.len());
    for view in &counts {
        for size in [SMALL, (60, 20), (80, 24), (160, 50)] {
            let screen = seen(view, size);
            assert!(largest(&screen) >= 3, "{size:?}\n{screen}");
        }
    }
}

#[test]
fn how_many_shims_are_to_be_changed_is_large_on_their_list() {
    let mut walk = Walk::new(Workshop { profile: Some("vee-twin-shims"), ..known() });
    walk.press("1 460.5 enter enter");
    let tight = |valve: Valve| match valve.to_string().as_str() {
        "2 exhaust" => "15",
        name if name.contains("intake") => "18",
        _ => "25",
    };
    while walk.session().state.due() != Due::PartsList {
        let due = walk.session().state.due();
        let keys = crate::walk_parts::keys(&walk, &due, &tight);
        walk.press(&keys);
    }
    assert_eq!(walk.app().prompt().unwrap().big.unwrap().text, "1 SHIM");
    for size in [(60, 20), (80, 24), (160, 50)] {
        let screen = walk.in_window(size);
        assert!(largest(&screen) >= 3, "{size:?}\n{screen}");
    }
}
