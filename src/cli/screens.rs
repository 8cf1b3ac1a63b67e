//! The full screen joined to the workshop: the list of engines, and what each effect does on disk.

mod current;
mod list;
mod looking_back;
mod looking_on;

use super::commands::add_engine;
use super::describing::{self, Describing};
use super::engine_hours;
use super::engine_profile;
use super::fail::Fail;
use super::in_demo;
use super::keeping::{AT_ONCE, saved_in};
use super::open_session::{GoneOn, OpenSession, SOON, Which};
use super::plain_session::ignored_at_the_start;
use super::profile_form;
use super::settings::{remember_look, unknown_values};
use super::versions::parted;
use super::watching::Watch;
use super::workshop::Workshop;
use super::world::World;
use crate::domain::entry::{Entry, Moment};
use crate::domain::plain::plain;
use crate::guide::kinds::Kind;
use crate::guide::start;
use crate::store::engines::{Counter, Engine};
use crate::store::sessions::Glance;
use crate::store::settings::Settings;
use crate::store::words::{cause_words, last_word};
use crate::tui::app::{App, Carried, Effect};
use crate::tui::bench::{Bench, Desk};
use crate::tui::doing::Doing;
use crate::tui::job::Request;
use crate::tui::keeping::{Keeping, Saving};
use crate::tui::look::Seen;
use crate::tui::profile_desk::Done;
use crate::tui::theme::{Colours, ThemeName};
use crate::tui::widgets::digits::Ink;
use crate::tui::{self, Ended, signals, terminal};
use current::Current;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

const PLAIN: &str =
    "use `cowlside session ENGINE --plain`: the same session as plain questions, line by line";

/// Shows the screens until the mechanic leaves; with an engine, at its session at once.
pub fn run(
    world: &mut World<'_>,
    workshop: &Workshop,
    engine: Option<&Engine>,
) -> Result<u8, Fail> {
    terminal::usable().map_err(|no| Fail::usage(no.to_string(), PLAIN))?;
    let (settings, damaged) = Settings::load(workshop.folder());
    let theme = settings.theme.as_deref().and_then(ThemeName::from_word).unwrap_or_default();
    let no_color = (world.variable)("NO_COLOR").map(|value| value.to_string_lossy().into_owned());
    let run_ms = Arc::new(AtomicU64::new((world.run_ms)()));
    let minder = Arc::new(Current::of(workshop.notebook()));
    let mut shell = Shell {
        workshop,
        rows: Vec::new(),
        kinds: Vec::new(),
        services: None,
        desk: None,
        watch: None,
        describing: Describing::default(),
        // Where nothing can be written there is still much to look at.
        notes: [workshop.told_first(damaged.as_ref()), unknown_values(&settings, workshop)]
            .concat(),
        current: Arc::clone(&minder),
        run_ms: Arc::clone(&run_ms),
    };
    let at = (world.now)();
    let (shop, later) = match engine {
        Some(_) => (shell.shop(at)?, false),
        None => shell.shop_to_begin_with(at)?,
    };
    let colours = Colours::from_no_color(no_color.as_deref());
    let ink = if settings.ascii || world.ascii { Ink::Hash } else { Ink::Blocks };
    let mut app = App::new(shop, None, theme, colours, ink);
    app.bell = settings.rings();
    app.seen = settings.seen_from.as_deref().and_then(Seen::from_word).unwrap_or_default();
    if let Some(words) = shell.warnings() {
        app = app.refused(words);
    }
    signals::leave_ignored(ignored_at_the_start());
    let mut not_begun = None;
    let begun_with = match engine {
        Some(engine) => Some(Effect::OpenEngine(engine.id.clone())),
        None => later.then_some(Effect::Shop),
    };
    let clock = || {
        run_ms.store((world.run_ms)(), Ordering::Relaxed);
        (world.now)()
    };
    let here = in_demo::words_of(workshop);
    let ended = tui::run((app, begun_with), minder.clone(), clock, |effect, at| {
        minder.begin(effect.doing());
        let carried = shell.carry_out(effect, at).map_err(|fail| {
            let words = here(&fail.words());
            not_begun = Some(fail);
            words
        });
        minder.end(match &carried {
            Err(why) | Ok(Carried::Written(Done::Refused(why))) => Some(why),
            Ok(_) => None,
        });
        let carried = carried?;
        Ok(match shell.warnings() {
            Some(words) => Carried::Told(Box::new(carried), words),
            None => carried,
        })
    })
    .map_err(|error| terminal_failed(&error));
    // Where the terminal is gone there is nobody to say it to.
    let lost = minder.last_words(&mut |line| drop(writeln!(world.err, "{line}")));
    lost.iter().for_each(|line| drop(writeln!(world.err, "{line}")));
    Ok(match ended? {
        Ended::Left => signals::ended_by().unwrap_or(u8::from(!lost.is_empty())),
        Ended::TerminalGone => 129,
        Ended::NotBegun => return Err(not_begun.unwrap_or_else(|| Fail::work("", PLAIN))),
    })
}

