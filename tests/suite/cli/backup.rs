//! `backup` and `restore`: the same bytes back, and nothing written from a file that is not whole.

use super::{Place, in_deed};
use crate::cli::services::with_services;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Every file of a data folder but locks and what can be worked out again.
fn everything(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for inside in ["engines", "sessions", "profiles", ""] {
        let Ok(entries) = fs::read_dir(folder.join(inside)) else { continue };
        for path in entries.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()) {
            let name = format!("{inside}/{}", path.file_name().unwrap().to_string_lossy());
            all.insert(name, fs::read(path).unwrap());
        }
    }
    all
}

/// A workshop with all kinds of files, and its backup in a folder of its own.
fn kept() -> (Place, tempfile::TempDir, PathBuf) {
    let place = with_services();
    place.run(&["settings", "bell", "off"]).done();
    let profile = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/flat-four.json");
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    fs::copy(profile, place.path().join("profiles/my-engine.json")).unwrap();
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("workshop.backup");
    run(&place, "backup", &file, &[]).done();
    (place, outside, file)
}

fn run(place: &Place, verb: &str, file: &Path, more: &[&str]) -> super::Shown {
    place.run(&[&[verb, file.to_str().unwrap()], more].concat())
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    names.collect()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A sound backup of these lines, whatever they say.
fn sealed(head: &str, lines: &[String]) -> Vec<u8> {
    let body: String = std::iter::once(head)
        .chain(lines.iter().map(String::as_str))
        .map(|line| format!("{line}\n"))
        .collect();
    let end = format!("{{\"sha256\":\"{}\"}}\n", hex(&Sha256::digest(body.as_bytes())));
    [body, end].concat().into_bytes()
}

fn head(files: usize, bytes: usize) -> String {
    format!(
        "{{\"format\":\"cowlside backup\",\"version\":1,\"files\":{files},\"bytes\":{bytes},\
         \"at\":\"2026-03-14T09:00:00+01:00\",\"program\":\"x\"}}"
    )
}

fn line(path: &str, text: &str) -> String {
    let hash = hex(&Sha256::digest(text.as_bytes()));
    let (path, shown) = (serde_json::json!(path), serde_json::json!(text));
    format!("{{\"path\":{path},\"bytes\":{},\"sha256\":\"{hash}\",\"text\":{shown}}}", text.len())
}

#[test]
fn what_is_restored_into_an_empty_folder_is_the_same_to_the_byte_and_again_changes_nothing() {
    let (there, outside, _) = kept();
    fs::write(there.path().join("sessions/scrap.jsonl"), b"\xff\xfe\0scrap\n").unwrap();
    let file = outside.path().join("second.backup");
    let made = run(&there, "backup", &file, &[]);
    assert_eq!(made.code, 0, "{made}");
    assert!(made.err.contains("warning: kept as it is: "), "{made}");
    assert!(made.out.contains("1 engine, 4 sessions, 1 own profile, settings; "), "{made}");
    let code = made.out.lines().nth(1).unwrap().strip_prefix("its code: ").unwrap().to_string();
    assert_eq!(code.len(), 12);
    assert_eq!(names(outside.path()).len(), 2, "no litter");

    let here = Place::new();
    let name = file.to_str().unwrap();
    let dry = here.run_unsettled(&["restore", name, "--dry-run"]);
    assert!(dry.code == 0 && dry.out.ends_with("7 of 7 would be copied\n"), "{dry}");
    let told = "warning: copied as it is: session scrap: this is no session file";
    assert!(dry.err.starts_with(told) && dry.err.lines().count() == 1, "{dry}");
    assert!(dry.out.contains(&format!("its code: {code}")), "{dry}");
    assert_eq!(everything(here.path()), BTreeMap::new());
    let done = here.run_unsettled(&["restore", name]);
    assert!(done.code == 0 && done.out.ends_with("7 of 7 copied\n"), "{done}");
    let list = |text: &str| text.lines().take(8).map(String::from).collect::<Vec<_>>();
    assert_eq!(list(&in_deed(&dry.out)), list(&done.out), "a dry run says the same");
    assert_eq!(everything(here.path()), everything(there.path()));
    let again = run(&here, "restore", &file, &[]);
    assert!(again.done().ends_with("0 of 7 copied\n"), "{again}");
    assert_eq!(everything(here.path()), everything(there.path()));
    assert!(!names(here.path()).iter().any(|name| name.contains(".new")));
}

#[test]
fn a_backup_overwrites_nothing_and_lies_outside_of_what_it_keeps() {
    let (there, outside, file) = kept();
    let before = fs::read(&file).unwrap();
    assert!(run(&there, "backup", &file, &[]).failed().0.contains("already"));
    assert_eq!(fs::read(&file).unwrap(), before);
    let inside = there.path().join("sessions/x.backup");
    assert!(run(&there, "backup", &inside, &[]).failed().0.contains("lies in the data folder"));
    let away = outside.path().join("no/such/folder/x");
    assert!(run(&there, "backup", &away, &[]).failed().0.contains("there is no such"));
    let empty = run(&Place::new(), "backup", &outside.path().join("y"), &[]);
    assert!(empty.failed().0.contains("holds nothing to keep"), "{empty}");
    assert_eq!(names(outside.path()), ["workshop.backup"]);
}

#[test]
fn a_session_open_elsewhere_is_kept_to_its_last_whole_line_and_an_odd_name_is_told() {
    let (there, outside, _) = kept();
    let path = there.journals()[2].clone();
    let whole = fs::read(&path).unwrap();
    fs::write(&path, [&whole[..], b"{\"half"].concat()).unwrap();
    fs::write(there.path().join("sessions/notes.txt"), "x").unwrap();
    let id = path.file_stem().unwrap().to_string_lossy().into_owned();
    let short = id.rsplit('-').next().unwrap();
    let locks = there.path().join("locks");
    let lock = names(&locks).into_iter().find(|name| name.starts_with(short)).unwrap();
    let held = fs::File::options().write(true).open(locks.join(lock)).unwrap();
    held.lock().unwrap();
    let file = outside.path().join("open.backup");
    let made = run(&there, "backup", &file, &[]);
    let entries = whole.split_inclusive(|byte| *byte == b'\n').count();
    let told = format!("is open in another terminal: kept with the {entries} entries that it has");
    assert!(made.err.contains(&told), "{made}");
    assert!(made.err.contains("left out: FOLDER/sessions/notes.txt"), "{made}");
    assert!(made.out.ends_with("1 file LEFT OUT: see above\n"), "{made}");
    // It is not all that was to be done: a script is told by the exit code.
    assert_eq!(made.code, 1, "{made}");
    let ends = made.err.lines().rev().take(2).collect::<Vec<_>>();
    assert_eq!(ends[1], "error: 1 file of the data folder was left out of the backup");
    assert!(ends[0].starts_with("hint: what is in it is whole"), "{made}");
    let here = Place::new();
    run(&here, "restore", &file, &[]).done();
    assert_eq!(fs::read(&here.journals()[2]).unwrap(), whole);
    held.unlock().unwrap();
    // Nobody has it open: a line that was cut off is kept as it is.
    let file = outside.path().join("closed.backup");
    run(&there, "backup", &file, &[]);
    let here = Place::new();
    run(&here, "restore", &file, &[]).done();
    assert!(fs::read(&here.journals()[2]).unwrap().ends_with(b"{\"half"));
}

#[test]
fn longer_shorter_and_forked_sessions_are_kept_side_by_side() {
    let (there, outside, full) = kept();
    let path = there.journals()[2].clone();
    let bytes = fs::read(&path).unwrap();
    let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let short = lines[..lines.len() - 3].concat();
    fs::write(&path, &short).unwrap();
    let behind = outside.path().join("behind.backup");
    let made = run(&there, "backup", &behind, &[]);
    let fewer = "in the backup as it is: session SESSION-3: this session had ";
    assert!(made.code == 0 && made.err.contains(fewer), "{made}");
    there.run_typing(&["session", "Trainer", "--plain"], "\n");
    let forked = outside.path().join("forked.backup");
    assert_eq!(run(&there, "backup", &forked, &[]).code, 0);

    let here = Place::new();
    run(&here, "restore", &full, &[]).done();
    let before = everything(here.path());
    let shown = run(&here, "restore", &behind, &[]);
    assert!(shown.done().contains("here already, and further on"), "{shown}");
    assert_eq!(everything(here.path()), before);
    let shown = run(&here, "restore", &forked, &[]);
    assert!(shown.done().contains("copied as another version: it differs after"), "{shown}");
    let after = everything(here.path());
    assert!(before.iter().all(|(name, bytes)| after.get(name) == Some(bytes)));
    assert_eq!(after.len(), before.len() + 1);
    run(&here, "restore", &forked, &[]).done();
    assert_eq!(everything(here.path()), after);

    let third = Place::new();
    run(&third, "restore", &behind, &[]).done();
    let shown = run(&third, "restore", &full, &[]);
    assert!(shown.done().contains("it goes further than the one here"), "{shown}");
    let shown = run(&third, "restore", &full, &[]);
    assert!(shown.done().ends_with("0 of 6 copied\n"), "{shown}");
}

#[test]
fn what_differs_is_kept_and_replaced_only_where_that_is_said() {
    let (there, _outside, file) = kept();
    let old = everything(there.path());
    there.run(&["engine", "hours", "Trainer", "700", "--so-it-is"]).told_over_a_session();
    there.run(&["settings", "theme", "dark"]).done();
    let own = there.path().join("profiles/my-engine.json");
    let profile = fs::read_to_string(&own).unwrap();
    let mut profile: serde_json::Value = serde_json::from_str(&profile).unwrap();
    profile["firing_order"] = serde_json::json!([1, 4, 2, 3]);
    profile["valves"]["intake"]["least"] = "0.004 in".into();
    fs::write(&own, profile.to_string()).unwrap();
    let before = everything(there.path());
    let shown = run(&there, "restore", &file, &[]);
    assert!(shown.done().contains("700.0 h on "), "{shown}");
    assert!(shown.out.contains("0 of 6 copied; 3 differ and are kept as they are here"), "{shown}");
    assert_eq!(everything(there.path()), before);
    let which = ["--replace", "engines,profiles,settings"];
    let dry = run(&there, "restore", &file, &[&which[..], &["--dry-run"]].concat());
    assert_eq!(everything(there.path()), before);
    let shown = run(&there, "restore", &file, &which);
    assert_eq!(in_deed(dry.done()), shown.done());
    // Exactly what it changes, field by field.
    for words in [
        "engine Trainer: replaced; the one here is set aside as ENGINE-1.json.before-restore-1: \
         hours told only here: 700.0 h on ",
        "firing order: 1 4 2 3 here, 1 3 2 4 in the backup",
        "intake least: 0.004 in here, 0.005 in in the backup",
        "settings: replaced; the one here is set aside as settings.json.before-restore-1: theme: \
         dark here, nothing in the backup",
    ] {
        assert!(shown.out.contains(words), "{words}: {shown}");
    }
    let lines = shown.out.lines().filter(|line| line.contains("replaced; ")).count();
    assert_eq!((lines, shown.out.matches(" in the backup").count()), (3, 3), "{shown}");
    let after = everything(there.path());
    assert!(old.iter().all(|(name, bytes)| after.get(name) == Some(bytes)));
    for (name, bytes) in before.iter().filter(|(name, bytes)| old.get(*name) != Some(bytes)) {
        assert_eq!(after.get(&format!("{name}.before-restore-1")), Some(bytes), "{name}");
    }
    assert_eq!(after.len(), before.len() + 3);
    // An engine of a name that is taken comes under another.
    let here = Place::new();
    here.run(&["engine", "add", "trainer", "--profile", "flat-six", "--hours", "3"]).done();
    let shown = run(&here, "restore", &file, &[]);
    assert!(shown.done().contains("copied as Trainer 2"), "{shown}");
}

#[test]
fn a_backup_that_was_cut_or_changed_is_refused_before_anything_is_written() {
    let (_there, outside, file) = kept();
    let whole = fs::read(&file).unwrap();
    let here = Place::new();
    let bad = outside.path().join("bad.backup");
    let mut tried = 0;
    let mut refused = |bytes: &[u8], what: &str| {
        fs::write(&bad, bytes).unwrap();
        let shown = run(&here, "restore", &bad, &[]);
        assert!(shown.failed().0.contains("line "), "{what}: {shown}");
        assert_eq!(names(here.path()), Vec::<String>::new(), "{what}");
        tried += 1;
    };
    let ends: Vec<usize> = (0..whole.len()).filter(|at| whole[*at] == b'\n').collect();
    for end in &ends {
        for cut in [*end, *end + 1, end - 7] {
            if cut < whole.len() {
                refused(&whole[..cut], &format!("cut at {cut}"));
            }
        }
    }
    let step = if std::env::var_os("COWLSIDE_ALL_BYTES").is_some() { 1 } else { 997 };
    let some = (0..whole.len()).step_by(step).chain(whole.len() - 80..whole.len());
    for at in some {
        let mut bytes = whole.clone();
        bytes[at] ^= 1;
        refused(&bytes, &format!("byte {at}"));
    }
    refused(&[&whole[..], b"\n"].concat(), "more");
    assert!(tried > 100, "{tried}");
}

#[test]
fn hostile_content_is_refused_in_words_before_anything_is_written() {
    let outside = tempfile::tempdir().unwrap();
    let bad = outside.path().join("bad.backup");
    let here = Place::new();
    let sound = line("sessions/x.jsonl", "{}\n");
    let one = |text: &str| sealed(&head(1, 3), &[text.to_string()]);
    let named = |name: &str| sealed(&head(1, 3), &[line(name, "{}\n")]);
    let long = "x".repeat(64 * 1024 + 1);
    for (bytes, words) in [
        (named("sessions/../../x.jsonl"), "no name of a file"),
        (named("/tmp/x.jsonl"), "no name of a file"),
        (named("engines/../settings.json"), "no name of a file"),
        (named("sessions/a\\..\\x.jsonl"), "no name of a file"),
        (named("locks/engines.lock"), "no name of a file"),
        // The first version has none that was set aside.
        (named("settings.json.damaged-1"), "no name of a file"),
        (named("sessions/\u{1b}[2J.jsonl"), "no name of a file"),
        (sealed(&head(2, 6), &[sound.clone(), sound.clone()]), "stands there twice"),
        (one(&sound.replace("\"bytes\":3", "\"bytes\":4")), "is 3 bytes long, no 4"),
        (one(&sound.replace("{}", "[]")), "does not fit its sha256"),
        (one(&sound.replace("\"text\"", "\"hex\"")), "hex is no hex"),
        (one(&sound.replace("\"text\":\"{}\\n\"", "\"hex\":\"7b7d0\"")), "hex is no hex"),
        (one(&sound.replace("\"text\"", "\"hex\":\"7b7d0a\",\"text\"")), "one of them"),
        (one(&sound.replace("\"text\"", "\"link\":\"/etc\",\"text\"")), "no field that is known"),
        (sealed(&head(1, 4), std::slice::from_ref(&sound)), "have 3 bytes, and line 1 says 4"),
        (sealed(&head(2, 3), std::slice::from_ref(&sound)), "more files follow"),
        (sealed(&head(0, 0), std::slice::from_ref(&sound)), "the end must stand here"),
        (sealed(&head(999_999_999, 3), std::slice::from_ref(&sound)), "over 200000"),
        (sealed(&head(1, long.len()), &[line("profiles/x.json", &long)]), "over 65536"),
        (
            sealed(
                &head(1, 3).replace("\"version\":1", "\"version\":3"),
                std::slice::from_ref(&sound),
            ),
            "version is 3",
        ),
        (
            sealed(
                &head(1, 3).replace("\"version\":1", "\"version\":0"),
                std::slice::from_ref(&sound),
            ),
            "must be 1",
        ),
        (sealed(&"x".repeat(10_000), &[]), "longer than 4096 bytes"),
        (sealed("{\"format\":\"other\",\"version\":1}", &[]), "format is \"other\""),
        (b"\xff\n".to_vec(), "no UTF-8"),
        (Vec::new(), "cut off"),
    ] {
        fs::write(&bad, bytes).unwrap();
        let shown = run(&here, "restore", &bad, &[]);
        assert!(shown.failed().0.contains(words), "{words}: {shown}");
        assert_eq!(names(here.path()), Vec::<String>::new(), "{words}");
    }
    fs::write(&bad, one(&sound)).unwrap();
    let odd = run(&here, "restore", &bad, &[]);
    assert!(odd.code == 0 && odd.err.contains("this is no session file"), "{odd}");
    assert_eq!(fs::read(here.path().join("sessions/x.jsonl")).unwrap(), b"{}\n");
}

#[cfg(unix)]
#[test]
fn a_disk_that_is_full_leaves_nothing_of_a_backup_and_nothing_of_a_restore() {
    let (there, outside, file) = kept();
    let blocks = |home: &Path, verb: &str, file: &Path| {
        let line = format!("ulimit -f 8; exec \"$0\" {verb} \"$1\"");
        let shown = Command::new("sh")
            .args(["-c", &line, env!("CARGO_BIN_EXE_cowlside"), file.to_str().unwrap()])
            .env("COWLSIDE_HOME", home)
            .output()
            .unwrap();
        assert_eq!(shown.status.code(), Some(1), "{shown:?}");
        let said = String::from_utf8(shown.stderr).unwrap();
        assert!(said.starts_with("error: cannot write ") && said.contains("\nhint: "), "{said}");
    };
    blocks(there.path(), "backup", &outside.path().join("full.backup"));
    assert_eq!(names(outside.path()), ["workshop.backup"]);
    let here = Place::new();
    blocks(here.path(), "restore", &file);
    assert_eq!(everything(here.path()), BTreeMap::new());
}

#[test]
fn a_backup_says_what_is_damaged_in_it_besides_sessions_too() {
    let (place, outside, _) = kept();
    let sound = run(&place, "backup", &outside.path().join("sound.backup"), &[]);
    assert!(!sound.err.contains("in the backup as it is"), "{sound}");
    fs::write(place.path().join("settings.json"), "{\"bell").unwrap();
    fs::write(place.path().join("profiles/my-engine.json"), "{\"format\": 1").unwrap();
    let engines = place.path().join("engines");
    let engine = fs::read_dir(&engines).unwrap().next().unwrap().unwrap().path();
    fs::write(&engine, "{").unwrap();
    let made = run(&place, "backup", &outside.path().join("damaged.backup"), &[]);
    for kind in ["settings", "profile", "engine"] {
        let told = format!("warning: in the backup as it is: {kind}");
        assert!(made.err.contains(&told), "{kind}: {made}");
    }
}

#[test]
fn what_was_set_aside_is_carried_and_fails_no_later_backup() {
    let (place, outside, first) = kept();
    place.run(&["engine", "hours", "Trainer", "700", "--so-it-is"]).told_over_a_session();
    place.run(&["settings", "theme", "dark"]).done();
    run(&place, "restore", &first, &["--replace", "engines,settings"]).done();
    fs::write(place.path().join("settings.json"), "{\"bell").unwrap();
    place.run(&["settings", "bell", "off"]);
    let aside: Vec<String> = everything(place.path())
        .into_keys()
        .filter(|name| name.contains(".before-restore-1") || name.contains(".damaged-1"))
        .collect();
    assert_eq!(aside.len(), 3, "{aside:?}");
    let file = outside.path().join("with-asides.backup");
    let made = run(&place, "backup", &file, &[]);
    let counted = "1 engine, 3 sessions, 1 own profile, settings, 3 files set aside here; ";
    assert!(made.done().contains(counted), "{made}");
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.starts_with("{\"format\":\"cowlside backup\",\"version\":2,"), "{text}");
    // Without any it is one that older programs read, too.
    let plain = fs::read_to_string(&first).unwrap();
    assert!(plain.starts_with("{\"format\":\"cowlside backup\",\"version\":1,"), "{plain}");

    let here = Place::new();
    let done = run(&here, "restore", &file, &[]);
    assert!(done.done().contains("set aside: settings.json.damaged-1: copied"), "{done}");
    assert_eq!(everything(here.path()), everything(place.path()));
    let again = run(&here, "restore", &file, &[]);
    assert!(again.done().ends_with("0 of 9 copied\n"), "{again}");
    // Another one under its number keeps its place.
    let other = here.path().join("settings.json.damaged-1");
    let bytes = fs::read(&other).unwrap();
    fs::write(&other, "another").unwrap();
    let beside = run(&here, "restore", &file, &[]);
    assert!(beside.done().contains("copied as settings.json.damaged-2: "), "{beside}");
    assert_eq!(fs::read_to_string(&other).unwrap(), "another");
    assert_eq!(fs::read(here.path().join("settings.json.damaged-2")).unwrap(), bytes);
    assert!(run(&here, "restore", &file, &[]).done().ends_with("0 of 9 copied\n"));
}

