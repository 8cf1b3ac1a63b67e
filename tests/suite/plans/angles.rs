//! Firing orders, opposites, timing: published values, each with its source beside it.

use super::engines::{facts, flat_six, timing};
use cowlside::domain::crank::{
    centre_of_overlap, compare, firing_angle, forward, margin, normal, opposite, overlap_angle,
    overlap_degrees, overlap_sign, phase,
};
use cowlside::domain::profile::{Facts, Sign, Timing};
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use std::cmp::Ordering;

/// Single-row radials fire odd cylinders in order, then the even ones (FAA-H-8083-32, ch. 1).
fn radial_order(n: u8) -> Vec<Cylinder> {
    (1..=n).step_by(2).chain((2..=n).step_by(2)).collect()
}

/// Two-row radials: add, or subtract, whichever stays in 1..n (FAA-H-8083-32, ch. 1).
fn two_row_order(n: u8, from: u8, add: u8, subtract: u8) -> Vec<Cylinder> {
    let next = |&c: &u8| Some(if c + add <= n { c + add } else { c - subtract });
    std::iter::successors(Some(from), next).take(n.into()).collect()
}

/// Timing used in the derived values of check-values: 15 BTDC, 45 ABDC, 45 BBDC, 15 ATDC.
const PLAIN: [f64; 4] = [15.0, 45.0, 45.0, 15.0];

fn close(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() < 1e-9
}

#[test]
fn single_row_radials_fire_odd_then_even() {
    // FAA-H-8083-32, ch. 1.
    assert_eq!(radial_order(5), [1, 3, 5, 2, 4]);
    assert_eq!(radial_order(7), [1, 3, 5, 7, 2, 4, 6]);
    assert_eq!(radial_order(9), [1, 3, 5, 7, 9, 2, 4, 6, 8]);
}

#[test]
fn two_row_radials_follow_add_or_subtract() {
    // 14: add 9 or subtract 5; worked step 8-3-12-7-2 (FAA-H-8083-32, ch. 1).
    assert_eq!(two_row_order(14, 8, 9, 5)[..5], [8, 3, 12, 7, 2]);
    // 18: add 11 or subtract 7 (FAA-H-8083-32, ch. 1); the whole list: check-values [S2].
    assert_eq!(
        two_row_order(18, 1, 11, 7),
        [1, 12, 5, 16, 9, 2, 13, 6, 17, 10, 3, 14, 7, 18, 11, 4, 15, 8]
    );
    for (n, add, subtract) in [(14, 9, 5), (18, 11, 7)] {
        for from in 1..=n {
            let order = two_row_order(n, from, add, subtract);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert_eq!(sorted, (1..=n).collect::<Vec<_>>(), "{n} from {from}");
            // Two cylinders of a row never fire in succession (FAA-H-8083-32, ch. 1).
            assert!(order.windows(2).all(|pair| pair[0] % 2 != pair[1] % 2), "{n} from {from}");
        }
    }
}

#[test]
fn opposites_are_the_published_pairs() {
    // Check-values 1.3: derived from orders of FAA-H-8083-32 ch. 1, [S4], [S8] and [S9].
    type Row<'a> = (&'a [Cylinder], &'a [(Cylinder, Cylinder)]);
    let rows: [Row<'_>; 14] = [
        (&[1, 3, 4, 2], &[(1, 4), (3, 2)]), // [S8], confirmed by [S6]
        (&[1, 2, 4, 3], &[(1, 4), (2, 3)]), // [S8]
        (&[1, 3, 2, 4], &[(1, 2), (3, 4)]), // FAA-H-8083-32, ch. 1 (opposed)
        (&[1, 4, 2, 3], &[(1, 2), (3, 4)]), // FAA-H-8083-32, ch. 1 (opposed)
        (&[1, 4, 5, 2, 3, 6], &[(1, 2), (3, 4), (5, 6)]), // FAA-H-8083-32, ch. 1 (opposed)
        (&[1, 5, 3, 6, 2, 4], &[(1, 6), (2, 5), (3, 4)]), // FAA-H-8083-32, ch. 1; confirmed by [S7]
        (&[1, 6, 5, 4, 3, 2], &[(1, 4), (2, 5), (3, 6)]), // [S9]
        (&[1, 4, 2, 5, 3, 6], &[(1, 5), (3, 4), (2, 6)]), // [S9]
        (&[1, 6, 2, 4, 3, 5], &[(1, 4), (3, 6), (2, 5)]), // 1 and 4: [S4]
        (&[1, 8, 4, 3, 6, 5, 7, 2], &[(1, 6), (5, 8), (4, 7), (2, 3)]), // [S9], 1 and 6: [S5]
        (&[1, 8, 7, 2, 6, 5, 4, 3], &[(1, 6), (5, 8), (4, 7), (2, 3)]), // [S9]
        (&[1, 3, 7, 2, 6, 5, 4, 8], &[(1, 6), (3, 5), (4, 7), (2, 8)]), // [S9]
        (&[1, 5, 4, 2, 6, 3, 7, 8], &[(1, 6), (3, 5), (4, 7), (2, 8)]), // [S9]
        // Radial 14: k and k+7 (derived from the rule of FAA-H-8083-32, ch. 1).
        (
            &two_row_order(14, 1, 9, 5),
            &[(1, 8), (2, 9), (3, 10), (4, 11), (5, 12), (6, 13), (7, 14)],
        ),
    ];
    for (order, pairs) in rows {
        let engine = facts(order, None, None);
        assert_eq!(pairs.len() * 2, order.len());
        for &(one, other) in pairs {
            assert_eq!(opposite(&engine, one), Some(other), "{order:?}: {one}");
            assert_eq!(opposite(&engine, other), Some(one), "{order:?}: {other}");
        }
    }
}

