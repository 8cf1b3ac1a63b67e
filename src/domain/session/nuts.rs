//! Lock nuts: what is said of them, and when one counts as slack. A nut that nobody answered for
//! is loose.

use super::decide::{Decided, given, one};
use super::due::{Due, Stage};
use super::leak::promised;
use super::refusal::Refusal;
use super::state::{LeftAsIs, Nut, RoundKind, State, Taken};
use crate::domain::entry::{self, Entry, NutSaid, Reading, Skip, Skipped, Step};
use crate::domain::profile::{Adjuster, Screw};
use crate::domain::valve::Valve;

/// Why a nut that was said slack never was: nobody saw a slack nut. Answered directly behind that word it
/// leaves everything as it was before.
pub const PRESSED_BY_MISTAKE: &str = "pressed by mistake, nothing was touched";
/// The other reason: a nut is slack, but of another valve.
pub const WRONG_VALVE_NAMED: &str = "the wrong valve was named";

/// Why nothing is as found of a valve whose nut was found slack before it was read.
pub const FOUND_SLACK: &str = "its nut was found slack";
/// The same where the nut was slackened by the mechanic.
const SLACK_UNREAD: &str = "its nut was slack before it was gauged";

/// What was so of a valve before its nut was said slack, and is so again where it was never touched.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct BeforeSlack {
    nut: Option<Nut>,
    left_as_is: Option<LeftAsIs>,
    threads_left: Option<String>,
    found_lost: Option<String>,
    /// The remark that promises a leak test because of it: it goes with it.
    pub(super) promise: Option<u64>,
}

/// The torque of a lock nut as it counts, whatever it was written like.
pub(super) fn locked_at(screw: &Screw) -> Option<(f64, f64)> {
    screw.lock_nut_torque.as_ref().map(|torque| (torque.nm, torque.plus_minus))
}

impl State {
    pub(super) fn nut(&mut self, seq: u64, entry::Nut { valve, said, found }: &entry::Nut) {
        let valve = *valve;
        match said {
            NutSaid::Slack => {
                self.slacken(seq, valve);
                self.nuts.entry(valve).and_modify(|nut| nut.found |= found);
                if *found {
                    self.felt_for_nothing(valve);
                }
            }
            NutSaid::Locked { gauged, .. } => {
                let looks_again = self.nuts.get(&valve).is_some_and(|nut| {
                    nut.after_rounds.is_some()
                        || matches!(
                            self.kind_of(nut.round),
                            Some(RoundKind::Recheck | RoundKind::SecondLook)
                        )
                });
                if let Some(nut) = self.nuts.get_mut(&valve) {
                    let (locked_by, look_after) = (Some(*gauged), looks_again.then_some(seq));
                    *nut = Nut { said_at: seq, locked_by, look_after, threads: None, ..*nut };
                }
                if let Some(taken) = self.readings.iter_mut().find(|taken| taken.seq == *gauged) {
                    taken.locked = true;
                }
            }
            NutSaid::NeverTouched { why } => self.not_slackened(valve, why),
            NutSaid::Threads(threads) => {
                if let Some(nut) = self.nuts.get_mut(&valve) {
                    nut.threads = Some(*threads);
                }
            }
        }
    }

    pub(super) fn slacken(&mut self, seq: u64, valve: Valve) {
        // Before anything said of the last time goes: without it that nut would want an answer in its old round.
        let (round, after_rounds) = self.opened_now();
        let (left_as_is, threads_left) =
            (self.left_as_is.remove(&valve), self.threads_left.remove(&valve));
        let nut = match self.nuts.get(&valve).copied() {
            Some(old) if self.nut_slack(valve) => {
                if old.locked_by.is_some() {
                    self.undone.was_locked.insert(valve);
                }
                Nut { said_at: seq, locked_by: None, look_after: None, threads: None, ..old }
            }
            nut => {
                self.undone.was_locked.remove(&valve);
                let found_lost = self.found_lost.get(&valve).cloned();
                let promise = self.promised_just_before(seq, valve);
                let before = BeforeSlack { nut, left_as_is, threads_left, found_lost, promise };
                self.before_slack.insert(valve, before);
                Nut {
                    said_at: seq,
                    opened_at: seq,
                    round,
                    after_rounds,
                    locked_by: None,
                    threads: None,
                    found: false,
                    look_after: None,
                }
            }
        };
        self.nuts.insert(valve, nut);
        self.touched.insert(valve);
        self.undone.only_worked.remove(&valve);
        self.count_again(valve);
    }

