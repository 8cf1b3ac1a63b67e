//! What keys do, from the press to the effect, without terminal, disk or clock.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use crate::stand_in::{StandIn, app, at, remark};
use cowlside::domain::entry::{Back, Entry};
use cowlside::tui::app::{App, Carried, Effect, Top};
use cowlside::tui::look::Seen;
use cowlside::tui::theme::ThemeName;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{keymap, step, update, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;

/// A mechanic at the keys: a second passes between presses unless told otherwise.
struct Walk {
    app: Option<App<StandIn>>,
    now: i64,
    effects: Vec<Effect>,
    disk_full: bool,
}

impl Walk {
    fn new(job: Option<StandIn>) -> Walk {
        Walk { app: Some(app(job)), now: 1_000_000, effects: vec![], disk_full: false }
    }

    fn in_session() -> Walk {
        Walk::new(Some(StandIn::default()))
    }

    fn app(&self) -> &App<StandIn> {
        self.app.as_ref().unwrap()
    }

    /// Presses keys: words name keys, anything else is typed letter by letter.
    fn press(mut self, keys: &str) -> Walk {
        for word in keys.split(' ') {
            let code = match word {
                "enter" => Some(KeyCode::Enter),
                "esc" => Some(KeyCode::Esc),
                "backspace" => Some(KeyCode::Backspace),
                "down" => Some(KeyCode::Down),
                "f1" => Some(KeyCode::F(1)),
                _ => None,
            };
            match (code, word) {
                (Some(code), _) => self.key(KeyEvent::new(code, KeyModifiers::NONE)),
                (None, "ctrl-c") => {
                    self.key(KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL))
                }
                (None, letters) => {
                    for letter in letters.chars() {
                        self.key(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE));
                    }
                }
            }
        }
        self
    }

    fn key(&mut self, key: KeyEvent) {
        self.now += 1000;
        let Some(app) = self.app.take() else { return };
        let action = keymap::action(key, app.place(), app.begun()).unwrap();
        let effects = &mut self.effects;
        let disk_full = self.disk_full;
        let mut carry_out = |effect: &Effect, _| {
            effects.push(effect.clone());
            match effect {
                Effect::Keep(_) if disk_full => Err("NOT SAVED: the disk is full".to_owned()),
                Effect::Open(_) => Ok(Carried::Session(Box::default())),
                _ => Ok(Carried::Done),
            }
        };
        self.app = match step(app, &action, at(self.now), &mut carry_out) {
            ControlFlow::Continue(app) => Some(app),
            ControlFlow::Break(()) => None,
        };
    }

    /// The first that a terminal sends for a key held down: what follows it tells it from a tap.
    fn held(mut self, key: &str) -> Walk {
        let was = self.app().clone();
        let code = if key == "enter" {
            KeyCode::Enter
        } else {
            KeyCode::Char(key.chars().next().unwrap())
        };
        let event = KeyEvent::new(code, KeyModifiers::NONE);
        let action = keymap::action(event, was.place(), was.begun()).unwrap();
        self.now += 1000;
        if !was.may_be_held(&action, at(self.now)) {
            self.now -= 1000;
            return self.press(key);
        }
        self.app = Some(update::update(&was, &keymap::Action::HeldDown, at(self.now)).0);
        self
    }

    fn wait(mut self, ms: i64) -> Walk {
        self.now += ms - 1000;
        self
    }

    fn kept(&self) -> Vec<String> {
        self.app().job.as_ref().unwrap().kept.clone()
    }

    fn note(&self) -> String {
        self.app().note.as_ref().map(|note| note.text.clone()).unwrap_or_default()
    }

    fn screen(&self) -> String {
        let area = Rect::new(0, 0, 80, 24);
        let mut buf = Buffer::empty(area);
        view::paint(self.app(), area, &mut buf);
        (0..24).map(|y| (0..80).map(|x| buf[(x, y)].symbol()).collect::<String>() + "\n").collect()
    }
}

