//! Profiles: what is read from their text, and what is said where a field cannot stand.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::domain::entry::ProfileText;
use cowlside::domain::profile::{Adjuster, End, Side};
use cowlside::domain::units::{Length, LengthUnit};
use cowlside::domain::valve::Kind;
use cowlside::store::profile_error::ProfileError;
use cowlside::store::profile_file::{parse_profile, parse_profile_bytes};
use cowlside::store::profiles::BUILT_IN;
use proptest::prelude::*;
use serde_json::{Value, json};

/// The complete example of the contract, section 1.
pub const EXAMPLE: &str = include_str!("profile_example.json");

/// Takes a field out.
pub const OUT: &str = "(out)";

/// The contract's example.
pub fn example() -> Value {
    serde_json::from_str(EXAMPLE).unwrap()
}

/// A nine with a table, in which every optional field of the contract stands somewhere.
pub fn table() -> Value {
    let text = BUILT_IN.iter().find(|(name, _)| *name == "radial-nine-table").unwrap().1;
    let mut value: Value = serde_json::from_str(text).unwrap();
    for (pointer, field) in [
        ("/layout/banks/0/labels", json!(["1A", "2A", "3A", "4A", "5A", "6A", "7A", "8A", "9A"])),
        ("/layout/banks/0/side", json!("left")),
        ("/layout/banks/0/valves_along", json!("I E".repeat(9))),
        ("/firing_intervals", json!([80, 80, 80, 80, 80, 80, 80, 80, 80])),
        ("/rotation/propeller_at", json!("front")),
        ("/overlap_looks_like", json!("both rockers a little down")),
        ("/interval_months", json!(12)),
        ("/first_interval_hours", json!(10)),
        ("/gauge_when/no_cooler_than", json!("5 °C")),
        ("/adjuster/rocker_ratio", json!(1.2)),
        ("/valves/intake/set_least", json!("0.009 in")),
        ("/valves/intake/set_most", json!("0.011 in")),
        ("/valves/intake/per_cylinder", json!(1)),
    ] {
        set(&mut value, pointer, field);
    }
    value
}

fn set(value: &mut Value, pointer: &str, field: Value) {
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    let parent = value.pointer_mut(parent).unwrap_or_else(|| panic!("{pointer}"));
    let take_out = field == json!(OUT);
    match parent {
        Value::Object(members) if take_out => {
            members.remove(name).unwrap_or_else(|| panic!("{pointer} is not there"));
        }
        Value::Object(members) => {
            members.insert(name.to_string(), field);
        }
        Value::Array(items) if name == "-" => items.push(field),
        Value::Array(items) => items[name.parse::<usize>().unwrap()] = field,
        _ => panic!("{pointer} has no parent"),
    }
}

/// Reads a changed profile; the fault's words, without the place, where it is refused.
pub fn read(mut value: Value, changes: &[(&str, Value)]) -> Result<(), String> {
    for (pointer, field) in changes {
        set(&mut value, pointer, field.clone());
    }
    match parse_profile(&value.to_string(), "twin.json") {
        Ok(_) => Ok(()),
        Err(ProfileError::Wrong { fault, .. }) => Err(fault.to_string()),
        Err(other) => Err(other.to_string()),
    }
}

#[test]
fn the_contracts_example_is_read_field_by_field() {
    let profile = parse_profile(EXAMPLE, "example.json").unwrap();
    assert_eq!(profile.name, "Flat six, screw adjusters");
    assert_eq!(profile.firing_order, [1, 4, 5, 2, 3, 6]);
    assert_eq!(profile.unit, LengthUnit::Mm);
    assert_eq!(profile.layout.listed_from, End::Propeller);
    let sides: Vec<_> = profile.layout.banks.iter().map(|bank| bank.side).collect();
    assert_eq!(sides, [Some(Side::Right), Some(Side::Left)]);
    let exhaust = profile.figures(Kind::Exhaust);
    let um = |length: Length| length.nm() / 1000;
    assert_eq!((um(exhaust.least), um(exhaust.set_least), um(exhaust.target)), (250, 280, 300));
    assert_eq!((um(exhaust.set_most), um(exhaust.most)), (320, 350));
    let timing = profile.timing.unwrap();
    assert_eq!(
        (timing.intake_opens_btdc, timing.exhaust_closes_atdc, timing.ramp),
        (18.0, 16.0, 8.0)
    );
    let Adjuster::Screw(screw) = &profile.adjuster else { panic!("{:?}", profile.adjuster) };
    assert_eq!((screw.pitch_mm, screw.at_valve_end, screw.rocker_ratio), (Some(1.0), false, 1.4));
    assert_eq!(screw.lock_nut_torque.as_ref().map(|torque| torque.nm), Some(20.0));
    assert_eq!(profile.gauge_when.no_warmer_than.unwrap().0, 35_000);
    assert_eq!(profile.covers.hardware[1].item, "wedge-lock washer pair");
    assert_eq!(profile.interval_hours, Some(100.0));
}

