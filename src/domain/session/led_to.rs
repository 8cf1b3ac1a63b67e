//! What a part that goes in leads to, by the reading before it and by its size: whether its size is
//! believed as typed, whether it would hold its valve open, and whether what is gauged after it agrees.

use super::doubts::{apart, width};
use super::parts::Fitted;
use super::rough::ROUGH_LOOK;
use super::state::{State, Taken};
use crate::domain::advice;
use crate::domain::doubt::Doubt;
use crate::domain::entry::{PartKind, Reading};
use crate::domain::profile::Adjuster;
use crate::domain::units::Length;
use crate::domain::valve::Valve;
use crate::domain::verdict::Band;

/// How far two parts of one mark, or mark and micrometer, may be apart where the profile lists no sizes;
/// common practice, no source: a slip of the micrometer, or a worn face.
const APART: Length = Length::from_nm(20_000);

/// Why the size of a part that goes in is asked about before it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OddPart {
    /// It leaves no clearance: the valve would be held open.
    HoldsOpen,
    /// It may leave none: what came out is not known, or how loose the valve was.
    MayHoldOpen,
    /// It leads to this, outside the limits, where another one that is listed would lead inside.
    Outside(Length),
}

/// How sure it is that what went in holds its valve open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holds {
    /// Nothing that is known rules it out.
    Perhaps,
    /// By the reading before it and both sizes.
    Surely,
}

/// What a part replaced when it went in. What it leads to is worked out from that when it is asked: the
/// reading before it may be corrected, or withdrawn, later.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartBefore {
    /// The entry after which its valve was read with the part before; `None` where any reading counts.
    since: Option<u64>,
    /// The size of the part before; `None` where not known.
    size: Option<Length>,
    /// Whether it is the same part.
    same: bool,
}

/// What the part that is fitted leads to.
struct LedTo {
    /// The clearance, by the reading before it and both sizes.
    clearance: Length,
    /// How far that may be off: one step of the leaves, and what marks leave open.
    within: Length,
    /// False where it is counted from a part that nobody knows: nothing is held against a reading then.
    known: bool,
}

impl State {
    /// Returns the clearance that a part of this size leads to; `None` where none follows.
    pub fn leads_to(&self, valve: Valve, size: Length) -> Option<Length> {
        self.counted(valve, self.nominal_before(valve)?, (self.fitted_size(valve), size))
    }

    /// Counts on from what a valve read with one part to what it will with another.
    fn counted(
        &self,
        valve: Valve,
        nominal: Length,
        (before, size): (Option<Length>, Length),
    ) -> Option<Length> {
        match &self.facts().adjuster {
            Adjuster::Shim { .. } => Some(before? + nominal - size),
            Adjuster::Pushrod { rocker_ratio, .. } => {
                let now = before.unwrap_or(Length::ZERO);
                let figures = self.figures(valve.kind);
                let (rods, _) = advice::rods(&[size], *rocker_ratio, now, Some(nominal), &figures);
                rods.first()?.predicted
            }
            Adjuster::Screw(_) | Adjuster::None => None,
        }
    }

    /// Says why a part of this size is asked about before it is kept: of one that sets no clearance here
    /// nothing follows.
    pub fn odd_part(&self, valve: Valve, part: PartKind, size: Length) -> Option<OddPart> {
        if !self.is_own_part(part) {
            return None;
        }
        let before = self.before_parts(valve).filter(|taken| !self.is_only_a_look(taken))?;
        match self.holds(valve, &before.reading, (self.fitted_size(valve), size)) {
            Some(Holds::Surely) => return Some(OddPart::HoldsOpen),
            Some(Holds::Perhaps) => return Some(OddPart::MayHoldOpen),
            None => {}
        }
        let leads_to = self.leads_to(valve, size)?;
        let limits = Band::found(&self.figures(valve.kind));
        let inside = |size: &Length| {
            self.leads_to(valve, *size).is_some_and(|leads_to| limits.contains(leads_to))
        };
        let removed = self.removed.iter().map(|(_, size)| size);
        let better = !limits.contains(leads_to) && self.sizes().iter().chain(removed).any(inside);
        better.then_some(OddPart::Outside(leads_to))
    }

