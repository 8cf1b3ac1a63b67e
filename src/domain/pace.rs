//! How fast a mechanic gauges, from the times at which his readings were kept.
//!
//! Common practice, no source: the middle gap between one kept reading and the next, breaks left
//! out, tells better how long the rest takes than an average, which one long search would spoil.

use super::entry::Entry;
use super::session::{BREAK_MIN, Session};

/// Gaps that are needed before anything is said of the time that is left.
pub const ENOUGH: usize = 6;

/// The time between two readings that one mechanic made one after the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// Who gauged.
    pub by: String,
    /// Milliseconds from one kept reading to the next.
    pub ms: i64,
}

/// Lists the gaps between the readings of a session. Left out are breaks of more than 15 minutes,
/// readings typed from paper or brought in by a table (no time passes between those), what was taken
/// back, and the gap in which another mechanic took over.
pub fn gaps(session: &Session) -> Vec<Gap> {
    let kept = session.kept.iter().filter(|kept| !session.is_void(kept.seq));
    let readings: Vec<_> = kept
        .filter_map(|kept| {
            let Entry::Reading(reading) = &kept.entry else { return None };
            reading.paper.is_none().then_some((reading.by.as_str(), kept.at.unix_ms))
        })
        .collect();
    let pairs = readings.iter().zip(readings.iter().skip(1));
    pairs
        .filter(|((by, _), (next, _))| by == next)
        .map(|((by, from), (_, to))| Gap { by: (*by).to_owned(), ms: to - from })
        .filter(|gap| (1..=BREAK_MIN * 60_000).contains(&gap.ms))
        .collect()
}

/// Says how many minutes so many valves take at a mechanic's own pace, rounded up; `None` before
/// there are enough gaps of his to go by.
pub fn minutes<'a>(gaps: impl Iterator<Item = &'a Gap>, by: &str, valves: usize) -> Option<i64> {
    let mut his: Vec<i64> = gaps.filter(|gap| gap.by == by).map(|gap| gap.ms).collect();
    if his.len() < ENOUGH {
        return None;
    }
    his.sort_unstable();
    let (upper, lower) = (his.len() / 2, (his.len() - 1) / 2);
    let middle = (his.get(lower)? + his.get(upper)?) / 2;
    Some((middle * i64::try_from(valves).ok()? + 59_999) / 60_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gap(by: &str, seconds: i64) -> Gap {
        Gap { by: by.into(), ms: seconds * 1000 }
    }

    #[test]
    fn minutes_are_the_middle_gap_times_the_valves_that_are_left() {
        let of = |seconds: &[i64]| seconds.iter().map(|&one| gap("A", one)).collect::<Vec<_>>();
        // Six gaps, worked by hand: 30 40 50 70 80 600 s have the middle 60 s; eight valves 8 min.
        let six = of(&[600, 30, 80, 50, 40, 70]);
        assert_eq!(minutes(six.iter(), "A", 8), Some(8));
        assert_eq!(minutes(six.iter(), "A", 0), Some(0));
        // Seven: the fourth.
        let seven = of(&[600, 30, 80, 50, 40, 70, 90]);
        assert_eq!(minutes(seven.iter(), "A", 1), Some(2));
    }

    #[test]
    fn nothing_is_said_by_too_few_gaps_or_by_those_of_somebody_else() {
        let mut gaps: Vec<Gap> = (0..5).map(|_| gap("A", 60)).collect();
        gaps.extend((0..9).map(|_| gap("B", 20)));
        assert_eq!(minutes(gaps.iter(), "A", 4), None);
        assert_eq!(minutes(gaps.iter(), "B", 4), Some(2));
    }
}
