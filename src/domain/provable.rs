//! What a leaf set can prove about a band, before anything is gauged.
//!
//! A clearance is proved by two sizes: the thickest that goes, the next that will not. Sizes that
//! miss a limit leave clearances about it that no such pair can place; and one more leaf may help
//! most. Exact, in whole nanometres.

use super::entry::LeafSet;
use super::leaves;
use super::typed::label;
use super::units::{Length, LengthUnit};
use super::verdict::Band;

/// What a set can prove about a band.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Provable {
    /// The band.
    pub band: Band,
    /// Clearances from the first up to the second are proved good; `None` where none is.
    pub good: Option<(Length, Length)>,
    /// Clearances between these come out undecided, thin ones first; an open end is `None`.
    pub undecided: Vec<(Length, Option<Length>)>,
    /// The single leaf that would help most, where one helps.
    pub helps: Option<Length>,
}

/// Works out what single leaves of a set can prove.
pub fn of_set(set: &LeafSet, band: Band) -> Provable {
    of_sizes(&set.leaves, band)
}

/// Works out what single leaves and stacks of two can prove.
pub fn of_stacks(set: &LeafSet, band: Band) -> Provable {
    of_sizes(&leaves::sizes(&set.leaves), band)
}

fn of_sizes(sizes: &[Length], band: Band) -> Provable {
    let mut sizes = sizes.to_vec();
    sizes.sort_unstable();
    sizes.dedup();
    let helps = [band.least, band.most]
        .into_iter()
        .filter(|limit| *limit > Length::ZERO && !sizes.contains(limit))
        .map(|limit| (gain(&sizes, band, limit), limit))
        .filter(|&((less_open, less, more), _)| less_open > 0 || less > 0 || more > 0)
        // On a tie the lower limit: tight valves burn.
        .max_by_key(|&(gain, limit)| (gain, std::cmp::Reverse(limit)))
        .map(|(_, limit)| limit);
    Provable { band, good: good(&sizes, band), undecided: undecided(&sizes, band), helps }
}

/// From the thinnest size not under the band to the thickest not over it.
fn good(sizes: &[Length], band: Band) -> Option<(Length, Length)> {
    let from = thinnest_from(sizes, band.least)?;
    let to = thickest_to(sizes, band.most)?;
    // A band that begins at nothing needs no leaf to prove its lower limit.
    let from = if band.least <= Length::ZERO { Length::ZERO } else { from };
    (from < to).then_some((from, to))
}

fn undecided(sizes: &[Length], band: Band) -> Vec<(Length, Option<Length>)> {
    let below = thickest_to(sizes, band.least).unwrap_or(Length::ZERO);
    let above = thinnest_from(sizes, band.most);
    match good(sizes, band) {
        Some((from, to)) => [(below, Some(from)), (to, above)]
            .into_iter()
            .filter(|&(low, high)| high.is_none_or(|high| low < high))
            .collect(),
        None => vec![(below, above)],
    }
}

/// What one more leaf brings: fewer open ends, less that is undecided, more that is proved good.
fn gain(sizes: &[Length], band: Band, leaf: Length) -> (i64, i64, i64) {
    let mut more = sizes.to_vec();
    more.push(leaf);
    more.sort_unstable();
    let open =
        |sizes: &[Length]| i64::from(undecided(sizes, band).iter().any(|(_, high)| high.is_none()));
    let unsure = |sizes: &[Length]| -> i64 {
        undecided(sizes, band).iter().filter_map(|&(low, high)| Some((high? - low).nm())).sum()
    };
    let sure = |sizes: &[Length]| good(sizes, band).map_or(0, |(from, to)| (to - from).nm());
    let closes = open(sizes) - open(&more);
    // Closing an open end makes a closed one of it, which is no loss.
    let less = if closes > 0 { 0 } else { unsure(sizes) - unsure(&more) };
    (closes, less, sure(&more) - sure(sizes))
}

fn thinnest_from(sizes: &[Length], limit: Length) -> Option<Length> {
    sizes.iter().copied().find(|&size| size >= limit)
}

