//! The rows of a CSV text one by one, in memory of a fixed size: limits come before anything grows.

use csv_core::{ReadRecordResult, Reader};

/// Most rows of a table, its head among them.
pub const ROWS_MAX: u64 = 500_000;
/// Most cells of a row.
pub const CELLS_MAX: usize = 64;
/// Most characters of one cell.
pub const CELL_MAX: usize = 2_000;
/// Most bytes of a row.
pub const ROW_BYTES_MAX: usize = 256 * 1024;

/// A row: where it begins, and its cells.
pub(super) struct Row<'a> {
    /// The line it begins on, from 1.
    pub line: u64,
    /// What stands in its cells.
    pub cells: Vec<&'a str>,
}

/// Where a table ceases to be one that is read, and why.
pub(super) struct Over {
    /// The line of the row, from 1.
    pub line: u64,
    /// What is the matter, and what to do.
    pub what: String,
}

/// Reads a text row by row.
pub(super) struct Rows<'a> {
    rest: &'a [u8],
    reader: Reader,
    bytes: Vec<u8>,
    ends: [usize; CELLS_MAX],
    taken: u64,
}

impl<'a> Rows<'a> {
    pub fn of(text: &'a [u8]) -> Rows<'a> {
        let bytes = vec![0; ROW_BYTES_MAX];
        Rows { rest: text, reader: Reader::new(), bytes, ends: [0; CELLS_MAX], taken: 0 }
    }

    /// Returns the next row; nothing at the end of the text.
    pub fn next(&mut self) -> Option<Result<Row<'_>, Over>> {
        // The rest of the line end before it, and empty lines, are no part of a row.
        while let Some((end @ (b'\r' | b'\n'), rest)) = self.rest.split_first() {
            self.reader.set_line(self.reader.line() + u64::from(*end == b'\n'));
            self.rest = rest;
        }
        let line = self.reader.line();
        let whole = self.rest;
        let (mut written, mut cells) = (0, 0);
        loop {
            let room = self.bytes.get_mut(written..).unwrap_or_default();
            let ends = self.ends.get_mut(cells..).unwrap_or_default();
            let (came_to, read, more, ended) = self.reader.read_record(self.rest, room, ends);
            self.rest = self.rest.get(read..).unwrap_or_default();
            written += more;
            cells += ended;
            let over = match came_to {
                // All that there is was handed over: nothing more says that it is the end.
                ReadRecordResult::InputEmpty => continue,
                ReadRecordResult::End => return None,
                ReadRecordResult::OutputFull => format!(
                    "the row is longer than {} KiB: is a quotation mark not closed?",
                    ROW_BYTES_MAX / 1024
                ),
                ReadRecordResult::OutputEndsFull => {
                    format!("the row has more than {CELLS_MAX} cells: is this the table?")
                }
                ReadRecordResult::Record if self.taken >= ROWS_MAX => {
                    format!("the table has more than {ROWS_MAX} rows: split it")
                }
                ReadRecordResult::Record => break,
            };
            return Some(Err(Over { line, what: over }));
        }
        let taken = whole.get(..whole.len() - self.rest.len()).unwrap_or_default();
        if let Some((line, what)) = misquoted(taken, line) {
            return Some(Err(Over { line, what: what.into() }));
        }
        self.taken += 1;
        let mut from = 0;
        let cells = self.ends.iter().take(cells).map(|&end| {
            let cell = self.bytes.get(std::mem::replace(&mut from, end)..end).unwrap_or_default();
            std::str::from_utf8(cell)
        });
        let no_text = |_| Over { line, what: "the row is no UTF-8 text: save it as UTF-8".into() };
        let cells = cells.collect::<Result<Vec<&str>, _>>().map_err(no_text);
        Some(cells.map(|cells| Row { line, cells }))
    }
}

