//! The engine's end view, where the drawing leaves room for it: nothing gives way to it.

use super::engine::EngineView;
use super::text;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Columns and rows of a window in which it stands under the engine beside a question: in a smaller one
/// what is typed may take its room.
const ROOMY: (u16, u16) = (110, 36);
/// Rows of its cylinders beside a question or a list, the best first.
const SMALL: [u16; 2] = [4, 3];
/// The same on a page of its own.
const LARGE: [u16; 7] = [10, 8, 7, 6, 5, 4, 3];
/// Columns between the drawing and what stands beside it.
const BESIDE: u16 = 4;

impl EngineView {
    /// Paints it under a drawing of so many columns and rows, where these cells are free.
    pub(super) fn paint_end_under(
        &self,
        (width, height): (u16, u16),
        theme: Theme,
        area: Rect,
        buf: &mut Buffer,
    ) {
        if buf.area.width < ROOMY.0 || buf.area.height < ROOMY.1 {
            return;
        }
        let under = beneath(area, height + 1);
        let room = Rect { width: width.min(area.width), ..under };
        self.paint_end(&SMALL, room.width, theme, room, buf);
    }

    /// Paints it in the largest free room beside or under such a drawing.
    pub(super) fn paint_end_around(
        &self,
        (width, height): (u16, u16),
        theme: Theme,
        area: Rect,
        buf: &mut Buffer,
    ) {
        let indent = width.saturating_add(BESIDE).min(area.width);
        let beside = Rect { x: area.x + indent, width: area.width - indent, ..area };
        let under = beneath(area, height + 1);
        for long in LARGE {
            let mut rooms = [(0, beside), (width.min(area.width), under)].into_iter();
            if rooms.any(|(over, room)| self.paint_end(&[long], over, theme, room, buf)) {
                return;
            }
        }
    }

    /// Paints it at the top left of a list's free room.
    pub fn paint_end_in(&self, theme: Theme, room: Rect, buf: &mut Buffer) {
        self.paint_end(&SMALL, 0, theme, room, buf);
    }

    /// Paints it at the top left of a room, or under the middle of what so many columns of it lie under; tells
    /// whether it did.
    fn paint_end(
        &self,
        longs: &[u16],
        over: u16,
        theme: Theme,
        room: Rect,
        buf: &mut Buffer,
    ) -> bool {
        let Some(end) = &self.end else { return false };
        let lines = longs.iter().map(|long| end.lines(*long)).find_map(|lines| {
            let width = lines.iter().map(|line| text::columns(line)).max()?;
            let height = u16::try_from(lines.len()).ok()?;
            let x = room.x + over.saturating_sub(width) / 2;
            let place = Rect { x, width, height, ..room };
            (width <= room.width && height <= room.height && is_free(place, buf))
                .then_some((lines, place))
        });
        let Some((lines, place)) = lines else { return false };
        text::put_lines(&lines, theme.style(Role::Text), place, buf);
        true
    }
}

fn is_free(place: Rect, buf: &Buffer) -> bool {
    let blank = |at| buf.cell(at).is_some_and(|cell| cell.symbol() == " ");
    place.positions().all(blank)
}

/// What is left of an area under so many of its rows.
fn beneath(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}
