//! Terminals of any size, slow ones, hostile texts, and hands that press anything, from outside on
//! the built program. Full counts: `COWLSIDE_WAYS=20 COWLSIDE_IDLE=30 COWLSIDE_EVENTS=10000
//! COWLSIDE_KEYS=1000000 COWLSIDE_PAINTED=1000`.

#![cfg(unix)]

use crate::real::{invented, newest_journal, readings};
use crate::seat::{BEGIN_FRAME, PROGRAM, Seat, emulate, text_of};
use crate::strict::odd;
use crate::ways_out::{SCREENS, Shown, at, rounds, under_a_shell};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

const END_FRAME: &[u8] = b"\x1b[?2026l";
const DEMO: [&str; 2] = [PROGRAM, "demo"];

fn number(variable: &str, default: usize) -> usize {
    std::env::var(variable).map_or(default, |count| count.parse().unwrap())
}

fn frames(bytes: &[u8]) -> usize {
    bytes.windows(BEGIN_FRAME.len()).filter(|seen| *seen == BEGIN_FRAME).count()
}

/// What the last frame shows by itself: after another size it must be a whole one.
fn last_frame(seat: &Seat, cells: (u16, u16)) -> String {
    let bytes = seat.bytes();
    let last = bytes.windows(BEGIN_FRAME.len()).rposition(|seen| seen == BEGIN_FRAME);
    text_of(&emulate(cells, &bytes[last.unwrap_or(0)..]))
}

/// Ticks of the processor, switches to and fro, and kilobytes of memory at most, of all threads.
fn used(process: u32) -> (u64, u64, u64) {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).unwrap();
    let fields: Vec<&str> = stat.rsplit(") ").next().unwrap().split(' ').collect();
    let ticks = fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap();
    let named = |status: &str, name: &str| -> u64 {
        let line = status.lines().find(|line| line.starts_with(name)).unwrap();
        line.split_whitespace().nth(1).unwrap().parse().unwrap()
    };
    let tasks = fs::read_dir(format!("/proc/{process}/task")).unwrap();
    let switches = tasks
        .map(|task| fs::read_to_string(task.unwrap().path().join("status")).unwrap())
        .map(|status| named(&status, "voluntary_ctxt_switches"))
        .sum();
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    (ticks, switches, named(&status, "VmHWM"))
}

#[test]
fn nothing_happens_while_nobody_touches_a_key() {
    if !Path::new("/proc/self/status").exists() {
        println!("SKIPPED, NOT TESTED: idleness is counted from /proc");
        return;
    }
    let folder = invented();
    let seat = at(Shown::Engines, folder.path(), &DEMO);
    seat.settled();
    let process = seat.child.process_id().unwrap();
    let (bytes, before) = (seat.bytes().len(), used(process));
    let seconds = number("COWLSIDE_IDLE", 2);
    sleep(Duration::from_secs(seconds.try_into().unwrap()));
    let after = used(process);
    let (ticks, switches) = (after.0 - before.0, after.1 - before.1);
    println!(
        "{seconds} s idle: {} bytes, {ticks} ticks, {switches} wake-ups, {} KiB at most",
        seat.bytes().len() - bytes,
        after.2
    );
    assert_eq!((seat.bytes().len() - bytes, ticks, switches), (0, 0, 0));
}

