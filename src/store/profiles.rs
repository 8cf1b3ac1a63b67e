//! The known profiles: those built in, and the user's own in the data folder's `profiles/`.
//!
//! A user's profile with a built-in one's name takes its place.

use super::profile_error::ProfileError;
use super::profile_file::{PROFILE_BYTES_MAX, parse_profile, parse_profile_bytes};
use super::words::cause_words;
use crate::domain::entry::ProfileText;
use crate::domain::search::nearest_names;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Takes the text of each built-in profile into the program, beside its name.
macro_rules! built_in {
    ($($name:literal)*) => {
        [$(($name, include_str!(concat!("../../profiles/", $name, ".json")))),*]
    };
}

/// The built-in profiles: names and texts. All figures in them are invented examples.
#[rustfmt::skip]
pub const BUILT_IN: [(&str, &str); 36] = built_in! [
    "flat-four"
    "flat-four-1423"
    "flat-six"
    "flat-six-162435"
    "flat-six-hydraulic"
    "flat-twin"
    "inline-five"
    "inline-four"
    "inline-four-1243"
    "inline-four-report"
    "inline-six"
    "inline-three"
    "inline-three-132"
    "parallel-twin-180"
    "parallel-twin-270"
    "parallel-twin-285"
    "parallel-twin-360"
    "radial-eighteen"
    "radial-five"
    "radial-fourteen"
    "radial-nine"
    "radial-nine-table"
    "radial-seven"
    "vee-eight-13726548"
    "vee-eight-15426378"
    "vee-eight-18436572"
    "vee-eight-18726543"
    "vee-six-142536"
    "vee-six-165432"
    "vee-six-60"
    "vee-twelve"
    "vee-twin-45"
    "vee-twin-60"
    "vee-twin-75"
    "vee-twin-90"
    "vee-twin-shims"
];

/// Most names that are offered for another.
const OFFERED: usize = 3;

/// Fewest letters by which a profile's title is looked for.
const TITLE_SHORTEST: usize = 4;

/// A profile that can be asked for by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// The profile, its text and its name.
    pub profile: ProfileText,
    /// Whether it is built in or the user's own.
    pub origin: Origin,
}

/// Where a profile comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Part of the program.
    BuiltIn,
    /// A file in the data folder.
    Own,
}

/// All profiles that can be asked for, and files that cannot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Listing {
    /// The sound ones, by name.
    pub known: Vec<Known>,
    /// What is wrong with the others.
    pub broken: Vec<ProfileError>,
}

/// Tells whether a word is a profile's name: `[a-z0-9][a-z0-9-]{0,39}`.
pub fn is_name(word: &str) -> bool {
    let plain = |letter: u8| letter.is_ascii_lowercase() || letter.is_ascii_digit();
    let letters = word.as_bytes();
    (1..=40).contains(&letters.len())
        && plain(letters[0])
        && letters.iter().all(|letter| plain(*letter) || *letter == b'-')
}

/// Returns how an engine remembers a profile that is there and sound: one by path by its whole path,
/// wherever the program is started next.
///
/// # Errors
/// As [`find`].
pub fn remembered(name_or_path: &str, data_folder: &Path) -> Result<String, ProfileError> {
    find(name_or_path, data_folder)?;
    let by_name = is_known(name_or_path, data_folder);
    Ok(match std::path::absolute(name_or_path) {
        Ok(path) if !by_name => path.to_string_lossy().into_owned(),
        Ok(_) | Err(_) => name_or_path.to_string(),
    })
}

/// Tells whether a word is the name of a profile, be it sound or not.
fn is_known(name: &str, data_folder: &Path) -> bool {
    is_name(name)
        && (own_path(name, data_folder).exists() || BUILT_IN.iter().any(|(own, _)| *own == name))
}

/// Finds a profile by its name or its file's path. A name goes before a file of the same name.
///
/// # Errors
/// [`ProfileError`], with the names nearest to an unknown one.
pub fn find(name_or_path: &str, data_folder: &Path) -> Result<ProfileText, ProfileError> {
    if is_name(name_or_path) {
        let own = own_path(name_or_path, data_folder);
        if own.exists() {
            return read_file(&own);
        }
        if let Some((name, text)) = BUILT_IN.iter().find(|(name, _)| *name == name_or_path) {
            return built_in(name, text);
        }
    }
    let path = Path::new(name_or_path);
    if let Some(own) = misnamed(name_or_path, data_folder).filter(|_| !path.exists()) {
        return Err(ProfileError::BadName { path: own.to_string_lossy().into_owned() });
    }
    let by_path = name_or_path.contains(['/', '\\', '.']) || path.exists();
    if !by_path || name_or_path.is_empty() {
        return Err(ProfileError::Unknown {
            name: name_or_path.to_string(),
            near: near(name_or_path, data_folder),
        });
    }
    read_file(path)
}

