//! What the picture of a stop makes of a session: what is known of the crank, and no more.

use super::engines::{exhaust, flat_four};
use super::harness::Service;
use cowlside::domain::crank;
use cowlside::domain::entry::{Back, Rocked, Rounds};
use cowlside::domain::picture::{Dial, Picture, Stands};
use cowlside::domain::session::{Due, Input};

fn dial(service: &Service) -> Dial {
    Picture::due(&service.session.state).unwrap().dial
}

#[track_caller]
fn check(service: &Service, stands: Stands, turn: Option<f64>) {
    let dial = dial(service);
    assert_eq!((dial.crank, dial.turn), (stands, turn), "{:?}", service.due());
}

/// Prepared, at the first turn, with the first stop's angle and the second's.
fn at_first_turn() -> (Service, f64, f64) {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    let stops: Vec<f64> = service.session.state.stops().iter().filter_map(|s| s.crank).collect();
    (service, stops[0], stops[1])
}

#[test]
fn the_crank_is_drawn_where_it_was_proven_and_not_after_a_rocker_moved() {
    let (mut service, first, second) = at_first_turn();
    check(&service, Stands::Unknown, None);
    service.tell(Input::Loose(2));
    assert!(matches!(service.due(), Due::Rock { .. }));
    check(&service, Stands::NotProven(first), Some(0.0));
    service.tell(Input::Rock(Rocked::Moved));
    check(&service, Stands::Unknown, None);
    service.tell(Input::Loose(2)).tell(Input::Rock(Rocked::Steady));
    assert_eq!(Picture::due(&service.session.state), None, "at a valve nothing is turned");
    service.on_to_gauge(exhaust(1)).on_to_turn();
    check(&service, Stands::Proven(first), Some(180.0));
    // After a break it is where it was only once proven again.
    service.tell(Input::Back(Back { after_min: Some(20), ..Back::default() })).on_to_turn();
    check(&service, Stands::NotProven(first), Some(180.0));
    // None loose is the wrong stroke: it stands one turn from where it was thought to be.
    service.tell(Input::Loose(0));
    check(&service, Stands::NotProven(crank::normal(second + 360.0)), Some(360.0));
    // A cylinder seen at overlap tells the place, and rocking has to prove it.
    service.tell(Input::SeeOverlap(4));
    check(&service, Stands::NotProven(second), Some(0.0));
    service.tell(Input::Lost);
    check(&service, Stands::Unknown, None);
}

#[test]
fn the_same_stop_once_more_is_two_turns_away() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, Some(vec![3])).on_to_round(1).on_to_turn();
    let stop = dial(&service).stop;
    check(&service, Stands::Proven(stop), Some(720.0));
}
