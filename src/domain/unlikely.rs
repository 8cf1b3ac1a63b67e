//! Firing orders and intervals that are possible and yet unlikely for the way an engine lies.
//!
//! A profile with one is sound; the mechanic is told what it leads to, because a wrong order means
//! valves gauged while they are open. Each rule has its source; engines that no rule speaks of are
//! never doubted. The words are the guide's.

use super::cams::opposites;
use super::crank;
use super::place::place_of;
use super::profile::{Bank, Facts, Shape};
use super::valve::Cylinder;

/// What is unlikely, and what it leads to.
#[derive(Clone, Debug, PartialEq)]
pub struct Unlikely {
    /// The rule that is not kept.
    pub rule: Rule,
    /// The pairs of opposites that the profile leads to, in firing order.
    pub opposites: Vec<(Cylinder, Cylinder)>,
}

/// A rule of how engines fire, with what it would have.
#[derive(Clone, Debug, PartialEq)]
pub enum Rule {
    /// Inline four and six, evenly fired: cylinders equally far from either end are a turn apart.
    ///
    /// 1-3-4-2 and 1-2-4-3 are the orders of the trade, both with the opposites 1-4 and 2-3
    /// (check-values S8); 1-4-3-2, printed in a textbook, makes them 1-3 and 4-2 (S16). Six:
    /// 1-5-3-6-2-4 (FAA-H-8083-32, chapter 1), whose opposites add up to 7.
    Mirrored {
        /// The opposites that would be likely.
        likely: Vec<(Cylinder, Cylinder)>,
    },
    /// Opposed, evenly fired: cylinders that face each other are a turn apart.
    ///
    /// So it is in 1-3-2-4, 1-4-2-3 and 1-4-5-2-3-6 (FAA-H-8083-32, chapter 1), and in 1-6-2-4-3-5,
    /// where 1 and 4 are opposites (check-values S4).
    Facing {
        /// The opposites that would be likely.
        likely: Vec<(Cylinder, Cylinder)>,
    },
    /// Radial of one row and an odd count: the odd cylinders in order, then the even ones, which is
    /// every second one round the row in the running direction (FAA-H-8083-32, chapter 1).
    EverySecond {
        /// The order that would be likely.
        likely: Vec<Cylinder>,
    },
    /// Radial of two rows: two cylinders of the same row never fire in succession (FAA-H-8083-32,
    /// chapter 1).
    RowsInTurn {
        /// Two cylinders of the same row that do.
        twice: (Cylinder, Cylinder),
    },
    /// Two rows of seven or nine: each firing is so many numbers on, or so many back (14: on 9, back
    /// 5; 18: on 11, back 7; FAA-H-8083-32, chapter 1); the other way round for an engine that turns
    /// the other way (derived).
    Steps {
        /// Numbers on.
        add: u8,
        /// Numbers back.
        subtract: u8,
        /// The order that would be likely.
        likely: Vec<Cylinder>,
    },
    /// Two cylinders: the intervals that their layout gives (check-values S12, S13, S14); a vee twin
    /// on one crank pin fires 360 less and 360 more the angle between its cylinders.
    Intervals {
        /// Pairs of intervals that would be likely, in either order.
        likely: Vec<(f64, f64)>,
    },
    /// More than two cylinders, unevenly fired: two of them fire together, or all but (our reading: closer
    /// than a quarter of the even interval; no source).
    Together {
        /// The two.
        both: (Cylinder, Cylinder),
        /// Degrees between them.
        apart: f64,
    },
}

/// Intervals of inline twins: both pins alike, 180, 270 and 285 degree cranks (check-values S12).
const INLINE_TWINS: [(f64, f64); 4] =
    [(360.0, 360.0), (180.0, 540.0), (270.0, 450.0), (285.0, 435.0)];
/// Intervals of vee twins on one crank pin: 45, 60, 75 and 90 degrees (check-values S12, S14).
const VEE_TWINS: [(f64, f64); 4] = [(315.0, 405.0), (300.0, 420.0), (285.0, 435.0), (270.0, 450.0)];
/// How far intervals may be from the likely ones, degrees.
const INTERVALS_APART: f64 = 0.5;

/// Finds what is unlikely about a profile's firing order and intervals.
pub fn unlikely(facts: &Facts) -> Option<Unlikely> {
    let rule = if facts.cylinders() == 2 {
        twin(facts)
    } else if facts.fires_evenly() {
        match facts.layout.shape {
            Shape::Inline => mirrored(facts),
            Shape::Opposed => facing(facts),
            Shape::Radial => radial(facts),
            Shape::Vee => None,
        }
    } else {
        together(facts)
    };
    rule.map(|rule| Unlikely { rule, opposites: opposites(facts) })
}

fn mirrored(facts: &Facts) -> Option<Rule> {
    let [bank] = facts.layout.banks.as_slice() else { return None };
    let count = bank.cylinders.len();
    let far_end = bank.cylinders.iter().rev().copied();
    let likely: Vec<_> = bank.cylinders.iter().copied().zip(far_end).take(count / 2).collect();
    let speaks_of = count == 4 || count == 6;
    (speaks_of && !all_opposites(facts, &likely)).then_some(Rule::Mirrored { likely })
}

