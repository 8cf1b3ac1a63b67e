//! What is left open is read whole before anybody says that it is left so, and stays told afterwards.

use super::engines::{exhaust, flat_four, intake};
use super::harness::Service;
use crate::reviews::{press, shop, shot};
use cowlside::domain::entry::{
    Back, CounterTold, Entry, Hours, LeftItem, LeftOpen, Nut, NutSaid, Remark, Rounds,
};
use cowlside::domain::session::{Due, Input, LOOK_FOR, OpenItem};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Answered, Beside, Command, Talk, status};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::widgets::digits::Ink;
use std::sync::Arc;

fn with_nuts_slack() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    for valve in [1, 2, 3, 4].into_iter().flat_map(|cylinder| [intake(cylinder), exhaust(cylinder)])
    {
        service.keep(Entry::Nut(Nut::said(valve, NutSaid::Slack)));
    }
    service
}

#[test]
fn nothing_is_left_so_that_was_not_on_the_screen() {
    let mut service = with_nuts_slack();
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    let session = Arc::new(service.session.clone());
    let desk = Desk::Session { session, previous: None, beside: Arc::new(Beside::default()) };
    let mut begun = shop();
    begun.room = (40, 12);
    begun.job = Some(Bench::new(desk, Ink::Blocks));
    // It has run: it is closed, with all that is open.
    let mut keys = "2".to_string();
    let asked = press(&begun, &keys).prompt().unwrap();
    assert_eq!(asked.ask, "Is it left so?");
    let mut seen = String::new();
    loop {
        let shown = shot(&press(&begun, &keys), (40, 12));
        seen += &shown;
        if !shown.contains("more line") {
            break;
        }
        assert!(keys.len() < 99, "{seen}");
        let tried = press(&begun, &format!("{keys} 1"));
        assert_eq!(tried.prompt().as_ref(), Some(&asked), "left so unread: {shown}");
        keys += " Enter";
    }
    assert!(keys.contains("Enter"), "it fits one page: {seen}");
    for valve in service.session.state.facts().valves() {
        assert!(seen.to_lowercase().contains(&valve.to_string()), "{valve}: {seen}");
    }
    let left = press(&begun, &format!("{keys} 1"));
    assert_ne!(left.prompt().as_ref(), Some(&asked), "read, and left so");
    let talk = Talk::call(&service.session, Command::CloseUnsigned, Arc::default());
    let Answered::Next(talk) = talk else { panic!("{talk:?}") };
    let field = talk.prompt(&service.session).field;
    assert!(field.whole > 7 && field.of_any, "{field:?}");
}

#[test]
fn that_it_ran_with_a_nut_slack_is_open_and_looked_at_first() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service.keep(Entry::Nut(Nut::said(intake(1), NutSaid::Slack)));
    let more = Some(CounterTold::WentUp(Hours(50_300)));
    service.tell(Input::Back(Back { counter: more, ..Back::default() }));
    assert_eq!(service.due(), Due::NewDay);
    let Answered::Next(talk) = Talk::default().answer(&service.session, "2") else { panic!() };
    let told = talk.prompt(&service.session).lines.join(" ");
    assert!(told.contains("RAN WITH A NUT SLACK: 1 intake"), "{told}");
    let Answered::Keep(made) = talk.answer(&service.session, "1") else { panic!() };
    assert!(matches!(made.as_slice(), [Entry::Remark(_), Entry::Seal(seal)]
        if seal.entries == u64::try_from(service.session.kept.len()).unwrap() + 1));
    made.into_iter().for_each(|entry| service.keep(entry));
    let ran = service.open().into_iter().find_map(|item| match item {
        OpenItem::BeforeRunning { text, .. } => Some(text),
        _ => None,
    });
    let ran = ran.expect("it stays open");
    assert!(ran.starts_with("RAN WITH A NUT SLACK: 1 intake") && ran.ends_with(LOOK_FOR), "{ran}");
    // The next service looks before anything turns.
    let mut next = Service::after(flat_four(), service.session.state.left_open("spring"));
    let text = cowlside::domain::session::hand_on("spring", None, &ran);
    next.tell(Input::Remark(Remark { text, before_running: true, ..Remark::default() }));
    next.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::Look(..)));
    assert!(matches!(next.due(), Due::Look(..)), "{:?}", next.due());
}

#[test]
fn one_that_has_run_with_nothing_slack_is_only_closed() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    let why = cowlside::domain::session::HAS_RUN.to_string();
    let made = service.session.decide(&Input::CloseUnsigned { why }).unwrap();
    assert!(matches!(made.as_slice(), [Entry::Seal(_)]), "{made:?}");
}

#[test]
fn where_the_counter_stood_is_said_as_it_was_answered_last() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let told = |hours| {
        let counter = Some(CounterTold::WentUp(Hours(hours)));
        Input::Back(Back { counter, ..Back::default() })
    };
    let lines = |service: &Service| Talk::default().prompt(&service.session).lines.join(" ");
    service.tell(told(41_300));
    assert!(lines(&service).contains("stood at 412.6 h when this service began"));
    service.tell(Input::NotRunSince).tell(told(50_300));
    let words = lines(&service);
    assert!(words.contains("413") && !words.contains("when this service began"), "{words}");
}

#[test]
fn the_way_back_names_the_turns_that_are_due() {
    let left = LeftOpen { from: "spring".into(), item: LeftItem::TurnsOwed };
    let service = Service::after(super::engines::vee_twin(), vec![left]);
    assert!(service.open().contains(&OpenItem::TurnsOwed), "{:?}", service.open());
    let way = status::way_back(&service.session, &Earlier::default()).join("|");
    assert!(
        way.contains("two turns by hand come first") && !way.contains("no turn while"),
        "{way}"
    );
}
