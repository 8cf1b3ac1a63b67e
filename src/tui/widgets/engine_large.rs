//! The engine as large as a window allows: each cylinder a box with its number in large letters, and how
//! its valves stand in large words, or in plain ones where these have no room.

use super::digits::{self, Ink, Size};
use super::engine::{CylinderView, Detail, EngineView, Part, at, frame, role, short, word};
use super::engine_plan::Plan;
use super::text;
use crate::domain::valve::{Standing, Valve};
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How a cylinder's box is filled.
#[derive(Clone, Copy)]
enum Fill {
    /// All of it in letters of this size.
    All(Size),
    /// Its number in this size.
    Number(Size),
}

/// Columns between a box's edge and what stands in it.
const EDGE: u16 = 2;
/// Columns between a large number and what the cylinder is for.
const GAP: u16 = 2;

impl EngineView {
    /// Paints the engine so large, where that fits; returns the columns and rows that it took.
    pub(super) fn paint_large(
        &self,
        ink: Ink,
        theme: Theme,
        area: Rect,
        buf: &mut Buffer,
    ) -> Option<(u16, u16)> {
        let area = area.intersection(buf.area);
        let sizes = || Size::ALL.into_iter().filter(|size| size.can_be_drawn_in(ink));
        let fills = sizes().map(Fill::All).chain(sizes().map(Fill::Number));
        let laid = fills.filter_map(|fill| {
            let cylinders = self.banks.iter().flat_map(|bank| &bank.cylinders);
            let sizes = cylinders.map(|cylinder| fill.needs(cylinder));
            let cell = sizes.fold((1, 1), |all, one| (all.0.max(one.0), all.1.max(one.1)));
            Some((fill, Plan::of_cells(self, cell, area.width, area.height)?))
        });
        let (fill, plan) = laid.into_iter().next()?;
        self.paint_captions(&plan, theme, area, buf);
        for cell in &plan.cells {
            let place = at(area, cell.x, cell.y, cell.width, cell.height);
            if let Some(cylinder) = self.cylinder(cell) {
                fill.paint(cylinder, ink, theme, place, buf);
            }
        }
        Some((plan.width, plan.height))
    }
}

impl Fill {
    fn number(self) -> Size {
        match self {
            Fill::All(size) | Fill::Number(size) => size,
        }
    }

    /// Rows from one line of a valve to the next.
    fn step(self) -> u16 {
        match self {
            Fill::All(size) => size.rows() + digits::BETWEEN,
            Fill::Number(_) => 1,
        }
    }

    /// Columns and rows of a box.
    fn needs(self, cylinder: &CylinderView) -> (u16, u16) {
        // Every part has room, so that nothing moves from one to another.
        let part = text::columns(Part::Both.word()).max(text::columns(&cylinder.part_words()));
        let head = self.number().columns(&cylinder.name) + GAP + part;
        let lines = cylinder.valves.iter().map(|&(valve, standing)| {
            // As wide as what comes to be due, whatever it is now.
            let line = |standing| self.columns(&self.line(valve, standing, cylinder));
            line(standing).max(line(Standing::NotYet))
        });
        let wide = lines.fold(head, u16::max);
        let count = u16::try_from(cylinder.valves.len()).unwrap_or(u16::MAX);
        let tall = self.number().rows() + digits::BETWEEN + count.saturating_mul(self.step());
        // The last line has its edge beneath it.
        let under = if count > 0 && self.step() > 1 { digits::BETWEEN } else { 0 };
        (wide.saturating_add(2 * EDGE), tall.saturating_add(2 - under))
    }

    /// "EX DUE NOW".
    fn line(self, valve: Valve, standing: Standing, cylinder: &CylinderView) -> String {
        let name = short(valve, cylinder);
        match self {
            Fill::All(_) => format!("{name} {}", large_word(standing)),
            Fill::Number(_) => format!("{name} {}", word(standing)),
        }
    }

    fn columns(self, line: &str) -> u16 {
        match self {
            Fill::All(size) => size.columns(line),
            Fill::Number(_) => text::columns(line),
        }
    }

    fn paint(self, cylinder: &CylinderView, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        frame(theme, area, buf);
        let inside = at(area, EDGE, 1, area.width - 2 * EDGE, area.height - 2);
        let idle = cylinder.part == Part::Idle;
        let head = theme.style(if idle { Role::Text } else { Role::Title });
        let size = self.number();
        digits::paint(&cylinder.name, size, ink, head, inside, buf);
        let beside = size.columns(&cylinder.name) + GAP;
        let middle = size.rows() / 2;
        let word = at(inside, beside, middle, inside.width.saturating_sub(beside), 1);
        text::put(&cylinder.part_words(), head, word, buf);
        let mut down = size.rows() + digits::BETWEEN;
        for (valve, standing) in cylinder.listed(Detail::Boxes) {
            let line = self.line(valve, standing, cylinder);
            let place = at(inside, 0, down, inside.width, inside.height.saturating_sub(down));
            match self {
                Fill::All(size) => {
                    // A large letter is ink on the ground: reversed it would be none.
                    let role = match role(standing) {
                        Role::Due => Role::Title,
                        other => other,
                    };
                    digits::paint(&line, size, ink, theme.style(role), place, buf);
                }
                Fill::Number(_) => {
                    text::put(&line, theme.style(role(standing)), place, buf);
                }
            }
            down += self.step();
        }
    }
}

/// Returns the word for a standing in large letters: the same as in small ones.
pub fn large_word(standing: Standing) -> String {
    word(standing).to_uppercase()
}
