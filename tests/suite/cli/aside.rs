//! Small files of the program's own that cannot be read: said, set aside where they stand in the way,
//! never overwritten; and how to go on with an engine whose file is damaged or gone.

use super::{Place, Shown, in_deed, with_trainer};
use crate::cli::services::with_services;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const DAMAGED: [&[u8]; 5] = [b"", b"{", b"\0\0\0\0", b"{\"format\":0}\n", b"\xff\xfe"];

/// The files of a folder whose names hold a mark, in order.
fn marked(folder: &Path, mark: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut found: Vec<PathBuf> =
        entries.filter(|path| path.to_string_lossy().contains(mark)).collect();
    found.sort();
    found
}

fn engine_file(place: &Place) -> PathBuf {
    let files = marked(&place.path().join("engines"), ".json");
    let [file] = files.as_slice() else { panic!("{files:?}") };
    file.clone()
}

fn add(place: &Place, more: &[&str]) -> Shown {
    let words = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours"];
    place.run(&[&words[..], more].concat())
}

/// Settings with looks that only a newer program can know.
const NEWER_LOOKS: &str = "{\"format\":1,\"theme\":\"purple\",\"seen_from\":\"above\"}";

#[test]
fn looks_that_are_none_are_told_with_the_file_and_those_that_are_and_are_not_lost() {
    let place = Place::new();
    let file = place.path().join("settings.json");
    fs::write(&file, NEWER_LOOKS).unwrap();
    let shown = place.run(&["settings"]);
    assert_eq!((shown.code, shown.out.as_str()), (0, "bell   on\ntheme  terminal\n"), "{shown}");
    for words in [
        "FOLDER/settings.json: `theme` is \"purple\", and must be one of: terminal, daylight, dark; terminal is used",
        "FOLDER/settings.json: `seen_from` is \"above\", and must be one of: rear, left, front, right; rear is used",
    ] {
        assert!(shown.err.contains(words), "{shown}");
    }
    assert_eq!(fs::read_to_string(&file).unwrap(), NEWER_LOOKS);
    // Another setting is changed, and they stay; what is chosen in their place takes it.
    assert_eq!(place.run(&["settings", "bell", "off"]).code, 0);
    let kept = fs::read_to_string(&file).unwrap();
    assert!(kept.contains("\"purple\"") && kept.contains("\"above\""), "{kept}");
    let shown = place.run(&["settings", "theme", "dark"]);
    assert!(!shown.err.contains("purple") && shown.err.contains("above"), "{shown}");
}

#[test]
fn damaged_settings_are_said_left_alone_by_reading_and_set_aside_by_a_change() {
    let place = with_trainer();
    let file = place.path().join("settings.json");
    for (n, bytes) in (1..).zip(DAMAGED) {
        fs::write(&file, bytes).unwrap();
        let shown = place.run(&["settings"]);
        assert_eq!(shown.code, 0, "{shown}");
        assert!(shown.err.starts_with("warning: FOLDER/settings.json is damaged: "), "{shown}");
        assert!(shown.err.contains("kept under another name when a setting is changed"), "{shown}");
        place.run(&["engines"]).done();
        assert_eq!(fs::read(&file).unwrap(), bytes);
        let shown = place.run(&["settings", "theme", "dark"]);
        assert_eq!((shown.code, shown.out.as_str()), (0, "bell   on\ntheme  dark\n"), "{shown}");
        let aside = format!("kept as FOLDER/settings.json.damaged-{n}; ");
        assert!(shown.err.contains(&aside), "{shown}");
        place.run(&["settings"]).done();
    }
    let asides = marked(place.path(), ".damaged-");
    let kept: Vec<Vec<u8>> = asides.iter().map(|aside| fs::read(aside).unwrap()).collect();
    assert_eq!(kept, DAMAGED);
}

