//! Engines to draw: one of each layout, without figures.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use cowlside::domain::profile::*;
use cowlside::domain::units::{Length, LengthUnit};

/// Invented figures: only the layout is looked at here.
fn engine(
    shape: Shape,
    order: &[u8],
    from: End,
    banks: &[(&str, Option<Side>, &[u8])],
) -> EngineProfile {
    let zero = Figures {
        target: Length::ZERO,
        least: Length::ZERO,
        most: Length::ZERO,
        set_least: Length::ZERO,
        set_most: Length::ZERO,
    };
    let spec = ValveSpec {
        per_cylinder: 1,
        cold: Some(zero),
        hot: None,
        position: vec![],
        leaves_at_once: 1,
    };
    let bank = |(row, (name, side, cylinders)): (usize, &(&str, Option<Side>, &[u8]))| Bank {
        name: (*name).to_owned(),
        cylinders: cylinders.to_vec(),
        side: *side,
        valves_along: None,
        labels: vec![],
        first_at: if row == 0 { 0.0 } else { 20.0 },
    };
    EngineProfile::new(Facts {
        name: "Example engine".into(),
        source: Source::default(),
        firing_order: order.to_vec(),
        firing_intervals: vec![720.0 / order.len() as f64; order.len()],
        layout: Layout {
            shape,
            listed_from: from,
            banks: banks.iter().enumerate().map(bank).collect(),
            angle: None,
            cam_ring: None,
        },
        rotation: None,
        intake: spec.clone(),
        exhaust: spec,
        timing: None,
        adjuster: Adjuster::None,
        gauge_when: GaugeWhen { hot: false, no_warmer_than: None, no_cooler_than: None },
        leaves: vec![],
        covers: Covers::default(),
        interval_hours: None,
        interval_months: None,
        first_interval_hours: None,
        cautions: vec![],
        stops: None,
        overlap_looks_like: None,
        unit: LengthUnit::Mm,
    })
    .unwrap()
}

pub fn flat_six() -> EngineProfile {
    engine(
        Shape::Opposed,
        &[1, 4, 5, 2, 3, 6],
        End::Propeller,
        &[("right", Some(Side::Right), &[1, 3, 5]), ("left", Some(Side::Left), &[2, 4, 6])],
    )
}

pub fn vee_twin() -> EngineProfile {
    engine(
        Shape::Vee,
        &[1, 2],
        End::Front,
        &[("left", Some(Side::Left), &[1]), ("right", Some(Side::Right), &[2])],
    )
}

pub fn inline_four() -> EngineProfile {
    engine(Shape::Inline, &[1, 3, 4, 2], End::Rear, &[("all", None, &[1, 2, 3, 4])])
}

pub fn radial_nine() -> EngineProfile {
    engine(
        Shape::Radial,
        &[1, 3, 5, 7, 9, 2, 4, 6, 8],
        End::Front,
        &[("row", None, &[1, 2, 3, 4, 5, 6, 7, 8, 9])],
    )
}

pub fn radial_eighteen() -> EngineProfile {
    let order: Vec<u8> = (0..18).map(|place| (place * 11) % 18 + 1).collect();
    engine(
        Shape::Radial,
        &order,
        End::Front,
        &[
            ("rear row", None, &[1, 3, 5, 7, 9, 11, 13, 15, 17]),
            ("front row", None, &[2, 4, 6, 8, 10, 12, 14, 16, 18]),
        ],
    )
}

pub fn all_engines() -> [(&'static str, EngineProfile); 5] {
    [
        ("flat_six", flat_six()),
        ("vee_twin", vee_twin()),
        ("inline_four", inline_four()),
        ("radial_nine", radial_nine()),
        ("radial_eighteen", radial_eighteen()),
    ]
}
