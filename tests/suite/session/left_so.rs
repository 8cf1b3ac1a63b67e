//! The questions before the run, and at it, name what the engine would run with: valves left outside
//! their band, the gravest first, and what was not gauged.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Entry, Remark, Rounds};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::{Cylinder, Valve};
use cowlside::domain::verdict::Verdict;
use cowlside::guide::{Answered, Beside, Prompt, Talk};
use std::sync::Arc;

/// A service in which these valves read so and are left so.
fn left(facts: Facts, scope: Option<Vec<Cylinder>>, so: &[(Valve, &str)]) -> Service {
    let mut service = Service::new(facts);
    service.prepare(Rounds::SetThenRecheck, scope);
    for _ in 0..4 * so.len() {
        let set = |due: &Due| matches!(due, Due::Set(one, _) if so.iter().any(|(of, _)| of == one));
        let gauged = |due: &Due| matches!(due, Due::Gauge(one, _) | Due::Again(one, _) if so.iter().any(|(of, _)| of == one));
        let late = |due: &Due| matches!(due, Due::BeforeRunning(..) | Due::RunCaution(_));
        service.calmly_while(|_, due| !set(due) && !gauged(due) && !late(due));
        match service.due() {
            Due::Gauge(valve, _) | Due::Again(valve, _) => {
                let typed = so.iter().find(|(of, _)| *of == valve).unwrap().1.into();
                service.tell(Input::Gauge { typed, sure: true });
            }
            Due::Set(valve, _) => {
                service.tell(Input::LeaveAsIs { valve, why: why() });
            }
            _ => {}
        }
    }
    service
}

fn asked(service: &Service) -> Prompt {
    Talk::default().prompt(&service.session)
}

const BARRED: &str = "no run so unless the manual or the licensed mechanic allows it.";

#[test]
fn every_question_before_the_run_names_what_is_left_tight_large_and_first() {
    let so = [(intake(1), "9"), (exhaust(2), "4"), (intake(3), "4")];
    let mut service = left(flat_four(), None, &so);
    let words = format!("2 exhaust LEFT TIGHT, 3 intake LEFT TIGHT, 1 intake LEFT LOOSE: {BARRED}");
    // The notice, and the tag that is made of it, are read by who takes over.
    let notice = cowlside::guide::status::notice(
        &service.session,
        &cowlside::domain::trend::Earlier::default(),
    );
    let named = "LEFT SO: 2 exhaust TIGHT (reason in the record), 3 intake TIGHT (reason in the record), 1 intake LOOSE (reason in the record)".to_string();
    assert!(notice.contains(&named), "{notice:?}");
    let mut seen = Vec::new();
    while let Due::RunCaution(line) | Due::RunCheck(line) = service.due() {
        let ask = asked(&service);
        let big = ask.big.clone().unwrap();
        assert_eq!(ask.lines[0], words, "{}", line.id);
        if !service.session.state.has_run() {
            assert_eq!(big.longer[0], "2 EXH TIGHT", "{}", line.id);
            assert_eq!(ask.field.whole, 1, "no answer before it is read");
            assert_eq!((big.caption.as_str(), big.gives_way), ("left so", false));
            // What is asked about is not lost over it.
            let about = line.ask.split_once(": ").map_or(line.ask.as_str(), |(about, _)| about);
            assert!(ask.ask.starts_with(about), "{}", ask.ask);
        } else {
            assert!(!big.text.contains("TIGHT"), "what is heard is asked: {big:?}");
        }
        seen.push(line.id.clone());
        let good = line.states.iter().find(|state| state.good).unwrap().digit;
        service.tell(Input::Answer(good));
    }
    assert!(seen.len() > 6 && seen.contains(&"warm".into()), "{seen:?}");
    assert_eq!(service.due(), Due::Sign);
}

#[test]
fn where_all_is_well_nothing_is_said_before_the_run() {
    let mut service = left(flat_four(), None, &[]);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    let ask = asked(&service);
    assert!(ask.lines.is_empty(), "{ask:?}");
    assert!(ask.big.unwrap().text.contains("AIR"));
}

#[test]
fn why_there_is_no_run_is_asked_without_the_valve_in_large() {
    let service = left(flat_four(), None, &[(exhaust(2), "4")]);
    let Answered::Next(why) = Talk::default().answer(&service.session, "9") else { panic!() };
    let why = why.prompt(&service.session);
    assert!(why.lines.is_empty() && !why.big.unwrap().text.contains("TIGHT"));
}

#[test]
fn a_cylinder_that_was_not_gauged_is_named_before_the_run() {
    let mut service = left(flat_four(), Some(vec![1, 2]), &[]);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    assert_eq!(asked(&service).lines, ["NOT GAUGED in this service: cylinders 3, 4."]);
    // In the order in which a list is read, and not in that of the firing: 1, 3, 2, 4.
    let mut service = left(flat_four(), Some(vec![4]), &[]);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    assert_eq!(asked(&service).lines, ["NOT GAUGED in this service: cylinders 1, 2, 3."]);
}

#[test]
fn what_an_earlier_service_left_tight_and_this_one_does_not_gauge_is_named_too() {
    let mut before = left(flat_four(), None, &[(exhaust(2), "4"), (exhaust(4), "4")]);
    before.sign();
    let mut earlier = cowlside::domain::service::Service::of(&before.session);
    // The source of the tests' engines is an example: a service by it would be for practice.
    earlier.conditions.practice = false;
    let mut service = left(flat_four(), Some(vec![1, 2]), &[]);
    service.calmly_while(|_, due| !matches!(due, Due::RunCaution(_)));
    let earlier = Earlier::from(vec![earlier]);
    let beside = Beside { earlier: earlier.clone(), ..Beside::default() };
    let ask = Talk { beside: Arc::new(beside), ..Talk::default() }.prompt(&service.session);
    assert_eq!(ask.big.unwrap().longer[0], "4 EXH TIGHT", "2 exhaust was gauged anew");
    assert_eq!(ask.lines[0], format!("4 exhaust LEFT TIGHT: {BARRED}"));
    // The sentence that goes out with the engine says so as well, and nothing of what was gauged anew.
    let owner = cowlside::report::record::proposal(&service.session, &earlier).owner;
    assert!(
        owner.contains("left so before and not looked at in this service: exhaust 4 tight."),
        "{owner}"
    );
}

