//! A picture as a page of its own, as large as the window allows: the crank at a stop, down to a dial
//! alone; the engine with how each valve stands, down to its valves in words.

use super::frame::{self, Around, below};
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

/// Paints the page. Unlike a question it needs no least window: it asks for nothing.
pub fn paint(view: &PicturePage, theme: Theme, area: Rect, buf: &mut Buffer) {
    let middle = frame::paint(&view.around, theme, area, buf);
    let middle = frame::paint_note(&view.around, theme, middle, buf);
    let title = text::wrap(&view.title, middle.width);
    let shown = if middle.height < LOW { &[][..] } else { title.as_slice() };
    let at = text::put_lines(shown, theme.style(Role::Title), middle, buf);
    let rest = below(middle, at);
    match &view.picture {
        Pictured::Stop(picture) => picture.paint_what_fits(theme, rest, buf),
        Pictured::Engine(engine, ink) => engine.paint_what_fits(*ink, theme, rest, buf),
    }
}
