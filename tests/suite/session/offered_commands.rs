//! What the list of everything offers is taken: a command that stands there as possible is not refused at
//! once, and some way of answering its questions comes to something.

use super::engines::{self, exhaust};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Begin, PartKind, Rounds};
use cowlside::domain::session::{Due, Input, Session};
use cowlside::domain::valve::Kind;
use cowlside::guide::commands::offers;
use cowlside::guide::{Answered, Beside, Command, Talk, Typed};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Answers tried of one command before it is called in vain.
const TRIES: u32 = 4000;

/// Every answer that a question offers, and what may be typed.
fn answers(session: &Session, talk: &Talk) -> Vec<String> {
    let field = talk.prompt(session).field;
    let mut answers: Vec<String> =
        field.choices.iter().map(|choice| choice.digit.to_string()).collect();
    answers.extend(field.enter.is_some().then(String::new));
    let state = &session.state;
    match field.typed {
        Some(Typed::Count) => {
            answers.extend(state.facts().firing_order.iter().map(ToString::to_string));
        }
        Some(Typed::Reading) => {
            answers.extend(Kind::BOTH.map(|kind| mechanic::on_target(state, kind)));
        }
        Some(Typed::Number) => answers.extend(["0.20 mm", "3", "09:40"].map(String::from)),
        Some(Typed::Text) => {
            answers.extend(["seen", "2026-03-14", "2.70 mm", "09:40"].map(String::from));
        }
        Some(Typed::Digit) | None => {}
    }
    answers
}

/// Tells whether some way of answering comes to something; else all that was said.
fn comes_to(session: &Session, answered: Answered, tries: &mut u32) -> Result<(), String> {
    let talk = match answered {
        Answered::Next(talk) => talk,
        Answered::Refused(_, words) => return Err(words),
        // Whether to go back to the work is asked only of what is looked at.
        Answered::Back => return Err("back".into()),
        Answered::Keep(_)
        | Answered::Read(..)
        | Answered::GiveProfile(_)
        | Answered::ReplaceProfile { .. } => return Ok(()),
    };
    let mut last = "nothing can be answered".to_owned();
    if talk.given.len() > 8 {
        return Err("no end of it".into());
    }
    for answer in answers(session, &talk) {
        *tries += 1;
        if *tries > TRIES {
            return Err(last);
        }
        match comes_to(session, talk.answer(session, &answer), tries) {
            Ok(()) => return Ok(()),
            Err(words) if last.contains(&words) => {}
            Err(words) => last = format!("{last}; {words}"),
        }
    }
    Err(last)
}

/// Commands that only show something.
const LOOKS: [Command; 1] = [Command::Surely];

/// Lists what is offered and refused whatever is answered.
fn in_vain(session: &Session) -> Vec<String> {
    let beside = Arc::new(Beside::default());
    let mut found = Vec::new();
    for offered in offers(session, &beside).into_iter().filter(|one| one.not_now.is_none()) {
        let called = Talk::call(session, offered.command, Arc::clone(&beside));
        let looks = LOOKS.contains(&offered.command) && matches!(called, Answered::Next(_));
        let came = comes_to(session, called, &mut 0);
        if let Err(words) = came.or_else(|words| if looks { Ok(()) } else { Err(words) }) {
            found.push(format!("{:?} ({}): {words}", offered.command, offered.label));
        }
    }
    found
}

#[track_caller]
fn nothing_in_vain(service: &Service) {
    let found = in_vain(&service.session);
    assert!(found.is_empty(), "due {:?}: {found:#?}", service.due());
}

#[test]
fn nothing_is_offered_in_vain_while_a_valve_is_held_open() {
    let mut service = Service::new(engines::radial_table(Some(engines::usual_timing())));
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Unload(_)));
    nothing_in_vain(&service);
    service.tell(Input::Unload);
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    assert!(!service.session.state.unloaded.is_empty());
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::Release(_)));
    nothing_in_vain(&service);
}

#[test]
fn nothing_is_offered_in_vain_while_parts_are_out() {
    let mut service = Service::new(engines::vee_twin());
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin))).on_to_turn().on_to_gauge(exhaust(2));
    service.gauge("0.60 mm");
    service.calmly_while(|_, due| *due != Due::PartsList);
    nothing_in_vain(&service);
    let valve = exhaust(2);
    let mut service = Service::cams_out(engines::vee_twin(), "right", (valve, "0.60 mm"));
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::TakeOut(_)));
    nothing_in_vain(&service);
    service.tell(mechanic::part(true, valve, PartKind::Shim, "2.70 mm"));
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::CamsOut(..)));
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_)));
    nothing_in_vain(&service);
    let mut service = Service::new(engines::push_rods());
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    nothing_in_vain(&service);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    service.tell(mechanic::part(true, exhaust(2), PartKind::Pushrod, ""));
    nothing_in_vain(&service);
}

/// Walks at random; counts what is found in vain, by what was due.
fn walk(engine: usize, presses: &[(u8, u8, u8)], tried: &Cell<u64>) -> BTreeMap<String, String> {
    let engines = engines::all();
    let mut service = Service::new(engines[engine % engines.len()].clone());
    service.replay_each = 16;
    let mut found = BTreeMap::new();
    for (at, &(wildness, key, pick)) in presses.iter().enumerate() {
        let due = service.due();
        let input = match wildness % 10 {
            _ if due == Due::Closed => break,
            _ if matches!(due, Due::Threads(..)) && pick < 128 => Input::Threads(9),
            0..=5 => mechanic::calm(&service.session, &due),
            6..=8 => mechanic::troubled(&service.session, &due, pick),
            _ => mechanic::wild(&service.session, key, pick),
        };
        // Under the notice there is no list.
        let listed = service.give(&input).is_ok() && service.due() != Due::Away;
        if listed && at % 3 == 0 {
            tried.set(tried.get() + 1);
            for words in in_vain(&service.session) {
                found.insert(words, format!("{:?}", service.due()));
            }
        }
    }
    found
}

#[test]
#[allow(clippy::print_stderr, reason = "the counts belong into the log of the test")]
fn no_command_is_offered_in_vain_in_random_services() {
    let walks = std::env::var("COWLSIDE_WALKS").ok().and_then(|text| text.parse::<u32>().ok());
    let walks = walks.map_or(48, |walks| walks.div_ceil(8));
    let tried = Cell::new(0);
    let found = RefCell::new(BTreeMap::new());
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), 90);
    let mut runner = TestRunner::new(crate::seeded::config(walks));
    let result = runner.run(&(any::<usize>(), presses), |(engine, presses)| {
        // All of them are told at once.
        found.borrow_mut().extend(walk(engine, &presses, &tried));
        Ok(())
    });
    result.unwrap();
    eprintln!("{} states", tried.get());
    let found = found.into_inner();
    assert!(found.is_empty(), "{found:#?}");
    assert!(tried.get() > 200, "hardly a state was looked at: {}", tried.get());
}
