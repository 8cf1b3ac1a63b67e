//! Profiles in files: found by name or path, listed, opened safely.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may stop the test")]

use cowlside::store::profile_error::ProfileError;
use cowlside::store::profiles::{BUILT_IN, Origin, find, is_name, list};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A data folder with an empty folder for the user's own profiles.
fn data_folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("profiles");
    fs::create_dir(&own).unwrap();
    (folder, own)
}

fn twin() -> String {
    BUILT_IN.iter().find(|(name, _)| *name == "vee-twin-shims").unwrap().1.to_string()
}

fn refused(name: &str, folder: &Path) -> (String, String) {
    let error = find(name, folder).unwrap_err();
    (error.to_string(), error.hint())
}

#[test]
fn a_profile_is_found_by_its_name_or_its_files_path() {
    let (folder, own) = data_folder();
    let data = folder.path();
    assert_eq!(find("flat-four", data).unwrap().profile.firing_order, [1, 3, 2, 4]);
    assert_eq!(find("flat-four-1423", data).unwrap().profile.firing_order, [1, 4, 2, 3]);
    assert_eq!(find("radial-nine", data).unwrap().profile.cylinders(), 9);
    fs::write(own.join("my-twin.json"), twin()).unwrap();
    let found = find("my-twin", data).unwrap();
    assert_eq!((found.name.as_str(), found.text.as_str()), ("my-twin", twin().as_str()));
    let path = data.join("Elsewhere.JSON");
    fs::write(&path, twin()).unwrap();
    assert_eq!(find(path.to_str().unwrap(), data).unwrap().name, "Elsewhere");
}

#[test]
fn the_users_own_profile_takes_the_place_of_a_built_in_one() {
    let (folder, own) = data_folder();
    fs::write(own.join("flat-four.json"), twin()).unwrap();
    assert_eq!(find("flat-four", folder.path()).unwrap().profile.cylinders(), 2);
    let listing = list(folder.path());
    let here: Vec<_> =
        listing.known.iter().filter(|known| known.profile.name == "flat-four").collect();
    assert_eq!((here.len(), here[0].origin), (1, Origin::Own));
    fs::write(own.join("flat-four.json"), "{}").unwrap();
    assert!(find("flat-four", folder.path()).is_err());
    assert!(!list(folder.path()).known.iter().any(|known| known.profile.name == "flat-four"));
}

#[test]
fn the_list_holds_all_sound_profiles_and_tells_what_is_wrong_with_the_others() {
    let (folder, own) = data_folder();
    assert_eq!(list(&folder.path().join("not-made-yet")).known.len(), BUILT_IN.len());
    fs::write(own.join("a-twin.json"), twin()).unwrap();
    fs::write(own.join("Bad Name.json"), twin()).unwrap();
    fs::write(own.join("empty.json"), "").unwrap();
    fs::write(own.join("notes.txt"), "not a profile").unwrap();
    let listing = list(folder.path());
    let names: Vec<&str> = listing.known.iter().map(|known| known.profile.name.as_str()).collect();
    assert_eq!(names.len(), BUILT_IN.len() + 1);
    assert!(names.is_sorted());
    let broken: Vec<&ProfileError> = listing.broken.iter().collect();
    assert!(
        matches!(broken[..], [ProfileError::BadName { .. }, ProfileError::NotJson { .. }]),
        "{broken:?}"
    );
}

#[test]
fn a_folder_that_cannot_be_read_is_told_beside_the_built_in_profiles() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("profiles"), "a file where the folder should be").unwrap();
    let listing = list(folder.path());
    assert_eq!(listing.known.len(), BUILT_IN.len());
    assert!(matches!(listing.broken[..], [ProfileError::Unreadable { .. }]));
}

