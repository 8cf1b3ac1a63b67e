//! A data folder with what lies in it: engines, profiles, sessions, and how they belong together.

use super::beforehand::not_there;
use super::engine_profile;
use super::fail::Fail;
use super::left_open::Left;
use super::notebook::Notebook;
use super::remade::lost_words;
use super::unread::to_do;
use super::world::World;
use crate::domain::clock;
use crate::domain::entry::{Adopt, Begin, Entry, Head, Hours, LeafSet, Moment, ProfileText};
use crate::domain::learning::{self, Aimed};
use crate::domain::likely::Likely;
use crate::domain::pace::{self, Gap};
use crate::domain::plain::plain;
use crate::domain::profile::EngineProfile;
use crate::domain::sequence;
use crate::domain::service::{self, Ending, Service};
use crate::domain::session::{Session, State, Taken};
use crate::domain::trend::Earlier;
use crate::guide::versions::OtherVersion;
use crate::guide::{Beside, faults_left_in};
use crate::report::dates;
use crate::store::StoreError;
use crate::store::backup::unfinished;
use crate::store::engines::{self, Counter, Engine};
use crate::store::folder::{Folder, Platform, survive_file_limit};
use crate::store::hash::new_id;
use crate::store::journal::{self, Follower, Journal, Opened, Verdict};
use crate::store::profile_file::parse_kept;
use crate::store::profiles;
use crate::store::progress::Progress;
use crate::store::seen::{self, Empty, whole_elsewhere};
use crate::store::sessions::{self, Glance};
use crate::store::settings::{Owned, Settings};
use crate::store::unfinished::cut_off;
use crate::store::words::settings_unread;
use std::collections::{BTreeMap, HashMap};
use std::path::Path;
use std::sync::atomic::AtomicUsize;
use std::sync::{Arc, Mutex, PoisonError};

/// A workshop: one data folder.
#[derive(Clone, Debug)]
pub struct Workshop {
    folder: Folder,
    /// The program as the sessions name it that are begun here.
    pub(super) program: String,
    /// Profiles by the very text that sessions carry: each is checked once, and its copies share.
    profiles: Arc<Mutex<HashMap<String, EngineProfile>>>,
    notebook: Arc<Notebook>,
    /// How often a session was not read, or not as it was listed.
    pub(super) unlike: Arc<AtomicUsize>,
}

/// Most profiles that are held; then they are forgotten.
const PROFILES_MAX: usize = 64;

/// What was found, and what belongs to it but could not be read or not whole.
#[derive(Clone, Debug)]
pub struct Found<T> {
    /// What was found.
    pub things: Vec<T>,
    /// What the user must be told, a line each.
    pub notes: Vec<String>,
}

/// What lies before a session.
pub struct Before {
    /// The service before it.
    pub previous: Option<Service>,
    /// What else is known beside it.
    pub beside: Beside,
}

/// A service that was just started.
pub struct Started {
    /// Its engine, with the hours that were told.
    pub engine: Engine,
    /// Its journal.
    pub journal: Journal,
    /// The session.
    pub session: Session,
}

fn found(folder: &Folder, mut listing: sessions::Listing) -> Found<Glance> {
    // What a failed start left is nobody's session: `verify` tells of it, and no list warns of it for ever.
    // Where nobody can tell whether it is one, nothing is left out, and it is told as before a new service.
    let empty = |one: &sessions::Unopened| one.empty.then(|| seen::empty(folder, &one.path));
    listing
        .apart
        .retain(|apart| apart.unopened.as_ref().and_then(empty) != Some(Empty::FailedStart));
    let note = |apart: &sessions::Apart| match &apart.unopened {
        Some(one) if empty(one) == Some(Empty::NobodyKnows) => {
            Some(plain(&format!("{one}: {}; {}", one.nobody_knows(), one.to_do)))
        }
        Some(_) => Some(format!("left out: {}", plain(&apart.why))),
        // Of several that say no more than another file only one tells it.
        None => Some(plain(&apart.why)).filter(|why| !why.is_empty()),
    };
    Found { notes: listing.apart.iter().filter_map(note).collect(), things: listing.sessions }
}

