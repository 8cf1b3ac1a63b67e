//! A disk that takes no more, on the built program: the system's limit on the size of files cuts
//! writes short at a chosen byte, as a full disk does, and is lifted again.

use crate::plain_seat::Plain;
use crate::real::{invented, kept, newest_journal};
use crate::seat::Seat;
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::Entry;
use cowlside::store::journal::{self, Verdict};
use rustix::process::{Pid, Resource, Rlimit, prlimit};
use std::collections::BTreeSet;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Lets no file of the process grow beyond so many bytes.
pub fn limit(process: u32, bytes: Option<u64>) {
    let pid = Pid::from_raw(i32::try_from(process).unwrap());
    prlimit(pid, Resource::Fsize, Rlimit { current: bytes, maximum: None }).unwrap();
}

fn length(path: &Path) -> u64 {
    std::fs::metadata(path).unwrap().len()
}

#[test]
fn a_disk_full_at_each_write_is_told_at_once_and_everything_is_saved_when_there_is_room() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    let process = plain.child.id();
    let (mut faults, mut torn) = (0, 0);
    for round in 0..40_u64 {
        let before = length(&path);
        // Another byte each time: none of the line, some of it, nearly all.
        limit(process, Some(before + round * 13 % 230));
        let said = plain.answer();
        if length(&path) > before && said.contains("saved: ") && !said.contains("NOT SAVED") {
            // The line was shorter than the room that was left.
            limit(process, None);
            continue;
        }
        if said.contains("\nNOT SAVED: ") {
            faults += 1;
            torn += u32::from(length(&path) > before);
            assert!(said.contains(" - files may not grow further on "), "{said}");
            assert!(!said.contains("\nsaved: "), "{said}");
        }
        limit(process, None);
        let said = plain.answer();
        assert!(!said.contains("NOT SAVED"), "{said}");
        assert_eq!(journal::open(&path, &parse).unwrap().verdict, Verdict::Clean, "{round}");
    }
    println!("{faults} writes refused, {torn} of them in the middle of a line");
    assert!(faults >= 20 && torn >= 10, "{faults} {torn}");
    plain.child.kill().unwrap();
    plain.child.wait().unwrap();
    // Every answer has its entry, in one file.
    let entries = kept(&path).len();
    assert!(entries > 60, "{entries}");
    assert_eq!(std::fs::read_dir(plain.folder.join("sessions")).unwrap().count(), 1);
}

/// Room comes byte by byte: after each the line is torn one byte further on, which is what a death inside
/// the write leaves too. It is never called saved nor damaged, and is whole once there is room. A few lines;
/// most of a session with `COWLSIDE_EVERY_BYTE=1 cargo test --test suite full_disk:: -- --nocapture`.
#[test]
fn a_line_torn_at_each_of_its_bytes_is_cut_off_never_damaged_and_whole_once_there_is_room() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    let process = plain.child.id();
    let every = std::env::var_os("COWLSIDE_EVERY_BYTE").is_some();
    let (mut kinds, mut torn_at) = (BTreeSet::new(), 0);
    for _ in 0..if every { 70 } else { 12 } {
        let (before, whole) = (length(&path), kept(&path).len());
        limit(process, Some(before));
        let said = plain.answer();
        if !said.contains("\nNOT SAVED: ") {
            // A question that leads to another one keeps nothing yet.
            limit(process, None);
            continue;
        }
        assert!(!said.contains("\nsaved: "), "{said}");
        // One answer may make two lines.
        let told = said.split("NOT SAVED: ").nth(1).unwrap().split(' ').next().unwrap();
        let lines: usize = told.parse().unwrap();
        let copy = folder.path().join("torn.jsonl");
        for room in 1.. {
            limit(process, Some(before + room));
            let said = plain.type_in(":?");
            if !said.contains("NOT SAVED: ") {
                break;
            }
            assert!(!said.contains("\nsaved: "), "{said}");
            // The question does not wait for what is tried behind it.
            let since = Instant::now();
            while length(&path) < before + room {
                assert!(since.elapsed() < Duration::from_secs(30), "{room}: {said}");
                std::thread::sleep(Duration::from_millis(1));
            }
            std::fs::copy(&path, &copy).unwrap();
            let left = journal::open(&copy, &parse).unwrap();
            if left.entries.len() == whole + lines {
                // The last byte; whether it is on the disk the question before could not know.
                break;
            }
            let is_torn = matches!(left.verdict, Verdict::CutOff(_));
            let between = left.verdict == Verdict::Clean && left.entries.len() > whole;
            assert!(is_torn || between, "{room}: {:?}", left.verdict);
            torn_at += usize::from(is_torn);
        }
        limit(process, None);
        let since = Instant::now();
        while plain.type_in(":?").contains("NOT SAVED: ") {
            assert!(since.elapsed() < Duration::from_secs(30), "{}", plain.seen);
        }
        let now = journal::open(&path, &parse).unwrap();
        assert_eq!((now.verdict, now.entries.len()), (Verdict::Clean, whole + lines));
        let text = std::fs::read_to_string(&path).unwrap();
        let kind = text.lines().last().unwrap().split("\"k\":\"").nth(1).unwrap();
        kinds.insert(kind.split('"').next().unwrap().to_owned());
    }
    println!("torn at {torn_at} bytes, kinds {kinds:?}");
    assert!(torn_at > 1_000 && kinds.len() > if every { 7 } else { 1 }, "{torn_at} {kinds:?}");
    plain.kill();
}

