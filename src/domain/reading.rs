//! Feeler readings: what was typed, what it means, and whether it is to be asked about first.
//!
//! A reading is an interval of clearance, never a point. Its verdict is `verdict`'s business, what
//! to do about it `advice`'s.

use super::entry::{LeafSet, ReadingUnit};
use super::leaves;
use super::strange::{Strange, strange};
use super::typed::{
    ThicknessFault, bare_unit, is_nought, label, number_and_word, quoted, thickness, unit_word,
};
use super::units::{Decimal, Length, LengthUnit};
use super::verdict::Interval;
use std::fmt;

/// Longest reading that is looked at, bytes.
const TYPED_MAX: usize = 64;

/// What a reading was taken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meaning {
    /// As typed, without blanks at the ends.
    pub typed: String,
    /// The unit it was taken in.
    pub unit: ReadingUnit,
    /// Lower end of the interval; `None` where open.
    pub low: Option<Length>,
    /// Upper end of the interval; `None` where open.
    pub high: Option<Length>,
    /// The leaf, the sum of a stack, or the middle of a pair; `None` where open-ended.
    pub nominal: Option<Length>,
    /// True for a single leaf or stack.
    pub single: bool,
    /// True where a side is neither a leaf of the set nor a stack of two; false where the set is
    /// not known.
    pub not_a_leaf: bool,
    /// What of it the set does not have, where that is so.
    pub strange: Option<Strange>,
}

impl Meaning {
    /// Returns what it says of the clearance.
    pub fn interval(&self) -> Interval {
        let Meaning { low, high, nominal, single, .. } = *self;
        Interval { low, high, nominal, single }
    }
}

/// Why a reading cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadingFault {
    /// Nothing was typed.
    Empty,
    /// Longer than any reading.
    TooLong,
    /// A piece that is no number with a unit.
    NotUnderstood(String),
    /// A word after a number that is no unit of length.
    NoSuchUnit(String),
    /// Two units in one reading, or another than the one stated for it.
    TwoUnits,
    /// One number with a point and one without, so that they would be taken in different units.
    MixedForms,
    /// A number with more digits than can be kept exactly.
    TooManyDigits(String),
    /// Over 25 mm.
    TooThick(String),
    /// The leaf that goes is not thinner than the one that will not.
    GoNotBelowNoGo(String),
    /// More than two leaves on one side.
    ThreeLeaves,
    /// A nought where a leaf must stand.
    ZeroIsNoLeaf,
}

impl fmt::Display for ReadingFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReadingFault::Empty => f.write_str("no reading was typed"),
            ReadingFault::TooLong => write!(f, "a reading is at most {TYPED_MAX} characters long"),
            ReadingFault::NotUnderstood(piece) => write!(f, "\"{piece}\" is no leaf"),
            ReadingFault::NoSuchUnit(word) => write!(f, "\"{word}\" is no unit of a leaf"),
            ReadingFault::TwoUnits => f.write_str("the reading has two different units"),
            ReadingFault::MixedForms => {
                f.write_str("the two numbers would be taken in different units")
            }
            ReadingFault::TooManyDigits(piece) => write!(f, "\"{piece}\" has too many digits"),
            ReadingFault::TooThick(piece) => write!(f, "\"{piece}\" is over 25 mm"),
            ReadingFault::GoNotBelowNoGo(typed) => {
                write!(
                    f,
                    "\"{typed}\": the leaf that goes is not thinner than the one that will not"
                )
            }
            ReadingFault::ThreeLeaves => f.write_str("more than two leaves together"),
            ReadingFault::ZeroIsNoLeaf => f.write_str("0 is no leaf"),
        }
    }
}

impl std::error::Error for ReadingFault {}

impl ReadingFault {
    /// Says what is wrong and what to do, in one line.
    pub fn words(&self) -> String {
        format!("{self}. {}", self.hint())
    }

    /// The same with leaves of the set in hand for examples: its thinnest, which say nothing of what is
    /// expected.
    pub fn words_with(&self, set: &LeafSet) -> String {
        let [one, two, ..] = set.leaves.as_slice() else { return self.words() };
        let (one, two) = (label(*one, set.unit), label(*two, set.unit));
        match self {
            ReadingFault::Empty | ReadingFault::TooLong | ReadingFault::NotUnderstood(_) => {
                format!(
                    "{self}. Type {one} if {one} drags, {one}/{two} if {one} goes and {two} will not, \
                 0 if nothing goes."
                )
            }
            ReadingFault::MixedForms => {
                format!("{self}. Write both numbers alike, as {one}/{two}.")
            }
            ReadingFault::TooThick(_) => format!("{self}. Check the unit and the point."),
            ReadingFault::NoSuchUnit(_)
            | ReadingFault::TwoUnits
            | ReadingFault::TooManyDigits(_)
            | ReadingFault::GoNotBelowNoGo(_)
            | ReadingFault::ThreeLeaves
            | ReadingFault::ZeroIsNoLeaf => self.words(),
        }
    }

