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

/// Said of lines that were typed or pasted before the question that they would have answered.
const EARLY: &str = "what was typed before this question was asked is not taken; answer it now";

/// What was typed at a terminal before what it would have answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Early {
    /// Nothing was.
    Nothing,
    /// Lines, which are not taken.
    Dropped,
    /// The end of the input.
    Ended,
}

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
    /// is said. Behind the question every line counts, however soon it comes.
    pub fn before_asking(&mut self) -> Result<(), Fail> {
        // An end that came too early is no answer either: it is asked, and may come again.
        if self.early()? != Early::Nothing {
            writeln!(self.out, "\n! {EARLY}")?;
        }
        Ok(())
    }

    /// Drops the lines of a terminal that are there by now: they came before whatever is said next.
    pub fn early(&mut self) -> Result<Early, Fail> {
        // As in a paste: its end may still be on its way.
        if (self.ready)(Duration::ZERO) { self.rest() } else { Ok(Early::Nothing) }
    }

    /// Drops the lines of a terminal that came at once with the one that was read last, as in a paste.
    pub fn rest(&mut self) -> Result<Early, Fail> {
        let mut early = Early::Nothing;
        while self.terminals.input && (self.ready)(A_PASTE_GOES_ON) {
            if self.line()?.is_none() {
                return Ok(Early::Ended);
            }
            early = Early::Dropped;
        }
        Ok(early)
    }

    /// Reads one line without its end; `None` at the end of the input.
    pub fn line(&mut self) -> Result<Option<String>, Fail> {
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
