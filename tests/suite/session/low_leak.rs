//! A leak test that shows a bad cylinder bars the run until the cause is answered for, and is told at the
//! signature.

use super::engines::{flat_four, intake};
use super::harness::Service;
use cowlside::domain::entry::Rounds;
use cowlside::domain::session::{Due, Input, LEAK_TEST_LATER, OpenItem};
use cowlside::guide::status::kept_words;
use cowlside::guide::{Answered, Talk};

const LOW: &str = "before running: leak test 1: 30 of 80, cause?";

fn test(typed: &str, why_not: &str) -> Input {
    Input::LeakTest { typed: typed.into(), why_not: why_not.into() }
}

/// At the leak test of cylinder 1: before the screw, or promised and asked before the plugs go in.
fn at_the_test(late: bool) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    if late {
        service.tell(test("", LEAK_TEST_LATER));
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    }
    service
}

fn barring(service: &Service) -> Vec<String> {
    let open = service.open().into_iter();
    let open = open.filter(|item| matches!(item, OpenItem::BeforeRunning { .. }));
    open.map(|item| item.to_string()).collect()
}

#[test]
fn a_low_leak_test_bars_the_run_until_what_was_found_is_told_and_stands_at_the_signature() {
    for late in [false, true] {
        let mut service = at_the_test(late);
        service.tell(test("30/80", ""));
        assert_eq!(barring(&service), [LOW], "late {late}");
        service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..) | Due::Sign));
        let Due::BeforeRunning(seq, _) = service.due() else { panic!("{:?}", service.due()) };
        let ask = Talk::default().prompt(&service.session);
        assert_eq!(ask.ask, "What was found, and what was done about it?");
        service.tell(Input::SettleRemark { seq, text: "valve lapped in, then 76 of 80".into() });
        assert!(barring(&service).is_empty());
        service.on_to_sign();
        let lines = Talk::default().prompt(&service.session).lines.join(" ");
        let told = "Leak test 1: 30 of 80, low; found: valve lapped in, then 76 of 80.";
        assert!(lines.contains(told), "{lines}");
        service.sign();
    }
}

#[test]
fn a_figure_of_three_quarters_bars_nothing_and_the_same_low_one_bars_once() {
    let mut service = at_the_test(false);
    service.tell(test("60/80", ""));
    assert!(barring(&service).is_empty());
    service.on_to_sign();
    let lines = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(!lines.contains("Leak test"), "{lines}");

    let mut service = at_the_test(false);
    service.tell(test("30/80", "")).tell(Input::TakeBack);
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    service.tell(test("30/80", ""));
    assert_eq!(barring(&service), [LOW]);
}

#[test]
fn the_cause_is_asked_for_before_the_screw_or_where_the_valve_is_set_before_the_run() {
    for (late, said, not) in [
        (false, "before the valve is set", "before the engine runs"),
        (true, "before the engine runs", "before the valve is set"),
    ] {
        let service = at_the_test(late);
        let Answered::Next(talk) = Talk::default().answer(&service.session, "30/80") else {
            panic!("30/80 is taken without a word")
        };
        let asked = talk.prompt(&service.session).lines.join(" ");
        let entries = service.session.decide(&test("30/80", "")).unwrap();
        let kept = kept_words(&service.session, &entries, &|_| None);
        for words in [asked, kept] {
            assert!(words.contains(said) && !words.contains(not), "{late}: {words}");
        }
    }
}
