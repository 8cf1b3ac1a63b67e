//! What stands out in the past of a valve, so that nobody has to find it in the figures.
//!
//! Each sign is a reason to look, never a finding: words and weight are the sheet's business.

use super::{Drift, Moved, Point, ValvePast, drift};
use crate::domain::service::Service;
use crate::domain::statistics::{UNLIKE, median, robust_scores, student_t};
use crate::domain::units::Length;
use crate::domain::valve::{Kind, Valve};

/// Fewest services from which one valve is told from its siblings (session.md 11).
pub const SCORED_MIN: usize = 5;
/// Fewest siblings, the valve itself among them, that can be told apart.
const SIBLINGS_MIN: usize = 4;
/// Hours in which a new or overhauled engine beds in, where the profile names no first interval: a
/// first check after 100 to 125 h is published for a crawler diesel (check-values 13.1).
pub const EARLY_HOURS: f64 = 125.0;
/// Something that stands out.
#[derive(Clone, Debug, PartialEq)]
pub enum Sign {
    /// The exhaust valve closes, and that is no chance.
    ClosingExhaust,
    /// Set back the same way several times: the evidence is adjusted away.
    SameWay {
        /// How often, one after the other, up to now.
        times: usize,
        /// By how much together; below nought where clearance was taken out.
        total: Length,
    },
    /// Movement while a new or overhauled engine beds in.
    Early(Early),
    /// A sudden step at the last service.
    Step {
        /// The session that found it.
        session: String,
        /// How far it moved.
        moved: Length,
        /// How far the earlier services let expect, nanometres.
        expected: f64,
    },
    /// It drifts unlike its siblings of the same kind.
    Odd(Odd<Valve>),
}

/// One that is unlike the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Odd<T> {
    /// Which one.
    pub which: T,
    /// Its drift, nanometres in 100 h.
    pub per_100_h: f64,
    /// That of the others: the median.
    pub others: f64,
    /// How many robust standard deviations lie between.
    pub score: f64,
}

/// What the early hours are counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since {
    /// From nought: a new or overhauled engine.
    New,
    /// From work on the cylinder.
    Work,
}

/// The early movement of a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Early {
    /// What the early hours are counted from.
    pub since: Since,
    /// They end at these running hours.
    pub until: f64,
    /// Movement in nanometres up to the last early service.
    pub moved: f64,
    /// Running hours between the first and the last early service.
    pub over: f64,
    /// The drift after that; `None` where it cannot be told yet.
    pub rest: Option<Drift>,
}

impl Early {
    /// Tells whether it has settled: what came after is slower, and that is no chance.
    pub fn settled(&self) -> bool {
        let early = 100.0 * self.moved / self.over;
        self.rest.is_some_and(|rest| {
            let (low, high) = rest.cautious;
            early.abs() > rest.per_100_h.abs() && !(low..=high).contains(&early)
        })
    }
}

/// How far readings of a valve differ with nothing touched between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// Standard deviation of one reading, nanometres.
    pub deviation: f64,
    /// The widest difference.
    pub widest: Length,
    /// How many pairs of readings.
    pub pairs: usize,
}

/// Works out the scatter of a valve over all services; `None` where it was never gauged twice.
pub(super) fn scatter(services: &[&Service], valve: Valve) -> Option<Scatter> {
    let outcomes = services.iter().filter_map(|service| service.outcome(valve));
    let repeats: Vec<Length> = outcomes.flat_map(|outcome| outcome.repeats.clone()).collect();
    let widest = repeats.iter().map(|apart| apart.nm().abs()).max()?;
    // Each difference holds the chance of two readings.
    let squares: f64 = repeats.iter().map(|apart| (apart.nm() as f64).powi(2) / 2.0).sum();
    Some(Scatter {
        deviation: (squares / repeats.len() as f64).sqrt(),
        widest: Length::from_nm(widest),
        pairs: repeats.len(),
    })
}

/// Finds what stands out in one valve by itself.
pub(super) fn of_valve(
    services: &[&Service],
    valve: Valve,
    points: &[Point],
    series: &[Moved],
    drift: Option<&Drift>,
) -> Vec<Sign> {
    let closing = valve.kind == Kind::Exhaust && drift.is_some_and(|drift| drift.cautious.1 < 0.0);
    let mut signs: Vec<Sign> = closing.then_some(Sign::ClosingExhaust).into_iter().collect();
    signs.extend(step(points, series));
    signs.extend(same_way(points));
    signs.extend(early(services, points, series).map(Sign::Early));
    signs
}

