//! The suite has an end: a program that a test waits for is killed after a while, so that the test
//! fails and says where; where a test hangs in itself, the suite ends and names it.
//!
//! Its name makes it the first test that is run. It needs Linux's `/proc`; elsewhere nothing is watched.

use std::collections::BTreeMap;
use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// No program of a test lives that long: the longest, a walk through a whole service, takes two minutes.
const PROGRAM: Duration = Duration::from_secs(600);
/// Where a machine tests what was handed in, the suite takes ten minutes.
const SUITE: Duration = Duration::from_secs(2400);

/// What is known of a process or a thread: number and time of its start, so that a number that is given
/// away again is another.
type Life = (u32, String);

/// All processes that descend from this one, with what they were called by.
fn descendants(of: u32) -> BTreeMap<Life, String> {
    let mut parents = BTreeMap::new();
    for entry in fs::read_dir("/proc").into_iter().flatten().flatten() {
        let Ok(process) = entry.file_name().to_string_lossy().parse::<u32>() else { continue };
        let Ok(stat) = fs::read_to_string(entry.path().join("stat")) else { continue };
        // The name may hold blanks and brackets; the parent is the 2nd behind it, the start the 20th.
        let Some((_, behind)) = stat.rsplit_once(") ") else { continue };
        let behind: Vec<&str> = behind.split(' ').collect();
        let parent: u32 = behind[1].parse().unwrap();
        parents.insert(process, (parent, behind[19].to_owned()));
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

/// What the threads of this process are called: a test's thread has the first letters of its name.
fn threads() -> Vec<String> {
    let tasks = fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let names = tasks.filter_map(|task| fs::read_to_string(task.path().join("comm")).ok());
    names.map(|name| name.trim_end().to_owned()).collect()
}

/// Watches until the process ends.
fn watch() {
    let (since, mut seen) = (Instant::now(), BTreeMap::new());
    loop {
        std::thread::sleep(Duration::from_secs(10));
        for called in kill_the_old(std::process::id(), PROGRAM, &mut seen) {
            eprintln!("KILLED, for a test waited {} s for it: {called}", PROGRAM.as_secs());
        }
        // The full counts that are run by hand may take hours.
        if std::env::var_os("CI").is_some() && since.elapsed() > SUITE {
            eprintln!("ENDED after {} s. What still runs: {:?}", SUITE.as_secs(), threads());
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
    killed.dedup();
    assert_eq!(killed, ["sleep 1234", "sleep 4321"]);
    assert!(threads().iter().any(|name| "a_watch::a_program_that".starts_with(name)));
}