#[test]
fn a_key_costs_one_small_frame_and_many_keys_cost_no_memory() {
    let folder = invented();
    let mut seat = at(Shown::HalfReading, folder.path(), &DEMO);
    // A key in an entry or a list changes little; what opens or shuts a page changes the whole screen.
    let (mut small, mut whole) = (0, 0);
    let keys = ["5", "\x7f", "\x7f", "\x7f", "\x7f", "?", "\x1b[B", "\x1b", "*", "\x1b[B", "\x1b"];
    for key in keys {
        seat.settled();
        let before = seat.bytes().len();
        seat.press(key.as_bytes());
        seat.settled();
        let new = seat.bytes()[before..].to_vec();
        assert!(frames(&new) <= 1, "{key:?} took {} frames", frames(&new));
        let most = if ["?", "*", "\x1b"].contains(&key) { &mut whole } else { &mut small };
        *most = new.len().max(*most);
    }
    println!("{small} bytes at most for a key, {whole} for a whole new screen");
    assert!(small <= 2048 && whole <= 3072, "{small} and {whole} bytes");
    let process = seat.child.process_id().unwrap();
    let before = used(process).2;
    for _ in 0..number("COWLSIDE_EVENTS", 1_000) / 2 {
        seat.send(b"\x1b[B\x1b[A");
        sleep(Duration::from_millis(1));
    }
    seat.settled();
    let after = used(process).2;
    println!("{before} KiB before the keys, {after} KiB after them");
    assert!(after <= 30 * 1024 && after - before <= 2 * 1024, "{before} KiB, then {after} KiB");
}

/// A key is painted once, before it is known whether it counts; what stands there afterwards is what a
/// whole painting of the state puts there, styles and all.
#[test]
fn after_every_key_the_screen_is_that_of_a_whole_painting() {
    let (folder, cells) = (invented(), (24, 80));
    let mut seat = at(Shown::Reading, folder.path(), &DEMO);
    let shown = |seat: &Seat| -> Vec<String> {
        let screen = emulate(cells, &seat.bytes());
        let places = (0..cells.0).flat_map(|row| (0..cells.1).map(move |column| (row, column)));
        let cells = places.map(|(row, column)| {
            let cell = screen.screen().cell(row, column).unwrap();
            let text = cell.contents();
            // Of a blank only the ground is seen.
            let inked = (!text.trim().is_empty()).then(|| (cell.fgcolor(), cell.bold()));
            format!(
                "{row},{column} {:?} {inked:?} {:?} {}",
                text.trim(),
                cell.bgcolor(),
                cell.inverse()
            )
        });
        cells.collect()
    };
    let keys =
        ["5", ".", "\x7f", "0", "3", "\r", "z", "*", "1", "\x1b", "+", "-", "0.35\r", "4;1;2c"];
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    for count in 0..number("COWLSIDE_PAINTED", 40) {
        (0..3).for_each(|by| seed ^= [seed << 13, seed >> 7, seed << 17][by]);
        let key = keys[usize::try_from(seed >> 33).unwrap() % keys.len()];
        // The pieces of an answer to somebody else come later than its first character is shown.
        let (first, rest) = key.split_at(if key.contains(';') { 1 } else { key.len() });
        seat.press(first);
        sleep(Duration::from_millis(5));
        seat.send(rest.as_bytes());
        seat.settled();
        let (before, written) = (shown(&seat), seat.bytes().len());
        seat.signal("CONT");
        let whole = |seat: &Seat| seat.bytes()[written..].windows(8).any(|end| end == END_FRAME);
        let painted = seat.await_that("whole painting", |_| whole(&seat));
        let differs = std::iter::zip(before, shown(&seat)).find(|(was, is)| was != is);
        assert_eq!(differs, None, "key {count}, {key:?}, and now:\n{painted}");
    }
}

#[test]
fn any_size_is_survived_on_every_screen() {
    let mut count = 0;
    let few = [Shown::Help, Shown::Notice, Shown::HalfReading];
    for screen in if rounds() > 0 { &SCREENS[..] } else { &few } {
        let folder = invented();
        let mut seat = at(*screen, folder.path(), &DEMO);
        let before = seat.settled();
        for (rows, cols) in [(0, 0), (1, 1), (2, 3), (1, 80), (500, 200), (24, 80)] {
            let written = seat.bytes().len();
            seat.resize(rows, cols);
            seat.await_that("frame", |_| frames(&seat.bytes()[written..]) > 0 || rows == 0);
            assert_eq!(seat.ended(), None, "{screen:?} {rows}x{cols}");
            count += 1;
        }
        seat.await_that(&format!("same screen again:\n{before}\n"), |_| {
            last_frame(&seat, (24, 80)) == before
        });
        seat.signal("TERM");
        assert_eq!(seat.exit_code(), 143, "{screen:?}");
    }
    let folder = invented();
    for cells in [(0, 0), (1, 1), (2, 3), (1, 80), (500, 200)] {
        let mut seat = Seat::take(folder.path(), &["demo"], cells);
        seat.await_that("frame", |_| frames(&seat.bytes()) > 0);
        seat.press(b"?");
        seat.signal("TERM");
        assert_eq!(seat.exit_code(), 143, "{cells:?}");
        count += 1;
    }
    println!("{count} sizes survived");
}

