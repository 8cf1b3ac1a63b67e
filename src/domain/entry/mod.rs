//! What a session keeps: one entry a line of its journal, never rewritten.
//!
//! The kinds are for ever. Nothing computed from a profile (verdict, advice) is kept: it is worked
//! out again from what was typed. How an entry is spelled on disk is the store's business.

mod after;
mod gauging;
mod left_open;
mod prepare;

use super::profile::EngineProfile;
pub use after::*;
pub use gauging::*;
pub use left_open::*;
pub use prepare::*;

/// A moment as the shell read it from the clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moment {
    /// Milliseconds since 1970-01-01 UTC; may be negative.
    pub unix_ms: i64,
    /// Minutes that local time is ahead of UTC.
    pub offset_min: i16,
}

/// An entry that is on disk.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Its place in the journal, from 0.
    pub seq: u64,
    /// When it was written.
    pub at: Moment,
    /// What it says.
    pub entry: Entry,
}

/// A profile and the very text it was read from.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfileText {
    /// The checked profile.
    pub profile: EngineProfile,
    /// The file's text, as embedded in the journal.
    pub text: String,
    /// The name it is known by (a built-in's file stem).
    pub name: String,
}

/// Running hours in hundredths.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hours(
    /// Hundredths of an hour.
    pub i64,
);

/// One entry of a session.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// The first of every session: identity, program, profile as used.
    Head(Head),
    /// Engine, hours, scope, rounds, plan: each `begin` sets the members it has.
    Begin(Begin),
    /// Who works from here on.
    Who(Who),
    /// A caution answered by what was seen.
    Caution(Caution),
    /// Temperatures, and whether the engine counts as hot or cold.
    Condition(Condition),
    /// The manual, and what was read from its page.
    Source(SourceRead),
    /// The leaf set in hand.
    Leaves(LeafSet),
    /// Hardware counted out.
    Off(Off),
    /// Hardware counted in, and the checks of closing up.
    On(On),
    /// Where the crank is.
    At(At),
    /// What proved the crank's position, or did not.
    Proof(Proof),
    /// A valve pressed open by hand.
    Unload(Unload),
    /// A valve let go again.
    Release(Release),
    /// A feeler reading.
    Reading(Reading),
    /// A lock nut: slack, locked, never touched; threads showing.
    Nut(Nut),
    /// A shim, push rod or cam that came out or went in.
    Part(Part),
    /// Work on a cylinder that ends its old series.
    Work(Work),
    /// A remark, with the ticks of a look at a cylinder.
    Remark(Remark),
    /// A leak test, or why there was none.
    LeakTest(LeakTest),
    /// Something passed over, with its reason.
    Skip(Skip),
    /// An earlier entry taken back, changed, or two readings swapped.
    Correct(Correct),
    /// Figures amended, or the profile replaced.
    Amend(Amend),
    /// The mechanic was called away.
    Away(Away),
    /// The mechanic is back, or the program was started again.
    Back(Back),
    /// An answer of the running check.
    Run(Run),
    /// The signature.
    Sign(Sign),
    /// The end of the session; only remarks follow.
    Seal(Seal),
    /// The journal healed a cut-off end (written by the store).
    Recover(Recover),
    /// A reading taken over from another version of this session.
    Adopt(Adopt),
    /// The day of the session corrected.
    Redate(Redate),
}
