//! A stop, a tight place or a hiss that was felt as the engine was turned by hand: what was found.

use super::cams::cams_out;
use super::form::{pick, prompt, take, told};
use super::part_words::overhead_cams;
use super::{Field, Step, usual};
use crate::domain::plain::plain;
use crate::domain::session::checklist::{CAUSE_FOUND, FELT, Line, Seen, TURNED_THROUGH, TWO_TURNS};
use crate::domain::session::{Input, OpenItem, Session};

/// Words an answer of a checklist. What to do at once stands in the answer: no window is too small for it.
pub(super) fn answer(line: &Line, seen: &Seen) -> String {
    let by_hand = [TURNED_THROUGH, TWO_TURNS].contains(&line.id.as_str());
    let at_once = if by_hand && seen.digit == FELT { ": stop, turn nothing more" } else { "" };
    format!("{}{at_once}", plain(&seen.words))
}

/// Asks what was found, before anything turns.
pub(super) fn asked(session: &Session, place: &str, line: &Line, given: &[String]) -> Step {
    let state = &session.state;
    let felt = |item: &OpenItem| matches!(item, OpenItem::StopFelt { .. });
    let open = state.open_items().into_iter().find(felt);
    let stop = matches!(open, Some(OpenItem::StopFelt { or_hiss: false }));
    let left = state.still_left().into_iter().find(|(_, item)| felt(item));
    // Of several services that handed it on the last one is known.
    let by =
        left.map(|(from, _)| format!("Felt before this service, handed on by {}.", plain(from)));
    let cams = stop && overhead_cams(state);
    let words = |digit| line.state(digit).map_or("", |seen| seen.words.as_str());
    let found = format!("{}: say what", words(CAUSE_FOUND));
    let mut choices = vec![(CAUSE_FOUND, found.as_str())];
    choices.extend(cams.then_some((2, "cams out again")));
    choices.push((0, words(0)));
    let ask = prompt(place, plain(&line.ask), "What was found?")
        .big("DO NOT TURN", "nothing turns before the cause is put right")
        .with(Field::choice(&choices))
        .line(if stop {
            "A valve may meet its piston: look at the timing, and at what went in last."
        } else {
            "A hiss is a plug, a valve or a gasket; a tight place may be a valve."
        })
        .whole()
        .lines(open.map(|item| format!("{item}.")))
        .lines(by)
        .line("Once it is put right, the turns by hand are asked again.");
    pick(ask, given, |digit, rest| match digit {
        Some(CAUSE_FOUND) => {
            let ask = prompt(place, "Cause found and put right", "What was it, what was done?")
                .big("DO NOT TURN", "until this is said");
            let usual = if stop { usual::CAUSES } else { usual::CAUSES_OR_HISS };
            let own = "What was it, what was done?";
            told(ask, own, usual, rest, |words, _| take(Input::CauseFound(words)))
        }
        Some(2) => cams_out(session, place, rest),
        _ => take(Input::Answer(0)),
    })
}
