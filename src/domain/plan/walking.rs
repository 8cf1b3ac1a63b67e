//! The order of stops with the fewest changes of side, and among those the least turning
//! (contract, section 3, `--less-walking`).
//!
//! What a leg costs depends only on the side on which one stop ends and the next begins, and on the
//! degrees between them. So the order of single stops need not be searched:
//!
//! - Seen on a ring, with a track for each side, the crank only ever moves forward along a track; a
//!   stop is an edge from the side where it begins to the side where it ends; a change of side is an
//!   edge across. Every order of the stops is a trail over such edges, and every trail that uses each
//!   stop once is an order. Edges can be run through in one trail if they hang together and as many
//!   lead into each point as out of it, but for the first and the last (Euler).
//! - Therefore it is enough to know, at each cut across the ring, how many times each track is
//!   passed there and which tracks hang together. The stops are gone through once, in the order of
//!   their angles, and of all ways that come to the same cut the cheapest is kept. What was thrown
//!   away could not have become cheaper, so the result is optimal, however many stops there are.
//! - How many changes of side are needed at all follows from the counts alone ([`least_changes`]);
//!   that keeps the search narrow. How often the way passes the cut where the ring begins is tried
//!   upwards from none, until one more turn round could not be shorter.

use super::trail::{self, Edge};
use super::{PlanRefusal, Rest, Stop, banks_at};
use crate::domain::crank;
use crate::domain::profile::Facts;
use std::collections::{BTreeMap, BTreeSet};

/// The most sides gone through where there are more than [`FEW_STOPS`]. No engine has more than four
/// banks or rows; what must be known of a cut grows with every further one.
const SIDES_MAX: usize = 4;
/// So few stops are gone through over any number of sides.
const FEW_STOPS: usize = 10;

/// Puts stops into the order with the fewest changes of side, then the least turning. With `first`
/// given, the order begins with one of those stops.
///
/// # Errors
/// More than ten stops on more than four sides.
pub(super) fn least(
    facts: &Facts,
    stops: Vec<Stop>,
    first: Option<&[usize]>,
) -> Result<Vec<Stop>, PlanRefusal> {
    let ring = Ring::of(facts, &stops);
    if ring.sides > SIDES_MAX && stops.len() > FEW_STOPS {
        return Err(PlanRefusal::TooManySides { sides: ring.sides, most: SIDES_MAX });
    }
    let may_begin: Vec<bool> =
        (0..stops.len()).map(|stop| first.is_none_or(|first| first.contains(&stop))).collect();
    let order = ring.least(&may_begin);
    let mut left: Vec<Option<Stop>> = stops.into_iter().map(Some).collect();
    Ok(order.into_iter().filter_map(|stop| left.get_mut(stop)?.take()).collect())
}

/// The same for what is left, from where the crank stands: as if that were the first stop.
///
/// # Errors
/// As [`least`].
pub(super) fn least_from(
    facts: &Facts,
    mut stops: Vec<Stop>,
    rest: &Rest,
) -> Result<Vec<Stop>, PlanRefusal> {
    let Some(here) = stops.first() else { return Ok(stops) };
    let here = Stop { watch: rest.at, crank: Some(rest.crank), gauge: Vec::new(), ..here.clone() };
    stops.insert(0, here);
    Ok(least(facts, stops, Some(&[0]))?.into_iter().skip(1).collect())
}

/// A stop as it counts here.
#[derive(Clone, Copy, Debug)]
struct Visit {
    /// The side on which it begins.
    enter: usize,
    /// The side on which it ends.
    leave: usize,
}

/// Stops at one crank angle.
#[derive(Debug)]
struct Place {
    /// Degrees from the first stop of the plan as it was, in the running direction.
    at: f64,
    /// Stops by their sides; those of the same sides can be exchanged for each other.
    kinds: Vec<(Visit, Vec<usize>)>,
}

/// All stops round the ring.
#[derive(Debug)]
struct Ring {
    sides: usize,
    visits: Vec<Visit>,
    places: Vec<Place>,
}

/// Changes of side between stops, and degrees counted from where the ring begins.
#[derive(Clone, Copy, Debug)]
struct Cost {
    changes: usize,
    turned: f64,
}

impl Cost {
    fn less_than(&self, other: &Cost) -> bool {
        match self.changes.cmp(&other.changes) {
            std::cmp::Ordering::Equal => crank::compare(self.turned, other.turned).is_lt(),
            unequal @ (std::cmp::Ordering::Less | std::cmp::Ordering::Greater) => unequal.is_lt(),
        }
    }
}

/// The mark of a track that is not passed.
const UNUSED: u8 = u8::MAX;