    /// Tells whether an entry only says again of a nut that it is slack.
    pub(super) fn was_slack_already(&self, valve: Valve, said: u64) -> bool {
        let nut = self.nuts.get(&valve).filter(|nut| !nut.found);
        nut.is_some_and(|nut| nut.said_at == said && nut.opened_at < said)
    }

    /// Tells whether what a valve read last tells nothing of how it stands now: its nut was found slack and nothing
    /// was gauged since, or what was gauged since is gone.
    pub fn stands_unknown(&self, valve: Valve) -> bool {
        self.later_reading_gone(valve) || self.found_slack_since(valve)
    }

    /// Tells whether behind the last figure of a valve that counts another was taken back, or does not count: its
    /// screw may have been turned in between.
    pub fn later_reading_gone(&self, valve: Valve) -> bool {
        let of_it = || self.readings.iter().rev().filter(|taken| taken.reading.valve == valve);
        let Some(last) = of_it().find(|taken| taken.counts).map(|taken| taken.seq) else {
            return false;
        };
        let withdrawn = self.undone.withdrawn.get(&valve).is_some_and(|of| *of > last);
        withdrawn || of_it().any(|taken| !taken.counts && taken.seq > last)
    }

    fn found_slack_since(&self, valve: Valve) -> bool {
        self.nuts.get(&valve).is_some_and(|nut| nut.found) && self.gauged_since_opened(valve) == 0
    }

    fn gauged_since_opened(&self, valve: Valve) -> usize {
        let opened = self.nuts.get(&valve).map_or(0, |nut| nut.opened_at);
        let tried = |taken: &&Taken| {
            let Reading { valve: of, step, .. } = taken.reading;
            taken.counts && of == valve && step == Step::Try && taken.seq > opened
        };
        self.readings.iter().filter(tried).count()
    }

    /// Its reading is lost as found: it was opened before it was read.
    pub(super) fn lose_as_found(&mut self, seq: u64, valve: Valve, why: String) {
        self.slacken(seq, valve);
        self.found_lost.insert(valve, why);
        // Nobody knows since when.
        self.felt_for_nothing(valve);
    }

    /// A reason to leave it that was given before work on it is none after that.
    pub(super) fn no_reason_after_work(&mut self, valves: &[Valve]) {
        self.left_as_is.retain(|valve, _| !valves.contains(valve));
        for (_, before) in self.before_slack.iter_mut().filter(|(valve, _)| valves.contains(valve))
        {
            before.left_as_is = None;
        }
    }

    /// Returns the round that a nut opened now belongs to. Once the rounds are done that is the one
    /// before the last recheck, so that the recheck looks at what is set again.
    fn round_of_nut(&self) -> usize {
        if let Some(round) = self.round() {
            return round;
        }
        let last = self.rounds().len().saturating_sub(1);
        let rechecks = self.kind_of(last) == Some(RoundKind::Recheck);
        if rechecks { last.saturating_sub(1) } else { last }
    }

    /// Returns the round that a nut opened now belongs to, and how many rounds were over by then.
    pub(super) fn opened_now(&self) -> (usize, Option<usize>) {
        (self.round_of_nut(), self.rounds_are_over().then(|| self.rounds().len()))
    }

    /// Tells whether only what was opened once the rounds were done keeps one of them open.
    pub fn after_rounds(&self) -> bool {
        self.round().is_some() && self.rounds_are_over()
    }

