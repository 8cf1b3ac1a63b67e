//! Plans that books and the contract tell, each with its source; tables as written; refusals.

use super::engines::{checked, facts, flat_six, opposed, radial, timing};
use super::model::Model;
use cowlside::domain::plan::{
    Approach, CAM_RING_CAVEAT, Plan, PlanChoice, PlanRefusal, TimingFrom, plan,
};
use cowlside::domain::profile::{CamRing, Facts, Sign, TableStop, Timing};
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use cowlside::report::plan_sheet::plan_json;
use serde_json::{Value, json};

fn planned(facts: Facts) -> Plan {
    plan(&checked(facts), &PlanChoice::default()).expect("a plan can be made")
}

fn refused(facts: Facts, choice: PlanChoice) -> PlanRefusal {
    plan(&checked(facts), &choice).expect_err("no plan can be made")
}

/// Gauged cylinder, watched cylinder, then turned, degrees turned from the stop before.
fn steps(plan: &Plan) -> Vec<(Cylinder, Cylinder, u16, f64)> {
    let step = plan.stops.iter().map(|stop| {
        let turn = (stop.turn.unwrap() * 1e6).round() / 1e6;
        (stop.gauge[0].valve.cylinder, stop.watch, stop.then_turn, turn)
    });
    step.collect()
}

/// Timing of check-values' derived margins: 15 BTDC, 45 ABDC, 45 BBDC, 15 ATDC.
fn plain() -> Option<Timing> {
    Some(timing([15.0, 45.0, 45.0, 15.0]))
}

#[test]
fn the_flat_six_of_the_contract_comes_out_exactly() {
    // Contract, section 3: the document shown there, with its five other stops worked out by hand.
    let document = plan_json(&flat_six(), &planned(flat_six()));
    let stop = |number: u32, turn: f64, crank: f64, watch: u8, gauge: u8| {
        json!({ "stop": number, "turn": turn, "crank": crank,
            "watch": { "cylinder": watch, "sign": "overlap" }, "then_turn": 0,
            "gauge": [ { "cylinder": gauge, "valve": "intake", "number": 1, "margin": 113.0 },
                       { "cylinder": gauge, "valve": "exhaust", "number": 1, "margin": 113.0 } ],
            "margin": 113.0, "unload": [] })
    };
    let wanted = json!({
        "profile": "Flat six, screw adjusters",
        "timing": "profile",
        "stops": [
            stop(1, 0.0, 719.0, 2, 1), stop(2, 120.0, 119.0, 3, 4), stop(3, 120.0, 239.0, 6, 5),
            stop(4, 120.0, 359.0, 1, 2), stop(5, 120.0, 479.0, 4, 3), stop(6, 120.0, 599.0, 5, 6)
        ],
        "turned": 600.0,
        "side_changes": 6
    });
    assert_eq!(document, wanted);
}

#[test]
fn the_tolerance_stops_fifteen_degrees_before_the_next_event() {
    // Contract, section 3: 113° to the event on either side, less 15°.
    let plan = planned(flat_six());
    let offered: Vec<_> = plan.stops.iter().map(|stop| (stop.short_by, stop.past_by)).collect();
    assert_eq!(offered, [(Some(98.0), Some(98.0)); 6]);
    let untimed = Facts { timing: None, ..flat_six() };
    assert!(planned(untimed).stops.iter().all(|s| s.short_by.is_none() && s.past_by.is_none()));
}

#[test]
fn the_plan_begins_where_it_is_asked_to() {
    let choice = PlanChoice { from: Some(2), ..PlanChoice::default() };
    let plan = plan(&checked(flat_six()), &choice).unwrap();
    let gauged: Vec<_> = steps(&plan).iter().map(|step| step.0).collect();
    assert_eq!(gauged, [2, 3, 6, 1, 4, 5]);
    assert_eq!(steps(&plan)[0].3, 0.0);
}

