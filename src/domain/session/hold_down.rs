//! The hold-down torque of a cylinder that was worked on: asked before the crank is turned and before
//! anything is gauged or set there, owed until it is read off a wrench, and no cover goes on before that.

use super::decide::{Decided, one};
use super::due::Due;
use super::input::Input;
use super::open::OpenItem;
use super::refusal::Refusal;
use super::state::State;
use crate::domain::entry::{Entry, LeftItem, Skip, Skipped, Work};
use crate::domain::units::Torque;
use crate::domain::valve::{Cylinder, Valve};

/// How the id begins under which it is kept that the torque was not measured; the cylinder follows.
const HOLD_DOWN: &str = "hold-down ";
/// How the id begins under which it is kept that the nuts were found loose; an earlier version, which does not
/// know it, still owes the torque there.
const NOT_TIGHT: &str = "hold-down-nuts ";
/// What is kept as the reason then.
const FOUND_LOOSE: &str = "hold-down nuts not tight: nothing is turned before they are at torque";
/// What is kept as the reason where it was not measured: under nuts that nobody looked at nothing is turned.
const NOT_MEASURED: &str = "hold-down torque not measured, its nuts seen on and tight";
/// What is kept with a torque where no nut moved under the wrench: what was gauged before it stands.
const NO_NUT_MOVED: &str = "no nut moved: the wrench clicked on each at once, marks as they were";

/// What is known of the hold-down torque of a cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldDown {
    /// Nobody answered for it.
    Owed,
    /// It was said that it was not measured: not asked again before the rounds are done.
    NotMeasured,
    /// Its nuts were seen, and are not tight: nothing turns before the wrench showed its torque.
    NotTight,
    /// It was found with the wrench.
    Found,
}

/// The last work on a cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Worked {
    /// The entry that told of it; 0 where another service left its torque owed.
    pub seq: u64,
    /// Its hold-down torque.
    pub hold_down: HoldDown,
}

impl Due {
    /// Tells whether somebody is hurt, or something wrongly signed, where the engine was run meanwhile.
    pub fn trusts_the_counter(&self) -> bool {
        self.turns_the_crank() || matches!(self, Due::RunCaution(_) | Due::RunCheck(_) | Due::Sign)
    }

    /// Tells whether the crank is turned to answer this.
    pub(super) fn turns_the_crank(&self) -> bool {
        matches!(
            self,
            Due::Turn { .. } | Due::Rock { .. } | Due::TurnThrough(_) | Due::LeakTest(..)
        )
    }
}

impl Work {
    /// Tells whether no nut moved under the wrench that found this torque.
    pub(super) fn no_nut_moved(&self) -> bool {
        self.hold_down.is_some() && self.text == NO_NUT_MOVED
    }
}

impl State {
    /// Nothing is turned under a cylinder of which nobody has said how it is held down; nor with a valve
    /// held open (session.md 2).
    pub(super) fn still_before_a_turn(&self, due: Due) -> Due {
        if !due.turns_the_crank() {
            return due;
        }
        if let Some(&valve) = self.unloaded.iter().next() {
            return Due::Release(valve);
        }
        self.loose_under_the_crank().map_or(due, Due::HoldDown)
    }

    /// Returns a cylinder that may be loose on its studs, for all that was said of it.
    pub(super) fn loose_under_the_crank(&self) -> Option<Cylinder> {
        let mut worked = self.work.keys().copied();
        worked.find(|&cylinder| self.hold_down_unanswered(cylinder))
    }

    /// Lists the cylinders that are turned under though nobody has put a wrench on their nuts.
    pub fn not_measured(&self) -> Vec<Cylinder> {
        let of = self.work.iter();
        let of = of.filter(|(_, work)| work.hold_down == HoldDown::NotMeasured);
        of.map(|(&cylinder, _)| cylinder).collect()
    }

