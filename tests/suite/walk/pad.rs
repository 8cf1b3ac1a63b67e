//! One finger on the number pad, the key that takes back, the list of commands; and every screen met,
//! for those who look at them.

use super::*;
use cowlside::guide::Typed;
use cowlside::tui::app::Top;
use cowlside::tui::keymap::Action;
use cowlside::tui::update::update;
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// Presses keys of the number pad only.
fn press_on_pad(walk: &mut Walk, keys: &str) {
    let pad = |key: char| "0123456789./*-+".contains(key);
    let on_pad = |word: &str| word == "enter" || word.chars().all(pad);
    assert!(keys.split_whitespace().all(on_pad), "{keys}");
    walk.press(keys);
}

impl Walk {
    /// Presses one key with whatever is held down beside it.
    pub(super) fn event(&mut self, key: KeyEvent) {
        self.now += 1000;
        let Some(app) = self.app.take() else { panic!("{key:?}: the program has ended") };
        let action = keymap::action(key, app.place(), app.begun()).unwrap();
        let at = Moment { unix_ms: self.now, offset_min: 60 };
        let workshop = &mut self.workshop;
        let mut carry_out = |effect: &Effect, at| workshop.carry_out(effect, at);
        self.app = match step(app, &action, at, &mut carry_out) {
            ControlFlow::Continue(app) => Some(app),
            ControlFlow::Break(()) => None,
        };
        self.meet();
    }
}

#[test]
fn screws_are_set_and_commands_reached_with_the_number_pad_alone() {
    let mut walk = Walk::new(known());
    for part in [
        TO_THE_FIRST_STOP,
        // Tight, nut slackened, tried, locked; taken back by one key and typed again.
        "2 enter 1 6 enter 9 enter 1 12 enter 1 - 1",
        // A whole stop in one visit, as a pair, with a point.
        "2 enter 6 enter 12 enter 2 enter 5/6 enter 12 enter",
        // Loose, and two tries; a remark by its number in the list.
        "* 4 enter 3 enter 1 2 enter .006 enter 15 enter 1 13 enter 2 12 enter 1",
        // The temperature: a minus and Enter takes back here, too.
        "- enter 1",
    ] {
        press_on_pad(&mut walk, part);
    }
    press_on_pad(&mut walk, RECHECK);
    for part in [COUNT_IN, CHECKS, RUN, SIGN] {
        press_on_pad(&mut walk, part);
    }
    assert_eq!(walk.session().state.sealed, Some(true), "{}", walk.screen());
}

#[test]
fn the_key_that_takes_back_says_what() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter");
    assert!(walk.screen().contains("- takes back: 1 INT, 6"), "{}", walk.screen());
    walk.press("12 enter");
    assert!(walk.screen().contains("1 EXH, 12  * more"), "{}", walk.screen());
    walk.press("-");
    assert!(walk.screen().contains("Gauge 1 exhaust"), "{}", walk.screen());
    let narrow = shown(walk.app(), 40, 12);
    assert!(narrow.contains("- undo 1 INT, 6"), "{narrow}");
}

#[test]
fn the_key_that_takes_back_held_down_takes_back_once() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter -");
    let kept = walk.session().kept.len();
    // A terminal repeats it after 450 ms, then every 40.
    for after in [450, 40, 40, 40] {
        let at = Moment { unix_ms: walk.now + after, offset_min: 60 };
        if walk.app().may_be_held(&Action::TakeBack, at) {
            // What follows it tells the first of them from a tap.
            walk.now = at.unix_ms;
            walk.app = Some(update(walk.app(), &Action::HeldDown, at).0);
        } else {
            walk.now += after - 1000;
            walk.press("-");
        }
        assert_eq!(walk.session().kept.len(), kept);
    }
    walk.press("-");
    assert_eq!(walk.session().kept.len(), kept + 1);
}

#[test]
fn the_figure_of_a_try_that_is_not_believed_is_not_told_by_the_key_that_takes_back() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter 9 enter 1 10 enter 2 5 enter");
    assert!(walk.screen().contains("A second reading of 1 exhaust"), "{}", walk.screen());
    assert!(walk.screen().contains("takes back: the reading of 1 EXH"), "{}", walk.screen());
}

#[test]
fn an_entry_of_the_list_of_commands_keeps_its_number() {
    let mut walk = Walk::new(known());
    let labels = |walk: &mut Walk| {
        walk.press("*");
        let rows = walk.app().list().unwrap().table.rows.clone();
        walk.press("esc");
        let label = |row: &Vec<String>| row[0].split(" (not now: ").next().unwrap().to_owned();
        rows.iter().map(label).collect::<Vec<_>>()
    };
    walk.press("1 460.5 enter enter enter");
    let prepare = labels(&mut walk);
    walk.press("1 1 1 1 1 1 1 1 1 18 enter 1 1 enter enter enter");
    let turning = labels(&mut walk);
    walk.press("2 enter 1 6 enter 9 enter 1");
    // The only slack nut is named in its entry.
    let unnamed =
        |label: String| label.replace("the nut of 1 exhaust, said slack,", "a nut said slack");
    let setting: Vec<String> = labels(&mut walk).into_iter().map(unnamed).collect();
    assert!(prepare == turning && turning == setting);
    // What is not possible now says so and does nothing.
    walk.press("* 27 enter");
    assert!(
        walk.screen().contains("How sure") || walk.screen().contains("not"),
        "{}",
        walk.screen()
    );
}

