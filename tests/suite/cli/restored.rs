//! `restore` over files of which one side cannot be used: what can be used is kept, or comes back.

use super::Place;
use super::services::with_services;
use std::fs;
use std::path::{Path, PathBuf};

fn run(place: &Place, verb: &str, file: &Path, more: &[&str]) -> super::Shown {
    place.run(&[&[verb, file.to_str().unwrap()], more].concat())
}

fn engines(place: &Place) -> Vec<PathBuf> {
    super::listed(&place.path().join("engines"))
}

/// Two engines, an own profile and settings.
fn shop() -> (Place, tempfile::TempDir) {
    let place = with_services();
    place.run(&["engine", "add", "Tug", "--profile", "flat-six", "--hours", "10"]).done();
    place.run(&["settings", "bell", "off"]).done();
    let profile = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    fs::copy(profile, place.path().join("profiles/mine.json")).unwrap();
    (place, tempfile::tempdir().unwrap())
}

fn small(place: &Place) -> Vec<PathBuf> {
    let more = ["profiles/mine.json", "settings.json"].map(|file| place.path().join(file));
    engines(place).into_iter().chain(more).collect()
}

#[test]
fn what_cannot_be_used_never_takes_the_place_of_what_can() {
    let (place, outside) = shop();
    let sound: Vec<(PathBuf, Vec<u8>)> =
        small(&place).into_iter().map(|path| (path.clone(), fs::read(path).unwrap())).collect();
    for (n, damaged) in ["", "{\"format\":", "{\"format\":9}"].into_iter().enumerate() {
        sound.iter().for_each(|(path, _)| fs::write(path, damaged).unwrap());
        let file = outside.path().join(format!("{n}.backup"));
        run(&place, "backup", &file, &[]);
        assert!(file.exists());
        sound.iter().for_each(|(path, bytes)| fs::write(path, bytes).unwrap());
        for more in [&[][..], &["--replace", "engines,profiles,settings"]] {
            let shown = run(&place, "restore", &file, more);
            assert_eq!(shown.code, 0, "{shown}");
            let kept = shown.out.matches(": kept as it is here: in the backup ").count();
            assert_eq!(kept, sound.len(), "{more:?}: {shown}");
            assert!(shown.out.contains("0 of ") && !shown.out.contains("--replace"), "{shown}");
            for (path, bytes) in &sound {
                assert_eq!(fs::read(path).unwrap(), *bytes, "{}", path.display());
            }
        }
    }
}

#[test]
fn a_damaged_file_comes_back_and_no_other_is_rolled_back_for_it() {
    let (place, outside) = shop();
    let file = outside.path().join("shop.backup");
    run(&place, "backup", &file, &[]).done();
    let all = small(&place);
    let at_backup: Vec<Vec<u8>> = all.iter().map(|path| fs::read(path).unwrap()).collect();
    // Each has gone on since; then one engine's file and the profile are damaged.
    place.run(&["engine", "hours", "Trainer", "610"]).told_over_a_session();
    place.run(&["engine", "hours", "Tug", "17"]).done();
    place.run(&["settings", "theme", "dark"]).done();
    let since: Vec<Vec<u8>> = all.iter().map(|path| fs::read(path).unwrap()).collect();
    let of = |name: &str| {
        let is_its = |path: &&PathBuf| fs::read_to_string(path).unwrap().contains(name);
        all.iter().position(|path| is_its(&path)).unwrap()
    };
    let (trainer, profile) = (of("\"Trainer\""), of("firing_order"));
    for damaged in [trainer, profile] {
        fs::write(&all[damaged], "{\"format\":1,").unwrap();
    }
    // What is said to be typed is just that.
    let said = place.run(&["engines"]).err + &place.run(&["session", "Trainer", "--plain"]).err;
    assert!(said.contains("cowlside restore BACKUP"), "{said}");
    assert!(!said.contains("--replace"), "{said}");
    let dry = run(&place, "restore", &file, &["--dry-run"]);
    assert!(dry.out.contains("; the one here would be set aside as "), "{dry}");
    assert_eq!(fs::read(&all[trainer]).unwrap(), b"{\"format\":1,");
    let shown = run(&place, "restore", &file, &[]);
    assert_eq!(shown.code, 0, "{shown}");
    assert_eq!(shown.out.matches("replaced; the one here is set aside as ").count(), 2, "{shown}");
    for (n, path) in all.iter().enumerate() {
        let bytes = if [trainer, profile].contains(&n) { &at_backup[n] } else { &since[n] };
        assert_eq!(fs::read(path).unwrap(), *bytes, "{}", path.display());
    }
    let aside = fs::read(format!("{}.before-restore-1", all[trainer].display())).unwrap();
    assert_eq!(aside, b"{\"format\":1,");
    // Of a newer version it is not damaged: it stays.
    fs::write(&all[trainer], "{\"format\":9}").unwrap();
    run(&place, "restore", &file, &[]);
    assert_eq!(fs::read(&all[trainer]).unwrap(), b"{\"format\":9}");
}

#[test]
fn a_dry_run_says_what_would_be_done_and_not_that_it_was() {
    let (place, outside) = shop();
    let backup = outside.path().join("a.backup");
    run(&place, "backup", &backup, &[]).done();
    let session = place.journals()[0].clone();
    fs::remove_file(&session).unwrap();
    let path = engines(&place).remove(0);
    fs::write(&path, "{").unwrap();
    let dry = run(&place, "restore", &backup, &["--dry-run"]);
    let told = ": would be replaced; the one here would be set aside as ";
    assert!(dry.out.contains(told), "{dry}");
    assert_eq!(dry.out.matches(": would be copied\n").count(), 1, "{dry}");
    assert!(
        dry.out.contains(" would be copied; ") || dry.out.contains(" would be copied\n"),
        "{dry}"
    );
    for done in [": replaced", ": copied", " is set aside"] {
        assert!(!dry.out.contains(done), "{done}: {dry}");
    }
    assert_eq!(fs::read(&path).unwrap(), b"{");
    let done = run(&place, "restore", &backup, &[]);
    assert!(done.out.contains(": replaced; the one here is set aside as "), "{done}");
    assert_eq!(done.out.matches(": copied\n").count(), 1, "{done}");
}
