//! What is out stays on the list until it is counted in: through work that goes on after closing up,
//! from one service to the next, and where the wrong bank was named.

use super::engines::{exhaust, flat_four, intake, vee_twin};
use super::harness::{Service, why};
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, PartKind, Remark, Rounds};
use cowlside::domain::session::{
    Due, Input, LEAK_TEST_LATER, LEAK_TEST_NOW, LOOSE_THINGS, OpenItem, ROUGH_LOOK, TEST_THINGS,
};
use cowlside::domain::trend::Earlier;
use cowlside::guide::{Answered, Command, Talk};
use cowlside::report::record::record;

fn no_test(why_not: &str) -> Input {
    Input::LeakTest { typed: String::new(), why_not: why_not.into() }
}

/// What goes out for a test where every plug was said to be out for it.
const KIT: [(&str, u32); 4] =
    [("plug", 4), ("plug-hole blank", 4), ("leak tester", 1), ("tool", 2)];

/// A closed engine with plug, tester and tools out once more for a leak test that was promised.
fn out_for_a_late_test() -> Service {
    let mut service = Service::very_tight();
    service.tell(no_test(LEAK_TEST_LATER));
    for why_not in [LEAK_TEST_LATER, LEAK_TEST_NOW] {
        service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
        service.tell(no_test(why_not));
    }
    service.calmly_while(|_, due| !matches!(due, Due::PromisedTest { .. }));
    assert_eq!(lines(&service, TEST_THINGS), KIT);
    service
}

/// What is out of a bank and not counted in.
fn lines<'a>(service: &'a Service, bank: &str) -> Vec<(&'a str, u32)> {
    let out = service.session.state.out.iter();
    let out = out.filter(|line| line.bank == bank && line.counted_in.is_none() && line.out > 0);
    out.map(|line| (line.item.as_str(), line.out)).collect()
}

/// What is counted out, and in, from here to the signature.
fn counted(service: &mut Service) -> (Vec<String>, Vec<(String, String)>) {
    let (mut out, mut back) = (Vec::new(), Vec::new());
    while service.due() != Due::Sign {
        match service.due() {
            Due::CountOut(bank, _) => out.push(bank),
            Due::CountIn { bank, item, .. } => back.push((bank, item)),
            _ => {}
        }
        let due = service.due();
        service.calmly_while(|_, now| *now == due);
    }
    service.sign();
    (out, back)
}

#[test]
fn what_is_out_for_a_leak_test_stays_so_where_work_goes_on_before_it_is_counted_in() {
    let works: [fn(&Service) -> Input; 2] = [
        |service| Input::Void {
            of: service.session.state.left(intake(3)).unwrap().seq,
            why: why(),
        },
        |_| Input::Work { cylinder: 1, what: "cylinder".into(), text: String::new() },
    ];
    for work in works {
        let mut service = out_for_a_late_test();
        let work = work(&service);
        service.tell(work.clone());
        let still = lines(&service, TEST_THINGS);
        assert_eq!(still, KIT, "{work:?}");
        let pieces = |item: &OpenItem| matches!(item, OpenItem::NotCountedIn { pieces: 4.. });
        assert!(service.open().iter().any(pieces), "{work:?}: {:?}", service.open());
        let (out, back) = counted(&mut service);
        assert!(!out.iter().any(|bank| bank == TEST_THINGS), "out already: {out:?}");
        for item in KIT.map(|(item, _)| item) {
            let times = back.iter().filter(|one| **one == (TEST_THINGS.into(), item.into()));
            assert_eq!(times.count(), 1, "{work:?}, {item}: {back:?}");
        }
    }
}

#[test]
fn a_plug_that_was_out_for_a_leak_test_is_not_said_to_have_stayed_in_after_work_on_its_cylinder() {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| !matches!(due, Due::Caution(line, _) if line.id == "plugs"));
    // The plugs stay in.
    service.tell(Input::Answer(2));
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("0");
    service.calmly_while(|_, due| !matches!(due, Due::LeakTest(1, _)));
    service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
    service.tell(Input::Work { cylinder: 1, what: "cylinder".into(), text: String::new() });
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "plugs-in"));
    let Due::Check(line) = service.due() else { panic!("{:?}", service.due()) };
    let others = "those that were out: in, at torque; the others stayed in";
    assert_eq!(line.state(2).map(|seen| seen.words.as_str()), Some(others), "{line:?}");
}

#[test]
fn pieces_of_another_version_stay_out_where_its_slack_nut_opens_a_closed_engine() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "leads"));
    let (bank, item) = (LOOSE_THINGS.to_string(), "mirror".to_string());
    let pieces = LeftItem::Pieces { bank, item, out: 1, counted_in: None, whole: false };
    let left = [LeftItem::NutSlack(intake(1)), pieces];
    let left_open = left.map(|item| LeftOpen { from: "version B".into(), item }).to_vec();
    service.keep(Entry::Begin(Begin { left_open, ..Begin::default() }));
    assert_eq!(lines(&service, LOOSE_THINGS), [("mirror", 1)]);
    let (_, back) = counted(&mut service);
    let mirror = (LOOSE_THINGS.to_string(), "mirror".to_string());
    assert_eq!(back.iter().filter(|one| **one == mirror).count(), 1, "{back:?}");
}