#[test]
fn digits_and_enter_alone_answer_a_session() {
    let walk = Walk::in_session().press("2 0,15 enter enter");
    assert_eq!(walk.kept(), ["2", "0,15", "Enter"]);
    let written: Vec<_> =
        ["2", "0,15", "Enter"].map(|text| Effect::Keep(vec![remark(text)])).to_vec();
    assert_eq!(walk.effects, written);
}

#[test]
fn a_digit_that_is_no_answer_changes_nothing_and_says_so() {
    let walk = Walk::in_session().press("7");
    assert_eq!(walk.kept(), Vec::<String>::new());
    assert_eq!(walk.note(), "7 is none of the answers");
}

#[test]
fn enter_alone_is_no_answer_where_something_is_asked() {
    let walk = Walk::in_session().press("2").wait(1_600).press("enter");
    assert_eq!(walk.kept(), ["2"]);
    assert!(walk.note().contains("no answer"));
    // As the very next key it belongs to the digit that chose.
    let walk = Walk::in_session().press("2 enter");
    assert_eq!(
        (walk.kept(), walk.note()),
        (vec!["2".into()], "kept: 2; Enter not counted: too soon, or held down".into())
    );
}

#[test]
fn a_refused_entry_stays_to_be_mended() {
    let walk = Walk::in_session().press("2 99 enter");
    assert_eq!(
        (walk.app().entry.as_str(), walk.note().as_str()),
        ("99", "99 is no leaf of the set")
    );
    assert_eq!(walk.press("backspace enter").kept(), ["2", "9"]);
}

#[test]
fn what_is_not_on_disk_is_not_on_the_screen() {
    let mut walk = Walk::in_session().press("2");
    walk.disk_full = true;
    let mut walk = walk.press("6 enter");
    assert_eq!(walk.kept(), ["2"]);
    assert_eq!(
        (walk.app().entry.as_str(), walk.note().as_str()),
        ("6", "NOT SAVED: the disk is full")
    );
    assert!(walk.screen().contains("NOT SAVED"));
    walk.disk_full = false;
    assert_eq!(walk.press("enter").kept(), ["2", "6"]);
}

#[test]
fn the_last_entry_is_taken_back_by_one_key() {
    for key in ["-", "u"] {
        let walk = Walk::in_session().press("2").press(key);
        assert_eq!(walk.kept(), Vec::<String>::new(), "{key}");
        assert_eq!(walk.note(), "taken back: 2");
    }
}

#[test]
fn a_unit_after_a_number_is_no_command() {
    let walk = Walk::in_session().press("2 6thou");
    assert_eq!(walk.app().entry, "6thou");
    assert_eq!(walk.effects.len(), 1);
}

#[test]
fn a_remark_asks_two_things_and_letters_in_it_are_text() {
    let walk = Walk::in_session().press("n").press("quaint?* enter 1");
    assert_eq!(walk.kept(), ["remark quaint?* 1"]);
}

#[test]
fn stepping_back_through_a_command_loses_nothing_of_the_session() {
    let walk = Walk::in_session().press("2 * 1 enter oil enter esc");
    assert!(walk.screen().contains("Remark on what?"), "{}", walk.screen());
    let walk = walk.press("esc");
    assert!(walk.screen().contains("Which leaf drags?"));
    assert_eq!(walk.kept(), ["2"]);
}

#[test]
fn the_list_on_the_star_reaches_commands_by_digit_alone() {
    let walk = Walk::in_session().press("*");
    assert!(walk.screen().contains("called away"));
    assert!(walk.press("1 enter").screen().contains("Remark on what?"));
}

#[test]
fn a_long_list_takes_numbers_of_two_digits() {
    let walk = Walk::new(None).press("12");
    assert_eq!(walk.app().shop.cursor, 11);
    let walk = walk.press("enter");
    assert_eq!(walk.effects, [Effect::Open(11)]);
    assert!(walk.app().job.is_some());
}

