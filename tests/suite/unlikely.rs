//! Orders and intervals that do not fit the engine: what is refused, what is taken with a warning,
//! and what must never be doubted. Published mistakes, each with its source.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use crate::form_live;
use crate::plans::engines::{bank, facts, opposed, propeller, radial, timing};
use cowlside::domain::profile::{End, EngineProfile, Facts, Shape, Side, Sign, TableStop};
use cowlside::domain::unlikely::{Rule, unlikely};
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use cowlside::guide::unlikely::warnings;
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::BUILT_IN;
use cowlside::tui::profile_desk::Key;
use proptest::prelude::*;

fn refused(facts: Facts) -> String {
    EngineProfile::new(facts).unwrap_err().to_string()
}

fn text_of(name: &str) -> &'static str {
    BUILT_IN.iter().find(|(other, _)| *other == name).unwrap().1
}

fn vee_twin(angle: Option<f64>, intervals: [f64; 2]) -> Facts {
    let mut twin = facts(&[1, 2], Some(&intervals), None);
    twin.layout.shape = Shape::Vee;
    twin.layout.angle = angle;
    twin.layout.banks =
        vec![bank("left", Some(Side::Left), &[1]), bank("right", Some(Side::Right), &[2])];
    twin
}

/// Two rows, numbered clockwise round both together, even cylinders in the front row.
fn two_rows(order: &[Cylinder]) -> Facts {
    let mut engine = radial(order, None, None);
    let count = order.len() as u8;
    let row = |first: u8| (first..=count).step_by(2).collect::<Vec<_>>();
    let mut front = bank("front", None, &row(2));
    front.first_at = 360.0 / f64::from(count);
    engine.layout.banks = vec![front, bank("rear", None, &row(1))];
    engine
}

fn steps(count: u8, add: u8) -> Vec<Cylinder> {
    (0..count).map(|firing| (firing * add) % count + 1).collect()
}

#[test]
fn intervals_of_a_vee_twin_as_an_article_misprints_them_are_refused_with_their_sum() {
    // "305 ... 405" for a 45° vee twin, check-values 1.7 (S14, its second mention); 315-405 is right.
    assert_eq!(
        refused(vee_twin(Some(45.0), [305.0, 405.0])),
        "`firing_intervals` is 305 + 405, together 710, but must add up to 720 degrees"
    );
    assert!(EngineProfile::new(vee_twin(Some(45.0), [315.0, 405.0])).is_ok());
}

#[test]
fn four_numbers_for_two_cylinders_are_refused() {
    // A twin described with the order 1-3-2-4, check-values 1.7 (S18).
    let text =
        text_of("flat-twin").replace("\"firing_order\": [1, 2]", "\"firing_order\": [1, 3, 2, 4]");
    assert_ne!(text, text_of("flat-twin"));
    let error = parse_profile(&text, "twin.json").unwrap_err().to_string();
    let wanted = "`firing_order` is 1-3-2-4, but must name each cylinder from 1 to 2 once";
    assert!(error.ends_with(wanted), "{error}");
}