/// All that matters of a way up to a cut.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Cut {
    /// How many times each track is passed here.
    passes: Vec<u8>,
    /// Which hang together: the tracks here, the tracks where the ring begins, the first stop.
    together: Vec<u8>,
    begun: bool,
    ended: bool,
    /// Stops of each kind still to be put in at this place.
    left: Vec<u8>,
}

/// How a stop was put in: from which track (`None`: it is the first), and whether it is the last.
#[derive(Clone, Copy, Debug)]
struct Move {
    place: usize,
    kind: usize,
    from: Option<usize>,
    ends: bool,
}

/// A cut as it was reached.
#[derive(Clone, Debug)]
struct Reached {
    cut: Cut,
    cost: Cost,
    /// The cut before it in the layer before, and what was put in.
    before: Option<(usize, Move)>,
}

impl Ring {
    fn of(facts: &Facts, stops: &[Stop]) -> Ring {
        let banks: Vec<Vec<usize>> = stops.iter().map(|stop| banks_at(facts, stop)).collect();
        let used: BTreeSet<usize> = banks.iter().flatten().copied().collect();
        let side =
            |bank: Option<&usize>| used.iter().take_while(|&used| Some(used) != bank).count();
        let visit =
            |banks: &Vec<usize>| Visit { enter: side(banks.first()), leave: side(banks.last()) };
        let visits: Vec<Visit> = banks.iter().map(visit).collect();
        let angle = |stop: &Stop| stop.crank.unwrap_or(0.0);
        let home = stops.first().map_or(0.0, angle);
        let mut places: Vec<Place> = Vec::new();
        let mut by_angle: Vec<(f64, usize)> =
            stops.iter().map(|stop| crank::forward(home, angle(stop))).zip(0..).collect();
        by_angle.sort_by(|one, other| one.0.total_cmp(&other.0));
        for (at, stop) in by_angle {
            if places.last().is_none_or(|place| crank::forward(place.at, at) > 0.0) {
                places.push(Place { at, kinds: Vec::new() });
            }
            let Some(place) = places.last_mut() else { continue };
            let visit = visits[stop];
            let same = |(known, _): &&mut (Visit, Vec<usize>)| {
                (known.enter, known.leave) == (visit.enter, visit.leave)
            };
            match place.kinds.iter_mut().find(same) {
                Some((_, stops)) => stops.push(stop),
                None => place.kinds.push((visit, vec![stop])),
            }
        }
        Ring { sides: used.len(), visits, places }
    }

    fn least(&self, may_begin: &[bool]) -> Vec<usize> {
        let possible = (0..self.visits.len()).filter(|&stop| may_begin[stop]);
        let Some(changes) = possible.map(|stop| least_changes(&self.visits, stop)).min() else {
            return Vec::new();
        };
        let mut best: Option<(f64, Vec<usize>)> = None;
        for round in 0..=self.visits.len() {
            let whole = crank::CYCLE * round as f64;
            // A way that passes the beginning this often turns more than all but one round of it.
            if best.as_ref().is_some_and(|(turned, _)| whole - crank::CYCLE >= *turned) {
                break;
            }
            for begin in shares(round, self.sides) {
                let Some((cost, order)) = self.sweep(&begin, changes, may_begin) else { continue };
                let turned = whole + cost.turned;
                if best.as_ref().is_none_or(|(least, _)| crank::compare(turned, *least).is_lt()) {
                    best = Some((turned, order));
                }
            }
        }
        best.map(|(_, order)| order).unwrap_or_default()
    }

    /// Goes once round the ring; `begin` tells how many times each track is passed where it begins.
    fn sweep(
        &self,
        begin: &[u8],
        changes: usize,
        may_begin: &[bool],
    ) -> Option<(Cost, Vec<usize>)> {
        let first = Reached {
            cut: Cut {
                passes: begin.to_vec(),
                together: Cut::apart(begin),
                begun: false,
                ended: false,
                left: Vec::new(),
            },
            cost: Cost { changes: 0, turned: 0.0 },
            before: None,
        };
        let mut layers = vec![vec![first]];
        for (number, place) in self.places.iter().enumerate() {
            let left = place.kinds.iter().map(|(_, stops)| stops.len() as u8);
            let left: Vec<u8> = left.collect();
            let stops: usize = place.kinds.iter().map(|(_, stops)| stops.len()).sum();
            for reached in layers.last_mut()? {
                reached.cut.left.clone_from(&left);
            }
            for _ in 0..stops {
                let next = self.layer(layers.last()?, number, changes, may_begin);
                layers.push(next);
            }
        }
        let closed = |reached: &&Reached| reached.cut.closes(begin, self.sides);
        let last = layers.last()?;
        let better = |one: &&Reached, other: &&Reached| {
            if other.cost.less_than(&one.cost) {
                std::cmp::Ordering::Greater
            } else {
                std::cmp::Ordering::Less
            }
        };
        let end = last.iter().filter(closed).min_by(better)?;
        let moves = moves_to(&layers, end);
        Some((end.cost, self.order(begin, &moves, may_begin)))
    }

