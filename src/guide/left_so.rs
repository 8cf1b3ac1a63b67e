//! Valves that are left outside their band, said where somebody acts on it: before the run, at the run
//! and at the signature; and what else was found wrong and is left so.

use super::Prompt;
use super::form::capital;
use super::last_time::reason_told;
use super::leak::low_found;
use super::named::{named_words, valve_name, valve_short};
use crate::domain::left_before::still_left;
use crate::domain::plain::plain;
use crate::domain::session::{OpenItem, Session, State, ThreadsLeft};
use crate::domain::trend::Earlier;
use crate::domain::valve::{Cylinder, Valve};
use crate::domain::verdict::{Verdict, gravity};

/// Why a valve is left as it is, each with its digit.
pub(super) fn left_whys(state: &State) -> [&'static str; 4] {
    let ([allowed, on_order, owner], [screw, part]) = (LEFT, SEIZED);
    [allowed, on_order, owner, if state.has_screws() { screw } else { part }]
}

/// All reasons that have a digit: they may be told wherever a valve is named.
pub(super) fn usual_whys() -> impl Iterator<Item = &'static str> {
    LEFT.into_iter().chain(SEIZED)
}

const LEFT: [&str; 3] = [
    "the manual allows it until the next check",
    "cannot be set: part on order",
    "owner told, will be done at the next service",
];

/// What is seized, of valves that are set by screws and of all others.
const SEIZED: [&str; 2] =
    ["cannot be set: nut or screw is seized", "cannot be set: a part is seized"];

/// More valves than these are counted on the question and named in the help.
const NAMED_MAX: usize = 4;

/// How a line of the notice begins that names what is left outside its band.
pub(super) const LEFT_SO: &str = "LEFT SO";

/// How a line of the notice begins that names what read out of its band and is not settled yet.
pub(super) const NOT_SETTLED: &str = "NOT IN LIMITS SO FAR";

/// Names for the notice what was left outside its band with a reason, the gravest first; none that is to be
/// gauged at the stop in hand, of which nobody is to know what it read. A reason in own words may hold a
/// figure: whoever takes over may gauge the valve once more.
pub(super) fn left_on_the_notice(state: &State) -> Option<String> {
    let untold = state.untold_here();
    let left = state.left_outside().into_iter().filter(|(_, valve)| !untold.contains(valve));
    let names: Vec<String> = left
        .filter_map(|(verdict, valve)| {
            let why = reason_told(state.reason_to_leave(valve)?);
            let word = verdict.word().to_uppercase();
            Some(format!("{} {word} ({why})", valve_name(state, valve)))
        })
        .collect();
    (!names.is_empty()).then(|| format!("{LEFT_SO}: {}", names.join(", ")))
}

/// Names for the notice what read out of its band and was neither set nor left so with a reason, the gravest
/// first; what is slack, unloaded or out tells more than a figure from before it.
pub(super) fn not_settled(state: &State) -> Option<String> {
    if state.apart() {
        return None;
    }
    let mut hidden = state.untold_here();
    hidden.extend(state.open_items().into_iter().filter_map(|item| match item {
        OpenItem::NutSlack(valve) | OpenItem::Unloaded(valve) => Some(valve),
        _ => None,
    }));
    let open = |(_, valve): &(Verdict, Valve)| {
        !hidden.contains(valve) && state.reason_to_leave(*valve).is_none()
    };
    let open: Vec<(Verdict, Valve)> = state.left_outside().into_iter().filter(open).collect();
    // Whoever was called away there may have had the spanner on it.
    let screws = state.has_screws() && !state.is_rough_look();
    let nut = if screws { " (see that its nut is locked)" } else { "" };
    let names = |(verdict, valve): &(Verdict, Valve)| {
        format!("{} {}{nut}", valve_name(state, *valve), verdict.word().to_uppercase())
    };
    let named: Vec<String> = open.iter().take(NAMED_MAX).map(names).collect();
    let more = open.len().saturating_sub(NAMED_MAX);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    (!named.is_empty()).then(|| format!("{NOT_SETTLED}: {}{more}", named.join(", ")))
}

