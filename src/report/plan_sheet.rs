//! A plan as a sheet to print, and as the JSON document of the contract's section 3.

use super::wrapped;
use crate::domain::plan::{Gauge, Plan, Stop, TimingFrom};
use crate::domain::profile::{Facts, Shape, Sign};
use crate::domain::valve::{Cylinder, Several, Valve};
use crate::guide::turning::{
    SEEN_FROM_REAR, approach_lines, direction_lines, part_of_turn, place_words, proof_words,
    tolerance_words,
};
use crate::guide::unlikely::warnings;
use crate::guide::valve_place::place_in_cylinder;
use serde_json::{Value, json};

/// Writes a plan as text of 80 columns.
pub fn plan_text(facts: &Facts, plan: &Plan) -> String {
    let mut text = wrapped("", &format!("Plan for {}", facts.name));
    if let Some(caveat) = plan.caveat {
        text += &wrapped("", &format!("CAUTION: {caveat}"));
    }
    for warning in warnings(facts) {
        text += &wrapped("", &format!("WARNING: {warning}"));
    }
    text += &wrapped("", &summary(plan));
    text += &wrapped("", timing_words(plan.timing));
    text.push('\n');
    for line in direction_lines(facts) {
        text += &wrapped("", &line);
    }
    if facts.layout.banks.iter().any(|bank| bank.side.is_some()) {
        text += &wrapped("", "Right and left are as seen from the rear.");
    }
    let mut crank_now = None;
    for (number, stop) in (1..).zip(&plan.stops) {
        text.push('\n');
        text += &stop_text(facts, number, stop, crank_now);
        crank_now = stop.crank;
    }
    text.push('\n');
    text += &wrapped(
        "",
        "The engine's manual comes first: where it says otherwise, do what the manual says.",
    );
    text
}

fn summary(plan: &Plan) -> String {
    let stops = counted(plan.stops.len(), "stop");
    let turned = plan.turned.map_or("turning not known".into(), |turned| {
        format!("{turned:.0}° of crank in all ({})", part_of_turn(turned))
    });
    let sides = counted(plan.side_changes, "change");
    format!("{stops}, {turned}, {sides} of side.")
}

fn counted<N: std::fmt::Display + PartialEq + From<u8>>(n: N, noun: &str) -> String {
    let ending = if n == N::from(1) { "" } else { "s" };
    format!("{n} {noun}{ending}")
}

fn timing_words(timing: TimingFrom) -> &'static str {
    match timing {
        TimingFrom::Profile => "Margins are worked out with the valve timing of the profile.",
        TimingFrom::Assumed => "The margins assume a timing that the profile does not give.",
        TimingFrom::Table => "The stops are the table of the manual, as the profile has it.",
    }
}

fn stop_text(facts: &Facts, number: u32, stop: &Stop, crank_now: Option<f64>) -> String {
    let mut lines = approach_lines(facts, stop, stop.approach(crank_now));
    lines.extend(stop.say.clone());
    if stop.gauge.iter().all(|gauge| gauge.valve.cylinder != stop.watch) {
        lines.push(format!("cylinder {}: {}", stop.watch, place_words(facts, stop.watch)));
    }
    if !stop.unload.is_empty() {
        let valves = valve_list(facts, stop.unload.iter().copied());
        let from = seen_from(facts, stop.unload.iter().copied(), "");
        lines.push(format!(
            "press open first: {valves}{from} (let go again before the crank is turned)"
        ));
    }
    lines.extend(proof_words(facts, stop));
    lines.extend(gauge_lines(facts, stop));
    lines.extend(margin_line(stop));
    let heads = std::iter::once(format!("{:<9}", format!("Stop {number}")));
    let heads = heads.chain(std::iter::repeat(" ".repeat(9)));
    heads.zip(lines).map(|(head, line)| wrapped(&head, &line)).collect()
}

