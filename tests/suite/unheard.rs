//! An output that nobody takes any more: what is not saved stays not saved, and what is done is said to
//! be done.

#![cfg(target_os = "linux")]

use crate::full_disk::limit;
use crate::plain_seat::Plain;
use crate::seat::PROGRAM;
use std::fs::File;
use std::process::{Command, Stdio};

#[test]
fn what_is_not_saved_ends_with_1_where_nobody_reads_either() {
    for full in [false, true] {
        let folder = tempfile::tempdir().unwrap();
        let mut plain = Plain::begin(folder.path(), &[]);
        let path = plain.journal().unwrap();
        if full {
            limit(plain.child.id(), Some(std::fs::metadata(path).unwrap().len()));
            for _ in 0..8 {
                if !plain.seen.contains("NOT SAVED: ") {
                    plain.answer();
                }
            }
        }
        plain.stop_reading();
        plain.answer_into_the_dark();
        let code = plain.child.wait().unwrap().code();
        assert_eq!(code, Some(i32::from(full)));
    }
}

fn into_a_full_device(home: &std::path::Path, words: &[&str]) -> (Option<i32>, String) {
    let full = File::options().write(true).open("/dev/full").unwrap();
    let mut program = Command::new(PROGRAM);
    let program = program.args(words).env_clear().env("COWLSIDE_HOME", home);
    let ran = program.stdin(Stdio::null()).stdout(full).stderr(Stdio::piped()).output().unwrap();
    (ran.status.code(), String::from_utf8(ran.stderr).unwrap())
}

#[test]
fn an_output_that_takes_nothing_leaves_it_told_what_is_saved_and_how_to_go_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut plain = Plain::begin(folder.path(), &[]);
    plain.kill();
    let (code, said) = into_a_full_device(folder.path(), &["session", "Trainer 0", "--plain"]);
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("error: cannot write the output: the disk is full\n"), "{said}");
    let words = "Everything that was answered is on the disk. The session stays open; go on with it: \
                 cowlside session \"Trainer 0\" --plain\n";
    assert!(said.contains(words), "{said}");
    // A setting that is changed is changed, whatever becomes of the words.
    let (code, said) = into_a_full_device(folder.path(), &["settings", "bell", "off"]);
    assert!(
        code == Some(1) && said.contains("error: it was done; only the words about it"),
        "{said}"
    );
    let settings = std::fs::read_to_string(folder.path().join("settings.json")).unwrap();
    assert!(settings.contains("\"bell\":false"), "{settings}");
    let (code, said) = into_a_full_device(folder.path(), &["settings"]);
    assert!(code == Some(1) && said.contains("error: cannot write the output"), "{said}");
}
