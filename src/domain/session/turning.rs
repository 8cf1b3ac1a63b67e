//! Bringing the crank to a stop, proving it, and "I see N".

use super::decide::{Decided, one};
use super::due::Due;
use super::input::{Input, Refusal};
use super::state::{Crank, State};
use crate::domain::entry::{At, Entry, Proof, Release, Rocked, Unload};
use crate::domain::plan::Gauge;
use crate::domain::valve::Cylinder;

impl State {
    /// Refuses while turning the crank would do harm.
    fn may_turn(&self) -> Result<(), Refusal> {
        if let Some(&valve) = self.unloaded.iter().next() {
            return Err(Refusal::Unloaded(valve));
        }
        if self.parts_out.is_empty() { Ok(()) } else { Err(Refusal::PartOut) }
    }

    pub(super) fn decide_crank(&self, input: &Input) -> Decided {
        match (input, self.due()) {
            (Input::Loose(loose), Due::Turn { stop, there, .. }) => self.loose(*loose, stop, there),
            (Input::Rock(rocked), Due::Rock { stop, loose }) => {
                let of = self.to_gauge(stop);
                one(Entry::Proof(Proof { loose, of, rocked: Some(*rocked) }))
            }
            (Input::SeeOverlap(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                one(Entry::At(At::SeenOverlap(*cylinder)))
            }
            (Input::SeeLoose(cylinder), due) => {
                self.may_see(*cylinder, &due)?;
                if self.facts().stops.is_some() {
                    let why =
                        "this engine is gauged where the manual's table says: find a stop of it";
                    return Err(Refusal::NoPlan(why.into()));
                }
                let stop = self.stop_gauging(*cylinder).ok_or(Refusal::NoCylinder(*cylinder))?;
                let of = self.to_gauge(stop);
                Ok(vec![
                    Entry::At(At::SeenLoose(*cylinder)),
                    Entry::Proof(Proof { loose: of, of, rocked: Some(Rocked::Steady) }),
                ])
            }
            (Input::Lost, due) => {
                self.may_see(0, &due)?;
                one(Entry::At(At::Lost))
            }
            (Input::Unload, Due::Unload(valve)) => one(Entry::Unload(Unload { valve })),
            (Input::Release, Due::Release(valve)) => one(Entry::Release(Release { valve })),
            (Input::Release, _) => match self.unloaded.iter().next() {
                Some(&valve) => one(Entry::Release(Release { valve })),
                None => Err(Refusal::NotNow),
            },
            _ => Err(Refusal::NotNow),
        }
    }

    /// "I see N" is taken at any time of the rounds, but not while turning would do harm, and not
    /// before the cautions are answered.
    pub(super) fn may_see(&self, cylinder: Cylinder, due: &Due) -> Result<(), Refusal> {
        self.may_turn()?;
        if cylinder != 0 && !self.facts().firing_order.contains(&cylinder) {
            return Err(Refusal::NoCylinder(cylinder));
        }
        let at_work = matches!(
            due,
            Due::Turn { .. }
                | Due::Rock { .. }
                | Due::Unload(_)
                | Due::Gauge(..)
                | Due::LeakTest(..)
                | Due::HoldDown(_)
                | Due::Set(..)
                | Due::Trying(_)
                | Due::NutAnswer(..)
                | Due::Threads(..)
        );
        if at_work { Ok(()) } else { Err(Refusal::NotNow) }
    }

    /// Counts the valves to be felt at a stop: those gauged here whose covers are off.
    pub fn to_gauge(&self, stop: usize) -> u8 {
        let here = |gauge: &&Gauge| {
            self.in_scope(gauge.valve.cylinder) || self.nuts.contains_key(&gauge.valve)
        };
        let gauged =
            self.stops().get(stop).map_or(0, |stop| stop.gauge.iter().filter(here).count());
        u8::try_from(gauged).unwrap_or(u8::MAX)
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
            entries.push(Entry::At(At::Stop { stop, watch, then_turn }));
        }
        entries.push(Entry::Proof(Proof { loose, of, rocked: None }));
        Ok(entries)
    }
}