/// Returns the day of a session as YYYY-MM-DD, put right where it was wrong.
pub fn day_of(session: &Glance) -> String {
    session.day.as_ref().map_or_else(|| dates::day(session.started), |day| plain(day))
}

/// Tells whether nobody can believe the day of a session: the clock is doubtful, and it was not put right.
pub fn day_is_doubtful(session: &Glance) -> bool {
    session.clock_doubtful && session.day.is_none()
}

/// Makes a profile of the text that a journal carries.
pub fn parse(text: &str) -> Result<EngineProfile, String> {
    parse_kept(text, "the session's own profile").map_err(|error| error.to_string())
}

impl Workshop {
    /// Finds the workshop that the environment names.
    pub fn find(world: &World<'_>) -> Result<Workshop, Fail> {
        survive_file_limit();
        let program = env!("CARGO_PKG_VERSION").to_string();
        Ok(Workshop::of(Folder::find(None, Platform::here(), world.variable)?, program))
    }

    /// Takes a folder as a workshop.
    pub fn at(root: impl AsRef<Path>) -> Workshop {
        Workshop::of(Folder::at(root.as_ref()), env!("CARGO_PKG_VERSION").into())
    }

    /// Takes a folder as the invented workshop; what is begun there says so.
    pub fn invented(root: impl AsRef<Path>) -> Workshop {
        let program = format!("{} {}", env!("CARGO_PKG_VERSION"), clock::INVENTED);
        Workshop::of(Folder::at(root.as_ref()), program)
    }

    fn of(folder: Folder, program: String) -> Workshop {
        let (profiles, notebook, unlike) = Default::default();
        Workshop { folder, program, profiles, notebook, unlike }
    }

    /// Returns it with somebody who is told how far long work in it is.
    pub fn watched(self, progress: Progress) -> Workshop {
        Workshop { folder: self.folder.watched(progress), ..self }
    }

    /// Returns its folder's path.
    pub fn root(&self) -> &Path {
        self.folder.root()
    }

    /// Returns what is remembered in it, on its way to the disk.
    pub fn notebook(&self) -> &Arc<Notebook> {
        &self.notebook
    }

    /// Returns its folder.
    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// Says what the user must know before anything is shown: that nothing can be written, that a
    /// restore, an import or a take was cut off, that the settings could not be read.
    pub fn told_first(&self, settings: Option<&StoreError>) -> Vec<String> {
        let unwritable = self.folder.prepare().err().map(|error| error.to_string());
        let restore = unfinished(&self.folder);
        let taken = cut_off(&self.folder, None);
        unwritable
            .into_iter()
            .chain(restore)
            .chain(taken)
            .chain(settings.map(settings_unread))
            .collect()
    }

    /// Finds an engine by name, id, or the beginning of either.
    pub fn engine(&self, named: &str) -> Result<Engine, Fail> {
        engines::find_in(&self.folder, named).map_err(|(error, broken)| {
            if let Some(absent) = self.folder.absent() {
                return absent.into();
            }
            // The one that is asked for may be the one that cannot be read.
            let none = matches!(&error, StoreError::NoSuch { known, .. } if known.is_empty());
            let mut hint = match (none, broken.is_empty()) {
                (true, false) => to_do(&broken),
                _ => error.hint(),
            };
            for broken in &broken {
                hint += &format!("; left out: {broken}");
            }
            let known = || Some((self.sessions().ok()?, engines::list(&self.folder).ok()?));
            if let Some((sessions, listing)) = known() {
                let lost = lost_words(&sessions.things, &listing);
                hint.extend(lost.iter().flat_map(|words| ["; ", words]));
            }
            Fail::work(error.to_string(), hint)
        })
    }

    /// Finds an engine's profile.
    pub fn profile(&self, engine: &Engine) -> Result<ProfileText, Fail> {
        let found = profiles::find(&engine.profile, self.root());
        found.map_err(|error| engine_profile::not_found(engine, error))
    }

    /// Lists all sessions, oldest first; what cannot be read is told, since it may be of any engine.
    pub fn sessions(&self) -> Result<Found<Glance>, Fail> {
        Ok(found(&self.folder, sessions::list(&self.folder)?))
    }

