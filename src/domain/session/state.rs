//! What the entries of a session add up to.
//!
//! A state is only ever made by applying entries in order; an entry that was taken back is left out
//! and the rest applied anew. Nothing here decides: what is due is derived in `due.rs`.

use super::cautions;
use super::counts::OutCount;
use super::hold_down::Worked;
use super::nuts::BeforeSlack;
use super::parts::{Fitted, OutPart};
use super::put_back::TakenOff;
pub use super::taken::{Stood, Taken};
use super::turning::Tape;
use super::under_way::UnderWay;
use super::undone::Undone;
use crate::domain::crank;
use crate::domain::entry::{
    Asked, Begin, Condition, Figure, Head, Hours, LeafSet, PartKind, ProfileText, Remark, Rounds,
    Run, Sign as Signature,
};
use crate::domain::plan::{self, Plan, PlanChoice};
use crate::domain::profile::{EngineProfile, Facts, Figures, Source};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Valve};
use std::collections::{BTreeMap, BTreeSet};

/// Where the crank is, as far as the entries tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crank {
    /// Not known.
    Unknown,
    /// At a stop of the plan.
    At {
        /// Its place in the plan.
        stop: usize,
        /// How far its position is proven.
        proof: Proven,
    },
    /// A cylinder was seen at overlap.
    Seen(Cylinder),
    /// At a place that was a stop before the plan was changed, and is none of it now.
    Elsewhere(Stood),
}

/// How far a position is proven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proven {
    /// Not at all.
    No,
    /// The count fits or partly fits; rocking has to show the rest.
    RockNext {
        /// How many were loose.
        loose: u8,
    },
    /// Proven.
    Yes,
}

/// Why a stop has to be found again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Again {
    /// None of the rockers was loose: one full turn on.
    WrongStroke,
    /// A rocker moved while rocking.
    Moved,
}

/// What is said of the nut of a valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nut {
    /// Seq of the last word about it.
    pub said_at: u64,
    /// Seq of the entry that opened it.
    pub opened_at: u64,
    /// The round in which it was opened, from 0.
    pub round: usize,
    /// So many rounds had nothing else left to do when it was opened.
    pub after_rounds: Option<usize>,
    /// The reading gauged after locking; `None` while slack.
    pub locked_by: Option<u64>,
    /// Threads counted since it was locked.
    pub threads: Option<u8>,
    /// Whether it was found slack, and not slackened for setting.
    pub found: bool,
    /// Seq of the word that locked it in a round that looks again; `None` once that was closed over.
    pub look_after: Option<u64>,
}