#[test]
fn after_a_quarter_of_an_hour_a_key_only_wakes() {
    let walk = Walk::in_session().press("2").wait(15 * 60_000 + 1).press("7");
    assert_eq!(walk.kept(), ["2"]);
    assert_eq!(walk.app().entry, "");
    let back = Back { after_min: Some(15), ..Back::default() };
    assert_eq!(walk.effects.last(), Some(&Effect::Keep(vec![Entry::Back(back)])));
    assert_eq!(walk.press("7 enter").kept(), ["2", "7"]);
}

#[test]
fn a_quarter_of_an_hour_to_the_millisecond_is_not_too_long() {
    let walk = Walk::in_session().press("2").wait(15 * 60_000).press("7");
    assert_eq!(walk.app().entry, "7");
}

#[test]
fn a_clock_that_went_back_only_wakes() {
    let walk = Walk::in_session().press("2").wait(-5000).press("7");
    assert_eq!(walk.app().entry, "");
    assert!(matches!(
        walk.effects.last(),
        Some(Effect::Keep(entries)) if matches!(entries.as_slice(), [Entry::Back(back)] if back.clock_jumped)
    ));
}

#[test]
fn what_was_half_typed_is_there_after_waking() {
    let walk = Walk::in_session().press("2 0,1").wait(20 * 60_000).press("5");
    assert_eq!(walk.app().entry, "0,1");
}

#[test]
fn a_half_written_remark_is_there_after_waking() {
    let walk = Walk::in_session().press("n oil").wait(20 * 60_000).press("x");
    assert!(walk.screen().contains("Remark on what?"));
    assert_eq!(walk.press("y").app().entry, "oily");
}

#[test]
fn the_notice_hangs_until_the_key_that_it_names_which_is_no_answer() {
    let walk = Walk::in_session().press("a");
    assert!(walk.screen().contains("██"), "{}", walk.screen());
    // A sleeve on the keys wakes nobody, and the program can still be left.
    let walk = walk.press("2 x - esc down q");
    assert!(walk.screen().contains("██"), "{}", walk.screen());
    let walk = walk.press("ctrl-c");
    assert!(walk.screen().contains("Leave the program?"));
    let walk = walk.press("2");
    assert!(walk.screen().contains("██"), "{}", walk.screen());
    let walk = walk.press("enter");
    assert!(walk.screen().contains("How many are loose?"));
    assert_eq!(walk.kept(), Vec::<String>::new());
}

#[test]
fn under_the_notice_the_theme_is_switched_and_help_is_read_and_neither_wakes() {
    let away = || Walk::in_session().press("a");
    let themed = away().press("t");
    assert_ne!(themed.app().theme, away().app().theme);
    assert!(themed.screen().contains("██"), "{}", themed.screen());
    for leave in ["?", "esc", "enter", "-"] {
        let walk = away().press("?");
        assert!(matches!(walk.app().top, Top::Help(_)), "{}", walk.screen());
        let walk = walk.press(leave);
        assert!(walk.screen().contains("██"), "{leave}: {}", walk.screen());
        assert_eq!(walk.kept(), Vec::<String>::new(), "{leave}");
        // Only the key that the notice names ends it.
        assert!(walk.press("enter").screen().contains("How many are loose?"), "{leave}");
    }
}

#[test]
fn help_is_read_while_one_searches_or_types_and_what_was_typed_stays() {
    for walk in [Walk::new(None).press("/ 0 1"), Walk::in_session().press("n oil")] {
        let before = walk.screen();
        let walk = walk.press("f1");
        assert!(matches!(walk.app().top, Top::Help(_)), "{}", walk.screen());
        assert_eq!(walk.press("esc").screen(), before);
    }
}

#[test]
fn a_key_that_bounces_confirms_once() {
    let walk = Walk::in_session().press("2").wait(100).press("2").wait(100).press("2");
    assert_eq!(walk.kept(), ["2"]);
    let walk = Walk::in_session().press("1 6 enter").wait(40).press("enter");
    assert_eq!(
        walk.kept(),
        ["1", "6"],
        "the Enter of an entry does not answer the next question too"
    );
    let walk = walk.press("enter");
    assert_eq!(walk.kept(), ["1", "6", "Enter"]);
    let walk = Walk::in_session().press("2").wait(100).press("2 2");
    assert_eq!(walk.app().entry, "2", "nor does the digit of a choice begin the next entry");
}

