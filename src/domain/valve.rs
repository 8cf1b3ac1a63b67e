//! Names of cylinders and valves, and how a valve stands in a service.

use std::fmt;

/// A cylinder's number in the engine's own numbering, from 1.
pub type Cylinder = u8;

/// Intake or exhaust.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Lets the charge in.
    Intake,
    /// Lets the burnt gas out.
    Exhaust,
}

impl Kind {
    /// Both kinds, in the order in which they are gauged.
    pub const BOTH: [Kind; 2] = [Kind::Intake, Kind::Exhaust];

    /// Returns the trade's word, in lower case.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Intake => "intake",
            Kind::Exhaust => "exhaust",
        }
    }
}

/// One valve: its cylinder, its kind, and its number among the valves of that kind (from 1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Valve {
    /// The cylinder it belongs to.
    pub cylinder: Cylinder,
    /// Intake or exhaust.
    pub kind: Kind,
    /// 1 where the cylinder has one valve of this kind.
    pub number: u8,
}

impl Valve {
    /// Makes the first valve of a kind on a cylinder.
    pub fn new(cylinder: Cylinder, kind: Kind) -> Self {
        Valve { cylinder, kind, number: 1 }
    }
}

/// "1 exhaust", or "1 exhaust 2" for the second and later ones.
impl fmt::Display for Valve {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.cylinder, self.kind.word())?;
        if self.number > 1 { write!(f, " {}", self.number) } else { Ok(()) }
    }
}

/// Which kinds of valve an engine has several of in a cylinder: there each is named with its number, the
/// first one too.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Several {
    intakes: bool,
    exhausts: bool,
}

impl Several {
    /// Looks through the valves of an engine.
    pub fn of(valves: impl IntoIterator<Item = Valve>) -> Several {
        let mut several = Several::default();
        for valve in valves.into_iter().filter(|valve| valve.number > 1) {
            match valve.kind {
                Kind::Intake => several.intakes = true,
                Kind::Exhaust => several.exhausts = true,
            }
        }
        several
    }

    /// Tells whether a cylinder has several valves of a kind.
    pub fn has(self, kind: Kind) -> bool {
        match kind {
            Kind::Intake => self.intakes,
            Kind::Exhaust => self.exhausts,
        }
    }

    /// Names a valve wholly: "1 intake", and "1 intake 1" where a cylinder has several intakes.
    pub fn name(self, valve: Valve) -> String {
        if self.has(valve.kind) {
            format!("{} {} {}", valve.cylinder, valve.kind.word(), valve.number)
        } else {
            valve.to_string()
        }
    }
}

/// How a valve stands on the drawing of the engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Outside the scope of this service.
    OutOfScope,
    /// Not gauged yet in this round.
    NotYet,
    /// To be gauged now; nothing else is shown until its reading is kept.
    DueNow,
    /// Below the band.
    Tight,
    /// Above the band.
    Loose,
    /// The leaves used cannot tell.
    Undecided,
    /// Inside the band, not touched.
    InLimits,
    /// Its nut is slack, or it is being set.
    Setting,
    /// A part of it is out, a shim or a push rod.
    PartOut,
    /// Set, nut locked and gauged after, inside the band.
    Set,
    /// Gauged again in the second round, inside the band.
    Rechecked,
    /// Passed over with a reason.
    Skipped,
}
