//! The questions about a reading that is not believed at once: gauge once more, then what was it?
//!
//! The second gauging says nothing of what was expected, nor of the figure before.

use super::form::{pick, prompt, take, type_in};
use super::lifters::over_lifter;
use super::named::{valve_name, valve_short};
use super::rounds::{gauge_prompt, not_a_leaf};
use super::{Beside, Choice, Field, Prompt, Step, Typed, status};
use crate::domain::doubt::Doubt;
use crate::domain::entry::Step as ReadingStep;
use crate::domain::odd::times_words;
use crate::domain::plain::plain;
use crate::domain::session::{Input, Pair, Session, Taken};
use crate::domain::valve::Valve;

pub(super) fn again(
    session: &Session,
    place: &str,
    valve: Valve,
    step: ReadingStep,
    given: &[String],
) -> Step {
    let mut ask = second_prompt(session, place, valve);
    if step == ReadingStep::Try {
        ask = ask.line("The nut as it is now.");
    }
    type_in(ask, given, |typed, rest| {
        not_a_leaf(session, place, (valve, typed), rest, |sure, _| {
            let typed = typed.to_string();
            take(if step == ReadingStep::Try {
                Input::Tried { typed, sure }
            } else {
                Input::Gauge { typed, sure }
            })
        })
    })
}

pub(super) fn doubted(
    session: &Session,
    place: &str,
    (valve, first): (Valve, u64),
    beside: &Beside,
    given: &[String],
) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let pairs = state.pairs(first);
    let last = pairs.last().map(|pair| pair.first);
    let doubt = last.and_then(Taken::doubt);
    let agree = pairs.iter().all(Pair::agrees);
    let reasons = doubt.map_or_else(Vec::new, |doubt| doubt.reasons(agree));
    // Under overhead cams there is neither a push rod nor a rocker to blame.
    let overhead = super::part_words::overhead_cams(state);
    let reasons: Vec<&str> = reasons
        .into_iter()
        .map(|words| if overhead { without_rods(words) } else { words })
        .collect();
    // Of two that agree it is not said that only the second counts; the others keep their digits.
    let can_be = |words: &str| !(agree && words.ends_with(": the second counts"));
    let numbered = (1..).zip(&reasons).filter(|(_, words)| can_be(words));
    let mut choices: Vec<Choice> =
        numbered.map(|(digit, words)| choice(digit, in_few_words(words))).collect();
    // Two that agree against an earlier one may mean that the earlier one was not so.
    let misread = agree && doubt == Some(Doubt::Scatter);
    choices.extend(misread.then(|| choice(MISREAD, "it is so: the earlier one was misread")));
    choices.push(choice(8, "gauge it once more"));
    choices.push(choice(9, "in my own words"));
    let was = doubt.map_or(String::new(), |doubt| was_words(session, last, doubt));
    // In the smallest window answers leave room for little else than the question.
    let about = match pairs.as_slice() {
        [pair] => {
            format!("{name} {}: ", both(pair, "", ", then "))
        }
        [] | [_, _, ..] => format!("{name}: "),
    };
    let ask = prompt(place, format!("{name}: {was}"), format!("{about}what was it?"))
        .lines(pairs.iter().flat_map(|pair| {
            let valve = pair.first.reading.valve;
            let left = beside.likely.left(valve);
            let before = before(session, pair.first).or(left);
            let left = before.map_or_else(String::new, |old| format!("; before {}", plain(old)));
            let limits = status::limits_words(state, valve);
            let name = valve_name(state, valve);
            [
                format!("{name}: {}{left}", both(pair, "first ", ", then ")),
                format!("{name}: {limits}"),
            ]
        }))
        .lines(led_to(session, last, doubt))
        .line("The last reading counts. The reason is kept.")
        .also_large(valve_short(state, valve))
        .with(Field { choices, ..Field::default() });
    pick(ask, given, |digit, rest| match digit {
        Some(8) => once_more(session, place, valve, last, rest),
        Some(9) => {
            let ask = prompt(place, format!("{name}: {was}"), "What was it, in a few words?")
                .also_large(valve_short(state, valve));
            type_in(ask, rest, |why, _| take(Input::Believe { why: why.into() }))
        }
        Some(MISREAD) => {
            let so = reasons.last().copied().unwrap_or_default();
            take(Input::Believe { why: format!("the earlier one was misread: {so}") })
        }
        digit => {
            let place = usize::from(digit.unwrap_or(1)).saturating_sub(1);
            let why = reasons.get(place).copied().unwrap_or_default();
            take(Input::Believe { why: why.into() })
        }
    })
}

