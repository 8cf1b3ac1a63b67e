//! The questions that put something right: a reading, the figures, the profile, the day.

use super::form::{in_words, pick, prompt, reason, reason_of, take, type_in};
use super::named::{typed_unit, valve_name};
use super::place::practises;
use super::rounds::sure_of;
use super::untold::{NOT_TOLD, Untold};
use super::{Beside, Field, Prompt, Step, Typed, page, status};
use crate::domain::entry::{Figure, Step as ReadingStep};
use crate::domain::plain::plain;
use crate::domain::session::{Input, Session, Taken, WRONG_PLACE, crossed};
use crate::domain::valve::{Kind, Valve};

/// Lists the readings that can be corrected, newest first, with their numbers; those of the valves
/// that are to be gauged at this stop without their figures.
pub fn reading_lines(session: &Session) -> Vec<(u64, String)> {
    let untold = Untold::of(session);
    let line = |taken: &Taken| {
        let reading = &taken.reading;
        // The reading that was kept after the nut was locked is what the valve was left at.
        let step = if taken.locked { ReadingStep::Left } else { reading.step };
        let step = status::step_word(step);
        let name = valve_name(&session.state, reading.valve);
        if untold.valve(taken.seq).is_some() {
            return (taken.seq, format!("{name} {step}: {NOT_TOLD}"));
        }
        let corrected = match &taken.corrected {
            Some((first, why)) => format!(" (first {first}, corrected: {why})"),
            None => String::new(),
        };
        let words =
            format!("{name} {step}: {}{corrected}", typed_unit(&reading.typed, reading.unit));
        (taken.seq, plain(&words))
    };
    session.state.readings.iter().rev().map(line).collect()
}

/// Readings on a page: as many as the smallest window shows, each with a digit.
const PAGE: usize = 5;

/// How often Enter alone turned to the next page, and the answers after that.
fn turned(given: &[String]) -> (usize, &[String]) {
    let pages = given.iter().take_while(|typed| typed.trim().is_empty()).count();
    (pages, given.get(pages..).unwrap_or_default())
}

/// Returns the answers that choose the reading of this row of [`reading_lines`]: the pages turned, and the
/// digit.
pub fn answers_of_row(row: usize) -> (Vec<String>, String) {
    (vec![String::new(); row / PAGE], (row % PAGE + 1).to_string())
}

/// Returns the valve whose reading is being corrected by these answers; `None` while none is chosen.
pub fn corrected(session: &Session, given: &[String]) -> Option<Valve> {
    let (turned, rest) = turned(given);
    let lines = reading_lines(session);
    let page = turned % lines.len().div_ceil(PAGE).max(1);
    let digit: usize = rest.first()?.trim().parse().ok()?;
    let (of, _) = lines.chunks(PAGE).nth(page)?.get(digit.checked_sub(1)?)?;
    let mut readings = session.state.readings.iter();
    readings.find(|taken| taken.seq == *of).map(|taken| taken.reading.valve)
}

/// Asks for one of these readings by a digit; Enter shows the next page, after the last the first again.
fn one_of(
    ask: Prompt,
    lines: &[(u64, String)],
    given: &[String],
    then: impl FnOnce(&(u64, String), &[String]) -> Step,
) -> Step {
    let (turned, given) = turned(given);
    let pages = lines.len().div_ceil(PAGE).max(1);
    let page = turned % pages;
    let shown = lines.chunks(PAGE).nth(page).unwrap_or_default();
    let choices: Vec<(u8, &str)> =
        (1..).zip(shown.iter().map(|(_, words)| words.as_str())).collect();
    let field = Field::choice(&choices);
    let field = match pages {
        1 => field,
        _ => {
            let next = if page + 1 == pages { "newest" } else { "older" };
            field.or_enter(format!("{next} ones; this is page {} of {pages}", page + 1))
        }
    };
    pick(ask.with(field), given, |digit, rest| {
        let chosen = digit.and_then(|digit| shown.get(usize::from(digit).checked_sub(1)?));
        chosen
            .map_or_else(|| Step::Refused("there is no such reading".into()), |one| then(one, rest))
    })
}

