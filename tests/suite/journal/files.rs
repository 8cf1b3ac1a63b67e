//! Journals as files: rights, locks, links, names.

use super::samples;
use cowlside::store::StoreError;
use cowlside::store::folder::Folder;
use cowlside::store::journal::{self, Journal, Verdict};
use cowlside::store::sessions;
use std::path::{Path, PathBuf};

pub fn folder() -> (tempfile::TempDir, Folder) {
    let inside = tempfile::tempdir().unwrap();
    let folder = Folder::at(inside.path().join("data"));
    folder.prepare().unwrap();
    (inside, folder)
}

pub fn create(folder: &Folder) -> Journal {
    Journal::create(folder, samples::head(), samples::moment(), 0).unwrap().0
}

pub fn resume(folder: &Folder, path: &Path) -> Result<Journal, StoreError> {
    let resumed = Journal::resume(folder, path, &samples::parse, samples::moment(), 0);
    resumed.map(|(journal, _)| journal)
}

fn written(folder: &Folder) -> PathBuf {
    let mut journal = create(folder);
    journal.append(&samples::of_kind("who"), samples::moment(), 5).unwrap();
    journal.path().to_owned()
}

#[test]
fn a_session_is_written_read_and_gone_on_with() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    assert_eq!(path, folder.sessions().join("20260314-101530z-k3f9q2.jsonl"));
    let opened = journal::open(&path, &samples::parse).unwrap();
    assert_eq!((opened.entries.len(), opened.verdict), (2, Verdict::Clean));
    let mut journal = resume(&folder, &path).unwrap();
    assert_eq!(opened.last_hash.as_deref(), Some(journal.last_hash()));
    let more = journal.append(&samples::of_kind("away"), samples::moment(), 0).unwrap();
    assert_eq!(more[0].seq, 2);
    let text = std::fs::read_to_string(&path).unwrap();
    let runs: Vec<&str> =
        text.lines().map(|line| &line[line.find("\"r\":").unwrap()..][..5]).collect();
    assert_eq!(runs, ["\"r\":1", "\"r\":1", "\"r\":2"]);
}

#[cfg(unix)]
#[test]
fn folders_and_files_are_for_their_owner_alone_from_the_moment_they_are_made() {
    use std::os::unix::fs::PermissionsExt;
    let (_inside, folder) = folder();
    let path = written(&folder);
    let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o7777;
    let mut seen = 0;
    for name in ["", "engines", "sessions", "profiles", "locks", "cache", "demo"] {
        assert_eq!(mode(&folder.root().join(name)), 0o700, "{name}");
        seen += 1;
    }
    assert_eq!(mode(&path), 0o600);
    assert_eq!(mode(&folder.locks().join(format!("{}.lock", samples::SID))), 0o600);
    assert_eq!(seen, 7);
}

#[test]
fn a_second_opener_is_told_who_has_the_session_and_may_only_read() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    let first = resume(&folder, &path).unwrap();
    let before = std::fs::read(&path).unwrap();
    let refused = resume(&folder, &path).map(|_| ()).unwrap_err();
    let expected = format!("open in another terminal (process {})", std::process::id());
    assert_eq!(refused.to_string(), expected);
    assert!(journal::open(&path, &samples::parse).is_ok());
    assert_eq!(std::fs::read(&path).unwrap(), before);
    drop(first);
    assert!(resume(&folder, &path).is_ok());
}

#[test]
fn a_session_never_takes_a_name_that_is_there() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    let before = std::fs::read(&path).unwrap();
    let again = Journal::create(&folder, samples::head(), samples::moment(), 0);
    assert!(matches!(again, Err(StoreError::Io { doing: "create", .. })));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn an_identity_that_is_no_identity_never_becomes_a_path() {
    let (_inside, folder) = folder();
    let mut head = samples::head();
    head.session = "../../../../../../tmp/x".to_owned();
    let refused = Journal::create(&folder, head, samples::moment(), 0);
    assert!(matches!(refused, Err(StoreError::NoIdentity { .. })));
}

#[cfg(unix)]
#[test]
fn links_pipes_folders_and_second_names_are_refused_without_waiting() {
    let (inside, folder) = folder();
    let path = written(&folder);
    let at = |name: &str| inside.path().join(name);
    std::os::unix::fs::symlink(&path, at("link.jsonl")).unwrap();
    let made = std::process::Command::new("mkfifo").arg(at("pipe.jsonl")).status().unwrap();
    assert!(made.success());
    for odd in [at("link.jsonl"), at("pipe.jsonl"), folder.sessions(), "/dev/zero".into()] {
        let refused = journal::open(&odd, &samples::parse).map(|_| ()).unwrap_err();
        assert!(matches!(refused, StoreError::NotAFile { .. }), "{odd:?}: {refused}");
    }
}

