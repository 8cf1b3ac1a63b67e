//! Advice on one reading (contract 6): the JSON document and a few lines of text.
//!
//! What is advised is worked out in `domain::advice`; here it is only put into numbers and words.

use crate::domain::advice::{Action, Advice, Choice, Fit, Turn, turn_of_screw_words};
use crate::domain::leaves;
use crate::domain::profile::Facts;
use crate::domain::reading::{Meaning, interpret_words};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::verdict::Band;
use crate::report::wrapped;
use serde_json::{Value, json};

/// Makes the document of `advise --json`; every length is in the profile's unit.
pub fn advice_json(facts: &Facts, meaning: &Meaning, advice: &Advice) -> Value {
    let unit = facts.unit;
    let number = |length: Option<Length>| length.map(|length| length.in_unit(unit));
    json!({
        "valve": {
            "cylinder": advice.valve.cylinder,
            "valve": advice.valve.kind.word(),
            "number": advice.valve.number,
        },
        "reading": {
            "typed": meaning.typed,
            "low": number(meaning.low),
            "high": number(meaning.high),
            "nominal": number(meaning.nominal),
            "unit": unit.word(),
        },
        "verdict": advice.verdict.word(),
        "action": action_json(&advice.action, unit),
    })
}

fn action_json(action: &Action, unit: LengthUnit) -> Value {
    let number = |length: Option<Length>| length.map(|length| length.in_unit(unit));
    match action {
        Action::Screw { direction, turn } => json!({
            "kind": "screw",
            "direction": direction.word(),
            "degrees": turn.map(|turn| turn.degrees),
            "turns": turn.map(Turn::turns),
            "predicted": number(turn.map(|turn| turn.predicted)),
        }),
        Action::Shim { fit } => json!({
            "kind": "shim",
            "fit": number(fit.map(|fit| fit.size)),
            "predicted": number(fit.map(|fit| fit.predicted)),
        }),
        Action::Pushrod { choices, fit } => {
            let choice = |choice: &Choice| {
                json!({
                    "length": choice.length.in_unit(unit),
                    "predicted": number(choice.predicted),
                    "room": number(choice.room),
                })
            };
            let choices: Vec<Value> = choices.iter().map(choice).collect();
            json!({ "kind": "pushrod", "choices": choices, "fit": number(*fit) })
        }
        Action::None { settle: Some(leaf) } => {
            json!({ "kind": "none", "settle": leaf.in_unit(unit) })
        }
        Action::None { settle: None } => json!({ "kind": "none" }),
    }
}

/// Puts advice into a few lines of text, at most 80 columns wide.
pub fn advice_text(facts: &Facts, meaning: &Meaning, advice: &Advice) -> String {
    let unit = facts.unit;
    let figures = facts.figures(advice.valve.kind);
    let band = Band::found(&figures);
    let mut lines = vec![
        format!("{}: {}", advice.valve, interpret_words(meaning, unit)),
        format!(
            "{}: limits {} to {}, target {}",
            advice.verdict.word(),
            band.least.digits(unit),
            band.most.text(unit),
            figures.target.text(unit)
        ),
    ];
    match &advice.action {
        Action::Screw { direction, turn: Some(turn) } => {
            let words = turn_of_screw_words(*direction, turn.degrees);
            lines.push(format!("turn the screw {words}: {} expected", turn.predicted.text(unit)));
            lines.push("The gauge decides: lock the nut, then gauge again.".into());
        }
        Action::Screw { direction, turn: None } => {
            let why = if meaning.nominal.is_none() {
                "an open reading gives no amount"
            } else {
                "the profile has no pitch, so no amount is known"
            };
            lines.push(format!("turn the screw {}: {why}", direction.word()));
            lines.push("The gauge decides: lock the nut, then gauge again.".into());
        }
        Action::Shim { fit } => lines.extend(shim_lines(*fit, meaning, band, unit)),
        Action::Pushrod { choices, fit } => lines.extend(rod_lines(choices, *fit, meaning, unit)),
        Action::None { settle: Some(leaf) } => {
            let set = leaves::of_profile(facts);
            let (name, size) = (leaves::named(&set, *leaf), leaf.both(unit));
            lines.push(format!("try leaf {name}, {size}: does it go in?"));
        }
        Action::None { settle: None } => lines.push("nothing to do".into()),
    }
    lines.iter().map(|line| wrapped("", line)).collect()
}

const OPEN: &str = "an open reading gives no amount: gauge it with a pair of leaves";

fn shim_lines(fit: Option<Fit>, meaning: &Meaning, band: Band, unit: LengthUnit) -> Vec<String> {
    let Some(fit) = fit else {
        let why = if meaning.nominal.is_none() { OPEN } else { "the profile lists no shims" };
        return vec![why.into()];
    };
    let (size, predicted) = (fit.size.text(unit), fit.predicted.text(unit));
    let mut lines = vec![format!("fit the shim of {size}: {predicted} expected")];
    if !band.contains(fit.predicted) {
        lines.push("no stocked shim brings it into the limits: this is the nearest".into());
    }
    lines.push("The gauge decides: turn through twice by hand, then gauge again.".into());
    lines
}

fn rod_lines(
    choices: &[Choice],
    fit: Option<Length>,
    meaning: &Meaning,
    unit: LengthUnit,
) -> Vec<String> {
    if meaning.nominal.is_none() {
        return vec![OPEN.into()];
    }
    let mut lines: Vec<String> = Vec::new();
    for choice in choices {
        let (Some(predicted), Some(room)) = (choice.predicted, choice.room) else { continue };
        let inside = if room < Length::ZERO { "outside" } else { "inside" };
        let distance = if room < Length::ZERO { Length::ZERO - room } else { room };
        lines.push(format!(
            "rod {}: {} expected, {} {inside} the nearer limit",
            choice.length.text(unit),
            predicted.text(unit),
            distance.text(unit)
        ));
    }
    lines.push(match fit {
        Some(length) => format!("fit the rod {} (from standard): most room", length.text(unit)),
        None => "no stocked push rod brings it into the limits".into(),
    });
    lines.push("The gauge decides: lifter dry and bottomed, then gauge again.".into());
    lines
}
