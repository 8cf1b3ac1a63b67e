//! What the services before left out, told in the first questions of the next: what was left out of its
//! band, what has no figure, what was not looked at. No figure is told: a valve is read without knowing
//! what it read.

use super::leak::{CAUSE_NOT_TOLD, low_words_of};
use super::left_so::{in_number_order, threads_words, usual_whys};
use crate::domain::entry::Hours;
use crate::domain::left_before::{LeftBefore, Since, left_before};
use crate::domain::plain::plain;
use crate::domain::profile::Source;
use crate::domain::service::{Ending, Service};
use crate::domain::session::{Session, State};
use crate::domain::trend::Earlier;
use crate::domain::valve::{Cylinder, Valve};
use std::collections::BTreeMap;

/// More valves than these are counted, not named.
const NAMED_MAX: usize = 4;

/// Says in at most five lines what the services before left, the gravest first.
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
    let faults = (!faults.is_empty()).then(|| format!("Left as found before: {}.", few(faults)));
    let low = &earlier.low_leak_tests;
    let low = (!low.is_empty()).then(|| format!("Found before: {}.", few(low)));
    [left_words(session, earlier), faults, low, none, not_in_scope(session, earlier, &ended)]
        .into_iter()
        .flatten()
        .collect()
}

/// Lists the services before that say how the engine was left. What was for practice says nothing of it,
/// as in the list of engines.
fn ended(earlier: &Earlier) -> Vec<&Service> {
    let ended = |one: &&Service| {
        one.ending != Ending::Open && one.has_readings() && !one.conditions.practice
    };
    earlier.services.iter().filter(ended).collect()
}

/// Names what is left out of its band, with why.
fn left_words(session: &Session, earlier: &Earlier) -> Option<String> {
    let valves = session.state.facts().valves();
    let left = left_before(&earlier.services).into_iter();
    let left = left.filter(|one| valves.contains(&one.valve()));
    let words = left.map(|LeftBefore { verdict, outcome, since, .. }| {
        let why = outcome.left_as_is.as_deref().map(reason_told);
        let beside: Vec<&str> = why.into_iter().chain(since.map(Since::words)).collect();
        let beside =
            if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
        let name = session.state.name_of(outcome.valve);
        format!("{name} {}{beside}", verdict.word().to_uppercase())
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| format!("LEFT SO before: {}.", few(&words)))
}

/// What services left as it was found besides clearances: of each valve as the newest says that counted its
/// threads, of each cylinder as the newest that leak-tested it, of the run as the newest that ran the engine.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FaultsLeft {
    threads: BTreeMap<Valve, Option<String>>,
    leaks: BTreeMap<Cylinder, Vec<String>>,
    run: Option<Vec<String>>,
}

impl FaultsLeft {
    /// Puts what an older service left below this, where this says nothing of it.
    #[must_use]
    pub fn over(self, older: FaultsLeft) -> FaultsLeft {
        let (mut threads, mut leaks) = (older.threads, older.leaks);
        threads.extend(self.threads);
        leaks.extend(self.leaks);
        FaultsLeft { threads, leaks, run: self.run.or(older.run) }
    }

    /// Says all of it: what is left so, and low leak tests, of which the cause may be mended.
    pub fn words(self) -> (Vec<String>, Vec<String>) {
        let threads = self.threads.into_values().flatten();
        let left = threads.chain(self.run.into_iter().flatten()).collect();
        (left, self.leaks.into_values().flatten().collect())
    }
}

/// Says what a service left as it was found besides clearances. Own words of its
/// reasons and causes may hold a figure: they stand in the record.
pub fn faults_left_in(state: &State) -> FaultsLeft {
    let mut faults = FaultsLeft::default();
    // A leaf tells neither: only threads that were counted, and a leak test that was made.
    for (&valve, _) in state.nuts.iter().filter(|(_, nut)| nut.threads.is_some()) {
        faults.threads.insert(valve, None);
    }
    for (&cylinder, _) in state.leak_tested.iter().filter(|(_, (held, _))| held.is_some()) {
        faults.leaks.insert(cylinder, Vec::new());
    }
    for left in state.threads_left_so() {
        faults.threads.insert(left.valve, Some(threads_words(state, &left)));
    }
    for (cylinder, held, of, found) in state.low_leak_tests() {
        let found = if found.is_some() { "found: see the record" } else { CAUSE_NOT_TOLD };
        let words = format!("{}, {found}", low_words_of(cylinder, held, of));
        faults.leaks.entry(cylinder).or_default().push(words);
    }
    let run = state.run_left.keys().filter_map(|id| state.run.get(id));
    let run =
        run.filter(|run| !run.good).map(|run| format!("{}: see the record", plain(&run.seen)));
    faults.run = state.has_run().then(|| run.collect());
    faults
}

/// A reason in own words may hold the figure that is not to be known before the valve is read.
pub(super) fn reason_told(why: &str) -> &'static str {
    usual_whys().find(|one| *one == why).unwrap_or("reason in the record")
}

/// Names what the last service did not look at, and what of it is due by now.
fn not_in_scope(session: &Session, earlier: &Earlier, ended: &[&Service]) -> Option<String> {
    let last = ended.last()?;
    let now = session.state.begin.hours.map(|hours| hours.plus(earlier.offset));
    let outside = |valve: &Valve| last.outcome(*valve).is_some_and(|one| !one.in_scope);
    let due = |valve: &Valve| now.is_some_and(|now| is_due(*valve, now, ended));
    let (mut all, mut by_now) = (NotLooked::default(), NotLooked::default());
    for cylinder in in_number_order(&session.state) {
        let of = session.state.facts().valves_of(cylinder);
        let not: Vec<Valve> = of.iter().copied().filter(outside).collect();
        let run_out: Vec<Valve> = not.iter().copied().filter(due).collect();
        // A cylinder of which one valve was opened was looked at in part.
        if not.len() < of.len() {
            let names =
                |valves: Vec<Valve>| valves.into_iter().map(|one| session.state.name_of(one));
            all.valves.extend(names(not));
            by_now.valves.extend(names(run_out));
        } else {
            all.cylinders.push(cylinder.to_string());
            by_now.cylinders.extend((!run_out.is_empty()).then(|| cylinder.to_string()));
        }
    }
    let due = by_now.words().map_or_else(String::new, |words| format!("; DUE by now: {words}"));
    all.words().map(|words| format!("Not in the scope last time: {words}{due}."))
}

/// What a service did not look at: single valves of cylinders that it looked at in part, and whole cylinders.
#[derive(Default)]
struct NotLooked {
    valves: Vec<String>,
    cylinders: Vec<String>,
}

impl NotLooked {
    /// Names the valves first: behind cylinders the number of a valve would be taken for one of theirs.
    fn words(&self) -> Option<String> {
        let word = if self.cylinders.len() == 1 { "cylinder" } else { "cylinders" };
        let cylinders =
            (!self.cylinders.is_empty()).then(|| format!("{word} {}", self.cylinders.join(", ")));
        let words: Vec<String> = self.valves.iter().cloned().chain(cylinders).collect();
        (!words.is_empty()).then(|| words.join(", "))
    }
}

/// Tells whether the interval has run out since a valve was gauged last, or it never was.
fn is_due(valve: Valve, now: Hours, ended: &[&Service]) -> bool {
    let gauged = |one: &&&Service| one.outcome(valve).is_some_and(|one| one.left.is_some());
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
