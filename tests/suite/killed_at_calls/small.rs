//! Small files, a backup and a restore killed call by call: the old or the new is whole, never half of
//! one, what is said next is true, and the same command finishes it.

use super::*;
use crate::cut_off;
use std::collections::BTreeSet;

/// What is looked at after each kill.
struct Trial<'a> {
    folder: &'a Path,
    /// Beside the data folder.
    outside: &'a Path,
    before: &'a BTreeMap<String, Vec<u8>>,
    at: String,
}

/// Kills a command at the calls of each kind, each or `usual`ly some, in a copy of a folder each time;
/// then looks and runs it again. `words` is given the folder beside it. Returns what was found how often.
fn killed(
    base: &Path,
    usual: usize,
    words: &dyn Fn(&Path) -> Vec<String>,
    look: &dyn Fn(&Trial<'_>) -> &'static str,
) -> BTreeMap<&'static str, usize> {
    let before = files(base);
    let (mut kills, mut found) = (0, BTreeMap::new());
    for call in CALLS.into_iter().chain(["renameat2", "ftruncate"]) {
        let mut n = 1;
        loop {
            let (copy, outside) = (copied(base), tempfile::tempdir().unwrap());
            let (folder, outside) = (copy.path(), outside.path());
            let words = words(outside);
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let strace = under(call, n);
            let strace: Vec<&str> = strace.iter().map(String::as_str).collect();
            let ended = run(folder, &[&strace, &[PROGRAM][..], &words].concat());
            if ended.status.signal() != Some(KILL) {
                assert!(ended.status.success(), "{call} {n}: {ended:?}");
                break;
            }
            kills += 1;
            let at = format!("{words:?} killed at {call} {n}, {ended:?}");
            // What is not one of the program's own files on its way is whole.
            let said = done(folder, &["verify", "--all"]).0;
            assert!(said.ends_with("Everything is whole.\n") || said.is_empty(), "{at}: {said}");
            let state = look(&Trial { folder, outside, before: &before, at });
            *found.entry(state).or_insert(0) += 1;
            n += stride(if call == "openat" { 3 * usual } else { usual });
        }
    }
    println!("{:?}: {kills} kills: {found:?}", words(Path::new("."))[0]);
    found
}

fn owned(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

/// What a command says, whatever it comes to.
fn says(folder: &Path, words: &[&str]) -> (Option<i32>, String) {
    let output = own(folder, words);
    let text = [output.stdout, output.stderr].concat();
    (output.status.code(), String::from_utf8(text).unwrap())
}

/// Engines with their hours and profiles, by name.
fn engines(folder: &Path) -> Vec<(String, f64, String)> {
    let (listed, told) = done(folder, &["engines", "--json"]);
    assert_eq!(told, "");
    let listed: serde_json::Value = serde_json::from_str(&listed).unwrap();
    let one = |engine: &serde_json::Value| {
        let text = |key: &str| engine[key].as_str().unwrap().to_owned();
        (text("name"), engine["hours"].as_f64().unwrap(), text("profile"))
    };
    let mut all: Vec<_> = listed["engines"].as_array().unwrap().iter().map(one).collect();
    all.sort_by(|one, other| one.0.cmp(&other.0));
    all
}

fn base() -> TempDir {
    let base = tempfile::tempdir().unwrap();
    done(base.path(), &["engine", "add", "Own", "--profile", "flat-four", "--hours", "12"]);
    done(base.path(), &["settings", "theme", "dark"]);
    base
}

/// Nothing is left on its way.
fn no_litter(folder: &Path, at: &str) {
    let left: Vec<String> =
        files(folder).into_keys().filter(|name| name.ends_with(".new")).collect();
    assert_eq!(left, [""; 0], "{at}");
}

/// What there is after a kill is the old or the new, nothing between.
#[track_caller]
fn old_or_new<T: PartialEq + std::fmt::Debug>(now: &T, old: &T, new: &T, at: &str) -> &'static str {
    match now {
        now if now == old => "old",
        now if now == new => "new",
        other => panic!("{at}: {other:?}"),
    }
}

fn both(found: &BTreeMap<&str, usize>, states: &[&str]) {
    let wanted: BTreeSet<&str> = states.iter().copied().collect();
    assert_eq!(found.keys().copied().collect::<BTreeSet<_>>(), wanted, "{found:?}");
}

