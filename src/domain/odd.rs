//! Whether a reading is asked about before it is kept: the slips of point and unit that manuals
//! themselves print (check-values 14), and a number that no leaf of the set has.
//!
//! An odd reading is never refused: the mechanic may be right.

use super::plain::plain;
use super::reading::Meaning;
use super::strange::Strange;
use super::units::{Length, LengthUnit};

/// Why a reading is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Odd {
    /// Neither a leaf of the set nor a stack of two.
    NotALeaf,
    /// About ten times the target: the point.
    TenTimes,
    /// About 25 times the target: the unit.
    TwentyFiveTimes,
    /// About a hundred times the target or more: hundredths taken for whole millimetres.
    HundredTimes,
    /// About a tenth of the target: the point.
    ATenth,
    /// About a twenty-fifth of the target or less: the unit.
    ATwentyFifth,
}

impl Odd {
    /// Returns the words that are kept with the reading.
    pub fn word(self) -> &'static str {
        match self {
            Odd::NotALeaf => "no leaf of the set",
            Odd::TenTimes => "ten times the target",
            Odd::TwentyFiveTimes => "25 times the target",
            Odd::HundredTimes => "a hundred times the target",
            Odd::ATenth => "a tenth of the target",
            Odd::ATwentyFifth => "a 25th of the target",
        }
    }

    /// Asks about the reading, with the slip that it looks like.
    pub fn question(self, meaning: &Meaning, target: Length, unit: LengthUnit) -> String {
        let taken = telling(meaning).map(|length| length.both(unit)).unwrap_or_default();
        let about = match self {
            Odd::NotALeaf => return strange_words(meaning, unit),
            Odd::TenTimes | Odd::ATenth => "is the decimal point right?",
            Odd::TwentyFiveTimes | Odd::ATwentyFifth => {
                "is the unit right, millimetres or thousandths of an inch?"
            }
            Odd::HundredTimes => "hundredths taken for whole millimetres?",
        };
        let times = telling(meaning).and_then(|length| times_words(length, target));
        format!("{taken} is {}: {about}", times.unwrap_or_else(|| format!("about {}", self.word())))
    }
}

/// Asks about a number that no leaf of the set makes, by what of it is strange.
fn strange_words(meaning: &Meaning, unit: LengthUnit) -> String {
    let typed = plain(&meaning.typed);
    match meaning.strange {
        Some(Strange::Twice(leaf)) => {
            format!("this set has only one leaf of {}: is {typed} right?", leaf.both(unit))
        }
        Some(Strange::NoLeaf(leaf)) => {
            format!("{} is no leaf of this set: is {typed} right?", leaf.both(unit))
        }
        Some(Strange::Neither(size)) => {
            format!("{} is no leaf of this set and no two of them: is it right?", size.both(unit))
        }
        None => format!("{typed} is no leaf of this set: is it right?"),
    }
}

/// Says how many times a target a length is: "about 27 times the target", "about 1/25 of the target".
pub fn times_words(length: Length, target: Length) -> Option<String> {
    let rounded = |one: i64, other: i64| one.checked_add(other / 2)?.checked_div(other);
    let (length, target) = (length.nm(), target.nm());
    if length >= target {
        Some(format!("about {} times the target", rounded(length, target)?))
    } else {
        Some(format!("about 1/{} of the target", rounded(target, length)?))
    }
}

/// Tells whether a reading is to be asked about before it is kept.
///
/// Clearances that far off do not occur, so the bands leave no hole between them: from 8 times the
/// target the point is doubted, from 16 (midway, as ratios go, between 10 and 25.4) the unit, from
/// 50 (midway between 25.4 and 100) hundredths. Downwards the same to 1/8 and 1/16, but only of a
/// leaf that went in: `/2` and `0` are honest answers of a very tight valve.
pub fn suspicious(meaning: &Meaning, target: Length) -> Option<Odd> {
    let scale = telling(meaning).filter(|_| target > Length::ZERO).and_then(|length| {
        let (read, target) = (length.nm(), target.nm());
        let went_in = meaning.nominal.is_some();
        if read >= 50 * target {
            Some(Odd::HundredTimes)
        } else if read >= 16 * target {
            Some(Odd::TwentyFiveTimes)
        } else if read >= 8 * target {
            Some(Odd::TenTimes)
        } else if went_in && 16 * read <= target {
            Some(Odd::ATwentyFifth)
        } else if went_in && 8 * read <= target {
            Some(Odd::ATenth)
        } else {
            None
        }
    });
    scale.or(meaning.not_a_leaf.then_some(Odd::NotALeaf))
}

