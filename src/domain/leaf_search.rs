//! Gauging leaf by leaf: which leaf to try next, so that the fewest are tried.
//!
//! Each leaf goes freely, drags, or will not go. The search starts from the target, never from what
//! the valve read before; and it never takes more tries than halving the set would. What it ends in
//! is a reading as it would have been typed.

use super::entry::LeafSet;
use super::leaves;
use super::reading;
use super::typed::label;
use super::units::{Length, LengthUnit};

/// What a leaf did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feel {
    /// It goes in freely.
    Goes,
    /// It goes in with a light drag: this is the clearance.
    Drags,
    /// It will not go in.
    WillNot,
}

/// What is to be done next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// Try this size.
    Try(Length),
    /// The clearance is found: this is the reading.
    Found(String),
    /// There is no leaf to try.
    NoLeaf,
}

/// A search under way.
#[derive(Clone, Debug, PartialEq)]
pub struct LeafSearch {
    set: LeafSet,
    /// Every size that may be tried, thin to thick.
    sizes: Vec<Length>,
    target: Length,
    /// Tries that halving the whole set would take at worst.
    budget: u32,
    tried: u32,
    goes: Option<Length>,
    drags: Option<Length>,
    will_not: Option<Length>,
}

/// Returns how many tries halving this many leaves takes at worst, each of which goes, drags or
/// will not: one leaf takes one, three take two, seven three.
pub fn halving(leaves: usize) -> u32 {
    usize::BITS - leaves.leading_zeros()
}

impl LeafSearch {
    /// Begins with single leaves; with stacks of two as well where the target is thicker than every
    /// leaf.
    pub fn new(set: &LeafSet, target: Length) -> LeafSearch {
        let reached = set.leaves.iter().max().is_some_and(|&thickest| thickest >= target);
        LeafSearch::over(set, target, if reached { Stacks::No } else { Stacks::OfTwo })
    }

    /// Begins with single leaves, or with stacks of two different leaves as well.
    pub fn over(set: &LeafSet, target: Length, stacks: Stacks) -> LeafSearch {
        let mut sizes = match stacks {
            Stacks::No => set.leaves.clone(),
            Stacks::OfTwo => leaves::sizes(&set.leaves),
        };
        sizes.sort_unstable();
        sizes.dedup();
        LeafSearch {
            set: set.clone(),
            budget: halving(sizes.len()),
            sizes,
            target,
            tried: 0,
            goes: None,
            drags: None,
            will_not: None,
        }
    }

    /// Says what is to be done next.
    pub fn next(&self) -> Next {
        let open = self.open();
        match (self.drags, self.so_far()) {
            (Some(_), Some(reading)) => Next::Found(reading),
            (_, reading) if open.is_empty() => reading.map_or(Next::NoLeaf, Next::Found),
            (_, _) => self.choose(open).map_or(Next::NoLeaf, Next::Try),
        }
    }

    /// Takes what the leaf that was proposed did.
    #[must_use]
    pub fn felt(mut self, feel: Feel) -> LeafSearch {
        let Next::Try(size) = self.next() else { return self };
        self.tried += 1;
        match feel {
            Feel::Goes => self.goes = Some(size),
            Feel::Drags => self.drags = Some(size),
            Feel::WillNot => self.will_not = Some(size),
        }
        self
    }

    /// Returns how many leaves were tried.
    pub fn tried(&self) -> u32 {
        self.tried
    }

    /// Names a size as it is to be put in: `0.30`, or `0.30+0.02` for two leaves.
    pub fn named(&self, size: Length) -> String {
        match leaves::stack(&self.set.leaves, size) {
            Some((first, second)) if !self.set.leaves.contains(&size) => {
                format!("{}+{}", self.etched(first), self.etched(second))
            }
            Some(_) | None => self.etched(size),
        }
    }

    /// Returns what the answers so far amount to, as it would be typed; `None` before the first.
    pub fn so_far(&self) -> Option<String> {
        let named = |size: Option<Length>| size.map(|size| self.named(size));
        match (named(self.drags), named(self.goes), named(self.will_not)) {
            (Some(drags), _, _) => Some(drags),
            (None, Some(goes), Some(will_not)) => Some(format!("{goes}/{will_not}")),
            (None, Some(goes), None) => Some(format!("{goes}/")),
            (None, None, Some(will_not)) => Some(format!("/{will_not}")),
            (None, None, None) => None,
        }
    }

    /// The sizes that can still tell anything.
    fn open(&self) -> &[Length] {
        let from = self.goes.map_or(0, |goes| self.sizes.partition_point(|&size| size <= goes));
        let to = self.will_not.map_or(self.sizes.len(), |will_not| {
            self.sizes.partition_point(|&size| size < will_not)
        });
        self.sizes.get(from..to).unwrap_or(&[])
    }

