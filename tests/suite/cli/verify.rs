//! `verify`: what is whole and what is not, in words; copies, versions, doubtful clocks, seal codes.

use super::services::with_services;
use super::{Place, Shown, snapshot, with_trainer};
use crate::plain::Mechanic;
use std::fs;
use std::path::{Path, PathBuf};

const SESSION: &[&str] = &["session", "Trainer", "--plain"];

fn lines(path: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(path).unwrap();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

/// Every file of a folder with its bytes and the time it was last written.
fn everything(folder: &Path) -> Vec<(PathBuf, Vec<u8>, std::time::SystemTime)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(everything(&path));
        } else {
            let changed = path.metadata().unwrap().modified().unwrap();
            all.push((path.clone(), fs::read(&path).unwrap(), changed));
        }
    }
    all.sort();
    all
}

fn verify(place: &Place, words: &[&str]) -> Shown {
    place.run(&[&["verify"], words].concat())
}

/// The code on the record of a session.
fn code(place: &Place, n: usize) -> String {
    let path = place.journals()[n].to_string_lossy().into_owned();
    let document = place.run_unsettled(&["report", &path, "--format", "json"]).out;
    let document: serde_json::Value = serde_json::from_str(&document).unwrap();
    document["seal_code"].as_str().unwrap().to_owned()
}

#[test]
fn everything_whole_is_said_in_a_line_each_and_nothing_is_written() {
    let place = with_services();
    let before = everything(place.path());
    let all = verify(&place, &[]);
    snapshot("verify_all_whole", &all.to_string());
    assert_eq!(all.code, 0);
    assert_eq!(verify(&place, &["--all"]).out, all.out);
    let one = verify(&place, &[place.journals()[0].to_str().unwrap()]);
    snapshot("verify_signed", one.done());
    let json = verify(&place, &["--json"]).json();
    assert_eq!(
        (json["whole"].as_bool(), json["sessions"][0]["state"].as_str()),
        (Some(true), Some("whole"))
    );
    assert_eq!(everything(place.path()), before);
    // Nothing is made where there is nothing, either.
    let none = Place::new();
    assert!(verify(&none, &[]).done().contains("0 session files"));
    assert_eq!(fs::read_dir(none.path()).unwrap().count(), 0);
}

