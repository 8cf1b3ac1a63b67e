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
    use std::io::{BufReader, Read};

    /// Lines with the milliseconds at which they are typed, each in a piece of its own.
    struct Typist<'a> {
        lines: &'a [(u64, &'a str)],
        next: &'a Cell<usize>,
        now: &'a Cell<u64>,
    }

    impl Read for Typist<'_> {
        fn read(&mut self, piece: &mut [u8]) -> std::io::Result<usize> {
            let Some((at, line)) = self.lines.get(self.next.get()) else { return Ok(0) };
            self.next.set(self.next.get() + 1);
            self.now.set(self.now.get().max(*at));
            piece[..line.len()].copy_from_slice(line.as_bytes());
            Ok(line.len())
        }
    }

    /// What is taken of these lines by one question after the other, and how often it is said that one was not.
    fn taken(lines: &[(u64, &str)], input: bool) -> (Vec<String>, usize) {
        let (next, now) = (Cell::new(0), Cell::new(0));
        let mut typist = BufReader::new(Typist { lines, next: &next, now: &now });
        let ready = |wait: Duration| {
            let at = lines.get(next.get()).map(|(at, _)| *at);
            let until = now.get() + u64::try_from(wait.as_millis()).unwrap();
            let comes = at.is_some_and(|at| at <= until);
            now.set(if comes { now.get() } else { until });
            comes
        };
        let mut out = Vec::new();
        let mut world = World {
            out: &mut out,
            err: &mut Vec::new(),
            input: &mut typist,
            ready: &ready,
            forget: &|| false,
            now: &|| Moment { unix_ms: 0, offset_min: 0 },
            run_ms: &|| now.get(),
            terminals: Terminals { input, out: input, err: input },
            variable: &|_| None,
            ascii: false,
        };
        let mut taken = Vec::new();
        while let Some(line) = world.line().unwrap_or_default() {
            taken.push(line);
        }
        (taken, String::from_utf8(out).unwrap_or_default().matches(HELD).count())
    }

    #[test]
    fn an_enter_held_down_answers_once_and_that_is_said() {
        for (first, pace) in [(660, 40), (250, 33), (500, 92)] {
            let mut lines = vec![(1_000, "\n")];
            lines.extend((0..12).map(|one| (1_000 + first + one * pace, "\n")));
            lines.push((5_000, "7\n"));
            assert_eq!(taken(&lines, true), (vec!["".into(), "7".into()], 1), "{first}, {pace}");
            // In a pipe nothing is held down.
            assert_eq!(taken(&lines, false).0.len(), lines.len());
        }
    }

    #[test]
    fn an_enter_before_the_question_can_have_been_read_is_not_taken_and_a_later_one_is() {
        assert_eq!(taken(&[(60, "\n"), (900, "\n")], true), (vec!["".into()], 1));
        let lines = [(400, "\n"), (900, "\n"), (1_300, "6\n")];
        assert_eq!(taken(&lines, true).0.len(), lines.len());
    }
}