#[test]
fn an_engine_whose_file_is_damaged_is_never_written_over_and_made_anew_finds_its_sessions() {
    let place = with_services();
    let file = engine_file(&place);
    let sessions = place.run(&["sessions", "Trainer"]).done().to_owned();
    let compared = place.run(&["compare", "Trainer"]).done().to_owned();
    for (n, bytes) in (1..).zip(DAMAGED) {
        fs::write(&file, bytes).unwrap();
        let listed = place.run(&["engines"]);
        assert!(
            listed.err.contains("left out: FOLDER/engines/ENGINE-1.json is damaged"),
            "{listed}"
        );
        let how = "\"Trainer\": 3 sessions here, but no file of that engine that can be read: \
                   cowlside engine add Trainer --of SESSION-3 and they are found again, or cowlside \
                   restore BACKUP";
        assert!(listed.err.contains(how), "{listed}");
        for words in [
            &["engine", "hours", "Trainer", "700"][..],
            &["session", "Trainer", "--plain"],
            &["history", "Trainer"],
        ] {
            let refused = place.run(words);
            assert!(refused.failed().1.contains(how), "{refused}");
            assert_eq!(fs::read(&file).unwrap(), bytes, "{words:?}");
        }
        // Its counter does not run backwards because its file is gone.
        let refused = add(&place, &["3"]);
        let (error, hint) = refused.failed();
        assert_eq!(error, "3.0 h are fewer than the 600.0 h told before at its last session here");
        assert!(hint.contains("--counter-replaced"), "{hint}");
        assert_eq!(fs::read(&file).unwrap(), bytes);

        let added = add(&place, &["700"]);
        assert_eq!((added.code, added.out.as_str()), (0, "added Trainer at 700.0 h\n"), "{added}");
        assert!(added.err.contains("warning: Trainer is here again with 3 sessions"), "{added}");
        let aside =
            format!("its damaged file is kept as FOLDER/engines/ENGINE-1.json.damaged-{n}\n");
        assert!(added.err.contains(&aside), "{added}");
        assert_eq!(place.run(&["sessions", "Trainer"]).done(), sessions);
        assert_eq!(place.run(&["compare", "Trainer"]).done(), compared);
        let engine: serde_json::Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
        let hours: Vec<i64> = engine["hours"]
            .as_array()
            .unwrap()
            .iter()
            .map(|told| told["hours"].as_i64().unwrap())
            .collect();
        assert_eq!(hours, [41_260, 51_020, 60_000, 70_000]);
        assert_eq!(engine["worker"], "J. Doe");
        assert!(add(&place, &["700"]).failed().0.contains("already"), "its name is taken again");
    }
    let asides = marked(&place.path().join("engines"), ".damaged-");
    let kept: Vec<Vec<u8>> = asides.iter().map(|aside| fs::read(aside).unwrap()).collect();
    assert_eq!(kept, DAMAGED);
    // The open session goes on.
    let gone_on = place.run(&["session", "Trainer", "--plain"]);
    assert!(gone_on.out.starts_with("Open: "), "{gone_on}");
}

/// What a newer version may write: fields of its own too.
const NEWER: [&str; 2] = ["{\"format\":9}\n", "{\"format\":2,\"name\":\"Trainer\",\"new\":[{}]}\n"];

#[test]
fn files_of_a_newer_version_are_refused_by_name_and_nothing_is_renamed_or_written_over() {
    let place = with_services();
    let (engine, settings) = (engine_file(&place), place.path().join("settings.json"));
    for (text, format) in NEWER.iter().zip([9, 2]) {
        let by = format!("was written by a newer version of the program (format {format})");
        fs::write(&settings, text).unwrap();
        let shown = place.run(&["settings"]);
        let told = format!(
            "warning: FOLDER/settings.json {by}; the settings of a new program are in use, and no \
             change of a setting is kept: it is not overwritten\n"
        );
        assert_eq!((shown.code, shown.err.as_str()), (0, told.as_str()), "{shown}");
        let refused = place.run(&["settings", "theme", "dark"]);
        let (error, hint) = refused.failed();
        assert_eq!(error, format!("FOLDER/settings.json {by}"));
        assert_eq!(hint, "use that newer version, or move the file away; it is left as it is");
        assert_eq!(fs::read_to_string(&settings).unwrap(), *text);
        fs::remove_file(&settings).unwrap();

        let sound = fs::read(&engine).unwrap();
        fs::write(&engine, text).unwrap();
        let how = "\"Trainer\": 3 sessions here, but a newer version of the program wrote the file \
                   of that engine: use that version";
        let listed = place.run(&["engines"]);
        let left_out = format!("left out: FOLDER/engines/ENGINE-1.json {by}\n");
        assert!(listed.err.contains(&left_out) && listed.err.contains(how), "{listed}");
        assert!(!listed.err.contains("engine add"), "{listed}");
        let refused = place.run(&["engine", "hours", "Trainer", "700"]);
        assert!(refused.failed().1.contains(how), "{refused}");
        let refused = add(&place, &["700"]);
        assert_eq!(refused.failed().0, format!("FOLDER/engines/ENGINE-1.json {by}"), "{refused}");
        assert_eq!(fs::read_to_string(&engine).unwrap(), *text);
        fs::write(&engine, sound).unwrap();
    }
    assert_eq!(marked(place.path(), ".damaged-"), [""; 0].map(PathBuf::from));
    assert_eq!(marked(&place.path().join("engines"), ".damaged-"), [""; 0].map(PathBuf::from));
    place.run(&["engines"]).done();
}