#[test]
fn what_cannot_be_done_now_comes_last_in_the_list_and_is_reached_by_its_number_all_the_same() {
    let mut walk = Walk::new(known());
    walk.press("1 460.5 enter enter enter *");
    let Some(View::List(list)) = view::view(walk.app()) else { panic!("{}", walk.screen()) };
    let not_now: Vec<bool> = list.rows.iter().map(|row| row[0].contains("(not now: ")).collect();
    assert!(!not_now[0] && not_now.is_sorted(), "{not_now:?}");
    assert!(not_now.contains(&true));
    // The number before a row is the number that it always has, and chooses it.
    let rows = walk.app().list().unwrap().table.rows.clone();
    for (number, row) in list.numbers.iter().zip(&list.rows) {
        assert_eq!(&rows[number - 1], row);
    }
    assert_eq!(list.numbers[0], 4, "{:?}", list.rows[0]);
    walk.press("4 enter");
    assert!(walk.screen().contains("emark"), "{}", walk.screen());
    walk.press("esc * 1 enter");
    assert!(walk.screen().contains("not now: only while valves are gauged"), "{}", walk.screen());
    // The cursor goes by what stands there.
    walk.press("* down enter");
    assert!(!walk.screen().contains("not now"), "{}", walk.screen());
}

#[test]
fn after_a_short_count_a_number_is_a_recount() {
    let mut walk = Walk::new(known());
    for part in [TO_THE_FIRST_STOP, FIRST_ROUND, RECHECK] {
        walk.press(part);
    }
    walk.press("2 enter 11 enter 3 enter");
    assert!(walk.screen().contains("12 came off, 3 counted"), "{}", walk.screen());
    walk.press("12 enter");
    assert!(!walk.screen().contains("came off"), "{}", walk.screen());
    assert!(
        walk.screen().contains("WASHER") || walk.screen().contains("washer"),
        "{}",
        walk.screen()
    );
}

/// Every screen of two services, a quiet one and an eventful one, with lists, help and history.
pub fn every_screen_due() -> Vec<(View, Option<Due>)> {
    // Two dozen tests look at them: the walks are made once.
    static SCREENS: OnceLock<Vec<(View, Option<Due>)>> = OnceLock::new();
    let made = || every_met().into_iter().map(|met| (met.view, met.due)).collect();
    SCREENS.get_or_init(made).clone()
}

pub(super) fn every_met() -> Vec<Met> {
    let mut walk = whole_service("12");
    walk.met.extend(eventful().met);
    walk.met.extend(owed::owed().met);
    let mut more = Walk::new(known());
    more.press(TO_THE_FIRST_STOP);
    more.press("? esc * esc p esc 2 enter 1 l esc 6/7 enter n 1 enter esc esc q 2 a");
    walk.met.extend(more.met);
    walk.met
}

/// Each of those screens where a digit begins an entry beside the same with that digit, for all ten,
/// and with as many more as there is room for beside the large words: a reading has three.
pub fn every_typed_digit() -> Vec<(View, View)> {
    let begins =
        |met: &&Met| met.app.place().types() && met.entry.is_empty() && met.app.list().is_none();
    let typed = |met: &Met, digits: &str| {
        let mut now = met.now;
        digits.chars().fold(met.app.clone(), |app, digit| {
            now += 1000;
            let at = Moment { unix_ms: now, offset_min: 60 };
            let mut none = |_: &Effect, _| Err("a digit in an entry does nothing else".into());
            match step(app, &Action::Type(digit), at, &mut none) {
                ControlFlow::Continue(app) => app,
                ControlFlow::Break(()) => panic!("{digit} ends the program"),
            }
        })
    };
    let entries = |met: &Met| {
        let reading = met.app.prompt().unwrap().field.typed == Some(Typed::Reading);
        let further = ["88", "888"].into_iter().take(if reading { 2 } else { 1 });
        let first = ('0'..='9').map(String::from);
        first.chain(further.map(String::from)).collect::<Vec<String>>()
    };
    let met = every_met();
    let pairs = met.iter().filter(begins).flat_map(|met| {
        let pair = |entry: &String| {
            let [before, after] = [&entry[1..], entry].map(|entry| typed(met, entry));
            (view::view(&before).unwrap(), view::view(&after).unwrap())
        };
        entries(met).iter().map(pair).collect::<Vec<_>>()
    });
    pairs.collect()
}

