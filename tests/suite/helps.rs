//! The help of every step, the bell, and the wait for a warm engine.

use crate::session::engines::flat_four;
use crate::session::harness::Service;
use crate::stand_in::{StandIn, app as stand_in_app, at};
use cowlside::domain::entry::{Entry, Reading, Step};
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::units::Temperature;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::help::{For, Kit, Piece, WIDTH, glossary, of_due, topics};
use cowlside::guide::{Answered, Command, Talk, warmth};
use cowlside::report::help_sheet::topic_text;
use cowlside::tui::app::{App, Carried, Effect, Top};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::help::{Help, lines};
use cowlside::tui::job::Table;
use cowlside::tui::keymap::{Action, Motion};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::update::update;
use cowlside::tui::widgets::digits::Ink;
use cowlside::tui::{step, view};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::BTreeSet;
use std::ops::ControlFlow;

const KITS: [Kit; 5] = [
    Kit { adjuster: Some(For::Screw), rockers: true, turned: For::Propeller },
    Kit { adjuster: Some(For::Screw), rockers: true, turned: For::Crank },
    Kit { adjuster: Some(For::Shim), rockers: false, turned: For::Crank },
    Kit { adjuster: Some(For::Rod), rockers: true, turned: For::Propeller },
    Kit { adjuster: None, rockers: true, turned: For::Crank },
];

fn screen<J: cowlside::tui::job::Job>(app: &App<J>, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let row = |y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| row(y) + "\n").collect()
}

#[test]
fn every_topic_has_a_name_of_its_own_and_says_what_how_and_what_can_go_wrong() {
    let mut names = BTreeSet::new();
    for topic in topics() {
        assert!(names.insert(topic.name), "{} stands twice", topic.name);
        let word = |letter: char| letter.is_ascii_lowercase() || letter == '-';
        assert!(topic.name.chars().all(word), "{}", topic.name);
        assert!(!topic.what.is_empty() && !topic.hands.is_empty(), "{}", topic.name);
        for say in topic.what.iter().chain(topic.hands).chain(topic.wrong) {
            assert!(say.1.is_ascii() || say.1.contains('·') || say.1.contains("°"), "{}", say.1);
            assert!(say.1.ends_with(['.', '?']) && say.1.len() <= 200, "{}: {}", topic.name, say.1);
        }
    }
    for term in glossary::TERMS {
        assert!(!term.means.is_empty());
    }
}

#[test]
fn what_is_said_of_another_kind_of_engine_is_not_said_of_this_one() {
    let set = topics().find(|topic| topic.name == "gauge").unwrap();
    let shims = topic_text(set, Some(KITS[2]));
    assert!(shims.contains("lobe") && !shims.contains("rocker") && !shims.contains("Lifter dry"));
    let screws = topic_text(set, Some(KITS[0]));
    assert!(screws.contains("pad") && !screws.contains("Wipe lobe"), "{screws}");
    let anybody = topic_text(set, None);
    assert!(
        anybody.contains("With shims: Wipe lobe") && anybody.contains("With rockers: Wipe pad")
    );
    let turn = topics().find(|topic| topic.name == "turn").unwrap();
    assert!(topic_text(turn, Some(KITS[0])).contains("blade"));
    assert!(!topic_text(turn, Some(KITS[1])).contains("blade"));
}

#[test]
fn every_line_of_every_topic_can_be_brought_onto_the_smallest_screen() {
    for (topic, kit) in topics().flat_map(|topic| KITS.map(|kit| (topic, kit))) {
        let page = topic.page(Some(kit));
        let lines = lines(&page);
        assert!(lines.iter().all(|line| line.text.chars().count() <= WIDTH), "{}", topic.name);
        let mut app = stand_in_app(Some(StandIn::default()));
        let (title, count) = (page.title.clone(), lines.len());
        let wanted: BTreeSet<String> = lines.iter().map(|line| line.text.trim().into()).collect();
        app.top = Top::Help(Box::new(Help { title, lines, first: 0, beneath: Top::Nothing }));
        app.room = (40, 12);
        let mut shown = String::new();
        for _ in 0..=count / 6 {
            shown += &screen(&app, 40, 12);
            app = update(&app, &Action::Move(Motion::Down), at(1)).0;
        }
        let missing: Vec<&String> = wanted.iter().filter(|line| !shown.contains(*line)).collect();
        assert!(missing.is_empty(), "{}: {missing:?}\n{shown}", topic.name);
    }
}

