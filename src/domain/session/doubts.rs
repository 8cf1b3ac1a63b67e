//! Readings that are not believed at once: when a reading is doubted, and what is asked then.
//!
//! Kept first, gauged once more, then settled with one key: see `domain::doubt`.

use super::decide::{Decided, given, one};
use super::due::Due;
use super::state::{State, Stood, Taken};
use crate::domain::advice;
use crate::domain::doubt::Doubt;
use crate::domain::entry::{Entry, Reading, Remark, Step};
use crate::domain::odd::Odd;
use crate::domain::plan::{Stop, TimingFrom};
use crate::domain::profile::{Adjuster, Screw};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Valve};
use crate::domain::verdict::Band;
use std::collections::BTreeSet;

/// Turn and leaf that differ by more than this mean a hollow pad or tip, which a flat leaf bridges
/// (check-values 15, seventh of ten): 0.002 in.
const HOLLOW: Length = Length::from_nm(50_800);

/// A reading that is not believed, and what it was gauged again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair<'a> {
    /// The reading that is not believed, or its partner on the same cylinder.
    pub first: &'a Taken,
    /// The reading after it, once there is one.
    pub second: Option<&'a Taken>,
}

impl Pair<'_> {
    /// Tells whether the second reading is as the first, within one leaf.
    pub fn agrees(&self) -> bool {
        let Some(second) = self.second else { return false };
        let (first, second) = (&self.first.reading, &second.reading);
        apart(first, second).is_none_or(|apart| apart <= width(first).max(width(second)))
    }
}

impl State {
    /// Returns the reading of a valve in a round that is not believed and not settled, and why.
    fn doubted(&self, round: usize, valve: Valve) -> Option<(&Taken, Doubt)> {
        let of_valve = |taken: &&Taken| {
            taken.counts
                && taken.reading.valve == valve
                && usize::from(taken.reading.round) == round + 1
        };
        let last = self.readings.iter().rev().filter(of_valve).find(|one| one.doubt().is_some())?;
        let open = !self.settled.contains(&last.seq);
        last.doubt().filter(|_| open).map(|doubt| (last, doubt))
    }

    /// Tells whether a valve wants a second reading, or its two readings a word, in a round.
    pub fn in_doubt(&self, round: usize, valve: Valve) -> bool {
        self.serviced(valve)
            && !self.rounds_skipped.contains_key(&round)
            && !self.skipped.contains_key(&(round, valve))
            && !self.nut_slack(valve)
            && self.doubted(round, valve).is_some_and(|(taken, _)| taken.reading.step != Step::Try)
    }

    /// Tells whether a valve is to be gauged once more before anything is said of it.
    pub fn wants_second(&self, round: Option<usize>, valve: Valve) -> bool {
        let Some(round) = round else { return false };
        let mut of_cylinder = self.facts().valves_of(valve.cylinder).into_iter();
        of_cylinder.any(|doubted| {
            self.in_doubt(round, doubted) && self.without_second(round, doubted).contains(&valve)
        })
    }

    /// Tells whether a valve, or a doubt that it is part of, waits for a word: till then nothing of it is
    /// changed.
    pub(super) fn part_of_a_doubt(&self, round: usize, valve: Valve) -> bool {
        let mut of_cylinder = self.facts().valves_of(valve.cylinder).into_iter();
        of_cylinder.any(|doubted| {
            self.in_doubt(round, doubted)
                && self.doubted(round, doubted).is_some_and(|(first, _)| {
                    let mut pairs = self.pairs(first.seq).into_iter();
                    pairs.any(|pair| pair.first.reading.valve == valve)
                })
        })
    }

    /// Tells whether a valve wants something of a doubt where it is gauged itself: a second reading, or
    /// the word on all of them once no second reading of another valve is missing.
    pub(super) fn doubt_asks_of(&self, round: usize, valve: Valve) -> bool {
        self.wants_second(Some(round), valve)
            || self.in_doubt(round, valve) && self.without_second(round, valve).is_empty()
    }

