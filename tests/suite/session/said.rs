//! What is said where an answer is not good, a turn is wrong, a temperature or a size is a slip of the
//! keys.

use super::engines::{exhaust, flat_four, vee_twin};
use super::harness::Service;
use cowlside::domain::entry::{Begin, Entry, Rounds};
use cowlside::domain::profile::{Facts, Hardware};
use cowlside::domain::session::{Due, Input, LOOSE_THINGS, OpenItem, named_bank, the_bank};
use cowlside::guide::{Answered, Prompt, Talk, status};

fn at_check(facts: Facts, id: &str) -> Service {
    let mut service = Service::new(facts);
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == id));
    service
}

fn said(service: &mut Service, input: Input) -> String {
    let entries = service.session.decide(&input).unwrap();
    service.tell(input);
    status::kept_words(&service.session, &entries, &|_| None)
}

/// Answers and returns what is asked next; nothing where it was kept.
fn next(service: &Service, answers: &[&str]) -> Option<Prompt> {
    let mut talk = Talk::default();
    for typed in answers {
        talk = match talk.answer(&service.session, typed) {
            Answered::Next(next) => next,
            Answered::Keep(_) => return None,
            other => panic!("{typed}: {other:?}"),
        };
    }
    Some(talk.prompt(&service.session))
}

#[test]
fn a_tight_place_is_to_be_found_not_turned_over_once_more() {
    let mut service = at_check(flat_four(), "two-turns");
    let words = said(&mut service, Input::Answer(2));
    assert!(words.contains("Find what it is") && words.contains("force nothing"), "{words}");
    let words = said(&mut service, Input::Answer(0));
    assert_eq!(words, "kept: not yet: nothing turns. Look for it, or call away, then answer again");
    let mut service = at_check(flat_four(), "seals");
    let words = said(&mut service, Input::Answer(0));
    assert!(words.ends_with("Not closed up on that. Do it, then answer again"), "{words}");
    // A lifter is answered for long before anything is closed up.
    let mut service = Service::new(super::engines::push_rods());
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::Dry(..)));
    let words = said(&mut service, Input::Answer(0));
    assert!(words.contains("Bleed it") && !words.contains("losed up"), "{words}");
}

#[test]
fn after_the_wrong_stroke_the_turn_on_has_its_direction() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let way = |ask: &Prompt| {
        ask.lines.iter().find(|line| line.contains("wise from")).cloned().unwrap_or_default()
    };
    let first = Talk::default().prompt(&service.session);
    service.tell(Input::Loose(0));
    let again = Talk::default().prompt(&service.session);
    assert!(again.title.contains("wrong stroke"), "{}", again.title);
    assert_eq!(way(&again), way(&first));
    assert!(way(&again).contains("Never back") && way(&again).contains("facing the propeller"));
    assert!(again.more.iter().any(|line| line.starts_with("Facing the propeller")));
}

#[test]
fn plugs_that_were_counted_out_are_not_said_to_have_stayed_in() {
    let digits = |plugs: u8| {
        let mut service = Service::new(flat_four());
        let is = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "plugs");
        service.calmly_while(|_, due| !is(due));
        service.tell(Input::Answer(plugs));
        service.prepare(Rounds::SetThenRecheck, None);
        service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "plugs-in"));
        let ask = Talk::default().prompt(&service.session);
        ask.field.choices.iter().map(|choice| choice.digit).collect::<Vec<_>>()
    };
    assert_eq!(digits(1), [1, 0]);
    assert_eq!(digits(2), [1, 2, 0]);
}

#[test]
fn a_temperature_of_one_digit_or_of_deep_frost_is_asked_about_and_never_refused() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::Temperature);
    for typed in ["1", "-5", "-25", "155"] {
        let ask = next(&service, &[typed]).unwrap_or_else(|| panic!("{typed} taken unasked"));
        assert!(ask.title.starts_with("A head at "), "{typed}: {}", ask.title);
        if typed != "155" {
            assert_eq!(next(&service, &[typed, "1"]), None, "{typed} as typed");
        }
    }
    for typed in ["18", "-12", "65 F"] {
        assert_eq!(next(&service, &[typed]), None, "{typed}");
    }
}

