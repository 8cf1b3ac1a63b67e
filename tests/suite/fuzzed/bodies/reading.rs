//! What is typed as a reading, as a list of leaves or as a figure with its unit: taken within its
//! limits and the same again from its own text, with a comma for the point too; else refused in words.

use super::{Checked, chosen, said, want};
use cowlside::domain::entry::{Hours, LeafSet, ReadingUnit};
use cowlside::domain::leaves;
use cowlside::domain::plain::plain;
use cowlside::domain::reading::{Meaning, ReadingFault, interpret_words, parse, parse_as};
use cowlside::domain::units::{
    Length, LengthUnit, Misread, Temperature, TemperatureUnit, Torque, TorqueUnit,
};
use cowlside::domain::verdict::{Band, Verdict, judge};

/// What takes a reading: typed, set in hand, unit stated beside it.
pub type Taker = fn(&str, &LeafSet, Option<ReadingUnit>) -> Result<Meaning, (String, String)>;

/// The program's own.
pub fn take(
    typed: &str,
    set: &LeafSet,
    stated: Option<ReadingUnit>,
) -> Result<Meaning, (String, String)> {
    let meaning = match stated {
        Some(unit) => parse_as(typed, unit, set),
        None => parse(typed, set),
    };
    meaning.map_err(|fault: ReadingFault| (fault.to_string(), fault.hint().to_owned()))
}

const UNITS: [ReadingUnit; 4] =
    [ReadingUnit::Mm, ReadingUnit::Hundredths, ReadingUnit::Thou, ReadingUnit::Inch];
/// Half of the widest step that stands in where a set has none.
const BEYOND: i64 = 12_700;

/// The first byte chooses the set and what is read, the rest is typed.
pub fn check(bytes: &[u8], take: Taker) -> Checked {
    let (choice, rest) = chosen(bytes);
    let typed = String::from_utf8_lossy(rest);
    match choice % 16 {
        0..=9 => reading(&typed, &set(choice % 5), None, take),
        10..=13 => reading(&typed, &set(choice % 5), Some(UNITS[usize::from(choice % 4)]), take),
        14 => list(&typed, if choice < 128 { LengthUnit::Mm } else { LengthUnit::Inch }),
        _ => figures(&typed),
    }
}

fn set(choice: u8) -> LeafSet {
    let unknown = |unit| LeafSet::new("not known", unit, Vec::new());
    match choice {
        0..=2 => leaves::usual().swap_remove(usize::from(choice)),
        3 => unknown(LengthUnit::Mm),
        _ => unknown(LengthUnit::Inch),
    }
}

fn reading(typed: &str, set: &LeafSet, stated: Option<ReadingUnit>, take: Taker) -> Checked {
    let meaning = match take(typed, set, stated) {
        Ok(meaning) => meaning,
        Err((error, hint)) => {
            return said::refusal(&error, &hint, typed.as_bytes()).map(|()| "refused");
        }
    };
    let told = || format!("{typed:?} by {:?} {stated:?}: {meaning:?}", set.name);
    within(&meaning).map_err(|wrong| format!("{wrong}: {}", told()))?;
    want(meaning.typed == typed.trim(), || format!("not as typed: {}", told()))?;
    want(stated.is_none_or(|unit| unit == meaning.unit), || format!("another unit: {}", told()))?;
    for unit in [LengthUnit::Mm, LengthUnit::Inch] {
        said::printable("what it is taken for", &plain(&interpret_words(&meaning, unit)))?;
    }
    same_again(&meaning, set, stated, take).map_err(|wrong| format!("{wrong}: {}", told()))?;
    judged(&meaning, set).map_err(|wrong| format!("{wrong}: {}", told()))?;
    Ok("reading taken")
}