/// Why a valve is left outside its band; see [`State::left_as_is`].
pub type LeftAsIs = (String, &'static str, Option<Length>, bool);

/// What an amended profile or figures make of a kind's figures.
pub type AmendedFigures = BTreeMap<Kind, Figures>;

/// What is said of a leak test: what was held of how much, or why there was none.
pub type LeakWord = (Option<(u16, u16)>, Option<String>);

/// The way round what is left of a round.
#[derive(Clone, Debug, PartialEq)]
pub struct RestOfRound {
    /// The round, from 0.
    pub round: usize,
    /// The stops that are left.
    pub plan: Plan,
}

/// Everything the entries add up to.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// The profile as used now.
    pub profile: ProfileText,
    /// Figures amended in this session.
    pub amended: AmendedFigures,
    /// What the service is about.
    pub begin: Begin,
    /// The way round, or why there is none.
    pub plan: Result<Plan, String>,
    /// The way round what is left of a round, where that was planned anew.
    pub rest: Option<RestOfRound>,
    /// Where a tape on the blade or pulley points.
    pub tape: Option<Tape>,
    /// Who works.
    pub worker: Option<String>,
    /// Everybody who worked.
    pub workers: Vec<String>,
    /// The source named or confirmed.
    pub source: Option<(Source, bool)>,
    /// True where the source was confirmed or its figures agree with the profile's.
    pub page: BTreeMap<(Kind, Figure), Length>,
    /// The known source was confirmed as it was.
    pub source_confirmed: bool,
    /// Cautions still to be answered, and when they were asked for.
    pub cautions_due: BTreeMap<String, Asked>,
    /// Answers of the checklists, last one each.
    pub cautions: BTreeMap<String, (u8, String)>,
    /// Temperatures, the last one.
    pub condition: Option<Condition>,
    /// Rounds whose temperature is known.
    pub condition_rounds: BTreeSet<usize>,
    /// The leaf set in hand.
    pub leaves: Option<LeafSet>,
    /// Hardware that is out.
    pub out: Vec<OutCount>,
    /// Banks counted out.
    pub banks_off: BTreeSet<String>,
    /// Cylinders whose cover was counted out before the scope changed.
    pub uncovered: BTreeSet<Cylinder>,
    /// What was taken off or switched off and not put back since.
    pub taken_off: BTreeSet<TakenOff>,
    /// Closing checks done.
    pub checks: BTreeMap<String, String>,
    /// Where the crank is.
    pub crank: Crank,
    /// The round in which it was brought there.
    pub crank_round: Option<usize>,
    /// Seq of the last word that it was brought somewhere.
    pub arrived: u64,
    /// The stop where the crank stood before it was pulled through, and whether rocking was wanted there;
    /// nothing once any place was told.
    pub(super) pulled_from: Option<(Crank, bool)>,
    /// Valves whose rockers or lobes were felt for the last proof.
    pub felt: BTreeSet<Valve>,
    /// The last stop that was proven, for going on after a break.
    pub last_stop: Option<usize>,
    /// Rocking is asked at the next proof.
    pub rock_wanted: bool,
    /// Why the stop has to be found again.
    pub again: Option<Again>,
    /// The last proof by rocking, by seq.
    pub rocked_at: Option<u64>,
    /// How often none was loose at this stop.
    pub none_loose: u8,
    /// Valves held open by hand.
    pub unloaded: BTreeSet<Valve>,
    /// Readings that count or counted, in journal order.
    pub readings: Vec<Taken>,
    /// Nuts spoken of.
    pub nuts: BTreeMap<Valve, Nut>,
    /// What was so before a nut was said slack.
    pub(super) before_slack: BTreeMap<Valve, BeforeSlack>,
    /// What is so again where something is undone.
    pub(super) undone: Undone,
    /// Valves whose setting was touched.
    pub touched: BTreeSet<Valve>,
    /// Valves put together anew: parts fitted, or work on their cylinder.
    pub assembled: BTreeSet<Valve>,
    /// Parts that are out.
    pub parts_out: Vec<OutPart>,
    /// Parts that were said to be out, and nobody has answered yet for their size.
    pub sizes_owed: Vec<(Valve, PartKind)>,
    /// What is known of the shim or push rod of each valve.
    pub fitted: BTreeMap<Valve, Fitted>,
    /// Shims that came out and are in nowhere, by where they came out.
    pub removed: Vec<(Valve, Length)>,
    /// Cams or shims went in since the engine was last turned through by hand.
    pub turns_owed: bool,
    /// Lifters answered for as dry and bottomed since the crank was last moved.
    pub dry: BTreeSet<Valve>,
    /// Threads outside the profile's bounds that were left, with the reason.
    pub threads_left: BTreeMap<Valve, String>,
    /// Last work on a cylinder, and its hold-down torque.
    pub work: BTreeMap<Cylinder, Worked>,
    /// Remarks in order.
    pub remarks: Vec<(u64, Remark)>,
    /// Remarks and doubted readings settled.
    pub settled: BTreeSet<u64>,
    /// Cylinders leak-tested or excused.
    pub leak_tested: BTreeMap<Cylinder, LeakWord>,
    /// A plug came out for a leak test, whatever was done to its cylinder since.
    pub plug_was_out: bool,
    /// Cylinders whose promised leak test was put off once more, from before the plugs went in.
    pub tests_put_off: BTreeSet<Cylinder>,
    /// What a leak test takes out once more is counted out and in: the engine was closed up for it.
    pub test_things: bool,
    /// Valves whose as-found figure is lost, with the reason.
    pub found_lost: BTreeMap<Valve, String>,
    /// Valves passed over in a round, with the reason and the entry.
    pub skipped: BTreeMap<(usize, Valve), (u64, String)>,
    /// Rounds passed over, with the entry and the reason.
    pub rounds_skipped: BTreeMap<usize, (u64, String)>,
    /// Valves left outside their band: the reason, the verdict it was given for, how far off the
    /// target the valve was, whether on a rough look; see [`State::reason_to_leave`].
    pub left_as_is: BTreeMap<Valve, LeftAsIs>,
    /// Answers of the running check, last one each.
    pub run: BTreeMap<String, Run>,
    /// Why the engine was not run.
    pub run_skipped: Option<String>,
    /// Faults at the run that were left, with the reason.
    pub run_left: BTreeMap<String, String>,
    /// Rounds added: after the run, and for what was changed once more.
    pub added: Vec<RoundKind>,
    /// A notice is up.
    pub away: Option<String>,
    /// Another day: hours to be confirmed.
    pub new_day: bool,
    /// What was told of the engine's counter beside the session.
    pub counter: CounterBeside,
    /// The signature.
    pub sign: Option<Signature>,
    /// Closed; true where signed.
    pub sealed: Option<bool>,
    /// Why it was closed unsigned.
    pub unsigned_why: String,
    /// The day as corrected.
    pub redated: Option<String>,
    /// The round under way, once it was found.
    pub(super) under_way: UnderWay,
}

