//! The clock as it stands now, where it cannot be right, and days that it told wrongly before.

use super::world::World;
use crate::domain::clock::{DoubtOfNow, TOO_LATE, doubt_of_now};
use crate::domain::entry::Moment;
use crate::report::dates;
use crate::store::sessions::Glance;
use std::collections::BTreeSet;

/// Says of the clock that it cannot be right, by what was kept here before.
pub fn doubted_now(now: Moment, sessions: &[Glance]) -> Option<String> {
    // What a doubtful clock told, and what was typed in from a table, says nothing of this one.
    let told = |one: &&Glance| !one.clock_doubtful && !one.imported && one.day.is_none();
    let last = sessions.iter().filter(told).map(|one| one.last).max_by_key(|at| at.unix_ms);
    let why = match doubt_of_now(now, last)? {
        DoubtOfNow::BeforeTheProgram => "before this program was made".to_owned(),
        DoubtOfNow::TooLate => TOO_LATE.to_owned(),
        DoubtOfNow::BeforeTheLast(last) => {
            let last = dates::day_and_time(last);
            format!("before the last entry here, of {last}, and one of the two is wrong")
        }
    };
    Some(format!(
        "clock doubtful: it shows {}, {why}; set it right first: whatever is kept now gets its day \
         from it, and what is due is told by it",
        dates::day_and_time(now),
    ))
}

/// Says on standard error which days in a document are not to be believed: its fields are fixed, and
/// have no mark for that. A session, when it began, and whether that day is doubtful.
pub fn warn_of_days<'a>(
    world: &mut World<'_>,
    days: impl Iterator<Item = (&'a str, Option<Moment>, bool)>,
) {
    let mut said = BTreeSet::new();
    for (session, began, _) in days.filter(|(.., doubtful)| *doubtful) {
        let day = began.map(dates::day).unwrap_or_default();
        if said.insert(session) {
            world.warn(&format!("{session}: the day {day} is not to be believed: clock doubtful"));
        }
    }
}
