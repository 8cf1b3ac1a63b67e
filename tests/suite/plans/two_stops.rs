//! Few stops against the published tables "two crank positions set every valve", and the margins
//! worked out for them.

use super::engines::{checked, facts, timing};
use cowlside::domain::plan::{Plan, PlanChoice, plan};
use cowlside::domain::valve::{Cylinder, Kind};

/// Opening 15 before, closing 45 after, opening 45 before, closing 15 after: the timing with which
/// check-values 3.3 and 3.4 work out their margins.
const TIMING: [f64; 4] = [15.0, 45.0, 45.0, 15.0];

fn few(order: &[Cylinder]) -> Plan {
    let choice = PlanChoice { few_stops: true, ..PlanChoice::default() };
    plan(&checked(facts(order, None, Some(timing(TIMING)))), &choice).unwrap()
}

fn gauged(plan: &Plan, stop: usize, kind: Kind) -> Vec<Cylinder> {
    let of = plan.stops[stop].gauge.iter().filter(|gauge| gauge.valve.kind == kind);
    let mut cylinders: Vec<Cylinder> = of.map(|gauge| gauge.valve.cylinder).collect();
    cylinders.sort_unstable();
    cylinders
}

fn worst(plan: &Plan) -> f64 {
    plan.stops.iter().filter_map(|stop| stop.margin).fold(f64::MAX, f64::min)
}

#[test]
fn the_published_tables_of_two_positions_come_out_as_printed() {
    // Firing order; intakes and exhausts at No. 1 firing top dead centre; the same one turn later.
    type Row<'a> = (&'a [Cylinder], [&'a [Cylinder]; 4]);
    let rows: [Row<'_>; 3] = [
        // TM 5-3805-258-24-1, page 4-28 (check-values 3.1, S62).
        (&[1, 3, 4, 2], [&[1, 2], &[1, 3], &[3, 4], &[2, 4]]),
        // Six-cylinder manuals, "Nos. 1, 3, and 5 exhaust valves and Nos. 1, 2, and 4 intake
        // valves" (check-values 3.1, S63).
        (&[1, 5, 3, 6, 2, 4], [&[1, 2, 4], &[1, 3, 5], &[3, 5, 6], &[2, 4, 6]]),
        // "exhaust valve rocker arm bolts 1, 2, 7, and 8" (check-values 3.1, S64).
        (&[1, 8, 7, 2, 6, 5, 4, 3], [&[1, 3, 4, 5], &[1, 2, 7, 8], &[2, 6, 7, 8], &[3, 4, 5, 6]]),
    ];
    for (order, [intakes, exhausts, later_intakes, later_exhausts]) in rows {
        let plan = few(order);
        assert_eq!(plan.stops.len(), 2, "{order:?}");
        assert_eq!(plan.stops[0].crank, Some(0.0), "{order:?}: No. 1 at its firing dead centre");
        assert_eq!(plan.stops[1].turn, Some(360.0));
        assert_eq!(gauged(&plan, 0, Kind::Intake), intakes, "{order:?}");
        assert_eq!(gauged(&plan, 0, Kind::Exhaust), exhausts, "{order:?}");
        assert_eq!(gauged(&plan, 1, Kind::Intake), later_intakes, "{order:?}");
        assert_eq!(gauged(&plan, 1, Kind::Exhaust), later_exhausts, "{order:?}");
    }
}

#[test]
fn two_stops_keep_the_worst_margins_that_were_worked_out() {
    // Check-values 3.4 (derived): inline 3 105°, 5 63°, 7 and 14 83.6°, 9 and 18 65°, opposed 4
    // 135°, opposed 6 105°, V-8 75°.
    let radial = |cylinders: u8| -> Vec<Cylinder> {
        (1..=cylinders).step_by(2).chain((2..=cylinders).step_by(2)).collect()
    };
    let rows = |cylinders: u8, on: u8| -> Vec<Cylinder> {
        (0..cylinders).map(|place| (place * on) % cylinders + 1).collect()
    };
    for (order, margin) in [
        (vec![1, 2, 3], 105.0),
        (vec![1, 2, 4, 5, 3], 63.0),
        (radial(5), 63.0),
        (radial(7), 83.57),
        (rows(14, 9), 83.57),
        (radial(9), 65.0),
        (rows(18, 11), 65.0),
        (vec![1, 3, 2, 4], 135.0),
        (vec![1, 4, 5, 2, 3, 6], 105.0),
        (vec![1, 8, 4, 3, 6, 5, 7, 2], 75.0),
    ] {
        let plan = few(&order);
        assert_eq!(plan.stops.len(), 2, "{order:?}");
        assert!((worst(&plan) - margin).abs() < 0.01, "{order:?}: {}", worst(&plan));
    }
}
