//! Shims, push rods and cams: what comes out, what goes in, what is due in between.
//!
//! Shims: after the survey the parts list; cams out, or past them; per valve what came out, marked
//! and measured; what goes in; cams in, timing marks seen; turned through by hand; then what was
//! taken apart is gauged. Push rods are changed at their stop and gauged there, lifter bled again.

use super::checklist;
use super::due::Due;
use super::led_to::{Holds, PartBefore};
use super::state::{Crank, RoundKind, State, Taken};
use crate::domain::advice::{self, Choice};
use crate::domain::entry::{Part, PartKind, Rounds, Step};
use crate::domain::profile::Adjuster;
use crate::domain::shims::{self, Change, PartsList};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use crate::domain::verdict::{Band, Verdict};

/// A part that is out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutPart {
    /// Its valve; `None` for cams.
    pub valve: Option<Valve>,
    /// Which part.
    pub part: PartKind,
    /// Of cams: their bank; `None` = all of the engine's.
    pub bank: Option<String>,
}

/// What is told as the work on a valve that only lay under cams that were out.
const CAMS_OUT: &str = "cams out";

/// What is known of the shim or push rod of a valve.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Fitted {
    /// The one that is in, or that came out and nothing went in since; `None` where not known.
    pub size: Option<Length>,
    /// The entry by which one last went in.
    pub put_in: Option<u64>,
    /// The entry by which one last came out.
    pub came_out: Option<u64>,
    /// What that one replaced, where what it leads to follows from what was read before.
    pub instead_of: Option<PartBefore>,
    /// That it holds its valve open, as was known before what told so was withdrawn, or by another service.
    pub holds: Option<Holds>,
}

impl State {
    /// Tells whether shims or push rods are changed in this service.
    pub fn changes_parts(&self) -> bool {
        self.begin.change && self.begin.rounds == Some(Rounds::SurveyOnly)
    }

    /// Tells whether shims are changed in this service.
    pub fn changes_shims(&self) -> bool {
        self.changes_parts() && matches!(self.facts().adjuster, Adjuster::Shim { .. })
    }

    /// Tells whether push rods are changed in this service.
    pub fn changes_rods(&self) -> bool {
        self.changes_parts() && matches!(self.facts().adjuster, Adjuster::Pushrod { .. })
    }

    /// Tells whether shims or push rods can be changed on this engine.
    pub fn has_parts(&self) -> bool {
        matches!(self.facts().adjuster, Adjuster::Shim { .. } | Adjuster::Pushrod { .. })
    }

    /// Tells whether the engine is apart: parts out, or in and not yet turned through.
    pub fn apart(&self) -> bool {
        !self.parts_out.is_empty() || self.turns_owed
    }

    /// Tells whether the engine is together again and has to be turned through by hand.
    pub(super) fn must_turn_through(&self) -> bool {
        self.turns_owed && self.parts_out.is_empty()
    }

    /// Tells whether there is work with the covers off.
    pub(super) fn at_work(&self) -> bool {
        self.apart() || self.round().is_some()
    }

    /// Tells whether a part of this valve is out.
    pub fn part_is_out(&self, valve: Valve) -> bool {
        self.parts_out.iter().any(|out| out.valve == Some(valve))
    }

    /// Tells whether the cams over a cylinder are out.
    pub(super) fn cams_out_over(&self, cylinder: Cylinder) -> bool {
        self.parts_out.iter().any(|out| {
            out.part == PartKind::Cam
                && self.cylinders_under(out.bank.as_deref()).contains(&cylinder)
        })
    }

    pub(super) fn cylinders_under(&self, bank: Option<&str>) -> Vec<Cylinder> {
        let banks = self.facts().layout.banks.iter();
        let under = banks.filter(|one| bank.is_none_or(|bank| one.name == bank));
        under.flat_map(|bank| bank.cylinders.iter().copied()).collect()
    }

    /// Returns the index of the last round in which what was taken apart is gauged.
    pub(super) fn last_as_left(&self) -> Option<usize> {
        self.rounds().iter().rposition(|kind| *kind == RoundKind::AsLeft)
    }

    /// Returns the size of the shim, or the difference of the push rod from standard, that is fitted
    /// or came out last.
    pub fn fitted_size(&self, valve: Valve) -> Option<Length> {
        self.fitted.get(&valve).and_then(|fitted| fitted.size)
    }

    /// Returns the reading that was made with the part that is fitted or came out last, whatever
    /// was taken apart since.
    pub fn before_parts(&self, valve: Valve) -> Option<&Taken> {
        self.at_rest_since(valve, self.assembled_at(valve)).next()
    }

    /// Returns the entry by which the part went in that is fitted, or the last work on its cylinder.
    pub(super) fn assembled_at(&self, valve: Valve) -> Option<u64> {
        let put_in = self.fitted.get(&valve).and_then(|fitted| fitted.put_in);
        put_in.max(self.work.get(&valve.cylinder).map(|work| work.seq))
    }

