//! Whether the clock that an entry was written by can be believed.
//!
//! The order of entries never depends on it: that is their place in the journal. A clock is doubtful
//! where an entry is earlier than the one before it, earlier than the program itself, or later than the
//! program can be in use.

use super::entry::{Entry, Kept, Moment};
use super::service::IMPORTED;
use std::fmt;

/// When the first version of the program was made, 2026-01-01 UTC: no honest clock is earlier.
pub const RELEASED_MS: i64 = 1_767_225_600_000;

/// How far a clock may be put back and still be believed, milliseconds: a clock that is kept right
/// over a network is put back by less (from memory).
pub const PUT_BACK_MAX_MS: i64 = 1_000;

/// How long after the program was made a clock is believed: fifty years. Common practice, no source.
pub const BELIEVED_FOR_MS: i64 = 50 * 31_557_600_000;

/// The first and the last moment of the years 1 to 9999, 0001-01-01 and 9999-12-31: a day beyond them is
/// written with no four digits for its year, and can be read by nothing here.
const CALENDAR_MS: (i64, i64) = (-62_135_596_800_000, 253_402_300_799_999);

/// How far a clock may stand before the last entry and still be believed: two computers that share
/// their sessions differ by less, and a time zone makes more. Common practice, no source.
pub const BEHIND_MAX_MS: i64 = 3_600_000;

/// What marks the program of an invented session: its past is made up, and so are its clocks.
pub const INVENTED: &str = "(invented)";

/// Why a clock is doubted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// This entry is earlier than the one before it.
    PutBack {
        /// The entry's place.
        seq: u64,
        /// By how much, milliseconds.
        by_ms: i64,
    },
    /// This entry is earlier than the program is old.
    BeforeTheProgram {
        /// The entry's place; the first such.
        seq: u64,
    },
    /// This entry is later than the program can be in use.
    TooLate {
        /// The entry's place; the first such.
        seq: u64,
    },
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Doubt::PutBack { seq, by_ms } => {
                write!(f, "entry {seq} is {} earlier than the one before it", time_words(*by_ms))
            }
            Doubt::BeforeTheProgram { seq } => {
                write!(f, "entry {seq} is earlier than this program was made")
            }
            Doubt::TooLate { seq } => write!(f, "entry {seq} is {TOO_LATE}"),
        }
    }
}

/// What is said of a moment that is later than the program can be in use.
pub const TOO_LATE: &str = "longer after this program was made than it can be in use";

/// Why the clock is doubted as it stands now, before anything is kept by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoubtOfNow {
    /// It is earlier than the program is old.
    BeforeTheProgram,
    /// It is earlier than what was kept before, by a clock that was believed.
    BeforeTheLast(Moment),
    /// It is later than this program can be in use.
    TooLate,
}

/// Tells whether the clock can be believed as it stands now; `last` is when anything was kept last.
pub fn doubt_of_now(now: Moment, last: Option<Moment>) -> Option<DoubtOfNow> {
    let is_after = |last: &Moment| last.unix_ms.saturating_sub(now.unix_ms) > BEHIND_MAX_MS;
    match last.filter(is_after) {
        _ if now.unix_ms < RELEASED_MS => Some(DoubtOfNow::BeforeTheProgram),
        _ if is_too_late(now) => Some(DoubtOfNow::TooLate),
        Some(last) => Some(DoubtOfNow::BeforeTheLast(last)),
        None => None,
    }
}

fn is_too_late(at: Moment) -> bool {
    at.unix_ms > RELEASED_MS + BELIEVED_FOR_MS
}

/// Returns a time, in milliseconds since 1970, as the nearest within the years 1 to 9999.
pub fn in_calendar(unix_ms: i64) -> i64 {
    unix_ms.clamp(CALENDAR_MS.0, CALENDAR_MS.1)
}

fn time_words(ms: i64) -> String {
    match ms / 1000 {
        seconds @ ..120 => format!("{seconds} s"),
        seconds @ 120..7_200 => format!("{} min", seconds / 60),
        seconds @ 7_200..172_800 => format!("{} h", seconds / 3_600),
        seconds => format!("{} days", seconds / 86_400),
    }
}

