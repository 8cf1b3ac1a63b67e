//! What the screens look like, at the sizes that laptops and zoomed terminals have.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use crate::engines::{all_engines, flat_six, radial_eighteen, radial_nine};
use cowlside::domain::valve::{Kind, Standing, Valve};
use cowlside::guide::{Big, Choice, Field, Prompt, Typed};
use cowlside::tui::keymap::{Action, Begun, Place, hints};
use cowlside::tui::screens::Note;
use cowlside::tui::screens::frame::Around;
use cowlside::tui::screens::notice::{self, NoticeView};
use cowlside::tui::screens::session::{self, SessionView};
use cowlside::tui::screens::table::{self, Choosing, TableView};
use cowlside::tui::theme::{Colours, Role, Theme, ThemeName};
use cowlside::tui::widgets::digits::{self, Ink, Size};
use cowlside::tui::widgets::engine::{Detail, EngineView, sign, word};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use std::collections::BTreeSet;

const SIZES: [(u16, u16); 3] = [(80, 24), (40, 12), (160, 50)];

fn shown<T>(width: u16, height: u16, paint: impl FnOnce(Rect, &mut Buffer) -> T) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    paint(area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| format!("|{}|\n", row(y))).collect()
}

fn keep(name: &str, width: u16, height: u16, picture: &str) {
    insta::with_settings!({
        snapshot_path => "../../snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        insta::assert_snapshot!(format!("{name}_{width}x{height}"), picture);
    });
}

fn keep_session(name: &str, view: &SessionView) {
    for (width, height) in SIZES {
        let picture =
            shown(width, height, |area, buf| session::paint(view, Theme::plain(), area, buf));
        keep(name, width, height, &picture);
    }
}

const STANDINGS: [Standing; 12] = [
    Standing::OutOfScope,
    Standing::NotYet,
    Standing::DueNow,
    Standing::Tight,
    Standing::Loose,
    Standing::Undecided,
    Standing::InLimits,
    Standing::Setting,
    Standing::PartOut,
    Standing::Set,
    Standing::Rechecked,
    Standing::Skipped,
];

/// As in the middle of a first round: 1 and 4 are done, 5 is gauged now, 6 watched.
fn midway(valve: Valve) -> Standing {
    match (valve.cylinder, valve.kind) {
        (1, Kind::Intake) => Standing::InLimits,
        (1, Kind::Exhaust) => Standing::Set,
        (4, Kind::Intake) => Standing::InLimits,
        (4, Kind::Exhaust) => Standing::Setting,
        (5, Kind::Intake) => Standing::Loose,
        (5, Kind::Exhaust) => Standing::DueNow,
        (_, _) => Standing::NotYet,
    }
}

fn around(place: &str, keys: Place) -> Around {
    Around {
        alert: None,
        open: vec![],
        status: "D-1 flat six, screw adjusters".into(),
        hours: String::new(),
        places: vec![place.into()],
        note: None,
        hints: hints(keys, Begun::No, |action| !matches!(action, Action::Back | Action::Picture)),
        typing: None,
    }
}

fn lines(lines: &[&str]) -> Vec<String> {
    lines.iter().map(|line| (*line).to_owned()).collect()
}

fn question(typed: Option<Typed>, choices: &[(u8, &str)], enter: Option<&str>) -> Field {
    Field {
        choices: choices
            .iter()
            .map(|&(digit, label)| Choice { digit, label: label.into() })
            .collect(),
        typed,
        enter: enter.map(str::to_owned),
        ..Field::default()
    }
}

fn reading() -> SessionView {
    let prompt = Prompt {
        place: "round 1 of 2 · stop 3 of 6".into(),
        title: "Gauge 5 exhaust".into(),
        big: Some(Box::new(Big {
            text: "5 EX".into(),
            caption: "right bank, 3rd from the propeller end".into(),
            ..Big::default()
        })),
        lines: lines(&[
            "Crank: 2 stands at overlap, stay here for both valves of 5.",
            "Leaves 25 30 35 of the metric set; 14 mm ring, 6 mm hex.",
            "6 drags lightly: 6. Goes freely and 7 will not: 6/7. Nothing goes: 0.",
        ]),
        ask: "Which leaf drags in 5 exhaust?".into(),
        field: question(Some(Typed::Reading), &[], None),
        ..Prompt::default()
    };
    SessionView {
        around: Around {
            open: lines(&["nut slack: 4 exhaust"]),
            ..around("round 1 of 2 · stop 3 of 6", Place::Reading)
        },
        prompt,
        entry: String::new(),
        taken_for: String::new(),
        was_said: None,
        engine: Some(EngineView::new(&flat_six(), midway, Some(2), &[5]).into()),
        where_free: None,
        picture: None,
        ink: Ink::Blocks,
        first: 0,
    }
}

