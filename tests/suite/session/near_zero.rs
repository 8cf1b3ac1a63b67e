//! Both valves of a cylinder near nothing are not believed at once, however the figures came: the crank may
//! stand on the wrong stroke.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::doubt::Doubt;
use cowlside::domain::entry::{Begin, Entry, On, Rocked, Rounds, Step};
use cowlside::domain::plan::Stop;
use cowlside::domain::session::{Crank, Due, Input, Proven};
use cowlside::domain::valve::Valve;

fn begun() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service
}

fn correct(service: &mut Service, valve: Valve, typed: &str) {
    let of = service.session.state.current(valve).unwrap().seq;
    service.tell(Input::CorrectValue { of, typed: typed.into(), why: why(), sure: true });
}

/// Proven by rocking, gauged once more, a word for it: as where it is typed at its own question.
fn asked_about(service: &mut Service) {
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
    service.tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found));
    service.gauge("0");
    assert_eq!(service.due(), Due::Again(exhaust(1), Step::Found));
    service.gauge("0");
    let Due::Doubted { first, .. } = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!(service.session.state.pairs(first).len(), 2);
    service.tell(Input::Believe { why: why() });
    assert!(matches!(service.due(), Due::LeakTest(1, _)), "{:?}", service.due());
    service.sign();
}

#[test]
fn corrected_in_either_order_they_are_asked_about_like_typed_ones() {
    for order in [[intake(1), exhaust(1)], [exhaust(1), intake(1)]] {
        let mut service = begun();
        service.gauge("6").gauge("12");
        correct(&mut service, order[0], "0");
        assert!(!matches!(service.due(), Due::Rock { .. }), "one alone is no doubt");
        correct(&mut service, order[1], "0");
        asked_about(&mut service);
    }
}

#[test]
fn corrected_once_more_they_are_believed() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    correct(&mut service, intake(1), "0");
    correct(&mut service, exhaust(1), "0");
    correct(&mut service, intake(1), "6");
    assert!(!matches!(service.due(), Due::Rock { .. } | Due::Again(..)), "{:?}", service.due());
    // A typed pair that is corrected to another of the kind is asked about as it was.
    let mut service = begun();
    service.gauge("0").gauge("0");
    correct(&mut service, exhaust(1), "1");
    asked_about(&mut service);
}

#[test]
fn what_nobody_stands_by_is_no_evidence() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    correct(&mut service, intake(1), "0");
    correct(&mut service, exhaust(1), "0");
    service.sign();
    let away = service.session.state.explained_away();
    assert_eq!(away.len(), 2, "{away:?}");
}

#[test]
fn typed_against_the_plan_they_are_asked_about_at_their_own_stop() {
    let mut service = begun();
    for valve in [intake(3), exhaust(3)] {
        let typed = "0".to_string();
        service.tell(Input::GaugeAgainstPlan { valve, typed, why: why(), sure: true });
    }
    let last = &service.session.state.readings.last().unwrap().reading;
    assert_eq!(Doubt::of(last.odd.as_deref()), Some(Doubt::NearNothing));
    service.calmly_while(|_, due| *due != Due::Again(intake(3), Step::Found));
    assert!(service.session.state.crank_proven(), "gauged once more where it is shut");
    service.tell(Input::Gauge { typed: "6".into(), sure: true });
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    service.sign();
    assert_eq!(service.found(intake(3)), Some("6"));
}

#[test]
fn against_the_plan_at_the_stop_in_hand_the_place_is_proven_at_once() {
    let mut service = begun();
    for valve in [intake(1), exhaust(1)] {
        let typed = "0".to_string();
        service.tell(Input::GaugeAgainstPlan { valve, typed, why: why(), sure: true });
    }
    asked_about(&mut service);
}

#[test]
fn both_from_one_paper_are_gauged_once_more() {
    let mut service = begun();
    let readings = [intake(3), exhaust(3)].map(|valve| (valve, "0".to_string())).to_vec();
    service.tell(Input::GaugeFromPaper { readings, time: "09:40".into(), sure: true });
    service.calmly_while(|_, due| *due != Due::Again(intake(3), Step::Found));
    assert_eq!(service.due(), Due::Again(intake(3), Step::Found));
    service.sign();
    // One of them only says what it says.
    let mut service = begun();
    let readings = vec![(intake(3), "0".to_string()), (exhaust(3), "12".to_string())];
    service.tell(Input::GaugeFromPaper { readings, time: "09:40".into(), sure: true });
    service.on_to_gauge(intake(2));
    let doubted = service.session.state.readings.iter().any(|one| one.doubt().is_some());
    assert!(!doubted);
}

#[test]
fn another_figure_than_before_is_asked_about_from_elsewhere_too() {
    let mut service = begun();
    service.gauge("6").gauge("12").on_to_gauge(intake(3));
    let against = |typed: &str| Input::GaugeAgainstPlan {
        valve: intake(1),
        typed: typed.into(),
        why: why(),
        sure: true,
    };
    service.tell(against("9"));
    let last = &service.session.state.readings.last().unwrap().reading;
    assert_eq!(Doubt::of(last.odd.as_deref()), Some(Doubt::Scatter));
    // The second one settles nothing and is not doubted anew.
    service.tell(against("6"));
    let last = &service.session.state.readings.last().unwrap().reading;
    assert_eq!(Doubt::of(last.odd.as_deref()), None);
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    service.sign();
}