pub(super) fn correct(session: &Session, place: &str, given: &[String]) -> Step {
    let lines = reading_lines(session);
    let title = "Correct a reading";
    if lines.is_empty() {
        return Step::Refused("no reading is kept yet".into());
    }
    one_of(prompt(place, title, "Which reading?"), &lines, given, |(of, words), rest| {
        let of = *of;
        let is_try = |of: u64| {
            let mut readings = session.state.readings.iter();
            readings.any(|one| one.seq == of && one.reading.step == ReadingStep::Try)
        };
        let mut readings = session.state.readings.iter();
        let valve = readings.find(|taken| taken.seq == of).map(|taken| taken.reading.valve);
        let Some(valve) = valve else { return Step::Refused("there is no such reading".into()) };
        let title = format!("Correct {words}");
        let title = title.as_str();
        // A try changes places with none.
        let others = || lines.iter().filter(|(seq, _)| *seq != of && !is_try(*seq));
        let swaps = !is_try(of) && others().next().is_some();
        let mut choices = vec![(1, "another value"), (2, "it does not count")];
        choices.extend(swaps.then_some((3, "it changes places with another reading")));
        let ask = prompt(place, title, "What becomes of it?")
            .also_large("CORRECT")
            .with(Field::choice(&choices));
        pick(ask, rest, |digit, rest| match digit {
            Some(1) => {
                let ask =
                    prompt(place, title, "The right value:").with(Field::typed(Typed::Reading));
                type_in(ask, rest, |typed, rest| {
                    let typed = typed.to_string();
                    let of_valve = (valve, typed.as_str());
                    sure_of(session, place, of_valve, rest, |sure, rest| {
                        reason(place, title, slips(session), rest, |why, _| {
                            take(Input::CorrectValue { of, typed: typed.clone(), why, sure })
                        })
                    })
                })
            }
            Some(2) => {
                let mut whys = slips(session).to_vec();
                whys.push(WRONG_PLACE);
                let ask = prompt(place, title, "Why?")
                    .line("In the wrong place: nothing gauged there counts, nor on from there till it was rocked.");
                reason_of(ask, &whys, rest, |why, _| take(Input::Void { of, why }))
            }
            _ => {
                let others: Vec<_> = others().cloned().collect();
                one_of(prompt(place, title, "With which?"), &others, rest, |(with, _), rest| {
                    let with = *with;
                    reason(place, title, slips(session), rest, |why, _| {
                        take(Input::Swap { of, with, why })
                    })
                })
            }
        })
    })
}

/// Slips of one reading, wherever the crank stood.
fn slips(session: &Session) -> &'static [&'static str] {
    if super::part_words::overhead_cams(&session.state) {
        &["typing error", "wrong valve", "leaf or shim was not flat"]
    } else {
        &["typing error", "wrong valve", "leaf or rod was not seated"]
    }
}