    /// Lists the sessions of an engine, oldest first.
    pub fn sessions_of(&self, engine: &Engine) -> Result<Found<Glance>, Fail> {
        Ok(found(&self.folder, sessions::list_of(&self.folder, engine)?))
    }

    /// Finds a session of an engine by name, id, the beginning of either, or its file's path.
    pub fn session_of(
        &self,
        engine: &Engine,
        known: &[Glance],
        named: &str,
    ) -> Result<Glance, Fail> {
        let session = sessions::find_beside(known, &self.unopened(engine), named)?;
        let its = sessions::of_engine(std::slice::from_ref(&session), engine).next().is_some();
        if its {
            return Ok(session);
        }
        let error = format!("session {} is not one of {}", session.name, engine.name);
        Err(Fail::work(error, "name a session of this engine"))
    }

    /// Reads a session for looking at.
    pub fn read(&self, path: &Path) -> Result<Opened, Fail> {
        let mut opened = journal::open(path, &|text| self.parsed(text))?;
        self.look_where_it_counts(&mut opened);
        Ok(opened)
    }

    /// Looks whether an entry that is cut off is whole where the session was saved: there it counts.
    pub(super) fn look_where_it_counts(&self, opened: &mut Opened) {
        let session = opened.head().map(|head| head.session.clone());
        if let (Verdict::CutOff(tail), Some(session)) = (&mut opened.verdict, session) {
            tail.whole_in = whole_elsewhere(&self.folder, &session, (&opened.path, tail));
        }
    }

    /// Reads a session that is followed, where there is something new.
    pub fn follow(&self, follower: &mut Follower) -> Result<Option<Opened>, Fail> {
        let mut opened = follower.look(&|text| self.parsed(text))?;
        opened.iter_mut().for_each(|opened| self.look_where_it_counts(opened));
        Ok(opened)
    }

    fn parsed(&self, text: &str) -> Result<EngineProfile, String> {
        let mut known = self.profiles.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(profile) = known.get(text) {
            return Ok(profile.clone());
        }
        let profile = parse(text)?;
        if known.len() >= PROFILES_MAX {
            known.clear();
        }
        known.insert(text.to_owned(), profile.clone());
        Ok(profile)
    }

    /// Returns what these sessions of an engine came to, as far as they can be read.
    pub fn services(&self, engine: &Engine, sessions: Found<Glance>) -> Found<Service> {
        let mut found = Found { things: Vec::new(), notes: sessions.notes };
        for listed in sessions.things {
            if let Some(version) = listed.version.filter(|version| !version.counts) {
                found.notes.push(format!(
                    "{}: version {} is left out: another version of this session counts",
                    listed.name, version.letter
                ));
                continue;
            }
            match self.read(&listed.path) {
                Ok(opened) => {
                    if opened.verdict != Verdict::Clean {
                        found.notes.push(format!("{}: {}", listed.name, opened.verdict));
                    }
                    let session = Session::replay(&opened.entries);
                    found.things.extend(session.map(|session| service_of(engine, &session)));
                }
                Err(fail) => found.notes.push(format!("left out: {}", fail.words())),
            }
        }
        found
    }

    /// Returns the services of an engine that began before a session.
    pub fn earlier(&self, engine: &Engine, session: &Session) -> Earlier {
        // What could not be read was told where the session was opened.
        let services = self.sessions_of(engine).map(|known| self.services(engine, known).things);
        before(engine, session, services.unwrap_or_default())
    }

