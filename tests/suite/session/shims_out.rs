//! A shim that goes back as it came out, and how the engine is drawn while shims are out.

use super::engines::{self, exhaust, intake};
use super::harness::{Service, why};
use super::mechanic;
use super::parts::{begun, cams_in, read, shim, survey};
use cowlside::domain::entry::{Begin, LeftItem, PartKind, Step};
use cowlside::domain::flat;
use cowlside::domain::service;
use cowlside::domain::session::{Due, Holds, Input, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::units::Length;
use cowlside::domain::units::LengthUnit;
use cowlside::domain::valve::Standing;
use cowlside::guide::{Answered, Prompt, Talk};
use cowlside::report::record::record;

#[test]
fn where_the_same_shim_goes_back_the_valve_is_gauged_again_and_was_not_adjusted() {
    // What came out and what went in: its mark and by the micrometer, and whether it was another for all
    // that is known. Marks are equal on different shims.
    let told = [
        (["2.60", ""], ["2.60", ""], true),
        (["2.60", "2.58"], ["2.60", "2.58"], false),
        (["", "2.58"], ["2.60", "2.58"], false),
        (["2.60", "2.58"], ["the same one", ""], false),
        (["2.60", ""], ["the same one", ""], false),
        (["2.60", ""], ["2.60", "2.60"], true),
        (["2.60", "2.58"], ["2.60", ""], true),
        (["2.60", "2.60"], ["2.65", "2.65"], true),
    ];
    for (out, back, adjusted) in told {
        let known = [(intake(1), 2600), (exhaust(1), 2700)];
        let mut service = begun(engines::vee_twin(), &known);
        survey(&mut service, &[(intake(1), "30")]);
        service.tell(Input::CamsOut { bank: Some("left".into()) });
        service.tell(shim(true, intake(1), out[0], out[1]));
        service.tell(shim(false, intake(1), back[0], back[1]));
        let touched = service.session.state.touched.contains(&intake(1));
        assert_eq!(touched, adjusted, "{out:?} {back:?}");
        if !adjusted {
            let size = if out[1].is_empty() { "2.60 mm" } else { "2.58 mm" };
            let fitted = service.session.state.fitted_size(intake(1)).unwrap();
            assert_eq!(fitted.text(LengthUnit::Mm), size, "{out:?} {back:?}");
        }
        service.tell(cams_in("left", 1)).tell(Input::Answer(1));
        service.on_to_gauge(intake(1));
        assert_eq!(service.due(), Due::Gauge(intake(1), Step::Left));
        // A valve that was apart is not left out of the scope before it was gauged.
        let scope = Some(vec![2]);
        let narrow = Begin { scope, scope_why: Some(why()), ..Begin::default() };
        let refused = service.refused(Input::Begin(Box::new(narrow)));
        assert!(matches!(refused, Refusal::StaysInScope(_)), "{refused:?}");
        read(&mut service, if adjusted { "25" } else { "30" });
        if !adjusted {
            service.calmly_while(|_, due| *due != Due::PartsList);
            service.tell(Input::LeaveAllAsIs { why: why() });
        }
        service.on_to_sign();
        let said = Talk::default();
        let Answered::Next(kind) = said.answer(&service.session, "Signer") else { panic!() };
        let Answered::Next(number) = kind.answer(&service.session, "") else { panic!() };
        let Answered::Next(words) = number.answer(&service.session, "") else { panic!() };
        let offered = words.prompt(&service.session).field.choices[0].label.clone();
        assert_eq!(offered.contains("and set"), adjusted, "{offered}");
        let sheet = record(&service.session, &Earlier::default());
        assert_eq!(sheet.contains("none adjusted"), !adjusted, "{sheet}");
        // A table of it says the same, in its own words.
        let rows = flat::rows(&service.session, &service::Service::of(&service.session), "twin");
        let parts = rows.iter().find(|row| !row.part_in.is_empty());
        assert_eq!(parts.unwrap().part_in == "the same one", !adjusted, "{parts:?}");
    }
}

/// Answers what is due with these keys and keeps what comes of it.
pub fn keyed(service: &mut Service, keys: &[&str]) {
    let mut talk = Talk::default();
    for key in keys {
        match talk.answer(&service.session, key) {
            Answered::Next(next) => talk = next,
            Answered::Keep(entries) => {
                entries.into_iter().for_each(|entry| service.keep(entry));
                return;
            }
            other => panic!("{key}: {other:?}"),
        }
    }
    panic!("{keys:?} leave a question open");
}

#[test]
fn that_it_is_the_same_one_is_a_key_and_stands_on_the_record() {
    let mut service = begun(engines::vee_twin(), &[(intake(1), 2600)]);
    survey(&mut service, &[(intake(1), "30")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, intake(1), "2.60", ""));
    keyed(&mut service, &["3"]);
    assert!(!service.session.state.touched.contains(&intake(1)));
    assert!(service.session.state.removed.is_empty(), "it lies on no bench");
    let sheet = record(&service.session, &Earlier::default());
    assert!(
        sheet.contains("shim in, the same one") && !sheet.contains("marked the same"),
        "{sheet}"
    );

    let mut service = rod_out();
    keyed(&mut service, &["9", ""]);
    assert!(!service.session.state.touched.contains(&intake(1)));
    let sheet = record(&service.session, &Earlier::default());
    assert!(sheet.contains("push rod in") && sheet.contains("the same one"), "{sheet}");
}

/// What is asked after these keys.
pub fn asked(service: &Service, keys: &[&str]) -> Prompt {
    let talk =
        keys.iter().fold(Talk::default(), |talk, key| match talk.answer(&service.session, key) {
            Answered::Next(next) => next,
            other => panic!("{key}: {other:?}"),
        });
    talk.prompt(&service.session)
}

/// The shim of 1 exhaust is out, 2.70; with it that read 0.20.
pub fn exhaust_out() -> Service {
    let mut service = begun(engines::vee_twin(), &[(exhaust(1), 2700)]);
    survey(&mut service, &[(exhaust(1), "20")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, exhaust(1), "2.70", ""));
    service
}

#[test]
fn a_part_that_leaves_nothing_or_leads_outside_is_asked_about_before_it_is_kept() {
    let mut service = exhaust_out();
    // 2.70 + 0.20: nothing is left from 2.90 on; 0.25 to 0.35 is allowed.
    let keys = ["2", "", "2.95"];
    let sure = asked(&service, &keys);
    assert_eq!(sure.title, "2.95 would hold 1 exhaust open");
    assert_eq!(sure.ask, "2.95 leaves nothing: did it go in?");
    let outside = asked(&service, &["2", "2.75", ""]);
    assert_eq!(outside.ask, "2.75 leads to 0.15 mm: did it go in?");
    // Told anew, all that led to it is asked again: what came out, then what went in.
    for told in [["2", "2.75", ""], ["1", "2.95", "1"]] {
        let anew = |keys: &[&str]| asked(&service, &[&told[..], keys].concat());
        assert_eq!(anew(&["2"]).title, "The shim that came out of 1 exhaust", "{told:?}");
        assert_eq!(anew(&["2", "", ""]).title, asked(&service, &[]).title, "{told:?}");
        let mut other = service.clone();
        keyed(&mut other, &[&told[..], &["2", "2.80", ""]].concat());
        assert_eq!(other.session.state.fitted_size(exhaust(1)), Some(Length::from_um(2800)));
        assert_eq!(other.session.state.removed, [(exhaust(1), Length::from_um(2800))]);
        let (mut never, why) = (other.clone(), why());
        let of = never.session.came_out_last().unwrap().seq;
        never.tell(Input::Void { of, why });
        assert!(!never.session.state.part_is_out(exhaust(1)), "it never came out");
        // 2.80 + 0.20 - 2.75 is inside.
        keyed(&mut other, &["2", "2.75", ""]);
    }
    let mut inside = service.clone();
    keyed(&mut inside, &["2", "2.60", ""]);
    assert!(!asked(&inside, &[]).lines.join(" ").contains("HOLD"), "{:?}", asked(&inside, &[]));
    // Kept all the same: what turns is warned of, by name, until it is gauged or out again.
    keyed(&mut service, &["2", "", "2.95", "1"]);
    let warned = |service: &Service| {
        asked(service, &[])
            .lines
            .join(" ")
            .contains("WHAT WENT IN WOULD HOLD 1 EXHAUST OPEN: take it out first.")
    };
    assert!(warned(&service), "{:?}", asked(&service, &[]));
    service.tell(cams_in("left", 1));
    assert!(matches!(service.due(), Due::TurnThrough(_)) && warned(&service));
    read(service.tell(Input::Answer(1)).on_to_gauge(intake(1)), "30");
    service.on_to_gauge(exhaust(1));
    assert!(!asked(&service, &[]).lines.join(" ").contains("HOLD"), "no word before it is read");
    read(&mut service, "30");
    assert_eq!(service.due(), Due::Again(exhaust(1), Step::Left));
    // Gauged with it, it is known: nor is it warned of while other shims are out.
    read(&mut service, "30");
    service.tell(Input::Believe { why: why() });
    service.calmly_while(|_, due| *due != Due::PartsList);
    assert_eq!(service.session.state.held_open_by_parts(), []);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    assert_eq!(service.session.state.held_open_by_parts(), [], "gauged with it, cams out or in");

    // Of push rods the menu itself says it; a shim that sets nothing there is asked no such thing.
    let mut service = begun(engines::push_rods(), &[]);
    survey(&mut service, &[(intake(1), "60")]);
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    let mut under = service.clone();
    under.tell(mechanic::part(true, intake(1), PartKind::Shim, "2.50 mm"));
    keyed(&mut under, &["2", "2.50", ""]);
    service.tell(mechanic::part(true, intake(1), PartKind::Pushrod, "0"));
    let rods = asked(&service, &[]);
    let mut held =
        rods.field.choices.iter().filter(|one| one.label.contains("hold the valve open"));
    let digit = held.next().expect("a rod too long").digit.to_string();
    let sure = asked(&service, &[&digit]);
    assert!(sure.title.ends_with("would hold 1 intake open"), "{sure:?}");
    let anew = asked(&service, &[&digit, "2"]);
    assert_eq!(anew.title, "The push rod that came out of 1 intake");
    assert_eq!(asked(&service, &[&digit, "2", ""]).ask, rods.ask);
    assert!(asked(&service, &["9", "+5 mm"]).title.ends_with("would hold 1 intake open"));
    keyed(&mut service, &[&digit, "1"]);
    assert!(!service.session.state.part_is_out(intake(1)));
}

#[test]
fn what_a_part_leads_to_goes_by_the_reading_before_it_as_that_counts_now() {
    let corrected = |keys: &[&str], typed: &str| {
        let mut service = exhaust_out();
        let mut readings = service.session.state.readings.iter();
        let of = readings.find(|one| one.reading.valve == exhaust(1)).unwrap().seq;
        keyed(&mut service, keys);
        let before = service.session.state.held_open_by_parts();
        service.tell(Input::CorrectValue { of, typed: typed.into(), why: why(), sure: true });
        (before, service)
    };
    let (before, mut right) = corrected(&["2", "", "2.95", "1"], "50");
    assert_eq!(before, [(exhaust(1), Holds::Surely)], "2.70 + 0.20 - 2.95");
    assert_eq!(right.session.state.held_open_by_parts(), [], "2.70 + 0.50 - 2.95");
    right.tell(cams_in("left", 1)).tell(Input::Answer(1)).on_to_gauge(exhaust(1));
    read(&mut right, "25");
    assert!(!matches!(right.due(), Due::Again(..)), "{:?}", right.due());
    let (before, nothing) = corrected(&["2", "2.75", "", "1"], "5");
    assert_eq!(before, [], "2.70 + 0.20 - 2.75");
    let held = nothing.session.state.held_open_by_parts();
    assert_eq!(held, [(exhaust(1), Holds::Surely)], "2.70 + 0.05 - 2.75");
}

#[test]
fn of_a_shim_that_came_out_unmeasured_its_size_is_typed_later_or_it_goes_back_without_one() {
    let unmeasured = || {
        let mut service = begun(engines::vee_twin(), &[]);
        survey(&mut service, &[(intake(1), "30"), (exhaust(1), "10")]);
        service.tell(Input::CamsOut { bank: Some("left".into()) });
        service.tell(shim(true, intake(1), "not told", ""));
        service.tell(shim(true, exhaust(1), "2.70", ""));
        assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Shim));
        service
    };
    let mut service = unmeasured();
    let said = asked(&service, &[]).lines.join(" ");
    assert!(said.contains("unmeasured: measure it now, type its size"), "{said}");
    keyed(&mut service, &["4", "", "2.60"]);
    assert_eq!(service.session.state.fitted_size(intake(1)), Some(Length::from_um(2600)));
    assert_eq!(service.due(), Due::PartOut(intake(1), PartKind::Shim));
    let choices = asked(&service, &[]).field.choices;
    assert!(choices.iter().any(|one| one.label == "2.70 mm went in"), "{choices:?}");
    // One from the shelf goes in of the size that it was taken for: it lies there all the same, as measured.
    let mut service = unmeasured();
    service.tell(shim(true, intake(1), "3.00", "")).tell(shim(false, exhaust(1), "3.00", ""));
    service.tell(shim(true, intake(1), "3.00", ""));
    let (own, lies) = ((exhaust(1), Length::from_um(2700)), |um| (intake(1), Length::from_um(um)));
    assert_eq!(service.session.state.removed, [own], "by its mark it went in there");
    service.tell(shim(true, intake(1), "3.00", "2.98"));
    assert_eq!(service.session.state.removed, [own, lies(2980)]);
    let mut service = unmeasured();
    keyed(&mut service, &["3"]);
    assert!(!service.session.state.part_is_out(intake(1)));
    assert_eq!(service.session.state.fitted_size(intake(1)), None);
    // As it was before: another figure is not believed at once.
    keyed(&mut service, &["3"]);
    service.tell(cams_in("left", 1)).tell(Input::Answer(1)).on_to_gauge(intake(1));
    read(&mut service, "20");
    assert_eq!(service.due(), Due::Again(intake(1), Step::Left));
}