    /// After work on a cylinder its hold-down torque comes before anything is gauged or set there.
    pub(super) fn due_of_hold_down(&self, valve: Valve) -> Option<Due> {
        let cylinder = valve.cylinder;
        self.hold_down_unanswered(cylinder).then_some(Due::HoldDown(cylinder))
    }

    /// Tells whether nobody answered yet for the hold-down torque of a cylinder, or its nuts are not tight.
    pub(super) fn hold_down_unanswered(&self, cylinder: Cylinder) -> bool {
        let work = self.work.get(&cylinder);
        work.is_some_and(|work| [HoldDown::Owed, HoldDown::NotTight].contains(&work.hold_down))
    }

    /// Tells whether the nuts of a cylinder were seen not to be tight.
    pub fn nuts_not_tight(&self, cylinder: Cylinder) -> bool {
        self.work.get(&cylinder).is_some_and(|work| work.hold_down == HoldDown::NotTight)
    }

    /// Returns what is open where the torque of a cylinder is not known.
    pub(super) fn hold_down_open(&self, cylinder: Cylinder) -> OpenItem {
        if self.nuts_not_tight(cylinder) {
            OpenItem::NutsNotTight(cylinder)
        } else {
            OpenItem::HoldDown(cylinder)
        }
    }

    /// The same, as the next session takes it over.
    pub(super) fn hold_down_left(&self, cylinder: Cylinder) -> LeftItem {
        if self.nuts_not_tight(cylinder) {
            LeftItem::NutsNotTight(cylinder)
        } else {
            LeftItem::HoldDown(cylinder)
        }
    }

