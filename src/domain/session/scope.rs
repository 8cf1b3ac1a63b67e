//! What this service answers for: the cylinders in its scope, and the valves that were opened outside it.

use super::state::State;
use crate::domain::entry::LeftItem;
use crate::domain::valve::{Cylinder, Valve};
use crate::domain::verdict::Verdict;

impl State {
    /// Tells whether a cylinder is in the scope of this service.
    pub fn in_scope(&self, cylinder: Cylinder) -> bool {
        match &self.begin.scope {
            None => true,
            Some(scope) => scope.is_empty() || scope.contains(&cylinder),
        }
    }

    /// Tells whether a scope is the one that this service has.
    pub(super) fn is_the_scope(&self, scope: &[Cylinder]) -> bool {
        let inside = |cylinder: &Cylinder| scope.is_empty() || scope.contains(cylinder);
        self.facts().firing_order.iter().all(|one| inside(one) == self.in_scope(*one))
    }

    /// Tells whether a valve that is in the scope stays in it: it was touched, or found outside its
    /// limits. That is not for another day, and the record would not tell it.
    pub(super) fn stays_in_scope(&self, valve: Valve) -> bool {
        self.was_changed(valve)
            || self.verdict_now(valve).is_some_and(|verdict| verdict != Verdict::InLimits)
    }

    /// Tells whether another service, or version, left something of a valve open.
    pub fn left_open_before(&self, valve: Valve) -> bool {
        let is_its = |item: &LeftItem| match item {
            LeftItem::NutSlack(of) | LeftItem::Unloaded(of) | LeftItem::HeldOpen(of) => {
                *of == valve
            }
            LeftItem::GaugeAfter { valve: of, .. } => *of == valve,
            LeftItem::PartOut { valve: of, .. } => *of == Some(valve),
            LeftItem::HoldDown(cylinder) | LeftItem::NutsNotTight(cylinder) => {
                *cylinder == valve.cylinder
            }
            LeftItem::StopFelt { .. } | LeftItem::TurnsOwed | LeftItem::Pieces { .. } => false,
        };
        self.begin.left_open.iter().any(|left| is_its(&left.item))
    }

    /// Tells whether a cylinder can be left out of the scope still: it is in it, and nothing keeps it there.
    pub fn may_be_left_out(&self, cylinder: Cylinder) -> bool {
        let valves = self.facts().valves_of(cylinder);
        self.in_scope(cylinder) && !valves.into_iter().any(|valve| self.stays_in_scope(valve))
    }

    /// Tells whether this service answers for a valve: in the scope, or opened by it outside.
    pub fn serviced(&self, valve: Valve) -> bool {
        let opened = self.nuts.contains_key(&valve) || self.assembled.contains(&valve);
        opened || self.in_scope(valve.cylinder)
    }

    /// Tells whether this service answers for a valve of a cylinder.
    pub fn services(&self, cylinder: Cylinder) -> bool {
        self.facts().valves_of(cylinder).into_iter().any(|valve| self.serviced(valve))
    }

    /// Lists the valves that this service answers for.
    pub fn valves(&self) -> Vec<Valve> {
        self.facts().valves().into_iter().filter(|&valve| self.serviced(valve)).collect()
    }
}
