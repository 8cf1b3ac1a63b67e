//! Where a cylinder has several valves of a kind, nothing said of a session calls one of them by its
//! kind alone: the first of them has its number, too. In random histories, as in `untold`.

use super::engines;
use super::harness::Service;
use super::untold::{Told, before, looked_at, press};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::Due;
use cowlside::domain::valve::{Kind, Valve};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeSet;

const STEPS: usize = 30;

/// The same engine with two valves of each kind on every cylinder.
fn of_fours(mut facts: Facts) -> Facts {
    (facts.intake.per_cylinder, facts.exhaust.per_cylinder) = (2, 2);
    for stop in facts.stops.iter_mut().flatten() {
        let second: Vec<_> = stop.gauge.iter().map(|valve| Valve { number: 2, ..*valve }).collect();
        stop.gauge.extend(second);
    }
    facts
}

/// The first place where a valve is named by its cylinder and its kind alone.
fn bare(words: &str) -> Option<&str> {
    Kind::BOTH.into_iter().find_map(|kind| {
        words.match_indices(kind.word()).find_map(|(at, word)| {
            let (before, after) = (&words[..at], &words[at + word.len()..]);
            let of_one = before.ends_with(' ')
                && before.trim_end().ends_with(|last: char| last.is_ascii_digit());
            let several = after.starts_with('s');
            let numbered = several || after.trim_start_matches(' ').starts_with(['1', '2']);
            let end = after.char_indices().nth(30).map_or(after.len(), |(end, _)| end);
            let start = before.char_indices().rev().nth(60).map_or(0, |(start, _)| start);
            (of_one && !numbered).then(|| &words[start..at + word.len() + end])
        })
    })
}

#[test]
fn a_bare_name_is_found_and_a_whole_one_is_none() {
    assert!(bare("fit 2.80, from 2 exhaust").is_some() && bare("1 intake, found").is_some());
    assert_eq!(bare("1 intake 1, 2 exhaust 2: the intake; 1, left: intakes"), None);
}

/// What is of this session: the past has its own words, helps have examples.
fn of_the_session(told: Told) -> impl Iterator<Item = (String, String)> {
    let others = ["help", "drawing", "picture", "comparison", "past"];
    told.into_iter().filter(move |(view, _)| !others.contains(&view.as_str()))
}

fn walk(met: &RefCell<BTreeSet<String>>, engine: usize, start: u8, presses: &[(u8, u8, u8)]) {
    let engines = engines::all();
    let mut service = Service::new(of_fours(engines[engine % engines.len()].clone()));
    service.replay_each = 50;
    match start % 4 {
        0 => service.on_to_turn(),
        _ => service.calmly_while(|service, _| service.session.state.round() != Some(1)),
    };
    let previous = before(&service.session);
    for &one in presses {
        if service.due() == Due::Closed {
            break;
        }
        if service.give(&press(&service, one)).is_err() {
            continue;
        }
        let due = format!("{:?}", service.due());
        met.borrow_mut().insert(due.split(['(', ' ']).next().unwrap_or_default().into());
        for (view, words) in of_the_session(looked_at(&service.session, &previous, 1)) {
            // What is typed is told by an example.
            let words = words.replace("As in 1 intake", "").replace("as in 1 intake", "");
            assert_eq!(bare(&words), None, "{view} at {due}:\n{words}");
        }
    }
}

#[test]
fn no_valve_is_called_by_its_kind_alone_where_there_are_several_of_it() {
    let met = RefCell::default();
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), STEPS);
    let mut runner = TestRunner::new(Config { max_shrink_iters: 0, ..crate::seeded::config(4) });
    let result = runner.run(&(any::<usize>(), any::<u8>(), presses), |(engine, start, presses)| {
        walk(&met, engine, start, &presses);
        Ok(())
    });
    if let Err(wrong) = result {
        panic!("{wrong}");
    }
    assert!(met.into_inner().len() >= 4);
}
