//! The engine as it lies before the mechanic, with how each valve stands.
//!
//! Every standing has a word and a sign of its own, so nothing hangs on colour. This file decides
//! what is shown and in which of several degrees of detail; `engine_plan` decides where it lies.

use super::engine_lie::{OVER, has_gap};
use super::engine_plan::{Lay, Plan};
use super::engine_seen::as_they_lie;
pub use super::engine_seen::{Axis, Lie, Order};
pub(super) use super::standing::role;
pub use super::standing::{sign, word};
use super::text;
use crate::domain::profile::{Bank, EngineProfile, Shape};
use crate::domain::valve::{Cylinder, Kind, Standing, Valve};
use crate::guide::kinds;
use crate::report::end_view::EndView;
use crate::tui::theme::{Role, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Where things lie: across the picture and down it, in no unit but order.
#[derive(Clone, Debug, PartialEq)]
pub enum Arrangement {
    /// Banks as columns, cylinders from the top down, seen from above.
    Columns,
    /// Banks as lines, cylinders from left to right, seen from above by who stands at the side.
    Lines,
    /// Rows of a radial as rings; degrees clockwise from the top, a cylinder.
    Rings(Vec<Vec<f64>>),
}

/// The engine, put into words.
#[derive(Clone, Debug, PartialEq)]
pub struct EngineView {
    /// How the banks lie.
    pub arrangement: Arrangement,
    /// What stands above the picture: "propeller end"; of lines, at its left.
    pub above: String,
    /// What stands below it; of lines, at its right.
    pub below: String,
    /// From where it is seen: "seen from the rear".
    pub seen: String,
    /// What stands before that: "vee 60°"; nothing of a radial, which shows what it is.
    pub shape: String,
    /// How it looks from its end; `None` of a radial, and where that is not told.
    pub end: Option<EndView>,
    /// Banks from left to right or from the top down, cylinders from the top, from the left or
    /// clockwise.
    pub banks: Vec<BankView>,
}

/// A bank, or a row of a radial.
#[derive(Clone, Debug, PartialEq)]
pub struct BankView {
    /// Its name.
    pub name: String,
    /// Its cylinders.
    pub cylinders: Vec<CylinderView>,
    /// What the order of each cylinder's valves tells of how they lie.
    pub order: Order,
}

/// A cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderView {
    /// Its number, and the manual's own label where it has one.
    pub name: String,
    /// What it is for now.
    pub part: Part,
    /// The valves that are gauged, where these are not all of it.
    pub only: Vec<Valve>,
    /// Its valves with how they stand, in the order in which they lie: from the left, or from the top.
    pub valves: Vec<(Valve, Standing)>,
    /// How they lie in that order.
    pub lie: Lie,
}

/// What a cylinder is for at this stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Nothing.
    Idle,
    /// Its sign is looked for.
    Watched,
    /// Its valves are gauged.
    Gauged,
    /// Both.
    Both,
}

/// How much of each cylinder is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Detail {
    /// A box with a line a valve, in words.
    Boxes,
    /// A line a cylinder, in words.
    Words,
    /// A line a cylinder, in signs; their words stand beneath.
    Signs,
    /// Two short lines a cylinder, in signs: for many valves a cylinder, and where room is short.
    Marks,
}

impl Detail {
    /// From the most to the least.
    pub const ALL: [Detail; 4] = [Detail::Boxes, Detail::Words, Detail::Signs, Detail::Marks];
}

impl Part {
    fn new(watched: bool, gauged: bool) -> Part {
        match (watched, gauged) {
            (false, false) => Part::Idle,
            (true, false) => Part::Watched,
            (false, true) => Part::Gauged,
            (true, true) => Part::Both,
        }
    }

    /// Returns the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Part::Idle => "",
            Part::Watched => "WATCH",
            Part::Gauged => "GAUGE",
            Part::Both => "WATCH+GAUGE",
        }
    }

    /// Puts the sign for it around a cylinder's name.
    pub fn around(self, name: &str) -> String {
        match self {
            Part::Idle => format!(" {name} "),
            Part::Watched => format!("({name})"),
            Part::Gauged => format!("[{name}]"),
            Part::Both => format!("([{name}])"),
        }
    }
}

