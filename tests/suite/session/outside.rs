//! An engine gauged outside the temperature that its limits are for; a setting that was broken off.

use super::engines::{exhaust, flat_four, intake, push_rods, vee_twin};
use super::harness::{Service, why};
use cowlside::domain::entry::{Back, Begin, Entry, LeftItem, LeftOpen, PartKind, Rounds, Step};
use cowlside::domain::profile::Facts;
use cowlside::domain::session::{Due, Input, MANUAL_ALLOWS, ROUGH_LOOK, Refusal};
use cowlside::domain::units::Temperature;
use cowlside::guide::{Answered, Prompt, Talk, glance, status};

fn asked(service: &Service) -> Prompt {
    Talk::default().prompt(&service.session)
}

/// A flat four that is to be gauged cold, at 60 °C all the same, up to its first loose valve.
fn warm_all_the_same(why: &str) -> Service {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "60".into(), air: String::new() });
    assert_eq!(service.due(), Due::OutsideTemperature);
    service.tell(Input::AgainstLimit { why: why.into() });
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service
}

#[test]
fn in_large_letters_a_verdict_on_a_warm_engine_is_not_what_one_on_a_cold_engine_is() {
    for head in ["60", "20"] {
        let mut service = Service::new(flat_four());
        service.calmly_while(|_, due| *due != Due::Temperature);
        service.tell(Input::Temperature { head: head.into(), air: String::new() });
        if service.due() == Due::OutsideTemperature {
            service.tell(Input::AgainstLimit { why: MANUAL_ALLOWS.into() });
        }
        service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("6");
        let kept = service.session.kept.last().unwrap().entry.clone();
        let large = glance::verdict(&service.session, &[kept]);
        assert_eq!(large.iter().filter(|words| words.ends_with('?')).count() > 0, head == "60");
        assert_eq!(
            large.last().map(String::as_str),
            Some(if head == "60" { "1 I OK?" } else { "1 I OK" })
        );
    }
}

#[test]
fn on_a_rough_look_nothing_is_set_and_every_verdict_says_what_the_engine_is() {
    let mut service = warm_all_the_same(ROUGH_LOOK);
    let ask = asked(&service);
    let digits: Vec<u8> = ask.field.choices.iter().map(|choice| choice.digit).collect();
    assert_eq!(digits, [2, 3], "{ask:?}");
    let outside = "The head is at 60 °C (140 °F), the limits are for a cold engine";
    assert!(ask.lines[0].starts_with(outside), "{:?}", ask.lines);
    assert_eq!(ask.big.unwrap().then, "", "no turn of a screw is told");
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::OnlyALook);
    service.tell(Input::LeaveAsIs { valve: intake(1), why: why() });
    service.sign();
}

#[test]
fn on_a_rough_look_no_shim_and_no_push_rod_is_changed() {
    for mut facts in [vee_twin(), push_rods()] {
        facts.gauge_when.no_warmer_than = Some(Temperature::parse("35 °C").unwrap());
        let mut service = Service::new(facts);
        let warm = |service: &mut Service| {
            service.calmly_while(|_, due| *due != Due::Temperature);
            service.tell(Input::Temperature { head: "60".into(), air: String::new() });
            service.tell(Input::AgainstLimit { why: ROUGH_LOOK.into() });
        };
        warm(&mut service);
        service.calmly_while(|_, due| *due != Due::Scope);
        let rounds = Some(Rounds::SurveyOnly);
        service.tell(Input::Begin(Box::new(Begin { rounds, change: true, ..Begin::default() })));
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        let Due::Gauge(valve, _) = service.due() else { unreachable!() };
        service.tell(Input::Gauge { typed: "9 mm".into(), sure: true });
        if matches!(service.due(), Due::Again(..)) {
            service.tell(Input::Gauge { typed: "9 mm".into(), sure: true });
            service.tell(Input::Believe { why: why() });
        }
        let changes = |due: &Due| matches!(due, Due::PartsList | Due::ChangeRod(..));
        service.calmly_while(|_, due| !changes(due) && *due != Due::Temperature);
        if service.due() == Due::Temperature {
            warm(&mut service);
            service.calmly_while(|_, due| !changes(due));
        }
        assert!(matches!(service.due(), Due::PartsList | Due::ChangeRod(..)));
        let choices = asked(&service).field.choices;
        assert!(choices.iter().all(|one| !one.label.contains("out")), "{choices:?}");
        let (part, marked, measured) = match service.due() {
            Due::PartsList => (PartKind::Shim, String::new(), String::new()),
            _ => (PartKind::Pushrod, "0".into(), String::new()),
        };
        let out = Input::PartOut { valve, part, marked, measured };
        assert_eq!(service.refused(out), Refusal::OnlyALook);
        if service.due() == Due::PartsList {
            assert_eq!(service.refused(Input::CamsOut { bank: None }), Refusal::OnlyALook);
        }
    }
}

