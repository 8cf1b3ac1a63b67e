//! What the built program does to its files, seen at its system calls, and calls that fail there.
//!
//! They need Linux and strace; elsewhere they say loudly that they were skipped.
//! `COWLSIDE_EVERY_CALL=1 cargo test --test suite system_calls:: -- --nocapture` fails 64 syncs, one a run.

use crate::plain_seat::Plain;
use crate::power_cuts::{run, text};
use crate::real::{holds_all, invented, kept, newest_journal, readings, words_of};
use crate::seat::{PROGRAM, Seat};
use cowlside::cli::workshop::parse;
use cowlside::domain::entry::Entry;
use cowlside::store::journal::{self, Verdict};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;
use std::time::Duration;

const CALLS: &str = "trace=open,openat,creat,write,writev,pwrite64,fsync,fdatasync,truncate,\
    ftruncate,fallocate,rename,renameat,renameat2,link,linkat,unlink,unlinkat,mmap";

/// Where there is no strace nothing is looked at, and that is said.
pub fn there_is_strace() -> bool {
    let there = cfg!(target_os = "linux") && run("strace", &["-qq", "true"]);
    if !there {
        println!("SKIPPED: no system call was looked at. This needs Linux and strace.");
    }
    there
}

/// The command line that notes what a program does, a file a thread, so that no line is broken, with
/// when each call began and how long it took.
fn watched(log: &Path) -> [&str; 10] {
    ["strace", "-ff", "-ttt", "-T", "-qq", "-y", "-e", CALLS, "-o", text(log)]
}

/// All that was noted of every thread, in the order of time.
fn noted(log: &Path) -> String {
    let files = std::fs::read_dir(log.parent().unwrap()).unwrap();
    let threads = files.map(|file| std::fs::read_to_string(file.unwrap().path()).unwrap());
    in_order(&threads.collect::<Vec<_>>())
}

/// Joins what threads did: a sync counts once it is over, anything else as soon as it begins.
fn in_order(threads: &[String]) -> String {
    let timed = |line: &str| {
        let (began, call) = line.split_once(' ')?;
        let began: f64 = began.parse().ok()?;
        let (call, took) = call.rsplit_once(" <").unwrap_or((call, ""));
        let took: f64 = took.trim_end_matches('>').parse().unwrap_or(0.0);
        let is_sync = call.starts_with("fsync") || call.starts_with("fdatasync");
        Some((if is_sync { began + took } else { began }, format!("{call}\n")))
    };
    let lines = threads.iter().flat_map(|thread| thread.lines());
    let mut calls: Vec<(f64, String)> = lines.filter_map(timed).collect();
    calls.sort_by(|one, other| one.0.total_cmp(&other.0));
    calls.into_iter().map(|(_, call)| call).collect()
}

/// The path that a call is about: of an open file between `<` and `>`, else the first text.
fn path_of<'a>(arguments: &'a str, result: &'a str) -> &'a str {
    let opened = result.split_once('<').map(|(_, path)| path);
    let held = || arguments.split_once('<').map(|(_, path)| path);
    if let Some(path) = opened.or_else(held) {
        return path.split('>').next().unwrap();
    }
    arguments.split('"').nth(1).unwrap_or("")
}

/// What is known of a journal while the calls are read.
#[derive(Default)]
struct Known {
    writes: usize,
    unsynced: bool,
    name_unsynced: bool,
    sync_failed: bool,
}

