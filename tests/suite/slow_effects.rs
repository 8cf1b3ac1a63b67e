//! A sync that hangs while something other than an answer is on its way: a session that is opened or
//! begun, its end, another folder, what is remembered. The screen says what is waited for, keys go
//! on or lead out, nothing is called saved, and Ctrl-C ends the last wait but not the last words.

use crate::full_disk::limit;
use crate::real::{invented, kept, newest_journal};
use crate::seat::Seat;
use crate::slow_disk::{Slow, asks, left_with, says_saved, says_saving, to_a_valve};
use crate::system_calls::there_is_strace;
use std::path::Path;
use std::time::{Duration, Instant};

/// The list of engines, on a disk that hangs from here on.
fn hanging(slow: &Slow, folder: &Path) -> Seat {
    let seat = slow.screens(folder, &["demo"]);
    seat.await_text("Which engine?");
    seat.settled();
    slow.hang();
    seat
}

/// What is waited for is shown, and goes on being shown; help and the question whether to leave come
/// and go; nothing else is a key.
fn waits_and_answers_keys(seat: &mut Seat, said: &str) {
    let waiting = format!("{said}: waiting for the disk");
    seat.await_text(&waiting);
    // How long already.
    seat.await_text(&format!("{waiting}, 1 s"));
    seat.press("?");
    seat.await_text(" of ");
    seat.press("\u{1b}");
    seat.await_text(&waiting);
    for nothing in ["1", "\r", "t"] {
        seat.press(nothing);
    }
    seat.press("\u{3}");
    let asked = seat.await_text("Leave the program?");
    assert!(asked.contains(&waiting) && !asked.contains("on disk"), "{asked}");
    assert!(!asked.contains("list of engines"), "{asked}");
    seat.press("2");
    seat.await_that("the wait again", |shown| shown.contains(&waiting) && !asks_to_leave(shown));
}

fn asks_to_leave(shown: &str) -> bool {
    shown.contains("Leave the program?")
}

#[test]
fn opening_a_session_on_a_disk_that_hangs_says_so_can_be_left_and_appends_nothing_before() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let journal = newest_journal(&folder.path().join("demo"));
    let before = std::fs::read(&journal).unwrap();
    // From the list, and by the command line.
    let mut seat = hanging(&slow, folder.path());
    seat.press("1");
    waits_and_answers_keys(&mut seat, "opening the session");
    assert_eq!(std::fs::read(&journal).unwrap(), before, "appended before the one sync");
    let since = Instant::now();
    left_with(&mut seat, "q");
    assert_eq!(seat.exit_code(), 0, "nothing was given that could be lost");
    assert!(since.elapsed() < Duration::from_secs(5), "{:?}", since.elapsed());
    assert_eq!(seat.left_behind(), [""; 0]);
    assert_eq!(std::fs::read(&journal).unwrap(), before);
    let mut seat = slow.screens(folder.path(), &["demo", "--", "session", "Yellow tug"]);
    waits_and_answers_keys(&mut seat, "opening the session");
    slow.go_on();
    let shown = seat.await_that("the session", |shown| asks(shown) || shown.contains("Has the"));
    assert!(shown.contains("Yellow tug"), "{shown}");
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    let mut file = std::fs::read(&journal).unwrap();
    assert!(file.len() > before.len());
    file.truncate(before.len());
    assert!(file == before, "only ever appended to");
    // The keys that were pressed into the wait have answered nothing: only the return is kept.
    assert_eq!(kept(&journal).len(), count(&before) + 1);
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn keys_that_were_read_before_a_session_comes_up_after_a_wait_answer_nothing_and_that_is_told() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let journal = newest_journal(&folder.path().join("demo"));
    let before = kept(&journal).len();
    slow.hang();
    let mut seat = slow.screens(folder.path(), &["demo", "--", "session", "Yellow tug"]);
    seat.await_text("opening the session: waiting for the disk");
    slow.await_hanging();
    // While it is asked whether to leave the session does not come up, though it is open.
    seat.press("\u{3}");
    seat.await_text("Leave the program?");
    slow.go_on();
    seat.await_that("its return", |_| kept(&journal).len() > before);
    std::thread::sleep(Duration::from_millis(300));
    // In one breath: the 2 stays, what follows it is read with it, and answers nothing.
    seat.send(b"\x0c21");
    let told = "keys typed before this was shown were not taken";
    seat.await_that("told", |shown| shown.replace('\n', " ").contains(told));
    std::thread::sleep(Duration::from_millis(300));
    assert_eq!(kept(&journal).len(), before + 1, "{}", seat.text());
    // The control: what is pressed once it was read counts.
    let shown = seat.settled();
    seat.answer();
    assert!(seat.text() != shown && kept(&journal).len() > before + 1, "{}", seat.text());
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

