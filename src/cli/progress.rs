//! How far long work is, as one line on standard error that is written over and taken away again:
//! only where that is a terminal that can do so, and only once the work has taken a while.

use super::world::World;
use crate::store::progress::{Progress, Watcher};
use std::io::{self, Write};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// What is done sooner than this needs no such line.
const A_WHILE: Duration = Duration::from_millis(500);
/// How often the line changes at most.
const BETWEEN: Duration = Duration::from_millis(100);
/// Back to the beginning of the line, and nothing right of it.
const AWAY: &str = "\r\x1b[K";
/// Most columns of the line; in a window that is narrower nothing is shown.
const WIDEST: usize = 39;

/// Carries out work under a line that says how far it is. Whatever else is written meanwhile takes
/// the line away first.
pub fn under<T>(world: &mut World<'_>, work: impl FnOnce(&mut World<'_>, Progress) -> T) -> T {
    let term = (world.variable)("TERM").unwrap_or_default();
    if !world.terminals.err || term.is_empty() || term == "dumb" {
        return work(world, Progress::default());
    }
    let line = Arc::new(Line::begin(Box::new(io::stderr())));
    let mut out = Beneath { out: world.out, line: &line };
    let mut err = Beneath { out: world.err, line: &line };
    let mut within = World { out: &mut out, err: &mut err, input: world.input, ..*world };
    let done = work(&mut within, Progress::to(Arc::<Line>::clone(&line)));
    line.away();
    done
}

/// The line.
struct Line(Mutex<Shown>);

struct Shown {
    out: Box<dyn Write + Send>,
    /// From when on it is shown, or shown anew.
    next: Instant,
    stands: bool,
}

impl Line {
    fn begin(out: Box<dyn Write + Send>) -> Line {
        Line(Mutex::new(Shown { out, next: Instant::now() + A_WHILE, stands: false }))
    }

    fn shown(&self) -> MutexGuard<'_, Shown> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn away(&self) {
        let mut shown = self.shown();
        if std::mem::take(&mut shown.stands) {
            shown.write(AWAY);
        }
    }
}

impl Shown {
    fn write(&mut self, text: &str) {
        // The work goes on whether or not anybody can see how far it is.
        let _ = self.out.write_all(text.as_bytes()).and_then(|()| self.out.flush());
    }
}

impl Watcher for Line {
    fn so_far(&self, what: &'static str, done: usize, of: usize) {
        let mut shown = self.shown();
        let now = Instant::now();
        let line = format!("{what}: {done} of {of}");
        if now >= shown.next && line.len() <= WIDEST && line.len() < columns() {
            shown.next = now + BETWEEN;
            shown.stands = true;
            shown.write(&format!("{AWAY}{line}"));
        }
    }
}

/// Returns the columns of the window.
#[cfg(unix)]
fn columns() -> usize {
    rustix::termios::tcgetwinsize(io::stderr()).map_or(0, |size| size.ws_col.into())
}

/// Nobody is asked here: windows are as wide as ever.
#[cfg(not(unix))]
fn columns() -> usize {
    80
}

/// A stream that takes the line away before anything is written to it.
struct Beneath<'a> {
    out: &'a mut dyn Write,
    line: &'a Line,
}

impl Write for Beneath<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.line.away();
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}
