//! What is said of input that is refused: safe to print, short, names a place, and no parser's words.

use super::want;

/// Longest line of an error or a hint, characters; paths and quotations are cut well below it.
const LONGEST: usize = 400;

/// Words of parsers and of the language that the program is written in: nobody at an engine knows them.
const JARGON: [&str; 24] = [
    "serde",
    "EOF",
    "expected value",
    "expected `",
    "invalid type",
    "invalid value",
    "invalid length",
    "byte index",
    "utf-8 sequence",
    "UnequalLengths",
    "StringRecord",
    "CSV error",
    "CSV parse",
    "record 1 (",
    "(line: ",
    "os error",
    "ParseIntError",
    "unwrap",
    "panicked",
    "Some(",
    "Ok(",
    "Err(",
    "at line 1 column",
    "missing field",
];

/// Tells whether a character may steer a terminal, hide, or turn a line around. A list of its own,
/// by Unicode's blocks, not the program's.
fn steers(character: char) -> bool {
    let code = u32::from(character);
    code < 0x20
        || (0x7f..0xa0).contains(&code)
        || matches!(code, 0xad | 0x61c | 0x180e | 0x200b | 0x200e | 0x200f | 0x2028..=0x202e | 0x2060..=0x2069)
        || matches!(code, 0xfeff | 0xfff9..=0xfffb | 0xe0000..=0xe0fff)
}

/// A text that is printed on one line.
pub fn printable(what: &str, line: &str) -> Result<(), String> {
    let odd = line.chars().find(|character| steers(*character));
    want(odd.is_none(), || format!("{what} holds {odd:?}: {line:?}"))
}

/// An error and its hint, each a line, about this input.
pub fn refusal(error: &str, hint: &str, input: &[u8]) -> Result<(), String> {
    for (what, line) in [("the error", error), ("the hint", hint)] {
        printable(what, line)?;
        want(!line.trim().is_empty(), || {
            format!("{what} says nothing, beside {error:?} {hint:?}")
        })?;
        want(line.chars().count() <= LONGEST, || format!("{what} is too long: {line:?}"))?;
        // What stands in the input may be quoted.
        let word = JARGON.iter().find(|word| line.contains(**word) && !holds(input, word));
        want(word.is_none(), || format!("{what} has a parser's word {word:?}: {line:?}"))?;
    }
    Ok(())
}

fn holds(input: &[u8], word: &str) -> bool {
    input.windows(word.len()).any(|window| window == word.as_bytes())
}

/// The lines that a refused command prints on standard error: `error: ..`, then `hint: ..`.
pub fn printed(err: &str, input: &[u8]) -> Result<(), String> {
    let lines: Vec<&str> = err.lines().filter(|line| !line.starts_with("warning: ")).collect();
    match lines[..] {
        [error, hint] if error.starts_with("error: ") && hint.starts_with("hint: ") => {
            refusal(&error["error: ".len()..], &hint["hint: ".len()..], input)
        }
        _ => Err(format!("not an error and a hint: {err:?}")),
    }
}