fn count(journal: &[u8]) -> usize {
    journal.iter().filter(|byte| **byte == b'\n').count()
}

/// Answers until a new service of the second engine is to be written, on a disk that hangs.
fn begun_on(slow: &Slow, folder: &Path) -> Seat {
    let mut seat = hanging(slow, folder);
    seat.press("2");
    let mut shown = seat.await_text("Blue trainer: a new service");
    while !shown.contains("saving... ") {
        seat.press("\r");
        shown = seat.await_that("the next", |text| text != shown);
    }
    seat
}

#[test]
fn beginning_a_service_on_a_disk_that_hangs_shows_no_service_before_it_is_on_the_disk() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = begun_on(&slow, folder.path());
    waits_and_answers_keys(&mut seat, "saving... the beginning of the service");
    slow.go_on();
    seat.await_text("Who works on this engine?");
    let journal = newest_journal(&folder.path().join("demo"));
    assert!(kept(&journal).len() >= 2, "its head and what was said at the start");
    // Left by a service that is never begun: told what is not known to be saved, with an end.
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    let folder = invented();
    let mut seat = begun_on(&slow, folder.path());
    left_with(&mut seat, "q");
    seat.await_text("saving... the beginning of the service: waiting for the disk, 10 s at most");
    assert_eq!(seat.left_behind(), [""; 0], "given back before the wait");
    // Ctrl-C ends that wait, and not what is to be said.
    let since = Instant::now();
    seat.send(b"\x03");
    assert_eq!(seat.exit_code(), 130);
    assert!(since.elapsed() < Duration::from_secs(5), "{:?}", since.elapsed());
    let said = seat.settled();
    let lost = "NOT KNOWN TO BE SAVED: the beginning of the service - the disk does not answer";
    assert_eq!(said.replace('\n', "").matches(lost).count(), 1, "{said}");
}

#[test]
fn what_is_remembered_never_holds_up_a_key_and_is_called_so_only_when_it_is() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let settings = folder.path().join("demo/settings.json");
    let remembered = || std::fs::read_to_string(&settings).unwrap_or_default();
    let mut seat = slow.seat(folder.path());
    let journal = newest_journal(&folder.path().join("demo"));
    let before = kept(&journal).len();
    slow.hang();
    seat.press("t");
    seat.await_text("saving... theme: daylight");
    slow.await_hanging();
    seat.press("b");
    seat.await_text("saving... bell off");
    assert!(!remembered().contains("daylight"), "{}", remembered());
    // Who works is remembered beside the engine; the session goes on meanwhile.
    seat.press("w");
    seat.await_text("Name or initials");
    seat.press("second hand\r");
    let goes_on = |shown: &str| shown.contains("saving... ") && !shown.contains("Name or initials");
    seat.await_that("the session again", goes_on);
    slow.go_on();
    let all = |now: &str| now.contains("daylight") && now.contains("\"bell\":false");
    seat.await_that("all remembered", |_| all(&remembered()));
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    assert!(kept(&journal).len() > before);
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    // Left while it hangs: it is said that it may not be remembered.
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    slow.hang();
    seat.press("t");
    seat.await_text("saving... theme: daylight");
    left_with(&mut seat, "q");
    seat.await_text("saving... what is remembered for next time: waiting for the disk");
    seat.send(b"\x1c");
    assert_eq!(seat.exit_code(), 131);
    let said = seat.settled().replace('\n', "");
    assert!(said.contains("NOT KNOWN TO BE SAVED: what is remembered for next time"), "{said}");
}

/// Chooses from the list of everything else.
fn choose(seat: &mut Seat, wanted: &str) {
    seat.press("*");
    let title = "What else can be done";
    seat.await_text(title);
    // A page at a time: a press too many would lead past it.
    let mut list = seat.settled();
    while !list.contains(wanted) {
        seat.press("\u{1b}[6~");
        list = seat.await_that("another page", |shown| shown != list);
    }
    let row = list.lines().find(|line| line.contains(wanted)).unwrap();
    let number: String = row.chars().filter(char::is_ascii_digit).collect();
    for digit in number.chars() {
        seat.press(digit.to_string());
    }
    seat.press("\r");
    seat.await_that("what was chosen", |shown| !shown.contains(title));
}

