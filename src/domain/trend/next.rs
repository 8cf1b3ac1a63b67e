//! When to look at an engine again: one answer for the signer, the record, the lists, the history.

use super::{History, ValvePast};
use crate::domain::entry::{Hours, Moment};
use crate::domain::service::{Ending, Service};
use crate::domain::valve::Valve;
use std::sync::Arc;

/// The next check: at these running hours, or in so many months, whichever comes first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextCheck {
    /// Running hours over all counters; `None` where only months are given.
    pub hours: Option<f64>,
    /// What the hours come from.
    pub because: Because,
    /// So many months after this service began, where the profile counts months too.
    pub months: Option<(Moment, u32)>,
    /// What the signer's choice set aside, where that comes sooner.
    pub set_aside: Option<(f64, Because)>,
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

/// Takes the signer's choice, else the earlier of the profile's interval and the cautious end of
/// every forecast; they count from the last service that was ended.
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
    let worked_out =
        interval.into_iter().chain(forecasts).min_by(|one, other| one.0.total_cmp(&other.0));
    let chosen = from(last.due.chosen).map(|hours| (hours, Because::Mechanic));
    let months = last.began.zip(last.due.interval_months);
    let Some((hours, because)) = chosen.or(worked_out) else {
        let by_day = NextCheck { hours: None, because: Because::Interval, months, set_aside: None };
        return months.map(|_| by_day);
    };
    let set_aside = worked_out.filter(|(sooner, _)| *sooner < hours);
    Some(NextCheck { hours: Some(hours), because, months, set_aside })
}

/// The services of an engine before one, oldest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Earlier {
    /// The services, with running hours over all counters.
    pub services: Arc<[Service]>,
    /// What earlier counters of the engine had reached together when the one began.
    pub offset: Hours,
}

impl Earlier {
    /// Returns the last service that has figures.
    pub fn previous(&self) -> Option<&Service> {
        self.services.iter().rfind(|service| service.has_readings())
    }

    /// Works out the engine's past up to a service that has just come to its end, whether it is
    /// signed yet or not. Its hours are as its counter shows them.
    pub fn up_to(&self, service: &Service) -> Option<History> {
        let over_all =
            |hours: Option<Hours>| hours.map(|hours| Hours(hours.0.saturating_add(self.offset.0)));
        let mut last = service.clone();
        last.hours = over_all(last.hours);
        last.due.chosen = over_all(last.due.chosen);
        if last.ending == Ending::Open {
            last.ending = Ending::Signed;
        }
        let hours = last.hours.unwrap_or_default();
        let all: Vec<Service> = self.services.iter().cloned().chain([last]).collect();
        History::of(&all, hours)
    }
}

impl From<Vec<Service>> for Earlier {
    fn from(services: Vec<Service>) -> Earlier {
        Earlier { services: services.into(), offset: Hours(0) }
    }
}
