//! What is not told while a valve is to be gauged: whoever has read an earlier figure of it looks for
//! that figure, and measures nothing.
//!
//! The rule itself is [`State::untold_here`](crate::domain::session::State::untold_here): whoever comes back, or
//! stands by, reads the figure as well as who is at the stop.

use super::named::valve_name;
use super::status::entry_words;
use crate::domain::entry::{Adopt, Change, Correct, Entry, Kept};
use crate::domain::service::Service;
use crate::domain::session::Session;
use crate::domain::valve::{Several, Valve};
use std::collections::{BTreeMap, BTreeSet};

/// The entries that tell a figure of a valve that is to be gauged, each with that valve.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Untold(BTreeMap<u64, Valve>);

impl Untold {
    /// Looks through what was kept: readings as they were kept, corrected or swapped with another
    /// valve's, and the remarks that name the valve.
    pub fn of(session: &Session) -> Untold {
        let mut untold = BTreeMap::new();
        for valve in session.state.untold_here() {
            untold.extend(telling(session, valve).into_iter().map(|seq| (seq, valve)));
        }
        Untold(untold)
    }

    /// Returns the valve that an entry would tell a figure of.
    pub fn valve(&self, seq: u64) -> Option<Valve> {
        self.0.get(&seq).copied()
    }

    /// Says what an entry keeps, as far as it may be told; `None` where it says nothing.
    pub fn words(&self, session: &Session, kept: &Kept) -> Option<String> {
        let name = |valve| valve_name(&session.state, valve);
        let of = |seq: u64| session.kept.iter().find(|kept| kept.seq == seq);
        match (self.valve(kept.seq), &kept.entry) {
            (Some(valve), Entry::Correct(Correct { of: taken, change: Change::Void, .. }))
                if of(*taken).is_some_and(is_reading) =>
            {
                Some(format!("the reading of {} taken back", name(valve)))
            }
            (Some(valve), _) => Some(format!("{}: {NOT_TOLD}", name(valve))),
            (None, _) => entry_words(session, &kept.entry),
        }
    }
}

/// Said in the place of a figure.
pub const NOT_TOLD: &str = "not told while it is to be gauged";

/// Returns a service as if it had not concerned these valves.
#[must_use]
pub fn without(mut service: Service, valves: &BTreeSet<Valve>) -> Service {
    service.valves.retain(|outcome| !valves.contains(&outcome.valve));
    service
}

/// Says which valves are left out of a look back; `None` where none is.
pub fn left_out(valves: &BTreeSet<Valve>, several: Several) -> Option<String> {
    let named: Vec<String> = valves.iter().map(|valve| several.name(*valve)).collect();
    let named = named.join(", ");
    (!valves.is_empty()).then(|| format!("Left out until it is gauged at this stop: {named}"))
}

/// Says that a record is not shown yet, by the name of the first valve that it would tell of; `None`
/// where it may be.
pub fn no_record(first: Option<String>) -> Option<String> {
    let first = first?;
    Some(format!("{first} is to be gauged first: the record would tell what to expect"))
}

fn is_reading(kept: &Kept) -> bool {
    matches!(kept.entry, Entry::Reading(_) | Entry::Adopt(_))
}

/// The entries that tell a figure of this valve.
fn telling(session: &Session, valve: Valve) -> BTreeSet<u64> {
    let name = valve.to_string();
    let tells = |kept: &&Kept| match &kept.entry {
        Entry::Reading(reading) | Entry::Adopt(Adopt { reading, .. }) => reading.valve == valve,
        Entry::Remark(remark) => remark.text.contains(&name),
        _ => false,
    };
    let mut seqs: BTreeSet<u64> = session.kept.iter().filter(tells).map(|kept| kept.seq).collect();
    // A figure may have changed places more than once.
    loop {
        let before = seqs.len();
        for kept in &session.kept {
            let Entry::Correct(Correct { of, change, .. }) = &kept.entry else { continue };
            let other = if let Change::SwapWith(other) = change { other } else { of };
            if seqs.contains(of) || seqs.contains(other) {
                seqs.extend([kept.seq, *of, *other]);
            }
        }
        if seqs.len() == before {
            return seqs;
        }
    }
}
