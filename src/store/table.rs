//! The flat table of readings as text (contract 7): CSV by RFC 4180, and JSON Lines.
//!
//! What a row means for a session is `domain::flat`'s business; reading one back is `given`'s.

mod given;
mod limits;
mod rows;

pub use given::{Given, Problem, Session, read};

use crate::domain::entry::{Moment, ReadingUnit, Step};
use crate::domain::flat::Row;
use crate::domain::plain::{plain, spelled};
use crate::domain::units::Length;
use chrono::{DateTime, FixedOffset, SecondsFormat};

/// The columns, in order.
pub const COLUMNS: [&str; 23] = [
    "engine", "profile", "session", "date", "hours", "cylinder", "valve", "number", "round",
    "step", "typed", "unit", "low_mm", "high_mm", "low_in", "high_in", "verdict", "by", "temp_c",
    "aimed", "part_out", "part_in", "note",
];

/// Columns that hold words; the others hold numbers and dates of the program's own making.
const TEXT: [&str; 9] =
    ["engine", "profile", "session", "typed", "by", "aimed", "part_out", "part_in", "note"];
/// Columns that are no numbers in JSON, beside those of [`TEXT`].
const WORDS: [&str; 5] = ["date", "valve", "step", "unit", "verdict"];

/// What begins a formula in a spreadsheet, in both widths that programs take.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// Tells whether a spreadsheet could take a text for a formula, or for the end of a cell with one
/// behind it; one that only looks like an escaped one counts too, so that what was written reads
/// back.
fn looks_like_a_formula(text: &str) -> bool {
    let text = text.trim_start_matches('\'');
    text.starts_with(FORMULA) || text.starts_with(['\t', '\r', '\n'])
}

/// Puts an apostrophe before a text that a spreadsheet could take for a formula.
fn guarded(text: &str) -> String {
    if looks_like_a_formula(text) { format!("'{text}") } else { text.to_string() }
}

/// Takes the apostrophe off again.
fn unguarded(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if looks_like_a_formula(rest) => rest,
        Some(_) | None => text,
    }
}

/// Writes the table's head, with its line end.
pub fn csv_head() -> String {
    format!("{}\r\n", COLUMNS.join(","))
}

/// Writes a row of the CSV table, with its line end.
pub fn csv_line(row: &Row) -> String {
    let mut line = String::new();
    for (column, cell) in COLUMNS.iter().zip(cells(row)) {
        if !line.is_empty() {
            line.push(',');
        }
        let cell = if TEXT.contains(column) { guarded(&cell) } else { cell };
        if cell.contains([',', '"', '\r', '\n']) || cell.trim() != cell {
            line.push_str(&format!("\"{}\"", cell.replace('"', "\"\"")));
        } else {
            line.push_str(&cell);
        }
    }
    line.push_str("\r\n");
    line
}

/// Returns what writes a row: with every text as it was typed, so that it reads back, or for a
/// terminal, where no text may act.
pub fn csv_for(terminal: bool) -> fn(&Row) -> String {
    if terminal {
        |row| format!("{}\r\n", plain(csv_line(row).trim_end_matches("\r\n")))
    } else {
        csv_line
    }
}

/// Writes a row as one JSON object on a line; what is empty in the table is null, numbers are
/// numbers with the table's digits, and no text has an apostrophe put before it.
pub fn json_line(row: &Row) -> String {
    let cell = |column: &str, cell: &str| {
        let text = TEXT.contains(&column) || WORDS.contains(&column);
        match (text, cell.is_empty()) {
            (true, _) => spelled(&serde_json::Value::from(cell).to_string()),
            (false, true) => "null".to_string(),
            (false, false) => cell.to_string(),
        }
    };
    let members: Vec<String> = COLUMNS
        .iter()
        .zip(cells(row))
        .map(|(column, text)| format!("\"{column}\":{}", cell(column, &text)))
        .collect();
    format!("{{{}}}\n", members.join(","))
}

