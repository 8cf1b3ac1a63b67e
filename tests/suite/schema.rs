//! The JSON Schema of a profile against the loader: what ships is valid by both, what is wrong is
//! wrong by both, and what the schema requires the loader asks for.
//!
//! The checker here knows the few words of JSON Schema 2020-12 that our schema uses, and stops at any
//! other.

use cowlside::store::profile_file::parse_profile;
use cowlside::store::profile_schema::schema;
use cowlside::store::profiles::BUILT_IN;
use serde_json::{Value, json};

/// Says what is wrong with a value by one word that looks at nothing within it.
fn alone(word: &str, what: &Value, value: &Value) -> Option<String> {
    let bound = || what.as_u64().unwrap();
    let count = value.as_array().map(|items| items.len() as u64);
    let right = match word {
        "type" => match what.as_str().unwrap() {
            "object" => value.is_object(),
            "array" => value.is_array(),
            "string" => value.is_string(),
            "boolean" => value.is_boolean(),
            "number" => value.is_number(),
            "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
            other => panic!("type {other}"),
        },
        "const" => value == what,
        "enum" => what.as_array().unwrap().contains(value),
        "minimum" => value.as_f64().is_none_or(|number| number >= what.as_f64().unwrap()),
        "maximum" => value.as_f64().is_none_or(|number| number <= what.as_f64().unwrap()),
        "maxLength" => value.as_str().is_none_or(|text| text.chars().count() as u64 <= bound()),
        "minItems" => count.is_none_or(|count| count >= bound()),
        "maxItems" => count.is_none_or(|count| count <= bound()),
        other => panic!("the checker does not know {other}"),
    };
    (!right).then(|| format!("{word} {what}"))
}

/// Lists what is wrong with a value.
fn faults(root: &Value, schema: &Value, value: &Value, path: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    for (word, what) in schema.as_object().unwrap() {
        match word.as_str() {
            "$schema" | "title" | "description" | "examples" | "$defs" => {}
            "$ref" => {
                let at = what.as_str().unwrap().strip_prefix('#').unwrap();
                wrong.extend(faults(root, root.pointer(at).unwrap(), value, path));
            }
            "items" => {
                for (at, item) in value.as_array().into_iter().flatten().enumerate() {
                    wrong.extend(faults(root, what, item, &format!("{path}[{at}]")));
                }
            }
            "required" => {
                let names = what.as_array().unwrap().iter().filter_map(Value::as_str);
                let lacks = names.filter(|name| value.is_object() && value.get(name).is_none());
                wrong.extend(lacks.map(|name| format!("{path}: lacks {name}")));
            }
            "properties" => {
                for (name, member) in value.as_object().into_iter().flatten() {
                    match what.get(name) {
                        Some(part) => {
                            wrong.extend(faults(root, part, member, &format!("{path}.{name}")));
                        }
                        None => wrong.push(format!("{path}: does not know {name}")),
                    }
                }
            }
            "additionalProperties" => assert_eq!(what, false),
            "oneOf" => {
                let fits = |part: &&Value| faults(root, part, value, path).is_empty();
                let count = what.as_array().unwrap().iter().filter(fits).count();
                if count != 1 {
                    wrong.push(format!("{path}: {count} of the choices fit"));
                }
            }
            word => wrong.extend(alone(word, what, value).map(|words| format!("{path}: {words}"))),
        }
    }
    wrong
}

pub fn by_schema(profile: &Value) -> Vec<String> {
    let schema = schema();
    faults(&schema, &schema, profile, "")
}

fn by_loader(profile: &Value) -> Result<(), String> {
    parse_profile(&profile.to_string(), "test").map(|_| ()).map_err(|error| error.to_string())
}