#[test]
fn what_could_not_be_saved_is_told_word_for_word_at_the_end_and_the_exit_code_is_1() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    limit(plain.child.id(), Some(length(&path)));
    let before = kept(&path).len();
    // Some answers make no entry.
    for _ in 0..8 {
        if !plain.seen.contains("NOT SAVED: 3 entries - ") {
            plain.answer();
        }
    }
    assert!(plain.seen.contains("NOT SAVED: 3 entries - "), "{}", plain.seen);
    drop(plain.input.take());
    let mut err = String::new();
    plain.child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    assert_eq!(plain.child.wait().unwrap().code(), Some(1));
    let lines: Vec<&str> = err.lines().collect();
    let head = lines.iter().position(|line| line.starts_with("NOT SAVED: 3 entries")).unwrap();
    assert_eq!(lines[head + 1], "Write these down:", "{err}");
    assert_eq!(lines.len() - head, 6, "{err}");
    // The paper goes on where the prompt stood.
    let asked = lines[head + 5].strip_prefix("Asked next: ").unwrap();
    let (place, ask) = asked.rsplit_once(": ").unwrap();
    assert!(plain.seen.contains(ask), "{asked}");
    assert!(plain.seen.contains(&place.replacen(": ", "] ", 1)), "{asked}");
    assert_eq!(kept(&path).len(), before);
}

#[test]
fn the_screens_say_not_saved_go_on_and_save_when_there_is_room_or_elsewhere() {
    let folder = invented();
    let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
    seat.await_text("Which engine?");
    seat.answer();
    let path = newest_journal(&folder.path().join("demo"));
    let process = seat.child.process_id().unwrap();
    limit(process, Some(length(&path) + 20));
    seat.answer();
    seat.await_text("NOT SAVED: 1 entry - files may not grow further on");
    seat.answer();
    seat.await_text("NOT SAVED: 2 entries");
    limit(process, None);
    // Nobody touches a key: it is tried again after a while, and the screen says so.
    seat.await_that("end of the trouble", |text| !text.contains("NOT SAVED"));
    let saved = kept(&path).len();
    limit(process, Some(length(&path)));
    seat.answer();
    seat.await_text("NOT SAVED: 1 entry");
    let elsewhere = tempfile::tempdir().unwrap();
    seat.press("*");
    let list = seat.await_text("save the session to another folder");
    let row = list.lines().find(|line| line.contains("save the session to")).unwrap();
    let number: String = row.chars().filter(char::is_ascii_digit).collect();
    for digit in number.chars() {
        seat.press(digit.to_string());
    }
    seat.press("\r");
    seat.await_text("Which folder?");
    // The copy is larger than the limit: it is refused there, too, and nothing is lost.
    seat.press(format!("{}\r", elsewhere.path().display()));
    seat.await_text("not saved there");
    // What could be written of it is no session, and is not left for one.
    assert_eq!(std::fs::read_dir(elsewhere.path()).unwrap().count(), 0);
    limit(process, None);
    seat.press("\r");
    seat.await_text("all is saved in ");
    let copy = std::fs::read_dir(elsewhere.path()).unwrap().count();
    assert!(copy >= 1);
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    assert_eq!(seat.left_behind(), [""; 0]);
    let copy = newest_in(elsewhere.path());
    assert_eq!(kept(&copy).len(), saved + 1);
    assert_eq!(journal::open(&copy, &parse).unwrap().verdict, Verdict::Clean);
}

