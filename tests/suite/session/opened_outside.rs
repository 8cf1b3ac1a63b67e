//! Valves that are opened outside the scope, by a slack nut or by work: the service answers for them too;
//! and what "never touched" must not bring back.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, Rounds};
use cowlside::domain::service::Service as Told;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::{Cylinder, Standing, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::place::in_the_job;
use cowlside::report::record::record;

fn at(scope: Option<Vec<Cylinder>>, wanted: impl Fn(&Due) -> bool) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, scope);
    service.calmly_while(|_, due| !wanted(due));
    service
}

fn never_touched(valve: Valve) -> Input {
    Input::NutNeverTouched { valve, why: why() }
}

fn work(cylinder: Cylinder, what: &str) -> Input {
    Input::Work { cylinder, what: what.into(), text: String::new() }
}

/// Locks the valve that is being set where it reads so.
fn locked_at(service: &mut Service, valve: Valve, reads: &str) {
    service.calmly_while(|_, due| *due != Due::Trying(valve) && *due != Due::Sign);
    assert_eq!(service.due(), Due::Trying(valve));
    service.tell(Input::Tried { typed: reads.into(), sure: true });
    assert!(matches!(service.due(), Due::NutAnswer(..)), "{:?}", service.due());
}

#[test]
fn a_slack_nut_outside_the_scope_locked_tight_is_set_and_answered_for() {
    let mut service = at(Some(vec![1]), |due| matches!(due, Due::CountIn { .. }));
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::OutOfScope);
    service.tell(Input::NutFoundSlack(exhaust(3)));
    locked_at(&mut service, exhaust(3), "8");
    service.tell(Input::NutLocked);
    service.calmly_while(|_, due| !matches!(due, Due::Set(..) | Due::ReasonFor(..) | Due::Sign));
    assert_eq!(service.due(), Due::Set(exhaust(3), Verdict::Tight));
    service.tell(Input::LeaveAsIs { valve: exhaust(3), why: why() });
    service.on_to_gauge(exhaust(3)).gauge("8").on_to_sign();
    let told = Told::of(&service.session);
    let outcome = told.outcome(exhaust(3)).unwrap();
    assert!(outcome.in_scope && outcome.touched, "{outcome:?}");
    assert_eq!(outcome.verdict_left, Some(Verdict::Tight));
    assert_eq!(outcome.left_as_is, Some(why()));
    // The valves beside it were not opened, and are not signed for.
    assert!(!told.outcome(intake(3)).unwrap().in_scope);
    assert_eq!(service.session.state.valves(), [intake(1), exhaust(1), exhaust(3)]);
}

#[test]
fn the_record_says_of_a_valve_outside_the_scope_who_opened_it() {
    let extent = |service: &Service| {
        let text = record(&service.session, &Earlier::default()).replace('\u{a0}', " ");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let mut service = at(Some(vec![1]), |due| matches!(due, Due::CountIn { .. }));
    let mut other = service.clone();
    service.tell(Input::NutFoundSlack(exhaust(3)));
    let here = "cylinder 1 only, and beside it 3 exhaust, opened in this service: ";
    assert!(extent(&service).contains(here), "{}", extent(&service));
    // Another version had it open, and it was taken over as this one was gone on with.
    let left_open = other_open();
    other.keep(Entry::Begin(Begin { left_open, ..Begin::default() }));
    let before = "cylinder 1 only, and beside it 3 exhaust, left open by an earlier service: ";
    assert!(extent(&other).contains(before), "{}", extent(&other));
}

/// The nut of 3 exhaust, as another session left it.
fn other_open() -> Vec<LeftOpen> {
    let item = LeftItem::NutSlack(exhaust(3));
    vec![LeftOpen { from: "spring".into(), item }]
}

#[test]
fn taken_back_it_is_outside_the_scope_once_more() {
    let mut service = at(Some(vec![1]), |due| matches!(due, Due::CountIn { .. }));
    let before = service.session.state.valves();
    service.tell(Input::NutFoundSlack(exhaust(3)));
    assert!(service.session.state.valves().contains(&exhaust(3)));
    service.tell(never_touched(exhaust(3)));
    assert_eq!(service.session.state.valves(), before);
    assert_eq!(service.session.state.standing(exhaust(3)), Standing::OutOfScope);
}

#[test]
fn work_outside_the_scope_is_counted_out_gauged_and_rechecked() {
    let mut service =
        at(Some(vec![1]), |due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    let pieces = |service: &Service| {
        let bank = service.session.state.facts().bank_of(3).unwrap().name.clone();
        service.session.state.opened_in(&bank).contains(&3)
    };
    service.tell(work(3, "rocker"));
    assert!(pieces(&service));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..) | Due::Sign));
    assert!(matches!(service.due(), Due::CountOut(..)), "the cover of 3 is counted out");
    service.on_to_sign();
    for valve in [intake(3), exhaust(3)] {
        assert_eq!(service.session.state.verdict_left(valve), Some(Verdict::InLimits), "{valve}");
        let standing = service.session.state.standing(valve);
        assert_eq!(standing, Standing::Rechecked, "{valve}");
    }
}

