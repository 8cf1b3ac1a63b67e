//! A profile as a form: texts in fields, what is wrong with each, and the document they make.
//!
//! A pure value. It knows how a field is typed; whether the profile is sound is judged by the
//! loader alone, which comes in as a function. Screens and plain prompts both stand on it.

mod beside;
mod doubts;
mod faults;
mod fields;
mod helps;
mod live;
mod propose;
mod stand_ins;
mod texts;
mod tidy;

use crate::domain::document::{Judge, Node};
use crate::domain::profile::{Facts, Shape};
use crate::domain::units::{CLEARANCE, Length, LengthUnit};
pub use beside::Sketch;
pub use doubts::Doubt;
pub use faults::{Fault, Grave};
pub use fields::Page;
use fields::{CLOCKWISE, FILE_ORDER, NEEDED, ROWS, Row, When};
pub use helps::help_on_writing;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};
pub use texts::Kind;
pub use tidy::words_of;

/// How a profile names its schema, which editors read: `cowlside profiles schema` prints it.
pub const SCHEMA: &str = "./profile.schema.json";
/// What both kinds of valve must have.
const FIGURES: [&str; 3] = ["target", "least", "most"];
/// The events of the valve timing: all or none.
const EVENTS: [&str; 4] = ["intake_opens", "intake_closes", "exhaust_opens", "exhaust_closes"];
/// Most banks or rows of cylinders that the form shows.
const BANKS_MAX: usize = 8;

/// A field as it applies now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Its path, as in `layout.banks[0].name`.
    pub path: String,
    /// Its page.
    pub page: Page,
    /// What it is called.
    pub label: String,
    /// How it is typed.
    pub kind: Kind,
    /// Whether there is no profile without it.
    pub needed: bool,
    /// What to type.
    pub say: &'static str,
}

/// A profile as it is being typed.
#[derive(Clone, Debug)]
pub struct Form {
    /// Texts by path; a field without one is empty.
    texts: BTreeMap<String, String>,
    /// What was there when the form was opened or last written.
    first: BTreeMap<String, String>,
    /// The loader.
    judge: Judge,
    /// Kinds of engine that proposals are taken from.
    known: Arc<Vec<Facts>>,
    /// What is wrong with the texts, once it was asked for.
    judged: OnceLock<Arc<Vec<Fault>>>,
}

impl Form {
    /// Opens an empty form; proposals come from the `known` kinds of engine.
    pub fn new(judge: Judge, known: Vec<Facts>) -> Form {
        let texts = BTreeMap::from([("$schema".to_string(), SCHEMA.to_string())]);
        let (known, judged) = (Arc::new(known), OnceLock::new());
        Form { first: texts.clone(), texts, judge, known, judged }
    }

    /// Opens a form on a profile's document.
    ///
    /// # Errors
    /// Names what the form cannot hold without changing what the profile says.
    pub fn of(document: &Node, judge: Judge, known: Vec<Facts>) -> Result<Form, String> {
        let mut form = Form::new(judge, known);
        form.texts.clear();
        for row in &ROWS {
            form.take(row, document)?;
        }
        if let Some(Node::Text(schema)) = document.at("$schema") {
            form.texts.insert("$schema".to_string(), schema.clone());
        }
        let before = judge(document).map_err(|fault| fault.to_string())?;
        match judge(&form.document()) {
            Ok(after) if after == before => {}
            Ok(_) => return Err("it says something that the form would change".to_string()),
            Err(fault) => return Err(format!("the form would change it: {fault}")),
        }
        form.first = form.texts.clone();
        Ok(form)
    }

    fn take(&mut self, row: &Row, document: &Node) -> Result<(), String> {
        let list = row.path.split_once("[").map(|(list, _)| document.at(list));
        let count = match list {
            None => 1,
            Some(Some(Node::List(items))) => items.len(),
            Some(_) => 0,
        };
        for place in 0..count {
            let path = placed(row.path, place);
            let Some(node) = document.at(&path) else { continue };
            let text = texts::text(row.kind, node)
                .ok_or_else(|| format!("`{path}` is written in a way that the form has not"))?;
            self.set(&path, text);
        }
        Ok(())
    }

    /// Returns what stands in a field.
    pub fn text(&self, path: &str) -> &str {
        self.texts.get(path).map_or("", String::as_str)
    }

    /// Puts a text into a field; an empty one empties it.
    pub fn set(&mut self, path: &str, text: impl Into<String>) {
        let text = text.into();
        self.judged = OnceLock::new();
        if text.is_empty() {
            self.texts.remove(path);
        } else {
            self.texts.insert(path.to_string(), text);
        }
    }

    /// Tells whether anything was typed since the form was opened or written.
    pub fn changed(&self) -> bool {
        self.texts != self.first
    }

