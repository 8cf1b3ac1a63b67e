//! What a session keeps: one entry a line of its journal, never rewritten.
//!
//! The kinds are for ever. Nothing computed from a profile (verdict, advice) is kept: it is worked
//! out again from what was typed. How an entry is spelled on disk is the store's business.

use super::profile::{EngineProfile, Source};
use super::units::{Length, Temperature};
use super::valve::{Cylinder, Kind, Valve};

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

/// First entry of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Random identity, 26 lower-case base-32 characters.
    pub session: String,
    /// The program's version.
    pub program: String,
    /// The profile as used.
    pub profile: ProfileText,
}

/// What the service is about; members that are `None` leave what an earlier `begin` said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Begin {
    /// Name of the session, unique for the engine.
    pub name: Option<String>,
    /// The engine's id.
    pub engine_id: Option<String>,
    /// The engine's name.
    pub engine: Option<String>,
    /// The engine's serial number.
    pub serial: Option<String>,
    /// Running hours of the engine.
    pub hours: Option<Hours>,
    /// Why the hours are lower than before: "counter replaced".
    pub hours_why: Option<String>,
    /// The aircraft's total time in service.
    pub total_time: Option<Hours>,
    /// The source of figures that the engine's file names from last time.
    pub known_source: Option<Source>,
    /// Who worked on this engine last time.
    pub known_worker: Option<String>,
    /// Cylinders in scope; empty = all.
    pub scope: Option<Vec<Cylinder>>,
    /// Why the scope was narrowed after the start.
    pub scope_why: Option<String>,
    /// Rounds to be made.
    pub rounds: Option<Rounds>,
    /// The plan begins with the stop that gauges this cylinder.
    pub from: Option<Cylinder>,
    /// The session that this one corrects.
    pub corrects: Option<String>,
}

/// Which rounds are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounds {
    /// Set as you go, then all the way round once more.
    SetThenRecheck,
    /// Gauge all and touch nothing, then set, then all the way round once more.
    SurveySetRecheck,
    /// Gauge all, then a second look at what is out; nothing is set.
    SurveyOnly,
}

/// Who works from here on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Who {
    /// Name or initials.
    pub name: String,
    /// True when another person takes over from somebody.
    pub takes_over: bool,
}

/// When a caution was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// At the start, on a new day, or for a new person.
    Start,
    /// After a break.
    Back,
    /// Before the run.
    Run,
}

/// A caution answered by what was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Which caution.
    pub id: String,
    /// The caution's words as they were asked.
    pub asked: String,
    /// The digit pressed.
    pub digit: u8,
    /// The state seen, in words.
    pub seen: String,
    /// Whether that state is safe.
    pub safe: bool,
    /// When it was asked.
    pub when: Asked,
}

/// Temperatures before gauging.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Condition {
    /// Cylinder-head temperature.
    pub head: Option<Temperature>,
    /// As typed, with its unit.
    pub typed: String,
    /// Air temperature.
    pub air: Option<Temperature>,
    /// Why the work goes on outside the temperature limit.
    pub against_limit: Option<String>,
}

/// Something read from the manual's page.
#[derive(Clone, Debug, PartialEq)]
pub enum SourceRead {
    /// The manual named.
    Named {
        /// Document, revision, page.
        source: Source,
        /// True where the mechanic says there is none: example figures, for practice only.
        practice: bool,
    },
    /// A figure typed from the page without seeing the profile's.
    Figure {
        /// Which kind of valve.
        kind: Kind,
        /// Which figure.
        figure: Figure,
        /// As typed.
        typed: String,
        /// What it means.
        value: Length,
    },
    /// The source known from last time is still the one, same revision.
    Confirmed,
    /// The figures typed so far are dropped, to be typed again.
    Again,
}

/// A figure on the manual's page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Figure {
    /// What is aimed at.
    Target,
    /// The lower limit.
    Least,
    /// The upper limit.
    Most,
}

/// What a bare number means for a leaf set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingUnit {
    /// Millimetres.
    Mm,
    /// Hundredths of a millimetre.
    Hundredths,
    /// Thousandths of an inch.
    Thou,
    /// Inches.
    Inch,
}

/// The leaf set in hand.
#[derive(Clone, Debug, PartialEq)]
pub struct LeafSet {
    /// What the set is called.
    pub name: String,
    /// Millimetres or inches.
    pub unit: super::units::LengthUnit,
    /// Its leaves, thin to thick; empty where the set is not known.
    pub leaves: Vec<Length>,
}

/// Hardware counted out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Off {
    /// The bank, or "all round" for plugs, blanks, rags, tools and leaves.
    pub bank: String,
    /// Items and counts, in the order shown.
    pub items: Vec<(String, u32)>,
}

/// Hardware counted in, what became of a shortage, and the checks of closing up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum On {
    /// Counted in.
    Count {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// How many were counted in.
        count: u32,
    },
    /// The missing pieces were found.
    Found {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
    },
    /// The missing pieces are accounted for.
    AccountedFor {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// Where they are.
        place: String,
        /// Who says so.
        by: String,
    },
    /// A check of closing up, answered by what was seen.
    Check {
        /// Which check.
        id: String,
        /// Its words as asked.
        asked: String,
        /// The digit pressed.
        digit: u8,
        /// The state seen.
        seen: String,
        /// Whether that closes the check.
        done: bool,
    },
}

