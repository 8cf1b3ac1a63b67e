//! The way back after a break: what is open, what was done last, what to prove before going on.

use super::crank::tape_where_it_stands;
use super::felt::place_shown;
use super::left_so::still_so;
use super::named::open_words;
use super::place::{doubtful_clock, round_so_far};
use super::status::{grave_words, loudly};
use super::untold::Untold;
use super::{Prompt, Shorter};
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
    let open: Vec<String> =
        session.state.open_items().iter().map(|item| loudly(&session.state, item)).collect();
    let rows = ROWS.map(|most| in_rows(&open, [&done, &prove], most));
    let from = prompt.lines.len();
    let whole: Vec<String> = way_back(session, earlier).into_iter().take(THREE).collect();
    prompt.shorter =
        Some(Box::new(Shorter { from, whole: whole.len(), instead: rows.into_iter().collect() }));
    // Where room is short the last lines give way.
    let also = still_so(&session.state, earlier).into_iter();
    let also = also.chain(left_words(&session.state)).chain(doubtful_clock(session));
    prompt.lines(whole).lines(also)
}

/// Lines that the way back is told in: what is open, what was done, what is to be proven.
const THREE: usize = 3;

/// Columns that a line of the way back may take where it has no room whole, the most first: in windows of 80
/// columns, and of 60, each then stands in one row.
const ROWS: [usize; 2] = [78, 58];

impl Prompt {
    /// Tells whether a line, counted from 0, tells the way back.
    pub fn is_told_back(&self, line: usize) -> bool {
        let told = self.shorter.as_ref().map(|told| told.from..told.from + told.whole);
        told.is_some_and(|told| told.contains(&line))
    }

    /// The same with some of its lines in fewer words, the longest first: for where the lines have no room as
    /// they stand, which the help has.
    pub fn in_fewer_words(&self) -> impl Iterator<Item = Prompt> + '_ {
        let ways = self.shorter.iter().flat_map(|shorter| {
            let end = shorter.from + shorter.whole;
            shorter.instead.iter().map(move |instead| (shorter.from, end, instead))
        });
        ways.filter_map(|(from, end, instead)| {
            let (before, after) = (self.lines.get(..from)?, self.lines.get(end..)?);
            let lines = [before, instead.as_slice(), after].concat();
            let of = Shorter { from, whole: instead.len(), instead: Vec::new() };
            Some(Prompt { lines, shorter: Some(Box::new(of)), ..self.clone() })
        })
    }
}

/// The way back in rows of no more than so many columns.
fn in_rows(open: &[String], [done, prove]: [&str; 2], most: usize) -> Vec<String> {
    // Where nothing is to be proven the help says so: what is asked needs the room.
    let needless = prove.ends_with(NOT_NEEDED);
    let next = (!needless).then(|| prove_in_a_row(prove, most));
    // Whether somebody has moved the crank is asked wherever there is room for it.
    let tape = prove.split_once("; ").map(|(_, tape)| super::form::capital(tape));
    let tape = tape.filter(|_| next.as_ref().is_some_and(|line| !line.contains("; ")));
    let rows = [open_in_a_row(open, most), Some(done_in_a_row(done, most)), next, tape];
    rows.into_iter().flatten().collect()
}

fn fits(line: &str, most: usize) -> bool {
    line.chars().count() <= most
}

/// What is open in one row: the gravest, as many others as have room, and how many more there are.
fn open_in_a_row(open: &[String], most: usize) -> Option<String> {
    let shown = |n: usize| {
        let more = match open.len() - n {
            0 => String::new(),
            // Behind a valve's name a plus and a figure would read as its leaves.
            more => format!(" and {more} more"),
        };
        Some(format!("Open: {}{more}", open.get(..n)?.join(" · ")))
    };
    let mut ways = (1..=open.len()).rev().filter_map(shown);
    ways.clone().find(|line| fits(line, most)).or_else(|| ways.next_back())
}

/// What was done in one row: what was done last stays, how far the round is loses its beginning.
fn done_in_a_row(done: &str, most: usize) -> String {
    let words = done.strip_prefix(DONE).unwrap_or(done);
    let parts = words.match_indices(", ").map(|(at, comma)| at + comma.len());
    let last = words.find(LAST).map_or(0, |at| at + LAST.len());
    let begins = std::iter::once(0).chain(parts.filter(|at| *at < last)).chain([last]);
    let ways = begins.filter_map(|at| Some(format!("{DONE}{}", words.get(at..)?)));
    let shortest = ways.clone().last();
    ways.into_iter().find(|line| fits(line, most)).or(shortest).unwrap_or_else(|| done.to_owned())
}

/// What to prove in one row: in few words, without what the tape says where that has no room.
fn prove_in_a_row(prove: &str, most: usize) -> String {
    let next = prove.strip_prefix(PROVE).unwrap_or(prove);
    let bare = next.split_once("; ").map_or(next, |(bare, _)| bare);
    let ways = [prove.to_owned(), format!("{PROVE}{bare}"), format!("{BRIEFLY}{bare}")];
    let [.., least] = &ways;
    ways.iter().find(|line| fits(line, most)).unwrap_or(least).clone()
}

/// Says what is open, the gravest first, what was done last and what to prove, each in few words; nothing of
/// what is not so.
fn in_few_words(state: &State, [done, prove]: [&str; 2]) -> Vec<String> {
    let open = state.open_items();
    let others = match open.len() {
        0 | 1 => String::new(),
        all => format!(" and {} more", all - 1),
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
        (None, _) if state.open_items().contains(&OpenItem::TurnsOwed) => {
            "nothing: two turns by hand come first, nothing forced".to_string()
        }
        (_, _) if !state.unloaded.is_empty() => {
            "nothing before what is pressed open is let go".to_string()
        }
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
