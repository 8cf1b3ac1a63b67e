//! What was worked on and not gauged after it is open for whoever comes next until it is gauged.

use super::engines::{exhaust, flat_four, intake, vee_twin};
use super::harness::{Service, why};
use super::parts::cams_in;
use cowlside::domain::entry::{Begin, Entry, LeftItem, LeftOpen, Rounds, Step};
use cowlside::domain::session::{Due, Input, OpenItem, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Command, Talk, hangar, refused_words, status};
use cowlside::report::record::{owner_sentence, record};
use std::sync::Arc;

fn work(cylinder: u8, what: &str) -> Input {
    Input::Work { cylinder, what: what.into(), text: String::new() }
}

fn to_gauge(left: &[LeftOpen]) -> Vec<(Valve, bool)> {
    let item = |left: &LeftOpen| match left.item {
        LeftItem::GaugeAfter { valve, worked } => Some((valve, worked)),
        _ => None,
    };
    left.iter().filter_map(item).collect()
}

fn open(service: &Service) -> Vec<Valve> {
    let valve = |item: OpenItem| match item {
        OpenItem::GaugeAfter(valve) => Some(valve),
        _ => None,
    };
    service.open().into_iter().filter_map(valve).collect()
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Cylinder 3 was worked on and torqued, and nothing of it gauged.
fn worked() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).tell(work(3, "valve or seat"));
    service.calmly_while(|_, due| *due != Due::HoldDown(3));
    service.tell(Input::HoldDown("22 N·m".into(), false));
    service
}

#[test]
fn closed_before_it_is_gauged_it_is_told_on_the_tag_and_by_the_question() {
    let mut service = worked();
    assert_eq!(open(&service), [], "its round comes to it");
    let if_closed = service.session.state.open_if_closed("");
    assert!(if_closed.contains(&OpenItem::GaugeAfter(intake(3))), "{if_closed:?}");
    let item = OpenItem::GaugeAfter(exhaust(3));
    assert!(item.bars_close_up() && item.gravity().is_danger());
    let ask = Talk::call(&service.session, Command::CloseUnsigned, Arc::default());
    let Answered::Next(talk) = &ask else { panic!("{ask:?}") };
    let asked = talk.prompt(&service.session).lines.join("|");
    assert!(asked.contains("GAUGE AFTER WORK: 3 intake"), "{asked}");
    service.tell(Input::CloseUnsigned { why: why() });
    assert_eq!(open(&service), [intake(3), exhaust(3)]);
    let (tag, _) = hangar::lines(&service.session, &Earlier::default());
    assert!(tag.iter().any(|line| line == "GAUGE AFTER WORK: 3 exhaust"), "{tag:?}");
    let sheet = words(&record(&service.session, &Earlier::default()));
    assert!(sheet.contains("still open GAUGE AFTER WORK: 3 intake"), "{sheet}");
    let both = [(intake(3), true), (exhaust(3), true)];
    assert_eq!(to_gauge(&service.session.state.left_open("spring")), both);
    // A version before this one closed it so, and its record stays as it is.
    let mut before = worked();
    for mut entry in before.session.decide(&Input::CloseUnsigned { why: why() }).unwrap() {
        let Entry::Seal(seal) = &mut entry else { panic!("{entry:?}") };
        assert!(std::mem::take(&mut seal.tells_not_gauged));
        before.keep(entry);
    }
    assert_eq!(open(&before), []);
    // Whoever comes next is told all the same.
    assert_eq!(to_gauge(&before.session.state.left_open("spring")), both);
}

#[test]
fn the_next_service_gauges_it_whatever_its_scope_and_hands_it_on_if_it_does_not() {
    let mut first = worked();
    first.tell(Input::CloseUnsigned { why: why() });
    let mut next = Service::after(flat_four(), first.session.state.left_open("spring"));
    assert_eq!(open(&next), [intake(3), exhaust(3)]);
    let back = status::way_back(&next.session, &Earlier::default()).join("|");
    assert!(back.contains("GAUGE AFTER WORK: 3 intake, by spring"), "{back}");
    // It is handed on once more.
    let mut closed = next.clone();
    closed.calmly_while(|_, due| *due != Due::Scope);
    closed.tell(Input::CloseUnsigned { why: why() });
    assert_eq!(open(&closed), [intake(3), exhaust(3)]);
    let third = Service::after(flat_four(), closed.session.state.left_open("summer"));
    assert_eq!(open(&third), [intake(3), exhaust(3)]);

    next.calmly_while(|_, due| *due != Due::Scope);
    let scoped = |scope| Begin { rounds: Some(Rounds::SetThenRecheck), scope, ..Begin::default() };
    let refused = next.refused(Input::Begin(Box::new(scoped(Some(vec![4])))));
    assert_eq!(refused, Refusal::StaysInScope(intake(3)));
    let said = refused_words(&next.session, &refused);
    assert!(said.starts_with("3 intake was left open by an earlier service: "), "{said}");
    next.tell(Input::Begin(Box::new(scoped(None))));
    next.on_to_gauge(intake(3));
    assert_eq!(next.due(), Due::Gauge(intake(3), Step::Left));
    next.tell(Input::Gauge { typed: "6".into(), sure: false });
    assert_eq!(open(&next), [exhaust(3)], "settled as it is gauged");
    next.sign();
    assert!(next.found(intake(3)).is_none() && next.left(intake(3)).is_some());
    let sheet = words(&record(&next.session, &Earlier::default()));
    assert!(sheet.contains("GAUGE AFTER WORK: 3 intake, by spring"), "{sheet}");
    assert!(
        sheet.contains("as-found figure lost: opened up and not gauged after it by spring"),
        "{sheet}"
    );
    assert!(sheet.contains("not adjusted: 3 intake, 3 exhaust"), "{sheet}");
    let owner = owner_sentence(&next.session, &Earlier::default());
    assert!(owner.contains("gauged again after work (in an earlier service)"), "{owner}");
}