fn nominal(gauged: Option<&crate::domain::service::Gauged>) -> Option<Length> {
    gauged?.interval.nominal
}

/// Counts the last corrections that went the same way; a session that touched nothing, or has no
/// figure, stands between them without ending the row.
fn same_way(points: &[Point]) -> Option<Sign> {
    let set = points.iter().rev().filter(|point| point.touched && !point.work_alone);
    let corrections = set.filter_map(|point| {
        let by = nominal(point.left.as_ref())? - nominal(point.found.as_ref())?;
        (by != Length::ZERO).then_some(by.nm())
    });
    let mut same: Vec<i64> = Vec::new();
    for by in corrections {
        if same.first().is_some_and(|first: &i64| first.signum() != by.signum()) {
            break;
        }
        same.push(by);
    }
    (same.len() >= 2)
        .then(|| Sign::SameWay { times: same.len(), total: Length::from_nm(same.iter().sum()) })
}

/// Tells the early hours of a new or overhauled engine, or of one after work on the cylinder.
fn early(services: &[&Service], points: &[Point], series: &[Moved]) -> Option<Early> {
    let first = series.first()?;
    let told = services.iter().filter_map(|service| service.due.first_interval_hours).next_back();
    let hours = told.unwrap_or(EARLY_HOURS);
    let worked =
        points.get(first.point).is_some_and(|point| point.starts == Some(super::Break::Work));
    let (since, from) = if worked { (Since::Work, first.hours) } else { (Since::New, 0.0) };
    let until = from + hours;
    let last = series.iter().rposition(|moved| moved.hours <= until)?;
    let (at, rest) = (series.get(last)?, series.get(last..)?);
    let over = at.hours - first.hours;
    (over > 0.0).then(|| Early { since, until, moved: at.nm, over, rest: drift(rest, points) })
}

/// Finds a step at the last service that its own past does not explain: beyond what the two
/// readings allow, and far outside the spread of the earlier movements.
fn step(points: &[Point], series: &[Moved]) -> Option<Sign> {
    if series.len() < SCORED_MIN {
        return None;
    }
    let (last, before) = series.split_last()?;
    let rates: Vec<f64> = before.windows(2).filter_map(rate).collect();
    let usual = median(&rates)?;
    let from = before.last()?;
    let hours = last.hours - from.hours;
    let (moved, expected) = (last.nm - from.nm, usual * hours);
    let spread: Vec<f64> = before
        .windows(2)
        .filter_map(|pair| {
            Some(
                (pair.last()?.nm - pair.first()?.nm)
                    - usual * (pair.last()?.hours - pair.first()?.hours),
            )
        })
        .map(f64::abs)
        .collect();
    let (was, now) =
        (points.get(from.point)?.left.as_ref()?, points.get(last.point)?.found.as_ref()?);
    let allowed = |end: Option<Length>, other: Option<Length>| Some((end? - other?).nm() as f64);
    let low = allowed(now.interval.low, was.interval.high)?;
    let high = allowed(now.interval.high, was.interval.low)?;
    let scale = median(&spread)? / 0.6745;
    let apart = (moved - expected).abs();
    (apart > UNLIKE * scale && !(low..=high).contains(&expected)).then(|| Sign::Step {
        session: points.get(last.point).map_or(String::new(), |point| point.session.clone()),
        moved: Length::from_nm(moved.round() as i64),
        expected,
    })
}

fn rate(pair: &[Moved]) -> Option<f64> {
    let (one, other) = (pair.first()?, pair.last()?);
    (other.hours > one.hours).then(|| (other.nm - one.nm) / (other.hours - one.hours))
}

/// A drift that may be scored, with its standard error, nanometres in 100 h: that of the readings
/// about the line, and never less than what their leaves can tell apart.
fn scored(past: &ValvePast) -> Option<(f64, f64)> {
    let drift = past.drift.filter(|drift| drift.sessions >= SCORED_MIN)?;
    let reach = student_t(0.95, drift.sessions - 2);
    let error = (drift.cautious.1 - drift.cautious.0) / (2.0 * reach);
    Some((drift.per_100_h, error.max(resolution(past)?)))
}