#[test]
fn a_drawing_stands_whole_on_the_smallest_screen() {
    let drawings =
        topics().flat_map(|topic| topic.page(None).pieces).filter_map(|piece| match piece {
            Piece::Drawing(drawing) => Some(drawing),
            Piece::Head(_) | Piece::Say(_) | Piece::Item(_) => None,
        });
    for drawing in drawings {
        let page = cowlside::guide::help::Page {
            title: "a drawing".into(),
            pieces: vec![Piece::Drawing(drawing)],
        };
        let mut app = stand_in_app(Some(StandIn::default()));
        let lines = lines(&page);
        let title = page.title;
        app.top = Top::Help(Box::new(Help { title, lines, first: 0, beneath: Top::Nothing }));
        let shown = screen(&app, 40, 12);
        for line in drawing.lines {
            assert!(shown.contains(line.trim_end()), "{}: {line}\n{shown}", drawing.title);
        }
    }
}

#[test]
fn the_help_is_painted_in_every_window() {
    let mut app = stand_in_app(Some(StandIn::default()));
    app = update(&app, &Action::Help, at(1)).0;
    assert!(matches!(app.top, Top::Help(_)));
    for height in 0..60 {
        for width in (0..200).step_by(7) {
            screen(&app, width, height);
        }
    }
}

#[test]
fn help_gives_back_what_it_lies_on() {
    let app = stand_in_app(Some(StandIn::default()));
    let listed = update(&app, &Action::More, at(1)).0;
    let helped = update(&listed, &Action::Help, at(2)).0;
    assert!(screen(&helped, 80, 24).contains("Everything else"));
    for close in [Action::Back, Action::Help] {
        assert_eq!(update(&helped, &close, at(3)).0.top, listed.top);
    }
    let shop = stand_in_app(None);
    let helped = update(&shop, &Action::Help, at(1)).0;
    assert!(screen(&helped, 80, 24).contains("Which engine"));
    assert!(update(&helped, &Action::Back, at(2)).0.list().is_some());
}

#[test]
fn what_a_session_asks_has_help_of_its_own() {
    let mut service = Service::new(flat_four());
    let mut met = BTreeSet::new();
    for _ in 0..200 {
        let due = service.due();
        if due == Due::Closed {
            break;
        }
        let topic = of_due(&due);
        assert!(topics().any(|known| std::ptr::eq(known, topic)), "{} is not listed", topic.name);
        met.insert(topic.name);
        let input = crate::session::mechanic::calm(&service.session, &due);
        service.tell(input);
    }
    for wanted in ["who", "manual", "cautions", "leaf-set", "scope", "turn", "gauge", "sign"] {
        assert!(met.contains(wanted), "{wanted} of {met:?}");
    }
}

fn called(session: &Session, command: Command) -> (&'static str, String) {
    let Answered::Next(talk) = Talk::call(session, command, Default::default()) else { panic!() };
    let topic = talk.topic(session);
    (topic.name, topic_text(topic, Some(KITS[0])))
}

#[test]
fn closing_unsigned_and_setting_a_valve_again_have_help_of_their_own_with_the_hands() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Sign);
    let (name, text) = called(&service.session, Command::CloseUnsigned);
    assert_eq!(name, "close-unsigned");
    assert!(text.contains("tag") && text.contains("next service"), "{text}");
    let (name, text) = called(&service.session, Command::SetAnyway);
    assert_eq!(name, "set-again");
    assert!(
        text.contains("Covers that are on come off") && text.contains("lock the nut"),
        "{text}"
    );
    // In a round it is the screw alone.
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    assert_eq!(called(&service.session, Command::SetAnyway).0, "set");
}

