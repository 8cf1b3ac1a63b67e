//! Nothing of a valve is changed while it is in doubt, and a second reading is one of the valve as it was.

use super::engines::{exhaust, flat_four, intake, twin_180};
use super::harness::{Service, why};
use super::mechanic;
use cowlside::domain::entry::{Begin, Entry, Rocked, Rounds, Step};
use cowlside::domain::session::{Due, Input};

fn seq(service: &Service, valve: cowlside::domain::valve::Valve) -> u64 {
    service.session.state.current(valve).unwrap().seq
}

/// Both valves of cylinder 1 read nothing; proven by rocking, the first is to be gauged once more.
fn both_near_nothing() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("0").gauge("0");
    service.tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found));
    service
}

fn last_remark(service: &Service) -> String {
    let remarks = service.session.kept.iter().rev();
    let mut remarks = remarks.filter_map(|kept| match &kept.entry {
        Entry::Remark(remark) => Some(remark.text.clone()),
        _ => None,
    });
    remarks.next().unwrap()
}

#[test]
fn no_screw_is_touched_before_a_doubt_of_its_cylinder_has_its_word() {
    let mut service = Service::new(twin_180());
    service.calmly_while(|_, due| *due != Due::Scope);
    let rounds = Some(Rounds::SetThenRecheck);
    let begin = Begin { rounds, few_stops: Some(true), ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn();
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let apart = |stop: &cowlside::domain::plan::Stop| {
        let of_one: Vec<_> = stop.gauge.iter().filter(|one| one.valve.cylinder == 1).collect();
        of_one.len() == 1
    };
    assert!(service.session.state.stops().iter().any(apart), "the way gauges them apart");
    let readings = [intake(1), exhaust(1)].map(|valve| (valve, "0".to_string())).to_vec();
    service.tell(Input::GaugeFromPaper { readings, time: "09:40".into(), sure: true });
    loop {
        let due = service.due();
        match &due {
            Due::Doubted { .. } => break,
            Due::Set(valve, _) | Due::LeakTest(_, valve) | Due::Trying(valve) => {
                assert_ne!(valve.cylinder, 1, "{due:?}");
            }
            _ => {}
        }
        let again = matches!(&due, Due::Again(valve, _) if valve.cylinder == 1);
        let nothing = Input::Gauge { typed: "0".into(), sure: true };
        service.tell(if again { nothing } else { mechanic::calm(&service.session, &due) });
        let opened = service.give(&Input::OpenSet(intake(1)));
        assert!(opened.is_err(), "set in doubt, behind {due:?}");
    }
    service.tell(Input::Believe { why: why() });
    assert_eq!(last_remark(&service), "1 intake 0, again 0; 1 exhaust 0, again 0: because");
    service.sign();
}

#[test]
fn what_a_valve_reads_once_it_was_set_is_no_second_reading() {
    let mut service = both_near_nothing();
    service.tell(Input::NutFoundSlack(intake(1)));
    service.tell(Input::Tried { typed: "6".into(), sure: true });
    service.calmly_while(|_, due| !matches!(due, Due::Again(_, Step::Found)));
    assert_eq!(service.due(), Due::Again(exhaust(1), Step::Found));
    service.gauge("0");
    assert!(matches!(service.due(), Due::Doubted { .. }), "{:?}", service.due());
    let asked = cowlside::guide::Talk::default().prompt(&service.session);
    assert!(!format!("{asked:?}").contains("then ;"), "{asked:?}");
    service.tell(Input::Believe { why: why() });
    assert_eq!(last_remark(&service), "1 intake 0; 1 exhaust 0, again 0: because");
    service.sign();
}

#[test]
fn a_valve_that_is_passed_over_is_not_asked_for_once_more() {
    let mut service = both_near_nothing();
    service.tell(Input::SkipValve { valve: intake(1), why: why() });
    assert_eq!(service.due(), Due::Again(exhaust(1), Step::Found));
    service.gauge("0");
    service.tell(Input::Believe { why: why() });
    assert_eq!(last_remark(&service), "1 intake 0; 1 exhaust 0, again 0: because");
    service.sign();
}

#[test]
fn readings_that_change_places_are_looked_at_beside_the_others() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None).on_to_gauge(intake(1)).gauge("6").gauge("12");
    let of = seq(&service, exhaust(1));
    service.tell(Input::CorrectValue { of, typed: "0".into(), why: why(), sure: true });
    assert!(!service.session.state.in_doubt(0, exhaust(1)));
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(valve, _) if valve.cylinder != 1));
    let Due::Gauge(other, _) = service.due() else { unreachable!() };
    service.tell(Input::Gauge { typed: "0".into(), sure: true });
    let (of, with) = (seq(&service, intake(1)), seq(&service, other));
    service.tell(Input::Swap { of, with, why: why() });
    let state = &service.session.state;
    let doubted = |one: &cowlside::domain::valve::Valve| state.in_doubt(0, *one);
    assert!([intake(1), exhaust(1)].iter().any(doubted), "both of 1 read nothing now");
    service.sign();
}
