//! What is asked after a break, and what is not.

use super::engines::{exhaust, flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Back, CounterTold, Hours, Rounds};
use cowlside::domain::session::{Crank, Due, Input, PROVE_FIRST, Proven, Refusal, Session, asleep};
use cowlside::guide::{Answered, Beside, Command, Talk, glance, not_now, status};

/// A flat four in its first round: the exhaust of 1 was set and is locked, its threads not counted.
fn threads_to_count() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6").gauge("16");
    service.tell(Input::OpenSet(exhaust(1)));
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    assert_eq!(service.due(), Due::Threads(exhaust(1), (2, 5)));
    service
}

fn back_from_a_break(service: &mut Service) {
    service.tell(Input::Back(Back { after_min: Some(47), ..Back::default() }));
    let way = status::way_back(&service.session, &cowlside::domain::trend::Earlier::default());
    assert!(way.iter().any(|line| line.contains("nothing before the threads are counted")));
    service.calmly_while(|_, due| matches!(due, Due::Caution(..) | Due::Temperature));
}

#[test]
fn after_a_break_nothing_is_proven_for_a_question_that_neither_gauges_nor_turns() {
    // session.md 5: crank proof only if gauging comes next.
    let mut service = threads_to_count();
    back_from_a_break(&mut service);
    assert_eq!(service.due(), Due::Threads(exhaust(1), (2, 5)));
    service.tell(Input::Threads(7));
    assert!(matches!(service.due(), Due::ThreadsOutside(..)));
    service.tell(Input::LeaveThreads { why: why() });
    // What comes next is gauged, so now it is turned and proven.
    assert!(matches!(service.due(), Due::Turn { stop: 1, .. }), "{:?}", service.due());
    service.sign();
}

#[test]
fn what_was_taken_back_is_not_said_to_be_done_by_whoever_comes_back() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6");
    service.tell(Input::TakeBack).tell(Input::Away(String::new()));
    let way = status::way_back(&service.session, &cowlside::domain::trend::Earlier::default());
    assert!(way[1].ends_with("; last: the reading of 1 intake taken back"), "{way:?}");
}

#[test]
fn what_is_made_safe_after_a_break_is_told_with_the_stop_that_it_broke_into() {
    let mut service = threads_to_count();
    service.tell(Input::Back(Back { after_min: Some(47), ..Back::default() }));
    let places = glance::whereabouts(&service.session, &Beside::default());
    let told = |words: &str| places.iter().position(|place| place.starts_with(words));
    let longest_first = [
        "PRACTICE · make safe · 4 to answer · round 1 of 2 · stop 1 of 4",
        "PRACTICE · make safe · 4 to answer · r1/2 s1/4",
        "PRACTICE · make safe 4 · r1/2 s1/4",
        "PRACTICE · make safe · 4 to answer · clock",
    ];
    assert_eq!(longest_first.map(told), [0, 1, 2, 3].map(Some), "{places:?}");
}

#[test]
fn a_key_after_more_than_a_quarter_of_an_hour_only_wakes() {
    use cowlside::domain::entry::Moment;
    let at = |min: i64| Moment { unix_ms: min * 60_000, offset_min: 0 };
    assert_eq!(asleep(at(100), at(115)), None);
    let back = asleep(at(100), at(116)).unwrap();
    assert_eq!((back.after_min, back.clock_jumped, back.new_day), (Some(16), false, false));
    assert!(asleep(at(100), at(90)).unwrap().clock_jumped);
    // A clock that is put right by up to a second has not gone back.
    let ms = |ms: i64| Moment { unix_ms: 6_000_000 + ms, offset_min: 0 };
    assert_eq!(asleep(at(100), ms(-1_000)), None);
    assert!(asleep(at(100), ms(-1_001)).unwrap().clock_jumped);
    assert!(asleep(at(100), at(100 + 24 * 60)).unwrap().new_day);
}

#[test]
fn that_it_was_not_run_is_asked_again_once_taken_back_though_the_counter_was_put_right_since() {
    let mut service = threads_to_count();
    let told = |counter| Input::Back(Back { counter: Some(counter), ..Back::default() });
    service.tell(told(CounterTold::WentUp(Hours(43_000))));
    assert_eq!(service.due(), Due::NewDay);
    service.tell(Input::NotRunSince);
    // What was told at the beginning, 412.6 h, is less than what it was put right to.
    service.tell(told(CounterTold::PutRight { from: Hours(43_000), to: Hours(41_300) }));
    assert_ne!(service.due(), Due::NewDay);
    service.tell(Input::TakeBack);
    assert_eq!(service.due(), Due::NewDay);
    assert_eq!(service.session.state.counter.up, Some(Hours(41_300)));
    service.tell(Input::NotRunSince);
    assert_eq!(service.session.state.begin.hours, Some(Hours(41_300)));
}