/// Reads what all threads did. Returns how many writes to journals it made, and what breaks the
/// rules: a journal is made under a new name, only ever appended to, synced after each write and
/// with its folder when it was made, and left alone for good where a sync failed; nothing outside
/// the data folder is opened for writing.
fn judged(calls: &str, folder: &str) -> (usize, Vec<String>) {
    let mut known: BTreeMap<&str, Known> = BTreeMap::new();
    let mut wrong = Vec::new();
    for line in calls.lines() {
        let Some((call, rest)) = line.split_once('(') else { continue };
        let Some((arguments, result)) = rest.rsplit_once(" = ") else { continue };
        let path = path_of(arguments, result);
        if result.starts_with('-') {
            if let ("fsync" | "fdatasync", Some(known)) = (call, known.get_mut(path)) {
                (known.sync_failed, known.unsynced) = (true, false);
            }
            continue;
        }
        let mut broken = |what: &str| wrong.push(format!("{what}: {line}"));
        let opens = ["open", "openat", "creat"].contains(&call.trim());
        let to_write =
            opens && ["O_WRONLY", "O_RDWR", "O_CREAT"].iter().any(|f| arguments.contains(f));
        if to_write && !path.starts_with(folder) && !path.starts_with("/dev/") {
            broken("opened outside the data folder");
        }
        if ["fsync", "fdatasync"].contains(&call) {
            for (journal, known) in &mut known {
                known.unsynced &= *journal != path;
                known.name_unsynced &= Path::new(journal).parent() != Some(Path::new(path));
            }
        }
        let of_journal = |text: &str| text.contains("/sessions/") && text.contains(".jsonl");
        if !of_journal(arguments) && !of_journal(path) {
            continue;
        }
        let state = known.entry(path).or_default();
        match call {
            _ if to_write => {
                if !arguments.contains("O_APPEND") || !arguments.contains("O_NOFOLLOW") {
                    broken("opened without O_APPEND and O_NOFOLLOW");
                }
                if arguments.contains("O_TRUNC")
                    || (arguments.contains("O_CREAT") && !arguments.contains("O_EXCL"))
                {
                    broken("made over what may be there");
                }
                state.name_unsynced = arguments.contains("O_CREAT");
            }
            "write" => {
                if state.unsynced {
                    broken("written again before it was synced");
                }
                if state.sync_failed {
                    broken("written again after its sync failed");
                }
                if state.name_unsynced && state.writes > 0 {
                    broken("written again before its folder was synced");
                }
                state.unsynced = true;
                state.writes += 1;
            }
            "mmap" if !arguments.contains("PROT_WRITE") => {}
            "open" | "openat" | "fsync" | "fdatasync" => {}
            _ => broken("never to be done to a journal"),
        }
    }
    for (journal, known) in &known {
        if known.unsynced {
            wrong.push(format!("left unsynced: {journal}"));
        }
        if known.name_unsynced {
            wrong.push(format!("its folder was left unsynced: {journal}"));
        }
    }
    (known.values().map(|known| known.writes).sum(), wrong)
}

/// Asserts that what was noted keeps the rules; returns how often journals were written.
fn obeyed(log: &Path, folder: &Path) -> usize {
    let (writes, wrong) = judged(&noted(log), text(folder));
    assert!(wrong.is_empty(), "{wrong:#?}");
    writes
}

/// A session from first key to signature in three runs, each started `under` another program:
/// begun, gone on with and corrected, gone on with and signed. Something happens to its file between.
fn three_runs(folder: &Path, under: [&[&str]; 3], meanwhile: &dyn Fn(&Path)) {
    let mut plain = Plain::begin_under(folder, &[], under[0]);
    while plain.saved().len() < 30 {
        plain.answer();
    }
    let journal = plain.journal().unwrap();
    let counted_out = plain.end_of_input();
    meanwhile(&journal);
    let mut plain = Plain::open_under(folder, "Trainer 0", &[], under[1]);
    plain.mechanic.counted_out = counted_out;
    while plain.saved().len() < 12 {
        plain.answer();
    }
    plain.type_in(":-");
    let counted_out = plain.end_of_input();
    meanwhile(&journal);
    let mut plain = Plain::open_under(folder, "Trainer 0", &[], under[2]);
    plain.mechanic.counted_out = counted_out;
    plain.finish();
}

/// Leaves the beginning of a line at the end of a journal, as a death inside a write does.
fn tear(journal: &Path) {
    let mut file = std::fs::File::options().append(true).open(journal).unwrap();
    file.write_all(b"{\"seq\":99,\"t\":\"2026-").unwrap();
}

/// Asserts that a journal is whole and has entries of these kinds.
fn whole_with(journal: &Path, kinds: &[&str]) {
    assert_eq!(journal::open(journal, &parse).unwrap().verdict, Verdict::Clean);
    let lines = String::from_utf8(std::fs::read(journal).unwrap()).unwrap();
    for kind in kinds {
        assert!(lines.contains(&format!("\"k\":\"{kind}\"")), "no {kind}");
    }
}