    /// Lists the readings of a valve since an entry that are no tries, the last first, whether they count
    /// still or something was taken apart since.
    pub(super) fn at_rest_since(
        &self,
        valve: Valve,
        since: Option<u64>,
    ) -> impl Iterator<Item = &Taken> {
        self.readings.iter().rev().filter(move |taken| {
            taken.shut
                && taken.reading.valve == valve
                && taken.reading.step != Step::Try
                && since.is_none_or(|since| taken.seq > since)
        })
    }

    /// Returns the figure that a part is chosen by; `None` where none follows from the reading.
    pub(super) fn nominal_before(&self, valve: Valve) -> Option<Length> {
        let taken = self.before_parts(valve).filter(|taken| !self.is_only_a_look(taken));
        taken.and_then(|taken| taken.reading.nominal)
    }

    /// Judges the reading that was made before parts came out.
    pub fn verdict_before(&self, valve: Valve) -> Option<Verdict> {
        self.before_parts(valve).map(|taken| self.judge(taken, self.band(valve)))
    }

    /// Lists the valves out of their band whose shim has not come out and nobody said why to leave.
    pub fn to_change(&self) -> Vec<Valve> {
        let wants = |valve: &Valve| {
            let Some(verdict) = self.verdict_before(*valve) else { return false };
            let left = self.before_parts(*valve).and_then(|taken| self.reason_for(taken));
            !self.part_is_out(*valve) && verdict != Verdict::InLimits && left.is_none()
        };
        self.valves().into_iter().filter(wants).collect()
    }

    /// Works out which shim goes where: over the shims that are out, those that will come out, and
    /// the sizes that the profile lists.
    pub fn parts_list(&self) -> PartsList {
        self.parts_list_of(&self.to_change())
    }

    /// Works out the parts list of these valves, and of those whose shim is out.
    pub fn parts_list_of(&self, to_change: &[Valve]) -> PartsList {
        let sizes: &[Length] = match &self.facts().adjuster {
            Adjuster::Shim { sizes } => sizes,
            Adjuster::Screw(_) | Adjuster::Pushrod { .. } | Adjuster::None => &[],
        };
        let mut removed = self.removed.clone();
        removed
            .extend(to_change.iter().filter_map(|&valve| Some((valve, self.fitted_size(valve)?))));
        let shim_out = |valve: &Valve| {
            self.parts_out.iter().any(|out| out.valve == Some(*valve) && out.part == PartKind::Shim)
        };
        let valves = self.valves().into_iter();
        let changes: Vec<Change> = valves
            .filter(|valve| to_change.contains(valve) || shim_out(valve))
            .map(|valve| self.change_of(valve))
            .collect();
        shims::parts_list(&changes, &removed, sizes)
    }

    fn change_of(&self, valve: Valve) -> Change {
        let figures = self.figures(valve.kind);
        Change {
            valve,
            fitted: self.fitted_size(valve),
            nominal: self.nominal_before(valve),
            target: figures.target,
            band: Band::set(&figures),
        }
    }

    /// Returns the result of each stocked push rod for a valve, and the one with most room.
    pub fn rods(&self, valve: Valve) -> (Vec<Choice>, Option<Length>) {
        let Adjuster::Pushrod { lengths, rocker_ratio } = &self.facts().adjuster else {
            return (Vec::new(), None);
        };
        let nominal = self.nominal_before(valve);
        let now = self.fitted_size(valve).unwrap_or(Length::ZERO);
        advice::rods(lengths, *rocker_ratio, now, nominal, &self.figures(valve.kind))
    }

    /// What is due while the engine is apart, or before it comes apart.
    pub(super) fn due_of_parts(&self) -> Option<Due> {
        if self.changes_shims()
            && let Some(due) = self.due_of_shims()
        {
            return Some(due);
        }
        if let Some(out) = self.next_back() {
            return Some(match out.valve {
                Some(valve) => Due::PartOut(valve, out.part),
                None => {
                    let line = checklist::timing_marks(out.bank.as_deref());
                    Due::CamsOut(out.bank.clone(), line)
                }
            });
        }
        let cams = matches!(self.facts().adjuster, Adjuster::Shim { .. });
        let turn = || Due::TurnThrough(checklist::turned_through(cams));
        let held = self.unloaded.iter().next();
        self.turns_owed.then(|| held.map_or_else(turn, |&valve| Due::Release(valve)))
    }

