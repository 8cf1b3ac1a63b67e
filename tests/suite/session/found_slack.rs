//! A nut that was found slack is named as that in the record, with when; one that was slackened to be set
//! is not.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::Rounds;
use cowlside::domain::session::{Due, Input, PRESSED_BY_MISTAKE};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Answered, Talk};
use cowlside::report::record::record;

fn at(wanted: impl Fn(&Due) -> bool) -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !wanted(due));
    service
}

/// What the record says of nuts that were found slack, line by line, without the times.
fn told(service: &Service) -> Vec<String> {
    let text = record(&service.session, &Earlier::default()).replace('\u{a0}', " ");
    let (_, work) = text.split_once("Work done").unwrap();
    let (work, _) = work.split_once("Looked at").unwrap();
    let words = work.split_whitespace().collect::<Vec<_>>().join(" ");
    let found = words.split("found slack ").skip(1);
    found.map(|line| line.split(" (").next().unwrap().to_owned()).collect()
}

/// Where in the service a nut is found slack, and what the record says of that.
type Place<'a> = (&'a dyn Fn(&Due) -> bool, &'a str);

#[test]
fn the_record_says_when_a_nut_was_found_slack_also_where_it_was_locked_since() {
    let leak = |due: &Due| matches!(due, Due::RunCheck(line) if line.id == "leaks");
    let places: [Place<'_>; 6] = [
        (
            &|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(2)),
            "in round 1 of 2, gauge and set",
        ),
        (&|due| matches!(due, Due::CountIn { .. }), "after the rounds, before a cover went on"),
        (&|due| matches!(due, Due::Check(line) if line.id == "second-look"), "at closing up"),
        (&|due| matches!(due, Due::RunCaution(_)), "closed up, before the run"),
        (&leak, "at the run"),
        (&|due| *due == Due::Sign, "after the run"),
    ];
    for (wanted, when) in places {
        let mut service = at(wanted);
        service.tell(Input::NutFoundSlack(exhaust(1)));
        assert_eq!(told(&service), [format!("1 exhaust, {when}")]);
        service.sign();
        assert_eq!(told(&service), [format!("1 exhaust, {when}")], "locked since");
    }
    let mut service = at(leak);
    service.tell(Input::RunFault { digit: 2, text: "oil at 3".into() });
    service.tell(Input::NutFoundSlack(exhaust(1)));
    assert_eq!(told(&service), ["1 exhaust, at the run: oil at 3"]);
}

#[test]
fn a_nut_found_slack_before_its_valve_was_read_is_told_too() {
    let mut service = at(|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(2)));
    service.tell(Input::NutFoundSlack(exhaust(2)));
    assert!(service.session.state.found_lost.contains_key(&exhaust(2)));
    assert_eq!(told(&service), ["2 exhaust, in round 1 of 2, gauge and set"]);
}

#[test]
fn what_was_slackened_to_be_set_or_named_by_mistake_was_not_found_slack() {
    let signs = |due: &Due| *due == Due::Sign;
    let mut service = at(signs);
    service.tell(Input::OpenSet(exhaust(1)));
    assert_eq!(told(&service), [""; 0]);
    let mut service = at(signs);
    service.tell(Input::NutFoundSlack(exhaust(1)));
    let why = PRESSED_BY_MISTAKE.into();
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why });
    assert_eq!(told(&service), [""; 0]);
    // Of two that were named for each other, the one that was.
    for (word, found) in
        [(Input::NutFoundSlack(exhaust(1)), true), (Input::OpenSet(exhaust(1)), false)]
    {
        let mut service = at(signs);
        service.tell(word).tell(Input::NutOfAnother { named: exhaust(1), really: intake(3) });
        let of = found.then(|| "3 intake, after the run".to_owned());
        assert_eq!(told(&service), of.into_iter().collect::<Vec<_>>());
    }
}

#[test]
fn a_nut_slackened_again_for_its_threads_was_not_found_slack_but_another_one_was() {
    let threads = || {
        let mut service = at(|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(1)));
        service.gauge("9");
        service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
        service.tell(Input::Threads(9));
        assert!(matches!(service.due(), Due::ThreadsOutside(..)), "{:?}", service.due());
        service
    };
    let mut service = threads();
    service.tell(Input::NutFoundSlack(intake(1)));
    assert!(service.session.state.nut_slack(intake(1)));
    assert_eq!(told(&service), [""; 0]);
    service.sign();
    assert_eq!(told(&service), [""; 0]);
    let mut service = threads();
    service.tell(Input::NutFoundSlack(exhaust(3)));
    assert_eq!(told(&service), ["3 exhaust, in round 1 of 2, gauge and set"]);
    // Nor where its as-found reading was withdrawn since.
    let mut service = threads();
    let found = service.session.state.found(intake(1)).unwrap().seq;
    service.tell(Input::Void { of: found, why: why() });
    service.calmly_while(|_, due| !matches!(due, Due::ThreadsOutside(..)));
    service.tell(Input::NutFoundSlack(intake(1)));
    assert_eq!(told(&service), [""; 0]);
}

