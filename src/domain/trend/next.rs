//! When to look at an engine again.

use super::ValvePast;
use crate::domain::entry::{Hours, Moment};
use crate::domain::service::{Ending, Service};
use crate::domain::valve::Valve;

/// The next check: at these running hours, or in so many months, whichever comes first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextCheck {
    /// Running hours over all counters; `None` where only months are given.
    pub hours: Option<f64>,
    /// What the hours come from.
    pub because: Because,
    /// So many months after this service, where the profile counts months too.
    pub months: Option<(Moment, u32)>,
}

/// What a next check comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Because {
    /// The profile's interval.
    Interval,
    /// The cautious end of this valve's forecast.
    Forecast(Valve),
    /// The signer's own choice.
    Mechanic,
}

/// Takes the earliest of the profile's interval, the cautious end of every forecast, and the
/// signer's choice; they count from the last service that was ended.
pub(super) fn next_check(services: &[&Service], valves: &[ValvePast]) -> Option<NextCheck> {
    let ended = services.iter().rev().find(|service| service.ending != Ending::Open);
    let last = *ended.or(services.last())?;
    let from = |hours: Option<Hours>| hours.map(Hours::hours);
    let interval = from(last.hours).zip(last.due.interval_hours);
    let interval = interval.map(|(hours, interval)| (hours + interval, Because::Interval));
    let forecasts = valves.iter().filter_map(|past| {
        let reached = past.series.last()?.hours;
        Some((reached + past.forecast?.soonest, Because::Forecast(past.valve)))
    });
    let chosen = from(last.due.chosen).map(|hours| (hours, Because::Mechanic));
    let earliest = interval
        .into_iter()
        .chain(forecasts)
        .chain(chosen)
        .min_by(|one, other| one.0.total_cmp(&other.0));
    let months = last.began.zip(last.due.interval_months);
    match (earliest, months) {
        (None, None) => None,
        (Some((hours, because)), months) => Some(NextCheck { hours: Some(hours), because, months }),
        (None, months) => Some(NextCheck { hours: None, because: Because::Interval, months }),
    }
}
