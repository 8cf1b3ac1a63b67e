//! A leak test put off to before the run is not forgotten: it stays open until its figure is there.

use super::engines::{flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Entry, Rounds};
use cowlside::domain::session::{Due, Input, LEAK_TEST_LATER, OpenItem, Refusal};
use cowlside::guide::{Answered, Talk};

/// The entries that these answers keep, which are those of an input.
#[track_caller]
fn say(service: &mut Service, answers: &[&str], input: Input) {
    let mut talk = Talk::default();
    for typed in answers {
        match talk.answer(&service.session, typed) {
            Answered::Next(next) => talk = next,
            Answered::Keep(entries) => assert_eq!(Ok(entries), service.session.decide(&input)),
            other => panic!("{typed}: {other:?}"),
        }
    }
    service.tell(input);
}

fn test(typed: &str, why_not: &str) -> Input {
    Input::LeakTest { typed: typed.into(), why_not: why_not.into() }
}

fn open(service: &Service) -> Vec<String> {
    let owed = service.open().into_iter();
    let owed = owed.filter(|item| matches!(item, OpenItem::BeforeRunning { .. }));
    owed.map(|item| item.to_string()).collect()
}

fn put_off() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    say(&mut service, &["0", "2"], test("", LEAK_TEST_LATER));
    service
}

#[test]
fn a_leak_test_promised_for_before_the_run_bars_it_until_its_figure_is_typed() {
    let mut service = put_off();
    assert_eq!(open(&service), ["before running: leak-test cylinder 1"]);
    assert!(matches!(service.due(), Due::Set(..)), "the screw may be touched");
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.ask.contains("0 = not tested"), "{}", ask.ask);
    assert_eq!(service.refused(test("80", "")).words(), {
        Refusal::Unreadable("type what it held and of how much, as in 74/80".into()).words()
    });
    say(&mut service, &["74/80"], test("74/80", ""));
    assert_eq!(service.session.state.leak_tested[&1].0, Some((74, 80)));
    assert!(open(&service).is_empty());
    assert!(matches!(service.due(), Due::RunCaution(_)), "{:?}", service.due());
    service.sign();
}

#[test]
fn a_promised_leak_test_that_is_not_made_is_accounted_for_with_a_reason() {
    let mut service = put_off();
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..)));
    assert_eq!(service.refused(test("", " ")), Refusal::WhyMissing);
    say(&mut service, &["0", "9", "because"], test("", &why()));
    let Some(Entry::Remark(last)) = service.session.kept.last().map(|kept| &kept.entry) else {
        panic!("no remark")
    };
    assert_eq!((last.text.as_str(), last.settles.is_some()), ("not made: because", true));
    service.sign();
}

#[test]
fn a_second_promise_opens_nothing_more_and_a_figure_in_the_rounds_keeps_both() {
    // The tight reading taken for a slip, its cylinder worked on: read anew the test is asked anew.
    for (typed, why_not, left) in [("", LEAK_TEST_LATER, 1), ("70/80", "", 0)] {
        let mut service = put_off();
        service.tell(Input::Work { cylinder: 1, what: "cylinder".into(), text: String::new() });
        service.calmly_while(|_, due| matches!(due, Due::HoldDown(_)));
        // Its nuts are slack now; locked, it reads nothing once more.
        service.calmly_while(|_, due| *due != Due::Trying(intake(1)));
        service.tell(Input::Tried { typed: "0".into(), sure: true });
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(..) | Due::Turn { .. }));
        assert!(matches!(service.due(), Due::LeakTest(1, _)), "{:?}", service.due());
        service.tell(test(typed, why_not));
        assert_eq!(open(&service).len(), left);
    }
}

#[test]
fn another_reason_promises_nothing() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    service.tell(test("", "done earlier in this service"));
    assert!(open(&service).is_empty());
}