fn facing(facts: &Facts) -> Option<Rule> {
    let [one, other] = facts.layout.banks.as_slice() else { return None };
    if one.cylinders.len() != other.cylinders.len() {
        return None;
    }
    let likely: Vec<_> =
        one.cylinders.iter().copied().zip(other.cylinders.iter().copied()).collect();
    (!all_opposites(facts, &likely)).then_some(Rule::Facing { likely })
}

fn all_opposites(facts: &Facts, pairs: &[(Cylinder, Cylinder)]) -> bool {
    pairs.iter().all(|&(one, other)| crank::opposite(facts, one) == Some(other))
}

fn radial(facts: &Facts) -> Option<Rule> {
    match facts.layout.banks.as_slice() {
        [row] => every_second(facts, row),
        [_, _] => rows_in_turn(facts).or_else(|| steps(facts)),
        _ => None,
    }
}

fn every_second(facts: &Facts, row: &Bank) -> Option<Rule> {
    let count = row.cylinders.len();
    if count.is_multiple_of(2) || count < 3 {
        return None;
    }
    let likely = |step: usize| -> Option<Vec<Cylinder>> {
        let first = row.cylinders.iter().position(|c| facts.firing_order.first() == Some(c))?;
        let places = (0..count).map(|firing| (first + firing * step) % count);
        places.map(|place| row.cylinders.get(place).copied()).collect()
    };
    // Banks are listed clockwise as seen from the rear.
    let (clockwise, counter) = (likely(2)?, likely(count - 2)?);
    let wanted = match clockwise_from_rear(facts) {
        Some(false) => counter,
        None if counter == facts.firing_order => return None,
        Some(true) | None => clockwise,
    };
    (wanted != facts.firing_order).then_some(Rule::EverySecond { likely: wanted })
}

/// Tells whether the crank turns clockwise as seen from the rear, where the profile tells it.
fn clockwise_from_rear(facts: &Facts) -> Option<bool> {
    let rotation = facts.rotation.as_ref()?;
    rotation.clockwise.map(|clockwise| clockwise != facts.is_front(rotation.seen_from))
}

fn rows_in_turn(facts: &Facts) -> Option<Rule> {
    let order = &facts.firing_order;
    let next = order.iter().skip(1).chain(order.first());
    let same_row = |&(one, other): &(&Cylinder, &Cylinder)| {
        facts.bank_of(*one).is_some_and(|row| row.cylinders.contains(other))
    };
    let twice = order.iter().zip(next).find(same_row)?;
    Some(Rule::RowsInTurn { twice: (*twice.0, *twice.1) })
}

fn steps(facts: &Facts) -> Option<Rule> {
    let (add, subtract) = match facts.cylinders() {
        14 => (9, 5),
        18 => (11, 7),
        _ => return None,
    };
    let count: Cylinder = add + subtract;
    // The numbers are the handbook's only where they go clockwise round both rows together.
    let numbered = |&cylinder: &Cylinder| {
        let wanted = f64::from(cylinder - 1) * 360.0 / f64::from(count);
        let from_top = place_of(facts, cylinder).and_then(|place| place.from_top);
        from_top.is_some_and(|from_top| (from_top - wanted).abs() < 0.1)
    };
    if !facts.firing_order.iter().all(numbered) {
        return None;
    }
    let first = *facts.firing_order.first()?;
    let likely = |add: Cylinder, subtract: Cylinder| -> Vec<Cylinder> {
        let next = |&c: &Cylinder| Some(if c <= count - add { c + add } else { c - subtract });
        std::iter::successors(Some(first), next).take(count.into()).collect()
    };
    let backwards = likely(subtract, add);
    let (add, subtract, likely) = match clockwise_from_rear(facts) {
        Some(false) => (subtract, add, backwards),
        None if backwards == facts.firing_order => return None,
        Some(true) | None => (add, subtract, likely(add, subtract)),
    };
    (likely != facts.firing_order).then_some(Rule::Steps { add, subtract, likely })
}

fn together(facts: &Facts) -> Option<Rule> {
    let least = 720.0 / facts.cylinders() as f64 / 4.0;
    let next = facts.firing_order.iter().cycle().skip(1);
    let mut firings = facts.firing_order.iter().zip(next).zip(&facts.firing_intervals);
    let ((&one, &other), &apart) = firings.find(|(_, apart)| **apart < least)?;
    Some(Rule::Together { both: (one, other), apart })
}

fn twin(facts: &Facts) -> Option<Rule> {
    let [first, second] = *facts.firing_intervals.as_slice() else { return None };
    let is = |&(one, other): &(f64, f64)| {
        let near = |interval: f64, wanted: f64| (interval - wanted).abs() <= INTERVALS_APART;
        near(first, one) && near(second, other) || near(first, other) && near(second, one)
    };
    let likely = match (facts.layout.shape, facts.layout.angle) {
        (Shape::Inline, _) => INLINE_TWINS.to_vec(),
        (Shape::Opposed, _) => vec![(360.0, 360.0)],
        (Shape::Vee, Some(angle)) => vec![(360.0 - angle, 360.0 + angle)],
        // Of an angle that is not told only this much is known: the intervals are not the same.
        (Shape::Vee, None) if !facts.fires_evenly() => return None,
        (Shape::Vee, None) => VEE_TWINS.to_vec(),
        (Shape::Radial, _) => return None,
    };
    (!likely.iter().any(is)).then_some(Rule::Intervals { likely })
}