#[test]
fn after_a_storm_of_sizes_the_screen_is_that_of_a_fresh_start() {
    let folder = invented();
    let mut seat = at(Shown::Engines, folder.path(), &DEMO);
    let storm = number("COWLSIDE_STORM", 1_000);
    for step in 0..storm {
        let step = u16::try_from(step % 97).unwrap();
        seat.resize(1 + step % 50, 1 + (step * 7) % 160);
        sleep(Duration::from_millis(2));
    }
    seat.resize(30, 100);
    let fresh = Seat::take(folder.path(), &["demo"], (30, 100));
    fresh.await_text("Which engine?");
    let fresh = fresh.settled();
    seat.await_that("a fresh start's screen", |_| last_frame(&seat, (30, 100)) == fresh);
    println!("{storm} sizes");
    seat.press(b"q");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(seat.left_behind(), [""; 0]);
}

/// The screen of before is shown again.
const LEFT: &[u8] = b"\x1b[?1049l";

/// A storm of bytes all at once, which soon leads away from every question. Whole services with any
/// keys are walked without a terminal, and with faulty parts that are found: `fuzzed/walks.rs`.
#[test]
fn random_keys_keep_no_reading_without_enter() {
    let folder = invented();
    let total = number("COWLSIDE_KEYS", 2_000);
    let mut seat = at(Shown::Reading, folder.path(), &DEMO);
    let path = newest_journal(&folder.path().join("demo"));
    let before = readings(&path).len();
    let (mut seed, mut enters, mut sent) = (0x9e37_79b9_7f4a_7c15_u64, 0, 0);
    let (mut starts, mut signals) = (1, 0);
    // One reading is meant, so that it is seen that readings are counted.
    seat.press(b"0.35");
    seat.await_text("> 0.35");
    seat.press(b"\r");
    seat.await_that("reading on disk", |_| readings(&path).len() == before + 1);
    while sent < total {
        let piece: Vec<u8> = (0..20)
            .map(|_| {
                seed ^= seed << 13;
                seed ^= seed >> 7;
                seed ^= seed << 17;
                (seed >> 32) as u8
            })
            .collect();
        // Ctrl-J is Enter too for a terminal.
        enters += piece.iter().filter(|byte| matches!(byte, b'\r' | b'\n')).count();
        sent += piece.len();
        if seat.ended().is_none() {
            seat.send(&piece);
            sleep(Duration::from_millis(2));
        } else {
            // Once the terminal is given back, Ctrl-C and Ctrl-\\ are signals again, and the system
            // echoes them; no byte before that ends the program with a signal's code.
            let code = seat.exit_code();
            let echoed = |key: &str| seat.settled().contains(key);
            let meant = match code {
                0 => true,
                130 => echoed("^C"),
                131 => echoed("^\\"),
                _ => false,
            };
            assert!(meant, "{code} after {sent} bytes: {}", seat.text());
            signals += usize::from(code > 0);
            starts += 1;
            seat = Seat::take(folder.path(), &["demo"], (24, 80));
            seat.await_text("Which engine?");
            // Until keys are read Ctrl-C is a signal, too; a key before the list was read is dropped.
            for _ in 0..9 {
                if seat.settled().contains("Keys here") {
                    break;
                }
                seat.press("?");
            }
            seat.await_text("Keys here");
            seat.press("\u{1b}");
        }
    }
    // What is refused rings the bell; a frame that is on its way is cut anywhere.
    seat.settled();
    // What arrives once the terminal is given back is echoed by the system.
    let mut bytes = seat.bytes();
    let given_back = bytes.windows(LEFT.len()).position(|seen| seen == LEFT);
    bytes.truncate(given_back.unwrap_or(bytes.len()));
    let mut found = odd(&bytes);
    found.retain(|odd| !odd.starts_with("'\\u{7}'"));
    assert!(found.is_empty(), "{found:?}");
    let kept = readings(&path).len() - before.min(readings(&path).len());
    println!(
        "{sent} random bytes, {enters} of them Enter, {kept} readings, {starts} starts, {signals} \
         ended by a byte after the terminal was given back"
    );
    assert!(
        (1..=enters + 1).contains(&kept),
        "{kept} readings of {enters} Enters and the one meant"
    );
}

