//! Bringing the crank to a stop, proving it, and "I see N".

use super::decide::{Decided, one};
use super::due::{Due, Stage};
use super::input::Input;
use super::open::OpenItem;
use super::refusal::Refusal;
use super::state::{Crank, Proven, State};
use crate::domain::crank;
use crate::domain::entry::{At, Entry, Proof, Release, Rocked, Unload};
use crate::domain::plan::{self, Plan, PlanChoice, Rest};
use crate::domain::units::Length;
use crate::domain::valve::{Cylinder, Valve};
use std::collections::BTreeSet;

impl Due {
    /// Tells whether a clearance is, or may be, gauged or set at this question: with all held open that the
    /// stop wants so.
    pub(super) fn gauges(&self) -> bool {
        matches!(
            self,
            Due::Gauge(..)
                | Due::Again(..)
                | Due::Doubted { .. }
                | Due::Set(..)
                | Due::ChangeRod(..)
                | Due::Trying(_)
        )
    }
}

/// A mark on the blade or pulley, told as a clock. It shows whether the crank was moved; it never
/// proves the stroke, since it comes by on both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tape {
    /// Where it pointed: half hours, 0 to 23.
    pub half_hours: u8,
    /// The crank angle then, degrees.
    pub crank: f64,
}

/// Half hours on the face of a clock.
const HALF_HOURS: f64 = 24.0;
/// Degrees from one half hour to the next: as near as a tape can be told by eye.
const DEGREES_A_HALF_HOUR: f64 = 15.0;

/// Reads a place on a clock, "2", "2:30" or "2.5", as half hours from 0 to 23.
fn clock(typed: &str) -> Option<u8> {
    let typed = typed.trim().to_lowercase();
    let typed = typed.trim_end_matches("o'clock").trim_end();
    let (hour, half) = match typed.split_once([':', '.', ',']) {
        None => (typed, 0),
        Some((hour, "00" | "0")) => (hour, 0),
        Some((hour, "30" | "5")) => (hour, 1),
        Some(_) => return None,
    };
    let hour: u8 = hour.parse().ok().filter(|hour| (1..=12).contains(hour))?;
    Some(hour % 12 * 2 + half)
}

impl State {
    /// Refuses while turning the crank would do harm.
    ///
    /// # Errors
    /// A refusal says what bars it.
    pub fn may_turn(&self) -> Result<(), Refusal> {
        if let Some(&valve) = self.unloaded.iter().next() {
            return Err(Refusal::Unloaded(valve));
        }
        if !self.parts_out.is_empty() {
            return Err(Refusal::PartOut);
        }
        let mut worked = self.work.keys().copied();
        if let Some(cylinder) = worked.find(|&cylinder| self.nuts_not_tight(cylinder)) {
            return Err(Refusal::OpenItem(self.hold_down_open(cylinder).to_string()));
        }
        let felt = self.felt_open().map(|item| Refusal::OpenItem(item.to_string()));
        felt.map_or(Ok(()), Err)
    }

