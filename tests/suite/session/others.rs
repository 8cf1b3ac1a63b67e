//! Services of the other engines: a radial by its table (B), one with nothing to adjust, shims.

use super::engines::{self, exhaust, intake};
use super::harness::{Service, why};
use super::mechanic::{self, sign};
use cowlside::domain::entry::{Begin, PartKind, Rounds, Step};
use cowlside::domain::session::{Due, Input, Refusal, RoundKind};
use cowlside::domain::trend::Earlier;
use cowlside::domain::verdict::Verdict;
use cowlside::guide::{Talk, status};

fn radial() -> Service {
    let mut service = Service::new(engines::radial_table(Some(engines::usual_timing())));
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

#[test]
fn a_radial_goes_by_its_table_unloading_and_letting_go() {
    let mut service = radial();
    assert_eq!(service.due(), Due::Turn { stop: 0, again: None, there: false, rock: false });
    service.tell(Input::Loose(6));
    // Both held-open valves first, then all six, and nothing turns meanwhile.
    assert_eq!(service.due(), Due::Unload(intake(8)));
    service.tell(Input::Unload);
    for turn in [Input::SeeOverlap(3), Input::Lost, Input::Loose(6)] {
        let refusal = service.refused(turn.clone());
        let wanted =
            if turn == Input::Loose(6) { Refusal::NotNow } else { Refusal::Unloaded(intake(8)) };
        assert_eq!(refusal, wanted);
    }
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
    service.tell(Input::Unload);
    for cylinder in [1, 3, 5] {
        assert_eq!(service.due(), Due::Gauge(intake(cylinder), Step::Found));
        service.gauge("20").gauge("30");
    }
    assert!(matches!(service.due(), Due::Release(_)));
    assert_eq!(service.session.state.progress(), Some((1, 5)), "letting go belongs to its stop");
    assert_eq!(
        service.refused(Input::SkipRound { why: why() }),
        Refusal::OpenItem("VALVE UNLOADED: 4 exhaust".into())
    );
    service.tell(Input::Release).tell(Input::Release);
    assert!(matches!(service.due(), Due::Turn { stop: 1, .. }));
    assert_eq!(service.session.state.progress(), Some((2, 5)));
    service.sign();
}

#[test]
fn past_the_place_of_a_table_nobody_is_left_unawares() {
    let mut service = radial();
    service.tell(Input::Loose(5));
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
    let lines = Talk::default().prompt(&service.session).lines;
    let told = lines.iter().any(|line| line.contains("15° past the table's place"));
    assert!(told, "{lines:?}");
}

#[test]
fn what_was_pressed_open_is_let_go_before_the_next_round_asks_anything() {
    let mut service = radial();
    let next_round = |service: &Service| service.session.state.round() == Some(1);
    service.calmly_while(|service, _| !next_round(service));
    assert!(matches!(service.due(), Due::Release(_)), "{:?}", service.due());
    service.calmly_while(|_, due| matches!(due, Due::Release(_)));
    assert_eq!(service.due(), Due::Temperature);
}

#[test]
fn a_break_with_a_valve_held_open_asks_to_let_it_go_first() {
    let mut service = radial();
    service.tell(Input::Loose(6)).tell(Input::Unload).tell(Input::Unload).gauge("20");
    let back = cowlside::domain::entry::Back { after_min: Some(90), ..Default::default() };
    service.tell(Input::Back(back));
    let way = status::way_back(&service.session, &Earlier::default());
    assert!(way[2].contains("nothing before what is pressed open is let go"), "{way:?}");
    service.calmly_while(|_, due| matches!(due, Due::Caution(..) | Due::Temperature));
    assert!(matches!(service.due(), Due::Release(_)));
    service.tell(Input::Release).tell(Input::Release);
    assert!(matches!(service.due(), Due::Turn { stop: 0, there: true, .. }));
    service.sign();
}

#[test]
fn a_table_has_no_other_beginning_and_no_other_places() {
    let mut service = radial();
    let from = Begin { from: Some(5), ..Begin::default() };
    assert!(matches!(service.refused(Input::Begin(Box::new(from))), Refusal::NoPlan(_)));
    assert!(matches!(service.refused(Input::SeeLoose(5)), Refusal::NoPlan(_)));
    // A cylinder seen at overlap tells where the crank is, not that it stands at a stop.
    service.tell(Input::SeeOverlap(3));
    assert!(matches!(service.due(), Due::Turn { there: false, .. }));
}

#[test]
fn a_set_valve_of_a_table_stop_is_locked_before_the_held_ones_are_let_go() {
    let mut service = radial();
    service.tell(Input::Loose(6)).tell(Input::Unload).tell(Input::Unload);
    service.gauge("20").gauge("30").gauge("30").gauge("30").gauge("20").gauge("30");
    assert_eq!(service.due(), Due::Set(intake(3), Verdict::Loose));
    service
        .tell(Input::OpenSet(intake(3)))
        .tell(Input::Tried { typed: "25 20".into(), sure: true });
    assert!(matches!(service.due(), Due::NutAnswer(..)));
    service.tell(Input::NutStillSlack);
    assert_eq!(service.due(), Due::Trying(intake(3)));
    // The nut was slack already: a wrong digit opened nothing, and what was gauged need not be gauged again.
    assert!(cowlside::guide::glance::undo(&service.session).is_some());
    let tries = service.session.state.readings.len();
    service.tell(Input::TakeBack);
    assert!(matches!(service.due(), Due::NutAnswer(valve, _) if valve == intake(3)));
    assert_eq!(service.session.state.readings.len(), tries);
    assert!(service.session.state.nut_slack(intake(3)), "nobody answered for it yet");
    service.tell(Input::NutStillSlack);
    service.tell(Input::Tried { typed: "20".into(), sure: true }).tell(Input::NutLocked);
    assert!(matches!(service.due(), Due::Release(_)));
    service.sign();
}

#[test]
fn a_narrow_scope_at_a_table_feels_only_what_it_gauges() {
    let mut service = Service::new(engines::radial_table(None));
    service.prepare(Rounds::SetThenRecheck, Some(vec![5]));
    assert!(matches!(service.due(), Due::Turn { stop: 0, .. }));
    assert_eq!(service.session.state.to_gauge(0), 2);
    // Its own covers, those of the watched 3, and those of 8 and 4, which are unloaded: 8 of 18.
    let covers = service.session.state.count_lists()[0].1[0].1;
    assert_eq!(covers, 8);
    service.tell(Input::Loose(2)).tell(Input::Unload).tell(Input::Unload);
    assert_eq!(service.due(), Due::Gauge(intake(5), Step::Found));
    service.sign();
}

#[test]
fn where_nothing_is_adjusted_what_is_out_gets_a_second_look_and_a_reason() {
    let mut service = Service::new(engines::nothing_to_adjust());
    service.calmly_while(|_, due| *due != Due::Scope);
    let setting = Begin { rounds: Some(Rounds::SetThenRecheck), ..Begin::default() };
    assert_eq!(service.refused(Input::Begin(Box::new(setting))), Refusal::NothingToSet);
    service.tell(Input::Begin(Box::new(Begin {
        rounds: Some(Rounds::SurveyOnly),
        ..Begin::default()
    })));
    service.on_to_gauge(exhaust(3)).gauge("40");
    assert_eq!(service.refused(Input::OpenSet(exhaust(3))), Refusal::NothingToSet);
    service.on_to_round(1).on_to_turn();
    assert_eq!(service.session.state.round_kind(), Some(RoundKind::SecondLook));
    service.on_to_gauge(exhaust(3)).gauge("40");
    assert_eq!(service.due(), Due::ReasonFor(exhaust(3), Verdict::Loose), "only what is out");
    assert_eq!(service.refused(sign()), Refusal::NotNow);
    assert_eq!(
        service.refused(Input::LeaveAsIs { valve: exhaust(3), why: String::new() }),
        Refusal::WhyMissing
    );
    service.tell(Input::LeaveAsIs { valve: exhaust(3), why: "the shop does it".into() });
    service.sign();
    assert_eq!(service.verdict(exhaust(3)), Some(Verdict::Loose));
}

#[test]
fn shims_come_out_and_go_in_and_what_they_change_is_gauged_again() {
    let mut service = Service::new(engines::vee_twin());
    service.prepare(Rounds::SurveyOnly, None);
    service.on_to_gauge(intake(2)).gauge("30");
    service.on_to_round(1).on_to_gauge(intake(2)).gauge("30");
    service.calmly_while(|_, due| !matches!(due, Due::ReasonFor(..)));
    let part = |out: bool, typed: &str| mechanic::part(out, intake(2), PartKind::Shim, typed);
    service.tell(part(true, "2.50 mm"));
    assert_eq!(service.due(), Due::PartOut(intake(2), PartKind::Shim));
    assert_eq!(service.refused(Input::SeeOverlap(1)), Refusal::PartOut);
    service.tell(part(false, "2.60 mm"));
    service.on_to_gauge(intake(2));
    assert_eq!(service.due(), Due::Gauge(intake(2), Step::Left));
    service.gauge("20");
    assert!(matches!(service.due(), Due::CountIn { .. }), "nothing else was changed");
    service.sign();
    assert_eq!((service.found(intake(2)), service.left(intake(2))), (Some("30"), Some("20")));
}

#[test]
fn with_a_cam_out_nothing_turns_and_after_it_everything_is_gauged_again() {
    let mut service = Service::new(engines::vee_twin());
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    service.tell(Input::CamsOut { bank: None });
    assert!(matches!(service.due(), Due::CamsOut(None, _)));
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
    assert_eq!(service.refused(Input::CountIn(2)), Refusal::NotNow);
    // The covers were on again: made safe and opened up anew before anything else.
    service.calmly_while(|_, due| !matches!(due, Due::CamsOut(..)));
    assert!(matches!(
        service.refused(Input::CamsIn { bank: None, digit: 0 }),
        Refusal::Unreadable(_)
    ));
    service.tell(Input::CamsIn { bank: None, digit: 1 });
    assert!(matches!(service.due(), Due::TurnThrough(_)));
    assert_eq!(service.refused(Input::SeeOverlap(1)), Refusal::NotNow);
    service.tell(Input::Answer(0));
    assert!(matches!(service.due(), Due::TurnThrough(_)), "not done is no answer to go on with");
    service.tell(Input::Answer(1)).on_to_turn();
    assert!(matches!(service.due(), Due::Turn { there: false, .. }));
    assert!(service.session.state.valves().iter().all(|&valve| service.left(valve).is_none()));
    service.sign();
}

#[test]
fn every_kind_of_engine_is_signed_calmly() {
    for facts in engines::all() {
        let mut service = Service::new(facts);
        service.sign();
    }
}
