//! Which answers may be gone on with after a break, and which are asked anew: whatever speaks of the crank,
//! a nut, a valve or a caution is answered by what is seen then. No wildcard: a new question says which.
#![deny(clippy::wildcard_enum_match_arm)]

use super::Command;
use crate::domain::session::Due;

/// Tells that of what is due.
pub(super) fn due(due: &Due) -> bool {
    match due {
        Due::Who
        | Due::SourceName(_)
        | Due::PageFigure(..)
        | Due::PageDiffers(_)
        | Due::Leaves
        | Due::Scope
        | Due::NoPlan(_)
        | Due::CountOut(..)
        | Due::PartsList
        | Due::TakeOut(_)
        | Due::ChangeRod(..)
        | Due::NoFigure(_)
        | Due::ReasonFor(..)
        | Due::CountIn { .. }
        | Due::Shortage { .. }
        | Due::BeforeRunning(..)
        | Due::OwedRun(_)
        | Due::Sign => true,
        Due::Closed
        | Due::Away
        | Due::NewDay
        | Due::Caution(..)
        | Due::Temperature
        | Due::OutsideTemperature
        | Due::TurnThrough(_)
        | Due::Look(..)
        | Due::Dry(..)
        | Due::PartOut(..)
        | Due::CamsOut(..)
        | Due::Turn { .. }
        | Due::Rock { .. }
        | Due::Unload(_)
        | Due::Gauge(..)
        | Due::Again(..)
        | Due::Doubted { .. }
        | Due::LeakTest(..)
        | Due::Felt(..)
        | Due::HoldDown(_)
        | Due::Set(..)
        | Due::Trying(_)
        | Due::NutAnswer(..)
        | Due::Threads(..)
        | Due::ThreadsOutside(..)
        | Due::Release(_)
        | Due::Check(_)
        | Due::PromisedTest { .. }
        | Due::RunCaution(_)
        | Due::RunCheck(_)
        | Due::RunFault(..) => false,
    }
}

/// Tells that of a command.
pub(super) fn command(command: Command) -> bool {
    match command {
        Command::Remark
        | Command::SkipValve
        | Command::SkipRound
        | Command::Correct
        | Command::Who
        | Command::Paper
        | Command::Adopt
        | Command::Surely
        | Command::Work
        | Command::Amend
        | Command::ReplaceProfile
        | Command::Leaves
        | Command::PartOut
        | Command::PartIn
        | Command::Redate => true,
        Command::List(_)
        | Command::SeeOverlap
        | Command::SeeLoose
        | Command::Lost
        | Command::Rest
        | Command::Tape
        | Command::AsFoundLost
        | Command::Away
        | Command::SetAnyway
        | Command::AgainstPlan
        | Command::NeverTouched
        | Command::FoundSlack
        | Command::ByLeaf
        | Command::Aimed
        | Command::CloseUnsigned
        | Command::TakeBack => false,
    }
}
