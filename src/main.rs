//! Starts the program: reads the arguments, the clock and the environment, and calls the library.

use cowlside::cli::{Terminals, World, run};
use cowlside::domain::entry::Moment;
use cowlside::tui::terminal::answering_for_faults;
use std::io::{IsTerminal, stderr, stdin, stdout};
use std::process::ExitCode;
use std::time::Instant;

#[expect(clippy::disallowed_methods, reason = "the one place that reads the clock")]
fn now() -> Moment {
    let now = chrono::Local::now();
    let offset_min = i16::try_from(now.offset().local_minus_utc() / 60).unwrap_or(0);
    Moment { unix_ms: now.timestamp_millis(), offset_min }
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
        now: &now,
        run_ms: &run_ms,
        terminals: Terminals { out: stdout().is_terminal(), err: stderr().is_terminal() },
        variable: &|name| std::env::var_os(name),
        ascii: false,
    };
    run(std::env::args_os().collect(), &mut world)
}