#[test]
fn a_valve_opened_outside_the_scope_does_not_keep_another_cylinder_in_it() {
    let mut service = at(Some(vec![1, 2]), |due| matches!(due, Due::CountIn { .. }));
    service.tell(Input::NutFoundSlack(intake(3)));
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    let narrower = Begin { scope: Some(vec![1]), scope_why: Some(why()), ..Begin::default() };
    service.tell(Input::Begin(Box::new(narrower)));
    assert!(service.session.state.valves().contains(&intake(3)), "still answered for");
    assert!(!service.session.state.in_scope(2));
    service.sign();
}

#[test]
fn covers_over_cams_that_come_out_outside_the_scope_are_counted_out() {
    let mut service =
        at(Some(vec![1]), |due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    let bank = service.session.state.facts().bank_of(3).unwrap().name.clone();
    assert!(!service.session.state.opened_in(&bank).contains(&3));
    service.tell(Input::CamsOut { bank: Some(bank.clone()) });
    assert!(service.session.state.opened_in(&bank).contains(&3));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..) | Due::Sign));
    assert!(matches!(service.due(), Due::CountOut(..)), "the cover of 3 is counted out");
    service.sign();
}

#[test]
fn a_reason_to_leave_that_work_has_ended_is_brought_back_by_nothing() {
    // Work before the nut is said slack, and after it.
    for worked_first in [false, true] {
        let mut service =
            at(None, |due| matches!(due, Due::Gauge(valve, _) if *valve == exhaust(1)));
        service.gauge("16");
        while matches!(service.due(), Due::Again(..)) {
            service.gauge("16");
        }
        service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
        service.tell(Input::LeaveAsIs { valve: exhaust(1), why: why() });
        service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
        assert!(service.session.state.left_as_is.contains_key(&exhaust(1)));
        let mut told = [Input::NutFoundSlack(exhaust(1)), work(1, "valve or seat")];
        if worked_first {
            told.reverse();
        }
        for input in told {
            service.tell(input);
        }
        service.tell(never_touched(exhaust(1)));
        assert!(!service.session.state.left_as_is.contains_key(&exhaust(1)), "{worked_first}");
    }
}

#[test]
fn never_touched_leaves_no_figure_called_lost_that_was_not() {
    let mut service =
        at(Some(vec![1]), |due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    service.tell(work(1, "rocker"));
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    assert_eq!(service.session.state.found_lost.get(&intake(1)), None);
    service.tell(Input::NutFoundSlack(intake(1)));
    assert_eq!(service.session.state.found_lost.get(&intake(1)), None, "work came first");
    service.tell(never_touched(intake(1)));
    assert_eq!(service.session.state.found_lost.get(&intake(1)), None);
}

#[test]
fn never_touched_brings_back_that_its_threads_were_left_so() {
    let mut service = at(None, |due| matches!(due, Due::Gauge(..)));
    let Due::Gauge(valve, _) = service.due() else { panic!("{:?}", service.due()) };
    service.gauge("9").calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(7)).tell(Input::LeaveThreads { why: why() });
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    let before = service.session.state.threads_left.clone();
    assert!(before.contains_key(&valve));
    service.tell(Input::NutFoundSlack(valve));
    assert!(service.session.state.threads_left.is_empty());
    service.tell(never_touched(valve));
    assert_eq!(service.session.state.threads_left, before);
}

#[test]
fn a_round_that_is_added_later_is_a_round_and_not_after_the_rounds() {
    // Whichever of them is gauged last in the round that is added.
    for valve in flat_four().valves() {
        let mut service = at(None, |due| matches!(due, Due::CountIn { .. }));
        service.tell(Input::OpenSet(valve));
        service.calmly_while(|_, due| !matches!(due, Due::RunCheck(..)));
        service.tell(Input::RunFault { digit: 2, text: "a new noise".into() });
        service.tell(Input::RunBackToGauging);
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        service.calmly_while(|service, _| {
            let here = in_the_job(&service.session);
            let round = service.session.state.round();
            assert!(round != Some(2) || here.starts_with("round 3 of 3"), "{valve}: {here}");
            round.is_some()
        });
    }
}
