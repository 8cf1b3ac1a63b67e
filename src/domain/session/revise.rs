//! How corrections, amendments and work on the engine change what the readings count for.

use super::hold_down::{HoldDown, Worked};
use super::state::{Crank, State, Stood, Taken};
use crate::domain::crank;
use crate::domain::doubt::Doubt;
use crate::domain::entry::{Amend, Amended, Change, Correct, Reading, Work};
use crate::domain::profile::{Adjuster, Figures};
use crate::domain::units::Length;
use crate::domain::valve::{Kind, Valve};

impl State {
    pub(super) fn read(&mut self, seq: u64, reading: Reading, stood: Option<Stood>) {
        if reading.paper.is_some() {
            // That its lifter was dry then says nothing of now.
            self.dry.remove(&reading.valve);
        }
        self.readings.push(Taken {
            seq,
            reading,
            stood,
            crank: stood.and_then(|stood| stood.angle(self.facts())),
            corrected: None,
            counts: true,
            shut: true,
            locked: false,
            warm: self.warm().map(String::from),
            arrived: self.arrived,
            raised: None,
        });
    }

    /// What a cylinder's work leaves behind is put together anew: a new series begins.
    pub(super) fn worked(&mut self, seq: u64, work: &Work) {
        let cylinder = work.cylinder;
        if work.hold_down.is_some() {
            let Some(worked) = self.work.get_mut(&cylinder) else { return };
            let before = std::mem::replace(&mut worked.hold_down, HoldDown::Found);
            if before == HoldDown::NotMeasured && !work.no_nut_moved() {
                // Nobody knows which nuts the wrench turned, and what a valve reads hangs on them. Looked
                // at again, it is after a turn.
                self.crank_round = None;
                self.assemble(|valve| valve.cylinder == cylinder);
            }
            return;
        }
        let other_parts = self.brings_other_parts(work);
        if other_parts {
            self.fitted.retain(|valve, _| valve.cylinder != cylinder);
        }
        let hold_down = self.owed_of(cylinder);
        self.work.insert(cylinder, Worked { seq, hold_down });
        self.leak_tested.remove(&cylinder);
        self.worked_with_parts_out(work, other_parts);
        if work.asks_anew {
            let valves = self.facts().valves_of(cylinder);
            let is_set =
                |valve: Valve| self.touched.contains(&valve) && !self.only_worked_on(valve);
            let not_set = valves.into_iter().filter(|valve| !is_set(*valve));
            let not_set: Vec<(Valve, String)> =
                not_set.map(|one| (one, work.what.clone())).collect();
            self.undone.only_worked.extend(not_set);
        }
        self.assemble(|valve| valve.cylinder == cylinder);
        if self.opens_nuts(work) {
            for valve in self.facts().valves_of(cylinder) {
                self.slacken(seq, valve);
            }
        }
        if work.asks_anew {
            self.hands_were_in(&work.what);
        }
    }

    /// With a cylinder off or a cam out the crank was turned, or may have been; after any other work it is
    /// proven anew. A lifter is dry only once somebody says so again.
    fn hands_were_in(&mut self, what: &str) {
        if [Work::CYLINDER, Work::CAM].contains(&what) {
            self.crank = Crank::Unknown;
        }
        self.crank_round = None;
        self.break_crank();
    }

    /// Tells whether after work nobody knows what parts are fitted: with it came others, or they fell out
    /// of what was changed. A cam comes off over its shims and leaves them where they are.
    fn brings_other_parts(&self, work: &Work) -> bool {
        let what = work.what.as_str();
        match &self.facts().adjuster {
            Adjuster::Pushrod { .. } => [Work::PUSH_ROD, Work::CYLINDER].contains(&what),
            Adjuster::Shim { .. } => [Work::FOLLOWER, Work::CYLINDER].contains(&what),
            Adjuster::Screw(_) | Adjuster::None => false,
        }
    }

    /// Tells whether work opens lock nuts: what lies between cam and valve brings its screw and nut
    /// along, or had them open.
    pub fn opens_nuts(&self, work: &Work) -> bool {
        self.has_screws() && work.hold_down.is_none() && work.what != "valve or seat"
    }

