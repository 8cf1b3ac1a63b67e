//! Questions asked before there is a session: a new engine, and how many hours it has.

use super::counter::{LastTold, counter};
use super::form::{pick, prompt, type_in};
pub use super::kinds::{Kind, kinds};
use super::{Choice, Field, Step, Typed};
use crate::domain::entry::{Begin, Hours};
use crate::domain::plain::plain;

pub(super) const PLACE: &str = "engines";

/// A new engine, as it was described.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEngine {
    /// Its name.
    pub name: String,
    /// Its serial number, or empty.
    pub serial: String,
    /// The profile's name.
    pub profile: String,
    /// Running hours.
    pub hours: Hours,
    /// What begins its first service.
    pub begin: Begin,
}

/// Asks for a new engine of a kind: name, serial number, hours.
pub fn new_engine(kind: &Kind, given: &[String]) -> Step<NewEngine> {
    let title = format!("A new engine: {}", kind.title);
    let figures = match kind.own {
        true => "Its figures are those that you typed; the first service reads the manual again.",
        false => "Its figures are examples until you name the manual.",
    };
    let ask = prompt(PLACE, &title, "What do you call it? Registration or name:")
        .line(figures)
        .also_large("NAME");
    type_in(ask, given, |name, rest| {
        let ask = prompt(PLACE, &title, "Its serial number:")
            .also_large("SERIAL NO")
            .with(Field::typed(Typed::Text).or_enter("not known"));
        let name = name.to_string();
        type_in(ask, rest, |serial, rest| {
            hours(
                prompt(PLACE, &title, "Running hours, as in 412.6:").also_large("HOURS"),
                rest,
                |hours, rest| {
                    let begin = Begin { hours: Some(hours), ..Begin::default() };
                    total_time(&title, begin, rest, |begin, _| {
                        let (serial, profile) = (serial.to_string(), kind.profile.clone());
                        Step::Do(NewEngine { name, serial, profile, hours, begin })
                    })
                },
            )
        })
    })
}

/// Asks with which version of a session to go on: its letter and what there is to say of each, the
/// one that counts first. `common` entries are the same in all.
pub fn which_version(
    name: &str,
    common: Option<usize>,
    versions: &[(char, String)],
    given: &[String],
) -> Step<char> {
    let title = format!("{}: {} versions", plain(name), versions.len());
    let ask = prompt(PLACE, &title, "Go on with which?");
    let mut ask = match common {
        Some(common) => ask
            .line("Files of this session went different ways; nothing is merged and nothing removed.")
            .line(format!("They part at entry {common}; the {common} before it are the same.")),
        None => ask
            .line("A file of this session is damaged, and another says less; nothing is merged and nothing removed.")
            .line("What can be read in both is the same."),
    };
    let words = |(letter, words): &(char, String)| plain(&format!("version {letter}: {words}"));
    ask.field.choices = (1..=9)
        .zip(versions)
        .map(|(digit, version)| Choice { digit, label: words(version) })
        .collect();
    pick(ask, given, |digit, _| {
        let place = usize::from(digit.unwrap_or_default()).checked_sub(1);
        match place.and_then(|place| versions.get(place)) {
            Some((letter, _)) => Step::Do(*letter),
            None => Step::Again,
        }
    })
}

fn hours<T>(
    ask: super::Prompt,
    given: &[String],
    then: impl FnOnce(Hours, &[String]) -> Step<T>,
) -> Step<T> {
    type_in(ask.with(Field::typed(Typed::Number)), given, |typed, rest| match Hours::parse(typed) {
        Ok(hours) => then(hours, rest),
        Err(fault) => Step::Refused(fault.to_string()),
    })
}

/// Says of a session that is damaged and cannot be gone on with what is wrong with it, what it has
/// open, and what to do.
pub fn damaged(session: &str, wrong: &str, open: &[String]) -> Vec<String> {
    let session = plain(session);
    let open = match open {
        [] => "nothing that can be read of it".to_string(),
        open => open.join("; "),
    };
    vec![
        format!("DAMAGED: session {session} is open: {}.", plain(wrong)),
        format!("Left open: {open}; there may be more. A new service takes it over."),
        "First look for a sound copy (Esc, then cowlside take COPY). This file is kept.".into(),
    ]
}

/// Asks for the hours at the start of a service: has it run since, and how far. What is said of a
/// damaged one is told first.
///
/// A figure below `last` is taken only as a replaced counter, one far above it only when it is said to
/// be right. Where the data folder can only be read it `asks_folder`, too: in which one the session is kept.
pub fn begin(
    engine: &str,
    (damaged, asks_folder): (&[String], bool),
    last: Option<&LastTold>,
    given: &[String],
) -> Step<(Begin, Option<String>)> {
    let title = format!("{}: a new service", plain(engine));
    counter(("prepare", &title, damaged), last, given, |hours, replaced, rest| {
        let hours_why = replaced.then(|| "counter replaced".to_string());
        let begin = Begin { hours: Some(hours), hours_why, ..Begin::default() };
        total_time(&title, begin, rest, |begin, rest| match asks_folder {
            true => folder(engine, rest, |folder| Step::Do((begin, Some(folder.to_owned())))),
            false => Step::Do((begin, None)),
        })
    })
}

/// Asks in which folder a new session is kept, where its own can only be read.
pub fn folder<T>(engine: &str, given: &[String], then: impl FnOnce(&str) -> Step<T>) -> Step<T> {
    let title = format!("{}: a new service", plain(engine));
    let ask = prompt("prepare", &title, "Which folder? (as in /media/stick)")
        .also_large("FOLDER")
        .line("The session is kept in it as a file of its own; at its end you are told how to take it home.")
        .with(Field::typed(Typed::Text));
    type_in(ask, given, |typed, _| then(typed))
}

/// What is told first where nothing can be written in the data folder.
pub const ONLY_READ: &str =
    "This data folder can only be read; a folder for the session is asked for.";

/// Asks for an engine's hours and nothing else: what the counter shows, and whether it is a new one.
pub fn hours_now(engine: &str, last: &LastTold, given: &[String]) -> Step<(Hours, bool)> {
    let title = format!("{}: running hours", plain(engine));
    counter((PLACE, &title, &[]), Some(last), given, |hours, replaced, _| {
        Step::Do((hours, replaced))
    })
}

fn total_time<T>(
    title: &str,
    begin: Begin,
    given: &[String],
    then: impl FnOnce(Begin, &[String]) -> Step<T>,
) -> Step<T> {
    let ask = prompt("prepare", title, "Aircraft total time in service, hours:")
        .also_large("TOTAL TIME")
        .line("An inspection entry asks for it; a maintenance entry does not.")
        .with(Field::typed(Typed::Number).or_enter("not kept here"));
    type_in(ask, given, |typed, rest| {
        if typed.is_empty() {
            return then(begin, rest);
        }
        let total = match Hours::parse(typed) {
            Ok(total) => total,
            Err(fault) => return Step::Refused(fault.to_string()),
        };
        let engine = begin.hours.filter(|engine| total < *engine);
        let begin = Begin { total_time: Some(total), ..begin };
        let Some(engine) = engine else { return then(begin, rest) };
        let less = format!(
            "The aircraft's {total} h are fewer than the engine's {engine} h. Which is it?"
        );
        let ask =
            prompt("prepare", title, less).also_large(total.to_string()).with(Field::choice(&[
                (1, "typed wrong: again"),
                (2, "right: the engine ran elsewhere before"),
            ]));
        pick(ask, rest, |digit, rest| match digit {
            Some(2) => then(begin, rest),
            _ => Step::Retype(2),
        })
    })
}