#[test]
fn a_nut_opened_after_a_break_is_told_its_turn() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").gauge("16").tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.tell(Input::OpenSet(exhaust(1)));
    let lines = asked(&service).lines;
    assert!(lines.iter().any(|line| line.contains("Screw in about")), "{lines:?}");
    assert!(!lines.iter().any(|line| line.contains("before the break")), "{lines:?}");
}

#[test]
fn where_the_manual_allows_another_temperature_it_is_set_and_the_verdict_says_so() {
    let service = warm_all_the_same("the manual allows it for this check");
    let ask = asked(&service);
    assert_eq!(ask.field.choices.len(), 3);
    assert!(ask.lines[0].contains("the verdict may be wrong"), "{:?}", ask.lines);
    assert!(service.session.decide(&Input::OpenSet(intake(1))).is_ok());
}

#[test]
fn within_the_temperature_no_verdict_speaks_of_it() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    let ask = asked(&service);
    assert!(!ask.lines.iter().any(|line| line.contains("The head is at")), "{:?}", ask.lines);
}

#[test]
fn after_a_break_a_screw_that_was_being_set_is_gauged_before_it_is_turned() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").gauge("16").tell(Input::OpenSet(exhaust(1)));
    let says = |service: &Service, words: &str| {
        asked(service).lines.iter().any(|line| line.contains(words))
    };
    assert!(says(&service, "Screw in about") && !says(&service, "before the break"));
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::Trying(_)));
    assert!(!says(&service, "Screw in") && says(&service, "gauge it first"));
    assert_eq!(asked(&service).big.unwrap().then, "");
    // Once it was gauged, what that figure asks for is told again.
    service.tell(Input::Tried { typed: "15".into(), sure: true });
    service.tell(Input::NutStillSlack);
    assert!(says(&service, "Screw in about"), "{:?}", asked(&service));
}

#[test]
fn what_was_tried_before_a_break_locks_no_nut_before_that_was_read() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").gauge("16").tell(Input::OpenSet(exhaust(1)));
    service.tell(Input::Tried { typed: "15".into(), sure: true });
    let told = |service: &Service| {
        let ask = asked(service);
        let first =
            ask.lines.first().is_some_and(|line| line.contains("15 was gauged before the break"));
        first && ask.field.whole > 0
    };
    assert!(matches!(service.due(), Due::NutAnswer(..)) && !told(&service));
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::NutAnswer(..)));
    assert!(told(&service), "{:?}", asked(&service));
    // What was gauged since the break needs no such word.
    service.tell(Input::NutStillSlack).tell(Input::Tried { typed: "14".into(), sure: true });
    service.calmly_while(|_, due| !matches!(due, Due::NutAnswer(..)));
    assert!(!told(&service), "{:?}", asked(&service));
}

