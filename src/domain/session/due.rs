//! What is asked now, derived from the state and from nothing else; no phase field can disagree.

use super::checklist::Line;
use super::state::{Again, Crank, Proven, RoundKind, State};
use crate::domain::entry::{Asked, Figure, PartKind, Step};
use crate::domain::plan::Stop;
use crate::domain::profile::Source;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Valve};
use crate::domain::verdict::Verdict;

/// What is asked now.
#[derive(Clone, Debug, PartialEq)]
pub enum Due {
    /// Nothing: the session is closed.
    Closed,
    /// A notice is up; the next key only comes back.
    Away,
    /// Another day: has it run, are the hours the same?
    NewDay,
    /// Who works?
    Who,
    /// The service before, by this remark, was not run: was it since?
    OwedRun(u64),
    /// Which manual? With the one known from last time.
    SourceName(Option<Source>),
    /// A figure from the manual's page, typed without seeing the profile's.
    PageFigure(Kind, Figure),
    /// The page and the profile differ: stop.
    PageDiffers(Vec<Difference>),
    /// A caution.
    Caution(Line, Asked),
    /// The head's temperature.
    Temperature,
    /// The head is outside the limit.
    OutsideTemperature,
    /// The leaf set in hand.
    Leaves,
    /// Scope, rounds, start.
    Scope,
    /// There is no way round; the words say why.
    NoPlan(String),
    /// Hardware of this bank is counted out.
    CountOut(String, Vec<(String, u32)>),
    /// What is out of its band, which shim goes where, what to get: open it up, or leave it?
    PartsList,
    /// The shim of this valve comes out: marked and measured size.
    TakeOut(Valve),
    /// Two turns by hand after cams or shims went in.
    TurnThrough(Line),
    /// Is the hydraulic lifter of this valve dry and bottomed?
    Dry(Valve, Line),
    /// This valve is out of its band: change its push rod, or say why not.
    ChangeRod(Valve, Verdict),
    /// A part of this valve is out and has to go back first.
    PartOut(Valve, PartKind),
    /// The cams of this bank, or of the engine, are out: in again, with their timing marks seen.
    CamsOut(Option<String>, Line),
    /// Bring the crank to this stop and count the loose rockers.
    Turn {
        /// The stop's place in the plan.
        stop: usize,
        /// Why it has to be found again.
        again: Option<Again>,
        /// True where the crank is said to be there already.
        there: bool,
        /// Whether rocking will be asked.
        rock: bool,
    },
    /// Rock the crank.
    Rock {
        /// The stop.
        stop: usize,
        /// How many were loose.
        loose: u8,
    },
    /// Press this valve open.
    Unload(Valve),
    /// Gauge this valve.
    Gauge(Valve, Step),
    /// Gauge this valve once more: its last reading is not believed at once.
    Again(Valve, Step),
    /// Two readings of a valve stand side by side: what was it?
    Doubted {
        /// The valve.
        valve: Valve,
        /// The seq of the reading that is not believed.
        first: u64,
    },
    /// Leak-test this cylinder before its screw is touched.
    LeakTest(Cylinder, Valve),
    /// Something was felt as it was turned by hand: what was found? Before what it is asked.
    Felt(Line, Stage),
    /// Hold-down torque of this cylinder before its screws are set.
    HoldDown(Cylinder),
    /// This valve is out of its band: set it, or say why not.
    Set(Valve, Verdict),
    /// The nut is slack: set, and type what it reads.
    Trying(Valve),
    /// Is the nut locked, and was this figure gauged after?
    NutAnswer(Valve, u64),
    /// How many threads show?
    Threads(Valve, (u8, u8)),
    /// More or fewer threads show than the profile allows.
    ThreadsOutside(Valve, u8, (u8, u8)),
    /// Let this valve go.
    Release(Valve),
    /// These valves have no as-left figure.
    NoFigure(Vec<Valve>),
    /// A valve out of its band that nobody gave a reason for.
    ReasonFor(Valve, Verdict),
    /// Count this item in.
    CountIn {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// How many came off.
        out: u32,
    },
    /// Pieces are missing, or there are more than came off.
    Shortage {
        /// The bank.
        bank: String,
        /// The item.
        item: String,
        /// Came off.
        out: u32,
        /// Counted in.
        counted: u32,
    },
    /// A check of closing up.
    Check(Line),
    /// Nobody can read what is open: the engine is looked at before anything turns.
    Look(u64, String),
    /// A remark marked "before running".
    BeforeRunning(u64, String),
    /// The leak test of this cylinder was promised for before the run.
    PromisedTest {
        /// The cylinder.
        cylinder: Cylinder,
        /// The seq of the remark that promises it.
        seq: u64,
        /// Asked before the plugs go in: it may be put off once more, to the last moment.
        plugs_out: bool,
    },
    /// A caution of the run.
    RunCaution(Line),
    /// A question of the running check.
    RunCheck(Line),
    /// Something at the run was not as it should be.
    RunFault(String, String),
    /// The signature.
    Sign,
}

