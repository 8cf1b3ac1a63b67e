//! What is asked once the rounds are done: reasons, counting in, closing up, the run, the signature;
//! and what happens where a valve is due again after that.

use super::carried::is_handed_on;
use super::checklist::{self, Line, NOT_YET, PLUGS_IN, RAN_MEANWHILE, STOPPED, TWO_TURNS};
use super::counts::{COVER, OutCount, PLUG};
use super::due::{Due, TEST_THINGS};
use super::open::OpenItem;
use super::put_back::TakenOff;
use super::state::{Crank, RUN_AGAIN, RoundKind, State};
use crate::domain::entry::{Asked, Run};
use crate::domain::plain::plain;
use crate::domain::profile::Shape;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;

/// The digit of the entry [`RUN_AGAIN`] where a cover came off after a run: everything about covers is asked anew.
/// With 1, as it was written before the two were told apart, only the cautions of the run were.
pub(super) const AFTER_COVERS: u8 = 2;
/// The digit of that entry where the covers stayed on: made safe, then their torque and what was
/// joined up once more.
pub(super) const FROM_OUTSIDE: u8 = 3;

/// The reason not to run it that leaves open whether it was run: asked of the engine until somebody says so.
pub const RUN_HANDED_OVER: &str = "handed over: somebody else runs it, and says what was seen";
/// The check that tells who looked at everything a second time.
const SECOND_LOOK: &str = "second-look";
/// The first digit that names somebody for it.
const NAMED_FROM: u8 = 3;

impl State {
    /// Returns the entry that handed the run over, where the service has ended and nobody has said since
    /// that it was run.
    pub fn run_to_answer(&self) -> Option<u64> {
        self.undone
            .run_handed_over
            .filter(|seq| self.sealed.is_some() && !self.settled.contains(seq))
    }

    pub(super) fn due_in_closing(&self) -> Due {
        let first = self.due_hold_down_before_closing().or_else(|| self.due_felt_before_closing());
        if let Some(due) = first {
            return due;
        }
        let without: Vec<Valve> =
            self.valves().into_iter().filter(|&valve| self.left(valve).is_none()).collect();
        if !without.is_empty() {
            return Due::NoFigure(without);
        }
        if let Some((valve, verdict)) = self.unexplained() {
            return Due::ReasonFor(valve, verdict);
        }
        // First of all: what it was made safe by is put back before a run, and after one. With pieces off
        // nobody ran it.
        let asked = self.cautions_due.contains_key(RAN_MEANWHILE) && self.run_fault().is_none();
        if asked && self.due_count_in().is_none() {
            return Due::RunCheck(checklist::ran_meanwhile());
        }
        if let Some(due) = self.due_close_up() {
            return due;
        }
        if let Some(due) = self.due_promised_test(false) {
            return due;
        }
        // What was handed on by others comes behind what this service has found.
        let remarks = self.each_open_item().into_iter().filter_map(|item| {
            let OpenItem::BeforeRunning { seq, text } = item else { return None };
            Some((is_handed_on(&text), seq, text))
        });
        if let Some((_, seq, text)) = remarks.min_by_key(|(handed_on, seq, _)| (*handed_on, *seq)) {
            // A session that was begun before that was asked at the start.
            let is_run = self.owed_runs().any(|owed| owed == seq);
            return if is_run { Due::OwedRun(seq) } else { Due::BeforeRunning(seq, text) };
        }
        self.due_run().unwrap_or(Due::Sign)
    }

    fn unexplained(&self) -> Option<(Valve, Verdict)> {
        self.valves().into_iter().find_map(|valve| {
            let verdict = self.verdict_left(valve)?;
            let fine = verdict == Verdict::InLimits || self.reason_to_leave(valve).is_some();
            (!fine).then_some((valve, verdict))
        })
    }

    fn due_close_up(&self) -> Option<Due> {
        // What is out for a leak test is counted in after it.
        let testing = self.test_things.then(|| self.due_promised_test(true)).flatten();
        testing.or_else(|| self.due_count_in()).or_else(|| {
            // Made safe after its run, it is looked at first, and joined up after that.
            let cooling = self.cools();
            checklist::close_up(&self.profile.profile)
                .into_iter()
                .find(|line| !self.checks.contains_key(&line.id))
                .filter(|line| !cooling || !["leads", "controls"].contains(&line.id.as_str()))
                .map(|line| {
                    let test = self.due_promised_test(true).filter(|_| line.id == PLUGS_IN);
                    test.unwrap_or_else(|| Due::Check(self.as_counted(line)))
                })
        })
    }