#[test]
fn one_cylinder_at_a_time_goes_as_the_books_have_it() {
    // Check-values 3.2: inline six [S7], inline four [S6] and with 180° steps [S27], vee eight with 90°
    // steps [S5]: firing order, each cylinder when its opposite is at overlap.
    let rows: [(&[u8], &[u8], f64); 3] = [
        (&[1, 5, 3, 6, 2, 4], &[6, 2, 4, 1, 5, 3], 120.0),
        (&[1, 3, 4, 2], &[4, 2, 1, 3], 180.0),
        (&[1, 8, 4, 3, 6, 5, 7, 2], &[6, 5, 7, 2, 1, 8, 4, 3], 90.0),
    ];
    for (order, watched, step) in rows {
        let wanted: Vec<_> = order
            .iter()
            .zip(watched)
            .enumerate()
            .map(|(i, (&gauged, &watch))| (gauged, watch, 0, if i == 0 { 0.0 } else { step }))
            .collect();
        assert_eq!(steps(&planned(facts(order, None, None))), wanted);
    }
}

#[test]
fn a_flat_four_numbered_from_side_to_side_is_gauged_across_the_crank() {
    // Common practice, no source: firing 1-3-2-4, cylinder 1 is gauged with 2 at overlap, 4 with 3.
    let plan = planned(opposed(&[1, 3, 2, 4], None));
    let watched: Vec<_> = steps(&plan).iter().map(|&(gauged, watch, ..)| (gauged, watch)).collect();
    assert_eq!(watched, [(1, 2), (3, 4), (2, 1), (4, 3)]);
    assert_eq!(plan.timing, TimingFrom::Assumed);
}

#[test]
fn without_a_sound_neighbour_a_cylinder_is_gauged_a_turn_after_its_own_overlap() {
    // TM 5-4310-386-14, para 5-41: own overlap, turn on 360°, gauge the same cylinder.
    // Three cylinders: a neighbour's margin would be 15° (check-values 1.5, timing 15/45/45/15).
    let three = planned(facts(&[1, 2, 3], None, plain()));
    let own = [(1, 1, 360, 0.0), (2, 2, 360, 240.0), (3, 3, 360, 240.0)];
    assert_eq!(steps(&three), own);
    assert_eq!(three.stops[0].crank, Some(0.0));
    assert_eq!(three.stops[0].margin, Some(135.0));
    // That way the crank turns 270° from one to the other of a 90° vee twin (check-values [S15]).
    let twin = planned(facts(&[1, 2], Some(&[270.0, 450.0]), None));
    assert_eq!(steps(&twin), [(1, 1, 360, 0.0), (2, 2, 360, 270.0)]);
    // One cylinder alone.
    assert_eq!(steps(&planned(facts(&[1], None, None))), [(1, 1, 360, 0.0)]);
}

#[test]
fn a_nine_cylinder_radial_watches_the_neighbour_that_leaves_it_before_dead_centre() {
    // Check-values 1.5 (derived): with No. 1 at overlap, No. 2 is 40° before its firing dead centre
    // and No. 9 40° after; both have 95°. The contract takes the one before.
    let order = [1, 3, 5, 7, 9, 2, 4, 6, 8];
    let nine = planned(radial(&order, plain(), Some(CamRing::Fixed)));
    let two = nine.stops.iter().find(|stop| stop.gauge[0].valve.cylinder == 2).unwrap();
    assert_eq!((two.watch, two.then_turn, two.crank), (1, 0, Some(360.0)));
    assert!(nine.stops.iter().all(|stop| (stop.margin.unwrap() - 95.0).abs() < 1e-9));
    assert_eq!(nine.side_changes, 0);
    assert!((nine.turned.unwrap() - 640.0).abs() < 1e-9);
    // Asked for more than the neighbours have, it goes by its own overlap (135° at dead centre).
    let choice = PlanChoice { margin: Some(96.0), ..PlanChoice::default() };
    let own = plan(&checked(radial(&order, plain(), Some(CamRing::Fixed))), &choice).unwrap();
    assert!(own.stops.iter().all(|s| s.then_turn == 360 && s.watch == s.gauge[0].valve.cylinder));
}

#[test]
fn only_a_radial_of_unknown_cam_ring_carries_the_caveat() {
    let order = [1, 3, 5, 2, 4];
    let caveat = |cam_ring| planned(radial(&order, plain(), cam_ring)).caveat;
    assert_eq!(caveat(None), Some(CAM_RING_CAVEAT));
    assert_eq!(caveat(Some(CamRing::Fixed)), None);
    assert_eq!(planned(facts(&order, None, plain())).caveat, None);
    let document =
        plan_json(&radial(&order, plain(), None), &planned(radial(&order, plain(), None)));
    assert_eq!(document["caveat"], CAM_RING_CAVEAT);
}

