//! The built program under clocks that lie: services begun, gone on with and signed by them, and every
//! command that tells their days.
//!
//! They need Linux and a C compiler; elsewhere they say loudly that they were skipped.

#![cfg(unix)]

use crate::plain_seat::Plain;
use crate::real::{holds_all, kept, words_of};
use crate::seat::{PROGRAM, Seat};
use crate::slow_disk::compiled;
use cowlside::domain::clock::RELEASED_MS;
use cowlside::domain::entry::Kept;
use cowlside::domain::session::Session;
use cowlside::guide::{Beside, glance};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{SystemTime, UNIX_EPOCH};
use tempfile::TempDir;

/// Adds the seconds that stand in a file to the time of day, and to no other clock.
const LIES: &str = r#"
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
int clock_gettime(clockid_t which, struct timespec *to) {
    int (*real)(clockid_t, struct timespec *) = dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(which, to);
    FILE *file = which == CLOCK_REALTIME ? fopen(getenv("LIES"), "r") : NULL;
    long long seconds = 0;
    if (file && fscanf(file, "%lld", &seconds) == 1) to->tv_sec += seconds;
    if (file) fclose(file);
    return done;
}
"#;

const DAY: i64 = 86_400;
/// A second of a day, whether it is before the program was made or later than it can be in use, and how its record tells the day.
const CLOCKS: [(&str, i64, bool, &str); 6] = [
    ("1969-06-01 08:00", -18_460_800, true, "1969-06-01"),
    ("a day before the program", RELEASED_MS / 1000 - DAY, true, "2025-12-31"),
    ("2038-01-20 08:00", 2_147_587_200, false, "2038-01-20"),
    ("2106-02-10 08:00", 4_295_232_000, true, "2106-02-10"),
    ("9999-12-31 00:00", 253_402_214_400, true, "9999-12-31"),
    // Kept as the last moment that has four digits in its year.
    ("10000-01-01 12:00", 253_402_344_000, true, "9999-12-31"),
];

fn now() -> i64 {
    i64::try_from(SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs()).unwrap()
}

pub struct Clock {
    inside: TempDir,
}

impl Clock {
    /// Nothing where this machine has no way to make one.
    pub fn make() -> Option<Clock> {
        let clock = Clock { inside: tempfile::tempdir().unwrap() };
        compiled(LIES, &clock.library(), "no clock lied").then_some(clock)
    }

    fn library(&self) -> PathBuf {
        self.inside.path().join("lies.so")
    }

    fn file(&self) -> PathBuf {
        self.inside.path().join("lies")
    }

    fn shows(&self, second: i64) {
        self.goes_on(second - now());
    }

    /// Goes by so many seconds beside the true time.
    pub fn goes_on(&self, seconds: i64) {
        std::fs::write(self.file(), seconds.to_string()).unwrap();
    }

    fn run(&self, folder: &Path, words: &[&str]) -> (String, bool) {
        let mut command = Command::new(PROGRAM);
        command.args(words).env_clear().env("COWLSIDE_HOME", folder);
        command.env("LD_PRELOAD", self.library()).env("LIES", self.file());
        let done = command.output().unwrap();
        let said = [done.stdout, done.stderr].concat();
        let said = String::from_utf8(said).unwrap();
        assert!(matches!(done.status.code(), Some(0 | 1)), "{words:?}: {said}");
        (said, done.status.success())
    }

    pub fn plain(&self, folder: &Path, engine: Option<&str>) -> Plain {
        let (library, file) = (self.library(), self.file());
        let lies: [(&str, &Path); 2] = [("LD_PRELOAD", &library), ("LIES", &file)];
        match engine {
            None => Plain::begin(folder, &lies),
            Some(engine) => Plain::open_under(folder, engine, &lies, &[]),
        }
    }

    fn screens(&self, folder: &Path) -> Seat {
        let preload = format!("LD_PRELOAD={}", self.library().display());
        let lies = format!("LIES={}", self.file().display());
        Seat::of(folder, &["env", &preload, &lies, PROGRAM], (24, 80))
    }

