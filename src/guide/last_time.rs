//! What the service before left out, told in the first questions of the next: what was left out of its
//! band, what has no figure, what was not looked at. No figure is told: a valve is read without knowing
//! what it read.

use super::leak::low_found;
use super::left_so::threads_left;
use super::rounds::LEFT;
use crate::domain::entry::Hours;
use crate::domain::plain::plain;
use crate::domain::profile::Source;
use crate::domain::service::{Ending, Outcome, Service};
use crate::domain::session::{Session, State};
use crate::domain::trend::Earlier;
use crate::domain::valve::{Cylinder, Kind, Valve};
use crate::domain::verdict::Verdict;

/// More valves than these are counted, not named.
const NAMED_MAX: usize = 4;

/// Says in at most four lines what the services before left, the gravest first.
pub(super) fn told(session: &Session, earlier: &Earlier) -> Vec<String> {
    let ended = ended(earlier);
    let Some(last) = ended.last() else { return Vec::new() };
    let valves = session.state.facts().valves();
    let none =
        |valve: &Valve| last.outcome(*valve).is_some_and(|one| one.in_scope && one.left.is_none());
    let none: Vec<String> =
        valves.iter().filter(|valve| none(valve)).map(|one| session.state.name_of(*one)).collect();
    let none = (!none.is_empty()).then(|| format!("No figure last time: {}.", few(&none)));
    let faults = &earlier.left_as_found;
    let faults = (!faults.is_empty()).then(|| format!("Left as found last time: {}.", few(faults)));
    [left_words(session, &valves, &ended), faults, none, not_in_scope(session, earlier, &ended)]
        .into_iter()
        .flatten()
        .collect()
}

/// A valve that is left out of its band, and what a later service that was not signed made of it.
type Left<'a> = (Verdict, &'a Outcome, Option<&'static str>);

/// Lists what the services before left out of its band, the gravest first.
pub(super) fn left_before(session: &Session, earlier: &Earlier) -> Vec<(Verdict, Valve)> {
    let left = left(&session.state.facts().valves(), &ended(earlier));
    left.into_iter().map(|(verdict, outcome, _)| (verdict, outcome.valve)).collect()
}

fn ended(earlier: &Earlier) -> Vec<&Service> {
    let ended = |one: &&Service| one.ending != Ending::Open && one.has_readings();
    earlier.services.iter().filter(ended).collect()
}

/// Lists what is left out of its band: as the newest service has it that has a figure of it. What a signed
/// one left so stays signed for, as the list of engines has it, where one that was not signed found it well.
fn left<'a>(valves: &[Valve], ended: &[&'a Service]) -> Vec<Left<'a>> {
    let newest = |valve: Valve, signed: bool| {
        let of = ended.iter().rev().filter(move |one| !signed || one.ending == Ending::Signed);
        of.filter_map(move |one| one.outcome(valve)).find(|one| one.left.is_some())
    };
    let out = |outcome: &Outcome| outcome.verdict_left.filter(|one| *one != Verdict::InLimits);
    let told = |valve: &Valve| {
        let now = newest(*valve, false)?;
        if let Some(verdict) = out(now) {
            return Some((verdict, now, None));
        }
        let signed = newest(*valve, true)?;
        let since = if now.touched { SET_SINCE } else { WELL_SINCE };
        Some((out(signed)?, signed, Some(since)))
    };
    let mut left: Vec<Left<'a>> = valves.iter().filter_map(told).collect();
    left.sort_by_key(|&(verdict, outcome, _)| gravity(verdict, outcome.valve));
    left
}

