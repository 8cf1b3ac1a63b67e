//! JSON that cannot harm a terminal: whatever may not be shown is written as `\uXXXX`.

use crate::domain::plain::{is_joiner, is_unsafe};
use serde_json::Serializer;
use serde_json::ser::Formatter;
use std::io;

/// Compact JSON with unsafe characters escaped.
pub struct Safe;

impl Formatter for Safe {
    fn write_string_fragment<W: ?Sized + io::Write>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> io::Result<()> {
        let mut shown = 0;
        for (place, c) in fragment.char_indices() {
            if is_unsafe(c) || is_joiner(c) {
                writer.write_all(&fragment.as_bytes()[shown..place])?;
                for unit in c.encode_utf16(&mut [0; 2]) {
                    write!(writer, "\\u{unit:04x}")?;
                }
                shown = place + c.len_utf8();
            }
        }
        writer.write_all(&fragment.as_bytes()[shown..])
    }
}

/// Returns what `serialize` writes, as compact safe JSON.
///
/// # Errors
/// What `serialize` refuses.
pub fn json(
    serialize: impl FnOnce(&mut Serializer<&mut Vec<u8>, Safe>) -> Result<(), serde_json::Error>,
) -> Result<String, serde_json::Error> {
    let mut bytes = Vec::new();
    serialize(&mut Serializer::with_formatter(&mut bytes, Safe))?;
    String::from_utf8(bytes).map_err(serde::ser::Error::custom)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Serialize;

    #[test]
    fn text_that_could_steer_a_terminal_is_written_as_escapes_and_reads_back_the_same() {
        let text = "Öl \u{1b}[2J \u{7f}\u{85}\u{202e}\u{2028}\u{200d}\u{e0041}\u{f0000} \"\\ µ";
        let written = json(|to| text.serialize(to)).unwrap();
        let expected = concat!(
            "\"Öl \\u001b[2J \\u007f\\u0085\\u202e\\u2028\\u200d",
            "\\udb40\\udc41\\udb80\\udc00 \\\"\\\\ µ\""
        );
        assert_eq!(written, expected);
        assert_eq!(serde_json::from_str::<String>(&written).unwrap(), text);
    }
}
