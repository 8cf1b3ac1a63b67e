//! A leak test that shows a bad cylinder bars the run until somebody says what was found, and the
//! signature tells of it.

use super::engines::{exhaust, flat_four, intake, radial_table};
use super::harness::Service;
use cowlside::domain::entry::{Entry, LeakTest, Remark, Rounds};
use cowlside::domain::session::{Due, Input, LEAK_TEST_LATER, OpenItem};
use cowlside::domain::trend::Earlier;
use cowlside::guide::status::kept_words;
use cowlside::guide::{Answered, Talk};
use cowlside::report::record::{proposal, record};

fn test(typed: &str) -> Input {
    Input::LeakTest { typed: typed.into(), why_not: String::new() }
}

fn open(service: &Service) -> Vec<String> {
    let open = service.open().into_iter();
    let open = open.filter(|item| matches!(item, OpenItem::BeforeRunning { .. }));
    open.map(|item| item.to_string()).collect()
}

/// Goes on to the run, which wants an answer first.
fn barred(service: &mut Service) -> u64 {
    service.calmly_while(|_, due| !matches!(due, Due::BeforeRunning(..) | Due::RunCaution(_)));
    let Due::BeforeRunning(seq, text) = service.due() else { panic!("{:?}", service.due()) };
    assert!(text.ends_with("leak test 1: 30 of 80, cause?"), "{text}");
    seq
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const TOLD: &str = "eak test of cylinder 1: 30 of 80 is low, found: carbon under the exhaust valve";

#[test]
fn a_low_figure_bars_the_run_until_its_cause_is_told_and_is_signed_for() {
    let mut service = Service::very_tight();
    service.tell(test("30/80"));
    assert_eq!(open(&service), ["before running: leak test 1: 30 of 80, cause?"]);
    let found = "carbon under the exhaust valve".to_string();
    let seq = barred(&mut service);
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.ask, "What was found, and what is done about it?");
    assert!(ask.lines.iter().any(|line| line.contains("30 of 80")), "{ask:?}");
    service.tell(Input::SettleRemark { seq, text: found }).on_to_sign();
    let ask = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(ask.contains(TOLD), "{ask}");
    assert!(proposal(&service.session, &Earlier::default()).owner.contains(TOLD));
    service.sign();
    let told = one_line(&record(&service.session, &Earlier::default()));
    assert!(told.contains("LOW LEAK TEST l") && told.contains(TOLD), "{told}");
    assert!(!told.contains("LEFT AS FOUND"), "what was found and done is not left so: {told}");
}

#[test]
fn a_good_figure_leaves_nothing_open() {
    let mut service = Service::very_tight();
    service.tell(test("60/80"));
    assert!(open(&service).is_empty());
    service.on_to_sign();
    let ask = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(!ask.contains("eak test"), "{ask}");
    service.sign();
}

#[test]
fn where_the_valve_was_set_the_cause_is_found_before_the_engine_runs() {
    let mut service = Service::very_tight();
    service.tell(Input::LeakTest { typed: String::new(), why_not: LEAK_TEST_LATER.into() });
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    let Answered::Next(sure) = Talk::default().answer(&service.session, "30/80") else { panic!() };
    let lines = sure.prompt(&service.session).lines.join(" ");
    let (run, screw) = ("before the engine runs", "before the valve is set");
    assert!(lines.contains(run) && !lines.contains(screw), "{lines}");
    service.tell(test("30/80"));
    let low = LeakTest { cylinder: 1, held: Some((30, 80)), why_not: None, turned: true };
    let said = kept_words(&service.session, &[Entry::LeakTest(low)], &|_| None);
    assert!(said.contains(run), "{said}");
    assert_eq!(open(&service), ["before running: leak test 1: 30 of 80, cause?"]);
    barred(&mut service);
    service.sign();

    let mut service = Service::very_tight();
    let Answered::Next(sure) = Talk::default().answer(&service.session, "30/80") else { panic!() };
    let lines = sure.prompt(&service.session).lines.join(" ");
    assert!(lines.contains(screw) && !lines.contains(run), "{lines}");
    service.tell(test("30/80"));
    let said = kept_words(
        &service.session,
        &[service.session.kept.last().unwrap().entry.clone()],
        &|_| None,
    );
    assert!(said.contains(screw), "{said}");
}

