//! Takes the terminal over and gives it back on every way out.
//!
//! Left to others: what is painted (`screens`), which key means what (`keymap`), and which signals
//! arrive (`signals`, which calls [`tidy`], [`stop`] and [`resume`] here). Nothing is ever asked of
//! the terminal: an answer that comes late would arrive as keys, digits among them.

use super::{painted, signals};
use crate::domain::plain::plain;
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::cell::Cell;
use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Alternate screen, cursor off, pasted text marked as such, number pad sending digits.
const TAKE: &[u8] = b"\x1b[?1049h\x1b[?25l\x1b[?2004h\x1b>\x1b[?1l\x1b[0m";
/// The reverse of [`TAKE`]; harmless where a part of it was never taken.
const GIVE_BACK: &[u8] = b"\x1b[?2026l\x1b[0m\x1b[?2004l\x1b[?1049l\x1b[?25h\x1b[0m";
/// The terminal's own bell.
const BELL: &[u8] = b"\x07";

/// Why the screens cannot be shown here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoTerminal {
    /// Keys do not come from a terminal.
    Input,
    /// What is shown does not go to a terminal.
    Output,
    /// The terminal cannot place text.
    Dumb,
}

impl fmt::Display for NoTerminal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NoTerminal::Input => "the screens need a terminal to read keys from",
            NoTerminal::Output => "the screens need a terminal to show themselves on",
            NoTerminal::Dumb => {
                "the screens need a terminal that can place text (TERM is dumb or not set)"
            }
        })
    }
}

impl NoTerminal {
    /// Says what to do instead.
    pub fn hint(self) -> &'static str {
        "Use --plain: the same session as plain questions, line by line."
    }
}

/// Checks that the screens can be shown; nothing is written. The caller leaves with exit code 2.
///
/// # Errors
/// Says which side is no terminal, or that the terminal cannot place text.
pub fn usable() -> Result<(), NoTerminal> {
    // A name that is no text names a terminal none the less.
    let term = std::env::var_os("TERM").map(|term| term.to_string_lossy().into_owned());
    judge(io::stdin().is_terminal(), io::stdout().is_terminal(), term.as_deref())
}

