//! What the hour counter shows now. A slip of the finger is seen: hours below the last ones, and more
//! than can have passed since; a replaced counter is asked about twice, for it cannot be taken back.

use super::form::{pick, prompt, type_in};
use super::{Field, Step, Typed};
use crate::domain::entry::{CounterTold, Hours};
use crate::domain::plain::plain;
use crate::domain::session::Gravity;

/// What an engine's counter showed last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastTold {
    /// The figure.
    pub hours: Hours,
    /// When it was told, as YYYY-MM-DD.
    pub day: String,
    /// The most that it can show now.
    pub most: Hours,
}

impl LastTold {
    /// Says of hours that are more than can have passed since the last ones how many more.
    pub fn too_many(&self, now: Hours) -> Option<String> {
        let more = now.less(self.hours);
        let (last, day) = (self.hours, plain(&self.day));
        (now > self.most).then(|| format!("{now} h is {more} h more than {last} h of {day}"))
    }
}

/// Said where hours were told while it was asked for a signature.
pub const NOT_SIGNED: &str = "not signed: meanwhile the counter was told to show more hours";

/// Says what was told of a counter beside a session that was begun.
pub fn told_words(told: CounterTold) -> String {
    match told {
        CounterTold::WentUp(hours) => {
            format!("the counter was told to show {hours} h beside this session")
        }
        CounterTold::Replaced(hours) => {
            format!("a new counter was told to show {hours} h beside this session")
        }
        CounterTold::PutRight { from, to } => {
            format!("what the counter was told to show, {from} h, was put right: {to} h")
        }
    }
}

/// Says of an engine whose hours were told what is open at it, by a session that can be gone on with or by
/// one that has ended, the gravest of it named. Whatever is open bars the run; only of a run that is owed,
/// where nothing else is, it is enough that it is asked about.
pub fn told_over(
    engine: &str,
    session: Option<&str>,
    (open, gravest): (&[String], Option<Gravity>),
) -> Option<String> {
    let engine = plain(engine);
    let told = plain(&open.join("; "));
    let ruins = gravest.is_some_and(Gravity::is_danger);
    let ruin = if ruins { ": an engine that runs like that is damaged" } else { "" };
    let bars = gravest != Some(Gravity::Run);
    match (session, open) {
        (None, []) => None,
        (None, _) if bars => Some(format!(
            "{engine} was left with {told}{ruin}; do not run it before a new session has put it right"
        )),
        (None, _) => Some(format!("{engine} was left with {told}; a new session asks about it")),
        (Some(_), []) => {
            Some(format!("a session of {engine} is open: gone on with, it asks whether it ran"))
        }
        (Some(_), _) => {
            let not =
                if bars { "; do not run it before this session has put it right" } else { "" };
            Some(format!(
                "{engine} has a session open, with {told}{ruin}{not}; gone on with, it asks whether it ran"
            ))
        }
    }
}

/// Asks what the counter shows; `then` is told it, and whether it is a new one.
pub(super) fn counter<T>(
    (place, title, told): (&str, &str, &[String]),
    last: Option<&LastTold>,
    given: &[String],
    then: impl FnOnce(Hours, bool, &[String]) -> Step<T>,
) -> Step<T> {
    let mut ask = prompt(place, title, "Running hours now, as in 412.6:")
        .also_large("HOURS")
        .with(Field::typed(Typed::Number));
    ask = ask.lines(told.iter().cloned());
    if let Some(LastTold { hours, .. }) = last {
        ask = ask.line(format!("The counter stood at {hours} h. Has it run since? Read it."));
        ask.field = ask.field.or_enter(format!("not run since, {hours} h"));
    }
    type_in(ask, given, |typed, rest| {
        let now = if typed.is_empty() {
            last.map(|last| last.hours).ok_or(())
        } else {
            Hours::parse(typed).map_err(|_| ())
        };
        let Ok(now) = now else {
            return Step::Refused(format!(
                "\"{}\" is no count of hours: type as in 412.6",
                plain(typed)
            ));
        };
        let Some(last) = last else { return then(now, false, rest) };
        if now < last.hours {
            return fewer((place, title), (now, last.hours), rest, |rest| then(now, true, rest));
        }
        let Some(words) = last.too_many(now) else { return then(now, false, rest) };
        let ask = prompt(place, title, format!("{words}: is that right?"))
            .also_large(now.to_string())
            .line("An engine runs at most 24 h a day. Is the point in its place?")
            .with(Field::choice(&[(1, "typed wrong: again"), (2, "right")]));
        pick(ask, rest, |digit, rest| match digit {
            Some(2) => then(now, false, rest),
            _ => Step::Retype(2),
        })
    })
}

fn fewer<T>(
    (place, title): (&str, &str),
    (now, last): (Hours, Hours),
    given: &[String],
    replaced: impl FnOnce(&[String]) -> Step<T>,
) -> Step<T> {
    let ask = prompt(place, title, format!("{now} h is less than {last} h. Which is it?"))
        .also_large(now.to_string())
        .line("Were the hours before told by mistake? q, then in a shell:")
        .line("cowlside engine hours NAME HOURS --correct")
        .with(Field::choice(&[(1, "typed wrong: again"), (2, "the counter was replaced")]));
    pick(ask, given, |digit, rest| {
        if digit != Some(2) {
            return Step::Retype(2);
        }
        let words = format!("The counter of {last} h was replaced, the new one stands at {now} h?");
        let ask = prompt(place, title, words)
            .also_large("NEW COUNTER")
            .line("All hours from now on count on top of the old ones.")
            .with(Field::choice(&[(1, "yes"), (2, "no, again")]));
        pick(ask, rest, |digit, rest| match digit {
            Some(1) => replaced(rest),
            _ => Step::Retype(3),
        })
    })
}