fn thickest_to(sizes: &[Length], limit: Length) -> Option<Length> {
    sizes.iter().rev().copied().find(|&size| size <= limit)
}

impl Provable {
    /// Tells whether both limits can be proved, whatever the clearance is.
    pub fn is_whole(&self) -> bool {
        self.undecided.is_empty()
    }

    /// Says it in sentences, in the unit of the set.
    pub fn words(&self, set: &LeafSet) -> Vec<String> {
        let unit = set.unit;
        let limits = format!("{} to {}", self.band.least.digits(unit), self.band.most.text(unit));
        if self.is_whole() {
            return vec![format!("{limits}: these leaves can prove both limits.")];
        }
        let good = match self.good {
            Some((from, to)) => {
                format!("proved good from {} to {}", from.digits(unit), to.text(unit))
            }
            None => "nothing can be proved good".into(),
        };
        let spans: Vec<String> =
            self.undecided.iter().map(|&(low, high)| span(low, high, unit)).collect();
        let mut lines = vec![format!("{limits}: {good}; undecided {}.", spans.join(" and "))];
        lines.extend(self.help_words(set).map(|words| format!("{words}.")));
        lines
    }

    /// Says which single leaf would help most, and what it takes to prove both limits; `None` where
    /// they are proved.
    pub fn help_words(&self, set: &LeafSet) -> Option<String> {
        let leaf = self.helps?;
        let unit = set.unit;
        let other = [self.band.least, self.band.most]
            .into_iter()
            .find(|limit| *limit != leaf && *limit > Length::ZERO && !set.leaves.contains(limit));
        let named = leaf.text(unit);
        let mut words = match other {
            None => format!("One leaf of {named} would prove both limits"),
            Some(other) => format!(
                "One leaf of {named} would help most; with {} too both limits are proved",
                other.digits(unit)
            ),
        };
        if let Some((one, two)) = leaves::stack(&set.leaves, leaf) {
            let (one, two) = (label(one, unit), label(two, unit));
            words += &format!("; {one}+{two} together make it, less exactly");
        }
        Some(words)
    }
}

