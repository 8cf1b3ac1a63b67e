//! What the program remembers between runs: looks, names, the leaf set last in hand.
//!
//! Nothing here is needed: a file that is missing or damaged means the settings of a new program. It
//! is left as it is until they change; then it is set aside, never overwritten.

use super::StoreError;
use super::codec::LeafSetWire;
use super::codec::safe;
use super::folder::{Folder, read_text, replace_whole};
use super::replace::{is_of_the_file, replace_aside, sweep};
use super::words::{other_format, settings_aside, unread};
use crate::domain::entry::LeafSet;
use serde::{Deserialize, Serialize};
use std::path::Path;

const FORMAT: u32 = 1;
/// Most bytes of the settings.
pub(super) const FILE_MAX: u64 = 1024 * 1024;

/// The settings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    format: u32,
    /// The name of the colour theme.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub theme: Option<String>,
    /// The bell: absent where it rings, `false` where it is turned off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bell: Option<bool>,
    /// Whether only plain ASCII is drawn.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub ascii: bool,
    /// From where the engine is seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen_from: Option<String>,
    /// Who worked last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worker: Option<String>,
    /// Who signed last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signer: Option<Signer>,
    /// The leaf set last in hand.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "leaf_set")]
    pub leaves: Option<LeafSet>,
    /// The leaf sets that mechanics own, the last one taken in hand first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub owned: Vec<Owned>,
}

/// A leaf set and whose it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Owned {
    /// The mechanic's name, as he gives it at work.
    pub worker: String,
    /// The set.
    #[serde(with = "LeafSetWire")]
    pub set: LeafSet,
}

/// Sets that are remembered of one mechanic.
const OWNED_MAX: usize = 5;

/// Who signs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signer {
    /// Name.
    pub name: String,
    /// Kind of certificate or licence.
    pub certificate_kind: String,
    /// Its number.
    pub certificate_number: String,
}

mod leaf_set {
    use super::*;
    use serde::{Deserializer, Serializer};

    #[derive(Serialize)]
    struct Shown<'a>(#[serde(with = "LeafSetWire")] &'a LeafSet);
    #[derive(Deserialize)]
    struct Read(#[serde(with = "LeafSetWire")] LeafSet);

    pub fn serialize<S: Serializer>(set: &Option<LeafSet>, to: S) -> Result<S::Ok, S::Error> {
        set.as_ref().map(Shown).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<LeafSet>, D::Error> {
        Ok(Option::<Read>::deserialize(from)?.map(|read| read.0))
    }
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            format: FORMAT,
            theme: None,
            bell: None,
            ascii: false,
            seen_from: None,
            worker: None,
            signer: None,
            leaves: None,
            owned: Vec::new(),
        }
    }
}

impl Settings {
    /// Tells whether the terminal's bell may ring.
    pub fn rings(&self) -> bool {
        self.bell.unwrap_or(true)
    }

    /// Turns the bell on or off.
    pub fn ring(&mut self, on: bool) {
        self.bell = (!on).then_some(false);
    }

    /// Reads the settings; where they cannot be read, those of a new program, and why.
    pub fn load(folder: &Folder) -> (Settings, Option<StoreError>) {
        let path = folder.settings();
        match read(&path) {
            Ok(settings) => (settings, None),
            Err(StoreError::Io { cause, .. }) if cause.kind() == std::io::ErrorKind::NotFound => {
                (Settings::default(), None)
            }
            Err(error) => (Settings::default(), Some(error)),
        }
    }

    /// Remembers a set as a mechanic's own, in front of his others. One of the same name takes the
    /// place of the old one.
    pub fn own(&mut self, worker: &str, set: &LeafSet) {
        let same = |one: &Owned| one.worker == worker && one.set.name == set.name;
        self.owned.retain(|one| !same(one));
        self.owned.insert(0, Owned { worker: worker.into(), set: set.clone() });
        let mut his = 0;
        self.owned.retain(|one| {
            his += usize::from(one.worker == worker);
            one.worker != worker || his <= OWNED_MAX
        });
    }

    /// Changes the settings as they stand on disk now, and returns them with what the user must be
    /// told: a file in their place that cannot be read as settings is set aside first.
    ///
    /// # Errors
    /// The file cannot be set aside or written, could not be read just now, or a newer program wrote
    /// it; it is as it was then, or [`StoreError::Kept`] names where it is.
    pub fn update(
        folder: &Folder,
        change: impl FnOnce(&mut Settings),
    ) -> Result<(Settings, Option<String>), StoreError> {
        // A folder that is named and missing is made by what is put into it, not by a setting.
        if let Some(absent) = folder.absent() {
            return Err(absent);
        }
        let lock = folder.lock("settings")?;
        sweep(folder.root(), &lock);
        let path = folder.settings();
        let (mut settings, fault) = Settings::load(folder);
        let is_damaged = match fault {
            None => false,
            Some(fault) if is_of_the_file(&fault) => true,
            Some(fault) => return Err(fault),
        };
        change(&mut settings);
        let text = safe::json(|to| settings.serialize(to))
            .map_err(|error| StoreError::Unkeepable { kind: "settings", why: error.to_string() })?;
        let bytes = format!("{text}\n").into_bytes();
        let aside = if is_damaged { Some(replace_aside(&path, &bytes)?) } else { None };
        if aside.is_none() {
            replace_whole(&path, &bytes)?;
        }
        Ok((settings, aside.as_deref().map(settings_aside)))
    }
}

