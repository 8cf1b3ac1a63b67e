//! What is shown beside the fields: the engine as far as it is typed, the opposites, both units.

use super::texts::Kind;
use super::{Field, Form};
use crate::domain::crank;
use crate::domain::document::Node;
use crate::domain::profile::{EngineProfile, Facts};
use crate::domain::units::{CLEARANCE, Length, LengthUnit, Torque};
use crate::domain::valve::Cylinder;
use crate::guide::unlikely;

/// The engine as far as it is typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// Its layout, with stand-ins for everything that is no part of it.
    pub profile: EngineProfile,
    /// Which cylinders are opposites, in words; empty until the firing order stands.
    pub opposites: String,
}

/// What a drawing hangs on.
const LAYOUT: [&str; 4] = ["cylinders", "firing_order", "firing_intervals", "layout"];

impl Form {
    /// Draws the engine as far as it is typed; `None` until shape and banks stand.
    pub fn sketch(&self) -> Option<Sketch> {
        let typed = self.document();
        let mut whole = stand_in();
        for field in LAYOUT.iter().chain(["rotation"].iter()) {
            if let Some(node) = typed.at(field) {
                whole.put(field, node.clone());
            }
        }
        // A floating ring asks for a table, which is no part of the drawing.
        whole.remove("layout.cam_ring");
        let mut turned = whole.clone();
        turned.remove("rotation");
        for document in [&whole, &turned] {
            if let Ok(profile) = (self.judge)(document) {
                let opposites = opposites(&profile);
                return Some(Sketch { profile, opposites });
            }
        }
        // Without its order an engine can be drawn all the same.
        let Some(Node::Number(count)) = typed.at("cylinders") else { return None };
        let count = (1..=48_u8).find(|known| f64::from(*known) == *count)?;
        let order = (1..=count).map(|cylinder| Node::Number(f64::from(cylinder))).collect();
        turned.put("firing_order", Node::List(order));
        turned.remove("firing_intervals");
        let profile = (self.judge)(&turned).ok()?;
        Some(Sketch { profile, opposites: String::new() })
    }

    /// Says what a field's text comes to, where that is more than what is typed: both units of a
    /// length, both units of a torque, the opposites of a firing order.
    pub fn comes_to(&self, field: &Field) -> String {
        let text = self.text(&field.path);
        match field.kind {
            Kind::Length => match Length::parse_with_unit(text, CLEARANCE) {
                Ok((length, unit)) => length.both(unit),
                Err(_) => String::new(),
            },
            Kind::Order if field.path == "firing_order" => {
                let sketch = self.sketch().map(|sketch| sketch.opposites);
                sketch
                    .filter(|words| !words.is_empty())
                    .unwrap_or_else(|| self.opposites_of_order())
            }
            Kind::Words if field.path.ends_with("torque") => {
                let unit = self.unit().unwrap_or(LengthUnit::Mm);
                Torque::parse(text).map_or(String::new(), |torque| torque.both(unit))
            }
            Kind::Words
            | Kind::Caution
            | Kind::Choice(_)
            | Kind::YesNo
            | Kind::Whole
            | Kind::Number
            | Kind::Order
            | Kind::Numbers
            | Kind::Threads
            | Kind::Lengths
            | Kind::Angle(_)
            | Kind::WordList
            | Kind::Labels
            | Kind::Hardware
            | Kind::Stop => String::new(),
        }
    }

    /// Says which are opposites by the firing order alone, before it is told how the cylinders lie.
    fn opposites_of_order(&self) -> String {
        let (typed, mut whole) = (self.document(), stand_in());
        let Some(Node::Number(count)) = typed.at("cylinders") else { return String::new() };
        let Some(count) = (1..=48_u8).find(|known| f64::from(*known) == *count) else {
            return String::new();
        };
        for field in ["cylinders", "firing_order", "firing_intervals"] {
            if let Some(node) = typed.at(field) {
                whole.put(field, node.clone());
            }
        }
        let row = (1..=count).map(|cylinder| Node::Number(f64::from(cylinder))).collect();
        whole.put("layout.shape", Node::Text("inline".into()));
        whole.put("layout.banks[0].cylinders", Node::List(row));
        (self.judge)(&whole).map_or(String::new(), |profile| opposites(&profile))
    }

    /// Says what is unlikely though sound; the loader would warn of it.
    pub fn warnings(&self) -> Vec<String> {
        self.profile().map(|profile| unlikely::warnings(&profile)).unwrap_or_default()
    }
}

fn stand_in() -> Node {
    let mut node = Node::empty();
    node.put("name", Node::Text("?".into()));
    for kind in ["intake", "exhaust"] {
        for figure in ["target", "least", "most"] {
            node.put(&format!("valves.{kind}.{figure}"), Node::Text("1 mm".into()));
        }
    }
    node
}

/// Says which cylinders are opposites: "opposites 1-4 · 5-3 · 2-6".
fn opposites(facts: &Facts) -> String {
    let mut told: Vec<Cylinder> = Vec::new();
    let mut pairs = Vec::new();
    let mut alone = Vec::new();
    for &cylinder in &facts.firing_order {
        if told.contains(&cylinder) {
            continue;
        }
        match crank::opposite(facts, cylinder) {
            Some(other) => {
                told.push(other);
                pairs.push(format!("{cylinder}-{other}"));
            }
            None => alone.push(cylinder.to_string()),
        }
    }
    match (pairs.is_empty(), alone.is_empty()) {
        (false, true) => format!("opposites {}", pairs.join(" · ")),
        (false, false) => {
            format!("opposites {}; none has {}", pairs.join(" · "), alone.join(", "))
        }
        (true, _) => "no cylinder has an exact opposite".to_string(),
    }
}
