//! `engine hours`: what the hour counter shows, a figure that cannot be, and one told by mistake.

use super::args_engine::Told;
use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::entry::{Hours, Moment};
use crate::guide::counter::LastTold;
use crate::report::dates;
use crate::store::engines::{self, Counter, Engine, HoursTold};

/// Says what the counter of an engine showed last, and the most that it can show by now.
pub(super) fn last(engine: &Engine, at: Moment) -> LastTold {
    engine.hours.last().map_or_else(
        || LastTold { hours: Hours(0), day: dates::day(at), most: Hours(i64::MAX) },
        |told| by_now(told, at),
    )
}

fn by_now(told: &HoursTold, at: Moment) -> LastTold {
    let most = told.most_by(&dates::day(at));
    LastTold { hours: told.hours, day: told.date.clone(), most }
}

/// Keeps the hours that were told on the command line.
pub(super) fn tell(
    workshop: &Workshop,
    engine: &Engine,
    (hours, told): (Hours, &Told),
    at: Moment,
) -> Result<(), Fail> {
    let since = if told.correct { engine.told_before() } else { engine.hours.last() };
    let since = since.filter(|_| !told.counter_replaced && !told.so_it_is);
    if let Some(words) = since.and_then(|since| by_now(since, at).too_many(hours)) {
        let hint = "is the point in its place? Where it is right all the same, add --so-it-is";
        return Err(Fail::work(words, hint));
    }
    if told.correct {
        let before = engine.told_before().filter(|_| !told.counter_replaced);
        if let Some(before) = before.filter(|before| hours < before.hours) {
            let words = format!("{hours} h is less than the {} h told before", before.hours);
            return Err(Fail::work(words, "a new counter: add --counter-replaced"));
        }
        let correct = |engine: &mut Engine| {
            engine.correct_hours(&dates::day(at), hours, told.counter_replaced);
            Ok(())
        };
        engines::update(workshop.folder(), &engine.id, correct)?;
        return Ok(());
    }
    let counter = if told.counter_replaced { Counter::Replaced } else { Counter::Same };
    workshop.told_hours(engine, hours, counter, at).map(|_| ())
}