#[test]
fn where_one_valve_is_set_the_cause_is_still_found_before_the_other_is() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("8").on_to_gauge(exhaust(1)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    assert!(service.session.state.touched.contains(&intake(1)), "{:?}", service.due());
    let Answered::Next(sure) = Talk::default().answer(&service.session, "30/80") else { panic!() };
    let lines = sure.prompt(&service.session).lines.join(" ");
    assert!(lines.contains("before the valve is set"), "{lines}");
    service.tell(test("30/80"));
    let kept = service.session.kept.last().unwrap().entry.clone();
    let said = kept_words(&service.session, &[kept], &|_| None);
    assert!(said.contains("before the valve is set"), "{said}");
}

#[test]
fn the_next_figure_answers_a_low_one_and_a_second_low_one_asks_anew() {
    // Its cause in the words of a figure is an answer by itself, and taken back alone.
    let mut service = Service::very_tight();
    service.tell(test("30/80"));
    let seq = service.session.state.remarks.last().unwrap().0;
    service.tell(Input::SettleRemark { seq, text: "held 74 of 80".into() });
    service.tell(Input::TakeBack);
    let tested = service.session.state.leak_tested.get(&1);
    assert_eq!((open(&service).len(), tested), (1, Some(&(Some((30, 80)), None))));
    // Taken back, read once more.
    for (typed, left) in [("74/80", 0), ("31/80", 1), ("30/80", 1)] {
        let mut service = Service::very_tight();
        service.tell(test("30/80")).tell(Input::TakeBack);
        assert_eq!(open(&service).len(), 1, "what was seen is not unsaid by a key");
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
        service.tell(test(typed));
        assert_eq!(open(&service).len(), left, "{typed}: {:?}", open(&service));
        service.on_to_sign();
        // Where the last figure is good nothing was left so.
        let ask = Talk::default().prompt(&service.session).lines.join(" ");
        assert_eq!(ask.contains("eak test"), left > 0, "{typed}: {ask}");
        let owner = proposal(&service.session, &Earlier::default()).owner;
        assert_eq!(owner.contains("eak test"), left > 0, "{typed}: {owner}");
        service.sign();
    }
}

#[test]
fn a_low_figure_that_was_handed_on_is_asked_about_and_signed_for_as_well() {
    let mut service = Service::new(flat_four());
    let text = "left open by spring: leak test 1: 30 of 80, cause?".into();
    service.tell(Input::Remark(Remark { text, before_running: true, ..Remark::default() }));
    service.prepare(Rounds::SetThenRecheck, None);
    let seq = barred(&mut service);
    let text = "carbon under the exhaust valve".into();
    service.tell(Input::SettleRemark { seq, text }).on_to_sign();
    let ask = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(ask.contains(TOLD), "{ask}");
}

#[test]
fn a_low_figure_kept_before_its_cause_was_asked_for_is_told_at_the_signature() {
    let mut service = Service::very_tight();
    let low = LeakTest { cylinder: 1, held: Some((30, 80)), why_not: None, turned: true };
    service.keep(Entry::LeakTest(low));
    service.on_to_sign();
    let ask = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(ask.contains("eak test of cylinder 1: 30 of 80 is low, cause not told"), "{ask}");
}

#[test]
fn on_a_radial_with_the_plugs_of_the_low_cylinders_out_none_is_said_to_come_out_for_the_test() {
    let owed = |facts, digit| {
        let mut service = Service::new(facts);
        let plugs = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "plugs");
        service.calmly_while(|_, due| !plugs(due));
        service.tell(Input::Answer(digit));
        service.prepare(Rounds::SetThenRecheck, None);
        service.on_to_gauge(intake(5));
        service.tell(Input::Gauge { typed: "0".into(), sure: true });
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(5, _)));
        let why_not = LEAK_TEST_LATER.into();
        service.tell(Input::LeakTest { typed: String::new(), why_not });
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
        Talk::default().prompt(&service.session)
    };
    for digit in [1, 2] {
        let ask = owed(radial_table(None), digit);
        assert_eq!(ask.title, "Leak test of cylinder 5: owed before its plug goes in", "{digit}");
        assert!(!ask.lines.join(" ").contains("it costs least"), "{:?}", ask.lines);
    }
}
