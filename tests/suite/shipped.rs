//! The profiles that come with the program: each is read, planned and kept as a snapshot, and lies as
//! its firing order says that it must. A file more is a test more. Their plans stand before the model
//! in `plans/ways.rs`.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::domain::cams::opposites;
use cowlside::domain::crank::{firing_angle, margin, opposite, phase};
use cowlside::domain::place::place_of;
use cowlside::domain::plan::{Plan, PlanChoice, plan};
use cowlside::domain::profile::{CamRing, End, EngineProfile, Shape};
use cowlside::domain::unlikely::unlikely;
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use cowlside::report::profile_sheet::sheet;
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::{BUILT_IN, Intervals, intervals};
use std::collections::BTreeSet;
use std::path::Path;

fn shipped() -> impl Iterator<Item = (&'static str, EngineProfile)> {
    BUILT_IN.into_iter().map(|(name, text)| (name, parse_profile(text, name).unwrap()))
}

fn named(name: &str) -> EngineProfile {
    shipped().find(|(other, _)| *other == name).unwrap_or_else(|| panic!("no {name}")).1
}

#[test]
fn every_file_in_the_folder_is_built_in_under_its_own_name() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles");
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    let mut files: BTreeSet<String> = files.map(|file| file.into_string().unwrap()).collect();
    assert!(files.remove("profile.schema.json"), "what the profiles name in $schema");
    let names: BTreeSet<String> = BUILT_IN.iter().map(|(name, _)| format!("{name}.json")).collect();
    assert_eq!(files, names);
    let titles: BTreeSet<String> = shipped().map(|(_, profile)| profile.name.clone()).collect();
    assert_eq!(titles.len(), BUILT_IN.len(), "two profiles have the same title");
}

/// A plan with a line a stop.
fn stops(plan: &Plan) -> String {
    let line = |(number, stop): (usize, &cowlside::domain::plan::Stop)| {
        let gauge: Vec<String> = stop.gauge.iter().map(|gauge| gauge.valve.to_string()).collect();
        let then = if stop.then_turn == 0 { "" } else { " and a full turn on" };
        let turn = stop.turn.map_or("?".into(), |turn| format!("{turn:.1}"));
        let margin = stop.margin.map_or("?".into(), |margin| format!("{margin:.1}"));
        let (watch, gauge) = (stop.watch, gauge.join(", "));
        format!("{number:>2}: {turn:>5}° on, {watch} at overlap{then}: gauge {gauge}; {margin}°\n")
    };
    let caveat = plan.caveat.map_or(String::new(), |caveat| format!("CAUTION: {caveat}\n"));
    caveat + &(1..).zip(&plan.stops).map(line).collect::<String>()
}

#[test]
fn each_is_planned_and_shown_as_it_was_looked_at() {
    for (name, profile) in shipped() {
        let plan = plan(&profile, &PlanChoice::default()).unwrap_or_else(|e| panic!("{name}: {e}"));
        let text = format!("{}\n{}", sheet(name, &profile), stops(&plan));
        insta::with_settings!({
            snapshot_path => "../../snapshots", prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!(format!("shipped_{name}"), text);
        });
    }
}

#[test]
fn none_has_an_unlikely_order() {
    for (name, profile) in shipped() {
        assert_eq!(unlikely(&profile), None, "{name}");
    }
}

