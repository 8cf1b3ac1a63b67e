//! A figure over a hydraulic lifter is taken only where it is dry and on its bottom, whichever way it comes.

use super::engines::{exhaust, intake, push_rods};
use super::harness::{Service, why};
use cowlside::domain::entry::{At, Begin, Entry, On, Proof, Rocked, Rounds, Step};
use cowlside::domain::session::{Again, Due, Input};
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Beside, Command, Talk};

fn begun() -> Service {
    let mut service = Service::new(push_rods());
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn();
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..)));
    service
}

fn against(valve: Valve) -> Input {
    Input::GaugeAgainstPlan { valve, typed: "20".into(), why: why(), sure: true }
}

fn paper(valve: Valve) -> Input {
    let readings = vec![(valve, "20".to_string())];
    Input::GaugeFromPaper { readings, time: "09:40".into(), sure: true }
}

fn gauge(typed: &str) -> Input {
    Input::Gauge { typed: typed.into(), sure: true }
}

fn on_dry(valves: &[Valve], gauged: Input) -> Input {
    Input::OnDry { valves: valves.to_vec(), gauged: Box::new(gauged) }
}

/// Refused for its lifter, taken with the word of it.
fn only_on_dry(service: &mut Service, valve: Valve, gauged: Input) {
    let refused = service.refused(gauged.clone()).words();
    assert!(refused.contains("its lifter comes first"), "{refused}");
    let before = service.session.kept.len();
    service.tell(on_dry(&[valve], gauged));
    let entries = &service.session.kept[before..];
    let dry = |entry: &Entry| matches!(entry, Entry::On(On::Check { id, done: true, .. }) if *id == format!("dry {valve}"));
    assert!(dry(&entries[0].entry), "{entries:?}");
    assert!(matches!(&entries[1].entry, Entry::Reading(one) if one.valve == valve), "{entries:?}");
}

#[test]
fn against_the_plan_and_from_paper_the_lifter_is_answered_for() {
    for gauged in [against, paper] {
        for valve in [intake(1), exhaust(4)] {
            let mut service = begun();
            only_on_dry(&mut service, valve, gauged(valve));
            service.sign();
        }
    }
    let mut service = begun();
    let other = on_dry(&[intake(1)], Input::Lost);
    assert_eq!(service.refused(other), cowlside::domain::session::Refusal::NotNow);
}

#[test]
fn what_a_paper_says_of_a_lifter_is_not_said_of_now() {
    let mut service = begun();
    service.tell(on_dry(&[intake(1)], paper(intake(1))));
    assert!(!service.session.state.dry.contains(&intake(1)));
    assert!(matches!(&service.due(), Due::Dry(valve, _) if *valve == exhaust(1)));
}

#[test]
fn a_second_reading_after_a_break_asks_for_the_lifter_anew() {
    let mut service = begun();
    for _ in 0..2 {
        service.calmly_while(|_, due| matches!(due, Due::Dry(..)));
        service.tell(gauge("0"));
    }
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
    service.tell(Input::Rock(Rocked::Steady));
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found), "bled, and nothing moved");
    service.tell(Input::Away(String::new())).tell(Input::Back(Default::default()));
    service.calmly_while(|_, due| !matches!(due, Due::Again(..) | Due::Dry(..)));
    assert!(matches!(&service.due(), Due::Dry(valve, _) if *valve == intake(1)));
    service.tell(Input::Answer(1));
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found));
    service.sign();
}

#[test]
fn a_third_one_too_and_a_word_needs_no_lifter() {
    let mut service = begun();
    service.tell(Input::Answer(1)).tell(gauge("200"));
    assert_eq!(service.due(), Due::Again(intake(1), Step::Found));
    service.tell(gauge("20"));
    service.tell(Input::Away(String::new())).tell(Input::Back(Default::default()));
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    let word = service.clone();
    only_on_dry(&mut service, intake(1), gauge("20"));
    service.sign();
    let mut word = word;
    word.tell(Input::Believe { why: why() }).sign();
}

#[test]
fn gauged_once_more_before_its_rod_is_changed_it_is_bled_again() {
    let mut service = begun();
    service.tell(Input::Answer(1)).tell(gauge("10"));
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    only_on_dry(&mut service, intake(1), gauge("11"));
    service.sign();
}

