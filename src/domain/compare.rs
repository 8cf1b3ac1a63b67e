//! What moved between two services of an engine, and how far that can be believed.
//!
//! A movement is what the clearance did while the engine ran: as-found less the as-left before it.
//! Its range is what the two readings allow, and where that range holds no movement at all, the two
//! are not told apart. Lines through several services are another matter (trend).

use super::entry::{Hours, Moment};
use super::service::{Conditions, Ending, Gauged, GaugedAt, Outcome, Service, source_words};
use super::units::{Length, LengthUnit, Temperature};
use super::valve::{Several, Valve};
use super::verdict::Verdict;

/// Heads less far apart than this, thousandths of a degree, are not spoken of: at about a
/// thousandth of a millimetre per degree (check-values 2.2) that is far below any leaf.
const TEMPERATURE_APART: u32 = 5_000;

/// Two services side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The engine's name.
    pub engine: String,
    /// The unit that figures are shown in: that of the newer service's profile.
    pub unit: LengthUnit,
    /// The older service.
    pub older: Side,
    /// The newer one.
    pub newer: Side,
    /// Every valve in order: cylinders by number, intake before exhaust.
    pub valves: Vec<Movement>,
    /// What changed between them, and limits what the comparison can mean.
    pub conditions: Vec<String>,
}

/// One of the two services.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The session's name, or its id where it has none.
    pub session: String,
    /// When it began.
    pub began: Option<Moment>,
    /// Whether that day is not to be believed.
    pub day_doubtful: bool,
    /// Running hours.
    pub hours: Option<Hours>,
    /// True where the session is still open.
    pub unfinished: bool,
}

/// What a valve did between two services.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// The valve.
    pub valve: Valve,
    /// As the older service left it.
    pub was_left: Option<Gauged>,
    /// As the newer one found it.
    pub found: Option<Gauged>,
    /// Found less was-left, by nominals; `None` where one is missing or open-ended.
    pub moved: Option<Length>,
    /// The least that the two intervals allow; `None` where open.
    pub moved_low: Option<Length>,
    /// The most that they allow; `None` where open.
    pub moved_high: Option<Length>,
    /// As the newer service left it.
    pub left: Option<Gauged>,
    /// The newer service's verdict as found.
    pub verdict_found: Option<Verdict>,
    /// The newer service's verdict as left.
    pub verdict_left: Option<Verdict>,
    /// The older service's verdict as left.
    pub verdict_was_left: Option<Verdict>,
    /// Why the older service left it outside its band.
    pub why_was_left: Option<String>,
    /// Why the newer one did.
    pub why_left: Option<String>,
    /// How many tries the newer service took.
    pub tries: u32,
    /// What is to be said of its figures in the newer service.
    pub notes: Vec<String>,
}

/// Which way a clearance went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Less clearance than was left.
    Closed,
    /// More clearance than was left.
    Opened,
    /// The two readings allow no movement at all.
    NotToldApart,
    /// A figure is missing, or the two cannot be set against each other.
    NotKnown,
}

impl Movement {
    /// Tells which way the clearance went, as far as the two readings can tell.
    pub fn way(&self) -> Way {
        match (self.moved_low, self.moved_high) {
            (_, Some(high)) if high < Length::ZERO => Way::Closed,
            (Some(low), _) if low > Length::ZERO => Way::Opened,
            (None, None) => Way::NotKnown,
            (Some(_), _) | (None, Some(_)) => Way::NotToldApart,
        }
    }

    /// Tells whether the two readings cannot be of one and the same clearance.
    pub fn told_apart(&self) -> bool {
        matches!(self.way(), Way::Closed | Way::Opened)
    }

    /// Returns how far it moved, in nanometres: the least that the readings allow, then by the nominals;
    /// -1 where that cannot be told.
    pub fn size(&self) -> (i64, i64) {
        let size = |length: Option<Length>| length.map_or(-1, |length| length.nm().abs());
        let least = match self.way() {
            Way::Closed => size(self.moved_high),
            Way::Opened => size(self.moved_low),
            Way::NotToldApart => 0,
            Way::NotKnown => -1,
        };
        (least, size(self.moved))
    }
}