#[test]
fn each_damage_is_said_in_words_with_the_entries_that_are_missing_and_exit_code_1() {
    let place = with_services();
    let sessions = place.path().join("sessions");
    let [first, second, third] = [0, 1, 2].map(|n| place.journals()[n].clone());
    let whole = lines(&first);
    fs::write(&first, [&whole[..5], &whole[7..]].concat().concat()).unwrap();
    let text = String::from_utf8(fs::read(&second).unwrap()).unwrap();
    fs::write(&second, text.replace('\n', "\r\n")).unwrap();
    let bytes = fs::read(&third).unwrap();
    fs::write(&third, &bytes[..bytes.len() - 20]).unwrap();
    fs::write(sessions.join("a-stray.jsonl"), "cylinder;valve\n").unwrap();
    fs::write(sessions.join("an-empty-start.jsonl"), "{\"seq\":0,\"t\"").unwrap();
    fs::create_dir(sessions.join("b-folder.jsonl")).unwrap();
    fs::write(place.path().join("profiles/mine.json"), "{}").unwrap();
    fs::write(place.path().join("settings.json"), "{").unwrap();
    fs::write(place.path().join("engines/x.json"), "{}").unwrap();
    let all = verify(&place, &[]);
    assert_eq!(all.code, 1);
    let said = all.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "damaged at line 6",
        "entries 5-6 are missing",
        "the line endings were changed by another program",
        "the last entry is cut off",
        "this is no session file",
        "empty start",
        "is no ordinary file",
        "profile",
        "Not everything is whole.",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let one = verify(&place, &[first.to_str().unwrap()]);
    assert_eq!(one.code, 1);
    let told = one.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(&format!(": 0-4, 7-{}", whole.len() - 1)), "{told}");
    assert!(told.contains("entries before the end are damaged: it proves nothing"), "{told}");
    let json = place.run(&["verify", first.to_str().unwrap(), "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["sessions"][0]["missing"], serde_json::json!([5, 6]));
    assert_eq!(json["whole"], false);
}

#[test]
fn a_seal_code_stands_on_every_form_of_the_record_and_fits_only_its_own_file() {
    let place = with_services();
    let (first, second) = (code(&place, 0), code(&place, 1));
    assert_eq!((first.len(), first == second), (12, false));
    let path = place.journals()[0].to_string_lossy().into_owned();
    for form in ["text", "md", "html", "json"] {
        let shown = place.run_unsettled(&["report", &path, "--format", form]).out;
        assert!(shown.contains(&first), "{form}");
    }
    let listed = place.run_unsettled(&["sessions", "Trainer"]).out;
    assert!(listed.contains(&format!("signed, seal {first}")), "{listed}");
    let open = place.journals()[2].to_string_lossy().into_owned();
    assert!(!place.run_unsettled(&["report", &open]).out.contains("eal code"));
    // However it was written down.
    let noted = format!("{} {}-{}", &first[..4], first[4..8].to_uppercase(), &first[8..]);
    assert!(verify(&place, &[&path, "--code", &noted]).done().contains("fits"));
    let wrong = verify(&place, &[&path, "--code", &second]);
    assert!(wrong.code == 1 && wrong.out.contains("CODE DOES NOT FIT"), "{wrong}");
    assert!(verify(&place, &[&open, "--code", &first]).failed().0.contains("no seal code"));
}

#[test]
fn what_was_added_behind_the_end_and_must_not_be_is_not_said_to_be_nothing() {
    let place = with_services();
    let path = place.journals()[0].clone();
    let whole = verify(&place, &[path.to_str().unwrap()]);
    assert!(whole.done().contains("nothing was added since"), "{whole}");
    let taken = lines(&path);
    let of = |line: &Vec<u8>| String::from_utf8(line.clone()).unwrap();
    let reading = taken.iter().map(of).find(|line| line.contains("\"k\":\"reading\"")).unwrap();
    let last = of(taken.last().unwrap());
    let hash =
        last.trim_end().rsplit_once(",\"h\":\"").unwrap().1.trim_end_matches("\"}").to_owned();
    let (body, _) = reading.split_once(",\"h\":").unwrap();
    let seq =
        |line: &str| line.split_once("\"seq\":").unwrap().1.split_once(',').unwrap().0.to_owned();
    let member = |line: &str, name: &str| {
        let (_, rest) = line.split_once(&format!("\"{name}\":\"")).unwrap();
        rest.split_once('"').unwrap().0.to_owned()
    };
    let next = (seq(&last).parse::<u64>().unwrap() + 1).to_string();
    let body = body
        .replacen(&format!("\"seq\":{}", seq(&reading)), &format!("\"seq\":{next}"), 1)
        .replacen(&member(&reading, "p"), &hash, 1);
    let own = cowlside::store::hash::hex_of_sha256(body.as_bytes(), 16);
    let bytes = [fs::read(&path).unwrap(), format!("{body},\"h\":\"{own}\"}}\n").into()].concat();
    fs::write(&path, bytes).unwrap();
    let added = verify(&place, &[path.to_str().unwrap()]);
    assert!(added.out.contains(&format!("entry {next} (reading) must not stand there")), "{added}");
    assert!(!added.out.contains("nothing was added"), "{added}");
    assert_eq!(added.code, 1);
}

#[test]
fn the_code_is_said_at_the_signature() {
    let place = with_trainer();
    let shown = place.run_asked(SESSION, &mut Mechanic::default());
    assert!(shown.done().contains("Seal code SEAL-CODE-01: note it on the job sheet"), "{shown}");
}

#[test]
fn equal_copies_count_once_and_a_damaged_copy_is_no_version() {
    let place = with_services();
    let path = place.journals()[0].clone();
    let history = place.run(&["history", "Trainer", "--json"]).json();
    let mut bytes = fs::read(&path).unwrap();
    fs::write(path.with_file_name("00000000-copy.jsonl"), &bytes).unwrap();
    bytes.truncate(bytes.len() * 2 / 3);
    fs::write(path.with_file_name("00000001-part.jsonl"), &bytes).unwrap();
    let mut damaged = fs::read(&path).unwrap();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 1;
    fs::write(path.with_file_name("00000002-rot.jsonl"), &damaged).unwrap();
    let listed = place.run(&["sessions", "Trainer"]);
    assert_eq!(listed.out.lines().count(), 3, "{listed}");
    let told = "has several files: SESSION-1.jsonl, SESSION-2.jsonl, SESSION-3.jsonl say no more; \
                SESSION-2.jsonl is damaged: ";
    assert!(listed.err.contains(told), "{listed}");
    let away = "SESSION-4.jsonl is whole and has all that can be read here: once you have kept those \
                as evidence elsewhere, they may be moved out of the folder `sessions`\n";
    assert!(listed.err.contains(away), "{listed}");
    assert_eq!(listed.err.matches("has several files").count(), 1, "{listed}");
    let again = place.run(&["history", "Trainer", "--json"]);
    let again: serde_json::Value = serde_json::from_str(&again.out).unwrap();
    assert_eq!(
        again["valves"][0]["points"].as_array().unwrap().len(),
        history["valves"][0]["points"].as_array().unwrap().len()
    );
    let all = verify(&place, &[]);
    let words = all.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(all.code, 1);
    assert!(words.contains("is an equal copy; they count once"), "{all}");
    assert!(words.contains("has only a part of this"), "{all}");
}

#[test]
fn whole_entries_cut_off_the_end_are_missed_by_the_memo_which_may_be_deleted() {
    let place = with_services();
    let path = place.journals()[2].clone();
    let all = lines(&path);
    let words = format!(
        "this session had {} entries here last time, now it has {}",
        all.len(),
        all.len() - 4
    );
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    let told = |shown: &Shown| shown.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    let checked = verify(&place, &[path.to_str().unwrap()]);
    assert!(checked.code == 1 && told(&checked).contains(&words), "{checked}");
    assert!(told(&place.run(&["sessions", "Trainer"])).contains(&words));
    let opened = place.run_typing(SESSION, "");
    assert!(opened.code == 0 && opened.err.contains(&words), "{opened}");
    // It was told, and answered: from here on that is how it is.
    assert_eq!(verify(&place, &[path.to_str().unwrap()]).code, 1);
    assert_eq!(place.run_typing(SESSION, "1\n").code, 0);
    assert_eq!(verify(&place, &[path.to_str().unwrap()]).code, 0);
    fs::write(&path, all[..all.len() - 4].concat()).unwrap();
    fs::remove_dir_all(place.path().join("cache")).unwrap();
    assert_eq!(verify(&place, &[path.to_str().unwrap()]).code, 0);
    place.run_typing(SESSION, "").done();
}

#[test]
fn a_newer_program_is_named_and_nothing_is_guessed() {
    let place = with_services();
    let path = place.journals()[0].clone();
    let text = String::from_utf8(fs::read(&path).unwrap()).unwrap();
    let (first, rest) = text.split_once('\n').unwrap();
    let body = first.split_once(",\"h\":").unwrap().0;
    let newer = body.replacen("\"need\":[]", "\"need\":[\"pictures\"]", 1);
    assert_ne!(newer, body);
    let hash = cowlside::store::hash::hex_of_sha256(newer.as_bytes(), 16);
    fs::write(&path, format!("{newer},\"h\":\"{hash}\"}}\n{rest}")).unwrap();
    let listed = place.run(&["sessions", "Trainer"]);
    assert!(
        listed.err.contains("written by a newer version; needs format 1, pictures"),
        "{listed}"
    );
}

/// 1969, the second after 32 bits run out, 2106, 9999, a year back.
const CLOCKS: [i64; 5] =
    [-86_400_000, 2_147_558_400_000, 4_294_967_296_000, 253_402_300_700_000, 1_741_900_000_000];

#[test]
fn a_clock_that_shows_anything_stops_nothing_and_is_doubted_where_it_must_be() {
    let mut tried = 0;
    for clock in CLOCKS {
        let place = with_trainer();
        place.set_clock(clock);
        let mut mechanic = Mechanic { stops_at: Some("Gauge 2 intake"), ..Mechanic::default() };
        let shown = place.run_asked(SESSION, &mut mechanic);
        assert_eq!(shown.code, 0, "{clock}: {shown}");
        // Between two runs the clock goes back ten days, then to the truth.
        place.set_clock(clock - 10 * 86_400_000);
        mechanic.stops_at = Some("Gauge 4 intake");
        place.run_asked(SESSION, &mut mechanic);
        place.set_clock(super::MORNING);
        mechanic.stops_at = None;
        let done = place.run_asked(SESSION, &mut mechanic);
        assert_eq!(done.code, 0, "{clock}: {done}");
        assert!(done.out.contains("· clock doubtful]"), "{clock}: {done}");
        let path = place.journals()[0].to_string_lossy().into_owned();
        for words in [
            vec!["sessions", "Trainer"],
            vec!["report", &path],
            vec!["report", &path, "--format", "html"],
            vec!["verify", &path],
        ] {
            let shown = place.run(&words);
            assert!(shown.out.contains("clock doubtful"), "{clock} {words:?}: {shown}");
            assert_eq!(shown.code, 0, "{clock} {words:?}: {shown}");
            tried += 1;
        }
        for words in [
            vec!["engines"],
            vec!["engines", "--json"],
            vec!["history", "Trainer"],
            vec!["history", "Trainer", "--json"],
            vec!["export"],
            vec!["export", "--jsonl"],
            vec!["report", &path, "--format", "json"],
            vec!["verify", "--json"],
            vec!["compare", "Trainer"],
            vec!["tag", "Trainer"],
        ] {
            assert!(place.run(&words).code <= 1, "{clock} {words:?}");
            tried += 1;
        }
    }
    assert_eq!(tried, 70);
}

#[test]
fn a_day_put_right_is_said_and_the_order_follows_it() {
    let place = with_services();
    // The third service was begun with a clock that stood at the beginning.
    place.run_typing(SESSION, ":*\n").done();
    let redated = place.run_typing(SESSION, &redating(&place));
    assert!(redated.out.contains("saved: dated 2025-12-24"), "{redated}");
    let listed = place.run(&["sessions", "Trainer"]);
    let first = listed.done().lines().next().unwrap();
    assert!(first.contains("2025-12-24") && first.contains("day corrected"), "{listed}");
}

/// What is typed to put the day right: the list of everything else, page by page.
fn redating(place: &Place) -> String {
    for pages in ["", "9\n", "9\n9\n", "9\n9\n9\n"] {
        let shown = place.run_typing(SESSION, &format!(":*\n{pages}"));
        let wanted = shown.out.lines().rev().find(|line| line.contains("the day of this service"));
        if let Some(digit) = wanted.and_then(|line| line.split_whitespace().next()) {
            return format!(":*\n{pages}{digit}\n2025-12-24\n1\n");
        }
    }
    panic!("nothing puts the day right")
}

#[test]
fn what_is_broken_behind_the_end_of_a_signed_session_takes_nothing_from_what_was_signed() {
    let place = with_trainer();
    place.run_asked(super::services::SESSION, &mut Mechanic::default()).done();
    let journal = place.journals()[0].clone();
    let mut bytes = fs::read(&journal).unwrap();
    bytes.extend([0; 4]);
    fs::write(&journal, bytes).unwrap();
    let checked = place.run(&["verify", &journal.to_string_lossy()]);
    let told = checked.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("4 bytes stand behind the last entry that is whole"), "{checked}");
    assert!(told.contains("all up to its end is whole"), "{checked}");
    assert!(!told.contains("go on with the session"), "{checked}");
    let report = place.run(&["report", &journal.to_string_lossy()]);
    assert!(!report.out.contains("certifies nothing"), "{report}");
    assert!(report.err.contains("4 bytes"), "{report}");
    assert_eq!(place.run(&["verify", "--all", "--code", "zzzzzzzzzzzz"]).code, 2);
}