#[test]
fn a_damaged_table_is_refused_with_the_valve_that_is_missing_and_the_one_that_stands_twice() {
    // TM 5-3895-385-23-2 prints the sets "1,3 / 1,2" at dead centre and "3,4 / 2,4" a turn later, in
    // the order in which its text was read (check-values 3.6): intake 2 is missing, intake 3 twice.
    let stop = |watch, intakes: [Cylinder; 2], exhausts: [Cylinder; 2]| TableStop {
        watch,
        sign: Sign::Overlap,
        then_turn: 0,
        unload: vec![],
        gauge: intakes
            .map(|cylinder| Valve::new(cylinder, Kind::Intake))
            .into_iter()
            .chain(exhausts.map(|cylinder| Valve::new(cylinder, Kind::Exhaust)))
            .collect(),
        say: None,
    };
    let four = facts(&[1, 3, 4, 2], None, Some(timing([15.0, 45.0, 45.0, 15.0])));
    let damaged = vec![stop(4, [1, 3], [1, 2]), stop(1, [3, 4], [2, 4])];
    // Exhaust 2 stands twice as well, and exhaust 3 nowhere: all four are named at once.
    assert_eq!(
        refused(Facts { stops: Some(damaged), ..four.clone() }),
        "`stops` is a table without 2 intake, 3 exhaust, and with 2 exhaust, 3 intake more than once, \
         but must gauge every valve exactly once"
    );
    // With its exhausts as they should be, only the intakes are wrong.
    let intakes = vec![stop(4, [1, 3], [1, 3]), stop(1, [3, 4], [2, 4])];
    assert_eq!(
        refused(Facts { stops: Some(intakes), ..four.clone() }),
        "`stops` is a table without 2 intake, and with 3 intake more than once, \
         but must gauge every valve exactly once"
    );
    // With the sets changed about it is the table of check-values 3.1 (TM 5-3805-258-24-1, p. 4-28).
    let mended = vec![stop(4, [1, 2], [1, 3]), stop(1, [3, 4], [2, 4])];
    assert!(EngineProfile::new(Facts { stops: Some(mended), ..four }).is_ok());
}

#[test]
fn an_inline_four_whose_outer_cylinders_are_no_opposites_is_taken_with_a_warning() {
    // A textbook offers 1-4-3-2 (check-values 1.7, S16); 1-3-4-2 and 1-2-4-3 are the orders (S8).
    for (order, likely) in [
        ([1, 3, 4, 2], true),
        ([1, 2, 4, 3], true),
        ([4, 2, 1, 3], true),
        ([1, 4, 3, 2], false),
        ([1, 2, 3, 4], false),
    ] {
        let four = facts(&order, None, None);
        assert!(EngineProfile::new(four.clone()).is_ok());
        assert_eq!(unlikely(&four).is_none(), likely, "{order:?}");
    }
    assert_eq!(
        warnings(&facts(&[1, 4, 3, 2], None, None)),
        [
            "the firing order 1-4-3-2 is unlikely for an inline four: 1-4, 2-3 are a full turn apart on \
          one. This leads to the opposites 1-3, 4-2. Compare it with the manual."
        ]
    );
    // Of a four that fires unevenly no rule speaks.
    let uneven = facts(&[1, 4, 3, 2], Some(&[90.0, 270.0, 90.0, 270.0]), None);
    assert_eq!(unlikely(&uneven), None);
    // What counts is where a cylinder lies, not its number.
    let mut numbered = facts(&[1, 4, 3, 2], None, None);
    numbered.layout.banks[0].cylinders = vec![1, 2, 4, 3];
    assert_eq!(unlikely(&numbered), None);
}

#[test]
fn opposites_of_an_inline_six_add_up_to_seven() {
    // FAA-H-8083-32, ch. 1: 1-5-3-6-2-4; its opposites: check-values 1.3, confirmed by S7.
    assert_eq!(unlikely(&facts(&[1, 5, 3, 6, 2, 4], None, None)), None);
    assert_eq!(unlikely(&facts(&[1, 4, 2, 6, 3, 5], None, None)), None, "the other way round");
    let straight = facts(&[1, 2, 3, 4, 5, 6], None, None);
    let found = unlikely(&straight).unwrap();
    assert_eq!(found.rule, Rule::Mirrored { likely: vec![(1, 6), (2, 5), (3, 4)] });
    assert_eq!(found.opposites, [(1, 4), (2, 5), (3, 6)]);
    // Of threes, fives and eights nothing is said.
    for order in [&[1, 2, 3][..], &[1, 2, 3, 4, 5], &[1, 2, 3, 4, 5, 6, 7, 8]] {
        assert_eq!(unlikely(&facts(order, None, None)), None);
    }
}

