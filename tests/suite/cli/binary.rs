//! The built program: exit codes, streams that are no terminal, a pipe that closes.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

fn program(folder: &TempDir) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cowlside"));
    command.env_clear().env("COWLSIDE_HOME", folder.path()).stdin(Stdio::null());
    command
}

fn output(folder: &TempDir, words: &[&str]) -> Output {
    program(folder).args(words).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn exit_codes_tell_done_not_done_and_wrong_usage() {
    let folder = tempfile::tempdir().unwrap();
    for (words, code) in [
        (&["--help"][..], 0),
        (&["--version"], 0),
        (&["session", "--help"], 0),
        (&["profiles"], 0),
        (&["plan", "flat-four"], 0),
        (&["plan", "none"], 1),
        (&["report", "none"], 1),
        (&["compare", "none"], 1),
        (&["none"], 2),
        (&["plan"], 2),
        (&["plan", "flat-four", "--none"], 2),
        (&["profiles", "--json", "show", "flat-four"], 2),
    ] {
        let shown = output(&folder, words);
        assert_eq!(shown.status.code(), Some(code), "{words:?}");
        let (out, err) = (text(&shown.stdout), text(&shown.stderr));
        assert!(!(out.clone() + &err).contains('\u{1b}'), "{words:?}");
        assert_eq!(err.is_empty(), code == 0, "{words:?}: {err}");
        assert_eq!(out.is_empty(), code != 0, "{words:?}: {out}");
        if code == 1 {
            let lines: Vec<&str> = err.lines().collect();
            assert!(lines.len() == 2 && lines[0].starts_with("error: "), "{err}");
            assert!(lines[1].starts_with("hint: "), "{err}");
        }
        if code == 2 {
            assert!(err.starts_with("error: "), "{err}");
        }
    }
}

#[test]
fn without_a_terminal_the_screens_are_refused_with_one_line_that_names_the_plain_session() {
    let folder = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"];
    assert!(output(&folder, &add).status.success());
    for words in [&[][..], &["session", "Trainer"], &["demo"]] {
        for (name, value) in [("TERM", "xterm-256color"), ("TERM", "dumb"), ("NO_COLOR", "1")] {
            let shown = program(&folder).env(name, value).args(words).output().unwrap();
            assert_eq!(shown.status.code(), Some(2), "{words:?}");
            assert!(shown.stdout.is_empty());
            let err = text(&shown.stderr);
            assert!(!err.contains('\u{1b}'), "{err:?}");
            assert_eq!(err.lines().filter(|line| line.contains("--plain")).count(), 1, "{err}");
        }
    }
}

#[test]
fn a_reader_that_goes_away_is_no_fault_and_no_panic() {
    let folder = tempfile::tempdir().unwrap();
    for words in
        [&["profiles", "show", "radial-nine"][..], &["plan", "radial-nine", "--json"], &["--help"]]
    {
        let mut child = program(&folder)
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let shown = child.wait_with_output().unwrap();
        assert_eq!(
            (shown.status.code(), text(&shown.stderr)),
            (Some(0), String::new()),
            "{words:?}"
        );
    }
}

#[test]
fn output_that_cannot_be_written_is_an_error() {
    let Ok(full) = std::fs::File::options().write(true).open("/dev/full") else { return };
    let folder = tempfile::tempdir().unwrap();
    let shown = program(&folder).args(["plan", "flat-four"]).stdout(full).output().unwrap();
    assert_eq!(shown.status.code(), Some(1));
    assert!(text(&shown.stderr).starts_with("error: cannot write the output"));
}

#[test]
fn a_plain_session_over_pipes_shows_each_question_before_it_waits() {
    let folder = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"];
    assert!(output(&folder, &add).status.success());
    let mut child = program(&folder)
        .args(["session", "Trainer", "--plain"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut input = child.stdin.take().unwrap();
    let mut asked = |until: &str| {
        let mut seen = Vec::new();
        while !String::from_utf8_lossy(&seen).contains(until) {
            let piece = out.fill_buf().unwrap().to_vec();
            assert!(!piece.is_empty(), "ended before {until}");
            out.consume(piece.len());
            seen.extend(piece);
        }
    };
    asked("Running hours now");
    input.write_all(b"\n").unwrap();
    asked("total time");
    input.write_all(b"\n").unwrap();
    asked("Name or initials");
    drop(input);
    assert!(child.wait().unwrap().success());
}

#[test]
fn nothing_is_written_outside_the_data_folder_and_only_the_owner_may_read_it() {
    let folder = tempfile::tempdir().unwrap();
    let add = ["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"];
    let home = tempfile::tempdir().unwrap();
    let shown = program(&folder).env("HOME", home.path()).args(add).output().unwrap();
    assert!(shown.status.success());
    assert_eq!(std::fs::read_dir(home.path()).unwrap().count(), 0);
    let own =
        program(&folder).env_remove("COWLSIDE_HOME").env("HOME", home.path()).args(add).output();
    assert!(own.unwrap().status.success());
    assert!(home.path().join(".local/share/cowlside/engines").is_dir());
    #[cfg(unix)]
    for inside in ["engines", "sessions", "locks"] {
        use std::os::unix::fs::PermissionsExt;
        let path = folder.path().join(inside);
        let mode = std::fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode, 0o700, "{inside}");
    }
    let nowhere = program(&folder).env_remove("COWLSIDE_HOME").args(["engines"]).output().unwrap();
    assert_eq!(nowhere.status.code(), Some(1));
    assert!(text(&nowhere.stderr).contains("COWLSIDE_HOME"));
}