    /// Puts one more stop of a place into every way that has come so far.
    fn layer(
        &self,
        before: &[Reached],
        place: usize,
        changes: usize,
        may_begin: &[bool],
    ) -> Vec<Reached> {
        let mut known: BTreeMap<Cut, usize> = BTreeMap::new();
        let mut layer: Vec<Reached> = Vec::new();
        for (number, reached) in before.iter().enumerate() {
            for step in self.moves(&reached.cut, place, may_begin) {
                let (cut, cost) = self.after(reached, step);
                if cost.changes > changes {
                    continue;
                }
                let found = Reached { cost, before: Some((number, step)), cut: cut.clone() };
                match known.get(&cut) {
                    Some(&at) if cost.less_than(&layer[at].cost) => layer[at] = found,
                    Some(_) => {}
                    None => {
                        known.insert(cut, layer.len());
                        layer.push(found);
                    }
                }
            }
        }
        layer
    }

    fn moves(&self, cut: &Cut, place: usize, may_begin: &[bool]) -> Vec<Move> {
        let mut moves = Vec::new();
        for (kind, (_, stops)) in self.places[place].kinds.iter().enumerate() {
            if cut.left[kind] == 0 {
                continue;
            }
            let first_here = !cut.begun && stops.iter().any(|&stop| may_begin[stop]);
            let tracks = (0..self.sides).filter(|&side| cut.passes[side] > 0).map(Some);
            for from in tracks.chain(first_here.then_some(None)) {
                for ends in [false, true] {
                    if !ends || !cut.ended {
                        moves.push(Move { place, kind, from, ends });
                    }
                }
            }
        }
        moves
    }

    fn after(&self, reached: &Reached, step: Move) -> (Cut, Cost) {
        let place = &self.places[step.place];
        let Visit { enter, leave } = place.kinds[step.kind].0;
        let (mut cut, mut cost) = (reached.cut.clone(), reached.cost);
        cut.left[step.kind] -= 1;
        match step.from {
            Some(track) => {
                cost.changes += usize::from(track != enter);
                for side in [enter, leave] {
                    cut.tie(track, side);
                }
                cut.passes[track] -= 1;
            }
            None => {
                // What comes before the first stop is no part of the way: only its end is tied.
                cut.tie(2 * self.sides, leave);
                cut.begun = true;
                cost.turned -= place.at;
            }
        }
        cut.passes[leave] += 1;
        if step.ends {
            cut.passes[leave] -= 1;
            cut.ended = true;
            cost.turned += place.at;
        }
        cut.tidy(self.sides);
        (cut, cost)
    }

    /// Runs through the edges in one trail and returns the stops in its order.
    fn order(&self, begin: &[u8], moves: &[Move], may_begin: &[bool]) -> Vec<usize> {
        let point = |place: usize, side: usize| place * self.sides + side;
        let mut stops: Vec<Vec<Vec<usize>>> = self
            .places
            .iter()
            .map(|place| place.kinds.iter().map(|(_, stops)| stops.clone()).collect())
            .collect();
        let mut passes = begin.to_vec();
        let (mut edges, mut start, mut order) = (Vec::new(), 0, Vec::new());
        // The first stop is one that may begin; the others of its kind follow as they stood.
        for step in moves.iter().filter(|step| step.from.is_none()) {
            let alike = &mut stops[step.place][step.kind];
            let first = alike.iter().position(|&stop| may_begin[stop]);
            order.push(alike.remove(first.unwrap_or(0)));
        }
        for (number, place) in self.places.iter().enumerate() {
            for step in moves.iter().filter(|step| step.place == number) {
                let Visit { enter, leave } = place.kinds[step.kind].0;
                match step.from {
                    Some(track) => {
                        if track != enter {
                            edges.push(Edge::between(point(number, track), point(number, enter)));
                        }
                        let stop = stops[number][step.kind].remove(0);
                        edges.push(Edge::stop(point(number, enter), point(number, leave), stop));
                        passes[track] -= 1;
                    }
                    None => start = point(number, leave),
                }
                passes[leave] += u8::from(!step.ends);
            }
            let next = (number + 1) % self.places.len();
            for (side, &times) in passes.iter().enumerate() {
                let along = Edge::between(point(number, side), point(next, side));
                edges.extend(std::iter::repeat_n(along, usize::from(times)));
            }
        }
        order.extend(trail::stops_along(&edges, start, self.places.len() * self.sides));
        order
    }
}

