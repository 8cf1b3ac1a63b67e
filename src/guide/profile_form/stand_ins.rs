//! What stands in for fields that are still empty, or that cannot stand, so that all others are judged.
//!
//! The loader stops at the first fault and wants everything that is needed. A stand-in agrees with what is
//! typed: it makes no fault of its own, and hides none.

use crate::domain::document::Node;
use crate::domain::profile::CYLINDERS_MAX;
use crate::domain::units::{CLEARANCE, Length, LengthUnit};
use crate::domain::valve::Cylinder;
use std::collections::BTreeSet;

const KINDS: [&str; 2] = ["valves.intake", "valves.exhaust"];
/// Events that lie within any others.
const TIMING: [(&str, &str); 4] = [
    ("intake_opens", "10 BTDC"),
    ("intake_closes", "40 ABDC"),
    ("exhaust_opens", "40 BBDC"),
    ("exhaust_closes", "10 ATDC"),
];
const FIGURES: [&str; 3] = ["target", "least", "most"];
/// Any of these makes the loader ask for the other figures.
const TOLD: [&str; 5] = ["target", "least", "most", "set_least", "set_most"];

/// Puts stand-ins where something that is needed is missing.
pub(super) fn filled(document: &Node) -> Node {
    let mut whole = document.clone();
    let mut put = |path: &str, node: Node| {
        if whole.at(path).is_none() {
            whole.put(path, node);
        }
    };
    put("name", Node::Text("?".into()));
    // Only a vee has an angle.
    let shape = if document.at("layout.angle").is_some() { "vee" } else { "inline" };
    put("layout.shape", Node::Text(shape.into()));
    fill_cylinders(&mut whole);
    fill_banks(&mut whole);
    if whole.at("valve_timing").is_some() {
        for (event, text) in TIMING {
            let path = format!("valve_timing.{event}");
            if whole.at(&path).is_none() {
                whole.put(&path, Node::Text(text.into()));
            }
        }
    }
    for kind in KINDS {
        let cold = TOLD.iter().any(|name| whole.at(&format!("{kind}.{name}")).is_some());
        let hot = format!("{kind}.hot");
        if whole.at(&hot).is_some() {
            fill_figures(&mut whole, &hot);
        }
        if cold || whole.at(&hot).is_none() {
            fill_figures(&mut whole, kind);
        }
    }
    whole
}

/// Takes what is wrong out of a document, with all that hangs on it.
pub(super) fn set_aside(document: &mut Node, path: &str) {
    let top = path.split(['.', '[']).next().unwrap_or(path);
    let (bank, of_bank) = bank_of(path);
    match (top, of_bank) {
        ("cylinders", _) => ["cylinders", "stops"].iter().for_each(|path| document.remove(path)),
        ("firing_order", _) => {
            let hang_on = ["firing_order", "firing_intervals", "stops"];
            hang_on.iter().for_each(|path| document.remove(path));
        }
        ("firing_intervals", _) => document.remove("firing_intervals"),
        ("layout", _) if path == "layout.shape" => {
            let hang_on = ["layout.shape", "layout.angle", "layout.cam_ring", "stops"];
            hang_on.iter().for_each(|path| document.remove(path));
            (0..banks(document).len())
                .for_each(|at| document.remove(&format!("layout.banks[{at}].first_at")));
        }
        ("layout", "cylinders") => {
            ["cylinders", "labels", "valves_along"]
                .iter()
                .for_each(|name| document.remove(&format!("{bank}.{name}")));
            document.remove("stops");
        }
        ("layout", name)
            if !name.is_empty() && document.at(&format!("{bank}.{name}")).is_some() =>
        {
            document.remove(&format!("{bank}.{name}"));
        }
        ("layout", _) if path != "layout.banks" && document.at(path).is_some() => {
            document.remove(path);
        }
        ("layout", _) => ["layout", "stops"].iter().for_each(|path| document.remove(path)),
        ("valves", _) if path.ends_with(".target") && document.at(path).is_none() => {
            // Wanted because of how warm the engine is gauged.
            let kind = path.trim_end_matches(".target");
            document.put(&format!("{kind}.target"), Node::Text("1 mm".into()));
        }
        _ if document.at(path).is_some() => document.remove(path),
        _ => document.remove(top),
    }
}

/// Splits `layout.banks[1].cylinders[0]` into the bank and the name of its field.
fn bank_of(path: &str) -> (&str, &str) {
    let Some(rest) = path.strip_prefix("layout.banks[") else { return ("", "") };
    let Some(at) = rest.find("].") else { return ("", "") };
    let (bank, field) = path.split_at("layout.banks[".len() + at + 1);
    let field = field.trim_start_matches('.');
    (bank, field.split('[').next().unwrap_or(field))
}

/// The cylinders that a list names, as far as they are cylinders at all.
pub(super) fn named(node: Option<&Node>) -> Vec<Cylinder> {
    let Some(Node::List(items)) = node else { return Vec::new() };
    items.iter().filter_map(|node| cylinder(Some(node))).collect()
}

/// A number as a cylinder, or as a count of them: `None` where no engine has so many.
pub(super) fn cylinder(node: Option<&Node>) -> Option<Cylinder> {
    match node? {
        Node::Number(number) => (1..=MOST).find(|known| f64::from(*known) == *number),
        Node::YesNo(_) | Node::Text(_) | Node::List(_) | Node::Fields(_) => None,
    }
}

/// Most cylinders of an engine, as a number of a cylinder.
pub(super) const MOST: Cylinder = CYLINDERS_MAX as Cylinder;

