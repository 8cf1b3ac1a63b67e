//! The chart of one valve over running hours: what is drawn where, and the drawing in plain
//! characters. Print (SVG) and screens draw the same chart with their own means.

use crate::domain::service::Gauged;
use crate::domain::trend::{Point, ValvePast};
use crate::domain::units::{Length, LengthUnit};

/// Rows of the drawing in plain characters, the axis not counted.
pub const ROWS: usize = 9;
/// Rows with which it can still be read.
const ROWS_LEAST: usize = 5;
/// Rows beneath it: the axis.
pub const AXIS: usize = 1;
/// Columns of the widest one on a sheet.
const SHEET: usize = 110;
/// Columns before the drawing: a figure and a blank.
const LABEL: usize = 8;

/// A chart: what it spans, its limits, and its marks, oldest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Running hours at its ends.
    pub hours: (f64, f64),
    /// Clearance at bottom and top, nanometres.
    pub span: (f64, f64),
    /// The limits.
    pub limits: (Length, Length),
    /// What was gauged.
    pub marks: Vec<Mark>,
    /// Hours at which a new series begins.
    pub breaks: Vec<f64>,
}

/// One service in the chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Running hours.
    pub hours: f64,
    /// As found.
    pub found: Option<Bar>,
    /// As left, where that is another figure.
    pub left: Option<Bar>,
}

/// A reading in the chart, nanometres; an open end reaches to the chart's edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of it.
    pub high: Option<f64>,
    /// The figure itself.
    pub at: Option<f64>,
}

/// Makes the chart of a valve; `None` where no service with a figure tells its hours.
pub fn chart(past: &ValvePast) -> Option<Chart> {
    let marks: Vec<Mark> = past.points.iter().filter_map(mark).collect();
    let (first, last) = (marks.first()?.hours, marks.last()?.hours);
    let bars = || marks.iter().flat_map(|mark| [mark.found, mark.left]).flatten();
    let ends = bars().flat_map(|bar| [bar.low, bar.high, bar.at]).flatten();
    let limits = (past.band.least, past.band.most);
    let (least, most) = (limits.0.nm() as f64, limits.1.nm() as f64);
    let (low, high) =
        ends.fold((least, most), |(low, high), end| (f64::min(low, end), f64::max(high, end)));
    let air = ((high - low) * 0.06).max(1_000.0);
    let broken = past.points.iter().filter(|point| point.starts.is_some());
    Some(Chart {
        hours: (first, last),
        span: (low - air, high + air),
        limits,
        // A series may begin at a service that has no figure to draw, before or behind all others.
        breaks: broken
            .filter_map(|point| Some(point.hours?.hours()))
            .filter(|hours| (first..=last).contains(hours))
            .collect(),
        marks,
    })
}

fn mark(point: &Point) -> Option<Mark> {
    let bar = |gauged: &Option<Gauged>| {
        let nm = |length: Option<Length>| length.map(|length| length.nm() as f64);
        gauged.as_ref().map(|Gauged { interval, .. }| Bar {
            low: nm(interval.low),
            high: nm(interval.high),
            at: nm(interval.nominal),
        })
    };
    let (found, left) = (bar(&point.found), bar(&point.left));
    let hours = point.hours?.hours();
    (found.is_some() || left.is_some()).then(|| Mark {
        hours,
        found,
        left: left.filter(|_| left != found || point.touched),
    })
}

impl Chart {
    /// Returns how far along the hours a place is, from 0 to 1.
    pub fn along(&self, hours: f64) -> f64 {
        let (first, last) = self.hours;
        if last > first { ((hours - first) / (last - first)).clamp(0.0, 1.0) } else { 0.5 }
    }

    /// Returns how far down from the top a clearance is, from 0 to 1.
    pub fn down(&self, nm: f64) -> f64 {
        let (bottom, top) = self.span;
        ((top - nm) / (top - bottom)).clamp(0.0, 1.0)
    }
}