impl Comparison {
    /// Puts what surely moved most first: by the least movement that the readings allow, then by
    /// the movement of the nominals; what cannot be told comes last.
    #[must_use]
    pub fn by_moved(mut self) -> Comparison {
        self.valves.sort_by_key(|movement| std::cmp::Reverse(movement.size()));
        self
    }
}

/// Sets two services of an engine side by side.
pub fn compare(older: &Service, newer: &Service) -> Comparison {
    let mut valves: Vec<Valve> =
        older.valves.iter().chain(&newer.valves).map(|outcome| outcome.valve).collect();
    valves.sort_unstable();
    valves.dedup();
    let mixed = !comparable(older, newer);
    Comparison {
        engine: newer.engine.clone(),
        unit: newer.unit,
        older: side(older),
        newer: side(newer),
        valves: valves
            .into_iter()
            .map(|valve| movement(valve, older.outcome(valve), newer.outcome(valve), mixed))
            .collect(),
        conditions: conditions(older, newer),
    }
}

/// Tells whether two services can be set against each other: both cold or both hot, none warm.
pub fn comparable(older: &Service, newer: &Service) -> bool {
    older.gauged_at() == newer.gauged_at() && newer.gauged_at() != GaugedAt::Warm
}

fn side(service: &Service) -> Side {
    Side {
        session: service.called().to_string(),
        began: service.began,
        day_doubtful: service.day_doubtful,
        hours: service.hours,
        unfinished: service.ending == Ending::Open,
    }
}

fn movement(
    valve: Valve,
    older: Option<&Outcome>,
    newer: Option<&Outcome>,
    mixed: bool,
) -> Movement {
    let was_left = older.and_then(|outcome| outcome.left.clone());
    let found = newer.and_then(|outcome| outcome.found.clone());
    let comparable = !mixed && newer.is_some_and(|outcome| !outcome.new_series);
    let pair = was_left.as_ref().zip(found.as_ref()).filter(|_| comparable);
    let pair = pair.map(|(was, now)| (was.interval, now.interval));
    let less = |now: Option<Length>, was: Option<Length>| Some(now? - was?);
    Movement {
        valve,
        moved: pair.and_then(|(was, now)| less(now.nominal, was.nominal)),
        moved_low: pair.and_then(|(was, now)| less(now.low, was.high)),
        moved_high: pair.and_then(|(was, now)| less(now.high, was.low)),
        was_left,
        found,
        left: newer.and_then(|outcome| outcome.left.clone()),
        verdict_found: newer.and_then(|outcome| outcome.verdict_found),
        verdict_left: newer.and_then(|outcome| outcome.verdict_left),
        verdict_was_left: older.and_then(|outcome| outcome.verdict_left),
        why_was_left: older.and_then(|outcome| outcome.left_as_is.clone()),
        why_left: newer.and_then(|outcome| outcome.left_as_is.clone()),
        tries: newer.map_or(0, |outcome| outcome.tries),
        notes: newer.map_or(Vec::new(), notes),
    }
}

fn notes(outcome: &Outcome) -> Vec<String> {
    let lost = outcome.found_lost.iter().map(|why| format!("as-found lost: {why}"));
    let series = outcome.new_series.then(|| "a new series: no movement is given".to_string());
    let worked = outcome.work_alone.iter();
    let worked = worked.map(|what| format!("worked on ({what}) and gauged after it, not set"));
    lost.chain(series).chain(worked).collect()
}