#[test]
fn the_least_that_a_profile_may_hold_gets_the_stated_defaults() {
    let text = r#"{ "$schema": "x", "format": 1, "name": "Twin", "cylinders": 2, "firing_order": [1, 2],
        "layout": { "shape": "opposed", "banks": [ { "cylinders": [1] }, { "name": "Left bank", "cylinders": [2] } ] },
        "valves": { "intake": { "target": "6 thou", "least": "5 thou", "most": "7 thou" },
                    "exhaust": { "target": "0.2 mm", "least": "0.1 mm", "most": "0.3 mm" } } }"#;
    let profile = parse_profile(text, "twin.json").unwrap();
    assert_eq!(profile.firing_intervals, [360.0, 360.0]);
    assert_eq!(profile.unit, LengthUnit::Inch);
    assert_eq!(profile.adjuster, Adjuster::None);
    assert_eq!(profile.layout.listed_from, End::Front);
    assert_eq!(profile.layout.banks[0].name, "bank 1");
    assert_eq!(profile.layout.banks[0].side, None);
    assert_eq!(profile.layout.banks[1].side, Some(Side::Left));
    assert!(profile.rotation.is_none() && profile.timing.is_none() && profile.stops.is_none());
    assert!(!profile.gauge_when.hot);
    let intake = profile.figures(Kind::Intake);
    assert_eq!((intake.set_least, intake.set_most), (intake.least, intake.most));
    assert_eq!((profile.intake.per_cylinder, profile.intake.leaves_at_once), (1, 1));
}

#[test]
fn every_field_that_is_not_required_may_be_left_out() {
    // What stands in an object that is given may need its fellows: named here.
    let needed = [
        "/format",
        "/name",
        "/cylinders",
        "/firing_order",
        "/layout",
        "/layout/shape",
        "/layout/banks",
        "/valves",
        "/adjuster/kind",
        "/stops",
    ];
    let inside = ["/cylinders", "/item", "/each", "/watch", "/gauge"];
    for value in [example(), table()] {
        for pointer in members(&value, "") {
            let name = pointer.rsplit('/').next().unwrap();
            let figure = pointer.starts_with("/valves")
                && ["intake", "exhaust", "target", "least", "most"].contains(&name);
            let must_stand = figure
                || needed.contains(&pointer.as_str())
                || inside.iter().any(|end| {
                    pointer.contains("/valve_timing/") && !pointer.ends_with("ramp")
                        || pointer.ends_with(end)
                });
            let found = read(value.clone(), &[(&pointer, json!(OUT))]);
            assert_eq!(
                found.is_err(),
                must_stand && !(pointer == "/stops" && value["layout"]["cam_ring"] != "floating"),
                "{pointer}: {found:?}"
            );
        }
    }
}