#[test]
fn saving_in_another_folder_whose_disk_hangs_says_so_has_an_end_and_is_told_when_it_is_done() {
    let Some(slow) = Slow::make() else { return };
    let (folder, elsewhere) = (invented(), tempfile::tempdir().unwrap());
    let mut seat = slow.seat(folder.path());
    let journal = newest_journal(&folder.path().join("demo"));
    let process = seat.child.process_id().unwrap();
    limit(process, Some(std::fs::metadata(&journal).unwrap().len()));
    seat.answer();
    seat.await_text("NOT SAVED: ");
    choose(&mut seat, "save the session to another folder");
    seat.await_text("Which folder?");
    limit(process, None);
    slow.hang();
    seat.press(format!("{}\r", elsewhere.path().display()));
    waits_and_answers_keys(&mut seat, "saving... all in the other folder, 10 s at most");
    seat.await_text("not saved there: its disk does not answer; it is still tried");
    slow.go_on();
    // Behind what was said of it before.
    let all = |shown: &str| shown.replace('\n', " ").contains("all is saved in ");
    let shown = seat.await_that("all saved", all);
    assert!(!shown.contains("NOT SAVED"), "{shown}");
    // Noted then, too, and not only at the end.
    let memos = std::fs::read_dir(folder.path().join("demo/cache/seen")).unwrap().flatten();
    let noted = |memo: std::fs::DirEntry| {
        std::fs::read_to_string(memo.path()).is_ok_and(|memo| memo.contains("\nsaved in "))
    };
    assert_eq!(memos.map(noted).filter(|noted| *noted).count(), 1);
    let copy = std::fs::read_dir(elsewhere.path()).unwrap().next().unwrap().unwrap().path();
    assert!(kept(&copy).len() > kept(&journal).len() - 1);
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn the_end_of_a_session_on_a_disk_that_hangs_shows_why_there_is_no_code_and_the_code_when_it_is_there()
 {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    let journal = newest_journal(&folder.path().join("demo"));
    choose(&mut seat, "close this session unsigned");
    seat.await_text("Is it left so?");
    seat.press("1");
    seat.await_text("only practised");
    slow.hang();
    seat.press("3");
    waits_and_answers_keys(&mut seat, "saving... the end of the session");
    let shown = seat.await_text("No seal code yet.").replace('\n', " ");
    assert!(shown.contains("NOT KNOWN TO BE SAVED: "), "{shown}");
    let told = shown.contains("the disk does not answer") && shown.contains("demo verify");
    assert!(told, "{shown}");
    assert!(!shown.contains("Seal code "), "{shown}");
    slow.go_on();
    let tells = |shown: &str| shown.replace('\n', " ").contains("Seal code ");
    let shown = seat.await_that("seal code", tells);
    let code = cowlside::store::journal::open(&journal, &cowlside::cli::workshop::parse).unwrap();
    let code = code.seal_code.unwrap();
    assert!(shown.replace('\n', " ").contains(&code), "{code}: {shown}");
    left_with(&mut seat, "q");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(seat.left_behind(), [""; 0]);
}

#[test]
fn going_to_the_engines_on_a_disk_that_hangs_waits_a_moment_says_so_and_stays() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    slow.hang();
    assert!(says_saving(&seat.answer()));
    seat.press("\u{3}");
    seat.await_text("go to the list of engines");
    seat.press("3");
    seat.await_text("putting the session away: waiting for the disk");
    seat.await_text("NOT KNOWN TO BE SAVED: 1 entry - the disk does not answer");
    slow.go_on();
    // The question whether to leave still stands there; now it goes.
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    seat.press("3");
    seat.await_text("Which engine?");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

#[test]
fn ctrl_c_ends_the_last_wait_for_a_disk_but_not_the_last_words() {
    let Some(slow) = Slow::make() else { return };
    for (first, key, code) in [("q", b"\x03", 130), ("q", b"\x1c", 131), ("TERM", b"\x03", 143)] {
        let folder = invented();
        let mut seat = slow.seat(folder.path());
        slow.hang();
        assert!(says_saving(&seat.answer()));
        assert!(says_saving(&seat.answer()));
        left_with(&mut seat, first);
        seat.await_text("waiting for the disk, 10 s at most");
        assert_eq!(seat.left_behind(), [""; 0], "{first}");
        assert_eq!(seat.ended(), None, "{first}: it waits");
        let since = Instant::now();
        seat.send(key);
        assert_eq!(seat.exit_code(), code, "{first}");
        assert!(since.elapsed() < Duration::from_secs(5), "{first}: {:?}", since.elapsed());
        let said = seat.settled();
        assert_eq!(said.matches("NOT KNOWN TO BE SAVED: ").count(), 1, "{first}: {said}");
        assert_eq!(said.matches("Write these down:").count(), 1, "{first}: {said}");
        slow.go_on();
    }
    // The control: on a disk that answers there is no such wait and nothing to say.
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    assert!(says_saved(&seat.answer()));
    left_with(&mut seat, "q");
    assert_eq!(seat.exit_code(), 0);
    assert!(!seat.settled().contains("waiting for the disk"));
}

#[test]
fn a_setting_that_fails_late_is_told_behind_a_refusal_that_stands_there() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let settings = folder.path().join("demo/settings.json");
    let mut seat = slow.seat(folder.path());
    slow.hang();
    seat.press("t");
    seat.await_text("saving... theme: daylight");
    slow.await_hanging();
    let _ = std::fs::remove_file(&settings);
    std::fs::create_dir_all(settings.join("in the way")).unwrap();
    seat.press("y");
    let refused = "\"y\" is no answer and no key here";
    seat.await_text(refused);
    slow.go_on();
    let told = |shown: &str| shown.replace('\n', " ").contains("not remembered: cannot write");
    let shown = seat.await_that("fault of the setting", told);
    assert!(shown.contains(refused), "{shown}");
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}

