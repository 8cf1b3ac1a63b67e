//! Cautions: which is asked now, and what an answer changes.

use super::checklist::{self, OIL_LOCK};
use super::due::Due;
use super::state::{Crank, State};
use crate::domain::entry::{Asked, Caution};
use crate::domain::profile::EngineProfile;
use std::collections::BTreeMap;

/// Returns every caution of an engine, as it is asked for at the start.
pub(super) fn all(profile: &EngineProfile) -> BTreeMap<String, Asked> {
    let lines = checklist::cautions(profile).into_iter();
    lines.map(|line| (line.id, Asked::Start)).collect()
}

impl State {
    /// Counts the cautions that are to be answered before anything else.
    pub fn cautions_left(&self) -> usize {
        self.cautions_now().count()
    }

    pub(super) fn due_caution(&self) -> Option<Due> {
        self.cautions_now().next()
    }

    /// Once it was run only what another profile asks is left, which nobody has answered well.
    pub(super) fn due_caution_of_another(&self) -> Option<Due> {
        self.cautions_now().find(|due| {
            let Due::Caution(line, _) = due else { return false };
            !self.cautions.get(&line.id).is_some_and(|(digit, _)| line.is_good(*digit))
        })
    }

    fn cautions_now(&self) -> impl Iterator<Item = Due> {
        // Nothing is turned with a valve held open, a part out, a cylinder loose or a stop that was
        // felt: what is answered by turning waits.
        let still = !self.unloaded.is_empty()
            || !self.parts_out.is_empty()
            || self.loose_under_the_crank().is_some()
            || self.felt_open().is_some();
        checklist::cautions(&self.profile.profile).into_iter().filter_map(move |line| {
            let asked = *self.cautions_due.get(&line.id)?;
            let waits = still && line.id == OIL_LOCK;
            (!waits).then_some(Due::Caution(line, asked))
        })
    }

    pub(super) fn caution_answered(&mut self, caution: &Caution) {
        let said = (caution.digit, caution.seen.clone());
        self.counting_loose(|state| state.cautions.insert(caution.id.clone(), said));
        if caution.safe {
            self.cautions_due.remove(&caution.id);
            if caution.id == OIL_LOCK {
                self.pulled_through();
            }
        }
        self.made_safe_again(&caution.id);
        if caution.out_again {
            self.undone_with_plugs();
        }
        self.made_safe_by(caution);
    }

    /// Pulled through by hand: the crank stands anywhere now.
    fn pulled_through(&mut self) {
        let before = (self.crank, self.rock_wanted);
        self.crank = Crank::Unknown;
        self.break_crank();
        self.pulled_from = matches!(before.0, Crank::At { .. }).then_some(before);
    }

    /// A version that went on from where the crank stood wrote only a proof behind that answer: there it
    /// was proven, and there it stood.
    pub(super) fn proven_where_it_was(&mut self) {
        let before = self.pulled_from.take();
        if let (Crank::Unknown, Some((crank, rock))) = (self.crank, before) {
            (self.crank, self.rock_wanted) = (crank, rock);
        }
    }
}
