//! Whether a command would be taken now, asked of the session itself: what stands in the list as possible is
//! not refused once it is chosen.

use super::Command;
use crate::domain::entry::Begin;
use crate::domain::session::{Input, Refusal, Session};
use crate::domain::valve::{Cylinder, Valve};

/// Why a command would be refused now, whatever is answered to its questions; `None` where it is taken.
#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "of the others nothing is asked that is refused"
)]
pub(super) fn refusal(session: &Session, command: Command) -> Option<Refusal> {
    let facts = session.state.facts();
    let cylinders = || facts.firing_order.iter().copied();
    let valves = || facts.valves().into_iter();
    let why = || "-".to_owned();
    let of_cylinders = |input: fn(Cylinder) -> Input| any_of(session, cylinders().map(input));
    match command {
        Command::SeeOverlap => {
            of_cylinders(Input::SeeOverlap).and_then(|_| of_cylinders(Input::TurnedRoundTo))
        }
        Command::SeeLoose => of_cylinders(Input::SeeLoose),
        Command::Lost => any_of(session, [Input::Lost]),
        Command::Tape => any_of(session, [Input::Tape("12".into())]),
        Command::Rest => any_of(session, ways()),
        Command::SkipRound => any_of(session, [Input::SkipRound { why: why() }]),
        Command::AsFoundLost => any_of(session, [Input::AsFoundLost { why: why() }]),
        Command::SkipValve => {
            any_of(session, valves().map(|valve| Input::SkipValve { valve, why: why() }))
        }
        Command::FoundSlack => any_of(session, valves().map(Input::NutFoundSlack)),
        Command::SetAnyway if session.state.may_reopen(&session.state.due()) => {
            any_of(session, valves().map(Input::OpenSet))
        }
        Command::AgainstPlan => elsewhere(session, |_| true),
        Command::Paper => elsewhere(session, |valve| session.state.takes_paper(valve)),
        _ => None,
    }
}

/// Why none of these inputs is taken; `None` where one is.
fn any_of(session: &Session, inputs: impl IntoIterator<Item = Input>) -> Option<Refusal> {
    let mut why = Refusal::NotNow;
    for input in inputs {
        match session.decide(&input) {
            Ok(_) => return None,
            Err(refusal) => why = refusal,
        }
    }
    Some(why)
}

/// Why no valve of these can be gauged but by the plan.
fn elsewhere(session: &Session, of: impl Fn(Valve) -> bool) -> Option<Refusal> {
    let state = &session.state;
    let mut why = Refusal::NotNow;
    for valve in state.facts().valves().into_iter().filter(|&valve| of(valve)) {
        match state.gauged_elsewhere(valve) {
            Ok(()) => return None,
            Err(refusal) => why = refusal,
        }
    }
    Some(why)
}

/// What is left of the round, planned anew in each way.
fn ways() -> impl Iterator<Item = Input> {
    let way = |(few, less): (bool, bool)| {
        let (few_stops, less_walking) = (Some(few), Some(less));
        let begin = Begin { few_stops, less_walking, rest: true, ..Begin::default() };
        Input::Begin(Box::new(begin))
    };
    [(false, false), (true, false), (false, true), (true, true)].into_iter().map(way)
}

/// Says in a few words why that is so; `None` where the words are the command's own.
#[expect(clippy::wildcard_enum_match_arm, reason = "of the others the command itself knows more")]
pub(super) fn in_short(refusal: &Refusal) -> Option<&'static str> {
    match refusal {
        Refusal::Unloaded(_) => Some(HELD_OPEN),
        Refusal::NutSlack(_) => Some("a nut is slack: it is locked and gauged first"),
        _ => None,
    }
}

const HELD_OPEN: &str = "a valve is held open: it is let go first";