    /// A rocker moved where the crank was thought to stand: what was gauged there in this round says
    /// nothing, not even as found.
    pub(super) fn gauged_at_a_wrong_place(&mut self) {
        let (here, round) = (self.stands_at(), self.round());
        for taken in &mut self.readings {
            let this_round =
                round.is_some_and(|round| usize::from(taken.reading.round) == round + 1);
            if this_round && taken.stood.is_some() && taken.stood == here {
                taken.counts = false;
                taken.shut = false;
            }
        }
    }

    /// Readings made before a valve was taken apart are evidence only.
    pub(super) fn assemble(&mut self, of: impl Fn(Valve) -> bool) {
        for taken in self.readings.iter_mut().filter(|taken| of(taken.reading.valve)) {
            taken.counts = false;
        }
        let valves: Vec<Valve> =
            self.facts().valves().into_iter().filter(|&valve| of(valve)).collect();
        self.no_reason_after_work(&valves);
        self.touched.extend(&valves);
        self.assembled.extend(&valves);
    }

    pub(super) fn correct(&mut self, correct: &Correct) {
        match &correct.change {
            // Only readings and skips are withdrawn in their place; see `Session::keep` for all else.
            Change::Void => {
                let raised = self.raised_with(&[correct.of]);
                let of = self.readings.iter().find(|taken| taken.seq == correct.of);
                if let Some(valve) = of.map(|taken| taken.reading.valve) {
                    let last = self.undone.withdrawn.entry(valve).or_default();
                    *last = correct.of.max(*last);
                }
                self.danger_stays(|state| state.readings.retain(|taken| taken.seq != correct.of));
                self.skipped.retain(|_, (seq, _)| *seq != correct.of);
                self.rounds_skipped.retain(|_, (seq, _)| *seq != correct.of);
                self.raise_anew(&raised);
            }
            change @ Change::Value { .. } => {
                let Some(taken) = self.taken_mut(correct.of) else { return };
                let Some(figure) = change.figure(&taken.reading) else { return };
                taken.take_figure(&figure, &correct.why);
                self.doubt_corrected(correct.of);
            }
            // The figures change places; where and when each valve was gauged stays with the valve.
            Change::SwapWith(other) => {
                let figure = |seq: u64| {
                    let taken = self.readings.iter().find(|taken| taken.seq == seq)?;
                    Some(taken.reading.clone())
                };
                let (Some(one), Some(two)) = (figure(correct.of), figure(*other)) else { return };
                let raised = self.raised_with(&[correct.of, *other]);
                if let Some(taken) = self.taken_mut(correct.of) {
                    taken.take_figure(&two, &correct.why);
                }
                if let Some(taken) = self.taken_mut(*other) {
                    taken.take_figure(&one, &correct.why);
                }
                // That they changed places is what was doubted.
                let swapped =
                    |odd: &Option<String>| Doubt::of(odd.as_deref()) == Some(Doubt::Swapped);
                if swapped(&one.odd) || swapped(&two.odd) {
                    self.settled.extend([correct.of, *other]);
                }
                self.raise_anew(&raised);
                for seq in [correct.of, *other] {
                    // That they changed places is the answer to a doubt of it, and no doubt.
                    if !self.settled.contains(&seq) {
                        self.doubt_changed_places(seq);
                    }
                }
            }
        }
    }

    fn taken_mut(&mut self, seq: u64) -> Option<&mut Taken> {
        self.readings.iter_mut().find(|taken| taken.seq == seq)
    }

    pub(super) fn amend(&mut self, seq: u64, amend: &Amend) {
        match &amend.what {
            Amended::Figures { kind, target, least, most } => {
                let figures = amended_figures(&self.facts().figures(*kind), *target, *least, *most);
                self.amended.insert(*kind, figures);
            }
            Amended::Profile(profile) => {
                let old = std::mem::replace(&mut self.profile, (**profile).clone());
                self.amended.clear();
                // What was read on the page, or confirmed from last time, was of the old profile.
                self.page.clear();
                self.source_confirmed = false;
                self.replan();
                self.drop_unshut();
                if amend.asks_anew {
                    self.answered_by_another(seq, &old.profile);
                } else {
                    self.cautions_without_answer();
                }
            }
        }
    }