/// Says what the part that went in leads to, where that is why a reading is not believed.
fn led_to(session: &Session, first: Option<&Taken>, doubt: Option<Doubt>) -> Option<String> {
    let first = first.filter(|_| doubt == Some(Doubt::NotAsLedTo))?;
    let state = &session.state;
    let led_to = state.led_to_before(first.reading.valve, first.seq)?;
    Some(format!(
        "What went in leads to {}, by what was read before.",
        led_to.text(state.facts().unit)
    ))
}

/// The digit of two readings that agree against an earlier one.
const MISREAD: u8 = 7;

/// A reason as it is offered: in the smallest window too it says what the choice does.
fn in_few_words(words: &str) -> &str {
    match words {
        "a slip of the point or unit: the second counts" => "slip of point or unit: 2nd counts",
        "it was the wrong stroke or place: the second counts" => {
            "wrong stroke or place: 2nd counts"
        }
        "it is so: both are tight, position proven" => "it is so: both tight, place proven",
        "the valves were mixed up: the second counts" => "valves were mixed up: 2nd counts",
        "rod not seated or dirt the first time: the second counts" => {
            "rod not seated, or dirt: 2nd counts"
        }
        "shim not seated or dirt the first time: the second counts" => {
            "shim not seated, or dirt: 2nd counts"
        }
        "it is so: it moved, and the cause is to be found" => "it is so: it moved, find the cause",
        "rod not seated or rocker tilted: the second counts" => "rod or rocker askew: 2nd counts",
        "shim or leaf not flat: the second counts" => "shim or leaf not flat: 2nd counts",
        "dirt or oil under the leaf: the second counts" => "dirt or oil under it: 2nd counts",
        "follower or its bore worn: see the remark" => "follower worn: see the remark",
        "pad or tip is hollow: the leaf bridges it" => "hollow pad or tip: leaf bridges it",
        other => other,
    }
}

/// A reason as it is on an engine without push rods and rockers.
fn without_rods(words: &'static str) -> &'static str {
    match words {
        "rod not seated or dirt the first time: the second counts" => {
            "shim not seated or dirt the first time: the second counts"
        }
        "rod not seated or rocker tilted: the second counts" => {
            "shim or leaf not flat: the second counts"
        }
        "rocker bush worn: see the remark" => "follower or its bore worn: see the remark",
        other => other,
    }
}

/// What is doubted; of a slip of point or unit how many times the target it is.
fn was_words(session: &Session, first: Option<&Taken>, doubt: Doubt) -> String {
    let of_scale = matches!(doubt, Doubt::Point | Doubt::Unit | Doubt::Hundredths);
    let reading = first.filter(|_| of_scale).map(|taken| &taken.reading);
    let times = reading.and_then(|reading| {
        let target = session.state.figures(reading.valve.kind).target;
        times_words(reading.nominal?, target)
    });
    times.unwrap_or_else(|| doubt.word().to_string())
}

/// The figure of the same valve before the one that is not believed, in this session.
fn before<'a>(session: &'a Session, first: &Taken) -> Option<&'a str> {
    let of = |taken: &&Taken| {
        taken.counts && taken.seq < first.seq && taken.reading.valve == first.reading.valve
    };
    let earlier = session.state.readings.iter().rev().find(of);
    earlier.map(|taken| taken.reading.typed.as_str())
}

fn once_more(
    session: &Session,
    place: &str,
    valve: Valve,
    first: Option<&Taken>,
    given: &[String],
) -> Step {
    // A third reading of a try is a third reading all the same: the nut is as it is.
    let step = first.map_or(ReadingStep::Recheck, |taken| taken.reading.step);
    let ask = second_prompt(session, place, valve).with(Field::typed(Typed::Reading));
    over_lifter(session, place, valve, given, |given| {
        type_in(ask, given, |typed, rest| {
            not_a_leaf(session, place, (valve, typed), rest, |sure, _| {
                let typed = typed.to_string();
                take(match step {
                    ReadingStep::Try => Input::Tried { typed, sure },
                    ReadingStep::Found | ReadingStep::Left | ReadingStep::Recheck => {
                        Input::Gauge { typed, sure }
                    }
                })
            })
        })
    })
}

/// The same question as at first, and not a word of why.
fn second_prompt(session: &Session, place: &str, valve: Valve) -> Prompt {
    let ask = gauge_prompt(session, place, valve, ReadingStep::Recheck);
    let name = valve_name(&session.state, valve);
    Prompt { title: format!("A second reading of {name}"), ..ask }
}

fn choice(digit: u8, words: &str) -> Choice {
    Choice { digit, label: words.into() }
}

/// Both readings of a pair; where there is no second one, the first alone.
fn both(pair: &Pair<'_>, before: &str, between: &str) -> String {
    let first = plain(&pair.first.reading.typed);
    match pair.second {
        Some(second) => format!("{before}{first}{between}{}", plain(&second.reading.typed)),
        None => first,
    }
}
