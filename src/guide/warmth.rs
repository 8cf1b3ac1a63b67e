//! How warm the engine is: the question before each round, and when a warm one will be cool enough.
//!
//! The time is always an estimate, made from the temperatures that were kept and when.

use super::form::{pick, prompt, reason, take, type_in};
use super::{Big, Field, Prompt, Step, Typed};
use crate::domain::cooling::{self, NoEstimate, Reading};
use crate::domain::entry::{Entry, Moment};
use crate::domain::session::{Due, Input, MANUAL_ALLOWS, ROUGH_LOOK, Session};
use crate::domain::units::{Length, Temperature, TemperatureUnit};

/// Heads outside this, thousandths of a degree Celsius, are asked about: a slip of point or unit.
const LIKELY: std::ops::RangeInclusive<i32> = -20_000..=150_000;
/// The same of the air.
const LIKELY_AIR: std::ops::RangeInclusive<i32> = -50_000..=60_000;
/// Temperatures further back than this, minutes, belong to another cooling down.
const SAME_COOLING_MIN: i64 = 720;

/// Minutes after which a second temperature tells something, where no time can be told yet: what the
/// question itself advises.
const AGAIN_MIN: i64 = 10;

/// The wait for an engine that is too warm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wait {
    /// When the last temperature was read.
    pub since: Moment,
    /// When to measure again; `None` where nothing can be told.
    pub again: Option<Moment>,
    /// Whether that was estimated from how it cools, and is no mere advice.
    pub estimated: bool,
}

/// Returns the wait that a session is in: what is asked is what now of an engine that is too warm.
pub fn wait(session: &Session) -> Option<Wait> {
    if session.state.due() != Due::OutsideTemperature {
        return None;
    }
    let when = &session.state.facts().gauge_when;
    let (last, _) = readings(session).pop()?;
    let limit = when.no_warmer_than.filter(|limit| !when.hot && last.head.0 > limit.0)?;
    let soon = Moment { unix_ms: last.at.unix_ms + AGAIN_MIN * 60_000, ..last.at };
    let forecast = forecast(session, limit);
    let estimated = matches!(forecast, Some(Ok(_)));
    let again = match forecast {
        Some(Ok(estimate)) => Some(estimate.at),
        Some(Err(NoEstimate::TooSoon)) | None => Some(soon),
        Some(Err(NoEstimate::NotCooling | NoEstimate::AirTooWarm | NoEstimate::TooLong)) => None,
    };
    Some(Wait { since: last.at, again, estimated })
}

impl Wait {
    /// Tells whether it is time to measure again.
    pub fn is_over(&self, now: Moment) -> bool {
        self.again.is_some_and(|again| now.unix_ms >= again.unix_ms)
    }

    /// Returns the milliseconds until what is told changes: at the next whole minute, or when it is
    /// time to measure; never less than one.
    pub fn changes_in_ms(&self, now: Moment) -> u64 {
        let waited = now.unix_ms - self.since.unix_ms;
        let minute = 60_000 - waited.rem_euclid(60_000);
        let over = self.again.map(|again| again.unix_ms - now.unix_ms).filter(|left| *left > 0);
        u64::try_from(over.map_or(minute, |left| left.min(minute))).unwrap_or(1).max(1)
    }

    /// Shows a question with the minutes waited and when to measure again.
    pub fn shown_in(&self, mut prompt: Prompt, now: Moment) -> Prompt {
        let waited = (now.unix_ms - self.since.unix_ms).max(0) / 60_000;
        let left =
            self.again.map(|again| (again.unix_ms - now.unix_ms + 59_999).div_euclid(60_000));
        let line = match (self.again, left) {
            (Some(again), Some(left)) if left > 0 => {
                let about = if self.estimated { " by estimate" } else { "" };
                let at = cooling::clock(again);
                let caption = format!("to wait{about}, then measure again: {at}");
                let text = format!("{left} MIN");
                prompt.big = Some(Box::new(Big { text, caption, ..Big::default() }));
                format!("Measure again at {at}. Waited {waited} min since the last temperature.")
            }
            (Some(_), _) => {
                let text = "MEASURE AGAIN".into();
                prompt.big = Some(Box::new(Big { text, gives_way: true, ..Big::default() }));
                format!("Waited {waited} min. It is time to measure again.")
            }
            (None, _) => format!("Waited {waited} min since the last temperature."),
        };
        prompt.lines.insert(0, line);
        prompt
    }
}

pub(super) fn temperature(session: &Session, place: &str, given: &[String]) -> Step {
    let when = &session.state.facts().gauge_when;
    let limit = format!("Gauged {}. The manual rules.", when.words());
    let ask = prompt(place, "How warm is the engine?", "Cylinder-head temperature:")
        .also_large("HOW WARM")
        .line("Never gauge an engine that is still cooling.")
        .line(limit)
        .line("18 is °C; Fahrenheit with its letter: 65 F.")
        .with(Field::typed(Typed::Number));
    type_in(ask, given, |typed, rest| {
        let head = with_unit(typed);
        let Ok(degrees) = Temperature::parse_or(&head, TemperatureUnit::Celsius) else {
            // The session says what must stand there.
            return take(Input::Temperature { head, air: String::new() });
        };
        if LIKELY.contains(&degrees.0) && !is_one_digit(typed) {
            return air(session, place, head, degrees, rest);
        }
        sure(place, "A head", degrees, rest, |rest| air(session, place, head, degrees, rest))
    })
}

/// A digit of its own may be a stray key, or the first of two.
fn is_one_digit(typed: &str) -> bool {
    typed.trim_start_matches(['-', '+']).len() == 1
}

