//! A clearance that no example of its kind comes near, or a limit far from its target: a point or a unit
//! gone wrong, most likely.
//!
//! It is asked about before anything is written, never refused: the mechanic may be right.

use super::{Field, Form};
use crate::domain::profile::{Adjuster, Facts};
use crate::domain::units::{CLEARANCE, Length, LengthUnit};

/// How many times the largest example, or which part of the smallest, a target may be at most. Clearances
/// of one kind of adjuster span a factor of about five; a point gone wrong is a factor of ten, a unit 25.
const FAR: f64 = 2.5;
/// A point gone wrong. Where the examples lie far apart, less than [`FAR`] is believed, so that ten times
/// the smallest of them and a tenth of the largest are always asked about.
const POINT: f64 = 10.0;
/// How many times its target a limit may be, or which part of it: from 8 on a reading is asked about, too
/// (`domain::odd`).
const LIMIT: f64 = 8.0;
/// How far beyond the examples a figure may be that is proposed in its place.
const NEAR: f64 = 1.5;
/// Most figures that are proposed in its place.
const MEANT: usize = 2;

/// A figure that is asked about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// The field's path.
    pub path: String,
    /// What stands in it.
    pub text: String,
    /// The question, with what it stands on.
    pub words: String,
    /// The question alone, for beside the field.
    pub asked: String,
    /// What may have been meant, likeliest first.
    pub meant: Vec<String>,
}

impl Form {
    /// Lists the targets that are far from every example of their kind, and the limits far from theirs.
    pub fn doubts(&self) -> Vec<Doubt> {
        self.all_fields().iter().filter_map(|field| self.doubt(field)).collect()
    }

    /// Asks about a field, where it is a target far from every example of its kind, or a limit far from
    /// its target.
    pub fn doubt(&self, field: &Field) -> Option<Doubt> {
        let (valve, figure) = field.path.rsplit_once('.')?;
        let (length, unit) = self.length(&field.path)?;
        let size = nm(length);
        let both = |size: f64| Length::from_nm(size.round() as i64).both(unit);
        let (likely, beside) = match figure {
            "target" => {
                let (least, most) = self.examples()?;
                let far = (0.99 * POINT * least / most).clamp(1.0, FAR);
                if (least / far..=most * far).contains(&size) {
                    return None;
                }
                let range = format!("{} to {}", both(least), both(most));
                let beside = format!("examples that are set so have {range}");
                ((least / NEAR, most * NEAR), beside)
            }
            "least" | "most" => {
                let target = nm(self.length(&format!("{valve}.target"))?.0);
                let apart = if figure == "least" { target / size } else { size / target };
                if size == 0.0 || apart < LIMIT {
                    return None;
                }
                // A least is no more than its target, a most no less: what crosses it was not meant.
                let likely = match figure {
                    "least" => (target / FAR, target),
                    _ => (target, target * FAR),
                };
                (likely, format!("its target is {}", both(target)))
            }
            _ => return None,
        };
        let mut meant: Vec<String> = slips(size, unit)
            .into_iter()
            .filter(|(size, _)| (likely.0..=likely.1).contains(size))
            .map(|(size, unit)| Length::from_nm(size.round() as i64).text(unit))
            .collect();
        meant.truncate(MEANT);
        let asked = match meant.as_slice() {
            [] => "Is it right?".to_string(),
            meant => format!("Did you mean {}?", meant.join(" or ")),
        };
        // The question first: a small window cuts the end.
        let words = format!("{asked} {} is {}; {beside}.", field.label, length.both(unit));
        let text = self.text(&field.path).trim().to_string();
        Some(Doubt { path: field.path.clone(), text, words, asked, meant })
    }

    fn length(&self, path: &str) -> Option<(Length, LengthUnit)> {
        Length::parse_with_unit(self.text(path).trim(), CLEARANCE).ok()
    }

    /// Returns the smallest and the largest target of the known kinds that are set in the same way, of the
    /// same shape where there are such.
    fn examples(&self) -> Option<(f64, f64)> {
        let kind = self.text("adjuster.kind");
        let set = |facts: &Facts| kind.is_empty() || word(&facts.adjuster) == kind;
        let lies = |facts: &Facts| Some(facts.layout.shape) == self.shape();
        let alike = self.range(|facts| set(facts) && lies(facts));
        alike.or_else(|| self.range(set))
    }

    fn range(&self, fits: impl Fn(&Facts) -> bool) -> Option<(f64, f64)> {
        let fits = |facts: &&Facts| fits(facts);
        let targets = self.known.iter().filter(fits).flat_map(|facts| {
            let both = [&facts.intake, &facts.exhaust].into_iter();
            both.flat_map(|spec| [spec.cold, spec.hot]).flatten().map(|figures| nm(figures.target))
        });
        targets.fold(None, |range: Option<(f64, f64)>, target| {
            let (least, most) = range.unwrap_or((target, target));
            Some((least.min(target), most.max(target)))
        })
    }
}

fn word(adjuster: &Adjuster) -> &'static str {
    match adjuster {
        Adjuster::Screw(_) => "screw",
        Adjuster::Shim { .. } => "shim",
        Adjuster::Pushrod { .. } => "pushrod",
        Adjuster::None => "none",
    }
}

fn nm(length: Length) -> f64 {
    length.nm() as f64
}

/// What a figure may have been meant for: the point, the unit, thousandths told as whole ones.
fn slips(size: f64, unit: LengthUnit) -> Vec<(f64, LengthUnit)> {
    let other = unit.other();
    let in_other = size / unit.nm() * other.nm();
    vec![
        (size / 10.0, unit),
        (size * 10.0, unit),
        (in_other, other),
        (size / 100.0, unit),
        (size / 1000.0, unit),
    ]
}
