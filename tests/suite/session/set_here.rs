//! A valve that is in limits is set where the crank stands, and no other is offered for it.

use super::engines::{flat_four, intake};
use super::harness::Service;
use cowlside::domain::entry::Rounds;
use cowlside::domain::session::{Due, Input};
use cowlside::guide::commands::offers;
use cowlside::guide::{Answered, Beside, Command, Prompt, Talk};
use std::sync::Arc;

fn called(service: &Service, command: Command) -> Talk {
    match Talk::call(&service.session, command, Arc::default()) {
        Answered::Next(talk) => talk,
        other => panic!("{other:?}"),
    }
}

fn choices(ask: &Prompt) -> Vec<&str> {
    ask.field.choices.iter().map(|choice| choice.label.as_str()).collect()
}

#[test]
fn at_a_turn_only_the_valves_that_the_crank_still_stands_at_are_offered_to_be_set() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(Input::Loose(2));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    let here: Vec<String> = service
        .session
        .state
        .readings
        .iter()
        .map(|taken| taken.reading.valve.to_string())
        .collect();
    assert_eq!(here.len(), 2, "{here:?}");
    let talk = called(&service, Command::SetAnyway);
    let ask = talk.prompt(&service.session);
    assert_eq!(ask.title, "Set a valve where the crank stands");
    let mut offered = choices(&ask);
    offered.sort_unstable();
    let mut wanted: Vec<&str> = here.iter().map(String::as_str).collect();
    wanted.sort_unstable();
    assert_eq!(offered, wanted);
    assert!(ask.lines[0].starts_with("Before the crank is turned"), "{ask:?}");
    // What is chosen is taken.
    let first = ask.field.choices[0].label.clone();
    let Answered::Keep(entries) = talk.answer(&service.session, "1") else { panic!("{ask:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
    assert_eq!(service.open()[0].to_string(), format!("NUT SLACK: {first}"));
}

#[test]
fn at_a_valve_the_one_that_is_not_read_yet_is_not_offered() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let Due::Gauge(first, _) = service.due() else { panic!() };
    service.calmly_while(|_, due| matches!(due, Due::Gauge(one, _) if *one == first));
    let ask = called(&service, Command::SetAnyway).prompt(&service.session);
    assert_eq!(choices(&ask), [first.to_string()]);
    assert!(!ask.lines[0].starts_with("Before the crank"), "{ask:?}");
}

#[test]
fn the_titles_of_what_is_called_for_begin_with_a_capital() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.tell(Input::OpenSet(intake(1)));
    let offered = offers(&service.session, &Beside::default());
    for one in offered.iter().filter(|one| one.not_now.is_none()) {
        let Answered::Next(talk) = Talk::call(&service.session, one.command, Arc::default()) else {
            continue;
        };
        let title = talk.prompt(&service.session).title;
        let first = title.chars().next().unwrap();
        assert!(!first.is_lowercase(), "{title}");
    }
}
