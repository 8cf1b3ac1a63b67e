//! What an effect has in hand while a disk takes its time, in words.

use super::app::Effect;
use super::job::Request;
use crate::domain::entry::Entry;

/// What is being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Entries of the session are kept, or settings remembered; what looks after them tells more.
    Keeping(&'static str),
    /// Something else is written.
    Saving(&'static str),
    /// A session is gone on with: read, and waited for until the disk has confirmed it.
    Opening,
    /// The session in hand is put away once all of it is saved, and the engines are read.
    PuttingAway,
    /// Something is read.
    Reading,
}

impl Doing {
    /// Says what is being done.
    pub fn words(self) -> String {
        match self {
            Doing::Keeping(what) | Doing::Saving(what) => format!("saving... {what}"),
            Doing::Opening => "opening the session".to_owned(),
            Doing::PuttingAway => "putting the session away".to_owned(),
            Doing::Reading => "reading".to_owned(),
        }
    }

    /// Says what is waited for, and how long already, seconds.
    pub fn waited_for(self, seconds: u64) -> String {
        match seconds {
            0 => format!("{}: waiting for the disk", self.words()),
            _ => format!("{}: waiting for the disk, {seconds} s", self.words()),
        }
    }

    /// Says what was not saved, and why; `None` where nothing was to be.
    pub fn failed(self, why: &str) -> Option<String> {
        match self {
            Doing::Keeping(what) | Doing::Saving(what) => {
                Some(format!("NOT SAVED: {what} - {why}"))
            }
            Doing::Opening | Doing::PuttingAway | Doing::Reading => None,
        }
    }

    /// Says what has not come to its end where nobody waits for it any longer; `None` where that
    /// loses nothing, or is told elsewhere.
    pub fn not_known(self) -> Option<String> {
        match self {
            Doing::Saving(what) => {
                Some(format!("NOT KNOWN TO BE SAVED: {what} - the disk does not answer"))
            }
            Doing::Keeping(_) | Doing::Opening | Doing::PuttingAway | Doing::Reading => None,
        }
    }
}

impl Effect {
    /// Tells what carrying it out has in hand.
    pub fn doing(&self) -> Doing {
        match self {
            Effect::Keep(entries) if entries.iter().any(ends) => {
                Doing::Keeping("the end of the session")
            }
            Effect::Keep(_) => Doing::Keeping("what was answered"),
            Effect::SaveTo(_) => Doing::Keeping("all in the other folder, 10 s at most"),
            Effect::Open(_) | Effect::OpenEngine(_) | Effect::TakeOver => Doing::Opening,
            Effect::Do(request) => request.doing(),
            Effect::WriteProfile { .. } | Effect::Described(_) => Doing::Saving("the profile"),
            Effect::Bell(_) | Effect::Look(_) => Doing::Keeping("the settings"),
            Effect::Shop => Doing::PuttingAway,
            Effect::Compare
            | Effect::History
            | Effect::HistoryAt(_)
            | Effect::CompareAt(_)
            | Effect::RecordsAt(_)
            | Effect::Record(_)
            | Effect::HoursAt(_)
            | Effect::Kinds
            | Effect::Kind(_)
            | Effect::ProfileAt(_)
            | Effect::LookOn
            | Effect::Quit => Doing::Reading,
        }
    }
}

impl Request {
    fn doing(&self) -> Doing {
        match self {
            Request::NewEngine(_) => Doing::Saving("the new engine and its service"),
            Request::Begin { .. } => Doing::Saving("the beginning of the service"),
            Request::GoOn { .. } => Doing::Opening,
            Request::TellHours { .. } => Doing::Saving("the running hours"),
            Request::GiveProfile { .. } => Doing::Saving("the engine's profile"),
            Request::ReplaceProfile { .. } => Doing::Keeping("the other profile"),
        }
    }
}

fn ends(entry: &Entry) -> bool {
    matches!(entry, Entry::Sign(_) | Entry::Seal(_))
}
