//! Feeler leaves: the usual sets, a set typed as a list, stacks of two, which leaves to carry.
//!
//! A leaf's etched number and the leaf itself are taken for the same: the tolerance of a set is
//! not known here. What a reading with these leaves means is `reading`'s business.

use super::entry::{LeafSet, ReadingUnit};
use super::profile::{Facts, Figures};
use super::typed::{
    ThicknessFault, bare_unit, label, number_and_word, quoted, thickness, unit_word,
};
use super::units::{Length, LengthUnit};
use std::fmt;

/// Most leaves a typed set may have; the largest usual set has 26 (check-values 6.5).
const LEAVES_MAX: usize = 100;
/// Longest list that is looked at, bytes.
const LIST_MAX: usize = 1000;

/// Lists the usual sets (check-values 6.6, from memory): inch 26, metric 20, metric 13.
pub fn usual() -> Vec<LeafSet> {
    let inch = std::iter::once(15).chain((2..=25).map(|thou| thou * 10));
    let metric = (1..=20).map(|step| step * 50);
    let thirteen = [50, 100, 150, 200, 250].into_iter().chain((3..=10).map(|step| step * 100));
    vec![
        LeafSet::new(
            "inch, 0.0015 to 0.025",
            LengthUnit::Inch,
            inch.map(Length::from_tenths_thou).collect(),
        ),
        LeafSet::new(
            "metric, 0.05 to 1.00 by 0.05",
            LengthUnit::Mm,
            metric.map(Length::from_um).collect(),
        ),
        LeafSet::new("metric, 13 leaves", LengthUnit::Mm, thirteen.map(Length::from_um).collect()),
    ]
}

/// Returns the leaves that a profile lists, in the profile's unit: the set of the command line.
pub fn of_profile(facts: &Facts) -> LeafSet {
    let mut leaves = facts.leaves.clone();
    leaves.sort_unstable();
    LeafSet::new("the profile's leaves", facts.unit, leaves)
}

/// Lists every size that one leaf or two leaves make; empty where no leaf is known.
pub fn sizes(leaves: &[Length]) -> Vec<Length> {
    let stacks = leaves
        .iter()
        .enumerate()
        .flat_map(|(place, &first)| leaves[place + 1..].iter().map(move |&second| first + second));
    leaves.iter().copied().chain(stacks).collect()
}

/// Tells whether one leaf or two make this size; true where no leaf is known.
pub fn can_make(leaves: &[Length], size: Length) -> bool {
    leaves.is_empty() || leaves.contains(&size) || stack(leaves, size).is_some()
}

/// Finds two leaves that make this size, the thicker first: the pair of the thickest possible
/// leaf, because thin leaves curl.
pub fn stack(leaves: &[Length], size: Length) -> Option<(Length, Length)> {
    let thicker = leaves.iter().filter(|&&leaf| {
        let other = size - leaf;
        other < leaf && leaves.contains(&other)
    });
    thicker.max().map(|&leaf| (leaf, size - leaf))
}

/// Returns the next thinner and the next thicker leaf of the set.
pub fn neighbours(leaves: &[Length], size: Length) -> (Option<Length>, Option<Length>) {
    let thinner = leaves.iter().copied().filter(|&leaf| leaf < size).max();
    let thicker = leaves.iter().copied().filter(|&leaf| leaf > size).min();
    (thinner, thicker)
}

/// Returns the leaves to carry for a kind of valve, thin to thick: the one nearest to the target
/// (the thinner of two equally near) and its neighbours. Empty where the set is not known.
pub fn carry(set: &LeafSet, figures: &Figures) -> Vec<Length> {
    let off = |leaf: &&Length| ((leaf.nm() - figures.target.nm()).abs(), leaf.nm());
    let Some(&nearest) = set.leaves.iter().min_by_key(off) else { return Vec::new() };
    let (thinner, thicker) = neighbours(&set.leaves, nearest);
    [thinner, Some(nearest), thicker].into_iter().flatten().collect()
}

/// Writes leaves as they are etched, blanks between: "5 6 7".
pub fn labels(set: &LeafSet, leaves: &[Length]) -> String {
    let etched: Vec<String> = leaves.iter().map(|&leaf| label(leaf, set.unit)).collect();
    etched.join(" ")
}

/// Writes a leaf as etched, or as the two leaves that make its size: "0.32", "0.30+0.02".
pub fn named(set: &LeafSet, size: Length) -> String {
    match stack(&set.leaves, size) {
        Some((first, second)) if !set.leaves.contains(&size) => {
            format!("{}+{}", label(first, set.unit), label(second, set.unit))
        }
        Some(_) | None => label(size, set.unit),
    }
}

