//! Mistakes and changes of mind: taking back, correcting, swapping, amending.

use super::Session;
use super::decide::{Decided, given, page_figure};
use super::due::{Due, FIGURES};
use super::felt::says_felt;
use super::input::Input;
use super::refusal::Refusal;
use super::state::{State, Taken, make_plan};
use crate::domain::entry::{
    Amend, Amended, At, Change, Correct, Entry, Figure, Kept, NutSaid, Part, ProfileText, Redate,
    Rocked, Skip, Skipped, Step, Work,
};
use crate::domain::reading;
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Kind, Valve};
use std::collections::BTreeSet;

impl Session {
    #[expect(clippy::wildcard_enum_match_arm, reason = "`decide` sends only these inputs here")]
    pub(super) fn decide_amend(&self, input: &Input) -> Decided {
        let state = &self.state;
        match input {
            Input::TakeBack => self.take_back(),
            Input::Void { of, why } => {
                let last = self.came_out_last().or_else(|| self.worked_last());
                if last.is_none_or(|kept| kept.seq != *of) {
                    self.is_reading(*of)?;
                }
                let why = given(why)?;
                let first = self.said_out_before(*of).into_iter().map(|of| voided(of, &why));
                Ok(first.chain(self.withdrawn_with(*of, &why)).collect())
            }
            Input::PartOutRetold { of, valve, marked, measured, why } => {
                self.part_out_retold(*of, *valve, (marked, measured), why)
            }
            Input::CamsOutRetold { of, bank, why } => {
                self.cams_out_retold(*of, bank.as_deref(), why)
            }
            Input::WorkOfAnother(of, cylinder, why) => self.work_of_another(*of, *cylinder, why),
            Input::CorrectValue { of, typed, why, sure } => {
                let valve = self.is_reading(*of)?.0;
                let set = state.leaves.as_ref().ok_or(Refusal::NotNow)?;
                let meaning = reading::parse(typed, set)
                    .map_err(|fault| Refusal::Unreadable(fault.words()))?;
                if let Some(question) = state.odd_question(valve, &meaning).filter(|_| !sure) {
                    return Err(Refusal::Odd(question));
                }
                let change = Change::Value {
                    typed: meaning.typed,
                    unit: meaning.unit,
                    low: meaning.low,
                    high: meaning.high,
                    nominal: meaning.nominal,
                    single: meaning.single,
                };
                Ok(vec![changed(*of, change, why)?])
            }
            Input::Swap { of, with, why } => {
                let (one, two) = (self.is_reading(*of)?.1, self.is_reading(*with)?.1);
                if one == Step::Try || two == Step::Try || of == with {
                    return Err(Refusal::NoReading);
                }
                let change = Change::SwapWith(*with);
                Ok(vec![changed(*of, change, why)?])
            }
            Input::AmendFigures { kind, typed, source, why } => {
                state.amend_figures(*kind, typed, source, why)
            }
            Input::AmendProfile { profile, source, why } => {
                state.amend_profile(profile, source, why)
            }
            Input::Redate { day, why } => {
                if !is_day(day.trim()) {
                    return Err(Refusal::Unreadable("type the day as in 2026-03-14".into()));
                }
                Ok(vec![Entry::Redate(Redate { day: day.trim().into(), why: given(why)? })])
            }
            _ => Err(Refusal::NotNow),
        }
    }

    fn part_out_retold(&self, of: u64, valve: Valve, sizes: (&str, &str), why: &str) -> Decided {
        let told = self.told_out_last(of)?;
        let was = told.valve.ok_or(Refusal::NotNow)?;
        self.state.known(valve)?;
        if valve != was && self.state.is_out(valve, told.part) {
            return Err(Refusal::NotNow);
        }
        let mut anew = self.state.part_entry(valve, told.part, sizes, true)?;
        anew.size_only = valve == was;
        let mut entries = retold(of, Entry::Part(anew), why)?;
        // Its size alone is told anew of what stays out; of another valve all of it is.
        let first = if valve == was { Vec::new() } else { self.said_out_before(of) };
        entries.extend(first.into_iter().map(|of| voided(of, why.trim())));
        Ok(entries)
    }

    /// Lists, the last first, the entry that said a part to be out and those that told its size before,
    /// where this one told only its size.
    fn said_out_before(&self, of: u64) -> Vec<u64> {
        let stands = |kept: &&Kept| !self.is_void(kept.seq) && kept.seq <= of;
        let mut parts = self.kept.iter().rev().filter(stands).filter_map(|kept| {
            let Entry::Part(part) = &kept.entry else { return None };
            Some((kept.seq, part))
        });
        let last = parts.next().filter(|(seq, told)| *seq == of && told.out);
        let Some((_, told)) = last.filter(|(_, told)| told.valve.is_some()) else {
            return Vec::new();
        };
        let of_it = parts.filter(|(_, one)| one.valve == told.valve && one.part == told.part);
        let mut before = Vec::new();
        for (seq, one) in of_it.take_while(|(_, one)| one.out) {
            before.push(seq);
            if !one.size_only {
                break;
            }
        }
        before
    }