    /// Chooses the size nearest to the target, the thinner of two equally near, among those that
    /// leave few enough on either side for the tries that halving has left.
    fn choose(&self, open: &[Length]) -> Option<Length> {
        let left = self.budget.saturating_sub(self.tried + 1);
        let most = 1_usize.checked_shl(left).map_or(usize::MAX, |power| power - 1);
        let last = open.len().saturating_sub(1);
        let few = |&(place, _): &(usize, &Length)| place <= most && last - place <= most;
        let off = |&(_, size): &(usize, &Length)| (size.nm() - self.target.nm()).abs();
        open.iter().enumerate().filter(few).min_by_key(off).map(|(_, &size)| size)
    }

    /// Writes a leaf so that it reads back as exactly this leaf: as it is etched, else in exact mm.
    fn etched(&self, leaf: Length) -> String {
        let etched = label(leaf, self.set.unit);
        let read = reading::parse(&etched, &self.set).ok().and_then(|meaning| meaning.nominal);
        if read == Some(leaf) {
            return etched;
        }
        let other = match self.set.unit {
            LengthUnit::Mm => format!("{} thou", label(leaf, LengthUnit::Inch)),
            LengthUnit::Inch => leaf.text(LengthUnit::Mm),
        };
        let read = reading::parse(&other, &self.set).ok().and_then(|meaning| meaning.nominal);
        if read == Some(leaf) {
            return other;
        }
        format!("{}.{:06} mm", leaf.nm() / 1_000_000, leaf.nm() % 1_000_000)
    }
}