#[test]
fn a_paste_confirms_nothing_and_answers_to_others_are_no_digits() {
    let folder = invented();
    let mut seat = at(Shown::Reading, folder.path(), &DEMO);
    let path = newest_journal(&folder.path().join("demo"));
    let before = readings(&path);
    for (sent, shown) in [
        ("\x1b[200~0.25\r\x1b[201~", "> 0.25"),
        ("\x1b[>0;276;0c", ""),
        ("\x1b[?62;4c", ""),
        ("\x1b[24;80R", ""),
        ("\x1b]10;rgb:1111/2222/3333\x07", ""),
        ("\x1bP>|emulator 9\x1b\\", ""),
    ] {
        seat.press(sent.as_bytes());
        sleep(Duration::from_millis(200));
        let text = seat.await_that(shown, |text| text.contains(shown));
        let entry = text.lines().find(|line| line.trim_start().starts_with('>')).unwrap_or("");
        assert!(shown.is_empty() != entry.contains(char::is_numeric), "{sent:?}: {text}");
        for _ in 0..4 {
            seat.press(b"\x7f");
        }
        seat.settled();
    }
    seat.press(b"0.20");
    seat.await_text("> 0.20");
    assert_eq!(readings(&path), before);
    let since = Instant::now();
    seat.press(b"\r");
    seat.await_that("reading on disk", |_| readings(&path).len() == before.len() + 1);
    println!("a reading was on disk {:?} after its Enter", since.elapsed());
    // At the prompts too: it answers what stands there, and nothing that is asked after it.
    let home = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "T", "--profile", "flat-four", "--hours", "500"];
    let added = Command::new(PROGRAM).args(add).env("COWLSIDE_HOME", home.path()).status();
    assert!(added.unwrap().success());
    let mut seat = Seat::take(home.path(), &["session", "T", "--plain"], (50, 100));
    seat.await_text("Running hours now");
    seat.press(b"500\n\nAF\n0\n1\n1\n1\n1\n1\n1\n1\n1\n");
    let shown = seat.await_text("of what came at once, one line is taken");
    let shown = shown + &seat.await_text("total time");
    assert!(!shown.contains("initials"), "{shown}");
    seat.settled();
    seat.press(b"\n");
    seat.await_text("Name or initials");
}

#[test]
fn a_terminal_of_300_bytes_a_second_delays_no_saving() {
    use std::sync::atomic::Ordering;
    let folder = invented();
    let mut seat = at(Shown::HalfReading, folder.path(), &DEMO);
    let path = newest_journal(&folder.path().join("demo"));
    let before = readings(&path).len();
    // Slower than any line: nothing is taken at all until the reading is on disk.
    seat.deaf.store(true, Ordering::SeqCst);
    seat.press(b"5");
    let since = Instant::now();
    seat.press(b"\r");
    while readings(&path).len() == before {
        assert!(since.elapsed() < Duration::from_secs(30), "nothing was saved");
        sleep(Duration::from_millis(10));
    }
    println!("saved {:?} after Enter on a line that takes nothing", since.elapsed());
    seat.deaf.store(false, Ordering::SeqCst);
    seat.settled();
}

