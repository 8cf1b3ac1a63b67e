//! Rounds and stops: which valve is still to be gauged or set, where to turn next, how each stands.

use super::due::{Due, Stage};
use super::state::{Crank, Proven, RoundKind, State, Taken};
use crate::domain::crank;
use crate::domain::entry::{Reading, Step};
use crate::domain::profile::Adjuster;
use crate::domain::units::Length;
use crate::domain::valve::{Standing, Valve};
use crate::domain::verdict::{self, Band, Interval, Verdict};
use std::collections::BTreeSet;

impl State {
    /// Tells whether a valve still wants something while a round is under way.
    pub fn pending(&self, round: usize, valve: Valve) -> bool {
        self.nut_wants(round, valve) || self.wants_work(round, valve)
    }

    pub(super) fn wants_work(&self, round: usize, valve: Valve) -> bool {
        self.needs_reading(round, valve) || self.wants_more(round, valve)
    }

    /// Tells whether a valve wants anything else in a round than to be gauged.
    fn wants_more(&self, round: usize, valve: Valve) -> bool {
        self.wants_setting(round, valve)
            || self.doubt_asks_of(round, valve)
            || self.wants_rod(round, valve)
            || self.wants_leak_test(round, valve)
    }

    /// Tells whether the place where the crank stands serves this round: who looks again turns
    /// the engine in between, or he only repeats himself.
    pub(super) fn stands_for(&self, round: usize) -> bool {
        match self.kind_of(round) {
            Some(RoundKind::Recheck | RoundKind::SecondLook) => self.crank_round == Some(round),
            Some(
                RoundKind::Survey | RoundKind::Setting | RoundKind::Change | RoundKind::AsLeft,
            )
            | None => true,
        }
    }

    /// Tells whether a valve was locked in this round, which looks again, or for it, and the crank was not
    /// brought to its stop since.
    fn comes_again(&self, round: usize, valve: Valve) -> bool {
        let nut = self.nuts.get(&valve).filter(|nut| nut.round <= round);
        nut.and_then(|nut| nut.look_after).is_some_and(|locked| self.arrived < locked)
    }

    /// Tells whether a valve is to be gauged in a round with the crank as it was brought here.
    pub(super) fn is_read_here(&self, round: usize, valve: Valve) -> bool {
        self.needs_reading(round, valve) && !self.comes_again(round, valve)
    }

    /// It was closed up over this: a version before this one asked neither for another look at what was
    /// locked in the last round nor about two figures corrected to nearly nothing.
    pub(super) fn closed_over(&mut self) {
        self.nuts.values_mut().for_each(|nut| nut.look_after = None);
        let open = self.readings.iter_mut().filter(|taken| !self.settled.contains(&taken.seq));
        open.for_each(|taken| taken.raised = None);
    }

    /// Tells whether there is work left where the crank stands, at this stop.
    pub(super) fn works_here(&self, round: usize, stop: usize) -> bool {
        let gauged = self.stops().get(stop).map_or(&[][..], |stop| &stop.gauge);
        !self.unloaded.is_empty()
            || gauged.iter().any(|gauge| self.nut_wants(round, gauge.valve))
            || (self.stands_for(round)
                && gauged.iter().any(|gauge| {
                    let valve = gauge.valve;
                    self.is_read_here(round, valve) || self.wants_more(round, valve)
                }))
    }

    /// Tells whether a valve is to be gauged in a round.
    pub fn needs_reading(&self, round: usize, valve: Valve) -> bool {
        if !self.serviced(valve)
            || self.rounds_skipped.contains_key(&round)
            || self.skipped.contains_key(&(round, valve))
            || self.nut_slack(valve)
        {
            return false;
        }
        let Some(kind) = self.kind_of(round) else { return false };
        match kind {
            // What was taken apart is gauged after it went together again, in a round of its own.
            RoundKind::Survey if self.changes_parts() => {
                !self.assembled.contains(&valve)
                    && (self.current(valve).is_none() || self.wants_closer_look(valve))
            }
            RoundKind::Change => self.assembled.contains(&valve) && self.current(valve).is_none(),
            RoundKind::AsLeft => {
                self.last_as_left() == Some(round)
                    && !self.apart()
                    && self.assembled.contains(&valve)
                    && self.current(valve).is_none()
            }
            RoundKind::Survey => self.current(valve).is_none(),
            RoundKind::Setting => self.current(valve).is_none() || self.wants_closer_look(valve),
            RoundKind::Recheck => !self.read_in(round, valve),
            RoundKind::SecondLook => !self.read_in(round, valve) && self.out_by(round, valve),
        }
    }

