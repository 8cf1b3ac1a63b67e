//! Applying entries: how each kind changes the state. Never refuses: what is in the journal happened.

use super::checklist::{self, RAN_MEANWHILE, THREADS};
use super::closing::RUN_HANDED_OVER;
use super::parts::Fitted;
use super::state::{Again, Crank, Proven, RestOfRound, State, WARM_AGAIN_MIN, make_plan};
use super::turning::Tape;
use super::under_way::UnderWay;
use crate::domain::crank;
use crate::domain::entry::{
    Asked, At, Back, Begin, Condition, CounterTold, Entry, Kept, Proof, Rocked, Skip, Skipped,
    SourceRead,
};
use crate::domain::plan::{PlanChoice, Stop};
use crate::domain::valve::Cylinder;

impl State {
    /// Applies one entry. Never refuses: what is in the journal happened.
    pub fn apply(&mut self, kept: &Kept) {
        let slack = self.slack_after_the_rounds(kept);
        let round = self.round();
        let closing = !self.apart() && round.is_none();
        let closed_up = closing && self.closed_up();
        self.under_way = UnderWay::changing();
        let ended = self.undone.rest_ended.take();
        self.take(kept, round);
        self.rest_again(ended, &kept.entry);
        self.drop_rest(kept.seq);
        if closing && self.at_work() {
            if closed_up {
                self.reopen();
            } else {
                self.count_in_anew();
            }
        }
        self.slack_was_said(slack);
        self.under_way = UnderWay::unknown();
    }