/// Lists what is gauged, a line a cylinder.
fn gauge_lines(facts: &Facts, stop: &Stop) -> Vec<String> {
    let mut cylinders: Vec<Cylinder> = Vec::new();
    for gauge in &stop.gauge {
        if !cylinders.contains(&gauge.valve.cylinder) {
            cylinders.push(gauge.valve.cylinder);
        }
    }
    let line = |&cylinder: &Cylinder| {
        let here = stop.gauge.iter().map(|gauge| gauge.valve);
        let here = here.filter(|valve| valve.cylinder == cylinder);
        let (valves, place) = (valve_list(facts, here.clone()), place_words(facts, cylinder));
        format!("GAUGE {valves}: {place}{}", seen_from(facts, here, &place))
    };
    cylinders.iter().map(line).collect()
}

fn valve_list(facts: &Facts, valves: impl Iterator<Item = Valve>) -> String {
    let several = Several::of(facts.valves());
    // On a radial they are turned with their cylinders: what the profile has for all is not enough.
    let named = |valve| match place_on_a_radial(facts, valve) {
        Some(place) => format!("{} ({place})", several.name(valve)),
        None => several.name(valve),
    };
    valves.map(named).collect::<Vec<_>>().join(", ")
}

fn place_on_a_radial(facts: &Facts, valve: Valve) -> Option<String> {
    (facts.layout.shape == Shape::Radial).then(|| place_in_cylinder(facts, valve)).flatten()
}

/// Says from where the valves of a radial lie left or right, where nothing beside them says so.
fn seen_from(facts: &Facts, mut valves: impl Iterator<Item = Valve>, beside: &str) -> String {
    let sided = |valve| {
        let place = place_on_a_radial(facts, valve).unwrap_or_default();
        ["left", "right"].iter().any(|side| place.contains(side))
    };
    if valves.any(sided) && !beside.contains(SEEN_FROM_REAR) {
        format!(", {SEEN_FROM_REAR}")
    } else {
        String::new()
    }
}

fn margin_line(stop: &Stop) -> Option<String> {
    // Rounded down: a margin is never told larger than it is.
    let margin = format!("{}° from moving", (stop.margin? + 1e-6).floor());
    Some(tolerance_words(stop).map_or(margin.clone(), |words| format!("{margin}; {words}")))
}

/// Makes the JSON document of a plan. `caveat` and a stop's `say` stand in it only where there are any.
pub fn plan_json(facts: &Facts, plan: &Plan) -> Value {
    let mut document = json!({
        "profile": facts.name,
        "timing": match plan.timing {
            TimingFrom::Profile => "profile",
            TimingFrom::Assumed => "assumed",
            TimingFrom::Table => "table",
        },
        "stops": (1..).zip(&plan.stops).map(|(number, stop)| stop_json(number, stop)).collect::<Value>(),
        "turned": plan.turned,
        "side_changes": plan.side_changes,
    });
    if let Some(caveat) = plan.caveat {
        document["caveat"] = caveat.into();
    }
    document
}

fn stop_json(number: u32, stop: &Stop) -> Value {
    let mut document = json!({
        "stop": number,
        "turn": stop.turn,
        "crank": stop.crank,
        "watch": { "cylinder": stop.watch, "sign": sign_name(stop.sign) },
        "then_turn": stop.then_turn,
        "gauge": stop.gauge.iter().map(gauge_json).collect::<Value>(),
        "margin": stop.margin,
        "unload": stop.unload.iter().map(valve_json).collect::<Value>(),
    });
    if let Some(say) = &stop.say {
        document["say"] = say.as_str().into();
    }
    document
}

fn gauge_json(gauge: &Gauge) -> Value {
    let mut document = valve_json(&gauge.valve);
    document["margin"] = gauge.margin.into();
    document
}

fn valve_json(valve: &Valve) -> Value {
    json!({ "cylinder": valve.cylinder, "valve": valve.kind.word(), "number": valve.number })
}

/// Returns a sign's name in files (contract, section 1).
fn sign_name(sign: Sign) -> &'static str {
    match sign {
        Sign::Overlap => "overlap",
        Sign::Changeover => "changeover",
        Sign::IntakeOpens => "intake opens",
        Sign::IntakeCloses => "intake closes",
        Sign::ExhaustOpens => "exhaust opens",
        Sign::ExhaustCloses => "exhaust closes",
        Sign::Mark => "mark",
    }
}
