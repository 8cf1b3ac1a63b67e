//! The outcome of one session: what history and comparison need of it, and nothing of its way.
//!
//! A service is worked out from a session and never kept. What moved between two of them is
//! `compare`'s business.

mod pair;

pub use pair::{NoPair, choose, choose_last, find, in_order};

use super::entry::{Entry, Hours, LeafSet, Moment, ReadingUnit, Step};
use super::profile::{Figures, Source};
use super::session::{Session, State, Taken, day};
use super::units::{Length, LengthUnit, Temperature};
use super::valve::{Cylinder, Kind, Valve};
use super::verdict::{Interval, Verdict};
use std::collections::BTreeSet;

/// The reason for closing unsigned that marks a session made from the flat table (contract 7).
pub const IMPORTED: &str = "imported";

const MS_PER_DAY: i64 = 86_400_000;
/// Days from 0001-01-01 to 1970-01-01 in the calendar of today.
const DAYS_TO_1970: i64 = 719_162;

/// What one session came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// The session's id.
    pub session: String,
    /// The session's name, unique for the engine; empty where it has none.
    pub name: String,
    /// The engine's name.
    pub engine: String,
    /// When it began, on the day as corrected.
    pub began: Option<Moment>,
    /// Whether that day is not to be believed.
    pub day_doubtful: bool,
    /// Running hours, as read off the counter; whoever knows of a replaced counter adds its offset.
    pub hours: Option<Hours>,
    /// The name that the profile is known by.
    pub profile: String,
    /// The profile's unit.
    pub unit: LengthUnit,
    /// Every valve of the engine in order, those outside the scope too.
    pub valves: Vec<Outcome>,
    /// Work on cylinders: what was replaced.
    pub work: Vec<(Cylinder, String)>,
    /// What the figures were gauged with, by whom, how warm.
    pub conditions: Conditions,
    /// How the session ended.
    pub ending: Ending,
    /// Target and limits as they ruled, intake first.
    pub figures: [Figures; 2],
    /// When to look again.
    pub due: Due,
}

/// When a service says to look again.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Due {
    /// Running hours between services, by the profile.
    pub interval_hours: Option<f64>,
    /// Calendar months between services, by the profile.
    pub interval_months: Option<u32>,
    /// Running hours to the first service of a new engine, by the profile.
    pub first_interval_hours: Option<f64>,
    /// The signer's own choice, running hours as [`Service::hours`].
    pub chosen: Option<Hours>,
}

impl Due {
    /// Returns the running hours by which an engine is first looked at: the profile's first interval,
    /// else its interval.
    pub fn first_hours(&self) -> Option<f64> {
        self.first_interval_hours.or(self.interval_hours)
    }
}

/// What is known of one valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The valve.
    pub valve: Valve,
    /// False where the service did not concern it: outside its scope, and not opened either.
    pub in_scope: bool,
    /// The as-found reading.
    pub found: Option<Gauged>,
    /// The as-left reading (session.md section 4).
    pub left: Option<Gauged>,
    /// The as-found reading against the limits.
    pub verdict_found: Option<Verdict>,
    /// The as-left reading against the limits, or the set band where the valve was touched.
    pub verdict_left: Option<Verdict>,
    /// Whether its setting was touched.
    pub touched: bool,
    /// The work on its cylinder for which alone it was gauged anew: nobody set it.
    pub work_alone: Option<String>,
    /// How many tries it took.
    pub tries: u32,
    /// Why there is no as-found figure: it was adjusted before it was read.
    pub found_lost: Option<String>,
    /// Why it was left outside its band.
    pub left_as_is: Option<String>,
    /// True where work on the cylinder lies before the as-found reading, so that no as-left of an
    /// earlier service can be set against it.
    pub new_series: bool,
    /// How far each reading differs from the one before with nothing touched between them.
    pub repeats: Vec<Length>,
}

/// A reading as typed, and what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gauged {
    /// As typed.
    pub typed: String,
    /// The unit it was taken in.
    pub unit: ReadingUnit,
    /// What it says of the clearance.
    pub interval: Interval,
}