fn typed_reading() -> SessionView {
    let mut view = reading();
    view.entry = "0,30/35".into();
    view.taken_for = "0.30 mm goes, 0.35 mm does not".into();
    view.around.hints = hints(Place::Reading, Begun::Yes, |action| *action != Action::Back);
    view.around.note = Some(Note::warning(
        "40 is no leaf of the metric set and no stack of two: kept only when you type it again",
    ));
    view
}

fn turn() -> SessionView {
    let prompt = Prompt {
        place: "round 1 of 2 · stop 3 of 6".into(),
        title: "Bring 2 to overlap".into(),
        big: Some(Box::new(Big {
            text: "2".into(),
            caption: "left bank, 1st from the propeller end".into(),
            ..Big::default()
        })),
        lines: lines(&[
            "Turn on 240° as it runs: two thirds of a turn, 2 blades pass.",
            "Clockwise as the manual has it (seen from the rear); facing the propeller pull the right-hand blade down.",
            "Anywhere from 45° short to 95° past will do. Never turn back.",
            "Carry: leaves 15 20 25 30 35, 14 mm ring, 6 mm hex.",
            "Then gauge 5: intake and exhaust.",
        ]),
        ask: "What does 2 show?".into(),
        field: question(
            None,
            &[
                (1, "at overlap: exhaust nearly shut, intake just opening"),
                (2, "another cylinder is at overlap"),
                (0, "cannot tell: start from the plugs again"),
            ],
            None,
        ),
        ..Prompt::default()
    };
    SessionView {
        around: around("round 1 of 2 · stop 3 of 6", Place::Choice), prompt, ..reading()
    }
}

fn set() -> SessionView {
    let prompt = Prompt {
        place: "round 1 of 2 · stop 3 of 6".into(),
        title: "Set 4 exhaust: screw in".into(),
        big: Some(Box::new(Big {
            text: "TIGHT".into(),
            caption: "4 exhaust, left bank".into(),
            ..Big::default()
        })),
        lines: lines(&[
            "Screw OUT 25°, a twelfth of a turn.",
            "Hold the screw, lock the nut to 20 N·m, gauge again.",
        ]),
        ask: "Which leaf drags with the nut locked?".into(),
        field: question(Some(Typed::Reading), &[], Some("the same leaf as before")),
        ..Prompt::default()
    };
    SessionView { prompt, ..reading() }
}

fn remark() -> SessionView {
    let prompt = Prompt {
        place: "remark".into(),
        title: "A remark on cylinder 3".into(),
        big: None,
        lines: vec![],
        ask: "What was seen?".into(),
        field: question(Some(Typed::Text), &[], None),
        ..Prompt::default()
    };
    let mut view =
        SessionView { prompt, entry: "oil weeps at the lower pushrod tube".into(), ..reading() };
    view.around = around("remark", Place::Text);
    view
}

fn away() -> NoticeView {
    NoticeView {
        words: "DO NOT TURN".into(),
        loose: Some("4 EXH SLACK".into()),
        lines: lines(&[
            "nut slack: 4 exhaust",
            "valve unloaded: 8 intake",
            "J. S. is away since 14:05",
        ]),
        kinds: vec!["NUTS SLACK", "VALVES UNLOADED", "more lines"],
        first: 0,
        hint: "Enter: back at work".into(),
        ink: Ink::Blocks,
    }
}

fn comparison() -> TableView {
    let row = |valve: &str, moved: &str, verdict: &str| {
        [valve, "0.30", "0.27", moved, verdict].map(str::to_owned).to_vec()
    };
    TableView {
        around: around("", Place::Page),
        title: "Against the session of 2026-03-02, 512.4 h".into(),
        lines: lines(&["mm, as left then and as found now"]),
        head: lines(&["valve", "left", "found", "moved", "found is"]),
        rows: (1..=20)
            .map(|cylinder| {
                row(&format!("{cylinder} exhaust"), "-0.03 (-0.05 to -0.01)", "in limits")
            })
            .collect(),
        choosing: Choosing::ReadOnly,
        numbers: Vec::new(),
        cursor: 17,
        large: Some(("18 EXHAUST 0.27 -0.03".into(), 15)),
        ..TableView::default()
    }
}