/// Names for the notice, and for who comes back, what earlier services left outside its band and this one
/// does not look at.
pub(super) fn still_so(state: &State, earlier: &Earlier) -> Option<String> {
    let left = still_left(state, &earlier.services).into_iter();
    let names: Vec<String> = left
        .map(|one| {
            let word = one.verdict.word().to_uppercase();
            let why = one.outcome.left_as_is.as_deref().map(reason_told);
            let why = why.map_or_else(String::new, |why| format!(" ({why})"));
            format!("{} {word}{why}", valve_name(state, one.valve()))
        })
        .collect();
    (!names.is_empty()).then(|| format!("{LEFT_SO} BEFORE, not looked at: {}", names.join(", ")))
}

/// Returns in large words the gravest valve that is left out of its band, and which others are.
pub(super) fn left_so(state: &State) -> Option<(String, String)> {
    let left = state.left_outside();
    let words = |&(verdict, valve): &(Verdict, Valve)| {
        format!("{} {}", valve_short(state, valve), verdict.word().to_uppercase())
    };
    let (first, others) = left.split_first()?;
    let others: Vec<String> = others.iter().map(words).collect();
    let about = match others.as_slice() {
        [] => "left so, with its reason".into(),
        [..] => format!("left so, with {} {}", others.join(", "), "and their reasons"),
    };
    Some((words(first), about))
}

/// Says of each valve that is left out of its band why, the gravest first.
pub(super) fn reasons(session: &Session) -> Vec<String> {
    let state = &session.state;
    let why = |(_, valve)| Some((valve_name(state, valve), session.why_left(valve)?.why()));
    let given = state.left_outside().into_iter().filter_map(why);
    given.map(|(name, why)| format!("{name} left so: {}.", ended(&plain(why)))).collect()
}

/// Takes the full stop off words that get one behind them.
fn ended(words: &str) -> &str {
    words.trim_end_matches('.')
}

/// Says what else was found wrong and is left so: threads that show, and what the run showed. A low leak
/// test is told on its own, with what was found: its cause may be mended.
pub fn left_as_found(state: &State) -> Vec<String> {
    let threads = state.threads_left_so().into_iter();
    let threads =
        threads.map(|one| format!("{}, left so: {}", threads_words(state, &one), plain(one.why)));
    let run = state.run_left.iter().filter_map(|(id, why)| {
        let run = state.run.get(id).filter(|run| !run.good)?;
        Some(format!("{}: {}, left so: {}", plain(&run.seen), plain(&run.text), plain(why)))
    });
    threads.chain(run).collect()
}

/// Says of which valve threads show otherwise than the profile has them.
pub(super) fn threads_words(state: &State, left: &ThreadsLeft<'_>) -> String {
    let ThreadsLeft { valve, shown, allowed: (least, most), .. } = left;
    let name = valve_name(state, *valve);
    format!("threads showing on {name}: {shown}, {least} to {most} allowed")
}

/// Puts into a question of the run what the engine would run with. Where it has not run yet, the gravest
/// valve stands large: a tight one makes no noise.
pub(super) fn told_at_the_run(ask: Prompt, session: &Session, earlier: &Earlier) -> Prompt {
    let state = &session.state;
    let left = all_left(session, earlier);
    let mut ask = ask;
    ask.lines.splice(0..0, left_words(state, &left));
    let rest = left.get(NAMED_MAX..).unwrap_or_default();
    ask.more.extend(rest.iter().map(|one| named(state, one) + "."));
    let found = left_as_found(state).into_iter().chain(low_found(state));
    let found = found.map(|words| capital(&words) + ".");
    ask = ask.lines(found).lines(not_gauged(state));
    // An answer goes towards running it so: none counts before that was read to its end.
    if !state.has_run() {
        ask = ask.whole();
    }
    ask = ask.lines(reasons(session)).lines(reasons_before(state, earlier));
    match left.first() {
        Some(gravest) if !state.has_run() => large(ask, state, *gravest),
        Some(_) | None => ask,
    }
}