#[test]
fn a_file_whose_name_cannot_be_asked_for_is_told_by_its_path_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let profiles = folder.path().join("profiles");
    std::fs::create_dir(&profiles).unwrap();
    let text = include_str!("../../profiles/flat-four.json");
    for (stem, asked) in [
        ("UPPER", &["UPPER", "upper", "UPPER.json"][..]),
        ("a.b", &["a.b", "a.b.json"]),
        ("odd name", &["odd name"]),
    ] {
        let path = profiles.join(format!("{stem}.json"));
        std::fs::write(&path, text).unwrap();
        for name in asked {
            let (message, hint) = refused(name, folder.path());
            let told =
                format!("`{}` has a name that cannot be asked for: it must be of", path.display());
            assert!(message.starts_with(&told), "{name}: {message}");
            assert!(hint.contains("as in my-four.json") && hint.contains("whole path"), "{hint}");
        }
        // By its whole path it is taken.
        assert!(find(path.to_str().unwrap(), folder.path()).is_ok(), "{stem}");
    }
}

#[test]
fn an_unknown_name_is_answered_with_names_like_it() {
    let (folder, own) = data_folder();
    fs::write(own.join("flat-twin.json"), twin()).unwrap();
    for (name, message, hint) in [
        (
            "flat-fuor",
            "there is no profile `flat-fuor`",
            "Try flat-four or flat-four-1423; `cowlside profiles` lists all of them.",
        ),
        (
            "radial",
            "there is no profile `radial`",
            "Try radial-five or radial-nine or radial-seven; `cowlside profiles` lists all of them.",
        ),
        (
            "zzzzzzzzzz",
            "there is no profile `zzzzzzzzzz`",
            "List the known ones with `cowlside profiles`, or give a file's path.",
        ),
        (
            "",
            "there is no profile ``",
            "List the known ones with `cowlside profiles`, or give a file's path.",
        ),
        (
            "Flat-Four",
            "there is no profile `Flat-Four`",
            "Try flat-four; `cowlside profiles` lists all of them.",
        ),
        (
            "a\u{202e}b",
            "there is no profile `a<U+202E>b`",
            "List the known ones with `cowlside profiles`, or give a file's path.",
        ),
    ] {
        assert_eq!(refused(name, folder.path()), (message.to_string(), hint.to_string()));
    }
}

#[test]
fn a_name_never_leads_out_of_the_folder() {
    let (folder, _) = data_folder();
    fs::write(folder.path().join("outside.json"), twin()).unwrap();
    for name in ["../outside", "..", "-x", "a/b", "a\\b", "A", "a_b", "ä", "CON:", &"a".repeat(41)]
    {
        assert!(!is_name(name), "{name}");
        assert!(find(name, folder.path()).is_err(), "{name}");
    }
    for name in ["a", "0", "flat-four-1423", &"a".repeat(40)] {
        assert!(is_name(name), "{name}");
    }
}

#[test]
fn what_is_no_plain_readable_file_is_refused_at_once() {
    let (folder, _) = data_folder();
    let data = folder.path();
    let path = |name: &str| data.join(name).to_str().unwrap().to_string();
    let missing = path("missing.json");
    assert_eq!(
        refused(&missing, data).0,
        format!("cannot read the profile `{missing}`: there is no such file")
    );
    fs::create_dir(data.join("folder.json")).unwrap();
    let here = path("folder.json");
    assert_eq!(refused(&here, data).0, format!("`{here}` is not a plain file"));
    fs::write(data.join("long.json"), " ".repeat(64 * 1024 + 1)).unwrap();
    assert!(matches!(find(&path("long.json"), data), Err(ProfileError::TooLong { .. })));
    fs::write(data.join("bytes.json"), b"{\n\"name\": \"\xff\"}").unwrap();
    assert!(matches!(find(&path("bytes.json"), data), Err(ProfileError::NotText { line: 2, .. })));
}

#[cfg(unix)]
#[test]
fn pipes_and_devices_are_refused_and_never_waited_for() {
    let (folder, own) = data_folder();
    let pipe = own.join("pipe.json");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for name in ["pipe", pipe.to_str().unwrap(), "/dev/zero"] {
        assert!(matches!(find(name, folder.path()), Err(ProfileError::NoFile { .. })), "{name}");
    }
    assert!(matches!(list(folder.path()).broken[..], [ProfileError::NoFile { .. }]));
    // A link to a plain file is as good as the file.
    fs::write(folder.path().join("twin"), twin()).unwrap();
    std::os::unix::fs::symlink(folder.path().join("twin"), own.join("linked.json")).unwrap();
    assert_eq!(find("linked", folder.path()).unwrap().profile.cylinders(), 2);
}
