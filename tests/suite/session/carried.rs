//! What an ended session left open is open in the next one from its first key, and is closed there
//! by its own answer only.

use super::engines::{self, exhaust, flat_four, intake};
use super::harness::{Service, why};
use super::mechanic::part;
use cowlside::domain::entry::{Begin, LeftItem, LeftOpen, PartKind, Rounds, Step};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal};
use cowlside::guide::{Answered, Beside, Command, Talk, commands, refused_words, status};

/// The flat four with the nut of 1 exhaust slack, closed unsigned: what it leaves open.
fn slack() -> Vec<LeftOpen> {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("6").gauge("16");
    service.tell(Input::OpenSet(exhaust(1))).tell(Input::CloseUnsigned { why: why() });
    service.session.state.left_open("spring")
}

#[test]
fn a_slack_nut_is_open_from_the_first_key_and_its_valve_has_no_as_found_figure() {
    let mut service = Service::after(flat_four(), slack());
    assert_eq!(service.open()[0], OpenItem::NutSlack(exhaust(1)));
    assert_eq!(service.session.state.still_left()[0].0, "spring");
    assert_eq!(service.refused(Input::TakeBack), Refusal::NothingToTakeBack);
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::Trying(_) | Due::Gauge(..)));
    assert_eq!(service.due(), Due::Trying(exhaust(1)), "before anything is gauged there");
    service.sign();
    assert_eq!(service.found(exhaust(1)), None);
    let lost = &service.session.state.found_lost[&exhaust(1)];
    assert_eq!(lost, "the nut was left slack by spring");
    assert!(service.left(exhaust(1)).is_some());
    assert!(service.session.state.still_left().is_empty());
}

#[test]
fn a_nut_left_slack_keeps_its_cylinder_in_the_scope_and_is_due_in_every_way_of_working() {
    for rounds in [Rounds::SetThenRecheck, Rounds::SurveySetRecheck, Rounds::SurveyOnly] {
        let mut service = Service::after(flat_four(), slack());
        service.calmly_while(|_, due| *due != Due::Scope);
        let rounds = Some(rounds);
        let scoped = Begin { rounds, scope: Some(vec![2]), ..Begin::default() };
        let refusal = service.refused(Input::Begin(Box::new(scoped)));
        assert_eq!(refusal, Refusal::StaysInScope(exhaust(1)));
        let words = "the nut of 1 exhaust was left slack by an earlier service: cylinder 1 has to be among \
                     those of today";
        assert_eq!(refused_words(&service.session, &refusal), words);
        service.tell(Input::Begin(Box::new(Begin { rounds, ..Begin::default() })));
        service.calmly_while(|_, due| *due != Due::Trying(exhaust(1)));
        assert_eq!(service.due(), Due::Trying(exhaust(1)), "{rounds:?}");
        service.sign();
    }
}

#[test]
fn a_nut_that_is_seen_locked_leaves_its_valve_to_be_gauged_as_found() {
    let mut service = Service::after(flat_four(), slack());
    service.prepare(Rounds::SetThenRecheck, None);
    let label = |service: &Service| {
        let offers = commands::offers(&service.session, &Beside::default());
        offers.iter().find(|one| one.command == Command::NeverTouched).unwrap().label.clone()
    };
    assert_eq!(label(&service), "the nut of 1 exhaust, left slack before: seen, it is locked");
    service.tell(Input::NutNeverTouched { valve: exhaust(1), why: "seen: locked".into() });
    assert_eq!(label(&service), "a nut said slack was never touched");
    let last = service.session.kept.last().unwrap();
    let said = status::entry_words(&service.session, &last.entry);
    assert_eq!(said.as_deref(), Some("nut of 1 exhaust: seen, it is locked"));
    service.on_to_gauge(intake(1)).gauge("6");
    assert_eq!(service.due(), Due::Gauge(exhaust(1), Step::Found));
    service.sign();
    assert!(service.found(exhaust(1)).is_some());
}

#[test]
fn what_is_open_at_the_end_of_the_next_one_goes_on_to_the_one_after() {
    let mut second = Service::after(flat_four(), slack());
    second.calmly_while(|_, due| *due != Due::Scope);
    second.tell(Input::CloseUnsigned { why: why() });
    let left = second.session.state.left_open("summer");
    let of = |left: &[LeftOpen]| left.iter().map(|left| left.item.clone()).collect::<Vec<_>>();
    assert_eq!(of(&left), of(&slack()));
    assert_eq!(left[0].from, "summer");
}

