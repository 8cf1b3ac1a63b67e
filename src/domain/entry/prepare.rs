//! Entries of prepare and of closing up: head, begin, who, cautions, source, leaves, hardware.

use super::{Hours, LeftOpen, ProfileText};
use crate::domain::plan::PlanChoice;
use crate::domain::profile::Source;
use crate::domain::units::{Length, LengthUnit, Temperature};
use crate::domain::valve::{Cylinder, Kind, Valve};

/// First entry of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Random identity, 26 lower-case base-32 characters.
    pub session: String,
    /// The program's version.
    pub program: String,
    /// The profile as used.
    pub profile: ProfileText,
}

/// What the service is about; members that are `None` leave what an earlier `begin` said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Begin {
    /// Name of the session, unique for the engine.
    pub name: Option<String>,
    /// The engine's id.
    pub engine_id: Option<String>,
    /// The engine's name.
    pub engine: Option<String>,
    /// The engine's serial number.
    pub serial: Option<String>,
    /// Running hours of the engine.
    pub hours: Option<Hours>,
    /// Why the hours are lower than before: "counter replaced".
    pub hours_why: Option<String>,
    /// The aircraft's total time in service.
    pub total_time: Option<Hours>,
    /// The source of figures that the engine's file names from last time.
    pub known_source: Option<Source>,
    /// Who worked on this engine last time.
    pub known_worker: Option<String>,
    /// The shims or push rods that earlier services left in the engine.
    pub known_parts: Vec<KnownPart>,
    /// Cylinders in scope; empty = all.
    pub scope: Option<Vec<Cylinder>>,
    /// Why the scope was narrowed after the start.
    pub scope_why: Option<String>,
    /// Rounds to be made.
    pub rounds: Option<Rounds>,
    /// With a survey only: shims or push rods are changed after it, and what was changed is gauged.
    pub change: bool,
    /// The plan begins with the stop that gauges this cylinder.
    pub from: Option<Cylinder>,
    /// The smallest number of stops, or one cylinder a stop.
    pub few_stops: Option<bool>,
    /// The fewest changes of side, or the running order.
    pub less_walking: Option<bool>,
    /// The least margin accepted, degrees.
    pub margin: Option<f64>,
    /// Only what is left of the round is planned so, from where the crank stands.
    pub rest: bool,
    /// The session that this one corrects.
    pub corrects: Option<String>,
    /// What the session before, or another version of this one, left open at the engine.
    pub left_open: Vec<LeftOpen>,
}

impl Begin {
    /// Returns how the plan is wanted.
    pub fn way(&self) -> PlanChoice {
        PlanChoice {
            from: self.from,
            margin: self.margin,
            few_stops: self.few_stops.unwrap_or(false),
            less_walking: self.less_walking.unwrap_or(false),
        }
    }
}

/// Which rounds are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounds {
    /// Set as you go, then all the way round once more.
    SetThenRecheck,
    /// Gauge all and touch nothing, then set, then all the way round once more.
    SurveySetRecheck,
    /// Gauge all, then a second look at what is out; nothing is set.
    SurveyOnly,
}

/// A shim, or a push rod as its difference from standard, that is known to be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnownPart {
    /// Its valve.
    pub valve: Valve,
    /// Its size.
    pub size: Length,
}

/// Who works from here on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Who {
    /// Name or initials.
    pub name: String,
    /// True when another person takes over from somebody.
    pub takes_over: bool,
}

/// When a caution was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// At the start, on a new day, or for a new person.
    Start,
    /// After a break.
    Back,
    /// Before the run.
    Run,
}

/// A caution answered by what was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Which caution.
    pub id: String,
    /// The caution's words as they were asked.
    pub asked: String,
    /// The digit pressed.
    pub digit: u8,
    /// The state seen, in words.
    pub seen: String,
    /// Whether that state is safe.
    pub safe: bool,
    /// When it was asked.
    pub when: Asked,
    /// True where plugs are out that were seen in again before: what was seen with them is asked anew. A version
    /// that did not write it asked only how they sit.
    pub out_again: bool,
}

/// Temperatures before gauging.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Condition {
    /// Cylinder-head temperature.
    pub head: Option<Temperature>,
    /// As typed, with its unit.
    pub typed: String,
    /// Air temperature.
    pub air: Option<Temperature>,
    /// Why the work goes on outside the temperature limit.
    pub against_limit: Option<String>,
}

/// Something read from the manual's page.
#[derive(Clone, Debug, PartialEq)]
pub enum SourceRead {
    /// The manual named.
    Named {
        /// Document, revision, page.
        source: Source,
        /// True where the mechanic says there is none: example figures, for practice only.
        practice: bool,
    },
    /// A figure typed from the page without seeing the profile's.
    Figure {
        /// Which kind of valve.
        kind: Kind,
        /// Which figure.
        figure: Figure,
        /// As typed.
        typed: String,
        /// What it means.
        value: Length,
    },
    /// The source known from last time is still the one, same revision.
    Confirmed,
    /// The figures typed so far are dropped, to be typed again.
    Again,
}

/// A figure on the manual's page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// What is aimed at.
    Target,
    /// The lower limit.
    Least,
    /// The upper limit.
    Most,
}

/// What a bare number means for a leaf set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingUnit {
    /// Millimetres.
    Mm,
    /// Hundredths of a millimetre.
    Hundredths,
    /// Thousandths of an inch.
    Thou,
    /// Inches.
    Inch,
}

/// The leaf set in hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeafSet {
    /// What the set is called.
    pub name: String,
    /// Millimetres or inches.
    pub unit: LengthUnit,
    /// Its leaves, thin to thick; empty where the set is not known.
    pub leaves: Vec<Length>,
    /// How exact its leaves are, where that was told.
    pub tolerance: Option<Tolerance>,
}

/// How exact the leaves of a set are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tolerance {
    /// A leaf may be off by this each way.
    pub plus_minus: Length,
    /// Who says so: the maker's sheet, a micrometer.
    pub source: String,
}

impl LeafSet {
    /// Makes a set of which no tolerance is known.
    pub fn new(name: &str, unit: LengthUnit, leaves: Vec<Length>) -> LeafSet {
        LeafSet { name: name.into(), unit, leaves, tolerance: None }
    }
}

/// Hardware counted out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Off {
    /// The bank, or "all round" for plugs, blanks, rags, tools and leaves.
    pub bank: String,
    /// Items and counts, in the order shown.
    pub items: Vec<(String, u32)>,
}

/// Hardware counted in, what became of a shortage, and the checks of closing up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum On {
    /// Counted in.
    Count {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// How many were counted in.
        count: u32,
    },
    /// The missing pieces were found.
    Found {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
    },
    /// The missing pieces, or those that are too many, are accounted for.
    AccountedFor {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// Where they are.
        place: String,
        /// Who says so.
        by: String,
    },
    /// A check of closing up, answered by what was seen.
    Check {
        /// Which check.
        id: String,
        /// Its words as asked.
        asked: String,
        /// The digit pressed.
        digit: u8,
        /// The state seen.
        seen: String,
        /// Whether that closes the check.
        done: bool,
    },
}