impl EngineView {
    /// Puts an engine into words.
    pub fn new(
        profile: &EngineProfile,
        standing: impl Fn(Valve) -> Standing,
        watched: Option<Cylinder>,
        gauged: &[Cylinder],
    ) -> EngineView {
        let lie = super::engine_plan::lie(profile);
        let banks = lie.banks.iter().map(|bank| {
            let cylinders = bank.cylinders.iter().enumerate().map(|(place, &cylinder)| {
                let (valves, lie) = as_they_lie(profile, bank, place, cylinder);
                CylinderView {
                    name: name(bank, place, cylinder),
                    part: Part::new(watched == Some(cylinder), gauged.contains(&cylinder)),
                    only: Vec::new(),
                    valves: valves.into_iter().map(|valve| (valve, standing(valve))).collect(),
                    lie,
                }
            });
            let mut cylinders: Vec<_> = cylinders.collect();
            if lie.turned_round {
                cylinders.reverse();
                if bank.valves_along.is_some() {
                    cylinders.iter_mut().for_each(|cylinder| cylinder.valves.reverse());
                }
            }
            BankView { name: bank.name.clone(), cylinders, order: Order::of(profile, bank) }
        });
        EngineView {
            banks: banks.collect(),
            arrangement: lie.arrangement,
            above: lie.above,
            below: lie.below,
            seen: "seen from the rear".into(),
            shape: match profile.layout.shape {
                Shape::Radial => String::new(),
                Shape::Inline | Shape::Vee | Shape::Opposed => kinds::shape(profile),
            },
            end: EndView::new(profile),
        }
    }

    /// Names the valves that a stop gauges where they are not all of their cylinder: "[4 I]".
    #[must_use]
    pub fn gauging(mut self, gauged: &[Valve]) -> EngineView {
        for cylinder in self.banks.iter_mut().flat_map(|bank| &mut bank.cylinders) {
            let gauged: Vec<Valve> = cylinder
                .valves
                .iter()
                .map(|(valve, _)| *valve)
                .filter(|one| gauged.contains(one))
                .collect();
            let here = matches!(cylinder.part, Part::Gauged | Part::Both);
            if here && !gauged.is_empty() && gauged.len() < cylinder.valves.len() {
                cylinder.only = gauged;
            }
        }
        self
    }

    /// Shows of a valve that is asked about only that it is.
    #[must_use]
    pub fn with_due(mut self, asked: Valve) -> EngineView {
        let cylinders = self.banks.iter_mut().flat_map(|bank| &mut bank.cylinders);
        let valves = cylinders.flat_map(|cylinder| &mut cylinder.valves);
        valves
            .filter(|(valve, _)| *valve == asked)
            .for_each(|(_, standing)| *standing = Standing::DueNow);
        self
    }

    /// Draws a kind of engine: how its cylinders lie and are numbered, and nothing of their valves.
    pub fn of_kind(profile: &EngineProfile) -> EngineView {
        let mut view = EngineView::new(profile, |_| Standing::NotYet, None, &[]);
        let cylinders = view.banks.iter_mut().flat_map(|bank| &mut bank.cylinders);
        cylinders.for_each(|cylinder| cylinder.valves.clear());
        view
    }

    pub(super) fn valves(&self) -> impl Iterator<Item = (Valve, Standing)> {
        let cylinders = self.banks.iter().flat_map(|bank| &bank.cylinders);
        cylinders.flat_map(|cylinder| cylinder.valves.iter().copied())
    }

    /// Lays the picture and the words beneath it out together; `None` where they do not fit. A radial is a
    /// ring of shorter lines before it is a list.
    fn lay(&self, detail: Detail, width: u16, height: u16) -> Option<(Plan, Vec<String>)> {
        let as_it_lies = |detail| self.lay_out(detail, Lay::AsItLies, width, height);
        let listed = || {
            let ringed = detail == Detail::Signs && as_it_lies(Detail::Marks).is_some();
            let lists = matches!(detail, Detail::Signs | Detail::Marks) && !ringed;
            let radial = matches!(self.arrangement, Arrangement::Rings(_));
            (radial && lists).then(|| self.lay_out(detail, Lay::Listed, width, height)).flatten()
        };
        as_it_lies(detail).or_else(listed)
    }