/// The screens on a disk that hangs, in a terminal that refuses each write from the `first` on; what is
/// said on standard error goes to a file.
fn refused_from(slow: &Slow, first: usize, folder: &Path, words: &str, err: &Path) -> Seat {
    let strace = format!(
        "exec strace -f -qq -P $(tty) -e trace=write -e inject=write:error=EIO:when={first}+ \
         -o /dev/null {} 2>{}",
        slow.command(words),
        err.display()
    );
    Seat::of(folder, &["/bin/sh", "-c", &strace], (24, 80))
}

#[test]
fn a_terminal_that_fails_while_a_session_is_opened_on_a_disk_that_hangs_ends_the_program_at_once() {
    let Some(slow) = Slow::make() else { return };
    if !there_is_strace() {
        return;
    }
    // While it is waited for, and before anything was painted.
    for (first, words) in [(3, "demo"), (1, "demo -- session \"Yellow tug\"")] {
        let (folder, said) = (invented(), tempfile::NamedTempFile::new().unwrap());
        let mut seat = refused_from(&slow, first, folder.path(), words, said.path());
        if first > 1 {
            seat.await_text("Which engine?");
            seat.settled();
        }
        slow.hang();
        if first > 1 {
            seat.press("1");
        }
        slow.await_hanging();
        let since = Instant::now();
        assert_eq!(seat.exit_code(), 1, "{words}");
        assert!(since.elapsed() < Duration::from_secs(10), "{words}: {:?}", since.elapsed());
        let said = std::fs::read_to_string(said.path()).unwrap();
        assert!(said.starts_with("error: the terminal: "), "{words}: {said}");
        assert!(said.contains("hint: use `cowlside session ENGINE --plain`"), "{words}: {said}");
        assert!(!said.contains("NOT "), "nothing was given: {said}");
        slow.go_on();
    }
}

#[test]
fn a_terminal_that_goes_away_while_a_disk_hangs_ends_the_program() {
    let Some(slow) = Slow::make() else { return };
    for words in [&["demo"][..], &["demo", "--", "session", "Yellow tug"]] {
        let folder = invented();
        let mut seat = slow.screens(folder.path(), words);
        if words.len() == 1 {
            seat.await_text("Which engine?");
            seat.settled();
        }
        slow.hang();
        if words.len() == 1 {
            seat.press("1");
        }
        seat.await_text("opening the session: waiting for the disk");
        let since = Instant::now();
        seat.close();
        assert_eq!(seat.exit_code(), 129, "{words:?}");
        println!("gone after {:?}", since.elapsed());
        assert!(since.elapsed() < Duration::from_secs(10), "{words:?}: {:?}", since.elapsed());
        slow.go_on();
    }
}

#[test]
fn a_terminal_that_fails_while_entries_are_on_their_way_says_them_where_somebody_hears() {
    let Some(slow) = Slow::make() else { return };
    if !there_is_strace() {
        return;
    }
    let (folder, said) = (invented(), tempfile::NamedTempFile::new().unwrap());
    let mut seat = refused_from(&slow, 60, folder.path(), "demo", said.path());
    seat = to_a_valve(seat);
    slow.hang();
    assert!(says_saving(&seat.answer()));
    let since = Instant::now();
    while seat.ended().is_none() {
        assert!(since.elapsed() < Duration::from_secs(60), "{}", seat.text());
        // Ctrl-L paints anew.
        seat.send(b"\x0c");
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(seat.exit_code(), 1);
    let said = std::fs::read_to_string(said.path()).unwrap();
    let told = "NOT KNOWN TO BE SAVED: 1 entry - the disk does not answer\nWrite these down:\n  ";
    assert!(said.contains(told) && said.contains("error: the terminal: "), "{said}");
}

#[test]
fn a_setting_that_is_saved_late_is_called_so_without_a_key() {
    let Some(slow) = Slow::make() else { return };
    let folder = invented();
    let mut seat = slow.seat(folder.path());
    slow.hang();
    seat.press("t");
    seat.await_text("saving... theme: daylight");
    slow.await_hanging();
    seat.press("?");
    seat.await_text("This question in full");
    seat.press("\u{1b}");
    seat.await_text("saving... what is remembered for next time");
    slow.go_on();
    seat.await_that("all saved", |shown| !shown.contains("saving..."));
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
}
