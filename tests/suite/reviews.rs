//! The screens that one reads through, comparison and past: searched, sorted and left by the same few
//! keys, pressed as a keyboard sends them.
#![expect(clippy::unwrap_used, reason = "test code: a broken walk must stop")]

use crate::services::{MORNING, Service as Walk, flat_four, later, signature};
use crate::trend::{
    made::{Made, history},
    sheets::engine,
};
use cowlside::domain::compare::compare;
use cowlside::domain::entry::{Moment, Step};
use cowlside::domain::service::Service;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::report::history_sheet::pages;
use cowlside::tui::app::{App, Carried, Top};
use cowlside::tui::bench::Bench;
use cowlside::tui::job::Table;
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::update::update;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{compared, keymap, view};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

const SIZES: [(u16, u16); 3] = [(40, 12), (80, 24), (160, 50)];

pub fn shop() -> App<Bench> {
    let rows = vec![vec!["Trainer two".to_string()], vec!["a new engine".to_string()]];
    let table = Table { title: "Which engine?".into(), rows, ..Table::default() };
    App::new(table, None, ThemeName::default(), Colours::Off, Ink::default())
}

/// Exhaust 3 closed by two leaves and is still in limits, exhaust 4 was found tight and left so, intake
/// 1 moved by half a leaf.
pub fn comparison() -> App<Bench> {
    let mut older = Walk::begun(flat_four(), "winter check", MORNING, 36_260);
    older.sign(signature());
    let mut newer = Walk::begun(flat_four(), "spring check", later(MORNING, 60), 41_260);
    let valve = |cylinder, kind| Valve { cylinder, kind, number: 1 };
    newer.readings = vec![
        (valve(3, Kind::Exhaust), Step::Found, "8"),
        (valve(1, Kind::Intake), Step::Found, "5/6"),
        (valve(4, Kind::Exhaust), Step::Found, "3"),
    ];
    newer.sign(signature());
    let [older, newer] = [&older, &newer].map(|walk| Service::of(&walk.session));
    shop().with(Carried::Table(compared::table(&compare(&older, &newer))))
}

pub fn past() -> App<Bench> {
    shop().with(Carried::Past(past_pages()))
}

pub fn past_pages() -> Vec<cowlside::report::history_sheet::Page> {
    pages(&history(&engine()))
}

#[test]
fn the_foot_of_a_review_names_the_number_pads_way() {
    for app in [past(), comparison()] {
        // A window of 40 columns has room for one of the ways back.
        for (width, height) in [SIZES[1], SIZES[2]] {
            let area = Rect::new(0, 0, width, height);
            let mut buf = Buffer::empty(area);
            view::paint(&app, area, &mut buf);
            let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
            let foot: String = (height - 3..height).map(row).collect();
            assert!(foot.contains("+ - page"), "{width}: {foot}");
            // Where a past names its valves there is no room for the second way back.
            let valves = width < 160 && foot.contains("left right valves");
            assert!(foot.contains("Enter back") || valves, "{width}: {foot}");
        }
    }
}

/// Presses keys, far enough apart to be meant: words name keys, anything else is typed.
pub fn press(app: &App<Bench>, keys: &str) -> App<Bench> {
    let mut app = app.clone();
    let mut ms = 0;
    for word in keys.split(' ') {
        let codes: Vec<KeyCode> = match word {
            "Esc" => vec![KeyCode::Esc],
            "Enter" => vec![KeyCode::Enter],
            "Down" => vec![KeyCode::Down],
            "Up" => vec![KeyCode::Up],
            "Right" => vec![KeyCode::Right],
            "Left" => vec![KeyCode::Left],
            "Backspace" => vec![KeyCode::Backspace],
            "PageDown" => vec![KeyCode::PageDown],
            "PageUp" => vec![KeyCode::PageUp],
            "End" => vec![KeyCode::End],
            "blank" => vec![KeyCode::Char(' ')],
            letters => letters.chars().map(KeyCode::Char).collect(),
        };
        for code in codes {
            ms += 1000;
            let key = KeyEvent::new(code, KeyModifiers::NONE);
            let action = keymap::action(key, app.place(), app.begun()).unwrap();
            app = update(&app, &action, Moment { unix_ms: ms, offset_min: 0 }).0;
        }
    }
    app
}

