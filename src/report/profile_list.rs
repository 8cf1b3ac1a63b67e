//! The list of profiles, as text and as the JSON document of the contract's section 3.

use super::wrapped;
use crate::domain::cams::opposites;
use crate::domain::profile::{EngineProfile, Facts, Shape};
use crate::domain::search::{self, place_in_list, words_of};
use crate::domain::valve::Cylinder;
use crate::guide::unlikely::pairs_words;
use serde_json::{Value, json};

/// Names that are told where nothing was found.
const NEAREST: usize = 3;

/// A profile as the list shows it.
#[derive(Clone, Copy, Debug)]
pub struct ListRow<'a> {
    /// The name by which it is asked for.
    pub name: &'a str,
    /// The profile.
    pub profile: &'a EngineProfile,
    /// Whether it is part of the program.
    pub built_in: bool,
}

/// Why no profile is listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NothingFound {
    /// The words that were asked for.
    pub asked: String,
    /// Names of profiles that come near, the nearest first.
    pub near: Vec<String>,
}

impl std::fmt::Display for NothingFound {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "no profile has all of these words: {}", self.asked)
    }
}

impl NothingFound {
    /// What to do about it: one sentence, starting with a verb.
    pub fn hint(&self) -> String {
        format!("Try {}; `cowlside profiles` lists all of them.", self.near.join(" or "))
    }
}

/// Picks the rows in which all the words stand; without words, all rows.
///
/// # Errors
/// Nothing has all of them: the nearest names are told.
pub fn asked_for<'a>(rows: &[ListRow<'a>], asked: &str) -> Result<Vec<ListRow<'a>>, NothingFound> {
    let words: Vec<String> = rows.iter().map(|row| words_of(row.name, row.profile)).collect();
    let pick = |places: Vec<usize>| places.into_iter().filter_map(|at| rows.get(at));
    let found: Vec<ListRow<'a>> = pick(search::find(asked, &words)).copied().collect();
    if found.is_empty() && !rows.is_empty() {
        let near = pick(search::nearest_things(asked, &words, NEAREST));
        let near = near.map(|row| row.name.to_owned()).collect();
        return Err(NothingFound { asked: asked.to_owned(), near });
    }
    Ok(found)
}

/// Lists profiles as text: by shape, then by cylinders, with firing order and opposites beneath.
pub fn list_text(rows: &[ListRow<'_>]) -> String {
    let wide = rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
    let mut rows = rows.to_vec();
    rows.sort_by_key(|row| place_in_list(row.profile));
    let mut text = String::new();
    let mut shape = None;
    for row in &rows {
        let own = row.profile.layout.shape;
        if shape.replace(own) != Some(own) {
            let blank = if text.is_empty() { "" } else { "\n" };
            text.push_str(&format!("{blank}{}\n", shape_word(own)));
        }
        let own = if row.built_in { "" } else { " (your own)" };
        let head = format!("  {:wide$}  ", row.name);
        text.push_str(&wrapped(&head, &format!("{}{own}", title(row.profile))));
        text.push_str(&wrapped(&" ".repeat(head.chars().count()), &order_line(row.profile)));
    }
    if rows.iter().any(|row| row.built_in) {
        text.push_str("\nAll figures in built-in profiles are examples, not from any manual.\n");
    }
    text
}

/// Returns the word for a shape, as profiles have it.
pub(super) fn shape_word(shape: Shape) -> &'static str {
    match shape {
        Shape::Inline => "inline",
        Shape::Vee => "vee",
        Shape::Opposed => "opposed",
        Shape::Radial => "radial",
    }
}

/// The title without the firing order, which stands beneath.
fn title(facts: &Facts) -> String {
    facts.name.replace(&format!(", order {}", order(facts)), "")
}

fn order(facts: &Facts) -> String {
    facts.firing_order.iter().map(Cylinder::to_string).collect::<Vec<_>>().join("-")
}

fn order_line(facts: &Facts) -> String {
    let mut words = order(facts);
    if !facts.fires_evenly() {
        let intervals: Vec<String> = facts.firing_intervals.iter().map(f64::to_string).collect();
        words.push_str(&format!(" at {}°", intervals.join(" and ")));
    }
    match opposites(facts).as_slice() {
        [] => words.push_str("; no opposites"),
        pairs => words.push_str(&format!("; opposites {}", pairs_words(pairs))),
    }
    words
}

/// Lists profiles as a JSON document.
pub fn list_json(rows: &[ListRow<'_>]) -> Value {
    let profiles: Vec<_> = rows
        .iter()
        .map(|row| {
            json!({
                "name": row.name,
                "title": row.profile.name,
                "cylinders": row.profile.cylinders(),
                "built_in": row.built_in,
            })
        })
        .collect();
    json!({ "profiles": profiles })
}
