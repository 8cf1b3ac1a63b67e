//! Runs of the built program that are killed while they write small files: a restore that replaces,
//! settings, hours. What was acknowledged is there, nothing is half, and what was cut off is told.
//!
//! `COWLSIDE_KILLS=500 cargo test --test suite cut_off:: -- --nocapture` kills that often.

use crate::system_calls::there_is_strace;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_cowlside");
const OWN: &str = include_str!("../../profiles/flat-four.json");
/// Own profiles of the workshop that is restored.
const PROFILES: usize = 8;

pub fn kills(usual: usize) -> usize {
    let asked = std::env::var("COWLSIDE_KILLS").ok().and_then(|kills| kills.parse().ok());
    asked.unwrap_or(usual)
}

fn command(folder: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(words).env_clear().env("COWLSIDE_HOME", folder).stdin(Stdio::null());
    command
}

fn run(folder: &Path, words: &[&str]) -> Output {
    command(folder, words).output().unwrap()
}

fn done(folder: &Path, words: &[&str]) {
    let output = run(folder, words);
    assert!(output.status.success(), "{words:?}: {output:?}");
}

fn begun(folder: &Path, words: &[&str]) -> Child {
    command(folder, words).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

fn own(folder: &Path, n: usize) -> PathBuf {
    folder.join(format!("profiles/mine-{n}.json"))
}

/// The files of a folder that bear its names, and what else lies there.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for inside in ["engines", "profiles", "."] {
        for path in fs::read_dir(folder.join(inside)).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_file() {
                let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
                all.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    all
}

/// A workshop whose profiles were all changed since its backup, one removed, and the backup.
pub fn changed() -> (TempDir, TempDir, PathBuf) {
    let (here, outside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let folder = here.path();
    done(folder, &["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "412.6"]);
    fs::create_dir_all(folder.join("profiles")).unwrap();
    let text = include_str!("../../profiles/flat-four.json");
    for n in 0..PROFILES {
        fs::write(own(folder, n), text).unwrap();
    }
    let backup = outside.path().join("workshop.backup");
    done(folder, &["backup", backup.to_str().unwrap()]);
    for n in 1..PROFILES {
        fs::write(own(folder, n), text.to_owned() + "\n").unwrap();
    }
    fs::remove_file(own(folder, 0)).unwrap();
    done(folder, &["engine", "hours", "Trainer", "500", "--so-it-is"]);
    (here, outside, backup)
}

/// Waits until something holds, or the run has ended; tells which.
fn awaited(child: &mut Child, holds: impl Fn() -> bool) -> bool {
    let since = Instant::now();
    while !holds() {
        assert!(since.elapsed() < Duration::from_secs(30));
        if child.try_wait().unwrap().is_some() {
            return false;
        }
    }
    true
}

/// Checks what the next run says of a restore that was cut off against what is in the folder.
pub fn told_truly(folder: &Path, backup: &Path, said: &str) -> Result<(), String> {
    let want =
        |holds: bool, what: &str| if holds { Ok(()) } else { Err(format!("{what}: {said}")) };
    // The command stands before all that may be cut off at the end of a line.
    let all = (1..PROFILES).all(|n| fs::read_to_string(own(folder, n)).unwrap() == OWN)
        && own(folder, 0).exists();
    let how = match all {
        true => "all of it is in its place; run it once more to clear this",
        false => "to finish it",
    };
    let again = format!(
        "a restore was cut off; {how}: cowlside restore {} --replace engines,profiles",
        backup.display()
    );
    want(said.contains(&again), "how to finish it")?;
    let (before, after) = said.split_once("NOT replaced yet: ").unwrap_or((said, ""));
    let text = include_str!("../../profiles/flat-four.json");
    for n in 1..PROFILES {
        let is_done = fs::read_to_string(own(folder, n)).unwrap() == text;
        // More than six are counted, not named.
        let name = format!("profile mine-{n}");
        let wrong = if is_done { after } else { before };
        want(!wrong.contains(&name), &name)?;
    }
    let missing = !own(folder, 0).exists();
    want(said.contains("; 1 new file is missing") == missing, "the new file")
}

#[test]
fn a_restore_killed_at_any_file_is_told_at_the_next_start_and_finished_by_the_same_command() {
    let (mut told, mut at, mut tries) = (0, Vec::new(), 0);
    let wanted_told = kills(PROFILES * 2);
    // On a machine with much to do some kills come after the end.
    for n in 0..wanted_told * 8 {
        if told == wanted_told {
            break;
        }
        tries += 1;
        let (here, _outside, backup) = changed();
        let folder = here.path();
        let old = files(folder);
        let words = ["restore", backup.to_str().unwrap(), "--replace", "engines,profiles"];
        let mut child = begun(folder, &words);
        let text = include_str!("../../profiles/flat-four.json").len() as u64;
        let replaced = || {
            let length = |n| fs::metadata(own(folder, n)).map_or(0, |about| about.len());
            (1..PROFILES).filter(|n| length(*n) == text).count()
        };
        let note = folder.join("restore.unfinished");
        let wanted = n % PROFILES;
        let in_time = awaited(&mut child, || note.exists() && replaced() >= wanted);
        child.kill().unwrap();
        child.wait().unwrap();
        // Nothing is half, and what was here is here or set aside, to the byte.
        let now = files(folder);
        for (name, bytes) in old.iter().filter(|(name, _)| name.ends_with(".json")) {
            let aside = now.get(&format!("{name}.before-restore-1"));
            assert!(now.get(name) == Some(bytes) || aside == Some(bytes), "{name}");
        }
        if note.exists() {
            told += 1;
            at.push(replaced());
            let next = run(folder, &["engines"]);
            let said = String::from_utf8(next.stderr).unwrap();
            told_truly(folder, &backup, &said).unwrap();
            // The check can fail: other files than those that are told are found.
            if (1..PROFILES).contains(&replaced()) {
                let first = fs::read(own(folder, 1)).unwrap();
                fs::write(own(folder, 1), [&first[..], b"\n"].concat()).unwrap();
                assert!(told_truly(folder, &backup, &said).is_err());
                fs::write(own(folder, 1), first).unwrap();
            }
        } else {
            assert!(!in_time || replaced() + 1 == PROFILES || replaced() == 0);
        }
        let finished = run(folder, &words);
        assert!(finished.status.success(), "{finished:?}");
        assert!(finished.stderr.is_empty(), "{finished:?}");
        let after = files(folder);
        let own_text = include_bytes!("../../profiles/flat-four.json");
        for n in 0..PROFILES {
            assert_eq!(after[&format!("profiles/mine-{n}.json")], own_text);
        }
        for (name, bytes) in old.iter().filter(|(name, _)| name.ends_with(".json")) {
            let asides = (1..4).filter_map(|n| after.get(&format!("{name}.before-restore-{n}")));
            assert_eq!(asides.collect::<Vec<_>>(), [bytes], "{name}: kept once");
        }
        assert!(!after.keys().any(|name| name.ends_with(".new")), "{:?}", after.keys());
        assert!(!note.exists());
        assert!(run(folder, &["engines"]).stderr.is_empty());
    }
    at.sort_unstable();
    at.dedup();
    println!("{tries} restores killed, {told} of them told; replaced by then: {at:?}");
    assert!(told == wanted_told && told > 0 && at.len() > 2, "{told} {at:?}");
}

#[test]
fn a_restore_that_is_under_way_is_not_called_cut_off_and_a_strange_note_is_told() {
    let (here, _outside, backup) = changed();
    let folder = here.path();
    let note = folder.join("restore.unfinished");
    fs::write(&note, "{").unwrap();
    let lock = fs::File::options().write(true).open(folder.join("locks/engines.lock")).unwrap();
    lock.lock().unwrap();
    assert!(run(folder, &["engines"]).stderr.is_empty());
    // Closed only, it may be held on in a child that another test is just starting.
    lock.unlock().unwrap();
    let said = String::from_utf8(run(folder, &["engines"]).stderr).unwrap();
    assert!(said.contains("cannot be read: run the same restore again"), "{said}");
    done(folder, &["restore", backup.to_str().unwrap()]);
    assert!(!note.exists());
}

#[test]
fn another_restore_tells_of_the_one_cut_off_before_it_goes_over_its_note() {
    let (here, outside, backup) = changed();
    let folder = here.path();
    let note = folder.join("restore.unfinished");
    let path = backup.display();
    let hash = cowlside::store::hash::hex_of_sha256(OWN.as_bytes(), 32);
    let cut_off = format!(
        r#"{{"format":1,"backup":"{path}","engines":true,"profiles":false,"settings":false,"#
    ) + r#""replaced":[{"path":"profiles/mine-1.json","aside":"mine-1.json.before-restore-1","#
        + r#""new":"00"}],"new":[]}"#;
    let other = outside.path().join("other.backup");
    fs::copy(&backup, &other).unwrap();
    let same = cut_off.replace("00", &hash);
    let restore_over = |text: &str, from: &Path, more: &[&str]| {
        fs::write(&note, text).unwrap();
        let shown = run(folder, &[&["restore", from.to_str().unwrap()], more].concat());
        (shown.status.code(), String::from_utf8(shown.stderr).unwrap())
    };
    let restore = |from: &Path, more: &[&str]| restore_over(&cut_off, from, more);
    let tells = format!(
        "warning: a restore was cut off; to finish it: cowlside restore {path} \
         --replace engines; NOT replaced yet: profile mine-1; once this other restore is done, that is told no more\n"
    );
    let kept = |what: &str| assert_eq!(fs::read_to_string(&note).unwrap(), cut_off, "{what}");
    // What writes nothing leaves the note: a look, a backup that is not whole, nothing to be done.
    assert_eq!(restore(&other, &["--dry-run"]), (Some(0), tells.clone()));
    kept("a look");
    let half = outside.path().join("half.backup");
    fs::write(&half, &fs::read(&backup).unwrap()[..300]).unwrap();
    let (code, said) = restore(&half, &[]);
    assert!(code == Some(1) && said.starts_with(&tells) && said.contains("\nerror: "), "{said}");
    kept("not whole");
    done(folder, &["restore", backup.to_str().unwrap(), "--replace", "engines,profiles"]);
    assert_eq!(restore(&other, &[]), (Some(0), tells.clone()));
    kept("nothing to be done");
    // The same one is not another, and more than the same finishes it too; fewer kinds do not.
    let more = ["--replace", "engines,profiles"];
    assert_eq!(restore_over(&same, &backup, &more), (Some(0), String::new()));
    assert!(!note.exists());
    assert_eq!(restore(&backup, &[]), (Some(0), tells.clone()));
    kept("fewer kinds");
    // Where another backup lies at the same place now, that is said; then the note is of no more use.
    let (_, said) = restore(&backup, &["--replace", "engines"]);
    assert!(said.starts_with("warning: a restore was cut off; "), "{said}");
    let now = "; another backup lies at its place now: once this one is restored, that is told no \
               more\n";
    assert!(said.ends_with(now) && !note.exists(), "{said}");
    // One that writes takes the place of the note, and is done.
    fs::write(own(folder, 0), "").unwrap();
    let (code, said) = restore(&other, &["--replace", "profiles"]);
    assert_eq!((code, said), (Some(0), tells));
    assert!(!note.exists());
}

#[test]
fn a_restore_that_fails_whole_leaves_the_note_of_the_one_cut_off_before_it_to_the_byte() {
    if !there_is_strace() {
        return;
    }
    // The first renaming writes this restore's own note, the second would name a new file.
    let refused = ["-e", "inject=linkat:error=EIO", "-e", "inject=rename:error=EIO:when=2"];
    for (refused, older) in [(&refused[..], true), (&refused[..], false), (&[][..], true)] {
        let (here, outside, backup) = changed();
        let folder = here.path();
        let other = outside.path().join("other.backup");
        fs::copy(&backup, &other).unwrap();
        if older {
            let cut_off = format!(
                "{{\"format\":1,\"backup\":\"{}\",\"engines\":true,\"profiles\":true,\
                 \"settings\":false,\"replaced\":[],\"new\":[\"profiles/mine-0.json\"]}}",
                backup.display()
            );
            fs::write(folder.join("restore.unfinished"), cut_off).unwrap();
        }
        let before = files(folder);
        let words = ["-f", "-qqq", "-o", "/dev/null"];
        let restore = [PROGRAM, "restore", other.to_str().unwrap()];
        let mut strace = Command::new("strace");
        strace.args([&words, refused, &restore].concat()).env_clear();
        let ended = strace.env("COWLSIDE_HOME", folder).stdin(Stdio::null()).output().unwrap();
        if refused.is_empty() {
            // The control: the same, where nothing is refused, is done and leaves no note.
            assert!(ended.status.success() && own(folder, 0).exists(), "{ended:?}");
            assert!(!folder.join("restore.unfinished").exists());
            continue;
        }
        assert_eq!(ended.status.code(), Some(1), "{ended:?}");
        assert!(files(folder) == before, "{older}: {:?}", files(folder).keys());
    }
}

/// Random numbers from a seed that is printed.
pub struct Dice(pub u64);

impl Dice {
    pub fn up_to(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (self.0 >> 33) % most
    }
}

#[test]
fn settings_and_hours_killed_at_random_moments_are_old_or_new_and_what_was_said_is_there() {
    let here = tempfile::tempdir().unwrap();
    let folder = here.path();
    done(folder, &["engine", "add", "Trainer", "--profile", "flat-four", "--hours", "1"]);
    done(folder, &["settings", "bell", "on"]);
    let tries = kills(30);
    let seed = 20_261_129;
    let mut dice = Dice(seed);
    let (mut acknowledged, mut unsaid, mut littered, mut hours) = (0, 0, 0, 1);
    // How long a whole run takes here: the kills fall into it.
    let since = Instant::now();
    done(folder, &["engine", "hours", "Trainer", "2"]);
    let mut whole = u64::try_from(since.elapsed().as_micros()).unwrap();
    hours += 1;
    for _ in 0..tries {
        let next = (hours + 1).to_string();
        let mut child = begun(folder, &["engine", "hours", "Trainer", &next]);
        std::thread::sleep(Duration::from_micros(dice.up_to(whole * 5 / 4)));
        child.kill().unwrap();
        let output = child.wait_with_output().unwrap();
        let said = !output.stdout.is_empty();
        whole = if said { whole * 9 / 10 } else { whole * 11 / 10 + 1 };
        let listed = run(folder, &["engines", "--json"]);
        assert!(listed.stderr.is_empty(), "{listed:?}");
        let listed: serde_json::Value = serde_json::from_slice(&listed.stdout).unwrap();
        let now = listed["engines"][0]["hours"].as_f64().unwrap();
        let is = |shown: i32| (now - f64::from(shown)).abs() < 0.01;
        let is_new = is(hours + 1);
        let fits = |new: bool, old: bool, said: bool| new || (!said && old);
        assert!(fits(is_new, is(hours), said), "{now} {hours} {said}");
        // The check can fail: the old figure after a new one was said, and a third one, are found.
        assert!(!fits(false, true, true) && !fits(false, false, said));
        hours += i32::from(is_new);
        acknowledged += usize::from(said);
        unsaid += usize::from(is_new && !said);
        littered += usize::from(files(folder).keys().any(|name| name.ends_with(".new")));
    }
    done(folder, &["engine", "hours", "Trainer", &(hours + 1).to_string()]);
    assert!(!files(folder).keys().any(|name| name.ends_with(".new")));
    println!(
        "{tries} kills (seed {seed}), {acknowledged} acknowledged, {unsaid} there before they were \
         said, {littered} with litter, 0 lost"
    );
    assert!(tries > 0 && acknowledged < tries);
}

#[test]
fn the_beginning_of_a_backup_that_was_cut_off_is_cleared_away_and_nothing_else() {
    let (here, outside, _) = changed();
    let id = "0123456789abcdefghjkmnpqrs";
    let path = |name: &str| outside.path().join(name);
    let head = b"{\"format\":\"cowlside backup\",\"version\":1,";
    fs::write(path(&format!("old.backup.{id}.part")), head).unwrap();
    fs::write(path(&format!("empty.backup.{id}.part")), b"").unwrap();
    let held = path(&format!("held.backup.{id}.part"));
    fs::write(&held, head).unwrap();
    let lock = fs::File::open(&held).unwrap();
    lock.lock().unwrap();
    let others = ["mine.part".to_owned(), format!("mine.{id}.part"), "old.backup.part".into()];
    for name in &others {
        fs::write(path(name), "my own words").unwrap();
    }
    let output = run(here.path(), &["backup", path("new.backup").to_str().unwrap()]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(said.matches(", the beginning of a backup that was cut off").count(), 2, "{said}");
    assert!(!path(&format!("old.backup.{id}.part")).exists());
    assert!(!path(&format!("empty.backup.{id}.part")).exists());
    assert!(held.exists() && others.iter().all(|name| path(name).exists()));
}