    /// Says what to do about it: one sentence that begins with a verb.
    pub fn hint(&self) -> &'static str {
        match self {
            ReadingFault::Empty | ReadingFault::TooLong | ReadingFault::NotUnderstood(_) => {
                "Type 6 if 6 drags, 6/7 if 6 goes and 7 will not, /4, 12/, 25+6 or 0."
            }
            ReadingFault::NoSuchUnit(_) => "Use mm, in or thou, or no unit at all.",
            ReadingFault::TwoUnits => "Type one unit, at the end: it covers both numbers.",
            ReadingFault::MixedForms => "Write both numbers alike, as 0.15/0.20 or 15/20.",
            ReadingFault::TooManyDigits(_) => "Type the number that is etched on the leaf.",
            ReadingFault::TooThick(_) => "Check the unit and the point: 6 thou, 0.15 mm.",
            ReadingFault::GoNotBelowNoGo(_) => {
                "Type the leaf that goes first, then the thicker one that will not."
            }
            ReadingFault::ThreeLeaves => "Put in two at most: each more adds dirt and oil.",
            ReadingFault::ZeroIsNoLeaf => "Type 0 alone if nothing goes.",
        }
    }
}

/// Takes a reading as it is typed at the engine (contract 4).
///
/// `6` is that leaf, less half the step to the next thinner leaf of the set, and plus half the step
/// to the next thicker one. Two leaves, and a number that only two leaves make, have the smaller of
/// the two leaves' half steps on each side. Where there is no such step (no set known, a number
/// that is not of the set, an end of the set) it is 0.0005 in or 0.01 mm, by the reading's own
/// unit. No interval of a leaf that goes reaches below nought. `0/4` is the same as `/4`.
///
/// # Errors
/// Says which part cannot be taken.
pub fn parse(typed: &str, set: &LeafSet) -> Result<Meaning, ReadingFault> {
    take(typed, set, None)
}

/// Takes a reading whose unit is stated beside it, as in the flat table (contract 7): the value is
/// exactly the number times that unit.
///
/// # Errors
/// As [`parse`]; also where another unit is typed.
pub fn parse_as(typed: &str, unit: ReadingUnit, set: &LeafSet) -> Result<Meaning, ReadingFault> {
    take(typed, set, Some(unit))
}

fn take(typed: &str, set: &LeafSet, stated: Option<ReadingUnit>) -> Result<Meaning, ReadingFault> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Err(ReadingFault::Empty);
    }
    if typed.len() > TYPED_MAX {
        return Err(ReadingFault::TooLong);
    }
    let (go, no_go) = match typed.split_once('/') {
        Some((go, no_go)) => (pieces(go)?, Some(pieces(no_go)?)),
        None => (pieces(typed)?, None),
    };
    let all: Vec<Piece<'_>> = go.iter().chain(no_go.iter().flatten()).copied().collect();
    let unit = unit_of(&all, set.unit, stated)?;
    let go = side(&go, unit)?;
    let no_go = no_go.map(|pieces| side(&pieces, unit)).transpose()?;
    let meaning = |low, high, nominal, single, sides: &[&[Length]]| Meaning {
        typed: typed.to_owned(),
        unit,
        low,
        high,
        nominal,
        single,
        not_a_leaf: sides.iter().any(|side| strange(side, &set.leaves).is_some()),
        strange: sides.iter().find_map(|side| strange(side, &set.leaves)),
    };
    let nothing = |side: &[Length]| side == [Length::ZERO];
    match (go.as_slice(), no_go.as_deref()) {
        (zero, None) if nothing(zero) => Ok(meaning(None, Some(Length::ZERO), None, false, &[])),
        (leaf, None) => {
            let (low, high) = around(leaf, unit, &set.leaves);
            Ok(meaning(Some(low), Some(high), Some(sum(leaf)), true, &[leaf]))
        }
        ([], Some([])) => Err(ReadingFault::NotUnderstood("/".into())),
        (_, Some(zero)) if nothing(zero) => Err(ReadingFault::ZeroIsNoLeaf),
        (zero, Some([])) if nothing(zero) => Err(ReadingFault::ZeroIsNoLeaf),
        (leaf, Some([])) => Ok(meaning(Some(sum(leaf)), None, None, false, &[leaf])),
        (thinnest, Some(leaf)) if thinnest.is_empty() || nothing(thinnest) => {
            Ok(meaning(Some(Length::ZERO), Some(sum(leaf)), None, false, &[leaf]))
        }
        (go, Some(no_go)) => {
            let (low, high) = (sum(go), sum(no_go));
            if low >= high {
                return Err(ReadingFault::GoNotBelowNoGo(quoted(typed)));
            }
            let middle = Length::from_nm((low.nm() + high.nm()) / 2);
            Ok(meaning(Some(low), Some(high), Some(middle), false, &[go, no_go]))
        }
    }
}