#[test]
fn every_published_layout_is_there() {
    // Check-values 1.1: FAA-H-8083-32, chapter 1, "Firing Order" (opposed, inline six, radials; 18 as
    // a whole list: S2, 14 derived from the rule). 1.3: flat six 1-6-2-4-3-5 (S4). 1.4: inline three,
    // four, five, vee six of 60 degrees (S8); vee eights, the other vee sixes (S9); vee twelve (S10).
    type Row<'a> = (&'a str, Shape, &'a [Cylinder]);
    let rows: [Row<'_>; 24] = [
        ("flat-four", Shape::Opposed, &[1, 3, 2, 4]),
        ("flat-four-1423", Shape::Opposed, &[1, 4, 2, 3]),
        ("flat-six", Shape::Opposed, &[1, 4, 5, 2, 3, 6]),
        ("flat-six-162435", Shape::Opposed, &[1, 6, 2, 4, 3, 5]),
        ("inline-three", Shape::Inline, &[1, 2, 3]),
        ("inline-three-132", Shape::Inline, &[1, 3, 2]),
        ("inline-four", Shape::Inline, &[1, 3, 4, 2]),
        ("inline-four-1243", Shape::Inline, &[1, 2, 4, 3]),
        ("inline-five", Shape::Inline, &[1, 2, 4, 5, 3]),
        ("inline-six", Shape::Inline, &[1, 5, 3, 6, 2, 4]),
        ("vee-six-165432", Shape::Vee, &[1, 6, 5, 4, 3, 2]),
        ("vee-six-142536", Shape::Vee, &[1, 4, 2, 5, 3, 6]),
        ("vee-six-60", Shape::Vee, &[1, 2, 3, 4, 5, 6]),
        ("vee-eight-18436572", Shape::Vee, &[1, 8, 4, 3, 6, 5, 7, 2]),
        ("vee-eight-18726543", Shape::Vee, &[1, 8, 7, 2, 6, 5, 4, 3]),
        ("vee-eight-15426378", Shape::Vee, &[1, 5, 4, 2, 6, 3, 7, 8]),
        ("vee-eight-13726548", Shape::Vee, &[1, 3, 7, 2, 6, 5, 4, 8]),
        ("vee-twelve", Shape::Vee, &[1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10]),
        ("radial-five", Shape::Radial, &[1, 3, 5, 2, 4]),
        ("radial-seven", Shape::Radial, &[1, 3, 5, 7, 2, 4, 6]),
        ("radial-nine", Shape::Radial, &[1, 3, 5, 7, 9, 2, 4, 6, 8]),
        ("radial-nine-table", Shape::Radial, &[1, 3, 5, 7, 9, 2, 4, 6, 8]),
        ("radial-fourteen", Shape::Radial, &[1, 10, 5, 14, 9, 4, 13, 8, 3, 12, 7, 2, 11, 6]),
        (
            "radial-eighteen",
            Shape::Radial,
            &[1, 12, 5, 16, 9, 2, 13, 6, 17, 10, 3, 14, 7, 18, 11, 4, 15, 8],
        ),
    ];
    for (name, shape, order) in rows {
        let profile = named(name);
        assert_eq!((profile.layout.shape, profile.firing_order.as_slice()), (shape, order));
        assert!(profile.fires_evenly(), "{name}");
    }
    let six = named("vee-six-60");
    let called = six.firing_order.iter().map(|&cylinder| place_of(&six, cylinder).unwrap().label);
    assert_eq!(called.flatten().collect::<Vec<_>>(), ["R1", "L1", "R2", "L2", "R3", "L3"]);
    // Check-values 1.6 (S12; 180-540 also S13, 315-405 S14): two cylinders.
    for (name, intervals) in [
        ("flat-twin", [360.0, 360.0]),
        ("parallel-twin-360", [360.0, 360.0]),
        ("parallel-twin-180", [180.0, 540.0]),
        ("parallel-twin-270", [270.0, 450.0]),
        ("parallel-twin-285", [285.0, 435.0]),
        ("vee-twin-90", [270.0, 450.0]),
        ("vee-twin-shims", [270.0, 450.0]),
        ("vee-twin-75", [285.0, 435.0]),
        ("vee-twin-60", [300.0, 420.0]),
        ("vee-twin-45", [315.0, 405.0]),
    ] {
        assert_eq!(named(name).firing_intervals, intervals, "{name}");
        assert_eq!(intervals.iter().sum::<f64>(), 720.0);
    }
}

