//! The leaves in the mechanic's hand: whose they are, how exact, and what they can prove here.

use super::form::{capital, pick, prompt, take, type_in};
use super::prepare::PREPARE;
use super::{Beside, Field, Step, Typed};
use crate::domain::certainty;
use crate::domain::entry::{LeafSet, Tolerance};
use crate::domain::leaves;
use crate::domain::plain::plain;
use crate::domain::provable;
use crate::domain::session::{Input, Session, State};
use crate::domain::units::{Length, LengthUnit};
use crate::domain::valve::Kind;
use crate::domain::verdict::Band;

/// Sets of the mechanic's own that are offered: the digits do not reach further.
const OWN_OFFERED: usize = 2;

/// Lists the leaf sets offered: the mechanic's own, the profile's, then the usual ones.
fn offered_sets(session: &Session, beside: &Beside) -> Vec<LeafSet> {
    let worker = session.state.worker.as_deref();
    let his = beside.owned.iter().filter(|(name, _)| Some(name.as_str()) == worker);
    let mut sets: Vec<LeafSet> = his.take(OWN_OFFERED).map(|(_, set)| set.clone()).collect();
    let profile = leaves::of_profile(session.state.facts());
    if !profile.leaves.is_empty() {
        sets.push(profile);
    }
    sets.extend(leaves::usual());
    sets
}

/// Tells whether a set was typed as a mechanic's own, so that it is worth remembering.
pub fn is_own(set: &LeafSet) -> bool {
    let listed = [PROFILES, NOT_KNOWN].contains(&set.name.as_str());
    !set.leaves.is_empty() && !listed && !leaves::usual().iter().any(|one| one.name == set.name)
}

/// How thin and how thick a leaf can be; common practice, no source: foils begin at 0.01 mm, and blades
/// end at 5 mm.
const FEELER: (Length, Length) = (Length::from_nm(10_000), Length::from_nm(5_000_000));
/// Most leaves that are named one by one.
const LEAVES_NAMED: usize = 12;

const PROFILES: &str = "the profile's leaves";
const NOT_KNOWN: &str = "not known";

pub(super) fn leaf_set(session: &Session, beside: &Beside, given: &[String]) -> Step {
    let sets = offered_sets(session, beside);
    let title = "The leaves in your hand";
    let labels: Vec<String> = sets.iter().map(set_words).collect();
    let mut choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    choices.push((7, "my own, in inch thousandths: type them"));
    choices.push((8, "my own, in millimetres: type them"));
    choices.push((0, NOT_KNOWN));
    let ask = prompt(PREPARE, title, "Which set is it?")
        .also_large("LEAVES")
        .line("Wiped clean, none bent, all there. The set tells what a bare number means.")
        .with(Field::choice(&choices));
    pick(ask, given, |digit, rest| match digit {
        Some(7) => own_set(LengthUnit::Inch, rest),
        Some(8) => own_set(LengthUnit::Mm, rest),
        Some(0) => unknown_set(rest),
        digit => {
            let place = usize::from(digit.unwrap_or(1)).saturating_sub(1);
            sets.get(place).cloned().map_or(Step::Again, |set| take(Input::Leaves(set)))
        }
    })
}

/// Names a set with its span, where its name does not tell it, and with its tolerance.
fn set_words(set: &LeafSet) -> String {
    let name = plain(&set.name);
    let words = match (set.leaves.first(), set.leaves.last()) {
        (Some(thin), Some(thick)) if !name.contains(&thin.digits(set.unit)) => {
            format!("{name}, {} to {}", thin.digits(set.unit), thick.text(set.unit))
        }
        // The name of a usual set is kept without the unit of its span.
        (_, Some(thick)) if !name.contains(&thick.text(set.unit)) => {
            name.replacen(&thick.digits(set.unit), &thick.text(set.unit), 1)
        }
        _ => name,
    };
    match &set.tolerance {
        Some(told) => format!("{words}, {}", certainty::tolerance_words(told.plus_minus, set.unit)),
        None => words,
    }
}