#[test]
fn leaving_asks_only_where_something_is_half_typed_or_open() {
    assert!(Walk::in_session().press("q").app.is_none());
    let walk = Walk::in_session().press("2 6q");
    assert!(walk.screen().contains("Half typed and not kept: 6"));
    assert_eq!(walk.press("2").app().entry, "6");
    let open = StandIn { open: vec!["nut slack: 3 exhaust".into()], ..StandIn::default() };
    let walk = Walk::new(Some(open)).press("q");
    assert!(walk.screen().contains("Open: nut slack: 3 exhaust"));
    assert!(walk.press("1").app.is_none());
}

#[test]
fn ctrl_c_asks_and_a_second_one_leaves_even_from_a_text() {
    let walk = Walk::in_session().press("n oil ctrl-c");
    assert!(matches!(walk.app().top, Top::Leave));
    assert!(walk.press("ctrl-c").app.is_none());
}

#[test]
fn what_lies_on_top_of_a_command_gives_it_back_untouched() {
    let walk = Walk::in_session().press("n oil enter ? esc");
    assert!(walk.screen().contains("Before it runs?"));
    let walk = walk.press("ctrl-c 2");
    assert!(walk.screen().contains("Before it runs?"));
    assert_eq!(walk.press("1").kept(), ["remark oil 1"]);
}

#[test]
fn a_command_inside_a_command_has_to_wait() {
    let walk = Walk::in_session().press("n oil enter *");
    let screen = walk.screen();
    assert!(screen.contains("called away") && !screen.contains("I see overlap"), "{screen}");
    assert!(walk.press("- -").screen().contains("Remark on what?"));
}

#[test]
fn help_shows_the_question_and_every_key_of_it() {
    let walk = Walk::in_session().press("2 ?");
    let Top::Help(help) = &walk.app().top else { panic!("no help") };
    let all: String = help.lines.iter().map(|line| line.text.clone() + "\n").collect();
    for wanted in ["Which leaf drags?", "take back", "remark", "history"] {
        assert!(all.contains(wanted), "{wanted}\n{all}");
    }
    // Every key of the table that works there, in the words of the table.
    let words = all.split_whitespace().collect::<Vec<_>>().join(" ");
    let place = keymap::Place::Reading;
    for (key, what) in keymap::here(place, |action| *action != keymap::Action::Back) {
        let told = words.contains(&format!("{key}: {what}"));
        let offered = !["s", "k", "w", "f", "p"].contains(&key);
        assert_eq!(told, offered, "{key}: {what}\n{words}");
    }
    assert!(words.contains("All keys of all screens: cowlside help keys."));
}

#[test]
fn where_there_is_no_picture_its_key_says_so() {
    let walk = Walk::in_session().press("p");
    assert!(walk.note().contains("pictures only while"), "{}", walk.note());
    let screen = walk.press("*").screen();
    assert!(
        screen.contains("look at the crank at this stop, or at the engine (not now: there are"),
        "{screen}"
    );
}

#[test]
fn a_key_held_down_never_confirms_the_next_question() {
    // A terminal begins to repeat after a quarter to two thirds of a second and goes on every 33 ms.
    for first in [250, 500, 660] {
        let mut walk = Walk::in_session().press("2 0,15 enter");
        assert_eq!(walk.kept(), ["2", "0,15"]);
        walk = walk.wait(first).held("enter");
        assert!(
            walk.note().ends_with("Enter not counted: too soon, or held down"),
            "{}",
            walk.note()
        );
        for _ in 0..60 {
            walk = walk.wait(33).press("enter");
        }
        assert_eq!(walk.kept(), ["2", "0,15"], "after {first} ms");
        // Let go and pressed again it counts.
        assert_eq!(walk.press("enter").kept(), ["2", "0,15", "Enter"]);
        let mut walk = Walk::in_session().press("2 0,15 enter enter").wait(first).press("2");
        assert_eq!(walk.kept().len(), 4, "another key is no repeat");
        for _ in 0..20 {
            walk = walk.wait(33).press("2");
        }
        assert_eq!(walk.kept().len(), 4);
    }
}