fn terminal_failed(error: &std::io::Error) -> Fail {
    Fail::work(format!("the terminal: {}", cause_words(error)), PLAIN)
}

/// What the effects work on.
struct Shell<'a> {
    workshop: &'a Workshop,
    rows: Vec<Engine>,
    /// The kinds as they were listed last.
    kinds: Vec<Kind>,
    /// The services of an engine as they were listed last.
    services: Option<(Engine, Vec<Glance>)>,
    desk: Option<OpenSession<'a>>,
    /// A session that is only looked at; then there is none on the desk.
    watch: Option<Watch<'a>>,
    /// The form of a profile on its way.
    describing: Describing,
    /// What is to be told beside the next effect.
    notes: Vec<String>,
    current: Arc<Current>,
    /// The time since this run of the program began, as it was read with the clock.
    run_ms: Arc<AtomicU64>,
}

impl<'a> Shell<'a> {
    fn carry_out(&mut self, effect: &Effect, at: Moment) -> Result<Carried<Bench>, Fail> {
        // What is written beside the entries takes the same locks as what is on its way there.
        if matches!(effect.doing(), Doing::Opening | Doing::Saving(_)) {
            self.workshop.notebook().wait(Duration::MAX);
        }
        match effect {
            Effect::Keep(entries) => self.keep(entries, at),
            Effect::Open(row) => self.open_row(*row, at),
            Effect::OpenEngine(id) => self.open(&self.workshop.engine(id)?, at),
            Effect::Compare => Ok(Carried::Table(self.compare()?)),
            Effect::History => Ok(Carried::Past(self.past()?)),
            Effect::HistoryAt(row) => Ok(Carried::Past(self.past_at(*row)?)),
            Effect::CompareAt(row) => Ok(Carried::Table(self.compare_at(*row)?)),
            Effect::RecordsAt(row) => Ok(Carried::Records(self.records_at(*row)?)),
            Effect::Record(row) => Ok(Carried::Record(self.record_of(*row)?)),
            Effect::HoursAt(row) => self.hours_at(*row, at),
            Effect::Kinds => Ok(self.kinds()),
            Effect::Kind(row) => match self.kinds.get(*row) {
                Some(kind) => Ok(Carried::Session(Box::new(new_engine(kind)))),
                None => self.describe(None),
            },
            Effect::ProfileAt(row) => {
                let Some(engine) = self.rows.get(*row).cloned() else {
                    return Err(Fail::work("a new engine has no profile yet", "choose its kind"));
                };
                self.describe(Some(&engine))
            }
            Effect::WriteProfile { document, name, replace } => Ok(Carried::Written(
                self.describing.write(self.workshop, document, (name, *replace)),
            )),
            Effect::Described(written) => self.described(written.as_deref(), at),
            Effect::LookOn => self.look_on(),
            Effect::TakeOver => self.take_over(at),
            Effect::Shop => {
                self.all_saved()?;
                // The session stays in hand where the engines cannot be read.
                let shop = self.shop(at)?;
                self.tell_where_it_lies();
                self.current.take(None);
                (self.desk, self.watch) = (None, None);
                Ok(Carried::Shop(shop))
            }
            Effect::Do(request) => self.request(request, at),
            Effect::SaveTo(folder) => self.save_to(folder),
            Effect::Look(look) => {
                let look = *look;
                self.remember(move |settings| remember_look(settings, look));
                Ok(Carried::Done)
            }
            Effect::Bell(bell) => {
                let bell = *bell;
                self.remember(move |settings| settings.ring(bell));
                Ok(Carried::Done)
            }
            Effect::Quit => Ok(Carried::Done),
        }
    }

