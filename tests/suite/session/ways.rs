//! Another way round: chosen before the start, chosen anew in the middle, and the tape that helps.

use super::engines;
use super::harness::{Service, why};
use crate::plans::engines as plans;
use cowlside::domain::entry::{At, Back, Begin, Entry, Rounds};
use cowlside::domain::plan::PlanChoice;
use cowlside::domain::session::{Crank, Due, Input, Proven, Refusal};
use cowlside::domain::valve::{Cylinder, Valve};
use cowlside::guide::status;

fn way(few_stops: bool, less_walking: bool, rest: bool) -> Input {
    let (few_stops, less_walking) = (Some(few_stops), Some(less_walking));
    Input::Begin(Box::new(Begin { few_stops, less_walking, rest, ..Begin::default() }))
}

fn flat_six() -> Service {
    let mut facts = plans::flat_six();
    facts.adjuster = engines::flat_four().adjuster;
    Service::new(facts)
}

fn gauged(service: &Service) -> Vec<Valve> {
    service.session.state.stops().iter().flat_map(|s| &s.gauge).map(|g| g.valve).collect()
}

fn pending(service: &Service) -> usize {
    let state = &service.session.state;
    let round = state.round().unwrap();
    state.valves().iter().filter(|&&valve| state.needs_reading(round, valve)).count()
}

#[test]
fn few_stops_chosen_before_the_start_lead_to_the_signature() {
    let mut service = flat_six();
    service.calmly_while(|_, due| *due != Due::Scope).tell(way(true, false, false));
    assert_eq!(service.due(), Due::Scope, "the way is chosen, the scope is still asked");
    assert_eq!(service.session.state.stops().len(), 2);
    service.prepare(Rounds::SetThenRecheck, None);
    assert!(matches!(service.due(), Due::Turn { stop: 0, .. }));
    assert_eq!(service.session.state.to_gauge(0), 6);
    service.sign();
}

#[test]
fn each_choice_of_the_way_keeps_what_an_earlier_one_said() {
    let mut service = flat_six();
    service.calmly_while(|_, due| *due != Due::Scope);
    service.tell(way(true, true, false));
    service.tell(Input::Begin(Box::new(Begin { from: Some(3), ..Begin::default() })));
    service.tell(Input::Begin(Box::new(Begin { margin: Some(80.0), ..Begin::default() })));
    let wanted =
        PlanChoice { from: Some(3), margin: Some(80.0), few_stops: true, less_walking: true };
    assert_eq!(service.session.state.begin.way(), wanted);
    let first = &service.session.state.stops()[0];
    assert!(first.gauge.iter().any(|gauge| gauge.valve.cylinder == 3));
    assert!(service.session.state.stops().iter().all(|stop| stop.margin >= Some(80.0)));
    let far = Begin { margin: Some(340.0), ..Begin::default() };
    let refusal = service.refused(Input::Begin(Box::new(far)));
    assert!(matches!(&refusal, Refusal::NoPlan(words) if words.contains("340°")), "{refusal:?}");
    service.tell(Input::TakeBack);
    assert_eq!(service.session.state.begin.way().margin, None, "the last choice is taken back");
}

#[test]
fn the_rest_is_planned_from_where_the_crank_stands_and_the_next_round_is_whole_again() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, _| pending(service) > 8);
    assert!(matches!(service.session.state.crank, Crank::At { proof: Proven::Yes, .. }));
    let left = pending(&service);
    service.tell(way(true, false, true));
    assert_eq!(gauged(&service).len(), left, "only what is left is planned");
    assert!(service.session.state.stops().len() <= 2);
    // Nothing was turned: the first stop of the rest is told from where the crank stands.
    let state = &service.session.state;
    let (now, first) = (state.crank_angle().unwrap(), &state.stops()[0]);
    let turn = (first.crank.unwrap() - now).rem_euclid(720.0);
    assert!((first.turn.unwrap() - turn).abs() < 1e-6);
    service.on_to_round(1);
    assert_eq!(gauged(&service).len(), 12, "the recheck goes round the whole engine");
    service.sign();
}

