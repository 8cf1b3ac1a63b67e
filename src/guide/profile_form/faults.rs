//! What is wrong with what was typed, field by field, in the loader's words with the form's names.
//!
//! The loader stops at the first fault. So that each field is judged while others are still empty, and
//! while others are wrong, what is missing has a stand-in, what was found wrong is put aside, and the
//! rest is judged again.

use super::stand_ins::{filled, set_aside};
use super::{Field, Form, Parts, words_of};
use crate::domain::document::Node;
use crate::domain::profile::{EngineProfile, ProfileFault};
use std::sync::Arc;

/// Most faults that are looked for at once.
const FAULTS_MAX: usize = 40;
/// How often the loader is asked; one field may hide several faults.
const ROUNDS_MAX: usize = 2 * FAULTS_MAX;

/// How grave a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grave {
    /// Something is still to be filled in.
    Missing,
    /// What was typed cannot stand.
    Wrong,
}

/// What is wrong with a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The field's path in the form.
    pub path: String,
    /// Whether it is wrong or only missing.
    pub grave: Grave,
    /// The loader's words, with the names that the form has for the fields.
    pub words: String,
    /// The same beside the field itself: what it must be.
    pub must: String,
}

/// Takes the ends of a band out of a fault's words that nobody typed: what stood in for them is no figure
/// of this engine.
fn as_typed(document: &Node, mut fault: ProfileFault) -> ProfileFault {
    let Some((figures, _)) = fault.field.rsplit_once('.') else { return fault };
    let Some((words, (least, most))) = fault.must.rsplit_once(", ").and_then(|(words, band)| {
        Some((words, band.split_once(" to ")?)).filter(|_| words.starts_with("lie inside the band"))
    }) else {
        return fault;
    };
    let told = |name: &str| document.at(&format!("{figures}.{name}")).is_some();
    let left_in = words.ends_with("left in");
    let told = |end: &str| told(end) || left_in && told(&format!("set_{end}"));
    let must = match (told("least"), told("most")) {
        (true, true) => return fault,
        (false, true) => format!("{words}, up to {most}"),
        (true, false) => format!("{words}, from {least}"),
        (false, false) => words.to_owned(),
    };
    fault.must = must;
    fault
}

impl Form {
    /// Returns the sound profile, where what is typed makes one.
    pub fn profile(&self) -> Option<EngineProfile> {
        let parts = self.parts();
        if !parts.unfit.is_empty() {
            return None;
        }
        (self.judge)(&parts.document).ok()
    }

    /// Lists what is wrong or missing, in the order of the fields; found out once for what is typed.
    pub fn faults(&self) -> Vec<Fault> {
        self.judged.get_or_init(|| Arc::new(self.judged_now())).to_vec()
    }

    fn judged_now(&self) -> Vec<Fault> {
        let parts = self.parts();
        let fields = &parts.fields;
        let mut faults: Vec<Fault> = parts
            .unfit
            .iter()
            .map(|(path, must)| {
                let label = label(&parts, path);
                let words = format!("{label} is \"{}\", but must {must}", self.text(path));
                Fault {
                    path: path.clone(),
                    grave: Grave::Wrong,
                    words,
                    must: format!("must {must}"),
                }
            })
            .collect();
        let unfit = |path: &str| parts.unfit.iter().any(|(known, _)| known == path);
        let empty = |field: &&Field| self.text(&field.path).trim().is_empty();
        let needed = fields.iter().filter(|field| field.needed && !unfit(&field.path));
        faults.extend(needed.filter(empty).map(missing));
        let mut document = parts.document.clone();
        // Each round puts something aside; bounded all the same, so that no document holds up the keys.
        for _ in 0..ROUNDS_MAX {
            if faults.len() >= FAULTS_MAX {
                break;
            }
            let Err(fault) = (self.judge)(&filled(&document)) else { break };
            let before = document.clone();
            set_aside(&mut document, &fault.field);
            self.add(&mut faults, &parts, &as_typed(&before, fault));
            if document == before {
                break;
            }
        }
        if faults.is_empty()
            && let Err(fault) = (self.judge)(&parts.document)
        {
            self.add(&mut faults, &parts, &fault);
        }
        let place = |fault: &Fault| fields.iter().position(|field| field.path == fault.path);
        faults.sort_by_key(|fault| place(fault).unwrap_or(fields.len()));
        faults
    }