    /// Lists the valves of which a doubt of this one wants a second reading: not one that is passed over in
    /// the round, nor one whose nut was opened since, which reads otherwise now.
    fn without_second(&self, round: usize, valve: Valve) -> Vec<Valve> {
        let pairs = self.doubted(round, valve).map(|(first, _)| self.pairs(first.seq));
        let missing = pairs.into_iter().flatten().filter(|pair| pair.second.is_none());
        let as_it_was = |pair: &Pair<'_>| self.opened_after(pair.first).is_none();
        let missing = missing.filter(as_it_was).map(|pair| pair.first.reading.valve);
        missing.filter(|&valve| !self.skipped.contains_key(&(round, valve))).collect()
    }

    /// Returns where the nut of a valve was opened after a reading of it that is no try.
    fn opened_after(&self, first: &Taken) -> Option<u64> {
        let at_rest = first.reading.step != Step::Try;
        let nut = self.nuts.get(&first.reading.valve).filter(|_| at_rest);
        nut.map(|nut| nut.opened_at).filter(|&opened| opened > first.seq)
    }

    /// Returns what is asked about the valves of a stop that are not believed. A partner that another
    /// stop shows shut is gauged again there and nowhere else.
    pub(super) fn due_of_doubt(&self, round: usize, stop: usize, valves: &[Valve]) -> Option<Due> {
        let others = self.facts().valves().into_iter().filter(|valve| !valves.contains(valve));
        let doubted = valves.iter().copied().chain(others);
        let mut doubted = doubted.filter(|&valve| self.in_doubt(round, valve));
        doubted.find_map(|valve| self.due_of_one_doubt(round, stop, (valve, valves)))
    }

    fn due_of_one_doubt(
        &self,
        round: usize,
        stop: usize,
        (valve, here): (Valve, &[Valve]),
    ) -> Option<Due> {
        let (first, doubt) = self.doubted(round, valve)?;
        let missing = self.without_second(round, valve);
        let second = missing.iter().copied().find(|one| here.contains(one));
        if second.is_none() && !(missing.is_empty() && here.contains(&valve)) {
            return None;
        }
        let table = self.plan.as_ref().is_ok_and(|plan| plan.timing == TimingFrom::Table);
        let may_rock = !table && self.unloaded.is_empty();
        if doubt.asks_for_proof() && may_rock && self.rocked_at.is_none_or(|at| at < first.seq) {
            return Some(Due::Rock { stop, loose: self.to_gauge(stop) });
        }
        Some(match second {
            Some(valve) => {
                let again = Due::Again(valve, self.step_of(round, valve));
                self.due_of_lifter(valve).unwrap_or(again)
            }
            None => Due::Doubted { valve, first: first.seq },
        })
    }

    /// Returns what is asked about a try that is not believed.
    pub(super) fn due_of_doubted_try(&self, valve: Valve) -> Option<Due> {
        let round = self.nuts.get(&valve)?.round;
        let (first, _) = self.doubted(round, valve)?;
        if first.reading.step != Step::Try || first.seq < self.nuts.get(&valve)?.said_at {
            return None;
        }
        let again = self.second(first, first.seq).is_none();
        Some(if again {
            Due::Again(valve, Step::Try)
        } else {
            Due::Doubted { valve, first: first.seq }
        })
    }