/// Why a list of leaves cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LeavesFault {
    /// Nothing was typed.
    Empty,
    /// More than 1000 bytes or 100 leaves.
    TooLong,
    /// A word that is neither leaf nor range.
    NotALeaf(String),
    /// Nought is no leaf.
    Nought,
    /// A leaf with more digits than can be kept exactly.
    TooManyDigits(String),
    /// A leaf thicker than 25 mm.
    TooThick(String),
    /// The second number of a range is not above the first.
    Backwards(String),
}

impl fmt::Display for LeavesFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LeavesFault::Empty => f.write_str("no leaf was typed"),
            LeavesFault::TooLong => write!(f, "the list has more than {LEAVES_MAX} leaves"),
            LeavesFault::NotALeaf(word) => {
                write!(f, "\"{word}\" is no leaf and no range of leaves")
            }
            LeavesFault::Nought => f.write_str("a leaf cannot be 0 thick"),
            LeavesFault::TooManyDigits(word) => write!(f, "\"{word}\" has too many digits"),
            LeavesFault::TooThick(word) => write!(f, "\"{word}\" is thicker than 25 mm"),
            LeavesFault::Backwards(word) => {
                write!(f, "the range \"{word}\" does not go from thin to thick")
            }
        }
    }
}

impl std::error::Error for LeavesFault {}

impl LeavesFault {
    /// Says what to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            LeavesFault::Empty | LeavesFault::NotALeaf(_) | LeavesFault::Nought => {
                "Type the leaves with blanks between, as 0.05 0.10 0.15, or 1.5 2-25."
            }
            LeavesFault::TooLong => "Type only the leaves that are in the set.",
            LeavesFault::TooManyDigits(_) => "Type the number that is etched on the leaf.",
            LeavesFault::TooThick(_) => "Check the unit: 0.15 mm or 6 thou.",
            LeavesFault::Backwards(_) => "Type the thinner leaf first, as 2-25.",
        }
    }
}

/// Reads a list of leaves: numbers as in readings, blanks or semicolons between, `2-25` for all of
/// them by 0.001 in or 0.05 mm, `0.05-0.50 by 0.05` for another step. A unit at the end of the list
/// covers every number without one.
///
/// # Errors
/// Names the first word that is no leaf.
pub fn parse(typed: &str, name: &str, unit: LengthUnit) -> Result<LeafSet, LeavesFault> {
    let typed = typed.trim();
    if typed.len() > LIST_MAX {
        return Err(LeavesFault::TooLong);
    }
    let words = words(typed);
    let shared = words.last().and_then(|word| unit_at_end(word));
    let mut leaves = Vec::new();
    let mut rest = words.iter().peekable();
    while let Some(word) = rest.next() {
        let step = match rest.next_if(|next| next.eq_ignore_ascii_case("by")) {
            None => None,
            Some(by) => {
                let step = rest.next().ok_or_else(|| LeavesFault::NotALeaf(quoted(by)))?;
                Some(leaf(step, shared, unit)?.0)
            }
        };
        leaves.extend(range(word, (shared, step), unit)?);
        if leaves.len() > LEAVES_MAX {
            return Err(LeavesFault::TooLong);
        }
    }
    leaves.sort_unstable();
    leaves.dedup();
    if leaves.is_empty() {
        return Err(LeavesFault::Empty);
    }
    Ok(LeafSet::new(name, unit, leaves))
}

/// Cuts the list into words; a comma before a blank only separates, and a unit standing alone
/// belongs to the word before it.
fn words(typed: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let pieces = typed.split(|c: char| c.is_whitespace() || c == ';');
    for word in pieces.flat_map(at_commas) {
        match words.last_mut() {
            Some(last) if unit_word(word).is_some() => last.push_str(word),
            Some(_) | None if word.is_empty() => {}
            Some(_) | None => words.push(word.to_owned()),
        }
    }
    words
}

/// Splits `4,5,6` at its commas: more than one, between whole numbers, are no decimal commas.
fn at_commas(word: &str) -> impl Iterator<Item = &str> {
    let word = word.trim_end_matches(',');
    let whole =
        |number: &str| number.bytes().all(|byte| byte.is_ascii_digit()) && !number.starts_with('0');
    let list = word.matches(',').count() > 1 && word.split(',').all(whole);
    let separator = if list { ',' } else { '\0' };
    word.split(separator)
}

