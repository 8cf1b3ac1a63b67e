//! What the mechanic can do, and why it may be refused.

use super::owed_run::OwedRun;
use crate::domain::entry::{Adopt, Back, Begin, LeafSet, PartKind, Remark, Rocked, Sign};
use crate::domain::profile::Source;
use crate::domain::valve::{Cylinder, Kind, Valve};

/// What the mechanic did. The same input on the same session always has the same answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// Says what the service is about, or changes it.
    Begin(Box<Begin>),
    /// Names who works from here on.
    Who(String),
    /// Names the manual that the figures come from; `practice` where there is none.
    NameSource {
        /// Document, revision, page.
        source: Source,
        /// Example figures, for practice only.
        practice: bool,
    },
    /// The source known from last time is still the one.
    ConfirmSource,
    /// Types the figure that is due from the manual's page.
    PageFigure(String),
    /// Types the page's figures again.
    PageAgain,
    /// The page's figures rule over the profile's.
    PageRules {
        /// Why the profile differs.
        why: String,
    },
    /// Answers the line of the checklist that is due by its digit.
    Answer(u8),
    /// Tells the head's temperature, with its unit.
    Temperature {
        /// Head temperature as typed.
        head: String,
        /// Air temperature as typed, or empty.
        air: String,
    },
    /// Goes on although the engine is outside its temperature limit.
    AgainstLimit {
        /// Why.
        why: String,
    },
    /// Takes a leaf set in hand.
    Leaves(LeafSet),
    /// Counts the hardware of the bank that is due out, in the order shown.
    CountOut(Vec<u32>),
    /// The same, where pieces were missing before anything was opened.
    CountOutShort(Vec<u32>),
    /// Counts the item that is due in.
    CountIn(u32),
    /// The missing pieces were found.
    ShortageFound,
    /// The missing pieces, or those that are too many, are accounted for.
    ShortageAccounted {
        /// Where they are.
        place: String,
        /// Who says so.
        by: String,
    },
    /// Tells how many of the valves to be gauged here are loose.
    Loose(u8),
    /// Tells what rocking showed.
    Rock(Rocked),
    /// Sees a cylinder at overlap.
    SeeOverlap(Cylinder),
    /// Feels both valves of a cylinder loose, and loose when rocked.
    SeeLoose(Cylinder),
    /// Does not know any more where the crank is.
    Lost,
    /// Where the crank stands proven, a tape on the blade or pulley points so on a clock.
    Tape(String),
    /// Pressed the due valve open by hand.
    Unload,
    /// Let the due valve go; its rod is seated at both ends.
    Release,
    /// Let this valve go, which is held open, whatever is due; its rod is seated at both ends.
    ReleaseOf(Valve),
    /// Gauged the due valve.
    Gauge {
        /// As typed.
        typed: String,
        /// True where an odd figure was asked about and stands.
        sure: bool,
    },
    /// Gauged a valve here although the plan does not show it shut here.
    GaugeAgainstPlan {
        /// The valve.
        valve: Valve,
        /// As typed.
        typed: String,
        /// Why.
        why: String,
        /// True where an odd figure was asked about and stands.
        sure: bool,
    },
    /// Types readings made on paper.
    GaugeFromPaper {
        /// Each valve with what was typed, in the order of the paper.
        readings: Vec<(Valve, String)>,
        /// When they were made, as written on the paper.
        time: String,
        /// True where an odd figure was asked about and stands.
        sure: bool,
    },
    /// Says that these hydraulic lifters are dry and on their bottom, and what was gauged over them.
    OnDry {
        /// The valves of the lifters.
        valves: Vec<Valve>,
        /// What was gauged.
        gauged: Box<Input>,
    },
    /// Says what two readings of a doubted valve were.
    Believe {
        /// Why.
        why: String,
    },
    /// Slackens the nut of a valve to set it; once the rounds are done, to set it again.
    OpenSet(Valve),
    /// The nut of this valve is slack after all.
    NutFoundSlack(Valve),
    /// The engine was looked at, as these words say; the nuts of these valves were found slack at it.
    Looked(String, Vec<Valve>),
    /// Types tries, the last one last: `7 8 6`, or `3x 6`.
    Tried {
        /// As typed.
        typed: String,
        /// True where an odd figure was asked about and stands.
        sure: bool,
    },
    /// The nut of the valve in hand is locked, and the last figure was gauged after.
    NutLocked,
    /// The nut of the valve in hand is still slack.
    NutStillSlack,
    /// The nut of this valve was never slackened.
    NutNeverTouched {
        /// The valve.
        valve: Valve,
        /// Why the entry said otherwise.
        why: String,
    },
    /// It is the nut of another valve that is slack: this one was named by mistake.
    NutOfAnother {
        /// The valve that was named.
        named: Valve,
        /// The one whose nut is slack.
        really: Valve,
    },
    /// Counts the threads that show.
    Threads(u8),
    /// Leak-tested the due cylinder, or says why not; also where it was promised before running.
    LeakTest {
        /// "74/80", or empty.
        typed: String,
        /// Why not, or empty.
        why_not: String,
    },
    /// Adjusted before it was read: the as-found figure of the due valve is lost.
    AsFoundLost {
        /// Why.
        why: String,
    },
    /// Passes over a valve in this round.
    SkipValve {
        /// The valve.
        valve: Valve,
        /// Why.
        why: String,
    },
    /// Leaves a valve outside its band, to be signed for.
    LeaveAsIs {
        /// The valve.
        valve: Valve,
        /// Why.
        why: String,
    },
    /// Passes over the rest of this round.
    SkipRound {
        /// Why.
        why: String,
    },
    /// Gauges after all what was skipped.
    Unskip(Valve),
    /// Does not run the engine.
    SkipRun {
        /// Why.
        why: String,
    },
    /// After a fault at the run: covers off, gauge again.
    RunBackToGauging,
    /// After a fault at the run: put right, nothing is gauged, run again.
    RunAgain {
        /// Whether a cover comes off for it.
        covers: bool,
    },
    /// After a fault at the run: leaves it, and says why.
    RunLeave {
        /// Why.
        why: String,
    },
    /// Says what was heard or seen at the run that was not as it should be.
    RunFault {
        /// The digit of the state seen.
        digit: u8,
        /// In words.
        text: String,
    },
    /// Writes a remark.
    Remark(Remark),
    /// Settles a remark that was marked "before running".
    SettleRemark {
        /// Its seq.
        seq: u64,
        /// How.
        text: String,
    },
    /// Work was done on a cylinder.
    Work {
        /// The cylinder.
        cylinder: Cylinder,
        /// What was replaced.
        what: String,
        /// Free text.
        text: String,
    },
    /// This cylinder is at overlap, and it was turned all the way round to that since it was gauged there.
    TurnedRoundTo(Cylinder),
    /// What became of a run that the service before handed over.
    OwedRun(OwedRun),
    /// Hold-down torque found after work on a cylinder, as typed; and that no nut moved under the wrench.
    HoldDown(String, bool),
    /// It was not measured, its nuts seen on and tight: it stays owed.
    HoldDownNotMeasured,
    /// Its nuts were seen, and are not tight.
    NutsNotTight,
    /// The cause of what was felt at a turn by hand is found and put right: what it was.
    CauseFound(String),
    /// The work of the last entry, this one, was on that cylinder; and why it was told otherwise.
    WorkOfAnother(u64, Cylinder, String),
    /// A shim, push rod or rocker came out.
    PartOut {
        /// Its valve.
        valve: Valve,
        /// Which part.
        part: PartKind,
        /// Its marked size as typed, or empty: of a push rod the difference from standard.
        marked: String,
        /// Its size by the micrometer as typed, or empty.
        measured: String,
    },
    /// Cams came out just now, but others than was said.
    CamsOutRetold {
        /// The entry that told it.
        of: u64,
        /// The bank that they are out of; `None` for all of the engine's.
        bank: Option<String>,
        /// Why it is told anew.
        why: String,
    },
    /// What came out just now is out, but of another size, or it is that of another valve.
    PartOutRetold {
        /// The entry that told it.
        of: u64,
        /// The right valve.
        valve: Valve,
        /// Its marked size as typed, or empty: of a push rod the difference from standard.
        marked: String,
        /// Its size by the micrometer as typed, or empty.
        measured: String,
        /// Why it is told anew.
        why: String,
    },
    /// A shim, push rod or rocker went in.
    PartIn {
        /// Its valve.
        valve: Valve,
        /// Which part.
        part: PartKind,
        /// Its marked size as typed, or empty: of a push rod the difference from standard.
        marked: String,
        /// Its size by the micrometer as typed, or empty.
        measured: String,
    },
    /// The cams of a bank came out.
    CamsOut {
        /// The bank; `None` = all of the engine's.
        bank: Option<String>,
    },
    /// The cams of a bank went in, and their timing marks were looked at.
    CamsIn {
        /// The bank; `None` = all of the engine's.
        bank: Option<String>,
        /// What was seen, by its digit.
        digit: u8,
    },
    /// Leaves all that is out of its band as it is, to be signed for.
    LeaveAllAsIs {
        /// Why.
        why: String,
    },
    /// Leaves threads outside the profile's bounds.
    LeaveThreads {
        /// Why.
        why: String,
    },
    /// Takes back the last entry.
    TakeBack,
    /// An earlier reading has another value.
    CorrectValue {
        /// Its seq.
        of: u64,
        /// The new value as typed.
        typed: String,
        /// Why.
        why: String,
        /// True where an odd figure was asked about and stands.
        sure: bool,
    },
    /// An earlier reading does not count; or what was said last to have come out did not.
    Void {
        /// Its seq.
        of: u64,
        /// Why.
        why: String,
    },
    /// Two readings change valves.
    Swap {
        /// One.
        of: u64,
        /// The other.
        with: u64,
        /// Why.
        why: String,
    },
    /// Figures of one kind of valve are amended.
    AmendFigures {
        /// Which kind.
        kind: Kind,
        /// Target, least, most, with their units.
        typed: [String; 3],
        /// Where they come from.
        source: String,
        /// Why.
        why: String,
    },
    /// The profile is replaced.
    AmendProfile {
        /// The new one.
        profile: Box<crate::domain::entry::ProfileText>,
        /// Where it comes from.
        source: String,
        /// Why.
        why: String,
    },
    /// Called away.
    Away(String),
    /// Back again.
    Back(Back),
    /// On another day: the engine has not run, the hours are the same.
    NotRunSince,
    /// Signs and closes; beside the signature it is kept what earlier services left outside its band
    /// and this one has not looked at.
    Sign(Box<Sign>, Option<String>),
    /// Closes without a signature.
    CloseUnsigned {
        /// Why.
        why: String,
    },
    /// A reading is taken over from another version of this session.
    Adopt(Box<Adopt>),
    /// The day of the session was wrong.
    Redate {
        /// YYYY-MM-DD.
        day: String,
        /// Why.
        why: String,
    },
}