#[test]
fn a_reading_voided_after_the_rest_was_planned_is_due_at_a_stop_again() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, _| pending(service) > 6);
    let first = service.session.state.readings[0].clone();
    service.tell(way(true, false, true));
    assert!(!gauged(&service).contains(&first.reading.valve));
    service.tell(Input::Void { of: first.seq, why: why() });
    assert!(gauged(&service).contains(&first.reading.valve), "the whole plan is back");
    service.on_to_gauge(first.reading.valve).sign();
}

#[test]
fn a_new_rest_is_taken_back_like_any_entry() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, _| pending(service) > 8);
    let before = service.session.state.clone();
    service.tell(way(true, true, true));
    assert_ne!(service.session.state.stops(), before.stops());
    service.tell(Input::TakeBack);
    assert_eq!(service.session.state, before);
}

#[test]
fn what_is_left_is_not_planned_from_nowhere_nor_against_a_table_nor_with_a_valve_held_open() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    let refusal = service.refused(way(true, false, true));
    assert!(matches!(&refusal, Refusal::NoPlan(why) if why.contains("overlap")), "{refusal:?}");
    service.tell(Input::SeeOverlap(3)).tell(way(true, false, true));
    let mut table = Service::new(engines::radial_table(None));
    table.prepare(Rounds::SetThenRecheck, None);
    assert!(matches!(table.refused(way(true, false, false)), Refusal::NoPlan(_)));
    table.tell(Input::Loose(6)).tell(Input::Unload);
    assert!(matches!(table.refused(way(true, false, true)), Refusal::NoPlan(_)));
}

#[test]
fn a_changed_way_leaves_the_crank_where_it_stands() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, _| pending(service) > 8);
    let before = service.session.state.crank_angle().unwrap();
    // A way of few stops that does not stop here, and back to one that does.
    for (few, begins) in [(true, 5), (false, 1)] {
        let begin = Begin { few_stops: Some(few), from: Some(begins), ..Begin::default() };
        service.tell(Input::Begin(Box::new(begin)));
        let now = service.session.state.crank_angle().unwrap();
        assert!((now - before).abs() < 1e-6, "{now}, not {before}");
    }
    service.sign();
}

/// Where the tape is said to be at the stop that is due.
fn tape_line(service: &Service) -> Option<String> {
    use cowlside::guide::Talk;
    let prompt = Talk::default().prompt(&service.session);
    prompt.lines.into_iter().find(|line| line.to_lowercase().contains("tape"))
}

#[test]
fn a_tape_is_told_once_and_each_later_stop_says_where_it_comes_to() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    assert_eq!(service.refused(Input::Tape("2".into())), Refusal::NotNow, "nothing is proven yet");
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    for wrong in ["", "0", "13", "2:15", "noon", "-2"] {
        let refusal = service.refused(Input::Tape(wrong.into()));
        assert!(matches!(refusal, Refusal::Unreadable(_)), "{wrong}");
    }
    service.tell(Input::Tape("2:30".into()));
    assert!(matches!(service.session.kept.last().unwrap().entry, Entry::At(At::Tape(5))));
    service.on_to_turn();
    // Clockwise from the rear is counter-clockwise facing the propeller: 120° on, four hours back.
    assert_eq!(
        tape_line(&service).as_deref(),
        Some("The tape is then near half past 10; it comes by there on both strokes.")
    );
    service.calmly_while(|_, due| matches!(due, Due::Turn { .. } | Due::Rock { .. }));
    let back = Back { after_min: Some(20), ..Back::default() };
    service.tell(Input::Back(back)).on_to_turn();
    assert!(tape_line(&service).unwrap().starts_with("Tape still at half past 10?"));
    assert!(
        status::way_back(&service.session, &cowlside::domain::trend::Earlier::default())[2]
            .contains("tape still at half past 10?")
    );
    service.sign();
}