fn conditions(older: &Service, newer: &Service) -> Vec<String> {
    let mut words = Vec::new();
    words.extend(hot_and_cold(older, newer));
    let named = [("the older service", older), ("the newer service", newer)];
    words.extend(named.into_iter().filter_map(ending_words));
    words.extend(hours_words(older, newer));
    words.extend(leaves_words(older, newer));
    words.extend(temperature_words(older, newer));
    words.extend(named.into_iter().filter_map(|(name, service)| {
        let why = service.conditions.against_limit.as_ref()?;
        Some(format!(
            "{name} was gauged outside the temperature limit, so no movement is given: {why}"
        ))
    }));
    words.extend(workers_words(&older.conditions, &newer.conditions));
    words.extend(source_change(older, newer));
    if older.profile != newer.profile {
        words.push(format!("another profile: {}, then {}", older.profile, newer.profile));
    }
    words.extend(named.into_iter().flat_map(work_words));
    let several = Several::of(newer.valves.iter().map(|outcome| outcome.valve));
    words.extend(newer.valves.iter().filter_map(|outcome| {
        let why = outcome.found_lost.as_ref()?;
        Some(format!("{}: as-found figure lost: {why}", several.name(outcome.valve)))
    }));
    words
}

fn hot_and_cold(older: &Service, newer: &Service) -> Option<String> {
    let word = |service: &Service| if service.conditions.hot { "hot" } else { "cold" };
    (older.conditions.hot != newer.conditions.hot).then(|| {
        format!(
            "gauged {}, then {}: hot and cold are never mixed, so no movement is given",
            word(older),
            word(newer)
        )
    })
}

fn ending_words((name, service): (&str, &Service)) -> Option<String> {
    match &service.ending {
        Ending::Open => Some(format!("{name} is not finished")),
        Ending::Signed => None,
        Ending::Unsigned(why) => Some(format!("{name} was closed without a signature: {why}")),
        Ending::Imported => Some(format!("{name} was imported from a table")),
    }
}

fn hours_words(older: &Service, newer: &Service) -> Option<String> {
    match (older.hours, newer.hours) {
        (Some(one), Some(other)) if one == other => {
            Some("no running hours between them: what differs is the gauging or the work".into())
        }
        (Some(_), Some(_)) => None,
        (None, _) | (_, None) => Some("the running hours between them are not known".into()),
    }
}

fn leaves_words(older: &Service, newer: &Service) -> Option<String> {
    match (&older.conditions.leaves, &newer.conditions.leaves) {
        (Some(one), Some(other)) if one == other => None,
        (Some(one), Some(other)) if one.name == other.name => {
            Some(format!("the leaf set \"{}\" had other leaves", one.name))
        }
        (Some(one), Some(other)) => {
            Some(format!("another leaf set: \"{}\", then \"{}\"", one.name, other.name))
        }
        (None, _) => Some("the leaf set of the older service is not known".into()),
        (_, None) => Some("the leaf set of the newer service is not known".into()),
    }
}

fn temperature_words(older: &Service, newer: &Service) -> Option<String> {
    let apart = |one: Temperature, other: Temperature| one.0.abs_diff(other.0);
    match (older.conditions.head, newer.conditions.head) {
        (Some(one), Some(other)) if apart(one, other) < TEMPERATURE_APART => None,
        (Some(one), Some(other)) => {
            Some(format!("head temperature {}, then {}", one.both(), other.both()))
        }
        (None, _) => Some("the head temperature of the older service is not known".into()),
        (_, None) => Some("the head temperature of the newer service is not known".into()),
    }
}

fn workers_words(older: &Conditions, newer: &Conditions) -> Option<String> {
    let names = |conditions: &Conditions| match conditions.workers.join(" and ") {
        nobody if nobody.is_empty() => "somebody not named".to_string(),
        names => names,
    };
    (older.workers != newer.workers)
        .then(|| format!("worked on by {}, then by {}", names(older), names(newer)))
}

fn source_change(older: &Service, newer: &Service) -> Option<String> {
    let words = |service: &Service| match &service.conditions.source {
        None => "no source named".to_string(),
        Some(_) if service.conditions.practice => "example figures".to_string(),
        Some(source) => source_words(source),
    };
    let (one, other) = (words(older), words(newer));
    (one != other).then(|| format!("figures from another source: {one}; then {other}"))
}

fn work_words((name, service): (&str, &Service)) -> Vec<String> {
    let line = |(cylinder, what): &(u8, String)| {
        format!("cylinder {cylinder}: {what} in {name}, where a new series begins")
    };
    service.work.iter().map(line).collect()
}