#[test]
fn an_engine_whose_file_is_gone_is_told_and_found_again_but_not_by_another_serial_number() {
    let place = Place::new();
    add(&place, &["412.6", "--serial", "T-17"]).done();
    place.run_typing(&["session", "Trainer", "--plain"], "\n\n").done();
    let file = engine_file(&place);
    fs::remove_file(&file).unwrap();
    let listed = place.run(&["engines"]);
    assert!(listed.err.contains("\"Trainer\": 1 session here, but no file of"), "{listed}");
    let other = add(&place, &["412.6", "--serial", "T-18"]);
    assert_eq!(other.done(), "added Trainer at 412.6 h\n");
    assert_ne!(engine_file(&place), file);
    fs::remove_file(engine_file(&place)).unwrap();
    let added = add(&place, &["412.6"]);
    assert!(added.err.contains("Trainer is here again with 1 session;"), "{added}");
    let engine: serde_json::Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    assert_eq!(engine["serial"], "T-17");
    place.run(&["engines"]).done();
}

#[test]
fn what_was_set_aside_or_left_by_a_killed_run_is_no_engine_profile_or_session() {
    let place = with_services();
    let before = place.run(&["engines"]).done().to_owned();
    let profiles = place.run(&["profiles"]).done().to_owned();
    let sessions = place.run(&["sessions", "Trainer"]).done().to_owned();
    let id = "0123456789abcdefghjkmnpqrs";
    let engine = engine_file(&place);
    let session = place.journals()[0].clone();
    fs::create_dir_all(place.path().join("profiles")).unwrap();
    let litter = [
        engine.with_extension(format!("{id}.new")),
        session.with_extension(format!("{id}.new")),
        place.path().join(format!("profiles/mine.{id}.new")),
        place.path().join(format!("settings.{id}.new")),
        place.path().join(format!("cache/engines-index.{id}.new")),
    ];
    for path in &litter {
        fs::copy(&engine, path).unwrap();
    }
    fs::copy(&session, &litter[1]).unwrap();
    let asides = [
        PathBuf::from(format!("{}.damaged-1", engine.display())),
        PathBuf::from(format!("{}.before-restore-1", engine.display())),
        place.path().join("profiles/mine.json.damaged-1"),
    ];
    for path in &asides {
        fs::copy(&engine, path).unwrap();
    }
    assert_eq!(place.run(&["engines"]).done(), before);
    assert_eq!(place.run(&["profiles"]).done(), profiles);
    assert_eq!(place.run(&["sessions", "Trainer"]).done(), sessions);
    place.run(&["verify", "--all"]).done();
    let outside = tempfile::tempdir().unwrap();
    let backup = outside.path().join("x.backup");
    let made = place.run(&["backup", backup.to_str().unwrap()]);
    let counted = "1 engine, 3 sessions, 0 own profiles, no settings, 3 files set aside here; ";
    assert!(made.done().contains(counted), "{made}");
    // Each goes when something is written there the next time; what was set aside stays.
    let gone = |n: usize| !litter[n].exists();
    let told = place.run(&["engine", "hours", "Trainer", "700", "--so-it-is"]);
    assert!(told.code == 0 && told.err.contains("has a session open, with 80 pieces"), "{told}");
    assert!(gone(0) && gone(4) && !gone(1) && !gone(3));
    place.run(&["settings", "bell", "off"]).done();
    assert!(gone(3) && !gone(1));
    place.run(&["restore", backup.to_str().unwrap()]).done();
    assert!(gone(1) && gone(2));
    assert!(asides.iter().all(|path| path.exists()));
}

