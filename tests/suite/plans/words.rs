//! Words for turning, and the printed sheet.

use super::engines::{bank, checked, facts, flat_six, opposed, propeller, radial, timing};
use cowlside::domain::plan::{PlanChoice, plan};
use cowlside::domain::profile::Sign;
use cowlside::domain::profile::{Adjuster, CamRing, End, Facts, Rotation, Shape, Side, TableStop};
use cowlside::domain::units::Length;
use cowlside::domain::valve::{Kind, Valve};
use cowlside::guide::turning::{
    direction_lines, part_of_turn, place_words, tolerance_words, turn_words,
};
use cowlside::report::plan_sheet::plan_text;

/// The blade that goes down, worked out in space: x to the left wing, y up, z along the crank to the front.
///
/// The crank turns about z; a blade at x has the vertical speed `spin * x`. Someone at the rear looks
/// along +z and has +x at his left; someone at the front looks along -z and has +x at his right.
fn hand_going_down(at: End, spin: f64) -> &'static str {
    let right_hand_x = if at == End::Rear { -1.0 } else { 1.0 };
    if spin * right_hand_x < 0.0 { "right" } else { "left" }
}

#[test]
fn the_blade_to_pull_is_the_one_that_goes_down_in_space() {
    for (clockwise, seen_from, propeller_at) in [
        (true, End::Rear, End::Front),
        (false, End::Rear, End::Front),
        (true, End::Front, End::Front),
        (false, End::Front, End::Front),
        (true, End::Rear, End::Rear),
        (false, End::Rear, End::Rear),
        (true, End::Front, End::Rear),
        (false, End::Front, End::Rear),
    ] {
        // Clockwise for an onlooker: the blade at his right goes down.
        let spin = [1.0, -1.0]
            .into_iter()
            .find(|&spin| (hand_going_down(seen_from, spin) == "right") == clockwise);
        let hand = hand_going_down(propeller_at, spin.unwrap());
        let way = if hand == "right" { "clockwise" } else { "counter-clockwise" };
        let rotation = Some(propeller(propeller_at, clockwise, seen_from));
        let lines = direction_lines(&Facts { rotation, ..flat_six() });
        assert_eq!(
            lines[1],
            format!("Facing the propeller that is {way}: pull the {hand}-hand blade down."),
            "clockwise {clockwise} from {seen_from:?}, propeller at {propeller_at:?}"
        );
    }
    // Ends named by what they carry: the accessory end lies away from the propeller.
    for (seen_from, propeller_at, hand) in [
        (End::Accessory, End::Front, "left"),
        (End::Accessory, End::Rear, "left"),
        (End::Flywheel, End::Front, "left"),
        (End::Propeller, End::Front, "right"),
        (End::Propeller, End::Rear, "right"),
        (End::Timing, End::Rear, "right"),
    ] {
        let rotation = Some(propeller(propeller_at, true, seen_from));
        let lines = direction_lines(&Facts { rotation, ..flat_six() });
        assert!(lines[1].contains(&format!("pull the {hand}-hand blade down")), "{seen_from:?}");
    }
}

#[test]
fn the_direction_is_told_as_the_manual_has_it_and_backwards_only_where_allowed() {
    assert_eq!(
        direction_lines(&flat_six()),
        [
            "Turn by the propeller: clockwise, seen from the rear (as the manual has it).",
            "Facing the propeller that is counter-clockwise: pull the left-hand blade down.",
            "Never turn it backwards.",
        ]
    );
    let spanner = Rotation {
        turn_by: "the crankshaft bolt".into(),
        backwards_allowed: true,
        blades: None,
        ..propeller(End::Front, true, End::Timing)
    };
    assert_eq!(
        direction_lines(&Facts { rotation: Some(spanner), ..flat_six() }),
        [
            "Turn by the crankshaft bolt: clockwise, seen from the timing end (as the manual has it).",
            "It may be turned back: then well past the place, and up to it again.",
        ]
    );
    let silent = direction_lines(&Facts { rotation: None, ..flat_six() });
    assert!(silent[0].contains("does not say which way"), "{silent:?}");
}

#[test]
fn a_turn_is_told_in_degrees_parts_of_a_turn_and_blades() {
    let six = flat_six();
    for (degrees, words) in [
        (180.0, "turn on 180°, half a turn (1 blade of 2)"),
        (360.0, "turn on 360°, one full turn (2 blades of 2)"),
        (120.0, "turn on 120°, a third of a turn (two thirds of the way to the next of 2 blades)"),
        (
            240.0,
            "turn on 240°, two thirds of a turn (1 blade of 2, and a third of the way to the next)",
        ),
        (540.0, "turn on 540°, 1 1/2 turns (3 blades pass, 2 to a turn)"),
        (0.0, "leave the crank where it is"),
    ] {
        assert_eq!(turn_words(&six, degrees), words);
    }
    let bolt =
        Rotation { turn_by: "crankshaft bolt".into(), ..propeller(End::Front, true, End::Rear) };
    let by_bolt = Facts { rotation: Some(bolt), ..flat_six() };
    assert_eq!(turn_words(&by_bolt, 90.0), "turn on 90°, a quarter of a turn");
    for (degrees, words) in [
        (600.0, "1 2/3 turns"),
        (720.0, "2 full turns"),
        (80.0, "2/9 of a turn"),
        (720.0 / 7.0, "2/7 of a turn"),
        (359.9, "one full turn"),
        (0.0, "no turn"),
        (270.0, "three quarters of a turn"),
        (137.0, "about 0.38 of a turn"),
    ] {
        assert_eq!(part_of_turn(degrees), words);
    }
}

