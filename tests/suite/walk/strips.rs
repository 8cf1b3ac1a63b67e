//! What a window of 40x12 has beside the question: the engine as a strip on every screen of a stop, which
//! valves are gauged there, and a cylinder's number that is read as nothing else.

use super::*;
use ratatui::style::Modifier;

const SMALL: (u16, u16) = (40, 12);

/// The row of the engine's strip with this cylinder.
fn strip(screen: &str, cylinder: &str) -> Option<String> {
    screen.lines().find(|line| line.contains(cylinder)).map(str::to_owned)
}

#[test]
fn the_strip_stands_beside_a_tight_verdict_and_a_place_to_be_proven() {
    let mut tight = places::at_a_valve();
    tight.press("6 enter 9 enter");
    let screen = tight.in_window(SMALL);
    assert!(screen.contains("3 leave it, and say why"), "{screen}");
    assert!(strip(&screen, "[1]ETI=").is_some(), "{screen}");
    tight.press("1 a");
    tight.key(KeyCode::Enter);
    tight.press("1 1 1 1");
    let screen = tight.in_window(SMALL);
    assert!(screen.contains("Prove it: the crank at 2 at overlap"), "{screen}");
    assert!(strip(&screen, "(2)E.I.").is_some(), "{screen}");
}

#[test]
fn what_is_said_before_a_leak_test_is_read_at_once() {
    // All of it is worth more than the strip, which would make two pages of it.
    let screen = places::before_a_leak_test().in_window(SMALL);
    assert!(screen.contains("Before air goes on") && screen.contains("prove the place again."));
    assert!(!screen.contains("more lines to read"), "{screen}");
}

/// At the first of the fewest stops of an engine.
fn fewest_stops(profile: &'static str) -> Walk {
    let mut walk = Walk::new(Workshop { profile: Some(profile), ..known() });
    walk.press("1 460.5 enter enter enter");
    while walk.app().prompt().unwrap().field.typed.is_none() {
        walk.press("1");
    }
    walk.press("18 enter 1 5 2 1");
    while matches!(walk.session().state.due(), Due::CountOut(..)) {
        walk.press("enter");
    }
    assert!(matches!(walk.session().state.due(), Due::Turn { .. }), "{}", walk.screen());
    walk
}

#[test]
fn what_is_gauged_at_a_stop_of_several_is_read_before_an_answer_counts() {
    for (profile, last) in [
        ("flat-four", "bank: 1 intake and exhaust, 3 exhaust."),
        ("flat-six", "exhaust, 5 exhaust, 3 intake."),
        ("radial-nine", "6 intake, 8 intake and exhaust."),
    ] {
        let mut walk = fewest_stops(profile);
        for window in [(60, 20), (80, 24), (160, 50)] {
            let screen = walk.in_window(window);
            assert!(screen.contains("Then gauge "), "{profile} {window:?}:\n{screen}");
        }
        let mut pages = walk.in_window(SMALL);
        let asked = walk.app().prompt();
        // Beside the large cylinder a sentence has more lines.
        let flat = |pages: &str| {
            let words =
                pages.split(['|', '\n', ' ', '█', '▀', '▄']).filter(|word| !word.is_empty());
            words.collect::<Vec<_>>().join(" ")
        };
        while walk.app().entry.is_empty() && !flat(&pages).contains(last) {
            let before = pages.len();
            walk.press("enter");
            pages += &walk.in_window(SMALL);
            assert!(pages.len() > before && walk.app().note.is_none(), "{profile}:\n{pages}");
        }
        assert_eq!(walk.app().prompt(), asked, "{profile}");
        assert!(pages.contains("Then gauge "), "{profile}:\n{pages}");
        // All was read: an answer counts, though its own echo hides a line again.
        let keys = if profile == "radial-nine" { "6" } else { "4" };
        walk.press(keys);
        let typed = walk.in_window(SMALL);
        walk.press("enter");
        assert_ne!(walk.app().prompt(), asked, "{profile}:\n{typed}\n{}", walk.in_window(SMALL));
    }
    // Leafed through, with the engine beside it where no direction is torn apart for that.
    let screen = fewest_stops("flat-four").in_window(SMALL);
    assert!(screen.contains("more lines to read") && screen.contains("blade down. "), "{screen}");
    assert!(strip(&screen, "(2)E.I. [4 I]I.E. | [1]E.I. [3 E]I.E.").is_some(), "{screen}");
}