    /// Takes what the mechanic should know though the work goes on; `None` where nothing is.
    fn warnings(&mut self) -> Option<String> {
        let mut notes = std::mem::take(&mut self.notes);
        notes.extend(self.desk.as_mut().into_iter().flat_map(OpenSession::take_warnings));
        (!notes.is_empty()).then(|| in_demo::words_of(self.workshop)(&plain(&notes.join("; "))))
    }

    /// Remembers a setting: no key waits for it longer than is felt.
    fn remember(&self, change: impl FnOnce(&mut Settings) + Send + 'static) {
        let (folder, notebook) = (self.workshop.folder().clone(), self.workshop.notebook());
        notebook.put(move || match Settings::update(&folder, change) {
            Ok((_, told)) => told,
            Err(error) => Some(format!("not remembered: {error}")),
        });
        notebook.wait(AT_ONCE);
    }

    fn keep(&mut self, entries: &[Entry], at: Moment) -> Result<Carried<Bench>, Fail> {
        let run_ms = self.run_ms.load(Ordering::Relaxed);
        let Some(desk) = &mut self.desk else {
            return Err(Fail::work("no session is open", "choose an engine"));
        };
        if let Some(why) = desk.not_signed(entries, (at, run_ms))? {
            return Ok(Carried::Instead(Box::new(bench_of(desk)), why.into()));
        }
        desk.write(entries, (at, run_ms))?;
        if desk.wait(AT_ONCE) == Saving::All {
            self.workshop.notebook().wait(AT_ONCE);
        }
        if !entries.iter().any(|entry| matches!(entry, Entry::Seal(_))) {
            // Whoever is back is told more than the key knew.
            let as_said = desk.session.kept.last().map(|kept| &kept.entry) == entries.last();
            let kept = || Carried::Kept(Box::new(bench_of(desk)));
            return Ok(if as_said { Carried::Done } else { kept() });
        }
        let sealed = desk.seal_words();
        desk.beside.seal_code = sealed.as_ref().ok().and_then(|_| desk.bare_seal_code());
        let closed = bench_of(desk);
        // Where it is known it stands large on the closed session, to be written down from there.
        let code = sealed.unwrap_or_else(|why| {
            desk.tell_seal_later();
            format!(
                "{why} It comes here by itself; later: cowlside verify {}",
                last_word(&desk.name())
            )
        });
        let code = Some(code).filter(|_| desk.beside.seal_code.is_none());
        let told = code.into_iter().chain(desk.still_old_profile());
        // What is left open at the engine comes first, and is not hidden by a page of figures that nobody
        // read. What cannot be compared is no fault of what was just kept.
        let state = &desk.session.state;
        let first = !state.open_items().is_empty() || state.readings.is_empty();
        let told: Vec<String> = told.collect();
        Ok(match self.compare() {
            Ok(mut table) if !first => {
                table.lines.splice(0..0, told);
                Carried::Closed(Box::new(closed), table)
            }
            Ok(_) | Err(_) if told.is_empty() => Carried::Session(Box::new(closed)),
            Ok(_) | Err(_) => {
                let words = in_demo::words_of(self.workshop)(&told.join(" "));
                Carried::Told(Box::new(Carried::Session(Box::new(closed))), words)
            }
        })
    }

    /// Waits until all of the session is on the disk: only then is it put away.
    fn all_saved(&self) -> Result<(), Fail> {
        // What is remembered is read again with the next session.
        let waited = self.desk.as_ref().map(|desk| desk.minder().wait_for_all(SOON));
        if let Some(alert) = waited.as_ref().and_then(Saving::not_known) {
            let hint = match waited {
                Some(Saving::Not { .. }) => {
                    "stay, or Ctrl-C and 4: save the session to another folder"
                }
                Some(Saving::All | Saving::Busy(_) | Saving::Beside) | None => {
                    "stay until it is saved, or leave"
                }
            };
            return Err(Fail::work(alert, hint));
        }
        Ok(())
    }

