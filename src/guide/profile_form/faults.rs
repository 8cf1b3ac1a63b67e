//! What is wrong with what was typed, field by field, in the loader's words with the form's names.
//!
//! The loader stops at the first fault. So that each field is judged while others are still empty,
//! what was found wrong is put aside, with a stand-in where there must be something, and the rest
//! is judged again.

use super::{Form, Parts};
use crate::domain::document::Node;
use crate::domain::profile::EngineProfile;

/// Most faults that are looked for at once.
const FAULTS_MAX: usize = 40;

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
}

/// What belongs together: a fault in one of them puts all of them aside.
const STRUCTURE: [&str; 5] = ["cylinders", "firing_order", "firing_intervals", "layout", "stops"];

impl Form {
    /// Returns the sound profile, where what is typed makes one.
    pub fn profile(&self) -> Option<EngineProfile> {
        let parts = self.parts();
        if !parts.unfit.is_empty() {
            return None;
        }
        (self.judge)(&parts.document).ok()
    }

    /// Lists what is wrong or missing, in the order in which the loader finds it.
    pub fn faults(&self) -> Vec<Fault> {
        let parts = self.parts();
        let mut faults: Vec<Fault> = parts
            .unfit
            .iter()
            .map(|(path, must)| {
                let label = self.label(path);
                let words = format!("{label} is \"{}\", but must {must}", self.text(path));
                Fault { path: path.clone(), grave: Grave::Wrong, words }
            })
            .collect();
        let mut document = parts.document.clone();
        while faults.len() < FAULTS_MAX {
            let Err(fault) = (self.judge)(&document) else { break };
            let before = document.clone();
            set_aside(&mut document, &fault.field);
            // What was put aside for a text without the form of its kind is told already.
            let path = self.home_of(&parts, &fault.field);
            if !faults.iter().any(|known| known.path == path) {
                let empty = self.text(&path).trim().is_empty();
                let grave = if empty { Grave::Missing } else { Grave::Wrong };
                let words = self.in_words(&parts, &fault.to_string());
                faults.push(Fault { path, grave, words });
            }
            if document == before {
                break;
            }
        }
        if !faults.is_empty() {
            self.add_missing(&mut faults);
        }
        faults
    }

    /// The loader names one field that is missing; the form shows all of them.
    fn add_missing(&self, faults: &mut Vec<Fault>) {
        let hot = |path: &str| {
            let kind = path.rsplit_once('.').map_or("", |(kind, _)| kind);
            !self.text(&format!("{kind}.hot.target")).is_empty()
        };
        for field in self.all_fields().into_iter().filter(|field| field.needed) {
            let told = faults.iter().any(|fault| fault.path == field.path);
            if !told && self.text(&field.path).trim().is_empty() && !hot(&field.path) {
                let words = format!("{} is missing: {}", field.label, field.say);
                faults.push(Fault { path: field.path, grave: Grave::Missing, words });
            }
        }
    }

    /// Returns what a field is called.
    fn label(&self, path: &str) -> String {
        let fields = self.all_fields();
        let field = fields.iter().find(|field| field.path == path);
        field.map_or_else(|| path.to_string(), |field| field.label.clone())
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
            told.push_str(&self.label(&home));
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
        let fields = self.all_fields();
        let mut empty = fields.iter().filter(|field| shares(&field.path));
        let empty = empty.clone().find(|field| field.needed).or_else(|| empty.next());
        empty.map_or_else(|| path.to_string(), |field| field.path.clone())
    }
}

/// Takes what is wrong out of a document, or puts something sound in its place.
fn set_aside(document: &mut Node, path: &str) {
    let top = path.split(['.', '[']).next().unwrap_or(path);
    if path == "name" {
        document.put("name", Node::Text("?".into()));
    } else if top == "layout" && set_layout_aside(document) {
        // What is left of the structure is judged next.
    } else if STRUCTURE.contains(&top) {
        STRUCTURE.iter().for_each(|field| document.remove(field));
        let one = || Node::List(vec![Node::Number(1.0)]);
        document.put("cylinders", Node::Number(1.0));
        document.put("firing_order", one());
        document.put("layout.shape", Node::Text("inline".into()));
        document.put("layout.banks[0].cylinders", one());
    } else if let Some(kind) =
        ["valves.intake", "valves.exhaust"].into_iter().find(|kind| path.starts_with(kind))
    {
        let rest = path.strip_prefix(kind).unwrap_or("");
        let figure = ["", ".target", ".least", ".most", ".set_least", ".set_most"].contains(&rest);
        if figure || rest.starts_with(".hot") {
            for name in ["set_least", "set_most", "hot"] {
                document.remove(&format!("{kind}.{name}"));
            }
            for name in ["target", "least", "most"] {
                document.put(&format!("{kind}.{name}"), Node::Text("1 mm".into()));
            }
        } else {
            document.remove(path);
        }
    } else if path == "valves" {
        document.put("valves.intake", Node::empty());
        document.put("valves.exhaust", Node::empty());
    } else if document.at(path).is_some() {
        document.remove(path);
    } else {
        document.remove(top);
    }
}

/// Puts all cylinders in one row; false where they are not known, or stand so already.
fn set_layout_aside(document: &mut Node) -> bool {
    let Some(Node::Number(count)) = document.at("cylinders") else { return false };
    let Some(count) = (1..=48_u8).find(|known| f64::from(*known) == *count) else { return false };
    let before = document.clone();
    let row = (1..=count).map(|cylinder| Node::Number(f64::from(cylinder))).collect();
    document.remove("layout");
    document.put("layout.shape", Node::Text("inline".into()));
    document.put("layout.banks[0].cylinders", Node::List(row));
    *document != before
}
