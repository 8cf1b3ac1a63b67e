//! Facts that no file was read for are held to the same rules: a profile cannot exist unchecked.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use super::profiles::example;
use cowlside::domain::profile::{Adjuster, End, EngineProfile, Facts};
use cowlside::domain::units::Length;
use cowlside::domain::valve::Valve;
use cowlside::store::profile_file::parse_profile;

/// Breaks one rule.
type Break = fn(&mut Facts);

fn facts() -> Facts {
    Facts::clone(&parse_profile(&example().to_string(), "x").unwrap())
}

/// Each rule broken once, and what is said.
const BROKEN: [(Break, &str); 17] = [
    (|f| f.firing_order.clear(), "`cylinders` is 0, but must be a whole number from 1 to 48"),
    (
        |f| f.firing_order = (1..=49).collect(),
        "`cylinders` is 49, but must be a whole number from 1 to 48",
    ),
    (
        |f| f.firing_order[0] = 0,
        "`firing_order` is 0-4-5-2-3-6, but must name each cylinder from 1 to 6 once",
    ),
    (
        |f| f.firing_intervals[0] = f64::NAN,
        "`firing_intervals[0]` is NaN, but must lie between 0 and 720 degrees",
    ),
    (
        |f| f.layout.banks.clear(),
        "`layout.banks` is a list without cylinder 1, but must name each cylinder from 1 to 6 once",
    ),
    (
        |f| f.layout.banks[0].first_at = f64::INFINITY,
        "`layout.banks[0].first_at` is inf, but must lie from 0 up to 360 degrees from the top",
    ),
    (
        |f| f.intake.per_cylinder = 0,
        "`valves.intake.per_cylinder` is 0, but must be a whole number from 1 to 8",
    ),
    (
        |f| f.exhaust.leaves_at_once = 5,
        "`valves.exhaust.leaves_at_once` is 5, but must be a whole number from 1 to 4",
    ),
    (
        |f| f.intake.cold = None,
        "`valves.intake.target` is missing, but must be given, since this engine is gauged cold",
    ),
    (
        |f| f.intake.cold.as_mut().unwrap().most = Length::from_mm(26),
        "`valves.intake.most` is 26.00 mm, but must lie between 0 and 25.00 mm",
    ),
    (
        |f| f.rotation.as_mut().unwrap().propeller_at = End::Accessory,
        "`rotation.propeller_at` is \"accessory end\", but must be \"front\" or \"rear\"",
    ),
    (
        |f| f.rotation.as_mut().unwrap().blades = Some(13),
        "`rotation.blades` is 13, but must be a whole number from 1 to 12",
    ),
    (
        |f| f.timing.as_mut().unwrap().ramp = f64::NAN,
        "`valve_timing.ramp` is NaN, but must lie between 0 and 90 degrees",
    ),
    (
        |f| {
            f.adjuster = Adjuster::Pushrod { lengths: vec![Length::from_mm(26)], rocker_ratio: 1.0 }
        },
        "`adjuster.lengths[0]` is 26.00 mm, but must differ from standard by at most 25.00 mm",
    ),
    (
        |f| f.adjuster = Adjuster::Shim { sizes: vec![Length::ZERO] },
        "`adjuster.sizes[0]` is 0.00 mm, but must be more than 0 and at most 25.00 mm",
    ),
    (|f| f.covers.count = 97, "`covers.count` is 97, but must be a whole number from 0 to 96"),
    (
        |f| f.interval_months = Some(0),
        "`interval_months` is 0, but must be a whole number from 1 to 1200",
    ),
];

#[test]
fn facts_that_break_a_rule_make_no_profile() {
    assert!(EngineProfile::new(facts()).is_ok());
    for (break_rule, message) in BROKEN {
        let mut facts = facts();
        break_rule(&mut facts);
        assert_eq!(EngineProfile::new(facts).unwrap_err().to_string(), message);
    }
}

#[test]
fn sizes_and_leaves_are_put_in_order_and_none_stands_twice() {
    let mut facts = facts();
    let lengths = |um: &[i64]| um.iter().map(|um| Length::from_um(*um)).collect::<Vec<_>>();
    facts.leaves = lengths(&[300, 100, 300]);
    facts.adjuster = Adjuster::Shim { sizes: lengths(&[2600, 2500]) };
    let profile = EngineProfile::new(facts).unwrap();
    assert_eq!(profile.leaves, lengths(&[100, 300]));
    assert_eq!(profile.adjuster, Adjuster::Shim { sizes: lengths(&[2500, 2600]) });
}

#[test]
fn valves_and_ends_are_told_by_the_profile() {
    let mut facts = facts();
    facts.exhaust.per_cylinder = 2;
    let names: Vec<String> = facts.valves_of(3).iter().map(Valve::to_string).collect();
    assert_eq!(names, ["3 intake", "3 exhaust", "3 exhaust 2"]);
    let fronts = |facts: &Facts| {
        [End::Front, End::Rear, End::Propeller, End::Timing, End::Accessory, End::Flywheel]
            .map(|end| facts.is_front(end))
    };
    assert_eq!(fronts(&facts), [true, false, true, true, false, false]);
    facts.rotation.as_mut().unwrap().propeller_at = End::Rear;
    assert_eq!(fronts(&facts), [true, false, false, false, true, true]);
}
