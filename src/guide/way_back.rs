//! The way back after a break: what is open, what was done last, what to prove before going on.

use super::Prompt;
use super::crank::tape_where_it_stands;
use super::felt::place_shown;
use super::left_so::still_so;
use super::named::open_words;
use super::place::{doubtful_clock, round_so_far};
use super::status::{grave_words, loudly};
use super::untold::Untold;
use crate::domain::entry::Entry;
use crate::domain::plain::plain;
use crate::domain::session::{Crank, OpenItem, Session, State};
use crate::domain::trend::Earlier;

/// Says of what is still open by which earlier session, or other version, it was left so.
fn left_words(state: &State) -> Option<String> {
    let left = state.still_left();
    let words = |(from, item): &(&str, OpenItem)| format!("{}, by {from}", open_words(state, item));
    let left: Vec<String> = left.iter().map(words).collect();
    (!left.is_empty()).then(|| plain(&format!("Left so: {}", left.join("; "))))
}

/// Says what is open, what was done and what to prove, for coming back after a break: three lines,
/// and after them what is told of other sessions and of the clock.
pub fn way_back(session: &Session, earlier: &Earlier) -> Vec<String> {
    let open: Vec<String> =
        session.state.open_items().iter().map(|item| loudly(&session.state, item)).collect();
    let open = if open.is_empty() { "nothing open".into() } else { open.join(" · ") };
    let [done, prove] = done_and_next(session);
    let mut lines = vec![format!("Open: {open}"), done, prove];
    lines.extend(left_words(&session.state));
    lines.extend(still_so(&session.state, earlier));
    lines.extend(doubtful_clock(session));
    lines
}

/// Puts the way back into the question that comes first after a break: what was left loose in large
/// capitals, then what to prove and what was done.
pub(super) fn resumed(ask: Prompt, session: &Session, earlier: &Earlier) -> Prompt {
    let gravest = session.state.open_items().into_iter().next();
    let grave = gravest.filter(OpenItem::bars_close_up);
    let (mut prompt, asked) = (ask.clone(), ask);
    let named_first = grave.is_some();
    if let Some(item) = grave {
        let named = asked.big.as_ref().filter(|big| !big.gives_way);
        let about = named.map(|big| super::form::capital(&big.text.to_lowercase()));
        if let Some(about) = about {
            prompt.ask = format!("{about}: {}", asked.ask);
        }
        let large = grave_words(&session.state, &item);
        prompt = prompt.big(large, "");
    }
    // What is large is named with all else that is open. That stands over it all in any window: what is to
    // be proven stands before it.
    let open: Vec<String> =
        session.state.open_items().iter().map(|item| loudly(&session.state, item)).collect();
    let open = (!open.is_empty()).then(|| format!("Open: {}", open.join(" · ")));
    let (first, last) = if named_first { (open, None) } else { (None, open) };
    let before = still_so(&session.state, earlier);
    let also = left_words(&session.state).into_iter().chain(doubtful_clock(session));
    let [done, prove] = done_and_next(session);
    prompt.told = in_few_words(&session.state, [&done, &prove]);
    // Where nothing is to be proven the help says so: what is asked needs the room.
    let needless = prove.ends_with(NOT_NEEDED);
    let (shown, helped) = if needless { (None, Some(prove)) } else { (Some(prove), None) };
    // Where room is short the last lines give way.
    let prompt = prompt.lines(shown).lines(first).lines(before).line(done).lines(last).lines(also);
    helped.into_iter().fold(prompt, |prompt, line| prompt.more(&line))
}

/// Says what is open, the gravest first, what was done last and what to prove, each in few words; nothing of
/// what is not so.
fn in_few_words(state: &State, [done, prove]: [&str; 2]) -> Vec<String> {
    let open = state.open_items();
    let others = match open.len() {
        0 | 1 => String::new(),
        all => format!(" +{}", all - 1),
    };
    let open = open.first().map(|item| format!("Open: {}{others}", loudly(state, item)));
    let last = done.rsplit_once("; last: ").map_or(done, |(_, last)| last);
    let last = last.strip_prefix(DONE).unwrap_or(last);
    let next = prove.strip_prefix(PROVE).filter(|next| *next != NOT_NEEDED);
    let next = next.map(|next| format!("Prove: {next}"));
    open.into_iter().chain([format!("{DONE}{last}")]).chain(next).collect()
}

const DONE: &str = "Done: ";
const PROVE: &str = "To be proven next: ";
const NOT_NEEDED: &str = "nothing, the crank is not needed now";

/// Says how far the round is with what was done last, and what to prove before going on.
fn done_and_next(session: &Session) -> [String; 2] {
    let state = &session.state;
    let untold = Untold::of(session);
    let done = session
        .kept
        .iter()
        .rev()
        .filter(|kept| !session.is_void(kept.seq))
        .filter(|kept| !matches!(kept.entry, Entry::Caution(_) | Entry::Who(_)))
        .find_map(|kept| untold.words(session, kept))
        .unwrap_or_else(|| "nothing yet".into());
    let unknown = || "where the crank is: it is not known".to_string();
    let prove = match (state.round(), state.crank) {
        (None, _) if state.apart() => "nothing: no turn while the engine is apart".to_string(),
        (None, _) => NOT_NEEDED.to_string(),
        (Some(round), _) if !state.crank_proven() && state.due_of_answer(round).is_some() => {
            "nothing before the threads are counted, which comes first".to_string()
        }
        (Some(round), Crank::At { stop, .. }) if state.next_stop(round) == Some(stop) => {
            state.stops().get(stop).map_or_else(unknown, |at| place_shown(state, stop, at))
        }
        (Some(_), Crank::At { .. }) => {
            "the next stop, by what is seen there: the crank may have been moved".to_string()
        }
        (Some(_), Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_)) => unknown(),
    };
    let prove = match tape_where_it_stands(state) {
        Some(tape) => format!("{prove}; {tape}"),
        None => prove,
    };
    let so_far = round_so_far(state);
    [format!("{DONE}{so_far}{done}"), format!("{PROVE}{prove}")]
}