pub(super) fn amend(session: &Session, place: &str, given: &[String]) -> Step {
    let title = "Amend the figures";
    let ask = prompt(place, title, "Of which valves?")
        .line("Readings stay as typed; every verdict is judged anew.")
        .with(Field::choice(&[(1, "intake"), (2, "exhaust")]));
    pick(ask, given, |digit, rest| {
        let kind = if digit == Some(2) { Kind::Exhaust } else { Kind::Intake };
        let unit = session.state.facts().unit;
        let figure = |what: &str| {
            let bare = unit.word();
            prompt(place, title, format!("{} {what} (bare numbers in {bare}):", kind.word()))
                .with(Field::typed(Typed::Number))
        };
        // Told where it is typed: at the end nobody knows which of them it was.
        let crosses = |now: (Figure, &str), before: &[(Figure, &str)]| {
            let read = |typed: &str| session.state.page_figure(typed).ok();
            let of = |one| read(before.iter().find(|(figure, _)| *figure == one)?.1);
            let now = (now.0, read(now.1)?);
            Some(page::crossed_words(kind, now, crossed(now, of)?, unit) + ": type it again")
        };
        type_in(figure("target"), rest, |target, rest| {
            type_in(figure("least"), rest, |least, rest| {
                let (the_target, the_least) = ((Figure::Target, target), (Figure::Least, least));
                if let Some(words) = crosses(the_least, &[the_target]) {
                    return Step::Refused(words);
                }
                type_in(figure("most"), rest, |most, rest| {
                    let words = crosses((Figure::Most, most), &[the_target, the_least]);
                    if let Some(words) = words {
                        return Step::Refused(words);
                    }
                    let typed = [target, least, most].map(str::to_string);
                    let ask = prompt(place, title, "Source: document, revision, page:");
                    in_words(ask, rest, |source, rest| {
                        let source = source.to_string();
                        reason(
                            place,
                            title,
                            &["newer issue", "other serial range"],
                            rest,
                            |why, _| take(Input::AmendFigures { kind, typed, source, why }),
                        )
                    })
                })
            })
        })
    })
}

/// Profiles on a page, each with a digit.
const PROFILES: usize = 8;
/// The digits of the next page, and of a name or path that is typed.
const ON: u8 = 9;
const BY_NAME: u8 = 0;

/// What is kept as the source of another profile in practice.
const NO_MANUAL: &str = "no manual: practice";

pub(super) fn replace_profile(
    session: &Session,
    place: &str,
    beside: &Beside,
    given: &[String],
) -> Step {
    let title = "Replace the profile";
    let ask = |asked: &str| {
        prompt(place, title, asked).line(
            "Readings stay as typed; those made where it does not show the valve shut are due again.",
        )
    };
    let with = |name: &str, rest: &[String]| {
        let title = format!("{title}: {}", plain(name));
        let name = name.to_string();
        let why = |source: String, rest: &[String]| {
            let usual = ["wrong profile was chosen", "profile corrected"];
            reason(place, &title, &usual, rest, |why, _| Step::ReplaceProfile { name, source, why })
        };
        // No manual is named in practice, nor of another profile.
        if practises(&session.state) {
            return why(NO_MANUAL.into(), rest);
        }
        let ask = prompt(place, &title, "Source: document, revision, page:");
        in_words(ask, rest, |source, rest| why(source.to_string(), rest))
    };
    let by_name = |given: &[String]| {
        type_in(ask("The right profile's name or path:"), given, |name, rest| with(name, rest))
    };
    let in_use = session.state.profile.name.as_str();
    let others: Vec<&str> =
        beside.profiles.iter().map(String::as_str).filter(|name| *name != in_use).collect();
    if others.is_empty() {
        return by_name(given);
    }
    let pages = others.len().div_ceil(PROFILES);
    let turned = given.iter().take_while(|typed| typed.trim() == ON.to_string()).count();
    let turned = if pages > 1 { turned } else { 0 };
    let page = others.chunks(PROFILES).nth(turned % pages).unwrap_or_default();
    let mut choices: Vec<(u8, &str)> = (1..).zip(page.iter().copied()).collect();
    choices.extend((pages > 1).then_some((ON, "more")));
    choices.push((BY_NAME, "by its name or path, typed"));
    let ask = ask("Which is the right one?").with(Field::choice(&choices));
    pick(ask, given.get(turned..).unwrap_or_default(), |digit, rest| {
        let chosen = usize::from(digit.unwrap_or(BY_NAME)).checked_sub(1).and_then(|n| page.get(n));
        match chosen {
            Some(name) => with(name, rest),
            None => by_name(rest),
        }
    })
}

pub(super) fn redate(place: &str, given: &[String]) -> Step {
    let ask = prompt(place, "The day of this service", "The right day, as in 2026-03-14:");
    type_in(ask, given, |day, rest| {
        let day = day.to_string();
        reason(
            place,
            "The day of this service",
            &["the laptop's clock was wrong"],
            rest,
            |why, _| take(Input::Redate { day, why }),
        )
    })
}
