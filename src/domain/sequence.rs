//! Which services of an engine came before one, and in which order: by the running hours, among equal ones by
//! the day. A clock that lies hides nothing that was left undone.

use super::service::Service;

/// The day, where it is to be believed; all others come behind it.
fn day(service: &Service) -> i64 {
    let believed = service.began.filter(|_| !service.day_doubtful);
    believed.map_or(i64::MAX, |began| began.unix_ms)
}

/// Puts services in order, oldest first. One whose hours are not known stands where its day puts it.
pub fn in_order(mut services: Vec<&Service>) -> Vec<&Service> {
    services.sort_by_key(|one| (day(one), one.called()));
    let (mut ordered, unknown): (Vec<&Service>, Vec<&Service>) =
        services.into_iter().partition(|service| service.hours.is_some());
    ordered.sort_by_key(|service| service.hours);
    for service in unknown {
        let place = ordered.iter().position(|other| day(other) > day(service));
        ordered.insert(place.unwrap_or(ordered.len()), service);
    }
    ordered
}

/// Lists the services that came before one, oldest first.
pub fn before<'a>(own: &Service, services: &'a [Service]) -> Vec<&'a Service> {
    let earlier = |other: &Service| {
        let hours = other.hours.zip(own.hours);
        if own.day_doubtful || other.day_doubtful {
            hours.is_none_or(|(theirs, own)| theirs <= own)
        } else {
            // A clock that was ahead, and was put right since, makes no day doubtful by itself.
            day(other) < day(own) || hours.is_some_and(|(theirs, own)| theirs < own)
        }
    };
    let others = services.iter().filter(|other| other.session != own.session);
    in_order(others.filter(|other| earlier(other)).collect())
}