    /// Returns a doubted reading with the one after it; where the doubt is about both valves of a
    /// cylinder, those of the others before it.
    pub fn pairs(&self, first: u64) -> Vec<Pair<'_>> {
        let Some(taken) = self.readings.iter().find(|taken| taken.seq == first) else {
            return Vec::new();
        };
        let of_pair = taken.doubt().is_some_and(Doubt::of_pair);
        let (cylinder, round) = (taken.reading.valve.cylinder, taken.reading.round);
        let mut firsts: Vec<&Taken> = Vec::new();
        if of_pair {
            let others = self.facts().valves_of(cylinder).into_iter();
            firsts.extend(others.filter(|&valve| valve != taken.reading.valve).filter_map(
                |valve| {
                    self.readings.iter().rev().find(|other| {
                        other.counts
                            && other.seq < first
                            && other.reading.valve == valve
                            && other.reading.round == round
                    })
                },
            ));
        }
        firsts.push(taken);
        let second = |one: &'_ Taken| self.second(one, first);
        firsts.into_iter().map(|one| Pair { first: one, second: second(one) }).collect()
    }

    /// Lists the readings that nobody stands by: not believed, and not said to be so; where both
    /// valves of a cylinder were doubted, both. What they say of repeating is nothing.
    pub fn explained_away(&self) -> BTreeSet<u64> {
        let word = |seq: u64| {
            let mut remarks = self.remarks.iter().rev();
            remarks.find_map(|(_, remark)| (remark.settles == Some(seq)).then_some(&*remark.text))
        };
        let gone = |taken: &&Taken| {
            let doubt = taken.doubt();
            doubt.is_some_and(|doubt| !word(taken.seq).is_some_and(|said| doubt.stands_by(said)))
        };
        let doubted = self.readings.iter().filter(gone);
        doubted.flat_map(|taken| self.pairs(taken.seq)).map(|pair| pair.first.seq).collect()
    }

    /// Returns what the valve of one reading was gauged again after the one that is not believed. What it
    /// read once its screw was turned tells nothing of that.
    fn second(&self, one: &Taken, first: u64) -> Option<&Taken> {
        let opened = self.opened_after(one).unwrap_or(u64::MAX);
        let of = |taken: &&Taken| {
            taken.counts
                && taken.reading.valve == one.reading.valve
                && (first + 1..opened).contains(&taken.seq)
        };
        self.readings.iter().rev().find(of)
    }

    /// Says why the reading that is about to be kept is not believed at once.
    pub(super) fn doubt_of(&self, reading: &Reading, slip: Option<Odd>) -> Option<Doubt> {
        // Both valves near nothing first: a crank on the wrong stroke hurts more than a slip.
        let pair = self.pair_doubt(reading, self.stands_at(), &[]);
        pair.filter(|doubt| *doubt == Doubt::NearNothing)
            .or_else(|| slip.and_then(Doubt::of_slip))
            .or(pair)
            .or_else(|| self.scatter(reading))
            .or_else(|| self.not_as_led_to(reading))
    }

    /// Tells whether a second reading leaves both valves near nothing, and nobody proved since the
    /// crank came here that it stands right.
    pub(super) fn wants_proof(&self, second: &Reading) -> bool {
        let round = usize::from(second.round).checked_sub(1);
        let first = round.and_then(|round| self.doubted(round, second.valve));
        first.is_some_and(|(_, doubt)| !doubt.asks_for_proof())
            && self.pair_doubt(second, self.stands_at(), &[]) == Some(Doubt::NearNothing)
    }

    /// Says why a reading against the plan, or from paper with `paper` before it, is not believed at
    /// once. An odd figure was asked about before; a second reading is none to be doubted anew.
    pub(super) fn doubt_elsewhere(
        &self,
        reading: &Reading,
        stood: Option<Stood>,
        paper: &[Reading],
    ) -> Option<Doubt> {
        let round = usize::from(reading.round).checked_sub(1);
        let second = round.is_some_and(|round| self.in_doubt(round, reading.valve))
            || self.wants_second(round, reading.valve);
        let pair = self.pair_doubt(reading, stood, paper);
        if second {
            return pair.filter(|doubt| doubt.asks_for_proof() && self.wants_proof(reading));
        }
        pair.or_else(|| self.scatter(reading)).or_else(|| self.not_as_led_to(reading))
    }

    /// A corrected figure is looked at beside those of the other valves, like one that is just read. The
    /// doubt is of the last one read of them.
    pub(super) fn doubt_corrected(&mut self, seq: u64) {
        let Some(taken) = self.readings.iter().find(|taken| taken.seq == seq).cloned() else {
            return;
        };
        let (valve, round) = (taken.reading.valve, taken.reading.round);
        let of_pair = |one: &Taken| {
            let at_rest = one.reading.step != Step::Try;
            at_rest && one.reading.valve.cylinder == valve.cylinder && one.reading.round == round
        };
        self.readings.iter_mut().filter(|one| of_pair(one)).for_each(|one| one.raised = None);
        if !of_pair(&taken) || self.current(valve).is_none_or(|one| one.seq != seq) {
            return;
        }
        let doubt = self.pair_doubt(&taken.reading, taken.stood, &[]);
        let valves = self.facts().valves_of(valve.cylinder).into_iter();
        let read = valves.filter_map(|one| self.current(one)).filter(|one| of_pair(one));
        let last = read.map(|one| one.seq).max();
        if let Some(last) = self.readings.iter_mut().find(|one| Some(one.seq) == last) {
            last.raised = doubt;
        }
    }

    /// Figures that changed places are looked at so too; but whoever says that they did has looked at that.
    pub(super) fn doubt_changed_places(&mut self, seq: u64) {
        self.doubt_corrected(seq);
        let cylinder = self.readings.iter().find(|one| one.seq == seq);
        let cylinder = cylinder.map(|one| one.reading.valve.cylinder);
        let swapped = self.readings.iter_mut().filter(|one| {
            Some(one.reading.valve.cylinder) == cylinder && one.raised == Some(Doubt::Swapped)
        });
        swapped.for_each(|one| one.raised = None);
    }

    /// Lists where a correction left a doubt that nobody answered and that one of these readings is part
    /// of: cylinder and round of it.
    pub(super) fn raised_with(&self, of: &[u64]) -> Vec<(Cylinder, u8)> {
        let part = |first: u64| self.pairs(first).iter().any(|pair| of.contains(&pair.first.seq));
        let raised = self.readings.iter().filter(|one| one.raised.is_some());
        let open = raised.filter(|one| !self.settled.contains(&one.seq) && part(one.seq));
        open.map(|one| (one.reading.valve.cylinder, one.reading.round)).collect()
    }

    /// A doubt that a correction raised goes with the figures that it came from: those that are left are
    /// looked at as if the last of them was just read.
    pub(super) fn raise_anew(&mut self, raised: &[(Cylinder, u8)]) {
        for &(cylinder, round) in raised {
            let of_pair = |one: &Taken| {
                let at_rest = one.reading.step != Step::Try;
                at_rest && one.reading.valve.cylinder == cylinder && one.reading.round == round
            };
            self.readings.iter_mut().filter(|one| of_pair(one)).for_each(|one| one.raised = None);
            let valves = self.facts().valves_of(cylinder).into_iter();
            let read = valves.filter_map(|one| self.current(one)).filter(|one| of_pair(one));
            let Some(last) = read.max_by_key(|one| one.seq) else { continue };
            let (seq, doubt) = (last.seq, self.pair_doubt(&last.reading, last.stood, &[]));
            if let Some(last) = self.readings.iter_mut().find(|one| one.seq == seq) {
                last.raised = doubt;
            }
        }
    }

    /// Looks at all valves of the cylinder once the last of them is read: those of its stop, and those
    /// that were read where the crank stood for it, or on the same paper.
    fn pair_doubt(
        &self,
        reading: &Reading,
        stood: Option<Stood>,
        paper: &[Reading],
    ) -> Option<Doubt> {
        let cylinder = reading.valve.cylinder;
        let gauges = |stop: &Stop, valve| stop.gauge.iter().any(|gauge| gauge.valve == valve);
        let own =
            |stops: &'_ [Stop]| stops.iter().find(|stop| gauges(stop, reading.valve)).cloned();
        let stop = own(self.stops()).or_else(|| own(&self.plan.as_ref().ok()?.stops));
        let others = self.facts().valves_of(cylinder).into_iter();
        let mut all: Vec<&Reading> = vec![reading];
        for other in others.filter(|valve| *valve != reading.valve) {
            let typed = paper.iter().rev().find(|one| one.valve == other);
            let taken = self.current(other).filter(|one| one.reading.round == reading.round);
            let there = taken.is_some_and(|one| stood.is_some() && one.stood == stood);
            let here = stop.as_ref().is_some_and(|stop| gauges(stop, other));
            if typed.is_some() || here || there {
                all.push(typed.or_else(|| taken.map(|one| &one.reading))?);
            }
        }
        if Kind::BOTH.iter().any(|kind| all.iter().all(|one| one.valve.kind != *kind)) {
            return None;
        }
        if all.iter().all(|one| self.near_nothing(one)) {
            Some(Doubt::NearNothing)
        } else {
            self.look_swapped(cylinder, &all).then_some(Doubt::Swapped)
        }
    }

    /// Tells whether a reading is not more than half of the lower limit, or whether nothing went in.
    pub(super) fn near_nothing(&self, reading: &Reading) -> bool {
        let least = self.figures(reading.valve.kind).least;
        let at_most = reading.nominal.or(reading.high);
        at_most.is_some_and(|length| length.nm() * 2 <= least.nm())
    }

    /// Tells whether every valve misses its own limits and fits those of the other kind.
    fn look_swapped(&self, cylinder: Cylinder, all: &[&Reading]) -> bool {
        let fits = |nominal: Length, kind: Kind| Band::found(&self.figures(kind)).contains(nominal);
        let (own, other) = (self.figures(Kind::Intake), self.figures(Kind::Exhaust));
        own.target != other.target
            && all.len() == self.facts().valves_of(cylinder).len()
            && all.iter().all(|one| {
                let kind = one.valve.kind;
                let strange = if kind == Kind::Intake { Kind::Exhaust } else { Kind::Intake };
                one.nominal.is_some_and(|nominal| !fits(nominal, kind) && fits(nominal, strange))
            })
    }

    /// Tells whether a reading differs from the last one by more than a leaf, though nothing was
    /// done to the valve between.
    fn scatter(&self, reading: &Reading) -> Option<Doubt> {
        let before = &self.current(reading.valve)?.reading;
        let apart = apart(before, reading)?;
        (apart > width(before).max(width(reading))).then_some(Doubt::Scatter)
    }

    /// Says why a try is not believed: it went away from the target, or it did not move though more
    /// than a leaf's step was asked for.
    pub(super) fn doubt_of_try(&self, reading: &Reading) -> Option<Doubt> {
        let of_valve = |taken: &&Taken| taken.counts && taken.reading.valve == reading.valve;
        let before = &self.readings.iter().rev().find(of_valve)?.reading;
        if self.stands_unknown(reading.valve) {
            return None;
        }
        let target = self.figures(reading.valve.kind).target;
        let (was, now) = (before.nominal?, reading.nominal?);
        let off = |length: Length| (length.nm() - target.nm()).abs();
        let beyond = off(now) > off(was) && (now < was) == (was < target);
        if was != target && now != was && beyond {
            Some(Doubt::WrongWay)
        } else if now == was && off(was) > width(before).nm() {
            Some(Doubt::NotMoved)
        } else {
            let turned = reading.turned.zip(self.screw());
            let by_turn = turned.and_then(|(degrees, screw)| advice::moved_by(screw, degrees))?;
            let by_leaf = Length::from_nm((now.nm() - was.nm()).abs());
            let apart = (by_turn.nm() - by_leaf.nm()).abs();
            (apart > HOLLOW.nm()).then_some(Doubt::Hollow)
        }
    }

    fn screw(&self) -> Option<&Screw> {
        match &self.facts().adjuster {
            Adjuster::Screw(screw) => Some(screw),
            Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => None,
        }
    }

    /// Keeps what two readings of a doubted valve were.
    pub(super) fn believe(&self, why: &str) -> Decided {
        let Due::Doubted { first, .. } = self.due() else { return Err(super::Refusal::NotNow) };
        let words: Vec<String> = self
            .pairs(first)
            .iter()
            .map(|pair| {
                let valve = self.name_of(pair.first.reading.valve);
                let again = pair.second.map(|second| format!(", again {}", second.reading.typed));
                format!("{valve} {}{}", pair.first.reading.typed, again.unwrap_or_default())
            })
            .collect();
        let cylinder = self.readings.iter().find(|taken| taken.seq == first);
        one(Entry::Remark(Remark {
            cylinder: cylinder.map(|taken| taken.reading.valve.cylinder),
            text: format!("{}: {}", words.join("; "), given(why)?),
            settles: Some(first),
            ..Remark::default()
        }))
    }
}

/// How far apart two readings are: by their nominals, else by what their open ends allow.
pub(super) fn apart(one: &Reading, other: &Reading) -> Option<Length> {
    if let (Some(one), Some(other)) = (one.nominal, other.nominal) {
        return Some(Length::from_nm((one.nm() - other.nm()).abs()));
    }
    let gap = |low: Option<Length>, high: Option<Length>| Some(low? - high?);
    let gaps = [gap(one.low, other.high), gap(other.low, one.high)];
    gaps.into_iter().flatten().max()
}

/// The width of a closed reading: one step of the leaves; nothing for an open one.
pub(super) fn width(reading: &Reading) -> Length {
    let closed = reading.nominal.and(reading.low).zip(reading.high);
    closed.map_or(Length::ZERO, |(low, high)| high - low)
}