#[test]
fn opposites_are_the_published_ones() {
    // Check-values 1.3, derived from the orders above (vee six of 60 degrees, vee twelve and radial
    // eighteen by the same arithmetic); 14: k and k + 7.
    let ring = |half: u8| (1..=half).map(|k| (k, k + half)).collect::<Vec<_>>();
    for (name, pairs) in [
        ("inline-four", vec![(1, 4), (3, 2)]),
        ("inline-four-1243", vec![(1, 4), (2, 3)]),
        ("flat-four", vec![(1, 2), (3, 4)]),
        ("flat-four-1423", vec![(1, 2), (3, 4)]),
        ("flat-six", vec![(1, 2), (3, 4), (5, 6)]),
        ("inline-six", vec![(1, 6), (2, 5), (3, 4)]),
        ("vee-six-165432", vec![(1, 4), (2, 5), (3, 6)]),
        ("vee-six-142536", vec![(1, 5), (3, 4), (2, 6)]),
        ("flat-six-162435", vec![(1, 4), (3, 6), (2, 5)]),
        ("vee-eight-18436572", vec![(1, 6), (5, 8), (4, 7), (2, 3)]),
        ("vee-eight-18726543", vec![(1, 6), (5, 8), (4, 7), (2, 3)]),
        ("vee-eight-13726548", vec![(1, 6), (3, 5), (4, 7), (2, 8)]),
        ("vee-eight-15426378", vec![(1, 6), (3, 5), (4, 7), (2, 8)]),
        ("vee-six-60", vec![(1, 4), (2, 5), (3, 6)]),
        ("vee-twelve", vec![(1, 6), (7, 12), (5, 2), (11, 8), (3, 4), (9, 10)]),
        ("radial-fourteen", ring(7)),
        ("radial-eighteen", ring(9)),
    ] {
        let profile = named(name);
        assert_eq!(opposites(&profile).len(), pairs.len(), "{name}");
        for (one, other) in pairs {
            assert_eq!(opposite(&profile, one), Some(other), "{name}: {one}");
            assert_eq!(opposite(&profile, other), Some(one), "{name}: {other}");
        }
    }
}

#[test]
fn with_number_one_at_firing_dead_centre_its_opposite_has_both_valves_slightly_open() {
    // Check-values 1.3, published confirmations: flat six, 4 (S4); vee eight, 6 (S5); inline four, 4
    // (S6); inline six, 6, its exhaust nearly shut and its intake beginning to open (S7).
    for (name, other) in
        [("flat-six-162435", 4), ("vee-eight-18436572", 6), ("inline-four", 4), ("inline-six", 6)]
    {
        let profile = named(name);
        let crank = firing_angle(&profile, 1);
        assert!((phase(&profile, other, crank) - 360.0).abs() < 1e-9, "{name}");
        for kind in Kind::BOTH {
            // Open, and an event on one side not far away.
            let from_event = margin(&profile, Valve::new(other, kind), crank);
            assert!((-40.0..0.0).contains(&from_event), "{name}: {kind:?} {from_event}");
            let shut = margin(&profile, Valve::new(1, kind), crank);
            assert!(shut > 90.0, "{name}: {kind:?} of 1 {shut}");
        }
    }
}

/// Two crank angles are the same place of a turn.
fn same_place(one: f64, other: f64) -> bool {
    let apart = (one - other).rem_euclid(360.0);
    apart.min(360.0 - apart) < 1e-3
}