    pub(super) fn decide_crank(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Loose(loose), Due::Turn { stop, there, .. }) => self.loose(*loose, stop, there),
            (Input::Rock(rocked), Due::Rock { stop, loose }) => {
                one(self.proof(stop, loose, Some(*rocked)))
            }
            (Input::SeeOverlap(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                let mut valves = self.facts().valves_of(*cylinder).into_iter();
                if valves.all(|valve| self.nut_slack(valve)) {
                    return Err(Refusal::NoPlan(format!(
                        "with its nuts slack the rockers of {cylinder} show no overlap: say which \
                         other cylinder you see there"
                    )));
                }
                one(Entry::At(At::SeenOverlap(*cylinder)))
            }
            (Input::TurnedRoundTo(cylinder), due) => self.turned_round_to(*cylinder, &due),
            (Input::SeeLoose(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                if self.facts().stops.is_some() {
                    let why =
                        "this engine is gauged where the manual's table says: find a stop of it";
                    return Err(Refusal::NoPlan(why.into()));
                }
                let stop = self.stop_of_loose(*cylinder).ok_or_else(|| {
                    let why = "no stop of this way round gauges that cylinder alone: say which \
                               cylinder you see at overlap";
                    Refusal::NoPlan(why.into())
                })?;
                let mut valves = self.facts().valves_of(*cylinder).into_iter();
                if valves.all(|valve| self.nut_slack(valve)) {
                    return Err(Refusal::NoPlan(format!(
                        "with its nuts slack the rockers of {cylinder} are loose on either stroke: \
                         say which cylinder you see at overlap"
                    )));
                }
                Ok(vec![
                    Entry::At(At::SeenLoose(*cylinder)),
                    self.proof(stop, self.to_gauge(stop), Some(Rocked::Steady)),
                ])
            }
            (Input::Lost, due) => self.lost(&due),
            (Input::Tape(typed), _) => {
                let proven = self.crank_proven() && self.crank_angle().is_some();
                let turns = self.facts().rotation.as_ref().and_then(|rotation| rotation.clockwise);
                if !proven || turns.is_none() {
                    return Err(Refusal::NotNow);
                }
                let half_hours = clock(typed).ok_or_else(|| {
                    Refusal::Unreadable(
                        "type where it points on a clock, to the half hour: 2, or 2:30, or 12"
                            .into(),
                    )
                })?;
                one(Entry::At(At::Tape(half_hours)))
            }
            (Input::Unload, Due::Unload(valve)) => one(Entry::Unload(Unload { valve })),
            (Input::Release, Due::Release(valve)) => one(Entry::Release(Release { valve })),
            (Input::ReleaseOf(valve), _) if self.unloaded.contains(valve) => {
                one(Entry::Release(Release { valve: *valve }))
            }
            (Input::Release, _) => match self.unloaded.iter().next() {
                Some(&valve) => one(Entry::Release(Release { valve })),
                None => Err(Refusal::NotNow),
            },
            _ => Err(Refusal::NotNow),
        }
    }

    /// A place that was told by mistake: the crank may have been turned for it, and how to turn is asked as
    /// before. Where a mark points, or what was seen before, tells of no turn.
    pub(super) fn place_taken_back(&mut self, at: At) {
        let turned = match at {
            At::Tape(_) => false,
            At::Stop { stop, .. } => !self.seen_here(stop),
            At::SeenOverlap(_) | At::SeenLoose(_) | At::Lost => true,
        };
        if turned {
            let asked = (self.again, self.none_loose);
            self.break_crank();
            (self.again, self.none_loose) = asked;
        }
    }

    fn turned_round_to(&self, cylinder: Cylinder, due: &Due) -> Decided {
        self.may_see(cylinder, due)?;
        let stop = self.only_turned_round_to(cylinder).ok_or(Refusal::NotNow)?;
        let watch = self.stops().get(stop).map_or(cylinder, |stop| stop.watch);
        one(Entry::At(At::Stop { stop, watch, then_turn: 0 }))
    }

    /// Returns the stop that is due where the crank was brought before, once it is turned all the way round: what
    /// is seen there at overlap does not tell whether it was turned.
    pub fn only_turned_round_to(&self, cylinder: Cylinder) -> Option<usize> {
        let Due::Turn { stop, again: None, there: false, .. } = self.due() else { return None };
        let at = self.stops().get(stop)?;
        let here = matches!(self.crank, Crank::At { stop: here, .. } if here == stop);
        let seen = at.watch == cylinder && at.then_turn == 0 && at.sign.is_overlap();
        (here && seen).then_some(stop)
    }

    /// It turns nothing: what was felt does not bar it.
    fn lost(&self, due: &Due) -> Decided {
        match self.may_see(0, due) {
            Err(Refusal::OpenItem(_))
                if due.stage() == Stage::AtAStop
                    && !matches!(due, Due::Look(..))
                    && !self.must_turn_through() => {}
            Err(Refusal::OpenItem(_)) => return Err(Refusal::NotNow),
            told => told?,
        }
        one(Entry::At(At::Lost))
    }