#[test]
fn a_valve_that_stands_open_is_said_to_before_its_reading_is_taken() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    // 1 fires here: 2, its opposite, is at overlap, both its valves open by the flat four's timing.
    let asked = |digits: &[&str]| {
        let call = Talk::call(&service.session, Command::AgainstPlan, Default::default());
        digits.iter().fold(call, |answered, digit| match answered {
            Answered::Next(talk) => talk.answer(&service.session, digit),
            other => panic!("{other:?}"),
        })
    };
    let prompt = |answered: Answered| match answered {
        Answered::Next(talk) => talk.prompt(&service.session),
        other => panic!("{other:?}"),
    };
    for (kind, name) in [("1", "2 intake"), ("2", "2 exhaust")] {
        let ask = prompt(asked(&["2", kind]));
        assert_eq!(ask.title, format!("{name} STANDS OPEN here, by the timing"));
        assert!(ask.lines.iter().any(|line| line.starts_with("It opened ")), "{:?}", ask.lines);
        assert!(matches!(asked(&["2", kind, "1"]), Answered::Back), "left for its own stop");
        assert_eq!(prompt(asked(&["2", kind, "2"])).ask, "What does it read?");
    }
    // A valve that is shut here is asked for at once.
    assert_eq!(prompt(asked(&["1", "2"])).ask, "What does it read?");
}

#[test]
fn no_other_valve_is_gauged_while_the_crank_is_not_proven() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
    let other = Input::GaugeAgainstPlan {
        valve: exhaust(1),
        typed: "6".into(),
        why: "the manual gives this position".into(),
        sure: false,
    };
    let offered =
        |session: &Session| not_now::why(session, Command::AgainstPlan, &Beside::default());
    assert!(service.session.decide(&other).is_ok());
    assert_eq!(offered(&service.session), None);
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(47), ..Back::default() }));
    while matches!(service.due(), Due::Caution(..)) {
        service.calmly_while(|_, due| matches!(due, Due::Caution(..)));
    }
    assert!(matches!(service.session.state.crank, Crank::At { proof: Proven::No, .. }));
    assert_eq!(service.session.decide(&other), Err(Refusal::Unreadable(PROVE_FIRST.into())));
    assert_eq!(offered(&service.session), Some(PROVE_FIRST));
}

#[test]
fn on_another_day_each_question_up_to_the_crank_says_what_was_left_open() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6").gauge("16");
    service.tell(Input::OpenSet(exhaust(1)));
    service.tell(Input::Back(Back { after_min: Some(14 * 60), new_day: true, ..Back::default() }));
    let mut asked = 0;
    while matches!(service.due(), Due::NewDay | Due::Caution(..)) {
        let ask = Talk::default().prompt(&service.session);
        let large = ask.big.map(|big| big.text).unwrap_or_default();
        assert!(large.contains("SLACK"), "{large}: {}", ask.title);
        for words in ["To be proven next: ", "Done: "] {
            assert!(ask.lines.iter().any(|line| line.starts_with(words)), "{:?}", ask.lines);
        }
        asked += 1;
        let due = service.due();
        service.calmly_while(|_, now| *now == due);
    }
    assert!(asked > 5, "{asked}");
}

#[test]
fn who_else_worked_is_named_for_the_second_look() {
    use cowlside::domain::entry::{Entry, On};
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.tell(Input::Who("Second".into()));
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "second-look"));
    let Due::Check(line) = service.due() else { panic!("{:?}", service.due()) };
    let offered: Vec<(u8, &str)> =
        line.states.iter().map(|seen| (seen.digit, seen.words.as_str())).collect();
    let usual = [(1, "by a second person"), (2, "by me, after a pause")];
    assert_eq!(offered, [usual[0], usual[1], (3, "by First"), (0, "not yet")]);
    service.tell(Input::Answer(3));
    let kept = &service.session.kept.last().unwrap().entry;
    assert!(matches!(kept, Entry::On(On::Check { seen, done: true, .. }) if seen == "by First"));
    assert_ne!(service.due(), Due::Check(line));
    // Of one who works alone nobody is known.
    let mut alone = Service::new(flat_four());
    alone.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "second-look"));
    let Due::Check(line) = alone.due() else { panic!("{:?}", alone.due()) };
    assert_eq!(line.states.len(), 3);
}