impl Cut {
    /// Returns the marks where the ring begins: each passed track hangs together with itself only.
    fn apart(begin: &[u8]) -> Vec<u8> {
        let mark = |(side, &times): (usize, &u8)| if times > 0 { side as u8 } else { UNUSED };
        let tracks: Vec<u8> = begin.iter().enumerate().map(mark).collect();
        [tracks.as_slice(), tracks.as_slice(), &[UNUSED]].concat()
    }

    /// Ties two of the marks together.
    fn tie(&mut self, one: usize, other: usize) {
        let fresh = (0..UNUSED).find(|mark| !self.together.contains(mark)).unwrap_or(UNUSED - 1);
        let (one_mark, other_mark) = (self.together[one], self.together[other]);
        let mark = [one_mark, other_mark].into_iter().find(|&mark| mark != UNUSED);
        let mark = mark.unwrap_or(fresh);
        for known in &mut self.together {
            if *known != UNUSED && (*known == one_mark || *known == other_mark) {
                *known = mark;
            }
        }
        self.together[one] = mark;
        self.together[other] = mark;
    }

    /// Forgets the marks of tracks that are not passed any more, and names the others in order.
    fn tidy(&mut self, sides: usize) {
        for side in 0..sides {
            if self.passes[side] == 0 {
                self.together[side] = UNUSED;
            }
        }
        let mut names: Vec<u8> = Vec::new();
        for mark in self.together.iter_mut().filter(|mark| **mark != UNUSED) {
            let at = names.iter().position(|name| name == mark).unwrap_or_else(|| {
                names.push(*mark);
                names.len() - 1
            });
            *mark = at as u8;
        }
    }

    /// Tells whether the ring closes here: what leaves the last cut is what enters the first one,
    /// and all of it hangs together with the first stop.
    fn closes(&self, begin: &[u8], sides: usize) -> bool {
        if !self.begun || !self.ended || self.passes != begin {
            return false;
        }
        let mut whole = self.clone();
        for side in (0..sides).filter(|&side| begin[side] > 0) {
            whole.tie(side, sides + side);
        }
        let first = whole.together[2 * sides];
        whole.together.iter().all(|&mark| mark == UNUSED || mark == first)
    }
}

fn moves_to(layers: &[Vec<Reached>], end: &Reached) -> Vec<Move> {
    let mut moves = Vec::new();
    let mut before = end.before;
    for layer in layers.iter().rev().skip(1) {
        let Some((at, step)) = before else { break };
        moves.push(step);
        before = layer[at].before;
    }
    moves.reverse();
    moves
}

/// Returns the fewest changes of side between stops in any order that begins with a given stop.
///
/// Stops are edges from side to side. Those that hang together need as many trails as edges are
/// short on one side, at least one; between two trails the side is changed once. The first trail
/// goes on from where the first stop ends.
fn least_changes(visits: &[Visit], first: usize) -> usize {
    let goes_on = visits[first].leave;
    let mut rest: Vec<Visit> = Vec::new();
    rest.extend(visits.iter().enumerate().filter(|&(stop, _)| stop != first).map(|(_, v)| *v));
    let mut trails = 0;
    let mut joined = false;
    while let Some(seed) = rest.first().copied() {
        let mut sides = BTreeSet::from([seed.enter, seed.leave]);
        loop {
            let touches =
                |visit: &Visit| sides.contains(&visit.enter) || sides.contains(&visit.leave);
            let more: BTreeSet<usize> =
                rest.iter().filter(|v| touches(v)).flat_map(|v| [v.enter, v.leave]).collect();
            if more.is_subset(&sides) {
                break;
            }
            sides.extend(more);
        }
        let (part, others): (Vec<Visit>, Vec<Visit>) =
            rest.into_iter().partition(|visit| sides.contains(&visit.enter));
        rest = others;
        let surplus = |side: usize| {
            let out = part.iter().filter(|visit| visit.enter == side).count();
            out.saturating_sub(part.iter().filter(|visit| visit.leave == side).count())
        };
        let short: usize = sides.iter().map(|&side| surplus(side)).sum();
        trails += short.max(1);
        // The first trail is one of these where it can go on into them.
        joined |= sides.contains(&goes_on) && (short == 0 || surplus(goes_on) > 0);
    }
    if joined { trails - 1 } else { trails }
}

/// Lists all ways to share a number out among the tracks.
fn shares(number: usize, sides: usize) -> Vec<Vec<u8>> {
    if sides <= 1 {
        return vec![vec![number as u8; sides]];
    }
    let first = 0..=number;
    let with = |first: usize| {
        let rest = shares(number - first, sides - 1).into_iter();
        rest.map(move |rest| [&[first as u8], rest.as_slice()].concat())
    };
    first.flat_map(with).collect()
}
