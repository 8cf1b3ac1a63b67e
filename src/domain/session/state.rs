//! What the entries of a session add up to.
//!
//! A state is only ever made by applying entries in order; an entry that was taken back is left out
//! and the rest applied anew. Nothing here decides: what is due is derived in `due.rs`.

use super::checklist;
use crate::domain::entry::{
    Amended, Asked, At, Begin, Change, Condition, Correct, Entry, Figure, Head, Kept, LeafSet, NutSaid,
    Off, On, PartKind, ProfileText, Proof, Reading, Remark, Rocked, Rounds, Run, Sign, Skipped,
    SourceRead, Step,
};
use crate::domain::plan::{self, Plan, PlanChoice};
use crate::domain::profile::{EngineProfile, Facts, Figures, Source};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Valve};
use std::collections::{BTreeMap, BTreeSet};

/// A reading as it counts now.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The entry it comes from.
    pub seq: u64,
    /// The reading, with corrections applied.
    pub reading: Reading,
    /// Where the crank stood, degrees, where known.
    pub crank: Option<f64>,
    /// What was typed first, and why it was corrected.
    pub corrected: Option<(String, String)>,
    /// False where an amended profile does not show the valve shut there, or work came after.
    pub counts: bool,
    /// False where an amended profile does not show the valve shut there: no as-found either.
    pub shut: bool,
    /// For a try: the nut was locked and this was gauged after.
    pub locked: bool,
}

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
    /// The reading gauged after locking; `None` while slack.
    pub locked_by: Option<u64>,
    /// Threads counted since it was locked.
    pub threads: Option<u8>,
}

/// What an amended profile or figures make of a kind's figures.
pub type AmendedFigures = BTreeMap<Kind, Figures>;

/// A count of hardware that is out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutCount {
    /// The bank.
    pub bank: String,
    /// The item.
    pub item: String,
    /// How many came off.
    pub out: u32,
    /// How many were counted in, where counted.
    pub counted_in: Option<u32>,
    /// Found, or accounted for.
    pub settled: bool,
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
    /// The page's figures rule, although they differ from the profile's.
    pub page_rules: bool,
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
    /// Closing checks done.
    pub checks: BTreeMap<String, String>,
    /// Where the crank is.
    pub crank: Crank,
    /// The last stop that was proven, for going on after a break.
    pub last_stop: Option<usize>,
    /// Rocking is asked at the next proof.
    pub rock_wanted: bool,
    /// Why the stop has to be found again.
    pub again: Option<Again>,
    /// How often none was loose at this stop.
    pub none_loose: u8,
    /// Valves held open by hand.
    pub unloaded: BTreeSet<Valve>,
    /// Readings that count or counted, in journal order.
    pub readings: Vec<Taken>,
    /// Nuts spoken of.
    pub nuts: BTreeMap<Valve, Nut>,
    /// Valves whose setting was touched.
    pub touched: BTreeSet<Valve>,
    /// Parts that are out.
    pub parts_out: Vec<(Option<Valve>, PartKind)>,
    /// Last work on a cylinder, by seq; false until its hold-down torque is known.
    pub work: BTreeMap<Cylinder, (u64, bool)>,
    /// Remarks in order.
    pub remarks: Vec<(u64, Remark)>,
    /// Remarks settled.
    pub settled: BTreeSet<u64>,
    /// Cylinders leak-tested or excused.
    pub leak_tested: BTreeMap<Cylinder, (Option<(u16, u16)>, Option<String>)>,
    /// Valves whose as-found figure is lost, with the reason.
    pub found_lost: BTreeMap<Valve, String>,
    /// Valves passed over in a round, with the reason and the entry.
    pub skipped: BTreeMap<(usize, Valve), (u64, String)>,
    /// Rounds passed over, with the entry and the reason.
    pub rounds_skipped: BTreeMap<usize, (u64, String)>,
    /// Valves left outside their band, with the reason.
    pub left_as_is: BTreeMap<Valve, String>,
    /// Answers of the running check, last one each.
    pub run: BTreeMap<String, Run>,
    /// Why the engine was not run.
    pub run_skipped: Option<String>,
    /// Faults at the run that were left, with the reason.
    pub run_left: BTreeMap<String, String>,
    /// Recheck rounds added after the run.
    pub extra_rounds: usize,
    /// A notice is up.
    pub away: Option<String>,
    /// Another day: hours to be confirmed.
    pub new_day: bool,
    /// The signature.
    pub sign: Option<Sign>,
    /// Closed; true where signed.
    pub sealed: Option<bool>,
    /// Why it was closed unsigned.
    pub unsigned_why: String,
    /// The day as corrected.
    pub redated: Option<String>,
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
}

