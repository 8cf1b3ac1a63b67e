//! Which services of an engine came before one, and in which order: by the day, and where a day is not
//! to be believed, by the running hours. A clock that lies hides nothing that was left undone.

use super::service::Service;

fn day(service: &Service) -> i64 {
    service.began.map_or(i64::MAX, |began| began.unix_ms)
}

/// Keeps the services that came before one, oldest first.
pub fn before(own: &Service, services: Vec<Service>) -> Vec<Service> {
    let earlier = |other: &Service| {
        let hours = other.hours.zip(own.hours);
        if own.day_doubtful || other.day_doubtful {
            hours.is_none_or(|(theirs, own)| theirs <= own)
        } else {
            // A clock that was ahead, and was put right since, makes no day doubtful by itself.
            day(other) < day(own) || hours.is_some_and(|(theirs, own)| theirs < own)
        }
    };
    let believed =
        |other: &Service| !other.day_doubtful && (own.day_doubtful || day(other) < day(own));
    let earlier =
        services.into_iter().filter(|other| other.session != own.session && earlier(other));
    let (mut ordered, mut doubted): (Vec<Service>, Vec<Service>) = earlier.partition(believed);
    ordered.sort_by_key(day);
    doubted.sort_by(|one, other| one.place().cmp(&other.place()));
    for service in doubted {
        let later = |other: &Service| {
            other.hours.zip(service.hours).is_some_and(|(theirs, its)| theirs > its)
        };
        let place = ordered.iter().position(later).unwrap_or(ordered.len());
        ordered.insert(place, service);
    }
    ordered
}
