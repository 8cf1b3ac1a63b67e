//! What is printed or handed on: text of 80 columns, and JSON documents. Pure: domain in, text out.

pub mod advice_sheet;
pub mod cams_sheet;
pub mod certainty_sheet;
pub mod chart;
pub mod compare_sheet;
pub mod dates;
pub mod end_view;
pub mod help_sheet;
pub mod history_json;
pub mod history_sheet;
pub mod html;
pub mod layout_drawing;
mod left_sheet;
pub mod markdown;
pub mod next_sheet;
pub mod orders;
pub mod parts_sheet;
pub mod plan_sheet;
pub mod profile_list;
pub mod profile_sheet;
pub mod record;
pub mod record_json;
pub mod sheet;
pub mod sheet_search;
pub mod svg;
pub mod tag_sheet;
pub mod worksheet;

use crate::domain::unbroken;

/// Columns of a printed sheet.
pub const WIDTH: usize = 80;

/// Breaks text into lines of at most [`WIDTH`] columns: the first opens with `first`, the others
/// with as many blanks. A word longer than a line stands alone on its line.
pub fn wrapped(first: &str, text: &str) -> String {
    let indent = " ".repeat(first.chars().count());
    let (mut lines, mut line, mut empty) = (String::new(), first.to_string(), true);
    for word in unbroken::joined(text.split_whitespace()) {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line.clone_from(&indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(&word);
        empty = false;
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines
}

/// Writes a count with its noun: "1 valve", "8 valves".
fn counted(count: usize, noun: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{ending}")
}
