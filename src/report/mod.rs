//! What is printed or handed on: text of 80 columns, and JSON documents. Pure: domain in, text out.

pub mod compare_sheet;
pub mod dates;
pub mod plan_sheet;
pub mod record;
pub mod sheet;

/// Columns of a printed sheet.
pub const WIDTH: usize = 80;

/// Breaks text into lines of at most [`WIDTH`] columns: the first opens with `first`, the others
/// with as many blanks.
pub fn wrapped(first: &str, text: &str) -> String {
    sheet::wrapped(WIDTH, first, text)
}