/// A push rod that is out of a valve too loose.
pub fn rod_out() -> Service {
    let mut service = begun(engines::push_rods(), &[]);
    survey(&mut service, &[(intake(1), "60")]);
    service.calmly_while(|_, due| !matches!(due, Due::ChangeRod(..)));
    service.tell(mechanic::part(true, intake(1), PartKind::Pushrod, "0"));
    service
}

#[test]
fn where_another_part_was_out_too_its_valve_is_not_as_it_was_whatever_goes_back() {
    let rocker = |out| mechanic::part(out, intake(1), PartKind::Rocker, "");
    let rod = |out, size| mechanic::part(out, intake(1), PartKind::Pushrod, size);
    let touched = |service: &Service| service.session.state.touched.contains(&intake(1));
    for back in ["0", "the same one"] {
        let mut service = rod_out();
        service.tell(rocker(true)).tell(rocker(false)).tell(rod(false, back));
        assert!(touched(&service), "rod, rocker, {back}");
        let mut service = rod_out();
        service.tell(rocker(true)).tell(rod(false, back)).tell(rocker(false));
        assert!(touched(&service), "rod and rocker, {back}");
        let mut service = rod_out();
        service.tell(rod(false, back));
        assert_eq!(touched(&service), back == "0", "a rod as long may be another: {back}");
    }
}

