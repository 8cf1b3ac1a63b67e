//! What a service asks that was told before: hours that do not go together, the manual of last time.

use crate::services::{MORNING, Service, flat_four};
use cowlside::domain::entry::{Begin, Hours};
use cowlside::domain::profile::Source;
use cowlside::domain::session::{Due, Input};
use cowlside::guide::counter::LastTold;
use cowlside::guide::{Beside, Command, Prompt, Step, Talk, Task, Typed, start, status, step};
use cowlside::tui::bench::{Bench, Desk};
use cowlside::tui::job::{Answer, Job, Reply};
use cowlside::tui::widgets::digits::Ink;

fn begun(given: &[&str]) -> Step<Begin> {
    let given: Vec<String> = given.iter().map(|typed| (*typed).into()).collect();
    let (hours, day, most) = (Hours(41_260), "2026-03-14".into(), Hours(50_000));
    let last = LastTold { hours, day, most };
    match start::begin("Trainer two", (&[], false), Some(&last), &given) {
        Step::Ask(prompt) => Step::Ask(prompt),
        Step::Do((begin, None)) => Step::Do(begin),
        Step::Refused(words) => Step::Refused(words),
        Step::Retype(answers) => Step::Retype(answers),
        _ => panic!("neither"),
    }
}

#[test]
fn fewer_hours_of_the_aircraft_than_of_its_engine_are_asked_about() {
    let Step::Ask(asked) = begun(&["412.6", "411.6"]) else { panic!("not asked") };
    assert_eq!(
        asked.ask,
        "The aircraft's 411.6 h are fewer than the engine's 412.6 h. Which is it?"
    );
    assert_eq!(begun(&["412.6", "411.6", "1"]), Step::Retype(2), "the aircraft's hours alone");
    let Step::Do(begin) = begun(&["412.6", "411.6", "2"]) else { panic!("not taken") };
    assert_eq!((begin.hours, begin.total_time), (Some(Hours(41_260)), Some(Hours(41_160))));
    // As many or more, or not kept, are not asked about.
    for (typed, kept) in
        [("412.6", Some(Hours(41_260))), ("9000", Some(Hours(900_000))), ("", None)]
    {
        let Step::Do(begin) = begun(&["412.6", typed]) else { panic!("{typed} is asked about") };
        assert_eq!(begin.total_time, kept);
    }
}

#[test]
fn more_hours_than_can_have_passed_are_asked_about() {
    let Step::Ask(asked) = begun(&["4134"]) else { panic!("not asked") };
    assert_eq!(asked.ask, "4134.0 h is 3721.4 h more than 412.6 h of 2026-03-14: is that right?");
    assert_eq!(begun(&["4134", "1"]), Step::Retype(2));
    assert_eq!(begun(&["12", "1"]), Step::Retype(2));
    let Step::Do(begin) = begun(&["4134", "2", ""]) else { panic!("not taken") };
    assert_eq!((begin.hours, begin.hours_why), (Some(Hours(413_400)), None));
    let Step::Do(begin) = begun(&["500", ""]) else { panic!("what can be is asked about") };
    assert_eq!(begin.hours, Some(Hours(50_000)));
}

#[test]
fn a_replaced_counter_is_asked_about_twice() {
    let Step::Ask(asked) = begun(&["12", "2"]) else { panic!("not asked") };
    assert_eq!(asked.ask, "The counter of 412.6 h was replaced, the new one stands at 12.0 h?");
    assert_eq!(begun(&["12", "2", "2"]), Step::Retype(3));
    let Step::Do(begin) = begun(&["12", "2", "1", ""]) else { panic!("not taken") };
    assert_eq!(begin.hours_why.as_deref(), Some("counter replaced"));
}

/// A session at the question for the manual; the service before it had this one.
fn at_the_manual(known: Option<Source>) -> Service {
    let mut service = Service::begun(flat_four(), "winter check", MORNING, 41_260);
    service.until(|due| matches!(due, Due::SourceName(_)));
    service.session.state.begin.known_source = known;
    service
}

fn asked(service: &Service, given: &[&str]) -> Step {
    let given: Vec<String> = given.iter().map(|typed| (*typed).into()).collect();
    step(&service.session, Task::Due, &Beside::default(), &given)
}

fn question(service: &Service, given: &[&str]) -> Prompt {
    match asked(service, given) {
        Step::Ask(prompt) => prompt,
        other => panic!("{given:?} leads to {other:?}"),
    }
}

fn named(service: &Service, given: &[&str]) -> (Source, bool) {
    match asked(service, given) {
        Step::Do(input) => match *input {
            Input::NameSource { source, practice } => (source, practice),
            other => panic!("{other:?}"),
        },
        other => panic!("{given:?} leads to {other:?}"),
    }
}