    /// Counts the fields that are filled in otherwise than when the form was opened or written.
    pub fn filled_in(&self) -> usize {
        let paths: BTreeSet<&String> = self.texts.keys().chain(self.first.keys()).collect();
        let differs = |path: &&&String| {
            let [now, before] = [&self.texts, &self.first].map(|texts| texts.get(**path));
            now.map_or("", String::as_str) != before.map_or("", String::as_str)
        };
        paths.iter().filter(differs).count()
    }

    /// Takes note that everything typed is on disk.
    pub fn written(&mut self) {
        self.first = self.texts.clone();
    }

    /// Returns the profile's unit, as the intake target tells it.
    pub fn unit(&self) -> Option<LengthUnit> {
        let typed = ["valves.intake.target", "valves.intake.hot.target"]
            .into_iter()
            .find_map(|path| Length::parse_with_unit(self.text(path), CLEARANCE).ok());
        typed.map(|(_, unit)| unit)
    }

    /// Lists the fields of a page that apply now, in the order in which they are filled in.
    pub fn fields(&self, page: Page) -> Vec<Field> {
        self.all_fields().into_iter().filter(|field| field.page == page).collect()
    }

    /// Lists all fields that apply now. Fields of banks stand together, a bank after the other.
    pub fn all_fields(&self) -> Vec<Field> {
        let mut fields = Vec::new();
        let mut rows = ROWS.iter().peekable();
        while let Some(row) = rows.next() {
            if !row.path.contains("[{}]") {
                fields.extend(self.plain_fields(row));
                continue;
            }
            let mut of_banks = vec![row];
            while let Some(next) = rows.next_if(|next| next.path.contains("[{}]")) {
                of_banks.push(next);
            }
            for bank in 0..self.banks() {
                fields.extend(of_banks.iter().filter_map(|row| self.field(row, bank)));
            }
        }
        fields
    }

    fn plain_fields(&self, row: &Row) -> Vec<Field> {
        let lines = if row.path.ends_with("[]") { self.lines(row.path) + 1 } else { 1 };
        (0..lines).filter_map(|place| self.field(row, place)).collect()
    }

    fn field(&self, row: &Row, place: usize) -> Option<Field> {
        let path = placed(row.path, place);
        if !self.applies(row.when, &path) {
            return None;
        }
        let label = match row.path {
            path if path.ends_with("[]") => format!("{} {}", row.label, place + 1),
            _ => row
                .label
                .replace("{bank}", &self.bank_name(place))
                .replace("{n}", &(place + 1).to_string()),
        };
        let needed = self.needs(&path, place);
        let of_row = path.ends_with("].cylinders") && self.shape() == Some(Shape::Radial);
        let say = if of_row { CLOCKWISE } else { row.say };
        Some(Field { path, page: row.page, label, kind: row.kind, needed, say })
    }

    /// Tells whether there is no profile without a field, as far as it is typed.
    fn needs(&self, path: &str, place: usize) -> bool {
        let given = |path: &str| !self.text(path).trim().is_empty();
        let any = |of: &str, names: &[&str]| names.iter().any(|name| given(&format!("{of}{name}")));
        let (of, figure) = path.rsplit_once('.').unwrap_or(("", path));
        let is_figure = path.starts_with("valves.") && FIGURES.contains(&figure);
        match (of, figure) {
            // Of a further bank or row, once anything of it is told.
            (_, "cylinders") if path.ends_with("].cylinders") => {
                place < self.banks_least().max(self.banks_given())
            }
            (_, "first_at") => (1..self.banks_given()).contains(&place),
            ("valve_timing", _) if figure != "ramp" => any("valve_timing.", &EVENTS),
            (of, _) if is_figure && of.ends_with(".hot") => {
                any(&format!("{of}."), &FIGURES) || self.text("gauge_when.engine") == "hot"
            }
            (of, _) if is_figure => {
                let hot = any(&format!("{of}.hot."), &FIGURES);
                let cold = ["target", "least", "most", "set_least", "set_most"];
                let cold =
                    any(&format!("{of}."), &cold) || self.text("gauge_when.engine") == "cold";
                !hot || cold
            }
            _ => NEEDED.contains(&path),
        }
    }

    fn applies(&self, when: When, path: &str) -> bool {
        let given = !self.text(path).is_empty();
        let shape = self.text("layout.shape");
        let kind = self.text("adjuster.kind");
        match when {
            When::Always => true,
            When::Radial => shape == "radial",
            When::Vee => shape == "vee" || given,
            When::Sides => matches!(shape, "vee" | "opposed") || given,
            When::Propeller => self.text("rotation.turn_by") == "propeller" || given,
            When::Screw => kind == "screw",
            When::Shim => kind == "shim",
            When::Pushrod => kind == "pushrod",
            When::Rocker => matches!(kind, "screw" | "pushrod"),
        }
    }

    /// Returns the shape, where one of the four is typed.
    pub fn shape(&self) -> Option<Shape> {
        match self.text("layout.shape") {
            "inline" => Some(Shape::Inline),
            "vee" => Some(Shape::Vee),
            "opposed" => Some(Shape::Opposed),
            "radial" => Some(Shape::Radial),
            _ => None,
        }
    }

