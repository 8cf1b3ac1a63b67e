//! An engine as a row of events on an unrolled crank, and a judge of plans that stands on it.
//!
//! Written from the contract's sections 2 and 3 alone; shares no code with the planner.

use cowlside::domain::plan::{Plan, PlanChoice, PlanRefusal, Stop, TimingFrom};
use cowlside::domain::profile::{Facts, Sign};
use cowlside::domain::valve::{Cylinder, Kind, Valve};

/// Cranks and cams of one engine.
pub struct Model {
    /// Cylinder and the crank angle at which it fires, in firing order.
    fires: Vec<(Cylinder, f64)>,
    /// IVO, IVC, EVO, EVC with the ramp put on each.
    events: [f64; 4],
    /// Centre of overlap, degrees after the cylinder's firing.
    centre: f64,
    /// Bank name and its cylinders.
    banks: Vec<(String, Vec<Cylinder>)>,
    valves: Vec<Valve>,
    timed: bool,
}

const NEAR: f64 = 1e-6;

impl Model {
    pub fn of(facts: &Facts) -> Model {
        let mut at = 0.0;
        let mut fires = Vec::new();
        for (i, &cylinder) in facts.firing_order.iter().enumerate() {
            fires.push((cylinder, at));
            at += facts.firing_intervals[i];
        }
        let events = match &facts.timing {
            None => [20.0, 60.0, 60.0, 20.0],
            Some(t) => [
                t.intake_opens_btdc + t.ramp,
                t.intake_closes_abdc + t.ramp,
                t.exhaust_opens_bbdc + t.ramp,
                t.exhaust_closes_atdc + t.ramp,
            ],
        };
        let mut valves = Vec::new();
        for &(cylinder, _) in &fires {
            for number in 1..=facts.intake.per_cylinder {
                valves.push(Valve { cylinder, kind: Kind::Intake, number });
            }
            for number in 1..=facts.exhaust.per_cylinder {
                valves.push(Valve { cylinder, kind: Kind::Exhaust, number });
            }
        }
        let banks = facts.layout.banks.iter();
        Model {
            fires,
            centre: 360.0 + (events[3] - events[0]) / 2.0,
            events,
            banks: banks.map(|bank| (bank.name.clone(), bank.cylinders.clone())).collect(),
            valves,
            timed: facts.timing.is_some(),
        }
    }

    fn fires_at(&self, cylinder: Cylinder) -> f64 {
        self.fires.iter().find(|(c, _)| *c == cylinder).unwrap().1
    }

    /// Every (opening, closing) of a valve over five cycles around 0..720.
    fn openings(&self, valve: Valve) -> Vec<(f64, f64)> {
        let [ivo, ivc, evo, evc] = self.events;
        (-2..=2)
            .map(|cycle| self.fires_at(valve.cylinder) + 720.0 * f64::from(cycle))
            .map(|fired| match valve.kind {
                Kind::Exhaust => (fired + 180.0 - evo, fired + 360.0 + evc),
                Kind::Intake => (fired + 360.0 - ivo, fired + 540.0 + ivc),
            })
            .collect()
    }

    /// Distance to the nearest event; negative within an opening.
    pub fn margin(&self, valve: Valve, crank: f64) -> f64 {
        let openings = self.openings(valve);
        let events = openings.iter().flat_map(|&(open, shut)| [open, shut]);
        let nearest = events.map(|event| (event - crank).abs()).fold(f64::MAX, f64::min);
        let open = openings.iter().any(|&(open, shut)| open < crank && crank < shut);
        if open { -nearest } else { nearest }
    }

    fn worst_of(&self, cylinder: Cylinder, crank: f64) -> f64 {
        let of_it = self.valves.iter().filter(|valve| valve.cylinder == cylinder);
        of_it.map(|valve| self.margin(*valve, crank)).fold(f64::MAX, f64::min)
    }

    /// Every place where the crank may be left: watched cylinder, `then_turn`, crank angle.
    pub fn positions(&self) -> Vec<(Cylinder, u16, f64)> {
        let of = |&(c, _): &(Cylinder, f64)| {
            [0u16, 360].map(|on| (c, on, (self.overlap_at(c) + f64::from(on)).rem_euclid(720.0)))
        };
        self.fires.iter().flat_map(of).collect()
    }

    /// Leaves only some of the valves to be gauged.
    pub fn keep_only(&mut self, keep: impl Fn(Valve) -> bool) {
        self.valves.retain(|valve| keep(*valve));
    }

    /// Tells whether two cylinders stand in one bank.
    pub fn same_side(&self, one: Cylinder, other: Cylinder) -> bool {
        self.banks.iter().any(|(_, of)| of.contains(&one) && of.contains(&other))
    }