#[cfg(unix)]
#[test]
fn a_file_with_a_second_name_is_not_appended_to_and_the_session_goes_on_beside_it() {
    let (inside, folder) = folder();
    let path = written(&folder);
    std::fs::hard_link(&path, inside.path().join("second.jsonl")).unwrap();
    let before = std::fs::read(&path).unwrap();
    let mut journal = resume(&folder, &path).unwrap();
    journal.append(&samples::of_kind("away"), samples::moment(), 0).unwrap();
    let beside = folder.sessions().join("20260314-101530z-k3f9q2.c2.jsonl");
    assert_eq!(journal.path(), beside);
    assert_eq!(std::fs::read(&path).unwrap(), before);
    drop(journal);
    // The longer one is the session; the older file is never appended to again.
    let listing = sessions::list(&folder).unwrap();
    let paths: Vec<&Path> = listing.sessions.iter().map(|one| one.path.as_path()).collect();
    assert_eq!((paths, listing.apart.len()), (vec![beside.as_path()], 1));
    let mut older = resume(&folder, &path).unwrap();
    older.append(&samples::of_kind("away"), samples::moment(), 0).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[cfg(unix)]
#[test]
fn a_file_that_was_removed_is_written_anew_beside_its_place_and_a_lost_folder_is_told() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    let mut journal = resume(&folder, &path).unwrap();
    std::fs::remove_file(&path).unwrap();
    journal.append(&samples::of_kind("away"), samples::moment(), 0).unwrap();
    let opened = journal::open(journal.path(), &samples::parse).unwrap();
    assert_eq!((opened.entries.len(), opened.verdict), (3, Verdict::Clean));
    std::fs::remove_dir_all(folder.sessions()).unwrap();
    let lost = journal.append(&samples::of_kind("away"), samples::moment(), 0).unwrap_err();
    assert!(lost.error.to_string().contains("the folder is gone: "), "{}", lost.error);
    std::fs::create_dir(folder.sessions()).unwrap();
    journal.save().unwrap();
    let opened = journal::open(journal.path(), &samples::parse).unwrap();
    assert_eq!((opened.entries.len(), opened.verdict), (4, Verdict::Clean));
}

#[test]
fn a_file_over_the_limit_is_refused_before_it_is_read_whole() {
    let (inside, _) = folder();
    let path = inside.path().join("large.jsonl");
    std::fs::File::create(&path).unwrap().set_len(64 * 1024 * 1024 + 1).unwrap();
    let refused = journal::open(&path, &samples::parse).map(|_| ()).unwrap_err();
    assert!(matches!(refused, StoreError::TooLarge { .. }), "{refused}");
}

/// Most entries of a session, its first one among them.
const ENTRIES: usize = 100_000;

#[test]
fn a_session_holds_exactly_its_most_entries_and_not_one_more() {
    let remarks = vec![samples::of_kind("who").remove(0); ENTRIES];
    let made =
        |count: usize| journal::in_memory(samples::head(), &remarks[..count], samples::moment());
    let (_, bytes, kept) = made(ENTRIES - 1).unwrap();
    assert_eq!(kept.len(), ENTRIES);
    assert!(matches!(made(ENTRIES), Err(StoreError::Full { .. })));
    // What is full reads back whole, and takes nothing more.
    let (_inside, folder) = folder();
    let path = folder.sessions().join("20260314-101530z-k3f9q2.jsonl");
    std::fs::write(&path, bytes).unwrap();
    let opened = journal::open(&path, &samples::parse).unwrap();
    assert_eq!((opened.entries.len(), opened.verdict), (ENTRIES, Verdict::Clean));
    let mut journal = resume(&folder, &path).unwrap();
    let refused = journal.append(&remarks[..1], samples::moment(), 0).unwrap_err();
    assert!(matches!(refused.error, StoreError::Full { .. }), "{}", refused.error);
}

#[test]
fn file_names_cannot_steer_the_terminal_in_an_error() {
    let refused = journal::open(Path::new("/none/\u{1b}[2Ja"), &samples::parse).unwrap_err();
    assert!(refused.to_string().starts_with("cannot open /none/\u{fffd}[2Ja: "), "{refused}");
    assert!(!refused.hint().is_empty());
}

#[cfg(unix)]
#[test]
fn a_file_of_which_nothing_was_known_at_the_end_is_not_gone_on_with_by_the_next_run() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    let bytes = std::fs::read(&path).unwrap();
    let mut journal = resume(&folder, &path).unwrap();
    std::fs::remove_dir_all(folder.sessions()).unwrap();
    journal.append(&samples::of_kind("away"), samples::moment(), 0).unwrap_err();
    drop(journal);
    std::fs::create_dir(folder.sessions()).unwrap();
    std::fs::write(&path, &bytes).unwrap();
    for _ in 0..2 {
        // The first of these dies at once; the doubt outlives it.
        let beside = resume(&folder, &path).unwrap().path().to_owned();
        assert_eq!(beside, folder.sessions().join("20260314-101530z-k3f9q2.c2.jsonl"));
        assert_eq!(std::fs::read(&beside).unwrap(), bytes);
        std::fs::remove_file(&beside).unwrap();
    }
}

#[test]
fn names_that_failed_tries_used_up_bar_nobody_and_what_one_began_is_gone_on_with() {
    let (_inside, folder) = folder();
    let path = written(&folder);
    let numbered = |number: u32| path.with_extension(format!("c{number}.jsonl"));
    for number in 2..=120 {
        std::fs::write(numbered(number), "of another").unwrap();
    }
    let away = || samples::of_kind("away");
    let mut journal = resume(&folder, &path).unwrap();
    journal.append(&away(), samples::moment(), 0).unwrap();
    assert_eq!(journal.path(), numbered(121));
    drop(journal);
    // One that has only a part of it, as a full disk leaves it.
    let whole = std::fs::read(&path).unwrap();
    std::fs::write(numbered(121), &whole[..whole.len() / 2]).unwrap();
    let mut journal = resume(&folder, &path).unwrap();
    journal.append(&away(), samples::moment(), 0).unwrap();
    assert_eq!(journal.path(), numbered(121));
    assert!(std::fs::read(numbered(121)).unwrap().starts_with(&whole));
    assert_eq!(std::fs::read(numbered(120)).unwrap(), b"of another");
}
