//! Data folders on other file systems, and where nothing can be written, with the built program.
//!
//! Most need root and Linux, FAT and exFAT also mkfs.vfat and mkfs.exfat with the kernel's own file
//! system or fusefat and exfat-fuse; what is not there is said loudly and skipped.

#![cfg(unix)]

use crate::plain_seat::Plain;
use crate::power_cuts::{run, text};
use crate::real::{holds_all, kept, newest_journal, words_of};
use crate::seat::{PROGRAM, Seat};
use std::fs::{self, File, Permissions};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// What is mounted goes with its folder, its loop device with it.
struct Mounted {
    inside: TempDir,
    image: TempDir,
    device: Option<String>,
}

impl Mounted {
    /// Makes and mounts a file system of this kind; nothing where this machine cannot.
    fn make(kind: &str) -> Option<Mounted> {
        let (inside, image) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let mut mounted = Mounted { inside, image, device: None };
        let made = mounted.mount(kind);
        if made.is_none() {
            println!("SKIPPED, NOT TESTED: {kind} needs Linux, root and its tools on this machine");
        }
        made.map(|()| mounted)
    }

    fn mount(&mut self, kind: &str) -> Option<()> {
        let to = text(self.inside.path());
        let done = |done: bool| done.then_some(());
        if kind == "tmpfs" {
            return done(run("mount", &["-t", "tmpfs", "-o", "size=16m", "tmpfs", to]));
        }
        let image = self.image.path().join("image");
        File::create(&image).unwrap().set_len(64 * 1024 * 1024).unwrap();
        let image = text(&image);
        done(run(&format!("mkfs.{kind}"), &[image]))?;
        if run("mount", &["-t", kind, "-o", "loop", image, to]) {
            return Some(());
        }
        // The kernel has none of it: a program mounts it.
        if kind == "vfat" {
            return done(run("fusefat", &["-o", "rw+", image, to]));
        }
        let loops = Command::new("losetup").args(["-f", "--show", image]).output().ok()?;
        let device = String::from_utf8(loops.stdout).unwrap().trim().to_owned();
        self.device = Some(device.clone());
        done(run("mount.exfat-fuse", &[&device, to]))
    }

    fn path(&self) -> &Path {
        self.inside.path()
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        run("umount", &["-l", text(self.path())]);
        if let Some(device) = &self.device {
            run("losetup", &["-d", device]);
        }
    }
}

/// A plain session, some valves of which have been gauged.
fn gauged(home: &Path) -> Plain {
    let mut plain = Plain::begin(home, &[]);
    while plain.saved().len() < 40 {
        plain.answer();
    }
    plain
}

/// Runs a command that must be done, and returns what it printed.
#[track_caller]
fn done(home: &Path, words: &[&str]) -> String {
    let mut command = Command::new(PROGRAM);
    command.args(words).env_clear().env("COWLSIDE_HOME", home).stdin(Stdio::null());
    let shown = command.output().unwrap();
    assert_eq!(shown.status.code(), Some(0), "{words:?}: {shown:?}");
    String::from_utf8(shown.stdout).unwrap()
}

#[test]
fn a_service_is_kept_followed_checked_and_brought_back_on_any_file_system() {
    let mut tried = Vec::new();
    for kind in ["tmpfs", "ext4", "vfat", "exfat"] {
        let Some(disk) = Mounted::make(kind) else { continue };
        let home = disk.path().join("home");
        let mut plain = gauged(&home);
        // The lock holds there, too.
        let second = done(&home, &["session", "Trainer 0", "--plain"]);
        assert!(second.starts_with("ONLY LOOKING: open in another terminal"), "{kind}: {second}");
        plain.kill();
        let path = plain.journal().unwrap();
        let (said, words) = (plain.saved(), words_of(&kept(&path)));
        assert!(holds_all(&said, &words), "{kind}: {said:#?}\n{words:#?}");
        // It is gone on with, in the same file.
        let before = fs::read(&path).unwrap();
        assert!(done(&home, &["session", "Trainer 0", "--plain"]).starts_with("Open: "), "{kind}");
        let whole = fs::read(&path).unwrap();
        assert!(whole.starts_with(&before) && whole.len() > before.len(), "{kind}");
        assert!(done(&home, &["verify", "--all"]).ends_with("Everything is whole.\n"), "{kind}");
        assert_eq!(fs::read_dir(home.join("sessions")).unwrap().count(), 1, "{kind}");
        // A backup on that disk, brought back beside it.
        let (backup, other) = (disk.path().join("shop.backup"), disk.path().join("other"));
        done(&home, &["backup", text(&backup)]);
        done(&other, &["restore", text(&backup)]);
        let copy = other.join("sessions").join(path.file_name().unwrap());
        assert_eq!(fs::read(copy).unwrap(), whole, "{kind}");
        assert!(done(&other, &["verify", "--all"]).ends_with("Everything is whole.\n"), "{kind}");
        assert_eq!(done(&other, &["engines"]), done(&home, &["engines"]), "{kind}");
        // Nothing half-made is left behind.
        for folder in [&home, &other].map(|home| home.join("engines")) {
            let names = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
            assert!(names.into_iter().all(|name| name.extension().is_some_and(|e| e == "json")));
        }
        tried.push(kind);
    }
    println!("a service on {tried:?}");
}