fn cells(row: &Row) -> [String; 23] {
    let mm =
        |length: Option<Length>| length.map_or(String::new(), |length| decimals(length.nm(), 6));
    // 1 nm is 0.000 000 039 in: nine decimals lose nothing.
    let inch = |length: Option<Length>| {
        length.map_or(String::new(), |length| decimals(billionths_of_an_inch(length), 9))
    };
    [
        row.engine.clone(),
        row.profile.clone(),
        row.session.clone(),
        row.began.and_then(rfc3339).unwrap_or_default(),
        row.hours.map_or(String::new(), |hours| hours.to_string()),
        row.valve.cylinder.to_string(),
        row.valve.kind.word().to_string(),
        row.valve.number.to_string(),
        row.round.to_string(),
        step_word(row.step).to_string(),
        row.typed.clone(),
        unit_word(row.unit).to_string(),
        mm(row.low),
        mm(row.high),
        inch(row.low),
        inch(row.high),
        row.verdict.clone(),
        row.by.clone(),
        row.head.map_or(String::new(), |head| trimmed(&decimals(i64::from(head.0), 3))),
        row.aimed
            .map_or(String::new(), |aimed| format!("{} mm", trimmed(&decimals(aimed.nm(), 6)))),
        row.part_out.clone(),
        row.part_in.clone(),
        row.note.clone(),
    ]
}

/// Returns billionths of an inch, rounded to the nearest.
fn billionths_of_an_inch(length: Length) -> i64 {
    let nm = i128::from(length.nm());
    i64::try_from((nm * 10_000 + 127 * nm.signum()) / 254).unwrap_or(0)
}

/// Writes a whole number divided by ten to the power of `places`, with all its decimals.
fn decimals(value: i64, places: usize) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let digits = format!("{:0width$}", value.unsigned_abs(), width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    format!("{sign}{whole}.{fraction}")
}

/// Drops noughts after the point, and the point where nothing is left after it.
fn trimmed(number: &str) -> String {
    number.trim_end_matches('0').trim_end_matches('.').to_string()
}

pub(in crate::store) fn rfc3339(moment: Moment) -> Option<String> {
    let offset = FixedOffset::east_opt(i32::from(moment.offset_min) * 60)?;
    let time = DateTime::from_timestamp_millis(moment.unix_ms)?.with_timezone(&offset);
    Some(time.to_rfc3339_opts(SecondsFormat::Secs, false))
}

/// Returns the table's word for a step.
pub fn step_word(step: Step) -> &'static str {
    match step {
        Step::Found => "found",
        Step::Try => "try",
        Step::Left => "left",
        Step::Recheck => "recheck",
    }
}

/// Returns the table's word for the unit of a reading.
pub fn unit_word(unit: ReadingUnit) -> &'static str {
    match unit {
        ReadingUnit::Mm => "mm",
        ReadingUnit::Hundredths => "hundredths",
        ReadingUnit::Thou => "thou",
        ReadingUnit::Inch => "in",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn an_apostrophe_put_on_comes_off_again(text in "['=+@a \t\r\n\u{ff1d}\u{ff20}-]{0,6}") {
            let written = guarded(&text);
            prop_assert!(!written.starts_with(FORMULA));
            prop_assert!(!written.starts_with(['\t', '\r', '\n']));
            prop_assert_eq!(unguarded(&written), text);
        }

        #[test]
        fn a_length_in_inches_names_its_nanometre(nm in -25_000_000..25_000_000_i64) {
            let billionths = billionths_of_an_inch(Length::from_nm(nm));
            prop_assert_eq!((billionths as f64 * 0.0254).round() as i64, nm);
        }
    }

    #[test]
    fn numbers_are_written_with_their_decimals() {
        assert_eq!(decimals(152_400, 6), "0.152400");
        assert_eq!(decimals(-1_500_000, 6), "-1.500000");
        assert_eq!((trimmed("20.000"), trimmed("18.500")), ("20".into(), "18.5".into()));
    }
}
