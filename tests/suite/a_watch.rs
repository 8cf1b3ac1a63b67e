//! The suite has an end: a program that a test waits for is killed after a while, so that the test
//! fails and says where; where a test hangs in itself, the suite ends and names it.
//!
//! Its name makes it the first test that is run. It needs Linux's `/proc`; elsewhere nothing is watched.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// No program of a test lives that long: the longest, a walk through a whole service, takes two minutes.
const PROGRAM: Duration = Duration::from_secs(600);
/// Where a machine tests what was handed in, the suite takes ten minutes.
const SUITE: Duration = Duration::from_secs(2400);

/// What is known of a process: its number and the time of its start, for a number may be given away again.
type Life = (u32, String);

/// What the system tells of a process or a thread behind its name, which may hold blanks and brackets:
/// state and parent first, the time used as a program 12th, the start 20th.
fn told_behind(stat: &str) -> Option<Vec<&str>> {
    Some(stat.rsplit_once(") ")?.1.split_whitespace().collect())
}

/// All processes that live and descend from this one, with what they were called by.
fn descendants(of: u32) -> BTreeMap<Life, String> {
    let mut parents = BTreeMap::new();
    for entry in fs::read_dir("/proc").into_iter().flatten().flatten() {
        let Ok(process) = entry.file_name().to_string_lossy().parse::<u32>() else { continue };
        let Ok(stat) = fs::read_to_string(entry.path().join("stat")) else { continue };
        let Some(behind) = told_behind(&stat) else { continue };
        // What is dead and not asked for yet is no program any more.
        if behind[0] != "Z" {
            parents.insert(process, (behind[1].parse::<u32>().unwrap(), behind[19].to_owned()));
        }
    }
    let descends = |mut process: u32| {
        while let Some((parent, _)) = parents.get(&process) {
            if *parent == of {
                return true;
            }
            process = *parent;
        }
        false
    };
    let of_all = parents.iter().filter(|(process, _)| descends(**process));
    let called = |process: &u32| {
        let words = fs::read(format!("/proc/{process}/cmdline")).unwrap_or_default();
        String::from_utf8_lossy(&words).trim_end_matches('\0').replace('\0', " ")
    };
    of_all.map(|(process, (_, start))| ((*process, start.clone()), called(process))).collect()
}

/// Kills what descends from this process and was there `limit` ago, by what `seen` knows; names it.
fn kill_the_old(of: u32, limit: Duration, seen: &mut BTreeMap<Life, Instant>) -> Vec<String> {
    let living = descendants(of);
    seen.retain(|life, _| living.contains_key(life));
    let mut killed = Vec::new();
    for (life, called) in living {
        let since = *seen.entry(life.clone()).or_insert_with(Instant::now);
        if since.elapsed() >= limit {
            let _ = Command::new("kill").args(["-s", "KILL", &life.0.to_string()]).status();
            killed.push(called);
        }
    }
    killed
}

/// The threads of this process: the first letters of the test's name, its state (R works, S waits) and
/// how much time it has worked, in hundredths of a second.
fn threads() -> Vec<String> {
    let tasks = fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let told = tasks.filter_map(|task| {
        let name = fs::read_to_string(task.path().join("comm")).ok()?;
        let stat = fs::read_to_string(task.path().join("stat")).ok()?;
        let behind = told_behind(&stat)?;
        Some(format!("{} {} {}", name.trim_end(), behind[0], behind[11]))
    });
    told.collect()
}

/// Tells it past the harness, which keeps what is printed for the test that began this thread.
fn tell(words: &str) {
    let _ = writeln!(std::io::stderr(), "{words}");
}

/// Watches until the process ends.
fn watch() {
    let (since, mut seen) = (Instant::now(), BTreeMap::new());
    loop {
        std::thread::sleep(Duration::from_secs(10));
        for called in kill_the_old(std::process::id(), PROGRAM, &mut seen) {
            tell(&format!("KILLED, for a test waited {} s for it: {called}", PROGRAM.as_secs()));
        }
        // The full counts that are run by hand may take hours.
        if std::env::var_os("CI").is_some() && since.elapsed() > SUITE {
            tell(&format!("ENDED after {} s. What still runs: {:#?}", SUITE.as_secs(), threads()));
            kill_the_old(std::process::id(), Duration::ZERO, &mut seen);
            std::process::abort();
        }
    }
}

#[test]
fn a_program_that_a_test_waits_for_has_an_end() {
    std::thread::spawn(watch);
    if !fs::exists("/proc/self/task").unwrap() {
        println!("SKIPPED: nothing is watched. This needs Linux.");
        return;
    }
    let mut waits = Command::new("sh")
        .args(["-c", "sleep 1234 & wait; sleep 4321; true"])
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let (begun, mut seen) = (Instant::now(), BTreeMap::new());
    let mut killed = Vec::new();
    // Whatever is young is left alone; then what waits ends, and what it would have begun does too.
    assert!(kill_the_old(waits.id(), Duration::from_secs(600), &mut seen).is_empty());
    while waits.try_wait().unwrap().is_none() {
        assert!(begun.elapsed() < Duration::from_secs(60), "it was not killed: {killed:?}");
        killed.extend(kill_the_old(waits.id(), Duration::from_millis(50), &mut seen));
        std::thread::sleep(Duration::from_millis(20));
    }
    // One that has only just begun is still called by the name of what began it.
    let first = killed.iter().position(|called| called == "sleep 1234");
    let last = killed.iter().rposition(|called| called == "sleep 4321");
    assert!(first.is_some() && first < last, "{killed:?}");
    assert!(
        threads().iter().any(|thread| thread.starts_with("a_watch::a_prog")),
        "{:?}",
        threads()
    );
}
