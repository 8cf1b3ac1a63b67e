//! The engine from where the mechanic stands: what changes places on the drawing, and how the valves of a
//! cylinder lie beside each other.

use super::engine::{Arrangement, BankView, EngineView};
use crate::domain::profile::{Bank, Facts, Shape};
use crate::domain::valve::{Cylinder, Kind, Standing, Valve};
use crate::tui::look::Seen;

/// What the order of a cylinder's valves tells of how they lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Order {
    /// In which direction they lie side by side; `None` where the profile does not tell.
    pub axis: Option<Axis>,
    /// Whether only those of a kind do: the kinds lie behind each other.
    pub in_kinds: bool,
}

/// A direction on the engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// From the front to the rear.
    Along,
    /// From left to right, as seen from the rear.
    Across,
}

/// The words by which a profile tells where a valve stands, the first end and the other one.
const ENDS: [(Axis, [&str; 2]); 2] =
    [(Axis::Along, ["front", "rear"]), (Axis::Across, ["left", "right"])];

impl Order {
    /// Tells what the profile says of the valves of a bank.
    pub(super) fn of(facts: &Facts, bank: &Bank) -> Order {
        let radial = facts.layout.shape == Shape::Radial;
        if bank.valves_along.is_some() {
            let axis = if radial { Axis::Across } else { Axis::Along };
            return Order { axis: Some(axis), in_kinds: false };
        }
        let all = [&facts.intake, &facts.exhaust];
        let in_kinds = all.iter().any(|spec| spec.per_cylinder > 1);
        let mut words = all.iter().flat_map(|spec| &spec.position);
        let told =
            words.find_map(|words| ENDS.iter().find(|(_, ends)| end(words, *ends).is_some()));
        // Of a radial both letters change places, told or not: all of it is mirrored.
        let axis = told.map(|(axis, _)| *axis).or(radial.then_some(Axis::Across));
        Order { axis, in_kinds }
    }

    fn turned_round(self, valves: &mut [(Valve, Standing)]) {
        if self.in_kinds {
            valves.chunk_by_mut(|one, next| one.0.kind == next.0.kind).for_each(<[_]>::reverse);
        } else {
            valves.reverse();
        }
    }
}

/// Tells at which of two ends a valve stands.
fn end(position: &str, ends: [&str; 2]) -> Option<usize> {
    let mut words = position.split(|letter: char| !letter.is_alphabetic());
    words.find_map(|word| ends.iter().position(|end| word.eq_ignore_ascii_case(end)))
}

/// The valves of a cylinder as they lie, where the profile tells: from the listed end on, or from the front, or
/// from the left.
pub(super) fn as_they_lie(
    facts: &Facts,
    bank: &Bank,
    place: usize,
    cylinder: Cylinder,
) -> Vec<Valve> {
    let mut left = facts.valves_of(cylinder);
    let per_cylinder = left.len();
    let Some(along) = &bank.valves_along else { return by_their_ends(facts, bank, left) };
    if along.len() != per_cylinder * bank.cylinders.len() {
        return left;
    }
    let kinds = along.iter().skip(place * per_cylinder).take(per_cylinder);
    let mut lying = Vec::new();
    for kind in kinds {
        if let Some(found) = left.iter().position(|valve| valve.kind == *kind) {
            lying.push(left.remove(found));
        }
    }
    lying.extend(left);
    lying
}

/// By the words of the profile.
fn by_their_ends(facts: &Facts, bank: &Bank, mut valves: Vec<Valve>) -> Vec<Valve> {
    let order = Order::of(facts, bank);
    let Some((_, ends)) = ENDS.iter().find(|(axis, _)| Some(*axis) == order.axis) else {
        return valves;
    };
    let place = |valve: &Valve| {
        let position = &facts.spec(valve.kind).position;
        let words = position.get(usize::from(valve.number).saturating_sub(1));
        // What is not told lies between both.
        words.and_then(|words| end(words, *ends)).map_or(1, |end| 2 * end)
    };
    let group = |valve: &Valve| order.in_kinds && valve.kind == Kind::Exhaust;
    valves.sort_by_key(|valve| (group(valve), place(valve)));
    valves
}

impl EngineView {
    /// Turns the engine, which is made as it is seen from the rear, to where the mechanic stands. A
    /// radial is seen from the front or the rear: from its side its cylinders hide each other.
    #[must_use]
    pub fn seen_from(mut self, seen: Seen) -> EngineView {
        match (&mut self.arrangement, seen) {
            (_, Seen::Rear) | (Arrangement::Rings(_), Seen::Left | Seen::Right) => return self,
            (Arrangement::Rings(rows), Seen::Front) => {
                rows.iter_mut().flatten().for_each(|angle| *angle = (360.0 - *angle) % 360.0);
                self.banks.iter_mut().for_each(|bank| valves_mirrored(bank, Axis::Across));
            }
            (Arrangement::Columns | Arrangement::Lines, Seen::Front) => {
                self.banks.reverse();
                self.banks.iter_mut().for_each(reversed);
                self.banks.iter_mut().for_each(|bank| valves_mirrored(bank, Axis::Across));
                std::mem::swap(&mut self.above, &mut self.below);
            }
            // From the left side the right bank is the far one, and the front is on the left.
            (Arrangement::Columns | Arrangement::Lines, Seen::Left) => {
                self.banks.reverse();
                self.arrangement = Arrangement::Lines;
            }
            (Arrangement::Columns | Arrangement::Lines, Seen::Right) => {
                self.banks.iter_mut().for_each(reversed);
                std::mem::swap(&mut self.above, &mut self.below);
                self.arrangement = Arrangement::Lines;
            }
        }
        self.seen = format!("seen from the {}", seen.word());
        self
    }
}

impl EngineView {
    /// The cylinders of a bank in the order of a list: as they lie, of a radial clockwise from the top as it is seen.
    pub(super) fn in_order(&self, bank: usize) -> Vec<usize> {
        let count = self.banks.get(bank).map_or(0, |bank| bank.cylinders.len());
        let mut places: Vec<usize> = (0..count).collect();
        if let Arrangement::Rings(rows) = &self.arrangement
            && let Some(angles) = rows.get(bank)
        {
            let angle =
                |place: &usize| angles.get(*place).map_or(0.0, |angle| angle.rem_euclid(360.0));
            places.sort_by(|one, other| angle(one).total_cmp(&angle(other)));
        }
        places
    }

    /// Says of a list of a radial's cylinders in which order they stand; nothing where they lie so.
    pub(super) fn order_words(&self) -> Option<String> {
        let rings = matches!(self.arrangement, Arrangement::Rings(_));
        rings.then(|| self.seen.replace("seen from", "clockwise from"))
    }
}

/// A bank from its other end, and so the valves that lie along it.
fn reversed(bank: &mut BankView) {
    bank.cylinders.reverse();
    valves_mirrored(bank, Axis::Along);
}

fn valves_mirrored(bank: &mut BankView, axis: Axis) {
    let order = bank.order;
    if order.axis == Some(axis) {
        bank.cylinders.iter_mut().for_each(|cylinder| order.turned_round(&mut cylinder.valves));
    }
}