impl State {
    /// Makes the state of a session that has its head only.
    pub fn new(head: &Head) -> State {
        let profile = head.profile.clone();
        let cautions_due = checklist::cautions(&profile.profile)
            .into_iter()
            .map(|line| (line.id, Asked::Start))
            .collect();
        let plan = make_plan(&profile.profile, None);
        State {
            profile,
            amended: BTreeMap::new(),
            begin: Begin::default(),
            plan,
            worker: None,
            workers: Vec::new(),
            source: None,
            page: BTreeMap::new(),
            source_confirmed: false,
            page_rules: false,
            cautions_due,
            cautions: BTreeMap::new(),
            condition: None,
            condition_rounds: BTreeSet::new(),
            leaves: None,
            out: Vec::new(),
            banks_off: BTreeSet::new(),
            checks: BTreeMap::new(),
            crank: Crank::Unknown,
            last_stop: None,
            rock_wanted: true,
            again: None,
            none_loose: 0,
            unloaded: BTreeSet::new(),
            readings: Vec::new(),
            nuts: BTreeMap::new(),
            touched: BTreeSet::new(),
            parts_out: Vec::new(),
            work: BTreeMap::new(),
            remarks: Vec::new(),
            settled: BTreeSet::new(),
            leak_tested: BTreeMap::new(),
            found_lost: BTreeMap::new(),
            skipped: BTreeMap::new(),
            rounds_skipped: BTreeMap::new(),
            left_as_is: BTreeMap::new(),
            run: BTreeMap::new(),
            run_skipped: None,
            run_left: BTreeMap::new(),
            extra_rounds: 0,
            away: None,
            new_day: false,
            sign: None,
            sealed: None,
            unsigned_why: String::new(),
            redated: None,
        }
    }

    /// Applies one entry. Never refuses: what is in the journal happened.
    pub fn apply(&mut self, kept: &Kept) {
        let seq = kept.seq;
        match &kept.entry {
            Entry::Head(_) | Entry::Recover(_) => {}
            Entry::Begin(begin) => self.begin_with(begin),
            Entry::Who(who) => self.who(&who.name, who.takes_over),
            Entry::Caution(caution) => {
                self.cautions.insert(caution.id.clone(), (caution.digit, caution.seen.clone()));
                if caution.safe {
                    self.cautions_due.remove(&caution.id);
                }
            }
            Entry::Condition(condition) => self.conditioned(condition),
            Entry::Source(read) => self.source_read(read),
            Entry::Leaves(set) => self.leaves = Some(set.clone()),
            Entry::Off(off) => self.counted_out(off),
            Entry::On(on) => self.counted_in(on),
            Entry::At(at) => self.crank_at(*at),
            Entry::Proof(proof) => self.proved(*proof),
            Entry::Unload(unload) => {
                self.unloaded.insert(unload.valve);
            }
            Entry::Release(release) => {
                self.unloaded.remove(&release.valve);
            }
            Entry::Reading(reading) => self.read(seq, reading.clone()),
            Entry::Adopt(adopt) => self.read(seq, adopt.reading.clone()),
            Entry::Nut(nut) => self.nut(seq, nut.valve, &nut.said),
            Entry::Part(part) => self.part(part.valve, part.part, part.out),
            Entry::Work(work) => self.worked(seq, work.cylinder, work.hold_down.is_some()),
            Entry::Remark(remark) => {
                self.settled.extend(remark.settles);
                self.remarks.push((seq, remark.clone()));
            }
            Entry::LeakTest(test) => {
                self.leak_tested.insert(test.cylinder, (test.held, test.why_not.clone()));
            }
            Entry::Skip(skip) => self.skip(seq, &skip.what, &skip.why),
            Entry::Correct(correct) => self.correct(correct),
            Entry::Amend(amend) => self.amend(&amend.what),
            Entry::Away(away) => self.away = Some(away.text.clone()),
            Entry::Back(back) => self.back(back.new_day, back.after_min),
            Entry::Run(run) => self.ran(run),
            Entry::Sign(sign) => self.sign = Some(sign.clone()),
            Entry::Seal(seal) => {
                self.sealed = Some(seal.signed);
                self.unsigned_why = seal.why.clone();
            }
            Entry::Redate(redate) => self.redated = Some(redate.day.clone()),
        }
    }