#[test]
fn what_a_version_before_this_one_closed_up_over_is_not_asked_about_any_more() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    correct(&mut service, intake(1), "0");
    correct(&mut service, exhaust(1), "0");
    assert!(service.session.state.in_doubt(0, exhaust(1)));
    let line = service.session.state.out.iter().find(|line| line.out > 0).unwrap();
    let (bank, item, count) = (line.bank.clone(), line.item.clone(), line.out);
    service.keep(Entry::On(On::Count { bank, item, count }));
    assert!(!service.session.state.in_doubt(0, exhaust(1)));
}

fn seq(service: &Service, valve: Valve) -> u64 {
    service.session.state.current(valve).unwrap().seq
}

/// Both corrected to nothing, and a second one of the exhaust is still to come.
fn both_corrected() -> Service {
    let mut service = begun();
    service.gauge("6").gauge("12");
    correct(&mut service, intake(1), "0");
    correct(&mut service, exhaust(1), "0");
    service.tell(Input::Rock(Rocked::Steady));
    service
}

#[test]
fn a_doubt_from_a_correction_goes_with_the_reading_that_it_came_from() {
    for valve in [intake(1), exhaust(1)] {
        let mut service = both_corrected();
        let of = seq(&service, valve);
        service.tell(Input::Void { of, why: "typing error".into() });
        assert_eq!(service.due(), Due::Gauge(valve, Step::Found));
        assert!(!service.session.state.wants_second(Some(0), exhaust(1)));
        service.tell(Input::Gauge { typed: "6".into(), sure: true });
        assert!(!matches!(service.due(), Due::Again(..) | Due::Doubted { .. }));
        service.sign();
    }
    // Gauged anew it is near nothing once more: then both are, as they were read.
    let mut service = both_corrected();
    let of = seq(&service, intake(1));
    service.tell(Input::Void { of, why: "typing error".into() }).gauge("0");
    assert!(service.session.state.in_doubt(0, intake(1)), "{:?}", service.due());
    service.sign();
}

#[test]
fn a_second_reading_or_another_that_is_withdrawn_leaves_the_doubt() {
    let mut service = both_corrected();
    service.gauge("0");
    let of = service.last_reading();
    service.tell(Input::Void { of, why: "typing error".into() });
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found));
    service.sign();
}

#[test]
fn a_doubt_from_a_correction_goes_where_the_figures_change_places_with_others() {
    let mut service = begun();
    service.gauge("6").gauge("12").on_to_gauge(intake(3)).gauge("6").gauge("12");
    correct(&mut service, intake(1), "0");
    correct(&mut service, exhaust(1), "0");
    assert!(service.session.state.in_doubt(0, exhaust(1)));
    let (of, with) = (seq(&service, intake(1)), seq(&service, intake(3)));
    service.tell(Input::Swap { of, with, why: why() });
    assert!(!service.session.state.in_doubt(0, exhaust(1)), "{:?}", service.due());
    service.sign();
}

#[test]
fn a_second_reading_is_asked_for_where_its_valve_is_shut() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Scope);
    let few =
        Begin { rounds: Some(Rounds::SetThenRecheck), few_stops: Some(true), ..Begin::default() };
    service.tell(Input::Begin(Box::new(few))).on_to_turn();
    let state = &service.session.state;
    let stop_of = |valve: Valve| {
        let gauges = |stop: &Stop| stop.gauge.iter().any(|gauge| gauge.valve == valve);
        state.stops().iter().position(gauges).unwrap()
    };
    let apart = |cylinder: &u8| stop_of(intake(*cylinder)) != stop_of(exhaust(*cylinder));
    let cylinder = [1, 2, 3, 4].into_iter().find(apart).expect("two stops");
    let stops = [intake(cylinder), exhaust(cylinder)].map(|valve| (valve, stop_of(valve)));
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let readings = stops.map(|(valve, _)| (valve, "0".to_string())).to_vec();
    service.tell(Input::GaugeFromPaper { readings, time: "09:40".into(), sure: true });
    let mut seen = Vec::new();
    for _ in 0..400 {
        service.calmly_while(|_, due| !matches!(due, Due::Again(..) | Due::Doubted { .. }));
        let due = service.due();
        let (Due::Again(valve, _) | Due::Doubted { valve, .. }) = due else { break };
        let stop = stops.iter().find(|(one, _)| *one == valve).unwrap().1;
        let Crank::At { stop: at, proof } = service.session.state.crank else { panic!("{due:?}") };
        assert_eq!((at, proof), (stop, Proven::Yes), "{due:?}");
        seen.push(due.clone());
        service.calmly_while(|_, now| *now == due);
    }
    let again = seen.iter().filter(|due| matches!(due, Due::Again(..))).count();
    let word = seen.iter().filter(|due| matches!(due, Due::Doubted { .. })).count();
    assert_eq!((again, word), (2, 1), "{seen:?}");
    assert_eq!(service.due(), Due::Closed, "gone on to the signature");
    for (valve, _) in stops {
        assert!(service.found(valve).unwrap() != "0", "{valve:?}");
    }
}
