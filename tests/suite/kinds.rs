//! Choosing a new engine's kind by looking at drawings, from everything that comes with the program:
//! by arrows, by letters, by numbers, in windows of any size.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::domain::entry::Moment;
use cowlside::guide::Step;
use cowlside::guide::kinds::{Kind, OWN, found, search_line};
use cowlside::guide::start::{kinds, new_engine};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::app::{App, Carried, Effect};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::Table;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{self, keymap, step, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::ControlFlow;

/// The list as the shell makes it, of all that comes with the program.
pub fn listed() -> (Vec<Kind>, Table) {
    let known: Vec<_> =
        BUILT_IN.iter().map(|(name, text)| (*name, parse_profile(text, name).unwrap())).collect();
    let kinds = kinds(known.iter().map(|(name, profile)| (*name, &**profile, false)));
    let of = |wanted: &str| known.iter().find(|(name, _)| *name == wanted).map(|(_, one)| one);
    let table = tui::kinds::table(&kinds, of);
    (kinds, table)
}

/// The screens on the list, with what the shell does with it behind them.
struct Screens {
    app: App<Bench>,
    /// What else was to be done.
    done: Vec<Effect>,
    now: i64,
}

impl Screens {
    fn new(ink: Ink) -> Screens {
        let app = App::new(Table::default(), None, ThemeName::Terminal, Colours::Off, ink);
        Screens { app: app.with(Carried::Kinds(listed().1)), done: vec![], now: 1_773_475_200_000 }
    }

    fn press(&mut self, keys: &str) {
        for word in keys.split_whitespace() {
            match word {
                "enter" => self.key(KeyCode::Enter),
                "esc" => self.key(KeyCode::Esc),
                "down" => self.key(KeyCode::Down),
                "right" => self.key(KeyCode::Right),
                "left" => self.key(KeyCode::Left),
                "blank" => self.key(KeyCode::Char(' ')),
                _ => word.chars().for_each(|letter| self.key(KeyCode::Char(letter))),
            }
        }
    }

    fn key(&mut self, code: KeyCode) {
        self.now += 1000;
        let at = Moment { unix_ms: self.now, offset_min: 0 };
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let action = keymap::action(key, self.app.place(), self.app.begun()).unwrap();
        let done = &mut self.done;
        let next = step(self.app.clone(), &action, at, &mut |effect, _| {
            let (kinds, table) = listed();
            match effect {
                Effect::Kinds => Ok(Carried::Kinds(table)),
                Effect::Kind(row) if *row < kinds.len() => {
                    let desk = Desk::NewEngine(kinds[*row].clone());
                    Ok(Carried::Session(Box::new(Bench::new(desk, Ink::Blocks))))
                }
                other => {
                    done.push(other.clone());
                    Ok(Carried::Done)
                }
            }
        });
        match next {
            ControlFlow::Continue(app) => self.app = app,
            ControlFlow::Break(()) => panic!("the program has ended"),
        }
    }

    fn shown(&self, width: u16, height: u16) -> String {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        view::paint(&self.app, area, &mut buf);
        let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        (0..height).map(|y| format!("|{}|\n", row(y))).collect()
    }

    /// The titles that are listed, in their order.
    fn titles(&self) -> Vec<String> {
        let list = self.app.list().unwrap();
        list.shown().iter().map(|row| list.table.rows[*row][0].clone()).collect()
    }
}

#[test]
fn every_kind_stands_in_the_list_once_under_a_title_of_its_own() {
    let (kinds, table) = listed();
    let mut names: Vec<&str> = kinds.iter().map(|kind| kind.profile.as_str()).collect();
    names.sort_unstable();
    let mut known: Vec<&str> = BUILT_IN.iter().map(|(name, _)| *name).collect();
    known.sort_unstable();
    assert_eq!(names, known);
    let mut titles: Vec<&String> = table.rows.iter().flatten().collect();
    assert_eq!(titles.last().map(|last| last.as_str()), Some(OWN));
    titles.sort();
    titles.dedup();
    assert_eq!(titles.len(), BUILT_IN.len() + 1);
    // By shape, then by cylinders; an order only where the title leaves two alike.
    assert_eq!(kinds[0].title, "Flat twin, screw adjusters");
    assert_eq!(kinds[1].title, "Flat four, screw adjusters, order 1-3-2-4");
    let same: Vec<(&str, &_, bool)> = vec![];
    assert_eq!(tui::kinds::table(&kinds_of(same), |_| None).rows, vec![vec![OWN.to_owned()]]);
}

fn kinds_of(profiles: Vec<(&str, &cowlside::domain::profile::Facts, bool)>) -> Vec<Kind> {
    kinds(profiles.into_iter())
}

#[test]
fn kinds_that_are_alike_in_all_that_is_shown_have_their_names_beside_them() {
    let profile = parse_profile(BUILT_IN[0].1, BUILT_IN[0].0).unwrap();
    let two = kinds_of(vec![("own-1", &profile, true), ("own-2", &profile, true)]);
    assert!(two[0].title.ends_with("(own-1)") && two[1].title.ends_with("(own-2)"), "{two:?}");
    assert_eq!(two[0].lines.last().map(String::as_str), Some("your own figures"));
}

/// Whether a cylinder of each number is drawn, and how many of the list's titles are in sight.
fn numbers_in(drawing: &str) -> Vec<u8> {
    let numbers = drawing.split(|letter: char| !letter.is_ascii_digit());
    numbers.filter_map(|number| number.parse().ok()).collect()
}

#[test]
fn every_kind_is_drawn_with_all_its_cylinders_in_every_window() {
    let (kinds, table) = listed();
    let mut ended = 0;
    for (width, height) in [(80, 24), (60, 20), (160, 50), (40, 12)] {
        for (row, kind) in kinds.iter().enumerate() {
            let mut screens = Screens::new(Ink::Blocks);
            (0..row).for_each(|_| screens.key(KeyCode::Down));
            let shown = screens.shown(width, height);
            // The drawing stands at the right of the list.
            let side: String = shown.lines().map(|line| tail(line, width) + "\n").collect();
            let count = u8::try_from(
                table.drawings[row]
                    .engine
                    .as_ref()
                    .unwrap()
                    .banks
                    .iter()
                    .map(|bank| bank.cylinders.len())
                    .sum::<usize>(),
            )
            .unwrap();
            // The words beneath have numbers too.
            let beneath = kind.lines[0].split(' ').next().unwrap();
            let drawing = side.split(beneath).next().unwrap();
            assert!(drawing.len() < side.len() || height == 12, "{shown}");
            let drawn = numbers_in(drawing);
            assert!(
                (1..=count).all(|number| drawn.contains(&number)),
                "{} {width}x{height}\n{shown}",
                kind.profile
            );
            // How it looks from its end stands under it where that has room: of what is no radial.
            let end = side.contains("end view from the rear");
            ended += usize::from(end && height == 24);
            let untold = ["radial", "vee \\ /"];
            let untold =
                kind.lines.iter().any(|line| untold.iter().any(|one| line.starts_with(one)));
            let room = height == 50 && count < 12;
            assert!(if untold { !end } else { end || !room }, "{} {height}\n{shown}", kind.profile);
        }
    }
    assert!(ended >= 15, "{ended}");
}

fn tail(line: &str, width: u16) -> String {
    let side = (width / 5 * 2).clamp(17, 64).min(width / 2);
    let letters: Vec<char> = line.chars().collect();
    letters[letters.len() - usize::from(side) - 1..letters.len() - 1].iter().collect()
}

#[test]
fn letters_make_the_list_shorter_and_the_own_kind_is_always_in_it() {
    let mut screens = Screens::new(Ink::Blocks);
    screens.press("vee blank 8");
    assert_eq!(screens.titles().len(), 5, "{:?}", screens.titles());
    assert!(screens.titles()[..4].iter().all(|title| title.starts_with("Vee eight")));
    screens.press("esc /1-3-4-2");
    assert_eq!(screens.titles().len(), 3, "{:?}", screens.titles());
    screens.press("esc rotary");
    assert_eq!(screens.titles(), [OWN]);
    assert!(screens.shown(80, 24).contains("nothing found; near: "), "{}", screens.shown(80, 24));
    // Enter begins nothing by a word that finds nothing, and says what to do.
    screens.press("enter");
    let (list, shown) = (screens.app.list().is_some(), screens.shown(80, 24));
    assert!(list && screens.done.is_empty() && shown.contains("! no kind is called so"), "{shown}");
    screens.press("esc");
    assert_eq!(screens.titles().len(), BUILT_IN.len() + 1);
    let words = listed().1.words;
    for (typed, count) in [("hydraulic", 1), ("radial nine", 2), ("45", 1), ("8", 4), ("", 36)] {
        assert_eq!(found(typed, &words).len(), count + 1, "{typed}");
    }
    assert!(!search_line(Some("\u{202e}\u{1b}[31m"), &words).contains(['\u{202e}', '\u{1b}']));
    assert_eq!(found("any", &[]), Vec::<usize>::new());
}

#[test]
fn all_words_must_fit_and_esc_clears_them_before_it_goes_back() {
    let mut screens = Screens::new(Ink::Blocks);
    for (searched, only) in [("vee blank twelve", "twelve"), ("vee blank 12", "twelve")] {
        screens.press(searched);
        let titles = screens.titles();
        assert_eq!(titles.len(), 2, "{searched}: {titles:?}");
        assert!(titles[0].starts_with("Vee ") && titles[0].contains(only), "{titles:?}");
        screens.press("esc");
        assert_eq!(screens.titles().len(), listed().1.rows.len());
        assert!(screens.app.list().is_some_and(|list| list.search.is_none()));
    }
    screens.press("esc");
    assert_eq!(screens.app.place(), keymap::Place::Shop);
}

#[test]
fn enter_takes_the_kind_that_is_drawn_and_esc_gives_the_list_back() {
    let mut screens = Screens::new(Ink::Blocks);
    screens.press("hydraulic enter");
    let title = screens.app.prompt().unwrap().title;
    assert_eq!(title, "A new engine: Flat six, hydraulic lifters, push rods of other lengths");
    // As it was searched, then whole.
    screens.press("esc");
    assert_eq!(screens.titles().len(), 2);
    screens.press("esc");
    assert_eq!(screens.titles().len(), BUILT_IN.len() + 1);
    // By its number, as in every list; with more than nine rows Enter opens.
    screens.press("2 enter");
    assert!(screens.app.prompt().unwrap().title.ends_with("order 1-3-2-4"));
    screens.press("esc esc");
    assert!(screens.app.list().unwrap().table.title.is_empty(), "back at the engines");
    assert_eq!(screens.done, []);
    let mut screens = Screens::new(Ink::Blocks);
    screens.press(&format!("{} enter", BUILT_IN.len() + 1));
    assert_eq!(screens.done, [Effect::Kind(BUILT_IN.len())], "the form of an own kind");
}

#[test]
fn of_an_own_kind_it_is_not_said_that_its_figures_are_examples() {
    let (kinds, _) = listed();
    let said = |own| {
        let kind = Kind { own, ..kinds[0].clone() };
        let Step::Ask(prompt) = new_engine(&kind, &[]) else { panic!("no question") };
        prompt.lines.join(" ")
    };
    assert!(said(false).contains("examples") && !said(true).contains("examples"));
    let Step::Do(new) = new_engine(&kinds[0], &["N", "", "412.6", ""].map(String::from)) else {
        panic!("not done")
    };
    assert_eq!((new.profile.as_str(), new.hours.0), ("flat-twin", 41_260));
}

#[test]
fn the_list_of_kinds_as_it_looks() {
    let looks = [
        ("opposed", "flat blank six"),
        ("inline", "inline blank five"),
        ("vee", "vee blank twelve"),
        ("radial", "radial blank nine"),
        ("two_rows", "eighteen"),
        ("own", "rotary"),
        ("whole", ""),
    ];
    for (width, height) in [(80, 24), (60, 20), (160, 50), (40, 12)] {
        let mut all = String::new();
        for (name, keys) in looks {
            let mut screens = Screens::new(Ink::Blocks);
            screens.press(keys);
            all += &format!("{name}\n{}", screens.shown(width, height));
        }
        insta::with_settings!({
            snapshot_path => "../../snapshots", prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!(format!("kinds_{width}x{height}"), all);
        });
    }
    let mut plain = Screens::new(Ink::Hash);
    plain.press("vee blank twelve");
    assert!(plain.shown(80, 24).is_ascii(), "{}", plain.shown(80, 24));
}

#[test]
fn every_arrow_moves_and_a_search_in_vain_leaves_the_cursor_where_it_can_be_seen() {
    let mut screens = Screens::new(Ink::Blocks);
    let cursor = |screens: &Screens| screens.app.list().unwrap().cursor;
    screens.press("right right");
    assert_eq!(cursor(&screens), 2);
    screens.press("left");
    assert_eq!(cursor(&screens), 1);
    screens.press("xyz");
    assert_eq!(screens.titles(), [OWN]);
    screens.press("esc");
    assert_eq!(cursor(&screens), 0, "{}", screens.shown(80, 24));
    // What was found stays under the cursor.
    screens.press("radial down esc");
    assert!(screens.titles()[cursor(&screens)].starts_with("Radial"));
    // One count, of kinds: the rows besides are the line of one's own.
    screens.press("radial");
    let count = screens.titles().len() - 1;
    let shown = screens.shown(80, 24);
    assert!(shown.contains(&format!("search: radial_ {count} kinds found")), "{shown}");
}
