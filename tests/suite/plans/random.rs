//! Thousands of engines that nobody ever built, each plan judged by the model.

use super::engines::{bank, checked, facts};
use super::model::Model;
use cowlside::domain::plan::{PlanChoice, PlanRefusal, plan};
use cowlside::domain::profile::{CamRing, Facts, Shape, Timing};
use cowlside::domain::valve::Cylinder;
use proptest::prelude::*;

/// How many engines are tried: so many, times `COWLSIDE_ENGINES` where that is set.
pub fn cases(count: u32) -> u32 {
    let times = std::env::var("COWLSIDE_ENGINES").ok().and_then(|times| times.parse().ok());
    count.saturating_mul(times.unwrap_or(1))
}

/// Firing intervals: even; two like halves (so that all have opposites); steps of 15°; any.
fn intervals(n: usize) -> impl Strategy<Value = Vec<f64>> {
    let scaled = |parts: Vec<u32>, sum: f64| {
        let total: u32 = parts.iter().sum();
        parts.iter().map(|&p| f64::from(p) * sum / f64::from(total)).collect::<Vec<_>>()
    };
    let even = Just(vec![720.0 / n as f64; n]).boxed();
    let any = prop::collection::vec(20u32..100, n).prop_map(move |parts| scaled(parts, 720.0));
    let steps = prop::sample::subsequence((1u32..48).collect::<Vec<_>>(), n - 1).prop_map(|cuts| {
        let ends: Vec<u32> = [0].into_iter().chain(cuts).chain([48]).collect();
        ends.windows(2).map(|pair| f64::from(pair[1] - pair[0]) * 15.0).collect::<Vec<_>>()
    });
    let halves = prop::collection::vec(20u32..100, n.div_ceil(2)).prop_map(move |parts| {
        if n.is_multiple_of(2) { scaled(parts, 360.0).repeat(2) } else { vec![720.0 / n as f64; n] }
    });
    prop_oneof![2 => even, 2 => halves, 2 => steps, 1 => any]
}

/// Timings: none, like on both sides (so that margins tie), any, with or without overlap.
fn timings() -> impl Strategy<Value = Option<Timing>> {
    let any = (-15i16..50, 10i16..80, 10i16..80, -10i16..50, 0u8..15);
    let any = any.prop_map(|(ivo, ivc, evo, evc, ramp)| Timing {
        intake_opens_btdc: ivo.into(),
        intake_closes_abdc: ivc.into(),
        exhaust_opens_bbdc: evo.into(),
        exhaust_closes_atdc: evc.into(),
        ramp: ramp.into(),
    });
    let mirrored = any.clone().prop_map(|timing| Timing {
        exhaust_opens_bbdc: timing.intake_closes_abdc,
        exhaust_closes_atdc: timing.intake_opens_btdc,
        ..timing
    });
    prop_oneof![1 => Just(None), 2 => mirrored.prop_map(Some), 3 => any.prop_map(Some)]
}

pub fn engines() -> impl Strategy<Value = Facts> {
    engines_of(1..=18)
}

/// Engines with so many cylinders.
pub fn engines_of(cylinders: std::ops::RangeInclusive<usize>) -> impl Strategy<Value = Facts> {
    cylinders
        .prop_flat_map(|n| {
            let order = Just((1..=n as Cylinder).collect::<Vec<_>>()).prop_shuffle();
            let places = Just((1..=n as Cylinder).collect::<Vec<_>>()).prop_shuffle();
            (order, intervals(n), timings(), places, 1..=n.min(3), 1u8..=3, 1u8..=2, any::<bool>())
        })
        .prop_map(|(order, intervals, timing, places, banks, intakes, exhausts, told)| {
            let mut engine = facts(&order, Some(&intervals), timing);
            let chunk = places.len().div_ceil(banks);
            let names = ["left", "right", "third"];
            let rows = places.chunks(chunk).zip(names);
            engine.layout.banks = rows.map(|(row, name)| bank(name, None, row)).collect();
            engine.layout.shape = match engine.layout.banks.len() {
                1 => Shape::Inline,
                2 => Shape::Opposed,
                _ => Shape::Radial,
            };
            engine.layout.cam_ring =
                (engine.layout.shape == Shape::Radial && told).then_some(CamRing::Fixed);
            engine.intake.per_cylinder = intakes;
            engine.exhaust.per_cylinder = exhausts;
            engine
        })
}

proptest! {
    #![proptest_config(crate::seeded::config(cases(4000)))]

    #[test]
    fn every_plan_of_any_engine_stands_before_the_model(
        engine in engines(),
        from in prop::option::of(any::<prop::sample::Index>()),
        margin in prop::option::of(0u8..140),
    ) {
        let from = from.map(|index| *index.get(&engine.firing_order));
        let choice =
            PlanChoice { from, margin: margin.map(f64::from), ..PlanChoice::default() };
        let (model, profile) = (Model::of(&engine), checked(engine));
        let answer = plan(&profile, &choice);
        if let Err(wrong) = model.judge(&choice, &answer) {
            prop_assert!(false, "{wrong}\n{answer:#?}");
        }
        // What a refusal says would be accepted is accepted.
        if let Err(PlanRefusal::BelowMargin { margin, .. }) = answer && margin > 0.0 {
            let less = PlanChoice { margin: Some((margin * 10.0).floor() / 10.0), ..choice };
            prop_assert!(plan(&profile, &less).is_ok(), "{less:?}");
        }
    }
}
