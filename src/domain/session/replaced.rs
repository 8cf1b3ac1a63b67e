//! What another profile changes of answers that were given by the one before it: cautions, torques,
//! threads. An answer stands only for the very question that it was given to.

use super::Session;
use super::checklist::{self, Line};
use super::nuts::locked_at;
use super::state::{Nut, State};
use crate::domain::entry::{Amend, Amended, Asked, Entry, NutSaid};
use crate::domain::profile::{Adjuster, EngineProfile, Screw};
use crate::domain::valve::Valve;
use std::collections::BTreeMap;

/// A nut that was locked by the profile before the one used now, which asks for another torque.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LockedBefore {
    /// Its valve.
    pub valve: Valve,
    /// At which torque, as it was kept.
    pub torque: String,
    /// The entry that took the other profile.
    pub replaced: u64,
}

impl Session {
    /// Lists the nuts that were locked and count as slack, or did, only because another profile was taken.
    pub fn locked_before(&self) -> Vec<LockedBefore> {
        let mut locked: BTreeMap<Valve, &String> = BTreeMap::new();
        let mut before = Vec::new();
        let mut screw = screw_of(&self.head.profile.profile);
        for kept in self.kept.iter().filter(|kept| !self.is_void(kept.seq)) {
            if let Entry::Nut(nut) = &kept.entry {
                match &nut.said {
                    NutSaid::Locked { torque, .. } => drop(locked.insert(nut.valve, torque)),
                    NutSaid::Slack => drop(locked.remove(&nut.valve)),
                    NutSaid::NeverTouched { .. } | NutSaid::Threads(_) => {}
                }
            }
            let Entry::Amend(Amend { what: Amended::Profile(profile), asks_anew, .. }) =
                &kept.entry
            else {
                continue;
            };
            let now = screw_of(&profile.profile);
            if *asks_anew && screw.map(locked_at) != now.map(locked_at) {
                before.extend(std::mem::take(&mut locked).into_iter().map(|(valve, torque)| {
                    LockedBefore { valve, torque: torque.clone(), replaced: kept.seq }
                }));
            }
            screw = now;
        }
        before
    }
}

fn screw_of(facts: &EngineProfile) -> Option<&Screw> {
    match &facts.adjuster {
        Adjuster::Screw(screw) => Some(screw),
        Adjuster::Shim { .. } | Adjuster::Pushrod { .. } | Adjuster::None => None,
    }
}

impl State {
    /// Drops what was answered by the `old` profile and would be asked otherwise by the one used now.
    pub(super) fn answered_by_another(&mut self, seq: u64, old: &EngineProfile) {
        self.cautions_by_another(old);
        self.nuts_by_another(seq, old);
        self.checks_by_another(old);
    }

    /// A version that closed up, or signed, over what another profile asks otherwise asked only this. What
    /// it left standing stands.
    pub(super) fn cautions_without_answer(&mut self) {
        for line in checklist::cautions(&self.profile.profile) {
            if !self.cautions.contains_key(&line.id) {
                self.cautions_due.insert(line.id, Asked::Start);
            }
        }
    }

    /// The manual's own cautions have their places for names: the words tell which is which.
    fn cautions_by_another(&mut self, old: &EngineProfile) {
        let before = checklist::cautions(old);
        let mut answers = std::mem::take(&mut self.cautions);
        let mut due = BTreeMap::new();
        let lines = checklist::cautions(&self.profile.profile);
        for line in &lines {
            let same = before.iter().find(|old| asks_the_same(old, line));
            let answer = same.and_then(|old| answers.get(&old.id).cloned());
            let again = same.and_then(|old| self.cautions_due.get(&old.id).copied());
            if let Some(asked) = again.or(answer.is_none().then_some(Asked::Start)) {
                due.insert(line.id.clone(), asked);
            }
            self.cautions.extend(answer.map(|answer| (line.id.clone(), answer)));
        }
        // Those of the run have their own ids, and the same words by every profile.
        let of_work = |id: &String| before.iter().chain(&lines).any(|line| line.id == *id);
        answers.retain(|id, _| !of_work(id));
        self.cautions.extend(answers);
        // So has the question whether it was run meanwhile.
        let of_the_run = self.cautions_due.iter().filter(|(id, _)| !of_work(id));
        due.extend(of_the_run.map(|(id, asked)| (id.clone(), *asked)));
        self.cautions_due = due;
    }

    /// Nuts at another torque than that of their engine are answered for by nobody.
    fn nuts_by_another(&mut self, seq: u64, old: &EngineProfile) {
        let (Adjuster::Screw(was), Adjuster::Screw(now)) = (&old.adjuster, &self.facts().adjuster)
        else {
            return;
        };
        let threads = was.threads_showing != now.threads_showing;
        let torque = locked_at(was) != locked_at(now);
        if torque {
            let locked = self.nuts.iter().filter(|(_, nut)| nut.locked_by.is_some());
            let locked: Vec<_> = locked.map(|(&valve, _)| valve).collect();
            for valve in locked {
                self.unlocked(seq, valve);
            }
        }
        if threads {
            self.threads_left.clear();
        }
    }

    /// The screw was held by this nut all the time: that it was never touched cannot be said of it.
    fn unlocked(&mut self, seq: u64, valve: Valve) {
        let (round, after_rounds) = self.opened_now();
        if let Some(nut) = self.nuts.get_mut(&valve) {
            let (locked_by, threads) = (None, None);
            *nut = Nut { said_at: seq, round, after_rounds, locked_by, threads, ..*nut };
        }
        self.threads_left.remove(&valve);
        self.left_as_is.remove(&valve);
    }

    fn checks_by_another(&mut self, old: &EngineProfile) {
        let before = checklist::close_up(old);
        let lines = checklist::close_up(&self.profile.profile);
        let other = |id: &String| {
            let line = |of: &[Line]| of.iter().find(|line| line.id == *id).cloned();
            line(&before) != line(&lines)
        };
        let answered = self.checks.len();
        self.checks.retain(|id, _| !other(id));
        // Hands are at the engine once more: a run before that was of an engine put together otherwise.
        if self.checks.len() < answered && self.begun_running() {
            self.put_right_from_outside();
        }
    }
}

fn asks_the_same(one: &Line, other: &Line) -> bool {
    let own_name = |line: &Line| line.id.starts_with(checklist::MANUAL);
    let same_name = one.id == other.id || own_name(one) && own_name(other);
    same_name && one.ask == other.ask && one.states == other.states
}
