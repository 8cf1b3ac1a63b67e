//! A leak test put off to before the run is not forgotten: it stays open until its figure is there.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Entry, Remark, Rounds};
use cowlside::domain::session::{
    Due, Input, LEAK_TEST_LATER, LEAK_TEST_NOW, OpenItem, PRESSED_BY_MISTAKE, Refusal, Stage,
    TEST_THINGS, WRONG_VALVE_NAMED,
};
use cowlside::domain::valve::Valve;
use cowlside::guide::glance::undo;
use cowlside::guide::status::kept_words;
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
    let mut service = Service::very_tight();
    say(&mut service, &["0", "2"], test("", LEAK_TEST_LATER));
    service
}

/// On to the promised test: while the plugs are out, or put off once more, before the run.
fn asked_for(put_off: bool) -> Service {
    let mut service = self::put_off();
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    let Due::PromisedTest { cylinder: 1, plugs_out: true, .. } = service.due() else {
        panic!("{:?}", service.due())
    };
    if put_off {
        say(&mut service, &["0", "2"], test("", LEAK_TEST_LATER));
        assert_eq!(open(&service).len(), 1, "still owed");
        assert!(matches!(service.due(), Due::Check(line) if line.id == "plugs-in"));
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
        assert!(matches!(service.due(), Due::PromisedTest { plugs_out: false, .. }));
    }
    service
}

/// What is asked from here to the run, by its name; answered as it should be.
fn asked(service: &mut Service) -> Vec<String> {
    let mut asked = Vec::new();
    loop {
        match service.due() {
            Due::Caution(line, _) | Due::Check(line) => asked.push(line.id),
            Due::CountIn { item, .. } => asked.push(item),
            Due::RunCaution(_) => return asked,
            other => panic!("{other:?}"),
        }
        let one = crate::session::mechanic::calm(&service.session, &service.due());
        service.tell(one);
    }
}

const PUT_BACK: [&str; 5] = ["plugs-in", "two-turns", "leads", "controls", "second-look"];

#[test]
fn a_promised_leak_test_is_asked_while_the_plugs_are_out_and_undoes_nothing_then() {
    let mut service = asked_for(false);
    assert_eq!(open(&service), ["before running: leak test 1"]);
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.ask.contains("0 = not tested"), "{}", ask.ask);
    assert_eq!(service.refused(test("80", "")).words(), {
        Refusal::Unreadable("type what it held and of how much, as in 74/80".into()).words()
    });
    say(&mut service, &["74/80"], test("74/80", ""));
    assert_eq!(service.session.state.leak_tested[&1].0, Some((74, 80)));
    assert!(open(&service).is_empty());
    assert_eq!(asked(&mut service), PUT_BACK);
    service.sign();
}

#[test]
fn a_leak_test_made_with_the_plugs_in_again_is_made_safe_before_its_figure_is_asked() {
    let mut service = asked_for(true);
    assert_eq!(service.refused(test("", LEAK_TEST_LATER)), Refusal::NotNow, "no later than now");
    assert_eq!(service.refused(test("74/80", "")), Refusal::NotNow, "made safe first");
    assert!(service.session.state.checks.contains_key("leads"));
    say(&mut service, &["1"], test("", LEAK_TEST_NOW));
    assert_eq!(open(&service).len(), 1, "owed until its figure is there");
    // Made safe first: the crank is turned by hand once more, with air on.
    for id in ["ignition", "fuel", "throttle", "plugs", "wheels", "arc", "hands"] {
        assert!(matches!(service.due(), Due::Caution(line, _) if line.id == id));
        let safe = crate::session::mechanic::calm(&service.session, &service.due());
        service.tell(safe);
    }
    // All was counted in before: what goes out for the test is counted once more.
    let Due::CountOut(bank, items) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!((bank.as_str(), service.due().stage()), (TEST_THINGS, Stage::CloseUp));
    let named: Vec<(&str, u32)> = items.iter().map(|(item, out)| (item.as_str(), *out)).collect();
    assert_eq!(named, [("plug", 4), ("plug-hole blank", 4), ("leak tester", 1), ("tool", 2)]);
    let ask = Talk::default().prompt(&service.session);
    assert_eq!(ask.big.unwrap().text, "LEAK TEST");
    say(&mut service, &["1/1/1/3"], Input::CountOut(vec![1, 1, 1, 3]));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 1, plugs_out: true, .. }));
    assert_eq!(service.refused(test("", LEAK_TEST_NOW)), Refusal::NotNow, "it is out");
    let lines = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(!lines.contains("nothing has to be undone"), "{lines}");
    say(&mut service, &["74/80"], test("74/80", ""));
    assert!(open(&service).is_empty());
    assert!(service.open().contains(&OpenItem::NotCountedIn { pieces: 6 }));
    assert_eq!(
        asked(&mut service),
        [&["plug", "plug-hole blank", "leak tester", "tool"][..], &PUT_BACK].concat()
    );
    service.sign();
}

