//! A session under way with its journal: what is decided is written first and kept then.

use super::beforehand::kept_elsewhere;
use super::clock_now::doubted_now;
use super::engine_hours::{self, Meanwhile};
use super::engine_profile;
use super::fail::Fail;
use super::in_demo;
use super::keeping::Minder;
use super::opening::{begun_beside, little_room, seal_code, set_aside, to_look_for, with_the_copy};
use super::unread::on_the_page;
use super::verify;
use super::watching::{Watch, Why};
use super::workshop::{Before, Found, Started, Workshop, parse, service_of};
use super::world::World;
use crate::domain::compare;
use crate::domain::entry::{Back, Entry, Kept, Moment, ProfileText};
use crate::domain::plain::plain;
use crate::domain::service::Service;
use crate::domain::session::{Due, Input, Session, day};
use crate::guide::{Beside, counter, refused_words, start, status};
use crate::report::compare_sheet;
use crate::store::engines::Engine;
use crate::store::folder::Holder;
use crate::store::journal::{Journal, Opened, Writer, writer};
use crate::store::profiles;
use crate::store::seen::{self, Named, Seen};
use crate::store::sessions::Glance;
use crate::store::settings::Settings;
use crate::store::words::cause_words;
use crate::tui::bench::last_left;
use crate::tui::keeping::{Keeping, Saving};
use crate::tui::screens::Note;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

/// What is said of open sessions that are damaged, or that may be open.
#[derive(Clone, Debug, Default)]
pub struct Damaged {
    /// On the page that begins a new service.
    pub page: Vec<String>,
    /// The same as warnings, for whoever reads no such page.
    pub warnings: Vec<String>,
}

/// What going on with an engine's open session came to.
pub enum GoneOn<'a> {
    /// There is none that can be gone on with.
    Nothing(Damaged),
    /// It is in hand here.
    Open(Box<OpenSession<'a>>),
    /// It can only be looked at.
    Watching(Box<Watch<'a>>),
}

/// Which of an engine's open sessions is to be gone on with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Which {
    /// The version, where it has several.
    pub version: Option<char>,
    /// In its file here, though the user knows that it goes on in another folder.
    pub here: bool,
}

/// How long the screens stand still for a disk before they say that it does not answer.
pub const SOON: Duration = Duration::from_secs(2);

/// A session with its journal, its engine and the service before it.
pub struct OpenSession<'a> {
    /// The session as it is on disk.
    pub session: Session,
    /// The service before it.
    pub previous: Option<Service>,
    /// What else is known beside it.
    pub beside: Beside,
    /// What the user should know though the work goes on, until it was told.
    warnings: Vec<String>,
    workshop: &'a Workshop,
    engine: Engine,
    writer: Writer,
    minder: Arc<Minder>,
    meanwhile: Meanwhile,
    /// It is less than was here last time, and nothing was answered since that was told.
    lost: bool,
}