    fn begin_with(&mut self, new: &Begin) {
        fn take<T: Clone>(old: &mut Option<T>, new: &Option<T>) {
            if new.is_some() {
                old.clone_from(new);
            }
        }
        let Begin {
            name,
            engine_id,
            engine,
            serial,
            hours,
            hours_why,
            total_time,
            known_source,
            known_worker,
            scope,
            scope_why,
            rounds,
            from,
            corrects,
        } = new;
        if hours.is_some() {
            self.new_day = false;
        }
        let begin = &mut self.begin;
        take(&mut begin.name, name);
        take(&mut begin.engine_id, engine_id);
        take(&mut begin.engine, engine);
        take(&mut begin.serial, serial);
        take(&mut begin.hours, hours);
        take(&mut begin.hours_why, hours_why);
        take(&mut begin.total_time, total_time);
        take(&mut begin.known_source, known_source);
        take(&mut begin.known_worker, known_worker);
        take(&mut begin.scope, scope);
        take(&mut begin.scope_why, scope_why);
        take(&mut begin.rounds, rounds);
        take(&mut begin.corrects, corrects);
        if from.is_some() && *from != begin.from {
            begin.from = *from;
            self.replan();
        }
    }

    fn replan(&mut self) {
        self.plan = make_plan(&self.profile.profile, self.begin.from);
        self.crank = Crank::Unknown;
        self.last_stop = None;
        self.rock_wanted = true;
    }

    fn who(&mut self, name: &str, takes_over: bool) {
        if takes_over {
            self.ask_all_cautions();
            self.break_crank();
        }
        self.worker = Some(name.to_string());
        if !self.workers.iter().any(|worker| worker == name) {
            self.workers.push(name.to_string());
        }
    }

    fn ask_all_cautions(&mut self) {
        for line in checklist::cautions(&self.profile.profile) {
            self.cautions_due.insert(line.id, Asked::Start);
        }
    }

    /// After a break the crank may have been moved: it is where it was only once proven again.
    fn break_crank(&mut self) {
        if let Crank::At { stop, .. } = self.crank {
            self.crank = Crank::At { stop, proof: Proven::No };
        }
        self.rock_wanted = true;
        self.again = None;
        self.none_loose = 0;
    }

    fn conditioned(&mut self, condition: &Condition) {
        if let Some(round) = self.round() {
            self.condition_rounds.insert(round);
        } else {
            self.condition_rounds.insert(0);
        }
        // A reason given against the limit comes after the temperature and keeps it.
        if condition.head.is_none() {
            if let Some(old) = &mut self.condition {
                old.against_limit.clone_from(&condition.against_limit);
            }
        } else {
            self.condition = Some(condition.clone());
        }
    }

    fn source_read(&mut self, read: &SourceRead) {
        match read {
            SourceRead::Named { source, practice } => {
                self.source = Some((source.clone(), *practice));
                self.page.clear();
                self.source_confirmed = false;
                self.page_rules = false;
            }
            SourceRead::Figure { kind, figure, value, .. } => {
                self.page.insert((*kind, *figure), *value);
            }
            SourceRead::Confirmed => {
                self.source = self.begin.known_source.clone().map(|source| (source, false));
                self.source_confirmed = true;
            }
            SourceRead::Again => self.page.clear(),
        }
    }

    fn counted_out(&mut self, off: &Off) {
        self.banks_off.insert(off.bank.clone());
        self.out.retain(|count| count.bank != off.bank);
        self.out.extend(off.items.iter().map(|(item, out)| OutCount {
            bank: off.bank.clone(),
            item: item.clone(),
            out: *out,
            counted_in: None,
            settled: false,
        }));
    }

    fn counted_in(&mut self, on: &On) {
        match on {
            On::Count { bank, item, count } => {
                if let Some(line) = self.out_line(bank, item) {
                    line.counted_in = Some(*count);
                    line.settled = *count == line.out;
                }
            }
            On::Found { bank, item } | On::AccountedFor { bank, item, .. } => {
                if let Some(line) = self.out_line(bank, item) {
                    line.settled = true;
                }
            }
            On::Check { id, seen, done, .. } => {
                if *done {
                    self.checks.insert(id.clone(), seen.clone());
                }
            }
        }
    }