fn span(low: Length, high: Option<Length>, unit: LengthUnit) -> String {
    match high {
        Some(high) => format!("between {} and {}", low.digits(unit), high.text(unit)),
        None => format!("above {}", low.text(unit)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::reading::parse;
    use crate::domain::verdict::{Verdict, judge};
    use proptest::prelude::*;

    fn um(um: i64) -> Length {
        Length::from_um(um)
    }

    fn metric(sizes: &[i64]) -> LeafSet {
        LeafSet::new("metric", LengthUnit::Mm, sizes.iter().map(|&size| um(size)).collect())
    }

    fn band(least: i64, most: i64) -> Band {
        Band { least: um(least), most: um(most) }
    }

    #[test]
    fn leaves_by_five_hundredths_prove_little_of_a_band_of_eight() {
        // check-values 6, example (derived): limits 0.24 to 0.32 mm, steps of 0.05 mm: only
        // 0.25 to 0.30 can be proved good, 0.31 and 0.245 come out undecided; one 0.32 leaf cures it.
        let set = metric(&(1..=10).map(|step| step * 50).collect::<Vec<_>>());
        let got = of_set(&set, band(240, 320));
        assert_eq!(got.good, Some((um(250), um(300))));
        assert_eq!(got.undecided, [(um(200), Some(um(250))), (um(300), Some(um(350)))]);
        assert_eq!(got.helps, Some(um(320)));
        assert_eq!(
            got.words(&set),
            [
                "0.24 to 0.32 mm: proved good from 0.25 to 0.30 mm; undecided between 0.20 and \
                 0.25 mm and between 0.30 and 0.35 mm.",
                "One leaf of 0.32 mm would help most; with 0.24 too both limits are proved."
            ]
        );
        // "Stacking 0.05 + 0.27 or one 0.32 leaf cures it": of the upper limit.
        for cure in [320, 270] {
            let cured =
                LeafSet { leaves: [set.leaves.clone(), vec![um(cure)]].concat(), ..metric(&[]) };
            let got = of_stacks(&cured, band(240, 320));
            assert!(got.undecided.iter().all(|&(low, _)| low < um(250)), "{cure}: {got:?}");
        }
    }

    #[test]
    fn leaves_at_both_limits_prove_everything_and_too_few_prove_nothing() {
        let both = metric(&[240, 320]);
        let got = of_set(&both, band(240, 320));
        assert!(got.is_whole() && got.helps.is_none());
        assert_eq!(got.words(&both), ["0.24 to 0.32 mm: these leaves can prove both limits."]);
        let one = of_set(&metric(&[300]), band(240, 320));
        assert_eq!((one.good, one.undecided), (None, vec![(um(0), None)]));
        assert_eq!(one.helps, Some(um(320)), "an open end is the worst");
        let none = of_set(&metric(&[]), band(240, 320));
        assert_eq!(
            (none.good, none.undecided, none.helps),
            (None, vec![(um(0), None)], Some(um(320)))
        );
        // A band that begins at nothing has one limit to prove.
        let from_nothing = of_set(&metric(&[100]), band(0, 100));
        assert_eq!(from_nothing.good, Some((um(0), um(100))));
        assert!(from_nothing.is_whole());
    }

    #[test]
    fn a_leaf_that_two_of_the_set_make_is_said_so() {
        let set = metric(&[50, 200, 250, 270, 350]);
        let got = of_set(&set, band(250, 320));
        assert_eq!(got.helps, Some(um(320)));
        let words = got.words(&set);
        assert_eq!(
            words[1],
            "One leaf of 0.32 mm would prove both limits; 0.27+0.05 together make it, less exactly."
        );
    }

    proptest! {
        #[test]
        fn what_is_said_to_be_provable_is_what_a_pair_of_leaves_is_judged_by(
            sizes in prop::collection::btree_set(1_i64..60, 1..12),
            least in 1_i64..50, width in 1_i64..20, gap in 1_i64..650
        ) {
            let sizes: Vec<i64> = sizes.into_iter().map(|size| size * 10).collect();
            let set = metric(&sizes);
            let band = band(least * 10, (least + width) * 10);
            let got = of_set(&set, band);
            // The pair that a gap between two leaves would be read as.
            prop_assume!(!sizes.contains(&gap));
            let go = sizes.iter().rev().find(|&&size| size < gap);
            let no_go = sizes.iter().find(|&&size| size > gap);
            let of = |size: Option<&i64>| size.map_or(String::new(), |&size| um(size).digits(LengthUnit::Mm));
            let reading = parse(&format!("{}/{}", of(go), of(no_go)), &set).unwrap();
            let verdict = judge(&reading.interval(), band, &set.leaves);
            let gap = um(gap);
            let good = got.good.is_some_and(|(from, to)| from < gap && gap < to);
            let unsure = got.undecided.iter().any(|&(low, high)| low < gap && high.is_none_or(|high| gap < high));
            prop_assert_eq!(good, verdict == Verdict::InLimits);
            prop_assert_eq!(unsure, matches!(verdict, Verdict::Undecided { .. }));
        }

        #[test]
        fn the_leaf_that_helps_is_missing_and_helps(
            sizes in prop::collection::btree_set(1_i64..60, 0..12), least in 1_i64..50, width in 1_i64..20
        ) {
            let sizes: Vec<i64> = sizes.into_iter().map(|size| size * 10).collect();
            let band = band(least * 10, (least + width) * 10);
            let got = of_set(&metric(&sizes), band);
            prop_assert_eq!(got.helps.is_none(), got.is_whole());
            if let Some(leaf) = got.helps {
                let more = [sizes, vec![leaf.nm() / 1000]].concat();
                let better = of_set(&metric(&more), band);
                let same = Provable { helps: better.helps, ..got };
                prop_assert_ne!(better, same);
            }
        }
    }
}