/// The parts of the job, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Closed.
    Closed,
    /// A notice is up.
    Away,
    /// Before the first caution: who, the manual, leaves, scope, hardware out.
    Prepare,
    /// Cautions.
    MakeSafe,
    /// How warm the head is, at the beginning of a round.
    Temperature,
    /// At the engine, at one of the stops of a round or on the way there.
    AtAStop,
    /// Cams or shims are out, or about to be.
    Apart,
    /// What is without a figure or a reason is looked at before it is closed up.
    BeforeClosing,
    /// Hardware in, covers on.
    CloseUp,
    /// Run and leak check.
    Run,
    /// The signature.
    Sign,
}

impl Due {
    /// Returns the part of the job that this is asked in.
    pub fn stage(&self) -> Stage {
        match self {
            Due::Closed => Stage::Closed,
            Due::Away => Stage::Away,
            Due::NewDay
            | Due::Who
            | Due::OwedRun(_)
            | Due::SourceName(_)
            | Due::PageFigure(..)
            | Due::PageDiffers(_)
            | Due::Leaves
            | Due::Scope
            | Due::NoPlan(_) => Stage::Prepare,
            Due::CountOut(bank, _) if bank == TEST_THINGS => Stage::CloseUp,
            Due::CountOut(..) => Stage::Prepare,
            Due::Caution(..) => Stage::MakeSafe,
            Due::Temperature | Due::OutsideTemperature => Stage::Temperature,
            Due::Look(..)
            | Due::Dry(..)
            | Due::ChangeRod(..)
            | Due::Turn { .. }
            | Due::Rock { .. }
            | Due::Unload(_)
            | Due::Gauge(..)
            | Due::Again(..)
            | Due::Doubted { .. }
            | Due::LeakTest(..)
            | Due::HoldDown(_)
            | Due::Set(..)
            | Due::Trying(_)
            | Due::NutAnswer(..)
            | Due::Threads(..)
            | Due::ThreadsOutside(..)
            | Due::Release(_) => Stage::AtAStop,
            Due::PartsList
            | Due::TakeOut(_)
            | Due::PartOut(..)
            | Due::CamsOut(..)
            | Due::TurnThrough(_) => Stage::Apart,
            Due::Felt(_, stage) => *stage,
            Due::NoFigure(_) | Due::ReasonFor(..) => Stage::BeforeClosing,
            Due::CountIn { .. }
            | Due::Shortage { .. }
            | Due::Check(_)
            | Due::PromisedTest { plugs_out: true, .. } => Stage::CloseUp,
            Due::BeforeRunning(..)
            | Due::PromisedTest { .. }
            | Due::RunCaution(_)
            | Due::RunCheck(_)
            | Due::RunFault(..) => Stage::Run,
            Due::Sign => Stage::Sign,
        }
    }
}

/// A figure that differs between page and profile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Kind of valve.
    pub kind: Kind,
    /// Which figure.
    pub figure: Figure,
    /// As the page has it.
    pub page: Length,
    /// As the profile has it.
    pub profile: Length,
}

/// "All round": plugs, blanks, rags, tools, leaves.
pub const LOOSE_THINGS: &str = "all round";
/// What is taken out once more for a leak test of a closed engine: plugs, the tester, tools.
pub const TEST_THINGS: &str = "for the leak test";

/// Tells whether a name under which pieces are counted is no bank of the engine.
pub fn lies_about(bank: &str) -> bool {
    [LOOSE_THINGS, TEST_THINGS].contains(&bank)
}

impl State {
    /// Returns what is asked now.
    pub fn due(&self) -> Due {
        if self.sealed.is_some() {
            return Due::Closed;
        }
        if self.away.is_some() {
            return Due::Away;
        }
        let due = self
            .due_in_prepare()
            .or_else(|| self.due_in_rounds().map(|due| self.still_before_a_turn(due)))
            .unwrap_or_else(|| self.due_in_closing());
        self.found_before_a_turn(self.looked_before_a_turn(due))
    }

