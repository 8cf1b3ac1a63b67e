//! One answer is one key: taking back brings back the very question that was answered, with nothing of it
//! changed, and what differs on purpose is listed with its reason. `COWLSIDE_WALKS=2000` walks more.

use super::engines::{self, exhaust};
use super::harness::Service;
use super::mechanic;
use cowlside::domain::entry::{Change, Correct, Entry, Rocked, Rounds};
use cowlside::domain::session::{Crank, Due, Input, PROVE_FIRST, Proven, Refusal, Session};
use cowlside::guide::{glance, status};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

const STEPS: usize = 40;

fn at_the_first_turn() -> Service {
    let mut service = Service::new(engines::flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service
}

fn undone(service: &mut Service) -> &mut Service {
    let undo = glance::undo(&service.session);
    assert!(undo.is_some(), "the key does not say what it takes back");
    service.tell(Input::TakeBack)
}

#[test]
fn a_count_by_mistake_is_taken_back_with_the_turn_it_told_by_one_key() {
    let mut service = at_the_first_turn();
    let asked = service.due();
    assert!(matches!(asked, Due::Turn { there: false, .. }), "{asked:?}");
    service.tell(Input::Loose(2));
    let words = glance::undo(&service.session).unwrap();
    assert!(words.contains("2 loose") && words.contains("and the stop"), "{words}");
    let before = service.session.kept.len();
    undone(&mut service);
    assert_eq!(service.due(), asked);
    let said = service.session.kept[before..].iter().map(|kept| kept.entry.clone());
    let said = status::kept_words(&service.session, &said.collect::<Vec<_>>(), &|_| None);
    assert!(said.contains("2 of 2 loose") && said.contains("and the stop"), "{said}");
}

#[test]
fn of_a_later_stop_too_and_the_next_is_proven_by_rocking_since_it_may_have_been_turned() {
    let mut service = at_the_first_turn();
    service.calmly_while(|service, due| {
        !matches!(due, Due::Turn { .. }) || service.session.state.readings.is_empty()
    });
    let Due::Turn { stop, again: None, there: false, rock: false } = service.due() else {
        panic!("{:?}", service.due())
    };
    undone(service.tell(Input::Loose(2)));
    assert_eq!(service.due(), Due::Turn { stop, again: None, there: false, rock: true });
    assert!(!matches!(service.session.state.crank, Crank::At { proof: Proven::Yes, .. }));
}

#[test]
fn where_a_place_was_taken_back_nothing_is_gauged_before_it_is_proven() {
    for told in [Input::SeeOverlap(1), Input::Lost, Input::SeeLoose(4)] {
        let mut service = at_the_first_turn();
        service.tell(Input::SeeOverlap(3));
        assert!(!service.session.state.crank_unproven(), "negative control");
        undone(service.tell(told.clone()));
        let valve = exhaust(4);
        let (typed, why) = ("12".into(), "seen".into());
        let refused = service.refused(Input::GaugeAgainstPlan { valve, typed, why, sure: true });
        assert_eq!(refused, Refusal::Unreadable(PROVE_FIRST.into()), "{told:?}");
    }
}

#[test]
fn on_the_wrong_stroke_it_is_told_to_turn_on_again() {
    let mut service = at_the_first_turn();
    service.tell(Input::Loose(0));
    let asked = service.due();
    assert!(matches!(asked, Due::Turn { again: Some(_), there: false, .. }), "{asked:?}");
    undone(service.tell(Input::Loose(2)));
    assert_eq!(service.due(), asked);
}

#[test]
fn a_rock_taken_back_is_rocked_again_and_not_counted_again() {
    for rocked in [Rocked::Steady, Rocked::Moved] {
        let mut service = at_the_first_turn();
        service.tell(Input::Loose(2));
        let asked = service.due();
        assert!(matches!(asked, Due::Rock { loose: 2, .. }), "{asked:?}");
        undone(service.tell(Input::Rock(rocked)));
        assert_eq!(service.due(), asked);
        // As before it is nothing that was gauged by.
        assert!(!matches!(service.session.state.crank, Crank::At { proof: Proven::Yes, .. }));
    }
}

#[test]
fn what_was_taken_back_by_a_version_that_broke_the_place_breaks_it_still() {
    let mut service = at_the_first_turn();
    service.tell(Input::Loose(2)).tell(Input::Rock(Rocked::Steady));
    let of = service.session.kept.last().unwrap().seq;
    let mut entries = service.session.decide(&Input::TakeBack).unwrap();
    let [Entry::Correct(correct)] = entries.as_mut_slice() else { panic!("{entries:?}") };
    *correct = Correct { of, change: Change::Void, why: correct.why.clone(), as_asked: false };
    service.keep(entries.remove(0));
    assert!(matches!(service.due(), Due::Turn { there: true, rock: true, .. }));
}

const PAPER: &str = "of several readings on paper the last is taken back, as the key says";

/// Why a question is not the same again, where that is meant.
fn on_purpose(back: &Session, input: &Input, asked: &Due, again: &Due) -> Option<&'static str> {
    match (input, asked, again) {
        // The crank may have been turned for the answer: the place is proven by rocking.
        (
            _,
            Due::Turn { stop, again: why, there: false, rock: false },
            Due::Turn { stop: same, again: same_why, there: false, rock: true },
        ) if stop == same && why == same_why => Some("rocked, since it may have been turned"),
        // Wherever it was said to stand, it may have been turned for that.
        // Before it is turned again, what nobody could read is looked for.
        (
            Input::SeeOverlap(_) | Input::SeeLoose(_) | Input::Lost,
            _,
            Due::Turn { .. } | Due::Look(..),
        ) => Some("where it stands is proven anew, since it may have been turned"),
        (Input::Loose(_), Due::Turn { there: false, .. }, Due::Turn { there: false, .. })
            if back.state.crank == Crank::Unknown =>
        {
            Some("from what was seen before nobody goes on, since it may have been turned")
        }
        (Input::LeakTest { .. }, Due::LeakTest(..), Due::Turn { .. }) => {
            Some("the piston was brought to its top for the leak test")
        }
        // Nobody knows by then which of the two was opened.
        (Input::NutOfAnother { named, really }, Due::Trying(one), Due::Trying(other))
            if one == named && other == really && back.state.nut_slack(*named) =>
        {
            Some(
                "the nut that was named instead is slack until it is answered for, and comes first",
            )
        }
        // Each of them is a reading of its own, and the key names the last.
        (Input::Tried { typed, .. }, Due::Trying(one), Due::NutAnswer(other, _))
            if one == other && typed.contains(' ') =>
        {
            Some("of several tries told at once the last is taken back, as the key says")
        }
        (Input::GaugeFromPaper { readings, .. }, ..) if readings.len() > 1 => Some(PAPER),
        (Input::OnDry { gauged, .. }, ..) if matches!(&**gauged, Input::GaugeFromPaper { readings, .. } if readings.len() > 1) => {
            Some(PAPER)
        }
        (Input::OnDry { .. }, Due::Dry(..), Due::Gauge(..)) => {
            Some("the key names the reading; that the lifter was dry was seen, and stays said")
        }
        _ => None,
    }
}