    fn due_of_shims(&self) -> Option<Due> {
        if self.parts_out.is_empty() && (self.turns_owed || self.round().is_some()) {
            return None;
        }
        let to_change = self.to_change();
        // On a rough look nothing more comes out; what is out goes back.
        let only_a_look = self.is_rough_look() && !self.parts_out.is_empty();
        if to_change.is_empty() || only_a_look {
            return None;
        }
        // A shim that came out past its cam shows that the cams can stay in.
        let past_cams = self.parts_out.iter().any(|out| {
            out.part == PartKind::Shim
                && out.valve.is_some_and(|valve| !self.cams_out_over(valve.cylinder))
        });
        let reached = |valve: &&Valve| past_cams || self.cams_out_over(valve.cylinder);
        Some(to_change.iter().find(reached).map_or(Due::PartsList, |&valve| Due::TakeOut(valve)))
    }

    /// Returns what goes back next: what lies under the cams first.
    pub(super) fn next_back(&self) -> Option<&OutPart> {
        let under = self.parts_out.iter().filter(|out| out.part != PartKind::Cam);
        under.min_by_key(|out| out.valve).or(self.parts_out.first())
    }

    /// Tells whether a push rod is to be changed in a round: out of its band, at its own stop.
    pub(super) fn wants_rod(&self, round: usize, valve: Valve) -> bool {
        let changing = match self.kind_of(round) {
            Some(RoundKind::Change | RoundKind::Recheck) => true,
            Some(
                RoundKind::Survey | RoundKind::Setting | RoundKind::SecondLook | RoundKind::AsLeft,
            )
            | None => false,
        };
        changing
            && self.changes_rods()
            && self.serviced(valve)
            && !self.rounds_skipped.contains_key(&round)
            && !self.skipped.contains_key(&(round, valve))
            && !self.part_is_out(valve)
            && self.out_by(round, valve)
            && self.reason_to_leave(valve).is_none()
            && !self.part_of_a_doubt(round, valve)
    }

    /// Tells whether a cylinder is to be leak-tested in the survey before anything of it is changed.
    pub(super) fn wants_leak_test(&self, round: usize, valve: Valve) -> bool {
        self.kind_of(round) == Some(RoundKind::Survey)
            && self.changes_parts()
            && self.serviced(valve)
            && !self.rounds_skipped.contains_key(&round)
            && !self.skipped.contains_key(&(round, valve))
            && self
                .current(valve)
                .is_some_and(|taken| usize::from(taken.reading.round) <= round + 1)
            && !self.touched.contains(&valve)
            && self.wants_leak_test_of(valve)
            && !self.part_of_a_doubt(round, valve)
    }

    /// Returns the question that comes before a reading: is its hydraulic lifter dry and bottomed?
    pub fn due_of_lifter(&self, valve: Valve) -> Option<Due> {
        let asked = self.has_lifters() && !self.dry.contains(&valve);
        asked.then(|| Due::Dry(valve, checklist::dry(valve, &self.name_of(valve))))
    }

    /// Tells whether hydraulic lifters lie under the valves.
    pub fn has_lifters(&self) -> bool {
        matches!(self.facts().adjuster, Adjuster::Pushrod { .. })
    }

    /// Finds the valve that a check is about by its id.
    pub(super) fn valve_of_check(&self, about: &str, id: &str) -> Option<Valve> {
        let name = id.strip_prefix(about)?;
        self.facts().valves().into_iter().find(|valve| valve.to_string() == name)
    }

    pub(super) fn part(&mut self, seq: u64, part: &Part) {
        let Part { valve, part: kind, out, bank, seen, .. } = part;
        let one = OutPart { valve: *valve, part: *kind, bank: bank.clone() };
        if *kind == PartKind::Cam {
            self.felt_with_cams(part);
        }
        self.sizes_owed.retain(|(of, owed)| Some(*of) != *valve || owed != kind);
        if let Some(valve) = valve {
            let sizes = (part.marked, part.measured);
            self.undone.sizes_out.insert((*valve, kind.capitals()), sizes);
        }
        if let (true, Some(valve)) = (*out, valve) {
            if part.size_only && self.is_out(*valve, *kind) {
                return self.size_told_late(*valve, part);
            }
            self.sizes_owed.extend(part.typed.is_empty().then_some((*valve, *kind)));
        }
        if *out {
            self.as_left_anew();
            self.parts_out.push(one);
        } else if let Some(place) = self.parts_out.iter().position(|other| *other == one) {
            self.parts_out.remove(place);
        }
        match valve {
            Some(valve) => {
                self.size_told(seq, *valve, part);
                self.dry.remove(valve);
                let adjusted = self.touched.contains(valve);
                self.assemble(|one| one == *valve);
                if self.is_own_part(*kind) {
                    self.part_came_or_went(*valve, part, adjusted);
                } else {
                    self.not_as_it_was(|one| one == *valve);
                }
            }
            None => {
                // Under a cam that is out no valve is what it was, and the crank stands anywhere.
                // What only lay under it is gauged again, but it was not adjusted.
                let under = self.cylinders_under(bank.as_deref());
                let (touched, left) = (self.touched.clone(), self.left_as_is.clone());
                self.assemble(|valve| under.contains(&valve.cylinder));
                if self.changes_shims() {
                    self.touched = touched;
                } else if part.undoes_less {
                    let new = self.touched.difference(&touched);
                    let only_under = new.map(|valve| (*valve, CAMS_OUT.into()));
                    self.undone.only_worked.extend(only_under);
                }
                // What is left stays so while they are out, and when they are in again: what it reads
                // then tells whether the reason still holds.
                if !*out || self.changes_shims() {
                    self.left_as_is = left;
                }
                self.crank = Crank::Unknown;
                self.break_crank();
            }
        }
        let turned_after = match kind {
            PartKind::Cam => seen.is_some(),
            PartKind::Shim => self.changes_shims(),
            PartKind::Pushrod | PartKind::Rocker => false,
        };
        self.turns_owed |= turned_after && !*out;
    }