fn own_set(unit: LengthUnit, given: &[String]) -> Step {
    let title = "Your own leaves";
    let example = match unit {
        LengthUnit::Inch => "as in 2-25, or 4 5 6 7 8 10 12",
        LengthUnit::Mm => "as in 0.05 0.10 0.15, or 0.05-0.50 by 0.05",
    };
    let ask = prompt(PREPARE, title, format!("The leaves, {example}:"));
    type_in(ask, given, |typed, rest| {
        let set = match leaves::parse(typed, "own set", unit) {
            Ok(set) => set,
            Err(fault) => return Step::Refused(fault.to_string()),
        };
        let (thinnest, thickest) = FEELER;
        let odd = set.leaves.iter().find(|leaf| !(thinnest..=thickest).contains(leaf));
        if let Some(leaf) = odd {
            return Step::Refused(format!(
                "{} is no feeler leaf, {} to {}: check the unit, as 0.05 mm or 5 thou",
                leaf.text(unit),
                thinnest.digits(unit),
                thickest.text(unit)
            ));
        }
        let ask = prompt(PREPARE, title, "What do you call this set?")
            .line(taken_for(&set))
            .line("It is remembered under your name and offered first next time.")
            .with(Field::typed(Typed::Text).a_name().or_enter("own set"));
        type_in(ask, rest, |name, rest| {
            let name = if name.is_empty() { "own set" } else { name };
            tolerance(title, LeafSet { name: name.into(), ..set }, rest)
        })
    })
}

/// Says which leaves a list was taken for: a bare number may have been meant in another unit.
fn taken_for(set: &LeafSet) -> String {
    let count = set.leaves.len();
    let all: Vec<String> = set.leaves.iter().map(|leaf| leaf.digits(set.unit)).collect();
    let named = match all.as_slice() {
        [first, second, .., last] if count > LEAVES_NAMED => {
            format!("{first}, {second}, ... {last}")
        }
        all => all.join(", "),
    };
    let word = if count == 1 { "leaf" } else { "leaves" };
    format!("TAKEN FOR {count} {word}: {named} {}.", set.unit.word())
}

/// Asks how exact the leaves are, and who says so; there is no usual figure.
fn tolerance(title: &str, set: LeafSet, given: &[String]) -> Step {
    let ask = prompt(PREPARE, title, "How exact is a leaf, plus or minus, with its unit?")
        .also_large("HOW EXACT")
        .line("Only from its maker's sheet or a micrometer; it counts where you ask how sure a verdict is.")
        .line("An example, from one gauge maker: ±0.00035 in for a leaf of 0.010 in.")
        .with(Field::typed(Typed::Text).or_enter("not known"));
    type_in(ask, given, |typed, rest| {
        if typed.is_empty() {
            return take(Input::Leaves(set));
        }
        let figure = typed.trim_start_matches(['±', '+', '-', '/', ' ']);
        let tenth = Length::from_um(100);
        let plus_minus = match Length::parse(figure, Length::ZERO..=tenth) {
            Ok(length) => length,
            Err(misread) => return Step::Refused(misread.to_string()),
        };
        let ask = prompt(PREPARE, title, "Who says so? The maker's sheet, a micrometer:")
            .also_large("WHO SAYS SO");
        type_in(ask, rest, |source, _| {
            let tolerance = Some(Tolerance { plus_minus, source: source.into() });
            take(Input::Leaves(LeafSet { tolerance, ..set }))
        })
    })
}

fn unknown_set(given: &[String]) -> Step {
    let ask = prompt(PREPARE, "Leaves not known", "In which unit are they marked?")
        .with(Field::choice(&[(1, "thousandths of an inch"), (2, "millimetres")]));
    pick(ask, given, |digit, _| {
        let unit = if digit == Some(2) { LengthUnit::Mm } else { LengthUnit::Inch };
        take(Input::Leaves(LeafSet::new(NOT_KNOWN, unit, Vec::new())))
    })
}

/// Says where the leaves in hand cannot prove the limits, and which leaf would help most; nothing
/// where they can. Before anything is gauged, never at a valve.
pub(super) fn proof_words(state: &State) -> Vec<String> {
    let Some(set) = state.leaves.as_ref().filter(|set| !set.leaves.is_empty()) else {
        return Vec::new();
    };
    let of = |kind: Kind| {
        let figures = state.figures(kind);
        let unit = set.unit;
        [Band::found(&figures), Band::set(&figures)].into_iter().find_map(|band| {
            let found = provable::of_set(set, band);
            let help = found.help_words(set)?;
            let proved = match found.good {
                Some((from, to)) => format!("only {} to {}", from.digits(unit), to.digits(unit)),
                None => "nothing".into(),
            };
            let (least, most) = (band.least.digits(unit), band.most.text(unit));
            let whose = match (band == Band::found(&figures), state.set_band_worked_out(kind)) {
                (true, _) => "",
                (false, true) => " (set, as worked out)",
                (false, false) => " (set by the profile)",
            };
            let kind = capital(kind.word());
            Some(format!("{kind} {least} to {most}{whose}: a pair proves {proved}. {help}."))
        })
    };
    Kind::BOTH.into_iter().filter_map(of).collect()
}
