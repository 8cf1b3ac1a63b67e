//! Environments and arguments that nobody would choose, with the built program: what does not count is
//! as if it were not there; what counts is taken, or refused in one line and a hint.

#![cfg(unix)]

use super::{strings, unsafe_line};
use crate::real::invented;
use crate::seat::{PROGRAM, Seat};
use crate::strict::odd;
use std::ffi::{OsStr, OsString};
use std::os::unix::ffi::{OsStrExt, OsStringExt};

use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// Longer than any of these may take, on a machine that is busy with everything else.
const SOON: Duration = Duration::from_secs(20);
/// Most characters that are said of one refusal: a line and a hint, each cut at 2,000.
const MOST_SAID: usize = 5_000;

/// Values that may stand in any variable or argument.
fn values() -> Vec<(&'static str, OsString)> {
    let bytes: [(&str, &[u8]); 12] = [
        ("empty", b""),
        ("a word", b"x"),
        ("no UTF-8", b"a\xff\xfe\x80b"),
        ("escapes", b"a\x1b[2J\x1b]0;t\x07\x9bb"),
        ("turned and broken", "a\u{202e}b\nc\r\u{2028}\u{feff}d".as_bytes()),
        ("below zero", b"-1"),
        ("zero", b"0"),
        ("huge", b"99999999999999999999999999"),
        ("an endless file", b"/dev/zero"),
        ("an endless file far up", b":../../../../dev/zero"),
        ("a folder", b"/"),
        ("an option", b"--help"),
    ];
    let short = bytes.map(|(name, bytes)| (name, OsStr::from_bytes(bytes).to_owned()));
    let long = [("100 KB", vec![b'a'; 100_000]), ("100 KB of no UTF-8", vec![0xff; 100_000])];
    let long = long.map(|(name, bytes)| (name, OsString::from_vec(bytes)));
    short.into_iter().chain(long).collect()
}

/// A data folder with one engine; the program runs in another folder, which nothing is written into.
struct Shop {
    home: TempDir,
    beside: TempDir,
}

impl Shop {
    fn new() -> Shop {
        let shop =
            Shop { home: tempfile::tempdir().unwrap(), beside: tempfile::tempdir().unwrap() };
        let add = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"];
        assert!(shop.run(&add, None).status.success());
        shop
    }

    fn run(&self, words: &[impl AsRef<OsStr>], variable: Option<(&str, &OsStr)>) -> Output {
        let mut command = Command::new(PROGRAM);
        command.args(words).env_clear().env("COWLSIDE_HOME", self.home.path());
        command.env("TERM", "xterm-256color").envs(variable).current_dir(self.beside.path());
        let since = Instant::now();
        let output = command.stdin(Stdio::null()).output().unwrap();
        assert!(since.elapsed() < SOON, "{variable:?}: {:?}", since.elapsed());
        output
    }
}

/// What is wrong with how a command ended, whatever it was given.
fn wrong(output: &Output) -> Option<String> {
    let texts = [&output.stdout, &output.stderr].map(|bytes| std::str::from_utf8(bytes));
    let [Ok(out), Ok(err)] = texts else { return Some("not UTF-8".into()) };
    let acts = unsafe_line(out).or(unsafe_line(err));
    if let Some(line) = acts {
        return Some(format!("acts or hides: {line}"));
    }
    let lines: Vec<&str> = err.lines().filter(|line| !line.starts_with("warning: ")).collect();
    let two = matches!(lines[..], [error, hint]
        if error.starts_with("error: ") && hint.starts_with("hint: "));
    let fits = match output.status.code() {
        Some(0) => lines.is_empty(),
        Some(1) => two && out.is_empty() && err.chars().count() < MOST_SAID,
        Some(2) => err.starts_with("error: ") && out.is_empty() && err.chars().count() < MOST_SAID,
        _ => false,
    };
    let beginning = |text: &str| text.chars().take(300).collect::<String>();
    (!fits).then(|| format!("{:?}: {} | {}", output.status, beginning(out), beginning(err)))
}