#[test]
fn what_is_left_out_after_a_late_leak_test_is_missing() {
    let mut service = asked_for(true);
    say(&mut service, &["1"], test("", LEAK_TEST_NOW));
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { item, .. } if item == "tool"));
    say(&mut service, &["1"], Input::CountIn(1));
    let open: Vec<String> = service.open().iter().map(OpenItem::to_string).collect();
    assert_eq!(open[0], "MISSING: 1 × tool, for the leak test");
    assert!(matches!(service.due(), Due::Shortage { .. }));
    service.tell(Input::ShortageFound);
    service.sign();
}

#[test]
fn a_promise_that_comes_up_after_the_run_is_made_safe_too_and_the_engine_runs_once_more() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_sign();
    let run = service.session.state.run.len();
    let text = "left open by spring: leak-test cylinder 1".into();
    let told = Remark { text, before_running: true, ..Remark::default() };
    service.tell(Input::Remark(told));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 1, plugs_out: false, .. }));
    say(&mut service, &["1"], test("", LEAK_TEST_NOW));
    for id in ["ignition", "fuel", "throttle", "plugs", "wheels", "arc", "hands"] {
        assert!(matches!(service.due(), Due::Caution(line, _) if line.id == id), "{id}");
        let safe = crate::session::mechanic::calm(&service.session, &service.due());
        service.tell(safe);
    }
    service.calmly_while(|_, due| matches!(due, Due::CountOut(..)));
    say(&mut service, &["74/80"], test("74/80", ""));
    assert_eq!(asked(&mut service)[4..], PUT_BACK);
    service.sign();
    assert_eq!(service.session.state.run.len(), run, "run, and looked at again");
}

#[test]
fn a_plug_that_was_out_for_a_leak_test_that_came_to_nothing_did_not_stay_in() {
    let mut service = asked_for(true);
    service.tell(test("", LEAK_TEST_NOW));
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    service.tell(test("", LEAK_TEST_LATER));
    service.calmly_while(|_, due| matches!(due, Due::CountIn { .. }));
    let Due::Check(line) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!((line.id.as_str(), line.state(2).is_none()), ("plugs-in", true));
    service.sign();
}

#[test]
fn of_two_promised_tests_the_other_is_asked_while_the_plugs_are_out_for_the_first() {
    let mut service = put_off();
    service.on_to_gauge(intake(3)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(3, _)));
    service.tell(test("", LEAK_TEST_LATER));
    for _ in 0..2 {
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
        service.tell(test("", LEAK_TEST_LATER));
    }
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 1, plugs_out: false, .. }));
    service.tell(test("", LEAK_TEST_NOW));
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 1, plugs_out: true, .. }));
    service.tell(test("74/80", ""));
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 3, plugs_out: true, .. }));
    service.sign();
}

#[test]
fn taken_back_the_word_to_make_it_safe_leaves_everything_as_it_was_put_back() {
    let mut service = asked_for(true);
    let checks = service.session.state.checks.clone();
    service.tell(test("", LEAK_TEST_NOW));
    assert_ne!(service.session.state.checks, checks);
    service.tell(Input::TakeBack);
    assert_eq!(service.session.state.checks, checks);
    assert!(matches!(service.due(), Due::PromisedTest { plugs_out: false, .. }));
}

