//! Where in the job the session is, and whether the clock beside it can be believed.

use super::part_words::apart_words;
use crate::domain::clock;
use crate::domain::session::{Due, RoundKind, Session, State};

/// Says where in the job the session is: "round 1 of 2, setting · stop 3 of 4".
pub fn place(session: &Session) -> String {
    let place = in_the_job(session);
    if doubtful_clock(session).is_some() { format!("{place} · clock doubtful") } else { place }
}

/// Says why times are not to be believed and what to do about it; nothing where they can be, or
/// where the day was put right.
pub fn doubtful_clock(session: &Session) -> Option<String> {
    let doubts = clock::doubts_of(&session.kept);
    let first = doubts.first().filter(|_| session.state.redated.is_none())?;
    Some(format!("clock doubtful: {first}; is the day of this service wrong? * puts it right"))
}

fn in_the_job(session: &Session) -> String {
    let state = &session.state;
    match state.due() {
        Due::Closed => "closed".into(),
        Due::Away => "called away".into(),
        Due::NewDay
        | Due::Who
        | Due::SourceName(_)
        | Due::PageFigure(..)
        | Due::PageDiffers(_)
        | Due::Leaves
        | Due::Scope
        | Due::NoPlan(_)
        | Due::CountOut(..) => "prepare".into(),
        Due::Caution(..) => {
            let left = state.cautions_due.len();
            format!("make safe · {left} to answer")
        }
        Due::Temperature
        | Due::OutsideTemperature
        | Due::Dry(..)
        | Due::ChangeRod(..)
        | Due::Turn { .. }
        | Due::Rock { .. }
        | Due::Unload(_)
        | Due::Gauge(..)
        | Due::Again(..)
        | Due::Doubted { .. }
        | Due::LeakTest(..)
        | Due::HoldDown(_)
        | Due::Set(..)
        | Due::Trying(_)
        | Due::NutAnswer(..)
        | Due::Threads(..)
        | Due::ThreadsOutside(..)
        | Due::Release(_) => round_words(state),
        Due::PartsList
        | Due::TakeOut(_)
        | Due::PartOut(..)
        | Due::CamsOut(..)
        | Due::TurnThrough(_) => apart_words(state),
        Due::NoFigure(_) | Due::ReasonFor(..) => "before closing up".into(),
        Due::CountIn { .. } | Due::Shortage { .. } | Due::Check(_) => "close up".into(),
        Due::BeforeRunning(..) | Due::RunCaution(_) | Due::RunCheck(_) | Due::RunFault(..) => {
            "run and leak check".into()
        }
        Due::Sign => "sign".into(),
    }
}

fn round_words(state: &State) -> String {
    let (Some(round), Some((stop, stops))) = (state.round(), state.progress()) else {
        return "prepare".into();
    };
    let what = match state.round_kind() {
        Some(RoundKind::Survey) => "survey",
        Some(RoundKind::Setting) => "gauge and set",
        Some(RoundKind::Recheck) => "recheck",
        Some(RoundKind::SecondLook) => "second look",
        Some(RoundKind::Change) => "change push rods",
        Some(RoundKind::AsLeft) => "as left",
        None => "",
    };
    format!("round {} of {}, {what} · stop {stop} of {stops}", round + 1, state.rounds().len())
}