    fn rounds_are_over(&self) -> bool {
        let rounds = if self.plan.is_ok() { self.rounds().len() } else { 0 };
        let late = |round, valve| {
            let nut = self.nuts.get(&valve);
            nut.and_then(|nut| nut.after_rounds).is_some_and(|rounds| round < rounds)
        };
        let valves = self.facts().valves();
        let over = |round| valves.iter().all(|&one| late(round, one) || !self.pending(round, one));
        rounds > 0 && (0..rounds).all(over)
    }

    /// It was not slackened this time: it is as locked, or as untouched, as it was before.
    fn not_slackened(&mut self, valve: Valve, why: &str) {
        let before = self.before_slack.remove(&valve).unwrap_or_default();
        if let Some(nut) = before.nut {
            self.nuts.insert(valve, nut);
        } else {
            self.nuts.remove(&valve);
            if !self.assembled.contains(&valve) {
                self.touched.remove(&valve);
            }
        }
        self.found_lost.remove(&valve);
        self.found_lost.extend(before.found_lost.map(|why| (valve, why)));
        self.left_as_is.extend(before.left_as_is.map(|left| (valve, left)));
        self.threads_left.extend(before.threads_left.map(|left| (valve, left)));
        // Another nut of the cylinder that is slack, or was opened since, may want the test too: it was
        // promised already then. And any other reason may tell of a nut that is slack all the same.
        let since = |nut: &Nut| before.promise.is_some_and(|promise| nut.opened_at > promise);
        let wants = |one| self.nut_slack(one) || self.nuts.get(&one).is_some_and(since);
        let others = self.facts().valves_of(valve.cylinder);
        let slip = [PRESSED_BY_MISTAKE, WRONG_VALVE_NAMED].contains(&why);
        if slip && !others.into_iter().any(wants) {
            self.remarks.retain(|(seq, _)| Some(*seq) != before.promise);
        }
    }

    /// Returns the remark that promises a leak test of a valve's cylinder, kept with the word that its nut
    /// is slack: in the program's own words, and of a valve that wants the test. One that was handed on,
    /// or typed, is somebody's own.
    fn promised_just_before(&self, seq: u64, valve: Valve) -> Option<u64> {
        let (last, remark) = self.remarks.last()?;
        let promises = self.wants_leak_test_of(valve)
            && Entry::Remark(remark.clone()) == promised(valve.cylinder);
        (promises && last.checked_add(1) == Some(seq)).then_some(*last)
    }

    /// Tells whether the nut of a valve counts as slack: said slack, or locked on the word of a
    /// reading that was withdrawn.
    pub fn nut_slack(&self, valve: Valve) -> bool {
        self.nuts
            .get(&valve)
            .is_some_and(|nut| nut.locked_by.is_none_or(|gauged| !self.has_reading(gauged)))
    }

    fn has_reading(&self, seq: u64) -> bool {
        self.readings.iter().any(|taken| taken.seq == seq)
    }

    /// Tells whether a nut wants an answer in a round: slack in any round, its threads in its own.
    pub(super) fn nut_wants(&self, round: usize, valve: Valve) -> bool {
        self.nut_slack(valve) || self.nut_of_round(round, valve)
    }

    /// Tells whether a nut that was opened in this round still wants an answer.
    pub(super) fn nut_of_round(&self, round: usize, valve: Valve) -> bool {
        let opened_here = self.nuts.get(&valve).is_some_and(|nut| nut.round == round);
        let passed_over = self.rounds_skipped.contains_key(&round);
        opened_here
            && (self.nut_slack(valve) || (self.due_of_threads(valve).is_some() && !passed_over))
    }

    /// Asks for the threads that show, and what is done where they are too many or too few.
    fn due_of_threads(&self, valve: Valve) -> Option<Due> {
        let counted = self.nuts.get(&valve)?.threads;
        let bounds = match &self.facts().adjuster {
            Adjuster::Screw(screw) => screw.threads_showing?,
            Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => return None,
        };
        let Some(threads) = counted else { return Some(Due::Threads(valve, bounds)) };
        let outside = !(bounds.0..=bounds.1).contains(&threads);
        let left = self.threads_left.contains_key(&valve);
        (outside && !left).then_some(Due::ThreadsOutside(valve, threads, bounds))
    }