/// The session is looked at, it is said why, and every other command that only reads works.
fn only_looked_at(home: &Path, through: &[&str], why: &str) {
    let journal = newest_journal(home);
    let before = fs::read(&journal).unwrap();
    let command = |words: &[&str]| -> Vec<String> {
        through.iter().chain(&[PROGRAM]).chain(words).map(|word| (*word).to_owned()).collect()
    };
    let session = command(&["session", "Trainer 0", "--plain"]);
    let words: Vec<&str> = session.iter().map(String::as_str).collect();
    let mut seat = Seat::of(home, &words, (200, 120));
    seat.await_text(&format!("ONLY LOOKING: {why}; nothing is taken here"));
    seat.send(b"1\n");
    seat.await_text("! nothing is taken here: q");
    seat.send(b"go on\n");
    seat.await_text(&format!("! not here: {why}"));
    seat.send(b"q\n");
    assert_eq!(seat.exit_code(), 0);

    let session = command(&["session", "Trainer 0"]);
    let words: Vec<&str> = session.iter().map(String::as_str).collect();
    let mut seat = Seat::of(home, &words, (24, 80));
    seat.await_text(&format!("ONLY LOOKING: {why}"));
    for key in ["1", "6", "\r", "-", "g"] {
        seat.press(key);
    }
    seat.await_text(&format!("not here: {why}"));
    seat.signal("TERM");
    assert_eq!(seat.exit_code(), 143);
    assert_eq!(seat.left_behind(), [""; 0]);

    for reads in [
        &["engines"][..],
        &["sessions", "Trainer 0"],
        &["verify", "--all"],
        &["history", "Trainer 0"],
        &["report", text(&journal)],
        &["export"],
    ] {
        let words = command(reads);
        let mut run = Command::new(&words[0]);
        run.args(&words[1..]).env_clear().env("COWLSIDE_HOME", home).stdin(Stdio::null());
        let shown = run.output().unwrap();
        assert_eq!(shown.status.code(), Some(0), "{reads:?}: {shown:?}");
    }
    assert_eq!(fs::read(&journal).unwrap(), before);
}

#[test]
fn a_session_on_a_disk_that_can_only_be_read_is_looked_at_and_says_why() {
    let Some(disk) = Mounted::make("tmpfs") else { return };
    let home = disk.path().join("home");
    gauged(&home).kill();
    let remount = |how: &str| {
        let how = format!("remount,{how}");
        assert!(run("mount", &["-o", &how, text(disk.path())]));
    };
    remount("ro");
    only_looked_at(&home, &[], "the disk can only be read");
    // Negative control: the same, where it can be written, is gone on with.
    remount("rw");
    assert!(done(&home, &["session", "Trainer 0", "--plain"]).starts_with("Open: "));
}

#[test]
fn a_session_in_a_folder_of_somebody_elses_is_looked_at_and_says_why() {
    let nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"];
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home");
    gauged(&home).kill();
    // Where root runs the tests another user looks; else its owner, to whom it is forbidden.
    let root = run(nobody[0], &[&nobody[1..], &[PROGRAM, "--version"]].concat());
    if !root && rustix::process::geteuid().is_root() {
        println!("SKIPPED, NOT TESTED: setpriv lets nobody else run this program here");
        return;
    }
    let through = if root { &nobody[..] } else { &[] };
    for (path, is_folder) in inside(folder.path()) {
        let mode = if is_folder { 0o555 } else { 0o444 };
        fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
    }
    only_looked_at(&home, through, "nothing may be written there");
    for (path, is_folder) in inside(folder.path()) {
        let mode = if is_folder { 0o700 } else { 0o600 };
        fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
    }
    assert!(done(&home, &["session", "Trainer 0", "--plain"]).starts_with("Open: "));
}

/// Everything in a folder, itself first, and whether it is a folder.
fn inside(path: &Path) -> Vec<(PathBuf, bool)> {
    let is_folder = path.is_dir();
    let mut all = vec![(path.to_owned(), is_folder)];
    if is_folder {
        for entry in fs::read_dir(path).unwrap() {
            all.extend(inside(&entry.unwrap().path()));
        }
    }
    all
}

#[test]
fn little_room_on_a_disk_is_told_where_a_session_is_begun_and_nowhere_else() {
    let Some(disk) = Mounted::make("tmpfs") else { return };
    for (filled_kib, told) in [(14 * 1024, false), (15 * 1024 + 600, true)] {
        fs::write(disk.path().join("other"), vec![0; filled_kib * 1024]).unwrap();
        let mut plain = Plain::begin(disk.path(), &[]);
        let (_, said) = plain.end_by("TERM");
        let warned = said.contains(" KiB are free on the disk: make room before it is full");
        assert_eq!(warned, told, "{filled_kib}: {said}");
    }
}