#[test]
fn a_plug_and_lead_that_were_off_for_a_leak_test_are_not_said_to_have_stayed_on() {
    for tested in [true, false] {
        let mut service = Service::new(flat_four());
        service
            .calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "ignition"));
        service.tell(Input::Answer(2));
        service.calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "plugs"));
        service.tell(Input::Answer(2));
        service.prepare(Rounds::SetThenRecheck, None);
        if tested {
            service.on_to_gauge(intake(1)).gauge("0");
            service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
            service.tell(test("74/80", ""));
        }
        for id in ["plugs-in", "leads"] {
            service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == id));
            let Due::Check(line) = service.due() else { panic!("{:?}", service.due()) };
            let words = line.state(2).map(|seen| seen.words.as_str());
            // Those of the other cylinders did stay in.
            let others = "those that were out: in, at torque; the others stayed in";
            let wanted = match (id, tested) {
                ("plugs-in", false) => Some("none were out"),
                ("plugs-in", true) => Some(others),
                (_, tested) => (!tested).then_some("none were off"),
            };
            assert_eq!(words, wanted, "{id}, tested {tested}");
        }
    }
}

#[test]
fn a_promised_leak_test_is_not_settled_by_mere_words() {
    let service = asked_for(true);
    let Due::PromisedTest { seq, .. } = service.due() else { panic!("{:?}", service.due()) };
    let words = Input::SettleRemark { seq, text: "done".into() };
    assert_eq!(service.session.decide(&words), Err(Refusal::NotNow));
}

#[test]
fn a_promised_leak_test_that_is_not_made_is_accounted_for_with_a_reason() {
    for put_off in [false, true] {
        let mut service = asked_for(put_off);
        assert_eq!(service.refused(test("", " ")), Refusal::WhyMissing);
        say(&mut service, &["0", "9", "because"], test("", &why()));
        let Some(Entry::Remark(last)) = service.session.kept.last().map(|kept| &kept.entry) else {
            panic!("no remark")
        };
        assert_eq!((last.text.as_str(), last.settles.is_some()), ("not made: because", true));
        service.sign();
    }
}

#[test]
fn that_own_words_promise_nothing_stands_on_the_screen_and_in_what_is_said_after() {
    let service = Service::very_tight();
    let shown = |answers: &[&str]| {
        let talk = answers.iter().fold(Talk::default(), |talk, typed| {
            match talk.answer(&service.session, typed) {
                Answered::Next(next) => next,
                other => panic!("{other:?}"),
            }
        });
        talk.prompt(&service.session).lines.join(" ")
    };
    for answers in [&["0"][..], &["0", "9"]] {
        let lines = shown(answers);
        assert!(
            lines.contains("Only 2 promises it") && lines.contains("own words too, ends it"),
            "{lines}"
        );
    }
    for (why, said) in [("later", "1: not asked again"), (LEAK_TEST_LATER, "asked again before")] {
        let entries = service.session.decide(&test("", why)).unwrap();
        let words = cowlside::guide::status::kept_words(&service.session, &entries, &|_| None);
        assert!(words.contains(said), "{words}");
    }
    let service = asked_for(false);
    let entries = service.session.decide(&test("74/80", "")).unwrap();
    let words = cowlside::guide::status::kept_words(&service.session, &entries, &|_| None);
    assert_eq!(words, "saved: leak test 1: 74 of 80");
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
    let mut service = Service::very_tight();
    service.tell(test("", "done earlier in this service"));
    assert!(open(&service).is_empty());
}

