//! What was typed, as a clean file has it: the sign of the unit, a point, whole words of choices.

use super::texts::{self, Kind};
use super::{Field, Form};
use crate::domain::units::{
    CLEARANCE, Length, LengthUnit, clean_length, clean_temperature, clean_torque,
};

const BLOCKS: [&str; 4] =
    ["valves.intake", "valves.exhaust", "valves.intake.hot", "valves.exhaust.hot"];
/// What is told of a valve, cold or hot.
const FIGURES: [&str; 5] = ["target", "least", "most", "set_least", "set_most"];

impl Form {
    /// Completes a field when it is left: the profile's unit, or the usual word, behind a number;
    /// the whole word of a choice that was begun or told by its number; figures written cleanly.
    pub fn complete(&mut self, field: &Field) {
        let text = self.text(&field.path).trim().to_string();
        let done = match field.kind {
            Kind::Choice(_) | Kind::YesNo => chosen(words_of(field.kind), &text),
            kind => texts::completed(kind, &text, self.unit_beside(field, &text)),
        };
        let done = done.unwrap_or(text);
        let clean = clean(field, &done).unwrap_or(done);
        if clean != self.text(&field.path) {
            self.set(&field.path, clean);
        }
        if field.kind == Kind::Length {
            self.complete_others(field);
        }
    }

    /// Figures that were left bare take the unit that is known now.
    fn complete_others(&mut self, field: &Field) {
        for other in self.all_fields() {
            let text = self.text(&other.path).trim().to_string();
            if other.kind != Kind::Length || other.path == field.path || !is_bare(&text) {
                continue;
            }
            let done = texts::completed(other.kind, &text, self.unit_beside(&other, &text));
            if let Some(done) = done.and_then(|done| clean(&other, &done)) {
                self.set(&other.path, done);
            }
        }
    }

    /// Tells whether a figure stands in a field of which nothing tells the unit.
    pub fn wants_unit(&self, field: &Field) -> bool {
        let text = self.text(&field.path).trim();
        field.kind == Kind::Length && is_bare(text) && self.unit_beside(field, text).is_none()
    }

    /// Puts a unit behind the bare figure in a field.
    pub fn put_unit(&mut self, field: &Field, unit: LengthUnit) {
        let text = self.text(&field.path).trim().to_string();
        if let Some(done) = texts::completed(field.kind, &text, Some(unit)) {
            self.set(&field.path, done);
        }
    }

    /// Returns the unit that a bare figure is told in: as the figures beside it agree, else as the profile
    /// has it; `None` where they do not agree, so that it is asked for.
    fn unit_beside(&self, field: &Field, text: &str) -> Option<LengthUnit> {
        let (block, name) = field.path.rsplit_once('.')?;
        let unit = |path: &str| Some(Length::parse_with_unit(self.text(path), CLEARANCE).ok()?.1);
        let told = |names: &[&str], block: &str| -> Vec<LengthUnit> {
            let paths = names.iter().map(|name| format!("{block}.{name}"));
            paths.filter(|path| *path != field.path).filter_map(|path| unit(&path)).collect()
        };
        let beside = match name {
            // A pitch of whole inches there is none: it is in mm, or slipped.
            "pitch" if self.unit() == Some(LengthUnit::Inch) => {
                return self.unit().filter(|_| texts::number(text) < Some(texts::WHOLE_FROM));
            }
            _ if block == "adjuster" => told(&["from", "to", "step"], block),
            _ => told(&FIGURES, block),
        };
        let all = BLOCKS.iter().flat_map(|block| told(&FIGURES, block)).collect();
        let groups = [beside, told(&["target"], "valves.intake"), all];
        let units = groups.into_iter().find(|units| !units.is_empty())?;
        let first = units.first().copied();
        first.filter(|first| units.iter().all(|unit| unit == first))
    }

    /// Completes every field, as for a file that is to be written.
    pub fn tidy(&mut self) {
        for field in self.all_fields() {
            self.complete(&field);
        }
    }

    /// Returns the word that a digit chooses in a field with a choice.
    pub fn chosen_by(&self, field: &Field, digit: char) -> Option<&'static str> {
        let place = usize::try_from(digit.to_digit(10)?).ok()?.checked_sub(1)?;
        words_of(field.kind).get(place).copied()
    }

    /// Tells whether one of the words to choose from stands in a field: what is typed then begins anew.
    pub fn has_chosen(&self, field: &Field) -> bool {
        words_of(field.kind).contains(&self.text(&field.path))
    }
}

/// Tells whether a text is a number and nothing else.
fn is_bare(text: &str) -> bool {
    texts::number(text).is_some()
}

/// Returns the words that a field offers; none where it is no choice.
pub fn words_of(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Choice(words) => words,
        Kind::YesNo => &["yes", "no"],
        Kind::Words
        | Kind::Caution
        | Kind::Whole
        | Kind::Number
        | Kind::Order
        | Kind::Numbers
        | Kind::Threads
        | Kind::Length
        | Kind::Lengths
        | Kind::Angle(_)
        | Kind::WordList
        | Kind::Labels
        | Kind::Hardware
        | Kind::Stop => &[],
    }
}

/// Returns the word that a number or the beginning of a word stands for.
fn chosen(words: &[&str], text: &str) -> Option<String> {
    if text.is_empty() || words.contains(&text) {
        return None;
    }
    let by_number = text.parse::<usize>().ok().and_then(|number| words.get(number.checked_sub(1)?));
    let typed = text.to_lowercase();
    let mut begun = words.iter().filter(|word| word.starts_with(&typed));
    let only = || begun.next().filter(|_| begun.next().is_none());
    by_number.or_else(only).map(|word| (*word).to_string())
}

/// Writes what stands in a field cleanly; `None` where it is not what the field wants.
fn clean(field: &Field, text: &str) -> Option<String> {
    match field.kind {
        Kind::Length => clean_length(text),
        Kind::Lengths => {
            let each = texts::split(text).into_iter().map(|part| clean_length(&part));
            Some(each.collect::<Option<Vec<String>>>()?.join(", "))
        }
        Kind::Words if field.path.ends_with("torque") => clean_torque(text),
        Kind::Words if field.path.starts_with("gauge_when.no_") => clean_temperature(text),
        Kind::Angle(_) => {
            let (degrees, word) = text.split_at(text.find(|letter: char| letter.is_alphabetic())?);
            let degrees = texts::number(degrees.trim())?;
            let word = word.trim().to_uppercase();
            let known = ["BTDC", "ATDC", "BBDC", "ABDC"].contains(&word.as_str());
            known.then(|| format!("{} {word}", crate::domain::units::plain_number(degrees)))
        }
        Kind::Whole | Kind::Number => texts::number(text).map(crate::domain::units::plain_number),
        Kind::Words
        | Kind::Caution
        | Kind::Choice(_)
        | Kind::YesNo
        | Kind::Order
        | Kind::Numbers
        | Kind::Threads
        | Kind::WordList
        | Kind::Labels
        | Kind::Hardware
        | Kind::Stop => None,
    }
}
