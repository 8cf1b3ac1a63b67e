//! One valve-clearance service: a state machine over entries.
//!
//! [`Session::decide`] turns an input into entries, or refuses and changes nothing; the caller
//! writes them down; [`Session::keep`] takes what is on disk. A session is what its entries add up
//! to, so replaying a journal gives the same session. Nothing here knows a clock or a disk.

mod amend;
mod answer;
mod apply;
mod aside;
mod carried;
mod cautions;
pub mod checklist;
mod closing;
mod counts;
mod decide;
mod doubts;
pub mod due;
mod felt;
mod fitting;
mod gauge_after;
mod gauging;
mod gravity;
mod hold_down;
pub mod input;
mod leak;
mod led_to;
mod left;
mod look;
mod nuts;
pub mod open;
mod owed_run;
mod parts;
mod put_back;
mod refusal;
mod replaced;
mod revise;
mod rough;
mod rounds;
mod scope;
pub mod state;
mod taken;
mod turning;
mod under_way;
mod undone;

pub use amend::{AT_ONCE, WRONG_PLACE, crossed};
pub use carried::{HANDED_ON, bank_alone, hand_on, handed_on, is_handed_on, remark_in_short};
pub use closing::RUN_HANDED_OVER;
pub use counts::{BLANK, MISSING_ALREADY, OutCount, PLUG};
pub use doubts::Pair;
pub use due::{Difference, Due, LOOSE_THINGS, Stage, TEST_THINGS, lies_about};
pub use gauging::PROVE_FIRST;
pub use gauging::readings_of;
pub use gravity::{Gravity, gravest_first};
pub use hold_down::{HoldDown, Worked, hold_down_of, is_likely_hold_down, nuts_not_tight_of};
pub use input::Input;
pub use leak::{
    LEAK_TEST_LATER, LEAK_TEST_NOW, asks_for_cause, leak_figure, leaks_much, promised_leak_test,
};
pub use led_to::{Holds, OddPart, PartBefore};
pub use left::ThreadsLeft;
pub use look::{LOOK_FOR, cut_off_here, is_to_look_for};
pub use nuts::{FOUND_SLACK, PRESSED_BY_MISTAKE, WRONG_VALVE_NAMED};
pub use open::{OpenItem, named_bank, says_where, the_bank, where_left};
pub use owed_run::{OwedRun, owed_run_of};
pub use parts::{Fitted, OutPart};
pub use put_back::HAS_RUN;
pub use refusal::Refusal;
pub use replaced::LockedBefore;
pub use rough::{MANUAL_ALLOWS, ROUGH_LOOK, ReasonGiven, WhyLeft};
pub use state::{Again, Crank, Proven, RoundKind, State, Stood, Taken};

use crate::domain::clock;
use crate::domain::entry::{Back, Change, Entry, Head, Hours, Kept, Moment, Skipped, Step};
use std::collections::{BTreeMap, BTreeSet};

/// A service: its head, everything kept, and what that adds up to.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    /// Identity and the profile as it was at the start.
    pub head: Head,
    /// Every entry on disk, in order.
    pub kept: Vec<Kept>,
    /// What they add up to.
    pub state: State,
    voided: BTreeSet<u64>,
    /// What is as if never said, by the entry that says so; see `undone`.
    never_said: BTreeMap<u64, Vec<u64>>,
}

impl Session {
    /// Makes the session of a journal that has its head only.
    pub fn new(head: Head) -> Session {
        let state = State::new(&head);
        let (kept, voided, never_said) = Default::default();
        Session { head, kept, state, voided, never_said }
    }

    /// Rebuilds a session from its journal; `None` where the first entry is no head.
    pub fn replay(entries: &[Kept]) -> Option<Session> {
        let Some(Kept { entry: Entry::Head(head), .. }) = entries.first() else { return None };
        let mut session = Session::new(head.clone());
        for kept in entries {
            session.add(kept.clone());
        }
        Some(session)
    }