/// A bare number is °C: the letter is not on a number pad.
fn with_unit(typed: &str) -> String {
    let bare = typed.chars().all(|letter| letter.is_ascii_digit() || "-.,".contains(letter));
    if bare && !typed.is_empty() { format!("{typed} °C") } else { typed.into() }
}

/// Asks for the air's temperature where a cold engine is too warm: it tells how long that takes.
fn air(
    session: &Session,
    place: &str,
    head: String,
    degrees: Temperature,
    given: &[String],
) -> Step {
    let when = &session.state.facts().gauge_when;
    let too_warm = !when.hot && when.no_warmer_than.is_some_and(|limit| degrees.0 > limit.0);
    if !too_warm {
        return take(Input::Temperature { head, air: String::new() });
    }
    let known = air_known(session);
    let enter = known.map_or("not known".into(), |air| format!("as before, {}", air.both()));
    let ask = prompt(place, "Too warm", "Temperature of the air:")
        .also_large("AIR")
        .line(format!("The head is at {}.", degrees.both()))
        .line("The air's temperature tells how long it takes to cool.")
        .with(Field::typed(Typed::Number).or_enter(enter));
    type_in(ask, given, |typed, rest| {
        let before = || known.map_or_else(String::new, |air| air.text(TemperatureUnit::Celsius));
        let air = if typed.is_empty() { before() } else { with_unit(typed) };
        // A digit too many makes an air that cools nothing.
        let read = Temperature::parse_or(&air, TemperatureUnit::Celsius).ok();
        let odd = read.filter(|air| !LIKELY_AIR.contains(&air.0) || air.0 > degrees.0);
        let Some(odd) = odd else { return take(Input::Temperature { head, air }) };
        sure(place, "Air", odd, rest, |_| take(Input::Temperature { head, air }))
    })
}

/// Asks once whether a temperature is right that is hardly one.
fn sure(
    place: &str,
    what: &str,
    degrees: Temperature,
    given: &[String],
    then: impl FnOnce(&[String]) -> Step,
) -> Step {
    let ask = prompt(place, format!("{what} at {}?", degrees.both()), "Is it right?")
        .also_large(degrees.text(TemperatureUnit::Celsius))
        .with(Field::choice(&[(1, "yes, as typed"), (2, "no: type it again")]));
    pick(ask, given, |digit, rest| if digit == Some(1) { then(rest) } else { Step::Retype(2) })
}

pub(super) fn outside(session: &Session, place: &str, given: &[String]) -> Step {
    let head = session.state.condition.as_ref().and_then(|condition| condition.head);
    let words = head.map_or_else(String::new, |head| head.both());
    let large = head.map_or_else(String::new, |head| head.text(TemperatureUnit::Celsius));
    let ask = prompt(place, "Outside the temperature limit", "What now?")
        .also_large(large)
        .line(format!("The head is at {words}. Readings would not mean what the limits mean."))
        .lines(head.map(|head| cooling_words(session, head)).unwrap_or_default())
        .with(Field::choice(&[
            (1, "it has changed: new temperature"),
            (2, "go on all the same, with a reason on the record"),
        ]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => temperature(session, place, rest),
        _ => reason(
            place,
            "Outside the temperature limit",
            &[MANUAL_ALLOWS, ROUGH_LOOK],
            rest,
            |why, _| take(Input::AgainstLimit { why }),
        ),
    })
}

/// The temperatures kept in this session, oldest first.
fn readings(session: &Session) -> Vec<(Reading, Option<Temperature>)> {
    let kept = session.kept.iter().filter(|kept| !session.is_void(kept.seq));
    kept.filter_map(|kept| {
        let Entry::Condition(condition) = &kept.entry else { return None };
        Some((Reading { at: kept.at, head: condition.head? }, condition.air))
    })
    .collect()
}

fn air_known(session: &Session) -> Option<Temperature> {
    readings(session).into_iter().rev().find_map(|(_, air)| air)
}

/// Says when a cold engine that is too warm will be cool enough, or what is needed to tell.
fn cooling_words(session: &Session, head: Temperature) -> Vec<String> {
    let when = &session.state.facts().gauge_when;
    let Some(limit) = when.no_warmer_than.filter(|limit| !when.hot && head.0 > limit.0) else {
        return Vec::new();
    };
    let over = f64::from(head.0 - limit.0) / 1000.0;
    let worth = Length::from_nm((cooling::worth_mm(over) * 1e6).round() as i64);
    let mut lines = Vec::new();
    if worth >= Length::from_um(1) {
        let unit = session.state.facts().unit;
        lines.push(format!("So much warmth can be worth {} of clearance.", worth.both(unit)));
    }
    lines.push(match forecast(session, limit) {
        Some(Ok(estimate)) => format!(
            "Estimate: {} at about {}. Measure again before you begin.",
            limit.both(),
            cooling::clock(estimate.at)
        ),
        Some(Err(why)) => format!("No time can be told yet: {}.", why.words()),
        None => "Measured again in ten minutes or more, air too: then a time can be told.".into(),
    });
    lines
}

/// Estimates from the last temperature and the first one of the same cooling down; `None` where
/// there are no two, or the air's is not known.
fn forecast(
    session: &Session,
    limit: Temperature,
) -> Option<Result<cooling::Estimate, NoEstimate>> {
    let all = readings(session);
    let (last, earlier) = all.split_last()?;
    let second = last.0;
    let since = second.at.unix_ms - SAME_COOLING_MIN * 60_000;
    let (first, _) = earlier.iter().find(|(first, _)| first.at.unix_ms >= since)?;
    Some(cooling::estimate(*first, second, air_known(session)?, limit))
}
