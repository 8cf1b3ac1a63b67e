//! A part is out from the word that it is, not only once its size is told; and its size is asked until it is.

use super::engines::{self, intake};
use super::harness::{Service, why};
use super::parts::{begun, survey};
use cowlside::domain::entry::{Back, Part, PartKind};
use cowlside::domain::session::{Due, Input, OpenItem, OutPart, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::units::Length;
use cowlside::domain::valve::Valve;
use cowlside::guide::{Answered, Talk, hangar};

fn out(valve: Valve, part: PartKind) -> OpenItem {
    OpenItem::PartOut(OutPart { valve: Some(valve), part, bank: None })
}

/// Answers what is due with these keys.
fn keys(service: &mut Service, keys: &[&str]) {
    let mut answered = Answered::Next(Talk::default());
    for key in keys {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
}

fn asks(service: &Service) -> String {
    Talk::default().prompt(&service.session).ask
}

/// A push rod of 1 intake is to be changed.
fn rod() -> Service {
    let mut service = begun(engines::push_rods(), &[]);
    survey(&mut service, &[(intake(1), "120")]);
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    service
}

#[test]
fn a_push_rod_is_out_before_its_length_is_told() {
    let mut service = rod();
    keys(&mut service, &["1"]);
    assert!(service.open().contains(&out(intake(1), PartKind::Pushrod)), "{:?}", service.open());
    let (lines, _) = hangar::lines(&service.session, &Earlier::default());
    assert!(lines.iter().any(|line| line.starts_with("PUSH ROD OUT")), "{lines:?}");
    assert_eq!(service.refused(Input::Lost), Refusal::PartOut);
    // Called away, over night: it is still asked.
    service.tell(Input::Away(String::new()));
    service.tell(Input::Back(Back { new_day: true, ..Back::default() }));
    service.calmly_while(|_, due| !matches!(due, Due::PartOut(..)));
    assert!(asks(&service).contains("difference from standard"), "{}", asks(&service));
    keys(&mut service, &["+0.030 in"]);
    assert_eq!(service.session.state.fitted_size(intake(1)), Some(Length::from_tenths_thou(300)));
    assert!(asks(&service).starts_with("Which rod went into"), "{}", asks(&service));
    assert_eq!(
        service.open().iter().filter(|item| matches!(item, OpenItem::PartOut(_))).count(),
        1
    );
    service.sign();
}

#[test]
fn a_length_that_nobody_can_tell_is_asked_once() {
    let mut service = rod();
    keys(&mut service, &["1"]);
    keys(&mut service, &[""]);
    assert_eq!(service.session.state.fitted_size(intake(1)), None);
    assert!(asks(&service).starts_with("Which rod went into"), "{}", asks(&service));
    let (valve, part) = (intake(1), PartKind::Pushrod);
    let (marked, measured) = (Part::NOT_TOLD.into(), String::new());
    let again = Input::PartOut { valve, part, marked, measured };
    assert_eq!(service.refused(again), Refusal::NotNow, "out, and answered for");
    service.sign();
}

/// A shim past its cam, of a valve of which it is known what was in it.
fn shim() -> Service {
    let mut service = begun(engines::vee_twin(), &[(intake(1), 2600)]);
    survey(&mut service, &[(intake(1), "30")]);
    assert_eq!(service.due(), Due::PartsList);
    service
}

#[test]
fn a_shim_is_out_before_it_is_measured_and_lies_there_once() {
    let mut service = shim();
    keys(&mut service, &["5"]);
    assert!(service.open().contains(&out(intake(1), PartKind::Shim)), "{:?}", service.open());
    assert!(asks(&service).contains("Marked size"), "{}", asks(&service));
    keys(&mut service, &["2.60", "2.58"]);
    let state = &service.session.state;
    assert_eq!(state.removed, [(intake(1), Length::from_um(2580))]);
    assert_eq!(state.parts_out.len(), 1);
    // The same one back, as it was measured then: not adjusted.
    service.tell(Input::PartIn {
        valve: intake(1),
        part: PartKind::Shim,
        marked: "2.60".into(),
        measured: "2.58".into(),
    });
    assert!(service.session.state.removed.is_empty());
    assert!(!service.session.state.touched.contains(&intake(1)));
    service.sign();
}

#[test]
fn taken_back_it_is_in_whether_its_size_was_told_or_not() {
    for told in [false, true] {
        let mut service = shim();
        let before = service.session.state.clone();
        keys(&mut service, &["5"]);
        if told {
            keys(&mut service, &["2.60", "2.58"]);
        }
        let of = service.session.came_out_last().unwrap().seq;
        let mut other = service.clone();
        service.tell(Input::Void { of, why: why() });
        assert!(service.session.state == before, "told {told}");
        service.sign();
        // The wrong valve was named.
        let (marked, measured) = ("2.70".into(), String::new());
        let valve = intake(2);
        other.tell(Input::PartOutRetold { of, valve, marked, measured, why: why() });
        let parts: Vec<_> = other.session.state.parts_out.iter().map(|out| out.valve).collect();
        assert_eq!(parts, [Some(intake(2))], "told {told}");
        other.sign();
    }
}

#[test]
fn a_second_entry_of_a_part_is_its_size_only_where_it_says_so() {
    for size_only in [true, false] {
        let mut service = shim();
        keys(&mut service, &["5"]);
        let sized = Input::PartOut {
            valve: intake(1),
            part: PartKind::Shim,
            marked: "2.60".into(),
            measured: String::new(),
        };
        let mut made = service.session.decide(&sized).unwrap();
        let [cowlside::domain::entry::Entry::Part(part)] = made.as_mut_slice() else {
            panic!("{made:?}")
        };
        assert!(std::mem::replace(&mut part.size_only, size_only), "kept as its size alone");
        made.into_iter().for_each(|entry| service.keep(entry));
        // As versions before this one had it, and tables still may.
        let out = service.session.state.parts_out.len();
        assert_eq!(out, if size_only { 1 } else { 2 });
    }
}

#[test]
fn that_another_is_out_of_which_nobody_can_tell_the_size_is_asked_once() {
    let mut service = shim();
    keys(&mut service, &["5"]);
    let of = service.session.came_out_last().unwrap().seq;
    let beside = cowlside::guide::Beside::default();
    let command = cowlside::guide::Command::TakeBack;
    let mut answered = Talk::call(&service.session, command, beside.into());
    // The wrong valve was named; no mark can be read, and nothing was measured.
    for key in ["3", "2", "1", "", ""] {
        let Answered::Next(talk) = answered else { panic!("{key}: {answered:?}") };
        answered = talk.answer(&service.session, key);
    }
    let Answered::Keep(entries) = answered else { panic!("{answered:?}") };
    entries.into_iter().for_each(|entry| service.keep(entry));
    assert!(service.session.is_void(of));
    assert_eq!(service.session.state.sizes_owed, []);
    assert!(service.open().contains(&out(intake(2), PartKind::Shim)), "{:?}", service.open());
}