    /// Takes an entry that is on disk.
    ///
    /// A reading or a skip taken back is withdrawn where it stands: what was decided while it
    /// counted stays decided. Any other entry taken back is left out as if it had never been.
    #[must_use]
    pub fn keep(mut self, kept: Kept) -> Session {
        self.add(kept);
        self
    }

    fn add(&mut self, kept: Kept) {
        let void = withdrawn_by(&kept.entry);
        let never_said = self.state.never_said(&kept);
        let left_out =
            void.is_some_and(|of| !self.withdrawn_in_place(of)) || !never_said.is_empty();
        if !never_said.is_empty() {
            self.never_said.insert(kept.seq, never_said);
        }
        self.kept.push(kept);
        if void.is_some() {
            self.voided = withdrawn(&self.kept);
        }
        let from = if left_out { 0 } else { self.kept.len() - 1 };
        if left_out {
            self.state = State::new(&self.head);
        }
        for place in from..self.kept.len() {
            self.apply(place);
        }
    }

    fn apply(&mut self, place: usize) {
        let Some(kept) = self.kept.get(place) else { return };
        if self.voided.contains(&kept.seq) && !self.withdrawn_in_place(kept.seq)
            || self.is_as_if_never_said(kept.seq)
        {
            return;
        }
        self.state.apply(kept);
        // However the position is told, the crank has been turned since.
        match withdrawn_by(&kept.entry).and_then(|of| self.entry(of)) {
            Some(Entry::Proof(_)) if asks_as_before(&kept.entry) => {}
            Some(&Entry::At(at)) if asks_as_before(&kept.entry) => self.state.place_taken_back(at),
            Some(Entry::At(_) | Entry::Proof(_)) => self.state.break_crank(),
            // Nobody knows what was turned at cams that were said to be out.
            Some(Entry::Part(part)) if part.out && part.valve.is_none() => self.state.break_crank(),
            // A figure may be mistaken; the piston was brought to its top for it all the same.
            Some(Entry::LeakTest(test)) if test.turned => {
                let cylinder = test.cylinder;
                self.state.turned_by_leak_test(cylinder);
            }
            _ => {}
        }
    }

    /// Tells whether an entry is as if never said, unless the word that makes it so was taken back.
    fn is_as_if_never_said(&self, seq: u64) -> bool {
        let mut words = self.never_said.iter().filter(|(by, _)| !self.voided.contains(by));
        words.any(|(_, of)| of.contains(&seq))
    }

    fn entry(&self, seq: u64) -> Option<&Entry> {
        self.kept.iter().find(|kept| kept.seq == seq).map(|kept| &kept.entry)
    }

    fn withdrawn_in_place(&self, seq: u64) -> bool {
        match self.entry(seq) {
            Some(Entry::Reading(_) | Entry::Adopt(_)) => true,
            Some(Entry::Skip(skip)) => {
                matches!(skip.what, Skipped::Gauging(..) | Skipped::Round(_))
            }
            _ => false,
        }
    }

    /// Tells whether an entry was taken back.
    pub fn is_void(&self, seq: u64) -> bool {
        self.voided.contains(&seq)
    }

    /// Returns the entry that taking back would withdraw.
    pub fn last_entry(&self) -> Option<&Kept> {
        self.kept.iter().rev().find(|kept| {
            let own = match &kept.entry {
                Entry::Correct(correct) => {
                    correct.change != Change::Void || self.is_own_withdrawal(correct)
                }
                Entry::Head(_)
                | Entry::Away(_)
                | Entry::Back(_)
                | Entry::Recover(_)
                | Entry::Seal(_) => false,
                Entry::Begin(begin) => begin.engine_id.is_none() && begin.left_open.is_empty(),
                Entry::Who(_)
                | Entry::Caution(_)
                | Entry::Condition(_)
                | Entry::Source(_)
                | Entry::Leaves(_)
                | Entry::Off(_)
                | Entry::On(_)
                | Entry::At(_)
                | Entry::Proof(_)
                | Entry::Unload(_)
                | Entry::Release(_)
                | Entry::Reading(_)
                | Entry::Nut(_)
                | Entry::Part(_)
                | Entry::Work(_)
                | Entry::Remark(_)
                | Entry::LeakTest(_)
                | Entry::Skip(_)
                | Entry::Amend(_)
                | Entry::Run(_)
                | Entry::Sign(_)
                | Entry::Adopt(_)
                | Entry::Redate(_) => true,
            };
            own && !self.voided.contains(&kept.seq)
        })
    }

