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
            // Where something may be felt, what to do then stands whole before anything is large.
            && view.prompt.big.as_ref().is_some_and(|big| {
                !big.text.starts_with("MANUAL") && big.text != "TWO TURNS"
            })
            // On the way back the three lines of what is open stand before anything large.
            && view.prompt.told.is_empty()
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
    let mut walk = places::at_the_parts_list();
    assert_eq!(walk.app().prompt().unwrap().big.unwrap().text, "1 SHIM");
    for size in [(80, 24), (160, 50)] {
        let screen = walk.in_window(size);
        assert!(largest(&screen) >= 3, "{size:?}\n{screen}");
    }
    // Where there is no room for both, the list itself is whole.
    let small = walk.in_window((60, 20));
    assert!(small.contains("1 valve out of its band") && small.contains("is out  "), "{small}");
}

/// Every turn of both rounds of an engine, as its screens show it in a window.
fn every_turn(profile: &'static str, drags: &str, size: (u16, u16)) -> Vec<String> {
    let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
    walk.press("1 460.5 enter enter");
    let mut turns = Vec::new();
    for _ in 0..400 {
        let due = walk.session().state.due();
        let prompt = walk.app().prompt().unwrap();
        let expected =
            prompt.ask.split_once(" expected)").and_then(|(before, _)| before.rsplit_once('('));
        let keys = match (&due, expected) {
            (Due::CountIn { .. }, _) => return turns,
            (Due::Turn { .. }, Some((_, number))) => {
                turns.push(walk.in_window(size));
                format!("{number} enter")
            }
            (Due::Gauge(..), _) if prompt.field.typed == Some(Typed::Reading) => {
                format!("{drags} enter")
            }
            _ if !prompt.field.choices.is_empty() => "1".to_owned(),
            _ => crate::walk_parts::keys(&walk, &due, &|_| "0"),
        };
        walk.press(&keys);
    }
    panic!("no end:\n{}", walk.screen());
}

#[test]
fn the_cylinder_is_large_at_every_turn_of_a_radial_in_the_smallest_window() {
    for (profile, drags, stops) in [("radial-nine", "0.27", 9), ("radial-eighteen", "10", 18)] {
        let turns = every_turn(profile, drags, SMALL);
        assert!(turns.len() >= 2 * stops, "{profile}: {}", turns.len());
        for screen in &turns {
            assert!(largest(screen) >= 3, "{screen}");
            assert!(
                screen.contains("left-hand blade down.") || screen.contains("blade down."),
                "{screen}"
            );
            assert!(screen.contains("blades).") || !screen.contains("Turn on"), "{screen}");
        }
    }
}

#[test]
fn what_is_large_and_gives_way_stays_large_in_the_largest_window() {
    let mut walk = places::at_the_parts_list();
    for size in [(120, 40), (160, 50), (200, 60), (240, 70)] {
        let screen = walk.in_window(size);
        assert!(largest(&screen) * 100 >= usize::from(size.1) * 12, "{size:?}\n{screen}");
    }
}

#[test]
fn a_nut_that_was_left_loose_is_large_on_the_way_back_and_hides_not_what_is_to_be_proven() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter 1 15 enter a enter");
    for size in [SMALL, (60, 20), (80, 24), (120, 40)] {
        let screen = walk.in_window(size);
        // In the smallest window the way back has the rows.
        let large =
            largest(&screen) >= 3 || size == SMALL && screen.contains("Prove: 2 at overlap");
        assert!(screen.contains("You were away") && large, "{size:?}\n{screen}");
        assert!(screen.contains("OPEN: NUT SLACK: 1 exhaust"), "{screen}");
        // In few words the others are counted: the top line names them.
        let open =
            ["Open: NUT SLACK: 1 exhaust · 80 pieces off", "Open: NUT SLACK: 1 exhaust and 1 more"];
        let open = open.into_iter().find_map(|words| screen.find(words));
        assert!(size.1 < 20 || open.is_some(), "{size:?}\n{screen}");
    }
    // With room for one line more than the question.
    for size in [(40, 13), (44, 18), (50, 13), (60, 12), (80, 24)] {
        let screen = walk.in_window(size);
        let told = ["To be proven next", "Prove: "].iter().any(|words| screen.contains(words));
        assert!(told, "{size:?}\n{screen}");
    }
}

#[test]
fn a_short_word_is_large_where_the_longer_ones_have_no_room() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter 1");
    while !walk.screen().contains("Who or what is in it?") {
        walk.press("1");
    }
    // Rows of an arc's letters, and each answer in a line of its own.
    let screen = walk.in_window((60, 20));
    assert!(largest(&screen) >= 5 && screen.contains("  0  not clear"), "{screen}");
}

#[test]
fn what_was_read_twice_and_before_is_whole_where_it_is_asked_about() {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP, FIRST_ROUND]);
    walk.press("19 enter 2 enter 6 enter 16 enter 16 enter");
    for size in [SMALL, (44, 12), (60, 20)] {
        let screen = walk.in_window(size);
        assert!(screen.contains("1 exhaust: first 16, then 16; before 12"), "{screen}");
    }
}