/// What was told of an engine's counter beside a session that was begun.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CounterBeside {
    /// What it went up to: hours to be confirmed.
    pub up: Option<Hours>,
    /// Whether that is of a new one, which counts on top of the one that the service's hours are of.
    pub replaced: bool,
    /// What it had gone up to when somebody said last that the engine has not run.
    pub answered: Option<Hours>,
    /// Whether that was of a new one.
    pub answered_new: bool,
}

impl CounterBeside {
    /// Takes in that the engine has not run: what it went up to is answered for.
    pub(super) fn not_run(&mut self) {
        if let Some(up) = self.up.take() {
            (self.answered, self.answered_new) = (Some(up), self.replaced);
        }
    }
}

/// What a round is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoundKind {
    /// Gauge all, touch nothing.
    Survey,
    /// Gauge, and set what needs it.
    Setting,
    /// All the way round once more.
    Recheck,
    /// A second look at what is out.
    SecondLook,
    /// Change push rods at their stops, and gauge there what was changed.
    Change,
    /// Gauge what was taken apart, after two turns by hand.
    AsLeft,
}

impl RoundKind {
    /// Tells whether screws are turned in such a round, where there are any.
    pub fn sets(self) -> bool {
        match self {
            RoundKind::Setting | RoundKind::Recheck => true,
            RoundKind::Survey | RoundKind::SecondLook | RoundKind::Change | RoundKind::AsLeft => {
                false
            }
        }
    }
}

impl State {
    /// Makes the state of a session that has its head only.
    pub fn new(head: &Head) -> State {
        State {
            profile: head.profile.clone(),
            amended: BTreeMap::new(),
            begin: Begin::default(),
            plan: make_plan(&head.profile.profile, &PlanChoice::default()),
            rest: None,
            tape: None,
            worker: None,
            workers: Vec::new(),
            source: None,
            page: BTreeMap::new(),
            source_confirmed: false,
            cautions_due: cautions::all(&head.profile.profile),
            cautions: BTreeMap::new(),
            condition: None,
            condition_rounds: BTreeSet::new(),
            leaves: None,
            out: Vec::new(),
            banks_off: BTreeSet::new(),
            uncovered: BTreeSet::new(),
            taken_off: BTreeSet::new(),
            checks: BTreeMap::new(),
            crank: Crank::Unknown,
            crank_round: None,
            arrived: 0,
            pulled_from: None,
            felt: BTreeSet::new(),
            last_stop: None,
            rock_wanted: true,
            again: None,
            rocked_at: None,
            none_loose: 0,
            unloaded: BTreeSet::new(),
            readings: Vec::new(),
            nuts: BTreeMap::new(),
            before_slack: BTreeMap::new(),
            undone: Undone::default(),
            touched: BTreeSet::new(),
            assembled: BTreeSet::new(),
            parts_out: Vec::new(),
            sizes_owed: Vec::new(),
            fitted: BTreeMap::new(),
            removed: Vec::new(),
            turns_owed: false,
            dry: BTreeSet::new(),
            threads_left: BTreeMap::new(),
            work: BTreeMap::new(),
            remarks: Vec::new(),
            settled: BTreeSet::new(),
            leak_tested: BTreeMap::new(),
            plug_was_out: false,
            tests_put_off: BTreeSet::new(),
            test_things: false,
            found_lost: BTreeMap::new(),
            skipped: BTreeMap::new(),
            rounds_skipped: BTreeMap::new(),
            left_as_is: BTreeMap::new(),
            run: BTreeMap::new(),
            run_skipped: None,
            run_left: BTreeMap::new(),
            added: Vec::new(),
            away: None,
            new_day: false,
            counter: CounterBeside::default(),
            sign: None,
            sealed: None,
            unsigned_why: String::new(),
            redated: None,
            under_way: UnderWay::unknown(),
        }
    }

    /// Returns the rounds of this service, in order.
    pub fn rounds(&self) -> Vec<RoundKind> {
        self.rounds_chosen().iter().chain(&self.added).copied().collect()
    }

    /// Returns what a round, from 0, is for.
    pub fn kind_of(&self, round: usize) -> Option<RoundKind> {
        let chosen = self.rounds_chosen();
        let added = round.checked_sub(chosen.len()).and_then(|place| self.added.get(place));
        chosen.get(round).or(added).copied()
    }

