//! `engine hours`: what the hour counter shows, a figure that cannot be, and one told by mistake.

use super::args_engine::Told;
use super::fail::Fail;
use super::open_session::SOON;
use super::shop;
use super::workshop::Workshop;
use crate::domain::entry::{Back, CounterTold, Entry, Hours, Moment};
use crate::domain::session::Session;
use crate::guide::counter::{self, LastTold};
use crate::report::dates;
use crate::store::engines::{self, Counter, Engine, HoursTold};
use std::sync::mpsc;
use std::time::SystemTime;

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

/// Says what was told of the engine's counter that a session does not know: more hours than were answered for
/// in it, of a new counter or not, or that what it asks or was answered about was put right.
fn told_beside(engine: &Engine, session: &Session, at: Moment) -> Option<CounterTold> {
    let (day, shows, state) = (dates::day(at), engine.counter(), &session.state);
    let known = state.counter_known()?;
    // Over all its counters, and by what was put right since: neither makes an engine run.
    if engine.hours_run() > engine.run_at(known, &day) {
        let now = engine.hours_run().less(shows);
        let other = |(own, at)| engine.offset_of(own, &dates::day(at)) != now;
        let replaced = session.hours_told().is_some_and(other);
        let told = if replaced { CounterTold::Replaced } else { CounterTold::WentUp };
        let asked = (state.counter.up, state.counter.replaced) == (Some(shows), replaced);
        return (!asked).then_some(told(shows));
    }
    if let Some(from) = state.counter.up {
        return Some(CounterTold::PutRight { from, to: shows });
    }
    let from = state.counter.answered?;
    let to = engine.corrected(from, &day)?.hours;
    Some(CounterTold::PutRight { from, to })
}

/// Returns these entries; whoever is back is told in them what was told of the engine's counter meanwhile.
pub(super) fn told_whoever_is_back(
    workshop: &Workshop,
    (engine, session): (&Engine, &Session),
    entries: &[Entry],
    at: Moment,
) -> Vec<Entry> {
    let told = |back: &Back| {
        // Where the session is gone on with, it was read just now.
        let now = if back.restart { Some(engine.clone()) } else { as_it_is(workshop, engine) };
        told_beside(&now?, session, at)
    };
    let with_it = |entry: &Entry| match entry {
        Entry::Back(back) => Entry::Back(Back { counter: told(back), ..back.clone() }),
        other => other.clone(),
    };
    entries.iter().map(with_it).collect()
}

/// Reads an engine again; `None` where that takes longer than a key is to wait.
fn as_it_is(workshop: &Workshop, engine: &Engine) -> Option<Engine> {
    let (folder, id) = (workshop.folder().clone(), engine.id.clone());
    let (tell, told) = mpsc::channel();
    let read = move || drop(tell.send(engines::of_id(&folder, &id).ok()));
    std::thread::Builder::new().name("counter".into()).spawn(read).ok()?;
    told.recv_timeout(SOON).ok()?
}

/// Looks for hours that are told while a session stays awake: by when the engine's file was changed.
#[derive(Debug)]
pub(super) struct Meanwhile {
    changed: Option<SystemTime>,
}

impl Meanwhile {
    /// Begins to look where the session begins.
    pub(super) fn of(workshop: &Workshop, engine: &Engine) -> Meanwhile {
        Meanwhile { changed: changed(workshop, engine) }
    }

    /// Tells whether more hours were told since than the session knows.
    pub(super) fn told_more(
        &mut self,
        workshop: &Workshop,
        (engine, session): (&Engine, &Session),
        at: Moment,
    ) -> bool {
        let now = changed(workshop, engine);
        if now == self.changed {
            return false;
        }
        let Some(engine) = as_it_is(workshop, engine) else { return false };
        self.changed = now;
        let told = told_beside(&engine, session, at);
        matches!(told, Some(CounterTold::WentUp(_) | CounterTold::Replaced(_)))
    }
}

fn changed(workshop: &Workshop, engine: &Engine) -> Option<SystemTime> {
    let path = workshop.folder().engines().join(format!("{}.json", engine.id));
    std::fs::metadata(path).ok()?.modified().ok()
}

/// Says what is open at an engine whose hours were told, more of them than before; nothing where nothing is.
pub(super) fn told_over(workshop: &Workshop, before: &Engine, at: Moment) -> Option<String> {
    let engine = workshop.engine(&before.id).ok()?;
    if engine.hours_run() <= before.hours_run() {
        return None;
    }
    let row = shop::row_of(workshop, &engine, at).ok()?;
    let mut open = if row.all_open.is_empty() { row.left_open } else { row.all_open };
    open.extend(row.damaged.map(|words| format!("more than can be read: {words}")));
    counter::told_over(&engine.name, row.open.as_deref(), (&open, row.gravest))
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