/// A folder or file that cannot be written to, until this is dropped.
#[cfg(target_os = "linux")]
struct Fixed(PathBuf);

#[cfg(target_os = "linux")]
impl Fixed {
    /// Root may write anywhere but to what the disk itself keeps as it is: where that cannot be told to,
    /// nothing is fixed, and it is said.
    fn at(path: &Path) -> Option<Fixed> {
        let fixed = Fixed(path.to_owned());
        fixed.rights(if path.is_dir() { 0o500 } else { 0o400 });
        let refuses = match path.is_dir() {
            true => fs::File::create(path.join("probe")).is_err(),
            false => fs::File::options().append(true).open(path).is_err(),
        };
        if refuses || fixed.keep("+i") {
            return Some(fixed);
        }
        println!("SKIPPED: nothing was made unchangeable. Root needs chattr for this.");
        None
    }

    fn rights(&self, mode: u32) {
        let rights = std::os::unix::fs::PermissionsExt::from_mode(mode);
        fs::set_permissions(&self.0, rights).unwrap();
    }

    fn keep(&self, how: &str) -> bool {
        let mut chattr = Command::new("chattr");
        chattr.arg(how).arg(&self.0).stderr(Stdio::null());
        chattr.status().is_ok_and(|status| status.success())
    }
}