pub fn shot(app: &App<Bench>, (width, height): (u16, u16)) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

/// The valves at the beginning of the lines, in their order.
fn valves(app: &App<Bench>) -> Vec<String> {
    let picture = shot(app, (100, 50));
    let of = |line: &str| {
        let mut words = line.trim_start_matches('|').split_whitespace();
        let (cylinder, kind) = (words.next()?, words.next()?);
        let named = cylinder.parse::<u8>().is_ok() && matches!(kind, "intake" | "exhaust");
        named.then(|| format!("{cylinder} {kind}"))
    };
    picture.lines().filter_map(of).collect()
}

fn says(app: &App<Bench>, words: &str) -> bool {
    shot(app, (80, 24)).contains(words)
}

#[test]
fn a_comparison_is_sorted_by_one_key_and_says_how() {
    let app = comparison();
    assert!(says(&app, "8 valves, by valve"), "{}", shot(&app, (80, 24)));
    assert_eq!(valves(&app)[..2], ["1 intake", "1 exhaust"]);
    let moved = press(&app, ".");
    assert!(says(&moved, "8 valves, what moved most first"));
    assert_eq!(valves(&moved)[..3], ["4 exhaust", "3 exhaust", "1 intake"]);
    // A number pad of another country has a comma there.
    let grave = press(&moved, ",");
    assert!(says(&grave, "8 valves, gravest verdict first"));
    assert_eq!(valves(&grave)[0], "4 exhaust");
    assert_eq!(valves(&press(&grave, ".")), valves(&app), "and round again");
}

#[test]
fn a_comparison_is_searched_by_valve_by_way_and_by_verdict() {
    let app = comparison();
    assert_eq!(valves(&press(&app, "3")), ["3 intake", "3 exhaust"]);
    assert_eq!(valves(&press(&app, "ex")).len(), 4);
    assert_eq!(valves(&press(&app, "closed")), ["3 exhaust", "4 exhaust"]);
    let tight = press(&app, "tight");
    assert_eq!(valves(&tight), ["4 exhaust"]);
    assert!(says(&tight, "search: tight_ 1 of 8, by valve"), "{}", shot(&tight, (80, 24)));
    let both = press(&app, "ex blank 3");
    assert_eq!(valves(&both), ["3 exhaust"], "all the words");
    let nothing = press(&app, "xyz");
    assert_eq!(valves(&nothing), [""; 0]);
    assert!(says(&nothing, "nothing found; Esc: all"));
    assert_eq!(valves(&press(&nothing, "Backspace Backspace Backspace")).len(), 8);
}

#[test]
fn what_is_searched_is_cleared_before_one_goes_back_and_sorted_meanwhile() {
    for app in [comparison(), past()] {
        let sorted = press(&app, "exhaust .");
        assert_eq!(valves(&sorted).len(), 4, "{}", shot(&sorted, (80, 24)));
        assert!(says(&sorted, "4 of 8"));
        // Enter ends no search: what was found stays.
        assert_eq!(valves(&press(&sorted, "Enter")), valves(&sorted));
        for clear in ["Esc", "*"] {
            let all = press(&sorted, clear);
            assert_eq!((valves(&all).len(), all.place()), (8, keymap::Place::Review));
            for back in ["Esc", "*", "-", "Enter"] {
                assert_eq!(press(&all, back).place(), keymap::Place::Shop, "{back}");
            }
        }
        // Help lies above both, and gives them back.
        let helped = press(&sorted, "? ?");
        assert_eq!(shot(&helped, (80, 24)), shot(&sorted, (80, 24)));
    }
}