#[test]
fn a_key_tapped_again_counts_however_it_is_paced() {
    for times in [[600; 6], [300; 6], [700; 6], [160; 6], [450, 200, 680, 310, 590, 160]] {
        let mut walk = Walk::in_session();
        for ms in times {
            walk = walk.wait(ms).press("-");
            assert_eq!(walk.note(), "nothing to take back", "{ms} ms");
        }
    }
}

#[test]
fn whatever_confirms_just_after_the_question_changed_is_passed_over() {
    let walk = Walk::in_session().press("2 0,15 enter").wait(100).press("enter");
    assert_eq!(walk.kept(), ["2", "0,15"]);
    let walk = Walk::in_session().press("2 0,15 enter enter").wait(100).press("1");
    assert_eq!(walk.kept().len(), 3, "nobody has read it yet");
    // What is typed is no confirmation, however fast it comes; a digit close behind one that chose is
    // no beginning of a number.
    let walk = Walk::in_session().press("2").wait(420).press("6").wait(20).press("enter");
    assert_eq!(walk.kept(), ["2", "6"]);
    let walk = Walk::in_session().press("2").wait(20).press("6").wait(20).press("enter");
    assert_eq!(walk.kept(), ["2"]);
}

#[test]
fn a_look_is_changed_by_one_key_anywhere_and_remembered() {
    let walk = Walk::in_session().press("2 v");
    let look = |walk: &Walk| match walk.effects.last() {
        Some(Effect::Look(look)) => *look,
        other => panic!("{other:?}"),
    };
    assert_eq!(look(&walk).seen, Seen::Left);
    let walk = Walk::in_session().press("2 i");
    assert_eq!(look(&walk).ink, Ink::Hash);
    assert!(walk.screen().is_ascii(), "{}", walk.screen());
    let walk = walk.press("i t");
    assert_eq!((look(&walk).ink, look(&walk).theme), (Ink::Blocks, ThemeName::Daylight));
}

#[test]
fn esc_empties_what_is_typed_wherever_it_stands() {
    let typed = Walk::in_session().press("2 0,15");
    assert_eq!(typed.app().entry, "0,15");
    let emptied = typed.press("esc");
    assert_eq!((emptied.app().entry.as_str(), emptied.note()), ("", "the entry is emptied".into()));
    assert_eq!(emptied.kept(), ["2"], "and nothing else");
    assert_eq!(emptied.press("esc").kept(), ["2"]);
}

#[test]
fn a_key_that_waits_for_an_empty_entry_says_so() {
    // What takes back waits; a look elsewhere and an errand do not, and lose nothing (`walk::half`).
    let walk = Walk::in_session().press("2 0,15").press("-");
    assert_eq!(walk.app().entry, "0,15");
    assert_eq!(walk.note(), "- comes after this: Enter keeps what is typed, Esc empties it");
    let after = walk.press("esc").press("-");
    assert!(!after.note().contains("comes after this"), "{}", after.note());
}

#[test]
fn enter_where_a_digit_answers_says_which() {
    let walk = Walk::in_session().press("enter");
    assert_eq!(walk.kept(), Vec::<String>::new());
    assert_eq!(walk.note(), "Enter alone is no answer here: press 0, 1 or 2");
}

#[test]
fn what_comes_up_after_a_wait_is_answered_by_no_key_that_comes_at_once() {
    for action in [keymap::Action::Digit(2), keymap::Action::Nothing] {
        let mut walk = Walk::in_session();
        walk.app = Some(walk.app().clone().came_up(action, at(walk.now)));
        let walk = walk.wait(100).press("2");
        assert_eq!(walk.kept(), [""; 0]);
        assert!(walk.note().contains("too soon"), "{}", walk.note());
        assert_eq!(walk.wait(160).press("2").kept(), ["2"]);
    }
}
