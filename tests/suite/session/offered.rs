//! What a question offers is taken: no answer that stands on the screen is "not what is asked now".

use super::engines::{self, exhaust, flat_four, intake};
use super::harness::{Service, why};
use super::mechanic;
use cowlside::domain::entry::{Back, Begin, Entry, NutSaid, Rounds, Skip, Skipped};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal, Session};
use cowlside::guide::{Answered, Talk, Typed};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::cell::Cell;
use std::collections::BTreeSet;

/// Answers what is due with these keys and keeps what comes of it.
fn keyed(service: &mut Service, keys: &[&str]) -> Result<Vec<Entry>, String> {
    let mut talk = Talk::default();
    for key in keys {
        match talk.answer(&service.session, key) {
            Answered::Next(next) => talk = next,
            Answered::Keep(entries) => {
                entries.iter().cloned().for_each(|entry| service.keep(entry));
                return Ok(entries);
            }
            Answered::Refused(_, words) => return Err(words),
            other => panic!("{key}: {other:?}"),
        }
    }
    panic!("{keys:?} leave a question open")
}

/// Says the nut slackened again, and goes on to the signature.
fn slack_again(service: &mut Service) {
    let due = service.due();
    assert!(matches!(due, Due::ThreadsOutside(one, 9, _) if one == intake(1)), "{due:?}");
    let entries = keyed(service, &["2"]).unwrap_or_else(|words| panic!("{words}"));
    assert!(
        matches!(entries.as_slice(), [Entry::Nut(nut)] if nut.said == NutSaid::Slack),
        "{entries:?}"
    );
    assert!(service.open().contains(&OpenItem::NutSlack(intake(1))));
    service.calmly_while(|_, due| *due != Due::Trying(intake(1)));
    service.sign();
}

#[test]
fn a_nut_slackened_again_for_its_threads_is_slack_after_a_break_too() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(9));
    let mut here = service.clone();
    slack_again(&mut here);
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::ThreadsOutside(..)));
    assert!(!service.session.state.crank_proven());
    slack_again(&mut service);
}

#[test]
fn where_valves_are_only_gauged_a_nut_slackened_again_is_slack_and_locked_as_it_stands() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None);
    service.on_to_gauge(intake(1)).tell(Input::NutFoundSlack(intake(1)));
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service.tell(Input::Threads(9));
    let said = Talk::default().prompt(&service.session).field.choices[1].label.clone();
    assert_eq!(said, "nut slackened again", "nothing is put right while valves are only gauged");
    slack_again(&mut service);
}

/// A cylinder outside the scope had work, and its valves were passed over in both rounds.
fn worked_outside_the_scope() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    service.tell(Input::Work { cylinder: 2, what: "valve or seat".into(), text: String::new() });
    passed_over_in_both(&mut service);
    service
}

fn passed_over_in_both(service: &mut Service) {
    for round in [0, 1] {
        service.calmly_while(|service, _| service.session.state.round() != Some(round));
        for valve in service.session.state.facts().valves_of(2) {
            service.tell(Input::SkipValve { valve, why: why() });
        }
    }
    service.calmly_while(|_, due| !matches!(due, Due::NoFigure(_)));
    assert!(matches!(service.due(), Due::NoFigure(_)), "{:?}", service.due());
}

fn digits(service: &Service) -> Vec<u8> {
    let field = Talk::default().prompt(&service.session).field;
    field.choices.iter().map(|choice| choice.digit).collect()
}

fn scope_of_one() -> Begin {
    Begin { scope: Some(vec![1]), scope_why: Some(why()), ..Begin::default() }
}

#[test]
fn what_was_changed_outside_the_scope_is_not_offered_to_be_taken_out_of_it() {
    let mut service = worked_outside_the_scope();
    assert_eq!(digits(&service), [1, 3]);
    assert!(keyed(&mut service, &["2", "1"]).is_err());
    let refused = service.refused(Input::Begin(Box::new(scope_of_one())));
    assert_eq!(refused.words(), "that is the scope already: it changes nothing");
    keyed(&mut service, &["1"]).unwrap();
    service.sign();
}

#[test]
fn what_was_not_changed_is_taken_out_of_the_scope_and_a_session_that_kept_the_same_scope_reads() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    passed_over_in_both(&mut service);
    assert_eq!(digits(&service), [1, 2, 3]);
    let label =
        |service: &Service| Talk::default().prompt(&service.session).field.choices[1].label.clone();
    assert_eq!(label(&service), "take their cylinders out of the scope, and say why");
    // Of two cylinders only the one that was not changed; what is asked then is of the other.
    let mut two = service.clone();
    two.tell(Input::Work { cylinder: 3, what: "valve or seat".into(), text: String::new() });
    for valve in two.session.state.facts().valves_of(3) {
        for round in [0, 1] {
            let what = Skipped::Gauging(valve, round);
            two.keep(Entry::Skip(Skip::of(what, why())));
        }
    }
    two.tell(Input::HoldDown("30 N·m".into(), false));
    assert!(matches!(two.due(), Due::NoFigure(of) if of.len() == 4));
    assert_eq!(label(&two), "take cylinder 2 out of the scope, and say why");
    keyed(&mut two, &["2", "1"]).unwrap();
    assert!(!two.session.state.in_scope(2) && two.session.state.in_scope(3));
    assert_eq!(digits(&two), [1, 3]);
    keyed(&mut service, &["2", "1"]).unwrap();
    assert!(!service.session.state.in_scope(2) && service.session.state.in_scope(1));
    service.sign();
    // As a version before this one kept it.
    let mut service = worked_outside_the_scope();
    let due = service.due();
    service.keep(Entry::Begin(scope_of_one()));
    assert_eq!(service.due(), due);
    assert!(keyed(&mut service, &["1"]).is_ok());
    service.sign();
}