#[test]
fn a_setting_killed_at_any_call_is_the_old_or_the_new_one() {
    if !there_is_strace() {
        return;
    }
    let base = base();
    let found = killed(base.path(), 1, &|_| owned(&["settings", "theme", "daylight"]), &|trial| {
        let Trial { folder, at, .. } = trial;
        let shown = |theme: &str| (Some(0), format!("bell   on\ntheme  {theme}\n"));
        let now = says(folder, &["settings"]);
        let state = old_or_new(&now, &shown("dark"), &shown("daylight"), at);
        done(folder, &["settings", "theme", "daylight"]);
        let (said, told) = done(folder, &["settings", "bell", "off"]);
        assert_eq!((said.as_str(), told.as_str()), ("bell   off\ntheme  daylight\n", ""), "{at}");
        no_litter(folder, at);
        state
    });
    both(&found, &["new", "old"]);
}

#[test]
fn an_engine_that_is_added_is_there_whole_or_not_at_all_whichever_call_kills() {
    if !there_is_strace() {
        return;
    }
    let (base, add) =
        (base(), ["engine", "add", "Second", "--profile", "flat-four", "--hours", "7"]);
    let first = ("Own".to_owned(), 12.0, "flat-four".to_owned());
    let second = ("Second".to_owned(), 7.0, "flat-four".to_owned());
    let found = killed(base.path(), 1, &|_| owned(&add), &|trial| {
        let Trial { folder, at, before, .. } = trial;
        let now = files(folder);
        assert!(before.iter().all(|(name, bytes)| now.get(name) == Some(bytes)), "{at}");
        let (old, new) = (vec![first.clone()], vec![first.clone(), second.clone()]);
        let state = old_or_new(&engines(folder), &old, &new, at);
        let again = says(folder, &add);
        let refused = "error: there is an engine called \"Second\" already";
        match (state, again.0) {
            ("old", Some(0)) => {}
            ("new", Some(1)) if again.1.starts_with(refused) => {}
            _ => panic!("{at}: {again:?}"),
        }
        assert_eq!(engines(folder), new, "{at}");
        done(folder, &["engine", "hours", "Second", "8"]);
        no_litter(folder, at);
        state
    });
    both(&found, &["new", "old"]);
}

#[test]
fn hours_and_a_profile_killed_at_any_call_are_the_old_or_the_new_ones() {
    if !there_is_strace() {
        return;
    }
    let base = base();
    let engine = |hours: f64, profile: &str| vec![("Own".to_owned(), hours, profile.to_owned())];
    for (words, new) in [
        (["engine", "hours", "Own", "20.5"], engine(20.5, "flat-four")),
        (["engine", "profile", "Own", "flat-six"], engine(12.0, "flat-six")),
    ] {
        let found = killed(base.path(), 1, &|_| owned(&words), &|trial| {
            let Trial { folder, at, .. } = trial;
            let state = old_or_new(&engines(folder), &engine(12.0, "flat-four"), &new, at);
            done(folder, &words);
            assert_eq!(engines(folder), new, "{at}");
            no_litter(folder, at);
            state
        });
        both(&found, &["new", "old"]);
    }
}

#[test]
fn a_backup_killed_at_any_call_has_its_name_whole_or_not_and_changes_nothing_here() {
    if !there_is_strace() {
        return;
    }
    let (invented, base) = (invented(), base());
    let from = invented.path().join("demo");
    done(base.path(), &["take", text(&from)]);
    let file = |outside: &Path| outside.join("workshop.backup");
    let words = |outside: &Path| owned(&["backup", text(&file(outside))]);
    let found = killed(base.path(), 2, &words, &|trial| {
        let Trial { folder, outside, before, at } = trial;
        assert_eq!(&files(folder), *before, "{at}");
        let file = file(outside);
        let state = if file.exists() {
            let (code, said) = says(folder, &["restore", text(&file), "--dry-run"]);
            assert!(code == Some(0) && said.starts_with("whole: made "), "{at}: {said}");
            assert_eq!(says(folder, &["backup", text(&file)]).0, Some(1), "{at}: overwritten");
            fs::remove_file(&file).unwrap();
            "new"
        } else {
            "old"
        };
        // Once more: what was cut off is cleared away, and this one is whole.
        done(folder, &["backup", text(&file)]);
        let names = fs::read_dir(outside).unwrap().map(|entry| entry.unwrap().file_name());
        assert_eq!(names.collect::<Vec<_>>(), ["workshop.backup"], "{at}");
        let there = tempfile::tempdir().unwrap();
        done(there.path(), &["restore", text(&file)]);
        assert_eq!(readings(there.path()), readings(folder), "{at}");
        state
    });
    both(&found, &["new", "old"]);
}

