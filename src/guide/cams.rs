//! The questions of cams: which came out, and their timing marks as they go in.

use super::form::{pick, prompt, take};
use super::part_sizes::held_open;
use super::prepare::line_prompt;
use super::turning::bank_words;
use super::{Field, Step};
use crate::domain::plain::plain;
use crate::domain::session::checklist::Line as Check;
use crate::domain::session::{Input, Session, State};

/// Says that the cams of a bank are out.
pub(super) fn out_label(state: &State, bank: Option<&str>) -> String {
    match bank {
        Some(bank) => {
            let words = bank_words(&plain(bank), state.facts().layout.shape);
            format!("the cams of the {words} are out")
        }
        None => "the cams are out".into(),
    }
}

pub(super) fn cams_in(
    session: &Session,
    place: &str,
    bank: Option<&str>,
    line: &Check,
    given: &[String],
) -> Step {
    let words = bank.map_or_else(
        || "the whole engine".into(),
        |bank| bank_words(&plain(bank), session.state.facts().layout.shape),
    );
    let ask = line_prompt(place, "Put the cams in", line)
        .big("CAM OUT", words)
        .lines(held_open(&session.state))
        .line("Mark by mark with the manual open. One tooth off, and a valve meets its piston.")
        .whole()
        .line("Nothing turns until this is answered.");
    let bank = bank.map(String::from);
    pick(ask, given, |digit, _| take(Input::CamsIn { bank, digit: digit.unwrap_or_default() }))
}

pub(super) fn cams_out(session: &Session, place: &str, given: &[String]) -> Step {
    which_cams(session, place, "Cams came out", given, |bank| take(Input::CamsOut { bank }))
}

/// Tells whether one bank's cams can be told from another's.
pub(super) fn cams_apart(state: &State) -> bool {
    (2..=8).contains(&state.facts().layout.banks.len())
}

/// Asks which cams came out.
pub(super) fn which_cams(
    session: &Session,
    place: &str,
    title: &str,
    given: &[String],
    then: impl FnOnce(Option<String>) -> Step,
) -> Step {
    let state = &session.state;
    let banks = &state.facts().layout.banks;
    if !cams_apart(state) {
        return then(None);
    }
    let labels: Vec<String> = banks.iter().map(|bank| out_label(state, Some(&bank.name))).collect();
    let mut choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    choices.push((9, "all cams are out"));
    let ask = prompt(place, title, "Which?").with(Field::choice(&choices));
    pick(ask, given, |digit, _| {
        let bank = usize::from(digit.unwrap_or(9)).checked_sub(1).and_then(|n| banks.get(n));
        then(bank.map(|bank| bank.name.clone()))
    })
}
