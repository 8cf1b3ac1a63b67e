//! What is shown beside the fields: the engine as far as it is typed, the opposites, both units.

use super::stand_ins::{cylinder, filled, list, named, set_aside, shared_out};
use super::texts::Kind;
use super::{Field, Form};
use crate::domain::crank;
use crate::domain::document::Node;
use crate::domain::profile::{Facts, Shape};
use crate::domain::units::{CLEARANCE, Length, LengthUnit, Torque};
use crate::domain::valve::Cylinder;
use crate::guide::doubtful::doubts;
use crate::guide::unlikely;

/// Most faults that a sketch is drawn in spite of.
const FAULTS_MAX: usize = 20;

/// The engine as far as it is typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// Its layout, with stand-ins for everything that is no part of it. A place whose cylinder is still
    /// to be named has 0.
    pub facts: Facts,
    /// Which cylinders are opposites, in words; empty until the firing order stands.
    pub opposites: String,
}

/// What a drawing hangs on, besides the banks.
const LAYOUT: [&str; 5] =
    ["cylinders", "layout.shape", "layout.angle", "layout.listed_from", "rotation"];

impl Form {
    /// Draws the engine as far as it is typed; `None` until its shape and its cylinders are told.
    pub fn sketch(&self) -> Option<Sketch> {
        let typed = self.document();
        self.shape()?;
        let count = cylinder(typed.at("cylinders"))?;
        let mut document = Node::empty();
        for field in LAYOUT {
            if let Some(node) = typed.at(field) {
                document.put(field, node.clone());
            }
        }
        let banks = self.banks_so_far(&typed, count);
        document
            .put("layout.banks", Node::List(banks.iter().map(|(bank, _)| bank.clone()).collect()));
        let mut facts = None;
        for _ in 0..FAULTS_MAX {
            match (self.judge)(&filled(&document)) {
                Ok(profile) => {
                    facts = Some((*profile).clone());
                    break;
                }
                Err(fault) => set_aside(&mut document, &fault.field),
            }
        }
        let mut facts = facts?;
        for (bank, (_, typed)) in facts.layout.banks.iter_mut().zip(&banks) {
            for cylinder in bank.cylinders.iter_mut().filter(|cylinder| !typed.contains(cylinder)) {
                *cylinder = 0;
            }
        }
        Some(Sketch { facts, opposites: self.opposites_of_order() })
    }

    /// Lists the banks, each with its cylinders, or with what is left for it; beside it which of them are
    /// typed.
    fn banks_so_far(&self, typed: &Node, count: Cylinder) -> Vec<(Node, Vec<Cylinder>)> {
        let mut given: Vec<Cylinder> = Vec::new();
        let mut banks: Vec<Node> = Vec::new();
        let mut own: Vec<Option<Vec<Cylinder>>> = Vec::new();
        for place in 0..self.banks_given().max(self.banks_least()) {
            let path = format!("layout.banks[{place}]");
            let mut named = named(typed.at(&format!("{path}.cylinders")));
            // Each once, at the first bank that names it.
            named.retain(|cylinder| {
                let new = *cylinder <= count && !given.contains(cylinder);
                given.extend(new.then_some(*cylinder));
                new
            });
            let mut bank = Node::empty();
            for name in ["name", "side", "first_at"] {
                if let Some(node) = typed.at(&format!("{path}.{name}")) {
                    bank.put(name, node.clone());
                }
            }
            banks.push(bank);
            own.push(Some(named).filter(|named| !named.is_empty()));
        }
        let mut shared = shared_out(&own, count);
        if own.iter().all(Option::is_some)
            && let Some(last) = shared.last_mut()
        {
            last.extend((1..=count).filter(|known| !given.contains(known)));
        }
        let with =
            |((mut bank, own), cylinders): ((Node, Option<Vec<Cylinder>>), Vec<Cylinder>)| {
                // A bank for which nothing is left is not drawn yet.
                (!cylinders.is_empty()).then(|| {
                    bank.put("cylinders", list(cylinders));
                    (bank, own.unwrap_or_default())
                })
            };
        banks.into_iter().zip(own).zip(shared).filter_map(with).collect()
    }

    /// Says which cylinders are in no bank or row yet: "2-4 are in no bank yet"; empty where all are.
    pub fn unnamed(&self) -> String {
        let typed = self.document();
        let Some(count) = cylinder(typed.at("cylinders")) else { return String::new() };
        let lists = (0..self.banks_given()).map(|at| format!("layout.banks[{at}].cylinders"));
        let given: Vec<Cylinder> = lists.flat_map(|path| named(typed.at(&path))).collect();
        let row = if self.shape() == Some(Shape::Radial) { "row" } else { "bank" };
        missing_from(&given, count)
            .map_or(String::new(), |(numbers, is)| format!("{numbers} {is} in no {row} yet"))
    }

    /// Says what is still to come in a list of cylinders: "still to come: 2-4"; empty where nothing is.
    pub fn still_to_come(&self, field: &Field) -> String {
        if field.kind != Kind::Order || self.text(&field.path).trim().is_empty() {
            return String::new();
        }
        let typed = self.document();
        match (field.path.as_str(), cylinder(typed.at("cylinders")), typed.at(&field.path)) {
            ("firing_order", Some(count), Some(order)) => missing_from(&named(Some(order)), count)
                .map_or(String::new(), |(numbers, _)| format!("still to come: {numbers}")),
            ("firing_order", ..) => String::new(),
            _ => self.unnamed(),
        }
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
            Kind::Order if field.path == "firing_order" => self.opposites_of_order(),
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

    /// Says which are opposites by the firing order; empty until it stands.
    fn opposites_of_order(&self) -> String {
        let (typed, mut whole) = (self.document(), Node::empty());
        if typed.at("cylinders").is_none() || typed.at("firing_order").is_none() {
            return String::new();
        }
        for field in ["cylinders", "firing_order", "firing_intervals"] {
            if let Some(node) = typed.at(field) {
                whole.put(field, node.clone());
            }
        }
        (self.judge)(&filled(&whole)).map_or(String::new(), |profile| opposites(&profile))
    }

    /// Says beside a list of cylinders what is unlikely of the firing order, once it is told how they lie; figures
    /// that are still to come change nothing of that.
    pub fn unlikely_order(&self, field: &Field) -> Vec<String> {
        let typed = self.document();
        let is_told = |path| typed.at(path).is_some();
        let lies = self.shape().is_some() && is_told("cylinders") && self.unnamed().is_empty();
        if field.kind != Kind::Order || !lies || !is_told("firing_order") {
            return Vec::new();
        }
        (self.judge)(&filled(&typed)).map_or(Vec::new(), |profile| unlikely::warnings(&profile))
    }

    /// Says what is unlikely though sound; the loader would warn of it.
    pub fn warnings(&self) -> Vec<String> {
        let Some(profile) = self.profile() else { return Vec::new() };
        unlikely::warnings(&profile).into_iter().chain(doubts(&profile)).collect()
    }
}

/// The cylinders that a list lacks, and whether that is one or several; `None` where it lacks none.
fn missing_from(given: &[Cylinder], count: Cylinder) -> Option<(String, &'static str)> {
    let lacks: Vec<Cylinder> = (1..=count).filter(|known| !given.contains(known)).collect();
    let is = if lacks.len() == 1 { "is" } else { "are" };
    let numbers: Vec<String> = lacks.iter().map(Cylinder::to_string).collect();
    (!numbers.is_empty()).then(|| (numbers.join("-"), is))
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
