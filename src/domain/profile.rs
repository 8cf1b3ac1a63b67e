//! What is known of a kind of engine: facts, checked once by [`EngineProfile::new`], then trusted.
//!
//! Reading the file is the store's business; this module knows what a sound profile is.

mod check;
mod check_stops;
mod check_valves;

pub use check::{CYLINDERS_MAX, VALVES_MAX, VALVES_PER_CYLINDER_MAX};

use super::units::{Length, LengthUnit, Temperature, Torque};
use super::valve::{Cylinder, Kind, Valve};
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// A checked profile; it cannot exist unchecked. Copies share the facts.
#[derive(Clone, Debug, PartialEq)]
pub struct EngineProfile(Arc<Facts>);

impl Deref for EngineProfile {
    type Target = Facts;
    fn deref(&self) -> &Facts {
        &self.0
    }
}

/// Why facts do not make a profile: the field, what stood there, what must stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProfileFault {
    /// The field's path as written in the file, as in `valves.intake.target`.
    pub field: String,
    /// What was found.
    pub found: String,
    /// What must stand there, after "must".
    pub must: String,
}

/// "`firing_order` is 1-2-2, but must name each cylinder from 1 to 3 once".
impl fmt::Display for ProfileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is {}, but must {}", self.field, self.found, self.must)
    }
}

impl std::error::Error for ProfileFault {}

/// Everything that a profile says, with the contract's defaults filled in.
#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    /// The kind of engine in words.
    pub name: String,
    /// Where the figures come from.
    pub source: Source,
    /// Cylinders in firing order; its length is the cylinder count.
    pub firing_order: Vec<Cylinder>,
    /// Crank degrees from each firing to the next, in firing order; they sum to 720.
    pub firing_intervals: Vec<f64>,
    /// How the cylinders lie.
    pub layout: Layout,
    /// How the crank is turned; `None` where the profile says nothing.
    pub rotation: Option<Rotation>,
    /// Figures of the intake valves.
    pub intake: ValveSpec,
    /// Figures of the exhaust valves.
    pub exhaust: ValveSpec,
    /// Valve timing in crank degrees, where the profile gives it.
    pub timing: Option<Timing>,
    /// What sets the clearance.
    pub adjuster: Adjuster,
    /// Hot or cold, and the temperature limit.
    pub gauge_when: GaugeWhen,
    /// The leaves that the profile lists.
    pub leaves: Vec<Length>,
    /// The covers and what holds them.
    pub covers: Covers,
    /// Running hours between services.
    pub interval_hours: Option<f64>,
    /// Calendar months between services.
    pub interval_months: Option<u32>,
    /// Running hours to the first service of a new engine.
    pub first_interval_hours: Option<f64>,
    /// What this engine's manual adds to the built-in cautions.
    pub cautions: Vec<String>,
    /// The manual's own table of crank positions, used as written.
    pub stops: Option<Vec<TableStop>>,
    /// What overlap looks like on this engine, in words.
    pub overlap_looks_like: Option<String>,
    /// The unit of `valves.intake.target`.
    pub unit: LengthUnit,
}

/// Where figures come from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// The manual or document.
    pub document: String,
    /// Its revision or issue.
    pub revision: String,
    /// The page or paragraph.
    pub page: String,
}

/// How the cylinders lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// The shape of the engine.
    pub shape: Shape,
    /// The end from which banks list their cylinders.
    pub listed_from: End,
    /// Banks, or the rows of a radial.
    pub banks: Vec<Bank>,
    /// Degrees between the banks of a vee.
    pub angle: Option<f64>,
    /// The cam ring of a radial.
    pub cam_ring: Option<CamRing>,
}

/// The shape of an engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// One row of cylinders.
    Inline,
    /// Two banks at an angle.
    Vee,
    /// Two banks lying flat, facing each other.
    Opposed,
    /// Rows of cylinders around the crank.
    Radial,
}

