//! The past of an engine on the screen: leafed through page by page, at every size.

use super::made::history;
use super::sheets::engine;
use cowlside::domain::entry::{Hours, Moment};
use cowlside::domain::trend::{Because, NextCheck};
use cowlside::report::history_sheet::pages;
use cowlside::report::next_sheet::next_words;
use cowlside::tui::app::{App, Carried, Effect, Top};
use cowlside::tui::bench::Bench;
use cowlside::tui::job::Table;
use cowlside::tui::keymap::{Action, Motion, Turn};
use cowlside::tui::theme::{Colours, ThemeName};
use cowlside::tui::update::update;
use cowlside::tui::view;
use cowlside::tui::widgets::digits::Ink;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

const AT: Moment = Moment { unix_ms: 0, offset_min: 0 };

fn shop() -> App<Bench> {
    let rows =
        ["Trainer two", "Trainer three", "a new engine"].map(|row| vec![row.to_string()]).to_vec();
    let table = Table { title: "Which engine?".into(), rows, ..Table::default() };
    App::new(table, None, ThemeName::default(), Colours::Off, Ink::default())
}

fn past() -> App<Bench> {
    shop().with(Carried::Past(pages(&history(&engine()))))
}

fn after(app: &App<Bench>, actions: &[Action]) -> App<Bench> {
    actions.iter().fold(app.clone(), |app, action| update(&app, action, AT).0)
}

fn shot(app: &App<Bench>, width: u16, height: u16) -> String {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    view::paint(app, area, &mut buf);
    let line = |y| {
        let cells = (0..width).map(|x| buf[(x, y)].symbol().to_string());
        format!("|{}|\n", cells.collect::<String>())
    };
    (0..height).map(line).collect()
}

#[test]
fn a_key_in_the_shop_asks_for_the_past_of_the_engine_under_the_cursor() {
    let (_, effect) = update(&shop(), &Action::History, AT);
    assert_eq!(effect, Some(Effect::HistoryAt(0)));
    let below = after(&shop(), &[Action::Move(Motion::Down)]);
    assert_eq!(update(&below, &Action::History, AT).1, Some(Effect::HistoryAt(1)));
}

#[test]
fn the_pages_are_leafed_through_and_closed() {
    let at = |app: &App<Bench>| match &app.top {
        Top::Past(past) => Some(past.place()),
        Top::Nothing | Top::List(_) | Top::Picture(_) | Top::Help(_) | Top::Leave | Top::SaveTo => {
            None
        }
    };
    let on = Action::Turn(Turn::On);
    let app = past();
    assert_eq!(at(&app), Some((0, 9)), "a glance, then eight valves");
    assert_eq!(at(&after(&app, &[on.clone(), on.clone()])), Some((2, 9)));
    assert_eq!(at(&after(&app, &[Action::Turn(Turn::Back)])), Some((0, 9)));
    let last = after(&app, &vec![on; 12]);
    assert_eq!(at(&last), Some((8, 9)));
    let closed = after(&last, &[Action::Back]);
    assert_eq!((at(&closed), closed.list().is_some()), (None, true));
}

#[test]
fn the_glance_and_a_valve_read_well_at_every_size() {
    let glance = past();
    let valve = after(&glance, &[Action::Turn(Turn::On), Action::Turn(Turn::On)]);
    for (width, height) in [(80, 24), (160, 50), (40, 12)] {
        for (name, app) in [("glance", &glance), ("valve", &valve)] {
            let name = format!("history_{name}_{width}x{height}");
            insta::with_settings!({snapshot_path => "../../../snapshots", prepend_module_to_snapshot => false, omit_expression => true}, {
                insta::assert_snapshot!(name, shot(app, width, height));
            });
        }
    }
    for width in 0..100 {
        for height in [0, 1, 5, 19, 20, 24, 60] {
            shot(&valve, width, height);
        }
    }
}

#[test]
fn the_signs_of_a_chart_are_told_below_it_and_only_those_that_it_has() {
    let valve = after(&past(), &[Action::Turn(Turn::On), Action::Turn(Turn::On)]);
    let shown = shot(&valve, 80, 24);
    let legend = "o as found, x as left where set, | what the reading allows, - limits";
    assert!(shown.contains(legend) && !shown.contains("a new series"), "{shown}");
    let (axis, below) = (shown.find("600.0 h|").unwrap(), shown.find(legend).unwrap());
    assert!(axis < below, "{shown}");
    let still = after(&past(), &[Action::Turn(Turn::On)]);
    assert!(!shot(&still, 80, 24).contains("x as left"), "{}", shot(&still, 80, 24));
}

#[test]
fn a_check_that_is_due_by_the_hours_is_said_in_one_way() {
    let mut past = history(&engine());
    assert!(next_words(&past).starts_with("700.0 h or 2027-05-13, whichever comes first"));
    past.hours = past.hours.plus(Hours::down_to_tenth(100.0));
    let due = "now: 700.0 h is reached (by the profile's interval)";
    assert_eq!(next_words(&past), due);
    let valve = past.valves[5].valve;
    let next = past.next.unwrap();
    past.next = Some(NextCheck { because: Because::Forecast(valve), ..next });
    assert_eq!(next_words(&past), "now: 700.0 h is reached (exhaust 3 may be at its limit)");
}
