//! What a field may hold, proposed so that Enter takes it: from kinds of engine that are known.
//!
//! No clearance is ever proposed: figures come from the manual alone.

use super::stand_ins::cylinder;
use super::{Field, Form, Kind};
use crate::domain::leaves;
use crate::domain::profile::{Bank, Facts, Shape};
use crate::domain::units::LengthUnit;
use crate::domain::valve::Cylinder;

impl Form {
    /// Lists what may stand in a field, the likeliest first; empty where nothing is proposed.
    pub fn proposals(&self, field: &Field) -> Vec<String> {
        match (field.kind, field.path.as_str()) {
            (Kind::Choice(words), _) => words.iter().map(|word| (*word).to_string()).collect(),
            (Kind::YesNo, _) => vec!["no".to_string(), "yes".to_string()],
            (_, "cylinders") => self.counts(),
            (_, "firing_order") => self.orders(),
            (_, "name") => self.names(),
            (_, "leaves") => self.leaf_sets(),
            (_, "rotation.turn_by") => vec!["propeller".into(), "crank".into()],
            (_, "covers.count") => self.cover_counts(),
            (_, path) => self.of_bank(path),
        }
    }

    /// Returns what Enter takes for an empty field: only what is needed is taken unasked.
    pub fn proposed(&self, field: &Field) -> Option<String> {
        self.proposals(field).into_iter().next()
    }

    fn of_shape(&self) -> impl Iterator<Item = &Facts> {
        let shape = self.shape();
        self.known.iter().filter(move |facts| Some(facts.layout.shape) == shape)
    }

    fn count(&self) -> Option<usize> {
        cylinder(self.document().at("cylinders")).map(usize::from)
    }

    fn counts(&self) -> Vec<String> {
        let mut counts: Vec<usize> = self.of_shape().map(Facts::cylinders).collect();
        counts.sort_unstable();
        counts.dedup();
        // Fours and sixes are asked for most.
        counts.sort_by_key(|count| (![4, 6].contains(count), *count));
        counts.iter().map(usize::to_string).collect()
    }

    fn orders(&self) -> Vec<String> {
        let Some(count) = self.count() else { return Vec::new() };
        let mut orders: Vec<String> = self
            .of_shape()
            .filter(|facts| facts.cylinders() == count)
            .map(|facts| joined(&facts.firing_order))
            .collect();
        let mut seen = Vec::new();
        orders.retain(|order| {
            !seen.contains(order) && {
                seen.push(order.clone());
                true
            }
        });
        orders
    }

    fn names(&self) -> Vec<String> {
        let (Some(shape), Some(count)) = (self.shape(), self.count()) else { return Vec::new() };
        let kind = match shape {
            Shape::Inline => "Inline",
            Shape::Vee => "Vee",
            Shape::Opposed => "Flat",
            Shape::Radial => "Radial",
        };
        let number =
            NUMBERS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_string());
        let adjuster = match self.text("adjuster.kind") {
            "screw" => ", screw adjusters",
            "shim" => ", shims",
            "pushrod" => ", push rods of other lengths",
            _ => "",
        };
        vec![format!("{kind} {number}{adjuster}")]
    }

    fn leaf_sets(&self) -> Vec<String> {
        let unit = self.unit().unwrap_or(LengthUnit::Mm);
        let sets = leaves::usual().into_iter().filter(|set| set.unit == unit);
        let written = |leaves: &[crate::domain::units::Length]| {
            leaves.iter().map(|leaf| leaf.text(unit)).collect::<Vec<_>>().join(", ")
        };
        sets.map(|set| written(&set.leaves)).collect()
    }

    fn cover_counts(&self) -> Vec<String> {
        self.count().map(|count| vec![count.to_string()]).unwrap_or_default()
    }

    /// What a field of a bank may hold: as known engines of this kind have it, else the usual way.
    fn of_bank(&self, path: &str) -> Vec<String> {
        let Some((place, name)) = bank_field(path) else { return Vec::new() };
        let order = self.text("firing_order");
        let alike = self.of_shape().find(|facts| joined(&facts.firing_order) == order);
        let known = alike.and_then(|facts| facts.layout.banks.get(place));
        match (name, known) {
            ("cylinders", Some(bank)) => vec![joined(&bank.cylinders)],
            ("cylinders", None) => self.usual_bank(place).into_iter().collect(),
            ("name", Some(Bank { name, .. })) => vec![name.clone()],
            ("name", None) => match self.shape() {
                Some(Shape::Vee | Shape::Opposed) => {
                    let sides = if place == 0 { ["right", "left"] } else { ["left", "right"] };
                    sides.map(String::from).to_vec()
                }
                Some(Shape::Radial) => vec![format!("row {}", place + 1)],
                Some(Shape::Inline) | None => Vec::new(),
            },
            ("first_at", Some(bank)) => vec![bank.first_at.to_string()],
            ("first_at", None) if place == 0 => vec!["0".to_string()],
            _ => Vec::new(),
        }
    }

    /// Odd and even numbers on two sides, all in one row otherwise (common practice, no source).
    fn usual_bank(&self, place: usize) -> Option<String> {
        let count = self.count()?;
        let all = (1..=count).filter_map(|cylinder| Cylinder::try_from(cylinder).ok());
        let of: Vec<Cylinder> = match self.shape()? {
            Shape::Inline if place == 0 => all.collect(),
            Shape::Radial if place == 0 => all.collect(),
            Shape::Opposed | Shape::Vee if place < 2 => {
                all.filter(|cylinder| usize::from((*cylinder + 1) % 2) == place).collect()
            }
            Shape::Inline | Shape::Radial | Shape::Opposed | Shape::Vee => return None,
        };
        Some(joined(&of))
    }
}

const NUMBERS: [&str; 13] = [
    "none", "single", "twin", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
];

fn bank_field(path: &str) -> Option<(usize, &str)> {
    let (place, name) = path.strip_prefix("layout.banks[")?.split_once("].")?;
    Some((place.parse().ok()?, name))
}

fn joined(cylinders: &[Cylinder]) -> String {
    cylinders.iter().map(Cylinder::to_string).collect::<Vec<_>>().join("-")
}