    /// "I see N" is taken at any time of the rounds, but not while turning would do harm, nor before the
    /// cautions are answered, nor before it was turned through, whatever is asked before that.
    pub(super) fn may_see(&self, cylinder: Cylinder, due: &Due) -> Result<(), Refusal> {
        self.may_turn()?;
        if cylinder != 0 && !self.facts().firing_order.contains(&cylinder) {
            return Err(Refusal::NoCylinder(cylinder));
        }
        let at_work = due.stage() == Stage::AtAStop && !matches!(due, Due::Look(..));
        match (at_work, self.must_turn_through()) {
            (false, _) => Err(Refusal::NotNow),
            (true, true) => Err(Refusal::OpenItem(OpenItem::TurnsOwed.to_string())),
            (true, false) => Ok(()),
        }
    }

    /// Plans anew what is left of the round, from where the crank stands; `None` where nothing is
    /// left, or nobody knows where it stands.
    pub fn rest_planned(&self, choice: &PlanChoice) -> Option<Result<Plan, String>> {
        let (round, crank, at) = (self.round()?, self.crank_angle()?, self.stands_at()?.watch);
        let valves = self.facts().valves().into_iter();
        let valves: BTreeSet<Valve> = valves.filter(|&valve| self.pending(round, valve)).collect();
        // The plan's own least margin stands; where it begins does not matter any more.
        let choice = PlanChoice { margin: choice.margin.or(self.begin.margin), ..*choice };
        // He stands at the cylinder that he sees, else at the one that he gauged last.
        let last = self.readings.last().map(|taken| taken.reading.valve.cylinder);
        let at = match self.crank {
            Crank::Seen(_) => at,
            Crank::At { .. } | Crank::Elsewhere(_) | Crank::Unknown => last.unwrap_or(at),
        };
        let rest = Rest { valves, crank, at };
        let planned = plan::plan_rest(&self.profile.profile, &choice, &rest);
        (!rest.valves.is_empty()).then(|| planned.map_err(|refusal| refusal.to_string()))
    }

    /// Returns where the tape points with the crank at an angle: half hours on a clock, 0 to 23, for
    /// someone who sees the crank turn clockwise or not. `None` where no tape was told.
    pub fn tape_at(&self, crank: f64, clockwise: bool) -> Option<f64> {
        let tape = self.tape?;
        let turned = (crank - tape.crank) / DEGREES_A_HALF_HOUR;
        let turned = if clockwise { turned } else { -turned };
        Some((f64::from(tape.half_hours) + turned).rem_euclid(HALF_HOURS))
    }

    /// Counts the valves to be felt at a stop; where there is none, its sign alone proves it.
    pub fn to_gauge(&self, stop: usize) -> u8 {
        u8::try_from(self.felt_at(stop).count()).unwrap_or(u8::MAX)
    }

    /// Lists the valves to be felt at a stop: those gauged here whose covers are off. With its nut
    /// slack a rocker is loose on either stroke and shows nothing.
    pub fn felt_at(&self, stop: usize) -> impl Iterator<Item = Valve> {
        let gauged = self.stops().get(stop).into_iter().flat_map(|stop| &stop.gauge);
        let felt = |valve: &Valve| self.serviced(*valve) && !self.nut_slack(*valve);
        gauged.map(|gauge| gauge.valve).filter(felt)
    }

    /// Returns the cylinder whose overlap shows the stroke at a stop where nothing is felt and the rockers of
    /// the one that the plan watches show nothing either, its nut being slack; and the degrees on from there.
    /// `None` where the plan's own sign is seen, or no cylinder with its cover off and its nuts locked is left.
    pub fn shown_by(&self, stop: usize) -> Option<(Cylinder, f64)> {
        let place = self.stops().get(stop).filter(|place| place.sign.is_overlap())?;
        if !self.watched_is_slack(stop) {
            return None;
        }
        let (facts, crank) = (self.facts(), place.crank?);
        let open = self.opened_up();
        let slack = |one| facts.valves_of(one).into_iter().any(|valve| self.nut_slack(valve));
        let seen = facts.firing_order.iter().copied();
        let seen = seen.filter(|one| open.contains(one) && !slack(*one));
        let turn = |one| crank::forward(crank::overlap_angle(facts, one), crank);
        seen.map(|one| (one, turn(one))).min_by(|one, other| one.1.total_cmp(&other.1))
    }

