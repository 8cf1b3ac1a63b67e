//! What can be told of a counter: the most that it can show by a day, and hours that were told by
//! mistake, put right. What was told is never taken out of the file.

use super::{Engine, HoursTold, no_hours};
use crate::domain::entry::Hours;
use crate::domain::plain::quoted;
use crate::domain::service::days_since_1970;
use crate::domain::trend::put_right;

/// Why a figure takes the place of the one told before it.
pub const CORRECTED: &str = "corrected";
/// The same, and the counter that it was read from is a new one.
pub const REPLACED_CORRECTED: &str = "counter replaced, corrected";

/// A day's hours, in hundredths.
const DAY: i64 = 2400;

impl HoursTold {
    /// Returns the most that its counter can show by a day: 24 hours for each day since, of which
    /// there is one at least.
    pub fn most_by(&self, day: &str) -> Hours {
        let days = days_since_1970(&self.date).zip(days_since_1970(day));
        let days = days.map_or(1, |(told, now)| now.saturating_sub(told).max(1));
        self.hours.plus(Hours(days.saturating_mul(DAY)))
    }

    /// Tells whether it takes the place of the figure told before it.
    pub fn is_correction(&self) -> bool {
        self.why == CORRECTED || self.why == REPLACED_CORRECTED
    }
}

impl Engine {
    /// Says what in its file no sound program wrote, though it can be read: it is told, and the engine
    /// stays.
    pub fn flaw(&self) -> Option<String> {
        if self.is_list {
            return Some("it is a list where an object must stand".to_owned());
        }
        if self.hours.is_empty() {
            return Some("`hours` is empty: what its counter shows is not known".to_owned());
        }
        let is_day = |told: &&HoursTold| days_since_1970(&told.date).is_some();
        if let Some(told) = self.hours.iter().find(|told| !is_day(told)) {
            return Some(format!("`hours`: \"{}\" is no day", quoted(&told.date)));
        }
        let mut pairs = self.hours.iter().zip(self.hours.iter().skip(1));
        let (before, falls) =
            pairs.find(|(before, told)| told.why.is_empty() && told.run() < before.run())?;
        let (date, hours, more) = (&falls.date, falls.run(), before.run());
        Some(format!(
            "`hours`: {hours} on {date} is less than the {more} before, and no `why` says so"
        ))
    }

    /// Returns what the counter really showed where a service was begun with a figure on a day that
    /// was put right since; `None` where it was not.
    pub fn corrected(&self, shown: Hours, day: &str) -> Option<&HoursTold> {
        let at = self.told_at(shown, day)?;
        let after = self.hours.iter().skip(at + 1);
        after.take_while(|told| told.is_correction()).last()
    }

    /// Returns what the counters before the one that showed a figure on a day had reached together.
    pub fn offset_of(&self, shown: Hours, day: &str) -> Hours {
        if let Some(corrected) = self.corrected(shown, day) {
            return corrected.offset;
        }
        let same = self.told_at(shown, day).and_then(|at| self.hours.get(at));
        let by_then = || self.hours.iter().rev().find(|told| told.date.as_str() <= day);
        same.or_else(by_then).map_or(Hours(0), |told| told.offset)
    }

    /// Returns what the engine had run, over all its counters, when its counter showed a figure on a
    /// day: by the figure as it was put right since.
    pub fn run_at(&self, shown: Hours, day: &str) -> Hours {
        let really = self.corrected(shown, day).map_or(shown, |told| told.hours);
        really.plus(self.offset_of(shown, day))
    }

    /// Returns where the next check that a signer chose, when the counter was said to show a figure on a
    /// day, lies over all counters.
    pub fn chosen_at(&self, chosen: Hours, shown: Hours, day: &str) -> Hours {
        let really = self.corrected(shown, day).map_or(shown, |told| told.hours);
        put_right(chosen, shown, really).plus(self.offset_of(shown, day))
    }

    fn told_at(&self, shown: Hours, day: &str) -> Option<usize> {
        self.hours.iter().rposition(|told| told.date.as_str() <= day && told.hours == shown)
    }

    /// Returns what was told before the hours that a correction would take the place of.
    pub fn told_before(&self) -> Option<&HoursTold> {
        let mut told = self.hours.iter().rev().skip_while(|told| told.is_correction());
        told.nth(1)
    }

    /// Takes in what the counter really showed, where the hours told last were a mistake: they stay
    /// in the file, and nothing is reckoned from them. `replaced` says that the counter is a new one
    /// since the hours told before those.
    pub fn correct_hours(&mut self, date: &str, hours: Hours, replaced: bool) {
        let before = self.told_before();
        let (why, offset) = if replaced {
            (REPLACED_CORRECTED, before.map_or_else(no_hours, HoursTold::run))
        } else {
            (CORRECTED, before.map_or_else(no_hours, |before| before.offset))
        };
        self.hours.push(HoursTold { date: date.to_owned(), hours, why: why.to_owned(), offset });
    }
}
