//! Which help belongs to which question. No wildcard: a new question has no help until it has a line here.
#![deny(clippy::wildcard_enum_match_arm)]

use super::Topic;
use super::beside as b;
use super::closing as c;
use super::gauging as g;
use super::parts as p;
use super::prepare as a;
use crate::domain::entry::PartKind;
use crate::domain::session::Due;
use crate::guide::Command;

/// Returns the help on what a session asks.
pub fn of_due(due: &Due) -> &'static Topic {
    match due {
        Due::Closed => &c::CLOSED,
        Due::Away => &c::AWAY,
        Due::NewDay => &a::DAY,
        Due::Who => &a::WHO,
        Due::OwedRun(_) => &a::OWED_RUN,
        Due::SourceName(_) => &a::MANUAL,
        Due::PageFigure(..) => &a::PAGE,
        Due::PageDiffers(_) => &a::DIFFERENCE,
        Due::Caution(..) => &a::CAUTIONS,
        Due::Temperature => &a::TEMPERATURE,
        Due::OutsideTemperature => &a::WARM,
        Due::Leaves => &a::LEAVES,
        Due::Scope => &a::SCOPE,
        Due::NoPlan(_) => &a::NO_WAY,
        Due::CountOut(..) => &a::COUNT_OUT,
        Due::PartsList => &p::PARTS_LIST,
        Due::TakeOut(_) => &p::TAKE_OUT,
        Due::TurnThrough(_) | Due::Felt(..) => &p::TURN_THROUGH,
        Due::Dry(..) => &p::DRY_LIFTER,
        Due::ChangeRod(..) => &p::CHANGE_ROD,
        Due::PartOut(_, PartKind::Shim | PartKind::Pushrod | PartKind::Rocker) => &p::FIT,
        Due::PartOut(_, PartKind::Cam) | Due::CamsOut(..) => &p::CAMS,
        Due::Turn { .. } => &g::TURN,
        Due::Rock { .. } => &g::ROCKING,
        Due::Unload(_) => &g::UNLOAD,
        Due::Gauge(..) => &g::GAUGE,
        Due::Again(..) => &g::AGAIN,
        Due::Doubted { .. } => &g::DOUBT,
        Due::LeakTest(..) => &g::LEAK,
        Due::HoldDown(_) => &g::HOLD_DOWN,
        Due::Set(..) => &g::SET,
        Due::Trying(_) => &g::TRY,
        Due::NutAnswer(..) => &g::NUT,
        Due::Threads(..) | Due::ThreadsOutside(..) => &g::THREADS,
        Due::Release(_) => &g::RELEASE,
        Due::NoFigure(_) => &c::NO_FIGURE,
        Due::ReasonFor(..) => &c::REASON,
        Due::CountIn { .. } => &c::COUNT_IN,
        Due::Shortage { .. } => &c::SHORTAGE,
        Due::Check(_) => &c::CLOSE_UP,
        Due::Look(..) => &c::LOOK,
        Due::BeforeRunning(..) => &c::BEFORE_RUN,
        Due::PromisedTest { .. } => &c::PROMISED_TEST,
        Due::RunCaution(_) => &c::RUN_SAFE,
        Due::RunCheck(_) => &c::RUN,
        Due::RunFault(..) => &c::RUN_FAULT,
        Due::Sign => &c::SIGN,
    }
}

/// Returns the help on what was called for.
pub fn of_command(command: Command) -> &'static Topic {
    match command {
        Command::List(_) => &b::COMMAND_LIST,
        Command::SeeOverlap | Command::SeeLoose => &b::SEEN,
        Command::Lost | Command::Rest | Command::Tape => &b::LOST,
        Command::Remark => &b::REMARK,
        Command::SkipValve | Command::AsFoundLost | Command::SkipRound => &b::SKIP,
        Command::Correct | Command::NeverTouched | Command::Redate | Command::TakeBack => {
            &b::CORRECT
        }
        Command::Away => &c::AWAY,
        Command::Who => &a::WHO,
        Command::SetAnyway => &g::SET,
        Command::FoundSlack => &g::FOUND_SLACK,
        Command::AgainstPlan => &g::GAUGE,
        Command::Paper => &b::PAPER,
        Command::ByLeaf => &b::BY_LEAF,
        Command::Aimed => &g::TRY,
        Command::Surely => &b::SURELY,
        Command::Work | Command::PartOut | Command::PartIn => &b::WORK,
        Command::Amend | Command::ReplaceProfile => &b::AMEND,
        Command::CloseUnsigned => &c::CLOSE_UNSIGNED,
        Command::Leaves => &a::LEAVES,
        Command::Adopt => &b::VERSIONS,
    }
}