#[test]
fn a_backup_that_is_given_for_a_session_is_told_as_one_with_what_checks_it() {
    let place = with_services();
    let outside = tempfile::tempdir().unwrap();
    for name in ["workshop.backup", "workshop"] {
        let file = outside.path().join(name).to_string_lossy().into_owned();
        place.run(&["backup", &file]).done();
        for verb in ["verify", "take"] {
            let shown = place.run(&[verb, &file]);
            let (error, hint) = shown.failed();
            assert_eq!(error, format!("{file} is a backup, no session"));
            let dry = format!("cowlside restore {file} --dry-run checks all of it");
            assert!(hint.starts_with(&dry), "{hint}");
            place.run(&["restore", &file, "--dry-run"]).done();
        }
    }
}

#[test]
fn a_long_path_is_never_broken_where_it_is_told() {
    let place = with_services();
    let outside = tempfile::tempdir().unwrap();
    let folder = outside.path().join("a-folder-with-a-long-name".repeat(4));
    fs::create_dir(&folder).unwrap();
    let copy = folder.join("copy.jsonl");
    fs::copy(&place.journals()[0], &copy).unwrap();
    let path = copy.to_string_lossy().into_owned();
    let shown = verify(&place, &[&path]);
    assert!(shown.out.contains(&format!("file                {path}\n")), "{shown}");
    assert!(shown.out.lines().all(|line| line.contains(&path) || line.len() <= 80), "{shown}");
    fs::write(&copy, "").unwrap();
    let empty = verify(&place, &[&path]);
    assert!(empty.out.contains(&path), "{empty}");
}

