//! A reading of one version of a session taken over into another.

use super::engines::{exhaust, flat_four, intake};
use super::harness::Service;
use cowlside::domain::entry::{Adopt, Entry, Rounds, Step};
use cowlside::domain::session::{Due, Input, Refusal};
use cowlside::domain::valve::Valve;
use cowlside::guide::versions::OtherVersion;
use cowlside::guide::{Beside, Command, commands};

fn begun() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1));
    service
}

/// What another version holds of a valve, gauged there as `typed`.
fn there(valve: Valve, typed: &str) -> Adopt {
    let mut other = begun();
    other.on_to_gauge(valve).gauge(typed);
    let kept = other.session.kept.last().unwrap().clone();
    let Entry::Reading(reading) = kept.entry else { panic!("{kept:?}") };
    let (file, hash) = ("20260314-101530z-copy.jsonl".into(), "0123456789abcdef".repeat(2));
    Adopt { file, seq: kept.seq, hash, reading }
}

fn adopt(adopt: &Adopt) -> Input {
    Input::Adopt(Box::new(adopt.clone()))
}

#[test]
fn an_as_found_reading_of_a_valve_still_to_be_gauged_is_taken_over_and_nothing_else() {
    let mut service = begun();
    let first = there(intake(1), "6");
    service.tell(adopt(&first));
    assert_eq!(service.found(intake(1)), Some("6"));
    assert_eq!(service.due(), Due::Gauge(exhaust(1), Step::Found));
    // It is there now.
    assert_eq!(service.refused(adopt(&first)), Refusal::NotNow);
    // What was done after a reading is told by no reading.
    let mut left = there(exhaust(1), "12");
    left.reading.step = Step::Left;
    assert_eq!(service.refused(adopt(&left)), Refusal::NotNow);
    let mut none = there(exhaust(1), "12");
    none.reading.valve = intake(9);
    assert_eq!(service.refused(adopt(&none)), Refusal::NoValve(intake(9)));
    // Taken back, it is due again, and the session still comes to its end.
    service.tell(Input::TakeBack);
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    service.tell(adopt(&first));
    service.gauge("12");
    // One that is out of limits is set as if it had been gauged here.
    service.tell(adopt(&there(intake(2), "9")));
    service.sign();
    assert_eq!(service.found(intake(2)), Some("9"));
}

#[test]
fn before_the_engine_and_with_a_nut_slack_nothing_is_taken_over() {
    let reading = there(intake(1), "6");
    let mut early = Service::new(flat_four());
    assert_eq!(early.refused(adopt(&reading)), Refusal::NotNow);
    let mut slack = begun();
    slack.tell(Input::AsFoundLost { why: "set before it was gauged".into() });
    assert!(matches!(slack.refused(adopt(&reading)), Refusal::NutSlack(_) | Refusal::NotNow));
}

#[test]
fn it_is_offered_only_where_there_is_something_and_without_its_figure() {
    let service = begun();
    let offered = |beside: &Beside| {
        let all = commands::offers(&service.session, beside).into_iter();
        all.filter(|offered| offered.not_now.is_none() && offered.command == Command::Adopt).count()
    };
    let other = |readings| Beside {
        others: vec![OtherVersion { letter: 'B', readings }],
        ..Beside::default()
    };
    let beside = other(vec![there(intake(1), "6.5"), there(exhaust(3), "12")]);
    assert_eq!([offered(&Beside::default()), offered(&other(vec![])), offered(&beside)], [0, 0, 1]);
    let talk = cowlside::guide::Talk {
        task: cowlside::guide::Task::Command(Command::Adopt),
        beside: beside.into(),
        ..Default::default()
    };
    let prompt = talk.prompt(&service.session);
    let shown = format!("{prompt:?}");
    assert!(shown.contains("1 intake found") && shown.contains("of version B"), "{shown}");
    assert!(!shown.contains("6.5"), "{shown}");
}
