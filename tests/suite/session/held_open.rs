//! A valve that what went in would hold open, or may: open until it was gauged with it, or that is out.

use super::engines::{self, exhaust, intake};
use super::harness::{Service, why};
use super::parts::{begun, cams_in, read, shim, survey};
use super::shims_out::{asked, exhaust_out, keyed, rod_out};
use cowlside::domain::entry::{Back, Begin, LeftItem, PartKind, Rounds, Step, Work};
use cowlside::domain::session::{Due, Gravity, Holds, Input, OpenItem, OutPart, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::glance::undo;
use cowlside::guide::{hangar, status};
use cowlside::report::parts_sheet::parts_text;
use cowlside::report::record::record;

const HELD: OpenItem = OpenItem::HeldOpen(Valve { cylinder: 1, kind: Kind::Exhaust, number: 1 });

/// A shim is in that leaves 1 exhaust nothing: 2.70 + 0.20 - 2.95.
fn too_thick() -> Service {
    let mut service = exhaust_out();
    keyed(&mut service, &["2", "", "2.95", "1"]);
    service
}

/// The first line of what is asked, which each answer speaks of.
fn first_line(service: &Service) -> String {
    let ask = asked(service, &[]);
    assert!(ask.field.whole > 0 && ask.field.of_any, "{ask:?}");
    ask.lines[0].clone()
}

const WARNED: &str = "WHAT WENT IN WOULD HOLD 1 EXHAUST OPEN: take it out first.";

#[test]
fn it_is_open_beside_parts_that_are_out_until_it_is_gauged() {
    let mut service = too_thick();
    let cams = OutPart { valve: None, part: PartKind::Cam, bank: Some("left".into()) };
    assert_eq!(service.open()[..2], [OpenItem::PartOut(cams), HELD]);
    assert!(HELD.bars_close_up() && HELD.gravity() == Gravity::HeldOpen);
    assert!(HELD.gravity().is_danger());
    let told = "MAY BE HELD OPEN: 1 exhaust";
    assert_eq!(status::open_lines(&service.session)[1], told);
    service.tell(cams_in("left", 1));
    assert_eq!(service.open()[..2], [HELD, OpenItem::TurnsOwed]);
    assert_eq!(asked(&service, &[]).lines[0], WARNED);
    // First after a break, on the notice in large letters too.
    service.tell(Input::Away(String::new()));
    assert_eq!(hangar::large(&service.session).as_deref(), Some("1 EXH HELD OPEN?"));
    assert_eq!(hangar::lines(&service.session, &Earlier::default()).0[0], told);
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() }));
    let back = status::way_back(&service.session, &Earlier::default());
    assert!(back.iter().any(|line| line.contains(told)), "{back:?}");
    // Whatever turns the crank is asked for with it first, and turned it is.
    let mut turned = 0;
    while service.due() != Due::Gauge(exhaust(1), Step::Left) {
        let due = service.due();
        let pulled = matches!(&due, Due::Caution(line, _) if line.id == "oil-lock");
        if pulled || matches!(due, Due::Turn { .. } | Due::Rock { .. }) {
            assert_eq!(first_line(&service), WARNED, "{due:?}");
            turned += 1;
        }
        service.tell(super::mechanic::calm(&service.session, &due));
    }
    assert!(turned > 1, "{turned}");
    assert!(service.open().contains(&HELD));
    read(&mut service, "30");
    assert!(!service.open().contains(&HELD), "{:?}", service.open());
}