/// An end of an engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The front.
    Front,
    /// The rear.
    Rear,
    /// The end that carries the propeller.
    Propeller,
    /// The end that carries the accessories.
    Accessory,
    /// The end that carries the flywheel.
    Flywheel,
    /// The end that carries the timing drive.
    Timing,
}

impl End {
    /// Returns the words by which a profile names this end.
    pub fn words(self) -> &'static str {
        match self {
            End::Front => "front",
            End::Rear => "rear",
            End::Propeller => "propeller end",
            End::Accessory => "accessory end",
            End::Flywheel => "flywheel end",
            End::Timing => "timing end",
        }
    }
}

/// The side of a bank, as seen from the rear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Left as seen from the rear.
    Left,
    /// Right as seen from the rear.
    Right,
}

/// A bank, or a row of a radial.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    /// Its name.
    pub name: String,
    /// Its cylinders from the listed end, or clockwise seen from the rear.
    pub cylinders: Vec<Cylinder>,
    /// Its side, where it has one.
    pub side: Option<Side>,
    /// The kinds of valve as they stand from the listed end.
    pub valves_along: Option<Vec<Kind>>,
    /// How the manual calls each cylinder; empty, or one label a cylinder.
    pub labels: Vec<String>,
    /// Radial: degrees from the top, clockwise seen from the rear, of the first cylinder.
    pub first_at: f64,
}

/// A radial's cam ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CamRing {
    /// Runs true; a computed plan is sound.
    Fixed,
    /// Runs with large clearance; only the manual's table is sound.
    Floating,
}

/// How the crank is turned.
#[derive(Clone, Debug, PartialEq)]
pub struct Rotation {
    /// What is turned by hand: "propeller", or the words of the profile.
    pub turn_by: String,
    /// True for clockwise as seen from `seen_from`; `None` where the profile does not tell.
    pub clockwise: Option<bool>,
    /// The end from which the direction is told.
    pub seen_from: End,
    /// Whether the crank may be turned against its running direction.
    pub backwards_allowed: bool,
    /// The end that carries the propeller (front unless the profile says rear).
    pub propeller_at: End,
    /// Blades of the propeller.
    pub blades: Option<u8>,
}

impl Rotation {
    /// Tells whether the crank is turned by a propeller.
    pub fn by_propeller(&self) -> bool {
        self.turn_by == "propeller"
    }
}

/// Figures of one kind of valve.
#[derive(Clone, Debug, PartialEq)]
pub struct ValveSpec {
    /// How many of this kind a cylinder has.
    pub per_cylinder: u8,
    /// Figures for a cold engine.
    pub cold: Option<Figures>,
    /// Figures for a hot engine.
    pub hot: Option<Figures>,
    /// Where the valve stands, one word a valve of this kind; empty where not told.
    pub position: Vec<String>,
    /// Leaves put in at once (2 under a forked rocker).
    pub leaves_at_once: u8,
}

/// Target and limits of a clearance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figures {
    /// What is aimed at.
    pub target: Length,
    /// Lower end of the band that a valve must be found in.
    pub least: Length,
    /// Upper end of the band that a valve must be found in.
    pub most: Length,
    /// Lower end of the band that a touched valve must be left in.
    pub set_least: Length,
    /// Upper end of the band that a touched valve must be left in.
    pub set_most: Length,
}

/// Valve timing in crank degrees; negative where the event falls on the other side of dead centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timing {
    /// Intake opens, degrees before top dead centre.
    pub intake_opens_btdc: f64,
    /// Intake closes, degrees after bottom dead centre.
    pub intake_closes_abdc: f64,
    /// Exhaust opens, degrees before bottom dead centre.
    pub exhaust_opens_bbdc: f64,
    /// Exhaust closes, degrees after top dead centre.
    pub exhaust_closes_atdc: f64,
    /// Widens each opening at both ends.
    pub ramp: f64,
}

