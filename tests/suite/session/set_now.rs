//! Whether a slack nut is set or locked as its screw stands hangs on the round, not on the kind of service;
//! and whose word stands by a figure that was lost.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, Rounds, Skip, Skipped, Step};
use cowlside::domain::session::{Due, Input, OpenItem, RoundKind};
use cowlside::guide::{Answered, Talk};
use cowlside::report::record::record;

/// A service that only gauges, led back to gauging by its run.
fn back_from_the_run() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::RunCheck(line) if line.id == "leaks"));
    let Due::RunCheck(line) = service.due() else { panic!("{:?}", service.due()) };
    let digit = line.states.iter().find(|seen| !seen.good).unwrap().digit;
    service.tell(Input::RunFault { digit, text: "a drip".into() }).tell(Input::RunBackToGauging);
    assert_eq!(service.session.state.rounds().last(), Some(&RoundKind::Recheck));
    service
}

/// The question at a slack nut sets, and says nothing of a screw that stays as it is.
fn sets(service: &Service, valve: &str) {
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.title, format!("Set {valve}: its nut is slack"));
    let said = ask.lines.join(" ");
    assert!(!said.contains("leave the screw") && said.contains("Hold the screw"), "{said}");
}

#[test]
fn what_is_opened_to_be_set_after_a_run_is_set_where_the_service_only_gauged_before() {
    let mut service = back_from_the_run();
    service.on_to_gauge(exhaust(2));
    // It reads so twice: it is not what it was before the run.
    for _ in 0..2 {
        service.tell(Input::Gauge { typed: "5".into(), sure: true });
    }
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    assert!(matches!(service.due(), Due::Set(..)), "{:?}", service.due());
    let Answered::Keep(entries) = Talk::default().answer(&service.session, "1") else { panic!() };
    entries.into_iter().for_each(|entry| service.keep(entry));
    assert_eq!(service.due(), Due::Trying(exhaust(2)));
    sets(&service, "2 exhaust");
    service.sign();
    assert_eq!(service.left(exhaust(2)), Some("0.012 in"), "looked at once more after a turn");
}

#[test]
fn once_that_round_is_done_too_a_valve_is_set_again_and_looked_at_once_more() {
    let mut service = back_from_the_run();
    service.on_to_sign().tell(Input::OpenSet(exhaust(3)));
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(3)));
    sets(&service, "3 exhaust");
    service.tell(Input::Tried { typed: "11".into(), sure: true }).tell(Input::NutLocked);
    service.on_to_gauge(exhaust(3));
    assert_eq!(service.due(), Due::Gauge(exhaust(3), Step::Recheck));
    service.sign();
}

#[test]
fn before_the_run_such_a_service_locks_a_nut_as_it_stands() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    service.tell(Input::NutFoundSlack(exhaust(3)));
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(3)));
    let said = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(said.contains("leave the screw as it is"), "{said}");
    service.sign();
}

/// Names another valve than was meant, and returns why its figure is lost.
fn another(service: &mut Service, kept: &str) {
    let named = OpenItem::NutSlack(intake(1));
    assert!(service.open().contains(&named), "{:?}", service.open());
    let input = Input::NutOfAnother { named: intake(1), really: exhaust(1) };
    let entries = service.session.decide(&input).unwrap();
    let first = Entry::Skip(Skip::of(Skipped::AsFound(exhaust(1)), kept));
    assert_eq!(entries[0], first);
    service.tell(input);
    assert!(service.open().contains(&OpenItem::NutSlack(exhaust(1))));
    let sheet = record(&service.session, &Default::default());
    let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = format!("as-found figure lost, adjusted before it was read: {kept}");
    assert!(sheet.contains(&told), "{sheet}");
}

#[test]
fn the_valve_that_was_meant_has_its_figure_lost_for_the_reason_that_was_given() {
    let begun = || {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None);
        service.on_to_gauge(intake(1));
        service
    };
    let reason = "set before it was gauged";
    let mut service = begun();
    another(service.tell(Input::AsFoundLost { why: reason.into() }), reason);
    let mut service = begun();
    another(service.tell(Input::NutFoundSlack(intake(1))), "its nut was found slack");
    // Opened to be set after it was read: nobody found a nut slack, and nobody said why this one is.
    let mut service = begun();
    service.gauge("9").tell(Input::SkipValve { valve: exhaust(1), why: why() });
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    let neutral = "its nut was slack before it was gauged";
    another(service.tell(Input::OpenSet(intake(1))), neutral);
}

#[test]
fn what_another_version_left_open_has_its_cover_counted_out() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    let bank = service.session.state.facts().bank_of(3).unwrap().name.clone();
    assert!(!service.session.state.opened_in(&bank).contains(&3), "its cover is on");
    assert!(service.session.state.opened_in(&bank).contains(&1), "of the same bank");
    let left = LeftOpen { from: "version B".into(), item: LeftItem::NutSlack(exhaust(3)) };
    service.keep(Entry::Begin(Begin { left_open: vec![left], ..Begin::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..) | Due::Trying(_)));
    let Due::CountOut(counted, items) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!(counted, bank);
    assert!(items.contains(&("cover".into(), 2)), "{items:?}");
    service.sign();
}
