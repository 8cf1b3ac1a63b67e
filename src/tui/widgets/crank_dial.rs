//! The crank as a dial: where it must stop, how exactly, and where it stands now.
//!
//! The rim is dotted, and solid where the crank may be left standing; a disc with a letter is the
//! stop, a hand from the letter in the middle points where the crank stands. Arrows at the quarters
//! tell which way it runs, where that is known. Nothing here is told by colour.

use super::canvas::{Canvas, Part, cell};
use super::digits::Ink;
use super::text;
use crate::domain::picture::Dial;
use crate::guide::picture::{CRANK, STOP, UNKNOWN};
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Rows of the smallest dial; every dial has an odd number, so that the middle is a cell.
pub const LEAST: u16 = 5;
/// Rows of the largest dial.
pub const MOST: u16 = 35;

const RIM: Part = Part { rank: 1, letter: ".", role: Role::Text };
const SOLID: Part = Part { rank: 2, letter: "=", role: Role::Good };
const HAND: Part = Part { rank: 3, letter: "*", role: Role::Big };
const DISC: Part = Part { rank: 4, letter: "#", role: Role::Big };

/// What a dial shows, as drawn: degrees clockwise from the top.
#[derive(Clone, Debug, PartialEq)]
pub struct DialView {
    /// Where the stop is.
    pub stop: f64,
    /// Where it may be left standing: from here, so many degrees clockwise.
    pub solid: Option<(f64, f64)>,
    /// Where the crank stands, where that is known.
    pub hand: Option<f64>,
    /// True where the crank runs clockwise on the picture; `None` where that is not known.
    pub clockwise: Option<bool>,
}

impl DialView {
    /// Draws the numbers of a dial.
    pub fn new(dial: &Dial) -> DialView {
        DialView {
            stop: dial.place(dial.stop),
            solid: dial.arc(),
            hand: dial.crank.angle().map(|angle| dial.place(angle)),
            clockwise: dial.clockwise,
        }
    }

    /// Returns the rows of the largest dial in some columns and rows; `None` where none fits.
    pub fn largest(columns: u16, rows: u16) -> Option<u16> {
        let most = rows.min(columns.saturating_add(1) / 2).min(MOST);
        let odd = most.saturating_sub(1 - most % 2);
        (odd >= LEAST).then_some(odd)
    }

    /// Returns the columns of a dial of so many rows.
    pub fn columns(rows: u16) -> u16 {
        (rows * 2).saturating_sub(1)
    }

    /// Paints the largest dial that fits at the top left of an area.
    pub fn paint(&self, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let Some(rows) = DialView::largest(area.width, area.height) else { return };
        let shape = Shape::of(rows);
        let mut canvas = Canvas::new(DialView::columns(rows), rows);
        self.draw(&shape, &mut canvas);
        canvas.paint(ink, theme, area, buf);
        let mut letter = |(x, row): (u16, u16), letter: &str, role| {
            text::put(letter, theme.style(role), cell(area, x, row), buf);
        };
        for (quarter, arrow) in self.arrows() {
            if !shape.near_stop(self.stop, quarter) {
                letter(shape.cell(quarter, shape.rim), arrow, Role::Text);
            }
        }
        let middle = if self.hand.is_some() { CRANK } else { UNKNOWN };
        letter(shape.cell(0.0, 0.0), middle, Role::Cursor);
        letter(shape.cell(self.stop, shape.rim), STOP, Role::Due);
    }

    fn draw(&self, shape: &Shape, canvas: &mut Canvas) {
        for dot in 0..shape.dots {
            let angle = 360.0 * f64::from(dot) / f64::from(shape.dots);
            if !self.is_solid(angle) {
                let (x, y) = shape.spot(angle, shape.rim);
                canvas.put(x as u16, y as u16, RIM);
            }
        }
        canvas.fill(SOLID, |x, y| {
            let (angle, from_middle) = shape.polar(x, y);
            let rim = shape.rim + 0.5 - shape.thick..=shape.rim + 0.5;
            rim.contains(&from_middle) && self.is_solid(angle)
        });
        if let Some(hand) = self.hand {
            canvas.fill(HAND, |x, y| shape.on_hand(hand, x, y));
        }
        let (stop_x, stop_y) = shape.spot(self.stop, shape.rim);
        canvas.fill(DISC, |x, y| libm::hypot(x - stop_x, y - stop_y) <= shape.disc);
    }