    fn out_line(&mut self, bank: &str, item: &str) -> Option<&mut OutCount> {
        self.out.iter_mut().find(|count| count.bank == bank && count.item == item)
    }

    fn crank_at(&mut self, at: At) {
        self.again = None;
        self.none_loose = match (at, self.crank) {
            (At::Stop { stop, .. }, Crank::At { stop: before, .. }) if stop == before => {
                self.none_loose
            }
            (At::Stop { .. } | At::SeenOverlap(_) | At::SeenLoose(_) | At::Lost, _) => 0,
        };
        self.crank = match at {
            At::Stop { stop, .. } => Crank::At { stop, proof: Proven::No },
            At::SeenOverlap(cylinder) => {
                self.rock_wanted = true;
                Crank::Seen(cylinder)
            }
            At::SeenLoose(cylinder) => {
                self.rock_wanted = true;
                match self.stop_gauging(cylinder) {
                    Some(stop) => Crank::At { stop, proof: Proven::No },
                    None => Crank::Unknown,
                }
            }
            At::Lost => {
                self.rock_wanted = true;
                Crank::Unknown
            }
        };
    }

    /// Returns the stop of the plan that gauges a cylinder first.
    pub fn stop_gauging(&self, cylinder: Cylinder) -> Option<usize> {
        let plan = self.plan.as_ref().ok()?;
        plan.stops
            .iter()
            .position(|stop| stop.gauge.iter().any(|gauge| gauge.valve.cylinder == cylinder))
    }

    fn proved(&mut self, proof: Proof) {
        let Crank::At { stop, .. } = self.crank else { return };
        let rock = self.rock_asked_at(stop);
        match (proof.rocked, proof.loose) {
            (Some(Rocked::Steady), _) => {
                self.rock_wanted = false;
                self.proven(stop);
            }
            (Some(Rocked::Moved), _) => self.find_again(stop, Again::Moved),
            (None, loose) if loose == proof.of && !rock => self.proven(stop),
            (None, 0) if self.none_loose == 0 => {
                self.find_again(stop, Again::WrongStroke);
                self.none_loose = 1;
            }
            (None, loose) => {
                self.crank = Crank::At { stop, proof: Proven::RockNext { loose } };
            }
        }
    }

    fn proven(&mut self, stop: usize) {
        self.crank = Crank::At { stop, proof: Proven::Yes };
        self.last_stop = Some(stop);
        self.again = None;
        self.none_loose = 0;
    }

    fn find_again(&mut self, stop: usize, again: Again) {
        self.crank = Crank::At { stop, proof: Proven::No };
        self.again = Some(again);
        self.rock_wanted = true;
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
        let narrow = plan
            .stops
            .get(stop)
            .and_then(|stop| stop.margin)
            .is_some_and(|margin| margin < ROCK_UNDER_MARGIN);
        self.rock_wanted || narrow
    }

    fn read(&mut self, seq: u64, reading: Reading) {
        let crank = self.crank_angle();
        self.readings.push(Taken {
            seq,
            reading,
            crank,
            corrected: None,
            counts: true,
            shut: true,
            locked: false,
        });
    }

    /// Returns where the crank stands, degrees, where that is known.
    pub fn crank_angle(&self) -> Option<f64> {
        match self.crank {
            Crank::Unknown => None,
            Crank::At { stop, .. } => self.plan.as_ref().ok()?.stops.get(stop)?.crank,
            Crank::Seen(cylinder) => {
                Some(crate::domain::crank::overlap_angle(&self.profile.profile, cylinder))
            }
        }
    }

    fn nut(&mut self, seq: u64, valve: Valve, said: &NutSaid) {
        match said {
            NutSaid::Slack => {
                self.touched.insert(valve);
                self.left_as_is.remove(&valve);
                self.nuts.insert(valve, Nut { said_at: seq, locked_by: None, threads: None });
            }
            NutSaid::Locked { gauged, .. } => {
                self.nuts
                    .insert(valve, Nut { said_at: seq, locked_by: Some(*gauged), threads: None });
                if let Some(taken) = self.readings.iter_mut().find(|taken| taken.seq == *gauged) {
                    taken.locked = true;
                }
            }
            NutSaid::NeverTouched { .. } => {
                self.nuts.remove(&valve);
                self.touched.remove(&valve);
            }
            NutSaid::Threads(threads) => {
                if let Some(nut) = self.nuts.get_mut(&valve) {
                    nut.threads = Some(*threads);
                }
            }
        }
    }