    fn take(&mut self, kept: &Kept, round: Option<usize>) {
        let seq = kept.seq;
        match &kept.entry {
            Entry::Head(_) | Entry::Recover(_) => {}
            Entry::Begin(begin) => {
                self.counting_again(|state| {
                    state.begin_with(begin);
                    state.carry(seq, &begin.left_open);
                });
                self.off_already_whole(&begin.left_open);
            }
            Entry::Who(who) => self.who(&who.name, who.takes_over),
            Entry::Caution(caution) => self.caution_answered(caution),
            Entry::Condition(condition) => self.conditioned(condition, round),
            Entry::Source(read) => self.source_read(read),
            Entry::Leaves(set) => self.counting_loose(|state| state.leaves.replace(set.clone())),
            Entry::Off(off) => self.counted_out(off),
            Entry::On(on) => self.counted_in(on),
            Entry::At(at) => self.crank_at(seq, *at, round),
            Entry::Proof(proof) => {
                self.rocked_at = proof.rocked.map(|_| seq).or(self.rocked_at);
                self.proved(*proof);
            }
            Entry::Unload(unload) => {
                self.unloaded.insert(unload.valve);
            }
            Entry::Release(release) => {
                self.unloaded.remove(&release.valve);
            }
            Entry::Reading(reading) => {
                // A paper tells where the crank stood as little as where it stands now.
                let stood = self.stands_at().filter(|_| reading.paper.is_none());
                self.read(seq, reading.clone(), stood);
                self.looked_closer(reading);
            }
            Entry::Adopt(adopt) => self.read(seq, adopt.reading.clone(), None),
            Entry::Nut(nut) => self.counting_again(|state| state.nut(seq, nut)),
            Entry::Part(part) => self.counting_again(|state| state.part(seq, part)),
            Entry::Work(work) => self.counting_again(|state| state.worked(seq, work)),
            Entry::Remark(remark) => {
                self.settled.extend(remark.settles);
                self.remarks.push((seq, remark.clone()));
            }
            Entry::LeakTest(test) => self.leak_test(test),
            Entry::Skip(skip) => self.counting_again(|state| state.skip(seq, skip)),
            Entry::Correct(correct) => self.correct(correct),
            Entry::Amend(amend) => {
                self.counting_again(|state| state.danger_stays(|state| state.amend(seq, amend)));
            }
            Entry::Away(away) => self.away = Some(away.text.clone()),
            Entry::Back(back) => self.back(back),
            Entry::Run(run) => self.ran(run),
            Entry::Sign(sign) => self.sign = Some(sign.clone()),
            Entry::Seal(seal) => {
                self.sealed = Some(seal.signed);
                self.undone.tells_not_put_back = seal.tells_not_put_back;
                self.undone.tells_not_gauged = seal.tells_not_gauged;
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
            known_parts,
            scope,
            scope_why,
            rounds,
            change,
            from,
            few_stops,
            less_walking,
            margin,
            rest,
            corrects,
            left_open: _,
        } = new;
        if *rest {
            return self.plan_rest(&new.way());
        }
        // Where no hours are known, an empty `begin` answers that the engine has not run.
        if hours.is_some() || *new == Begin::default() {
            self.new_day = false;
            self.counter.not_run();
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
        begin.change |= *change;
        if !known_parts.is_empty() {
            begin.known_parts.clone_from(known_parts);
            let known = known_parts.iter();
            self.fitted = known
                .map(|part| (part.valve, Fitted { size: Some(part.size), ..Fitted::default() }))
                .collect();
        }
        let before = begin.way();
        take(&mut begin.from, from);
        take(&mut begin.few_stops, few_stops);
        take(&mut begin.less_walking, less_walking);
        take(&mut begin.margin, margin);
        if begin.way() != before {
            self.change_way(|state| {
                state.plan = make_plan(&state.profile.profile, &state.begin.way());
                state.rest = None;
            });
        }
    }

    /// Makes the plan of another profile, by which nothing is known of the crank.
    pub(super) fn replan(&mut self) {
        self.plan = make_plan(&self.profile.profile, &self.begin.way());
        self.rest = None;
        self.tape = None;
        self.crank = Crank::Unknown;
        self.last_stop = None;
        self.rock_wanted = true;
    }

    fn plan_rest(&mut self, choice: &PlanChoice) {
        let (Some(round), Some(plan)) = (self.round(), self.rest_planned(choice)) else { return };
        if let Ok(plan) = plan {
            self.change_way(|state| state.rest = Some(RestOfRound { round, plan }));
        }
    }

    /// A rest serves its own round, and only while it gauges everything that is wanted there.
    fn drop_rest(&mut self, by: u64) {
        let Some(rest) = &self.rest else { return };
        let gauged = |valve| {
            rest.plan.stops.iter().flat_map(|stop| &stop.gauge).any(|gauge| gauge.valve == valve)
        };
        let serves = self.round() == Some(rest.round)
            && self
                .facts()
                .valves()
                .into_iter()
                .all(|valve| gauged(valve) || !self.pending(rest.round, valve));
        if !serves {
            self.undone.rest_ended = self.as_rest_stands(by);
            self.change_way(|state| state.rest = None);
        }
    }

    /// Changes the stops beneath the crank, which stands where it stood.
    fn change_way(&mut self, change: impl FnOnce(&mut State)) {
        let (stood, angle, before) = (self.stands_at(), self.crank_angle(), self.crank);
        change(self);
        (self.last_stop, self.pulled_from) = (None, None);
        let Crank::At { proof, .. } = before else { return };
        let same_place = |stop: &Stop| match (angle, stop.crank) {
            (Some(here), Some(there)) => crank::compare(here, there).is_eq(),
            (Some(_) | None, _) => false,
        };
        self.crank = match (self.stops().iter().position(same_place), stood) {
            (Some(stop), _) => {
                self.last_stop = (proof == Proven::Yes).then_some(stop);
                Crank::At { stop, proof }
            }
            (None, Some(stood)) => Crank::Elsewhere(stood),
            (None, None) => Crank::Unknown,
        };
    }

    fn who(&mut self, name: &str, takes_over: bool) {
        if takes_over {
            self.ask_cautions_anew();
            self.ask_of_the_run();
            self.break_crank();
        }
        self.worker = Some(name.to_string());
        if !self.workers.iter().any(|worker| worker == name) {
            self.workers.push(name.to_string());
        }
    }

    pub(super) fn ask_all_cautions(&mut self) {
        for line in checklist::cautions(&self.profile.profile) {
            self.cautions_due.insert(line.id, Asked::Start);
        }
    }

    /// On another day, or of who takes over, everything is asked; but where it was run and is only looked
    /// at, nobody takes plugs out or turns it for that.
    fn ask_cautions_anew(&mut self) {
        if self.cools() {
            self.ask_cautions_of_a_break(Asked::Start);
        } else {
            self.ask_all_cautions();
        }
    }

    /// After a break the crank may have been moved: it is where it was only once proven again.
    pub(super) fn break_crank(&mut self) {
        self.under_way.forget();
        self.crank = match self.crank {
            Crank::At { stop, .. } => Crank::At { stop, proof: Proven::No },
            Crank::Seen(_) | Crank::Elsewhere(_) | Crank::Unknown => Crank::Unknown,
        };
        self.pulled_from = self.pulled_from.map(|(crank, _)| (crank, true));
        self.rock_wanted = true;
        self.again = None;
        self.none_loose = 0;
        self.dry.clear();
    }

    fn conditioned(&mut self, condition: &Condition, round: Option<usize>) {
        if let Some(round) = round {
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

    fn crank_at(&mut self, seq: u64, at: At, round: Option<usize>) {
        if let At::Tape(half_hours) = at {
            self.tape = self.crank_angle().map(|crank| Tape { half_hours, crank });
            return;
        }
        self.pulled_from = None;
        let lost = self.undone.lost_at.take();
        let stood = self.stands_at().or(lost);
        let angle = stood.and_then(|stood| stood.angle(self.facts()));
        let seen = self.crank;
        self.again = None;
        self.dry.clear();
        self.crank_round = round;
        self.none_loose = match (at, self.crank) {
            (At::Stop { stop, .. }, Crank::At { stop: before, .. }) if stop == before => {
                self.none_loose
            }
            (
                At::Stop { .. } | At::SeenOverlap(_) | At::SeenLoose(_) | At::Lost | At::Tape(_),
                _,
            ) => 0,
        };
        self.crank = match at {
            At::Stop { stop, watch, then_turn } => {
                let stop = self.written_stop(stop, watch, then_turn);
                Crank::At { stop, proof: Proven::No }
            }
            At::SeenOverlap(cylinder) => {
                self.rock_wanted = true;
                Crank::Seen(cylinder)
            }
            At::SeenLoose(cylinder) => {
                self.rock_wanted = true;
                match self.stop_of_loose(cylinder) {
                    Some(stop) => Crank::At { stop, proof: Proven::No },
                    None => Crank::Unknown,
                }
            }
            At::Lost => {
                self.rock_wanted = true;
                Crank::Unknown
            }
            At::Tape(_) => self.crank,
        };
        // What is seen where the crank stood all the time, and counted there after that, is no turn.
        let same = match (angle, self.crank_angle()) {
            (Some(before), Some(now)) => crank::compare(before, now).is_eq(),
            (Some(_) | None, _) => stood.is_some() && self.stands_at() == stood,
        };
        // Nor is it one that nobody knows where it stands, if it is found there again.
        let seen = matches!(seen, Crank::Seen(_)) || lost.is_some();
        let told_to_turn = matches!(at, At::Stop { .. }) && !seen;
        if at == At::Lost {
            self.undone.lost_at = stood;
        } else if told_to_turn || !same {
            self.arrived = seq;
        }
    }

    /// Finds a stop as it was written down. Should a later program order the stops of a plan in
    /// another way, what was seen tells which one it was.
    fn written_stop(&self, stop: usize, watch: Cylinder, then_turn: u16) -> usize {
        let same = |stop: &Stop| stop.watch == watch && stop.then_turn == then_turn;
        let stops = self.stops();
        if stops.get(stop).is_some_and(same) {
            return stop;
        }
        stops.iter().position(same).unwrap_or(stop)
    }

    fn proved(&mut self, proof: Proof) {
        self.proven_where_it_was();
        let Crank::At { stop, proof: before } = self.crank else { return };
        let rock = self.rock_asked_at(stop);
        if proof.rocked == Some(Rocked::Moved) && before == Proven::Yes {
            self.danger_stays(State::gauged_at_a_wrong_place);
        }
        match (proof.rocked, proof.loose) {
            (Some(Rocked::Steady), _) => {
                self.rock_wanted = false;
                self.proven(stop);
            }
            (Some(Rocked::Moved), _) => self.find_again(stop, Again::Moved),
            // Where there was nothing to feel, what was seen on the watched cylinder proves it.
            (None, loose) if loose == proof.of && (!rock || proof.of == 0) => self.proven(stop),
            (None, 0) if self.none_loose == 0 && !proof.no_play => {
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
        self.felt = self.felt_at(stop).collect();
        self.last_stop = Some(stop);
        self.again = None;
        self.none_loose = 0;
    }

    fn find_again(&mut self, stop: usize, again: Again) {
        self.crank = Crank::At { stop, proof: Proven::No };
        self.again = Some(again);
        self.rock_wanted = true;
    }

    fn skip(&mut self, seq: u64, Skip { what, why, run_owed }: &Skip) {
        let why = why.as_str();
        match what {
            Skipped::AsFound(valve) => {
                self.lose_as_found(seq, *valve, why.into());
            }
            Skipped::Gauging(valve, round) => {
                self.skipped.insert((usize::from(*round), *valve), (seq, why.into()));
            }
            Skipped::Setting(valve) => {
                if let Some(verdict) = self.verdict_now(*valve).or(self.verdict_before(*valve)) {
                    // With parts out nothing counts, and still it was said of a figure.
                    let taken = self.current(*valve).or_else(|| self.before_parts(*valve));
                    let off = taken.and_then(|taken| self.off_target(&taken.reading));
                    let left = (why.into(), verdict.word(), off, self.is_rough_look());
                    self.left_as_is.insert(*valve, left);
                }
            }
            Skipped::Round(round) => {
                self.rounds_skipped.insert(usize::from(*round), (seq, why.into()));
            }
            Skipped::Check(id) if self.hold_down_put_off(id) || self.not_run_yet(id) => {}
            Skipped::Check(id) => match self.valve_of_check(THREADS, id) {
                Some(valve) => {
                    self.threads_left.insert(valve, why.into());
                }
                None => {
                    self.run_left.insert(id.clone(), why.into());
                }
            },
            Skipped::Run => {
                self.run_skipped = Some(why.into());
                // One that was owed before is not dropped by any other reason.
                let handed_over = *run_owed || why == RUN_HANDED_OVER || self.owes_a_run();
                self.undone.run_handed_over = handed_over.then_some(seq);
                self.cautions_due.remove(RAN_MEANWHILE);
            }
        }
    }

    /// Asks what can have changed; what is asked for already stays asked as it was.
    pub(super) fn ask_cautions_of_a_break(&mut self, when: Asked) {
        for line in checklist::cautions(&self.profile.profile) {
            if line.after_break {
                self.cautions_due.entry(line.id).or_insert(when);
            }
        }
    }

    fn back(&mut self, back: &Back) {
        // By a clock that went back nobody knows how long it was: it may have been days.
        let (new_day, after_min) = (back.new_day || back.clock_jumped, back.after_min);
        self.away = None;
        match back.counter {
            // The figure of the service stays until it is known that the engine has not run.
            Some(CounterTold::WentUp(hours)) => {
                (self.counter.up, self.counter.replaced) = (Some(hours), false);
            }
            Some(CounterTold::Replaced(hours)) => {
                (self.counter.up, self.counter.replaced) = (Some(hours), true);
            }
            // Where what was answered about it was taken back, it went up all the same, if by less.
            Some(CounterTold::PutRight { from, to }) => {
                let known = self.counter_known();
                // What a new one shows may be less; at what was known it was none.
                let more = known < Some(to) || self.counter.replaced && known != Some(to);
                let still = self.counter.up == Some(from) && more;
                self.counter.up = still.then_some(to);
            }
            None => {}
        }
        self.begin.hours = back.put_right(self.begin.hours);
        self.counter.answered = back.put_right(self.counter.answered);
        self.break_crank();
        if new_day {
            self.new_day = true;
            self.ask_cautions_anew();
        }
        self.ask_cautions_of_a_break(Asked::Back);
        self.ask_of_the_run();
        // Whichever round is gauged next: the engine may be apart now, or all may be done.
        if new_day || after_min.is_some_and(|minutes| minutes >= WARM_AGAIN_MIN) {
            self.condition_rounds.clear();
        }
    }
}