/// Returns the number that tells a slip: the nominal, or the one end of an open reading.
fn telling(meaning: &Meaning) -> Option<Length> {
    let open_end = match meaning.low {
        Some(low) if low > Length::ZERO => Some(low),
        Some(_) | None => meaning.high,
    };
    meaning.nominal.or(open_end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::leaves;
    use crate::domain::reading::parse;

    #[test]
    fn the_slips_that_manuals_print_are_asked_about() {
        let sets = leaves::usual();
        let (inch, metric) = (&sets[0], &sets[1]);
        let nm = Length::from_nm;
        let cases = [
            // TM 10-4320-307-24 p. 2-223: 0.011 in "or 0.028 mm", 0.023 in "or 0.058 mm".
            ("0.028", metric, nm(279_400), Some(Odd::ATenth)),
            ("0.058", metric, nm(584_200), Some(Odd::ATenth)),
            // TM 9-4310-397-14: 0.006 in (0.015 mm), and the same slip the other way.
            ("0.015 mm", inch, nm(152_400), Some(Odd::ATenth)),
            ("60", inch, nm(152_400), Some(Odd::TenTimes)),
            ("60/70", inch, nm(152_400), Some(Odd::TenTimes)),
            ("/60", inch, nm(152_400), Some(Odd::TenTimes)),
            ("60/", inch, nm(152_400), Some(Odd::TenTimes)),
            // The unit: 0.15 mm typed with the inch set in hand, 0.006 in with the metric one.
            ("0.15", inch, nm(152_400), Some(Odd::TwentyFiveTimes)),
            ("0.006", metric, nm(150_000), Some(Odd::ATwentyFifth)),
            // Hundredths taken for whole millimetres.
            ("15 mm", metric, nm(150_000), Some(Odd::HundredTimes)),
            ("15.0", metric, nm(150_000), Some(Odd::HundredTimes)),
            // Honest readings: on target, very loose, very tight, nothing goes.
            ("6", inch, nm(152_400), None),
            ("25", inch, nm(152_400), None),
            ("0.05", metric, nm(300_000), None),
            ("/1.5", inch, nm(406_400), None),
            ("0", inch, nm(152_400), None),
            // No leaf of the set.
            ("0.33", metric, nm(300_000), Some(Odd::NotALeaf)),
        ];
        for (typed, set, target, odd) in cases {
            let meaning = parse(typed, set).unwrap();
            assert_eq!(suspicious(&meaning, target), odd, "{typed}");
        }
    }

    #[test]
    fn the_question_names_what_was_read_and_the_slip_it_looks_like() {
        let inch = &leaves::usual()[0];
        let ask = |typed: &str| {
            let meaning = parse(typed, inch).unwrap();
            let odd = suspicious(&meaning, Length::from_nm(152_400)).unwrap();
            odd.question(&meaning, Length::from_nm(152_400), LengthUnit::Inch)
        };
        assert_eq!(
            ask("60"),
            "0.060 in (1.524 mm) is about 10 times the target: is the decimal point right?"
        );
        assert_eq!(
            ask("0.16 in"),
            "0.160 in (4.064 mm) is about 27 times the target: is the unit right, millimetres or thousandths of an inch?"
        );
        assert_eq!(
            ask("6.2"),
            "0.0062 in (0.157 mm) is no leaf of this set and no two of them: is it right?"
        );
        // 0.012 in is a leaf; what there is not is a second one of 0.006 in.
        let words = "this set has only one leaf of 0.006 in (0.152 mm): is 6+6 right?";
        assert_eq!(ask("6+6"), words);
        let words = "0.0062 in (0.157 mm) is no leaf of this set: is 5.8+6.2 right?";
        assert_eq!(ask("5.8+6.2"), words.replace("0.0062 in (0.157 mm)", "0.0058 in (0.147 mm)"));
        assert!(ask("6/6.2").starts_with("0.0062 in (0.157 mm) is no leaf of this set"));
    }
}
