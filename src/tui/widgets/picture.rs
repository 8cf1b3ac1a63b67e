//! The picture of a stop: the crank's dial and the watched valves' lifts, with their words, laid out
//! in whatever room there is.

use super::crank_dial::{self, DialView};
use super::digits::Ink;
use super::lift_curves::{self, LiftView};
use super::text;
use crate::domain::picture::Picture;
use crate::guide::picture::Words;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// A picture with everything that is said beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureView {
    /// The crank.
    pub dial: DialView,
    /// The valves.
    pub lifts: LiftView,
    /// What is said of both.
    pub words: Words,
    /// What is drawn with.
    pub ink: Ink,
}

/// How much of a picture is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// The dial in full words, and the lifts.
    Both,
    /// The dial in full words.
    Dial,
    /// The dial, with what tells its marks apart.
    Marks,
}

/// Where everything lies, from the top left.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Laid {
    dial: Rect,
    said: Said,
    lifts: Option<(Rect, Said)>,
}

/// Lines of words and where they lie.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Said {
    lines: Vec<String>,
    place: Rect,
}

/// Columns beyond which lines of words are hard to read.
const READABLE: u16 = 60;
/// Columns that words beside a dial need.
const BESIDE: u16 = 18;
const GAP: u16 = 2;

impl Extent {
    /// From the most to the least.
    pub const ALL: [Extent; 3] = [Extent::Both, Extent::Dial, Extent::Marks];

    /// Rows of the smallest dial that is still shown with so many words.
    fn least_dial(self) -> u16 {
        match self {
            Extent::Both | Extent::Dial => 9,
            Extent::Marks => 7,
        }
    }
}

impl PictureView {
    /// Puts a picture and its words together.
    pub fn new(picture: &Picture, words: Words, ink: Ink) -> PictureView {
        let lifts = LiftView { lifts: picture.lifts.clone(), sign: words.sign.clone() };
        PictureView { dial: DialView::new(&picture.dial), lifts, words, ink }
    }

    fn said_of_dial(&self, extent: Extent) -> &[String] {
        match extent {
            Extent::Both | Extent::Dial => &self.words.dial,
            Extent::Marks => &self.words.marks,
        }
    }

    /// Returns the rows that a picture needs in so many columns, one part beneath the other.
    pub fn needs(&self, extent: Extent, width: u16) -> u16 {
        let dial = extent.least_dial() + rows(&wrapped(self.said_of_dial(extent), width));
        match extent {
            Extent::Both => {
                dial + 1 + lift_curves::LEAST_ROWS + rows(&wrapped(&self.words.lifts, width))
            }
            Extent::Dial | Extent::Marks => dial,
        }
    }

    /// Tells whether a picture fits.
    pub fn fits(&self, extent: Extent, width: u16, height: u16) -> bool {
        self.lay(extent, extent.least_dial(), width, height).is_some()
    }

    fn lay(&self, extent: Extent, least: u16, width: u16, height: u16) -> Option<Laid> {
        match extent {
            Extent::Dial | Extent::Marks => {
                let (dial, said) = self.lay_dial(extent, least, width, height)?;
                Some(Laid { dial, said, lifts: None })
            }
            Extent::Both => {
                let ways =
                    [self.side_by_side(least, width, height), self.stacked(least, width, height)];
                // Of two dials of one size the first way is kept.
                ways.into_iter().flatten().reduce(|best, other| {
                    if other.dial.height > best.dial.height { other } else { best }
                })
            }
        }
    }

    fn side_by_side(&self, least: u16, width: u16, height: u16) -> Option<Laid> {
        let left = width / 2;
        let right = (left + GAP).min(width);
        let (dial, said) = self.lay_dial(Extent::Both, least, left, height)?;
        let lifts = self.lay_lifts(width - right, height)?;
        Some(Laid { dial, said, lifts: Some(moved(lifts, right, 0)) })
    }