#[test]
fn that_nothing_goes_under_it_shows_no_valve_shut() {
    // Too thick by its size, and one that leads inside the limits.
    for size in ["2.95", "2.60"] {
        let mut service = exhaust_out();
        keyed(
            &mut service,
            if size == "2.95" { &["2", "", "2.95", "1"] } else { &["2", "", "2.60"] },
        );
        service.tell(cams_in("left", 1));
        let turns = asked(&service, &[]).big.unwrap().text;
        assert_eq!(turns == "1 EXH HELD OPEN", size == "2.95", "{size}: {turns}");
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(one, _) if *one == exhaust(1)));
        read(&mut service, "0");
        assert!(service.open().contains(&HELD), "{size}: {:?}", service.open());
        while let Due::Again(..) | Due::Rock { .. } = service.due() {
            let again = matches!(service.due(), Due::Again(..));
            service.calmly_while(|_, due| matches!(due, Due::Rock { .. }));
            if again {
                read(&mut service, "0");
            }
        }
        assert!(service.open().contains(&HELD), "{size}: {:?}", service.open());
        service.tell(Input::PartOut {
            valve: exhaust(1),
            part: PartKind::Shim,
            marked: size.into(),
            measured: String::new(),
        });
        assert!(!service.open().contains(&HELD), "{size}: {:?}", service.open());
    }
}

#[test]
fn it_is_gone_with_the_part_and_a_round_that_is_passed_over_asks_for_its_figure() {
    let mut service = too_thick();
    service.tell(shim(true, exhaust(1), "2.95", ""));
    assert!(!service.open().contains(&HELD));
    keyed(&mut service, &["2", "", "2.60"]);
    assert!(!service.open().contains(&HELD));

    let mut service = too_thick();
    service.tell(cams_in("left", 1)).tell(Input::Answer(1)).on_to_turn();
    service.tell(Input::SkipRound { why: why() });
    assert!(matches!(service.due(), Due::NoFigure(_)), "{:?}", service.due());
    assert_eq!(service.open()[0], HELD);
}

#[test]
fn the_next_service_has_it_open_and_gauges_it() {
    let mut service = too_thick();
    service.tell(cams_in("left", 1)).tell(Input::CloseUnsigned { why: why() });
    assert_eq!(service.open()[0], HELD);
    let left = service.session.state.left_open("spring");
    let of_it = |item: &LeftItem| match item {
        LeftItem::HeldOpen(valve) | LeftItem::GaugeAfter { valve, .. } => *valve == exhaust(1),
        _ => false,
    };
    let told: Vec<&LeftItem> =
        left.iter().map(|left| &left.item).filter(|one| of_it(one)).collect();
    assert_eq!(told, [&LeftItem::HeldOpen(exhaust(1))], "told once");
    let mut next = Service::after(engines::vee_twin(), left);
    assert_eq!(next.open()[0], HELD);
    let again = next.session.state.left_open("summer");
    assert!(again.iter().any(|left| left.item == LeftItem::HeldOpen(exhaust(1))));
    assert_eq!(next.session.state.still_left()[0], ("spring", HELD));
    next.calmly_while(|_, due| !matches!(due, Due::Gauge(one, _) if *one == exhaust(1)));
    assert_eq!(next.open()[0], HELD);
    read(&mut next, "30");
    assert!(!next.open().contains(&HELD));
    next.sign();
}

#[test]
fn nobody_sees_a_cylinder_at_overlap_before_the_engine_was_turned_through() {
    let mut service = exhaust_out();
    service.tell(shim(false, exhaust(1), "2.60", "")).tell(cams_in("left", 1));
    let work = Input::Work { cylinder: 1, what: Work::CAM.into(), text: String::new() };
    service.tell(work);
    assert_eq!(service.due(), Due::HoldDown(1), "asked before it is turned");
    for seen in [Input::SeeOverlap(2), Input::SeeLoose(2)] {
        let refused = service.refused(seen);
        assert_eq!(refused, Refusal::OpenItem(OpenItem::TurnsOwed.to_string()));
    }
    assert_eq!(service.refused(Input::Lost), Refusal::NotNow);
}

/// The shim of 1 exhaust is out, and nobody could tell its size.
fn unmeasured(typed: &str) -> Service {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(exhaust(1), typed)]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, exhaust(1), "not told", ""));
    service
}