#[test]
fn no_large_word_can_be_read_as_how_much_is_left() {
    let mut walk = walked("12", &[TO_THE_FIRST_STOP]);
    assert_eq!(walk.app().prompt().unwrap().big.unwrap().text, "CYL 2L");
    walk.press("1 enter");
    assert_eq!(walk.app().prompt().unwrap().big.unwrap().text, "CYL 1R");
}

#[test]
fn the_digit_that_is_chosen_stands_out_from_the_words_of_its_answer() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter 9 enter");
    walk.key(KeyCode::Char('1'));
    for (width, height) in [SMALL, (60, 20), (80, 24), (160, 50)] {
        let screen = walk.in_window((width, height));
        let mut buf = Buffer::empty(Rect::new(0, 0, width, height));
        view::paint(walk.app(), buf.area, &mut buf);
        let answer = |line: &str| line.contains("nut slackened: set it");
        let row = screen.lines().position(answer).unwrap();
        let cells: Vec<_> = (0..width).map(|x| &buf[(x, u16::try_from(row).unwrap())]).collect();
        let at = cells.iter().position(|cell| cell.symbol() == "1").unwrap();
        let reversed = |at: usize| cells[at].modifier.contains(Modifier::REVERSED);
        assert!(reversed(at) && !reversed(at + 1), "{width}x{height}:\n{screen}");
    }
}

#[test]
fn a_large_figure_has_beside_it_what_it_is_taken_for_with_its_unit() {
    let mut walk = Walk::new(Workshop { profile: Some("inline-four"), ..known() });
    walk.press("1 460.5 enter enter enter");
    while walk.app().prompt().unwrap().field.typed.is_none() {
        walk.press("1");
    }
    walk.press("18 enter 1 1");
    while matches!(walk.session().state.due(), Due::CountOut(..)) {
        walk.press("enter");
    }
    walk.press("2 enter 1 2");
    for window in [SMALL, (60, 20), (80, 24), (160, 50)] {
        let screen = walk.in_window(window);
        let large = |line: &&str| line.contains(['▀', '█', '▄']) && line.contains("= 0.02 mm");
        assert!(screen.lines().any(|line| large(&line)), "{window:?}:\n{screen}");
    }
}

#[test]
fn a_bank_that_is_wider_than_the_window_goes_on_in_the_next_row() {
    use cowlside::domain::valve::Standing;
    use cowlside::tui::widgets::engine::EngineView;
    use cowlside::tui::widgets::engine_strip::Strip;
    let nine = EngineView::new(&crate::engines::radial_nine(), |_| Standing::NotYet, None, &[]);
    for strip in [Strip::new(&nine, 40), Strip::unnamed(&nine, 40)] {
        let strip = strip.unwrap();
        assert!((2..=3).contains(&strip.rows()), "{strip:?}");
        let mut buf = Buffer::empty(Rect::new(0, 0, 40, strip.rows()));
        strip.paint(Theme::plain(), buf.area, &mut buf);
        let shown = rows_of(&buf).replace('|', " ");
        let words: Vec<&str> = shown.split_whitespace().collect();
        assert!((1..=9).all(|one| words.contains(&one.to_string().as_str())), "{shown}");
        assert_eq!(
            words.iter().filter(|word| word.len() == 4 && word.contains('.')).count(),
            9,
            "{shown}"
        );
    }
    assert_eq!(Strip::new(&nine, 5), None);
}
