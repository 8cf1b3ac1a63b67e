//! Standard output with nothing but ASCII, for poor terminals and for whatever reads no more.

use crate::domain::ascii::ascii;
use std::fmt;
use std::io::{self, Write};

/// Writes on, with a stand-in for every character that is not ASCII.
pub struct AsciiOut<'a> {
    out: &'a mut dyn Write,
    /// The beginning of a character whose rest has not come yet.
    begun: Vec<u8>,
    spell: fn(&str) -> String,
}

impl<'a> AsciiOut<'a> {
    /// Writes to `out`.
    pub fn new(out: &'a mut dyn Write) -> AsciiOut<'a> {
        AsciiOut { out, begun: Vec::new(), spell: ascii }
    }

    /// Writes a web page to `out`: each other character as its number, so that the page shows the same.
    pub fn page(out: &'a mut dyn Write) -> AsciiOut<'a> {
        AsciiOut { spell: numbered, ..AsciiOut::new(out) }
    }
}

impl Write for AsciiOut<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.begun.extend_from_slice(bytes);
        let whole = match std::str::from_utf8(&self.begun) {
            Err(error) if error.error_len().is_none() => error.valid_up_to(),
            Ok(_) | Err(_) => self.begun.len(),
        };
        let rest = self.begun.split_off(whole);
        let text = String::from_utf8_lossy(&self.begun).into_owned();
        self.begun = rest;
        self.out.write_all((self.spell)(&text).as_bytes())?;
        Ok(bytes.len())
    }

    /// What is written at once reaches the stream below at once.
    fn write_fmt(&mut self, words: fmt::Arguments<'_>) -> io::Result<()> {
        if !self.begun.is_empty() {
            return self.write_all(words.to_string().as_bytes());
        }
        let text = (self.spell)(&words.to_string());
        write!(self.out, "{text}")
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// Spells what is not ASCII as a page's text has it.
fn numbered(text: &str) -> String {
    let spelled = |letter: char| match letter.is_ascii() {
        true => letter.to_string(),
        false => format!("&#{};", u32::from(letter)),
    };
    text.chars().map(spelled).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_character_that_comes_in_pieces_has_one_stand_in() {
        let mut out = Vec::new();
        let mut narrow = AsciiOut::new(&mut out);
        for byte in "35 °C · µm".bytes() {
            narrow.write_all(&[byte]).unwrap();
        }
        assert_eq!(String::from_utf8(out).unwrap(), "35  degC - um");
    }
}
