//! What is to be seen at one glance: where in the job, how much is left, what the key that takes back
//! would take back, and how the valve stands that was read just now.

use super::Beside;
use super::named::{named_verdict, valve_short};
use super::part_words::changing_parts;
use super::place::{DOUBTED, place_of_any, places_of_practice, practises};
use super::seen::proven_short;
use super::status::{entry_words, in_rounds};
use super::untold::Untold;
use crate::domain::entry::{Adopt, Change, Correct, Entry, Nut, NutSaid, On, Proof, Reading, Step};
use crate::domain::pace;
use crate::domain::plain::beginning;
use crate::domain::session::{Due, Session, State};
use crate::domain::verdict::Verdict;

/// Says where in the job the session is and how much is left of the round, in several lengths, the
/// longest first. Minutes are told once the mechanic's own pace is known.
pub fn whereabouts(session: &Session, beside: &Beside) -> Vec<String> {
    let places = whereabouts_of_any(session, beside);
    if practises(&session.state) { places_of_practice(&places) } else { places }
}

fn whereabouts_of_any(session: &Session, beside: &Beside) -> Vec<String> {
    let state = &session.state;
    let whole = place_of_any(session);
    // That it is for practice is told before the clock: no engine goes by its days.
    let tells_clock = whole.ends_with(DOUBTED) && !practises(state);
    if let Some(asked) = whole.strip_prefix("make safe · ") {
        let (asked, doubted) = match asked.strip_suffix(DOUBTED) {
            Some(asked) => (asked, DOUBTED),
            None => (asked, ""),
        };
        let in_the_midst = in_the_midst(state, asked, doubted);
        return in_the_midst.into_iter().chain(shorter(whole, tells_clock)).collect();
    }
    let (Some(round), Some((stop, stops)), true) =
        (state.round(), state.progress(), whole.starts_with("round "))
    else {
        return shorter(whole, tells_clock);
    };
    let doubted = if tells_clock { DOUBTED } else { "" };
    let (round, rounds) = (round + 1, state.rounds().len());
    let middle = format!("round {round} of {rounds} · stop {stop} of {stops}");
    let short = format!("round {round}/{rounds} stop {stop}/{stops}");
    let shortest = format!("r{round}/{rounds} s{stop}/{stops}");
    let [long, brief, briefest] = left_in_words(session, beside);
    vec![
        format!("{whole} · {long}"),
        format!("{whole} · {brief}"),
        format!("{middle}{doubted} · {brief}"),
        format!("{short}{doubted} · {brief}"),
        format!("{short}{doubted} · {briefest}"),
        // Where there is no room for both, a clock that lies is told before how much is left.
        match doubted {
            "" => format!("{shortest} {briefest}"),
            doubted => shortest + doubted,
        },
    ]
}

/// Says what is to be made safe, and with it where a break came into a round; nothing outside of rounds.
fn in_the_midst(state: &State, asked: &str, doubted: &str) -> Vec<String> {
    let place = state.round().zip(state.progress());
    let left = state.cautions_left();
    let told = place.into_iter().flat_map(|(round, (stop, stops))| {
        let (round, rounds) = (round + 1, state.rounds().len());
        let short = format!("r{round}/{rounds} s{stop}/{stops}{doubted}");
        [
            format!(
                "make safe · {asked} · round {round} of {rounds} · stop {stop} of {stops}{doubted}"
            ),
            format!("make safe · {asked} · {short}"),
            format!("make safe {left} · {short}"),
        ]
    });
    told.collect()
}

/// Says how much is left of the round in hand; `None` outside of rounds.
pub fn left(session: &Session, beside: &Beside) -> Option<String> {
    let state = &session.state;
    state.round().and(state.progress())?;
    let [long, ..] = left_in_words(session, beside);
    Some(long)
}

/// Says so in three lengths, the longest first.
fn left_in_words(session: &Session, beside: &Beside) -> [String; 3] {
    let state = &session.state;
    let left = state.valves_left();
    let own = pace::gaps(session);
    let by = state.worker.as_deref().unwrap_or_default();
    let valves = if left == 1 { "valve" } else { "valves" };
    // What a later round takes is not among them.
    let more = state.round().is_some_and(|round| round + 1 < state.rounds().len());
    let (about, round) = if more { ("", " this round") } else { ("about ", "") };
    match pace::minutes(beside.pace.iter().chain(&own), by, left) {
        Some(minutes) => [
            format!("{left} {valves} to do, about {minutes} min{round}"),
            format!("{left} to do, {about}{minutes} min{round}"),
            format!("{left} to do, {minutes} min"),
        ],
        None => {
            let brief = format!("{left} to do");
            [format!("{left} {valves} to do"), brief.clone(), brief]
        }
    }
}