/// A nut that an earlier service left slack, on an engine at 60 °C, up to its question.
fn slack_and_warm(why: &str) -> Service {
    let left = LeftOpen { from: "spring".into(), item: LeftItem::NutSlack(intake(1)) };
    let mut service = Service::after(flat_four(), vec![left]);
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "60".into(), air: String::new() });
    service.tell(Input::AgainstLimit { why: why.into() });
    service.calmly_while(|_, due| *due != Due::Trying(intake(1)));
    assert_eq!(service.due(), Due::Trying(intake(1)));
    service
}

#[test]
fn a_slack_nut_on_a_rough_look_is_locked_as_it_stands_and_its_verdict_says_what_the_engine_is() {
    let mut service = slack_and_warm(ROUGH_LOOK);
    let ask = asked(&service);
    let lines = ask.lines.join("\n");
    assert!(lines.contains("The head is at 60 °C (140 °F)"), "{lines}");
    assert!(lines.contains("Nothing is set on a rough look: leave the screw as it is"), "{lines}");
    assert!(!lines.contains("To be left at") && !lines.contains("Screw "), "{lines}");
    assert_eq!(ask.title, "1 intake: its nut is slack, lock it as it stands");
    service.tell(Input::Tried { typed: "6".into(), sure: true });
    let locked = service.session.decide(&Input::NutLocked).unwrap();
    service.tell(Input::NutLocked);
    let words = status::kept_words(&service.session, &locked, &|_| None);
    assert!(words.contains("IN LIMITS · head at 60 °C (140 °F)"), "{words}");
    service.sign();
}

#[test]
fn a_slack_nut_is_set_at_another_temperature_where_the_manual_allows_it_and_that_is_said() {
    let lines = asked(&slack_and_warm("the manual allows it for this check")).lines.join("\n");
    assert!(lines.contains("The head is at 60 °C (140 °F)"), "{lines}");
    assert!(lines.contains("To be left at"), "{lines}");
}

#[test]
fn a_reason_given_on_a_rough_look_excuses_no_later_reading_of_a_cold_engine() {
    for (look, set) in [(ROUGH_LOOK, true), ("the manual allows it for this check", false)] {
        let mut service = warm_all_the_same(look);
        service.tell(Input::LeaveAsIs { valve: intake(1), why: why() });
        let temperature = Input::Temperature { head: "20".into(), air: String::new() };
        service.calmly_while(|of, due| {
            *due != Due::Temperature && of.session.state.round() == Some(0)
        });
        if service.due() == Due::Temperature {
            service.tell(temperature);
        } else {
            service.give(&temperature).unwrap();
        }
        service.on_to_gauge(intake(1));
        assert_eq!(service.session.state.round(), Some(1), "the first round stays done");
        service.gauge("9");
        service.calmly_while(|_, due| !matches!(due, Due::Set(..) | Due::CountIn { .. }));
        let asked = matches!(service.due(), Due::Set(valve, _) if valve == intake(1));
        assert_eq!(asked, set, "{look}: {:?}", service.due());
        service.sign();
    }
}

/// A service with parts, all valves surveyed out of band at 60 °C for this reason, that has cooled
/// down since.
fn surveyed_warm(facts: Facts, why: &str) -> Service {
    let mut service = Service::warm(facts, why);
    let rounds = Some(Rounds::SurveyOnly);
    let scope = Some(vec![1]);
    let begin = Begin { rounds, scope, change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin)));
    loop {
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..) | Due::Temperature));
        if service.due() == Due::Temperature {
            break;
        }
        let Due::Gauge(valve, _) = service.due() else { return service };
        for again in [false, true] {
            if again && !matches!(service.due(), Due::Again(..)) {
                break;
            }
            service.tell(Input::Gauge { typed: "9 mm".into(), sure: true });
        }
        if matches!(service.due(), Due::Doubted { .. }) {
            service.tell(Input::Believe { why: why.into() });
        }
        if service.session.state.valves().last() == Some(&valve) {
            return service;
        }
    }
    service
}

