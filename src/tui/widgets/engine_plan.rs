//! Where the cylinders lie on the drawing: an engine seen from above with its front at the top, a
//! radial seen from the rear. Right and left are as seen from the rear in both.

use super::engine::{Arrangement, Detail, EngineView};
use super::engine_lie::has_gap;
use super::text;
use crate::domain::profile::{Bank, End, Facts, Shape, Side};

/// How an engine lies on the drawing.
pub struct Lie {
    /// Columns or rings.
    pub arrangement: Arrangement,
    /// Banks from left to right.
    pub banks: Vec<Bank>,
    /// True where the profile lists its cylinders from the rear, so that they must be turned round.
    pub turned_round: bool,
    /// What is written above.
    pub above: String,
    /// What is written below.
    pub below: String,
}

/// Works out how an engine lies.
pub fn lie(facts: &Facts) -> Lie {
    let mut banks = facts.layout.banks.clone();
    match facts.layout.shape {
        Shape::Radial => Lie {
            arrangement: Arrangement::Rings(banks.iter().map(angles).collect()),
            banks,
            turned_round: false,
            above: String::new(),
            below: String::new(),
        },
        Shape::Inline | Shape::Vee | Shape::Opposed => {
            banks.sort_by_key(|bank| match bank.side {
                Some(Side::Left) => 0,
                None => 1,
                Some(Side::Right) => 2,
            });
            let (above, below) = ends(facts);
            Lie {
                arrangement: Arrangement::Columns,
                banks,
                turned_round: listed_from_rear(facts),
                above,
                below,
            }
        }
    }
}

/// Degrees clockwise from the top of each cylinder of a radial's row.
fn angles(bank: &Bank) -> Vec<f64> {
    let step = 360.0 / f64::from(u32::try_from(bank.cylinders.len().max(1)).unwrap_or(u32::MAX));
    std::iter::successors(Some(bank.first_at), |angle| Some(angle + step))
        .take(bank.cylinders.len())
        .collect()
}

fn propeller_at_rear(facts: &Facts) -> bool {
    facts.rotation.as_ref().is_some_and(|rotation| rotation.propeller_at == End::Rear)
}

fn listed_from_rear(facts: &Facts) -> bool {
    match facts.layout.listed_from {
        End::Front => false,
        End::Rear => true,
        // The contract: propeller and timing end are the front, unless the propeller is at the rear.
        End::Propeller | End::Timing => propeller_at_rear(facts),
        End::Accessory | End::Flywheel => !propeller_at_rear(facts),
    }
}

/// What to write at the front and at the rear end.
fn ends(facts: &Facts) -> (String, String) {
    let propeller = facts.rotation.as_ref().is_some_and(|rotation| rotation.by_propeller())
        || facts.layout.listed_from == End::Propeller;
    match (propeller, propeller_at_rear(facts)) {
        (true, false) => ("propeller end".into(), "rear".into()),
        (true, true) => ("front".into(), "propeller end".into()),
        (false, _) => ("front".into(), "rear".into()),
    }
}

/// A cylinder's place on the drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Which bank.
    pub bank: usize,
    /// Which place in the bank.
    pub place: usize,
    /// Column.
    pub x: u16,
    /// Row.
    pub y: u16,
    /// Columns.
    pub width: u16,
    /// Rows.
    pub height: u16,
}

/// Words on the drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caption {
    /// What is written.
    pub text: String,
    /// Column.
    pub x: u16,
    /// Row.
    pub y: u16,
}

/// A drawing with everything in its place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// Cylinders.
    pub cells: Vec<Cell>,
    /// Words.
    pub captions: Vec<Caption>,
    /// Columns taken.
    pub width: u16,
    /// Rows taken.
    pub height: u16,
}

/// How the cylinders are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lay {
    /// As they lie on the engine.
    AsItLies,
    /// Of a radial a row as a list, clockwise from the top.
    Listed,
}

