//! Both valves of a cylinder near nothing are not believed at once, however the figures came: the crank may
//! stand on the wrong stroke.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::doubt::Doubt;
use cowlside::domain::entry::{Entry, On, Rocked, Rounds, Step};
use cowlside::domain::session::{Due, Input};
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