#[test]
fn a_journal_is_only_ever_appended_to_and_synced_and_nothing_is_written_outside_the_folder() {
    if !there_is_strace() {
        return;
    }
    let (folder, logs) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let log = logs.path().join("log");
    let under = watched(&log);
    three_runs(folder.path(), [&under; 3], &tear);
    let writes = obeyed(&log, folder.path());
    let journal = newest_journal(folder.path());
    println!("{writes} writes to journals, {} entries", kept(&journal).len());
    assert!(writes >= kept(&journal).len());
    whole_with(&journal, &["head", "reading", "correct", "recover", "sign", "seal"]);
    // Negative control: the shell does to a journal what must not be done.
    let at = folder.path().join("sessions/20260314-101530z-k3f9q2.jsonl");
    let at = text(&at);
    for (script, told) in [
        (format!("echo x > {at}"), "opened without O_APPEND"),
        (format!("echo x > {at}"), "made over what may be there"),
        (format!("echo x >> {at}"), "left unsynced"),
        (format!("echo x >> {at}; echo y >> {at}"), "written again before it was synced"),
        (format!("mv {at} {at}.old"), "never to be done to a journal"),
        (format!("rm {at}.old"), "never to be done to a journal"),
        (format!("truncate -s 0 {at}"), "never to be done to a journal"),
        ("echo x > $0".to_owned(), "opened outside the data folder"),
    ] {
        let inside = tempfile::tempdir().unwrap();
        let log = inside.path().join("log");
        let elsewhere = tempfile::NamedTempFile::new().unwrap();
        let words = ["-c", &script, text(elsewhere.path())];
        let words = [&watched(&log)[1..], &["/bin/sh"], &words].concat();
        assert!(run("strace", &words), "{script}");
        let wrong = judged(&noted(&log), text(folder.path())).1;
        assert!(wrong.iter().any(|wrong| wrong.starts_with(told)), "{script}: {wrong:#?}");
    }
}

#[test]
fn a_folder_that_is_never_synced_is_noticed() {
    let made = "openat(AT_FDCWD, \"/w/sessions/a.jsonl\", O_RDWR|O_CREAT|O_EXCL|O_APPEND|\
        O_NOFOLLOW|O_CLOEXEC, 0600) = 5</w/sessions/a.jsonl>\n\
        write(5</w/sessions/a.jsonl>, \"{\"..., 300) = 300\n\
        fsync(5</w/sessions/a.jsonl>) = 0\n";
    let folder = "fsync(6</w/sessions>) = 0\n";
    let more = "write(5</w/sessions/a.jsonl>, \"{\"..., 300) = 300\n\
        fdatasync(5</w/sessions/a.jsonl>) = 0\n";
    assert_eq!(judged(&[made, folder, more].concat(), "/w"), (2, Vec::new()));
    let (writes, wrong) = judged(&[made, more].concat(), "/w");
    assert_eq!(writes, 2);
    assert!(wrong[0].starts_with("written again before its folder was synced"), "{wrong:?}");
    assert!(wrong[1].starts_with("its folder was left unsynced"), "{wrong:?}");
    // The control of a sync that failed: nothing more may go into that file.
    let refused = more.replace("= 0", "= -1 EIO (Input/output error)");
    let wrong = judged(&[made, folder, &refused, more].concat(), "/w").1;
    assert!(wrong[0].starts_with("written again after its sync failed"), "{wrong:?}");
    let failed = folder.replace("= 0", "= -1 EIO (Input/output error)");
    assert_eq!(judged(&[made, &failed, more].concat(), "/w").1.len(), 2);
}

