//! Open items: what must not be forgotten, shown in the top line of every screen.

use super::carried::{LEFT_BY, remark_in_short};
use super::due::lies_about;
use super::gravity::told_once;
use super::parts::OutPart;
use super::state::State;
use crate::domain::valve::{Cylinder, Valve};
use std::fmt;

/// Something that must not be forgotten.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OpenItem {
    /// A lock nut that nobody answered for.
    NutSlack(Valve),
    /// A valve held open by hand.
    Unloaded(Valve),
    /// A part that is out.
    PartOut(OutPart),
    /// A valve that what went in would hold open, or may, and that was not gauged with it.
    HeldOpen(Valve),
    /// A stop or a tight place was felt as it was turned by hand, or a hiss heard at the last two turns.
    StopFelt {
        /// At the two turns of closing up.
        or_hiss: bool,
    },
    /// Cams or shims went in, and the engine was not turned through by hand yet.
    TurnsOwed,
    /// A cylinder that was worked on, of which nobody knows the hold-down torque.
    HoldDown(Cylinder),
    /// A cylinder that was worked on, whose hold-down nuts were seen not to be tight.
    NutsNotTight(Cylinder),
    /// A valve that was worked on in a service that has ended, and not gauged after that.
    GaugeAfter(Valve),
    /// A remark marked "before running".
    BeforeRunning {
        /// The remark's seq.
        seq: u64,
        /// Its text.
        text: String,
    },
    /// Pieces missing at the count.
    Missing {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// How many.
        missing: u32,
    },
    /// Pieces more at the count than came off.
    Surplus {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// How many more.
        surplus: u32,
    },
    /// Hardware that is off and not counted in yet.
    NotCountedIn {
        /// How many pieces.
        pieces: u32,
    },
    /// Covers are counted in and nobody said yet that they are on; or a service before left them off.
    CoversOff,
    /// They are on, and nobody has seen yet that they are at torque.
    CoversNotTorqued,
    /// Plugs were out, and nobody has said yet that they are in, at torque.
    PlugsNotTorqued,
    /// The two turns by hand of closing up are not made.
    TwoTurnsOwed,
    /// Leads were taken off, and are not answered for.
    LeadsOff,
    /// Fuel, ignition and controls are as they were put to make it safe.
    ControlsNotBack,
    /// The service has ended, its run was handed over, and nobody has said that it was run.
    RunHandedOver,
}

impl fmt::Display for OpenItem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(&|valve| valve.to_string()))
    }
}

/// Tells whether a name says by itself what it is the name of: "bank 1", "front row", "head".
pub fn says_where(name: &str) -> bool {
    name.to_lowercase().split(' ').any(|word| ["bank", "row", "head"].contains(&word))
}

/// Names a bank so that it is known for one: "left bank", but "bank 1" as it is.
pub fn named_bank(name: &str) -> String {
    if says_where(name) { name.into() } else { format!("{name} bank") }
}

/// The same in a sentence: "the left bank", "bank 1".
pub fn the_bank(name: &str) -> String {
    let named = named_bank(name);
    let numbered = named.ends_with(|last: char| last.is_ascii_digit());
    if numbered { named } else { format!("the {named}") }
}

/// Names where something is counted: a bank for what it is, what lies about as it is called.
fn where_counted(bank: &str) -> String {
    where_left(bank, named_bank)
}

/// Names where something is counted, with whose it was where another service left it: banks as they
/// are named by `named`.
pub fn where_left(bank: &str, named: impl Fn(&str) -> String) -> String {
    let (bank, left) = bank.split_at(bank.find(LEFT_BY).unwrap_or(bank.len()));
    let named = if lies_about(bank) { bank.into() } else { named(bank) };
    format!("{named}{left}")
}

