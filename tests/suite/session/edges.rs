//! Edges that a turned comparison or a dropped condition would move without a word.

use super::engines::{exhaust, flat_four, intake, radial_table, single, vee_twin};
use super::harness::{Service, why};
use cowlside::domain::entry::{Back, Figure, Rounds};
use cowlside::domain::session::{Due, Input, Refusal};
use cowlside::domain::valve::Kind;

fn at_page(kind: Kind, figure: Figure) -> Service {
    let mut service = Service::new(flat_four());
    service.calmly_while(|_, due| *due != Due::PageFigure(kind, figure));
    service
}

#[test]
fn each_of_the_six_figures_of_the_page_stops_the_job_where_it_differs() {
    for kind in Kind::BOTH {
        for figure in [Figure::Target, Figure::Least, Figure::Most] {
            let mut service = at_page(kind, figure);
            let state = &service.session.state;
            let figures = state.facts().figures(kind);
            let own = match figure {
                Figure::Target => figures.target,
                Figure::Least => figures.least,
                Figure::Most => figures.most,
            };
            // One thousandth more: the least that a page of thousandths can differ by.
            let page = own + cowlside::domain::units::Length::from_tenths_thou(10);
            service.tell(Input::PageFigure(page.text(state.facts().unit)));
            service.calmly_while(|_, due| matches!(due, Due::PageFigure(..)));
            let Due::PageDiffers(differ) = service.due() else {
                panic!("{kind:?} {figure:?}: {:?}", service.due())
            };
            assert_eq!(differ.len(), 1);
            assert_eq!((differ[0].kind, differ[0].figure), (kind, figure));
        }
    }
}

#[test]
fn a_cylinder_seen_at_overlap_is_not_yet_at_its_stop_one_turn_after() {
    let mut service = Service::new(single());
    service.prepare(Rounds::SetThenRecheck, None);
    assert_eq!(service.session.state.stops()[0].then_turn, 360);
    service.tell(Input::SeeOverlap(1));
    assert!(
        matches!(service.due(), Due::Turn { stop: 0, there: false, .. }),
        "{:?}",
        service.due()
    );
}

#[test]
fn each_cylinder_with_a_very_tight_valve_is_leak_tested() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    for cylinder in [1, 3] {
        service.on_to_gauge(intake(cylinder)).gauge("0").gauge("12");
        assert_eq!(service.due(), Due::LeakTest(cylinder, intake(cylinder)));
        service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
        // The crank was turned for it, and air pushed: it is proven, by rocking, before a screw is touched.
        assert!(matches!(service.due(), Due::Turn { rock: true, .. }), "{:?}", service.due());
        assert_eq!(service.refused(Input::OpenSet(intake(cylinder))), Refusal::NotNow);
        service.calmly_while(|_, due| matches!(due, Due::Turn { .. } | Due::Rock { .. }));
        assert!(matches!(service.due(), Due::Set(valve, _) if valve == intake(cylinder)));
    }
    assert!(!service.session.state.leak_tested.contains_key(&exhaust(2).cylinder));
    service.sign();
}

#[test]
fn what_is_held_open_is_let_go_for_a_leak_test_and_a_break_and_held_again_to_set() {
    for leak in [true, false] {
        let mut service = Service::new(radial_table(None));
        service.prepare(Rounds::SetThenRecheck, None);
        service.calmly_while(|service, due| {
            !matches!(due, Due::Gauge(..)) || service.session.state.unloaded.is_empty()
        });
        let Due::Gauge(valve, _) = service.due() else { panic!("{:?}", service.due()) };
        service.tell(Input::Gauge { typed: if leak { "0" } else { "60" }.into(), sure: true });
        let on_to = |service: &mut Service, wanted: &dyn Fn(&Due) -> bool| {
            service.calmly_while(|_, due| !wanted(due));
        };
        if leak {
            on_to(&mut service, &|due| matches!(due, Due::LeakTest(..)));
            assert!(service.session.state.unloaded.is_empty(), "the crank is turned for it");
            service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
        } else {
            on_to(&mut service, &|due| matches!(due, Due::Set(..)));
            let back = Back { after_min: Some(20), ..Back::default() };
            service.tell(Input::Back(back));
        }
        on_to(&mut service, &|due| matches!(due, Due::Set(..) | Due::Trying(_)));
        assert!(matches!(service.due(), Due::Set(of, _) if of == valve), "{:?}", service.due());
        let state = &service.session.state;
        let stop = state.stops().iter().find(|stop| stop.gauge.iter().any(|g| g.valve == valve));
        let held = stop.unwrap().unload.iter().all(|held| state.unloaded.contains(held));
        assert!(held && !state.unloaded.is_empty(), "set with it held open, leak {leak}");
        service.sign();
    }
}

