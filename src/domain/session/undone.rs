//! What was begun and undone again with nothing changed: a nut said slack by mistake, a part that came out
//! and went back.

use super::Session;
use super::amend::{AT_ONCE, WRONG_PLACE};
use super::nuts::PRESSED_BY_MISTAKE;
use super::state::{Crank, RestOfRound, State, Stood};
use crate::domain::entry::{Change, Correct, Entry, Kept, NutSaid, Part, Skipped, Work};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use std::collections::{BTreeMap, BTreeSet};

/// The size of a part, as marked and as measured.
type Sizes = (Option<Length>, Option<Length>);

/// What is known for the case that something is undone, or answered for later.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Undone {
    /// The last entry, where it said a nut slack once the rounds were done: its seq and the valve.
    slack: Option<(u64, Valve)>,
    /// Parts that are out of valves that were not adjusted before.
    came_out: BTreeMap<Valve, CameOut>,
    /// The sizes, marked and measured, of the parts that are out.
    pub(super) sizes_out: BTreeMap<(Valve, &'static str), Sizes>,
    /// What was seen where the crank stood when it was said that nobody knows its place.
    pub(super) lost_at: Option<Stood>,
    /// The entry by which the run was handed over to somebody else.
    pub(super) run_handed_over: Option<u64>,
    /// Remarks by which a run is owed that was handed over, and not made yet as was said here.
    pub(super) not_run_yet: BTreeSet<u64>,
    /// Valves that nobody set, each with the work on its cylinder that alone changed how it stands.
    pub(super) only_worked: BTreeMap<Valve, String>,
    /// What the seal of a service that is closed unsigned says of what is not put back.
    pub(super) tells_not_put_back: Option<bool>,
    /// Its seal tells of what was worked on and not gauged after it.
    pub(super) tells_not_gauged: bool,
    /// Cylinders whose cams went in since the engine was last turned freely.
    pub(super) cams_in: BTreeSet<Cylinder>,
    /// Valves whose nut was locked since it was said slack first, if on a reading that is withdrawn.
    pub(super) was_locked: BTreeSet<Valve>,
    /// The last reading of each valve that was taken back, or said not to count.
    pub(super) withdrawn: BTreeMap<Valve, u64>,
    /// The rest of a round that the last entry ended.
    pub(super) rest_ended: Option<RestEnded>,
}

/// The rest of a round that an entry ended, and where the crank stood on its way.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct RestEnded {
    by: u64,
    rest: RestOfRound,
    crank: Crank,
    last_stop: Option<usize>,
    pulled_from: Option<(Crank, bool)>,
}

/// A part that is out.
#[derive(Clone, Debug, Default, PartialEq)]
struct CameOut {
    /// Its size where measured.
    measured: Option<Length>,
    /// The work on its cylinder that alone had changed the valve before, or did while it was out.
    work: Option<String>,
    /// Whether such work is told: see [`Part::undoes_less`].
    tells_work: bool,
}

impl Session {
    /// Tells whether a reading was said not to count, by an answer of its own: it is taken back like any other. What
    /// the key itself took back is not, nor what went with a wrong place.
    pub(super) fn is_own_withdrawal(&self, correct: &Correct) -> bool {
        let alone = ![AT_ONCE, WRONG_PLACE].contains(&correct.why.as_str());
        alone && matches!(self.entry(correct.of), Some(Entry::Reading(_) | Entry::Adopt(_)))
    }

    /// Tells whether an entry withdrew the reading by which a nut was locked.
    pub(super) fn left_a_nut_slack(&self, entry: &Entry) -> bool {
        let Entry::Correct(correct) = entry else { return false };
        let Some(Entry::Reading(reading)) = self.entry(correct.of) else { return false };
        let nut = self.state.nuts.get(&reading.valve);
        nut.is_some_and(|nut| nut.locked_by == Some(correct.of))
            && self.state.nut_slack(reading.valve)
    }
}

impl State {
    /// Lists the entries that are as if never said where the next one says that a nut never was slack:
    /// in between nobody did anything, so that nothing is asked anew (session.md 5). A leak test that was
    /// promised because of it goes with it.
    pub(super) fn never_said(&self, kept: &Kept) -> Vec<u64> {
        let (Some((seq, valve)), Entry::Nut(nut)) = (self.undone.slack, &kept.entry) else {
            return Vec::new();
        };
        // Any other reason may tell of a nut that is slack all the same.
        let never = matches!(&nut.said, NutSaid::NeverTouched { why } if why == PRESSED_BY_MISTAKE);
        if !never || nut.valve != valve || Some(kept.seq) != seq.checked_add(1) {
            return Vec::new();
        }
        let promise = self.before_slack.get(&valve).and_then(|before| before.promise);
        promise.into_iter().chain([seq, kept.seq]).collect()
    }