    fn stacked(&self, least: u16, width: u16, height: u16) -> Option<Laid> {
        let words = rows(&wrapped(&self.words.lifts, width));
        let lower = (height / 3).clamp(lift_curves::LEAST_ROWS, lift_curves::MOST_ROWS) + words;
        let at_least = lift_curves::LEAST_ROWS + words;
        let (lower, (dial, said)) = [lower, at_least].into_iter().find_map(|lower| {
            let upper = height.checked_sub(lower + 1)?;
            Some((lower, self.lay_dial(Extent::Both, least, width, upper)?))
        })?;
        let under = dial.bottom().max(said.place.bottom()) + 1;
        let lifts = self.lay_lifts(width, lower)?;
        Some(Laid { dial, said, lifts: Some(moved(lifts, 0, under)) })
    }

    /// The largest dial at which all its words fit, beneath it or beside it.
    fn lay_dial(
        &self,
        extent: Extent,
        least: u16,
        width: u16,
        height: u16,
    ) -> Option<(Rect, Said)> {
        let words = self.said_of_dial(extent);
        let mut tall = DialView::largest(width, height)?;
        let beneath = wrapped(words, width);
        while tall >= least {
            let dial = Rect::new(0, 0, DialView::columns(tall), tall);
            if tall + rows(&beneath) <= height {
                let place = Rect::new(0, tall, width, rows(&beneath));
                return Some((dial, Said { lines: beneath, place }));
            }
            let x = dial.width + GAP;
            let room = width.saturating_sub(x);
            if room >= BESIDE {
                let lines = wrapped(words, room);
                if rows(&lines) <= height {
                    let place = Rect::new(x, 0, room, rows(&lines));
                    return Some((dial, Said { lines, place }));
                }
            }
            tall = tall.checked_sub(2)?;
        }
        None
    }

    fn lay_lifts(&self, width: u16, height: u16) -> Option<(Rect, Said)> {
        let lines = wrapped(&self.words.lifts, width);
        let tall = height.checked_sub(rows(&lines))?.min(lift_curves::MOST_ROWS);
        let wide = width.min(lift_curves::MOST_COLUMNS);
        if tall < lift_curves::LEAST_ROWS || wide < lift_curves::LEAST_COLUMNS {
            return None;
        }
        let place = Rect::new(0, tall, width, rows(&lines));
        Some((Rect::new(0, 0, wide, tall), Said { lines, place }))
    }

    /// Paints a picture at the top left of an area, if it fits there.
    pub fn paint(&self, extent: Extent, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if let Some(laid) = self.lay(extent, extent.least_dial(), area.width, area.height) {
            self.paint_laid(&laid, theme, area, buf);
        }
    }

    /// Paints as much of a picture as an area holds; what is left of it last are words.
    pub fn paint_what_fits(&self, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let fitting = |least: Option<u16>| {
            let lay = |extent: Extent| {
                let least = least.unwrap_or(extent.least_dial());
                self.lay(extent, least, area.width, area.height)
            };
            Extent::ALL.into_iter().find_map(lay)
        };
        match fitting(None).or_else(|| fitting(Some(crank_dial::LEAST))) {
            Some(laid) => self.paint_laid(&laid, theme, area, buf),
            None => {
                let lines = wrapped(&self.words.marks, area.width);
                text::put_lines(&lines, theme.style(Role::Text), area, buf);
            }
        }
    }

    fn paint_laid(&self, laid: &Laid, theme: Theme, area: Rect, buf: &mut Buffer) {
        let put = |said: &Said, buf: &mut Buffer| {
            text::put_lines(&said.lines, theme.style(Role::Text), within(area, said.place), buf);
        };
        self.dial.paint(self.ink, theme, within(area, laid.dial), buf);
        put(&laid.said, buf);
        if let Some((place, said)) = &laid.lifts {
            self.lifts.paint(self.ink, theme, within(area, *place), buf);
            put(said, buf);
        }
    }
}

fn wrapped(words: &[String], width: u16) -> Vec<String> {
    text::wrap_all(words, width.min(READABLE))
}

fn rows(lines: &[String]) -> u16 {
    u16::try_from(lines.len()).unwrap_or(u16::MAX)
}

fn moved((place, said): (Rect, Said), x: u16, y: u16) -> (Rect, Said) {
    let by = |rect: Rect| Rect { x: rect.x + x, y: rect.y + y, ..rect };
    (by(place), Said { place: by(said.place), ..said })
}

fn within(area: Rect, place: Rect) -> Rect {
    Rect { x: area.x.saturating_add(place.x), y: area.y.saturating_add(place.y), ..place }
        .intersection(area)
}