/// Where the crank is said to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// At a stop of the plan, reached by turning.
    Stop {
        /// Its place in the plan, from 0.
        stop: usize,
        /// The watched cylinder.
        watch: Cylinder,
        /// Turned on after its sign, degrees.
        then_turn: u16,
    },
    /// This cylinder is seen at overlap.
    SeenOverlap(Cylinder),
    /// Both valves of this cylinder are loose and stay loose when rocked.
    SeenLoose(Cylinder),
    /// Not known any more.
    Lost,
}

/// What rocking the crank showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rocked {
    /// What was loose stayed loose, what was tight stayed tight.
    Steady,
    /// A rocker moved: wrong stroke or wrong place.
    Moved,
}

/// A proof of the crank's position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proof {
    /// How many of the valves to be gauged here were loose.
    pub loose: u8,
    /// How many had to be.
    pub of: u8,
    /// What rocking showed, where the crank was rocked.
    pub rocked: Option<Rocked>,
}

/// A valve pressed open by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unload {
    /// The valve.
    pub valve: Valve,
}

/// A valve let go again, its rod seated at both ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Release {
    /// The valve.
    pub valve: Valve,
}

/// Which step a reading belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Before anything was touched.
    Found,
    /// While setting.
    Try,
    /// After setting, nut locked.
    Left,
    /// In the second round.
    Recheck,
}

/// A feeler reading: what was typed and what it means.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The valve.
    pub valve: Valve,
    /// The step.
    pub step: Step,
    /// The round, from 1.
    pub round: u8,
    /// As typed.
    pub typed: String,
    /// The unit it was taken in.
    pub unit: ReadingUnit,
    /// Lower end of the interval; `None` where open.
    pub low: Option<Length>,
    /// Upper end of the interval; `None` where open.
    pub high: Option<Length>,
    /// The leaf, the sum of a stack, or the middle of a pair; `None` where open-ended.
    pub nominal: Option<Length>,
    /// True for a single leaf or stack, false for a pair or an open end.
    pub single: bool,
    /// Who gauged.
    pub by: String,
    /// Time of a reading made on paper and typed later; `None` from the screen.
    pub paper: Option<String>,
    /// What was aimed at while setting.
    pub aimed: Option<Length>,
    /// Tries made before this one and not written one by one.
    pub tries: u32,
    /// Why it was asked about before it was kept: "no leaf of the set", "ten times the target".
    pub odd: Option<String>,
    /// Why it was gauged where the plan does not show the valve shut.
    pub against_plan: Option<String>,
}

/// What is said of a lock nut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NutSaid {
    /// Slackened for setting.
    Slack,
    /// Locked at this torque, and the reading of this seq was gauged after.
    Locked {
        /// Torque in the profile's words; empty where the profile has none.
        torque: String,
        /// The reading gauged after locking.
        gauged: u64,
    },
    /// It was never slackened, with the reason for the contrary entry.
    NeverTouched {
        /// Why.
        why: String,
    },
    /// Threads that show after locking.
    Threads(u8),
}

/// A lock nut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nut {
    /// The valve.
    pub valve: Valve,
    /// What is said of it.
    pub said: NutSaid,
}

/// Which part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartKind {
    /// A shim.
    Shim,
    /// A push rod.
    Pushrod,
    /// A cam or camshaft.
    Cam,
    /// A rocker, for reaching another part.
    Rocker,
}

/// A part that came out or went in.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The valve it belongs to; `None` for a cam.
    pub valve: Option<Valve>,
    /// Which part.
    pub part: PartKind,
    /// True out, false in.
    pub out: bool,
    /// Marked size.
    pub marked: Option<Length>,
    /// Measured size.
    pub measured: Option<Length>,
    /// As typed.
    pub typed: String,
}

/// Work on a cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Work {
    /// The cylinder.
    pub cylinder: Cylinder,
    /// What was replaced: cylinder, rocker, push rod, lifter, cam, valve or seat.
    pub what: String,
    /// Free text.
    pub text: String,
    /// The hold-down torque, as checked and typed.
    pub hold_down: Option<String>,
}

/// The six places looked at on each cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tick {
    /// Rocker pad.
    Pad,
    /// Rocker bush.
    Bush,
    /// Valve spring.
    Spring,
    /// Push rod.
    Rod,
    /// Oil.
    Oil,
    /// Cover gasket.
    Gasket,
}

/// A remark.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Remark {
    /// The cylinder it is about.
    pub cylinder: Option<Cylinder>,
    /// Places looked at and good.
    pub good: Vec<Tick>,
    /// Places looked at and not good.
    pub bad: Vec<Tick>,
    /// Free text.
    pub text: String,
    /// To be dealt with before the engine runs.
    pub before_running: bool,
    /// The seq of the remark that this one settles.
    pub settles: Option<u64>,
}

/// A leak test of a cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeakTest {
    /// The cylinder.
    pub cylinder: Cylinder,
    /// Held pressure and supply pressure, as in "74 of 80".
    pub held: Option<(u16, u16)>,
    /// Why there was none.
    pub why_not: Option<String>,
}

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
#[derive(Clone, Debug, PartialEq)]
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
