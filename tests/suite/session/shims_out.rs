//! A shim that goes back as it came out, and how the engine is drawn while shims are out.

use super::engines::{self, exhaust, intake};
use super::harness::{Service, why};
use super::mechanic;
use super::parts::{begun, cams_in, read, shim, survey};
use cowlside::domain::entry::{Begin, Step};
use cowlside::domain::session::{Due, Input, Refusal};
use cowlside::domain::trend::Earlier;
use cowlside::domain::valve::Standing;
use cowlside::guide::{Answered, Talk};
use cowlside::report::record::record;

#[test]
fn where_the_same_shim_goes_back_the_valve_is_gauged_again_and_was_not_adjusted() {
    for (back, adjusted) in [("2.60", false), ("2.65", true)] {
        let known = [(intake(1), 2600), (exhaust(1), 2700)];
        let mut service = begun(engines::vee_twin(), &known);
        survey(&mut service, &[(intake(1), "30")]);
        service.tell(Input::CamsOut { bank: Some("left".into()) });
        service.tell(shim(true, intake(1), "2.60", ""));
        service.tell(shim(false, intake(1), back, ""));
        assert_eq!(service.session.state.touched.contains(&intake(1)), adjusted, "{back}");
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