    pub fn valves(&self) -> &[Valve] {
        &self.valves
    }

    pub fn overlap_at(&self, cylinder: Cylinder) -> f64 {
        (self.fires_at(cylinder) + self.centre).rem_euclid(720.0)
    }

    fn opposites(&self, cylinder: Cylinder) -> Vec<Cylinder> {
        let here = self.fires_at(cylinder);
        let apart = |there: f64| ((here - there).abs() - 360.0).abs();
        self.fires.iter().filter(|(_, there)| apart(*there) <= 0.1).map(|(c, _)| *c).collect()
    }

    /// Where the contract's rule for the watched cylinder leads: cylinder and `then_turn`.
    fn watched(&self, gauged: Cylinder, required: f64) -> (Cylinder, u16) {
        if let Some(&opposite) = self.opposites(gauged).first() {
            return (opposite, 0);
        }
        let mut best: Option<(Cylinder, f64, bool)> = None;
        for &(watch, _) in &self.fires {
            if watch == gauged {
                continue;
            }
            let crank = self.overlap_at(watch);
            let margin = self.worst_of(gauged, crank);
            // Before its firing dead centre: that comes within the next turn.
            let to_firing = (self.fires_at(gauged) - crank).rem_euclid(720.0);
            let before = to_firing > 0.001 && to_firing <= 360.0;
            best = match best {
                Some((_, b, was_before))
                    if margin < b - 0.001 || (margin < b + 0.001 && (was_before || !before)) =>
                {
                    best
                }
                _ => Some((watch, margin, before)),
            };
        }
        match best {
            Some((watch, margin, _)) if margin > required - 0.001 => (watch, 0),
            _ => (gauged, 360),
        }
    }

    pub fn required(&self, choice: &PlanChoice) -> f64 {
        choice.margin.unwrap_or(if self.timed { 30.0 } else { 60.0 })
    }

    /// The sequence of (gauged, watched, then_turn, crank) that the contract's default plan is.
    fn sequence(&self, choice: &PlanChoice) -> Vec<(Cylinder, Cylinder, u16, f64)> {
        let mut order: Vec<Cylinder> = self.fires.iter().map(|(c, _)| *c).collect();
        if let Some(from) = choice.from {
            while order[0] != from {
                let first = order.remove(0);
                order.push(first);
            }
        }
        let required = self.required(choice);
        let stop = |gauged| {
            let (watch, then_turn) = self.watched(gauged, required);
            let crank = (self.overlap_at(watch) + f64::from(then_turn)).rem_euclid(720.0);
            (gauged, watch, then_turn, crank)
        };
        order.into_iter().map(stop).collect()
    }

    /// Judges what the planner answered; an error says what is wrong with it.
    pub fn judge(
        &self,
        choice: &PlanChoice,
        answer: &Result<Plan, PlanRefusal>,
    ) -> Result<(), String> {
        match answer {
            Ok(plan) => self.judge_plan(choice, plan),
            Err(refusal) => self.judge_refusal(choice, refusal),
        }
    }

    fn judge_plan(&self, choice: &PlanChoice, plan: &Plan) -> Result<(), String> {
        for valve in &self.valves {
            let gauged =
                plan.stops.iter().flat_map(|stop| &stop.gauge).filter(|g| g.valve == *valve);
            want(gauged.count() == 1, || format!("{valve} is not gauged exactly once"))?;
        }
        let gauged: usize = plan.stops.iter().map(|stop| stop.gauge.len()).sum();
        want(gauged == self.valves.len(), || "a valve that is none".into())?;
        let from = if self.timed { TimingFrom::Profile } else { TimingFrom::Assumed };
        want(plan.timing == from, || "timing".into())?;
        let sequence = self.sequence(choice);
        want(plan.stops.len() == sequence.len(), || "number of stops".into())?;
        let mut turned = 0.0;
        let mut stood = None;
        for (stop, wanted) in plan.stops.iter().zip(sequence) {
            let crank = self.judge_stop(stop, wanted, self.required(choice))?;
            let turn = stood.map_or(0.0, |stood: f64| (crank - stood).rem_euclid(720.0));
            want(same_angle(stop.turn.unwrap(), turn), || {
                format!("turn {:?}, not {turn}", stop.turn)
            })?;
            turned += stop.turn.unwrap();
            stood = Some(crank);
        }
        want(near(plan.turned.unwrap(), turned), || "turned".into())?;
        let sides = self.side_changes(plan);
        want(plan.side_changes == sides, || {
            format!("{} side changes, not {sides}", plan.side_changes)
        })
    }

