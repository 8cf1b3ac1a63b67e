//! A reading that does not count because the crank stood wrong takes along all that was gauged there.

use super::engines::{exhaust, flat_four, intake};
use super::harness::Service;
use cowlside::domain::entry::{At, Entry, Rounds, Step};
use cowlside::domain::session::{Crank, Due, Input, Refusal, WRONG_PLACE};
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::{Answered, Beside, Command, Talk, glance, status};

fn begun() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    service
}

fn seq(service: &Service, valve: Valve) -> u64 {
    service.session.state.current(valve).unwrap().seq
}

fn void(service: &mut Service, valve: Valve, why: &str) {
    let of = seq(service, valve);
    service.tell(Input::Void { of, why: why.into() });
}

#[test]
fn it_takes_along_what_was_gauged_there_and_the_place_is_found_anew() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    void(&mut service, intake(1), WRONG_PLACE);
    assert_eq!(service.found(intake(1)), None);
    assert_eq!(service.found(exhaust(1)), None, "it was gauged at the same place");
    assert_eq!(service.session.state.crank, Crank::Unknown);
    assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
    assert!(service.session.state.rock_wanted);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    service.sign();
}

#[test]
fn what_was_set_there_is_set_again() {
    let mut service = begun();
    service.gauge("6").gauge("16").tell(Input::OpenSet(exhaust(1)));
    service.tell(Input::Tried { typed: "12".into(), sure: true }).tell(Input::NutLocked);
    service.calmly_while(|_, due| matches!(due, Due::Threads(..)));
    void(&mut service, intake(1), WRONG_PLACE);
    assert!(service.session.state.nut_slack(exhaust(1)), "nobody gauged it where it is shut");
    assert!(matches!(service.due(), Due::Turn { there: false, .. }), "{:?}", service.due());
    service.sign();
}

#[test]
fn any_other_slip_is_of_one_reading() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    void(&mut service, intake(1), "typing error");
    assert_eq!(service.found(exhaust(1)), Some("12"));
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
}

#[test]
fn of_a_reading_from_paper_nobody_knows_the_place() {
    let mut service = begun();
    let paper = |valve, typed: &str| Input::GaugeFromPaper {
        readings: vec![(valve, typed.into())],
        time: "09:40".into(),
        sure: true,
    };
    service.tell(paper(intake(2), "6")).tell(paper(exhaust(2), "12"));
    void(&mut service, intake(2), WRONG_PLACE);
    assert_eq!(service.found(exhaust(2)), Some("12"));
    assert!(service.session.state.crank_proven());
}

#[test]
fn a_place_that_was_rocked_since_stands() {
    let mut service = begun();
    service.gauge("6").gauge("12").on_to_gauge(intake(3));
    // Found by its count alone, going on from the wrong one.
    let mut counted = service.clone();
    void(&mut counted, intake(1), WRONG_PLACE);
    assert_eq!(counted.session.state.crank, Crank::Unknown);
    assert_eq!(counted.found(exhaust(1)), None);
    counted.sign();
    service.tell(Input::SeeOverlap(4)).on_to_gauge(intake(3));
    void(&mut service, intake(1), WRONG_PLACE);
    assert!(service.session.state.crank_proven(), "{:?}", service.session.state.crank);
    assert_eq!(service.due(), Due::Gauge(intake(3), Step::Found));
    service.sign();
}

#[test]
fn it_is_offered_where_a_reading_does_not_count_and_nowhere_else() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    // The newest first: 1 exhaust, then 1 intake.
    let (of, other) = ("2", "1");
    let asked = |answers: &[&str]| {
        let call = Talk::call(&service.session, Command::Correct, Beside::default().into());
        let talk = answers.iter().fold(call, |talk, typed| match talk {
            Answered::Next(next) => next.answer(&service.session, typed),
            other => panic!("{typed}: {other:?}"),
        });
        let Answered::Next(talk) = talk else { panic!("{talk:?}") };
        talk.prompt(&service.session)
    };
    let offers =
        |answers: &[&str]| asked(answers).field.choices.iter().any(|one| one.label == WRONG_PLACE);
    assert!(offers(&[of, "2"]));
    let said = asked(&[of, "2"]).lines.join(" ");
    assert!(said.contains("gauged there"), "{said}");
    assert!(!offers(&[of, "1", "7"]), "a figure from there is none, whatever it is");
    assert!(!offers(&[of, "3", other]));
}