    /// Everything that tells a day, under this clock: no panic, and the words that are told.
    fn all_told(&self, folder: &Path) -> Vec<(String, String)> {
        let words = [
            "engines",
            "engines|--json",
            "sessions|Trainer 0",
            "compare|Trainer 0|--json",
            "history|Trainer 0",
            "history|Trainer 0|--json",
            "report|Trainer 0",
            "report|Trainer 0|--format|json",
            "parts|Trainer 0",
            "tag|Trainer 0",
            "export",
            "verify|--all",
            "verify|--all|--json",
        ];
        let told = words.iter().map(|line| {
            let words: Vec<&str> = line.split('|').collect();
            ((*line).to_owned(), self.run(folder, &words).0)
        });
        let told: Vec<_> = told.collect();
        for (line, said) in &told {
            assert!(!said.contains("panicked"), "{line}: {said}");
        }
        told
    }
}

fn said_by<'a>(told: &'a [(String, String)], line: &str) -> &'a str {
    &told.iter().find(|(name, _)| name == line).unwrap().1
}

/// Everything that was told as saved is there, in the order in which it was told.
fn whole(plain: &Plain) -> Vec<Kept> {
    let entries = kept(&plain.journal().unwrap());
    assert!(holds_all(&plain.saved(), &words_of(&entries)), "{}", plain.seen);
    assert!((0..).zip(&entries).all(|(seq, kept)| kept.seq == seq));
    entries
}

/// However short a window makes the place, all through the service the clock is said to be doubtful.
fn in_every_window(entries: &[Kept]) {
    for count in (1..entries.len()).step_by(9) {
        let session = Session::replay(&entries[..count]).unwrap();
        let places = glance::whereabouts(&session, &Beside::default());
        assert!(places.iter().all(|place| place.contains("clock doubtful")), "{places:?}");
        assert!(places.last().unwrap().len() <= 30, "{places:?}");
    }
}

#[test]
fn a_service_is_begun_signed_and_told_by_any_clock() {
    let Some(clock) = Clock::make() else { return };
    let mut said = 0;
    for (name, second, doubted, day) in CLOCKS {
        let folder = tempfile::tempdir().unwrap();
        clock.shows(second);
        let mut plain = clock.plain(folder.path(), None);
        // Before there is a session, and at each of its questions.
        assert_eq!(
            plain.seen.contains("clock doubtful: it shows"),
            doubted,
            "{name}: {}",
            plain.seen
        );
        plain.finish();
        assert_eq!(plain.seen.contains("· clock doubtful"), doubted, "{name}: {}", plain.seen);
        let entries = whole(&plain);
        assert!(entries.iter().all(|kept| (kept.at.unix_ms / 1000 - second).abs() < DAY), "{name}");
        said += plain.saved().len();
        if doubted {
            in_every_window(&entries);
        }
        let told = clock.all_told(folder.path());
        assert!(said_by(&told, "report|Trainer 0").contains(day), "{name}");
        // The list says of the clock as it stands what no service kept by it can say of itself.
        let of_a_day =
            |said: &str| said.replace("clock doubtful: it shows", "").contains("clock doubtful");
        let doubtful = told.iter().filter(|(_, said)| of_a_day(said)).count();
        assert_eq!(doubtful > 0, doubted, "{name}: {told:#?}");
        // No months are counted from a day that is not believed: the hours stand alone.
        for line in ["engines", "history|Trainer 0", "report|Trainer 0"] {
            let said = said_by(&told, line);
            let by_day = said.contains("512.6 h or ");
            assert!(said.contains("512.6 h") && by_day != doubted, "{name} {line}: {said}");
        }
        let later = ["engine", "add", "Later", "--profile", "flat-four", "--hours", "10"];
        for words in [&later[..], &["engine", "hours", "Later", "11"]] {
            let (added, well) = clock.run(folder.path(), words);
            assert!(
                well && added.contains("clock doubtful: it shows") == doubted,
                "{name}: {added}"
            );
        }
        // The right clock is measured by no entry of a wrong one, and what that kept can be read.
        clock.goes_on(0);
        let (listed, well) = clock.run(folder.path(), &["engines"]);
        assert!(well && !listed.contains("is no day"), "{name}: {listed}");
        let measured = listed.contains("clock doubtful: it shows");
        assert_eq!(measured, name.starts_with("2038"), "{name}: {listed}");
    }
    println!("{} clocks, {said} lines told as saved, 0 lost", CLOCKS.len());
}