#[test]
fn a_remark_before_running_is_settled_with_the_tight_valve_in_sight() {
    let mut service = left(flat_four(), None, &[(exhaust(2), "4")]);
    let text = "look at the oil line".into();
    service.tell(Input::Remark(Remark { text, before_running: true, ..Remark::default() }));
    assert!(matches!(service.due(), Due::BeforeRunning(..)), "{:?}", service.due());
    let ask = asked(&service);
    let told = [format!("2 exhaust LEFT TIGHT: {BARRED}"), reason("2 exhaust")];
    assert_eq!(ask.lines[ask.lines.len() - 2..], told);
}

/// What is said of why a valve is left so.
fn reason(valve: &str) -> String {
    format!("{valve} left so: {}.", why())
}

#[test]
fn the_reason_that_was_given_stands_with_what_is_left_so_at_the_run_and_at_the_signature() {
    let mut service = left(flat_four(), None, &[(intake(1), "9"), (exhaust(2), "4")]);
    let reasons = [reason("2 exhaust"), reason("1 intake")];
    let told = |service: &Service| {
        let lines = asked(service).lines;
        lines.windows(2).any(|two| two == reasons)
    };
    let mut seen = 0;
    while matches!(service.due(), Due::RunCaution(_) | Due::RunCheck(_)) {
        assert!(told(&service), "{:?}", asked(&service).lines);
        service.calmly_while({
            let due = service.due();
            move |_, now| *now == due
        });
        seen += 1;
    }
    assert!(seen > 6 && service.due() == Due::Sign && told(&service), "{seen}");
    // The last page of the signature counts them among what has to be seen before it is answered.
    let mut talk = Talk::default();
    for answer in ["Signer", "", "", "1", "", "1000"] {
        let Answered::Next(next) = talk.answer(&service.session, answer) else {
            panic!("{answer}")
        };
        talk = next;
    }
    let last = talk.prompt(&service.session);
    assert_eq!(
        (last.title.as_str(), last.lines[..2].to_vec()),
        ("Sign and close", reasons.to_vec())
    );
    assert_eq!(usize::from(last.field.whole), last.lines.len(), "{last:?}");
}

#[test]
fn the_notice_tells_nothing_of_a_valve_that_is_to_be_gauged_once_more_though_nobody_is_there() {
    let tight = |service: &Service| {
        let notice = cowlside::guide::status::notice(
            &service.session,
            &cowlside::domain::trend::Earlier::default(),
        );
        notice.iter().any(|line| line.contains("1 exhaust TIGHT"))
    };
    let is_its = |due: &Due| matches!(due, Due::Gauge(one, _) | Due::Again(one, _) | Due::Set(one, _) if *one == exhaust(1));
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !is_its(due));
    while !matches!(service.due(), Due::Set(..)) {
        service.tell(Input::Gauge { typed: "4".into(), sure: true });
        service.calmly_while(|_, due| !is_its(due));
    }
    // A nut that does not turn is told by the number pad alone.
    let answered = ["3", "4"].iter().try_fold(Talk::default(), |talk, digit| {
        match talk.answer(&service.session, digit) {
            Answered::Next(talk) => Ok(talk),
            other => Err(other),
        }
    });
    let Err(Answered::Keep(entries)) = answered else { panic!("{answered:?}") };
    let seized = "cannot be set: nut or screw is seized";
    assert!(matches!(&entries[..], [Entry::Skip(skip)] if skip.why == seized), "{entries:?}");
    service.tell(Input::LeaveAsIs { valve: exhaust(1), why: why() });
    assert!(tight(&service), "it is left so");
    service.calmly_while(|_, due| !is_its(due));
    assert!(matches!(service.due(), Due::Gauge(..)), "{:?}", service.due());
    service.tell(Input::Away(String::new()));
    assert!(!tight(&service), "called away");
}

#[test]
fn the_notice_names_what_read_out_of_its_band_and_is_not_settled_yet() {
    let noticed = |service: &Service| {
        let lines = cowlside::guide::status::notice(&service.session, &Earlier::default());
        lines.into_iter().find(|line| line.starts_with("NOT IN LIMITS SO FAR"))
    };
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    let Due::Gauge(valve, _) = service.due() else { unreachable!("{:?}", service.due()) };
    assert_eq!(noticed(&service), None);
    service.tell(Input::Gauge { typed: "4".into(), sure: true });
    // A figure that is not believed is nobody's to know before it was gauged once more.
    while let Due::Again(again, _) = service.due() {
        assert_eq!((again, noticed(&service)), (valve, None));
        service.tell(Input::Gauge { typed: "4".into(), sure: true });
    }
    service.gauge("12");
    assert_eq!(service.due(), Due::Set(valve, Verdict::Tight));
    let name = format!("{} {}", valve.cylinder, valve.kind.word());
    assert_eq!(
        noticed(&service),
        Some(format!("NOT IN LIMITS SO FAR: {name} TIGHT (see that its nut is locked)"))
    );
    // Slack, its nut says more than a figure from before it.
    service.tell(Input::OpenSet(valve));
    assert_eq!(noticed(&service), None);
    assert!(service.session.state.open_items().len() > 1);
}
