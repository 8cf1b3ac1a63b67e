//! For `watch`: what is never taken for granted of a place, of an engine that did not turn freely, of two
//! readings that nobody has a word for.

use super::watch::want;
use cowlside::domain::entry::{At, Entry, Kept, LeftItem, On, PartKind, Step, Work};
use cowlside::domain::session::{Crank, Due, OpenItem, Session};
use cowlside::domain::valve::Valve;
use std::collections::BTreeSet;

/// Judges what is new behind the first so many entries, and what is due.
pub fn places(before: usize, gone: &BTreeSet<u64>, after: &Session) -> Result<(), String> {
    let stands = |kept: &&Kept| !gone.contains(&kept.seq);
    let kept: Vec<&Kept> = after.kept.iter().filter(stands).collect();
    found_anew(&kept, before as u64)?;
    stop_felt(&kept, after)?;
    nothing_hangs_on_a_doubt(after)?;
    no_sign_that_is_not_there(after)
}

/// After work on a cylinder nothing is gauged where the crank stood before it is found, or proven, anew.
fn found_anew(kept: &[&Kept], new_from: u64) -> Result<(), String> {
    let (mut proven, mut told) = (true, true);
    for Kept { seq, entry, .. } in kept {
        match entry {
            Entry::Work(Work { asks_anew: true, what, .. }) => {
                proven = false;
                told &= !["cylinder", "cam"].contains(&what.as_str());
            }
            Entry::At(At::SeenOverlap(_) | At::SeenLoose(_)) => (proven, told) = (true, true),
            Entry::At(At::Stop { .. }) => told = true,
            Entry::Proof(_) => proven = true,
            Entry::Reading(one) if *seq >= new_from && one.paper.is_none() => {
                let valve = one.valve;
                want(told && proven, || format!("{valve} gauged at a place from before the work"))?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// A stop that was felt is open until the engine turned freely, or all cams are out that went in since it last did:
/// nobody knows which those are of a stop that was felt before. Versions before this one took any cams for those.
fn stop_felt(kept: &[&Kept], after: &Session) -> Result<(), String> {
    let mut felt = false;
    let banks = &after.state.facts().layout.banks;
    let of = |bank: &Option<String>| -> BTreeSet<String> {
        let banks = banks.iter().map(|one| one.name.clone());
        banks.filter(|name| bank.as_ref().is_none_or(|bank| bank == name)).collect()
    };
    let mut went_in = BTreeSet::new();
    for Kept { entry, .. } in kept {
        match entry {
            Entry::On(On::Check { id, digit, done, .. })
                if ["two-turns", "turned-through"].contains(&id.as_str()) =>
            {
                felt = !done && (felt || *digit == 2);
                if *done {
                    went_in.clear();
                }
            }
            Entry::On(On::Check { id, done, .. }) if id == "felt-cause" => felt &= !done,
            Entry::Begin(begin) => {
                let mut left = begin.left_open.iter();
                felt |= left.any(|left| matches!(left.item, LeftItem::StopFelt { .. }));
                let mut left = begin.left_open.iter();
                if left.any(|left| left.item == LeftItem::StopFelt { or_hiss: false }) {
                    went_in = of(&None);
                }
            }
            Entry::Part(part) if part.out && part.part == PartKind::Cam => {
                let out = of(&part.bank);
                let some = !went_in.is_empty();
                went_in.retain(|bank| !out.contains(bank));
                felt &= part.undoes_less && !(some && went_in.is_empty());
            }
            Entry::Part(part) if part.part == PartKind::Cam => went_in.extend(of(&part.bank)),
            _ => {}
        }
    }
    let items = after.state.open_items();
    let told = items.iter().any(|item| matches!(item, OpenItem::StopFelt { .. }));
    want(felt == told, || format!("a stop felt: {felt}, told: {told}"))?;
    let due = after.state.due();
    let turns = match &due {
        Due::Turn { .. } | Due::Rock { .. } | Due::TurnThrough(_) | Due::LeakTest(..) => true,
        Due::Check(line) => line.id == "two-turns",
        Due::Caution(line, _) => line.id == "oil-lock",
        Due::PromisedTest { .. } | Due::RunCaution(_) | Due::RunCheck(_) | Due::Sign => true,
        _ => false,
    };
    want(!felt || !turns, || format!("a stop felt, and {due:?}"))
}

/// Nothing of a valve is changed while a doubt that it is part of waits for its word.
fn nothing_hangs_on_a_doubt(after: &Session) -> Result<(), String> {
    let state = &after.state;
    let (Due::Set(valve, _) | Due::ChangeRod(valve, _)) = state.due() else { return Ok(()) };
    let Some(round) = state.round() else { return Ok(()) };
    let open = |one: &Valve| state.in_doubt(round, *one);
    for doubted in state.facts().valves_of(valve.cylinder).into_iter().filter(open) {
        let first = state.readings.iter().rev().find(|taken| {
            taken.counts
                && taken.reading.valve == doubted
                && taken.reading.step != Step::Try
                && usize::from(taken.reading.round) == round + 1
                && taken.doubt().is_some()
        });
        let pairs = first.map_or_else(Vec::new, |taken| state.pairs(taken.seq));
        let part = pairs.iter().any(|pair| pair.first.reading.valve == valve);
        want(!part, || format!("{valve} is set while {doubted} is in doubt"))?;
    }
    Ok(())
}

/// Where nothing is felt, a sign that lies a turn behind proves no place.
fn no_sign_that_is_not_there(after: &Session) -> Result<(), String> {
    let state = &after.state;
    let Due::Turn { stop, there: true, .. } = state.due() else { return Ok(()) };
    let behind = state.stops()[stop].then_turn > 0 && !matches!(state.crank, Crank::Seen(_));
    want(!(behind && state.to_gauge(stop) == 0), || format!("stop {stop}: its sign is behind"))
}