#[test]
fn how_many_went_is_said_and_the_key_takes_none_of_it_back_alone() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    let before = service.session.kept.len();
    void(&mut service, intake(1), WRONG_PLACE);
    let kept = service.session.kept[before..].iter();
    let entries: Vec<_> = kept.map(|kept| kept.entry.clone()).collect();
    let said = status::kept_words(&service.session, &entries, &|_| None);
    assert!(said.contains("all 2 readings"), "{said}");
    assert_eq!(glance::undo(&service.session), None);
    let refused = service.refused(Input::TakeBack);
    assert!(matches!(refused, Refusal::CannotTakeBack(words) if words.contains("gauge")));
    // What comes after it is its own.
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    service.gauge("6").tell(Input::TakeBack);
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    service.sign();
}

#[test]
fn what_was_gauged_on_from_there_goes_until_the_place_was_rocked_or_seen() {
    let mut service = begun();
    service.gauge("6").gauge("12").on_to_gauge(intake(3)).gauge("6");
    // Turned on from the wrong place, and counted only.
    let mut counted = service.clone();
    void(&mut counted, intake(1), WRONG_PLACE);
    assert_eq!(counted.found(intake(3)), None, "each turn began where the last one ended");
    assert_eq!(counted.session.state.crank, Crank::Unknown);
    counted.sign();
    // What was gauged once it was found by its own sign stands.
    let mut service = begun();
    service.gauge("6").gauge("12").tell(Input::SeeOverlap(4));
    service.on_to_gauge(intake(3)).gauge("6");
    void(&mut service, intake(1), WRONG_PLACE);
    assert_eq!(service.found(intake(3)), Some("6"));
    service.sign();
}

#[test]
fn the_key_does_not_get_behind_the_word_that_nobody_knows_the_place() {
    let mut service = begun();
    service.gauge("6").gauge("12");
    void(&mut service, intake(1), WRONG_PLACE);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let refused = loop {
        match service.give(&Input::TakeBack) {
            Ok(()) => {}
            Err(refused) => break refused,
        }
    };
    assert!(matches!(refused, Refusal::CannotTakeBack(words) if words.contains("gauge")));
    assert_eq!(service.session.state.crank, Crank::Unknown);
    service.sign();
}

#[test]
fn in_the_next_round_too_what_was_gauged_on_from_there_goes() {
    let mut service = begun();
    let order = [1, 3, 2, 4];
    for cylinder in order {
        service.on_to_gauge(intake(cylinder)).gauge(if cylinder == 3 { "9" } else { "6" });
        service.calmly_while(|service, due| {
            let first = service.session.state.round() == Some(0);
            first && !matches!(due, Due::Gauge(valve, Step::Found) if valve.kind == Kind::Intake)
        });
    }
    let last = intake(4);
    let of = service.session.state.readings.iter().find(|taken| taken.reading.valve == last);
    let of = of.unwrap().seq;
    service.on_to_round(1).on_to_gauge(exhaust(1));
    let rechecked = |service: &Service| {
        let taken = service.session.state.readings.iter();
        taken.filter(|taken| taken.reading.round == 2 && taken.counts).count()
    };
    assert_eq!(rechecked(&service), 1, "1 intake");
    let rocked = service.session.kept.iter().filter(|kept| kept.seq > of);
    let rocked = rocked.filter(|kept| {
        matches!(&kept.entry, Entry::Proof(proof) if proof.rocked.is_some())
            || matches!(kept.entry, Entry::At(At::SeenOverlap(_) | At::SeenLoose(_)))
    });
    assert_eq!(rocked.count(), 0, "each turn began where the last one ended");
    service.tell(Input::Void { of, why: WRONG_PLACE.into() });
    assert_eq!(rechecked(&service), 0, "gauged on from the wrong place");
    assert_eq!(service.session.state.crank, Crank::Unknown);
    // What was gauged in the first round where the last one never stood, before it, stands.
    assert_eq!(service.found(intake(1)), Some("6"));
    service.sign();
}