    fn due_in_prepare(&self) -> Option<Due> {
        if self.new_day || self.counter.up.is_some() {
            return Some(Due::NewDay);
        }
        if self.worker.is_none() {
            return Some(Due::Who);
        }
        if let Some(due) = self.due_of_owed_run() {
            return Some(due);
        }
        if let Some(due) = self.due_of_source() {
            return Some(due);
        }
        if self.run_answered_all() {
            return self.due_caution_of_another();
        }
        if let Some(due) = self.due_caution() {
            return Some(due);
        }
        let round = self.round();
        let wanted = round.unwrap_or(0);
        let gauging = self.begin.rounds.is_none() || round.is_some();
        // What was pressed open for the round before is let go first.
        let gauging = gauging && (self.unloaded.is_empty() || self.crank_round == Some(wanted));
        if gauging && !self.condition_rounds.contains(&wanted) {
            return Some(Due::Temperature);
        }
        if gauging && self.outside_temperature() {
            return Some(Due::OutsideTemperature);
        }
        if self.leaves.is_none() {
            return Some(Due::Leaves);
        }
        if self.begin.rounds.is_none() {
            return Some(Due::Scope);
        }
        if let Err(why) = &self.plan {
            return Some(Due::NoPlan(why.clone()));
        }
        self.due_count_out()
    }

    fn due_of_source(&self) -> Option<Due> {
        let Some((_, practice)) = self.source else {
            return Some(Due::SourceName(self.begin.known_source.clone()));
        };
        if practice || self.source_confirmed {
            return None;
        }
        let wanted = Kind::BOTH
            .into_iter()
            .filter(|kind| !self.amended.contains_key(kind))
            .flat_map(|kind| FIGURES.into_iter().map(move |figure| (kind, figure)));
        for (kind, figure) in wanted {
            if !self.page.contains_key(&(kind, figure)) {
                return Some(Due::PageFigure(kind, figure));
            }
        }
        let differences = self.page_differences();
        (!differences.is_empty()).then_some(Due::PageDiffers(differences))
    }

    /// Lists where the page differs from the profile, beyond what rounding to the page's own digits
    /// could explain (half a thousandth of a millimetre). Amended figures have their own source.
    pub fn page_differences(&self) -> Vec<Difference> {
        self.page
            .iter()
            .filter(|((kind, _), _)| !self.amended.contains_key(kind))
            .filter_map(|(&(kind, figure), &page)| {
                let figures = self.facts().figures(kind);
                let profile = match figure {
                    Figure::Target => figures.target,
                    Figure::Least => figures.least,
                    Figure::Most => figures.most,
                };
                let differs = page != profile && (page.nm() - profile.nm()).abs() > 500;
                differs.then_some(Difference { kind, figure, page, profile })
            })
            .collect()
    }

    /// Tells whether the head's temperature is outside the limit and nobody said why to go on.
    pub fn outside_temperature(&self) -> bool {
        let Some(condition) = &self.condition else { return false };
        let Some(head) = condition.head else { return false };
        let when = &self.facts().gauge_when;
        when.is_outside(head) && condition.against_limit.is_none()
    }

    fn due_in_rounds(&self) -> Option<Due> {
        if let Some(due) = self.due_of_parts() {
            return Some(due);
        }
        let held = self.unloaded.iter().next();
        let next = self.round().and_then(|round| Some((round, self.next_stop(round)?)));
        let Some((round, stop)) = next else { return held.map(|&valve| Due::Release(valve)) };
        let proof = match self.crank {
            Crank::At { stop: at, proof } if at == stop => {
                Some(proof).filter(|_| self.works_here(round, stop))
            }
            Crank::At { .. } | Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => None,
        };
        // Nothing is proven for a question that neither gauges nor turns (session.md 5).
        if proof != Some(Proven::Yes)
            && let Some(due) = self.due_of_answer(round)
        {
            return Some(due);
        }
        match proof {
            Some(Proven::Yes) => self.due_at_stop(round, stop),
            Some(Proven::RockNext { loose }) => Some(Due::Rock { stop, loose }),
            Some(Proven::No) | None => {
                // A held-open valve is let go before anything is proven anew.
                if let Some(&valve) = held {
                    return Some(Due::Release(valve));
                }
                let again = self.again.filter(|_| proof.is_some());
                let there = proof.is_some() && again.is_none() && !self.sign_is_gone(stop);
                let there = there || self.seen_here(stop);
                Some(Due::Turn { stop, again, there, rock: self.rock_asked_at(stop) })
            }
        }
    }