    fn lay_out(
        &self,
        detail: Detail,
        lay: Lay,
        width: u16,
        height: u16,
    ) -> Option<(Plan, Vec<String>)> {
        let items = match detail {
            Detail::Boxes | Detail::Words => Vec::new(),
            Detail::Signs | Detail::Marks => self.legend(),
        };
        let widest = items.iter().map(|item| text::columns(item)).max().unwrap_or(0);
        // A ring takes all the height it is offered, so what the words need is found out first. The words come
        // and go: it leaves room for some, so that it does not change with them.
        let rings = matches!(self.arrangement, Arrangement::Rings(_));
        let kept = if rings && !items.is_empty() { LEGEND } else { 0 };
        let fits = |room: &u16| Plan::new(self, detail, lay, width, *room).is_some();
        let mut room = height.checked_sub(kept).filter(fits).unwrap_or(height);
        loop {
            let plan = Plan::new(self, detail, lay, width, room)?;
            // As narrow as the picture if they fit beneath it so, else as wide as there is room.
            for wide in [plan.width.max(widest), width] {
                let beneath = text::wrap_items(&items, wide);
                let rows = u16::try_from(beneath.len()).unwrap_or(u16::MAX);
                if plan.height.saturating_add(rows) <= height && widest <= width {
                    return Some((plan, beneath));
                }
            }
            room = plan.height.min(height).checked_sub(1)?;
        }
    }

    /// Tells whether the cylinders of a radial lie in a ring, drawn so inside a width and height.
    pub fn is_ring(&self, detail: Detail, width: u16, height: u16) -> bool {
        matches!(self.arrangement, Arrangement::Rings(_))
            && self.lay_out(detail, Lay::AsItLies, width, height).is_some()
    }

    /// Returns the columns and rows that a picture of this detail takes inside a width and height;
    /// `None` where it does not fit.
    pub fn size(&self, detail: Detail, width: u16, height: u16) -> Option<(u16, u16)> {
        let (plan, beneath) = self.lay(detail, width, height)?;
        let words = beneath.iter().map(|line| text::columns(line)).max().unwrap_or(0);
        let rows = u16::try_from(beneath.len()).unwrap_or(u16::MAX);
        Some((plan.width.max(words), plan.height.saturating_add(rows)))
    }

    /// Paints the engine at the top left of an area, if it fits there, with its end view where a large window
    /// has free room under it.
    pub fn paint(&self, detail: Detail, theme: Theme, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if let Some(taken) = self.paint_alone(detail, theme, area, buf) {
            self.paint_end_under(taken, theme, area, buf);
        }
    }

    /// Paints the engine without its end view; returns the columns and rows that it took.
    pub fn paint_alone(
        &self,
        detail: Detail,
        theme: Theme,
        area: Rect,
        buf: &mut Buffer,
    ) -> Option<(u16, u16)> {
        let area = area.intersection(buf.area);
        let (plan, beneath) = self.lay(detail, area.width, area.height)?;
        let plain = theme.style(Role::Text);
        self.paint_captions(&plan, theme, area, buf);
        for cell in &plan.cells {
            let place = at(area, cell.x, cell.y, cell.width, cell.height);
            if let Some(cylinder) = self.cylinder(cell) {
                paint_cylinder(cylinder, detail, theme, place, buf);
            }
        }
        let under = at(area, 0, plan.height, area.width, area.height);
        let rows = text::put_lines(&beneath, plain, under, buf);
        Some((plan.width, plan.height + rows))
    }
}

/// Rows under a ring that are kept for the words of its signs.
const LEGEND: u16 = 3;

/// A place inside an area, cut to it.
pub(super) fn at(area: Rect, x: u16, y: u16, width: u16, height: u16) -> Rect {
    let (x, y) = (area.x.saturating_add(x), area.y.saturating_add(y));
    Rect { x, y, width, height }.intersection(area)
}

fn name(bank: &Bank, place: usize, cylinder: Cylinder) -> String {
    match bank.labels.get(place) {
        Some(label) if *label != cylinder.to_string() => format!("{cylinder}/{label}"),
        Some(_) | None => cylinder.to_string(),
    }
}

/// "IN" or "EX", with the number where a cylinder has several of a kind.
pub(super) fn short(valve: Valve, of: &CylinderView) -> String {
    let kind = match valve.kind {
        Kind::Intake => "IN",
        Kind::Exhaust => "EX",
    };
    let several = of.valves.iter().any(|(other, _)| other.kind == valve.kind && other.number > 1);
    if several { format!("{kind}{}", valve.number) } else { kind.to_owned() }
}

/// "I", "E", "I2": the first letter tells the kind.
fn letter(valve: Valve, of: &CylinderView) -> String {
    let name = short(valve, of);
    format!("{}{}", &name[..1], name.get(2..).unwrap_or_default())
}

impl CylinderView {
    /// Puts its sign around its name, or its number alone: `[4]`, `[4 I]` where not all of it is gauged.
    pub fn around(&self, name: &str) -> String {
        let letters: String = self.only.iter().map(|&valve| letter(valve, self)).collect();
        if letters.is_empty() {
            self.part.around(name)
        } else {
            self.part.around(&format!("{name} {letters}"))
        }
    }

