//! Leafing through what is longer than its window: a page key goes a window less one line, nothing is
//! leapt over, and the numbers say what is shown. What lies on other screens stays off the help.

use crate::reviews::{comparison, past, press, shop, shot};
use crate::services::{MORNING, Service as Walk, flat_four, signature};
use crate::walk::{self, places};
use cowlside::domain::ascii::ascii;
use cowlside::guide::{Beside, Typed};
use cowlside::report::record;
use cowlside::tui::app::{App, Carried};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::Table;
use cowlside::tui::keymap::{self, Place};
use cowlside::tui::widgets::digits::{self, Ink, Size};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

const SIZES: [(u16, u16); 4] = [(40, 12), (60, 20), (80, 24), (160, 50)];

/// The numbers of "3 to 9 of 12" on a screen: the last such.
fn numbers(screen: &str) -> Option<(usize, usize, usize)> {
    let words: Vec<&str> = screen.split(|letter: char| " |\n".contains(letter)).collect();
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    words.windows(5).rev().find_map(|five| match five {
        [first, "to", end, "of", all] => {
            Some((first.parse().ok()?, end.parse().ok()?, all.parse().ok()?))
        }
        _ => None,
    })
}

fn in_window(app: &App<Bench>, room: (u16, u16)) -> App<Bench> {
    let mut app = app.clone();
    app.room = room;
    app
}

#[test]
fn a_page_key_goes_a_window_less_a_line_through_the_help_and_back() {
    for size in SIZES {
        let mut app = press(&in_window(&comparison(), size), "?");
        let Some((1, mut end, all)) = numbers(&shot(&app, size)) else {
            assert_eq!(size, (160, 50), "all of it fits only there: {}", shot(&app, size));
            continue;
        };
        let mut firsts = vec![1];
        while end < all {
            app = press(&app, "PageDown");
            let (first, now, of) = numbers(&shot(&app, size)).unwrap();
            assert!(first == end || now == all && first < end, "{size:?}: {first} after {end}");
            assert!(now > end && of == all, "{size:?}: {end}, then {now} of {of}");
            firsts.push(first);
            end = now;
        }
        let end = press(&app, "PageDown");
        assert_eq!(end.top, app.top, "there is no more");
        assert!(shot(&end, size).contains("that is the end"), "{}", shot(&end, size));
        assert_eq!(shot(&press(&press(&app, "PageUp"), "End"), size), shot(&app, size));
        while *firsts.last().unwrap() > 1 {
            app = press(&app, "PageUp");
            let (first, now, _) = numbers(&shot(&app, size)).unwrap();
            let last = firsts.pop().unwrap();
            assert!(first < last && now >= last, "{size:?}: {first} to {now} before {last}");
            firsts.retain(|before| *before <= first);
            firsts.push(first);
        }
    }
}

#[test]
fn a_page_of_the_past_says_which_way_there_is_more() {
    let size = (60, 20);
    let mut app = press(&in_window(&past(), size), ". Right");
    assert!(shot(&app, size).contains("Page down: lines 1 to "), "{}", shot(&app, size));
    for _ in 0..30 {
        app = press(&app, "PageDown");
    }
    let (first, end, all) = numbers(&shot(&app, size)).unwrap();
    assert_eq!(end, all);
    let foot = format!("Page up: lines {first} to {all} of {all}");
    assert!(shot(&app, size).contains(&foot), "{}", shot(&app, size));
    // However often it was pressed, one press goes back.
    let (_, before, _) = numbers(&shot(&press(&app, "PageUp"), size)).unwrap();
    assert!(before < all && before >= first);
}

#[test]
fn a_page_key_goes_from_page_to_page_of_a_list() {
    for size in [(40, 12), (60, 20), (80, 24)] {
        let mut app = in_window(&record(), size);
        let (_, mut end, all) = numbers(&shot(&app, size)).unwrap();
        let mut cursors = vec![(1, app.list().unwrap().cursor)];
        while end < all {
            app = press(&app, "PageDown");
            let (first, now, _) = numbers(&shot(&app, size)).unwrap();
            assert_eq!(first, end + 1, "{size:?}");
            cursors.push((first, app.list().unwrap().cursor));
            end = now;
        }
        let mut first = numbers(&shot(&app, size)).unwrap().0;
        while first > 1 {
            app = press(&app, "PageUp");
            let (before, end, _) = numbers(&shot(&app, size)).unwrap();
            assert_eq!(end + 1, first, "{size:?}");
            // As going down: the first row of the page, not its last.
            assert!(cursors.contains(&(before, app.list().unwrap().cursor)), "{size:?}: {before}");
            first = before;
        }
    }
}

