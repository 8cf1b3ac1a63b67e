//! The engine in as few rows as it takes: each bank in one, a sign a valve, for windows in which it cannot
//! be drawn as it lies. Banks stand side by side where they fit.

use super::engine::{BankView, CylinderView, Detail, EngineView};
use super::text;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Blanks between banks in one row.
const BETWEEN: u16 = 2;
/// What stands between banks without names.
const BANKS: &str = " | ";

/// Rows of pieces, each with its role.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strip(Vec<Vec<(String, Role)>>);

impl Strip {
    /// Makes the strip of an engine, no wider than this; `None` where a bank is wider.
    pub fn new(engine: &EngineView, width: u16) -> Option<Strip> {
        Strip::of(engine.banks.iter().map(pieces), " ".repeat(usize::from(BETWEEN)), width)
    }

    /// The same without the banks' names, for windows in which it takes fewer rows so.
    pub fn unnamed(engine: &EngineView, width: u16) -> Option<Strip> {
        let unnamed = |bank: &BankView| {
            let mut pieces = pieces(bank);
            pieces.remove(0);
            if let Some((first, _)) = pieces.first_mut() {
                *first = first.trim_start().to_owned();
            }
            pieces
        };
        Strip::of(engine.banks.iter().map(unnamed), BANKS.into(), width)
    }

    fn of(
        banks: impl Iterator<Item = Vec<(String, Role)>>,
        between: String,
        width: u16,
    ) -> Option<Strip> {
        let mut rows: Vec<Vec<(String, Role)>> = Vec::new();
        for mut pieces in banks {
            if columns(&pieces) > width {
                return None;
            }
            match rows.last_mut() {
                Some(row) if columns(row) + text::columns(&between) + columns(&pieces) <= width => {
                    row.push((between.clone(), Role::Text));
                    row.append(&mut pieces);
                }
                Some(_) | None => rows.push(pieces),
            }
        }
        Some(Strip(rows))
    }

    /// Returns how many rows it takes.
    pub fn rows(&self) -> u16 {
        u16::try_from(self.0.len()).unwrap_or(u16::MAX)
    }

    /// Paints it from the top of an area.
    pub fn paint(&self, theme: Theme, area: Rect, buf: &mut Buffer) {
        for (pieces, row) in self.0.iter().zip(area.rows()) {
            let mut rest = row;
            for (words, role) in pieces {
                let after = text::put(words, theme.style(*role), rest, buf);
                rest = Rect { x: after, width: row.right().saturating_sub(after), ..row };
            }
        }
    }
}

fn columns(pieces: &[(String, Role)]) -> u16 {
    pieces.iter().fold(0, |sum, (words, _)| sum.saturating_add(text::columns(words)))
}

/// A bank by its name, then each cylinder with its valves as they lie: `left (2)E.I. 4 E.I.`
fn pieces(bank: &BankView) -> Vec<(String, Role)> {
    let of = |cylinder: &CylinderView| {
        let mut pieces = cylinder.pieces(Detail::Signs);
        if let Some((name, _)) = pieces.first_mut() {
            // Without the manual's own label, and one blank before each.
            *name = format!(" {}", cylinder.around(number(cylinder)).trim());
        }
        let space = cylinder.part.around("").trim().is_empty();
        if let Some((first, _)) = pieces.get_mut(1).filter(|_| space) {
            first.insert(0, ' ');
        }
        pieces
    };
    let name = [(bank.name.clone(), Role::Text)].into_iter();
    name.chain(bank.cylinders.iter().flat_map(of)).collect()
}

fn number(cylinder: &CylinderView) -> &str {
    cylinder.name.split('/').next().unwrap_or_default()
}