#[test]
fn while_shims_are_out_the_drawing_shows_which_is_due_and_what_the_others_read() {
    let known = [(intake(1), 2600), (exhaust(1), 2700)];
    let mut service = begun(engines::vee_twin(), &known);
    let out = [(intake(1), "35"), (exhaust(1), "20"), (exhaust(2), "20")];
    while service.due() != Due::PartsList {
        match service.due() {
            Due::Gauge(valve, _) | Due::Again(valve, _)
                if out.iter().any(|(of, _)| *of == valve) =>
            {
                read(&mut service, out.iter().find(|(of, _)| *of == valve).unwrap().1);
            }
            due => {
                let input = mechanic::calm(&service.session, &due);
                service.tell(input);
            }
        }
    }
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    let stand = |service: &Service| {
        [intake(1), exhaust(1), intake(2), exhaust(2)]
            .map(|one| service.session.state.standing(one))
    };
    let Due::TakeOut(first) = service.due() else { panic!("{:?}", service.due()) };
    assert_eq!(first, intake(1));
    use Standing::{DueNow, InLimits, NotYet, PartOut, Tight};
    assert_eq!(stand(&service), [DueNow, Tight, InLimits, Tight]);
    service.tell(shim(true, intake(1), "2.60", ""));
    assert_eq!(stand(&service), [PartOut, DueNow, InLimits, Tight]);
    service.tell(Input::LeaveAsIs { valve: exhaust(1), why: why() });
    service.calmly_while(|_, due| !matches!(due, Due::PartOut(..) | Due::PartsList));
    if service.due() == Due::PartsList {
        service.tell(Input::LeaveAllAsIs { why: why() });
    }
    service.tell(shim(false, intake(1), "2.70", ""));
    assert_eq!(stand(&service)[0], NotYet, "nothing was read with the new shim");
    assert_eq!(stand(&service)[1], Tight);
}