    /// What comes out after something was gauged in the last round is gauged in a further one.
    fn as_left_anew(&mut self) {
        let rounds = self.rounds().len();
        let gauged = self
            .readings
            .iter()
            .any(|taken| taken.counts && usize::from(taken.reading.round) == rounds && rounds > 1);
        if self.changes_shims() && gauged {
            self.added.push(RoundKind::AsLeft);
        }
    }

    /// Tells whether the clearance is set by parts of this kind.
    pub(super) fn is_own_part(&self, part: PartKind) -> bool {
        match (&self.facts().adjuster, part) {
            (Adjuster::Shim { .. }, PartKind::Shim) => true,
            (Adjuster::Pushrod { .. }, PartKind::Pushrod) => true,
            (
                Adjuster::Shim { .. }
                | Adjuster::Pushrod { .. }
                | Adjuster::Screw(_)
                | Adjuster::None,
                PartKind::Shim | PartKind::Pushrod | PartKind::Rocker | PartKind::Cam,
            ) => false,
        }
    }

    /// It is out since before: only its size is new.
    fn size_told_late(&mut self, valve: Valve, part: &Part) {
        if self.is_own_part(part.part) {
            // By what was known of it, it lies among the others already, or went in elsewhere: where none went
            // in of the size that it has now, that was another.
            let known = self.fitted_size(valve).map(|size| (valve, size));
            let place = self.removed.iter().rposition(|shim| Some(*shim) == known);
            place.map(|place| self.removed.remove(place));
            let lies_there =
                known.is_none() || place.is_some() || !self.went_in_elsewhere(valve, part);
            self.size_out(valve, part, lies_there);
            self.measured_late(valve, part.measured);
        }
    }

    /// Tells whether another valve was given one of this size since the valve's own came out.
    fn went_in_elsewhere(&self, valve: Valve, part: &Part) -> bool {
        let size = part.measured.or(part.marked);
        let since = self.fitted.get(&valve).and_then(|own| own.came_out);
        let mut others = self.fitted.iter().filter(|(other, _)| **other != valve);
        others.any(|(_, fitted)| fitted.size == size && fitted.put_in > since)
    }

    /// Measured counts before marked: faces wear, and marks are misread.
    fn size_out(&mut self, valve: Valve, part: &Part, lies_there: bool) {
        let fitted = self.fitted.entry(valve).or_default();
        fitted.size = part.measured.or(part.marked).or(fitted.size);
        if let (Some(size), PartKind::Shim, true) = (fitted.size, part.part, lies_there) {
            self.removed.push((valve, size));
        }
    }

    fn size_told(&mut self, seq: u64, valve: Valve, part: &Part) {
        if !self.is_own_part(part.part) {
            return;
        }
        if part.out {
            self.fitted.entry(valve).or_default().came_out = Some(seq);
            return self.size_out(valve, part, true);
        }
        let size = part.measured.or(part.marked);
        let back = self.fitted_size(valve).filter(|_| part.typed == Part::SAME_ONE);
        let size = size.or(back);
        let instead_of = self.part_before(valve, part.typed == Part::SAME_ONE);
        let put_in = Some(seq);
        self.fitted.insert(valve, Fitted { size, put_in, instead_of, ..Fitted::default() });
        let same = |(from, other): &(Valve, Length)| (*from == valve, Some(*other) == size);
        let place = self.removed.iter().position(|shim| same(shim) == (true, true));
        let place = place.or(self.removed.iter().position(|shim| same(shim).1));
        if let Some(place) = place {
            self.removed.remove(place);
        }
    }

    /// Turned through by hand: the crank stands anywhere now.
    pub(super) fn turned_through(&mut self) {
        self.turns_owed = false;
        self.crank = Crank::Unknown;
        self.last_stop = None;
        self.break_crank();
    }
}