#[test]
fn without_a_known_direction_there_is_no_tape() {
    let mut facts = plans::flat_six();
    facts.rotation = None;
    let mut service = Service::new(facts);
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    assert_eq!(service.refused(Input::Tape("2".into())), Refusal::NotNow);
}

#[test]
fn covers_that_are_off_for_the_whole_plan_are_not_counted_out_again_for_its_rest() {
    let mut service = flat_six();
    let scope: Vec<Cylinder> = vec![1, 4, 5];
    service.prepare(Rounds::SetThenRecheck, Some(scope));
    service.calmly_while(|service, _| pending(service) > 3);
    for few in [true, false, true] {
        service.tell(way(few, true, true));
        assert!(!matches!(service.due(), Due::CountOut(..)), "{:?}", service.due());
    }
    service.sign();
}

#[test]
fn both_rockers_loose_find_no_stop_that_gauges_other_cylinders_too() {
    let mut service = flat_six();
    service.calmly_while(|_, due| *due != Due::Scope).tell(way(true, false, false));
    service.prepare(Rounds::SetThenRecheck, None);
    let refusal = service.refused(Input::SeeLoose(3));
    assert!(matches!(&refusal, Refusal::NoPlan(why) if why.contains("alone")), "{refusal:?}");
    service.tell(way(false, false, false)).tell(Input::SeeLoose(3));
    assert!(matches!(service.due(), Due::Gauge(valve, _) if valve.cylinder == 3));
}

#[test]
fn after_a_rocker_moved_no_turn_is_told_in_degrees() {
    use cowlside::guide::Talk;
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Rock { .. }));
    service.tell(Input::Rock(cowlside::domain::entry::Rocked::Moved));
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    for gauge in service.session.state.stops()[stop].gauge.clone() {
        service.tell(Input::SkipValve { valve: gauge.valve, why: why() });
    }
    assert!(matches!(service.due(), Due::Turn { stop: next, .. } if next != stop));
    let prompt = Talk::default().prompt(&service.session);
    assert!(!prompt.lines.iter().any(|line| line.contains("Turn on")), "{:?}", prompt.lines);
}

#[test]
fn an_unlikely_firing_order_is_named_before_the_rounds_begin() {
    use cowlside::guide::Talk;
    let warned = |order: &[Cylinder]| {
        let mut service = Service::new(plans::facts(order, None, None));
        service.calmly_while(|_, due| *due != Due::Scope);
        let prompt = Talk::default().prompt(&service.session);
        prompt.lines.iter().any(|line| line.contains("unlikely"))
    };
    // An open engineering textbook offers 1-4-3-2 for a four (check-values 1.7, S16).
    assert!(warned(&[1, 4, 3, 2]));
    assert!(!warned(&[1, 3, 4, 2]));
}

#[test]
fn after_a_break_the_next_stop_is_found_by_its_sign_and_not_by_degrees() {
    use cowlside::guide::Talk;
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { stop: 1, .. }));
    let lines = |service: &Service| Talk::default().prompt(&service.session).lines.join(" ");
    assert!(lines(&service).contains("Turn on 120°"), "{}", lines(&service));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() })).on_to_turn();
    assert!(!lines(&service).contains("Turn on"), "{}", lines(&service));
    assert!(
        status::way_back(&service.session, &cowlside::domain::trend::Earlier::default())[2]
            .contains("by what is seen there")
    );
}

#[test]
fn what_can_be_gauged_where_the_crank_stands_comes_first_in_every_rest() {
    let mut service = flat_six();
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, _| pending(service) > 9).tell(Input::SeeOverlap(5));
    for (few, less) in [(false, false), (true, false), (false, true), (true, true)] {
        let choice = PlanChoice { few_stops: few, less_walking: less, ..PlanChoice::default() };
        let plan = service.session.state.rest_planned(&choice).unwrap().unwrap();
        assert_eq!(plan.stops[0].watch, 5, "{choice:?}");
        assert_eq!(plan.stops[0].turn, Some(0.0));
    }
}