#[test]
fn a_figure_of_a_leak_test_that_is_taken_back_leaves_the_crank_unproven() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("0").gauge("12");
    service.tell(Input::LeakTest { typed: "74/80".into(), why_not: String::new() });
    service.tell(Input::TakeBack);
    assert!(!service.session.state.crank_proven());
    service.calmly_while(|_, due| matches!(due, Due::Turn { .. } | Due::Rock { .. }));
    assert_eq!(service.due(), Due::LeakTest(1, intake(1)));
    service.tell(Input::LeakTest { typed: String::new(), why_not: "no plug spanner".into() });
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.sign();
}

#[test]
fn a_reading_in_doubt_is_gauged_once_more_with_the_valve_held_open_again() {
    let mut service = Service::new(radial_table(None));
    service.prepare(Rounds::SetThenRecheck, None);
    service.calmly_while(|service, due| {
        !matches!(due, Due::Gauge(..)) || service.session.state.unloaded.is_empty()
    });
    let held = service.session.state.unloaded.clone();
    for typed in ["2.00 mm", "20"] {
        service.tell(Input::Gauge { typed: typed.into(), sure: true });
    }
    assert!(matches!(service.due(), Due::Doubted { .. }), "{:?}", service.due());
    let back = Back { after_min: Some(20), ..Back::default() };
    service.tell(Input::Back(back));
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    assert_eq!(service.session.state.unloaded, held);
    service.sign();
}

/// A valve of a flat four set and locked in the first round, its threads to be counted.
fn locked() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("9");
    service.calmly_while(|_, due| !matches!(due, Due::Threads(..)));
    service
}

#[test]
fn as_many_threads_as_the_profile_allows_at_either_end_are_inside() {
    for (threads, outside) in [(1, true), (2, false), (5, false), (6, true)] {
        let mut service = locked();
        assert_eq!(service.due(), Due::Threads(intake(1), (2, 5)));
        service.tell(Input::Threads(threads));
        assert_eq!(matches!(service.due(), Due::ThreadsOutside(..)), outside, "{threads}");
    }
}

#[test]
fn a_nut_whose_lock_was_withdrawn_is_not_said_to_be_never_touched() {
    let mut service = locked();
    service.on_to_round(1).on_to_gauge(intake(1)).gauge("6");
    service.calmly_while(|_, due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    let nut = service.session.state.nuts[&intake(1)];
    service.tell(Input::OpenSet(intake(1)));
    service.tell(Input::Void { of: nut.locked_by.unwrap(), why: why() });
    let never = Input::NutNeverTouched { valve: intake(1), why: why() };
    assert_eq!(service.refused(never), Refusal::NotNow);
}

#[test]
fn exactly_half_of_the_lower_limit_is_very_tight() {
    for (typed, tight) in [("2.5", true), ("2.6", false)] {
        let mut service = Service::new(flat_four());
        service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1));
        service.tell(Input::Gauge { typed: typed.into(), sure: true });
        service.calmly_while(|_, due| !matches!(due, Due::LeakTest(..) | Due::Set(..)));
        assert_eq!(
            matches!(service.due(), Due::LeakTest(1, _)),
            tight,
            "{typed}: {:?}",
            service.due()
        );
    }
}

#[test]
fn a_valve_outside_the_scope_that_work_opened_is_felt_at_its_stop_once_its_nut_is_locked() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![1]));
    let felt = |service: &Service, cylinder| {
        let state = &service.session.state;
        state.to_gauge(state.stop_gauging(cylinder).unwrap())
    };
    assert_eq!((felt(&service, 1), felt(&service, 3)), (2, 0));
    service.tell(Input::Work { cylinder: 3, what: "rocker".into(), text: String::new() });
    assert_eq!((felt(&service, 1), felt(&service, 3), felt(&service, 2)), (2, 0, 0));
    service.on_to_round(1);
    assert_eq!((felt(&service, 1), felt(&service, 3), felt(&service, 2)), (2, 2, 0));
}

#[test]
fn no_screw_is_touched_while_the_leak_test_of_its_cylinder_is_owed() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None).on_to_gauge(intake(1)).gauge("0");
    assert!(matches!(service.due(), Due::Gauge(valve, _) if valve == exhaust(1)));
    assert_eq!(service.refused(Input::OpenSet(intake(1))), Refusal::NotNow);
    service.gauge("12");
    assert_eq!(service.due(), Due::LeakTest(1, intake(1)));
}

#[test]
fn no_reading_from_before_the_work_on_its_cylinder_was_made_with_the_part_that_is_fitted() {
    let mut service = Service::new(vee_twin());
    service.prepare(Rounds::SurveyOnly, None).on_to_gauge(intake(1)).gauge("0.20");
    let made_with_it = |service: &Service| service.session.state.before_parts(intake(1)).is_some();
    assert!(made_with_it(&service));
    service.tell(Input::Work { cylinder: 1, what: "rocker".into(), text: String::new() });
    assert!(!made_with_it(&service));
}