/// What a command of the built program says in a data folder: on standard output and standard error.
pub fn run_in(home: &Path, words: &[&str]) -> (Option<i32>, String, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_cowlside"));
    let ran = command.args(words).env_clear().env("COWLSIDE_HOME", home).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (ran.status.code(), text(ran.stdout), text(ran.stderr))
}

#[test]
fn a_plain_session_saves_all_to_another_folder_and_its_own_tells_where_it_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    let (process, left) = (plain.child.id(), kept(&path).len());
    limit(process, Some(length(&path)));
    for _ in 0..8 {
        if !plain.seen.contains("NOT SAVED: 2 entries - ") {
            plain.answer();
        }
    }
    // Beside each question, in the list of all else and in the help.
    for typed in [":*", ":?"] {
        assert!(
            plain.type_in(typed).contains("save  save the session to another folder"),
            "{typed}"
        );
    }
    plain.type_in(":b");
    assert!(plain.type_in(":save").contains("Which folder? "), "{}", plain.seen);
    // Enter alone goes back; the copy is larger than the limit, and a folder may not be there.
    assert!(!plain.type_in("").contains("saved"), "{}", plain.seen);
    plain.type_in(":save");
    for to in [elsewhere.path().to_str().unwrap(), "/none/such"] {
        let refused = plain.type_in(to);
        assert!(
            refused.contains("! not saved there: ") && refused.contains("NOT SAVED: 2"),
            "{refused}"
        );
        // Only where it helps.
        let there_is_none =
            refused.contains("there is no folder /none/such; name one that is there");
        assert_eq!(there_is_none, to == "/none/such", "{refused}");
        assert_eq!(refused.contains("is there\n"), there_is_none, "{refused}");
        // It is asked again, and nothing of a copy is left there.
        assert!(refused.contains("Which folder? "), "{refused}");
        assert_eq!(std::fs::read_dir(elsewhere.path()).unwrap().count(), 0);
    }
    limit(process, None);
    let saved = plain.type_in(elsewhere.path().to_str().unwrap());
    let copy = newest_in(elsewhere.path());
    let words = format!("all is saved in {0}; later: cowlside take {0}\n", copy.display());
    assert!(saved.contains(&words) && !saved.contains("NOT SAVED"), "{saved}");
    for _ in 0..4 {
        plain.answer();
    }
    let (ended, said) = plain.end_by("TERM");
    assert_eq!(ended, Some(143), "{said}");
    let go_on = format!("go on with it: cowlside take {}, then cowlside session ", copy.display());
    assert!(said.contains(&words) && said.contains(&go_on), "{said}");
    assert!(!said.contains("write that path down"), "{said}");
    // Between the limit and the folder it may have been tried where it lay; since then it was not.
    assert!((left..left + 3).contains(&kept(&path).len()), "{left}: {}", kept(&path).len());
    assert!(kept(&copy).len() > kept(&path).len() + 1);

    // What was left behind is nowhere taken for all of it.
    let goes_on =
        format!("goes on in {}, with {} entries or more; ", copy.display(), kept(&copy).len());
    let name = path.file_stem().unwrap().to_str().unwrap();
    for words in
        [&["engines"][..], &["sessions", "Trainer 0"], &["session", "Trainer 0", "--plain"]]
    {
        let (_, out, err) = run_in(folder.path(), words);
        assert!(out.contains(&goes_on) || err.contains(&goes_on), "{words:?}: {out}{err}");
    }
    let (code, out, _) = run_in(folder.path(), &["verify", name]);
    assert!(code == Some(0) && out.contains("  NOT ALL OF IT       it goes on in"), "{out}");
    assert!(out.contains(copy.to_str().unwrap()), "{out}");
    // Once it is taken nothing more is said.
    let (code, _, err) = run_in(folder.path(), &["take", copy.to_str().unwrap()]);
    assert_eq!(code, Some(0), "{err}");
    assert!(!run_in(folder.path(), &["engines"]).2.contains("goes on in"));
}