#[test]
fn opposed_cylinders_that_face_each_other_are_opposites() {
    // FAA-H-8083-32, ch. 1: 1-3-2-4, 1-4-2-3, 1-4-5-2-3-6.
    for order in [&[1, 3, 2, 4][..], &[1, 4, 2, 3], &[1, 4, 5, 2, 3, 6]] {
        assert_eq!(unlikely(&opposed(order, None)), None, "{order:?}");
    }
    assert_eq!(
        warnings(&opposed(&[1, 2, 3, 4], None)),
        [
            "the firing order 1-2-3-4 is unlikely for an opposed engine: cylinders that face each other, \
          1-2, 3-4, fire a full turn apart. This leads to the opposites 1-3, 2-4. Compare it with the \
          manual."
        ]
    );
    // Of banks that are not equally long nobody knows who faces whom.
    let mut odd = opposed(&[1, 2, 3, 4], None);
    odd.layout.banks[0].cylinders = vec![1, 3, 4];
    odd.layout.banks[1].cylinders = vec![2];
    assert_eq!(unlikely(&odd), None);
}

#[test]
fn a_radial_of_one_row_fires_every_second_cylinder_in_its_running_direction() {
    // FAA-H-8083-32, ch. 1.
    for order in [&[1, 3, 5, 2, 4][..], &[1, 3, 5, 7, 2, 4, 6], &[7, 9, 2, 4, 6, 8, 1, 3, 5]] {
        assert_eq!(unlikely(&radial(order, None, None)), None, "{order:?}");
    }
    assert_eq!(
        warnings(&radial(&[1, 2, 3, 4, 5], None, None)),
        ["the firing order 1-2-3-4-5 is unlikely for a radial of one row: every second cylinder \
          fires, 1-3-5-2-4. This leads to no opposites. Compare it with the manual."]
    );
    // Numbered clockwise and turning the other way, the order runs the other way (derived).
    let mut left = radial(&[1, 4, 2, 5, 3], None, None);
    assert!(unlikely(&left).is_some());
    left.rotation = Some(propeller(End::Front, false, End::Rear));
    assert_eq!(unlikely(&left), None);
    left.rotation = Some(propeller(End::Front, true, End::Propeller));
    assert_eq!(unlikely(&left), None, "clockwise from the front is the other way from the rear");
    // Where the direction is not told, either will do.
    left.rotation = None;
    assert_eq!(unlikely(&left), None);
    assert_eq!(unlikely(&Facts { rotation: None, ..radial(&[1, 3, 5, 2, 4], None, None) }), None);
    assert!(unlikely(&Facts { rotation: None, ..radial(&[1, 2, 3, 4, 5], None, None) }).is_some());
}

#[test]
fn the_rows_of_a_radial_fire_in_turn_by_the_handbooks_steps() {
    // FAA-H-8083-32, ch. 1: 14 add 9 or subtract 5, 18 add 11 or subtract 7, from any number.
    for (count, add) in [(14, 9), (18, 11)] {
        let order = steps(count, add);
        for from in 0..order.len() {
            let mut order = order.clone();
            order.rotate_left(from);
            assert_eq!(unlikely(&two_rows(&order)), None, "{order:?}");
        }
        // Rows alternate, and yet the steps are not those.
        let other = two_rows(&steps(count, count - add));
        let found = unlikely(&other).unwrap();
        let Rule::Steps { add: on, subtract: back, likely } = &found.rule else {
            panic!("{found:?}")
        };
        assert_eq!((*on, *back, likely), (add, count - add, &order));
        assert_eq!(found.opposites.len(), usize::from(count) / 2);
        // They are, for an engine that turns the other way (derived).
        let turned = Some(propeller(End::Front, false, End::Rear));
        assert_eq!(unlikely(&Facts { rotation: turned, ..other.clone() }), None);
        assert_eq!(unlikely(&Facts { rotation: None, ..other }), None);
    }
    let mut order = steps(14, 9);
    order.swap(0, 1);
    assert_eq!(
        warnings(&two_rows(&order))[0].split(". ").next().unwrap(),
        "the firing order 10-1-5-14-9-4-13-8-3-12-7-2-11-6 is unlikely for a radial of two rows: \
         its rows fire in turn, but 1 and 5 are in the same row"
    );
    // Rows numbered in another way: only that they fire in turn can be said.
    let mut named = two_rows(&steps(14, 5));
    named.layout.banks[0].first_at = 10.0;
    assert_eq!(unlikely(&named), None);
}

