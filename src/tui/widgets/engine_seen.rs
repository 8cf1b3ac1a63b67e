//! The engine from where the mechanic stands: what changes places on the drawing, and how the valves of a
//! cylinder lie beside each other.

use super::engine::{Arrangement, BankView, CylinderView, EngineView};
use crate::domain::place::{Toward, side_in, toward, turned_by};
use crate::domain::profile::{Bank, Facts, Shape, Side, ValveSpec};
use crate::domain::valve::{Cylinder, Kind, Valve};
use crate::report::end_view::EndView;
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

/// How the valves of a cylinder lie, in the order in which they are listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lie {
    /// As the order of their bank tells.
    Level,
    /// On a slant, from the left: the first is the highest.
    Falling,
    /// On a slant, from the left: the first is the lowest.
    Rising,
    /// From the top; those that lie right above the next one.
    Stacked(Vec<Valve>),
}

/// The words by which a profile tells where a valve stands, the first end and the other one.
const ENDS: [(Axis, [&str; 2]); 2] =
    [(Axis::Along, ["front", "rear"]), (Axis::Across, ["left", "right"])];

impl Order {
    /// Tells what the profile says of the valves of a bank.
    pub(super) fn of(facts: &Facts, bank: &Bank) -> Order {
        let radial = facts.layout.shape == Shape::Radial;
        let all = [&facts.intake, &facts.exhaust];
        if radial && (told_apart(&all) || bank.valves_along.is_some()) {
            let in_kinds = all.iter().any(|spec| told_apart(&[spec]));
            return Order { axis: Some(Axis::Across), in_kinds };
        }
        if bank.valves_along.is_some() {
            return Order { axis: Some(Axis::Along), in_kinds: false };
        }
        let in_kinds = all.iter().any(|spec| spec.per_cylinder > 1);
        let mut words = all.iter().flat_map(|spec| &spec.position);
        let told =
            words.find_map(|words| ENDS.iter().find(|(_, ends)| end(words, *ends).is_some()));
        // An order that tells nothing stays as it is from every side.
        let axis = told.map(|(axis, _)| *axis).filter(|axis| !radial || *axis == Axis::Along);
        Order { axis, in_kinds }
    }

