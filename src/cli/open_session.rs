//! A session under way with its journal: what is decided is written first and kept then.

use super::fail::Fail;
use super::workshop::{Workshop, parse};
use super::world::World;
use crate::domain::compare;
use crate::domain::entry::{Back, Entry, Moment, ProfileText};
use crate::domain::plain::plain;
use crate::domain::service::Service;
use crate::domain::session::{Due, Input, Session, day};
use crate::guide::status;
use crate::report::compare_sheet;
use crate::store::engines::{self, Engine};
use crate::store::journal::Journal;
use crate::store::profiles;
use crate::tui::bench::last_left;
use std::path::Path;

/// A session with its journal, its engine and the service before it.
pub struct OpenSession<'a> {
    /// The session as it is on disk.
    pub session: Session,
    /// The service before it.
    pub previous: Option<Service>,
    workshop: &'a Workshop,
    engine: Engine,
    journal: Journal,
}

impl<'a> OpenSession<'a> {
    /// Takes a session that was just started.
    pub fn new(
        workshop: &'a Workshop,
        engine: Engine,
        (journal, session): (Journal, Session),
    ) -> OpenSession<'a> {
        let previous = workshop.previous(&engine, &session);
        OpenSession { session, previous, workshop, engine, journal }
    }

    /// Goes on with a session: reads it, heals a cut-off end, and notes that the mechanic is back.
    pub fn resume(
        workshop: &'a Workshop,
        engine: Engine,
        path: &Path,
        (at, run_ms): (Moment, u64),
    ) -> Result<OpenSession<'a>, Fail> {
        let (journal, opened) = Journal::resume(workshop.folder(), path, &parse, at, run_ms)?;
        let session = Session::replay(&opened.entries)
            .ok_or_else(|| Fail::work("the session has no beginning", "start a new one"))?;
        let last = session.kept.last().map_or(at, |kept| kept.at);
        let mut desk = OpenSession::new(workshop, engine, (journal, session));
        let away_min = u32::try_from((at.unix_ms - last.unix_ms) / 60_000).ok();
        let back = Back {
            after_min: away_min,
            restart: true,
            new_day: day(last) != day(at),
            clock_jumped: at.unix_ms < last.unix_ms,
        };
        if desk.session.state.due() != Due::Closed {
            desk.write(&[Entry::Back(back)], (at, run_ms))?;
        }
        Ok(desk)
    }

    /// Returns the session's name.
    pub fn name(&self) -> String {
        let stem = self.journal.path().file_stem().unwrap_or_default();
        stem.to_string_lossy().into_owned()
    }

    /// Writes entries down, then keeps them.
    pub fn keep(&mut self, world: &World<'_>, entries: &[Entry]) -> Result<(), Fail> {
        self.write(entries, ((world.now)(), (world.run_ms)()))
    }

    /// Writes entries down, then keeps them; those before a failure stay kept.
    pub fn write(&mut self, entries: &[Entry], (at, run_ms): (Moment, u64)) -> Result<(), Fail> {
        let (kept, failed) = match self.journal.append(entries, at, run_ms) {
            Ok(kept) => (kept, None),
            Err(not_kept) => (not_kept.kept, Some(not_kept.error)),
        };
        for one in kept {
            self.session = self.session.clone().keep(one);
        }
        match failed {
            Some(error) => Err(error.into()),
            None => self.remember(entries),
        }
    }

    /// Keeps beside the engine what the next service is asked about.
    fn remember(&mut self, entries: &[Entry]) -> Result<(), Fail> {
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
        if source.is_some() || worker.is_some() {
            engines::update(self.workshop.folder(), &self.engine.id, |engine| {
                engine.source = source.or(engine.source.take());
                engine.worker = worker.or(engine.worker.take());
                Ok(())
            })?;
        }
        Ok(())
    }

    /// Says what was kept just now, with last time's figure beside a reading.
    pub fn kept_words(&self, entries: &[Entry]) -> String {
        let last = |valve| last_left(self.previous.as_ref(), valve);
        status::kept_words(&self.session, entries, &last)
    }

    /// Finds another profile and makes the entries that replace the one in use.
    pub fn replace_profile(
        &self,
        name: &str,
        source: &str,
        why: String,
    ) -> Result<Vec<Entry>, String> {
        let profile: ProfileText = profiles::find(name, self.workshop.root())
            .map_err(|error| format!("{error}; {}", error.hint()))?;
        let source = source.to_string();
        self.session
            .decide(&Input::AmendProfile { profile: Box::new(profile), source, why })
            .map_err(|refusal| refusal.words())
    }

    /// Compares this session with the one before, as text.
    pub fn comparison(&self) -> String {
        match &self.previous {
            Some(previous) => {
                let comparison = compare::compare(previous, &Service::of(&self.session));
                compare_sheet::compare_text(&comparison, crate::report::WIDTH)
            }
            None => {
                plain("This is the first service of this engine: there is nothing to compare with.")
            }
        }
    }
}