    /// Plugs that were counted out, or out for a leak test, are not said to have stayed in, nor leads
    /// to have stayed on that were taken off them or to make the ignition safe. Where it was turned against
    /// compression the others may have.
    fn as_counted(&self, mut line: Line) -> Line {
        if line.id == SECOND_LOOK {
            return self.with_names(line);
        }
        if line.id == "controls" && self.run_answered_all() {
            for seen in line.states.iter_mut().filter(|seen| seen.good) {
                seen.words = seen.words.replace(checklist::FOR_THE_RUN, "as it is to be left");
            }
        }
        let counted = |of: &OutCount| of.item == PLUG && of.out > 0;
        let plugs = self.plug_was_out || self.out.iter().any(counted);
        let plugs = plugs || self.is_taken_off(TakenOff::Plugs);
        let leads = self.is_taken_off(TakenOff::Leads);
        if line.id == PLUGS_IN && plugs || line.id == "leads" && (plugs || leads) {
            let stayed = line.id == PLUGS_IN && self.plugs_stayed_in();
            line.states.retain(|seen| seen.digit != checklist::NONE_WERE_OUT || stayed);
            for seen in line.states.iter_mut().filter(|seen| seen.digit == checklist::NONE_WERE_OUT)
            {
                seen.words = checklist::OTHERS_STAYED_IN.into();
            }
        }
        line
    }

    /// Whoever else worked in this service may have looked: then the record names the person.
    fn with_names(&self, mut line: Line) -> Line {
        let others = self.workers.iter().filter(|name| Some(*name) != self.worker.as_ref());
        let named = (NAMED_FROM..=9).zip(others).map(|(digit, name)| {
            let words = format!("by {}", plain(name));
            checklist::Seen { digit, words, good: true }
        });
        // "Not yet" stays the last of them.
        let at = line.states.len().saturating_sub(1);
        line.states.splice(at..at, named);
        line
    }

    /// A leak test after closing up had a plug and its lead out once more, and the crank turned: what
    /// that undid is asked anew, made safe first.
    pub(super) fn undone_by_leak_test(&mut self) {
        if !self.checks.contains_key(PLUGS_IN) {
            return;
        }
        // The crank is turned with air on: as before its first turn, wheels and all.
        self.ask_all_cautions();
        self.undone_with_plugs();
    }

    /// A plug came out behind the covers, and its lead: what was seen of all that is asked anew.
    pub(super) fn undone_with_plugs(&mut self) {
        self.run_anew();
        // With the plugs out once more, others that are owed are asked for there.
        self.tests_put_off.clear();
        let undone = [PLUGS_IN, TWO_TURNS, "leads", "controls", SECOND_LOOK];
        self.checks.retain(|id, _| !undone.contains(&id.as_str()));
    }

    /// Tells whether an answer of a caution says that plugs are out which were seen in again before.
    pub(super) fn plugs_out_again(&self, caution: &str, digit: u8) -> bool {
        let radial = self.facts().layout.shape == Shape::Radial;
        caution == "plugs" && self.checks.contains_key(PLUGS_IN) && (digit == 1 || radial)
    }

    fn run_fault(&self) -> Option<&Run> {
        self.run.values().find(|run| !run.good && !self.run_left.contains_key(&run.id))
    }

    fn due_run(&self) -> Option<Due> {
        if self.run_skipped.is_some() {
            return None;
        }
        let answered = |id: &str| self.run.contains_key(id);
        if let Some(fault) = self.run_fault() {
            return Some(Due::RunFault(fault.id.clone(), fault.text.clone()));
        }
        let lines = checklist::run_check(&self.profile.profile);
        let check = lines.into_iter().find(|line| !answered(&line.id))?;
        Some(self.run_caution_due().map_or(Due::RunCheck(check), Due::RunCaution))
    }

    pub(super) fn run_answered_all(&self) -> bool {
        self.run_skipped.is_some()
            || (!self.run.is_empty()
                && checklist::run_check(&self.profile.profile).iter().all(|line| {
                    self.run
                        .get(&line.id)
                        .is_some_and(|run| run.good || self.run_left.contains_key(&run.id))
                }))
    }

    /// Tells whether any answer of the running check was given.
    pub fn has_run(&self) -> bool {
        self.run.keys().any(|id| id != RUN_AGAIN)
    }

    pub(super) fn begun_running(&self) -> bool {
        !self.run.is_empty() || self.cautions.keys().any(|id| id.starts_with("run-"))
    }

    /// Tells whether the engine may have been run for this service, here or by whom it was handed to.
    pub fn may_have_run(&self) -> bool {
        self.begun_running() || self.run_skipped.is_some()
    }

    /// After a break, or for who takes over, what comes before a run is asked anew only where a run is still
    /// to come: whether it ran meanwhile is asked first, and stopped after it, it is only looked at.
    pub(super) fn ask_of_the_run(&mut self) {
        if !self.begun_running() || self.run.contains_key(STOPPED) || self.run_skipped.is_some() {
            return;
        }
        if self.run_caution_due().is_some() {
            self.ask_run_cautions();
        } else {
            self.cautions_due.insert(RAN_MEANWHILE.into(), Asked::Run);
        }
    }