/// Makes a list of cylinders.
pub(super) fn list(cylinders: impl IntoIterator<Item = Cylinder>) -> Node {
    Node::List(cylinders.into_iter().map(|cylinder| Node::Number(f64::from(cylinder))).collect())
}

fn banks(document: &Node) -> &[Node] {
    match document.at("layout.banks") {
        Some(Node::List(banks)) => banks,
        Some(_) | None => &[],
    }
}

fn length(node: Option<&Node>) -> usize {
    match node {
        Some(Node::List(items)) => items.len(),
        Some(_) | None => 0,
    }
}

/// As many as are typed; where that is not told, as many as the lists name.
fn fill_cylinders(whole: &mut Node) {
    if whole.at("cylinders").is_none() {
        let order = whole.at("firing_order");
        let in_banks = banks(whole).iter().flat_map(|bank| named(bank.at("cylinders")));
        let known: BTreeSet<Cylinder> = named(order).into_iter().chain(in_banks).collect();
        let most = usize::from(known.last().copied().unwrap_or(1)).max(length(order));
        // A bank that is still empty has a cylinder, too, unless the order says that there are no more.
        let empty = banks(whole).iter().filter(|bank| bank.at("cylinders").is_none()).count();
        let with_empty = if order.is_none() { known.len() + empty } else { 0 };
        let most = most.max(with_empty).clamp(1, CYLINDERS_MAX);
        whole.put("cylinders", Node::Number(most as f64));
        // Whether a table names a cylinder too many nobody knows yet.
        ["stops", "layout.cam_ring"].iter().for_each(|path| whole.remove(path));
        if length(whole.at("firing_intervals")) != most {
            whole.remove("firing_intervals");
        }
    }
    if whole.at("firing_order").is_none() {
        whole.put("firing_order", list(1..=count(whole)));
    }
}

fn count(whole: &Node) -> Cylinder {
    cylinder(whole.at("cylinders")).unwrap_or(1)
}

/// Shares the cylinders that no bank names out among the banks that name none, the first ones more; where
/// there are more such banks than cylinders the last ones have none all the same.
pub(super) fn shared_out(own: &[Option<Vec<Cylinder>>], count: Cylinder) -> Vec<Vec<Cylinder>> {
    let given: Vec<Cylinder> = own.iter().flatten().flatten().copied().collect();
    let mut rest: Vec<Cylinder> = (1..=count).filter(|known| !given.contains(known)).collect();
    let mut left = own.iter().filter(|own| own.is_none()).count();
    let mut share = || {
        let others = rest.split_off(rest.len().div_ceil(left.max(1)));
        left = left.saturating_sub(1);
        std::mem::replace(&mut rest, others)
    };
    own.iter().map(|own| own.clone().unwrap_or_else(&mut share)).collect()
}

/// Gives what is in no bank to the banks that have none, and all to one where no bank is told.
fn fill_banks(whole: &mut Node) {
    let told = banks(whole).to_vec();
    let all = 1..=count(whole);
    if told.is_empty() {
        whole.put("layout.banks[0].cylinders", list(all));
        return;
    }
    let own = |bank: &Node| bank.at("cylinders").map(|list| named(Some(list)));
    let own: Vec<Option<Vec<Cylinder>>> = told.iter().map(own).collect();
    let shared = shared_out(&own, count(whole));
    let shared: Vec<(usize, Vec<Cylinder>)> = shared
        .into_iter()
        .enumerate()
        .filter(|(at, _)| matches!(own.get(*at), Some(None)))
        .collect();
    if shared.iter().any(|(_, share)| share.is_empty()) {
        // More banks than cylinders are left for them: one row of all.
        whole.remove("layout.banks");
        whole.put("layout.banks[0].cylinders", list(all));
        return;
    }
    for (at, share) in shared {
        let bank = format!("layout.banks[{at}]");
        whole.put(&format!("{bank}.cylinders"), list(share));
        whole.remove(&format!("{bank}.labels"));
        whole.remove(&format!("{bank}.valves_along"));
    }
    for at in 1..told.len() {
        let radial = whole.at("layout.shape") == Some(&Node::Text("radial".into()));
        let first_at = format!("layout.banks[{at}].first_at");
        if radial && whole.at(&first_at).is_none() {
            whole.put(&first_at, Node::Number(0.0));
        }
    }
}

/// The widest limits, and a target that is one of the limits.
fn fill_figures(whole: &mut Node, figures: &str) {
    let typed = |whole: &Node, name: &str| match whole.at(&format!("{figures}.{name}")) {
        Some(Node::Text(text)) => Some(text.clone()),
        Some(_) | None => None,
    };
    let unit = TOLD
        .iter()
        .find_map(|name| Some(Length::parse_with_unit(&typed(whole, name)?, CLEARANCE).ok()?.1));
    let most = Length::MAX_CLEARANCE;
    let (least, most) = match unit.unwrap_or(LengthUnit::Mm) {
        unit @ LengthUnit::Mm => (Length::ZERO.text(unit), most.text(unit)),
        // Rounded up in inches it would be beyond the most.
        LengthUnit::Inch => ("0 in".to_string(), "0.984 in".to_string()),
    };
    let least = typed(whole, "least").unwrap_or(least);
    let most = typed(whole, "most").unwrap_or(most);
    let within = [typed(whole, "set_least"), Some(least.clone())].into_iter().flatten().next();
    let target = typed(whole, "target").or(within).unwrap_or_default();
    for (name, text) in FIGURES.iter().zip([target, least, most]) {
        whole.put(&format!("{figures}.{name}"), Node::Text(text));
    }
}
