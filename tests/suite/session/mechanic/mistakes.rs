//! What a mechanic takes back with a word: a nut that was named by mistake, and work or a part that never was.

use super::super::harness::why;
use cowlside::domain::session::{Input, PRESSED_BY_MISTAKE, Session, State};
use cowlside::domain::valve::{Cylinder, Valve};

/// A nut that is slack, if there is one, was named by mistake: no nut is slack, nobody knows, or another is.
pub fn never_slack(state: &State, valves: &[Valve], valve: Valve, pick: u8) -> Input {
    let named = valves.iter().copied().find(|&one| state.nut_slack(one)).unwrap_or(valve);
    match pick % 3 {
        0 => Input::NutNeverTouched { valve: named, why: PRESSED_BY_MISTAKE.into() },
        1 => Input::NutNeverTouched { valve: named, why: why() },
        _ => Input::NutOfAnother { named, really: valve },
    }
}

/// What was told last never was, or of another cylinder.
pub fn not_so(session: &Session, cylinder: Cylinder, pick: u8) -> Input {
    match session.worked_last() {
        Some(kept) if pick.is_multiple_of(2) => Input::WorkOfAnother(kept.seq, cylinder, why()),
        worked => {
            let last = session.came_out_last().or(worked);
            Input::Void { of: last.map_or(0, |kept| kept.seq), why: why() }
        }
    }
}