const GAP: u16 = 2;

impl Plan {
    /// Lays an engine out inside a width and height; `None` where it does not fit.
    pub fn new(
        view: &EngineView,
        detail: Detail,
        lay: Lay,
        width: u16,
        height: u16,
    ) -> Option<Plan> {
        let size = cell_size(view, detail);
        match (&view.arrangement, detail, lay) {
            // Lines of words make a ring wider than it helps.
            (Arrangement::Rings(_), Detail::Words, _) => None,
            (_, _, Lay::Listed) => {
                Some(columns(view, size)).filter(|plan| plan.fits(width, height))
            }
            (_, _, Lay::AsItLies) => Plan::of_cells(view, size, width, height),
        }
    }

    /// Lays out cells of so many columns and rows, as they lie on the engine; `None` where they do not fit.
    pub fn of_cells(view: &EngineView, size: (u16, u16), width: u16, height: u16) -> Option<Plan> {
        let plan = match &view.arrangement {
            Arrangement::Columns => columns(view, size),
            Arrangement::Lines => lines(view, size),
            Arrangement::Rings(angles) => rings(view, angles, size, width, height)?,
        };
        plan.fits(width, height).then_some(plan)
    }

    fn fits(&self, width: u16, height: u16) -> bool {
        self.width <= width && self.height <= height
    }
}

/// Columns and rows of a cylinder's cell; all cells of an engine are alike.
fn cell_size(view: &EngineView, detail: Detail) -> (u16, u16) {
    let cylinders = view.banks.iter().flat_map(|bank| &bank.cylinders);
    let sizes = cylinders.map(|cylinder| {
        let pieces = cylinder.pieces(detail);
        let widths = pieces.iter().map(|(piece, _)| text::columns(piece));
        let count = u16::try_from(pieces.len()).unwrap_or(u16::MAX);
        match detail {
            Detail::Boxes => (widths.max().unwrap_or(0).saturating_add(2), count.saturating_add(2)),
            Detail::Marks => {
                let (name, marks) = pieces.split_at(1);
                let wide = |pieces: &[(String, _)]| {
                    pieces.iter().map(|(piece, _)| text::columns(piece)).sum::<u16>()
                };
                (wide(name).max(wide(marks) + cylinder.marks_indent()), 2)
            }
            Detail::Words | Detail::Signs => {
                let gaps = (0..pieces.len()).filter(|place| has_gap(&pieces, *place)).count();
                (widths.sum::<u16>().saturating_add(u16::try_from(gaps).unwrap_or(0)), 1)
            }
        }
    });
    sizes.fold((1, 1), |(width, height), size| (width.max(size.0), height.max(size.1)))
}

fn columns(view: &EngineView, (cell_width, cell_height): (u16, u16)) -> Plan {
    let banks = u16::try_from(view.banks.len()).unwrap_or(0);
    let longest = view.banks.iter().map(|bank| bank.cylinders.len()).max().unwrap_or(0);
    let longest = u16::try_from(longest).unwrap_or(u16::MAX);
    let names = view.banks.iter().map(|bank| text::columns(&bank.name));
    let column = names.fold(cell_width, u16::max);
    // A list is no picture: it is said in which order its lines stand.
    let seen = view.order_words().unwrap_or_else(|| view.seen.clone());
    let width = column
        .saturating_mul(banks)
        .saturating_add(GAP.saturating_mul(banks.saturating_sub(1)))
        .max(text::columns(&view.above))
        .max(text::columns(&view.below))
        .max(text::columns(&seen));
    let middle = |words: &str| width.saturating_sub(text::columns(words)) / 2;
    let mut plan = Plan { width, ..Plan::default() };
    plan.captions.push(Caption { text: view.above.clone(), x: middle(&view.above), y: 0 });
    for (bank_at, bank) in view.banks.iter().enumerate() {
        let x = u16::try_from(bank_at).unwrap_or(0).saturating_mul(column.saturating_add(GAP));
        plan.captions.push(Caption { text: bank.name.clone(), x: x.saturating_add(1), y: 1 });
        for (down, place) in view.in_order(bank_at).into_iter().enumerate() {
            let y = u16::try_from(down).unwrap_or(u16::MAX).saturating_mul(cell_height);
            let y = y.saturating_add(2);
            plan.cells.push(Cell {
                bank: bank_at,
                place,
                x,
                y,
                width: cell_width,
                height: cell_height,
            });
        }
    }
    plan.height = longest.saturating_mul(cell_height).saturating_add(2);
    if !view.below.is_empty() {
        plan.captions.push(Caption {
            text: view.below.clone(),
            x: middle(&view.below),
            y: plan.height,
        });
        plan.height = plan.height.saturating_add(1);
    }
    say_from_where(view, &seen, &mut plan);
    plan
}