#[test]
fn two_cylinders_fire_at_the_intervals_of_their_layout() {
    // Check-values 1.6: S12, S13, S14; a vee on one pin 360 less and 360 more its angle.
    for (angle, intervals) in [
        (45.0, [315.0, 405.0]),
        (60.0, [300.0, 420.0]),
        (75.0, [285.0, 435.0]),
        (90.0, [450.0, 270.0]),
    ] {
        assert_eq!(unlikely(&vee_twin(Some(angle), intervals)), None);
        // Intervals left out are even: the likeliest slip.
        assert!(unlikely(&vee_twin(Some(angle), [360.0, 360.0])).is_some());
        assert!(unlikely(&vee_twin(None, [360.0, 360.0])).is_some());
        assert_eq!(unlikely(&vee_twin(None, intervals)), None);
    }
    assert_eq!(
        warnings(&vee_twin(Some(90.0), [360.0, 360.0])),
        [
            "the firing intervals 360 and 360 are unlikely for a vee twin of 90° on one crank pin: it \
          fires at 270 and 450. This leads to the opposites 1-2. Compare it with the manual."
        ]
    );
    for intervals in
        [[360.0, 360.0], [180.0, 540.0], [540.0, 180.0], [270.0, 450.0], [285.0, 435.0]]
    {
        assert_eq!(unlikely(&facts(&[1, 2], Some(&intervals), None)), None, "{intervals:?}");
    }
    assert!(unlikely(&facts(&[1, 2], Some(&[315.0, 405.0]), None)).is_some());
    assert_eq!(unlikely(&opposed(&[1, 2], None)), None);
    // Of more cylinders two that fire together, or all but, are doubted; a vee six of 90 degrees is not.
    for (intervals, said) in [
        ([1.0, 1.0, 1.0, 717.0], "1, 1, 1, 717 are unlikely: 1 and 3 would fire 1° apart"),
        ([240.0, 0.0, 240.0, 240.0], "240, 0, 240, 240 are unlikely: 3 and 2 would fire 0° apart"),
    ] {
        let engine = facts(&[1, 3, 2, 4], Some(&intervals), None);
        assert!(warnings(&engine)[0].contains(said), "{:?}", warnings(&engine));
    }
    let vee_six = facts(&[1, 2, 3, 4, 5, 6], Some(&[90.0, 150.0, 90.0, 150.0, 90.0, 150.0]), None);
    assert_eq!(unlikely(&vee_six), None);
    let uneven = Facts { firing_intervals: vec![270.0, 450.0], ..opposed(&[1, 2], None) };
    assert!(unlikely(&uneven).is_some());
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]

    #[test]
    fn a_warning_of_any_order_is_plain_and_names_the_opposites(
        order in Just((1..=6u8).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        for engine in [facts(&order, None, None), opposed(&order, None), radial(&order, None, None)] {
            for words in warnings(&engine) {
                prop_assert!(words.contains("This leads to"), "{words}");
                prop_assert!(words.ends_with("Compare it with the manual."), "{words}");
            }
        }
    }
}

#[test]
fn beside_the_order_it_is_said_as_soon_as_it_is_told_how_the_cylinders_lie() {
    let text = text_of("inline-four");
    // The order that a textbook misprints (check-values S16), and the one of the profile.
    for (order, unlikely) in [("1 4 3 2", true), ("1 3 4 2", false), ("1 4 3", false)] {
        let mut form = form_live::opened(text);
        form.set("firing_order", order);
        // What is still to come changes nothing of it.
        form.set("valves.intake.target", "");
        let mut desk = form_live::desk(form);
        while desk.field().unwrap().path != "firing_order" {
            desk = desk.press(&Key::Down).0;
        }
        for (width, height) in [(60, 20), (80, 24), (160, 50)] {
            let shown = form_live::screen(&desk, width, height);
            let said = form_live::flat(&shown).contains("is unlikely for an inline four");
            assert_eq!(said, unlikely, "{order} {width}x{height}\n{shown}");
        }
    }
}
