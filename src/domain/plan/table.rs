//! The manual's own table of crank positions, used as written and never replaced.

use super::{Gauge, Plan, PlanChoice, PlanRefusal, Stop, TimingFrom, tolerance};
use crate::domain::crank::{self, Opening};
use crate::domain::profile::{Facts, Sign, TableStop};
use crate::domain::valve::{Cylinder, Kind};

/// Makes a plan of the table; its completeness was checked with the profile.
pub(super) fn as_written(
    facts: &Facts,
    stops: &[TableStop],
    choice: &PlanChoice,
) -> Result<Plan, PlanRefusal> {
    if *choice != PlanChoice::default() {
        return Err(PlanRefusal::TableIsFixed);
    }
    let plan =
        Plan::of(facts, TimingFrom::Table, stops.iter().map(|s| stop(facts, s)).collect(), None);
    check(&plan)?;
    Ok(plan)
}

fn stop(facts: &Facts, written: &TableStop) -> Stop {
    let TableStop { watch, sign, then_turn, unload, gauge, say } = written;
    let crank = stood_at(facts, *watch, *sign, *then_turn);
    // Without the profile's timing nothing is known of margins: the table stands for itself.
    let timed = crank.filter(|_| facts.timing.is_some());
    let gauge: Vec<Gauge> = gauge
        .iter()
        .map(|&valve| Gauge { valve, margin: timed.map(|c| crank::margin(facts, valve, c)) })
        .collect();
    let (short_by, past_by) = timed.and_then(|crank| tolerance(facts, crank, &gauge)).unzip();
    Stop {
        watch: *watch,
        sign: *sign,
        then_turn: *then_turn,
        crank,
        turn: None,
        margin: gauge.iter().filter_map(|gauge| gauge.margin).min_by(f64::total_cmp),
        gauge,
        unload: unload.clone(),
        say: say.clone(),
        short_by,
        past_by,
    }
}

/// Returns the crank angle after a sign was seen on a cylinder and the crank was turned on, degrees;
/// `None` where the facts do not tell the sign's place.
pub fn stood_at(facts: &Facts, watch: Cylinder, sign: Sign, then_turn: u16) -> Option<f64> {
    let seen = crank::firing_angle(facts, watch) + sign_phase(facts, sign)?;
    Some(crank::normal(seen + f64::from(then_turn)))
}

/// Returns the watched cylinder's phase at a sign, where that is known.
fn sign_phase(facts: &Facts, sign: Sign) -> Option<f64> {
    let opening = |kind| facts.timing.map(|timing| Opening::of(&timing, kind));
    match sign {
        Sign::Overlap | Sign::Changeover => Some(crank::centre_of_overlap(facts)),
        Sign::IntakeOpens => opening(Kind::Intake).map(|opening| opening.opens),
        Sign::IntakeCloses => opening(Kind::Intake).map(|opening| opening.closes),
        Sign::ExhaustOpens => opening(Kind::Exhaust).map(|opening| opening.opens),
        Sign::ExhaustCloses => opening(Kind::Exhaust).map(|opening| opening.closes),
        Sign::Mark => None,
    }
}

/// Refuses a table that gauges a valve which the profile's own timing has open there.
fn check(plan: &Plan) -> Result<(), PlanRefusal> {
    for (number, stop) in (1..).zip(&plan.stops) {
        for gauge in &stop.gauge {
            if let Some(margin) = gauge.margin.filter(|&margin| crank::compare(margin, 0.0).is_lt())
            {
                let valve = gauge.valve;
                return Err(PlanRefusal::OpenInTable { valve, stop: number, open_by: -margin });
            }
        }
    }
    Ok(())
}