fn judge(input: bool, output: bool, term: Option<&str>) -> Result<(), NoTerminal> {
    if !input {
        return Err(NoTerminal::Input);
    }
    if !output {
        return Err(NoTerminal::Output);
    }
    // Windows consoles set no TERM.
    match term {
        Some("dumb" | "") => Err(NoTerminal::Dumb),
        None if cfg!(unix) => Err(NoTerminal::Dumb),
        Some(_) | None => Ok(()),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Hold {
    Given,
    Taken,
    Stopped,
}

/// Frames are written under this lock, so nothing is painted on a terminal that was given back.
static HOLD: Mutex<Hold> = Mutex::new(Hold::Given);
static REPAINT: AtomicBool = AtomicBool::new(false);

fn hold() -> MutexGuard<'static, Hold> {
    HOLD.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The terminal while it is ours; dropping it gives it back.
pub struct Screen {
    /// What stands on it, as far as we know.
    shown: Option<Buffer>,
    /// Nothing was painted yet: what takes the terminal leaves together with the first frame.
    first: bool,
    /// Keys were dropped, and nobody was told yet.
    dropped: bool,
}

impl Screen {
    /// Takes the terminal over. Everything that may fail for other reasons should be done before.
    ///
    /// # Errors
    /// The terminal or the signal handling cannot be set up; the terminal is given back then.
    pub fn take() -> io::Result<Screen> {
        // Colours are decided by our theme alone; crossterm's own NO_COLOR erases bold and reverse.
        crossterm::style::force_color_output(true);
        signals::catch()?;
        let taken = take(&mut hold(), b"");
        if let Err(error) = taken {
            tidy();
            return Err(error);
        }
        Ok(Screen { shown: None, first: true, dropped: false })
    }

    /// Drops the keys that wait to be read while nothing was painted that they could answer. To be called
    /// before the first of them is read.
    pub fn forget_early(&mut self) {
        if self.first {
            self.forget_typed();
        }
    }

    /// Drops the keys that wait to be read.
    pub fn forget_typed(&mut self) {
        let dropped = forget_typed();
        self.note_dropped(dropped);
    }

    /// Notes whether keys were dropped that were read already.
    pub fn note_dropped(&mut self, dropped: bool) {
        self.dropped |= dropped;
    }

    /// Tells, once, whether keys were dropped.
    pub fn has_dropped(&mut self) -> bool {
        std::mem::take(&mut self.dropped)
    }

    /// Paints one frame, in one write; with the bell where it is to ring. Where nothing differs,
    /// nothing is written.
    ///
    /// # Errors
    /// The terminal cannot be written to; usually it is gone.
    pub fn draw(&mut self, rings: bool, paint: impl FnOnce(Rect, &mut Buffer)) -> io::Result<()> {
        let area = size()?;
        let mut next = Buffer::empty(area);
        paint(area, &mut next);
        let whole = REPAINT.swap(false, Ordering::SeqCst);
        let shown = self.shown.take().filter(|shown| !whole && shown.area == area);
        let mut bytes = if self.first { TAKE.to_vec() } else { Vec::new() };
        bytes.extend(painted::frame(shown.as_ref(), &next));
        if rings {
            bytes.extend_from_slice(BELL);
        }
        self.shown = Some(next);
        let held = hold();
        if *held == Hold::Taken {
            send(&bytes)?;
            self.first = false;
        }
        drop(held);
        signals::attend()
    }
}

/// Asks the system, not the terminal, how large the screen is.
fn size() -> io::Result<Rect> {
    #[cfg(unix)]
    if let Ok(size) = rustix::termios::tcgetwinsize(io::stdout()) {
        return Ok(Rect::new(0, 0, size.ws_col, size.ws_row));
    }
    let (columns, rows) = crossterm::terminal::size()?;
    Ok(Rect::new(0, 0, columns, rows))
}

impl Drop for Screen {
    fn drop(&mut self) {
        tidy();
    }
}

/// Drops what was typed and waits to be read, a line without its end too; tells whether there was any.
#[cfg(unix)]
pub fn forget_typed() -> bool {
    use rustix::io::ioctl_fionread;
    use rustix::termios::{LocalModes, OptionalActions, QueueSelector, tcflush};
    use rustix::termios::{tcgetattr, tcsetattr};
    let input = io::stdin();
    // While the terminal gathers lines it counts no line without its end.
    let modes = tcgetattr(&input).ok().filter(|_| signals::in_foreground());
    let lines = modes.filter(|modes| modes.local_modes.contains(LocalModes::ICANON));
    if let Some(mut modes) = lines.clone() {
        modes.local_modes.remove(LocalModes::ICANON);
        let _ = tcsetattr(&input, OptionalActions::Now, &modes);
    }
    let waits = ioctl_fionread(&input).is_ok_and(|bytes| bytes > 0);
    let dropped = waits && tcflush(&input, QueueSelector::IFlush).is_ok();
    if let Some(modes) = lines {
        let _ = tcsetattr(&input, OptionalActions::Now, &modes);
    }
    dropped
}

/// Drops the keys that wait to be read; tells whether there were any.
#[cfg(not(unix))]
pub fn forget_typed() -> bool {
    use crossterm::event::{poll, read};
    let mut waited = false;
    while poll(std::time::Duration::ZERO).unwrap_or(false) && read().is_ok() {
        waited = true;
    }
    waited
}

/// Makes the next frame a whole one, for a screen that something else wrote on.
pub fn repaint_next() {
    REPAINT.store(true, Ordering::SeqCst);
}

/// Tells whether a whole frame is asked for.
pub fn repaint_is_due() -> bool {
    REPAINT.load(Ordering::SeqCst)
}

/// Takes it; what is written to it then leaves under the same lock.
fn take(held: &mut Hold, written: &[u8]) -> io::Result<()> {
    // Set first: whatever fails half way is undone by `tidy`.
    *held = Hold::Taken;
    enable_raw_mode()?;
    send(written)
}

/// Lets Ctrl-C and Ctrl-Z be signals again, while nobody reads keys.
#[cfg(unix)]
pub fn keys_are_signals(on: bool) {
    use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
    let input = io::stdin();
    let held = hold();
    if *held == Hold::Taken
        && let Ok(mut modes) = tcgetattr(&input)
    {
        modes.local_modes.set(LocalModes::ISIG, on);
        // What was typed meanwhile stays to be read.
        let _ = tcsetattr(&input, OptionalActions::Now, &modes);
    }
}

/// Nothing ends the program from the keyboard here.
#[cfg(not(unix))]
pub fn keys_are_signals(_on: bool) {}

/// Gives the terminal back; errors are ignored, a second call does nothing.
pub fn tidy() {
    give_back(Hold::Given);
}

/// Gives the terminal back for as long as the program is stopped.
pub fn stop() {
    give_back(Hold::Stopped);
}

fn give_back(next: Hold) {
    let mut held = hold();
    if *held == Hold::Taken {
        let _ = send(GIVE_BACK);
        // A shell that has taken the terminal back meanwhile has set its own modes; ours would stop us.
        if signals::in_foreground() {
            let _ = disable_raw_mode();
        }
    }
    if *held != Hold::Given {
        *held = next;
    }
}

/// Drops what waits to be taken by a terminal that takes no more text, and lets go on whoever is caught in
/// writing to it.
#[cfg(unix)]
pub fn drop_waiting() {
    use rustix::termios::{OptionalActions, QueueSelector, tcflush, tcgetattr, tcsetattr};
    if !signals::in_foreground() {
        return;
    }
    // First of all, so that what is set below are the modes that it is left with.
    let _ = disable_raw_mode();
    let out = io::stdout();
    let _ = tcflush(&out, QueueSelector::OFlush);
    // Who waits to write is not woken by that, but by its modes being set, to the same ones too.
    if let Ok(modes) = tcgetattr(&out) {
        let _ = tcsetattr(&out, OptionalActions::Now, &modes);
    }
}

/// Gives such a terminal back, whoever is caught in writing to it; never waits itself. Of what [`tidy`]
/// wrote a part may have been dropped.
#[cfg(unix)]
pub fn force() {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    let out = io::stdout();
    let at_once = Timespec { tv_sec: 0, tv_nsec: 0 };
    if let Ok(1..) = poll(&mut [PollFd::new(&out, PollFlags::OUT)], Some(&at_once)) {
        let _ = rustix::io::write(&out, GIVE_BACK);
    }
}

/// Takes the terminal again after a stop, whoever stopped us; a shell may have changed its modes. What an
/// end has given back stays given.
pub fn resume() {
    let mut held = hold();
    if *held != Hold::Given {
        let _ = disable_raw_mode();
        let _ = take(&mut held, TAKE);
        repaint_next();
    }
}

thread_local! {
    /// A fault in what this thread does is told by whoever gave it that to do.
    static CATCHES: Cell<bool> = const { Cell::new(false) };
}

/// Does something beside the screens, which go on where that has a fault; returns its words.
///
/// # Errors
/// It panicked.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    let outer = CATCHES.replace(true);
    let done = std::panic::catch_unwind(std::panic::AssertUnwindSafe(work));
    CATCHES.set(outer);
    done.map_err(|fault| {
        let words = fault.downcast_ref::<&str>().map(|words| (*words).to_owned());
        words.or_else(|| fault.downcast_ref::<String>().cloned()).unwrap_or_default()
    })
}

/// Runs the program; a fault of its own gives the terminal back, is said in two lines and ends with
/// exit code 1, as anything else that could not be done.
pub fn answering_for_faults(program: impl FnOnce() -> u8) -> u8 {
    let main = std::thread::current().id();
    std::panic::set_hook(Box::new(move |fault| {
        if CATCHES.get() {
            return;
        }
        tidy();
        let said = plain(&fault.to_string().replace('\n', " "));
        let mut err = io::stderr();
        let _ = writeln!(err, "error: a fault of the program itself: {said}");
        let _ = writeln!(
            err,
            "hint: Start it again: what was kept is on disk, and the session goes on there."
        );
        // The screens would go on without the thread that is gone.
        if std::thread::current().id() != main {
            std::process::exit(1);
        }
    }));
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(program)).unwrap_or(1)
}

