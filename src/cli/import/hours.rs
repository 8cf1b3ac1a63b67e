//! The running hours that are known here, against which those of a table are held: a counter only runs
//! forward, in a table as anywhere else.

use crate::cli::workshop::{day_is_doubtful, day_of};
use crate::domain::entry::{Hours, Moment};
use crate::report::dates;
use crate::store::engines::Engine;
use crate::store::sessions::{self, Glance};
use crate::store::table::Session;
use crate::store::words::command;

/// Hours that an engine is known to have run by a day.
struct Point {
    day: String,
    /// When, where it is known to the minute.
    began: Option<Moment>,
    run: Hours,
    /// What tells it.
    of: String,
    /// What to do where it is that which is wrong.
    cure: String,
}

/// What is known here of an engine's running hours, over all its counters.
pub struct Known(Vec<Point>);

impl Known {
    /// Gathers what the engine's sessions and its own file tell. Hours that were put right since, and days
    /// that nobody can believe, tell nothing.
    pub fn of(engine: &Engine, sessions: &[Glance]) -> Known {
        let believed = |one: &&Glance| one.counts() && !day_is_doubtful(one);
        let session = |one: &Glance| {
            let (told_on, name) = (dates::day(one.hours_at), &one.name);
            Some(Point {
                day: day_of(one),
                began: one.day.is_none().then_some(one.started),
                run: engine.run_at(one.hours?, &told_on),
                of: format!("session \"{name}\" here"),
                cure: String::new(),
            })
        };
        let its = sessions::of_engine(sessions, engine).filter(believed);
        let mut points: Vec<Point> = its.filter_map(session).collect();
        for (told, next) in
            engine.hours.iter().zip(engine.hours.iter().skip(1).map(Some).chain([None]))
        {
            if next.is_some_and(|next| next.is_correction()) {
                continue;
            }
            points.push(Point {
                day: told.date.clone(),
                began: None,
                run: told.run(),
                of: "the engine here".to_owned(),
                cure: format!(
                    "; where that was a mistake: {}",
                    command("engine hours", (&engine.name, "HOURS"), "--correct")
                ),
            });
        }
        Known(points)
    }

    /// Says what does not go together with the hours of a session that is to be taken.
    pub fn against(&self, session: &Session) -> Option<String> {
        let day = dates::day(session.began);
        let hours = session.hours;
        self.0.iter().find_map(|point| {
            let before = match point.began {
                Some(began) => began.unix_ms.cmp(&session.began.unix_ms),
                None => point.day.cmp(&day),
            };
            let (must, which) = match before {
                std::cmp::Ordering::Less if point.run > hours => ("below", "earlier"),
                std::cmp::Ordering::Greater if point.run < hours => ("above", "later"),
                _ => return None,
            };
            let Point { run, of, day, cure, .. } = point;
            Some(format!(
                "`hours` is {hours}, but must not be {must} the {run} of {of} on {day}, which is \
                 {which}{cure}"
            ))
        })
    }
}
