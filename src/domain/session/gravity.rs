//! How grave what is open is: one order for the top line, the tag, the list and whatever takes over; and
//! what two services left open of the same, told once.

use super::carried::{HandedOn, handed_on};
use super::look::is_to_look_for;
use super::open::OpenItem;

/// How grave something open is; the gravest is the least.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gravity {
    /// A cylinder is loose on its studs: nothing turns.
    NutsNotTight,
    /// A nut is slack.
    NutSlack,
    /// A valve is held open by hand.
    Unloaded,
    /// A part is out.
    PartOut,
    /// What went in may hold a valve open.
    HeldOpen,
    /// A stop or a tight place was felt.
    StopFelt,
    /// The engine was not turned through by hand.
    TurnsOwed,
    /// Nobody knows a hold-down torque.
    HoldDown,
    /// A valve is to be gauged after work.
    GaugeAfter,
    /// Nobody can read what is open, or it has no answer of its own here.
    Unread,
    /// Pieces are missing.
    Missing,
    /// Pieces are too many.
    Surplus,
    /// Covers are off, and were before this service, or it has ended.
    CoversOff,
    /// A remark that is to be dealt with before running.
    Remark,
    /// Pieces are off.
    Pieces,
    /// Covers are not at torque.
    CoversNotTorqued,
    /// Plugs are not at torque.
    Plugs,
    /// The two turns of closing up are not made.
    TwoTurns,
    /// Leads are off.
    Leads,
    /// Controls are not put back.
    Controls,
    /// The engine was not run and leak-checked.
    Run,
}

impl Gravity {
    /// All of them, the gravest first.
    pub const ALL: [Gravity; 21] = [
        Gravity::NutsNotTight,
        Gravity::NutSlack,
        Gravity::Unloaded,
        Gravity::PartOut,
        Gravity::HeldOpen,
        Gravity::StopFelt,
        Gravity::TurnsOwed,
        Gravity::HoldDown,
        Gravity::GaugeAfter,
        Gravity::Unread,
        Gravity::Missing,
        Gravity::Surplus,
        Gravity::CoversOff,
        Gravity::Remark,
        Gravity::Pieces,
        Gravity::CoversNotTorqued,
        Gravity::Plugs,
        Gravity::TwoTurns,
        Gravity::Leads,
        Gravity::Controls,
        Gravity::Run,
    ];

    /// Tells whether it would hurt somebody who runs the engine: a piece that is missing may lie in it.
    pub fn is_danger(self) -> bool {
        self <= Gravity::Missing
    }
}

/// What a service has not put back; handed on it is a remark in these words.
const NOT_PUT_BACK: [OpenItem; 7] = [
    OpenItem::CoversOff,
    OpenItem::CoversNotTorqued,
    OpenItem::PlugsNotTorqued,
    OpenItem::TwoTurnsOwed,
    OpenItem::LeadsOff,
    OpenItem::ControlsNotBack,
    OpenItem::RunHandedOver,
];

/// How what would hurt somebody begins in a remark by which it is handed on where this engine, as its profile
/// has it now, cannot have it open.
const GRAVE: [&str; 4] =
    ["NUT SLACK: ", "VALVE UNLOADED: ", "MAY BE HELD OPEN: ", "GAUGE AFTER WORK: "];

impl OpenItem {
    /// Tells how grave it is; of a remark by what it hands on.
    pub fn gravity(&self) -> Gravity {
        match self {
            OpenItem::NutsNotTight(_) => Gravity::NutsNotTight,
            OpenItem::NutSlack(_) => Gravity::NutSlack,
            OpenItem::Unloaded(_) => Gravity::Unloaded,
            OpenItem::PartOut(_) => Gravity::PartOut,
            OpenItem::HeldOpen(_) => Gravity::HeldOpen,
            OpenItem::StopFelt { .. } => Gravity::StopFelt,
            OpenItem::TurnsOwed => Gravity::TurnsOwed,
            OpenItem::HoldDown(_) => Gravity::HoldDown,
            OpenItem::GaugeAfter(_) => Gravity::GaugeAfter,
            OpenItem::Missing { .. } => Gravity::Missing,
            OpenItem::Surplus { .. } => Gravity::Surplus,
            OpenItem::CoversOff => Gravity::CoversOff,
            OpenItem::BeforeRunning { text, .. } => of_remark(text),
            OpenItem::NotCountedIn { .. } => Gravity::Pieces,
            OpenItem::CoversNotTorqued => Gravity::CoversNotTorqued,
            OpenItem::PlugsNotTorqued => Gravity::Plugs,
            OpenItem::TwoTurnsOwed => Gravity::TwoTurns,
            OpenItem::LeadsOff => Gravity::Leads,
            OpenItem::ControlsNotBack => Gravity::Controls,
            OpenItem::RunHandedOver => Gravity::Run,
        }
    }

    /// Returns the words of what is not put back, here or by whoever handed it on; `None` of all else.
    fn not_put_back(&self) -> Option<String> {
        let words = if let OpenItem::BeforeRunning { text, .. } = self {
            handed_on(text)?.item.to_owned()
        } else {
            self.to_string()
        };
        NOT_PUT_BACK.iter().any(|item| item.to_string() == words).then_some(words)
    }

    /// Tells whose it was first, of things that are the same: what was handed on before what is left here.
    fn since(&self) -> (bool, bool, &str, u64) {
        let OpenItem::BeforeRunning { seq, text } = self else { return (true, true, "", 0) };
        let day = handed_on(text).and_then(|HandedOn { day, .. }| day);
        (false, day.is_none(), day.unwrap_or_default(), *seq)
    }
}

fn of_remark(text: &str) -> Gravity {
    if is_to_look_for(text) {
        return Gravity::Unread;
    }
    let Some(HandedOn { item, .. }) = handed_on(text) else { return Gravity::Remark };
    let same = NOT_PUT_BACK.iter().find(|one| one.to_string() == item);
    if let Some(same) = same {
        same.gravity()
    } else if GRAVE.iter().any(|grave| item.starts_with(grave)) || item.contains(" OUT: ") {
        Gravity::Unread
    } else {
        Gravity::Remark
    }
}

/// Puts the gravest first; what is as grave stays in its order.
pub fn gravest_first<T>(items: &mut [T], gravity: impl Fn(&T) -> Gravity) {
    items.sort_by_key(gravity);
}

/// Puts the gravest first, and keeps of what is not put back, here and by services before, what tells of it
/// since longest.
pub(super) fn told_once(mut items: Vec<OpenItem>) -> Vec<OpenItem> {
    gravest_first(&mut items, OpenItem::gravity);
    let all = items.clone();
    items.retain(|item| {
        let Some(words) = item.not_put_back() else { return true };
        let same = all.iter().filter(|other| other.not_put_back().as_ref() == Some(&words));
        same.min_by_key(|one| one.since()) == Some(item)
    });
    items
}
