//! The JSON Schema (2020-12) of a profile, for editors: names, kinds, descriptions, examples.
//!
//! Words and field names come from the loader's own tables, or are held against them by the tests of
//! this file; what fields mean together is checked by the loader alone. Descriptions say what
//! `profile_facts` and the domain do with a field. Example figures are invented.

use super::profile_facts as facts;
use super::profile_fields::{TEXT_MAX, WORDS_MAX};
use super::profile_parts as parts;
mod small;

use crate::domain::profile::VALVES_PER_CYLINDER_MAX;
use serde_json::{Map, Value, json};
use small::{adjusters, small_objects};

/// A field of an object.
type Property = (&'static str, Value);

/// An object that a profile is made of.
struct Object {
    name: &'static str,
    about: &'static str,
    /// The fields that the loader knows.
    known: &'static [&'static str],
    required: &'static [&'static str],
    properties: Vec<Property>,
}

impl Object {
    fn schema(self) -> Value {
        // Nothing is told that the loader does not know.
        let known = self.known.iter();
        let known = known.filter_map(|name| self.properties.iter().find(|(own, _)| own == name));
        let properties: Map<String, Value> =
            known.map(|(name, value)| ((*name).into(), value.clone())).collect();
        let mut schema = json!({
            "type": "object", "description": self.about, "properties": properties,
            "additionalProperties": false,
        });
        if let (false, Some(members)) = (self.required.is_empty(), schema.as_object_mut()) {
            members.insert("required".into(), json!(self.required));
        }
        schema
    }
}

/// Returns the schema as one JSON document.
pub fn schema() -> Value {
    let objects = objects();
    let mut document = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A kind of engine, for a valve-clearance service",
    });
    let mut definitions = Map::new();
    for object in objects {
        let (name, schema) = (object.name, object.schema());
        match (name, document.as_object_mut(), schema) {
            ("profile", Some(document), Value::Object(profile)) => document.extend(profile),
            (_, _, schema) => {
                definitions.insert(name.into(), schema);
            }
        }
    }
    let kinds = parts::KINDS.map(|(word, _)| refers(&format!("adjuster_{word}")));
    let about = "How a valve is set. Without it nothing is set: the service only reports.";
    definitions.insert("adjuster".into(), json!({ "description": about, "oneOf": kinds }));
    if let Some(document) = document.as_object_mut() {
        document.insert("$defs".into(), Value::Object(definitions));
    }
    document
}

fn refers(name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}") })
}

fn said(about: &str, examples: Value, mut schema: Value) -> Value {
    if let Some(members) = schema.as_object_mut() {
        members.insert("description".into(), json!(about));
        members.insert("examples".into(), examples);
    }
    schema
}

fn words(about: &str, example: &str) -> Value {
    said(about, json!([example]), json!({ "type": "string", "maxLength": WORDS_MAX }))
}

fn text(about: &str, example: &str) -> Value {
    said(about, json!([example]), json!({ "type": "string", "maxLength": TEXT_MAX }))
}

/// A figure with its unit, as the loader reads it.
fn figure(about: &str, examples: &[&str]) -> Value {
    said(about, json!(examples), json!({ "type": "string" }))
}

fn length(about: &str) -> Value {
    figure(&format!("{about} A length with its unit."), &["0.15 mm", "0.006 in", "6 thou"])
}

fn number(about: &str, example: f64) -> Value {
    said(about, json!([example]), json!({ "type": "number" }))
}

fn whole(about: &str, (least, most): (u32, u32), example: u32) -> Value {
    let schema = json!({ "type": "integer", "minimum": least, "maximum": most });
    said(about, json!([example]), schema)
}

fn list(about: &str, item: Value, example: Value) -> Value {
    said(about, json!([example]), json!({ "type": "array", "items": item }))
}

/// One of the words of a table of the loader.
fn one_of<T>(about: &str, table: &[(&str, T)]) -> Value {
    let words: Vec<&str> = table.iter().map(|(word, _)| *word).collect();
    said(about, json!([words.first()]), json!({ "enum": words }))
}

fn part(about: &str, name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}"), "description": about })
}

