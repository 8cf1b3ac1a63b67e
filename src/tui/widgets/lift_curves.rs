//! The lifts of the watched cylinder's valves around its sign: exhaust and intake over the phase.
//!
//! In plain characters each curve is drawn with its letter, and an `X` where they meet. The line
//! beneath is the seat: a valve is shut where its curve is not seen.

use super::canvas::{Canvas, Part, cell};
use super::digits::Ink;
use super::text;
use crate::domain::picture::Lifts;
use crate::domain::valve::Kind;
use crate::guide::picture::{CRANK, STOP};
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::RangeInclusive;

/// Columns of the smallest picture.
pub const LEAST_COLUMNS: u16 = 21;
/// Rows of the smallest picture: names, three of curves, the seat, the sign.
pub const LEAST_ROWS: u16 = 6;
/// Columns of the widest picture.
pub const MOST_COLUMNS: u16 = 73;
/// Rows of the tallest picture.
pub const MOST_ROWS: u16 = 25;

/// What the curves show.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftView {
    /// The numbers.
    pub lifts: Lifts,
    /// The sign in words.
    pub sign: String,
}

impl LiftView {
    /// Paints the curves over an area, as far as they are allowed to grow.
    pub fn paint(&self, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.width < LEAST_COLUMNS || area.height < LEAST_ROWS {
            return;
        }
        // An odd number of columns has one in the middle, for the sign.
        let width = area.width.min(MOST_COLUMNS);
        let width = width - (1 - width % 2);
        let area = Rect { width, height: area.height.min(MOST_ROWS), ..area };
        let rows = area.height - 3;
        self.names(theme, Rect { height: 1, ..area }, buf);
        let curves = Rect { y: area.y + 1, height: rows, ..area };
        let canvas = self.curves(width, rows);
        for row in (0..rows).filter(|&row| canvas.is_empty(width / 2, row)) {
            text::put(":", theme.style(Role::Text), cell(curves, width / 2, row), buf);
        }
        canvas.paint(ink, theme, curves, buf);
        let seat = Rect { y: curves.bottom(), height: 1, ..area };
        self.seat(ink, theme, seat, buf);
        self.name_sign(theme, Rect { y: seat.bottom(), ..seat }, buf);
    }

    /// The lift of a kind of valve so many columns from the left edge, 0..1.
    fn lift(&self, kind: Kind, x: f64, width: u16) -> f64 {
        self.lifts.lift(kind, self.lifts.phase_at(x / f64::from(width)))
    }

    /// The name of each curve above its highest place.
    fn names(&self, theme: Theme, area: Rect, buf: &mut Buffer) {
        for kind in Kind::BOTH {
            let name = kind.word();
            let lift = |x: &u16| self.lift(kind, f64::from(*x) + 0.5, area.width);
            let highest = (0..area.width).max_by(|one, other| lift(one).total_cmp(&lift(other)));
            if let Some(highest) = highest.filter(|x| lift(x) > 0.0) {
                let wide = text::columns(name);
                let x = highest.saturating_sub(wide / 2).min(area.width.saturating_sub(wide));
                let place = Rect { x: area.x + x, width: wide, ..area };
                text::put(name, theme.style(Role::Text), place, buf);
            }
        }
    }

    fn curves(&self, width: u16, rows: u16) -> Canvas {
        let mut canvas = Canvas::new(width, rows);
        let top = canvas.down() - 1;
        for x in 0..width {
            let exhaust = self.spots(Kind::Exhaust, x, width, top);
            let intake = self.spots(Kind::Intake, x, width, top);
            for (kind, other, letter) in [(&exhaust, &intake, "E"), (&intake, &exhaust, "I")] {
                for up in kind.iter().cloned().flatten() {
                    let meet = other.as_ref().is_some_and(|other| {
                        (other.start() / 2..=other.end() / 2).contains(&(up / 2))
                    });
                    let letter = if meet { "X" } else { letter };
                    canvas.put(x, top - up, Part { rank: u8::from(meet), letter, role: Role::Big });
                }
            }
        }
        canvas
    }

    /// The spots of a curve in a column, counted from the seat: all between its two edges, so that a
    /// steep curve stays one line. `None` where the valve is shut.
    fn spots(&self, kind: Kind, x: u16, width: u16, top: u16) -> Option<RangeInclusive<u16>> {
        let spot = |at: f64| (self.lift(kind, at, width) * f64::from(top)).round() as u16;
        let x = f64::from(x);
        let (left, right) = (spot(x), spot(x + 1.0));
        let open = self.lift(kind, x + 0.5, width) > 0.0;
        open.then(|| left.min(right)..=left.max(right))
    }

    /// The seat, with where the sign is seen and where the crank stands.
    fn seat(&self, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        let line = match ink {
            Ink::Blocks => "─",
            Ink::Hash | Ink::Halves => "-",
        };
        text::put(&line.repeat(usize::from(area.width)), theme.style(Role::Text), area, buf);
        let now = self.lifts.now.and_then(|now| self.lifts.share_of(now));
        if let Some(share) = now {
            let x = ((share * f64::from(area.width)) as u16).min(area.width - 1);
            text::put(CRANK, theme.style(Role::Cursor), cell(area, x, 0), buf);
        }
        let (letter, role) =
            if self.lifts.then_turn == 0 { (STOP, Role::Due) } else { ("|", Role::Text) };
        text::put(letter, theme.style(role), cell(area, area.width / 2, 0), buf);
    }

    fn name_sign(&self, theme: Theme, area: Rect, buf: &mut Buffer) {
        let wide = text::columns(&self.sign).min(area.width);
        let place = Rect { x: area.x + (area.width - wide) / 2, width: wide, ..area };
        text::put(&self.sign, theme.style(Role::Title), place, buf);
    }
}