#[test]
fn a_nut_opened_once_the_rounds_are_done_is_late_also_where_its_threads_were_left_outside() {
    for threads in [3, 9] {
        let mut service = at(|due| matches!(due, Due::Gauge(valve, _) if *valve == intake(1)));
        service.gauge("9");
        service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
        service.tell(Input::Threads(threads));
        if threads == 9 {
            service.tell(Input::LeaveThreads { why: why() });
        }
        service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
        service.tell(Input::OpenSet(intake(1)));
        assert!(service.session.state.after_rounds(), "{threads}");
        service.sign();
    }
}

#[test]
fn a_slip_withdraws_the_last_word_on_a_nut_and_no_earlier_one() {
    let work = Input::Work { cylinder: 1, what: "rocker".into(), text: String::new() };
    for opened in [Input::OpenSet(exhaust(1)), work] {
        let mut service = at(|due| *due == Due::Sign);
        service.tell(Input::NutFoundSlack(exhaust(1)));
        service.on_to_sign().tell(opened);
        service.tell(Input::NutNeverTouched { valve: exhaust(1), why: why() });
        assert_eq!(told(&service), ["1 exhaust, after the run"], "locked, and that stays so");
    }
    // Work on a nut that was slack already opens it no second time.
    let mut service = at(|due| *due == Due::Sign);
    service.tell(Input::NutFoundSlack(exhaust(1)));
    service.tell(Input::Work { cylinder: 1, what: "rocker".into(), text: String::new() });
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why: why() });
    assert_eq!(told(&service), [""; 0]);
}

#[test]
fn nothing_is_told_of_how_far_to_turn_where_the_nut_was_found_slack_before_it_was_gauged() {
    let prompt = |service: &Service| Talk::default().prompt(&service.session);
    let amount = |service: &Service| prompt(service).lines.iter().any(|line| line.contains('°'));
    let slack = |found: bool| {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(exhaust(1));
        service.gauge("16");
        service.tell(if found {
            Input::NutFoundSlack(exhaust(1))
        } else {
            Input::OpenSet(exhaust(1))
        });
        service.calmly_while(|service, due| {
            !matches!(due, Due::Trying(valve) if *valve == exhaust(1))
                && service.session.state.sealed.is_none()
        });
        service
    };
    assert!(amount(&slack(false)));
    let mut service = slack(true);
    assert!(!amount(&service), "{:?}", prompt(&service));
    let words = "Its nut was found slack: it may read anything now. Gauge it first.";
    assert!(prompt(&service).lines.iter().any(|line| line == words), "{:?}", prompt(&service));
    // Its first figure is held against nothing from before; what follows is, as ever.
    service.tell(Input::Tried { typed: "20".into(), sure: true });
    let reading =
        |service: &Service| service.session.state.readings.last().unwrap().reading.clone();
    assert_eq!((reading(&service).typed.as_str(), reading(&service).odd), ("20", None));
    service.tell(Input::NutStillSlack);
    assert!(amount(&service), "{:?}", prompt(&service));
}

#[test]
fn a_valve_that_was_only_locked_as_it_stood_is_not_signed_for_as_set() {
    let statement = |service: &Service| {
        let mut talk = Talk::default();
        for answer in ["AB", "", "4711"] {
            let Answered::Next(next) = talk.answer(&service.session, answer) else {
                panic!("{:?}", talk.prompt(&service.session));
            };
            talk = next;
        }
        let prompt = talk.prompt(&service.session);
        prompt.field.choices[0].label.clone()
    };
    let mut service = at(|due| matches!(due, Due::CountIn { .. }));
    let untouched = statement(&{
        let mut service = service.clone();
        service.on_to_sign();
        service
    });
    assert!(untouched.starts_with("Valve clearances checked as recorded"), "{untouched}");
    service.tell(Input::NutFoundSlack(exhaust(1))).on_to_sign();
    assert!(statement(&service).starts_with("Valve clearances checked as recorded"));
    let mut service = at(|due| matches!(due, Due::CountIn { .. }));
    service.tell(Input::OpenSet(exhaust(1))).on_to_sign();
    assert!(statement(&service).starts_with("Valve clearances checked and set as recorded"));
}