    fn is_solid(&self, angle: f64) -> bool {
        self.solid.is_some_and(|(first, sweep)| (angle - first).rem_euclid(360.0) <= sweep)
    }

    /// Arrows along the rim in the running direction, at the quarters.
    fn arrows(&self) -> Vec<(f64, &'static str)> {
        let quarters = [0.0, 90.0, 180.0, 270.0];
        match self.clockwise {
            None => Vec::new(),
            Some(true) => quarters.into_iter().zip([">", "v", "<", "^"]).collect(),
            Some(false) => quarters.into_iter().zip(["<", "^", ">", "v"]).collect(),
        }
    }
}

/// A dial's measures, in spots.
struct Shape {
    /// The middle.
    middle: (f64, f64),
    /// From the middle to the rim.
    rim: f64,
    /// From the middle of the stop's disc to its edge.
    disc: f64,
    /// How thick the solid rim is.
    thick: f64,
    /// Dots of the rim.
    dots: u16,
}

impl Shape {
    fn of(rows: u16) -> Shape {
        let half = f64::from(rows);
        let disc = (half * 0.12).max(1.0);
        // A hair less than a whole spot, so that left and right come out alike.
        let rim = half - 0.51 - disc;
        let (thick, dots) = match rows {
            ..9 => (1.0, 12),
            9..15 => (1.6, 24),
            _ => (2.4, 36),
        };
        Shape { middle: (half - 0.5, half), rim, disc, thick, dots }
    }

    /// The place at an angle, degrees clockwise from the top, so far from the middle.
    fn spot(&self, angle: f64, from_middle: f64) -> (f64, f64) {
        let (sin, cos) = libm::sincos(angle.to_radians());
        (self.middle.0 + from_middle * sin, self.middle.1 - from_middle * cos)
    }

    /// The cell that such a place lies in.
    fn cell(&self, angle: f64, from_middle: f64) -> (u16, u16) {
        let (x, y) = self.spot(angle, from_middle);
        (x as u16, (y / 2.0) as u16)
    }

    /// The angle, degrees clockwise from the top, and the distance from the middle.
    fn polar(&self, x: f64, y: f64) -> (f64, f64) {
        let (x, y) = (x - self.middle.0, self.middle.1 - y);
        (libm::atan2(x, y).to_degrees().rem_euclid(360.0), libm::hypot(x, y))
    }

    /// Tells whether a place lies on the hand: a shaft, and a head where there is room for one.
    fn on_hand(&self, hand: f64, x: f64, y: f64) -> bool {
        let (angle, from_middle) = self.polar(x, y);
        let off = (angle - hand).to_radians();
        let (along, beside) = (from_middle * libm::cos(off), (from_middle * libm::sin(off)).abs());
        let tip = self.rim - self.disc - 0.5;
        let head = if self.rim < 7.0 { 0.0 } else { self.rim * 0.4 };
        let shaft = (self.rim * 0.06).max(0.6);
        let on_shaft = (0.0..=tip - head).contains(&along) && beside <= shaft;
        let on_head = along > tip - head && along <= tip && beside <= (tip - along) * 0.5 + 0.4;
        on_shaft || on_head
    }

    /// Tells whether the stop's disc covers a place on the rim.
    fn near_stop(&self, stop: f64, angle: f64) -> bool {
        let ((x, y), (stop_x, stop_y)) = (self.spot(angle, self.rim), self.spot(stop, self.rim));
        libm::hypot(x - stop_x, y - stop_y) <= self.disc + 1.0
    }
}
