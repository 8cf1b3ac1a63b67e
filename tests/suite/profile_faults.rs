//! What is said where a profile cannot stand: every rule broken once, with the exact message.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use super::profiles::{EXAMPLE, OUT, example, read, table};
use cowlside::store::profile_error::ProfileError;
use cowlside::store::profile_file::parse_profile;
use serde_json::{Value, json};

/// Cases as text: lines of changes, then the message, indented.
const CASES: &str = include_str!("profile_faults.txt");

#[test]
fn every_broken_rule_is_refused_in_plain_words() {
    let mut base: fn() -> Value = example;
    let mut changes: Vec<(&str, Value)> = Vec::new();
    let mut wrong = Vec::new();
    let mut count = 0;
    for line in CASES.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        if line.starts_with('[') {
            base = if line.starts_with("[table]") { table } else { example };
        } else if let Some(message) = line.strip_prefix("  ") {
            let found = read(base(), &changes).err().unwrap_or_default();
            if found != message {
                wrong.push(format!("{changes:?}\n  found  {found}\n  wanted {message}"));
            }
            changes.clear();
            count += 1;
        } else {
            let (pointer, value) = line.split_once(" = ").unwrap();
            let value = if value == "out" { OUT } else { value };
            changes.push((pointer, serde_json::from_str(value).unwrap_or(json!(OUT))));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(count > 100, "{count}");
}

#[test]
fn the_loader_names_the_slips_that_manuals_print() {
    // check-values 14: TM 10-4320-307-24 p. 2-223 (two), TM 9-4310-397-14, TM 5-3805-258-24-1.
    for (pointer, printed, slip) in [
        ("/valves/intake/target", "0.011 in / 0.028 mm", "the decimal point seems to have slipped"),
        ("/valves/exhaust/most", "0.023 in (0.058 mm)", "the decimal point seems to have slipped"),
        ("/valves/intake/least", "0.006 in (0.015 mm)", "the decimal point seems to have slipped"),
        ("/valves/intake/least", "0.006 in / 0.006 mm", "one of the units seems to be wrong"),
        ("/covers/torque", "28 ± 4 N·m (22 ± 3 lb ft)", "one of the figures is wrong"),
    ] {
        let refused = read(example(), &[(pointer, json!(printed))]).unwrap_err();
        let field = pointer.trim_start_matches('/').replace('/', ".");
        assert!(refused.contains(&field) && refused.contains(slip), "{refused}");
    }
}

#[test]
fn what_looks_odd_and_is_sound_is_taken() {
    let twin = |intervals: [f64; 2]| {
        let banks = json!([{ "cylinders": [1] }, { "cylinders": [2] }]);
        [
            ("/cylinders", json!(2)),
            ("/firing_order", json!([1, 2])),
            ("/layout/banks", banks),
            ("/firing_intervals", json!(intervals)),
        ]
    };
    // 305 and 405 stand in print for a 45 degree vee twin: check-values [S14].
    assert_eq!(
        read(example(), &twin([305.0, 405.0])).unwrap_err(),
        "`firing_intervals` is 305 + 405, together 710, but must add up to 720 degrees"
    );
    // Uneven twins of check-values 1.6; the last is 720 within 0.01.
    for intervals in [[315.0, 405.0], [270.0, 450.0], [180.0, 540.0], [359.995, 360.0]] {
        assert_eq!(read(example(), &twin(intervals)), Ok(()));
    }
    let rows = json!([{ "cylinders": [1, 3, 5] }, { "cylinders": [2, 4, 6], "first_at": 60 }]);
    let radial = [("/layout/shape", json!("radial")), ("/layout/banks", rows)];
    assert_eq!(read(example(), &radial), Ok(()));
    let vee = [("/layout/shape", json!("vee")), ("/layout/angle", json!(60))];
    assert_eq!(read(example(), &vee), Ok(()));
    // Checked in 0.30 to 0.40 mm, set in 0.35 to 0.40 mm: check-values [S27].
    let bands = json!({ "target": "0.40 mm", "least": "0.30 mm", "most": "0.40 mm", "set_least": "0.35 mm" });
    assert_eq!(read(example(), &[("/valves/intake", bands)]), Ok(()));
    // No overlap at all, an early textbook's timing: check-values [S50].
    let timing = json!({ "intake_opens": "15 ATDC", "intake_closes": "35 ABDC",
        "exhaust_opens": "40 BBDC", "exhaust_closes": "10 ATDC" });
    assert_eq!(read(example(), &[("/valve_timing", timing)]), Ok(()));
}

#[test]
fn an_engine_has_at_most_256_valves() {
    let order: Vec<u8> = (1..=24).collect();
    let found = read(
        example(),
        &[
            ("/cylinders", json!(24)),
            ("/firing_order", json!(order)),
            ("/firing_intervals", json!(OUT)),
            ("/layout/banks", json!([{ "cylinders": order }])),
            ("/valves/intake/per_cylinder", json!(8)),
            ("/valves/exhaust/per_cylinder", json!(8)),
        ],
    );
    assert_eq!(
        found.unwrap_err(),
        "`cylinders` is 24 with 384 valves in all, but must have at most 256 valves in all"
    );
}

#[test]
fn unknown_fields_are_refused_with_the_nearest_known_one() {
    let unknown = |path: &str, near: &str| {
        format!(
            "`{path}` is no field that is known here, but must be left out or spelled as the nearest one, `{near}`"
        )
    };
    for (pointer, near) in [
        ("/firingorder", "firing_order"),
        ("/source/pages", "page"),
        ("/layout/bank", "banks"),
        ("/layout/banks/0/cilinders", "cylinders"),
        ("/rotation/turned_by", "turn_by"),
        ("/valves/inlet", "intake"),
        ("/valves/intake/traget", "target"),
        ("/valve_timing/ramps", "ramp"),
        ("/adjuster/lock_nut_torqe", "lock_nut_torque"),
        ("/gauge_when/engin", "engine"),
        ("/covers/counts", "count"),
        ("/covers/hardware/0/itm", "item"),
    ] {
        let path = pointer.trim_start_matches('/').replace("/0", "[0]").replace('/', ".");
        assert_eq!(read(example(), &[(pointer, json!(1))]).unwrap_err(), unknown(&path, near));
    }
    assert_eq!(
        read(table(), &[("/stops/0/guage", json!(1))]).unwrap_err(),
        unknown("stops[0].guage", "gauge")
    );
    assert_eq!(
        read(table(), &[("/valves/exhaust/hot/set_least", json!(1))]).unwrap_err(),
        unknown("valves.exhaust.hot.set_least", "least")
    );
    assert_eq!(read(example(), &[("/$schema", json!("anything"))]), Ok(()));
}

#[test]
fn a_later_format_is_refused_before_its_fields_are_looked_at() {
    assert_eq!(
        read(example(), &[("/format", json!(2)), ("/new_field", json!(1))]).unwrap_err(),
        "`twin.json` is written for a newer version: its `format` is 2, this program knows 1"
    );
    for (format, found) in
        [(json!(0), "0"), (json!("1"), "\"1\""), (json!(OUT), "missing"), (json!(null), "null")]
    {
        assert_eq!(
            read(example(), &[("/format", format)]).unwrap_err(),
            format!("`format` is {found}, but must be 1, the format that this program knows")
        );
    }
}

#[test]
fn hidden_characters_are_refused_wherever_they_stand() {
    for hidden in ["\u{1b}[31m", "\u{202e}", "\u{200b}", "\u{ad}", "\u{feff}", "\n", "\u{e0041}"] {
        let code = hidden.chars().next().map(|sign| format!("U+{:04X}", u32::from(sign))).unwrap();
        for (pointer, path) in [
            ("/name", "name"),
            ("/cautions/0", "cautions[0]"),
            ("/layout/banks/0/name", "layout.banks[0].name"),
            ("/covers/hardware/0/item", "covers.hardware[0].item"),
            ("/$schema", "$schema"),
        ] {
            assert_eq!(
                read(example(), &[(pointer, json!(format!("a{hidden}b")))]).unwrap_err(),
                format!(
                    "`{path}` is a text with the hidden character {code}, but must be plain text"
                )
            );
        }
        assert_eq!(
            read(example(), &[(&format!("/source/a{hidden}"), json!(1))]).unwrap_err(),
            format!(
                "`source` is an object with the hidden character {code} in a field's name, but must have plain names"
            )
        );
    }
}

/// What is changed, into what, what is said, and what is to be done.
const NOT_JSON: [[&str; 4]; 11] = [
    [
        "\"ramp\": 8 ",
        "\"ramp\": 8,5 ",
        "line 23, column 88: not JSON: a digit where a field's name must stand",
        "Write decimal numbers with a point: 0.5, not 0,5.",
    ],
    [
        "[1, 3, 5]",
        "[1, 3, 5,]",
        "line 12, column 48: not JSON: a comma before the closing bracket",
        "Take out the last comma.",
    ],
    [
        "\"cylinders\": 6",
        "\"cylinders\": 06",
        "line 5, column 17: not JSON: a number that JSON does not know",
        "Write numbers as 0.5 or 12: no plus sign, no leading zero, a digit on both sides of the point.",
    ],
    [
        "\"cylinders\": 6",
        "\"cylinders\": +6",
        "line 5, column 16: not JSON: `+` cannot stand here",
        "Write numbers as 0.5 or 12: no plus sign, a digit on both sides of the point.",
    ],
    [
        "\"cylinders\": 6",
        "\"cylinders\": NaN",
        "line 5, column 16: not JSON: `N` cannot stand here",
        "Write `true`, `false` or a number.",
    ],
    [
        "\"cylinders\": 6",
        "\"cylinders\": 1e400",
        "line 5, column 20: not JSON: a number too large to be meant",
        "Correct the number.",
    ],
    [
        "\"opposed\"",
        "'opposed'",
        "line 9, column 14: not JSON: `'` cannot stand here",
        "Put texts in straight double quotes.",
    ],
    [
        "\"cylinders\": 6,",
        "\"cylinders\": 6",
        "line 6, column 3: not JSON: `\"` cannot stand here",
        "Put a comma between the fields.",
    ],
    [
        "\"cylinders\": 6,",
        "\"cylinders\": 6, // six",
        "line 5, column 19: not JSON: a field's name without double quotes",
        "Put the field's name in double quotes.",
    ],
    [
        "\"cylinders\": 6",
        "\"cylinders\" 6",
        "line 5, column 15: not JSON: no colon after a field's name",
        "Write a field as `\"name\": value`.",
    ],
    [
        "propeller end",
        "propeller\nend",
        "line 10, column 30: not JSON: a line break or control character inside a text",
        "Keep each text on one line; close it with a double quote.",
    ],
];

#[test]
fn a_text_that_is_not_json_is_refused_with_the_place_and_what_to_do() {
    for [from, to, message, hint] in NOT_JSON {
        let text = EXAMPLE.replacen(from, to, 1);
        assert_ne!(text, EXAMPLE, "{from}");
        let error = parse_profile(&text, "six.json").unwrap_err();
        let found = (error.to_string(), error.hint());
        assert_eq!(found, (format!("`six.json`, {message}"), hint.to_string()), "{to}");
    }
}

#[test]
fn a_file_that_is_cut_off_doubled_or_wrapped_is_refused() {
    let refused = |text: &str| parse_profile(text, "six.json").unwrap_err();
    assert_eq!(
        refused("").to_string(),
        "`six.json`, line 1, column 1: not JSON: it ends too early"
    );
    assert_eq!(
        refused(&EXAMPLE[..400]).hint(),
        "Close every text, list and object, or fetch the whole file again."
    );
    assert_eq!(
        refused(&format!("{EXAMPLE}{EXAMPLE}")).hint(),
        "Take out what follows the last `}`."
    );
    assert_eq!(
        refused(&format!("\u{feff}{EXAMPLE}")).to_string(),
        "`six.json`, line 1, column 1: not JSON: it begins with a byte-order mark"
    );
    assert_eq!(
        refused(&" ".repeat(64 * 1024 + 1)).to_string(),
        "`six.json` is longer than 64 KiB, the most that a profile may be"
    );
    assert_eq!(
        refused(&"[".repeat(60_000)).hint(),
        "Compare the file with a built-in profile: `cowlside profiles show flat-four`."
    );
    assert_eq!(
        refused("[]").to_string(),
        "`six.json`, line 1, column 1: `(the whole file)` is a list, but must be an object in curly brackets"
    );
    let twice = EXAMPLE.replace("\"cylinders\": 6,", "\"cylinders\": 6,\n  \"cylinders\": 4,");
    let error = refused(&twice);
    assert_eq!(
        error.to_string(),
        "`six.json`, line 6, column 3: `cylinders` is given twice, but must be given once"
    );
    assert_eq!(error.hint(), "Correct that field, then try `cowlside profiles check FILE`.");
    assert!(matches!(error, ProfileError::Wrong { .. }));
}