    fn part(&mut self, valve: Option<Valve>, part: PartKind, out: bool) {
        if out {
            self.parts_out.push((valve, part));
            self.touched.extend(valve);
        } else if let Some(place) = self.parts_out.iter().position(|&one| one == (valve, part)) {
            self.parts_out.remove(place);
        }
    }

    fn worked(&mut self, seq: u64, cylinder: Cylinder, hold_down: bool) {
        if hold_down {
            if let Some(work) = self.work.get_mut(&cylinder) {
                work.1 = true;
            }
            return;
        }
        self.work.insert(cylinder, (seq, false));
        for taken in &mut self.readings {
            if taken.reading.valve.cylinder == cylinder {
                taken.counts = false;
            }
        }
    }

    fn skip(&mut self, seq: u64, what: &Skipped, why: &str) {
        match what {
            Skipped::AsFound(valve) => {
                self.found_lost.insert(*valve, why.into());
                self.touched.insert(*valve);
                self.nuts
                    .entry(*valve)
                    .or_insert(Nut { said_at: seq, locked_by: None, threads: None });
            }
            Skipped::Gauging(valve, round) => {
                self.skipped.insert((usize::from(*round), *valve), (seq, why.into()));
            }
            Skipped::Setting(valve) => {
                self.left_as_is.insert(*valve, why.into());
            }
            Skipped::Round(round) => {
                self.rounds_skipped.insert(usize::from(*round), (seq, why.into()));
            }
            Skipped::Check(id) => {
                self.run_left.insert(id.clone(), why.into());
            }
            Skipped::Run => self.run_skipped = Some(why.into()),
        }
    }

    fn correct(&mut self, correct: &Correct) {
        match &correct.change {
            Change::Void => {}
            Change::Value { typed, unit, low, high, nominal, single } => {
                let Some(taken) = self.taken_mut(correct.of) else { return };
                let first = taken.reading.typed.clone();
                let reading = &mut taken.reading;
                reading.typed.clone_from(typed);
                reading.unit = *unit;
                (reading.low, reading.high, reading.nominal) = (*low, *high, *nominal);
                reading.single = *single;
                let first = taken.corrected.take().map_or(first, |(oldest, _)| oldest);
                taken.corrected = Some((first, correct.why.clone()));
            }
            Change::SwapWith(other) => {
                let one = self.taken_mut(correct.of).map(|taken| taken.reading.valve);
                let two = self.taken_mut(*other).map(|taken| taken.reading.valve);
                if let (Some(one), Some(two)) = (one, two) {
                    let words = |valve: Valve| Some((format!("as {valve}"), correct.why.clone()));
                    if let Some(taken) = self.taken_mut(correct.of) {
                        taken.reading.valve = two;
                        taken.corrected = words(one);
                    }
                    if let Some(taken) = self.taken_mut(*other) {
                        taken.reading.valve = one;
                        taken.corrected = words(two);
                    }
                }
            }
        }
    }

    fn taken_mut(&mut self, seq: u64) -> Option<&mut Taken> {
        self.readings.iter_mut().find(|taken| taken.seq == seq)
    }

    fn amend(&mut self, what: &Amended) {
        match what {
            Amended::Figures { kind, target, least, most } => {
                self.amended.insert(
                    *kind,
                    Figures {
                        target: *target,
                        least: *least,
                        most: *most,
                        set_least: *least,
                        set_most: *most,
                    },
                );
                self.page_rules = true;
            }
            Amended::Profile(profile) => {
                let scope_of_cautions = checklist::cautions(&profile.profile);
                self.profile = (**profile).clone();
                self.amended.clear();
                self.replan();
                for line in scope_of_cautions {
                    if !self.cautions.contains_key(&line.id) {
                        self.cautions_due.insert(line.id, Asked::Start);
                    }
                }
                self.drop_unshut();
            }
        }
    }