#[test]
fn timing_without_overlap_is_watched_at_its_changeover() {
    // Early textbook timing, check-values [S50].
    let early = planned(facts(&[1, 3, 4, 2], None, Some(timing([-15.0, 35.0, 40.0, 10.0]))));
    assert!(early.stops.iter().all(|stop| stop.sign == Sign::Changeover));
    assert_eq!(early.stops[0].crank, Some(12.5));
}

#[test]
fn a_plan_that_comes_too_near_an_opening_is_refused_with_the_worst_valve() {
    let choice = PlanChoice { margin: Some(120.0), ..PlanChoice::default() };
    let refusal = refused(flat_six(), choice);
    let valve = Valve::new(1, Kind::Intake);
    assert_eq!(
        refusal,
        PlanRefusal::BelowMargin { valve, stop: 1, watch: 2, margin: 113.0, required: 120.0 }
    );
    assert_eq!(
        refusal.to_string(),
        "1 intake has a margin of 113° at stop 1 (watching cylinder 2), but 120° is required"
    );
    assert!(refusal.hint().contains("`--margin 113`"), "{}", refusal.hint());
    // No cam of the trade is so wide that the exhaust is open there; the words must be right all the same.
    let valve = Valve::new(1, Kind::Exhaust);
    let refusal =
        PlanRefusal::BelowMargin { valve, stop: 1, watch: 2, margin: -10.0, required: 30.0 };
    assert_eq!(
        refusal.to_string(),
        "1 exhaust stands open, 10° from shut at stop 1 (watching cylinder 2), but 30° is required"
    );
    assert!(!refusal.hint().contains("--margin"));
}

#[test]
fn what_cannot_be_asked_for_is_refused_with_a_way_on() {
    let from = PlanChoice { from: Some(7), ..PlanChoice::default() };
    assert_eq!(
        refused(flat_six(), from),
        PlanRefusal::NoSuchCylinder { cylinder: 7, cylinders: 6 }
    );
    for margin in [-1.0, 361.0, f64::NAN] {
        let choice = PlanChoice { margin: Some(margin), ..PlanChoice::default() };
        assert!(matches!(refused(flat_six(), choice), PlanRefusal::MarginOutOfRange { .. }));
    }
}

/// One stop of a table.
fn table_stop(watch: Cylinder, sign: Sign, then_turn: u16, gauge: Vec<Valve>) -> TableStop {
    TableStop { watch, sign, then_turn, unload: vec![], gauge, say: None }
}

/// The valves of two lists of cylinders: intakes, exhausts.
fn sets(intakes: &[Cylinder], exhausts: &[Cylinder]) -> Vec<Valve> {
    let of = |kind| move |&cylinder: &Cylinder| Valve::new(cylinder, kind);
    intakes.iter().map(of(Kind::Intake)).chain(exhausts.iter().map(of(Kind::Exhaust))).collect()
}

