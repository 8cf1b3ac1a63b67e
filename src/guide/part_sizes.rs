//! Sizes of a part that are asked about before they are kept: mark and micrometer of a shim that
//! contradict each other, and what goes in where nothing would be left, or where another would serve.

use super::form::{pick, prompt};
use super::named::{valve_name, valve_short};
use super::{Field, Prompt, Step};
use crate::domain::entry::PartKind;
use crate::domain::session::{Holds, OddPart, Session, State};
use crate::domain::units::Length;
use crate::domain::valve::Valve;

/// Takes a size by the micrometer, and asks about one that its mark contradicts.
pub(super) fn micrometer(
    session: &Session,
    (place, valve, mark_typed): (&str, Valve, bool),
    marked: Option<Length>,
    measured: &str,
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step,
) -> Step {
    match is_size(session, measured) {
        Ok(size) => {
            let about = (valve, mark_typed);
            as_marked(session, place, about, (marked, size), given, |rest| {
                then(measured.into(), rest)
            })
        }
        Err(words) => Step::Refused(words),
    }
}

/// Reads a size at its own question, so that no later one is refused for it; nothing where none is
/// typed.
pub(super) fn is_size(session: &Session, typed: &str) -> Result<Option<Length>, String> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    session.state.shim_size(typed).map(Some).map_err(|refusal| refusal.words())
}

/// Asks once about a size by the micrometer that is not what the mark says, in either direction: a
/// worn shim is thinner, and none is thicker by more than a slip in measuring. The answers before are
/// the measured size and, where it was typed too, the mark.
fn as_marked(
    session: &Session,
    place: &str,
    (valve, mark_typed): (Valve, bool),
    sizes: (Option<Length>, Option<Length>),
    given: &[String],
    then: impl FnOnce(&[String]) -> Step,
) -> Step {
    let (Some(marked), Some(measured)) = sizes else { return then(given) };
    let apart = (marked.nm() - measured.nm()).abs();
    if apart <= session.state.half_a_step().nm() {
        return then(given);
    }
    let unit = session.state.facts().unit;
    let typed = measured.digits(unit);
    let question = format!("Marked {}, measured {typed}: is that right?", marked.digits(unit));
    let mut choices = vec![(1, "keep it as typed"), (2, "type the measured size again")];
    choices.extend(mark_typed.then_some((3, "type the mark again, then the measured size")));
    let name = valve_name(&session.state, valve);
    let ask = prompt(place, format!("{typed} for {name}?"), question)
        .big(typed, "")
        .with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, rest| match digit {
        Some(1) => then(rest),
        Some(3) => Step::Retype(3),
        _ => Step::Retype(2),
    })
}

/// Asks once about a part that would hold its valve open, or leave it outside its limits where another
/// that is listed would not. Where it is told anew, all that led to it is asked again: first the size of
/// what came out, by `anew`.
pub(super) fn serves(
    session: &Session,
    (place, valve, part, name): (&str, Valve, PartKind, &str),
    size: Option<Length>,
    given: &[String],
    then: impl FnOnce() -> Step,
    anew: impl FnOnce(&[String]) -> Step,
) -> Step {
    let state = &session.state;
    let Some(odd) = size.and_then(|size| state.odd_part(valve, part, size)) else { return then() };
    let unit = state.facts().unit;
    let of = valve_name(state, valve);
    let (title, question) = match odd {
        OddPart::HoldsOpen => (
            format!("{name} would hold {of} open"),
            format!("{name} leaves nothing: did it go in?"),
        ),
        OddPart::MayHoldOpen => (
            format!("{name} may hold {of} open"),
            format!("{name} may leave nothing: did it go in?"),
        ),
        OddPart::Outside(leads_to) => (
            format!("{name} leaves {of} outside its limits"),
            format!("{name} leads to {}: did it go in?", leads_to.text(unit)),
        ),
    };
    let unmeasured = state.may_tell_size(valve, part);
    let anew_words = if unmeasured { MEASURE_NOW } else { "no: tell both sizes anew" };
    let choices = [(1, "yes: keep it as typed"), (2, anew_words)];
    let limits = format!("{of}: {}.", super::status::limits_words(state, valve));
    let ask = prompt(place, title, question).big(name, "");
    let ask = match odd {
        OddPart::HoldsOpen => ask.line(MEETS).whole().line(limits),
        OddPart::MayHoldOpen if unmeasured => ask.line(NOT_MEASURED).whole().line(GAUGE_CLOSED),
        OddPart::MayHoldOpen => ask.line(GAUGE_CLOSED).whole(),
        OddPart::Outside(_) => ask.line(limits).line("Another that is listed leads inside."),
    };
    let ask = ask.with(Field::choice(&choices).kept_by_enter());
    pick(ask, given, |digit, rest| if digit == Some(1) { then() } else { anew(rest) })
}

/// What is better than to keep a part in the place of one that nobody measured.
const MEASURE_NOW: &str = "measure what came out, then tell both";
const NOT_MEASURED: &str =
    "What came out was not measured: measure it, or this one may hold the valve open.";
/// What is done before a turn with a valve that may be held open; common practice, no source.
const GAUGE_CLOSED: &str = "Kept so, gauge it by hand, the valve closed, before any turn.";

/// What comes of a valve that is held open.
const MEETS: &str = "Turned so, the valve may meet its piston or bend: take it out again.";

/// Warns before the crank is turned for a question of a valve that what went in would hold open, in large words
/// too: what is large is done first.
pub(super) fn before_a_turn(ask: Prompt, state: &State) -> Prompt {
    let ask = ask.warned(held_open(state));
    let held = state.held_open_by_parts();
    let surely = held.iter().find(|(_, holds)| *holds == Holds::Surely);
    match surely {
        Some((valve, _)) => ask.big(format!("{} HELD OPEN", valve_short(state, *valve)), ""),
        None => ask,
    }
}

/// Warns, before anything turns, of valves that would be held open by what went in, then of those that may be.
pub(super) fn held_open(state: &State) -> Vec<String> {
    let held = state.held_open_by_parts();
    let names = |of: Holds| {
        let those = held.iter().filter(|(_, holds)| *holds == of);
        let names: Vec<String> = those.map(|(valve, _)| valve_name(state, *valve)).collect();
        (!names.is_empty()).then(|| names.join(", ").to_uppercase())
    };
    let surely = names(Holds::Surely)
        .map(|names| format!("WHAT WENT IN WOULD HOLD {names} OPEN: take it out first."));
    let perhaps = names(Holds::Perhaps).map(|names| {
        format!("WHAT WENT IN MAY HOLD {names} OPEN: gauge it by hand, closed, before any turn.")
    });
    surely.into_iter().chain(perhaps).collect()
}
