//! A stop at which a single valve is gauged: it is asked about by its name, not counted.

use super::engines::{flat_four, vee_twin};
use super::harness::Service;
use cowlside::domain::entry::{Begin, Change, Correct, Entry, Proof, Rocked, Rounds};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{AT_ONCE, Due, Input};
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Prompt, Talk, Typed};

/// On the way to the last valve of the first round, for which the rest was planned anew.
fn last_one(facts: Facts) -> (Service, Valve) {
    let rounds = if facts.adjuster == flat_four().adjuster {
        Rounds::SetThenRecheck
    } else {
        Rounds::SurveyOnly
    };
    let mut service = Service::new(facts);
    service.prepare(rounds, None);
    let left = |service: &Service| {
        let state = &service.session.state;
        let valves = state.valves().into_iter();
        valves.filter(|&valve| state.needs_reading(0, valve)).collect::<Vec<_>>()
    };
    service.calmly_while(|service, _| left(service).len() > 1);
    let last = left(&service)[0];
    // Somewhere else than where it stands.
    let rest = Input::Begin(Box::new(Begin { rest: true, ..Begin::default() }));
    let elsewhere = service.session.state.facts().firing_order.clone().into_iter();
    let service = elsewhere
        .filter_map(|cylinder| {
            let mut there = service.clone();
            there.tell(Input::SeeOverlap(cylinder)).give(&rest).ok()?;
            let turned = matches!(there.due(), Due::Turn { stop: 0, there: false, .. });
            (turned && there.session.state.to_gauge(0) == 1).then_some(there)
        })
        .next()
        .unwrap();
    (service, last)
}

fn asked(service: &Service) -> Prompt {
    Talk::default().prompt(&service.session)
}

fn labels(ask: &Prompt) -> Vec<(u8, &str)> {
    ask.field.choices.iter().map(|choice| (choice.digit, choice.label.as_str())).collect()
}

#[test]
fn the_rocker_of_the_only_valve_of_a_stop_is_asked_about_by_its_name() {
    let (mut service, valve) = last_one(flat_four());
    let ask = asked(&service);
    assert_eq!(ask.ask, format!("Is the rocker of {valve} loose?"));
    assert_eq!(labels(&ask), [(1, "loose, as expected"), (0, "not loose")]);
    // The same keys as where they are counted: a digit, then Enter.
    assert_eq!(ask.field.typed, Some(Typed::Digit));
    for (typed, loose) in [("1", 1), ("0", 0)] {
        let kept = Talk::default().answer(&service.session, typed);
        let Answered::Keep(entries) = kept else { panic!("{kept:?}") };
        let proof = Entry::Proof(Proof { loose, of: 1, rocked: None, no_play: false });
        assert_eq!(entries.last(), Some(&proof), "the same entry is kept");
    }
    assert!(matches!(Talk::default().answer(&service.session, "2"), Answered::Refused(..)));
    service.tell(Input::Loose(0));
    let again = asked(&service);
    assert_eq!(again.title, "Not loose: it was the wrong stroke");
    let caption = again.big.unwrap().caption;
    assert_eq!(caption, format!("one full turn on, then feel the rocker of {valve} again"));
    service.tell(Input::Loose(1));
    let rocked = asked(&service);
    assert!(matches!(service.due(), Due::Rock { .. }), "{:?}", service.due());
    assert!(rocked.title.ends_with(&format!("the rocker of {valve}")), "{rocked:?}");
    assert_eq!(rocked.ask, "Did it stay loose?");
    assert_eq!(labels(&rocked), [(1, "it stayed loose"), (0, "it took up or moved")]);
    service.tell(Input::Rock(Rocked::Moved));
    assert!(asked(&service).title.starts_with("The rocker moved: find "), "{:?}", asked(&service));
}

#[test]
fn the_lobe_of_the_only_valve_of_a_stop_is_asked_about_by_its_name() {
    let (mut service, valve) = last_one(vee_twin());
    let ask = asked(&service);
    assert_eq!(ask.ask, format!("Does the cam lobe of {valve} point away?"));
    assert_eq!(labels(&ask), [(1, "it points away, as expected"), (0, "it does not")]);
    // With its answer the rest of the round is done: taken back at once, the same is asked again, where the crank
    // still stands.
    service.on_to_gauge(valve);
    let (asked, crank) = (service.due(), service.session.state.crank);
    let gauged = Input::Gauge { typed: "0.20 mm".into(), sure: true };
    for answer in [gauged, Input::SkipValve { valve, why: "hidden".into() }] {
        let mut back = service.clone();
        back.tell(answer);
        assert!(back.session.state.rest.is_none(), "{:?}", back.due());
        let last = back.session.kept.last().unwrap().seq;
        let mut before = back.clone();
        back.tell(Input::TakeBack);
        assert_eq!((back.due(), back.session.state.crank), (asked.clone(), crank));
        back.sign();
        // As a version kept it that went on by the whole plan.
        let (change, why) = (Change::Void, AT_ONCE.into());
        before.keep(Entry::Correct(Correct { of: last, change, why, as_asked: false }));
        assert!(before.session.state.rest.is_none(), "{:?}", before.due());
    }
}