pub fn newest_in(folder: &Path) -> PathBuf {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort_by_key(|path| length(path));
    files.pop().unwrap()
}

#[test]
fn a_request_to_end_says_what_is_not_saved_on_the_screen_that_was_given_back() {
    for quit in [false, true] {
        let folder = invented();
        let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
        seat.await_text("Which engine?");
        seat.answer();
        let path = newest_journal(&folder.path().join("demo"));
        limit(seat.child.process_id().unwrap(), Some(length(&path)));
        seat.answer();
        seat.await_text("NOT SAVED: 1 entry");
        if quit {
            seat.press("q");
            let asked = seat.await_text("What is not saved is told after leaving");
            // What would be refused is not offered.
            assert!(!asked.contains("go to the list of engines"), "{asked}");
            assert!(asked.contains("4  save the session to another folder"), "{asked}");
            seat.press("1");
        } else {
            seat.signal("TERM");
        }
        assert_eq!(seat.exit_code(), if quit { 1 } else { 143 });
        assert_eq!(seat.left_behind(), [""; 0]);
        seat.await_text("Write these down:");
    }
}

/// The last question that was asked.
fn page(plain: &Plain) -> &str {
    plain.seen.rsplit("\n\n").next().unwrap()
}

#[test]
fn nothing_is_signed_or_closed_while_something_before_it_is_not_saved() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    while !page(&plain).starts_with("[run and leak check]") {
        plain.answer();
    }
    let before = std::fs::read(&path).unwrap();
    limit(plain.child.id(), Some(length(&path)));
    let mut said = String::new();
    while !page(&plain).contains("] Sign and close\n") {
        said = plain.answer();
    }
    assert!(said.contains("NOT SAVED: "), "{said}");
    let refused = plain.answer();
    assert!(refused.starts_with("! NOT SAVED: 9 entries - "), "{refused}");
    assert!(refused.contains("a session is closed only when everything before is saved\n"));
    assert_eq!(std::fs::read(&path).unwrap(), before);
    // Nor is it closed without a signature.
    plain.type_in("*");
    // Nine stands for the next page of the list.
    (0..10).find(|_| page(&plain).contains("unsigned") || plain.type_in("9").is_empty());
    let row = page(&plain).lines().find(|line| line.contains("unsigned")).unwrap();
    let digit = row.trim_start()[..1].to_owned();
    plain.type_in(&digit);
    let refused = plain.type_in("2");
    assert!(refused.starts_with("! NOT SAVED: 9 entries - "), "{refused}");
    assert_eq!(std::fs::read(&path).unwrap(), before);
    // Once there is room, the same answers sign and close it.
    limit(plain.child.id(), None);
    plain.finish();
    let entries = kept(&path);
    assert!(entries.iter().any(|kept| matches!(kept.entry, Entry::Sign(_))));
    let Some(Entry::Seal(_)) = entries.last().map(|kept| &kept.entry) else { panic!("open") };
}

#[test]
fn what_is_not_saved_is_not_left_by_one_key() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    let path = plain.journal().unwrap();
    limit(plain.child.id(), Some(length(&path)));
    while !plain.seen.contains("NOT SAVED: 2 entries - ") {
        plain.answer();
    }
    let asked = plain.type_in(":q");
    assert!(asked.contains("! NOT SAVED: 2 entries - "), "{asked}");
    assert!(asked.contains("To leave all the same, q once more"), "{asked}");
    // Any other line takes that back.
    plain.type_in(":?");
    assert!(plain.type_in(":q").contains("q once more"));
    let left = plain.leave();
    assert_eq!(plain.child.wait().unwrap().code(), Some(1));
    assert!(left.contains("The session stays open as far as it is saved."), "{left}");
    assert!(!plain.seen.contains("at any time"), "{}", plain.seen);
    // The control: with all of it saved one is enough.
    let mut plain = Plain::begin(folder.path(), &[]);
    assert!(plain.leave().contains("The session stays open; go on with it at any time."));
    assert_eq!(plain.child.wait().unwrap().code(), Some(0));
}

