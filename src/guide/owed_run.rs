//! The question of a run that the service before handed over: what became of it?

use super::form::{pick, prompt, take, told};
use super::prepare::PREPARE;
use super::{Field, Step};
use crate::domain::plain::plain;
use crate::domain::profile::Adjuster;
use crate::domain::session::{Input, OwedRun, Session, remark_in_short};

/// Where an engine leaks that had its covers off (common practice, no source); under some, push rods.
const PLACES: [&str; 4] = ["a valve cover", "a plug", "an oil or fuel line", "a push-rod tube"];

/// Asks whether it was run since, and what was seen then.
pub(super) fn asked(session: &Session, seq: u64, given: &[String]) -> Step {
    let title = "The service before was not run";
    let mut remarks = session.state.remarks.iter();
    let remark = remarks.find(|(of, _)| *of == seq).map(|(_, remark)| remark);
    let short = remark.map(|remark| plain(&remark_in_short(&remark.text)));
    let ask = prompt(PREPARE, title, "What became of its run and leak check?")
        .also_large("HAS IT RUN?")
        .lines(short)
        .with(Field::choice(&[
            (1, "run and looked at: dry"),
            (2, "run, and it leaked: say where"),
            (3, "not run yet: the run of this service answers for it"),
        ]));
    pick(ask, given, |digit, rest| match digit {
        Some(1) => take(Input::OwedRun(OwedRun::Dry)),
        Some(2) => {
            let rods = !matches!(session.state.facts().adjuster, Adjuster::Shim { .. });
            let places = PLACES.get(..if rods { PLACES.len() } else { PLACES.len() - 1 });
            let ask = prompt(PREPARE, title, "Where did it leak?").also_large("WHERE");
            told(ask, "Where, and how much?", places.unwrap_or(&PLACES), rest, |place, _| {
                take(Input::OwedRun(OwedRun::Leaked(place)))
            })
        }
        _ => take(Input::OwedRun(OwedRun::NotYet)),
    })
}