#[test]
fn what_two_threads_do_to_a_journal_between_them_is_judged_as_one() {
    let at = |calls: &[(&str, &str, &str)]| {
        let line = |(began, call, took): &(&str, &str, &str)| format!("{began} {call} <{took}>\n");
        calls.iter().map(line).collect::<String>()
    };
    let write = "write(5</w/sessions/a.jsonl>, \"{\"..., 300) = 300";
    let sync = "fdatasync(5</w/sessions/a.jsonl>) = 0";
    let refused = "fdatasync(5</w/sessions/a.jsonl>) = -1 EIO (Input/output error)";
    let made = "openat(3</w/sessions>, \"a.jsonl\", O_RDWR|O_CREAT|O_EXCL|O_APPEND|O_NOFOLLOW, 0600) \
        = 5</w/sessions/a.jsonl>";
    let told = |threads: [&[(&str, &str, &str)]; 2], writes: usize| {
        let (seen, wrong) = judged(&in_order(&threads.map(at)), "/w");
        assert_eq!(seen, writes);
        wrong.iter().map(|wrong| wrong.split(": ").next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    // Each in its turn.
    let one = [("1.0", write, "0.1"), ("1.2", sync, "0.3")];
    assert_eq!(told([&one, &[("2.0", write, "0.1"), ("2.2", sync, "0.3")]], 2), [""; 0]);
    // Into the sync of the other, though each thread by itself syncs after each write.
    let other = [("1.3", write, "0.1"), ("1.6", sync, "0.1")];
    assert_eq!(told([&one, &other], 2), ["written again before it was synced"]);
    // After the sync of the other had failed.
    let one = [("1.0", write, "0.1"), ("1.2", refused, "0.3")];
    let other = [("2.0", write, "0.1"), ("2.2", sync, "0.3")];
    assert_eq!(told([&one, &other], 2), ["written again after its sync failed"]);
    // Made by the other, whose folder comes too late.
    let one = [("1.0", made, "0.1"), ("9.0", "fsync(6</w/sessions>) = 0", "0.1")];
    let other =
        [("2.0", write, "0.1"), ("2.2", sync, "0.1"), ("3.0", write, "0.1"), ("3.2", sync, "0.1")];
    assert_eq!(told([&one, &other], 2), ["written again before its folder was synced"]);
    // Synced by the other only.
    let (one, other) = ([("1.0", write, "0.1")], [("2.0", sync, "0.3")]);
    assert_eq!(told([&one, &other], 1), [""; 0]);
    assert_eq!(told([&one, &[]], 1), ["left unsynced"]);
}

#[test]
fn a_whole_session_works_on_a_file_that_the_system_lets_nobody_but_append_to() {
    let folder = tempfile::tempdir().unwrap();
    let chattr = |how: &str, path: &Path| run("chattr", &[how, text(path)]);
    let trial = tempfile::NamedTempFile::new().unwrap();
    if !chattr("+a", trial.path()) {
        println!("SKIPPED: no file was made append-only. This needs Linux, root and chattr.");
        return;
    }
    assert!(std::fs::write(trial.path(), "x").is_err(), "the control: it can be replaced");
    assert!(chattr("-a", trial.path()));
    three_runs(folder.path(), [&[]; 3], &|journal| {
        tear(journal);
        assert!(chattr("+a", journal));
    });
    let journal = newest_journal(folder.path());
    assert!(chattr("-a", &journal));
    whole_with(&journal, &["recover", "seal"]);
}

#[test]
fn a_disk_without_locks_is_told_once_and_the_session_goes_on() {
    if !there_is_strace() {
        return;
    }
    for fault in ["ENOSYS", "ENOLCK", "EOPNOTSUPP"] {
        let folder = tempfile::tempdir().unwrap();
        let inject = format!("inject=flock:error={fault}");
        let log = folder.path().join("calls");
        let under = ["strace", "-f", "-qq", "-e", &inject, "-o", text(&log)];
        let mut plain = Plain::begin_under(folder.path(), &[], &under);
        while plain.saved().len() < 20 {
            plain.answer();
        }
        let errors = plain.child.stderr.take();
        plain.end_of_input();
        let told = std::io::read_to_string(errors.unwrap()).unwrap();
        assert_eq!(told.matches("this disk has no locks").count(), 1, "{fault}: {told}");
        let tampered = std::fs::read_to_string(&log).unwrap();
        assert!(tampered.contains("(INJECTED)"), "{tampered}");
        let entries = kept(&plain.journal().unwrap());
        assert!(entries.iter().any(|kept| matches!(kept.entry, Entry::Caution(_))));
    }
}

#[test]
fn a_sync_that_fails_once_ends_that_file_and_nothing_told_as_saved_is_lost() {
    if !there_is_strace() {
        return;
    }
    let (mut told, mut beside) = (0, 0);
    let some = [("EIO", "2"), ("ENOSPC", "7"), ("EIO", "12+9"), ("EDQUOT", "20")];
    let mut cases = some.map(|(fault, when)| (fault, when.to_owned())).to_vec();
    if std::env::var_os("COWLSIDE_EVERY_CALL").is_some() {
        cases.extend((1..=30).flat_map(|n| ["EIO", "ENOSPC"].map(|fault| (fault, n.to_string()))));
    }
    for (fault, when) in &cases {
        let (folder, logs) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let log = logs.path().join("log");
        let inject = format!("inject=fdatasync:error={fault}:when={when}");
        let under = [&watched(&log)[..8], &["-e", &inject], &watched(&log)[8..]].concat();
        let mut plain = Plain::begin_under(folder.path(), &[], &under);
        while plain.saved().len() < 30 {
            plain.answer();
        }
        let said = plain.saved();
        plain.end_of_input();
        let calls = noted(&log);
        assert!(calls.contains("(INJECTED)"), "{fault} {when}");
        let again = |wrong: &String| wrong.starts_with("written again after its sync failed");
        let judged = judged(&calls, text(folder.path())).1;
        assert_eq!(judged.into_iter().filter(again).collect::<Vec<_>>(), [""; 0], "{fault} {when}");
        let journal = plain.journal().unwrap();
        beside += usize::from(text(&journal).contains(".c"));
        let words = words_of(&kept(&journal));
        assert!(holds_all(&said, &words), "{fault} {when}: {said:#?}\n{words:#?}");
        told += said.len();
    }
    println!(
        "{} syncs failed, {told} lines told as saved, {beside} sessions gone on with in another file, 0 lost",
        cases.len()
    );
    assert!(told > 100 && beside == cases.len());
}

/// Starts the invented workshop's screens under strace, which is told of the terminal by its name.
fn screens_under(folder: &Path, options: &str) -> Seat {
    let script = format!("exec strace -f -qq {options} {PROGRAM} demo");
    Seat::of(folder, &["/bin/sh", "-c", &script], (24, 80))
}

/// Answers until three more readings are on the disk.
fn three_readings(seat: &mut Seat, folder: &Path) {
    seat.await_text("Which engine?");
    let journal = newest_journal(&folder.join("demo"));
    let wanted = readings(&journal).len() + 3;
    while readings(&journal).len() < wanted {
        seat.answer();
    }
}

#[test]
fn the_screens_write_a_journal_by_the_same_rules() {
    if !there_is_strace() {
        return;
    }
    let (folder, logs) = (invented(), tempfile::tempdir().unwrap());
    let log = logs.path().join("log");
    let options = watched(&log)[1..].join(" ");
    let mut seat = screens_under(folder.path(), &options);
    three_readings(&mut seat, folder.path());
    seat.press("\u{3}");
    seat.await_text("eave");
    seat.press("1");
    assert_eq!(seat.exit_code(), 0);
    let writes = obeyed(&log, folder.path());
    println!("{writes} writes to journals");
    assert!(writes > 8, "{writes}");
}

/// Three readings where each third write to the terminal first fails: the screen is as without that.
fn goes_on_where_each_write_first_fails(fault: &str) {
    let (folder, logs) = (invented(), tempfile::tempdir().unwrap());
    let log = logs.path().join("log");
    let options = format!(
        "-P $(tty) -e trace=write -e inject=write:error={fault}:when=2+3 -o {}",
        text(&log)
    );
    let mut seat = screens_under(folder.path(), &options);
    three_readings(&mut seat, folder.path());
    let faulty = seat.settled();
    let injected = std::fs::read_to_string(&log).unwrap().matches("(INJECTED)").count();
    assert!(injected > 5, "{injected}");
    println!("{fault}: {injected} times");
    // Painted anew from nothing, it is the same.
    seat.resize(24, 81);
    seat.settled();
    seat.resize(24, 80);
    assert_eq!(seat.settled(), faulty, "{fault}");
}

#[test]
fn a_write_to_the_terminal_that_is_interrupted_or_would_wait_is_made_again() {
    if !there_is_strace() {
        return;
    }
    // They mostly wait.
    std::thread::scope(|scope| {
        for fault in ["EINTR", "EAGAIN"] {
            scope.spawn(move || goes_on_where_each_write_first_fails(fault));
        }
    });
}

#[test]
fn a_terminal_that_refuses_a_write_ends_the_screens_quietly_and_the_journal_is_whole() {
    if !there_is_strace() {
        return;
    }
    for from in [1, 2, 20, 60] {
        let (folder, logs) = (invented(), tempfile::tempdir().unwrap());
        let log = logs.path().join("log");
        let options = format!(
            "-P $(tty) -e trace=write -e inject=write:error=EIO:when={from}+ -o {}",
            text(&log)
        );
        let mut seat = screens_under(folder.path(), &options);
        let journal = newest_journal(&folder.path().join("demo"));
        for _ in 0..600 {
            if seat.ended().is_some() {
                break;
            }
            // Ctrl-L paints anew.
            seat.send(b"\x0c");
            std::thread::sleep(Duration::from_millis(50));
        }
        let code = seat.exit_code();
        assert!(code == 1 || code == 129, "{from}: exit code {code}");
        let said = String::from_utf8(seat.bytes()).unwrap();
        assert!(!said.contains("panick"), "{said}");
        assert_eq!(journal::open(&journal, &parse).unwrap().verdict, Verdict::Clean);
    }
}