#[test]
fn a_past_is_searched_and_sorted_by_valve_and_its_valves_are_leafed_through_so() {
    let app = past();
    assert!(says(&app, "8 valves, by valve"));
    assert!(says(&press(&app, "Right"), "1 intake, limits"));
    let first = press(&app, ". Right");
    assert!(says(&first, "1 exhaust, limits"), "what stands out first: {}", shot(&first, (80, 24)));
    let third = press(&app, "3 Right");
    assert!(says(&third, "3 intake, limits") && says(&third, "page 2 of 3"));
    let last = press(&third, "Right");
    assert!(says(&last, "3 exhaust, limits") && says(&last, "page 3 of 3"));
    assert!(says(&press(&last, "Left"), "page 2 of 3"));
    let further = press(&last, "Right");
    assert!(says(&further, "there is no further page") && says(&further, "page 3 of 3"));
    // Up and down move over the lines, as in every other review.
    let mut small = third.clone();
    small.room = (40, 12);
    let moved = press(&small, "Down");
    assert!(shot(&moved, (40, 12)) != shot(&small, (40, 12)) && says(&moved, "page 2 of 3"));
    assert_eq!(shot(&press(&moved, "Up"), (40, 12)), shot(&small, (40, 12)));
    assert!(shot(&small, (40, 12)).contains("left right valves"));
    assert!(!shot(&comparison(), (80, 24)).contains("left right"), "a table has no neighbour");
    for order in
        ["by valve", "what stands out first", "what drifts most first", "nearest its limit"]
    {
        let mut app = app.clone();
        while !says(&app, order) {
            app = press(&app, ".");
        }
        assert_eq!(valves(&app).len(), 8, "{order}");
    }
}

#[test]
fn further_down_a_comparison_the_rows_have_the_room_of_what_is_told_above_them() {
    let small = (40, 12);
    let mut app = comparison();
    app.room = small;
    let rows = |screen: &str| {
        let names = ["intake", "exhaust"];
        let row = |line: &&str| {
            let mut words = line.trim_start_matches('|').split(' ');
            let number = words.next().is_some_and(|word| word.parse::<u8>().is_ok());
            number && words.next().is_some_and(|word| names.contains(&word))
        };
        screen.lines().filter(row).count()
    };
    assert!(shot(&app, small).contains("CLOSING EXHAUST"), "{}", shot(&app, small));
    let down = press(&app, "Down");
    let screen = shot(&down, small);
    assert!(rows(&screen) >= 1 && !screen.contains("CLOSING EXHAUST"), "{screen}");
    // Nothing is leapt over on the way, and back at the first row it is all told again.
    let mut seen = rows(&shot(&app, small));
    let mut at = app.clone();
    for _ in 0..8 {
        at = press(&at, "Down");
        seen += rows(&shot(&at, small));
    }
    assert!(seen >= 8);
    assert_eq!(shot(&press(&down, "Up"), small), shot(&app, small));
}

#[test]
fn what_each_valve_does_stands_in_one_column_where_its_row_is_folded_too() {
    for window in [(40, 12), (60, 20), (80, 24)] {
        // Found, so that the rows come first in a small window.
        let mut app = press(&past(), "i");
        app.room = window;
        let screen = shot(&app, window);
        let rows = screen.lines().filter(|line| line.contains("drift: "));
        let at: Vec<Option<usize>> = rows.map(|line| line.find("drift: ")).collect();
        assert!(
            at.len() >= 2 && at.windows(2).all(|two| two[0] == two[1]),
            "{window:?}:\n{screen}"
        );
        // What goes on in the next line goes on under it.
        let lines: Vec<&str> = screen.lines().map(|line| line.trim_matches('|')).collect();
        for two in lines.windows(2).filter(|two| two[0].contains("drift: ")) {
            let blanks = two[1].len() - two[1].trim_start().len();
            assert!(blanks == 0 || Some(blanks + 1) == at[0], "{window:?}:\n{screen}");
        }
    }
}

