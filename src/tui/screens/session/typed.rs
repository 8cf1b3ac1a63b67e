//! The number that is typed: beside the large words where there is room, else in their place.

use super::super::frame;
use super::SessionView;
use super::fit::{Fit, large};
use super::order::Room;
use crate::guide::Typed;
use crate::tui::widgets::digits::{Ink, Set, Size};
use ratatui::layout::Rect;

/// A reading as it is mostly typed, which has room beside the large words.
const USUAL: &str = "0.00";
/// Rows of the smallest digits whose shapes are whole.
const WHOLE: u16 = 4;
/// Rows of large words that give way, in windows in which these are large enough.
const SPARE: u16 = 7;
/// Columns between the large words and what is typed beside them.
const EQUALS: u16 = 4;

/// Where a typed number stands.
pub(super) struct Beside {
    pub size: Size,
    /// Where it begins.
    pub area: Rect,
    /// Where the sign of equality before it stands.
    pub equals: Rect,
}

impl Fit {
    /// Where a typed number stands beside the large words, on their foot; `None` where it is too long.
    pub(super) fn typed_beside(&self, typed: &str, area: Rect) -> Option<Beside> {
        let (size, set) = (self.typed?, self.big.as_ref()?);
        let columns = set.lines.iter().map(|line| set.size.columns(line)).max()? + EQUALS;
        let room = Rect { x: area.x + columns, width: area.width.checked_sub(columns)?, ..area };
        let down = set.rows().checked_sub(size.rows())?;
        let equals = Rect { x: room.x - EQUALS / 2, width: 1, ..area };
        let middle = down + size.rows() / 2;
        (size.columns(typed) <= room.width).then(|| Beside {
            size,
            area: frame::below(room, down),
            equals: frame::row(equals, middle),
        })
    }
}

fn is_reading(view: &SessionView) -> bool {
    view.prompt.field.typed == Some(Typed::Reading)
}

/// The columns that are left for large words where a reading is to be typed beside them, and the size
/// of that, the best first; all of them where none is.
pub(super) fn beside_words(view: &SessionView, room: Room) -> Vec<(u16, Option<Size>)> {
    if !is_reading(view) {
        return vec![(room.width, None)];
    }
    let of = |size: Size| {
        let wide = room.width.checked_sub(size.columns(USUAL) + EQUALS)?;
        Some((wide, Some(size)))
    };
    typed_sizes(view, room).into_iter().filter_map(of).collect()
}

/// The sizes of what is typed: the smallest that is large enough, so that a further digit costs a slow line
/// little; where lines are not slow, larger ones before it.
fn typed_sizes(view: &SessionView, room: Room) -> Vec<Size> {
    let enough = |least| smallest("0", room.width, view.ink, least);
    let mut sizes: Vec<Size> = enough(room.least()).into_iter().collect();
    while let Some(last) = sizes.last().filter(|_| room.is_quick()) {
        match enough(last.rows() + 1) {
            Some(larger) => sizes.push(larger),
            None => break,
        }
    }
    sizes.reverse();
    sizes
}

/// The large words, with room beside them for a number where one is to be typed.
pub(super) fn words_and_typed(
    view: &SessionView,
    words: &str,
    room: Room,
    least: u16,
) -> Option<(Set, Option<Size>)> {
    let free = room.height;
    let beside = || {
        beside_words(view, room).into_iter().find_map(|(wide, size)| {
            let least = size.map_or(least, |size| least.max(size.rows()));
            Some((large(words, (wide, free), view.ink, least)?, size))
        })
    };
    let alone = || {
        let size = smallest(words, room.width, view.ink, room.least().max(WHOLE))?;
        let set = Set { size, lines: vec![words.to_owned()] };
        (size.rows() <= free).then_some((set, None))
    };
    let found = match &view.prompt.big {
        Some(_) if is_reading(view) => beside(),
        Some(_) => None,
        None => alone(),
    };
    // What is said again, and the number in its place, need not be larger than that.
    let spare = view.prompt.big.as_ref().is_some_and(|big| big.gives_way);
    // In the largest windows the smallest letters that are large enough are larger than that.
    let enough = Size::ALL.into_iter().rev().map(Size::rows).find(|rows| *rows >= least);
    let free = if spare { free.min(SPARE.max(enough.unwrap_or(least))) } else { free };
    found.or_else(|| Some((large(words, (room.width, free), view.ink, least)?, None)))
}

/// The smallest letters that are so large at least.
pub(super) fn smallest(words: &str, width: u16, ink: Ink, least: u16) -> Option<Size> {
    let fits = |size: &Size| {
        size.rows() >= least && size.columns(words) <= width && size.can_be_drawn_in(ink)
    };
    Size::ALL.into_iter().rev().find(fits)
}

/// What is typed in the place of the large words, in the smallest digits that are large enough.
pub(super) fn in_place(typed: &str, room: (u16, u16), ink: Ink, least: u16) -> Option<Set> {
    let size = smallest(typed, room.0, ink, least).filter(|size| size.rows() <= room.1);
    let set = size.map(|size| Set { size, lines: vec![typed.to_owned()] });
    set.or_else(|| large(typed, room, ink, 3))
}