#[test]
fn what_goes_in_for_a_shim_that_nobody_measured_is_asked_about_once() {
    // The thinnest that is listed is 2.20: with it that read 0.20.
    let mut service = unmeasured("20");
    let sure = asked(&service, &["2", "3.15", ""]);
    assert_eq!(sure.title, "3.15 may hold 1 exhaust open");
    assert_eq!(sure.field.choices[1].label, "measure what came out, then tell both");
    assert!(sure.lines.join(" ").contains("gauge it by hand, the valve closed, before any turn"));
    let anew = asked(&service, &["2", "3.15", "", "2"]);
    assert_eq!(anew.title, "The shim that came out of 1 exhaust");
    let mut thin = service.clone();
    keyed(&mut thin, &["2", "2.35", ""]);
    assert!(!thin.open().contains(&HELD), "2.20 + 0.20 - 2.35");
    let mut same = service.clone();
    keyed(&mut same, &["3"]);
    assert!(!same.open().contains(&HELD), "as it was");
    let mut measured = service.clone();
    keyed(&mut measured, &["4", "", "2.70"]);
    keyed(&mut measured, &["2", "2.60", ""]);
    assert!(!measured.open().contains(&HELD), "2.70 + 0.20 - 2.60");
    keyed(&mut service, &["2", "3.15", "", "1"]);
    assert!(service.open().contains(&HELD));
    assert_eq!(service.session.state.held_open_by_parts(), [(exhaust(1), Holds::Perhaps)]);
    service.tell(cams_in("left", 1));
    assert_eq!(
        asked(&service, &[]).lines[0],
        "WHAT WENT IN MAY HOLD 1 EXHAUST OPEN: gauge it by hand, closed, before any turn."
    );
    service.tell(Input::Answer(1)).on_to_gauge(exhaust(1));
    read(&mut service, "30");
    assert!(!service.open().contains(&HELD));
    // Marks are sizes: where they are known nothing else is asked.
    let mut marked = exhaust_out();
    keyed(&mut marked, &["2", "2.60", ""]);
    assert!(!marked.open().contains(&HELD));
}

#[test]
fn where_nothing_went_in_a_thicker_shim_holds_it_open() {
    let mut service = begun(engines::vee_twin(), &[(exhaust(1), 2700)]);
    survey(&mut service, &[(exhaust(1), "0")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, exhaust(1), "2.70", ""));
    assert_eq!(asked(&service, &["2", "2.75", ""]).title, "2.75 would hold 1 exhaust open");
    keyed(&mut service, &["2", "2.60", ""]);
    assert!(!service.open().contains(&HELD));
}

#[test]
fn what_was_known_to_be_dangerous_outlives_the_reading_and_its_withdrawal_is_taken_back() {
    let mut service = too_thick();
    let mut readings = service.session.state.readings.iter();
    let of = readings.find(|one| one.reading.valve == exhaust(1)).unwrap().seq;
    service.tell(Input::Void { of, why: why() });
    assert!(service.session.is_void(of) && service.open().contains(&HELD));
    let words = "that the reading of 1 exhaust does not count";
    assert_eq!(undo(&service.session).as_deref(), Some("1 EXH made void"));
    let mut back = service.clone();
    back.tell(Input::TakeBack);
    assert!(!back.session.is_void(of) && back.open().contains(&HELD));
    assert!(back.session.state.readings.iter().any(|one| one.seq == of));
    let last = &back.session.kept.last().unwrap().entry;
    let told = status::entry_words(&back.session, last);
    assert_eq!(told, Some(format!("taken back: {words}")));
    assert!(!record(&back.session, &Earlier::default()).contains("withdrawn"));
    // It may be said again, and the key alone takes back what was before it.
    back.tell(Input::Void { of, why: why() }).tell(Input::TakeBack);
    let before = back.session.last_entry().unwrap();
    assert!(matches!(&before.entry, cowlside::domain::entry::Entry::Part(part) if !part.out));
    for mut one in [service, back] {
        one.tell(cams_in("left", 1)).tell(Input::Answer(1)).on_to_gauge(exhaust(1));
        assert!(one.open().contains(&HELD));
        read(&mut one, "30");
        assert!(!one.open().contains(&HELD));
    }
}