#[test]
fn a_marked_size_is_read_at_its_own_question_and_traps_no_other() {
    let mut service = Service::cams_out(vee_twin(), "left", (exhaust(1), "15"));
    let Due::TakeOut(_) = service.due() else { panic!("{:?}", service.due()) };
    let Answered::Keep(out) = Talk::default().answer(&service.session, "1") else { panic!() };
    out.into_iter().for_each(|entry| service.keep(entry));
    let ask = |answers: &[&str]| next(&service, answers);
    let with = |typed: &'static str| vec![typed];
    let three = ask(&with("3")).expect("the micrometer is asked next");
    assert!(three.lines.contains(&"Marked 3.00 mm.".to_string()), "{:?}", three.lines);
    let mut talk = Talk::default();
    for typed in with("3") {
        let Answered::Next(next) = talk.answer(&service.session, typed) else { panic!("{typed}") };
        talk = next;
    }
    let thinner = |talk: &Talk| {
        let Answered::Next(sure) = talk.answer(&service.session, "2.70") else {
            panic!("3.00 marked, 2.70 measured, and not asked about")
        };
        sure.answer(&service.session, "1")
    };
    assert!(matches!(thinner(&talk), Answered::Keep(_)));
    let Answered::Refused(again, words) = talk.answer(&service.session, "0.27") else {
        panic!("not refused")
    };
    assert!(words.contains("no shim of this engine"), "{words}");
    let Answered::Keep(kept) = thinner(&again) else { panic!("trapped") };
    assert!(matches!(&kept[..], [Entry::Part(part)] if part.marked.unwrap().nm() == 3_000_000));
}

#[test]
fn a_bank_is_called_so_once_and_one_piece_is_one() {
    assert_eq!(named_bank("left"), "left bank");
    assert_eq!(named_bank("bank 1"), "bank 1");
    assert_eq!(named_bank("head"), "head");
    let the = ["left", "bank 1", "front row", "head"].map(the_bank);
    assert_eq!(the, ["the left bank", "bank 1", "the front row", "the head"]);
    assert_eq!(OpenItem::NotCountedIn { pieces: 1 }.to_string(), "1 piece off");
    assert_eq!(OpenItem::NotCountedIn { pieces: 2 }.to_string(), "2 pieces off");
}

#[test]
fn what_is_kept_says_which_caution_and_counts_lobes_where_there_are_no_rockers() {
    let mut facts = vee_twin();
    facts.cautions = vec![
        "Fuel tap shut, and the tank's vent free: look at both.".into(),
        "Fuel system: selector off.".into(),
    ];
    let mut service = Service::new(facts);
    service.calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "manual-1"));
    let words = said(&mut service, Input::Answer(1));
    assert_eq!(words, "saved: Fuel tap shut, and the ..: seen, and it is as the manual asks");
    service.calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "manual-2"));
    let words = said(&mut service, Input::Answer(1));
    assert_eq!(words, "saved: Fuel system: selector off: seen, and it is as the manual asks");
    service.prepare(Rounds::SurveyOnly, None);
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. }));
    let Due::Turn { stop, .. } = service.due() else { unreachable!() };
    let all = service.session.state.to_gauge(stop);
    let words = said(&mut service, Input::Loose(all));
    assert_eq!(words, format!("saved: {all} of {all} lobes point away"));
}

#[test]
fn what_holds_the_covers_has_the_profiles_word() {
    let check = |items: &[&str]| {
        let mut facts = flat_four();
        let item = facts.covers.hardware[0].clone();
        let items = items.iter().map(|name| Hardware { item: (*name).into(), ..item.clone() });
        facts.covers.hardware = items.collect();
        let service = at_check(facts, "started");
        let Due::Check(line) = service.due() else { unreachable!() };
        line.ask
    };
    assert_eq!(check(&["cover bolt", "gasket"]), "Cover bolts: how did they start?");
    assert_eq!(check(&["dome nuts", "cover screw"]), "Cover nuts and screws: how did they start?");
    assert_eq!(check(&["gasket"]), "Cover screws: how did they start?");
}

#[test]
fn which_covers_come_off_is_told_where_more_than_the_gauged_ones_do() {
    let asked = |scope: Option<Vec<u8>>| {
        let mut service = Service::new(flat_four());
        service.calmly_while(|_, due| *due != Due::Scope);
        let begin = Begin { rounds: Some(Rounds::SurveyOnly), scope, ..Begin::default() };
        service.tell(Input::Begin(Box::new(begin)));
        let mut told = Vec::new();
        loop {
            service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
            let Due::CountOut(bank, items) = service.due() else { unreachable!() };
            if bank == LOOSE_THINGS {
                return told;
            }
            let lines = Talk::default().prompt(&service.session).lines;
            told.extend(lines.into_iter().filter(|line| line.starts_with("Covers of")));
            service.tell(Input::CountOut(items.iter().map(|(_, count)| *count).collect()));
        }
    };
    assert!(asked(None).is_empty() && asked(Some(vec![1, 2, 3, 4])).is_empty());
    let told = asked(Some(vec![1]));
    assert_eq!(
        told,
        ["Covers of cylinder 1.", "Covers of cylinder 2. Cylinder 2 only to be watched."]
    );
}