/// Writes straight to the terminal, past the line buffer of `stdout`.
#[cfg(unix)]
fn send(mut bytes: &[u8]) -> io::Result<()> {
    use rustix::event::{PollFd, PollFlags, poll};
    use rustix::io::Errno;
    let out = io::stdout();
    while !bytes.is_empty() {
        match rustix::io::write(&out, bytes) {
            Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
            Ok(written) => bytes = bytes.get(written..).unwrap_or_default(),
            Err(Errno::INTR) => {}
            // Somebody made the terminal non-blocking: wait until it takes more.
            Err(Errno::AGAIN) => {
                let _ = poll(&mut [PollFd::new(&out, PollFlags::OUT)], None);
            }
            Err(error) => return Err(error.into()),
        }
    }
    Ok(())
}

#[cfg(not(unix))]
fn send(bytes: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    out.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn screens_are_refused_where_there_is_no_terminal_to_place_text_on() {
        let xterm = Some("xterm-256color");
        assert_eq!(judge(true, true, xterm), Ok(()));
        assert_eq!(judge(false, true, xterm), Err(NoTerminal::Input));
        assert_eq!(judge(true, false, xterm), Err(NoTerminal::Output));
        assert_eq!(judge(true, true, Some("dumb")), Err(NoTerminal::Dumb));
        assert_eq!(judge(true, true, Some("")), Err(NoTerminal::Dumb));
        if cfg!(unix) {
            assert_eq!(judge(true, true, None), Err(NoTerminal::Dumb));
        }
    }

    #[test]
    fn every_refusal_is_one_line_and_names_the_plain_session() {
        for refusal in [NoTerminal::Input, NoTerminal::Output, NoTerminal::Dumb] {
            assert!(!refusal.to_string().contains('\n'));
            assert!(refusal.hint().contains("--plain"));
        }
    }

    #[test]
    fn giving_back_what_was_never_taken_does_nothing() {
        tidy();
        stop();
        resume();
        assert!(*hold() == Hold::Given);
    }
}
