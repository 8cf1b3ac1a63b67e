//! Edges that a turned comparison or a dropped condition would move without a word.

use super::engines::{exhaust, flat_four, intake, single};
use super::harness::Service;
use cowlside::domain::entry::{Figure, Rounds};
use cowlside::domain::session::{Due, Input};
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
    }
    assert!(!service.session.state.leak_tested.contains_key(&exhaust(2).cylinder));
}