/// Finds a file of the user's own that is meant by a name and cannot be asked for by it: its stem is
/// no name, or is one but for capitals.
fn misnamed(name: &str, data_folder: &Path) -> Option<PathBuf> {
    let asked = name.strip_suffix(".json").unwrap_or(name).to_lowercase();
    let own = own_files(data_folder).unwrap_or_default();
    own.into_iter().find(|path| !is_name(&stem(path)) && stem(path).to_lowercase() == asked)
}

/// Says why a profile cannot be used, if it cannot. Of a built-in one nothing is read.
pub fn unusable(name_or_path: &str, data_folder: &Path) -> Option<ProfileError> {
    let built_in = BUILT_IN.iter().any(|(name, _)| *name == name_or_path);
    if built_in && !own_path(name_or_path, data_folder).exists() {
        return None;
    }
    find(name_or_path, data_folder).err()
}

/// When to look again, by a profile.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
pub struct Intervals {
    /// Running hours between two services.
    #[serde(rename = "interval_hours")]
    pub hours: Option<f64>,
    /// Running hours to the first service.
    #[serde(rename = "first_interval_hours")]
    pub first_hours: Option<f64>,
    /// Months between two services.
    #[serde(rename = "interval_months")]
    pub months: Option<u32>,
}

/// Returns when to look again by a profile; nothing where it says nothing of it, or cannot be found.
/// Of a built-in one nothing else is read.
pub fn intervals(name_or_path: &str, data_folder: &Path) -> Intervals {
    let built_in = BUILT_IN.iter().find(|(name, _)| *name == name_or_path);
    let hidden = || own_path(name_or_path, data_folder).exists();
    if let Some((_, text)) = built_in.filter(|_| !hidden()) {
        return serde_json::from_str(text).unwrap_or_default();
    }
    find(name_or_path, data_folder).map_or_else(
        |_| Intervals::default(),
        |found| {
            let facts = &found.profile;
            Intervals {
                hours: facts.interval_hours,
                first_hours: facts.first_interval_hours,
                months: facts.interval_months,
            }
        },
    )
}

/// Lists the built-in profiles and the user's own, by name.
///
/// Nothing stops it: files that cannot be used are told beside the others.
pub fn list(data_folder: &Path) -> Listing {
    let mut known = BTreeMap::new();
    let mut broken = Vec::new();
    for (name, text) in BUILT_IN {
        match built_in(name, text) {
            Ok(profile) => {
                known.insert(name.to_string(), Known { profile, origin: Origin::BuiltIn });
            }
            Err(error) => broken.push(error),
        }
    }
    let own = own_files(data_folder).unwrap_or_else(|error| {
        broken.push(error);
        Vec::new()
    });
    for path in own {
        let name = stem(&path);
        if !is_name(&name) {
            broken.push(ProfileError::BadName { path: path.to_string_lossy().into_owned() });
            continue;
        }
        // A broken file of the user's own hides the built-in profile too, as it does in `find`.
        known.remove(&name);
        match read_file(&path) {
            Ok(profile) => {
                known.insert(name, Known { profile, origin: Origin::Own });
            }
            Err(error) => broken.push(error),
        }
    }
    Listing { known: known.into_values().collect(), broken }
}

/// Lists the names of the profiles for engines of so many cylinders, the user's own first.
pub fn names(data_folder: &Path, cylinders: usize) -> Vec<String> {
    let mut known = list(data_folder).known;
    known.retain(|one| one.profile.profile.cylinders() == cylinders);
    let (own, built_in): (Vec<Known>, Vec<Known>) =
        known.into_iter().partition(|one| one.origin == Origin::Own);
    own.into_iter().chain(built_in).map(|one| one.profile.name).collect()
}

fn built_in(name: &str, text: &str) -> Result<ProfileText, ProfileError> {
    let profile = parse_profile(text, name)?;
    Ok(ProfileText { profile, text: text.to_string(), name: name.to_string() })
}

