//! How long a plan takes, in each mode, and how that grows with the cylinders.
//!
//! `cargo bench --bench plan` measures time; DEVELOPERS.md tells how to count instructions instead,
//! which repeat. `flat` engines are opposed, `rows` are radials of two rows, `four rows` of four,
//! `against` has every change of side behind a whole turn: the most that a search can be asked for.
#![allow(missing_docs, reason = "criterion's macros write functions without a doc line")]
#![expect(clippy::expect_used, reason = "a bench may stop on what is not so")]

use cowlside::domain::plan::{PlanChoice, plan};
use cowlside::domain::profile::EngineProfile;
use cowlside::store::profile_file::parse_profile;
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use serde_json::json;
use std::hint::black_box;

/// The modes, by the flags that ask for them.
const MODES: [(&str, bool, bool); 4] = [
    ("default", false, false),
    ("few-stops", true, false),
    ("less-walking", false, true),
    ("few-stops less-walking", true, true),
];

/// Makes an engine of a firing order and banks, with an ordinary timing.
fn engine(order: &[usize], banks: &[Vec<usize>]) -> EngineProfile {
    let shape = if banks.len() == 1 { "inline" } else { "radial" };
    let banks: Vec<_> = (1..)
        .zip(banks)
        .map(|(row, bank)| {
            json!({ "name": format!("row {row}"), "cylinders": bank, "first_at": row })
        })
        .collect();
    let banks = if shape == "inline" {
        json!([{ "name": "row", "cylinders": (1..=order.len()).collect::<Vec<_>>() }])
    } else {
        json!(banks)
    };
    // Five valves a cylinder.
    let valve = |target, per_cylinder| json!({ "per_cylinder": per_cylinder, "target": target, "least": "0.1 mm", "most": "0.4 mm" });
    let profile = json!({
        "format": 1,
        "name": "Engine of the bench",
        "cylinders": order.len(),
        "firing_order": order,
        "layout": { "shape": shape, "listed_from": "front", "banks": banks, "cam_ring": if shape == "radial" { json!("fixed") } else { json!(null) } },
        "valves": { "intake": valve("0.2 mm", 3), "exhaust": valve("0.3 mm", 2) },
        "valve_timing": { "intake_opens": "18 BTDC", "intake_closes": "58 ABDC",
                          "exhaust_opens": "60 BBDC", "exhaust_closes": "16 ATDC" },
    });
    let mut profile = profile;
    if shape == "inline" {
        profile["layout"].as_object_mut().expect("an object").remove("cam_ring");
    }
    parse_profile(&profile.to_string(), "bench").expect("the bench's engine is sound")
}

/// Cylinders that fire one after another, dealt out to so many banks in turn.
fn in_turn(cylinders: usize, banks: usize) -> EngineProfile {
    let order: Vec<usize> = (1..=cylinders).collect();
    let of = |bank: usize| order.iter().copied().filter(|c| c % banks == bank).collect();
    engine(&order, &(0..banks).map(of).collect::<Vec<_>>())
}

/// The first half of a cycle on one side, the other half on the other.
fn against(cylinders: usize) -> EngineProfile {
    let order: Vec<usize> = (1..=cylinders).collect();
    let (one, other) = order.split_at(cylinders / 2);
    engine(&order, &[one.to_vec(), other.to_vec()])
}

fn plans(criterion: &mut Criterion) {
    let mut engines = vec![];
    for cylinders in [4, 6, 9, 12, 18, 28] {
        engines.push((format!("two banks {cylinders:02}"), in_turn(cylinders, 2)));
    }
    engines.push(("four banks 28".into(), in_turn(28, 4)));
    engines.push(("against 28".into(), against(28)));
    for (mode, few_stops, less_walking) in MODES {
        let mut group = criterion.benchmark_group(mode);
        let choice = PlanChoice { few_stops, less_walking, ..PlanChoice::default() };
        for (name, engine) in &engines {
            group.bench_with_input(BenchmarkId::from_parameter(name), engine, |bench, engine| {
                bench.iter(|| {
                    plan(black_box(engine), black_box(&choice)).map(|plan| plan.stops.len())
                });
            });
        }
        group.finish();
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(std::time::Duration::from_secs(1)).warm_up_time(std::time::Duration::from_millis(300));
    targets = plans
}
criterion_main!(benches);
