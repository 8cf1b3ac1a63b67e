//! Engines for the tests of crank and plans, made from the few facts that matter to them.

use cowlside::domain::profile::{
    Adjuster, Bank, CamRing, Covers, End, EngineProfile, Facts, Figures, GaugeWhen, Layout,
    Rotation, Shape, Side, Source, Timing, ValveSpec,
};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::Cylinder;

/// Makes sound facts of a firing order, its intervals (none: even) and a timing; one bank.
pub fn facts(order: &[Cylinder], intervals: Option<&[f64]>, timing: Option<Timing>) -> Facts {
    let even = vec![720.0 / order.len() as f64; order.len()];
    let mut cylinders = order.to_vec();
    cylinders.sort_unstable();
    Facts {
        name: "Engine of the test".into(),
        source: Source {
            document: "Example figures, not from any manual".into(),
            ..Source::default()
        },
        firing_order: order.to_vec(),
        firing_intervals: intervals.map_or(even, <[f64]>::to_vec),
        layout: Layout {
            shape: Shape::Inline,
            listed_from: End::Front,
            banks: vec![bank("cylinders", None, &cylinders)],
            angle: None,
            cam_ring: None,
        },
        rotation: None,
        intake: spec(20),
        exhaust: spec(30),
        timing,
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
    }
}

fn spec(target_hundredths: i64) -> ValveSpec {
    let mm = |hundredths: i64| Length::from_um(hundredths * 10);
    let (least, most) = (mm(target_hundredths - 5), mm(target_hundredths + 5));
    let target = mm(target_hundredths);
    let cold = Some(Figures { target, least, most, set_least: least, set_most: most });
    ValveSpec { per_cylinder: 1, cold, hot: None, position: vec![], leaves_at_once: 1 }
}

/// Makes a bank.
pub fn bank(name: &str, side: Option<Side>, cylinders: &[Cylinder]) -> Bank {
    Bank {
        name: name.into(),
        cylinders: cylinders.to_vec(),
        side,
        valves_along: None,
        labels: vec![],
        first_at: 0.0,
    }
}

/// Makes an opposed engine of a firing order, odd cylinders right, even ones left.
pub fn opposed(order: &[Cylinder], timing: Option<Timing>) -> Facts {
    let mut facts = facts(order, None, timing);
    let half = |odd: u8| (1..=order.len() as u8).filter(|c| c % 2 == odd).collect::<Vec<_>>();
    facts.layout.shape = Shape::Opposed;
    facts.layout.listed_from = End::Propeller;
    facts.layout.banks =
        vec![bank("right", Some(Side::Right), &half(1)), bank("left", Some(Side::Left), &half(0))];
    facts.rotation = Some(propeller(End::Front, true, End::Rear));
    facts
}

/// Makes a radial of one row, its cam ring as told.
pub fn radial(order: &[Cylinder], timing: Option<Timing>, cam_ring: Option<CamRing>) -> Facts {
    let mut facts = facts(order, None, timing);
    facts.layout.shape = Shape::Radial;
    facts.layout.cam_ring = cam_ring;
    facts.layout.banks[0].name = "row".into();
    facts.rotation = Some(propeller(End::Front, true, End::Rear));
    facts
}

/// Makes the rotation of a two-bladed propeller.
pub fn propeller(propeller_at: End, clockwise: bool, seen_from: End) -> Rotation {
    Rotation {
        turn_by: "propeller".into(),
        clockwise: Some(clockwise),
        seen_from,
        backwards_allowed: false,
        propeller_at,
        blades: Some(2),
    }
}

/// Makes a timing without ramps: intake opening °BTDC, closing °ABDC, exhaust °BBDC, °ATDC.
pub fn timing(events: [f64; 4]) -> Timing {
    let [intake_opens_btdc, intake_closes_abdc, exhaust_opens_bbdc, exhaust_closes_atdc] = events;
    Timing {
        intake_opens_btdc,
        intake_closes_abdc,
        exhaust_opens_bbdc,
        exhaust_closes_atdc,
        ramp: 0.0,
    }
}

/// Makes the contract's flat six (section 1, invented figures).
pub fn flat_six() -> Facts {
    let timing = Timing { ramp: 8.0, ..timing([18.0, 58.0, 60.0, 16.0]) };
    let mut six = opposed(&[1, 4, 5, 2, 3, 6], Some(timing));
    six.name = "Flat six, screw adjusters".into();
    six
}

/// Checks facts into a profile.
pub fn checked(facts: Facts) -> EngineProfile {
    EngineProfile::new(facts).expect("the facts of the test are sound")
}