#[test]
fn the_help_tells_the_keys_of_its_screen_and_no_others() {
    let keys = |app: &App<Bench>| {
        let helped = press(&in_window(app, (200, 60)), "?");
        shot(&helped, (200, 60))
    };
    let compared = keys(&comparison());
    assert!(compared.contains(".: sort") && compared.contains("letters: search"), "{compared}");
    assert!(compared.contains("(3 more: ?) on a screen"), "{compared}");
    for elsewhere in ["I see overlap", "take back", "I am back", "the bell", "hours"] {
        assert!(!compared.contains(&format!(": {elsewhere}")), "{elsewhere}: {compared}");
    }
    let listed = keys(&shop());
    assert!(listed.contains("+: hours") && !listed.contains("sort; sort"), "{listed}");
    // Everything that is told of a place there is in the table of all, under the same key.
    let all = keymap::all();
    for place in [Place::Choice, Place::Reading, Place::Text, Place::Review, Place::Page] {
        let here = keymap::here(place, |_| true);
        assert!(here.len() < all.len());
        for (key, what) in here {
            let told = all.iter().any(|(of, words)| *of == key && words.contains(&what));
            assert!(told, "{place:?}: {key}: {what}");
        }
    }
}

fn record() -> App<Bench> {
    let mut service = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    service.sign(signature());
    let sheet = record::sheet(&service.session, &Default::default(), record::OfFile::default());
    shop().with(Carried::Record(Table::of_sheet("The record", sheet)))
}

#[test]
fn letters_search_in_a_record_as_in_every_other_review() {
    for size in SIZES {
        let app = in_window(&record(), size);
        let theme = app.theme;
        let found = press(&app, "torque");
        let screen = shot(&found, size);
        assert_eq!(found.theme, theme, "a letter is no key of its own here");
        assert!(screen.contains("search: torque_"), "{screen}");
        assert!(screen.to_lowercase().matches("torque").count() > 1, "{screen}");
        assert!(shot(&press(&app, "xyz"), size).contains("nothing found; Esc: all"));
        let all = press(&found, "Esc");
        assert_eq!(
            all.list().map(|list| (list.search.clone(), list.shown().len())),
            app.list().map(|list| (None, list.table.rows.len()))
        );
        assert_eq!(press(&all, "Esc").place(), Place::Shop);
    }
    // A row is found with the heads of its columns, and no row of another valve with it.
    let one = shot(&press(&record(), "3 blank exhaust"), (80, 50));
    assert!(one.contains("3 exhaust") && !one.contains("4 exhaust"), "{one}");
}

#[test]
fn every_reading_can_be_corrected_by_digits() {
    // From the list of everything else: all of them, by page, newest first.
    let mut walk = places::both_rounds();
    walk.press("* 7 enter");
    assert_eq!(walk.app().place(), Place::List, "{}", walk.screen());
    let kept = walk.app().list().unwrap().table.rows.len();
    assert_eq!(kept, 16, "eight valves, two rounds");
    walk.press("1 6 enter");
    assert!(walk.screen().contains("Correct 1 intake found"), "{}", walk.screen());
}

/// The rows of the list of everything else that are marked, and what is said where one is chosen.
fn not_now(walk: &mut walk::Walk) -> Vec<(String, String)> {
    walk.press("*");
    let rows = walk.app().list().unwrap().table.rows.clone();
    walk.press("esc");
    let marked = rows.iter().zip(1..).filter(|(row, _)| row[0].contains("(not now: "));
    let choose = |(row, number): (&Vec<String>, usize)| {
        walk.press(&format!("* {number} enter"));
        let said = walk.app().note.as_ref().map(|note| note.text.clone()).unwrap_or_default();
        assert!(!matches!(walk.app().top, cowlside::tui::app::Top::List(_)), "{row:?}");
        // The list says the same before it is chosen.
        let why = said.trim_start_matches("not now: ");
        assert!(row[0].ends_with(&format!("(not now: {why})")), "{row:?}: {said}");
        (row[0].clone(), said)
    };
    marked.map(choose).collect()
}

