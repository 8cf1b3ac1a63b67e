//! An engine drawn beside a list: the one of the row under the cursor.
//!
//! The drawing has the same columns whichever row it is, so that the list stays where it is.

use super::frame::below;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::engine::{Detail, EngineView};
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// A drawing and what is said beneath it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// The engine; `None` where there is nothing to draw.
    pub engine: Option<EngineView>,
    /// What is said of it.
    pub lines: Vec<String>,
}

/// Columns between the list and the drawing.
const GAP: u16 = 1;
/// Least columns of a drawing: a ring of nine numbers.
const LEAST: u16 = 17;
/// Most columns of a drawing.
const MOST: u16 = 64;

impl Drawn {
    /// Paints it at the right of an area, as large as it fits, and returns what is left for the list.
    pub fn paint_beside(&self, theme: Theme, area: Rect, buf: &mut Buffer) -> Rect {
        let side = (area.width / 5 * 2).clamp(LEAST, MOST).min(area.width / 2);
        let place = Rect { x: area.right() - side, width: side, ..area };
        let said = text::wrap_all(&self.lines, side);
        let said_rows = u16::try_from(said.len()).unwrap_or(u16::MAX);
        // With all that is said beneath, else with its beginning, else alone.
        let drawn = (0..=said_rows).rev().find_map(|kept| {
            let room = area.height.checked_sub(kept)?;
            let engine = self.engine.as_ref()?;
            let fits = |detail: &Detail| Some((*detail, engine.size(*detail, side, room)?));
            let (detail, (_, rows)) = Detail::ALL.iter().find_map(fits)?;
            Some((detail, rows, kept))
        });
        let at = match (&self.engine, drawn) {
            (Some(engine), Some((detail, rows, kept))) => {
                engine.paint(detail, theme, Rect { height: area.height - kept, ..place }, buf);
                rows
            }
            (Some(_) | None, _) => 0,
        };
        text::put_lines(&said, theme.style(Role::Text), below(place, at), buf);
        Rect { width: area.width - side - GAP.min(area.width - side), ..area }
    }
}