/// The ends lie in order, none below nought, none beyond the thickest that is gauged.
fn within(meaning: &Meaning) -> Result<(), String> {
    let ends = [meaning.low, meaning.nominal, meaning.high];
    let known: Vec<Length> = ends.into_iter().flatten().collect();
    want(known.is_sorted(), || "its ends are out of order".into())?;
    let most = Length::MAX_CLEARANCE + Length::from_nm(BEYOND * 100);
    let inside = known.iter().all(|end| (Length::ZERO..=most).contains(end));
    want(inside && !known.is_empty(), || "its ends are no clearances".into())?;
    let thick = |nominal| nominal > Length::ZERO && nominal <= Length::MAX_CLEARANCE;
    want(meaning.nominal.is_none_or(thick), || "no leaf is so thick".into())?;
    // Only a nought that was typed says that nothing goes.
    let nothing = meaning.low.is_none();
    let typed = meaning.typed.chars().all(|letter| !('1'..='9').contains(&letter));
    want(!nothing || typed, || "it is taken for nothing goes".into())
}

/// Its own text, a comma for the point, and the bare figures beside their unit mean the same.
fn same_again(
    meaning: &Meaning,
    set: &LeafSet,
    stated: Option<ReadingUnit>,
    take: Taker,
) -> Result<(), String> {
    let ends = |meaning: &Meaning| (meaning.unit, meaning.low, meaning.high, meaning.nominal);
    let mut texts = vec![meaning.typed.clone()];
    // `in.` is the one unit that is written with a point.
    if !meaning.typed.contains("n.") && !meaning.typed.contains("N.") {
        texts.extend([meaning.typed.replace('.', ","), meaning.typed.replace(',', ".")]);
    }
    for text in texts {
        let again = take(&text, set, stated).map_err(|(error, _)| format!("{text:?}: {error}"))?;
        want(ends(&again) == ends(meaning), || format!("{text:?} means {again:?}"))?;
    }
    let bare = cowlside::domain::flat::bare(&meaning.typed);
    let beside = take(&bare, set, Some(meaning.unit)).map_err(|(error, _)| error)?;
    want(ends(&beside) == ends(meaning), || format!("beside its unit {bare:?} means {beside:?}"))?;
    in_both_units(meaning, set, take)
}

/// The figure as printed in either unit, with its unit typed after it, is the same figure to the
/// last digit that is printed; so is the length that a profile would have.
fn in_both_units(meaning: &Meaning, set: &LeafSet, take: Taker) -> Result<(), String> {
    let Some(nominal) = meaning.nominal.filter(|nominal| *nominal > Length::ZERO) else {
        return Ok(());
    };
    for (unit, half) in [(LengthUnit::Mm, 500), (LengthUnit::Inch, 1_270)] {
        let text = nominal.text(unit);
        let near = |length: Length| (length.nm() - nominal.nm()).abs() <= half;
        let read = Length::parse(&text, Length::ZERO..=Length::MAX_CLEARANCE + Length::from_um(2));
        want(read.as_ref().is_ok_and(|read| near(*read)), || format!("{text:?} is {read:?}"))?;
        if nominal.nm() <= half || nominal + Length::from_um(2) > Length::MAX_CLEARANCE {
            continue;
        }
        let typed = take(&text, set, None).map_err(|(error, _)| format!("{text:?}: {error}"))?;
        let same = typed.nominal.is_some_and(near);
        want(same, || format!("{text:?} is taken for {typed:?}"))?;
    }
    Ok(())
}

/// A band that holds all of it says in limits; one that lies beyond it does not.
fn judged(meaning: &Meaning, set: &LeafSet) -> Result<(), String> {
    let (Some(low), Some(high)) = (meaning.low, meaning.high) else { return Ok(()) };
    let wide = judge(&meaning.interval(), Band { least: low, most: high }, &set.leaves);
    want(wide == Verdict::InLimits, || format!("{wide:?} within its own ends"))?;
    let nm = Length::from_nm(1);
    let above = Band { least: high + nm, most: high + nm + nm };
    let tight = judge(&meaning.interval(), above, &set.leaves);
    want(tight != Verdict::Loose, || format!("{tight:?} below the band"))
}

