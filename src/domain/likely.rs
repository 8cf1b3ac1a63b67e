//! What earlier services of an engine make likely, for noticing a reading that is far from it.
//!
//! A figure of an earlier service is never shown before a reading is kept; it is only compared.

use super::compare::{Movement, compare};
use super::doubt::Doubt;
use super::entry::{Entry, Step};
use super::profile::Facts;
use super::service::{GaugedAt, Service};
use super::session::{Due, Session};
use super::units::Length;
use super::valve::Valve;
use super::verdict::Interval;

/// What earlier services make likely.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Likely {
    /// What each valve was left at, as typed and as an interval.
    left: Vec<(Valve, String, Interval)>,
    /// The largest movement of any valve between two services that the readings cannot deny.
    largest: Option<Length>,
    /// True where the last service gauged the engine hot.
    hot: bool,
}

impl Likely {
    /// Takes it from the services of an engine, oldest first; those gauged warm teach nothing.
    pub fn of(services: &[Service], facts: &Facts) -> Likely {
        let at = if facts.gauge_when.hot { GaugedAt::Hot } else { GaugedAt::Cold };
        let known: Vec<&Service> = services
            .iter()
            .filter(|service| service.has_readings() && service.gauged_at() == at)
            .collect();
        let pairs = known.iter().zip(known.iter().skip(1));
        let largest = pairs
            .flat_map(|(older, newer)| compare(older, newer).valves)
            .filter_map(|movement| surely_moved(&movement))
            .max();
        let last = known.last();
        let left = last.map_or(&[][..], |service| &service.valves).iter().filter_map(|outcome| {
            let left = outcome.left.as_ref()?;
            Some((outcome.valve, left.typed.clone(), left.interval))
        });
        Likely { left: left.collect(), largest, hot: facts.gauge_when.hot }
    }

    /// Returns what a valve was left at, as typed.
    pub fn left(&self, valve: Valve) -> Option<&str> {
        self.left.iter().find(|(of, ..)| *of == valve).map(|(_, typed, _)| typed.as_str())
    }

    /// Tells whether an as-found reading lies further from the last as-left than is likely: further
    /// than half of the limits, and than twice the largest movement ever seen on this engine; where
    /// only one earlier service is known, further than the whole width of the limits.
    pub fn is_far(&self, valve: Valve, reading: &Interval, width: Length) -> bool {
        let Some((.., was)) = self.left.iter().find(|(of, ..)| *of == valve) else { return false };
        let Some(apart) = surely_apart(was, reading) else { return false };
        let enough = match self.largest {
            Some(largest) => (largest + largest).max(Length::from_nm(width.nm() / 2)),
            None => width,
        };
        apart > enough
    }

    /// Marks as-found readings among entries that moved further than is likely.
    pub fn doubt(&self, session: &Session, mut entries: Vec<Entry>) -> Vec<Entry> {
        let state = &session.state;
        let fresh = matches!(state.due(), Due::Gauge(..)) && state.warm().is_none();
        for entry in &mut entries {
            let Entry::Reading(reading) = entry else { continue };
            let figures = state.figures(reading.valve.kind);
            let width = figures.most - figures.least;
            let comparable = fresh
                && reading.step == Step::Found
                && reading.odd.is_none()
                && !state.work.contains_key(&reading.valve.cylinder)
                && state.facts().gauge_when.hot == self.hot;
            if comparable && self.is_far(reading.valve, &Interval::from(&*reading), width) {
                reading.odd = Some(Doubt::MovedFar.kept());
            }
        }
        entries
    }
}

/// The least movement that the two readings allow, whichever way; nothing where they allow none.
fn surely_moved(movement: &Movement) -> Option<Length> {
    match (movement.moved_low, movement.moved_high) {
        (Some(low), _) if low > Length::ZERO => Some(low),
        (_, Some(high)) if high < Length::ZERO => Some(Length::ZERO - high),
        (Some(_), Some(_)) => Some(Length::ZERO),
        (None, _) | (_, None) => None,
    }
}

/// How far apart two readings are at least; `None` where both could be of one clearance.
fn surely_apart(one: &Interval, other: &Interval) -> Option<Length> {
    let gap = |low: Option<Length>, high: Option<Length>| Some(low? - high?);
    let gaps = [gap(one.low, other.high), gap(other.low, one.high)];
    gaps.into_iter().flatten().filter(|&apart| apart > Length::ZERO).max()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::valve::Kind;

    const VALVE: Valve = Valve { cylinder: 1, kind: Kind::Exhaust, number: 1 };

    fn between(low: i64, high: i64) -> Interval {
        let (low, high) = (Length::from_um(low), Length::from_um(high));
        Interval { low: Some(low), high: Some(high), nominal: Some(low), single: false }
    }

    fn likely(largest: Option<i64>) -> Likely {
        Likely {
            left: vec![(VALVE, "0.30".into(), between(290, 310))],
            largest: largest.map(Length::from_um),
            hot: false,
        }
    }

    #[test]
    fn far_is_more_than_the_limits_are_wide_or_than_twice_what_was_ever_seen() {
        let width = Length::from_um(100);
        for (largest, reading, far) in [
            (None, between(180, 190), false),
            (None, between(180, 189), true),
            (None, between(411, 420), true),
            // A quiet engine: half of the limits is enough.
            (Some(0), between(230, 240), false),
            (Some(10), between(230, 239), true),
            // One that moves much.
            (Some(60), between(160, 170), false),
            (Some(60), between(160, 169), true),
        ] {
            assert_eq!(
                likely(largest).is_far(VALVE, &reading, width),
                far,
                "{largest:?} {reading:?}"
            );
        }
        let open = Interval { low: None, high: Some(Length::ZERO), nominal: None, single: false };
        assert!(likely(None).is_far(VALVE, &open, width), "nothing goes");
        let other = Valve { cylinder: 2, ..VALVE };
        assert!(!likely(None).is_far(other, &open, width), "no history, no doubt");
        assert_eq!(likely(None).left(VALVE), Some("0.30"));
    }
}