impl OpenItem {
    /// Says what is open; `name` names a valve.
    pub fn words(&self, name: &dyn Fn(Valve) -> String) -> String {
        match self {
            OpenItem::NutSlack(valve) => format!("NUT SLACK: {}", name(*valve)),
            OpenItem::Unloaded(valve) => format!("VALVE UNLOADED: {}", name(*valve)),
            OpenItem::PartOut(OutPart { valve: Some(valve), part, .. }) => {
                format!("{} OUT: {}", part.capitals(), name(*valve))
            }
            OpenItem::PartOut(OutPart { bank: Some(bank), part, .. }) => {
                format!("{} OUT: {}", part.capitals(), named_bank(bank))
            }
            OpenItem::PartOut(OutPart { part, .. }) => format!("{} OUT", part.capitals()),
            OpenItem::HeldOpen(valve) => format!("MAY BE HELD OPEN: {}", name(*valve)),
            OpenItem::StopFelt { or_hiss: false } => "A STOP WAS FELT: DO NOT TURN".into(),
            OpenItem::StopFelt { or_hiss: true } => {
                "A TIGHT PLACE OR A HISS WAS FELT: DO NOT TURN".into()
            }
            OpenItem::TurnsOwed => "NOT YET TURNED THROUGH BY HAND".into(),
            OpenItem::HoldDown(cylinder) => {
                format!("HOLD-DOWN TORQUE NOT KNOWN: cylinder {cylinder}")
            }
            OpenItem::NutsNotTight(cylinder) => {
                format!("HOLD-DOWN NUTS NOT TIGHT: cylinder {cylinder}, DO NOT TURN")
            }
            OpenItem::GaugeAfter(valve) => format!("GAUGE AFTER WORK: {}", name(*valve)),
            OpenItem::BeforeRunning { text, .. } => {
                format!("before running: {}", remark_in_short(text))
            }
            OpenItem::Missing { bank, item, missing } => {
                format!("MISSING: {missing} × {item}, {}", where_counted(bank))
            }
            OpenItem::Surplus { bank, item, surplus } => {
                format!("TOO MANY: {surplus} × {item}, {}", where_counted(bank))
            }
            OpenItem::NotCountedIn { pieces: 1 } => "1 piece off".into(),
            OpenItem::NotCountedIn { pieces } => format!("{pieces} pieces off"),
            OpenItem::CoversOff => "COVERS OFF".into(),
            OpenItem::CoversNotTorqued => "COVERS NOT AT TORQUE YET".into(),
            OpenItem::PlugsNotTorqued => "PLUGS NOT AT TORQUE YET".into(),
            OpenItem::TwoTurnsOwed => "TWO TURNS BY HAND NOT MADE YET".into(),
            OpenItem::LeadsOff => "LEADS OFF".into(),
            OpenItem::ControlsNotBack => "CONTROLS NOT PUT BACK YET".into(),
            OpenItem::RunHandedOver => "NOT RUN AND LEAK-CHECKED YET: do not release".into(),
        }
    }

    /// What a count that disagrees leaves open.
    pub(super) fn of_count(bank: &str, item: &str, out: u32, counted: u32) -> OpenItem {
        let (bank, item) = (bank.to_string(), item.to_string());
        match counted.checked_sub(out) {
            Some(surplus) => OpenItem::Surplus { bank, item, surplus },
            None => OpenItem::Missing { bank, item, missing: out.saturating_sub(counted) },
        }
    }

