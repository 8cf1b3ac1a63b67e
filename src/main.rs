//! Starts the program: reads the arguments, the clock and the environment, and calls the library.

use chrono::{DateTime, Local, TimeZone, Utc};
use cowlside::cli::{Terminals, World, run};
use cowlside::domain::entry::Moment;
use cowlside::tui::terminal::{answering_for_faults, forget_typed};
use std::io::{IsTerminal, stderr, stdin, stdout};
use std::path::{Component, Path};
use std::process::ExitCode;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// The longest file that tells a time zone; real ones have a few thousand bytes.
const ZONE_MAX: u64 = 1 << 20;

/// Reads the clock. One that shows a day before 1970, as after a dead battery, is no fault of the program.
#[expect(clippy::disallowed_methods, reason = "the one place that reads the clock")]
fn now() -> Moment {
    let since = |time: Duration| i64::try_from(time.as_millis()).unwrap_or(i64::MAX);
    let unix_ms = match SystemTime::now().duration_since(UNIX_EPOCH) {
        Ok(time) => since(time),
        Err(before) => -since(before.duration()),
    };
    let offset = |time: DateTime<Utc>| Local.offset_from_utc_datetime(&time.naive_utc());
    let here = DateTime::from_timestamp_millis(unix_ms).filter(|_| zone_can_be_read()).map(offset);
    let minutes = here.map_or(0, |offset| offset.local_minus_utc() / 60);
    Moment { unix_ms, offset_min: i16::try_from(minutes).unwrap_or(0) }
}

/// Tells whether `TZ` names no file, one among the system's own, or a small one; a device would be
/// read for ever.
fn zone_can_be_read() -> bool {
    let Ok(zone) = std::env::var("TZ") else { return true };
    let path = Path::new(zone.trim_start_matches(':'));
    let small = |path: &Path| {
        std::fs::metadata(path).is_ok_and(|found| found.is_file() && found.len() <= ZONE_MAX)
    };
    let climbs = path.components().any(|part| part == Component::ParentDir);
    !climbs && (path.is_relative() || small(path))
}

/// Waits until standard input has something to read, or has ended.
#[cfg(unix)]
fn input_ready(wait: Duration) -> bool {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    let input = stdin();
    let mut watched = [PollFd::new(&input, PollFlags::IN)];
    let wait = Timespec::try_from(wait).ok();
    // A signal is no input; what cannot be waited for is read, and says why.
    match poll(&mut watched, wait.as_ref()) {
        Ok(count) => count > 0,
        Err(rustix::io::Errno::INTR) => false,
        Err(_) => true,
    }
}

#[cfg(not(unix))]
fn input_ready(_: Duration) -> bool {
    true
}

fn main() -> ExitCode {
    ExitCode::from(answering_for_faults(program))
}

fn program() -> u8 {
    let begun = Instant::now();
    let run_ms = move || u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    let mut world = World {
        out: &mut stdout(),
        err: &mut stderr(),
        input: &mut stdin().lock(),
        ready: &input_ready,
        forget: &forget_typed,
        now: &now,
        run_ms: &run_ms,
        terminals: Terminals {
            input: stdin().is_terminal(),
            out: stdout().is_terminal(),
            err: stderr().is_terminal(),
        },
        variable: &|name| std::env::var_os(name),
        ascii: false,
    };
    run(std::env::args_os().collect(), &mut world)
}
