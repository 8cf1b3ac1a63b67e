//! An engine with banks as it looks from one of its ends: how its cylinders stand on the crank, in
//! strokes that every terminal has. Seen from above a vee and a flat engine look the same; from here
//! they do not. A radial is drawn from its end as it is.

use crate::domain::profile::{Bank, Facts, Shape, Side};
use unicode_width::UnicodeWidthStr;

/// Degrees by which the cylinders of a flat engine lean.
const LEVEL: f64 = 90.0;
/// A cell of text is so many times as high as it is wide.
const HIGH: f64 = 2.0;
/// The crank.
const CRANK: &str = "o";

/// An engine from its end.
#[derive(Clone, Debug, PartialEq)]
pub struct EndView {
    /// Degrees by which each bank leans from the upright.
    lean: f64,
    /// What stands between the banks of a vee: "60°".
    between: String,
    /// The banks' names as they are seen, from left to right.
    names: Vec<String>,
    /// From which end.
    title: String,
}

impl EndView {
    /// Looks at an engine from its rear; `None` of a radial, and where it is not told how the banks stand.
    pub fn new(facts: &Facts) -> Option<EndView> {
        let layout = &facts.layout;
        let mut banks: Vec<&Bank> = layout.banks.iter().collect();
        banks.sort_by_key(|bank| match bank.side {
            Some(Side::Left) => 0,
            None => 1,
            Some(Side::Right) => 2,
        });
        let lean = match (layout.shape, layout.angle, banks.len()) {
            (Shape::Inline, _, 1) => 0.0,
            (Shape::Vee, Some(angle), 2) => angle / 2.0,
            (Shape::Opposed, _, 2) => LEVEL,
            (Shape::Inline | Shape::Vee | Shape::Opposed | Shape::Radial, ..) => return None,
        };
        let between = layout.angle.map_or(String::new(), |angle| format!("{angle}°"));
        let names = banks.iter().map(|bank| bank.name.clone()).collect();
        Some(EndView { lean, between, names, title: title("rear") })
    }

    /// Goes round to its front: what was at the left is at the right.
    #[must_use]
    pub fn from_the_front(mut self) -> EndView {
        self.names.reverse();
        self.title = title("front");
        self
    }

    /// Everything that is written on it.
    pub fn texts(&mut self) -> impl Iterator<Item = &mut String> {
        self.names.iter_mut().chain([&mut self.between, &mut self.title])
    }

    /// Draws it under its title, with cylinders of about so many rows.
    pub fn lines(&self, long: u16) -> Vec<String> {
        let drawn = match self.names.as_slice() {
            [name] => upright(name, long),
            [left, right] => self.two_banks((left, right), long),
            _ => Vec::new(),
        };
        std::iter::once(self.title.clone()).chain(drawn).collect()
    }

    fn two_banks(&self, (left, right): (&str, &str), long: u16) -> Vec<String> {
        let (sin, cos) = libm::sincos(self.lean.to_radians());
        // From 0 to `long` by construction; the cast saturates.
        let rows = (f64::from(long) * cos).round() as usize;
        if rows == 0 {
            let arm = "-".repeat((HIGH * f64::from(long) * sin).round() as usize);
            return vec![format!("{left} {arm}{CRANK}{arm} {right}")];
        }
        // How far from the middle each row's stroke stands; no two lie on each other.
        let out = |row: usize| match row {
            0 => 0,
            _ => ((HIGH * sin / cos * row as f64).round() as usize).max(1),
        };
        let half = out(rows);
        let margin = " ".repeat(left.width() + 1);
        let mut lines: Vec<String> = (1..=rows)
            .rev()
            .map(|row| {
                let words = if row == rows { self.between.as_str() } else { "" };
                stroke(out(row - 1), out(row), half, words)
            })
            .enumerate()
            .map(|(down, drawn)| match down {
                0 => format!("{left} {drawn} {right}"),
                _ => format!("{margin}{}", drawn.trim_end()),
            })
            .collect();
        lines.push(format!("{margin}{}{CRANK}", " ".repeat(half)));
        lines
    }
}

fn title(end: &str) -> String {
    format!("end view from the {end}")
}

/// A row of two banks whose strokes go from `inner` to `outer` columns beside the middle, and what is written
/// between them where that has room.
fn stroke(inner: usize, outer: usize, half: usize, words: &str) -> String {
    let steep = outer <= inner || inner == 0 && outer == 1 && half == 1;
    let along = "_".repeat(outer.saturating_sub(inner + 1));
    let (left, right) = match steep {
        true => ("|".to_owned(), "|".to_owned()),
        false => (format!("\\{along}"), format!("{along}/")),
    };
    let edge = " ".repeat(half - outer);
    let room = 2 * (outer - along.len()) - 1;
    let words = if words.width() + 2 <= room { words } else { "" };
    format!("{edge}{left}{words:^room$}{right}{edge}")
}

/// A cylinder that stands on the crank.
fn upright(name: &str, long: u16) -> Vec<String> {
    let rows = (0..long).map(|row| if row == 0 { format!("| {name}") } else { "|".into() });
    let indent = |line: String| format!("    {line}");
    rows.chain([CRANK.into()]).map(indent).collect()
}