#[test]
fn a_leak_test_done_earlier_has_its_figure_told_and_the_place_proven_anew() {
    let mut service = Service::very_tight();
    say(&mut service, &["0", "1", "74/80"], test("74/80", ""));
    assert!(!service.session.state.crank_proven());
    // Where it was owed, the key takes back what was said to be saved, the figure with what it answered for.
    let mut owed = asked_for(false);
    let entries = owed.session.decide(&test("74/80", "")).unwrap();
    owed.tell(test("74/80", ""));
    let said = kept_words(&owed.session, &entries, &|_| None);
    assert_eq!(said, "saved: leak test 1: 74 of 80");
    assert_eq!(undo(&owed.session).as_deref(), Some("leak test 1: 74 of 80"));
    owed.tell(Input::TakeBack);
    assert_eq!(owed.session.state.leak_tested.get(&1).and_then(|one| one.0), None);
    assert!(matches!(owed.due(), Due::PromisedTest { .. }), "{:?}", owed.due());
    assert_eq!(open(&owed).len(), 1);
    assert_eq!(service.session.state.leak_tested[&1].0, Some((74, 80)));
}

#[test]
fn a_leak_test_told_in_own_words_has_the_place_proven_anew_too_but_a_promise_moved_nothing() {
    let told = [
        (
            &["0", "9", "done earlier, it held 74 of 80"][..],
            "done earlier, it held 74 of 80",
            false,
        ),
        (&["0", "2"][..], LEAK_TEST_LATER, true),
    ];
    for (answers, why_not, proven) in told {
        let mut service = Service::very_tight();
        assert!(service.session.state.crank_proven());
        say(&mut service, answers, test("", why_not));
        assert_eq!(service.session.state.crank_proven(), proven, "{why_not}");
        assert_eq!(matches!(service.due(), Due::Turn { .. }), !proven, "{:?}", service.due());
    }
}

#[test]
fn a_low_figure_is_asked_about_once_and_the_cause_comes_before_the_screw() {
    let mut service = Service::very_tight();
    // AC 43.13-1B, 8-14: a loss in excess of a quarter; less than 60 of 80.
    for good in ["60/80", "74/80", "45/60"] {
        let kept = Talk::default().answer(&service.session, good);
        assert!(matches!(kept, Answered::Keep(_)), "{good}: {kept:?}");
    }
    for low in ["59/80", "30/80", "44/60"] {
        let Answered::Next(talk) = Talk::default().answer(&service.session, low) else {
            panic!("{low} is taken without a word")
        };
        let ask = talk.prompt(&service.session);
        let said = ask.lines.join(" ");
        assert_eq!(ask.ask, "Was it read so?");
        for word in ["AC 43.13-1B", "a quarter", "cause", "The manual rules"] {
            assert!(said.contains(word), "{word}: {said}");
        }
        // Typed again: the same question as before.
        let Answered::Next(again) = talk.answer(&service.session, "2") else { panic!() };
        assert!(again.prompt(&service.session).ask.contains("What did it hold?"));
    }
    say(&mut service, &["30/80", "1"], test("30/80", ""));
    let kept = service.session.kept.last().unwrap().entry.clone();
    let said = kept_words(&service.session, &[kept], &|_| None);
    assert!(said.contains("30 of 80") && said.contains("find the cause"), "{said}");
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    let lines = Talk::default().prompt(&service.session).lines.join(" ");
    assert!(lines.contains("Leak test of 1: 30 of 80") && lines.contains("cause"), "{lines}");
    // What was done earlier in the service is asked about as well.
    let mut service = put_off();
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    say(&mut service, &["30/80", "1"], test("30/80", ""));
}

/// A valve that is very tight where nothing is set, so that no leak test is asked: said slack, it owes one.
fn owes_one(once_done: bool) -> Service {
    very_tight(once_done, &[(intake(1), "0")])
}

fn very_tight(once_done: bool, tight: &[(Valve, &str)]) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SurveyOnly, None);
    let typed = |due: &Due| match due {
        Due::Gauge(valve, _) | Due::Again(valve, _) => tight.iter().find(|one| one.0 == *valve),
        _ => None,
    };
    let reads = |due: &Due| typed(due).is_some();
    let other = |due: &Due| matches!(due, Due::Gauge(valve, _) if *valve != intake(1));
    loop {
        service.calmly_while(|_, due| !reads(due) && !matches!(due, Due::CountIn { .. }));
        let Some((_, typed)) = typed(&service.due()) else { return service };
        service.tell(Input::Gauge { typed: (*typed).into(), sure: true });
        if !once_done && other(&service.due()) {
            return service;
        }
    }
}