    /// Tells whether a valve that is passed over in the round under way is gauged in a later one.
    pub fn gauged_later(&self, valve: Valve) -> bool {
        let Some(round) = self.round() else { return false };
        let later = (round + 1..self.rounds().len()).filter_map(|later| self.kind_of(later));
        let mut later = later.map(|kind| match kind {
            RoundKind::Setting | RoundKind::Recheck => true,
            RoundKind::Change | RoundKind::AsLeft => self.assembled.contains(&valve),
            RoundKind::Survey | RoundKind::SecondLook => false,
        });
        self.serviced(valve) && later.any(|gauged| gauged)
    }

    fn read_in(&self, round: usize, valve: Valve) -> bool {
        // What was set after it in an earlier round is looked at again.
        let nut = self.nuts.get(&valve);
        let set_since = nut.filter(|nut| nut.round < round);
        let set_since = set_since.and_then(|nut| nut.locked_by).unwrap_or(0);
        // What was locked in this round too, or once all were done, after the engine was turned.
        let locked = nut.filter(|nut| nut.round <= round).and_then(|nut| nut.look_after);
        self.readings.iter().any(|taken| {
            taken.counts
                && taken.seq > set_since
                && locked.is_none_or(|locked| taken.arrived > locked)
                && taken.reading.valve == valve
                && usize::from(taken.reading.round) == round + 1
                && matches!(taken.reading.step, Step::Recheck | Step::Found)
        })
    }

    /// Tells whether a valve is to be set in a round.
    pub fn needs_setting(&self, round: usize, valve: Valve) -> bool {
        !self.is_read_here(round, valve) && self.wants_setting(round, valve)
    }

    /// Tells whether the last reading of a valve is one to be set after, in this round.
    fn wants_setting(&self, round: usize, valve: Valve) -> bool {
        self.kind_of(round).is_some_and(RoundKind::sets)
            && self.has_screws()
            && self.serviced(valve)
            && !self.rounds_skipped.contains_key(&round)
            && !self.skipped.contains_key(&(round, valve))
            && !self.nut_slack(valve)
            && self.out_by(round, valve)
            && self.reason_to_leave(valve).is_none()
            && !self.part_of_a_doubt(round, valve)
    }

    /// Tells whether a valve was out of its band by this round; what a later round brought up is
    /// that round's business.
    pub(super) fn out_by(&self, round: usize, valve: Valve) -> bool {
        self.current(valve).is_some_and(|taken| {
            usize::from(taken.reading.round) <= round + 1
                && self.judge(taken, self.band(valve)) != Verdict::InLimits
        })
    }

    /// Tells whether clearances are set by screws with lock nuts.
    pub fn has_screws(&self) -> bool {
        matches!(self.facts().adjuster, Adjuster::Screw(_))
    }

    /// Returns the step that a reading made now belongs to.
    pub fn step_of(&self, round: usize, valve: Valve) -> Step {
        let as_it_was = !self.touched.contains(&valve) && !self.assembled.contains(&valve);
        match self.kind_of(round) {
            _ if as_it_was && self.found(valve).is_none() => Step::Found,
            Some(RoundKind::Survey | RoundKind::Setting) if as_it_was => Step::Found,
            Some(
                RoundKind::Survey | RoundKind::Setting | RoundKind::Change | RoundKind::AsLeft,
            ) => Step::Left,
            Some(RoundKind::Recheck | RoundKind::SecondLook) | None => Step::Recheck,
        }
    }