    /// Readings made where the new profile does not show the valve shut are due again.
    fn drop_unshut(&mut self) {
        let profile = self.profile.profile.clone();
        for taken in &mut self.readings {
            taken.crank = taken.stood.and_then(|stood| stood.angle(&profile));
        }
        let shut: Vec<bool> = self.readings.iter().map(|taken| self.shown_shut(taken)).collect();
        for (taken, shut) in self.readings.iter_mut().zip(shut) {
            taken.counts &= shut;
            taken.shut &= shut;
        }
    }

    fn shown_shut(&self, taken: &Taken) -> bool {
        if taken.stood.is_none() {
            // From paper, or from another version: nobody knows where the crank stood.
            return false;
        }
        let Some(angle) = taken.crank else { return true };
        let valve = taken.reading.valve;
        if taken.reading.against_plan.is_some() {
            return true;
        }
        if self.facts().timing.is_some() || self.facts().stops.is_none() {
            return crank::margin(self.facts(), valve, angle) > 0.0;
        }
        // A table without timing knows only its own places.
        self.stops().iter().any(|stop| {
            let here = stop.crank.is_some_and(|crank| crank::compare(crank, angle).is_eq());
            here && stop.gauge.iter().any(|gauge| gauge.valve == valve)
        })
    }
}

impl Change {
    /// Makes the reading that a new value leaves of an old one.
    pub(super) fn figure(&self, old: &Reading) -> Option<Reading> {
        let Change::Value { typed, unit, low, high, nominal, single } = self else { return None };
        Some(Reading {
            typed: typed.clone(),
            unit: *unit,
            low: *low,
            high: *high,
            nominal: *nominal,
            single: *single,
            odd: None,
            ..old.clone()
        })
    }
}

impl Reading {
    /// Takes the figure of another; returns what was typed before.
    pub(super) fn take_figure(&mut self, from: &Reading) -> String {
        self.unit = from.unit;
        (self.low, self.high, self.nominal) = (from.low, from.high, from.nominal);
        self.single = from.single;
        self.odd.clone_from(&from.odd);
        std::mem::replace(&mut self.typed, from.typed.clone())
    }
}

impl Taken {
    fn take_figure(&mut self, from: &Reading, why: &str) {
        let first = self.reading.take_figure(from);
        let first = self.corrected.take().map_or(first, |(oldest, _)| oldest);
        self.corrected = Some((first, why.to_string()));
    }
}

impl State {
    /// Tells whether the band that a touched valve of this kind is left in was worked out for amended
    /// figures: neither the profile nor who amended them names it.
    pub fn set_band_worked_out(&self, kind: Kind) -> bool {
        let (now, profile) = (self.figures(kind), self.facts().figures(kind));
        let band = |of: &Figures| (of.set_least, of.set_most);
        let narrow = |of: &Figures| band(of) != (of.least, of.most);
        narrow(&now) && narrow(&profile) && band(&now) != band(&profile)
    }
}

/// Makes the figures of an amendment. It names no set band: a profile's narrower one goes along with
/// the target, inside the new limits, so that no amendment loosens what a touched valve is left in.
fn amended_figures(old: &Figures, target: Length, least: Length, most: Length) -> Figures {
    let whole = old.set_least == old.least && old.set_most == old.most;
    let (set_least, set_most) = if whole {
        (least, most)
    } else {
        let below = target - (old.target - old.set_least);
        let above = target + (old.set_most - old.target);
        (below.max(least), above.min(most))
    };
    Figures { target, least, most, set_least, set_most }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrower_set_band_goes_along_with_an_amended_target() {
        let um = Length::from_um;
        let old = Figures {
            target: um(300),
            least: um(250),
            most: um(350),
            set_least: um(280),
            set_most: um(320),
        };
        let set = |figures: Figures| (figures.set_least, figures.set_most);
        let same = amended_figures(&old, um(300), um(240), um(360));
        assert_eq!(set(same), (um(280), um(320)), "wider limits do not widen what is set");
        assert_eq!(set(amended_figures(&old, um(340), um(250), um(350))), (um(320), um(350)));
        let whole = Figures { set_least: um(250), set_most: um(350), ..old };
        assert_eq!(set(amended_figures(&whole, um(300), um(240), um(360))), (um(240), um(360)));
    }
}