    /// Tells whether it was run and stopped, and not all is seen and said of that run yet.
    pub fn cools(&self) -> bool {
        let stopped = [STOPPED, RAN_MEANWHILE].iter().any(|id| self.run.contains_key(*id));
        stopped && !self.run_answered_all()
    }

    fn run_caution_due(&self) -> Option<Line> {
        checklist::run_cautions(&self.profile.profile).into_iter().find(|line| {
            !self.cautions.get(&line.id).is_some_and(|(digit, _)| line.is_good(*digit))
        })
    }

    /// What was put back is asked about anew where it was undone once more to make the engine safe.
    pub(super) fn made_safe_again(&mut self, caution: &str) {
        let put_back: &[&str] = match caution {
            "ignition" => &["leads", "controls"],
            "fuel" => &["controls"],
            "plugs" => &[PLUGS_IN],
            _ => &[],
        };
        self.checks.retain(|id, _| !put_back.contains(&id.as_str()));
    }

    pub(super) fn ask_run_cautions(&mut self) {
        for line in checklist::run_cautions(&self.profile.profile) {
            self.cautions.remove(&line.id);
        }
    }

    pub(super) fn ran(&mut self, run: &Run) {
        self.cautions_due.remove(RAN_MEANWHILE);
        match (run.id.as_str(), run.good) {
            // What was said of a run before it is not said of the next.
            (RAN_MEANWHILE, _) if run.digit == NOT_YET => self.run_anew(),
            (RUN_AGAIN, true) if run.digit == AFTER_COVERS => self.reopen(),
            (RUN_AGAIN, true) if run.digit == FROM_OUTSIDE => self.put_right_from_outside(),
            (RUN_AGAIN, true) => self.run_anew(),
            (RUN_AGAIN, false) => {
                self.added.push(RoundKind::Recheck);
                self.reopen();
            }
            _ => {
                self.run.insert(run.id.clone(), run.clone());
            }
        }
    }

    /// What was said of the last run, its faults left as they were included, is not said of the next.
    fn run_anew(&mut self) {
        self.run.clear();
        self.run_left.clear();
        (self.run_skipped, self.undone.run_handed_over) = (None, None);
        self.cautions_due.remove(RAN_MEANWHILE);
        self.ask_run_cautions();
    }

    /// Hands are at a hot engine that has just run: made safe, and what they may have touched looked
    /// at once more.
    pub(super) fn put_right_from_outside(&mut self) {
        self.run_anew();
        self.ask_cautions_of_a_break(Asked::Start);
        let touched = [checklist::TORQUE, "leads", "controls", SECOND_LOOK];
        self.checks.retain(|id, _| !touched.contains(&id.as_str()));
    }

    /// Says how covers stand that are counted in with everything else, until they are seen at torque. Before
    /// that they are among the pieces that are off.
    pub(super) fn covers_open(&self) -> Option<OpenItem> {
        let answered = |id: &str| self.checks.contains_key(id);
        let over = self.sealed == Some(true) || self.at_work() || answered(checklist::TORQUE);
        let off = |line: &&OutCount| line.out > 0;
        let all_in = self.out.iter().filter(off).all(|line| line.counted_in.is_some());
        let covers = self.out.iter().filter(off).any(|line| line.item == COVER);
        if over || !all_in || !covers {
            return None;
        }
        let on = answered(checklist::STARTED);
        Some(if on { OpenItem::CoversNotTorqued } else { OpenItem::CoversOff })
    }

    /// Tells whether covers may be on again, or the engine was run.
    pub fn begun_closing(&self) -> bool {
        !self.at_work() && self.closed_up()
    }

    pub(super) fn closed_up(&self) -> bool {
        !self.checks.is_empty() || !self.run.is_empty() || self.run_skipped.is_some()
    }

    /// A valve is due again after closing up: made safe, warm or cold, covers off, crank anywhere.
    pub(super) fn reopen(&mut self) {
        self.run_anew();
        // What is out now, for a leak test or taken over, is not counted in by that.
        self.out.retain(|line| line.short() || line.counted_in.is_none());
        let testing = |line: &OutCount| line.bank == TEST_THINGS && line.counted_in.is_none();
        self.test_things &= self.out.iter().any(testing);
        self.banks_off.retain(|bank| bank == TEST_THINGS && self.test_things);
        self.uncovered.clear();
        self.checks.clear();
        self.tests_put_off.clear();
        self.condition_rounds.clear();
        self.ask_all_cautions();
        self.crank = Crank::Unknown;
        self.last_stop = None;
        self.break_crank();
    }
}