#[test]
fn help_on_each_leak_test_says_what_a_low_figure_means_and_where_that_stands() {
    for name in ["leak-test", "promised-test"] {
        let topic = topics().find(|topic| topic.name == name).unwrap();
        let text =
            topic_text(topic, Some(KITS[0])).split_whitespace().collect::<Vec<_>>().join(" ");
        for words in ["More than a quarter lost (less than 60 of 80)", "AC 43.13-1B, 8-14"] {
            assert!(text.contains(words), "{name}: {text}");
        }
    }
}

fn press(app: App<StandIn>, action: &Action, ms: i64, saved: bool) -> App<StandIn> {
    let mut carry_out = |_: &Effect, _| if saved { Ok(Carried::Done) } else { Err("full".into()) };
    match step(app, action, at(ms), &mut carry_out) {
        ControlFlow::Continue(app) => app,
        ControlFlow::Break(()) => panic!("it ended"),
    }
}

#[test]
fn the_bell_rings_for_a_refusal_and_for_nothing_else() {
    let app = || stand_in_app(Some(StandIn::default()));
    let rings = |action: &Action, saved| press(app(), action, 1000, saved).rings;
    assert!(rings(&Action::Digit(7), true), "none of the answers");
    assert!(rings(&Action::Digit(1), false), "not saved");
    for calm in [Action::Digit(1), Action::Theme, Action::Help, Action::More, Action::Bell] {
        assert!(!rings(&calm, true), "{calm:?}");
    }
    let mut silent = app();
    silent.bell = false;
    assert!(!press(silent.clone(), &Action::Digit(7), 1000, true).rings);
    assert!(!press(silent, &Action::Digit(1), 1000, false).rings);
    let off = press(app(), &Action::Bell, 1000, true);
    assert!(!off.bell && !press(off, &Action::Digit(7), 3000, true).rings);
    // It rings with one frame, not with those after it.
    let refused = press(app(), &Action::Digit(7), 1000, true);
    assert!(!press(refused, &Action::Nothing, 2000, true).rings);
}

fn bench(session: &Session) -> Bench {
    let session = std::sync::Arc::new(session.clone());
    let desk = Desk::Session { session, previous: None, beside: Default::default() };
    Bench::new(desk, Ink::Blocks)
}

fn on_screen(session: &Session) -> App<Bench> {
    let (theme, colours) = (ThemeName::Terminal, Colours::Off);
    App::new(Table::default(), Some(bench(session)), theme, colours, Ink::Blocks)
}

#[test]
fn the_bell_rings_where_a_reading_is_kept_that_is_not_believed() {
    let mut service = Service::new(flat_four());
    service.prepare(cowlside::domain::entry::Rounds::SetThenRecheck, None);
    service.on_to_gauge(Valve::new(1, Kind::Intake));
    let typed = |text: &str| {
        let mut app = on_screen(&service.session);
        app.entry = text.into();
        update(&app, &Action::Enter, at(9_000_000))
    };
    // Ten times the target: kept, and asked for once more.
    let (next, effect) = typed("0.6 in");
    let (next, effect) = match effect {
        Some(_) => (next, effect),
        // No leaf is so thick: sure, as typed.
        None => update(&next, &Action::Digit(1), at(9_010_000)),
    };
    let Some(Effect::Keep(entries)) = effect else { panic!("not kept: {effect:?}") };
    assert!(matches!(entries.as_slice(), [Entry::Reading(Reading { step: Step::Found, .. })]));
    assert!(next.rings);
    // One that is out of limits, yet likely, is no reason.
    let (next, effect) = typed("8");
    assert!(matches!(effect, Some(Effect::Keep(_))), "{effect:?}");
    assert!(!next.rings);
}

/// A session that found the engine too warm.
fn warm(air: &str) -> Session {
    let mut facts = flat_four();
    facts.gauge_when.no_warmer_than = Some(Temperature(35_000));
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "60 °C".into(), air: air.into() });
    assert_eq!(service.due(), Due::OutsideTemperature);
    service.session
}