    fn cams_out_retold(&self, of: u64, bank: Option<&str>, why: &str) -> Decided {
        let told = self.told_out_last(of)?;
        if told.valve.is_some() || told.bank.as_deref() == bank {
            return Err(Refusal::NotNow);
        }
        retold(of, self.state.cams_out(bank, Some(told.bank.as_deref()))?, why)
    }

    /// The work stays, on the cylinder that it was on.
    fn work_of_another(&self, of: u64, cylinder: Cylinder, why: &str) -> Decided {
        let Some(Entry::Work(told)) =
            self.worked_last().filter(|kept| kept.seq == of).map(|kept| &kept.entry)
        else {
            return Err(Refusal::NotNow);
        };
        if !self.state.facts().firing_order.contains(&cylinder) {
            return Err(Refusal::NoCylinder(cylinder));
        }
        if told.cylinder == cylinder {
            return Err(Refusal::Unreadable("that is the cylinder it was told of".into()));
        }
        retold(of, Entry::Work(Work { cylinder, ..told.clone() }), why)
    }

    fn told_out_last(&self, seq: u64) -> Result<&Part, Refusal> {
        match self.came_out_last().filter(|kept| kept.seq == seq).map(|kept| &kept.entry) {
            Some(Entry::Part(told)) => Ok(told),
            _ => Err(Refusal::NotNow),
        }
    }

    fn is_reading(&self, seq: u64) -> Result<(Valve, Step), Refusal> {
        self.state
            .readings
            .iter()
            .find(|taken| taken.seq == seq)
            .map(|taken| (taken.reading.valve, taken.reading.step))
            .ok_or(Refusal::NoReading)
    }

    /// Withdraws the last entry. What opened an open item is closed by its own answer, never by
    /// taking it back: a nut said slack stays slack until somebody says otherwise.
    fn take_back(&self) -> Decided {
        if self.found_wrong_last() {
            return Err(Refusal::CannotTakeBack(OF_PLACE));
        }
        // What is open goes last: what is cut off behind the first leaves it open, and the run owed.
        if let Some(whole) = self.leaked_last() {
            return Ok(whole.into_iter().map(|of| voided(of, AT_ONCE)).collect());
        }
        let kept = self.last_entry().ok_or(Refusal::NothingToTakeBack)?;
        if self.lost_as_found_wrong(kept) {
            return Err(Refusal::CannotTakeBack(OF_PLACE));
        }
        let of_nuts = matches!(&kept.entry, Entry::Work(work) if self.state.opens_nuts(work));
        let instead = of_nuts.then_some(OF_WORK).or_else(|| instead_of_taking_back(&kept.entry));
        let instead = instead.or_else(|| self.left_a_nut_slack(&kept.entry).then_some(OF_A_LOCK));
        // Of a nut that was slack already it opened nothing.
        let again = matches!(&kept.entry, Entry::Nut(nut)
            if nut.said == NutSaid::Slack && self.state.was_slack_already(nut.valve, kept.seq));
        let instead = instead.filter(|_| !again);
        if let Some(instead) = instead {
            return Err(Refusal::CannotTakeBack(instead));
        }
        Ok(self.last_answer().into_iter().map(taken_back).collect())
    }
}

/// Where the crank was told or proven, or a valve gauged or passed over, the same is asked again and no more.
fn taken_back(kept: &Kept) -> Entry {
    let passed_over = |what: &Skipped| matches!(what, Skipped::Gauging(..) | Skipped::Round(_));
    let as_asked = matches!(kept.entry, Entry::At(_) | Entry::Proof(_) | Entry::Reading(_))
        || matches!(&kept.entry, Entry::Skip(skip) if passed_over(&skip.what));
    Entry::Correct(Correct { of: kept.seq, change: Change::Void, why: AT_ONCE.into(), as_asked })
}

fn changed(of: u64, change: Change, why: &str) -> Result<Entry, Refusal> {
    Ok(Entry::Correct(Correct { of, change, why: given(why)?, as_asked: false }))
}

/// What is cut off between the two leaves something out, never in.
fn retold(of: u64, anew: Entry, why: &str) -> Decided {
    Ok(vec![anew, voided(of, &given(why)?)])
}

fn voided(of: u64, why: &str) -> Entry {
    Entry::Correct(Correct { of, change: Change::Void, why: why.into(), as_asked: false })
}