#[test]
fn published_two_stop_tables_hold_with_the_margins_worked_out_for_them() {
    // Check-values 3.1, with No. 1 at its firing dead centre and one turn later; worst margins 3.3
    // and 3.4 (derived, timing 15/45/45/15). Four: TM 5-3805-258-24-1 p. 4-28. Six: [S63]. Eights:
    // [S64]; 1-8-4-3-6-5-7-2 from memory. "Four or three", TM 9-6115-670-14&P [S35], whose page does
    // not tell the order: it fits 1-2-4-3 and a three that fires 1-2-3 (derived).
    type Sets<'a> = (&'a [u8], &'a [u8]);
    let rows: [(&[u8], Sets, Sets, f64); 6] = [
        (&[1, 3, 4, 2], (&[1, 2], &[1, 3]), (&[3, 4], &[2, 4]), 135.0),
        (&[1, 2, 4, 3], (&[1, 3], &[1, 2]), (&[2, 4], &[3, 4]), 135.0),
        (&[1, 2, 3], (&[1, 3], &[1, 2]), (&[2], &[3]), 105.0),
        (&[1, 5, 3, 6, 2, 4], (&[1, 2, 4], &[1, 3, 5]), (&[3, 5, 6], &[2, 4, 6]), 105.0),
        (
            &[1, 8, 7, 2, 6, 5, 4, 3],
            (&[1, 3, 4, 5], &[1, 2, 7, 8]),
            (&[2, 6, 7, 8], &[3, 4, 5, 6]),
            75.0,
        ),
        (
            &[1, 8, 4, 3, 6, 5, 7, 2],
            (&[1, 2, 5, 7], &[1, 3, 4, 8]),
            (&[3, 4, 6, 8], &[2, 5, 6, 7]),
            75.0,
        ),
    ];
    for (order, first, second, worst) in rows {
        let stops = vec![
            table_stop(1, Sign::Overlap, 360, sets(first.0, first.1)),
            table_stop(1, Sign::Overlap, 0, sets(second.0, second.1)),
        ];
        let engine = Facts { stops: Some(stops), ..facts(order, None, plain()) };
        let model = Model::of(&engine);
        let table = planned(engine);
        assert_eq!(table.timing, TimingFrom::Table);
        assert_eq!(table.turned, Some(360.0));
        let least = table.stops.iter().map(|s| s.margin.unwrap()).fold(f64::MAX, f64::min);
        assert!((least - worst).abs() < 1e-9, "{order:?}: {least}");
        for stop in &table.stops {
            for gauge in &stop.gauge {
                let margin = model.margin(gauge.valve, stop.crank.unwrap());
                assert!(
                    (margin - gauge.margin.unwrap()).abs() < 1e-9,
                    "{order:?}: {}",
                    gauge.valve
                );
            }
        }
    }
}

#[test]
fn three_positions_of_a_vee_six_show_every_valve_shut() {
    // Check-values 3.1, [S26]: No. 1 at its firing dead centre, 240° on No. 3, 240° on No. 5; the order
    // 1-2-3-4-5-6 is inferred. Which valves are gauged where is not printed: each has 135° at its
    // best (derived, timing 15/45/45/15).
    let six = facts(&[1, 2, 3, 4, 5, 6], None, plain());
    let model = Model::of(&six);
    let positions = [0.0, 240.0, 480.0];
    for (cylinder, at) in [1, 3, 5].into_iter().zip(positions) {
        let over_centre = model.overlap_at(cylinder) - 360.0;
        assert!((over_centre.rem_euclid(720.0) - at).abs() < 1e-9, "{cylinder}");
    }
    let best =
        |valve| positions.map(|at| model.margin(valve, at)).into_iter().fold(-720.0, f64::max);
    let worst = six.valves().into_iter().map(best).fold(720.0, f64::min);
    assert!((worst - 135.0).abs() < 1e-9, "{worst}");
}

#[test]
fn a_table_that_gauges_an_open_valve_is_refused() {
    // The damaged table of check-values 3.6 has the cylinder sets changed about: "1,3 / 1,2".
    let stops = vec![
        table_stop(4, Sign::Overlap, 0, sets(&[1, 3], &[1, 2])),
        table_stop(1, Sign::Overlap, 0, sets(&[2, 4], &[3, 4])),
    ];
    let engine = Facts { stops: Some(stops), ..facts(&[1, 3, 4, 2], None, plain()) };
    let refusal = refused(engine, PlanChoice::default());
    // No. 3 is at phase 540, wide open: 45° before its intake shuts.
    let valve = Valve::new(3, Kind::Intake);
    assert_eq!(refusal, PlanRefusal::OpenInTable { valve, stop: 1, open_by: 45.0 });
}

/// A nine with a floating ring; the table is invented.
fn floating(timing: Option<Timing>) -> Facts {
    let order = [1, 3, 5, 7, 9, 2, 4, 6, 8];
    let both = |c| sets(&[c], &[c]);
    let mut stops: Vec<TableStop> =
        order.iter().map(|&c| table_stop(c, Sign::Overlap, 360, both(c))).collect();
    stops[0].unload = vec![Valve::new(8, Kind::Intake)];
    stops[0].say = Some("press the rocker of 8 down".into());
    stops[1].sign = Sign::Mark;
    stops[1].say = Some("the mark at the split line".into());
    stops[1].then_turn = 0;
    stops[2].sign = Sign::IntakeCloses;
    stops[2].then_turn = 0;
    Facts { stops: Some(stops), ..radial(&order, timing, Some(CamRing::Floating)) }
}

