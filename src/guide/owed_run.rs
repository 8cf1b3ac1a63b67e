//! The question of a run that the service before handed over: what became of it?

use super::form::{pick, prompt, take, told};
use super::prepare::PREPARE;
use super::{Beside, Field, Step};
use crate::domain::entry::Hours;
use crate::domain::plain::plain;
use crate::domain::profile::Adjuster;
use crate::domain::session::{Input, OwedRun, Session, handed_on, remark_in_short};

/// Where an engine leaks that had its covers off (common practice, no source); under some, push rods.
const PLACES: [&str; 4] = ["a valve cover", "a plug", "an oil or fuel line", "a push-rod tube"];

/// Asks whether it was run since, and what was seen then.
pub(super) fn asked(session: &Session, beside: &Beside, seq: u64, given: &[String]) -> Step {
    let title = "The service before was not run";
    let mut remarks = session.state.remarks.iter();
    let remark = remarks.find(|(of, _)| *of == seq).map(|(_, remark)| remark);
    let short = remark.map(|remark| plain(&remark_in_short(&remark.text)));
    let from = remark.and_then(|remark| Some(handed_on(&remark.text)?.from));
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
        _ => not_yet(went_up(session, beside, from), rest),
    })
}

/// Takes that it was not run yet; where the counter went up since, that is asked once.
fn not_yet(went_up: Option<(Hours, Hours)>, given: &[String]) -> Step {
    let Some((more, then)) = went_up else { return take(Input::OwedRun(OwedRun::NotYet)) };
    let title = format!("The counter went up by {more} h: it has run");
    let ask = prompt(PREPARE, title, "What is so?")
        .also_large("IT HAS RUN")
        .line(format!("After the service that handed its run over it stood at {then} h."))
        .with(Field::choice(&[
            (1, "looked at, or it leaked: say so"),
            (2, "not leak-checked: our run answers"),
            (3, "not run: the counter was told wrong"),
        ]));
    pick(ask, given, |digit, _| match digit {
        Some(1) => Step::Again,
        Some(2) => take(Input::OwedRun(OwedRun::NotChecked(more))),
        _ => take(Input::OwedRun(OwedRun::NotYet)),
    })
}

/// Returns by how much the counter went up since the service that handed its run over, else since the last
/// one before, and where it stood then, over all counters.
fn went_up(session: &Session, beside: &Beside, from: Option<&str>) -> Option<(Hours, Hours)> {
    let earlier = &beside.earlier;
    let named = earlier.services.iter().rfind(|one| Some(one.name.as_str()) == from);
    let then = named.or(earlier.services.last())?.hours?;
    let now = earlier.corrected.or(session.state.begin.hours)?.plus(earlier.offset);
    (now > then).then(|| (now.less(then), then))
}