/// What figures depend on besides the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// True where the engine was gauged hot.
    pub hot: bool,
    /// Head temperature.
    pub head: Option<Temperature>,
    /// Air temperature.
    pub air: Option<Temperature>,
    /// Why it was gauged outside the temperature limit.
    pub against_limit: Option<String>,
    /// The leaf set in hand.
    pub leaves: Option<LeafSet>,
    /// Everybody who worked.
    pub workers: Vec<String>,
    /// The source of the figures, where one was named.
    pub source: Option<Source>,
    /// True where the figures are examples, for practice only.
    pub practice: bool,
}

/// How warm the engine was when it was gauged. Readings of different warmth are never set against
/// each other, and those gauged warm belong to no series at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GaugedAt {
    /// Cold, as the profile asks, inside its limit.
    Cold,
    /// Hot, as the profile asks, inside its limit.
    Hot,
    /// Outside the temperature limit, with a reason on the record.
    Warm,
}

/// How a session ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Not yet.
    Open,
    /// Signed.
    Signed,
    /// Closed without a signature, with the reason.
    Unsigned(String),
    /// Made from the flat table.
    Imported,
}

impl Service {
    /// Works out what a session came to, finished or not.
    pub fn of(session: &Session) -> Service {
        let state = &session.state;
        let facts = state.facts();
        let away = state.explained_away();
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        Service {
            session: session.head.session.clone(),
            name: text(&state.begin.name),
            engine: text(&state.begin.engine),
            began: session.began().map(|began| on_day(began, state.redated.as_deref())),
            day_doubtful: session.day_doubted().is_some(),
            hours: state.begin.hours,
            profile: state.profile.name.clone(),
            unit: facts.unit,
            valves: facts
                .valves()
                .into_iter()
                .map(|valve| outcome(session, valve, &away))
                .collect(),
            work: work(session),
            conditions: conditions(state),
            ending: ending(state),
            figures: Kind::BOTH.map(|kind| state.figures(kind)),
            due: Due {
                interval_hours: facts.interval_hours,
                interval_months: facts.interval_months,
                first_interval_hours: facts.first_interval_hours,
                chosen: state.sign.as_ref().and_then(|sign| sign.next_check),
            },
        }
    }

    /// Returns target and limits of a kind of valve as they ruled.
    pub fn figures(&self, kind: Kind) -> &Figures {
        let [intake, exhaust] = &self.figures;
        match kind {
            Kind::Intake => intake,
            Kind::Exhaust => exhaust,
        }
    }

    /// Tells how warm the engine was; outside the limit as soon as one reading was made so.
    pub fn gauged_at(&self) -> GaugedAt {
        match (&self.conditions.against_limit, self.conditions.hot) {
            (Some(_), _) => GaugedAt::Warm,
            (None, true) => GaugedAt::Hot,
            (None, false) => GaugedAt::Cold,
        }
    }

    /// Tells whether any valve has a figure.
    pub fn has_readings(&self) -> bool {
        self.valves.iter().any(|outcome| outcome.found.is_some() || outcome.left.is_some())
    }

    /// Returns what is known of a valve; `None` where the engine had no such valve.
    pub fn outcome(&self, valve: Valve) -> Option<&Outcome> {
        self.valves.iter().find(|outcome| outcome.valve == valve)
    }

    /// Returns the name to call it by: its id where it has none.
    pub fn called(&self) -> &str {
        if self.name.is_empty() { &self.session } else { &self.name }
    }

    /// Orders services: by hours, then by date, then by name; unknown hours last.
    pub fn place(&self) -> (i64, i64, &str) {
        let hours = self.hours.map_or(i64::MAX, |hours| hours.0);
        (hours, self.began.map_or(i64::MAX, |began| began.unix_ms), self.called())
    }
}

/// Moves a moment to another day, given as YYYY-MM-DD, at the same time of day; a day that is in no
/// calendar moves nothing.
pub fn on_day(moment: Moment, corrected: Option<&str>) -> Moment {
    let shift = corrected.and_then(days_since_1970).map_or(0, |days| days - day(moment));
    Moment { unix_ms: moment.unix_ms + shift * MS_PER_DAY, ..moment }
}