#[test]
fn the_tolerance_is_rounded_towards_the_place() {
    let mut stop = plan(&checked(flat_six()), &PlanChoice::default()).unwrap().stops.remove(0);
    for (short, past, words) in [
        (45.9, 95.99, "anywhere from 45° short to 95° past will do"),
        (0.0, 95.0, "up to 95° past will do, but not short"),
        (45.0, 0.4, "up to 45° short will do, but not past"),
        (0.0, 0.0, "only the exact place will do"),
    ] {
        (stop.short_by, stop.past_by) = (Some(short), Some(past));
        assert_eq!(tolerance_words(&stop).as_deref(), Some(words));
    }
    stop.short_by = None;
    assert_eq!(tolerance_words(&stop), None);
}

#[test]
fn a_cylinder_is_told_by_its_bank_and_its_place_in_it() {
    assert_eq!(place_words(&flat_six(), 4), "left bank, 2nd from the propeller end");
    assert_eq!(place_words(&facts(&[1, 3, 4, 2], None, None), 3), "3rd from the front");
    assert_eq!(place_words(&facts(&[1], None, None), 1), "the only cylinder");
    let nine = radial(&[1, 3, 5, 7, 9, 2, 4, 6, 8], None, None);
    assert_eq!(place_words(&nine, 1), "at the top");
    assert_eq!(place_words(&nine, 3), "80° clockwise from the top, seen from the rear");
    let mut twin = facts(&[1, 2], None, None);
    twin.layout.shape = Shape::Vee;
    twin.layout.banks = vec![bank("rear bank", None, &[1]), bank("right", Some(Side::Right), &[2])];
    twin.layout.banks[1].labels = vec!["1R".into()];
    assert_eq!(place_words(&twin, 1), "rear bank");
    assert_eq!(place_words(&twin, 2), "right bank (in the manual: 1R)");
    let mut rows = radial(&[1, 2], None, None);
    rows.layout.banks = vec![bank("front", None, &[2]), bank("rear", None, &[1])];
    rows.layout.banks[1].first_at = 190.0;
    assert_eq!(place_words(&rows, 1), "rear row, 190° clockwise from the top, seen from the rear");
}

fn sheet(facts: Facts) -> String {
    let profile = checked(facts);
    let plan = plan(&profile, &PlanChoice::default()).expect("a plan can be made");
    let text = plan_text(&profile, &plan);
    for line in text.lines() {
        assert!(line.chars().count() <= 80 && line.trim_end() == line, "{line:?}");
    }
    text
}

fn check(name: &str, facts: Facts) {
    insta::with_settings!({snapshot_path => "../../../snapshots", prepend_module_to_snapshot => false}, {
        insta::assert_snapshot!(name, sheet(facts));
    });
}

#[test]
fn the_sheet_of_a_flat_six_tells_all_that_is_needed_at_the_engine() {
    check("plan_flat_six", flat_six());
}

#[test]
fn the_sheet_of_an_odd_count_tells_both_ways_to_a_stop() {
    check("plan_inline_three", facts(&[1, 2, 3], None, Some(timing([15.0, 45.0, 45.0, 15.0]))));
}

#[test]
fn the_sheet_of_a_radial_of_unknown_ring_is_headed_so() {
    check("plan_radial_five", radial(&[1, 3, 5, 2, 4], None, None));
}

#[test]
fn the_sheet_of_a_table_tells_the_manuals_own_words() {
    let stop = |watch, sign, then_turn, say: Option<&str>| TableStop {
        watch,
        sign,
        then_turn,
        unload: vec![Valve::new(if watch == 4 { 2 } else { 4 }, Kind::Intake)],
        gauge: vec![Valve::new(watch, Kind::Intake), Valve::new(watch, Kind::Exhaust)],
        say: say.map(Into::into),
    };
    let mark = "Line the mark on the gear up with the split line of the case";
    let stops = vec![
        stop(1, Sign::Overlap, 360, None),
        stop(3, Sign::Mark, 0, Some(mark)),
        stop(5, Sign::IntakeCloses, 0, None),
        stop(2, Sign::Overlap, 360, None),
        stop(4, Sign::Overlap, 360, None),
    ];
    let five = radial(&[1, 3, 5, 2, 4], None, Some(CamRing::Floating));
    check("plan_table_five", Facts { stops: Some(stops), ..five });
}

#[test]
fn without_rockers_the_lobes_are_looked_at_and_long_names_are_wrapped() {
    let mut three = facts(&[1, 2, 3], None, None);
    three.adjuster = Adjuster::Shim { sizes: vec![Length::from_um(2500)] };
    three.name = "a very long name of an engine ".repeat(5);
    let text = sheet(three);
    assert!(text.contains("both cam lobes of 2 point away"), "{text}");
    assert!(!text.contains("rocker"), "{text}");
}

#[test]
fn a_changeover_is_proven_by_the_intake_that_opens_after_it() {
    // Intake opens 15 after top dead centre, exhaust shuts 10 after: no overlap, a gap of 5 degrees
    // (check-values 2.8, J. B. Rathbun, para 138, S50); its middle is 2.5 degrees before.
    let mut four = opposed(&[1, 3, 2, 4], Some(timing([-15.0, 35.0, 40.0, 10.0])));
    let text = |four: &Facts| sheet(four.clone()).split_whitespace().collect::<Vec<_>>().join(" ");
    let narrow = text(&four);
    assert!(narrow.contains("exhaust just shut, intake about to open"), "{narrow}");
    assert!(narrow.contains("after 3° the intake of 2 begins to open"), "{narrow}");
    four.timing = Some(timing([-40.0, 35.0, 40.0, -20.0]));
    let wide = text(&four);
    assert!(wide.contains("midway between the exhaust shutting and the intake opening"), "{wide}");
    assert!(wide.contains("after 30° the intake of 2 begins to open"), "{wide}");
}
