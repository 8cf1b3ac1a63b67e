//! The past of an engine as the JSON document of the contract's section 8.

use super::compare_sheet::gauged_json;
use super::dates;
use super::next_sheet::at_hours;
use crate::domain::trend::{Because, Drift, Forecast, History, Limit, NextCheck, Point, ValvePast};
use crate::domain::units::{Length, LengthUnit};
use serde_json::{Value, json};

/// Makes the JSON document of an engine's past; lengths in its `unit`.
pub fn history_json(history: &History) -> Value {
    let valve = |past: &ValvePast| valve_json(past, history.unit);
    json!({
        "engine": history.engine,
        "unit": history.unit.word(),
        "hours": history.hours.hours(),
        "valves": history.valves.iter().map(valve).collect::<Value>(),
        "next_check": history.next.as_ref().map(next_json),
    })
}

fn valve_json(past: &ValvePast, unit: LengthUnit) -> Value {
    json!({
        "cylinder": past.valve.cylinder,
        "valve": past.valve.kind.word(),
        "number": past.valve.number,
        "points": past.points.iter().map(|point| point_json(point, unit)).collect::<Value>(),
        "adjusted_total": past.adjusted_total.in_unit(unit),
        "drift": past.drift.as_ref().map(|drift| drift_json(drift, unit)),
        "forecast": past.forecast.as_ref().map(forecast_json),
    })
}

fn point_json(point: &Point, unit: LengthUnit) -> Value {
    json!({
        "session": point.session,
        "date": point.began.and_then(dates::rfc3339),
        "hours": point.hours.map(|hours| hours.hours()),
        "found": gauged_json(point.found.as_ref(), unit),
        "left": gauged_json(point.left.as_ref(), unit),
    })
}

/// Turns nanometres that are no whole number into a unit.
pub(super) fn in_unit(nm: f64, unit: LengthUnit) -> f64 {
    nm * Length::from_nm(1_000_000_000).in_unit(unit) / 1e9
}

fn drift_json(drift: &Drift, unit: LengthUnit) -> Value {
    json!({
        "per_100_h": in_unit(drift.per_100_h, unit),
        "low": in_unit(drift.low, unit),
        "high": in_unit(drift.high, unit),
        "robust_per_100_h": in_unit(drift.robust, unit),
        "sessions": drift.sessions,
    })
}

fn forecast_json(forecast: &Forecast) -> Value {
    let limit = match forecast.limit {
        Limit::Least => "least",
        Limit::Most => "most",
    };
    json!({ "limit": limit, "hours_soonest": forecast.soonest, "hours_likely": forecast.likely })
}

fn next_json(next: &NextCheck) -> Value {
    // As every other place tells them.
    let hours = next.hours.map(|hours| at_hours(hours, next.because).hours());
    let mut document = json!({ "hours": hours, "because": because_word(next.because) });
    if let (Some(date), Some(members)) = (next_day(next), document.as_object_mut()) {
        members.insert("date".into(), date.into());
    }
    document
}

/// Returns what a next check comes from, as the documents write it.
pub(super) fn because_word(because: Because) -> &'static str {
    match because {
        Because::Interval | Because::NeverGauged => "interval",
        Because::Forecast(_) => "forecast",
        Because::Mechanic => "mechanic",
    }
}

/// Returns the day of the next check as YYYY-MM-DD, where the interval has months.
pub fn next_day(next: &NextCheck) -> Option<String> {
    let (began, months) = next.months?;
    dates::after_months(began, months)
}