fn cylinder() -> Value {
    json!({ "type": "integer", "minimum": 1, "maximum": facts::CYLINDER_MAX })
}

fn objects() -> Vec<Object> {
    let mut objects = vec![profile(), layout(), bank(), valve(), stop()];
    objects.extend(small_objects());
    objects.extend(adjusters());
    objects
}

fn profile() -> Object {
    Object {
        name: "profile",
        about: "Describes one kind of engine. Lengths, torques and temperatures are texts with their unit.",
        known: &facts::PROFILE,
        required: &["format", "name", "cylinders", "firing_order", "layout", "valves"],
        properties: [naming(), working()].concat(),
    }
}

fn naming() -> Vec<Property> {
    let most = u32::from(facts::CYLINDER_MAX);
    vec![
        ("$schema", json!({ "type": "string", "description": "For editors; it is not read." })),
        ("format", said("The format of this file.", json!([1]), json!({ "const": 1 }))),
        ("name", words("What kind of engine it is.", "Flat six, screw adjusters")),
        ("source", part("The document that the figures come from.", "source")),
        ("cylinders", whole("How many cylinders.", (1, most), 6)),
        (
            "firing_order",
            list(
                "Each cylinder once, in the engine's own numbering.",
                cylinder(),
                json!([1, 4, 5, 2, 3, 6]),
            ),
        ),
        (
            "firing_intervals",
            list(
                "Crank degrees from each firing to the next, in firing order, 720 in all. Left out: even.",
                json!({ "type": "number" }),
                json!([270, 450]),
            ),
        ),
        ("layout", part("How the cylinders stand.", "layout")),
    ]
}

fn working() -> Vec<Property> {
    vec![
        ("rotation", part("How the crank is turned.", "rotation")),
        ("valves", part("What the valves are gauged by.", "valves")),
        (
            "valve_timing",
            part(
                "When the valves open and close. Left out: an assumed timing, marked as such.",
                "timing",
            ),
        ),
        ("adjuster", part("How a valve is set.", "adjuster")),
        ("gauge_when", part("Cold or hot, and the temperature limit.", "gauge_when")),
        (
            "leaves",
            list(
                "Leaves that the service needs.",
                length("A leaf."),
                json!(["0.15 mm", "0.20 mm"]),
            ),
        ),
        ("covers", part("What comes off, counted.", "covers")),
        ("interval_hours", number("Running hours between services.", 100.0)),
        ("interval_months", whole("Months between services.", (1, 1200), 12)),
        ("first_interval_hours", number("Hours to the first service of a new engine.", 25.0)),
        (
            "cautions",
            list(
                "What this engine's manual adds to the built-in cautions.",
                json!({ "type": "string", "maxLength": TEXT_MAX }),
                json!(["Never turn it backwards."]),
            ),
        ),
        (
            "stops",
            list(
                "The manual's own table of crank positions, used as written.",
                refers("stop"),
                json!([{ "watch": 3, "gauge": ["1 intake"] }]),
            ),
        ),
        (
            "overlap_looks_like",
            text(
                "What is seen at overlap on this engine.",
                "exhaust rocker nearly up, intake rocker just going down",
            ),
        ),
    ]
}

fn layout() -> Object {
    Object {
        name: "layout",
        about: "How the cylinders stand.",
        known: &facts::LAYOUT,
        required: &["shape", "banks"],
        properties: vec![
            ("shape", one_of("The shape of the engine.", &facts::SHAPES)),
            (
                "listed_from",
                one_of("The end from which cylinders are listed. Left out: front.", &facts::ENDS),
            ),
            (
                "banks",
                list(
                    "The banks; of a radial its rows.",
                    refers("bank"),
                    json!([{ "name": "right", "cylinders": [1, 3] }]),
                ),
            ),
            ("angle", number("Degrees between the banks of a vee.", 90.0)),
            ("cam_ring", one_of("Of a radial. A floating ring needs `stops`.", &facts::RINGS)),
        ],
    }
}