    /// Returns the number of banks that the shape has at least.
    fn banks_least(&self) -> usize {
        match self.shape() {
            Some(Shape::Vee | Shape::Opposed) => 2,
            Some(Shape::Inline | Shape::Radial) | None => 1,
        }
    }

    /// Returns the number of banks that are shown; a radial has always room for a row more.
    fn banks(&self) -> usize {
        let given = self.banks_given();
        let more = usize::from(self.shape() == Some(Shape::Radial) && given > 0);
        (given + more).max(self.banks_least()).min(BANKS_MAX.max(given))
    }

    /// Returns the number of banks up to the last one of which something is typed.
    fn banks_given(&self) -> usize {
        let place = |path: &String| {
            let (place, _) = path.strip_prefix("layout.banks[")?.split_once(']')?;
            place.parse::<usize>().ok()
        };
        self.texts.keys().filter_map(place).max().map_or(0, |last| last + 1)
    }

    /// Returns the number of lines of a list up to the last one that is typed.
    fn lines(&self, list: &str) -> usize {
        let list = list.trim_end_matches(']');
        let place = |path: &String| path.strip_prefix(list)?.strip_suffix(']')?.parse().ok();
        self.texts.keys().filter_map(place).max().map_or(0, |last: usize| last + 1)
    }

    /// Returns what a bank is called beside its fields.
    fn bank_name(&self, place: usize) -> String {
        let given = self.text(&format!("layout.banks[{place}].name"));
        match (given, self.shape()) {
            ("", Some(Shape::Radial)) => format!("row {}", place + 1),
            ("", Some(Shape::Inline | Shape::Vee | Shape::Opposed) | None) => {
                format!("bank {}", place + 1)
            }
            (name, Some(Shape::Radial)) => name.to_string(),
            (name, _) => format!("{name} bank"),
        }
    }

    /// Returns the document, its fields in the order of a file.
    pub fn document(&self) -> Node {
        self.parts().document
    }

    /// Makes the document; beside it, which field's text each of its paths is.
    fn parts(&self) -> Parts {
        let mut parts = Parts {
            document: Node::empty(),
            paths: Vec::new(),
            unfit: Vec::new(),
            fields: Vec::new(),
        };
        if let Some(schema) = self.texts.get("$schema") {
            parts.document.put("$schema", Node::Text(schema.clone()));
        }
        parts.document.put("format", Node::Number(1.0));
        let mut lines: BTreeMap<&str, usize> = BTreeMap::new();
        let fields = self.all_fields();
        for field in fields.iter().filter(|field| !self.text(&field.path).trim().is_empty()) {
            // Empty lines of a list are left out, so that what follows moves up.
            let list = ["covers.hardware", "cautions", "stops"]
                .into_iter()
                .find(|list| field.path.starts_with(&format!("{list}[")));
            let path = match list {
                None => field.path.clone(),
                Some(list) => {
                    let place = lines.entry(list).or_insert(0);
                    *place += 1;
                    format!("{list}[{}]", *place - 1)
                }
            };
            let text = self.text(&field.path);
            if is_bank_name(&field.path) && are_cylinders(text) {
                parts.unfit.push((field.path.clone(), NO_BANK_NAME));
                parts.paths.push((path, field.path.clone()));
                continue;
            }
            match texts::node(field.kind, text) {
                Ok(node) => parts.document.put(&path, node),
                Err(must) => parts.unfit.push((field.path.clone(), must)),
            }
            parts.paths.push((path, field.path.clone()));
        }
        for bank in 0..self.banks_least() {
            let path = format!("layout.banks[{bank}]");
            if self.banks_given() > 0 && parts.document.at(&path).is_none() {
                parts.document.put(&path, Node::empty());
            }
        }
        parts.document.sort(&FILE_ORDER);
        parts.fields = fields;
        parts
    }
}

const NO_BANK_NAME: &str = "be a name, as in right; its cylinders go into the next field";

fn is_bank_name(path: &str) -> bool {
    path.starts_with("layout.banks[") && path.ends_with("].name")
}

/// Tells whether what is typed for a bank's name was meant for its cylinders: `1-2-3`, `1324`, `2left`.
fn are_cylinders(text: &str) -> bool {
    let text = text.trim();
    text.starts_with(|first: char| first.is_ascii_digit()) && text.chars().count() > 1
}

/// The document and where it comes from.
struct Parts {
    document: Node,
    /// Paths of the document beside paths of the form.
    paths: Vec<(String, String)>,
    /// Fields whose text has not the form of their kind, and what it must be.
    unfit: Vec<(String, &'static str)>,
    /// The fields that apply.
    fields: Vec<Field>,
}

fn placed(path: &str, place: usize) -> String {
    path.replace("[{}]", &format!("[{place}]")).replace("[]", &format!("[{place}]"))
}