/// Names what is left out of its band, with why.
fn left_words(session: &Session, valves: &[Valve], ended: &[&Service]) -> Option<String> {
    let left = left(valves, ended);
    let words = left.iter().map(|(verdict, outcome, since)| {
        let why = outcome.left_as_is.as_deref().map(reason_told);
        let beside: Vec<&str> = why.into_iter().chain(*since).collect();
        let beside =
            if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
        let name = session.state.name_of(outcome.valve);
        format!("{name} {}{beside}", verdict.word().to_uppercase())
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| format!("LEFT SO before: {}.", few(&words)))
}

/// Says what a service left as it was found besides valves. Own words of its reasons and causes may hold a
/// figure: they stand in the record.
pub fn faults_left_in(state: &State) -> Vec<String> {
    let without_why = |words: String| {
        let ends = [", left so: ", ", found: ", ", cause not told"];
        let end = ends.iter().filter_map(|end| words.find(end)).min();
        end.and_then(|end| words.get(..end)).map_or_else(|| words.clone(), str::to_owned)
    };
    let run = state.run_left.keys().filter_map(|id| state.run.get(id));
    let run =
        run.filter(|run| !run.good).map(|run| format!("{}: see the record", plain(&run.seen)));
    threads_left(state).chain(low_found(state)).map(without_why).chain(run).collect()
}

const SET_SINCE: &str = "set since, not signed";
const WELL_SINCE: &str = "in limits since, not signed";

/// A reason in own words may hold the figure that is not to be known before the valve is read.
fn reason_told(why: &str) -> &'static str {
    LEFT.iter().find(|one| **one == why).copied().unwrap_or("reason in the record")
}

/// Orders what is out of its band, the gravest first: a tight valve burns, the exhaust first (common practice, no source); a loose one is heard.
pub fn gravity(verdict: Verdict, valve: Valve) -> (u8, bool, Valve) {
    let first = match verdict {
        Verdict::Tight => 0,
        Verdict::Undecided { .. } => 1,
        Verdict::Loose | Verdict::InLimits => 2,
    };
    (first, valve.kind != Kind::Exhaust, valve)
}

/// Names the cylinders that the last service did not look at, and which of them are due by now.
fn not_in_scope(session: &Session, earlier: &Earlier, ended: &[&Service]) -> Option<String> {
    let last = ended.last()?;
    let now = session.state.begin.hours.map(|hours| hours.plus(earlier.offset));
    let outside = |cylinder: &Cylinder| {
        let mut of = last.valves.iter().filter(|one| one.valve.cylinder == *cylinder);
        of.any(|one| !one.in_scope)
    };
    let cylinders: Vec<Cylinder> =
        session.state.facts().firing_order.iter().copied().filter(outside).collect();
    let due = |cylinder: &Cylinder| now.is_some_and(|now| is_due(*cylinder, now, ended));
    let due: Vec<String> =
        cylinders.iter().filter(|one| due(one)).map(Cylinder::to_string).collect();
    let all: Vec<String> = cylinders.iter().map(Cylinder::to_string).collect();
    let due =
        if due.is_empty() { String::new() } else { format!("; DUE by now: {}", due.join(", ")) };
    (!all.is_empty())
        .then(|| format!("Not in the scope last time: cylinders {}{due}.", all.join(", ")))
}

/// Tells whether the interval has run out since a cylinder was gauged last, or it never was.
fn is_due(cylinder: Cylinder, now: Hours, ended: &[&Service]) -> bool {
    let gauged = |one: &&&Service| {
        let mut of = one.valves.iter().filter(|one| one.valve.cylinder == cylinder);
        of.any(|one| one.left.is_some())
    };
    let Some(last) = ended.iter().rev().find(gauged) else { return true };
    let reached = last.hours.zip(last.due.interval_hours);
    reached.is_some_and(|(hours, interval)| hours.hours() + interval <= now.hours())
}

fn few(words: &[String]) -> String {
    let (named, more) = words.split_at(words.len().min(NAMED_MAX));
    let more = if more.is_empty() { String::new() } else { format!(" and {} more", more.len()) };
    format!("{}{more}", named.join(", "))
}

/// Returns the manual of the last service that named one: where its page ruled over the profile, the
/// engine has none that need only be confirmed.
pub(super) fn manual(earlier: &Earlier) -> Option<&Source> {
    let named = earlier.services.iter().rev().filter(|one| !one.conditions.practice);
    let mut named = named.filter_map(|one| one.conditions.source.as_ref());
    named.find(|source| !source.document.is_empty())
}