/// The standard error of a slope whose readings lie anywhere in their intervals, nanometres in 100 h.
fn resolution(past: &ValvePast) -> Option<f64> {
    let widths: Vec<f64> = past
        .series
        .iter()
        .filter_map(|moved| {
            let interval = past.points.get(moved.point)?.found.as_ref()?.interval;
            Some((interval.high? - interval.low?).nm() as f64)
        })
        .collect();
    let count = past.series.len() as f64;
    let mean = past.series.iter().map(|moved| moved.hours).sum::<f64>() / count;
    let squares: f64 = past.series.iter().map(|moved| (moved.hours - mean).powi(2)).sum();
    // A width is spread evenly: its standard deviation is the width over √12.
    Some(100.0 * median(&widths)? / 12.0_f64.sqrt() / squares.sqrt())
}

/// Marks valves whose drift is unlike that of their siblings of the same kind.
pub(super) fn unlike_siblings(valves: &mut [ValvePast]) {
    for kind in Kind::BOTH {
        let of_kind: Vec<(usize, f64, f64)> = valves
            .iter()
            .enumerate()
            .filter(|(_, past)| past.valve.kind == kind)
            .filter_map(|(place, past)| scored(past).map(|(drift, error)| (place, drift, error)))
            .collect();
        for (at, score, others) in unlike(&of_kind) {
            let Some(&(place, per_100_h, _)) = of_kind.get(at) else { continue };
            if let Some(past) = valves.get_mut(place) {
                let which = past.valve;
                past.signs.push(Sign::Odd(Odd { which, per_100_h, others, score }));
            }
        }
    }
}

/// Finds cylinders of which every valve goes the same way from its siblings' median, and which by
/// their mean are unlike the other cylinders.
pub(super) fn unlike_cylinders(valves: &[ValvePast]) -> Vec<Odd<u8>> {
    let middle = |kind: Kind| {
        let of_kind = valves.iter().filter(|past| past.valve.kind == kind);
        median(&of_kind.filter_map(scored).map(|(drift, _)| drift).collect::<Vec<_>>())
    };
    let [intake, exhaust] = Kind::BOTH.map(middle);
    let mut cylinders: Vec<u8> = valves.iter().map(|past| past.valve.cylinder).collect();
    cylinders.dedup();
    let rows: Vec<(u8, f64, f64, bool)> = cylinders
        .into_iter()
        .filter_map(|cylinder| {
            let its = valves.iter().filter(|past| past.valve.cylinder == cylinder);
            let apart: Vec<(f64, f64)> = its
                .filter_map(|past| {
                    let middle = match past.valve.kind {
                        Kind::Intake => intake?,
                        Kind::Exhaust => exhaust?,
                    };
                    scored(past).map(|(drift, error)| (drift - middle, error))
                })
                .collect();
            let count = apart.len() as f64;
            let mean = apart.iter().map(|(drift, _)| drift).sum::<f64>() / count;
            let error = apart.iter().map(|(_, error)| error * error).sum::<f64>().sqrt() / count;
            let together =
                apart.iter().all(|(drift, error)| drift * mean > 0.0 && drift.abs() > *error);
            (apart.len() >= 2).then_some((cylinder, mean, error, together))
        })
        .collect();
    let scored: Vec<(usize, f64, f64)> =
        rows.iter().enumerate().map(|(place, row)| (place, row.1, row.2)).collect();
    unlike(&scored)
        .into_iter()
        .filter_map(|(at, score, others)| {
            let &(which, per_100_h, _, together) = rows.get(at)?;
            together.then_some(Odd { which, per_100_h, others, score })
        })
        .collect()
}

/// Returns place, score and the median of all, of each that is unlike the rest.
fn unlike(values: &[(usize, f64, f64)]) -> Vec<(usize, f64, f64)> {
    if values.len() < SIBLINGS_MIN {
        return Vec::new();
    }
    let drifts: Vec<f64> = values.iter().map(|(_, drift, _)| *drift).collect();
    let errors: Vec<f64> = values.iter().map(|(.., error)| *error).collect();
    let (Some(others), Some(error)) = (median(&drifts), median(&errors)) else { return Vec::new() };
    let scores = robust_scores(&drifts, error);
    scores
        .into_iter()
        .enumerate()
        .filter(|(_, score)| score.abs() > UNLIKE)
        .map(|(at, score)| (at, score, others))
        .collect()
}