/// One number of a reading with the unit typed after it, if any.
#[derive(Clone, Copy)]
struct Piece<'a> {
    text: &'a str,
    number: Decimal,
    unit: Option<ReadingUnit>,
}

/// Reads one side of the stroke: nothing, a leaf, or two leaves.
fn pieces(side: &str) -> Result<Vec<Piece<'_>>, ReadingFault> {
    if side.trim().is_empty() {
        return Ok(Vec::new());
    }
    let pieces: Vec<Piece<'_>> = side.split('+').map(piece).collect::<Result<_, _>>()?;
    if pieces.len() > 2 {
        return Err(ReadingFault::ThreeLeaves);
    }
    if pieces.len() == 2 && pieces.iter().any(|piece| is_nought(piece.number)) {
        return Err(ReadingFault::ZeroIsNoLeaf);
    }
    Ok(pieces)
}

fn piece(text: &str) -> Result<Piece<'_>, ReadingFault> {
    let (number, word) = number_and_word(text).map_err(|fault| leaf_fault(fault, text))?;
    let unit = match word {
        "" => None,
        word if word.starts_with(char::is_alphabetic) || unit_word(word).is_some() => {
            Some(unit_word(word).ok_or_else(|| ReadingFault::NoSuchUnit(quoted(word)))?)
        }
        _ => return Err(ReadingFault::NotUnderstood(quoted(text.trim()))),
    };
    Ok(Piece { text, number, unit })
}

fn leaf_fault(fault: ThicknessFault, text: &str) -> ReadingFault {
    let text = quoted(text.trim());
    match fault {
        ThicknessFault::NotANumber => ReadingFault::NotUnderstood(text),
        ThicknessFault::TooManyDigits => ReadingFault::TooManyDigits(text),
        ThicknessFault::TooThick => ReadingFault::TooThick(text),
    }
}