    /// Reads everything before a session that is known beside it: the service before, what earlier
    /// services make likely and taught, and the leaves of whoever works.
    pub fn before(&self, engine: &Engine, session: &Session) -> Before {
        let mut services: Vec<Service> = Vec::new();
        let mut by_session: Vec<(String, Vec<Aimed>, Vec<Gap>)> = Vec::new();
        let mut faults_left = BTreeMap::new();
        // What could not be read was told where the session was opened.
        let listed = self.sessions_of(engine).map_or_else(|_| Vec::new(), |found| found.things);
        for one in listed.into_iter().filter(Glance::counts) {
            let opened = self.read(&one.path).ok();
            let Some(other) = opened.and_then(|opened| Session::replay(&opened.entries)) else {
                continue;
            };
            let id = other.head.session.clone();
            faults_left.insert(id.clone(), faults_left_in(&other.state));
            by_session.push((id, learning::tries(&other), pace::gaps(&other)));
            services.push(service_of(engine, &other));
        }
        let mut earlier = before(engine, session, services);
        let made = |one: &&Service| {
            let ended = matches!(one.ending, Ending::Signed | Ending::Unsigned(_));
            ended && !one.conditions.practice
        };
        let newest_first = earlier.services.iter().rev().filter(made);
        let left = newest_first.filter_map(|one| faults_left.remove(&one.session));
        let left = left.reduce(|newer, older| newer.over(older)).unwrap_or_default();
        (earlier.left_as_found, earlier.low_leak_tests) = left.words();
        let taught = |of: &String| earlier.services.iter().any(|service| service.session == *of);
        by_session.retain(|(of, ..)| taught(of));
        let tries = by_session.iter().flat_map(|(_, tries, _)| tries.clone()).collect();
        let pace = by_session.into_iter().flat_map(|(.., gaps)| gaps).collect();
        let likely = Likely::of(&earlier.services, session.state.facts());
        let previous = earlier.previous().cloned();
        let owned = self.owned();
        let others = self.other_versions(engine, session).unwrap_or_default();
        let mut beside =
            Beside { owned, others, tries, likely, earlier, pace, ..Beside::default() };
        beside.profiles = profiles::names(self.root(), session.state.facts().cylinders());
        beside.profile_by_path = engine_profile::is_by_path(self, &session.state.profile);
        Before { previous, beside }
    }

    /// Reads what other versions of a session have that it has not: their readings as they stand.
    fn other_versions(
        &self,
        engine: &Engine,
        session: &Session,
    ) -> Result<Vec<OtherVersion>, Fail> {
        let mut others = Vec::new();
        for listed in self.sessions_of(engine)?.things {
            let Some(letter) = listed.letter().filter(|_| listed.id == session.head.session) else {
                continue;
            };
            let hashes = sessions::hashes_of(&listed.path)?;
            let opened = self.read(&listed.path)?;
            let Some(other) = Session::replay(&opened.entries) else { continue };
            let file = listed.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let here = |seq: u64| session.kept.iter().find(|kept| kept.seq == seq);
            let there = |seq: u64| other.kept.iter().find(|kept| kept.seq == seq);
            let new =
                other.state.readings.iter().filter(|taken| here(taken.seq) != there(taken.seq));
            let adopt = |taken: &Taken| {
                let (file, reading) = (file.clone(), taken.reading.clone());
                Some(Adopt { file, seq: taken.seq, hash: hashes.get(&taken.seq)?.clone(), reading })
            };
            let readings: Vec<Adopt> = new.filter_map(adopt).collect();
            if !readings.is_empty() {
                others.push(OtherVersion { letter, readings });
            }
        }
        Ok(others)
    }

    /// Lists the leaf sets that mechanics own, with their names.
    pub fn owned(&self) -> Vec<(String, LeafSet)> {
        let owned = Settings::load(&self.folder).0.owned.into_iter();
        owned.map(|Owned { worker, set }| (worker, set)).collect()
    }

    /// Returns what one session came to, with what the user must be told of its file. A version of
    /// several goes by its full name.
    pub fn service(&self, engine: &Engine, listed: &Glance) -> Result<Found<Service>, Fail> {
        let opened = self.read(&listed.path)?;
        let notes = match &opened.verdict {
            Verdict::Clean => Vec::new(),
            other => vec![format!("{}: {other}", listed.full_name())],
        };
        let service = Session::replay(&opened.entries).map(|session| service_of(engine, &session));
        let named = |service: Service| match listed.version {
            Some(_) => Service { name: listed.full_name(), ..service },
            None => service,
        };
        Ok(Found { things: service.map(named).into_iter().collect(), notes })
    }