    /// Returns the word for what it is for: "GAUGE", "GAUGE IN" where not all of it is gauged.
    pub(super) fn part_words(&self) -> String {
        let only = self.only.iter().map(|&valve| format!(" {}", short(valve, self)));
        format!("{}{}", self.part.word(), only.collect::<String>())
    }

    /// Returns the pieces of this cylinder's text, each with its role; a box has a line a piece.
    pub fn pieces(&self, detail: Detail) -> Vec<(String, Role)> {
        let head_role = if self.part == Part::Idle { Role::Text } else { Role::Title };
        let mut pieces = match detail {
            Detail::Boxes => {
                vec![(format!("{} {}", self.around(&self.name), self.part.word()), head_role)]
            }
            Detail::Words | Detail::Signs | Detail::Marks => {
                vec![(self.around(&self.name), head_role)]
            }
        };
        if detail == Detail::Marks {
            pieces.extend(self.marks());
            return pieces;
        }
        for (valve, standing) in self.listed(detail) {
            let text = match detail {
                Detail::Boxes => format!(" {:<3} {:<9} ", short(valve, self), word(standing)),
                Detail::Words => format!("{} {:<9}", short(valve, self), word(standing)),
                Detail::Signs | Detail::Marks => {
                    format!("{}{}", letter(valve, self), sign(standing))
                }
            };
            pieces.push((text, role(standing)));
            if detail == Detail::Signs && self.lies_right_above(valve) {
                pieces.push((OVER.into(), Role::Text));
            }
        }
        pieces
    }

    /// Returns the shortest pieces: "I", its signs, "E", its signs: the kinds as they lie, each kind's valves by
    /// number.
    fn marks(&self) -> Vec<(String, Role)> {
        let mut pieces = Vec::new();
        let mut kinds = [(Kind::Intake, "I"), (Kind::Exhaust, "E")];
        if self.valves.first().is_some_and(|(valve, _)| valve.kind == Kind::Exhaust) {
            kinds.reverse();
        }
        for (kind, letter) in kinds {
            let of_kind = |(valve, _): &&(Valve, Standing)| valve.kind == kind;
            let mut valves: Vec<_> = self.valves.iter().filter(of_kind).collect();
            valves.sort_by_key(|(valve, _)| valve.number);
            let over = !pieces.is_empty() && self.kinds_are_stacked();
            pieces.extend(over.then(|| (OVER.to_owned(), Role::Text)));
            pieces.extend(valves.iter().enumerate().map(|(at, &&(_, standing))| {
                let name = if at == 0 { letter } else { "" };
                (format!("{name}{}", sign(standing)), role(standing))
            }));
        }
        pieces
    }
}

fn paint_cylinder(
    cylinder: &CylinderView,
    detail: Detail,
    theme: Theme,
    area: Rect,
    buf: &mut Buffer,
) {
    let pieces = cylinder.pieces(detail);
    match detail {
        Detail::Boxes => {
            frame(theme, area, buf);
            let inside = Rect {
                x: area.x.saturating_add(1),
                y: area.y.saturating_add(1),
                width: area.width.saturating_sub(2),
                height: area.height.saturating_sub(2),
            };
            for ((text, role), row) in pieces.iter().zip(inside.rows()) {
                text::put(text, theme.style(*role), row, buf);
            }
        }
        Detail::Marks => {
            let mut pieces = pieces.iter();
            if let Some((name, role)) = pieces.next() {
                text::put(name, theme.style(*role), area, buf);
            }
            // The stroke takes the column of the indent.
            let indent = cylinder.marks_indent();
            let mut rest = at(area, indent, 1, area.width.saturating_sub(indent), 1);
            for (text, role) in pieces {
                let after = text::put(text, theme.style(*role), rest, buf);
                let width = rest.right().saturating_sub(after);
                rest = Rect { x: after.min(rest.right()), width, ..rest };
            }
        }
        Detail::Words | Detail::Signs => {
            let mut rest = area;
            for (place, (text, role)) in pieces.iter().enumerate() {
                let gap = u16::from(has_gap(&pieces, place));
                let after = text::put(text, theme.style(*role), rest, buf).saturating_add(gap);
                rest = Rect {
                    x: after.min(area.right()),
                    width: area.right().saturating_sub(after),
                    ..area
                };
            }
        }
    }
}

pub(super) fn frame(theme: Theme, area: Rect, buf: &mut Buffer) {
    use ratatui::widgets::{Block, Widget};
    Block::bordered().border_style(theme.style(Role::Text)).render(area, buf);
}