/// What stands before the first row where a program marks a text as UTF-8.
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Says of a row what the standard (RFC 4180, section 2) does not allow with quotation marks, and on which
/// line the cell begins. The reader would join or drop without a word what stands behind them. One inside
/// a cell that is not quoted is taken as it is; so are blanks behind a closing one.
fn misquoted(row: &[u8], mut line: u64) -> Option<(u64, &'static str)> {
    const OPEN: &str = "a quotation mark opens a cell on this line and is never closed: close it, or write \
                        it twice inside quotation marks where it is part of the text";
    const BEHIND: &str = "text stands behind the quotation mark that closes a cell: write each quotation \
                          mark inside a cell twice";
    enum At {
        Begin,
        Bare,
        Quoted(u64),
        Closed { opened: u64, blank: bool },
    }
    let mut at = At::Begin;
    for byte in row.strip_prefix(BYTE_ORDER_MARK).unwrap_or(row) {
        at = match (at, byte) {
            (At::Begin, b'"') => At::Quoted(line),
            (At::Quoted(opened), b'"') => At::Closed { opened, blank: false },
            (At::Quoted(opened), _) => At::Quoted(opened),
            (At::Closed { opened, blank: false }, b'"') => At::Quoted(opened),
            (_, b',' | b'\r' | b'\n') => At::Begin,
            (At::Closed { opened, .. }, b' ' | b'\t') => At::Closed { opened, blank: true },
            (At::Closed { opened, .. }, _) => return Some((opened, BEHIND)),
            (At::Begin | At::Bare, _) => At::Bare,
        };
        line += u64::from(*byte == b'\n');
    }
    match at {
        At::Quoted(opened) => Some((opened, OPEN)),
        At::Begin | At::Bare | At::Closed { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> Vec<String> {
        let mut rows = Rows::of(text.as_bytes());
        let mut said = Vec::new();
        while let Some(row) = rows.next() {
            match row {
                Ok(row) => said.push(format!("{}: {}", row.line, row.cells.join("|"))),
                Err(over) => {
                    said.push(format!("{}: {}", over.line, over.what));
                    break;
                }
            }
        }
        said
    }

    #[test]
    fn rows_are_read_as_the_standard_has_them() {
        // RFC 4180, section 2: quoted cells hold commas, line ends and doubled quotation marks.
        assert_eq!(
            said("\u{feff}a,\"b,\"\"c\"\"\r\nd\"\r\n\r\ne,\n"),
            ["1: a|b,\"c\"\r\nd", "4: e|"]
        );
        assert_eq!(said("a,b"), ["1: a|b"]);
        assert_eq!(said(""), Vec::<String>::new());
    }

    #[test]
    fn a_quotation_mark_that_is_not_closed_or_has_text_behind_it_swallows_no_row() {
        for (text, line, words) in [
            ("a,b\nc,\"d\ne,f\ng,h\n", 2, "never closed"),
            ("a,b\nc,\"d\ne,\"f\ng,h\n", 2, "text stands behind"),
            ("a,b\n\"E\"1,c\n", 2, "text stands behind"),
            ("a,b\n\"a\"b\",c\n", 2, "text stands behind"),
            ("a,b\n\"two\nlines\",\"c\n", 3, "never closed"),
            ("a,b\n\"c\" \"d\",e\n", 2, "text stands behind"),
            ("\u{feff}\"a,b\nc,d\n", 1, "never closed"),
            ("a,\"", 1, "never closed"),
        ] {
            let last = said(text).pop().unwrap();
            assert!(
                last.starts_with(&format!("{line}: ")) && last.contains(words),
                "{text}: {last}"
            );
        }
        // What the standard allows, and one in the middle of a cell without any, is read.
        for (text, row) in [
            ("\"a\"\"\",\"\"\n", "1: a\"|"),
            ("6\" rod,b\n", "1: 6\" rod|b"),
            ("\"a\" ,b", "1: a |b"),
            ("a,\"b\"", "1: a|b"),
        ] {
            assert_eq!(said(text), [row], "{text}");
        }
    }

    #[test]
    fn what_is_over_a_limit_ends_the_reading_with_words() {
        let most = "x".repeat(ROW_BYTES_MAX - 1);
        assert_eq!(said(&format!("{most}\n")).len(), 1);
        for (text, line, words) in [
            (format!("a\n{most}xx\n"), 2, "longer than 256 KiB"),
            (format!("a\n\"{}", "b\n".repeat(ROW_BYTES_MAX)), 2, "quotation mark"),
            (",".repeat(1_000_000), 1, "more than 64 cells"),
            ("a\n".repeat(600_000), 500_001, "more than 500000 rows"),
        ] {
            let last = said(&text).pop().unwrap();
            assert!(last.starts_with(&format!("{line}: ")) && last.contains(words), "{last}");
        }
    }
}
