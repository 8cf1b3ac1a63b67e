//! A comparison of two services as a table of the screens, with its orders and what its rows are found by.

use super::job::Table;
use crate::domain::compare::{Comparison, compare};
use crate::domain::plain::plain;
use crate::domain::service::Service;
use crate::domain::valve::{Several, Valve};
use crate::guide::untold;
use crate::report::{compare_sheet, dates, orders};
use std::collections::BTreeSet;

/// Makes the table of a comparison.
pub fn table(comparison: &Comparison) -> Table {
    let mut rows = compare_sheet::marked_rows(comparison);
    rows.remove(0);
    let head = compare_sheet::heads_with_units(comparison.unit).map(String::from).to_vec();
    // Two services of one day are told apart by their hours.
    let [newer, older] = [&comparison.newer, &comparison.older].map(|side| {
        let hours = side.hours.map_or_else(String::new, |hours| format!(", {hours} h"));
        side.began.map(dates::day).unwrap_or_default() + &hours
    });
    let mut lines: Vec<String> = compare_sheet::closing_exhausts(comparison).into_iter().collect();
    lines.push(format!("{newer} against {older}"));
    lines.extend(compare_sheet::left_outside(comparison));
    lines.extend(compare_sheet::reasons(comparison).iter().map(|line| plain(line)));
    lines.extend(comparison.conditions.iter().map(|line| plain(line)));
    lines.push(compare_sheet::SIGN.into());
    Table {
        title: format!("{}: what moved", plain(&comparison.engine)),
        lines,
        head,
        rows,
        words: orders::comparison_words(comparison),
        orders: orders::of_comparison(comparison),
        ..Table::default()
    }
}

/// What is read from afar of a row: which valve, what it read and how that stands, how it moved.
pub fn large(row: &[String]) -> String {
    let cells = [0, 2, 3, 4].into_iter().filter_map(|cell| row.get(cell));
    cells.map(|cell| cell.trim().to_uppercase()).collect::<Vec<_>>().join(" ")
}

/// Makes the table of a comparison of two services in all but the valves that are to be gauged now.
pub fn without(valves: &BTreeSet<Valve>, older: Service, newer: Service) -> Table {
    let several = Several::of(newer.valves.iter().map(|outcome| outcome.valve));
    let mut table =
        table(&compare(&untold::without(older, valves), &untold::without(newer, valves)));
    table.lines.extend(untold::left_out(valves, several));
    table
}