#[test]
fn a_restore_into_an_empty_folder_killed_at_any_call_is_finished_by_the_same_command() {
    if !there_is_strace() {
        return;
    }
    let (invented, base) = (invented(), tempfile::tempdir().unwrap());
    let (from, kept) = (invented.path().join("demo"), tempfile::tempdir().unwrap());
    let backup = kept.path().join("workshop.backup");
    done(&from, &["backup", text(&backup)]);
    let all = files(&from);
    let is_content = |name: &&String| {
        ["engines/", "sessions/", "profiles/"].iter().any(|inside| name.starts_with(inside))
    };
    let found = killed(base.path(), 4, &|_| owned(&["restore", text(&backup)]), &|trial| {
        let Trial { folder, at, .. } = trial;
        let now = files(folder);
        let came = now.iter().filter(|(name, _)| is_content(name) && all.contains_key(*name));
        let wrong: Vec<&String> = came
            .clone()
            .filter(|(name, bytes)| all[*name] != **bytes)
            .map(|(name, _)| name)
            .collect();
        assert!(wrong.is_empty(), "{at}: half: {wrong:?}");
        let (came, most) = (came.count(), all.keys().filter(is_content).count());
        let told = done(folder, &["engines"]).1;
        let tells = told.contains("a restore was cut off; ") && told.contains(text(&backup));
        assert!(tells || came == 0 || came == most, "{at}: {came} of {most}: {told}");
        done(folder, &["restore", text(&backup)]);
        let now = files(folder);
        assert!(all.iter().all(|(name, bytes)| !is_content(&name) || now[name] == *bytes), "{at}");
        assert_eq!(done(folder, &["engines"]).1, "", "{at}");
        assert_eq!(readings(folder), readings(&from), "{at}");
        no_litter(folder, at);
        match (tells, came) {
            (true, _) => "told",
            (false, 0) => "old",
            (false, _) => "new",
        }
    });
    both(&found, &["new", "old", "told"]);
}

#[test]
fn a_restore_that_replaces_killed_at_any_call_loses_nothing_and_is_told_until_it_is_finished() {
    if !there_is_strace() {
        return;
    }
    let (here, _outside, backup) = cut_off::changed();
    let words = ["restore", text(&backup), "--replace", "engines,profiles"];
    let whole = copied(here.path());
    done(whole.path(), &words);
    let new = files(whole.path());
    let found = killed(here.path(), 4, &|_| owned(&words), &|trial| {
        let Trial { folder, before, at, .. } = trial;
        let now = files(folder);
        let mut replaced = 0;
        for (name, bytes) in before.iter().filter(|(name, _)| name.ends_with(".json")) {
            let aside = now.get(&format!("{name}.before-restore-1"));
            assert!(now.get(name) == Some(bytes) || aside == Some(bytes), "{at}: {name} is lost");
            let is_whole =
                now.get(name).is_none_or(|now| now == bytes || new.get(name) == Some(now));
            assert!(is_whole, "{at}: {name} is half");
            replaced += usize::from(now.get(name) != Some(bytes));
        }
        let told = done(folder, &["engines"]).1;
        if !told.is_empty() {
            cut_off::told_truly(folder, &backup, &told).unwrap();
        }
        let state = match (told.is_empty(), replaced) {
            (false, _) => "told",
            (true, 0) => "old",
            (true, 8) => "new",
            (true, _) => panic!("{at}: {replaced} replaced and nothing told"),
        };
        let (_, said) = done(folder, &words);
        assert_eq!(said, "", "{at}");
        let after = files(folder);
        for (name, bytes) in new.iter().filter(|(name, _)| name.ends_with(".json")) {
            assert_eq!(after.get(name), Some(bytes), "{at}: {name}");
        }
        for (name, bytes) in before.iter().filter(|(name, _)| name.ends_with(".json")) {
            let asides = (1..4).filter_map(|n| after.get(&format!("{name}.before-restore-{n}")));
            let wanted: &[&Vec<u8>] = if new.get(name) == Some(bytes) { &[] } else { &[bytes] };
            assert_eq!(asides.collect::<Vec<_>>(), wanted, "{at}: {name}: kept once");
        }
        assert_eq!(done(folder, &["engines"]).1, "", "{at}");
        no_litter(folder, at);
        state
    });
    both(&found, &["new", "old", "told"]);
}
