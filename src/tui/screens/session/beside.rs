//! What may stand beside the question: the engine, and the picture of the stop under it.
//!
//! A radial stays where it is, at one size, from one question of a window to the next: its size is found out
//! without the question, and lines of how give way to it.

use super::order::Room;
use super::words::READABLE;
use super::{GAP, SessionView};
use crate::tui::widgets::drawing::Drawing;
use crate::tui::widgets::engine::{Arrangement, Detail, EngineView};
use crate::tui::widgets::picture::Extent;

/// Columns that the question keeps beside a drawing.
const QUESTION: u16 = 50;
/// The same beside a ring, which so stays a ring in a narrower window; and the columns that it takes then.
const BESIDE_RING: u16 = 40;
const RING: u16 = 28;
/// Columns that a picture may widen the drawing's column to, where the question keeps all it can use.
const PICTURE: u16 = 40;
/// Columns and rows between top line and keys that are room for everything: a window of 120x40.
const ROOMY: (u16, u16) = (110, 36);
/// Rows of such a window that stay free for the picture under a ring, whether there is one now or not.
const UNDER_RING: u16 = 20;
/// A ring takes all the height it is offered: it is offered so many rows less or more at once, so that it
/// stays as it is from one question to the next.
const STEP: u16 = 4;

/// What may stand beside the question.
#[derive(Clone, Copy)]
pub(super) struct Aside {
    pub detail: Option<Detail>,
    pub extent: Option<Extent>,
    pub head_only: bool,
    /// Rows that the engine may take.
    pub tall: u16,
}

/// What may stand beside the question, the best first.
pub(super) fn besides(view: &SessionView, Room { width, height, .. }: Room) -> Vec<Aside> {
    let Some(engine) = &view.engine else { return vec![Aside::nothing()] };
    let rings = is_ringed(engine);
    let extents =
        || Extent::ALL.map(Some).into_iter().filter(|_| view.picture.is_some()).chain([None]);
    let roomy = width >= ROOMY.0 && height >= ROOMY.1;
    let mut besides = Vec::new();
    for tall in talls(engine, height, roomy) {
        let aside = |detail, extent| Aside { detail: Some(detail), extent, head_only: false, tall };
        if roomy {
            let of = |extent| Detail::ALL.map(|detail| aside(detail, extent));
            besides.extend(extents().flat_map(of));
        } else {
            let of = |detail| extents().map(move |extent| aside(detail, extent));
            besides.extend(Detail::ALL.into_iter().flat_map(of));
        }
    }
    // What has room beside the head of one question has none beside that of the next: a ring would come and go.
    if view.prompt.big.is_some() && !rings {
        let head = |detail| Aside { detail: Some(detail), head_only: true, ..Aside::nothing() };
        besides.extend(Detail::ALL.map(head));
    }
    besides.push(Aside::nothing());
    besides
}

impl Aside {
    fn nothing() -> Aside {
        Aside { detail: None, extent: None, head_only: false, tall: 0 }
    }
}

fn is_ringed(engine: &EngineView) -> bool {
    matches!(engine.arrangement, Arrangement::Rings(_))
}

/// The ring that stands beside every question in a window of this size; `None` where there is no room for one,
/// or the engine is no radial.
pub(super) fn ring(view: &SessionView, room: Room) -> Option<Aside> {
    view.engine.as_ref().filter(|engine| is_ringed(engine))?;
    let fits = |aside: &Aside| {
        let Some(detail) = aside.detail else { return false };
        aside.extent.is_none() && column(view, room, detail, (None, aside.tall)).is_some()
    };
    besides(view, room).into_iter().find(fits)
}

/// The rows that an engine is offered, the best first.
pub(super) fn talls(engine: &EngineView, height: u16, roomy: bool) -> Vec<u16> {
    match engine.arrangement {
        Arrangement::Columns | Arrangement::Lines => vec![height],
        Arrangement::Rings(_) => {
            let under = if roomy { height.saturating_sub(UNDER_RING) } else { height };
            let mut talls = vec![under / STEP * STEP, height];
            talls.dedup();
            talls
        }
    }
}

/// A picture under the drawing, and in which row under it.
pub(super) type Under = Option<(Extent, u16)>;

/// Columns that drawing and picture take, what the drawing takes of them, and where its picture goes under
/// it; `None` where they do not fit.
pub(super) fn column(
    view: &SessionView,
    Room { width, height, .. }: Room,
    detail: Detail,
    (extent, tall): (Option<Extent>, u16),
) -> Option<(u16, (u16, u16), Under)> {
    let engine = view.engine.as_ref()?;
    let drawn = engine.size(detail, offered(engine, width, detail, tall), tall)?;
    let (Some(extent), Some(picture)) = (extent, &view.picture) else {
        return Some((drawn.0, (drawn.0, tall), None));
    };
    // The picture may be wider than the engine, which stays where it is.
    let wider = PICTURE.min(width.saturating_sub(READABLE + GAP));
    let (columns, at) = (drawn.0.max(wider), drawn.1 + 1);
    let fits = picture.fits(extent, columns, height.checked_sub(at)?);
    fits.then_some((columns, (drawn.0, tall), Some((extent, at))))
}

/// Columns that an engine is offered: a ring so many that it is one, where the question keeps enough.
fn offered(engine: &Drawing, width: u16, detail: Detail, tall: u16) -> u16 {
    let usual = width.saturating_sub(QUESTION + GAP);
    let ring = RING.min(width.saturating_sub(BESIDE_RING + GAP));
    if ring > usual && engine.is_ring(detail, ring, tall) { ring } else { usual }
}