    /// Adds a fault of the loader, unless its field is told already.
    fn add(&self, faults: &mut Vec<Fault>, parts: &Parts, fault: &ProfileFault) {
        if fault.field == "layout.banks" {
            return self.add_unnamed(faults, parts, fault);
        }
        let path = self.home_of(parts, &fault.field);
        if faults.iter().any(|known| known.path == path) {
            return;
        }
        let empty = self.text(&path).trim().is_empty();
        let grave = if empty { Grave::Missing } else { Grave::Wrong };
        let words = self.in_words(parts, &fault.to_string());
        let mut all = parts.fields.iter();
        let offered = all.find(|field| field.path == path).map(|field| words_of(field.kind));
        let must = match offered {
            Some(offered) if !offered.is_empty() => format!("choose {}", offered.join(", ")),
            Some(_) | None => format!("must {}", self.in_words(parts, &fault.must)),
        };
        faults.push(Fault { path, grave, words, must });
    }

    /// Says that cylinders are in no bank: at a bank that is still empty, else at the last one.
    fn add_unnamed(&self, faults: &mut Vec<Fault>, parts: &Parts, fault: &ProfileFault) {
        let of_banks: Vec<&Field> = parts
            .fields
            .iter()
            .filter(|field| {
                field.path.starts_with("layout.banks[") && field.path.ends_with("].cylinders")
            })
            .collect();
        let empty = of_banks.iter().find(|field| self.text(&field.path).trim().is_empty());
        let grave = if empty.is_some() { Grave::Missing } else { Grave::Wrong };
        let Some(&home) = empty.or(of_banks.last()) else { return };
        let unnamed = self.unnamed();
        let must = match unnamed.is_empty() {
            true => format!("must {}", self.in_words(parts, &fault.must)),
            false => unnamed,
        };
        if !faults.iter().any(|known| known.path == home.path) {
            let words = format!("{}: {must}", home.label.trim_end_matches(": cylinders"));
            faults.push(Fault { path: home.path.clone(), grave, words, must });
        }
    }

    /// Puts the form's names in the place of a file's: "firing order", "firing order, no. 2".
    fn in_words(&self, parts: &Parts, words: &str) -> String {
        let mut told = String::new();
        for (at, piece) in words.split('`').enumerate() {
            // What stands between two of them is a name; what was typed stands in double quotes.
            if at % 2 == 0 {
                told.push_str(piece);
                continue;
            }
            let home = self.home_of(parts, piece);
            told.push_str(&label(parts, &home));
            let place = piece.strip_suffix(']').and_then(|rest| rest.rsplit_once('['));
            let beyond = place.filter(|_| !home.ends_with(']'));
            if let Some(place) = beyond.and_then(|(_, place)| place.parse::<usize>().ok()) {
                told.push_str(&format!(", no. {}", place + 1));
            }
        }
        told
    }

    /// Finds the field of the form that a path of the document belongs to.
    fn home_of(&self, parts: &Parts, path: &str) -> String {
        let shares = |known: &str| {
            let ends = |rest: &str| rest.is_empty() || rest.starts_with(['.', '[']);
            path.strip_prefix(known).is_some_and(ends) || known.strip_prefix(path).is_some_and(ends)
        };
        let typed = parts.paths.iter().filter(|(known, _)| shares(known));
        if let Some((_, home)) = typed.max_by_key(|(known, _)| known.len().min(path.len())) {
            return home.clone();
        }
        let mut empty = parts.fields.iter().filter(|field| shares(&field.path));
        let empty = empty.clone().find(|field| field.needed).or_else(|| empty.next());
        empty.map_or_else(|| path.to_string(), |field| field.path.clone())
    }
}

/// Returns what a field is called.
fn label(parts: &Parts, path: &str) -> String {
    let field = parts.fields.iter().find(|field| field.path == path);
    field.map_or_else(|| path.to_string(), |field| field.label.clone())
}

fn missing(field: &Field) -> Fault {
    let words = format!("{} is missing: {}", field.label, field.say);
    Fault { path: field.path.clone(), grave: Grave::Missing, words, must: "to fill in".into() }
}