#[test]
fn a_table_without_timing_stands_as_written_and_claims_nothing() {
    let table = planned(floating(None));
    assert_eq!(table.timing, TimingFrom::Table);
    assert_eq!(table.caveat, None);
    let cranks: Vec<_> = table.stops[..4].iter().map(|stop| stop.crank).collect();
    // Overlap of 1 and a turn; a mark; an event without timing; overlap of 7, firing at 240, and a turn.
    assert_eq!(cranks, [Some(0.0), None, None, Some(240.0)]);
    let turns: Vec<_> = table.stops[..5].iter().map(|stop| stop.turn).collect();
    assert_eq!(turns, [Some(0.0), None, None, None, Some(80.0)]);
    assert_eq!(table.turned, None);
    assert!(table.stops.iter().all(|stop| stop.margin.is_none() && stop.short_by.is_none()));
    let document = plan_json(&floating(None), &table);
    let first = &document["stops"][0];
    assert_eq!(document["timing"], "table");
    assert_eq!(document["turned"], Value::Null);
    assert_eq!(first["unload"], json!([{ "cylinder": 8, "valve": "intake", "number": 1 }]));
    assert_eq!(first["gauge"][0]["margin"], Value::Null);
    assert_eq!(first["say"], "press the rocker of 8 down");
    assert_eq!(document["stops"][1]["watch"], json!({ "cylinder": 3, "sign": "mark" }));
    assert_eq!(document["stops"][2]["watch"]["sign"], "intake closes");
}

#[test]
fn a_table_with_timing_gets_the_angle_of_a_valve_event() {
    let table = planned(floating(plain()));
    // No. 5 fires at 160; its intake shuts 585° later.
    assert_eq!(table.stops[2].crank, Some(25.0));
    assert_eq!(table.stops[2].margin, Some(0.0));
    assert_eq!(table.stops[1].margin, None);
    // On a floating ring the place itself settles the ring: nothing beside it is offered.
    assert!(table.stops.iter().all(|stop| stop.short_by.is_none()));
}

#[test]
fn a_floating_ring_is_never_computed_and_a_table_never_rearranged() {
    let without = Facts { stops: None, ..floating(plain()) };
    // A checked profile cannot be so; should one come about, there is still no plan.
    if let Ok(profile) = cowlside::domain::profile::EngineProfile::new(without) {
        assert_eq!(plan(&profile, &PlanChoice::default()), Err(PlanRefusal::TableMissing));
    }
    for choice in [
        PlanChoice { from: Some(1), ..PlanChoice::default() },
        PlanChoice { margin: Some(10.0), ..PlanChoice::default() },
    ] {
        assert_eq!(refused(floating(None), choice), PlanRefusal::TableIsFixed);
    }
}

#[test]
fn a_stop_is_reached_by_its_sign_or_by_turning_on_but_never_by_a_mixture() {
    let three = planned(facts(&[1, 2, 3], None, plain()));
    let second = &three.stops[1];
    // From the first stop (0) on by 240: its overlap, at 600, lies behind.
    assert_eq!(second.turn_from(Some(0.0)), Some(240.0));
    assert_eq!(
        second.approach(Some(0.0)),
        Approach::TurnOn { turn: 240.0, long_way_to_sign: 600.0 }
    );
    // From 500 the overlap comes after 100; a turn later the crank is there.
    assert_eq!(second.approach(Some(500.0)), Approach::SeeSign { turn: Some(100.0) });
    // Standing at the very overlap: it is seen here and now.
    assert_eq!(second.approach(Some(600.0)), Approach::SeeSign { turn: Some(0.0) });
    assert_eq!(second.approach(None), Approach::SeeSign { turn: None });
    assert_eq!(second.turn_from(None), None);
    // Where nothing is turned after the sign, the sign is where the crank comes to stand.
    let six = planned(flat_six());
    assert_eq!(six.stops[1].approach(Some(719.0)), Approach::SeeSign { turn: Some(120.0) });
    assert_eq!(six.stops[0].approach(Some(719.0)), Approach::SeeSign { turn: Some(0.0) });
}
