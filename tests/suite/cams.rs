//! What cams come to: published timings, what can be gauged at a position, and pairs of valves.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use crate::plans::engines::{bank, checked, facts, opposed, radial, timing};
use crate::plans::model::Model;
use crate::plans::random::engines_of;
use cowlside::domain::cams::{
    PairRule, caveat, least_margin, pair_rules, positions, spans, without_ramps,
};
use cowlside::domain::crank::{Opening, firing_angle, forward, margin, timing as timing_of};
use cowlside::domain::plan::stood_at;
use cowlside::domain::profile::{CamRing, Facts, Sign, Timing};
use cowlside::domain::valve::{Cylinder, Kind, Valve};
use cowlside::report::cams_sheet::facts_json;
use cowlside::report::profile_sheet::sheet;
use proptest::prelude::*;

/// Timing of check-values' derived margins.
const PLAIN: [f64; 4] = [15.0, 45.0, 45.0, 15.0];

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-9
}

fn kinds(along: &str) -> Vec<Kind> {
    let kind = |letter| if letter == 'E' { Kind::Exhaust } else { Kind::Intake };
    along.chars().filter(|letter| *letter != ' ').map(kind).collect()
}

/// An inline engine with its valves along the head.
fn inline(order: &[Cylinder], along: &str) -> Facts {
    let mut engine = facts(order, None, Some(timing(PLAIN)));
    engine.layout.banks[0].valves_along = Some(kinds(along));
    engine
}

/// No pairs.
const NONE: [usize; 0] = [];

fn sums(engine: &Facts) -> Vec<usize> {
    pair_rules(engine).iter().map(|rule| rule.sum).collect()
}

#[test]
fn published_timings_come_to_the_published_spans() {
    // Check-values 2.8. TM 9-8000, fig. 2-54 and 2-55: intake open 279°, overlap 73°; intake closing
    // 71 ABDC derived; no exhaust opening is given, 60 BBDC stands in and touches neither.
    let book = spans(&timing([28.0, 71.0, 60.0, 45.0]));
    assert!(near(book.intake, 279.0) && near(book.overlap, 73.0));
    // S46, with its answer: both shut 295° of 720, 40.97 %.
    let diesel = spans(&timing([10.0, 40.0, 25.0, 15.0]));
    assert!(near(diesel.both_shut, 295.0));
    assert_eq!(format!("{:.2}", diesel.both_shut_percent()), "40.97");
    // S47, results derived: overlap 32, intake 231, exhaust 236.
    let injected = spans(&timing([16.0, 35.0, 40.0, 16.0]));
    let of = (injected.overlap, injected.intake, injected.exhaust);
    assert!(near(of.0, 32.0) && near(of.1, 231.0) && near(of.2, 236.0), "{of:?}");
    // FAA question, from memory; derived agrees: both seated 245°.
    assert!(near(spans(&timing([15.0, 45.0, 70.0, 10.0])).both_shut, 245.0));
    // S32, answer derived: from the spark at 28 BTDC on to the intake's opening at 15 BTDC 373°.
    let opens = Opening::of(&timing([15.0, 45.0, 70.0, 10.0]), Kind::Intake).opens;
    assert!(near(forward(-28.0, opens), 373.0));
    // S50, early textbook timing: no overlap; the gap of 5° is derived. It belongs to what is shut.
    let early = spans(&timing([-15.0, 35.0, 40.0, 10.0]));
    assert!(near(early.overlap, -5.0) && near(early.both_shut, 720.0 - 200.0 - 230.0));
}

#[test]
fn ramps_lengthen_each_opening_at_both_ends_and_can_be_left_out() {
    let ramped = Timing { ramp: 8.0, ..timing(PLAIN) };
    let (with, alone) = (spans(&ramped), spans(&without_ramps(&ramped)));
    assert!(near(with.intake, alone.intake + 16.0) && near(with.exhaust, alone.exhaust + 16.0));
    assert!(
        near(with.overlap, alone.overlap + 16.0) && near(with.both_shut, alone.both_shut - 16.0)
    );
    assert_eq!(alone, spans(&timing(PLAIN)));
    // Openings so long that they meet once more leave nothing, and never less.
    let endless = spans(&timing([180.0, 180.0, 180.0, 180.0]));
    assert!(near(endless.both_shut, 0.0), "{endless:?}");
}