#[test]
fn a_clock_that_jumps_in_the_middle_changes_no_order_and_is_told() {
    let Some(clock) = Clock::make() else { return };
    let mut said = 0;
    // By how much it jumps, and where the service ends: at once, or gone on with by the true clock.
    let jumps = [(-10, false), (10, true), (-366, true), (70 * 366, false)];
    for (days, gone_on_with) in jumps {
        let jump = days * DAY;
        let folder = tempfile::tempdir().unwrap();
        clock.goes_on(0);
        let mut plain = clock.plain(folder.path(), None);
        for _ in 0..40 {
            plain.answer();
        }
        clock.goes_on(jump);
        assert!(!plain.seen.contains("clock doubtful"), "{}", plain.seen);
        for _ in 0..40 {
            plain.answer();
        }
        // Ten days ahead could be true, and are doubted once they are over.
        assert_eq!(plain.seen.contains("· clock doubtful"), days != 10, "{days}: {}", plain.seen);
        let journal = plain.journal().unwrap();
        if gone_on_with {
            let counted_out = plain.end_of_input();
            whole(&plain);
            said += plain.saved().len();
            clock.goes_on(0);
            plain = clock.plain(folder.path(), Some("Trainer 0"));
            assert!(plain.seen.contains("clock doubtful"), "{}", plain.seen);
            plain.mechanic.counted_out = counted_out;
        }
        plain.finish();
        let entries = kept(&journal);
        assert!(holds_all(&plain.saved(), &words_of(&entries)), "{}", plain.seen);
        assert!((0..).zip(&entries).all(|(seq, kept)| kept.seq == seq));
        said += plain.saved().len();
        let back = entries.windows(2).filter(|two| two[1].at.unix_ms < two[0].at.unix_ms).count();
        let ahead_to_the_end = jump > 0 && !gone_on_with;
        assert_eq!(back > 0, !ahead_to_the_end, "{jump}: earlier than the one before it");
        let told = clock.all_told(folder.path());
        for line in ["verify|--all", "sessions|Trainer 0", "report|Trainer 0"] {
            assert!(said_by(&told, line).contains("clock doubtful"), "{jump} {line}: {told:#?}");
            assert!(said_by(&told, line).contains("igned"), "{jump} {line}: {told:#?}");
        }
    }
    println!("{} jumps, {said} lines told as saved, 0 lost", jumps.len());
}

#[test]
fn the_screens_go_on_by_any_clock_and_say_that_it_is_doubtful() {
    let Some(clock) = Clock::make() else { return };
    for (name, second, doubted, _) in CLOCKS {
        let folder = tempfile::tempdir().unwrap();
        clock.shows(second);
        clock.plain(folder.path(), None).end_of_input();
        let mut seat = clock.screens(folder.path());
        seat.await_text("OPEN: go on");
        seat.press("1");
        let shown = seat.await_text("prepare");
        assert_eq!(shown.contains("clock doubtful"), doubted, "{name}: {shown}");
        // Told in another terminal: whoever wakes is asked about it, whatever the clock says.
        assert!(clock.run(folder.path(), &["engine", "hours", "Trainer 0", "413"]).1);
        // Put right while the program runs: a year or 8,000 years, forwards or back.
        clock.goes_on(0);
        seat.press("?");
        if !seat.settled().contains("Keys here") {
            // The first key after a long while only wakes.
            seat.await_text("It was told to show 413.0 h since.");
            seat.press("?");
            seat.await_text("Keys here");
        }
        seat.signal("TERM");
        assert_eq!(seat.exit_code(), 143, "{name}");
        let mut seat = clock.screens(folder.path());
        seat.await_text("OPEN: go on");
        seat.press("1");
        let shown = seat.await_text("prepare");
        // Going on is an entry too, earlier than those of a clock that was fast.
        assert!(shown.contains("clock doubtful"), "{name}: {shown}");
        seat.signal("TERM");
        assert_eq!(seat.exit_code(), 143, "{name}");
    }
}