    fn rounds_chosen(&self) -> &'static [RoundKind] {
        match self.begin.rounds {
            None => &[],
            Some(Rounds::SetThenRecheck) => &[RoundKind::Setting, RoundKind::Recheck],
            Some(Rounds::SurveySetRecheck) => {
                &[RoundKind::Survey, RoundKind::Setting, RoundKind::Recheck]
            }
            Some(Rounds::SurveyOnly) if self.changes_shims() => {
                &[RoundKind::Survey, RoundKind::AsLeft]
            }
            Some(Rounds::SurveyOnly) if self.changes_rods() => {
                &[RoundKind::Survey, RoundKind::Change]
            }
            Some(Rounds::SurveyOnly) => &[RoundKind::Survey, RoundKind::SecondLook],
        }
    }

    /// Returns the stop of the plan that gauges a cylinder first.
    pub fn stop_gauging(&self, cylinder: Cylinder) -> Option<usize> {
        self.stops()
            .iter()
            .position(|stop| stop.gauge.iter().any(|gauge| gauge.valve.cylinder == cylinder))
    }

    /// Returns the stop at which this cylinder alone is gauged, both its valves shut there.
    ///
    /// Both rockers loose show that, and no more: where a stop gauges other cylinders too, it is not
    /// found by them.
    pub fn stop_of_loose(&self, cylinder: Cylinder) -> Option<usize> {
        let facts = self.facts();
        let shut = |crank: f64| {
            let mut valves = facts.valves_of(cylinder).into_iter();
            valves.all(|valve| crank::margin(facts, valve, crank) > 0.0)
        };
        self.stops().iter().position(|stop| {
            stop.gauge.iter().all(|gauge| gauge.valve.cylinder == cylinder)
                && stop.crank.is_some_and(shut)
        })
    }

    /// Tells whether rocking is asked at a stop even where the count fits.
    ///
    /// A manual's table tells itself how a position is proven; and nothing is rocked once a valve
    /// has been unloaded.
    pub fn rock_asked_at(&self, stop: usize) -> bool {
        let Ok(plan) = &self.plan else { return true };
        if plan.timing == plan::TimingFrom::Table {
            return false;
        }
        let narrow = self
            .stops()
            .get(stop)
            .and_then(|stop| stop.margin)
            .is_some_and(|margin| margin < ROCK_UNDER_MARGIN);
        self.rock_wanted || narrow
    }

    /// Returns what was seen where the crank stands, where that is known.
    pub fn stands_at(&self) -> Option<Stood> {
        match self.crank {
            Crank::Unknown => None,
            Crank::At { stop, .. } => {
                let stop = self.stops().get(stop)?;
                Some(Stood { watch: stop.watch, sign: stop.sign, then_turn: stop.then_turn })
            }
            Crank::Seen(cylinder) => {
                let sign = crank::overlap_sign(self.facts());
                Some(Stood { watch: cylinder, sign, then_turn: 0 })
            }
            Crank::Elsewhere(stood) => Some(stood),
        }
    }

    /// Returns where the crank stands, degrees, where that is known.
    pub fn crank_angle(&self) -> Option<f64> {
        self.stands_at()?.angle(self.facts())
    }

    /// Returns why the work goes on with the head outside the temperature limit; `None` inside it.
    pub fn warm(&self) -> Option<&str> {
        self.condition.as_ref()?.against_limit.as_deref()
    }

    /// Returns the facts of the engine.
    pub fn facts(&self) -> &Facts {
        &self.profile.profile
    }

    /// Returns the figures that rule in this session for a kind of valve.
    pub fn figures(&self, kind: Kind) -> Figures {
        self.amended.get(&kind).copied().unwrap_or_else(|| self.facts().figures(kind))
    }
}

/// Where the margin is less than this, degrees, rocking is asked at each visit (session.md 3).
pub const ROCK_UNDER_MARGIN: f64 = 60.0;
/// Minutes away after which the head's temperature is asked again (session.md 5).
pub const WARM_AGAIN_MIN: u32 = 60;
/// The id of the `run` entry that starts the running check anew.
pub const RUN_AGAIN: &str = "again";

pub(super) fn make_plan(profile: &EngineProfile, choice: &PlanChoice) -> Result<Plan, String> {
    // A manual's table is used as it is written.
    let choice = if profile.stops.is_some() { PlanChoice::default() } else { *choice };
    plan::plan(profile, &choice).map_err(|refusal| refusal.to_string())
}