/// Lists what makes the clock of some entries doubtful; their places and times, in order.
pub fn doubts(entries: impl Iterator<Item = (u64, Moment)>) -> Vec<Doubt> {
    let mut found = Vec::new();
    let mut last: Option<Moment> = None;
    let (mut too_early, mut too_late) = (false, false);
    for (seq, at) in entries {
        let by_ms = last.map_or(0, |last| last.unix_ms.saturating_sub(at.unix_ms));
        if by_ms > PUT_BACK_MAX_MS {
            found.push(Doubt::PutBack { seq, by_ms });
        }
        if at.unix_ms < RELEASED_MS && !too_early {
            too_early = true;
            found.push(Doubt::BeforeTheProgram { seq });
        }
        if is_too_late(at) && !too_late {
            too_late = true;
            found.push(Doubt::TooLate { seq });
        }
        last = Some(at);
    }
    found
}

/// Lists what makes the clock of a session doubtful. Sessions made of a table, and those of the
/// invented workshop, are of the past by their nature.
pub fn doubts_of(kept: &[Kept]) -> Vec<Doubt> {
    let made = |kept: &Kept| {
        matches!(&kept.entry, Entry::Head(head) if head.program.ends_with(INVENTED))
            || matches!(&kept.entry, Entry::Seal(seal) if !seal.signed && seal.why == IMPORTED)
    };
    if kept.iter().any(made) {
        return Vec::new();
    }
    doubts(kept.iter().map(|kept| (kept.seq, kept.at)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(unix_ms: i64) -> Moment {
        Moment { unix_ms, offset_min: 0 }
    }

    #[test]
    fn the_clock_of_now_is_doubted_before_the_program_before_the_last_entry_and_long_after() {
        let doubt = |now, last: Option<i64>| doubt_of_now(at(now), last.map(at));
        let day = 86_400_000;
        let sound = RELEASED_MS + 100 * day;
        let hour = BEHIND_MAX_MS;
        assert_eq!([doubt(sound, None), doubt(sound, Some(sound + hour))], [None, None]);
        let last = DoubtOfNow::BeforeTheLast(at(sound + hour + 1));
        assert_eq!(doubt(sound, Some(sound + hour + 1)), Some(last));
        for early in [i64::MIN, -1, RELEASED_MS - 1] {
            assert_eq!(doubt(early, Some(sound)), Some(DoubtOfNow::BeforeTheProgram));
        }
        let believed = RELEASED_MS + BELIEVED_FOR_MS;
        assert_eq!(doubt(believed, Some(sound)), None);
        for late in [believed + 1, i64::MAX] {
            assert_eq!(doubt(late, Some(sound)), Some(DoubtOfNow::TooLate));
        }
    }

    #[test]
    fn a_clock_that_went_back_or_is_out_of_the_programs_time_is_doubted() {
        let day = 86_400_000;
        let found =
            |times: &[i64]| doubts((0..).zip(times.iter().map(|ms| at(RELEASED_MS + ms)))).len();
        assert_eq!(found(&[0, 5, 5, day]), 0);
        assert_eq!(found(&[2_000, 1_000, 0]), 0, "a second is no jump");
        assert_eq!(found(&[day, 0]), 1);
        assert_eq!(found(&[-day, -day, 0]), 1);
        assert_eq!(found(&[0, BELIEVED_FOR_MS, BELIEVED_FOR_MS]), 0);
        assert_eq!(found(&[0, BELIEVED_FOR_MS + 1, BELIEVED_FOR_MS + 2]), 1);
        let found = doubts([(0, at(-1)), (1, at(i64::MAX)), (2, at(i64::MIN))].into_iter());
        let words: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert_eq!(words[0], "entry 0 is earlier than this program was made");
        let in_use = "entry 1 is longer after this program was made than it can be in use";
        assert_eq!(words[1], in_use);
        assert!(words[2].ends_with(" days earlier than the one before it"), "{words:?}");
        let [early, late] = [Doubt::BeforeTheProgram { seq: 0 }, Doubt::TooLate { seq: 1 }];
        assert_eq!(found, [early, late, Doubt::PutBack { seq: 2, by_ms: i64::MAX }]);
    }
}
