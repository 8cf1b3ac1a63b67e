//! Beside a ring, which stays as it is from one question to the next: lines of how give way to it, but for those
//! that have to be read, then what was read just now loses its large letters.

use super::beside::{Aside, column};
use super::fit::{Fit, Laid, Spread, parts, rows, set_beside, set_rows, verdict};
use super::more::{lines_of, mark, shortened};
use super::{GAP, SessionView};
use crate::tui::theme::Role;

/// Finds what is shown so; `None` where not even what has to be read has room.
pub(super) fn beside_a_ring(
    view: &SessionView,
    (width, height): (u16, u16),
    ring: &Aside,
    (least, window): (u16, u16),
) -> Option<Fit> {
    let detail = ring.detail?;
    let (columns, drawn, picture) = column(view, (width, height), detail, (None, ring.tall))?;
    let side = columns + GAP;
    let wide = width.checked_sub(side)?;
    let whole = usize::from(view.prompt.field.whole).min(view.prompt.lines.len());
    let read = view.prompt.lines.iter().take(whole);
    let kept = read.map(|line| lines_of(line, wide, Role::Text).len()).sum::<usize>();
    [true, false].into_iter().find_map(|large| {
        let verdict = verdict(view, wide, window).filter(|_| large);
        let mut parts = parts(view, wide, wide, Spread::SideBySide);
        let told = std::mem::take(&mut parts[2]);
        let with = |parts| Laid {
            side,
            drawn,
            picture,
            detail: Some(detail),
            verdict: verdict.clone(),
            parts,
        };
        let bare = set_beside(view, (wide, height), with(parts.clone()), (least, window))?;
        // The large words take as many rows as they are left: in the fewest rows they are as small as may be.
        let large_rows = least + set_rows(&bare.then) + u16::from(bare.then.is_some());
        let taken = parts.iter().map(|part| rows(part.len())).sum::<u16>() + set_rows(&verdict);
        let large_rows = if bare.big.is_some() { large_rows } else { 0 };
        let room = usize::from(height.checked_sub(taken + large_rows)?);
        let hidden = told.len().saturating_sub(room);
        if room < kept {
            return None;
        }
        parts[2] = if hidden > 0 && room == kept {
            mark(&mut parts, hidden, wide);
            told.into_iter().take(room).collect()
        } else {
            shortened(told, room, wide)
        };
        set_beside(view, (wide, height), with(parts), (least, window))
    })
}