const HOSTILE: [&str; 10] = [
    "\u{1b}[31mred",
    "\u{1b}]52;c;eA==\u{7}",
    "\u{1b}]0;title\u{1b}\\",
    "\u{7}bell\u{7f}",
    "\u{202e}turned\u{2066}",
    "in\u{200b}vis\u{feff}ible\u{ad}",
    "\u{9b}31m\u{85}",
    "line\nline\ttab\rback",
    "\u{e0041}\u{e007f}tags",
    "\u{2028}\u{2029}",
];

/// Puts a text wherever the workshop's files hold words, past every check at entry.
fn poison(folder: &Path, text: &str) {
    let flood = format!("{text}a{}", "\u{301}".repeat(200));
    for (place, file) in fs::read_dir(folder.join("engines")).unwrap().enumerate() {
        let path = file.unwrap().path();
        let engine = fs::read_to_string(&path).unwrap();
        let mut engine: serde_json::Value = serde_json::from_str(&engine).unwrap();
        engine["name"] = format!("{place}{flood}").into();
        engine["serial"] = text.into();
        fs::write(&path, engine.to_string()).unwrap();
    }
    fs::create_dir_all(folder.join("profiles")).unwrap();
    let profile = serde_json::json!({ "format": 1, "name": text, text: 1 });
    fs::write(folder.join("profiles/bad.json"), profile.to_string()).unwrap();
    let name: String = text.chars().filter(|letter| *letter != '/').collect();
    fs::write(folder.join("profiles").join(format!("{name}.json")), "{}").unwrap();
    fs::write(folder.join("sessions").join(format!("{name}.jsonl")), text).unwrap();
    fs::write(folder.join("settings.json"), format!("{{\"format\":1,\"theme\":\"{name}\"}}"))
        .unwrap();
}

#[test]
fn hostile_texts_in_the_files_steer_no_terminal() {
    let mut screens = 0;
    let all = HOSTILE.concat();
    // One after the other in the full campaign; by default all in one.
    let texts = if rounds() > 0 { HOSTILE.to_vec() } else { vec![all.as_str()] };
    for text in &texts {
        let folder = invented();
        poison(&folder.path().join("demo"), text);
        let mut seat = Seat::take(folder.path(), &["demo"], (24, 80));
        let mut seen = seat.settled();
        for key in
            ["?", "\x1b", "h", "\x1b[B", "\x1b", "c", "\x1b", "1", "*", "\x1b", "l", "\x1b", "a"]
        {
            if seat.ended().is_some() {
                break;
            }
            seat.press(key.as_bytes());
            let now = seat.settled();
            screens += usize::from(now != seen);
            seen = now;
        }
        if seat.ended().is_none() {
            seat.signal("TERM");
        }
        seat.exit_code();
        // The program has ended; what it wrote last may still be on its way here.
        seat.settled();
        let mut found = odd(&seat.bytes());
        // What is refused rings the bell, before a frame.
        found.retain(|odd| odd != "'\\u{7}' before Some('\\u{1b}')");
        assert!(found.is_empty(), "{text:?}: {found:?}");
    }
    println!("{} texts, {screens} screens", HOSTILE.len());
    assert!(screens >= 3 * texts.len(), "too few screens were seen");
}

#[test]
fn a_stopped_program_that_is_let_run_and_fetched_at_once_goes_on() {
    let folder = invented();
    let Some((mut seat, before)) = under_a_shell(folder.path()) else { return };
    seat.press(b"\x1a");
    seat.await_that("shell", |text| text.contains("Stopped"));
    // It hears that it goes on while the terminal is still the shell's, and has it soon after.
    seat.send(b"kill -CONT %1; sleep 0.05; fg\n");
    seat.await_that("same screen again", |text| text == before);
    sleep(Duration::from_millis(500));
    assert_eq!(seat.text(), before, "it stopped itself");
    seat.press(b"q");
    seat.await_that("shell", |text| !text.contains("Which engine?"));
    seat.send(b"echo code $?; exit\n");
    seat.await_text("code 0");
    seat.exit_code();
}