#[test]
fn what_cannot_be_done_now_says_why() {
    let mut walk = places::both_rounds();
    let after = not_now(&mut walk);
    assert!(after.len() > 10, "{after:?}");
    for (label, said) in &after {
        assert!(said.starts_with("not now: ") || said.contains("only while"), "{label}: {said}");
    }
    let of = |told: &[(String, String)], label: &str| {
        let found = told.iter().find(|(row, _)| row.contains(label));
        found.map(|(_, said)| said.clone())
    };
    let gauging = Some("not now: only while valves are gauged".to_string());
    assert_eq!(of(&after, "pass over a valve"), gauging);
    assert_eq!(of(&after, "a part went in"), Some("not now: no part is out".into()));
    let elsewhere = of(&after, "save the session to another folder");
    assert_eq!(elsewhere, Some("not now: everything is saved where it is".into()));
    let mut walk = places::at_a_valve();
    let there = not_now(&mut walk);
    assert_eq!(of(&there, "pass over a valve"), None, "it can be");
    assert!(there.iter().all(|(_, said)| Some(said) != gauging.as_ref()), "{there:?}");
}

/// Reads what an answer speaks of page by page with Enter, then tells what was shown of it and on how
/// many pages; `answers` is the key that agrees. The question is still asked.
fn read_through(walk: &mut walk::Walk, size: (u16, u16), agrees: &str) -> (String, usize) {
    let asked = walk.app().prompt().unwrap();
    let mut shown = walk.in_window(size);
    let mut pages = 1;
    while shown.contains("more line") || walk.in_window(size).contains("more line") {
        assert!(pages < 20, "{shown}");
        let kept = walk.session().kept.len();
        if agrees != "enter" {
            walk.press(agrees);
            assert_eq!(walk.app().prompt().as_ref(), Some(&asked), "agreed to unread");
        }
        if walk.app().entry.is_empty() {
            let note = walk.app().note.clone().map(|note| note.text);
            assert!(agrees == "enter" || note.as_deref() == Some(REST_FIRST), "{note:?}");
            walk.press("enter");
        } else {
            // Its Enter read on; whoever wants to answer otherwise takes it away.
            assert!(walk.in_window(size).contains("takes 1"), "{}", walk.in_window(size));
            walk.press("backspace");
        }
        assert_eq!(walk.session().kept.len(), kept, "Enter agreed to what was not shown");
        assert_eq!(walk.app().prompt().as_ref(), Some(&asked));
        let next = walk.in_window(size);
        if !next.contains("more line") {
            return (shown + &next, pages + 1);
        }
        shown += &next;
        pages += 1;
    }
    (shown, pages)
}

const REST_FIRST: &str = "the rest is read first: Enter shows it";

fn words_of(text: &str) -> Vec<&str> {
    text.split(|letter: char| " |\n".contains(letter)).filter(|word| !word.is_empty()).collect()
}