    /// Returns the stop to go to next in a round.
    ///
    /// Where the crank stands at a stop that wants something, that stop; where a cylinder was seen
    /// at overlap, or the plan was changed, the stop that serves, else the one that is the least
    /// turning away; else onwards from the last proven stop in the plan's order.
    pub fn next_stop(&self, round: usize) -> Option<usize> {
        let stops = self.stops();
        let wants = |stop: usize| {
            stops
                .get(stop)
                .is_some_and(|stop| stop.gauge.iter().any(|gauge| self.pending(round, gauge.valve)))
        };
        let here = match self.crank {
            Crank::At { stop, .. } => Some(stop),
            Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => None,
        };
        if let Some(stop) = here.filter(|&stop| self.works_here(round, stop)) {
            return Some(stop);
        }
        let due: Vec<usize> = (0..stops.len()).filter(|&stop| wants(stop)).collect();
        if let (Crank::Seen(_) | Crank::Elsewhere(_), Some(now)) = (self.crank, self.crank_angle())
        {
            return due.into_iter().min_by(|&one, &two| {
                let turn = |stop: usize| {
                    let angle = stops.get(stop).and_then(|stop| stop.crank);
                    angle.map_or(f64::MAX, |angle| crank::forward(now, angle))
                };
                turn(one).total_cmp(&turn(two))
            });
        }
        let from = here.map(|stop| stop.saturating_add(1)).or(self.last_stop).unwrap_or(0);
        due.iter().copied().find(|&stop| stop >= from).or_else(|| due.first().copied())
    }

    /// Counts the valves that still want something in the round under way.
    pub fn valves_left(&self) -> usize {
        let Some(round) = self.round() else { return 0 };
        let gauged = self.stops().iter().flat_map(|stop| &stop.gauge);
        gauged.filter(|gauge| self.pending(round, gauge.valve)).count()
    }

    /// Counts the valves of the round under way: those that want nothing more, and how many in all.
    pub fn valves_done(&self) -> Option<(usize, usize)> {
        let round = self.round()?;
        let gauged = self.stops().iter().flat_map(|stop| &stop.gauge).map(|gauge| gauge.valve);
        let done = |valve: &Valve| {
            let handled = self.serviced(*valve) && self.handled(round, *valve);
            handled && !self.pending(round, *valve)
        };
        let done = gauged.filter(done).count();
        Some((done, done + self.valves_left()))
    }

    /// Counts the stops of the round under way: number of the one in hand, and how many in all.
    pub fn progress(&self) -> Option<(usize, usize)> {
        let round = self.round()?;
        let stops = self.stops();
        let concerns = |stop: &&crate::domain::plan::Stop| {
            stop.gauge.iter().any(|gauge| {
                self.pending(round, gauge.valve)
                    || (self.serviced(gauge.valve) && self.handled(round, gauge.valve))
            })
        };
        let all = stops.iter().filter(concerns).count();
        // Letting go what was unloaded belongs to the stop that it was unloaded for.
        let held = match self.crank {
            Crank::At { stop, .. } if !self.unloaded.is_empty() => Some(stop),
            Crank::At { .. } | Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => None,
        };
        let open = stops
            .iter()
            .enumerate()
            .filter(|(place, stop)| {
                Some(*place) == held
                    || stop.gauge.iter().any(|gauge| self.pending(round, gauge.valve))
            })
            .count();
        Some((all.saturating_sub(open) + 1, all))
    }

    fn handled(&self, round: usize, valve: Valve) -> bool {
        match self.kind_of(round) {
            Some(RoundKind::Survey | RoundKind::Setting) => self.current(valve).is_some(),
            Some(RoundKind::Change | RoundKind::AsLeft) => self
                .current(valve)
                .is_some_and(|taken| usize::from(taken.reading.round) == round + 1),
            Some(RoundKind::Recheck | RoundKind::SecondLook) => self.read_in(round, valve),
            None => false,
        }
    }

    /// Returns the last reading of a valve that counts: made with nothing loose, and for a valve
    /// that was touched after it was locked, never its as-found.
    pub fn current(&self, valve: Valve) -> Option<&Taken> {
        let locked_by = self.nuts.get(&valve).and_then(|nut| nut.locked_by);
        let mut counted =
            self.readings.iter().rev().filter(|taken| {
                taken.counts && taken.reading.valve == valve && taken.nothing_loose()
            });
        counted.next().filter(|taken| {
            let since_locked = locked_by.is_none_or(|locked| taken.seq >= locked);
            let as_found = taken.reading.step == Step::Found;
            since_locked && !(as_found && self.touched.contains(&valve))
        })
    }

    /// Returns why a valve is left outside its band; `None` where the reason was given for another
    /// verdict than the one it has now, or for a figure nearer to the target.
    pub fn reason_to_leave(&self, valve: Valve) -> Option<&str> {
        self.reason_for(self.current(valve)?)
    }

