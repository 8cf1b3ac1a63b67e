//! Drawings of the record as SVG: a valve's chart, and how the cylinders lie. They hold no foreign
//! text but what [`super::html::escaped`] has made harmless, and mean nothing by colour alone.

use super::chart::{Bar, Chart};
use super::html::escaped;
use crate::domain::profile::{Facts, Shape, Side};
use crate::domain::units::LengthUnit;
use crate::domain::valve::Cylinder;

/// Size of a chart, and its margins: left, top, right, bottom.
const SIZE: (f64, f64) = (360.0, 170.0);
const MARGIN: [f64; 4] = [66.0, 12.0, 8.0, 26.0];
/// Air between the frame and the first and last service.
const AIR: f64 = 20.0;
/// Width that the hours of one service take under the chart.
const HOURS_WIDE: f64 = 52.0;

/// Draws a valve's chart: circles as found, crosses as left, bars what the readings allow.
pub fn chart_svg(chart: &Chart, unit: LengthUnit, title: &str) -> String {
    let [left, top, right, bottom] = MARGIN;
    let (width, height) = (SIZE.0 - left - right, SIZE.1 - top - bottom);
    let x = |hours: f64| left + AIR + chart.along(hours) * (width - 2.0 * AIR);
    let y = |nm: f64| top + chart.down(nm) * height;
    let mut svg = format!(
        "<svg viewBox=\"0 0 {:.0} {:.0}\" width=\"{:.0}\" role=\"img\" font-family=\"sans-serif\" font-size=\"12\"><title>{}</title>",
        SIZE.0,
        SIZE.1,
        SIZE.0,
        escaped(title)
    );
    svg += &format!(
        "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"none\" stroke=\"#999\"/>"
    );
    for limit in [chart.limits.0, chart.limits.1] {
        let (at, label) = (y(limit.nm() as f64), limit.text(unit));
        svg += &line((left, at), (left + width, at), "stroke-dasharray=\"6 4\"");
        svg += &format!(
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{label}</text>",
            left - 6.0,
            at + 4.0
        );
    }
    for &hours in &chart.breaks {
        svg += &line((x(hours), top), (x(hours), top + height), "stroke-dasharray=\"1 4\"");
    }
    for mark in &chart.marks {
        let at = x(mark.hours);
        svg += &mark.found.map_or(String::new(), |bar| reading(chart, bar, at, &y, Shown::Found));
        svg +=
            &mark.left.map_or(String::new(), |bar| reading(chart, bar, at + 7.0, &y, Shown::Left));
    }
    svg + &hours_axis(chart, &x) + "</svg>"
}

/// Writes the running hours of the services below the chart: the last one, and as many of the others
/// as have room.
fn hours_axis(chart: &Chart, x: &dyn Fn(f64) -> f64) -> String {
    let (first, last) = chart.hours;
    let mut told = vec![last];
    let free = |told: &[f64], hours: f64| {
        told.iter().all(|other| (x(hours) - x(*other)).abs() >= HOURS_WIDE)
    };
    for hours in [first].into_iter().chain(chart.marks.iter().map(|mark| mark.hours)) {
        if free(&told, hours) {
            told.push(hours);
        }
    }
    let below = SIZE.1 - 8.0;
    let label = |hours: &f64| {
        format!(
            "<text x=\"{:.1}\" y=\"{below:.1}\" text-anchor=\"middle\">{hours:.1} h</text>",
            x(*hours)
        )
    };
    told.iter().map(label).collect()
}

#[derive(Clone, Copy)]
enum Shown {
    Found,
    Left,
}

fn reading(chart: &Chart, bar: Bar, x: f64, y: &dyn Fn(f64) -> f64, shown: Shown) -> String {
    let (low, high) = (bar.low.unwrap_or(chart.span.0), bar.high.unwrap_or(chart.span.1));
    let mut svg = line((x, y(low)), (x, y(high)), "stroke-width=\"2\"");
    let Some(at) = bar.at.map(y) else { return svg };
    svg += &match shown {
        Shown::Found => format!(
            "<circle cx=\"{x:.1}\" cy=\"{at:.1}\" r=\"4\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.5\"/>"
        ),
        Shown::Left => {
            let arm = |from: f64, to: f64| line((x - 4.0, at + from), (x + 4.0, at + to), "");
            arm(-4.0, 4.0) + &arm(4.0, -4.0)
        }
    };
    svg
}

fn line((x1, y1): (f64, f64), (x2, y2): (f64, f64), more: &str) -> String {
    format!(
        "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"#000\" {more}/>"
    )
}

/// Draws how the cylinders lie, each with a word below its number: banks from above with the front
/// at the top, a radial's rows from the rear.
pub fn engine_svg(facts: &Facts, word: &dyn Fn(Cylinder) -> String) -> String {
    let places = places(facts);
    let right = places.iter().map(|(_, x, _)| *x).fold(0.0, f64::max) + 70.0;
    let bottom = places.iter().map(|(.., y)| *y).fold(0.0, f64::max) + 48.0;
    let seen = match facts.layout.shape {
        Shape::Radial => "seen from the rear",
        Shape::Inline | Shape::Vee | Shape::Opposed => "seen from above, front at the top",
    };
    let mut svg = format!(
        "<svg viewBox=\"0 0 {right:.0} {bottom:.0}\" width=\"{right:.0}\" role=\"img\" font-family=\"sans-serif\" font-size=\"12\" text-anchor=\"middle\"><title>cylinders, {seen}</title>"
    );
    svg += &format!("<text x=\"{:.0}\" y=\"14\">{seen}</text>", right / 2.0);
    for (cylinder, x, y) in places {
        svg += &format!(
            "<circle cx=\"{x:.0}\" cy=\"{y:.0}\" r=\"17\" fill=\"none\" stroke=\"#000\"/><text x=\"{x:.0}\" y=\"{:.0}\" font-weight=\"bold\">{cylinder}</text><text x=\"{x:.0}\" y=\"{:.0}\">{}</text>",
            y + 4.0,
            y + 31.0,
            escaped(&word(cylinder))
        );
    }
    svg + "</svg>"
}

fn places(facts: &Facts) -> Vec<(Cylinder, f64, f64)> {
    let layout = &facts.layout;
    let mut banks: Vec<_> = layout.banks.iter().collect();
    banks.sort_by_key(|bank| match bank.side {
        Some(Side::Left) => 0,
        None => 1,
        Some(Side::Right) => 2,
    });
    let mut places = Vec::new();
    for (number, bank) in banks.into_iter().enumerate() {
        let count = bank.cylinders.len();
        for (place, &cylinder) in bank.cylinders.iter().enumerate() {
            let (x, y) = if layout.shape == Shape::Radial {
                let step = 360.0 / count as f64;
                let angle = (bank.first_at + step * place as f64).to_radians();
                let radius = (count as f64 * 14.0).max(70.0);
                let middle = radius + 70.0 + number as f64 * (2.0 * radius + 130.0);
                (middle + radius * libm::sin(angle), radius + 52.0 - radius * libm::cos(angle))
            } else {
                let forward = facts.is_front(layout.listed_from);
                let from_front = if forward { place } else { count - 1 - place };
                (70.0 + 130.0 * number as f64, 52.0 + 62.0 * from_front as f64)
            };
            places.push((cylinder, x, y));
        }
    }
    places
}
