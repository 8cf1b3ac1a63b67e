//! What was taken off or switched off to make the engine safe, and is not put back: told once the covers
//! go on. Before that it is as it has to be, and what lies about is counted in.

use super::checklist::{LEADS_OFF, PLUGS_IN, TWO_TURNS};
use super::counts::PLUG;
use super::open::OpenItem;
use super::state::State;
use crate::domain::entry::Caution;

/// Something that is known to be off or out until its own check of closing up is answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TakenOff {
    /// Plugs, all or some.
    Plugs,
    /// The two turns by hand of closing up: something was opened since the last.
    Turns,
    /// Leads of plugs.
    Leads,
    /// Fuel, ignition, battery: whatever was put so that it cannot start.
    Controls,
}

impl TakenOff {
    /// The check that answers for it.
    fn check(self) -> &'static str {
        match self {
            TakenOff::Plugs => PLUGS_IN,
            TakenOff::Turns => TWO_TURNS,
            TakenOff::Leads => "leads",
            TakenOff::Controls => "controls",
        }
    }
}

impl State {
    /// Takes in what a caution that is answered well says to be off.
    pub(super) fn made_safe_by(&mut self, caution: &Caution) {
        if !caution.safe {
            return;
        }
        match caution.id.as_str() {
            "ignition" => {
                self.taken_off.insert(TakenOff::Controls);
                if caution.seen.contains(LEADS_OFF) {
                    self.taken_off.insert(TakenOff::Leads);
                }
            }
            "fuel" => {
                self.taken_off.insert(TakenOff::Controls);
            }
            "plugs" if caution.digit == 1 || self.some_plugs_out() => self.plugs_came_out(),
            _ => {}
        }
    }

    /// A plug came out, and with it its lead off: not so where it may be an injector.
    pub(super) fn plugs_came_out(&mut self) {
        self.taken_off.insert(TakenOff::Plugs);
        let rotation = self.facts().rotation.as_ref();
        if rotation.is_some_and(|rotation| rotation.by_propeller()) {
            self.taken_off.insert(TakenOff::Leads);
        }
    }

    pub(super) fn pieces_came_off(&mut self, item: &str, out: u32) {
        if out > 0 {
            self.taken_off.insert(TakenOff::Turns);
        }
        if item == PLUG && out > 0 {
            self.plugs_came_out();
        }
    }

    pub(super) fn put_back(&mut self, check: &str) {
        self.taken_off.retain(|what| what.check() != check);
    }

    /// Tells whether this is known to be off, nobody having put it back since.
    pub(super) fn is_taken_off(&self, what: TakenOff) -> bool {
        self.taken_off.contains(&what) && !self.checks.contains_key(what.check())
    }

    /// Lists what is not put back though all that came off is counted in, in the order of closing up.
    pub(super) fn not_put_back(&self) -> Vec<OpenItem> {
        let mut off = self.out.iter().filter(|line| line.out > 0).peekable();
        let closing = off.peek().is_some() && off.all(|line| line.counted_in.is_some());
        if !closing || self.sealed == Some(true) || self.at_work() {
            return Vec::new();
        }
        let off = |what, item| self.is_taken_off(what).then_some(item);
        let items = [
            self.covers_open(),
            off(TakenOff::Plugs, OpenItem::PlugsNotTorqued),
            off(TakenOff::Turns, OpenItem::TwoTurnsOwed),
            off(TakenOff::Leads, OpenItem::LeadsOff),
            off(TakenOff::Controls, OpenItem::ControlsNotBack),
        ];
        items.into_iter().flatten().collect()
    }
}
