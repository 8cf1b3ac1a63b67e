//! What each question of the form means, and what goes wrong there, in words of the trade.
//!
//! What is to be typed, with an example, stands in the table of fields. Common practice, no source,
//! unless said.

use super::{Field, Form, Kind};
use crate::guide::help::{Page, Piece};

/// What a question means, and what goes wrong there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Explained {
    /// What it means and what it is used for.
    pub means: &'static str,
    /// What goes wrong.
    pub wrong: &'static str,
}

/// Explains a field by its path in the table of fields.
#[rustfmt::skip]
pub(super) fn explained(path: &str) -> Option<Explained> {
    let (means, wrong) = match path {
        "layout.shape" => ("How the cylinders lie: flat and facing each other, in one row, in two rows at an angle, or round the crank. The drawing and the words for sides follow it.", "A flat twin is opposed, not a vee of 180 degrees."),
        "cylinders" => ("All cylinders of the engine, both banks or rows together.", "A dummy or a cylinder that was blanked off counts: it has its place in the firing order."),
        "firing_order" => ("The order in which the cylinders fire, from cylinder 1, in the engine's own numbers. Which valves may be gauged at a stop comes from it.", "One figure wrong, and a valve is gauged while its cam lifts it. Compare the opposites shown here with the manual or the rockers."),
        "layout.banks[{}].name" => ("What the manual calls this side or row.", "Left and right are told from behind, looking forward; some manuals tell them from the front."),
        "layout.banks[{}].cylinders" => ("Which cylinders this side or row has, in the order in which they stand, from the end that banks are listed from.", "Numbers of the wrong side, or counted from the other end: the drawing here must look like your engine."),
        "layout.banks[{}].first_at" => ("Where the row's first cylinder stands: degrees from the top, clockwise seen from the rear.", "Seen from the front it is mirrored."),
        "adjuster.kind" => ("What is turned or changed to set the clearance: a screw with its lock nut, a shim, a push rod of another length, or nothing.", "Hydraulic lifters gauged dry are set by push rods, not by a screw."),
        "name" => ("What kind of engine this is, so that you find it in the list.", "The name of one engine belongs to the engine, not to its kind."),
        "valves.intake.target" | "valves.exhaust.target" => ("The clearance that a valve is set to, from the manual.", "A point too far to the right, inches for millimetres, hot for cold. Exhaust is often wider than intake: do not swap them."),
        "valves.intake.least" | "valves.exhaust.least" => ("The tightest clearance at which a valve may be left as found.", "Too small a figure lets a valve pass that is held off its seat when hot, and burns."),
        "valves.intake.most" | "valves.exhaust.most" => ("The widest clearance at which a valve may be left as found.", "Too wide hammers the train and opens late."),
        "source.document" => ("The document that the figures are from. It stands in every record.", "Without it everything says that these are example figures."),
        "source.revision" => ("Its revision, so that a later one is noticed.", "A figure may differ between revisions."),
        "source.page" => ("Where in it the figures stand; it is compared at every service.", "The page of another model of the same engine."),
        "firing_intervals" => ("Crank degrees from each firing to the next. Only engines that do not fire evenly need them.", "They must add up to 720: two turns of the crank."),
        "layout.angle" => ("The angle between the two banks.", "It says how the engine is drawn, and when a vee twin fires."),
        "layout.listed_from" => ("The end from which the cylinders of each bank were told.", "Told from the wrong end, the drawing shows cylinder 1 at the other one."),
        "layout.banks[{}].side" => ("On which side this bank lies, seen from the rear.", "Seen from in front of the propeller it is the other one."),
        "layout.banks[{}].labels" => ("What is cast or stamped on each cylinder, where that is not its number.", "Two cylinders with one label."),
        "layout.banks[{}].valves_along" => ("Intake I and exhaust E as they stand along the bank.", "Left out, valves are drawn intake first: the leaf may go into the wrong one."),
        "layout.cam_ring" => ("Whether the cam ring is fixed to its shaft or floats on it.", "A floating ring shifts the clearances: its engine needs the manual's table of crank positions."),
        "rotation.turn_by" => ("What is taken hold of to turn the crank.", "A propeller can kick: it brings its own cautions, and asks for magneto and fuel first."),
        "rotation.direction" => ("The way the crank runs. It is turned that way only.", "Clockwise from the rear is counter-clockwise from the front."),
        "rotation.seen_from" => ("The end from which that direction was told.", "Manuals tell it from the propeller end, from the accessory end, or from the drive."),
        "rotation.backwards_allowed" => ("Whether the manual lets the crank be turned back.", "Turned back, a pump vane, a tensioner or a ring may suffer; so may the play in the train."),
        "rotation.propeller_at" => ("The end that carries the propeller.", "A pusher has it at the rear."),
        "rotation.blades" => ("How many blades: stops are told by them.", "Count them; a hub may be shown with fewer."),
        "valve_timing.intake_opens" | "valve_timing.intake_closes" | "valve_timing.exhaust_opens" | "valve_timing.exhaust_closes" => ("Where the cam begins or ends to lift, crank degrees, at the clearance that the manual times it with.", "A timing clearance is not the running clearance. All four are needed, or none."),
        "valve_timing.ramp" => ("How far before and behind those degrees the cam is not yet on its base circle.", "Too small lets a valve be gauged on the ramp."),
        "overlap_looks_like" => ("What is seen when a cylinder is at overlap: exhaust all but shut, intake beginning.", "At the other dead centre both rockers are loose: that is compression."),
        "valves.intake.per_cylinder" | "valves.exhaust.per_cylinder" => ("How many valves of this kind a cylinder has.", "Each one is gauged by itself."),
        "valves.intake.set_least" | "valves.exhaust.set_least" | "valves.intake.set_most" | "valves.exhaust.set_most" => ("Closer limits for a valve that was touched, where the manual has them.", "They lie inside the limits as found."),
        "valves.intake.position" | "valves.exhaust.position" => ("Where this valve stands on the head; left and right as seen from the rear, on a radial with the cylinder upright.", "On a flat engine upper and lower may change with the side."),
        "valves.intake.leaves_at_once" | "valves.exhaust.leaves_at_once" => ("Under a forked rocker a leaf goes under each pad at once.", "With one leaf the rocker tilts and tells too much."),
        "valves.intake.hot.target" | "valves.intake.hot.least" | "valves.intake.hot.most" | "valves.exhaust.hot.target" | "valves.exhaust.hot.least" | "valves.exhaust.hot.most" => ("The clearance for a hot engine, where the manual has one.", "Cold figures on a hot engine, or the other way round."),
        "adjuster.pitch" => ("How far the screw goes in one turn: turns are told from it.", "Threads to the inch are not the pitch: 28 to the inch is 0.0357 in."),
        "adjuster.fitted_at" => ("Which end of the rocker carries the screw: its ratio counts for one end only.", "At the push-rod end a turn moves the valve by the ratio."),
        "adjuster.rocker_ratio" => ("The rocker's arm on the valve side over the other arm.", "Lift ratios told the other way round are less than 1."),
        "adjuster.lock_nut" => ("The spanner for the lock nut.", "Two sizes on one engine: say both."),
        "adjuster.lock_nut_torque" => ("How tight the lock nut is made.", "Nuts move the screw as they pull up: the valve is gauged again after."),
        "adjuster.screw_drive" => ("What turns the screw.", "A worn slot slips just as the nut bites."),
        "adjuster.threads_showing" => ("How many threads may show beyond the nut.", "More or fewer: a rod or a screw that is the wrong one."),
        "adjuster.sizes" | "adjuster.from" | "adjuster.to" | "adjuster.step" => ("The shims that can be had: which one goes where is worked out from them.", "Sizes in the wrong unit, or a step that leaves the last one out."),
        "adjuster.kept_under_tie" => ("Which shim is fitted where two are as far from the target.", "The thinner one leaves more clearance, the safer side."),
        "adjuster.lengths" => ("The push rods that can be had, as differences from the standard one.", "A minus left out: a shorter rod opens the clearance."),
        "gauge_when.engine" => ("Whether the figures are for a cold or for a hot engine.", "Between the two nothing is right."),
        "gauge_when.no_warmer_than" | "gauge_when.no_cooler_than" => ("The temperature of the heads beyond which the figures do not hold.", "Air temperature is not head temperature."),
        "leaves" => ("The leaves of the set that this engine is gauged with.", "A thickness that the set has not is doubted when it is typed."),
        "interval_hours" | "first_interval_hours" | "interval_months" => ("How long until the next service, whichever comes first.", "The hours of a new engine to its first service are fewer."),
        "covers.count" => ("How many covers come off: they are counted off and on.", "One cover may serve two cylinders."),
        "covers.hardware[]" => ("What holds each cover: it is counted off and on, so that nothing stays in the cowling.", "Washers and gaskets count by themselves."),
        "covers.torque" => ("How tight the covers are made.", "Inch pounds taken for foot pounds: a factor of twelve."),
        "covers.order" => ("The order in which a cover's screws are tightened.", "All on one side first, and the gasket leaks."),
        "cautions[]" => ("A warning of this engine's manual. It is asked about in each service and answered by what was seen.", "A caution that cannot be seen to is only clicked away: say what to look at."),
        "stops[]" => ("A line of the manual's own table of crank positions. It is followed where it is given.", "A valve at a stop where its cam lifts: each line is checked against the timing."),
        _ => return None,
    };
    Some(Explained { means, wrong })
}