    /// Returns why the valve of a reading is left as that reading has it. Where nobody knows what it read
    /// when the reason was given, the reason is none for any figure.
    pub(super) fn reason_for(&self, taken: &Taken) -> Option<&str> {
        let valve = taken.reading.valve;
        let (why, given_for, off, _) = self.left_as_is.get(&valve)?;
        let same = self.judge(taken, self.band(valve)).word() == *given_for;
        let near = off.zip(self.off_target(&taken.reading)).is_some_and(|(was, now)| now <= was);
        (same && near).then_some(why.as_str())
    }

    /// Returns how far a reading lies from its target, by its nominal or by what it proves.
    pub(super) fn off_target(&self, reading: &Reading) -> Option<Length> {
        let at = reading.nominal.or(reading.high).or(reading.low)?;
        let target = self.figures(reading.valve.kind).target;
        Some(Length::from_nm((at.nm() - target.nm()).abs()))
    }

    /// Returns the as-found reading of a valve: the last one made before anything was touched.
    pub fn found(&self, valve: Valve) -> Option<&Taken> {
        self.readings.iter().rev().find(|taken| {
            taken.shut && taken.reading.valve == valve && taken.reading.step == Step::Found
        })
    }

    /// Returns the as-left reading: the last valid one with nothing loose; for a valve that was not
    /// touched its as-found serves.
    pub fn left(&self, valve: Valve) -> Option<&Taken> {
        if self.nut_slack(valve) || self.part_is_out(valve) {
            return None;
        }
        self.current(valve)
    }

    /// Returns the band that a valve is judged by now: the set band once it was touched.
    pub fn band(&self, valve: Valve) -> Band {
        let figures = self.figures(valve.kind);
        if self.touched.contains(&valve) { Band::set(&figures) } else { Band::found(&figures) }
    }

    pub(super) fn judge(&self, taken: &Taken, band: Band) -> Verdict {
        let leaves = self.leaves.as_ref().map_or(&[][..], |set| &set.leaves);
        verdict::judge(&Interval::from(&taken.reading), band, leaves)
    }

    /// Judges the as-found reading against the check band.
    pub fn verdict_found(&self, valve: Valve) -> Option<Verdict> {
        let band = Band::found(&self.figures(valve.kind));
        self.found(valve).map(|taken| self.judge(taken, band))
    }

    /// Judges the as-left reading: against the set band where the valve was touched.
    pub fn verdict_left(&self, valve: Valve) -> Option<Verdict> {
        self.left(valve).map(|taken| self.judge(taken, self.band(valve)))
    }

    /// Judges the last reading that counts.
    pub fn verdict_now(&self, valve: Valve) -> Option<Verdict> {
        self.current(valve).map(|taken| self.judge(taken, self.band(valve)))
    }

    /// Returns the valves that are to be gauged at the stop in hand, from the turn that leads there to
    /// the reading of each: what they read before, in this service or an earlier one, is on no screen
    /// meanwhile.
    pub fn untold(&self) -> BTreeSet<Valve> {
        if self.due().stage() == Stage::AtAStop { self.untold_here() } else { BTreeSet::new() }
    }

    /// Returns those valves whatever is asked now: whoever is called away, or comes back, gauges them next.
    pub fn untold_here(&self) -> BTreeSet<Valve> {
        let due = self.due();
        let round = self.round();
        // Where the crank stands, too: what was locked here is gauged here once more after a turn.
        let turns = matches!(due, Due::Turn { .. } | Due::Rock { .. } | Due::Look(..));
        let at_work = due.stage() == Stage::AtAStop && !turns;
        let here = if let Crank::At { stop, .. } = self.crank { Some(stop) } else { None };
        let here = here.filter(|_| at_work);
        let stops = round.and_then(|round| self.next_stop(round)).into_iter().chain(here);
        let stops = stops.filter_map(|stop| self.stops().get(stop));
        let gauged = stops.flat_map(|stop| &stop.gauge).map(|gauge| gauge.valve);
        let wanted = |valve: &Valve| {
            self.wants_second(round, *valve)
                || round.is_some_and(|round| self.needs_reading(round, *valve))
        };
        let now =
            if let Due::Gauge(valve, _) | Due::Again(valve, _) = due { Some(valve) } else { None };
        gauged.filter(wanted).chain(now).collect()
    }