    /// Readings made where the new profile does not show the valve shut are due again.
    fn drop_unshut(&mut self) {
        let profile = self.profile.profile.clone();
        for taken in &mut self.readings {
            let shut = taken.reading.against_plan.is_some()
                || taken.crank.is_none_or(|crank| {
                    crate::domain::crank::margin(&profile, taken.reading.valve, crank) > 0.0
                });
            taken.counts &= shut;
            taken.shut &= shut;
        }
    }

    fn back(&mut self, new_day: bool, after_min: Option<u32>) {
        self.away = None;
        self.break_crank();
        if new_day {
            self.new_day = true;
            self.ask_all_cautions();
        }
        for line in checklist::cautions(&self.profile.profile) {
            if line.after_break {
                self.cautions_due.entry(line.id).or_insert(Asked::Back);
            }
        }
        if self.begun_running() {
            self.ask_run_cautions();
        }
        if (new_day || after_min.is_some_and(|minutes| minutes >= WARM_AGAIN_MIN))
            && let Some(round) = self.round()
        {
            self.condition_rounds.remove(&round);
        }
    }

    fn begun_running(&self) -> bool {
        !self.run.is_empty() || self.cautions.keys().any(|id| id.starts_with("run-"))
    }

    fn ask_run_cautions(&mut self) {
        for line in checklist::run_cautions(&self.profile.profile) {
            self.cautions.remove(&line.id);
        }
    }

    fn ran(&mut self, run: &Run) {
        match (run.id.as_str(), run.good) {
            (RUN_AGAIN, true) => self.run.clear(),
            (RUN_AGAIN, false) => {
                self.run.clear();
                self.extra_rounds += 1;
                self.out.clear();
                self.banks_off.clear();
                self.checks.clear();
                self.ask_run_cautions();
                self.ask_all_cautions();
                self.break_crank();
            }
            _ => {
                self.run.insert(run.id.clone(), run.clone());
            }
        }
    }

    /// Returns the rounds of this service, in order.
    pub fn rounds(&self) -> Vec<RoundKind> {
        let mut rounds = match self.begin.rounds {
            None => Vec::new(),
            Some(Rounds::SetThenRecheck) => vec![RoundKind::Setting, RoundKind::Recheck],
            Some(Rounds::SurveySetRecheck) => {
                vec![RoundKind::Survey, RoundKind::Setting, RoundKind::Recheck]
            }
            Some(Rounds::SurveyOnly) => vec![RoundKind::Survey, RoundKind::SecondLook],
        };
        rounds.extend(std::iter::repeat_n(RoundKind::Recheck, self.extra_rounds));
        rounds
    }

    /// Returns the facts of the engine.
    pub fn facts(&self) -> &Facts {
        &self.profile.profile
    }

    /// Returns the figures that rule in this session for a kind of valve.
    pub fn figures(&self, kind: Kind) -> Figures {
        self.amended.get(&kind).copied().unwrap_or_else(|| self.facts().figures(kind))
    }

    /// Tells whether a cylinder is in the scope of this service.
    pub fn in_scope(&self, cylinder: Cylinder) -> bool {
        match &self.begin.scope {
            None => true,
            Some(scope) => scope.is_empty() || scope.contains(&cylinder),
        }
    }

    /// Lists the valves in scope.
    pub fn valves(&self) -> Vec<Valve> {
        self.facts().valves().into_iter().filter(|valve| self.in_scope(valve.cylinder)).collect()
    }
}

/// Where the margin is less than this, degrees, rocking is asked at each visit (session.md 3).
pub const ROCK_UNDER_MARGIN: f64 = 60.0;
/// Minutes away after which the head's temperature is asked again (session.md 5).
pub const WARM_AGAIN_MIN: u32 = 60;
/// The id of the `run` entry that starts the running check anew.
pub const RUN_AGAIN: &str = "again";

fn make_plan(profile: &EngineProfile, from: Option<Cylinder>) -> Result<Plan, String> {
    plan::plan(profile, &PlanChoice { from, ..PlanChoice::default() })
        .map_err(|refusal| refusal.to_string())
}

impl Taken {
    /// Tells whether this reading was made with nothing loose, so that it can be an as-left.
    pub fn nothing_loose(&self) -> bool {
        match self.reading.step {
            Step::Found | Step::Recheck | Step::Left => true,
            Step::Try => self.locked,
        }
    }
}
