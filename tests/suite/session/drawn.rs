//! What the drawing of the engine may show, over random histories.

use super::watch::want;
use cowlside::domain::entry::{Entry, Step};
use cowlside::domain::session::{Due, RoundKind, Session};
use cowlside::domain::valve::Standing;
use std::collections::BTreeSet;

/// The drawing: the due valve shows only that; of an earlier round, before its reading, only what was left
/// out of its band with a reason, and not at its own stop.
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
        let at_hand = stop.is_some_and(|stop| stop.gauge.iter().any(|one| one.valve == valve))
            || state.untold().contains(&valve);
        let left_so = out && state.reason_to_leave(valve).is_some() && !at_hand;
        want(read || silent || left_so, || {
            format!("{valve} shows {standing:?} before its reading")
        })?;
    }
    Ok(())
}
