//! The engines of a workshop: one small file each, replaced whole.
//!
//! A counter only runs forward. Where it was replaced, the figure that it had reached becomes an
//! offset, and the hours that the engine has run are the sum.

mod names;
mod newer;
mod told;

pub use names::{find_in, of_id};
pub use told::{CORRECTED, REPLACED_CORRECTED};

use super::StoreError;
use super::codec::safe;
use super::codec::shared::{HoursWire, source_option};
use super::folder::{Folder, read_text, replace_whole};
use super::hash::{is_id, new_id};
use super::pick::{Called, pick};
use super::replace::{is_of_the_file, replace_aside};
use super::words::{other_format, unread};
use crate::domain::entry::Hours;
use crate::domain::limits::{has_piles, past_a_name};
use crate::domain::plain::plain;
use crate::domain::profile::Source;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// The format of an engine's file.
const FORMAT: u32 = 1;

/// Most bytes of an engine's file.
pub(super) const FILE_MAX: u64 = 1024 * 1024;

/// Why a figure may be lower than the one before.
pub const COUNTER_REPLACED: &str = "counter replaced";

/// One engine.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Engine {
    format: u32,
    /// Its identity: 26 base-32 characters.
    pub id: String,
    /// Its name, unique in the workshop whatever the capitals.
    pub name: String,
    /// Its serial number.
    pub serial: String,
    /// The name of its profile.
    pub profile: String,
    /// What its counter showed, oldest first.
    pub hours: Vec<HoursTold>,
    /// Where its figures come from, as said at the last service.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "source_option")]
    pub source: Option<Source>,
    /// Who worked on it last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worker: Option<String>,
    /// Its file holds a list of values instead of an object.
    #[serde(skip)]
    is_list: bool,
}

/// What an engine's counter showed one day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoursTold {
    /// The day, as YYYY-MM-DD.
    pub date: String,
    /// The figure, in hundredths of an hour.
    #[serde(with = "HoursWire")]
    pub hours: Hours,
    /// [`COUNTER_REPLACED`], [`CORRECTED`], [`REPLACED_CORRECTED`], or empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
    /// What earlier counters had reached together; to be added to `hours`.
    #[serde(default = "no_hours", skip_serializing_if = "is_no_hours", with = "HoursWire")]
    pub offset: Hours,
}

fn no_hours() -> Hours {
    Hours(0)
}

fn is_no_hours(hours: &Hours) -> bool {
    *hours == no_hours()
}

/// Whether the counter is still the one that the last figure was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counter {
    /// It is.
    Same,
    /// A new one was fitted; it began at 0.
    Replaced,
}

impl Engine {
    /// Makes an engine with its first figure; `unix_ms` goes into its identity.
    ///
    /// # Errors
    /// The name cannot be one.
    pub fn new(
        name: &str,
        serial: &str,
        profile: &str,
        first: (&str, Hours),
        unix_ms: i64,
    ) -> Result<Engine, StoreError> {
        check_name(name)?;
        if plain(serial) != serial {
            let must = "hold nothing but letters, digits and signs that can be seen";
            return Err(StoreError::BadSerial { serial: serial.to_owned(), must });
        }
        let (date, hours) = (first.0.to_owned(), first.1);
        Ok(Engine {
            format: FORMAT,
            id: new_id(unix_ms),
            name: name.to_owned(),
            serial: serial.to_owned(),
            profile: profile.to_owned(),
            hours: vec![HoursTold { date, hours, why: String::new(), offset: no_hours() }],
            source: None,
            worker: None,
            is_list: false,
        })
    }

    /// Takes in what the counter shows on a day.
    ///
    /// # Errors
    /// Fewer hours than before on the same counter.
    pub fn tell_hours(
        &mut self,
        date: &str,
        hours: Hours,
        counter: Counter,
    ) -> Result<(), StoreError> {
        let last = self.hours.last();
        let told = last.map_or(hours, |last| last.hours);
        let (why, offset) = match counter {
            Counter::Same if hours < told => {
                return Err(StoreError::FewerHours { told: hours, last: told });
            }
            Counter::Same => (String::new(), last.map_or(Hours(0), |last| last.offset)),
            Counter::Replaced => (COUNTER_REPLACED.to_owned(), self.hours_run()),
        };
        self.hours.push(HoursTold { date: date.to_owned(), hours, why, offset });
        Ok(())
    }

    /// Tells whether a copy of another day tells nothing that this engine's own file does not.
    fn says_no_more_than(&self, own: &Engine) -> bool {
        let called = |one: &Engine| (one.name.clone(), one.serial.clone(), one.profile.clone());
        called(self) == called(own) && self.hours.iter().all(|told| own.hours.contains(told))
    }

