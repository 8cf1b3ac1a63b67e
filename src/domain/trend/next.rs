//! When to look at an engine again: one answer for the signer, the record, the lists, the history.

use super::{History, ValvePast};
use crate::domain::entry::{Hours, Moment};
use crate::domain::service::{Ending, Outcome, Service};
use crate::domain::session::Session;
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
    /// A valve was never gauged in a service that counts.
    NeverGauged,
}

/// Tells whether the interval counts from a service: one that was signed, or made from the table. An
/// open one, one that was closed unsigned, or one for practice moves nothing.
pub fn counts(service: &Service) -> bool {
    match service.ending {
        Ending::Signed => !service.conditions.practice,
        Ending::Imported => true,
        Ending::Open | Ending::Unsigned(_) => false,
    }
}

/// The services that the interval counts from, oldest first, each once: for every valve the last one
/// that counts and has a figure of it, so that a service of one valve moves nothing for the others.
///
/// A valve that no service has a figure of counts from the oldest one that it was in scope of: its
/// signer gave the reason, or the table left it out. `None` stands for valves never in scope.
fn bases<'a>(services: &[&'a Service]) -> Vec<Option<&'a Service>> {
    let counting: Vec<&Service> = services.iter().copied().filter(|one| counts(one)).collect();
    let Some(newest) = counting.last() else { return vec![None] };
    let of = |service: &Service, valve: Valve, is: fn(&Outcome) -> bool| {
        service.outcome(valve).is_some_and(is)
    };
    let place = |valve: Valve| {
        let gauged = |one: &Outcome| one.found.is_some() || one.left.is_some();
        let last = counting.iter().rposition(|one| of(one, valve, gauged));
        last.or_else(|| counting.iter().position(|one| of(one, valve, |one| one.in_scope)))
    };
    let mut places: Vec<_> = newest.valves.iter().map(|one| place(one.valve)).collect();
    places.sort_unstable();
    places.dedup();
    places.into_iter().map(|place| counting.get(place?).copied()).collect()
}

/// Takes the signer's choice, else the earlier of the profile's interval and the cautious end of
/// every forecast. Interval and months count from the valve that was gauged longest ago in a service
/// that counts; where a valve never was, the first interval counts from nought, at the earliest now.
pub(super) fn next_check(services: &[&Service], valves: &[ValvePast]) -> Option<NextCheck> {
    let bases = bases(services);
    let never = bases.contains(&None);
    let bases: Vec<&Service> = bases.into_iter().flatten().collect();
    let last = services.iter().rev().copied().find(|one| counts(one));
    let due = last.or(services.last().copied())?.due;
    let now = services.iter().filter_map(|one| one.hours).max().unwrap_or_default().hours();
    let first = due.first_hours().filter(|_| never);
    let first = first.map(|hours| (hours.max(now), Because::NeverGauged));
    let reached = bases.iter().filter_map(|one| Some(one.hours?.hours() + due.interval_hours?));
    let interval = reached.map(|hours| (hours, Because::Interval));
    let choice = |one: &&Service| Some((one.due.chosen?.hours(), Because::Mechanic));
    // What an earlier signer chose holds for the valves that have not been gauged since.
    let told = bases.iter().filter_map(choice);
    let forecasts = valves.iter().filter_map(forecast_of);
    let own = last.as_ref().and_then(choice);
    let others = told.filter(|told| Some(*told) != own);
    let worked_out =
        first.into_iter().chain(interval).chain(forecasts).chain(others).min_by(sooner);
    // Oldest first: where that one's day is doubted, nobody knows since when a valve was not gauged.
    let since = bases.first().is_some_and(|oldest| !oldest.day_doubtful);
    let believed = bases.iter().filter(|one| since && !one.day_doubtful);
    let began = believed.filter_map(|one| one.began).min_by_key(|began| began.unix_ms);
    let months = began.zip(due.interval_months);
    let Some((hours, because)) = own.or(worked_out) else {
        let by_day = NextCheck { hours: None, because: Because::Interval, months, set_aside: None };
        return months.map(|_| by_day);
    };
    let set_aside = worked_out.filter(|(sooner, _)| *sooner < hours);
    Some(NextCheck { hours: Some(hours), because, months, set_aside })
}

fn sooner(one: &(f64, Because), other: &(f64, Because)) -> std::cmp::Ordering {
    one.0.total_cmp(&other.0)
}

/// Returns the signer's own next check where the counter is known since to have shown `really`, not what
/// was typed for it. A choice lies above what the signer took the counter for; where it lies above both,
/// nobody knows whether it was added to the mistake, and it is the sooner of the two.
pub fn put_right(chosen: Hours, shown: Hours, really: Hours) -> Hours {
    let moved = chosen.plus(really).less(shown);
    if chosen <= shown {
        chosen
    } else if chosen <= really {
        moved
    } else {
        chosen.min(moved)
    }
}

/// Returns the soonest that a valve may reach its limit by either interval.
fn forecast_of(past: &ValvePast) -> Option<(f64, Because)> {
    let reached = past.series.last()?.hours;
    let both = [past.forecast, past.cautious].into_iter().flatten();
    let soonest = both.map(|forecast| forecast.soonest).min_by(f64::total_cmp)?;
    Some((reached + soonest, Because::Forecast(past.valve)))
}

/// The services of an engine before one, oldest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Earlier {
    /// The services, with running hours over all counters.
    pub services: Arc<[Service]>,
    /// What earlier counters of the engine had reached together when the one began.
    pub offset: Hours,
    /// What the last of them left as it was found besides valves: threads that show, leak tests, the run. In
    /// words that tell no clearance.
    pub left_as_found: Vec<String>,
    /// Low leak tests of services before, each with whether its cause was told.
    pub low_leak_tests: Vec<String>,
    /// What the counter really showed when the one began, where the figure kept in it was a mistake
    /// that was put right in the engine's file.
    pub corrected: Option<Hours>,
}

impl Service {
    /// Takes the hours that the counter really showed.
    fn put_right(&mut self, corrected: Option<Hours>) {
        let Some((really, shown)) = corrected.zip(self.hours) else { return };
        self.hours = Some(really);
        self.due.chosen = self.due.chosen.map(|chosen| put_right(chosen, shown, really));
    }
}

impl Earlier {
    /// Returns the last service that has figures.
    pub fn previous(&self) -> Option<&Service> {
        self.services.iter().rfind(|service| service.has_readings())
    }

    /// Returns what a session that these services come before came to, with the hours as put right since.
    pub fn put_right(&self, session: &Session) -> Service {
        let mut service = Service::of(session);
        service.put_right(self.corrected);
        service
    }

    /// Works out the engine's past up to a service that has just come to its end, whether it is
    /// signed yet or not. Its hours are as its counter shows them.
    pub fn up_to(&self, service: &Service) -> Option<History> {
        let over_all = |hours: Option<Hours>| hours.map(|hours| hours.plus(self.offset));
        let mut last = service.clone();
        last.put_right(self.corrected);
        last.hours = over_all(last.hours);
        last.due.chosen = over_all(last.due.chosen);
        if last.ending == Ending::Open {
            last.ending = Ending::Signed;
        }
        // The sheet of what was done for practice says by that when to look again; no other does.
        last.conditions.practice = false;
        let hours = last.hours.unwrap_or_default();
        let all: Vec<Service> = self.services.iter().cloned().chain([last]).collect();
        History::of(&all, hours)
    }
}

impl From<Vec<Service>> for Earlier {
    fn from(services: Vec<Service>) -> Earlier {
        Earlier { services: services.into(), ..Earlier::default() }
    }
}