    pub(super) fn due_of_nut(&self, round: usize, valve: Valve) -> Option<Due> {
        let nut = self.nuts.get(&valve)?;
        if !self.nut_wants(round, valve) {
            return None;
        }
        if !self.nut_slack(valve) {
            return self.due_of_threads(valve);
        }
        if let Some(due) = self.due_of_doubted_try(valve) {
            return Some(due);
        }
        // A try made before a part was changed says nothing of the nut.
        let mut tries = self.readings.iter().rev().filter(|taken| {
            taken.counts
                && taken.reading.valve == valve
                && taken.reading.step == Step::Try
                && taken.seq > nut.said_at
        });
        Some(match tries.next() {
            Some(taken) => Due::NutAnswer(valve, taken.seq),
            None => Due::Trying(valve),
        })
    }

    /// Asks what only has to be counted on a nut of this round, wherever the crank stands: the threads that
    /// show. Whether a nut is locked may lead to gauging, and is asked where the crank is proven.
    pub fn due_of_answer(&self, round: usize) -> Option<Due> {
        let mut dues = self.nuts.keys().filter_map(|&valve| self.due_of_nut(round, valve));
        dues.find(|due| matches!(due, Due::Threads(..) | Due::ThreadsOutside(..)))
    }

    /// Tells whether the rounds are done and a valve may still be got at: with the covers off, or off
    /// again by the usual way, made safe and the crank proven anew.
    pub fn may_reopen(&self, due: &Due) -> bool {
        let late =
            matches!(due.stage(), Stage::BeforeClosing | Stage::CloseUp | Stage::Run | Stage::Sign);
        let late = late || matches!(due, Due::HoldDown(_));
        late && self.has_screws() && self.round().is_none()
    }

    /// Tells whether a nut may be seen to be slack: at the engine, where it is looked at, or where a break or
    /// another day is answered for and covers may be off.
    pub fn may_be_found_slack(&self, due: &Due) -> bool {
        let covers_off = self.begin.rounds.is_some() || self.out.iter().any(|line| line.out > 0);
        let back = matches!(due.stage(), Stage::Prepare | Stage::MakeSafe | Stage::Temperature);
        let looks = matches!(due, Due::Look(..));
        let at_a_stop = looks || due.stage() == Stage::AtAStop && self.round().is_some();
        self.has_screws() && (at_a_stop || back && covers_off || self.may_reopen(due))
    }

    /// Keeps that a nut is slack, whoever slackened it, in the scope or not. A leak test that comes
    /// before its screw is touched comes before the run then.
    pub(super) fn found_slack(&self, valve: Valve, due: &Due) -> Decided {
        if !self.facts().valves().contains(&valve) {
            return Err(Refusal::NoValve(valve));
        }
        if !self.has_screws() {
            return Err(Refusal::NothingToSet);
        }
        if self.nut_slack(valve) {
            return Err(Refusal::NutSlack(valve));
        }
        if !self.may_be_found_slack(due) {
            return Err(Refusal::NotNow);
        }
        // Slackened again because of its threads, it was not found so.
        let found = !matches!(due, Due::ThreadsOutside(one, ..) if *one == valve);
        self.said_slack(valve, if found { FOUND_SLACK } else { SLACK_UNREAD }, found)
    }

    fn said_slack(&self, valve: Valve, why: &str, found: bool) -> Decided {
        let unread = self.found(valve).is_none() && !self.assembled.contains(&valve);
        if unread && !self.found_lost.contains_key(&valve) {
            // What it reads now is no clearance that it ran with.
            let what = Skipped::AsFound(valve);
            return one(Entry::Skip(Skip::of(what, why)));
        }
        let slack = Entry::Nut(entry::Nut { valve, said: NutSaid::Slack, found });
        let owes = self.wants_leak_test_of(valve) && self.owed(valve.cylinder).is_empty();
        // The promise first: what is cut off behind it is said again.
        Ok(owes.then(|| promised(valve.cylinder)).into_iter().chain([slack]).collect())
    }

