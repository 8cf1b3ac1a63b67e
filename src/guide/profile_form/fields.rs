//! Every field of a profile: its page, its words, how it is typed, and when it applies.
//!
//! The table stands in the order in which a mechanic fills it in; the file's order is [`FILE_ORDER`].

use super::texts::Kind;

/// The names of all fields in the order in which a file has them, at every depth.
#[rustfmt::skip]
pub(super) const FILE_ORDER: [&str; 75] = [
    "$schema", "format", "name", "source", "document", "revision", "page", "cylinders",
    "firing_order", "firing_intervals", "layout", "shape", "angle", "listed_from", "banks",
    "side", "first_at", "valves_along", "labels", "cam_ring", "rotation", "turn_by", "direction",
    "seen_from", "backwards_allowed", "propeller_at", "blades", "valves", "intake", "exhaust",
    "per_cylinder", "target", "least", "most", "set_least", "set_most", "position",
    "leaves_at_once", "hot", "valve_timing", "intake_opens", "intake_closes", "exhaust_opens",
    "exhaust_closes", "ramp", "adjuster", "kind", "pitch", "fitted_at", "lengths", "rocker_ratio", "lock_nut",
    "lock_nut_torque", "screw_drive", "threads_showing", "sizes", "from", "to", "step",
    "kept_under_tie", "gauge_when", "engine", "no_warmer_than", "no_cooler_than", "leaves", "covers",
    "count", "hardware", "torque", "order", "interval_hours", "first_interval_hours",
    "interval_months", "overlap_looks_like", "cautions",
];

/// A page of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Page {
    /// What every profile must have.
    Needed,
    /// The manual, and how the engine lies, in full.
    Source,
    /// How the crank is turned, and the cams.
    Turning,
    /// More figures of the valves.
    Valves,
    /// What sets the clearance.
    Adjuster,
    /// When to gauge, and with which leaves.
    Gauging,
    /// The covers and what holds them.
    Covers,
    /// Cautions and the manual's table.
    Words,
}

impl Page {
    /// All pages, in order.
    pub const ALL: [Page; 8] = [
        Page::Needed,
        Page::Source,
        Page::Turning,
        Page::Valves,
        Page::Adjuster,
        Page::Gauging,
        Page::Covers,
        Page::Words,
    ];

    /// Returns its heading.
    pub fn title(self) -> &'static str {
        match self {
            Page::Needed => "The engine",
            Page::Source => "The manual, and how the engine lies",
            Page::Turning => "Turning the crank, valve timing",
            Page::Valves => "More figures of the valves",
            Page::Adjuster => "What sets the clearance",
            Page::Gauging => "When to gauge, leaves, intervals",
            Page::Covers => "Covers and what holds them",
            Page::Words => "Cautions, table of crank positions",
        }
    }
}

/// When a field applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum When {
    /// Always.
    Always,
    /// For these shapes; elsewhere the field is not written.
    Radial,
    /// For a vee; elsewhere only where it is given.
    Vee,
    /// For engines with a left and a right; elsewhere only where it is given.
    Sides,
    /// Where a propeller turns the crank; elsewhere only where it is given.
    Propeller,
    /// For screws; elsewhere not written. The same for the other adjusters.
    Screw,
    /// For shims.
    Shim,
    /// For push rods.
    Pushrod,
    /// For screws and push rods, which have rockers.
    Rocker,
}

/// One line of the table. `{}` in a path is a bank's or a line's place, `[]` a list of lines.
pub(super) struct Row {
    pub(super) path: &'static str,
    pub(super) page: Page,
    pub(super) label: &'static str,
    pub(super) kind: Kind,
    pub(super) when: When,
    pub(super) say: &'static str,
}

const fn row(
    page: Page,
    path: &'static str,
    label: &'static str,
    kind: Kind,
    when: When,
    say: &'static str,
) -> Row {
    Row { path, page, label, kind, when, say }
}

/// Fields without which there is no profile; their pages show them as needed.
pub(super) const NEEDED: [&str; 11] = [
    "layout.shape",
    "cylinders",
    "firing_order",
    "name",
    "valves.intake.target",
    "valves.intake.least",
    "valves.intake.most",
    "valves.exhaust.target",
    "valves.exhaust.least",
    "valves.exhaust.most",
    "layout.banks[0].cylinders",
];

const SHAPES: &[&str] = &["opposed", "inline", "vee", "radial"];
const ENDS: &[&str] =
    &["propeller end", "front", "rear", "accessory end", "flywheel end", "timing end"];
const SEEN: &[&str] =
    &["rear", "front", "propeller end", "accessory end", "flywheel end", "timing end"];
const FRONT_REAR: &[&str] = &["front", "rear"];
const SIDES: &[&str] = &["left", "right"];
const ADJUSTERS: &[&str] = &["screw", "shim", "pushrod", "none"];
const RINGS: &[&str] = &["fixed", "floating"];
const WAYS: &[&str] = &["clockwise", "counter-clockwise"];
const FITTED: &[&str] = &["valve end", "pushrod end"];
const TIES: &[&str] = &["thinner"];
const WARMTH: &[&str] = &["cold", "hot"];
/// How the cylinders of a radial's row are told.
pub(super) const CLOCKWISE: &str = "clockwise, seen from the rear, as in 1-3";
/// How a clearance is typed.
const CLEARANCE: &str = "a figure with its unit, as in 0.15 mm or 0.006 in";