    /// Lists valves from their other end, of which only those of a kind may lie beside each other.
    pub(super) fn reverse<T>(self, valves: &mut [T], kind: impl Fn(&T) -> Kind) {
        if self.in_kinds {
            valves.chunk_by_mut(|one, next| kind(one) == kind(next)).for_each(<[_]>::reverse);
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

/// The place of a valve on a cylinder that stands upright: what is not told lies between left and right.
fn from_left(position: &str) -> u8 {
    match side_in(position) {
        Some(Side::Left) => 0,
        None => 1,
        Some(Side::Right) => 2,
    }
}

/// Tells whether some of these valves lie to the left of others on a cylinder that stands upright.
fn told_apart(specs: &[&ValveSpec]) -> bool {
    let places = specs.iter().flat_map(|spec| {
        let count = usize::from(spec.per_cylinder);
        (0..count).map(|at| spec.position.get(at).map_or(1, |words| from_left(words)))
    });
    let places: Vec<u8> = places.collect();
    places.iter().min() != places.iter().max()
}

/// The valves of a cylinder as they lie with the engine seen from the rear, and how that is. Those of a radial are
/// turned with their cylinder.
pub(super) fn as_they_lie(
    facts: &Facts,
    bank: &Bank,
    place: usize,
    cylinder: Cylinder,
) -> (Vec<Valve>, Lie) {
    let mut valves = untold_or_upright(facts, bank, place, cylinder);
    let order = Order::of(facts, bank);
    let across = order.axis == Some(Axis::Across);
    let Some(eighths) = turned_by(facts, cylinder).filter(|_| across) else {
        return (valves, Lie::Level);
    };
    use Toward::{Above, AboveLeft, AboveRight, Below, BelowLeft, BelowRight, Left, Right};
    let first = toward(Side::Left, eighths);
    // What was the left end is the other one from a quarter of a turn on.
    if matches!(first, AboveRight | Right | BelowRight | Below) {
        order.reverse(&mut valves, |valve| valve.kind);
    }
    let lie = match first {
        Left | Right => Lie::Level,
        AboveLeft | BelowRight => Lie::Falling,
        AboveRight | BelowLeft => Lie::Rising,
        Above | Below => Lie::Stacked(right_above(facts, order, &valves)),
    };
    (valves, lie)
}

/// Those of valves one above the other that the next one lies below.
fn right_above(facts: &Facts, order: Order, valves: &[Valve]) -> Vec<Valve> {
    let left = |valve: &Valve| {
        let place = usize::from(valve.number).saturating_sub(1);
        facts.spec(valve.kind).position.get(place).map_or(1, |words| from_left(words))
    };
    let mut above = Vec::new();
    for pair in valves.windows(2) {
        let [one, next] = pair else { continue };
        let untold = valves.iter().all(|valve| left(valve) == left(one));
        let in_one_row = !order.in_kinds || one.kind == next.kind;
        if in_one_row && (untold || left(one) != left(next)) {
            above.push(*one);
        }
    }
    above
}

/// The valves of a cylinder as they lie, where the profile tells: from the listed end on, or from the front, or
/// from the left.
fn untold_or_upright(facts: &Facts, bank: &Bank, place: usize, cylinder: Cylinder) -> Vec<Valve> {
    let mut left = facts.valves_of(cylinder);
    let per_cylinder = left.len();
    let Some(along) = bank.valves_along.as_ref().filter(|_| !told_by_sides(facts)) else {
        return by_their_ends(facts, bank, left);
    };
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

/// Tells whether a radial's profile has words for the sides of its valves: they come before the order along its row.
fn told_by_sides(facts: &Facts) -> bool {
    facts.layout.shape == Shape::Radial && told_apart(&[&facts.intake, &facts.exhaust])
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
                let cylinders = self.banks.iter_mut().map(|bank| (bank.order, &mut bank.cylinders));
                cylinders
                    .for_each(|(order, all)| all.iter_mut().for_each(|one| mirrored(order, one)));
            }
            (Arrangement::Columns | Arrangement::Lines, Seen::Front) => {
                self.banks.reverse();
                self.banks.iter_mut().for_each(reversed);
                self.banks.iter_mut().for_each(|bank| valves_mirrored(bank, Axis::Across));
                std::mem::swap(&mut self.above, &mut self.below);
                self.end = self.end.map(EndView::from_the_front);
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

    /// Tells whether it is seen as it was made: left and right are its own.
    pub(super) fn is_seen_from_rear(&self) -> bool {
        self.seen.ends_with(Seen::Rear.word())
    }

    /// From where it is seen, in few words and in fewer: what a row of it ends with lies nearest to who looks. Of two
    /// rows of a radial one may be called so itself.
    pub(super) fn view_words(&self) -> Vec<String> {
        let from = self.seen.rsplit(' ').next().unwrap_or_default();
        let rows = matches!(&self.arrangement, Arrangement::Rings(rows) if rows.len() > 1);
        let mut words = vec![format!("{from} view")];
        words.extend((!rows).then(|| from.to_owned()));
        words
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
        let cylinders = bank.cylinders.iter_mut();
        cylinders.for_each(|cylinder| order.reverse(&mut cylinder.valves, |valve| valve.0.kind));
    }
}

/// A cylinder of a radial from the other end of the engine: what lies above stays there.
fn mirrored(order: Order, cylinder: &mut CylinderView) {
    cylinder.lie = match &cylinder.lie {
        Lie::Stacked(_) => return,
        _ if order.axis != Some(Axis::Across) => return,
        Lie::Level => Lie::Level,
        Lie::Falling => Lie::Rising,
        Lie::Rising => Lie::Falling,
    };
    order.reverse(&mut cylinder.valves, |valve| valve.0.kind);
}
