//! The smaller objects of a profile's schema, and the kinds of adjuster.

use super::{
    Object, Property, figure, length, list, number, one_of, part, refers, said, text, whole, words,
};
use crate::store::profile_facts as facts;
use crate::store::profile_parts as parts;
use serde_json::{Value, json};

/// Makes the objects that hold only figures and words.
pub(super) fn small_objects() -> Vec<Object> {
    vec![source(), valves(), hot(), rotation(), timing(), gauge_when(), covers(), hardware()]
}

fn object(
    name: &'static str,
    about: &'static str,
    known: &'static [&'static str],
    required: &'static [&'static str],
    properties: Vec<Property>,
) -> Object {
    Object { name, about, known, required, properties }
}

fn event(about: &str, example: &str) -> Value {
    figure(about, &[example])
}

fn source() -> Object {
    object(
        "source",
        "A document.",
        &facts::SOURCE,
        &[],
        vec![
            ("document", words("Its title.", "Example figures, not from any manual")),
            ("revision", words("Its revision.", "C")),
            ("page", words("The page.", "12")),
        ],
    )
}

fn valves() -> Object {
    object(
        "valves",
        "The figures of both kinds.",
        &facts::VALVES,
        &["intake", "exhaust"],
        vec![
            ("intake", part("Intake valves.", "valve")),
            ("exhaust", part("Exhaust valves.", "valve")),
        ],
    )
}

fn hot() -> Object {
    object(
        "hot",
        "Figures of the hot engine.",
        &parts::HOT,
        &["target", "least", "most"],
        vec![
            ("target", length("What a valve is set to.")),
            ("least", length("The least that it may be found at.")),
            ("most", length("The most that it may be found at.")),
        ],
    )
}

fn rotation() -> Object {
    object(
        "rotation",
        "How the crank is turned.",
        &facts::ROTATION,
        &[],
        vec![
            ("turn_by", words("What it is turned by.", "propeller")),
            ("direction", one_of("The running direction.", &facts::DIRECTIONS)),
            ("seen_from", one_of("Where one stands to see that. Left out: rear.", &facts::ENDS)),
            (
                "backwards_allowed",
                said(
                    "Whether it may be turned back. Left out: no.",
                    json!([false]),
                    json!({ "type": "boolean" }),
                ),
            ),
            (
                "propeller_at",
                one_of("Which end the propeller is at. Left out: front.", &facts::PROPELLER_ENDS),
            ),
            ("blades", whole("Blades of the propeller.", (1, u32::from(facts::BLADES_MAX)), 2)),
        ],
    )
}

fn timing() -> Object {
    object(
        "timing",
        "When the valves open and close, in degrees of crank.",
        &facts::TIMING,
        &["intake_opens", "intake_closes", "exhaust_opens", "exhaust_closes"],
        vec![
            ("intake_opens", event("BTDC, or ATDC.", "18 BTDC")),
            ("intake_closes", event("ABDC, or BBDC.", "58 ABDC")),
            ("exhaust_opens", event("BBDC, or ABDC.", "60 BBDC")),
            ("exhaust_closes", event("ATDC, or BTDC.", "16 ATDC")),
            ("ramp", number("Degrees that widen each opening at both ends. Left out: 0.", 8.0)),
        ],
    )
}

fn gauge_when() -> Object {
    object(
        "gauge_when",
        "Cold or hot, and the limit of the head's temperature.",
        &facts::GAUGE_WHEN,
        &[],
        vec![
            ("engine", one_of("Left out: as the figures are.", &facts::ENGINE)),
            ("no_warmer_than", figure("The warmest that it may be.", &["35 °C", "95 °F"])),
            ("no_cooler_than", figure("The coolest that it may be.", &["70 °C"])),
        ],
    )
}

fn covers() -> Object {
    object(
        "covers",
        "What comes off, counted.",
        &facts::COVERS,
        &[],
        vec![
            ("count", whole("How many covers. Left out: 0.", (0, 96), 6)),
            (
                "hardware",
                list(
                    "What each cover is held by.",
                    refers("hardware"),
                    json!([{ "item": "cover screw", "each": 4 }]),
                ),
            ),
            ("torque", figure("Torque of the screws.", &["9 N·m", "80 lbf·in", "9 ± 1 N·m"])),
            (
                "order",
                text("In which order they are tightened.", "snug all in turn, then torque across"),
            ),
        ],
    )
}

fn hardware() -> Object {
    object(
        "hardware",
        "A thing that is counted.",
        &facts::HARDWARE,
        &["item", "each"],
        vec![
            ("item", words("What it is.", "O-ring")),
            ("each", whole("How many at each cover.", (1, 200), 4)),
        ],
    )
}

pub(super) fn adjusters() -> Vec<Object> {
    parts::KINDS
        .into_iter()
        .map(|(word, kind)| {
            let mut properties: Vec<Property> =
                vec![("kind", json!({ "const": word, "description": "How a valve is set." }))];
            let (name, about, own) = adjuster(kind);
            properties.extend(own);
            Object { name, about, known: kind.fields(), required: &["kind"], properties }
        })
        .collect()
}

fn adjuster(kind: parts::AdjusterKind) -> (&'static str, &'static str, Vec<Property>) {
    use parts::AdjusterKind::{None, Pushrod, Screw, Shim};
    let ratio = || number("Valve-side arm over push-rod-side arm. Left out: 1.", 1.4);
    match kind {
        Screw => (
            "adjuster_screw",
            "An adjusting screw with a lock nut.",
            vec![
                ("pitch", figure("Pitch of its thread.", &["1.0 mm", "0.0357 in"])),
                (
                    "fitted_at",
                    one_of(
                        "Which end of the rocker it sits at. Left out: valve end.",
                        &parts::SCREW_ENDS,
                    ),
                ),
                ("rocker_ratio", ratio()),
                ("lock_nut", words("The spanner of the nut.", "14 mm")),
                ("lock_nut_torque", figure("The nut's torque.", &["20 N·m", "175 lbf·in"])),
                ("screw_drive", words("What turns the screw.", "6 mm hex")),
                (
                    "threads_showing",
                    said(
                        "Fewest and most threads above the nut.",
                        json!([[2, 5]]),
                        json!({ "type": "array", "items": { "type": "integer", "minimum": 0, "maximum": 50 }, "minItems": 2, "maxItems": 2 }),
                    ),
                ),
            ],
        ),
        Shim => (
            "adjuster_shim",
            "Shims: their sizes in a list, or a range with its step.",
            vec![
                (
                    "sizes",
                    list("The stocked sizes.", length("A size."), json!(["2.50 mm", "2.55 mm"])),
                ),
                ("from", figure("The thinnest of a range.", &["2.50 mm"])),
                ("to", figure("The thickest of a range.", &["3.50 mm"])),
                ("step", figure("The step of a range.", &["0.05 mm"])),
                (
                    "kept_under_tie",
                    one_of("Between two that are as near, always the thinner.", &parts::TIE),
                ),
            ],
        ),
        Pushrod => (
            "adjuster_pushrod",
            "Push rods of other lengths, under hydraulic lifters that are gauged dry.",
            vec![
                (
                    "lengths",
                    list(
                        "Stocked lengths as differences from standard.",
                        figure("A difference.", &["-1.5 mm"]),
                        json!(["-1.5 mm", "0 mm", "1.5 mm"]),
                    ),
                ),
                ("rocker_ratio", ratio()),
            ],
        ),
        None => ("adjuster_none", "Nothing to set: report only.", vec![]),
    }
}
