//! Random histories: inputs that answer what is due, troubles, and anything else that has a key.
//! `COWLSIDE_WALKS=5000 cargo test` walks longer.

use super::engines;
use super::harness::{STEPS_MAX, Service};
use super::mechanic;
use cowlside::domain::session::{Crank, Due, Proven};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

const STEPS: usize = 60;

fn cases() -> u32 {
    std::env::var("COWLSIDE_WALKS").ok().and_then(|text| text.parse().ok()).unwrap_or(200)
}

/// What a mechanic presses: how wild, which key, which pick.
type Press = (u8, u8, u8);

fn press(service: &Service, (wildness, key, pick): Press) -> cowlside::domain::session::Input {
    let due = service.due();
    match wildness % 10 {
        _ if due == Due::Closed => mechanic::wild(&service.session, key, pick),
        0..=4 => mechanic::calm(&service.session, &due),
        5..=7 => mechanic::troubled(&service.session, &due, pick),
        _ => mechanic::wild(&service.session, key, pick),
    }
}

/// The name of a variant, without what it carries.
fn name(of: &impl std::fmt::Debug) -> String {
    let words = format!("{of:?}");
    words.split(['(', ' ', '{']).next().unwrap_or_default().to_string()
}

#[derive(Default)]
struct Counts {
    walks: u32,
    inputs: u64,
    taken: u64,
    shut: u64,
    signed: u32,
    longest: usize,
    dues: BTreeMap<String, u32>,
    inputs_taken: BTreeMap<String, u32>,
}

/// A random history, then a calm one: whatever happened, the signature is reached.
fn walk(counts: &RefCell<Counts>, engine: usize, start: u8, presses: &[Press]) {
    let engines = engines::all();
    let mut service = Service::new(engines[engine % engines.len()].clone());
    service.replay_each = 8;
    // Short histories that begin further on reach what only comes late.
    match start % 8 {
        0 => &service,
        1..=4 => service.on_to_turn(),
        5 => service.calmly_while(|service, _| service.session.state.round() != Some(1)),
        6 => service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. })),
        _ => service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_))),
    };
    service.replay_each = 1;
    let mut tally = BTreeMap::new();
    for &one in presses {
        let input = press(&service, one);
        counts.borrow_mut().dues.entry(name(&service.due())).and_modify(|n| *n += 1).or_insert(1);
        if service.give(&input).is_ok() {
            *tally.entry(name(&input)).or_insert(0) += 1;
        }
    }
    service.replay_each = 8;
    let before = service.session.kept.len();
    service.calmly_while(|_, _| true);
    let length = service.session.kept.len() - before;
    assert!(length < STEPS_MAX);
    let mut counts = counts.borrow_mut();
    counts.walks += 1;
    counts.inputs += service.watch.checked;
    counts.taken += service.watch.taken;
    counts.shut += service.watch.shut;
    counts.signed += u32::from(service.session.state.sealed == Some(true));
    counts.longest = counts.longest.max(length);
    for (input, n) in tally {
        *counts.inputs_taken.entry(input).or_insert(0) += n;
    }
}

#[test]
#[allow(clippy::print_stderr, reason = "the counts belong into the log of the test")]
fn nothing_of_what_must_never_be_happens_and_every_history_can_be_signed() {
    let counts = RefCell::new(Counts::default());
    let config = Config { max_shrink_iters: 40, ..crate::seeded::config(cases()) };
    let mut runner = TestRunner::new(config);
    let presses = prop::collection::vec((any::<u8>(), any::<u8>(), any::<u8>()), STEPS);
    let result = runner.run(&(any::<usize>(), any::<u8>(), presses), |(engine, start, presses)| {
        walk(&counts, engine, start, &presses);
        Ok(())
    });
    let counts = counts.into_inner();
    if let Err(wrong) = result {
        panic!("{wrong}");
    }
    eprintln!(
        "{} walks of {STEPS} inputs and their calm ends: {} inputs, {} taken, {} readings shown shut, \
         {} signed, longest calm end {} entries\ndue: {:?}\ntaken: {:?}",
        counts.walks,
        counts.inputs,
        counts.taken,
        counts.shut,
        counts.signed,
        counts.longest,
        counts.dues,
        counts.inputs_taken
    );
    assert!(counts.walks > 0 && counts.walks >= cases(), "no walks were walked");
    assert!(counts.shut > 0 && counts.taken > 0 && counts.inputs > counts.taken);
    // What the walks never reach they do not test.
    for due in
        ["Turn", "Rock", "Unload", "Gauge", "LeakTest", "Set", "Trying", "NutAnswer", "Release"]
    {
        assert!(counts.dues.contains_key(due), "no walk came to {due}");
    }
    for due in ["PartsList", "TakeOut", "CamsOut", "TurnThrough", "Dry", "ChangeRod"] {
        assert!(counts.dues.contains_key(due), "no walk came to {due}");
    }
    // Rare questions: so few walks as usual may by chance miss one of them.
    let rare = ["PartOut", "CountIn", "Away", "NewDay", "ReasonFor", "Threads", "PageDiffers"];
    let missed = rare.iter().filter(|due| !counts.dues.contains_key(**due)).count();
    let may_miss = usize::from(cases() < 1000);
    assert!(missed <= may_miss, "{missed} of {rare:?} were never reached");
}

#[test]
fn the_watch_catches_a_session_that_forgets() {
    let caught = |harm: fn(&mut Service)| {
        let mut service = Service::new(engines::flat_four());
        service.prepare(cowlside::domain::entry::Rounds::SetThenRecheck, None);
        service.on_to_gauge(engines::intake(1)).gauge("9").gauge("12");
        service.calmly_while(|_, due| !matches!(due, Due::Trying(_)));
        let before = service.session.clone();
        harm(&mut service);
        let answer = Ok(vec![]);
        let input = cowlside::domain::session::Input::NutLocked;
        service.watch.check(&before, &input, &answer, &service.session).err()
    };
    assert_eq!(caught(|_| {}), None);
    let forgot = caught(|service| service.session.state.nuts.clear()).unwrap();
    assert!(forgot.contains("slack by the entries"), "{forgot}");
    let turned = caught(|service| {
        service.session.state.crank = Crank::At { stop: 1, proof: Proven::Yes };
        service.session.state.readings[0].crank = Some(360.0);
    });
    assert!(turned.unwrap().contains("counts"));
    let held = caught(|service| {
        service.session.state.unloaded.insert(engines::intake(2));
    });
    assert!(held.unwrap().contains("held open"));
    let shown = caught(|service| {
        let seq = service.session.kept.len() as u64;
        let kept = service.session.kept.last().unwrap().clone();
        let slack = service
            .session
            .kept
            .iter()
            .rev()
            .find(|kept| matches!(kept.entry, cowlside::domain::entry::Entry::Nut(_)));
        let of = slack.unwrap().seq;
        let correct = cowlside::domain::entry::Correct {
            of,
            change: cowlside::domain::entry::Change::Void,
            why: "taken back".into(),
            as_asked: false,
        };
        let entry = cowlside::domain::entry::Entry::Correct(correct);
        let at = kept.at;
        let session = service.session.clone();
        service.session = session.keep(cowlside::domain::entry::Kept { seq, at, entry });
    });
    assert!(shown.unwrap().contains("was forgotten"));
}