fn commands() -> TableView {
    let rows = [
        "I see a cylinder at overlap",
        "remark",
        "skip",
        "called away",
        "who works",
        "figures amended: a long line that says more than the window is wide, so that it has to be cut and is written in full beneath the list",
    ];
    TableView {
        around: around("", Place::List),
        title: "What else can be done now".into(),
        lines: vec![],
        head: vec![],
        rows: rows.iter().map(|row| vec![(*row).to_owned()]).collect(),
        choosing: Choosing::Numbered,
        numbers: Vec::new(),
        cursor: 5,
        ..TableView::default()
    }
}

#[test]
fn a_reading_is_asked_for_with_everything_of_its_stop_in_sight() {
    keep_session("reading", &reading());
}

#[test]
fn what_was_typed_stands_above_what_it_is_taken_for() {
    keep_session("reading_typed", &typed_reading());
}

#[test]
fn a_turn_is_told_with_its_answers_numbered() {
    keep_session("turn", &turn());
}

#[test]
fn a_verdict_is_a_large_word() {
    keep_session("set", &set());
}

#[test]
fn a_remark_is_typed_without_letters_meaning_anything_else() {
    keep_session("remark", &remark());
}

#[test]
fn a_radial_is_a_ring_seen_from_the_rear() {
    let engine = Some(EngineView::new(&radial_nine(), midway, Some(9), &[5]).into());
    keep_session("reading_radial_nine", &SessionView { engine, ..reading() });
}

#[test]
fn two_rows_of_a_radial_are_two_rings() {
    let engine = Some(EngineView::new(&radial_eighteen(), midway, Some(9), &[5]).into());
    keep_session("reading_radial_eighteen", &SessionView { engine, ..reading() });
}

#[test]
fn a_notice_with_more_than_it_has_room_for_counts_the_rest_by_kind_and_scrolls() {
    let nuts = (1..=6).map(|cylinder| format!("NUT SLACK: {cylinder} exhaust"));
    let lines: Vec<String> =
        nuts.chain(lines(&["Test six: valve service under way", "left by AF"])).collect();
    let kinds = [vec!["NUTS SLACK"; 6], vec!["more lines"; 2]].concat();
    let view = |first| NoticeView { lines: lines.clone(), kinds: kinds.clone(), first, ..away() };
    let paint =
        |first| shown(40, 12, |area, buf| notice::paint(&view(first), Theme::plain(), area, buf));
    let picture = paint(0);
    assert!(
        picture.contains("NUT SLACK: 1 exhaust") && picture.contains("Enter: back"),
        "{picture}"
    );
    assert!(picture.contains("arrows: ") && picture.contains("NUTS SLACK, 2 more"), "{picture}");
    assert!(paint(99).contains("left by AF"), "{}", paint(99));
    assert!(!paint(1).contains("NUT SLACK: 1 exhaust"), "{}", paint(1));
}

#[test]
fn a_notice_is_readable_across_the_hangar() {
    for (width, height) in SIZES {
        let picture =
            shown(width, height, |area, buf| notice::paint(&away(), Theme::plain(), area, buf));
        keep("notice", width, height, &picture);
        let plain = NoticeView { ink: Ink::Hash, ..away() };
        let picture =
            shown(width, height, |area, buf| notice::paint(&plain, Theme::plain(), area, buf));
        keep("notice_ascii", width, height, &picture);
    }
}

#[test]
fn tables_are_looked_through_by_the_page() {
    for (width, height) in SIZES {
        for (name, view) in [("comparison", comparison()), ("commands", commands())] {
            let picture =
                shown(width, height, |area, buf| table::paint(&view, Theme::plain(), area, buf));
            keep(name, width, height, &picture);
        }
    }
}

#[test]
fn every_engine_is_drawn_as_it_lies() {
    for (name, profile) in all_engines() {
        let view = EngineView::new(&profile, midway, Some(2), &[1]);
        let pictures = Detail::ALL.map(|detail| match view.size(detail, 120, 48) {
            Some((width, height)) => {
                shown(width, height, |area, buf| view.paint(detail, Theme::plain(), area, buf))
            }
            None => "no room\n".to_owned(),
        });
        keep(&format!("engine_{name}"), 120, 48, &pictures.join("\n"));
    }
}