#[test]
fn covers_that_are_off_are_not_counted_out_again_and_what_lies_about_is_counted_once() {
    let left = slack();
    let of = |wanted: bool| {
        let pieces = left.iter().filter(
            move |left| matches!(left.item, LeftItem::Pieces { whole, .. } if whole == wanted),
        );
        pieces.count()
    };
    assert!(of(true) > 0 && of(false) > 0, "{left:?}");
    let mut service = Service::after(flat_four(), left);
    let before = service.open();
    let mut counted_out = Vec::new();
    let mut counted_in = Vec::new();
    for _ in 0..super::harness::STEPS_MAX {
        let due = service.due();
        match &due {
            Due::Sign => break,
            Due::CountOut(bank, items) => {
                counted_out.push(bank.clone());
                let mut fewer: Vec<u32> = items.iter().map(|(_, count)| *count).collect();
                fewer[3] -= 1;
                service.refused(Input::CountOut(fewer));
            }
            Due::CountIn { bank, item, .. } => counted_in.push((bank.clone(), item.clone())),
            _ => {}
        }
        service.calmly_while(|_, now| *now == due);
        if matches!(due, Due::CountOut(..)) {
            let pieces = |item: &&OpenItem| matches!(item, OpenItem::NotCountedIn { pieces: 30.. });
            let now = service.open();
            let (was, is) = (before.iter().find(pieces), now.iter().find(pieces));
            assert!(was.is_some() && was == is, "{before:?} {now:?}");
        }
    }
    assert_eq!(counted_out, ["all round"]);
    for bank in ["left", "right", "all round"] {
        assert!(counted_in.iter().any(|(one, _)| one == bank), "{bank}: {counted_in:?}");
    }
    let mut once = counted_in.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), counted_in.len(), "{counted_in:?}");
    service.sign();
}

#[test]
fn what_was_left_lying_is_no_part_of_what_another_works_with_unless_he_says_so() {
    let mut service = Service::after(flat_four(), slack());
    service.calmly_while(|_, due| !matches!(due, Due::CountOut(..)));
    let Due::CountOut(_, items) = service.due() else { panic!("{:?}", service.due()) };
    let words = |by: u32| {
        items.iter().map(|(_, count)| (count * by).to_string()).collect::<Vec<_>>().join("/")
    };
    let ask = Talk::default().prompt(&service.session);
    assert!(ask.lines.iter().any(|line| line.starts_with("Left lying by spring: ")), "{ask:?}");
    assert_eq!(usize::from(ask.field.whole), ask.lines.len(), "no line is passed over");
    let Answered::Next(others) = Talk::default().answer(&service.session, "2") else { panic!() };
    let asked = others.prompt(&service.session).ask;
    assert!(asked.ends_with(&format!("as in {}:", words(2))), "{asked}");
    // His own alone: what was left would be forgotten.
    let Answered::Next(sure) = others.answer(&service.session, &words(1)) else { panic!() };
    assert_eq!(sure.prompt(&service.session).ask, "Is it right?");
    let all = others.answer(&service.session, &words(2));
    let counted = Input::CountOut(items.iter().map(|(_, count)| count * 2).collect());
    assert_eq!(all, Answered::Keep(service.session.decide(&counted).unwrap()));
    // The same things, found again.
    let Answered::Next(same) = Talk::default().answer(&service.session, "1") else { panic!() };
    let counted = Input::CountOut(items.iter().map(|(_, count)| *count).collect());
    let entries = service.session.decide(&counted).unwrap();
    assert_eq!(same.answer(&service.session, &words(1)), Answered::Keep(entries));
}

#[test]
fn screws_not_counted_in_are_counted_once_by_the_one_after() {
    let mut first = Service::new(flat_four());
    first.prepare(Rounds::SetThenRecheck, None);
    // The covers of one side are counted in; then it is left.
    first.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    let Due::CountIn { bank, item, out } = first.due() else { panic!("{:?}", first.due()) };
    first.tell(Input::CountIn(out)).tell(Input::CloseUnsigned { why: why() });
    let left = first.session.state.left_open("spring");
    let mut second = Service::after(flat_four(), left);
    let mut counts = Vec::new();
    for _ in 0..super::harness::STEPS_MAX {
        let due = second.due();
        match &due {
            Due::Sign => break,
            Due::CountOut(of, items) if *of == bank => {
                assert!(items.iter().any(|(one, _)| *one == item), "{items:?}");
                let mut fewer: Vec<u32> = items.iter().map(|(_, count)| *count).collect();
                fewer[1] -= 1;
                second.refused(Input::CountOut(fewer));
            }
            Due::CountIn { bank, item, .. } => counts.push((bank.clone(), item.clone())),
            _ => {}
        }
        second.calmly_while(|_, now| *now == due);
    }
    assert!(counts.iter().all(|(bank, _)| !bank.contains("left open")), "{counts:?}");
    let mut once = counts.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), counts.len(), "{counts:?}");
    second.sign();
}