fn name(of: &impl std::fmt::Debug) -> String {
    let words = format!("{of:?}");
    words.split(['(', ' ', '{']).next().unwrap_or_default().to_string()
}

type Press = (u8, u8, u8);

#[derive(Default)]
struct Seen {
    undone: u32,
    same: BTreeMap<String, u32>,
    purpose: BTreeMap<&'static str, u32>,
    refused: BTreeMap<String, u32>,
    differs: BTreeMap<String, String>,
}

fn walk(seen: &RefCell<Seen>, engine: usize, start: u8, presses: &[Press]) {
    let engines = engines::all();
    let mut service = Service::new(engines[engine % engines.len()].clone());
    service.replay_each = 16;
    match start % 8 {
        0 => &service,
        1..=4 => service.on_to_turn(),
        5 => service.calmly_while(|service, _| service.session.state.round() != Some(1)),
        6 => service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. })),
        _ => service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_))),
    };
    for &(wildness, key, pick) in presses {
        let asked = service.due();
        let input = match wildness % 10 {
            _ if asked == Due::Closed => return,
            0..=5 => mechanic::calm(&service.session, &asked),
            6..=8 => mechanic::troubled(&service.session, &asked, pick),
            _ => mechanic::wild(&service.session, key, pick),
        };
        let before = service.clone();
        if service.give(&input).is_err() {
            continue;
        }
        let answer = &service.session.kept[before.session.kept.len()..];
        let aside = answer
            .iter()
            .any(|kept| matches!(kept.entry, Entry::Correct(_) | Entry::Away(_) | Entry::Back(_)));
        let mut back = service.clone();
        let mut seen = seen.borrow_mut();
        match back.give(&Input::TakeBack) {
            _ if aside => {}
            Err(_) => {
                *seen.refused.entry(format!("{} at {}", name(&input), name(&asked))).or_default() +=
                    1
            }
            Ok(()) => {
                seen.undone += 1;
                let again = back.due();
                if again == asked {
                    *seen.same.entry(name(&asked)).or_default() += 1;
                } else if let Some(why) = on_purpose(&back.session, &input, &asked, &again) {
                    *seen.purpose.entry(why).or_default() += 1;
                } else {
                    let words = format!("{} at {} -> {}", name(&input), name(&asked), name(&again));
                    let last = service.session.kept.iter().rev().take(14);
                    let last: Vec<&Entry> = last.map(|kept| &kept.entry).collect();
                    let told = format!("{input:?}: {asked:?}, then {again:?} after {last:?}");
                    seen.differs.entry(words).or_insert(told);
                }
            }
        }
    }
}

#[test]
#[allow(clippy::print_stderr, reason = "the counts belong into the log of the test")]
fn taking_back_an_answer_brings_back_the_question_that_was_answered() {
    let seen = RefCell::new(Seen::default());
    let cases = std::env::var("COWLSIDE_WALKS").ok().and_then(|text| text.parse().ok());
    let config = Config { max_shrink_iters: 0, ..crate::seeded::config(cases.unwrap_or(120)) };
    let mut runner = TestRunner::new(config);
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), STEPS);
    let result = runner.run(&(any::<usize>(), any::<u8>(), presses), |(engine, start, presses)| {
        walk(&seen, engine, start, &presses);
        Ok(())
    });
    if let Err(wrong) = result {
        panic!("{wrong}");
    }
    let seen = seen.into_inner();
    eprintln!(
        "{} answers taken back\nsame: {:?}\non purpose: {:?}\nanswered for instead: {:?}",
        seen.undone, seen.same, seen.purpose, seen.refused
    );
    assert!(seen.differs.is_empty(), "{:#?}", seen.differs);
    for due in ["Turn", "Rock", "Gauge", "Caution", "Check", "CountIn", "CountOut", "RunCaution"] {
        assert!(seen.same.contains_key(due), "nothing of {due} was taken back");
    }
}
