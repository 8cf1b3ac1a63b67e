//! Arguments: whatever a shell hands over is understood, or refused in words with exit 2. What is
//! understood is carried out only where it writes nothing.

use super::place::{Place, Ran};
use super::{Checked, said, want};
use clap::Parser;
use cowlside::cli::args::{Command, Line};
use std::cell::RefCell;
use std::ffi::OsString;

/// What runs these arguments.
pub type Runner = fn(&Place, Vec<OsString>) -> Ran;

/// The program's own.
pub fn run(place: &Place, words: Vec<OsString>) -> Ran {
    place.run_words(words)
}

/// A line is an argument.
pub fn check(bytes: &[u8], run: Runner) -> Checked {
    // The system hands over no argument with a NUL in it.
    let bytes = &bytes.iter().copied().filter(|byte| *byte != 0).collect::<Vec<u8>>()[..];
    let words: Vec<OsString> = bytes.split(|byte| *byte == b'\n').map(word).collect();
    let named = std::iter::once(OsString::from("cowlside")).chain(words.iter().cloned());
    let understood = Line::try_parse_from(named);
    let harmless = match &understood {
        Err(_) => true,
        Ok(line) => matches!(
            line.command,
            Some(Command::Plan(_) | Command::Leaves(_) | Command::Advise(_) | Command::Help(_))
        ),
    };
    if !harmless {
        return Ok("understood");
    }
    thread_local!(static PLACE: RefCell<Option<Place>> = const { RefCell::new(None) });
    // A case that writes nothing leaves the place as it was for the next one.
    let place = PLACE.take().map_or_else(Place::new, Ok)?;
    let ran = run(&place, words);
    let mut lines = ran.out.lines().chain(ran.err.lines());
    lines.try_for_each(|line| said::printable("what is printed", line))?;
    want(place.everything().is_empty(), || "something was written".into())?;
    PLACE.set(Some(place));
    match (&understood, ran.code) {
        (Ok(_), 0) => Ok("carried out"),
        (Ok(_), 1 | 2) => said::printed(&ran.err, bytes).map(|()| "could not be done"),
        (Err(_), 0) => {
            want(ran.err.is_empty() && !ran.out.is_empty(), || "help says nothing".into())?;
            Ok("help")
        }
        (Err(_), 2) => {
            want(ran.out.is_empty(), || format!("misuse on standard output: {}", ran.out))?;
            want(ran.err.starts_with("error: "), || format!("no error: {:?}", ran.err))?;
            Ok("misuse")
        }
        (_, code) => Err(format!("exit {code}: {}", ran.err)),
    }
}

#[cfg(unix)]
fn word(bytes: &[u8]) -> OsString {
    use std::os::unix::ffi::OsStringExt;
    OsString::from_vec(bytes.to_vec())
}

#[cfg(not(unix))]
fn word(bytes: &[u8]) -> OsString {
    String::from_utf8_lossy(bytes).into_owned().into()
}