/// Counts the days from 1970-01-01 to a day given as YYYY-MM-DD.
pub fn days_since_1970(text: &str) -> Option<i64> {
    let mut parts = text.split('-').map(|part| part.parse::<u16>().ok());
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    let leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    let lengths = [31, 28 + u16::from(leap), 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let (earlier, rest) = lengths.split_at_checked(usize::from(month.checked_sub(1)?))?;
    if !(1..=9999).contains(&year) || !(1..=*rest.first()?).contains(&day) {
        return None;
    }
    let years = i64::from(year) - 1;
    let leap_days = years / 4 - years / 100 + years / 400;
    let this_year = i64::from(earlier.iter().sum::<u16>()) + i64::from(day) - 1;
    Some(years * 365 + leap_days + this_year - DAYS_TO_1970)
}

/// Tells whether figures are examples: said so by the mechanic, or by their own document.
pub fn is_practice(source: &Source, said: bool) -> bool {
    said || source.document.to_lowercase().contains("example figures")
}

/// Names a source in one line: document, revision, page.
pub fn source_words(source: &Source) -> String {
    let Source { document, revision, page } = source;
    let mut words = document.clone();
    for (label, part) in [("revision", revision), ("page", page)] {
        let labelled = part.to_lowercase().contains(label);
        match (part.is_empty(), labelled) {
            (true, _) => {}
            (false, true) => words += &format!(", {part}"),
            (false, false) => words += &format!(", {label} {part}"),
        }
    }
    words
}

fn outcome(session: &Session, valve: Valve, away: &BTreeSet<u64>) -> Outcome {
    let state = &session.state;
    let found = state.found(valve);
    let worked = state.work.get(&valve.cylinder).map(|work| work.seq);
    Outcome {
        valve,
        in_scope: state.serviced(valve),
        found: found.map(gauged),
        left: state.left(valve).map(gauged),
        verdict_found: state.verdict_found(valve),
        verdict_left: state.verdict_left(valve),
        touched: state.touched.contains(&valve) || session.tries(valve) > 0,
        work_alone: state.work_alone(valve).map(str::to_owned),
        tries: session.tries(valve),
        found_lost: state.found_lost.get(&valve).cloned(),
        left_as_is: session.why_left(valve).map(|left| left.why().to_owned()),
        repeats: repeats(state, valve, away),
        new_series: found.zip(worked).is_some_and(|(found, worked)| worked < found.seq),
    }
}

/// Sets each reading of a valve against the one before, where nothing was touched between them.
///
/// A reading that was explained away or typed anew later is no gauging of its own.
fn repeats(state: &State, valve: Valve, away: &BTreeSet<u64>) -> Vec<Length> {
    let mut last: Option<Length> = None;
    let mut differences = Vec::new();
    let own = |taken: &&Taken| {
        taken.reading.valve == valve && !away.contains(&taken.seq) && taken.corrected.is_none()
    };
    for taken in state.readings.iter().filter(own) {
        let nominal = taken.reading.nominal.filter(|_| taken.counts && taken.nothing_loose());
        let set_now = matches!(taken.reading.step, Step::Try | Step::Left);
        let before = last.filter(|_| !set_now);
        differences.extend(before.zip(nominal).map(|(before, now)| now - before));
        last = nominal;
    }
    differences
}

fn gauged(taken: &Taken) -> Gauged {
    let reading = &taken.reading;
    Gauged { typed: reading.typed.clone(), unit: reading.unit, interval: Interval::from(reading) }
}

fn work(session: &Session) -> Vec<(Cylinder, String)> {
    let kept = session.kept.iter().filter(|kept| !session.is_void(kept.seq));
    kept.filter_map(|kept| {
        let Entry::Work(work) = &kept.entry else { return None };
        work.hold_down.is_none().then(|| (work.cylinder, work.what.clone()))
    })
    .collect()
}

fn conditions(state: &State) -> Conditions {
    let condition = state.condition.as_ref();
    Conditions {
        hot: state.facts().gauge_when.hot,
        head: condition.and_then(|condition| condition.head),
        air: condition.and_then(|condition| condition.air),
        against_limit: state
            .warm()
            .or_else(|| state.readings.iter().find_map(|taken| taken.warm.as_deref()))
            .map(String::from),
        leaves: state.leaves.clone(),
        workers: state.workers.clone(),
        source: state.source.as_ref().map(|(source, _)| source.clone()),
        practice: state.source.as_ref().is_some_and(|(source, said)| is_practice(source, *said)),
    }
}

/// Tells how a session ended.
pub fn ending(state: &State) -> Ending {
    match state.sealed {
        None => Ending::Open,
        Some(true) => Ending::Signed,
        Some(false) if state.unsigned_why == IMPORTED => Ending::Imported,
        Some(false) => Ending::Unsigned(state.unsigned_why.clone()),
    }
}
