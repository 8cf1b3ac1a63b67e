//! Why a command cannot be given now, in a few words. No wildcard: a new command has none until it has
//! a line here.
#![deny(clippy::wildcard_enum_match_arm)]

use super::commands::{has_its_valve, is_offered, suits};
use super::turning::clockwise_as_seen;
use super::{Beside, Command, status, taken, versions};
use crate::domain::session::{PROVE_FIRST, Session, State};

const GAUGING: &str = "only while valves are gauged";

/// Says why a command cannot be given now; `None` where it can.
pub fn why(session: &Session, command: Command, beside: &Beside) -> Option<&'static str> {
    let state = &session.state;
    if command == Command::Adopt && !versions::any(session, beside) {
        return Some("this session has no other version");
    }
    if is_offered(session, command) {
        return None;
    }
    if state.sealed.is_some() {
        return Some("this session is closed, only remarks can be added");
    }
    if !suits(session, command) {
        return Some("this engine has no screws to set");
    }
    let in_rounds = status::in_rounds(state);
    if in_rounds
        && let Some(words) = taken::refusal(session, command).as_ref().and_then(taken::in_short)
    {
        return Some(words);
    }
    Some(match command {
        Command::Correct | Command::Surely => "no reading is kept yet",
        Command::ByLeaf => "only while a valve is asked for",
        Command::Aimed => "only while a screw is being set",
        Command::Leaves => "no leaves are in hand yet",
        Command::PartIn => "no part is out",
        Command::SetAnyway if state.may_reopen(&state.due()) => "nothing is set in this service",
        Command::NeverTouched if !has_its_valve(session, command) => of_nuts(state),
        _ if !in_rounds => GAUGING,
        _ if state.apart() => "the engine is apart: what is out goes in first",
        Command::SeeOverlap
        | Command::SeeLoose
        | Command::Lost
        | Command::Rest
        | Command::Tape
        | Command::Remark
        | Command::SkipValve
        | Command::AsFoundLost
        | Command::Away
        | Command::Who
        | Command::SetAnyway
        | Command::AgainstPlan
        | Command::Paper
        | Command::Adopt
        | Command::NeverTouched
        | Command::FoundSlack
        | Command::Work
        | Command::Amend
        | Command::ReplaceProfile
        | Command::PartOut
        | Command::SkipRound
        | Command::Redate
        | Command::CloseUnsigned
        | Command::TakeBack
        | Command::List(_) => in_the_rounds(session, command),
    })
}

/// Says why of no nut it can be said that it was never touched, and what to do instead.
pub(super) fn of_nuts(state: &State) -> &'static str {
    let slack = state.facts().valves().into_iter().filter(|valve| state.nut_slack(*valve));
    match slack.map(|valve| state.tried_since_slack(valve)).max() {
        Some(true) => "it was tried since: lock its nut and gauge",
        Some(false) => "its reading was withdrawn: lock its nut and gauge",
        None => "no nut is slack",
    }
}

/// The same of a command that has its time in the rounds.
fn in_the_rounds(session: &Session, command: Command) -> &'static str {
    let state = &session.state;
    match command {
        Command::Rest if state.facts().stops.is_some() => "the manual's own stops are kept",
        Command::Rest => "it is not known where the crank stands",
        Command::Tape if clockwise_as_seen(state.facts()).is_none() => {
            "this profile does not say how the crank turns"
        }
        Command::Tape => "the crank's place is not proven yet",
        Command::AgainstPlan if state.crank_unproven() => PROVE_FIRST,
        Command::AsFoundLost if !has_its_valve(session, command) => {
            "only while a valve is asked for as found"
        }
        Command::SetAnyway => "no valve that is read can be set where the crank is",
        Command::SeeLoose if state.facts().stops.is_some() => {
            "the manual's table tells the places: find one of them"
        }
        Command::SeeLoose if state.may_turn().is_ok() => {
            "no cylinder can be told by it here: say which is at overlap"
        }
        Command::SeeOverlap if state.may_turn().is_ok() => "with its nuts slack none shows it",
        Command::Paper if state.may_turn().is_ok() => {
            "what is looked at was opened since: it is gauged"
        }
        Command::SeeOverlap | Command::SeeLoose | Command::Lost | Command::Paper
            if state.may_turn().is_err() =>
        {
            "what is open comes first"
        }
        Command::SeeOverlap
        | Command::SeeLoose
        | Command::Lost
        | Command::SkipValve
        | Command::AsFoundLost
        | Command::AgainstPlan
        | Command::Paper
        | Command::NeverTouched
        | Command::FoundSlack
        | Command::SkipRound
        | Command::PartOut
        | Command::PartIn
        | Command::Correct
        | Command::Surely
        | Command::ByLeaf
        | Command::Aimed
        | Command::Leaves
        | Command::List(_)
        | Command::Remark
        | Command::Away
        | Command::Who
        | Command::Work
        | Command::Amend
        | Command::ReplaceProfile
        | Command::Redate
        | Command::CloseUnsigned
        | Command::TakeBack
        | Command::Adopt => GAUGING,
    }
}