/// What stands in the question after these answers, and what becomes of them.
fn talked(service: &Service, call: Answered, answers: &[&str]) -> Answered {
    answers.iter().fold(call, |talk, typed| match talk {
        Answered::Next(next) => next.answer(&service.session, typed),
        other => panic!("{typed}: {other:?}"),
    })
}

fn asked(service: &Service, talk: &Answered) -> String {
    let Answered::Next(talk) = talk else { panic!("{talk:?}") };
    let prompt = talk.prompt(&service.session);
    format!("{} {}", prompt.title, prompt.ask)
}

#[test]
fn the_guide_asks_for_it_at_each_of_them() {
    let mut service = begun();
    let call = |service: &Service, command| {
        Talk::call(&service.session, command, Beside::default().into())
    };
    // Against the plan: before its figure; on paper: behind each figure, which is else left out.
    let talk = talked(&service, call(&service, Command::AgainstPlan), &["1", "1"]);
    assert!(
        asked(&service, &talk).contains("The lifter of 1 intake"),
        "{}",
        asked(&service, &talk)
    );
    let Answered::Refused(_, words) = talked(&service, talk.clone(), &["0"]) else { panic!() };
    assert_eq!(words, "bleed it first, then answer again");
    let Answered::Keep(entries) = talked(&service, talk, &["1", "20", "1"]) else { panic!() };
    assert_eq!(entries.len(), 2, "{entries:?}");

    let talk = talked(&service, call(&service, Command::Paper), &["1", "09:40", "20"]);
    assert!(asked(&service, &talk).contains("what is it like?"), "{}", asked(&service, &talk));
    let Answered::Keep(entries) = talked(&service, talk.clone(), &["1", "25", "0"]) else {
        panic!()
    };
    assert_eq!(entries.len(), 2, "the second figure is left out: {entries:?}");
    let Answered::Keep(entries) = talked(&service, talk, &["1", "25", "1"]) else { panic!() };
    assert_eq!(entries.len(), 4, "{entries:?}");

    service.tell(Input::Answer(1)).tell(gauge("10"));
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    let talk = talked(&service, Answered::Next(Talk::default()), &["2"]);
    assert!(
        asked(&service, &talk).contains("The lifter of 1 intake"),
        "{}",
        asked(&service, &talk)
    );
    let Answered::Keep(entries) = talked(&service, talk, &["1", "10"]) else { panic!() };
    assert_eq!(entries.len(), 2, "{entries:?}");
}

/// A service that stands before the first turn of its first round.
fn before_a_turn() -> Service {
    let mut service = Service::new(push_rods());
    service.prepare(Rounds::SurveyOnly, None);
    service
}

#[test]
fn full_lifters_that_hold_their_rods_are_rocked_and_never_called_the_wrong_stroke() {
    let mut service = before_a_turn();
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.ask.starts_with("Push rods of "), "{}", ask.ask);
    assert!(ask.ask.ends_with(": how many of 2 turn freely? (2 expected)"), "{}", ask.ask);
    assert!(ask.lines.iter().any(|line| line.contains("leaves no play")), "{:?}", ask.lines);
    service.tell(Input::Loose(0));
    assert_eq!(service.due(), Due::Rock { stop, loose: 0 }, "and no crank is turned for it");
    service.tell(Input::Rock(Rocked::Steady));
    assert!(matches!(service.due(), Due::Dry(..)), "{:?}", service.due());
    let places = service.session.kept.iter().filter(|kept| matches!(kept.entry, Entry::At(_)));
    assert_eq!(places.count(), 1);
    service.sign();
}

#[test]
fn a_count_of_an_earlier_version_means_what_it_meant() {
    let mut service = before_a_turn();
    let Due::Turn { stop, .. } = service.due() else { panic!("{:?}", service.due()) };
    let place = &service.session.state.stops()[stop];
    let (watch, then_turn) = (place.watch, place.then_turn);
    service.keep(Entry::At(At::Stop { stop, watch, then_turn }));
    service.keep(Entry::Proof(Proof { loose: 0, of: 2, rocked: None, no_play: false }));
    let again = Some(Again::WrongStroke);
    assert!(matches!(service.due(), Due::Turn { again: now, .. } if now == again));
}
