//! What an ended session, or another version of this one, left open at the engine.

use super::PartKind;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};

/// Something that was left open, and by what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOpen {
    /// The session's name, or "version B".
    pub from: String,
    /// What it is.
    pub item: LeftItem,
}

/// What can be left open; a remark to be answered before running is an entry of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LeftItem {
    /// A lock nut that nobody answered for.
    NutSlack(Valve),
    /// A valve held open by hand.
    Unloaded(Valve),
    /// A part that is out.
    PartOut {
        /// Its valve; `None` for cams.
        valve: Option<Valve>,
        /// Which part.
        part: PartKind,
        /// Of cams: their bank; `None` = all of the engine's.
        bank: Option<String>,
        /// Its marked size, where told; a version that did not write it had it asked anew.
        marked: Option<Length>,
        /// Its measured size, where told.
        measured: Option<Length>,
    },
    /// A valve that what went in would hold open, or may, and that was not gauged with it.
    HeldOpen(Valve),
    /// A stop was felt as it was turned by hand, and nobody said what it was.
    StopFelt {
        /// At the two turns of closing up: or a hiss.
        or_hiss: bool,
    },
    /// Cams or shims went in, and the engine was not turned through by hand.
    TurnsOwed,
    /// A cylinder was worked on, and nobody knows its hold-down torque.
    HoldDown(Cylinder),
    /// A cylinder was worked on, and its hold-down nuts were seen not to be tight.
    NutsNotTight(Cylinder),
    /// A valve that was changed, or hangs on a torque that is not known: to be gauged after that.
    GaugeAfter {
        /// The valve.
        valve: Valve,
        /// It was set or worked on; false where it only lay under cams that were out.
        worked: bool,
    },
    /// Hardware that came off and is not in, or not all of it.
    Pieces {
        /// The bank as it is counted in here.
        bank: String,
        /// The item.
        item: String,
        /// How many came off.
        out: u32,
        /// How many were counted in, where counted.
        counted_in: Option<u32>,
        /// The whole bank is off, and need not be counted out again.
        whole: bool,
    },
}