    /// Names things of its kind, for a count of several.
    pub fn kind(&self) -> &'static str {
        match self {
            OpenItem::NutSlack(_) => "NUTS SLACK",
            OpenItem::Unloaded(_) => "VALVES UNLOADED",
            OpenItem::PartOut(_) => "PARTS OUT",
            OpenItem::HeldOpen(_) => "VALVES MAY BE HELD OPEN",
            OpenItem::StopFelt { .. } => "STOPS FELT",
            OpenItem::TurnsOwed => "NOT TURNED THROUGH",
            OpenItem::HoldDown(_) => "HOLD-DOWN TORQUES NOT KNOWN",
            OpenItem::NutsNotTight(_) => "HOLD-DOWN NUTS NOT TIGHT",
            OpenItem::GaugeAfter(_) => "TO GAUGE AFTER WORK",
            OpenItem::BeforeRunning { .. } => "before running",
            OpenItem::Missing { .. } => "places with pieces missing",
            OpenItem::Surplus { .. } => "places with pieces too many",
            OpenItem::NotCountedIn { .. } => "pieces off",
            OpenItem::CoversOff => "COVERS OFF",
            OpenItem::CoversNotTorqued => "COVERS NOT AT TORQUE",
            OpenItem::PlugsNotTorqued => "PLUGS NOT AT TORQUE",
            OpenItem::TwoTurnsOwed => "TWO TURNS NOT MADE",
            OpenItem::LeadsOff => "LEADS OFF",
            OpenItem::ControlsNotBack => "CONTROLS NOT PUT BACK",
            OpenItem::RunHandedOver => "NOT RUN AND LEAK-CHECKED",
        }
    }

    /// Tells whether it bars closing up, and any turn while it is a valve held open by hand or a part. One that
    /// what went in may hold open bars no turn: only behind one it can be gauged on most engines, so each turn is
    /// asked for with a warning of it instead.
    pub fn bars_close_up(&self) -> bool {
        match self {
            OpenItem::NutSlack(_)
            | OpenItem::Unloaded(_)
            | OpenItem::PartOut(_)
            | OpenItem::HeldOpen(_)
            | OpenItem::StopFelt { .. }
            | OpenItem::GaugeAfter(_)
            | OpenItem::TurnsOwed
            | OpenItem::HoldDown(_)
            | OpenItem::NutsNotTight(_) => true,
            OpenItem::BeforeRunning { .. }
            | OpenItem::Missing { .. }
            | OpenItem::Surplus { .. }
            | OpenItem::NotCountedIn { .. }
            | OpenItem::CoversOff
            | OpenItem::CoversNotTorqued
            | OpenItem::PlugsNotTorqued
            | OpenItem::TwoTurnsOwed
            | OpenItem::LeadsOff
            | OpenItem::ControlsNotBack
            | OpenItem::RunHandedOver => false,
        }
    }
}

impl State {
    /// Names a valve: "1 intake", and "1 intake 1" where a cylinder has several intakes.
    pub fn name_of(&self, valve: Valve) -> String {
        match self.facts().spec(valve.kind).per_cylinder {
            0 | 1 => valve.to_string(),
            _ => format!("{} {} {}", valve.cylinder, valve.kind.word(), valve.number),
        }
    }

    /// Lists the open items, the gravest first. What services before left so too is told once, by the first.
    pub fn open_items(&self) -> Vec<OpenItem> {
        told_once(self.each_open_item())
    }

    /// Lists them all, what services before and this one left of the same each by itself.
    pub(super) fn each_open_item(&self) -> Vec<OpenItem> {
        let (loose, owed): (Vec<_>, Vec<_>) =
            self.hold_downs_owed().partition(|&cylinder| self.nuts_not_tight(cylinder));
        // Under a cylinder that is loose on its studs nothing turns, whatever else is open.
        let mut items: Vec<OpenItem> = loose.into_iter().map(OpenItem::NutsNotTight).collect();
        let slack = self.nuts.keys().copied().filter(|&valve| self.nut_slack(valve));
        items.extend(slack.map(OpenItem::NutSlack));
        items.extend(self.unloaded.iter().copied().map(OpenItem::Unloaded));
        items.extend(self.parts_out.iter().cloned().map(OpenItem::PartOut));
        items.extend(
            self.held_open_by_parts().into_iter().map(|(valve, _)| OpenItem::HeldOpen(valve)),
        );
        items.extend(self.felt_open());
        items.extend(self.must_turn_through().then_some(OpenItem::TurnsOwed));
        items.extend(owed.into_iter().map(OpenItem::HoldDown));
        items.extend(self.gauge_after_open().into_iter().map(OpenItem::GaugeAfter));
        items.extend(self.out.iter().filter(|line| !line.settled).filter_map(|line| {
            Some(OpenItem::of_count(&line.bank, &line.item, line.out, line.counted_in?))
        }));
        items.extend(
            self.remarks
                .iter()
                .filter(|(seq, remark)| remark.before_running && !self.settled.contains(seq))
                .map(|(seq, remark)| OpenItem::BeforeRunning {
                    seq: *seq,
                    text: remark.text.clone(),
                }),
        );
        let uncounted = self.out.iter().filter(|line| line.counted_in.is_none());
        let pieces = uncounted.fold(0, |sum: u32, line| sum.saturating_add(line.out));
        if pieces > 0 {
            items.push(OpenItem::NotCountedIn { pieces });
        }
        items.extend(self.not_put_back());
        let run_owed = self.run_to_answer().is_some() || self.still_owes_a_run();
        items.extend(run_owed.then_some(OpenItem::RunHandedOver));
        items
    }
}