/// What sets the clearance.
#[derive(Clone, Debug, PartialEq)]
pub enum Adjuster {
    /// An adjusting screw with a lock nut.
    Screw(Screw),
    /// Shims of stocked sizes.
    Shim {
        /// Sizes in stock, thin to thick.
        sizes: Vec<Length>,
    },
    /// Push rods of stocked lengths (hydraulic lifters, gauged dry).
    Pushrod {
        /// Stocked lengths as differences from standard.
        lengths: Vec<Length>,
        /// Valve-side arm over push-rod-side arm.
        rocker_ratio: f64,
    },
    /// Nothing to adjust: report only.
    None,
}

/// An adjusting screw.
#[derive(Clone, Debug, PartialEq)]
pub struct Screw {
    /// Thread pitch in millimetres: the double nearest to the exact decimal, not rounded to nanometres.
    pub pitch_mm: Option<f64>,
    /// True where the screw sits at the valve's end of the rocker.
    pub at_valve_end: bool,
    /// Valve-side arm over push-rod-side arm (1 where not told).
    pub rocker_ratio: f64,
    /// Spanner size of the lock nut, in the profile's words.
    pub lock_nut: Option<String>,
    /// Torque of the lock nut.
    pub lock_nut_torque: Option<Torque>,
    /// What drives the screw.
    pub screw_drive: Option<String>,
    /// Threads that may show after locking.
    pub threads_showing: Option<(u8, u8)>,
}

/// When the engine may be gauged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeWhen {
    /// True where the figures are for a hot engine.
    pub hot: bool,
    /// The head must not be warmer.
    pub no_warmer_than: Option<Temperature>,
    /// The head must not be cooler.
    pub no_cooler_than: Option<Temperature>,
}

impl GaugeWhen {
    /// Tells whether a head at this temperature is outside a limit of the profile.
    pub fn is_outside(&self, head: Temperature) -> bool {
        self.no_warmer_than.is_some_and(|limit| head > limit)
            || self.no_cooler_than.is_some_and(|limit| head < limit)
    }

    /// Says the condition and its limits: "cold: not warmer than 35 °C (95 °F)".
    pub fn words(&self) -> String {
        let warmer = self.no_warmer_than.map(|limit| format!("not warmer than {}", limit.both()));
        let cooler = self.no_cooler_than.map(|limit| format!("not cooler than {}", limit.both()));
        let limits: Vec<String> = [warmer, cooler].into_iter().flatten().collect();
        let engine = if self.hot { "hot" } else { "cold" };
        if limits.is_empty() {
            format!("{engine}; the profile gives no limit")
        } else {
            format!("{engine}: {}", limits.join(", "))
        }
    }
}

/// The covers and what holds them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Covers {
    /// How many covers; 0 where the profile does not tell.
    pub count: u32,
    /// What holds and seals each cover.
    pub hardware: Vec<Hardware>,
    /// Torque of the cover screws.
    pub torque: Option<Torque>,
    /// The order of tightening, in words.
    pub order: Option<String>,
}

/// A kind of hardware on each cover.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hardware {
    /// What it is.
    pub item: String,
    /// How many on each cover.
    pub each: u32,
}

/// One line of a manual's table of crank positions.
#[derive(Clone, Debug, PartialEq)]
pub struct TableStop {
    /// The cylinder that is watched.
    pub watch: Cylinder,
    /// What is seen on it.
    pub sign: Sign,
    /// Turned on after that: 0 or 360 degrees.
    pub then_turn: u16,
    /// Valves to be pressed open by hand before gauging.
    pub unload: Vec<Valve>,
    /// Valves gauged here.
    pub gauge: Vec<Valve>,
    /// The manual's own words.
    pub say: Option<String>,
}

/// What is seen on the watched cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Both valves slightly open.
    Overlap,
    /// No overlap: exhaust just shut, intake about to open.
    Changeover,
    /// The intake begins to open.
    IntakeOpens,
    /// The intake has just shut.
    IntakeCloses,
    /// The exhaust begins to open.
    ExhaustOpens,
    /// The exhaust has just shut.
    ExhaustCloses,
    /// A mark, told in `say`.
    Mark,
}

