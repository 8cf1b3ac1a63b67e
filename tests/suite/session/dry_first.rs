//! No reading under a hydraulic lifter that nobody said to be dry and bottomed, however it is typed.

use super::engines::{exhaust, intake, push_rods};
use super::harness::{Service, why};
use super::mechanic::on_target;
use super::parts::{begun, read};
use cowlside::domain::entry::{Back, Rocked};
use cowlside::domain::session::{Due, Input, Refusal};
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Command, Talk};

fn at_first() -> (Service, Valve) {
    let mut service = begun(push_rods(), &[]);
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..)));
    let Due::Dry(valve, _) = service.due() else { panic!("{:?}", service.due()) };
    (service, valve)
}

fn refused(service: &mut Service, input: Input) {
    let refusal = service.refused(input);
    assert!(
        matches!(&refusal, Refusal::Unreadable(words) if words.contains("lifter")),
        "{refusal:?}"
    );
}

fn away(service: &mut Service) {
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
}

/// Keeps what these keys come to.
fn keyed(service: &mut Service, begun: Answered, keys: &[&str]) {
    let mut answered = begun;
    for key in keys {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Keep(entries) = answered else { panic!("{keys:?}: {answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

#[test]
fn of_a_reading_on_paper_it_is_asked_whether_its_lifter_was_dry() {
    let (mut service, valve) = at_first();
    let typed = on_target(&service.session.state, valve.kind);
    let paper = || Input::GaugeFromPaper {
        readings: vec![(valve, typed.clone())],
        time: "09:40".into(),
        sure: true,
    };
    refused(&mut service, paper());
    let call = |service: &Service| Talk::call(&service.session, Command::Paper, Default::default());
    let begun = call(&service);
    let typed = typed.as_str();
    // Of the other nobody knows: it is not taken.
    keyed(&mut service, begun, &["", "09:40", typed, "1", typed, "0"]);
    assert_eq!(service.session.state.readings.len(), 1);
    assert!(service.session.state.current(valve).is_some());
    assert!(service.session.state.dry.is_empty(), "that was then");
    service.sign();
}

#[test]
fn against_the_plan_it_is_asked_first() {
    let (mut service, valve) = at_first();
    let typed = on_target(&service.session.state, valve.kind);
    let against = Input::GaugeAgainstPlan { valve, typed, why: why(), sure: true };
    refused(&mut service, against.clone());
    service.tell(Input::Bled(vec![valve], Box::new(against)));
    assert!(service.session.state.current(valve).is_some());
    assert!(service.session.state.dry.contains(&valve), "the crank stands where it stood");
    let call = Talk::call(&service.session, Command::AgainstPlan, Default::default());
    let Answered::Next(talk) = call else { panic!() };
    let Answered::Next(talk) = talk.answer(&service.session, "2") else { panic!() };
    let Answered::Next(talk) = talk.answer(&service.session, "1") else { panic!() };
    let mut asked = talk.prompt(&service.session);
    if asked.title.contains("STANDS OPEN") {
        let Answered::Next(talk) = talk.answer(&service.session, "2") else { panic!() };
        asked = talk.prompt(&service.session);
    }
    assert!(asked.ask.to_lowercase().contains("what is it like"), "{asked:?}");
    service.sign();
}

#[test]
fn a_second_reading_after_a_break_asks_it_anew() {
    let (mut service, _) = at_first();
    for valve in [intake(1), exhaust(1)] {
        service.on_to_gauge(valve);
        read(&mut service, "0");
    }
    let rocking = |due: &Due| matches!(due, Due::Rock { .. });
    service.calmly_while(|_, due| !rocking(due));
    service.tell(Input::Rock(Rocked::Steady));
    assert!(matches!(service.due(), Due::Again(..)), "dry as they were: {:?}", service.due());
    away(&mut service);
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..) | Due::Again(..)));
    assert!(matches!(service.due(), Due::Dry(..)), "{:?}", service.due());
    // And a third one, once both are there.
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    away(&mut service);
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    refused(&mut service, Input::Gauge { typed: "0".into(), sure: true });
    let mut third = service.clone();
    keyed(&mut third, Talk::default().answer(&service.session, "8"), &["1", "0"]);
    third.sign();
    // What it was can be said without.
    service.tell(Input::Believe { why: why() });
    service.sign();
}

#[test]
fn before_a_rod_is_changed_it_is_gauged_once_more_bled_and_not_otherwise() {
    let (mut service, valve) = at_first();
    service.on_to_gauge(valve);
    read(&mut service, "0.30 mm");
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    let Due::ChangeRod(valve, _) = service.due() else { panic!("{:?}", service.due()) };
    away(&mut service);
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    refused(&mut service, Input::Gauge { typed: "0.30 mm".into(), sure: true });
    let typed = on_target(&service.session.state, valve.kind);
    let begun = Talk::default().answer(&service.session, "2");
    keyed(&mut service, begun, &["1", typed.as_str()]);
    assert!(service.session.state.dry.contains(&valve));
    service.sign();
}