#[test]
fn a_cylinder_with_a_valve_left_outside_its_limits_is_not_offered_to_be_taken_out() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let skip = || Input::SkipValve { valve: exhaust(1), why: why() };
    service.on_to_gauge(intake(1)).gauge("4").tell(skip());
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.tell(Input::LeaveAsIs { valve: intake(1), why: why() });
    service.on_to_round(1).on_to_gauge(intake(1)).gauge("4").tell(skip());
    service.calmly_while(|_, due| !matches!(due, Due::NoFigure(_) | Due::Sign));
    assert_eq!(service.due(), Due::NoFigure(vec![exhaust(1)]));
    let scope = Some(vec![2, 3, 4]);
    let without = Begin { scope, scope_why: Some(why()), ..Begin::default() };
    let refused = service.session.decide(&Input::Begin(Box::new(without)));
    assert_eq!(refused, Err(Refusal::StaysInScope(intake(1))));
    assert_eq!(digits(&service), [1, 3], "what is refused is not offered");
    keyed(&mut service, &["1"]).unwrap();
    service.sign();
}

/// Answers each open question of a talk in every way that it offers, and some that may be typed; returns the
/// keys of those that are not what is asked.
fn not_asked(session: &Session, talk: &Talk, keys: &[String], tried: &Cell<u64>) -> Vec<String> {
    let field = talk.prompt(session).field;
    let mut answers: BTreeSet<String> =
        field.choices.iter().map(|choice| choice.digit.to_string()).collect();
    answers.extend(field.enter.is_some().then(String::new));
    let typed: &[&str] = match field.typed {
        Some(Typed::Count) => &["0", "3", "9"],
        Some(Typed::Reading) => &["6", "0", "10/12"],
        Some(Typed::Number) => &["2.70"],
        Some(Typed::Text) => &["1 e"],
        Some(Typed::Digit) | None => &[],
    };
    answers.extend(typed.iter().map(ToString::to_string));
    let mut found = Vec::new();
    for answer in answers {
        tried.set(tried.get() + 1);
        let keys: Vec<String> = keys.iter().cloned().chain([answer.clone()]).collect();
        match talk.answer(session, &answer) {
            Answered::Next(next) if keys.len() < 3 => {
                found.extend(not_asked(session, &next, &keys, tried));
            }
            Answered::Refused(_, words) if words.contains("not what is asked") => {
                let ask = talk.prompt(session);
                found.push(format!("{keys:?} at {} {}: {words}", ask.title, ask.ask));
            }
            _ => {}
        }
    }
    found
}

fn walk(engine: usize, start: u8, presses: &[(u8, u8, u8)], tried: &Cell<u64>) {
    let engines = engines::all();
    let mut service = Service::new(engines[engine % engines.len()].clone());
    service.replay_each = 16;
    match start % 4 {
        0 => &service,
        1 | 2 => service.on_to_turn(),
        _ => service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. })),
    };
    for &(wildness, key, pick) in presses {
        let due = service.due();
        let input = match wildness % 10 {
            _ if due == Due::Closed => return,
            _ if matches!(due, Due::Threads(..)) && pick < 128 => Input::Threads(9),
            0..=5 => mechanic::calm(&service.session, &due),
            6..=8 => mechanic::troubled(&service.session, &due, pick),
            _ => mechanic::wild(&service.session, key, pick),
        };
        if service.give(&input).is_ok() {
            let found = not_asked(&service.session, &Talk::default(), &[], tried);
            assert!(found.is_empty(), "{found:#?}\nafter {input:?}\ndue {:?}", service.due());
        }
    }
}

#[test]
#[allow(clippy::print_stderr, reason = "the counts belong into the log of the test")]
fn no_answer_that_a_question_offers_is_not_what_is_asked() {
    let walks = std::env::var("COWLSIDE_WALKS").ok().and_then(|text| text.parse::<u32>().ok());
    let walks = walks.map_or(60, |walks| walks.div_ceil(8));
    let config = Config { max_shrink_iters: 40, ..crate::seeded::config(walks) };
    let tried = Cell::new(0);
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), 60);
    let mut runner = TestRunner::new(config);
    let result = runner.run(&(any::<usize>(), any::<u8>(), presses), |(engine, start, presses)| {
        walk(engine, start, &presses, &tried);
        Ok(())
    });
    if let Err(wrong) = result {
        panic!("{wrong}");
    }
    eprintln!("{} answers", tried.get());
    assert!(tried.get() > 1000, "hardly an answer was tried: {}", tried.get());
}