#[test]
fn what_is_counted_and_signed_is_read_whole_before_an_answer_to_it_counts() {
    let mut paged = 0;
    for size in [(40, 12), (44, 12), (60, 13), (60, 20), (80, 24), (160, 50)] {
        let (mut walk, mut met) = (places::before_the_counts(), 0);
        while met < 3 {
            let prompt = walk.app().prompt().unwrap();
            assert!(prompt.field.whole > 0, "{prompt:?}");
            let (shown, pages) = read_through(&mut walk, size, "enter");
            paged += pages - 1;
            let shown = words_of(&shown);
            for line in prompt.lines.iter().take(prompt.field.whole.into()) {
                let line = words_of(line);
                let stands = shown.windows(line.len()).any(|words| words == line);
                assert!(stands, "{size:?}: {line:?} of {shown:?}");
            }
            let kept = walk.session().kept.len();
            walk.press("enter");
            assert!(
                walk.session().kept.len() > kept,
                "read, and agreed to: {}",
                walk.in_window(size)
            );
            assert_eq!(walk.app().scrolled, 0, "the next question is read from its first line");
            met += 1;
        }
    }
    assert_eq!(paged, 0, "this engine's counts fit everywhere");
    // A sentence longer than the smallest window, and the signature under it.
    let points: Vec<String> = (100..144).map(|n| format!("point{n}")).collect();
    let sentence = points.join(" ");
    // Behind a number that was typed, the digit waits for Enter: that is no way round it.
    for (size, hours) in [((40, 12), ""), ((60, 20), ""), ((40, 12), "560 "), ((60, 20), "560 ")] {
        let mut walk = places::before_the_owners_sentence();
        walk.type_text(&sentence);
        walk.press(&format!("enter {hours}enter"));
        let prompt = walk.app().prompt().unwrap();
        assert_eq!(prompt.field.typed == Some(Typed::Digit), !hours.is_empty(), "{prompt:?}");
        // The next check that is signed for, the owner's sentence, the statement.
        let whole = 2 + u16::from(!hours.is_empty());
        assert!(prompt.field.whole == whole && prompt.title == "Sign and close", "{prompt:?}");
        let (shown, pages) = read_through(&mut walk, size, "1");
        assert!((pages > 1) == (size == (40, 12)), "{size:?}: {pages}");
        let shown = words_of(&shown);
        let unread = points.iter().find(|point| !shown.contains(&point.as_str()));
        assert_eq!(unread, None, "{size:?}: {shown:?}");
        assert_eq!(walk.session().state.sealed, None);
        // Enter does not say that it reads on and that it is no answer.
        walk.press("enter");
        let shown = walk.in_window(size);
        assert!(!shown.contains("no answer") && shown.contains("read to its end"), "{shown}");
        walk.press("1");
        assert_eq!(walk.session().state.sealed, Some(true));
    }
}

#[test]
fn the_seal_code_is_large_on_the_closed_screen() {
    let mut service = Walk::begun(flat_four(), "spring check", MORNING, 41_260);
    service.sign(signature());
    let code = Some("4m7qz0k2xw9t".to_string());
    let beside = std::sync::Arc::new(Beside { seal_code: code, ..Beside::default() });
    let session = std::sync::Arc::new(service.session.clone());
    let desk = Desk::Session { session, previous: None, beside };
    let mut app = shop();
    app.job = Some(Bench::new(desk, Ink::Blocks));
    for size in SIZES {
        let screen = shot(&app, size);
        let words = words_of(&screen).join(" ");
        let large = ["4M7Q", "Z0K2", "XW9T"].iter().all(|four| drawn(&screen, four));
        assert!(large, "as it is copied by hand: {screen}");
        // Drawn letters are soon misread: it stands in plain ones too.
        assert!(words.contains("Seal code 4M7Q Z0K2 XW9T"), "{screen}");
        assert!(!words.to_lowercase().contains("4m7qz0k2xw9t"), "{screen}");
    }
    assert!(!drawn(&shot(&app, (160, 50)), "4M7P"));
}