#[test]
fn where_the_wrong_bank_of_cams_was_named_those_that_are_out_are_told_and_stay_out() {
    let mut service = Service::cams_out(vee_twin(), "right", (intake(1), "30"));
    let answer = |typed: &[&str]| {
        let begun = Talk::call(&service.session, Command::TakeBack, Default::default());
        typed.iter().fold(begun, |answered, typed| match answered {
            Answered::Next(talk) => talk.answer(&service.session, typed),
            other => panic!("{typed}: {other:?}"),
        })
    };
    // They are out: which others, and no more is taken back than that it was these.
    let Answered::Next(which) = answer(&["2"]) else { panic!("kept without a bank") };
    assert!(which.prompt(&service.session).ask.contains("Which"), "{which:?}");
    let Answered::Keep(entries) = answer(&["2", "1"]) else { panic!("{:?}", answer(&["2", "1"])) };
    let [Entry::Part(anew), Entry::Correct(_)] = &entries[..] else { panic!("{entries:?}") };
    assert_eq!((anew.bank.as_deref(), anew.out), (Some("left"), true), "the new word first");
    // In: one reason, and it is none that leaves cams out.
    let Answered::Next(reason) = answer(&["1"]) else { panic!("{:?}", answer(&["1"])) };
    let choices = reason.prompt(&service.session).field.choices;
    assert!(!choices.iter().any(|one| one.label.contains("wrong bank")), "{choices:?}");
    for entry in entries {
        service.keep(entry);
    }
    let open: Vec<String> = service.open().iter().map(OpenItem::to_string).collect();
    assert!(open.contains(&"CAM OUT: left bank".to_string()), "{open:?}");
    assert!(!open.iter().any(|item| item.contains("right bank")), "{open:?}");
    service.sign();
}

#[test]
fn of_a_bank_that_was_partly_open_the_other_covers_are_counted_out_by_the_next() {
    let mut first = Service::new(flat_four());
    first.calmly_while(|_, due| *due != Due::Scope);
    let (rounds, scope) = (Some(Rounds::SetThenRecheck), Some(vec![1]));
    first.tell(Input::Begin(Box::new(Begin { rounds, scope, ..Begin::default() })));
    first.on_to_turn();
    let covers = |service: &Service, bank: &str| {
        let out = lines(service, bank);
        out.iter().filter(|(item, _)| *item == "cover").map(|(_, out)| *out).sum::<u32>()
    };
    let partly = first.session.state.out.iter().find(|line| line.item == "cover");
    let bank = partly.unwrap().bank.clone();
    let whole = first.session.state.facts().layout.banks.iter().find(|one| one.name == bank);
    let all = u32::try_from(whole.unwrap().cylinders.len()).unwrap();
    assert!((1..all).contains(&covers(&first, &bank)), "{:?}", first.session.state.out);
    first.tell(Input::CloseUnsigned { why: why() });
    let mut next = Service::after(flat_four(), first.session.state.left_open("spring"));
    next.prepare(Rounds::SetThenRecheck, None);
    assert_eq!(covers(&next, &bank), all);
    let (_, back) = counted(&mut next);
    let here = back.iter().filter(|one| **one == (bank.clone(), "cover".into()));
    assert_eq!(here.count(), 1, "{back:?}");
}

/// A service in which one piece too few was counted in, and accounted for.
fn one_accounted_for() -> (Service, String, String, u32) {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { out: 2.., .. }));
    let Due::CountIn { bank, item, out } = service.due() else { panic!("{:?}", service.due()) };
    account_for(&mut service, out, "in the sump");
    (service, bank, item, out)
}

fn account_for(service: &mut Service, out: u32, place: &str) {
    let (place, by) = (place.into(), "Somebody".into());
    service.tell(Input::CountIn(out - 1)).tell(Input::ShortageAccounted { place, by });
}

/// The lines of the record's part on pieces that are missing for good.
fn missing(service: &Service) -> Vec<String> {
    let record = record(&service.session, &Earlier::default());
    let part = record.split("PIECES MISSING, ACCOUNTED FOR").nth(1).unwrap_or("");
    let part = part.split("\n\n").next().unwrap_or("");
    part.lines().filter(|line| line.contains('×')).map(String::from).collect()
}

fn void_one(service: &mut Service) {
    let of = service.session.state.left(intake(3)).unwrap().seq;
    service.tell(Input::Void { of, why: why() });
}

