//! Commands that are named to somebody in the invented workshop: without `demo` they would act on the
//! user's own engines, or find none.

use super::args::{Command, Format, Line, Profiles, ProfilesWhat, Report};
use super::fail::Fail;
use super::workshop::Workshop;
use crate::domain::clock::INVENTED;
use clap::CommandFactory;
use std::fmt;
use std::io::{self, Write};

/// How every command begins.
const PROGRAM: &str = "cowlside ";
/// What needs no workshop, or has its own.
const ANYWHERE: [&str; 4] = ["demo", "help", "completions", "man"];

/// Puts `demo` into each command that a text names.
pub fn in_demo(text: &str) -> String {
    if !text.contains(PROGRAM) {
        return text.to_owned();
    }
    let line = Line::command();
    let commands: Vec<&str> = line.get_subcommands().map(clap::Command::get_name).collect();
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(PROGRAM) {
        let (before, after) = rest.split_at(at + PROGRAM.len());
        out.push_str(before);
        let word: &str =
            after.split(|letter: char| !letter.is_ascii_lowercase()).next().unwrap_or("");
        // A path or a name that ends so names no command.
        let alone = before.len() == PROGRAM.len()
            || before.chars().rev().nth(PROGRAM.len()).is_some_and(|sign| " `(\"\n".contains(sign));
        if alone && commands.contains(&word) && !ANYWHERE.contains(&word) {
            out.push_str("demo ");
        }
        rest = after;
    }
    out + rest
}

/// Returns what says a text as it holds for a workshop.
pub fn words_of(workshop: &Workshop) -> fn(&str) -> String {
    if workshop.program.ends_with(INVENTED) { in_demo } else { str::to_owned }
}

impl Fail {
    /// The same in the invented workshop.
    pub fn in_demo(self) -> Fail {
        match self {
            Fail::Work { error, hint } => Fail::work(in_demo(&error), in_demo(&hint)),
            Fail::Usage { error, hint } => Fail::usage(in_demo(&error), in_demo(&hint)),
            Fail::Gone => Fail::Gone,
        }
    }
}

/// Tells whether what a command prints is a document, which says the same wherever it was made.
pub fn is_document(command: &Command) -> bool {
    match command {
        Command::Export(_) => true,
        Command::Report(Report { format, .. }) => *format != Format::Text,
        Command::Profiles(Profiles { what: Some(ProfilesWhat::Show { json, .. }), .. }) => *json,
        Command::Verify(verify) => verify.json,
        // Of the rest none that is read by a program names a command.
        _ => false,
    }
}

/// A stream on which each command is named with `demo`.
pub struct DemoOut<'a>(pub &'a mut dyn Write);

impl Write for DemoOut<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn write_fmt(&mut self, words: fmt::Arguments<'_>) -> io::Result<()> {
        self.0.write_all(in_demo(&words.to_string()).as_bytes())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_command_that_needs_a_workshop_gets_its_word_once() {
        for (text, wanted) in [
            (
                "later: cowlside take A, then cowlside report B",
                "later: cowlside demo take A, then cowlside demo report B",
            ),
            ("`cowlside profiles` lists them", "`cowlside demo profiles` lists them"),
            (
                "cowlside demo --fresh, cowlside demo engines",
                "cowlside demo --fresh, cowlside demo engines",
            ),
            (
                "cowlside help keys; cowlside reports; /a/cowlside take",
                "cowlside help keys; cowlside reports; /a/cowlside take",
            ),
            ("nothing", "nothing"),
        ] {
            assert_eq!(in_demo(text), wanted);
            assert_eq!(in_demo(wanted), wanted);
            let mut out = Vec::new();
            write!(DemoOut(&mut out), "{text}").unwrap();
            assert_eq!(String::from_utf8(out).unwrap(), wanted);
        }
    }
}