#[test]
fn a_twelve_cylinder_vee_pairs_within_its_banks() {
    // Order 1L-2R-5L-4R-3L-1R-6L-5R-2L-3R-4L-6R: from memory of the handbook's figure. L as 1..6, R as 7..12.
    let engine = facts(&[1, 8, 5, 10, 3, 7, 6, 11, 2, 9, 4, 12], None, None);
    for (one, other) in [(1, 6), (8, 11), (5, 2), (10, 9), (3, 4), (7, 12)] {
        assert_eq!(opposite(&engine, one), Some(other));
        assert_eq!(opposite(&engine, other), Some(one));
    }
}

#[test]
fn odd_counts_have_no_opposite_and_these_margins_beside_them() {
    // Check-values 1.5 (derived; timing 15/45/45/15): count, phase of the two nearest, worse margin.
    let rows = [(3, 120.0, 15.0), (5, 72.0, 63.0), (7, 360.0 / 7.0, 585.0 / 7.0), (9, 40.0, 95.0)];
    for (n, nearest, worse) in rows {
        let order = radial_order(n);
        let engine = facts(&order, None, Some(timing(PLAIN)));
        let watch = order[2];
        assert!(order.iter().all(|&c| opposite(&engine, c).is_none()), "{n}");
        let crank = overlap_angle(&engine, watch);
        let mut off: Vec<(f64, Cylinder)> = order
            .iter()
            .map(|&c| (phase(&engine, c, crank), c))
            .map(|(phase, c)| (phase.min(720.0 - phase), c))
            .collect();
        off.sort_by(|one, other| one.0.total_cmp(&other.0));
        for (away, cylinder) in &off[..2] {
            assert!(close(*away, nearest), "{n}: {away}");
            assert!(close(worst(&engine, *cylinder, crank), worse), "{n}");
        }
        assert!(off[2].0 > nearest + 1.0, "only two cylinders are nearest");
    }
    // Nine cylinders, No. 1 at overlap: No. 9 is 40° after, No. 2 is 40° before its firing dead centre.
    let nine = facts(&radial_order(9), None, Some(timing(PLAIN)));
    let crank = overlap_angle(&nine, 1);
    assert!(close(phase(&nine, 9, crank), 40.0));
    assert!(close(phase(&nine, 2, crank), 680.0));
}

fn worst(engine: &Facts, cylinder: Cylinder, crank: f64) -> f64 {
    let of = |kind| margin(engine, Valve::new(cylinder, kind), crank);
    of(Kind::Intake).min(of(Kind::Exhaust))
}

#[test]
fn uneven_twins_stand_where_their_intervals_put_them() {
    // Intervals: check-values [S12], 180-540 also [S13], 45° vee [S14]; phases and margins derived with
    // timing 15/45/45/15: No. 1 at overlap, where No. 2 is, and its smaller margin.
    let rows = [
        ([315.0, 405.0], 45.0, 90.0),   // 45° vee, one pin
        ([300.0, 420.0], 60.0, 75.0),   // 60° vee
        ([285.0, 435.0], 75.0, 60.0),   // 75° vee, 285° parallel twin
        ([270.0, 450.0], 90.0, 45.0),   // 90° vee, 270° parallel twin
        ([180.0, 540.0], 180.0, -45.0), // 180° parallel twin: the exhaust stands open
    ];
    for (intervals, second_at, margin) in rows {
        let twin = facts(&[1, 2], Some(&intervals), Some(timing(PLAIN)));
        assert!(close(intervals.iter().sum(), 720.0));
        let crank = overlap_angle(&twin, 1);
        assert!(close(phase(&twin, 2, crank), second_at), "{intervals:?}");
        assert!(close(worst(&twin, 2, crank), margin), "{intervals:?}");
        assert_eq!(opposite(&twin, 1), None);
    }
    // Flat twin and single-pin parallel twin: 360-360, check-values [S12].
    let flat = facts(&[1, 2], Some(&[360.0, 360.0]), None);
    assert_eq!(opposite(&flat, 1), Some(2));
    // 90° vee: from No. 1's compression dead centre 270° on to No. 2's (check-values [S15]).
    let vee = facts(&[1, 2], Some(&[270.0, 450.0]), None);
    assert!(close(forward(firing_angle(&vee, 1), firing_angle(&vee, 2)), 270.0));
}