#[test]
fn a_promise_made_with_a_nut_said_slack_by_mistake_goes_with_it() {
    for (once_done, reason) in [
        (true, PRESSED_BY_MISTAKE),
        (false, PRESSED_BY_MISTAKE),
        (true, WRONG_VALVE_NAMED),
        (false, WRONG_VALVE_NAMED),
    ] {
        let mut service = owes_one(once_done);
        assert_eq!(matches!(service.due(), Due::CountIn { .. }), once_done, "{:?}", service.due());
        let before = service.session.state.clone();
        service.tell(Input::NutFoundSlack(intake(1)));
        assert_eq!(open(&service), ["before running: leak test 1"], "{once_done} {reason}");
        let taken_back = Input::NutNeverTouched { valve: intake(1), why: reason.into() };
        service.tell(taken_back);
        assert!(open(&service).is_empty(), "{once_done} {reason}: {:?}", open(&service));
        if once_done && reason == PRESSED_BY_MISTAKE {
            assert!(service.session.state == before, "nothing is asked anew");
        }
        // Where the word that it never was is taken back itself, both are there again.
        let mut back = service.clone();
        back.tell(Input::TakeBack);
        assert_eq!(open(&back), ["before running: leak test 1"], "{once_done} {reason}");
        // The next time it is said slack it is owed as the first time, and with own words it stays.
        service.tell(Input::NutFoundSlack(intake(1)));
        let own = "it turned by itself, locked again".to_string();
        service.tell(Input::NutNeverTouched { valve: intake(1), why: own });
        assert_eq!(open(&service), ["before running: leak test 1"], "{once_done} {reason}");
    }
}

#[test]
fn a_promise_stays_where_another_nut_of_the_cylinder_was_worked_on_because_of_it() {
    let mut service = very_tight(true, &[(intake(1), "2"), (exhaust(1), "4")]);
    // The promise is made with the one; of the other the test is owed already.
    service.tell(Input::NutFoundSlack(exhaust(1)));
    service.calmly_while(|_, due| due.stage() != Stage::AtAStop);
    service.tell(Input::NutFoundSlack(intake(1)));
    assert_eq!(open(&service), ["before running: leak test 1"]);
    service.calmly_while(|_, due| *due != Due::Trying(intake(1)) && *due != Due::Sign);
    assert_eq!(service.due(), Due::Trying(intake(1)));
    service.calmly_while(|service, _| service.session.state.nut_slack(intake(1)));
    let why = PRESSED_BY_MISTAKE.into();
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why });
    assert_eq!(open(&service), ["before running: leak test 1"], "1 intake was opened on it");
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. } | Due::Sign));
    assert!(matches!(service.due(), Due::PromisedTest { cylinder: 1, .. }), "{:?}", service.due());
}

#[test]
fn a_slip_takes_away_no_promise_that_somebody_else_made() {
    let told = |valve: Valve, cylinder, text: &str| {
        let mut service = owes_one(true);
        let text = text.to_owned();
        let remark = Remark { cylinder, text, before_running: true, ..Remark::default() };
        service.tell(Input::Remark(remark));
        let before = open(&service);
        assert_eq!(before.len(), 1);
        service.tell(Input::NutFoundSlack(valve));
        assert_eq!(open(&service), before, "owed already, or not wanted");
        let never = Input::NutNeverTouched { valve, why: PRESSED_BY_MISTAKE.into() };
        // That a valve wants no test is no entry: the reader of `watch` cannot know it.
        for entry in service.session.decide(&never).unwrap() {
            service.keep(entry);
        }
        assert_eq!(open(&service), before);
    };
    // Handed on by another session; typed by hand, of a valve that wants none.
    told(intake(1), Some(1), "left open by spring: leak-test cylinder 1");
    told(exhaust(3), Some(3), "leak-test cylinder 3");
}