#[test]
fn without_overlap_the_word_is_changeover() {
    // Check-values 2.8, S50 and its test: where there is none, "rocking" and "overlap" must not be said.
    let early = facts(&[1, 3, 4, 2], None, Some(timing([-15.0, 35.0, 40.0, 10.0])));
    let text = sheet("early", &checked(early.clone()));
    for word in ["overlap", "rock"] {
        assert!(!text.to_lowercase().contains(word), "{word}\n{text}");
    }
    for words in [
        "both open:      never: the exhaust shuts 5° before the intake opens",
        "With this cylinder at changeover (exhaust just shut, intake about to open)",
        "at changeover  intakes",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let document = facts_json("early", &early);
    assert_eq!(
        (&document["sign"], &document["spans"]["overlap"]),
        (&"changeover".into(), &(-5.0).into())
    );
    // Shutting and opening at once is none either.
    let at_once = sheet("x", &checked(facts(&[1], None, Some(timing([-10.0, 35.0, 40.0, 10.0])))));
    assert!(at_once.contains("never: the exhaust shuts as the intake opens"), "{at_once}");
}

#[test]
fn what_can_be_gauged_is_what_published_tables_have_and_all_that_is_safe() {
    // TM 5-3805-258-24-1, p. 4-28 (check-values 3.1): No. 4 at overlap: intakes 1, 2, exhausts 1, 3.
    let four = facts(&[1, 3, 4, 2], None, Some(timing(PLAIN)));
    let all = positions(&four, least_margin(&four)).unwrap();
    let of = |watch, then_turn, kind| {
        let at = all.iter().find(|p| (p.watch, p.then_turn) == (watch, then_turn)).unwrap();
        let of = at.gauge.iter().filter(|(valve, _)| valve.kind == kind);
        of.map(|(valve, _)| valve.cylinder).collect::<Vec<_>>()
    };
    for (watch, then_turn) in [(4, 0), (1, 360)] {
        assert_eq!(of(watch, then_turn, Kind::Intake), [1, 2]);
        assert_eq!(of(watch, then_turn, Kind::Exhaust), [1, 3]);
    }
    assert_eq!(all.len(), 8);
    assert_eq!(least_margin(&four), 30.0);
    // Without timing the assumed one counts, and more is asked for (contract, section 3).
    let untold = Facts { timing: None, ..four };
    assert_eq!(least_margin(&untold), 60.0);
    assert!(sheet("x", &checked(untold.clone())).contains("at least 60° from moving"));
    assert_eq!(facts_json("x", &untold)["timing"], "assumed");
    // A floating ring is never computed, and a manual's table never replaced.
    let floating = radial(&[1, 3, 5, 2, 4], None, Some(CamRing::Floating));
    assert_eq!((positions(&floating, 30.0), caveat(&floating)), (None, None));
    let untold = radial(&[1, 3, 5, 2, 4], None, None);
    assert!(positions(&untold, 30.0).is_some() && caveat(&untold).is_some());
}

proptest! {
    #![proptest_config(crate::seeded::config(300))]

    #[test]
    fn each_position_lists_exactly_the_valves_that_the_model_has_shut(engine in engines_of(1..=12)) {
        let model = Model::of(&engine);
        let least = least_margin(&engine);
        for position in positions(&engine, least).unwrap() {
            for valve in engine.valves() {
                let wanted = model.margin(valve, position.crank);
                let told = position.gauge.iter().find(|(other, _)| *other == valve);
                match told {
                    Some((_, margin)) => prop_assert!((margin - wanted).abs() < 1e-6, "{valve}"),
                    None => prop_assert!(wanted < least, "{valve} has {wanted}"),
                }
            }
        }
        // Events stand at whole degrees, so that counting half degrees is exact.
        let (intake, exhaust) = (Valve::new(1, Kind::Intake), Valve::new(1, Kind::Exhaust));
        let phase = |degree: u16| firing_angle(&engine, 1) + f64::from(degree) + 0.5;
        let shut = |crank| model.margin(intake, crank) > 0.0 && model.margin(exhaust, crank) > 0.0;
        let counted = (0..720).filter(|&degree| shut(phase(degree))).count();
        prop_assert!(near(spans(&timing_of(&engine)).both_shut, counted as f64), "{counted}");
    }
}

#[test]
fn the_rule_of_nine_holds_where_the_head_is_a_mirror_image_and_only_there() {
    // Check-values 3.5 (S67): inline four, valves 1 to 8 from the front: open 8 set 1, 6-3, 4-5, 7-2 and
    // back; intakes 2, 3, 6, 7. Derived: it needs E I I E E I I E and the opposites 1-4, 2-3.
    for order in [[1, 3, 4, 2], [1, 2, 4, 3]] {
        let four = inline(&order, "E I I E E I I E");
        let rules = pair_rules(&four);
        // With the valve fully open its partner is in the middle of the 480° for which it is shut.
        let rule =
            PairRule { bank: "cylinders", other: "cylinders", valves: 8, sum: 9, margin: 240.0 };
        assert_eq!(rules, [rule]);
    }
    // Six cylinders: thirteen (derived; the rule itself from memory).
    assert_eq!(sums(&inline(&[1, 5, 3, 6, 2, 4], "E I I E E I I E E I I E")), [13]);
    // Negative, S68: E I E I E I E I, where a published explanation gets stuck on a contradiction.
    assert_eq!(sums(&inline(&[1, 3, 4, 2], "E I E I E I E I")), NONE);
    // The right head with the wrong opposites, and a head that is not told.
    assert_eq!(sums(&inline(&[1, 4, 3, 2], "E I I E E I I E")), NONE);
    assert_eq!(sums(&facts(&[1, 3, 4, 2], None, Some(timing(PLAIN)))), NONE);
    // An odd count has no opposites.
    assert_eq!(sums(&inline(&[1, 3, 2], "E I I E E I")), NONE);
    // Siamesed so that no cylinder's valves stand together: whose is which is not known.
    assert_eq!(sums(&inline(&[1, 3, 4, 2], "E E I I I I E E")), NONE);
}

#[test]
fn pairs_may_stand_in_one_bank_or_across_two() {
    // A vee twelve whose banks fire as inline sixes: the rule holds in each bank by itself.
    let mut twelve = facts(&[1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10], None, Some(timing(PLAIN)));
    let mut banks =
        [bank("right", None, &[1, 2, 3, 4, 5, 6]), bank("left", None, &[7, 8, 9, 10, 11, 12])];
    for bank in &mut banks {
        bank.valves_along = Some(kinds("E I I E E I I E E I I E"));
    }
    twelve.layout.banks = banks.to_vec();
    let pairs: Vec<_> = pair_rules(&twelve).iter().map(|r| (r.bank, r.other, r.sum)).collect();
    assert_eq!(pairs, [("right", "right", 13), ("left", "left", 13)]);
    // Banks that mirror each other end for end.
    let mut four = opposed(&[1, 3, 2, 4], Some(timing(PLAIN)));
    four.layout.banks[1].cylinders = vec![4, 2];
    for bank in &mut four.layout.banks {
        bank.valves_along = Some(kinds("E I I E"));
    }
    let pairs: Vec<_> = pair_rules(&four).iter().map(|r| (r.bank, r.other, r.sum)).collect();
    assert_eq!(pairs, [("right", "left", 5)]);
    // Cylinders that face each other have the same number, and so no sum.
    four.layout.banks[1].cylinders = vec![2, 4];
    assert_eq!(pair_rules(&four), []);
}

#[test]
fn a_cylinders_own_events_leave_its_other_valve_far_from_moving() {
    // Check-values 3.5 (S66): the intake is set when the exhaust just starts to open, the exhaust when
    // the intake has just shut; derived: 210° from moving (timing 15/45/45/15).
    let one = facts(&[1, 3, 4, 2], None, Some(timing(PLAIN)));
    for cylinder in 1..=4 {
        for (sign, kind) in
            [(Sign::ExhaustOpens, Kind::Intake), (Sign::IntakeCloses, Kind::Exhaust)]
        {
            let crank = stood_at(&one, cylinder, sign, 0).unwrap();
            assert!(near(margin(&one, Valve::new(cylinder, kind), crank), 210.0), "{sign:?}");
        }
        let opens = stood_at(&one, cylinder, Sign::ExhaustOpens, 0).unwrap();
        assert!(near(forward(firing_angle(&one, cylinder), opens), 135.0));
    }
}
