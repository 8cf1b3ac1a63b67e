//! What was worked on and not gauged after it: nobody knows how it stands, in this service and in the next.

use super::open::OpenItem;
use super::state::State;
use crate::domain::entry::LeftItem;
use crate::domain::valve::Valve;

/// What is told as the work on a valve that an ended service left to be gauged.
const IN_AN_EARLIER: &str = "in an earlier service";

impl State {
    /// Tells whether a valve was changed and has no figure since. One whose nut is slack, whose part is out, or that
    /// what went in may hold open, is told by that; what only lies under cams that are out, by those.
    fn changed_not_gauged(&self, valve: Valve) -> bool {
        let by_itself = self.told_by_itself(valve);
        let only_under = !self.touched.contains(&valve) && self.cams_out_over(valve.cylinder);
        self.was_changed(valve) && self.left(valve).is_none() && !by_itself && !only_under
    }

    /// Tells whether a valve was gauged in this service, whatever was opened since.
    pub fn was_gauged(&self, valve: Valve) -> bool {
        self.current(valve).is_some() || self.at_rest_since(valve, None).next().is_some()
    }

    fn told_by_itself(&self, valve: Valve) -> bool {
        self.nut_slack(valve) || self.part_is_out(valve) || self.held_open_by(valve).is_some()
    }

    /// Tells whether what a valve reads hangs on a hold-down torque that nobody knows.
    fn hangs_on_a_torque(&self, valve: Valve) -> bool {
        self.hold_downs_owed().any(|cylinder| cylinder == valve.cylinder)
    }

    /// Lists what is to be gauged after work, were the service closed now. A signed one answers for itself.
    pub(super) fn gauged_after(&self) -> impl Iterator<Item = LeftItem> + '_ {
        let valves = self.facts().valves().into_iter().filter(|_| self.sealed != Some(true));
        valves.filter_map(|valve| {
            let hangs = self.hangs_on_a_torque(valve);
            let worked = hangs || self.touched.contains(&valve);
            let owed = hangs && !self.told_by_itself(valve);
            let owed = owed || self.changed_not_gauged(valve);
            owed.then_some(LeftItem::GaugeAfter { valve, worked })
        })
    }

    /// Lists the valves that are open for that: of a service that is closed so, or those that another left so.
    pub(super) fn gauge_after_open(&self) -> Vec<Valve> {
        let valve_of = |item: &LeftItem| match item {
            LeftItem::GaugeAfter { valve, .. } => Some(*valve),
            LeftItem::NutSlack(_)
            | LeftItem::Unloaded(_)
            | LeftItem::PartOut { .. }
            | LeftItem::HeldOpen(_)
            | LeftItem::StopFelt { .. }
            | LeftItem::TurnsOwed
            | LeftItem::HoldDown(_)
            | LeftItem::NutsNotTight(_)
            | LeftItem::Pieces { .. } => None,
        };
        if self.sealed.is_some() {
            let told = self.gauged_after().filter(|_| self.undone.tells_not_gauged);
            return told.filter_map(|item| valve_of(&item)).collect();
        }
        let left = self.begin.left_open.iter().filter_map(|left| valve_of(&left.item));
        let mut open: Vec<Valve> = left.filter(|&valve| self.changed_not_gauged(valve)).collect();
        open.sort_unstable();
        open.dedup();
        open
    }

    /// Lists the open items as they are where nobody goes on with this: what its own rounds would still come to is
    /// open with them.
    pub fn open_if_left(&self) -> Vec<OpenItem> {
        let mut open = self.open_items();
        if self.sealed.is_none() {
            let owed: Vec<OpenItem> =
                self.gauged_after().map(|left| OpenItem::from(&left)).collect();
            open.extend(owed.into_iter().filter(|one| !open.contains(one)).collect::<Vec<_>>());
        }
        open
    }

    /// Takes over a valve that another service, or version, left so: it is due here whatever the scope, and what it
    /// reads is no clearance that it ran with.
    pub(super) fn carry_gauge_after(&mut self, from: &str, valve: Valve, worked: bool) {
        let touched = self.touched.contains(&valve);
        let was_set = touched && !self.only_worked_on(valve);
        self.assemble(|one| one == valve);
        if !worked && !touched {
            self.touched.remove(&valve);
        } else if !was_set {
            self.undone.only_worked.insert(valve, IN_AN_EARLIER.into());
        }
        if self.found(valve).is_none() {
            let why = format!("opened up and not gauged after it by {from}");
            self.found_lost.entry(valve).or_insert(why);
        }
    }
}
