//! What each valve of an engine does over its running hours: points, drift, forecast, next check.
//!
//! A *series* is a run of services whose figures can be set against each other: it ends where a
//! figure is missing or open-ended, at work on the cylinder, and where hot changes to cold. The
//! *movement* is 0 at its first service and grows at each later one by as-found less the as-left
//! before it, so that what the mechanic set is no movement (contract 8). What stands out in it is
//! told by `signs`; two services side by side are `compare`'s business.

mod next;
mod signs;

pub use next::{Because, Earlier, NextCheck, counts, put_right};
pub use signs::{EARLY_HOURS, Early, Odd, SCORED_MIN, Scatter, Sign, Since};

use super::compare::comparable;
use super::entry::{Hours, Moment};
use super::left_before::{self, LeftBefore, left_before};
use super::sequence::in_order;
use super::service::{Ending, Gauged, Outcome, Service};
use super::statistics::{common_slope, least_squares, theil_sen};
use super::units::{Length, LengthUnit};
use super::valve::Valve;
use super::verdict::{Band, Verdict};

/// Fewest services in a series that give a drift.
pub const DRIFT_MIN: usize = 3;
/// Fewest services in a series that give a forecast (check-values 9.5).
pub const FORECAST_MIN: usize = 5;

/// The past of an engine.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// The engine's name.
    pub engine: String,
    /// The unit that figures are shown in: that of the newest service's profile.
    pub unit: LengthUnit,
    /// Running hours now, over all counters.
    pub hours: Hours,
    /// How many services have figures.
    pub sessions: usize,
    /// Every valve in order: cylinders by number, intake before exhaust.
    pub valves: Vec<ValvePast>,
    /// Cylinders whose valves all go one way, unlike the other cylinders.
    pub odd_cylinders: Vec<Odd<u8>>,
    /// When to look again; `None` where nothing tells.
    pub next: Option<NextCheck>,
    /// Running hours between services, by the newest service's profile.
    pub interval_hours: Option<f64>,
    /// What is left outside its band, the gravest first.
    pub left: Vec<LeftSo>,
}

/// A valve that is left outside its band.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftSo {
    /// The valve.
    pub valve: Valve,
    /// How it was left.
    pub verdict: Verdict,
    /// Why, where that was said.
    pub why: Option<String>,
    /// When the service began that left it so.
    pub began: Option<Moment>,
    /// Whether that day is not to be believed.
    pub day_doubtful: bool,
    /// What a later service that nobody signed made of it.
    pub since: Option<left_before::Since>,
}

/// The past of one valve.
#[derive(Clone, Debug, PartialEq)]
pub struct ValvePast {
    /// The valve.
    pub valve: Valve,
    /// The band that it must be found in, by the newest service.
    pub band: Band,
    /// What each service found and left, oldest first.
    pub points: Vec<Point>,
    /// The last series: its place among the points, running hours, and movement in nanometres.
    pub series: Vec<Moved>,
    /// All corrections of services in which the valve was touched, together.
    pub adjusted_total: Length,
    /// How it moves; `None` under 3 services in the series.
    pub drift: Option<Drift>,
    /// When it reaches a limit; `None` under 5 services, and where the drift may be nought.
    pub forecast: Option<Forecast>,
    /// The same by the cautious interval.
    pub cautious: Option<Forecast>,
    /// What stands out.
    pub signs: Vec<Sign>,
    /// How far readings differ with nothing touched between them.
    pub scatter: Option<Scatter>,
}

/// What one service found and left of a valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// The session's name, or its id where it has none.
    pub session: String,
    /// When it began.
    pub began: Option<Moment>,
    /// Whether that day is not to be believed.
    pub day_doubtful: bool,
    /// Running hours over all counters.
    pub hours: Option<Hours>,
    /// As found.
    pub found: Option<Gauged>,
    /// As left.
    pub left: Option<Gauged>,
    /// The as-found figure against the limits.
    pub verdict_found: Option<Verdict>,
    /// The as-left figure against them, or against the band for setting where it was touched.
    pub verdict_left: Option<Verdict>,
    /// Why it was left outside its band.
    pub left_as_is: Option<String>,
    /// Whether its setting was touched.
    pub touched: bool,
    /// Whether it changed by work on its cylinder alone: nobody set it.
    pub work_alone: bool,
    /// Why the figures of this service cannot be set against the one before.
    pub starts: Option<Break>,
}

/// Why a series ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Break {
    /// A figure is missing or open-ended, or the running hours are not known.
    NoFigure,
    /// Work on the cylinder.
    Work,
    /// Gauged hot after cold, or cold after hot; or one of the two outside its temperature limit.
    HotCold,
}

