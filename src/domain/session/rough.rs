//! A look at an engine outside the temperature that its limits are for.

use super::Session;
use super::state::{State, Taken};
use crate::domain::entry::{Adopt, Change, Correct, Entry, Reading, Skipped};
use crate::domain::units::Temperature;
use crate::domain::valve::Valve;
use crate::domain::verdict::Verdict;
use std::collections::BTreeMap;

/// The reason to gauge outside of the temperature after which nothing is set.
pub const ROUGH_LOOK: &str = "only a rough look, nothing will be set";

/// The reason to gauge outside of the temperature by which the manual rules.
pub const MANUAL_ALLOWS: &str = "the manual allows it for this check";

/// A reason to leave a valve as it is, as it was given.
#[derive(Clone, Debug, PartialEq)]
pub struct ReasonGiven<'a> {
    /// The reason.
    pub why: &'a str,
    /// What the valve read then, as it was corrected by then; `None` where that is not kept.
    pub on: Option<Reading>,
    /// Why it was gauged outside the temperature; `None` inside it.
    pub warm: Option<&'a str>,
}

/// Why a valve was left outside its band.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyLeft<'a> {
    /// For this reason, which holds for what the valve reads.
    Holds(&'a str),
    /// For a reason that a version before this one let count for another reading too, and that was
    /// signed on.
    SignedOn(Box<ReasonGiven<'a>>),
}

impl<'a> WhyLeft<'a> {
    /// Returns the reason alone.
    pub fn why(&self) -> &'a str {
        match self {
            WhyLeft::Holds(why) => why,
            WhyLeft::SignedOn(given) => given.why,
        }
    }
}

impl Session {
    /// Lists the reasons that were given to leave a valve as it is, oldest first, whether they still
    /// count or not: a record shows what was kept.
    pub fn reasons_given(&self, valve: Valve) -> Vec<ReasonGiven<'_>> {
        // As they stood at each entry, by their seqs.
        let mut stood: BTreeMap<u64, Reading> = BTreeMap::new();
        let mut last = None;
        let mut given = Vec::new();
        for kept in self.kept.iter().filter(|kept| !self.is_void(kept.seq)) {
            if let Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. }) = &kept.entry {
                stood.insert(kept.seq, reading.clone());
                last = if reading.valve == valve { Some(kept.seq) } else { last };
            }
            if let Entry::Correct(correct) = &kept.entry {
                corrected(&mut stood, correct);
            }
            if let Entry::Skip(skip) = &kept.entry
                && skip.what == Skipped::Setting(valve)
            {
                let taken = last.and_then(|seq| self.state.taken(seq));
                let warm = taken.and_then(|taken| taken.warm.as_deref());
                let on = last.and_then(|seq| stood.get(&seq)).cloned();
                given.push(ReasonGiven { why: &skip.why, on, warm });
            }
        }
        given
    }

    /// Returns why a valve was left outside its band; of a signed session the reason that it was
    /// signed on, where a version before this one let it count for another reading too.
    pub fn why_left(&self, valve: Valve) -> Option<WhyLeft<'_>> {
        if let Some(why) = self.state.reason_to_leave(valve) {
            return Some(WhyLeft::Holds(why));
        }
        let signed = self.state.sealed == Some(true);
        let out = self.state.verdict_left(valve).is_some_and(|one| one != Verdict::InLimits);
        let last = self.reasons_given(valve).pop().filter(|_| signed && out);
        last.map(|given| WhyLeft::SignedOn(Box::new(given)))
    }
}

/// Corrects figures in their place, as the state does.
fn corrected(stood: &mut BTreeMap<u64, Reading>, correct: &Correct) {
    match &correct.change {
        Change::Void => {}
        change @ Change::Value { .. } => {
            if let Some(reading) = stood.get_mut(&correct.of)
                && let Some(figure) = change.figure(reading)
            {
                reading.take_figure(&figure);
            }
        }
        Change::SwapWith(other) => {
            let figures = stood.get(&correct.of).cloned().zip(stood.get(other).cloned());
            let Some((one, two)) = figures else { return };
            for (seq, figure) in [(correct.of, two), (*other, one)] {
                if let Some(reading) = stood.get_mut(&seq) {
                    reading.take_figure(&figure);
                }
            }
        }
    }
}

impl State {
    fn taken(&self, seq: u64) -> Option<&Taken> {
        self.readings.iter().find(|taken| taken.seq == seq)
    }

    /// Returns the head's temperature where it is outside of what the limits are for and was gone on
    /// with all the same.
    pub fn gone_on_outside(&self) -> Option<Temperature> {
        let condition = self.condition.as_ref().filter(|one| one.against_limit.is_some())?;
        condition.head.filter(|head| self.facts().gauge_when.is_outside(*head))
    }

    /// Tells whether it was said that nothing will be set.
    pub fn is_rough_look(&self) -> bool {
        let why = self.condition.as_ref().and_then(|one| one.against_limit.as_deref());
        why == Some(ROUGH_LOOK)
    }

    /// What a valve was left for on a rough look excuses no reading made on an engine at its
    /// temperature. Before that reading its round stays done.
    pub(super) fn looked_closer(&mut self, reading: &Reading) {
        let look = self.left_as_is.get(&reading.valve).is_some_and(|(.., look)| *look);
        if look && reading.paper.is_none() && !self.is_rough_look() {
            self.left_as_is.remove(&reading.valve);
        }
    }

    /// Tells whether no part and no turn of a screw follows from a reading: it was made on a rough
    /// look, or outside of the temperature that the engine is at now. Where the manual allowed it, it
    /// says what it says.
    pub fn is_only_a_look(&self, taken: &Taken) -> bool {
        match taken.warm.as_deref() {
            None | Some(MANUAL_ALLOWS) => false,
            Some(ROUGH_LOOK) => true,
            Some(_) => self.warm().is_none(),
        }
    }

    /// Tells whether a valve was out of its band on a look that nothing follows from, and can be
    /// gauged now: it is, before anything is chosen or set.
    pub fn wants_closer_look(&self, valve: Valve) -> bool {
        !self.is_rough_look()
            && self.current(valve).is_some_and(|taken| {
                self.is_only_a_look(taken)
                    && self.judge(taken, self.band(valve)) != Verdict::InLimits
            })
            && self.reason_to_leave(valve).is_none()
    }
}