#[test]
fn a_damaged_file_beside_a_sound_copy_may_be_moved_away_and_then_all_is_whole() {
    let place = with_services();
    let path = place.journals()[0].clone();
    let sound = place.path().join("sound.jsonl");
    fs::copy(&path, &sound).unwrap();
    super::damage::damage(&path);
    let alone = verify(&place, &[]);
    assert!(alone.code == 1 && !alone.out.contains("may be moved"), "{alone}");
    place.run(&["take", sound.to_str().unwrap()]).done();
    let both = verify(&place, &[]);
    let words = both.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("is whole and has all that can be read here"), "{both}");
    assert_eq!(both.code, 1);
    fs::rename(&path, place.path().join("kept.jsonl")).unwrap();
    assert!(verify(&place, &[]).done().ends_with("Everything is whole.\n"));
}

#[test]
fn of_a_session_whose_last_line_is_broken_a_copy_is_looked_for_where_it_had_ended() {
    let place = with_services();
    let [signed, open] = [0, 2].map(|n| place.journals()[n].clone());
    for path in [&signed, &open] {
        let bytes = fs::read(path).unwrap();
        fs::write(path, &bytes[..bytes.len() - 20]).unwrap();
    }
    let said = |path: &Path| {
        let shown = verify(&place, &[path.to_str().unwrap()]);
        assert_eq!(shown.code, 1, "{shown}");
        shown.out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let signed = said(&signed);
    assert!(
        signed.contains("what to do the session had ended and its last line is broken"),
        "{signed}"
    );
    assert!(said(&open).contains("where there is none, go on with the session"));
}