    /// Says how a valve stands on the drawing: nothing of an earlier round before its reading, but for
    /// what was left out of its band with a reason, which is on it until the stop of its next reading.
    pub fn standing(&self, valve: Valve) -> Standing {
        self.stands(valve, self.round(), &self.due())
    }

    /// Says how every valve of the engine stands.
    pub fn standings(&self) -> Vec<(Valve, Standing)> {
        let (round, due) = (self.round(), self.due());
        let valves = self.facts().valves().into_iter();
        valves.map(|valve| (valve, self.stands(valve, round, &due))).collect()
    }

    fn stands(&self, valve: Valve, round: Option<usize>, due: &Due) -> Standing {
        if self.nut_slack(valve) {
            return Standing::Setting;
        }
        if self.part_is_out(valve) {
            return Standing::PartOut;
        }
        if !self.serviced(valve) {
            return Standing::OutOfScope;
        }
        // Who looks again is not to know what was read before.
        let again = round
            .and_then(|round| self.kind_of(round))
            .is_some_and(|kind| matches!(kind, RoundKind::Recheck | RoundKind::SecondLook));
        if self.changes_shims() && !self.parts_out.is_empty() && !again {
            return self.stands_apart(valve, due);
        }
        if round.is_some_and(|round| {
            self.skipped.contains_key(&(round, valve)) && !self.handled(round, valve)
        }) {
            return Standing::Skipped;
        }
        if self.wants_second(round, valve) {
            let due_now = matches!(due, Due::Again(due, _) if *due == valve);
            return if due_now { Standing::DueNow } else { Standing::NotYet };
        }
        if round.is_some_and(|round| self.needs_reading(round, valve)) {
            if matches!(due, Due::Gauge(due, _) if *due == valve) {
                return Standing::DueNow;
            }
            return self.stands_left_so(valve).unwrap_or(Standing::NotYet);
        }
        let Some(taken) = self.current(valve) else {
            return if self.skipped.keys().any(|&(_, skipped)| skipped == valve) {
                Standing::Skipped
            } else {
                Standing::NotYet
            };
        };
        match self.judge(taken, self.band(valve)) {
            Verdict::Tight => Standing::Tight,
            Verdict::Loose => Standing::Loose,
            Verdict::Undecided { .. } => Standing::Undecided,
            Verdict::InLimits => match taken.reading.step {
                Step::Recheck => Standing::Rechecked,
                // What only lay under a cam that was out is gauged again, and was not set.
                Step::Left if !self.touched.contains(&valve) => Standing::Rechecked,
                Step::Try | Step::Left => Standing::Set,
                Step::Found => Standing::InLimits,
            },
        }
    }

    /// Says how a valve stands that was left out of its band in an earlier round, while another stop is in
    /// hand: a fault is forgotten by nobody, and at its own stop, where the crank may stand before it is in
    /// hand, nobody is to know what it read.
    fn stands_left_so(&self, valve: Valve) -> Option<Standing> {
        self.reason_to_leave(valve)?;
        let here = match self.crank {
            Crank::At { stop, .. } => Some(stop),
            Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => None,
        };
        let next = self.round().and_then(|round| self.next_stop(round));
        let mut stops = here.into_iter().chain(next).filter_map(|stop| self.stops().get(stop));
        if stops.any(|stop| stop.gauge.iter().any(|gauge| gauge.valve == valve)) {
            return None;
        }
        match self.verdict_left(valve)? {
            Verdict::Tight => Some(Standing::Tight),
            Verdict::Loose => Some(Standing::Loose),
            Verdict::Undecided { .. } => Some(Standing::Undecided),
            Verdict::InLimits => None,
        }
    }

    /// Says how a valve stands while shims are changed: what it read with the shim it has, or had.
    fn stands_apart(&self, valve: Valve, due: &Due) -> Standing {
        if *due == Due::TakeOut(valve) {
            return Standing::DueNow;
        }
        match self.verdict_before(valve) {
            None => Standing::NotYet,
            Some(Verdict::Tight) => Standing::Tight,
            Some(Verdict::Loose) => Standing::Loose,
            Some(Verdict::Undecided { .. }) => Standing::Undecided,
            Some(Verdict::InLimits) => Standing::InLimits,
        }
    }

    /// Tells whether the crank is proven to stand at the stop in hand.
    pub fn crank_proven(&self) -> bool {
        matches!(self.crank, Crank::At { proof: Proven::Yes, .. })
    }
}
