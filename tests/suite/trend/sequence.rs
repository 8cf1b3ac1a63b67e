//! Which services came before one: by the day, and where a day is not to be believed, by the hours.

use super::made::{EXHAUST_1, Made};
use crate::services::{MORNING, later};
use cowlside::domain::entry::Moment;
use cowlside::domain::sequence::before;
use cowlside::domain::service::Service;

/// A service at these hours on this day after the first.
fn made(hours: i64, day: i64) -> Service {
    let mut service = Made::at(hours).read(EXHAUST_1, "30", "30").service;
    service.session = format!("at {hours} on {day}");
    service.began = Some(later(MORNING, day));
    service
}

/// One by a clock of 1970.
fn lost(hours: i64) -> Service {
    let mut service = made(hours, 0);
    service.session = format!("lost {hours}");
    (service.began, service.day_doubtful) = (Some(Moment { unix_ms: 0, offset_min: 0 }), true);
    service
}

fn told(own: &Service, others: &[&Service]) -> Vec<String> {
    let others: Vec<Service> = others.iter().map(|one| (*one).clone()).collect();
    before(own, &others).into_iter().map(|one| one.session.clone()).collect()
}

#[test]
fn days_that_are_believed_order_services_whatever_their_hours_say() {
    let (first, slip, own, next) = (made(100, 1), made(4126, 10), made(420, 20), made(420, 25));
    assert_eq!(told(&own, &[&next, &slip, &own, &first]), ["at 100 on 1", "at 4126 on 10"]);
}

#[test]
fn a_service_begun_by_a_clock_that_lies_knows_all_that_came_before_it() {
    let own = lost(300);
    let others = [&made(200, 20), &made(100, 10), &lost(150), &made(400, 40)];
    assert_eq!(told(&own, &others), ["at 100 on 10", "lost 150", "at 200 on 20"]);
    // One at the same hours is known, too: nobody can say that it came later.
    assert_eq!(told(&own, &[&made(300, 30)]), ["at 300 on 30"]);
    // Of two at the same hours the one without a day that is believed is taken for the later one.
    assert_eq!(told(&own, &[&lost(200), &made(200, 20)]), ["at 200 on 20", "lost 200"]);
}

#[test]
fn a_service_by_a_clock_that_lied_stands_where_its_hours_put_it() {
    let own = made(300, 30);
    let others = [&lost(250), &made(200, 20), &made(100, 10), &lost(400)];
    assert_eq!(told(&own, &others), ["at 100 on 10", "at 200 on 20", "lost 250"]);
    // By a clock that was ahead: what it left is not forgotten once the clock is put right.
    let ahead = made(250, 30_000);
    assert_eq!(told(&own, &[&ahead, &made(200, 20)]), ["at 200 on 20", "at 250 on 30000"]);
}

#[test]
fn hours_that_nobody_knows_hide_nothing() {
    let own = made(300, 30);
    let (mut without, mut lost) = (made(200, 20), lost(250));
    (without.hours, lost.hours) = (None, None);
    assert_eq!(told(&own, &[&lost, &without]), ["at 200 on 20", "lost 250"]);
}