/// Tells whether a word stands on a screen in large letters of whatever size.
fn drawn(screen: &str, word: &str) -> bool {
    let lines: Vec<&str> = screen.lines().collect();
    Size::ALL.into_iter().chain([Size::THIN]).any(|size| {
        let area = Rect::new(0, 0, size.columns(word), size.rows());
        let mut buf = Buffer::empty(area);
        digits::paint(word, size, Ink::Blocks, Style::new(), area, &mut buf);
        let row = |y| (0..area.width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        let rows: Vec<String> = (0..area.height).map(row).collect();
        lines
            .windows(rows.len())
            .any(|lines| lines.iter().zip(&rows).all(|(line, row)| line.contains(row.trim_end())))
    })
}

#[test]
fn what_was_leafed_in_elsewhere_skips_nothing_of_what_is_signed() {
    let mut walk = places::before_the_owners_sentence();
    walk.type_text("the exhaust guides want another look within fifty hours ".repeat(5).trim());
    walk.press("enter enter");
    let first = walk.in_window((40, 12));
    assert!(first.contains("more line"), "{first}");
    walk.press("enter");
    assert_ne!(walk.in_window((40, 12)), first);
    walk.press("? esc");
    assert_eq!(walk.in_window((40, 12)), first, "from its first line again");
}

#[test]
fn which_way_to_turn_and_what_differs_is_read_before_any_answer_counts() {
    let mut read_on = 0;
    let differs = [("2", DIFFERS), ("3", DIFFERS), ("1", DIFFERS)];
    let turn = [("2 enter", TURN), ("1 enter", TURN)];
    let leak = [("74/80 enter", LEAK), ("0 enter", LEAK)];
    let all = differs.map(|answer| (places::where_the_page_differs as Make, answer));
    let all = all.into_iter().chain(turn.map(|answer| (places::before_a_turn as Make, answer)));
    for (make, (answer, needed)) in
        all.chain(leak.map(|answer| (places::before_a_leak_test as Make, answer)))
    {
        for size in [(40, 12), (44, 12), (40, 13)] {
            let mut walk = make();
            walk.not_saved();
            let asked = walk.app().prompt().unwrap();
            let (kept, mut seen) = (walk.session().kept.len(), walk.in_window(size));
            walk.press(answer);
            for _ in 0..20 {
                if walk.app().prompt().as_ref() != Some(&asked) {
                    break;
                }
                read_on += 1;
                assert_eq!(walk.session().kept.len(), kept, "{answer}");
                seen += &walk.in_window(size);
                // What answers by itself is told so; what is typed waits for the last page.
                let again = if walk.app().entry.is_empty() { answer } else { "enter" };
                let more = walk.in_window(size).contains("more line");
                walk.press(if more { "enter" } else { again });
            }
            assert_ne!(walk.app().prompt().as_ref(), Some(&asked), "read, and answered: {seen}");
            // A line may go on in the next window.
            let mut words = words_of(&seen).into_iter();
            let stands = words_of(needed).into_iter().all(|word| words.any(|seen| seen == word));
            assert!(stands, "{needed}\n{seen}");
        }
    }
    assert!(read_on > 0, "each fits the smallest window at once");
}

type Make = fn() -> walk::Walk;
const DIFFERS: &str = "page 0.016 in, profile 0.014 in";
const TURN: &str = "Turn on 180°, half a turn";
const LEAK: &str = "Then prove the place again.";

/// The words of the lines that are to be read, and whether all of them stand on a screen.
fn all_read(walk: &walk::Walk, shown: &str, spelled: impl Fn(&str) -> String) -> bool {
    let prompt = walk.app().prompt().unwrap();
    // What is large beside the lines is none of their words.
    let mut shown = words_of(shown);
    shown.retain(|word| !word.chars().all(|letter| "█▀▄#\"o".contains(letter)));
    prompt.lines.iter().take(prompt.field.whole.into()).all(|line| {
        let line = spelled(line);
        let line = words_of(&line);
        shown.windows(line.len()).any(|words| words == line)
    })
}

#[test]
fn a_number_typed_at_once_answers_nothing_that_came_up_with_its_digits() {
    let mut paged = 0;
    for size in [(40, 12), (44, 12), (48, 13), (60, 13), (60, 20), (80, 24)] {
        let mut walk = places::before_a_turn();
        // Beside a drawing the words stand apart.
        if size.0 < 70 {
            walk.not_saved();
        }
        let shown = walk.in_window(size);
        let whole = all_read(&walk, &shown, str::to_owned);
        let (asked, kept) = (walk.app().prompt(), walk.session().kept.len());
        walk.press("2 enter");
        if whole {
            assert_ne!(walk.session().kept.len(), kept, "{size:?}: it was read");
            continue;
        }
        paged += 1;
        assert_eq!((walk.app().prompt(), walk.session().kept.len()), (asked, kept), "{size:?}");
        // A number that waits hides nothing without a word.
        walk.press("20");
        let shown = walk.in_window(size);
        if !all_read(&walk, &shown, str::to_owned) {
            let told = shown.contains(" ?") && shown.contains('+') || shown.contains("read on");
            assert!(told, "{shown}");
        }
        walk.press("esc");
        while walk.in_window(size).contains("more line") {
            walk.press("enter");
        }
        walk.press("2 enter");
        assert_ne!(walk.session().kept.len(), kept, "read, then typed: it counts");
    }
    assert!(paged > 0);
}

#[test]
fn in_plain_characters_what_is_unread_is_measured_by_the_words_on_the_screen() {
    let mut paged = 0;
    for width in 40..64 {
        for height in 12..16 {
            let mut walk = places::before_a_turn();
            walk.not_saved();
            walk.in_plain_characters();
            let shown = walk.in_window((width, height));
            if all_read(&walk, &shown, ascii) {
                continue;
            }
            paged += 1;
            let before = walk.app().scrolled;
            walk.press("enter");
            assert_ne!(walk.app().scrolled, before, "taken for read:\n{shown}");
        }
    }
    assert!(paged > 0);
}
