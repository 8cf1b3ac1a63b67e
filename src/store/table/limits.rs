//! How long the texts of a table may be: as long as what is typed, and a note as long as what this program
//! gathers in one.

use super::rows::CELL_MAX;
use crate::domain::flat::{GATHERED_MAX, past_a_gathered_note};
use crate::domain::limits::{past_a_name, past_a_note};

/// Says of a cell that it is longer than any this program has ever written; one of so few bytes need not be
/// counted.
pub(super) fn over(column: &str, cell: &str) -> Option<String> {
    let most = if column == "note" { GATHERED_MAX } else { CELL_MAX };
    let long = cell.len() > most && cell.chars().nth(most).is_some();
    long.then(|| format!("`{column}` is longer than {most} characters"))
}

/// Says in what a text goes past the limit of what is typed.
pub(super) fn past(column: &str, text: &str) -> Option<String> {
    let past = match column {
        "by" | "session" => past_a_name(text),
        "note" => past_a_gathered_note(text),
        _ => past_a_note(text),
    };
    past.map(|past| format!("`{column}`: {}", past.words()))
}