    /// Tells whether a part of a size holds a valve open that read so with the one before. No size is chosen by an
    /// open reading, but its bounds warn. Of a shim that came out with no mark and no micrometer it is only known
    /// that it was one of those listed: the thinnest leaves the least. Where marks are read they are sizes, so that
    /// nothing is asked in vain of an engine whose shims are known by nothing else; and where neither was read, most
    /// sizes are asked about once, since to measure what lies on the bench is the only other way to know.
    fn holds(
        &self,
        valve: Valve,
        reading: &Reading,
        (before, size): (Option<Length>, Length),
    ) -> Option<Holds> {
        let Reading { low, high, nominal, .. } = reading;
        let shim = matches!(self.facts().adjuster, Adjuster::Shim { .. });
        let thinnest = self.sizes().iter().min().copied().filter(|_| shim);
        let least = nominal.or(*low).unwrap_or(Length::ZERO);
        let least = self.counted(valve, least, (before.or(thinnest), size));
        let most = nominal.or(*high).and_then(|most| self.counted(valve, most, (before, size)));
        let nothing = |clearance: Option<Length>| clearance.is_some_and(|it| it <= Length::ZERO);
        if nothing(most) {
            return Some(Holds::Surely);
        }
        let no_bound = shim && before.or(thinnest).is_none();
        (no_bound || nothing(least)).then_some(Holds::Perhaps)
    }

    fn sizes(&self) -> &[Length] {
        match &self.facts().adjuster {
            Adjuster::Shim { sizes } => sizes,
            Adjuster::Pushrod { lengths, .. } => lengths,
            Adjuster::Screw(_) | Adjuster::None => &[],
        }
    }

    /// Notes what a part replaces that goes in, before it does; nothing where what was read before is but
    /// a look. `same` is the one that came out.
    pub(super) fn part_before(&self, valve: Valve, same: bool) -> Option<PartBefore> {
        let look = self.before_parts(valve).is_none_or(|taken| self.is_only_a_look(taken));
        let (since, size) = (self.assembled_at(valve), self.fitted_size(valve));
        (!look).then_some(PartBefore { since, size, same })
    }

    /// Works out what the part leads to that is in, or was the last: by the last reading before it.
    fn led_to_by(&self, valve: Valve) -> Option<LedTo> {
        let size = self.fitted_size(valve);
        let (PartBefore { size: before, same, .. }, reading) = self.read_before(valve)?;
        let (clearance, marks) = if same {
            (reading.nominal?, Length::ZERO)
        } else {
            (self.counted(valve, reading.nominal?, (before, size?))?, self.half_a_step())
        };
        let known = same || before.is_some();
        Some(LedTo { clearance, within: width(reading) + marks, known })
    }

    /// Returns what the part replaced that is in, or was the last, and what its valve last read with that.
    fn read_before(&self, valve: Valve) -> Option<(PartBefore, &Reading)> {
        let Fitted { put_in, instead_of, .. } = *self.fitted.get(&valve)?;
        let (put_in, before) = (put_in?, instead_of?);
        let with_that =
            |taken: &&Taken| taken.seq < put_in && taken.warm.as_deref() != Some(ROUGH_LOOK);
        let taken = self.at_rest_since(valve, before.since).find(with_that)?;
        Some((before, &taken.reading))
    }

    /// Half of the smallest step between the sizes that are listed: marks leave that open.
    pub fn half_a_step(&self) -> Length {
        let mut sizes: Vec<i64> = self.sizes().iter().map(|size| size.nm()).collect();
        sizes.sort_unstable();
        let steps = sizes.iter().zip(sizes.iter().skip(1)).map(|(one, next)| next - one);
        steps.filter(|step| *step > 0).min().map_or(APART, |step| Length::from_nm(step / 2))
    }

    /// Returns what the part that is in leads to, while nothing was gauged with it, nor anything else
    /// done to its cylinder.
    fn led_to(&self, valve: Valve) -> Option<LedTo> {
        let put_in = self.not_gauged_with(valve)?.put_in?;
        let worked = self.work.get(&valve.cylinder).is_some_and(|work| work.seq > put_in);
        self.led_to_by(valve).filter(|_| !worked)
    }

