//! The questions of push rods: what comes out where a valve is out of its band, which one goes in.

use super::form::{capital, pick, prompt, reason, take, type_in};
use super::left_so::left_whys;
use super::lifters::over_lifter;
use super::named::{valve_name, valve_short};
use super::part_sizes::serves;
use super::part_words::{rod_lines, rod_name, rod_words, settle_words};
use super::parts::{place_of_valve, size_of_out, taken_out, told_anew};
use super::rounds::{gauge_prompt, out_of_band, place_of, reading_input};
use super::{Field, Step, Typed};
use crate::domain::advice::Choice;
use crate::domain::entry::{Part, PartKind, Step as ReadingStep};
use crate::domain::session::{Input, Session};
use crate::domain::units::Length;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;

pub(super) fn change_rod(
    session: &Session,
    place: &str,
    valve: Valve,
    verdict: Verdict,
    given: &[String],
) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let ask = out_of_band(state, place, (valve, verdict), place_of_valve(state, valve))
        .lines(settle_words(state, verdict).map(|words| capital(&words) + "."));
    let choices = [
        (1, "its push rod is out"),
        (2, "gauge it once more first, bled again"),
        (3, "leave it, and say why"),
    ];
    // On a rough look nothing is changed.
    let ask = if state.is_rough_look() {
        ask.with(Field::choice(&choices[1..]))
    } else {
        ask.lines(rod_lines(state, valve))
            .line("Not here yet? Nothing is open: call away, and go on when they are.")
            .with(Field::choice(&choices).kept_by_enter())
    };
    pick(ask, given, |digit, rest| match digit {
        Some(2) => {
            let ask = gauge_prompt(session, place, valve, ReadingStep::Recheck);
            over_lifter(session, place, valve, rest, |rest| {
                reading_input(session, ask, valve, rest)
            })
        }
        Some(3) => reason(
            place,
            &format!("{name} is left {}", verdict.word()),
            &left_whys(&session.state),
            rest,
            |why, _| take(Input::LeaveAsIs { valve, why }),
        ),
        // Out from here on, whatever comes between: its size is asked next.
        _ => take(taken_out(valve, PartKind::Pushrod)),
    })
}

/// Asks for the length of a push rod that is out.
pub(super) fn length_out(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    rod_out(session, place, valve, given, |marked| {
        take(size_of_out(valve, PartKind::Pushrod, marked, String::new()))
    })
}

fn rod_out(
    session: &Session,
    place: &str,
    valve: Valve,
    given: &[String],
    then: impl FnOnce(String) -> Step,
) -> Step {
    let state = &session.state;
    let known = match state.fitted_size(valve) {
        Some(size) => rod_name(state, size),
        None => "not known".into(),
    };
    let ask = prompt(
        place,
        format!("The push rod that came out of {}", valve_name(state, valve)),
        "Its difference from standard, as in +0.030 in, or 0:",
    )
    .big(valve_short(state, valve), place_of(state, valve))
    .with(Field::typed(Typed::Text).or_enter(known));
    type_in(ask, given, |marked, _| then(marked.into()))
}

pub(super) fn rod_in(session: &Session, place: &str, valve: Valve, given: &[String]) -> Step {
    let state = &session.state;
    let name = valve_name(state, valve);
    let (rods, fit) = state.rods(valve);
    let shown: Vec<Choice> = rods.into_iter().take(8).collect();
    let labels: Vec<String> = shown
        .iter()
        .map(|choice| rod_words(state, choice).unwrap_or_else(|| rod_name(state, choice.length)))
        .collect();
    let mut choices: Vec<(u8, &str)> = (1..).zip(labels.iter().map(String::as_str)).collect();
    // One line for both: in the smallest window there is room for no more.
    choices.push((9, "another, or the same one back"));
    // A size alone would not say whose it is.
    let next = fit.map_or_else(|| "ROD OUT".into(), |fit| rod_name(state, fit).to_uppercase());
    let ask = prompt(
        place,
        format!("Fit the push rod of {name}"),
        format!("Which rod went into {name}?"),
    )
    .big(valve_short(state, valve), place_of(state, valve))
    .then(Some(next))
    .lines(fit.map(|fit| format!("Most room: {}.", rod_name(state, fit))))
    .line("Seated at both ends. Do not turn the crank: bleed the lifter again here.")
    .with(Field::choice(&choices).kept_by_enter());
    let put_in = |marked: String| {
        let measured = String::new();
        take(Input::PartIn { valve, part: PartKind::Pushrod, marked, measured })
    };
    pick(ask, given, |digit, rest| {
        let chosen = usize::from(digit.unwrap_or(9)).checked_sub(1).and_then(|n| shown.get(n));
        match chosen {
            Some(choice) => {
                let size = choice.length;
                let about = (place, valve, rod_name(state, size));
                rod_serves(session, about, Some(size), rest, || {
                    put_in(size.text(state.facts().unit))
                })
            }
            None => {
                let ask = prompt(
                    place,
                    format!("The push rod that went into {name}"),
                    "Its difference from standard, as in +0.030 in, or 0:",
                )
                .big(valve_short(state, valve), place_of(state, valve))
                .with(Field::typed(Typed::Text).or_enter("the same one went back"));
                type_in(ask, rest, |marked, left| {
                    if marked.is_empty() {
                        return put_in(Part::SAME_ONE.into());
                    }
                    let size = state.rod_size(marked).ok();
                    let name = size.map_or_else(String::new, |size| rod_name(state, size));
                    let about = (place, valve, name);
                    rod_serves(session, about, size, left, || put_in(marked.into()))
                })
            }
        }
    })
}

fn rod_serves(
    session: &Session,
    (place, valve, name): (&str, Valve, String),
    size: Option<Length>,
    given: &[String],
    then: impl FnOnce() -> Step,
) -> Step {
    let about = (place, valve, PartKind::Pushrod, &*capital(&name));
    serves(session, about, size, given, then, |rest| {
        rod_out(session, place, valve, rest, |marked| {
            told_anew(valve, PartKind::Pushrod, marked, String::new())
        })
    })
}