#[test]
fn a_piece_that_was_accounted_for_and_is_there_after_all_is_missing_no_more() {
    let (mut service, bank, item, out) = one_accounted_for();
    assert_eq!(missing(&service).len(), 1);
    void_one(&mut service);
    let again = |due: &Due| matches!(due, Due::CountIn { bank: b, item: i, .. } if *b == bank && *i == item);
    service.calmly_while(|_, due| !again(due));
    // Missing once more: it is told once, as it was accounted for last.
    let mut still = service.clone();
    account_for(&mut still, out, "in the drawer");
    let [line] = &missing(&still)[..] else { panic!("{:?}", missing(&still)) };
    assert!(line.contains("in the drawer"), "{line}");
    service.tell(Input::CountIn(out));
    assert_eq!(missing(&service), [""; 0]);
    service.sign();
}

#[test]
fn a_piece_that_was_accounted_for_stays_missing_where_a_later_count_does_not_speak_of_it() {
    let (mut service, bank, _, out) = one_accounted_for();
    service.calmly_while(|_, due| !matches!(due, Due::Check(line) if line.id == "leads"));
    void_one(&mut service);
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(of, _) if *of == bank));
    let Due::CountOut(_, items) = service.due() else { panic!("{:?}", service.due()) };
    let mut counts: Vec<u32> = items.iter().map(|(_, count)| *count).collect();
    assert_eq!(counts[0], out);
    counts[0] -= 1;
    service.tell(Input::CountOutShort(counts));
    service.sign();
    assert_eq!(missing(&service).len(), 1);
}

#[test]
fn on_a_rough_look_a_shim_that_is_out_goes_back_and_no_other_is_asked_for() {
    let mut service = Service::warm(vee_twin(), ROUGH_LOOK);
    let rounds = Some(Rounds::SurveyOnly);
    service.tell(Input::Begin(Box::new(Begin { rounds, change: true, ..Begin::default() })));
    for valve in [intake(1), exhaust(1)] {
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(one, _) if *one == valve));
        service.tell(Input::Gauge { typed: "60".into(), sure: true });
        if matches!(service.due(), Due::Again(..)) {
            service.tell(Input::Gauge { typed: "60".into(), sure: true });
            service.tell(Input::Believe { why: why() });
        }
    }
    service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
    // What is out has to be told, whatever was meant to be done.
    let (part, marked) = (PartKind::Shim, "2.60".to_string());
    let (valve, measured) = (intake(1), String::new());
    service.tell(Input::PartOut { valve, part, marked: marked.clone(), measured });
    assert_eq!(service.due(), Due::PartOut(intake(1), part));
    let (valve, measured) = (intake(1), String::new());
    service.tell(Input::PartIn { valve, part, marked, measured });
    service.calmly_while(|_, due| !matches!(due, Due::TakeOut(_)));
    assert_eq!(service.session.state.sealed, Some(true));
}

/// What is counted out and in for a late test, the plugs being said to be out, or in, at first and then.
fn late(at_first: u8, then: u8) -> (Vec<(String, u32)>, Vec<String>) {
    let mut service = Service::new(flat_four());
    let plugs = |due: &Due| matches!(due, Due::Caution(line, _) if line.id == "plugs");
    service.calmly_while(|_, due| !plugs(due)).tell(Input::Answer(at_first));
    service.prepare(Rounds::SetThenRecheck, None).on_to_sign();
    let text = "leak-test cylinder 1".into();
    service.tell(Input::Remark(Remark { text, before_running: true, ..Remark::default() }));
    service.tell(no_test(LEAK_TEST_NOW));
    service.calmly_while(|_, due| !plugs(due)).tell(Input::Answer(then));
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..) | Due::PromisedTest { .. }));
    let Due::CountOut(bank, items) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!(bank, TEST_THINGS, "the covers are on");
    service.calmly_while(|_, due| matches!(due, Due::CountOut(..)));
    assert!(matches!(service.due(), Due::PromisedTest { .. }), "{:?}", service.due());
    let (out, back) = counted(&mut service);
    assert_eq!(out, [""; 0]);
    assert!(back.iter().all(|(bank, _)| bank == TEST_THINGS), "{back:?}");
    (items, back.into_iter().map(|(_, item)| item).collect())
}

#[test]
fn for_a_late_leak_test_so_many_plugs_are_counted_as_are_said_to_be_out_for_it_and_once() {
    let of = |kit: &[(&str, u32)]| -> Vec<(String, u32)> {
        kit.iter().map(|(item, out)| ((*item).to_string(), *out)).collect()
    };
    for at_first in [1, 2] {
        let (out, back) = late(at_first, 1);
        assert_eq!(out, of(&KIT), "{at_first}");
        assert_eq!(back, KIT.map(|(item, _)| item));
        let (out, back) = late(at_first, 2);
        assert_eq!(out, of(&[("plug", 1), ("leak tester", 1), ("tool", 2)]), "{at_first}");
        assert_eq!(back, ["plug", "leak tester", "tool"]);
    }
}