#[test]
fn a_shim_that_the_service_before_measured_is_not_asked_for_its_size_again() {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, intake(1), "2.80", "2.79")).tell(Input::CloseUnsigned { why: why() });
    let left = service.session.state.left_open("spring");
    let mut next = Service::after(engines::vee_twin(), left.clone());
    assert_eq!(next.session.state.sizes_owed, []);
    let size = next.session.state.fitted_size(intake(1)).unwrap();
    assert_eq!(size.text(LengthUnit::Mm), "2.79 mm", "measured counts before marked");
    assert_eq!(next.session.state.removed.len(), 1);
    let told = next.session.state.left_open("summer");
    let told = |item: &LeftItem| told.iter().any(|one| one.item == *item);
    assert!(left.iter().all(|left| told(&left.item)), "handed on as it was");
    assert!(left.iter().all(|left| next.session.state.knows_of(&left.item)), "{left:?}");
    next.sign();
    // One that nobody measured is asked for.
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, intake(1), "", "")).tell(Input::CloseUnsigned { why: why() });
    let next = Service::after(engines::vee_twin(), service.session.state.left_open("spring"));
    assert_eq!(next.session.state.sizes_owed, [(intake(1), PartKind::Shim)]);
}

#[test]
fn a_part_whose_size_is_told_late_is_one_part_on_the_record() {
    let mut service = begun(engines::vee_twin(), &[]);
    survey(&mut service, &[(intake(1), "30")]);
    service.tell(Input::CamsOut { bank: Some("left".into()) });
    service.tell(shim(true, intake(1), "", "")).tell(shim(true, intake(1), "2.60", ""));
    let sheet = record(&service.session, &Earlier::default());
    let rows: Vec<&str> = sheet.lines().filter(|line| line.contains("1 intake  ")).collect();
    let out = |words: &str| rows.iter().filter(|line| line.contains(words)).count();
    assert_eq!((out("shim out"), out("that shim, marked 2.60")), (1, 1), "{sheet}");
}
