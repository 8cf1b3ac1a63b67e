//! The engine in as few rows as it takes: each bank in one, a sign a valve, for windows in which it cannot
//! be drawn as it lies. Banks stand side by side where they fit. Behind them it is said from where they are seen:
//! from behind, as the names of banks are told, only where that takes no row; from anywhere else always.

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

/// The words of a bank that stay together: its name, then a cylinder each.
type Group = Vec<(String, Role)>;

impl Strip {
    /// Makes the strip of an engine, no wider than this; a bank that is wider goes on in the next row.
    /// `None` where a cylinder is wider.
    pub fn new(engine: &EngineView, width: u16) -> Option<Strip> {
        let between = || " ".repeat(usize::from(BETWEEN));
        let named = Strip::of(all_groups(engine).into_iter(), between(), width)?;
        // A row is no ring: where it costs no room it is said in which order the cylinders stand.
        let told = engine.order_words().and_then(|order| {
            let mut all = all_groups(engine);
            for name in all.iter_mut().filter_map(|groups| groups.first_mut()?.first_mut()) {
                name.0 = format!("{}, {order}:", name.0);
            }
            Strip::of(all.into_iter(), between(), width)
        });
        let told = told.filter(|told| told.rows() <= named.rows());
        Some(told.unwrap_or_else(|| named.seen(engine, width)))
    }

    /// The same without the banks' names, for windows in which it takes fewer rows so.
    pub fn unnamed(engine: &EngineView, width: u16) -> Option<Strip> {
        let unnamed = |mut groups: Vec<Group>| {
            groups.remove(0);
            groups.first_mut().into_iter().for_each(without_blank);
            groups
        };
        let banks = all_groups(engine).into_iter().map(unnamed);
        Some(Strip::of(banks, BANKS.into(), width)?.seen(engine, width))
    }

    /// Says from where it is seen.
    fn seen(mut self, engine: &EngineView, width: u16) -> Strip {
        let views = engine.view_words();
        let role = if engine.is_seen_from_rear() { Role::Text } else { Role::Title };
        let room = self.0.last().map_or(0, |row| width.saturating_sub(columns(row)));
        let fits = |view: &&String| text::columns(view) + BETWEEN <= room;
        match (views.iter().find(fits), self.0.last_mut()) {
            (Some(view), Some(row)) => {
                row.push((" ".repeat(usize::from(BETWEEN)), Role::Text));
                row.push((view.clone(), role));
            }
            (None, _) if !engine.is_seen_from_rear() => {
                self.0.extend(views.into_iter().next().map(|view| vec![(view, role)]));
            }
            (Some(_) | None, _) => {}
        }
        self
    }

    fn of(banks: impl Iterator<Item = Vec<Group>>, between: String, width: u16) -> Option<Strip> {
        let mut rows: Vec<Group> = Vec::new();
        for groups in banks {
            let mut bank = broken(groups, width)?;
            match (rows.last_mut(), bank.as_mut_slice()) {
                (Some(row), [one])
                    if columns(row) + text::columns(&between) + columns(one) <= width =>
                {
                    row.push((between.clone(), Role::Text));
                    row.append(one);
                }
                _ => rows.append(&mut bank),
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

/// A bank in as many rows as it needs; `None` where one of its cylinders is wider than a row.
fn broken(groups: Vec<Group>, width: u16) -> Option<Vec<Group>> {
    let mut rows: Vec<Group> = Vec::new();
    for mut group in groups {
        match rows.last_mut() {
            Some(row) if columns(row) + columns(&group) <= width => row.append(&mut group),
            Some(_) | None => {
                if !rows.is_empty() {
                    without_blank(&mut group);
                }
                if columns(&group) > width {
                    return None;
                }
                rows.push(group);
            }
        }
    }
    Some(rows)
}

fn without_blank(group: &mut Group) {
    if let Some((first, _)) = group.first_mut() {
        *first = first.trim_start().to_owned();
    }
}

fn all_groups(engine: &EngineView) -> Vec<Vec<Group>> {
    let banks = engine.banks.iter().enumerate();
    banks.map(|(at, bank)| groups(bank, &engine.in_order(at))).collect()
}

/// A bank by its name, then each cylinder with its valves as they lie: `left (2)E.I. 4 E.I.`
fn groups(bank: &BankView, order: &[usize]) -> Vec<Group> {
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
    let name = vec![(bank.name.clone(), Role::Text)];
    let cylinders = order.iter().filter_map(|place| bank.cylinders.get(*place));
    std::iter::once(name).chain(cylinders.map(of)).collect()
}

fn number(cylinder: &CylinderView) -> &str {
    cylinder.name.split('/').next().unwrap_or_default()
}