#[test]
fn a_vee_eight_fires_every_ninety_degrees_and_a_four_every_half_turn() {
    // 90° steps: check-values [S5]; 180° steps with 1-3-4-2: check-values [S27].
    for (order, step) in [(vec![1, 8, 4, 3, 6, 5, 7, 2], 90.0), (vec![1, 3, 4, 2], 180.0)] {
        let engine = facts(&order, None, None);
        for (i, &cylinder) in order.iter().enumerate() {
            assert!(close(firing_angle(&engine, cylinder), step * i as f64));
        }
    }
}

#[test]
fn timing_without_overlap_shows_a_changeover() {
    // Early textbook timing, check-values [S50]; the gap of 5° is derived.
    let early = timing([-15.0, 35.0, 40.0, 10.0]);
    assert!(close(overlap_degrees(&early), -5.0));
    let engine = |timing| facts(&[1, 3, 4, 2], None, timing);
    assert_eq!(overlap_sign(&engine(Some(early))), Sign::Changeover);
    assert!(close(centre_of_overlap(&engine(Some(early))), 372.5));
    // An overlap of nothing is a changeover too; without timing the assumed one overlaps by 40°.
    assert_eq!(overlap_sign(&engine(Some(timing([-10.0, 35.0, 40.0, 10.0])))), Sign::Changeover);
    assert_eq!(overlap_sign(&engine(None)), Sign::Overlap);
    assert!(close(centre_of_overlap(&engine(None)), 360.0));
    // Ramps open both valves a little sooner and shut them a little later.
    let ramped = Timing { ramp: 8.0, ..early };
    assert_eq!(overlap_sign(&engine(Some(ramped))), Sign::Overlap);
}

#[test]
fn at_compression_dead_centre_ordinary_cams_are_far_from_moving() {
    // Check-values 2.7 (derived): closing 71 leaves 109°, 45/45 leaves 135°.
    let at_centre = |events| worst(&facts(&[1], None, Some(timing(events))), 1, 0.0);
    assert!(close(at_centre([28.0, 71.0, 60.0, 45.0]), 109.0));
    assert!(close(at_centre(PLAIN), 135.0));
}

#[test]
fn a_margin_is_negative_while_the_valve_is_open_and_zero_at_its_ends() {
    let engine = facts(&[1], None, Some(timing(PLAIN)));
    let exhaust = |crank| margin(&engine, Valve::new(1, Kind::Exhaust), crank);
    // Open from 135 to 375.
    for (crank, wanted) in [
        (134.0, 1.0),
        (135.0, 0.0),
        (137.0, -2.0),
        (255.0, -120.0),
        (370.0, -5.0),
        (375.0, 0.0),
        (377.0, 2.0),
        (615.0, 240.0),
        (719.0, 136.0),
    ] {
        assert!(close(exhaust(crank), wanted), "{crank}: {}", exhaust(crank));
    }
    assert!(exhaust(135.0).is_sign_positive());
}

#[test]
fn a_hair_of_rounding_is_neither_two_turns_nor_a_difference() {
    assert_eq!(normal(-1e-12), 0.0);
    assert_eq!(normal(720.0), 0.0);
    assert!(close(normal(-1.0), 719.0));
    assert_eq!(compare(95.0, 95.0009), Ordering::Equal);
    assert_eq!(compare(95.0, 95.0011), Ordering::Less);
    assert_eq!(compare(95.0011, 95.0), Ordering::Greater);
    // 0.1° off is still opposite, more is not.
    assert_eq!(opposite(&facts(&[1, 2], Some(&[360.0999, 359.9001]), None), 1), Some(2));
    assert_eq!(opposite(&facts(&[1, 2], Some(&[360.1001, 359.8999]), None), 1), None);
}

#[test]
fn the_flat_six_of_the_contract_stands_at_719_for_its_first_cylinder() {
    // Contract, section 3 (invented figures).
    let six = flat_six();
    assert!(close(centre_of_overlap(&six), 359.0));
    assert!(close(overlap_angle(&six, 2), 719.0));
    assert!(close(worst(&six, 1, 719.0), 113.0));
}

#[test]
fn a_stop_at_the_very_beginning_of_an_opening_offers_no_room_on_either_side() {
    // Found by random engines: with no margin asked for, the exhaust of 1 begins to open just here.
    let mut uneven = facts(&[1, 2], Some(&[480.0, 240.0]), Some(timing([21.0, 10.0, 45.0, 49.0])));
    uneven.timing.as_mut().unwrap().ramp = 1.0;
    let choice = cowlside::domain::plan::PlanChoice {
        margin: Some(0.0),
        ..cowlside::domain::plan::PlanChoice::default()
    };
    let plan = cowlside::domain::plan::plan(&super::engines::checked(uneven), &choice).unwrap();
    let stop = &plan.stops[0];
    assert_eq!((stop.crank, stop.margin), (Some(134.0), Some(0.0)));
    assert_eq!((stop.short_by, stop.past_by), (Some(0.0), Some(0.0)));
}
