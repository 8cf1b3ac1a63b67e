//! As much of the engine as a window has room for: a drawing, else its valves in words.

use super::digits::Ink;
use super::engine::{CylinderView, Detail, EngineView, at, short, word};
use super::engine_plan::{Cell, Plan};
use super::text;
use crate::domain::valve::Standing;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

impl EngineView {
    /// Paints as much of the engine as fits, and as large: in words where no drawing does.
    pub fn paint_what_fits(&self, ink: Ink, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let smaller = |buf: &mut Buffer| {
            let mut all = Detail::ALL.into_iter();
            all.find_map(|detail| self.paint_alone(detail, theme, area, buf))
        };
        match self.paint_large(ink, theme, area, buf).or_else(|| smaller(buf)) {
            Some(taken) => self.paint_end_around(taken, theme, area, buf),
            None => {
                let lines = text::wrap_all(&self.told(), area.width);
                text::put_lines(&lines, theme.style(Role::Text), area, buf);
            }
        }
    }

    /// Paints what is written on a drawing.
    pub(super) fn paint_captions(&self, plan: &Plan, theme: Theme, area: Rect, buf: &mut Buffer) {
        for caption in &plan.captions {
            let place = at(area, caption.x, caption.y, text::columns(&caption.text), 1);
            text::put(&caption.text, theme.style(Role::Text), place, buf);
        }
    }

    /// Returns the cylinder of a place on a drawing.
    pub(super) fn cylinder(&self, cell: &Cell) -> Option<&CylinderView> {
        self.banks.get(cell.bank)?.cylinders.get(cell.place)
    }

    /// Tells how the valves stand, what is due first: "DUE NOW 4 EX".
    fn told(&self) -> Vec<String> {
        let named = |wanted: Standing| {
            let cylinders = self.banks.iter().flat_map(|bank| &bank.cylinders);
            let valves = cylinders.flat_map(move |cylinder| {
                let of_it = cylinder.valves.iter().filter(move |(_, standing)| *standing == wanted);
                of_it.map(|(valve, _)| format!("{} {}", cylinder.name, short(*valve, cylinder)))
            });
            format!("{} {}", word(wanted), valves.collect::<Vec<_>>().join(", "))
        };
        self.standings().into_iter().map(named).collect()
    }
}
