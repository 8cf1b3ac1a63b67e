//! When to look again, in words: what a signer chose, and apart from it what the program has worked out.

use super::compare_sheet::owner_name;
use super::history_json::next_day;
use super::history_sheet::several;
use crate::domain::entry::Hours;
use crate::domain::trend::{Because, History, NextCheck};
use crate::domain::valve::Several;

/// Says when to look again, and why.
pub fn next_words(history: &History) -> String {
    let Some(next) = &history.next else {
        return "not known: the profile gives no interval, or its months no day that is believed"
            .into();
    };
    let hours = next.hours.map(|hours| at_hours(hours, next.because));
    let passed = next.hours.is_some_and(|hours| hours <= history.hours.hours());
    if let (Some(hours), true) = (hours, passed) {
        // What was to come by then has come: no day beside it, and no "by then".
        return format!("now: {hours} h is reached{}", why_now(next, several(history)));
    }
    let day = next_day(next);
    let when = when_words(hours, day.as_deref(), next.because);
    let set_aside = next.set_aside.map(|(hours, because)| (at_hours(hours, because), because));
    format!("{when} ({})", why_words(next.because, set_aside, day.as_deref(), several(history)))
}

/// Returns the hours of a next check as they are shown: what a signer chose is kept to the hundredth, as
/// he typed it.
pub fn at_hours(hours: f64, because: Because) -> Hours {
    match because {
        Because::Mechanic => Hours((hours * 100.0).round() as i64),
        Because::Interval | Because::Forecast(_) | Because::NeverGauged => {
            Hours::down_to_tenth(hours)
        }
    }
}

/// Says when: "462.0 h", "462.0 h or 2027-03-14, whichever comes first". Hours that a signer chose stand
/// alone: the day is the profile's.
pub(super) fn when_words(hours: Option<Hours>, day: Option<&str>, because: Because) -> String {
    match (hours, day) {
        (Some(hours), Some(day)) if because != Because::Mechanic => {
            format!("{hours} h or {day}, whichever comes first")
        }
        (Some(hours), _) => format!("{hours} h"),
        (None, day) => day.unwrap_or_default().to_owned(),
    }
}

/// Says why, and what beside the signer's choice the program has worked out itself.
pub(super) fn why_words(
    because: Because,
    set_aside: Option<(Hours, Because)>,
    day: Option<&str>,
    several: Several,
) -> String {
    let sooner = set_aside.map_or(String::new(), |(hours, because)| {
        format!("; sooner, at {hours} h: {}", because_words(because, several))
    });
    // Of hours and a day each has its own reason, but for the profile's interval, which gives both.
    let day = match (because, day) {
        (Because::Mechanic, Some(day)) => {
            format!("; by the months of the profile at the latest on {day}")
        }
        (Because::Forecast(_), Some(_)) => "; the day is by the profile's months".to_owned(),
        _ => String::new(),
    };
    format!("{}{sooner}{day}", because_words(because, several))
}

/// Says in brackets why the next check is now.
fn why_now(next: &NextCheck, several: Several) -> String {
    match next.because {
        Because::Forecast(valve) => {
            format!(" ({} may be at its limit)", owner_name(valve, several))
        }
        because => format!(" ({})", because_words(because, several)),
    }
}

/// Says what a next check comes from.
fn because_words(because: Because, several: Several) -> String {
    match because {
        Because::Interval => "by the profile's interval".into(),
        Because::Forecast(valve) => {
            format!("by those hours {} may reach its limit", owner_name(valve, several))
        }
        Because::Mechanic => "chosen by the mechanic".into(),
        Because::NeverGauged => "not every valve was gauged in a signed service yet".into(),
    }
}
