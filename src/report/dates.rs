//! Moments as dates and times, by the session's own offset. No clock.
//!
//! A day has a year of four digits: one beyond them is told as the nearest, as the journal keeps it.

use crate::domain::clock::in_calendar;
use crate::domain::entry::Moment;
use chrono::{DateTime, Datelike, FixedOffset, Months, SecondsFormat};

/// Returns a moment as a date and time; `None` where its offset is none.
pub fn local(moment: Moment) -> Option<DateTime<FixedOffset>> {
    let offset = FixedOffset::east_opt(i32::from(moment.offset_min) * 60)?;
    let ahead_ms = i64::from(moment.offset_min) * 60_000;
    let unix_ms = in_calendar(moment.unix_ms.saturating_add(ahead_ms)) - ahead_ms;
    Some(DateTime::from_timestamp_millis(unix_ms)?.with_timezone(&offset))
}

/// Writes a moment as RFC 3339, to the second: `2026-03-14T10:22:00+01:00`.
pub fn rfc3339(moment: Moment) -> Option<String> {
    local(moment).map(|time| time.to_rfc3339_opts(SecondsFormat::Secs, false))
}

/// Writes the day: `2026-03-14`.
pub fn day(moment: Moment) -> String {
    formatted(moment, "%Y-%m-%d")
}

/// Writes the day and marks it where the clock that told it is not to be believed.
pub fn marked_day(moment: Moment, doubtful: bool) -> String {
    marked(day(moment), doubtful)
}

/// Marks a day where the clock that told it is not to be believed.
pub fn marked(day: String, doubtful: bool) -> String {
    if doubtful { day + ", clock doubtful" } else { day }
}

/// Writes the time of day: `10:22`.
pub fn time(moment: Moment) -> String {
    formatted(moment, "%H:%M")
}

/// Writes the day and the time of day: `2026-03-14 10:22`.
pub fn to_the_minute(moment: Moment) -> String {
    formatted(moment, "%Y-%m-%d %H:%M")
}

/// Writes day, time and offset: `2026-03-14 10:22 +01:00`.
pub fn day_and_time(moment: Moment) -> String {
    formatted(moment, "%Y-%m-%d %H:%M %:z")
}

/// Returns the day so many months after a moment, as YYYY-MM-DD.
pub fn after_months(moment: Moment, months: u32) -> Option<String> {
    let day = local(moment)?.date_naive().checked_add_months(Months::new(months))?;
    // Of a file that was made by hand no day behind the calendar's four digits is told.
    let year = Some(day.year()).filter(|year| (0..=9999).contains(year))?;
    Some(format!("{year:04}-{:02}-{:02}", day.month(), day.day()))
}

fn formatted(moment: Moment, pattern: &str) -> String {
    local(moment).map_or("date not known".into(), |time| time.format(pattern).to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_written_in_its_own_offset() {
        let moment = Moment { unix_ms: 1_773_480_120_500, offset_min: 60 };
        assert_eq!(rfc3339(moment).unwrap(), "2026-03-14T10:22:00+01:00");
        assert_eq!(day_and_time(moment), "2026-03-14 10:22 +01:00");
        assert_eq!(to_the_minute(moment), "2026-03-14 10:22");
        let moment = Moment { offset_min: -570, ..moment };
        assert_eq!(rfc3339(moment).unwrap(), "2026-03-13T23:52:00-09:30");
        assert_eq!((day(moment), time(moment)), ("2026-03-13".into(), "23:52".into()));
    }

    #[test]
    fn a_day_always_has_four_digits_for_its_year() {
        let written = |unix_ms, offset_min| {
            let moment = Moment { unix_ms, offset_min };
            (day(moment), rfc3339(moment).unwrap())
        };
        // The last moment that the journal keeps is of the next year an hour further east.
        for (unix_ms, offset_min) in [(i64::MAX, 0), (i64::MAX, 60), (253_402_300_799_999, 60)] {
            let (day, time) = written(unix_ms, offset_min);
            assert_eq!(day, "9999-12-31");
            assert!(time.starts_with("9999-12-31T23:59:59"), "{time}");
        }
        assert_eq!(written(i64::MIN, -60).0, "0001-01-01");
    }

    #[test]
    fn a_moment_whose_offset_is_none_is_said_not_to_be_known() {
        let moment = Moment { unix_ms: 0, offset_min: 24 * 60 };
        assert_eq!((rfc3339(moment), day(moment)), (None, "date not known".into()));
    }
}
