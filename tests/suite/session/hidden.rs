//! What a slack nut hides: a try made while another round was under way, a doubt that a correction
//! brought up meanwhile. Each history is the shortest in which it was lost or led back.

use super::engines::{flat_four, intake};
use super::harness::{Service, why};
use cowlside::domain::entry::{Rounds, Step};
use cowlside::domain::session::{Due, Input};

/// In the recheck, the nut of 1 intake open; a valve of the first round is due again.
fn nut_open_in_the_recheck() -> Service {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    service.on_to_round(1).on_to_gauge(intake(1)).gauge("6");
    service.calmly_while(|_, due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    service.tell(Input::OpenSet(intake(1)));
    assert_eq!(service.due(), Due::Trying(intake(1)));
    let of = service.session.state.readings.iter().find(|taken| taken.reading.valve == intake(3));
    service.tell(Input::Void { of: of.unwrap().seq, why: why() });
    assert_eq!(service.session.state.round(), Some(0), "3 intake is due in the first round");
    service
}

/// Off to the valve of the first round, and back to the nut.
fn round_by_3(service: &mut Service) {
    service.tell(Input::SeeOverlap(4));
    service.on_to_gauge(intake(3)).gauge("6");
    service.calmly_while(|_, due| !matches!(due, Due::NutAnswer(..) | Due::Again(..)));
}

#[test]
fn a_try_belongs_to_the_round_of_its_nut_and_locking_it_leads_to_no_earlier_one() {
    let mut service = nut_open_in_the_recheck();
    service.tell(Input::Tried { typed: "7".into(), sure: true });
    assert_eq!(service.session.state.readings.last().unwrap().reading.round, 2);
    round_by_3(&mut service);
    assert_eq!(service.session.state.round(), Some(1));
    service.tell(Input::NutLocked);
    assert_eq!(service.session.state.round(), Some(1), "set again in the recheck, not before it");
    service.sign();
}

#[test]
fn a_try_that_is_not_believed_is_asked_again_wherever_the_work_went_meanwhile() {
    let mut service = nut_open_in_the_recheck();
    service.tell(Input::Tried { typed: "9".into(), sure: true }).tell(Input::NutStillSlack);
    // Away from the target: the wrong way.
    service.tell(Input::Tried { typed: "12".into(), sure: true });
    assert_eq!(service.due(), Due::Again(intake(1), Step::Try));
    service.sign();
}

#[test]
fn a_doubt_that_a_swap_moved_under_a_slack_nut_is_asked_as_soon_as_the_nut_is_locked() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    // Not believed: near nothing on both valves; proven, gauged twice, said to be so, and set.
    service.on_to_gauge(intake(3));
    service.tell(Input::Gauge { typed: "0.6".into(), sure: true });
    service.calmly_while(|_, due| !matches!(due, Due::Doubted { .. }));
    let Due::Doubted { first, .. } = service.due() else { panic!("{:?}", service.due()) };
    service.on_to_round(1).on_to_gauge(intake(1)).gauge("6");
    service.calmly_while(|_, due| matches!(due, Due::Gauge(valve, _) if valve.cylinder == 1));
    service.tell(Input::OpenSet(intake(1)));
    let found = service.session.state.found(intake(1)).unwrap().seq;
    service.tell(Input::Swap { of: found, with: first, why: why() });
    service.tell(Input::Tried { typed: "6".into(), sure: true });
    assert_eq!(service.session.state.round(), Some(1), "the nut comes first");
    service.tell(Input::NutLocked);
    assert_eq!(service.due(), Due::Doubted { valve: intake(1), first: found });
    assert_eq!(service.session.state.round(), Some(0));
    service.sign();
}