/// Writes under the engine what it is and from where it is seen; that it makes nothing wider.
fn say_from_where(view: &EngineView, seen: &str, plan: &mut Plan) {
    let shape = &view.shape;
    let short = seen.replace("seen from", "from");
    let told = [
        format!("{shape}, {seen}"),
        format!("{shape}, {short}"),
        format!("{shape}, {}", short.replace("from the", "from")),
        format!("{shape} {}", short.replace("from the", "from")),
    ];
    let fits = |told: &&String| !shape.is_empty() && text::columns(told) <= plan.width;
    let seen = told.iter().find(fits).map_or(seen, String::as_str);
    let x = plan.width.saturating_sub(text::columns(seen)) / 2;
    plan.captions.push(Caption { text: seen.to_owned(), x, y: plan.height });
    plan.height = plan.height.saturating_add(1);
}

/// Banks as lines, the far one at the top; the engine's ends are named at the left and the right.
fn lines(view: &EngineView, (cell_width, cell_height): (u16, u16)) -> Plan {
    let longest = view.banks.iter().map(|bank| bank.cylinders.len()).max().unwrap_or(0);
    let longest = u16::try_from(longest).unwrap_or(u16::MAX);
    let names = view.banks.iter().map(|bank| text::columns(&bank.name));
    let ends = text::columns(&view.above).saturating_add(text::columns(&view.below));
    let width = longest
        .saturating_mul(cell_width.saturating_add(1))
        .saturating_sub(1)
        .max(ends.saturating_add(GAP))
        .max(names.max().unwrap_or(0).saturating_add(1))
        .max(text::columns(&view.seen));
    let mut plan = Plan { width, ..Plan::default() };
    let right = width.saturating_sub(text::columns(&view.below));
    plan.captions.push(Caption { text: view.above.clone(), x: 0, y: 0 });
    plan.captions.push(Caption { text: view.below.clone(), x: right, y: 0 });
    plan.height = 1;
    for (bank_at, bank) in view.banks.iter().enumerate() {
        plan.captions.push(Caption { text: bank.name.clone(), x: 1, y: plan.height });
        plan.height = plan.height.saturating_add(1);
        for place in 0..bank.cylinders.len() {
            let along = u16::try_from(place).unwrap_or(u16::MAX);
            plan.cells.push(Cell {
                bank: bank_at,
                place,
                x: along.saturating_mul(cell_width.saturating_add(1)),
                y: plan.height,
                width: cell_width,
                height: cell_height,
            });
        }
        plan.height = plan.height.saturating_add(cell_height);
    }
    say_from_where(view, &view.seen, &mut plan);
    plan
}