    pub(super) fn seen_here(&self, stop: usize) -> bool {
        let Crank::Seen(cylinder) = self.crank else { return false };
        self.stops().get(stop).is_some_and(|stop| {
            stop.watch == cylinder && stop.then_turn == 0 && stop.sign.is_overlap()
        })
    }

    /// Returns the stops of the plan, or of the rest that was planned anew; none where there is no plan.
    pub fn stops(&self) -> &[Stop] {
        match (&self.rest, &self.plan) {
            (Some(rest), _) => &rest.plan.stops,
            (None, Ok(plan)) => &plan.stops,
            (None, Err(_)) => &[],
        }
    }

    fn due_at_stop(&self, round: usize, place: usize) -> Option<Due> {
        let stop = self.stops().get(place)?;
        let due = self.due_once_held(round, place, stop)?;
        // After a break or a leak test what was held open was let go; a clearance is gauged and set
        // with it held.
        let held = stop.unload.iter().find(|held| !self.unloaded.contains(held));
        // The crank is turned for a leak test: nothing is held open then.
        let open = self.unloaded.iter().next();
        if let (Due::LeakTest(..), Some(&open)) = (&due, open) {
            return Some(Due::Release(open));
        }
        Some(held.filter(|_| due.gauges()).map_or(due, |&held| Due::Unload(held)))
    }

    fn due_once_held(&self, round: usize, place: usize, stop: &Stop) -> Option<Due> {
        let valves: Vec<Valve> = stop.gauge.iter().map(|gauge| gauge.valve).collect();
        let of_nut = |&valve: &Valve| {
            let due = self.due_of_nut(round, valve)?;
            Some(self.due_of_hold_down(valve).unwrap_or(due))
        };
        if let Some(due) = valves.iter().find_map(of_nut) {
            return Some(due);
        }
        if !self.stands_for(round) {
            return self.unloaded.iter().next().map(|&valve| Due::Release(valve));
        }
        if let Some(due) = self.due_of_doubt(round, place, &valves) {
            let again = if let Due::Again(valve, _) = due { Some(valve) } else { None };
            return again.and_then(|valve| self.due_of_lifter(valve)).or(Some(due));
        }
        if let Some(&valve) = valves.iter().find(|&&valve| self.is_read_here(round, valve)) {
            let first = self.due_of_hold_down(valve).or_else(|| self.due_of_lifter(valve));
            return first.or_else(|| Some(Due::Gauge(valve, self.step_of(round, valve))));
        }
        if let Some(&valve) = valves.iter().find(|&&valve| self.wants_leak_test(round, valve)) {
            return Some(Due::LeakTest(valve.cylinder, valve));
        }
        if let Some(due) = valves.iter().find_map(|&valve| self.due_setting(round, valve)) {
            return Some(due);
        }
        self.unloaded.iter().next().map(|&valve| Due::Release(valve))
    }

    fn due_setting(&self, round: usize, valve: Valve) -> Option<Due> {
        let rod = self.wants_rod(round, valve);
        if !self.needs_setting(round, valve) && !rod {
            return None;
        }
        let verdict = self.verdict_now(valve)?;
        let set = if rod { Due::ChangeRod(valve, verdict) } else { Due::Set(valve, verdict) };
        self.before_setting(valve).or(Some(set))
    }

    /// Returns what has to be answered before the screw of a valve is touched.
    pub(super) fn before_setting(&self, valve: Valve) -> Option<Due> {
        if self.wants_leak_test_of(valve) {
            return Some(Due::LeakTest(valve.cylinder, valve));
        }
        self.due_of_hold_down(valve)
    }

    /// Tells whether a valve reads so little that its cylinder is leak-tested before anything of it
    /// is changed, and that is not answered yet.
    pub(super) fn wants_leak_test_of(&self, valve: Valve) -> bool {
        self.very_tight(valve) && !self.leak_tested.contains_key(&valve.cylinder)
    }

    /// Tells whether a figure is so small that the cylinder is leak-tested before a screw is
    /// touched: nothing went in, or less than half of the lower limit (our reading of "very tight").
    fn very_tight(&self, valve: Valve) -> bool {
        self.current(valve).is_some_and(|taken| self.near_nothing(&taken.reading))
    }

    /// Returns the kind of the round under way, where one is.
    pub fn round_kind(&self) -> Option<RoundKind> {
        self.rounds().get(self.round()?).copied()
    }
}

/// The figures read from a manual's page, in the order in which they are asked.
pub const FIGURES: [Figure; 3] = [Figure::Target, Figure::Least, Figure::Most];