fn read(path: &Path) -> Result<Settings, StoreError> {
    parse(&read_text(path, FILE_MAX)?, path)
}

/// Reads what stands in a file of settings.
///
/// # Errors
/// It is damaged, or a newer program wrote it.
pub(super) fn parse(text: &str, path: &Path) -> Result<Settings, StoreError> {
    let settings: Settings =
        serde_json::from_str(text).map_err(|error| unread(&error, text, path, FORMAT))?;
    if settings.format == FORMAT { Ok(settings) } else { Err(other_format(text, path, FORMAT)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units::{Length, LengthUnit};
    use crate::store::shown;

    #[test]
    fn settings_are_kept_and_a_missing_file_is_no_fault() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        let (fresh, fault) = Settings::load(&folder);
        assert!(fresh == Settings::default() && fault.is_none());
        let settings = Settings {
            theme: Some("plain".to_owned()),
            ascii: true,
            seen_from: Some("left".to_owned()),
            worker: Some("worker a".to_owned()),
            signer: Some(Signer { name: "signer c".to_owned(), ..Signer::default() }),
            leaves: Some(LeafSet::new("short", LengthUnit::Inch, vec![Length::from_nm(152_400)])),
            ..fresh
        };
        let kept = Settings::update(&folder, |now| *now = settings.clone()).unwrap();
        assert_eq!(kept, (settings.clone(), None));
        assert_eq!(Settings::load(&folder).0, settings);
    }

    #[test]
    fn a_mechanic_has_his_own_sets_the_last_one_first_and_not_more_than_five() {
        let set = |name: &str| LeafSet::new(name, LengthUnit::Inch, vec![Length::from_nm(152_400)]);
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        let mut settings = Settings::default();
        for name in ["a", "b", "c", "a", "d", "e", "f"] {
            settings.own("first", &set(name));
        }
        settings.own("second", &set("a"));
        Settings::update(&folder, |now| *now = settings.clone()).unwrap();
        let read = Settings::load(&folder).0;
        assert_eq!(read, settings);
        let of = |worker: &str| {
            let his = read.owned.iter().filter(|one| one.worker == worker);
            his.map(|one| one.set.name.clone()).collect::<Vec<_>>().join(" ")
        };
        assert_eq!((of("first").as_str(), of("second").as_str()), ("f e d a c", "a"));
    }

    #[test]
    fn damaged_settings_are_said_set_aside_and_never_overwritten() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        let path = folder.settings();
        let damaged = ["", "{\"format\":0}", "{\"format\":1,\"colour\":1}", "\u{0}"];
        for (n, text) in (1..).zip(damaged) {
            std::fs::write(&path, text).unwrap();
            let (settings, fault) = Settings::load(&folder);
            assert_eq!(settings, Settings::default());
            assert!(matches!(fault, Some(StoreError::DamagedFile { .. })), "{text}");
            // Reading alone renames nothing.
            assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
            let (settings, told) = Settings::update(&folder, |now| now.ascii = true).unwrap();
            let told = told.unwrap();
            let aside = inside.path().join(format!("settings.json.damaged-{n}"));
            assert!(told.contains(&shown(&aside)), "{told}");
            assert_eq!(std::fs::read_to_string(&aside).unwrap(), text);
            assert_eq!(Settings::load(&folder).0, settings);
            assert!(settings.ascii && Settings::load(&folder).1.is_none());
        }
        let asides = std::fs::read_dir(inside.path()).unwrap();
        let is_aside = |name: &str| name.contains(".damaged-");
        let names = asides.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        assert_eq!(names.filter(|name| is_aside(name)).count(), damaged.len());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_or_a_folder_in_their_place_is_set_aside_whole() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        let elsewhere = inside.path().join("elsewhere.json");
        std::fs::write(&elsewhere, "{\"format\":1}").unwrap();
        std::os::unix::fs::symlink(&elsewhere, folder.settings()).unwrap();
        assert!(Settings::update(&folder, |now| now.ascii = true).unwrap().1.is_some());
        assert_eq!(std::fs::read_to_string(&elsewhere).unwrap(), "{\"format\":1}");
        assert!(inside.path().join("settings.json.damaged-1").is_symlink());
        std::fs::remove_file(folder.settings()).unwrap();
        std::fs::create_dir_all(folder.settings().join("inside")).unwrap();
        assert!(Settings::update(&folder, |now| now.ascii = true).unwrap().1.is_some());
        assert!(inside.path().join("settings.json.damaged-2/inside").is_dir());
    }

    #[test]
    fn two_terminals_change_settings_without_losing_the_others() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::at(inside.path());
        Settings::update(&folder, |now| now.theme = Some("dark".into())).unwrap();
        let held = folder.lock("settings").unwrap();
        let refused = Settings::update(&folder, |now| now.ascii = true).unwrap_err();
        assert!(matches!(refused, StoreError::InUse { .. }), "{refused}");
        drop(held);
        Settings::update(&folder, |now| now.ascii = true).unwrap();
        let (now, _) = Settings::load(&folder);
        assert_eq!((now.theme.as_deref(), now.ascii), (Some("dark"), true));
    }
}
