//! Work on a cylinder: hands were deep in the engine, so the place of the crank and the lifters are answered for
//! anew.

use super::engines::{exhaust, flat_four, intake, push_rods};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Begin, Entry, PartKind, Rounds, Step, Work};
use cowlside::domain::session::{Crank, Due, Input};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Cylinder;
use cowlside::guide::status;
use cowlside::report::record::{owner_sentence, record};

fn work(cylinder: Cylinder, what: &str) -> Input {
    Input::Work { cylinder, what: what.into(), text: String::new() }
}

/// What a version before this one kept of it.
fn worked_before(service: &mut Service, cylinder: Cylinder, what: &str) {
    for mut entry in service.session.decide(&work(cylinder, what)).unwrap() {
        let Entry::Work(work) = &mut entry else { panic!("{entry:?}") };
        assert!(std::mem::take(&mut work.asks_anew), "kept with what is asked anew");
        service.keep(entry);
    }
}

fn at_exhaust() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(exhaust(1));
    service
}

#[test]
fn with_a_cylinder_off_or_a_cam_out_the_crank_is_found_anew() {
    for what in [Work::CYLINDER, Work::CAM] {
        let mut service = at_exhaust();
        service.tell(work(3, what));
        assert_eq!(service.session.state.crank, Crank::Unknown, "{what}");
        assert!(service.session.state.rock_wanted);
        service.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::Gauge(..)));
        assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
        service.sign();
    }
}

#[test]
fn after_any_other_work_it_is_proven_where_it_stood() {
    for what in ["rocker", "valve or seat"] {
        let mut service = at_exhaust();
        service.tell(work(3, what));
        assert!(!service.session.state.crank_proven(), "{what}");
        service.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::Gauge(..)));
        assert!(matches!(service.due(), Due::Turn { there: true, .. }), "{:?}", service.due());
        service.sign();
    }
}

fn over_a_lifter() -> Service {
    let mut service = Service::new(push_rods());
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn().on_to_gauge(intake(1));
    service
}

#[test]
fn a_lifter_is_dry_only_once_somebody_says_so_again() {
    let asked = |service: &mut Service| {
        service.calmly_while(|_, due| !matches!(due, Due::Dry(..) | Due::Gauge(..)));
        service.due()
    };
    let mut service = over_a_lifter();
    service.tell(work(1, "lifter"));
    assert!(service.session.state.dry.is_empty());
    let due = asked(&mut service);
    assert!(matches!(due, Due::Dry(..)), "{due:?}");
    service.sign();
}

#[test]
fn a_version_before_this_one_went_on_from_where_it_stood() {
    let mut service = at_exhaust();
    worked_before(&mut service, 3, Work::CYLINDER);
    assert!(service.session.state.crank_proven());
    let mut service = over_a_lifter();
    worked_before(&mut service, 1, "lifter");
    assert!(service.session.state.dry.contains(&intake(1)));
}

#[test]
fn what_is_gauged_again_after_it_is_rechecked_after_a_turn() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(3));
    service.tell(work(3, "rocker"));
    service.calmly_while(|_, due| *due != Due::Gauge(intake(3), Step::Recheck));
    let before = |taken: &&cowlside::domain::session::Taken| taken.reading.valve == intake(3);
    let arrived = service.session.state.readings.iter().rev().find(before).unwrap().arrived;
    assert_eq!(service.due(), Due::Gauge(intake(3), Step::Recheck));
    assert!(service.session.state.arrived > arrived, "nobody turned");
    service.sign();
}

#[test]
fn after_a_torque_that_came_late_both_rounds_are_not_gauged_at_one_place() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let last = service.session.state.stops().last().unwrap().gauge[0].valve;
    service.tell(work(last.cylinder, "rocker"));
    service.calmly_while(|_, due| !matches!(due, Due::HoldDown(_)));
    service.tell(Input::HoldDownNotMeasured);
    service.calmly_while(|service, _| service.session.state.round().is_some());
    assert_eq!(service.due(), Due::HoldDown(last.cylinder));
    let found = mechanic::calm(&service.session, &service.due());
    let words = service.session.decide(&found).unwrap();
    let said = status::entry_words(&service.session, &words[0]).unwrap();
    assert!(said.contains("30 N·m"), "{said}");
    service.tell(found).on_to_gauge(last);
    assert_eq!(service.session.state.round(), Some(0));
    let arrived = service.session.state.arrived;
    service.tell(mechanic::calm(&service.session, &service.due()));
    service.on_to_gauge(last);
    assert_eq!(service.session.state.round(), Some(1));
    assert!(service.session.state.arrived > arrived, "nobody turned");
    service.sign();
}

#[test]
fn a_valve_that_only_its_cylinder_was_worked_on_is_not_said_to_be_set() {
    let words = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = |what: &str, asks_anew: bool| {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(3));
        if asks_anew {
            service.tell(work(3, what));
        } else {
            worked_before(&mut service, 3, what);
        }
        service.on_to_sign();
        let sheet = words(record(&service.session, &Earlier::default()));
        let owner = owner_sentence(&service.session, &Earlier::default());
        (service, sheet, owner)
    };
    let (service, sheet, owner) = told("valve or seat", true);
    let state = &service.session.state;
    assert!(state.touched.contains(&intake(3)) && state.only_worked_on(intake(3)));
    assert!(sheet.contains("none adjusted; 2 valves gauged after work on the cylinder"), "{sheet}");
    assert!(sheet.contains("not adjusted: 3 intake, 3 exhaust"), "{sheet}");
    assert!(!sheet.contains("1 try"), "{sheet}");
    assert!(owner.contains("gauged again after work (valve or seat)"), "{owner}");
    assert!(!owner.contains("was set"), "{owner}");
    // As versions before this one told it, so their records stay as they are.
    let (_, sheet, owner) = told("valve or seat", false);
    assert!(sheet.contains("2 valves adjusted: 3 intake, 3 exhaust"), "{sheet}");
    assert!(owner.contains("was set"), "{owner}");
}