#[test]
fn the_number_pad_leafs_through_the_valves_and_their_charts_and_back() {
    let place = |app: &App<Bench>| match &app.top {
        Top::Past(past) => past.place(),
        other => panic!("{other:?}"),
    };
    for room in SIZES {
        let mut app = past();
        app.room = room;
        let (_, pages) = place(&app);
        let mut met = vec![0];
        for _ in 0..200 {
            app = press(&app, "+");
            met.push(place(&app).0);
        }
        met.dedup();
        assert_eq!(met, (0..pages).collect::<Vec<_>>(), "{room:?}");
        while place(&app).0 > 0 {
            app = press(&app, "-");
        }
        for _ in 0..200 {
            app = if app.top == Top::Nothing { app } else { press(&app, "-") };
        }
        assert_eq!(app.top, Top::Nothing, "back from the first one");
    }
}

#[test]
fn the_services_of_a_valve_are_sorted_and_searched_on_its_page() {
    let page = press(&past(), ". Right");
    let hours = |app: &App<Bench>| {
        let lines = shot(app, (160, 50));
        let of = |line: &str| {
            let mut words = line.trim_start_matches('|').split_whitespace();
            let hours = words.next().filter(|hours| hours.parse::<f64>().is_ok())?.to_string();
            words.next().filter(|day| day.starts_with("2026-")).map(|_| hours)
        };
        lines.lines().filter_map(of).collect::<Vec<_>>()
    };
    let newest = ["600.0", "500.0", "400.0", "300.0", "200.0", "100.0"];
    assert_eq!(hours(&page), newest);
    assert!(says(&page, "6 services, newest first"));
    let oldest = press(&page, ".");
    assert!(says(&oldest, "6 services, oldest first"));
    assert_eq!(hours(&oldest)[0], "100.0");
    assert_eq!(hours(&press(&oldest, "."))[..2], ["500.0", "300.0"], "0.26 before 0.28");
    let april = press(&page, "2026-04");
    assert_eq!(hours(&april), ["400.0", "300.0", "200.0"]);
    assert!(says(&april, "search: 2026-04_ 3 of 6 services, newest first"));
    assert_eq!(hours(&press(&april, "Esc")), newest);
    assert_eq!(hours(&press(&april, "Right")).len(), 6, "another valve is shown whole");
}

/// Every size in which such a screen is looked at anywhere, and the largest.
const ALL_SIZES: [(u16, u16); 9] = [
    (40, 12),
    (60, 20),
    (80, 24),
    (104, 30),
    (120, 40),
    (160, 50),
    (200, 60),
    (200, 80),
    (300, 100),
];

#[test]
fn a_past_without_a_chart_is_shown_in_the_largest_window() {
    for size in ALL_SIZES {
        let nothing = shot(&press(&past(), "zz"), size);
        assert!(nothing.contains("nothing found; Esc: all"), "{size:?}: {nothing}");
        // Page by page: none has the charts of all beside its own.
        let mut app = past();
        for page in 2..=9 {
            app = press(&app, "Right");
            let shown = shot(&app, size);
            assert!(shown.contains(&format!("page {page} of 9")), "{size:?}: {shown}");
            assert!(shown.contains("limits"), "{size:?}: {shown}");
        }
    }
}

#[test]
fn a_past_of_which_nobody_knows_the_hours_or_a_valve_has_no_figures_is_shown_without_charts() {
    let without_hours = |made: Made| {
        let mut made = made;
        made.service.hours = None;
        made
    };
    let without_a_figure = |made: Made| {
        let valve = Valve { cylinder: 2, kind: Kind::Exhaust, number: 1 };
        made.read(valve, "", "")
    };
    let hours = engine().into_iter().map(without_hours).collect::<Vec<_>>();
    let figures = engine().into_iter().map(without_a_figure).collect::<Vec<_>>();
    for (made, charts) in [(hours, false), (figures, true)] {
        let app = shop().with(Carried::Past(pages(&history(&made))));
        for size in ALL_SIZES {
            let mut app = app.clone();
            let (glance, count) = (shot(&app, size), pages(&history(&made)).len());
            if size == (200, 80) {
                assert_eq!(glance.contains("--- "), charts, "{glance}");
            }
            for page in 2..=count {
                app = press(&app, "Right");
                let shown = shot(&app, size);
                assert!(shown.contains(&format!("page {page} of {count}")), "{shown}");
            }
        }
    }
}