#[test]
fn a_warm_engine_is_waited_for_minute_by_minute_and_rung_for_once() {
    let session = warm("20 °C");
    let wait = warmth::wait(&session).unwrap();
    let later = |ms: i64| at(wait.since.unix_ms + ms);
    assert_eq!(wait.again.unwrap().unix_ms, wait.since.unix_ms + 600_000, "ten minutes");
    let mut app = on_screen(&session);
    assert_eq!(app.changes_in_ms(), None, "no time was told yet");
    app = app.told_time(later(0));
    assert!(screen(&app, 80, 24).contains("Waited 0 min"), "{}", screen(&app, 80, 24));
    assert_eq!(app.changes_in_ms(), Some(60_000));
    app = app.told_time(later(150_500));
    assert!(screen(&app, 80, 24).contains("Waited 2 min since"));
    assert_eq!((app.changes_in_ms(), app.rings), (Some(29_500), false));
    // A number alone may be anything; the hour stands there in the smallest window too.
    for (width, height) in [(40, 12), (60, 20)] {
        let shown = screen(&app, width, height);
        assert!(shown.contains("Measure again at ") && shown.contains("2 min"), "{shown}");
    }
    let big = app.prompt().map(|prompt| wait.shown_in(prompt, later(0))).unwrap().big.unwrap();
    assert_eq!(big.text, "10 MIN");
    app = app.told_time(later(600_000));
    let shown = screen(&app, 80, 24);
    assert!(shown.contains("Waited 10 min. It is time to measure again."), "{shown}");
    assert!(app.rings);
    app = app.told_time(later(660_000));
    assert!(!app.rings, "once");
    let mut silent = on_screen(&session);
    silent.bell = false;
    assert!(!silent.told_time(later(600_000)).rings);
}

#[test]
fn with_two_temperatures_the_wait_is_the_estimate() {
    // check-values 8.5 (derived): 90 °C, an hour later 60 °C in air of 20 °C: below 35 °C 165 min
    // after the first.
    let mut facts = flat_four();
    facts.gauge_when.no_warmer_than = Some(Temperature(35_000));
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| *due != Due::Temperature);
    let told = |head: &str| Input::Temperature { head: head.into(), air: "20 °C".into() };
    service.tell(told("90 °C")).tell(told("60 °C"));
    let mut kept = service.session.kept.clone();
    let first = kept[kept.len() - 2].at;
    let last = kept.last_mut().unwrap();
    last.at.unix_ms = first.unix_ms + 3_600_000;
    let session = Session::replay(&kept).unwrap();
    let wait = warmth::wait(&session).unwrap();
    let minutes = (wait.again.unwrap().unix_ms - first.unix_ms) as f64 / 60_000.0;
    assert_eq!(minutes.round(), 165.0);
}

#[test]
fn where_no_time_can_be_told_only_the_minutes_are_counted() {
    let mut session = warm("20 °C");
    let again = Input::Temperature { head: "61 °C".into(), air: String::new() };
    let entries = session.decide(&again).unwrap();
    let last = session.kept.last().unwrap().clone();
    for entry in entries {
        let mut kept = last.clone();
        kept.seq += 1;
        kept.at.unix_ms += 1_200_000;
        kept.entry = entry;
        session = session.keep(kept);
    }
    // It got warmer: nothing follows from that.
    let wait = warmth::wait(&session).unwrap();
    assert_eq!(wait.again, None);
    let app = on_screen(&session).told_time(at(wait.since.unix_ms + 60_000 * 90));
    assert!(screen(&app, 80, 24).contains("Waited 90 min since"));
    assert!(!app.rings);
}

#[test]
fn a_cold_engine_is_not_waited_for() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Temperature);
    assert_eq!(warmth::wait(&service.session), None);
    let app = on_screen(&service.session).told_time(at(1));
    assert_eq!(app.changes_in_ms(), None, "nothing moves while nobody touches a key");
}