/// Says what the signs of the drawing mean, those that it may have.
pub const LEGEND: &str =
    "o as found, x as left where set, | what the reading allows, - limits, : a new series begins";

/// Says what the signs mean that are in the drawing of this chart.
pub fn legend(chart: &Chart) -> String {
    legend_of(&[chart])
}

/// Says what the signs mean that are in the drawings of these charts.
pub fn legend_of(charts: &[&Chart]) -> String {
    let marks = || charts.iter().flat_map(|chart| &chart.marks);
    let bars = || marks().flat_map(|mark| [mark.found, mark.left]).flatten();
    let wide = bars().any(|bar| bar.low.is_none() || bar.high.is_none() || bar.low != bar.high);
    let there = |sign: &&str| match sign.chars().next() {
        Some('x') => marks().any(|mark| mark.left.is_some()),
        Some('|') => wide,
        Some(':') => charts.iter().any(|chart| !chart.breaks.is_empty()),
        Some(_) | None => true,
    };
    LEGEND.split(", ").filter(there).collect::<Vec<_>>().join(", ")
}

/// Draws a chart in plain characters: `o` as found, `x` as left, `|` what a reading may be, `-` the
/// limits, `:` where a new series begins.
pub fn chart_text(chart: &Chart, unit: LengthUnit, width: usize) -> Vec<String> {
    chart_in(chart, unit, width.min(SHEET), ROWS)
}

/// Draws it as high as there is room for; on a screen it may be larger than on paper.
pub fn chart_in(chart: &Chart, unit: LengthUnit, width: usize, height: usize) -> Vec<String> {
    let rows = height.max(ROWS_LEAST);
    let columns = width.saturating_sub(LABEL + 2).max(10);
    let column = |hours: f64| (chart.along(hours) * (columns - 1) as f64).round() as usize;
    let row = |nm: f64| (chart.down(nm) * (rows - 1) as f64).round() as usize;
    let mut grid = vec![vec![' '; columns + 1]; rows];
    let (least, most) = (row(chart.limits.0.nm() as f64), row(chart.limits.1.nm() as f64));
    for line in [least, most] {
        grid[line].fill('-');
    }
    for &hours in &chart.breaks {
        for line in &mut grid {
            line[column(hours)] = ':';
        }
    }
    for mark in &chart.marks {
        let at = column(mark.hours);
        for (bar, sign, at) in [(mark.found, 'o', at), (mark.left, 'x', at + 1)] {
            let Some(bar) = bar else { continue };
            let (top, bottom) = (bar.high.map_or(0, row), bar.low.map_or(rows - 1, row));
            for line in &mut grid[top..=bottom.max(top)] {
                line[at] = '|';
            }
            if let Some(nm) = bar.at {
                grid[row(nm)][at] = sign;
            }
        }
    }
    // The unit of the axis stands between the limits.
    let of_unit =
        [rows / 2, rows / 2 - 1, rows / 2 + 1].into_iter().find(|at| ![least, most].contains(at));
    let label = |line: usize| match line {
        line if line == most => chart.limits.1.digits(unit),
        line if line == least => chart.limits.0.digits(unit),
        line if Some(line) == of_unit => unit.word().to_owned(),
        _ => String::new(),
    };
    let mut lines: Vec<String> = grid
        .into_iter()
        .enumerate()
        .map(|(line, cells)| {
            let cells: String = cells.into_iter().collect();
            format!("{:>LABEL$} {}", label(line), cells.trim_end()).trim_end().to_string()
        })
        .collect();
    let ends = [chart.hours.0, chart.hours.1].map(|hours| format!("{hours:.1}"));
    let [first, last] = ends;
    if chart.hours.0 < chart.hours.1 {
        let gap = (columns + 1).saturating_sub(first.len() + 2 + last.len());
        lines.push(format!("{:LABEL$} {first}{}{last} h", "", " ".repeat(gap)));
    } else {
        let before = (columns / 2).saturating_sub(first.len() / 2);
        lines.push(format!("{:LABEL$} {}{first} h", "", " ".repeat(before)));
    }
    lines
}