#[test]
fn no_push_rod_is_chosen_by_what_was_read_on_a_warm_engine() {
    for (reason, anew) in [(ROUGH_LOOK, true), ("no time to wait", true), (MANUAL_ALLOWS, false)] {
        let mut service = surveyed_warm(push_rods(), reason);
        service.calmly_while(|_, due| *due != Due::Temperature);
        let told = |service: &Service| service.session.state.rods(intake(1)).0[0].predicted;
        assert_eq!(told(&service).is_none(), reason == ROUGH_LOOK, "{reason}");
        service.tell(Input::Temperature { head: "20".into(), air: String::new() });
        assert_eq!(told(&service).is_none(), anew, "{reason}");
        service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..) | Due::Gauge(..)));
        assert_eq!(matches!(service.due(), Due::Gauge(..)), anew, "{reason}: {:?}", service.due());
        if anew {
            let Due::Gauge(valve, _) = service.due() else { unreachable!() };
            let lines = asked(&service).lines.join(" ");
            assert!(lines.contains("Gauged outside its temperature before"), "{lines}");
            service.calmly_while(|_, due| *due == Due::Gauge(valve, Step::Found));
            assert!(service.session.state.found(valve).unwrap().warm.is_none());
        }
        service.sign();
    }
}

#[test]
fn no_screw_is_turned_by_what_was_read_on_a_rough_look() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "60".into(), air: String::new() });
    service.tell(Input::AgainstLimit { why: ROUGH_LOOK.into() });
    service.prepare(Rounds::SurveySetRecheck, Some(vec![1]));
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| *due != Due::Temperature);
    service.tell(Input::Temperature { head: "20".into(), air: String::new() });
    service.calmly_while(|_, due| !matches!(due, Due::Set(..) | Due::Gauge(..)));
    assert_eq!(service.due(), Due::Gauge(intake(1), Step::Found));
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::NotNow);
    service.gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.tell(Input::OpenSet(intake(1)));
    service.sign();
}

#[test]
fn on_a_rough_look_the_scope_offers_only_what_will_be_done() {
    let limited = |facts| Facts { gauge_when: flat_four().gauge_when, ..facts };
    for facts in [flat_four(), limited(vee_twin()), limited(push_rods())] {
        for why in [ROUGH_LOOK, MANUAL_ALLOWS] {
            let mut service = Service::new(facts.clone());
            service.calmly_while(|_, due| *due != Due::Temperature);
            service.tell(Input::Temperature { head: "60".into(), air: String::new() });
            service.tell(Input::AgainstLimit { why: why.into() });
            service.calmly_while(|_, due| *due != Due::Scope);
            let choices = asked(&service).field.choices;
            let said: Vec<&str> = choices.iter().map(|choice| &*choice.label).collect();
            let said = said.join("; ");
            let sets = ["set what", "then set", "change shims", "change push rods"];
            let sets = sets.iter().any(|word| said.contains(word));
            assert_eq!(sets, why != ROUGH_LOOK, "{said}");
            if why != ROUGH_LOOK {
                continue;
            }
            for answers in [vec!["1"], vec!["3", "1"]] {
                let mut talk = Talk::default();
                for answer in &answers[..answers.len() - 1] {
                    let Answered::Next(next) = talk.answer(&service.session, answer) else {
                        panic!("{said}")
                    };
                    talk = next;
                }
                let last = answers[answers.len() - 1];
                let Answered::Keep(entries) = talk.answer(&service.session, last) else { panic!() };
                let Entry::Begin(begin) = &entries[0] else { panic!("{entries:?}") };
                assert_eq!((begin.rounds, begin.change), (Some(Rounds::SurveyOnly), false));
            }
        }
    }
    let mut service = warm_all_the_same(ROUGH_LOOK);
    service.tell(Input::LeaveAsIs { valve: intake(1), why: why() }).on_to_turn();
    let lines = asked(&service).lines.join(" ");
    assert!(lines.contains("Carry leaves") && !lines.contains("wrench"), "{lines}");
}
