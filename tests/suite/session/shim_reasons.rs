//! A reason to leave a shim valve as it is: for how far off it stands, and for nothing further.

use super::engines::{exhaust, intake, vee_twin};
use super::harness::{Service, why};
use super::parts::{begun, cams_in, read, shim, survey};
use cowlside::domain::entry::{Entry, Skip, Skipped, Work};
use cowlside::domain::session::{Due, Input};
use cowlside::domain::valve::Valve;

/// Intake 0.36 mm (target 0.20, 0.15 to 0.25), exhaust 0.20 mm (target 0.30, 0.25 to 0.35).
fn two_out() -> Service {
    let known = [(intake(1), 2600), (exhaust(1), 2700)];
    let mut service = begun(vee_twin(), &known);
    survey(&mut service, &[(intake(1), "36"), (exhaust(1), "20")]);
    assert_eq!(service.due(), Due::PartsList);
    service
}

fn leave(valve: Valve) -> Input {
    Input::LeaveAsIs { valve, why: "the manual allows it".into() }
}

fn cams_out(service: &mut Service) {
    service.tell(Input::CamsOut { bank: Some("left".into()) });
}

/// The shim of 1 intake changed, cams in, turned through.
fn together_again(service: &mut Service) {
    service.tell(shim(true, intake(1), "2.60", "")).tell(shim(false, intake(1), "2.70", ""));
    service.tell(cams_in("left", 1)).tell(Input::Answer(1));
}

#[test]
fn a_reason_given_while_shims_are_out_excuses_no_figure_further_off() {
    for (then, asked) in [("20", false), ("15", true)] {
        let mut service = two_out();
        cams_out(&mut service);
        service.calmly_while(|_, due| *due != Due::TakeOut(exhaust(1)));
        assert_eq!(service.due(), Due::TakeOut(exhaust(1)));
        service.tell(leave(exhaust(1)));
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        read(service.on_to_gauge(exhaust(1)), then);
        service.calmly_while(|_, due| !matches!(due, Due::PartsList | Due::CountIn { .. }));
        assert_eq!(service.due() == Due::PartsList, asked, "{then}: {:?}", service.due());
        let holds = service.session.state.reason_to_leave(exhaust(1)).is_some();
        assert_eq!(holds, !asked, "{then}");
        service.sign();
    }
}

#[test]
fn a_reason_outlasts_the_cams_that_come_out_over_it() {
    let mut service = two_out();
    service.tell(leave(exhaust(1)));
    assert_eq!(service.session.state.to_change(), [intake(1)]);
    cams_out(&mut service);
    assert_eq!(service.session.state.to_change(), [intake(1)], "it was to stay");
    together_again(&mut service);
    assert_eq!(service.session.state.to_change(), []);
    read(service.on_to_gauge(exhaust(1)), "20");
    service.calmly_while(|_, due| !matches!(due, Due::PartsList | Due::CountIn { .. }));
    assert!(matches!(service.due(), Due::CountIn { .. }), "{:?}", service.due());
    service.sign();
}

#[test]
fn a_valve_whose_reason_no_longer_holds_is_on_the_parts_list_again() {
    let mut service = two_out();
    service.tell(leave(exhaust(1)));
    cams_out(&mut service);
    together_again(&mut service);
    read(service.on_to_gauge(exhaust(1)), "20");
    service.calmly_while(|_, due| !matches!(due, Due::CountIn { .. }));
    let of = service.session.state.current(exhaust(1)).unwrap().seq;
    let correct =
        |typed: &str| Input::CorrectValue { of, typed: typed.into(), why: why(), sure: true };
    service.tell(correct("15"));
    assert_eq!(service.due(), Due::PartsList);
    assert_eq!(service.session.state.to_change(), [exhaust(1)]);
    // It may be left with a reason there too, or changed.
    let mut left = service.clone();
    left.tell(leave(exhaust(1)));
    assert!(matches!(left.due(), Due::CountIn { .. }), "{:?}", left.due());
    left.sign();
    service.sign();
}

#[test]
fn nobody_knows_the_shims_of_a_cylinder_that_was_replaced() {
    let cases = [(Work::CYLINDER, false), (Work::FOLLOWER, false), ("cam", true)];
    for (what, known) in cases {
        let sizes = [(intake(1), 2750), (intake(2), 2600)];
        let mut service = begun(vee_twin(), &sizes);
        let text = String::new();
        service.tell(Input::Work { cylinder: 1, what: what.into(), text });
        let size = |service: &Service, valve| service.session.state.fitted_size(valve).is_some();
        assert_eq!(size(&service, intake(1)), known, "{what}");
        assert!(size(&service, intake(2)), "{what}");
        service.sign();
    }
}

#[test]
fn a_reason_that_any_version_kept_with_shims_out_is_for_the_figure_before() {
    for (then, holds) in [("20", true), ("15", false)] {
        let mut service = two_out();
        cams_out(&mut service);
        let (what, why) = (Skipped::Setting(exhaust(1)), why());
        service.keep(Entry::Skip(Skip { what, why, run_owed: false }));
        service.calmly_while(|_, due| !matches!(due, Due::Gauge(..)));
        read(service.on_to_gauge(exhaust(1)), then);
        let reason = service.session.state.reason_to_leave(exhaust(1));
        assert_eq!(reason.is_some(), holds, "{then}");
    }
}