/// Says below a question that comes before the run what the engine would run with.
pub(super) fn told_before_it(ask: Prompt, session: &Session, earlier: &Earlier) -> Prompt {
    ask.lines(left_words(&session.state, &all_left(session, earlier)))
        .lines(reasons(session))
        .lines(reasons_before(&session.state, earlier))
}

/// Says of each valve that an earlier service left so, and this one has not looked at, why.
fn reasons_before(state: &State, earlier: &Earlier) -> Vec<String> {
    let left = still_left(state, &earlier.services).into_iter();
    left.filter_map(|one| {
        let why = reason_told(one.outcome.left_as_is.as_deref()?);
        Some(format!("{} left so before: {why}.", valve_name(state, one.valve())))
    })
    .collect()
}

/// Lists all valves that are left outside their band; what is not looked at today is still as it was left.
fn all_left(session: &Session, earlier: &Earlier) -> Vec<(Verdict, Valve)> {
    let state = &session.state;
    let mut left = state.left_outside();
    let before = still_left(state, &earlier.services).into_iter();
    left.extend(before.map(|one| (one.verdict, one.valve())));
    left.sort_by_key(|&(verdict, valve)| gravity(verdict, valve));
    left
}

fn named(state: &State, &(verdict, valve): &(Verdict, Valve)) -> String {
    format!("{} LEFT {}", valve_name(state, valve), verdict.word().to_uppercase())
}

fn left_words(state: &State, left: &[(Verdict, Valve)]) -> Option<String> {
    if left.is_empty() {
        return None;
    }
    let names: Vec<String> = left.iter().take(NAMED_MAX).map(|one| named(state, one)).collect();
    let more = left.len().saturating_sub(NAMED_MAX);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    Some(format!(
        "{}{more}: no run so unless the manual or the licensed mechanic allows it.",
        names.join(", ")
    ))
}

/// Names what this service did not gauge: whole cylinders, and valves of one where another was opened.
fn not_gauged(state: &State) -> Option<String> {
    let (mut cylinders, mut valves) = (Vec::new(), Vec::new());
    for cylinder in in_number_order(state) {
        let of = state.facts().valves_of(cylinder);
        let not: Vec<Valve> = of.iter().copied().filter(|valve| !state.serviced(*valve)).collect();
        if not.len() == of.len() {
            cylinders.push(cylinder.to_string());
        } else {
            valves.extend(not.into_iter().map(|valve| valve_name(state, valve)));
        }
    }
    let word = if cylinders.len() == 1 { "cylinder" } else { "cylinders" };
    let cylinders = (!cylinders.is_empty()).then(|| format!("{word} {}", cylinders.join(", ")));
    let names: Vec<String> = cylinders.into_iter().chain(valves).collect();
    (!names.is_empty()).then(|| format!("NOT GAUGED in this service: {}.", names.join(", ")))
}

/// Lists the cylinders as they are read in a list: only what is worked through goes by the firing order.
pub(super) fn in_number_order(state: &State) -> Vec<Cylinder> {
    let mut cylinders = state.facts().firing_order.clone();
    cylinders.sort_unstable();
    cylinders
}

/// The valve takes the place of what is asked about, which is said in the question instead.
fn large(mut ask: Prompt, state: &State, (verdict, valve): (Verdict, Valve)) -> Prompt {
    let about = ask.big.as_ref().filter(|big| !big.gives_way);
    if let Some(about) = about.map(|big| capital(&big.text.to_lowercase())) {
        ask.ask = format!("{about}: {}", ask.ask);
    }
    let word = verdict.word().to_uppercase();
    ask.big(word.clone(), "left so").in_words_of(named_words(state, valve, &word))
}
