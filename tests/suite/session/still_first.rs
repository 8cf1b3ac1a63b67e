//! Nothing is turned with a valve held open or a part out; what was turned, or left for a day, is asked anew.

use super::engines::{self, exhaust, flat_four, intake};
use super::harness::Service;
use super::mechanic::part;
use cowlside::domain::entry::{Asked, Back, Entry, PartKind, Proof, Rounds};
use cowlside::domain::session::{Crank, Due, Input};

/// Answers cautions as long as they are asked; returns which.
fn cautions(service: &mut Service) -> Vec<String> {
    let mut asked = Vec::new();
    while let Due::Caution(line, _) = service.due() {
        asked.push(line.id);
        service.tell(Input::Answer(1));
    }
    asked
}

/// A radial by its table, at its first stop, both valves of it that are held open so.
fn held_open() -> Service {
    let mut service = Service::new(engines::radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    assert_eq!(service.session.state.unloaded.len(), 2);
    service
}

#[test]
fn low_cylinders_are_pulled_through_once_what_is_held_open_was_let_go() {
    let days =
        [Input::Who("Second".into()), Input::Back(Back { new_day: true, ..Back::default() })];
    for away in days {
        let mut service = held_open();
        service.tell(away);
        service.calmly_while(|_, due| *due == Due::NewDay);
        let asked = cautions(&mut service);
        assert!(asked.contains(&"hands".into()), "{asked:?}");
        assert!(!asked.contains(&"oil-lock".into()), "asked with valves held open: {asked:?}");
        service.calmly_while(|_, due| !matches!(due, Due::Release(_)));
        service.tell(Input::Release).tell(Input::Release);
        assert_eq!(cautions(&mut service), ["oil-lock"]);
        assert_eq!(service.session.state.crank, Crank::Unknown, "it was pulled through");
        assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
        service.sign();
    }
}

#[test]
fn where_it_was_pulled_through_the_stop_is_found_anew_and_not_only_proven() {
    // At this stop of the table nothing is held open.
    let mut service = Service::new(engines::radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(2));
    assert!(service.session.state.unloaded.is_empty() && service.session.state.crank_proven());
    service.tell(Input::Who("Second".into()));
    assert_eq!(cautions(&mut service).last().map(String::as_str), Some("oil-lock"));
    assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
    let before = service.session.kept.len();
    let Due::Turn { stop, .. } = service.due() else { unreachable!() };
    service.tell(Input::Loose(service.session.state.to_gauge(stop)));
    let entries = &service.session.kept[before..];
    assert!(matches!(entries[0].entry, Entry::At(_)), "it was brought there: {entries:?}");
    service.on_to_gauge(intake(2)).sign();
}

#[test]
fn a_part_that_is_out_goes_in_before_that_too() {
    let mut service = Service::new(engines::radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(part(true, intake(1), PartKind::Rocker, ""));
    service.tell(Input::Who("Second".into()));
    assert!(!cautions(&mut service).contains(&"oil-lock".into()));
    assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Rocker));
    service.tell(part(false, intake(1), PartKind::Rocker, ""));
    assert_eq!(cautions(&mut service), ["oil-lock"]);
    // One that comes out just then holds it back once more.
    service.tell(Input::Who("Third".into()));
    service.calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "oil-lock"));
    service.tell(part(true, intake(1), PartKind::Rocker, ""));
    assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Rocker));
    service.sign();
}

#[test]
fn where_no_cylinder_is_low_a_break_leaves_the_crank_to_be_proven_where_it_stood() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service.tell(Input::Who("Second".into()));
    assert_eq!(cautions(&mut service).len(), 7);
    assert!(matches!(service.due(), Due::Turn { there: true, .. }), "{:?}", service.due());
}

/// How warm the head is, is asked before the next turn.
fn warmth_is_asked(service: &mut Service) {
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::Temperature | Due::Sign));
    assert_eq!(service.due(), Due::Temperature);
    service.sign();
}

#[test]
fn after_a_day_or_an_hour_a_round_that_comes_later_has_its_own_temperature() {
    let breaks = [
        Back { new_day: true, ..Back::default() },
        Back { after_min: Some(70), ..Back::default() },
    ];
    for back in breaks {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None);
        service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
        service.tell(Input::Back(back));
        service.calmly_while(|_, due| {
            *due == Due::NewDay || matches!(due, Due::Caution(_, Asked::Start | Asked::Back))
        });
        service.tell(Input::NutFoundSlack(exhaust(3)));
        warmth_is_asked(&mut service);
    }
    // A short break leaves it as it is.
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    service.tell(Input::NutFoundSlack(exhaust(3)));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    assert!(matches!(service.due(), Due::Turn { .. }), "{:?}", service.due());
}

#[test]
fn what_is_apart_over_night_is_gauged_at_the_warmth_of_the_day() {
    let facts = engines::vee_twin();
    let mut service = Service::cams_out(facts, "left", (intake(1), "0.10"));
    // Together, turned through, the temperature told; then the cams come out once more.
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    warmth_is_asked(&mut service);
}

#[test]
fn a_proof_behind_it_without_a_word_of_the_place_is_of_where_the_crank_stood() {
    let mut service = Service::new(engines::radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(2));
    let (stood, crank) = (service.session.state.stands_at(), service.session.state.crank);
    let Crank::At { stop, .. } = crank else { panic!("{crank:?}") };
    service.tell(Input::Who("Second".into()));
    cautions(&mut service);
    assert_eq!(service.session.state.crank, Crank::Unknown);
    // A version before this one asked only for the proof here.
    let of = service.session.state.to_gauge(stop);
    service.keep(Entry::Proof(Proof { loose: of, of, rocked: None, no_play: false }));
    assert!(stood.is_some() && service.session.state.stands_at() == stood);
    service.on_to_gauge(intake(2)).gauge("10");
    assert_eq!(service.session.state.readings.last().unwrap().stood, stood);
    service.sign();
}