#[test]
fn large_digits_look_as_drawn() {
    let mut pictures = String::new();
    let texts = [
        "0123456789",
        "0.15 mm",
        "25+6",
        "6/7",
        "-12°C",
        "TIGHT",
        "LOOSE",
        "IN EX",
        "ABCDEFGHIJKLM",
        "NOPQRSTUVWXYZ",
        "<=>±:?!()·,µm",
    ];
    for size in Size::ALL.iter().skip(4) {
        for text in texts {
            let paint = |area: Rect, buf: &mut Buffer| {
                digits::paint(text, *size, Ink::Blocks, Style::new(), area, buf);
            };
            pictures += &shown(size.columns(text), size.rows(), paint);
            pictures.push('\n');
        }
    }
    let hash = |area: Rect, buf: &mut Buffer| {
        digits::paint("6+7", Size::ALL[6], Ink::Hash, Style::new(), area, buf);
    };
    pictures += &shown(22, 5, hash);
    keep("digits", 0, 0, &pictures);
}

#[test]
fn every_standing_has_a_word_and_a_sign_of_its_own() {
    let words: BTreeSet<_> = STANDINGS.iter().map(|standing| word(*standing)).collect();
    let signs: BTreeSet<_> = STANDINGS.iter().map(|standing| sign(*standing)).collect();
    assert_eq!((words.len(), signs.len()), (STANDINGS.len(), STANDINGS.len()));
}

#[test]
fn every_sign_on_a_drawing_stands_in_its_legend() {
    for standing in STANDINGS {
        let view = EngineView::new(&flat_six(), |_| standing, None, &[]);
        let (width, height) = view.size(Detail::Signs, 40, 20).unwrap();
        let picture =
            shown(width, height, |area, buf| view.paint(Detail::Signs, Theme::plain(), area, buf));
        assert!(picture.contains(&format!("{} {}", sign(standing), word(standing))), "{picture}");
    }
}

#[test]
fn no_size_of_window_breaks_a_screen() {
    let sizes = (0..=30).flat_map(|width| (0..=12).map(move |height| (width, height)));
    let large =
        [(59, 20), (60, 19), (60, 20), (61, 21), (500, 200), (200, 500), (60, 300), (2000, 20)];
    for (width, height) in sizes.chain(large) {
        for view in [reading(), typed_reading(), turn(), set(), remark()] {
            shown(width, height, |area, buf| session::paint(&view, Theme::plain(), area, buf));
        }
        for view in [comparison(), commands()] {
            shown(width, height, |area, buf| table::paint(&view, Theme::plain(), area, buf));
        }
        shown(width, height, |area, buf| notice::paint(&away(), Theme::plain(), area, buf));
    }
}

#[test]
fn the_entry_and_the_question_are_seen_at_every_size_from_forty_by_twelve_up() {
    for (_, profile) in all_engines() {
        let engine = Some(EngineView::new(&profile, midway, Some(2), &[1]));
        for (width, height) in
            [(40, 12), (60, 20), (70, 22), (80, 24), (100, 30), (132, 43), (160, 50), (300, 90)]
        {
            for view in [reading(), set()] {
                let view = SessionView { engine: engine.clone().map(Into::into), ..view };
                let picture = shown(width, height, |area, buf| {
                    session::paint(&view, Theme::plain(), area, buf)
                });
                for wanted in ["> ", "leaf drags", "nut slack"] {
                    assert!(picture.contains(wanted), "{wanted} at {width}x{height}\n{picture}");
                }
                // The way to all keys stands after others or begins the second line of them.
                let way = picture.contains("  ?") || picture.contains("|? help");
                assert!(way, "? at {width}x{height}\n{picture}");
            }
        }
    }
}

#[test]
fn in_a_window_too_small_the_entry_is_kept_in_sight() {
    let picture =
        shown(40, 3, |area, buf| session::paint(&typed_reading(), Theme::plain(), area, buf));
    assert!(picture.contains("40x12 needed, this is 40x3"), "{picture}");
    assert!(picture.contains("> 0,30/35"), "{picture}");
}

#[test]
fn roles_reach_their_cells() {
    let area = Rect::new(0, 0, 80, 24);
    let dark = Theme::new(ThemeName::Dark, Colours::Allowed);
    for theme in [Theme::plain(), dark] {
        let mut buf = Buffer::empty(area);
        session::paint(&reading(), theme, area, &mut buf);
        let open = buf[(0, 0)].style();
        let wanted = theme.style(Role::Open);
        assert!(open.add_modifier.contains(wanted.add_modifier));
        if theme == dark {
            assert_eq!((open.fg, open.bg), (wanted.fg, wanted.bg));
            assert_eq!(buf[(40, 12)].style().bg, theme.style(Role::Text).bg);
        } else {
            assert!(open.add_modifier.contains(Modifier::REVERSED));
        }
    }
}