    /// Keeps that it is the nut of another valve. Its own word first: what is cut off behind it leaves one
    /// nut more to be looked at.
    pub(super) fn nut_of_another(&self, named: Valve, really: Valve) -> Decided {
        if !self.facts().valves().contains(&really) {
            return Err(Refusal::NoValve(really));
        }
        if self.nut_slack(really) {
            return Err(Refusal::NutSlack(really));
        }
        let never = self.never_touched(named, WRONG_VALVE_NAMED)?;
        let why = self.slack_because(named).unwrap_or(SLACK_UNREAD);
        let found = self.nuts.get(&named).is_some_and(|nut| nut.found) || why == FOUND_SLACK;
        Ok(self.said_slack(really, why, found)?.into_iter().chain(never).collect())
    }

    /// Returns why the as-found reading was lost where the nut of a valve was said slack: found so, or set
    /// before it was gauged.
    fn slack_because(&self, valve: Valve) -> Option<&str> {
        let lost_then = self.before_slack.get(&valve)?.found_lost.is_none();
        self.found_lost.get(&valve).filter(|_| lost_then).map(String::as_str)
    }

    /// Opens setting once more after the rounds; where nothing is set in this service, it is not.
    pub(super) fn set_again(&self, valve: Valve) -> Decided {
        self.known(valve)?;
        if self.is_rough_look() {
            return Err(Refusal::OnlyALook);
        }
        if !self.sets_valves() {
            return Err(Refusal::NotNow);
        }
        if self.nut_slack(valve) {
            return Err(Refusal::NutSlack(valve));
        }
        if self.before_setting(valve).is_some() {
            return Err(Refusal::NotNow);
        }
        if self.current(valve).is_none() {
            return Err(Refusal::NotGaugedYet(valve));
        }
        one(Entry::Nut(entry::Nut::said(valve, NutSaid::Slack)))
    }

    /// Tells whether nothing is set now, so that a slack nut is locked with its screw as it stands.
    pub fn locks_as_it_stands(&self) -> bool {
        self.is_rough_look() || !self.sets_now()
    }

    /// Tells whether the round under way sets; once the rounds were done, whether one of them did.
    fn sets_now(&self) -> bool {
        let late = self.after_rounds() || self.round().is_none();
        if late { self.sets_valves() } else { self.round_kind().is_some_and(RoundKind::sets) }
    }

    /// Tells whether valves are set in this service.
    pub fn sets_valves(&self) -> bool {
        self.rounds().into_iter().any(RoundKind::sets)
    }

    /// Tells whether a valve was tried since its nut was said slack.
    pub fn tried_since_slack(&self, valve: Valve) -> bool {
        let Some(nut) = self.nuts.get(&valve) else { return false };
        self.readings.iter().any(|taken| {
            taken.reading.valve == valve
                && taken.reading.step == Step::Try
                && taken.seq > nut.opened_at
        })
    }

    /// Takes the word that a nut was never slackened, unless a try or a lock says otherwise.
    pub(super) fn never_touched(&self, valve: Valve, why: &str) -> Decided {
        let nut = self.nuts.get(&valve).ok_or(Refusal::NotNow)?;
        let tried = self.tried_since_slack(valve);
        let before = self.before_slack.get(&valve).and_then(|before| before.nut);
        let before_is_gone =
            before.and_then(|nut| nut.locked_by).is_some_and(|gauged| !self.has_reading(gauged));
        // Of one that was locked meanwhile nobody can say any more that it was never touched.
        let was_locked = nut.locked_by.is_some() || self.undone.was_locked.contains(&valve);
        if !self.nut_slack(valve) || tried || was_locked || before_is_gone {
            return Err(Refusal::NotNow);
        }
        one(Entry::Nut(entry::Nut::said(valve, NutSaid::NeverTouched { why: given(why)? })))
    }
}