#[test]
fn that_the_reading_by_which_a_nut_was_locked_does_not_count_is_not_taken_back() {
    let mut service = Service::new(engines::flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Trying(_)));
    service.tell(Input::Tried { typed: "6".into(), sure: true });
    service.tell(Input::NutLocked);
    let of = service.last_reading();
    service.tell(Input::Void { of, why: why() });
    assert!(service.open().contains(&OpenItem::NutSlack(intake(1))));
    assert!(matches!(service.refused(Input::TakeBack), Refusal::CannotTakeBack(_)));
}

#[test]
fn no_turn_of_a_screw_is_told_from_a_figure_behind_which_another_is_gone() {
    let large = |service: &Service| asked(service, &[]).big.unwrap().then.clone();
    let lines = |service: &Service| asked(service, &[]).lines.join(" ");
    let gone = "A later reading of it does not count: its screw may stand otherwise.";
    let mut service = Service::new(engines::flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Set(valve, _) if *valve == intake(1)));
    assert!(large(&service).starts_with("SCREW IN"), "{}", large(&service));
    // Gauged once more, and that does not count.
    let mut again = service.clone();
    again.tell(Input::Gauge { typed: "10".into(), sure: true });
    let of = again.last_reading();
    again.tell(Input::Void { of, why: why() });
    assert!(matches!(again.due(), Due::Set(..)), "{:?}", again.due());
    assert!(large(&again).is_empty() && lines(&again).contains(gone), "{}", lines(&again));
    // A try taken back: the screw was turned before it.
    service.tell(Input::OpenSet(intake(1)));
    assert!(large(&service).starts_with("SCREW IN"));
    service.tell(Input::Tried { typed: "8".into(), sure: true }).tell(Input::TakeBack);
    assert!(matches!(service.due(), Due::Trying(_)));
    assert!(large(&service).is_empty() && lines(&service).contains(gone), "{}", lines(&service));
    service.tell(Input::Tried { typed: "8".into(), sure: true }).tell(Input::NutStillSlack);
    assert!(large(&service).starts_with("SCREW IN") && !lines(&service).contains(gone));
}

#[test]
fn the_parts_list_tells_what_is_out_and_from_where() {
    let service = rod_out();
    let sheet = parts_text(&service.session, 79);
    assert!(sheet.contains("PUSH ROD OUT: 1 intake, standard"), "{sheet}");
    assert!(sheet.contains("1 intake read 60") && !sheet.contains("nothing that is"), "{sheet}");
    let cams = parts_text(&exhaust_out().session, 79);
    assert!(cams.contains("CAM OUT: left bank") && cams.contains("SHIM OUT: 1 exhaust"), "{cams}");
}

#[test]
fn valves_under_cams_that_came_out_count_as_gauged_and_nobody_adjusted_them() {
    let extent = |service: &Service| {
        let sheet = record(&service.session, &Earlier::default());
        sheet.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for change in [true, false] {
        let mut service = Service::new(engines::vee_twin());
        service.calmly_while(|_, due| *due != Due::Scope);
        let rounds = Some(Rounds::SurveyOnly);
        service.tell(Input::Begin(Box::new(Begin { rounds, change, ..Begin::default() })));
        survey(&mut service, &[(intake(1), "30")]);
        service.tell(Input::CamsOut { bank: Some("left".into()) });
        service.tell(Input::CloseUnsigned { why: why() });
        let sheet = extent(&service);
        let gauged =
            "4 of 4 valves gauged, of which not since opened: 1 intake, 1 exhaust; none adjusted";
        assert!(sheet.contains(gauged), "{change}: {sheet}");
        assert!(!sheet.contains("gauged after work"), "{sheet}");
    }
}