#[test]
fn a_variable_that_does_not_count_changes_nothing_that_is_said() {
    let shop = Shop::new();
    let commands: [&[&str]; 6] = [
        &["--version"],
        &["engines"],
        &["engines", "--json"],
        &["advise", "flat-four", "1 exhaust", "6"],
        &["session", "Trainer", "--plain"],
        &["plan", "none"],
    ];
    let plain = commands.map(|words| shop.run(words, None));
    let (mut tried, mut faults) = (0, Vec::new());
    for name in [
        "TERM",
        "COLORTERM",
        "NO_COLOR",
        "CLICOLOR_FORCE",
        "SOURCE_DATE_EPOCH",
        "LANG",
        "LC_ALL",
        "COLUMNS",
        "LINES",
        "TZ",
        "HOME",
        "XDG_DATA_HOME",
        "RUST_BACKTRACE",
        "PAGER",
    ] {
        for (what, value) in values() {
            for (words, plain) in commands.iter().zip(&plain) {
                let output = shop.run(words, Some((name, &value)));
                if output != *plain {
                    faults.push(format!("{name} {what}, {words:?}: {output:?}"));
                }
                tried += 1;
            }
        }
    }
    println!("{tried} commands under hostile variables, {} differ", faults.len());
    assert!(faults.is_empty() && tried > 1_000, "{}", faults.join("\n"));
    assert!(std::fs::read_dir(shop.beside.path()).unwrap().next().is_none());
}

#[test]
fn a_data_folder_that_cannot_be_one_is_refused_in_one_line_and_a_hint() {
    let shop = Shop::new();
    let (mut tried, mut refused) = (0, 0);
    let too_long = OsString::from(format!("/tmp/{}", "a/".repeat(40_000)));
    let given = values().into_iter().chain([("too long a path", too_long)]);
    for (place, (what, value)) in given.enumerate() {
        let mut made = false;
        for words in [
            &["engines"][..],
            &["settings"],
            &["session", "Trainer", "--plain"],
            &["engine", "add", "Other", "--profile", "flat-four", "--hours", "1"],
            &["backup", "new.backup"],
            &["verify", "--all"],
            &["demo", "--", "engines"],
        ] {
            // Nothing may come of a test in the root folder.
            if what == "a folder" && words[0] != "engines" {
                continue;
            }
            // The invented workshop takes its time to make: where a folder can be, in some of them.
            if words[0] == "demo" && made && place % 4 != 2 && !strings::whole() {
                continue;
            }
            let output = shop.run(words, Some(("COWLSIDE_HOME", &value)));
            assert_eq!(wrong(&output), None, "{what}, {words:?}");
            made |= output.status.success();
            refused += usize::from(output.status.code() == Some(1));
            tried += 1;
        }
    }
    println!("{tried} data folders, {refused} refused");
    assert!(refused > 30 && refused < tried);
}

#[test]
fn arguments_that_nobody_types_are_refused_in_few_words_and_nothing_acts() {
    let shop = Shop::new();
    let several = |count: usize| vec![OsString::from("x"); count];
    let given: Vec<_> = values()
        .into_iter()
        .map(|(what, value)| (what, vec![value]))
        .chain([("thousands", several(5_000))])
        .collect();
    let mut tried = 0;
    for (what, value) in &given {
        for (before, after) in [
            (&[][..], &[][..]),
            (&["engines"], &[]),
            (&["engine", "add"], &["--profile", "flat-four", "--hours", "x"]),
            (&["engine", "add", "New", "--hours", "1", "--profile"], &[]),
            (&["engine", "add", "New", "--profile", "flat-four", "--hours"], &[]),
            (&["engine", "hours", "Trainer"], &[]),
            (&["session"], &["--plain"]),
            (&["session", "Trainer", "--plain"], &[]),
            (&["compare", "Trainer"], &[]),
            (&["report"], &[]),
            (&["report", "Trainer", "--format"], &[]),
            (&["verify"], &[]),
            (&["verify", "--code"], &[]),
            (&["plan"], &[]),
            (&["plan", "flat-four", "--margin"], &[]),
            (&["advise", "flat-four", "1 exhaust"], &[]),
            (&["advise", "flat-four"], &["6"]),
            (&["leaves", "flat-four"], &[]),
            (&["profiles", "show"], &[]),
            (&["profiles", "check"], &[]),
            (&["import"], &[]),
            (&["take"], &[]),
            (&["restore"], &[]),
            (&["help"], &[]),
            (&["settings", "theme"], &[]),
            (&["settings"], &[]),
            (&["completions"], &[]),
            (&["demo", "--"], &[]),
        ] {
            let words = |words: &[&str]| words.iter().map(OsString::from).collect::<Vec<_>>();
            let all = [words(before), value.clone(), words(after)].concat();
            let output = shop.run(&all, None);
            assert_eq!(wrong(&output), None, "{what}: {before:?} {after:?}");
            tried += 1;
        }
    }
    println!("{tried} hostile arguments");
    assert!(tried > 300);
}