#[test]
fn what_is_known_of_the_manual_is_taken_by_enter_and_asked_all_the_same() {
    let source = |document: &str, revision: &str, page: &str| Source {
        document: document.into(),
        revision: revision.into(),
        page: page.into(),
    };
    let known = source("Overhaul manual", "rev 3", "p. 5-17");
    let service = at_the_manual(Some(known.clone()));
    assert_eq!(question(&service, &["2"]).field.enter.as_deref(), Some("Overhaul manual"));
    assert_eq!(question(&service, &["2", ""]).field.enter.as_deref(), Some("rev 3"));
    assert_eq!(question(&service, &["2", "", "rev 4"]).field.enter.as_deref(), Some("p. 5-17"));
    assert_eq!(
        named(&service, &["2", "", "rev 4", ""]),
        (source("Overhaul manual", "rev 4", "p. 5-17"), false)
    );
    assert_eq!(named(&service, &["2", "", "0", "0"]), (source("Overhaul manual", "", ""), false));
    assert_eq!(named(&service, &["2", "0"]), (Source::default(), true));
    // Where nothing is known, or only practice was done, it is asked for anew.
    for nothing in [None, Some(Source::default())] {
        let service = at_the_manual(nothing);
        let first = question(&service, &[]);
        assert!(first.ask.starts_with("Which document"), "{first:?}");
        assert_eq!(first.field.enter, None);
        assert_eq!(question(&service, &["AB"]).field.enter.as_deref(), Some("none printed"));
        assert_eq!(named(&service, &["AB", "", ""]), (source("AB", "", ""), false));
    }
}

#[test]
fn practice_is_said_in_words_where_a_manual_would_be_named() {
    let mut service = at_the_manual(None);
    service.input(Input::NameSource { source: Source::default(), practice: true });
    let told = service
        .session
        .kept
        .iter()
        .rev()
        .find_map(|kept| status::entry_words(&service.session, &kept.entry));
    assert_eq!(told.as_deref(), Some("no manual: practice, by example figures"));
}

#[test]
fn a_stray_digit_is_asked_about_where_words_are_wanted_and_nowhere_else() {
    let service = at_the_manual(None);
    for stray in ["1", "42", "x"] {
        let doubt = question(&service, &[stray]);
        assert_eq!(doubt.ask, format!("\"{stray}\": is that meant?"));
        assert!(doubt.lines[0].starts_with("Which document"), "{doubt:?}");
        // Kept where it is meant; else the same question again, and what comes then is looked at too.
        assert_eq!(named(&service, &[stray, "1", "", ""]).0.document, stray);
        assert!(question(&service, &[stray, "2"]).ask.starts_with("Which document"));
        assert_eq!(question(&service, &[stray, "2", "7"]).ask, "\"7\": is that meant?");
        assert_eq!(
            named(&service, &[stray, "2", "Engine manual", "", ""]).0.document,
            "Engine manual"
        );
        assert!(matches!(asked(&service, &[stray, "3"]), Step::Refused(_)));
    }
    // A revision and a page are numbers as often as not; 0 is the answer that there is no manual.
    assert_eq!(named(&service, &["Engine manual", "3", "12"]).0.page, "12");
    assert!(named(&service, &["0"]).1);

    let told = |task: Task, given: &[&str]| {
        let given: Vec<String> = given.iter().map(|typed| (*typed).into()).collect();
        step(&service.session, task, &Beside::default(), &given)
    };
    let remark = |given: &[&str]| told(Task::Command(Command::Remark), given);
    let who = |given: &[&str]| told(Task::Command(Command::Who), given);
    for (one, slip) in [(remark(&["0", "3", "5"]), "5"), (who(&["7"]), "7")] {
        let Step::Ask(doubt) = one else { panic!("{slip} is taken: {one:?}") };
        assert_eq!(doubt.ask, format!("\"{slip}\": is that meant?"));
        assert_eq!(doubt.field.typed, None::<Typed>);
    }
    let Step::Do(input) = remark(&["0", "3", "5", "2", "oil at the gasket"]) else { panic!() };
    let Input::Remark(kept) = *input else { panic!() };
    assert_eq!(kept.text, "oil at the gasket");
}

#[test]
fn a_stray_digit_is_no_signer_until_it_is_said_to_be() {
    let mut service = Service::begun(flat_four(), "winter check", MORNING, 41_260);
    service.until(|due| *due == Due::Sign);
    assert_eq!(question(&service, &["6"]).ask, "\"6\": is that meant?");
    assert!(question(&service, &["6", "1"]).ask.starts_with("Kind of certificate"));
    assert!(question(&service, &["6", "2", "AF"]).ask.starts_with("Kind of certificate"));
    // Enter takes who works; a certificate's number is a number.
    assert!(question(&service, &[""]).ask.starts_with("Kind of certificate"));
    assert_eq!(question(&service, &["", "", "4711"]).title, "The statement, in the signer's words");
}

#[test]
fn before_a_session_a_slip_is_typed_again_and_what_was_told_before_stays() {
    let last = LastTold { hours: Hours(41_260), day: "2026-03-14".into(), most: Hours(50_000) };
    let (id, engine, damaged) = ("a".into(), "Trainer two".into(), Vec::new());
    let (last, profile) = (Some(last), None);
    let desk = Desk::Beginning { id, engine, damaged, last, asks_folder: false, profile };
    let bench = Bench::new(desk, Ink::Blocks);
    let at = MORNING;
    let answered = |given: &[&str]| {
        let mut form = Talk::default();
        for typed in given {
            let answer = Answer::Typed((*typed).into());
            let Reply::Ask(next) = bench.answer(Some(&form), &answer, at) else {
                panic!("{typed} of {given:?} is not asked on")
            };
            form = *next;
        }
        form.given
    };
    assert_eq!(answered(&["4134", "1"]), Vec::<String>::new());
    assert_eq!(answered(&["12", "2", "2"]), Vec::<String>::new());
    assert_eq!(answered(&["412.6", "411.6", "1"]), ["412.6"]);
}
