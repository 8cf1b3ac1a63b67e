//! Advice on one reading (contract 6): the JSON document and a few lines of text.
//!
//! What is advised is worked out in `domain::advice`; here it is only put into numbers and words.

use crate::domain::advice::{Action, Advice, Choice, Fit, Turn};
use crate::domain::leaves;
use crate::domain::profile::{Adjuster, Facts, Figures};
use crate::domain::reading::{Meaning, interpret_words};
use crate::domain::service::is_practice;
use crate::domain::turn_words::{Drive, turn_of_screw_words};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::verdict::{Band, Verdict};
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
    lines.extend(beyond_by_a_hair(meaning, advice.verdict, band, unit));
    match &advice.action {
        Action::Screw { direction, turn: Some(turn) } => {
            let words = turn_of_screw_words(*direction, turn.degrees, drive(facts));
            lines.push(format!("turn the screw {words}: {} expected", turn.predicted.both(unit)));
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
        Action::Shim { fit } => lines.extend(shim_lines(*fit, meaning, &figures, unit)),
        Action::Pushrod { choices, fit } => {
            lines.extend(rod_lines((choices, *fit), meaning, &figures, unit))
        }
        Action::None { settle: Some(leaf) } => {
            let set = leaves::of_profile(facts);
            let (name, size) = (leaves::named(&set, *leaf), leaf.both(unit));
            lines.push(format!("try leaf {name}, {size}: does it go in?"));
        }
        Action::None { settle: None } => lines.push("nothing to do".into()),
    }
    lines.iter().map(|line| wrapped("", line)).collect()
}

/// Says how a reading lies outside a limit that prints as it does.
fn beyond_by_a_hair(
    meaning: &Meaning,
    verdict: Verdict,
    band: Band,
    unit: LengthUnit,
) -> Option<String> {
    let single = meaning.nominal.filter(|_| meaning.single);
    let (reads, limit, beyond) = match verdict {
        Verdict::Tight => (single.or(meaning.high)?, band.least, "less"),
        Verdict::Loose => (single.or(meaning.low)?, band.most, "more"),
        Verdict::InLimits | Verdict::Undecided { .. } => return None,
    };
    let (reads, limit) = reads.told_apart(limit, unit)?;
    let unit = unit.word();
    Some(format!("{reads} {unit} is {beyond} than the limit of {limit} {unit}"))
}

/// Says that the limits are examples, where the profile names no manual; nothing where it does.
pub fn examples_text(facts: &Facts) -> &'static str {
    let named = !facts.source.document.is_empty() && !is_practice(&facts.source, false);
    if named {
        ""
    } else {
        "The profile's figures are examples, from no manual: the manual decides.\n"
    }
}

const OPEN: &str = "an open reading gives no amount: gauge it with a pair of leaves";

fn drive(facts: &Facts) -> Drive {
    match &facts.adjuster {
        Adjuster::Screw(screw) => Drive::of(screw),
        Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => Drive::Hex,
    }
}

/// Says so where a part brings a valve into the limits, but not into the band that it must be left in.
fn not_set(predicted: Length, part: &str, figures: &Figures, unit: LengthUnit) -> Option<String> {
    let set = Band::set(figures);
    let only_found = Band::found(figures).contains(predicted) && !set.contains(predicted);
    only_found.then(|| {
        let band = format!("{} to {}", set.least.digits(unit), set.most.text(unit));
        format!("no stocked {part} brings it into {band}, where it must be left: ask the manual")
    })
}

fn shim_lines(
    fit: Option<Fit>,
    meaning: &Meaning,
    figures: &Figures,
    unit: LengthUnit,
) -> Vec<String> {
    let Some(fit) = fit else {
        let why = if meaning.nominal.is_none() { OPEN } else { "the profile lists no shims" };
        return vec![why.into()];
    };
    let (size, predicted) = (fit.size.text(unit), fit.predicted.both(unit));
    let mut lines = vec![format!("fit the shim of {size}: {predicted} expected")];
    if !Band::found(figures).contains(fit.predicted) {
        lines.push("no stocked shim brings it into the limits: this is the nearest".into());
    }
    lines.extend(not_set(fit.predicted, "shim", figures, unit));
    lines.push("The gauge decides: turn through twice by hand, then gauge again.".into());
    lines
}

fn rod_lines(
    (choices, fit): (&[Choice], Option<Length>),
    meaning: &Meaning,
    figures: &Figures,
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
            predicted.both(unit),
            distance.text(unit)
        ));
    }
    lines.push(match fit {
        Some(length) => format!("fit the rod {} (from standard): most room", length.text(unit)),
        None => "no stocked push rod brings it into the limits".into(),
    });
    let fitted = choices.iter().find(|choice| Some(choice.length) == fit);
    let predicted = fitted.and_then(|choice| choice.predicted);
    lines.extend(predicted.and_then(|one| not_set(one, "push rod", figures, unit)));
    lines.push("The gauge decides: lifter dry and bottomed, then gauge again.".into());
    lines
}