/// A shell's word for what no command line of a test can hold.
const IN_A_TERMINAL: [(&str, bool); 17] = [
    ("TERM=", false),
    ("TERM=dumb", false),
    ("TERM=nobody-made-this", true),
    ("TERM=$(head -c 100000 /dev/zero | tr '\\0' a)", true),
    ("TERM=$(printf 'a\\377\\376b')", true),
    ("TERM=$(printf 'a\\033[2J\\007b')", true),
    ("NO_COLOR=$(printf 'a\\377\\033[31m')", true),
    ("COLORTERM=$(printf '\\377')", true),
    ("LANG=$(printf 'a\\377\\033[31m')", true),
    ("LC_ALL=C", true),
    ("COLUMNS=0 LINES=0", true),
    ("COLUMNS=99999999999 LINES=letters", true),
    ("SOURCE_DATE_EPOCH=-1", true),
    ("TZ=/dev/zero", true),
    ("TZ=$(printf 'a\\377\\033[31m')", true),
    ("COWLSIDE_HOME=$(printf \"$COWLSIDE_HOME/a\\\\033[31m\\\\n\\\\377b\")", true),
    ("XDG_DATA_HOME=/dev/null HOME=/dev/zero", true),
];

#[test]
fn the_screens_stand_in_any_environment_or_say_why_not() {
    let folder = invented();
    for (variables, drawn) in IN_A_TERMINAL {
        let script = format!("export {variables}; exec \"$0\" demo");
        let mut seat = Seat::of(folder.path(), &["sh", "-c", &script, PROGRAM], (24, 80));
        if drawn {
            seat.await_text("Which engine?");
            seat.press("?");
            seat.await_text("Keys here");
            seat.press("\u{1b}");
            seat.await_text("Which engine?");
            seat.press("q");
            assert_eq!(seat.exit_code(), 0, "{variables}");
        } else {
            assert_eq!(seat.exit_code(), 2, "{variables}");
            seat.await_text("--plain");
            assert!(!seat.bytes().contains(&0x1b), "{variables}");
        }
        assert_eq!(seat.left_behind(), [""; 0], "{variables}");
        assert_eq!(odd(&seat.bytes()), [""; 0], "{variables}");
    }
}

#[test]
fn what_ends_badly_would_be_seen() {
    let shell = |script: &str| Command::new("sh").args(["-c", script]).output().unwrap();
    for script in [
        "printf 'a\\033[31mb'",
        "printf '\\377'",
        "echo 'error: one line' >&2; exit 1",
        "printf 'error: a\\nhint: b\\n' >&2; echo more; exit 1",
        "printf 'error: a\\nhint: b\\n' >&2",
        "echo \"thread 'main' panicked\" >&2; exit 101",
        "kill -9 $$",
        "head -c 6000 /dev/zero | tr '\\0' a | sed 's/^/error: /' >&2; exit 2",
    ] {
        assert!(wrong(&shell(script)).is_some(), "{script}");
    }
    assert_eq!(wrong(&shell("printf 'error: a\\nhint: b\\n' >&2; exit 1")), None);
}
