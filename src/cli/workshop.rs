//! A data folder with what lies in it: engines, profiles, sessions, and how they belong together.

use super::fail::Fail;
use super::world::World;
use crate::domain::entry::{Begin, Entry, Head, Hours, Moment, ProfileText};
use crate::domain::plan;
use crate::domain::profile::EngineProfile;
use crate::domain::service::Service;
use crate::domain::session::Session;
use crate::report::dates;
use crate::store::engines::{self, Counter, Engine};
use crate::store::folder::{Folder, Platform};
use crate::store::hash::new_id;
use crate::store::journal::{self, Journal, Opened};
use crate::store::profile_file::parse_profile;
use crate::store::profiles;
use crate::store::sessions::{self, Glance};
use std::path::Path;

/// A workshop: one data folder.
#[derive(Clone, Debug)]
pub struct Workshop {
    folder: Folder,
}

/// Makes a profile of the text that a journal carries.
pub fn parse(text: &str) -> Result<EngineProfile, String> {
    parse_profile(text, "the session's own profile").map_err(|error| error.to_string())
}

impl Workshop {
    /// Finds the workshop that the environment names.
    pub fn find(world: &World<'_>) -> Result<Workshop, Fail> {
        Ok(Workshop { folder: Folder::find(None, Platform::here(), world.variable)? })
    }

    /// Takes a folder as a workshop.
    pub fn at(root: impl AsRef<Path>) -> Workshop {
        Workshop { folder: Folder::at(root.as_ref()) }
    }

    /// Returns its folder's path.
    pub fn root(&self) -> &Path {
        self.folder.root()
    }

    /// Returns its folder.
    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// Finds an engine by name, id, or the beginning of either.
    pub fn engine(&self, named: &str) -> Result<Engine, Fail> {
        let listing = engines::list(&self.folder)?;
        Ok(engines::find(&listing.engines, named)?.clone())
    }

    /// Finds an engine's profile.
    pub fn profile(&self, engine: &Engine) -> Result<ProfileText, Fail> {
        Ok(profiles::find(&engine.profile, self.root())?)
    }

    /// Lists the sessions of an engine, oldest first, with those that cannot be read left out.
    pub fn sessions_of(&self, engine: &Engine) -> Result<Vec<Glance>, Fail> {
        let listing = sessions::list(&self.folder)?;
        Ok(sessions::of_engine(&listing.sessions, engine).cloned().collect())
    }

    /// Reads a session for looking at.
    pub fn read(&self, path: &Path) -> Result<Opened, Fail> {
        Ok(journal::open(path, &parse)?)
    }

    /// Returns the outcomes of an engine's sessions, oldest first.
    pub fn services(&self, engine: &Engine) -> Result<Vec<Service>, Fail> {
        let mut services = Vec::new();
        for listed in self.sessions_of(engine)? {
            let opened = self.read(&listed.path)?;
            let service = Session::replay(&opened.entries).map(|session| Service::of(&session));
            services.extend(service.map(|service| on_the_sum(engine, service)));
        }
        Ok(services)
    }

    /// Returns the service before a session: the last of the engine with readings that began earlier.
    pub fn previous(&self, engine: &Engine, session: &Session) -> Option<Service> {
        let before = session.began().map_or(i64::MAX, |at| at.unix_ms);
        let services = self.services(engine).ok()?;
        services
            .into_iter()
            .filter(|service| service.session != session.head.session)
            .filter(|service| {
                service.has_readings() && service.began.is_some_and(|at| at.unix_ms < before)
            })
            .next_back()
    }

    /// Returns the session of an engine that is still open, the newest first.
    pub fn open_session(&self, engine: &Engine) -> Result<Option<Glance>, Fail> {
        let mut sessions = self.sessions_of(engine)?;
        sessions.retain(|listed| !listed.sealed);
        Ok(sessions.pop())
    }

    /// Starts a service: the journal's file with its head and what was said at the start.
    pub fn start(
        &self,
        engine: &Engine,
        begin: Begin,
        (at, run_ms): (Moment, u64),
    ) -> Result<(Journal, Session), Fail> {
        self.folder.prepare()?;
        let profile = self.profile(engine)?;
        // Better said before anything is written than after the covers are off.
        plan::plan(&profile.profile, &plan::PlanChoice::default())
            .map_err(|refusal| Fail::work(refusal.to_string(), refusal.hint()))?;
        let head = Head {
            session: new_id(at.unix_ms),
            program: env!("CARGO_PKG_VERSION").into(),
            profile,
        };
        let begin = Begin {
            engine_id: Some(engine.id.clone()),
            engine: Some(engine.name.clone()),
            serial: Some(engine.serial.clone()).filter(|serial| !serial.is_empty()),
            known_source: engine.source.clone(),
            known_worker: engine.worker.clone(),
            ..begin
        };
        let hours = begin.hours.unwrap_or_default();
        let replaced = begin.hours_why.is_some();
        let (mut journal, first) = Journal::create(&self.folder, head, at, run_ms)?;
        let mut kept = vec![first];
        let stem = journal.path().file_stem().map(|stem| stem.to_string_lossy().into_owned());
        let entry = Entry::Begin(Begin { name: stem, ..begin });
        kept.extend(journal.append(&[entry], at, run_ms).map_err(|not| Fail::from(not.error))?);
        if engine.counter() != hours || replaced {
            self.told_hours(
                engine,
                hours,
                if replaced { Counter::Replaced } else { Counter::Same },
                at,
            )?;
        }
        let session =
            Session::replay(&kept).ok_or_else(|| Fail::work("the session has no head", ""))?;
        Ok((journal, session))
    }

    /// Keeps an engine's hours as they were told.
    pub fn told_hours(
        &self,
        engine: &Engine,
        hours: Hours,
        counter: Counter,
        at: Moment,
    ) -> Result<(), Fail> {
        let day = dates::day(at);
        engines::update(&self.folder, &engine.id, |engine| {
            engine.tell_hours(&day, hours, counter)
        })?;
        Ok(())
    }
}

/// Puts a service on the sum of the hours that all counters of the engine have run.
fn on_the_sum(engine: &Engine, service: Service) -> Service {
    let began = service.began.map(dates::day).unwrap_or_default();
    // Hours are told when a service begins, so the last figure told by that day is the one.
    let told =
        engine.hours.iter().rev().find(|told| {
            told.date <= began && service.hours.is_some_and(|hours| told.hours <= hours)
        });
    let offset = told.map_or(0, |told| told.offset.0);
    Service { hours: service.hours.map(|hours| Hours(hours.0 + offset)), ..service }
}