    fn judge_stop(
        &self,
        stop: &Stop,
        (gauged, watch, then_turn, crank): (Cylinder, Cylinder, u16, f64),
        required: f64,
    ) -> Result<f64, String> {
        let at = stop.crank.unwrap();
        want(stop.watch == watch && stop.then_turn == then_turn, || {
            format!("{gauged} watches {}+{}, not {watch}+{then_turn}", stop.watch, stop.then_turn)
        })?;
        want(same_angle(at, crank), || format!("stands at {at}, not {crank}"))?;
        want((0.0..720.0).contains(&at), || format!("{at} is no crank angle"))?;
        let sign =
            if self.events[0] + self.events[3] > NEAR { Sign::Overlap } else { Sign::Changeover };
        want(stop.sign == sign, || "sign".into())?;
        let of_it: Vec<Valve> =
            self.valves.iter().filter(|v| v.cylinder == gauged).copied().collect();
        let listed: Vec<Valve> = stop.gauge.iter().map(|gauge| gauge.valve).collect();
        want(of_it == listed, || format!("{listed:?} for {of_it:?}"))?;
        for gauge in &stop.gauge {
            let margin = self.margin(gauge.valve, at);
            want(near(gauge.margin.unwrap(), margin), || format!("{}: not {margin}", gauge.valve))?;
            want(margin > required - 0.0011, || format!("{} is too near", gauge.valve))?;
        }
        want(near(stop.margin.unwrap(), self.worst_of(gauged, at)), || "worst margin".into())?;
        self.judge_tolerance(stop, at)?;
        Ok(at)
    }

    /// Within the tolerance nothing comes nearer than 15°; 15° beyond it, something starts to move.
    fn judge_tolerance(&self, stop: &Stop, at: f64) -> Result<(), String> {
        want(stop.short_by.is_some() == self.timed, || "tolerance offered".into())?;
        let (Some(short), Some(past)) = (stop.short_by, stop.past_by) else { return Ok(()) };
        let worst = |crank: f64| {
            stop.gauge.iter().map(|g| self.margin(g.valve, crank)).fold(f64::MAX, f64::min)
        };
        want(short >= 0.0 && past >= 0.0, || "negative tolerance".into())?;
        for (by, way) in [(short, -1.0), (past, 1.0)] {
            if by == 0.0 {
                let reached =
                    (0..=60).any(|quarter| worst(at + way * f64::from(quarter) / 4.0) < 0.26);
                want(reached, || "room left unoffered".into())?;
                continue;
            }
            want(near(worst(at + way * (by + 15.0)), 0.0), || {
                format!("{way}: {by} is not to the event")
            })?;
            want(worst(at + way * (by + 14.0)) > 0.0, || {
                format!("{way}: {by} is beyond an event")
            })?;
        }
        Ok(())
    }

    /// Counts the changes of side: within each stop the watched bank first, then those gauged.
    pub fn side_changes(&self, plan: &Plan) -> u32 {
        let bank =
            |c: Cylinder| self.banks.iter().find(|(_, of)| of.contains(&c)).unwrap().0.as_str();
        let mut walked: Vec<&str> = Vec::new();
        for stop in &plan.stops {
            let mut here = vec![bank(stop.watch)];
            for gauge in &stop.gauge {
                let gauged = bank(gauge.valve.cylinder);
                if !here.contains(&gauged) {
                    here.push(gauged);
                }
            }
            walked.extend(here);
        }
        (1..walked.len()).filter(|&i| walked[i] != walked[i - 1]).count() as u32
    }

    fn judge_refusal(&self, choice: &PlanChoice, refusal: &PlanRefusal) -> Result<(), String> {
        let PlanRefusal::BelowMargin { valve, stop, watch, margin, required } = *refusal else {
            return Err(format!("{refusal}"));
        };
        want(required == self.required(choice), || "required".into())?;
        let sequence = self.sequence(choice);
        let (gauged, watched, _, crank) = sequence[stop - 1];
        want(valve.cylinder == gauged && watch == watched, || "another stop".into())?;
        want(near(margin, self.margin(valve, crank)), || format!("margin {margin}"))?;
        want(margin < required, || "the margin is enough".into())?;
        let worst = sequence.iter().map(|&(c, _, _, crank)| self.worst_of(c, crank));
        want(margin < worst.fold(f64::MAX, f64::min) + 0.0011, || "not the worst valve".into())
    }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < NEAR
}

fn same_angle(one: f64, other: f64) -> bool {
    let apart = (one - other).rem_euclid(720.0);
    apart.min(720.0 - apart) < NEAR
}

fn want(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}