    /// Returns when the session began; a `redate` does not change the clock's word.
    pub fn began(&self) -> Option<Moment> {
        self.kept.first().map(|kept| kept.at)
    }

    /// Returns the hours of the service, and when they were told: where it was said later that the engine has
    /// not run, or they were put right, it was then.
    pub fn hours_told(&self) -> Option<(Hours, Moment)> {
        let mut told: Option<(Hours, Moment)> = None;
        for kept in self.kept.iter().filter(|kept| !self.is_void(kept.seq)) {
            let known = told.map(|(hours, _)| hours);
            let now = if let Entry::Begin(begin) = &kept.entry {
                begin.hours.or(known)
            } else if let Entry::Back(back) = &kept.entry {
                back.put_right(known)
            } else {
                known
            };
            if now != known {
                told = now.map(|hours| (hours, kept.at));
            }
        }
        told
    }

    /// Says why the day of the session is not to be believed; nothing where it is, or was put right.
    pub fn day_doubted(&self) -> Option<clock::Doubt> {
        let doubts = clock::doubts_of(&self.kept);
        doubts.into_iter().next().filter(|_| self.state.redated.is_none())
    }

    /// Counts the tries on a valve: those written one by one, and those given as a count.
    pub fn tries(&self, valve: crate::domain::valve::Valve) -> u32 {
        // What is gauged after parts were changed is no try at a screw, nor after work that left it alone.
        let screws = !self.state.changes_parts() && !self.state.only_worked_on(valve);
        self.state
            .readings
            .iter()
            .filter(|taken| screws && taken.reading.valve == valve)
            .filter(|taken| matches!(taken.reading.step, Step::Try | Step::Left))
            .fold(0, |sum: u32, taken| sum.saturating_add(taken.reading.tries).saturating_add(1))
    }
}

/// Lists what is taken back; what was taken back by an entry that is taken back itself stands again.
fn withdrawn(kept: &[Kept]) -> BTreeSet<u64> {
    kept.iter().rev().fold(BTreeSet::new(), |mut withdrawn, kept| {
        if !withdrawn.contains(&kept.seq) {
            withdrawn.extend(withdrawn_by(&kept.entry));
        }
        withdrawn
    })
}

/// Returns the entry that this one takes back.
fn withdrawn_by(entry: &Entry) -> Option<u64> {
    let Entry::Correct(correct) = entry else { return None };
    (correct.change == Change::Void).then_some(correct.of)
}

fn asks_as_before(entry: &Entry) -> bool {
    matches!(entry, Entry::Correct(correct) if correct.as_asked)
}

/// Minutes without a key after which the next key only wakes (session.md section 5).
pub const BREAK_MIN: i64 = 15;

/// Tells whether a key that comes now only wakes: a long pause, or a clock that went backwards.
pub fn asleep(last_key: Moment, now: Moment) -> Option<Back> {
    let passed_ms = now.unix_ms - last_key.unix_ms;
    let clock_jumped = passed_ms < -1_000;
    if passed_ms <= BREAK_MIN * 60_000 && !clock_jumped {
        return None;
    }
    let after_min = (!clock_jumped).then(|| u32::try_from(passed_ms / 60_000).unwrap_or(u32::MAX));
    let new_day = day(last_key) != day(now);
    Some(Back { after_min, new_day, clock_jumped, ..Back::default() })
}

/// Returns the local day as a count of days since 1970.
pub fn day(moment: Moment) -> i64 {
    (moment.unix_ms + i64::from(moment.offset_min) * 60_000).div_euclid(86_400_000)
}