/// Says how far a change of parts has come in fewer words too: "shims · 1 to take out · 2 out"; where the
/// clock is doubtful that is what is left last.
fn shorter(whole: String, tells_clock: bool) -> Vec<String> {
    let short = whole.strip_prefix("change ").map(str::to_owned);
    let shorter = short.as_ref().and_then(|short| short.strip_prefix("push ")).map(str::to_owned);
    let doubted = whole.strip_suffix(DOUBTED).filter(|_| tells_clock).map(|place| {
        let first = place.split(" · ").next().unwrap_or_default();
        [format!("{first}{DOUBTED}"), DOUBTED.trim_start_matches(" · ").to_owned()]
    });
    let shortened = [Some(whole), short, shorter].into_iter().flatten();
    shortened.chain(doubted.into_iter().flatten()).collect()
}

/// Says what taking back would withdraw; a figure only where its valve is not to be gauged now.
/// `None` where it would be refused.
pub fn undo(session: &Session) -> Option<String> {
    let kept = session.last_entry()?;
    let state = &session.state;
    if !super::taking_back::may_take_back(session) {
        return None;
    }
    if session.leaked_last().is_some() {
        return Some(super::taking_back::LEAKED.into());
    }
    let untold = Untold::of(session).valve(kept.seq);
    // With what was told goes what that answered for.
    let told = session.last_answer().last().map(|told| &told.entry);
    if let Some(told @ (Entry::LeakTest(_) | Entry::On(On::Check { .. }))) = told {
        return entry_words(session, told).map(|words| beginning(&words, UNDO_MAX));
    }
    Some(match (&kept.entry, untold) {
        (Entry::Reading(reading), None) => {
            format!("{}, {}", valve_short(state, reading.valve), reading.typed)
        }
        (Entry::Reading(_), Some(valve)) => format!("the reading of {}", valve_short(state, valve)),
        (Entry::Proof(Proof { of: 0, rocked: None, .. }), None) => {
            format!("sign seen{}", with_the_stop(session))
        }
        (Entry::Correct(Correct { of, change: Change::Void, .. }), _) => {
            let of = session.kept.iter().find(|kept| kept.seq == *of)?;
            let (Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. })) = &of.entry else {
                return None;
            };
            format!("{} made void", valve_short(state, reading.valve))
        }
        (Entry::Proof(proof @ Proof { rocked: None, .. }), None) => {
            proven_short(state, *proof) + with_the_stop(session)
        }
        (Entry::Proof(_), None) if let [_, place, ..] = session.last_answer().as_slice() => {
            entry_words(session, &place.entry).unwrap_or_default()
        }
        (_, Some(valve)) => format!("the last entry on {}", valve_short(state, valve)),
        (other, None) => entry_words(session, other)
            .map_or_else(|| "the last entry".into(), |words| beginning(&words, UNDO_MAX)),
    })
}

/// With a count goes the turn that the same answer told.
fn with_the_stop(session: &Session) -> &'static str {
    if session.last_answer().len() > 1 { AND_THE_STOP } else { "" }
}

pub(super) const AND_THE_STOP: &str = " and the stop";

/// Most characters that name what is taken back: a remark may be as long as a page.
const UNDO_MAX: usize = 120;

/// Returns the verdict on the reading that was kept just now for large letters, in several lengths,
/// the longest first; nothing where it is asked about in large letters anyway, or not told yet.
pub fn verdict(session: &Session, entries: &[Entry]) -> Vec<String> {
    let state = &session.state;
    let reading = match entries.last() {
        Some(Entry::Reading(reading)) if reading.step != Step::Try => Some(reading),
        Some(Entry::Nut(nut)) => locked(state, nut),
        _ => None,
    };
    let Some(reading) = reading else { return Vec::new() };
    let valve = reading.valve;
    let due = state.due();
    // What another valve reads would be taken for what is asked about.
    let asked = matches!(due, Due::Set(..) | Due::ChangeRod(..));
    let again = matches!(due, Due::Again(..)) || state.wants_second(state.round(), valve);
    // Beside a question of another kind it would be taken for an answer to that.
    if asked || again || changing_parts(state) || !in_rounds(state) {
        return Vec::new();
    }
    let outside = state.gone_on_outside().is_some();
    let words: &[&str] = match state.verdict_now(valve) {
        // The limits do not mean an engine as warm as this one is.
        Some(Verdict::InLimits) if outside => &["IN LIMITS?", "OK?"],
        Some(Verdict::Tight) if outside => &["TIGHT?"],
        Some(Verdict::Loose) if outside => &["LOOSE?"],
        Some(Verdict::InLimits) => &["IN LIMITS", "OK"],
        Some(Verdict::Tight) => &["TIGHT"],
        Some(Verdict::Loose) => &["LOOSE"],
        Some(Verdict::Undecided { .. }) => &["UNDECIDED"],
        None => &[],
    };
    named_verdict(state, (valve, reading.typed.as_str()), words)
}

/// Returns what was gauged after a nut was locked just now.
pub(super) fn locked<'a>(state: &'a State, nut: &Nut) -> Option<&'a Reading> {
    match nut.said {
        NutSaid::Locked { .. } => state.current(nut.valve).map(|taken| &taken.reading),
        NutSaid::Slack | NutSaid::NeverTouched { .. } | NutSaid::Threads(_) => None,
    }
}