#[cfg(target_os = "linux")]
impl Drop for Fixed {
    fn drop(&mut self) {
        // Only one of the two was needed.
        let _ = self.keep("-i");
        self.rights(0o700);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn where_no_session_can_be_made_the_right_to_write_is_named_and_a_folder_is_asked_for() {
    let (place, stick) = (with_trainer(), tempfile::tempdir().unwrap());
    let Some(fixed) = Fixed::at(&place.path().join("sessions")) else { return };
    let asked = place.run_typing(&["session", "Trainer", "--plain"], "413\n\n");
    let typed = format!("413\n\n{}\nJ. Doe\n", stick.path().display());
    let shown = place.run_typing(&["session", "Trainer", "--plain"], &typed);
    let listed = place.run(&["engines"]);
    drop(fixed);
    assert!(asked.code == 0 && asked.out.trim_end().ends_with("(as in /media/stick)"), "{asked}");
    let told = "cannot write to FOLDER/sessions: its rights do not allow it: have its owner give you \
                the right to write there; nothing was changed; or ";
    assert!(asked.err.contains(told), "{asked}");
    assert!(asked.err.contains("COWLSIDE_HOME=FOLDER cowlside take FOLDER, then"), "{asked}");
    assert!(shown.code == 0 && shown.out.contains("saved: J. Doe at work"), "{shown}");
    assert!(shown.err.contains("its 413.0 h are not kept beside the engine"), "{shown}");
    // Where it lies is noted here, and told by the list.
    let path = fs::read_dir(stick.path()).unwrap().next().unwrap().unwrap().path();
    let take = format!("cowlside take {}", path.display());
    assert!(shown.err.contains(&take) && listed.err.contains(&take), "{listed}");
    assert!(listed.out.contains("SERVICE KEPT ELSEWHERE"), "{listed}");
    let not_in = |of: &str| format!("error: 1 session is kept elsewhere, and not in the {of}");
    assert!(listed.code == 1 && listed.err.contains(&not_in("list")), "{listed}");
    let sessions = place.run(&["sessions", "Trainer"]);
    assert!(sessions.err.contains(&take) && sessions.err.contains(&not_in("list")), "{sessions}");
    let table = place.run(&["export"]);
    assert!(table.err.contains(&take) && table.err.contains(&not_in("table")), "{table}");
    let page = place.run(&["session", "Trainer", "--plain"]);
    let in_a_line =
        |said: &Shown| said.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(in_a_line(&page).contains("(Trainer) goes on in "), "{page}");
    let all = place.run(&["verify", "--all"]);
    assert!(all.out.contains("ELSEWHERE"), "{all}");
    assert!(in_a_line(&all).contains("1 session goes on elsewhere."), "{all}");
    for said in [&listed, &sessions, &table, &page, &all] {
        let words = in_a_line(said);
        assert!(!words.contains("GONE") && !words.contains("its file is gone"), "{said}");
    }
    place.run(&["take", path.to_str().unwrap()]).done();
    assert!(place.run(&["engines"]).done().contains("a session is open"));
}

#[cfg(target_os = "linux")]
#[test]
fn a_session_that_may_not_be_written_to_is_looked_at_and_no_going_on_is_offered() {
    let place = with_services();
    let Some(fixed) = Fixed::at(&place.journals()[2]) else { return };
    let shown = place.run_typing(&["session", "Trainer", "--plain"], "7\nq\n");
    drop(fixed);
    assert_eq!(shown.code, 0, "{shown}");
    assert!(shown.out.contains("ONLY LOOKING: nothing may be written there"), "{shown}");
    assert!(shown.out.contains("have its owner give you the right to write it"), "{shown}");
    assert!(shown.out.contains("! nothing is taken here: q\n"), "{shown}");
    assert!(!shown.out.contains("take it over here"), "{shown}");
}

#[cfg(target_os = "linux")]
#[test]
fn where_nothing_can_be_renamed_the_damaged_file_stays_and_the_words_say_so() {
    let place = with_trainer();
    place.run(&["settings", "bell", "off"]).done();
    let file = place.path().join("settings.json");
    fs::write(&file, DAMAGED[1]).unwrap();
    let Some(fixed) = Fixed::at(place.path()) else { return };
    let refused = place.run(&["settings", "theme", "dark"]);
    let left = marked(place.path(), "settings");
    drop(fixed);
    let (error, hint) = refused.failed();
    assert_eq!(error, "cannot set aside FOLDER/settings.json: its rights do not allow it");
    assert_eq!(hint, "choose a place that you may write to");
    assert_eq!(left, std::slice::from_ref(&file));
    assert_eq!(fs::read(&file).unwrap(), DAMAGED[1]);
}

#[test]
fn a_shop_whose_only_engine_cannot_be_read_is_not_told_that_it_has_none() {
    let place = super::with_trainer();
    let file = engine_file(&place);
    fs::write(&file, "{bad").unwrap();
    let listed = place.run(&["engines"]);
    let out = listed.out.clone();
    assert_eq!(listed.code, 1, "{listed}");
    assert!(!out.contains("No engine yet"), "{listed}");
    for words in
        ["FOLDER/engines/ENGINE-1.json is damaged", "cowlside restore", "add the engine anew"]
    {
        assert!(out.contains(words), "{words}: {listed}");
    }
    // Whoever asks for one is told the same.
    let asked = place.run(&["history", "Trainer"]);
    let (error, hint) = asked.failed();
    assert_eq!(error, "no engine is called \"Trainer\"");
    assert!(
        !hint.contains("there is none yet")
            && hint.contains("is damaged")
            && hint.contains("cowlside restore"),
        "{hint}"
    );
    // Of two the other is listed, and nothing of it is said but the warning.
    fs::remove_file(&file).unwrap();
    assert!(place.run(&["engines"]).done().starts_with("No engine yet."));
}

#[test]
fn a_restore_that_brings_and_sets_aside_under_one_name_gives_each_its_own() {
    let (there, here, outside) = (Place::new(), with_trainer(), tempfile::tempdir().unwrap());
    let [first, second] = ["first", "second"].map(|name| outside.path().join(name));
    let [first, second] = [first, second].map(|path| path.to_str().unwrap().to_owned());
    let theme = |place: &Place, theme| place.run(&["settings", "theme", theme]).done().len();
    theme(&there, "dark");
    there.run(&["backup", &first]).done();
    theme(&there, "daylight");
    there.run(&["restore", &first, "--replace", "settings"]).done();
    let brought = fs::read(there.path().join("settings.json.before-restore-1")).unwrap();
    there.run(&["backup", &second]).done();
    theme(&here, "terminal");
    let own = fs::read(here.path().join("settings.json")).unwrap();
    let replace = ["restore", &second, "--replace", "settings"];
    let dry = here.run(&[&replace[..], &["--dry-run"]].concat());
    let done = here.run(&replace);
    assert_eq!(in_deed(dry.done()), done.done());
    let asides = marked(here.path(), ".before-restore-");
    let mut kept: Vec<Vec<u8>> = asides.iter().map(|aside| fs::read(aside).unwrap()).collect();
    kept.sort();
    let mut wanted = vec![brought, own];
    wanted.sort();
    assert_eq!(kept, wanted, "{done}");
    assert_eq!(
        fs::read(here.path().join("settings.json")).unwrap(),
        fs::read(there.path().join("settings.json")).unwrap()
    );
}
