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
use crate::domain::session::{Crank, OpenItem, Session, State, is_handed_on};
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
/// capitals, then in three lines what is open, what was done and what to prove.
pub(super) fn resumed(ask: Prompt, session: &Session, earlier: &Earlier) -> Prompt {
    let gravest = session.state.open_items().into_iter().next();
    let grave = gravest.filter(OpenItem::bars_close_up);
    let (mut prompt, asked) = (ask.clone(), ask);
    if let Some(item) = grave {
        let named = asked.big.as_ref().filter(|big| !big.gives_way);
        let about = named.map(|big| super::form::capital(&big.text.to_lowercase()));
        if let Some(about) = about {
            prompt.ask = format!("{about}: {}", asked.ask);
        }
        let large = grave_words(&session.state, &item);
        prompt = prompt.big(large, "");
    }
    let [done, prove] = done_and_next(session);
    prompt.told = in_few_words(&session.state, [&done, &prove]);
    // Where nothing is to be proven the help says so: what is asked needs the room.
    let needless = prove.ends_with(NOT_NEEDED);
    let open: Vec<String> =
        session.state.open_items().iter().map(|item| loudly(&session.state, item)).collect();
    let whole = [
        (!open.is_empty()).then(|| format!("Open: {}", open.join(" · "))),
        Some(done),
        Some(prove.clone()),
    ];
    let row = [
        open_in_a_row(&open),
        whole[1].as_deref().map(done_in_a_row),
        whole[2].as_deref().map(prove_in_a_row),
    ];
    let row = [row[0].clone(), row[1].clone(), row[2].clone().filter(|_| !needless)];
    // What was left out of a line for its room stands whole in the help.
    let cut = whole.into_iter().zip(row.clone()).filter(|(whole, row)| whole != row);
    let helped: Vec<String> = cut.filter_map(|(whole, _)| whole).collect();
    // Whether somebody has moved the crank is asked wherever there is room for it.
    let tape = prove.split_once("; ").map(|(_, tape)| super::form::capital(tape));
    let tape = tape.filter(|_| row[2].as_ref().is_some_and(|line| !line.contains("; ")));
    // Where room is short the last lines give way.
    let also = tape.into_iter().chain(still_so(&session.state, earlier));
    let also = also.chain(left_words(&session.state)).chain(doubtful_clock(session));
    let prompt = prompt.lines(row.into_iter().flatten()).lines(also);
    helped.into_iter().fold(prompt, |prompt, line| prompt.more(&line))
}

/// Columns that a line of the way back may take: from windows of 60 on it stands whole in one row.
const ROW: usize = 58;

fn fits(line: &str) -> bool {
    line.chars().count() <= ROW
}

/// What is open in one row: the gravest, as many others as have room, and how many more there are.
fn open_in_a_row(open: &[String]) -> Option<String> {
    let shown = |n: usize| {
        let more = match open.len() - n {
            0 => String::new(),
            more => format!(" +{more}"),
        };
        Some(format!("Open: {}{more}", open.get(..n)?.join(" · ")))
    };
    let mut ways = (1..=open.len()).rev().filter_map(shown);
    ways.clone().find(|line| fits(line)).or_else(|| ways.next_back())
}

/// What was done in one row: what was done last stays, how far the round is loses its beginning.
fn done_in_a_row(done: &str) -> String {
    let words = done.strip_prefix(DONE).unwrap_or(done);
    let parts = words.match_indices(", ").map(|(at, comma)| at + comma.len());
    let last = words.find(LAST).map_or(0, |at| at + LAST.len());
    let begins = std::iter::once(0).chain(parts.filter(|at| *at < last)).chain([last]);
    let ways = begins.filter_map(|at| Some(format!("{DONE}{}", words.get(at..)?)));
    let shortest = ways.clone().last();
    ways.into_iter().find(|line| fits(line)).or(shortest).unwrap_or_else(|| done.to_owned())
}

/// What to prove in one row: in few words, without what the tape says where that has no room.
fn prove_in_a_row(prove: &str) -> String {
    let next = prove.strip_prefix(PROVE).unwrap_or(prove);
    let bare = next.split_once("; ").map_or(next, |(bare, _)| bare);
    let ways = [prove.to_owned(), format!("{PROVE}{bare}"), format!("{BRIEFLY}{bare}")];
    let [.., least] = &ways;
    ways.iter().find(|line| fits(line)).unwrap_or(least).clone()
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
    let last = done.rsplit_once(LAST).map_or(done, |(_, last)| last);
    let last = last.strip_prefix(DONE).unwrap_or(last);
    let next = prove.strip_prefix(PROVE).filter(|next| *next != NOT_NEEDED);
    let next = next.map(|next| format!("{BRIEFLY}{next}"));
    open.into_iter().chain([format!("{DONE}{last}")]).chain(next).collect()
}

const DONE: &str = "Done: ";
/// What stands between how far the round is and what was done last.
const LAST: &str = "; last: ";
const PROVE: &str = "To be proven next: ";
const BRIEFLY: &str = "Prove: ";
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
        // What was handed on was done by nobody here, and what answers for it was told with its own answer.
        .filter(|kept| !matches!(&kept.entry, Entry::Remark(one) if is_handed_on(&one.text)))
        .filter(|kept| !session.settles_by_itself(kept))
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