    /// Returns the part that is in, while nothing was gauged with it.
    fn not_gauged_with(&self, valve: Valve) -> Option<&Fitted> {
        let fitted = self.fitted.get(&valve)?;
        // With cams out no reading counts, and still it was gauged with that part.
        let gauged = self.at_rest_since(valve, Some(fitted.put_in?)).next().is_some();
        Some(fitted).filter(|_| !gauged && !self.part_is_out(valve))
    }

    /// Returns the clearance that the part leads to with which a valve was first gauged by this reading.
    pub fn led_to_before(&self, valve: Valve, reading: u64) -> Option<Length> {
        let put_in = self.fitted.get(&valve)?.put_in?;
        (put_in < reading).then(|| self.led_to_by(valve)).flatten().map(|led_to| led_to.clearance)
    }

    /// Tells whether what went in holds a valve open that was not gauged with it, or under which nothing went: by
    /// the reading before it, or as was known before that was withdrawn, or by another service. Other work on its
    /// cylinder ends no danger. What is signed answers for itself.
    pub(super) fn held_open_by(&self, valve: Valve) -> Option<Holds> {
        let fitted = self.fitted.get(&valve).filter(|_| self.sealed != Some(true))?;
        if self.part_is_out(valve) {
            return None;
        }
        // That a valve has no clearance does not show that it shuts.
        let gauged = self.at_rest_since(valve, Some(fitted.put_in?)).next();
        let nothing_went = gauged.map(|taken| nothing_goes(&taken.reading));
        if nothing_went == Some(false) {
            return None;
        }
        let perhaps = nothing_went.map(|_| Holds::Perhaps);
        let by_reading = || {
            let (PartBefore { size: before, same, .. }, reading) = self.read_before(valve)?;
            let size = fitted.size.filter(|_| !same)?;
            self.holds(valve, reading, (before, size))
        };
        fitted.holds.max(by_reading()).max(perhaps)
    }

    /// Lists the valves that would be held open by what went in, or may, and were not gauged with it.
    pub fn held_open_by_parts(&self) -> Vec<(Valve, Holds)> {
        let held = |valve: Valve| Some((valve, self.held_open_by(valve)?));
        self.valves().into_iter().filter_map(held).collect()
    }

    /// Takes away what a danger was known by: it stays until its valve is gauged, or the part is out.
    pub(super) fn danger_stays(&mut self, change: impl FnOnce(&mut State)) {
        let held = self.held_open_by_parts();
        change(self);
        for (valve, holds) in held {
            if let Some(fitted) = self.fitted.get_mut(&valve) {
                fitted.holds = fitted.holds.max(Some(holds));
            }
        }
    }

    /// Takes over a valve that another service, or version, left so: it is gauged here like any other that was
    /// changed. How sure it was is not handed on: it is taken for the worse.
    pub(super) fn carry_held_open(&mut self, seq: u64, from: &str, valve: Valve) {
        self.carry_gauge_after(from, valve, true);
        let fitted = self.fitted.entry(valve).or_default();
        (fitted.put_in, fitted.holds) = (Some(seq), Some(Holds::Surely));
    }

    /// Tells whether a reading is another than the part that went in leads to, by more than leaves and
    /// marks explain.
    pub(super) fn not_as_led_to(&self, reading: &Reading) -> Option<Doubt> {
        let LedTo { clearance, within, .. } =
            self.led_to(reading.valve).filter(|led_to| led_to.known)?;
        let led = Reading {
            low: Some(clearance),
            high: Some(clearance),
            nominal: Some(clearance),
            ..reading.clone()
        };
        (apart(&led, reading)? > within.max(width(reading))).then_some(Doubt::NotAsLedTo)
    }
}

/// Tells whether a reading says that not even the thinnest leaf went.
fn nothing_goes(reading: &Reading) -> bool {
    reading.nominal.or(reading.low).is_none_or(|least| least <= Length::ZERO)
}
