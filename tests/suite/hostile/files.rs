//! Files that are too large, are no files, or hold what no parser's words should be told of.

#![cfg(unix)]

use super::unsafe_line;
use crate::cli::{Place, with_trainer};
use std::fs::File;
use std::path::Path;
use std::time::Instant;

/// Words of parsers and systems, which say nothing to a mechanic.
const JARGON: [&str; 15] = [
    "expected value",
    "expected `",
    "EOF while",
    "trailing",
    "invalid type",
    "invalid value",
    "missing field",
    "unknown field",
    "unknown variant",
    "untagged",
    "os error",
    "Utf8",
    "panicked",
    "at line",
    "CSV error",
];

/// Everything that takes a file's path, and a word for it.
const TAKERS: [&[&str]; 11] = [
    &["import"],
    &["take"],
    &["restore"],
    &["restore", "--dry-run"],
    &["verify"],
    &["report"],
    &["profiles", "check"],
    &["profiles", "show"],
    &["plan"],
    &["leaves"],
    &["import", "--dry-run"],
];

fn refused(place: &Place, words: &[&str], path: &Path) -> String {
    let words: Vec<&str> = words.iter().copied().chain([path.to_str().unwrap()]).collect();
    let begun = Instant::now();
    let shown = place.run(&words);
    assert!(begun.elapsed().as_secs() < 5, "{words:?}: {:?}", begun.elapsed());
    assert_ne!(shown.code, 0, "{words:?}: {shown}");
    let said = shown.out + &shown.err;
    assert_eq!(unsafe_line(&said), None, "{words:?}");
    let jargon = JARGON.iter().find(|word| said.contains(**word));
    assert_eq!(jargon, None, "{words:?}: {said}");
    said
}

/// The most memory that this process had so far, KiB.
#[cfg(target_os = "linux")]
fn most_memory() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_no_file_or_too_large_is_refused_at_once_and_takes_no_memory() {
    let place = with_trainer();
    let beside = tempfile::tempdir().unwrap();
    let path = |name: &str| beside.path().join(name);
    // Ten gigabytes that take no room on the disk.
    for name in ["huge.json", "huge.csv", "huge.jsonl"] {
        File::create(path(name)).unwrap().set_len(10_000_000_000).unwrap();
    }
    assert!(
        std::process::Command::new("mkfifo").arg(path("pipe.json")).status().unwrap().success()
    );
    let _socket = std::os::unix::net::UnixListener::bind(path("socket.json")).unwrap();
    std::os::unix::fs::symlink("/dev/zero", path("link.json")).unwrap();
    let mut odd = ["huge.json", "huge.csv", "huge.jsonl", "pipe.json", "socket.json", "link.json"]
        .map(path)
        .to_vec();
    odd.extend(["/dev/zero".into(), "/dev/null".into(), beside.path().join("none.json")]);
    let before = most_memory();
    let mut tried = 0;
    for taker in TAKERS {
        for path in &odd {
            refused(&place, taker, path);
            tried += 1;
        }
    }
    // Other tests run in this process, too: a file taken whole would be 10,000 MiB.
    let taken = most_memory().saturating_sub(before) / 1024;
    println!("{tried} refused, at most {taken} MiB more");
    assert!(tried == 99 && taken < 2_000, "{taken} MiB");
}

#[cfg(target_os = "linux")]
#[test]
fn the_programs_own_files_may_be_pipes_or_huge_and_nothing_waits() {
    for own in ["settings.json", "engines/0123456789abcdefghjkmnpqrs.json", "sessions/a.jsonl"] {
        for huge in [true, false] {
            let place = with_trainer();
            std::fs::create_dir_all(place.path().join("sessions")).unwrap();
            let path = place.path().join(own);
            if huge {
                File::create(&path).unwrap().set_len(10_000_000_000).unwrap();
            } else {
                assert!(
                    std::process::Command::new("mkfifo").arg(&path).status().unwrap().success()
                );
            }
            let begun = Instant::now();
            let to = place.path().with_extension("backup");
            for words in [
                &["engines"][..],
                &["sessions", "Trainer"],
                &["settings"],
                &["export"],
                &["backup", to.to_str().unwrap()],
            ] {
                let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_cowlside"));
                program.env_clear().env("COWLSIDE_HOME", place.path()).args(words);
                let shown = program.stdin(std::process::Stdio::null()).output().unwrap();
                let err = String::from_utf8(shown.stderr).unwrap();
                assert!(!JARGON.iter().any(|word| err.contains(word)), "{err}");
                assert!(
                    shown.status.code().is_some_and(|code| code <= 1),
                    "{own} {words:?}: {err}"
                );
            }
            let _ = std::fs::remove_file(&to);
            assert!(begun.elapsed().as_secs() < 10, "{own}: {:?}", begun.elapsed());
        }
    }
}