/// A service of a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// Its place among the points.
    pub point: usize,
    /// Running hours.
    pub hours: f64,
    /// Movement since the beginning of the series, nanometres.
    pub nm: f64,
}

/// How a valve moves; nanometres in 100 hours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// The least-squares slope.
    pub per_100_h: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end of it.
    pub high: f64,
    /// The slope of Theil and Sen.
    pub robust: f64,
    /// The wider of this interval and that of [`by_visits`], which holds the chance of every reading.
    pub cautious: (f64, f64),
    /// How many services it stands on.
    pub sessions: usize,
}

/// Which limit a valve drifts to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The lower one: it closes.
    Least,
    /// The upper one: it opens.
    Most,
}

/// When a valve reaches a limit, hours from its last service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// Which limit.
    pub limit: Limit,
    /// With the steeper end of the interval.
    pub soonest: f64,
    /// With the slope itself.
    pub likely: f64,
}

impl Drift {
    /// Tells whether the movement may be nought.
    pub fn spans_nought(&self) -> bool {
        self.low <= 0.0 && self.high >= 0.0
    }

    /// Returns the drift with the cautious interval in place of its own.
    pub fn widened(&self) -> Drift {
        Drift { low: self.cautious.0, high: self.cautious.1, ..*self }
    }

    /// Tells whether the robust slope lies outside the interval: a single service weighs much.
    pub fn robust_disagrees(&self) -> bool {
        !(self.low..=self.high).contains(&self.robust)
    }
}

/// Works out the drift of a series; `None` under 3 services, or all at the same hours.
pub fn drift(series: &[Moved], points: &[Point]) -> Option<Drift> {
    if series.len() < DRIFT_MIN {
        return None;
    }
    let movement: Vec<(f64, f64)> = series.iter().map(|moved| (moved.hours, moved.nm)).collect();
    let line = least_squares(&movement)?;
    let (low, high) = line.slope_interval();
    let robust = theil_sen(&movement)?;
    let (least, most) = by_visits(series, points).unwrap_or((low, high));
    Some(Drift {
        per_100_h: 100.0 * line.slope,
        low: 100.0 * low,
        high: 100.0 * high,
        robust: 100.0 * robust,
        cautious: (100.0 * least.min(low), 100.0 * most.max(high)),
        sessions: series.len(),
    })
}

/// Works out the slope's 95 % interval from the clearances themselves, nanometres an hour.
///
/// The movement adds up the chance of each as-left and of each as-found, which least squares does
/// not know: where every valve is gauged twice a service its interval is far too narrow (measured in
/// the tests on simulated engines). Here each visit stands for itself, and each setting begins a
/// group with a level of its own. A valve gauged twice with nothing set is one visit, its mean.
pub fn by_visits(series: &[Moved], points: &[Point]) -> Option<(f64, f64)> {
    let mut groups: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for moved in series {
        let point = points.get(moved.point)?;
        let nominal =
            |gauged: &Option<Gauged>| Some(gauged.as_ref()?.interval.nominal?.nm() as f64);
        let (found, left) = (nominal(&point.found)?, nominal(&point.left)?);
        let set = point.touched && found != left;
        let visit = if set { found } else { (found + left) / 2.0 };
        groups.last_mut()?.push((moved.hours, visit));
        if set {
            groups.push(vec![(moved.hours, left)]);
        }
    }
    common_slope(&groups)
}

/// Works out when a valve left at `left` reaches the limit that it drifts to; `None` under 5
/// services, and where the drift may be nought.
pub fn forecast(drift: &Drift, left: Length, band: Band) -> Option<Forecast> {
    if drift.sessions < FORECAST_MIN || drift.spans_nought() {
        return None;
    }
    let (limit, at, steep) = if drift.per_100_h < 0.0 {
        (Limit::Least, band.least, drift.low)
    } else {
        (Limit::Most, band.most, drift.high)
    };
    let room = (at.nm() - left.nm()) as f64;
    // Beyond the limit already: now. Not `-0`, which a document would show.
    let hours = |per_100_h: f64| (100.0 * room / per_100_h).max(0.0) + 0.0;
    Some(Forecast { limit, soonest: hours(steep), likely: hours(drift.per_100_h) })
}

