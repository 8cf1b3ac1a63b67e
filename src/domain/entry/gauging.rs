//! Entries at the engine: crank, proof, readings, nuts, parts, remarks.

use super::ReadingUnit;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};

/// Where the crank is said to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// At a stop of the plan, reached by turning.
    Stop {
        /// Its place in the plan, from 0.
        stop: usize,
        /// The watched cylinder.
        watch: Cylinder,
        /// Turned on after its sign, degrees.
        then_turn: u16,
    },
    /// This cylinder is seen at overlap.
    SeenOverlap(Cylinder),
    /// Both valves of this cylinder are loose and stay loose when rocked.
    SeenLoose(Cylinder),
    /// Not known any more.
    Lost,
    /// Where it stands, a tape on the blade or pulley points so: half hours on a clock, 0 to 23.
    Tape(u8),
}

/// What rocking the crank showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rocked {
    /// What was loose stayed loose, what was tight stayed tight.
    Steady,
    /// A rocker moved: wrong stroke or wrong place.
    Moved,
}

/// A proof of the crank's position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proof {
    /// How many of the valves to be gauged here were loose.
    pub loose: u8,
    /// How many had to be.
    pub of: u8,
    /// What rocking showed, where the crank was rocked.
    pub rocked: Option<Rocked>,
    /// Whether play was not to be expected: a full lifter leaves none, so that push rods are spun, or all
    /// that is felt there is tight. None at all is then no proof of the other stroke. Entries of earlier
    /// versions do not have it.
    pub no_play: bool,
}

/// A valve pressed open by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unload {
    /// The valve.
    pub valve: Valve,
}

/// A valve let go again, its rod seated at both ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Release {
    /// The valve.
    pub valve: Valve,
}

/// Which step a reading belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Before anything was touched.
    Found,
    /// While setting.
    Try,
    /// After setting, nut locked.
    Left,
    /// In the second round.
    Recheck,
}

/// A feeler reading: what was typed and what it means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The valve.
    pub valve: Valve,
    /// The step.
    pub step: Step,
    /// The round, from 1.
    pub round: u8,
    /// As typed.
    pub typed: String,
    /// The unit it was taken in.
    pub unit: ReadingUnit,
    /// Lower end of the interval; `None` where open.
    pub low: Option<Length>,
    /// Upper end of the interval; `None` where open.
    pub high: Option<Length>,
    /// The leaf, the sum of a stack, or the middle of a pair; `None` where open-ended.
    pub nominal: Option<Length>,
    /// True for a single leaf or stack, false for a pair or an open end.
    pub single: bool,
    /// Who gauged.
    pub by: String,
    /// Time of a reading made on paper and typed later; `None` from the screen.
    pub paper: Option<String>,
    /// What was aimed at while setting.
    pub aimed: Option<Length>,
    /// Tries made before this one and not written one by one.
    pub tries: u32,
    /// Why it was asked about before it was kept: "no leaf of the set", "ten times the target".
    pub odd: Option<String>,
    /// Why it was gauged where the plan does not show the valve shut.
    pub against_plan: Option<String>,
    /// How far the screw was turned before it, degrees, where that was counted.
    pub turned: Option<u16>,
}

/// What is said of a lock nut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NutSaid {
    /// Slackened for setting.
    Slack,
    /// Locked at this torque, and the reading of this seq was gauged after.
    Locked {
        /// Torque in the profile's words; empty where the profile has none.
        torque: String,
        /// The reading gauged after locking.
        gauged: u64,
    },
    /// It was never slackened, with the reason for the contrary entry.
    NeverTouched {
        /// Why.
        why: String,
    },
    /// Threads that show after locking.
    Threads(u8),
}

/// A lock nut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nut {
    /// The valve.
    pub valve: Valve,
    /// What is said of it.
    pub said: NutSaid,
    /// Whether it was found slack, and not slackened for setting.
    pub found: bool,
}

impl Nut {
    /// What is said of the nut of a valve; not that it was found so.
    pub fn said(valve: Valve, said: NutSaid) -> Nut {
        Nut { valve, said, found: false }
    }
}

/// Which part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartKind {
    /// A shim.
    Shim,
    /// A push rod.
    Pushrod,
    /// A cam or camshaft.
    Cam,
    /// A rocker, for reaching another part.
    Rocker,
}