#[test]
fn a_shortage_is_a_shortage_in_the_next_one() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { out: 2.., .. }));
    let Due::CountIn { out, .. } = service.due() else { panic!("{:?}", service.due()) };
    service.tell(Input::CountIn(out - 1)).tell(Input::CloseUnsigned { why: why() });
    let next = Service::after(flat_four(), service.session.state.left_open("spring"));
    let missing = |item: &OpenItem| matches!(item, OpenItem::Missing { missing: 1, .. });
    assert!(next.open().iter().any(missing), "{:?}", next.open());
}

#[test]
fn a_valve_left_unloaded_is_let_go_before_any_turn() {
    let left = LeftOpen { from: "spring".into(), item: LeftItem::Unloaded(intake(8)) };
    let mut service = Service::after(engines::radial_table(None), vec![left]);
    service.calmly_while(|_, due| *due != Due::Scope);
    let rounds = Some(Rounds::SetThenRecheck);
    service.tell(Input::Begin(Box::new(Begin { rounds, ..Begin::default() })));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::Release(_)));
    assert_eq!(service.due(), Due::Release(intake(8)));
    service.sign();
}

#[test]
fn a_part_left_out_goes_back_before_any_turn() {
    let item = LeftItem::PartOut {
        valve: Some(intake(3)),
        part: PartKind::Pushrod,
        bank: None,
        marked: None,
        measured: None,
    };
    let left = LeftOpen { from: "spring".into(), item };
    let mut service = Service::after(engines::push_rods(), vec![left]);
    service.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), change: true, ..Begin::default() };
    service.tell(Input::Begin(Box::new(begin)));
    service.calmly_while(|_, due| !matches!(due, Due::Turn { .. } | Due::PartOut(..)));
    assert_eq!(service.due(), Due::PartOut(intake(3), PartKind::Pushrod));
    service.tell(part(false, intake(3), PartKind::Pushrod, ""));
    service.sign();
}

#[test]
fn nothing_is_taken_over_that_this_engine_cannot_have() {
    let service = Service::new(engines::vee_twin());
    let state = &service.session.state;
    assert!(!state.can_carry(&LeftItem::NutSlack(intake(1))), "no screws");
    assert!(!state.can_carry(&LeftItem::Unloaded(intake(9))), "no such valve");
    assert!(state.can_carry(&LeftItem::Unloaded(intake(1))));
}

#[test]
fn what_several_services_took_off_one_bank_is_counted_in_as_one() {
    let cover = |from: &str| LeftOpen {
        from: from.into(),
        item: LeftItem::Pieces {
            bank: "right".into(),
            item: "cover".into(),
            out: 1,
            counted_in: None,
            whole: true,
        },
    };
    let mut service = Service::after(flat_four(), vec![cover("spring"), cover("summer")]);
    assert_eq!(service.session.state.begin.left_open.len(), 2, "who left what stays told");
    assert!(service.open().contains(&OpenItem::NotCountedIn { pieces: 2 }));
    let mut asked = Vec::new();
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    while let Due::CountIn { bank, item, out } = service.due() {
        asked.extend((bank == "right" && item == "cover").then_some(out));
        service.tell(Input::CountIn(out));
    }
    assert_eq!(asked, [2]);
    service.sign();
    let told = cowlside::report::record::record(&service.session, &Default::default());
    let rows = told.lines().filter(|line| line.contains("right") && line.contains("cover"));
    assert_eq!(rows.count(), 1, "{told}");
    // One of them is missing: so it is said, not that one came off.
    let mut service = Service::after(flat_four(), vec![cover("spring"), cover("summer")]);
    let wanted = |due: &Due| matches!(due, Due::CountIn { item, .. } if item == "cover");
    service.calmly_while(|_, due| !wanted(due)).tell(Input::CountIn(1));
    let Due::Shortage { out, counted, .. } = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!((out, counted), (2, 1));
    service.tell(Input::ShortageFound).sign();
}