    /// Says of the session in hand where it lies, where nothing of that can be noted here.
    fn tell_where_it_lies(&mut self) {
        let path = self.desk.as_ref().and_then(|desk| desk.minder().lies_elsewhere());
        let path = path.filter(|_| self.workshop.is_only_read());
        self.notes.extend(path.map(|path| saved_in(&path)));
    }

    fn save_to(&mut self, folder: &str) -> Result<Carried<Bench>, Fail> {
        let Some(desk) = &self.desk else {
            return Err(Fail::work("no session is open", "choose an engine"));
        };
        let saved = desk.minder().elsewhere(Path::new(folder));
        let path = saved.map_err(|why| Fail::work(format!("not saved there: {why}"), ""))?;
        let words = desk.said_here(&saved_in(&path));
        Ok(Carried::Told(Box::new(Carried::Session(Box::new(bench_of(desk)))), words))
    }

    /// Asks for the running hours of an engine.
    fn hours_at(&self, row: usize, at: Moment) -> Result<Carried<Bench>, Fail> {
        let Some(engine) = self.rows.get(row) else {
            return Err(Fail::work("a new engine has no hours yet", "choose one that is here"));
        };
        // As it stands on disk now: another program may have told them since.
        let engine = self.workshop.engine(&engine.id)?;
        let last = engine_hours::last(&engine, at);
        Ok(on_bench(Desk::Hours { id: engine.id, engine: engine.name, last }))
    }

    fn describe(&mut self, engine: Option<&Engine>) -> Result<Carried<Bench>, Fail> {
        let (desk, describing) = Describing::begin(self.workshop, engine)?;
        self.describing = describing;
        Ok(Carried::Describe(Box::new(desk)))
    }

    /// Goes on after the form: with the new kind chosen, or with the engines as they are now.
    fn described(&mut self, written: Option<&str>, at: Moment) -> Result<Carried<Bench>, Fail> {
        let Some(place) = written else {
            return Ok(Carried::Said(Box::new(Carried::Done), "nothing was written".into()));
        };
        let name = profile_form::name_of(place);
        if let Some(words) = self.describing.given_to_its_engine(self.workshop, &name)? {
            return Ok(Carried::Said(Box::new(Carried::Shop(self.shop(at)?)), words));
        }
        let kinds = self.kinds();
        let words = format!("written: {}; now the engine that has it", plain(place));
        let then = match self.kinds.iter().find(|kind| kind.profile == name) {
            Some(kind) => Carried::Session(Box::new(new_engine(kind))),
            None => kinds,
        };
        Ok(Carried::Said(Box::new(then), words))
    }

    fn open_row(&mut self, row: usize, at: Moment) -> Result<Carried<Bench>, Fail> {
        let Some(engine) = self.rows.get(row).cloned() else { return Ok(self.kinds()) };
        self.open(&engine, at)
    }

    /// Lists the kinds that a new engine can be.
    fn kinds(&mut self) -> Carried<Bench> {
        let (kinds, table) = describing::kinds(self.workshop);
        self.kinds = kinds;
        Carried::Kinds(table)
    }

    /// Goes on with an engine's open session, or asks what begins a new one.
    fn open(&mut self, engine: &Engine, at: Moment) -> Result<Carried<Bench>, Fail> {
        let forks = self.workshop.forks(engine)?;
        if let Some(first) = forks.first() {
            let (id, engine) = (engine.id.clone(), engine.name.clone());
            let common = parted(&forks);
            let versions =
                forks.iter().filter_map(|fork| self.workshop.version_words(fork)).collect();
            let name = first.name.clone();
            return Ok(on_bench(Desk::Versions { id, engine, name, common, versions }));
        }
        self.go_on(engine, Which::default(), at)
    }

