//! What the drawing of the engine may show, over random histories.

use super::engines::flat_four;
use super::harness::{Service, why};
use super::watch::want;
use cowlside::domain::entry::{Entry, Rounds, Step};
use cowlside::domain::session::{Crank, Due, Input, RoundKind, Session};
use cowlside::domain::valve::{Kind, Standing};
use std::collections::BTreeSet;

/// The drawing: the due valve shows only that; of an earlier round, before its reading, only what was left
/// out of its band with a reason, and not at its own stop, in hand or where the crank stands.
pub fn drawing(after: &Session, gone: &BTreeSet<u64>) -> Result<(), String> {
    let state = &after.state;
    if let Due::Gauge(valve, _) = state.due() {
        want(state.standing(valve) == Standing::DueNow, || format!("{valve} is due, and shows"))?;
    }
    let Some(round) = state.round() else { return Ok(()) };
    // Where the rest of a round was passed over, nothing of it is still to come.
    let passed_over = state.rounds_skipped.contains_key(&round);
    if state.round_kind() != Some(RoundKind::Recheck) || passed_over {
        return Ok(());
    }
    for (valve, standing) in state.standings() {
        let read = after.kept.iter().any(|kept| match &kept.entry {
            Entry::Reading(reading) => {
                !gone.contains(&kept.seq)
                    && reading.valve == valve
                    && usize::from(reading.round) == round + 1
                    && reading.step != Step::Try
            }
            _ => false,
        });
        let silent = matches!(
            standing,
            Standing::NotYet
                | Standing::DueNow
                | Standing::Setting
                | Standing::PartOut
                | Standing::Skipped
                | Standing::OutOfScope
        );
        let out = matches!(standing, Standing::Tight | Standing::Loose | Standing::Undecided);
        let stop = state.next_stop(round).and_then(|stop| state.stops().get(stop));
        let here = match state.crank {
            Crank::At { stop, .. } => state.stops().get(stop),
            Crank::Unknown | Crank::Seen(_) | Crank::Elsewhere(_) => None,
        };
        let mut gauged = here.into_iter().chain(stop).flat_map(|stop| &stop.gauge);
        let at_hand = gauged.any(|one| one.valve == valve) || state.untold().contains(&valve);
        let left_so = out && state.reason_to_leave(valve).is_some() && !at_hand;
        want(read || silent || left_so, || {
            format!("{valve} shows {standing:?} before its reading")
        })?;
    }
    Ok(())
}

#[test]
fn a_valve_at_the_stop_where_the_crank_stands_shows_nothing_of_an_earlier_round() {
    let mut service = Service::new(flat_four());
    service.prepare(Rounds::SetThenRecheck, None);
    // At the last stop of the round, so that the next one begins with the crank there.
    let last = service.session.state.stops().last().unwrap().gauge.clone();
    let valve = last.iter().map(|gauge| gauge.valve).find(|one| one.kind == Kind::Exhaust).unwrap();
    service.on_to_gauge(valve).gauge("7");
    service.calmly_while(|_, due| !matches!(due, Due::Set(..)));
    service.tell(Input::LeaveAsIs { valve, why: why() }).on_to_round(1).on_to_turn();
    assert!(matches!(service.due(), Due::Turn { stop: 0, .. }), "{:?}", service.due());
    // Before a turn it can be gauged where it is, against the plan.
    let against = Input::GaugeAgainstPlan { valve, typed: "7".into(), why: why(), sure: true };
    assert!(service.session.decide(&against).is_ok());
    assert_eq!(service.session.state.standing(valve), Standing::NotYet);
    // At the first stop it is told, once the crank is there.
    service.calmly_while(|_, due| matches!(due, Due::Turn { .. }));
    assert_eq!(service.session.state.standing(valve), Standing::Tight);
    service.sign();
}