/// A list of leaves: sorted, each once, none over 25 mm, and the same set from its own labels.
fn list(typed: &str, unit: LengthUnit) -> Checked {
    let set = match leaves::parse(typed, "own", unit) {
        Ok(set) => set,
        Err(fault) => {
            said::refusal(&fault.to_string(), fault.hint(), typed.as_bytes())?;
            return Ok("list refused");
        }
    };
    let told = || format!("{typed:?}: {set:?}");
    let sorted = set.leaves.windows(2).all(|pair| pair[0] < pair[1]);
    let thick = |leaf: &Length| *leaf > Length::ZERO && *leaf <= Length::MAX_CLEARANCE;
    want(sorted && set.leaves.iter().all(thick) && !set.leaves.is_empty(), told)?;
    want(set.leaves.len() <= 100, told)?;
    let exact = |leaf: &Length| leaf.nm() % if unit == LengthUnit::Mm { 1_000 } else { 2_540 } == 0;
    if set.leaves.iter().all(exact) {
        let etched: Vec<String> = set.leaves.iter().map(|leaf| leaf.text(unit)).collect();
        let text = etched.join(" ");
        if text.len() <= 1000 {
            let again =
                leaves::parse(&text, "own", unit).map_err(|fault| format!("{text}: {fault}"))?;
            want(again.leaves == set.leaves, || format!("{text} is {again:?}, {}", told()))?;
        }
    }
    Ok("list taken")
}

fn refused(text: &str, misread: &Misread) -> Result<(), String> {
    let line = plain(&misread.to_string());
    said::printable("the error", &line)?;
    want(!misread.must.is_empty() && line.contains("must"), || format!("{text:?}: {line}"))
}

/// Lengths, temperatures, torques and hours with their units.
fn figures(typed: &str) -> Checked {
    let mut taken = 0;
    let most = Length::MAX_CLEARANCE;
    match Length::parse_with_unit(typed, Length::ZERO..=most) {
        Err(misread) => refused(typed, &misread)?,
        Ok((length, unit)) => {
            taken += 1;
            let text = length.text(unit);
            let again = Length::parse(&text, Length::ZERO..=most).map_err(|e| e.to_string())?;
            let apart = (again.nm() - length.nm()).abs();
            want(apart <= 1_270, || format!("{typed:?} is {length:?}, {text:?} is {again:?}"))?;
        }
    }
    match Temperature::parse(typed) {
        Err(misread) => refused(typed, &misread)?,
        Ok(found) => {
            taken += 1;
            want((-100_000..=500_000).contains(&found.0), || format!("{typed:?} is {found:?}"))?;
            for unit in [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit] {
                let text = found.text(unit);
                let again = Temperature::parse(&text).map_err(|e| format!("{typed:?}: {e}"))?;
                // Half of the last digit that is printed.
                want((again.0 - found.0).abs() <= 500, || format!("{typed:?}, {text:?}"))?;
            }
        }
    }
    match Torque::parse(typed) {
        Err(misread) => refused(typed, &misread)?,
        Ok(found) => {
            taken += 1;
            let whole = found.nm > 0.0 && found.plus_minus < found.nm && found.nm <= 1000.0;
            want(whole, || format!("{typed:?} is {found:?}"))?;
            // A tolerance nearly as wide as the figure may be printed as wide as it.
            let narrow = found.plus_minus * 2.0 <= found.nm;
            let text = if narrow { found.text(TorqueUnit::NewtonMetre) } else { typed.to_owned() };
            let again = Torque::parse(&text).map_err(|e| format!("{typed:?}, {text:?}: {e}"))?;
            want((again.nm - found.nm).abs() <= 0.006 + found.nm / 100.0, || {
                format!("{typed:?}, {text:?}")
            })?;
        }
    }
    match Hours::parse(typed) {
        Err(misread) => refused(typed, &misread)?,
        Ok(found) => {
            taken += 1;
            let again = Hours::parse(&found.to_string()).map_err(|e| e.to_string())?;
            want(again == found, || format!("{typed:?} is {found}, again {again}"))?;
        }
    }
    Ok(if taken > 0 { "figure taken" } else { "figure refused" })
}
