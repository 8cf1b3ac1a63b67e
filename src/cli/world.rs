//! What the program gets from outside: streams, clock, environment. Tests hand in their own.

use super::fail::Fail;
use crate::domain::entry::Moment;
use crate::domain::plain::plain;
use crate::store::words::cause_words;
use std::ffi::OsString;
use std::io::{BufRead, Read, Write};
use std::time::Duration;

/// Longest line that is read from standard input, bytes.
const LINE_MAX: usize = 64 * 1024;

/// Within this the next piece of a paste has come; nobody reads and answers a question in it.
const A_PASTE_GOES_ON: Duration = Duration::from_millis(50);

/// A key held down repeats within this: every 20 to 40 ms in most terminals, 92 where no window system is.
const REPEATS: Duration = Duration::from_millis(130);

/// Nobody has read a question so soon after it was printed; the screens wait as long.
const UNREAD_MS: u64 = 150;

/// Said of an Enter that may be held down, or came before anybody can have read what it would answer.
const HELD: &str = "an Enter held down, or so soon, is not taken; answer it now";

/// Said of lines that were typed or pasted before the question that they would have answered.
const EARLY: &str = "what was typed before this question was asked is not taken; answer it now";

/// Said of lines that came with the one that was taken.
const AT_ONCE: &str = "of what came at once, one line is taken";

/// Which of the streams are terminals, where somebody looks and listens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terminals {
    /// Standard input.
    pub input: bool,
    /// Standard output.
    pub out: bool,
    /// Standard error.
    pub err: bool,
}

/// The world around one run of the program.
pub struct World<'a> {
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
    /// Standard input.
    pub input: &'a mut dyn BufRead,
    /// Waits until the input has something to read, so long at most; true where that cannot be told.
    pub ready: &'a dyn Fn(Duration) -> bool,
    /// Drops what was typed at the terminal of the input and not read yet, a line without its end too; tells
    /// whether there was any.
    pub forget: &'a dyn Fn() -> bool,
    /// Reads the clock.
    pub now: &'a dyn Fn() -> Moment,
    /// Milliseconds since this run of the program began.
    pub run_ms: &'a dyn Fn() -> u64,
    /// Which streams are terminals.
    pub terminals: Terminals,
    /// Looks up an environment variable.
    pub variable: &'a dyn Fn(&str) -> Option<OsString>,
    /// Whether screens and plain prompts keep to ASCII.
    pub ascii: bool,
}

impl World<'_> {
    /// Says on standard error what the user should know though the work goes on.
    pub fn warn(&mut self, words: &str) {
        // There is nowhere left to say that saying it failed.
        let _ = writeln!(self.err, "warning: {}", plain(words));
    }

    /// Begins a question: at a terminal a line that is there before it is printed answers nothing, and that
    /// is said. Behind the question the first line counts, however soon it comes.
    pub fn before_asking(&mut self) -> Result<(), Fail> {
        // As in a paste: its end may still be on its way.
        let lines = (self.ready)(Duration::ZERO) && self.drop_the_rest(A_PASTE_GOES_ON)?;
        // The beginning of a line would be read together with the answer.
        if self.forget_typed() || lines {
            writeln!(self.out, "\n! {EARLY}")?;
        }
        Ok(())
    }

    /// Drops what is there of a terminal's input: what a paste that is not over would give to whatever reads
    /// next, such as the shell. Tells whether there was any.
    pub fn forget_typed(&mut self) -> bool {
        cfg!(unix) && self.terminals.input && (self.forget)()
    }

    /// Reads one line without its end; `None` at the end of the input. What comes at once with it, as in a
    /// paste, answers nothing that nobody has read yet; at a terminal neither does Enter alone that is held
    /// down, or that comes before the question can have been read.
    pub fn line(&mut self) -> Result<Option<String>, Fail> {
        loop {
            let asked = (self.run_ms)();
            let line = self.read()?;
            let Some(text) = &line else { return Ok(None) };
            let only_enter = self.terminals.input && text.trim().is_empty();
            let soon = (self.run_ms)().saturating_sub(asked) < UNREAD_MS;
            let more = self.drop_the_rest(if only_enter { REPEATS } else { A_PASTE_GOES_ON })?;
            if !only_enter || !(soon || more) {
                if more {
                    writeln!(self.out, "\n! {AT_ONCE}")?;
                }
                return Ok(line);
            }
            writeln!(self.out, "! {HELD}")?;
            self.out.flush()?;
        }
    }

    /// Drops the lines of a terminal that are there, and those that come before it was quiet for so long;
    /// tells whether there were any.
    fn drop_the_rest(&mut self, quiet: Duration) -> Result<bool, Fail> {
        let mut dropped = false;
        // Elsewhere nobody can tell what is there.
        while cfg!(unix) && self.terminals.input && (self.ready)(quiet) {
            dropped = true;
            if self.read()?.is_none() {
                break;
            }
        }
        Ok(dropped)
    }

    fn read(&mut self) -> Result<Option<String>, Fail> {
        let mut bytes = Vec::new();
        let read = |error: std::io::Error| {
            Fail::work(format!("cannot read the input: {}", cause_words(&error)), "type again")
        };
        let n =
            (&mut *self.input).take(LINE_MAX as u64).read_until(b'\n', &mut bytes).map_err(read)?;
        if n == 0 {
            return Ok(None);
        }
        if n >= LINE_MAX && !bytes.ends_with(b"\n") {
            // Its rest would be taken for answers to questions that nobody has read.
            let error = format!("a line of the input is longer than {LINE_MAX} bytes");
            return Err(Fail::work(error, "type less; what was saved stays saved"));
        }
        let text = String::from_utf8_lossy(&bytes);
        Ok(Some(text.trim_end_matches(['\n', '\r']).to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;
    use std::io::Cursor;

    /// Reads a line of a text, the clock standing still or going on by so much at each look.
    fn first_line(input: &str, terminal: bool, step_ms: u64) -> (Option<String>, String) {
        let (mut out, mut err, clock) = (Vec::new(), Vec::new(), Cell::new(0));
        let mut world = World {
            out: &mut out,
            err: &mut err,
            input: &mut Cursor::new(input),
            ready: &|_| false,
            forget: &|| false,
            now: &|| Moment { unix_ms: 0, offset_min: 0 },
            run_ms: &|| clock.replace(clock.get() + step_ms),
            terminals: Terminals { input: terminal, ..Terminals::default() },
            variable: &|_| None,
            ascii: false,
        };
        let line = world.line().unwrap();
        (line, String::from_utf8(out).unwrap())
    }

    #[test]
    fn only_at_a_terminal_an_enter_that_nobody_can_have_meant_is_passed_over() {
        let line = |text: &str| Some(text.to_owned());
        assert_eq!(first_line("\n7\n", true, 10), (line("7"), format!("! {HELD}\n")));
        assert_eq!(first_line("\n7\n", true, UNREAD_MS), (line(""), String::new()), "read first");
        assert_eq!(first_line("\n7\n", false, 0), (line(""), String::new()), "piped");
        assert_eq!(first_line("7\n", true, 0), (line("7"), String::new()), "typed");
    }
}