impl<'a> OpenSession<'a> {
    /// Takes a session that was just started; where somebody else has begun one of this engine
    /// meanwhile, that is told.
    pub fn new(workshop: &'a Workshop, started: Started) -> Result<OpenSession<'a>, Fail> {
        let begun = begun_beside(workshop, &started);
        let mut desk = OpenSession::of(workshop, started)?;
        desk.note_seen();
        desk.warnings.extend(begun);
        if let Some(path) = desk.minder.lies_elsewhere() {
            desk.warnings.extend(kept_elsewhere(&desk.session, &desk.engine, &path));
            desk.note_begun_elsewhere(&path);
        }
        Ok(desk)
    }

    fn of(workshop: &'a Workshop, started: Started) -> Result<OpenSession<'a>, Fail> {
        let Started { engine, journal, session } = started;
        let no_thread = |error: std::io::Error| {
            Fail::work(format!("no thread for writing: {}", cause_words(&error)), "try again")
        };
        let writer = Writer::start(journal, &session.kept, crate::tui::wake).map_err(no_thread)?;
        let (watch, last) = (writer.watch().clone(), writer.last_hash());
        let minder = Arc::new(Minder::of(watch, workshop, session.clone(), last));
        let Before { previous, beside } = workshop.before(&engine, &session);
        let mut warnings: Vec<String> = writer.warning().map(String::from).into_iter().collect();
        let path = writer.watch().path();
        warnings.extend(little_room(path.parent().unwrap_or(workshop.root())));
        let meanwhile = Meanwhile::of(workshop, &engine);
        Ok(OpenSession {
            session,
            previous,
            beside,
            warnings,
            workshop,
            engine,
            writer,
            minder,
            meanwhile,
            lost: false,
        })
    }

    /// Notes of a session that begins in another folder what it is and where, so that the list tells it. Where
    /// nothing at all can be written here, only its mechanic knows.
    fn note_begun_elsewhere(&self, path: &Path) {
        let Some(last) = self.session.kept.last() else { return };
        let (folder, session) = (self.workshop.folder(), &self.session.head.session);
        let hash = self.writer.last_hash();
        let noted = seen::note(folder, session, last.seq, hash).and_then(|()| {
            seen::note_name(folder, session, &Named::of(self.name(), &self.engine, false))?;
            let last = Seen { seq: last.seq, hash: hash.to_owned() };
            seen::note_elsewhere(folder, session, (path, &last))
        });
        let _ = noted;
    }

    /// Notes how far the session was seen here. The memo is no truth: without it all goes on.
    fn note_seen(&self) {
        if self.lost || !self.writer.watch().unsaved().is_empty() {
            return;
        }
        let Some(last) = self.session.kept.last() else { return };
        let session = &self.session.head.session;
        // What is kept elsewhere was never here.
        if let Some(path) = self.minder.lies_elsewhere() {
            self.minder.note_went_on(&path);
            return;
        }
        let folder = self.workshop.folder();
        let _ = seen::note(folder, session, last.seq, self.writer.last_hash());
        let named = Named::of(self.name(), &self.engine, self.session.state.sealed.is_some());
        let _ = seen::note_name(folder, session, &named);
    }

    /// Says the code of the session's end, worked out from its file as it is on disk; else why there
    /// is none yet.
    pub fn seal_words(&self) -> Result<String, String> {
        if let Some(why) = self.wait(writer::PATIENCE).not_known() {
            return Err(format!("No seal code yet. {why}."));
        }
        let code = seal_code(self.workshop, &self.writer.watch().path());
        code.ok_or_else(|| "No seal code: the session's file cannot be read.".to_owned())
    }

    /// Returns the bare code, where the session's file as it is on disk has it.
    pub fn bare_seal_code(&self) -> Option<String> {
        self.workshop.read(&self.writer.watch().path()).ok()?.seal_code
    }

    /// Says the code of the session's end, beside any key, once that is on the disk.
    pub fn tell_seal_later(&self) {
        let (watch, workshop) = (self.writer.watch().clone(), self.workshop.clone());
        let tell = move || {
            while watch.await_all(writer::PATIENCE) == Some(false) {}
            if watch.await_all(Duration::ZERO) == Some(true)
                && let Some(words) = seal_code(&workshop, &watch.path())
            {
                workshop.notebook().tell(Note::done(words));
            }
        };
        // Without a thread it is still said where it was told to look.
        let _ = std::thread::Builder::new().name("seal".into()).spawn(tell);
    }

    /// Tells whether the bell may ring.
    pub fn bell_rings(&self) -> bool {
        Settings::load(self.workshop.folder()).0.rings()
    }

    /// Goes on with the newest open session of an engine, if there is one. A damaged one cannot be
    /// gone on with and does not bar the engine from service: it is told, with what it left open. One
    /// that goes on in another folder is only looked at until that was told: what is added here would
    /// make another version of it.
    pub fn go_on(
        workshop: &'a Workshop,
        engine: &Engine,
        which: Which,
        moment: (Moment, u64),
    ) -> Result<(GoneOn<'a>, Vec<String>), Fail> {
        let Found { things: open, mut notes } = workshop.open_sessions(engine, which.version)?;
        let mut found = None;
        let mut damaged = Damaged::default();
        for Glance { path, name, .. } in open {
            if found.is_some() {
                notes.push(format!("session {name} is open, too; it comes after this one"));
                continue;
            }
            let opened = workshop.read(&path)?;
            if opened.verdict.is_damage() && !opened.verdict.may_append() {
                let warnings = &mut damaged.warnings;
                warnings.push(format!("session {name} cannot be gone on with: {}", opened.verdict));
                let session = Session::replay(&opened.entries);
                let left = session.map_or(Vec::new(), |session| status::open_lines(&session));
                warnings
                    .extend(left.iter().map(|item| format!("session {name} left open: {item}")));
                let told = start::damaged(&name, &opened.verdict.to_string(), &left);
                let copy = verify::checked(workshop, &path)?.elsewhere;
                damaged.page.extend(with_the_copy(told, &name, copy));
                continue;
            }
            let file = (path.as_path(), &opened);
            let resumed = match OpenSession::only_looked_at(workshop, file, which)? {
                Some(why) => Err(why),
                None => OpenSession::resume(workshop, engine.clone(), &path, moment)?,
            };
            // Which one counts is told as it is once this one was gone on with.
            notes.extend(workshop.damaged_beside(engine, &path));
            found = Some(match resumed {
                Ok(open) => GoneOn::Open(Box::new(open)),
                Err(why) => {
                    let whose = (engine, which.version);
                    GoneOn::Watching(Box::new(Watch::new(workshop, whose, (&path, &opened), why)?))
                }
            });
        }
        match found {
            Some(found) => {
                notes.append(&mut damaged.warnings);
                notes.extend(workshop.gone_of(engine));
                Ok((found, notes))
            }
            None => {
                // Where they cannot be listed that is told elsewhere.
                let its = workshop.sessions_of(engine).map_or(Vec::new(), |found| found.things);
                damaged.page.extend(doubted_now(moment.0, &its));
                damaged.page.extend(workshop.gone_of(engine));
                damaged.page.extend(on_the_page(&workshop.unopened(engine)));
                Ok((GoneOn::Nothing(damaged), notes))
            }
        }
    }

    /// Tells whether nothing may be added to a session before the user says so; nobody else has it in
    /// hand.
    fn only_looked_at(
        workshop: &Workshop,
        (path, opened): (&Path, &Opened),
        which: Which,
    ) -> Result<Option<Why>, Fail> {
        let elsewhere = verify::checked(workshop, path)?.elsewhere;
        let untold = elsewhere.filter(|it| !it.gone_on_here && !which.here);
        let (Some(it), Some(head)) = (untold, opened.head()) else { return Ok(None) };
        let free = workshop.folder().holder(&head.session) == Holder::Nobody;
        Ok(free.then(|| Why::Elsewhere(Box::new(it))))
    }

    /// Goes on with a session: reads it, heals a cut-off end, and notes that the mechanic is back;
    /// else says why it can only be looked at.
    fn resume(
        workshop: &'a Workshop,
        engine: Engine,
        path: &Path,
        (at, run_ms): (Moment, u64),
    ) -> Result<Result<OpenSession<'a>, Why>, Fail> {
        let checked = verify::checked(workshop, path)?;
        let missed = verify::missed(&checked);
        let resumed = Journal::resume(workshop.folder(), path, &parse, at, run_ms);
        let (journal, mut opened) = match resumed {
            Ok(resumed) => resumed,
            Err(error) => return Ok(Err(Why::of(error)?)),
        };
        workshop.look_where_it_counts(&mut opened);
        let session = Session::replay(&opened.entries)
            .ok_or_else(|| Fail::work("the session has no beginning", "start a new one"))?;
        // The entry that set a cut-off end aside was written just now: it tells no time of the work.
        let work = |kept: &&Kept| !matches!(kept.entry, Entry::Recover(_));
        let last = session.kept.iter().rev().find(work).map_or(at, |kept| kept.at);
        let mut desk = OpenSession::of(workshop, Started { engine, journal, session })?;
        desk.lost = !missed.is_empty();
        desk.note_seen();
        desk.warnings.extend(missed);
        desk.warnings.extend(set_aside(&desk.name(), &opened.verdict));
        let away_min = u32::try_from((at.unix_ms - last.unix_ms) / 60_000).ok();
        let back = Back {
            after_min: away_min,
            restart: true,
            new_day: day(last) != day(at),
            clock_jumped: at.unix_ms < last.unix_ms,
            counter: None,
        };
        if desk.session.state.due() != Due::Closed {
            let mut entries: Vec<Entry> = to_look_for(&opened).into_iter().collect();
            entries.push(Entry::Back(back));
            entries.extend(workshop.open_elsewhere(&desk.engine, &desk.session));
            desk.write(&entries, (at, run_ms))?;
        }
        if checked.elsewhere.is_some() {
            let _ = seen::note_gone_on_here(workshop.folder(), &desk.session.head.session);
        }
        Ok(Ok(desk))
    }

    /// Returns the session's engine.
    pub fn engine(&self) -> &Engine {
        &self.engine
    }

    /// Returns the session's name.
    pub fn name(&self) -> String {
        self.session.state.begin.name.clone().unwrap_or_else(|| {
            let path = self.writer.watch().path();
            path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
        })
    }

    /// Writes entries down, then keeps them; tells what is to be told.
    pub fn keep(&mut self, world: &mut World<'_>, entries: &[Entry]) -> Result<(), Fail> {
        let moment = ((world.now)(), (world.run_ms)());
        if let Some(why) = self.not_signed(entries, moment)? {
            return Err(Fail::work(why, "answer what is asked now, then sign"));
        }
        self.write(entries, moment)?;
        // What is printed cannot be put right later: it waits for the disk.
        self.wait(writer::PATIENCE);
        self.workshop.notebook().wait(writer::PATIENCE);
        let told = self.workshop.notebook().take_told().into_iter().chain(self.minder.told());
        self.warnings.extend(told.map(|note| note.text));
        self.tell_warnings(world);
        Ok(())
    }

    /// Tells what the user should know though the work goes on.
    pub fn tell_warnings(&mut self, world: &mut World<'_>) {
        self.take_warnings().iter().for_each(|words| world.warn(words));
    }

    /// Takes what the user should know though the work goes on.
    pub fn take_warnings(&mut self) -> Vec<String> {
        std::mem::take(&mut self.warnings)
    }

    /// Hands entries to the journal, then keeps them. They are not on the disk yet: what looks after
    /// them tells how far that is. The end of a session waits until all before it is on the disk.
    ///
    /// # Errors
    /// An entry that cannot be kept, or an end while something is not saved; nothing has changed.
    pub fn write(&mut self, entries: &[Entry], (at, run_ms): (Moment, u64)) -> Result<(), Fail> {
        let ends = entries.iter().any(|entry| matches!(entry, Entry::Sign(_) | Entry::Seal(_)));
        if ends && let Some(why) = self.minder.wait_once_more(SOON).not_known() {
            let hint = "a session is closed only when everything before is saved";
            return Err(Fail::work(why, hint));
        }
        let of = (&self.engine, &self.session);
        let entries = &engine_hours::told_whoever_is_back(self.workshop, of, entries, at);
        let kept = self.writer.hand(entries, at, run_ms)?;
        // Who only opened it and left has not answered what he was told of it.
        self.lost &= entries.iter().all(|one| matches!(one, Entry::Back(_) | Entry::Away(_)));
        for one in &kept {
            self.session = self.session.clone().keep(one.clone());
        }
        self.minder.heard(&self.session, &kept, self.writer.last_hash());
        self.remember(entries);
        self.remember_leaves(entries);
        self.ask_of_the_counter((at, run_ms)).map(drop)
    }

    /// Asks who stays awake of hours told meanwhile as who comes back, before it can hurt; tells whether there
    /// were any.
    fn ask_of_the_counter(&mut self, moment: (Moment, u64)) -> Result<bool, Fail> {
        let of = (&self.engine, &self.session);
        let told = self.session.state.due().trusts_the_counter()
            && self.meanwhile.told_more(self.workshop, of, moment.0);
        if told {
            self.write(&[Entry::Back(Back::default())], moment)?;
        }
        Ok(told)
    }

    /// Says why entries are not to be written: a signature over hours that were told while it was asked for. What
    /// these bring up is asked now.
    ///
    /// # Errors
    /// What is asked instead cannot be kept.
    pub fn not_signed(
        &mut self,
        entries: &[Entry],
        moment: (Moment, u64),
    ) -> Result<Option<&'static str>, Fail> {
        let signs = entries.iter().any(|entry| matches!(entry, Entry::Sign(_)));
        Ok((signs && self.ask_of_the_counter(moment)?).then_some(counter::NOT_SIGNED))
    }