#[test]
fn a_radials_piston_is_at_the_top_when_its_pin_points_at_it() {
    // Derived: the pin goes round clockwise as seen from the rear, and a cylinder fires when it is
    // opposite; the pins of two rows stand half a turn apart. Even cylinders are in the front row
    // (check-values 1.2, aviation dictionary).
    for (name, profile) in shipped().filter(|(_, p)| p.layout.shape == Shape::Radial) {
        for &cylinder in &profile.firing_order {
            let place = place_of(&profile, cylinder).unwrap();
            let two_rows = profile.layout.banks.len() == 2;
            let in_front = two_rows && cylinder % 2 == 0;
            let pin = place.from_top.unwrap() + if in_front { 180.0 } else { 0.0 };
            assert!(same_place(firing_angle(&profile, cylinder), pin), "{name}: {cylinder}");
            let row = if in_front { "front row" } else { "rear row" };
            assert!(!two_rows || place.bank == row, "{name}: {cylinder} in the {}", place.bank);
        }
        let told = profile.layout.cam_ring;
        let known = ["radial-nine", "radial-nine-table"].contains(&name);
        // Nobody told of the others whether their cam ring floats: their plans say so.
        assert_eq!(told.is_some(), known, "{name}");
        assert_eq!(told == Some(CamRing::Floating), profile.stops.is_some(), "{name}");
    }
}

#[test]
fn a_vees_banks_follow_one_another_by_its_angle_all_along_the_crank() {
    // Derived: running clockwise as seen from the front, a pin comes to the right bank first and to
    // the left one the angle between them later (running the other way, the other way round);
    // cylinders that face each other share it. Sixes that fire evenly have their pins offset, so that
    // it is 120°.
    for (name, profile) in shipped().filter(|(_, p)| p.layout.shape == Shape::Vee) {
        let bank = |name: &str| {
            profile.layout.banks.iter().find(|bank| bank.name == name).unwrap().cylinders.clone()
        };
        let later = if profile.cylinders() == 6 { 120.0 } else { profile.layout.angle.unwrap() };
        let rotation = profile.rotation.as_ref().unwrap();
        assert_eq!(rotation.seen_from, End::Front, "{name}");
        let (first, second) = match rotation.clockwise {
            Some(true) => (bank("right"), bank("left")),
            Some(false) | None => (bank("left"), bank("right")),
        };
        for (first, second) in first.into_iter().zip(second) {
            let (one, other) = (firing_angle(&profile, first), firing_angle(&profile, second));
            assert!(same_place(other, one + later), "{name}: {first} and {second}");
        }
    }
}

#[test]
fn opposed_cylinders_face_their_opposites_and_inline_ones_mirror_theirs() {
    for (name, profile) in shipped() {
        let banks = &profile.layout.banks;
        let (one, other) = match (profile.layout.shape, profile.cylinders() % 2) {
            (Shape::Opposed, _) => (banks[0].cylinders.clone(), banks[1].cylinders.clone()),
            (Shape::Inline, 0) if profile.fires_evenly() => {
                let all = banks[0].cylinders.clone();
                (all.clone(), all.into_iter().rev().collect())
            }
            (Shape::Inline | Shape::Vee | Shape::Radial, _) => continue,
        };
        for (one, other) in one.into_iter().zip(other) {
            assert_eq!(opposite(&profile, one), Some(other), "{name}: {one}");
        }
    }
}

#[test]
fn the_intervals_read_alone_are_those_of_the_whole_profile() {
    let nowhere = Path::new("no such folder");
    for (name, profile) in shipped() {
        let facts = Intervals {
            hours: profile.interval_hours,
            first_hours: profile.first_interval_hours,
            months: profile.interval_months,
        };
        assert_eq!(intervals(name, nowhere), facts, "{name}");
    }
    assert_eq!(intervals("no-such-engine", nowhere), Intervals::default());
    // The user's own of the same name is the one that counts, as everywhere.
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("profiles")).unwrap();
    let own = folder.path().join("profiles/flat-four.json");
    let text = BUILT_IN.iter().find(|(name, _)| *name == "flat-four").unwrap().1;
    let longer = text.replace("\"interval_hours\": 100", "\"interval_hours\": 250");
    assert_ne!(longer, text);
    std::fs::write(&own, longer).unwrap();
    assert_eq!(intervals("flat-four", folder.path()).hours, Some(250.0));
    std::fs::write(&own, "{").unwrap();
    assert_eq!(intervals("flat-four", folder.path()), Intervals::default());
}
