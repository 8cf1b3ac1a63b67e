//! A small drawing of how the cylinders lie, in plain characters.
//!
//! Banks are seen from above with the front at the top, so that right and left are as seen from
//! the rear; a radial's rows are seen from the rear.

use crate::domain::profile::{Bank, Facts, Shape, Side};
use crate::domain::valve::Cylinder;

/// Rows and columns from the middle of a radial's drawing to its rim.
const RADIUS: (f64, f64) = (4.0, 9.0);

/// Draws the layout; each line is at most 80 characters long for engines of ordinary size.
pub fn drawing(facts: &Facts) -> Vec<String> {
    match facts.layout.shape {
        Shape::Radial => facts.layout.banks.iter().flat_map(ring).collect(),
        Shape::Inline | Shape::Vee | Shape::Opposed => from_above(facts),
    }
}

/// What stands for a cylinder; a place whose cylinder is still to be named has 0.
fn number(cylinder: Cylinder) -> String {
    if cylinder == 0 { "?".to_string() } else { cylinder.to_string() }
}

fn ring(row: &Bank) -> Vec<String> {
    let (height, width) = (2 * RADIUS.0 as usize + 1, 2 * RADIUS.1 as usize + 3);
    let mut grid = vec![vec![' '; width]; height];
    let step = 360.0 / row.cylinders.len() as f64;
    for (at, cylinder) in row.cylinders.iter().enumerate() {
        let angle = (row.first_at + step * at as f64).to_radians();
        let line = (RADIUS.0 - RADIUS.0 * libm::cos(angle)).round() as usize;
        let column = (RADIUS.1 + RADIUS.1 * libm::sin(angle)).round() as usize;
        for (place, digit) in number(*cylinder).chars().enumerate() {
            grid[line][column + place] = digit;
        }
    }
    grid[RADIUS.0 as usize][RADIUS.1 as usize] = '+';
    let mut lines = vec![format!("{}, seen from the rear:", row.name)];
    lines.extend(grid.into_iter().map(|line| {
        let line: String = line.into_iter().collect();
        format!("    {}", line.trim_end())
    }));
    lines
}

/// Tells the layout in a few words a bank, for windows in which it cannot be drawn: each bank from the
/// front, each row of a radial clockwise from its first cylinder.
pub fn strip(facts: &Facts) -> Vec<String> {
    let of = |bank: &Bank| {
        let cylinders = match facts.layout.shape {
            Shape::Radial => bank.cylinders.clone(),
            Shape::Inline | Shape::Vee | Shape::Opposed => from_the_front(facts, bank),
        };
        let numbers: Vec<String> = cylinders.into_iter().map(number).collect();
        format!("{} {}", bank.name, numbers.join(" "))
    };
    left_to_right(facts).into_iter().map(of).collect()
}

/// Lists the banks: left stands left, and banks that tell no side keep the profile's order.
fn left_to_right(facts: &Facts) -> Vec<&Bank> {
    let mut banks: Vec<&Bank> = facts.layout.banks.iter().collect();
    banks.sort_by_key(|bank| match bank.side {
        Some(Side::Left) => 0,
        None => 1,
        Some(Side::Right) => 2,
    });
    banks
}

fn from_above(facts: &Facts) -> Vec<String> {
    let banks = left_to_right(facts);
    let columns: Vec<Vec<Cylinder>> =
        banks.iter().map(|bank| from_the_front(facts, bank)).collect();
    let wide = |bank: &&Bank| bank.name.chars().count().max(4) + 2;
    let width: usize = banks.iter().map(wide).sum();
    let heading: String =
        banks.iter().map(|bank| format!("{:^1$}", bank.name, wide(bank))).collect();
    let mut lines = vec![
        "seen from above, right and left as seen from the rear:".to_string(),
        format!("    {:^width$}", "front").trim_end().to_string(),
        format!("    {heading}").trim_end().to_string(),
    ];
    let longest = columns.iter().map(Vec::len).max().unwrap_or(0);
    for place in 0..longest {
        let line: String = columns
            .iter()
            .zip(&banks)
            .map(|(column, bank)| {
                let number = column.get(place).copied().map(number).unwrap_or_default();
                format!("{number:^0$}", wide(bank))
            })
            .collect();
        lines.push(format!("    {line}").trim_end().to_string());
    }
    lines.push(format!("    {:^width$}", "rear").trim_end().to_string());
    lines
}

fn from_the_front(facts: &Facts, bank: &Bank) -> Vec<Cylinder> {
    let mut cylinders = bank.cylinders.clone();
    if !facts.is_front(facts.layout.listed_from) {
        cylinders.reverse();
    }
    cylinders
}
