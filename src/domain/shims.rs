//! Which shim goes where, over a whole engine: the fewest new ones, exactly.
//!
//! wanted = fitted + measured - target. A shim that came out elsewhere serves where its result lies
//! in the band; what no such shim serves is a new one of the stocked sizes. Of all ways that need
//! equally few new shims the one whose results lie nearest to their targets is taken, on a tie the
//! thinner shims. Whatever is worked out here, the valve is gauged again.

use super::units::Length;
use super::valve::Valve;
use super::verdict::Band;
use std::collections::BTreeMap;

/// A valve whose shim is to be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The valve.
    pub valve: Valve,
    /// The shim that the reading was made with, where its size is known.
    pub fitted: Option<Length>,
    /// What was read; `None` where the reading is open-ended.
    pub nominal: Option<Length>,
    /// The clearance aimed at.
    pub target: Length,
    /// The band that it must be left in.
    pub band: Band,
}

impl Change {
    /// Returns fitted + measured - target; `None` where one of them is not known.
    pub fn wanted(&self) -> Option<Length> {
        Some(self.fitted? + self.nominal? - self.target)
    }

    fn predicted(&self, size: Length) -> Option<Length> {
        Some(self.nominal? + self.fitted? - size)
    }
}

/// Where a shim comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It comes out at this valve.
    Removed(Valve),
    /// It has to be got.
    New,
}

/// What becomes of a valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// This shim.
    Fit {
        /// Its size.
        size: Length,
        /// Where it comes from.
        origin: Origin,
        /// The clearance that it leads to.
        predicted: Length,
        /// False where no shim that there is leads into the band: the nearest is named.
        in_band: bool,
    },
    /// A new one of about this size: the profile tells no sizes.
    About(Length),
    /// The shim that is fitted is not known.
    ShimNotKnown,
    /// The reading has an open end: no size follows from it.
    OpenEnded,
    /// No shim that there is leads into the band, nor nearer than the one fitted, which stays.
    NoneNearer,
}

/// One line of a parts list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line {
    /// What is to be changed.
    pub change: Change,
    /// What to fit.
    pub answer: Answer,
    /// A new one that would lead nearer to the target than the removed one named: its size and what
    /// it leads to.
    pub nearer: Option<(Length, Length)>,
}

/// What goes where, what to order, what is left over.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartsList {
    /// A line for each valve to be changed, in the order given.
    pub lines: Vec<Line>,
    /// New shims, thinnest first, with how many of each.
    pub order: Vec<(Length, u32)>,
    /// Removed shims that serve nowhere, by where they came out.
    pub spare: Vec<(Valve, Length)>,
}

impl PartsList {
    /// Counts the new shims.
    pub fn new_shims(&self) -> u32 {
        self.order.iter().map(|(_, count)| count).sum()
    }
}

/// Works out the parts list over the shims that come out and the sizes that can be got.
pub fn parts_list(changes: &[Change], removed: &[(Valve, Length)], sizes: &[Length]) -> PartsList {
    // A shim in whose place nothing can be got is promised to no other valve; one that came out there
    // before it is.
    let stays = |(of, size): &(Valve, Length)| {
        let its = |change: &&Change| change.valve == *of && change.fitted == Some(*size);
        let mut changes = changes.iter().filter(its);
        changes.any(|change| new_one(change, sizes) == Answer::NoneNearer)
    };
    let (own, removed): (Vec<_>, Vec<_>) = removed.iter().copied().partition(stays);
    let removed = removed.as_slice();
    let rows: Vec<Row> = changes.iter().map(|change| Row::new(change, removed, sizes)).collect();
    let taken = assign(&rows, removed.len());
    let mut list = PartsList::default();
    let mut orders: BTreeMap<Length, u32> = BTreeMap::new();
    let mut used = vec![false; removed.len()];
    for ((change, row), taken) in changes.iter().zip(&rows).zip(taken) {
        let answer = match taken.and_then(|place| Some((place, removed.get(place)?))) {
            Some((place, &(from, size))) => {
                used[place] = true;
                let predicted = change.predicted(size).unwrap_or(size);
                Answer::Fit { size, origin: Origin::Removed(from), predicted, in_band: true }
            }
            None => row.new_one,
        };
        if let Answer::Fit { size, origin: Origin::New, .. } | Answer::About(size) = answer {
            *orders.entry(size).or_default() += 1;
        }
        list.lines.push(Line {
            change: *change,
            answer,
            nearer: nearer(change, answer, row.new_one),
        });
    }
    list.order = orders.into_iter().collect();
    let left = removed.iter().zip(used).filter(|(_, used)| !used).map(|(shim, _)| *shim);
    list.spare = left.collect();
    let replaced = |(of, _): &(Valve, Length)| {
        let mut lines = list.lines.iter().filter(|line| line.change.valve == *of);
        lines.any(|line| line.answer != Answer::NoneNearer)
    };
    let replaced: Vec<_> = own.into_iter().filter(replaced).collect();
    list.spare.extend(replaced);
    list
}

fn nearer(change: &Change, answer: Answer, new_one: Answer) -> Option<(Length, Length)> {
    let beside = |predicted: Length| (predicted - change.target).nm().abs();
    match (answer, new_one) {
        (
            Answer::Fit { origin: Origin::Removed(_), predicted: now, .. },
            Answer::Fit { size, predicted, .. },
        ) => (beside(predicted) < beside(now)).then_some((size, predicted)),
        (
            Answer::Fit { .. }
            | Answer::About(_)
            | Answer::ShimNotKnown
            | Answer::OpenEnded
            | Answer::NoneNearer,
            Answer::Fit { .. }
            | Answer::About(_)
            | Answer::ShimNotKnown
            | Answer::OpenEnded
            | Answer::NoneNearer,
        ) => None,
    }
}