fn bank() -> Object {
    let label = json!({ "type": "string", "maxLength": WORDS_MAX });
    Object {
        name: "bank",
        about: "A bank, or a row of a radial.",
        known: &facts::BANK,
        required: &["cylinders"],
        properties: vec![
            (
                "name",
                words("What it is called. Left and right are as seen from the rear.", "right"),
            ),
            (
                "cylinders",
                list(
                    "From the listed end; of a radial clockwise, seen from the rear.",
                    cylinder(),
                    json!([1, 3, 5]),
                ),
            ),
            ("side", one_of("Its side, where the name does not tell it.", &facts::SIDES)),
            (
                "valves_along",
                text("Kinds of valve as they stand from the listed end.", "E I I E E I I E"),
            ),
            ("labels", list("How the manual calls each cylinder.", label, json!(["6R"]))),
            (
                "first_at",
                number("Of a radial's row: degrees from the top to its first cylinder.", 0.0),
            ),
        ],
    }
}

fn valve() -> Object {
    let position = json!({ "oneOf": [
        { "type": "string", "maxLength": WORDS_MAX },
        { "type": "array", "items": { "type": "string", "maxLength": WORDS_MAX } },
    ] });
    Object {
        name: "valve",
        about: "The figures of one kind of valve: cold ones, `hot` ones, or both.",
        known: &parts::VALVE,
        required: &[],
        properties: vec![
            (
                "per_cylinder",
                whole(
                    "Valves of this kind in each cylinder. Left out: 1.",
                    (1, u32::from(VALVES_PER_CYLINDER_MAX)),
                    2,
                ),
            ),
            ("target", length("What a valve is set to.")),
            ("least", length("The least that it may be found at.")),
            ("most", length("The most that it may be found at.")),
            (
                "set_least",
                length("The least that it may be left at once touched. Left out: as `least`."),
            ),
            (
                "set_most",
                length("The most that it may be left at once touched. Left out: as `most`."),
            ),
            ("hot", part("Figures of the hot engine.", "hot")),
            (
                "position",
                said(
                    "Where it sits, as seen at the engine; a list where there are several. Left and right of a radial: of a cylinder that stands upright, seen from the rear.",
                    json!(["upper", ["front", "rear"]]),
                    position,
                ),
            ),
            (
                "leaves_at_once",
                whole(
                    "Leaves used at the same time: 2 under a forked rocker. Left out: 1.",
                    (1, 4),
                    2,
                ),
            ),
        ],
    }
}

fn stop() -> Object {
    let valve = || figure("A valve.", &["1 intake", "1 exhaust 2"]);
    Object {
        name: "stop",
        about: "One crank position of the manual's table.",
        known: &parts::STOP,
        required: &["watch", "gauge"],
        properties: vec![
            ("watch", said("The cylinder that is watched.", json!([3]), cylinder())),
            ("sign", one_of("What is seen there. Left out: overlap.", &parts::SIGNS)),
            (
                "then_turn",
                said(
                    "Degrees to turn on after that. Left out: 0.",
                    json!([360]),
                    json!({ "enum": [0, 360] }),
                ),
            ),
            ("unload", list("Valves pressed open meanwhile.", valve(), json!(["8 intake"]))),
            ("gauge", list("Valves gauged there.", valve(), json!(["1 intake", "1 exhaust"]))),
            (
                "say",
                text(
                    "What else is said; for a mark, which one.",
                    "mark T on the rim under the pointer",
                ),
            ),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_object_has_just_the_fields_that_the_loader_knows() {
        for object in objects() {
            let known: BTreeSet<&str> = object.known.iter().copied().collect();
            let told: BTreeSet<&str> = object.properties.iter().map(|(name, _)| *name).collect();
            assert_eq!(told, known, "{}", object.name);
            assert_eq!(object.properties.len(), known.len(), "{}", object.name);
            for field in object.required {
                assert!(known.contains(field), "{}: {field}", object.name);
            }
        }
    }

    #[test]
    fn every_field_says_what_it_is_and_shows_an_example() {
        for object in objects() {
            for (name, schema) in &object.properties {
                assert!(schema["description"].is_string(), "{}.{name}", object.name);
                let fixed = schema.get("const").is_some() || schema.get("$ref").is_some();
                let shows = schema["examples"].as_array().is_some_and(|all| !all.is_empty());
                assert!(fixed || shows || *name == "$schema", "{}.{name}", object.name);
            }
        }
    }
}