#[test]
fn the_file_beside_the_profiles_is_what_the_command_prints() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/profile.schema.json");
    let printed = crate::cli::Place::new().run_unsettled(&["profiles", "schema"]);
    let kept = std::fs::read_to_string(path).unwrap();
    assert_eq!(kept, printed.done(), "write it anew: cowlside profiles schema > {path}");
    assert_eq!(schema()["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

#[test]
fn every_profile_that_ships_names_the_schema_and_is_valid_by_it() {
    for (name, text) in BUILT_IN {
        let profile: Value = serde_json::from_str(text).unwrap();
        assert_eq!(profile["$schema"], "./profile.schema.json", "{name}");
        assert_eq!(by_schema(&profile), Vec::<String>::new(), "{name}");
    }
    let readme = include_str!("../../README.md");
    let shown = readme.split("```json\n").nth(1).unwrap().split("```").next().unwrap();
    assert_eq!(by_schema(&serde_json::from_str(shown).unwrap()), Vec::<String>::new());
}

/// A shipped profile with a value put in place of what stands at a path; `null` takes it out.
fn with(name: &str, path: &str, value: Value) -> Value {
    let (_, text) = BUILT_IN.iter().find(|(other, _)| *other == name).unwrap();
    let mut profile: Value = serde_json::from_str(text).unwrap();
    let (object, member) = path.rsplit_once('/').unwrap();
    let members = profile.pointer_mut(object).unwrap().as_object_mut().unwrap();
    match value {
        Value::Null => {
            assert!(members.remove(member).is_some(), "{name} has no {path}")
        }
        value => drop(members.insert(member.to_string(), value)),
    }
    profile
}

#[test]
fn what_is_wrong_by_the_schema_is_refused_by_the_loader_too() {
    for (name, path, value) in [
        ("flat-four", "/format", json!(0)),
        ("flat-four", "/cylinders", json!("four")),
        ("flat-four", "/cylinders", json!(0)),
        ("flat-four", "/cylinders", json!(200)),
        ("flat-four", "/colour", json!("red")),
        ("flat-four", "/name", json!("x".repeat(81))),
        ("flat-four", "/firing_order", json!([1, 3, 2, "4"])),
        ("flat-four", "/layout/shape", json!("boxer")),
        ("flat-four", "/layout/listed_from", json!("top")),
        ("flat-four", "/layout/banks/0/side", json!("upper")),
        ("flat-four", "/layout/banks/0/color", json!("red")),
        ("flat-four", "/rotation/direction", json!("right")),
        ("flat-four", "/rotation/backwards_allowed", json!("no")),
        ("flat-four", "/rotation/blades", json!(13)),
        ("flat-four", "/valves/intake/per_cylinder", json!(2.5)),
        ("flat-four", "/valves/intake/leaves_at_once", json!(5)),
        ("flat-four", "/valves/intake/target", json!(0.15)),
        ("flat-four", "/adjuster/kind", json!("wedge")),
        ("flat-four", "/adjuster/sizes", json!(["2.5 mm"])),
        ("flat-four", "/adjuster/threads_showing", json!([2])),
        ("flat-four", "/adjuster/fitted_at", json!("middle")),
        ("flat-four", "/gauge_when/engine", json!("warm")),
        ("flat-four", "/covers/hardware", json!([{ "item": "screw" }])),
        ("flat-four", "/covers/count", json!(97)),
        ("flat-four", "/interval_months", json!(0)),
        ("radial-nine-table", "/stops/0/sign", json!("noon")),
        ("radial-nine-table", "/stops/0/then_turn", json!(180)),
        ("vee-twin-shims", "/adjuster/kept_under_tie", json!("thicker")),
    ] {
        let profile = with(name, path, value.clone());
        assert!(!by_schema(&profile).is_empty(), "the schema takes {path} {value}");
        assert!(by_loader(&profile).is_err(), "the loader takes {path} {value}");
    }
}

#[test]
fn what_the_schema_requires_the_loader_asks_for_and_nothing_else() {
    for name in ["flat-four", "vee-twin-shims", "radial-nine-table", "flat-six-hydraulic"] {
        let (_, text) = BUILT_IN.iter().find(|(other, _)| *other == name).unwrap();
        let whole: Value = serde_json::from_str(text).unwrap();
        for path in members(&whole, "") {
            let less = with(name, &path, Value::Null);
            let by_schema = by_schema(&less).iter().any(|fault| fault.contains("lacks"));
            let field = path.rsplit('/').next().unwrap();
            let missing = by_loader(&less).is_err_and(|words| words.contains("missing"));
            // A valve's cold figures may be left out where it has hot ones; a range of shims has all
            // three of its fields: what depends on another field the loader alone tells.
            let depends = ["target", "least", "most", "from", "to", "step"];
            // One of several kinds fits none where its `kind` is missing.
            let kind = path == "/adjuster/kind";
            if depends.contains(&field) || kind {
                assert!(missing, "{name} {path}");
            } else {
                assert_eq!(by_schema, missing, "{name} {path}: {:?}", by_loader(&less));
            }
        }
    }
}

/// Lists the paths of all members, in lists of their first item.
fn members(value: &Value, path: &str) -> Vec<String> {
    match value {
        Value::Object(members_of) => members_of
            .iter()
            .flat_map(|(name, member)| {
                let path = format!("{path}/{name}");
                std::iter::once(path.clone()).chain(members(member, &path))
            })
            .collect(),
        Value::Array(items) => {
            items.first().map_or(Vec::new(), |item| members(item, &format!("{path}/0")))
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    }
}
