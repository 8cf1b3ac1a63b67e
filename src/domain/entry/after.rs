//! Entries about other entries, and of the end: skips, corrections, breaks, run, signature, seal.

use super::{Hours, ProfileText, Reading, ReadingUnit};
use crate::domain::units::Length;
use crate::domain::valve::{Kind, Valve};

/// What is passed over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Skipped {
    /// The as-found figure is lost: the valve was adjusted before it was read.
    AsFound(Valve),
    /// The valve is not gauged in this round.
    Gauging(Valve, u8),
    /// The valve is left out of its band.
    Setting(Valve),
    /// The rest of a round.
    Round(u8),
    /// A check of closing up.
    Check(String),
    /// The running check.
    Run,
}

/// Something passed over, with its reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skip {
    /// What.
    pub what: Skipped,
    /// Why.
    pub why: String,
    /// True of a run that stays owed until somebody says that it was made, whatever the reason. A version that did
    /// not write it left it so only where it was handed over.
    pub run_owed: bool,
}

impl Skip {
    /// Makes the entry as it is kept now.
    pub fn of(what: Skipped, why: impl Into<String>) -> Skip {
        let run_owed = what == Skipped::Run;
        Skip { what, why: why.into(), run_owed }
    }
}

/// What becomes of an earlier entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// It no longer counts.
    Void,
    /// The reading has another value.
    Value {
        /// As typed.
        typed: String,
        /// The unit it was taken in.
        unit: ReadingUnit,
        /// Lower end.
        low: Option<Length>,
        /// Upper end.
        high: Option<Length>,
        /// Nominal.
        nominal: Option<Length>,
        /// Single leaf or stack.
        single: bool,
    },
    /// The two readings change valves.
    SwapWith(u64),
}

/// A correction.
#[derive(Clone, Debug, PartialEq)]
pub struct Correct {
    /// The entry corrected.
    pub of: u64,
    /// What becomes of it.
    pub change: Change,
    /// Why.
    pub why: String,
    /// True where taking back asks again what was asked before, and no more: nothing was turned for that. By a
    /// version that did not write it, the crank is proven anew, and the rest of a round that it ended stays ended.
    pub as_asked: bool,
}

/// Figures amended, or the profile replaced.
#[derive(Clone, Debug, PartialEq)]
pub enum Amended {
    /// New figures of one kind of valve.
    Figures {
        /// Which kind.
        kind: Kind,
        /// The new target and limits; the set band becomes the limits.
        target: Length,
        /// Lower limit.
        least: Length,
        /// Upper limit.
        most: Length,
    },
    /// Another profile.
    Profile(Box<ProfileText>),
}

/// An amendment with its source and reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Amend {
    /// What is new.
    pub what: Amended,
    /// Where it comes from.
    pub source: String,
    /// Why.
    pub why: String,
    /// True where what another profile asks otherwise was to be answered anew by this; a version that did
    /// not write it asked only for what had no answer at all. Figures alone are asked of nobody: what was
    /// read and left is judged anew by them.
    pub asks_anew: bool,
}

/// Called away.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Away {
    /// A word for whoever reads the notice.
    pub text: String,
}

/// Back again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Back {
    /// Minutes since the last key, where known.
    pub after_min: Option<u32>,
    /// True where the program was started again.
    pub restart: bool,
    /// True on another day.
    pub new_day: bool,
    /// True where the clock jumped.
    pub clock_jumped: bool,
    /// What was told of the engine's counter beside the session, where that is news to it.
    pub counter: Option<CounterTold>,
}

/// What was told of an engine's counter beside a session that was begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CounterTold {
    /// More hours than the session knows, read from the counter now: the engine may have run. It is no
    /// figure of the service, until somebody said that it has not.
    WentUp(Hours),
    /// The hours of a counter that was put in since the service's own were read: they count on top of those
    /// of the old one, whatever it shows, and are no figure of the service.
    Replaced(Hours),
    /// What was told before was a mistake, and was put right.
    PutRight {
        /// The mistake.
        from: Hours,
        /// What the counter shows.
        to: Hours,
    },
}

impl CounterTold {
    /// Returns hours as they are by what was put right.
    pub fn put_right(self, hours: Hours) -> Hours {
        match self {
            CounterTold::PutRight { from, to } if hours == from => to,
            CounterTold::PutRight { .. } | CounterTold::WentUp(_) | CounterTold::Replaced(_) => {
                hours
            }
        }
    }
}

impl Back {
    /// Returns hours as they are by what was put right beside the session.
    pub fn put_right(&self, hours: Option<Hours>) -> Option<Hours> {
        hours.map(|hours| self.counter.map_or(hours, |told| told.put_right(hours)))
    }
}

/// An answer of the running check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Which question.
    pub id: String,
    /// Its words as asked.
    pub asked: String,
    /// The digit pressed.
    pub digit: u8,
    /// What was seen.
    pub seen: String,
    /// Whether it is as it should be.
    pub good: bool,
    /// Free text.
    pub text: String,
}

/// The signature.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sign {
    /// Who signs.
    pub signer: String,
    /// Kind of certificate or licence.
    pub certificate_kind: String,
    /// Its number.
    pub certificate_number: String,
    /// Kind of entry and its statement, in the signer's words.
    pub statement: String,
    /// The sentence for the owner.
    pub owner_sentence: String,
    /// Own choice of the next check, running hours.
    pub next_check: Option<Hours>,
}

/// The end of a session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seal {
    /// How many entries came before.
    pub entries: u64,
    /// Who sealed.
    pub by: String,
    /// Chain hash of the last entry before this one, hex (filled in by the store).
    pub chain: String,
    /// True where signed; false where closed unsigned.
    pub signed: bool,
    /// Why it was closed unsigned.
    pub why: String,
    /// Of one that is closed unsigned: whether the engine stands as it was made safe and opened, so that what
    /// is not put back is open for whoever comes next. A version that did not write it told of that only
    /// once all was counted in.
    pub tells_not_put_back: Option<bool>,
    /// Of one that is closed unsigned: whether what was worked on and not gauged after it is told. A version that
    /// did not write it forgot that.
    pub tells_not_gauged: bool,
}

impl Seal {
    /// What a seal code is worth, said wherever one stands.
    pub const CODE_IS: &str = "evidence against a copy of the code kept elsewhere; without one it \
                               proves nothing, since whoever rewrites the whole file can make a new \
                               code with it";
}

/// A cut-off end, healed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recover {
    /// Byte position of the bad span.
    pub at: u64,
    /// Its length in bytes.
    pub len: u64,
    /// First 32 hex digits of its SHA-256.
    pub sha: String,
}

/// A reading taken over from another version of this session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adopt {
    /// The file it comes from.
    pub file: String,
    /// Its place there.
    pub seq: u64,
    /// Its hash there.
    pub hash: String,
    /// The reading.
    pub reading: Reading,
}

/// The day of the session corrected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Redate {
    /// The day, as YYYY-MM-DD.
    pub day: String,
    /// Why.
    pub why: String,
}