impl PartKind {
    /// Returns its name in capitals.
    pub fn capitals(self) -> &'static str {
        match self {
            PartKind::Shim => "SHIM",
            PartKind::Pushrod => "PUSH ROD",
            PartKind::Cam => "CAM",
            PartKind::Rocker => "ROCKER",
        }
    }
}

/// A part that came out or went in.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The valve it belongs to; `None` for a cam.
    pub valve: Option<Valve>,
    /// Which part.
    pub part: PartKind,
    /// True out, false in.
    pub out: bool,
    /// Marked size.
    pub marked: Option<Length>,
    /// Measured size.
    pub measured: Option<Length>,
    /// As typed; [`Part::SAME_ONE`] where what came out went back, [`Part::NOT_TOLD`] where nobody can
    /// tell what it is.
    pub typed: String,
    /// The bank whose cams these are; `None` = all of the engine's.
    pub bank: Option<String>,
    /// What was seen when it went in: the timing marks, of a cam.
    pub seen: Option<String>,
    /// True where it was said to be out before, and this tells its size. Without it a second of the same valve
    /// is a part of its own, as versions before this one had it.
    pub size_only: bool,
    /// True where it undoes no more than it says: a stop that was felt stays so while other cams that went in
    /// are in, and a valve stays one that was only worked on. A version that did not write it forgot both.
    pub undoes_less: bool,
}

impl Part {
    /// Said instead of a size: what came out went back.
    pub const SAME_ONE: &str = "the same one";
    /// Said instead of the size of what came out: nobody can tell it.
    pub const NOT_TOLD: &str = "not told";

    /// Tells whether it is the part that came out, of which this is known by the micrometer: said so, or
    /// measured both times. Marks are equal on different parts.
    pub fn is_the_one_of(&self, measured_out: Option<Length>) -> bool {
        let measured = self.measured.is_some() && self.measured == measured_out;
        self.typed == Part::SAME_ONE || measured
    }
}

/// Work on a cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Work {
    /// The cylinder.
    pub cylinder: Cylinder,
    /// What was replaced: cylinder, rocker, push rod, lifter, cam, valve or seat.
    pub what: String,
    /// Free text.
    pub text: String,
    /// The hold-down torque, as checked and typed.
    pub hold_down: Option<String>,
    /// True where the crank was to be found anew after it, and lifters answered for anew; a version that did
    /// not write it went on from where the crank stood.
    pub asks_anew: bool,
}

impl Work {
    /// The whole cylinder; kept in sessions and recognised in them, so never another word.
    pub const CYLINDER: &str = "cylinder";
    /// A push rod; as [`Work::CYLINDER`].
    pub const PUSH_ROD: &str = "push rod";
    /// A follower, with what lies in it; as [`Work::CYLINDER`].
    pub const FOLLOWER: &str = "follower";
    /// A cam; as [`Work::CYLINDER`].
    pub const CAM: &str = "cam";
}

/// The six places looked at on each cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tick {
    /// Rocker pad.
    Pad,
    /// Rocker bush.
    Bush,
    /// Valve spring.
    Spring,
    /// Push rod.
    Rod,
    /// Oil.
    Oil,
    /// Cover gasket.
    Gasket,
}

/// A remark.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remark {
    /// The cylinder it is about.
    pub cylinder: Option<Cylinder>,
    /// Places looked at and good.
    pub good: Vec<Tick>,
    /// Places looked at and not good.
    pub bad: Vec<Tick>,
    /// Free text.
    pub text: String,
    /// To be dealt with before the engine runs.
    pub before_running: bool,
    /// The seq of the remark that this one settles.
    pub settles: Option<u64>,
    /// Who wrote it, where that is not who works: to a service that has ended. Earlier versions did not ask.
    pub by: Option<String>,
}

/// A leak test of a cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeakTest {
    /// The cylinder.
    pub cylinder: Cylinder,
    /// Held pressure and supply pressure, as in "74 of 80".
    pub held: Option<(u16, u16)>,
    /// Why there was none.
    pub why_not: Option<String>,
    /// The crank was turned for it, or may have been: its place is proven anew. Earlier builds did not
    /// ask.
    pub turned: bool,
}