    /// Returns whose nut an entry says slack, where the rounds are done.
    pub(super) fn slack_after_the_rounds(&self, kept: &Kept) -> Option<(u64, Valve)> {
        let valve = if let Entry::Nut(nut) = &kept.entry {
            (nut.said == NutSaid::Slack).then_some(nut.valve)
        } else if let Entry::Skip(skip) = &kept.entry
            && let Skipped::AsFound(valve) = skip.what
        {
            Some(valve)
        } else {
            None
        };
        let valve = valve?;
        (!self.at_work()).then_some((kept.seq, valve))
    }

    pub(super) fn slack_was_said(&mut self, said: Option<(u64, Valve)>) {
        self.undone.slack = said;
    }

    /// Notes the rest of a round as it stands, for the case that what ends it is taken back.
    pub(super) fn as_rest_stands(&self, by: u64) -> Option<RestEnded> {
        let (crank, last_stop, pulled_from) = (self.crank, self.last_stop, self.pulled_from);
        self.rest.clone().map(|rest| RestEnded { by, rest, crank, last_stop, pulled_from })
    }

    /// Goes on with the rest of a round whose last answer is taken back by the very next entry: the crank still
    /// stands there. One that was taken back by a version that did not write so went on by the whole plan.
    pub(super) fn rest_again(&mut self, ended: Option<RestEnded>, entry: &Entry) {
        let Some(RestEnded { by, rest, crank, last_stop, pulled_from }) = ended else { return };
        let is_it = |entry: &Entry| {
            matches!(entry, Entry::Correct(Correct { of, change: Change::Void, as_asked: true, .. })
                if *of == by)
        };
        if is_it(entry) {
            (self.rest, self.crank) = (Some(rest), crank);
            (self.last_stop, self.pulled_from) = (last_stop, pulled_from);
        }
    }

    /// Where the part goes back that came out, the valve is gauged again, but it was not adjusted.
    pub(super) fn part_came_or_went(&mut self, valve: Valve, part: &Part, adjusted_before: bool) {
        if part.out {
            let tells_work = part.undoes_less;
            let work = self.undone.only_worked.remove(&valve).filter(|_| tells_work);
            if !adjusted_before || work.is_some() {
                let out = CameOut { measured: part.measured, work, tells_work };
                self.undone.came_out.insert(valve, out);
            }
        } else if let Some(out) = self.undone.came_out.remove(&valve)
            && part.is_the_one_of(out.measured)
        {
            match out.work {
                Some(work) => drop(self.undone.only_worked.insert(valve, work)),
                None => drop(self.touched.remove(&valve)),
            }
        }
    }

    /// What came out was measured after it was said to be out.
    pub(super) fn measured_late(&mut self, valve: Valve, measured: Option<Length>) {
        if let Some(known) = self.undone.came_out.get_mut(&valve) {
            known.measured = measured;
        }
    }

    /// Tells whether a valve was set, or anything over it was apart: what was read before does not say how
    /// it is now.
    pub(super) fn was_changed(&self, valve: Valve) -> bool {
        self.touched.contains(&valve) || self.assembled.contains(&valve)
    }

    /// Tells whether a valve is gauged anew for work on its cylinder alone: nobody set it.
    pub fn only_worked_on(&self, valve: Valve) -> bool {
        self.work_alone(valve).is_some()
    }

    /// Names that work.
    pub fn work_alone(&self, valve: Valve) -> Option<&str> {
        let work = self.undone.only_worked.get(&valve)?;
        self.touched.contains(&valve).then_some(work.as_str())
    }

    /// Work on a cylinder changes its valves whatever goes back; nobody set one of which the part goes back that
    /// was out meanwhile, but with other parts nobody knows that.
    pub(super) fn worked_with_parts_out(&mut self, work: &Work, other_parts: bool) {
        let of_it = |valve: &Valve| valve.cylinder == work.cylinder;
        self.undone.came_out.retain(|valve, out| {
            let stays = out.tells_work && work.asks_anew && !other_parts;
            if of_it(valve) && stays {
                out.work = Some(work.what.clone());
            }
            !of_it(valve) || stays
        });
    }

    /// Another part out of a valve changes it, whatever goes back.
    pub(super) fn not_as_it_was(&mut self, of: impl Fn(Valve) -> bool) {
        self.undone.came_out.retain(|valve, _| !of(*valve));
    }
}