    /// Starts a service: the journal's file with its head and what was said at the start, in the folder that
    /// was typed where this one can only be read.
    pub fn start(
        &self,
        engine: &Engine,
        (begin, folder): (Begin, Option<&str>),
        (at, run_ms): (Moment, u64),
    ) -> Result<Started, Fail> {
        self.can_begin(engine)?;
        let folder = self.place_for(folder)?;
        let profile = self.profile(engine)?;
        let head = Head { session: new_id(at.unix_ms), program: self.program.clone(), profile };
        let begin = Begin {
            engine_id: Some(engine.id.clone()),
            engine: Some(engine.name.clone()),
            serial: Some(engine.serial.clone()).filter(|serial| !serial.is_empty()),
            known_source: engine.source.clone(),
            known_worker: engine.worker.clone(),
            known_parts: self.known_parts(engine)?,
            ..begin
        };
        let Left { items, remarks, .. } = self.left_open(engine, &State::new(&head));
        let begin = Begin { left_open: items, ..begin };
        let hours = begin.hours.unwrap_or_default();
        let replaced = begin.hours_why.is_some();
        let counter = if replaced { Counter::Replaced } else { Counter::Same };
        let engine = if folder.is_none() && (engine.counter() != hours || replaced) {
            self.told_hours(engine, hours, counter, at)?
        } else {
            engine.clone()
        };
        let (mut journal, first) = match folder {
            Some(folder) => Journal::create_elsewhere(&folder, head, at, run_ms)
                .map_err(|error| not_there(&error))?,
            None => Journal::create(&self.folder, head, at, run_ms)?,
        };
        let mut kept = vec![first];
        let stem = journal.path().file_stem().map(|stem| stem.to_string_lossy().into_owned());
        let mut entries = vec![Entry::Begin(Begin { name: stem, ..begin })];
        entries.extend(remarks);
        kept.extend(journal.append(&entries, at, run_ms).map_err(|not| Fail::from(not.error))?);
        let session =
            Session::replay(&kept).ok_or_else(|| Fail::work("the session has no head", ""))?;
        Ok(Started { engine, journal, session })
    }

    /// Keeps an engine's hours as they were told, and returns it with them.
    pub fn told_hours(
        &self,
        engine: &Engine,
        hours: Hours,
        counter: Counter,
        at: Moment,
    ) -> Result<Engine, Fail> {
        let day = dates::day(at);
        let told = |engine: &mut Engine| engine.tell_hours(&day, hours, counter);
        engines::update(&self.folder, &engine.id, told).map_err(|error| match error {
            StoreError::FewerHours { .. } => {
                let hint = "read the counter again; where it was replaced, add --counter-replaced; \
                            where the hours before were a mistake, --correct";
                Fail::work(error.to_string(), hint)
            }
            other => other.into(),
        })
    }
}

/// Returns what a session came to, with the hours that its engine had run over all its counters.
pub fn service_of(engine: &Engine, session: &Session) -> Service {
    let service = Service::of(session);
    let told = session.hours_told().map(|(shown, at)| (shown, dates::day(at)));
    let run = told.as_ref().map(|(shown, day)| engine.run_at(*shown, day));
    let chosen = service.due.chosen.map(|chosen| match &told {
        Some((shown, day)) => engine.chosen_at(chosen, *shown, day),
        None => chosen,
    });
    let due = service::Due { chosen, ..service.due };
    Service { hours: run.or(service.hours), due, ..service }
}

/// Keeps the services that came before a session, oldest first.
fn before(engine: &Engine, session: &Session, services: Vec<Service>) -> Earlier {
    let own = service_of(engine, session);
    let services: Vec<Service> = sequence::before(&own, &services).into_iter().cloned().collect();
    let shown = session.hours_told().map(|(shown, at)| (shown, dates::day(at)));
    let offset = shown.as_ref().map_or(Hours(0), |(shown, day)| engine.offset_of(*shown, day));
    let corrected = shown.and_then(|(shown, day)| {
        let really = engine.corrected(shown, &day)?.hours;
        (really != shown).then_some(really)
    });
    Earlier { services: services.into(), offset, corrected, ..Earlier::default() }
}

/// Returns what an engine's earlier counters had reached together by a day, as YYYY-MM-DD.
pub fn offset_by(engine: &Engine, day: &str) -> Hours {
    let by_then = engine.hours.iter().rev().find(|told| told.date.as_str() <= day);
    by_then.map_or(Hours(0), |told| told.offset)
}
