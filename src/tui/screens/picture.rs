//! A picture as a page of its own, as large as the window allows: the crank at a stop, down to a dial
//! alone; the engine with how each valve stands, down to its valves in words.

use super::frame::{self, Around, below, row};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::digits::Ink;
use crate::tui::widgets::engine::EngineView;
use crate::tui::widgets::picture::PictureView;
use crate::tui::widgets::text;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Everything that the page says.
#[derive(Clone, Debug, PartialEq)]
pub struct PicturePage {
    /// Open items, status, keys.
    pub around: Around,
    /// What it is a picture of.
    pub title: String,
    /// The picture.
    pub picture: Pictured,
}

/// A picture that can be a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Pictured {
    /// The crank at a stop.
    Stop(PictureView),
    /// The engine, and what its large letters are drawn with.
    Engine(EngineView, Ink),
}

/// Rows under which the title gives way to the picture.
const LOW: u16 = 12;

/// Paints the title with the note behind it, or in its place where there is no room for both: the picture
/// stays as large as it is. Returns the rows they take.
fn paint_title(view: &PicturePage, theme: Theme, area: Rect, buf: &mut Buffer) -> u16 {
    let (note, role) = frame::said_for_a_title(&view.around, "");
    let both = text::columns(&view.title) + GAP + text::columns(&note);
    let title = if both <= area.width || note.is_empty() { view.title.as_str() } else { "" };
    let place = row(area, 0);
    let after = text::put(&text::cut(title, area.width), theme.style(Role::Title), place, buf);
    let at = if title.is_empty() { area.x } else { after + GAP };
    let rest = Rect { x: at, width: area.right().saturating_sub(at), ..place };
    text::put(&text::cut(&note, rest.width), theme.style(role), rest, buf);
    1
}

/// Columns between the title and the note.
const GAP: u16 = 2;

/// Paints the page. Unlike a question it needs no least window: it asks for nothing.
pub fn paint(view: &PicturePage, theme: Theme, area: Rect, buf: &mut Buffer) {
    let middle = frame::paint(&view.around, theme, area, buf);
    let rest = if middle.height < LOW {
        frame::paint_note(&view.around, theme, middle, buf)
    } else {
        below(middle, paint_title(view, theme, middle, buf))
    };
    match &view.picture {
        Pictured::Stop(picture) => picture.paint_what_fits(theme, rest, buf),
        Pictured::Engine(engine, ink) => engine.paint_what_fits(*ink, theme, rest, buf),
    }
}