/// Rings beside each other, or one above the other where there is more height than width.
fn rings(
    view: &EngineView,
    angles: &[Vec<f64>],
    size: (u16, u16),
    width: u16,
    height: u16,
) -> Option<Plan> {
    let count = u16::try_from(angles.len()).ok().filter(|count| *count > 0)?;
    // In a box the valves have a row each, however they lie.
    let in_rows = view.in_rows_words().filter(|words| size.1 > 2 && text::columns(words) <= width);
    let seen = in_rows.unwrap_or_else(|| view.seen.clone());
    let beside = |across: u16, down: u16| {
        let room = (
            (width.checked_sub(GAP.saturating_mul(across - 1))?) / across,
            height.checked_sub(1)? / down,
        );
        let mut plan = Plan {
            captions: vec![Caption { text: seen.clone(), x: 0, y: 0 }],
            width: text::columns(&seen),
            ..Plan::default()
        };
        let mut corner = (0_u16, 1_u16);
        for (bank, angles) in angles.iter().enumerate() {
            let ring = ring(angles, size, room)?;
            let name = &view.banks.get(bank)?.name;
            let caption = Caption {
                text: if count > 1 { name.clone() } else { String::new() },
                x: corner.0 + ring.width.saturating_sub(text::columns(name)) / 2,
                y: corner.1 + ring.height / 2,
            };
            plan.captions.push(caption);
            for cell in ring.cells {
                plan.cells.push(Cell { bank, x: cell.x + corner.0, y: cell.y + corner.1, ..cell });
            }
            plan.width = plan.width.max(corner.0 + ring.width);
            plan.height = plan.height.max(corner.1 + ring.height);
            corner = if across > 1 { (plan.width + GAP, 1) } else { (0, plan.height) };
        }
        Some(plan)
    };
    let side_by_side = beside(count, 1);
    if count == 1 { side_by_side } else { side_by_side.or_else(|| beside(1, count)) }
}

/// The narrowest ring on which no two cells touch, as round as the height allows.
fn ring(angles: &[f64], (cell_width, cell_height): (u16, u16), room: (u16, u16)) -> Option<Plan> {
    let tallest = room.1.checked_sub(cell_height)?;
    let widest = room.0.checked_sub(cell_width)?;
    let rings = (2..=tallest).filter_map(|rise| {
        let round = narrowest(angles, rise, cell_width, cell_height)?.max(cell_width);
        (round <= widest).then_some((rise, round))
    });
    // A cell of text is twice as high as it is wide.
    let (rise, round) =
        rings.min_by_key(|&(rise, round)| (round.abs_diff(rise.saturating_mul(2)), round))?;
    let cell = |(place, angle): (usize, &f64)| {
        let turn = angle.to_radians();
        let (x, y) = (on_ring(round, libm::sin(turn)), on_ring(rise, -libm::cos(turn)));
        Cell { bank: 0, place, x, y, width: cell_width, height: cell_height }
    };
    Some(Plan {
        cells: angles.iter().enumerate().map(cell).collect(),
        captions: Vec::new(),
        width: round + cell_width,
        height: rise + cell_height,
    })
}

/// How wide a ring of this height must be so that cells on the same rows stand apart.
fn narrowest(angles: &[f64], rise: u16, cell_width: u16, cell_height: u16) -> Option<u16> {
    let places: Vec<(f64, u16)> = angles
        .iter()
        .map(|angle| (libm::sin(angle.to_radians()), on_ring(rise, -libm::cos(angle.to_radians()))))
        .collect();
    let mut needed = 0.0_f64;
    for (at, (x, y)) in places.iter().enumerate() {
        for (other_x, other_y) in places.iter().skip(at + 1) {
            if y.abs_diff(*other_y) < cell_height {
                // Two columns between them; rounding to cells may take one away.
                needed =
                    needed.max(2.0 * f64::from(cell_width.saturating_add(2)) / (x - other_x).abs());
            }
        }
    }
    (needed < f64::from(u16::MAX)).then_some(needed.ceil() as u16)
}

/// A place on an axis of this length, for a share from -1 to 1.
fn on_ring(length: u16, share: f64) -> u16 {
    let place = f64::from(length) * (1.0 + share) / 2.0;
    // In 0..=length by construction; the cast saturates.
    place.round() as u16
}