#[test]
fn a_bad_file_is_told_by_its_place_and_never_in_a_parsers_words() {
    let place = with_trainer();
    let beside = tempfile::tempdir().unwrap();
    let path = beside.path().join("bad.json");
    let mut tried = 0;
    let deep = "[".repeat(5_000);
    let texts = [
        "",
        "{",
        "}",
        "[",
        "[]",
        "null",
        "1",
        "\"",
        "\"\\ud800\"",
        "{\"format\":1}",
        "{}{}",
        "{,}",
        "{\"a\":1,}",
        "{'a':1}",
        "{\"format\":\"1\"}",
        "{\"format\":1,\"name\":2}",
        "NaN",
        "1e999",
        "\u{feff}{}",
        "{\"format\":1.5}",
        "{\"a\":tru}",
        "{\"a\":\"\n\"}",
        "{\"a\":01}",
        "// a",
        "a,b\n1,2",
        "engine\n\"",
        "\0\0\0",
        "\u{1b}[2J",
        "{\"files\":1,\"format\":\"x\"}",
        "{\"format\":\"cowlside-backup\",\"version\":\"1\"}",
        "{\"format\":\"cowlside-backup\",\"version\":1}",
        &deep,
    ];
    for text in
        texts.map(str::as_bytes).into_iter().chain([&b"\xff\xfe{\0"[..], b"{\"a\":\"\xc3\"}"])
    {
        std::fs::write(&path, text).unwrap();
        for taker in TAKERS {
            if *taker != ["verify"] && *taker != ["take"] {
                let said = refused(&place, taker, &path);
                assert!(said.contains("hint: "), "{taker:?}: {said}");
                tried += 1;
            }
        }
    }
    println!("{tried} bad files told in plain words");
    assert!(tried > 250);
}

#[test]
fn a_faulty_entry_is_told_by_its_member_and_never_in_a_parsers_words() {
    use cowlside::store::codec::{DecodeFault, decode};
    let parse = |_: &str| Err("no profile here".to_owned());
    let mut said = Vec::new();
    for (kind, payload) in super::fields::samples() {
        let members = payload.as_object().unwrap();
        let odd = ["null", "true", "-1", "1.5", "1e30", "\"\u{1b}[2Jx\"", "[]", "[1,2,3,4]", "{}"];
        for name in members.keys() {
            for wrong in odd {
                let mut changed = payload.clone();
                changed[name] = serde_json::from_str(wrong).unwrap_or_default();
                if let Err(DecodeFault::Misspelled(why)) =
                    decode(&kind, &changed.to_string(), &parse)
                {
                    said.push(format!("{kind}: {why}"));
                }
            }
            let mut without = payload.clone();
            without.as_object_mut().unwrap().remove(name);
            if let Err(DecodeFault::Misspelled(why)) = decode(&kind, &without.to_string(), &parse) {
                // Without an optional one all is there but for the profile, which nobody reads here.
                let optional = why.contains("no profile here");
                let named = why.contains(name.as_str()) || optional || kind == "head";
                assert!(named, "{kind}: {name}: {why}");
                said.push(format!("{kind}: {why}"));
            }
        }
    }
    for why in &said {
        assert!(!JARGON.iter().any(|word| why.contains(word)), "{why}");
    }
    println!("{} faults of entries told in plain words", said.len());
    assert!(said.len() > 500);
    // The reader's own words would be seen.
    let raw = serde_json::from_str::<u8>("\"a\"").unwrap_err().to_string();
    assert!(JARGON.iter().any(|word| raw.contains(word)), "{raw}");
}