#[test]
fn a_valve_that_is_set_after_work_on_its_cylinder_was_set() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(3));
    service.tell(work(3, "valve or seat"));
    service.on_to_gauge(intake(3)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Set(valve, _) if *valve == intake(3)));
    service.on_to_sign();
    let state = &service.session.state;
    assert!(!state.only_worked_on(intake(3)) && state.only_worked_on(exhaust(3)));
    let sheet = record(&service.session, &Earlier::default());
    let sheet = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(sheet.contains("1 valve adjusted: 3 intake; 1 valve gauged after work"), "{sheet}");
}

#[test]
fn that_another_stop_is_next_after_the_work_is_told_once() {
    let told = |service: &Service| {
        let lines = cowlside::guide::Talk::default().prompt(&service.session).lines.join(" ");
        lines.contains("The order is made anew after the work on").then_some(lines)
    };
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveySetRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { stop: 2, .. }));
    assert_eq!(told(&service), None);
    let before = service.session.state.stops()[1].gauge[0].valve.cylinder;
    service.tell(work(before, "rocker"));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    assert_ne!(stop, 2);
    let lines = told(&service).unwrap();
    assert!(lines.contains(&format!("after the work on {before}: next ")), "{lines}");
    service.calmly_while(|_, due| matches!(due, Due::Turn { .. } | Due::Rock { .. }));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    assert_eq!(told(&service), None, "once");
    service.sign();
}

#[test]
fn a_valve_that_was_never_gauged_is_not_gauged_again() {
    let title = |service: &Service| cowlside::guide::Talk::default().prompt(&service.session).title;
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveySetRecheck, None);
    service.tell(work(3, "valve or seat"));
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(valve, _) if *valve == intake(3)));
    assert_eq!(title(&service), "Gauge 3 intake as it is now");
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(valve, _) if *valve == exhaust(3)));
    service.tell(work(3, "valve or seat"));
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(valve, _) if *valve == intake(3)));
    assert_eq!(title(&service), "Gauge 3 intake again");
    service.sign();
}

#[test]
fn history_and_comparison_say_of_such_a_valve_that_it_was_worked_on() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_round(1).on_to_gauge(intake(3));
    service.tell(work(3, "valve or seat")).sign();
    let made = cowlside::domain::service::Service::of(&service.session);
    let of = |valve| made.outcome(valve).unwrap();
    assert_eq!(of(intake(3)).work_alone.as_deref(), Some("valve or seat"));
    assert_eq!(of(intake(1)).work_alone, None);
    let compared = cowlside::domain::compare::compare(&made, &made);
    let moved = compared.valves.iter().find(|one| one.valve == intake(3)).unwrap();
    let notes = cowlside::report::compare_sheet::valve_notes(moved);
    assert!(notes.contains("worked on (valve or seat) and gauged after it, not set"), "{notes}");
}

/// What was told of a push rod, by a version before this one where so.
fn rod(service: &mut Service, out: bool, before: bool) {
    let told =
        mechanic::part(out, intake(1), PartKind::Pushrod, if out { "0" } else { "the same one" });
    for mut entry in service.session.decide(&told).unwrap() {
        let Entry::Part(part) = &mut entry else { panic!("{entry:?}") };
        assert!(part.undoes_less);
        part.undoes_less = !before;
        service.keep(entry);
    }
}

#[test]
fn nor_is_one_whose_own_part_was_out_for_the_work_and_went_back() {
    let lifter = |service: &mut Service, what: &str| {
        service.tell(work(1, what));
        service.calmly_while(|_, due| *due != Due::HoldDown(1));
        service.tell(Input::HoldDown("22 N·m".into(), false));
    };
    let gauged = || {
        let mut service = over_a_lifter();
        service.tell(Input::Gauge { typed: "48".into(), sure: true });
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        service
    };
    let only_worked =
        |service: &Service| service.session.state.work_alone(intake(1)).map(String::from);
    // Out before the work, or after it.
    for out_first in [true, false] {
        for before in [true, false] {
            let mut service = gauged();
            if out_first {
                rod(&mut service, true, before);
                service.tell(work(1, "lifter"));
            } else {
                lifter(&mut service, "lifter");
                rod(&mut service, true, before);
            }
            rod(&mut service, false, before);
            let told = only_worked(&service);
            assert_eq!(
                told,
                (!before).then(|| "lifter".to_string()),
                "first {out_first}, before {before}"
            );
            service.on_to_sign();
            let sheet = record(&service.session, &Earlier::default());
            assert_eq!(sheet.contains("none adjusted"), !before, "{sheet}");
        }
    }
    // With other rods, or another one, it was.
    let mut service = gauged();
    rod(&mut service, true, false);
    service.tell(work(1, Work::PUSH_ROD));
    rod(&mut service, false, false);
    assert_eq!(only_worked(&service), None);
    let mut service = gauged();
    lifter(&mut service, "lifter");
    rod(&mut service, true, false);
    service.tell(mechanic::part(false, intake(1), PartKind::Pushrod, "0.5 mm"));
    assert_eq!(only_worked(&service), None);
    service.on_to_sign();
}
