//! Words that a number pad can give: what is often found, seen or done, and the names that are known here.

use super::Beside;
use super::form::told;
use super::{Field, Prompt, Step};
use crate::domain::session::Session;
use crate::domain::session::checklist::STOPPED;

/// Most names with a digit of their own; the last digit is for another, which is typed.
const NAMES_MAX: usize = 8;

/// What a stop or a tight place turned out to be, and what was done (common practice, no source).
pub(super) const CAUSES: &[&str] = &[
    "timing one tooth out: set anew by its marks",
    "a tool, rag or blank in the way: taken out",
    "plugs in, compression felt: plugs taken out",
    "a valve held open: let go and seated anew",
];
/// The same of a hiss, too, at the two turns of closing up (common practice, no source).
pub(super) const CAUSES_OR_HISS: &[&str] = &[
    "a plug: seated anew, at torque",
    "a valve held open: freed and seated anew",
    "a seal or gasket: fitted anew",
    "a tool, rag or blank in the way: taken out",
];
/// What was done about a remark.
pub(super) const DONE: &[&str] =
    &["put right, and looked at after it", "part replaced", "looked at: as the manual allows"];
/// What became of what was missing.
pub(super) const MISSING: &[&str] = &["found, and fitted", "another one fetched and fitted"];
/// What is seen of a place that is not good.
pub(super) const NOT_GOOD: &[&str] = &["worn", "cracked", "leaks", "loose", "bent"];

/// What is seen or heard at the run, by the question it answers (common practice, no source).
pub(super) fn at_the_run(check: &str) -> &'static [&'static str] {
    match check {
        "noise" => &["a tick from one cylinder", "a knock", "a hiss"],
        "warm" => &["stopped: oil pressure", "stopped: a leak", "stopped: rough running"],
        "power" => &["ignition drop too large", "idle rough", "oil pressure", "a temperature"],
        STOPPED | "cooled" => {
            &["oil at a valve cover", "oil at a push-rod tube", "oil at a plug", "a screw loose"]
        }
        _ => &[],
    }
}

/// How something that another service left was seen, by whom: what is only told, or written, is typed.
pub(super) fn how_seen(session: &Session) -> Vec<String> {
    let by = session.state.worker.clone().unwrap_or_default();
    vec![format!("on the engine, by {by}")]
}

/// Asks for words as [`told`] does, of usual ones that are made here.
pub(super) fn told_of<T>(
    ask: Prompt,
    own: &str,
    usual: &[String],
    given: &[String],
    then: impl FnOnce(String, &[String]) -> Step<T>,
) -> Step<T> {
    let usual: Vec<&str> = usual.iter().map(String::as_str).collect();
    told(ask, own, &usual, given, then)
}

/// Lists who worked on this engine before, the last ones first, without those named in `but`.
pub(super) fn names(beside: &Beside, but: &[&str]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for service in beside.earlier.services.iter().rev() {
        for name in &service.conditions.workers {
            let known = names.contains(name) || but.contains(&name.as_str());
            if !known && !name.trim().is_empty() {
                names.push(name.clone());
            }
        }
    }
    names.truncate(NAMES_MAX);
    names
}

/// Asks for a name: by digit where others are known here, else typed; Enter is as `ask` has it.
pub(super) fn named<T>(
    ask: Prompt,
    names: &[String],
    given: &[String],
    then: impl FnOnce(&str, &[String]) -> Step<T>,
) -> Step<T> {
    if names.is_empty() {
        return super::form::in_words(ask, given, then);
    }
    let labels: Vec<String> = names.iter().map(|name| crate::domain::plain::plain(name)).collect();
    let mut choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    choices.push((9, "another name, typed"));
    let own = ask.clone();
    let mut by_digit = ask.with(Field::choice(&choices));
    by_digit.field.enter = own.field.enter.clone();
    super::form::pick(by_digit, given, |digit, rest| {
        let Some(digit) = digit else { return then("", rest) };
        match usize::from(digit).checked_sub(1).and_then(|place| names.get(place)) {
            Some(name) => then(name, rest),
            None => super::form::in_words(own, rest, then),
        }
    })
}