#[test]
fn a_key_of_no_use_leaves_the_verdict_large_and_is_answered_whole() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 20 enter");
    let large = largest(&walk.in_window(SMALL));
    walk.press("esc");
    let screen = walk.in_window(SMALL);
    assert!(large >= 3 && largest(&screen) == large, "{screen}");
    assert!(screen.contains("· nothing to go back from; q leaves"), "{screen}");
}

#[test]
fn a_key_that_came_too_soon_leaves_the_verdict_large() {
    for figure in ["9", "8/9", "20", "18/20"] {
        let mut walk = places::at_a_valve();
        walk.press(&format!("6 enter {figure} enter"));
        // In the same moment as the key before it.
        walk.now -= 1000;
        walk.key(KeyCode::Enter);
        let screen = walk.in_window(SMALL);
        assert!(screen.contains("· Enter not counted: too soon"), "{screen}");
        assert!(largest(&screen) >= 3, "{figure}\n{screen}");
    }
}

#[test]
fn a_verdict_of_any_length_is_large_beside_the_next_valve() {
    for (figure, verdict) in
        [("15", "IN LIMITS"), ("45", "LOOSE"), ("40/45", "LOOSE"), ("10", "TIGHT")]
    {
        let mut walk = places::at_the_first_figure("inline-four-1243");
        walk.press(&format!("{figure} enter"));
        let screen = walk.in_window(SMALL);
        assert!(screen.contains(&format!("· saved: 1 intake {figure} · {verdict}")), "{screen}");
        // The valve and the verdict.
        let inked = screen.lines().filter(|line| line.contains(['█', '▀', '▄'])).count();
        assert!(inked >= 6, "{screen}");
    }
}

/// Rows of a figure in which its last digit stands: those that change with it.
fn rows_of_the_figure(walk: &mut Walk, figure: &str, size: (u16, u16)) -> usize {
    let (last, begun) = (figure.len() - 1, &figure[..figure.len() - 1]);
    walk.type_text(begun);
    let before = walk.in_window(size);
    walk.type_text(&figure[last..]);
    let after = walk.in_window(size);
    (0..figure.len()).for_each(|_| walk.key(KeyCode::Backspace));
    let ink = |row: &str| row.replace(|cell: char| !['█', '▀', '▄'].contains(&cell), " ");
    let changed = before.lines().zip(after.lines()).filter(|(one, other)| ink(one) != ink(other));
    changed.count()
}

#[test]
fn what_is_typed_is_as_tall_as_the_window_has_room_for() {
    // A ring of 160 columns leaves the valve and its figure seven rows each.
    for (profile, most) in [("flat-four", 14), ("inline-four-1243", 14), ("radial-nine", 7)] {
        let mut walk = places::at_the_first_figure(profile);
        for (size, least) in [((120, 40), 7), ((160, 50), most), ((200, 60), 14)] {
            for figure in ["12", "0.25", "40/45"] {
                let rows = rows_of_the_figure(&mut walk, figure, size);
                walk.type_text(figure);
                let screen = walk.in_window(size);
                (0..figure.len()).for_each(|_| walk.key(KeyCode::Backspace));
                assert!(rows >= least, "{profile} {figure} {size:?}: {rows}\n{screen}");
            }
        }
    }
}

#[test]
fn a_caution_of_the_manual_is_large_after_a_break_too() {
    let mut walk = Walk::new(Workshop { profile: Some("radial-nine-table"), ..known() });
    walk.press("1 460.5 enter enter enter 1 1 1 1 1 1 1 1");
    let number = |walk: &Walk| {
        let big = walk.app().prompt().unwrap().big.unwrap();
        assert!(big.text.starts_with("MANUAL"), "{}", big.text);
        big.text
    };
    let before = number(&walk);
    assert!(largest(&walk.in_window(SMALL)) >= 3);
    walk.press("a enter 1 1 1 1");
    assert_eq!(number(&walk), before, "asked again after the break");
    for size in [SMALL, (60, 20), (80, 24)] {
        let screen = walk.in_window(size);
        assert!(largest(&screen) >= 3 && screen.contains("Done: "), "{size:?}\n{screen}");
    }
}

#[test]
fn a_note_of_what_was_kept_gives_way_to_the_engine_in_the_smallest_window() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter");
    let mut with = 0;
    while !matches!(walk.session().state.due(), Due::CountOut(..)) {
        let due = walk.session().state.due();
        let screen = walk.in_window(SMALL);
        assert!(walk.app().note.as_ref().is_some_and(|note| note.text.starts_with("saved: ")));
        let drawn = screen.contains("left 2 E.I. 4 I.E.  right 1 E.I. 3 I.E.");
        // The answers of the leaves take every row.
        assert!(drawn != (due == Due::Leaves), "{due:?}\n{screen}");
        let large = matches!(due, Due::Caution(..) | Due::Temperature | Due::OutsideTemperature);
        assert!(!large || largest(&screen) >= 3, "{due:?}\n{screen}");
        with += usize::from(drawn);
        let keys = match due {
            Due::Temperature => "50 enter enter".into(),
            Due::OutsideTemperature => "1 18 enter".into(),
            _ => crate::walk_parts::keys(&walk, &due, &|_| "30"),
        };
        walk.press(&keys);
    }
    assert!(with >= 12, "{with}");
}