fn own_path(name: &str, data_folder: &Path) -> PathBuf {
    data_folder.join("profiles").join(format!("{name}.json"))
}

/// The user's own files that end in `.json`, in order; a folder that is not there has none.
fn own_files(data_folder: &Path) -> Result<Vec<PathBuf>, ProfileError> {
    let folder = data_folder.join("profiles");
    let entries = match std::fs::read_dir(&folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => {
            let path = folder.to_string_lossy().into_owned();
            return Err(ProfileError::Unreadable { path, why: words_of(&error) });
        }
    };
    let mut files: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    // A schema that lies beside the profiles, for an editor, is none.
    let schema = |path: &Path| path.to_string_lossy().ends_with(".schema.json");
    files.retain(|path| path.extension().is_some_and(|ending| ending == "json") && !schema(path));
    files.sort();
    Ok(files)
}

fn stem(path: &Path) -> String {
    path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default()
}

fn near(word: &str, data_folder: &Path) -> Vec<String> {
    let own: Vec<String> =
        own_files(data_folder).unwrap_or_default().iter().map(|path| stem(path)).collect();
    let own = own.iter().map(String::as_str).filter(|name| is_name(name));
    let names = BUILT_IN.iter().map(|(name, _)| *name).chain(own);
    let near = nearest_names(word, &names.collect::<Vec<_>>(), OFFERED);
    if near.is_empty() && word.chars().count() >= TITLE_SHORTEST {
        // A title may have been typed for a name.
        let word = word.to_lowercase();
        let titles = titles(data_folder).into_iter();
        let titled = titles.filter(|(_, title)| title.to_lowercase().starts_with(&word));
        return titled.take(OFFERED).map(|(name, _)| name).collect();
    }
    near.into_iter().map(str::to_owned).collect()
}

/// The titles of all sound profiles by their names; of a built-in one nothing else is read.
fn titles(data_folder: &Path) -> BTreeMap<String, String> {
    #[derive(Deserialize)]
    struct Titled {
        name: String,
    }
    let titled = |text: &str| serde_json::from_str(text).map(|Titled { name }| name).ok();
    let built_in = BUILT_IN.iter();
    let mut titles: BTreeMap<String, String> =
        built_in.filter_map(|(name, text)| Some(((*name).to_string(), titled(text)?))).collect();
    for path in own_files(data_folder).unwrap_or_default() {
        let name = stem(&path);
        titles.remove(&name);
        titles.extend(read_file(&path).ok().map(|found| (name, found.profile.name.clone())));
    }
    titles.retain(|name, _| is_name(name));
    titles
}

/// Reads a profile's file: a plain file only, and no more of it than a profile may be long. The
/// profile's name is the file's stem.
///
/// # Errors
/// [`ProfileError`] says what is wrong with the file or with the profile in it.
pub fn read_file(path: &Path) -> Result<ProfileText, ProfileError> {
    let shown = path.to_string_lossy().into_owned();
    let unreadable = |error: std::io::Error| ProfileError::Unreadable {
        path: shown.clone(),
        why: words_of(&error),
    };
    let odd = |about: std::fs::Metadata| !about.is_file();
    let file = open_at_once(path).map_err(|error| match std::fs::metadata(path).map(odd) {
        Ok(true) => ProfileError::NoFile { path: shown.clone() },
        Ok(false) | Err(_) => unreadable(error),
    })?;
    if file.metadata().map(odd).map_err(unreadable)? {
        return Err(ProfileError::NoFile { path: shown });
    }
    let most = PROFILE_BYTES_MAX as u64 + 1;
    let mut bytes = Vec::new();
    file.take(most).read_to_end(&mut bytes).map_err(unreadable)?;
    let (profile, text) = parse_profile_bytes(bytes, &shown)?;
    Ok(ProfileText { profile, text, name: stem(path) })
}

/// Opens a file for reading; a pipe is not waited for. What was opened is looked at afterwards, so
/// that nothing else can take its place between.
fn open_at_once(path: &Path) -> std::io::Result<File> {
    let mut options = File::options();
    options.read(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(
        &mut options,
        rustix::fs::OFlags::NONBLOCK.bits().cast_signed(),
    );
    options.open(path)
}

fn words_of(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_string(),
        _ => cause_words(error),
    }
}