impl Session {
    /// Returns the last entry where it says that something came out, and nothing was kept since: of
    /// that alone it can be said that it never did.
    pub fn came_out_last(&self) -> Option<&Kept> {
        self.last_entry().filter(|kept| matches!(&kept.entry, Entry::Part(part) if part.out))
    }

    /// Tells whether it was said just now that the crank was in the wrong place: what went with it stays
    /// gone whatever else is taken back.
    pub fn found_wrong_last(&self) -> bool {
        self.kept.last().is_some_and(of_wrong_place)
    }

    /// Tells whether an entry says that nobody knows the place because what was gauged there went.
    fn lost_as_found_wrong(&self, lost: &Kept) -> bool {
        let behind = self.kept.iter().find(|kept| kept.seq > lost.seq);
        lost.entry == Entry::At(At::Lost) && behind.is_some_and(of_wrong_place)
    }

    /// Withdraws a reading. Where the crank was in the wrong place, all that was gauged there in that
    /// round goes along, and what was gauged after it, in the next round too, until the place was found by
    /// its own sign or rocked: each turn began where the last one ended. The place is to be found anew
    /// unless it was since. What is cut off behind the first leaves something to be proven, never a figure
    /// that stands alone.
    fn withdrawn_with(&self, of: u64, why: &str) -> Vec<Entry> {
        let void = |of| voided(of, why);
        let state = &self.state;
        let taken = state.readings.iter().find(|taken| taken.seq == of);
        let taken = taken.filter(|taken| why == WRONG_PLACE && taken.stood.is_some());
        let Some(taken) = taken else { return vec![void(of)] };
        let here = |other: &&Taken| {
            other.reading.round == taken.reading.round && other.stood == taken.stood
        };
        let all = || state.readings.iter();
        let first = all().filter(here).map(|other| other.seq).min().unwrap_or(of);
        let found = self.found_by_itself(of).unwrap_or(u64::MAX);
        let there = |other: &&Taken| {
            let on_the_way = other.stood.is_some() && (first..found).contains(&other.seq);
            other.seq != of && (here(other) || on_the_way)
        };
        let others = all().filter(there).map(|other| void(other.seq));
        let stands = state.stands_at();
        let trusted = stands != taken.stood && found < u64::MAX;
        let lost = (stands.is_some() && !trusted).then_some(Entry::At(At::Lost));
        lost.into_iter().chain(others).chain([void(of)]).collect()
    }

    /// Returns where, after an entry, the place of the crank was rocked, or told by what is seen there.
    fn found_by_itself(&self, after: u64) -> Option<u64> {
        let stands = self.kept.iter().filter(|kept| kept.seq > after && !self.is_void(kept.seq));
        let mut found = stands.filter(|kept| {
            matches!(&kept.entry, Entry::Proof(proof) if proof.rocked == Some(Rocked::Steady))
                || matches!(&kept.entry, Entry::At(At::SeenOverlap(_) | At::SeenLoose(_)))
        });
        found.next().map(|kept| kept.seq)
    }

    /// Returns the last entry where it tells of work on a cylinder, and nothing was kept since.
    pub fn worked_last(&self) -> Option<&Kept> {
        let work =
            |kept: &&Kept| matches!(&kept.entry, Entry::Work(work) if work.hold_down.is_none());
        self.last_entry().filter(work)
    }
}

impl State {
    /// Reads a figure of a manual's page as it was typed.
    ///
    /// # Errors
    /// It is no figure.
    pub fn page_figure(&self, typed: &str) -> Result<Length, Refusal> {
        page_figure(typed, self.facts().unit)
    }

    /// Names the figure typed from the page before that this one cannot stand beside.
    pub fn crosses_on_page(
        &self,
        kind: Kind,
        figure: Figure,
        value: Length,
    ) -> Option<(Figure, Length)> {
        crossed((figure, value), |other| self.page.get(&(kind, other)).copied())
    }

    /// Keeps the page's figures for both kinds of valve.
    pub(super) fn page_rules(&self, why: &str) -> Decided {
        let why = given(why)?;
        let source = self.source.as_ref().map_or_else(String::new, |(source, _)| {
            format!("{} {} {}", source.document, source.revision, source.page).trim().to_string()
        });
        let differs: BTreeSet<Kind> =
            self.page_differences().iter().map(|difference| difference.kind).collect();
        differs
            .into_iter()
            .map(|kind| {
                let of = |figure| self.page.get(&(kind, figure)).copied().ok_or(Refusal::NotNow);
                let (target, least, most) =
                    (of(Figure::Target)?, of(Figure::Least)?, of(Figure::Most)?);
                in_order(least, target, most)?;
                let what = Amended::Figures { kind, target, least, most };
                let (source, why) = (source.clone(), why.clone());
                Ok(Entry::Amend(Amend { what, source, why, asks_anew: false }))
            })
            .collect()
    }

