//! That the order of the stops is made anew after work on a cylinder, told at the turn that comes after it.

use super::felt::place_shown;
use crate::domain::entry::Entry;
use crate::domain::session::Session;

/// Says so at the first turn after the work, where another stop is next than before it.
pub(super) fn made_anew(session: &Session, next: usize) -> Option<String> {
    let state = &session.state;
    let since_turned = session.kept.iter().rposition(|kept| matches!(kept.entry, Entry::At(_)))?;
    let worked = |entry: &Entry| matches!(entry, Entry::Work(work) if work.hold_down.is_none());
    let place = session
        .kept
        .iter()
        .skip(since_turned)
        .position(|kept| worked(&kept.entry) && !session.is_void(kept.seq))?;
    let (before, after) = session.kept.split_at_checked(since_turned + place)?;
    let Some(Entry::Work(work)) = after.first().map(|kept| &kept.entry) else { return None };
    let before = Session::replay(before)?.state;
    let was = before.next_stop(before.round()?)?;
    let stop = state.stops().get(next).filter(|_| was != next)?;
    let next = place_shown(state, next, stop);
    Some(format!("The order is made anew after the work on {}: next {next}.", work.cylinder))
}