#[test]
fn a_torn_end_on_a_full_disk_bars_nobody_from_the_session() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    (0..6).for_each(|_| drop(plain.answer()));
    let path = plain.journal().unwrap();
    plain.kill();
    let whole = kept(&path).len();
    let torn = std::fs::read(&path).unwrap();
    std::fs::write(&path, &torn[..torn.len() - 20]).unwrap();
    let most = format!("--fsize={}:unlimited", torn.len() - 20);
    let mut plain = Plain::open_under(folder.path(), "Trainer 0", &[], &["prlimit", &most]);
    assert!(plain.seen.contains("NOT SAVED: 2 entries - "), "{}", plain.seen);
    let said = plain.answer();
    assert!(said.contains("NOT SAVED: "), "{said}");
    assert_eq!(length(&path), length(&path).min(torn.len() as u64 - 20));
    limit(plain.child.id(), None);
    plain.answer();
    let said = plain.answer();
    assert!(!said.contains("NOT SAVED"), "{said}");
    let opened = journal::open(&path, &parse).unwrap();
    assert_eq!(opened.verdict, Verdict::Clean);
    let healed = |kept: &&cowlside::domain::entry::Kept| matches!(kept.entry, Entry::Recover(_));
    assert_eq!(opened.entries.iter().filter(healed).count(), 1);
    assert!(opened.entries.len() > whole);
    plain.kill();
}

#[test]
fn nothing_is_called_taken_that_the_disk_did_not_take() {
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("table.csv");
    let head = "engine,profile,session,date,hours,cylinder,valve,step,typed,unit";
    let row = "E1,flat-four,S1,2025-05-01T10:00:00+02:00,100.5,1,intake,found,6,thou";
    std::fs::write(&table, format!("{head}\n{row}\n")).unwrap();
    let run = |most: &str| {
        let mut import = std::process::Command::new("prlimit");
        import.args([most, env!("CARGO_BIN_EXE_cowlside"), "import"]).arg(&table);
        let shown = import.env("COWLSIDE_HOME", folder.path().join("home")).output().unwrap();
        (shown.status.code(), String::from_utf8(shown.stdout).unwrap())
    };
    assert_eq!(run("--fsize=1000:unlimited"), (Some(1), String::new()));
    let (code, out) = run("--fsize=unlimited:unlimited");
    assert!(code == Some(0) && out.ends_with("1 of 1 sessions taken\n"), "{out}");
}

#[test]
fn a_file_in_doubt_on_a_full_disk_bars_nobody_and_the_tries_use_up_no_names() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    (0..6).for_each(|_| drop(plain.answer()));
    let path = plain.journal().unwrap();
    plain.kill();
    let before = kept(&path);
    let Entry::Head(head) = &before[0].entry else { panic!("no head") };
    // What a failed sync leaves: the note that nothing is known of the file.
    let lock = folder.path().join(format!("locks/{}.lock", head.session));
    let mut lock = std::fs::File::options().append(true).open(lock).unwrap();
    writeln!(lock, "{}", path.file_name().unwrap().to_str().unwrap()).unwrap();
    let second = path.with_extension("c2.jsonl");
    let files = || std::fs::read_dir(path.parent().unwrap()).unwrap().count();
    for room in [0, 0, 900, 900, 0] {
        let most = format!("--fsize={room}:unlimited");
        let mut plain = Plain::open_under(folder.path(), "Trainer 0", &[], &["prlimit", &most]);
        // All of it is in doubt, and that somebody is back.
        let told = format!("NOT SAVED: {} entries - files may not grow", before.len() + 1);
        assert!(plain.seen.contains(&told), "{told}: {}", plain.seen);
        assert!(plain.answer().contains("NOT SAVED: "));
        plain.kill();
        assert_eq!(files(), 2, "{room}");
    }
    assert_eq!(length(&second), 900);
    let mut plain = Plain::open_under(folder.path(), "Trainer 0", &[], &[]);
    assert!(!plain.seen.contains("NOT SAVED"), "{}", plain.seen);
    assert!(!plain.answer().contains("NOT SAVED"), "{}", plain.seen);
    let opened = journal::open(&second, &parse).unwrap();
    assert_eq!(opened.verdict, Verdict::Clean);
    assert!(opened.entries.len() > before.len() && opened.entries.starts_with(&before));
    assert_eq!(files(), 2);
    plain.kill();
}