impl Sign {
    /// Tells whether the watched cylinder is at its centre of overlap (or of changeover).
    pub fn is_overlap(self) -> bool {
        matches!(self, Sign::Overlap | Sign::Changeover)
    }
}

impl EngineProfile {
    /// Checks facts and makes a profile of them.
    ///
    /// # Errors
    /// Names the first field that cannot stand, with what was found and what must stand there.
    pub fn new(mut facts: Facts) -> Result<EngineProfile, ProfileFault> {
        check::all(&facts)?;
        in_order(&mut facts.leaves);
        match &mut facts.adjuster {
            Adjuster::Shim { sizes } => in_order(sizes),
            Adjuster::Pushrod { lengths, .. } => in_order(lengths),
            Adjuster::Screw(_) | Adjuster::None => {}
        }
        Ok(EngineProfile(Arc::new(facts)))
    }
}

impl Facts {
    /// Returns the number of cylinders.
    pub fn cylinders(&self) -> usize {
        self.firing_order.len()
    }

    /// Returns the figures for a kind of valve in the engine's condition (`gauge_when`).
    pub fn spec(&self, kind: Kind) -> &ValveSpec {
        match kind {
            Kind::Intake => &self.intake,
            Kind::Exhaust => &self.exhaust,
        }
    }

    /// Returns target and limits of a kind of valve for the condition that the profile is gauged in.
    pub fn figures(&self, kind: Kind) -> Figures {
        let spec = self.spec(kind);
        let (first, second) =
            if self.gauge_when.hot { (spec.hot, spec.cold) } else { (spec.cold, spec.hot) };
        // A checked profile has figures for its own condition.
        first.or(second).unwrap_or(Figures {
            target: Length::ZERO,
            least: Length::ZERO,
            most: Length::ZERO,
            set_least: Length::ZERO,
            set_most: Length::ZERO,
        })
    }

    /// Lists every valve: cylinders in numerical order, intake before exhaust.
    pub fn valves(&self) -> Vec<Valve> {
        let mut cylinders = self.firing_order.clone();
        cylinders.sort_unstable();
        cylinders.into_iter().flat_map(|cylinder| self.valves_of(cylinder)).collect()
    }

    /// Lists the valves of one cylinder, intake before exhaust.
    pub fn valves_of(&self, cylinder: Cylinder) -> Vec<Valve> {
        Kind::BOTH
            .into_iter()
            .flat_map(|kind| {
                (1..=self.spec(kind).per_cylinder).map(move |number| Valve {
                    cylinder,
                    kind,
                    number,
                })
            })
            .collect()
    }

    /// Tells whether an end is the front: the propeller's and the timing drive's is, unless the
    /// profile puts the propeller at the rear.
    pub fn is_front(&self, end: End) -> bool {
        let propeller = self.rotation.as_ref().map_or(End::Front, |rotation| rotation.propeller_at);
        match end {
            End::Front => true,
            End::Rear => false,
            End::Propeller | End::Timing => propeller == End::Front,
            End::Accessory | End::Flywheel => propeller != End::Front,
        }
    }

    /// Tells whether the firings are evenly spaced, within 0.01 degrees.
    pub fn fires_evenly(&self) -> bool {
        let even = 720.0 / self.cylinders() as f64;
        self.firing_intervals.iter().all(|interval| (interval - even).abs() <= 0.01)
    }

    /// Returns the bank in which a cylinder stands.
    pub fn bank_of(&self, cylinder: Cylinder) -> Option<&Bank> {
        self.layout.banks.iter().find(|bank| bank.cylinders.contains(&cylinder))
    }
}

/// Puts lengths in order, thin to thick; one that stands twice says nothing more.
fn in_order(lengths: &mut Vec<Length>) {
    lengths.sort_unstable();
    lengths.dedup();
}