impl Form {
    /// Makes the help on a question: what it means, what to type, what goes wrong there.
    pub fn help(&self, field: &Field) -> Page {
        let mut pieces = Vec::new();
        let explained = explained(&row_path(&field.path));
        if let Some(Explained { means, .. }) = explained {
            pieces.push(Piece::Say(means.into()));
        }
        pieces.push(Piece::Head("What to type".into()));
        pieces.push(Piece::Item(field.say.into()));
        if let Kind::Choice(words) = field.kind {
            pieces.push(Piece::Item(format!("one of: {}", words.join(", "))));
        }
        if field.kind == Kind::Length {
            pieces.push(Piece::Item(
                "The unit of the intake target is put behind a bare number.".into(),
            ));
        }
        if !field.needed {
            pieces.push(Piece::Item("It may stay empty.".into()));
        }
        if let Some(Explained { wrong, .. }) = explained {
            pieces.push(Piece::Head("What goes wrong".into()));
            pieces.push(Piece::Item(wrong.into()));
        }
        Page { title: field.label.clone(), pieces }
    }
}

/// Makes the help on the row that writes the profile.
pub fn help_on_writing() -> Page {
    let say = |words: &str| Piece::Say(words.into());
    Page {
        title: "write the profile".into(),
        pieces: vec![
            say(
                "It is checked as a whole and written as a file of your own. Nothing that came with the program is changed.",
            ),
            say(
                "With * something is to be filled in, with ! something cannot stand: Enter goes to the first.",
            ),
            say(
                "A figure far from every example is asked about first: a point or a unit slips easily.",
            ),
            say("Services that were done keep the figures that they were done with."),
        ],
    }
}

/// Returns a field's path as the table of fields has it, without the places of banks and lines.
fn row_path(path: &str) -> String {
    match path.split_once('[').and_then(|(list, rest)| Some((list, rest.split_once(']')?.1))) {
        None => path.to_string(),
        Some((list, "")) => format!("{list}[]"),
        Some((list, rest)) => format!("{list}[{{}}]{rest}"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::fields::ROWS;
    use super::*;

    #[test]
    fn every_question_is_explained_and_nothing_else() {
        for row in &ROWS {
            assert!(explained(row.path).is_some(), "{}", row.path);
        }
        assert_eq!(row_path("layout.banks[1].name"), "layout.banks[{}].name");
        assert_eq!(row_path("cautions[12]"), "cautions[]");
        assert_eq!(explained("cylinder"), None);
    }
}