    /// Returns what looks after the entries on their way to the disk.
    pub fn minder(&self) -> Arc<Minder> {
        Arc::clone(&self.minder)
    }

    /// Says a text with the commands in it as they hold in this workshop.
    pub fn said_here(&self, text: &str) -> String {
        in_demo::words_of(self.workshop)(text)
    }

    /// Waits until what was handed over was tried, `most` at the longest.
    pub fn wait(&self, most: Duration) -> Saving {
        let saving = self.minder.wait(most);
        if saving == Saving::All {
            self.note_seen();
        }
        saving
    }

    /// Says what was kept just now, with last time's figure beside a reading.
    pub fn kept_words(&self, entries: &[Entry]) -> String {
        let last = |valve| last_left(self.previous.as_ref(), valve);
        status::kept_words(&self.session, entries, &last)
    }

    /// Finds another profile and makes the entries that replace the one in use.
    pub fn replace_profile(
        &mut self,
        name: &str,
        source: &str,
        why: String,
    ) -> Result<Vec<Entry>, String> {
        let profile: ProfileText = profiles::find(name, self.workshop.root())
            .map_err(|error| format!("{error}; {}", error.hint()))?;
        self.beside.profile_by_path = engine_profile::is_by_path(self.workshop, &profile);
        let source = source.to_string();
        self.session
            .decide(&Input::AmendProfile { profile: Box::new(profile), source, why })
            .map_err(|refusal| refused_words(&self.session, &refusal))
    }

    /// Says that the engine still has the profile that this service replaced.
    pub fn still_old_profile(&self) -> Option<String> {
        engine_profile::still_old(self.workshop, &self.engine, &self.session)
    }

    /// Returns what the session has come to so far.
    pub fn service(&self) -> Service {
        service_of(&self.engine, &self.session)
    }

    /// Compares this session with the one before, as text.
    pub fn comparison(&self) -> String {
        match &self.previous {
            Some(previous) => {
                let comparison = compare::compare(previous, &self.service());
                compare_sheet::compare_text(&comparison, crate::report::WIDTH)
            }
            None => {
                plain("This is the first service of this engine: there is nothing to compare with.")
            }
        }
    }
}

mod remembered;
#[cfg(test)]
mod tests;