    /// Lists the cylinders of which the hold-down torque is not known.
    pub(super) fn hold_downs_owed(&self) -> impl Iterator<Item = Cylinder> + '_ {
        // Versions before this one let such a service be signed.
        let of = self.work.iter().filter(|_| self.sealed != Some(true));
        of.filter(|(_, work)| work.hold_down != HoldDown::Found).map(|(&cylinder, _)| cylinder)
    }

    /// No cover goes on before it: what a valve reads hangs on it.
    pub(super) fn due_hold_down_before_closing(&self) -> Option<Due> {
        self.hold_downs_owed().next().map(Due::HoldDown)
    }

    /// Tells whether it may be said now that the torque was not measured. Once the rounds are done that
    /// says nothing new.
    pub fn may_not_measure(&self, cylinder: Cylinder) -> bool {
        self.at_work() && self.hold_down_unanswered(cylinder) && !self.nuts_not_tight(cylinder)
    }

    /// Tells whether a cylinder was gauged with its hold-down torque not measured: all of that is gauged
    /// again once it is.
    pub fn gauged_at_no_torque(&self, cylinder: Cylinder) -> bool {
        let work = self.work.get(&cylinder);
        work.is_some_and(|work| work.hold_down == HoldDown::NotMeasured)
            && self.readings.iter().any(|one| one.counts && one.reading.valve.cylinder == cylinder)
    }

    pub(super) fn decide_hold_down(&self, input: &Input) -> Decided {
        let Due::HoldDown(cylinder) = self.due() else { return Err(Refusal::NotNow) };
        if let Input::HoldDown(typed, none_moved) = input {
            let typed = typed.trim();
            if !is_torque(typed) {
                let words =
                    "type the torque that the wrench showed, with its unit: 22 N·m, 195 lbf·in";
                return Err(Refusal::Unreadable(words.into()));
            }
            if *none_moved && !self.gauged_at_no_torque(cylinder) {
                return Err(Refusal::NotNow);
            }
            let text = if *none_moved { NO_NUT_MOVED.into() } else { String::new() };
            let hold_down = Some(typed.into());
            let what = "hold-down torque".into();
            return one(Entry::Work(Work { cylinder, what, text, hold_down, asks_anew: false }));
        }
        if !self.may_not_measure(cylinder) {
            return Err(Refusal::NotNow);
        }
        if *input == Input::NutsNotTight {
            let what = Skipped::Check(format!("{NOT_TIGHT}{cylinder}"));
            return one(Entry::Skip(Skip::of(what, FOUND_LOOSE)));
        }
        let what = Skipped::Check(format!("{HOLD_DOWN}{cylinder}"));
        one(Entry::Skip(Skip::of(what, NOT_MEASURED)))
    }

    /// Keeps that a torque was not measured, or its nuts are not tight; tells whether the check of this id is
    /// one.
    pub(super) fn hold_down_put_off(&mut self, id: &str) -> bool {
        if let Some(cylinder) = nuts_not_tight_of(id) {
            self.found_loose(cylinder);
            return true;
        }
        let Some(cylinder) = hold_down_of(id) else { return false };
        if let Some(work) = self.work.get_mut(&cylinder)
            && work.hold_down == HoldDown::Owed
        {
            work.hold_down = HoldDown::NotMeasured;
        }
        true
    }

    /// Another service, or version, worked there and left it owed. What was gauged here stays.
    pub(super) fn carry_hold_down(&mut self, cylinder: Cylinder) {
        let owed = self.owed_of(cylinder);
        self.work.entry(cylinder).or_insert(Worked { seq: 0, hold_down: owed }).hold_down = owed;
    }

    /// Its nuts are not tight, as was seen here or by another.
    pub(super) fn found_loose(&mut self, cylinder: Cylinder) {
        let loose = Worked { seq: 0, hold_down: HoldDown::NotTight };
        self.work.entry(cylinder).or_insert(loose).hold_down = HoldDown::NotTight;
    }

    /// What is owed of a cylinder that is worked on: nuts that are not tight are not so by more work.
    pub(super) fn owed_of(&self, cylinder: Cylinder) -> HoldDown {
        if self.nuts_not_tight(cylinder) { HoldDown::NotTight } else { HoldDown::Owed }
    }

    /// Refuses a reading of a cylinder whose hold-down torque nobody answered for.
    pub(super) fn held_down(&self, valve: Valve) -> Result<(), Refusal> {
        if self.hold_down_unanswered(valve.cylinder) {
            let item = self.hold_down_open(valve.cylinder);
            return Err(Refusal::OpenItem(item.words(&|valve| self.name_of(valve))));
        }
        Ok(())
    }
}

/// Finds the cylinder that a passed over check is about by its id.
pub fn hold_down_of(id: &str) -> Option<Cylinder> {
    id.strip_prefix(HOLD_DOWN)?.parse().ok()
}

/// Finds the cylinder whose nuts are not tight by the id under which that is kept.
pub fn nuts_not_tight_of(id: &str) -> Option<Cylinder> {
    id.strip_prefix(NOT_TIGHT)?.parse().ok()
}

/// Torques of cylinder hold-down nuts, N·m, that are believed at once: from the nuts of a small twin to those of
/// a large radial, with room (common practice, no source).
const LIKELY_NM: std::ops::RangeInclusive<f64> = 8.0..=150.0;

/// Tells whether words are a torque with its unit; or several, of nuts of several sizes.
fn is_torque(typed: &str) -> bool {
    torques(typed).is_some()
}

/// Tells whether a torque, or each of several, is one that hold-down nuts may have: any other may be a slip.
pub fn is_likely_hold_down(typed: &str) -> bool {
    torques(typed).is_none_or(|found| found.iter().all(|torque| LIKELY_NM.contains(&torque.nm)))
}

fn torques(typed: &str) -> Option<Vec<Torque>> {
    let one = |part: &str| Torque::parse(part.trim()).ok();
    let apart = typed.split(';').flat_map(|part| part.split(", "));
    let whole = one(typed).map(|torque| vec![torque]);
    whole
        .or_else(|| apart.map(one).collect())
        .or_else(|| typed.split([';', ',']).map(one).collect())
}