#[test]
fn passed_over_it_is_asked_for_before_anything_is_closed_up() {
    let mut first = worked();
    first.tell(Input::CloseUnsigned { why: why() });
    let mut next = Service::after(flat_four(), first.session.state.left_open("spring"));
    next.prepare(Rounds::SetThenRecheck, None);
    next.tell(Input::SkipRound { why: why() }).tell(Input::SkipRound { why: why() });
    assert!(matches!(next.due(), Due::NoFigure(_)), "{:?}", next.due());
    next.sign();
    assert!(next.left(exhaust(3)).is_some());
}

#[test]
fn so_is_a_valve_with_a_new_shim_and_what_lay_under_its_cams_is_judged_as_found() {
    let mut first = Service::cams_out(vee_twin(), "left", (intake(1), "36"));
    first.calmly_while(|_, due| !matches!(due, Due::CamsOut(..)));
    // Cams out: they are told, and the valve that has another shim.
    assert_eq!(to_gauge(&first.session.state.left_open("x")), [(intake(1), true)]);
    first.tell(cams_in("left", 1));
    first.calmly_while(|_, due| !matches!(due, Due::TurnThrough(_))).tell(Input::Answer(1));
    first.tell(Input::CloseUnsigned { why: why() });
    let left = first.session.state.left_open("spring");
    assert_eq!(to_gauge(&left), [(intake(1), true), (exhaust(1), false)]);
    let mut next = Service::after(vee_twin(), left);
    next.calmly_while(|_, due| *due != Due::Scope);
    let begin = Begin { rounds: Some(Rounds::SurveyOnly), ..Begin::default() };
    next.tell(Input::Begin(Box::new(begin)));
    let touched = next.session.state.touched.clone();
    assert!(touched.contains(&intake(1)) && !touched.contains(&exhaust(1)), "{touched:?}");
    next.on_to_gauge(exhaust(1));
    next.sign();
    assert!(next.left(intake(1)).is_some() && next.left(exhaust(1)).is_some());
}

#[test]
fn so_is_what_was_gauged_on_a_torque_that_nobody_knows() {
    let mut first = Service::new(flat_four());
    first.prepare(Rounds::SetThenRecheck, Some(vec![3]));
    first.tell(work(3, "valve or seat"));
    first.calmly_while(|_, due| *due != Due::HoldDown(3)).tell(Input::HoldDownNotMeasured);
    first.calmly_while(|service, _| service.session.state.round().is_some());
    assert_eq!((first.due(), first.left(intake(3)).is_some()), (Due::HoldDown(3), true));
    first.tell(Input::CloseUnsigned { why: why() });
    assert_eq!(open(&first), [intake(3), exhaust(3)]);
    let mut next = Service::after(flat_four(), first.session.state.left_open("spring"));
    next.prepare(Rounds::SetThenRecheck, None);
    next.calmly_while(|_, due| !matches!(due, Due::HoldDown(_) | Due::Gauge(..)));
    next.sign();
    assert!(next.found(intake(3)).is_none() && next.left(intake(3)).is_some());
}

#[test]
fn another_version_that_left_it_so_has_it_gauged_here_once_more() {
    let left = worked().session.state.left_open("version B");
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(3)).gauge("6").on_to_round(1);
    assert!(!service.session.state.knows_of(&left[0].item));
    service.keep(Entry::Begin(Begin { left_open: left.clone(), ..Begin::default() }));
    assert!(left.iter().all(|left| service.session.state.knows_of(&left.item)));
    assert_eq!(open(&service), [intake(3), exhaust(3)]);
    assert_eq!(service.found(intake(3)), Some("6"), "as found it stands");
    service.sign();
    assert!(service.session.state.found_lost.is_empty());
}
