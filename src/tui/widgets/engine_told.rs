//! As much of the engine as a window has room for: a drawing, else its valves in words.

use super::engine::{Detail, EngineView, short, word};
use super::text;
use crate::domain::valve::Standing;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

impl EngineView {
    /// Paints as much of the engine as fits: in words where no drawing does.
    pub fn paint_what_fits(&self, theme: Theme, area: Rect, buf: &mut Buffer) {
        let fits = |detail: &Detail| self.size(*detail, area.width, area.height).is_some();
        match Detail::ALL.into_iter().find(fits) {
            Some(detail) => self.paint(detail, theme, area, buf),
            None => {
                let lines = text::wrap_all(&self.told(), area.width);
                text::put_lines(&lines, theme.style(Role::Text), area, buf);
            }
        }
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