/// Lists the pointers of all members of all objects.
fn members(value: &Value, at: &str) -> Vec<String> {
    match value {
        Value::Object(members_here) => members_here
            .iter()
            .flat_map(|(name, value)| {
                let here = format!("{at}/{name}");
                std::iter::once(here.clone()).chain(members(value, &here))
            })
            .collect(),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .flat_map(|(place, item)| members(item, &format!("{at}/{place}")))
            .collect(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    }
}

/// Every field with another value: `pointer = value`.
const OTHER_VALUES: &str = include_str!("profile_fields.txt");

#[test]
fn nothing_that_a_profile_says_is_dropped() {
    let sound = |value: &Value| {
        parse_profile(&value.to_string(), "x").unwrap_or_else(|error| panic!("{error}"))
    };
    let base = table();
    let before = sound(&base);
    let mut untried = members(&base, "");
    untried.retain(|pointer| !base.pointer(pointer).unwrap().is_object());
    for line in OTHER_VALUES.lines().filter(|line| !line.starts_with('#')) {
        let (pointer, other) = line.split_once(" = ").unwrap();
        let mut changed = base.clone();
        set(&mut changed, pointer, serde_json::from_str(other).unwrap());
        assert_ne!(sound(&changed), before, "{pointer}");
        untried.retain(|other| !pointer.starts_with(other.as_str()));
    }
    // Counts and words that leave no choice, and the second and later items of lists.
    let fixed = [
        "/$schema",
        "/format",
        "/cylinders",
        "/layout/shape",
        "/layout/banks",
        "per_cylinder",
        "/adjuster/kind",
        "/gauge_when/engine",
    ];
    untried.retain(|pointer| !fixed.iter().any(|end| pointer.ends_with(end)));
    untried.retain(|pointer| !pointer.contains("/stops/") && !pointer.contains("/hardware/1/"));
    // The exhaust's figures are read by the same lines as the intake's.
    untried.retain(|pointer| !pointer.starts_with("/valves/exhaust/"));
    assert_eq!(untried, Vec::<String>::new());
}

#[test]
fn adjusters_are_read_in_every_kind() {
    let adjuster = |adjuster: Value| {
        let mut value = example();
        set(&mut value, "/adjuster", adjuster);
        parse_profile(&value.to_string(), "x").map(|profile| profile.adjuster.clone())
    };
    // 2.50 to 3.30 mm in steps of 0.05 makes 17 sizes: check-values [S73].
    let Adjuster::Shim { sizes } = adjuster(json!({ "kind": "shim", "from": "2.50 mm", "to": "3.30 mm", "step": "0.05 mm", "kept_under_tie": "thinner" })).unwrap() else { panic!() };
    assert_eq!((sizes.len(), sizes[0].nm(), sizes[16].nm()), (17, 2_500_000, 3_300_000));
    let Adjuster::Shim { sizes } =
        adjuster(json!({ "kind": "shim", "sizes": ["3 mm", "2.5 mm"] })).unwrap()
    else {
        panic!()
    };
    assert_eq!(sizes, [Length::from_um(2500), Length::from_um(3000)]);
    let rods = adjuster(
        json!({ "kind": "pushrod", "lengths": ["0.060 in", "-0.060 in"], "rocker_ratio": 1.2 }),
    )
    .unwrap();
    let inch60 = Length::from_tenths_thou(600);
    assert_eq!(
        rods,
        Adjuster::Pushrod { lengths: vec![Length::ZERO - inch60, inch60], rocker_ratio: 1.2 }
    );
    assert_eq!(adjuster(json!({ "kind": "none" })).unwrap(), Adjuster::None);
}

#[test]
fn hot_figures_may_stand_instead_of_the_cold_ones() {
    let hot = json!({ "hot": { "target": "0.4 mm", "least": "0.3 mm", "most": "0.5 mm" } });
    let both = [
        ("/valves/intake", hot.clone()),
        ("/valves/exhaust", hot.clone()),
        ("/gauge_when", json!(OUT)),
    ];
    let mut value = example();
    both.iter().for_each(|(pointer, field)| set(&mut value, pointer, field.clone()));
    let profile = parse_profile(&value.to_string(), "x").unwrap();
    assert!(profile.gauge_when.hot);
    assert_eq!(profile.figures(Kind::Intake).target, Length::from_um(400));
    assert_eq!(
        read(value, &[("/gauge_when", json!({ "engine": "cold" }))]).unwrap_err(),
        "`valves.intake.target` is missing, but must be given, since this engine is gauged cold"
    );
}

#[test]
fn every_built_in_profile_is_sound_and_says_that_its_figures_are_examples() {
    for (name, text) in BUILT_IN {
        let profile = parse_profile(text, name).unwrap_or_else(|error| panic!("{error}"));
        let document = &profile.source.document;
        assert!(document.starts_with("Example figures, not from any manual"), "{name}");
        let kept = ProfileText { profile, text: text.to_string(), name: name.to_string() };
        assert!(cowlside::store::profiles::is_name(&kept.name), "{name}");
    }
}

#[test]
fn an_error_names_file_line_and_column() {
    let text = EXAMPLE.replace("\"0.28 mm\"", "\"0.24 mm\"");
    assert_eq!(
        parse_profile(&text, "six.json").unwrap_err().to_string(),
        "`six.json`, line 20, column 18: `valves.exhaust.set_least` is 0.24 mm, but must lie inside the band \
         that a valve is found in, 0.25 mm to 0.35 mm"
    );
    // A missing field is looked for in the object that should hold it.
    let text = EXAMPLE.replace("\"shape\": \"opposed\",", "");
    assert_eq!(
        parse_profile(&text, "six.json").unwrap_err().to_string(),
        "`six.json`, line 8, column 3: `layout.shape` is missing, but must be \"inline\", \"vee\", \"opposed\" or \"radial\""
    );
}

proptest! {
    #![proptest_config(crate::seeded::config(256))]

    #[test]
    fn no_bytes_upset_the_reader(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = parse_profile_bytes(bytes, "x.json");
    }

    #[test]
    fn a_damaged_profile_is_read_or_refused_in_plain_words(
        from in 0_usize..EXAMPLE.len(), length in 0_usize..40,
        patch in "[-0-9a-zA-Z\"{}\\[\\],:. \\\\\u{202e}\u{1b}]{0,12}",
    ) {
        let mut bytes = EXAMPLE.as_bytes().to_vec();
        let to = (from + length).min(bytes.len());
        bytes.splice(from..to, patch.bytes());
        if let Err(error) = parse_profile_bytes(bytes, "x.json") {
            let said = format!("{error} {}", error.hint());
            prop_assert!(!said.chars().any(|sign| sign.is_control() || sign == '\u{202e}'), "{}", said);
            for jargon in ["EOF", "serde", "invalid", "expected", "trailing", "recursion"] {
                prop_assert!(!said.contains(jargon), "{}", said);
            }
        }
    }
}

#[test]
fn to_replace_a_profile_only_those_of_as_many_cylinders_are_offered() {
    let folder = tempfile::tempdir().unwrap();
    let fours = cowlside::store::profiles::names(folder.path(), 4);
    assert!(fours.contains(&"flat-four".to_string()), "{fours:?}");
    assert!(!fours.contains(&"flat-twin".to_string()), "{fours:?}");
    assert!(cowlside::store::profiles::names(folder.path(), 9).len() < fours.len());
    assert_eq!(cowlside::store::profiles::names(folder.path(), 27), [""; 0]);
}