    /// Returns what the counter showed last.
    pub fn counter(&self) -> Hours {
        self.hours.last().map_or(Hours(0), |last| last.hours)
    }

    /// Returns the hours that the engine has run, over all its counters.
    pub fn hours_run(&self) -> Hours {
        self.hours.last().map_or(Hours(0), HoursTold::run)
    }
}

impl HoursTold {
    /// Returns the hours that the engine had run by then, over all its counters.
    pub fn run(&self) -> Hours {
        Hours(self.hours.0.saturating_add(self.offset.0))
    }
}

/// All engines that can be read, by name, and what is wrong with the other files.
#[derive(Debug, Default)]
pub struct Listing {
    /// The sound ones.
    pub engines: Vec<Engine>,
    /// The others; their files are left as they are.
    pub broken: Vec<StoreError>,
    /// Copies of the sound ones that say no more than those.
    pub copies: Vec<StoreError>,
}

impl Listing {
    /// Returns why the file of this identity is left to a newer program, where that is so.
    pub fn newer(&self, id: &str) -> Option<&StoreError> {
        self.broken.iter().find(|broken| match broken {
            StoreError::Newer { path, .. } => path.file_stem().is_some_and(|stem| stem == id),
            _ => false,
        })
    }
}

/// Lists the engines in the data folder.
///
/// # Errors
/// The folder cannot be read.
pub fn list(folder: &Folder) -> Result<Listing, StoreError> {
    let mut listing = Listing::default();
    for path in files_in(&folder.engines(), "json")? {
        listing.take(read(&path));
    }
    listing.sort();
    Ok(listing)
}

impl Listing {
    fn take(&mut self, read: Result<Engine, StoreError>) {
        match read {
            Ok(engine) => self.engines.push(engine),
            Err(copy @ StoreError::EngineCopy { more: false, .. }) => self.copies.push(copy),
            Err(error) => self.broken.push(error),
        }
    }

    fn sort(&mut self) {
        self.engines.sort_by_cached_key(|engine| (engine.name.to_lowercase(), engine.id.clone()));
    }
}

/// Finds an engine by its name, its id, or the beginning of either.
///
/// # Errors
/// None or several are called that.
pub fn find<'a>(engines: &'a [Engine], text: &str) -> Result<&'a Engine, StoreError> {
    let called = |engine: &'a Engine| Called {
        thing: engine,
        name: &engine.name,
        id: &engine.id,
        shown: engine.name.clone(),
        day: String::new(),
    };
    pick("engine", text, 1, &engines.iter().map(called).collect::<Vec<_>>())
}

/// Keeps a new engine. What stands in its file's place and cannot be read as an engine is set aside
/// first, and where that is now is returned.
///
/// # Errors
/// Its name or its file's is taken, a newer program wrote that file, or it cannot be set aside or
/// written; it is as it was then, or [`StoreError::Kept`] names where it is.
pub fn add(folder: &Folder, engine: &Engine) -> Result<Option<PathBuf>, StoreError> {
    let _lock = folder.lock_to_write(&[folder.engines()])?;
    let name = engine.name.to_lowercase();
    let listing = list(folder)?;
    if let Some(taken) = listing.taken_by_newer(&name) {
        return Err(taken);
    }
    let known = listing.engines;
    if let Some(taken) = known.into_iter().find(|known| known.name.to_lowercase() == name) {
        return Err(StoreError::NameTaken { name: taken.name });
    }
    let (path, bytes) = file_of(folder, engine)?;
    match read(&path) {
        Err(StoreError::Io { cause, .. }) if cause.kind() == std::io::ErrorKind::NotFound => {
            replace_whole(&path, &bytes).map(|()| None)
        }
        Err(fault) if is_of_the_file(&fault) => replace_aside(&path, &bytes).map(Some),
        Err(fault) => Err(fault),
        Ok(_) => {
            let taken = std::io::ErrorKind::AlreadyExists.into();
            Err(StoreError::io("make", &path)(taken))
        }
    }
}

/// Changes the engine of this id as it stands on disk now, and returns it as changed. A file that
/// cannot be read is left as it is: nothing is known that could be written in its place.
///
/// # Errors
/// What `change` refuses; no such engine; a file that cannot be read or written.
pub fn update(
    folder: &Folder,
    id: &str,
    change: impl FnOnce(&mut Engine) -> Result<(), StoreError>,
) -> Result<Engine, StoreError> {
    let _lock = folder.lock_to_write(&[folder.engines()])?;
    let mut engine = read(&path_of(folder, id)?)?;
    change(&mut engine)?;
    write(folder, &engine)?;
    Ok(engine)
}