fn unit_at_end(word: &str) -> Option<ReadingUnit> {
    let last = word.rsplit('-').next().unwrap_or(word);
    number_and_word(last).ok().and_then(|(_, word)| unit_word(word))
}

fn range(
    word: &str,
    (shared, step): (Option<ReadingUnit>, Option<Length>),
    set: LengthUnit,
) -> Result<Vec<Length>, LeavesFault> {
    let Some((first, last)) = word.split_once('-') else {
        // Only a range has a step.
        return match step {
            None => Ok(vec![leaf(word, shared, set)?.0]),
            Some(_) => Err(LeavesFault::NotALeaf(quoted(word))),
        };
    };
    if first.is_empty() || last.is_empty() || last.contains('-') {
        return Err(LeavesFault::NotALeaf(quoted(word)));
    }
    let shared = unit_at_end(last).or(shared);
    let ((first, unit), (last, _)) = (leaf(first, shared, set)?, leaf(last, shared, set)?);
    if last <= first {
        return Err(LeavesFault::Backwards(quoted(word)));
    }
    let step = step.unwrap_or(match unit {
        ReadingUnit::Thou | ReadingUnit::Inch => Length::from_tenths_thou(10),
        ReadingUnit::Mm | ReadingUnit::Hundredths => Length::from_um(50),
    });
    let mut leaves = vec![first];
    let mut next = first + step;
    while next < last {
        if leaves.len() > LEAVES_MAX {
            return Err(LeavesFault::TooLong);
        }
        leaves.push(next);
        next = next + step;
    }
    leaves.push(last);
    Ok(leaves)
}

