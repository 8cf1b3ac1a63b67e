//! What the engine and the settings remember of a session for the next one.

use super::OpenSession;
use crate::domain::entry::Entry;
use crate::domain::session::Due;
use crate::guide::leaf_sets;
use crate::store::engines;
use crate::store::settings::{Owned, Settings};

impl OpenSession<'_> {
    /// Keeps beside the engine what the next service is asked about. That it cannot be kept takes
    /// back nothing: the entries are on disk.
    pub(super) fn remember(&mut self, entries: &[Entry]) {
        let state = &self.session.state;
        let source_done =
            entries.iter().any(|entry| matches!(entry, Entry::Source(_) | Entry::Amend(_)))
                && !matches!(
                    state.due(),
                    Due::SourceName(_) | Due::PageFigure(..) | Due::PageDiffers(_)
                );
        let source =
            state.source.clone().filter(|(_, practice)| !practice).map(|(source, _)| source);
        let who = entries.iter().any(|entry| matches!(entry, Entry::Who(_)));
        let worker = state.worker.clone().filter(|_| who);
        let source = source.filter(|_| source_done);
        // Amended figures are not in the profile: the next service must read the page again.
        let amended = source_done && !state.amended.is_empty();
        if source.is_some() || worker.is_some() || amended {
            let (folder, id) = (self.workshop.folder().clone(), self.engine.id.clone());
            self.workshop.notebook().put(move || {
                let updated = engines::update(&folder, &id, |engine| {
                    engine.source = source.or(engine.source.take()).filter(|_| !amended);
                    engine.worker = worker.or(engine.worker.take());
                    Ok(())
                });
                let error = updated.err()?;
                Some(format!("not remembered for the next service: {error}"))
            });
        }
    }

    /// Remembers leaves that were typed as the mechanic's own, with what they are like.
    pub(super) fn remember_leaves(&mut self, entries: &[Entry]) {
        let mut sets = entries.iter().rev().filter_map(|entry| match entry {
            Entry::Leaves(set) if leaf_sets::is_own(set) => Some(set),
            _ => None,
        });
        let (Some(set), Some(worker)) = (sets.next(), &self.session.state.worker) else { return };
        let (worker, set) = (worker.clone(), set.clone());
        let mut known = Settings::default();
        let owned = std::mem::take(&mut self.beside.owned).into_iter();
        known.owned.extend(owned.map(|(worker, set)| Owned { worker, set }));
        known.own(&worker, &set);
        self.beside.owned = known.owned.into_iter().map(|one| (one.worker, one.set)).collect();
        let folder = self.workshop.folder().clone();
        self.workshop.notebook().put(move || {
            Settings::update(&folder, |now| now.own(&worker, &set)).map_or_else(
                |error| Some(format!("these leaves are not remembered as yours: {error}")),
                |(_, told)| told,
            )
        });
    }
}