    fn amend_figures(&self, kind: Kind, typed: &[String; 3], source: &str, why: &str) -> Decided {
        if matches!(self.due(), Due::Closed) {
            return Err(Refusal::Closed);
        }
        let read = |typed: &str| page_figure(typed, self.facts().unit);
        let [target, least, most] = typed;
        let (target, least, most) = (read(target)?, read(least)?, read(most)?);
        in_order(least, target, most)?;
        let what = Amended::Figures { kind, target, least, most };
        let (source, why) = (given(source)?, given(why)?);
        Ok(vec![Entry::Amend(Amend { what, source, why, asks_anew: false })])
    }

    fn amend_profile(&self, new: &ProfileText, source: &str, why: &str) -> Decided {
        let (old, fresh) = (self.facts(), &new.profile);
        if old.cylinders() != fresh.cylinders() {
            return Err(Refusal::OtherEngine("the new profile has another number of cylinders"));
        }
        if std::mem::discriminant(&old.adjuster) != std::mem::discriminant(&fresh.adjuster) {
            return Err(Refusal::OtherEngine("the new profile has another kind of adjuster"));
        }
        if old.valves() != fresh.valves() {
            return Err(Refusal::OtherEngine("the new profile has other valves"));
        }
        if let Some(&valve) = self.unloaded.iter().next() {
            return Err(Refusal::Unloaded(valve));
        }
        make_plan(fresh, &self.begin.way()).map_err(Refusal::NoPlan)?;
        let what = Amended::Profile(Box::new(new.clone()));
        let (source, why) = (given(source)?, given(why)?);
        Ok(vec![Entry::Amend(Amend { what, source, why, asks_anew: true })])
    }
}

fn of_wrong_place(kept: &Kept) -> bool {
    matches!(&kept.entry, Entry::Correct(correct)
        if correct.change == Change::Void && correct.why == WRONG_PLACE)
}

/// Why a reading does not count of which the crank is to blame: nothing gauged there does.
pub const WRONG_PLACE: &str = "crank was in the wrong place";

pub(super) const CROSSED: &str = "least, target and most must not cross: type them again";
/// Why an entry was taken back by the key alone.
pub const AT_ONCE: &str = "taken back at once";
const OF_WORK: &str = "say that there was no work, or on which cylinder it was";
const OF_PLACE: &str = "find the place, and gauge what was gauged there";
/// A nut that was locked by a reading is slack without it.
const OF_A_LOCK: &str = "lock the nut and gauge";
const OF_NUTS: &str = "lock the nut and gauge, or say that it was never touched";

/// Says what to do instead about an entry that opened an open item.
fn instead_of_taking_back(entry: &Entry) -> Option<&'static str> {
    if says_felt(entry) {
        Some("find what it was, turn it by hand once more, and say what is felt then")
    } else if let Entry::Nut(nut) = entry
        && nut.said == NutSaid::Slack
    {
        Some(OF_NUTS)
    } else if let Entry::Unload(_) = entry {
        Some("let the valve go, its rod seated at both ends")
    } else if let Entry::Part(part) = entry
        && part.out
    {
        Some("put the part back in, or say that it never came out")
    } else if let Entry::Remark(remark) = entry
        && remark.before_running
    {
        Some("answer the remark before the run")
    } else if let Entry::Skip(Skip { what: Skipped::AsFound(_), .. }) = entry {
        Some(OF_NUTS)
    } else {
        None
    }
}

/// Names the figure of the same page, with its value, that one cannot stand beside: least, target and most
/// never cross.
pub fn crossed(
    (figure, value): (Figure, Length),
    other: impl Fn(Figure) -> Option<Length>,
) -> Option<(Figure, Length)> {
    let rank = |figure| match figure {
        Figure::Least => 0,
        Figure::Target => 1,
        Figure::Most => 2,
    };
    FIGURES.into_iter().filter(|one| *one != figure).find_map(|one| {
        let beside = other(one)?;
        let crosses = if rank(figure) < rank(one) { value > beside } else { value < beside };
        crosses.then_some((one, beside))
    })
}

fn in_order(least: Length, target: Length, most: Length) -> Result<(), Refusal> {
    if least <= target && target <= most {
        Ok(())
    } else {
        Err(Refusal::Unreadable(CROSSED.into()))
    }
}

fn is_day(text: &str) -> bool {
    let mut parts = text.split('-').map(|part| (part.len(), part.parse::<u16>().ok()));
    matches!(
        (parts.next(), parts.next(), parts.next(), parts.next()),
        (Some((4, Some(1900..))), Some((2, Some(1..=12))), Some((2, Some(1..=31))), None)
    )
}