impl History {
    /// Works out the past of an engine from its services, in whatever order; `hours` is what it has
    /// run now. `None` where no service has a figure.
    pub fn of(services: &[Service], hours: Hours) -> Option<History> {
        let gauged = services.iter().filter(|service| service.has_readings());
        let gauged = in_order(gauged.collect());
        let newest = *gauged.last()?;
        let mut valves: Vec<Valve> =
            gauged.iter().flat_map(|service| &service.valves).map(|one| one.valve).collect();
        valves.sort_unstable();
        valves.dedup();
        let mut valves: Vec<ValvePast> =
            valves.into_iter().map(|valve| past(valve, &gauged, newest)).collect();
        signs::unlike_siblings(&mut valves);
        let latest = gauged.iter().filter_map(|service| service.hours).max();
        Some(History {
            engine: newest.engine.clone(),
            unit: newest.unit,
            hours: latest.map_or(hours, |latest| latest.max(hours)),
            sessions: gauged.len(),
            odd_cylinders: signs::unlike_cylinders(&valves),
            next: next::next_check(&gauged, &valves),
            interval_hours: newest.due.interval_hours,
            valves,
            left: left_before(services).into_iter().map(LeftSo::from).collect(),
        })
    }
}

impl From<LeftBefore<'_>> for LeftSo {
    fn from(LeftBefore { verdict, outcome, by, since }: LeftBefore<'_>) -> LeftSo {
        let (began, day_doubtful) = (by.began, by.day_doubtful);
        let why = outcome.left_as_is.clone();
        LeftSo { valve: outcome.valve, verdict, why, began, day_doubtful, since }
    }
}

/// Tells whether a service says anything of a valve. One that did not concern its cylinder, or has
/// not come to it yet, does not; one that passed it over left it without a figure.
fn concerns(service: &Service, outcome: &Outcome) -> bool {
    let told = outcome.found.is_some() || outcome.left.is_some() || outcome.touched;
    told || (outcome.in_scope && service.ending != Ending::Open)
}

fn past(valve: Valve, services: &[&Service], newest: &Service) -> ValvePast {
    let mut points: Vec<Point> = Vec::new();
    let mut series: Vec<Moved> = Vec::new();
    let mut reached: Option<Moved> = None;
    let mut last: Option<(&Service, Length)> = None;
    let mut adjusted = Length::ZERO;
    for &service in services {
        let Some(outcome) = service.outcome(valve) else { continue };
        if !concerns(service, outcome) {
            continue;
        }
        let nominal = |gauged: &Option<Gauged>| gauged.as_ref()?.interval.nominal;
        let (found, left) = (nominal(&outcome.found), nominal(&outcome.left));
        if outcome.touched && outcome.work_alone.is_none() {
            adjusted = adjusted + found.zip(left).map_or(Length::ZERO, |(was, now)| now - was);
        }
        let both = service.hours.zip(found.zip(left));
        let worked = service.work.iter().any(|(cylinder, _)| *cylinder == valve.cylinder);
        let starts = match last {
            _ if both.is_none() => Some(Break::NoFigure),
            _ if worked => Some(Break::Work),
            Some((before, _)) if !comparable(before, service) => Some(Break::HotCold),
            Some(_) | None => None,
        };
        if let Some((hours, (found, left))) = both {
            let before = last.filter(|_| starts.is_none()).zip(reached);
            let grown = before.map(|((_, was), reached)| reached.nm + (found - was).nm() as f64);
            if grown.is_none() {
                series.clear();
            }
            let here =
                Moved { point: points.len(), hours: hours.hours(), nm: grown.unwrap_or(0.0) };
            series.push(here);
            (reached, last) = (Some(here), Some((service, left)));
        } else {
            (reached, last) = (None, None);
        }
        points.push(point(service, outcome, starts));
    }
    let band = Band::found(newest.figures(valve.kind));
    let drift = drift(&series, &points);
    let left = last.map(|(_, left)| left);
    let by = |drift: Option<Drift>| forecast(&drift?, left?, band);
    ValvePast {
        forecast: by(drift),
        cautious: by(drift.as_ref().map(Drift::widened)),
        signs: signs::of_valve(services, valve, &points, &series, drift.as_ref()),
        scatter: signs::scatter(services, valve),
        valve,
        band,
        points,
        series,
        adjusted_total: adjusted,
        drift,
    }
}

fn point(service: &Service, outcome: &Outcome, starts: Option<Break>) -> Point {
    Point {
        session: service.called().to_string(),
        began: service.began,
        day_doubtful: service.day_doubtful,
        hours: service.hours,
        found: outcome.found.clone(),
        left: outcome.left.clone(),
        verdict_found: outcome.verdict_found,
        verdict_left: outcome.verdict_left,
        left_as_is: outcome.left_as_is.clone(),
        touched: outcome.touched,
        work_alone: outcome.work_alone.is_some(),
        starts,
    }
}