    /// Tells whether nothing is felt at a stop, and a nut of the cylinder that the plan watches is slack too.
    pub fn watched_is_slack(&self, stop: usize) -> bool {
        let Some(place) = self.stops().get(stop) else { return false };
        let mut watched = self.facts().valves_of(place.watch).into_iter();
        self.to_gauge(stop) == 0 && watched.any(|valve| self.nut_slack(valve))
    }

    /// Tells whether nothing is felt at a stop and its sign cannot be seen where the crank stands there: it
    /// lies behind, or is shown by rockers that show nothing.
    pub(super) fn sign_is_gone(&self, stop: usize) -> bool {
        let turned = self.stops().get(stop).is_some_and(|place| place.then_turn > 0);
        self.to_gauge(stop) == 0 && turned || self.watched_is_slack(stop)
    }

    /// A rocker whose nut may have been slack as it was felt proves nothing, unless another did.
    pub(super) fn felt_for_nothing(&mut self, valve: Valve) {
        let proven = self.felt.remove(&valve) && self.felt.is_empty();
        if let (true, Crank::At { stop, proof: Proven::Yes }) = (proven, self.crank) {
            self.crank = Crank::At { stop, proof: Proven::No };
            self.rock_wanted = true;
        }
    }

    /// What is felt at a stop is counted once more where a nut of it is slack meanwhile.
    pub(super) fn count_again(&mut self, valve: Valve) {
        let Crank::At { stop, proof: Proven::RockNext { .. } } = self.crank else { return };
        let gauged = self.stops().get(stop).into_iter().flat_map(|stop| &stop.gauge);
        if gauged.into_iter().any(|gauge| gauge.valve == valve) {
            self.crank = Crank::At { stop, proof: Proven::No };
        }
    }

    /// Counts the valves felt at a stop that are expected to be loose there: not those that let nothing in
    /// where they were gauged in this round, unless they are to be gauged there again.
    pub fn loose_expected(&self, stop: usize) -> u8 {
        let Some(round) = self.round() else { return self.to_gauge(stop) };
        let tight = |valve: &Valve| {
            let nothing = self.current(*valve).is_some_and(|taken| {
                let this_round = usize::from(taken.reading.round) == round + 1;
                this_round && taken.reading.high == Some(Length::ZERO)
            });
            let again = self.needs_reading(round, *valve) || self.wants_second(Some(round), *valve);
            nothing && !again
        };
        let loose = self.felt_at(stop).filter(|valve| !tight(valve));
        u8::try_from(loose.count()).unwrap_or(u8::MAX)
    }

    /// Tells whether play says nothing at a stop: full lifters leave none, and what is tight has none.
    fn no_play_wanted(&self, stop: usize) -> bool {
        self.to_gauge(stop) > 0 && (self.has_lifters() || self.loose_expected(stop) == 0)
    }

    fn proof(&self, stop: usize, loose: u8, rocked: Option<Rocked>) -> Entry {
        let (of, no_play) = (self.to_gauge(stop), self.no_play_wanted(stop));
        Entry::Proof(Proof { loose, of, rocked, no_play })
    }

    fn loose(&self, loose: u8, stop: usize, there: bool) -> Decided {
        self.may_turn()?;
        let of = self.to_gauge(stop);
        if loose > of {
            return Err(Refusal::TooMany { of });
        }
        let mut entries = Vec::new();
        let here = matches!(self.crank, Crank::At { stop: at, .. } if at == stop) && there;
        if !here && let Some(place) = self.stops().get(stop) {
            let (watch, then_turn) = (place.watch, place.then_turn);
            // What was seen, where that is not what the plan watches.
            let shown =
                self.shown_by(stop).map(|(cylinder, _)| Entry::At(At::SeenOverlap(cylinder)));
            entries.extend(shown);
            entries.push(Entry::At(At::Stop { stop, watch, then_turn }));
        }
        entries.push(self.proof(stop, loose, None));
        Ok(entries)
    }
}
