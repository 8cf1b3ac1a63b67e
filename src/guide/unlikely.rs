//! Words for a firing order or intervals that are unlikely for the way the engine lies.

use crate::domain::profile::{Facts, Shape};
use crate::domain::unlikely::{Rule, Unlikely, unlikely};
use crate::domain::valve::Cylinder;

/// Says what is unlikely about a profile, and which opposites it leads to; empty where nothing is.
pub fn warnings(facts: &Facts) -> Vec<String> {
    unlikely(facts).iter().map(|found| words(facts, found)).collect()
}

/// Returns pairs of opposites: "1-4, 3-2".
pub fn pairs_words(pairs: &[(Cylinder, Cylinder)]) -> String {
    pairs.iter().map(|(one, other)| format!("{one}-{other}")).collect::<Vec<_>>().join(", ")
}

fn words(facts: &Facts, found: &Unlikely) -> String {
    let order = order_words(&facts.firing_order);
    let unlikely =
        |of: &str, rule: String| format!("the firing order {order} is unlikely for {of}: {rule}");
    let rule = match &found.rule {
        Rule::Mirrored { likely } => {
            let count = if likely.len() == 2 { "an inline four" } else { "an inline six" };
            unlikely(count, format!("{} are a full turn apart on one", pairs_words(likely)))
        }
        Rule::Facing { likely } => unlikely(
            "an opposed engine",
            format!(
                "cylinders that face each other, {}, fire a full turn apart",
                pairs_words(likely)
            ),
        ),
        Rule::EverySecond { likely } => unlikely(
            "a radial of one row",
            format!("every second cylinder fires, {}", order_words(likely)),
        ),
        Rule::RowsInTurn { twice: (one, other) } => unlikely(
            "a radial of two rows",
            format!("its rows fire in turn, but {one} and {other} are in the same row"),
        ),
        Rule::Steps { add, subtract, likely } => unlikely(
            &format!("a radial of {}", add + subtract),
            format!("each firing is {add} on or {subtract} back, {}", order_words(likely)),
        ),
        Rule::Intervals { likely } => intervals(facts, likely),
        Rule::Together { both: (one, other), apart } => {
            let own: Vec<String> = facts.firing_intervals.iter().map(f64::to_string).collect();
            format!(
                "the firing intervals {} are unlikely: {one} and {other} would fire {apart}° apart",
                own.join(", ")
            )
        }
    };
    let leads_to = match found.opposites.as_slice() {
        [] => "This leads to no opposites.".into(),
        pairs => format!("This leads to the opposites {}.", pairs_words(pairs)),
    };
    format!("{rule}. {leads_to} Compare it with the manual.")
}

fn intervals(facts: &Facts, likely: &[(f64, f64)]) -> String {
    let own: Vec<String> = facts.firing_intervals.iter().map(f64::to_string).collect();
    let of = match (facts.layout.shape, facts.layout.angle) {
        (Shape::Vee, Some(angle)) => format!("a vee twin of {angle}° on one crank pin"),
        (Shape::Vee, None) => "a vee twin on one crank pin".into(),
        (Shape::Opposed, _) => "a flat twin".into(),
        (Shape::Inline | Shape::Radial, _) => "a parallel twin".into(),
    };
    let likely: Vec<String> =
        likely.iter().map(|(one, other)| format!("{one} and {other}")).collect();
    format!(
        "the firing intervals {} are unlikely for {of}: it fires at {}",
        own.join(" and "),
        likely.join(", or ")
    )
}

fn order_words(order: &[Cylinder]) -> String {
    order.iter().map(Cylinder::to_string).collect::<Vec<_>>().join("-")
}