/// Finds the one unit of all numbers: the one stated, the one typed, else that of bare numbers.
fn unit_of(
    pieces: &[Piece<'_>],
    set: LengthUnit,
    stated: Option<ReadingUnit>,
) -> Result<ReadingUnit, ReadingFault> {
    let typed: Vec<ReadingUnit> = pieces.iter().filter_map(|piece| piece.unit).collect();
    if let Some(unit) = stated.or(typed.first().copied()) {
        let same = typed.iter().all(|&other| other == unit);
        return if same { Ok(unit) } else { Err(ReadingFault::TwoUnits) };
    }
    // Nought is nought in every unit, so beside a leaf it does not count.
    let leaves = pieces.iter().filter(|piece| !is_nought(piece.number));
    let bare: Vec<ReadingUnit> = leaves.map(|piece| bare_unit(piece.number, set)).collect();
    match (bare.first(), set) {
        (Some(unit), _) if bare.iter().all(|other| other == unit) => Ok(*unit),
        (Some(_), _) => Err(ReadingFault::MixedForms),
        (None, LengthUnit::Mm) => Ok(ReadingUnit::Mm),
        (None, LengthUnit::Inch) => Ok(ReadingUnit::Thou),
    }
}

fn side(pieces: &[Piece<'_>], unit: ReadingUnit) -> Result<Vec<Length>, ReadingFault> {
    let length = |piece: &Piece<'_>| {
        thickness(piece.number, unit).map_err(|fault| leaf_fault(fault, piece.text))
    };
    let lengths: Vec<Length> = pieces.iter().map(length).collect::<Result<_, _>>()?;
    // A figure that only rounds to nought does not say that nothing goes.
    let rounded = |(piece, &length): (&Piece<'_>, &Length)| {
        length == Length::ZERO && !is_nought(piece.number)
    };
    if pieces.iter().zip(&lengths).any(rounded) {
        return Err(ReadingFault::ZeroIsNoLeaf);
    }
    if sum(&lengths) > Length::from_mm(25) {
        let texts: Vec<&str> = pieces.iter().map(|piece| piece.text.trim()).collect();
        return Err(ReadingFault::TooThick(quoted(&texts.join("+"))));
    }
    Ok(lengths)
}

fn sum(leaves: &[Length]) -> Length {
    leaves.iter().fold(Length::ZERO, |sum, &leaf| sum + leaf)
}

/// Returns the ends of a single leaf's or stack's interval.
fn around(side: &[Length], unit: ReadingUnit, leaves: &[Length]) -> (Length, Length) {
    let usual = match unit {
        ReadingUnit::Mm | ReadingUnit::Hundredths => Length::from_um(10),
        ReadingUnit::Thou | ReadingUnit::Inch => Length::from_tenths_thou(5),
    };
    let used: Vec<Length> = match leaves::stack(leaves, sum(side)) {
        _ if side.iter().all(|leaf| leaves.contains(leaf)) => side.to_vec(),
        Some((first, second)) if side.len() == 1 => vec![first, second],
        Some(_) | None => Vec::new(),
    };
    let half = |thin: Length, thick: Length| Length::from_nm((thick.nm() - thin.nm()) / 2);
    let steps = used.iter().map(|&leaf| (leaf, leaves::neighbours(leaves, leaf)));
    let down = steps.clone().filter_map(|(leaf, (thinner, _))| Some(half(thinner?, leaf))).min();
    let up = steps.filter_map(|(leaf, (_, thicker))| Some(half(leaf, thicker?))).min();
    let low = sum(side) - down.unwrap_or(usual);
    (low.max(Length::ZERO), sum(side) + up.unwrap_or(usual))
}

/// Says what a reading was taken for, before it is kept; lengths in `unit`, the other in brackets.
pub fn interpret_words(meaning: &Meaning, unit: LengthUnit) -> String {
    let both = |length: Length| length.both(unit);
    match (meaning.low, meaning.high, meaning.nominal) {
        (_, _, Some(nominal)) if meaning.single && meaning.typed.contains('+') => {
            format!("{}: those two leaves together go with a light drag", both(nominal))
        }
        (_, _, Some(nominal)) if meaning.single => {
            format!("{}: that leaf goes with a light drag", both(nominal))
        }
        (Some(low), Some(high), Some(_)) => {
            let pair = |unit: LengthUnit| match low.told_apart(high, unit) {
                Some((low, high)) => format!("{low} and {high} {}", unit.word()),
                None => format!("{} and {}", low.digits(unit), high.text(unit)),
            };
            format!("between {} ({})", pair(unit), pair(unit.other()))
        }
        (Some(_), Some(high), None) => {
            format!("below {}: that leaf will not go, nothing thinner was tried", both(high))
        }
        (Some(low), None, _) => {
            format!("{} or more: that leaf goes loosely, nothing thicker was tried", both(low))
        }
        (None, _, _) => "nothing goes: no clearance to be felt".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(leaves_thou: std::ops::RangeInclusive<i64>) -> LeafSet {
        let leaves = leaves_thou.map(|thou| Length::from_tenths_thou(thou * 10)).collect();
        LeafSet::new("inch", LengthUnit::Inch, leaves)
    }

    fn unknown(unit: LengthUnit) -> LeafSet {
        LeafSet::new("", unit, Vec::new())
    }

    fn metric() -> LeafSet {
        leaves::usual().swap_remove(1)
    }

    /// low, high and nominal in ten-thousandths of an inch, where the set is 2 to 25 thou.
    type Ends = (Option<i64>, Option<i64>, Option<i64>);

    #[test]
    fn the_forms_of_contract_4_mean_their_intervals_in_inches() {
        let cases: [(&str, Ends, bool); 16] = [
            ("6", (Some(55), Some(65), Some(60)), true),
            ("6.5", (Some(60), Some(70), Some(65)), true),
            (" 6 ", (Some(55), Some(65), Some(60)), true),
            ("0.006", (Some(55), Some(65), Some(60)), true),
            (".006in", (Some(55), Some(65), Some(60)), true),
            ("6 thou", (Some(55), Some(65), Some(60)), true),
            ("0,006 \"", (Some(55), Some(65), Some(60)), true),
            ("6/7", (Some(60), Some(70), Some(65)), false),
            ("0.006 / 0.007 in", (Some(60), Some(70), Some(65)), false),
            ("6 mil/7", (Some(60), Some(70), Some(65)), false),
            ("/4", (Some(0), Some(40), None), false),
            ("0/4", (Some(0), Some(40), None), false),
            ("12/", (Some(120), None, None), false),
            ("25+6", (Some(305), Some(315), Some(310)), true),
            ("25+6/25+7", (Some(310), Some(320), Some(315)), false),
            ("0", (None, Some(0), None), false),
        ];
        let tenths = |ends: Option<i64>| ends.map(Length::from_tenths_thou);
        for (typed, (low, high, nominal), single) in cases {
            let got = parse(typed, &inch(2..=25)).unwrap();
            let want =
                Interval { low: tenths(low), high: tenths(high), nominal: tenths(nominal), single };
            assert_eq!(got.interval(), want, "{typed}");
            assert_eq!(got.typed, typed.trim());
            assert_eq!(got.not_a_leaf, typed == "6.5", "{typed}");
        }
    }

    #[test]
    fn in_a_metric_set_a_point_or_comma_makes_mm_and_a_bare_number_hundredths() {
        for (typed, unit) in [
            ("0.15", ReadingUnit::Mm),
            ("0,15", ReadingUnit::Mm),
            ("15", ReadingUnit::Hundredths),
            ("0.15 mm", ReadingUnit::Mm),
            ("0.15MM", ReadingUnit::Mm),
        ] {
            let got = parse(typed, &metric()).unwrap();
            assert_eq!((got.nominal, got.unit), (Some(Length::from_um(150)), unit), "{typed}");
            assert_eq!(
                (got.low, got.high),
                (Some(Length::from_um(125)), Some(Length::from_um(175)))
            );
        }
    }

    #[test]
    fn a_number_that_the_set_does_not_have_is_told() {
        for (typed, odd) in [
            ("6", false),
            ("31", false),
            ("25+6", false),
            ("60", true),
            ("25+25", true),
            ("6/7", false),
            ("6/7.5", true),
            ("/1", true),
            ("0", false),
        ] {
            assert_eq!(parse(typed, &inch(5..=25)).unwrap().not_a_leaf, odd, "{typed}");
            assert!(!parse(typed, &unknown(LengthUnit::Inch)).unwrap().not_a_leaf, "{typed}");
        }
    }

    #[test]
    fn what_is_no_reading_is_refused_with_its_reason() {
        use ReadingFault as Fault;
        let piece = |text: &str| Fault::NotUnderstood(text.into());
        let long = format!("6.{}", "0".repeat(40));
        let cases = [
            ("", Fault::Empty),
            (" \t", Fault::Empty),
            ("/", piece("/")),
            ("six", piece("six")),
            ("-6", piece("-6")),
            ("6-7", piece("6-7")),
            ("1.2.3", piece("1.2.3")),
            ("6/7/8", piece("7/8")),
            ("6+", piece("")),
            ("1e3", Fault::NoSuchUnit("e3".into())),
            ("6 cm", Fault::NoSuchUnit("cm".into())),
            ("6 thou/0.18 mm", Fault::TwoUnits),
            ("0.15/20", Fault::MixedForms),
            ("0.006/7", Fault::MixedForms),
            ("7/6", Fault::GoNotBelowNoGo("7/6".into())),
            // check-values 2.5: "go ≥ no-go → reject".
            ("0.011/0.011", Fault::GoNotBelowNoGo("0.011/0.011".into())),
            ("2+3+4", Fault::ThreeLeaves),
            ("6+0", Fault::ZeroIsNoLeaf),
            ("0.0000001 mm", Fault::ZeroIsNoLeaf),
            ("0.00000001 in", Fault::ZeroIsNoLeaf),
            (".000000000001531669239", Fault::ZeroIsNoLeaf),
            ("0.006+0.00000001", Fault::ZeroIsNoLeaf),
            ("0/", Fault::ZeroIsNoLeaf),
            ("/0", Fault::ZeroIsNoLeaf),
            ("6 in", Fault::TooThick("6 in".into())),
            ("24 mm+2 mm", Fault::TooThick("24 mm+2 mm".into())),
            (&long, Fault::TooManyDigits("6.000000000000000000…".into())),
            ("٦", piece("٦")),
            ("6\u{202e}7", piece("6\\u{202e}7")),
        ];
        for (typed, fault) in cases {
            assert_eq!(parse(typed, &inch(2..=25)), Err(fault.clone()), "{typed}");
            assert!(!fault.to_string().is_empty() && fault.hint().ends_with('.'));
        }
        assert_eq!(parse(&"9".repeat(1_000_000), &metric()), Err(Fault::TooLong));
    }
}