#[test]
fn the_option_that_takes_what_differs_is_told_with_its_kinds() {
    let (place, _outside, file) = kept();
    place.run(&["settings", "theme", "dark"]).done();
    let one = run(&place, "restore", &file, &["--dry-run"]);
    let words =
        "1 differs and is kept as it is here: --replace settings takes the one of the backup\n";
    assert!(one.done().ends_with(words), "{one}");
    place.run(&["engine", "hours", "Trainer", "700", "--so-it-is"]).told_over_a_session();
    let two = run(&place, "restore", &file, &["--dry-run"]);
    assert!(two.done().contains(": --replace engines,settings takes the backup's\n"), "{two}");
}

#[test]
fn what_is_restored_though_it_cannot_be_used_or_hides_another_is_told() {
    let (place, outside) = (Place::new(), tempfile::tempdir().unwrap());
    let id = |digit: &str| format!("engines/{}.json", digit.repeat(26));
    let of = |name: &str| {
        let path = format!("{}/profiles/{name}.json", env!("CARGO_MANIFEST_DIR"));
        fs::read_to_string(path).unwrap()
    };
    let flawed = format!(
        "{{\"format\":1,\"id\":\"{}\",\"name\":\"Odd\",\"serial\":\"\",\"profile\":\"flat-four\",\"hours\":[]}}",
        "3".repeat(26)
    );
    let files = [
        (id("1"), "{\"x\"".to_owned()),
        (id("2"), "{\"format\":2}".to_owned()),
        (id("3"), flawed),
        ("settings.json".to_owned(), "{\"bell\":".to_owned()),
        ("profiles/mine.json".to_owned(), "{}".to_owned()),
        ("profiles/flat-four.json".to_owned(), of("flat-six")),
        ("profiles/flat-six.json".to_owned(), of("flat-six")),
    ];
    let lines: Vec<String> = files.iter().map(|(path, text)| line(path, text)).collect();
    let bytes = files.iter().map(|(_, text)| text.len()).sum();
    let file = outside.path().join("odd.backup");
    fs::write(&file, sealed(&head(files.len(), bytes), &lines)).unwrap();
    let shown = run(&place, "restore", &file, &["--dry-run"]);
    assert!(shown.code == 0 && shown.err.contains("copied as it is: settings: "), "{shown}");
    let shown = run(&place, "restore", &file, &[]);
    assert_eq!(shown.code, 0, "{shown}");
    for words in [
        "copied as it is: engine ENGINE-1: ",
        "written by a newer version of the program (format 2)",
        "copied as it is: engine Odd: `hours` is empty",
        "copied as it is: settings: ",
        "copied as it is: profile mine: ",
        "profile flat-four takes the place of the built-in one of that name",
    ] {
        assert!(shown.err.contains(words), "{words}: {shown}");
    }
    assert_eq!(shown.err.lines().count(), 6, "{shown}");
}

#[test]
fn a_dash_is_no_file_of_that_name() {
    let place = with_services();
    for verb in ["backup", "restore", "import", "take"] {
        let shown = place.run(&[verb, "-"]);
        assert!(shown.code == 2 && shown.err.contains("`-` names no file"), "{verb}: {shown}");
    }
    assert!(!Path::new("-").exists());
}
