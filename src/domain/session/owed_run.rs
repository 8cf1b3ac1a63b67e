//! The run of a service before this one that was handed over: asked about at the start, and where it was not
//! run yet, answered by this service's own run.

use super::carried::handed_on;
use super::decide::{Decided, text};
use super::due::Due;
use super::open::OpenItem;
use super::refusal::Refusal;
use super::state::State;
use super::{Kept, Session};
use crate::domain::entry::{Entry, Hours, Remark, Skip, Skipped};

/// How the id begins under which it is kept that it was not run yet; the seq of the remark follows.
const OWED: &str = "owed-run ";
/// What is kept as the reason then.
const NOT_RUN_YET: &str = "not run yet: the run of this service answers for it";
/// How the remark begins that it leaked; where, follows.
const LEAKED_AT: &str = "leaked at its run: ";
/// What settles the remark by which the run was owed then.
const IT_LEAKED: &str = "run since: it leaked";

/// What became of a run that was handed over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OwedRun {
    /// It was run, and nothing leaked.
    Dry,
    /// It was run, and leaked there.
    Leaked(String),
    /// It was not run yet.
    NotYet,
    /// The counter went up by so much since, but nobody leak-checked it.
    NotChecked(Hours),
}

impl State {
    /// Lists the remarks by which a run that was handed over is still owed.
    pub(super) fn owed_runs(&self) -> impl Iterator<Item = u64> + '_ {
        let owed = OpenItem::RunHandedOver.to_string();
        let open = self
            .remarks
            .iter()
            .filter(|(seq, remark)| remark.before_running && !self.settled.contains(seq));
        open.filter(move |(_, remark)| {
            handed_on(&remark.text).is_some_and(|handed| handed.item == owed)
        })
        .map(|(seq, _)| *seq)
    }

    /// Asked before anything else of the engine; one that comes up later is asked about before the run.
    pub(super) fn due_of_owed_run(&self) -> Option<Due> {
        let at_the_start = self.begin.rounds.is_none();
        self.owed_runs().next().filter(|_| at_the_start).map(Due::OwedRun)
    }

    /// Tells whether this service owes the run of one before it.
    pub(super) fn owes_a_run(&self) -> bool {
        !self.undone.not_run_yet.is_empty()
    }

    /// Tells whether that run is still to be made, or to be handed over once more.
    pub(super) fn still_owes_a_run(&self) -> bool {
        self.owes_a_run() && !self.run_answered_all()
    }

    pub(super) fn decide_owed_run(&self, became: &OwedRun) -> Decided {
        let Due::OwedRun(seq) = self.due() else { return Err(Refusal::NotNow) };
        let settled = |words: &str| {
            Entry::Remark(Remark { text: words.into(), settles: Some(seq), ..Remark::default() })
        };
        Ok(match became {
            OwedRun::Dry => vec![settled("run and leak-checked since: dry")],
            OwedRun::Leaked(place) => {
                let leak = format!("{LEAKED_AT}{}", text(place, "where it leaked")?);
                let open = Remark { text: leak, before_running: true, ..Remark::default() };
                // What is open first: what is cut off behind it is asked again.
                vec![Entry::Remark(open), settled(IT_LEAKED)]
            }
            OwedRun::NotYet => {
                let what = Skipped::Check(format!("{OWED}{seq}"));
                vec![Entry::Skip(Skip::of(what, NOT_RUN_YET))]
            }
            OwedRun::NotChecked(more) => {
                let what = Skipped::Check(format!("{OWED}{seq}"));
                let why = format!(
                    "run since by the counter, {more} h more, and not leak-checked: the run of this \
                     service answers for it"
                );
                vec![Entry::Skip(Skip::of(what, why))]
            }
        })
    }

    /// Keeps that it was not run yet, so that this service's own run is that run; tells whether the check of this
    /// id is one.
    pub(super) fn not_run_yet(&mut self, id: &str) -> bool {
        let Some(seq) = owed_run_of(id) else { return false };
        self.undone.not_run_yet.insert(seq);
        self.settled.insert(seq);
        true
    }
}

impl Session {
    /// Returns the entries of the last answer where it said that the run of a service before leaked: what
    /// settled that it is owed, and what is open since. They are taken back together.
    pub fn leaked_last(&self) -> Option<[u64; 2]> {
        let last = self.last_entry()?;
        let Entry::Remark(settled) = &last.entry else { return None };
        let is_open = |kept: &&Kept| {
            matches!(&kept.entry, Entry::Remark(open)
                if open.before_running && open.settles.is_none() && open.text.starts_with(LEAKED_AT))
        };
        let before = self.kept.iter().rev().find(|kept| kept.seq < last.seq).filter(is_open)?;
        let both = settled.settles.is_some() && settled.text == IT_LEAKED;
        (both && !self.is_void(before.seq)).then_some([last.seq, before.seq])
    }
}

/// Finds the remark by which a run is owed by the id under which it is kept that it was not run yet.
pub fn owed_run_of(id: &str) -> Option<u64> {
    id.strip_prefix(OWED)?.parse().ok()
}
