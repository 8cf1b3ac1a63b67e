//! Profiles in words.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::domain::profile::EngineProfile;
use cowlside::report::profile_list::{ListRow, list_json, list_text};
use cowlside::report::profile_sheet::{check_text, notes, sheet};
use cowlside::store::profile_file::parse_profile;
use cowlside::store::profiles::BUILT_IN;

fn built_in(name: &str) -> EngineProfile {
    let text = BUILT_IN.iter().find(|(other, _)| *other == name).unwrap().1;
    parse_profile(text, name).unwrap()
}

#[test]
fn no_line_of_a_sheet_is_wider_than_eighty_columns() {
    for (name, _) in BUILT_IN {
        for line in sheet(name, &built_in(name)).lines() {
            assert!(line.chars().count() <= 80, "{name}: {line}");
            assert_eq!(line, line.trim_end(), "{name}");
        }
    }
}

#[test]
fn a_bank_listed_from_the_rear_is_drawn_with_the_front_at_the_top() {
    let text = BUILT_IN[0].1;
    let drawn = |text: &str| {
        let sheet = sheet("x", &parse_profile(text, "x").unwrap());
        let lines = sheet.lines().skip_while(|line| !line.contains("front")).skip(2).take(2);
        lines.map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect::<Vec<_>>()
    };
    assert_eq!(drawn(text), ["2 1", "4 3"]);
    assert_eq!(drawn(&text.replace("propeller end", "accessory end")), ["4 3", "2 1"]);
    // A pusher: the propeller end is the rear.
    let pusher = text.replace(
        "\"turn_by\": \"propeller\"",
        "\"propeller_at\": \"rear\", \"turn_by\": \"propeller\"",
    );
    assert_ne!(pusher, text);
    assert_eq!(drawn(&pusher), ["4 3", "2 1"]);
}

#[test]
fn the_list_goes_by_shape_and_cylinders_with_order_and_opposites_and_has_the_contracts_json() {
    let (four, twin, nine) =
        (built_in("flat-four"), built_in("vee-twin-shims"), built_in("radial-nine"));
    let rows = [
        ListRow { name: "radial-nine", profile: &nine, built_in: true },
        ListRow { name: "my-twin", profile: &twin, built_in: false },
        ListRow { name: "flat-four", profile: &four, built_in: true },
    ];
    insta::assert_snapshot!(list_text(&rows), @r"
    opposed
      flat-four    Flat four, screw adjusters
                   1-3-2-4; opposites 1-2, 3-4

    vee
      my-twin      Vee twin, 90 degrees, one crank pin, shims (your own)
                   1-2 at 270 and 450°; no opposites

    radial
      radial-nine  Radial nine, fixed cam ring
                   1-3-5-7-9-2-4-6-8; no opposites

    All figures in built-in profiles are examples, not from any manual.
    ");
    assert_eq!(
        list_json(&rows[1..]),
        serde_json::json!({ "profiles": [
            { "name": "my-twin", "title": "Vee twin, 90 degrees, one crank pin, shims", "cylinders": 2, "built_in": false },
            { "name": "flat-four", "title": "Flat four, screw adjusters, order 1-3-2-4", "cylinders": 4, "built_in": true },
        ] })
    );
}

#[test]
fn a_check_that_went_well_says_what_is_worth_a_second_look() {
    assert_eq!(
        check_text("six.json", &built_in("flat-six")),
        "`six.json` is sound: Flat six, screw adjusters, 6 cylinders, 12 valves\n"
    );
    let radial = BUILT_IN.iter().find(|(name, _)| *name == "radial-nine").unwrap().1;
    let profile =
        parse_profile(&radial.replace(",\n    \"cam_ring\": \"fixed\"", ""), "x").unwrap();
    assert_eq!(
        notes(&profile),
        ["a plan is only for a fixed cam ring: look in the manual, and say `layout.cam_ring`"]
    );
}