/// The first valve's question, then the same with `006` typed digit by digit.
pub fn while_a_reading_is_typed() -> Vec<View> {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1");
    let mut screens = vec![view::view(walk.app()).unwrap()];
    for letter in ["0", "0", "6"] {
        walk.press(letter);
        screens.push(view::view(walk.app()).unwrap());
    }
    screens
}

/// The same without what is due, each question once: of those that differ in their figures only,
/// the first is kept.
pub fn every_screen() -> Vec<View> {
    let mut met = BTreeSet::new();
    let without_figures = |text: &str| text.replace(|letter: char| letter.is_ascii_digit(), "");
    let screens = every_screen_due().into_iter().map(|(view, _)| view);
    let first = |view: &View| match view {
        View::Question(view) => {
            let note = view.around.note.as_ref().map(|note| (note.tone, note.large.len()));
            let words = without_figures(&format!("{}{}", view.prompt.title, view.prompt.ask));
            met.insert(format!("{words} {} {note:?}", view.entry.len()))
        }
        View::List(view) => met.insert(format!("{} {}", view.title, view.cursor)),
        View::Help(view) => met.insert(view.title.clone()),
        View::Notice(_) | View::Past(_) | View::Picture(_) => true,
    };
    screens.filter(first).collect()
}

#[test]
fn the_number_pad_pages_through_the_help_and_the_list_of_everything_else() {
    let at = |walk: &Walk| match &walk.app().top {
        Top::Help(help) => (2, help.first),
        Top::List(list) => (1, list.cursor),
        _ => (0, 0),
    };
    for size in [(40, 12), (60, 20), (80, 24)] {
        for (keys, depth) in [("*", 1), ("?", 2)] {
            let mut walk = places::at_a_valve();
            walk.in_window(size);
            press_on_pad(&mut walk, "*");
            walk.press(if depth == 2 { keys } else { "" });
            let screen = walk.in_window(size);
            assert!(screen.contains("+ - page"), "{screen}");
            let mut pages = vec![at(&walk)];
            loop {
                press_on_pad(&mut walk, "+");
                if at(&walk) == pages[pages.len() - 1] {
                    break;
                }
                assert!(at(&walk) > pages[pages.len() - 1], "{}", walk.in_window(size));
                pages.push(at(&walk));
            }
            assert!(
                pages.len() > 1 || (depth, size) == (2, (80, 24)),
                "{size:?} {depth}: {pages:?}"
            );
            while let (now, place) = at(&walk)
                && place > 0
            {
                press_on_pad(&mut walk, "-");
                assert_eq!(now, at(&walk).0, "a page before, and not out of it: {size:?} {place}");
                assert!(at(&walk).1 < place, "{size:?} {depth}");
            }
            press_on_pad(&mut walk, "-");
            // From the first page it goes back, as ever.
            assert_eq!(at(&walk), if depth == 2 { (1, 0) } else { (0, 0) }, "{size:?}");
        }
    }
}

#[test]
fn a_stop_takes_no_key_beyond_its_digits_and_enter() {
    let mut walk = Walk::new(known());
    walk.press(TO_THE_FIRST_STOP);
    walk.press("2 enter 1 6 enter 12 enter");
    let stop = |walk: &Walk| walk.session().state.progress().map(|(stop, _)| stop);
    assert_eq!(stop(&walk), Some(2));
    walk.press("2 enter 6 enter 12 enter");
    assert_eq!(stop(&walk), Some(3));
}

#[test]
fn two_readings_change_places_by_digits() {
    let mut walk = places::both_rounds();
    let figures = |walk: &Walk| {
        let readings = &walk.session().state.readings;
        readings.iter().map(|taken| taken.reading.typed.clone()).collect::<Vec<_>>()
    };
    // Newest first: the row of the oldest is 16, and the valve before it is 15.
    let before = figures(&walk);
    assert_ne!(before[0], before[3], "a swap is seen: {before:?}");
    walk.press("* 7 enter 1 6 enter 3");
    assert!(walk.screen().contains("With which?"), "{}", walk.screen());
    // It is among the other fifteen: on the third page of five, the second from the end.
    let wanted = 15 - 3;
    for _ in 0..wanted / 5 {
        walk.press("enter");
    }
    walk.press(&format!("{} 1", wanted % 5 + 1));
    let mut after = before.clone();
    after.swap(0, 3);
    assert_eq!(figures(&walk), after, "{}", walk.screen());
}

#[test]
fn one_reading_changes_places_with_none() {
    let mut walk = places::at_a_valve();
    walk.press("6 enter * 7 enter 1 enter");
    let screen = walk.screen();
    assert!(screen.contains("another value") && !screen.contains("changes places"), "{screen}");
}
