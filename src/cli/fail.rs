//! Errors as they reach the user: one `error:` line, then `hint:`.

use crate::domain::plain::{beginning, plain};
use crate::store::StoreError;
use crate::store::profile_error::ProfileError;
use crate::store::words::cause_words;
use std::io::{self, Write};

/// Most characters of a line: what is longer is foreign text that says no more.
const LINE_MAX: usize = 2_000;

/// Why a command could not be carried out.
#[derive(Debug)]
pub enum Fail {
    /// The work could not be done: exit 1.
    Work {
        /// What, where, found, must.
        error: String,
        /// What to do.
        hint: String,
    },
    /// The command line was wrong, or no terminal is there where one is needed: exit 2.
    Usage {
        /// What is wrong.
        error: String,
        /// What to do.
        hint: String,
    },
    /// The reader of standard output went away: nothing to say.
    Gone,
}

impl Fail {
    /// Makes a failure of the work.
    pub fn work(error: impl Into<String>, hint: impl Into<String>) -> Fail {
        Fail::Work { error: error.into(), hint: hint.into() }
    }

    /// Makes a failure of usage.
    pub fn usage(error: impl Into<String>, hint: impl Into<String>) -> Fail {
        Fail::Usage { error: error.into(), hint: hint.into() }
    }

    /// Says it in one line, for a screen.
    pub fn words(&self) -> String {
        match self {
            Fail::Work { error, hint } | Fail::Usage { error, hint } if hint.is_empty() => {
                plain(error)
            }
            Fail::Work { error, hint } | Fail::Usage { error, hint } => {
                plain(&format!("{error}: {hint}"))
            }
            Fail::Gone => String::new(),
        }
    }

    /// Prints it and returns the exit code.
    pub fn print(&self, err: &mut dyn Write) -> u8 {
        let (error, hint, code) = match self {
            Fail::Work { error, hint } => (error, hint, 1),
            Fail::Usage { error, hint } => (error, hint, 2),
            Fail::Gone => return 0,
        };
        // There is nowhere left to say that saying it failed.
        let one_line = beginning(&error.replace('\n', " "), LINE_MAX);
        let _ = writeln!(err, "error: {one_line}");
        if !hint.is_empty() {
            let _ = writeln!(err, "hint: {}", beginning(&hint.replace('\n', " "), LINE_MAX));
        }
        code
    }
}

impl Fail {
    /// The same where the work was done, and only what is said of it could not be written.
    pub fn after_the_work(self) -> Fail {
        match self {
            Fail::Work { error, .. } => Fail::work(
                format!("it was done; only the words about it could not be written ({error})"),
                "do not do it again; look where the output goes",
            ),
            other => other,
        }
    }

    /// The same, with what the user should know besides.
    pub fn beside(self, words: &str) -> Fail {
        match self {
            Fail::Work { error, hint } => Fail::work(error, format!("{hint}. {words}")),
            other => other,
        }
    }

    /// The failure of writing down that something was done.
    pub fn words_lost(error: io::Error) -> Fail {
        Fail::from(error).after_the_work()
    }

    /// Returns what failed, without what to do.
    pub fn words_alone(&self) -> String {
        match self {
            Fail::Work { error, .. } | Fail::Usage { error, .. } => error.clone(),
            Fail::Gone => String::new(),
        }
    }
}

impl From<StoreError> for Fail {
    fn from(error: StoreError) -> Fail {
        Fail::work(error.to_string(), error.hint())
    }
}

impl From<ProfileError> for Fail {
    fn from(error: ProfileError) -> Fail {
        Fail::work(error.to_string(), error.hint())
    }
}

impl From<io::Error> for Fail {
    fn from(error: io::Error) -> Fail {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Fail::Gone,
            _ => Fail::work(
                format!("cannot write the output: {}", cause_words(&error)),
                "look where the output goes",
            ),
        }
    }
}