/// What serves one valve, and what each costs.
struct Row {
    /// What is done where no removed shim serves.
    new_one: Answer,
    new_cost: Cost,
    /// The cost of each removed shim; `None` where it does not serve.
    costs: Vec<Option<Cost>>,
}

/// Compared as a whole: a new shim, then nanometres beside the targets, then nanometres of
/// thickness. Sums stay far below one unit of what comes before: sizes and clearances are at most
/// 25 mm, and no engine has thousands of valves.
type Cost = i128;
const NM_BESIDE: Cost = 1_000_000_000_000;
const NEW_SHIM: Cost = NM_BESIDE * NM_BESIDE;

fn cost(change: &Change, size: Length, predicted: Length) -> Cost {
    let beside = (predicted - change.target).nm().unsigned_abs();
    Cost::from(beside) * NM_BESIDE + Cost::from(size.nm())
}

impl Row {
    fn new(change: &Change, removed: &[(Valve, Length)], sizes: &[Length]) -> Row {
        let serves = |&(_, size): &(Valve, Length)| {
            let predicted = change.predicted(size).filter(|gap| change.band.contains(*gap))?;
            Some(cost(change, size, predicted))
        };
        let new_one = new_one(change, sizes);
        let new_cost = match new_one {
            Answer::Fit { size, predicted, .. } => NEW_SHIM + cost(change, size, predicted),
            // A removed shim that serves is better than the one that does not, as than a new one.
            Answer::About(_) | Answer::NoneNearer => NEW_SHIM,
            Answer::ShimNotKnown | Answer::OpenEnded => 0,
        };
        Row { new_one, new_cost, costs: removed.iter().map(serves).collect() }
    }
}

/// Finds the new shim: of the sizes that lead into the band the one nearest to the size wanted, on
/// a tie the thinner; where none does, the nearest of all, and it is said.
fn new_one(change: &Change, sizes: &[Length]) -> Answer {
    if change.fitted.is_none() {
        return Answer::ShimNotKnown;
    }
    let Some(wanted) = change.wanted() else { return Answer::OpenEnded };
    let nearest = |sizes: &mut dyn Iterator<Item = Length>| {
        sizes.min_by_key(|size| ((*size - wanted).nm().abs(), size.nm()))
    };
    let result = |size: Length| change.target + wanted - size;
    let leads_in = |size: &Length| change.band.contains(result(*size));
    let inside = nearest(&mut sizes.iter().copied().filter(leads_in));
    match inside.or_else(|| nearest(&mut sizes.iter().copied())) {
        None => Answer::About(wanted),
        Some(size) if inside.is_none() && !nearer_than_fitted(change, result(size)) => {
            Answer::NoneNearer
        }
        Some(size) => Answer::Fit {
            size,
            origin: Origin::New,
            predicted: result(size),
            in_band: inside.is_some(),
        },
    }
}

fn nearer_than_fitted(change: &Change, predicted: Length) -> bool {
    let beside = |gap: Length| (gap - change.target).nm().abs();
    change.nominal.is_none_or(|now| beside(predicted) < beside(now))
}

/// Gives each row a removed shim or none, at the least total cost (the Hungarian method; each row has
/// a column of its own for the new shim).
fn assign(rows: &[Row], removed: usize) -> Vec<Option<usize>> {
    let (n, columns) = (rows.len(), removed + rows.len());
    const NEVER: Cost = Cost::MAX / 4;
    let at = |row: usize, column: usize| match rows[row].costs.get(column) {
        Some(cost) => cost.unwrap_or(NEVER),
        None if column == removed + row => rows[row].new_cost,
        None => NEVER,
    };
    // Rows and columns count from 1; column 0 holds the row that is being placed.
    let (mut of_row, mut of_column) = (vec![0; n + 1], vec![0; columns + 1]);
    let (mut placed, mut way) = (vec![0usize; columns + 1], vec![0usize; columns + 1]);
    for row in 1..=n {
        placed[0] = row;
        let mut here = 0;
        let mut least = vec![Cost::MAX; columns + 1];
        let mut done = vec![false; columns + 1];
        while placed[here] != 0 {
            done[here] = true;
            let (mut step, mut next) = (Cost::MAX, 0);
            for column in (1..=columns).filter(|&column| !done[column]) {
                let reduced =
                    at(placed[here] - 1, column - 1) - of_row[placed[here]] - of_column[column];
                if reduced < least[column] {
                    (least[column], way[column]) = (reduced, here);
                }
                if least[column] < step {
                    (step, next) = (least[column], column);
                }
            }
            for column in 0..=columns {
                if done[column] {
                    of_row[placed[column]] += step;
                    of_column[column] -= step;
                } else {
                    least[column] = least[column].saturating_sub(step);
                }
            }
            here = next;
        }
        while here != 0 {
            placed[here] = placed[way[here]];
            here = way[here];
        }
    }
    let mut taken = vec![None; n];
    for (column, row) in placed.iter().enumerate().skip(1).filter(|(_, row)| **row != 0) {
        taken[row - 1] = (column <= removed).then(|| column - 1);
    }
    taken
}