/// Reads one leaf and the unit it was taken in.
fn leaf(
    word: &str,
    shared: Option<ReadingUnit>,
    set: LengthUnit,
) -> Result<(Length, ReadingUnit), LeavesFault> {
    let fault = |fault| match fault {
        ThicknessFault::NotANumber => LeavesFault::NotALeaf(quoted(word)),
        ThicknessFault::TooManyDigits => LeavesFault::TooManyDigits(quoted(word)),
        ThicknessFault::TooThick => LeavesFault::TooThick(quoted(word)),
    };
    let (number, own) = number_and_word(word).map_err(fault)?;
    let unit = match own {
        "" => shared.unwrap_or_else(|| bare_unit(number, set)),
        own => unit_word(own).ok_or_else(|| LeavesFault::NotALeaf(quoted(word)))?,
    };
    // Less than half a nanometre is nought, too.
    let leaf = thickness(number, unit).map_err(fault)?;
    if leaf == Length::ZERO { Err(LeavesFault::Nought) } else { Ok((leaf, unit)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(sizes: &[i64]) -> Vec<Length> {
        sizes.iter().map(|&size| Length::from_um(size)).collect()
    }

    fn tenths(sizes: &[i64]) -> Vec<Length> {
        sizes.iter().map(|&size| Length::from_tenths_thou(size)).collect()
    }

    fn at(target: Length) -> Figures {
        Figures { target, least: target, most: target, set_least: target, set_most: target }
    }

    #[test]
    fn a_list_with_commas_alone_is_a_list_and_a_decimal_comma_stays_one() {
        let sizes = |typed: &str, unit| parse(typed, "", unit).map(|set| set.leaves);
        assert_eq!(sizes("4,5,6", LengthUnit::Inch), sizes("4 5 6", LengthUnit::Inch));
        assert_eq!(sizes("0,05 0,10", LengthUnit::Mm), sizes("0.05 0.10", LengthUnit::Mm));
        assert!(sizes("0,05,0,10", LengthUnit::Mm).is_err(), "which comma is which?");
    }

    #[test]
    fn the_usual_sets_have_the_counts_and_ends_that_the_trade_knows() {
        // check-values 6.6, from memory: 26 with a second 0.010 in of brass, so 25 sizes; 20; 13.
        let sets = usual();
        let ends = |set: &LeafSet| (set.leaves.len(), labels(set, &set.leaves[..3]));
        assert_eq!(ends(&sets[0]), (25, "1.5 2 3".into()));
        assert_eq!(ends(&sets[1]), (20, "0.05 0.10 0.15".into()));
        assert_eq!(ends(&sets[2]), (13, "0.05 0.10 0.15".into()));
        assert_eq!(
            labels(&sets[2], &sets[2].leaves[4..]),
            "0.25 0.30 0.40 0.50 0.60 0.70 0.80 0.90 1.00"
        );
        for set in sets {
            assert!(set.leaves.is_sorted(), "{}", set.name);
        }
    }

    #[test]
    fn a_set_is_typed_as_leaves_and_ranges() {
        let inch_set = LengthUnit::Inch;
        for (typed, unit, leaves) in [
            ("0.05 0.10 0.15", LengthUnit::Mm, um(&[50, 100, 150])),
            ("0,05; 0,10, 15", LengthUnit::Mm, um(&[50, 100, 150])),
            ("15 10 10 5", LengthUnit::Mm, um(&[50, 100, 150])),
            ("0.05-0.20", LengthUnit::Mm, um(&[50, 100, 150, 200])),
            ("5-18", LengthUnit::Mm, um(&[50, 100, 150, 180])),
            ("1.5 2-4", inch_set, tenths(&[15, 20, 30, 40])),
            ("0.0015 0.002-0.004", inch_set, tenths(&[15, 20, 30, 40])),
            ("0.05-0.20 by 0.05", LengthUnit::Mm, um(&[50, 100, 150, 200])),
            ("0.10-0.13 BY 0.01, 0.20", LengthUnit::Mm, um(&[100, 110, 120, 130, 200])),
            ("4-6 by 0.5 thou", LengthUnit::Mm, tenths(&[40, 45, 50, 55, 60])),
            ("1.5 2-4 thou", LengthUnit::Mm, tenths(&[15, 20, 30, 40])),
            ("50 mm", LengthUnit::Mm, vec![]),
        ] {
            let got = parse(typed, "mine", unit).map(|set| set.leaves);
            let want = if leaves.is_empty() {
                Err(LeavesFault::TooThick("50mm".into()))
            } else {
                Ok(leaves)
            };
            assert_eq!(got, want, "{typed}");
        }
    }

    #[test]
    fn what_is_no_list_of_leaves_is_refused_with_its_reason() {
        for (typed, fault) in [
            ("  ", LeavesFault::Empty),
            (";,", LeavesFault::Empty),
            ("5 six", LeavesFault::NotALeaf("six".into())),
            ("mm", LeavesFault::NotALeaf("mm".into())),
            ("5-", LeavesFault::NotALeaf("5-".into())),
            ("2-3-4", LeavesFault::NotALeaf("2-3-4".into())),
            ("2-4 by", LeavesFault::NotALeaf("by".into())),
            ("by 2", LeavesFault::NotALeaf("by".into())),
            ("4 by 2", LeavesFault::NotALeaf("4".into())),
            ("2-4 by 0", LeavesFault::Nought),
            ("0 5", LeavesFault::Nought),
            ("0.00000001 in", LeavesFault::Nought),
            ("7-5", LeavesFault::Backwards("7-5".into())),
            ("1-900", LeavesFault::TooLong),
        ] {
            assert_eq!(parse(typed, "", LengthUnit::Inch), Err(fault.clone()), "{typed}");
            assert!(!fault.to_string().is_empty() && fault.hint().ends_with('.'));
        }
        assert_eq!(parse(&"5 ".repeat(1_000_000), "", LengthUnit::Mm), Err(LeavesFault::TooLong));
    }

    #[test]
    fn to_carry_are_the_leaf_at_the_target_and_its_neighbours() {
        let sets = usual();
        for (set, target, carried) in [
            (&sets[0], Length::from_tenths_thou(60), "5 6 7"),
            (&sets[0], Length::from_tenths_thou(120), "11 12 13"),
            (&sets[0], Length::from_tenths_thou(10), "1.5 2"),
            (&sets[0], Length::from_tenths_thou(540), "24 25"),
            (&sets[2], Length::from_um(350), "0.25 0.30 0.40"),
        ] {
            assert_eq!(labels(set, &carry(set, &at(target))), carried);
        }
        let unknown = LeafSet::new("", LengthUnit::Mm, vec![]);
        assert_eq!(carry(&unknown, &at(Length::from_um(300))), []);
    }

    #[test]
    fn a_size_is_named_by_its_leaf_or_by_the_two_that_make_it() {
        let inch = &usual()[0];
        for (tenths, name) in [(60, "6"), (15, "1.5"), (310, "25+6"), (500, "50"), (490, "25+24")] {
            assert_eq!(named(inch, Length::from_tenths_thou(tenths)), name);
        }
        assert!(can_make(&[], Length::from_um(1)));
        assert!(!can_make(&inch.leaves, Length::from_tenths_thou(500)), "there is one leaf of 25");
    }
}