#[test]
fn reviews_read_well_at_every_size_sorted_and_searched() {
    let (compared, past) = (comparison(), past());
    for size @ (width, height) in SIZES {
        for (name, app) in [
            ("review_moved", press(&compared, ".")),
            ("review_searched", press(&compared, "closed .")),
            ("review_past_searched", press(&past, "ex .")),
            ("review_services_searched", press(&past, ". Right 2026-04")),
        ] {
            let picture = shot(&app, size);
            assert!(picture.contains("Esc back") && picture.contains('?'), "{picture}");
            insta::with_settings!({
                snapshot_path => "../../snapshots",
                prepend_module_to_snapshot => false,
                omit_expression => true,
            }, {
                insta::assert_snapshot!(format!("{name}_{width}x{height}"), picture);
            });
        }
    }
}

#[test]
fn long_lines_above_a_list_leave_its_rows_their_room_in_a_small_window() {
    let lines = vec!["note the code on the job sheet and keep it apart ".repeat(8)];
    let rows = vec![vec!["Trainer two".to_string()], vec!["a new engine".to_string()]];
    let table = Table { title: "Which engine?".into(), lines, rows, ..Table::default() };
    let app: App<Bench> = App::new(table, None, ThemeName::default(), Colours::Off, Ink::default());
    let shown = shot(&app, (40, 12));
    assert!(shown.contains("Trainer two") && shown.contains("a new engine"), "{shown}");
    assert!(shown.contains(" (5 more: ?)|"), "what is left out is counted: {shown}");
}

#[test]
fn what_a_comparison_has_no_room_for_above_its_rows_is_counted_and_the_help_has_it() {
    let app = comparison();
    let told = app.list().unwrap().table.lines.clone();
    let shown = shot(&app, (40, 12));
    assert!(!shown.contains("A minus means closing.") && shown.contains(" (3 more: ?)"), "{shown}");
    let mut help = press(&app, "?");
    let mut read = shot(&help, (40, 12));
    for _ in 0..6 {
        help.room = (40, 12);
        help = press(&help, "PageDown");
        read += &shot(&help, (40, 12));
    }
    let words: Vec<&str> = read.split([' ', '|', '\n']).filter(|word| !word.is_empty()).collect();
    for line in &told {
        let mut rest = words.iter();
        assert!(line.split(' ').all(|word| rest.any(|read| *read == word)), "{line}\n{read}");
    }
    // Whoever searches in vain is told how to erase it.
    let vain = shot(&press(&app, "xyz"), (40, 12));
    assert!(vain.contains("nothing found"), "{vain}");
    assert!(vain.contains("|Backspace erase  Esc back  ? keys "), "{vain}");
}

#[test]
fn the_engine_under_the_cursor_is_large_in_a_roomy_window_and_a_helps_title_no_larger() {
    let inked = |shown: &str| {
        shown.lines().filter(|line| line.matches(['█', '▀', '▄']).count() > 1).count()
    };
    let app = shop();
    assert_eq!(inked(&shot(&app, (80, 24))), 0);
    assert!(inked(&shot(&app, (120, 40))) >= 5, "{}", shot(&app, (120, 40)));
    let other = press(&app, "Down");
    assert_ne!(shot(&app, (160, 50)), shot(&other, (160, 50)));
    for app in [&app, &comparison()] {
        let help = shot(&press(app, "?"), (160, 50));
        assert!((3..=7).contains(&inked(&help)), "{help}");
    }
}
