//! A nut said slack that never was: only such nuts are listed, and where another was meant both are named.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::Rounds;
use cowlside::domain::session::{Due, Input};
use cowlside::domain::valve::Valve;
use cowlside::guide::commands::{Offered, offers};
use cowlside::guide::status::kept_words;
use cowlside::guide::{Answered, Beside, Command, Prompt, Talk};
use std::sync::Arc;

/// At the first valve of cylinder 2, with these nuts said slack.
fn slack(nuts: &[Valve]) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(2));
    for valve in nuts {
        service.tell(Input::NutFoundSlack(*valve));
    }
    service
}

fn offered(service: &Service) -> Offered {
    let mut all = offers(&service.session, &Beside::default()).into_iter();
    all.find(|one| one.command == Command::NeverTouched).unwrap()
}

fn called(service: &Service, typed: &[&str]) -> Answered {
    let call = Talk::call(&service.session, Command::NeverTouched, Arc::default());
    typed.iter().fold(call, |talk, typed| match talk {
        Answered::Next(next) => next.answer(&service.session, typed),
        other => panic!("{typed}: {other:?}"),
    })
}

fn asked(service: &Service, typed: &[&str]) -> Prompt {
    match called(service, typed) {
        Answered::Next(talk) => talk.prompt(&service.session),
        other => panic!("{typed:?}: {other:?}"),
    }
}

fn labels(ask: &Prompt) -> Vec<&str> {
    ask.field.choices.iter().map(|choice| choice.label.as_str()).collect()
}

#[test]
fn the_only_slack_nut_is_named_in_the_list_and_not_asked_for() {
    let service = slack(&[exhaust(3)]);
    assert_eq!(offered(&service).label, "the nut of 3 exhaust, said slack, was never touched");
    let ask = asked(&service, &[]);
    assert!(ask.title.contains("3 exhaust") && ask.ask == "Why?", "{ask:?}");
    assert!(matches!(called(&service, &["1"]), Answered::Keep(_)));
    assert_eq!(offered(&slack(&[])).not_now, Some("no nut is slack"));
}

#[test]
fn of_several_slack_nuts_these_are_listed_and_no_others() {
    let service = slack(&[exhaust(2), exhaust(3)]);
    assert_eq!(offered(&service).label, "a nut said slack was never touched");
    assert_eq!(labels(&asked(&service, &[])), ["2 exhaust", "3 exhaust"]);
    assert!(asked(&service, &["2"]).title.contains("3 exhaust"));
}

#[test]
fn a_nut_that_was_tried_since_is_not_listed_and_that_is_said() {
    let mut service = slack(&[exhaust(2)]);
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(2)));
    service.tell(Input::Tried { typed: "12".into(), sure: true });
    let never = offered(&service);
    assert_eq!(never.not_now, Some("it was tried since: lock its nut and gauge"));
    // Called for by its number all the same.
    let Answered::Refused(_, words) = called(&service, &[]) else { panic!("taken") };
    assert_eq!(words, "not now: it was tried since: lock its nut and gauge");
}

#[test]
fn a_nut_that_is_slack_because_its_reading_was_withdrawn_is_not_said_to_have_been_tried() {
    let mut service = slack(&[exhaust(2)]);
    service.calmly_while(|_, due| *due != Due::Trying(exhaust(2)));
    service.tell(Input::Tried { typed: "12".into(), sure: true }).tell(Input::NutLocked);
    let of = service.last_reading();
    service.tell(Input::Void { of, why: why() });
    assert!(service.session.state.nut_slack(exhaust(2)));
    let words = "its reading was withdrawn: lock its nut and gauge";
    assert_eq!(offered(&service).not_now, Some(words));
    // Work on the cylinder says once more that it is slack, and not that it was never tried and locked.
    service.tell(Input::Work { cylinder: 2, what: "lifter".into(), text: String::new() });
    for (valve, touched) in [(exhaust(2), true), (intake(2), false)] {
        let never = service.session.decide(&Input::NutNeverTouched { valve, why: why() });
        assert_eq!(never.is_err(), touched, "{valve}");
    }
}

#[test]
fn where_the_wrong_valve_was_named_those_that_are_not_slack_are_listed_and_both_are_told() {
    let mut service = slack(&[exhaust(2), exhaust(3)]);
    let which = asked(&service, &["2", "2"]);
    let others = ["1 intake", "1 exhaust", "2 intake", "3 intake", "4 intake", "4 exhaust"]
        .map(String::from);
    assert_eq!(labels(&which), others);
    let Answered::Keep(entries) = called(&service, &["2", "2", "2"]) else { panic!("{which:?}") };
    let named = Input::NutOfAnother { named: exhaust(3), really: exhaust(1) };
    assert_eq!(Ok(&entries), service.session.decide(&named).as_ref());
    service.tell(named);
    let said = kept_words(&service.session, &entries, &|_| None);
    assert_eq!(said, "saved: nut of 1 exhaust slack, that of 3 exhaust never touched");
}

#[test]
fn where_every_other_nut_is_slack_too_no_other_is_asked_for() {
    let mut service = slack(&[exhaust(3)]);
    let reasons = |service: &Service, typed: &[&str]| -> Vec<String> {
        labels(&asked(service, typed)).into_iter().map(String::from).collect()
    };
    let slip = "pressed by mistake, nothing was touched";
    let (wrong, own) = ("the wrong valve was named", "in my own words");
    let seized = "it is seized: it did not turn at all";
    assert_eq!(reasons(&service, &[]), [slip, wrong, seized, own]);
    for cylinder in 1..=4 {
        for valve in [intake(cylinder), exhaust(cylinder)] {
            if !service.session.state.nut_slack(valve) {
                service.tell(Input::NutFoundSlack(valve));
            }
        }
    }
    assert_eq!(reasons(&service, &["2"]), [slip, seized, own]);
    // In own words it is a reason like any other.
    assert!(matches!(called(&service, &["2", "9", wrong]), Answered::Keep(_)));
}