/// A data folder with an engine and no session, on a disk that can only be read, and another folder.
fn read_only() -> Option<(Mounted, TempDir)> {
    let disk = Mounted::make("tmpfs")?;
    let home = disk.path().join("home");
    done(&home, &["engine", "add", "Trainer 0", "--profile", "flat-four", "--hours", "412.6"]);
    assert!(run("mount", &["-o", "remount,ro", text(disk.path())]));
    Some((disk, tempfile::tempdir().unwrap()))
}

fn in_a_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn where_the_data_folder_can_only_be_read_a_new_session_asks_for_a_folder_and_is_taken_home() {
    let Some((disk, other)) = read_only() else { return };
    let home = disk.path().join("home");
    let mut plain = Plain::open_under(&home, "Trainer 0", &[], &[]);
    assert!(in_a_line(&plain.seen).contains("can only be read"), "{}", plain.seen);
    assert!(plain.seen.contains("Running hours now"), "{}", plain.seen);
    if plain.type_in("420").contains("is that right?") {
        plain.type_in("2");
    }
    assert!(plain.type_in("").contains("Which folder?"), "{}", plain.seen);
    // What cannot be is refused, with what to do, and asked again.
    let (file, none) = (other.path().join("file"), other.path().join("none"));
    fs::write(&file, "").unwrap();
    for (typed, why) in [
        ("", "type an answer, then Enter"),
        (text(&none), "; name one that is there"),
        (text(&file), "is a file: name the folder in which it lies"),
        (text(&home.join("sessions")), "lies in the folder that can only be read: name another"),
        (text(disk.path()), "the disk can only be read: name another folder"),
        ("/proc", "no such file or folder: name another folder"),
    ] {
        let said = in_a_line(&plain.type_in(typed));
        assert!(said.contains("! ") && said.contains(why), "{typed}: {said}");
        assert!(said.contains("Which folder?"), "{typed}: {said}");
    }
    let said = plain.type_in(text(other.path()));
    let path = fs::read_dir(other.path()).unwrap().map(|one| one.unwrap().path());
    let path = path.into_iter().find(|path| path.extension().is_some()).unwrap();
    assert!(!said.contains("Which folder?"), "{said}");
    while plain.saved().len() < 12 {
        plain.answer();
    }
    let left = plain.leave();
    let err = plain.stderr();
    let later = format!("all is saved in {0}; later: cowlside take {0}", path.display());
    assert!(left.contains("The session stays open") && err.contains(&later), "{left}{err}");
    assert!(err.contains(&format!("this session is kept in {}", path.display())), "{err}");
    assert!(err.contains("cowlside engine hours \"Trainer 0\" 420"), "{err}");
    assert!(holds_all(&plain.saved(), &words_of(&kept(&path))));
    assert_eq!(fs::read_dir(home.join("sessions")).unwrap().count(), 0);
    // At home it is an ordinary session, and is gone on with.
    assert!(run("mount", &["-o", "remount,rw", text(disk.path())]));
    done(&home, &["take", text(&path)]);
    assert!(done(&home, &["verify", "--all"]).ends_with("Everything is whole.\n"));
    assert!(done(&home, &["session", "Trainer 0", "--plain"]).starts_with("Open: "));
}

#[test]
fn on_the_screens_too_a_new_session_is_kept_in_the_folder_that_is_typed_and_the_list_says_where() {
    let Some((disk, other)) = read_only() else { return };
    let home = disk.path().join("home");
    let mut seat = Seat::take(&home, &["session", "Trainer 0"], (24, 80));
    let asked = in_a_line(&seat.await_text("Running hours now"));
    assert!(asked.contains("can only be read"), "{asked}");
    seat.press("\r");
    seat.await_text("Aircraft total time");
    seat.press("\r");
    seat.await_text("Which folder?");
    let answer = |seat: &mut Seat, typed: &str| {
        typed.chars().for_each(|letter| seat.press(letter.to_string()));
        seat.press("\r");
    };
    answer(&mut seat, "/none");
    // What was typed stays, to be put right.
    let screen = seat.await_text("name one that is there");
    assert!(screen.contains("> /none"), "{screen}");
    (0..5).for_each(|_| seat.press("\u{7f}"));
    answer(&mut seat, text(other.path()));
    seat.await_text("Name or initials");
    let path = newest_in(other.path());
    assert!(kept(&path).len() >= 2);
    let told = in_a_line(&seat.settled());
    assert!(told.contains("this session is kept in ") && told.contains("cowlside take"), "{told}");
    seat.press("\u{3}");
    seat.await_text("3  go to the list of engines");
    seat.press("3");
    let list = in_a_line(&seat.await_text("Which engine?"));
    assert!(list.contains("later: cowlside take"), "{list}");
    seat.press("\u{3}");
    seat.settled();
    seat.press("1");
    assert_eq!(seat.exit_code(), 0);
    assert_eq!(fs::read_dir(home.join("sessions")).unwrap().count(), 0);
}

fn newest_in(folder: &Path) -> PathBuf {
    fs::read_dir(folder).unwrap().next().unwrap().unwrap().path()
}
