//! Engines for the walks. All figures are invented.

use crate::plans::engines::{bank, facts, opposed, propeller, radial, timing};
use cowlside::domain::profile::{
    Adjuster, CamRing, Covers, End, Facts, Figures, Hardware, Screw, Shape, Side, Sign, TableStop,
    Timing,
};
use cowlside::domain::units::{Length, LengthUnit, Temperature, Torque};
use cowlside::domain::valve::{Cylinder, Kind, Valve};

pub fn intake(cylinder: Cylinder) -> Valve {
    Valve::new(cylinder, Kind::Intake)
}

pub fn exhaust(cylinder: Cylinder) -> Valve {
    Valve::new(cylinder, Kind::Exhaust)
}

pub fn usual_timing() -> Timing {
    Timing { ramp: 8.0, ..timing([18.0, 58.0, 60.0, 16.0]) }
}

fn screw(threads: Option<(u8, u8)>, torque: Option<&str>) -> Adjuster {
    Adjuster::Screw(Screw {
        pitch_mm: Some(1.0),
        at_valve_end: false,
        rocker_ratio: 1.4,
        lock_nut: None,
        lock_nut_torque: torque.map(|typed| Torque::parse(typed).unwrap()),
        screw_drive: None,
        threads_showing: threads,
    })
}

fn covers(count: u32) -> Covers {
    let hardware = vec![
        Hardware { item: "cover screw".into(), each: 4 },
        Hardware { item: "wedge-lock washer pair".into(), each: 4 },
        Hardware { item: "O-ring".into(), each: 1 },
    ];
    Covers { count, hardware, torque: None, order: None }
}

fn thou(target: i64, least: i64, most: i64, set_least: i64, set_most: i64) -> Option<Figures> {
    let of = |thou: i64| Length::from_tenths_thou(thou * 10);
    Some(Figures {
        target: of(target),
        least: of(least),
        most: of(most),
        set_least: of(set_least),
        set_most: of(set_most),
    })
}

/// (A) A flat four of the order 1-3-2-4, screws, inches, propeller; intake 5..7 thou, set to 6;
/// exhaust 10..14, set to 11..13.
pub fn flat_four() -> Facts {
    let mut four = opposed(&[1, 3, 2, 4], Some(usual_timing()));
    four.adjuster = screw(Some((2, 5)), Some("20 N·m"));
    four.covers = covers(4);
    four.gauge_when.no_warmer_than = Some(Temperature::parse("35 °C").unwrap());
    four.unit = LengthUnit::Inch;
    four.intake.cold = thou(6, 5, 7, 6, 6);
    four.exhaust.cold = thou(12, 10, 14, 11, 13);
    four
}

/// (B) A nine-cylinder radial with a floating cam ring and a table: several cylinders a stop, valves
/// to be unloaded, one stop at a mark.
pub fn radial_table(timing: Option<Timing>) -> Facts {
    let mut nine = radial(&[1, 3, 5, 7, 9, 2, 4, 6, 8], timing, Some(CamRing::Floating));
    nine.adjuster = screw(None, Some("20 N·m"));
    nine.covers = covers(18);
    let stop = |watch, sign, unload: &[Valve], cylinders: &[Cylinder]| TableStop {
        watch,
        sign,
        then_turn: if sign == Sign::Mark { 0 } else { 360 },
        unload: unload.to_vec(),
        gauge: cylinders.iter().flat_map(|&c| [intake(c), exhaust(c)]).collect(),
        say: Some("as the table says".into()),
    };
    nine.stops = Some(vec![
        stop(3, Sign::Overlap, &[intake(8), exhaust(4)], &[1, 3, 5]),
        stop(9, Sign::Overlap, &[exhaust(5)], &[7, 9]),
        stop(2, Sign::Overlap, &[], &[2]),
        stop(4, Sign::Mark, &[], &[4]),
        stop(6, Sign::Overlap, &[intake(3)], &[6, 8]),
    ]);
    nine
}

/// An inline four in millimetres, screws, nothing else known of it.
pub fn inline_four() -> Facts {
    let mut four = facts(&[1, 3, 4, 2], None, None);
    four.adjuster = screw(None, None);
    four.covers = covers(1);
    four
}

/// An inline three with nothing to adjust.
pub fn nothing_to_adjust() -> Facts {
    let mut three = facts(&[1, 3, 2], None, Some(usual_timing()));
    three.covers = covers(3);
    three.gauge_when.no_warmer_than = Some(Temperature::parse("35 °C").unwrap());
    three
}

/// A vee twin with shims, firing unevenly.
pub fn vee_twin() -> Facts {
    let mut twin = facts(&[1, 2], Some(&[270.0, 450.0]), Some(usual_timing()));
    twin.layout.shape = Shape::Vee;
    twin.layout.angle = Some(90.0);
    twin.layout.banks =
        vec![bank("left", Some(Side::Left), &[1]), bank("right", Some(Side::Right), &[2])];
    let sizes = (0..20).map(|step| Length::from_um(2200 + step * 50)).collect();
    twin.adjuster = Adjuster::Shim { sizes };
    twin.covers = covers(2);
    twin
}

/// A flat six with push rods of other lengths.
pub fn push_rods() -> Facts {
    let mut six = opposed(&[1, 4, 5, 2, 3, 6], Some(usual_timing()));
    let lengths = [-500, 0, 500].map(Length::from_um).to_vec();
    six.adjuster = Adjuster::Pushrod { lengths, rocker_ratio: 1.4 };
    six.covers = covers(6);
    six
}

/// One cylinder, one stop, screws.
pub fn single() -> Facts {
    let mut one = facts(&[1], None, Some(usual_timing()));
    one.adjuster = screw(None, None);
    one.covers = covers(1);
    one.rotation = Some(propeller(End::Front, true, End::Rear));
    one
}

/// Two cylinders side by side, fired 180 and 540 degrees apart: neither is at overlap where the other fires.
pub fn twin_180() -> Facts {
    let mut twin = facts(&[1, 2], Some(&[180.0, 540.0]), Some(usual_timing()));
    twin.adjuster = screw(None, None);
    twin.covers = covers(2);
    twin
}

/// Every kind of engine.
pub fn all() -> Vec<Facts> {
    vec![
        flat_four(),
        radial_table(Some(usual_timing())),
        nothing_to_adjust(),
        inline_four(),
        vee_twin(),
        push_rods(),
        single(),
        radial_table(None),
    ]
}