use Kind::{
    Angle, Caution, Choice, Hardware, Length, Lengths, Number, Numbers, Order, Stop, Threads,
    Whole, WordList, Words, YesNo,
};
use Page::{Adjuster, Covers, Gauging, Needed, Source, Turning, Valves};
use When::{Always, Propeller, Pushrod, Radial, Rocker, Screw, Shim, Sides, Vee};

/// All fields, in the order in which they are filled in.
#[rustfmt::skip]
pub(super) static ROWS: [Row; 78] = [
    row(Needed, "layout.shape", "shape", Choice(SHAPES), Always, "how the cylinders lie"),
    row(Needed, "cylinders", "cylinders", Whole, Always, "how many, as in 4"),
    row(Needed, "firing_order", "firing order", Order, Always, "the engine's own numbers, as in 1-3-2-4"),
    row(Needed, "layout.banks[{}].name", "bank {n}: name", Words, Sides, "as in right; the side, as seen from the rear, is taken from it"),
    row(Needed, "layout.banks[{}].cylinders", "{bank}: cylinders", Order, Always, "from the listed end, as in 1-3"),
    row(Needed, "layout.banks[{}].first_at", "{bank}: first at", Number, Radial, "degrees from the top, clockwise seen from the rear; 0 where empty"),
    row(Needed, "adjuster.kind", "set by", Choice(ADJUSTERS), Always, "what sets the clearance"),
    row(Needed, "name", "kind of engine", Words, Always, "in words, as in Flat four, screw adjusters"),
    row(Needed, "valves.intake.target", "intake target", Length, Always, CLEARANCE),
    row(Needed, "valves.intake.least", "intake least", Length, Always, CLEARANCE),
    row(Needed, "valves.intake.most", "intake most", Length, Always, CLEARANCE),
    row(Needed, "valves.exhaust.target", "exhaust target", Length, Always, CLEARANCE),
    row(Needed, "valves.exhaust.least", "exhaust least", Length, Always, CLEARANCE),
    row(Needed, "valves.exhaust.most", "exhaust most", Length, Always, CLEARANCE),
    row(Source, "source.document", "manual", Words, Always, "the document that the figures are from"),
    row(Source, "source.revision", "revision", Words, Always, "its revision or issue"),
    row(Source, "source.page", "page", Words, Always, "page or paragraph"),
    row(Source, "firing_intervals", "firing intervals", Numbers, Always, "crank degrees to the next firing, as in 270-450; even where empty"),
    row(Source, "layout.angle", "angle between banks", Number, Vee, "degrees, as in 90"),
    row(Source, "layout.listed_from", "banks listed from", Choice(ENDS), Always, "the end from which a bank's cylinders are told; front where empty"),
    row(Source, "layout.banks[{}].side", "{bank}: side", Choice(SIDES), Sides, "as seen from the rear; from the name where empty"),
    row(Source, "layout.banks[{}].labels", "{bank}: labels", Kind::Labels, Always, "how the manual calls each cylinder, as in 1R, 2R"),
    row(Source, "layout.banks[{}].valves_along", "{bank}: valves", Words, Always, "kinds from the listed end, as in E I I E"),
    row(Source, "layout.cam_ring", "cam ring", Choice(RINGS), Radial, "floating needs the manual's table of crank positions"),
    row(Turning, "rotation.turn_by", "turned by", Words, Always, "propeller, or in words what is turned by hand"),
    row(Turning, "rotation.direction", "direction", Choice(WAYS), Always, "the running direction"),
    row(Turning, "rotation.seen_from", "seen from", Choice(SEEN), Always, "where the direction is told from; rear where empty"),
    row(Turning, "rotation.backwards_allowed", "turning back allowed", YesNo, Always, "no where empty"),
    row(Turning, "rotation.propeller_at", "propeller at", Choice(FRONT_REAR), Propeller, "front where empty"),
    row(Turning, "rotation.blades", "blades", Whole, Propeller, "as in 2"),
    row(Turning, "valve_timing.intake_opens", "intake opens", Angle("BTDC"), Always, "as in 18 BTDC"),
    row(Turning, "valve_timing.intake_closes", "intake closes", Angle("ABDC"), Always, "as in 58 ABDC"),
    row(Turning, "valve_timing.exhaust_opens", "exhaust opens", Angle("BBDC"), Always, "as in 60 BBDC"),
    row(Turning, "valve_timing.exhaust_closes", "exhaust closes", Angle("ATDC"), Always, "as in 16 ATDC"),
    row(Turning, "valve_timing.ramp", "ramp", Number, Always, "degrees by which each opening is widened at both ends"),
    row(Turning, "overlap_looks_like", "overlap looks like", Words, Always, "what is seen on this engine, in words"),
    row(Valves, "valves.intake.per_cylinder", "intake valves a cylinder", Whole, Always, "1 where empty"),
    row(Valves, "valves.exhaust.per_cylinder", "exhaust valves a cylinder", Whole, Always, "1 where empty"),
    row(Valves, "valves.intake.set_least", "intake left at least", Length, Always, "where a touched valve must be left closer than the limits"),
    row(Valves, "valves.intake.set_most", "intake left at most", Length, Always, "where a touched valve must be left closer than the limits"),
    row(Valves, "valves.exhaust.set_least", "exhaust left at least", Length, Always, "where a touched valve must be left closer than the limits"),
    row(Valves, "valves.exhaust.set_most", "exhaust left at most", Length, Always, "where a touched valve must be left closer than the limits"),
    row(Valves, "valves.intake.position", "intake stands", WordList, Always, "as in upper; one word a valve, as in left, right"),
    row(Valves, "valves.exhaust.position", "exhaust stands", WordList, Always, "as in lower; one word a valve, as in left, right"),
    row(Valves, "valves.intake.leaves_at_once", "intake leaves at once", Whole, Always, "2 under a forked rocker; 1 where empty"),
    row(Valves, "valves.exhaust.leaves_at_once", "exhaust leaves at once", Whole, Always, "2 under a forked rocker; 1 where empty"),
    row(Valves, "valves.intake.hot.target", "intake hot target", Length, Always, CLEARANCE),
    row(Valves, "valves.intake.hot.least", "intake hot least", Length, Always, CLEARANCE),
    row(Valves, "valves.intake.hot.most", "intake hot most", Length, Always, CLEARANCE),
    row(Valves, "valves.exhaust.hot.target", "exhaust hot target", Length, Always, CLEARANCE),
    row(Valves, "valves.exhaust.hot.least", "exhaust hot least", Length, Always, CLEARANCE),
    row(Valves, "valves.exhaust.hot.most", "exhaust hot most", Length, Always, CLEARANCE),
    row(Adjuster, "adjuster.pitch", "thread pitch", Length, Screw, "as in 1.0 mm or 0.0357 in"),
    row(Adjuster, "adjuster.fitted_at", "screw fitted at", Choice(FITTED), Screw, "which end of the rocker has the screw"),
    row(Adjuster, "adjuster.rocker_ratio", "rocker ratio", Number, Rocker, "valve-side arm over push-rod-side arm; 1 where empty"),
    row(Adjuster, "adjuster.lock_nut", "lock nut", Words, Screw, "its spanner, as in 14 mm"),
    row(Adjuster, "adjuster.lock_nut_torque", "lock nut torque", Words, Screw, "as in 20 N·m or 175 lbf·in"),
    row(Adjuster, "adjuster.screw_drive", "screw driven by", Words, Screw, "as in flat blade"),
    row(Adjuster, "adjuster.threads_showing", "threads showing", Threads, Screw, "least and most, as in 2-5"),
    row(Adjuster, "adjuster.sizes", "shim sizes", Lengths, Shim, "each with its unit: 2.50 mm, 2.55 mm; or leave empty and tell a range"),
    row(Adjuster, "adjuster.from", "shims from", Length, Shim, "the thinnest, as in 2.50 mm"),
    row(Adjuster, "adjuster.to", "shims to", Length, Shim, "the thickest, as in 3.50 mm"),
    row(Adjuster, "adjuster.step", "shims in steps of", Length, Shim, "as in 0.05 mm"),
    row(Adjuster, "adjuster.kept_under_tie", "on a tie fit the", Choice(TIES), Shim, "thinner where empty"),
    row(Adjuster, "adjuster.lengths", "push rods", Lengths, Pushrod, "differences from standard: -0.030 in, 0.000 in, 0.030 in"),
    row(Gauging, "gauge_when.engine", "engine", Choice(WARMTH), Always, "cold or hot when gauged"),
    row(Gauging, "gauge_when.no_warmer_than", "no warmer than", Words, Always, "as in 35 °C or 95 °F"),
    row(Gauging, "gauge_when.no_cooler_than", "no cooler than", Words, Always, "as in 35 °C or 95 °F"),
    row(Gauging, "leaves", "leaves", Lengths, Always, "each with its unit: 0.05 mm, 0.10 mm"),
    row(Gauging, "interval_hours", "hours between services", Number, Always, "as in 100"),
    row(Gauging, "first_interval_hours", "hours to the first one", Number, Always, "as in 25"),
    row(Gauging, "interval_months", "months between services", Whole, Always, "as in 12"),
    row(Covers, "covers.count", "covers", Whole, Always, "how many, as in 4"),
    row(Covers, "covers.hardware[]", "on each cover", Hardware, Always, "how many and what, as in 4 cover screw"),
    row(Covers, "covers.torque", "torque", Words, Always, "as in 9 N·m or 9 ± 1 N·m"),
    row(Covers, "covers.order", "order of tightening", Words, Always, "in words"),
    row(Page::Words, "cautions[]", "caution", Caution, Always, "what this engine's manual adds"),
    row(Page::Words, "stops[]", "stop", Stop, Always, "watch | sign | then turn | unload | gauge | words, as in 3 | overlap | 0 | 8 intake | 1 intake, 1 exhaust | push the ring"),
];