    fn go_on(&mut self, engine: &Engine, which: Which, at: Moment) -> Result<Carried<Bench>, Fail> {
        let moment = (at, self.run_ms.load(Ordering::Relaxed));
        let (gone_on, notes) = OpenSession::go_on(self.workshop, engine, which, moment)?;
        self.notes.extend(notes);
        Ok(match gone_on {
            GoneOn::Nothing(damaged) => {
                let last = Some(engine_hours::last(engine, at));
                let asks_folder = self.workshop.is_only_read();
                let told = asks_folder.then(|| start::ONLY_READ.to_owned());
                let damaged = damaged.page.into_iter().chain(told).collect();
                let profile = self.workshop.profile(engine).ok().map(|read| read.profile);
                let (id, engine) = (engine.id.clone(), engine.name.clone());
                on_bench(Desk::Beginning { id, engine, damaged, last, asks_folder, profile })
            }
            GoneOn::Open(desk) => Carried::Session(Box::new(self.put_on_bench(*desk))),
            GoneOn::Watching(watch) => self.watching(*watch),
        })
    }

    fn request(&mut self, request: &Request, at: Moment) -> Result<Carried<Bench>, Fail> {
        let moment = (at, self.run_ms.load(Ordering::Relaxed));
        let bench = match request {
            Request::NewEngine(new) => {
                let names = (new.name.as_str(), new.serial.as_str(), new.profile.as_str());
                let added = add_engine(self.workshop, names, new.hours, at)?;
                self.notes.extend(added.told);
                if added.again {
                    // It may have a session that is open.
                    return self.open(&added.engine, at);
                }
                let begin = (new.begin.clone(), None);
                let started = self.workshop.start(&added.engine, begin, moment)?;
                let desk = OpenSession::new(self.workshop, started)?;
                self.put_on_bench(desk)
            }
            Request::Begin { id, begin, folder } => {
                let engine = self.workshop.engine(id)?;
                let begin = ((**begin).clone(), folder.as_deref());
                let started = self.workshop.start(&engine, begin, moment)?;
                let desk = OpenSession::new(self.workshop, started)?;
                self.put_on_bench(desk)
            }
            Request::GoOn { id, version } => {
                let engine = self.workshop.engine(id)?;
                let which = Which { version: Some(*version), here: false };
                return self.go_on(&engine, which, at);
            }
            Request::TellHours { id, hours, replaced } => {
                let engine = self.workshop.engine(id)?;
                let counter = if *replaced { Counter::Replaced } else { Counter::Same };
                if *replaced || engine.counter() != *hours {
                    self.workshop.told_hours(&engine, *hours, counter, at)?;
                }
                self.notes.extend(engine_hours::told_over(self.workshop, &engine, at));
                return Ok(Carried::Shop(self.shop(at)?));
            }
            Request::GiveProfile { id, name } => {
                let words = engine_profile::give(self.workshop, id, name)?;
                return Ok(Carried::Said(Box::new(Carried::Shop(self.shop(at)?)), words));
            }
            Request::ReplaceProfile { name, source, why } => {
                let Some(desk) = &mut self.desk else {
                    return Err(Fail::work("no session is open", "choose an engine"));
                };
                let entries = desk
                    .replace_profile(name, source, why.clone())
                    .map_err(|words| Fail::work(words, ""))?;
                desk.write(&entries, moment)?;
                bench_of(desk)
            }
        };
        Ok(Carried::Session(Box::new(bench)))
    }

    fn put_on_bench(&mut self, desk: OpenSession<'a>) -> Bench {
        let bench = bench_of(&desk);
        self.current.take(Some(desk.minder()));
        self.desk = Some(desk);
        bench
    }
}

/// Puts something other than a session on the bench.
fn on_bench(desk: Desk) -> Carried<Bench> {
    Carried::Session(Box::new(Bench::new(desk, Ink::default())))
}

fn new_engine(kind: &Kind) -> Bench {
    Bench::new(Desk::NewEngine(kind.clone()), Ink::default())
}

fn bench_of(desk: &OpenSession<'_>) -> Bench {
    let session = Arc::new(desk.session.clone());
    let previous = desk.previous.clone().map(Arc::new);
    let beside = Arc::new(desk.beside.clone());
    Bench::new(Desk::Session { session, previous, beside }, Ink::default())
}