/// Lists the files of one kind in a folder, by name; a folder that is not there holds none.
pub(super) fn files_in(folder: &Path, extension: &str) -> Result<Vec<PathBuf>, StoreError> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(StoreError::io("list", folder)(error)),
    };
    let mut paths = Vec::new();
    for entry in entries {
        let path = entry.map_err(StoreError::io("list", folder))?.path();
        if path.extension().is_some_and(|found| found == extension) {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

fn path_of(folder: &Folder, id: &str) -> Result<PathBuf, StoreError> {
    if is_id(id) {
        Ok(folder.engines().join(format!("{id}.json")))
    } else {
        Err(StoreError::NoIdentity { text: id.to_owned() })
    }
}

fn read(path: &Path) -> Result<Engine, StoreError> {
    parse(&read_text(path, FILE_MAX)?, path)
}

/// Reads what stands in an engine's file.
///
/// # Errors
/// It is damaged, or a newer program wrote it.
pub(super) fn parse(text: &str, path: &Path) -> Result<Engine, StoreError> {
    let damaged = |why: String| StoreError::DamagedFile { path: path.to_owned(), why };
    let mut engine: Engine =
        serde_json::from_str(text).map_err(|error| unread(&error, text, path, FORMAT))?;
    engine.is_list = text.trim_ascii_start().starts_with('[');
    if engine.format != FORMAT {
        return Err(other_format(text, path, FORMAT));
    }
    let stem = path.file_stem().and_then(|stem| stem.to_str());
    let own = path.with_file_name(format!("{}.json", engine.id));
    if is_id(&engine.id) && stem != Some(&engine.id) && own.is_file() {
        let more = !read(&own).is_ok_and(|own| engine.says_no_more_than(&own));
        return Err(StoreError::EngineCopy { path: path.to_owned(), engine: engine.name, more });
    }
    if !is_id(&engine.id) || stem != Some(&engine.id) {
        return Err(damaged("id must be the file's name".to_owned()));
    }
    check_name(&engine.name).map_err(|error| damaged(error.to_string()))?;
    let sane = |told: &HoursTold| told.hours.0 >= 0 && told.offset.0 >= 0;
    if !engine.hours.iter().all(sane) {
        return Err(damaged("hours must not be below 0".to_owned()));
    }
    Ok(engine)
}

fn write(folder: &Folder, engine: &Engine) -> Result<(), StoreError> {
    let (path, bytes) = file_of(folder, engine)?;
    replace_whole(&path, &bytes)
}

/// Returns where an engine's file lies, and what stands in it.
///
/// # Errors
/// An engine that cannot be kept.
pub fn file_of(folder: &Folder, engine: &Engine) -> Result<(PathBuf, Vec<u8>), StoreError> {
    let path = path_of(folder, &engine.id)?;
    let text = safe::json(|to| engine.serialize(to))
        .map_err(|error| StoreError::Unkeepable { kind: "engine", why: error.to_string() })?;
    Ok((path, format!("{text}\n").into_bytes()))
}

fn check_name(name: &str) -> Result<(), StoreError> {
    let must = if name.trim() != name || name.is_empty() {
        "neither be empty nor begin or end with a blank"
    } else if has_piles(name) {
        "have no letter with more than 7 marks"
    } else if plain(name) != name {
        "hold nothing but letters, digits and signs that can be seen"
    } else if past_a_name(name).is_some() {
        "be at most 80 letters long"
    } else {
        return Ok(());
    };
    Err(StoreError::BadName { name: name.to_owned(), must })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> (tempfile::TempDir, Folder) {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        (inside, folder)
    }

    fn engine(name: &str) -> Engine {
        Engine::new(name, "T-17", "flat-four", ("2026-03-14", Hours(41_260)), 0).unwrap()
    }

    #[test]
    fn an_engine_is_kept_and_found_again_by_name_id_or_beginning() {
        let (_inside, folder) = folder();
        assert!(list(&folder).unwrap().engines.is_empty());
        let trainer = engine("Blue trainer");
        add(&folder, &trainer).unwrap();
        add(&folder, &engine("Glider tug")).unwrap();
        let engines = list(&folder).unwrap().engines;
        for text in ["Blue trainer", "BLUE TRAINER", "blue", &trainer.id] {
            assert_eq!(find(&engines, text).unwrap(), &trainer, "{text}");
        }
        let none = find(&engines, "green").unwrap_err();
        assert_eq!(none.hint(), "there are: Blue trainer, Glider tug");
    }

    #[test]
    fn the_file_is_spelled_as_the_contract_says() {
        let (_inside, folder) = folder();
        let source = Source { document: "manual".into(), revision: "4".into(), page: "12".into() };
        let id = "0123456789abcdefghjkmnpqrs".to_owned();
        add(&folder, &Engine { id, source: Some(source), ..engine("Blue trainer") }).unwrap();
        let path = folder.engines().join("0123456789abcdefghjkmnpqrs.json");
        let expected = concat!(
            "{\"format\":1,\"id\":\"0123456789abcdefghjkmnpqrs\",\"name\":\"Blue trainer\",",
            "\"serial\":\"T-17\",\"profile\":\"flat-four\",",
            "\"hours\":[{\"date\":\"2026-03-14\",\"hours\":41260}],",
            "\"source\":{\"document\":\"manual\",\"revision\":\"4\",\"page\":\"12\"}}\n"
        );
        assert_eq!(read_text(&path, FILE_MAX).unwrap(), expected);
    }

    #[test]
    fn names_are_unique_whatever_the_capitals() {
        let (_inside, folder) = folder();
        add(&folder, &engine("Öltest")).unwrap();
        let taken = add(&folder, &engine("öLTEST")).unwrap_err();
        assert_eq!(taken.to_string(), "there is an engine called \"Öltest\" already");
    }

    #[test]
    fn a_name_must_be_seen_and_short() {
        let long = "a".repeat(81);
        for name in ["", " a", "a\n", "a\u{202e}b", &long] {
            let made = Engine::new(name, "", "flat-four", ("2026-03-14", Hours(0)), 0);
            assert!(matches!(made, Err(StoreError::BadName { .. })), "{name:?}");
        }
    }

    #[test]
    fn a_lower_figure_needs_a_replaced_counter_and_the_engine_runs_on_the_sum() {
        let mut engine = engine("Blue trainer");
        engine.tell_hours("2026-04-01", Hours(43_710), Counter::Same).unwrap();
        assert_eq!((engine.counter(), engine.hours_run()), (Hours(43_710), Hours(43_710)));
        let refused = engine.tell_hours("2026-05-01", Hours(500), Counter::Same).unwrap_err();
        assert_eq!(refused.to_string(), "5.0 h are fewer than the 437.1 h told before");
        engine.tell_hours("2026-05-01", Hours(500), Counter::Replaced).unwrap();
        engine.tell_hours("2026-06-01", Hours(1_500), Counter::Same).unwrap();
        assert_eq!((engine.counter(), engine.hours_run()), (Hours(1_500), Hours(45_210)));
        engine.tell_hours("2026-07-01", Hours(0), Counter::Replaced).unwrap();
        assert_eq!(engine.hours_run(), Hours(45_210));
        assert_eq!(engine.hours[2].why, COUNTER_REPLACED);
    }

    #[test]
    fn an_update_works_on_what_is_on_disk_and_a_refused_one_changes_nothing() {
        let (_inside, folder) = folder();
        let trainer = engine("Blue trainer");
        add(&folder, &trainer).unwrap();
        let tell = |hours: i64| {
            update(&folder, &trainer.id, |engine| {
                engine.tell_hours("2026-04-01", Hours(hours), Counter::Same)
            })
        };
        assert_eq!(tell(50_000).unwrap().hours.len(), 2);
        assert!(tell(40_000).is_err());
        assert_eq!(tell(60_000).unwrap().hours.len(), 3);
        assert_eq!(list(&folder).unwrap().engines[0].counter(), Hours(60_000));
    }

    #[test]
    fn a_damaged_file_is_named_and_left_alone_and_the_others_are_listed() {
        let (_inside, folder) = folder();
        add(&folder, &engine("Blue trainer")).unwrap();
        let id = "0123456789abcdefghjkmnpqrs";
        let other = "zzzzzzzzzzzzzzzzzzzzzzzzzz";
        let sound = safe::json(|to| engine("x").serialize(to)).unwrap();
        let mut tried = 0;
        for text in [
            "",
            "{}",
            "null",
            &sound,
            &sound.replace(&sound[18..44], other),
            &sound.replace("\"format\":1", "\"format\":2").replace(&sound[18..44], id),
            &sound.replace("41260", "-1").replace(&sound[18..44], id),
            &sound.replace("\"serial\"", "\"colour\"").replace(&sound[18..44], id),
        ] {
            let path = folder.engines().join(format!("{id}.json"));
            std::fs::write(&path, text).unwrap();
            let listing = list(&folder).unwrap();
            assert_eq!(listing.engines.len(), 1, "{text}");
            let [error] = listing.broken.as_slice() else { panic!("{text}") };
            assert!(error.to_string().contains(id), "{error}");
            assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
            tried += 1;
        }
        assert_eq!(tried, 8);
    }
}
