//! Remarks of the mechanic: on a cylinder or the whole engine, by the six ticks or in words.

use super::form::{in_words, pick, prompt, take, told};
use super::which_valve::cylinder;
use super::{Field, Step, Typed, usual};
use crate::domain::entry::{Remark, Tick};
use crate::domain::session::{Input, Session};
use crate::domain::valve::Cylinder;

pub(super) fn remark(session: &Session, place: &str, given: &[String]) -> Step {
    let Some(seq) = session.state.run_to_answer() else { return any_remark(place, given) };
    let ask = prompt(place, "Its run was handed over", "What is the remark about?")
        .also_large("HAS IT RUN?")
        .with(Field::choice(&[
            (1, "it was run and leak-checked: say what was seen, and by whom"),
            (2, "something else: the run stays open"),
        ]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => {
            let ask = prompt(place, "The run that was handed over", "What was seen, and by whom?");
            let by = session.state.worker.clone().unwrap_or_default();
            let usual = [format!("run and looked at by {by}: dry")];
            usual::told_of(ask, "What was seen, and by whom?", &usual, rest, |text, _| {
                take(Input::SettleRemark { seq, text })
            })
        }
        _ => any_remark(place, rest),
    })
}

fn any_remark(place: &str, given: &[String]) -> Step {
    let ask = prompt(place, "Remark", "About which cylinder? (0 = the whole engine)")
        .with(Field::typed(Typed::Count));
    cylinder(ask, given, |cylinder, rest| {
        let about = (cylinder != 0).then_some(cylinder);
        let kind = prompt(place, "Remark", "What kind?").with(Field::choice(&[
            (1, "looked at pad, bush, spring, rod, oil, gasket: all six good"),
            (2, "one of the six is not good"),
            (3, "in words"),
            (4, "in words, to be dealt with before running"),
        ]));
        pick(kind, rest, |digit, rest| match digit {
            Some(1) => take(Input::Remark(Remark {
                cylinder: about,
                good: TICKS.map(|(t, _)| t).to_vec(),
                ..Remark::default()
            })),
            Some(2) => bad_tick(place, about, rest),
            digit => {
                let before_running = digit == Some(4);
                in_words(prompt(place, "Remark", "In words:"), rest, |text, _| {
                    let text = text.to_string();
                    take(Input::Remark(Remark {
                        cylinder: about,
                        text,
                        before_running,
                        ..Remark::default()
                    }))
                })
            }
        })
    })
}

/// The six places looked at on each cylinder, with their words.
pub const TICKS: [(Tick, &str); 6] = [
    (Tick::Pad, "pad"),
    (Tick::Bush, "bush"),
    (Tick::Spring, "spring"),
    (Tick::Rod, "rod"),
    (Tick::Oil, "oil"),
    (Tick::Gasket, "gasket"),
];

fn bad_tick(place: &str, cylinder: Option<Cylinder>, given: &[String]) -> Step {
    let choices: Vec<(u8, &str)> = (1..).zip(TICKS.iter().map(|&(_, word)| word)).collect();
    let ask = prompt(place, "Not good", "Which of the six?").with(Field::choice(&choices));
    pick(ask, given, |digit, rest| {
        let bad = usize::from(digit.unwrap_or(1)).checked_sub(1).and_then(|n| TICKS.get(n));
        let bad: Vec<Tick> = bad.map(|&(tick, _)| tick).into_iter().collect();
        let ask = prompt(place, "Not good", "What is seen?");
        told(ask, "What is seen?", usual::NOT_GOOD, rest, |text, rest| {
            let ask = prompt(place, "Not good", "Must it be dealt with before running?")
                .with(Field::choice(&[(1, "yes, before running"), (0, "no, at the next service")]));
            pick(ask, rest, |digit, _| {
                let before_running = digit == Some(1);
                take(Input::Remark(Remark {
                    cylinder,
                    bad,
                    text,
                    before_running,
                    ..Remark::default()
                }))
            })
        })
    })
}