/// Whether stacks are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stacks {
    /// Single leaves only.
    No,
    /// Two different leaves together as well.
    OfTwo,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::entry::ReadingUnit;
    use proptest::prelude::*;

    fn metric(sizes: &[i64]) -> LeafSet {
        let leaves = sizes.iter().map(|&um| Length::from_um(um)).collect();
        LeafSet::new("metric", LengthUnit::Mm, leaves)
    }

    /// Feels a gap of this many nanometres; a leaf of just this size drags.
    fn feel(gap: i64, size: Length) -> Feel {
        match size.nm().cmp(&gap) {
            std::cmp::Ordering::Less => Feel::Goes,
            std::cmp::Ordering::Equal => Feel::Drags,
            std::cmp::Ordering::Greater => Feel::WillNot,
        }
    }

    /// Gauges a gap to the end: what is read, and the leaves tried.
    fn gauge(mut search: LeafSearch, gap: i64) -> (String, Vec<Length>) {
        let mut tried = Vec::new();
        loop {
            match search.next() {
                Next::Try(size) => {
                    assert!(!tried.contains(&size), "the same leaf twice");
                    tried.push(size);
                    search = search.felt(feel(gap, size));
                }
                Next::Found(reading) => return (reading, tried),
                Next::NoLeaf => panic!("no leaf"),
            }
        }
    }

    /// Halving, written down on its own: the tries that a gap takes.
    fn halve(sizes: &[Length], gap: i64) -> u32 {
        let (mut from, mut to, mut tries) = (0, sizes.len(), 0);
        while from < to {
            let middle = (from + to) / 2;
            tries += 1;
            match feel(gap, sizes[middle]) {
                Feel::Goes => from = middle + 1,
                Feel::Drags => return tries,
                Feel::WillNot => to = middle,
            }
        }
        tries
    }

    #[test]
    fn no_set_takes_more_tries_than_halving_it_wherever_the_target_lies() {
        // Every set of up to 17 leaves and one of 26, every target on or between leaves, every gap.
        for n in (1..=17_i64).chain([26]) {
            let set = metric(&(1..=n).map(|place| place * 20).collect::<Vec<_>>());
            let gaps = || (0..=4 * n + 2).map(|half| half * 5_000 + 5_000);
            let worst = gaps().map(|gap| halve(&set.leaves, gap)).max().unwrap();
            assert_eq!(worst, halving(set.leaves.len()));
            for target in 0..=2 * n + 1 {
                let search = LeafSearch::over(&set, Length::from_um(target * 10), Stacks::No);
                for gap in gaps() {
                    let (_, tried) = gauge(search.clone(), gap);
                    assert!(tried.len() as u32 <= worst, "{n} leaves, target {target}, gap {gap}");
                }
            }
        }
    }

    #[test]
    fn it_starts_from_the_target_and_ends_in_the_notation_of_the_contract() {
        let twenty = metric(&(1..=20).map(|step| step * 50).collect::<Vec<_>>());
        let at = |target| LeafSearch::new(&twenty, Length::from_um(target));
        assert_eq!(at(300).next(), Next::Try(Length::from_um(300)));
        assert_eq!(at(320).next(), Next::Try(Length::from_um(300)));
        assert_eq!(at(325).next(), Next::Try(Length::from_um(300)), "the thinner of two as near");
        for (gap, reading, tries) in [
            (300_000, "0.30", 1),
            (275_000, "0.25/0.30", 2),
            (250_000, "0.25", 2),
            (30_000, "/0.05", 5),
            (1_200_000, "1.00/", 5),
        ] {
            let (got, tried) = gauge(at(300), gap);
            assert_eq!((got.as_str(), tried.len()), (reading, tries), "{gap}");
        }
        let inch = leaves::usual().swap_remove(0);
        let search = LeafSearch::new(&inch, Length::from_tenths_thou(60));
        assert_eq!(gauge(search.clone(), 165_000).0, "6/7");
        assert_eq!(gauge(search.clone(), 152_400).0, "6");
        assert_eq!(gauge(search, 40_000).0, "1.5/2");
    }

    #[test]
    fn stacks_are_tried_where_no_leaf_is_thick_enough_or_where_they_are_asked_for() {
        let set = metric(&[50, 100, 200]);
        let single = LeafSearch::new(&set, Length::from_um(200));
        assert_eq!(gauge(single, 270_000).0, "0.20/");
        let stacked = LeafSearch::new(&set, Length::from_um(260));
        assert_eq!(gauge(stacked.clone(), 270_000).0, "0.20+0.05/0.20+0.10");
        assert_eq!(gauge(stacked, 250_000).0, "0.20+0.05");
        let asked = LeafSearch::over(&set, Length::from_um(150), Stacks::OfTwo);
        assert_eq!(gauge(asked, 150_000).0, "0.10+0.05");
    }

    #[test]
    fn a_set_without_leaves_has_none_to_try_and_an_early_end_is_an_open_reading() {
        let none = metric(&[]);
        assert_eq!(LeafSearch::new(&none, Length::from_um(300)).next(), Next::NoLeaf);
        let search = LeafSearch::new(&metric(&[100, 200, 300]), Length::from_um(200));
        assert_eq!(search.so_far(), None);
        assert_eq!(search.clone().felt(Feel::WillNot).so_far().as_deref(), Some("/0.20"));
        let goes = search.felt(Feel::Goes);
        assert_eq!((goes.so_far().as_deref(), goes.tried()), (Some("0.20/"), 1));
    }

    #[test]
    fn a_leaf_of_the_other_system_is_written_so_that_it_reads_back() {
        let mixed = LeafSet::new(
            "mixed",
            LengthUnit::Mm,
            vec![Length::from_tenths_thou(15), Length::from_nm(123_456)],
        );
        let search = LeafSearch::new(&mixed, Length::from_nm(38_100));
        for (leaf, written) in [(38_100, "1.5 thou"), (123_456, "0.123456 mm")] {
            let leaf = Length::from_nm(leaf);
            assert_eq!(search.named(leaf), written);
            let read = reading::parse(written, &mixed).unwrap();
            assert_eq!((read.nominal, read.not_a_leaf), (Some(leaf), false));
        }
        assert_eq!(reading::parse("1.5 thou", &mixed).unwrap().unit, ReadingUnit::Thou);
    }

    proptest! {
        #[test]
        fn what_is_found_holds_the_gap_between_neighbouring_sizes(
            sizes in prop::collection::btree_set(1_i64..400, 1..25),
            target in 0_i64..500, gap in 1_i64..4_500_000, stacked in any::<bool>()
        ) {
            let sizes: Vec<i64> = sizes.into_iter().map(|size| size * 10).collect();
            let set = metric(&sizes);
            let stacks = if stacked { Stacks::OfTwo } else { Stacks::No };
            let search = LeafSearch::over(&set, Length::from_um(target * 10), stacks);
            let most = halving(search.sizes.len());
            let all = search.sizes.clone();
            let (typed, tried) = gauge(search, gap);
            prop_assert!(tried.len() as u32 <= most);
            let read = reading::parse(&typed, &set).unwrap();
            prop_assert!(!read.not_a_leaf, "{}", typed);
            let (low, high) = (read.low.unwrap(), read.high);
            if read.single {
                prop_assert_eq!(read.nominal.unwrap().nm(), gap);
            } else {
                prop_assert!(low.nm() <= gap && high.is_none_or(|high| gap <= high.nm()));
                let between = |size: &&Length| **size > low && high.is_none_or(|high| **size < high);
                prop_assert_eq!(all.iter().find(between), None, "{} is not narrow", typed);
            }
        }
    }
}
